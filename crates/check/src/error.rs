//! What can keep a log from being compared.

use swimdays_season::SeasonError;

/// Why a log cannot be compared with its plan.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CheckError {
    /// No reading of the water's temperature.
    #[error(
        "the log has {found} readings of the water's temperature; at least {needed} at different times are needed: write the time and the water's temperature, morning and evening, for some days"
    )]
    TooFewReadings {
        /// How many there are.
        found: usize,
        /// How many it takes.
        needed: usize,
    },
    /// The weather does not reach over the log.
    #[error(
        "the log runs from {log_from} to {log_to}, the weather from {weather_from} to {weather_to}: give weather for the dates of the log"
    )]
    WeatherElsewhere {
        /// First reading.
        log_from: chrono::NaiveDateTime,
        /// Last reading.
        log_to: chrono::NaiveDateTime,
        /// Start of the weather.
        weather_from: chrono::NaiveDateTime,
        /// End of the weather.
        weather_to: chrono::NaiveDateTime,
    },
    /// No weather at all.
    #[error("no weather was given")]
    NoWeather,
    /// The errors of thermometer or bucket are no numbers above 0.
    #[error("{what}: found {found}, allowed is a number above 0")]
    Accuracy {
        /// Which one.
        what: &'static str,
        /// What was given.
        found: f64,
    },
    /// The search found no end.
    #[error(
        "no values of wind, cover and heater bring the plan near this log: look for a wrong unit or a wrong date in it"
    )]
    NoFit,
    /// The season cannot be run.
    #[error(transparent)]
    Season(#[from] SeasonError),
}
