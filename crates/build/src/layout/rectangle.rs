//! The rectangular spiral: straight runs and corners of one radius, winding inwards.
//!
//! Each corner is bent to the tube's smallest radius and moved inwards by the pitch both ways, so that rows that touch along
//! the sides stand `√2` pitches apart at the corners: nothing overlaps.

use std::f64::consts::FRAC_PI_2;

use super::{ExitEdge, LayoutRequest, Run, StretchKind, run, too_short, wider};
use crate::geometry::{Point, Shape, at};
use crate::{BuildError, real};

/// Corner `i` of the way inwards, up the left side first.
fn corner(r: &LayoutRequest, i: usize) -> Point {
    let inset = r.board.margin_m + 0.5 * r.tube.outer_diameter_m;
    let p = r.pitch_m;
    let ring = real(i / 4);
    let (left, right) = (inset + ring * p, r.board.length_m - inset - ring * p);
    let (low, high) = (inset + ring * p, r.board.width_m - inset - ring * p);
    match i % 4 {
        0 => at(left, high),
        1 => at(right, high),
        2 => at(right, low),
        _ => at(left + p, low),
    }
}

/// The straight side that ends in corner `i`, from corner to corner, m.
fn side_m(r: &LayoutRequest, i: usize) -> f64 {
    if i == 0 {
        corner(r, 0).y_m
    } else {
        corner(r, i - 1).distance_m(corner(r, i))
    }
}

/// Whether the side that ends in corner `i` still runs forward and holds both its bends.
fn holds(r: &LayoutRequest, i: usize) -> bool {
    if i == 0 {
        return corner(r, 0).y_m >= r.tube.bend_radius_m();
    }
    let (a, b) = (corner(r, i - 1), corner(r, i));
    let forward = match i % 4 {
        0 => b.y_m - a.y_m,
        1 => b.x_m - a.x_m,
        2 => a.y_m - b.y_m,
        _ => a.x_m - b.x_m,
    };
    forward >= 2.0 * r.tube.bend_radius_m() - 1e-12
}

pub(super) fn lay(r: &LayoutRequest, wanted_m: Option<f64>) -> Result<Run, BuildError> {
    let least = r.tube.bend_radius_m();
    // Up, round a corner, along, round a corner and out again.
    if !holds(r, 0) || !holds(r, 1) {
        let short = r.board.length_m.min(r.board.width_m);
        return Err(BuildError::BoardTooSmall {
            what: "a rectangular spiral",
            side_m: short,
            needed_m: 2.0 * (least + r.board.margin_m) + r.tube.outer_diameter_m,
            instead: format!("take {}", wider(&r.tube)),
        });
    }
    let mut corners = 2;
    while corners < 100_000 && holds(r, corners) {
        corners += 1;
    }
    let allowed = |n: usize| r.exit == ExitEdge::Any || n % 4 == 2;
    let mut shortest = f64::INFINITY;
    for n in (1..=corners).rev().filter(|n| allowed(*n)) {
        let length = length_m(r, n);
        shortest = shortest.min(length);
        if wanted_m.is_none_or(|w| length <= w * (1.0 + 1e-12)) {
            return Ok(with_corners(r, n));
        }
    }
    Err(too_short(wanted_m.unwrap_or_default(), shortest))
}

/// Edge to edge with `n` corners, m: each corner saves `(2 − π/2) r` against the sharp one.
fn length_m(r: &LayoutRequest, n: usize) -> f64 {
    let sides: f64 = (0..n).map(|i| side_m(r, i)).sum();
    let last = corner(r, n - 1);
    sides + last.distance_m(way_out(r, n)) - real(n) * (2.0 - FRAC_PI_2) * r.tube.bend_radius_m()
}

/// Straight on from the last corner to the board's edge.
fn way_out(r: &LayoutRequest, n: usize) -> Point {
    let last = corner(r, n - 1);
    match n % 4 {
        0 => at(last.x_m, r.board.width_m),
        1 => at(r.board.length_m, last.y_m),
        2 => at(last.x_m, 0.0),
        _ => at(0.0, last.y_m),
    }
}

/// The pieces between corner `i` and what comes before it: a straight side and the corner's arc.
fn leg(r: &LayoutRequest, i: usize) -> Vec<Shape> {
    let radius = r.tube.bend_radius_m();
    let c = corner(r, i);
    let (from, to, centre, start) = match i % 4 {
        0 => {
            let from = if i == 0 {
                0.0
            } else {
                corner(r, i - 1).y_m + radius
            };
            (
                at(c.x_m, from),
                at(c.x_m, c.y_m - radius),
                at(c.x_m + radius, c.y_m - radius),
                2.0,
            )
        }
        1 => (
            at(corner(r, i - 1).x_m + radius, c.y_m),
            at(c.x_m - radius, c.y_m),
            at(c.x_m - radius, c.y_m - radius),
            1.0,
        ),
        2 => (
            at(c.x_m, corner(r, i - 1).y_m - radius),
            at(c.x_m, c.y_m + radius),
            at(c.x_m - radius, c.y_m + radius),
            0.0,
        ),
        _ => (
            at(corner(r, i - 1).x_m - radius, c.y_m),
            at(c.x_m + radius, c.y_m),
            at(c.x_m + radius, c.y_m + radius),
            3.0,
        ),
    };
    let arc = Shape::Arc {
        centre,
        radius_m: radius,
        start_rad: start * FRAC_PI_2,
        sweep_rad: -FRAC_PI_2,
    };
    // Where two bends meet, no straight piece is left between them.
    if from.distance_m(to) < 1e-9 {
        vec![arc]
    } else {
        vec![Shape::Line { from, to }, arc]
    }
}

fn with_corners(r: &LayoutRequest, n: usize) -> Run {
    let mut stretches = Vec::new();
    for ring in 0..n.div_ceil(4) {
        let corners = (4 * ring)..(4 * ring + 4).min(n);
        let offsets = [
            corner(r, 4 * ring).x_m,
            r.board.width_m - corner(r, 4 * ring).y_m,
            r.board.length_m - corner(r, 4 * ring + 1).x_m,
            corner(r, 4 * ring + 2).y_m,
        ];
        stretches.push((
            StretchKind::Ring,
            ring + 1,
            offsets[..corners.len()].to_vec(),
            corners.flat_map(|i| leg(r, i)).collect(),
        ));
    }
    let end = leg(r, n - 1)
        .last()
        .map_or_else(|| corner(r, n - 1), |s| s.point(1.0));
    let out = way_out(r, n);
    stretches.push((
        StretchKind::WayOut,
        0,
        vec![],
        vec![Shape::Line { from: end, to: out }],
    ));
    let mut made = run(stretches);
    // To the right and down every whole ring before lies on the way; to the left and up the present one does too.
    made.crossings = match n % 4 {
        0 => n / 4,
        3 => n.div_ceil(4),
        _ => (n - 1) / 4,
    };
    made
}
