//! How clear each day is: a Markov chain over ten states.
//!
//! Source: Aguiar, Collares-Pereira, Conde (1988), *Simple procedure for generating sequences of daily radiation values
//! using a library of Markov transition matrices*, Solar Energy 40:269 (the tables from two printed copies that agree but
//! for misprints; the stationary mean of each lies in its own class).

use super::random::{Random, Stream, normal_score};
use super::sky::Sky;
use super::tables::{CLASSES, Class};

const STATES: usize = 10;

/// The clearness of one day and where it stands among days of its month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Day {
    /// Sun of the day over that outside the atmosphere.
    pub(super) clearness: f64,
    /// How far the day is clearer than usual for its month, in standard deviations of a normal variable.
    pub(super) score: f64,
}

/// A chain for one mean clearness: between the two classes whose own long-run means lie on either side.
#[derive(Clone, Debug)]
struct Chain {
    least: f64,
    most: f64,
    rows: [[f64; STATES]; STATES],
}

impl Class {
    /// Row of transition shares, made to sum to 1.
    fn row(&self, from: usize) -> [f64; STATES] {
        let sum: f64 = self.next[from].iter().sum();
        self.next[from].map(|share| share / sum)
    }

    /// The chain as printed.
    fn chain(&self) -> Chain {
        Chain {
            least: self.least,
            most: self.most,
            rows: std::array::from_fn(|from| self.row(from)),
        }
    }
}

impl Chain {
    /// The mixture of neighbouring classes for a mean clearness; beyond the first and the last these alone.
    ///
    /// `Differs:` the source takes the class as a whole. A month at the edge of a class would then have to be bent far to its mean,
    /// and the shares of clear and dull days with it.
    fn of(mean: f64) -> Self {
        let chains: Vec<Self> = CLASSES.iter().map(Class::chain).collect();
        let means: Vec<f64> = chains.iter().map(Self::mean).collect();
        let after = means.iter().position(|own| *own >= mean);
        match after {
            Some(0) => chains[0].clone(),
            None => chains[STATES - 1].clone(),
            Some(after) => {
                let (a, b) = (&chains[after - 1], &chains[after]);
                let weight = (mean - means[after - 1]) / (means[after] - means[after - 1]);
                let mix = |a: f64, b: f64| a * (1.0 - weight) + b * weight;
                Self {
                    least: mix(a.least, b.least),
                    most: mix(a.most, b.most),
                    rows: std::array::from_fn(|from| {
                        std::array::from_fn(|to| mix(a.rows[from][to], b.rows[from][to]))
                    }),
                }
            }
        }
    }

    /// The state after `from` for a uniform number between 0 and 1.
    fn step(&self, from: usize, uniform: f64) -> usize {
        let mut sum = 0.0;
        for (to, share) in self.rows[from].iter().enumerate() {
            sum += share;
            if uniform < sum {
                return to;
            }
        }
        STATES - 1
    }

    /// Share of days in each state in the long run.
    fn stationary(&self) -> [f64; STATES] {
        let mut shares = [0.1; STATES];
        for _ in 0..200 {
            shares = std::array::from_fn(|to| {
                (0..STATES)
                    .map(|from| shares[from] * self.rows[from][to])
                    .sum()
            });
        }
        shares
    }

    /// Mean clearness in the long run.
    fn mean(&self) -> f64 {
        let width = (self.most - self.least) / 10.0;
        let shares = self.stationary();
        #[allow(clippy::cast_precision_loss, reason = "ten states")]
        (0..STATES)
            .map(|state| shares[state] * (self.least + width * (state as f64 + 0.5)))
            .sum()
    }
}

/// Clearness of the dullest day.
const LEAST_CLEARNESS: f64 = 0.05;

/// The long-term curve of daily clearness for one monthly mean.
///
/// Share of days below k: `F = [exp(γ k_min) − exp(γ k)]/[exp(γ k_min) − exp(γ k_max)]`.
///
/// Source: Bendt, Collares-Pereira, Rabl (1981), Solar Energy 27:1; `k_max = 0.6313 + 0.267 K − 11.9 (K − 0.75)⁸` Hollands &
/// Huget (1983), Solar Energy 30:195; γ Herzog (1985); as equations 2.9.6 to 2.9.10 of Duffie & Beckman (2013) (from memory).
#[derive(Debug)]
struct Curve {
    most: f64,
    gamma: f64,
}

impl Curve {
    /// For a mean between 0.12 and 0.78, where the curve is one; outside, the form of the nearer end.
    ///
    /// `Differs:` above 0.78 the clearest day stays as far above the mean as it is there, or months of high places (from about
    /// 2000 m) would not reach their sun. Whoever calls holds it below a clear sky.
    fn of(wanted: f64) -> Self {
        let mean = wanted.clamp(0.12, 0.78);
        let most = 0.6313 + 0.267 * mean - 11.9 * (mean - 0.75).powi(8);
        let span = most - LEAST_CLEARNESS;
        let xi = span / (most - mean);
        let gamma = -1.498 + (1.184 * xi - 27.182 * (-1.5 * xi).exp()) / span;
        let most = if wanted > mean {
            wanted + (most - mean)
        } else {
            most
        };
        Self { most, gamma }
    }

    /// Place between dullest and clearest day, 0 to 1, below which the share `share` of days lies.
    fn position(&self, share: f64) -> f64 {
        let spread = self.gamma * (self.most - LEAST_CLEARNESS);
        if spread.abs() < 1e-6 {
            return share;
        }
        ((share * spread.exp_m1()).ln_1p() / spread).clamp(0.0, 1.0)
    }
}

/// Days of a year whose months have the mean clearness `mean` exactly (weighted with the sun outside), in months of
/// `lengths` days.
///
/// The chain runs through the year twice with the same chance, so that December's end leads to January's beginning.
/// A state, and a uniform number within it, say which share of days is duller; the long-term [`Curve`] says how clear such a
/// day is: `k = k_min + (k_max − k_min) u^p`, u from the curve; `k_max` is the curve's own or that of a clear sky, if that is
/// lower, and p is the same for all days of a month and such that the mean is kept: days stay between the limits and in their order.
/// `Differs:` the source gives the states ten equal widths, with which made days scattered less than those of real
/// years (0.10 to 0.16 against 0.13 to 0.19), and draws anew until the mean happens to fit.
pub(super) fn days(mean: &[f64; 12], lengths: &[usize; 12], sky: &Sky, seed: u64) -> Vec<Day> {
    let mut chain = Random::new(seed, Stream::Clearness);
    let mut within = Random::new(seed, Stream::WithinState);
    let n: usize = lengths.iter().sum();
    let draws: Vec<(f64, f64)> = (0..n)
        .map(|_| (chain.uniform(), within.uniform()))
        .collect();
    let chains = mean.map(Chain::of);
    let mut states = vec![0; n];
    let mut state = STATES / 2;
    for _ in 0..2 {
        let mut day = 0;
        for month in 0..12 {
            for _ in 0..lengths[month] {
                state = chains[month].step(state, draws[day].0);
                states[day] = state;
                day += 1;
            }
        }
    }
    let mut out = Vec::with_capacity(n);
    let mut from = 0;
    for month in 0..12 {
        let to = from + lengths[month];
        let shares = chains[month].stationary();
        // The share of days that are duller, by the chain; and the clearness that belongs to it.
        let below = |day: usize| {
            let under: f64 = shares[..states[day]].iter().sum();
            under + draws[day].1 * shares[states[day]]
        };
        let curve = Curve::of(mean[month]);
        let positions: Vec<f64> = (from..to).map(|day| curve.position(below(day))).collect();
        let least = LEAST_CLEARNESS.min(0.5 * mean[month]);
        let at = |day: usize, position: f64, power: f64| {
            let most = curve.most.min(sky.clear_day(day)).max(least);
            least + (most - least) * position.powf(power)
        };
        let target: f64 = (from..to)
            .map(|day| mean[month] * sky.outside_day_wh_m2(day))
            .sum();
        let power = falling_root(|power| {
            (from..to)
                .map(|day| at(day, positions[day - from], power) * sky.outside_day_wh_m2(day))
                .sum::<f64>()
                - target
        });
        for day in from..to {
            out.push(Day {
                clearness: at(day, positions[day - from], power),
                score: normal_score(below(day)).clamp(-3.0, 3.0),
            });
        }
        from = to;
    }
    out
}

/// Exponent between 1e-6 and 1e6 at which a falling function is zero, by halving its logarithm; the nearer end if there is none.
pub(super) fn falling_root(f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (-14.0_f64, 14.0_f64);
    for _ in 0..70 {
        let middle = 0.5 * (low + high);
        if f(middle.exp()) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    (0.5 * (low + high)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Standard deviation of the clearness in the long run.
    fn deviation(chain: &Chain) -> f64 {
        let width = (chain.most - chain.least) / 10.0;
        let (shares, mean) = (chain.stationary(), chain.mean());
        #[allow(clippy::cast_precision_loss, reason = "ten states")]
        let middle = |state: usize| chain.least + width * (state as f64 + 0.5);
        (0..10)
            .map(|s| shares[s] * (middle(s) - mean).powi(2))
            .sum::<f64>()
            .sqrt()
    }

    #[test]
    fn each_class_has_its_own_mean_in_the_long_run() {
        // Computed independently in Python from the same tables, for the mean; that it lies in the class is the
        // publication's own claim and the check that the tables were copied rightly.
        let means = [
            0.241, 0.334, 0.374, 0.429, 0.476, 0.526, 0.575, 0.620, 0.668, 0.728,
        ];
        let deviations = [
            0.155, 0.166, 0.165, 0.166, 0.166, 0.155, 0.152, 0.134, 0.116, 0.071,
        ];
        let mut from = 0.0;
        for (i, class) in CLASSES.iter().enumerate() {
            let chain = class.chain();
            let (mean, deviation) = (chain.mean(), deviation(&chain));
            assert!(mean > from && mean <= class.mean_up_to, "class {i}: {mean}");
            assert!((mean - means[i]).abs() < 6e-4, "class {i}: {mean}");
            assert!(
                (deviation - deviations[i]).abs() < 2e-3,
                "class {i}: {deviation}"
            );
            from = class.mean_up_to;
        }
    }

    #[test]
    fn a_mixture_has_nearly_the_mean_it_is_for() {
        for i in 25..72 {
            let wanted = f64::from(i) / 100.0;
            // The long-run mean of a mixture is not quite the mixture of the means.
            let found = Chain::of(wanted).mean();
            assert!((found - wanted).abs() < 0.02, "{wanted}: {found}");
        }
    }

    #[test]
    fn the_curve_and_its_position_are_inverse() {
        for mean in [0.2, 0.4, 0.5, 0.7] {
            let curve = Curve::of(mean);
            for share in [0.0, 0.1, 0.5, 0.9, 1.0] {
                let k = LEAST_CLEARNESS + (curve.most - LEAST_CLEARNESS) * curve.position(share);
                let e = |k: f64| (curve.gamma * k).exp();
                let back = (e(LEAST_CLEARNESS) - e(k)) / (e(LEAST_CLEARNESS) - e(curve.most));
                assert!((back - share).abs() < 1e-9, "{mean} {share} {back}");
            }
        }
    }

    /// Sums of up to 31 days of up to 12 kWh/m².
    const ROUNDING_KWH_M2: f64 = 1e-9;

    /// Whatever the check lets through is kept, and no hour is brighter than outside the atmosphere: up to the highest place allowed.
    #[test]
    fn the_brightest_and_darkest_months_allowed_are_kept() {
        use super::super::{check::MOST_OF_CLEAR, estimate, hours, new_year};
        let cycle = super::super::cycle::Cycle::common();
        for latitude_deg in [-75.0, -45.0, -20.0, 0.0, 30.0, 40.0, 60.0, 66.0, 72.0, 90.0] {
            for altitude_m in [0.0, 1500.0, 2500.0, 4000.0, 6000.0] {
                let place = crate::Place {
                    name: String::new(),
                    latitude_deg,
                    longitude_deg: 0.0,
                    utc_offset_h: 0.0,
                    altitude_m,
                };
                let sky = Sky::new(&place, new_year(), super::super::HOURS);
                let outside = estimate::outside_kwh_m2(&sky, &cycle);
                let clear = estimate::clear_kwh_m2(&sky, &cycle);
                for share in [0.04, 0.3, 0.8, 0.9, MOST_OF_CLEAR] {
                    let asked: [f64; 12] = clear.map(|sun| share * sun);
                    let clearness = std::array::from_fn(|m| {
                        if outside[m] > 0.0 {
                            asked[m] / outside[m]
                        } else {
                            0.0
                        }
                    });
                    let days = days(&clearness, &cycle.lengths, &sky, 3);
                    let sun = hours::global_w_m2(&days, &sky, 3);
                    for (i, sun) in sun.iter().enumerate() {
                        assert!(
                            *sun <= sky.outside_w_m2(i),
                            "{latitude_deg}° {altitude_m} m, hour {i}"
                        );
                    }
                    let made = cycle.means(
                        sun.chunks_exact(24)
                            .map(|day| day.iter().sum::<f64>() / 1000.0),
                    );
                    for m in 0..12 {
                        assert!(
                            (made[m] - asked[m]).abs() < ROUNDING_KWH_M2,
                            "{latitude_deg}° {altitude_m} m, {share} of clear, month {m}: {} for {}",
                            made[m],
                            asked[m]
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn rows_are_shares_within_the_rounding_of_their_print() {
        for class in &CLASSES {
            for row in class.next {
                let sum: f64 = row.iter().sum();
                // Ten numbers of three decimals: half a unit each.
                assert!((sum - 1.0).abs() <= 0.0051, "{sum}");
            }
        }
    }

    #[test]
    fn a_root_is_found_and_the_ends_hold() {
        assert!((falling_root(|p| 2.0 - p) - 2.0).abs() < 1e-9);
        assert!(falling_root(|_| -1.0) < 1e-5 && falling_root(|_| 1.0) > 1e5);
    }
}
