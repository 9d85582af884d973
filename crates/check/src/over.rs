//! One answer over several weathers: where no series of the log's days is at hand, each that might have been is tried.

use swimdays_quantity::Units;
use swimdays_season::Plan;
use swimdays_weather::WeatherYear;

use crate::dates::{Basis, Dated};
use crate::error::CheckError;
use crate::fit::{estimates_in, fit_in};
use crate::forecast::forecast_in;
use crate::reading::Log;
use crate::result::{Estimate, Fit, Foretold, Verdict};
use crate::verdict::verdict_in;

/// The fit in the likeliest weather; where the weather is not that of the days, each interval holds those of all weathers, and a number
/// counts as told only if it still is narrow then.
///
/// # Errors
/// As [`crate::fit()`] of the likeliest weather. A weather in which nothing can be fitted is left out.
pub fn fit_over(plan: &Plan, dated: &Dated, log: &Log) -> Result<Fit, CheckError> {
    let main = dated.years.first().ok_or(CheckError::NoWeather)?;
    let mut out = fit_in(plan, main, log, dated.basis)?;
    if dated.basis == Basis::Real {
        return Ok(out);
    }
    let others: Vec<Vec<Estimate>> = dated.years[1..]
        .iter()
        .filter_map(|year| estimates_in(plan, year, log, dated.basis).ok())
        .collect();
    for estimate in &mut out.parameters {
        for other in &others {
            if let Some(one) = other.iter().find(|e| e.key == estimate.key) {
                estimate.low = estimate.low.min(one.low);
                estimate.high = estimate.high.max(one.high);
            }
        }
        if estimate.identified && !is_narrow(estimate) {
            estimate.identified = false;
            estimate.why = "In other weather that might have been it comes out otherwise; hourly weather of those days would tell.".into();
        }
    }
    Ok(out)
}

/// At most half as wide as what was known before.
fn is_narrow(e: &Estimate) -> bool {
    e.high - e.low <= 0.5 * (e.prior_high - e.prior_low)
}

/// The verdict in the likeliest weather; where the weather is not that of the days, the mean belief over all weathers.
///
/// # Errors
/// As [`crate::verdict()`] of the likeliest weather. A weather in which nothing can be said is left out.
pub fn verdict_over(
    plan: &Plan,
    dated: &Dated,
    log: &Log,
    units: Units,
) -> Result<Verdict, CheckError> {
    let main = dated.years.first().ok_or(CheckError::NoWeather)?;
    let one = |year: &WeatherYear| verdict_in(plan, year, log, units, dated.basis);
    let mut out = one(main)?;
    if dated.basis == Basis::Real {
        return Ok(out);
    }
    let mut others = Vec::new();
    for year in &dated.years[1..] {
        others.extend(one(year));
    }
    let all = f64::from(u32::try_from(1 + others.len()).unwrap_or(u32::MAX));
    for cause in &mut out.ranked {
        let own = |v: &Verdict| {
            v.ranked
                .iter()
                .find(|c| c.cause == cause.cause)
                .map_or(0.0, |c| c.weight)
        };
        cause.weight = (cause.weight + others.iter().map(own).sum::<f64>()) / all;
    }
    out.ranked.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    Ok(out)
}

/// The days to come, from what the log taught in the likeliest weather.
///
/// # Errors
/// As [`crate::forecast()`]; [`CheckError::NoWeather`] without any weather of the log's days.
pub fn forecast_over(
    plan: &Plan,
    dated: &Dated,
    log: &Log,
    coming: &WeatherYear,
) -> Result<Vec<Foretold>, CheckError> {
    let main = dated.years.first().ok_or(CheckError::NoWeather)?;
    forecast_in(plan, main, log, coming, dated.basis)
}
