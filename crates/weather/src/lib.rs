//! Public hourly weather files read into one [`WeatherYear`].
//!
//! **Question:** what weather does this file bring, where, for which intervals, and what in it was missing or odd?
//! **In:** the bytes of a file, recognised by what is in it. **Out:** consecutive intervals in local standard time,
//! SI units, with [`Note`]s of all that was filled, derived, not given or looks doubtful; or a [`WeatherError`] that
//! says file, line, column, what was found, what is allowed and what to do.
//!
//! | format | time label | module |
//! |---|---|---|
//! | TMY3 CSV | end of the interval, 01:00…24:00, local standard time | `tmy3` |
//! | EPW | end of the interval, hour 1…24, local standard time; the minute field does not shift it | `epw` |
//! | NSRDB CSV | a moment within the interval, every 5 to 60 minutes, in the zone that the file names; moved to local standard time | `nsrdb` |
//! | PVGIS CSV | a moment within the hour, UTC; moved to the zone that is told or taken from the longitude | `pvgis` |
//! | TMY2 | end of the interval, hour 1…24, local standard time | `tmy2` |
//! | plain CSV | start of the interval in local standard time, unless it says otherwise | `plain` |
//!
//! Further formats come as a module and a row of the table in `format`; all share `timeline` (one consecutive
//! axis), `build` (gaps and derived columns) and `judge` (doubts).
//!
//! **Rules.** A typical year, whatever mixed years the file has, is labelled [`TYPICAL_YEAR`], from 1 January 00:00, and
//! has no leap day. A measured series keeps its dates. Gaps of up to 3 h are filled by a straight line, of the radiation up to 2 h by its
//! clearness; longer ones are errors, unless [`ReadOptions::fill_hours`] allows them: then the neighbouring days give the course. Pressure follows
//! from the altitude instead, and optional columns are left out. Nothing is clamped in silence.
//!
//! **The sun.** The radiation is held against the sun ([`sun_check`]): `radiation_shift_minutes` is what the format says, or what the clearest
//! days show where that differs by more than [`NOISE_MINUTES`]. Of the three irradiances two give the third; global alone is split.
//!
//! **Sources:** the descriptions named in the module of each format; saturation pressure and the standard atmosphere
//! from `swimdays-properties`; the sun and the split from `swimdays-solar`; the limits of radiation from the BSRN (`judge`).

mod build;
mod column;
mod convert;
mod epw;
mod error;
mod format;
mod gaps;
mod judge;
mod local;
pub mod normals;
mod nsrdb;
mod plain;
mod pvgis;
mod raw;
mod summary;
mod sun_check;
mod suns;
mod tally;
mod text;
mod timeline;
mod tmy2;
mod tmy3;
mod unit_guess;
mod unpack;
mod verdict;
mod wind;
pub mod write;
mod year;

use std::path::Path;

pub use column::{Column, Limits};
pub use convert::{ConvertError, Converted, Target, convert};
pub use error::WeatherError;
pub use local::zone_of_longitude_h;
pub use summary::{Stretch, YearSummary, sunrise_and_sunset_h};
pub use sun_check::{
    Cause, DOUBTFUL_HALVES_MINUTES, DOUBTFUL_SHIFT_MINUTES, LARGEST_SHIFT_MINUTES, NOISE_MINUTES,
    SunCheck, SunVerdict, sun_check,
};
pub use swimdays_solar::LongwaveSource;
pub use verdict::{Grade, Verdict, minutes_off};
pub use year::{Columns, Format, Note, NoteKind, Place, TYPICAL_YEAR, WeatherYear, YearKind};

/// What the reader of a file may be told.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ReadOptions {
    /// Longest gap that is filled, hours, where more than the usual shall be: see [`Column::longest_filled_gap_minutes`].
    /// 0 to [`Self::LARGEST_FILL_HOURS`]; anything else is refused.
    pub fill_hours: Option<f64>,
    /// Local standard time minus UTC, hours: for files in UTC that do not say it. A file that says it is believed.
    pub utc_offset_h: Option<f64>,
}

impl ReadOptions {
    /// Longest gap that may be filled at all, hours: a month. The neighbouring days say nothing of more (common practice, no source).
    pub const LARGEST_FILL_HOURS: f64 = 31.0 * 24.0;
}

/// Reads a weather file. Its format is recognised by its content, never by its name.
///
/// # Errors
/// [`WeatherError::Unreadable`] when the file cannot be opened; else as [`parse`].
pub fn read(path: &Path) -> Result<WeatherYear, WeatherError> {
    read_with(path, &ReadOptions::default())
}

/// As [`read`], with options.
///
/// # Errors
/// As [`read`].
pub fn read_with(path: &Path, options: &ReadOptions) -> Result<WeatherYear, WeatherError> {
    let label = path.display().to_string();
    match std::fs::read(path) {
        Ok(bytes) => parse_with(&bytes, &label, options),
        Err(error) => Err(WeatherError::Unreadable {
            label: label.into(),
            reason: error.to_string().into(),
        }),
    }
}

/// Reads weather from memory; `label` names it in errors.
///
/// # Errors
/// What is wrong, where, and what to do: see [`WeatherError`].
pub fn parse(bytes: &[u8], label: &str) -> Result<WeatherYear, WeatherError> {
    parse_with(bytes, label, &ReadOptions::default())
}

/// As [`parse`], with options.
///
/// # Errors
/// As [`parse`].
pub fn parse_with(
    bytes: &[u8],
    label: &str,
    options: &ReadOptions,
) -> Result<WeatherYear, WeatherError> {
    let unpacked = unpack::unpack(bytes, label)?;
    let source = text::Source::new(&unpacked, label);
    build::build(&source, format::read(&source, options)?, options)
}
