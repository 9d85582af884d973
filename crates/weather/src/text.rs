//! Lines, cells and numbers of a text file, whatever its bytes.

use std::borrow::Cow;
use std::io::BufRead as _;

use crate::column::Column;
use crate::error::WeatherError;
use crate::unit_guess::looks_like;

/// The content of a file and the name it goes by in messages.
#[derive(Clone, Copy)]
pub(crate) struct Source<'a> {
    pub(crate) bytes: &'a [u8],
    pub(crate) label: &'a str,
}

impl<'a> Source<'a> {
    pub(crate) fn new(bytes: &'a [u8], label: &'a str) -> Self {
        Self {
            bytes: bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes),
            label,
        }
    }

    /// Lines with their number, from 1; the end of line is cut off.
    pub(crate) fn lines(&self) -> impl Iterator<Item = (usize, &'a [u8])> + use<'a> {
        let mut rest = Some(self.bytes);
        let mut number = 0;
        std::iter::from_fn(move || {
            let bytes = rest?;
            let mut after = bytes;
            // The library's own search, many bytes at a time; on a slice in memory it cannot fail.
            let length = after.skip_until(b'\n').unwrap_or(bytes.len());
            let line = &bytes[..length];
            let line = if let Some(line) = line.strip_suffix(b"\n") {
                rest = Some(after);
                line
            } else {
                rest = None;
                line
            };
            number += 1;
            Some((number, line.strip_suffix(b"\r").unwrap_or(line)))
        })
    }

    pub(crate) fn header_error(
        &self,
        line: usize,
        column: &str,
        found: impl Into<String>,
        allowed: &str,
        todo: &str,
    ) -> WeatherError {
        WeatherError::Header {
            label: self.label.into(),
            line,
            column: column.into(),
            found: found.into().into(),
            allowed: allowed.into(),
            todo: todo.into(),
        }
    }

    pub(crate) fn time_error(
        &self,
        line: usize,
        found: impl Into<String>,
        allowed: impl Into<String>,
        todo: &str,
    ) -> WeatherError {
        WeatherError::Time {
            label: self.label.into(),
            line,
            found: found.into().into(),
            allowed: allowed.into().into(),
            todo: todo.into(),
        }
    }
}

/// Splits a line at its commas; commas inside double quotes do not count. Cells are trimmed and lose their quotes.
pub(crate) fn split<'a>(line: &'a [u8], cells: &mut Vec<&'a [u8]>) {
    cells.clear();
    if !line.contains(&b'"') {
        cells.extend(line.split(|&b| b == b',').map(<[u8]>::trim_ascii));
        return;
    }
    let (mut from, mut quoted) = (0, false);
    for (i, &b) in line.iter().enumerate() {
        match b {
            b'"' => quoted = !quoted,
            b',' if !quoted => {
                cells.push(trim(&line[from..i]));
                from = i + 1;
            }
            _ => {}
        }
    }
    cells.push(trim(&line[from..]));
}

fn trim(cell: &[u8]) -> &[u8] {
    let cell = cell.trim_ascii();
    match cell {
        [b'"', inner @ .., b'"'] => inner.trim_ascii(),
        _ => cell,
    }
}

/// Refuses a row with more or fewer cells than the file's others: its values would stand in the wrong columns.
pub(crate) fn same_number(
    source: &Source<'_>,
    line: usize,
    cells: &[&[u8]],
    expected: usize,
) -> Result<(), WeatherError> {
    if cells.len() == expected {
        return Ok(());
    }
    Err(WeatherError::Row {
        label: source.label.into(),
        line,
        found: format!("a row of {}", counted(cells.len(), "cell")).into(),
        allowed: format!("{}, as in the rows before", counted(expected, "cell")).into(),
        todo: "the row was cut off, or a number has a decimal comma: write decimal points, or download the file again"
            .into(),
    })
}

/// The cell as text, for messages and names: bytes that are no UTF-8 become a replacement sign.
pub(crate) fn text(cell: &[u8]) -> Cow<'_, str> {
    String::from_utf8_lossy(cell)
}

/// The cell in backquotes, cut to what a message can bear.
pub(crate) fn quoted(cell: &[u8]) -> String {
    let all = text(cell);
    if all.trim().is_empty() {
        return "nothing".into();
    }
    let clean: String = all
        .chars()
        .take(40)
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect();
    let more = if all.chars().nth(40).is_some() {
        "…"
    } else {
        ""
    };
    format!("`{clean}{more}`")
}

/// A number of things, in the singular where there is one: "1 row", "2 rows".
pub(crate) fn counted(count: usize, one: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {one}{ending}")
}

/// A finite decimal number, multiplied by ten to the power `shift` in its decimal form, so that nothing is rounded twice.
///
/// `nan`, `inf` and hexadecimal are no numbers here.
pub(crate) fn number(cell: &[u8], shift: i32) -> Option<f64> {
    short_number(cell, shift).or_else(|| any_number(cell, shift))
}

/// Powers of ten that a double holds exactly.
const TEN_TO: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// As [`number`] for the numbers that files are full of: at most fifteen digits, no exponent. Digits and power of ten are both
/// exact, so that their product or quotient is rounded once, as the nearest double to the decimal is.
///
/// Source: Clinger (1990), *How to read floating point numbers accurately*, the fast case (from memory).
fn short_number(cell: &[u8], shift: i32) -> Option<f64> {
    let (negative, digits) = match cell {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        rest => (false, rest),
    };
    if digits.len() > 16 {
        return None;
    }
    let (mut mantissa, mut count, mut exponent, mut point) = (0_u64, 0, shift, false);
    for &b in digits {
        match b {
            b'0'..=b'9' => {
                mantissa = mantissa * 10 + u64::from(b - b'0');
                count += 1;
                exponent -= i32::from(point);
            }
            b'.' if !point => point = true,
            _ => return None,
        }
    }
    if !(1..=15).contains(&count) {
        return None;
    }
    #[allow(clippy::cast_precision_loss, reason = "fifteen digits are below 2^53")]
    let whole = mantissa as f64;
    let power = *TEN_TO.get(usize::try_from(exponent.unsigned_abs()).ok()?)?;
    let value = if exponent < 0 {
        whole / power
    } else {
        whole * power
    };
    // As below: no negative zero.
    Some(if negative { -value + 0.0 } else { value })
}

fn any_number(cell: &[u8], shift: i32) -> Option<f64> {
    if cell.is_empty()
        || !cell
            .iter()
            .all(|b| matches!(b, b'0'..=b'9' | b'+' | b'-' | b'.' | b'e' | b'E'))
    {
        return None;
    }
    let text = std::str::from_utf8(cell).ok()?;
    let value: f64 = if shift == 0 {
        text.parse().ok()?
    } else if text.bytes().any(|b| b == b'e' || b == b'E') {
        text.parse::<f64>().ok()? * 10f64.powi(shift)
    } else {
        format!("{text}e{shift}").parse().ok()?
    };
    // `+ 0.0` turns the `-0.0` that some exports contain into 0.
    value.is_finite().then_some(value + 0.0)
}

/// A whole number, written plainly or as a decimal with zeros after the point.
pub(crate) fn whole(cell: &[u8]) -> Option<i64> {
    let value = number(cell, 0)?;
    #[allow(
        clippy::cast_possible_truncation,
        reason = "bounded and whole by the test before"
    )]
    (value.abs() < 1e15 && value.fract().abs() < f64::EPSILON).then_some(value as i64)
}

/// How one column of a format is read.
pub(crate) struct CellRule {
    pub(crate) column: Column,
    /// Name of the column in the file, or in the description of the format.
    pub(crate) title: String,
    /// Unit in the file.
    pub(crate) unit: &'static str,
    /// SI value = file value × 10^`shift`.
    pub(crate) shift: i32,
    /// Whether a number in the file stands for "missing".
    pub(crate) missing: fn(f64) -> bool,
    /// How a missing value is written in this format.
    pub(crate) missing_sign: &'static str,
}

impl CellRule {
    /// The SI value of a cell; NaN stands for missing until the gaps are filled.
    pub(crate) fn read(
        &self,
        source: &Source<'_>,
        line: usize,
        cell: &[u8],
    ) -> Result<f64, WeatherError> {
        if cell.is_empty() {
            return Ok(f64::NAN);
        }
        let limits = self.column.limits();
        let Some(raw) = number(cell, 0) else {
            return Err(self.error(source, line, cell));
        };
        if (self.missing)(raw) {
            return Ok(f64::NAN);
        }
        let value = if self.shift == 0 {
            raw
        } else {
            number(cell, self.shift).unwrap_or(f64::NAN)
        };
        if (limits.low..=limits.high).contains(&value) {
            Ok(value)
        } else {
            Err(self.error(source, line, cell))
        }
    }

    fn error(&self, source: &Source<'_>, line: usize, cell: &[u8]) -> WeatherError {
        let limits = self.column.limits();
        let scale = 10f64.powi(-self.shift);
        WeatherError::Cell {
            label: source.label.into(),
            line,
            column: self.title.as_str().into(),
            found: quoted(cell).into(),
            allowed: format!(
                "a number from {} to {} ({})",
                limits.low * scale,
                limits.high * scale,
                self.unit
            )
            .into(),
            todo: self.todo(cell).into(),
        }
    }

    fn todo(&self, cell: &[u8]) -> String {
        let other = number(cell, 0).and_then(|n| looks_like(self.column, self.unit, n));
        if let Some((shown, _)) = other {
            return format!(
                "it looks like {shown}: if so, convert the whole column to {}; if not, check that no cell is shifted",
                self.unit
            );
        }
        format!(
            "check the column's unit and that no cell is shifted, or mark the value as missing ({})",
            self.missing_sign
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commas_in_quotes_do_not_split() {
        let mut cells = Vec::new();
        split(br#"COMMENTS 1,"one, two", three ,"#, &mut cells);
        assert_eq!(cells, [&b"COMMENTS 1"[..], b"one, two", b"three", b""]);
    }

    #[test]
    fn an_open_quote_runs_to_the_end_of_its_line_only() {
        let mut cells = Vec::new();
        split(br#"a,"b,c"#, &mut cells);
        assert_eq!(cells, [&b"a"[..], br#""b,c"#]);
    }

    #[test]
    fn numbers_are_decimal_and_finite() {
        assert_eq!(number(b"-1.5", 0), Some(-1.5));
        assert_eq!(number(b"987.6", 2), Some(98_760.0));
        assert_eq!(number(b"7", -1), Some(0.7));
        assert_eq!(number(b"1e2", 2), Some(10_000.0));
        assert_eq!(number(b"-0.00", 0).map(f64::is_sign_negative), Some(false));
        for bad in [
            &b""[..],
            b"nan",
            b"inf",
            b"1,5",
            b"1e999",
            b"--1",
            b"0x10",
            b"\xff",
        ] {
            assert_eq!(number(bad, 0), None);
        }
    }

    /// The short way and the long way give the same bits, and the long way those of the standard library.
    #[test]
    fn short_numbers_are_the_same_numbers() {
        let mut state = 7_u64;
        let mut random = move |below: usize| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            usize::try_from(state >> 33).unwrap_or(0) % below
        };
        let mut short = 0;
        for _ in 0..200_000 {
            let digits = random(17);
            let mut cell: Vec<u8> = (0..digits).map(|_| b"0123456789"[random(10)]).collect();
            if random(4) > 0 {
                cell.insert(random(digits + 1), b'.');
            }
            if random(3) == 0 {
                cell.insert(0, b"+-"[random(2)]);
            }
            for shift in [0, 2, 3, -1, -2] {
                let quick = short_number(&cell, shift).map(f64::to_bits);
                let slow = any_number(&cell, shift).map(f64::to_bits);
                assert!(quick.is_none() || quick == slow, "{}", text(&cell));
                short += usize::from(quick.is_some());
                let library = format!("{}e{shift}", text(&cell)).parse::<f64>().ok();
                assert_eq!(
                    slow,
                    library.map(|value| (value + 0.0).to_bits()),
                    "{}",
                    text(&cell)
                );
            }
        }
        assert!(short > 500_000);
    }

    #[test]
    fn lines_are_numbered_and_the_last_needs_no_end() {
        let lines = |bytes: &'static [u8]| -> Vec<(usize, &'static [u8])> {
            Source::new(bytes, "x").lines().collect()
        };
        assert_eq!(lines(b""), [(1, &b""[..])]);
        assert_eq!(lines(b"a"), [(1, &b"a"[..])]);
        assert_eq!(
            lines(b"a\r\n\nb\n"),
            [(1, &b"a"[..]), (2, b""), (3, b"b"), (4, b"")]
        );
    }

    #[test]
    fn whole_numbers_have_no_fraction() {
        assert_eq!(whole(b"24"), Some(24));
        assert_eq!(whole(b"24.0"), Some(24));
        assert_eq!(whole(b"2.5"), None);
        assert_eq!(whole(b"1e300"), None);
    }

    #[test]
    fn one_thing_is_told_in_the_singular() {
        assert_eq!(
            [0, 1, 2].map(|n| counted(n, "row")),
            ["0 rows", "1 row", "2 rows"]
        );
    }

    #[test]
    fn messages_show_no_control_bytes_and_stay_short() {
        assert_eq!(quoted(b" "), "nothing");
        let long = quoted(&[b'x'; 90]);
        assert!(long.chars().count() < 50 && long.ends_with("…`"));
        assert!(!quoted(b"a\x07b").contains('\u{7}'));
    }
}
