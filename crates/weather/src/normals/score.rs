//! What hangs together from day to day: warm spells, moist air, wind, and how clear it is.
//!
//! The clearness of the days comes first; warmth, moisture, wind and the span of the day follow it with correlations that
//! change from winter to summer: a clear day is warm in summer and cold in winter. The shape is that of Richardson (1981),
//! *Stochastic simulation of daily precipitation, temperature, and solar radiation*, Water Resources Research 17:182: normal
//! variables of first order in time. `Differs:` the correlations and deviations are our own, read off eight real typical
//! years (monthly, trend taken out), since the published ones hold for days sorted by rain, which a table does not know.

use super::cycle::Cycle;
use super::days::Day;
use super::random::{Random, Stream, periodic};
use super::sky::Sky;

/// Normal variables of each day, and the standard deviation of its mean temperature.
#[derive(Debug)]
pub(super) struct Scores {
    /// Mean temperature.
    pub(super) air: Vec<f64>,
    /// Span from minimum to maximum.
    pub(super) span: Vec<f64>,
    /// Dew point.
    pub(super) moisture: Vec<f64>,
    /// Wind.
    pub(super) wind: Vec<f64>,
    /// Standard deviation of the day's mean temperature about the season, K.
    pub(super) deviation_k: Vec<f64>,
}

/// 0 in the depth of winter, 1 in summer: by the height of the sun at noon.
fn summer(sky: &Sky, day: usize) -> f64 {
    ((sky.sin_noon(day) - 0.4) / 0.5).clamp(0.0, 1.0)
}

/// Standard deviation of daily means about the season, K: `2.7 + 0.26 σ − 0.092 T`, at least 0.9.
///
/// σ: standard deviation of the twelve monthly means, K; T: mean of the season, °C. The form is that of Erbs, Klein, Beckman
/// (1983), ASHRAE Journal 25(6):60, for the scatter of monthly means; the proportions are a least-squares fit to
/// the 84 months of seven real typical years (scatter 1.2 K), the size such that the scatter of made days about their month's
/// mean, which is held, is that of those years on average.
fn deviation_k(annual_deviation_k: f64, season_c: f64) -> f64 {
    (2.7 + 0.26 * annual_deviation_k - 0.092 * season_c).max(0.9)
}

impl Scores {
    pub(super) fn new(
        days: &[Day],
        sky: &Sky,
        cycle: &Cycle,
        mean_c: &[f64; 12],
        seed: u64,
    ) -> Self {
        const AIR_PERSISTENCE: f64 = 0.70;
        const MOISTURE_PERSISTENCE: f64 = 0.45;
        const WIND_PERSISTENCE: f64 = 0.40;
        const SPAN_WITH_CLEARNESS: f64 = 0.75;
        const WIND_WITH_CLEARNESS: f64 = -0.20;
        let n = days.len();
        let noise = |stream, persistence| {
            let mut random = Random::new(seed, stream);
            periodic(n, persistence, || random.normal())
        };
        let own_air = noise(Stream::Air, AIR_PERSISTENCE);
        let own_span = noise(Stream::Span, 0.0);
        let own_moisture = noise(Stream::Moisture, MOISTURE_PERSISTENCE);
        let own_wind = noise(Stream::WindDay, WIND_PERSISTENCE);
        let annual = mean_c.iter().sum::<f64>() / 12.0;
        let annual_deviation_k = (mean_c
            .iter()
            .map(|t| (t - annual) * (t - annual))
            .sum::<f64>()
            / 12.0)
            .sqrt();
        let season_c = cycle.keeping(mean_c);
        let rest = |explained: f64| (1.0 - explained).max(0.0).sqrt();
        let mut out = Self {
            air: Vec::with_capacity(n),
            span: Vec::with_capacity(n),
            moisture: Vec::with_capacity(n),
            wind: Vec::with_capacity(n),
            deviation_k: season_c
                .iter()
                .map(|&c| deviation_k(annual_deviation_k, c))
                .collect(),
        };
        for (day, of_day) in days.iter().enumerate() {
            let clear = of_day.score;
            let summer = summer(sky, day);
            let air_with_clear = -0.40 + 0.75 * summer;
            let moist_with_air = 0.92 - 0.22 * summer;
            let moist_with_clear = -0.50 + 0.25 * summer;
            let air = air_with_clear * clear + rest(air_with_clear * air_with_clear) * own_air[day];
            // Regression of the moisture on both: the two normal equations solved.
            let det = 1.0 - air_with_clear * air_with_clear;
            let on_air = (moist_with_air - air_with_clear * moist_with_clear) / det;
            let on_clear = (moist_with_clear - air_with_clear * moist_with_air) / det;
            let explained = on_air * moist_with_air + on_clear * moist_with_clear;
            out.moisture
                .push(on_air * air + on_clear * clear + rest(explained) * own_moisture[day]);
            out.span.push(
                SPAN_WITH_CLEARNESS * clear
                    + rest(SPAN_WITH_CLEARNESS * SPAN_WITH_CLEARNESS) * own_span[day],
            );
            // Winter wind brings mild air, summer heat comes with calms.
            let wind_on_air = 0.10 - 0.15 * summer;
            let explained = WIND_WITH_CLEARNESS * WIND_WITH_CLEARNESS
                + wind_on_air * wind_on_air
                + 2.0 * WIND_WITH_CLEARNESS * wind_on_air * air_with_clear;
            out.wind.push(
                WIND_WITH_CLEARNESS * clear + wind_on_air * air + rest(explained) * own_wind[day],
            );
            out.air.push(air);
        }
        out
    }
}
