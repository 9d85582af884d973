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
        let (sin_node, cos_node) = (125.044_52 - 1_934.136_261 * centuries)
            .to_radians()
            .sin_cos();
        let (sin_2_sun, cos_2_sun) = (2.0 * mean_longitude_deg).to_radians().sin_cos();
        let (sin_2_moon, cos_2_moon) = (2.0 * (218.3165 + 481_267.8813 * centuries))
            .to_radians()
            .sin_cos();
        let sin_2_node = 2.0 * sin_node * cos_node;
        let nutation_deg =
            (-17.20 * sin_node - 1.32 * sin_2_sun - 0.23 * sin_2_moon + 0.21 * sin_2_node) / 3600.0;
        let obliquity_deg = 23.439_291_1 - 46.8150 / 3600.0 * centuries
            + (9.20 * cos_node + 0.57 * cos_2_sun + 0.10 * cos_2_moon) / 3600.0;

        let apparent = longitude + (nutation_deg - aberration_deg).to_radians();
        let (sin_longitude, cos_longitude) = apparent.sin_cos();
        let (sin_obliquity, cos_obliquity) = obliquity_deg.to_radians().sin_cos();
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
/// NASA/TP-2006-214141, for 1950–2005 and their forecast for 2050, and 69 s for 2024 (IERS); within 8 s of them. A second moves the sun by
/// 1.1e-5°, so the line costs less than 1e-4°.
fn tt_minus_ut_s(centuries: f64) -> f64 {
    62.0 + 60.5 * centuries
}

fn sum(terms: &[(f64, f64, f64)], t: f64) -> f64 {
    terms
        .iter()
        .map(|&(amplitude, phase, rate)| amplitude * (phase + rate * t).cos())
        .sum()
}
