//! How long each drawing takes, as SVG and as PNG at twice the size: the least of some timings by the wall clock, since neighbours only add.
//!
//! Prints; `cargo bench --bench charts` runs it. Drawings of a pipe, a coil and a log are of the same kinds and are not timed.

use std::path::Path;
use std::time::{Duration, Instant};

use swimdays_report::chart::{
    CalendarView, Chart, GlanceView, WeekView, YearView, area_chart, calendar_chart, glance_chart,
    measures_chart, season_ledger_chart, telling_week, week_chart, year_chart,
};
use swimdays_report::compare::CompareReport;
use swimdays_report::hours::{HoursInput, HoursSummary, brings_chart, card_chart};
use swimdays_report::style::Style;
use swimdays_scenario::Scenario;
use swimdays_season::{Detail, Prepared, run};
use swimdays_studies::compare::{Ranges, compare};
use swimdays_weather::WeatherYear;

/// Timings of which the least counts; the first one reads the fonts.
const TIMINGS: usize = 7;

const PLACE: &str = "Cover and board, weather of an invented place";

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let scenario =
        swimdays_scenario::load(&root.join("scenarios/cover-and-board.toml"), &[]).expect("scenario");
    let weather = swimdays_weather::read(&scenario.weather.files()[0].path).expect("weather");
    let style = Style::light();
    println!("drawing of cover-and-board       SVG, ms   SVG and PNG, ms   px");
    for chart in charts(&scenario, &weather, &style) {
        let svg = least(|| drop(std::hint::black_box(chart.svg(&style))));
        let png = least(|| drop(std::hint::black_box(chart.png(&style))));
        let ms = |time: Duration| 1e3 * time.as_secs_f64();
        println!(
            "{:30} {:9.1} {:17.1}   {:.0} × {:.0}",
            chart.name,
            ms(svg),
            ms(png),
            2.0 * chart.width_px,
            2.0 * chart.height_px
        );
    }
}

fn least(mut work: impl FnMut()) -> Duration {
    (0..TIMINGS)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed()
        })
        .min()
        .unwrap_or_default()
}

fn charts(scenario: &Scenario, weather: &WeatherYear, style: &Style) -> Vec<Chart> {
    let (plan, units) = (&scenario.plan, scenario.units);
    let (target_c, too_hot_c) = (plan.swim.target_c, plan.swim.too_hot_c);
    let year = Prepared::new(plan, weather).expect("year");
    let season = run(plan, &year, Detail::Full).expect("season");
    let days = &season.days;
    let mut charts = vec![
        year_chart(
            &YearView {
                days,
                target_c,
                too_hot_c,
                range: None,
                place: PLACE,
                units,
            },
            style,
        ),
        calendar_chart(&CalendarView { days, place: PLACE }, style),
        season_ledger_chart(&season, true, PLACE, style),
        glance_chart(&GlanceView { weather, units }, style),
    ];
    if let Some((hourly, from)) = season.hourly.as_ref().zip(telling_week(&season)) {
        charts.push(week_chart(
            &WeekView {
                hourly,
                from,
                target_c,
                too_hot_c,
                summer_time: true,
                has_heaters: true,
                place: PLACE,
                units,
            },
            style,
        ));
    }
    let labels = ["an invented place".to_owned()];
    let found = compare(scenario, &[weather], 1.0, Ranges::Read).expect("comparison");
    let report = CompareReport::new(scenario, &[weather], &labels, found, "bench");
    charts.push(measures_chart(&report, units, style));
    charts.extend(area_chart(&report, units, style));
    let study = swimdays_studies::hours(plan, &[weather]).expect("hours");
    let hours = HoursSummary::new(
        &study,
        &HoursInput {
            version: "bench",
            plan,
            weather: &labels,
            made: false,
            filter_flow_m3_s: None,
            units,
        },
    );
    charts.push(card_chart(&hours, units, style));
    charts.push(brings_chart(&hours, units, style));
    charts
}
