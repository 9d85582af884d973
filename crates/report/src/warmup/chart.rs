//! The fan of the water against time, and bars of days by measure.

use swimdays_quantity::Units;
use swimdays_studies::FanPoint;

use super::text::{days, from, range, started};
use super::{MeasureSummary, WarmupSummary};
use crate::chart::{
    Anchor, Axis, Bar, Chart, Dash, Frame, Label, MARGIN_PX, Panel, Series, Shape, Tick, WIDTH_PX,
    as_f64, left_edge, line,
};
use crate::lines::{TIE, percent};
use crate::style::{Ink, Style, text_width_px};
use crate::words::{count_of, half};

/// Room above the first panel, px.
const TOP_PX: f64 = 84.0;

fn plain(text: &str) -> String {
    text.replace(TIE, " ")
}

/// Water against days since the start: the middle, what four in five stay within, and the bare pool.
#[must_use]
pub fn fan_chart(s: &WarmupSummary, units: Units, place: &str, style: &Style) -> Chart {
    let to = units.temperature_value(s.to_c);
    let degree = units.temperature_unit();
    let title = match s.all().and_then(|all| all.days.half) {
        Some(middle) => format!(
            "To {} {degree}: {}, four times out of five {}",
            half(to),
            days(middle),
            s.all().map_or_else(String::new, |all| range(&all.days))
        ),
        None => format!("{} {degree} is not reached in most runs", half(to)),
    };
    let subtitle = format!(
        "From {}, started {}. {place}",
        from(s, units),
        started(s, units)
    );
    let mut chart = Chart::sheet("warmup", 520.0, style, &plain(&title), &plain(&subtitle));
    let t = |c: f64| units.temperature_value(c);
    let area = |of: &[FanPoint]| -> Vec<(f64, f64, f64)> {
        of.iter()
            .map(|p| (p.day, t(p.low_c), t(p.high_c)))
            .collect()
    };
    let middle =
        |of: &[FanPoint]| -> Vec<(f64, f64)> { of.iter().map(|p| (p.day, t(p.half_c))).collect() };
    let last = s.fan.last().map_or(1.0, |p| p.day).max(1.0);
    let all_values = s
        .fan
        .iter()
        .flat_map(|p| [t(p.low_c), t(p.high_c)])
        .chain(s.bare_fan.iter().map(|p| t(p.half_c)))
        .chain([to]);
    let y = Axis::round(all_values, 6.0, degree);
    let left = left_edge([&y], style);
    let frame = Frame {
        left,
        top: TOP_PX,
        right: WIDTH_PX - MARGIN_PX - 8.0,
        bottom: 440.0,
    };
    let mut series = vec![Series {
        name: "four in five".into(),
        ink: Ink::WaterSpan,
        shape: Shape::Area(area(&s.fan)),
    }];
    let has_measures = s.measures.len() > 1;
    if has_measures {
        series.push(line(
            "bare pool",
            Ink::Air,
            middle(&s.bare_fan),
            2.0,
            Dash::Dashed,
        ));
    }
    series.push(line("middle", Ink::Water, middle(&s.fan), 3.0, Dash::Solid));
    series.push(line(
        "target",
        Ink::Text,
        vec![(0.0, to), (last, to)],
        1.5,
        Dash::Dotted,
    ));
    let panel = Panel {
        name: "water",
        frame,
        x: day_axis(last),
        y,
        series,
        outlined: true,
        parted: false,
    };
    chart.label_left_axis(&panel, style.axis_px);
    label_days(&mut chart, &panel, "days since the start", style);
    for (name, text, ink) in [
        ("target", format!("target {} {degree}", half(to)), Ink::Text),
        ("middle", "middle".to_owned(), Ink::Water),
        ("bare pool", "bare pool, middle".to_owned(), Ink::Air),
    ] {
        if let Some(series) = panel.series(name) {
            chart.label_beside(&panel, series, &text, style.label_px, ink);
        }
    }
    let foot = format!(
        "Pale: four times out of five, over {} and draws of wind, cover and heater. Each starts at midnight.",
        count_of(as_f64(s.starts), "start day")
    );
    chart.labels.push(
        Label::new(foot, left, 504.0, style.axis_px)
            .in_ink(Ink::Muted)
            .within(WIDTH_PX - MARGIN_PX - left),
    );
    chart.panels.push(panel);
    chart
}

/// Days since the start, marked on whole ones.
fn day_axis(last: f64) -> Axis {
    let step = [1.0, 2.0, 5.0, 7.0, 10.0]
        .into_iter()
        .find(|step| last / step <= 12.0)
        .unwrap_or(14.0);
    let mut ticks = Vec::new();
    let mut at = 0.0;
    while at <= last + 1e-9 {
        ticks.push(Tick {
            at,
            label: format!("{at:.0}"),
        });
        at += step;
    }
    Axis {
        min: 0.0,
        max: last,
        ticks,
    }
}

fn label_days(chart: &mut Chart, panel: &Panel, what: &str, style: &Style) {
    let f = panel.frame;
    for tick in &panel.x.ticks {
        let (x, _) = panel.px(tick.at, panel.y.min);
        chart.labels.push(
            Label::new(tick.label.clone(), x, f.bottom + 20.0, style.axis_px)
                .anchored(Anchor::Middle)
                .in_ink(Ink::Muted),
        );
    }
    chart.labels.push(
        Label::new(
            what,
            (f.left + f.right) / 2.0,
            f.bottom + 42.0,
            style.axis_px,
        )
        .anchored(Anchor::Middle)
        .in_ink(Ink::Muted),
    );
}

/// Days to the target by measure: a bar to the middle, a line over what four in five stay within.
#[must_use]
pub fn measures_chart(s: &WarmupSummary, units: Units, place: &str, style: &Style) -> Chart {
    const ROW_PX: f64 = 46.0;
    const BAR: f64 = 0.62;
    let rows = s.measures.len();
    let height = TOP_PX + as_f64(rows) * ROW_PX + 92.0;
    let title = format!(
        "Days to {} {}, by measure",
        half(units.temperature_value(s.to_c)),
        units.temperature_unit()
    );
    let subtitle = format!(
        "From {}, started {}. {place}",
        from(s, units),
        started(s, units)
    );
    let mut chart = Chart::sheet(
        "warmup-measures",
        height,
        style,
        &plain(&title),
        &plain(&subtitle),
    );
    let most = as_f64(s.longest_days);
    let end = s
        .measures
        .iter()
        .map(|m| m.days.high.unwrap_or(most))
        .fold(1.0, f64::max);
    let names: Vec<String> = s.measures.iter().map(named).collect();
    let left = MARGIN_PX
        + names
            .iter()
            .map(|n| text_width_px(n, style.label_px, false))
            .fold(60.0, f64::max)
            .min(240.0)
        + 12.0;
    let frame = Frame {
        left,
        top: TOP_PX,
        right: WIDTH_PX - MARGIN_PX - 150.0,
        bottom: TOP_PX + as_f64(rows) * ROW_PX,
    };
    let (mut bars, mut unknown, mut whiskers) = (Vec::new(), Vec::new(), Vec::new());
    for (at, measure) in s.measures.iter().enumerate() {
        let y = as_f64(rows - at) - 0.5;
        let bar = Bar {
            x0: 0.0,
            x1: measure.days.half.unwrap_or(end),
            y0: y - BAR / 2.0,
            y1: y + BAR / 2.0,
        };
        if measure.days.half.is_some() {
            bars.push(bar);
        } else {
            unknown.push(bar);
        }
        if let Some(low) = measure.days.low {
            let high = measure.days.high.unwrap_or(end);
            whiskers.extend([(low, y), (high, y), (high, f64::NAN)]);
            for x in [Some(low), measure.days.high].into_iter().flatten() {
                whiskers.extend([(x, y - 0.16), (x, y + 0.16), (x, f64::NAN)]);
            }
        }
    }
    let panel = Panel {
        name: "measures",
        frame,
        x: day_axis(end),
        y: Axis::plain(0.0, as_f64(rows).max(1.0)),
        series: vec![
            Series {
                name: "never in most runs".into(),
                ink: Ink::Other,
                shape: Shape::Bars(unknown),
            },
            Series {
                name: "middle".into(),
                ink: Ink::WaterSpan,
                shape: Shape::Bars(bars),
            },
            line("four in five", Ink::Text, whiskers, 2.0, Dash::Solid),
        ],
        outlined: false,
        parted: false,
    };
    for (at, (measure, name)) in s.measures.iter().zip(&names).enumerate() {
        let (_, y) = panel.px(0.0, as_f64(rows - at) - 0.5);
        let base = y + 0.36 * style.label_px;
        chart.labels.push(
            Label::new(name.clone(), left - 10.0, base, style.label_px)
                .anchored(Anchor::End)
                .within(left - 10.0 - MARGIN_PX),
        );
        chart.labels.push(
            Label::new(beside(measure), frame.right + 10.0, base, style.label_px)
                .bold()
                .within(WIDTH_PX - MARGIN_PX - frame.right - 10.0),
        );
    }
    label_days(&mut chart, &panel, "days to the target", style);
    chart.labels.push(
        Label::new(
            format!("Bar: half are sooner. Line: four times out of five, over {} and draws of wind, cover and heater.", count_of(as_f64(s.starts), "start day")),
            MARGIN_PX,
            height - 16.0,
            style.axis_px,
        )
        .in_ink(Ink::Muted)
        .within(WIDTH_PX - 2.0 * MARGIN_PX),
    );
    chart.panels.push(panel);
    chart
}

fn named(measure: &MeasureSummary) -> String {
    match measure.name.as_str() {
        "bare" => "bare pool".into(),
        "all" => "all together".into(),
        name => format!("{name} alone"),
    }
}

fn beside(measure: &MeasureSummary) -> String {
    match measure.days.half {
        Some(half) => days(half),
        None if measure.reached_frac > 0.0 => {
            plain(&format!("only {}", percent(measure.reached_frac, 1.0)))
        }
        None => "never".into(),
    }
}
