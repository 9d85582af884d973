//! The weather's chapter of the page.

use swimdays_weather::WeatherYear;

use super::text::{row, sun, takes, what};
use super::{WeatherRemark, WeatherReport};
use crate::Units;
use crate::chart::{GlanceView, glance_chart};
use crate::page::{Block, Chapter, Table};
use crate::style::Style;
use crate::words::MONTHS;

/// What the file is, how good, and its year at a glance.
#[must_use]
pub fn chapter(report: &WeatherReport, year: &WeatherYear, units: Units, style: &Style) -> Chapter {
    let view = GlanceView {
        weather: year,
        units,
    };
    let told = Chapter::new("weather", "")
        .text(&report.verdict.text)
        .text(what(report, units))
        .text(sun(report))
        .text(takes(report));
    let mut chapter = Chapter::new("weather", "The weather behind it")
        .with(Block::Beside(
            Box::new(glance_chart(&view, style)),
            told.blocks,
        ))
        .table(months(report, units));
    for (name, remarks) in [
        ("Doubtful", &report.doubtful),
        ("Filled", &report.filled),
        ("Derived", &report.derived),
        ("Not given", &report.not_given),
    ] {
        if !remarks.is_empty() {
            let told = |r: &WeatherRemark| format!("{}: {}", r.column, r.text);
            chapter = chapter
                .with(Block::Heading(name.to_owned()))
                .with(Block::List(remarks.iter().map(told).collect()));
        }
    }
    chapter
}

fn months(report: &WeatherReport, units: Units) -> Table {
    let degree = units.temperature_unit();
    let (rain, wind) = match units {
        Units::Us => ("in", "mph"),
        Units::Metric => ("mm", "m/s"),
    };
    let heads = [
        "month".to_owned(),
        format!("air, {degree}#"),
        "low#".into(),
        "high#".into(),
        "coldest#".into(),
        "hottest#".into(),
        format!("dew point, {degree}#"),
        format!("wind, {wind}#"),
        "sun, kWh/m²#".into(),
        "share arriving#".into(),
        format!("rain, {rain}#"),
    ];
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    let mut table = Table::new(
        "By month (low, high: mean of each day's; sun: a day, on level ground)",
        &heads,
    );
    for (part, name) in report.months.iter().zip(MONTHS) {
        if part.intervals > 0 {
            table.row(row(part, name, units));
        }
    }
    table.row(row(&report.all, "All", units));
    table
}
