//! The air through the hours: mean daily maximum and minimum of each month kept exactly.

use super::cycle::Cycle;
use super::score::Scores;
use super::sky::Sky;

/// The hottest moment, apparent solar time. Source: Erbs, Klein, Beckman (1983), ASHRAE Journal 25(6):60: the hour from 14 to 15.
const HOTTEST_SOLAR_H: f64 = 14.5;
/// How much the span of a day scatters about that of its month, share: months of real years have 0.2 to 0.5.
const SPAN_DEVIATION: f64 = 0.33;
/// Shortest and longest day in which the sun still sets the time of the minimum, h.
const DAYLIGHT_LIMITS_H: (f64, f64) = (4.0, 19.0);

/// Air temperature of each hour, °C.
///
/// Each day has a minimum at sunrise and a maximum at 14:30 solar time; half cosines join one to the next
/// (de Wit 1978, *Simulation of assimilation, respiration and transpiration of crops*, Pudoc; there the maximum is at 14 h).
/// The middle of a day leaves the season by its [`Scores::air`], its span follows [`Scores::span`]. The season, in
/// straight lines between the middles of the months, is moved until the monthly means of the calendar days' highest
/// and lowest hour are the table's.
pub(super) fn air_c(
    daily_max_c: &[f64; 12],
    daily_min_c: &[f64; 12],
    scores: &Scores,
    sky: &Sky,
    cycle: &Cycle,
) -> Vec<f64> {
    const ROUNDS: usize = 60;
    let n = cycle.month.len();
    let weights = weights(sky, n);
    let mut middle: [f64; 12] = std::array::from_fn(|m| 0.5 * (daily_max_c[m] + daily_min_c[m]));
    let mut span: [f64; 12] = std::array::from_fn(|m| daily_max_c[m] - daily_min_c[m]);
    let least_span: [f64; 12] = std::array::from_fn(|m| 0.05 * span[m]);
    let hourly = |middle: &[f64; 12], span: &[f64; 12]| {
        let (middle, span) = (cycle.daily(middle), cycle.daily(span));
        let ends: Vec<f64> = (0..n)
            .flat_map(|day| {
                let at = middle[day] + scores.deviation_k[day] * scores.air[day];
                let half = 0.5 * span[day] * (1.0 + SPAN_DEVIATION * scores.span[day]).max(0.1);
                [at - half, at + half]
            })
            .collect();
        weights
            .iter()
            .map(|&(before, after, weight)| ends[before] * (1.0 - weight) + ends[after] * weight)
            .collect::<Vec<f64>>()
    };
    let mut air = hourly(&middle, &span);
    for _ in 0..ROUNDS {
        let (highest, lowest) = extremes(&air, cycle);
        for m in 0..12 {
            let (high, low) = (daily_max_c[m] - highest[m], daily_min_c[m] - lowest[m]);
            middle[m] += 0.5 * (high + low);
            span[m] = (span[m] + high - low).max(least_span[m]);
        }
        air = hourly(&middle, &span);
    }
    close(&mut air, daily_max_c, daily_min_c, cycle);
    air
}

/// For each hour: the two ends of days (twice the day, plus one for its maximum) between which it lies, and the later's weight.
fn weights(sky: &Sky, days: usize) -> Vec<(usize, usize, f64)> {
    #[allow(clippy::cast_precision_loss, reason = "hours of a year")]
    let length = days as f64 * 24.0;
    let mut moments = Vec::with_capacity(2 * days);
    for day in 0..days {
        // Solar less clock time, from the hour of noon.
        let noon = day * 24 + 12;
        let ahead = (sky.solar_hour(noon) - 12.5 + 12.0).rem_euclid(24.0) - 12.0;
        let half_day = 0.5
            * sky
                .daylight_h(day)
                .clamp(DAYLIGHT_LIMITS_H.0, DAYLIGHT_LIMITS_H.1);
        #[allow(clippy::cast_precision_loss, reason = "hours of a year")]
        let midnight = (day * 24) as f64 - ahead;
        moments.push(midnight + 12.0 - half_day);
        moments.push(midnight + HOTTEST_SOLAR_H);
    }
    let count = moments.len();
    let mut after = 0;
    (0..days * 24)
        .map(|hour| {
            #[allow(clippy::cast_precision_loss, reason = "hours of a year")]
            let middle = hour as f64 + 0.5;
            while after < count && moments[after] <= middle {
                after += 1;
            }
            let (before, next) = ((after + count - 1) % count, after % count);
            let between = (moments[next] - moments[before]).rem_euclid(length);
            let passed = (middle - moments[before]).rem_euclid(length);
            let weight = 0.5 - 0.5 * (std::f64::consts::PI * passed / between).cos();
            (before, next, weight)
        })
        .collect()
}

/// Monthly means of the highest and lowest hour of each calendar day.
pub(super) fn extremes(air_c: &[f64], cycle: &Cycle) -> ([f64; 12], [f64; 12]) {
    let highest = |day: &[f64]| day.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let lowest = |day: &[f64]| day.iter().copied().fold(f64::INFINITY, f64::min);
    (
        cycle.means(air_c.chunks_exact(24).map(highest)),
        cycle.means(air_c.chunks_exact(24).map(lowest)),
    )
}

/// Removes what the rounds left: in each month the days are moved by one number and stretched about their means by another.
fn close(air_c: &mut [f64], daily_max_c: &[f64; 12], daily_min_c: &[f64; 12], cycle: &Cycle) {
    let means: Vec<f64> = super::cycle::day_means(air_c).collect();
    let mean = cycle.means(means.iter().copied());
    let (highest, lowest) = extremes(air_c, cycle);
    for (i, value) in air_c.iter_mut().enumerate() {
        let m = cycle.month[i / 24];
        let (high, low) = (daily_max_c[m] - highest[m], daily_min_c[m] - lowest[m]);
        let stretch = (high - low) / (highest[m] - lowest[m]).max(1e-9);
        let shift = high - stretch * (highest[m] - mean[m]);
        *value += shift + stretch * (*value - means[i / 24]);
    }
}
