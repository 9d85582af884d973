//! What a reader hands on: rows as dated in the file, values in SI, missing ones as NaN.

use std::ops::RangeInclusive;

use chrono::{NaiveDate, NaiveDateTime};

use crate::column::Column;
use crate::error::WeatherError;
use crate::normals::Known;
use crate::text::{CellRule, Source, quoted, whole};
use crate::year::{Format, Note, Place};

/// The rows of one file, before they are made consecutive and whole.
pub(crate) struct Raw {
    pub(crate) format: Format,
    pub(crate) place: Place,
    /// Whether the file itself says that its year is a typical one.
    pub(crate) says_typical: bool,
    pub(crate) interval_minutes: u32,
    /// Start of each interval, local standard time, dated as in the file.
    pub(crate) starts: Vec<NaiveDateTime>,
    /// Line of each interval, from 1.
    pub(crate) lines: Vec<usize>,
    /// By [`Column::index`]; a column that the file lacks is empty.
    pub(crate) values: [Vec<f64>; Column::VALUES.len()],
    /// Name of each column, for messages.
    pub(crate) titles: [String; Column::VALUES.len()],
    /// How much later than the middle of its interval the radiation lies by the format's own words, minutes; 0 for means of
    /// the interval.
    pub(crate) declared_shift_minutes: f64,
    /// What the reader itself has to say: a time zone that it had to guess, a column that it could not use.
    pub(crate) notes: Vec<Note>,
    /// What was known of the place, when the file says that it was made from monthly normals.
    pub(crate) normals: Option<Known>,
    /// Whether a rain or sky cover of 0 throughout is one, and not a column left empty.
    pub(crate) zeros_are_values: bool,
    /// Hours over which the rain of each row fell; empty or NaN: its own interval.
    pub(crate) rain_hours: Vec<f64>,
}

impl Raw {
    pub(crate) fn new(format: Format, place: Place) -> Self {
        Self {
            format,
            place,
            says_typical: false,
            interval_minutes: 60,
            starts: Vec::new(),
            lines: Vec::new(),
            values: Default::default(),
            titles: Column::VALUES.map(|column| column.name().to_owned()),
            declared_shift_minutes: 0.0,
            notes: Vec::new(),
            normals: None,
            zeros_are_values: false,
            rain_hours: Vec::new(),
        }
    }

    /// Reads the cells of one row by their rules; `rules` pairs a rule with the cell's place in the row.
    pub(crate) fn push(
        &mut self,
        source: &Source<'_>,
        line: usize,
        start: NaiveDateTime,
        cells: &[&[u8]],
        rules: &[(usize, CellRule)],
    ) -> Result<(), WeatherError> {
        for (at, rule) in rules {
            let cell = cells.get(*at).copied().unwrap_or_default();
            self.values[rule.column.index()].push(rule.read(source, line, cell)?);
        }
        self.starts.push(start);
        self.lines.push(line);
        Ok(())
    }

    /// Gives back the room that the columns grew beyond their need, up to half of it.
    pub(crate) fn fit(&mut self) {
        self.starts.shrink_to_fit();
        self.lines.shrink_to_fit();
        self.rain_hours.shrink_to_fit();
        for column in &mut self.values {
            column.shrink_to_fit();
        }
    }

    /// Puts the first `count` rows at the end, with all that belongs to them.
    pub(crate) fn rotate_left(&mut self, count: usize) {
        fn turn<T>(values: &mut [T], count: usize) {
            if count <= values.len() {
                values.rotate_left(count);
            }
        }
        turn(&mut self.starts, count);
        turn(&mut self.lines, count);
        turn(&mut self.rain_hours, count);
        for column in &mut self.values {
            turn(column, count);
        }
    }
}

/// The date in the first three cells of a row: year, one of `years`, month and day.
pub(crate) fn date(
    source: &Source<'_>,
    line: usize,
    cells: &[&[u8]],
    years: RangeInclusive<i32>,
) -> Result<NaiveDate, WeatherError> {
    let field = |at: usize| cells.get(at).and_then(|cell| whole(cell));
    let part = |at: usize| field(at).and_then(|n| u32::try_from(n).ok());
    let year = field(0)
        .and_then(|n| i32::try_from(n).ok())
        .filter(|year| years.contains(year));
    let date = match (year, part(1), part(2)) {
        (Some(year), Some(month), Some(day)) => NaiveDate::from_ymd_opt(year, month, day),
        _ => None,
    };
    let shown = |at: usize| quoted(cells.get(at).copied().unwrap_or_default());
    date.ok_or_else(|| {
        source.time_error(
            line,
            format!("year {}, month {}, day {}", shown(0), shown(1), shown(2)),
            "a date of the calendar",
            "correct the date",
        )
    })
}

/// Bounds of the numbers that say where a station stands: `(low, high, unit)`.
pub(crate) const LATITUDE: (f64, f64, &str) = (-90.0, 90.0, "degrees, north positive");
/// See [`LATITUDE`].
pub(crate) const LONGITUDE: (f64, f64, &str) = (-180.0, 180.0, "degrees, east positive");
/// See [`LATITUDE`].
pub(crate) const UTC_OFFSET: (f64, f64, &str) = (-12.0, 14.0, "hours from UTC");
/// See [`LATITUDE`]. The shore of the Dead Sea and the highest peak, widened.
pub(crate) const ALTITUDE: (f64, f64, &str) = (-500.0, 9000.0, "m above the sea");

/// A number of the header, within its bounds.
pub(crate) fn header_number(
    source: &Source<'_>,
    line: usize,
    field: &str,
    cell: &[u8],
    (low, high, unit): (f64, f64, &str),
) -> Result<f64, WeatherError> {
    crate::text::number(cell, 0)
        .filter(|value| (low..=high).contains(value))
        .ok_or_else(|| {
            source.header_error(
                line,
                field,
                crate::text::quoted(cell),
                &format!("a number from {low} to {high} ({unit})"),
                "correct the field",
            )
        })
}

/// The commonest step between neighbouring time labels that an hour can be made of; an hour when there is none.
pub(crate) fn interval_minutes(labels: &[NaiveDateTime]) -> u32 {
    let mut counts = [0_usize; 61];
    for pair in labels.windows(2) {
        if let Ok(minutes @ 1..=60) = usize::try_from((pair[1] - pair[0]).num_minutes()) {
            counts[minutes] += 1;
        }
    }
    let commonest = (1..=60_u32)
        .filter(|minutes| 60 % minutes == 0)
        .max_by_key(|&minutes| counts[minutes as usize]);
    commonest.unwrap_or(60)
}
