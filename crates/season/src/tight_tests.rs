//! The step against tight solutions of the same equations, on the sample weather.
//!
//! These are tests of the numerics, not of the physics: the right-hand side is the program's own, the solver is not.

use std::path::Path;

use swimdays_collector::HeaterState;
use swimdays_pool::GROUND_NODES;
use swimdays_pump::{Control, FlowSource, Window, every_month};
use swimdays_weather::WeatherYear;

use crate::clock::ticks;
use crate::machine::{Machine, Soils};
use crate::prepared::Prepared;
use crate::run::begin;
use crate::step::{Interval, Pad, Settled, State, Surface};
use crate::test_plan::{board, cover_and_board, sensor_plan};
use crate::{Detail, Plan, run};

/// design.md's bound for smooth schedules, K. A wrong slope or an explicit step misses it by far (0.3 K was seen).
const SMOOTH_WITHIN_K: f64 = 0.02;

/// Step of the tight solver, s. Halving it moves the answer by less than 1e-6 K.
const TIGHT_STEP_S: f64 = 15.0;

/// Controls decided every minute change heater energy by at most this share.
const MINUTE_ENERGY_FRAC: f64 = 0.01;

/// … and swim days by at most this many.
const MINUTE_DAYS: usize = 1;

fn weather(name: &str) -> WeatherYear {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../weather-samples")
        .join(name);
    swimdays_weather::read(&path).expect("a committed sample")
}

/// Everything but the ground at one water temperature, with the run's own pump and cover.
fn flows_w(
    machine: &Machine,
    at: &Interval<'_>,
    settled: &Settled,
    pad: &mut Pad,
    water_c: f64,
) -> f64 {
    let mut surface = pad.surface;
    let (sum_w, _) = machine.sum(at, &mut surface, water_c);
    let pump = &settled.pump;
    let mut into_w = sum_w + settled.filter_w + settled.other_w + pump.siphon_w;
    if pump.on_frac > 0.0 {
        let chain = machine.chain::<true>(&pad.hours, &pad.bodies, water_c, &mut pad.running);
        into_w += pump.on_frac * (chain.heat_w + pump.pump_heat_w);
        for (i, heater) in machine.heaters.iter().enumerate() {
            let start_j = heater.heater.start_heat_j(&pad.bodies[i], &pad.running[i]);
            into_w += pump.starts * start_j / machine.interval_s;
        }
    }
    into_w
}

/// Water and soil under the flows of one interval, by Runge–Kutta of fourth order.
fn tight(
    machine: &Machine,
    at: &Interval<'_>,
    run_start: &State,
    mut water_c: f64,
    nodes_c: &mut [f64; GROUND_NODES],
) -> f64 {
    let mut pad = Pad::new(machine);
    let settled = machine.settle(at, run_start, &mut pad);
    let deep_c = at.row().deep_c;
    let mut rate = |water: f64, nodes: &[f64; GROUND_NODES]| {
        let ground_w = machine.ground_area_m2 * machine.soils[0].flow_now_w_m2(nodes[0], water);
        let into_w = flows_w(machine, at, &settled, &mut pad, water) + ground_w;
        (
            into_w / machine.capacity_j_k,
            machine.soils[0].node_rates_k_s(nodes, water, deep_c),
        )
    };
    let steps = machine.interval_s / TIGHT_STEP_S;
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "240 in an hour"
    )]
    for _ in 0..steps.round() as usize {
        (water_c, *nodes_c) = runge_kutta(&mut rate, water_c, nodes_c, TIGHT_STEP_S);
    }
    water_c
}

/// One classical step of fourth order.
fn runge_kutta(
    rate: &mut impl FnMut(f64, &[f64; GROUND_NODES]) -> (f64, [f64; GROUND_NODES]),
    water_c: f64,
    nodes_c: &[f64; GROUND_NODES],
    h: f64,
) -> (f64, [f64; GROUND_NODES]) {
    let add = |k: &[f64; GROUND_NODES], h: f64| {
        let mut out = *nodes_c;
        for (o, k) in out.iter_mut().zip(k) {
            *o += h * k;
        }
        out
    };
    let (a, ka) = rate(water_c, nodes_c);
    let (b, kb) = rate(water_c + 0.5 * h * a, &add(&ka, 0.5 * h));
    let (c, kc) = rate(water_c + 0.5 * h * b, &add(&kb, 0.5 * h));
    let (d, kd) = rate(water_c + h * c, &add(&kc, h));
    let mut nodes = *nodes_c;
    for j in 0..GROUND_NODES {
        nodes[j] += h / 6.0 * (ka[j] + 2.0 * kb[j] + 2.0 * kc[j] + kd[j]);
    }
    (water_c + h / 6.0 * (a + 2.0 * b + 2.0 * c + d), nodes)
}

/// Pool, soil and tube while a thermostat switches the pump off at the very moment at which the water reaches its limit.
struct Switched {
    water_c: f64,
    nodes_c: [f64; GROUND_NODES],
    tube: HeaterState,
    heater_j: f64,
}

impl Switched {
    /// Moves through one interval; `limit_c` holds within the pump hours.
    fn interval(&mut self, machine: &Machine, at: &Interval<'_>, run_start: &State, limit_c: f64) {
        let mut pad = Pad::new(machine);
        let mut settled = machine.settle(at, run_start, &mut pad);
        let pump = machine.pump.as_ref().expect("a pump");
        let scheduled = pump.schedule.at(at.tick()) > 0.0;
        settled.pump.starts = 0.0;
        let mut left_s = machine.interval_s;
        while left_s > 1e-6 {
            let on = scheduled && self.water_c < limit_c;
            settled.pump.on_frac = if on { 1.0 } else { 0.0 };
            let full_s = TIGHT_STEP_S.min(left_s);
            let mut h = full_s;
            let mut end = self.moved(machine, at, &settled, &mut pad, h);
            if on && end.0 > limit_c {
                // The event: the water reaches the limit within the step.
                let (mut before, mut after) = (0.0, full_s);
                for _ in 0..40 {
                    h = 0.5 * (before + after);
                    end = self.moved(machine, at, &settled, &mut pad, h);
                    if end.0 > limit_c {
                        after = h;
                    } else {
                        before = h;
                    }
                }
                h = h.max(1e-6);
            }
            let unit = &machine.heaters[0].heater;
            let mut handed_j = 0.0;
            if on {
                let middle_c = 0.5 * (self.water_c + end.0);
                let chain =
                    machine.chain::<true>(&pad.hours, &pad.bodies, middle_c, &mut pad.running);
                handed_j = unit.start_heat_j(&self.tube, &pad.running[0]);
                self.tube.body_c = pad.running[0].body_c;
                self.heater_j += chain.heat_w * h + handed_j;
            } else {
                self.tube = unit.rest_body(&pad.hours[0], &self.tube, h);
            }
            self.water_c = end.0 + handed_j / machine.capacity_j_k;
            self.nodes_c = end.1;
            left_s -= h;
        }
    }

    fn moved(
        &self,
        machine: &Machine,
        at: &Interval<'_>,
        settled: &Settled,
        pad: &mut Pad,
        h: f64,
    ) -> (f64, [f64; GROUND_NODES]) {
        let deep_c = at.row().deep_c;
        let mut rate = |water: f64, nodes: &[f64; GROUND_NODES]| {
            let ground_w = machine.ground_area_m2 * machine.soils[0].flow_now_w_m2(nodes[0], water);
            let into_w = flows_w(machine, at, settled, pad, water) + ground_w;
            (
                into_w / machine.capacity_j_k,
                machine.soils[0].node_rates_k_s(nodes, water, deep_c),
            )
        };
        runge_kutta(&mut rate, self.water_c, &self.nodes_c, h)
    }
}

/// A large board that a thermostat stops at 27 °C: the run against a solution that locates each switching. Allowed is
/// what the heater gives in one interval, the longest by which an hourly decision can be late.
#[test]
fn a_thermostat_follows_an_event_located_solution() {
    const LIMIT_C: f64 = 27.0;
    let mut plan = cover_and_board();
    plan.cover = None;
    plan.heaters = vec![board("large", 600.0)];
    if let Some(pump) = &mut plan.pump {
        pump.pump.flow = FlowSource::Given { flow_m3_s: 1e-3 };
        pump.control = Control::Timer(every_month(&[Window {
            start_h: 9.0,
            end_h: 17.0,
        }]));
        pump.limits.water_limit_c = Some(LIMIT_C);
    }
    let year = Prepared::new(&plan, &weather("hot-dry.epw")).expect("prepared");
    let machine = Machine::new(&plan, &year, &mut Soils::default()).expect("machine");
    let mut pad = Pad::new(&machine);
    let mut state = begin(&machine, &year, 0, 12.0);
    let mut exact = Switched {
        water_c: state.water_c,
        nodes_c: machine.soils[0].node_temperatures_c(&state.ground),
        tube: state.heaters[0],
        heater_j: 0.0,
    };
    let (mut worst_k, mut most_w, mut run_j, mut partial) = (0.0_f64, 0.0_f64, 0.0, 0);
    for i in 0..year.rows.len() {
        let at = Interval {
            year: &year,
            index: i,
        };
        exact.interval(&machine, &at, &state, LIMIT_C);
        let outcome = machine.step(&at, &mut state, &mut pad);
        partial += usize::from(outcome.pump_on_frac > 0.0 && outcome.pump_on_frac < 1.0);
        most_w = most_w.max(outcome.heat_w.heaters);
        run_j += outcome.heat_w.heaters * machine.interval_s;
        worst_k = worst_k.max((state.water_c - exact.water_c).abs());
    }
    let allowed_k = most_w * machine.interval_s / machine.capacity_j_k;
    println!(
        "{partial} intervals with a switching: water within {worst_k:.4} K (allowed {allowed_k:.4} K), heater {:.1} kWh, located {:.1} kWh",
        run_j / 3.6e6,
        exact.heater_j / 3.6e6
    );
    assert!(partial > 100, "the thermostat must switch often: {partial}");
    assert!(worst_k <= allowed_k, "{worst_k} K");
    assert!((run_j - exact.heater_j).abs() <= MINUTE_ENERGY_FRAC * exact.heater_j);
}

#[test]
fn the_slope_of_all_flows_is_their_derivative() {
    // The fourth power, the vapour curve and free convection leave 1e-5 of the slope at most in a central difference of this
    // width (it goes with its square); condensation against make-up switching leaves kinks, which are passed over: the smooth
    // slope changes by some 3 % a kelvin.
    const HALF_K: f64 = 0.02;
    const KINK_FRAC: f64 = 0.002;
    const WITHIN: f64 = 1e-5;
    let plan = cover_and_board();
    let year = Prepared::new(&plan, &weather("temperate.epw")).expect("prepared");
    let machine = Machine::new(&plan, &year, &mut Soils::default()).expect("machine");
    let mut checked = 0;
    for index in (0..year.rows.len()).step_by(37) {
        let at = Interval { year: &year, index };
        for cover in [0.0, 0.4, 1.0] {
            for water_c in [8.0, 21.0, 33.0] {
                let mut surface = Surface::none(0.0);
                machine.surface(&at, cover, 1.2, true, &mut surface);
                let sum = |c: f64| {
                    let mut fresh = surface;
                    machine.sum(&at, &mut fresh, c)
                };
                let (below, middle, above) =
                    (sum(water_c - HALF_K), sum(water_c), sum(water_c + HALF_K));
                let found = (above.0 - below.0) / (2.0 * HALF_K);
                let bend = (above.1 - below.1).abs() / middle.1.abs();
                if bend > KINK_FRAC {
                    continue;
                }
                checked += 1;
                assert!(
                    (middle.1 - found).abs() <= WITHIN * found.abs(),
                    "interval {index}, cover {cover}, {water_c} °C: slope {}, difference {found}",
                    middle.1
                );
            }
        }
    }
    assert!(checked > 1800, "{checked} slopes");
}

fn largest_error_k(plan: &Plan, weather: &WeatherYear) -> f64 {
    let year = Prepared::new(plan, weather).expect("prepared");
    let machine = Machine::new(plan, &year, &mut Soils::default()).expect("machine");
    let mut pad = Pad::new(&machine);
    let mut state = begin(&machine, &year, 0, 12.0);
    let mut water_c = state.water_c;
    let mut nodes_c = machine.soils[0].node_temperatures_c(&state.ground);
    let mut worst = 0.0_f64;
    for i in 0..year.rows.len() {
        let at = Interval {
            year: &year,
            index: i,
        };
        water_c = tight(&machine, &at, &state, water_c, &mut nodes_c);
        machine.step(&at, &mut state, &mut pad);
        assert!(
            state.ice_kg <= 0.0,
            "the tight solver knows no ice: take a milder sample"
        );
        worst = worst.max((state.water_c - water_c).abs());
    }
    worst
}

#[test]
fn the_step_follows_a_tight_solution_through_a_year() {
    let mut found = Vec::new();
    for sample in ["hot-dry.epw", "cool-south.epw"] {
        let worst = largest_error_k(&cover_and_board(), &weather(sample));
        println!("{sample}: largest difference from the tight solution {worst:.5} K");
        found.push((sample, worst));
    }
    for (sample, worst) in found {
        assert!(worst <= SMOOTH_WITHIN_K, "{sample}: {worst} K");
    }
}

/// Every interval cut into minutes, the weather held as it is: the same run with controls decided each minute.
fn in_minutes(year: &Prepared, plan: &Plan, utc_offset_h: f64) -> Prepared {
    let cut = usize::try_from(year.interval_minutes).expect("minutes");
    let mut fine = year.clone();
    fine.interval_minutes = 1;
    fine.interval_s = 60.0;
    fine.rows = year
        .rows
        .iter()
        .flat_map(|row| {
            (0..cut).map(move |m| {
                let mut row = *row;
                row.start += chrono::TimeDelta::minutes(i64::try_from(m).expect("minutes"));
                row
            })
        })
        .collect();
    for plane in &mut fine.planes {
        plane.rows = plane
            .rows
            .iter()
            .flat_map(|row| std::iter::repeat_n(*row, cut))
            .collect();
    }
    let starts: Vec<_> = fine.rows.iter().map(|r| r.start).collect();
    fine.ticks = ticks(&starts, 1, plan.site.summer_time, utc_offset_h);
    fine
}

#[test]
fn controls_decided_every_minute_change_little() {
    for (name, plan) in [
        ("timer and limits", cover_and_board()),
        ("sensor", sensor_plan()),
    ] {
        for sample in ["hot-dry.epw", "temperate.epw", "cool-south.epw"] {
            let weather = weather(sample);
            let year = Prepared::new(&plan, &weather).expect("prepared");
            let fine = in_minutes(&year, &plan, weather.place.utc_offset_h);
            let hourly = run(&plan, &year, Detail::Days).expect("hourly");
            let minutes = run(&plan, &fine, Detail::Days).expect("by the minute");
            let (a, b) = (hourly.heat_kwh.heaters, minutes.heat_kwh.heaters);
            println!(
                "{name}, {sample}: swim days {} hourly, {} by the minute; heater {a:.1} kWh, {b:.1} kWh; pump {:.0} h, {:.0} h",
                hourly.swim_days, minutes.swim_days, hourly.pump_hours, minutes.pump_hours
            );
            assert!(
                hourly.swim_days.abs_diff(minutes.swim_days) <= MINUTE_DAYS,
                "{name}, {sample}: swim days"
            );
            assert!(
                (a - b).abs() <= MINUTE_ENERGY_FRAC * b.abs(),
                "{name}, {sample}: heater energy"
            );
        }
    }
}
