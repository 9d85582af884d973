//! The folding rule: the time axis of every chart.
//!
//! Segments (months of a year, days of a week) alternate in tone as the legs of a folding rule do, and what
//! happened in each unit of time stands on it as marks.

use chrono::{Datelike, NaiveDate};

use super::{Anchor, Axis, Bar, Chart, Frame, Label, Panel, Series, Shape};
use crate::style::Ink;
use crate::words::{MONTHS, month_index};

/// One leg of the rule.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Leg {
    /// First unit of time on it.
    pub(crate) from: f64,
    /// End of the last.
    pub(crate) to: f64,
    /// What is written below.
    pub(crate) name: String,
}

/// The months of a row of days, as legs in days from the first.
pub(crate) fn month_legs(dates: &[NaiveDate]) -> Vec<(usize, Leg)> {
    let mut legs: Vec<(usize, Leg)> = Vec::new();
    for (i, date) in dates.iter().enumerate() {
        let (month, at) = (month_index(*date), as_f64(i));
        match legs.last_mut() {
            Some((m, leg)) if *m == month && date.day() != 1 => leg.to = at + 1.0,
            _ => legs.push((
                month,
                Leg {
                    from: at,
                    to: at + 1.0,
                    name: MONTHS[month].into(),
                },
            )),
        }
    }
    legs
}

/// The rule as a panel: outline and tones; marks are added by the caller as series from 0 (bottom) to 1 (top).
pub(crate) fn rule(frame: Frame, x: (f64, f64), legs: &[Leg]) -> Panel {
    let tones = legs
        .iter()
        .skip(1)
        .step_by(2)
        .map(|leg| Bar {
            x0: leg.from,
            x1: leg.to,
            y0: 0.0,
            y1: 1.0,
        })
        .collect();
    Panel {
        name: "rule",
        frame,
        x: Axis::plain(x.0, x.1),
        y: Axis::plain(0.0, 1.0),
        series: vec![Series {
            name: "legs".into(),
            ink: Ink::Shade,
            shape: Shape::Bars(tones),
        }],
        outlined: true,
        parted: false,
    }
}

impl Chart {
    /// Names below the legs, where they fit.
    pub(crate) fn label_legs(&mut self, panel: &Panel, legs: &[Leg], base_line: f64, size_px: f64) {
        for leg in legs {
            let (x0, _) = panel.px(leg.from, 0.0);
            let (x1, _) = panel.px(leg.to, 0.0);
            let label = Label::new(leg.name.clone(), f64::midpoint(x0, x1), base_line, size_px)
                .anchored(Anchor::Middle)
                .in_ink(Ink::Text);
            let text = label.text_box();
            if text.right - text.left <= x1 - x0 {
                self.labels.push(label);
            }
        }
    }
}

/// A small count as a number on an axis.
pub(crate) fn as_f64(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}
