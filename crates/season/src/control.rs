//! Whether the pump pushes water through the heaters in one interval, and from what state it starts.

use swimdays_pump::{Control, DifferentialInput, differential_on_frac};

use crate::machine::{Machine, PumpUnit};
use crate::step::{Chain, Interval, Pad, State};

/// Rounds in which the flow of a thermosiphon and its tube come to agree.
const SIPHON_ROUNDS: usize = 5;

/// What was decided for one interval.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Decision {
    /// Share of the interval with flow.
    pub on_frac: f64,
    /// Whether flow still runs when the interval ends.
    pub on_at_end: bool,
    /// Time for which a sensor's run must still go on when the interval ends, s.
    pub run_left_s: f64,
    /// How long the tubes stand after flow has stopped, s.
    pub rest_s: f64,
    /// How often the heat held by the tubes is handed to the water in this interval.
    pub starts: f64,
    /// The heaters at the water temperature of the interval's start.
    pub chain: Option<Chain>,
    /// Heat handed over at the start, W of the interval's mean.
    pub start_w: f64,
    /// Pump heat that heating adds while on, W.
    pub pump_heat_w: f64,
    /// Electricity that heating adds while on, W.
    pub power_w: f64,
    /// Heat lost by buoyant flow while the pump stands, W.
    pub siphon_w: f64,
    /// The control starts and stops more than it should.
    pub short_cycling: bool,
    /// The pool is hotter than the limit for night cooling.
    pub cooling_wanted: bool,
    /// The pump runs to cool the pool.
    pub cooling: bool,
}

impl Decision {
    /// Heat that pump and heaters add at the water temperature of the interval's start, W.
    #[inline]
    pub(crate) fn added_w(&self) -> f64 {
        match &self.chain {
            Some(chain) => self.on_frac * (chain.heat_w + self.pump_heat_w) + self.start_w,
            None => self.siphon_w,
        }
    }

    /// Slope of the heaters' heat with the water's temperature while on, W/K.
    #[inline]
    pub(crate) fn slope_w_k(&self) -> f64 {
        self.chain.as_ref().map_or(0.0, |c| c.slope_w_k)
    }

    const OFF: Self = Self {
        on_frac: 0.0,
        on_at_end: false,
        run_left_s: 0.0,
        rest_s: 0.0,
        starts: 0.0,
        chain: None,
        start_w: 0.0,
        pump_heat_w: 0.0,
        power_w: 0.0,
        siphon_w: 0.0,
        short_cycling: false,
        cooling_wanted: false,
        cooling: false,
    };
}

/// Share of an interval for which something that warms the water (a cover, a heater) is on when a limit switches it
/// off that lies `room_k` above the water's start.
///
/// `with_k` and `without_k` are the water's rise over the interval with and without it. Below the limit it is on until
/// the water crosses it; above the limit it stays off until the water has fallen back; where the water is then pushed
/// to and fro across the limit, it is on for the share that holds it.
#[inline]
pub(crate) fn share_within_limit(room_k: f64, with_k: f64, without_k: f64) -> f64 {
    let holds = || (room_k - without_k) / (with_k - without_k);
    let share = if room_k > 0.0 {
        if with_k <= room_k {
            1.0
        } else if without_k < 0.0 {
            holds()
        } else {
            room_k / with_k
        }
    } else if without_k >= room_k {
        0.0
    } else if with_k > 0.0 {
        holds()
    } else {
        1.0 - room_k / without_k
    };
    share.clamp(0.0, 1.0)
}

impl Machine {
    /// Decides the pump. `rise_without_k` and `stiffness_w_k` describe the water's step without heaters.
    #[inline]
    pub(crate) fn decide(
        &self,
        at: &Interval<'_>,
        pad: &mut Pad,
        state: &State,
        open: bool,
        rise_without_k: f64,
        stiffness_w_k: f64,
    ) -> Decision {
        let mut out = Decision::OFF;
        let (Some(pump), false) = (&self.pump, self.heaters.is_empty()) else {
            return out;
        };
        let heaters = self.heaters.len();
        pad.bodies[..heaters].copy_from_slice(&state.heaters[..heaters]);
        pad.siphon_w[..heaters].fill(0.0);
        let water_c = state.water_c;
        let noted = at.noted_pump();
        let frost = pump.limits.frost(at.row().air_c);
        let limit_c = pump.limits.water_limit_c.unwrap_or(f64::INFINITY);
        let cools = pump
            .limits
            .night_cooling
            .is_some_and(|n| water_c > n.above_water_c);
        let scheduled = match noted {
            Some(share) => share,
            None if open && !frost => pump.schedule.at(at.tick()),
            None => 0.0,
        };
        out.cooling_wanted = cools && open && noted.is_none();
        if out.cooling_wanted && !frost && self.cool(pump, at, pad, state, &mut out) {
            return out;
        }
        if scheduled <= 0.0 {
            // A pool that is closed has its heaters drained.
            if open {
                self.siphon(pump, pad, state, &mut out);
            }
            return out;
        }
        if let (Control::Differential(control), None) = (&pump.control, noted) {
            // A window that opens within the interval finds tubes that stood until then; one that closes lets them stand.
            let outside_s = (1.0 - scheduled) * self.interval_s;
            if !state.pump_on && outside_s > 0.0 {
                for (i, unit) in self.heaters.iter().enumerate() {
                    pad.bodies[i] =
                        unit.heater
                            .rest_body(&pad.weather[i], &state.heaters[i], outside_s);
                }
            }
            let chain = self.chain(pump, &pad.weather, &pad.bodies, water_c, &mut pad.running);
            let last = self.heaters.len() - 1;
            let unit = &self.heaters[last];
            let result = differential_on_frac(&DifferentialInput {
                control,
                stagnation_c: unit
                    .heater
                    .stagnation_c(&pad.weather[last], &pad.bodies[last]),
                body_c: pad.bodies[last].body_c,
                time_constant_s: unit.heater.time_constant_s(&pad.weather[last]),
                running_body_c: pad.running[last].body_c,
                outlet_c: chain.outlet_c,
                water_c,
                transit_s: unit.transit_s,
                was_on: state.pump_on,
                run_left_s: state.run_left_s,
                interval_s: self.interval_s * scheduled,
            });
            out.on_frac = result.on_frac * scheduled;
            out.on_at_end = result.running_at_end;
            out.short_cycling = result.short_cycling;
            out.rest_s = result.standing_at_end_s;
            out.run_left_s = result.run_left_s;
            if state.pump_on && outside_s > 0.0 {
                out.rest_s += outside_s;
                out.on_at_end = false;
                out.run_left_s = 0.0;
            }
            // A pump that runs on hands over the change of its tubes' warmth, as after a start.
            out.starts = if result.starts > 0.0 {
                result.starts
            } else {
                1.0
            };
            if result.starts > 0.0 {
                // The sensor's heater starts as warm as the control says; the others as they then stand.
                for (i, unit) in self.heaters.iter().enumerate() {
                    let wait_s = (1.0 - result.on_frac) * self.interval_s * scheduled;
                    pad.bodies[i] = unit
                        .heater
                        .rest_body(&pad.weather[i], &pad.bodies[i], wait_s);
                }
                pad.bodies[last].body_c = result.start_body_c;
            }
        } else {
            out.on_frac = scheduled;
            out.on_at_end = scheduled >= 1.0 || !state.pump_on;
            out.starts = 1.0;
            if state.pump_on {
                out.rest_s = (1.0 - scheduled) * self.interval_s;
            } else if scheduled < 1.0 {
                let wait_s = (1.0 - scheduled) * self.interval_s;
                for (i, unit) in self.heaters.iter().enumerate() {
                    pad.bodies[i] =
                        unit.heater
                            .rest_body(&pad.weather[i], &state.heaters[i], wait_s);
                }
            }
        }
        if out.on_frac <= 0.0 {
            self.siphon(pump, pad, state, &mut out);
            return out;
        }
        self.start(pump, pad, state, &mut out);
        let mut out = self.finish(pump, at, out);
        if noted.is_none() {
            self.hold_limit(limit_c - water_c, rise_without_k, stiffness_w_k, &mut out);
        }
        out
    }

    /// The chain when flow starts, and what the tubes hand over.
    #[inline]
    fn start(&self, pump: &PumpUnit, pad: &mut Pad, state: &State, out: &mut Decision) {
        let chain = self.chain(
            pump,
            &pad.weather,
            &pad.bodies,
            state.water_c,
            &mut pad.running,
        );
        out.start_w = self
            .heaters
            .iter()
            .enumerate()
            .map(|(i, unit)| {
                unit.exchanged_frac(out.on_frac * self.interval_s, out.starts)
                    * unit.heater.start_heat_j(&pad.bodies[i], &pad.running[i])
            })
            .sum::<f64>()
            * out.starts
            / self.interval_s;
        out.chain = Some(chain);
    }

    /// Shortens the run where the water reaches its limit.
    #[inline]
    fn hold_limit(&self, room_k: f64, rise_without_k: f64, stiffness_w_k: f64, out: &mut Decision) {
        let Some(chain) = &out.chain else { return };
        let added_w = out.added_w();
        let rise_with_k =
            rise_without_k + added_w / (stiffness_w_k - 0.5 * out.on_frac * chain.slope_w_k);
        if added_w > 0.0 && rise_with_k > room_k {
            let keep = share_within_limit(room_k, rise_with_k, rise_without_k);
            out.on_frac *= keep;
            out.starts *= keep;
            out.start_w *= keep;
            out.on_at_end = false;
            out.rest_s = (1.0 - out.on_frac) * self.interval_s;
        }
    }

    /// Runs to cool the pool when the heaters take more from it than their tubes and the pump put in.
    #[inline]
    fn cool(
        &self,
        pump: &PumpUnit,
        at: &Interval<'_>,
        pad: &mut Pad,
        state: &State,
        out: &mut Decision,
    ) -> bool {
        let mut cooling = Decision {
            cooling: true,
            on_frac: 1.0,
            on_at_end: true,
            starts: 1.0,
            ..*out
        };
        self.start(pump, pad, state, &mut cooling);
        let cooling = self.finish(pump, at, cooling);
        let cools = cooling.added_w() < 0.0;
        if cools {
            *out = cooling;
        }
        cools
    }

    /// What a heater above the pool gives away by itself at night when no check valve stops the water.
    ///
    /// The colder the tube the stronger the flow, and the stronger the flow the warmer the tube: a few rounds towards
    /// where both agree. An upper bound, as the flow itself is.
    #[inline]
    fn siphon(&self, pump: &PumpUnit, pad: &mut Pad, state: &State, out: &mut Decision) {
        if pump.check_valve {
            return;
        }
        for (i, unit) in self.heaters.iter().enumerate() {
            let water_c = state.water_c;
            let mut tube_c = state.heaters[i].body_c;
            if unit.height_above_water_m <= 0.0 || tube_c >= water_c {
                continue;
            }
            let mut heat_w = 0.0;
            for _ in 0..SIPHON_ROUNDS {
                let flow_kg_s = unit.heater.thermosiphon_flow_kg_s(
                    tube_c,
                    water_c,
                    unit.height_above_water_m,
                    pump.connecting_length_m,
                    pump.connecting_bore_m,
                );
                if flow_kg_s <= 0.0 {
                    break;
                }
                let running =
                    unit.heater
                        .run(&pad.weather[i], &state.heaters[i], water_c, flow_kg_s);
                heat_w = running.heat_w.min(0.0);
                tube_c = 0.5 * (tube_c + 0.5 * (running.outlet_c + water_c));
            }
            pad.siphon_w[i] = heat_w;
            out.siphon_w += heat_w;
        }
    }

    #[inline]
    fn finish(&self, pump: &PumpUnit, at: &Interval<'_>, mut out: Decision) -> Decision {
        let filter = pump.filter.at(at.tick());
        out.pump_heat_w = filter * pump.heating_heat_w[0] + (1.0 - filter) * pump.heating_heat_w[1];
        out.power_w = filter * pump.heating_power_w[0] + (1.0 - filter) * pump.heating_power_w[1];
        out
    }
}

#[cfg(test)]
mod tests {
    use super::share_within_limit;

    #[test]
    fn a_limit_switches_where_the_water_crosses_it() {
        // By hand, in K: room, rise with, rise without, share.
        let cases = [
            (2.0, 1.0, -1.0, 1.0),        // never reached
            (0.5, 1.0, 0.2, 0.5),         // crossed half-way, still rising without
            (0.5, 1.0, -1.0, 0.75),       // held: 0.75 · 1 − 0.25 · 1 = 0.5
            (-0.5, 1.0, 0.3, 0.0),        // above and rising
            (-0.5, -0.2, -0.4, 0.0),      // above and not falling far enough
            (-0.5, -0.1, -1.0, 0.5),      // falls to it half-way, then on
            (-0.5, 0.5, -1.0, 1.0 / 3.0), // held: ⅓ · 0.5 − ⅔ · 1 = −0.5
        ];
        for (room, with, without, share) in cases {
            let found = share_within_limit(room, with, without);
            assert!(
                (found - share).abs() < 1e-12,
                "{room} {with} {without}: {found}, not {share}"
            );
        }
    }
}
