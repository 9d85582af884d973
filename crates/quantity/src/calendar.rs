//! Times of day, hours of the day, days and months.

use crate::QuantityError;
use crate::number::plain;

/// From one time of day to another, in hours; over midnight when the end is not after the start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayHours {
    /// 0 ≤ start < 24.
    pub start_h: f64,
    /// 0 ≤ end ≤ 24.
    pub end_h: f64,
}

impl DayHours {
    /// How long it lasts, h.
    #[must_use]
    pub fn length_h(&self) -> f64 {
        let length = self.end_h - self.start_h;
        if length > 0.0 { length } else { length + 24.0 }
    }
}

/// A day of any year that is not a leap year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct MonthDay {
    /// 1…12.
    pub month: u32,
    /// 1…31.
    pub day: u32,
}

/// Days of the months of an ordinary year.
const MONTH_DAYS: [u32; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Full English names.
const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

const CLOCK_FORMS: &str = "\"9:30\", \"17:00\", \"9 am\" or \"5pm\"";
const HOURS_FORMS: &str = "\"9:00-17:00\" or \"7 pm - 10 am\"";
const DATE_FORMS: &str = "\"05-01\" or \"May 1\"";
const MONTHS_FORMS: &str = "\"May-Sep\" or \"May, Jul-Aug\"";

/// A time of day as read.
struct Clock {
    hours: f64,
    /// Whether it said am or pm.
    half_named: bool,
}

fn clock(text: &str) -> Result<Clock, QuantityError> {
    let unreadable = || QuantityError::Unreadable {
        wanted: "a time of day",
        allowed: CLOCK_FORMS,
    };
    let text = text.trim().to_ascii_lowercase();
    match text.as_str() {
        "noon" => {
            return Ok(Clock {
                hours: 12.0,
                half_named: true,
            });
        }
        "midnight" => {
            return Ok(Clock {
                hours: 0.0,
                half_named: true,
            });
        }
        _ => {}
    }
    let dotless = text.replace("a.m.", "am").replace("p.m.", "pm");
    let (number, half) = if let Some(rest) = dotless.strip_suffix("am") {
        (rest.trim(), Some(0))
    } else if let Some(rest) = dotless.strip_suffix("pm") {
        (rest.trim(), Some(12))
    } else {
        (dotless.trim(), None)
    };
    let (hour, minute) = match number.split_once(':') {
        Some((hour, minute)) if minute.len() == 2 => (hour, minute),
        Some(_) => return Err(unreadable()),
        None => (number, "0"),
    };
    if hour.is_empty()
        || hour.len() > 2
        || !hour
            .bytes()
            .chain(minute.bytes())
            .all(|b| b.is_ascii_digit())
    {
        return Err(unreadable());
    }
    let hour: u32 = hour.parse().map_err(|_| unreadable())?;
    let minute: u32 = minute.parse().map_err(|_| unreadable())?;
    if minute > 59 {
        return Err(QuantityError::NoSuchTime {
            why: "an hour has 60 minutes",
        });
    }
    let hour = match half {
        None if hour > 24 || (hour == 24 && minute > 0) => {
            return Err(QuantityError::NoSuchTime {
                why: "a day has 24 hours",
            });
        }
        None => hour,
        Some(_) if hour == 0 || hour > 12 => {
            return Err(QuantityError::NoSuchTime {
                why: "am and pm count from 1 to 12",
            });
        }
        Some(add) => hour % 12 + add,
    };
    Ok(Clock {
        hours: f64::from(hour) + f64::from(minute) / 60.0,
        half_named: half.is_some(),
    })
}

/// Reads a time of day in hours after midnight: "9:30", "9", "9 am", "5pm", "noon"; 24:00 is the day's end.
///
/// # Errors
/// [`QuantityError`] when it is no time of day.
pub fn hours_of_day(text: &str) -> Result<f64, QuantityError> {
    clock(&plain(text)).map(|clock| clock.hours)
}

/// Reads one or more stretches of the day: "9:00-17:00", "19:00-10:00" (over midnight), "9-11, 14-17".
///
/// # Errors
/// [`QuantityError`] when a stretch cannot be read, has no length, or says pm at one end only.
pub fn day_hours(text: &str) -> Result<Vec<DayHours>, QuantityError> {
    let text = plain(text).to_ascii_lowercase();
    let unreadable = || QuantityError::Unreadable {
        wanted: "hours of the day",
        allowed: HOURS_FORMS,
    };
    let mut all = Vec::new();
    for part in text.split(',') {
        let (from, to) = part
            .split_once('-')
            .or_else(|| part.split_once(" to "))
            .ok_or_else(unreadable)?;
        let (from, to) = (clock(from)?, clock(to)?);
        if from.half_named != to.half_named && to.half_named {
            return Err(QuantityError::Ambiguous {
                instead:
                    "am or pm at both ends, like \"9 am - 5 pm\", or neither, like \"9:00-17:00\""
                        .to_owned(),
            });
        }
        let start_h = if from.hours >= 24.0 { 0.0 } else { from.hours };
        let end_h = if to.hours <= 0.0 { 24.0 } else { to.hours };
        if (start_h - end_h).abs() < 1e-9 {
            return Err(QuantityError::NoSuchTime {
                why: "a stretch of hours must end later than it starts; the whole day is \"0:00-24:00\"",
            });
        }
        all.push(DayHours { start_h, end_h });
    }
    if all.is_empty() {
        Err(unreadable())
    } else {
        Ok(all)
    }
}

/// A time of day as "9:30".
#[must_use]
pub fn format_clock(hours: f64) -> String {
    let mut hour = hours.floor();
    let mut minute = ((hours - hour) * 60.0).round();
    if minute >= 60.0 {
        hour += 1.0;
        minute = 0.0;
    }
    format!("{hour:.0}:{minute:02.0}")
}

/// The month (1…12) that a name of at least three letters begins.
///
/// # Errors
/// [`QuantityError::Unreadable`] for anything else.
pub fn month(text: &str) -> Result<u32, QuantityError> {
    let name = text.trim().trim_end_matches('.').to_ascii_lowercase();
    if name.len() >= 3 {
        for (number, full) in (1_u32..).zip(MONTHS) {
            if full.starts_with(&name) || (name == "sept" && number == 9) {
                return Ok(number);
            }
        }
    }
    Err(QuantityError::Unreadable {
        wanted: "a month",
        allowed: "\"May\" or \"September\"",
    })
}

/// Short English name of a month, 1…12; anything else wraps around.
#[must_use]
pub fn month_name(month: u32) -> &'static str {
    const SHORT: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    SHORT[(month as usize + 11) % 12]
}

/// Reads a day of the year: "05-01" is month-day, the first of May; "May 1" and "1 May" as well.
///
/// # Errors
/// [`QuantityError`] when it is no day, or one that only leap years have, or "5/1", which means two things.
pub fn month_day(text: &str) -> Result<MonthDay, QuantityError> {
    let text = plain(text);
    let unreadable = || QuantityError::Unreadable {
        wanted: "a day of the year",
        allowed: DATE_FORMS,
    };
    if text.contains('/') {
        return Err(QuantityError::Ambiguous {
            instead: format!("the month's name or month-day, like {DATE_FORMS}"),
        });
    }
    let number = |text: &str| -> Option<u32> {
        (!text.is_empty() && text.len() <= 2 && text.bytes().all(|b| b.is_ascii_digit()))
            .then(|| text.parse().ok())?
    };
    let (month, day) = if let Some((left, right)) = text.split_once('-') {
        (
            number(left.trim()).ok_or_else(unreadable)?,
            number(right.trim()).ok_or_else(unreadable)?,
        )
    } else {
        let (left, right) = text.split_once(' ').ok_or_else(unreadable)?;
        let (left, right) = (left.trim(), right.trim());
        match (number(left), number(right)) {
            (Some(day), None) => (month(right).map_err(|_| unreadable())?, day),
            (None, Some(day)) => (month(left).map_err(|_| unreadable())?, day),
            _ => return Err(unreadable()),
        }
    };
    if !(1..=12).contains(&month) {
        return Err(QuantityError::NoSuchTime {
            why: "the month comes first and goes from 01 to 12",
        });
    }
    if month == 2 && day == 29 {
        return Err(QuantityError::NoSuchTime {
            why: "29 February is not in every year",
        });
    }
    if !(1..=MONTH_DAYS[month as usize - 1]).contains(&day) {
        return Err(QuantityError::NoSuchTime {
            why: "the month has no such day",
        });
    }
    Ok(MonthDay { month, day })
}

/// Reads months, "May-Sep", "Nov-Feb" (over New Year), "May, Jul-Aug" or "all": one flag a month from January.
///
/// # Errors
/// [`QuantityError`] when a month cannot be read.
pub fn months(text: &str) -> Result<[bool; 12], QuantityError> {
    let text = plain(text);
    if text.eq_ignore_ascii_case("all") {
        return Ok([true; 12]);
    }
    let read = |name: &str| {
        month(name)
            .map(|number| number as usize - 1)
            .map_err(|_| QuantityError::Unreadable {
                wanted: "months",
                allowed: MONTHS_FORMS,
            })
    };
    let mut flags = [false; 12];
    for part in text.split(',') {
        let (from, to) = part.split_once('-').unwrap_or((part, part));
        let (from, to) = (read(from)?, read(to)?);
        let mut at = from;
        loop {
            flags[at] = true;
            if at == to {
                break;
            }
            at = (at + 1) % 12;
        }
    }
    Ok(flags)
}
