//! Wind measured at another height than 10 m.

/// Heights of an anemometer that are converted, `(low, high, unit)`: below, the law says little; above, it was not fitted.
pub(crate) const HEIGHT: (f64, f64, &str) = (1.0, 100.0, "m above the ground");

/// Height of the wind in a weather year, m.
const STATION_HEIGHT_M: f64 = 10.0;

/// The wind at 10 m as a multiple of the wind at another height over short grass.
///
/// `u₁₀ / u_z = ln(67.8 · 10 − 5.42) / ln(67.8 z − 5.42)`
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | z | `height_m` | m | 1 to 100, see [`HEIGHT`] |
///
/// Outside the range the reader refuses the file.
///
/// Source: Allen, Pereira, Raes & Smith (1998), *Crop evapotranspiration*, FAO Irrigation and drainage paper 56, equation 47
/// (from memory), which gives the wind at 2 m; used twice here. Differs: over anything rougher than short grass the factor from 2 m is larger.
pub(crate) fn to_station_height(height_m: f64) -> f64 {
    let log = |z: f64| (67.8 * z - 5.42).ln();
    log(STATION_HEIGHT_M) / log(height_m)
}

/// The note of a wind that was brought from `height_m` to 10 m; `None` where it was measured there.
pub(crate) fn brought(height_m: f64) -> Option<String> {
    ((height_m - STATION_HEIGHT_M).abs() > f64::EPSILON).then(|| {
        format!(
            "wind at {height_m} m brought to 10 m by the logarithmic law over short grass (times {:.3})",
            to_station_height(height_m)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FAO 56, example 14 (from memory): 3.2 m/s at 10 m are 2.4 m/s at 2 m, with the factor rounded to 0.75.
    #[test]
    fn the_sources_example_comes_out() {
        const TWO_DIGITS: f64 = 0.005;
        assert!((1.0 / to_station_height(2.0) - 0.75).abs() < TWO_DIGITS);
    }

    /// FAO 56, annex 2, table 2.9 (from memory): factors to 2 m from 1 m and 10 m, 1.178 and 0.748.
    #[test]
    fn the_sources_table_comes_out() {
        const THREE_DIGITS: f64 = 0.0005;
        let to_2_m = |z: f64| to_station_height(z) / to_station_height(2.0);
        assert!((to_2_m(1.0) - 1.178).abs() < THREE_DIGITS);
        assert!((to_2_m(10.0) - 0.748).abs() < THREE_DIGITS);
        assert!((to_station_height(10.0) - 1.0).abs() < f64::EPSILON);
    }

    #[test]
    fn the_higher_the_anemometer_the_smaller_the_factor() {
        let factors: Vec<f64> = (1..=100).map(|z| to_station_height(f64::from(z))).collect();
        assert!(
            factors
                .windows(2)
                .all(|pair| pair[1] < pair[0] && pair[1] > 0.0)
        );
    }
}
