//! The air through the hours: mean daily maximum and minimum of each month kept exactly.

use super::cycle::Cycle;
use super::score::Scores;
use super::sky::Sky;

/// How much later than noon the day is warmest, in the form of [`rise`], h. Source: Parton & Logan (1981), Agricultural Meteorology
/// 23:205: 1.86 for the air at 1.5 m (from memory).
const LAG_H: f64 = 1.86;
/// How far the air cools towards the next minimum, in the form of [`decay`]. Source: the same: 2.20 (from memory).
const COOLING: f64 = 2.20;
/// How much the span of a day scatters about that of its month, share: months of real years have 0.2 to 0.5.
const SPAN_DEVIATION: f64 = 0.33;
/// Shortest and longest day in which the sun still sets the time of the minimum, h.
const DAYLIGHT_LIMITS_H: (f64, f64) = (4.0, 19.0);

/// Air temperature of each hour, °C.
///
/// Each day has a minimum at sunrise and rises as a sine to a maximum about two hours after noon; from sunset it falls
/// exponentially to the next day's minimum ([`rise`], [`decay`]; Parton & Logan 1981, Agricultural Meteorology 23:205).
/// The middle of a day leaves the season by its [`Scores::air`], its span follows [`Scores::span`]. The season, in
/// straight lines between the middles of the months, is moved until the monthly means of the calendar days' highest
/// and lowest hour are the table's.
///
/// `Differs:` the source's third number, by which the minimum lies off sunrise (−0.17 h for the air at 1.5 m, from memory), is left
/// out: ten minutes are a sixth of the hour that is made here. The night ends at the next minimum itself, see [`decay`].
pub(super) fn air_c(
    daily_max_c: &[f64; 12],
    daily_min_c: &[f64; 12],
    scores: &Scores,
    sky: &Sky,
    cycle: &Cycle,
) -> Vec<f64> {
    const ROUNDS: usize = 60;
    let n = cycle.month.len();
    let moments = moments(sky, n);
    let mut middle: [f64; 12] = std::array::from_fn(|m| 0.5 * (daily_max_c[m] + daily_min_c[m]));
    let mut span: [f64; 12] = std::array::from_fn(|m| daily_max_c[m] - daily_min_c[m]);
    let least_span: [f64; 12] = std::array::from_fn(|m| 0.05 * span[m]);
    let hourly = |middle: &[f64; 12], span: &[f64; 12]| {
        let (middle, span) = (cycle.daily(middle), cycle.daily(span));
        let ends: Vec<(f64, f64)> = (0..n)
            .map(|day| {
                let at = middle[day] + scores.deviation_k[day] * scores.air[day];
                let half = 0.5 * span[day] * (1.0 + SPAN_DEVIATION * scores.span[day]).max(0.1);
                (at - half, at + half)
            })
            .collect();
        moments
            .iter()
            .map(|moment| {
                let (low, high) = ends[moment.day];
                let next_low = ends[(moment.day + 1) % n].0;
                low + (high - low) * moment.of_day + (next_low - low) * moment.to_next
            })
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

/// Share of the way from minimum to maximum, `since_h` after a sunrise of a day of `daylight_h`: `sin[π m/(Y + 2a)]`.
fn rise(since_h: f64, daylight_h: f64) -> f64 {
    (std::f64::consts::PI * since_h / (daylight_h + 2.0 * LAG_H)).sin()
}

/// Share that is left of the way from sunset down to the next minimum after the share `passed` of the night:
/// `(e^(−b n/Z) − e^(−b))/(1 − e^(−b))`, which unlike the source's form ends at the minimum itself.
fn decay(passed: f64) -> f64 {
    let end = (-COOLING).exp();
    ((-COOLING * passed).exp() - end) / (1.0 - end)
}

/// An hour between two sunrises.
struct Moment {
    /// The day of the sunrise before.
    day: usize,
    /// Share of that day's maximum less its minimum.
    of_day: f64,
    /// Share of the way to the next day's minimum.
    to_next: f64,
}

/// Where each hour of the year stands between two sunrises.
fn moments(sky: &Sky, days: usize) -> Vec<Moment> {
    #[allow(clippy::cast_precision_loss, reason = "hours of a year")]
    let length = days as f64 * 24.0;
    let daylight = |day: usize| {
        sky.daylight_h(day)
            .clamp(DAYLIGHT_LIMITS_H.0, DAYLIGHT_LIMITS_H.1)
    };
    let sunrises: Vec<f64> = (0..days)
        .map(|day| {
            // Solar less clock time, from the hour of noon.
            let noon = day * 24 + 12;
            let ahead = (sky.solar_hour(noon) - 12.5 + 12.0).rem_euclid(24.0) - 12.0;
            #[allow(clippy::cast_precision_loss, reason = "hours of a year")]
            let midnight = (day * 24) as f64 - ahead;
            midnight + 12.0 - 0.5 * daylight(day)
        })
        .collect();
    let mut after = 0;
    (0..days * 24)
        .map(|hour| {
            #[allow(clippy::cast_precision_loss, reason = "hours of a year")]
            let middle = hour as f64 + 0.5;
            while after < days && sunrises[after] <= middle {
                after += 1;
            }
            let (day, next) = ((after + days - 1) % days, after % days);
            let since = (middle - sunrises[day]).rem_euclid(length);
            let night = (sunrises[next] - sunrises[day]).rem_euclid(length) - daylight(day);
            if since <= daylight(day) {
                Moment {
                    day,
                    of_day: rise(since, daylight(day)),
                    to_next: 0.0,
                }
            } else {
                let left = decay((since - daylight(day)) / night);
                Moment {
                    day,
                    of_day: rise(daylight(day), daylight(day)) * left,
                    to_next: 1.0 - left,
                }
            }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_day_is_warmest_and_coldest_where_the_source_says() {
        // Half of 12 h + 2 × 1.86 h after sunrise: 7.86 h, that is 13:52 solar time at equinox.
        assert!((rise(7.86, 12.0) - 1.0).abs() < 1e-9);
        assert!(rise(0.0, 12.0).abs() < 1e-12);
        // At sunset sin(π 12/15.72) = 0.6768; half through the night (e^−1.1 − e^−2.2)/(1 − e^−2.2) = 0.2497 is left.
        assert!((rise(12.0, 12.0) - 0.6768).abs() < 1e-4);
        assert!((decay(0.5) - 0.2497).abs() < 1e-4);
        assert!((decay(0.0) - 1.0).abs() < 1e-12 && decay(1.0).abs() < 1e-12);
    }
}
