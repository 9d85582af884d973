//! `[heater.plumbing]`, and each heater as pieces of tube.

use swimdays_collector::{HeaterSpec, Layout, TubeSpec};
use swimdays_properties::constants::GRAVITY_M_S2;
use swimdays_pump::hydraulics::{Bend, Fitting, FittingKind, Network, Piece, Tube};
use swimdays_quantity::Kind;
use swimdays_season::HeaterPlan;

use super::fittings::{HALF_TURN_K, INSERT_FRAC, fittings};
use super::runs::of;
use super::source::head_at_flow;
use crate::section::Section;
use crate::walk::Walk;
use crate::words::source;

/// What was written of a heater's own plumbing.
#[derive(Clone, Debug, Default)]
pub(crate) struct HeaterPipes {
    fittings: Option<Vec<Fitting>>,
    /// Highest point above the water, m.
    high_m: Option<f64>,
    /// Sides of a board, m, where they are written.
    sides_m: Option<(f64, f64)>,
    drop: Option<(f64, f64)>,
}

pub(crate) fn heater_pipes(
    walk: &mut Walk<'_>,
    heater: &mut Section<'_>,
    bore_m: f64,
) -> HeaterPipes {
    let mut s = heater.section(walk, "plumbing");
    let fittings = fittings(walk, &mut s, "fittings", bore_m);
    let high = s.quantity(walk, "high", Kind::Length, -5.0..=30.0);
    let drop = s.parsed(
        walk,
        "drop",
        "a head or pressure at a flow, such as \"1 psi at 4 gpm\"",
        head_at_flow,
    );
    if let crate::walk::Field::Given((head_m, flow)) = &drop
        && (*head_m < 0.0 || *flow <= 0.0)
    {
        s.wrong(
            walk,
            "drop",
            "is not a drop at a flow",
            "a head above 0 at a flow above 0",
            "take it from the panel's sheet",
        );
    }
    s.finish(walk);
    HeaterPipes {
        fittings: fittings.given(),
        high_m: high.given(),
        sides_m: sides_m(walk, heater),
        drop: drop.given(),
    }
}

/// Sides of the board, where they are written.
fn sides_m(walk: &mut Walk<'_>, heater: &mut Section<'_>) -> Option<(f64, f64)> {
    // Wrong values are reported where the board is read.
    let errors = walk.errors.len();
    let mut board = heater.section(walk, "board");
    let sides_m = board.sides("area").or_else(|| {
        let mut side = |key| board.quantity(walk, key, Kind::Length, 0.1..=100.0).given();
        side("length").zip(side("width"))
    });
    walk.errors.truncate(errors);
    sides_m
}

/// Longest slope of a board of unknown sides, m: a sheet lies along, 4 ft up the slope (common practice, no source).
const SHEET_SLOPE_M: f64 = 1.25;

/// From the lower to the upper edge along the slope, m: a board lies along, its shorter side up the slope.
fn slope_m(spec: &HeaterSpec, pipes: &HeaterPipes) -> f64 {
    match spec {
        HeaterSpec::Board(board) => pipes.sides_m.map_or_else(
            || board.board_area_m2.sqrt().min(SHEET_SLOPE_M),
            |(length_m, width_m)| length_m.min(width_m),
        ),
        HeaterSpec::Panel(panel) => panel.area_m2.sqrt(),
        HeaterSpec::Deck(deck) => (deck.tube.length_m * deck.spacing_m).sqrt(),
    }
}

/// Highest point of a heater above the pool's water, m: what is written, or half its slope above its middle.
pub(crate) fn top_m(plan: &HeaterPlan, pipes: &HeaterPipes) -> f64 {
    let at_m = plan.height_above_water_m;
    pipes.high_m.map_or_else(
        || at_m + 0.5 * slope_m(&plan.spec, pipes) * plan.plane.tilt_deg.to_radians().sin(),
        |high_m| high_m.max(at_m),
    )
}

/// Bore of a heater's own tube, or of the pipe that a panel is joined with, m.
pub(crate) fn bore_m(spec: &HeaterSpec) -> f64 {
    tube_of(spec).map_or(0.038, |tube| tube.bore_m)
}

pub(crate) fn tube_of(spec: &HeaterSpec) -> Option<&TubeSpec> {
    match spec {
        HeaterSpec::Board(board) => Some(&board.tube),
        HeaterSpec::Deck(deck) => Some(&deck.tube),
        HeaterSpec::Panel(_) => None,
    }
}

/// A panel's drop when nothing is written: 1 kPa at 4 L/min for each m² (own estimate, no source).
const PANEL_PA: f64 = 1_000.0;
const PANEL_FLOW_M3_S_M2: f64 = 4.0e-3 / 60.0;
const PASCAL_PER_M: f64 = 998.0 * GRAVITY_M_S2;

/// The heater from the height `base_m` and back to it.
pub(crate) fn heater_network(
    walk: &mut Walk<'_>,
    plan: &HeaterPlan,
    pipes: &HeaterPipes,
    base_m: f64,
) -> Network {
    let key = |key: &str| format!("heater.{}.plumbing.{key}", plan.name);
    let at_m = plan.height_above_water_m;
    let (bend, turns) = shape(&plan.spec);
    let bore_m = bore_m(&plan.spec);
    let mut fittings = if let Some(written) = &pipes.fittings {
        written.clone()
    } else {
        let barb = FittingKind::Barb {
            insert_bore_m: INSERT_FRAC * bore_m,
        };
        if tube_of(&plan.spec).is_some() {
            let bends = if turns > 0 {
                format!(", {turns} half turns")
            } else {
                String::new()
            };
            walk.assume(key("fittings"), format!("2 barb{bends}"), source::ESTIMATE);
            vec![
                of(2, barb),
                of(turns, FittingKind::Given { k: HALF_TURN_K }),
            ]
        } else {
            Vec::new()
        }
    };
    fittings.retain(|f| f.count > 0);
    if let Some((head_m, at_flow_m3_s)) = pipes.drop {
        fittings.push(filter(head_m * PASCAL_PER_M, at_flow_m3_s));
    } else if let HeaterSpec::Panel(panel) = &plan.spec {
        let at = PANEL_FLOW_M3_S_M2 * panel.area_m2;
        let show = format!(
            "{} at {}",
            walk.units.format_short(Kind::Pressure, PANEL_PA, 2),
            walk.units.format_short(Kind::Flow, at, 1)
        );
        walk.assume(key("drop"), show, source::ESTIMATE);
        fittings.push(filter(PANEL_PA, at));
    }
    let high_m = top_m(plan, pipes) - at_m;
    if pipes.high_m.is_none() && high_m > 0.05 {
        let show = walk.units.format_short(Kind::Length, at_m + high_m, 1);
        let from = match (&plan.spec, pipes.sides_m) {
            (HeaterSpec::Board(_), Some(_)) => {
                "half its shorter side above its middle: it lies along"
            }
            (HeaterSpec::Board(_), None) => {
                "half its slope above its middle, 4 ft at most: it lies along"
            }
            _ => "half its slope above its middle, taken as square",
        };
        walk.assume(key("high"), show, from);
    }
    let piece = |name: String, length_m: f64| {
        let (bore_m, roughness_m) = match tube_of(&plan.spec) {
            Some(tube) => (tube.bore_m, tube.material.roughness_m()),
            None => (bore_m, 1.5e-6),
        };
        Network::Piece(Piece {
            name,
            tube: Tube {
                length_m,
                bore_m,
                roughness_m,
                bend,
            },
            rise_m: 0.0,
            high_m,
            fittings: fittings.clone(),
            open_to_air: false,
        })
    };
    let body = match tube_of(&plan.spec) {
        Some(tube) if tube.parallel_circuits > 1 => {
            let each = tube.length_m / f64::from(tube.parallel_circuits);
            Network::SideBySide(
                (1..=tube.parallel_circuits)
                    .map(|n| piece(format!("{}, circuit {n}", plan.name), each))
                    .collect(),
            )
        }
        Some(tube) => piece(plan.name.clone(), tube.length_m),
        None => piece(plan.name.clone(), 0.0),
    };
    if (at_m - base_m).abs() < 1e-6 {
        return body;
    }
    let link = |name: &str, rise_m: f64| {
        let tube = Tube {
            length_m: 0.0,
            bore_m,
            roughness_m: 1.5e-6,
            bend: Bend::Straight,
        };
        Network::Piece(Piece::run(format!("{name} {}", plan.name), tube).rising(rise_m))
    };
    Network::Series(vec![
        link("to", at_m - base_m),
        body,
        link("from", base_m - at_m),
    ])
}

fn filter(drop_pa: f64, at_flow_m3_s: f64) -> Fitting {
    of(
        1,
        FittingKind::Filter {
            drop_pa,
            at_flow_m3_s,
            linear_frac: 0.0,
            dirt_factor: 1.0,
        },
    )
}

/// How its tube is wound, half turns on each circuit.
fn shape(spec: &HeaterSpec) -> (Bend, u32) {
    let turns = |tube: &TubeSpec, side_m: f64| -> u32 {
        let each = tube.length_m / f64::from(tube.parallel_circuits.max(1));
        let rows = each / side_m.max(0.1);
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and 500"
        )]
        let rows = rows.round().clamp(1.0, 500.0) as u32;
        rows - 1
    };
    match spec {
        HeaterSpec::Board(board) => {
            let side_m = board.board_area_m2.sqrt();
            match board.layout {
                Layout::RoundSpiral {
                    inner_diameter_m,
                    outer_diameter_m,
                } => {
                    let bend = Bend::Spiral {
                        inner_m: inner_diameter_m.max(2.0 * board.tube.bore_m),
                        outer_m: outer_diameter_m
                            .max(inner_diameter_m)
                            .max(2.0 * board.tube.bore_m),
                    };
                    (bend, 0)
                }
                _ => (Bend::Straight, turns(&board.tube, side_m)),
            }
        }
        HeaterSpec::Deck(deck) => {
            let side_m = (deck.tube.length_m * deck.spacing_m).sqrt();
            (Bend::Straight, turns(&deck.tube, side_m))
        }
        HeaterSpec::Panel(_) => (Bend::Straight, 0),
    }
}
