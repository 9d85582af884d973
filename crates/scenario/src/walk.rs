//! Walking the tree: each key is asked for by name, read as what it should be, and noted when left out.

use std::collections::BTreeSet;
use std::ops::RangeInclusive;

use swimdays_quantity::{DayHours, Kind, QuantityError, Units, parse, parse_price};
use swimdays_season::Assumption;

use crate::diagnostic::Diagnostic;
use crate::document::{Node, Place, Table, Value, line_column};

/// What was found where a key was asked for.
#[derive(Clone, Debug)]
pub(crate) enum Field<T> {
    /// Nothing.
    Absent,
    /// Something wrong, already reported.
    Wrong,
    /// A value.
    Given(T),
}

impl<T> Field<T> {
    pub(crate) fn is_absent(&self) -> bool {
        matches!(self, Self::Absent)
    }

    pub(crate) fn given(self) -> Option<T> {
        match self {
            Self::Given(value) => Some(value),
            _ => None,
        }
    }

    /// The value, or a stand-in; a stand-in for something wrong is never used, since the scenario is refused.
    pub(crate) fn or(self, stand_in: T) -> T {
        self.given().unwrap_or(stand_in)
    }

    pub(crate) fn map<U>(self, with: impl FnOnce(T) -> U) -> Field<U> {
        match self {
            Self::Absent => Field::Absent,
            Self::Wrong => Field::Wrong,
            Self::Given(value) => Field::Given(with(value)),
        }
    }
}

/// A value that is taken when nothing is said, and where it comes from.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Usual<T> {
    pub(crate) value: T,
    pub(crate) source: &'static str,
}

/// Words that may stand somewhere and what they mean.
pub(crate) type Words<'w, T> = &'w [(&'static str, T)];

/// Lengths below this are shown in inches or millimetres.
const SMALL_LENGTH_M: f64 = 0.15;

/// What goes along the walk.
pub(crate) struct Walk<'d> {
    label: &'d str,
    text: &'d str,
    sets: &'d [String],
    pub(crate) units: Units,
    pub(crate) errors: Vec<Diagnostic>,
    pub(crate) assumptions: Vec<Assumption>,
    /// Paths of all keys asked for, heaters without their names.
    pub(crate) asked: BTreeSet<String>,
}

impl<'d> Walk<'d> {
    pub(crate) fn new(label: &'d str, text: &'d str, sets: &'d [String]) -> Self {
        Self {
            label,
            text,
            sets,
            units: Units::default(),
            errors: Vec::new(),
            assumptions: Vec::new(),
            asked: BTreeSet::new(),
        }
    }

    /// Notes something wrong at a place.
    pub(crate) fn report(
        &mut self,
        place: &Place,
        key: &str,
        found: String,
        problem: impl Into<String>,
        allowed: impl Into<String>,
        advice: impl Into<String>,
    ) {
        let (file, line, column) = match place {
            Place::File(span) => {
                let (line, column) = line_column(self.text, span.start);
                (self.label.to_owned(), Some(line), Some(column))
            }
            Place::Set(at) => {
                let set = self.sets.get(*at).map_or("", String::as_str);
                (format!("--set {set}"), None, None)
            }
        };
        self.errors.push(Diagnostic {
            file,
            line,
            column,
            key: key.to_owned(),
            found,
            problem: problem.into(),
            allowed: allowed.into(),
            advice: advice.into(),
        });
    }

    /// Notes a value that was taken because nothing was said.
    pub(crate) fn assume(&mut self, key: String, value: String, source: &str) {
        self.assumptions.push(Assumption {
            key,
            value,
            source: source.to_owned(),
        });
    }
}

/// What is said of a key that must be there and is not.
pub(crate) const MISSING: &str = "is missing";

/// One table of the scenario.
pub(crate) struct Section<'d> {
    table: Option<&'d Table>,
    place: Place,
    /// As a person writes it: `heater.board.tube`.
    path: String,
    /// Without the names of heaters: `heater.tube`.
    schema: String,
    asked: Vec<String>,
}

impl<'d> Section<'d> {
    pub(crate) fn root(table: &'d Table) -> Self {
        Self {
            table: Some(table),
            place: Place::File(0..0),
            path: String::new(),
            schema: String::new(),
            asked: Vec::new(),
        }
    }

    /// Whether the table was written at all.
    pub(crate) fn is_written(&self) -> bool {
        self.table.is_some()
    }

    /// Full path of a key, for people.
    pub(crate) fn key(&self, key: &str) -> String {
        joined(&self.path, key)
    }

    /// The table's own path, for people.
    pub(crate) fn path(&self) -> &str {
        &self.path
    }

    /// Where the table begins.
    pub(crate) fn place(&self) -> &Place {
        &self.place
    }

    /// Whether a key stands there, whatever its value.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.table.is_some_and(|t| t.get(key).is_some())
    }

    fn ask(&mut self, walk: &mut Walk<'_>, key: &str) -> Option<&'d Node> {
        if !self.asked.iter().any(|k| k == key) {
            self.asked.push(key.to_owned());
            walk.asked.insert(joined(&self.schema, key));
        }
        self.table?.get(key)
    }

    /// A table within this one; absent tables can be walked as well, they are empty.
    pub(crate) fn section(&mut self, walk: &mut Walk<'_>, key: &str) -> Section<'d> {
        let mut inner = Section {
            table: None,
            place: self.place.clone(),
            path: self.key(key),
            schema: joined(&self.schema, key),
            asked: Vec::new(),
        };
        if let Some(node) = self.ask(walk, key) {
            inner.place = node.place.clone();
            match &node.value {
                Value::Table(table) => inner.table = Some(table),
                _ => {
                    self.wrong_type(
                        walk,
                        key,
                        node,
                        &format!("a table, written as [{}]", inner.schema),
                    );
                }
            }
        }
        inner
    }

    /// A list of tables, written as `[[key]]`. `name` gives each its path.
    pub(crate) fn sections(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        name: impl Fn(usize, &Table) -> String,
    ) -> Vec<Section<'d>> {
        let schema = joined(&self.schema, key);
        let allowed = format!("tables, each written as [[{schema}]]");
        let Some(node) = self.ask(walk, key) else {
            return Vec::new();
        };
        let Value::List(list) = &node.value else {
            self.wrong_type(walk, key, node, &allowed);
            return Vec::new();
        };
        let mut all = Vec::new();
        for (at, item) in list.iter().enumerate() {
            if let Value::Table(table) = &item.value {
                all.push(Section {
                    table: Some(table),
                    place: item.place.clone(),
                    path: joined(&self.key(key), &name(at, table)),
                    schema: schema.clone(),
                    asked: Vec::new(),
                });
            } else {
                self.wrong_type(walk, key, item, &allowed);
            }
        }
        all
    }

    /// Reports keys that nobody asked for.
    pub(crate) fn finish(self, walk: &mut Walk<'_>) {
        let Some(table) = self.table else { return };
        for entry in &table.entries {
            if self.asked.contains(&entry.key) {
                continue;
            }
            let near = nearest(&entry.key, self.asked.iter().map(String::as_str));
            let advice = near.map_or_else(
                || "take it out".to_owned(),
                |near| format!("did you mean `{near}`?"),
            );
            if let Some(near) = near.map(|near| self.key(near)) {
                // Said once: a key that is missing because it is misspelt.
                walk.errors
                    .retain(|d| d.problem != MISSING || d.key != near);
            }
            let mut known: Vec<&str> = self.asked.iter().map(String::as_str).collect();
            known.sort_unstable();
            walk.report(
                &entry.key_place,
                &self.key(&entry.key),
                String::new(),
                format!("there is no key `{}` here", entry.key),
                known.join(", "),
                advice,
            );
        }
    }

    /// Reports a key that must be there and is not.
    pub(crate) fn missing(&self, walk: &mut Walk<'_>, key: &str, allowed: &str, advice: &str) {
        walk.report(
            &self.place,
            &self.key(key),
            String::new(),
            MISSING,
            allowed,
            advice,
        );
    }

    /// Reports something wrong with a key that stands there.
    pub(crate) fn wrong(
        &self,
        walk: &mut Walk<'_>,
        key: &str,
        problem: impl Into<String>,
        allowed: impl Into<String>,
        advice: impl Into<String>,
    ) {
        let node = self.table.and_then(|t| t.get(key));
        let (place, found) = match node {
            Some(node) => (node.place.clone(), node.shown()),
            None => (self.place.clone(), String::new()),
        };
        walk.report(&place, &self.key(key), found, problem, allowed, advice);
    }

    /// Reports two ways of saying one thing.
    pub(crate) fn conflict(&self, walk: &mut Walk<'_>, key: &str, with: &str) -> bool {
        let both = self.has(key) && self.has(with);
        if both {
            self.wrong(
                walk,
                key,
                format!("`{key}` and `{with}` both say the same thing"),
                "",
                format!("keep one of `{key}` and `{with}`"),
            );
        }
        both
    }

    /// Reports a key that has no meaning beside the value of another, unless that value was set on the command
    /// line: who tries another kind there need not take out what belongs to the file's.
    pub(crate) fn misplaced(
        &self,
        walk: &mut Walk<'_>,
        key: &str,
        governed_by: &str,
        problem: &str,
        advice: &str,
    ) {
        let governing = self.table.and_then(|t| t.get(governed_by));
        let tried = governing.is_some_and(|node| matches!(node.place, Place::Set(_)));
        if self.has(key) && !tried {
            self.wrong(walk, key, problem, "", advice);
        }
    }

    fn wrong_type(&self, walk: &mut Walk<'_>, key: &str, node: &Node, allowed: &str) {
        let what = match node.value {
            Value::Text(_) => "text",
            Value::Number(_) => "a bare number",
            Value::Bool(_) => "true or false",
            Value::Date(_) => "a date or time without quotes",
            Value::List(_) => "a list",
            Value::Table(_) => "a table",
        };
        let advice = match &node.value {
            Value::Date(date) => format!("put it in quotes: \"{date}\""),
            Value::Text(_) => "write it without quotes, in one of the ways allowed".to_owned(),
            Value::Number(_) | Value::Bool(_) => {
                "write it in quotes, in one of the ways allowed".to_owned()
            }
            Value::List(_) | Value::Table(_) => {
                "docs/scenario.md shows how it is written".to_owned()
            }
        };
        walk.report(
            &node.place,
            &self.key(key),
            node.shown(),
            format!("is {what}"),
            allowed,
            advice,
        );
    }

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
        let show = |end: f64| walk.units.format_short(kind, end, 2);
        let allowed = format!("{} to {}", show(*range.start()), show(*range.end()));
        self.wrong(
            walk,
            key,
            "is outside what is plausible",
            allowed,
            "check the number and its unit",
        );
        Field::Wrong
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
        let advice = sentence(&error);
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
                let advice = sentence(&error);
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
                        sentence(&error),
                    );
                }
                (_, Err(error)) => {
                    good = false;
                    let problem = error
                        .as_ref()
                        .map_or("is not text".to_owned(), ToString::to_string);
                    let advice = error
                        .as_ref()
                        .map_or("write the hours in quotes".to_owned(), sentence);
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

    /// The value, or a default that is noted among the assumptions as `shown`.
    pub(crate) fn or_assume<T>(
        &self,
        walk: &mut Walk<'_>,
        key: &str,
        field: Field<T>,
        default: Usual<T>,
        shown: impl FnOnce(&T, Units) -> String,
    ) -> T {
        if field.is_absent() {
            let text = shown(&default.value, walk.units);
            walk.assume(self.key(key), text, default.source);
        }
        field.or(default.value)
    }

    /// A quantity, or a default that is noted among the assumptions.
    pub(crate) fn quantity_or(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        kind: Kind,
        range: RangeInclusive<f64>,
        default: Usual<f64>,
    ) -> f64 {
        let field = self.quantity(walk, key, kind, range);
        self.or_assume(walk, key, field, default, |value, units| {
            if kind == Kind::Length && value.abs() < SMALL_LENGTH_M {
                units.format_small_length(*value, 2)
            } else {
                units.format_short(kind, *value, 2)
            }
        })
    }

    /// A bare number, or a default that is noted among the assumptions.
    pub(crate) fn number_or(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        range: RangeInclusive<f64>,
        default: Usual<f64>,
    ) -> f64 {
        let field = self.number(walk, key, range);
        self.or_assume(walk, key, field, default, |value, _| value.to_string())
    }

    /// Yes or no, or a default that is noted among the assumptions.
    pub(crate) fn flag_or(&mut self, walk: &mut Walk<'_>, key: &str, default: Usual<bool>) -> bool {
        let field = self.flag(walk, key);
        self.or_assume(walk, key, field, default, |value, _| value.to_string())
    }

    /// One of some words, or the default word, which is noted among the assumptions.
    pub(crate) fn word_or<T: Clone>(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        words: Words<'_, T>,
        default: Usual<&'static str>,
    ) -> T {
        let stand_in = words
            .iter()
            .find(|(word, _)| *word == default.value)
            .or(words.first());
        let meaning = stand_in.map(|(_, meaning)| meaning.clone());
        let field = self.word(walk, key, words);
        if field.is_absent() {
            walk.assume(self.key(key), default.value.to_owned(), default.source);
        }
        match (field.given(), meaning) {
            (Some(value), _) | (None, Some(value)) => value,
            (None, None) => unreachable!("a list of words has at least one"),
        }
    }
}

/// An advice as it stands in a message.
fn sentence(error: &QuantityError) -> String {
    error.advice()
}

fn joined(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_owned()
    } else {
        format!("{path}.{key}")
    }
}

fn or_words<'w>(words: impl Iterator<Item = &'w str>) -> String {
    words
        .map(|word| format!("\"{word}\""))
        .collect::<Vec<_>>()
        .join(", ")
}

/// The candidate most like `text`, if it is like it at all.
pub(crate) fn nearest<'c>(
    text: &str,
    candidates: impl Iterator<Item = &'c str>,
) -> Option<&'c str> {
    /// Below this Jaro–Winkler similarity two words have little in common (tried on misspelt keys).
    const ALIKE: f64 = 0.75;
    candidates
        .map(|candidate| (strsim::jaro_winkler(text, candidate), candidate))
        .filter(|(likeness, _)| *likeness >= ALIKE)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, candidate)| candidate)
}
