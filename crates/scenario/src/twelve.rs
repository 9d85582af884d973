//! Twelve monthly values in one text with one unit, as a row of a climate table is copied, or in a list.

use std::ops::RangeInclusive;

use swimdays_quantity::{Kind, month_name, parse};
use swimdays_weather::normals::month_days;

use crate::document::{Node, Value};
use crate::section::Section;
use crate::walk::{Field, Walk};

/// What the twelve values are.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Measure {
    /// A quantity that is read as everywhere else; its value is multiplied by the factor.
    Quantity(Kind, f64),
    /// Sun of the mean day on level ground, kWh/m².
    Sun,
    /// Hours of sunshine of the mean day.
    Sunshine,
    /// A share: percent, or bare numbers up to 1.
    Share,
    /// Days of the month.
    Days,
}

/// One row of the climate table.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub(crate) measure: Measure,
    /// What may stand there, for people.
    pub(crate) allowed: &'static str,
    /// In the unit of the measure.
    pub(crate) range: RangeInclusive<f64>,
}

/// What is wrong, and what to do.
type Refusal = (String, String);

impl Section<'_> {
    /// Twelve values, January to December.
    pub(crate) fn twelve(&mut self, walk: &mut Walk<'_>, key: &str, row: &Row) -> Field<[f64; 12]> {
        let Some(node) = self.ask(walk, key) else {
            return Field::Absent;
        };
        let pieces = match &node.value {
            Value::Text(text) => pieces(text),
            Value::List(list) => list_pieces(list),
            _ => {
                self.wrong_type(walk, key, node, row.allowed);
                return Field::Wrong;
            }
        };
        let read = pieces.and_then(|pieces| {
            let mut values = [0.0; 12];
            for (at, (value, piece)) in values.iter_mut().zip(&pieces).enumerate() {
                *value = month_value(at, piece, row)?;
            }
            Ok(values)
        });
        match read {
            Ok(values) => Field::Given(values),
            Err((problem, advice)) => {
                self.wrong(walk, key, problem, row.allowed, advice);
                Field::Wrong
            }
        }
    }
}

fn month_value(at: usize, piece: &str, row: &Row) -> Result<f64, Refusal> {
    let month = month_name(u32::try_from(at).unwrap_or(0) + 1);
    let value = one(row.measure, piece, month_days(at))
        .map_err(|(problem, advice)| (format!("{month}: {piece} {problem}"), advice))?;
    if row.range.contains(&value) {
        return Ok(value);
    }
    let advice = match row.measure {
        Measure::Sunshine => {
            "hours are those of a day; where the table has sums of the month, write h/month behind"
        }
        Measure::Share => "write % behind percentages",
        _ => "check the number and its unit",
    };
    Err((
        format!("{month}: {piece} is outside what is plausible"),
        advice.to_owned(),
    ))
}

/// A token that is nothing but a number.
fn is_number(token: &str) -> bool {
    token.parse::<f64>().is_ok_and(f64::is_finite)
}

fn count_refusal(count: usize) -> Refusal {
    let advice = match count {
        13 => "leave out the mean or sum of the year",
        _ => "write a value for each month, January to December, spaces between",
    };
    (
        format!("has {count} values, twelve are wanted"),
        advice.into(),
    )
}

/// Twelve texts with a unit each, from "31 34 … 36 F", "31, 34, …, 36 F" or "31 F, 34 F, …, 36 F".
fn pieces(text: &str) -> Result<Vec<String>, Refusal> {
    let text = text.replace(['\u{2212}', '\u{2013}'], "-");
    let tokens: Vec<&str> = text
        .split_whitespace()
        .map(|token| token.trim_end_matches([',', ';']))
        .filter(|token| !token.is_empty())
        .collect();
    let numbers = tokens.iter().take_while(|token| is_number(token)).count();
    if numbers == 12 {
        let unit = tokens[12..].join(" ");
        return Ok(tokens[..12]
            .iter()
            .map(|number| format!("{number} {unit}").trim_end().to_owned())
            .collect());
    }
    let parts: Vec<&str> = text
        .split([',', ';'])
        .map(str::trim)
        .filter(|part| !part.is_empty())
        .collect();
    if parts.len() == 12 {
        let unit = parts[11].split_once(' ').map_or("", |(_, unit)| unit);
        return Ok(parts
            .iter()
            .map(|part| {
                if is_number(part) {
                    format!("{part} {unit}").trim_end().to_owned()
                } else {
                    (*part).to_owned()
                }
            })
            .collect());
    }
    Err(count_refusal(if numbers > 1 {
        numbers
    } else {
        parts.len()
    }))
}

/// The items of a list: texts with their unit, or bare numbers where there is none.
fn list_pieces(list: &[Node]) -> Result<Vec<String>, Refusal> {
    if list.len() != 12 {
        return Err(count_refusal(list.len()));
    }
    list.iter()
        .map(|item| match &item.value {
            Value::Text(text) => Ok(text.replace(['\u{2212}', '\u{2013}'], "-")),
            Value::Number(number) => Ok(number.to_string()),
            _ => Err((
                "holds something that is no value".to_owned(),
                "write twelve numbers and their unit in one text".to_owned(),
            )),
        })
        .collect()
}

/// One value in the unit of its measure.
fn one(measure: Measure, piece: &str, days: f64) -> Result<f64, Refusal> {
    let no_unit = || {
        (
            "has no unit".to_owned(),
            "write the unit once, behind the twelve numbers".to_owned(),
        )
    };
    if let Measure::Quantity(kind, factor) = measure {
        if is_number(piece) {
            return Err(no_unit());
        }
        return parse(piece, kind)
            .map(|value| value * factor)
            .map_err(|error| (error.to_string(), error.advice()));
    }
    let (number, unit) = piece.split_once(' ').unwrap_or((piece, ""));
    let number: f64 = number.parse().map_err(|_| {
        (
            "is not a number with a unit".to_owned(),
            "write numbers with a decimal point, spaces between".to_owned(),
        )
    })?;
    let unit = spelling(unit);
    let factor = match (measure, unit.as_str()) {
        (Measure::Sun, "kwh/m2" | "kwh/m2/d") | (Measure::Sunshine, "h" | "h/d") => 1.0,
        (Measure::Days, "" | "d" | "d/month") => 1.0,
        (Measure::Sun, "mj/m2" | "mj/m2/d") => 1.0 / 3.6,
        (Measure::Sun, "wh/m2" | "wh/m2/d") => 1e-3,
        (Measure::Sun, "w/m2") => 0.024,
        (Measure::Sun, "kwh/m2/month") | (Measure::Sunshine, "h/month") => 1.0 / days,
        (Measure::Sun, "mj/m2/month") => 1.0 / 3.6 / days,
        (Measure::Share, "%") => 0.01,
        (Measure::Share, "") => 1.0,
        (_, "") => return Err(no_unit()),
        _ => {
            return Err((
                "has a unit that is none of it".to_owned(),
                "take one of the units allowed".to_owned(),
            ));
        }
    };
    Ok(number * factor)
}

/// A unit in one spelling: "kWh/m² a day" becomes "kwh/m2/d".
fn spelling(unit: &str) -> String {
    let mut unit = unit
        .to_lowercase()
        .replace(['²'], "2")
        .replace("^2", "2")
        .replace("sq m", "m2");
    for (long, short) in [
        ("hours", "h"),
        ("hour", "h"),
        ("hrs", "h"),
        (" per ", "/"),
        (" a ", "/"),
        ("days", "d"),
        ("day", "d"),
    ] {
        unit = unit.replace(long, short);
    }
    unit.replace(' ', "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_read_as_they_are_copied() {
        let months: Vec<String> = (1..=12).map(|n| n.to_string()).collect();
        for text in [
            "1 2 3 4 5 6 7 8 9 10 11 12 F",
            "1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 F",
            "1,2,3,4,5,6,7,8,9,10,11,12 F",
            "1 F, 2 F, 3 F, 4 F, 5 F, 6 F, 7 F, 8 F, 9 F, 10 F, 11 F, 12 F",
            "1\t2\t3\t4\t5\t6\t7\t8\t9\t10\t11\t12\tF",
        ] {
            let expected: Vec<String> = months.iter().map(|n| format!("{n} F")).collect();
            assert_eq!(pieces(text).expect(text), expected, "{text}");
        }
        let cold = pieces("−1 –2 -3 4 5 6 7 8 9 10 11 12 °C").expect("three kinds of minus");
        assert_eq!(cold[..3], ["-1 °C", "-2 °C", "-3 °C"]);
        for (text, count) in [
            ("1 2 3 F", "3"),
            ("1 2 3 4 5 6 7 8 9 10 11 12 13 F", "13"),
            ("31 F", "1"),
        ] {
            let (problem, _) = pieces(text).expect_err(text);
            assert!(
                problem.contains(&format!("has {count} values")),
                "{problem}"
            );
        }
    }

    #[test]
    fn units_of_sun_and_sunshine_are_those_of_tables() {
        // By hand: 3.6 MJ are one kWh; 1000 W/m² over 24 h are 24 kWh; 155 h over the 31 days of January are 5 a day.
        for (measure, piece, expected) in [
            (Measure::Sun, "4.5 kWh/m² a day", 4.5),
            (Measure::Sun, "18 MJ/m2/day", 5.0),
            (Measure::Sun, "250 W/m2", 6.0),
            (Measure::Sun, "4500 Wh/m2 per day", 4.5),
            (Measure::Sun, "93 kWh/m2/month", 3.0),
            (Measure::Sunshine, "155 hours a month", 5.0),
            (Measure::Sunshine, "5 h", 5.0),
            (Measure::Share, "70 %", 0.7),
            (Measure::Share, "0.7", 0.7),
            (Measure::Days, "9", 9.0),
            (Measure::Quantity(Kind::Temperature, 1.0), "50 F", 10.0),
            (Measure::Quantity(Kind::Length, 1000.0), "2 in", 50.8),
        ] {
            let found = one(measure, piece, 31.0).expect(piece);
            assert!((found - expected).abs() < 1e-12, "{piece}: {found}");
        }
        assert!(one(Measure::Sun, "4.5", 31.0).is_err());
        assert!(one(Measure::Sun, "4.5 ft", 31.0).is_err());
    }
}
