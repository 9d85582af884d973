//! A layout as lines, dimensions and words, ready to be drawn to scale.

use swimdays_quantity::Units;

use crate::geometry::{Point, Shape, at};
use crate::layout::{Along, BoardLayout, Pattern, Run, StretchKind, WayOut};
use crate::{Stretch, real, running, tape};

/// What a line of the drawing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StrokeKind {
    /// Edge of the board.
    Outline,
    /// Edge of what is kept free.
    Margin,
    /// Tube on the board.
    Tube,
    /// Tube over other tube.
    Over,
    /// Tube behind the board.
    Behind,
    /// Tube outside the board, from one spiral to the next.
    Link,
    /// Straight lines to measure along.
    Spoke,
}

/// A line through points, m.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// What it is.
    pub kind: StrokeKind,
    /// Its width to scale, m; 0 for thin lines.
    pub width_m: f64,
    /// Its points.
    pub points: Vec<Point>,
}

/// A measured distance with its words.
#[derive(Clone, Debug, PartialEq)]
pub struct Dimension {
    /// One end of what is measured.
    pub from: Point,
    /// The other.
    pub to: Point,
    /// How far beside it the line stands, to the left of the way from `from` to `to`, m; negative to the right.
    pub offset_m: f64,
    /// The distance, m.
    pub length_m: f64,
    /// The words beside it.
    pub text: String,
}

/// Words at a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Where, m.
    pub at: Point,
    /// The words.
    pub text: String,
}

/// Everything to be drawn, in metres, y upwards.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// Lower left corner of all that is drawn.
    pub low: Point,
    /// Upper right corner.
    pub high: Point,
    /// Lines, in the order in which they are drawn.
    pub strokes: Vec<Stroke>,
    /// Ties.
    pub ties: Vec<Point>,
    /// Distances.
    pub dimensions: Vec<Dimension>,
    /// Words on the drawing.
    pub labels: Vec<Label>,
    /// Every so many rings or rows have a label; the table has all.
    pub labelled_every: usize,
}

/// Of the board's shorter side: how far apart lines of dimensions stand.
const BESIDE: f64 = 0.09;
/// Labels of rings or rows along one line at most; more cannot be read.
const LABELS: usize = 9;

/// The drawing of a layout; `start_m` is the running length of the tube where it comes onto this board (0 on the first).
#[must_use]
pub fn drawing(layout: &BoardLayout, start_m: f64, units: Units) -> Drawing {
    let board = layout.request.board;
    let (length, width) = (board.length_m, board.width_m);
    let step = BESIDE * length.min(width);
    let clear = if layout.runs.len() > 1 {
        layout.request.tube.bend_radius_m()
    } else {
        0.0
    };
    let (clear_x, clear_y) = if length >= width {
        (0.0, clear)
    } else {
        (clear, 0.0)
    };
    let mut d = Drawing {
        low: at(-3.2 * step - clear_x, -3.4 * step - clear_y),
        high: at(length + 3.2 * step, width + 2.6 * step),
        ..Drawing::default()
    };
    frame(&mut d, StrokeKind::Outline, 0.0, length, width);
    if board.margin_m > 0.0 {
        frame(&mut d, StrokeKind::Margin, board.margin_m, length, width);
    }
    d.dimension(at(0.0, width), at(length, width), 1.6 * step, units);
    d.dimension(at(0.0, 0.0), at(0.0, width), 1.6 * step + clear_x, units);
    if board.margin_m > 0.0 {
        d.dimension(
            at(length - board.margin_m, width),
            at(length, width),
            0.5 * step,
            units,
        );
    }
    let mut run_m = start_m;
    let count = layout
        .runs
        .iter()
        .map(|r| {
            r.stretches
                .iter()
                .filter(|s| s.number > 0 && s.kind != StretchKind::Turn)
                .count()
        })
        .max()
        .unwrap_or(0);
    d.labelled_every = count.div_ceil(LABELS).max(1);
    for (i, run) in layout.runs.iter().enumerate() {
        tubes(&mut d, layout, run);
        d.ties.extend_from_slice(&run.ties);
        rings(&mut d, layout, run, run_m, units);
        ends(&mut d, layout, run, run_m, step, units);
        run_m += run.length_m();
        if let Some(next) = layout.runs.get(i + 1) {
            link(&mut d, layout, run, next);
            let one = layout.links_m / real(layout.runs.len() - 1);
            run_m += one;
        }
    }
    d
}

fn frame(d: &mut Drawing, kind: StrokeKind, inset: f64, length: f64, width: f64) {
    let (l, w) = (length - inset, width - inset);
    d.strokes.push(Stroke {
        kind,
        width_m: 0.0,
        points: vec![
            at(inset, inset),
            at(l, inset),
            at(l, w),
            at(inset, w),
            at(inset, inset),
        ],
    });
}

impl Drawing {
    fn dimension(&mut self, from: Point, to: Point, offset_m: f64, units: Units) {
        let length_m = from.distance_m(to);
        self.dimensions.push(Dimension {
            from,
            to,
            offset_m,
            length_m,
            text: tape(length_m, units),
        });
    }

    fn label(&mut self, at: Point, text: impl Into<String>) {
        self.labels.push(Label {
            at,
            text: text.into(),
        });
    }
}

/// The axis of the tube, joined where nothing changes but the piece.
fn tubes(d: &mut Drawing, layout: &BoardLayout, run: &Run) {
    let width_m = layout.request.tube.outer_diameter_m;
    let mut points: Vec<Point> = Vec::new();
    for stretch in run
        .stretches
        .iter()
        .filter(|s| s.kind != StretchKind::WayOut)
    {
        for shape in &stretch.shapes {
            // A point that two pieces share is drawn once.
            let skip = usize::from(!points.is_empty());
            points.extend(shape.points().into_iter().skip(skip));
        }
    }
    d.strokes.push(Stroke {
        kind: StrokeKind::Tube,
        width_m,
        points,
    });
    for stretch in run
        .stretches
        .iter()
        .filter(|s| s.kind == StretchKind::WayOut)
    {
        let kind = match (run.crossings, layout.request.way_out) {
            (0, _) => StrokeKind::Tube,
            (_, WayOut::Over) => StrokeKind::Over,
            (_, WayOut::Behind) => StrokeKind::Behind,
        };
        d.strokes.push(Stroke {
            kind,
            width_m,
            points: stretch.shapes.iter().flat_map(Shape::points).collect(),
        });
    }
}

/// From the end of one spiral to the beginning of the next, below the edge.
fn link(d: &mut Drawing, layout: &BoardLayout, run: &Run, next: &Run) {
    let radius = layout.request.tube.bend_radius_m();
    let (a, b) = (run.exit, next.entry);
    let apart = a.distance_m(b);
    if apart < 2.0 * radius {
        return;
    }
    // Towards the second opening, and outwards from the edge at which both lie.
    let (ux, uy) = ((b.x_m - a.x_m) / apart, (b.y_m - a.y_m) / apart);
    let (ox, oy) = if uy.abs() > ux.abs() {
        (-1.0, 0.0)
    } else {
        (0.0, -1.0)
    };
    let place =
        |along: f64, out: f64| at(a.x_m + along * ux + out * ox, a.y_m + along * uy + out * oy);
    let mut points = vec![a];
    let quarter = |points: &mut Vec<Point>, middle: f64, from: f64| {
        for i in 1..=12 {
            let angle = from + real(i) / 12.0 * std::f64::consts::FRAC_PI_2;
            points.push(place(middle - radius * angle.cos(), radius * angle.sin()));
        }
    };
    quarter(&mut points, radius, 0.0);
    quarter(&mut points, apart - radius, std::f64::consts::FRAC_PI_2);
    d.strokes.push(Stroke {
        kind: StrokeKind::Link,
        width_m: layout.request.tube.outer_diameter_m,
        points,
    });
    d.low = at(
        d.low.x_m.min(ox * 1.8 * radius),
        d.low.y_m.min(oy * 1.8 * radius),
    );
}

/// Numbers and running lengths of rings or rows, every few.
fn rings(d: &mut Drawing, layout: &BoardLayout, run: &Run, start_m: f64, units: Units) {
    let numbered: Vec<&Stretch> = run
        .stretches
        .iter()
        .filter(|s| matches!(s.kind, StretchKind::Ring | StretchKind::Row))
        .collect();
    let last = numbered.len().saturating_sub(1);
    let board = layout.request.board;
    // Rings of a round spiral are named at the top, on a standing board too, which is a lying one mirrored.
    let quarter = run.centre.map(|_| {
        if board.width_m > board.length_m {
            0.5
        } else {
            0.25
        }
    });
    for (i, stretch) in numbered.iter().enumerate() {
        let near_last = i != last && last - i < d.labelled_every;
        if (i % d.labelled_every != 0 && i != last) || near_last {
            continue;
        }
        let (place, here_m) = label_place(stretch, quarter, i);
        d.label(
            place,
            format!("{} · {}", stretch.number, running(start_m + here_m, units)),
        );
    }
    let Some(centre) = run.centre else {
        if let Pattern::Serpentine { along, .. } = layout.request.pattern {
            row_distances(d, layout, &numbered, along, units);
        }
        return;
    };
    // Spokes to measure radii along, and the three radii that define the spiral.
    let outer = numbered
        .first()
        .and_then(|s| s.offsets_m.first())
        .copied()
        .unwrap_or(0.0);
    let inner = layout_inner_m(&numbered);
    for (x, y) in [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)] {
        d.strokes.push(Stroke {
            kind: StrokeKind::Spoke,
            width_m: 0.0,
            points: vec![centre, at(centre.x_m + x * outer, centre.y_m + y * outer)],
        });
    }
    d.dimension(at(centre.x_m - outer, centre.y_m), centre, 0.0, units);
    d.dimension(centre, at(centre.x_m + inner, centre.y_m), 0.0, units);
    if board.length_m >= board.width_m {
        d.dimension(
            at(0.0, board.width_m),
            at(centre.x_m, board.width_m),
            0.6 * BESIDE * board.width_m,
            units,
        );
    } else {
        d.dimension(
            at(0.0, 0.0),
            at(0.0, centre.y_m),
            0.6 * BESIDE * board.length_m,
            units,
        );
    }
}

/// Where a ring or row is named, and the running length there: where neighbours lie above each other and words have room.
fn label_place(stretch: &Stretch, quarter: Option<f64>, index: usize) -> (Point, f64) {
    // At a share of a turn for a round ring, the top side for a rectangular one, the middle of a row; rows that stand are
    // named at changing heights.
    let (which, frac) = match (stretch.kind, quarter) {
        (StretchKind::Ring, Some(turn)) => (0, turn),
        (StretchKind::Ring, None) => (2.min(stretch.shapes.len() - 1), 0.5),
        _ => (0, 0.3 + 0.1 * real(index % 5)),
    };
    let before: f64 = stretch.shapes[..which].iter().map(Shape::length_m).sum();
    let shape = &stretch.shapes[which];
    let turns = match *shape {
        Shape::Spiral { sweep_rad, .. } => sweep_rad.abs() / (2.0 * std::f64::consts::PI),
        _ => 1.0,
    };
    let frac = (frac / turns).min(1.0);
    let part = match *shape {
        Shape::Spiral {
            centre,
            from_radius_m,
            to_radius_m,
            start_rad,
            sweep_rad,
        } => Shape::Spiral {
            centre,
            from_radius_m,
            to_radius_m: from_radius_m + frac * (to_radius_m - from_radius_m),
            start_rad,
            sweep_rad: frac * sweep_rad,
        }
        .length_m(),
        _ => frac * shape.length_m(),
    };
    (shape.point(frac), stretch.start_m + before + part)
}

/// Smallest radius of the last ring, m.
fn layout_inner_m(rings: &[&Stretch]) -> f64 {
    rings
        .last()
        .and_then(|s| s.shapes.last())
        .map_or(0.0, |shape| match *shape {
            Shape::Spiral { to_radius_m, .. } => to_radius_m,
            _ => 0.0,
        })
}

/// Distances of the first rows from the edge and from each other.
fn row_distances(
    d: &mut Drawing,
    layout: &BoardLayout,
    rows: &[&Stretch],
    along: Along,
    units: Units,
) {
    let offset = |i: usize| rows.get(i).and_then(|s| s.offsets_m.first()).copied();
    let board = layout.request.board;
    let step = BESIDE * board.length_m.min(board.width_m);
    let place = |offset: f64| match along {
        Along::Length => at(board.length_m, offset),
        Along::Width => at(offset, board.width_m),
    };
    if let Some(first) = offset(0) {
        let side = if along == Along::Length {
            -0.6 * step
        } else {
            0.6 * step
        };
        d.dimension(place(0.0), place(first), side, units);
        if let Some(second) = offset(1) {
            d.dimension(place(first), place(second), side, units);
        }
    }
}

/// Where the tube comes in and goes out.
fn ends(d: &mut Drawing, layout: &BoardLayout, run: &Run, start_m: f64, step: f64, units: Units) {
    let board = layout.request.board;
    // Lines of dimensions stand clear of the links between spirals.
    let clear = if layout.runs.len() > 1 {
        layout.request.tube.bend_radius_m()
    } else {
        0.0
    };
    let outside = |p: Point| {
        if p.y_m <= 1e-9 {
            at(p.x_m, -0.5 * step)
        } else if p.y_m >= board.width_m - 1e-9 {
            at(p.x_m, board.width_m + 0.4 * step)
        } else if p.x_m <= 1e-9 {
            at(-0.55 * step, p.y_m - 0.22 * step)
        } else {
            at(board.length_m + 0.6 * step, p.y_m - 0.22 * step)
        }
    };
    d.label(
        outside(run.entry),
        format!("in · {}", running(start_m, units)),
    );
    d.label(
        outside(run.exit),
        format!("out · {}", running(start_m + run.length_m(), units)),
    );
    if run.centre.is_none() && matches!(layout.request.pattern, Pattern::Serpentine { .. }) {
        return;
    }
    for p in [run.entry, run.exit] {
        if p.y_m <= 1e-9 {
            // Stacked below each other so that their words do not meet.
            let below = if p == run.entry { 1.3 } else { 2.2 };
            d.dimension(at(0.0, 0.0), at(p.x_m, 0.0), -below * step - clear, units);
        } else if p.x_m <= 1e-9 {
            let beside = if p == run.entry { 0.9 } else { 1.25 };
            d.dimension(at(0.0, 0.0), at(0.0, p.y_m), beside * step + clear, units);
        }
    }
}
