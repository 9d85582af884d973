//! Liquid water at atmospheric pressure, 0…100 °C: a pool uses 0…45, a stagnant tube the rest.
//!
//! Outside [`RANGE_C`] the polynomials continue and soon leave the truth; nothing is clamped.

use crate::elementary::exp;

/// Range within which every function of this module holds, °C.
pub const RANGE_C: (f64, f64) = (0.0, 100.0);

/// Specific heat at which mass flows through the water line (make-up, rain) are counted, J/(kg·K): that of 27 °C.
///
/// It varies by 0.4 % from 10 to 40 °C. Source: IAPWS-95 at 101.325 kPa.
pub const SPECIFIC_HEAT_27C_J_KG_K: f64 = 4_180.6;

/// Numerator and denominator of Kell's density and their slopes.
#[inline]
fn kell(water_c: f64) -> (f64, f64, f64, f64) {
    let t = water_c;
    let top = 999.839_52
        + t * (16.945_176
            + t * (-7.987_040_1e-3
                + t * (-46.170_461e-6 + t * (105.563_02e-9 - t * 280.542_53e-12))));
    let top_slope = 16.945_176
        + t * (2.0 * -7.987_040_1e-3
            + t * (3.0 * -46.170_461e-6 + t * (4.0 * 105.563_02e-9 - t * 5.0 * 280.542_53e-12)));
    (top, top_slope, 1.0 + 16.879_85e-3 * t, 16.879_85e-3)
}

/// Density, kg/m³.
///
/// `ρ = (999.83952 + 16.945176 t − 7.9870401e-3 t² − 46.170461e-6 t³ + 105.56302e-9 t⁴ − 280.54253e-12 t⁵)/(1 + 16.879850e-3 t)`
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `water_c` | temperature | °C | [`RANGE_C`] |
///
/// Source: Kell (1975), J. Chem. Eng. Data 20:97, equation 16. Differs: the temperature scale of 1968, 0.02 K off at
/// 100 °C, is taken as today's (0.015 kg/m³).
#[inline]
#[must_use]
pub fn density_kg_m3(water_c: f64) -> f64 {
    let (top, _, bottom, _) = kell(water_c);
    top / bottom
}

/// Volumetric thermal expansion, 1/K: `−(1/ρ) dρ/dt`, the exact derivative of [`density_kg_m3`]; negative below 4 °C.
#[inline]
#[must_use]
pub fn expansion_1_k(water_c: f64) -> f64 {
    let (top, top_slope, bottom, bottom_slope) = kell(water_c);
    bottom_slope / bottom - top_slope / top
}

/// Specific heat at constant pressure, J/(kg·K).
///
/// Polynomial of the sixth degree fitted here to IAPWS-95 at 101.325 kPa on [`RANGE_C`]; largest departure 0.17 J/(kg·K).
///
/// Source: IAPWS-95 (Wagner & Pruß 2002, J. Phys. Chem. Ref. Data 31:387), as computed by `CoolProp` 8.0.0.
#[inline]
#[must_use]
pub fn specific_heat_j_kg_k(water_c: f64) -> f64 {
    let t = water_c;
    4_219.28
        + t * (-3.346_18
            + t * (0.111_894
                + t * (-2.039_99e-3 + t * (2.267_81e-5 + t * (-1.359_45e-7 + t * 3.437_89e-10)))))
}

/// Thermal conductivity, W/(m·K).
///
/// Polynomial of the fifth degree fitted here to the source's equation on [`RANGE_C`]; largest departure 0.014 %.
///
/// Source: IAPWS SR6-08(2011), *Supplementary Release on Properties of Liquid Water at 0.1 MPa*, equation 9 with table 5.
#[inline]
#[must_use]
pub fn conductivity_w_m_k(water_c: f64) -> f64 {
    let t = water_c;
    0.555_724_27
        + t * (2.530_390_7e-3
            + t * (-2.492_161_1e-5
                + t * (2.405_905_1e-7 + t * (-1.780_388_9e-9 + t * 5.517_937_7e-12))))
}

/// Dynamic viscosity, Pa·s.
///
/// `exp` of a polynomial of the sixth degree fitted here to the source's equation on [`RANGE_C`]; largest departure 0.014 %.
///
/// Source: IAPWS SR6-08(2011), equation 8 with table 5.
#[inline]
#[must_use]
pub fn dynamic_viscosity_pa_s(water_c: f64) -> f64 {
    let t = water_c;
    exp(-6.324_681_3
        + t * (-3.475_320_6e-2
            + t * (3.496_292_2e-4
                + t * (-3.919_071e-6
                    + t * (3.498_426_5e-8 + t * (-1.905_121_5e-10 + t * 4.544_683_6e-13))))))
}

/// Prandtl number: `μ c_p / k`.
#[inline]
#[must_use]
pub fn prandtl(water_c: f64) -> f64 {
    dynamic_viscosity_pa_s(water_c) * specific_heat_j_kg_k(water_c) / conductivity_w_m_k(water_c)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Coefficient and exponent of `T/300 K`: IAPWS SR6-08(2011), table 5 (from memory).
    const VISCOSITY: [(f64, f64); 4] = [
        (280.68, -1.9),
        (511.45, -7.7),
        (61.131, -19.6),
        (0.459_03, -40.0),
    ];
    const CONDUCTIVITY: [(f64, f64); 4] = [
        (1.663_0, -1.15),
        (-1.778_1, -3.4),
        (1.156_7, -6.0),
        (-0.432_115, -7.6),
    ];

    fn release(terms: &[(f64, f64); 4], water_c: f64) -> f64 {
        terms
            .iter()
            .map(|(c, e)| c * ((water_c + 273.15) / 300.0).powf(*e))
            .sum()
    }

    #[test]
    fn fits_stay_with_their_source() {
        for i in 0..=100 {
            let c = f64::from(i);
            let viscosity = 1e-6 * release(&VISCOSITY, c);
            let conductivity = release(&CONDUCTIVITY, c);
            // The departure each doc comment states.
            assert!(
                (dynamic_viscosity_pa_s(c) / viscosity - 1.0).abs() < 1.5e-4,
                "{c} °C"
            );
            assert!(
                (conductivity_w_m_k(c) / conductivity - 1.0).abs() < 1.5e-4,
                "{c} °C"
            );
        }
    }

    #[test]
    fn water_is_densest_at_four_degrees() {
        assert!(expansion_1_k(3.9) < 0.0 && expansion_1_k(4.1) > 0.0);
        let h = 1e-3;
        for i in 1..100 {
            let c = f64::from(i);
            let finite =
                (density_kg_m3(c - h) - density_kg_m3(c + h)) / (2.0 * h) / density_kg_m3(c);
            assert!((expansion_1_k(c) - finite).abs() < 1e-9, "{c} °C");
        }
    }
}
