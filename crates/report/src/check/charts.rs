//! Three pictures: the water measured against foretold, heat against what was due, what was learnt.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use swimdays_check::heats::HeatReading;
use swimdays_check::spot::Heat;

use super::summary::{CheckReport, LearntSummary, minutes};
use super::text::TELLS_NOTHING_FRAC;
use super::words::{is_telling, kelvin, key_of, key_title, key_value};
use crate::Units;
use crate::chart::{
    Anchor, Axis, Bar, Chart, Dash, Frame, Label, Leg, Panel, Series, Shape, Swatch, left_edge,
    line, rule,
};
use crate::style::{Ink, Style};
use crate::words::{MONTHS, count, day, month_index};

/// Days up to which each has a leg on the rule; above it every two days, every week, every month.
const DAYS_BY_DAY: i64 = 10;
const DAYS_BY_TWO: i64 = 28;
const DAYS_BY_WEEK: i64 = 70;
/// Half the width of a mark of a reading, px; of a logger's readings, so many that they would hide the lines; and how many that is.
const MARK_PX: f64 = 2.5;
const FINE_MARK_PX: f64 = 0.75;
const MANY: usize = 300;
/// Readings of heat from which each day has one mark, its mean.
const HEATS_SHOWN: usize = 160;

/// Time from the first midnight, days.
struct Clock {
    from: NaiveDateTime,
    days: i64,
}

impl Clock {
    fn of(times: impl Iterator<Item = NaiveDateTime> + Clone) -> Self {
        let first = times.clone().min().unwrap_or_default();
        let last = times.max().unwrap_or_default();
        let from = NaiveDateTime::new(first.date(), NaiveTime::MIN);
        Self {
            from,
            days: (last.date() - first.date()).num_days() + 1,
        }
    }

    fn at(&self, time: NaiveDateTime) -> f64 {
        minutes(time - self.from) / 1440.0
    }

    fn end(&self) -> f64 {
        f64::from(i32::try_from(self.days).unwrap_or(i32::MAX))
    }

    fn date(&self, at: i64) -> NaiveDate {
        self.from.date() + TimeDelta::days(at)
    }

    /// Days, weeks or months of the rule.
    fn legs(&self, units: Units) -> Vec<Leg> {
        let number = |n: i64| f64::from(i32::try_from(n).unwrap_or(i32::MAX));
        if self.days > DAYS_BY_WEEK {
            let mut legs: Vec<(usize, Leg)> = Vec::new();
            for n in 0..self.days {
                let month = month_index(self.date(n));
                match legs.last_mut() {
                    Some((own, leg)) if *own == month => leg.to = number(n + 1),
                    _ => legs.push((
                        month,
                        Leg {
                            from: number(n),
                            to: number(n + 1),
                            name: MONTHS[month].into(),
                        },
                    )),
                }
            }
            return legs.into_iter().map(|(_, leg)| leg).collect();
        }
        let step = if self.days > DAYS_BY_TWO {
            7
        } else if self.days > DAYS_BY_DAY {
            2
        } else {
            1
        };
        (0..self.days)
            .step_by(step)
            .map(|n| Leg {
                from: number(n),
                to: number((n + i64::try_from(step).unwrap_or(1)).min(self.days)),
                name: day(self.date(n), units),
            })
            .collect()
    }
}

/// A small square for each reading.
fn marks(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    points
        .iter()
        .flat_map(|&p| [p, (f64::NAN, f64::NAN)])
        .collect()
}

/// The rule of days below a panel, with its names.
fn days_rule(chart: &mut Chart, clock: &Clock, left: f64, units: Units, style: &Style) -> Panel {
    let legs = clock.legs(units);
    let rule = rule(
        Frame {
            left,
            top: 436.0,
            right: 880.0,
            bottom: 450.0,
        },
        (0.0, clock.end()),
        &legs,
    );
    chart.label_legs(&rule, &legs, 472.0, style.axis_px);
    rule
}

/// The water as it was read, as it was foretold before, and as it is foretold now with its band.
#[must_use]
pub fn water_chart(report: &CheckReport, units: Units, style: &Style) -> Option<Chart> {
    let fit = report.fit.as_ref()?;
    let times = report
        .points
        .iter()
        .map(|p| p.time)
        .chain(report.course.iter().map(|c| c.time));
    if report.points.is_empty() {
        return None;
    }
    let clock = Clock::of(times);
    let title = format!(
        "Water foretold within {} ({} before the log)",
        kelvin(fit.rms_k, units),
        kelvin(fit.rms_before_k, units)
    );
    let subtitle = format!(
        "{} of {}, standard time. {}",
        count(report.log.readings, "reading"),
        report.log.file,
        report.scenario
    );
    let mut chart = Chart::sheet("water", 500.0, style, &plain(&title), &plain(&subtitle));
    let t = |c: f64| units.temperature_value(c);
    let read: Vec<(f64, f64)> = report
        .points
        .iter()
        .map(|p| (clock.at(p.time), t(p.measured_c)))
        .collect();
    let band: Vec<(f64, f64, f64)> = report
        .course
        .iter()
        .map(|c| {
            let half_k = band_k(report, c.time);
            (
                clock.at(c.time),
                t(c.fitted_c - half_k),
                t(c.fitted_c + half_k),
            )
        })
        .collect();
    let now: Vec<(f64, f64)> = report
        .course
        .iter()
        .map(|c| (clock.at(c.time), t(c.fitted_c)))
        .collect();
    let before: Vec<(f64, f64)> = report
        .course
        .iter()
        .map(|c| (clock.at(c.time), t(c.before_c)))
        .collect();
    let all = read
        .iter()
        .chain(&now)
        .chain(&before)
        .map(|p| p.1)
        .chain(band.iter().flat_map(|b| [b.1, b.2]));
    let y = Axis::round(all, 7.0, units.temperature_unit());
    let left = left_edge([&y], style);
    let panel = Panel {
        name: "water",
        frame: Frame {
            left,
            top: 92.0,
            right: 880.0,
            bottom: 412.0,
        },
        x: Axis::plain(0.0, clock.end()),
        y,
        series: vec![
            Series {
                name: "band".into(),
                ink: Ink::WaterSpan,
                shape: Shape::Area(band),
            },
            line("before", Ink::Muted, before, 1.5, Dash::Dashed),
            line("now", Ink::Water, now, 2.25, Dash::Solid),
            line(
                "read",
                Ink::Outlet,
                marks(&read),
                2.0 * if read.len() > MANY {
                    FINE_MARK_PX
                } else {
                    MARK_PX
                },
                Dash::Solid,
            ),
        ],
        outlined: false,
        parted: false,
    };
    chart.label_left_axis(&panel, style.axis_px);
    for (name, text, ink) in [
        (
            "now",
            "foretold, and where nine in ten readings should lie",
            Ink::Water,
        ),
        ("before", "with the scenario as it stood", Ink::Muted),
    ] {
        if let Some(series) = panel.series(name) {
            chart.label_beside(&panel, series, text, style.label_px, ink);
        }
    }
    key_of_marks(&mut chart, left, style, &[("a reading", Ink::Outlet)]);
    let rule = days_rule(&mut chart, &clock, left, units, style);
    chart.panels = vec![panel, rule];
    Some(chart)
}

/// Half of the band at a time, K: a straight line between the readings before and after.
fn band_k(report: &CheckReport, time: NaiveDateTime) -> f64 {
    let points = &report.points;
    let after = points.partition_point(|p| p.time <= time);
    let before = after.checked_sub(1).and_then(|i| points.get(i));
    match (before, points.get(after)) {
        (Some(a), Some(b)) => {
            let share = minutes(time - a.time) / minutes(b.time - a.time).max(1.0);
            a.band_k + share * (b.band_k - a.band_k)
        }
        (Some(one), None) | (None, Some(one)) => one.band_k,
        (None, None) => 0.0,
    }
}

/// Heat at a time: read, and due, with their ranges, W.
struct Mark {
    time: NaiveDateTime,
    read: Heat,
    due: Heat,
}

/// Each reading; of many, the mean of each day.
fn heat_marks(report: &CheckReport) -> Vec<Mark> {
    let own = |r: &HeatReading| Mark {
        time: r.time,
        read: r.heat,
        due: r.expected,
    };
    if report.heats.len() <= HEATS_SHOWN {
        return report.heats.iter().map(own).collect();
    }
    let noon = TimeDelta::hours(12);
    report
        .heats
        .chunk_by(|a, b| a.time.date() == b.time.date())
        .map(|day| {
            let mean = |pick: &dyn Fn(&HeatReading) -> f64| {
                let n = f64::from(u32::try_from(day.len()).unwrap_or(u32::MAX));
                day.iter().map(pick).sum::<f64>() / n
            };
            let heat = |of: &dyn Fn(&HeatReading) -> Heat| Heat {
                value_w: mean(&|r| of(r).value_w),
                low_w: mean(&|r| of(r).low_w),
                high_w: mean(&|r| of(r).high_w),
            };
            Mark {
                time: NaiveDateTime::new(day[0].time.date(), NaiveTime::MIN) + noon,
                read: heat(&|r| r.heat),
                due: heat(&|r| r.expected),
            }
        })
        .collect()
}

/// What small boxes mean, on the last line of the sheet.
fn key_of_marks(chart: &mut Chart, left: f64, style: &Style, items: &[(&str, Ink)]) {
    let base = 490.0;
    let mut x = left;
    for (text, ink) in items {
        chart.swatches.push(Swatch {
            frame: Frame {
                left: x,
                top: base - 9.0,
                right: x + 6.0,
                bottom: base - 3.0,
            },
            ink: *ink,
        });
        let label = Label::new(*text, x + 13.0, base, style.axis_px).in_ink(Ink::Muted);
        x = label.text_box().right + 28.0;
        chart.labels.push(label);
    }
}

/// Heat of each reading with its range, before the range of what was due.
#[must_use]
pub fn heat_chart(report: &CheckReport, units: Units, style: &Style) -> Option<Chart> {
    let heat = report.heat.as_ref()?;
    if report.heats.is_empty() {
        return None;
    }
    let clock = Clock::of(report.heats.iter().map(|r| r.time));
    let title = match heat.share_frac {
        Some(_)
            if heat
                .share_high_frac
                .is_some_and(|high| high > TELLS_NOTHING_FRAC) =>
        {
            "What the heater gave: without its days’ weather not to be judged".into()
        }
        Some(share) => format!(
            "The heater gave {:.0} % of the heat that was due",
            100.0 * share
        ),
        None => "Heat of the heater, reading by reading".into(),
    };
    let shown = heat_marks(report);
    let days = if shown.len() < report.heats.len() {
        ", the mean of each day"
    } else {
        ""
    };
    let subtitle = format!(
        "{} with flow and rise{days}; bars hold nine in ten. {}",
        count(report.heats.len(), "reading"),
        report.scenario
    );
    let mut chart = Chart::sheet("heat", 500.0, style, &plain(&title), &plain(&subtitle));
    let (unit, per) = match units {
        Units::Us => (
            "Btu/h",
            swimdays_quantity::parse("1 Btu/h", swimdays_quantity::Kind::Power).unwrap_or(1.0),
        ),
        Units::Metric => ("W", 1.0),
    };
    // As wide as the readings' distance allows.
    let mut times: Vec<f64> = shown.iter().map(|r| clock.at(r.time)).collect();
    times.sort_by(f64::total_cmp);
    let nearest = times
        .windows(2)
        .map(|pair| pair[1] - pair[0])
        .filter(|gap| *gap > 1e-6)
        .fold(f64::INFINITY, f64::min);
    let half_px = (0.4 * nearest / clock.end() * 800.0).clamp(1.5, 9.0);
    let half = half_px / 800.0 * clock.end();
    let bar = |x: f64, width: f64, low: f64, high: f64| Bar {
        x0: x - width,
        x1: x + width,
        y0: low / per,
        y1: high / per,
    };
    let due: Vec<Bar> = shown
        .iter()
        .map(|r| bar(clock.at(r.time), half, r.due.low_w, r.due.high_w))
        .collect();
    let thin = half.min(1.2 / 800.0 * clock.end());
    let doubt: Vec<Bar> = shown
        .iter()
        .map(|r| bar(clock.at(r.time), thin, r.read.low_w, r.read.high_w))
        .collect();
    let read: Vec<(f64, f64)> = shown
        .iter()
        .map(|r| (clock.at(r.time), r.read.value_w / per))
        .collect();
    let ends = due
        .iter()
        .chain(&doubt)
        .flat_map(|b| [b.y0, b.y1])
        .chain([0.0]);
    let y = Axis::round(ends, 6.0, unit);
    let left = left_edge([&y], style);
    let panel = Panel {
        name: "heat",
        frame: Frame {
            left,
            top: 92.0,
            right: 880.0,
            bottom: 412.0,
        },
        x: Axis::plain(0.0, clock.end()),
        y,
        series: vec![
            Series {
                name: "due".into(),
                ink: Ink::Sun,
                shape: Shape::Bars(due),
            },
            Series {
                name: "doubt".into(),
                ink: Ink::Outlet,
                shape: Shape::Bars(doubt),
            },
            line(
                "read",
                Ink::Outlet,
                marks(&read),
                2.0 * MARK_PX + 1.0,
                Dash::Solid,
            ),
        ],
        outlined: false,
        parted: false,
    };
    chart.label_left_axis(&panel, style.axis_px);
    let due_in = match report.weather.basis {
        "typical" => "due in a typical year",
        "remarks" => "due in the weather of your words",
        _ if days.is_empty() => "due in that hour’s weather",
        _ => "due in that weather",
    };
    key_of_marks(
        &mut chart,
        left,
        style,
        &[(due_in, Ink::Sun), ("read, with its doubt", Ink::Outlet)],
    );
    let rule = days_rule(&mut chart, &clock, left, units, style);
    chart.panels = vec![panel, rule];
    Some(chart)
}

/// What was believed before and what the log leaves of it, number by number.
#[must_use]
pub fn learnt_chart(report: &CheckReport, units: Units, style: &Style) -> Option<Chart> {
    /// Rows at most, and their height, px.
    const ROWS: usize = 7;
    const ROW_PX: f64 = 62.0;
    let fit = report.fit.as_ref()?;
    let rows: Vec<&LearntSummary> = fit
        .learnt
        .iter()
        .filter(|l| is_telling(l.parameter) && l.before_high > l.before_low)
        .take(ROWS)
        .collect();
    if rows.is_empty() {
        return None;
    }
    let told = rows.iter().filter(|l| l.identified).count();
    let title = format!(
        "The log tells {told} of {}: where they lay, where they lie",
        count(rows.len(), "number")
    );
    let height = 120.0 + ROW_PX * f64::from(u32::try_from(rows.len()).unwrap_or(1)) + 30.0;
    let subtitle = format!(
        "Pale: where it lay before, nine times in ten. Dark: where the log leaves it. {}",
        report.scenario
    );
    let mut chart = Chart::sheet("learnt", height, style, &plain(&title), &plain(&subtitle));
    let (left, right) = (310.0, 640.0);
    for (n, l) in (0_u32..).zip(&rows) {
        let top = 100.0 + ROW_PX * f64::from(n);
        let (low, high) = (l.before_low.min(l.low), l.before_high.max(l.high));
        let pad = 0.04 * (high - low);
        let x = Axis::plain(low - pad, high + pad);
        let hair = (x.max - x.min) / (right - left);
        let box_of = |x0: f64, x1: f64, y0: f64, y1: f64| Bar { x0, x1, y0, y1 };
        let ink = if l.identified {
            Ink::Water
        } else {
            Ink::WaterSpan
        };
        let panel = Panel {
            name: "learnt",
            frame: Frame {
                left,
                top,
                right,
                bottom: top + 26.0,
            },
            x,
            y: Axis::plain(0.0, 1.0),
            series: vec![
                Series {
                    name: "before".into(),
                    ink: Ink::Other,
                    shape: Shape::Bars(vec![box_of(l.before_low, l.before_high, 0.0, 1.0)]),
                },
                Series {
                    name: "now".into(),
                    ink,
                    shape: Shape::Bars(vec![box_of(l.low, l.high, 0.2, 0.8)]),
                },
                Series {
                    name: "value".into(),
                    ink: Ink::Text,
                    shape: Shape::Bars(vec![box_of(l.value - hair, l.value + hair, 0.0, 1.0)]),
                },
            ],
            outlined: true,
            parted: false,
        };
        let v = |value: f64| plain(&key_value(l.parameter, value, units));
        let base = top + 18.0;
        chart.labels.push(
            Label::new(key_title(l.parameter), left - 14.0, base, style.label_px)
                .anchored(Anchor::End)
                .bold()
                .within(left - 34.0),
        );
        let (x_low, _) = panel.px(l.before_low, 0.0);
        let (x_high, _) = panel.px(l.before_high, 0.0);
        let below = top + 42.0;
        chart
            .labels
            .push(Label::new(v(l.before_low), x_low, below, style.axis_px).in_ink(Ink::Muted));
        chart.labels.push(
            Label::new(v(l.before_high), x_high, below, style.axis_px)
                .anchored(Anchor::End)
                .in_ink(Ink::Muted),
        );
        let said = if l.identified {
            format!("{} ({} to {})", v(l.value), v(l.low), v(l.high))
        } else {
            "the log cannot tell".to_owned()
        };
        let said = Label::new(said, right + 16.0, base, style.label_px).within(220.0);
        chart.labels.push(if l.identified {
            said.bold()
        } else {
            said.in_ink(Ink::Muted)
        });
        chart.labels.push(
            Label::new(
                key_of(l.parameter).trim(),
                left - 14.0,
                below - 5.0,
                style.axis_px,
            )
            .anchored(Anchor::End)
            .in_ink(Ink::Muted)
            .within(left - 34.0),
        );
        chart.panels.push(panel);
    }
    Some(chart)
}

/// Ties of numbers and units are for the terminal.
fn plain(text: &str) -> String {
    text.replace(crate::lines::TIE, " ")
}
