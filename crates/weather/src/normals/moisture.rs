//! The dew point through the hours.

use swimdays_properties::moist_air::saturation_pressure_pa;

use super::cycle::{Cycle, day_means};
use super::score::Scores;

/// The dew point scatters more from day to day than the air (months of real typical years: 0.8 to 2 times).
const DEVIATION_OF_AIR: f64 = 1.25;
/// Most correction of a month, K, in either direction.
const FURTHEST_K: f64 = 60.0;

/// What is kept month by month, known or estimated.
#[derive(Clone, Copy, Debug)]
pub(super) enum Kept {
    /// Mean dew point, °C.
    DewPointC([f64; 12]),
    /// Mean relative humidity, 0…1.
    HumidityFrac([f64; 12]),
}

/// Dew point of each hour, °C, never above the air; monthly mean dew point or relative humidity kept.
///
/// A day's dew point leaves the season by its [`Scores::moisture`] and runs in straight lines from noon to noon. Where it
/// would pass the air it is the air's: a night of fog or dew.
pub(super) fn dew_point_c(
    moisture: &Kept,
    air_c: &[f64],
    scores: &Scores,
    cycle: &Cycle,
) -> Vec<f64> {
    let n = cycle.month.len();
    let scatter: Vec<f64> = (0..n)
        .map(|day| DEVIATION_OF_AIR * scores.deviation_k[day] * scores.moisture[day])
        .collect();
    let free = |season: &[f64; 12]| {
        let season = cycle.daily(season);
        let noon: Vec<f64> = (0..n).map(|day| season[day] + scatter[day]).collect();
        (0..n * 24)
            .map(|hour| {
                #[allow(clippy::cast_precision_loss, reason = "hours of a day")]
                let from_noon = (hour % 24) as f64 + 0.5 - 12.0;
                let day = hour / 24;
                let other = if from_noon < 0.0 {
                    (day + n - 1) % n
                } else {
                    (day + 1) % n
                };
                let weight = from_noon.abs() / 24.0;
                noon[day] * (1.0 - weight) + noon[other] * weight
            })
            .collect::<Vec<f64>>()
    };
    let bounded = |free: &[f64]| -> Vec<f64> {
        free.iter()
            .zip(air_c)
            .map(|(dew, air)| dew.min(*air))
            .collect()
    };
    // What is kept: the dew point itself, or the humidity that it gives.
    let (target, humidity) = match moisture {
        Kept::DewPointC(target) => (*target, false),
        Kept::HumidityFrac(target) => (*target, true),
    };
    let saturated: Vec<f64> = air_c
        .iter()
        .map(|&air| saturation_pressure_pa(air))
        .collect();
    let kept = |i: usize, dew: f64| {
        if humidity {
            saturation_pressure_pa(dew) / saturated[i]
        } else {
            dew
        }
    };
    let means = |dew: &[f64]| {
        let values: Vec<f64> = dew
            .iter()
            .enumerate()
            .map(|(i, &dew)| kept(i, dew))
            .collect();
        cycle.means(day_means(&values))
    };
    let start = if humidity {
        let air = cycle.means(day_means(air_c));
        std::array::from_fn(|m| crate::build::dew_point_c(air[m], target[m]))
    } else {
        target
    };
    // A humidity is turned into kelvin by its usual slope, 6 % a kelvin.
    let per_kelvin = if humidity { 0.06 } else { 1.0 };
    let goal = |season: &[f64; 12]| {
        let found = means(&bounded(&free(season)));
        std::array::from_fn(|m| start[m] - (target[m] - found[m]) / per_kelvin)
    };
    let season = settle(start, goal);
    let mut dew = free(&season);
    close(&mut dew, air_c, &target, &kept, cycle);
    dew
}

/// Moves the season by what its months lack, gently.
fn settle(start: [f64; 12], found: impl Fn(&[f64; 12]) -> [f64; 12]) -> [f64; 12] {
    const ROUNDS: usize = 40;
    let mut season = start;
    for _ in 0..ROUNDS {
        let now = found(&season);
        for m in 0..12 {
            season[m] += 0.8 * (start[m] - now[m]).clamp(-5.0, 5.0);
        }
    }
    season
}

/// Moves each month by one number so that what is kept has its mean with the dew point bounded by the air.
fn close(
    dew: &mut [f64],
    air_c: &[f64],
    target: &[f64; 12],
    kept: &impl Fn(usize, f64) -> f64,
    cycle: &Cycle,
) {
    let mut from = 0;
    for (m, &wanted) in target.iter().enumerate() {
        let to = from + cycle.lengths[m] * 24;
        #[allow(clippy::cast_precision_loss, reason = "hours of a month")]
        let hours = (to - from) as f64;
        let mean = |shift: f64| {
            (from..to)
                .map(|i| kept(i, (dew[i] + shift).min(air_c[i])))
                .sum::<f64>()
                / hours
        };
        let (mut low, mut high) = (-FURTHEST_K, FURTHEST_K);
        for _ in 0..70 {
            let middle = 0.5 * (low + high);
            if mean(middle) < wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
        let shift = 0.5 * (low + high);
        for i in from..to {
            dew[i] = (dew[i] + shift).min(air_c[i]);
        }
        from = to;
    }
}
