//! A sensor on the tube against a sensor in the pool, solved for a whole interval of steady weather.

use swimdays_properties::elementary::exp;

use crate::control::Window;
use crate::{PumpError, within};

/// Where the sensor sits.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SensorPlace {
    /// On the tube near the outlet: the stagnant tube while off, the outlet while on.
    #[default]
    Board,
}

/// Starts when the tube is so much warmer than the pool, stops when the outlet no longer is.
#[derive(Clone, Debug, PartialEq)]
pub struct DifferentialControl {
    /// Starts when the standing tube is this much warmer than the pool, K.
    pub on_k: f64,
    /// Stops when the outlet is no more than this much warmer, K.
    pub off_k: f64,
    /// Where the sensor sits.
    pub sensor: SensorPlace,
    /// Shortest run, s.
    pub least_run_s: f64,
    /// Works only within these hours, by month; absent: always.
    pub within: Option<[Vec<Window>; 12]>,
}

impl DifferentialControl {
    /// Checks the set-points.
    ///
    /// # Errors
    /// A set-point that cannot be, or a start not above the stop.
    pub fn check(&self) -> Result<(), PumpError> {
        within("rise to start, K", self.on_k, 0.1, 50.0)?;
        within("rise to stop, K", self.off_k, -5.0, 50.0)?;
        within("least run, s", self.least_run_s, 0.0, 7_200.0)?;
        if self.on_k <= self.off_k {
            return Err(PumpError::OnNotAboveOff {
                on_k: self.on_k,
                off_k: self.off_k,
            });
        }
        self.within
            .iter()
            .flatten()
            .flatten()
            .try_for_each(Window::check)
    }
}

/// What a sensor meets in one interval. Weather and pool are taken as steady over it.
#[derive(Clone, Copy, Debug)]
pub struct DifferentialInput<'a> {
    /// The control.
    pub control: &'a DifferentialControl,
    /// Temperature to which the standing tube tends, °C.
    pub stagnation_c: f64,
    /// The tube at the start of the interval, °C.
    pub body_c: f64,
    /// Time in which the standing tube goes 63 % of the way, s.
    pub time_constant_s: f64,
    /// Mean temperature of the tube while water runs, °C.
    pub running_body_c: f64,
    /// Outlet while water runs, settled, °C.
    pub outlet_c: f64,
    /// The pool, °C.
    pub water_c: f64,
    /// Time for the water that stood in the tube to leave it, s: so long the sensor sees the standing water.
    pub transit_s: f64,
    /// The pump ran at the end of the interval before.
    pub was_on: bool,
    /// Time that a run begun in the interval before still has to go on, s.
    pub run_left_s: f64,
    /// Length of the interval (of the part in which the control may work), s.
    pub interval_s: f64,
}

/// What the sensor makes of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct DifferentialResult {
    /// Share of the interval with the pump on.
    pub on_frac: f64,
    /// How often it starts in the interval; a mean, not a whole number, when it cycles.
    pub starts: f64,
    /// The tube at those starts, °C: their mean.
    pub start_body_c: f64,
    /// It stops by itself and starts again, over and over: the settled outlet does not hold the pump on.
    pub short_cycling: bool,
    /// The pump runs when the interval ends.
    pub running_at_end: bool,
    /// Time that the run has still to go on when the interval ends, s; see [`DifferentialInput::run_left_s`].
    pub run_left_s: f64,
    /// How long the tube has stood since the last run when the interval ends, s; half a rest when it cycles.
    pub standing_at_end_s: f64,
}

/// Share of a steady interval for which a sensor keeps the pump on.
///
/// Off, the tube tends to stagnation as `T(t) = T_s + (T₀ − T_s) e^(−t/τ)`, so it reaches the start temperature
/// `T_on = T_pool + on_k` after `t = τ ln((T_s − T₀)/(T_s − T_on))`, or never. On, the sensor sees first the water that
/// stood in the tube, for the transit time, then the settled outlet.
///
/// - Settled outlet above `T_pool + off_k`: once on, it stays on.
/// - Otherwise, if stagnation is above `T_on`, it cycles: on for the longer of transit and least run, off until the
///   sensor has warmed from the settled outlet to `T_on` (each piece of the standing tube warms by itself). The share
///   is the cycle's, after the wait for the first start.
/// - Otherwise off; a pump that ran is stopped at the beginning.
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `input` | see [`DifferentialInput`] | | `time_constant_s`, `interval_s` > 0 |
///
/// Source: first-order response; our own derivation. Differs from a switched control by the position within the cycle
/// at the interval's ends: a day may hold a start more or fewer. Checked against switching minute by minute in
/// `tests/tests/pump.rs`.
#[must_use]
pub fn differential_on_frac(input: &DifferentialInput<'_>) -> DifferentialResult {
    let i = input;
    let start_c = i.water_c + i.control.on_k;
    let holds = i.outlet_c > i.water_c + i.control.off_k;
    if holds && i.was_on {
        return DifferentialResult {
            on_frac: 1.0,
            start_body_c: i.body_c,
            running_at_end: true,
            ..DifferentialResult::default()
        };
    }
    // A run of the interval before goes on for its least time, then the tube stands as it ran, warmest at the sensor.
    let (carried_s, body_c, sensor_c) = if i.was_on && i.run_left_s > 0.0 {
        (i.run_left_s.min(i.interval_s), i.running_body_c, i.outlet_c)
    } else {
        (0.0, i.body_c, i.body_c)
    };
    let standing_s = warming_s(sensor_c, start_c, i.stagnation_c, i.time_constant_s);
    let wait_s = carried_s + standing_s;
    if wait_s >= i.interval_s {
        return DifferentialResult {
            on_frac: carried_s / i.interval_s,
            start_body_c: body_c,
            running_at_end: carried_s >= i.interval_s,
            run_left_s: (i.run_left_s - carried_s).max(0.0),
            standing_at_end_s: i.interval_s - carried_s,
            ..DifferentialResult::default()
        };
    }
    let start_body_c = standing_c(i, body_c, standing_s);
    let left_s = i.interval_s - wait_s;
    if holds {
        return DifferentialResult {
            on_frac: left_s / i.interval_s,
            starts: 1.0,
            start_body_c,
            running_at_end: true,
            ..DifferentialResult::default()
        };
    }
    let run_s = i.control.least_run_s.max(i.transit_s).max(1.0);
    let rest_s = warming_s(i.outlet_c, start_c, i.stagnation_c, i.time_constant_s);
    if run_s + rest_s >= left_s {
        // One run, and no time for another.
        return DifferentialResult {
            on_frac: (carried_s + run_s.min(left_s)) / i.interval_s,
            starts: 1.0,
            start_body_c,
            short_cycling: true,
            running_at_end: left_s < run_s,
            run_left_s: (run_s - left_s).max(0.0),
            standing_at_end_s: (left_s - run_s).max(0.0),
        };
    }
    // The interval ends half-way through a rest, as it does on the mean: `n (run + rest) = left + rest/2`.
    let starts = (left_s + 0.5 * rest_s) / (run_s + rest_s);
    let cycle_body_c = standing_c(i, i.running_body_c, rest_s);
    DifferentialResult {
        on_frac: (carried_s + (starts * run_s).min(left_s)) / i.interval_s,
        starts,
        // The first start finds the tube as it stood, the others as a cycle leaves it.
        start_body_c: cycle_body_c + (start_body_c - cycle_body_c) / starts,
        short_cycling: true,
        running_at_end: false,
        run_left_s: 0.0,
        standing_at_end_s: 0.5 * rest_s,
    }
}

/// The tube after standing for `seconds` from `from_c`, °C.
fn standing_c(i: &DifferentialInput<'_>, from_c: f64, seconds: f64) -> f64 {
    i.stagnation_c + (from_c - i.stagnation_c) * exp(-seconds / i.time_constant_s)
}

/// Time for a standing tube to warm from one temperature to another, s; infinite when stagnation is not above it.
fn warming_s(from_c: f64, to_c: f64, stagnation_c: f64, time_constant_s: f64) -> f64 {
    if from_c >= to_c {
        0.0
    } else if stagnation_c <= to_c {
        f64::INFINITY
    } else {
        time_constant_s * ((stagnation_c - from_c) / (stagnation_c - to_c)).ln()
    }
}
