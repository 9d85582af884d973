//! `swimdays compare`: which measure is worth it.

use std::io::Write;

use swimdays_quantity::Units;
use swimdays_report::chart::{area_chart, measures_chart};
use swimdays_report::compare::{
    CompareReport, compare_lines, write_areas_csv, write_measures_csv, write_options_csv,
};
use swimdays_report::style::Style;
use swimdays_scenario::Scenario;
use swimdays_studies::compare::Ranges;
use swimdays_weather::WeatherYear;

use crate::Done;
use crate::args::RunArgs;
use crate::delivery::WIDTH;
use crate::failure::Failure;
use crate::sources::{self, Year};

/// The piece of heater that must bring a day to be worth adding: 10 ft², 1 m².
const fn step_m2(units: Units) -> f64 {
    match units {
        Units::Us => 0.929_030_4,
        Units::Metric => 1.0,
    }
}

pub(crate) fn run(args: &RunArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let scenario = args.on.with(&args.pick)?;
    for option in &scenario.options {
        let fault = option.scenario.hydraulics.as_ref();
        if let Some(fault) = fault.and_then(|h| h.fault.as_ref()) {
            let path = args.on.scenario.display();
            return Err(Failure::input(format!(
                "{path}: option \"{}\": {fault}. Change the option, or look at it with `swimdays flow {path}` and --set",
                option.name
            )));
        }
    }
    let delivery = args.on.delivery("-compare")?;
    let years = sources::years(&args.pick.weather, &scenario)?;
    let units = scenario.units;
    let report = answer(&scenario, &years, Ranges::Every)?;
    for warning in sources::not_good(&years)
        .into_iter()
        .chain(sources::places_differ(&years))
    {
        writeln!(err, "Look out: {}.", warning.text)?;
    }
    let style = Style::light();
    delivery.hand_over(
        out,
        err,
        |output| {
            output.write("compare.json", |w| report.write_json(w))?;
            output.write("options.csv", |w| write_options_csv(w, &report))?;
            output.write("measures.csv", |w| write_measures_csv(w, &report))?;
            output.write("areas.csv", |w| write_areas_csv(w, &report))?;
            let charts = [
                Some(measures_chart(&report, units, &style)),
                area_chart(&report, units, &style),
            ];
            for chart in charts.into_iter().flatten() {
                output.write_chart(chart.name, &chart, &style)?;
            }
            Ok(())
        },
        |bytes| report.write_json(bytes),
        || compare_lines(&report, units, WIDTH),
        "Pictures, every choice and its heat by source",
    )
}

/// Everything that is found, before a byte is written.
pub(crate) fn answer(
    scenario: &Scenario,
    years: &[Year],
    ranges: Ranges,
) -> Result<CompareReport, Failure> {
    let weather: Vec<&WeatherYear> = years.iter().map(|year| &year.weather).collect();
    let labels: Vec<String> = years.iter().map(|year| year.label.clone()).collect();
    let step_m2 = step_m2(scenario.units);
    let found = swimdays_studies::compare::compare(scenario, &weather, step_m2, ranges)
        .map_err(Failure::input)?;
    Ok(CompareReport::new(
        scenario,
        &weather,
        &labels,
        found,
        env!("CARGO_PKG_VERSION"),
    ))
}
