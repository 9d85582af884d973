//! Days and times of day as people write them: `2026-05-03 14:05`, `May 3 2:05 pm`, `3.5. 14:05`, `5/3 2pm`, `Sat noon`.
//!
//! A cell is first read loosely ([`loose`]): which of `5/3` is the month, and which year it was, is known only when the
//! whole file has been seen ([`Order`]).

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};

/// What a time may look like, for messages.
pub(super) const FORMS: &str =
    "`2026-05-03 14:05`, `May 3 2:05 pm`, `3 May 14:05` or `5/3 2:05 pm`";

/// Seconds of an hour and of a day.
const HOUR_S: u32 = 3_600;
const DAY_S: u32 = 86_400;
/// Years that a four-digit number may mean; other four digits are a time of day.
const YEARS: std::ops::RangeInclusive<i32> = 1990..=2099;

/// A day as it stands in a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LooseDay {
    /// With its year.
    Whole(NaiveDate),
    /// Month and day without a year.
    OfYear {
        /// 1…12.
        month: u32,
        /// 1…31.
        day: u32,
    },
    /// `5/3` or `5/3/2026`.
    Slashed {
        /// Before the slash.
        first: u32,
        /// Behind it.
        second: u32,
        /// When it was written.
        year: Option<i32>,
    },
}

/// What a cell says of a moment.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Loose {
    /// The day; none where only a time is written.
    pub(super) day: Option<LooseDay>,
    /// Seconds of the day, 0 to 86 400; none where only a day is written.
    pub(super) seconds: Option<u32>,
    /// Whether am or pm, noon or midnight was said, or an hour past 12.
    pub(super) sure_half: bool,
    /// Minutes ahead of UTC, where the cell says it.
    pub(super) offset_minutes: Option<i32>,
}

/// What stands first in `5/3`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Order {
    /// May 3.
    MonthFirst,
    /// 5 March.
    DayFirst,
}

/// Reads a cell; `None` when it says no moment.
pub(super) fn loose(cell: &str) -> Option<Loose> {
    let mut reader = Reader::default();
    let text = cell.to_lowercase().replace(['\u{a0}', '\u{202f}'], " ");
    for token in text.split(|c: char| c.is_whitespace() || c == ',') {
        reader.word(token)?;
    }
    reader.end()
}

#[derive(Default)]
struct Reader {
    out: Loose,
    month: Option<u32>,
    day: Option<u32>,
    year: Option<i32>,
    /// An hour without minutes and without am or pm: `May 3 14`.
    bare_hour: Option<u32>,
}

impl Reader {
    fn word(&mut self, token: &str) -> Option<()> {
        let token = token.trim_matches(['(', ')', ';']);
        if token.is_empty()
            || ["at", "on", "the", "of", "about", "~"].contains(&token)
            || is_weekday(token)
        {
            return Some(());
        }
        match token {
            "noon" | "midday" => return self.clock(12 * HOUR_S, true),
            "midnight" => return self.clock(0, true),
            "am" | "a.m." | "a" => return self.half(false),
            "pm" | "p.m." | "p" => return self.half(true),
            "h" | "hrs" | "hours" | "o'clock" => return self.hour_was_meant(),
            "utc" | "gmt" | "z" => return self.offset(0),
            _ => {}
        }
        // `2026-05-03t14:05`
        if let Some((date, time)) = token.split_once('t')
            && date.ends_with(|c: char| c.is_ascii_digit())
            && time.starts_with(|c: char| c.is_ascii_digit())
        {
            self.word(date)?;
            return self.word(time);
        }
        if token.contains(':') {
            return self.time_with_offset(token);
        }
        if let Some(rest) = token.strip_prefix(['+', '-']) {
            let minutes = offset_minutes(rest)?;
            return self.offset(if token.starts_with('-') {
                -minutes
            } else {
                minutes
            });
        }
        if token.contains('/') {
            return self.slashed(token);
        }
        if token.contains('-') {
            return self.dashed(token);
        }
        if token.contains('.') && token.starts_with(|c: char| c.is_ascii_digit()) {
            if let Some(seconds) = half_day_clock(token) {
                return self.clock(seconds, true);
            }
            return self.dotted(token);
        }
        if token.starts_with(|c: char| c.is_ascii_digit()) {
            return self.number(token);
        }
        self.month_name(token)
    }

    fn end(mut self) -> Option<Loose> {
        if let Some(hour) = self.bare_hour {
            self.clock(hour * HOUR_S, hour > 12)?;
        }
        if self.out.day.is_none() {
            self.out.day = match (self.month, self.day, self.year) {
                (Some(month), Some(day), Some(year)) => {
                    Some(LooseDay::Whole(NaiveDate::from_ymd_opt(year, month, day)?))
                }
                (Some(month), Some(day), None) => {
                    // 29 February may be; whether it was is known with the year.
                    NaiveDate::from_ymd_opt(2000, month, day)?;
                    Some(LooseDay::OfYear { month, day })
                }
                (None, None, None) => None,
                _ => return None,
            };
        }
        (self.out.day.is_some() || self.out.seconds.is_some()).then_some(self.out)
    }

    fn set_day(&mut self, day: LooseDay) -> Option<()> {
        if self.out.day.is_some() || self.month.is_some() || self.day.is_some() {
            return None;
        }
        self.out.day = Some(day);
        Some(())
    }

    fn clock(&mut self, seconds: u32, sure_half: bool) -> Option<()> {
        if self.out.seconds.is_some() || seconds > DAY_S {
            return None;
        }
        self.bare_hour = None;
        self.out.seconds = Some(seconds);
        self.out.sure_half = sure_half || seconds >= 13 * HOUR_S;
        Some(())
    }

    /// `am` or `pm` behind a time.
    fn half(&mut self, afternoon: bool) -> Option<()> {
        if let Some(hour) = self.bare_hour {
            let seconds = halved(hour * HOUR_S, afternoon)?;
            return self.clock(seconds, true);
        }
        // `9 pm` alone: the number was no day.
        if let (None, None, Some(hour)) = (self.out.seconds, self.month, self.day) {
            self.day = None;
            return self.clock(halved(hour * HOUR_S, afternoon)?, true);
        }
        let seconds = self.out.seconds?;
        self.out.seconds = Some(halved(seconds, afternoon)?);
        self.out.sure_half = true;
        Some(())
    }

    fn hour_was_meant(&mut self) -> Option<()> {
        let hour = self.bare_hour?;
        self.clock(hour * HOUR_S, hour > 12)
    }

    fn offset(&mut self, minutes: i32) -> Option<()> {
        self.out.offset_minutes = Some(minutes);
        Some(())
    }

    /// `14:05`, `2:05pm`, `14:05:30+02:00`.
    fn time_with_offset(&mut self, token: &str) -> Option<()> {
        let cut = token.find(['+', '-', 'z']).unwrap_or(token.len());
        let (time, zone) = token.split_at(cut);
        if let Some(seconds) = half_day_clock(time) {
            self.clock(seconds, true)?;
        } else {
            self.clock(clock_seconds(time)?, false)?;
        }
        match zone.chars().next() {
            None => Some(()),
            Some('z') => (zone.len() == 1).then(|| self.offset(0))?,
            Some(sign) => {
                let minutes = offset_minutes(&zone[1..])?;
                self.offset(if sign == '-' { -minutes } else { minutes })
            }
        }
    }

    /// `5/3`, `5/3/26`, `2026/05/03`.
    fn slashed(&mut self, token: &str) -> Option<()> {
        let parts: Vec<&str> = token.split('/').collect();
        match parts[..] {
            [first, second] => self.set_day(LooseDay::Slashed {
                first: digits(first, 2)?,
                second: digits(second, 2)?,
                year: None,
            }),
            [year, month, day] if year.len() == 4 => self.whole(year, month, day),
            [first, second, year] => self.set_day(LooseDay::Slashed {
                first: digits(first, 2)?,
                second: digits(second, 2)?,
                year: Some(written_year(year)?),
            }),
            _ => None,
        }
    }

    /// `2026-05-03`, `3-May`, `may-3-2026`, `05-03` (month-day, as in the scenario).
    fn dashed(&mut self, token: &str) -> Option<()> {
        let parts: Vec<&str> = token.split('-').collect();
        if parts
            .iter()
            .any(|p| p.starts_with(|c: char| c.is_alphabetic()))
        {
            for part in parts {
                if part.len() == 2 && self.day.is_some() && self.month.is_some() {
                    self.year = Some(written_year(part)?);
                } else {
                    self.word(part)?;
                }
            }
            return Some(());
        }
        match parts[..] {
            [year, month, day] if year.len() == 4 => self.whole(year, month, day),
            [month, day] => {
                let (month, day) = (digits(month, 2)?, digits(day, 2)?);
                NaiveDate::from_ymd_opt(2000, month, day)?;
                self.set_day(LooseDay::OfYear { month, day })
            }
            _ => None,
        }
    }

    /// `3.5.` or `3.5.2026`: day and month; `14.05` behind a day: a time.
    fn dotted(&mut self, token: &str) -> Option<()> {
        let parts: Vec<&str> = token.split('.').collect();
        match parts[..] {
            [day, month, ""] => {
                let (month, day) = (digits(month, 2)?, digits(day, 2)?);
                NaiveDate::from_ymd_opt(2000, month, day)?;
                self.set_day(LooseDay::OfYear { month, day })
            }
            [day, month, year] => {
                let date = NaiveDate::from_ymd_opt(
                    written_year(year)?,
                    digits(month, 2)?,
                    digits(day, 2)?,
                )?;
                self.set_day(LooseDay::Whole(date))
            }
            [day, ""] => self.day_number(digits(day, 2)?),
            [_, minute] if self.has_day() && minute.len() == 2 => {
                self.clock(clock_seconds(&token.replace('.', ":"))?, false)
            }
            _ => None,
        }
    }

    fn whole(&mut self, year: &str, month: &str, day: &str) -> Option<()> {
        let year = i32::try_from(digits(year, 4)?).ok()?;
        let date = NaiveDate::from_ymd_opt(year, digits(month, 2)?, digits(day, 2)?)?;
        (1..=9998)
            .contains(&year)
            .then(|| self.set_day(LooseDay::Whole(date)))?
    }

    const fn has_day(&self) -> bool {
        self.out.day.is_some() || self.day.is_some()
    }

    fn day_number(&mut self, day: u32) -> Option<()> {
        if self.has_day() || !(1..=31).contains(&day) {
            return None;
        }
        self.day = Some(day);
        Some(())
    }

    /// `3`, `3rd`, `2026`, `1405`, `14h05`, `2pm`, `20260503`.
    fn number(&mut self, token: &str) -> Option<()> {
        if let Some(seconds) = half_day_clock(token) {
            return self.clock(seconds, true);
        }
        let count = token.bytes().take_while(u8::is_ascii_digit).count();
        let (number, rest) = token.split_at(count);
        match (count, rest) {
            (1 | 2, "st" | "nd" | "rd" | "th") => self.day_number(digits(number, 2)?),
            (1 | 2, "") => {
                let number = digits(number, 2)?;
                if self.has_day() || self.out.seconds.is_some() && self.month.is_none() {
                    if self.bare_hour.is_some() || number > 24 {
                        return None;
                    }
                    self.bare_hour = Some(number);
                    Some(())
                } else {
                    self.day_number(number)
                }
            }
            (1 | 2, "h") => {
                let hour = digits(number, 2)?;
                self.clock(hour * HOUR_S, hour > 12)
            }
            (1 | 2, _) => self.clock(clock_seconds(&token.replacen('h', ":", 1))?, false),
            (4, "") => {
                let value = digits(number, 4)?;
                let year = i32::try_from(value).ok()?;
                if self.month.is_some() && self.year.is_none() && YEARS.contains(&year) {
                    self.year = Some(year);
                    return Some(());
                }
                self.clock(
                    clock_seconds(&format!("{}:{}", &number[..2], &number[2..]))?,
                    false,
                )
            }
            (8, "") => self.whole(&number[..4], &number[4..6], &number[6..]),
            _ => None,
        }
    }

    fn month_name(&mut self, token: &str) -> Option<()> {
        // `may3` is one word.
        let count = token.bytes().take_while(u8::is_ascii_alphabetic).count();
        let (name, rest) = token.split_at(count);
        let month = swimdays_quantity::month(name).ok()?;
        if self.out.day.is_some() || self.month.is_some() {
            return None;
        }
        self.month = Some(month);
        match rest {
            "" | "." => Some(()),
            day => self.word(day),
        }
    }
}

fn is_weekday(token: &str) -> bool {
    const DAYS: [&str; 7] = [
        "monday",
        "tuesday",
        "wednesday",
        "thursday",
        "friday",
        "saturday",
        "sunday",
    ];
    let name = token.trim_end_matches('.');
    name.len() >= 2 && DAYS.iter().any(|day| day.starts_with(name))
        || ["tues", "thur", "thurs"].contains(&name)
}

/// A whole number of plain digits.
fn digits(text: &str, most: usize) -> Option<u32> {
    let plain = !text.is_empty() && text.len() <= most && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok())?
}

/// `2026` or `26`.
fn written_year(text: &str) -> Option<i32> {
    let year = i32::try_from(digits(text, 4)?).ok()?;
    match text.len() {
        4 => (1..=9998).contains(&year).then_some(year),
        2 => Some(2000 + year),
        _ => None,
    }
}

/// `14:05` or `14:05:30`, up to 24:00; fractions of a second are left out.
fn clock_seconds(text: &str) -> Option<u32> {
    let mut parts = text.split(':');
    let hour = digits(parts.next()?, 2)?;
    let minute = digits(parts.next()?, 2)?;
    let second = match parts.next() {
        Some(second) => digits(second.split(['.', ',']).next()?, 2)?,
        None => 0,
    };
    let seconds = hour * HOUR_S + minute * 60 + second;
    (parts.next().is_none() && minute < 60 && second < 60 && seconds <= DAY_S).then_some(seconds)
}

/// `2pm`, `2:05pm`, `2.05 p.m.` in one word.
fn half_day_clock(token: &str) -> Option<u32> {
    let (clock, afternoon) = [
        ("a.m.", false),
        ("p.m.", true),
        ("am", false),
        ("pm", true),
        ("a", false),
        ("p", true),
    ]
    .into_iter()
    .find_map(|(end, afternoon)| Some((token.strip_suffix(end)?, afternoon)))?;
    let clock = clock.replace('.', ":");
    let seconds = if clock.contains(':') {
        clock_seconds(&clock)?
    } else {
        digits(&clock, 2)? * HOUR_S
    };
    halved(seconds, afternoon)
}

/// The time of day when a clock of twelve hours shows `seconds`; `14:05 pm` is taken as it stands.
fn halved(seconds: u32, afternoon: bool) -> Option<u32> {
    match seconds / HOUR_S {
        0 if afternoon => None,
        12 => Some(if afternoon {
            seconds
        } else {
            seconds - 12 * HOUR_S
        }),
        0..=11 => Some(if afternoon {
            seconds + 12 * HOUR_S
        } else {
            seconds
        }),
        _ => afternoon.then_some(seconds),
    }
}

/// `02:00`, `0530`, `7`: minutes, within the bounds of the world's clocks.
fn offset_minutes(text: &str) -> Option<i32> {
    let (hours, minutes) = match text.split_once(':') {
        Some((hours, minutes)) => (digits(hours, 2)?, digits(minutes, 2)?),
        None if text.len() == 4 => (digits(text.get(..2)?, 2)?, digits(text.get(2..)?, 2)?),
        None => (digits(text, 2)?, 0),
    };
    let minutes = i32::try_from(hours * 60 + minutes).ok()?;
    (minutes <= 14 * 60).then_some(minutes)
}

impl LooseDay {
    /// What `5/3` can only be, where one of its numbers is above 12.
    pub(super) const fn order(self) -> Option<Order> {
        match self {
            Self::Slashed { first, second, .. } if first > 12 && second <= 12 => {
                Some(Order::DayFirst)
            }
            Self::Slashed { first, second, .. } if second > 12 && first <= 12 => {
                Some(Order::MonthFirst)
            }
            _ => None,
        }
    }

    /// Month, day and, when it was written, the year.
    pub(super) fn parts(self, order: Order) -> (u32, u32, Option<i32>) {
        use chrono::Datelike as _;
        match self {
            Self::Whole(date) => (date.month(), date.day(), Some(date.year())),
            Self::OfYear { month, day } => (month, day, None),
            Self::Slashed {
                first,
                second,
                year,
            } => match self.order().unwrap_or(order) {
                Order::MonthFirst => (first, second, year),
                Order::DayFirst => (second, first, year),
            },
        }
    }
}

/// The moment `seconds` after the beginning of a day.
pub(super) fn moment(date: NaiveDate, seconds: u32) -> Option<NaiveDateTime> {
    NaiveDateTime::from(date).checked_add_signed(TimeDelta::seconds(i64::from(seconds)))
}

#[cfg(test)]
mod tests {
    use super::*;

    type Day = (u32, u32, Option<i32>);

    fn read(cell: &str) -> Option<(Option<Day>, Option<u32>)> {
        let found = loose(cell)?;
        Some((
            found.day.map(|d| d.parts(Order::MonthFirst)),
            found.seconds.map(|s| s / 60),
        ))
    }

    #[test]
    fn days_and_times_as_people_write_them() {
        let both = |month, day, year, hour: u32, minute: u32| {
            Some((Some((month, day, year)), Some(hour * 60 + minute)))
        };
        for (cell, wanted) in [
            ("2026-05-03 14:05", both(5, 3, Some(2026), 14, 5)),
            ("2026-05-03T14:05:30Z", both(5, 3, Some(2026), 14, 5)),
            ("2026-05-03T14:05+02:00", both(5, 3, Some(2026), 14, 5)),
            ("2026/5/3 9:05", both(5, 3, Some(2026), 9, 5)),
            ("20260503 0905", both(5, 3, Some(2026), 9, 5)),
            ("May 3 2:05 pm", both(5, 3, None, 14, 5)),
            ("May 3, 2026 2:05 PM", both(5, 3, Some(2026), 14, 5)),
            ("Sat, May 3rd at 2pm", both(5, 3, None, 14, 0)),
            ("3 May 14:05", both(5, 3, None, 14, 5)),
            ("3. May 14.05", both(5, 3, None, 14, 5)),
            ("3-May-26 14:05", both(5, 3, Some(2026), 14, 5)),
            ("3.5. 14:05", both(5, 3, None, 14, 5)),
            ("03.05.2026 14:05", both(5, 3, Some(2026), 14, 5)),
            ("5/3 2:05p", both(5, 3, None, 14, 5)),
            ("5/3/26 14:05", both(5, 3, Some(2026), 14, 5)),
            ("13/5 14h", both(5, 13, None, 14, 0)),
            ("05-03 noon", both(5, 3, None, 12, 0)),
            ("May 3 14", both(5, 3, None, 14, 0)),
            ("May 3 12:10 am", both(5, 3, None, 0, 10)),
            ("2:05 p.m. May 3", both(5, 3, None, 14, 5)),
            ("May 3 2026 14:05", both(5, 3, Some(2026), 14, 5)),
        ] {
            assert_eq!(read(cell), wanted, "{cell}");
        }
        assert_eq!(read("2:05 pm"), Some((None, Some(14 * 60 + 5))));
        assert_eq!(read("9 pm"), Some((None, Some(21 * 60))));
        assert_eq!(read("9 p.m. May 3"), both(5, 3, None, 21, 0));
        assert_eq!(read("Sunday 3 May"), Some((Some((5, 3, None)), None)));
        assert_eq!(
            loose("2026-05-03T14:05-07:00").and_then(|l| l.offset_minutes),
            Some(-420)
        );
    }

    #[test]
    fn what_is_no_moment_is_none() {
        for cell in [
            "",
            "-",
            "yesterday",
            "May",
            "May 32",
            "Feb 30",
            "2026-13-01 10:00",
            "25:00",
            "14:60",
            "5/3/2026/1",
            "0:30 pm",
            "May 3 May 4",
            "14:05 15:05",
            "99",
            "3.5",
            "\u{e9}026-05-14",
            "5//3",
            "2026-05-03T14:05+15:00",
            "T",
            "+",
            "-7",
            "13/13 99:99",
        ] {
            assert_eq!(read(cell), None, "{cell}");
        }
    }

    #[test]
    fn a_slashed_day_tells_its_order_only_when_it_can() {
        let day = |cell: &str| loose(cell).and_then(|l| l.day);
        assert_eq!(day("5/3").and_then(LooseDay::order), None);
        assert_eq!(day("13/5").and_then(LooseDay::order), Some(Order::DayFirst));
        assert_eq!(
            day("5/13").and_then(LooseDay::order),
            Some(Order::MonthFirst)
        );
        assert_eq!(
            day("5/3").map(|d| d.parts(Order::DayFirst)),
            Some((3, 5, None))
        );
    }
}
