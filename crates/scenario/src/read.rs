//! Each key read as what it should be: text, number, word, quantity, hours.

use std::ops::RangeInclusive;

use swimdays_quantity::{DayHours, Kind, QuantityError, parse, parse_price};

use crate::document::{Node, Value};
use crate::section::Section;
use crate::walk::{Field, Walk, Words, joined, nearest, or_words};

impl<'d> Section<'d> {
    /// Text in quotes.
    pub(crate) fn text(&mut self, walk: &mut Walk<'_>, key: &str) -> Field<&'d str> {
        match self.ask(walk, key) {
            None => Field::Absent,
            Some(Node {
                value: Value::Text(text),
                ..
            }) => Field::Given(text),
            Some(node) => {
                self.wrong_type(walk, key, node, "text in quotes");
                Field::Wrong
            }
        }
    }

    /// One text or a list of texts, none of them empty.
    pub(crate) fn texts(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        allowed: &str,
    ) -> Field<Vec<String>> {
        let Some(node) = self.ask(walk, key) else {
            return Field::Absent;
        };
        let list = match &node.value {
            Value::Text(_) => std::slice::from_ref(node),
            Value::List(list) => list.as_slice(),
            _ => &[],
        };
        let mut texts = Vec::new();
        for item in list {
            match &item.value {
                Value::Text(text) if !text.trim().is_empty() => texts.push(text.clone()),
                Value::Text(_) => {
                    walk.report(
                        &item.place,
                        &self.key(key),
                        item.shown(),
                        "is empty",
                        allowed,
                        "name the file",
                    );
                    return Field::Wrong;
                }
                _ => {
                    self.wrong_type(walk, key, item, allowed);
                    return Field::Wrong;
                }
            }
        }
        if texts.is_empty() {
            self.wrong_type(walk, key, node, allowed);
            return Field::Wrong;
        }
        Field::Given(texts)
    }

    /// Takes note that a key is read elsewhere.
    pub(crate) fn read_elsewhere(&mut self, walk: &mut Walk<'_>, key: &str) {
        let _ = self.ask(walk, key);
    }

    /// Yes or no.
    pub(crate) fn flag(&mut self, walk: &mut Walk<'_>, key: &str) -> Field<bool> {
        match self.ask(walk, key) {
            None => Field::Absent,
            Some(Node {
                value: Value::Bool(yes),
                ..
            }) => Field::Given(*yes),
            Some(node) => {
                self.wrong_type(walk, key, node, "true or false, without quotes");
                Field::Wrong
            }
        }
    }

    /// A count, share or coefficient: a bare number.
    pub(crate) fn number(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        range: RangeInclusive<f64>,
    ) -> Field<f64> {
        let Some(node) = self.ask(walk, key) else {
            return Field::Absent;
        };
        let allowed = format!("a bare number from {} to {}", range.start(), range.end());
        match node.value {
            Value::Number(number) if range.contains(&number) => Field::Given(number),
            Value::Number(_) => {
                walk.report(
                    &node.place,
                    &self.key(key),
                    node.shown(),
                    "is outside what is possible here",
                    allowed,
                    "check the number",
                );
                Field::Wrong
            }
            _ => {
                self.wrong_type(walk, key, node, &allowed);
                Field::Wrong
            }
        }
    }

    /// A whole number.
    pub(crate) fn count(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        range: RangeInclusive<u32>,
    ) -> Field<u32> {
        let (low, high) = (*range.start(), *range.end());
        match self.number(walk, key, f64::from(low)..=f64::from(high)) {
            Field::Given(number) => match range
                .clone()
                .find(|n| (f64::from(*n) - number).abs() < 1e-9)
            {
                Some(count) => Field::Given(count),
                None => {
                    self.wrong(
                        walk,
                        key,
                        "is not a whole number",
                        format!("a whole number from {low} to {high}"),
                        "leave out the decimals",
                    );
                    Field::Wrong
                }
            },
            Field::Absent => Field::Absent,
            Field::Wrong => Field::Wrong,
        }
    }

    /// Two bare numbers, the smaller first.
    pub(crate) fn pair(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        range: RangeInclusive<f64>,
    ) -> Field<(f64, f64)> {
        let Some(node) = self.ask(walk, key) else {
            return Field::Absent;
        };
        let allowed = format!(
            "two bare numbers, the smaller first, from {} to {}, such as [{}, {}]",
            range.start(),
            range.end(),
            range.start(),
            range.end()
        );
        let Value::List(list) = &node.value else {
            self.wrong_type(walk, key, node, &allowed);
            return Field::Wrong;
        };
        if let [
            Node {
                value: Value::Number(low),
                ..
            },
            Node {
                value: Value::Number(high),
                ..
            },
        ] = list.as_slice()
            && low <= high
            && range.contains(low)
            && range.contains(high)
        {
            return Field::Given((*low, *high));
        }
        walk.report(
            &node.place,
            &self.key(key),
            node.shown(),
            "is not a low and a high end",
            allowed,
            "write the low end, then the high end",
        );
        Field::Wrong
    }

    /// One of some words.
    pub(crate) fn word<T: Clone>(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        words: Words<'_, T>,
    ) -> Field<T> {
        let Some(node) = self.ask(walk, key) else {
            return Field::Absent;
        };
        let list = or_words(words.iter().map(|(word, _)| *word));
        let Value::Text(text) = &node.value else {
            self.wrong_type(
                walk,
                key,
                node,
                &format!("one of the words {list}, in quotes"),
            );
            return Field::Wrong;
        };
        if let Some((_, meaning)) = words.iter().find(|(word, _)| word == text) {
            return Field::Given(meaning.clone());
        }
        let advice = nearest(text, words.iter().map(|(word, _)| *word)).map_or_else(
            || "take one of these words".to_owned(),
            |near| format!("did you mean \"{near}\"?"),
        );
        walk.report(
            &node.place,
            &self.key(key),
            node.shown(),
            "is not a word known here",
            list,
            advice,
        );
        Field::Wrong
    }

    /// A quantity with its unit, within plausible ends given in the unit of its kind.
    pub(crate) fn quantity(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        kind: Kind,
        range: RangeInclusive<f64>,
    ) -> Field<f64> {
        let read = |text: &str| parse(text, kind);
        let value = match self.read(walk, key, kind, read) {
            Field::Given(value) => value,
            other => return other,
        };
        if range.contains(&value) {
            return Field::Given(value);
        }
        let allowed = walk.units.format_range(kind, *range.start(), *range.end());
        self.wrong(
            walk,
            key,
            "is outside what is plausible",
            allowed,
            "check the number and its unit",
        );
        Field::Wrong
    }

    /// The two lengths of an area written as "4 ft x 8 ft".
    pub(crate) fn sides(&self, key: &str) -> Option<(f64, f64)> {
        match &self.table?.get(key)?.value {
            Value::Text(text) => swimdays_quantity::sides(text),
            _ => None,
        }
    }

    /// A cost or price; the currency must be the scenario's where one is written.
    pub(crate) fn price(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        kind: Kind,
        currency: &str,
    ) -> Field<f64> {
        match self.read(walk, key, kind, |text| parse_price(text, kind)) {
            Field::Given(price) => {
                if let Some(written) = price.currency.filter(|c| c != currency) {
                    self.wrong(
                        walk,
                        key,
                        format!("is in {written}, the scenario's currency is {currency}"),
                        format!("an amount in {currency}"),
                        format!("write it in {currency}, or set prices.currency = \"{written}\""),
                    );
                    return Field::Wrong;
                }
                if price.value < 0.0 {
                    self.wrong(
                        walk,
                        key,
                        "is below zero",
                        "zero or more",
                        "leave out the minus",
                    );
                    return Field::Wrong;
                }
                Field::Given(price.value)
            }
            Field::Absent => Field::Absent,
            Field::Wrong => Field::Wrong,
        }
    }

    /// A quantity read from text.
    fn read<T>(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        kind: Kind,
        with: impl Fn(&str) -> Result<T, QuantityError>,
    ) -> Field<T> {
        self.read_or_word(walk, key, kind, None, with)
    }

    /// A quantity read from text, or a word in its place, which `with` knows.
    pub(crate) fn read_or_word<T>(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        kind: Kind,
        word: Option<&str>,
        with: impl Fn(&str) -> Result<T, QuantityError>,
    ) -> Field<T> {
        let Some(node) = self.ask(walk, key) else {
            return Field::Absent;
        };
        let mut allowed = format!("{kind}, such as {}", kind.examples());
        if let Some(word) = word {
            allowed = format!("{allowed}; or {word}");
        }
        let error = match &node.value {
            Value::Text(text) => match with(text) {
                Ok(value) => return Field::Given(value),
                Err(error) => error,
            },
            Value::Number(number) => QuantityError::BareNumber {
                number: number.to_string(),
                wanted: kind,
            },
            _ => {
                self.wrong_type(walk, key, node, &allowed);
                return Field::Wrong;
            }
        };
        let advice = error.advice();
        walk.report(
            &node.place,
            &self.key(key),
            node.shown(),
            error.to_string(),
            allowed,
            advice,
        );
        Field::Wrong
    }

    /// Text read by a reader that has no kind: directions, clock times, dates.
    pub(crate) fn parsed<T>(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        allowed: &str,
        with: impl Fn(&str) -> Result<T, QuantityError>,
    ) -> Field<T> {
        let Some(node) = self.ask(walk, key) else {
            return Field::Absent;
        };
        let Value::Text(text) = &node.value else {
            self.wrong_type(walk, key, node, &format!("{allowed}, in quotes"));
            return Field::Wrong;
        };
        match with(text) {
            Ok(value) => Field::Given(value),
            Err(error) => {
                let advice = error.advice();
                walk.report(
                    &node.place,
                    &self.key(key),
                    node.shown(),
                    error.to_string(),
                    allowed,
                    advice,
                );
                Field::Wrong
            }
        }
    }

    /// Hours by month: a table whose keys are months, such as `{ may = "10:00-16:00", jul = "9:00-18:00" }`.
    /// Months left out have no hours.
    pub(crate) fn hours_by_month(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
    ) -> Field<[Vec<DayHours>; 12]> {
        const ALLOWED: &str =
            "a table of hours by month, such as { may = \"10:00-16:00\", jul = \"9:00-18:00\" }";
        let Some(node) = self.ask(walk, key) else {
            return Field::Absent;
        };
        let Value::Table(table) = &node.value else {
            self.wrong_type(walk, key, node, ALLOWED);
            return Field::Wrong;
        };
        let mut hours = [const { Vec::new() }; 12];
        let mut good = true;
        for entry in &table.entries {
            let path = joined(&self.key(key), &entry.key);
            let month = swimdays_quantity::month(&entry.key);
            let read = match &entry.node.value {
                Value::Text(text) => swimdays_quantity::day_hours(text).map_err(Some),
                _ => Err(None),
            };
            match (month, read) {
                (Ok(month), Ok(windows)) => hours[month as usize - 1] = windows,
                (Err(error), _) => {
                    good = false;
                    walk.report(
                        &entry.key_place,
                        &path,
                        String::new(),
                        error.to_string(),
                        ALLOWED,
                        error.advice(),
                    );
                }
                (_, Err(error)) => {
                    good = false;
                    let problem = error
                        .as_ref()
                        .map_or("is not text".to_owned(), ToString::to_string);
                    let advice = error.as_ref().map_or(
                        "write the hours in quotes".to_owned(),
                        QuantityError::advice,
                    );
                    walk.report(
                        &entry.node.place,
                        &path,
                        entry.node.shown(),
                        problem,
                        ALLOWED,
                        advice,
                    );
                }
            }
        }
        if good {
            Field::Given(hours)
        } else {
            Field::Wrong
        }
    }
}
