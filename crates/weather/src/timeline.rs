//! From rows as dated in the file to consecutive intervals.
//!
//! A **measured** series keeps its dates. A **typical** year, in which months of different years follow one
//! another, is labelled in [`TYPICAL_YEAR`], loses a leap day, and starts on 1 January when it is whole.

use chrono::{Datelike, NaiveDateTime, TimeDelta};

use crate::build::length;
use crate::column::Column;
use crate::error::WeatherError;
use crate::raw::Raw;
use crate::text::{Source, counted};
use crate::year::{Note, NoteKind, TYPICAL_YEAR, YearKind};

/// Longest run of missing rows that is filled, minutes: as [`Column::longest_filled_gap_minutes`] of the air.
const LONGEST_MISSING_ROWS_MINUTES: i64 = 180;

/// A file may lack as many rows as it has, and, being short, so many more: a small file must not become a large year.
const MISSING_ROWS_BEYOND_GIVEN: usize = 200;

/// Consecutive intervals and the row that each comes from.
#[derive(Debug)]
pub(crate) struct Timeline {
    pub(crate) kind: YearKind,
    pub(crate) first_start: NaiveDateTime,
    /// Index of the row, or `None` where the file has none.
    pub(crate) rows: Vec<Option<usize>>,
    /// Line of each interval; of the row before where the file has none.
    pub(crate) lines: Vec<usize>,
    pub(crate) notes: Vec<Note>,
}

/// Lays the rows of `raw` on a consecutive time axis.
///
/// Missing rows up to `asked_minutes` are let pass where that is more than the usual; the gaps they leave are filled with those of the columns.
pub(crate) fn timeline(
    source: &Source<'_>,
    raw: &Raw,
    asked_minutes: u32,
) -> Result<Timeline, WeatherError> {
    let longest_minutes = LONGEST_MISSING_ROWS_MINUTES.max(i64::from(asked_minutes));
    let Some(&first) = raw.starts.first() else {
        return Err(source.time_error(
            source.lines().count(),
            "no data rows",
            "at least one interval",
            "the file was cut off: download it again",
        ));
    };
    let step = TimeDelta::minutes(i64::from(raw.interval_minutes));
    let mut notes = Vec::new();
    let typical =
        raw.says_typical || mixes_years(&raw.starts, step) || skips_leap_day(&raw.starts, step);
    let mut out = Timeline {
        kind: if typical {
            YearKind::Typical
        } else {
            YearKind::Measured
        },
        first_start: first,
        rows: Vec::with_capacity(raw.starts.len()),
        lines: Vec::with_capacity(raw.starts.len()),
        notes: Vec::new(),
    };
    let mut previous: Option<NaiveDateTime> = None;
    let (mut leap_rows, mut missing_rows, mut year) = (0_usize, 0_usize, TYPICAL_YEAR);
    let mut first_missing = None;
    for (i, &dated) in raw.starts.iter().enumerate() {
        let line = raw.lines[i];
        let start = if typical {
            if (dated.month(), dated.day()) == (2, 29) {
                leap_rows += 1;
                continue;
            }
            // December's end: the next row belongs to the year after, as in a typical year that starts in July.
            if previous.is_some_and(|p| p.month() == 12) && dated.month() == 1 {
                year += 1;
            }
            match dated.with_year(year) {
                Some(start) => start,
                None => return Err(unordered(source, line, dated, previous)),
            }
        } else {
            dated
        };
        if let Some(previous) = previous {
            let mut expected = previous + step;
            if typical && (expected.month(), expected.day()) == (2, 29) {
                expected += TimeDelta::days(1);
            }
            let missing = start - expected;
            if missing.num_minutes() % i64::from(raw.interval_minutes) != 0 {
                return Err(source.time_error(
                    line,
                    format!("an interval starting {}", show(dated)),
                    format!(
                        "intervals of {} minutes, each starting where the one before ends",
                        raw.interval_minutes
                    ),
                    "correct the time label",
                ));
            }
            if missing < TimeDelta::zero() {
                return Err(unordered(source, line, dated, Some(previous)));
            }
            if missing.num_minutes() > longest_minutes {
                let hours = (missing.num_minutes() + 59) / 60;
                #[allow(clippy::cast_precision_loss, reason = "hours of a calendar")]
                let can_be_asked = hours as f64 <= crate::ReadOptions::LARGEST_FILL_HOURS;
                let todo = if can_be_asked {
                    format!(
                        "add the missing rows, use another file, or have them filled with `--fill {hours}`"
                    )
                } else {
                    "add the missing rows, or use another file".into()
                };
                return Err(source.time_error(
                    line,
                    format!("no rows from {} to {}", show(expected), show(start)),
                    format!(
                        "gaps of up to {}",
                        length(usize::try_from(longest_minutes).unwrap_or(0))
                    ),
                    &todo,
                ));
            }
            let count = missing.num_minutes() / i64::from(raw.interval_minutes);
            let lacking = missing_rows + usize::try_from(count).unwrap_or(0);
            if lacking > raw.starts.len() + MISSING_ROWS_BEYOND_GIVEN {
                return Err(source.time_error(
                    line,
                    format!(
                        "{} missing up to here, more than the file has",
                        counted(lacking, "row")
                    ),
                    "a file that has more rows than it lacks",
                    "add the missing rows, or use another file",
                ));
            }
            for _ in 0..count {
                first_missing = first_missing.or(Some(out.rows.len()));
                out.rows.push(None);
                out.lines.push(raw.lines[i - 1]);
                missing_rows += 1;
            }
        } else {
            out.first_start = start;
        }
        previous = Some(start);
        out.rows.push(Some(i));
        out.lines.push(line);
    }
    if out.rows.is_empty() {
        return Err(source.time_error(
            raw.lines[0],
            "nothing but 29 February",
            "a typical year, which has no leap day",
            "use a file with more rows",
        ));
    }
    if leap_rows > 0 {
        notes.push(Note {
            kind: NoteKind::Derived,
            column: Column::Time,
            intervals: leap_rows,
            first: None,
            text: leap_day_left_out(leap_rows),
        });
    }
    if typical && !raw.says_typical && !mixes_years(&raw.starts, step) {
        notes.push(Note {
            kind: NoteKind::Derived,
            column: Column::Time,
            intervals: out.rows.len(),
            first: None,
            text: no_leap_day(),
        });
    }
    if missing_rows > 0 {
        notes.push(Note {
            kind: NoteKind::Filled,
            column: Column::Time,
            intervals: missing_rows,
            first: first_missing,
            text: if missing_rows == 1 {
                "1 row is missing in the file and was filled from those around it".into()
            } else {
                format!(
                    "{missing_rows} rows are missing in the file and were filled from those around them"
                )
            },
        });
    }
    out.notes = notes;
    start_on_new_year(&mut out, raw.interval_minutes);
    Ok(out)
}

/// Whether somewhere the year changes although day and hour run on: months of different years.
fn mixes_years(starts: &[NaiveDateTime], step: TimeDelta) -> bool {
    starts.windows(2).any(|pair| {
        let expected = pair[0] + step;
        if expected == pair[1] || pair[0].year() == pair[1].year() {
            return false;
        }
        let in_typical = |t: NaiveDateTime| t.with_year(TYPICAL_YEAR);
        match (in_typical(pair[0]), in_typical(pair[1])) {
            (Some(before), Some(after)) => in_typical(before + step) == Some(after),
            // 29 February of one year, 1 March of another.
            (None, Some(after)) => after.month() == 3 && after.day() == 1,
            _ => false,
        }
    })
}

/// The note on rows of 29 February in a typical year.
pub(crate) fn leap_day_left_out(intervals: usize) -> String {
    format!(
        "{} of 29 February left out: a typical year has none",
        counted(intervals, "interval")
    )
}

/// The note on a leap year without its leap day.
pub(crate) fn no_leap_day() -> String {
    format!(
        "the file leaves out 29 February of a leap year: treated as a typical year, labelled {TYPICAL_YEAR}"
    )
}

/// Whether a leap year runs from 28 February straight on to 1 March.
pub(crate) fn skips_leap_day(starts: &[NaiveDateTime], step: TimeDelta) -> bool {
    starts.windows(2).any(|pair| {
        let expected = pair[0] + step;
        (expected.month(), expected.day()) == (2, 29)
            && (pair[0].month(), pair[0].day()) == (2, 28)
            && pair[1] == expected + TimeDelta::days(1)
    })
}

/// Turns a whole typical year so that it starts on 1 January.
fn start_on_new_year(out: &mut Timeline, interval_minutes: u32) {
    let whole = out.rows.len() * interval_minutes as usize == 365 * 24 * 60;
    if out.kind != YearKind::Typical || !whole {
        return;
    }
    let year = out.first_start.year();
    let new_year = |year: i32| {
        chrono::NaiveDate::from_ymd_opt(year, 1, 1).and_then(|day| day.and_hms_opt(0, 0, 0))
    };
    if new_year(year) == Some(out.first_start) {
        return;
    }
    let Some(next) = new_year(year + 1) else {
        return;
    };
    let to_next = (next - out.first_start).num_minutes();
    let Ok(shift) = usize::try_from(to_next / i64::from(interval_minutes)) else {
        return;
    };
    if to_next % i64::from(interval_minutes) != 0 || shift >= out.rows.len() {
        return;
    }
    out.rows.rotate_left(shift);
    out.lines.rotate_left(shift);
    let n = out.rows.len();
    for first in out.notes.iter_mut().filter_map(|note| note.first.as_mut()) {
        *first = (*first + n - shift) % n;
    }
    out.first_start = new_year(TYPICAL_YEAR).unwrap_or(next);
    out.notes.push(Note {
        kind: NoteKind::Derived,
        column: Column::Time,
        intervals: out.rows.len(),
        first: None,
        text:
            "the file starts within the year: turned so that the typical year starts on 1 January"
                .into(),
    });
}

fn unordered(
    source: &Source<'_>,
    line: usize,
    found: NaiveDateTime,
    previous: Option<NaiveDateTime>,
) -> WeatherError {
    let after = previous.map_or(String::new(), |p| {
        format!(" after one starting {}", p.format("%m-%d %H:%M"))
    });
    source.time_error(
        line,
        format!("an interval starting {}{after}", show(found)),
        "each interval starting where the one before ends",
        "remove repeated rows and sort the rest; times must be local standard time, without daylight saving",
    )
}

/// Time as messages show it.
pub(crate) fn show(time: NaiveDateTime) -> String {
    time.format("%Y-%m-%d %H:%M").to_string()
}
