//! A board with its tube, to scale, with what a tape measure needs.

use swimdays_build::{Column, Drawing, Point, StrokeKind};

use super::place::spread;
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
/// Size of words.
const WORDS_PX: f64 = 14.0;
/// From a column of words to what is drawn.
const LEADER_PX: f64 = 26.0;
/// Half a tick at the ends of a dimension.
const TICK_PX: f64 = 5.0;

/// Draws a layout to scale: a metre is as long across as upwards.
#[must_use]
pub fn coil_chart(view: &CoilView<'_>, style: &Style) -> Chart {
    let d = view.drawing;
    let (w, h) = (d.high.x_m - d.low.x_m, d.high.y_m - d.low.y_m);
    // Words beside the board are as wide as they are, whatever the scale.
    let beside = |column| {
        d.labels
            .iter()
            .filter(|l| l.column == Some(column))
            .map(|l| text_width_px(&l.text, WORDS_PX, l.is_end) + LEADER_PX)
            .fold(0.0, f64::max)
    };
    let (left_px, right_px) = (beside(Column::Left), beside(Column::Right));
    let room = WIDTH_PX - 2.0 * MARGIN_PX - left_px - right_px;
    let scale = (room / w).min(HIGHEST_PX / h);
    let left = MARGIN_PX + left_px + 0.5 * (room - w * scale);
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
            left: left - left_px,
            top: TOP_PX,
            right: left + w * scale + right_px,
            bottom,
        },
        x: axis(d.low.x_m - left_px / scale, d.high.x_m + right_px / scale),
        y: axis(d.low.y_m, d.high.y_m),
        series: strokes(d, scale),
        outlined: false,
        parted: false,
    };
    let mut taken: Vec<Frame> = Vec::new();
    dimensions(&mut chart, &mut panel, d, scale, style, &mut taken);
    for column in [Column::Left, Column::Right] {
        // Between the drawing and the words there is room for the lines to spread.
        let (words_x, bend_x) = match column {
            Column::Left => (left - LEADER_PX, left - 4.0),
            Column::Right => (left + w * scale + LEADER_PX, left + w * scale + 4.0),
        };
        name_beside(
            &mut chart,
            &mut panel,
            d,
            column,
            (words_x, bend_x),
            &mut taken,
        );
    }
    let board = outline(&panel, d);
    for label in d.labels.iter().filter(|l| l.column.is_none()) {
        let before = chart.labels.len();
        // Ends at the upper or lower edge: words outside it.
        let (x, y) = panel.px(label.at.x_m, label.at.y_m);
        let below = label.at.y_m <= 0.5 * (d.low.y_m + d.high.y_m);
        let y = y + if below { 19.0 } else { -12.0 };
        let words = Label::new(label.text.clone(), x, y, WORDS_PX)
            .anchored(Anchor::Middle)
            .bold_if(label.is_end);
        place(&mut chart, words, &panel.frame, &mut taken);
        // Beside the board lies nothing that disturbs the words, and a patch would hide its edge.
        if let Some(placed) = chart.labels.get_mut(before) {
            placed.on_patch = placed.text_box().overlaps(&board);
        }
    }
    chart.panels.push(panel);
    key(&mut chart, d, bottom + 34.0, style);
    chart
}

/// Where the board lies on the sheet.
fn outline(panel: &Panel, d: &Drawing) -> Frame {
    let corners = d
        .strokes
        .iter()
        .filter(|s| s.kind == StrokeKind::Outline)
        .flat_map(|s| &s.points)
        .map(|p| panel.px(p.x_m, p.y_m));
    corners.fold(
        Frame {
            left: f64::INFINITY,
            top: f64::INFINITY,
            right: f64::NEG_INFINITY,
            bottom: f64::NEG_INFINITY,
        },
        |f, (x, y)| Frame {
            left: f.left.min(x),
            top: f.top.min(y),
            right: f.right.max(x),
            bottom: f.bottom.max(y),
        },
    )
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
        let mut label = Label::new(dim.text.clone(), x, y + 5.0, WORDS_PX).anchored(Anchor::Middle);
        // Words wider than their line stand beside it, along it.
        let words = text_width_px(&label.text, label.size_px, false);
        if dx.abs() > dy.abs() && dx.abs() * scale < words + 8.0 {
            label.x += 0.5 * (dx.abs() * scale + words) + 8.0;
        } else if dy.abs() >= dx.abs() && dy.abs() * scale < 26.0 {
            label.x += 0.5 * words + TICK_PX + 5.0;
        }
        place(
            chart,
            label,
            &panel.frame.grown(style.axis_px.min(6.0)),
            taken,
        );
    }
}

/// Words of one column, each with a line that ends in a dot on its ring, row or end.
fn name_beside(
    chart: &mut Chart,
    panel: &mut Panel,
    d: &Drawing,
    column: Column,
    (words_x, bend_x): (f64, f64),
    taken: &mut Vec<Frame>,
) {
    let mut named: Vec<(f64, &swimdays_build::Label)> = d
        .labels
        .iter()
        .filter(|l| l.column == Some(column))
        .map(|l| (panel.px(l.at.x_m, l.at.y_m).1, l))
        .collect();
    named.sort_by(|a, b| a.0.total_cmp(&b.0));
    let wanted: Vec<f64> = named.iter().map(|n| n.0).collect();
    let heights = vec![WORDS_PX + 6.0; wanted.len()];
    let ys = spread(&wanted, &heights, panel.frame.top, panel.frame.bottom);
    let metres = |x: f64, y: f64| {
        let (o, one) = (panel.px(0.0, 0.0), panel.px(1.0, 1.0));
        ((x - o.0) / (one.0 - o.0), (y - o.1) / (one.1 - o.1))
    };
    let mut lines = Vec::new();
    for ((target_y, label), y) in named.into_iter().zip(ys) {
        let end = (label.at.x_m, label.at.y_m);
        let (anchor, gap) = match column {
            Column::Left => (Anchor::End, 4.0),
            Column::Right => (Anchor::Start, -4.0),
        };
        let way = vec![metres(words_x + gap, y), metres(bend_x, target_y), end];
        let line = |name: &str, points, width_px| Series {
            name: name.into(),
            ink: Ink::Text,
            shape: Shape::Line {
                points,
                width_px,
                dash: Dash::Solid,
            },
        };
        lines.push(line("leader", way, 1.0));
        let dot = metres(panel.px(end.0, end.1).0 + 2.5, target_y).0 - end.0;
        let dot = vec![(end.0 - dot, end.1), (end.0 + dot, end.1)];
        lines.push(line("leader's end", dot, 5.0));
        let words = Label::new(label.text.clone(), words_x, y + 5.0, WORDS_PX)
            .anchored(anchor)
            .bold_if(label.is_end);
        taken.push(words.text_box());
        chart.labels.push(words);
    }
    panel.series.extend(lines);
}

/// Puts a label where it is clear of others, as near as may be.
fn place(chart: &mut Chart, label: Label, within: &Frame, taken: &mut Vec<Frame>) {
    let mut tries = vec![(0.0, 0.0), (0.0, -4.0), (0.0, 4.0)];
    for n in 1..=14 {
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
        "1 · 12 ft: ring or row, running length at its dot".to_owned(),
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
        Label::new(
            "1 · 3.60 m: ring or row, running length at its dot",
            x,
            y,
            size,
        )
        .in_ink(Ink::Muted)
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
        let sides = [(2.438_4, 1.219_2), (1.219_2, 2.438_4), (1.219_2, 1.219_2)];
        for ((pattern, pitch_m), (length_m, width_m), exit, wanted_m) in [
            (Pattern::RoundSpiral, 0.017_78),
            (Pattern::RectangularSpiral, 0.017_78),
            (serpentine, 0.2),
            (
                Pattern::Serpentine {
                    turn: Turn::Bulb,
                    along: Along::Width,
                },
                0.2,
            ),
        ]
        .into_iter()
        .flat_map(|p| sides.map(|s| (p, s)))
        .flat_map(|(p, s)| {
            [
                (p, s, ExitEdge::Same, None),
                (p, s, ExitEdge::Any, Some(61.0)),
                (p, s, ExitEdge::Any, Some(54.0)),
                (p, s, ExitEdge::Any, Some(33.0)),
            ]
        }) {
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
                            length_m,
                            width_m,
                            margin_m: 0.025,
                        },
                        pitch_m,
                        pattern,
                        way_out,
                        exit,
                        wanted_m,
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
            assert!(chart.labels.iter().any(|l| l.text.starts_with("in · ")));
            assert!(chart.labels.iter().any(|l| l.text.starts_with("out · ")));
            for side in ["4 ft"].iter().zip(["1.219 m"]) {
                assert!(
                    chart
                        .labels
                        .iter()
                        .any(|l| l.text == *side.0 || l.text == side.1)
                );
            }
        }
    }

    /// Each line from a column ends on the drawn axis of the tube, and none crosses another.
    #[test]
    fn each_leader_ends_on_its_ring() {
        for chart in charts() {
            let panel = chart.panel("coil").expect("drawn");
            let lines = |name: &str| -> Vec<Vec<(f64, f64)>> {
                panel
                    .series
                    .iter()
                    .filter(|s| s.name == name)
                    .filter_map(|s| match &s.shape {
                        Shape::Line { points, .. } => {
                            Some(points.iter().map(|p| panel.px(p.0, p.1)).collect())
                        }
                        _ => None,
                    })
                    .collect()
            };
            let tubes = [
                lines("middle of the tube"),
                lines("over the rings"),
                lines("behind the board"),
            ]
            .concat();
            let leaders = lines("leader");
            assert!(!leaders.is_empty());
            for leader in &leaders {
                let end = leader[leader.len() - 1];
                let off = tubes
                    .iter()
                    .flat_map(|t| t.windows(2))
                    .map(|w| off_px(end, w[0], w[1]))
                    .fold(f64::INFINITY, f64::min);
                // Arcs are drawn in chords of three degrees: a tenth of a pixel at 250 px.
                assert!(off < 0.5, "{off} px");
            }
            for (i, a) in leaders.iter().enumerate() {
                for b in &leaders[i + 1..] {
                    for s in a.windows(2) {
                        for t in b.windows(2) {
                            assert!(!cross((s[0], s[1]), (t[0], t[1])), "{a:?} {b:?}");
                        }
                    }
                }
            }
        }
    }

    fn off_px(p: (f64, f64), a: (f64, f64), b: (f64, f64)) -> f64 {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let t = ((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy).max(1e-12);
        let t = t.clamp(0.0, 1.0);
        (p.0 - a.0 - t * dx).hypot(p.1 - a.1 - t * dy)
    }

    type Segment = ((f64, f64), (f64, f64));

    fn cross(s: Segment, t: Segment) -> bool {
        let side = |l: Segment, p: (f64, f64)| {
            (l.1.0 - l.0.0) * (p.1 - l.0.1) - (l.1.1 - l.0.1) * (p.0 - l.0.0)
        };
        side(s, t.0) * side(s, t.1) < -1e-9 && side(t, s.0) * side(t, s.1) < -1e-9
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
