//! What may be typed.

use std::path::PathBuf;

use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};

use crate::aim::AimArgs;
use crate::check::CheckArgs;
use crate::warmup::WarmupArgs;
use crate::weather::WeatherArgs;

/// The program and its commands.
#[derive(Debug, Parser)]
#[command(
    name = "swimdays",
    version,
    about = "How many days can we swim, and what does each measure give?",
    long_about = None,
    disable_help_subcommand = true
)]
pub(crate) struct Args {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Step a pool and its heater through a weather year: swim days, and where the heat came from and went
    Season(SeasonArgs),
    /// Which measure is worth it: cover, heater, windbreak, your own options; how much heater is enough
    Compare(RunArgs),
    /// How much water the pump pushes through the heaters, piece by piece, and which way of plumbing gives most heat
    Flow(ScenarioArgs),
    /// What fits on the board, what to buy, cut and fear: a page to print, drawings to scale, lists
    Build(ScenarioArgs),
    /// When to run the pump: the best timer hours month by month, against yours, a sensor and always on; a card to tape up
    Hours(RunArgs),
    /// Many combinations of values, one row a season, into one CSV file
    Sweep(SweepArgs),
    /// One page to read, print and hand to a neighbour: the answer, charts, what to build, what was assumed, what to fear
    Report(RunArgs),
    /// I built it and measured it: does it do what it should, and if not, why?
    Check(CheckArgs),
    /// Which way a heater must face and how steep: the best, how far off is as good, and a map
    Aim(AimArgs),
    /// How long the water takes to get warm, with and without each measure, and when to start to be ready by a day
    Warmup(WarmupArgs),
    /// Write a commented scenario to start from
    New(NewArgs),
    /// Tell what a weather file is and how good; write it in another format; make a year from a climate table
    Weather(WeatherArgs),
}

/// What every command on a scenario takes.
#[derive(Debug, ClapArgs)]
pub(crate) struct ScenarioArgs {
    /// The scenario (a TOML file; `swimdays new` writes one)
    #[arg(value_name = "SCENARIO.toml")]
    pub(crate) scenario: PathBuf,
    /// Folder for the files [default: one named after the scenario and the command, here]
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) how: HowArgs,
}

/// How a scenario is taken and its answer given.
#[derive(Clone, Debug, Default, ClapArgs)]
pub(crate) struct HowArgs {
    /// Replace files in that folder even if this program did not make them
    #[arg(long)]
    pub(crate) force: bool,
    /// Print the JSON object alone; without --out no file is written
    #[arg(long)]
    pub(crate) json: bool,
    /// Change one value of the scenario, such as pool.cover.kind=none or heater.board.area="60 ft2"
    #[arg(long = "set", value_name = "PATH=VALUE")]
    pub(crate) sets: Vec<String>,
    /// Units to print [default: the scenario's]
    #[arg(long, value_enum)]
    pub(crate) units: Option<UnitsArg>,
}

/// What every command that steps a pool through the weather takes besides.
#[derive(Debug, ClapArgs)]
pub(crate) struct WeatherPick {
    /// Use this weather file instead of the scenario's; several times for several years
    #[arg(long, value_name = "FILE")]
    pub(crate) weather: Vec<PathBuf>,
    /// Fill gaps in weather files of up to this many hours [default: the scenario's, else 3, for sun 2]
    #[arg(long, value_name = "HOURS")]
    pub(crate) fill: Option<String>,
}

/// What a command takes that asks nothing more.
#[derive(Debug, ClapArgs)]
pub(crate) struct RunArgs {
    #[command(flatten)]
    pub(crate) on: ScenarioArgs,
    #[command(flatten)]
    pub(crate) pick: WeatherPick,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct SeasonArgs {
    #[command(flatten)]
    pub(crate) on: ScenarioArgs,
    #[command(flatten)]
    pub(crate) pick: WeatherPick,
    /// Draw the week that starts on this day [default: the most telling one]
    #[arg(long, value_name = "MM-DD")]
    pub(crate) week: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct SweepArgs {
    /// The scenario (a TOML file; `swimdays new` writes one)
    #[arg(value_name = "SCENARIO.toml")]
    pub(crate) scenario: PathBuf,
    /// A key and its values: heater.board.area="10..100 ft2 in 10 values" or pool.cover.kind=none,bubble; several times for all combinations
    #[arg(long, value_name = "PATH=VALUES", required = true)]
    pub(crate) vary: Vec<String>,
    /// The file [default: one named after the scenario, -sweep.csv, here]
    #[arg(long, value_name = "FILE.csv")]
    pub(crate) out: Option<PathBuf>,
    /// Replace the file if it is there
    #[arg(long, conflicts_with = "resume")]
    pub(crate) force: bool,
    /// Go on with a file that was begun; a torn last line is redone
    #[arg(long)]
    pub(crate) resume: bool,
    /// Only this part of the combinations, such as 3/8; all parts behind one another are the whole file
    #[arg(long, value_name = "PART/PARTS")]
    pub(crate) part: Option<String>,
    /// Change one value of the scenario in all combinations
    #[arg(long = "set", value_name = "PATH=VALUE")]
    pub(crate) sets: Vec<String>,
    #[command(flatten)]
    pub(crate) pick: WeatherPick,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct NewArgs {
    /// Where to write it
    #[arg(value_name = "SCENARIO.toml", default_value = "pool.toml")]
    pub(crate) scenario: PathBuf,
    /// Ask nothing: take the usual answers
    #[arg(long)]
    pub(crate) yes: bool,
    /// Replace a file that is there
    #[arg(long)]
    pub(crate) force: bool,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum UnitsArg {
    /// °F, feet, gallons
    Us,
    /// °C, metres, litres
    Metric,
}
