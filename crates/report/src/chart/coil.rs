//! A board with its tube, to scale, with what a tape measure needs.

use swimdays_build::{Drawing, Point, StrokeKind};

use super::{
    Anchor, Axis, Chart, Dash, Frame, Label, MARGIN_PX, Panel, Series, Shape, Swatch, WIDTH_PX,
};
use crate::style::{Ink, Style, text_width_px};

/// What is drawn.
#[derive(Clone, Copy, Debug)]
pub struct CoilView<'a> {
    /// Lines, dimensions and words.
    pub drawing: &'a Drawing,
    /// What it is, in a few words.
    pub title: &'a str,
    /// More of it.
    pub subtitle: &'a str,
    /// In sentences, for those who do not see it.
    pub alt: &'a str,
}

/// Height of the plot at the most, px.
const HIGHEST_PX: f64 = 900.0;
const TOP_PX: f64 = 84.0;
const KEY_PX: f64 = 58.0;
/// Half a tick at the ends of a dimension.
const TICK_PX: f64 = 5.0;

/// Draws a layout to scale: a metre is as long across as upwards.
#[must_use]
pub fn coil_chart(view: &CoilView<'_>, style: &Style) -> Chart {
    let d = view.drawing;
    let (w, h) = (d.high.x_m - d.low.x_m, d.high.y_m - d.low.y_m);
    let room = WIDTH_PX - 2.0 * MARGIN_PX;
    let scale = (room / w).min(HIGHEST_PX / h);
    let left = MARGIN_PX + 0.5 * (room - w * scale);
    let bottom = TOP_PX + h * scale;
    let mut chart = Chart::sheet("coil", bottom + KEY_PX, style, view.title, view.subtitle);
    chart.alt = view.alt.to_owned();
    let axis = |min: f64, max: f64| Axis {
        min,
        max,
        ticks: Vec::new(),
    };
    let mut panel = Panel {
        name: "coil",
        frame: Frame {
            left,
            top: TOP_PX,
            right: left + w * scale,
            bottom,
        },
        x: axis(d.low.x_m, d.high.x_m),
        y: axis(d.low.y_m, d.high.y_m),
        series: strokes(d, scale),
        outlined: false,
        parted: false,
    };
    let mut taken: Vec<Frame> = Vec::new();
    dimensions(&mut chart, &mut panel, d, scale, style, &mut taken);
    for label in &d.labels {
        let (x, y) = panel.px(label.at.x_m, label.at.y_m);
        let words = Label::new(label.text.clone(), x, y + 4.0, 13.0).anchored(Anchor::Middle);
        // Ends are named whatever it takes; rings are in the table as well.
        let is_end = label.text.starts_with("in ") || label.text.starts_with("out ");
        let words = Label {
            y: words.y
                + if is_end && label.at.y_m < 0.0 {
                    8.0
                } else {
                    0.0
                },
            ..words
        };
        place(
            &mut chart,
            words.bold_if(is_end),
            &panel.frame,
            &mut taken,
            is_end,
        );
    }
    chart.panels.push(panel);
    key(&mut chart, d, bottom + 34.0, style);
    chart
}

/// One series a kind of line; the tube as wide as it is, with its middle line.
fn strokes(d: &Drawing, scale: f64) -> Vec<Series> {
    let mut out = Vec::new();
    let points = |p: &[Point]| p.iter().map(|p| (p.x_m, p.y_m)).collect::<Vec<_>>();
    let mut push = |name: &str, ink, points, width_px: f64, dash| {
        out.push(Series {
            name: name.into(),
            ink,
            shape: Shape::Line {
                points,
                width_px,
                dash,
            },
        });
    };
    for s in &d.strokes {
        let width = (s.width_m * scale * 0.86).max(1.0);
        match s.kind {
            StrokeKind::Tube => {
                push(
                    "tube",
                    Ink::WaterSpan,
                    points(&s.points),
                    width,
                    Dash::Solid,
                );
                push(
                    "middle of the tube",
                    Ink::Water,
                    points(&s.points),
                    0.8,
                    Dash::Solid,
                );
            }
            StrokeKind::Link => push(
                "between spirals",
                Ink::WaterSpan,
                points(&s.points),
                width,
                Dash::Solid,
            ),
            StrokeKind::Over => {
                push(
                    "paper under it",
                    Ink::Paper,
                    points(&s.points),
                    width + 4.0,
                    Dash::Solid,
                );
                push(
                    "over the rings",
                    Ink::Outlet,
                    points(&s.points),
                    width,
                    Dash::Solid,
                );
            }
            StrokeKind::Behind => push(
                "behind the board",
                Ink::Outlet,
                points(&s.points),
                2.5,
                Dash::Dashed,
            ),
            StrokeKind::Outline => push("board", Ink::Text, points(&s.points), 1.8, Dash::Solid),
            StrokeKind::Margin => push("margin", Ink::Muted, points(&s.points), 0.8, Dash::Dashed),
            StrokeKind::Spoke => push("spoke", Ink::Muted, points(&s.points), 0.8, Dash::Dotted),
        }
    }
    // A tie is a short stroke across nothing in particular: a dot.
    let dot = 3.2 / scale;
    for t in &d.ties {
        push(
            "tie",
            Ink::Text,
            vec![(t.x_m - 0.5 * dot, t.y_m), (t.x_m + 0.5 * dot, t.y_m)],
            3.2,
            Dash::Solid,
        );
    }
    out
}

fn dimensions(
    chart: &mut Chart,
    panel: &mut Panel,
    d: &Drawing,
    scale: f64,
    style: &Style,
    taken: &mut Vec<Frame>,
) {
    for dim in &d.dimensions {
        let (dx, dy) = (dim.to.x_m - dim.from.x_m, dim.to.y_m - dim.from.y_m);
        let length = dx.hypot(dy);
        if length <= 0.0 {
            continue;
        }
        // To the left of the way.
        let (nx, ny) = (-dy / length, dx / length);
        let at = |p: Point, by: f64| (p.x_m + nx * by, p.y_m + ny * by);
        let tick = TICK_PX / scale;
        let mut lines = vec![vec![at(dim.from, dim.offset_m), at(dim.to, dim.offset_m)]];
        for end in [dim.from, dim.to] {
            lines.push(vec![
                at(end, dim.offset_m - tick),
                at(end, dim.offset_m + tick),
            ]);
        }
        for points in lines {
            let shape = Shape::Line {
                points,
                width_px: 1.0,
                dash: Dash::Solid,
            };
            panel.series.push(Series {
                name: "dimension".into(),
                ink: Ink::Text,
                shape,
            });
        }
        let middle = at(dim.from, dim.offset_m);
        let (x, y) = panel.px(middle.0 + 0.5 * dx, middle.1 + 0.5 * dy);
        let mut label = Label::new(dim.text.clone(), x, y + 4.0, 13.0).anchored(Anchor::Middle);
        // Words wider than their line stand beside it.
        let words = text_width_px(&label.text, label.size_px, false);
        if dx.abs() * scale < words + 4.0 && dx.abs() > dy.abs() {
            label.y -= 12.0;
        }
        place(
            chart,
            label,
            &panel.frame.grown(style.axis_px.min(6.0)),
            taken,
            true,
        );
    }
}

/// Puts a label where it is clear of others, as near as may be; leaves it out when it may be and nothing is clear.
fn place(chart: &mut Chart, label: Label, within: &Frame, taken: &mut Vec<Frame>, must: bool) {
    // A ring's words stay at its ring.
    let mut tries = vec![(0.0, 0.0), (0.0, -4.0), (0.0, 4.0)];
    let reach = if must { 14 } else { 0 };
    for n in 1..=reach {
        let by = 9.0 * f64::from(n);
        tries.extend([
            (0.0, -by),
            (0.0, by),
            (by, 0.0),
            (-by, 0.0),
            (2.5 * by, -by),
            (-2.5 * by, -by),
            (2.5 * by, by),
            (-2.5 * by, by),
        ]);
    }
    for (dx, dy) in tries {
        let moved = Label {
            x: label.x + dx,
            y: label.y + dy,
            on_patch: true,
            ..label.clone()
        };
        let own = moved.text_box();
        if within.contains(&own) && taken.iter().all(|t| !t.overlaps(&own.grown(1.5))) {
            taken.push(own);
            chart.labels.push(moved);
            return;
        }
    }
}

fn key(chart: &mut Chart, d: &Drawing, y: f64, style: &Style) {
    let has = |kind| d.strokes.iter().any(|s| s.kind == kind);
    let mut items = vec![(Ink::WaterSpan, "tube, as wide as it is")];
    if has(StrokeKind::Over) {
        items.push((Ink::Outlet, "over the rings"));
    }
    if has(StrokeKind::Behind) {
        items.push((Ink::Outlet, "behind the board"));
    }
    items.push((Ink::Text, "ties (dots)"));
    let size = style.axis_px.min(13.0);
    let mut x = MARGIN_PX;
    for (ink, words) in items {
        let frame = Frame {
            left: x,
            top: y - 9.0,
            right: x + 14.0,
            bottom: y + 1.0,
        };
        chart.swatches.push(Swatch { frame, ink });
        let label = Label::new(words, x + 20.0, y, size);
        x = label.text_box().right + 22.0;
        chart.labels.push(label);
    }
    let label = Label::new(
        "1 · 12 ft: ring or row, running length there".to_owned(),
        x,
        y,
        size,
    )
    .in_ink(Ink::Muted);
    let text = if d
        .labels
        .iter()
        .any(|l| l.text.contains(" ft") || l.text.contains(" in"))
    {
        label
    } else {
        Label::new("1 · 3.60 m: ring or row, running length there", x, y, size).in_ink(Ink::Muted)
    };
    chart.labels.push(text.within(WIDTH_PX - MARGIN_PX - x));
}

impl Label {
    fn bold_if(self, yes: bool) -> Self {
        if yes { self.bold() } else { self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use swimdays_build::{
        Along, Board, ExitEdge, LayoutRequest, Pattern, TIE_SPACING_M, Tube, Turn, WayOut, drawing,
        lay,
    };
    use swimdays_properties::materials::TubeMaterial;

    fn charts() -> Vec<Chart> {
        let style = Style::light();
        let serpentine = Pattern::Serpentine {
            turn: Turn::Bulb,
            along: Along::Length,
        };
        let mut out = Vec::new();
        for (pattern, pitch_m) in [
            (Pattern::RoundSpiral, 0.017_78),
            (Pattern::RectangularSpiral, 0.017_78),
            (serpentine, 0.2),
        ] {
            for way_out in [WayOut::Over, WayOut::Behind] {
                for units in [crate::Units::Us, crate::Units::Metric] {
                    let layout = lay(&LayoutRequest {
                        tube: Tube {
                            material: TubeMaterial::Polyethylene,
                            outer_diameter_m: 0.017_78,
                            bore_m: 0.015_24,
                            makers_bend_radius_m: None,
                        },
                        board: Board {
                            length_m: 2.438_4,
                            width_m: 1.219_2,
                            margin_m: 0.025,
                        },
                        pitch_m,
                        pattern,
                        way_out,
                        exit: ExitEdge::Same,
                        wanted_m: None,
                        tie_spacing_m: TIE_SPACING_M,
                    })
                    .expect("fits");
                    let drawing = drawing(&layout, 0.0, units);
                    out.push(coil_chart(
                        &CoilView {
                            drawing: &drawing,
                            title: "Board",
                            subtitle: "to scale",
                            alt: "A board",
                        },
                        &style,
                    ));
                }
            }
        }
        out
    }

    #[test]
    fn words_lie_on_the_sheet_and_apart() {
        for chart in charts() {
            let boxes = chart.text_boxes();
            assert!(boxes.len() > 8);
            for (i, a) in boxes.iter().enumerate() {
                assert!(chart.sheet_frame().contains(a), "{:?}", chart.labels[i]);
                for (j, b) in boxes.iter().enumerate().skip(i + 1) {
                    assert!(
                        !a.overlaps(b),
                        "{:?} {:?}",
                        chart.labels[i],
                        chart.labels[j]
                    );
                }
            }
            for side in ["8 ft", "4 ft"].iter().zip(["2.438 m", "1.219 m"]) {
                assert!(
                    chart
                        .labels
                        .iter()
                        .any(|l| l.text == *side.0 || l.text == side.1)
                );
            }
        }
    }

    #[test]
    fn a_metre_is_as_long_across_as_upwards() {
        for chart in charts() {
            let panel = chart.panel("coil").expect("drawn");
            let (o, x, y) = (panel.px(0.0, 0.0), panel.px(1.0, 0.0), panel.px(0.0, 1.0));
            assert!(((x.0 - o.0) - (o.1 - y.1)).abs() < 1e-9);
        }
    }
}
