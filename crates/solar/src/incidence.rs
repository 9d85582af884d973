//! What a surface loses by light that strikes it at an angle.

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
/// let k = swimdays_solar::incidence_modifier(0.1, 0.5);
/// assert!((k - 0.9).abs() < 1e-12);
/// ```
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
fn fresnel(refractive_index: f64, incidence_cos: f64) -> (f64, f64, f64) {
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
/// assert!((swimdays_solar::surface_reflectance(1.526, 1.0) - 0.0434).abs() < 5e-5);
/// ```
#[must_use]
pub fn surface_reflectance(refractive_index: f64, incidence_cos: f64) -> f64 {
    let (across, along, _) = fresnel(refractive_index, incidence_cos);
    0.5 * (across + along)
}

/// Reflectance of calm water for the beam, 0 to 1: [`surface_reflectance`] with [`WATER_REFRACTIVE_INDEX`].
///
/// Source: Fresnel; see there.
///
/// Differs: waves, which reflect less at low sun, are left out.
#[must_use]
pub fn water_reflectance(incidence_cos: f64) -> f64 {
    surface_reflectance(WATER_REFRACTIVE_INDEX, incidence_cos)
}

/// A clear sheet over a box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lid {
    /// Refractive index: 1.526 glass, about 1.49 acrylic, 1.59 polycarbonate.
    pub refractive_index: f64,
    /// Extinction coefficient, 1/m: 4 clear ("water white") to 32 (greenish edge) glass.
    pub extinction_per_m: f64,
    /// Thickness, m.
    pub thickness_m: f64,
}

impl Lid {
    /// Ordinary window glass of 3 mm.
    ///
    /// Source: Duffie & Beckman (2013), section 5.2 (n = 1.526; K = 32/m for glass with a greenish edge).
    pub const WINDOW_GLASS: Self = Self {
        refractive_index: 1.526,
        extinction_per_m: 32.0,
        thickness_m: 0.003,
    };
}

/// Transmittance of one clear sheet for unpolarised beam light, 0 to 1.
///
/// For each polarisation `τ = τa (1 − r)²/(1 − (r τa)²)`, `τa = exp(−K L/cos θ₂)`; the mean of both.
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | n, K, L | `lid` | 1, 1/m, m | > 1, ≥ 0, ≥ 0 |
/// | cos θ | `incidence_cos` | 1 | 0–1; outside, the nearer end |
///
/// Source: Duffie & Beckman (2013), equations 5.2.2 and 5.3.1.
#[must_use]
pub fn glass_transmittance(lid: &Lid, incidence_cos: f64) -> f64 {
    let (across, along, cos_in) = fresnel(lid.refractive_index, incidence_cos);
    let passed = (-lid.extinction_per_m * lid.thickness_m / cos_in).exp();
    let one = |r: f64| passed * (1.0 - r) * (1.0 - r) / (1.0 - (r * passed) * (r * passed));
    // At grazing incidence both reflect everything (0/0 only without absorption).
    if incidence_cos <= 0.0 {
        0.0
    } else {
        0.5 * (one(across) + one(along))
    }
}

/// Angle of beam incidence at which a lid passes the same share as of the light of the even sky, degrees.
///
/// `59.7 − 0.1388 β + 0.001497 β²`, β: tilt in degrees, 0–90.
///
/// Source: Brandemuehl & Beckman (1980), Solar Energy 24:511; Duffie & Beckman (2013), equation 5.4.2.
#[must_use]
pub fn sky_equivalent_incidence_deg(tilt_deg: f64) -> f64 {
    59.7 - 0.1388 * tilt_deg + 0.001_497 * tilt_deg * tilt_deg
}

/// The same for light from the ground, degrees: `90 − 0.5788 β + 0.002693 β²`, β: tilt in degrees, 0–90.
///
/// Source: Brandemuehl & Beckman (1980), Solar Energy 24:511; Duffie & Beckman (2013), equation 5.4.1.
#[must_use]
pub fn ground_equivalent_incidence_deg(tilt_deg: f64) -> f64 {
    90.0 - 0.5788 * tilt_deg + 0.002_693 * tilt_deg * tilt_deg
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small step, over which nothing here may jump.
    const STEP: f64 = 1e-4;

    #[test]
    fn everything_is_within_bounds_and_falls_toward_grazing() {
        for b0 in [0.0, 0.02, 0.1, 0.3] {
            let mut last = 0.0;
            for i in 0..=10_000 {
                let cos = f64::from(i) * STEP;
                let k = incidence_modifier(b0, cos);
                assert!((0.0..=1.0).contains(&k) && k >= last, "b0 {b0} cos {cos}");
                last = k;
            }
            assert!((incidence_modifier(b0, 1.0) - 1.0).abs() < 1e-12);
        }
        let mut last = 0.0;
        for i in 0..=10_000 {
            let tau = glass_transmittance(&Lid::WINDOW_GLASS, f64::from(i) * STEP);
            assert!((0.0..=1.0).contains(&tau) && tau >= last);
            last = tau;
        }
    }

    #[test]
    fn the_tail_joins_at_60_degrees() {
        let below = incidence_modifier(0.1, 0.5 + 1e-9);
        let above = incidence_modifier(0.1, 0.5 - 1e-9);
        assert!((below - above).abs() < 1e-7);
    }

    #[test]
    fn grazing_light_is_all_reflected() {
        assert!((water_reflectance(0.0) - 1.0).abs() < 1e-12);
        assert!(glass_transmittance(&Lid::WINDOW_GLASS, 0.0).abs() < 1e-12);
        let clear = Lid {
            extinction_per_m: 0.0,
            ..Lid::WINDOW_GLASS
        };
        assert!(glass_transmittance(&clear, 0.0).is_finite());
    }
}
