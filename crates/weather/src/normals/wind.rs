//! The wind through the hours.

use super::cycle::{Cycle, day_means};
use super::days::Day;
use super::random::{Random, Stream, log_odds, periodic};
use super::score::Scores;
use super::sky::Sky;

/// Windiest time, apparent solar time: 12 to 15 h in months of real typical years.
const WINDIEST_SOLAR_H: f64 = 13.7;
/// Amplitude of the daily course of the mean wind, over the day's clearness times the sine of the sun's height at noon: real
/// months go from 0.05 in a dull winter to 0.35 in a sunny summer.
const DAILY_COURSE: f64 = 0.6;
/// Share of the variance of an hour's score that its day has.
const OF_THE_DAY: f64 = 0.55;
/// Correlation of an hour's own score with that of the hour before.
const HOUR_PERSISTENCE: f64 = 0.75;

/// Wind of each hour at 10 m, m/s, with the monthly means of the table.
///
/// `v = c_month [1 + a cos(2π (t − 13.7 h)/24)] √(−ln(1 − Φ(z)))`: a Weibull variable of shape 2, the usual one of wind
/// (Justus and others 1978, J. Applied Meteorology 17:350), in which z carries the day's score and the hour's own.
pub(super) fn wind_m_s(
    mean_m_s: &[f64; 12],
    days: &[Day],
    scores: &Scores,
    sky: &Sky,
    cycle: &Cycle,
    seed: u64,
) -> Vec<f64> {
    let n = cycle.month.len();
    let mut random = Random::new(seed, Stream::WindHour);
    let own = periodic(n * 24, HOUR_PERSISTENCE, || random.normal());
    let mut wind: Vec<f64> = (0..n * 24)
        .map(|hour| {
            let day = hour / 24;
            #[allow(clippy::cast_precision_loss, reason = "hours of a day")]
            let from_noon = (hour % 24) as f64 + 0.5 - 12.0;
            let other = if from_noon < 0.0 {
                (day + n - 1) % n
            } else {
                (day + 1) % n
            };
            let weight = from_noon.abs() / 24.0;
            let of_day = scores.wind[day] * (1.0 - weight) + scores.wind[other] * weight;
            // What the straight line takes from the variance is given back.
            let kept = (1.0 - 2.0 * weight * (1.0 - weight) * 0.6).sqrt();
            let z = OF_THE_DAY.sqrt() * of_day / kept + (1.0 - OF_THE_DAY).sqrt() * own[hour];
            let odds = log_odds(z.clamp(-5.0, 5.0)).exp();
            let amplitude = (DAILY_COURSE * days[day].clearness * sky.sin_noon(day)).min(0.6);
            let hour_angle =
                std::f64::consts::TAU * (sky.solar_hour(hour) - WINDIEST_SOLAR_H) / 24.0;
            (1.0 + amplitude * hour_angle.cos()) * odds.ln_1p().sqrt()
        })
        .collect();
    let found = cycle.means(day_means(&wind));
    for (hour, value) in wind.iter_mut().enumerate() {
        let m = cycle.month[hour / 24];
        *value *= mean_m_s[m] / found[m];
    }
    wind
}
