//! Which values the log can tell, by the profile likelihood.

use nalgebra::DVector;

use crate::knob::{FURTHEST_Z, TWENTIETH_SD};
use crate::model::Model;
use crate::result::Parameter;
use crate::search::{Found, Scope, cost_at};

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

/// Rounds in which the other values settle while one is held.
const ROUNDS: usize = 3;

/// Positions between which a value lies with 90 %.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Interval {
    pub low_z: f64,
    pub high_z: f64,
    /// At most half as wide as the prior's.
    pub identified: bool,
}

/// Intervals of all knobs.
pub(crate) fn intervals(model: &Model<'_>, found: &Found) -> Vec<Interval> {
    (0..model.knobs.len())
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
            Interval {
                low_z: found.z[j] - below,
                high_z: found.z[j] + above,
                identified: below + above <= TOLD_FRAC * 2.0 * TWENTIETH_SD,
            }
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
/// The value is held at the end that the curvature gives, the others settle (Gauss–Newton with the slopes of the best fit), and
/// the distance is corrected by what the sum of squares has then risen by: `d √(2.7055/Δ)`.
fn profile_half_z(model: &Model<'_>, found: &Found, j: usize, distance: f64) -> f64 {
    let plain = distance.abs();
    let Some(risen) = rise_at(model, found, j, distance) else {
        return plain;
    };
    if risen <= 0.0 {
        return (2.0 * plain).min(FURTHEST_Z);
    }
    plain * (DROP / risen).sqrt().clamp(0.5, 2.0)
}

/// Twice the rise of the cost when position `j` is held `distance` from its best and the others settle.
pub(crate) fn rise_at(model: &Model<'_>, found: &Found, j: usize, distance: f64) -> Option<f64> {
    let others: Vec<usize> = (0..found.z.len()).filter(|k| *k != j).collect();
    let reduced = found.jacobian.select_columns(&others);
    let normal = (reduced.transpose() * &reduced).cholesky()?;
    let mut z = found.z.clone();
    // Where the straight line puts the others.
    for k in &others {
        z[*k] += distance * found.covariance[(*k, j)] / found.covariance[(j, j)];
    }
    z[j] += distance;
    let mut least = f64::INFINITY;
    for _ in 0..ROUNDS {
        let (cost, residuals) = cost_at(model, &z, &found.whitener, Scope::WHOLE)?;
        if cost > least {
            break;
        }
        least = cost;
        let step = normal.solve(&(reduced.transpose() * DVector::from_vec(residuals)));
        for (k, s) in others.iter().zip(step.iter()) {
            z[*k] -= s;
        }
        if step.amax() < 0.02 {
            break;
        }
    }
    Some(2.0 * (least - found.cost))
}

/// Why a value can or cannot be told.
pub(crate) fn why(model: &Model<'_>, found: &Found, j: usize, interval: &Interval) -> String {
    let share = (interval.high_z - interval.low_z) / (2.0 * TWENTIETH_SD);
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
