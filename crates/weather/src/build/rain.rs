//! Rain of each interval, from depths gathered over one hour or several.

use super::Builder;
use crate::column::Column;
use crate::judge;
use crate::text::counted;
use crate::year::NoteKind;

impl Builder<'_> {
    /// Rain of each interval: a depth gathered over several hours is spread over them.
    pub(super) fn rain_mm(&mut self) -> Option<Vec<f64>> {
        let column = Column::Rain;
        let n = self.timeline.rows.len();
        let Some(laid) = self.laid(column) else {
            self.note(
                NoteKind::NotGiven,
                column,
                n,
                format!("the file has no {column}"),
            );
            return None;
        };
        if !self.raw.zeros_are_values
            && laid
                .iter()
                .all(|&value| value.is_nan() || value.abs() < f64::EPSILON)
        {
            self.note(
                NoteKind::NotGiven,
                column,
                n,
                "rain is 0 in every row, which means not given",
            );
            return None;
        }
        let mut rain = vec![f64::NAN; n];
        let mut spread = 0;
        for (i, &depth) in laid.iter().enumerate() {
            if depth.is_nan() {
                continue;
            }
            let hours = self.timeline.rows[i].and_then(|row| self.raw.rain_hours.get(row).copied());
            let minutes = hours.unwrap_or(f64::NAN).max(0.0) * 60.0;
            let intervals = minutes / f64::from(self.raw.interval_minutes);
            // Up to an hour, in a file of shorter intervals too, the depth is the row's own.
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "0 to 99 hours of at least a minute"
            )]
            let count = if minutes > 60.0 {
                (intervals as usize).clamp(1, i + 1)
            } else {
                1
            };
            if count > 1 {
                spread += 1;
            }
            #[allow(clippy::cast_precision_loss, reason = "a small count")]
            let share = depth / count as f64;
            for value in &mut rain[i + 1 - count..=i] {
                *value = if value.is_nan() {
                    share
                } else {
                    *value + share
                };
            }
        }
        let missing = rain.iter().filter(|value| value.is_nan()).count();
        // Beyond a tenth the rest says little about the year's rain (common practice, no source).
        if missing * 10 > n {
            let text = format!(
                "rain is missing in {missing} of {}: not used",
                counted(n, "interval")
            );
            self.note(NoteKind::NotGiven, column, missing, text);
            return None;
        }
        if let Some(text) = judge::impossible_rain(&rain, self.raw.interval_minutes) {
            self.note(NoteKind::Doubtful, column, n, text);
            return None;
        }
        self.note(
            NoteKind::Derived,
            column,
            spread,
            format!(
                "{} of rain gathered over several hours spread over them",
                counted(spread, "depth")
            ),
        );
        self.note(
            NoteKind::Filled,
            column,
            missing,
            format!(
                "{} of rain taken as none",
                counted(missing, "missing value")
            ),
        );
        for value in rain.iter_mut().filter(|value| value.is_nan()) {
            *value = 0.0;
        }
        Some(rain)
    }
}
