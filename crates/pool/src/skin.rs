//! A thin skin without heat capacity between the water and the weather: a cover or a wall.

use swimdays_properties::constants::{STEFAN_BOLTZMANN_W_M2_K4, ZERO_CELSIUS_K};
use swimdays_properties::real::Real;

/// Halley steps after the first estimate: each cubes the error (about 4e-6 e³ K), so a first estimate 30 K off ends 4e-9 K off.
const HALLEY_STEPS: usize = 2;

/// Radiation coefficient of the first estimate over that at the water's temperature, `4εσT³`: a skin in the sun is
/// hotter than the water, and the secant over 60 K is steeper than the tangent by this.
const FIRST_RADIATION: f64 = 1.35;

/// What a skin is made of and what falls on it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Skin<R> {
    /// Sun absorbed by the skin, W/m².
    pub(crate) absorbed_w_m2: R,
    /// Longwave that arrives, W/m².
    pub(crate) longwave_w_m2: f64,
    pub(crate) emissivity_frac: R,
    pub(crate) air_c: f64,
    /// Skin to air, W/(m²·K).
    pub(crate) convection_w_m2_k: R,
    /// Water to the skin's outside, W/(m²·K).
    pub(crate) conductance_w_m2_k: R,
}

/// The skin's balance, solved.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SkinBalance<R> {
    pub(crate) skin_c: R,
    /// d skin_c / d water_c.
    pub(crate) follows_water: R,
    /// From the air to the skin, W/m².
    pub(crate) convection_w_m2: R,
    /// Longwave kept less emitted, W/m².
    pub(crate) longwave_w_m2: R,
    /// `4 ε σ T³`, W/(m²·K).
    pub(crate) radiation_w_m2_k: R,
    /// Conducted from the skin into the water, W/m².
    pub(crate) into_water_w_m2: R,
}

impl<R: Real> Skin<R> {
    /// Solves `αS + ε(L − σT⁴) + h(T_a − T) + U(T_w − T) = 0` for the skin's temperature T.
    #[inline(always)]
    pub(crate) fn balance(&self, water_c: R) -> SkinBalance<R> {
        let grey = self.emissivity_frac * STEFAN_BOLTZMANN_W_M2_K4;
        let linear_w_m2_k = self.convection_w_m2_k + self.conductance_w_m2_k;
        let water_k = water_c + ZERO_CELSIUS_K;
        let driving_w_m2 = self.absorbed_w_m2
            + self.emissivity_frac * self.longwave_w_m2
            + self.convection_w_m2_k * (self.air_c + ZERO_CELSIUS_K)
            + self.conductance_w_m2_k * water_k;
        let at_water = grey * water_k * water_k * water_k;
        let mut t = water_k
            + (driving_w_m2 - (linear_w_m2_k + at_water) * water_k)
                / (linear_w_m2_k + at_water * (4.0 * FIRST_RADIATION));
        for _ in 0..HALLEY_STEPS {
            let curved = grey * t * t;
            let fourth = curved * t;
            let gap = driving_w_m2 - (linear_w_m2_k + fourth) * t;
            let slope = linear_w_m2_k + fourth * 4.0;
            t += gap * slope / (slope * slope + curved * 6.0 * gap);
        }
        let cubed = grey * t * t * t;
        let skin_c = t - ZERO_CELSIUS_K;
        SkinBalance {
            skin_c,
            follows_water: self.conductance_w_m2_k / (linear_w_m2_k + cubed * 4.0),
            convection_w_m2: -(self.convection_w_m2_k * (skin_c - self.air_c)),
            longwave_w_m2: self.emissivity_frac * self.longwave_w_m2 - cubed * t,
            radiation_w_m2_k: cubed * 4.0,
            into_water_w_m2: self.conductance_w_m2_k * (skin_c - water_c),
        }
    }
}
