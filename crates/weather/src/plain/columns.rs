//! The row of names: which column holds what.

use super::head::{Head, Label};
use super::names::{self, Convert, Name};
use crate::column::Column;
use crate::error::WeatherError;
use crate::text::{Source, quoted, text};
use crate::wind;
use crate::year::{Note, NoteKind};

/// Names of the column of times, and the moment that they say of themselves.
const TIMES: [(&str, Option<Label>); 11] = [
    ("time", None),
    ("datetime", None),
    ("date_time", None),
    ("timestamp", None),
    ("time_utc", None),
    ("time_start", Some(Label::Start)),
    ("start", Some(Label::Start)),
    ("time_middle", Some(Label::Middle)),
    ("time_end", Some(Label::End)),
    ("end", Some(Label::End)),
    ("date", None),
];

/// A column of dates beside which `time` has the clock only.
const DATE: &str = "date";

/// Whether a bare name is one of a column of times.
pub(super) fn is_time(bare: &str) -> bool {
    TIMES.iter().any(|(name, _)| *name == bare)
}

/// A column of values.
pub(super) struct Rule {
    pub(super) at: usize,
    pub(super) column: Column,
    pub(super) title: String,
    pub(super) unit: String,
    pub(super) convert: Convert,
    /// Applied after the unit: a wind at another height.
    pub(super) factor: f64,
}

/// What the row of names says.
pub(super) struct Columns {
    /// Cells of a row that count.
    pub(super) count: usize,
    pub(super) time: usize,
    /// Column of the date where `time` has the clock only.
    pub(super) date: Option<usize>,
    /// Times are UTC by the column's name.
    pub(super) utc: bool,
    pub(super) label: Label,
    pub(super) rules: Vec<Rule>,
    unused: Vec<String>,
    wind_height_m: Option<f64>,
}

impl Columns {
    pub(super) fn new(
        source: &Source<'_>,
        line: usize,
        header: &[&[u8]],
        head: &Head,
    ) -> Result<Self, WeatherError> {
        let bare: Vec<String> = header.iter().map(|cell| names::bare(cell)).collect();
        let count = bare
            .iter()
            .rposition(|name| !name.is_empty())
            .map_or(0, |at| at + 1);
        let Some((time, name)) = TIMES.iter().find_map(|(name, _)| {
            let at = bare.iter().position(|found| found == name)?;
            Some((at, *name))
        }) else {
            return Err(source.header_error(
                line,
                "column `time`",
                "no such column",
                "`time`, `time_start`, `time_middle` or `time_end`",
                "rename the column of times to one of these",
            ));
        };
        let by_name = TIMES
            .iter()
            .find(|(known, _)| *known == name)
            .and_then(|(_, label)| *label);
        let date = bare
            .iter()
            .position(|found| found == DATE)
            .filter(|&at| at != time);
        let mut out = Self {
            count,
            time,
            date,
            utc: name == "time_utc",
            label: by_name.or(head.label).unwrap_or_default(),
            rules: Vec::new(),
            unused: Vec::new(),
            wind_height_m: None,
        };
        for (at, bare) in bare.iter().enumerate().take(count) {
            if at == time || Some(at) == date {
                continue;
            }
            match names::name(bare) {
                Name::Values {
                    column,
                    convert,
                    unit,
                } => {
                    if let Some(first) = out.rules.iter().find(|rule| rule.column == column) {
                        return Err(source.header_error(
                            line,
                            &format!("column {}", quoted(header[at])),
                            format!("the {column} a second time, after `{}`", first.title),
                            &format!("one column of {column}"),
                            "remove or rename one of the two",
                        ));
                    }
                    let factor = match (column, head.wind_height_m) {
                        (Column::Wind, Some(height_m)) => {
                            out.wind_height_m = Some(height_m);
                            wind::to_station_height(height_m)
                        }
                        _ => 1.0,
                    };
                    out.rules.push(Rule {
                        at,
                        column,
                        title: text(header[at]).into_owned(),
                        unit,
                        convert,
                        factor,
                    });
                }
                _ if !bare.is_empty() => out.unused.push(text(header[at]).into_owned()),
                _ => {}
            }
        }
        out.refuse_slips(source, line, header, &bare)?;
        Ok(out)
    }

    /// Names that are not used although they were probably meant: misspelt, or without a unit. Where the file has the quantity
    /// under its right name, such a name means something else.
    fn refuse_slips(
        &self,
        source: &Source<'_>,
        line: usize,
        header: &[&[u8]],
        bare: &[String],
    ) -> Result<(), WeatherError> {
        let has = |column: Column| self.rules.iter().any(|rule| rule.column == column);
        for (cell, bare) in header.iter().zip(bare).take(self.count) {
            let title = format!("column {}", quoted(cell));
            match names::name(bare) {
                Name::NoUnit(column) if !has(column) => {
                    return Err(source.header_error(
                        line,
                        &title,
                        "a name without its unit",
                        &names::allowed(column),
                        "rename the column so that it says its unit",
                    ));
                }
                Name::Unknown if !is_time(bare) => {
                    if let Some((name, column)) = names::nearest(bare)
                        && !has(column)
                    {
                        return Err(source.header_error(
                            line,
                            &title,
                            "an unknown name",
                            &names::allowed(column),
                            &format!(
                                "rename it to `{name}` if that is meant, or remove the column"
                            ),
                        ));
                    }
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// Name of a column in the file.
    pub(super) fn title(&self, column: Column) -> Option<&str> {
        self.rules
            .iter()
            .find(|rule| rule.column == column)
            .map(|rule| rule.title.as_str())
    }

    /// What there is to say about the names.
    pub(super) fn notes(&self, intervals: usize) -> Vec<Note> {
        /// More names than this are counted only.
        const MOST_NAMED: usize = 8;
        let mut notes = Vec::new();
        if !self.unused.is_empty() {
            let named: Vec<String> = self
                .unused
                .iter()
                .take(MOST_NAMED)
                .map(|name| quoted(name.as_bytes()))
                .collect();
            let more = self.unused.len().saturating_sub(MOST_NAMED);
            let more = if more > 0 {
                format!(" and {more} more")
            } else {
                String::new()
            };
            notes.push(Note::new(
                NoteKind::NotGiven,
                Column::Place,
                intervals,
                format!(
                    "columns that are not known and not used: {}{more}",
                    named.join(", ")
                ),
            ));
        }
        if let Some(text) = self.wind_height_m.and_then(wind::brought) {
            notes.push(Note::new(NoteKind::Derived, Column::Wind, intervals, text));
        }
        notes
    }
}
