//! EPW: the EnergyPlus weather file.
//!
//! Eight header lines (`LOCATION` … `DATA PERIODS`), then a row for each interval: year, month, day, hour 1…24,
//! minute, and up to 30 more fields. Hour *h* is the interval from *h* − 1 to *h*, local standard time; with one record an
//! hour the minute field is 0, 30 or 60 from file to file and **says nothing** about the time. With more
//! records an hour the minute is the end of the interval within the hour.
//!
//! Source: *Auxiliary Programs*, chapter "EnergyPlus Weather File (EPW) Data Dictionary": fields, units and the sign
//! for a missing value of each (from memory; the signs also stand in the real files that the tests read).
//!
//! Seen in real files and read here: `HOLIDAYS/DAYLIGHT SAVING` or `SAVINGS`; commas inside quoted comments;
//! infrared, albedo or rain 0 in every row, which means not given; `-0.00`; rows of 35 fields or fewer, the same number throughout.

use chrono::{NaiveDateTime, TimeDelta};

use crate::column::Column;
use crate::error::WeatherError;
use crate::raw::{ALTITUDE, LATITUDE, LONGITUDE, Raw, UTC_OFFSET, date, header_number};
use crate::text::{CellRule, Source, number, quoted, same_number, split, text, whole};
use crate::year::{Format, Place};

/// Fields a row must at least have: up to the sky cover. Albedo and rain were added to the format later.
const LEAST_FIELDS: usize = 23;

/// Fields a row has at most.
const MOST_FIELDS: usize = 35;

/// Position of the time over which the rain fell.
const RAIN_HOURS: usize = 34;

/// Words in the source field with which typical years announce themselves (`TMY3`, `TMYx`, `IWEC2` …).
const TYPICAL_SOURCES: [&str; 6] = ["TMY", "IWEC", "CWEC", "TRY", "RMY", "TYPICAL"];

/// A number is the sign for missing from here on.
struct Field {
    column: Column,
    at: usize,
    title: &'static str,
    unit: &'static str,
    shift: i32,
    missing: fn(f64) -> bool,
    sign: &'static str,
}

#[rustfmt::skip]
const FIELDS: [Field; 12] = [
    Field { column: Column::Air, at: 6, title: "Dry Bulb Temperature", unit: "°C", shift: 0, missing: |v| v >= 99.9, sign: "99.9" },
    Field { column: Column::DewPoint, at: 7, title: "Dew Point Temperature", unit: "°C", shift: 0, missing: |v| v >= 99.9, sign: "99.9" },
    Field { column: Column::Humidity, at: 8, title: "Relative Humidity", unit: "%", shift: 0, missing: |v| v >= 999.0, sign: "999" },
    Field { column: Column::Pressure, at: 9, title: "Atmospheric Station Pressure", unit: "Pa", shift: 0, missing: |v| v >= 999_999.0, sign: "999999" },
    Field { column: Column::Infrared, at: 12, title: "Horizontal Infrared Radiation Intensity", unit: "W/m²", shift: 0, missing: |v| v >= 9999.0 || v == 0.0, sign: "9999" },
    Field { column: Column::Ghi, at: 13, title: "Global Horizontal Radiation", unit: "W/m²", shift: 0, missing: |v| v >= 9999.0, sign: "9999" },
    Field { column: Column::Dni, at: 14, title: "Direct Normal Radiation", unit: "W/m²", shift: 0, missing: |v| v >= 9999.0, sign: "9999" },
    Field { column: Column::Dhi, at: 15, title: "Diffuse Horizontal Radiation", unit: "W/m²", shift: 0, missing: |v| v >= 9999.0, sign: "9999" },
    Field { column: Column::Wind, at: 21, title: "Wind Speed", unit: "m/s", shift: 0, missing: |v| v >= 999.0, sign: "999" },
    Field { column: Column::SkyCover, at: 22, title: "Total Sky Cover", unit: "tenths", shift: -1, missing: |v| v >= 99.0, sign: "99" },
    Field { column: Column::Albedo, at: 32, title: "Albedo", unit: "1", shift: 0, missing: |v| v >= 999.0, sign: "999" },
    Field { column: Column::Rain, at: 33, title: "Liquid Precipitation Depth", unit: "mm", shift: 0, missing: |v| v >= 999.0, sign: "999" },
];

/// What the header says.
struct Header {
    place: Place,
    says_typical: bool,
    records_per_hour: u32,
}

pub(crate) fn recognises(source: &Source<'_>) -> bool {
    source.lines().next().is_some_and(|(_, line)| {
        let mut cells = Vec::new();
        split(line, &mut cells);
        cells.len() > 1 && cells[0].eq_ignore_ascii_case(b"LOCATION")
    })
}

pub(crate) fn read(source: &Source<'_>) -> Result<Raw, WeatherError> {
    let mut lines = source.lines();
    let header = header(source, &mut lines)?;
    let step = 60 / header.records_per_hour;
    let mut raw = Raw::new(Format::Epw, header.place);
    raw.says_typical = header.says_typical;
    raw.interval_minutes = step;
    let rules: Vec<(usize, CellRule)> = FIELDS
        .iter()
        .map(|field| {
            raw.titles[field.column.index()] = field.title.into();
            let rule = CellRule {
                column: field.column,
                title: field.title.into(),
                unit: field.unit,
                shift: field.shift,
                missing: field.missing,
                missing_sign: field.sign,
            };
            (field.at, rule)
        })
        .collect();

    let mut cells = Vec::new();
    let mut hour_before = None;
    let mut records = 0;
    let mut fields = None;
    for (line, row) in lines {
        if row.trim_ascii().is_empty() {
            continue;
        }
        split(row, &mut cells);
        let expected = *fields.get_or_insert_with(|| cells.len().clamp(LEAST_FIELDS, MOST_FIELDS));
        same_number(source, line, &cells, expected)?;
        let (hour_start, minute) = hour_of(source, line, &cells)?;
        records = if hour_before == Some(hour_start) {
            records + 1
        } else {
            0
        };
        hour_before = Some(hour_start);
        let by_minute = step < 60 && minute > 0;
        let end_minute = if by_minute {
            minute
        } else {
            step * (records + 1)
        };
        if end_minute > 60 || end_minute % step != 0 {
            let found = if by_minute {
                format!("minute {minute}")
            } else {
                format!("row {} of one hour", records + 1)
            };
            return Err(source.time_error(
                line,
                found,
                format!(
                    "a row every {step} minutes, {} an hour",
                    header.records_per_hour
                ),
                "remove the repeated rows, or correct the records per hour in DATA PERIODS",
            ));
        }
        let start = hour_start + TimeDelta::minutes(i64::from(end_minute - step));
        raw.push(source, line, start, &cells, &rules)?;
        let hours = cells.get(RAIN_HOURS).and_then(|cell| number(cell, 0));
        raw.rain_hours.push(
            hours
                .filter(|h| (0.0..99.0).contains(h))
                .unwrap_or(f64::NAN),
        );
    }
    Ok(raw)
}

fn header<'a>(
    source: &Source<'a>,
    lines: &mut impl Iterator<Item = (usize, &'a [u8])>,
) -> Result<Header, WeatherError> {
    let mut cells = Vec::new();
    let (place_line, line) = lines.next().unwrap_or((1, b""));
    split(line, &mut cells);
    if cells.len() < 10 {
        return Err(source.header_error(
            place_line,
            "LOCATION",
            format!("{} fields", cells.len()),
            "LOCATION, city, region, country, source, station, latitude, longitude, UTC offset, altitude",
            "restore the LOCATION line",
        ));
    }
    let mut header = Header {
        place: Place {
            name: text(cells[1]).into_owned(),
            latitude_deg: header_number(source, place_line, "latitude", cells[6], LATITUDE)?,
            longitude_deg: header_number(source, place_line, "longitude", cells[7], LONGITUDE)?,
            utc_offset_h: header_number(source, place_line, "UTC offset", cells[8], UTC_OFFSET)?,
            altitude_m: header_number(source, place_line, "altitude", cells[9], ALTITUDE)?,
        },
        says_typical: {
            let origin = text(cells[4]).to_ascii_uppercase();
            let mut words = origin.split(|c: char| !c.is_alphanumeric());
            words.any(|word| TYPICAL_SOURCES.iter().any(|name| word.starts_with(name)))
        },
        records_per_hour: 0,
    };
    let mut last_line = place_line;
    for (line, row) in lines {
        last_line = line;
        split(row, &mut cells);
        let key = text(cells[0]).to_ascii_uppercase();
        if key.starts_with("COMMENTS") {
            header.says_typical |= text(row).to_ascii_lowercase().contains("typical year");
        } else if key == "DATA PERIODS" {
            header.records_per_hour = records_per_hour(source, line, &cells)?;
            return Ok(header);
        } else if whole(cells[0]).is_some() {
            break;
        }
    }
    Err(source.header_error(
        last_line,
        "DATA PERIODS",
        "no such line before the data",
        "a line `DATA PERIODS,1,1,…` after the other header lines",
        "restore the eight header lines",
    ))
}

fn records_per_hour(
    source: &Source<'_>,
    line: usize,
    cells: &[&[u8]],
) -> Result<u32, WeatherError> {
    let periods = cells.get(1).copied().unwrap_or_default();
    if whole(periods) != Some(1) {
        return Err(source.header_error(
            line,
            "number of data periods",
            quoted(periods),
            "1: one stretch of consecutive intervals",
            "split the file into one for each period",
        ));
    }
    let records = cells.get(2).copied().unwrap_or_default();
    whole(records)
        .and_then(|n| u32::try_from(n).ok())
        .filter(|n| (1..=60).contains(n) && 60 % n == 0)
        .ok_or_else(|| {
            source.header_error(
                line,
                "records per hour",
                quoted(records),
                "1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 30 or 60",
                "correct the field",
            )
        })
}

/// Start of the hour that a row lies in, and its minute field.
fn hour_of(
    source: &Source<'_>,
    line: usize,
    cells: &[&[u8]],
) -> Result<(NaiveDateTime, u32), WeatherError> {
    let field = |at: usize| whole(cells[at]).and_then(|n| u32::try_from(n).ok());
    let day = date(source, line, cells, 1..=9998)?;
    let hour = field(3).filter(|hour| (1..=24).contains(hour));
    let start = hour.and_then(|hour| day.and_hms_opt(hour - 1, 0, 0));
    let Some(start) = start else {
        return Err(source.time_error(
            line,
            format!("hour {}", quoted(cells[3])),
            "an hour from 1 to 24, each the interval that ends there",
            "correct the hour",
        ));
    };
    let minute = if cells[4].is_empty() {
        Some(0)
    } else {
        field(4)
    };
    let Some(minute) = minute.filter(|&minute| minute <= 60) else {
        return Err(source.time_error(
            line,
            format!("minute {}", quoted(cells[4])),
            "a minute from 0 to 60",
            "correct the minute",
        ));
    };
    Ok((start, minute))
}
