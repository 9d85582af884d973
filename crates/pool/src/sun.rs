//! Sunlight that stays in the water.

use swimdays_properties::elementary::exp;
use swimdays_properties::optics::{
    WATER_DIFFUSE_REFLECTANCE, WATER_REFRACTIVE_INDEX, surface_reflectance,
};

use crate::flux::Span;

/// Share of the sunlight and attenuation, 1/m. What is missing to 1 (the infrared) stays in the first millimetre.
///
/// Source: Rabl & Nielsen (1975), Solar Energy 17:1 (from memory).
const BANDS: [(f64, f64); 4] = [(0.237, 0.032), (0.193, 0.45), (0.167, 3.0), (0.179, 35.0)];

/// Cosine within the water of the steepest ray that never leaves: `√(1 − 1/n²)`.
const CRITICAL_COS: f64 = 0.661_2;

/// Mean secant of diffuse light inside the escape cone, `2(1 − μ_c)/(1 − μ_c²)`, and outside, `2 μ_c/μ_c²`.
const ESCAPING_SECANT: f64 = 2.0 / (1.0 + CRITICAL_COS);
const TRAPPED_SECANT: f64 = 2.0 / CRITICAL_COS;

/// Directions over which diffuse light is summed, in equal steps of the cosine, each weighted with twice its cosine.
const DIRECTIONS: u32 = 24;

/// Share of sunlight below the surface that is left after `path_m` metres of clear water.
///
/// `0.237 e^(−0.032 x) + 0.193 e^(−0.45 x) + 0.167 e^(−3 x) + 0.179 e^(−35 x)`
///
/// Range 0.01…10 m; at 0 it gives 0.776, since the infrared goes in the first millimetre.
///
/// Source: Rabl & Nielsen (1975), Solar Energy 17:1 (from memory).
#[must_use]
pub fn transmission_frac(path_m: f64) -> f64 {
    BANDS
        .iter()
        .map(|(share, per_m)| share * exp(-per_m * path_m))
        .sum()
}

/// How the pool takes in sunlight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunOnWater {
    /// Sunlight that floor and walls reflect, share; colours in [`Finish`].
    pub finish_reflectance_frac: f64,
    /// Mean depth, m.
    pub mean_depth_m: f64,
}

impl SunOnWater {
    /// Share of the light under the surface, going down with cosine `inside_cos`, that never comes out again.
    fn kept_frac(&self, inside_cos: f64) -> f64 {
        // Diffuse light from below is reflected by 1 − (1 − R_diffuse)/n², with R_diffuse = 0.0664 from above.
        const INTERNAL_REFLECTANCE: f64 = 1.0
            - (1.0 - WATER_DIFFUSE_REFLECTANCE) / (WATER_REFRACTIVE_INDEX * WATER_REFRACTIVE_INDEX);
        let rho = self.finish_reflectance_frac;
        let mut escaped = 0.0;
        for (share, per_m) in BANDS {
            let depth = per_m * self.mean_depth_m;
            let floor = share * exp(-depth / inside_cos);
            let up_and_out = (1.0 - INTERNAL_REFLECTANCE) * exp(-ESCAPING_SECANT * depth);
            let up_and_back = INTERNAL_REFLECTANCE * exp(-2.0 * TRAPPED_SECANT * depth);
            escaped += rho * floor * up_and_out / (1.0 - rho * up_and_back);
        }
        1.0 - escaped
    }

    /// Share of the beam on the water's surface that stays in the water.
    ///
    /// `(1 − R) [1 − Σ f e^(−k d/μ) ρ e^(−s₁ k d)(1 − R_i)/(1 − ρ R_i e^(−2 s₂ k d))]`: reflected at the surface, attenuated on
    /// the slant path down, scattered up by the finish, and partly held below the surface by total reflection.
    ///
    /// | symbol | argument | range |
    /// |---|---|---|
    /// | cos θ | `incidence_cos`: cosine of the sun's zenith angle | 0…1 |
    /// | ρ, d | `self` | 0…1, 0.1…5 m |
    ///
    /// At or below 0 it gives 0. Side walls are not resolved: the pool is as wide as the light needs.
    ///
    /// Source: Fresnel; Rabl & Nielsen (1975); geometric series of the reflections (own derivation).
    #[must_use]
    pub fn absorbed_frac_beam(&self, incidence_cos: f64) -> f64 {
        let cos = incidence_cos.clamp(0.0, 1.0);
        let n = WATER_REFRACTIVE_INDEX;
        let inside = (1.0 - (1.0 - cos * cos) / (n * n)).sqrt();
        (1.0 - surface_reflectance(n, cos)) * self.kept_frac(inside)
    }

    /// Share of diffuse light on the water's surface that stays in the water: [`Self::absorbed_frac_beam`] over a
    /// uniform sky. A sum over directions: call it once for a pool, not once an hour.
    #[must_use]
    pub fn absorbed_frac_diffuse(&self) -> f64 {
        self.over_the_sky(|cos| self.absorbed_frac_beam(cos))
    }

    /// Share of the light that a cover lets into the water that stays there: diffuse, and past the surface already.
    #[must_use]
    pub fn absorbed_below_cover_frac(&self) -> f64 {
        let entered =
            self.over_the_sky(|cos| 1.0 - surface_reflectance(WATER_REFRACTIVE_INDEX, cos));
        self.absorbed_frac_diffuse() / entered
    }

    fn over_the_sky(&self, of_cos: impl Fn(f64) -> f64) -> f64 {
        let step = 1.0 / f64::from(DIRECTIONS);
        let cosines = (0..DIRECTIONS).map(|i| (f64::from(i) + 0.5) * step);
        cosines.map(|cos| 2.0 * cos * of_cos(cos)).sum::<f64>() * step
    }
}

/// Colour of floor and walls.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Finish {
    /// White plaster or liner.
    White,
    /// Light blue, sand, light grey.
    #[default]
    Light,
    /// Mid blue, green, pebble.
    Medium,
    /// Dark blue, grey, black.
    Dark,
}

impl Finish {
    /// Every colour.
    pub const ALL: [Self; 4] = [Self::White, Self::Light, Self::Medium, Self::Dark];

    /// The name written in scenarios.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::White => "white",
            Self::Light => "light",
            Self::Medium => "medium",
            Self::Dark => "dark",
        }
    }

    /// The colour of that name.
    #[must_use]
    pub fn by_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|f| f.name() == name)
    }

    /// Sunlight reflected under water, share.
    ///
    /// Own estimate (paints in air run from 0.05 to 0.85), with *white* and *light* set on both sides of the 0.85 that ISO/TR
    /// 12596 gives for the sun absorbed by light pools. A dark floor then absorbs 0.94 where it gives 0.90.
    #[must_use]
    pub const fn reflectance_frac(self) -> Span {
        match self {
            Self::White => Span::new(0.75, 0.65, 0.85),
            Self::Light => Span::new(0.60, 0.50, 0.70),
            Self::Medium => Span::new(0.40, 0.30, 0.50),
            Self::Dark => Span::new(0.15, 0.05, 0.25),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cone_of_escape_is_that_of_the_refractive_index() {
        let n = WATER_REFRACTIVE_INDEX;
        assert!((CRITICAL_COS - (1.0 - 1.0 / (n * n)).sqrt()).abs() < 1e-4);
    }

    #[test]
    fn limits() {
        let black = SunOnWater {
            finish_reflectance_frac: 0.0,
            mean_depth_m: 1.4,
        };
        // A black floor keeps all that enters.
        let enters = 1.0 - surface_reflectance(WATER_REFRACTIVE_INDEX, 0.8);
        assert!((black.absorbed_frac_beam(0.8) - enters).abs() < 1e-12);
        assert!((black.absorbed_below_cover_frac() - 1.0).abs() < 1e-12);
        assert!(black.absorbed_frac_beam(0.0).abs() < 1e-12);
        assert!(black.absorbed_frac_beam(-0.1).abs() < 1e-12);
        // Brighter floors keep less, deeper water more.
        let mut last = 1.0;
        for finish in Finish::ALL.into_iter().rev() {
            let kept = SunOnWater {
                finish_reflectance_frac: finish.reflectance_frac().value,
                mean_depth_m: 1.4,
            };
            assert!(kept.absorbed_frac_diffuse() < last);
            last = kept.absorbed_frac_diffuse();
            let deeper = SunOnWater {
                mean_depth_m: 2.4,
                ..kept
            };
            assert!(deeper.absorbed_frac_diffuse() > last);
            assert_eq!(Finish::by_name(finish.name()), Some(finish));
        }
    }
}
