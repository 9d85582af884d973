//! `swimdays aim`: which way a heater must face and how steep.

use std::io::Write;

use chrono::NaiveDate;
use clap::{Args as ClapArgs, ValueEnum};
use swimdays_collector::HeaterSpec;
use swimdays_quantity::{Kind, Units, parse};
use swimdays_report::aim::{AimInput, AimSummary, aim_chart, aim_lines};
use swimdays_report::style::Style;
use swimdays_report::words::day;
use swimdays_season::{MonthDay, Plan};
use swimdays_studies::{AimAsk, Objective, aim};
use swimdays_weather::WeatherYear;

use crate::Done;
use crate::args::{ScenarioArgs, WeatherPick};
use crate::delivery::WIDTH;
use crate::failure::Failure;
use crate::sources;

/// The finest map, degrees.
const FINEST_DEG: f64 = 2.5;
/// The coarsest one, which is also what a step must divide.
const COARSEST_DEG: f64 = 45.0;

#[derive(Debug, ClapArgs)]
pub(crate) struct AimArgs {
    #[command(flatten)]
    on: ScenarioArgs,
    #[command(flatten)]
    pick: WeatherPick,
    /// What shall be most
    #[arg(long, value_enum, default_value = "season-heat")]
    objective: ObjectiveArg,
    /// The heater that is turned [default: the first board or panel]
    #[arg(long, value_name = "NAME")]
    heater: Option<String>,
    /// Step of the map in degrees; 45 must be a whole number of steps
    #[arg(long, value_name = "DEGREES", default_value = "7.5")]
    step: String,
}

/// What a heater is turned for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum ObjectiveArg {
    /// Swim days
    Days,
    /// Heat while the pool is open
    SeasonHeat,
    /// Heat in spring, while the pool is open
    SpringHeat,
}

pub(crate) fn run(args: &AimArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let step_deg = step(&args.step)?;
    let scenario = args.on.with(&args.pick)?;
    let plan = &scenario.plan;
    let heater = heater(
        plan,
        args.heater.as_deref(),
        &args.on.scenario.display().to_string(),
    )?;
    let delivery = args.on.delivery("-aim")?;
    let years = sources::years(&args.pick.weather, &scenario)?;
    if let Some(warning) = sources::places_differ(&years) {
        writeln!(err, "Look out: {}.", warning.text)?;
    }
    let weather: Vec<&WeatherYear> = years.iter().map(|year| &year.weather).collect();
    let ask = AimAsk {
        heater,
        objective: match args.objective {
            ObjectiveArg::Days => Objective::SwimDays,
            ObjectiveArg::SeasonHeat => Objective::SeasonHeat,
            ObjectiveArg::SpringHeat => Objective::SpringHeat,
        },
        step_deg,
    };
    let found = aim(plan, &weather, &ask).map_err(Failure::input)?;
    if ask.objective == Objective::SpringHeat && found.open_spring_days == 0 {
        return Err(Failure::input(
            "--objective spring-heat: the pool is shut, or the weather has no day, in all of spring (March to May; south of the equator September to November): let the pool open earlier with pool.opens, or ask for season-heat",
        ));
    }
    let own = &plan.heaters[heater];
    let labels: Vec<String> = years.iter().map(|year| year.label.clone()).collect();
    let open = open_span(plan, scenario.units);
    let flat: Vec<String> = plan
        .heaters
        .iter()
        .filter(|h| is_deck(&h.spec))
        .map(|h| h.name.clone())
        .collect();
    let summary = AimSummary::new(
        &found,
        &AimInput {
            version: env!("CARGO_PKG_VERSION"),
            name: &plan.name,
            heater: &own.name,
            others: plan.heaters.len() - 1,
            shaded: !own.obstructions.is_empty(),
            is_panel: matches!(own.spec, HeaterSpec::Panel(_)),
            weather: &labels,
            open: open.as_deref(),
            flat: &flat,
        },
    );
    let style = Style::light();
    let place = sources::pool_and_weather(plan, &years, "mean of ");
    delivery.hand_over(
        out,
        err,
        |output| {
            output.write("aim.json", |w| summary.write_json(w))?;
            output.write("aim.csv", |w| summary.write_csv(w))?;
            let chart = aim_chart(&summary, &place, &style);
            output.write_chart(chart.name, &chart, &style)?;
            Ok(())
        },
        |bytes| summary.write_json(bytes),
        || aim_lines(&summary, WIDTH),
        "The map as picture and table",
    )
}

/// The step of the map: 45° must be a whole number of steps.
fn step(text: &str) -> Result<f64, Failure> {
    let step_deg = text
        .trim()
        .parse::<f64>()
        .ok()
        .or_else(|| parse(text, Kind::Angle).ok());
    step_deg
        .filter(|deg| (FINEST_DEG..=COARSEST_DEG).contains(deg))
        .filter(|deg| {
            let steps = COARSEST_DEG / deg;
            (steps - steps.round()).abs() < 1e-9
        })
        .ok_or_else(|| {
            Failure::input(format!(
                "--step {text}: not a step of the map; give degrees of which 45 is a whole number of steps, from 2.5 to 45, such as 5, 7.5, 9 or 15"
            ))
        })
}

fn is_deck(spec: &HeaterSpec) -> bool {
    matches!(spec, HeaterSpec::Deck(_))
}

/// The heater that is turned: the one asked for, else the first that can be turned.
fn heater(plan: &Plan, asked: Option<&str>, path: &str) -> Result<usize, Failure> {
    let can: Vec<&str> = plan
        .heaters
        .iter()
        .filter(|h| !is_deck(&h.spec))
        .map(|h| h.name.as_str())
        .collect();
    let choose = || match can.as_slice() {
        [] => "the scenario has no board or panel that could be turned".to_owned(),
        names => format!("choose {}", names.join(" or ")),
    };
    if let Some(name) = asked {
        let at = plan.heaters.iter().position(|h| h.name == name);
        let Some(at) = at else {
            return Err(Failure::input(format!(
                "--heater {name}: the scenario has no heater of that name; {}",
                choose()
            )));
        };
        if is_deck(&plan.heaters[at].spec) {
            return Err(Failure::input(format!(
                "--heater {name}: it lies in or on a deck, flat, and cannot be turned; {}",
                choose()
            )));
        }
        return Ok(at);
    }
    plan.heaters
        .iter()
        .position(|h| !is_deck(&h.spec))
        .ok_or_else(|| {
            let why = if plan.heaters.is_empty() {
                "has no heater: there is nothing to turn. Write a [[heater]]"
            } else {
                "has no heater but a deck, which lies flat: there is nothing to turn. Write a [[heater]] of kind board or panel"
            };
            Failure::input(format!("{path}: {why}"))
        })
}

/// First and last day on which the pool is in use; `None`: all year.
fn open_span(plan: &Plan, units: Units) -> Option<String> {
    let date = |d: MonthDay| NaiveDate::from_ymd_opt(2001, d.month, d.day);
    let (opens, closes) = (date(plan.pool.opens)?, date(plan.pool.closes)?);
    let after = closes.succ_opt()?;
    if (after.format("%m-%d").to_string()) == opens.format("%m-%d").to_string() {
        return None;
    }
    Some(format!("{} to {}", day(opens, units), day(closes, units)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_must_divide_an_eighth_of_the_compass() {
        for (text, deg) in [("7.5", 7.5), ("5 deg", 5.0), ("45", 45.0), ("2.5", 2.5)] {
            assert!((step(text).expect(text) - deg).abs() < 1e-12, "{text}");
        }
        for text in ["0", "-5", "7", "1", "90", "NaN", "x", ""] {
            assert!(step(text).is_err(), "{text}");
        }
    }
}
