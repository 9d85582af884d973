//! Weather held against the sun and judged: known offsets are measured, each damage is found and named, and nothing else is.
//!
//! Three kinds of years: made ones, with a clear sky of another formula than the one fitted (Meinel's) and cloud by rule; our samples;
//! and, where SWIMDAYS_WEATHER_DIR is set, real ones. A real year's clock is moved by moving its longitude: 1° is 4 min, exactly.

mod gaps;
mod offset;
mod place;
mod sensors;
mod units;

use std::path::{Path, PathBuf};

use swimdays_solar::{Orbit, sun_in_interval};
use swimdays_tests::outside_folder;
use swimdays_weather::{Column, Note, NoteKind, WeatherError, WeatherYear, parse, read, write};

pub(crate) const REAL: [&str; 6] = [
    "pvlib-0.16.1/pvlib/data/723170TYA.CSV",
    "pvlib-0.16.1/pvlib/data/703165TY.csv",
    "pvlib-0.11.2/pvlib/data/NLD_Amsterdam062400_IWEC.epw",
    "diyepw-1.3.1/diyepw/data/tmy_epw_files/USA_CA_Mount.Shasta.725957_TMYx.epw",
    "diyepw-1.3.1/diyepw/data/tmy_epw_files/USA_AK_Northway.AP.702910_TMY3.epw",
    "diyepw-1.3.1/diyepw/data/tmy_epw_files/USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw",
];

pub(crate) fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../weather-samples")
        .join(name)
}

/// Our samples, and the real years where they are.
pub(crate) fn years() -> Vec<(String, WeatherYear)> {
    let mut paths: Vec<PathBuf> = ["temperate.epw", "hot-dry.epw", "cool-south.epw"]
        .map(sample)
        .to_vec();
    if let Some(folder) = outside_folder("SWIMDAYS_WEATHER_DIR") {
        paths.extend(REAL.map(|name| folder.join(name)));
    }
    paths
        .into_iter()
        .map(|path| {
            let mut year = read(&path).unwrap_or_else(|error| panic!("{error}"));
            // It hangs on the air's temperature and would echo its damage; it has a test of its own.
            year.columns.infrared_w_m2 = None;
            let name = path.file_name().expect("a name").to_string_lossy();
            // Through our own writer once, so that only the damage differs below.
            (name.into_owned(), through(&year).expect("our own file"))
        })
        .collect()
}

/// Enough of a sentence to tell it from the others.
pub(crate) fn beginning(text: &str) -> String {
    text.chars().take(22).collect()
}

/// Written as EPW and read again.
pub(crate) fn through(year: &WeatherYear) -> Result<WeatherYear, WeatherError> {
    parse(write::to_epw(year).as_bytes(), "damaged")
}

pub(crate) fn doubts(year: &WeatherYear) -> Vec<&Note> {
    year.notes
        .iter()
        .filter(|note| note.kind == NoteKind::Doubtful)
        .collect()
}

/// Damages the year, reads it, and asks that what is doubted now and was not before is `expected` and nothing else: the column and a piece of
/// the sentence.
pub(crate) fn damaged(
    name: &str,
    year: &WeatherYear,
    what: &str,
    expected: &[(Column, &str)],
    damage: impl Fn(&mut WeatherYear),
) -> WeatherYear {
    let mut bad = year.clone();
    damage(&mut bad);
    let read = through(&bad).unwrap_or_else(|error| panic!("{name}, {what}: {error}"));
    let before = doubts(year);
    let new: Vec<&Note> = doubts(&read)
        .into_iter()
        .filter(|note| {
            !before.iter().any(|old| {
                old.column == note.column
                    && old.intervals == note.intervals
                    && beginning(&old.text) == beginning(&note.text)
            })
        })
        .collect();
    for (column, piece) in expected {
        assert!(
            new.iter()
                .any(|note| note.column == *column && note.text.contains(piece)),
            "{name}, {what}: no `{piece}` about {column} in {new:#?}"
        );
    }
    for note in &new {
        assert!(
            expected
                .iter()
                .any(|(column, piece)| note.column == *column && note.text.contains(piece)),
            "{name}, {what}: not expected: {note:?}"
        );
    }
    read
}

#[allow(clippy::cast_precision_loss, reason = "number of an interval")]
pub(crate) fn cos_of(year: &WeatherYear, i: usize) -> f64 {
    let first = year.first_start.and_utc().timestamp() as f64;
    sun_in_interval(
        Orbit::Real,
        first - year.place.utc_offset_h * 3600.0
            + i as f64 * year.interval_s()
            + 60.0 * year.radiation_shift_minutes,
        year.interval_s(),
        year.place.latitude_deg,
        year.place.longitude_deg,
    )
    .sun
    .cos_zenith()
}

#[allow(clippy::cast_precision_loss, reason = "number of intervals")]
pub(crate) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}
