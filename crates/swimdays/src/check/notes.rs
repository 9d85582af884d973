//! A log against its scenario.

use std::io::Write;

use chrono::{Datelike, TimeDelta};
use swimdays_check::dates::{Dated, weather_for};
use swimdays_check::heats::{Heats, heats};
use swimdays_check::log::{LogFile, LogOptions, read_log};
use swimdays_check::{CheckError, Fit, Verdict, fit_over, forecast_over, verdict_over};
use swimdays_report::check::{
    CheckInput, CheckReport, ForecastDay, check_lines, heat_chart, learnt_chart, water_chart,
};
use swimdays_report::style::Style;
use swimdays_scenario::Scenario;
use swimdays_season::Prepared;
use swimdays_weather::{WeatherYear, YearKind};

use super::{CheckArgs, learnt};
use crate::Done;
use crate::delivery::WIDTH;
use crate::failure::{Failure, print};
use crate::{samples, sources};

/// Name of the object's file.
const JSON: &str = "check.json";

pub(super) fn run(args: &CheckArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let on = args.on()?;
    let path = args
        .log
        .as_ref()
        .ok_or_else(|| Failure::input(super::args::USAGE))?;
    let scenario = on.with(&args.pick)?;
    let target = args
        .write
        .as_deref()
        .map(|to| learnt::Target::free(to, args.how.force))
        .transpose()?;
    let delivery = on.delivery("-check")?;
    let years: Vec<WeatherYear> = sources::years(&args.pick.weather, &scenario)?
        .into_iter()
        .map(|year| year.weather)
        .collect();
    let mut file = read(path, &scenario, &years)?;
    let dated =
        weather_for(&years, &mut file, !args.pick.weather.is_empty()).map_err(Failure::input)?;
    let answer = Answer::of(&scenario, &file, &dated)?;
    let coming = coming_days(args, &scenario, &file, &dated)?;
    let name = path.file_name().map_or_else(
        || path.display().to_string(),
        |n| n.to_string_lossy().into_owned(),
    );
    let fault = answer
        .fit
        .as_ref()
        .err()
        .map(ToString::to_string)
        .unwrap_or_default();
    let report = CheckReport::new(&CheckInput {
        scenario: &scenario.plan.name,
        program_version: env!("CARGO_PKG_VERSION"),
        file_name: &name,
        file: &file,
        dated: &dated,
        heats: &answer.heats,
        fit: answer.fit.as_ref().map_err(|_| fault.as_str()),
        verdict: answer.verdict.as_ref(),
        forecast: &coming,
        summer_time: scenario.plan.site.summer_time,
    });
    let style = Style::light();
    let units = scenario.units;
    delivery.hand_over(
        out,
        err,
        |output| {
            output.write(JSON, |w| report.write_json(w))?;
            let charts = [
                water_chart(&report, units, &style),
                heat_chart(&report, units, &style),
                learnt_chart(&report, units, &style),
            ];
            for chart in charts.iter().flatten() {
                output.write_chart(chart.name, chart, &style)?;
            }
            Ok(())
        },
        |bytes| report.write_json(bytes),
        || check_lines(&report, units, WIDTH),
        "Pictures, and every reading, fault and number in check.json",
    )?;
    if let Some(target) = target {
        let fit = answer
            .fit
            .map_err(|e| Failure::input(format!("--write: nothing was learnt: {e}")))?;
        let written = target.write(&on.scenario, &scenario, &fit, &name, report.fault_about())?;
        if !args.how.json {
            print(out, format_args!("{written}\n"))?;
        }
    }
    Ok(())
}

/// The log, on the clock and in the year that scenario and weather let expect.
fn read(
    path: &std::path::Path,
    scenario: &Scenario,
    years: &[WeatherYear],
) -> Result<LogFile, Failure> {
    let first = years.first();
    let options = LogOptions {
        units: scenario.units,
        summer_time: scenario.plan.site.summer_time,
        utc_offset_h: first.map_or(0.0, |y| y.place.utc_offset_h),
        year: first
            .filter(|y| y.kind == YearKind::Measured)
            .map(|y| y.first_start.year()),
    };
    read_log(path, &options).map_err(Failure::input)
}

/// The days to come, where weather of them was given.
fn coming_days(
    args: &CheckArgs,
    scenario: &Scenario,
    file: &LogFile,
    dated: &Dated,
) -> Result<Vec<ForecastDay>, Failure> {
    /// Hours of a day from which its warmest water can be told.
    const ENOUGH: usize = 20;
    let Some(path) = &args.forecast else {
        return Ok(Vec::new());
    };
    let coming = samples::read_with(path, &scenario.read).map_err(Failure::input)?;
    let told = |e: &dyn std::fmt::Display| {
        Failure::input(format!(
            "--forecast {}: {e}. It is to begin on the day of the last reading",
            path.display()
        ))
    };
    let hours = forecast_over(&scenario.plan, dated, &file.log, &coming).map_err(|e| told(&e))?;
    let mut days: Vec<(usize, ForecastDay)> = Vec::new();
    for hour in &hours {
        let date = (hour.time - TimeDelta::seconds(1)).date().to_string();
        match days.last_mut() {
            Some((n, day)) if day.date == date => {
                *n += 1;
                day.water_min_c = day.water_min_c.min(hour.water_c);
                if hour.water_c > day.water_max_c {
                    day.water_max_c = hour.water_c;
                    (day.low_c, day.high_c) = (hour.low_c, hour.high_c);
                }
            }
            _ => days.push((
                1,
                ForecastDay {
                    date,
                    water_min_c: hour.water_c,
                    water_max_c: hour.water_c,
                    low_c: hour.low_c,
                    high_c: hour.high_c,
                },
            )),
        }
    }
    Ok(days
        .into_iter()
        .filter(|(n, _)| *n >= ENOUGH)
        .map(|(_, day)| day)
        .collect())
}

/// All that is computed.
struct Answer {
    heats: Heats,
    fit: Result<Fit, CheckError>,
    verdict: Option<Verdict>,
}

impl Answer {
    fn of(scenario: &Scenario, file: &LogFile, dated: &Dated) -> Result<Self, Failure> {
        let plan = &scenario.plan;
        let prepared: Vec<Prepared> = dated
            .years
            .iter()
            .map(|year| Prepared::new(plan, year))
            .collect::<Result<_, _>>()
            .map_err(Failure::input)?;
        let heats = heats(plan, &prepared, &file.log).map_err(Failure::input)?;
        let (fit, verdict) = rayon::join(
            || fit_over(plan, dated, &file.log),
            || verdict_over(plan, dated, &file.log, scenario.units),
        );
        // Without the heater's readings nor the water's there is nothing to say.
        if let Err(error) = &fit
            && heats.readings.is_empty()
        {
            return Err(Failure::input(error));
        }
        let verdict = match &fit {
            Ok(_) => Some(verdict.map_err(Failure::input)?),
            Err(_) => None,
        };
        Ok(Self {
            heats,
            fit,
            verdict,
        })
    }
}
