//! How much air the beam passes through.

/// Constants `a`, `b`, `c` of Kasten & Young (1989), table II (revised optical air mass).
const KASTEN_YOUNG: (f64, f64, f64) = (0.505_72, 6.079_95, 1.6364);

/// How far the atmosphere lifts the sun, degrees, at a true elevation in degrees, for 1010 hPa and 10 °C.
///
/// `R = 1.02' / tan(h + 10.3/(h + 5.11))`, h: true elevation in degrees.
///
/// Meant for elevations from −1°; below −1° the value at −1° is returned (the formula has a pole at −5.11°).
///
/// Source: Sæmundsson (1986), Sky & Telescope 72:70, as used by Reda & Andreas (2004), NREL/TP-560-34302, equation 42.
#[must_use]
pub fn refraction_deg(true_elevation_deg: f64) -> f64 {
    let h = true_elevation_deg.max(-1.0);
    (1.02 / 60.0 / (h + 10.3 / (h + 5.11)).to_radians().tan()).max(0.0)
}

/// Relative optical air mass (1 with the sun overhead), dimensionless, from the zenith angle *without* refraction.
///
/// `m = 1 / (sin γ + a (γ + b)^−c)`, γ: apparent elevation in degrees.
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | 90° − γ | `zenith_deg` + refraction | degree | 0 to 90 apparent |
///
/// The formula takes the apparent (refracted) elevation: [`refraction_deg`] is added inside. With the sun below the
/// apparent horizon the air mass of the horizon (about 38) is returned: what light there is comes past it.
///
/// Source: Kasten & Young (1989), *Revised optical air mass tables and approximation formula*, Applied Optics
/// 28:4735, equation 3.
///
/// ```
/// // At the horizon the formula is 1/(0.50572 · 6.07995^−1.6364) = 37.92 (by hand).
/// let horizon = swimdays_solar::relative_air_mass(91.0);
/// assert!((horizon - 37.92).abs() < 0.01);
/// ```
#[must_use]
pub fn relative_air_mass(zenith_deg: f64) -> f64 {
    let elevation_deg = 90.0 - zenith_deg;
    let apparent_deg = (elevation_deg + refraction_deg(elevation_deg)).clamp(0.0, 90.0);
    let (a, b, c) = KASTEN_YOUNG;
    1.0 / (apparent_deg.to_radians().sin() + a * (apparent_deg + b).powf(-c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn air_mass_grows_to_the_horizon_and_stays() {
        let mut last = 0.0;
        for tenth in 0..=950 {
            let m = relative_air_mass(f64::from(tenth) / 10.0);
            assert!(
                m >= last && m.is_finite(),
                "zenith {}",
                f64::from(tenth) / 10.0
            );
            last = m;
        }
    }

    #[test]
    fn near_the_secant_when_high() {
        // A flat atmosphere gives 1/cos z: the curved one falls 0.3 % below it at 60°.
        for zenith in [0.0_f64, 20.0, 40.0, 60.0] {
            let secant = 1.0 / zenith.to_radians().cos();
            assert!((relative_air_mass(zenith) / secant - 1.0).abs() < 0.004);
        }
    }

    #[test]
    fn refraction_at_the_horizon_is_about_half_a_degree() {
        // 29' at a true elevation of 0 (Sæmundsson's formula; the apparent horizon has 34' at true −34').
        assert!((refraction_deg(0.0) * 60.0 - 28.98).abs() < 0.5);
        assert!(refraction_deg(90.0) < 1e-4);
        assert!(refraction_deg(-40.0).is_finite());
    }
}
