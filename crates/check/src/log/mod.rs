//! The builder's log as it was written down: a forgiving CSV, see `docs/check.md`.
//!
//! A line of names with their units, then rows as they come: irregular times, gaps, days without a year, °F or °C by
//! the name, a bucket's seconds or a flow, `on` and `off`, words. What cannot be read is named with its line and left out
//! ([`RowFault`]); every other cell of every row is used.

mod columns;
mod fault;
mod head;
mod rows;
mod stamp;
mod values;
mod wild;

use std::path::Path;

use swimdays_quantity::Units;
use swimdays_season::SummerTime;

use crate::reading::{Accuracy, Log};
use crate::remarks::DayRemark;

pub use fault::{FaultKind, LogError, RowFault};

use columns::What;
use head::Head;
use rows::Calendar;
use stamp::Order;
use values::Writing;

/// A log to start from, in feet, gallons and °F.
const TEMPLATE_US: &str = include_str!("template-us.csv");
/// The same in metres, litres and °C.
const TEMPLATE_METRIC: &str = include_str!("template-metric.csv");

/// A log to start from: what may be written, with a few rows of an invented pool.
#[must_use]
pub const fn template(units: Units) -> &'static str {
    match units {
        Units::Us => TEMPLATE_US,
        Units::Metric => TEMPLATE_METRIC,
    }
}

/// What the reader must know beside the file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LogOptions {
    /// Units of columns that name none, and the order of `5/3` where the file does not tell.
    pub units: Units,
    /// Daylight-saving rule of the clock on the wall.
    pub summer_time: SummerTime,
    /// Local standard time less UTC, h.
    pub utc_offset_h: f64,
    /// Year of days without one; 2001, the typical year's label, when nobody knows.
    pub year: Option<i32>,
}

/// A log and what was found while reading it.
#[derive(Clone, Debug, PartialEq)]
pub struct LogFile {
    /// The readings in the order of time, local standard time.
    pub log: Log,
    /// Whether the file says that one thermometer, or that two, read inlet and outlet.
    pub thermometers_told: bool,
    /// What was written of the weather, day by day.
    pub days: Vec<DayRemark>,
    /// What was left out, in the order of lines.
    pub faults: Vec<RowFault>,
    /// What else to know.
    pub notes: Vec<String>,
    /// Rows that hold anything.
    pub rows: usize,
    /// Whether the days came with their year.
    pub dated: bool,
    /// Units of the log's temperatures, where all are the same.
    pub units: Option<Units>,
}

/// Reads a log.
///
/// # Errors
/// [`LogError`] when nothing in it can be used.
pub fn read_log(path: &Path, options: &LogOptions) -> Result<LogFile, LogError> {
    let label = path.display().to_string();
    match std::fs::read(path) {
        Ok(bytes) => parse_log(&bytes, &label, options),
        Err(error) => Err(LogError::Unreadable {
            label,
            reason: error.to_string(),
        }),
    }
}

/// Reads a log from memory; `label` names it in errors.
///
/// # Errors
/// As [`read_log`].
pub fn parse_log(bytes: &[u8], label: &str, options: &LogOptions) -> Result<LogFile, LogError> {
    let text = decoded(bytes);
    let lines = || {
        (1_usize..)
            .zip(text.split(['\n', '\r']).scan(' ', |_, line| Some(line)))
            .filter(|(_, line)| !line.trim().is_empty())
    };
    let words = |line: &str| line.trim_start().starts_with('#');
    let mut faults = Vec::new();
    let mut head = Head::default();
    for (number, line) in lines().filter(|(_, line)| words(line)) {
        faults.extend(
            head.line(
                number,
                line.trim_start()
                    .trim_start_matches('#')
                    .trim_end_matches([',', ';', '\t']),
            ),
        );
    }
    let layout = columns::find(lines().filter(|(_, line)| !words(line))).ok_or_else(|| {
        LogError::NoNames {
            label: label.into(),
        }
    })?;
    faults.extend(layout.faults.iter().cloned());
    let mut notes = Vec::new();
    if !layout.unused.is_empty() {
        notes.push(format!("not used: {}", layout.unused.join(", ")));
    }
    let units = layout.units().or(head.units).unwrap_or(options.units);
    if let Some(bare) = layout
        .columns
        .iter()
        .find(|c| c.what.is_temperature() && c.unit.is_empty())
    {
        notes.push(format!(
            "`{}` names no unit: bare numbers are read as {}",
            bare.title,
            units.temperature_unit()
        ));
    }
    let writing = Writing {
        separator: layout.separator,
        units,
        bucket_m3: head.bucket_m3,
    };
    let calendar = Calendar {
        summer_time: if head.standard_clock {
            SummerTime::None
        } else {
            options.summer_time
        },
        utc_offset_h: options.utc_offset_h,
        year: head.year.or(options.year),
        order: head.order.unwrap_or(match units {
            Units::Us => Order::MonthFirst,
            Units::Metric => Order::DayFirst,
        }),
    };
    let names = lines()
        .find(|(number, _)| *number == layout.line)
        .map_or("", |(_, line)| line);
    let below = lines().filter(|(number, _)| *number > layout.line);
    let mut rows = rows::read(below, names, &layout, &writing, &calendar);
    let in_order = rows.readings.is_sorted_by_key(|r| r.time);
    if !in_order {
        notes.push("the rows are not in the order of time; they were put so".into());
        rows.readings.sort_by_key(|r| r.time);
    }
    rows.faults
        .extend(wild::set_aside(&mut rows.readings, &layout, units));
    notes.append(&mut rows.notes);
    faults.append(&mut rows.faults);
    faults.sort_by_key(|fault| fault.line);
    if rows.readings.is_empty() && rows.days.is_empty() {
        return Err(LogError::NoReadings {
            label: label.into(),
            faults,
        });
    }
    Ok(LogFile {
        thermometers_told: head.one_thermometer.is_some() || layout.find(What::Inlet).is_none(),
        log: Log {
            readings: rows.readings,
            one_thermometer: head.one_thermometer.unwrap_or(false),
            sd: Accuracy::default(),
        },
        days: rows.days,
        faults,
        notes,
        rows: rows.count,
        dated: rows.dated,
        units: layout.units().or(head.units),
    })
}

/// The bytes as text: UTF-8, UTF-16 with its mark, else the old single bytes of Western Europe, so that `°` is read.
fn decoded(bytes: &[u8]) -> String {
    let wide = |rest: &[u8], unit: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = rest
            .chunks_exact(2)
            .map(|pair| unit([pair[0], pair[1]]))
            .collect();
        String::from_utf16_lossy(&units).replace("\r\n", "\n")
    };
    match bytes {
        [0xff, 0xfe, rest @ ..] => return wide(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => return wide(rest, u16::from_be_bytes),
        _ => {}
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|&b| char::from(b)).collect(),
    };
    text.replace("\r\n", "\n")
}
