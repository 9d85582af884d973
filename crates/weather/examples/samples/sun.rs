//! Where the sun stands: the short series published by NOAA's solar calculator (after Meeus, *Astronomical
//! Algorithms*), good to about 0.01°. Self-contained, so that the samples depend on no other part of the program.

/// The sun in one interval.
pub(crate) struct SunlitPart {
    /// Share of the interval with the sun above the horizon.
    pub(crate) frac: f64,
    /// Cosine of the zenith angle at the middle of that part.
    pub(crate) cos_zenith: f64,
    /// Extraterrestrial irradiance normal to the beam, W/m².
    pub(crate) extraterrestrial_w_m2: f64,
}

/// Total solar irradiance at 1 au, W/m² (Kopp & Lean 2011).
const SOLAR_CONSTANT_W_M2: f64 = 1361.0;

/// Days from noon of 1 January 2000 (J2000) to midnight of 1 January 2001.
const J2000_TO_2001_D: f64 = 365.5;

struct Sun {
    declination: f64,
    equation_of_time_min: f64,
    distance_au: f64,
}

fn sun(days_utc: f64) -> Sun {
    let t = (J2000_TO_2001_D + days_utc) / 36_525.0;
    let mean_longitude = (280.466_46 + t * (36_000.769_83 + t * 0.000_303_2)).to_radians();
    let anomaly = (357.529_11 + t * (35_999.050_29 - 0.000_153_7 * t)).to_radians();
    let eccentricity = 0.016_708_634 - t * (0.000_042_037 + 0.000_000_126_7 * t);
    let centre = anomaly.sin() * (1.914_602 - t * (0.004_817 + 0.000_014 * t))
        + (2.0 * anomaly).sin() * (0.019_993 - 0.000_101 * t)
        + (3.0 * anomaly).sin() * 0.000_289;
    let node = (125.04 - 1_934.136 * t).to_radians();
    let longitude = mean_longitude + (centre - 0.005_69 - 0.004_78 * node.sin()).to_radians();
    let true_anomaly = anomaly + centre.to_radians();
    let obliquity = (23.439_291 - 0.013_004_2 * t + 0.002_56 * node.cos()).to_radians();
    let y = (obliquity / 2.0).tan().powi(2);
    let equation = y * (2.0 * mean_longitude).sin() - 2.0 * eccentricity * anomaly.sin()
        + 4.0 * eccentricity * y * anomaly.sin() * (2.0 * mean_longitude).cos()
        - 0.5 * y * y * (4.0 * mean_longitude).sin()
        - 1.25 * eccentricity * eccentricity * (2.0 * anomaly).sin();
    Sun {
        declination: (obliquity.sin() * longitude.sin()).asin(),
        equation_of_time_min: 4.0 * equation.to_degrees(),
        distance_au: 1.000_001_018 * (1.0 - eccentricity * eccentricity)
            / (1.0 + eccentricity * true_anomaly.cos()),
    }
}

/// The sun in hour `hour` of 2001 (0 is 00:00 to 01:00 of 1 January, local standard time).
pub(crate) fn sunlit_part(
    hour: usize,
    latitude_deg: f64,
    longitude_deg: f64,
    utc_offset_h: f64,
) -> SunlitPart {
    #[allow(clippy::cast_precision_loss, reason = "hours of a year")]
    let from = hour as f64;
    let middle = sun((from + 0.5 - utc_offset_h) / 24.0);
    let latitude = latitude_deg.to_radians();
    let noon = 12.0 + utc_offset_h - longitude_deg / 15.0 - middle.equation_of_time_min / 60.0;
    let cos_sunset = -latitude.tan() * middle.declination.tan();
    let half_day_h = cos_sunset.clamp(-1.0, 1.0).acos().to_degrees() / 15.0;
    let in_day = from.rem_euclid(24.0);
    let begin = in_day.max(noon - half_day_h);
    let end = (in_day + 1.0).min(noon + half_day_h);
    let frac = (end - begin).max(0.0);
    let at = 0.5 * (begin + end);
    let then = sun((from - in_day + at - utc_offset_h) / 24.0);
    let noon = 12.0 + utc_offset_h - longitude_deg / 15.0 - then.equation_of_time_min / 60.0;
    let hour_angle = (15.0 * (at - noon)).to_radians();
    SunlitPart {
        frac,
        cos_zenith: latitude.sin() * then.declination.sin()
            + latitude.cos() * then.declination.cos() * hour_angle.cos(),
        extraterrestrial_w_m2: SOLAR_CONSTANT_W_M2 / (then.distance_au * then.distance_au),
    }
}
