//! The ledger: heat into and out of the water over the whole year, month by month, by cause.

use swimdays_season::{Ledger, Season};

use super::time::{Leg, as_f64, rule};
use super::{Axis, Bar, Chart, Frame, Label, Panel, Series, Shape, Swatch, spread};
use crate::style::{Ink, Style};
use crate::words::{MONTHS, month_index, rough};

/// A cause whose share of all heat over the year is smaller than this is drawn with the others.
const SMALL_SHARE_FRAC: f64 = 0.03;

/// What the ledger's chart is made from.
#[derive(Clone, Copy, Debug)]
pub struct LedgerView<'a> {
    /// Heat by calendar month (0 = January), kWh.
    pub by_month_kwh: &'a [Ledger; 12],
    /// The month the run starts in, 0 = January.
    pub first_month: usize,
    /// Whether the pool has a solar heater: its heat is then shown however small it is.
    pub has_heaters: bool,
    /// Scenario and weather, for the line below the title.
    pub place: &'a str,
}

/// A cause as drawn: name, ink, and the heat of each month in kWh, in the order drawn.
#[derive(Clone, Debug, PartialEq)]
struct Cause {
    name: &'static str,
    ink: Ink,
    months: Vec<f64>,
}

impl Cause {
    fn total(&self) -> f64 {
        self.months.iter().sum()
    }

    fn gross(&self) -> f64 {
        self.months.iter().map(|v| v.abs()).sum()
    }
}

/// Draws the ledger of the whole year.
#[must_use]
pub fn ledger_chart(view: &LedgerView<'_>, style: &Style) -> Chart {
    draw(view, None, style)
}

/// Draws a season's ledger, with the months shaded in which the pool is closed throughout.
#[must_use]
pub fn season_ledger_chart(
    season: &Season,
    has_heaters: bool,
    place: &str,
    style: &Style,
) -> Chart {
    let view = LedgerView {
        by_month_kwh: &season.heat_by_month_kwh,
        first_month: first_month(season),
        has_heaters,
        place,
    };
    draw(&view, Some(&Closed::of(season)), style)
}

/// When the pool is out of use.
struct Closed {
    /// Calendar months (0 = January) with closed days only.
    months: [bool; 12],
    /// Whether there is any closed day.
    some: bool,
    /// Whether a cover is used, but on no closed day.
    uncovered: bool,
    /// Whether the run is shorter than a year.
    part_year: bool,
}

impl Closed {
    fn of(season: &Season) -> Self {
        let (mut open, mut closed) = ([false; 12], [false; 12]);
        let (mut covered_open, mut covered_closed) = (false, false);
        for day in &season.days {
            let covered = day.cover_h > 0.0;
            if day.open {
                open[month_index(day.date)] = true;
                covered_open |= covered;
            } else {
                closed[month_index(day.date)] = true;
                covered_closed |= covered;
            }
        }
        Self {
            months: std::array::from_fn(|m| closed[m] && !open[m]),
            some: closed.contains(&true),
            uncovered: covered_open && !covered_closed,
            part_year: season.days.len() < 365,
        }
    }
}

/// The sun and the largest source that someone built or pays for.
fn title(view: &LedgerView<'_>) -> String {
    let total = |f: fn(&Ledger) -> f64| view.by_month_kwh.iter().map(f).sum::<f64>();
    let sun = format!(
        "The sun on the water brought {} kWh",
        rough(total(|l| l.sun_on_water))
    );
    let (solar, other) = (total(|l| l.heaters), total(|l| l.other_heater));
    if other > 0.0 && (!view.has_heaters || other > solar) {
        format!("{sun}, the ordinary heater {} kWh", rough(other))
    } else if view.has_heaters {
        format!("{sun}, the solar heater {} kWh", rough(solar))
    } else {
        sun
    }
}

fn subtitle(place: &str, closed_of: Option<&Closed>) -> String {
    let closed = match closed_of {
        Some(c) if !c.some => "",
        Some(c) if c.uncovered => "; the closed pool lies uncovered",
        Some(_) => ", also while the pool is closed",
        None => ", the closed season with it",
    };
    let part = closed_of.is_some_and(|c| c.part_year);
    let what = if part {
        "The days run, by month"
    } else {
        "Whole year by month"
    };
    format!("{what}{closed}. {place}")
}

fn draw(view: &LedgerView<'_>, closed: Option<&Closed>, style: &Style) -> Chart {
    let causes = causes(view);
    let (title, subtitle) = (title(view), subtitle(view.place, closed));
    let mut chart = Chart::sheet("ledger", 580.0, style, &title, &subtitle);

    let mut series = Vec::new();
    let (mut up, mut down) = ([0.0_f64; 12], [0.0_f64; 12]);
    for cause in &causes {
        let mut bars = Vec::new();
        for (i, &kwh) in cause.months.iter().enumerate() {
            let base = if kwh >= 0.0 { &mut up[i] } else { &mut down[i] };
            let x = as_f64(i);
            bars.push(Bar {
                x0: x + 0.14,
                x1: x + 0.86,
                y0: *base,
                y1: *base + kwh,
            });
            *base += kwh;
        }
        series.push(Series {
            name: cause.name.into(),
            ink: cause.ink,
            shape: Shape::Bars(bars),
        });
    }
    let y = Axis::round(up.iter().chain(&down).copied().chain([0.0]), 7.0, "kWh");
    let left = super::left_edge([&y], style);
    let mut panel = Panel {
        name: "heat",
        frame: Frame {
            left,
            top: 96.0,
            right: 640.0,
            bottom: 500.0,
        },
        x: Axis::plain(0.0, 12.0),
        y,
        series,
        outlined: false,
        parted: true,
    };
    // Months without heat of a cause have no box.
    for s in &mut panel.series {
        if let Shape::Bars(bars) = &mut s.shape {
            bars.retain(|b| (b.y1 - b.y0).abs() > 1e-9);
        }
    }
    chart.label_left_axis(&panel, style.axis_px);
    key(&mut chart, &panel, &causes, style);
    if let Some(closed) = closed {
        shade_closed(&mut chart, &mut panel, closed, view.first_month, style);
    }
    let zero = Series {
        name: "zero".into(),
        ink: Ink::Text,
        shape: Shape::Line {
            points: vec![(0.0, 0.0), (12.0, 0.0)],
            width_px: 1.25,
            dash: super::Dash::Solid,
        },
    };
    panel.series.push(zero);

    let legs: Vec<_> = (0..12)
        .map(|i| Leg {
            from: as_f64(i),
            to: as_f64(i) + 1.0,
            name: MONTHS[(view.first_month + i) % 12].into(),
        })
        .collect();
    let rule = rule(
        Frame {
            left,
            top: 518.0,
            right: 640.0,
            bottom: 530.0,
        },
        (0.0, 12.0),
        &legs,
    );
    chart.label_legs(&rule, &legs, 550.0, style.axis_px);
    chart.alt += " Over the run:";
    for cause in &causes {
        chart.alt += &format!(" {} {} kWh;", cause.name, signed(cause.total()));
    }
    chart.alt = format!("{}.", chart.alt.trim_end_matches(';'));
    chart.panels = vec![panel, rule];
    chart
}

/// Shades the months in which the pool is closed, and says so once where there is room above the bars.
fn shade_closed(
    chart: &mut Chart,
    panel: &mut Panel,
    closed: &Closed,
    first_month: usize,
    style: &Style,
) {
    let bars: Vec<Bar> = (0..12)
        .filter(|i| closed.months[(first_month + i) % 12])
        .map(|i| Bar {
            x0: as_f64(i),
            x1: as_f64(i) + 1.0,
            y0: panel.y.min,
            y1: panel.y.max,
        })
        .collect();
    if bars.is_empty() || bars.len() == 12 {
        return;
    }
    let highest_px = |bar: &Bar| {
        let top = panel
            .series
            .iter()
            .flat_map(Series::values)
            .filter(|(x, _)| *x > bar.x0 && *x < bar.x1)
            .map(|(_, y)| y)
            .fold(0.0, f64::max);
        panel.px(0.0, top).1
    };
    // Two months side by side are wide enough for the word.
    for pair in bars.windows(2).filter(|p| p[0].x1 + 0.5 > p[1].x0) {
        let label = Label::new(
            "closed",
            panel.px(pair[0].x0, 0.0).0 + 8.0,
            panel.frame.top + 18.0,
            style.axis_px,
        )
        .in_ink(Ink::Muted);
        if pair.iter().all(|b| label.text_box().bottom < highest_px(b)) {
            chart.labels.push(label);
            break;
        }
    }
    panel.series.insert(
        0,
        Series {
            name: "closed".into(),
            ink: Ink::Shade,
            shape: Shape::Bars(bars),
        },
    );
}

/// A rough number with its sign.
fn signed(kwh: f64) -> String {
    if kwh > 0.0 {
        format!("+{}", rough(kwh))
    } else {
        rough(kwh)
    }
}

/// The causes in the order drawn, the small ones in one.
fn causes(view: &LedgerView<'_>) -> Vec<Cause> {
    let column = |f: fn(&Ledger) -> f64| -> Vec<f64> {
        (0..12)
            .map(|i| f(&view.by_month_kwh[(view.first_month + i) % 12]))
            .collect()
    };
    let all = [
        ("sun on the water", Ink::Sun, column(|l| l.sun_on_water)),
        ("solar heater", Ink::Heaters, column(|l| l.heaters)),
        (
            "ordinary heater",
            Ink::OtherHeater,
            column(|l| l.other_heater),
        ),
        ("evaporation", Ink::Evaporation, column(|l| l.evaporation)),
        ("sky (longwave)", Ink::Longwave, column(|l| l.longwave)),
        (
            "air (convection)",
            Ink::Convection,
            column(|l| l.convection),
        ),
        (
            "ground and walls",
            Ink::Ground,
            column(|l| l.ground + l.walls),
        ),
        (
            "water put in, rain",
            Ink::MakeUp,
            column(|l| l.make_up_water + l.rain),
        ),
        ("pump", Ink::Pump, column(|l| l.pump_heat)),
    ]
    .map(|(name, ink, months)| Cause { name, ink, months });
    let gross: f64 = all.iter().map(Cause::gross).sum();
    let mut kept = Vec::new();
    let mut rest = Cause {
        name: "other",
        ink: Ink::Other,
        months: vec![0.0; 12],
    };
    for cause in all {
        let always =
            cause.name == "sun on the water" || (cause.name == "solar heater" && view.has_heaters);
        if always || cause.gross() > SMALL_SHARE_FRAC * gross {
            kept.push(cause);
        } else {
            for (sum, kwh) in rest.months.iter_mut().zip(&cause.months) {
                *sum += kwh;
            }
        }
    }
    if rest.gross() > 0.0 {
        kept.push(rest);
    }
    kept
}

/// Names, colours and totals to the right, each near its part of the tallest month.
fn key(chart: &mut Chart, panel: &Panel, causes: &[Cause], style: &Style) {
    let pitch = style.label_px + style.axis_px + 12.0;
    // From the top of the upper stack down to the bottom of the lower one.
    let (upper, lower): (Vec<&Cause>, Vec<&Cause>) = causes.iter().partition(|c| c.total() >= 0.0);
    let mut lowest = f64::NEG_INFINITY;
    let wanted: Vec<(f64, &Cause)> = upper
        .into_iter()
        .rev()
        .chain(lower)
        .map(|cause| {
            let upwards = cause.total() >= 0.0;
            let tallest = panel.series(cause.name).and_then(|s| match &s.shape {
                Shape::Bars(bars) => bars
                    .iter()
                    .filter(|b| (b.y1 >= b.y0) == upwards)
                    .max_by(|a, b| (a.y1 - a.y0).abs().total_cmp(&(b.y1 - b.y0).abs())),
                _ => None,
            });
            let middle = tallest.map_or(0.0, |b| f64::midpoint(b.y0, b.y1));
            lowest = panel.px(0.0, middle).1.max(lowest);
            (lowest, cause)
        })
        .collect();
    let centres: Vec<f64> = wanted.iter().map(|w| w.0).collect();
    let heights = vec![pitch; wanted.len()];
    let placed = spread(
        &centres,
        &heights,
        panel.frame.top - 14.0,
        panel.frame.bottom + 60.0,
    );
    let left = panel.frame.right + 26.0;
    for ((_, cause), y) in wanted.iter().zip(placed) {
        chart.swatches.push(Swatch {
            frame: Frame {
                left,
                top: y - 17.0,
                right: left + 12.0,
                bottom: y + 15.0,
            },
            ink: cause.ink,
        });
        let room = chart.width_px - super::MARGIN_PX - left - 20.0;
        chart.labels.push(
            Label::new(cause.name, left + 20.0, y - 4.0, style.label_px)
                .bold()
                .within(room),
        );
        chart.labels.push(
            Label::new(
                format!("{} kWh in all", signed(cause.total())),
                left + 20.0,
                y + 15.0,
                style.axis_px,
            )
            .in_ink(Ink::Muted)
            .within(room),
        );
    }
}

/// The month the run starts in, 0 = January: where the ledger's year begins.
#[must_use]
pub fn first_month(season: &Season) -> usize {
    season.days.first().map_or(0, |d| month_index(d.date))
}
