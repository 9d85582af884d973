//! From a reader's rows to a [`WeatherYear`]: one time axis, gaps filled, the radiation's offset measured, missing
//! columns derived, all told.
//!
//! Order: time axis; temperatures and wind; the radiation on its clock and its offset against the sun (`clock`); the
//! sun of each interval with that offset, once; gaps and parts of the radiation (`radiation`); doubts (`judge`).

mod clock;
mod moist;
mod radiation;
mod rain;

pub(crate) use moist::{BY_EXTREMES, dew_point_by_extremes_c, dew_point_c};

use swimdays_properties::moist_air::pressure_at_altitude_pa;

use crate::ReadOptions;
use crate::column::Column;
use crate::error::WeatherError;
use crate::gaps::{Filled, Limit, Long, fill};
use crate::judge;
use crate::raw::Raw;
use crate::text::{Source, counted};
use crate::timeline::{Timeline, show, timeline};
use crate::year::{Columns, Note, NoteKind, WeatherYear};

/// Makes the weather year of one file.
pub(crate) fn build(
    source: &Source<'_>,
    raw: Raw,
    options: &ReadOptions,
) -> Result<WeatherYear, WeatherError> {
    let asked_minutes = asked_minutes(source, options)?;
    let timeline = timeline(source, &raw, asked_minutes)?;
    let mut builder = Builder {
        source,
        raw: &raw,
        asked_minutes,
        notes: raw.notes.iter().chain(&timeline.notes).cloned().collect(),
        timeline,
    };
    let air_c = builder.needed(Column::Air, Long::Joined)?;
    let dew_point_c = builder.dew_point_c(&air_c)?;
    let pressure_pa = builder.pressure_pa()?;
    let wind_m_s = builder.needed(Column::Wind, Long::Days)?;
    let radiation = builder.radiation()?;
    let sky_cover_frac = builder.optional(Column::SkyCover, Long::Days);
    let infrared_w_m2 = builder.infrared_w_m2(sky_cover_frac.is_some());
    let albedo_frac = builder.optional(Column::Albedo, Long::Days);
    let rain_mm = builder.rain_mm();
    let Builder {
        notes, timeline, ..
    } = builder;
    let mut year = WeatherYear {
        format: raw.format,
        kind: timeline.kind,
        first_start: timeline.first_start,
        interval_minutes: raw.interval_minutes,
        columns: Columns {
            air_c,
            dew_point_c,
            pressure_pa,
            wind_m_s,
            ghi_w_m2: radiation.ghi_w_m2,
            dni_w_m2: radiation.dni_w_m2,
            dhi_w_m2: radiation.dhi_w_m2,
            infrared_w_m2,
            sky_cover_frac,
            rain_mm,
            albedo_frac,
        },
        radiation_shift_minutes: radiation.shift_minutes,
        normals: raw.normals,
        notes,
        place: raw.place,
    };
    judge::doubts(&mut year, &radiation.suns, radiation.on_the_sun);
    Ok(year)
}

/// What the options ask for, minutes; 0 when nothing.
fn asked_minutes(source: &Source<'_>, options: &ReadOptions) -> Result<u32, WeatherError> {
    let hours = options.fill_hours.unwrap_or(0.0);
    if !(0.0..=ReadOptions::LARGEST_FILL_HOURS).contains(&hours) {
        return Err(source.header_error(
            1,
            "longest gap to fill given beside the file",
            format!("{hours} h"),
            &format!("0 h to {} h", ReadOptions::LARGEST_FILL_HOURS),
            "correct `site.fill` of the scenario, or `--fill`",
        ));
    }
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "minutes of 0 to 31 days"
    )]
    let minutes = (hours * 60.0) as u32;
    Ok(minutes)
}

struct Builder<'a> {
    source: &'a Source<'a>,
    raw: &'a Raw,
    /// Longest gap that shall be filled, minutes, where that is more than the usual.
    asked_minutes: u32,
    timeline: Timeline,
    notes: Vec<Note>,
}

impl Builder<'_> {
    fn note(&mut self, kind: NoteKind, column: Column, intervals: usize, text: impl Into<String>) {
        self.note_at(kind, column, intervals, None, text);
    }

    fn note_at(
        &mut self,
        kind: NoteKind,
        column: Column,
        intervals: usize,
        first: Option<usize>,
        text: impl Into<String>,
    ) {
        if intervals > 0 {
            self.notes.push(Note {
                first,
                ..Note::new(kind, column, intervals, text)
            });
        }
    }

    /// The column on the time axis; `None` when no row has a value.
    fn laid(&self, column: Column) -> Option<Vec<f64>> {
        let values = &self.raw.values[column.index()];
        let laid: Vec<f64> = self
            .timeline
            .rows
            .iter()
            .map(|row| {
                row.and_then(|row| values.get(row).copied())
                    .unwrap_or(f64::NAN)
            })
            .collect();
        laid.iter().any(|value| value.is_finite()).then_some(laid)
    }

    fn title(&self, column: Column) -> String {
        self.raw.titles[column.index()].clone()
    }

    fn limit(&self, column: Column) -> Limit {
        Limit {
            interval_minutes: self.raw.interval_minutes,
            line_minutes: column.longest_filled_gap_minutes(),
            days_minutes: self.asked_minutes,
        }
    }

    /// Fills gaps in place and notes it; one that is too long is an error that says where.
    fn filled(
        &mut self,
        column: Column,
        values: &mut [f64],
        long: Long,
    ) -> Result<(), WeatherError> {
        match fill(values, &self.limit(column), long) {
            Filled::All(count) => {
                let how = count.how(self.raw.interval_minutes);
                let text = format!("{} of {column} {how}", counted(count.values, "value"));
                self.note_at(NoteKind::Filled, column, count.values, count.first, text);
                Ok(())
            }
            Filled::TooLong { first, count } => Err(self.gap(column, first, count)),
        }
    }

    fn gap(&self, column: Column, first: usize, count: usize) -> WeatherError {
        let minutes = count * self.raw.interval_minutes as usize;
        let at = self.timeline.rows[first];
        let allowed = column.longest_filled_gap_minutes().max(self.asked_minutes);
        WeatherError::Gap {
            label: self.source.label.into(),
            line: self.timeline.lines[first],
            column: self.title(column).into(),
            gap: length(minutes).into(),
            from: at
                .map_or_else(|| "a missing row".into(), |row| show(self.raw.starts[row]))
                .into(),
            allowed: length(allowed as usize).into(),
            todo: remedy(minutes, allowed),
        }
    }

    fn needed(&mut self, column: Column, long: Long) -> Result<Vec<f64>, WeatherError> {
        let Some(mut values) = self.laid(column) else {
            return Err(self.missing(
                column,
                &format!("files that give the {column}"),
                if column == Column::Wind {
                    "use a file that has this column, or add it: no other column tells the wind, and most of a pool's heat goes with it; the monthly mean of a climate table is better than nothing"
                } else {
                    "use a file that has this column"
                },
            ));
        };
        self.filled(column, &mut values, long)?;
        Ok(values)
    }

    fn missing(&self, column: Column, allowed: &str, todo: &str) -> WeatherError {
        WeatherError::MissingColumn {
            label: self.source.label.into(),
            column: self.title(column).into(),
            allowed: allowed.into(),
            todo: todo.into(),
        }
    }

    /// Pressure of the file; where it is missing for longer than can be filled, of the standard atmosphere.
    fn pressure_pa(&mut self) -> Result<Vec<f64>, WeatherError> {
        let standard = pressure_at_altitude_pa(self.raw.place.altitude_m);
        let n = self.timeline.rows.len();
        let Some(mut values) = self.laid(Column::Pressure) else {
            let text = format!(
                "pressure computed from the altitude of {} m (standard atmosphere)",
                self.raw.place.altitude_m
            );
            self.note(NoteKind::Derived, Column::Pressure, n, text);
            return Ok(vec![standard; n]);
        };
        let (mut derived, mut first_derived) = (0, None);
        let limit = self.limit(Column::Pressure);
        let missing = values.iter().filter(|value| value.is_nan()).count();
        let mut first_filled = None;
        loop {
            match fill(&mut values, &limit, Long::Joined) {
                Filled::All(count) => {
                    first_filled = count.first.or(first_filled);
                    break;
                }
                Filled::TooLong { first, count } => {
                    values[first..first + count].fill(standard);
                    derived += count;
                    first_derived = first_derived.or(Some(first));
                }
            }
        }
        let text = format!(
            "{} of pressure computed from the altitude (standard atmosphere)",
            counted(derived, "value")
        );
        self.note_at(
            NoteKind::Derived,
            Column::Pressure,
            derived,
            first_derived,
            text,
        );
        let filled = missing - derived;
        let text = format!(
            "{} of pressure filled from {} neighbours",
            counted(filled, "value"),
            if filled == 1 { "its" } else { "their" }
        );
        self.note_at(
            NoteKind::Filled,
            Column::Pressure,
            filled,
            first_filled,
            text,
        );
        Ok(values)
    }

    /// Infrared from the sky, and what stands in for it.
    fn infrared_w_m2(&mut self, sky_cover: bool) -> Option<Vec<f64>> {
        let before = self.notes.len();
        let values = self.optional(Column::Infrared, Long::Joined);
        if values.is_none() {
            let instead = if sky_cover {
                "; the season takes it from the sky cover"
            } else {
                "; the season takes it from the cloud that the sun shows"
            };
            for note in &mut self.notes[before..] {
                note.text.push_str(instead);
            }
        }
        values
    }

    /// A column the season can do without: left out when missing, 0 throughout, or missing for long.
    fn optional(&mut self, column: Column, long: Long) -> Option<Vec<f64>> {
        let n = self.timeline.rows.len();
        let Some(mut values) = self.laid(column) else {
            self.note(
                NoteKind::NotGiven,
                column,
                n,
                format!("the file has no {column}"),
            );
            return None;
        };
        // A cloudless week is real, a cloudless month of sky observations is not.
        let minutes = n * self.raw.interval_minutes as usize;
        let zeros_may_be_real =
            column == Column::SkyCover && (self.raw.zeros_are_values || minutes < 30 * 24 * 60);
        if !zeros_may_be_real
            && values
                .iter()
                .all(|&value| value.is_nan() || value.abs() < f64::EPSILON)
        {
            self.note(
                NoteKind::NotGiven,
                column,
                n,
                format!("{column} is 0 in every row, which means not given"),
            );
            return None;
        }
        let missing = values.iter().filter(|value| value.is_nan()).count();
        if self.filled(column, &mut values, long).is_err() {
            let text = format!(
                "{column} is missing in {missing} of {}, for long stretches: not used",
                counted(n, "interval")
            );
            self.note(NoteKind::NotGiven, column, missing, text);
            return None;
        }
        Some(values)
    }
}

/// A length of time as messages give it.
pub(crate) fn length(minutes: usize) -> String {
    if minutes.is_multiple_of(60) {
        format!("{} h", minutes / 60)
    } else {
        format!("{minutes} min")
    }
}

/// What to do about a gap of so many minutes.
pub(crate) fn remedy(minutes: usize, allowed_minutes: u32) -> Box<str> {
    let hours = minutes.div_ceil(60);
    #[allow(clippy::cast_precision_loss, reason = "hours of a gap")]
    let can_be_asked =
        hours as f64 <= ReadOptions::LARGEST_FILL_HOURS && minutes > allowed_minutes as usize;
    if can_be_asked {
        format!("fill it in from a neighbouring day or station, use another file, or have it filled with `--fill {hours}`").into()
    } else {
        "fill it in from a neighbouring day or station, or use another file".into()
    }
}
