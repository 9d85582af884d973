//! Dew point: of the file, from the relative humidity, or from the extremes of the day.

use chrono::Timelike;
use swimdays_properties::moist_air::{saturation_pressure_and_slope, saturation_pressure_pa};

use super::Builder;
use crate::column::Column;
use crate::error::WeatherError;
use crate::gaps::Long;
use crate::text::counted;
use crate::year::{Note, NoteKind};

/// Percents no higher than this all year are fractions.
const FRACTION_PERCENT: f64 = 1.0;

impl Builder<'_> {
    /// Dew point of the file; where missing, from the relative humidity; without either, estimated.
    pub(super) fn dew_point_c(&mut self, air_c: &[f64]) -> Result<Vec<f64>, WeatherError> {
        let mut values = self
            .laid(Column::DewPoint)
            .unwrap_or_else(|| vec![f64::NAN; air_c.len()]);
        if let Some(humidity) = self.laid(Column::Humidity) {
            let mut derived = 0;
            let mut first = None;
            for (i, ((value, &air_c), &percent)) in
                values.iter_mut().zip(air_c).zip(&humidity).enumerate()
            {
                if value.is_nan() && percent > 0.0 {
                    *value = dew_point_c(air_c, percent / 100.0);
                    derived += 1;
                    first = first.or(Some(i));
                }
            }
            let text = format!(
                "{} of dew point computed from air temperature and relative humidity",
                counted(derived, "value")
            );
            self.note_at(NoteKind::Derived, Column::DewPoint, derived, first, text);
            let most = humidity.iter().copied().fold(0.0, f64::max);
            if derived > 0 && most <= FRACTION_PERCENT {
                let text = format!(
                    "the relative humidity is never above {most} %: it looks like a fraction; multiply it by 100"
                );
                self.note_at(NoteKind::Doubtful, Column::Humidity, derived, first, text);
            }
        }
        if values.iter().all(|value| value.is_nan()) {
            return Ok(self.estimated_dew_point_c(air_c));
        }
        let given: Vec<bool> = values.iter().map(|value| !value.is_nan()).collect();
        self.filled(Column::DewPoint, &mut values, Long::Joined)?;
        // A filled dew point may not lie above the air of its own hour: that would be fog without end.
        for ((value, &air_c), given) in values.iter_mut().zip(air_c).zip(given) {
            if !given {
                *value = value.min(air_c);
            }
        }
        Ok(values)
    }

    /// The dew point by each day's coolest and warmest air (see [`dew_point_by_extremes_c`]), straight between the days' noons, and
    /// never above the air.
    fn estimated_dew_point_c(&mut self, air_c: &[f64]) -> Vec<f64> {
        let per_day = (24 * 60 / self.raw.interval_minutes.max(1)) as usize;
        // Days go from midnight to midnight, wherever the series starts.
        let seconds = self.timeline.first_start.num_seconds_from_midnight() as usize;
        let since_midnight = seconds / (60 * self.raw.interval_minutes.max(1) as usize);
        let days = (since_midnight + air_c.len()).div_ceil(per_day);
        let mut extremes = vec![(f64::INFINITY, f64::NEG_INFINITY); days];
        for (i, &air_c) in air_c.iter().enumerate() {
            let (coolest, warmest) = &mut extremes[(since_midnight + i) / per_day];
            *coolest = coolest.min(air_c);
            *warmest = warmest.max(air_c);
        }
        let of_day: Vec<f64> = extremes
            .into_iter()
            .map(|(coolest, warmest)| dew_point_by_extremes_c(coolest, warmest))
            .collect();
        #[allow(clippy::cast_precision_loss, reason = "intervals and days of a series")]
        let at = |i: usize| ((since_midnight + i) as f64 + 0.5) / per_day as f64 - 0.5;
        let last = of_day.len() - 1;
        let values = air_c
            .iter()
            .enumerate()
            .map(|(i, &air_c)| {
                let day = at(i).max(0.0);
                #[allow(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "a day of the series, not negative"
                )]
                let before = (day as usize).min(last);
                let after = (before + 1).min(last);
                let line = of_day[before] + (of_day[after] - of_day[before]) * day.fract();
                line.min(air_c)
            })
            .collect();
        let n = air_c.len();
        self.note(
            NoteKind::Derived,
            Column::DewPoint,
            n,
            format!("the file has neither dew point nor relative humidity: taken as the coolest air of each day{BY_EXTREMES}"),
        );
        self.notes.push(Note::new(
            NoteKind::Doubtful,
            Column::DewPoint,
            n,
            "the dew point is only estimated: in deserts it can be 10 K lower and the water evaporates more; add a column of relative humidity",
        ));
        values
    }
}

/// How far the dew point lies below the minimum in dry places, K. Source: FAO Irrigation and Drainage Paper 56, chapter 3: 2 to 3 K
/// in arid and semi-arid places (from memory).
const DRY_K: f64 = 2.5;

/// Spans from minimum to maximum, K, from which on a place counts as dry in part, and wholly: our own guess.
const DRY_FROM_TO_K: (f64, f64) = (11.0, 14.0);

/// What notes say of [`dew_point_by_extremes_c`] after naming the minimum.
pub(crate) const BY_EXTREMES: &str = ", up to 2.5 K lower where it is far below the maximum (FAO Irrigation and Drainage Paper 56, equation 48 and annex 6)";

/// Dew point, °C, where only the extremes of the air are known: the air cools at night until dew forms, and in dry places not
/// so far.
///
/// `dew = T_min − 2.5 K × clamp((T_max − T_min − 11 K)/3 K, 0, 1)`
///
/// | symbol | |
/// |---|---|
/// | `T_min`, `T_max` | coolest and warmest air of a day, or of a month's mean day, °C |
///
/// In deserts the dew point lies 10 K lower still; beside water that is warmer than the night it can be higher.
///
/// Source: Allen, Pereira, Raes, Smith (1998), *Crop evapotranspiration*, FAO Irrigation and Drainage Paper 56, equation 48 and
/// annex 6: at reference sites the dew point is near the daily minimum, in arid places 2 to 3 K lower (from memory).
/// `Differs:` which places are arid is told by the span, and in part where it is between the two. There the vapour pressure is
/// that of the day; the hours of a file between two days follow a line.
pub(crate) fn dew_point_by_extremes_c(coolest_c: f64, warmest_c: f64) -> f64 {
    let (from, to) = DRY_FROM_TO_K;
    coolest_c - DRY_K * ((warmest_c - coolest_c - from) / (to - from)).clamp(0.0, 1.0)
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

    /// By hand: no reduction up to a span of 11 K, half of 2.5 K at 12.5 K, all of it from 14 K on.
    #[test]
    fn wide_spans_are_dry() {
        for (coolest, warmest, dew) in [
            (10.0, 12.0, 10.0),
            (10.0, 21.0, 10.0),
            (10.0, 22.5, 8.75),
            (10.0, 24.0, 7.5),
            (10.0, 35.0, 7.5),
        ] {
            assert!((dew_point_by_extremes_c(coolest, warmest) - dew).abs() < 1e-12);
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
