//! Pictures of a check: what they show is what was read and computed. That axes cover it and labels stay apart is tested with all other
//! charts (`charts.rs`).

#![allow(clippy::unwrap_used, reason = "tests: a panic is a failed test")]

#[path = "fixture/checks.rs"]
mod checks;

use checks::{charts, committed};
use swimdays_check::{Parameter, Quantity};
use swimdays_report::Units;
use swimdays_report::chart::{Chart, Shape};
use swimdays_report::check::{heat_chart, learnt_chart, water_chart};
use swimdays_report::style::Style;

/// Series are converted, not computed: equal but for the rounding of a conversion.
const SAME: f64 = 1e-9;
/// 1 Btu/h = 0.293 071 W (NIST SP 811, table B.8, from memory).
const BTU_H_W: f64 = 0.293_071;

fn shape<'a>(chart: &'a Chart, panel: &str, series: &str) -> &'a Shape {
    &chart.panel(panel).unwrap().series(series).unwrap().shape
}

/// Points of a line of single marks, without the gaps between them.
fn marks(shape: &Shape) -> Vec<(f64, f64)> {
    let Shape::Line { points, .. } = shape else {
        panic!("a line")
    };
    points.iter().filter(|p| p.1.is_finite()).copied().collect()
}

#[test]
fn the_waters_marks_are_the_readings_and_its_band_that_of_the_fit() {
    let checked = committed("check-healthy.csv");
    let chart = water_chart(&checked.report(), Units::Us, &Style::light()).unwrap();
    let read = marks(shape(&chart, "water", "read"));
    let water: Vec<f64> = checked
        .file
        .log
        .readings
        .iter()
        .filter_map(|r| r.water_c)
        .collect();
    // No two readings of these notes lie within one hour, so that each has its mark.
    assert_eq!(read.len(), water.len());
    for ((_, fahrenheit), celsius) in read.iter().zip(&water) {
        assert!((fahrenheit - (1.8 * celsius + 32.0)).abs() < SAME);
    }
    // The notes begin on 28 May at 7:11 on the wall, 6:11 standard time: so much of the first day is gone.
    let first = checked.file.log.readings[0].time.time();
    let gone = f64::from(chrono::Timelike::num_seconds_from_midnight(&first)) / 86_400.0;
    assert!(
        (read[0].0 - gone).abs() < 1.0 / 1440.0,
        "{} {gone}",
        read[0].0
    );
    let Shape::Area(band) = shape(&chart, "water", "band") else {
        panic!("an area")
    };
    // Along the line, as wide as at the readings, straight between them.
    let halves = checked
        .fit
        .points
        .iter()
        .filter(|p| p.quantity == Quantity::Water)
        .map(|p| p.band_k);
    let least = halves.clone().fold(f64::INFINITY, f64::min);
    let most = halves.fold(0.0, f64::max);
    assert_eq!(band.len(), checked.fit.course.len());
    for ((_, low, high), course) in band.iter().zip(&checked.fit.course) {
        let half_k = (high - low) / 3.6;
        assert!((least - SAME..=most + SAME).contains(&half_k), "{half_k}");
        let middle = f64::midpoint(*low, *high);
        assert!((middle - (1.8 * course.fitted_c + 32.0)).abs() < SAME);
    }
    let now = marks(shape(&chart, "water", "now"));
    assert_eq!(now.len(), checked.fit.course.len());
    for ((_, fahrenheit), course) in now.iter().zip(&checked.fit.course) {
        assert!((fahrenheit - (1.8 * course.fitted_c + 32.0)).abs() < SAME);
    }
}

#[test]
fn the_heats_bars_are_what_was_read_and_what_was_due() {
    let checked = committed("check-thermometer.csv");
    for (units, per) in [(Units::Us, BTU_H_W), (Units::Metric, 1.0)] {
        let chart = heat_chart(&checked.report(), units, &Style::light()).unwrap();
        let read = marks(shape(&chart, "heat", "read"));
        assert_eq!(read.len(), checked.heats.readings.len());
        for ((_, power), reading) in read.iter().zip(&checked.heats.readings) {
            let expected = reading.heat.value_w / per;
            assert!((power - expected).abs() < 1e-5 * expected.abs().max(1.0));
        }
        for (series, pick) in [("due", true), ("doubt", false)] {
            let Shape::Bars(bars) = shape(&chart, "heat", series) else {
                panic!("bars")
            };
            for (bar, reading) in bars.iter().zip(&checked.heats.readings) {
                let heat = if pick { reading.expected } else { reading.heat };
                assert!((bar.y1 - bar.y0 - (heat.high_w - heat.low_w) / per).abs() < 0.1);
            }
        }
    }
}

#[test]
fn what_was_learnt_lies_where_the_fit_leaves_it() {
    let checked = committed("check-healthy.csv");
    let chart = learnt_chart(&checked.report(), Units::Metric, &Style::light()).unwrap();
    let wind = checked
        .fit
        .parameters
        .iter()
        .find(|e| e.key == Parameter::WindShelter)
        .unwrap();
    let ends = [(wind.prior_low, wind.prior_high), (wind.low, wind.high)];
    // Its row comes first.
    for (series, (low, high)) in ["before", "now"].into_iter().zip(ends) {
        let Shape::Bars(bars) = shape(&chart, "learnt", series) else {
            panic!("bars")
        };
        assert!((bars[0].x0 - low).abs() < SAME && (bars[0].x1 - high).abs() < SAME);
    }
}

#[test]
fn each_log_has_its_pictures() {
    // Six logs, two units; each with water, heat and what was learnt.
    assert_eq!(charts().len(), 6 * 2 * 3);
}
