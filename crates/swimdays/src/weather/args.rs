//! What may be typed after `swimdays weather`.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};
use swimdays_weather::Target;

use crate::args::UnitsArg;

#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(crate) struct WeatherArgs {
    #[command(subcommand)]
    pub(crate) action: Option<WeatherAction>,
    /// The weather file (EPW, TMY3, TMY2, NSRDB, PVGIS or plain CSV, gzip too), or a sample such as sample:temperate
    #[arg(value_name = "FILE", required = true)]
    pub(crate) file: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) reading: ReadingArgs,
    #[command(flatten)]
    pub(crate) telling: TellingArgs,
    /// Folder for picture and tables [default: one named after the file with -weather, here]
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Replace files in that folder even if this program did not make them
    #[arg(long)]
    pub(crate) force: bool,
}

#[derive(Debug, Subcommand)]
pub(crate) enum WeatherAction {
    /// Write a weather file in another format, and say what that loses
    Convert(ConvertArgs),
    /// Make a year of hours from a climate table of twelve months
    Normals(NormalsArgs),
}

/// How a file is read.
#[derive(Debug, Args)]
pub(crate) struct ReadingArgs {
    /// Fill gaps up to this long, hours [default: 3, for sun 2]
    #[arg(long, value_name = "HOURS")]
    pub(crate) fill: Option<f64>,
    /// Local standard time minus UTC, hours, for a file in UTC that does not say it
    #[arg(long, value_name = "HOURS", allow_hyphen_values = true)]
    pub(crate) utc_offset: Option<f64>,
}

/// How the answer is told.
#[derive(Debug, Args)]
pub(crate) struct TellingArgs {
    /// Print the object of weather.json and nothing else; without --out no file is written
    #[arg(long)]
    pub(crate) json: bool,
    /// Units to print
    #[arg(long, value_enum, default_value = "metric")]
    pub(crate) units: UnitsArg,
}

#[derive(Debug, Args)]
pub(crate) struct ConvertArgs {
    /// The weather file, or a sample such as sample:temperate
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,
    /// Format to write
    #[arg(long, value_enum)]
    pub(crate) to: TargetArg,
    /// File to write [default: named after the file and the format, here]
    #[arg(long, value_name = "FILE2")]
    pub(crate) out: Option<PathBuf>,
    /// Replace a file that is there
    #[arg(long)]
    pub(crate) force: bool,
    #[command(flatten)]
    pub(crate) reading: ReadingArgs,
}

#[derive(Debug, Args)]
pub(crate) struct NormalsArgs {
    /// The climate table: twelve months, as --template writes it
    #[arg(value_name = "TABLE.csv")]
    pub(crate) table: PathBuf,
    /// Write a table to fill in under that name, and make no year
    #[arg(long, conflicts_with_all = ["seed", "years", "to", "out", "json"])]
    pub(crate) template: bool,
    /// Which of the many years that the table allows; the same number gives the same year
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
    /// How many years, each from the next seed
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u64).range(1..=100))]
    pub(crate) years: u64,
    /// Format to write; plain keeps what was known of the place, so that the season can say how sure it is
    #[arg(long, value_enum, default_value = "plain")]
    pub(crate) to: TargetArg,
    /// File to write; of several years each has its number put in [default: named after the table, here]
    #[arg(long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,
    /// Replace files that are there
    #[arg(long)]
    pub(crate) force: bool,
    /// Print the description of the first year as JSON and nothing else; without --out no file is written
    #[arg(long)]
    pub(crate) json: bool,
    /// Units to print
    #[arg(long, value_enum, default_value = "metric")]
    pub(crate) units: UnitsArg,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum TargetArg {
    /// Plain CSV with units in the column names
    Plain,
    /// EnergyPlus weather file
    Epw,
    /// Typical-meteorological-year CSV, third edition
    Tmy3,
}

impl TargetArg {
    pub(crate) fn target(self) -> Target {
        match self {
            Self::Plain => Target::Plain,
            Self::Epw => Target::Epw,
            Self::Tmy3 => Target::Tmy3,
        }
    }
}
