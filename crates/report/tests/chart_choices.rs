//! Drawings of what one can choose (`compare`, `hours`, `aim`, `warmup`, the cutting plan): what is drawn is what was found.

#![allow(
    clippy::unwrap_used,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "tests: small numbers, and a panic is a failed test"
)]

#[path = "fixture/look.rs"]
mod look;
#[path = "fixture/studies.rs"]
#[allow(dead_code, reason = "some answers are enough here")]
mod studies;

use std::path::Path;

use swimdays_report::aim::aim_chart;
use swimdays_report::chart::{
    Bar, Cells, Chart, CutRow, Panel, Shape, area_chart, cut_chart, measures_chart,
};
use swimdays_report::compare::CompareReport;
use swimdays_report::hours::{HoursInput, HoursSummary, brings_chart, card_chart};
use swimdays_report::style::Style;
use swimdays_report::warmup::fan_chart;
use swimdays_report::{Units, warmup};
use swimdays_scenario::Scenario;
use swimdays_studies::compare::Ranges;
use swimdays_studies::{Objective, Spread};
use swimdays_weather::WeatherYear;

/// Series are converted, not computed: equal but for the rounding of a conversion.
const SAME: f64 = 1e-9;
/// Square feet in a square metre (1 ft = 0.3048 m).
const FT2_PER_M2: f64 = 1.0 / (0.304_8 * 0.304_8);

fn sample(name: &str) -> (Scenario, WeatherYear) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios");
    let scenario = swimdays_scenario::load(&folder.join(name), &[]).unwrap();
    let file = if name.contains("south") {
        "cool-south"
    } else {
        "temperate"
    };
    let weather = folder.join(format!("../weather-samples/{file}.epw"));
    (scenario, swimdays_weather::read(&weather).unwrap())
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= SAME * a.abs().max(b.abs()).max(1.0)
}

fn bars<'a>(panel: &'a Panel, name: &str) -> &'a [Bar] {
    match &panel.series(name).unwrap_or_else(|| panic!("{name}")).shape {
        Shape::Bars(bars) => bars,
        other => panic!("{name}: {other:?}"),
    }
}

fn points<'a>(panel: &'a Panel, name: &str) -> &'a [(f64, f64)] {
    match &panel.series(name).unwrap_or_else(|| panic!("{name}")).shape {
        Shape::Line { points, .. } => points,
        other => panic!("{name}: {other:?}"),
    }
}

fn cells<'a>(panel: &'a Panel, name: &str) -> &'a Cells {
    match &panel.series(name).unwrap_or_else(|| panic!("{name}")).shape {
        Shape::Cells(cells) => cells,
        other => panic!("{name}: {other:?}"),
    }
}

fn clear(name: &str, chart: &Chart) {
    look::axes_cover(name, chart);
    look::labels_are_clear(name, chart);
}

#[test]
fn the_bars_of_measures_and_the_curves_of_area_are_the_comparisons() {
    for (name, step_m2) in [
        ("cover-and-board.toml", 0.929_030_4),
        ("above-ground-south.toml", 1.0),
    ] {
        let (scenario, weather) = sample(name);
        let found =
            swimdays_studies::compare::compare(&scenario, &[&weather], step_m2, Ranges::Read)
                .unwrap();
        let report = CompareReport::new(&scenario, &[&weather], &["year".into()], found, "0");
        for units in [Units::Us, Units::Metric] {
            let chart = measures_chart(&report, units, &Style::light());
            clear(name, &chart);
            let panel = chart.panel("measures").unwrap();
            assert!(report.measures.len() >= 3, "{name}");
            for m in &report.measures {
                let (value, low, high) = match (
                    m.days_fair_share,
                    m.days_fair_share_low,
                    m.days_fair_share_high,
                ) {
                    (Some(value), Some(low), Some(high)) => (value, low, high),
                    _ => (m.days_last, m.days_last_low, m.days_last_high),
                };
                let [bar] = bars(panel, &m.name) else {
                    panic!("{name}: {}", m.name)
                };
                // A bar lies between nothing and the value.
                assert!(
                    same(bar.x0.min(bar.x1), value.min(0.0)),
                    "{name}: {}",
                    m.name
                );
                assert!(
                    same(bar.x0.max(bar.x1), value.max(0.0)),
                    "{name}: {}",
                    m.name
                );
                let range = points(panel, &format!("{} range", m.name));
                assert!(
                    same(range[0].0, low) && same(range[1].0, high),
                    "{name}: {}",
                    m.name
                );
            }
            let area = report.heater_area.as_ref().unwrap();
            let chart = area_chart(&report, units, &Style::light()).unwrap();
            clear(name, &chart);
            let panel = chart.panel("area").unwrap();
            let factor = if units == Units::Us { FT2_PER_M2 } else { 1.0 };
            for (line, days) in [
                ("no_cover", &area.swim_days_no_cover),
                ("cover", &area.swim_days_cover),
            ] {
                let drawn = points(panel, line);
                assert_eq!(drawn.len(), days.len());
                for ((x, y), (m2, days)) in drawn.iter().zip(area.area_m2.iter().zip(days)) {
                    assert!(same(*x, m2 * factor) && same(*y, *days), "{name}: {line}");
                }
            }
        }
    }
}

#[test]
fn the_map_of_hours_is_what_an_hour_brings_and_the_card_stands_on_it() {
    for name in ["cover-and-board.toml", "above-ground-south.toml"] {
        let (scenario, weather) = sample(name);
        let study = swimdays_studies::hours(&scenario.plan, &[&weather]).unwrap();
        for units in [Units::Us, Units::Metric] {
            let input = HoursInput {
                version: "0",
                plan: &scenario.plan,
                weather: &["year".into()],
                made: false,
                filter_flow_m3_s: None,
                units,
            };
            let summary = HoursSummary::new(&study, &input);
            let chart = brings_chart(&summary, units, &Style::light());
            clear(name, &chart);
            let panel = chart.panel("brings").unwrap();
            let (heat, cooling) = (cells(panel, "heat"), cells(panel, "cooling"));
            let told: Vec<Option<f64>> = summary
                .brings_kw
                .iter()
                .flat_map(|(_, hours)| hours.iter().copied())
                .collect();
            assert_eq!((heat.rows, heat.values.len()), (24, told.len()));
            assert_eq!(cooling.values.len(), told.len());
            let most = told.iter().flatten().copied().fold(0.0, f64::max);
            assert!(most > 0.0, "{name}");
            for (told, (warms, cools)) in told.iter().zip(heat.values.iter().zip(&cooling.values)) {
                match told {
                    None => assert!(warms.is_nan() && cools.is_nan(), "{name}"),
                    Some(kw) if *kw >= 0.0 => {
                        assert!(same(*warms, *kw) && cools.is_nan(), "{name}");
                    }
                    // Tones of cooling end at the deepest one.
                    Some(kw) => {
                        assert!(warms.is_nan() && *cools > 0.0, "{name}");
                        assert!(same(*cools, -kw) || *cools < -kw, "{name}");
                    }
                }
            }
            clear(name, &card_chart(&summary, units, &Style::light()));
        }
    }
}

#[test]
fn the_map_of_positions_is_the_answers() {
    for (objective, most) in [
        (Objective::SeasonHeat, 9_123.0),
        (Objective::SwimDays, 104.0),
    ] {
        for south in [false, true] {
            let summary = studies::map(7.5, (30.0, 180.0), (35.0, 170.0), objective, most, south);
            let chart = aim_chart(&summary, "Back yard", &Style::light());
            clear("aim", &chart);
            let map = cells(chart.panel("map").unwrap(), "map");
            // 48 directions and the first again at the other edge; 13 tilts from flat to upright.
            assert_eq!((map.columns(), map.rows), (49, 13));
            let best = summary.best.worth(objective);
            for (at, value) in map.values.iter().enumerate() {
                let (column, row) = (at / map.rows, at % map.rows);
                let x = map.x0 + (column as f64 + 0.5) * map.width;
                let y = map.y0 + (row as f64 + 0.5) * map.height;
                let cell = summary
                    .map
                    .iter()
                    .find(|c| {
                        (c.tilt_deg - y).abs() < SAME
                            && (c.azimuth_deg - x.rem_euclid(360.0)).abs() < SAME
                    })
                    .unwrap();
                let expected = match objective {
                    Objective::SwimDays => cell.worth(objective),
                    _ => 100.0 * cell.worth(objective) / best,
                };
                assert!(same(*value, expected), "{at}: {value} for {expected}");
            }
        }
    }
}

/// The fixture's water: 15 + 12 (1 − e^(−d/6)) − cos 2πd, two below it and two and a half above.
#[test]
fn the_fan_is_the_answers() {
    let days = Spread {
        low: Some(3.5),
        half: Some(9.7),
        high: Some(20.0),
    };
    let summary = studies::warm(days, 3);
    for units in [Units::Us, Units::Metric] {
        let shown = |celsius: f64| match units {
            Units::Us => 1.8 * celsius + 32.0,
            Units::Metric => celsius,
        };
        let chart = fan_chart(&summary, units, "Back yard", &Style::light());
        clear("fan", &chart);
        let panel = chart.panel("water").unwrap();
        let middle = points(panel, "middle");
        assert_eq!(middle.len(), 20 * 24 + 1);
        let water = |day: f64, rise: f64| {
            15.0 + rise * (1.0 - (-day / 6.0).exp()) - (day * std::f64::consts::TAU).cos()
        };
        let Shape::Area(spans) = &panel.series("four in five").unwrap().shape else {
            panic!("no span")
        };
        for ((x, y), (day, low, high)) in middle.iter().zip(spans) {
            assert!(same(*x, *day) && same(*y, shown(water(*day, 12.0))));
            assert!(same(*low, shown(water(*day, 12.0) - 2.0)));
            assert!(same(*high, shown(water(*day, 12.0) + 2.5)));
        }
        for (day, y) in points(panel, "bare pool") {
            assert!(same(*y, shown(water(*day, 5.0))));
        }
        assert!(
            points(panel, "target")
                .iter()
                .all(|p| same(p.1, shown(26.0)))
        );
        clear(
            "measures",
            &warmup::measures_chart(&summary, units, "Back yard", &Style::light()),
        );
    }
}

#[test]
fn the_strips_are_the_cuts() {
    let row = |name: &str, stock_m: f64, pieces: &[f64]| CutRow {
        name: name.into(),
        stock_m,
        pieces: pieces.iter().map(|m| (*m, format!("{m} m"))).collect(),
    };
    let rows = [
        row("2 × 3 m", 3.0, &[2.0, 0.75]),
        row("1 × 2.4 m", 2.4, &[0.05, 0.05, 1.1]),
    ];
    let chart = cut_chart("The studs", &rows, &Style::light()).unwrap();
    clear("cuts", &chart);
    let panel = chart.panel("cuts").unwrap();
    let drawn: Vec<(f64, f64)> = bars(panel, "pieces").iter().map(|b| (b.x0, b.x1)).collect();
    // By hand: each begins where the one before it ends.
    let expected = [
        (0.0, 2.0),
        (2.0, 2.75),
        (0.0, 0.05),
        (0.05, 0.1),
        (0.1, 1.2),
    ];
    assert_eq!(drawn.len(), expected.len());
    for (a, b) in drawn.iter().zip(expected) {
        assert!(same(a.0, b.0) && same(a.1, b.1), "{a:?} for {b:?}");
    }
    let bought: Vec<f64> = bars(panel, "bought").iter().map(|b| b.x1).collect();
    assert!(same(bought[0], 3.0) && same(bought[1], 2.4));
    // A piece too short for its words has none; all are in what is read aloud.
    let texts: Vec<&str> = chart.labels.iter().map(|l| l.text.as_str()).collect();
    assert!(texts.contains(&"2 m") && !texts.contains(&"0.05 m"));
    assert!(chart.alt.contains("0.05 m, 0.05 m, 1.1 m"));
    assert!(cut_chart("The studs", &[], &Style::light()).is_none());
}
