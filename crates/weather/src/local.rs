//! From labels in one time zone, each a moment somewhere within its interval, to interval starts in local standard time.
//!
//! Formats that label moments (NSRDB, PVGIS) differ in how far into the interval the label lies. The intervals are laid
//! so that they start on round local times, whatever the label: `start = label − phase`, where the phase is the label's
//! minute of the local day modulo the interval. The radiation then lies `phase + late − interval / 2` after the
//! middle of its interval, which is declared to the year.
//!
//! A whole year in another zone has its first or last hours in the neighbouring year of local time. They are put at the
//! other end, so that the year is whole and starts on 1 January 00:00 local standard time, and a note says so. A typical year,
//! and one without its leap day, is moved in a calendar without 29 February.

use chrono::{Datelike, NaiveDate, NaiveDateTime, TimeDelta, Timelike};

use crate::ReadOptions;
use crate::column::Column;
use crate::error::WeatherError;
use crate::raw::{Raw, UTC_OFFSET, interval_minutes};
use crate::text::Source;
use crate::timeline::{leap_day_left_out, no_leap_day, skips_leap_day};
use crate::year::{Note, NoteKind, TYPICAL_YEAR};

const DAY_MINUTES: usize = 24 * 60;

/// The zone that the labels of a file are in.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Labels {
    /// Local standard time minus the labels' time, minutes.
    pub(crate) to_local_minutes: i64,
    /// How much later than its label the radiation was seen, minutes.
    pub(crate) late_minutes: f64,
}

/// The offset from UTC of a place whose file does not state it: as told by the caller, else the whole hours nearest to the
/// sun's; noted either way it was found.
pub(crate) fn offset_of_place(
    source: &Source<'_>,
    options: &ReadOptions,
    longitude_deg: f64,
) -> Result<(f64, Option<Note>), WeatherError> {
    if let Some(told) = options.utc_offset_h {
        let (low, high, unit) = UTC_OFFSET;
        if !(low..=high).contains(&told) {
            return Err(source.header_error(
                1,
                "UTC offset given beside the file",
                format!("{told}"),
                &format!("a number from {low} to {high} ({unit})"),
                "correct `site.utc_offset_h` of the scenario, or `--utc-offset`",
            ));
        }
        return Ok((told, None));
    }
    let guessed = zone_of_longitude_h(longitude_deg);
    let note = Note::new(
        NoteKind::Derived,
        Column::Time,
        0,
        format!(
            "the file is in UTC and names no time zone: {} h from UTC taken, from the longitude {longitude_deg}°; if your standard time differs, say it: `site.utc_offset_h` in the scenario, `--utc-offset` on the command",
            signed(guessed)
        ),
    );
    Ok((guessed, Some(note)))
}

/// Standard time that the longitude lets expect, whole hours from UTC: the sun passes 15° in an hour.
///
/// Borders of states leave it by up to three hours.
///
/// ```
/// use swimdays_weather::zone_of_longitude_h;
/// assert_eq!([-89.0, -3.0, 8.0].map(zone_of_longitude_h), [-6.0, 0.0, 1.0]);
/// ```
#[must_use]
pub fn zone_of_longitude_h(longitude_deg: f64) -> f64 {
    // Never a negative zero, which would be printed as -0.
    (longitude_deg / 15.0).round() + 0.0
}

/// Minutes of an offset in hours.
pub(crate) fn minutes_of(hours: f64) -> i64 {
    #[allow(
        clippy::cast_possible_truncation,
        reason = "within a day, by the bounds of an offset"
    )]
    let minutes = (hours * 60.0).round() as i64;
    minutes
}

/// Sets the interval, the starts and the declared shift of `raw` from the labels of its rows.
pub(crate) fn lay(
    source: &Source<'_>,
    raw: &mut Raw,
    mut labels: Vec<NaiveDateTime>,
    zone: Labels,
) -> Result<(), WeatherError> {
    raw.interval_minutes = interval_minutes(&labels);
    let step = TimeDelta::minutes(i64::from(raw.interval_minutes));
    let Some(&first) = labels.first() else {
        return Ok(());
    };
    for note in raw.notes.iter_mut().filter(|note| note.intervals == 0) {
        note.intervals = labels.len();
    }
    same_phase(source, raw, &labels)?;
    if jumps_between_years(source, raw, &labels)? {
        raw.says_typical = true;
    } else if !raw.says_typical && zone.to_local_minutes != 0 && skips_leap_day(&labels, step) {
        raw.says_typical = true;
        raw.notes.push(Note::new(
            NoteKind::Derived,
            Column::Time,
            labels.len(),
            no_leap_day(),
        ));
    }
    if raw.says_typical {
        leave_out_leap_day(raw, &mut labels);
    }
    let interval = i64::from(raw.interval_minutes);
    let phase = (minute_of_day(first) + zone.to_local_minutes).rem_euclid(interval);
    #[allow(clippy::cast_precision_loss, reason = "less than an hour")]
    let shift = phase as f64 + zone.late_minutes - f64::from(raw.interval_minutes) / 2.0;
    raw.declared_shift_minutes = shift;
    let ahead = TimeDelta::minutes(zone.to_local_minutes - phase);
    raw.starts = labels
        .iter()
        .map(|label| moved(*label, ahead, raw.says_typical))
        .collect::<Option<_>>()
        .ok_or_else(|| {
            source.time_error(
                raw.lines.first().copied().unwrap_or(1),
                "a year at the end of the calendar",
                "a year from 2 to 9997",
                "correct the year",
            )
        })?;
    if zone.to_local_minutes != 0 {
        let wrapped = make_whole(raw, &labels);
        let hours = |intervals: usize| {
            #[allow(clippy::cast_precision_loss, reason = "less than a day")]
            let hours = intervals as f64 * f64::from(raw.interval_minutes) / 60.0;
            hours
        };
        #[allow(clippy::cast_precision_loss, reason = "less than a day")]
        let to_local_h = zone.to_local_minutes as f64 / 60.0;
        let mut text = format!(
            "the file's times are moved by {} h to local standard time",
            signed(to_local_h)
        );
        if wrapped > 0 {
            text.push_str(&format!(
                "; the {} h that then lie outside the calendar year stand at its other end, so that it is whole",
                hours(wrapped)
            ));
        }
        raw.notes.push(Note::new(
            NoteKind::Derived,
            Column::Time,
            labels.len(),
            text,
        ));
    }
    Ok(())
}

fn signed(hours: f64) -> String {
    if hours < 0.0 {
        format!("\u{2212}{}", -hours)
    } else {
        format!("+{hours}")
    }
}

fn minute_of_day(time: NaiveDateTime) -> i64 {
    i64::from(time.hour() * 60 + time.minute())
}

/// All labels lie equally far into their interval.
fn same_phase(
    source: &Source<'_>,
    raw: &Raw,
    labels: &[NaiveDateTime],
) -> Result<(), WeatherError> {
    let interval = i64::from(raw.interval_minutes);
    let phase = |label: &NaiveDateTime| minute_of_day(*label).rem_euclid(interval);
    let Some(first) = labels.first().map(phase) else {
        return Ok(());
    };
    match labels.iter().position(|label| phase(label) != first) {
        None => Ok(()),
        Some(at) => Err(source.time_error(
            raw.lines[at],
            format!("the time {}", crate::timeline::show(labels[at])),
            format!("times {interval} minutes apart, at minute {first} like the first"),
            "correct the time label, or remove the row",
        )),
    }
}

/// Whether months of different years follow one another; a time that is not later than the one before, and a year that changes
/// within a month, are errors in the file's own times.
fn jumps_between_years(
    source: &Source<'_>,
    raw: &Raw,
    labels: &[NaiveDateTime],
) -> Result<bool, WeatherError> {
    let mut jumps = false;
    for (at, pair) in labels.windows(2).enumerate() {
        let [before, after] = [pair[0], pair[1]];
        let ahead = after - before;
        // A typical year that starts within the year goes on with January.
        let new_year = before.month() == 12 && after.month() == 1;
        if before.year() == after.year() && ahead <= TimeDelta::zero() && !new_year {
            return Err(source.time_error(
                raw.lines[at + 1],
                format!(
                    "the time {} after {}",
                    crate::timeline::show(after),
                    before.format("%m-%d %H:%M")
                ),
                "each time later than the one before",
                "remove repeated rows and sort the rest",
            ));
        }
        if (before.year() == after.year() && !new_year)
            || (ahead > TimeDelta::zero() && ahead <= TimeDelta::days(1))
        {
            continue;
        }
        let near_seam = after.day() == 1 || (after + TimeDelta::days(1)).day() == 1;
        if !near_seam {
            return Err(source.time_error(
                raw.lines[at + 1],
                format!(
                    "the year {} after {} within one month",
                    after.year(),
                    before.year()
                ),
                "one year within a month (the months of a typical year may come from different years)",
                "correct the year",
            ));
        }
        jumps = true;
    }
    Ok(jumps)
}

/// Takes out the rows of 29 February before the zone moves them to another day.
fn leave_out_leap_day(raw: &mut Raw, labels: &mut Vec<NaiveDateTime>) {
    let keep: Vec<bool> = labels
        .iter()
        .map(|label| (label.month(), label.day()) != (2, 29))
        .collect();
    let left_out = keep.iter().filter(|keep| !**keep).count();
    if left_out == 0 || left_out == keep.len() {
        return;
    }
    fn retain<T>(values: &mut Vec<T>, keep: &[bool]) {
        let mut kept = keep.iter();
        values.retain(|_| kept.next().copied().unwrap_or(true));
    }
    retain(labels, &keep);
    retain(&mut raw.lines, &keep);
    retain(&mut raw.rain_hours, &keep);
    for column in &mut raw.values {
        retain(column, &keep);
    }
    raw.notes.push(Note::new(
        NoteKind::Derived,
        Column::Time,
        left_out,
        leap_day_left_out(left_out),
    ));
}

/// A label moved to local time; in a typical year within a calendar that has no 29 February.
fn moved(label: NaiveDateTime, ahead: TimeDelta, typical: bool) -> Option<NaiveDateTime> {
    let within = label.with_year(TYPICAL_YEAR).filter(|_| typical);
    let Some(in_typical) = within else {
        return label
            .checked_add_signed(ahead)
            .filter(|start| (1..=9998).contains(&start.year()));
    };
    let in_typical = in_typical.checked_add_signed(ahead)?;
    // 1 January moved back is in the year before, 31 December moved on in the year after.
    in_typical.with_year(label.year() + in_typical.year() - TYPICAL_YEAR)
}

/// Turns the rows of one whole calendar year of the file's own zone so that the year is whole in local time; how many were moved.
fn make_whole(raw: &mut Raw, labels: &[NaiveDateTime]) -> usize {
    let (Some(first), Some(last)) = (labels.first(), labels.last()) else {
        return 0;
    };
    let interval = raw.interval_minutes as usize;
    let year = first.year();
    let days = if raw.says_typical || NaiveDate::from_ymd_opt(year, 2, 29).is_none() {
        365
    } else {
        366
    };
    let ends = (first.month(), first.day()) == (1, 1) && (last.month(), last.day()) == (12, 31);
    let one_year = raw.says_typical || last.year() == year;
    if labels.len() * interval != days * DAY_MINUTES || !ends || !one_year {
        return 0;
    }
    // At most a day's rows at either end have left the year of their label.
    let outside = |i: usize| raw.starts[i].year() != labels[i].year();
    let n = labels.len();
    let before = (0..n).take_while(|&i| outside(i)).count();
    let after = (0..n).rev().take_while(|&i| outside(i)).count();
    if before + after >= n {
        return 0;
    }
    for i in (0..before).chain(n - after..n) {
        if let Some(start) = raw.starts[i].with_year(labels[i].year()) {
            raw.starts[i] = start;
        }
    }
    raw.rotate_left(if after > 0 { n - after } else { before });
    before.max(after)
}
