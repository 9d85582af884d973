//! The stretch of weather that a log covers, with what the log says of pump and cover laid over it.

use chrono::{Datelike, NaiveDateTime, TimeDelta};
use swimdays_season::{Detail, MonthDay, Noted, Plan, Prepared, SeasonError, run};
use swimdays_weather::{TYPICAL_YEAR, WeatherYear, YearKind};

use crate::dates::Basis;
use crate::error::CheckError;
use crate::noted::shares;
use crate::reading::Log;

/// How long soil and tubes are warmed up before the log, days: the shell and the first half metre of soil forget the rest
/// (√(diffusivity · time) = √(5e-7 · 14 · 86 400) = 0.8 m).
const WARM_UP_DAYS: i64 = 14;

/// Two notes of the same state this far apart are taken to hold between, h: the pump, and the cover.
const PUMP_HOLDS_H: f64 = 4.0;
const COVER_HOLDS_H: f64 = 14.0;

/// Water for a run that is only asked for its hours, °C.
const ANY_WATER_C: f64 = 20.0;

/// Where a log is compared: plan and rows of weather.
#[derive(Clone, Debug)]
pub(crate) struct Stage {
    /// The plan, open all the time: whoever reads the water has water.
    pub plan: Plan,
    /// The rows, with the notes.
    pub year: Prepared,
    /// Start of the first row on the calendar of the log.
    pub first: NaiveDateTime,
    /// Row at whose start the water is given.
    pub given_at: usize,
    /// Where the weather comes from.
    pub basis: Basis,
}

/// A time on the calendar of `weather`.
fn labelled(time: NaiveDateTime, weather: &WeatherYear) -> NaiveDateTime {
    if weather.kind == YearKind::Measured {
        return time;
    }
    time.with_year(TYPICAL_YEAR)
        .or_else(|| time.with_day(28).and_then(|t| t.with_year(TYPICAL_YEAR)))
        .unwrap_or(time)
}

impl Stage {
    /// Cuts out of `weather` what `log` covers.
    pub(crate) fn new(
        plan: &Plan,
        weather: &WeatherYear,
        log: &Log,
        basis: Basis,
    ) -> Result<Self, CheckError> {
        let (Some(first), Some(last)) = (log.readings.first(), log.readings.last()) else {
            return Err(CheckError::TooFewReadings {
                found: 0,
                needed: crate::fit::FEWEST_READINGS,
            });
        };
        let stage = Self::between(plan, weather, log, first.time, last.time)?;
        Ok(Self { basis, ..stage })
    }

    /// The same for any stretch.
    pub(crate) fn between(
        plan: &Plan,
        weather: &WeatherYear,
        log: &Log,
        from: NaiveDateTime,
        to: NaiveDateTime,
    ) -> Result<Self, CheckError> {
        let elsewhere = || CheckError::WeatherElsewhere {
            log_from: from,
            log_to: to,
            weather_from: weather.start_of(0),
            weather_to: weather.start_of(weather.len()),
        };
        let mut plan = plan.clone();
        plan.pool.opens = MonthDay { month: 1, day: 1 };
        plan.pool.closes = MonthDay { month: 12, day: 31 };
        let whole = Prepared::new(&plan, weather)?;
        let begins = labelled(from - TimeDelta::days(WARM_UP_DAYS), weather);
        let (given, ends) = (labelled(from, weather), labelled(to, weather));
        let after = ends + TimeDelta::minutes(i64::from(weather.interval_minutes));
        let mut year = whole.stretch(begins, after).ok_or_else(elsewhere)?;
        // The row that holds the first reading; over the seam of a typical year the calendar falls back once.
        let seam = |time: NaiveDateTime| (time < begins, time);
        let given_at = year
            .rows
            .iter()
            .rposition(|row| seam(row.start) <= seam(given))
            .ok_or_else(elsewhere)?;
        let interval = TimeDelta::minutes(i64::from(year.interval_minutes));
        let rows_before = i32::try_from(given_at).unwrap_or(i32::MAX);
        let first = from - (given - year.rows[given_at].start) - interval * rows_before;
        let rows = i32::try_from(year.rows.len()).unwrap_or(i32::MAX);
        let gap = given - year.rows[given_at].start;
        if gap >= interval || first + interval * rows <= to {
            return Err(elsewhere());
        }
        // Nobody asks here how hot a standing tube gets.
        for plane in &mut year.planes {
            plane.peak_w_m2 = f64::INFINITY;
        }
        let frame = Self {
            plan,
            year: year.clone(),
            first,
            given_at,
            basis: Basis::Real,
        };
        let states = |pick: &dyn Fn(&crate::Reading) -> Option<bool>| -> Vec<(f64, bool)> {
            log.readings
                .iter()
                .filter_map(|r| pick(r).map(|on| (frame.hours_of(r.time), on)))
                .collect()
        };
        let planned = frame.trace(&frame.plan, &frame.year, ANY_WATER_C)?;
        year.noted = Some(Noted {
            pump_on_frac: shares(
                &states(&|r| r.pump_on),
                PUMP_HOLDS_H,
                &planned.pump_on_frac,
                frame.interval_h(),
            ),
            cover_on_frac: shares(
                &states(&|r| r.cover_on),
                COVER_HOLDS_H,
                &planned.cover_on_frac,
                frame.interval_h(),
            ),
            water_given_at: given_at,
        });
        Ok(Self { year, ..frame })
    }

    /// End of each row: on the calendar of the log, and in hours from the start of the first row.
    pub(crate) fn ends(&self) -> impl Iterator<Item = (NaiveDateTime, f64)> + '_ {
        let interval = TimeDelta::minutes(i64::from(self.year.interval_minutes));
        (1..).zip(&self.year.rows).map(move |(rows, _): (i32, _)| {
            let time = self.first + interval * rows;
            (time, self.hours_of(time))
        })
    }

    /// Start of the row at which the water is given, hours from the start of the first row.
    pub(crate) fn given_h(&self) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "a row's number")]
        let row = self.given_at as f64;
        row * self.interval_h()
    }

    /// Length of an interval, h.
    pub(crate) fn interval_h(&self) -> f64 {
        self.year.interval_s / 3600.0
    }

    /// Hours from the start of the first row.
    pub(crate) fn hours_of(&self, time: NaiveDateTime) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "seconds of a season")]
        let seconds = (time - self.first).num_seconds() as f64;
        seconds / 3600.0
    }

    /// The time so many hours from the start of the first row, to the second.
    pub(crate) fn time_of(&self, hours: f64) -> NaiveDateTime {
        #[allow(clippy::cast_possible_truncation, reason = "seconds of a season")]
        let seconds = (3600.0 * hours).round() as i64;
        self.first + TimeDelta::seconds(seconds)
    }

    /// Runs `plan` from `start_c` and keeps what a thermometer can see.
    pub(crate) fn trace(
        &self,
        plan: &Plan,
        year: &Prepared,
        start_c: f64,
    ) -> Result<Trace, SeasonError> {
        let mut plan = plan.clone();
        plan.pool.start_c = Some(start_c);
        let season = run(&plan, year, Detail::Full)?;
        let hourly = season.hourly.unwrap_or_default();
        let mut rise_k = Vec::with_capacity(hourly.water_c.len());
        for (i, outlet_c) in hourly.outlet_c.iter().enumerate() {
            let before = if i == self.given_at || i == 0 {
                start_c
            } else {
                hourly.water_c[i - 1]
            };
            rise_k.push(outlet_c - 0.5 * (before + hourly.water_c[i]));
        }
        Ok(Trace {
            given_at: self.given_at,
            interval_h: self.interval_h(),
            start_c,
            water_c: hourly.water_c,
            rise_k,
            evaporation_w: hourly.heat_w.iter().map(|h| h.evaporation).collect(),
            pump_on_frac: hourly.pump_on_frac,
            cover_on_frac: hourly.cover_on_frac,
        })
    }
}

/// What a run shows to thermometers.
#[derive(Clone, Debug)]
pub(crate) struct Trace {
    given_at: usize,
    interval_h: f64,
    start_c: f64,
    /// At the end of each row, °C.
    water_c: Vec<f64>,
    /// Outlet above the water, mean of each row while the pump ran, K; `NaN` without flow.
    rise_k: Vec<f64>,
    /// Latent heat into the water, W; negative.
    pub evaporation_w: Vec<f64>,
    /// Share of each row with flow.
    pub pump_on_frac: Vec<f64>,
    /// Share of each row with the cover on the water.
    pub cover_on_frac: Vec<f64>,
}

impl Trace {
    /// Row and place within it of a time in hours from the first row.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held to the rows there are"
    )]
    fn place(&self, hours: f64) -> (usize, f64) {
        let rows = hours / self.interval_h;
        let last = self.water_c.len().saturating_sub(1);
        let row = (rows.floor().max(0.0) as usize).clamp(self.given_at.min(last), last);
        #[allow(clippy::cast_precision_loss, reason = "a row's number")]
        let within = (rows - row as f64).clamp(0.0, 1.0);
        (row, within)
    }

    /// Water at a time, °C: a straight line between the ends of the rows.
    pub(crate) fn water_c(&self, hours: f64) -> f64 {
        let (row, within) = self.place(hours);
        let before = if row <= self.given_at {
            self.start_c
        } else {
            self.water_c[row - 1]
        };
        before + within * (self.water_c[row] - before)
    }

    /// Outlet above the water at a time, K: a straight line between the middles of rows with flow; `None` without flow.
    pub(crate) fn rise_k(&self, hours: f64) -> Option<f64> {
        let (row, within) = self.place(hours);
        let here = self.rise_k.get(row).copied().filter(|r| r.is_finite())?;
        let (other, share) = if within < 0.5 {
            (row.checked_sub(1), 0.5 - within)
        } else {
            (Some(row + 1), within - 0.5)
        };
        let other = other
            .and_then(|i| self.rise_k.get(i).copied())
            .filter(|r| r.is_finite());
        Some(other.map_or(here, |other| here + share * (other - here)))
    }

    /// Share with flow of the row that holds a time.
    pub(crate) fn pump_at(&self, hours: f64) -> f64 {
        self.pump_on_frac[self.place(hours).0]
    }

    /// Mean of `values` (one a row) between two times, weighted by how much of each row lies between.
    pub(crate) fn sum_between(&self, values: &[f64], from_h: f64, to_h: f64) -> f64 {
        let mut sum = 0.0;
        for (row, value) in values.iter().enumerate() {
            #[allow(clippy::cast_precision_loss, reason = "a row's number")]
            let start = row as f64 * self.interval_h;
            let overlap = (start + self.interval_h).min(to_h) - start.max(from_h);
            if overlap > 0.0 {
                sum += value * overlap;
            }
        }
        sum
    }
}
