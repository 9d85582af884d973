//! Where the tube is tied: on straight lines over the board, so that holes and battens are set out with one string.

use std::f64::consts::PI;

use super::{Board, Run};
use crate::geometry::{Point, Shape};
use crate::{real, whole};

/// Ties of a run, in its order.
///
/// Straight tube is tied where it crosses lines that stand at even distances over the board; bends at their middle, long ones
/// more often; round spirals on spokes, of which inner rings use every second or fourth.
pub(super) fn ties(run: &Run, board: &Board, spacing_m: f64) -> Vec<Point> {
    run.stretches
        .iter()
        .flat_map(|s| &s.shapes)
        .flat_map(|shape| match *shape {
            Shape::Line { from, to } => on_line(shape, (from, to), board, spacing_m),
            Shape::Arc { .. } => {
                let n = whole((shape.length_m() / spacing_m).ceil()).max(1);
                (0..n)
                    .map(|i| shape.point((real(i) + 0.5) / real(n)))
                    .collect()
            }
            Shape::Spiral {
                from_radius_m,
                sweep_rad,
                ..
            } => on_spokes(shape, from_radius_m, sweep_rad.abs(), spacing_m),
        })
        .collect()
}

/// Where a straight piece crosses the lines at right angles to it.
fn on_line(shape: &Shape, (from, to): (Point, Point), board: &Board, spacing_m: f64) -> Vec<Point> {
    let along_x = (to.x_m - from.x_m).abs() >= (to.y_m - from.y_m).abs();
    let (a, b, side) = if along_x {
        (from.x_m, to.x_m, board.length_m)
    } else {
        (from.y_m, to.y_m, board.width_m)
    };
    let lines = whole((side / spacing_m).ceil()).max(1);
    let step = side / real(lines);
    let mut out: Vec<Point> = (0..lines)
        .map(|i| (real(i) + 0.5) * step)
        .map(|place| (place - a) / (b - a))
        .filter(|frac| (0.0..=1.0).contains(frac))
        .map(|frac| shape.point(frac))
        .collect();
    if b < a {
        out.reverse();
    }
    out
}

/// Spokes of a ring: four, or twice as many as often as the distance along the ring asks for.
fn on_spokes(shape: &Shape, radius_m: f64, sweep_rad: f64, spacing_m: f64) -> Vec<Point> {
    let mut spokes = 4;
    while 2.0 * PI * radius_m / real(spokes) > spacing_m && spokes < 4_096 {
        spokes *= 2;
    }
    let n = whole((sweep_rad / (2.0 * PI) * real(spokes)).round());
    (0..n).map(|i| shape.point(real(i) / real(n))).collect()
}
