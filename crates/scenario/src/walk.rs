//! What goes along while the tree is walked: messages, assumptions, keys asked for.

use std::collections::BTreeSet;

use swimdays_quantity::Units;
use swimdays_season::Assumption;

use crate::diagnostic::Diagnostic;
use crate::document::{Place, line_column};

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

    /// File, line and column of a place; or the `--set`.
    pub(crate) fn locate(&self, place: &Place) -> (String, Option<usize>, Option<usize>) {
        match place {
            Place::File(span) => {
                let (line, column) = line_column(self.text, span.start);
                (self.label.to_owned(), Some(line), Some(column))
            }
            Place::Set(at) => {
                let set = self.sets.get(*at).map_or("", String::as_str);
                (format!("--set {set}"), None, None)
            }
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
        let (file, line, column) = self.locate(place);
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

pub(crate) fn joined(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_owned()
    } else {
        format!("{path}.{key}")
    }
}

pub(crate) fn or_words<'w>(words: impl Iterator<Item = &'w str>) -> String {
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
