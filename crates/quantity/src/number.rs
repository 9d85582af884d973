//! Numbers as people write them: thousands separated, halves and quarters, a minus that typesetters use.

use crate::{Kind, QuantityError};

/// Replaces typographic signs by plain ones, so that the rest sees one spelling only.
pub(crate) fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.trim().chars() {
        match c {
            '\u{2212}' | '\u{2013}' | '\u{2011}' => out.push('-'),
            '\u{a0}' | '\u{2009}' | '\u{202f}' | '\t' => out.push(' '),
            '\u{2019}' | '\u{2032}' => out.push('\''),
            '\u{201d}' | '\u{201c}' | '\u{2033}' => out.push('"'),
            '\u{ba}' => out.push('°'),
            '²' => out.push_str("^2"),
            '³' => out.push_str("^3"),
            '½' => out.push_str(" 1/2"),
            '¼' => out.push_str(" 1/4"),
            '¾' => out.push_str(" 3/4"),
            '⅛' => out.push_str(" 1/8"),
            '⅜' => out.push_str(" 3/8"),
            '⅝' => out.push_str(" 5/8"),
            '⅞' => out.push_str(" 7/8"),
            c => out.push(c),
        }
    }
    out.replace("''", "\"").trim().to_owned()
}

/// A number read off the front of a text.
pub(crate) struct Leading<'t> {
    pub(crate) value: f64,
    /// As written.
    pub(crate) text: &'t str,
    pub(crate) rest: &'t str,
}

fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// Reads a number off the front. `fractions` allows "1/2" and "1 1/2".
pub(crate) fn leading(
    text: &str,
    fractions: bool,
    wanted: Kind,
) -> Result<Leading<'_>, QuantityError> {
    let missing = || QuantityError::NoNumber {
        text: text.to_owned(),
        wanted,
    };
    let sign_len = usize::from(text.starts_with(['-', '+']));
    let body = &text[sign_len..];
    let skipped = body.len() - body.trim_start().len();
    let body = body.trim_start();
    let start = sign_len + skipped;
    let first = digits(body);
    if first == 0 && !body.starts_with('.') {
        return Err(missing());
    }
    let mut end = first;
    if (1..=3).contains(&first) {
        end = thousands(body, first)?;
    } else if first > 3 && body[first..].starts_with(',') {
        return Err(comma(body, first));
    }
    let whole = end;
    let mut is_whole = true;
    if body[end..].starts_with('.') {
        let after = digits(&body[end + 1..]);
        if after == 0 && whole == 0 {
            return Err(missing());
        }
        end += 1 + after;
        is_whole = false;
        if body[end..].starts_with(',') {
            return Err(comma(body, end));
        }
    }
    if body[end..].starts_with(['e', 'E']) {
        let power = &body[end + 1..];
        let sign = usize::from(power.starts_with(['-', '+']));
        let count = digits(&power[sign..]);
        if count > 0 {
            end += 1 + sign + count;
            is_whole = false;
        }
    }
    let plain: String = body[..end]
        .chars()
        .filter(|c| !matches!(c, ',' | ' '))
        .collect();
    let mut value: f64 = plain.parse().map_err(|_| missing())?;
    if fractions && is_whole {
        if let Some((bottom, used)) = denominator(&body[end..]) {
            value /= bottom;
            end += used;
        } else if let Some((top, bottom, used)) = mixed(&body[end..]) {
            value += top / bottom;
            end += used;
        }
    }
    if text.starts_with('-') {
        value = -value;
    }
    if !value.is_finite() {
        return Err(QuantityError::NotFinite);
    }
    Ok(Leading {
        value,
        text: &text[..start + end],
        rest: body[end..].trim_start(),
    })
}

/// Where the whole number ends when `first` digits may be followed by groups of three.
fn thousands(body: &str, first: usize) -> Result<usize, QuantityError> {
    let mut end = first;
    loop {
        let rest = &body[end..];
        let is_group = |sep: char| {
            rest.strip_prefix(sep).is_some_and(|group| {
                digits(group) == 3 && !(sep == ' ' && group[3..].starts_with('/'))
            })
        };
        if rest.starts_with(',') {
            if !is_group(',') || body.starts_with('0') {
                return Err(comma(body, end));
            }
            end += 4;
        } else if is_group(' ') && !body.starts_with('0') && !body[..end].contains(',') {
            end += 4;
        } else {
            return Ok(end);
        }
    }
}

/// The error for a comma at `at`, with the number as it was probably meant.
fn comma(body: &str, at: usize) -> QuantityError {
    let after = digits(&body[at + 1..]);
    let whole: String = body[..at].chars().filter(char::is_ascii_digit).collect();
    let part = &body[at + 1..at + 1 + after];
    let unit = body[at + 1 + after..].trim();
    let with_unit = |number: String| {
        if unit.is_empty() {
            format!("\"{number}\"")
        } else {
            format!("\"{number} {unit}\"")
        }
    };
    let instead = if after == 0 || body[..at].contains('.') {
        "the number with a point for decimals, such as \"3.5 m\"".to_owned()
    } else {
        format!(
            "{}: decimals follow a point, a comma only separates thousands",
            with_unit(format!("{whole}.{part}"))
        )
    };
    QuantityError::DecimalComma { instead }
}

/// "/2" after a whole number.
fn denominator(text: &str) -> Option<(f64, usize)> {
    let rest = text.strip_prefix('/')?;
    let count = digits(rest);
    let bottom: f64 = rest[..count].parse().ok()?;
    (bottom > 0.0 && count <= 3).then_some((bottom, 1 + count))
}

/// " 1/2" or "-1/2" after a whole number.
fn mixed(text: &str) -> Option<(f64, f64, usize)> {
    let rest = text.strip_prefix([' ', '-'])?;
    let skipped = rest.len() - rest.trim_start().len();
    let rest = rest.trim_start();
    let count = digits(rest);
    let top: f64 = rest[..count].parse().ok()?;
    let (bottom, used) = denominator(&rest[count..])?;
    (top < bottom).then_some((top, bottom, 1 + skipped + count + used))
}
