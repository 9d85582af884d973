//! The rows: times first, since the sums of an interval need its length, then the values.

use chrono::{NaiveDateTime, TimeDelta, Timelike};

use super::columns::{Columns, Rule};
use super::head::{Head, Label};
use super::names::{Convert, looks_like};
use super::stamp::{FORMS, Stamp, stamp};
use super::{INTERVALS, Layout, dotted, is_blank, is_missing, split};
use crate::column::Column;
use crate::error::WeatherError;
use crate::raw::Raw;
use crate::text::{Source, counted, number, quoted};
use crate::year::{Note, NoteKind};

/// The rows with their times as written.
pub(super) struct Rows<'a> {
    rows: Vec<Row<'a>>,
    separator: u8,
}

struct Row<'a> {
    line: usize,
    bytes: &'a [u8],
    stamp: Stamp,
}

impl Rows<'_> {
    pub(super) fn len(&self) -> usize {
        self.rows.len()
    }

    fn offsets(&self) -> impl Iterator<Item = i32> + '_ {
        self.rows.iter().filter_map(|row| row.stamp.offset_minutes)
    }

    /// Standard time by the offsets of the times, hours from UTC: the least, since summer time is ahead of it.
    pub(super) fn offset_h(&self) -> Option<f64> {
        self.offsets()
            .min()
            .map(|minutes| f64::from(minutes) / 60.0)
    }

    /// Whether every time is in UTC: then they say nothing of the local clock.
    pub(super) fn all_utc(&self) -> bool {
        self.offsets().all(|minutes| minutes == 0)
    }
}

/// Reads the times of all rows.
pub(super) fn rows<'a>(
    source: &Source<'a>,
    layout: &Layout<'a>,
    columns: &Columns,
) -> Result<Rows<'a>, WeatherError> {
    let mut rows: Vec<Row<'a>> = Vec::new();
    let mut cells = Vec::new();
    let mut joined = Vec::new();
    for (line, bytes) in source.lines().skip(layout.header_line) {
        let bytes = bytes.trim_ascii_end();
        // Files put together end to end repeat their names.
        if is_blank(bytes) || bytes.starts_with(b"#") || bytes == layout.header {
            continue;
        }
        split(bytes, layout.separator, &mut cells);
        let surplus = cells.get(columns.count..).unwrap_or_default();
        if cells.len() < columns.count || surplus.iter().any(|cell| !cell.is_empty()) {
            return Err(WeatherError::Row {
                label: source.label.into(),
                line,
                found: format!("a row of {}", counted(cells.len(), "cell")).into(),
                allowed: format!(
                    "{}, as many as there are names",
                    counted(columns.count, "cell")
                )
                .into(),
                todo: if is_remark(&cells, columns) {
                    REMARK
                } else if layout.separator == b',' {
                    "complete the row; if numbers have decimal commas, separate the cells by `;`"
                } else {
                    "complete the row, or remove what is too much"
                }
                .into(),
            });
        }
        let time = cells[columns.time];
        let mut read = if let Some(date) = columns.date {
            joined.clear();
            joined.extend_from_slice(cells[date]);
            joined.push(b' ');
            joined.extend_from_slice(time);
            stamp(&joined)
        } else {
            stamp(time)
        };
        if let Some(read) = &mut read
            && columns.utc
        {
            read.offset_minutes.get_or_insert(0);
        }
        let Some(read) = read else {
            let found = if columns.date.is_some() {
                joined.as_slice()
            } else {
                time
            };
            return Err(source.time_error(
                line,
                quoted(found),
                format!("times like {FORMS}"),
                if is_remark(&cells, columns) {
                    REMARK
                } else if found.contains(&b'/') {
                    "write dates with the year first: 5/14 is May to some and no month to others"
                } else {
                    "write it like one of these"
                },
            ));
        };
        if let Some(first) = rows.first()
            && first.stamp.offset_minutes.is_some() != read.offset_minutes.is_some()
        {
            return Err(source.time_error(
                line,
                quoted(time),
                "an offset from UTC in every time, or in none",
                "write the times of all rows in the same way",
            ));
        }
        rows.push(Row {
            line,
            bytes,
            stamp: read,
        });
    }
    Ok(Rows {
        rows,
        separator: layout.separator,
    })
}

/// What to do with a row that is no interval.
const REMARK: &str =
    "if it is a footer or a remark (a sum, a mean, a source), remove it or put `#` before it";

/// Whether a row begins with a word, and has none where its time should be: footers do, with totals or the source.
fn is_remark(cells: &[&[u8]], columns: &Columns) -> bool {
    let word = |cell: &&[u8]| cell.iter().any(u8::is_ascii_alphabetic) && stamp(cell).is_none();
    let no_time = cells.get(columns.time).is_none_or(|time| {
        !time
            .first()
            .is_some_and(|b| b.is_ascii_digit() || *b == b'-')
    });
    cells.first().is_some_and(word) && no_time
}

/// Lays times and values into `raw`.
pub(super) fn lay(
    source: &Source<'_>,
    mut rows: Rows<'_>,
    columns: &Columns,
    head: &Head,
    notes: &mut Vec<Note>,
    raw: &mut Raw,
) -> Result<(), WeatherError> {
    #[allow(clippy::cast_possible_truncation, reason = "hours from -12 to 14")]
    let standard_s = (raw.place.utc_offset_h * 3600.0).round() as i64;
    for row in &mut rows.rows {
        if let Some(minutes) = row.stamp.offset_minutes {
            let shift = TimeDelta::seconds(standard_s - i64::from(minutes) * 60);
            row.stamp.local = row
                .stamp
                .local
                .checked_add_signed(shift)
                .unwrap_or(row.stamp.local);
        }
    }
    let backwards = rows.rows.len() > 1
        && rows
            .rows
            .windows(2)
            .all(|pair| pair[1].stamp.local < pair[0].stamp.local);
    if backwards {
        rows.rows.reverse();
        notes.push(Note::new(
            NoteKind::Derived,
            Column::Time,
            rows.len(),
            "the file has its newest row first: turned round",
        ));
    }
    raw.interval_minutes = match head.interval_minutes {
        Some(minutes) => minutes,
        None => interval_minutes(source, &rows)?,
    };
    let half_s = i64::from(raw.interval_minutes) * 30;
    let back = TimeDelta::seconds(match columns.label {
        Label::Start => 0,
        Label::Middle => half_s,
        Label::End => 2 * half_s,
    });
    let said = columns.label != Label::default() || head.label.is_some();
    if !said && half_s > 60 && rows.rows.iter().all(|row| is_half(row.stamp.local, half_s)) {
        notes.push(Note::new(NoteKind::Doubtful, Column::Time, rows.len(), format!(
                "every time lies {} min past a full interval: if it names the middle, add `# time: middle`",
                half_s / 60
            )));
    }
    let rules: Vec<(&Rule, Convert)> = columns
        .rules
        .iter()
        .map(|rule| (rule, rule.convert.settled(raw.interval_minutes)))
        .collect();
    raw.starts.reserve_exact(rows.len());
    raw.lines.reserve_exact(rows.len());
    for (rule, _) in &rules {
        raw.values[rule.column.index()].reserve_exact(rows.len());
    }
    let mut cells = Vec::new();
    for row in &rows.rows {
        split(row.bytes, rows.separator, &mut cells);
        for (rule, convert) in &rules {
            let cell = cells.get(rule.at).copied().unwrap_or_default();
            let value = value(source, row.line, cell, rule, *convert, head, rows.separator)?;
            raw.values[rule.column.index()].push(value);
        }
        raw.starts.push(to_minute(row.stamp.local - back));
        raw.lines.push(row.line);
    }
    Ok(())
}

/// Whether a time lies in the middle of an interval of twice `half_s`, counted from midnight.
fn is_half(time: NaiveDateTime, half_s: i64) -> bool {
    i64::from(time.num_seconds_from_midnight()) % (2 * half_s) / 60 == half_s / 60
}

/// The nearest full minute: loggers are some seconds late, and the middle of fifteen minutes is no full minute.
fn to_minute(time: NaiveDateTime) -> NaiveDateTime {
    let second = i64::from(time.second());
    let up = if second >= 30 { 60 - second } else { -second };
    time.checked_add_signed(TimeDelta::seconds(up))
        .unwrap_or(time)
}

/// The commonest step between the rows; an hour when there is one row only.
fn interval_minutes(source: &Source<'_>, rows: &Rows<'_>) -> Result<u32, WeatherError> {
    const DAY: usize = 1440;
    let mut counts = vec![0_usize; DAY + 1];
    let mut first_line = vec![0_usize; DAY + 1];
    for pair in rows.rows.windows(2) {
        let step = to_minute(pair[1].stamp.local) - to_minute(pair[0].stamp.local);
        if let Ok(minutes @ 1..) = usize::try_from(step.num_minutes()) {
            let minutes = minutes.min(DAY);
            if counts[minutes] == 0 {
                first_line[minutes] = pair[1].line;
            }
            counts[minutes] += 1;
        }
    }
    let most = counts.iter().copied().max().unwrap_or(0);
    if most == 0 {
        return Ok(60);
    }
    let commonest = counts.iter().position(|&count| count == most).unwrap_or(60);
    u32::try_from(commonest)
        .ok()
        .filter(|minutes| (1..=60).contains(minutes) && 60 % minutes == 0)
        .ok_or_else(|| {
            source.time_error(
                first_line[commonest],
                if commonest == DAY {
                    "rows a day or more apart".to_owned()
                } else {
                    format!("rows {commonest} minutes apart")
                },
                INTERVALS,
                "use a file of hours or shorter steps, or bring this one to hours",
            )
        })
}

fn value(
    source: &Source<'_>,
    line: usize,
    cell: &[u8],
    rule: &Rule,
    convert: Convert,
    head: &Head,
    separator: u8,
) -> Result<f64, WeatherError> {
    if is_missing(cell, &head.missing) {
        return Ok(f64::NAN);
    }
    let with_point = (separator != b',' && cell.contains(&b','))
        .then(|| dotted(cell))
        .flatten();
    let cell_number = with_point.as_deref().unwrap_or(cell);
    let value = match convert {
        Convert::Shift(shift) => number(cell_number, shift),
        Convert::Linear { zero, factor } => number(cell_number, 0).map(|n| zero + factor * n),
        Convert::PerHours { .. } => None,
    };
    let limits = rule.column.limits();
    // Code table 2700 of the WMO's manual on codes (from memory): 9 eighths stand for a sky that could not be seen.
    if rule.unit == "eighths" && value.is_some_and(|v| (v - 1.125).abs() < f64::EPSILON) {
        return Ok(f64::NAN);
    }
    // A factor of exactly 1 changes no bit.
    value
        .map(|value| value * rule.factor)
        .filter(|value| (limits.low..=limits.high).contains(value))
        .ok_or_else(|| {
            let back = |limit: f64| tidy(convert.back(limit / rule.factor));
            WeatherError::Cell {
                label: source.label.into(),
                line,
                column: rule.title.as_str().into(),
                found: quoted(cell).into(),
                allowed: format!(
                    "a number from {} to {} ({})",
                    back(limits.low),
                    back(limits.high),
                    rule.unit
                )
                .into(),
                todo: if cell.contains(&b',') && separator == b',' {
                    "write a decimal point, or separate the cells by `;`".into()
                } else if let Some(better) =
                    number(cell_number, 0).and_then(|n| looks_like(rule.column, &rule.unit, n))
                {
                    better.into()
                } else {
                    "check the column's unit and that no cell is shifted, or leave the cell empty if the value is missing".into()
                },
            }
        })
}

/// A limit in the file's unit, to four digits.
fn tidy(limit: f64) -> f64 {
    format!("{limit:.3e}").parse().unwrap_or(limit)
}
