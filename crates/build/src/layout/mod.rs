//! How a tube lies on a board: how much fits, where each ring or row is, where it is tied.
//!
//! Every path starts and ends at the board's edge. A spiral ends inside; its tube goes on straight, without a bend, to the
//! edge, over the rings or through a hole and behind the board.

mod boards;
mod deck;
mod rectangle;
mod serpentine;
mod spiral;
mod ties;

use crate::BuildError;
use crate::bend::Tube;
use crate::error::{both, within};
use crate::geometry::{Point, Shape};

pub use boards::{Boards, Joint, lay_boards};
pub use deck::{DeckLayout, DeckRequest, lay_deck};
pub use serpentine::{Along, Turn, bulb_length_m, bulb_reach_m};

/// A rectangular board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Board {
    /// Along x, m.
    pub length_m: f64,
    /// Across, m.
    pub width_m: f64,
    /// Kept free along every edge (for edge boards, screws, a lid's frame), m.
    pub margin_m: f64,
}

impl Board {
    /// Area, m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        self.length_m * self.width_m
    }
}

/// How the tube runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pattern {
    /// Round spirals from outside in, as many side by side as the board is long.
    RoundSpiral,
    /// Straight runs with round corners, winding inwards.
    RectangularSpiral,
    /// Rows there and back.
    Serpentine {
        /// How the tube comes back at the end of a row.
        turn: Turn,
        /// Which way the rows run.
        along: Along,
    },
}

/// How a spiral's tube comes out of the middle.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum WayOut {
    /// Over the rings: the heater is two tubes thick there.
    #[default]
    Over,
    /// Through a hole in the board and along its back.
    Behind,
}

/// Where a spiral's tube may leave the board.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ExitEdge {
    /// On the edge on which it comes in: both hoses reach the same side.
    #[default]
    Same,
    /// On any edge: the spiral can end a quarter turn nearer to the wanted length.
    Any,
}

/// What is to be laid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LayoutRequest {
    /// The tube.
    pub tube: Tube,
    /// The board.
    pub board: Board,
    /// Between the axes of neighbouring rings or rows, m; the outside diameter when they touch.
    pub pitch_m: f64,
    /// How it runs.
    pub pattern: Pattern,
    /// How a spiral's tube comes out of the middle.
    pub way_out: WayOut,
    /// Where it leaves.
    pub exit: ExitEdge,
    /// Tube at hand, m; as much as fits when absent.
    pub wanted_m: Option<f64>,
    /// Distance between ties along the tube, m; they lie on straight lines over the board, so some are closer.
    pub tie_spacing_m: f64,
}

/// Ties along the tube, m: 16 in (common practice, no source; 0.3–0.6 m, closer where the tube is soft or upright).
pub const TIE_SPACING_M: f64 = 0.406_4;

/// What a stretch of tube is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StretchKind {
    /// From the board's edge to the first ring.
    LeadIn,
    /// One time round.
    Ring,
    /// One straight row.
    Row,
    /// The turn to the next row.
    Turn,
    /// From the last ring to the board's edge.
    WayOut,
}

/// One line of the table that is laid out with a tape measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// What it is.
    pub kind: StretchKind,
    /// Counts rings or rows from 1; a turn has its row's number; leads have 0.
    pub number: usize,
    /// Round spiral: from the middle to the axis at each quarter turn of this ring, beginning at the 9 o'clock spoke, clockwise.
    /// Rectangular spiral: from each edge to the axis, left, top, right, bottom. Row: from the edge it starts counting at to its axis. m.
    pub offsets_m: Vec<f64>,
    /// Running length at its start, from where the tube comes onto the board, m.
    pub start_m: f64,
    /// Running length at its end, m.
    pub end_m: f64,
    /// The pieces of its axis.
    pub shapes: Vec<Shape>,
}

impl Stretch {
    /// Length, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.end_m - self.start_m
    }
}

/// One uncut tube from edge to edge.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// In order from where it comes in.
    pub stretches: Vec<Stretch>,
    /// Middle of a round spiral.
    pub centre: Option<Point>,
    /// Where it comes onto the board.
    pub entry: Point,
    /// Where it leaves.
    pub exit: Point,
    /// Rings that the way out crosses.
    pub crossings: usize,
    /// Ties, from the start.
    pub ties: Vec<Point>,
    /// Two elbows a turn when turns are made of fittings.
    pub elbows: usize,
}

impl Run {
    /// From edge to edge, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.stretches.last().map_or(0.0, |s| s.end_m)
    }

    /// Mirrors it at the board's diagonal.
    fn swap(&mut self) {
        for shape in self.stretches.iter_mut().flat_map(|s| &mut s.shapes) {
            *shape = shape.swapped();
        }
        for point in [
            Some(&mut self.entry),
            Some(&mut self.exit),
            self.centre.as_mut(),
        ]
        .into_iter()
        .flatten()
        {
            *point = point.swapped();
        }
    }

    fn shapes(&self) -> impl Iterator<Item = (StretchKind, &Shape)> {
        self.stretches
            .iter()
            .flat_map(|s| s.shapes.iter().map(move |shape| (s.kind, shape)))
    }
}

/// A board with its tube.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardLayout {
    /// What was asked for.
    pub request: LayoutRequest,
    /// Tubes in flow order: one, or one a round spiral.
    pub runs: Vec<Run>,
    /// Smallest radius of the axis that is used, m; none when all turns are elbows.
    pub bend_radius_m: Option<f64>,
    /// Radius at which a spiral must stop, m: the tube's own.
    pub least_radius_m: f64,
    /// Tube from one run to the next, outside the board's edge, m.
    pub links_m: f64,
    /// Tube on the board and in its links, m.
    pub laid_m: f64,
    /// Of the wanted length what does not lie here, m: it goes to the connecting runs or to another board.
    pub left_over_m: f64,
    /// Longest tube that this board takes in this pattern, m, links included.
    pub fits_m: f64,
    /// Area that the tube covers, m²: its width times its length, where it lies on the board itself.
    pub covered_m2: f64,
}

impl BoardLayout {
    /// Share of the board that the tube covers.
    #[must_use]
    pub fn covered_frac(&self) -> f64 {
        self.covered_m2 / self.request.board.area_m2()
    }

    /// Ties in all.
    #[must_use]
    pub fn ties(&self) -> usize {
        self.runs.iter().map(|r| r.ties.len()).sum()
    }

    /// How much thicker the board is where tube crosses tube, m.
    #[must_use]
    pub fn extra_thickness_m(&self) -> f64 {
        let crossed = self.runs.iter().any(|r| r.crossings > 0);
        if crossed && self.request.way_out == WayOut::Over {
            self.request.tube.outer_diameter_m
        } else {
            0.0
        }
    }
}

/// Lays a tube on one board.
///
/// As much as fits, or the longest layout that the wanted length allows: what is over stays as `left_over_m`.
///
/// # Errors
/// A tube that kinks, a board too small, rows that overlap, less tube than the shortest layout takes; each with what
/// would work.
pub fn lay(request: &LayoutRequest) -> Result<BoardLayout, BuildError> {
    check(request)?;
    let full = lay_runs(request, None)?;
    let (fits_m, _) = lengths(request, &full);
    let runs = match request.wanted_m {
        Some(wanted) if wanted < fits_m => lay_runs(request, Some(wanted))?,
        _ => full,
    };
    let (laid_m, links_m) = lengths(request, &runs);
    let d = request.tube.outer_diameter_m;
    let on_board: f64 = runs
        .iter()
        .flat_map(|r| &r.stretches)
        .filter(|s| s.kind != StretchKind::WayOut)
        .map(Stretch::length_m)
        .sum();
    let bend_radius_m = runs
        .iter()
        .flat_map(Run::shapes)
        .filter_map(|(_, s)| s.bend_radius_m())
        .reduce(f64::min);
    Ok(BoardLayout {
        request: *request,
        runs,
        bend_radius_m,
        least_radius_m: request.tube.bend_radius_m(),
        links_m,
        laid_m,
        left_over_m: request.wanted_m.map_or(0.0, |w| (w - laid_m).max(0.0)),
        fits_m,
        covered_m2: d * on_board,
    })
}

fn check(r: &LayoutRequest) -> Result<(), BuildError> {
    let d = r.tube.outer_diameter_m;
    within("tube outer diameter, m", d, 0.003, 0.2)?;
    within("tube bore, m", r.tube.bore_m, 0.001, d)?;
    within("bend radius, m", r.tube.bend_radius_m(), 0.5 * d, 20.0)?;
    within("board length, m", r.board.length_m, 0.05, 100.0)?;
    within("board width, m", r.board.width_m, 0.05, 100.0)?;
    within("margin at the edge, m", r.board.margin_m, 0.0, 10.0)?;
    within("distance between ties, m", r.tie_spacing_m, 0.05, 10.0)?;
    within("distance between rows, m", r.pitch_m, 0.003, 10.0)?;
    if let Some(wanted) = r.wanted_m {
        within("tube wanted, m", wanted, 0.01, 100_000.0)?;
    }
    if r.pitch_m < d * (1.0 - 1e-9) {
        return Err(BuildError::RowsOverlap {
            pitch_m: r.pitch_m,
            outer_diameter_m: d,
        });
    }
    Ok(())
}

fn lay_runs(r: &LayoutRequest, wanted_m: Option<f64>) -> Result<Vec<Run>, BuildError> {
    let mut runs = match r.pattern {
        Pattern::RoundSpiral => spiral::lay(r, wanted_m),
        Pattern::RectangularSpiral => rectangle::lay(r, wanted_m).map(|run| vec![run]),
        Pattern::Serpentine { turn, along } => {
            serpentine::lay(r, turn, along, wanted_m).map(|run| vec![run])
        }
    }?;
    for run in &mut runs {
        run.ties = ties::ties(run, &r.board, r.tie_spacing_m);
    }
    Ok(runs)
}

/// Tube in all and in the links, m. A link leaves over the edge, turns back within its smallest radius or a straight line more,
/// and comes in again: half a circle and the rest of the way.
fn lengths(r: &LayoutRequest, runs: &[Run]) -> (f64, f64) {
    let links: f64 = runs
        .windows(2)
        .map(|w| link_m(r, w[0].exit.distance_m(w[1].entry)))
        .sum();
    (links + runs.iter().map(Run::length_m).sum::<f64>(), links)
}

/// Tube that leads from one opening at an edge to another beside it, both at right angles to the edge, m.
fn link_m(r: &LayoutRequest, apart_m: f64) -> f64 {
    let radius = r.tube.bend_radius_m();
    if apart_m >= 2.0 * radius {
        apart_m - 2.0 * radius + std::f64::consts::PI * radius
    } else {
        bulb_length_m(apart_m, radius)
    }
}

/// Puts the stretches together and counts their running lengths.
fn run(stretches: Vec<(StretchKind, usize, Vec<f64>, Vec<Shape>)>) -> Run {
    let mut done = 0.0;
    let stretches: Vec<Stretch> = stretches
        .into_iter()
        .map(|(kind, number, offsets_m, shapes)| {
            let start_m = done;
            done += shapes.iter().map(Shape::length_m).sum::<f64>();
            Stretch {
                kind,
                number,
                offsets_m,
                start_m,
                end_m: done,
                shapes,
            }
        })
        .collect();
    let end = |s: Option<&Stretch>, frac: f64| {
        let shape = s.and_then(|s| {
            if frac > 0.5 {
                s.shapes.last()
            } else {
                s.shapes.first()
            }
        });
        shape.map(|s| s.point(frac)).unwrap_or_default()
    };
    Run {
        entry: end(stretches.first(), 0.0),
        exit: end(stretches.last(), 1.0),
        stretches,
        centre: None,
        crossings: 0,
        ties: Vec::new(),
        elbows: 0,
    }
}

/// A wanted length that is smaller than the shortest layout.
const fn too_short(wanted_m: f64, least_m: f64) -> BuildError {
    BuildError::WantedTooShort { wanted_m, least_m }
}

/// What to do when there is no room to bend.
fn wider(tube: &Tube) -> String {
    format!(
        "tube that bends more tightly, or a board at least {} wide beyond its margins",
        both(2.0 * tube.bend_radius_m() + tube.outer_diameter_m)
    )
}
