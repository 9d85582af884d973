//! One week hour by hour: water, outlet and air above, sun and pump below, on one rule of days.

use chrono::{Datelike, NaiveDate, TimeDelta};
use swimdays_season::{Day, Hourly, MonthDay, Season};

use super::time::{Leg, as_f64, rule};
use super::year::line;
use super::{Axis, Bar, Chart, Dash, Frame, Label, Panel, Series, Shape};
use crate::Units;
use crate::style::{Ink, Style};
use crate::words::{day, half};

/// Days shown.
const DAYS: usize = 7;

/// What the week's chart is made from.
#[derive(Clone, Copy, Debug)]
pub struct WeekView<'a> {
    /// Hourly columns of the whole run.
    pub hourly: &'a Hourly,
    /// First day shown, local standard time.
    pub from: NaiveDate,
    /// Coldest water one swims in, °C.
    pub target_c: f64,
    /// Hottest water one swims in, °C.
    pub too_hot_c: f64,
    /// Whether the clock on the wall is ahead of the chart's standard time in this week.
    pub summer_time: bool,
    /// Whether there are solar heaters (and so an outlet and a pump to show).
    pub has_heaters: bool,
    /// Scenario and weather, for the line below the title.
    pub place: &'a str,
    /// Units shown.
    pub units: Units,
}

/// The week that tells most: of all stretches of seven open days the one over which the water warmed most, from
/// the first day's mean to the last day's; where solar heaters gave heat, only stretches count in which they gave at
/// least half of what they gave in their best. The earliest of equals. Where the pool is never open for seven days on end,
/// the week around its longest stretch of open days, or the first of the run when there is none; `None` for a run without
/// days.
#[must_use]
pub fn telling_week(season: &Season) -> Option<NaiveDate> {
    let heaters = |week: &[Day]| week.iter().map(|d| d.heat_kwh.heaters).sum::<f64>();
    // Days before a given start are empty.
    let weeks = || {
        season
            .days
            .windows(DAYS)
            .filter(|week| week.iter().all(|d| d.open && d.water_mean_c.is_finite()))
    };
    let most = weeks()
        .map(heaters)
        .filter(|kwh| kwh.is_finite())
        .fold(0.0, f64::max);
    let mut best: Option<(f64, NaiveDate)> = None;
    for week in weeks().filter(|week| most <= 0.0 || heaters(week) >= most / 2.0) {
        let rise = week[DAYS - 1].water_mean_c - week[0].water_mean_c;
        if best.is_none_or(|(so_far, _)| rise > so_far + 1e-9) {
            best = Some((rise, week[0].date));
        }
    }
    best.map(|(_, date)| date)
        .or_else(|| around_the_open_days(&season.days))
}

/// First day of the week in whose middle the longest stretch of open days lies.
fn around_the_open_days(days: &[Day]) -> Option<NaiveDate> {
    let (mut longest, mut run) = (0..0, 0..0);
    for (i, day) in days.iter().enumerate() {
        if day.open && day.water_mean_c.is_finite() {
            run = if run.end == i {
                run.start..i + 1
            } else {
                i..i + 1
            };
            if run.len() > longest.len() {
                longest = run.clone();
            }
        }
    }
    let before = (DAYS - longest.len().min(DAYS)) / 2;
    let start = longest
        .start
        .saturating_sub(before)
        .min(days.len().saturating_sub(DAYS));
    days.get(start).map(|d| d.date)
}

/// The day of the run from which a week that starts on `start` is shown: earlier where the run ends before the
/// week does; `None` when the run has no such day.
#[must_use]
pub fn week_from(season: &Season, start: MonthDay) -> Option<NaiveDate> {
    let chosen = season
        .days
        .iter()
        .position(|d| d.date.month() == start.month && d.date.day() == start.day)?;
    let latest = season.days.len().saturating_sub(DAYS);
    season.days.get(chosen.min(latest)).map(|d| d.date)
}

/// Draws the week.
#[must_use]
pub fn week_chart(view: &WeekView<'_>, style: &Style) -> Chart {
    let hours = Hours::of(view);
    let units = view.units;
    let last = hours.dates.last().copied().unwrap_or(view.from);
    let mut chart = Chart::sheet(
        "week",
        604.0,
        style,
        &title(view, &hours),
        &format!(
            "{} to {}, hour by hour. {}",
            day(view.from, units),
            day(last, units),
            view.place
        ),
    );
    let ends = (0.0, as_f64(DAYS) * 24.0);
    let nights = hours.nights();
    let mut sun_axis = Axis::round(hours.sun.iter().map(|p| p.1).chain([0.0]), 2.0, "W/m²");
    // Only the ends are named: more numbers would crowd so low a panel.
    let middle = sun_axis.ticks.len().saturating_sub(1);
    sun_axis.ticks = sun_axis
        .ticks
        .into_iter()
        .enumerate()
        .filter(|(i, _)| *i == 0 || *i == middle)
        .map(|t| t.1)
        .collect();
    let mut top = temperatures(view, &hours, &nights, ends);
    let left = super::left_edge([&top.y, &sun_axis], style);
    top.frame.left = left;
    chart.label_left_axis(&top, style.axis_px);

    let sun = Panel {
        name: "sun",
        frame: Frame {
            left,
            top: 408.0,
            right: 880.0,
            bottom: 476.0,
        },
        x: Axis::plain(ends.0, ends.1),
        series: vec![
            Series {
                name: "night".into(),
                ink: Ink::Shade,
                shape: Shape::Bars(tall(&nights, sun_axis.min, sun_axis.max)),
            },
            Series {
                name: "sun".into(),
                ink: Ink::Sun,
                shape: Shape::Area(hours.sun.iter().map(|&(x, y)| (x, 0.0, y)).collect()),
            },
        ],
        y: sun_axis,
        outlined: false,
        parted: false,
    };
    chart.label_left_axis(&sun, style.axis_px);

    let legs: Vec<_> = (0..DAYS)
        .map(|i| Leg {
            from: as_f64(i) * 24.0,
            to: as_f64(i + 1) * 24.0,
            name: hours
                .dates
                .get(i)
                .map_or_else(String::new, |d| day(*d, units)),
        })
        .collect();
    let mut rule = rule(
        Frame {
            left,
            // Without a pump to show, the rule is as thin as the ledger's.
            top: if view.has_heaters { 500.0 } else { 518.0 },
            right: 880.0,
            bottom: 530.0,
        },
        ends,
        &legs,
    );
    let ticks = (0..DAYS * 4)
        .filter(|n| n % 4 != 0)
        .map(|n| {
            let x = as_f64(n) * 6.0;
            Bar {
                x0: x - 0.15,
                x1: x + 0.15,
                y0: 0.0,
                y1: if n % 4 == 2 { 0.45 } else { 0.25 },
            }
        })
        .collect();
    rule.series.push(Series {
        name: "hours".into(),
        ink: Ink::Muted,
        shape: Shape::Bars(ticks),
    });
    if view.has_heaters {
        let pump = hours
            .pump
            .iter()
            .filter(|p| p.1 > 0.0)
            .map(|&(x, share)| Bar {
                x0: x,
                x1: x + hours.step,
                y0: 0.0,
                y1: share,
            })
            .collect();
        rule.series.push(Series {
            name: "pump".into(),
            ink: Ink::Pump,
            shape: Shape::Bars(pump),
        });
        chart.labels.push(
            Label::new("pump", left - 8.0, 521.0, style.axis_px)
                .anchored(super::Anchor::End)
                .bold()
                .in_ink(Ink::Pump),
        );
    }
    chart.label_legs(&rule, &legs, 552.0, style.axis_px);
    chart
        .labels
        .push(Label::new("sun on level ground", left, 400.0, style.axis_px).in_ink(Ink::Muted));
    chart.labels.push(
        Label::new(clock_note(view), left, 584.0, style.axis_px)
            .in_ink(Ink::Muted)
            .within(790.0),
    );
    label_lines(&mut chart, &top, view, style);
    chart.panels = vec![top, sun, rule];
    chart
}

fn clock_note(view: &WeekView<'_>) -> &'static str {
    if view.summer_time {
        "Shaded: night. Ticks: 6, 12 and 18 o’clock, standard time; the clock on the wall is an hour ahead."
    } else {
        "Shaded: night. Ticks: 6, 12 and 18 o’clock, standard time."
    }
}

/// What the week shows, in numbers.
fn title(view: &WeekView<'_>, hours: &Hours) -> String {
    let finite: Vec<f64> = hours
        .water
        .iter()
        .map(|p| p.1)
        .filter(|v| v.is_finite())
        .collect();
    let (Some(first), Some(last)) = (finite.first(), finite.last()) else {
        return "No hours of this week in the run".into();
    };
    let unit = view.units.temperature_unit();
    let change = format!(
        "The water went from {} to {} {unit}",
        half(*first),
        half(*last)
    );
    let hottest = hours
        .outlet
        .iter()
        .map(|p| p.1)
        .filter(|v| v.is_finite())
        .fold(f64::NAN, f64::max);
    if view.has_heaters && hottest.is_finite() {
        format!("{change}; hottest outlet {} {unit}", half(hottest))
    } else {
        change
    }
}

fn temperatures(
    view: &WeekView<'_>,
    hours: &Hours,
    nights: &[(f64, f64)],
    ends: (f64, f64),
) -> Panel {
    let t = |c: f64| view.units.temperature_value(c);
    let band = Bar {
        x0: ends.0,
        x1: ends.1,
        y0: t(view.target_c),
        y1: t(view.too_hot_c),
    };
    let all = [&hours.water, &hours.outlet, &hours.air]
        .into_iter()
        .flatten()
        .map(|p| p.1);
    let y = Axis::round(
        all.chain([band.y0, band.y1]),
        6.0,
        view.units.temperature_unit(),
    );
    let mut series = vec![
        Series {
            name: "night".into(),
            ink: Ink::Shade,
            shape: Shape::Bars(tall(nights, y.min, y.max)),
        },
        Series {
            name: "band".into(),
            ink: Ink::Band,
            shape: Shape::Bars(vec![band]),
        },
        line("air", Ink::Air, hours.air.clone(), 1.75, Dash::Dotted),
    ];
    if view.has_heaters {
        series.push(line(
            "outlet",
            Ink::Outlet,
            hours.outlet.clone(),
            2.25,
            Dash::Dashed,
        ));
    }
    series.push(line(
        "water",
        Ink::Water,
        hours.water.clone(),
        2.75,
        Dash::Solid,
    ));
    Panel {
        name: "temperature",
        frame: Frame {
            left: 84.0,
            top: 92.0,
            right: 880.0,
            bottom: 372.0,
        },
        x: Axis::plain(ends.0, ends.1),
        y,
        series,
        outlined: false,
        parted: false,
    }
}

fn label_lines(chart: &mut Chart, panel: &Panel, view: &WeekView<'_>, style: &Style) {
    for (name, text, ink) in [
        ("water", "water", Ink::Water),
        ("outlet", "out of the heater", Ink::Outlet),
        ("air", "air", Ink::Air),
    ] {
        if let Some(series) = panel.series(name) {
            chart.label_beside(panel, series, text, style.label_px, ink);
        }
    }
    if let Some(Shape::Bars(bars)) = panel.series("band").map(|s| &s.shape) {
        chart.label_band(
            panel,
            &bars[0],
            view.units.temperature_unit(),
            style.axis_px,
        );
    }
}

/// Boxes from `low` to `high` over the given spans of time.
fn tall(spans: &[(f64, f64)], low: f64, high: f64) -> Vec<Bar> {
    spans
        .iter()
        .map(|&(x0, x1)| Bar {
            x0,
            x1,
            y0: low,
            y1: high,
        })
        .collect()
}

/// The week's columns, x in hours from its start.
struct Hours {
    step: f64,
    /// Its days; past New Year they may carry the label of the run's first calendar year again.
    dates: Vec<NaiveDate>,
    water: Vec<(f64, f64)>,
    outlet: Vec<(f64, f64)>,
    air: Vec<(f64, f64)>,
    sun: Vec<(f64, f64)>,
    pump: Vec<(f64, f64)>,
}

impl Hours {
    fn of(view: &WeekView<'_>) -> Self {
        let h = view.hourly;
        let step = match h.start.as_slice() {
            [a, b, ..] => minutes(*b - *a) / 60.0,
            _ => 1.0,
        };
        // By row, not by date: a run over New Year goes back to the January of its label year.
        let first = h.start.iter().position(|s| s.date() == view.from);
        let hours_of = |i: usize| -> f64 { first.map_or(f64::NAN, |f| as_f64(i - f) * step) };
        let rows: Vec<_> = first
            .map_or(0..0, |f| f..h.start.len())
            .take_while(|&i| hours_of(i) < as_f64(DAYS) * 24.0 - 1e-9)
            .collect();
        let mut dates: Vec<NaiveDate> = rows.iter().map(|&i| h.start[i].date()).collect();
        dates.dedup();
        let t = |c: f64| view.units.temperature_value(c);
        let column = |values: &[f64], shift: f64, to: &dyn Fn(f64) -> f64| -> Vec<(f64, f64)> {
            rows.iter()
                .map(|&i| {
                    let x = hours_of(i) + shift * step;
                    (x, values.get(i).copied().map_or(f64::NAN, to))
                })
                .collect()
        };
        // The water is known at the end of an interval, means stand in its middle, bars start with it.
        Self {
            step,
            dates,
            water: column(&h.water_c, 1.0, &t),
            outlet: column(&h.outlet_c, 0.5, &t),
            air: column(&h.air_c, 0.5, &t),
            sun: column(&h.ghi_w_m2, 0.5, &|v| v),
            pump: column(&h.pump_on_frac, 0.0, &|v| v),
        }
    }

    /// Spans without sun.
    fn nights(&self) -> Vec<(f64, f64)> {
        let mut spans: Vec<(f64, f64)> = Vec::new();
        for &(x, sun) in &self.sun {
            let (from, to) = (x - self.step / 2.0, x + self.step / 2.0);
            // NaN is no night.
            if sun > 0.5 || sun.is_nan() {
                continue;
            }
            match spans.last_mut() {
                Some(last) if (last.1 - from).abs() < 1e-6 => last.1 = to,
                _ => spans.push((from, to)),
            }
        }
        spans
    }
}

fn minutes(delta: TimeDelta) -> f64 {
    f64::from(i32::try_from(delta.num_minutes()).unwrap_or(i32::MAX))
}
