//! The round spiral: Archimedean, from outside in.
//!
//! The tube comes straight up from the board's lower edge at the outermost ring's 9 o'clock, winds clockwise, and leaves along
//! its own tangent: after a whole number of turns and a half it points down again, at the edge it came from. Spirals beside
//! each other are then joined without a hose that crosses another.

use std::f64::consts::PI;

use super::{ExitEdge, LayoutRequest, Run, StretchKind, run, too_short};
use crate::geometry::{Point, Shape, at};
use crate::{BuildError, real, whole};

/// The shortest spiral that is called one.
const LEAST_TURNS: f64 = 0.5;

/// Round spirals beside each other along the longer side, all openings on that side.
pub(super) fn lay(r: &LayoutRequest, wanted_m: Option<f64>) -> Result<Vec<Run>, BuildError> {
    if r.board.width_m <= r.board.length_m {
        return lay_lying(r, wanted_m);
    }
    // A standing board is a lying one seen in a mirror.
    let mut lying = *r;
    (lying.board.length_m, lying.board.width_m) = (r.board.width_m, r.board.length_m);
    let mut runs = lay_lying(&lying, wanted_m)?;
    runs.iter_mut().for_each(Run::swap);
    Ok(runs)
}

fn lay_lying(r: &LayoutRequest, wanted_m: Option<f64>) -> Result<Vec<Run>, BuildError> {
    let m = r.board.margin_m;
    let (long, short) = (r.board.length_m - 2.0 * m, r.board.width_m - 2.0 * m);
    let d = r.tube.outer_diameter_m;
    let radius = 0.5 * (short - d);
    let least = r.tube.bend_radius_m();
    if radius < least + LEAST_TURNS * r.pitch_m {
        let needed_m = 2.0 * (least + LEAST_TURNS * r.pitch_m) + d + 2.0 * m;
        return Err(BuildError::BoardTooSmall {
            what: "a round spiral",
            side_m: short + 2.0 * m,
            needed_m,
            instead: "take a wider board, or a tube that bends more tightly, or straight rows with elbows".into(),
        });
    }
    // A square board takes one, a 1 × 2 board two.
    let discs = whole(long / short + 1e-9).max(1);
    let cell = long / real(discs);
    let mut out: Vec<Run> = Vec::new();
    let mut left = wanted_m;
    for i in 0..discs {
        let centre = at(m + (real(i) + 0.5) * cell, m + 0.5 * short);
        let link = out.last().map_or(0.0, |before: &Run| {
            // From the exit of the one before, at the lower edge, to this entry.
            super::link_m(r, (centre.x_m - radius - before.exit.x_m).abs())
        });
        let this =
            match left {
                Some(l) if !out.is_empty() => disc(r, centre, radius, Some(l - link)),
                Some(l) => Some(disc(r, centre, radius, Some(l)).ok_or_else(|| {
                    too_short(l, disc_of(r, centre, radius, LEAST_TURNS).length_m())
                })?),
                None => disc(r, centre, radius, None),
            };
        let Some(this) = this else { break };
        left = left.map(|l| l - link - this.length_m());
        out.push(this);
    }
    Ok(out)
}

/// The longest spiral that fits and that the length allows; none when not even half a turn does.
fn disc(r: &LayoutRequest, centre: Point, radius: f64, wanted_m: Option<f64>) -> Option<Run> {
    let step = match r.exit {
        ExitEdge::Same => 1.0,
        ExitEdge::Any => 0.25,
    };
    let room = (radius - r.tube.bend_radius_m()) / r.pitch_m;
    let most = LEAST_TURNS + step * ((room - LEAST_TURNS) / step + 1e-9).floor();
    let fits = |turns: f64| {
        wanted_m.is_none_or(|w| disc_of(r, centre, radius, turns).length_m() <= w * (1.0 + 1e-12))
    };
    let steps = whole(((most - LEAST_TURNS) / step).round());
    (0..=steps)
        .rev()
        .map(|k| LEAST_TURNS + step * real(k))
        .find(|turns| fits(*turns))
        .map(|turns| disc_of(r, centre, radius, turns))
}

fn disc_of(r: &LayoutRequest, centre: Point, radius: f64, turns: f64) -> Run {
    let p = r.pitch_m;
    let start = at(centre.x_m - radius, 0.0);
    let rim = at(centre.x_m - radius, centre.y_m);
    let mut stretches = vec![(
        StretchKind::LeadIn,
        0,
        vec![],
        vec![Shape::Line {
            from: start,
            to: rim,
        }],
    )];
    let mut k = 0;
    while real(k) < turns - 1e-9 {
        let from = real(k);
        let to = (from + 1.0).min(turns);
        let quarters = whole(((to - from) * 4.0).round());
        let offsets = (0..=quarters.min(3))
            .map(|q| radius - p * (from + 0.25 * real(q)))
            .collect();
        stretches.push((
            StretchKind::Ring,
            k + 1,
            offsets,
            vec![Shape::Spiral {
                centre,
                from_radius_m: radius - p * from,
                to_radius_m: radius - p * to,
                start_rad: PI,
                sweep_rad: -2.0 * PI * (to - from),
            }],
        ));
        k += 1;
    }
    let angle = 2.0 * PI * turns;
    let inner = radius - p * turns;
    let end = at(
        centre.x_m - inner * angle.cos(),
        centre.y_m + inner * angle.sin(),
    );
    let out = edge_ahead(r, end, (angle.sin(), angle.cos()));
    stretches.push((
        StretchKind::WayOut,
        0,
        vec![],
        vec![Shape::Line { from: end, to: out }],
    ));
    let mut made = run(stretches);
    made.centre = Some(centre);
    // Straight ahead lie as many rings as were wound whole.
    made.crossings = whole(turns + 1e-9);
    made
}

/// Where the straight way on meets the board's edge.
fn edge_ahead(r: &LayoutRequest, from: Point, heading: (f64, f64)) -> Point {
    let reach = |place: f64, step: f64, side: f64| {
        if step > 1e-9 {
            (side - place) / step
        } else if step < -1e-9 {
            -place / step
        } else {
            f64::INFINITY
        }
    };
    let along = reach(from.x_m, heading.0, r.board.length_m).min(reach(
        from.y_m,
        heading.1,
        r.board.width_m,
    ));
    at(from.x_m + along * heading.0, from.y_m + along * heading.1)
}
