//! Textbook examples, printed tables, and networks worked by hand.

use swimdays_properties::constants::GRAVITY_M_S2;
use swimdays_properties::materials::TubeMaterial;
use swimdays_pump::hydraulics::{
    ArrangementKind, Bend, Circuit, Fitting, FittingKind, FlowError, HeadCurve, Network, Operating,
    Piece, PumpPower, PumpUnit, Surroundings, Tube, TubeModel, Valve, Warning, Water,
    against_measured, arrangements,
};
use swimdays_tests::validation::table;

const INCH_M: f64 = 0.0254;
const FOOT_M: f64 = 0.3048;
const GALLON_M3: f64 = 3.785_411_784e-3;
const PSI_PA: f64 = 6_894.757;

/// White's answers are read from Moody's chart and rounded to two or three figures.
const CHART: f64 = 0.02;
/// Tube tables come from Hazen & Williams with C 150, which understates the loss of small tube at low flow by 10–20 %
/// (it was fitted to large water mains); the other way they must not differ.
const TUBE_TABLE: (f64, f64) = (-0.01, 0.2);
/// Printed to two or three figures: half a unit of the last is up to 0.7 % of 0.76, less elsewhere.
const PRINTED: f64 = 0.007;
/// The pump table is printed to two decimals: half a unit of 2.05.
const TWO_DECIMALS: f64 = 0.0025;

fn gpm(gallons_a_minute: f64) -> f64 {
    gallons_a_minute * GALLON_M3 / 60.0
}

fn smooth(length_m: f64, bore_m: f64) -> Tube {
    Tube {
        length_m,
        bore_m,
        roughness_m: 0.0,
        bend: Bend::Straight,
    }
}

/// Drawn plastic.
fn drawn(length_m: f64, bore_m: f64) -> Tube {
    Tube {
        roughness_m: TubeMaterial::Pex.roughness_m(),
        ..smooth(length_m, bore_m)
    }
}

/// White, *Fluid Mechanics*, chapter 6 (from memory): water in 200 ft of 6 in asphalted cast iron at 6 ft/s: Re 270 000,
/// f 0.02, head loss 4.5 ft, 280 lbf/ft². Oil, 0.2 m³/s in 500 m of 200 mm cast iron, ν 1e-5: Re 128 000, f 0.0225, 117 m.
#[test]
fn whites_examples() {
    let area = |bore: f64| std::f64::consts::FRAC_PI_4 * bore * bore;
    let bore_m = 6.0 * INCH_M;
    // ν = 1.1e-5 ft²/s, γ = 62.4 lbf/ft³; ε = 0.0004 ft.
    let nu = 1.1e-5 * FOOT_M * FOOT_M;
    let density = 62.4 * 4.448_222 / GRAVITY_M_S2 / FOOT_M.powi(3);
    let water = Water {
        density_kg_m3: density,
        viscosity_pa_s: density * nu,
        vapour_pressure_pa: 2_000.0,
    };
    let tube = Tube {
        roughness_m: 4e-4 * FOOT_M,
        ..smooth(200.0 * FOOT_M, bore_m)
    };
    let flow = TubeModel::new(tube, water).at(6.0 * FOOT_M * area(bore_m));
    let close = |found: f64, book: f64, what: &str| {
        assert!(
            (found / book - 1.0).abs() < CHART,
            "{what}: {found}, book {book}"
        );
    };
    close(flow.reynolds, 270_000.0, "Re");
    close(flow.friction_factor, 0.02, "f");
    close(
        flow.drop_pa / (density * GRAVITY_M_S2) / FOOT_M,
        4.5,
        "head, ft",
    );
    close(flow.drop_pa * FOOT_M * FOOT_M / 4.448_222, 280.0, "lbf/ft²");
    let oil = Water {
        density_kg_m3: 900.0,
        viscosity_pa_s: 900.0 * 1e-5,
        vapour_pressure_pa: 0.0,
    };
    let tube = Tube {
        roughness_m: 2.6e-4,
        ..smooth(500.0, 0.2)
    };
    let flow = TubeModel::new(tube, oil).at(0.2);
    close(flow.reynolds, 128_000.0, "Re of oil");
    close(flow.friction_factor, 0.0225, "f of oil");
    close(flow.drop_pa / (900.0 * GRAVITY_M_S2), 117.0, "head of oil");
}

/// psi per 100 ft as printed in makers' tables (secondary copies) and, for hose, Darcy–Weisbach with Colebrook, drawn
/// plastic, at 16 °C by `fluids` 1.3.1.
#[test]
fn tube_and_hose_tables() {
    let water = Water::at(16.0);
    let drop = |bore_in: f64, gallons: f64| {
        let tube = drawn(100.0 * FOOT_M, bore_in * INCH_M);
        TubeModel::new(tube, water).drop_pa(gpm(gallons)).0 / PSI_PA
    };
    let mut lines = vec![
        "| tube | flow gpm | printed psi/100 ft | here | difference % |".to_owned(),
        "|---|---|---|---|---|".to_owned(),
    ];
    let printed = [
        (
            "PEX ½ in (bore 0.485)",
            0.485,
            [(2.0, 5.30), (3.0, 11.0), (4.0, 18.4)].as_slice(),
        ),
        (
            "PEX ⅝ in (bore 0.584)",
            0.584,
            &[(2.0, 2.12), (3.0, 4.36), (4.0, 7.36)],
        ),
        ("hose ½ in", 0.5, &[(2.0, 5.0)]),
    ];
    for (name, bore_in, rows) in printed {
        for &(gallons, psi) in rows {
            let found = drop(bore_in, gallons);
            let over = found / psi - 1.0;
            lines.push(format!(
                "| {name} | {gallons} | {psi} | {found:.2} | {:+.0} |",
                100.0 * over
            ));
            assert!(
                over > TUBE_TABLE.0 && over < TUBE_TABLE.1,
                "{name} {gallons} gpm: {found}, printed {psi}"
            );
        }
    }
    table("hydraulics-tubes", &lines);
    let hose = [
        (0.5, [5.18, 17.5, 35.9, 60.0, 89.5, 186.0]),
        (0.625, [1.80, 6.03, 12.3, 20.6, 30.6, 63.3]),
        (0.75, [0.76, 2.53, 5.16, 8.59, 12.8, 26.3]),
    ];
    for (bore_in, row) in hose {
        for (gallons, psi) in [2.0, 4.0, 6.0, 8.0, 10.0, 15.0].into_iter().zip(row) {
            let found = drop(bore_in, gallons);
            assert!(
                (found / psi - 1.0).abs() < PRINTED,
                "{bore_in} in {gallons} gpm: {found}, {psi}"
            );
        }
    }
}

fn pump(shut_off_m: f64, free_flow_m3_s: f64) -> PumpUnit {
    PumpUnit {
        curve: HeadCurve::by_shut_off_and_free_flow(shut_off_m, free_flow_m3_s).expect("a pump"),
        power: PumpPower::Given { watts: 300.0 },
        self_priming: false,
    }
}

fn own(heater: Network) -> Circuit {
    Circuit::Own {
        inlet_m: -0.5,
        suction: Network::none(),
        heater,
    }
}

/// 7.6 m and 1500 gal/h, K 3, no lift, straight drawn tube of 0.60 in unless said, 27 °C: computed apart with `fluids`
/// 1.3.1 and scipy's root finder.
#[test]
fn the_pump_of_1500_gallons_an_hour() {
    let pump = pump(7.6, 1_500.0 * GALLON_M3 / 3_600.0);
    let around = Surroundings::at_sea_level(27.0);
    let run = |feet: f64, inch: f64| -> Network {
        Piece::run("tube", drawn(feet * FOOT_M, inch * INCH_M))
            .with([Fitting::one(FittingKind::Given { k: 3.0 })])
            .rising(0.5)
            .into()
    };
    let four = Network::SideBySide((0..4).map(|_| run(200.0, 0.6)).collect());
    for (heater, expected) in [
        (run(100.0, 0.6), 4.87),
        (run(200.0, 0.6), 3.39),
        (run(500.0, 0.6), 2.05),
        (four, 11.87),
        (run(200.0, 0.82), 7.49),
    ] {
        let found = Operating::find(&own(heater), &pump, &around).expect("settles");
        let flow = found.flow_m3_s / gpm(1.0);
        assert!(
            (flow / expected - 1.0).abs() < TWO_DECIMALS,
            "{flow} gpm, table {expected}"
        );
    }
}

/// By hand: 200 ft of 0.60 in hold 60.96 m · π/4 · (0.01524 m)² = 11.120 L; 3.393 gal/min are 0.21406 L/s: 51.95 s.
#[test]
fn water_passes_in_its_volume_over_the_flow() {
    let pump = pump(7.6, 1_500.0 * GALLON_M3 / 3_600.0);
    let run = Piece::run("tube", drawn(200.0 * FOOT_M, 0.6 * INCH_M))
        .with([Fitting::one(FittingKind::Given { k: 3.0 })])
        .rising(0.5);
    let found = Operating::find(&own(run.into()), &pump, &Surroundings::at_sea_level(27.0))
        .expect("settles");
    assert!((found.pieces[0].transit_s / 51.95 - 1.0).abs() < TWO_DECIMALS);
    assert!((found.heater_volume_m3 - 0.011_120).abs() < 1e-6);
}

/// Fewer coils in a row and more side by side always let more through: the drop of each way is less at any flow.
#[test]
fn side_by_side_lets_more_through_than_in_series() {
    let pump = pump(7.6, 1_500.0 * GALLON_M3 / 3_600.0);
    let around = Surroundings::at_sea_level(27.0);
    let coils: Vec<Network> = (0..4)
        .map(|i| Piece::run(format!("coil {i}"), drawn(200.0 * FOOT_M, 0.6 * INCH_M)).into())
        .collect();
    let flow = |wanted: ArrangementKind| {
        let way = arrangements(&coils)
            .into_iter()
            .find(|w| w.kind == wanted)
            .expect("a way");
        let ending = Piece::run("return", drawn(1.0, 0.025)).rising(0.3);
        let heater = Network::Series(vec![way.network, ending.into()]);
        Operating::find(&own(heater), &pump, &around)
            .expect("settles")
            .flow_m3_s
    };
    let series = flow(ArrangementKind::Series);
    let pairs = flow(ArrangementKind::Strings { strings: 2 });
    let groups = flow(ArrangementKind::Groups { groups: 2 });
    let all = flow(ArrangementKind::SideBySide);
    assert!(series < pairs && pairs < all);
    // Pairs in series or strings side by side: alike coils see the same flow.
    assert!((pairs / groups - 1.0).abs() < 1e-9);
}

const MOST_M3_S: f64 = 2e-3;
const SHUT_OFF_M: f64 = 8.0;
/// By-hand values hold to rounding.
const BY_HAND: f64 = 1e-9;

/// A body that drops `times` the pump's shut-off head at its free flow, with the square of the flow.
fn body(name: &str, times: f64, around: &Surroundings) -> Piece {
    Piece::run(name, smooth(0.0, 0.05)).with([Fitting::one(FittingKind::Filter {
        drop_pa: times * SHUT_OFF_M * around.water.density_kg_m3 * GRAVITY_M_S2,
        at_flow_m3_s: MOST_M3_S,
        linear_frac: 0.0,
        dirt_factor: 1.0,
    })])
}

fn solved(circuit: &Circuit, around: &Surroundings) -> Operating {
    Operating::find(circuit, &pump(SHUT_OFF_M, MOST_M3_S), around).expect("settles")
}

fn is(found: f64, expected: f64, what: &str) {
    assert!(
        (found - expected).abs() < BY_HAND,
        "{what}: {found}, by hand {expected}"
    );
}

/// With x = Q/Q₀ and n times the shut-off head at Q₀: 1 − x² = n x².
#[test]
fn series_and_side_by_side_by_hand() {
    let around = Surroundings::at_sea_level(20.0);
    let b = |name: &str, times: f64| Network::from(body(name, times, &around));
    let x = |heater: Network| solved(&own(heater), &around).flow_m3_s / MOST_M3_S;
    is(x(b("a", 1.0)), 0.5_f64.sqrt(), "one");
    is(
        x(Network::Series(vec![b("a", 1.0), b("b", 1.0)])),
        (1.0_f64 / 3.0).sqrt(),
        "two in series",
    );
    // Half the flow in each: a quarter of the drop.
    is(
        x(Network::SideBySide(vec![b("a", 1.0), b("b", 1.0)])),
        0.8_f64.sqrt(),
        "two side by side",
    );
    // 1 and 4 side by side: 2/3 and 1/3 of the flow, (2/3)² of the drop; with 1 before: n = 13/9.
    let mixed = Network::Series(vec![
        b("a", 1.0),
        Network::SideBySide(vec![b("b", 1.0), b("c", 4.0)]),
    ]);
    let found = solved(&own(mixed), &around);
    is(
        found.flow_m3_s / MOST_M3_S,
        (9.0_f64 / 22.0).sqrt(),
        "mixed",
    );
    is(found.pieces[1].share_frac, 2.0 / 3.0, "wide branch");
    is(found.pieces[2].share_frac, 1.0 / 3.0, "narrow branch");
}

#[test]
fn a_vent_loses_the_siphon() {
    let around = Surroundings::at_sea_level(20.0);
    let loop_of = |top_m: f64, vent: bool| {
        let mut up = body("board", 1.0, &around).rising(top_m + 0.5);
        up.open_to_air = vent;
        let down = Piece::run("return", smooth(0.0, 0.05)).rising(-top_m - 0.3);
        own(Network::Series(vec![up.into(), down.into()]))
    };
    // Closed: no lift, 1 − x² = x²; filling to 4 m of 8: 1 − x² = 0.5 + x².
    let closed = solved(&loop_of(4.0, false), &around);
    is(closed.flow_m3_s / MOST_M3_S, 0.5_f64.sqrt(), "siphon");
    is(closed.start.fill_flow_m3_s / MOST_M3_S, 0.5, "filling");
    assert!(closed.start.can_start && closed.start.siphon_holds);
    // All friction lies before the top: 4 m of water below air pressure there, and the velocity head.
    let weight = around.water.density_kg_m3 * GRAVITY_M_S2;
    let speed = closed.flow_m3_s / (std::f64::consts::FRAC_PI_4 * 0.05 * 0.05);
    let top_pa = -4.0 * weight - 0.5 * around.water.density_kg_m3 * speed * speed;
    assert!((closed.pieces[0].lowest_gauge_pa - top_pa).abs() < 1e-6 * weight);
    assert!(
        closed
            .warnings
            .iter()
            .any(|w| matches!(w, Warning::BelowAtmospheric { .. }))
    );
    let vented = solved(&loop_of(4.0, true), &around);
    is(vented.flow_m3_s / MOST_M3_S, 0.5, "vented");
    assert!(!vented.start.siphon_holds && vented.pieces[1].by_weight);
    assert!(
        vented
            .warnings
            .iter()
            .any(|w| matches!(w, Warning::SiphonLost { .. }))
    );
    // Higher than the pump lifts: vented never; closed runs once filled by hand, but 9 m up the column breaks.
    let too_high = solved(&loop_of(9.0, true), &around);
    assert!(too_high.flow_m3_s.abs() < 1e-300);
    assert!(
        too_high
            .warnings
            .iter()
            .any(|w| matches!(w, Warning::CannotLift { .. }))
    );
    let closed = solved(&loop_of(9.0, false), &around);
    assert!(!closed.start.can_start && !closed.start.siphon_holds);
    assert!(closed.warnings.iter().any(
        |w| matches!(w, Warning::CannotStart { high_point_m, available_m, .. }
        if (high_point_m - 9.0).abs() < 1e-9 && (available_m - 8.0).abs() < 1e-9)
    ));
    assert!(
        closed
            .warnings
            .iter()
            .any(|w| matches!(w, Warning::ColumnBreaks { .. }))
    );
}

fn tee(main: Network, heater: Network, after: Network) -> Circuit {
    Circuit::Tee {
        inlet_m: -0.5,
        suction: Network::none(),
        before: Network::none(),
        main,
        heater,
        after,
    }
}

#[test]
fn a_tee_off_the_filter_pump() {
    let around = Surroundings::at_sea_level(20.0);
    let b = |name: &str, times: f64| Network::from(body(name, times, &around));
    // 1 and 4 side by side, 1 after: as worked above. Alone: 1 and 1 in series.
    let found = solved(
        &tee(b("main", 1.0), b("heater", 4.0), b("after", 1.0)),
        &around,
    );
    is(
        found.pump_flow_m3_s / MOST_M3_S,
        (9.0_f64 / 22.0).sqrt(),
        "pump",
    );
    is(
        found.flow_m3_s / found.pump_flow_m3_s,
        1.0 / 3.0,
        "heater's share",
    );
    is(
        found.filter_flow_alone_m3_s.expect("a tee") / MOST_M3_S,
        (1.0_f64 / 3.0).sqrt(),
        "filter alone",
    );
    // A throttle in the main line sends more through the heater; shut, all.
    let mut last = 0.0;
    for open_frac in [1.0, 0.6, 0.4, 0.2, 0.0] {
        let throttle = Fitting {
            kind: FittingKind::Valve {
                valve: Valve::Gate,
                open_frac,
            },
            count: 1,
            bore_m: Some(0.038),
        };
        let main = body("main", 0.1, &around).with([throttle]);
        let found = solved(
            &tee(main.into(), b("heater", 4.0), b("after", 1.0)),
            &around,
        );
        assert!(found.flow_m3_s > last, "{open_frac}");
        last = found.flow_m3_s;
        if open_frac <= 0.0 {
            // 4 and 1 in series: 1 − x² = 5 x².
            is(
                found.flow_m3_s / MOST_M3_S,
                (1.0_f64 / 6.0).sqrt(),
                "all through the heater",
            );
            assert!(
                found
                    .warnings
                    .iter()
                    .any(|w| matches!(w, Warning::StandsStill { .. }))
            );
        }
    }
}

#[test]
fn a_roof_that_the_tee_cannot_reach_stands_still() {
    let around = Surroundings::at_sea_level(20.0);
    let main = body("main", 0.1, &around);
    // Main alone: 1 − x² = 0.1 x²: 8·0.1/1.1 = 0.727 m at the tee. The roof's end lies 2 m above the water.
    let heater = body("roof", 1.0, &around).rising(2.5);
    let found = solved(&tee(main.into(), heater.into(), Network::none()), &around);
    assert!(found.flow_m3_s.abs() < 1e-300);
    is(found.start.available_m, 0.8 / 1.1, "head at the tee");
    assert!(!found.start.can_start);
    assert!(
        found
            .warnings
            .iter()
            .any(|w| matches!(w, Warning::StandsStill { piece } if piece == "roof"))
    );
    assert!(
        found
            .warnings
            .iter()
            .any(|w| matches!(w, Warning::CannotStart { .. }))
    );
}

#[test]
fn a_branch_turns_backwards_and_a_check_valve_stops_it() {
    let around = Surroundings::at_sea_level(20.0);
    let weak = pump(0.5, MOST_M3_S);
    let find = |valve: bool| {
        let pool = body("to the pool", 1.0, &around).rising(0.2);
        let pool = if valve {
            pool.with([Fitting::one(FittingKind::CheckValve)])
        } else {
            pool
        };
        // Ends 3 m below the surface, open: it pulls more than the pump can send.
        let mut waste = body("to waste", 0.1, &around).rising(-2.5);
        waste.open_to_air = true;
        let before = body("before", 1.0, &around);
        let heater = Network::Series(vec![
            before.into(),
            Network::SideBySide(vec![pool.into(), waste.into()]),
        ]);
        Operating::find(&own(heater), &weak, &around).expect("settles")
    };
    let free = find(false);
    assert!(free.pieces[1].flow_m3_s < 0.0);
    assert!(
        free.warnings
            .iter()
            .any(|w| matches!(w, Warning::Backwards { piece, .. } if piece == "to the pool"))
    );
    let held = find(true);
    assert!(held.pieces[1].flow_m3_s.abs() < 1e-300 && held.pieces[2].flow_m3_s > 0.0);
    assert!(
        held.warnings
            .iter()
            .any(|w| matches!(w, Warning::StandsStill { piece } if piece == "to the pool"))
    );
}

#[test]
fn a_shut_valve_is_named() {
    let around = Surroundings::at_sea_level(20.0);
    let shut = Fitting::one(FittingKind::Valve {
        valve: Valve::Ball,
        open_frac: 0.0,
    });
    let found = solved(
        &own(body("coil", 1.0, &around).with([shut]).into()),
        &around,
    );
    assert!(found.flow_m3_s.abs() < 1e-300);
    assert!(found.warnings.contains(&Warning::DeadHeaded {
        piece: "coil".into()
    }));
}

#[test]
fn branches_that_cannot_join_are_refused() {
    let around = Surroundings::at_sea_level(20.0);
    let low: Network = body("low", 1.0, &around).into();
    let high: Network = body("high", 1.0, &around).rising(1.0).into();
    let after: Network = body("after", 1.0, &around).into();
    let joined = Network::Series(vec![Network::SideBySide(vec![low, high]), after]);
    let found = Operating::find(&own(joined), &pump(SHUT_OFF_M, MOST_M3_S), &around);
    assert!(matches!(found, Err(FlowError::HeightsDisagree { .. })));
}

/// 1 − x² = k x²: at x = 0.6, k = 0.64/0.36.
#[test]
fn a_bucket_tells_the_real_resistance() {
    let around = Surroundings::at_sea_level(20.0);
    let circuit = own(body("coil", 1.0, &around).into());
    let pump = pump(SHUT_OFF_M, MOST_M3_S);
    let found = against_measured(&circuit, &pump, &around, 0.6 * MOST_M3_S).expect("explained");
    assert!((found.resistance_factor - 16.0 / 9.0).abs() < 1e-8);
    is(found.computed_m3_s / MOST_M3_S, 0.5_f64.sqrt(), "computed");
    is(found.operating.flow_m3_s / MOST_M3_S, 0.6, "measured");
    let much = against_measured(&circuit, &pump, &around, 1.2 * MOST_M3_S);
    assert!(matches!(much, Err(FlowError::MeasuredTooMuch { .. })));
    let little = against_measured(&circuit, &pump, &around, 1e-3 * MOST_M3_S);
    assert!(matches!(little, Err(FlowError::MeasuredTooLittle { .. })));
}

/// Two pumps of one kind at speed n against a loop of squares only: flow goes with n, head with n², so power with n³.
#[test]
fn half_speed_is_half_the_flow() {
    let around = Surroundings::at_sea_level(20.0);
    let circuit = own(body("coil", 1.0, &around).into());
    let full = pump(SHUT_OFF_M, MOST_M3_S);
    let half = PumpUnit {
        curve: full.curve.at_speed(0.5).expect("in range"),
        power: full.power.at_speed(0.5),
        self_priming: false,
    };
    let (a, b) = (
        Operating::find(&circuit, &full, &around).expect("settles"),
        Operating::find(&circuit, &half, &around).expect("settles"),
    );
    is(b.flow_m3_s / a.flow_m3_s, 0.5, "flow");
    is(b.head_m / a.head_m, 0.25, "head");
    is(b.hydraulic_w / a.hydraulic_w, 0.125, "power in the water");
    is(b.power.middle_w / a.power.middle_w, 0.125, "power drawn");
}
