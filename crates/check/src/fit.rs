//! What the log teaches: the most probable values, their ranges, and which of them it can tell.

use swimdays_season::Plan;
use swimdays_weather::WeatherYear;

use crate::dates::Basis;
use crate::doubt::samples;
use crate::error::CheckError;
use crate::identify::{Interval, intervals, why};
use crate::knob::{TWENTIETH_SD, value};
use crate::model::Model;
use crate::reading::Log;
use crate::result::{Course, Estimate, Fit, HeldOut, Parameter, Point, Quantity};
use crate::search::{Found, Scope, search};
use crate::stage::Stage;

/// Readings of the water without which nothing is said.
pub(crate) const FEWEST_READINGS: usize = 3;

/// Share of the log, in time, that learns when the rest is held out; days that must be held out at least.
const LEARNS_FRAC: f64 = 2.0 / 3.0;
const HELD_OUT_DAYS: f64 = 1.0;

/// Published accuracy of hourly pool models, K: what is counted as foretold. Source: Lovell et al. (2019), 82 % of hours.
const FORETOLD_K: f64 = 0.5;

/// Fits `plan` to `log` in the weather of its dates. Of several weathers the first is used for the values.
///
/// The most probable values are found by bounded, weighted, robust least squares: priors are the plan's own ranges (10–90 % ends of normal
/// distributions), readings are weighed by household errors, what the model misses is a process that forgets within days
/// ([`crate::noise`]), wild readings lose weight. How much the model misses is itself read from the log. The 90 % intervals are those
/// of the profile likelihood, found from the curvature at the best fit and corrected by fits with the value held at either end.
///
/// Source: Gelman et al., *Bayesian Data Analysis* (3rd ed.), chapter 4 (normal approximation); Venzon & Moolgavkar (1988), Applied
/// Statistics 37:87 (profile likelihood); Huber (1981), *Robust Statistics* (weights); all from memory.
///
/// # Errors
/// [`CheckError`] when there are too few readings, the weather is of other dates, or the plan cannot be run.
pub fn fit(plan: &Plan, weather: &[&WeatherYear], log: &Log) -> Result<Fit, CheckError> {
    let weather = weather.first().ok_or(CheckError::NoWeather)?;
    fit_in(plan, weather, log, Basis::Real)
}

/// The same in weather that comes from `basis`.
pub(crate) fn fit_in(
    plan: &Plan,
    weather: &WeatherYear,
    log: &Log,
    basis: Basis,
) -> Result<Fit, CheckError> {
    check_log(log)?;
    let stage = Stage::new(plan, weather, log, basis)?;
    let model = Model::new(&stage, log, false)?;
    let found = search(&model, &model.start(0.0), Scope::WHOLE).ok_or(CheckError::NoFit)?;
    let intervals = intervals(&model, &found);
    Ok(Fit {
        parameters: estimates(&model, &found, &intervals),
        points: points(&model, &found),
        course: course(&model, &found)?,
        // In guessed weather the last third tells of the guess, not of the fit.
        held_out: (basis == Basis::Real).then(|| held_out(&model)).flatten(),
        model_sd_k: found.model_sd_k,
        rms_k: rms(&model, &found.shown.sights_c),
        rms_before_k: rms(&model, &before(&model)),
        notes: Vec::new(),
    })
}

/// The values and their ranges alone.
pub(crate) fn estimates_in(
    plan: &Plan,
    weather: &WeatherYear,
    log: &Log,
    basis: Basis,
) -> Result<Vec<Estimate>, CheckError> {
    let stage = Stage::new(plan, weather, log, basis)?;
    let model = Model::new(&stage, log, false)?;
    let found = search(&model, &model.start(0.0), Scope::WHOLE).ok_or(CheckError::NoFit)?;
    Ok(estimates(&model, &found, &intervals(&model, &found)))
}

/// Refuses a log that teaches nothing.
pub(crate) fn check_log(log: &Log) -> Result<(), CheckError> {
    for (what, found) in [
        ("error of a thermometer's offset, K", log.sd.offset_sd_k),
        ("error of one reading, K", log.sd.reading_sd_k),
        (
            "error of one timing of the flow, share",
            log.sd.flow_sd_frac,
        ),
        ("error of the bucket, share", log.sd.bucket_sd_frac),
    ] {
        if !(found > 0.0 && found.is_finite()) {
            return Err(CheckError::Accuracy { what, found });
        }
    }
    let mut times: Vec<_> = log
        .readings
        .iter()
        .filter(|r| r.water_c.or(r.inlet_c).is_some_and(f64::is_finite))
        .map(|r| r.time)
        .collect();
    times.dedup();
    if times.len() < FEWEST_READINGS {
        return Err(CheckError::TooFewReadings {
            found: times.len(),
            needed: FEWEST_READINGS,
        });
    }
    Ok(())
}

fn estimates(model: &Model<'_>, found: &Found, intervals: &[Interval]) -> Vec<Estimate> {
    model
        .knobs
        .iter()
        .zip(&found.z)
        .zip(intervals)
        .enumerate()
        .map(|(j, ((knob, z), interval))| {
            let (prior_low, prior_high) = model.wide_prior(j);
            Estimate {
                key: knob.key,
                prior: knob.prior(),
                prior_low,
                prior_high,
                value: knob.value(*z),
                low: interval.low,
                high: interval.high,
                identified: interval.identified,
                why: why(model, found, j, interval),
            }
        })
        .collect()
}

/// What the thermometers would show with the plan as it was.
fn before(model: &Model<'_>) -> Vec<f64> {
    model.shown_by(&model.before, &model.start(0.0)).sights_c
}

fn rms(model: &Model<'_>, shown_c: &[f64]) -> f64 {
    let squares: Vec<f64> = model
        .sights
        .iter()
        .zip(shown_c)
        .filter(|(s, _)| s.quantity == Quantity::Water)
        .map(|(s, c)| (s.measured_c - c).powi(2))
        .collect();
    mean(&squares).sqrt()
}

fn mean(values: &[f64]) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "a count of readings")]
    let n = values.len().max(1) as f64;
    values.iter().sum::<f64>() / n
}

fn points(model: &Model<'_>, found: &Found) -> Vec<Point> {
    let before = before(model);
    let seen = samples(
        model,
        &found.shown,
        found.rise_scatter_frac,
        model.sights.len(),
        found.counts,
    );
    model
        .sights
        .iter()
        .enumerate()
        .map(|(i, sight)| Point {
            line: sight.line,
            time: sight.time,
            quantity: sight.quantity,
            measured_c: sight.measured_c,
            predicted_c: found.shown.sights_c[i],
            before_c: before[i],
            band_k: TWENTIETH_SD
                * (found.model_sd_k * found.model_sd_k + seen[i].variance_k2).sqrt(),
            weight: found.whitener.weight[i],
        })
        .collect()
}

/// The water between the readings, as the pool's thermometer would show it.
fn course(model: &Model<'_>, found: &Found) -> Result<Vec<Course>, CheckError> {
    let fitted = model.trace(&found.z)?;
    let offset_k = value(&model.knobs, &found.z, Parameter::OffsetWater, 0.0);
    let (first, last) = match (model.sights.first(), model.sights.last()) {
        (Some(first), Some(last)) => (first.hours, last.hours),
        _ => return Ok(Vec::new()),
    };
    Ok(model
        .stage
        .ends()
        .filter(|(_, hours)| (first..=last).contains(hours))
        .map(|(time, hours)| Course {
            time,
            fitted_c: fitted.water_c(hours) + offset_k,
            before_c: model.before.water_c(hours),
        })
        .collect())
}

/// Learns from the first part of the log and foretells the water of the rest, without looking at it.
fn held_out(model: &Model<'_>) -> Option<HeldOut> {
    let (first, last) = (model.sights.first()?.hours, model.sights.last()?.hours);
    let until_h = first + LEARNS_FRAC * (last - first);
    let days = (last - until_h) / 24.0;
    let learning = model.sights.partition_point(|s| s.hours < until_h);
    if days < HELD_OUT_DAYS || learning < FEWEST_READINGS {
        return None;
    }
    let scope = Scope {
        until_h,
        ..Scope::WHOLE
    };
    let found = search(model, &model.start(0.0), scope)?;
    let misses: Vec<f64> = model.sights[..learning]
        .iter()
        .zip(&found.shown.sights_c)
        .map(|(s, c)| s.measured_c - c)
        .collect();
    let error_k = found.whitener.model_error_k(&misses).last().copied()?;
    let from_h = model.sights[learning - 1].hours;
    let errors: Vec<f64> = model.sights[learning..]
        .iter()
        .zip(&found.shown.sights_c[learning..])
        .filter(|(s, _)| s.quantity == Quantity::Water)
        .map(|(s, c)| {
            let fades = (-(s.hours - from_h) / crate::noise::FORGETS_H).exp();
            s.measured_c - (c + error_k * fades)
        })
        .collect();
    if errors.is_empty() {
        return None;
    }
    let squares: Vec<f64> = errors.iter().map(|e| e * e).collect();
    let near: Vec<f64> = errors
        .iter()
        .map(|e| f64::from(u8::from(e.abs() <= FORETOLD_K)))
        .collect();
    Some(HeldOut {
        points: errors.len(),
        rms_k: mean(&squares).sqrt(),
        worst_k: errors.iter().fold(0.0, |w, e| e.abs().max(w)),
        within_half_k_frac: mean(&near),
        days,
    })
}
