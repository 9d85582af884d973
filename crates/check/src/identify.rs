//! Which values the log can tell, by the profile likelihood.

use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;
use swimdays_season::Plan;
use swimdays_weather::WeatherYear;

use crate::dates::Basis;
use crate::error::CheckError;
use crate::fit::check_log;
use crate::knob::{FURTHEST_Z, TWENTIETH_SD};
use crate::model::Model;
use crate::reading::Log;
use crate::result::Parameter;
use crate::search::{Found, Scope, cost_at, held_cost, jacobian_at, search};
use crate::stage::Stage;

/// An interval at most this share of the prior's is called told by the log.
const TOLD_FRAC: f64 = 0.5;

/// Twice the drop of the log-likelihood at the ends of a 90 % interval. Source: table of χ² with one degree of freedom.
const DROP: f64 = 2.705_5;

/// By how much the wind at the water, as a share of the station's, differs between the hours that a log sees the water open and its days as
/// a whole, share of it: no shelter is constant (own judgement, no source).
const WIND_WANDERS_FRAC: f64 = 0.07;

/// The same for what a heater gives: dust, dew, and what an hour's mean weather does not say (own judgement, no source).
const HEATER_WANDERS_FRAC: f64 = 0.02;

/// Correlation from which two values are said to be told together only.
const TOGETHER: f64 = 0.7;

/// How near to that the rise must come, and how often an end is tried.
const DROP_WITHIN: f64 = 0.1;
const ENDS_TRIED: usize = 6;

/// Rounds in which the other values settle while one is held.
const ROUNDS: usize = 8;

/// Steps smaller than this change nothing that a reader would see.
const STILL_Z: f64 = 0.02;

/// Values between which the true one lies with 90 %.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Interval {
    pub low: f64,
    pub high: f64,
    /// Width as a share of the prior's 90 % interval.
    pub share: f64,
    /// At most half as wide as the prior's.
    pub identified: bool,
}

impl Interval {
    fn new(model: &Model<'_>, j: usize, low_z: f64, high_z: f64) -> Self {
        let knob = &model.knobs[j];
        let mut ends = [knob.value(low_z), knob.value(high_z)];
        ends.sort_by(f64::total_cmp);
        let (prior_low, prior_high) = model.wide_prior(j);
        let share = (ends[1] - ends[0]) / (prior_high - prior_low);
        Self {
            low: ends[0],
            high: ends[1],
            share,
            identified: share <= TOLD_FRAC,
        }
    }
}

/// Intervals of all knobs.
pub(crate) fn intervals(model: &Model<'_>, found: &Found) -> Vec<Interval> {
    (0..model.knobs.len())
        .into_par_iter()
        .map(|j| {
            let sd = found.covariance[(j, j)].sqrt();
            let plain = TWENTIETH_SD * sd;
            let runs = told_by_profile(model.knobs[j].key);
            let half = |sign: f64| {
                if runs {
                    profile_half_z(model, found, j, sign * plain)
                } else {
                    plain
                }
            };
            let wanders = wanders_z(model, found, j);
            let (below, above) = (half(-1.0).hypot(wanders), half(1.0).hypot(wanders));
            Interval::new(model, j, found.z[j] - below, found.z[j] + above)
        })
        .collect()
}

/// Half of a 90 % interval that a value's own wandering adds.
fn wanders_z(model: &Model<'_>, found: &Found, j: usize) -> f64 {
    let knob = &model.knobs[j];
    let wanders_frac = match knob.key {
        Parameter::WindShelter => WIND_WANDERS_FRAC,
        Parameter::HeaterPerformance => HEATER_WANDERS_FRAC,
        _ => return 0.0,
    };
    let (value, step) = (knob.value(found.z[j]), 0.1);
    let per_z = (knob.value(found.z[j] + step) - knob.value(found.z[j] - step)) / (2.0 * step);
    if per_z > 0.0 {
        TWENTIETH_SD * wanders_frac * value / per_z
    } else {
        0.0
    }
}

/// What a builder asks about; the rest only widens their ranges.
fn told_by_profile(key: Parameter) -> bool {
    matches!(
        key,
        Parameter::WindShelter
            | Parameter::CoverEffect
            | Parameter::HeaterPerformance
            | Parameter::SunOnWater
    )
}

/// Distance from the best position at which the profile of the log-likelihood has fallen to the end of a 90 % interval.
///
/// The value is held at the end that the curvature gives, the others settle (Gauss–Newton, with slopes taken anew where the first settling
/// ends), and the distance is corrected by what the sum of squares has then risen by, `d √(2.7055/Δ)`, until it has risen by as much; once an
/// end lies on either side, by the secant of √Δ between them.
fn profile_half_z(model: &Model<'_>, found: &Found, j: usize, distance: f64) -> f64 {
    let mut half = distance.abs();
    let mut local: Option<Local> = None;
    // Distances and what √Δ was there: short of the end, and beyond it.
    let wanted = DROP.sqrt();
    let (mut short, mut beyond) = ((0.0, 0.0), None::<(f64, f64)>);
    for _ in 0..ENDS_TRIED {
        let Some((cost, z)) = settled(model, found, j, half.copysign(distance), local.as_ref())
        else {
            return half;
        };
        let mut risen = 2.0 * (cost - found.cost);
        if local.is_none() {
            local = Local::at(model, found, j, z);
            if let Some((cost, _)) =
                settled(model, found, j, half.copysign(distance), local.as_ref())
            {
                risen = risen.min(2.0 * (cost - found.cost));
            }
        }
        if (risen / DROP - 1.0).abs() <= DROP_WITHIN {
            break;
        }
        let here = (half, risen.max(0.0).sqrt());
        if here.1 < wanted {
            if here.0 >= FURTHEST_Z {
                break;
            }
            short = here;
        } else {
            beyond = Some(here);
        }
        half = match beyond {
            Some(beyond) => {
                let share = (wanted - short.1) / (beyond.1 - short.1).max(1e-9);
                short.0 + share.clamp(0.1, 0.9) * (beyond.0 - short.0)
            }
            None => half * (wanted / here.1.max(0.03)).clamp(1.0, 2.0),
        }
        .min(FURTHEST_Z);
    }
    half
}

/// Slopes near one end of an interval, and where the other values have settled there.
struct Local {
    reduced: DMatrix<f64>,
    z: Vec<f64>,
}

impl Local {
    fn at(model: &Model<'_>, found: &Found, j: usize, z: Vec<f64>) -> Option<Self> {
        let reduced = jacobian_at(model, found, &z)?.remove_column(j);
        Some(Self { reduced, z })
    }
}

/// The least cost that Gauss–Newton steps find with position `j` held `distance` from its best, and where; with the slopes of the best
/// position, or with those near by.
fn settled(
    model: &Model<'_>,
    found: &Found,
    j: usize,
    distance: f64,
    local: Option<&Local>,
) -> Option<(f64, Vec<f64>)> {
    let others: Vec<usize> = (0..found.z.len()).filter(|k| *k != j).collect();
    let at_best = found.jacobian.clone().remove_column(j);
    let reduced = local.map_or(&at_best, |near| &near.reduced);
    let normal = (reduced.transpose() * reduced).cholesky()?;
    let mut z = local.map_or_else(|| found.z.clone(), |near| near.z.clone());
    let further = found.z[j] + distance - z[j];
    // Where the straight line puts the others.
    for k in &others {
        z[*k] += further * found.covariance[(*k, j)] / found.covariance[(j, j)];
    }
    z[j] = found.z[j] + distance;
    let mut least = (f64::INFINITY, z.clone());
    let mut step = DVector::zeros(others.len());
    for _ in 0..ROUNDS {
        let (cost, residuals) = cost_at(model, &z, &found.whitener, Scope::WHOLE)?;
        if cost < least.0 {
            least = (cost, z.clone());
            step = normal.solve(&(reduced.transpose() * DVector::from_vec(residuals)));
        } else {
            // Too far: half of the way.
            step *= 0.5;
        }
        z.clone_from(&least.1);
        for (k, s) in others.iter().zip(step.iter()) {
            z[*k] -= s;
        }
        if step.amax() < STILL_Z {
            break;
        }
    }
    Some(least)
}

/// By how much twice the log-likelihood (priors included) falls when `key` is held at each of `values` and all else is searched for anew.
///
/// The profile itself, searched on with fresh slopes from where the quick steps of [`crate::fit()`] end: slower, and a check of its ends.
///
/// # Errors
/// As [`crate::fit()`].
pub fn profile(
    plan: &Plan,
    weather: &WeatherYear,
    log: &Log,
    key: Parameter,
    values: &[f64],
) -> Result<Vec<f64>, CheckError> {
    check_log(log)?;
    let stage = Stage::new(plan, weather, log, Basis::Real)?;
    let model = Model::new(&stage, log, false)?;
    let found = search(&model, &model.start(0.0), Scope::WHOLE).ok_or(CheckError::NoFit)?;
    let j = model
        .knobs
        .iter()
        .position(|k| k.key == key)
        .ok_or(CheckError::NoFit)?;
    values
        .iter()
        .map(|value| {
            let position = model.knobs[j].position_of(*value);
            let (quick, start) =
                settled(&model, &found, j, position - found.z[j], None).ok_or(CheckError::NoFit)?;
            let cost = held_cost(&model, &found, j, start).map_or(quick, |c| c.min(quick));
            Ok(2.0 * (cost - found.cost))
        })
        .collect()
}

/// Why a value can or cannot be told.
pub(crate) fn why(model: &Model<'_>, found: &Found, j: usize, interval: &Interval) -> String {
    let share = interval.share;
    if interval.identified {
        return format!(
            "The log narrows it to {} % of what was open before.",
            (100.0 * share).round()
        );
    }
    let variance = |k: usize| found.covariance[(k, k)];
    let twin = (0..model.knobs.len())
        .filter(|k| *k != j)
        .map(|k| {
            let together = found.covariance[(k, j)] / (variance(k) * variance(j)).sqrt();
            (k, together)
        })
        .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    match twin {
        Some((k, together)) if together.abs() >= TOGETHER => format!(
            "The log cannot tell it from {}: more of one looks like {} of the other.",
            name(model.knobs[k].key),
            if together > 0.0 { "more" } else { "less" }
        ),
        _ if share > 0.9 => "The log says almost nothing of it.".into(),
        _ => "The log narrows it, but less than by half.".into(),
    }
}

/// In the builder's words, within a sentence.
pub(crate) fn name(key: Parameter) -> &'static str {
    match key {
        Parameter::WindShelter => "the wind at the water",
        Parameter::WindByDay => "how the wind differs between day and night",
        Parameter::CoverEffect => "what the cover holds back",
        Parameter::CoverSun => "the sun that the cover lets through",
        Parameter::HeaterPerformance => "what the heater gives",
        Parameter::HeaterWind => "the wind at the heater",
        Parameter::SunOnWater => "the sun on the water",
        Parameter::Flow => "the flow",
        Parameter::StartTemperature => "the water at the beginning",
        Parameter::OffsetWater => "an error of the pool's thermometer",
        Parameter::OffsetInlet => "an error of the inlet's thermometer",
        Parameter::OffsetOutlet => "an error of the outlet's thermometer",
        Parameter::EvaporationEquation | Parameter::EvaporationLevel => {
            "the equation for evaporation"
        }
    }
}
