//! What may be typed after `swimdays check`.

use std::path::PathBuf;

use clap::Args;

use crate::args::{HowArgs, ScenarioArgs, WeatherPick};
use crate::failure::Failure;

#[derive(Debug, Args)]
pub(crate) struct CheckArgs {
    /// The scenario of what you built (a TOML file); not needed for one reading with --flow, --in and --out
    #[arg(value_name = "SCENARIO.toml")]
    pub(crate) scenario: Option<PathBuf>,
    /// Your notes: a CSV file; --template prints one to start from
    #[arg(long, value_name = "LOG.csv")]
    pub(crate) log: Option<PathBuf>,
    /// Print a log to start from and nothing else
    #[arg(long)]
    pub(crate) template: bool,
    /// One reading: flow through the heater, such as "2 gpm", or the bucket, "5 gal in 75 s"
    #[arg(long, value_name = "FLOW")]
    pub(crate) flow: Option<String>,
    /// One reading: water into the heater, such as 70F
    #[arg(long = "in", value_name = "TEMPERATURE")]
    pub(crate) inlet: Option<String>,
    /// With --in: water out of the heater, such as 75F. With a log: folder for the files [default: the scenario's name with -check]
    #[arg(long, value_name = "TEMPERATURE or DIR")]
    pub(crate) out: Option<String>,
    /// One reading: size of the heater, length times diameter of its tube, such as "20 ft2"
    #[arg(long, value_name = "AREA")]
    pub(crate) area: Option<String>,
    /// One thermometer read inlet and outlet
    #[arg(long)]
    pub(crate) one_thermometer: bool,
    #[command(flatten)]
    pub(crate) pick: WeatherPick,
    /// Hourly weather of the coming days: tomorrow's and the next days' water with what was learnt
    #[arg(long, value_name = "FILE")]
    pub(crate) forecast: Option<PathBuf>,
    /// Write the scenario with what was learnt to a new file, the old values kept as comments; while a fault is about only with --force
    #[arg(long, value_name = "LEARNT.toml")]
    pub(crate) write: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) how: HowArgs,
}

impl CheckArgs {
    /// What a command on a scenario takes.
    pub(crate) fn on(&self) -> Result<ScenarioArgs, Failure> {
        let scenario = self.scenario.clone().ok_or_else(|| Failure::input(USAGE))?;
        Ok(ScenarioArgs {
            scenario,
            out: self.out.clone().map(PathBuf::from),
            how: self.how.clone(),
        })
    }
}

/// Said when neither a log nor a reading was given.
pub(crate) const USAGE: &str = "nothing to check: give a scenario and your notes, `swimdays check pool.toml --log notes.csv` (`swimdays check --template` prints notes to start from), or one reading, `swimdays check --flow \"2 gpm\" --in 70F --out 75F`";
