//! Where the sun stands.

use crate::ephemeris::{Ephemeris, SECONDS_PER_DAY};

/// Total solar irradiance at one astronomical unit, W/m².
///
/// Source: International Astronomical Union (2015), Resolution B3, nominal total solar irradiance; it rounds
/// the satellite measurement of Kopp & Lean (2011), Geophys. Res. Lett. 38, L01706.
///
/// Differs: Duffie & Beckman's book prints the older 1367; their worked examples scale with the ratio.
pub const SOLAR_CONSTANT_W_M2: f64 = 1361.0;

/// Mean horizontal parallax of the sun, degrees (8.794 arc seconds).
///
/// Source: Reda & Andreas (2004), NREL/TP-560-34302, section 3.12.1.
const PARALLAX_DEG: f64 = 8.794 / 3600.0;

/// Days in the year of [`Orbit::CircularMeanTime`].
///
/// An even number of whole days, so that half a year is a whole number of days too.
pub const CIRCULAR_YEAR_DAYS: f64 = 364.0;

/// Obliquity of [`Orbit::CircularMeanTime`], degrees: that of the year 2000 (IAU 1980, as in Reda & Andreas 2004).
const CIRCULAR_OBLIQUITY_DEG: f64 = 23.439_291;

/// A March equinox that starts the year of [`Orbit::CircularMeanTime`]: 2001-03-20 13:30 UTC, in Unix seconds.
///
/// From memory, to the minute; nothing depends on it but the phase of a synthetic year.
const CIRCULAR_EQUINOX_UNIX_S: f64 = 985_095_000.0;

/// Where the sun stands at one moment, seen from one place, without refraction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunPosition {
    /// Angle between the sun's centre and the vertical, degrees, 0 to 180.
    pub zenith_deg: f64,
    /// Compass direction, degrees clockwise from true north, 0 to 360.
    pub azimuth_deg: f64,
    /// Distance of the earth from the sun, astronomical units.
    pub earth_sun_distance_au: f64,
    /// Apparent minus mean solar time, minutes.
    pub equation_of_time_minutes: f64,
    /// Angle between the sun and the plane of the equator, degrees, north positive, seen from the earth's centre.
    pub declination_deg: f64,
}

impl SunPosition {
    /// Cosine of the zenith angle; negative below the horizon.
    #[must_use]
    pub fn cos_zenith(&self) -> f64 {
        self.zenith_deg.to_radians().cos()
    }

    /// Height of the sun's centre above the horizon, degrees; negative below it.
    #[must_use]
    pub fn elevation_deg(&self) -> f64 {
        90.0 - self.zenith_deg
    }
}

/// Which motion of the earth to use.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Orbit {
    /// The real one.
    #[default]
    Real,
    /// A synthetic one for symmetry tests: a circular orbit run through in [`CIRCULAR_YEAR_DAYS`] days with the
    /// declination a pure sine of time, distance 1, equation of time 0 and no parallax.
    ///
    /// A place at the negated latitude sees, 182 whole days later, the mirror image of the same sky: the same
    /// zenith angle, the azimuth reflected from north to south (`180° − azimuth`).
    CircularMeanTime,
}

/// Where the sun stands, without refraction.
///
/// `unix_s`: seconds since 1970-01-01 00:00:00 UTC; `latitude_deg`: −90 to 90, north positive;
/// `longitude_deg`: −180 to 180, east positive. Valid for 1950 to 2050, there within 0.01° (great circle) of the
/// NREL solar position algorithm, as `tests/tests/sun.rs` shows; outside these years the error of the estimate of
/// TT − UT1 grows slowly.
///
/// Refraction is left out: it lifts the sun by 0.5° at the horizon and by 0.03° at 30°. The parallax of an observer
/// at the surface is included (it lowers the sun by up to 0.0024°); the earth is a sphere for it.
///
/// Source: see the module `ephemeris`; transformation to the horizon after Reda & Andreas (2004),
/// NREL/TP-560-34302, sections 3.11 to 3.14.
#[must_use]
pub fn sun_position(unix_s: f64, latitude_deg: f64, longitude_deg: f64) -> SunPosition {
    sun_position_on(Orbit::Real, unix_s, latitude_deg, longitude_deg)
}

/// Where the sun stands on a chosen [`Orbit`]; see [`sun_position`].
#[must_use]
pub fn sun_position_on(
    orbit: Orbit,
    unix_s: f64,
    latitude_deg: f64,
    longitude_deg: f64,
) -> SunPosition {
    place_in_sky(&celestial(orbit, unix_s), latitude_deg, longitude_deg).0
}

/// Irradiance outside the atmosphere on a plane facing the sun, W/m²: the solar constant over the distance squared.
///
/// Source: inverse square law; [`SOLAR_CONSTANT_W_M2`].
#[must_use]
pub fn extraterrestrial_normal_w_m2(earth_sun_distance_au: f64) -> f64 {
    SOLAR_CONSTANT_W_M2 / (earth_sun_distance_au * earth_sun_distance_au)
}

/// The sun at the representative moment of an interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunInInterval {
    /// The sun at the middle of the interval, or of its sunlit part when it rises or sets within it.
    pub sun: SunPosition,
    /// Share of the interval in which the sun's centre is above the geometric horizon: 0 at night, 1 by day.
    pub sunlit_frac: f64,
}

/// The sun at the middle of an interval, or of its sunlit part at sunrise and sunset.
///
/// `interval_s`: more than 0, up to one day. Rising and setting follow from the declination at the middle of the
/// interval, `cos ω = (sin π − sin φ sin δ)/(cos φ cos δ)` (π: parallax), which is within a few seconds for an hour.
/// Where the interval holds a sunset and the next sunrise, both parts count and the longer one gives the moment.
///
/// Source: Duffie & Beckman (2013), equation 1.6.10 (with the parallax added).
#[must_use]
pub fn sun_in_interval(
    orbit: Orbit,
    start_unix_s: f64,
    interval_s: f64,
    latitude_deg: f64,
    longitude_deg: f64,
) -> SunInInterval {
    let middle_s = start_unix_s + 0.5 * interval_s;
    let celestial = celestial(orbit, middle_s);
    let (sun, hour_angle_deg) = place_in_sky(&celestial, latitude_deg, longitude_deg);
    let day_half_width_deg = sunset_hour_angle_deg(&celestial, latitude_deg);
    let half_width_deg = 0.5 * interval_s * 360.0 / SECONDS_PER_DAY;
    let (from, to) = (
        hour_angle_deg - half_width_deg,
        hour_angle_deg + half_width_deg,
    );

    if from >= -day_half_width_deg && to <= day_half_width_deg {
        return SunInInterval {
            sun,
            sunlit_frac: 1.0,
        };
    }
    let (mut sunlit_deg, mut longest_deg, mut longest_middle_deg) = (0.0, 0.0, 0.0);
    for noon_deg in [-360.0, 0.0, 360.0] {
        let rise = from.max(noon_deg - day_half_width_deg);
        let set = to.min(noon_deg + day_half_width_deg);
        let length = set - rise;
        if length > 0.0 {
            sunlit_deg += length;
            if length > longest_deg {
                longest_deg = length;
                longest_middle_deg = 0.5 * (rise + set);
            }
        }
    }
    if sunlit_deg <= 0.0 {
        return SunInInterval {
            sun,
            sunlit_frac: 0.0,
        };
    }
    let moment_s = middle_s + (longest_middle_deg - hour_angle_deg) * SECONDS_PER_DAY / 360.0;
    SunInInterval {
        sun: sun_position_on(orbit, moment_s, latitude_deg, longitude_deg),
        sunlit_frac: (0.5 * sunlit_deg / half_width_deg).min(1.0),
    }
}

/// What does not depend on the place.
struct Celestial {
    sin_declination: f64,
    cos_declination: f64,
    /// Hour angle at longitude 0, degrees, west positive, −180 to 180.
    greenwich_hour_angle_deg: f64,
    distance_au: f64,
    equation_of_time_minutes: f64,
    parallax_rad: f64,
}

fn celestial(orbit: Orbit, unix_s: f64) -> Celestial {
    match orbit {
        Orbit::Real => {
            let e = Ephemeris::at(unix_s);
            let right_ascension_deg = e.right_ascension_deg();
            Celestial {
                sin_declination: e.sin_declination,
                cos_declination: (1.0 - e.sin_declination * e.sin_declination).sqrt(),
                greenwich_hour_angle_deg: half_turn_deg(e.sidereal_time_deg - right_ascension_deg),
                distance_au: e.distance_au,
                equation_of_time_minutes: 4.0
                    * half_turn_deg(e.mean_longitude_deg - right_ascension_deg),
                parallax_rad: (PARALLAX_DEG / e.distance_au).to_radians(),
            }
        }
        Orbit::CircularMeanTime => {
            let year_s = CIRCULAR_YEAR_DAYS * SECONDS_PER_DAY;
            // The second half of the year is the first one negated, to the last bit.
            let phase_s = (unix_s - CIRCULAR_EQUINOX_UNIX_S).rem_euclid(year_s);
            let (half_s, sign) = if phase_s < 0.5 * year_s {
                (phase_s, 1.0)
            } else {
                (phase_s - 0.5 * year_s, -1.0)
            };
            let declination_rad = sign
                * CIRCULAR_OBLIQUITY_DEG.to_radians()
                * (std::f64::consts::TAU * half_s / year_s).sin();
            let (sin_declination, cos_declination) = declination_rad.sin_cos();
            let second_of_day = unix_s.rem_euclid(SECONDS_PER_DAY);
            Celestial {
                sin_declination,
                cos_declination,
                greenwich_hour_angle_deg: second_of_day * 360.0 / SECONDS_PER_DAY - 180.0,
                distance_au: 1.0,
                equation_of_time_minutes: 0.0,
                parallax_rad: 0.0,
            }
        }
    }
}

/// The sun above a place, and its local hour angle in degrees (west positive, −180 to 180).
fn place_in_sky(c: &Celestial, latitude_deg: f64, longitude_deg: f64) -> (SunPosition, f64) {
    let (sin_latitude, cos_latitude) = latitude_deg.to_radians().sin_cos();
    let hour_angle_deg = half_turn_deg(c.greenwich_hour_angle_deg + longitude_deg);
    let (sin_hour, cos_hour) = hour_angle_deg.to_radians().sin_cos();

    // Unit vector to the sun: east, north, up.
    let east = -c.cos_declination * sin_hour;
    let north = cos_latitude * c.sin_declination - sin_latitude * c.cos_declination * cos_hour;
    let up = sin_latitude * c.sin_declination + cos_latitude * c.cos_declination * cos_hour;
    let across = (east * east + north * north).sqrt();
    let zenith_rad = across.atan2(up) + c.parallax_rad * across;

    let sun = SunPosition {
        zenith_deg: zenith_rad.to_degrees(),
        azimuth_deg: whole_turn_deg(east.atan2(north).to_degrees()),
        earth_sun_distance_au: c.distance_au,
        equation_of_time_minutes: c.equation_of_time_minutes,
        declination_deg: c.sin_declination.asin().to_degrees(),
    };
    (sun, hour_angle_deg)
}

/// Hour angle of sunset, degrees: 0 in polar night, 180 in polar day.
fn sunset_hour_angle_deg(c: &Celestial, latitude_deg: f64) -> f64 {
    let (sin_latitude, cos_latitude) = latitude_deg.to_radians().sin_cos();
    let numerator = c.parallax_rad - sin_latitude * c.sin_declination;
    let denominator = cos_latitude * c.cos_declination;
    if denominator <= numerator {
        0.0
    } else if numerator <= -denominator {
        180.0
    } else {
        (numerator / denominator).acos().to_degrees()
    }
}

/// Apparent solar time, hours from midnight, 0 to 24.
///
/// `sun` must be the position at `unix_s`. Source: definition of the equation of time.
#[must_use]
pub fn solar_hour(unix_s: f64, longitude_deg: f64, sun: &SunPosition) -> f64 {
    let universal_h = unix_s.rem_euclid(SECONDS_PER_DAY) / 3600.0;
    (universal_h + longitude_deg / 15.0 + sun.equation_of_time_minutes / 60.0).rem_euclid(24.0)
}

/// Brings an angle into −180…180°.
fn half_turn_deg(angle_deg: f64) -> f64 {
    whole_turn_deg(angle_deg + 180.0) - 180.0
}

/// Brings an angle into 0…360°.
fn whole_turn_deg(angle_deg: f64) -> f64 {
    angle_deg - 360.0 * (angle_deg / 360.0).floor()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two evaluations of the same formula: rounding only.
    const ROUNDING: f64 = 1e-9;
    const DAY_S: f64 = 86_400.0;

    #[test]
    fn the_circular_year_is_mirrored_exactly() {
        for hour in 0..(24 * 30) {
            let t = 980_000_000.0 + f64::from(hour) * 12.3 * 3600.0;
            let here = sun_position_on(Orbit::CircularMeanTime, t, 38.0, -12.0);
            let there = sun_position_on(Orbit::CircularMeanTime, t + 182.0 * DAY_S, -38.0, -12.0);
            assert!((here.zenith_deg - there.zenith_deg).abs() < ROUNDING);
            assert!((here.declination_deg + there.declination_deg).abs() < ROUNDING);
            let reflected = whole_turn_deg(180.0 - here.azimuth_deg);
            assert!(half_turn_deg(reflected - there.azimuth_deg).abs() < ROUNDING);
        }
    }

    #[test]
    fn intervals_mirror_too() {
        for hour in 0..(24 * 40) {
            let t = 980_002_800.0 + f64::from(hour) * 3600.0 * 9.0;
            let here = sun_in_interval(Orbit::CircularMeanTime, t, 3600.0, 61.0, 5.0);
            let there = sun_in_interval(
                Orbit::CircularMeanTime,
                t + 182.0 * DAY_S,
                3600.0,
                -61.0,
                5.0,
            );
            assert!((here.sunlit_frac - there.sunlit_frac).abs() < ROUNDING);
            assert!((here.sun.zenith_deg - there.sun.zenith_deg).abs() < ROUNDING);
        }
    }

    #[test]
    fn sunlit_parts_add_up_to_the_day_and_hold_the_sun() {
        // Day length of 2024-05-10 at 50 N, 10 E by the hour and by the minute must agree.
        let start = 1_715_299_200.0;
        let lit = |step: f64, n: i32| -> f64 {
            (0..n)
                .map(|i| {
                    let s =
                        sun_in_interval(Orbit::Real, start + f64::from(i) * step, step, 50.0, 10.0);
                    if s.sunlit_frac > 0.0 {
                        assert!(s.sun.zenith_deg < 90.001, "sunlit with the sun below");
                    } else {
                        assert!(s.sun.zenith_deg > 89.999, "dark with the sun above");
                    }
                    s.sunlit_frac * step
                })
                .sum()
        };
        // The declination drifts by 0.01° an hour: a few seconds of day length.
        assert!((lit(3600.0, 24) - lit(60.0, 1440)).abs() < 10.0);
    }

    #[test]
    fn polar_day_and_night() {
        let midsummer = 1_718_928_000.0; // 2024-06-21 00:00 UTC
        for hour in 0..24 {
            let t = midsummer + f64::from(hour) * 3600.0;
            let north = sun_in_interval(Orbit::Real, t, 3600.0, 80.0, 0.0).sunlit_frac;
            let south = sun_in_interval(Orbit::Real, t, 3600.0, -80.0, 0.0).sunlit_frac;
            assert!((north - 1.0).abs() < ROUNDING && south.abs() < ROUNDING);
        }
        for latitude in [-90.0, 90.0] {
            let s = sun_in_interval(Orbit::Real, midsummer, 3600.0, latitude, 0.0);
            assert!(s.sun.zenith_deg.is_finite());
        }
    }

    #[test]
    fn an_interval_with_sunset_and_sunrise_counts_both() {
        // 65.9 N at midsummer: the sun's centre dips below the geometric horizon for a while around midnight.
        let near_midnight = 1_718_927_400.0; // 2024-06-20 23:50 UTC, lon 0
        let s = sun_in_interval(Orbit::Real, near_midnight - 5400.0, 10_800.0, 65.9, 0.0);
        assert!(
            s.sunlit_frac > 0.05 && s.sunlit_frac < 1.0,
            "{}",
            s.sunlit_frac
        );
        assert!(s.sun.zenith_deg < 90.0);
    }
}
