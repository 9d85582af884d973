//! Moist air: saturation, humidity, latent heat, pressure and transport properties.

use crate::constants::{STANDARD_PRESSURE_PA, ZERO_CELSIUS_K};

/// Saturation vapour pressure over liquid water, Pa.
///
/// `ln p = C8/T + C9 + C10 T + C11 T² + C12 T³ + C13 ln T`, T in K.
///
/// Valid 0…200 °C; below 0 °C it continues as supercooled water, as meteorological dew points do.
///
/// Source: Hyland & Wexler (1983), as equation 6 of ASHRAE Fundamentals, *Psychrometrics*.
#[must_use]
pub fn saturation_pressure_pa(water_c: f64) -> f64 {
    let t = water_c + ZERO_CELSIUS_K;
    (-5.800_220_6e3 / t + 1.391_499_3 - 4.864_023_9e-2 * t + 4.176_476_8e-5 * t * t
        - 1.445_209_3e-8 * t * t * t
        + 6.545_967_3 * t.ln())
    .exp()
}

/// Saturation vapour pressure, Pa, and its slope with temperature, Pa/K.
///
/// The slope is the exact derivative of [`saturation_pressure_pa`].
#[must_use]
pub fn saturation_pressure_and_slope(water_c: f64) -> (f64, f64) {
    let t = water_c + ZERO_CELSIUS_K;
    let pressure_pa = saturation_pressure_pa(water_c);
    let log_slope = 5.800_220_6e3 / (t * t) - 4.864_023_9e-2 + 2.0 * 4.176_476_8e-5 * t
        - 3.0 * 1.445_209_3e-8 * t * t
        + 6.545_967_3 / t;
    (pressure_pa, pressure_pa * log_slope)
}

/// Latent heat of vaporisation, J/kg: `2500.8 − 2.36 t` kJ/kg.
///
/// Valid 0…40 °C, within 0.4 kJ/kg of IAPWS.
#[must_use]
pub fn latent_heat_j_kg(water_c: f64) -> f64 {
    2_500_800.0 - 2_360.0 * water_c
}

/// Atmospheric pressure at an altitude, Pa: `101325 (1 − 2.25577e-5 z)^5.2559`.
///
/// Valid −500…11 000 m. Source: ASHRAE Fundamentals, *Psychrometrics*, equation 3.
#[must_use]
pub fn pressure_at_altitude_pa(altitude_m: f64) -> f64 {
    STANDARD_PRESSURE_PA * (1.0 - 2.255_77e-5 * altitude_m).powf(5.255_9)
}
