//! Heat of the heaters counted in three ways, and pump heat.

use swimdays_collector::{Heater, HeaterSpec};
use swimdays_season::PumpPlan;
use swimdays_tests::{Errors, validation};

use crate::{Ran, first_law};

/// What the heaters give, and absorbed less lost plus what the standing tube gave: two sums of the same run. The
/// collectors' own balances close to some 1e-9.
const CLOSES_FRAC: f64 = 1e-6;
/// The inlet is the step's estimate of the middle of the water's way, 1 mK from ours at the most (see `first_law`); it
/// stands in for some 1000 W/K of flow.
const INLET_K: f64 = 1e-3;
/// Density and specific heat of water, IAPWS-95 (CoolProp 8.0.0) at 27 °C: 996.52 kg/m³, 4180.6 J/(kg·K); ρ c_p changes by 0.1 %
/// from 25 to 30 °C, and the program may take either.
const FLOW_CAPACITY_J_M3_K: f64 = 996.52 * 4180.6;
const FLOW_CAPACITY_FRAC: f64 = 2e-3;

fn pump(ran: &Ran) -> &PumpPlan {
    ran.plan.pump.as_ref().expect("a plan with a pump")
}

/// Heat capacity of the tube and its water, J/K, from its measures (density and specific heat of the plastic are the
/// program's table).
fn tube_capacity_j_k(spec: &HeaterSpec) -> f64 {
    let HeaterSpec::Board(board) = spec else {
        panic!("a board")
    };
    let tube = &board.tube;
    let area = |d: f64| 0.25 * std::f64::consts::PI * d * d;
    let plastic = tube.material.density_kg_m3() * tube.material.specific_heat_j_kg_k();
    tube.length_m
        * (area(tube.bore_m) * FLOW_CAPACITY_J_M3_K
            + (area(tube.outer_diameter_m) - area(tube.bore_m)) * plastic)
}

#[test]
fn heaters_give_what_they_absorb_less_what_they_lose() {
    let plans = [
        ("board", Ran::of("cover-and-board", &[])),
        ("large board", Ran::of("large-board", &[])),
        ("board, sensor", Ran::of("above-ground-south", &[])),
        ("deck, night cooling", Ran::of("hot-dry", &[])),
    ];
    for (name, ran) in plans.into_iter().chain(first_law::plans()) {
        let mut sum = 0.0;
        for heater in &ran.season.heaters {
            let counted = heater.absorbed_less_lost_kwh + heater.from_standing_tube_kwh;
            println!(
                "{name}, {}: {:.3} kWh to the water; {:.3} absorbed less lost, {:.3} from the standing tube",
                heater.name,
                heater.heat_kwh,
                heater.absorbed_less_lost_kwh,
                heater.from_standing_tube_kwh
            );
            let gross = heater.absorbed_less_lost_kwh.abs() + heater.from_standing_tube_kwh.abs();
            assert!(
                (heater.heat_kwh - counted).abs() <= CLOSES_FRAC * gross.max(1.0),
                "{name}, {}: {} against {counted} kWh",
                heater.name,
                heater.heat_kwh
            );
            sum += heater.heat_kwh;
        }
        let ledger = ran.season.heat_kwh.heaters;
        assert!(
            (sum - ledger).abs() <= 1e-9 * ledger.abs().max(1.0),
            "{name}: {sum}, ledger {ledger}"
        );
    }
}

#[test]
fn heat_is_flow_times_rise_plus_what_the_tube_gave() {
    let mut all = Vec::new();
    for sets in [
        &[][..],
        &[
            "heater.board.tube.length=500 ft",
            "heater.board.board.area=60 ft2",
            "pump.flow=2 gpm",
            "pool.cover.kind=none",
        ],
    ] {
        let ran = Ran::of("cover-and-board", sets);
        let hourly = ran.hourly();
        let capacity_w_k = pump(&ran).pump.flow_m3_s() * FLOW_CAPACITY_J_M3_K;
        let tube_j_k = tube_capacity_j_k(&ran.plan.heaters[0].spec);
        let mut hours = 0;
        for i in 1..hourly.water_c.len() {
            // The whole interval, and the whole one before.
            if hourly.pump_on_frac[i] < 1.0 || hourly.pump_on_frac[i - 1] < 1.0 {
                continue;
            }
            hours += 1;
            let inlet_c = 0.5 * (ran.start_c(i) + hourly.water_c[i]);
            let by_flow = capacity_w_k * (hourly.outlet_c[i] - inlet_c);
            let by_tube =
                tube_j_k * (hourly.tube_c[i - 1] - hourly.tube_c[i]) / ran.year.interval_s;
            let found = hourly.heat_w[i].heaters;
            let allowed =
                INLET_K * capacity_w_k + FLOW_CAPACITY_FRAC * (by_flow.abs() + by_tube.abs());
            all.push(found - by_flow - by_tube);
            assert!(
                (found - by_flow - by_tube).abs() <= allowed,
                "interval {i}: {found} W, flow {by_flow} W, tube {by_tube} W, {allowed} W allowed"
            );
        }
        assert!(hours > 500, "only {hours} hours of steady pumping");
    }
    let errors = Errors::of(&all);
    println!("{errors} W");
    validation::error_table(
        "season-heaters",
        &[validation::row(
            "heat of a board, hourly, pump on for two hours",
            "ρ c V̇ (outlet − pool) + C (tube before − tube now)",
            &errors,
            "W",
        )],
    );
}

/// Filter pump's heat by hand: 1100 W drawn, 0.3 of it into the water (the scenario's own listed defaults), 8 h a
/// day, 153 days from May to September.
#[test]
fn pump_heat_by_hand() {
    let ran = Ran::of("cover-and-board", &[]);
    let by_hand = 1.1 * 0.3 * 8.0 * 153.0;
    let found = ran.season.heat_kwh.pump_heat;
    println!("pump heat {found:.2} kWh, by hand {by_hand:.2} kWh");
    assert!(
        (found - by_hand).abs() <= 1e-9 * by_hand,
        "{found} against {by_hand} kWh"
    );
    // Where the filter runs anyway, heating adds nothing (power = 0 W left out).
    assert!(ran.season.pump_kwh.abs() < 1e-9, "{}", ran.season.pump_kwh);
    // A pump of its own: watts times hours.
    let own = Ran::of("cover-and-board", &["pump.kind=own", "pump.power=120 W"]);
    let by_hand = 0.12 * own.season.pump_hours;
    assert!((own.season.pump_kwh - by_hand).abs() <= 1e-9 * by_hand);
    assert!((own.season.heat_kwh.pump_heat - 0.5 * by_hand).abs() <= 1e-9 * by_hand);
}

/// Heater water in the tube of the board: used as a check of the measures above against the collector crate.
#[test]
fn the_tubes_capacity_is_that_of_its_measures() {
    let ran = Ran::of("cover-and-board", &[]);
    let spec = &ran.plan.heaters[0].spec;
    let heater = Heater::new(spec, 0.25).expect("a heater");
    let (found, ours) = (heater.heat_capacity_j_k(), tube_capacity_j_k(spec));
    assert!(
        (found - ours).abs() <= FLOW_CAPACITY_FRAC * ours,
        "{found} against {ours} J/K"
    );
}
