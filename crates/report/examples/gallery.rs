//! Draws every chart from the invented season of the tests into a folder: `cargo run --example gallery -- DIR`.

#[path = "../tests/fixture/mod.rs"]
mod fixture;

use std::time::Instant;

use fixture::{Invented, TARGET_C, TOO_HOT_C, season};
use swimdays_report::Units;
use swimdays_report::chart::{
    Chart, LedgerView, WeekView, YearView, ledger_chart, telling_week, week_chart, year_chart,
};
use swimdays_report::style::Style;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("say where the charts go")?;
    std::fs::create_dir_all(&folder)?;
    for (name, invented, units) in [
        ("us", Invented::default(), Units::Us),
        (
            "south",
            Invented {
                south: true,
                board: 4.0,
                warmer_k: 4.0,
            },
            Units::Metric,
        ),
        (
            "bare",
            Invented {
                board: 0.0,
                warmer_k: -9.0,
                ..Invented::default()
            },
            Units::Metric,
        ),
    ] {
        let season = season(invented);
        for (ground, style) in [("", Style::light()), ("-dark", Style::dark())] {
            for chart in charts(&season, invented, units, &style) {
                let begin = Instant::now();
                let svg = chart.svg(&style)?;
                let drawn = begin.elapsed();
                let png = chart.png(&style)?;
                println!(
                    "{name} {}{ground}: svg {drawn:.1?}, png {:.1?}, {} kB",
                    chart.name,
                    begin.elapsed(),
                    png.len() / 1000
                );
                std::fs::write(format!("{folder}/{name}-{}{ground}.svg", chart.name), svg)?;
                std::fs::write(format!("{folder}/{name}-{}{ground}.png", chart.name), png)?;
            }
        }
    }
    Ok(())
}

fn charts(
    season: &swimdays_season::Season,
    invented: Invented,
    units: Units,
    style: &Style,
) -> Vec<Chart> {
    let place = "Back yard, weather of an invented place";
    let year = YearView {
        days: &season.days,
        target_c: TARGET_C,
        too_hot_c: TOO_HOT_C,
        range: Some((season.swim_days.saturating_sub(14), season.swim_days + 11)),
        place,
        units,
    };
    let ledger = LedgerView {
        by_month_kwh: &season.heat_by_month_kwh,
        first_month: if invented.south { 6 } else { 0 },
        has_heaters: invented.board > 0.0,
        place,
    };
    let mut out = vec![year_chart(&year, style), ledger_chart(&ledger, style)];
    if let (Some(hourly), Some(from)) = (&season.hourly, telling_week(season)) {
        let week = WeekView {
            hourly,
            from,
            target_c: TARGET_C,
            too_hot_c: TOO_HOT_C,
            summer_time: true,
            has_heaters: invented.board > 0.0,
            place,
            units,
        };
        out.push(week_chart(&week, style));
    }
    out
}
