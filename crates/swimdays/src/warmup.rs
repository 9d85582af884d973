//! `swimdays warmup`: how long the water takes to get warm, and when to start.

use std::io::Write;

use chrono::{Datelike, NaiveDate, TimeDelta};
use clap::Args as ClapArgs;
use swimdays_quantity::{Kind, month_day, parse};
use swimdays_report::style::Style;
use swimdays_report::warmup::{
    WarmupInput, WarmupSummary, fan_chart, measures_chart, warmup_lines,
};
use swimdays_scenario::Scenario;
use swimdays_season::{MonthDay, Plan, SeasonError};
use swimdays_studies::{WarmupAsk, WarmupError, warmup};
use swimdays_weather::WeatherYear;

use crate::Done;
use crate::args::{ScenarioArgs, WeatherPick};
use crate::delivery::WIDTH;
use crate::failure::Failure;
use crate::sources::{self, Year};

/// Coldest and warmest water that a warm-up may begin or end with, °C.
const WATER_C: (f64, f64) = (0.0, 45.0);
/// Start days after opening when nobody names any.
const USUAL_DAYS: i64 = 30;

#[derive(Debug, ClapArgs)]
pub(crate) struct WarmupArgs {
    #[command(flatten)]
    on: ScenarioArgs,
    #[command(flatten)]
    pick: WeatherPick,
    /// Water at the beginning, such as 60F [default: pool.start, else what the weather makes of the bare pool]
    #[arg(long, value_name = "TEMPERATURE")]
    from: Option<String>,
    /// Water wanted, such as 80F [default: swim.target]
    #[arg(long, value_name = "TEMPERATURE")]
    to: Option<String>,
    /// Start on this day
    #[arg(long, value_name = "MM-DD", conflicts_with = "window")]
    start: Option<String>,
    /// Start on every day of these [default: from opening, a month]
    #[arg(long, value_name = "MM-DD..MM-DD")]
    window: Option<String>,
    /// When to start to be warm on this day
    #[arg(long, value_name = "MM-DD")]
    by: Option<String>,
}

pub(crate) fn run(args: &WarmupArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let from_c = temperature("--from", args.from.as_deref())?;
    let to_c = temperature("--to", args.to.as_deref())?;
    let window = window(args)?;
    let by = args
        .by
        .as_deref()
        .map(|text| calendar("--by", text))
        .transpose()?;
    let scenario = args.on.with(&args.pick)?;
    let plan = &scenario.plan;
    let delivery = args.on.delivery("-warmup")?;
    let years = sources::years(&args.pick.weather, &scenario)?;
    if let Some(warning) = sources::places_differ(&years) {
        writeln!(err, "Look out: {}.", warning.text)?;
    }
    let south = years
        .first()
        .is_some_and(|year| year.weather.place.latitude_deg < 0.0);
    let (first, last) = window.unwrap_or_else(|| usual(plan, south));
    let ask = WarmupAsk {
        from_c,
        to_c: to_c.unwrap_or(plan.swim.target_c),
        first,
        last,
        by,
    };
    if let Some(from_c) = ask.from_c.or(plan.pool.start_c)
        && from_c >= ask.to_c
    {
        let t = |c: f64| scenario.units.format(Kind::Temperature, c, 0);
        return Err(Failure::input(format!(
            "the water begins at {} (--from, else pool.start) and is wanted at {} (--to, else swim.target): there is nothing to warm up. Give a warmer --to or a colder --from",
            t(from_c),
            t(ask.to_c)
        )));
    }
    let summary = answer(&scenario, &years, &ask).map_err(|error| told(&error, &years, &ask))?;
    let style = Style::light();
    let place = sources::pool_and_weather(plan, &years, "");
    delivery.hand_over(
        out,
        err,
        |output| {
            output.write("warmup.json", |w| summary.write_json(w))?;
            output.write("warmup.csv", |w| summary.write_csv(w))?;
            for chart in [
                fan_chart(&summary, scenario.units, &place, &style),
                measures_chart(&summary, scenario.units, &place, &style),
            ] {
                output.write_chart(chart.name, &chart, &style)?;
            }
            Ok(())
        },
        |bytes| summary.write_json(bytes),
        || warmup_lines(&summary, scenario.units, WIDTH),
        "Pictures and tables",
    )
}

/// Of a warm-up as it is asked for.
fn answer(
    scenario: &Scenario,
    years: &[Year],
    ask: &WarmupAsk,
) -> Result<WarmupSummary, WarmupError> {
    let plan = &scenario.plan;
    let weather: Vec<&WeatherYear> = years.iter().map(|year| &year.weather).collect();
    let found = warmup(plan, &weather, ask)?;
    let labels: Vec<String> = years.iter().map(|year| year.label.clone()).collect();
    let heaters: Vec<String> = plan.heaters.iter().map(|h| h.name.clone()).collect();
    Ok(WarmupSummary::new(
        &found,
        &WarmupInput {
            version: env!("CARGO_PKG_VERSION"),
            name: &plan.name,
            window: (ask.first, ask.last),
            weather: &labels,
            cover: plan.cover.is_some(),
            heaters: &heaters,
            heater_stops_c: plan
                .pump
                .as_ref()
                .filter(|_| !heaters.is_empty())
                .and_then(|pump| pump.limits.water_limit_c),
            cover_off_c: plan.cover.as_ref().and_then(|cover| cover.off_above_c),
        },
    ))
}

/// From the water's own beginning to the swim target, as it is asked for when nobody says more; absent where there is nothing to tell.
pub(crate) fn usual_answer(scenario: &Scenario, years: &[Year]) -> Option<WarmupSummary> {
    let plan = &scenario.plan;
    let to_c = plan.swim.target_c;
    if plan.pool.start_c.is_some_and(|from_c| from_c >= to_c) {
        return None;
    }
    let south = years
        .first()
        .is_some_and(|year| year.weather.place.latitude_deg < 0.0);
    let (first, last) = usual(plan, south);
    let ask = WarmupAsk {
        from_c: None,
        to_c,
        first,
        last,
        by: None,
    };
    answer(scenario, years, &ask).ok()
}

fn temperature(option: &str, text: Option<&str>) -> Result<Option<f64>, Failure> {
    let Some(text) = text else { return Ok(None) };
    let wrong = |why: String| {
        Failure::input(format!(
            "{option} {text}: {why}; give a temperature of water with its unit, such as 60F or 16C"
        ))
    };
    let c = parse(text, Kind::Temperature).map_err(|e| wrong(e.to_string()))?;
    if !(WATER_C.0..=WATER_C.1).contains(&c) {
        return Err(wrong(
            "is no temperature of a pool (0 to 45 °C, 32 to 113 °F)".into(),
        ));
    }
    Ok(Some(c))
}

fn calendar(option: &str, text: &str) -> Result<MonthDay, Failure> {
    month_day(text)
        .map(|d| MonthDay {
            month: d.month,
            day: d.day,
        })
        .map_err(|e| {
            Failure::input(format!(
                "{option} {text}: {e}; write month-day, such as {option} 05-14"
            ))
        })
}

/// First and last start day, where they are given.
fn window(args: &WarmupArgs) -> Result<Option<(MonthDay, MonthDay)>, Failure> {
    if let Some(text) = &args.start {
        let day = calendar("--start", text)?;
        return Ok(Some((day, day)));
    }
    let Some(text) = &args.window else {
        return Ok(None);
    };
    let Some((first, last)) = text.split_once("..") else {
        return Err(Failure::input(format!(
            "--window {text}: not two days; write the first and the last start day, such as --window 04-15..05-31"
        )));
    };
    Ok(Some((
        calendar("--window", first.trim())?,
        calendar("--window", last.trim())?,
    )))
}

/// A month from opening; of a pool that is open all year the last month of spring.
fn usual(plan: &Plan, south: bool) -> (MonthDay, MonthDay) {
    let pool = &plan.pool;
    let first_of = |month| MonthDay { month, day: 1 };
    let date = |d: MonthDay| NaiveDate::from_ymd_opt(2001, d.month, d.day);
    let all_year = date(pool.opens)
        .zip(date(pool.closes))
        .is_none_or(|(opens, closes)| (opens - closes).num_days().rem_euclid(365) == 1);
    let first = match (all_year, south) {
        (false, _) => pool.opens,
        (true, false) => first_of(5),
        (true, true) => first_of(11),
    };
    let last = date(first).map_or(first, |first| {
        let last = first + TimeDelta::days(USUAL_DAYS);
        MonthDay {
            month: last.month(),
            day: last.day(),
        }
    });
    (first, last)
}

/// What went wrong, and what to do.
fn told(error: &WarmupError, years: &[Year], ask: &WarmupAsk) -> Failure {
    let written = |d: MonthDay| format!("{:02}-{:02}", d.month, d.day);
    let span = years.first().map_or_else(String::new, |year| {
        let weather = &year.weather;
        format!(
            "it runs from {} to {}",
            weather.first_start.date(),
            weather.start_of(weather.len().saturating_sub(1)).date()
        )
    });
    match error {
        WarmupError::Season(SeasonError::PartialYearNeedsStart) => {
            Failure::input(format!("{error}, or --from 60F"))
        }
        WarmupError::NoStartDay => Failure::input(format!(
            "{error} ({} to {}): {span}; choose others with --start or --window",
            written(ask.first),
            written(ask.last)
        )),
        WarmupError::NoSuchDate => Failure::input(format!(
            "{error} ({}): {span}; choose another with --by",
            ask.by.map_or_else(String::new, written)
        )),
        other => Failure::input(other),
    }
}
