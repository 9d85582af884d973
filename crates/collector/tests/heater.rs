//! What must hold of every heater: signs, limits, identities, slopes.

mod common;

use common::{every_kind, night, noon, weathers};
use swimdays_collector::{Heater, HeaterState};

const FLOWS_KG_S: [f64; 4] = [0.005, 0.05, 0.1, 0.4];
const INLETS_C: [f64; 4] = [8.0, 20.0, 27.0, 45.0];

/// Newton's steps are fixed in number: what they leave, relative to the larger of the flows that balance.
const IDENTITY: f64 = 1e-6;
/// Central differences with a step of 0.01 K.
const SLOPE: f64 = 1e-5;

fn heater(spec: &swimdays_collector::HeaterSpec, flow: f64) -> Heater {
    Heater::new(spec, flow).expect("a valid heater")
}

/// A deck warmed by an afternoon, so that its layers differ.
fn state(h: &Heater) -> HeaterState {
    let s = h.initial_state(22.0, 16.0);
    h.rest(&noon(), &s, 3_600.0)
}

#[test]
fn heat_is_what_was_absorbed_less_what_was_lost() {
    for (name, spec) in every_kind() {
        for flow in FLOWS_KG_S {
            let h = heater(&spec, flow);
            let s = state(&h);
            for w in weathers() {
                for inlet in INLETS_C {
                    let r = h.run(&w, &s, inlet, flow);
                    let gained = r.absorbed_w - r.lost_w + r.from_store_w;
                    let size = r.absorbed_w.abs() + r.lost_w.abs() + r.from_store_w.abs();
                    assert!(
                        (r.heat_w - gained).abs() <= IDENTITY * size.max(1.0),
                        "{name} {flow} {inlet} {w:?}: {} against {gained}",
                        r.heat_w
                    );
                    let rise = flow * 4_180.6 * (r.outlet_c - inlet);
                    assert!(
                        (rise - r.heat_w).abs() <= 1e-4 * r.heat_w.abs() + 1e-6,
                        "{name}"
                    );
                }
            }
        }
    }
}

#[test]
fn slopes_are_derivatives() {
    let step = 0.01;
    for (name, spec) in every_kind() {
        for flow in FLOWS_KG_S {
            let h = heater(&spec, flow);
            let s = state(&h);
            for w in weathers() {
                for inlet in INLETS_C {
                    let at = |c: f64| h.run(&w, &s, c, flow).heat_w;
                    let finite = (at(inlet + step) - at(inlet - step)) / (2.0 * step);
                    let slope = h.run(&w, &s, inlet, flow).slope_w_k;
                    assert!(slope <= 0.0, "{name} {slope}");
                    assert!(
                        (slope - finite).abs() <= SLOPE * finite.abs(),
                        "{name} {flow} {inlet} {w:?}: {slope} against {finite}"
                    );
                }
            }
        }
    }
}

#[test]
fn ever_less_flow_ends_at_stagnation() {
    // Water at a trickle leaves at the temperature of a tube without flow; 0.5 K for what little still flows.
    for (name, spec) in every_kind() {
        let h = heater(&spec, 1e-5).with_interval_s(1.0);
        let s = state(&h);
        for w in weathers() {
            let still = h.stagnation_c(&w, &s);
            let outlet = h.run(&w, &s, 20.0, 1e-5).outlet_c;
            assert!(
                (outlet - still).abs() < 0.5,
                "{name} {w:?}: {outlet} against {still}"
            );
            let none = h.run(&w, &s, 20.0, 0.0);
            assert!(
                none.heat_w == 0.0 && (none.outlet_c - still).abs() < 1e-9,
                "{name}"
            );
        }
    }
}

#[test]
fn no_outlet_passes_the_stagnation_temperature() {
    for (name, spec) in every_kind() {
        for flow in [1e-4, 1e-3, 0.005, 0.05] {
            let h = heater(&spec, flow).with_interval_s(1.0);
            let s = state(&h);
            for w in weathers() {
                let still = h.stagnation_c(&w, &s);
                let outlet = h.run(&w, &s, 10.0, flow).outlet_c;
                if still > 10.0 {
                    // The gap below a lid is guessed at another temperature when nothing flows: 3 K.
                    // Elsewhere the number of transfer units belongs to a nearby surface: 1 % of the rise.
                    let room = if h.is_glazed() {
                        3.0
                    } else {
                        0.01 * (still - 10.0)
                    };
                    assert!(
                        outlet < still + room,
                        "{name} {flow} {w:?}: {outlet} over {still}"
                    );
                }
            }
        }
    }
}

#[test]
fn more_flow_more_heat_and_a_finite_limit() {
    for (name, spec) in every_kind() {
        let mut last = 0.0;
        let mut heats = Vec::new();
        for flow in [0.002, 0.01, 0.05, 0.2, 1.0, 20.0, 40.0] {
            let h = heater(&spec, flow);
            let s = h.initial_state(25.0, 18.0);
            let heat = h.run(&noon(), &s, 15.0, flow).heat_w;
            // The film to the air is that of an estimate: a hundred-thousandth.
            assert!(
                heat >= last * (1.0 - 1e-5),
                "{name} {flow}: {heat} after {last}"
            );
            last = heat;
            heats.push(heat);
        }
        assert!(heats[6] / heats[5] - 1.0 < 0.01, "{name}: {heats:?}");
    }
}

#[test]
fn a_cold_night_cools() {
    for (name, spec) in every_kind() {
        let h = heater(&spec, 0.1);
        let s = h.initial_state(12.0, 16.0);
        assert!(h.run(&night(), &s, 27.0, 0.1).heat_w < 0.0, "{name}");
    }
}

#[test]
fn rest_goes_to_stagnation_and_starts_at_the_right_rate() {
    for (name, spec) in every_kind() {
        let h = heater(&spec, 0.1);
        let w = noon();
        let s = HeaterState {
            body_c: 20.0,
            ..state(&h)
        };
        // Body alone, the slab held: a day is many time constants.
        let end = h.rest_body(&w, &s, 86_400.0).body_c;
        let still = h.stagnation_c(&w, &s);
        if !name.contains("deck") {
            assert!((end - still).abs() < 0.05, "{name}: {end} against {still}");
        }
        let halfway = h.rest_body(&w, &s, 120.0);
        let twice = h.rest_body(&w, &halfway, 120.0).body_c;
        let once = h.rest_body(&w, &s, 240.0).body_c;
        // The decay is exponential piece by piece; the loss is not quite linear.
        assert!((twice - once).abs() < 0.4, "{name}: {twice} against {once}");
        assert!(h.rest(&w, &s, 0.0) == s, "{name}");
        assert!(h.time_constant_s(&w) > 10.0, "{name}");
    }
}

#[test]
fn a_slab_keeps_what_it_takes() {
    for (name, spec) in every_kind() {
        let h = heater(&spec, 0.1);
        for w in weathers() {
            let s = state(&h);
            let Some(idle) = h.slab_balance(&w, &s, None, 3_600.0) else {
                continue;
            };
            let r = h.run(&w, &s, 24.0, 0.1);
            for (balance, after) in [
                (idle, h.rest(&w, &s, 3_600.0)),
                (
                    h.slab_balance(&w, &s, Some((&r, 0.6)), 3_600.0)
                        .expect("a deck"),
                    h.advance(&w, &s, &r, 0.6, 3_600.0),
                ),
            ] {
                let stored = (h.stored_j(&after) - h.stored_j(&s)) / 3_600.0;
                let flows =
                    balance.sun_w - balance.lost_w + balance.from_soil_w - balance.to_tube_w;
                let size = balance.sun_w + balance.lost_w.abs() + 1.0;
                assert!(
                    (stored - flows).abs() < 1e-9 * size,
                    "{name}: {stored} against {flows}"
                );
            }
        }
    }
}

#[test]
fn performance_scales_heat_and_what_makes_it() {
    let (_, spec) = every_kind().swap_remove(0);
    let h = heater(&spec, 0.1);
    let s = state(&h);
    let full = h.run(&noon(), &s, 24.0, 0.1);
    let part = h.with_performance(0.8).run(&noon(), &s, 24.0, 0.1);
    assert!((part.heat_w / full.heat_w - 0.8).abs() < 1e-12);
    assert!((part.slope_w_k / full.slope_w_k - 0.8).abs() < 1e-12);
    assert!((part.heat_w - (part.absorbed_w - part.lost_w)).abs() < 1e-6 * part.heat_w);
}

#[test]
fn a_cold_heater_above_the_pool_turns_and_a_hot_one_does_not() {
    let (_, spec) = every_kind().swap_remove(0);
    let h = heater(&spec, 0.1);
    assert!(h.thermosiphon_flow_kg_s(10.0, 26.0, 3.0, 20.0, 0.038) > 0.0);
    assert!(h.thermosiphon_flow_kg_s(60.0, 26.0, 3.0, 20.0, 0.038) == 0.0);
    assert!(h.thermosiphon_flow_kg_s(60.0, 26.0, -1.0, 20.0, 0.038) > 0.0);
}

#[test]
fn other_flows_than_the_design_have_their_own_film() {
    let (_, spec) = every_kind().swap_remove(0);
    let s = HeaterState::default();
    let made_for = heater(&spec, 0.02).run(&noon(), &s, 24.0, 0.02).heat_w;
    let asked_for = heater(&spec, 0.2).run(&noon(), &s, 24.0, 0.02).heat_w;
    assert!((made_for / asked_for - 1.0).abs() < 1e-12);
}
