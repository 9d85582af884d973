//! The most probable positions, and how probable the log is with them.

use std::cell::RefCell;

use nalgebra::{DMatrix, DVector};

use crate::dates::Basis;
use crate::least_squares::{Residuals, least_squares};
use crate::model::{Model, Shown, median};
use crate::noise::{Sample, Whitener, counts_frac};
use crate::result::Quantity;

/// Standard deviations tried for what the model misses of the water in the long run, K.
///
/// Published models of outdoor pools are within 0.5 K for 82 % of the hours (Lovell et al. 2019, Building & Environment
/// 160:106167), which is a standard deviation of 0.37 K with everything calibrated.
const MODEL_SD_K: [f64; 7] = [0.05, 0.08, 0.12, 0.18, 0.27, 0.4, 0.6];

/// Middle and spread (factor) of what is expected of it before the log is seen: half of the published.
const MODEL_SD_MIDDLE_K: f64 = 0.18;
const MODEL_SD_FACTOR: f64 = 2.0;

/// How many times more is missed where the days' weather is guessed: from words about the sky, and from a typical year, whose days are
/// not those of the log (own judgement; two weeks of other weather move the water by 1 to 2 K, so much do the scenario's other years).
const MISSES_MORE_BY_WORDS: f64 = 3.0;
const MISSES_MORE_BY_TYPICAL: f64 = 6.0;

/// Scatter of the outlet's rise that an hour's mean weather cannot foretell (clouds within the hour), share of the rise: at the
/// beginning, and the ends that the log may move it to.
const RISE_SCATTER_FRAC: f64 = 0.1;
const RISE_SCATTER_ENDS: (f64, f64) = (0.02, 0.5);

/// The same where the day's sun itself is guessed, share of the usual rise (own judgement: a clear hour against an overcast one).
const GUESSED_RISE_SCATTER_FRAC: f64 = 0.5;
const GUESSED_RISE_SCATTER_ENDS: (f64, f64) = (0.1, 1.5);

/// A normal distribution's standard deviation over the median of its absolute values. Source: table, Φ(0.6745) = 0.75.
const SD_PER_MEDIAN: f64 = 1.482_6;

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

/// What readings of water, inlet and outlet count of independent ones, 0…1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Counts {
    water: f64,
    inlet: f64,
    outlet: f64,
}

impl Counts {
    /// Each for one.
    pub(crate) const EACH: Self = Self {
        water: 1.0,
        inlet: 1.0,
        outlet: 1.0,
    };

    fn of(self, quantity: Quantity) -> f64 {
        match quantity {
            Quantity::Water => self.water,
            Quantity::Inlet => self.inlet,
            Quantity::Outlet => self.outlet,
        }
    }

    /// Whether they differ by less than a builder could see in an interval.
    fn near(self, other: Self) -> bool {
        [Quantity::Water, Quantity::Inlet, Quantity::Outlet]
            .into_iter()
            .all(|q| (self.of(q) / other.of(q)).ln().abs() < 0.2)
    }

    /// As the innovations hang together, quantity by quantity.
    fn seen(model: &Model<'_>, whitener: &Whitener, missed: &[f64]) -> Self {
        let innovations = whitener.innovations(missed);
        let of = |quantity| {
            let own: Vec<f64> = innovations
                .iter()
                .zip(&model.sights)
                .filter(|(_, s)| s.quantity == quantity)
                .map(|(u, _)| *u)
                .collect();
            counts_frac(&own)
        };
        Self {
            water: of(Quantity::Water),
            inlet: of(Quantity::Inlet),
            outlet: of(Quantity::Outlet),
        }
    }
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

/// Measured less shown, K.
fn misses(model: &Model<'_>, shown: &Shown, used: usize) -> Vec<f64> {
    model.sights[..used]
        .iter()
        .zip(&shown.sights_c)
        .map(|(s, c)| s.measured_c - c)
        .collect()
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

/// What the filter sees of the sights.
pub(crate) fn samples(
    model: &Model<'_>,
    shown: &Shown,
    scatter_frac: f64,
    used: usize,
    counts: Counts,
) -> Vec<Sample> {
    model.sights[..used]
        .iter()
        .zip(&scattering_rises_k(model, shown))
        .map(|(sight, rise)| Sample {
            hours: sight.hours,
            variance_k2: sight.own_sd_k(model.log.sd.reading_sd_k).powi(2)
                + (scatter_frac * rise).powi(2),
            counts_frac: counts.of(sight.quantity),
        })
        .collect()
}

/// What of each sight scatters with the sun of the moment, K: the rise; where the sun is guessed, the usual rise, since a bright hour may
/// have been a dull one.
fn scattering_rises_k(model: &Model<'_>, shown: &Shown) -> Vec<f64> {
    let outlets = || {
        model
            .sights
            .iter()
            .zip(&shown.rise_k)
            .filter(|(s, _)| s.quantity == Quantity::Outlet)
    };
    let usual = (model.stage.basis != Basis::Real).then(|| {
        let squares: f64 = outlets().map(|(_, rise)| rise * rise).sum();
        #[allow(clippy::cast_precision_loss, reason = "a count of readings")]
        let n = outlets().count().max(1) as f64;
        (squares / n).sqrt()
    });
    model
        .sights
        .iter()
        .zip(&shown.rise_k)
        .map(|(s, rise)| match s.quantity {
            Quantity::Outlet => usual.unwrap_or(*rise),
            _ => 0.0,
        })
        .collect()
}

/// How many times more the model misses than with weather that was measured on the days of the log.
fn misses_more(basis: Basis) -> f64 {
    match basis {
        Basis::Real => 1.0,
        Basis::Remarks => MISSES_MORE_BY_WORDS,
        Basis::Typical => MISSES_MORE_BY_TYPICAL,
    }
}

/// Scatter of the rise: at the beginning, and its ends.
fn scatter_of(basis: Basis) -> (f64, (f64, f64)) {
    match basis {
        Basis::Real => (RISE_SCATTER_FRAC, RISE_SCATTER_ENDS),
        Basis::Remarks | Basis::Typical => (GUESSED_RISE_SCATTER_FRAC, GUESSED_RISE_SCATTER_ENDS),
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

/// Scatter of the rise that the outlet's innovations show.
fn rise_scatter(
    model: &Model<'_>,
    shown: &Shown,
    whitener: &Whitener,
    missed: &[f64],
    scatter: f64,
    counts: Counts,
) -> f64 {
    let reading = model.log.sd.reading_sd_k;
    let mut ratios: Vec<f64> = whitener
        .innovations(missed)
        .iter()
        .zip(&scattering_rises_k(model, shown))
        // Where the reading's own error rules, the scatter cannot be seen.
        .filter(|(_, rise)| scatter * rise.abs() > 0.5 * reading)
        .map(|(u, _)| u.abs() / counts.outlet.sqrt())
        .collect();
    if ratios.len() < 8 {
        return scatter;
    }
    let (_, (least, most)) = scatter_of(model.stage.basis);
    let ratio = SD_PER_MEDIAN * median(&mut ratios).unwrap_or(1.0);
    (scatter * ratio.clamp(0.5, 2.0)).clamp(least, most)
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
