//! How the clearness of a day is spread over its hours.
//!
//! Source: Aguiar & Collares-Pereira (1992), *TAG: a time-dependent, autoregressive, Gaussian model for generating
//! synthetic hourly radiation*, Solar Energy 49:167 (coefficients from one copy and from memory).

use swimdays_properties::elementary::exp;

use super::days::{Day, falling_root};
use super::random::{Random, Stream};
use super::sky::Sky;

/// Least share of the ceiling that an hour keeps before the day's sum is restored: the darkest hours of real days.
const LEAST_SHARE: f64 = 0.02;
/// Most share of the ceiling before the day's sum is restored.
const MOST_SHARE: f64 = 0.995;

/// Mean clearness of an hour with the sun at sine `sin_height` on a day of clearness `k`.
///
/// `k_tm = λ + η exp(−κ / sin h)`, `λ = −0.19 + 1.12 K + 0.24 e^(−8K)`, `η = 0.32 − 1.6 (K − 0.5)²`,
/// `κ = 0.19 + 2.27 K² − 2.51 K³`.
pub(super) fn mean_clearness(k: f64, sin_height: f64) -> f64 {
    let lambda = -0.19 + 1.12 * k + 0.24 * exp(-8.0 * k);
    let eta = 0.32 - 1.6 * (k - 0.5) * (k - 0.5);
    let kappa = 0.19 + k * k * (2.27 - 2.51 * k);
    lambda + eta * exp(-kappa / sin_height)
}

/// Standard deviation of the hour's clearness about its mean: `A exp[B (1 − sin h)]`,
/// `A = 0.14 exp[−20 (K − 0.35)²]`, `B = 3 (K − 0.45)² + 16 K⁵`.
pub(super) fn deviation(k: f64, sin_height: f64) -> f64 {
    let (a, b) = deviation_terms(k);
    a * exp(b * (1.0 - sin_height))
}

fn deviation_terms(k: f64) -> (f64, f64) {
    let a = 0.14 * exp(-20.0 * (k - 0.35) * (k - 0.35));
    let b = 3.0 * (k - 0.45) * (k - 0.45) + 16.0 * k.powi(5);
    (a, b)
}

/// Correlation of an hour's deviation with that of the hour before: `0.38 + 0.06 cos(7.4 K − 2.5)`.
pub(super) fn persistence(k: f64) -> f64 {
    0.38 + 0.06 * (7.4 * k - 2.5).cos()
}

/// Global irradiance of each hour, W/m², whose days have the clearness of `days` exactly.
///
/// The model's hours become shares u of the ceiling that a clear sky sets; the shares of a day become `u^p` with one p
/// such that the day's sum is right. No hour leaves its limits. `Differs:` the source scales the hours.
pub(super) fn global_w_m2(days: &[Day], sky: &Sky, seed: u64) -> Vec<f64> {
    let mut random = Random::new(seed, Stream::Hours);
    let mut out = vec![0.0; days.len() * 24];
    let mut y = 0.0;
    for (day, of_day) in days.iter().enumerate() {
        let k = of_day.clearness;
        let phi = persistence(k);
        let fresh = (1.0 - phi * phi).sqrt();
        let (mut shares, mut ceilings) = ([0.0; 24], [0.0; 24]);
        for hour in 0..24 {
            y = phi * y + fresh * random.normal();
            let i = day * 24 + hour;
            let outside = sky.outside_w_m2(i);
            if outside <= 0.0 {
                continue;
            }
            let sin_height = sky.sin_height(i);
            // The deviation was fitted for a sun well up; lower down it grows beyond the mean itself.
            let mean = mean_clearness(k, sin_height.max(0.05));
            let spread = deviation(k, sin_height).min(0.25);
            ceilings[hour] = sky.ceiling_w_m2(i);
            let share = (mean + spread * y) * outside / ceilings[hour];
            shares[hour] = share.clamp(LEAST_SHARE, MOST_SHARE);
        }
        let target = k * sky.outside_day_wh_m2(day);
        let at = |hour: usize, power: f64| {
            if ceilings[hour] > 0.0 {
                ceilings[hour] * f64::powf(shares[hour], power)
            } else {
                0.0
            }
        };
        let power = falling_root(|power| (0..24).map(|hour| at(hour, power)).sum::<f64>() - target);
        let sum: f64 = (0..24).map(|hour| at(hour, power)).sum();
        // What halving leaves: a few units in the last place.
        let rounding = if sum > 0.0 { target / sum } else { 0.0 };
        for hour in 0..24 {
            out[day * 24 + hour] = at(hour, power) * rounding;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_terms_are_those_computed_by_hand() {
        // K = 0.5: λ = −0.19 + 0.56 + 0.24 e⁻⁴ = 0.3744, η = 0.32, κ = 0.19 + 0.5675 − 0.31375 = 0.44375,
        // A = 0.14 e^(−0.45) = 0.0893, B = 0.0075 + 0.5 = 0.5075, φ = 0.38 + 0.06 cos 1.2 = 0.4017.
        // K = 0.6: λ = 0.4840, η = 0.3040, κ = 0.4650, A = 0.0401, B = 1.3117, φ = 0.3583.
        for (k, lambda, eta, kappa, a, b, phi) in [
            (0.5_f64, 0.3744, 0.32, 0.4438, 0.0893, 0.5075, 0.4017),
            (0.6, 0.4840, 0.3040, 0.4650, 0.0401, 1.3117, 0.3583),
        ] {
            for sin_height in [0.2_f64, 0.5, 1.0] {
                let by_hand = lambda + eta * f64::exp(-kappa / sin_height);
                assert!((mean_clearness(k, sin_height) - by_hand).abs() < 2e-4);
            }
            let (found_a, found_b) = deviation_terms(k);
            assert!((found_a - a).abs() < 6e-5 && (found_b - b).abs() < 6e-5);
            assert!((persistence(k) - phi).abs() < 6e-5);
        }
    }
}
