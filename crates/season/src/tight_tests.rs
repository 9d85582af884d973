//! The step against tight solutions of the same equations, on the sample weather.
//!
//! These are tests of the numerics, not of the physics: the right-hand side is the program's own, the solver is not.

use std::path::Path;

use swimdays_pool::GROUND_NODES;
use swimdays_weather::WeatherYear;

use crate::clock::ticks;
use crate::machine::Machine;
use crate::prepared::Prepared;
use crate::run::begin;
use crate::step::{Interval, Pad, Settled, State};
use crate::test_plan::{cover_and_board, sensor_plan};
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
    let terms = machine.terms(
        at,
        settled.cover_on_frac,
        settled.bathing,
        settled.open,
        water_c,
    );
    let pump = &settled.pump;
    let mut into_w = terms.sum().0 + settled.filter_w + settled.other_w + pump.siphon_w;
    if let (true, Some(unit)) = (pump.on_frac > 0.0, &machine.pump) {
        let chain = machine.chain(unit, &pad.weather, &pad.bodies, water_c, &mut pad.running);
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
    let mut pad = Pad::new();
    let settled = machine.settle(at, run_start, &mut pad);
    let deep_c = at.row().deep_c;
    let mut rate = |water: f64, nodes: &[f64; GROUND_NODES]| {
        let ground_w = machine.ground_area_m2 * machine.ground.flow_now_w_m2(nodes[0], water);
        let into_w = flows_w(machine, at, &settled, &mut pad, water) + ground_w;
        (
            into_w / machine.capacity_j_k,
            machine.ground.node_rates_k_s(nodes, water, deep_c),
        )
    };
    let add = |nodes: &[f64; GROUND_NODES], k: &[f64; GROUND_NODES], h: f64| {
        let mut out = *nodes;
        for (o, k) in out.iter_mut().zip(k) {
            *o += h * k;
        }
        out
    };
    let steps = machine.interval_s / TIGHT_STEP_S;
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "240 in an hour"
    )]
    for _ in 0..steps.round() as usize {
        let h = TIGHT_STEP_S;
        let (a, ka) = rate(water_c, nodes_c);
        let (b, kb) = rate(water_c + 0.5 * h * a, &add(nodes_c, &ka, 0.5 * h));
        let (c, kc) = rate(water_c + 0.5 * h * b, &add(nodes_c, &kb, 0.5 * h));
        let (d, kd) = rate(water_c + h * c, &add(nodes_c, &kc, h));
        water_c += h / 6.0 * (a + 2.0 * b + 2.0 * c + d);
        for j in 0..GROUND_NODES {
            nodes_c[j] += h / 6.0 * (ka[j] + 2.0 * kb[j] + 2.0 * kc[j] + kd[j]);
        }
    }
    water_c
}

fn largest_error_k(plan: &Plan, weather: &WeatherYear) -> f64 {
    let year = Prepared::new(plan, weather).expect("prepared");
    let machine = Machine::new(plan, &year).expect("machine");
    let mut pad = Pad::new();
    let mut state = begin(&machine, &year, 0, 12.0);
    let mut water_c = state.water_c;
    let mut nodes_c = machine.ground.node_temperatures_c(&state.ground);
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
