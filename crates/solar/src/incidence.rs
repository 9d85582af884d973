//! What a surface loses by light that strikes it at an angle.

use swimdays_properties::optics::fresnel;
pub use swimdays_properties::optics::{
    WATER_DIFFUSE_REFLECTANCE, WATER_REFRACTIVE_INDEX, incidence_modifier, surface_reflectance,
};

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
