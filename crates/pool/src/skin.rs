//! A thin skin without heat capacity between the water and the weather: a cover or a wall.

use swimdays_properties::constants::{STEFAN_BOLTZMANN_W_M2_K4, ZERO_CELSIUS_K};

/// Newton steps. The balance is concave, so from the second step on they come down on the root from above, and the
/// error squares: 75 K, 16, 0.7, 1.5e-3, 6e-9 for the hardest case (black, well insulated, still air).
const NEWTON_STEPS: usize = 4;

/// What a skin is made of and what falls on it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Skin {
    /// Sun absorbed by the skin, W/m².
    pub(crate) absorbed_w_m2: f64,
    /// Longwave that arrives, W/m².
    pub(crate) longwave_w_m2: f64,
    pub(crate) emissivity_frac: f64,
    pub(crate) air_c: f64,
    /// Skin to air, W/(m²·K).
    pub(crate) convection_w_m2_k: f64,
    /// Water to the skin's outside, W/(m²·K).
    pub(crate) conductance_w_m2_k: f64,
}

/// The skin's balance, solved.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SkinBalance {
    pub(crate) skin_c: f64,
    /// d skin_c / d water_c.
    pub(crate) follows_water: f64,
    /// From the air to the skin, W/m².
    pub(crate) convection_w_m2: f64,
    /// Longwave kept less emitted, W/m².
    pub(crate) longwave_w_m2: f64,
    /// `4 ε σ T³`, W/(m²·K).
    pub(crate) radiation_w_m2_k: f64,
    /// Conducted from the skin into the water, W/m².
    pub(crate) into_water_w_m2: f64,
}

impl Skin {
    /// Solves `αS + ε(L − σT⁴) + h(T_a − T) + U(T_w − T) = 0` for the skin's temperature T.
    #[inline]
    pub(crate) fn balance(&self, water_c: f64) -> SkinBalance {
        let grey = self.emissivity_frac * STEFAN_BOLTZMANN_W_M2_K4;
        let linear_w_m2_k = self.convection_w_m2_k + self.conductance_w_m2_k;
        let driving_w_m2 = self.absorbed_w_m2
            + self.emissivity_frac * self.longwave_w_m2
            + self.convection_w_m2_k * (self.air_c + ZERO_CELSIUS_K)
            + self.conductance_w_m2_k * (water_c + ZERO_CELSIUS_K);
        let mut t = water_c + ZERO_CELSIUS_K;
        for _ in 0..NEWTON_STEPS {
            let cubed = grey * t * t * t;
            // T − f/f' with f = driving − linear T − grey T⁴, gathered.
            t = (driving_w_m2 + 3.0 * cubed * t) / (linear_w_m2_k + 4.0 * cubed);
        }
        let cubed = grey * t * t * t;
        let skin_c = t - ZERO_CELSIUS_K;
        SkinBalance {
            skin_c,
            follows_water: self.conductance_w_m2_k / (linear_w_m2_k + 4.0 * cubed),
            convection_w_m2: self.convection_w_m2_k * (self.air_c - skin_c),
            longwave_w_m2: self.emissivity_frac * self.longwave_w_m2 - cubed * t,
            radiation_w_m2_k: 4.0 * cubed,
            into_water_w_m2: self.conductance_w_m2_k * (skin_c - water_c),
        }
    }
}
