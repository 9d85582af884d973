//! `swimdays weather FILE`: what it is, how good, and a picture.

use std::io::Write;
use std::path::PathBuf;

use swimdays_quantity::Units;
use swimdays_report::ReportError;
use swimdays_report::chart::{GlanceView, glance_chart};
use swimdays_report::output::OutputFolder;
use swimdays_report::style::Style;
use swimdays_report::weather::{WeatherReport, weather_lines, write_months_csv};
use swimdays_weather::WeatherYear;

use super::args::WeatherArgs;
use super::{WIDTH, files, read, units};
use crate::Done;
use crate::failure::{Failure, print};

pub(super) fn run(args: &WeatherArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let file = args
        .file
        .as_deref()
        .ok_or_else(|| Failure::input("swimdays weather: name a weather file"))?;
    let folder = match &args.out {
        Some(dir) => Some(dir.clone()),
        None if args.telling.json => None,
        // Not the stem alone: the season of a scenario of that name would be in its way.
        None => Some(PathBuf::from(format!("{}-weather", files::stem(file)?))),
    };
    let output = folder
        .as_deref()
        .map(|dir| OutputFolder::prepare(dir, args.force))
        .transpose()
        .map_err(Failure::report)?;
    let year = read(file, &args.reading)?;
    let report = WeatherReport::new(&year, env!("CARGO_PKG_VERSION"));
    let units = units(args.telling.units);
    if let (Some(mut output), Some(dir)) = (output, &folder) {
        write(&year, &report, units, &mut output).map_err(Failure::report)?;
        output.commit().map_err(Failure::report)?;
        if args.telling.json {
            writeln!(err, "wrote {}", dir.display())?;
        }
    }
    if args.telling.json {
        return print_json(&report, out);
    }
    for line in weather_lines(&report, units, WIDTH) {
        print(out, format_args!("{line}\n"))?;
    }
    if let Some(dir) = &folder {
        print(out, format_args!("Picture and tables: {}\n", dir.display()))?;
    }
    Ok(())
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
    let (svg, png) = (chart.svg(&style)?, chart.png(&style)?);
    output.write("weather.json", |w| report.write_json(w))?;
    output.write("months.csv", |w| write_months_csv(w, report))?;
    for (ending, bytes) in [("svg", svg.as_bytes()), ("png", &png)] {
        let file = format!("{}.{ending}", chart.name);
        let path = PathBuf::from(&file);
        output.write(&file, |w| {
            w.write_all(bytes).map_err(|source| ReportError::File {
                doing: "writing",
                path,
                source,
            })
        })?;
    }
    Ok(())
}
