//! Light on clear surfaces: what is reflected, and what counts of it at an angle.

/// Refractive index of water for visible light at 20 °C.
///
/// Source: CRC Handbook of Chemistry and Physics, *Index of refraction of water*, 1.3330 at 589 nm (from memory).
pub const WATER_REFRACTIVE_INDEX: f64 = 1.333;

/// Reflectance of calm water for light spread evenly over the sky, dimensionless.
///
/// Source: Walsh's formula for a dielectric under isotropic light (1926), evaluated for [`WATER_REFRACTIVE_INDEX`];
/// `tests/tests/sun.rs` recomputes it by the formula and by integration.
///
/// Differs: waves are left out; measured daily means over clean shallow water are about 0.05 to 0.08.
pub const WATER_DIFFUSE_REFLECTANCE: f64 = 0.066_4;

/// Angle at which the tail of [`incidence_modifier`] begins, degrees. Source: Duffie & Beckman (2013), section 6.17.
const TAIL_BEGIN_DEG: f64 = 60.0;

/// Share of the light of normal incidence that still counts at an angle, 0 to 1.
///
/// `K = 1 − b0 (1/cos θ − 1)` up to 60°, and from there straight to 0 at 90°.
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | b0 | `b0` | 1 | 0–0.3 (0.1 one glass; 0 to 0.1 unglazed black) |
/// | cos θ | `incidence_cos` | 1 | ≤ 0 gives 0 |
///
/// `b0 = 0` means "no loss wanted": 1 at every angle, without the tail.
///
/// Source: Souka & Safwat (1966), Solar Energy 10:170; Duffie & Beckman (2013), equation 6.17.10 and the text below it (tail
/// as remembered).
///
/// ```
/// let k = swimdays_properties::optics::incidence_modifier(0.1, 0.5);
/// assert!((k - 0.9).abs() < 1e-12);
/// ```
#[inline]
#[must_use]
pub fn incidence_modifier(b0: f64, incidence_cos: f64) -> f64 {
    if b0 <= 0.0 {
        return 1.0;
    }
    let cos = incidence_cos.min(1.0);
    if cos <= 0.0 {
        return 0.0;
    }
    if cos >= 0.5 {
        return (1.0 - b0 * (1.0 / cos - 1.0)).max(0.0);
    }
    let angle_deg = cos.acos().to_degrees();
    (1.0 - b0).max(0.0) * (90.0 - angle_deg) / (90.0 - TAIL_BEGIN_DEG)
}

/// Reflectance of one surface between air and a clear medium for each polarisation, and the cosine inside.
///
/// Source: Fresnel; Duffie & Beckman (2013), equations 5.1.1, 5.1.2 and 5.1.4.
#[inline]
#[must_use]
pub fn fresnel(refractive_index: f64, incidence_cos: f64) -> (f64, f64, f64) {
    let cos_out = incidence_cos.clamp(0.0, 1.0);
    let sin_in_squared = (1.0 - cos_out * cos_out) / (refractive_index * refractive_index);
    let cos_in = (1.0 - sin_in_squared).sqrt();
    let across = (cos_out - refractive_index * cos_in) / (cos_out + refractive_index * cos_in);
    let along = (refractive_index * cos_out - cos_in) / (refractive_index * cos_out + cos_in);
    (across * across, along * along, cos_in)
}

/// Reflectance of a smooth surface of a clear medium for unpolarised beam light, 0 to 1.
///
/// `ρ = (r⊥ + r∥)/2` with Fresnel's equations; `refractive_index` > 1; a cosine outside 0…1 counts as the nearer end.
///
/// Source: Duffie & Beckman (2013), equations 5.1.1 to 5.1.3.
///
/// ```
/// // Duffie & Beckman (2013), example 5.1.1: glass of index 1.526 reflects 0.0434 at normal incidence.
/// assert!((swimdays_properties::optics::surface_reflectance(1.526, 1.0) - 0.0434).abs() < 5e-5);
/// ```
#[inline]
#[must_use]
pub fn surface_reflectance(refractive_index: f64, incidence_cos: f64) -> f64 {
    let (across, along, _) = fresnel(refractive_index, incidence_cos);
    0.5 * (across + along)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn incidence_loss_of_one_sheet() {
        // By hand, b0 = 0.1: 1 − 0.1 (1/cos θ − 1).
        for (deg, expected) in [
            (30.0_f64, 0.984_5),
            (45.0, 0.958_6),
            (60.0, 0.9),
            (90.0, 0.0),
        ] {
            let k = incidence_modifier(0.1, deg.to_radians().cos());
            assert!((k - expected).abs() < 1e-4, "{deg}: {k}");
        }
    }
}
