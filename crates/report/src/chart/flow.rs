//! Pump and plumbing: where the pump's curve meets the loop's, and the pressure along the loop.

use swimdays_quantity::Kind;

use super::year::line;
use super::{Anchor, Axis, Bar, Chart, Dash, Frame, Label, MARGIN_PX, Panel, Series, Shape};
use crate::Units;
use crate::flow::{FlowReport, PieceSummary};
use crate::style::{Ink, Style};

/// Curves of other ways that are named; more would be a thicket.
const OTHER_WAYS: usize = 2;

/// Pump curve and system curves, and the flow at which they meet.
#[must_use]
pub fn pump_chart(report: &FlowReport, units: Units, style: &Style) -> Chart {
    let q = |v: f64| units.value(Kind::Flow, v);
    let h = |v: f64| units.value(Kind::Length, v);
    let title = if report.pump_curve.is_empty() {
        format!(
            "{} through the heaters need {} of head",
            units.format(Kind::Flow, report.flow_m3_s, 1),
            units.format(Kind::Length, report.head_m, 1)
        )
    } else {
        format!(
            "{} through the heaters, {} of head",
            units.format(Kind::Flow, report.flow_m3_s, 1),
            units.format(Kind::Length, report.head_m, 1)
        )
    };
    let subtitle = if report.pump_curve.is_empty() {
        format!("What the loop of {} needs", report.name)
    } else {
        format!(
            "Where the pump's curve meets that of the loop. {}",
            report.name
        )
    };
    let mut chart = Chart::sheet("pump", 560.0, style, &title, &subtitle);
    let top_m = report
        .pump_curve
        .first()
        .map_or(1.5 * report.head_m, |p| p.1)
        .max(1.15 * report.head_m)
        .max(0.3);
    let most = report
        .pump_curve
        .iter()
        .map(|p| p.0)
        .fold(1.4 * report.pump_flow_m3_s, f64::max)
        .max(1e-5);
    let cut = |points: &[(f64, f64)]| -> Vec<(f64, f64)> {
        points
            .iter()
            .filter(|p| p.0 <= most && p.1 <= 1.05 * top_m && p.1 >= 0.0)
            .map(|p| (q(p.0), h(p.1)))
            .collect()
    };
    // The two ends of what can be plumbed say most; those between crowd the picture.
    let ways: Vec<_> = report
        .arrangements
        .iter()
        .filter(|w| !w.as_planned && (w.name.starts_with("all ") || w.name.starts_with("both ")))
        .map(|w| {
            (
                format!("{}: {}", w.name, units.format(Kind::Flow, w.flow_m3_s, 1)),
                cut(&w.curve),
            )
        })
        .filter(|w| w.1.len() > 2)
        .take(OTHER_WAYS)
        .collect();
    let own = report
        .arrangements
        .iter()
        .find(|w| w.as_planned)
        .map(|w| cut(&w.curve))
        .unwrap_or_default();
    let pump = cut(&report.pump_curve);
    let at = (q(report.pump_flow_m3_s), h(report.head_m));
    let x = Axis::round([0.0, q(most)], 8.0, units.unit(Kind::Flow));
    let y = Axis::round([0.0, h(1.05 * top_m)], 6.0, units.unit(Kind::Length));
    let left = super::left_edge([&y], style);
    let mut series: Vec<Series> = ways
        .iter()
        .map(|(name, points)| line(name, Ink::Muted, points.clone(), 1.25, Dash::Dashed))
        .collect();
    series.push(line("loop", Ink::Outlet, own, 2.75, Dash::Solid));
    if !pump.is_empty() {
        series.push(line("pump", Ink::Pump, pump, 2.75, Dash::Solid));
    }
    let (dx, dy) = (
        0.006 * (x.max - x.min),
        0.006 * 816.0 / 392.0 * (y.max - y.min),
    );
    let shown = at.0 <= x.max && at.1 <= y.max && report.pump_flow_m3_s > 0.0;
    if shown {
        let point = Bar {
            x0: (at.0 - dx).max(x.min),
            x1: (at.0 + dx).min(x.max),
            y0: (at.1 - dy).max(y.min),
            y1: (at.1 + dy).min(y.max),
        };
        series.push(Series {
            name: "point".into(),
            ink: Ink::Text,
            shape: Shape::Bars(vec![point]),
        });
    }
    let panel = Panel {
        name: "pump",
        frame: Frame {
            left,
            top: 92.0,
            right: 880.0,
            bottom: 484.0,
        },
        x,
        y,
        series,
        outlined: false,
        parted: false,
    };
    chart.label_left_axis(&panel, style.axis_px);
    label_bottom(&mut chart, &panel, style);
    let axis = if report.filter_flow_alone_m3_s.is_some() {
        "flow through the pump; height of water that it holds up"
    } else {
        "flow; height of water that the pump holds up"
    };
    chart
        .labels
        .push(Label::new(axis, left, 546.0, style.axis_px).in_ink(Ink::Muted));
    if shown {
        point_label(&mut chart, &panel, at, report, units, style);
    }
    for (name, ink) in [("pump", Ink::Pump), ("loop", Ink::Outlet)] {
        if let Some(series) = panel.series(name).filter(|s| s.values().len() > 1) {
            let said = if name == "pump" {
                "the pump"
            } else {
                "the loop as planned"
            };
            chart.label_beside(&panel, series, said, style.label_px, ink);
        }
    }
    for (name, _) in &ways {
        if let Some(series) = panel.series(name) {
            chart.label_beside(&panel, series, name, style.axis_px, Ink::Muted);
        }
    }
    chart.alt += &format!(
        " Flow at the pump {}, head {}.",
        units.format(Kind::Flow, report.pump_flow_m3_s, 1),
        units.format(Kind::Length, report.head_m, 1)
    );
    chart.panels = vec![panel];
    chart
}

/// What flows at the point, in the free corner beside it.
fn point_label(
    chart: &mut Chart,
    panel: &Panel,
    at: (f64, f64),
    report: &FlowReport,
    units: Units,
    style: &Style,
) {
    let text = format!(
        "{} at {}",
        units.format(Kind::Flow, report.pump_flow_m3_s, 1),
        units.format(Kind::Length, report.head_m, 1)
    );
    let point = panel.px(at.0, at.1);
    let others: Vec<(f64, f64)> = panel
        .series
        .iter()
        .filter(|s| s.name != "point")
        .flat_map(|s| panel.pixels(s))
        .collect();
    let mut best: Option<(usize, Label)> = None;
    for (dx, dy, anchor) in [
        (14.0, 5.0, Anchor::Start),
        (-14.0, 5.0, Anchor::End),
        (12.0, -14.0, Anchor::Start),
        (-12.0, -14.0, Anchor::End),
        (12.0, 26.0, Anchor::Start),
        (-12.0, 26.0, Anchor::End),
        (0.0, -30.0, Anchor::Middle),
        (0.0, 42.0, Anchor::Middle),
        // Farther off, where all near places lie on a curve.
        (26.0, -30.0, Anchor::Start),
        (26.0, 44.0, Anchor::Start),
        (-26.0, -30.0, Anchor::End),
        (-26.0, 44.0, Anchor::End),
        (44.0, -50.0, Anchor::Start),
        (44.0, 64.0, Anchor::Start),
        (-44.0, -50.0, Anchor::End),
        (-44.0, 64.0, Anchor::End),
    ] {
        let label = Label::new(text.clone(), point.0 + dx, point.1 + dy, style.label_px)
            .bold()
            .anchored(anchor);
        let frame = label.text_box();
        if !panel.frame.grown(-2.0).contains(&frame) {
            continue;
        }
        let near = frame.grown(2.0);
        let hits = others
            .iter()
            .filter(|p| p.0 > near.left && p.0 < near.right && p.1 > near.top && p.1 < near.bottom)
            .count();
        if best.as_ref().is_none_or(|(least, _)| hits < *least) {
            best = Some((hits, label));
        }
    }
    if let Some((hits, mut label)) = best {
        label.on_patch = hits > 0;
        chart.labels.push(label);
    }
}

pub(super) fn label_bottom(chart: &mut Chart, panel: &Panel, style: &Style) {
    let last = panel.x.ticks.len().saturating_sub(1);
    for (n, tick) in panel.x.ticks.iter().enumerate() {
        let (x, _) = panel.px(tick.at, panel.y.min);
        let mut label = Label::new(
            tick.label.clone(),
            x,
            panel.frame.bottom + 22.0,
            style.axis_px,
        )
        .in_ink(Ink::Muted)
        .anchored(Anchor::Middle);
        if n == last && label.text_box().right > 900.0 - MARGIN_PX {
            label = label.anchored(Anchor::End);
            label.x = 900.0 - MARGIN_PX;
        }
        let clear = chart
            .labels
            .iter()
            .all(|l| !l.text_box().overlaps(&label.text_box().grown(4.0)));
        if clear {
            chart.labels.push(label);
        }
    }
}

/// The pieces along one way: past branches side by side the first is followed, past the tee the heaters.
fn along(report: &FlowReport) -> Vec<&PieceSummary> {
    let mut end_m = -1.0;
    report
        .pieces
        .iter()
        .filter(|p| p.part != "main")
        .filter(|p| {
            let takes = p.along_m >= end_m - 1e-6;
            if takes {
                end_m = p.along_m + p.length_m;
            }
            takes
        })
        .collect()
}

/// Pressure and height along the loop.
#[must_use]
pub fn loop_chart(report: &FlowReport, units: Units, style: &Style) -> Chart {
    let way = along(report);
    let m = |v: f64| units.value(Kind::Length, v);
    let p = |v: f64| units.value(Kind::Pressure, v);
    let lowest = way
        .iter()
        .map(|w| w.lowest_gauge_pa)
        .fold(f64::INFINITY, f64::min);
    let title = if lowest < -500.0 {
        format!(
            "Pressure along the loop: down to {} below the air's",
            units.format(Kind::Pressure, -lowest, 1)
        )
    } else {
        "Pressure along the loop: above the air's everywhere".to_owned()
    };
    let subtitle = format!("From pool to pool, pump running. {}", report.name);
    let mut chart = Chart::sheet("loop", 620.0, style, &title, &subtitle);
    let (mut pressure, mut height) = (Vec::new(), Vec::new());
    for w in &way {
        let start = m(w.along_m);
        let end = m(w.along_m + w.length_m);
        pressure.push((start, p(w.inlet_gauge_pa)));
        height.push((start, m(w.inlet_height_m)));
        let top = w.high_point_m > w.inlet_height_m.max(w.outlet_height_m) + 0.02;
        if top && w.length_m > 0.0 {
            let middle = f64::midpoint(start, end);
            pressure.push((middle, p(w.lowest_gauge_pa)));
            height.push((middle, m(w.high_point_m)));
        }
        pressure.push((end, p(w.outlet_gauge_pa)));
        height.push((end, m(w.outlet_height_m)));
    }
    let most = pressure.last().map_or(1.0, |e| e.0).max(1e-3);
    let below: Vec<(f64, f64, f64)> = dense(&pressure)
        .into_iter()
        .map(|(x, y)| (x, y.min(0.0), 0.0))
        .collect();
    let x = Axis::round([0.0, most], 8.0, units.unit(Kind::Length));
    let y = Axis::round(
        pressure.iter().map(|v| v.1).chain([0.0, p(3_000.0)]),
        6.0,
        units.unit(Kind::Pressure),
    );
    let heights = Axis::round(
        height.iter().map(|v| v.1).chain([0.0, m(0.5)]),
        4.0,
        units.unit(Kind::Length),
    );
    let left = super::left_edge([&y, &heights], style);
    let flat = |v: f64| vec![(x.min, v), (x.max, v)];
    let mut series = vec![line("air", Ink::Muted, flat(0.0), 1.5, Dash::Dashed)];
    if lowest < 0.0 {
        series.insert(
            0,
            Series {
                name: "below_air".into(),
                ink: Ink::Cold,
                shape: Shape::Area(below),
            },
        );
    }
    series.push(line("pressure", Ink::Outlet, pressure, 2.75, Dash::Solid));
    let frame = |top: f64, bottom: f64| Frame {
        left,
        top,
        right: 880.0,
        bottom,
    };
    let upper = Panel {
        name: "pressure",
        frame: frame(92.0, 332.0),
        x: Axis::plain(x.min, x.max),
        y,
        series,
        outlined: false,
        parted: false,
    };
    let lower = Panel {
        name: "height",
        frame: frame(372.0, 546.0),
        series: vec![
            line("water", Ink::Water, flat(0.0), 1.5, Dash::Dashed),
            line("tube", Ink::Text, height, 2.25, Dash::Solid),
        ],
        x,
        y: heights,
        outlined: false,
        parted: false,
    };
    chart.label_left_axis(&upper, style.axis_px);
    chart.label_left_axis(&lower, style.axis_px);
    label_bottom(&mut chart, &lower, style);
    chart.labels.push(
        Label::new(
            "running length from the pool's outlet",
            left,
            606.0,
            style.axis_px,
        )
        .in_ink(Ink::Muted),
    );
    let named = [
        (&upper, "pressure", "pressure in the tube", Ink::Outlet),
        (&upper, "air", "air pressure", Ink::Muted),
        (&lower, "tube", "height of the tube", Ink::Text),
        (&lower, "water", "the pool's surface", Ink::Water),
    ];
    for (panel, name, said, ink) in named {
        if let Some(series) = panel.series(name) {
            chart.label_beside(panel, series, said, style.axis_px, ink);
        }
    }
    chart.panels = vec![upper, lower];
    chart
}

/// Points close enough that a crossing of zero shows.
fn dense(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut out = Vec::new();
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        for n in 0..20 {
            let share = f64::from(n) / 20.0;
            out.push((a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share));
        }
    }
    out.extend(points.last());
    out
}
