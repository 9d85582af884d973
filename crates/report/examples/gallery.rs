//! Draws every chart and prints the terminal's lines, for invented pools in the invented sample years:
//! `cargo run --release -p swimdays-report --example gallery -- DIR`.

#[path = "../tests/fixture/plan.rs"]
mod fixture;

use std::time::Instant;

use swimdays_report::chart::{
    Chart, WeekView, YearView, season_ledger_chart, telling_week, week_chart, year_chart,
};
use swimdays_report::style::Style;
use swimdays_report::text::season_lines;
use swimdays_report::{DayRange, Summary, SummaryInput, Units};
use swimdays_season::{Plan, Season};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("say where the charts go")?;
    std::fs::create_dir_all(&folder)?;
    for (stem, boards, units) in [
        ("temperate", 1.0_f64, Units::Us),
        ("hot-dry", 6.0, Units::Us),
        ("cool-south", 4.0, Units::Metric),
        ("temperate", 0.0, Units::Metric),
    ] {
        let weather = fixture::weather(stem);
        let mut plan = fixture::plan(weather.place.latitude_deg < 0.0, boards.max(1.0));
        if boards <= 0.0 {
            plan.heaters.clear();
            plan.pump = None;
            plan.cover = None;
        }
        let season = fixture::stepped(&plan, &weather);
        let range = DayRange {
            low: season.swim_days.saturating_sub(12),
            high: season.swim_days + 9,
            draws: 0,
            method: "invented for the gallery".into(),
        };
        let summary = Summary::new(&SummaryInput {
            plan: &plan,
            weather: &weather,
            season: &season,
            range: Some(&range),
            measures: &[],
            units,
            years: &[],
            normals: None,
            warnings: &[],
            program_version: env!("CARGO_PKG_VERSION"),
        });
        println!("{}\n", season_lines(&summary, 100).join("\n"));
        for (ground, style) in [("", Style::light()), ("-dark", Style::dark())] {
            for chart in charts(
                &plan,
                &season,
                (range.low, range.high),
                &weather.place.name,
                units,
                &style,
            ) {
                let begin = Instant::now();
                let png = chart.png(&style)?;
                println!(
                    "{} {:.1?}, {} kB",
                    chart.name,
                    begin.elapsed(),
                    png.len() / 1000
                );
                let path = format!("{folder}/{stem}-{boards}-{}{ground}", chart.name);
                std::fs::write(format!("{path}.svg"), chart.svg(&style)?)?;
                std::fs::write(format!("{path}.png"), png)?;
            }
        }
    }
    Ok(())
}

fn charts(
    plan: &Plan,
    season: &Season,
    range: (usize, usize),
    place: &str,
    units: Units,
    style: &Style,
) -> Vec<Chart> {
    let place = format!("{}, {place}", plan.name);
    let (target_c, too_hot_c) = (plan.swim.target_c, plan.swim.too_hot_c);
    let has_heaters = !plan.heaters.is_empty();
    let year = YearView {
        days: &season.days,
        target_c,
        too_hot_c,
        range: Some(range),
        place: &place,
        units,
    };
    let ledger = season_ledger_chart(season, has_heaters, &place, style);
    let mut out = vec![year_chart(&year, style), ledger];
    if let (Some(hourly), Some(from)) = (&season.hourly, telling_week(season)) {
        let week = WeekView {
            hourly,
            from,
            target_c,
            too_hot_c,
            summer_time: true,
            has_heaters,
            place: &place,
            units,
        };
        out.push(week_chart(&week, style));
    }
    out
}
