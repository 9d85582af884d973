//! The year: water and air by the day, the band in which one swims, and every swim day on the rule.

use chrono::NaiveDate;
use swimdays_season::Day;

use super::time::{Leg, as_f64, month_legs, rule};
use super::{Axis, Bar, Chart, Dash, Frame, Label, Panel, Series, Shape, Swatch};
use crate::Units;
use crate::style::{Ink, Style};
use crate::words::{count, day, half};

/// What the year's chart is made from.
#[derive(Clone, Copy, Debug)]
pub struct YearView<'a> {
    /// Days in the order of the swim year.
    pub days: &'a [Day],
    /// Coldest water one swims in, °C.
    pub target_c: f64,
    /// Hottest water one swims in, °C.
    pub too_hot_c: f64,
    /// Fewest and most swim days within the stated ranges.
    pub range: Option<(usize, usize)>,
    /// Scenario and weather, for the line below the title.
    pub place: &'a str,
    /// Units shown.
    pub units: Units,
}

/// Draws the year.
#[must_use]
pub fn year_chart(view: &YearView<'_>, style: &Style) -> Chart {
    let units = view.units;
    let swim: Vec<NaiveDate> = view
        .days
        .iter()
        .filter(|d| d.swim)
        .map(|d| d.date)
        .collect();
    let too_hot = view.days.iter().filter(|d| d.too_hot).count();
    let mut title = match (swim.first(), swim.last()) {
        (Some(&first), Some(&last)) => {
            format!(
                "{}, {} to {}",
                count(swim.len(), "swim day"),
                day(first, units),
                day(last, units)
            )
        }
        _ => without_swim_days(view.days, too_hot),
    };
    if too_hot > 0 && !swim.is_empty() {
        title += &format!("; {} too hot", count(too_hot, "day"));
    }
    let mut subtitle = view.place.to_owned();
    if let Some((low, high)) = view.range {
        subtitle = format!("Likely {low} to {high} days, by what is not known exactly. {subtitle}");
    }
    let mut chart = Chart::sheet("year", 580.0, style, &title, &subtitle);

    let t = |c: f64| units.temperature_value(c);
    let ends = (0.0, as_f64(view.days.len()).max(1.0));
    let each = |f: fn(&Day) -> f64| -> Vec<(f64, f64)> {
        view.days
            .iter()
            .enumerate()
            .map(|(i, d)| (as_f64(i) + 0.5, t(f(d))))
            .collect()
    };
    let water = each(|d| d.water_mean_c);
    let air = each(|d| d.air_mean_c);
    let span: Vec<_> = view
        .days
        .iter()
        .enumerate()
        .map(|(i, d)| (as_f64(i) + 0.5, t(d.water_min_c), t(d.water_max_c)))
        .collect();
    let band = Bar {
        x0: ends.0,
        x1: ends.1,
        y0: t(view.target_c),
        y1: t(view.too_hot_c),
    };
    let all = water
        .iter()
        .chain(&air)
        .map(|p| p.1)
        .chain(span.iter().flat_map(|s| [s.1, s.2]))
        .chain([band.y0, band.y1]);
    let y = Axis::round(all, 9.0, units.temperature_unit());
    let left = super::left_edge([&y], style);
    let panel = Panel {
        name: "temperature",
        frame: Frame {
            left,
            top: 92.0,
            right: 880.0,
            bottom: 412.0,
        },
        x: Axis::plain(ends.0, ends.1),
        y,
        series: vec![
            Series {
                name: "band".into(),
                ink: Ink::Band,
                shape: Shape::Bars(vec![band]),
            },
            Series {
                name: "water_span".into(),
                ink: Ink::WaterSpan,
                shape: Shape::Area(span),
            },
            line("air_mean", Ink::Air, air, 1.25, Dash::Solid),
            line("water_mean", Ink::Water, water, 2.75, Dash::Solid),
        ],
        outlined: false,
        parted: false,
    };
    chart.label_left_axis(&panel, style.axis_px);

    let (legs, counts) = legs_with_counts(view.days);
    let mut rule = rule(
        Frame {
            left,
            top: 436.0,
            right: 880.0,
            bottom: 470.0,
        },
        ends,
        &legs,
    );
    let marks = |keep: fn(&Day) -> bool, y0: f64, y1: f64| {
        let bars = view
            .days
            .iter()
            .enumerate()
            .filter(|(_, d)| keep(d))
            .map(|(i, _)| Bar {
                x0: as_f64(i) + 0.1,
                x1: as_f64(i) + 0.9,
                y0,
                y1,
            })
            .collect();
        Shape::Bars(bars)
    };
    for (name, ink, shape) in [
        (
            "cold_days",
            Ink::Cold,
            marks(|d| d.open && !d.swim && !d.too_hot, 0.0, 0.3),
        ),
        ("swim_days", Ink::Water, marks(|d| d.swim, 0.0, 1.0)),
        ("too_hot_days", Ink::TooHot, marks(|d| d.too_hot, 0.5, 1.0)),
    ] {
        rule.series.push(Series {
            name: name.into(),
            ink,
            shape,
        });
    }
    chart.label_legs(&rule, &legs, 490.0, style.axis_px);
    label_counts(&mut chart, &rule, &legs, &counts, style);
    chart.key_of_days(style, left, 552.0, too_hot > 0);

    chart.label_beside(
        &panel,
        &panel.series[3],
        "water",
        style.label_px,
        Ink::Water,
    );
    chart.label_beside(
        &panel,
        &panel.series[2],
        "air (daily mean)",
        style.label_px,
        Ink::Air,
    );
    chart.label_band(&panel, &band, units.temperature_unit(), style.axis_px);
    if let (Some(low), Some(high)) = (
        view.days.iter().map(|d| d.water_min_c).reduce(f64::min),
        view.days.iter().map(|d| d.water_max_c).reduce(f64::max),
    ) {
        chart.alt += &format!(
            " Water between {} and {} {} over the year; swim days by month: {}.",
            half(t(low)),
            half(t(high)),
            units.temperature_unit(),
            legs.iter()
                .zip(&counts)
                .map(|(l, c)| format!("{} {c}", l.name))
                .collect::<Vec<_>>()
                .join(", ")
        );
    }
    chart.panels = vec![panel, rule];
    chart
}

/// Why there is no swim day.
fn without_swim_days(days: &[Day], too_hot: usize) -> String {
    let open = days.iter().filter(|d| d.open).count();
    match (open, too_hot) {
        (0, _) => "The pool is never open".into(),
        (_, 0) => "No day warm enough to swim all its hours".into(),
        _ if open == too_hot => {
            format!("No swim day: too hot on all {}", count(open, "open day"))
        }
        _ => format!(
            "No swim day: {} too hot, {} too cold",
            count(too_hot, "day"),
            open - too_hot
        ),
    }
}

/// A line series.
pub(crate) fn line(
    name: &str,
    ink: Ink,
    points: Vec<(f64, f64)>,
    width_px: f64,
    dash: Dash,
) -> Series {
    Series {
        name: name.into(),
        ink,
        shape: Shape::Line {
            points,
            width_px,
            dash,
        },
    }
}

fn legs_with_counts(days: &[Day]) -> (Vec<Leg>, Vec<usize>) {
    let dates: Vec<_> = days.iter().map(|d| d.date).collect();
    month_legs(&dates)
        .into_iter()
        .map(|(_, leg)| {
            let inside = |i: usize| (leg.from..leg.to).contains(&as_f64(i));
            let n = days
                .iter()
                .enumerate()
                .filter(|(i, d)| d.swim && inside(*i))
                .count();
            (leg, n)
        })
        .unzip()
}

/// How many swim days each month has, below its name.
fn label_counts(chart: &mut Chart, rule: &Panel, legs: &[Leg], counts: &[usize], style: &Style) {
    for (leg, &n) in legs.iter().zip(counts) {
        let x = f64::midpoint(rule.px(leg.from, 0.0).0, rule.px(leg.to, 0.0).0);
        let label =
            Label::new(n.to_string(), x, 514.0, style.label_px).anchored(super::Anchor::Middle);
        let label = if n > 0 {
            label.bold().in_ink(Ink::Water)
        } else {
            label.in_ink(Ink::Muted)
        };
        chart.labels.push(label);
    }
    chart
        .labels
        .push(Label::new("days", super::MARGIN_PX, 514.0, style.axis_px).in_ink(Ink::Muted));
}

impl Chart {
    /// What the marks of days mean, from `left` on the line `base`.
    pub(super) fn key_of_days(&mut self, style: &Style, left: f64, base: f64, with_too_hot: bool) {
        let mut x = left;
        let mut items = vec![
            ("a swim day", Ink::Water, 0.0, 1.0),
            ("open, too cold", Ink::Cold, 0.7, 1.0),
        ];
        if with_too_hot {
            items.push(("open, too hot", Ink::TooHot, 0.0, 0.5));
        }
        for (text, ink, top, bottom) in items {
            let at = |share: f64| base - 14.0 + 16.0 * share;
            self.swatches.push(Swatch {
                frame: Frame {
                    left: x,
                    top: at(top),
                    right: x + 4.0,
                    bottom: at(bottom),
                },
                ink,
            });
            let label = Label::new(text, x + 11.0, base, style.axis_px).in_ink(Ink::Muted);
            x = label.text_box().right + 28.0;
            self.labels.push(label);
        }
    }
}
