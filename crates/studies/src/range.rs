//! How far the answer may be off, from the ranges of what nobody knows exactly.

use swimdays_season::{Plan, Ranged};

/// How many seasons stand behind a range. Quadrupling them moves the samples' ends by at most a day or two.
pub const DRAWS: usize = 48;

/// One prime for each uncertain input of a draw.
const PRIMES: [f64; 8] = [2.0, 3.0, 5.0, 7.0, 11.0, 13.0, 17.0, 19.0];

/// Furthest position from the best guess, in units of the distance to the stated end.
const FURTHEST: f64 = 2.0;

/// One throw of all the uncertain inputs: −1 is the stated low end, 0 the best guess, 1 the stated high end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Draw {
    /// Wind at the water.
    pub wind_at_water: f64,
    /// Share of the water covered.
    pub covered: f64,
    /// Sun that the cover lets through.
    pub transmittance: f64,
    /// Heat that the cover lets through.
    pub conductance: f64,
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
/// `u_k = frac(½ + k √p_j)` with the j-th prime p_j: an additive recurrence that fills eight dimensions evenly. Each `u`
/// becomes a position by the logistic quantile `ln(u/(1−u)) / ln 9`, which is −1 at 10 % and +1 at 90 %, cut at ±2.
///
/// Source: Richtmyer's sequence, in Niederreiter, *Random Number Generation and Quasi-Monte Carlo Methods*, SIAM 1992,
/// chapter 3 (from memory); the logistic is our own choice.
#[must_use]
pub fn draws(n: usize) -> Vec<Draw> {
    (0..n)
        .map(|k| {
            #[allow(clippy::cast_precision_loss, reason = "a few dozen draws")]
            let k = k as f64 + 1.0;
            let position = |j: usize| {
                let u = (0.5 + k * PRIMES[j].sqrt()).fract().clamp(1e-6, 1.0 - 1e-6);
                ((u / (1.0 - u)).ln() / 9f64.ln()).clamp(-FURTHEST, FURTHEST)
            };
            Draw {
                wind_at_water: position(0),
                remaining_evaporation: position(1),
                performance: position(2),
                heater_wind: position(3),
                sun: position(4),
                covered: position(5),
                transmittance: position(6),
                conductance: position(7),
            }
        })
        .collect()
}

/// What physics does not bound from above.
const NO_END: f64 = f64::INFINITY;

/// `plan` with its uncertain inputs moved to the positions of `draw`; cut only at what physics forbids.
#[must_use]
pub fn with_draw(plan: &Plan, draw: &Draw) -> Plan {
    let moved = |range: Ranged, position: f64, least: f64, most: f64| {
        Ranged::exact(range.at(position).clamp(least, most))
    };
    let mut plan = plan.clone();
    plan.pool.wind_at_water_frac = moved(
        plan.pool.wind_at_water_frac,
        draw.wind_at_water,
        0.0,
        NO_END,
    );
    plan.pool.sun_factor = moved(plan.pool.sun_factor, draw.sun, 0.0, NO_END);
    if let Some(cover) = &mut plan.cover {
        let passes_at_most = 1.0 - cover.cover.solar_absorptance_frac;
        cover.covered_frac = moved(cover.covered_frac, draw.covered, 0.0, 1.0);
        cover.transmittance_frac = moved(
            cover.transmittance_frac,
            draw.transmittance,
            0.0,
            passes_at_most,
        );
        cover.conductance_w_m2_k = moved(cover.conductance_w_m2_k, draw.conductance, 0.0, NO_END);
        cover.remaining_evaporation_frac = moved(
            cover.remaining_evaporation_frac,
            draw.remaining_evaporation,
            0.0,
            1.0,
        );
    }
    for heater in &mut plan.heaters {
        heater.performance = moved(heater.performance, draw.performance, 0.0, NO_END);
        heater.wind_frac = moved(heater.wind_frac, draw.heater_wind, 0.0, NO_END);
    }
    plan
}

/// What is drawn, in words.
pub(crate) const OF_WHAT: &str = "wind at the water, share covered, sun and heat through the cover, evaporation that remains under it, heat of the heaters, wind at the heaters and sun on the water";

/// The 10 % and 90 % points of `values`, in any order, as in [`tenths`]; `middle` twice without any.
pub(crate) fn tenth_ends(mut values: Vec<f64>, middle: f64) -> (f64, f64) {
    values.sort_unstable_by(f64::total_cmp);
    let tenth = values.len() / 10;
    let end = |at: usize| values.get(at).copied().unwrap_or(middle);
    (
        end(tenth).min(middle),
        end(values.len().saturating_sub(1 + tenth)).max(middle),
    )
}

/// The 10 % and 90 % points; never inside the best guess `middle`.
pub(crate) fn tenths(mut days: Vec<usize>, middle: usize) -> (usize, usize) {
    days.sort_unstable();
    let tenth = days.len() / 10;
    let end = |at: usize| days.get(at).copied().unwrap_or(middle);
    (
        end(tenth).min(middle),
        end(days.len().saturating_sub(1 + tenth)).max(middle),
    )
}

/// The same of numbers that are no whole days.
pub(crate) fn tenths_of(mut values: Vec<f64>, middle: f64) -> (f64, f64) {
    values.sort_by(f64::total_cmp);
    let tenth = values.len() / 10;
    let end = |at: usize| values.get(at).copied().unwrap_or(middle);
    (
        end(tenth).min(middle),
        end(values.len().saturating_sub(1 + tenth)).max(middle),
    )
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
            |d: &Draw| d.covered,
            |d: &Draw| d.transmittance,
            |d: &Draw| d.conductance,
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
    fn the_first_draw_is_that_of_the_formula() {
        // By hand: frac(0.5 + √2) = 0.914 214, and ln(0.914 214/0.085 786)/ln 9 = 1.0769.
        assert!((draws(1)[0].wind_at_water - 1.076_9).abs() < 1e-4);
    }

    #[test]
    fn one_in_ten_lies_beyond_each_end() {
        // By hand: of 0…47 the fifth from either end, 4 and 43; a best guess outside moves the end.
        let days: Vec<usize> = (0..48).rev().collect();
        assert_eq!(tenths(days.clone(), 20), (4, 43));
        assert_eq!(tenths(days, 2), (2, 43));
        assert_eq!(tenths(Vec::new(), 7), (7, 7));
    }

    #[test]
    fn a_range_beyond_the_usual_is_not_cut() {
        // By hand: 1.4 with ends 1.3 and 1.5; the middle is itself, the high end 1.5.
        let wide = Ranged {
            value: 1.4,
            low: 1.3,
            high: 1.5,
        };
        for (position, expected) in [(0.0, 1.4), (1.0, 1.5), (-1.0, 1.3)] {
            let found = wide.at(position).clamp(0.0, NO_END);
            assert!((found - expected).abs() < 1e-12, "{found}");
        }
    }
}
