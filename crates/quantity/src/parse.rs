//! From text to one number in the unit of its kind.

use crate::number::{leading, plain};
use crate::table::{bare_spelling, find};
use crate::{Kind, QuantityError};

/// Largest magnitude that is believed, in the unit of the kind.
const BELIEVABLE: f64 = 1e15;

/// Reads `text` as a quantity of the wanted kind, in [`Kind::si_unit`].
///
/// Sums such as "12 ft 6 in" and products such as "4 ft x 8 ft" or "3 x 100 ft" are understood. A gallon is the
/// US one unless "imp gal" is written.
///
/// # Errors
/// A [`QuantityError`]: no unit, an unknown one, one of another kind, a comma for decimals, no finite number.
pub fn parse(text: &str, wanted: Kind) -> Result<f64, QuantityError> {
    if wanted.is_money() {
        return parse_price(text, wanted).map(|price| price.value);
    }
    let text = plain(text);
    if text.is_empty() {
        return Err(QuantityError::Empty { wanted });
    }
    if let Some(found) = money_kind(&text) {
        return Err(QuantityError::WrongKind { found, wanted });
    }
    let factors = factors(&text);
    if factors.len() > 1 {
        return product(&factors, wanted);
    }
    if let Some(value) = r_value(&text, wanted) {
        return believable(value?);
    }
    match sum(&text, wanted)? {
        Read::Number(number) => Err(QuantityError::BareNumber { number, wanted }),
        Read::Quantity { kind, value } if kind == wanted => believable(value),
        Read::Quantity { kind, .. } => Err(QuantityError::WrongKind {
            found: kind,
            wanted,
        }),
    }
}

/// A price or cost with the currency it was written in.
#[derive(Clone, Debug, PartialEq)]
pub struct Price {
    /// In currency, currency per kWh or currency per m³.
    pub value: f64,
    /// The sign or code as written, such as "$" or "EUR"; absent for cents.
    pub currency: Option<String>,
}

/// Reads a cost ("$120"), a price of energy ("0.17 $/kWh") or a price of water ("6 $/1000 gal").
///
/// # Errors
/// A [`QuantityError`] as for [`parse`], and [`QuantityError::NoCurrency`].
pub fn parse_price(text: &str, wanted: Kind) -> Result<Price, QuantityError> {
    let text = plain(text);
    if text.is_empty() {
        return Err(QuantityError::Empty { wanted });
    }
    if !wanted.is_money() {
        return parse(&text, wanted).map(|value| Price {
            value,
            currency: None,
        });
    }
    let (negative, unsigned) = match text.strip_prefix('-') {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text.as_str()),
    };
    let (mut currency, amount) = match currency_prefix(unsigned) {
        Some((name, rest)) => (Some(name), rest),
        None => (None, unsigned),
    };
    let number = leading(amount, false, wanted)?;
    let (top, bottom) = match split_per(number.rest) {
        Some((top, bottom)) => (top.trim(), Some(bottom)),
        None => (number.rest.trim(), None),
    };
    let mut value = if negative {
        -number.value
    } else {
        number.value
    };
    if currency.is_none() {
        match top {
            "" if bottom.is_none() => {
                return Err(QuantityError::BareNumber {
                    number: number.text.to_owned(),
                    wanted,
                });
            }
            "" => return Err(QuantityError::NoCurrency { wanted }),
            "¢" | "ct" | "cent" | "cents" | "c" => value /= 100.0,
            name if is_currency(name) => currency = Some(name.to_owned()),
            name => {
                return Err(match find(name, wanted) {
                    Some(unit) if bottom.is_none() => QuantityError::WrongKind {
                        found: unit.kind,
                        wanted,
                    },
                    _ => QuantityError::NoCurrency { wanted },
                });
            }
        }
    } else if !top.is_empty() {
        return Err(QuantityError::UnknownUnit {
            unit: top.to_owned(),
            wanted,
        });
    }
    let (found, per) = match bottom {
        None => (Kind::Money, 1.0),
        Some(bottom) => per_amount(bottom, wanted)?,
    };
    if found != wanted {
        return Err(QuantityError::WrongKind { found, wanted });
    }
    Ok(Price {
        value: believable(value / per)?,
        currency,
    })
}

/// Reads a bucket test, "5 gal in 75 s": the volume in m³ and the time in s, both above zero.
///
/// # Errors
/// A [`QuantityError`] of the volume or of the time.
pub fn bucket(text: &str) -> Result<(f64, f64), QuantityError> {
    const ALLOWED: &str = "\"5 gal in 75 s\" or \"20 L in 1 min 10 s\"";
    let text = plain(text);
    let (volume, time) = text.split_once(" in ").ok_or(QuantityError::Unreadable {
        wanted: "a bucket test",
        allowed: ALLOWED,
    })?;
    let volume = parse(volume, Kind::Volume)?;
    let time = parse(time, Kind::Duration)?;
    if volume <= 0.0 || time <= 0.0 {
        return Err(QuantityError::Unreadable {
            wanted: "a bucket test",
            allowed: ALLOWED,
        });
    }
    Ok((volume, time))
}

/// The two lengths, in m and in the order written, of an area such as "4 ft x 8 ft"; none for an area written
/// otherwise.
#[must_use]
pub fn sides(text: &str) -> Option<(f64, f64)> {
    let text = plain(text);
    let [length, width] = factors(&text)[..] else {
        return None;
    };
    let side = |text| parse(text, Kind::Length).ok();
    side(length).zip(side(width))
}

fn believable(value: f64) -> Result<f64, QuantityError> {
    if value.is_finite() && value.abs() <= BELIEVABLE {
        Ok(value)
    } else {
        Err(QuantityError::NotFinite)
    }
}

/// What a text turned out to be.
enum Read {
    /// A number without a unit, as written.
    Number(String),
    Quantity {
        kind: Kind,
        value: f64,
    },
}

/// "12 ft 6 in": parts of one kind, each smaller than the one before.
fn sum(text: &str, wanted: Kind) -> Result<Read, QuantityError> {
    let mut rest = text;
    let mut total: Option<(Kind, f64, f64)> = None;
    let mut negative = false;
    while !rest.is_empty() {
        let number = leading(rest, true, wanted)?;
        let (unit_text, after) = split_unit(number.rest);
        if unit_text.trim().is_empty() {
            return match total {
                None if after.is_empty() => Ok(Read::Number(number.text.to_owned())),
                None => Err(QuantityError::BareNumber {
                    number: number.text.to_owned(),
                    wanted,
                }),
                Some(_) => Err(QuantityError::PartWithoutUnit {
                    number: number.text.to_owned(),
                    wanted,
                }),
            };
        }
        let unit = find(unit_text, wanted).ok_or_else(|| QuantityError::UnknownUnit {
            unit: unit_text.trim().to_owned(),
            wanted,
        })?;
        total = Some(match total {
            None => {
                negative = number.text.starts_with('-');
                (
                    unit.kind,
                    unit.factor.mul_add(number.value, unit.offset),
                    unit.factor,
                )
            }
            Some((kind, value, factor)) => {
                let adds_up = matches!(kind, Kind::Length | Kind::Duration | Kind::Mass)
                    && unit.kind == kind
                    && unit.factor < factor
                    && !number.text.starts_with(['-', '+']);
                if !adds_up {
                    return Err(QuantityError::Parts { wanted });
                }
                let part = unit.factor * number.value;
                (
                    kind,
                    if negative { value - part } else { value + part },
                    unit.factor,
                )
            }
        });
        rest = after;
    }
    match total {
        Some((kind, value, _)) => Ok(Read::Quantity { kind, value }),
        None => Err(QuantityError::Empty { wanted }),
    }
}

/// Where a unit ends and the next number begins: after a space before a digit (but "/ 1000"), after `'`.
fn split_unit(text: &str) -> (&str, &str) {
    let mut last = ' ';
    for (at, c) in text.char_indices() {
        if c.is_ascii_digit() || c == '.' {
            let head = &text[..at];
            let spaced =
                head.ends_with(' ') && !head.trim_end().ends_with('/') && !head.trim().is_empty();
            let marked = matches!(last, '\'' | '"');
            let joined = last.is_ascii_alphabetic() && !matches!(c, '2' | '3' | '.');
            if spaced || marked || joined {
                return (head, &text[at..]);
            }
        }
        last = c;
    }
    (text, "")
}

/// "R-5", "R 13": the trade's name for h·ft²·°F/Btu.
fn r_value(text: &str, wanted: Kind) -> Option<Result<f64, QuantityError>> {
    if wanted != Kind::Resistance {
        return None;
    }
    let number = text
        .strip_prefix(['R', 'r'])?
        .trim_start_matches([' ', '-']);
    let number = match leading(number, true, wanted) {
        Ok(number) => number,
        Err(error) => return Some(Err(error)),
    };
    let unit = find("R", wanted)?;
    number
        .rest
        .is_empty()
        .then_some(Ok(number.value * unit.factor))
}

/// The factors of "4 ft x 8 ft"; one alone when nothing is multiplied.
fn factors(text: &str) -> Vec<&str> {
    let mut factors = Vec::new();
    let mut from = 0;
    for (at, c) in text.char_indices() {
        let after = &text[at + c.len_utf8()..];
        let digit_next = after
            .trim_start()
            .starts_with(|c: char| c.is_ascii_digit() || c == '.');
        let spaced = text[..at].ends_with([' ', '\'', '"']) && after.starts_with(' ');
        let times = match c {
            '×' | '*' => digit_next,
            'x' | 'X' => digit_next && spaced,
            _ => false,
        };
        if times && from < at {
            factors.push(text[from..at].trim());
            from = at + c.len_utf8();
        }
    }
    factors.push(text[from..].trim());
    factors
}

fn product(factors: &[&str], wanted: Kind) -> Result<f64, QuantityError> {
    let mut value = 1.0;
    let mut lengths = 0;
    let mut others = 0;
    let mut bare = 0;
    for factor in factors {
        match sum(factor, Kind::Length)? {
            Read::Number(_) => {
                value *= leading(factor, true, wanted)?.value;
                bare += 1;
            }
            Read::Quantity {
                kind: Kind::Length,
                value: length,
            } => {
                value *= length;
                lengths += 1;
            }
            Read::Quantity { kind, .. } => {
                if kind != wanted {
                    return Err(QuantityError::WrongKind {
                        found: kind,
                        wanted,
                    });
                }
                value *= parse(factor, wanted)?;
                others += 1;
            }
        }
    }
    let found = match (lengths, others) {
        (0, 1) => return believable(value),
        (1, 0) => Kind::Length,
        (2, 0) => Kind::Area,
        (3, 0) => Kind::Volume,
        _ => return Err(QuantityError::Parts { wanted }),
    };
    if found == wanted {
        return believable(value);
    }
    if bare > 0 {
        // "4 x 8 ft" for an area: the first number probably lacks its unit.
        return Err(QuantityError::Ambiguous {
            instead: format!("each number with its unit, like {}", wanted.examples()),
        });
    }
    Err(QuantityError::WrongKind { found, wanted })
}

/// Currency signs read in front of a number.
const SIGNS: [&str; 14] = [
    "US$", "A$", "AU$", "C$", "CA$", "NZ$", "R$", "$", "€", "£", "¥", "₹", "kr", "Fr.",
];

fn currency_prefix(text: &str) -> Option<(String, &str)> {
    let follows = |rest: &str| {
        rest.trim_start()
            .starts_with(|c: char| c.is_ascii_digit() || c == '.')
    };
    for sign in SIGNS {
        if let Some(rest) = text.strip_prefix(sign).filter(|rest| follows(rest)) {
            return Some((sign.to_owned(), rest.trim_start()));
        }
    }
    let code = text
        .get(..3)
        .filter(|code| code.bytes().all(|b| b.is_ascii_uppercase()))?;
    let rest = &text[3..];
    follows(rest).then(|| (code.to_owned(), rest.trim_start()))
}

fn is_currency(text: &str) -> bool {
    let code = text.len() == 3 && text.bytes().all(|b| b.is_ascii_uppercase());
    SIGNS.contains(&text) || (code && find(text, Kind::Money).is_none())
}

/// The top and bottom of "$/kWh" or "$ per kWh".
fn split_per(text: &str) -> Option<(&str, &str)> {
    text.split_once('/')
        .or_else(|| text.split_once(" per "))
        .or_else(|| text.strip_prefix("per ").map(|bottom| ("", bottom)))
}

/// What "1000 gal" or "kWh" below the line stands for.
fn per_amount(text: &str, wanted: Kind) -> Result<(Kind, f64), QuantityError> {
    let text = text.trim();
    let (count, unit_text) = match leading(text, false, wanted) {
        Ok(number) => (number.value, number.rest),
        Err(_) => (1.0, text),
    };
    let prefer = if wanted == Kind::VolumePrice {
        Kind::Volume
    } else {
        Kind::Energy
    };
    let unit = find(unit_text, prefer).ok_or_else(|| QuantityError::UnknownUnit {
        unit: unit_text.to_owned(),
        wanted,
    })?;
    let found = match unit.kind {
        Kind::Energy => Kind::EnergyPrice,
        Kind::Volume => Kind::VolumePrice,
        _ => {
            return Err(QuantityError::UnknownUnit {
                unit: unit_text.to_owned(),
                wanted,
            });
        }
    };
    if count <= 0.0 {
        return Err(QuantityError::NotFinite);
    }
    Ok((found, count * unit.factor))
}

/// Which kind of price a text is that should have been something else.
fn money_kind(text: &str) -> Option<Kind> {
    let unsigned = text.trim_start_matches('-').trim_start();
    let has_prefix = currency_prefix(unsigned).is_some();
    let amount = currency_prefix(unsigned).map_or(unsigned, |(_, rest)| rest);
    let number = leading(amount, false, Kind::Money).ok()?;
    let (top, bottom) = split_per(number.rest).unwrap_or((number.rest, ""));
    if !has_prefix && !SIGNS.contains(&top.trim()) {
        return None;
    }
    match per_amount(bottom, Kind::EnergyPrice) {
        Ok((kind, _)) if !bare_spelling(bottom).is_empty() => Some(kind),
        _ => Some(Kind::Money),
    }
}

#[cfg(test)]
mod tests {
    use super::sides;

    /// By hand: 2 ft = 0.6096 m, 16 ft = 4.8768 m.
    #[test]
    fn two_measures_are_kept_apart() {
        let (length, width) = sides("2 ft x 16 ft").expect("two lengths");
        assert!((length - 0.6096).abs() < 1e-12 && (width - 4.8768).abs() < 1e-12);
        assert!(sides("32 ft2").is_none());
        assert!(sides("2 x 16 ft2").is_none());
        assert!(sides("3 x 2 ft x 4 ft").is_none());
    }
}
