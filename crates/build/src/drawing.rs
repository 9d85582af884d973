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

/// Beside the board, where words stand below each other with a line to what they name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    /// Left of it.
    Left,
    /// Right of it.
    Right,
}

/// Words for a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// What they name, m: a point on the tube's axis.
    pub at: Point,
    /// The words.
    pub text: String,
    /// The column they stand in; near `at`, outside the board, when none.
    pub column: Option<Column>,
    /// An end of the tube, not a ring or row.
    pub is_end: bool,
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
        low: at(-0.6 * step - clear_x, -3.0 * step - clear_y),
        high: at(length + 2.4 * step, width + 2.6 * step),
        ..Drawing::default()
    };
    frame(&mut d, StrokeKind::Outline, 0.0, length, width);
    if board.margin_m > 0.0 {
        frame(&mut d, StrokeKind::Margin, board.margin_m, length, width);
    }
    d.dimension(at(0.0, width), at(length, width), 1.6 * step, units);
    d.dimension(at(length, 0.0), at(length, width), -1.8 * step, units);
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
        rings(&mut d, layout, (i, run), run_m, units);
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

/// Numbers and running lengths of rings or rows, every few; those of spirals between others are in the table alone.
fn rings(
    d: &mut Drawing,
    layout: &BoardLayout,
    (index, run): (usize, &Run),
    start_m: f64,
    units: Units,
) {
    let numbered: Vec<&Stretch> = run
        .stretches
        .iter()
        .filter(|s| matches!(s.kind, StretchKind::Ring | StretchKind::Row))
        .collect();
    let last = numbered.len().saturating_sub(1);
    let board = layout.request.board;
    // Spirals of a standing board lie above each other: the left column reaches all.
    let column = if index == 0 || board.width_m > board.length_m {
        Some(Column::Left)
    } else if index + 1 == layout.runs.len() {
        Some(Column::Right)
    } else {
        None
    };
    if let Some(column) = column {
        let named: Vec<usize> = (0..numbered.len())
            .filter(|&i| i == last || (i % d.labelled_every == 0 && last - i >= d.labelled_every))
            .collect();
        for (k, &i) in named.iter().enumerate() {
            let stretch = numbered[i];
            let share = if named.len() > 1 {
                real(k) / real(named.len() - 1)
            } else {
                0.0
            };
            let (place, here_m) = nearest(stretch, |p| {
                off_column(
                    p,
                    layout,
                    run.centre,
                    (numbered[0], numbered[last]),
                    share,
                    column,
                )
            });
            d.labels.push(Label {
                at: place,
                text: format!("{} · {}", stretch.number, running(start_m + here_m, units)),
                column: Some(column),
                is_end: false,
            });
        }
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

/// How far a point is from where a line from the column should meet its ring or row, m. `share` runs from 0 at the first that
/// is named to 1 at the last: their lines keep that order and do not cross.
fn off_column(
    p: Point,
    layout: &BoardLayout,
    centre: Option<Point>,
    (first, last): (&Stretch, &Stretch),
    share: f64,
    column: Column,
) -> f64 {
    let board = layout.request.board;
    let outward = match column {
        Column::Left => -1.0,
        Column::Right => 1.0,
    };
    if let Some(c) = centre {
        // On a ray, a twelfth of a turn above the horizontal: rings further out are further up.
        let wanted = (outward * (std::f64::consts::PI / 6.0).cos(), 0.5);
        let (x, y) = (p.x_m - c.x_m, p.y_m - c.y_m);
        let behind = if x * outward > 0.0 { 0.0 } else { 1e3 };
        return (x * wanted.1 - y * wanted.0).abs() + behind;
    }
    match layout.request.pattern {
        Pattern::Serpentine {
            along: Along::Length,
            ..
        } => (p.x_m - (0.5 + 0.42 * outward) * board.length_m).abs(),
        Pattern::Serpentine { .. } => (p.y_m - (0.75 - 0.5 * share) * board.width_m).abs(),
        _ => {
            // Straight parts of the sides that stand: long outside, short inside.
            let half = |s: &Stretch| {
                let inset = s.offsets_m.first().copied().unwrap_or(0.0);
                let straight = 0.5 * board.width_m - inset - layout.request.tube.bend_radius_m();
                0.8 * straight.max(0.0)
            };
            let up = half(first) * (1.0 - share) - half(last) * share;
            let behind = if (p.x_m - 0.5 * board.length_m) * outward > 0.0 {
                0.0
            } else {
                1e3
            };
            (p.y_m - 0.5 * board.width_m - up).abs() + behind
        }
    }
}

/// The point of a ring or row where `off` is least, and the running length there, m.
fn nearest(stretch: &Stretch, off: impl Fn(Point) -> f64) -> (Point, f64) {
    const STEPS: usize = 720;
    let mut best = (f64::INFINITY, Point::default(), stretch.start_m);
    let mut before_m = stretch.start_m;
    for shape in &stretch.shapes {
        for i in 0..=STEPS {
            let frac = real(i) / real(STEPS);
            let p = shape.point(frac);
            let here = off(p);
            if here < best.0 - 1e-12 {
                best = (here, p, before_m + part_m(shape, frac));
            }
        }
        before_m += shape.length_m();
    }
    (best.1, best.2)
}

/// Length of the first share of a shape, m.
fn part_m(shape: &Shape, frac: f64) -> f64 {
    match *shape {
        Shape::Spiral {
            centre,
            from_radius_m,
            to_radius_m,
            start_rad,
            sweep_rad,
        } if frac > 0.0 => Shape::Spiral {
            centre,
            from_radius_m,
            to_radius_m: from_radius_m + frac * (to_radius_m - from_radius_m),
            start_rad,
            sweep_rad: frac * sweep_rad,
        }
        .length_m(),
        _ => frac * shape.length_m(),
    }
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
    for (p, word, here_m) in [
        (run.entry, "in", start_m),
        (run.exit, "out", start_m + run.length_m()),
    ] {
        let column = if p.y_m <= 1e-9 || p.y_m >= board.width_m - 1e-9 {
            None
        } else if p.x_m <= 1e-9 {
            Some(Column::Left)
        } else {
            Some(Column::Right)
        };
        d.labels.push(Label {
            at: p,
            text: format!("{word} · {}", running(here_m, units)),
            column,
            is_end: true,
        });
    }
    if run.centre.is_none() && matches!(layout.request.pattern, Pattern::Serpentine { .. }) {
        return;
    }
    for p in [run.entry, run.exit] {
        if p.y_m <= 1e-9 {
            // Stacked below each other so that their words do not meet.
            let below = if p == run.entry { 1.5 } else { 2.4 };
            d.dimension(at(0.0, 0.0), at(p.x_m, 0.0), -below * step - clear, units);
        } else if p.x_m <= 1e-9 {
            d.dimension(at(0.0, 0.0), at(0.0, p.y_m), 0.4 * step + clear, units);
        } else if p.y_m >= board.width_m - 1e-9 {
            let from = at(0.0, board.width_m);
            d.dimension(from, at(p.x_m, board.width_m), 0.9 * step, units);
        } else {
            let from = at(board.length_m, 0.0);
            d.dimension(from, at(board.length_m, p.y_m), -0.6 * step, units);
        }
    }
}
