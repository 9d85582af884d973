//! `swimdays flow`: what the pump pushes through the heaters.

mod answer;
mod heat;

use std::io::Write;
use std::path::PathBuf;

use swimdays_quantity::Units;
use swimdays_report::ReportError;
use swimdays_report::chart::{loop_chart, pump_chart};
use swimdays_report::flow::flow_lines;
use swimdays_report::output::OutputFolder;
use swimdays_report::style::Style;

use crate::Done;
use crate::args::{FlowArgs, UnitsArg};
use crate::failure::{Failure, print};

/// Widest line on the terminal.
const WIDTH: usize = 100;

pub(crate) fn run(args: &FlowArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let mut sets = args.sets.clone();
    if let Some(units) = args.units {
        let units = match units {
            UnitsArg::Us => Units::Us,
            UnitsArg::Metric => Units::Metric,
        };
        sets.push(format!("units={}", units.name()));
    }
    let scenario = swimdays_scenario::load(&args.scenario, &sets).map_err(Failure::input)?;
    let folder = folder(args)?;
    let output = folder
        .as_deref()
        .map(|dir| OutputFolder::prepare(dir, args.force))
        .transpose()
        .map_err(Failure::report)?;
    let Some(hydraulics) = &scenario.hydraulics else {
        let what = if scenario.plan.heaters.is_empty() {
            "has no heater: there is no flow to find. Write a [[heater]] with its tube, and [pump]"
        } else {
            "has no pump: write [pump] with flow, bucket, curve, shut_off_head and free_flow, or class"
        };
        return Err(Failure::input(format!(
            "{}: {what}",
            args.scenario.display()
        )));
    };
    let report = answer::answer(&scenario, hydraulics)?;
    if let (Some(mut output), Some(dir)) = (output, &folder) {
        let style = Style::light();
        let mut put = || -> Result<(), ReportError> {
            output.write("flow.json", |w| report.write_json(w))?;
            for chart in [
                pump_chart(&report, scenario.units, &style),
                loop_chart(&report, scenario.units, &style),
            ] {
                let (svg, png) = (chart.svg(&style)?, chart.png(&style)?);
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
            }
            Ok(())
        };
        put().map_err(Failure::report)?;
        output.commit().map_err(Failure::report)?;
        if args.json {
            writeln!(err, "wrote {}", dir.display())?;
        }
    }
    if args.json {
        let mut object = Vec::new();
        report.write_json(&mut object).map_err(Failure::report)?;
        return print(out, format_args!("{}", String::from_utf8(object)?));
    }
    for line in flow_lines(&report, scenario.units, WIDTH) {
        print(out, format_args!("{line}\n"))?;
    }
    if let Some(dir) = &folder {
        print(
            out,
            format_args!(
                "Pictures, and all pieces and assumptions in flow.json: {}\n",
                dir.display()
            ),
        )?;
    }
    Ok(())
}

/// Where files go; nowhere when only the JSON object was asked for.
fn folder(args: &FlowArgs) -> Result<Option<PathBuf>, Failure> {
    if let Some(dir) = &args.out {
        return Ok(Some(dir.clone()));
    }
    if args.json {
        return Ok(None);
    }
    let stem = args.scenario.file_stem().ok_or_else(|| {
        Failure::input(format!(
            "{}: not the name of a scenario file",
            args.scenario.display()
        ))
    })?;
    Ok(Some(PathBuf::from(format!(
        "{}-flow",
        stem.to_string_lossy()
    ))))
}
