//! How far the answer may be off, from the ranges of what nobody knows exactly.

use rayon::prelude::*;
use swimdays_season::{Detail, Plan, Prepared, Ranged, SeasonError, run};

/// How many seasons stand behind a range. Quadrupling them moves the samples' ends by at most a day or two.
pub const DRAWS: usize = 48;

/// How many uncertain inputs a draw has.
const DIMENSIONS: usize = 5;

/// Furthest position from the best guess, in units of the distance to the stated end.
const FURTHEST: f64 = 2.0;

/// One throw of all the uncertain inputs: −1 is the stated low end, 0 the best guess, 1 the stated high end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Draw {
    /// Wind at the water.
    pub wind_at_water: f64,
    /// Evaporation that remains under the cover.
    pub remaining_evaporation: f64,
    /// What the heaters deliver.
    pub performance: f64,
    /// Wind at the heaters.
    pub heater_wind: f64,
    /// Sun on the water.
    pub sun: f64,
}

/// Swim days between which the answer lies four times out of five.
#[derive(Clone, Debug, PartialEq)]
pub struct DayRange {
    /// 10 % of the draws have fewer.
    pub low: usize,
    /// 10 % of the draws have more.
    pub high: usize,
    /// How many draws.
    pub draws: usize,
    /// A sentence that says how it was found.
    pub method: String,
}

/// The first `n` draws: always the same ones, so that options can be compared draw by draw.
///
/// `u_k = frac(½ + k·α)` with `α_j = φ⁻ʲ` and φ the positive root of `x⁶ = x + 1`: an additive recurrence that
/// fills five dimensions evenly. Each `u` becomes a position by the logistic quantile `ln(u/(1−u)) / ln 9`,
/// which is −1 at 10 % and +1 at 90 %, cut at ±2.
///
/// Source: the recurrence generalises Kronecker sequences (Niederreiter, *Random Number Generation and
/// Quasi-Monte Carlo Methods*, SIAM 1992, chapter 3); the choice of φ and the logistic are our own.
#[must_use]
pub fn draws(n: usize) -> Vec<Draw> {
    // Fixed-point iteration for φ; it contracts by a factor of ten a round.
    let mut phi: f64 = 1.0;
    for _ in 0..40 {
        phi = (1.0 + phi).powf(1.0 / 6.0);
    }
    let mut alpha = [0.0; DIMENSIONS];
    let mut power = 1.0;
    for a in &mut alpha {
        power /= phi;
        *a = power;
    }
    (0..n)
        .map(|k| {
            #[allow(clippy::cast_precision_loss, reason = "a few dozen draws")]
            let k = k as f64 + 1.0;
            let position = |j: usize| {
                let u = (0.5 + k * alpha[j]).fract().clamp(1e-6, 1.0 - 1e-6);
                ((u / (1.0 - u)).ln() / 9f64.ln()).clamp(-FURTHEST, FURTHEST)
            };
            Draw {
                wind_at_water: position(0),
                remaining_evaporation: position(1),
                performance: position(2),
                heater_wind: position(3),
                sun: position(4),
            }
        })
        .collect()
}

/// `plan` with its uncertain inputs moved to the positions of `draw`.
#[must_use]
pub fn with_draw(plan: &Plan, draw: &Draw) -> Plan {
    let moved = |range: Ranged, position: f64, least: f64, most: f64| {
        Ranged::exact(range.at(position).clamp(least, most))
    };
    let mut plan = plan.clone();
    plan.pool.wind_at_water_frac =
        moved(plan.pool.wind_at_water_frac, draw.wind_at_water, 0.0, 2.0);
    plan.pool.sun_factor = moved(plan.pool.sun_factor, draw.sun, 0.0, 1.2);
    if let Some(cover) = &mut plan.cover {
        cover.remaining_evaporation_frac = moved(
            cover.remaining_evaporation_frac,
            draw.remaining_evaporation,
            0.0,
            1.0,
        );
    }
    for heater in &mut plan.heaters {
        heater.performance = moved(heater.performance, draw.performance, 0.05, 2.0);
        heater.wind_frac = moved(heater.wind_frac, draw.heater_wind, 0.0, 2.0);
    }
    plan
}

/// The 10 % and 90 % points of swim days over [`DRAWS`] seasons; never inside the best guess `middle`.
///
/// # Errors
/// As [`run`].
pub fn day_range(plan: &Plan, year: &Prepared, middle: usize) -> Result<DayRange, SeasonError> {
    let mut days: Vec<usize> = draws(DRAWS)
        .par_iter()
        .map(|draw| run(&with_draw(plan, draw), year, Detail::Days).map(|s| s.swim_days))
        .collect::<Result<_, _>>()?;
    days.sort_unstable();
    let tenth = days.len() / 10;
    Ok(DayRange {
        low: days[tenth].min(middle),
        high: days[days.len() - 1 - tenth].max(middle),
        draws: days.len(),
        method: format!(
            "10 % to 90 % of {} seasons with wind at the water, remaining evaporation under the cover, heat of the heaters, wind at the heaters and sun on the water drawn from their stated ranges; one weather year, so not the spread from year to year",
            days.len()
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_draws_fill_their_range_evenly() {
        let all = draws(1000);
        for pick in [
            |d: &Draw| d.wind_at_water,
            |d: &Draw| d.remaining_evaporation,
            |d: &Draw| d.performance,
            |d: &Draw| d.heater_wind,
            |d: &Draw| d.sun,
        ] {
            let below = all.iter().filter(|d| pick(d) < -1.0).count();
            let above = all.iter().filter(|d| pick(d) > 1.0).count();
            let low_half = all.iter().filter(|d| pick(d) < 0.0).count();
            assert!(
                (90..=110).contains(&below),
                "{below} of 1000 below the low end, 100 expected"
            );
            assert!(
                (90..=110).contains(&above),
                "{above} of 1000 above the high end, 100 expected"
            );
            assert!(
                (490..=510).contains(&low_half),
                "{low_half} of 1000 below the middle"
            );
        }
    }

    #[test]
    fn phi_solves_its_equation() {
        let one = draws(1)[0];
        // With φ = 1.134724138 (root of x⁶ = x + 1, by hand), the first u of the first dimension is
        // frac(0.5 + 1/1.134724138) = 0.381271…
        let u: f64 = 0.5 + 1.0 / 1.134_724_138 - 1.0;
        let expected = (u / (1.0 - u)).ln() / 9f64.ln();
        assert!((one.wind_at_water - expected).abs() < 1e-6);
    }
}
