//! The sun of a typical year at one place, hour by hour, and what a clear sky lets through at most.

use chrono::NaiveDateTime;
use swimdays_solar::{
    DiffuseSplit, Orbit, SplitInput, extraterrestrial_normal_w_m2, haurwitz_ghi_w_m2, solar_hour,
    split_series, sun_in_interval,
};

use crate::Place;

/// The clearest hours of eight real typical years exceed Haurwitz's clear sky by up to this share at sea level (99.9 % of the
/// hours of five of them lie below).
const CLEAREST_HOUR: f64 = 1.12;
/// The clearest days of the same years.
const CLEAREST_DAY: f64 = 1.08;
/// With the sun at the horizon that clear sky gives next to nothing, while the real one is lit: clearness of the clearest hour
/// and day all the same (the polar winter of real years reaches 0.4).
const LOW_SUN_HOUR: f64 = 0.50;
const LOW_SUN_DAY: f64 = 0.45;
/// Clearer air up high, share per metre. Source: FAO Irrigation and Drainage Paper 56, equation 37: 2e-5/0.75.
const CLEARER_PER_M: f64 = 2.0e-5 / 0.75;

/// The sun through the year.
#[derive(Debug)]
pub(super) struct Sky {
    cos_zenith: Vec<f64>,
    sunlit_frac: Vec<f64>,
    outside_normal_w_m2: Vec<f64>,
    solar_hour: Vec<f64>,
    altitude_factor: f64,
}

impl Sky {
    /// The hours of the year that starts at `first_start`, local standard time.
    pub(super) fn new(place: &Place, first_start: NaiveDateTime, hours: usize) -> Self {
        const HOUR_S: f64 = 3600.0;
        #[allow(clippy::cast_precision_loss, reason = "seconds fit in 53 bits")]
        let first_unix_s = first_start.and_utc().timestamp() as f64 - place.utc_offset_h * HOUR_S;
        let mut sky = Self {
            cos_zenith: Vec::with_capacity(hours),
            sunlit_frac: Vec::with_capacity(hours),
            outside_normal_w_m2: Vec::with_capacity(hours),
            solar_hour: Vec::with_capacity(hours),
            altitude_factor: 1.0 + CLEARER_PER_M * place.altitude_m.max(0.0),
        };
        for hour in 0..hours {
            #[allow(clippy::cast_precision_loss, reason = "hours of a year")]
            let start = first_unix_s + hour as f64 * HOUR_S;
            let lit = sun_in_interval(
                Orbit::Real,
                start,
                HOUR_S,
                place.latitude_deg,
                place.longitude_deg,
            );
            let middle = start + 0.5 * HOUR_S;
            sky.solar_hour
                .push(solar_hour(middle, place.longitude_deg, &lit.sun));
            sky.cos_zenith.push(lit.sun.cos_zenith());
            sky.sunlit_frac.push(lit.sunlit_frac);
            sky.outside_normal_w_m2
                .push(extraterrestrial_normal_w_m2(lit.sun.earth_sun_distance_au));
        }
        sky
    }

    /// Irradiance outside the atmosphere on level ground, mean of hour `i`, W/m².
    pub(super) fn outside_w_m2(&self, i: usize) -> f64 {
        self.outside_normal_w_m2[i] * self.sunlit_frac[i] * self.cos_zenith[i].max(0.0)
    }

    /// Sine of the sun's height in the sunlit part of hour `i`; at most 0 when there is none.
    pub(super) fn sin_height(&self, i: usize) -> f64 {
        self.cos_zenith[i]
    }

    /// Apparent solar time at the middle of hour `i`.
    pub(super) fn solar_hour(&self, i: usize) -> f64 {
        self.solar_hour[i]
    }

    /// Sum of the day outside the atmosphere, Wh/m².
    pub(super) fn outside_day_wh_m2(&self, day: usize) -> f64 {
        (day * 24..day * 24 + 24)
            .map(|i| self.outside_w_m2(i))
            .sum()
    }

    /// Sunlit hours of the day.
    pub(super) fn daylight_h(&self, day: usize) -> f64 {
        self.sunlit_frac[day * 24..day * 24 + 24].iter().sum()
    }

    /// Sine of the sun's greatest height on the day, at least 0.
    pub(super) fn sin_noon(&self, day: usize) -> f64 {
        self.cos_zenith[day * 24..day * 24 + 24]
            .iter()
            .fold(0.0, |most, &c| most.max(c))
    }

    fn clear_w_m2(&self, i: usize) -> f64 {
        haurwitz_ghi_w_m2(self.cos_zenith[i]) * self.sunlit_frac[i] * self.altitude_factor
    }

    /// Most global irradiance of hour `i`, W/m².
    ///
    /// The clear sky of Haurwitz (1945) with clearer air up high, and room for the clearest of real hours; never more than outside
    /// the atmosphere, which only the highest places would reach.
    pub(super) fn ceiling_w_m2(&self, i: usize) -> f64 {
        let outside = self.outside_w_m2(i);
        (CLEAREST_HOUR * self.clear_w_m2(i))
            .max(LOW_SUN_HOUR * outside)
            .min(outside)
    }

    /// Clearness of the clearest day.
    pub(super) fn clear_day(&self, day: usize) -> f64 {
        let outside = self.outside_day_wh_m2(day);
        if outside <= 0.0 {
            return 0.0;
        }
        let clear: f64 = (day * 24..day * 24 + 24).map(|i| self.clear_w_m2(i)).sum();
        (CLEAREST_DAY * clear / outside).clamp(LOW_SUN_DAY, 0.9)
    }

    /// Direct normal and diffuse horizontal irradiance from global, W/m².
    pub(super) fn split(&self, ghi_w_m2: &[f64]) -> (Vec<f64>, Vec<f64>) {
        split_series(
            DiffuseSplit::default(),
            &SplitInput {
                ghi_w_m2,
                cos_zenith: &self.cos_zenith,
                sunlit_frac: &self.sunlit_frac,
                extraterrestrial_normal_w_m2: &self.outside_normal_w_m2,
                solar_hour: &self.solar_hour,
            },
        )
    }
}
