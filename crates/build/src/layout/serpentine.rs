//! Rows there and back, and the turns between them.
//!
//! Rows that touch cannot be joined by bending: a turn of one pitch has half a pitch of radius, and tube kinks at several
//! diameters. What works, by the distance between rows `p` and the smallest radius `r`:
//!
//! | turn | distance | how |
//! |---|---|---|
//! | round | p ≥ 2 r | half a circle |
//! | bulb | p ≥ r + d/2 | the tube swings out first and comes back round; it needs length beyond the rows |
//! | elbows | as the fittings allow | two elbows and a short piece; each costs head and can leak |
//!
//! Turns that skip rows (first to fifth, fifth to second …) cross each other and lie two tubes thick; nested turns that do not
//! cross are the rectangular spiral. Both are therefore not offered as rows.

use std::f64::consts::{FRAC_PI_2, PI};

use super::{LayoutRequest, Run, StretchKind, run, too_short};
use crate::error::both;
use crate::geometry::{Shape, at};
use crate::{BuildError, real, whole};

/// How the tube comes back at the end of a row.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Turn {
    /// Half a circle.
    #[default]
    Round,
    /// A teardrop that is wider than the distance between the rows.
    Bulb,
    /// Two elbows and a short piece.
    Elbows {
        /// Smallest distance between rows that two such elbows make, m.
        least_pitch_m: f64,
    },
}

/// Which way the rows run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Along {
    /// Along the board's length (x): fewer turns when that is the longer side.
    #[default]
    Length,
    /// Across it.
    Width,
}

/// How far a bulb swings out on each side first, rad: `cos φ = (r + p/2)/(2r)`.
fn bulb_rad(pitch_m: f64, radius_m: f64) -> f64 {
    ((radius_m + 0.5 * pitch_m) / (2.0 * radius_m))
        .clamp(-1.0, 1.0)
        .acos()
}

/// Length of a bulb turn, m: `r (π + 4φ)`, `cos φ = (r + p/2)/(2r)`; half a circle of the pitch from `p = 2r` on.
///
/// Three arcs of one radius: out by φ, round by `π + 2φ`, back by φ. Derivation: the middle of the round arc lies half-way
/// between the rows and two radii from the middle of the first.
#[must_use]
pub fn bulb_length_m(pitch_m: f64, radius_m: f64) -> f64 {
    if pitch_m >= 2.0 * radius_m {
        return 0.5 * PI * pitch_m;
    }
    radius_m * (PI + 4.0 * bulb_rad(pitch_m, radius_m))
}

/// How far a bulb's axis reaches beyond the end of its rows, m: `r (1 + 2 sin φ)`.
#[must_use]
pub fn bulb_reach_m(pitch_m: f64, radius_m: f64) -> f64 {
    if pitch_m >= 2.0 * radius_m {
        return 0.5 * pitch_m;
    }
    radius_m * (1.0 + 2.0 * bulb_rad(pitch_m, radius_m).sin())
}

/// Reach beyond a row's end, and beyond the outermost row sideways, m.
fn reaches(r: &LayoutRequest, turn: Turn) -> Result<(f64, f64), BuildError> {
    let (p, least, d) = (r.pitch_m, r.tube.bend_radius_m(), r.tube.outer_diameter_m);
    let slack = 1.0 + 1e-9;
    match turn {
        Turn::Round if p * slack < 2.0 * least => Err(BuildError::Kinks {
            place: "in the turns between rows",
            radius_m: 0.5 * p,
            least_m: least,
            instead: format!(
                "needs {} between rows, or bulb turns with {}, or elbows; a round or rectangular spiral takes touching rows",
                both(2.0 * least),
                both(least + 0.5 * d)
            ),
        }),
        Turn::Round => Ok((0.5 * p, 0.0)),
        Turn::Bulb if p * slack < least + 0.5 * d => Err(BuildError::Kinks {
            place: "in the bulbs between rows, which would lie on each other",
            radius_m: p - 0.5 * d,
            least_m: least,
            instead: format!(
                "needs {} between rows, or elbows; a round or rectangular spiral takes touching rows",
                both(least + 0.5 * d)
            ),
        }),
        Turn::Bulb => Ok((bulb_reach_m(p, least), (least - 0.5 * p).max(0.0))),
        Turn::Elbows { least_pitch_m } if p * slack < least_pitch_m => {
            Err(BuildError::OutOfRange {
                what: "distance between rows with elbows, m",
                found: p,
                allowed: format!(
                    "two of these elbows need {least_pitch_m} m; leave that much, or use smaller fittings or a spiral"
                ),
            })
        }
        Turn::Elbows { .. } => Ok((0.0, 0.0)),
    }
}

pub(super) fn lay(
    r: &LayoutRequest,
    turn: Turn,
    along: Along,
    wanted_m: Option<f64>,
) -> Result<Run, BuildError> {
    let (long, wide) = match along {
        Along::Length => (r.board.length_m, r.board.width_m),
        Along::Width => (r.board.width_m, r.board.length_m),
    };
    let (reach, side) = reaches(r, turn)?;
    let inset = r.board.margin_m + 0.5 * r.tube.outer_diameter_m;
    let (from, to) = (inset + reach, long - inset - reach);
    let first = inset + side;
    let last = wide - inset - side;
    let rows = if last < first {
        0
    } else {
        whole((last - first) / r.pitch_m + 1e-9) + 1
    };
    if to <= from {
        return Err(BuildError::BoardTooSmall {
            what: "a row with its turns",
            side_m: long,
            needed_m: 2.0 * (inset + reach) + r.tube.outer_diameter_m,
            instead:
                "take a longer board, elbows in place of bends, or a tube that bends more tightly"
                    .into(),
        });
    }
    if rows < 2 {
        return Err(BuildError::BoardTooSmall {
            what: "two rows",
            side_m: wide,
            needed_m: 2.0 * (inset + side) + r.pitch_m,
            instead: "take a wider board, rows closer together with elbows, or a spiral".into(),
        });
    }
    let make = |rows: usize| with_rows(r, turn, along, rows, (from, to), first);
    let Some(wanted) = wanted_m else {
        return Ok(make(rows));
    };
    let least = make(2);
    if least.length_m() > wanted {
        return Err(too_short(wanted, least.length_m()));
    }
    // Each row more is longer: halve.
    let (mut low, mut high) = (2, rows + 1);
    while high - low > 1 {
        let middle = usize::midpoint(low, high);
        if make(middle).length_m() <= wanted * (1.0 + 1e-12) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(make(low))
}

fn with_rows(
    r: &LayoutRequest,
    turn: Turn,
    along: Along,
    rows: usize,
    (from, to): (f64, f64),
    first: f64,
) -> Run {
    let long = match along {
        Along::Length => r.board.length_m,
        Along::Width => r.board.width_m,
    };
    let mut stretches = Vec::new();
    for row in 0..rows {
        let y = first + real(row) * r.pitch_m;
        let forward = row % 2 == 0;
        // The first row begins and the last one ends at the board's edge.
        let start = match (row == 0, forward) {
            (true, _) => 0.0,
            (false, true) => from,
            (false, false) => to,
        };
        let end = match (row + 1 == rows, forward) {
            (false, true) => to,
            (false, false) => from,
            (true, true) => long,
            (true, false) => 0.0,
        };
        stretches.push((
            StretchKind::Row,
            row + 1,
            vec![y],
            vec![Shape::Line {
                from: at(start, y),
                to: at(end, y),
            }],
        ));
        if row + 1 < rows {
            stretches.push((
                StretchKind::Turn,
                row + 1,
                vec![],
                turned(r, turn, end, y, forward),
            ));
        }
    }
    if along == Along::Width {
        for (_, _, _, shapes) in &mut stretches {
            for shape in shapes {
                *shape = shape.swapped();
            }
        }
    }
    let mut made = run(stretches);
    if matches!(turn, Turn::Elbows { .. }) {
        made.elbows = 2 * (rows - 1);
    }
    made
}

/// The turn from the row at `y` to the next at `x`, outwards to the right when `forward`.
fn turned(r: &LayoutRequest, turn: Turn, x: f64, y: f64, forward: bool) -> Vec<Shape> {
    let (p, radius) = (r.pitch_m, r.tube.bend_radius_m());
    let to = if forward { 1.0 } else { -1.0 };
    let arc = |cx: f64, cy: f64, radius_m: f64, start: f64, sweep: f64| {
        // To the left everything is mirrored at the row's end.
        let (start_rad, sweep_rad) = if forward {
            (start, sweep)
        } else {
            (PI - start, -sweep)
        };
        Shape::Arc {
            centre: at(x + to * cx, y + cy),
            radius_m,
            start_rad,
            sweep_rad,
        }
    };
    match turn {
        Turn::Elbows { .. } => vec![Shape::Line {
            from: at(x, y),
            to: at(x, y + p),
        }],
        Turn::Bulb if p < 2.0 * radius => {
            let phi = bulb_rad(p, radius);
            let middle = 2.0 * radius * phi.sin();
            vec![
                arc(0.0, -radius, radius, FRAC_PI_2, -phi),
                arc(middle, 0.5 * p, radius, -FRAC_PI_2 - phi, PI + 2.0 * phi),
                arc(0.0, p + radius, radius, -FRAC_PI_2 + phi, -phi),
            ]
        }
        Turn::Round | Turn::Bulb => vec![arc(0.0, 0.5 * p, 0.5 * p, -FRAC_PI_2, PI)],
    }
}
