//! Sun absorbed by the water by code of our own: the NREL sun of another crate, bounces followed one by one.

use solar_positioning::time::JulianDate;
use solar_positioning::{Location, SolarPositions};

/// Refractive index of water (from memory) and TT − UTC around 2001…2021, s (a second moves the sun by 1e-5°).
const WATER_INDEX: f64 = 1.333;
const DELTA_T_S: f64 = 66.0;
const JULIAN_1970: f64 = 2_440_587.5;
/// Rabl & Nielsen (1975), Solar Energy 17:1 (from memory): share and attenuation, 1/m; the rest stays in the first millimetre.
const BANDS: [(f64, f64); 4] = [(0.237, 0.032), (0.193, 0.45), (0.167, 3.0), (0.179, 35.0)];
/// Positions within an interval over which the sun's height is averaged.
const MOMENTS: u32 = 12;
/// Directions of the dome.
const DIRECTIONS: u32 = 1000;
/// Light that has bounced so often is gone.
const BOUNCES: u32 = 200;

/// Reflectance of a smooth surface, by angles and Fresnel's sines and tangents.
fn reflectance(cos: f64) -> f64 {
    let a = cos.clamp(1e-9, 1.0 - 1e-12).acos();
    let b = (a.sin() / WATER_INDEX).asin();
    let s = ((a - b).sin() / (a + b).sin()).powi(2);
    let p = ((a - b).tan() / (a + b).tan()).powi(2);
    0.5 * (s + p)
}

/// A pool as light sees it.
pub(crate) struct Basin {
    floor_reflectance: f64,
    depth_m: f64,
    pub(crate) diffuse_frac: f64,
    pub(crate) below_cover_frac: f64,
    pub(crate) diffuse_reflectance: f64,
}

impl Basin {
    pub(crate) fn new(floor_reflectance: f64, depth_m: f64) -> Self {
        let mut basin = Self {
            floor_reflectance,
            depth_m,
            diffuse_frac: 0.0,
            below_cover_frac: 0.0,
            diffuse_reflectance: 0.0,
        };
        let (mut kept, mut reflected) = (0.0, 0.0);
        for i in 0..DIRECTIONS {
            let cos = (f64::from(i) + 0.5) / f64::from(DIRECTIONS);
            let weight = 2.0 * cos / f64::from(DIRECTIONS);
            kept += weight * basin.beam_frac(cos);
            reflected += weight * reflectance(cos);
        }
        basin.diffuse_frac = kept;
        basin.diffuse_reflectance = reflected;
        basin.below_cover_frac = kept / (1.0 - reflected);
        basin
    }

    /// Share of a beam at this cosine that stays: each bounce between floor and surface followed.
    pub(crate) fn beam_frac(&self, cos: f64) -> f64 {
        if cos <= 0.0 {
            return 0.0;
        }
        // Diffuse light from below: what is not let out is reflected; n² of reciprocity with 0.0664 from above.
        let critical_cos = (1.0 - 1.0 / (WATER_INDEX * WATER_INDEX)).sqrt();
        let let_out = (1.0 - 0.0664) / (WATER_INDEX * WATER_INDEX);
        let out_secant = 2.0 / (1.0 + critical_cos);
        let back_secant = 2.0 / critical_cos;
        let inside = (1.0 - (1.0 - cos * cos) / (WATER_INDEX * WATER_INDEX)).sqrt();
        let mut left = 0.0;
        for (share, per_m) in BANDS {
            let through = |secant: f64| (-per_m * self.depth_m * secant).exp();
            let mut down = share * through(1.0 / inside);
            for _ in 0..BOUNCES {
                let up = down * self.floor_reflectance;
                left += up * through(out_secant) * let_out;
                down = up * through(back_secant) * (1.0 - let_out) * through(back_secant);
            }
        }
        (1.0 - reflectance(cos)) * (1.0 - left)
    }

    /// Share of the beam that a smooth surface lets in.
    pub(crate) fn let_in_frac(cos: f64) -> f64 {
        1.0 - reflectance(cos)
    }
}

/// Cosines of the zenith angle at moments within one interval; below 0 with the sun down.
pub(crate) fn cosines(
    sun: &SolarPositions,
    start_unix_s: f64,
    interval_s: f64,
    place: (f64, f64),
) -> Vec<f64> {
    let location = Location {
        latitude: place.0,
        longitude: place.1,
    };
    (0..MOMENTS)
        .map(|k| {
            let at = start_unix_s + interval_s * (f64::from(k) + 0.5) / f64::from(MOMENTS);
            let julian = JulianDate::new(JULIAN_1970 + at / 86_400.0, DELTA_T_S).expect("a date");
            let time = sun.for_time_from_julian(julian).expect("a time in range");
            let position = time.at(location, 0.0, None).expect("a place on earth");
            position.zenith_angle().to_radians().cos()
        })
        .collect()
}

/// Mean of `of` over the sunlit cosines, weighted by them, as a beam lies on the water.
pub(crate) fn over_beam(cosines: &[f64], of: impl Fn(f64) -> f64) -> f64 {
    let up = || cosines.iter().filter(|c| **c > 0.0);
    let weight: f64 = up().sum();
    if weight > 0.0 {
        up().map(|c| c * of(*c)).sum::<f64>() / weight
    } else {
        0.0
    }
}
