//! `swimdays hours`: when to run the pump.

use std::io::Write;

use swimdays_pump::hydraulics::Operating;
use swimdays_report::hours::{
    HoursInput, HoursSummary, brings_chart, card_chart, hours_lines, write_card_csv,
};
use swimdays_report::style::Style;
use swimdays_scenario::Scenario;
use swimdays_weather::WeatherYear;

use crate::Done;
use crate::args::RunArgs;
use crate::delivery::WIDTH;
use crate::failure::Failure;
use crate::sources::{self, Year};

pub(crate) fn run(args: &RunArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let scenario = args.on.with(&args.pick)?;
    let plan = &scenario.plan;
    if plan.heaters.is_empty() || plan.pump.is_none() {
        return Err(Failure::input(format!(
            "{}: has no heater, so there are no hours in which to pump water through it. Write a [[heater]] with its tube, and [pump]",
            args.on.scenario.display()
        )));
    }
    let delivery = args.on.delivery("-hours")?;
    let years = sources::years(&args.pick.weather, &scenario)?;
    for warning in sources::not_good(&years)
        .into_iter()
        .chain(sources::places_differ(&years))
    {
        writeln!(err, "Look out: {}.", warning.text)?;
    }
    let units = scenario.units;
    let summary = summary(&scenario, &years)?;
    let style = Style::light();
    delivery.hand_over(
        out,
        err,
        |output| {
            output.write("hours.json", |to| summary.write_json(to))?;
            output.write("card.csv", |to| write_card_csv(to, &summary.card, units))?;
            output.write("card.txt", |to| summary.write_card_text(to, units))?;
            for chart in [
                card_chart(&summary, units, &style),
                brings_chart(&summary, units, &style),
            ] {
                output.write_chart(chart.name, &chart, &style)?;
            }
            Ok(())
        },
        |bytes| summary.write_json(bytes),
        || hours_lines(&summary, units, WIDTH),
        "Card (text, picture, CSV), picture of the hours, and all numbers in hours.json",
    )
}

/// Everything that is found, before a byte is written.
pub(crate) fn summary(scenario: &Scenario, years: &[Year]) -> Result<HoursSummary, Failure> {
    let plan = &scenario.plan;
    let weather: Vec<&WeatherYear> = years.iter().map(|year| &year.weather).collect();
    let labels: Vec<String> = years.iter().map(|year| year.label.clone()).collect();
    let study = swimdays_studies::hours(plan, &weather).map_err(Failure::input)?;
    if study.months.is_empty() {
        return Err(Failure::input(format!(
            "{}: the weather has no day on which the pool is open: look at pool.opens and pool.closes",
            plan.name
        )));
    }
    Ok(HoursSummary::new(
        &study,
        &HoursInput {
            version: env!("CARGO_PKG_VERSION"),
            plan,
            weather: &labels,
            made: weather.iter().any(|year| year.normals.is_some()),
            filter_flow_m3_s: filter_flow_m3_s(scenario),
            units: scenario.units,
        },
    ))
}

/// Water that the filter pump moves, where its plumbing is described.
fn filter_flow_m3_s(scenario: &Scenario) -> Option<f64> {
    let hydraulics = scenario.hydraulics.as_ref().filter(|h| !h.own_pump)?;
    let pump = hydraulics.pump.as_ref()?;
    let found = Operating::find(&hydraulics.circuit, pump, &hydraulics.around).ok()?;
    Some(found.pump_flow_m3_s)
}
