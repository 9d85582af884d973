//! Which cause explains the log best.
//!
//! The plan is fitted as built, and once more with each fault let loose in turn, with all other values free within their ranges. What
//! is compared is not how near each comes, which the freer one always wins, but how probable each makes the log with everything that is
//! uncertain averaged over (the evidence, by Laplace's method): a fault must foretell the log so much better as its freedom costs.
//! With how common each cause is, that gives the weights.
//!
//! Source: MacKay (1992), *Bayesian interpolation*, Neural Computation 4:415 (from memory); how common: own judgement, no source.

use rayon::prelude::*;
use swimdays_quantity::Units;
use swimdays_season::Plan;
use swimdays_weather::WeatherYear;

use crate::dates::Basis;
use crate::error::CheckError;
use crate::evidence::{Case, evidence, next_measurement, reading};
use crate::fault::{DayPart, Fault};
use crate::fit::check_log;
use crate::model::{Model, seen};
use crate::reading::Log;
use crate::result::{Cause, CauseWeight, Quantity, Verdict};
use crate::search::{Found, Scope, cost_at, counted, counts_of, search};
use crate::stage::Stage;

/// How common it is that all is as built, and each single fault: own judgement, no source.
const COMMON_AS_BUILT: f64 = 0.3;
const COMMON_FAULT: f64 = 0.1;

/// The whole log, level included.
const SCOPE: Scope = Scope {
    until_h: f64::INFINITY,
    levels: true,
    less_where_alike: false,
};

/// Ranks the causes for what `log` shows; sentences in `units`.
///
/// # Errors
/// As [`crate::fit()`].
pub fn verdict(
    plan: &Plan,
    weather: &[&WeatherYear],
    log: &Log,
    units: Units,
) -> Result<Verdict, CheckError> {
    let weather = weather.first().ok_or(CheckError::NoWeather)?;
    verdict_in(plan, weather, log, units, Basis::Real)
}

/// The same in weather that comes from `basis`.
pub(crate) fn verdict_in(
    plan: &Plan,
    weather: &WeatherYear,
    log: &Log,
    units: Units,
    basis: Basis,
) -> Result<Verdict, CheckError> {
    check_log(log)?;
    let stage = Stage::new(plan, weather, log, basis)?;
    let model = Model::new(&stage, log, true)?;
    let as_built = search(&model, &model.start(0.0), SCOPE).ok_or(CheckError::NoFit)?;
    let tried: Vec<(Fault, Found)> = faults(&model)
        .into_par_iter()
        .filter_map(|fault| Some((fault, best(&model, fault, &as_built)?)))
        .collect();
    let (as_built, tried) = counted_alike(&model, as_built, tried)?;
    let mut ranked = weigh(&model, &as_built, &tried, units);
    ranked.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    let next = next_measurement(&model, &ranked);
    Ok(Verdict {
        next_measurement: next,
        ranked,
    })
}

/// All searches with their readings counting alike: for what they count where the explanation that meets the log best is taken for the truth.
///
/// What another explanation misses hangs together because it is not the truth, which must not make it look better.
fn counted_alike(
    model: &Model<'_>,
    as_built: Found,
    tried: Vec<(Fault, Found)>,
) -> Result<(Found, Vec<(Fault, Found)>), CheckError> {
    let likeliest = tried
        .iter()
        .map(|(_, found)| found)
        .fold(&as_built, |best, found| {
            if found.log_evidence > best.log_evidence {
                found
            } else {
                best
            }
        });
    let counts = counts_of(model, likeliest);
    let as_built = counted(model, as_built, SCOPE, counts).ok_or(CheckError::NoFit)?;
    let tried = tried
        .into_iter()
        .filter_map(|(fault, found)| {
            let with = model.with_fault(fault);
            Some((fault, counted(&with, found, SCOPE, counts)?))
        })
        .collect();
    Ok((as_built, tried))
}

/// What can be wrong with this plan, as far as this log can see it.
fn faults(model: &Model<'_>) -> Vec<Fault> {
    let plan = &model.stage.plan;
    let read = seen(model.log);
    let mut out = vec![Fault::Wind, Fault::WaterShade];
    if !plan.heaters.is_empty() {
        out.extend([
            Fault::LowFlow,
            Fault::Air,
            Fault::HeaterShade(DayPart::Morning),
            Fault::HeaterShade(DayPart::Afternoon),
            Fault::HeaterShade(DayPart::AllDay),
        ]);
    }
    if plan.cover.is_some() {
        out.extend([Fault::CoverOffAtNight, Fault::CoverOff]);
    }
    if !model.levels.is_empty() {
        out.push(Fault::Leak);
    }
    if read.water || model.log.one_thermometer {
        out.push(Fault::Offset(Quantity::Water));
    }
    if !model.log.one_thermometer {
        if read.inlet {
            out.push(Fault::Offset(Quantity::Inlet));
        }
        if read.outlet {
            out.push(Fault::Offset(Quantity::Outlet));
        }
    }
    out
}

/// The search with one fault let loose, from the severity that explains most while all else stays as built.
fn best(model: &Model<'_>, fault: Fault, as_built: &Found) -> Option<Found> {
    let model = model.with_fault(fault);
    let mut best: Option<(f64, Vec<f64>)> = None;
    for y in fault.starts() {
        let mut start = as_built.z.clone();
        start.push(*y);
        let Some((cost, _)) = cost_at(&model, &start, &as_built.whitener, SCOPE) else {
            continue;
        };
        if best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, start));
        }
    }
    search(&model, &best?.1, SCOPE)
}

fn weigh(
    model: &Model<'_>,
    as_built: &Found,
    tried: &[(Fault, Found)],
    units: Units,
) -> Vec<CauseWeight> {
    let base = as_built.log_evidence;
    let mut out = vec![(Cause::AsBuilt, COMMON_AS_BUILT, None)];
    for cause in Cause::FAULTS {
        let forms: Vec<&(Fault, Found)> =
            tried.iter().filter(|(f, _)| f.cause() == cause).collect();
        let likeliest = forms
            .iter()
            .max_by(|a, b| a.1.log_evidence.total_cmp(&b.1.log_evidence));
        let weight = if forms.is_empty() {
            if !can_be(model, cause) {
                continue;
            }
            // The log cannot see it: as likely as it was before.
            COMMON_FAULT
        } else {
            // Nothing is known of the form, so each of them counts alike; kept from overflowing.
            #[allow(clippy::cast_precision_loss, reason = "a handful of forms")]
            let n = forms.len() as f64;
            COMMON_FAULT
                * forms
                    .iter()
                    .map(|(_, found)| (found.log_evidence - base).min(600.0).exp())
                    .sum::<f64>()
                / n
        };
        out.push((cause, weight, likeliest.copied()));
    }
    let sum: f64 = out.iter().map(|(_, weight, _)| weight).sum();
    out.into_iter()
        .map(|(cause, weight, form)| CauseWeight {
            cause,
            weight: weight / sum,
            evidence: evidence(
                &Case {
                    model,
                    as_built,
                    units,
                },
                cause,
                form,
            ),
            reading: reading(cause, model),
        })
        .collect()
}

/// Whether the plan has the thing that the cause is about.
fn can_be(model: &Model<'_>, cause: Cause) -> bool {
    let plan = &model.stage.plan;
    match cause {
        Cause::FlowTooLow | Cause::AirInCoil => !plan.heaters.is_empty(),
        Cause::CoverOff => plan.cover.is_some(),
        _ => true,
    }
}
