//! Sensors that stick, jump or were copied.

use std::collections::HashMap;
use std::hash::{DefaultHasher, Hash, Hasher};

use swimdays_properties::moist_air::pressure_at_altitude_pa;

use super::Doubts;
use crate::column::Column;
use crate::tally::Tally;

/// The same to the last digit for longer than this is no weather, hours (common practice, no source; in the real files of the tests
/// air in whole degrees holds for 32 h in the arctic winter, a wind in whole m/s for 18 h).
const STUCK_H: f64 = 48.0;

/// A calm, hours: the arctic winter's lasts nine days in a real file.
const CALM_H: f64 = 14.0 * 24.0;

/// A calm for more than this share of the year: a sensor in a courtyard, or one that starts late.
const CALM_FRAC: f64 = 0.5;

/// Radiation by day under a moving sun, hours.
const STUCK_SUN_H: f64 = 4.0;

/// A single value this far from the line between its neighbours an hour away, K.
const SPIKE_K: f64 = 12.0;

/// The same for the pressure, Pa.
const SPIKE_PA: f64 = 1500.0;

/// A pressure in whole millibars is still that of the altitude, Pa.
const WHOLE_MBAR_PA: f64 = 100.0;

impl Doubts<'_> {
    pub(super) fn sensors(&mut self) {
        self.constant();
        self.stuck();
        self.spikes();
        self.copies();
    }

    fn intervals(&self, hours: f64) -> usize {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few days of intervals"
        )]
        let count = (hours * 60.0 / f64::from(self.year.interval_minutes.max(1))).ceil() as usize;
        count.max(3)
    }

    /// The same value all year.
    fn constant(&mut self) {
        if !self.year.is_whole_year() {
            return;
        }
        let c = &self.year.columns;
        for (column, values) in [
            (Column::Air, &c.air_c),
            (Column::DewPoint, &c.dew_point_c),
            (Column::Pressure, &c.pressure_pa),
            (Column::Wind, &c.wind_m_s),
        ] {
            if is_constant(values) && !self.is_derived(column) && !self.is_of_altitude(column) {
                self.whole(
                    column,
                    format!("the {column} is the same in every interval of the year"),
                );
            }
        }
    }

    /// Whether this is a pressure that was taken from the altitude, as in years that were made or converted: no sensor, so none stuck.
    fn is_of_altitude(&self, column: Column) -> bool {
        let standard = pressure_at_altitude_pa(self.year.place.altitude_m);
        let mut pressures = self.year.columns.pressure_pa.iter();
        column == Column::Pressure
            && pressures.all(|pressure_pa| (pressure_pa - standard).abs() <= WHOLE_MBAR_PA)
    }

    fn stuck(&mut self) {
        let c = &self.year.columns;
        let long = self.intervals(STUCK_H);
        for (column, values) in [(Column::Air, &c.air_c), (Column::DewPoint, &c.dew_point_c)] {
            if !self.is_derived(column) && !is_constant(values) {
                let tally = runs(values, long, |_| true);
                self.some(
                    column,
                    tally,
                    &format!("the {column} stands still for more than {STUCK_H} h"),
                    "the sensor may have stuck: compare with a neighbouring station",
                );
            }
        }
        if !is_constant(&c.wind_m_s) {
            let wind = runs(&c.wind_m_s, long, |wind| wind > 0.0);
            let todo = "the sensor may have stuck or frozen: compare with a neighbouring station";
            self.some(
                Column::Wind,
                wind,
                &format!("the wind stands still for more than {STUCK_H} h"),
                todo,
            );
            let calm = runs(&c.wind_m_s, self.intervals(CALM_H), |wind| wind <= 0.0);
            self.some(
                Column::Wind,
                calm,
                &format!(
                    "there is no wind for more than {} days on end",
                    CALM_H / 24.0
                ),
                todo,
            );
        }
        let calm = Tally::of(self.n(), |i| c.wind_m_s[i] <= 0.0);
        #[allow(clippy::cast_precision_loss, reason = "number of intervals")]
        if calm.count as f64 > CALM_FRAC * self.n() as f64 && self.year.is_whole_year() {
            self.some(
                Column::Wind,
                calm,
                "there is no wind",
                "more than half of the year is too calm for an open site: the sensor is sheltered or missing values were written as 0",
            );
        }
        let sun = runs(&c.ghi_w_m2, self.intervals(STUCK_SUN_H), |sun| sun > 20.0);
        self.some(
            Column::Ghi,
            sun,
            &format!("the global irradiance stands still for {STUCK_SUN_H} h or more by day"),
            "missing values may have been filled by repeating the last one",
        );
    }

    fn spikes(&mut self) {
        let c = &self.year.columns;
        let hour = (60 / self.year.interval_minutes.max(1)).max(1) as usize;
        for (column, values, most) in [
            (Column::Air, &c.air_c, SPIKE_K),
            (Column::DewPoint, &c.dew_point_c, SPIKE_K),
            (Column::Pressure, &c.pressure_pa, SPIKE_PA),
        ] {
            let tally = Tally::of(self.n(), |i| {
                i >= hour && i + hour < values.len() && {
                    let (before, here, after) = (values[i - hour], values[i], values[i + hour]);
                    // Away from both neighbours in one direction, and these agree.
                    (here - before).abs().min((here - after).abs()) > most
                        && (here > before) == (here > after)
                        && (before - after).abs() < most
                }
            });
            self.some(
                column,
                tally,
                &format!("the {column} jumps and comes back within two hours"),
                "a wrong value: leave it blank, and it is filled",
            );
        }
    }

    /// Days that are the copy of another, in air, wind and sun.
    fn copies(&mut self) {
        let c = &self.year.columns;
        let per_day = (24 * 60 / self.year.interval_minutes.max(1)) as usize;
        if per_day < 12 {
            return;
        }
        let mut seen: HashMap<u64, usize> = HashMap::new();
        let mut tally = Tally::default();
        let mut of = None;
        for first in (0..self.n().saturating_sub(per_day - 1)).step_by(per_day) {
            let day = first..first + per_day;
            if is_constant(&c.air_c[day.clone()]) {
                continue;
            }
            let mut hasher = DefaultHasher::new();
            for values in [&c.air_c, &c.wind_m_s, &c.ghi_w_m2] {
                for value in &values[day.clone()] {
                    value.to_bits().hash(&mut hasher);
                }
            }
            if let Some(&other) = seen.get(&hasher.finish()) {
                tally.add(first, per_day);
                of = of.or(Some(other));
            } else {
                seen.insert(hasher.finish(), first);
            }
        }
        if let Some(other) = of {
            let what = format!(
                "air, wind and sun are a copy of another day (of {})",
                self.year.start_of(other).format("%-d %B")
            );
            self.some(
                Column::Air,
                tally,
                &what,
                "days were repeated to fill a gap; use a file that has them",
            );
        }
    }
}

fn is_constant(values: &[f64]) -> bool {
    values
        .windows(2)
        .all(|pair| (pair[0] - pair[1]).abs() < f64::EPSILON)
}

/// Intervals in runs of at least `least` equal values for which `counts` holds.
fn runs(values: &[f64], least: usize, counts: impl Fn(f64) -> bool) -> Tally {
    let mut tally = Tally::default();
    let mut i = 0;
    while i < values.len() {
        let here = values[i];
        let mut end = i + 1;
        while end < values.len() && (values[end] - here).abs() < f64::EPSILON {
            end += 1;
        }
        if end - i >= least && counts(here) {
            tally.add(i, end - i);
        }
        i = end;
    }
    tally
}
