//! TMY2: the typical-meteorological-year file of fixed width, second edition.
//!
//! Line 1: station number, city, state, hours from UTC, latitude (`N 25 48`: degrees and minutes), longitude (`W  80 16`),
//! metres above the sea. Then a line of 142 characters for each hour: year, month, day, hour of two digits each, and fields at
//! fixed places, most followed by two flags: where the value came from, and how sure it is.
//!
//! **Time.** Hour 1…24 is the **end** of the interval, local standard time; irradiance is the sum of that hour, Wh/m², which is its
//! mean in W/m². Air and wind are of the moment at its end. Months come from different years, 1961 to 1990; 29 February is left out.
//!
//! **Missing:** nines throughout a field. The flag `?` alone does **not** mean missing: it stands behind each 0 of the night.
//!
//! Source: Marion & Urban (1995), *User's Manual for TMY2s*, NREL, tables 3-1 and 3-2 and appendix B (from memory; fields and
//! places as `pvlib.iotools.read_tmy2` has them). The format gives neither rain nor albedo nor infrared.

use chrono::{NaiveDate, NaiveDateTime};

use crate::ReadOptions;
use crate::column::Column;
use crate::error::WeatherError;
use crate::raw::{ALTITUDE, LATITUDE, LONGITUDE, Raw, UTC_OFFSET, header_number};
use crate::text::{CellRule, Source, number, quoted, text, whole};
use crate::year::{Format, Place};

/// What gives the format away.
pub(crate) const MARK: &str = "lines of 142 characters without commas";

/// Characters of a line of data.
const WIDTH: usize = 142;

/// Years before this, of two digits, are of the 2000s: the format's own are 61 to 90 (room for later files in the same layout).
const FIRST_YEAR: i64 = 50;

/// Column, name, first and last character (from 1), unit, decimal shift to SI, all nines.
type Field = (
    Column,
    &'static str,
    usize,
    usize,
    &'static str,
    i32,
    fn(f64) -> bool,
    &'static str,
);

#[rustfmt::skip]
const FIELDS: [Field; 9] = [
    (Column::Ghi, "global horizontal radiation", 18, 21, "Wh/m²", 0, |v| v >= 9999.0, "9999"),
    (Column::Dni, "direct normal radiation", 24, 27, "Wh/m²", 0, |v| v >= 9999.0, "9999"),
    (Column::Dhi, "diffuse horizontal radiation", 30, 33, "Wh/m²", 0, |v| v >= 9999.0, "9999"),
    (Column::SkyCover, "total sky cover", 60, 61, "tenths", -1, |v| v >= 99.0, "99"),
    (Column::Air, "dry bulb temperature", 68, 71, "tenths of °C", -1, |v| v >= 9999.0, "9999"),
    (Column::DewPoint, "dew point temperature", 74, 77, "tenths of °C", -1, |v| v >= 9999.0, "9999"),
    (Column::Humidity, "relative humidity", 80, 82, "%", 0, |v| v >= 999.0, "999"),
    (Column::Pressure, "station pressure", 85, 88, "mbar", 2, |v| v >= 9999.0, "9999"),
    (Column::Wind, "wind speed", 96, 98, "tenths of m/s", -1, |v| v >= 999.0, "999"),
];

/// The characters `first` to `last` of a line, from 1.
fn characters(line: &[u8], first: usize, last: usize) -> &[u8] {
    line.get(first - 1..last).unwrap_or_default().trim_ascii()
}

/// The last eight words of the first line: zone, N or S, degrees, minutes, W or E, degrees, minutes, metres.
fn station_words(line: &[u8]) -> Option<[&[u8]; 8]> {
    let words: Vec<&[u8]> = line
        .split(|b| b.is_ascii_whitespace())
        .filter(|word| !word.is_empty())
        .collect();
    let last = words.len().checked_sub(8)?;
    words[last..].try_into().ok()
}

/// Whether a line looks like the format's data: long, no commas, and as many digits at its beginning.
fn looks_like_data(line: &[u8]) -> bool {
    let digits = line
        .trim_ascii_start()
        .iter()
        .take_while(|b| b.is_ascii_digit())
        .count();
    line.len() > 100 && digits >= 16 && !line.contains(&b',')
}

pub(crate) fn recognises(source: &Source<'_>) -> bool {
    let mut lines = source.lines().map(|(_, line)| line);
    let first = lines.next().unwrap_or_default();
    let station = first.len() < 100
        && station_words(first).is_some_and(|[_, n, _, _, w, ..]| {
            matches!(n, b"N" | b"S" | b"n" | b"s") && matches!(w, b"W" | b"E" | b"w" | b"e")
        });
    station || lines.next().is_some_and(looks_like_data) || looks_like_data(first)
}

pub(crate) fn read(source: &Source<'_>, _options: &ReadOptions) -> Result<Raw, WeatherError> {
    let mut lines = source.lines();
    let (line, first) = lines.next().unwrap_or((1, b""));
    let mut raw = Raw::new(Format::Tmy2, station(source, line, first)?);
    raw.says_typical = true;
    let rules: Vec<(usize, CellRule)> = FIELDS
        .iter()
        .enumerate()
        .map(
            |(at, &(column, name, first, last, unit, shift, missing, sign))| {
                let title = format!("{name} (characters {first} to {last})");
                raw.titles[column.index()].clone_from(&title);
                let rule = CellRule {
                    column,
                    title,
                    unit,
                    shift,
                    missing,
                    missing_sign: sign,
                };
                (at, rule)
            },
        )
        .collect();
    for (line, row) in lines {
        let row = row.trim_ascii_end();
        if row.is_empty() || row == b"\x1a" {
            continue;
        }
        if row.len() != WIDTH || !row.is_ascii() {
            return Err(WeatherError::Row {
                label: source.label.into(),
                line,
                found: format!("a line of {} characters", text(row).chars().count()).into(),
                allowed: format!("{WIDTH} characters, the first a blank").into(),
                todo:
                    "the line was cut off, or an editor changed its blanks: download the file again"
                        .into(),
            });
        }
        let start = start_of(source, line, row)?;
        let cells = FIELDS.map(|(_, _, first, last, ..)| characters(row, first, last));
        raw.push(source, line, start, &cells, &rules)?;
    }
    Ok(raw)
}

fn station(source: &Source<'_>, line: usize, first: &[u8]) -> Result<Place, WeatherError> {
    let layout = "number, city, state, hours from UTC, N or S, degrees, minutes, W or E, degrees, minutes, metres above the sea";
    let words = station_words(first).filter(|_| !looks_like_data(first));
    let Some([zone, north, n_deg, n_min, west, w_deg, w_min, altitude]) = words else {
        return Err(source.header_error(
            line,
            "station",
            quoted(first.trim_ascii()),
            layout,
            "restore the line that describes the station",
        ));
    };
    let angle = |field: &str,
                 letters: [&str; 2],
                 sign: &[u8],
                 degrees: &[u8],
                 minutes: &[u8],
                 bounds: (f64, f64, &str)| {
        let sign_text = text(sign).to_ascii_uppercase();
        let factor = match letters.iter().position(|letter| *letter == sign_text) {
            Some(0) => Some(1.0),
            Some(_) => Some(-1.0),
            None => None,
        };
        let value = number(degrees, 0)
            .zip(number(minutes, 0).filter(|minutes| (0.0..60.0).contains(minutes)))
            .zip(factor)
            .filter(|((degrees, _), _)| *degrees >= 0.0)
            .map(|((degrees, minutes), factor)| factor * (degrees + minutes / 60.0))
            .filter(|value| (bounds.0..=bounds.1).contains(value));
        value.ok_or_else(|| {
            source.header_error(
                line,
                field,
                quoted(&[sign, degrees, minutes].join(&b' ')),
                &format!(
                    "`{}` or `{}`, then whole degrees up to {} and minutes from 0 to 59",
                    letters[0], letters[1], bounds.1
                ),
                "correct the field",
            )
        })
    };
    let latitude_deg = angle("latitude", ["N", "S"], north, n_deg, n_min, LATITUDE)?;
    let longitude_deg = angle("longitude", ["E", "W"], west, w_deg, w_min, LONGITUDE)?;
    // Between the station's number and the eight words: city and state.
    let words: Vec<&[u8]> = first
        .split(|b| b.is_ascii_whitespace())
        .filter(|word| !word.is_empty())
        .collect();
    let name: Vec<_> = words[..words.len().saturating_sub(8)]
        .iter()
        .skip(1)
        .map(|word| text(word))
        .collect();
    Ok(Place {
        name: name.join(" "),
        latitude_deg,
        longitude_deg,
        utc_offset_h: header_number(source, line, "hours from UTC", zone, UTC_OFFSET)?,
        altitude_m: header_number(source, line, "altitude", altitude, ALTITUDE)?,
    })
}

fn start_of(source: &Source<'_>, line: usize, row: &[u8]) -> Result<NaiveDateTime, WeatherError> {
    let field = |first: usize| whole(characters(row, first, first + 1));
    let small = |first: usize| field(first).and_then(|n| u32::try_from(n).ok());
    let day = field(2)
        .filter(|year| *year >= 0)
        .map(|year| year + if year < FIRST_YEAR { 2000 } else { 1900 })
        .and_then(|year| i32::try_from(year).ok())
        .zip(small(4).zip(small(6)))
        .and_then(|(year, (month, day))| NaiveDate::from_ymd_opt(year, month, day));
    let Some(day) = day else {
        return Err(source.time_error(
            line,
            format!("date {}", quoted(characters(row, 2, 7))),
            "a date YYMMDD in characters 2 to 7",
            "correct the date",
        ));
    };
    small(8)
        .filter(|hour| (1..=24).contains(hour))
        .and_then(|hour| day.and_hms_opt(hour - 1, 0, 0))
        .ok_or_else(|| {
            source.time_error(
                line,
                format!("hour {}", quoted(characters(row, 8, 9))),
                "an hour from 01 to 24 in characters 8 and 9, each the interval that ends there",
                "correct the hour",
            )
        })
}
