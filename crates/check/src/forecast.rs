//! The next days' water, when their weather is foretold.

use chrono::NaiveDateTime;
use nalgebra::{DMatrix, DVector};
use swimdays_season::Plan;
use swimdays_weather::WeatherYear;

use crate::dates::Basis;
use crate::error::CheckError;
use crate::fit::check_log;
use crate::knob::{TWENTIETH_SD, value};
use crate::model::Model;
use crate::noise::FORGETS_H;
use crate::reading::Log;
use crate::result::{Foretold, Parameter};
use crate::search::{Found, Scope, search};
use crate::stage::Stage;

/// Longest stretch that is foretold, days.
pub const FORECAST_DAYS: i64 = 5;

/// Foretells the water for up to [`FORECAST_DAYS`] days of `forecast`, from what `log` taught; at the end of each interval.
///
/// It is the water as the pool's thermometer shows it. Pump and cover follow the plan's hours; soil and tubes start in balance with the water. The band is that of the values' covariance carried through the run's slopes, of what the water
/// was at the end of the log, and of what the model misses as it grows anew; the weather is taken as foretold.
///
/// Source: linear propagation of a normal distribution; textbook.
///
/// # Errors
/// As [`crate::fit()`]; [`CheckError::WeatherElsewhere`] when `forecast` does not go on where the log ends.
pub fn forecast(
    plan: &Plan,
    weather: &WeatherYear,
    log: &Log,
    forecast: &WeatherYear,
) -> Result<Vec<Foretold>, CheckError> {
    forecast_in(plan, weather, log, forecast, Basis::Real)
}

/// The same where the weather of the log's days comes from `basis`.
pub(crate) fn forecast_in(
    plan: &Plan,
    weather: &WeatherYear,
    log: &Log,
    forecast: &WeatherYear,
    basis: Basis,
) -> Result<Vec<Foretold>, CheckError> {
    check_log(log)?;
    let stage = Stage::new(plan, weather, log, basis)?;
    let model = Model::new(&stage, log, false)?;
    let found = search(&model, &model.start(0.0), Scope::WHOLE).ok_or(CheckError::NoFit)?;
    let last = model.sights.last().ok_or(CheckError::NoFit)?;
    let at_end = Ahead::new(&model, &found, last.time, forecast)?;
    let best = at_end.water(&found.z, 0.0)?;
    let mut slopes = Vec::with_capacity(found.z.len());
    for j in 0..found.z.len() {
        let mut moved = found.z.clone();
        moved[j] += STEP_Z;
        let there = at_end.water(&moved, 0.0)?;
        slopes.push(difference(&there, &best, STEP_Z));
    }
    let by_error = difference(&at_end.water(&found.z, STEP_K)?, &best, STEP_K);
    Ok(at_end.told(&found, &best, &DMatrix::from_columns(&slopes), &by_error))
}

/// Steps for differences: of a value's position, and of the water at the beginning, K.
const STEP_Z: f64 = 0.2;
const STEP_K: f64 = 0.1;

fn difference(a: &DVector<f64>, b: &DVector<f64>, step: f64) -> DVector<f64> {
    (a - b) / step
}

/// The days after the log.
struct Ahead<'m, 'a> {
    model: &'m Model<'a>,
    stage: Stage,
    ends: Vec<(NaiveDateTime, f64)>,
    from_h: f64,
    /// What the model missed of the water at the end of the log, and its variance.
    error_k: f64,
    error_variance_k2: f64,
}

impl<'m, 'a> Ahead<'m, 'a> {
    fn new(
        model: &'m Model<'a>,
        found: &Found,
        from: NaiveDateTime,
        weather: &WeatherYear,
    ) -> Result<Self, CheckError> {
        let length = i32::try_from(weather.len()).unwrap_or(i32::MAX);
        let interval = chrono::TimeDelta::minutes(i64::from(weather.interval_minutes));
        let most = from + chrono::TimeDelta::days(FORECAST_DAYS);
        let to = if weather.is_whole_year() {
            most
        } else {
            most.min(weather.start_of(0) + interval * length - interval)
        };
        if to <= from {
            return Err(CheckError::WeatherElsewhere {
                log_from: from,
                log_to: most,
                weather_from: weather.start_of(0),
                weather_to: weather.start_of(weather.len()),
            });
        }
        let silent = Log {
            readings: Vec::new(),
            ..model.log.clone()
        };
        let stage = Stage::between(&model.stage.plan, weather, &silent, from, to)?;
        let misses: Vec<f64> = model
            .sights
            .iter()
            .zip(&found.shown.sights_c)
            .map(|(s, c)| s.measured_c - c)
            .collect();
        let error_k = found.whitener.model_error_k(&misses).last().copied();
        let from_h = stage.hours_of(from);
        let ends = stage.ends().filter(|(_, hours)| *hours > from_h).collect();
        Ok(Self {
            model,
            ends,
            from_h,
            error_k: error_k.unwrap_or(0.0),
            error_variance_k2: found.whitener.last_variance_k2,
            stage,
        })
    }

    /// Water at the ends of the intervals with the values at `z` and the water at the end of the log off by `more_k`.
    fn water(&self, z: &[f64], more_k: f64) -> Result<DVector<f64>, CheckError> {
        let logged = self.model.trace(z)?;
        let last_h = self.model.sights.last().map_or(0.0, |s| s.hours);
        // The run takes the water at the start of the row in which the log ends.
        let into_row_h = self.from_h - self.stage.given_h();
        let start_c = logged.water_c(last_h - into_row_h) + self.error_k + more_k;
        let offset_k = value(&self.model.knobs, z, Parameter::OffsetWater, 0.0);
        let (plan, _) = self.model.setting(z);
        let trace = self.stage.trace(&plan, &self.stage.year, start_c)?;
        Ok(DVector::from_iterator(
            self.ends.len(),
            self.ends
                .iter()
                .map(|(_, hours)| trace.water_c(*hours) + offset_k),
        ))
    }

    fn told(
        &self,
        found: &Found,
        best: &DVector<f64>,
        slopes: &DMatrix<f64>,
        by_error: &DVector<f64>,
    ) -> Vec<Foretold> {
        self.ends
            .iter()
            .enumerate()
            .map(|(i, (time, hours))| {
                let row = slopes.row(i);
                let values = (row * &found.covariance * row.transpose())[(0, 0)];
                let fades = (-2.0 * (hours - self.from_h) / FORGETS_H).exp();
                let grows = found.model_sd_k * found.model_sd_k * (1.0 - fades);
                let variance = values + by_error[i].powi(2) * self.error_variance_k2 + grows;
                let half = TWENTIETH_SD * variance.max(0.0).sqrt();
                Foretold {
                    time: *time,
                    water_c: best[i],
                    low_c: best[i] - half,
                    high_c: best[i] + half,
                }
            })
            .collect()
    }
}
