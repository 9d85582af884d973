//! What the charts say in words, and that they show what was asked for: whole year, closed months, New Year, odd names.

#![allow(
    clippy::unwrap_used,
    clippy::cast_precision_loss,
    clippy::float_cmp,
    reason = "tests: small numbers, and a panic is a failed test"
)]

mod fixture;
#[allow(dead_code, reason = "not every drawing is looked at here")]
#[path = "fixture/views.rs"]
mod views;

use fixture::{Invented, TARGET_C, TOO_HOT_C, season};
use swimdays_report::Units;
use swimdays_report::chart::{
    Shape, WeekView, YearView, season_ledger_chart, telling_week, week_chart, week_from, year_chart,
};
use swimdays_report::style::Style;
use swimdays_season::{MonthDay, Season};
use views::{ledger, week, year};

/// Series are converted, not computed: equal but for the rounding of a conversion.
const SAME: f64 = 1e-9;

#[test]
fn a_year_without_a_swim_day_says_why() {
    let title = |change: fn(&mut swimdays_season::Day)| {
        let mut season = season(Invented::default());
        season.days.iter_mut().for_each(change);
        year(&season, Units::Us).labels[0].text.clone()
    };
    assert_eq!(
        title(|d| (d.swim, d.too_hot) = (false, false)),
        "No day warm enough to swim all its hours"
    );
    // May to September has 153 days; July has 31.
    let hot = |d: &mut swimdays_season::Day| (d.swim, d.too_hot) = (false, d.open);
    assert_eq!(title(hot), "No swim day: too hot on all 153 open days");
    let july = |d: &mut swimdays_season::Day| {
        (d.swim, d.too_hot) = (false, d.date.to_string().contains("-07-"));
    };
    assert_eq!(title(july), "No swim day: 31 days too hot, 122 too cold");
    let never = |d: &mut swimdays_season::Day| (d.swim, d.too_hot, d.open) = (false, false, false);
    assert_eq!(title(never), "The pool is never open");
}

#[test]
fn the_week_of_a_short_season_lies_around_it() {
    let mut season = season(Invented::default());
    let only = |season: &mut Season, from: &str, to: &str| {
        for day in &mut season.days {
            let date = day.date.to_string();
            day.open = date.as_str() >= from && date.as_str() <= to;
        }
        telling_week(season).map(|d| d.to_string())
    };
    // Three open days from the 4th: two before them, two after.
    let found = only(&mut season, "2001-07-04", "2001-07-06");
    assert_eq!(found.as_deref(), Some("2001-07-02"));
    let found = only(&mut season, "2001-12-31", "2001-12-31");
    assert_eq!(found.as_deref(), Some("2001-12-25"));
    let found = only(&mut season, "2001-01-01", "2001-01-02");
    assert_eq!(found.as_deref(), Some("2001-01-01"));
    let found = only(&mut season, "2002-01-01", "2002-01-02");
    assert_eq!(found.as_deref(), Some("2001-01-01"), "never open");
    season.days.clear();
    assert_eq!(telling_week(&season), None);
}

/// A typical year that runs from July to June goes back to January of the same label year.
#[test]
fn a_week_over_new_year_has_all_its_hours() {
    let mut season = season(Invented {
        south: true,
        ..Invented::default()
    });
    let relabel = |date: chrono::NaiveDate| chrono::Datelike::with_year(&date, 2001).unwrap();
    for day in &mut season.days {
        day.date = relabel(day.date);
    }
    for start in &mut season.hourly.as_mut().unwrap().start {
        *start = relabel(start.date()).and_time(start.time());
    }
    let from = week_from(&season, MonthDay { month: 12, day: 29 }).unwrap();
    let view = WeekView {
        hourly: season.hourly.as_ref().unwrap(),
        from,
        target_c: TARGET_C,
        too_hot_c: TOO_HOT_C,
        summer_time: false,
        has_heaters: true,
        place: "Back yard",
        units: Units::Metric,
    };
    let chart = week_chart(&view, &Style::light());
    let panel = chart.panel("temperature").unwrap();
    let points = panel.series("water").unwrap().values();
    assert_eq!(points.len(), 168);
    // The run's days count from 1 July: 184 days to New Year, so 29 December is day 181.
    let water = &view.hourly.water_c[181 * 24..188 * 24];
    for (i, ((x, y), wanted)) in points.iter().zip(water).enumerate() {
        assert!((x - (i as f64 + 1.0)).abs() < SAME && (y - wanted).abs() < SAME);
    }
    assert!(chart.labels[1].text.starts_with("29 Dec to 4 Jan, "));
    for name in ["29 Dec", "31 Dec", "1 Jan", "4 Jan"] {
        assert!(chart.labels.iter().any(|l| l.text == name), "{name}");
    }
}

#[test]
fn the_ledger_says_that_it_is_of_the_whole_year_and_when_the_pool_is_closed() {
    let season = season(Invented::default());
    let chart = season_ledger_chart(&season, true, "Back yard", &Style::light());
    let subtitle = &chart.labels[1].text;
    assert!(
        subtitle.starts_with("Whole year by month")
            && subtitle.contains("the closed pool lies uncovered"),
        "{subtitle}"
    );
    let Shape::Bars(closed) = &chart.panel("heat").unwrap().series("closed").unwrap().shape else {
        panic!("bars")
    };
    // Open from May to September: January to April and October to December are closed.
    let months: Vec<f64> = closed.iter().map(|b| b.x0).collect();
    assert_eq!(months, [0.0, 1.0, 2.0, 3.0, 9.0, 10.0, 11.0]);
    assert_eq!(
        chart.labels.iter().filter(|l| l.text == "closed").count(),
        1
    );

    let mut always = season.clone();
    always.days.iter_mut().for_each(|d| d.open = true);
    let chart = season_ledger_chart(&always, true, "Back yard", &Style::light());
    assert!(chart.panel("heat").unwrap().series("closed").is_none());
    assert!(!chart.labels[1].text.contains("closed"));
    assert!(
        ledger(&season, 0, true).labels[1]
            .text
            .starts_with("Whole year by month")
    );
}

#[test]
fn the_ledger_names_the_larger_of_the_heaters() {
    let mut season = season(Invented::default());
    let title = |s: &Season, with| ledger(s, 0, with).labels[0].text.clone();
    assert!(title(&season, true).contains(", the solar heater "));
    season.heat_by_month_kwh[5].other_heater = 12_345.0;
    assert!(title(&season, true).ends_with("kWh, the ordinary heater 12,000 kWh"));
    assert!(title(&season, false).ends_with("kWh, the ordinary heater 12,000 kWh"));
    season.heat_by_month_kwh[5].other_heater = 0.5;
    assert!(title(&season, true).contains(", the solar heater "));
}

#[test]
fn without_a_pump_there_is_no_strip_for_one() {
    let season = season(Invented {
        board: 0.0,
        ..Invented::default()
    });
    let height = |with| {
        let chart = week(&season, Units::Us, with);
        let frame = chart.panel("rule").unwrap().frame;
        (
            frame.bottom - frame.top,
            chart.labels.iter().any(|l| l.text == "pump"),
        )
    };
    assert_eq!(height(false), (12.0, false));
    assert_eq!(height(true), (30.0, true));
}

/// A band of one kelvin is too narrow for its label, which then stands outside it and hides no line.
#[test]
fn the_bands_label_stands_within_it_or_clear_of_it() {
    let season = season(Invented::default());
    for (target_c, too_hot_c, within) in [(27.0, 28.0, false), (26.0, 32.0, true)] {
        let view = YearView {
            days: &season.days,
            target_c,
            too_hot_c,
            range: None,
            place: "Back yard",
            units: Units::Metric,
        };
        let chart = year_chart(&view, &Style::light());
        let label = chart
            .labels
            .iter()
            .find(|l| l.text.starts_with("swim between"))
            .unwrap();
        let text = label.text_box();
        let panel = chart.panel("temperature").unwrap();
        let (top, bottom) = (panel.px(0.0, too_hot_c).1, panel.px(0.0, target_c).1);
        let inside = text.top >= top && text.bottom <= bottom;
        let outside = text.bottom <= top || text.top >= bottom;
        assert!(!label.on_patch);
        assert!(inside || outside, "{target_c} to {too_hot_c}: {text:?}");
        assert!(within || outside, "{target_c} to {too_hot_c}: {text:?}");
    }
}

#[test]
fn what_the_font_lacks_becomes_a_question_mark() {
    use swimdays_report::style::drawable;
    assert_eq!(
        drawable("Jardín Łódź 24 °C – “süd” …"),
        "Jardín Łódź 24 °C – “süd” …"
    );
    assert_eq!(drawable("\u{6cf3}\u{6c60} pool"), "? pool");
    assert_eq!(
        drawable("our \u{1f3ca}\u{200d}\u{2642} pool\u{7}"),
        "our ? pool"
    );
    assert_eq!(drawable("\u{05d1}\u{05e8}\u{05d9}\u{05db}\u{05d4}"), "?");
    let season = season(Invented::default());
    let view = YearView {
        days: &season.days,
        target_c: TARGET_C,
        too_hot_c: TOO_HOT_C,
        range: None,
        place: "\u{6cf3}\u{6c60}, weather of here",
        units: Units::Us,
    };
    let chart = year_chart(&view, &Style::light());
    assert_eq!(chart.labels[1].text, "?, weather of here");
}
