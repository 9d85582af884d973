//! What can keep a plan from being run.

use swimdays_collector::CollectorError;
use swimdays_pool::PoolError;
use swimdays_pump::PumpError;
use swimdays_solar::SolarError;

use crate::machine::MAX_HEATERS;

/// Why a season cannot be run.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SeasonError {
    /// The weather has no interval.
    #[error("the weather has no hour in it: give a file with a whole year")]
    EmptyWeather,
    /// The weather is shorter than a year and nobody said how warm the water is at its start.
    #[error(
        "the weather is shorter than a year, so the water's start cannot be found from it: give pool.start, such as \"60 F\""
    )]
    PartialYearNeedsStart,
    /// Heaters, but nothing that pushes water through them.
    #[error("there are heaters but no pump: add [pump] with a flow, such as flow = \"4 gpm\"")]
    HeaterWithoutPump,
    /// More heaters than there is room for.
    #[error(
        "{found} heaters; at most {MAX_HEATERS} are possible: join heaters of one plane into one"
    )]
    TooManyHeaters {
        /// How many.
        found: usize,
    },
    /// The prepared year belongs to another site, water or plane.
    #[error("the prepared year does not fit this plan ({what} differ): prepare the weather again")]
    PreparedForAnother {
        /// What differs.
        what: String,
    },
    /// An obstruction is not valid.
    #[error(transparent)]
    Obstruction(#[from] SolarError),
    /// A heater is not valid.
    #[error(transparent)]
    Heater(#[from] CollectorError),
    /// Pump or control is not valid.
    #[error(transparent)]
    Pump(#[from] PumpError),
    /// Pool, ground or cover is not valid.
    #[error(transparent)]
    Pool(#[from] PoolError),
}
