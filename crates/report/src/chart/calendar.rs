//! The year as a wall calendar: a row for each month, a box for each day one can swim.

use chrono::Datelike;
use swimdays_season::Day;

use super::time::as_f64;
use super::{Anchor, Axis, Bar, Chart, Frame, Label, MARGIN_PX, Panel, Series, Shape};
use crate::style::{Ink, Style};
use crate::words::{MONTHS, count, month_index};

/// What the calendar is made from.
#[derive(Clone, Copy, Debug)]
pub struct CalendarView<'a> {
    /// Days in the order of the swim year.
    pub days: &'a [Day],
    /// Scenario and weather, for the line below the title.
    pub place: &'a str,
}

/// Height of a month's row, px.
const ROW_PX: f64 = 26.0;
/// Upper edge of the first row, px.
const TOP_PX: f64 = 112.0;
/// Left edge of the first of a month, px.
const LEFT_PX: f64 = 72.0;
/// Width of a day, px.
const DAY_PX: f64 = 22.5;
/// Days of the longest month.
const MOST_DAYS: u32 = 31;

/// Draws the calendar.
#[must_use]
pub fn calendar_chart(view: &CalendarView<'_>, style: &Style) -> Chart {
    let mut months: Vec<(i32, usize)> = Vec::new();
    for day in view.days {
        let month = (day.date.year(), month_index(day.date));
        if months.last() != Some(&month) {
            months.push(month);
        }
    }
    let rows = as_f64(months.len()).max(1.0);
    let bottom = TOP_PX + rows * ROW_PX;
    let swim = view.days.iter().filter(|d| d.swim).count();
    let title = match swim {
        0 => "No day warm enough to swim all its hours".to_owned(),
        n => format!("The {} on a calendar", count(n, "swim day")),
    };
    let mut chart = Chart::sheet("calendar", bottom + 62.0, style, &title, view.place);
    let days = f64::from(MOST_DAYS);
    let mut panel = Panel {
        name: "calendar",
        frame: Frame {
            left: LEFT_PX,
            top: TOP_PX,
            right: LEFT_PX + days * DAY_PX,
            bottom,
        },
        x: Axis::plain(0.0, days),
        y: Axis::plain(0.0, rows),
        series: Vec::new(),
        outlined: false,
        parted: false,
    };
    // Rows count from below.
    let row_of = |day: &Day| {
        let month = (day.date.year(), month_index(day.date));
        let at = months.iter().position(|m| *m == month).unwrap_or(0);
        rows - 1.0 - as_f64(at)
    };
    let marks = |keep: fn(&Day) -> bool, low: f64, high: f64| {
        let bars = view.days.iter().filter(|d| keep(d)).map(|d| {
            let (x, y) = (f64::from(d.date.day0()), row_of(d));
            Bar {
                x0: x + 0.08,
                x1: x + 0.92,
                y0: y + low,
                y1: y + high,
            }
        });
        Shape::Bars(bars.collect())
    };
    let tones = (0..months.len()).step_by(2).map(|at| {
        let y = rows - 1.0 - as_f64(at);
        Bar {
            x0: 0.0,
            x1: days,
            y0: y,
            y1: y + 1.0,
        }
    });
    for (name, ink, shape) in [
        ("rows", Ink::Shade, Shape::Bars(tones.collect())),
        (
            "cold_days",
            Ink::Cold,
            marks(|d| d.open && !d.swim && !d.too_hot, 0.12, 0.3),
        ),
        ("swim_days", Ink::Water, marks(|d| d.swim, 0.12, 0.88)),
        ("too_hot_days", Ink::TooHot, marks(|d| d.too_hot, 0.6, 0.88)),
    ] {
        panel.series.push(Series {
            name: name.into(),
            ink,
            shape,
        });
    }
    for day in [1, 5, 10, 15, 20, 25, 30] {
        let (x, _) = panel.px(f64::from(day) - 0.5, 0.0);
        chart.labels.push(
            Label::new(day.to_string(), x, TOP_PX - 8.0, style.axis_px)
                .anchored(Anchor::Middle)
                .in_ink(Ink::Muted),
        );
    }
    let mut told = Vec::new();
    for (at, month) in months.iter().enumerate() {
        let (_, y) = panel.px(0.0, rows - 0.5 - as_f64(at));
        let base = y + 0.36 * style.axis_px;
        let name = MONTHS[month.1];
        chart
            .labels
            .push(Label::new(name, MARGIN_PX, base, style.axis_px));
        let of_month = |d: &&Day| (d.date.year(), month_index(d.date)) == *month;
        let n = view.days.iter().filter(of_month).filter(|d| d.swim).count();
        told.push(format!("{name} {n}"));
        let label = Label::new(
            n.to_string(),
            panel.frame.right + 34.0,
            base,
            style.label_px,
        )
        .anchored(Anchor::End);
        chart.labels.push(if n > 0 {
            label.bold().in_ink(Ink::Water)
        } else {
            label.in_ink(Ink::Muted)
        });
    }
    chart.labels.push(
        Label::new(
            "days",
            panel.frame.right + 34.0,
            TOP_PX - 8.0,
            style.axis_px,
        )
        .anchored(Anchor::End)
        .in_ink(Ink::Muted),
    );
    let too_hot = view.days.iter().any(|d| d.too_hot);
    chart.key_of_days(style, LEFT_PX, bottom + 36.0, too_hot);
    chart.alt += &format!(" Swim days by month: {}.", told.join(", "));
    chart.panels = vec![panel];
    chart
}
