//! The rows: moments first, since the order of `5/3` and the year of a day follow from the whole file, then the values.

use chrono::{Datelike, NaiveDate, NaiveDateTime, TimeDelta};
use swimdays_season::{SummerTime, is_summer_time};
use swimdays_weather::TYPICAL_YEAR;

use super::columns::{Layout, What, split};
use super::fault::{RowFault, quoted};
use super::stamp::{FORMS, Loose, LooseDay, Order, loose, moment};
use super::values::{Writing, is_nothing, switch, value};
use crate::reading::Reading;
use crate::remarks::{DayRemark, SkyWord};

/// The clock on the wall and what is known of the days.
#[derive(Clone, Copy, Debug)]
pub(super) struct Calendar {
    /// Daylight saving of the clock that was read.
    pub(super) summer_time: SummerTime,
    /// Local standard time less UTC, h.
    pub(super) utc_offset_h: f64,
    /// Year of days without one.
    pub(super) year: Option<i32>,
    /// What `5/3` means where the file does not tell.
    pub(super) order: Order,
}

impl Calendar {
    /// From the clock on the wall to local standard time.
    fn standard(&self, wall: NaiveDateTime) -> NaiveDateTime {
        let earlier = wall - TimeDelta::hours(1);
        if is_summer_time(self.summer_time, earlier, self.utc_offset_h) {
            earlier
        } else {
            wall
        }
    }
}

/// What the rows gave.
#[derive(Debug, Default)]
pub(super) struct Rows {
    pub(super) readings: Vec<Reading>,
    pub(super) days: Vec<DayRemark>,
    pub(super) faults: Vec<RowFault>,
    pub(super) notes: Vec<String>,
    /// Rows below the names that hold anything.
    pub(super) count: usize,
    /// Whether every day came with its year.
    pub(super) dated: bool,
}

struct Row {
    line: usize,
    cells: Vec<String>,
    when: Loose,
}

/// Reads the lines below the names.
pub(super) fn read<'t>(
    lines: impl Iterator<Item = (usize, &'t str)>,
    names: &str,
    layout: &Layout,
    writing: &Writing,
    calendar: &Calendar,
) -> Rows {
    let mut out = Rows {
        dated: true,
        ..Rows::default()
    };
    let mut rows = Vec::new();
    // Files put end to end repeat their names.
    let below: Vec<(usize, Vec<String>)> = lines
        .filter(|(_, text)| !text.trim_start().starts_with('#') && text.trim() != names.trim())
        .map(|(line, text)| (line, split(text, layout.separator)))
        .filter(|(_, cells)| cells.iter().any(|cell| !cell.is_empty()))
        .collect();
    out.count = below.len();
    // Some programs end every row with a separator; in a single row it parts what belongs together.
    let ends_open = below.iter().all(|(_, cells)| cells.len() > layout.count);
    for (line, cells) in below {
        let Some(cells) = fitted(line, cells, layout, ends_open, &mut out.faults) else {
            continue;
        };
        match when(line, &cells, layout) {
            Ok(when) => rows.push(Row { line, cells, when }),
            Err(fault) => out.faults.push(fault),
        }
    }
    let order = order(&rows, calendar, &mut out);
    let mut days = Days {
        order,
        calendar,
        last: None,
        assumed: false,
        taken_over: 0,
    };
    for row in &rows {
        match days.day(row) {
            Ok(date) => enter(row, date, layout, writing, calendar, &mut out),
            Err(fault) => out.faults.push(fault),
        }
    }
    if days.assumed {
        out.dated = false;
    }
    if days.taken_over > 0 {
        let rows = counted(days.taken_over, "row");
        out.notes.push(format!(
            "{rows} with a time alone belong to the day of the row above"
        ));
    }
    doubtful_halves(&rows, &mut out);
    out
}

/// The cells of a row, as many as there are names; none, with a fault, where they cannot be told apart.
fn fitted(
    line: usize,
    mut cells: Vec<String>,
    layout: &Layout,
    ends_open: bool,
    faults: &mut Vec<RowFault>,
) -> Option<Vec<String>> {
    if cells.len() > layout.count {
        let surplus = cells.split_off(layout.count);
        let note_is_last = layout
            .find(What::Note)
            .is_some_and(|c| c.at + 1 == layout.count);
        if note_is_last && let Some(note) = cells.last_mut() {
            // A note is written as it comes, commas and all.
            for part in surplus.iter().filter(|part| !part.is_empty()) {
                note.push_str(", ");
                note.push_str(part);
            }
        } else if !ends_open || surplus.iter().any(|cell| !cell.is_empty()) {
            faults.push(RowFault::row(
                line,
                format!("a row of {}", counted(layout.count + surplus.len(), "cell")),
                format!("{}, as many as there are names", counted(layout.count, "cell")),
                if layout.separator == b',' {
                    "if numbers have decimal commas, separate the cells by `;`; put words with commas in quotes"
                } else {
                    "take out what is too much"
                },
            ));
            return None;
        }
    }
    cells.resize(layout.count, String::new());
    Some(cells)
}

fn when(line: usize, cells: &[String], layout: &Layout) -> Result<Loose, RowFault> {
    let cell = |what: What| {
        layout
            .find(what)
            .map(|c| (c.title.as_str(), cells[c.at].as_str()))
    };
    let (title, text) = match (cell(What::Date), cell(What::Time)) {
        (Some((_, date)), Some((title, time))) => (title, format!("{date} {time}")),
        (Some((title, only)), None) | (None, Some((title, only))) => (title, only.to_owned()),
        (None, None) => ("time", String::new()),
    };
    loose(&text).ok_or_else(|| {
        let todo = if text.trim().is_empty() {
            "write when it was read; a row without a time cannot be used"
        } else {
            "write it like one of these"
        };
        RowFault::cell(
            line,
            title,
            quoted(&text),
            format!("a day and a time like {FORMS}"),
            todo,
        )
    })
}

/// What `5/3` means in this file.
fn order(rows: &[Row], calendar: &Calendar, out: &mut Rows) -> Order {
    let told: Vec<Order> = rows
        .iter()
        .filter_map(|row| row.when.day.and_then(LooseDay::order))
        .collect();
    let open = rows.iter().find(
        |row| matches!(row.when.day, Some(d @ LooseDay::Slashed { .. }) if d.order().is_none()),
    );
    let first = told.first().copied();
    let agreed = first.filter(|first| told.iter().all(|o| o == first));
    if let (None, Some(open)) = (agreed, open) {
        let found = open.when.day.map(|d| d.parts(calendar.order));
        if let Some((month, day, _)) = found {
            let month = swimdays_quantity::month_name(month);
            out.notes.push(format!(
                "days like that of line {} are read as {month} {day}; a line `# dates: month first` or `# dates: day first` settles it",
                open.line
            ));
        }
    }
    agreed.unwrap_or(calendar.order)
}

/// Finds the day of each row, one after the other.
struct Days<'c> {
    order: Order,
    calendar: &'c Calendar,
    last: Option<NaiveDate>,
    assumed: bool,
    taken_over: usize,
}

impl Days<'_> {
    fn day(&mut self, row: &Row) -> Result<NaiveDate, RowFault> {
        let Some(day) = row.when.day else {
            self.taken_over += 1;
            return self.last.ok_or_else(|| {
                RowFault::row(
                    row.line,
                    "a time without a day, and no row above that has one".into(),
                    format!("a day and a time like {FORMS}"),
                    "write the day in the first row; below it a time alone will do",
                )
            });
        };
        let (month, day, year) = day.parts(self.order);
        let year = year.unwrap_or_else(|| {
            self.assumed |= self.calendar.year.is_none();
            match self.last {
                // Past New Year: the month falls back by more than half a year.
                Some(last) if last.month() > month + 6 => last.year() + 1,
                // A row out of order at New Year.
                Some(last) if month > last.month() + 6 => last.year() - 1,
                Some(last) => last.year(),
                None => self.calendar.year.unwrap_or(TYPICAL_YEAR),
            }
        });
        let date =
            NaiveDate::from_ymd_opt(year, month, day).filter(|d| (1..=9998).contains(&d.year()));
        let date = date.ok_or_else(|| {
            let found = if (1..=12).contains(&month) {
                format!("{day} {} {year}", swimdays_quantity::month_name(month))
            } else {
                format!("day {day} of a month {month}")
            };
            RowFault::row(
                row.line,
                found,
                "a day that the calendar has",
                "correct it; if day and month are swapped, a line `# dates: day first` or `# dates: month first` says so",
            )
        })?;
        self.last = Some(date);
        Ok(date)
    }
}

/// Puts one row where it belongs: a reading at its moment, a remark on its day.
fn enter(
    row: &Row,
    date: NaiveDate,
    layout: &Layout,
    writing: &Writing,
    calendar: &Calendar,
    out: &mut Rows,
) {
    let cell = |what: What| {
        let column = layout.find(what)?;
        Some((column, row.cells[column.at].as_str()))
    };
    let faults = &mut out.faults;
    let mut read = |what: What| -> Option<f64> {
        let (column, cell) = cell(what)?;
        value(row.line, column, cell, writing).unwrap_or_else(|fault| {
            faults.push(fault);
            None
        })
    };
    let (water_c, inlet_c, outlet_c) = (read(What::Water), read(What::Inlet), read(What::Outlet));
    let (air_c, max_c, min_c) = (read(What::Air), read(What::AirMax), read(What::AirMin));
    let (flow, bucket, level_m) = (read(What::Flow), read(What::Bucket), read(What::Level));
    let mut turned = |what: What| -> Option<bool> {
        let (column, cell) = cell(what)?;
        switch(row.line, column, cell).unwrap_or_else(|fault| {
            faults.push(fault);
            None
        })
    };
    let (pump_on, cover_on) = (turned(What::Pump), turned(What::Cover));
    let words = |what: What| {
        cell(what)
            .map(|(_, text)| text)
            .filter(|text| !is_nothing(text))
    };
    let note = words(What::Note).map(str::to_owned);
    let sky = match words(What::Sky) {
        Some(text) => {
            let read = SkyWord::read(text);
            if read.is_none()
                && let Some((column, _)) = cell(What::Sky)
            {
                faults.push(RowFault::cell(
                    row.line,
                    &column.title,
                    quoted(text),
                    SkyWord::FORMS,
                    "use one of these words",
                ));
            }
            read
        }
        None => note.as_deref().and_then(SkyWord::read),
    };
    if sky.is_some() || max_c.is_some() || min_c.is_some() {
        out.days.push(DayRemark {
            line: row.line,
            date,
            sky,
            max_c,
            min_c,
        });
    }
    let measured = [water_c, inlet_c, outlet_c, air_c, flow, bucket, level_m]
        .iter()
        .any(Option::is_some);
    let switched = pump_on.is_some() || cover_on.is_some();
    let Some(seconds) = row.when.seconds else {
        if measured || switched {
            out.faults.push(RowFault::row(
                row.line,
                "a day without a time of day".into(),
                format!("a day and a time like {FORMS}"),
                "write when it was read: a pool changes by degrees from morning to evening",
            ));
        }
        return;
    };
    if !measured && !switched && note.is_none() {
        return;
    }
    let Some(wall) = moment(date, seconds) else {
        return;
    };
    let time = match row.when.offset_minutes {
        Some(minutes) => {
            #[allow(
                clippy::cast_possible_truncation,
                reason = "an offset from UTC is at most 14 h"
            )]
            let ahead = (calendar.utc_offset_h * 60.0).round() as i64 - i64::from(minutes);
            wall + TimeDelta::minutes(ahead)
        }
        None => calendar.standard(wall),
    };
    out.readings.push(Reading {
        line: row.line,
        time,
        water_c,
        inlet_c,
        outlet_c,
        flow_m3_s: bucket.or(flow),
        air_c,
        pump_on,
        cover_on,
        level_m,
        note,
    });
}

/// Some times say am or pm, others do not and might be either.
fn doubtful_halves(rows: &[Row], out: &mut Rows) {
    const NOON_S: u32 = 12 * 3_600;
    let said = rows
        .iter()
        .any(|row| row.when.sure_half && row.when.seconds.is_some_and(|s| s < NOON_S));
    let open: Vec<&Row> = rows
        .iter()
        .filter(|row| {
            !row.when.sure_half
                && row
                    .when
                    .seconds
                    .is_some_and(|s| (3_600..=NOON_S).contains(&s))
        })
        .collect();
    let named = rows.iter().filter(|row| row.when.sure_half).count();
    if let Some(first) = open.first()
        && (said || named > open.len())
        && named > 0
        && rows.iter().all(|row| {
            row.when
                .seconds
                .is_none_or(|s| s <= NOON_S + 3_600 || row.when.sure_half)
        })
        && said
    {
        out.notes.push(format!(
            "{} without am or pm beside others that have it, first in line {}: read as before noon",
            counted(open.len(), "time"),
            first.line
        ));
    }
}

/// `1 row`, `2 rows`.
pub(super) fn counted(count: usize, one: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {one}{ending}")
}
