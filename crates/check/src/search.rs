//! The most probable positions, and how probable the log is with them.

use std::cell::RefCell;

use nalgebra::{DMatrix, DVector};

use crate::doubt::{Counts, misses, misses_more, rise_scatter, samples, scatter_of};
use crate::least_squares::{Residuals, least_squares};
use crate::model::{Model, Shown};
use crate::noise::{Sample, Whitener};

/// Standard deviations tried for what the model misses of the water in the long run, K.
///
/// Published models of outdoor pools are within 0.5 K for 82 % of the hours (Lovell et al. 2019, Building & Environment
/// 160:106167), which is a standard deviation of 0.37 K with everything calibrated.
const MODEL_SD_K: [f64; 7] = [0.05, 0.08, 0.12, 0.18, 0.27, 0.4, 0.6];

/// Middle and spread (factor) of what is expected of it before the log is seen: half of the published.
const MODEL_SD_MIDDLE_K: f64 = 0.18;
const MODEL_SD_FACTOR: f64 = 2.0;

/// Slopes hold this far from where they were taken: a twentieth of what was known of a value, where they change by a per cent or two.
const SLOPES_HOLD_Z: f64 = 0.05;

/// Relative change of the sum of squares, and of the positions, at which a search ends: far below what a reading could tell.
const ENDS_AT: f64 = 1e-4;

/// Rounds of search and re-weighting; evaluations in each, per parameter.
const ROUNDS: usize = 4;
const PATIENCE: usize = 8;

/// The end of a search.
#[derive(Clone, Debug)]
pub(crate) struct Found {
    /// Positions.
    pub z: Vec<f64>,
    /// Their covariance.
    pub covariance: DMatrix<f64>,
    /// Derivative of all residuals, whitened, prior rows last.
    pub jacobian: DMatrix<f64>,
    /// Derivative of what is shown with each position.
    pub slopes: Vec<Shown>,
    /// What readings count of independent ones.
    pub counts: Counts,
    /// What the thermometers show there.
    pub shown: Shown,
    /// The filter used.
    pub whitener: Whitener,
    /// Standard deviation of what the model misses, K.
    pub model_sd_k: f64,
    /// Scatter of the rise.
    pub rise_scatter_frac: f64,
    /// Half of the sum of squares, priors included.
    pub cost: f64,
    /// Logarithm of the log's probability with everything that is uncertain averaged over (Laplace).
    pub log_evidence: f64,
}

/// Which part of the log is used, and what of it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scope {
    /// Sights before this many hours only.
    pub until_h: f64,
    /// The water's level counts.
    pub levels: bool,
    /// Readings whose innovations hang together count for less; else each for one.
    pub less_where_alike: bool,
}

impl Scope {
    /// Temperatures and flow of the whole log.
    pub(crate) const WHOLE: Self = Self {
        until_h: f64::INFINITY,
        levels: false,
        less_where_alike: true,
    };
}

struct Problem<'m, 'a> {
    model: &'m Model<'a>,
    whitener: &'m Whitener,
    used: usize,
    scope: Scope,
    kept: &'m Kept,
}

/// The last place that was looked at, and the last slopes, so that nothing is run twice.
struct Kept {
    hold_z: f64,
    shown: RefCell<Option<(Vec<f64>, Shown)>>,
    slopes: RefCell<Option<(Vec<f64>, Vec<Shown>)>>,
}

impl Problem<'_, '_> {
    fn shown(&self, z: &[f64]) -> Option<Shown> {
        if let Some((at, shown)) = self.kept.shown.borrow().as_ref()
            && at == z
        {
            return Some(shown.clone());
        }
        let shown = self.model.shown(z).ok()?;
        if shown.sights_c.iter().any(|c| !c.is_finite()) {
            return None;
        }
        *self.kept.shown.borrow_mut() = Some((z.to_vec(), shown.clone()));
        Some(shown)
    }

    fn slopes(&self, z: &[f64]) -> Option<Vec<Shown>> {
        if let Some((at, slopes)) = self.kept.slopes.borrow().as_ref()
            && at
                .iter()
                .zip(z)
                .all(|(a, b)| (a - b).abs() <= self.kept.hold_z)
        {
            return Some(slopes.clone());
        }
        let here = self.shown(z)?;
        let slopes = self.model.slopes(z, &here)?;
        *self.kept.slopes.borrow_mut() = Some((z.to_vec(), slopes.clone()));
        Some(slopes)
    }

    fn stacked(&self, shown: &Shown, z: &[f64]) -> Vec<f64> {
        let mut out = self
            .whitener
            .innovations(&misses(self.model, shown, self.used));
        out.extend(shown.flow);
        if self.scope.levels {
            out.extend(&shown.levels);
        }
        out.extend(z);
        out
    }

    /// Whitened slopes as a matrix, the priors' rows last.
    fn jacobian_of(&self, slopes: &[Shown], size: usize) -> DMatrix<f64> {
        let columns: Vec<DVector<f64>> = slopes
            .iter()
            .enumerate()
            .map(|(j, slope)| {
                let down: Vec<f64> = slope.sights_c[..self.used].iter().map(|s| -s).collect();
                let mut column = self.whitener.innovations(&down);
                column.extend(slope.flow);
                if self.scope.levels {
                    column.extend(&slope.levels);
                }
                column.extend((0..size).map(|k| if k == j { 1.0 } else { 0.0 }));
                DVector::from_vec(column)
            })
            .collect();
        DMatrix::from_columns(&columns)
    }
}

impl Kept {
    fn holding(hold_z: f64) -> Self {
        Self {
            hold_z,
            shown: RefCell::default(),
            slopes: RefCell::default(),
        }
    }
}

/// What is shown at `z`, run only when it is not known already.
fn kept_shown(model: &Model<'_>, kept: &Kept, z: &[f64]) -> Option<Shown> {
    let known = kept
        .shown
        .borrow()
        .as_ref()
        .filter(|(at, _)| at == z)
        .map(|(_, shown)| shown.clone());
    match known {
        Some(shown) => Some(shown),
        None => model.shown(z).ok(),
    }
}

impl Residuals for Problem<'_, '_> {
    fn residuals(&self, z: &[f64]) -> Option<Vec<f64>> {
        let shown = self.shown(z)?;
        Some(self.stacked(&shown, z))
    }

    fn jacobian(&self, z: &[f64]) -> Option<DMatrix<f64>> {
        Some(self.jacobian_of(&self.slopes(z)?, z.len()))
    }
}

/// Searches from `start`. `None` when the model cannot be run there.
pub(crate) fn search(model: &Model<'_>, start: &[f64], scope: Scope) -> Option<Found> {
    let used = model.sights.partition_point(|s| s.hours < scope.until_h);
    let mut z = start.to_vec();
    let mut model_sd_k = MODEL_SD_MIDDLE_K * misses_more(model.stage.basis);
    let (mut scatter, _) = scatter_of(model.stage.basis);
    let mut counts = Counts::EACH;
    let kept = Kept::holding(SLOPES_HOLD_Z);
    for round in 0..ROUNDS {
        let shown = kept_shown(model, &kept, &z)?;
        let missed = misses(model, &shown, used);
        let seen = samples(model, &shown, scatter, used, counts);
        let whitener = Whitener::new(&seen, model_sd_k, Some(&missed));
        let problem = Problem {
            model,
            whitener: &whitener,
            used,
            scope,
            kept: &kept,
        };
        let solution = least_squares(&problem, &z, ENDS_AT, PATIENCE)?;
        let moved = solution
            .x
            .iter()
            .zip(&z)
            .map(|(a, b)| (a - b).abs())
            .fold(0.0, f64::max);
        z = solution.x;
        let shown = problem.shown(&z)?;
        let jacobian = problem.jacobian(&z)?;
        let missed = misses(model, &shown, used);
        let next_scatter = rise_scatter(model, &shown, &whitener, &missed, scatter, counts);
        let next_counts = if scope.less_where_alike {
            Counts::seen(model, &whitener, &missed)
        } else {
            Counts::EACH
        };
        let seen = samples(model, &shown, next_scatter, used, next_counts);
        let slopes = problem.slopes(&z)?;
        let next = best_model_sd(model, &z, scope, &seen, (&shown, &slopes), &missed)?;
        let settled = (next.model_sd_k - model_sd_k).abs() < 1e-9
            && (next_scatter - scatter).abs() < 0.2 * scatter
            && next_counts.near(counts)
            && moved < 0.1;
        model_sd_k = next.model_sd_k;
        scatter = next_scatter;
        counts = next_counts;
        if settled || round + 1 == ROUNDS {
            let cost = 0.5 * solution.sum_of_squares;
            return Some(Found {
                z,
                covariance: solution.covariance,
                jacobian,
                slopes,
                counts,
                shown,
                whitener,
                model_sd_k,
                rise_scatter_frac: scatter,
                cost,
                log_evidence: next.log_evidence,
            });
        }
    }
    None
}

/// Derivative of all residuals at `z`, whitened as `found` has them.
pub(crate) fn jacobian_at(model: &Model<'_>, found: &Found, z: &[f64]) -> Option<DMatrix<f64>> {
    let problem = Problem {
        model,
        whitener: &found.whitener,
        used: model.sights.len(),
        scope: Scope::WHOLE,
        kept: &Kept::holding(0.0),
    };
    problem.jacobian(z)
}

/// Half of the sum of squares at `z`, with the residuals behind it.
pub(crate) fn cost_at(
    model: &Model<'_>,
    z: &[f64],
    whitener: &Whitener,
    scope: Scope,
) -> Option<(f64, Vec<f64>)> {
    let used = model.sights.partition_point(|s| s.hours < scope.until_h);
    let problem = Problem {
        model,
        whitener,
        used,
        scope,
        kept: &Kept::holding(SLOPES_HOLD_Z),
    };
    let residuals = problem.residuals(z)?;
    let cost = 0.5 * residuals.iter().map(|r| r * r).sum::<f64>();
    Some((cost, residuals))
}

/// The search with one position held.
struct Held<'p, 'm, 'a> {
    problem: &'p Problem<'m, 'a>,
    at: usize,
    position: f64,
}

impl Held<'_, '_, '_> {
    fn whole(&self, free: &[f64]) -> Vec<f64> {
        let mut z = free.to_vec();
        z.insert(self.at, self.position);
        z
    }
}

impl Residuals for Held<'_, '_, '_> {
    fn residuals(&self, free: &[f64]) -> Option<Vec<f64>> {
        self.problem.residuals(&self.whole(free))
    }

    fn jacobian(&self, free: &[f64]) -> Option<DMatrix<f64>> {
        let whole = self.problem.jacobian(&self.whole(free))?;
        Some(whole.remove_column(self.at))
    }
}

/// Least cost from `start` on with position `at` held, under the filter of `found`.
pub(crate) fn held_cost(
    model: &Model<'_>,
    found: &Found,
    at: usize,
    mut start: Vec<f64>,
) -> Option<f64> {
    let problem = Problem {
        model,
        whitener: &found.whitener,
        used: model.sights.len(),
        scope: Scope::WHOLE,
        kept: &Kept::holding(0.0),
    };
    let held = Held {
        problem: &problem,
        at,
        position: start.remove(at),
    };
    Some(0.5 * least_squares(&held, &start, ENDS_AT, PATIENCE)?.sum_of_squares)
}

struct Best {
    model_sd_k: f64,
    log_evidence: f64,
    covariance: DMatrix<f64>,
}

/// `found` with its readings counting as `counts` says: covariance and evidence, for which the misses are taken as linear about it.
pub(crate) fn counted(
    model: &Model<'_>,
    mut found: Found,
    scope: Scope,
    counts: Counts,
) -> Option<Found> {
    let used = model.sights.len();
    let missed = misses(model, &found.shown, used);
    let seen = samples(model, &found.shown, found.rise_scatter_frac, used, counts);
    let known = (&found.shown, &found.slopes[..]);
    let best = best_model_sd(model, &found.z, scope, &seen, known, &missed)?;
    found.model_sd_k = best.model_sd_k;
    found.log_evidence = best.log_evidence;
    found.covariance = best.covariance;
    found.counts = counts;
    Some(found)
}

/// What readings count where `found` is taken for the truth.
pub(crate) fn counts_of(model: &Model<'_>, found: &Found) -> Counts {
    let missed = misses(model, &found.shown, model.sights.len());
    Counts::seen(model, &found.whitener, &missed)
}

/// The standard deviation of the model's error under which the log is most probable, everything else averaged over.
///
/// Laplace: the misses are taken as linear about `z`; for each standard deviation the most probable positions are found exactly, and
/// `ln p = −½ r² − ½ Σ ln S − ½ ln |JᵀJ|` with the priors' rows in r and J.
///
/// Source: MacKay (1992), *Bayesian interpolation*, Neural Computation 4:415 (from memory).
fn best_model_sd(
    model: &Model<'_>,
    z: &[f64],
    scope: Scope,
    seen: &[Sample],
    (shown, slopes): (&Shown, &[Shown]),
    missed: &[f64],
) -> Option<Best> {
    let kept = Kept::holding(SLOPES_HOLD_Z);
    let mut best: Option<Best> = None;
    let more = misses_more(model.stage.basis);
    for model_sd_k in MODEL_SD_K.map(|sd| sd * more) {
        let whitener = Whitener::new(seen, model_sd_k, Some(missed));
        let problem = Problem {
            model,
            whitener: &whitener,
            used: missed.len(),
            scope,
            kept: &kept,
        };
        let residuals = DVector::from_vec(problem.stacked(shown, z));
        let jacobian = problem.jacobian_of(slopes, z.len());
        let normal = jacobian.transpose() * &jacobian;
        let cholesky = normal.cholesky()?;
        let gradient = jacobian.transpose() * &residuals;
        let gained = gradient.dot(&cholesky.solve(&gradient));
        let log_determinant: f64 = cholesky.l().diagonal().iter().map(|d| 2.0 * d.ln()).sum();
        let expected = (model_sd_k / (more * MODEL_SD_MIDDLE_K)).ln() / MODEL_SD_FACTOR.ln();
        let log_evidence = -0.5
            * (residuals.norm_squared() - gained
                + whitener.log_variance
                + log_determinant
                + expected * expected);
        if best.as_ref().is_none_or(|b| log_evidence > b.log_evidence) {
            best = Some(Best {
                model_sd_k,
                log_evidence,
                covariance: cholesky.inverse(),
            });
        }
    }
    best
}
