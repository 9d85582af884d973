//! From a reader's rows to a [`WeatherYear`]: one time axis, short gaps filled, missing columns derived, all told.

use swimdays_properties::moist_air::{
    pressure_at_altitude_pa, saturation_pressure_and_slope, saturation_pressure_pa,
};

use crate::ReadOptions;
use crate::column::Column;
use crate::error::WeatherError;
use crate::gaps::{Filled, fill};
use crate::judge;
use crate::raw::Raw;
use crate::text::Source;
use crate::timeline::{Timeline, timeline};
use crate::year::{Columns, Note, NoteKind, WeatherYear};

/// Makes the weather year of one file.
pub(crate) fn build(
    source: &Source<'_>,
    raw: Raw,
    _options: &ReadOptions,
) -> Result<WeatherYear, WeatherError> {
    let timeline = timeline(source, &raw)?;
    let mut builder = Builder {
        source,
        raw: &raw,
        notes: raw.notes.iter().chain(&timeline.notes).cloned().collect(),
        timeline,
    };
    let air_c = builder.needed(Column::Air)?;
    let dew_point_c = builder.dew_point_c(&air_c)?;
    let pressure_pa = builder.pressure_pa()?;
    let wind_m_s = builder.needed(Column::Wind)?;
    let ghi_w_m2 = builder.radiation(Column::Ghi)?;
    let dni_w_m2 = builder.radiation(Column::Dni)?;
    let dhi_w_m2 = builder.radiation(Column::Dhi)?;
    let infrared_w_m2 = builder.optional(Column::Infrared);
    let sky_cover_frac = builder.optional(Column::SkyCover);
    let albedo_frac = builder.optional(Column::Albedo);
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
            ghi_w_m2,
            dni_w_m2,
            dhi_w_m2,
            infrared_w_m2,
            sky_cover_frac,
            rain_mm,
            albedo_frac,
        },
        radiation_shift_minutes: raw.declared_shift_minutes,
        normals: None,
        notes,
        place: raw.place,
    };
    judge::doubts(&mut year);
    Ok(year)
}

struct Builder<'a> {
    source: &'a Source<'a>,
    raw: &'a Raw,
    timeline: Timeline,
    notes: Vec<Note>,
}

impl Builder<'_> {
    fn note(&mut self, kind: NoteKind, column: Column, intervals: usize, text: impl Into<String>) {
        if intervals > 0 {
            self.notes.push(Note {
                kind,
                column,
                intervals,
                first: None,
                text: text.into(),
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

    /// Fills short gaps in place and notes it; a longer one is an error that says where.
    fn filled(&mut self, column: Column, values: &mut [f64]) -> Result<(), WeatherError> {
        match fill(
            values,
            column.longest_filled_gap_minutes(),
            self.raw.interval_minutes,
        ) {
            Filled::All(0) => Ok(()),
            Filled::All(count) => {
                let text = format!("{count} values of {column} filled from their neighbours");
                self.note(NoteKind::Filled, column, count, text);
                Ok(())
            }
            Filled::TooLong { first, count } => Err(self.gap(column, first, count)),
        }
    }

    fn gap(&self, column: Column, first: usize, count: usize) -> WeatherError {
        let minutes = count * self.raw.interval_minutes as usize;
        let at = self.timeline.rows[first];
        WeatherError::Gap {
            label: self.source.label.into(),
            line: self.timeline.lines[first],
            column: self.title(column).into(),
            gap: if minutes.is_multiple_of(60) {
                format!("{} h", minutes / 60).into()
            } else {
                format!("{minutes} min").into()
            },
            from: at
                .map_or_else(
                    || "a missing row".into(),
                    |row| crate::timeline::show(self.raw.starts[row]),
                )
                .into(),
            allowed: format!("{} h", column.longest_filled_gap_minutes() / 60).into(),
            todo: "fill it in from a neighbouring day or station, or use another file".into(),
        }
    }

    fn needed(&mut self, column: Column) -> Result<Vec<f64>, WeatherError> {
        let Some(mut values) = self.laid(column) else {
            return Err(WeatherError::MissingColumn {
                label: self.source.label.into(),
                column: self.title(column).into(),
                allowed: format!("files that give the {column}").into(),
                todo: "use a file that has this column".into(),
            });
        };
        self.filled(column, &mut values)?;
        Ok(values)
    }

    /// One of the three irradiances: a little below zero is a sensor's zero at night, read as 0 and noted.
    fn radiation(&mut self, column: Column) -> Result<Vec<f64>, WeatherError> {
        let mut values = match (column, self.laid(column)) {
            (_, Some(values)) => values,
            (Column::Ghi, None) => return self.needed(column),
            (_, None) => {
                return Err(WeatherError::NoSplit {
                    label: self.source.label.into(),
                    column: self.title(column).into(),
                });
            }
        };
        let mut below = 0;
        for value in values.iter_mut().filter(|value| **value < 0.0) {
            *value = 0.0;
            below += 1;
        }
        let text = format!(
            "{below} values of {column} a little below 0 (a sensor's zero at night) read as 0"
        );
        self.note(NoteKind::Filled, column, below, text);
        self.filled(column, &mut values)?;
        Ok(values)
    }

    /// Dew point of the file; where missing, from the relative humidity.
    fn dew_point_c(&mut self, air_c: &[f64]) -> Result<Vec<f64>, WeatherError> {
        let mut values = self
            .laid(Column::DewPoint)
            .unwrap_or_else(|| vec![f64::NAN; air_c.len()]);
        if let Some(humidity) = self.laid(Column::Humidity) {
            let mut derived = 0;
            for ((value, &air_c), &percent) in values.iter_mut().zip(air_c).zip(&humidity) {
                if value.is_nan() && percent > 0.0 {
                    *value = dew_point_c(air_c, percent / 100.0);
                    derived += 1;
                }
            }
            let text = format!(
                "{derived} values of dew point computed from air temperature and relative humidity"
            );
            self.note(NoteKind::Derived, Column::DewPoint, derived, text);
        }
        if values.iter().all(|value| value.is_nan()) {
            return Err(WeatherError::MissingColumn {
                label: self.source.label.into(),
                column: self.title(Column::DewPoint).into(),
                allowed: "files that give the dew point or the relative humidity".into(),
                todo: "use a file that has one of them".into(),
            });
        }
        self.filled(Column::DewPoint, &mut values)?;
        Ok(values)
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
        let mut derived = 0;
        while let Filled::TooLong { first, count } = fill(
            &mut values,
            Column::Pressure.longest_filled_gap_minutes(),
            self.raw.interval_minutes,
        ) {
            values[first..first + count].fill(standard);
            derived += count;
        }
        let text = format!(
            "{derived} values of pressure computed from the altitude (standard atmosphere)"
        );
        self.note(NoteKind::Derived, Column::Pressure, derived, text);
        let filled = self
            .laid(Column::Pressure)
            .map_or(0, |laid| laid.iter().filter(|value| value.is_nan()).count())
            - derived;
        let text = format!("{filled} values of pressure filled from their neighbours");
        self.note(NoteKind::Filled, Column::Pressure, filled, text);
        Ok(values)
    }

    /// A column the season can do without: left out when missing, 0 throughout, or missing for long.
    fn optional(&mut self, column: Column) -> Option<Vec<f64>> {
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
        let zeros_may_be_real = column == Column::SkyCover && minutes < 30 * 24 * 60;
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
        if self.filled(column, &mut values).is_err() {
            let text = format!(
                "{column} is missing in {missing} of {n} intervals, for long stretches: not used"
            );
            self.note(NoteKind::NotGiven, column, missing, text);
            return None;
        }
        Some(values)
    }

    /// Rain of each interval: a depth gathered over several hours is spread over them.
    fn rain_mm(&mut self) -> Option<Vec<f64>> {
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
        if laid
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
            let text = format!("rain is missing in {missing} of {n} intervals: not used");
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
            format!("{spread} depths of rain gathered over several hours spread over them"),
        );
        self.note(
            NoteKind::Filled,
            column,
            missing,
            format!("{missing} missing values of rain taken as none"),
        );
        for value in rain.iter_mut().filter(|value| value.is_nan()) {
            *value = 0.0;
        }
        Some(rain)
    }
}

/// Dew point, °C, of air at `air_c` with the relative humidity `humidity_frac` over liquid water: solves
/// `p_ws(dew point) = humidity × p_ws(air)`, within 1e-9 K.
///
/// Below 0 °C the humidity is over liquid water too, as weather services report it (WMO-No. 8, *Guide to
/// Instruments and Methods of Observation*, chapter *Measurement of humidity*; from memory).
pub(crate) fn dew_point_c(air_c: f64, humidity_frac: f64) -> f64 {
    let log_target = saturation_pressure_pa(air_c).ln() + humidity_frac.ln();
    let mut dew_point_c = air_c;
    for _ in 0..50 {
        let (pressure_pa, slope) = saturation_pressure_and_slope(dew_point_c);
        let step = (log_target - pressure_pa.ln()) * pressure_pa / slope;
        // The logarithm is nearly straight; far steps are held back where the formula is far out of its range.
        dew_point_c = (dew_point_c + step.clamp(-25.0, 25.0)).max(-150.0);
        if step.abs() < 1e-10 {
            break;
        }
    }
    dew_point_c
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `GetTDewPointFromRelHum` of psychrolib 2.5.0, which stops at 0.001 K: air, relative humidity, dew point. Above 0 °C,
    /// since below it psychrolib takes the humidity over ice.
    #[test]
    fn dew_point_matches_the_psychrometric_library() {
        const PSYCHROLIB_STOPS_AT_K: f64 = 0.001;
        #[rustfmt::skip]
        let table = [
            (5.0, 0.9, 3.498_47), (15.0, 0.6, 7.307_03), (15.0, 0.9, 13.374_46), (25.0, 0.3, 6.238_12),
            (25.0, 0.5, 13.863_97), (25.0, 0.9, 23.244_43), (30.0, 0.5, 18.446_64), (35.0, 0.3, 14.843_6),
            (35.0, 0.9, 33.108_33), (45.0, 0.1, 6.367_95), (45.0, 0.9, 42.966_11),
        ];
        for (air_c, humidity_frac, expected) in table {
            let found = dew_point_c(air_c, humidity_frac);
            assert!(
                (found - expected).abs() < PSYCHROLIB_STOPS_AT_K,
                "{air_c} {humidity_frac}: {found}"
            );
        }
    }

    #[test]
    fn saturated_air_is_at_its_dew_point_and_dry_air_below() {
        for air_c in [-40.0, -5.0, 0.0, 20.0, 55.0] {
            assert!((dew_point_c(air_c, 1.0) - air_c).abs() < 1e-9);
            let mut before = dew_point_c(air_c, 1.0);
            for percent in (1..100).rev() {
                let now = dew_point_c(air_c, f64::from(percent) / 100.0);
                assert!(now < before);
                before = now;
            }
        }
    }
}
