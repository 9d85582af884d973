//! `swimdays weather FILE`: what it is, how good, and a picture.

use std::io::Write;

use swimdays_quantity::Units;
use swimdays_report::ReportError;
use swimdays_report::chart::{GlanceView, glance_chart};
use swimdays_report::output::OutputFolder;
use swimdays_report::style::Style;
use swimdays_report::weather::{WeatherReport, weather_lines, write_months_csv};
use swimdays_weather::WeatherYear;

use super::args::WeatherArgs;
use super::{files, read, units};
use crate::Done;
use crate::delivery::{Delivery, WIDTH};
use crate::failure::{Failure, print};

pub(super) fn run(args: &WeatherArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let file = args
        .file
        .as_deref()
        .ok_or_else(|| Failure::input("swimdays weather: name a weather file"))?;
    // Not the stem alone: the season of a scenario of that name would be in its way.
    let delivery = Delivery::prepare(args.out.as_deref(), args.telling.json, args.force, || {
        Ok(format!("{}-weather", files::stem(file)?))
    })?;
    let year = read(file, &args.reading)?;
    let report = WeatherReport::new(&year, env!("CARGO_PKG_VERSION"));
    let units = units(args.telling.units);
    delivery.hand_over(
        out,
        err,
        |output| write(&year, &report, units, output),
        |bytes| report.write_json(bytes),
        || weather_lines(&report, units, WIDTH),
        "Picture and tables",
    )
}

pub(super) fn print_json(report: &WeatherReport, out: &mut dyn Write) -> Done {
    let mut object = Vec::new();
    report.write_json(&mut object).map_err(Failure::report)?;
    print(out, format_args!("{}", String::from_utf8(object)?))
}

fn write(
    year: &WeatherYear,
    report: &WeatherReport,
    units: Units,
    output: &mut OutputFolder,
) -> Result<(), ReportError> {
    let style = Style::light();
    let chart = glance_chart(
        &GlanceView {
            weather: year,
            units,
        },
        &style,
    );
    output.write("weather.json", |w| report.write_json(w))?;
    output.write("months.csv", |w| write_months_csv(w, report))?;
    output.write_chart(chart.name, &chart, &style)?;
    Ok(())
}
