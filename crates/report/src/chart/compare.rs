//! What each measure gives, and how much heater is enough.

use swimdays_quantity::Kind;
use swimdays_studies::compare::{Estimate, Gift};

use super::flow::label_bottom;
use super::time::as_f64;
use super::year::line;
use super::{Anchor, Axis, Bar, Chart, Dash, Frame, Label, MARGIN_PX, Panel, Series, Shape};
use crate::Units;
use crate::compare::{CompareReport, days, free_name, range};
use crate::lines::capital;
use crate::style::{Ink, Style, text_width_px};

/// Height of one measure, px.
const ROW_PX: f64 = 62.0;
/// Room for names, px.
const NAMES_PX: f64 = 250.0;
/// Room for the numbers behind the bars, px.
const NUMBERS_PX: f64 = 170.0;
/// Upper edge of the plot, px.
const TOP_PX: f64 = 92.0;

/// Bars of what each measure gives: the fair share of the scenario's parts, then what anyone can do on top.
#[must_use]
pub fn measures_chart(report: &CompareReport, units: Units, style: &Style) -> Chart {
    let mut gifts: Vec<(&Gift, Estimate)> = report
        .told
        .gifts
        .iter()
        .map(|g| (g, g.days_fair_share.unwrap_or(g.days_last)))
        .collect();
    gifts.sort_by(|a, b| {
        let part = |g: &Gift| g.bit.is_none();
        part(a.0)
            .cmp(&part(b.0))
            .then(b.1.value.total_cmp(&a.1.value))
    });
    let together = &report.told.together;
    let title = if report.plan_index == 0 {
        "What anyone can do: swim days more than now".to_owned()
    } else {
        format!(
            "What each measure gives: {} swim days together ({})",
            days(together.value),
            range(together)
        )
    };
    let subtitle = format!(
        "Fair shares; lines below: likely range. {}, weather of {}",
        report.name, report.weather
    );
    let bottom = TOP_PX + ROW_PX * as_f64(gifts.len().max(1));
    let mut chart = Chart::sheet("measures", bottom + 66.0, style, &title, &subtitle);
    let values = gifts.iter().flat_map(|g| [g.1.low, g.1.high, g.1.value]);
    let x = Axis::round(values.chain([0.0, 5.0]), 7.0, "days");
    let rows = as_f64(gifts.len().max(1));
    let mut panel = Panel {
        name: "measures",
        frame: Frame {
            left: MARGIN_PX + NAMES_PX,
            top: TOP_PX,
            right: 900.0 - MARGIN_PX - NUMBERS_PX,
            bottom,
        },
        x,
        y: Axis::plain(0.0, rows),
        series: Vec::new(),
        outlined: false,
        parted: false,
    };
    panel.series.push(line(
        "zero",
        Ink::Muted,
        vec![(0.0, 0.0), (0.0, rows)],
        1.25,
        Dash::Solid,
    ));
    for (n, (gift, share)) in gifts.iter().enumerate() {
        let middle = rows - as_f64(n) - 0.5;
        let ink = if gift.bit.is_some() {
            Ink::Water
        } else {
            Ink::Air
        };
        panel.series.push(Series {
            name: gift.name.clone(),
            ink,
            shape: Shape::Bars(vec![Bar {
                x0: share.value.min(0.0),
                x1: share.value.max(0.0),
                y0: middle - 0.22,
                y1: middle + 0.22,
            }]),
        });
        panel.series.push(line(
            &format!("{} range", gift.name),
            Ink::Text,
            vec![(share.low, middle - 0.31), (share.high, middle - 0.31)],
            2.0,
            Dash::Solid,
        ));
        let (_, y) = panel.px(0.0, middle);
        let name = free_name(&gift.name, units);
        let below = if gift.bit.is_some() {
            format!(
                "alone {}, added last {}",
                days(gift.days_alone.value),
                days(gift.days_last.value)
            )
        } else {
            "added to the plan".to_owned()
        };
        let room = NAMES_PX - 14.0;
        chart.labels.push(
            Label::new(name, MARGIN_PX, y - 2.0, style.label_px)
                .bold()
                .within(room),
        );
        chart.labels.push(
            Label::new(below, MARGIN_PX, y + 18.0, style.axis_px)
                .in_ink(Ink::Muted)
                .within(room),
        );
        let unclear = if share.is_clear() {
            String::new()
        } else {
            " unclear".into()
        };
        let said = format!("{} ({}){unclear}", days(share.value), range(share));
        let x = panel.frame.right + 12.0;
        chart.labels.push(
            Label::new(said.replace('\u{a0}', " "), x, y + 6.0, style.label_px)
                .in_ink(if share.is_clear() {
                    Ink::Text
                } else {
                    Ink::Muted
                })
                .within(NUMBERS_PX - 4.0),
        );
        chart.alt += &format!(" {}: {said} days.", gift.name);
    }
    label_bottom(&mut chart, &panel, style);
    let foot = "brown bars: what anyone can do, on top of the plan";
    if gifts.iter().any(|g| g.0.bit.is_none()) {
        let y = bottom + 50.0;
        chart
            .labels
            .push(Label::new(foot, MARGIN_PX, y, style.axis_px).in_ink(Ink::Muted));
    }
    chart.panels = vec![panel];
    chart
}

/// Swim days against heater area, with the point from which the next piece brings less than a day; absent without solar heaters.
#[must_use]
pub fn area_chart(report: &CompareReport, units: Units, style: &Style) -> Option<Chart> {
    let area = report.told.area.as_ref()?;
    let a = |m2: f64| units.value(Kind::Area, m2);
    let shown = |m2: f64| units.format(Kind::Area, m2, 0);
    let title = match area.enough_m2[usize::from(area.cover_is_planned)] {
        Some(m2) if m2 <= 0.0 => format!(
            "Even the first {} of heater brings less than a day",
            shown(area.step_m2)
        ),
        Some(m2) => format!(
            "From {} of heater on the next {} brings less than a day",
            shown(m2),
            shown(area.step_m2)
        ),
        None => format!(
            "Up to {} of heater each {} brings a day and more",
            shown(area.areas_m2.last().copied().unwrap_or(0.0)),
            shown(area.step_m2)
        ),
    };
    let which = if area.cover_is_planned {
        "with the cover"
    } else {
        "without a cover"
    };
    let subtitle = format!(
        "{which}, as planned; the pool has {}. {}, weather of {}",
        shown(report.pool_m2),
        report.name,
        report.weather
    );
    let mut chart = Chart::sheet("area", 560.0, style, &title, &capital(&subtitle));
    let points = |days: &[f64]| -> Vec<(f64, f64)> {
        area.areas_m2
            .iter()
            .zip(days)
            .map(|(m2, days)| (a(*m2), *days))
            .collect()
    };
    let (bare, covered) = (points(&area.bare_days), points(&area.covered_days));
    let end = area.areas_m2.last().copied().unwrap_or(1.0);
    let x = Axis::round([0.0, a(end)], 7.0, units.unit(Kind::Area));
    let days_of = bare.iter().chain(&covered).map(|p| p.1);
    let y = Axis::round(days_of.chain([0.0, 10.0]), 6.0, "days");
    let left = super::left_edge([&y], style);
    let mut panel = Panel {
        name: "area",
        frame: Frame {
            left,
            top: TOP_PX,
            right: 880.0,
            bottom: 484.0,
        },
        x,
        y,
        series: Vec::new(),
        outlined: false,
        parted: false,
    };
    let top = panel.y.max;
    if area.planned_m2 <= end {
        panel.series.push(line(
            "planned",
            Ink::Muted,
            vec![(a(area.planned_m2), panel.y.min), (a(area.planned_m2), top)],
            1.25,
            Dash::Dotted,
        ));
    }
    panel
        .series
        .push(line("no_cover", Ink::Air, bare.clone(), 2.25, Dash::Dashed));
    panel.series.push(line(
        "cover",
        Ink::Water,
        covered.clone(),
        2.75,
        Dash::Solid,
    ));
    let (dx, dy) = (
        0.007 * (panel.x.max - panel.x.min),
        0.007 * 816.0 / 392.0 * (panel.y.max - panel.y.min),
    );
    for (at, days, name) in [(0, &bare, "enough_no_cover"), (1, &covered, "enough_cover")] {
        let Some(point) = area.enough_m2[at].and_then(|m2| {
            days.iter()
                .copied()
                .find(|p| (p.0 - a(m2)).abs() < 1e-9 * a(end).max(1.0))
        }) else {
            continue;
        };
        panel.series.push(Series {
            name: name.into(),
            ink: Ink::Text,
            shape: Shape::Bars(vec![Bar {
                x0: (point.0 - dx).max(panel.x.min),
                x1: (point.0 + dx).min(panel.x.max),
                y0: (point.1 - dy).max(panel.y.min),
                y1: (point.1 + dy).min(panel.y.max),
            }]),
        });
    }
    chart.label_left_axis(&panel, style.axis_px);
    label_bottom(&mut chart, &panel, style);
    chart.labels.push(
        Label::new(
            "area of solar heater; black squares: from there on the next piece brings less than a day",
            left,
            546.0,
            style.axis_px,
        )
        .in_ink(Ink::Muted),
    );
    if let Some(planned) = panel.series("planned") {
        let text = format!("planned: {}", shown(area.planned_m2));
        let (x, _) = panel.px(a(area.planned_m2), panel.y.min);
        let width = text_width_px(&text, style.axis_px, false);
        let fits = x + 8.0 + width < panel.frame.right;
        let (x, anchor) = if fits {
            (x + 8.0, Anchor::Start)
        } else {
            (x - 8.0, Anchor::End)
        };
        debug_assert!(!planned.values().is_empty(), "a line");
        chart.labels.push(
            Label::new(text, x, panel.frame.bottom - 10.0, style.axis_px)
                .anchored(anchor)
                .in_ink(Ink::Muted),
        );
    }
    let with = if area.cover_is_planned {
        format!("with the {} cover", area.cover.name())
    } else {
        format!("with a {} cover", area.cover.name())
    };
    for (name, said, ink) in [
        ("cover", with.as_str(), Ink::Water),
        ("no_cover", "without a cover", Ink::Air),
    ] {
        if let Some(series) = panel.series(name) {
            chart.label_beside(&panel, series, said, style.label_px, ink);
        }
    }
    chart.alt += &format!(
        " Without heater {} days, {} with a cover.",
        days(bare.first().map_or(0.0, |p| p.1)),
        days(covered.first().map_or(0.0, |p| p.1))
    );
    chart.panels = vec![panel];
    Some(chart)
}
