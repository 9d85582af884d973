//! Plain CSV: our own format, for any weather service's export and for what a builder has written down.
//!
//! Lines `# key: value`, a row of column names with their units, then a row for each interval: see `docs/weather.md`, which
//! is the description. A time names the **start** of its interval in local standard time, unless `# time: middle` or `end` or a
//! column named `time_end` says otherwise; times with an offset from UTC are brought to local standard time, which
//! takes out daylight saving.
//!
//! Unlike in the published formats a column that is 0 throughout is what it says: nobody writes a column to leave it empty.

mod columns;
mod head;
mod names;
mod rows;
mod stamp;

use crate::ReadOptions;
use crate::column::Column;
use crate::error::WeatherError;
use crate::raw::Raw;
use crate::text::{Source, number};
use crate::year::{Format, Note, NoteKind, Place};
use columns::Columns;
use head::Head;

pub(crate) use head::normals_line;
pub(crate) use names::written;

/// What gives the format away.
pub(crate) const MARK: &str = "a row of column names such as `time,air_c,wind_m_s,ghi_w_m2`";

/// Lengths of an interval that can be read.
const INTERVALS: &str = "60, 30, 20, 15, 12, 10, 6, 5, 4, 3, 2 or 1 minutes";

/// Lines looked at for the row of names: no head is longer.
const LONGEST_HEAD: usize = 200;

/// Where the row of names stands and what is above it.
struct Layout<'a> {
    pairs: Vec<(usize, String, &'a [u8])>,
    header_line: usize,
    header: &'a [u8],
    separator: u8,
}

pub(crate) fn recognises(source: &Source<'_>) -> bool {
    let Some(layout) = layout(source) else {
        return false;
    };
    let mut cells = Vec::new();
    split(layout.header, layout.separator, &mut cells);
    let bare: Vec<String> = cells.iter().map(|cell| names::bare(cell)).collect();
    // One name alone may be a sentence; a table of monthly normals has known columns too, but counts months.
    let known = |name: &String| !matches!(names::name(name), names::Name::Unknown);
    bare.len() > 1
        && bare.iter().all(|name| name != "month")
        && (bare.iter().any(|name| columns::is_time(name)) || bare.iter().any(known))
}

pub(crate) fn read(source: &Source<'_>, options: &ReadOptions) -> Result<Raw, WeatherError> {
    let Some(layout) = layout(source) else {
        return Err(source.header_error(
            1,
            "column names",
            "no row of names",
            MARK,
            "name the columns in a row above the data",
        ));
    };
    let decimal_comma = layout.separator != b',';
    let mut head = Head::default();
    for (line, bare, value) in &layout.pairs {
        head.take(source, *line, bare, value, decimal_comma)?;
    }
    let mut cells = Vec::new();
    split(layout.header, layout.separator, &mut cells);
    let columns = Columns::new(source, layout.header_line, &cells, &head)?;
    let rows = rows::rows(source, &layout, &columns)?;

    let mut notes = Vec::new();
    let place = place(source, &layout, &head, options, &rows, &mut notes)?;
    let mut raw = Raw::new(Format::Plain, place);
    raw.says_typical = head.typical;
    raw.zeros_are_values = true;
    raw.normals = head.normals;
    raw.declared_shift_minutes = head.radiation_shift_minutes;
    rows::lay(source, rows, &columns, &head, &mut notes, &mut raw)?;
    for column in Column::VALUES {
        raw.titles[column.index()] = columns
            .title(column)
            .map_or_else(|| written(column), str::to_owned);
    }
    raw.notes = columns.notes(raw.starts.len());
    raw.notes.extend(notes);
    Ok(raw)
}

/// Finds the row of names: the first line that is not blank, a remark, or `key: value`.
fn layout<'a>(source: &Source<'a>) -> Option<Layout<'a>> {
    let mut pairs = Vec::new();
    for (line, row) in source.lines().take(LONGEST_HEAD) {
        let row = row.trim_ascii();
        let bare_row = row.strip_prefix(b"\"").unwrap_or(row);
        if let Some((bare, value)) = head::pair(row) {
            pairs.push((line, bare, value));
        } else if !bare_row.starts_with(b"#") && !is_blank(row) {
            return Some(Layout {
                pairs,
                header_line: line,
                header: row,
                separator: separator(row),
            });
        }
    }
    None
}

/// A row with nothing in it, as spreadsheets leave them.
fn is_blank(row: &[u8]) -> bool {
    row.iter()
        .all(|b| matches!(b, b',' | b';' | b'\t' | b' ' | b'"'))
}

/// Tab before semicolon before comma: what a comma could be inside the others' cells, they cannot be in its.
fn separator(header: &[u8]) -> u8 {
    [b'\t', b';']
        .into_iter()
        .find(|separator| header.contains(separator))
        .unwrap_or(b',')
}

/// Splits a row; separators inside double quotes do not count. Cells are trimmed and lose their quotes.
fn split<'a>(line: &'a [u8], separator: u8, cells: &mut Vec<&'a [u8]>) {
    fn trim(cell: &[u8]) -> &[u8] {
        match cell.trim_ascii() {
            [b'"', inner @ .., b'"'] => inner.trim_ascii(),
            cell => cell,
        }
    }
    cells.clear();
    let (mut from, mut quoted) = (0, false);
    for (i, &b) in line.iter().enumerate() {
        if b == b'"' {
            quoted = !quoted;
        } else if b == separator && !quoted {
            cells.push(trim(&line[from..i]));
            from = i + 1;
        }
    }
    cells.push(trim(&line[from..]));
}

/// A number whose one comma is its decimal sign, with a point instead.
fn dotted(cell: &[u8]) -> Option<Vec<u8>> {
    let commas = cell.iter().filter(|&&b| b == b',').count();
    (commas == 1 && !cell.contains(&b'.')).then(|| {
        cell.iter()
            .map(|&b| if b == b',' { b'.' } else { b })
            .collect()
    })
}

/// Where the weather belongs, and what had to be guessed of it.
fn place(
    source: &Source<'_>,
    layout: &Layout<'_>,
    head: &Head,
    options: &ReadOptions,
    rows: &rows::Rows<'_>,
    notes: &mut Vec<Note>,
) -> Result<Place, WeatherError> {
    let (Some(latitude_deg), Some(longitude_deg)) = (head.latitude_deg, head.longitude_deg) else {
        let key = if head.latitude_deg.is_none() {
            "latitude_deg"
        } else {
            "longitude_deg"
        };
        return Err(source.header_error(
            layout.header_line,
            key,
            "no such line above the column names",
            "lines like `# latitude_deg: 42.1` (north positive) and `# longitude_deg: -85.3` (east positive)",
            "add them at the top of the file, with the numbers of your place",
        ));
    };
    let mut note = |column: Column, text: String| {
        notes.push(Note::new(NoteKind::Derived, column, rows.len(), text));
    };
    let altitude_m = head.altitude_m.unwrap_or_else(|| {
        note(
            Column::Place,
            "the file does not say its altitude: taken as 0 m, the sea's level; add `# altitude_m: …`".into(),
        );
        0.0
    });
    let from_longitude = crate::zone_of_longitude_h(longitude_deg);
    let utc_offset_h = match (head.utc_offset_h, options.utc_offset_h, rows.offset_h()) {
        (Some(hours), ..) | (None, Some(hours), _) => hours,
        (None, None, Some(hours)) if !rows.all_utc() => {
            note(
                Column::Time,
                format!(
                    "standard time taken as UTC{hours:+} h, from the times; if they are all in summer time add `# utc_offset_h: …`"
                ),
            );
            hours
        }
        _ => {
            note(
                Column::Time,
                format!(
                    "the file does not say its time zone: standard time taken as UTC{from_longitude:+} h, from the longitude; add `# utc_offset_h: …`"
                ),
            );
            from_longitude
        }
    };
    Ok(Place {
        name: head.place.clone(),
        latitude_deg,
        longitude_deg,
        utc_offset_h,
        altitude_m,
    })
}

/// Whether a cell is one of the usual signs for "missing", or one that the head declares.
fn is_missing(cell: &[u8], declared: &[Vec<u8>]) -> bool {
    const USUAL: [&[u8]; 9] = [
        b"", b"-", b"--", b"---", b"na", b"n/a", b"nan", b"null", b"none",
    ];
    let starts_number = cell.first().is_some_and(u8::is_ascii_digit);
    if !starts_number && USUAL.iter().any(|sign| cell.eq_ignore_ascii_case(sign)) {
        return true;
    }
    declared.iter().any(|sign| {
        cell == sign.as_slice()
            || matches!((number(cell, 0), number(sign, 0)), (Some(a), Some(b)) if (a - b).abs() < f64::EPSILON)
    })
}

#[cfg(test)]
mod tests;
