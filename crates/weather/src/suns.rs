//! The sun of every interval, found once and shared by gap filling, splitting and judging.
//!
//! The ephemeris is taken once a day and run straight between: within a day the declination leaves a straight line by less than
//! 0.001° (23.4° (2π/365)²/8). Intervals with the sun at the horizon come from `swimdays_solar::sun_in_interval` itself, so that
//! the sunlit part is that of the season.

use swimdays_solar::{
    Orbit, extraterrestrial_normal_w_m2, solar_hour, sun_in_interval, sun_position,
};

use crate::year::{Place, WeatherYear};

/// The sun of each interval: in its middle, or in that of its sunlit part.
pub(crate) struct Suns {
    pub(crate) cos_zenith: Vec<f64>,
    pub(crate) sunlit_frac: Vec<f64>,
    /// Outside the air, facing the sun, W/m².
    pub(crate) outside_w_m2: Vec<f64>,
    /// Apparent solar time at the middle, h from midnight.
    pub(crate) solar_hour: Vec<f64>,
}

/// Where on the time axis a series stands.
#[derive(Clone, Copy)]
pub(crate) struct Axis {
    /// Start of the first interval, s since 1970 UTC.
    pub(crate) first_unix_s: f64,
    pub(crate) interval_s: f64,
}

impl Axis {
    pub(crate) fn of(first_start: chrono::NaiveDateTime, utc_offset_h: f64, minutes: u32) -> Self {
        #[allow(
            clippy::cast_precision_loss,
            reason = "seconds of a calendar fit a f64 exactly"
        )]
        let first_s = first_start.and_utc().timestamp() as f64;
        Self {
            first_unix_s: first_s - utc_offset_h * 3600.0,
            interval_s: f64::from(minutes) * 60.0,
        }
    }

    pub(crate) fn of_year(year: &WeatherYear) -> Self {
        Self::of(
            year.first_start,
            year.place.utc_offset_h,
            year.interval_minutes,
        )
    }
}

/// Cosine of the zenith angle beyond which an interval of up to an hour has its sun wholly up or down: within half an hour
/// the sun leaves the straight line between the ends by up to 1 − cos 7.5°.
const SURE_COS: f64 = 0.01;

/// What changes slowly.
#[derive(Clone, Copy)]
struct Slow {
    /// `cos z = a + b cos(hour angle)`.
    a: f64,
    b: f64,
    equation_of_time_h: f64,
    outside_w_m2: f64,
}

impl Slow {
    fn at(unix_s: f64, place: &Place) -> Self {
        let sun = sun_position(unix_s, place.latitude_deg, place.longitude_deg);
        let (sin_latitude, cos_latitude) = place.latitude_deg.to_radians().sin_cos();
        let (sin_declination, cos_declination) = sun.declination_deg.to_radians().sin_cos();
        Self {
            a: sin_latitude * sin_declination,
            b: cos_latitude * cos_declination,
            equation_of_time_h: sun.equation_of_time_minutes / 60.0,
            outside_w_m2: extraterrestrial_normal_w_m2(sun.earth_sun_distance_au),
        }
    }

    fn between(self, other: Self, share: f64) -> Self {
        let line = |from: f64, to: f64| from + (to - from) * share;
        Self {
            a: line(self.a, other.a),
            b: line(self.b, other.b),
            equation_of_time_h: line(self.equation_of_time_h, other.equation_of_time_h),
            outside_w_m2: line(self.outside_w_m2, other.outside_w_m2),
        }
    }
}

impl Suns {
    /// The suns of `n` intervals whose radiation lies `shift_minutes` later than their middle.
    pub(crate) fn new(axis: Axis, n: usize, shift_minutes: f64, place: &Place) -> Self {
        const DAY_S: f64 = 86_400.0;
        let mut out = Self {
            cos_zenith: Vec::with_capacity(n),
            sunlit_frac: Vec::with_capacity(n),
            outside_w_m2: Vec::with_capacity(n),
            solar_hour: Vec::with_capacity(n),
        };
        let first_s = axis.first_unix_s + 60.0 * shift_minutes;
        let half_h = 0.5 * axis.interval_s / 3600.0;
        let (mut day_s, mut today) = (first_s, Slow::at(first_s, place));
        let mut tomorrow = Slow::at(day_s + DAY_S, place);
        for i in 0..n {
            #[allow(clippy::cast_precision_loss, reason = "number of an interval")]
            let start_s = first_s + i as f64 * axis.interval_s;
            let middle_s = start_s + 0.5 * axis.interval_s;
            while middle_s >= day_s + DAY_S {
                day_s += DAY_S;
                today = tomorrow;
                tomorrow = Slow::at(day_s + DAY_S, place);
            }
            let slow = today.between(tomorrow, (middle_s - day_s) / DAY_S);
            let solar_h = (middle_s.rem_euclid(DAY_S) / 3600.0
                + place.longitude_deg / 15.0
                + slow.equation_of_time_h)
                .rem_euclid(24.0);
            let cos_at = |hour: f64| slow.a + slow.b * (hour * std::f64::consts::PI / 12.0).cos();
            let (from, to) = (
                cos_at(solar_h - 12.0 - half_h),
                cos_at(solar_h - 12.0 + half_h),
            );
            let middle = cos_at(solar_h - 12.0);
            out.outside_w_m2.push(slow.outside_w_m2);
            let sure = axis.interval_s <= 3600.0;
            if sure && from.min(to).min(middle) > SURE_COS {
                out.cos_zenith.push(middle);
                out.sunlit_frac.push(1.0);
                out.solar_hour.push(solar_h);
            } else if sure && from.max(to).max(middle) < -SURE_COS {
                out.cos_zenith.push(middle);
                out.sunlit_frac.push(0.0);
                out.solar_hour.push(solar_h);
            } else {
                let at = sun_in_interval(
                    Orbit::Real,
                    start_s,
                    axis.interval_s,
                    place.latitude_deg,
                    place.longitude_deg,
                );
                out.cos_zenith.push(at.sun.cos_zenith());
                out.sunlit_frac.push(at.sunlit_frac);
                out.solar_hour
                    .push(solar_hour(middle_s, place.longitude_deg, &at.sun));
            }
        }
        out
    }

    /// Mean irradiance outside the air on the horizontal, W/m²; 0 at night.
    pub(crate) fn outside_horizontal_w_m2(&self, i: usize) -> f64 {
        self.outside_w_m2[i] * self.sunlit_frac[i] * self.cos_zenith[i].max(0.0)
    }

    /// Whether the sun is below the horizon all through the interval.
    pub(crate) fn is_night(&self, i: usize) -> bool {
        self.sunlit_frac[i] <= 0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Radians: the parallax, which the shortcut leaves out (0.0024° = 4.3e-5), and the straight line of the declination (0.0009° = 1.5e-5),
    /// with room for that of the equation of time.
    const COS_TOLERANCE: f64 = 8e-5;

    #[test]
    fn the_shortcut_gives_the_sun_of_the_season() {
        for (latitude_deg, longitude_deg, offset) in [
            (0.0, 0.0, 0.0),
            (42.1, -85.3, -5.0),
            (-41.3, 174.8, 12.0),
            (69.6, 18.9, 1.0),
            (-78.0, 166.0, 12.0),
        ] {
            let place = Place {
                name: String::new(),
                latitude_deg,
                longitude_deg,
                utc_offset_h: offset,
                altitude_m: 0.0,
            };
            for (minutes, shift) in [(60, 0.0), (60, -37.0), (15, 10.0)] {
                let start = chrono::NaiveDate::from_ymd_opt(2001, 1, 1)
                    .and_then(|day| day.and_hms_opt(0, 0, 0))
                    .expect("a date");
                let axis = Axis::of(start, offset, minutes);
                let n = 365 * 24 * 60 / minutes as usize;
                let suns = Suns::new(axis, n, shift, &place);
                for i in (0..n).step_by(7) {
                    #[allow(clippy::cast_precision_loss, reason = "number of an interval")]
                    let start_s = axis.first_unix_s + 60.0 * shift + i as f64 * axis.interval_s;
                    let exact = sun_in_interval(
                        Orbit::Real,
                        start_s,
                        axis.interval_s,
                        latitude_deg,
                        longitude_deg,
                    );
                    // In polar day `sun_in_interval` cuts the interval at solar midnight and takes the longer part.
                    let midnight = 12.0 - (suns.solar_hour[i] - 12.0).abs() < 0.5;
                    if midnight && exact.sunlit_frac > 0.0 {
                        continue;
                    }
                    let off = suns.cos_zenith[i] - exact.sun.cos_zenith();
                    assert!(off.abs() < COS_TOLERANCE, "{latitude_deg} {i}: {off}");
                    assert!((suns.sunlit_frac[i] - exact.sunlit_frac).abs() < 1e-12);
                }
            }
        }
    }
}
