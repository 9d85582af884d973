//! Times as they stand in the cells: ISO 8601 and what people make of it.

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};

/// A time as written, and how far from UTC it says it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stamp {
    pub(super) local: NaiveDateTime,
    pub(super) offset_minutes: Option<i32>,
}

/// What a time may look like, for messages.
pub(super) const FORMS: &str =
    "`2026-05-14 13:00`, `2026-05-14T13:00+02:00` or `2026-05-14T11:00Z`";

/// Reads `2026-05-14 13:00`, `2026-05-14T13:00:00+02:00`, `…Z`, `20260514 1300`, `14.05.2026 13:00`, with 24:00 as the end of the day.
/// A date alone is its midnight. Seconds are read, fractions of them left out.
pub(super) fn stamp(cell: &[u8]) -> Option<Stamp> {
    let cell = cell.trim_ascii();
    let end_of_date = cell
        .iter()
        .position(|&b| matches!(b, b'T' | b't' | b' '))
        .unwrap_or(cell.len());
    let day = date(&cell[..end_of_date])?;
    let rest = cell.get(end_of_date + 1..).unwrap_or_default().trim_ascii();
    let (clock, offset_minutes) = offset(rest)?;
    let seconds = clock_seconds(clock)?;
    Some(Stamp {
        local: day
            .and_hms_opt(0, 0, 0)?
            .checked_add_signed(TimeDelta::seconds(i64::from(seconds)))?,
        offset_minutes,
    })
}

/// A whole number of plain digits.
fn digits(bytes: &[u8], most: usize) -> Option<u32> {
    if bytes.is_empty() || bytes.len() > most {
        return None;
    }
    bytes.iter().try_fold(0_u32, |sum, b| {
        b.is_ascii_digit().then(|| sum * 10 + u32::from(b - b'0'))
    })
}

/// Year first, or day first with dots. `5/14/2026` is refused: elsewhere it is 14/5/2026.
fn date(text: &[u8]) -> Option<NaiveDate> {
    let dotted = text.contains(&b'.');
    let mut parts = text.split(|b| matches!(b, b'-' | b'/' | b'.'));
    let (first, second, third) = (parts.next()?, parts.next(), parts.next());
    let (year, month, day) = match (second, third) {
        (Some(month), Some(year)) if dotted => (year, month, first),
        (Some(month), Some(day)) => (first, month, day),
        (None, None) if first.len() == 8 => (&first[..4], &first[4..6], &first[6..]),
        _ => return None,
    };
    if parts.next().is_some() || year.len() != 4 {
        return None;
    }
    let year = i32::try_from(digits(year, 4)?).ok()?;
    (1..=9998)
        .contains(&year)
        .then(|| NaiveDate::from_ymd_opt(year, digits(month, 2)?, digits(day, 2)?))?
}

/// Seconds of the day, up to 24:00.
fn clock_seconds(text: &[u8]) -> Option<u32> {
    let text = text.trim_ascii();
    if text.is_empty() {
        return Some(0);
    }
    let mut parts = text.split(|&b| b == b':');
    let first = parts.next()?;
    let (hour, minute, second) = match parts.next() {
        Some(minute) => (digits(first, 2)?, digits(minute, 2)?, parts.next()),
        None if matches!(first.len(), 4 | 6) => (
            digits(&first[..2], 2)?,
            digits(&first[2..4], 2)?,
            Some(&first[4..]).filter(|s| !s.is_empty()),
        ),
        None => return None,
    };
    let second = match second {
        Some(second) => {
            let mut halves = second.splitn(2, |b| matches!(b, b'.' | b','));
            let whole = digits(halves.next()?, 2)?;
            if let Some(fraction) = halves.next() {
                digits(fraction, 9)?;
            }
            whole
        }
        None => 0,
    };
    let seconds = hour * 3600 + minute * 60 + second;
    (parts.next().is_none() && minute < 60 && second < 60 && seconds <= 86_400).then_some(seconds)
}

/// The clock time, and the minutes from UTC where they stand behind it.
fn offset(text: &[u8]) -> Option<(&[u8], Option<i32>)> {
    for sign in [&b"utc"[..], b"gmt", b"z"] {
        if let Some(at) = text.len().checked_sub(sign.len())
            && text[at..].eq_ignore_ascii_case(sign)
        {
            return Some((&text[..at], Some(0)));
        }
    }
    match text.iter().rposition(|b| matches!(b, b'+' | b'-')) {
        None => Some((text, None)),
        Some(at) => {
            let mut clock = text[..at].trim_ascii();
            for sign in [&b"utc"[..], b"gmt"] {
                if let Some(end) = clock.len().checked_sub(sign.len())
                    && clock[end..].eq_ignore_ascii_case(sign)
                {
                    clock = &clock[..end];
                }
            }
            Some((clock, Some(offset_minutes(&text[at..])?)))
        }
    }
}

/// `+02:00`, `+0530`, `-7`: minutes from UTC, within the bounds of the world's clocks.
pub(super) fn offset_minutes(text: &[u8]) -> Option<i32> {
    let (sign, rest) = match text.trim_ascii() {
        [b'+', rest @ ..] => (1, rest),
        [b'-', rest @ ..] => (-1, rest),
        rest => (1, rest),
    };
    let (hours, minutes) = match rest.iter().position(|&b| b == b':') {
        Some(at) => (digits(&rest[..at], 2)?, digits(&rest[at + 1..], 2)?),
        None if rest.len() == 4 => (digits(&rest[..2], 2)?, digits(&rest[2..], 2)?),
        None => (digits(rest, 2)?, 0),
    };
    let minutes = sign * i32::try_from(hours * 60 + minutes).ok()?;
    (minutes % 60 == 0 || rest.len() > 2)
        .then_some(minutes)
        .filter(|minutes| (-12 * 60..=14 * 60).contains(minutes))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Option<(String, Option<i32>)> {
        stamp(text.as_bytes()).map(|s| {
            (
                s.local.format("%Y-%m-%d %H:%M:%S").to_string(),
                s.offset_minutes,
            )
        })
    }

    #[test]
    fn times_are_read() {
        for (text, local, offset) in [
            ("2026-05-14T13:00+02:00", "2026-05-14 13:00:00", Some(120)),
            ("2026-05-14 13:00", "2026-05-14 13:00:00", None),
            ("2026-05-14T11:00Z", "2026-05-14 11:00:00", Some(0)),
            ("2026-05-14T11:00:30.250Z", "2026-05-14 11:00:30", Some(0)),
            ("2026-05-14 11:00 UTC", "2026-05-14 11:00:00", Some(0)),
            ("2026-05-14 11:00 UTC-7", "2026-05-14 11:00:00", Some(-420)),
            (
                "2026-05-14T11:00:00-0930",
                "2026-05-14 11:00:00",
                Some(-570),
            ),
            (
                "2026-05-14T11:00:00+05:45",
                "2026-05-14 11:00:00",
                Some(345),
            ),
            ("2026/05/14 9:05", "2026-05-14 09:05:00", None),
            ("14.05.2026 13:00", "2026-05-14 13:00:00", None),
            ("20260514 1300", "2026-05-14 13:00:00", None),
            ("20260514T130000Z", "2026-05-14 13:00:00", Some(0)),
            ("2026-05-14 24:00", "2026-05-15 00:00:00", None),
            ("2026-05-14", "2026-05-14 00:00:00", None),
        ] {
            assert_eq!(at(text), Some((local.to_owned(), offset)), "{text}");
        }
    }

    #[test]
    fn what_is_no_time_is_none() {
        for text in [
            "",
            "5/14/2026 13:00",
            "14/05/2026 13:00",
            "2026-13-01 00:00",
            "2026-02-30 00:00",
            "2026-05-14 25:00",
            "2026-05-14 24:01",
            "2026-05-14 12:60",
            "2026-05-14 13",
            "2026-05-14 1:00 PM",
            "2026-05-14T13:00+15:00",
            "2026-05-14T13:00+",
            "26-05-14 13:00",
            "0000-05-14 13:00",
            "9999-05-14 13:00",
            "2026-05-14-01 13:00",
            "13:00",
            "\u{e9}026-05-14",
        ] {
            assert_eq!(at(text), None, "{text}");
        }
    }
}
