//! What is taken when nothing is said, noted among the assumptions with its source.

use std::ops::RangeInclusive;

use swimdays_quantity::{Kind, Units};

use crate::section::Section;
use crate::walk::{Field, Usual, Walk, Words};

/// Lengths below this are shown in inches or millimetres.
const SMALL_LENGTH_M: f64 = 0.15;

impl Section<'_> {
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
