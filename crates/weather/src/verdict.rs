//! Whether a weather year can carry a season: a plain verdict, whose words follow from the numbers.
//!
//! The bounds below are ours (common practice, no source): they sort files for people and change no value.

use crate::column::Column;
use crate::sun_check::{Cause, LARGEST_SHIFT_MINUTES, SunCheck, SunVerdict, sun_check};
use crate::year::{Format, NoteKind, WeatherYear};

/// Days from which on a part of a year can show a swim season.
const LEAST_SEASON_DAYS: usize = 90;
/// Share of the intervals that may be doubtful in one column without being named as a reason.
const FEW_DOUBTFUL_FRAC: f64 = 0.01;
/// Share of the intervals that may be doubtful in one column of a usable year.
const MANY_DOUBTFUL_FRAC: f64 = 0.2;
/// Share of the intervals that may be filled in one column without being named as a reason.
const FEW_FILLED_FRAC: f64 = 0.02;

/// How far a weather year can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grade {
    /// Good for a season.
    Good,
    /// Usable, with doubts.
    Usable,
    /// Not good for a season.
    NotGood,
}

impl Grade {
    /// Name in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Usable => "usable, with doubts",
            Self::NotGood => "not good",
        }
    }

    /// How a sentence begins.
    #[must_use]
    pub fn phrase(self) -> &'static str {
        match self {
            Self::Good => "Good for a season",
            Self::Usable => "Usable, with doubts",
            Self::NotGood => "Not good for a season",
        }
    }
}

/// A grade and what it rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// How far it can be trusted.
    pub grade: Grade,
    /// Why not further, the gravest first; of a good year what speaks for it. Parts of a sentence.
    pub reasons: Vec<String>,
    /// What holding the radiation against the sun gave, when the year has enough clear days.
    pub sun: Option<SunCheck>,
}

impl WeatherYear {
    /// Whether this year can carry a season, and why.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let sun = sun_check(self);
        let mut found: Vec<(Grade, String)> = Vec::new();
        self.judge_extent(&mut found);
        self.judge_sun(sun.as_ref(), &mut found);
        self.judge_notes(&mut found);
        // Stable: of equal gravity, in the order found.
        found.sort_by_key(|(grade, _)| std::cmp::Reverse(*grade));
        let grade = found.first().map_or(Grade::Good, |(grade, _)| *grade);
        let mut reasons: Vec<String> = found.into_iter().map(|(_, reason)| reason).collect();
        if reasons.is_empty() {
            reasons = self.merits(sun.as_ref());
        }
        Verdict {
            grade,
            reasons,
            sun,
        }
    }

    fn judge_extent(&self, found: &mut Vec<(Grade, String)>) {
        if self.format == Format::Normals {
            found.push((Grade::Usable, self.made_of_normals()));
        }
        let minutes = self.len() * self.interval_minutes as usize;
        let days = minutes / 1440;
        // Several years are whole enough.
        if self.is_whole_year() || days >= 365 {
            return;
        }
        let grade = if days < LEAST_SEASON_DAYS {
            Grade::NotGood
        } else {
            Grade::Usable
        };
        let extent = if days == 0 {
            format!("{} h", minutes / 60)
        } else if days == 1 {
            "1 day".to_owned()
        } else {
            format!("{days} days")
        };
        found.push((grade, format!("it covers {extent}, not a year")));
    }

    /// What of a year from normals is invented, and what was not even known by the month.
    fn made_of_normals(&self) -> String {
        let text = "its hours are made from twelve monthly normals";
        let Some(known) = self.normals else {
            return text.to_owned();
        };
        let guessed: Vec<&str> = [
            (known.sun, "sun"),
            (known.moisture, "moisture"),
            (known.wind, "wind"),
        ]
        .into_iter()
        .filter(|(known, _)| !known)
        .map(|(_, name)| name)
        .collect();
        match guessed.split_last() {
            None => text.to_owned(),
            Some((last, [])) => format!("{text}, its {last} estimated"),
            Some((last, rest)) => format!("{text}, its {} and {last} estimated", rest.join(", ")),
        }
    }

    fn judge_sun(&self, sun: Option<&SunCheck>, found: &mut Vec<(Grade, String)>) {
        match sun.map(|s| (s, &s.verdict)) {
            None if self.is_whole_year() => found.push((
                Grade::Usable,
                "it has too few clear days to hold its sun against the sky".into(),
            )),
            None | Some((_, SunVerdict::Agrees)) => {}
            Some((sun, SunVerdict::Apart)) => found.push((
                Grade::Usable,
                format!("its sun comes {}", minutes_off(sun.shift_minutes)),
            )),
            Some((sun, SunVerdict::WrongClockOrPlace(causes))) => {
                let off = if sun.shift_minutes.abs() > LARGEST_SHIFT_MINUTES {
                    format!("its sun comes {}", minutes_off(sun.shift_minutes))
                } else {
                    "its days are longest when the sun is lowest".to_owned()
                };
                let likely = causes
                    .first()
                    .map_or_else(String::new, |cause: &Cause| format!(" ({cause}?)"));
                found.push((Grade::NotGood, format!("{off}{likely}")));
            }
        }
    }

    fn judge_notes(&self, found: &mut Vec<(Grade, String)>) {
        #[allow(clippy::cast_precision_loss, reason = "intervals of some years")]
        let share = |intervals: usize| intervals as f64 / (self.len() as f64).max(1.0);
        for note in &self.notes {
            let part = share(note.intervals);
            match note.kind {
                NoteKind::Doubtful if part > FEW_DOUBTFUL_FRAC => {
                    if self.is_left_out(note.column) {
                        // The season does without it, as with a file that never had it.
                        continue;
                    }
                    let grade = match note.column {
                        // Wind doubted throughout is mostly one of another height, and shelter makes more of it.
                        // A pool hardly feels the pressure. A clock an hour off moves the hours of the day, not the year.
                        Column::Wind
                        | Column::Pressure
                        | Column::Time
                        | Column::Rain
                        | Column::Albedo
                        | Column::Infrared
                        | Column::SkyCover => Grade::Usable,
                        _ if part > MANY_DOUBTFUL_FRAC => Grade::NotGood,
                        _ => Grade::Usable,
                    };
                    let reason = match note.column {
                        Column::Place => "its place cannot be right".to_owned(),
                        Column::Time => "its clock may be wrong".to_owned(),
                        column => format!("{column} is doubtful in {}", percent(part)),
                    };
                    if !found.iter().any(|(_, known)| *known == reason) {
                        found.push((grade, reason));
                    }
                }
                NoteKind::Filled if part > FEW_FILLED_FRAC => found.push((
                    Grade::Usable,
                    format!("{} was filled in {}", note.column, percent(part)),
                )),
                _ => {}
            }
        }
    }

    /// Whether an optional column is not in the year.
    fn is_left_out(&self, column: Column) -> bool {
        let c = &self.columns;
        match column {
            Column::Infrared => c.infrared_w_m2.is_none(),
            Column::SkyCover => c.sky_cover_frac.is_none(),
            Column::Rain => c.rain_mm.is_none(),
            Column::Albedo => c.albedo_frac.is_none(),
            _ => false,
        }
    }

    /// What speaks for a year without reasons against it.
    fn merits(&self, sun: Option<&SunCheck>) -> Vec<String> {
        let mut out = Vec::new();
        let of_kind = |kind: NoteKind| -> usize {
            self.notes
                .iter()
                .filter(|n| n.kind == kind && !self.is_left_out(n.column))
                .map(|n| n.intervals)
                .max()
                .unwrap_or(0)
        };
        let left_out: Vec<Column> = self
            .notes
            .iter()
            .filter(|n| n.kind == NoteKind::Doubtful && self.is_left_out(n.column))
            .map(|n| n.column)
            .collect();
        let filled = match of_kind(NoteKind::Filled) {
            0 => "nothing",
            _ => "little",
        };
        let doubtful = match (of_kind(NoteKind::Doubtful), left_out.is_empty()) {
            (0, true) => "nothing is doubtful",
            (0, false) => "nothing else is doubtful",
            _ => "little is doubtful",
        };
        out.push(format!(
            "the year is whole, {filled} in it was filled and {doubtful}"
        ));
        out.extend(
            left_out
                .iter()
                .map(|column| format!("its {column} cannot be believed and is left out")),
        );
        if sun.is_some() {
            out.push(if self.radiation_shift_minutes.abs() < 0.5 {
                "its sun comes when it should".into()
            } else {
                "its sun is brought to its time".into()
            });
        }
        out
    }
}

/// `12 min early`, `3 h late`, by the file's clock: radiation that really lies later than its label is early by it.
#[must_use]
pub fn minutes_off(shift_minutes: f64) -> String {
    let side = if shift_minutes > 0.0 { "early" } else { "late" };
    let minutes = shift_minutes.abs();
    if minutes >= 120.0 {
        format!("{:.1} h {side}", minutes / 60.0)
    } else {
        format!("{minutes:.0} min {side}")
    }
}

/// A share of the hours, which is never called nothing.
fn percent(share: f64) -> String {
    if share >= 0.995 {
        "all hours".into()
    } else {
        format!("{:.0} % of the hours", (100.0 * share).max(1.0))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests: a panic is a failed test")]

    use super::*;
    use crate::normals::Known;
    use crate::year::Note;

    fn sample() -> WeatherYear {
        let file = include_bytes!("../../../weather-samples/temperate.epw");
        let mut year = crate::parse(file, "temperate").unwrap();
        year.notes.clear();
        year
    }

    #[test]
    fn a_whole_year_with_the_sun_in_its_place_is_good() {
        let found = sample().verdict();
        assert_eq!(found.grade, Grade::Good, "{:?}", found.reasons);
        assert!(found.sun.is_some());
    }

    #[test]
    fn the_words_follow_the_numbers() {
        // Shares of 8760 hours by hand: 80 is 0.9 %, 438 is 5 %, 4380 is half.
        for (kind, column, intervals, grade, words) in [
            (
                NoteKind::Doubtful,
                Column::Air,
                80,
                Grade::Good,
                "little is doubtful",
            ),
            (
                NoteKind::Doubtful,
                Column::Air,
                438,
                Grade::Usable,
                "air temperature is doubtful in 5 % of the hours",
            ),
            (
                NoteKind::Doubtful,
                Column::Air,
                4380,
                Grade::NotGood,
                "in 50 % of the hours",
            ),
            (
                NoteKind::Doubtful,
                Column::Rain,
                8760,
                Grade::Usable,
                "rain is doubtful in all hours",
            ),
            (
                NoteKind::Doubtful,
                Column::Place,
                8760,
                Grade::NotGood,
                "its place cannot be right",
            ),
            (
                NoteKind::Filled,
                Column::Wind,
                100,
                Grade::Good,
                "little in it was filled",
            ),
            (
                NoteKind::Filled,
                Column::Wind,
                876,
                Grade::Usable,
                "wind speed was filled in 10 %",
            ),
        ] {
            let mut year = sample();
            year.notes
                .push(Note::new(kind, column, intervals, "a note"));
            let found = year.verdict();
            assert_eq!(found.grade, grade, "{:?}", found.reasons);
            assert!(
                found.reasons.join("; ").contains(words),
                "{:?}",
                found.reasons
            );
        }
    }

    #[test]
    fn a_wrong_clock_is_not_good_and_the_gravest_reason_comes_first() {
        let mut year = sample();
        year.place.utc_offset_h += 4.0;
        year.notes
            .push(Note::new(NoteKind::Filled, Column::Wind, 876, "a note"));
        let found = year.verdict();
        assert_eq!(found.grade, Grade::NotGood);
        // A clock four hours ahead: the radiation comes four hours too early by it.
        assert!(
            found.reasons[0].contains("4.0 h early"),
            "{:?}",
            found.reasons
        );
        assert_eq!(found.reasons.len(), 2);
    }

    #[test]
    fn a_part_of_a_year_says_how_long_it_is() {
        for (hours, grade, words) in [
            (7 * 24, Grade::NotGood, "it covers 7 days"),
            (120 * 24, Grade::Usable, "it covers 120 days"),
            (5, Grade::NotGood, "it covers 5 h"),
        ] {
            let mut year = sample();
            for (_, column) in year.columns.each_mut() {
                column.truncate(hours);
            }
            let found = year.verdict();
            assert_eq!(found.grade, grade, "{:?}", found.reasons);
            assert!(found.reasons[0].contains(words), "{:?}", found.reasons);
        }
    }

    #[test]
    fn a_year_from_normals_says_what_was_guessed() {
        let mut year = sample();
        year.format = Format::Normals;
        year.normals = Some(Known {
            sun: true,
            moisture: false,
            wind: false,
        });
        let found = year.verdict();
        assert_eq!(found.grade, Grade::Usable);
        assert!(
            found.reasons[0].ends_with("its moisture and wind estimated"),
            "{:?}",
            found.reasons
        );
    }
}
