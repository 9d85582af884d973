//! What a drawing is: panels of series on axes, and labels in their places.
//!
//! A [`Chart`] is plain data. Functions such as [`year_chart`] make one from a result; tests and pages read its
//! series, axis limits and text boxes; [`Chart::svg`] and [`Chart::png`] draw it. Nothing in it depends on the
//! drawing library. Positions in px are at 1x, from the top left corner.

mod axis;
mod calendar;
mod cells;
mod coil;
mod compare;
mod cut;
mod flow;
mod glance;
mod ledger;
mod place;
mod render;
mod time;
mod week;
mod year;

pub use axis::{Axis, Tick};
pub use calendar::{CalendarView, calendar_chart};
pub use cells::{Cells, Scale};
pub use coil::{CoilView, coil_chart};
pub use compare::{area_chart, measures_chart};
pub use cut::{CutRow, cut_chart};
pub use flow::{loop_chart, pump_chart};
pub use glance::{GlanceView, glance_chart};
pub(crate) use glance::{clock_axis, scale_beside, utc};
pub use ledger::{LedgerView, first_month, ledger_chart, season_ledger_chart};
pub use place::{Spot, beside_line, spread};
pub use render::{PNG_PIXELS_PER_METRE, PNG_SCALE};
pub(crate) use time::{Leg, as_f64, rule};
pub use week::{WeekView, telling_week, week_chart, week_from};
pub(crate) use year::line;
pub use year::{YearView, year_chart};

use crate::style::{ASCENT_EM, DESCENT_EM, Ink, drawable, text_width_px};

/// Width of a chart, px at 1x.
pub const WIDTH_PX: f64 = 900.0;
/// Distance of text from the edge of the sheet, px.
pub(crate) const MARGIN_PX: f64 = 20.0;

/// A rectangle in px, `top` above `bottom`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Frame {
    /// Whether two rectangles share more than an edge.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// Whether `other` lies within.
    #[must_use]
    pub fn contains(&self, other: &Self) -> bool {
        self.left <= other.left
            && other.right <= self.right
            && self.top <= other.top
            && other.bottom <= self.bottom
    }

    /// The same, larger by `by` on each side.
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }
}

/// How a line is broken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Dash {
    /// Not at all.
    #[default]
    Solid,
    /// Dashes.
    Dashed,
    /// Dots.
    Dotted,
}

/// A box from `x0` to `x1` and `y0` to `y1`, in the panel's own units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bar {
    /// Left edge.
    pub x0: f64,
    /// Right edge.
    pub x1: f64,
    /// One end.
    pub y0: f64,
    /// The other end.
    pub y1: f64,
}

/// How a series is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A line through points; `NaN` breaks it.
    Line {
        /// Points, x and y.
        points: Vec<(f64, f64)>,
        /// Width, px.
        width_px: f64,
        /// Broken or not.
        dash: Dash,
    },
    /// A filled span: x, lower end, upper end; `NaN` breaks it.
    Area(Vec<(f64, f64, f64)>),
    /// Filled boxes.
    Bars(Vec<Bar>),
    /// A map of cells, below all else in its panel; the series' ink names what it shows.
    Cells(Cells),
}

/// One named series of a panel.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// What it is.
    pub name: String,
    /// Its colour.
    pub ink: Ink,
    /// Its data.
    pub shape: Shape,
}

impl Series {
    /// All finite x and y values.
    #[must_use]
    pub fn values(&self) -> Vec<(f64, f64)> {
        let mut out = Vec::new();
        match &self.shape {
            Shape::Line { points, .. } => out.extend_from_slice(points),
            Shape::Area(spans) => {
                out.extend(spans.iter().flat_map(|&(x, lo, hi)| [(x, lo), (x, hi)]))
            }
            Shape::Bars(bars) => out.extend(bars.iter().flat_map(|b| [(b.x0, b.y0), (b.x1, b.y1)])),
            Shape::Cells(cells) => out.extend(cells.corners()),
        }
        out.retain(|(x, y)| x.is_finite() && y.is_finite());
        out
    }
}

/// A plot area with its axes and series.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// What it shows.
    pub name: &'static str,
    /// Where it lies on the sheet.
    pub frame: Frame,
    /// From left to right.
    pub x: Axis,
    /// From bottom to top.
    pub y: Axis,
    /// What is drawn, back to front.
    pub series: Vec<Series>,
    /// Whether an outline is drawn around it.
    pub outlined: bool,
    /// Whether boxes that stand on each other are parted by a hair of paper.
    pub parted: bool,
}

impl Panel {
    /// A point in px.
    #[must_use]
    pub fn px(&self, x: f64, y: f64) -> (f64, f64) {
        let f = &self.frame;
        (
            f.left + (x - self.x.min) / (self.x.max - self.x.min) * (f.right - f.left),
            f.bottom - (y - self.y.min) / (self.y.max - self.y.min) * (f.bottom - f.top),
        )
    }

    /// The way a series is drawn, as points in px no more than some px apart.
    fn pixels(&self, series: &Series) -> Vec<(f64, f64)> {
        const APART_PX: f64 = 3.0;
        let points: Vec<(f64, f64)> = match &series.shape {
            Shape::Line { points, .. } => points.clone(),
            Shape::Area(spans) => spans
                .iter()
                .flat_map(|&(x, lo, hi)| [(x, lo), (x, hi)])
                .collect(),
            Shape::Bars(_) | Shape::Cells(_) => series.values(),
        };
        let mut out: Vec<(f64, f64)> = Vec::new();
        for run in points.split(|(_, y)| !y.is_finite()) {
            let mut before: Option<(f64, f64)> = None;
            for &(x, y) in run {
                let here = self.px(x, y);
                if let Some(last) = before {
                    let length = (here.0 - last.0).hypot(here.1 - last.1);
                    let mut at = APART_PX;
                    while at < length {
                        let share = at / length;
                        out.push((
                            last.0 + (here.0 - last.0) * share,
                            last.1 + (here.1 - last.1) * share,
                        ));
                        at += APART_PX;
                    }
                }
                out.push(here);
                before = Some(here);
            }
        }
        out
    }

    /// The series of that name.
    #[must_use]
    pub fn series(&self, name: &str) -> Option<&Series> {
        self.series.iter().find(|s| s.name == name)
    }
}

/// Which point of a label its position is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Anchor {
    /// The left end.
    #[default]
    Start,
    /// The middle.
    Middle,
    /// The right end.
    End,
}

/// A piece of text in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// What it says.
    pub text: String,
    /// Position of the anchor, px.
    pub x: f64,
    /// Base line, px.
    pub y: f64,
    /// Which point of the text `x` is.
    pub anchor: Anchor,
    /// Size, px.
    pub size_px: f64,
    /// Semi-bold.
    pub bold: bool,
    /// Colour.
    pub ink: Ink,
    /// Drawn on a patch of paper, so that lines below do not disturb it.
    pub on_patch: bool,
}

impl Label {
    /// A plain label.
    pub(crate) fn new(text: impl Into<String>, x: f64, y: f64, size_px: f64) -> Self {
        let text = drawable(&text.into());
        Self {
            text,
            x,
            y,
            anchor: Anchor::Start,
            size_px,
            bold: false,
            ink: Ink::Text,
            on_patch: false,
        }
    }

    /// With another anchor.
    pub(crate) fn anchored(mut self, anchor: Anchor) -> Self {
        self.anchor = anchor;
        self
    }

    /// In another ink.
    pub(crate) fn in_ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }

    /// Semi-bold.
    pub(crate) fn bold(mut self) -> Self {
        self.bold = true;
        self
    }

    /// Shortened with an ellipsis until it is no wider than `width_px`.
    pub(crate) fn within(mut self, width_px: f64) -> Self {
        if text_width_px(&self.text, self.size_px, self.bold) <= width_px {
            return self;
        }
        while !self.text.is_empty() {
            self.text.pop();
            let shorter = format!("{}…", self.text.trim_end());
            if text_width_px(&shorter, self.size_px, self.bold) <= width_px {
                self.text = shorter;
                break;
            }
        }
        self
    }

    /// The box that its letters fill, px.
    #[must_use]
    pub fn text_box(&self) -> Frame {
        let width = text_width_px(&self.text, self.size_px, self.bold);
        let left = match self.anchor {
            Anchor::Start => self.x,
            Anchor::Middle => self.x - width / 2.0,
            Anchor::End => self.x - width,
        };
        Frame {
            left,
            top: self.y - ASCENT_EM * self.size_px,
            right: left + width,
            bottom: self.y + DESCENT_EM * self.size_px,
        }
    }
}

/// A small filled rectangle beside a label, to name a colour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swatch {
    /// Where.
    pub frame: Frame,
    /// Colour.
    pub ink: Ink,
}

/// A line in px, and what a place above and one below it cost.
type Beside = (Vec<(f64, f64)>, f64, f64);

/// A whole drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// Stem of its file name.
    pub name: &'static str,
    /// What it tells, in full; the first label says it as far as the sheet is wide.
    pub title: String,
    /// The line below it, in full; the second label.
    pub subtitle: String,
    /// Width, px at 1x.
    pub width_px: f64,
    /// Height, px at 1x.
    pub height_px: f64,
    /// What the chart shows, in sentences, for those who do not see it.
    pub alt: String,
    /// Plot areas, back to front.
    pub panels: Vec<Panel>,
    /// Colour keys.
    pub swatches: Vec<Swatch>,
    /// All text there is.
    pub labels: Vec<Label>,
}

impl Chart {
    /// An empty sheet with a title and a line below it.
    pub(crate) fn sheet(
        name: &'static str,
        height_px: f64,
        style: &crate::style::Style,
        title: &str,
        subtitle: &str,
    ) -> Self {
        let room = WIDTH_PX - 2.0 * MARGIN_PX;
        let labels = vec![
            Label::new(title, MARGIN_PX, 36.0, style.title_px)
                .bold()
                .within(room),
            Label::new(subtitle, MARGIN_PX, 61.0, style.subtitle_px)
                .in_ink(Ink::Muted)
                .within(room),
        ];
        Self {
            name,
            title: title.to_owned(),
            subtitle: subtitle.to_owned(),
            width_px: WIDTH_PX,
            height_px,
            alt: format!("{title}. {subtitle}"),
            panels: Vec::new(),
            swatches: Vec::new(),
            labels,
        }
    }

    /// The panel of that name.
    #[must_use]
    pub fn panel(&self, name: &str) -> Option<&Panel> {
        self.panels.iter().find(|p| p.name == name)
    }

    /// The whole sheet.
    #[must_use]
    pub fn sheet_frame(&self) -> Frame {
        Frame {
            left: 0.0,
            top: 0.0,
            right: self.width_px,
            bottom: self.height_px,
        }
    }

    /// The boxes of all labels, in their order.
    #[must_use]
    pub fn text_boxes(&self) -> Vec<Frame> {
        self.labels.iter().map(Label::text_box).collect()
    }

    /// Tick labels of a panel's left axis.
    pub(crate) fn label_left_axis(&mut self, panel: &Panel, size_px: f64) {
        for tick in &panel.y.ticks {
            let (_, y) = panel.px(panel.x.min, tick.at);
            self.labels.push(
                Label::new(
                    tick.label.clone(),
                    panel.frame.left - 8.0,
                    y + 0.36 * size_px,
                    size_px,
                )
                .anchored(Anchor::End)
                .in_ink(Ink::Muted),
            );
        }
    }

    /// A label laid beside a line of `panel`, clear of its other series and of all text so far.
    pub(crate) fn label_beside(
        &mut self,
        panel: &Panel,
        series: &Series,
        text: &str,
        size_px: f64,
        ink: Ink,
    ) {
        let own = panel.pixels(series);
        let others: Vec<_> = panel
            .series
            .iter()
            .filter(|s| {
                !std::ptr::eq(*s, series) && !matches!(s.shape, Shape::Bars(_) | Shape::Cells(_))
            })
            .flat_map(|s| panel.pixels(s))
            .collect();
        let label = Label::new(text, 0.0, 0.0, size_px).bold().in_ink(ink);
        if let Some(spot) = self.best_beside(panel.frame, &[(own, 0.0, 0.0)], &others, &label) {
            let y = spot.top + ASCENT_EM * label.size_px;
            self.labels.push(Label {
                x: spot.left,
                y,
                on_patch: spot.covers,
                ..label
            });
        }
    }

    /// What the band means, within it at one of its edges or, where lines run there or it is too narrow, just outside.
    /// Never on a patch: a line that must be crossed stays visible.
    pub(crate) fn label_band(&mut self, panel: &Panel, band: &Bar, degree: &str, size_px: f64) {
        const OUTSIDE_COST: f64 = 50.0;
        /// Of a place that cannot be taken.
        const NEVER: f64 = 1e9;
        /// Room that a label leaves to the edge it lies at, on both sides.
        const GAPS_PX: f64 = 14.0;
        let text = format!(
            "swim between {} and {} {degree}",
            crate::words::half(band.y0),
            crate::words::half(band.y1)
        );
        let edge = |y: f64| -> Vec<_> {
            (0..=200)
                .map(|n| {
                    panel.px(
                        panel.x.min + (panel.x.max - panel.x.min) * f64::from(n) / 200.0,
                        y,
                    )
                })
                .collect()
        };
        let lines: Vec<_> = panel
            .series
            .iter()
            .filter(|s| !matches!(s.shape, Shape::Bars(_) | Shape::Cells(_)))
            .flat_map(|s| panel.pixels(s))
            .collect();
        let label = Label::new(text, 0.0, 0.0, size_px).in_ink(Ink::Muted);
        let zero = label.text_box();
        let height_px = panel.px(0.0, band.y0).1 - panel.px(0.0, band.y1).1;
        let inside = if height_px >= zero.bottom - zero.top + GAPS_PX {
            0.0
        } else {
            NEVER
        };
        // Above and below each edge of the band.
        let edges = [
            (edge(band.y1), OUTSIDE_COST, inside),
            (edge(band.y0), inside, OUTSIDE_COST),
        ];
        if let Some(spot) = self.best_beside(panel.frame, &edges, &lines, &label)
            && spot.cost < NEVER
        {
            let y = spot.top + ASCENT_EM * label.size_px;
            self.labels.push(Label {
                x: spot.left,
                y,
                ..label
            });
        }
    }

    /// The place beside the best of some lines, each with what a place above and below it costs.
    fn best_beside(
        &self,
        frame: Frame,
        lines: &[Beside],
        others: &[(f64, f64)],
        label: &Label,
    ) -> Option<Spot> {
        let zero = label.text_box();
        let size = (zero.right - zero.left, zero.bottom - zero.top);
        let taken = self.text_boxes();
        lines
            .iter()
            .filter_map(|(line, above_cost, below_cost)| {
                let costs = (*above_cost, *below_cost);
                beside_line(line, size, frame.grown(-4.0), others, &taken, costs)
            })
            .min_by(|a, b| a.cost.total_cmp(&b.cost))
    }
}

/// Left edge of panels whose left axes are these: room for the widest mark.
pub(crate) fn left_edge<'a>(
    axes: impl IntoIterator<Item = &'a Axis>,
    style: &crate::style::Style,
) -> f64 {
    let widest = axes
        .into_iter()
        .map(|a| a.label_width_px(style.axis_px))
        .fold(40.0, f64::max);
    MARGIN_PX + widest + 8.0
}
