//! Weather for the dates of a log: a real series where there is one, else the typical year around those dates, or remarks.

use chrono::{Datelike, NaiveDate, NaiveDateTime, TimeDelta, Timelike};
use swimdays_weather::{Columns, WeatherYear, YearKind};

use crate::log::LogFile;
use crate::remarks::{DayRemark, Lean, remarked, remarked_frac};

/// A typical year is also taken so many days earlier and later, days: whole weeks around the date would blur the season, single days
/// would show too little of how days differ (own choice).
const SHIFTS_DAYS: [i64; 4] = [-10, -5, 5, 10];
/// Over so many days a shift by five changes little beside one by ten, and is left out.
const LONG_LOG_DAYS: i64 = 45;
const LONG_SHIFTS_DAYS: [i64; 2] = [-10, 10];
/// At least this share of the log's days must have words about the sky for the remarks to stand for its weather.
const ENOUGH_REMARKS_FRAC: f64 = 0.5;

/// Where the weather of the dates comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// An hourly series of those very dates.
    Real,
    /// Words in the log, day by day, over a typical year.
    Remarks,
    /// A typical year, or another year, around those dates: only a range.
    Typical,
}

/// Weather for a log.
#[derive(Clone, Debug)]
pub struct Dated {
    /// Where it comes from.
    pub basis: Basis,
    /// The weather, the likeliest first, labelled with the log's own dates.
    pub years: Vec<WeatherYear>,
    /// Readings that fall outside the weather and are left out.
    pub outside: usize,
}

/// Why there is no weather for the dates.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum DatesError {
    /// The series given has none of the log's dates.
    #[error(
        "the weather runs from {from} to {to} and has none of the log's days, {log_from} to {log_to}; give hourly weather of those days, or leave --weather out: then the typical year stands in, as a range"
    )]
    Elsewhere {
        /// First day of the weather.
        from: NaiveDate,
        /// Last day of the weather.
        to: NaiveDate,
        /// First day of the log.
        log_from: NaiveDate,
        /// Last day of the log.
        log_to: NaiveDate,
    },
    /// No weather was given at all, or a typical series that is no whole year.
    #[error(
        "there is no whole year of weather to stand in for the log's dates; name one in the scenario or with --weather"
    )]
    NoYear,
}

/// First and last moment of the log; none when it has no readings.
fn ends(file: &LogFile) -> Option<(NaiveDateTime, NaiveDateTime)> {
    Some((
        file.log.readings.first()?.time,
        file.log.readings.last()?.time,
    ))
}

/// Weather for the log's dates from `years`, the first the likeliest. With `given` they were named for this log, so a series
/// of other dates is a mistake; without, it stands in like a typical year.
///
/// Readings outside a real series are taken out of `file`.
///
/// # Errors
/// [`DatesError`].
pub fn weather_for(
    years: &[WeatherYear],
    file: &mut LogFile,
    given: bool,
) -> Result<Dated, DatesError> {
    let (first, last) = ends(file).ok_or(DatesError::NoYear)?;
    let holds = |year: &&WeatherYear| {
        year.kind == YearKind::Measured
            && year.first_start <= last
            && first < year.start_of(year.len())
    };
    if let Some(real) = years.iter().find(holds) {
        let end = real.start_of(real.len());
        let before = file.log.readings.len();
        file.log
            .readings
            .retain(|r| r.time >= real.first_start && r.time < end);
        return Ok(Dated {
            basis: Basis::Real,
            years: vec![real.clone()],
            outside: before - file.log.readings.len(),
        });
    }
    let measured = years.iter().find(|y| y.kind == YearKind::Measured);
    if let (true, Some(year)) = (given, measured) {
        return Err(DatesError::Elsewhere {
            from: year.first_start.date(),
            to: (year.start_of(year.len()) - TimeDelta::minutes(1)).date(),
            log_from: first.date(),
            log_to: last.date(),
        });
    }
    let whole: Vec<&WeatherYear> = years.iter().filter(|y| y.is_whole_year()).collect();
    let Some(main) = whole.first() else {
        return Err(DatesError::NoYear);
    };
    let from = beginning(first, last);
    let here = redated(main, from, last.date(), 0);
    let words = remarked_frac(&file.days, first.date(), last.date());
    if words >= ENOUGH_REMARKS_FRAC {
        let years =
            [Lean::Middle, Lean::Clear, Lean::Cloudy].map(|lean| remarked(&here, &file.days, lean));
        return Ok(Dated {
            basis: Basis::Remarks,
            years: years.to_vec(),
            outside: 0,
        });
    }
    let with_words = |year: WeatherYear, days: &[DayRemark]| {
        if days.is_empty() {
            year
        } else {
            remarked(&year, days, Lean::Middle)
        }
    };
    let mut out = vec![with_words(here, &file.days)];
    let shifts = if (last - first).num_days() > LONG_LOG_DAYS {
        &LONG_SHIFTS_DAYS[..]
    } else {
        &SHIFTS_DAYS[..]
    };
    for &shift in shifts {
        out.push(with_words(
            redated(main, from, last.date(), shift),
            &file.days,
        ));
    }
    for year in whole.iter().skip(1) {
        out.push(with_words(redated(year, from, last.date(), 0), &file.days));
    }
    Ok(Dated {
        basis: Basis::Typical,
        years: out,
        outside: 0,
    })
}

/// Where the labelled year begins: with the calendar year that holds the whole log, else some weeks before the log.
fn beginning(first: NaiveDateTime, last: NaiveDateTime) -> NaiveDate {
    let new_year = |year: i32| NaiveDate::from_ymd_opt(year, 1, 1).unwrap_or_default();
    if first.year() == last.year() {
        return new_year(first.year());
    }
    NaiveDate::from_ymd_opt(first.year(), 7, 1)
        .filter(|middle| *middle <= first.date())
        .unwrap_or_else(|| new_year(first.year()))
}

/// The hours of a whole year, taken `shift_days` later than their dates, under the labels of the real calendar from `from`, at least a
/// year long and past `to`. The sun stays that of the hour it was measured in; ten days move sunset by a quarter of an hour at most in
/// middle latitudes.
fn redated(typical: &WeatherYear, from: NaiveDate, to: NaiveDate, shift_days: i64) -> WeatherYear {
    let per_day = (24 * 60 / typical.interval_minutes) as usize;
    let year_end = from
        .with_year(from.year() + 1)
        .unwrap_or(from + TimeDelta::days(365));
    let end = year_end.max(to + TimeDelta::days(2));
    let mut order = Vec::new();
    let mut date = from;
    while date < end {
        let source = date + TimeDelta::days(shift_days);
        // 29 February is taken from the day before.
        let day = source.day().min(if source.month() == 2 { 28 } else { 31 });
        order.push(row_of(typical, source.month(), day));
        date += TimeDelta::days(1);
    }
    let rows: Vec<usize> = order
        .into_iter()
        .flat_map(|first| (0..per_day).map(move |n| first + n))
        .map(|i| i % typical.len().max(1))
        .collect();
    let take = |values: &[f64]| -> Vec<f64> { rows.iter().map(|&i| values[i]).collect() };
    let maybe = |values: &Option<Vec<f64>>| values.as_deref().map(take);
    let c = &typical.columns;
    WeatherYear {
        kind: YearKind::Measured,
        first_start: from.and_hms_opt(0, 0, 0).unwrap_or(typical.first_start),
        columns: Columns {
            air_c: take(&c.air_c),
            dew_point_c: take(&c.dew_point_c),
            pressure_pa: take(&c.pressure_pa),
            wind_m_s: take(&c.wind_m_s),
            ghi_w_m2: take(&c.ghi_w_m2),
            dni_w_m2: take(&c.dni_w_m2),
            dhi_w_m2: take(&c.dhi_w_m2),
            infrared_w_m2: maybe(&c.infrared_w_m2),
            sky_cover_frac: maybe(&c.sky_cover_frac),
            rain_mm: maybe(&c.rain_mm),
            albedo_frac: maybe(&c.albedo_frac),
        },
        ..typical.clone()
    }
}

/// First row of the day `month`/`day` in a whole year, whichever month it begins with.
fn row_of(year: &WeatherYear, month: u32, day: u32) -> usize {
    let start = year.first_start;
    let in_year = |y: i32| NaiveDate::from_ymd_opt(y, month, day);
    let date = in_year(start.year())
        .filter(|d| *d >= start.date())
        .or_else(|| in_year(start.year() + 1));
    let days = date.map_or(0, |d| (d - start.date()).num_days());
    let minutes = days * 24 * 60 - i64::from(start.hour() * 60 + start.minute());
    usize::try_from(minutes / i64::from(year.interval_minutes)).unwrap_or(0)
}
