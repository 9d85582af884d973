//! TMY3: the typical-meteorological-year CSV, third edition.
//!
//! Line 1: station code, name, state, UTC offset, latitude, longitude, altitude. Line 2: column names with units.
//! Then a row for each interval, labelled by its **end** in local standard time, 01:00 to 24:00; some exports write
//! the last row as 00:00 of the next day (and year). Irradiance is the mean of the interval that ends at the label.
//! Months come from different years.
//!
//! Source: Wilcox & Marion (2008), *Users Manual for TMY3 Data Sets*, NREL/TP-581-43156, tables 1-1 to 1-3 (from
//! memory): missing data are −9900.
//!
//! Seen in real files and read here: 68 or 71 columns; cells left blank; `DNI (W/m^2))`; superscripts in an unknown
//! encoding; an eighth cell of comment in line 1; albedo or rain 0 in every row, which means not given.

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};

use crate::column::Column;
use crate::error::WeatherError;
use crate::raw::{ALTITUDE, LATITUDE, LONGITUDE, Raw, UTC_OFFSET, header_number, interval_minutes};
use crate::text::{CellRule, Source, number, quoted, same_number, split, text, whole};
use crate::year::{Format, Place};

const DATE: &[u8] = b"date (mm/dd/yyyy)";
const MISSING_SIGN: &str = "a blank cell, or -9900";

/// Column, name before the unit, unit, decimal shift to SI, whether the file must have the column.
const COLUMNS: [(Column, &str, &str, i32, bool); 11] = [
    (Column::Ghi, "GHI", "W/m^2", 0, true),
    (Column::Dni, "DNI", "W/m^2", 0, true),
    (Column::Dhi, "DHI", "W/m^2", 0, true),
    (Column::Air, "Dry-bulb", "C", 0, true),
    (Column::Wind, "Wspd", "m/s", 0, true),
    (Column::DewPoint, "Dew-point", "C", 0, false),
    (Column::Humidity, "RHum", "%", 0, false),
    (Column::Pressure, "Pressure", "mbar", 2, false),
    (Column::SkyCover, "TotCld", "tenths", -1, false),
    (Column::Albedo, "Alb", "unitless", 0, false),
    (Column::Rain, "Lprecip depth", "mm", 0, false),
];

pub(crate) fn recognises(source: &Source<'_>) -> bool {
    source.lines().nth(1).is_some_and(|(_, line)| {
        let mut cells = Vec::new();
        split(line, &mut cells);
        cells
            .first()
            .is_some_and(|cell| cell.eq_ignore_ascii_case(DATE))
    })
}

pub(crate) fn read(source: &Source<'_>) -> Result<Raw, WeatherError> {
    let mut lines = source.lines();
    let mut cells = Vec::new();
    let (place_line, line) = lines.next().unwrap_or((1, b""));
    split(line, &mut cells);
    let (place, says_typical) = station(source, place_line, &cells)?;
    let mut raw = Raw::new(Format::Tmy3, place);
    raw.says_typical = says_typical;

    let (header_line, line) = lines.next().unwrap_or((2, b""));
    split(line, &mut cells);
    let rules = rules(source, header_line, &cells, &mut raw)?;
    let rain_hours = position(&cells, "Lprecip quantity");
    let fields = cells.len();

    let mut ends: Vec<NaiveDateTime> = Vec::new();
    for (line, row) in lines {
        if row.trim_ascii().is_empty() {
            continue;
        }
        split(row, &mut cells);
        same_number(source, line, &cells, fields)?;
        let end = end_of(source, line, &cells)?;
        ends.push(end);
        raw.push(source, line, end, &cells, &rules)?;
        if let Some(at) = rain_hours {
            let hours = cells.get(at).and_then(|cell| number(cell, 0));
            // 99 is the format's sign for an unknown time.
            raw.rain_hours.push(
                hours
                    .filter(|h| (0.0..99.0).contains(h))
                    .unwrap_or(f64::NAN),
            );
        }
    }
    raw.interval_minutes = interval_minutes(&ends);
    let length = TimeDelta::minutes(i64::from(raw.interval_minutes));
    raw.starts = ends
        .into_iter()
        .filter_map(|end| end.checked_sub_signed(length))
        .collect();
    Ok(raw)
}

fn station(
    source: &Source<'_>,
    line: usize,
    cells: &[&[u8]],
) -> Result<(Place, bool), WeatherError> {
    if cells.len() < 7 {
        return Err(source.header_error(
            line,
            "station",
            format!("{} fields", cells.len()),
            "code, name, state, UTC offset, latitude, longitude, altitude",
            "restore the line that describes the station",
        ));
    }
    let place = Place {
        name: text(cells[1]).into_owned(),
        utc_offset_h: header_number(source, line, "UTC offset", cells[3], UTC_OFFSET)?,
        latitude_deg: header_number(source, line, "latitude", cells[4], LATITUDE)?,
        longitude_deg: header_number(source, line, "longitude", cells[5], LONGITUDE)?,
        altitude_m: header_number(source, line, "altitude", cells[6], ALTITUDE)?,
    };
    let says_typical = cells[7..]
        .iter()
        .any(|cell| text(cell).to_ascii_lowercase().contains("typical"));
    Ok((place, says_typical))
}

/// Where the column of that name stands; its name ends at the bracket of the unit.
fn position(header: &[&[u8]], name: &str) -> Option<usize> {
    header.iter().position(|cell| {
        let before = cell.split(|&b| b == b'(').next().unwrap_or_default();
        before.trim_ascii().eq_ignore_ascii_case(name.as_bytes())
    })
}

/// The letters and digits of a unit: `(W/m^2))` and `(W/m²)` in any encoding come out alike but for the exponent.
fn unit_letters(cell: &[u8]) -> String {
    let from = cell
        .iter()
        .position(|&b| b == b'(')
        .map_or(cell.len(), |at| at + 1);
    let letters = |bytes: &[u8]| -> String {
        bytes
            .iter()
            .filter(|b| b.is_ascii_alphanumeric() || **b == b'%')
            .map(|b| char::from(b.to_ascii_lowercase()))
            .collect()
    };
    letters(&cell[from..])
}

fn unit_fits(cell: &[u8], unit: &str) -> bool {
    let found = unit_letters(cell);
    let same: &[&str] = match unit {
        "W/m^2" => &["wm2", "wm"],
        "C" => &["c", "degc"],
        "mbar" => &["mbar", "hpa"],
        "m/s" => &["ms"],
        "%" => &["%", ""],
        "unitless" => &["unitless", "", "1"],
        _ => &["tenths", "mm"],
    };
    same.contains(&found.as_str())
}

fn rules(
    source: &Source<'_>,
    line: usize,
    header: &[&[u8]],
    raw: &mut Raw,
) -> Result<Vec<(usize, CellRule)>, WeatherError> {
    let mut rules = Vec::new();
    for (column, name, unit, shift, needed) in COLUMNS {
        let Some(at) = position(header, name) else {
            if needed {
                return Err(source.header_error(
                    line,
                    &format!("column `{name}`"),
                    "no column of that name",
                    &format!("a column `{name} ({unit})`"),
                    "use the complete file, with its header as published",
                ));
            }
            continue;
        };
        if !unit_fits(header[at], unit) {
            return Err(source.header_error(
                line,
                &format!("column `{name}`"),
                quoted(header[at]),
                &format!("`{name} ({unit})`"),
                "convert the column to that unit and rename it",
            ));
        }
        let title = text(header[at]).into_owned();
        raw.titles[column.index()].clone_from(&title);
        rules.push((
            at,
            CellRule {
                column,
                title,
                unit,
                shift,
                missing: |value| value <= -9000.0,
                missing_sign: MISSING_SIGN,
            },
        ));
    }
    Ok(rules)
}

fn end_of(
    source: &Source<'_>,
    line: usize,
    cells: &[&[u8]],
) -> Result<NaiveDateTime, WeatherError> {
    // One more than a date has, so that a surplus part shows; a part that is no number is `Some(None)`.
    let parts = |cell: &[u8], sign: u8| -> [Option<Option<u32>>; 4] {
        let mut parts = cell
            .split(|&b| b == sign)
            .map(|part| whole(part).and_then(|n| u32::try_from(n).ok()));
        std::array::from_fn(|_| parts.next())
    };
    let date = cells.first().copied().unwrap_or_default();
    let time = cells.get(1).copied().unwrap_or_default();
    let day = match parts(date, b'/') {
        [
            Some(Some(month)),
            Some(Some(day)),
            Some(Some(year @ 1..=9998)),
            None,
        ] => i32::try_from(year)
            .ok()
            .and_then(|year| NaiveDate::from_ymd_opt(year, month, day)),
        _ => None,
    };
    let Some(day) = day else {
        return Err(source.time_error(
            line,
            format!("date {}", quoted(date)),
            "a date MM/DD/YYYY",
            "correct the date",
        ));
    };
    let minutes = match parts(time, b':') {
        [
            Some(Some(hour @ 0..=24)),
            Some(Some(minute @ 0..=59)),
            None,
            _,
        ] if hour < 24 || minute == 0 => Some(hour * 60 + minute),
        _ => None,
    };
    minutes
        .and_then(|minutes| {
            day.and_hms_opt(0, 0, 0)?
                .checked_add_signed(TimeDelta::minutes(i64::from(minutes)))
        })
        .ok_or_else(|| {
            source.time_error(
                line,
                format!("time {}", quoted(time)),
                "a time HH:MM from 00:00 to 24:00, the end of the interval",
                "correct the time",
            )
        })
}
