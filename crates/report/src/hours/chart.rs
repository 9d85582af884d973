//! The picture: hour by hour and month by month, what an hour of running then brings.

use super::HoursSummary;
use crate::Units;
use crate::chart::{
    Anchor, Axis, Cells, Chart, Dash, Frame, Label, MARGIN_PX, Panel, Scale, Series, Shape, Swatch,
    WIDTH_PX, as_f64, clock_axis, left_edge, scale_beside,
};
use crate::style::{Ink, Ramp, Style};
use crate::words::half;

/// Hours of a day.
const HOURS: usize = 24;
/// Room on the right for the scale.
const SCALE_PX: f64 = 84.0;
/// Steps of the scale of heat.
const STEPS: usize = 8;
/// Tones of cooling: the cold end of [`Ramp::Warmth`], a quarter of it.
const COOL_STEPS: f64 = 2.0;

/// Draws the map.
#[must_use]
pub fn brings_chart(summary: &HoursSummary, units: Units, style: &Style) -> Chart {
    let months = &summary.brings_kw;
    let count = as_f64(months.len()).max(1.0);
    let all = || {
        months
            .iter()
            .flat_map(|(_, row)| row.iter().flatten().copied())
    };
    let most = all().fold(0.0, f64::max);
    let (title, subtitle) = headings(summary, units);
    let mut chart = Chart::sheet("hours", 560.0, style, &title, &subtitle);
    let clock = clock_axis(units);
    let left = left_edge([&clock], style);
    let frame = Frame {
        left,
        top: 112.0,
        right: WIDTH_PX - MARGIN_PX - SCALE_PX,
        bottom: 472.0,
    };
    let mut axis = Axis::round([0.0, most.max(0.1)], 5.0, "");
    axis.min = 0.0;
    let ends: Vec<f64> = (0..=STEPS)
        .map(|n| axis.max * as_f64(n) / as_f64(STEPS))
        .collect();
    let warm = Scale {
        ramp: Ramp::Sun,
        ends,
        from_nothing: false,
    };
    // Tones of cooling grow with the heat lost, up to as much as is gained at best.
    let step = most.max(0.1) / (COOL_STEPS + 1.0);
    let cool = Scale {
        ramp: Ramp::Warmth,
        ends: (0..=9).map(|n| f64::from(n) * step).collect(),
        from_nothing: false,
    };
    let laid = |keep: fn(f64) -> f64| -> Vec<f64> {
        months
            .iter()
            .flat_map(|(_, row)| row.iter().map(|kw| kw.map_or(f64::NAN, keep)))
            .collect()
    };
    let cells = |values: Vec<f64>, scale: Scale| {
        Shape::Cells(Cells {
            x0: 0.0,
            y0: 0.0,
            width: 1.0,
            height: 1.0,
            rows: HOURS,
            values,
            scale,
        })
    };
    let gained = laid(|kw| if kw >= 0.0 { kw } else { f64::NAN });
    let deepest = (COOL_STEPS + 0.5) * step;
    let lost: Vec<f64> = laid(|kw| if kw < 0.0 { -kw } else { f64::NAN })
        .into_iter()
        // Not `min`, which would turn what is missing into a number.
        .map(|kw| if kw > deepest { deepest } else { kw })
        .collect();
    let cools = lost.iter().any(|kw| kw.is_finite());
    let mut panel = Panel {
        name: "brings",
        frame,
        x: Axis::plain(0.0, count),
        y: clock,
        series: Vec::new(),
        outlined: false,
        parted: false,
    };
    for (name, ink, shape) in [
        ("heat", Ink::Sun, cells(gained, warm.clone())),
        ("cooling", Ink::WaterSpan, cells(lost, cool)),
    ] {
        panel.series.push(Series {
            name: name.into(),
            ink,
            shape,
        });
    }
    for (halo, ink, width_px) in [(true, Ink::Paper, 5.0), (false, Ink::Text, 2.5)] {
        for points in outlines(&summary.card) {
            panel.series.push(Series {
                name: if halo { "halo" } else { "card" }.into(),
                ink,
                shape: Shape::Line {
                    points,
                    width_px,
                    dash: Dash::Solid,
                },
            });
        }
    }
    chart.label_left_axis(&panel, style.axis_px);
    for (at, row) in summary.card.iter().enumerate() {
        let (x, _) = panel.px(as_f64(at) + 0.5, 0.0);
        chart.labels.push(
            Label::new(row.name, x, frame.bottom + 22.0, style.axis_px).anchored(Anchor::Middle),
        );
    }
    chart.labels.push(
        Label::new("kW", frame.right + 14.0, frame.top - 10.0, style.axis_px).in_ink(Ink::Muted),
    );
    scale_beside(&mut chart, &panel, "brings scale", warm, axis, style);
    chart.panels.push(panel);
    let mut y = 522.0;
    let mut say = |chart: &mut Chart, text: &str, swatch: Option<Ink>| {
        let x = if swatch.is_some() { left + 24.0 } else { left };
        if let Some(ink) = swatch {
            chart.swatches.push(Swatch {
                frame: Frame {
                    left,
                    top: y - 12.0,
                    right: left + 16.0,
                    bottom: y + 2.0,
                },
                ink,
            });
        }
        chart.labels.push(
            Label::new(text, x, y, style.axis_px)
                .in_ink(Ink::Muted)
                .within(WIDTH_PX - MARGIN_PX - x),
        );
        y += 24.0;
    };
    if cools {
        say(
            &mut chart,
            "running then cools the water",
            Some(Ink::WaterSpan),
        );
    }
    say(
        &mut chart,
        "Framed: hours on the card. Blank: it does not run then (water warm enough, or frost).",
        None,
    );
    chart.alt += &spoken(summary, units);
    chart
}

/// Outlines of the pump's stretches; like months beside each other share one, and one over midnight is two.
fn outlines(card: &[super::CardRow]) -> Vec<Vec<(f64, f64)>> {
    let mut out = Vec::new();
    let mut from = 0;
    while let Some(row) = card.get(from) {
        let alike = card[from..]
            .iter()
            .take_while(|r| r.pump == row.pump)
            .count();
        let (x0, x1) = (as_f64(from), as_f64(from + alike));
        for on_off in &row.pump {
            let pieces = if on_off.off_h > on_off.on_h {
                [(on_off.on_h, on_off.off_h), (0.0, 0.0)]
            } else {
                [(on_off.on_h, 24.0), (0.0, on_off.off_h)]
            };
            for (y0, y1) in pieces.into_iter().filter(|(y0, y1)| y0 < y1) {
                out.push(vec![(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]);
            }
        }
        from += alike;
    }
    out
}

/// The best hour: what it brings, its month and when it begins.
fn best(summary: &HoursSummary) -> Option<(f64, usize, usize)> {
    summary
        .brings_kw
        .iter()
        .enumerate()
        .flat_map(|(month, (_, row))| {
            row.iter()
                .enumerate()
                .filter_map(move |(hour, kw)| kw.map(|kw| (kw, month, hour)))
        })
        .max_by(|a, b| a.0.total_cmp(&b.0))
}

fn headings(summary: &HoursSummary, units: Units) -> (String, String) {
    let title = match best(summary) {
        Some((kw, month, hour)) if kw > 0.0 => format!(
            "An hour of running brings up to {kw:.1} kWh, in {} from {}",
            summary.card.get(month).map_or("", |row| row.name),
            crate::words::clock(as_f64(hour), units)
        ),
        _ => "Running brings no heat at any hour".to_owned(),
    };
    let subtitle = format!(
        "{}, {}. Mean of each month, by the clock on the wall.",
        summary.name, summary.weather_shown
    );
    (title, subtitle)
}

/// The best hour of each month, for those who do not see the picture.
fn spoken(summary: &HoursSummary, units: Units) -> String {
    let parts: Vec<String> = summary
        .brings_kw
        .iter()
        .zip(&summary.card)
        .filter_map(|((_, row), card)| {
            let (hour, kw) = row
                .iter()
                .enumerate()
                .filter_map(|(hour, kw)| kw.map(|kw| (hour, kw)))
                .max_by(|a, b| a.1.total_cmp(&b.1))?;
            let when = crate::words::clock(as_f64(hour), units);
            Some(format!("{} from {when}, {} kW", card.name, half(kw)))
        })
        .collect();
    if parts.is_empty() {
        return String::new();
    }
    format!(" Best hour of each month: {}.", parts.join("; "))
}
