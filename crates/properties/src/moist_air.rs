//! Moist air: saturation, humidity, latent heat, pressure and transport properties.

use crate::constants::{
    DRY_AIR_GAS_J_KG_K, STANDARD_PRESSURE_PA, WATER_TO_AIR_MOLAR_MASS, ZERO_CELSIUS_K,
};
use crate::elementary::{exp, exp_within};
use crate::real::Real;

/// Range of [`saturation_pressure_pa`] that is checked, °C: supercooled water to the boiling point.
pub const SATURATION_RANGE_C: (f64, f64) = (-40.0, 100.0);

/// Range of the transport properties of dry air, °C.
pub const AIR_TRANSPORT_RANGE_C: (f64, f64) = (-40.0, 150.0);

/// Logarithm of the saturation pressure in Pa, and its slope, 1/K.
#[inline(always)]
fn log_saturation<R: Real>(water_c: R) -> (R, R) {
    // ln T = ln T₀ + 2 artanh((T − T₀)/(T + T₀)): within 2e-11 from −60 to 110 °C, and no call to the platform.
    const T0: f64 = 298.15;
    const LN_T0: f64 = 5.697_596_715_569_115;
    let t = water_c + ZERO_CELSIUS_K;
    // One division for 1/T and for z.
    let both = t.like(1.0) / (t * (t + T0));
    let inverse = both * (t + T0);
    let z = (t - T0) * t * both;
    let z2 = z * z;
    let z4 = z2 * z2;
    // z²/3 + z⁴/5 + z⁶/7 + z⁸/9 + z¹⁰/11, in pairs so that the products do not wait for each other.
    let series = z2 * (z2 * (1.0 / 5.0) + 1.0 / 3.0)
        + z2 * z4 * ((z2 * (1.0 / 9.0) + 1.0 / 7.0) + z4 * (1.0 / 11.0));
    let ln_ratio = z * 2.0 * (series + 1.0);
    let log = (-(inverse * 5.800_220_6e3) + (1.391_499_3 + 6.545_967_3 * LN_T0))
        + t * (t * (-(t * 1.445_209_3e-8) + 4.176_476_8e-5) - 4.864_023_9e-2)
        + ln_ratio * 6.545_967_3;
    let slope = inverse * (inverse * 5.800_220_6e3 + 6.545_967_3) - 4.864_023_9e-2
        + t * (-(t * 3.0 * 1.445_209_3e-8) + 2.0 * 4.176_476_8e-5);
    (log, slope)
}

/// Saturation vapour pressure over liquid water, Pa.
///
/// `ln p = C8/T + C9 + C10 T + C11 T² + C12 T³ + C13 ln T`, T in K.
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `water_c` | temperature | °C | 0…200 (checked: [`SATURATION_RANGE_C`]) |
///
/// Below 0 °C it continues as supercooled water, as meteorological dew points do.
///
/// Source: Hyland & Wexler (1983), as equation 6 of ASHRAE Fundamentals, *Psychrometrics*.
///
/// ```
/// let p = swimdays_properties::moist_air::saturation_pressure_pa(25.0);
/// assert!((p - 3169.2).abs() < 0.1); // the handbook's table: 3.1693 kPa
/// ```
#[inline]
#[must_use]
pub fn saturation_pressure_pa(water_c: f64) -> f64 {
    exp(log_saturation(water_c).0)
}

/// Saturation vapour pressure, Pa, and its slope with temperature, Pa/K.
///
/// The slope is the exact derivative of [`saturation_pressure_pa`].
#[inline(always)]
#[must_use]
pub fn saturation_pressure_and_slope<R: Real>(water_c: R) -> (R, R) {
    let (log, log_slope) = log_saturation(water_c);
    // Above −264 °C the logarithm is above −600, and up to 1000 °C below 40.
    let pressure_pa = exp_within(log);
    (pressure_pa, pressure_pa * log_slope)
}

/// Change of [`latent_heat_j_kg`] with temperature, J/(kg·K).
pub const LATENT_HEAT_SLOPE_J_KG_K: f64 = -2_360.0;

/// Latent heat of vaporisation, J/kg: `2500.8 − 2.36 t` kJ/kg.
///
/// Valid 0…40 °C, within 0.5 kJ/kg of IAPWS; 1.6 kJ/kg high at 60 °C.
#[inline(always)]
#[must_use]
pub fn latent_heat_j_kg<R: Real>(water_c: R) -> R {
    water_c * LATENT_HEAT_SLOPE_J_KG_K + 2_500_800.0
}

/// Atmospheric pressure at an altitude, Pa: `101325 (1 − 2.25577e-5 z)^5.2559`.
///
/// Valid −500…11 000 m. Source: ASHRAE Fundamentals, *Psychrometrics*, equation 3.
#[must_use]
pub fn pressure_at_altitude_pa(altitude_m: f64) -> f64 {
    STANDARD_PRESSURE_PA * (1.0 - 2.255_77e-5 * altitude_m).powf(5.255_9)
}

/// Dew point over liquid water, °C: the inverse of [`saturation_pressure_pa`].
///
/// Magnus' inverse, then three Newton steps on `ln p`.
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `vapour_pressure_pa` | vapour pressure | Pa | 19…101 000 (−40…100 °C) |
///
/// Zero or negative pressure gives NaN: dry air has no dew point.
///
/// Source: inverse of Hyland & Wexler (1983); start after Alduchov & Eskridge (1996).
/// Differs: below 0 °C it is the dew point, not the frost point.
#[must_use]
pub fn dew_point_c(vapour_pressure_pa: f64) -> f64 {
    let log = vapour_pressure_pa.ln();
    let g = log - 610.94_f64.ln();
    let mut t = 243.04 * g / (17.625 - g);
    for _ in 0..3 {
        let (here, slope) = log_saturation(t);
        t -= (here - log) / slope;
    }
    t
}

/// Relative humidity, 0…1: `p_ws(dew point) / p_ws(air)`, both over liquid water.
///
/// Source: definition, ASHRAE Fundamentals, *Psychrometrics*, equation 22 with the enhancement factor left out.
#[must_use]
pub fn relative_humidity_frac(air_c: f64, dew_point_c: f64) -> f64 {
    exp(log_saturation(dew_point_c).0 - log_saturation(air_c).0)
}

/// Humidity ratio, kg of water per kg of dry air: `0.621945 e/(p − e)`.
///
/// Source: ASHRAE Fundamentals, *Psychrometrics*, equation 20.
#[inline]
#[must_use]
pub fn humidity_ratio(vapour_pressure_pa: f64, pressure_pa: f64) -> f64 {
    WATER_TO_AIR_MOLAR_MASS * vapour_pressure_pa / (pressure_pa - vapour_pressure_pa)
}

/// Thermodynamic wet-bulb temperature over liquid water, °C.
///
/// Solves `W = [(2501 − 2.326 t*) W_s(t*) − 1.006 (t − t*)] / (2501 + 1.86 t − 4.186 t*)` for `t*` by Newton's
/// method from the air temperature, which comes down monotonically.
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `air_c` | dry bulb t | °C | −20…60 |
/// | `vapour_pressure_pa` | vapour pressure of the air | Pa | 0…saturation |
/// | `pressure_pa` | atmospheric pressure | Pa | 60 000…108 000 |
///
/// Air above saturation gives the temperature at which the same equation closes, a little above the air's.
///
/// Source: ASHRAE Fundamentals, *Psychrometrics*, equation 33.
/// Differs: below 0 °C the bulb stays wet rather than iced.
#[must_use]
pub fn wet_bulb_c(air_c: f64, vapour_pressure_pa: f64, pressure_pa: f64) -> f64 {
    let humidity = humidity_ratio(vapour_pressure_pa, pressure_pa);
    let mut t = air_c;
    for _ in 0..7 {
        let (saturation, slope) = saturation_pressure_and_slope(t);
        let dry = pressure_pa - saturation;
        let ratio = WATER_TO_AIR_MOLAR_MASS * saturation / dry;
        let ratio_slope = WATER_TO_AIR_MOLAR_MASS * slope * pressure_pa / (dry * dry);
        let top = (2_501.0 - 2.326 * t) * ratio - 1.006 * (air_c - t);
        let top_slope = (2_501.0 - 2.326 * t) * ratio_slope - 2.326 * ratio + 1.006;
        let bottom = 2_501.0 + 1.86 * air_c - 4.186 * t;
        // f = top − W bottom: the same root, and a smoother one.
        t -= (top - humidity * bottom) / (top_slope + humidity * 4.186);
    }
    t
}

/// Density of dry air as an ideal gas, kg/m³: `p/(R T)`.
///
/// Source: ideal gas law. Differs: the moisture, which lightens air by up to 1.5 % at 30 °C, is left out.
#[inline]
#[must_use]
pub fn air_density_kg_m3(air_c: f64, pressure_pa: f64) -> f64 {
    pressure_pa / (DRY_AIR_GAS_J_KG_K * (air_c + ZERO_CELSIUS_K))
}

/// Thermal conductivity of dry air near atmospheric pressure, W/(m·K).
///
/// Quadratic fitted here to Lemmon & Jacobsen (2004) on [`AIR_TRANSPORT_RANGE_C`]; largest departure 0.07 %.
/// Outside the range it continues unchecked.
///
/// Source: Lemmon & Jacobsen (2004), Int. J. Thermophysics 25:21, as computed by `CoolProp` 8.0.0.
#[inline]
#[must_use]
pub fn air_conductivity_w_m_k(air_c: f64) -> f64 {
    0.024_354_4 + air_c * (7.638_74e-5 - air_c * 3.668_3e-8)
}

/// Dynamic viscosity of dry air near atmospheric pressure, Pa·s.
///
/// Quadratic fitted here to Lemmon & Jacobsen (2004) on [`AIR_TRANSPORT_RANGE_C`]; largest departure 0.09 %.
///
/// Source: as [`air_conductivity_w_m_k`].
#[inline]
#[must_use]
pub fn air_dynamic_viscosity_pa_s(air_c: f64) -> f64 {
    1.721_31e-5 + air_c * (4.996_98e-8 - air_c * 3.081_38e-11)
}

/// Kinematic viscosity of dry air, m²/s: dynamic viscosity over density.
#[inline]
#[must_use]
pub fn air_kinematic_viscosity_m2_s(air_c: f64, pressure_pa: f64) -> f64 {
    air_dynamic_viscosity_pa_s(air_c) / air_density_kg_m3(air_c, pressure_pa)
}

/// Specific heat of dry air at constant pressure, J/(kg·K).
///
/// Quadratic fitted here to Lemmon, Jacobsen, Penoncello & Friend (2000) on [`AIR_TRANSPORT_RANGE_C`] at
/// 101.325 kPa; largest departure 0.03 J/(kg·K). Source: as computed by `CoolProp` 8.0.0.
#[inline]
#[must_use]
pub fn air_specific_heat_j_kg_k(air_c: f64) -> f64 {
    1_005.67 + air_c * (0.014_718_1 + air_c * 4.104_47e-4)
}

/// Prandtl number of dry air: `μ c_p / k`.
#[inline]
#[must_use]
pub fn air_prandtl(air_c: f64) -> f64 {
    air_dynamic_viscosity_pa_s(air_c) * air_specific_heat_j_kg_k(air_c)
        / air_conductivity_w_m_k(air_c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_logarithm_written_out_is_the_equation() {
        for i in -60..=110 {
            let c = f64::from(i);
            let t = c + ZERO_CELSIUS_K;
            let plain = -5.800_220_6e3 / t + 1.391_499_3 - 4.864_023_9e-2 * t
                + 4.176_476_8e-5 * t * t
                - 1.445_209_3e-8 * t * t * t
                + 6.545_967_3 * t.ln();
            // The series of the logarithm stops at the eleventh power; what is left out is 6.55 · 2 z¹³/13 with
            // |z| ≤ 0.167 at −60 °C: 8e-11.
            assert!((log_saturation(c).0 - plain).abs() < 1e-10, "{c} °C");
        }
    }

    #[test]
    fn slope_is_the_derivative() {
        for i in -30..=60 {
            let c = f64::from(i);
            let h = 1e-3;
            let finite =
                (saturation_pressure_pa(c + h) - saturation_pressure_pa(c - h)) / (2.0 * h);
            // Central difference of 1 mK: error h²/6 of the third derivative, 1e-9 of the slope.
            assert!(
                (saturation_pressure_and_slope(c).1 / finite - 1.0).abs() < 1e-7,
                "{c} °C"
            );
        }
    }

    #[test]
    fn dew_point_undoes_saturation() {
        for i in -40..=100 {
            let c = f64::from(i);
            assert!(
                (dew_point_c(saturation_pressure_pa(c)) - c).abs() < 1e-9,
                "{c} °C"
            );
        }
    }

    #[test]
    fn saturated_air_has_its_wet_bulb_at_its_own_temperature() {
        for i in -20..=60 {
            let c = f64::from(i);
            let e = saturation_pressure_pa(c);
            assert!((wet_bulb_c(c, e, 101_325.0) - c).abs() < 1e-9, "{c} °C");
            assert!((relative_humidity_frac(c, c) - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn wet_bulb_lies_between_dew_point_and_air() {
        for i in -10..=50 {
            for j in 1..=9 {
                let (air, share) = (f64::from(i), f64::from(j) * 0.1);
                let e = share * saturation_pressure_pa(air);
                let wet = wet_bulb_c(air, e, 90_000.0);
                assert!(wet < air && wet > dew_point_c(e), "{air} °C, {share}");
            }
        }
    }
}
