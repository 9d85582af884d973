//! The clock on the wall: standard time of the weather, summer time of the people.
//!
//! Weather is kept in local standard time; pump hours, swim hours and cover hours are what the clock on the
//! wall shows. A [`Tick`] carries both for one interval, so that a schedule is a table look-up while stepping.

use chrono::{Datelike, NaiveDate, NaiveDateTime, TimeDelta, Timelike, Weekday};
use swimdays_properties::real::Real;
use swimdays_pump::{Window, window_frac};

use crate::SummerTime;

/// Minutes in a day.
const DAY_MINUTES: u32 = 1440;

/// One interval on the clock on the wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tick {
    /// Wall-clock date on which the interval starts.
    pub date: NaiveDate,
    /// Month, 0 = January.
    pub month: usize,
    /// Which interval of the wall-clock day it is.
    pub slot: usize,
    /// Days since the first wall-clock day of the run.
    pub day: usize,
}

/// Whether summer time holds at a moment given in local standard time.
#[must_use]
pub fn is_summer_time(rule: SummerTime, standard: NaiveDateTime, utc_offset_h: f64) -> bool {
    match rule {
        SummerTime::None => false,
        SummerTime::Us => {
            let year = standard.year();
            let (Some(from), Some(to)) = (nth_sunday(year, 3, 2), nth_sunday(year, 11, 1)) else {
                return false;
            };
            // Clocks go forward at 02:00 standard and back at 02:00 summer time, which is 01:00 standard.
            standard >= at_hour(from, 2) && standard < at_hour(to, 1)
        }
        SummerTime::Eu => {
            let year = standard.year();
            let (Some(from), Some(to)) = (last_sunday(year, 3), last_sunday(year, 10)) else {
                return false;
            };
            let minutes = minutes_of(utc_offset_h);
            let utc = standard - TimeDelta::minutes(minutes);
            utc >= at_hour(from, 1) && utc < at_hour(to, 1)
        }
    }
}

/// Whole minutes of an offset in hours.
#[allow(
    clippy::cast_possible_truncation,
    reason = "an offset from UTC is at most 14 h"
)]
fn minutes_of(utc_offset_h: f64) -> i64 {
    (utc_offset_h * 60.0).round() as i64
}

fn at_hour(date: NaiveDate, hour: u32) -> NaiveDateTime {
    date.and_hms_opt(hour, 0, 0).unwrap_or_default()
}

fn nth_sunday(year: i32, month: u32, nth: u8) -> Option<NaiveDate> {
    NaiveDate::from_weekday_of_month_opt(year, month, Weekday::Sun, nth)
}

fn last_sunday(year: i32, month: u32) -> Option<NaiveDate> {
    nth_sunday(year, month, 5).or_else(|| nth_sunday(year, month, 4))
}

/// Ticks of intervals that start at `starts` (local standard time, in the order of the run).
///
/// A wall-clock day is counted when its date first appears; in the order of a southern swim year the dates
/// jump once from December to January of the same labelled year.
#[must_use]
pub(crate) fn ticks(
    starts: &[NaiveDateTime],
    interval_minutes: u32,
    rule: SummerTime,
    utc_offset_h: f64,
) -> Vec<Tick> {
    let mut day = 0;
    let mut last: Option<NaiveDate> = None;
    starts
        .iter()
        .map(|&standard| {
            let mut wall = standard;
            if is_summer_time(rule, standard, utc_offset_h) {
                wall += TimeDelta::hours(1);
            }
            let date = wall.date();
            if last.is_some_and(|d| d != date) {
                day += 1;
            }
            last = Some(date);
            let minute = wall.hour() * 60 + wall.minute();
            Tick {
                date,
                month: date.month0() as usize,
                slot: (minute / interval_minutes) as usize,
                day,
            }
        })
        .collect()
}

/// Share of each interval of the day that lies within windows, for each month: `[month][slot]`.
#[derive(Clone, Debug, PartialEq)]
pub struct DayTable<R = f64> {
    slots: usize,
    frac: Vec<R>,
}

impl DayTable {
    /// From windows by month.
    #[must_use]
    pub fn new(windows: &[Vec<Window>; 12], interval_minutes: u32) -> Self {
        let slots = (DAY_MINUTES / interval_minutes) as usize;
        let length_h = f64::from(interval_minutes) / 60.0;
        let mut frac = Vec::with_capacity(12 * slots);
        for month in windows {
            for slot in 0..slots {
                let start_h = f64::from(u32::try_from(slot).unwrap_or(0)) * length_h;
                frac.push(window_frac(month, start_h, length_h));
            }
        }
        Self { slots, frac }
    }

    /// The same share in every interval.
    #[must_use]
    pub fn constant(value: f64, interval_minutes: u32) -> Self {
        let slots = (DAY_MINUTES / interval_minutes) as usize;
        Self {
            slots,
            frac: vec![value; 12 * slots],
        }
    }

    /// The same hours every day; `from_h` to `to_h` may wrap midnight.
    #[must_use]
    pub fn every_day(from_h: f64, to_h: f64, interval_minutes: u32) -> Self {
        let windows = [const { Vec::new() }; 12].map(|_: Vec<Window>| {
            vec![Window {
                start_h: from_h,
                end_h: to_h,
            }]
        });
        Self::new(&windows, interval_minutes)
    }
}

impl<R: Real> DayTable<R> {
    /// Several tables side by side, one for each lane of `like`.
    pub(crate) fn join(like: R, lanes: &[&DayTable]) -> Self {
        let frac = (0..lanes[0].frac.len())
            .map(|at| like.each(|lane| lanes[lane].frac[at]))
            .collect();
        Self {
            slots: lanes[0].slots,
            frac,
        }
    }

    /// Length of an interval, minutes.
    pub(crate) fn interval_minutes(&self) -> u32 {
        u32::try_from(self.slots).map_or(DAY_MINUTES, |slots| DAY_MINUTES / slots.max(1))
    }

    /// The share for one tick.
    #[inline(always)]
    #[must_use]
    pub fn at(&self, tick: &Tick) -> R {
        self.frac[tick.month * self.slots + tick.slot]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn time(text: &str) -> NaiveDateTime {
        text.parse().expect("a time written in the test")
    }

    /// Clock changes of 2024 as published by the governments: US 10 March and 3 November, EU 31 March and 27 October.
    #[test]
    fn summer_time_changes_on_the_published_days() {
        let us = |t| is_summer_time(SummerTime::Us, time(t), -5.0);
        assert!(!us("2024-03-10T01:59:00") && us("2024-03-10T02:00:00"));
        assert!(us("2024-11-03T00:59:00") && !us("2024-11-03T01:00:00"));
        let eu = |t| is_summer_time(SummerTime::Eu, time(t), 1.0);
        assert!(!eu("2024-03-31T01:59:00") && eu("2024-03-31T02:00:00"));
        assert!(eu("2024-10-27T01:59:00") && !eu("2024-10-27T02:00:00"));
        assert!(!is_summer_time(
            SummerTime::None,
            time("2024-07-01T00:00:00"),
            0.0
        ));
    }

    #[test]
    fn a_summer_evening_belongs_to_the_next_wall_clock_day() {
        let starts = [time("2001-07-01T22:00:00"), time("2001-07-01T23:00:00")];
        let ticks = ticks(&starts, 60, SummerTime::Us, -5.0);
        assert_eq!((ticks[0].slot, ticks[0].day), (23, 0));
        assert_eq!((ticks[1].slot, ticks[1].day), (0, 1));
        assert_eq!(ticks[1].date.day(), 2);
    }
}
