//! The rain through the hours.

use super::cycle::Cycle;
use super::days::Day;
use super::random::{Random, Stream};

/// Rain of a rain day where their number is not known, mm (common practice, no source: temperate places have 4 to 9).
const MM_PER_RAIN_DAY: f64 = 6.0;
/// A rain day has at least this much, mm: what services count from.
const LEAST_MM: f64 = 1.0;

/// Rain of each hour, mm, with the monthly sums of the table, on the cloudier days.
///
/// The days with the highest `0.8 × cloudiness score + 0.6 × chance` rain. Their depths are 1 mm and an exponential
/// variable (the simplest usual choice; Richardson 1981, Water Resources Research 17:182), in one shower of 2 to 9 hours.
pub(super) fn rain_mm(
    month_mm: &[f64; 12],
    rain_days: Option<&[f64; 12]>,
    days: &[Day],
    cycle: &Cycle,
    seed: u64,
) -> Vec<f64> {
    let mut random = Random::new(seed, Stream::Rain);
    // The same number of draws for each day, so that one month's table does not change the next month's rain.
    let draws: Vec<[f64; 4]> = days
        .iter()
        .map(|_| {
            [
                random.normal(),
                random.uniform(),
                random.uniform(),
                random.uniform(),
            ]
        })
        .collect();
    let mut rain = vec![0.0; days.len() * 24];
    let mut from = 0;
    for m in 0..12 {
        let to = from + cycle.lengths[m];
        let sum_mm = month_mm[m];
        let wanted = rain_days.map_or(sum_mm / MM_PER_RAIN_DAY, |count| count[m]);
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 to 31 days"
        )]
        let count = if sum_mm > 0.0 {
            (wanted.round().max(1.0) as usize).min(to - from)
        } else {
            0
        };
        let mut order: Vec<usize> = (from..to).collect();
        let wetness = |day: usize| 0.6 * draws[day][0] - 0.8 * days[day].score;
        order.sort_by(|&a, &b| wetness(b).total_cmp(&wetness(a)).then(a.cmp(&b)));
        order.truncate(count);
        #[allow(clippy::cast_precision_loss, reason = "days of a month")]
        let least = LEAST_MM.min(0.5 * sum_mm / count.max(1) as f64);
        #[allow(clippy::cast_precision_loss, reason = "days of a month")]
        let beyond = sum_mm - least * count as f64;
        let share = |day: usize| -(-draws[day][1]).ln_1p();
        let shares: f64 = order.iter().map(|&day| share(day)).sum();
        for &day in &order {
            let depth = if shares > 0.0 {
                least + beyond * share(day) / shares
            } else {
                #[allow(clippy::cast_precision_loss, reason = "days of a month")]
                let each = sum_mm / count as f64;
                each
            };
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "2 to 9 hours, 0 to 22"
            )]
            let (length, start) = {
                let length = 2 + (draws[day][2] * 8.0) as usize;
                (length, (draws[day][3] * (25 - length) as f64) as usize)
            };
            #[allow(clippy::cast_precision_loss, reason = "2 to 9 hours")]
            for hour in 0..length {
                rain[day * 24 + start + hour] += depth / length as f64;
            }
        }
        from = to;
    }
    rain
}
