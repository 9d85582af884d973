//! The sun seen from the earth's centre: a shortened planetary theory.
//!
//! Sources: the terms are those of tables A4.2 and A4.3 of Reda & Andreas (2004), *Solar position algorithm for solar
//! radiation applications*, NREL/TP-560-34302, which are the largest of VSOP87 (Bretagnon & Francou 1988); the
//! largest are kept here. Dropping the rest costs at most 0.0016° of longitude in 1950–2050 (compared with all the
//! terms of the table at 98 700 moments).

/// 2000-01-01 12:00 in seconds since 1970-01-01 00:00 (same time scale).
pub(crate) const J2000_UNIX_S: f64 = 946_728_000.0;

/// Seconds in a mean solar day.
pub(crate) const SECONDS_PER_DAY: f64 = 86_400.0;

const DAYS_PER_CENTURY: f64 = 36_525.0;

/// Terms of the longitude: amplitude (1e-8 rad), phase (rad), rate (rad per Julian millennium).
/// Source: Reda & Andreas (2004), table A4.2, L0, rows 1 to 15 (row 0 is the constant).
const LONGITUDE_0: [(f64, f64, f64); 15] = [
    (3_341_656.0, 4.669_256_8, 6_283.075_85),
    (34_894.0, 4.6261, 12_566.151_7),
    (3_497.0, 2.7441, 5_753.384_9),
    (3_418.0, 2.8289, 3.523_1),
    (3_136.0, 3.6277, 77_713.771_5),
    (2_676.0, 4.4181, 7_860.419_4),
    (2_343.0, 6.1352, 3_930.209_7),
    (1_324.0, 0.7425, 11_506.769_8),
    (1_273.0, 2.0371, 529.691),
    (1_199.0, 1.1096, 1_577.343_5),
    (990.0, 5.233, 5_884.927),
    (902.0, 2.045, 26.298),
    (857.0, 3.508, 398.149),
    (780.0, 1.179, 5_223.694),
    (753.0, 2.533, 5_507.553),
];

/// Same table, L1, rows 1 and 2.
const LONGITUDE_1: [(f64, f64, f64); 2] = [
    (206_059.0, 2.678_235, 6_283.075_85),
    (4_303.0, 2.6351, 12_566.151_7),
];

/// Terms of the distance: amplitude (1e-8 AU), phase, rate. Source: table A4.3, R0, rows 1 to 3.
const DISTANCE_0: [(f64, f64, f64); 3] = [
    (1_670_700.0, 3.098_463_5, 6_283.075_85),
    (13_956.0, 3.055_25, 12_566.151_7),
    (3_084.0, 5.1985, 77_713.771_5),
];

/// Same table, R1, row 0.
const DISTANCE_1: [(f64, f64, f64); 1] = [(103_019.0, 1.107_49, 6_283.075_85)];

/// The sun's apparent place.
pub(crate) struct Ephemeris {
    /// `sin ε sin λ`.
    pub(crate) sin_declination: f64,
    /// Proportional to the cosine and sine of the right ascension.
    right_ascension: (f64, f64),
    pub(crate) distance_au: f64,
    /// Mean longitude of the sun less aberration, plus the equation of the equinoxes.
    pub(crate) mean_longitude_deg: f64,
    /// Apparent sidereal time at Greenwich.
    pub(crate) sidereal_time_deg: f64,
}

impl Ephemeris {
    /// The sun's apparent place at a moment.
    ///
    /// Source: Reda & Andreas (2004), sections 3.2 to 3.9; nutation shortened to the terms of Meeus, *Astronomical
    /// Algorithms* (1998), chapter 22, "an accuracy of 0.5 arc second" (as remembered; the comparison in
    /// `tests/tests/sun.rs` would show an error).
    pub(crate) fn at(unix_s: f64) -> Self {
        let days = (unix_s - J2000_UNIX_S) / SECONDS_PER_DAY;
        let centuries_ut = days / DAYS_PER_CENTURY;
        let centuries =
            centuries_ut + tt_minus_ut_s(centuries_ut) / (SECONDS_PER_DAY * DAYS_PER_CENTURY);
        let t = centuries / 10.0;

        // Heliocentric longitude of the earth, turned round.
        let longitude = 1.753_470_46
            + std::f64::consts::PI
            + 1e-8
                * (sum(&LONGITUDE_0, t)
                    + t * (628_331_966_747.0 + sum(&LONGITUDE_1, t))
                    + t * t * 52_919.0);
        let distance_au = 1.000_139_89 + 1e-8 * (sum(&DISTANCE_0, t) + t * sum(&DISTANCE_1, t));
        let aberration_deg = 20.4898 / (3600.0 * distance_au);

        // Mean longitudes of sun and moon and the moon's node, for the nutation.
        let mean_longitude_deg =
            280.466_456_7 + t * (360_007.698_277_9 + t * (0.030_320_28 + t / 49_931.0));
        let node = (125.044_52 - 1_934.136_261 * centuries).to_radians();
        let twice_sun = 2.0 * mean_longitude_deg.to_radians();
        let twice_moon = 2.0 * (218.3165 + 481_267.881_3 * centuries).to_radians();
        let nutation_deg = (-17.20 * sine(node) - 1.32 * sine(twice_sun) - 0.23 * sine(twice_moon)
            + 0.21 * sine(2.0 * node))
            / 3600.0;
        let obliquity_change_deg = -46.8150 / 3600.0 * centuries
            + (9.20 * cosine(node) + 0.57 * cosine(twice_sun) + 0.10 * cosine(twice_moon)) / 3600.0;

        let apparent = longitude + (nutation_deg - aberration_deg).to_radians();
        let (sin_longitude, cos_longitude) = apparent.sin_cos();
        // The obliquity stays within 0.01° of that of 2000: the third order is below 1e-11.
        let change = obliquity_change_deg.to_radians();
        let (sin_2000, cos_2000) = OBLIQUITY_2000_SIN_COS;
        let sin_obliquity = sin_2000 + change * (cos_2000 - 0.5 * change * sin_2000);
        let cos_obliquity = cos_2000 - change * (sin_2000 + 0.5 * change * cos_2000);
        let equinoxes_deg = nutation_deg * cos_obliquity;

        Self {
            sin_declination: sin_obliquity * sin_longitude,
            right_ascension: (cos_longitude, cos_obliquity * sin_longitude),
            distance_au,
            // 0.0057183°: the constant part of the aberration, as in section A.1 of the report.
            mean_longitude_deg: mean_longitude_deg - 0.005_718_3 + equinoxes_deg,
            sidereal_time_deg: 280.460_618_37
                + 360.985_647_366_29 * days
                + 0.000_387_933 * centuries_ut * centuries_ut
                + equinoxes_deg,
        }
    }

    /// Right ascension, degrees, −180 to 180.
    pub(crate) fn right_ascension_deg(&self) -> f64 {
        let (cosine, sine) = self.right_ascension;
        sine.atan2(cosine).to_degrees()
    }
}

/// Terrestrial minus universal time, s, for 1950–2050: `62.0 + 60.5 T`, T in centuries from 2000.
///
/// A straight line through the values of Espenak & Meeus (2006), *Five Millennium Canon of Solar Eclipses*,
/// NASA/TP-2006-214141, for 1950–2005 and their forecast for 2050, and 69 s for 2024 (IERS), all from memory; within
/// 8 s of them. A second moves the sun by
/// 1.1e-5°, so the line costs less than 1e-4°.
fn tt_minus_ut_s(centuries: f64) -> f64 {
    62.0 + 60.5 * centuries
}

/// Sine and cosine of the mean obliquity of 2000, 23.4392911° (Reda & Andreas 2004, section 3.5).
const OBLIQUITY_2000_SIN_COS: (f64, f64) = (0.397_777_155_753_990, 0.917_482_062_146_321);

/// The cosines first, so that they can be computed side by side.
fn sum<const N: usize>(terms: &[(f64, f64, f64); N], t: f64) -> f64 {
    terms
        .map(|(amplitude, phase, rate)| amplitude * cosine(phase + rate * t))
        .into_iter()
        .sum()
}

/// Cosine within 1e-9 for |angle| below 1e5 rad, about twice as fast as the library's: enough for terms of at most 0.034 rad.
///
/// The angle is brought into half a turn around 0, `cos x = sin(π/2 − |x|)`, and the sine's Taylor series is taken to
/// the 13th power (the next term is 6.7e-10 at π/2).
#[inline]
fn cosine(angle_rad: f64) -> f64 {
    // Adding and taking away 1.5·2^52 rounds to the nearest whole number, without a call.
    const ROUND: f64 = 6_755_399_441_055_744.0;
    let turns = angle_rad * std::f64::consts::FRAC_1_PI * 0.5;
    let part = turns - ((turns + ROUND) - ROUND);
    let y = std::f64::consts::TAU * (0.25 - part.abs());
    let square = y * y;
    let series = 1.0 / 39_916_800.0 - square / 6_227_020_800.0;
    let series = 1.0 / 362_880.0 - square * series;
    let series = 1.0 / 5_040.0 - square * series;
    let series = 1.0 / 120.0 - square * series;
    let series = 1.0 / 6.0 - square * series;
    y * (1.0 - square * series)
}

/// Sine, as [`cosine`].
#[inline]
fn sine(angle_rad: f64) -> f64 {
    cosine(angle_rad - std::f64::consts::FRAC_PI_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fast_cosine_is_the_cosine() {
        /// Truncated Taylor series, and the rounding of angles of some thousand radians.
        const TOLERANCE: f64 = 1e-9;
        let mut angle = -5000.0;
        while angle < 5000.0 {
            assert!((cosine(angle) - angle.cos()).abs() < TOLERANCE, "{angle}");
            assert!((sine(angle) - angle.sin()).abs() < TOLERANCE, "{angle}");
            angle += 0.037;
        }
    }

    #[test]
    fn the_obliquity_of_2000() {
        let (sin, cos) = 23.439_291_1_f64.to_radians().sin_cos();
        assert!((sin - OBLIQUITY_2000_SIN_COS.0).abs() < 1e-9);
        assert!((cos - OBLIQUITY_2000_SIN_COS.1).abs() < 1e-9);
    }
}
