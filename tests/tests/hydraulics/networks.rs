//! Ten thousand random networks: the solver settles, water and pressure close, energy closes.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{RngSeed, TestRunner};
use swimdays_properties::constants::GRAVITY_M_S2;
use swimdays_pump::hydraulics::{
    Bend, Circuit, Fitting, FittingKind, HeadCurve, Network, Operating, Piece, PieceRow, PumpPower,
    PumpUnit, Surroundings, Tube, Valve,
};
use swimdays_tests::Errors;
use swimdays_tests::validation::error_table;

use super::calm_row;

const NETWORKS: u32 = 10_000;
/// What is promised of every node and every loop.
const CLOSED: f64 = 1e-9;

fn bends() -> impl Strategy<Value = Bend> {
    prop_oneof![
        3 => Just(Bend::Straight),
        1 => (0.15..2.0_f64).prop_map(|diameter_m| Bend::Coil { diameter_m }),
        1 => (0.15..0.5_f64, 1.0..4.0_f64).prop_map(|(inner_m, ratio)| Bend::Spiral {
            inner_m,
            outer_m: inner_m * ratio,
        }),
    ]
}

fn fittings() -> impl Strategy<Value = Vec<Fitting>> {
    let kind = prop_oneof![
        3 => Just(FittingKind::Elbow),
        1 => Just(FittingKind::TeeBranch),
        1 => Just(FittingKind::CheckValve),
        2 => (0..3_usize, 0.0..1.0_f64).prop_map(|(v, open)| FittingKind::Valve {
            valve: [Valve::Ball, Valve::Gate, Valve::Globe][v],
            // One in ten is shut; below a twentieth open is not told from shut.
            open_frac: if open < 0.1 { 0.0 } else { open },
        }),
        1 => (1e3..5e4_f64, 1e-4..4e-3_f64, 0.0..1.0_f64).prop_map(|(drop_pa, at_flow_m3_s, linear_frac)| {
            FittingKind::Filter { drop_pa, at_flow_m3_s, linear_frac, dirt_factor: 1.0 }
        }),
    ];
    prop::collection::vec(
        (kind, 1..4_u32).prop_map(|(kind, n)| Fitting::of(kind, n)),
        0..3,
    )
}

fn pieces() -> impl Strategy<Value = Network> {
    (
        prop_oneof![1 => Just(0.0_f64), 8 => 0.05..150.0_f64],
        0.006..0.06_f64,
        prop_oneof![Just(0.0_f64), Just(1.5e-6), Just(1e-4)],
        bends(),
        fittings(),
        prop_oneof![2 => Just(0.0_f64), 1 => 0.0..4.0_f64],
    )
        .prop_map(|(length_m, bore_m, roughness_m, bend, fittings, high_m)| {
            let tube = Tube {
                length_m,
                bore_m,
                roughness_m,
                bend,
            };
            let mut piece = Piece::run("piece", tube).with(fittings);
            piece.high_m = high_m;
            piece.into()
        })
}

fn level_networks() -> impl Strategy<Value = Network> {
    pieces().prop_recursive(4, 24, 4, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 1..4).prop_map(Network::Series),
            prop::collection::vec(inner, 1..5).prop_map(Network::SideBySide),
        ]
    })
}

/// A way to the pool: up, through, and down to the water, or ending above or spilling below the surface.
fn ways_to_the_pool() -> impl Strategy<Value = Network> {
    (
        level_networks(),
        -0.5..5.0_f64,
        prop_oneof![4 => Just(0.0_f64), 1 => 0.1..3.0_f64, 1 => -2.0..-0.1_f64],
        any::<bool>(),
    )
        .prop_map(|(network, up_m, end_m, valve)| {
            let tube = Tube {
                length_m: 2.0,
                bore_m: 0.025,
                roughness_m: 1.5e-6,
                bend: Bend::Straight,
            };
            let up = Piece::run("up", tube).rising(up_m);
            let check = Fitting::one(FittingKind::CheckValve);
            let up = if valve { up.with([check]) } else { up };
            let mut down = Piece::run("down", tube)
                .rising(end_m - up_m)
                .with([Fitting::one(FittingKind::Exit)]);
            // Below the surface and open: it spills to waste, and pulls.
            down.open_to_air = end_m < 0.0;
            Network::Series(vec![up.into(), network, down.into()])
        })
}

fn circuits() -> impl Strategy<Value = Circuit> {
    let ways = || {
        prop_oneof![
            3 => ways_to_the_pool(),
            1 => prop::collection::vec(ways_to_the_pool(), 1..4).prop_map(Network::SideBySide),
        ]
    };
    prop_oneof![
        ways().prop_map(|heater| Circuit::Own {
            inlet_m: 0.0,
            suction: Network::none(),
            heater,
        }),
        (level_networks(), ways(), ways()).prop_map(|(before, main, heater)| Circuit::Tee {
            inlet_m: 0.0,
            suction: Network::none(),
            before,
            main,
            heater,
            after: Network::none(),
        }),
        (
            level_networks(),
            level_networks(),
            level_networks(),
            level_networks(),
            ways()
        )
            .prop_map(|(suction, before, main, heater, after)| Circuit::Tee {
                inlet_m: 0.0,
                suction,
                before,
                main,
                heater,
                after,
            }),
    ]
}

fn pumps() -> impl Strategy<Value = PumpUnit> {
    (1.0..25.0_f64, 2e-4..6e-3_f64, any::<bool>()).prop_map(|(shut_off_m, most, by_points)| {
        let parabola = HeadCurve::by_shut_off_and_free_flow(shut_off_m, most).expect("a pump");
        let curve = if by_points {
            let points: Vec<_> = (0..6)
                .map(|i| {
                    let flow_m3_s = most * f64::from(i) / 5.0;
                    swimdays_pump::hydraulics::CurvePoint {
                        flow_m3_s,
                        head_m: parabola.head_m(flow_m3_s).0,
                    }
                })
                .collect();
            HeadCurve::by_points(&points).expect("falls")
        } else {
            parabola
        };
        PumpUnit {
            curve,
            power: PumpPower::Given { watts: 300.0 },
            self_priming: true,
        }
    })
}

/// What went through a part of the tree, and what it cost.
struct Through {
    flow_m3_s: f64,
    /// Largest flow of its branches: what a node of it takes in, also where water circles.
    largest_m3_s: f64,
    /// Pressure from its start to its end, lifts included, Pa.
    drop_pa: f64,
    /// Pressure that would make it flow, where it stands still.
    moves: bool,
}

struct Laws<'r> {
    rows: std::slice::Iter<'r, PieceRow>,
    weight_pa_m: f64,
    shut_off_pa: f64,
    mass: f64,
    loops: f64,
    work_w: f64,
}

impl Laws<'_> {
    fn through(&mut self, network: &Network) -> Through {
        match network {
            Network::Piece(_) => {
                let row = self.rows.next().expect("a row for every piece");
                let lift = if row.open_to_air {
                    self.weight_pa_m * row.outlet_height_m
                } else {
                    0.0
                };
                let drop_pa = if row.by_weight {
                    0.0
                } else {
                    row.drop_pa + lift
                };
                self.work_w += drop_pa * row.flow_m3_s;
                Through {
                    flow_m3_s: row.flow_m3_s,
                    largest_m3_s: row.flow_m3_s.abs(),
                    drop_pa,
                    moves: row.flow_m3_s.abs() > 0.0,
                }
            }
            Network::Series(parts) => {
                let parts: Vec<Through> = parts.iter().map(|p| self.through(p)).collect();
                let Some(first) = parts.first() else {
                    return Through {
                        flow_m3_s: f64::NAN,
                        largest_m3_s: 0.0,
                        drop_pa: 0.0,
                        moves: true,
                    };
                };
                let size = parts.iter().map(|p| p.largest_m3_s).fold(0.0, f64::max);
                for p in &parts {
                    self.node(p.flow_m3_s - first.flow_m3_s, size);
                }
                Through {
                    flow_m3_s: first.flow_m3_s,
                    largest_m3_s: size,
                    drop_pa: parts.iter().map(|p| p.drop_pa).sum(),
                    moves: parts.iter().all(|p| p.moves),
                }
            }
            Network::SideBySide(parts) => {
                let parts: Vec<Through> = parts.iter().map(|p| self.through(p)).collect();
                self.branches(&parts)
            }
        }
    }

    fn branches(&mut self, parts: &[Through]) -> Through {
        let moving = || parts.iter().filter(|p| p.moves);
        let most = moving()
            .map(|p| p.drop_pa)
            .fold(f64::NEG_INFINITY, f64::max);
        let least = moving().map(|p| p.drop_pa).fold(f64::INFINITY, f64::min);
        if most.is_finite() {
            // Drops below a millionth of the pump's are counted as that.
            let size = most.abs().max(least.abs()) + 1e-6 * self.shut_off_pa;
            self.loops = self.loops.max((most - least) / size);
        }
        Through {
            flow_m3_s: parts.iter().map(|p| p.flow_m3_s).sum(),
            largest_m3_s: parts.iter().map(|p| p.largest_m3_s).fold(0.0, f64::max),
            drop_pa: if most.is_finite() {
                0.5 * (most + least)
            } else {
                0.0
            },
            moves: most.is_finite(),
        }
    }

    fn node(&mut self, difference: f64, size: f64) {
        if size > 0.0 {
            self.mass = self.mass.max(difference.abs() / size);
        }
    }
}

struct Found {
    mass: f64,
    loops: f64,
    energy: f64,
    steps: usize,
    flows: bool,
    still: usize,
    backwards: usize,
}

fn laws(circuit: &Circuit, pump: &PumpUnit, around: &Surroundings) -> Found {
    let operating = Operating::find(circuit, pump, around)
        .unwrap_or_else(|e| panic!("{e}\n{circuit:?}\n{:?}", pump.curve));
    let weight_pa_m = around.water.density_kg_m3 * GRAVITY_M_S2;
    let mut laws = Laws {
        rows: operating.pieces.iter(),
        weight_pa_m,
        shut_off_pa: weight_pa_m * pump.curve.shut_off_m(),
        mass: 0.0,
        loops: 0.0,
        work_w: 0.0,
    };
    let total = operating.pump_flow_m3_s;
    let mut ends: Vec<Through> = Vec::new();
    match circuit {
        Circuit::Own {
            suction, heater, ..
        } => {
            ends.push(laws.through(suction));
            ends.push(laws.through(heater));
        }
        Circuit::Tee {
            suction,
            before,
            main,
            heater,
            after,
            ..
        } => {
            ends.push(laws.through(suction));
            ends.push(laws.through(before));
            let sides = [laws.through(main), laws.through(heater)];
            ends.push(laws.branches(&sides));
            ends.push(laws.through(after));
        }
    }
    for end in ends.iter().filter(|e| !e.flow_m3_s.is_nan()) {
        laws.node(end.flow_m3_s - total, total.max(end.largest_m3_s));
    }
    let flows = total > 0.0;
    if flows {
        let around_the_loop: f64 = ends.iter().map(|e| e.drop_pa).sum();
        let difference = (around_the_loop - weight_pa_m * operating.head_m).abs();
        laws.loops = laws.loops.max(difference / laws.shut_off_pa);
    }
    let energy = if flows {
        (laws.work_w - operating.hydraulic_w).abs() / (laws.shut_off_pa * total)
    } else {
        0.0
    };
    assert!(laws.rows.next().is_none(), "more rows than pieces");
    Found {
        mass: laws.mass,
        loops: laws.loops,
        energy,
        steps: operating.steps,
        flows,
        still: operating
            .pieces
            .iter()
            .filter(|r| flows && r.flow_m3_s.abs() <= 0.0)
            .count(),
        backwards: operating
            .pieces
            .iter()
            .filter(|r| r.flow_m3_s < 0.0)
            .count(),
    }
}

#[test]
fn ten_thousand_random_networks_close() {
    let around = Surroundings::at_sea_level(27.0);
    let mut runner = TestRunner::new(ProptestConfig {
        rng_seed: RngSeed::Fixed(19_510_401),
        failure_persistence: None,
        ..ProptestConfig::default()
    });
    let strategy = (circuits(), pumps());
    let mut found: Vec<Found> = Vec::new();
    for _ in 0..NETWORKS {
        let (circuit, pump) = strategy.new_tree(&mut runner).expect("a network").current();
        found.push(laws(&circuit, &pump, &around));
    }
    let of = |f: fn(&Found) -> f64| {
        let all: Vec<f64> = found.iter().map(f).collect();
        Errors::of(&all)
    };
    let (mass, loops, energy) = (of(|f| f.mass), of(|f| f.loops), of(|f| f.energy));
    #[allow(clippy::cast_precision_loss, reason = "a count of steps")]
    let steps = of(|f| f.steps as f64);
    let count = |f: fn(&Found) -> bool| found.iter().filter(|x| f(x)).count();
    println!(
        "flow {}; some piece still {}; some backwards {}; steps {steps}\nmass {mass}\nloops {loops}\nenergy {energy}",
        count(|f| f.flows),
        count(|f| f.still > 0),
        count(|f| f.backwards > 0),
    );
    // The generator must reach what it is for.
    assert!(count(|f| f.flows) > 5_000 && count(|f| f.still > 0) > 500);
    assert!(count(|f| f.backwards > 0) > 20);
    assert!(mass.max < CLOSED && loops.max < CLOSED && energy.max < CLOSED);
    error_table(
        "hydraulics-networks",
        &[
            calm_row("water at every node", "what flows in", &mass, "of the flow"),
            calm_row(
                "pressure around every loop",
                "0",
                &loops,
                "of the loop's drop",
            ),
            calm_row(
                "work of the pump",
                "Σ drop × flow + lift × flow",
                &energy,
                "of shut-off pressure × flow",
            ),
        ],
    );
}
