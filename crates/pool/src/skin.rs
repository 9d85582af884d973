//! A thin skin without heat capacity between the water and the weather: a cover or a wall.

use swimdays_properties::constants::{STEFAN_BOLTZMANN_W_M2_K4, ZERO_CELSIUS_K};
use swimdays_properties::real::{Mask, Real};

/// Halley steps after the first estimate: each cubes the error (about 4e-6 e³ K), so a first estimate 30 K off ends 4e-9 K off.
const HALLEY_STEPS: usize = 2;

/// Radiation coefficient of the first estimate over that at the water's temperature, `4εσT³`: a skin in the sun is
/// hotter than the water, and the secant over 60 K is steeper than the tangent by this.
const FIRST_RADIATION: f64 = 1.35;

/// Change of the water up to which one Halley step from a known skin is enough, K.
const NEAR_K: f64 = 10.0;

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

/// A skin in the weather of one interval: what does not depend on the water's temperature.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SkinHour<R = f64> {
    pub(crate) convection_w_m2_k: R,
    conductance_w_m2_k: R,
    linear_w_m2_k: R,
    /// `ε σ`, W/(m²·K⁴).
    grey: R,
    /// Longwave kept, W/m².
    kept_w_m2: R,
    /// All that drives the skin but the water, W/m², counted from 0 K.
    driving_w_m2: R,
    air_c: f64,
}

impl<R: Real> Skin<R> {
    /// Made ready for any temperature of the water.
    #[inline(always)]
    pub(crate) fn hour(&self) -> SkinHour<R> {
        let kept_w_m2 = self.emissivity_frac * self.longwave_w_m2;
        SkinHour {
            convection_w_m2_k: self.convection_w_m2_k,
            conductance_w_m2_k: self.conductance_w_m2_k,
            linear_w_m2_k: self.convection_w_m2_k + self.conductance_w_m2_k,
            grey: self.emissivity_frac * STEFAN_BOLTZMANN_W_M2_K4,
            kept_w_m2,
            driving_w_m2: self.absorbed_w_m2
                + kept_w_m2
                + self.convection_w_m2_k * (self.air_c + ZERO_CELSIUS_K),
            air_c: self.air_c,
        }
    }
}

impl<R: Real> SkinHour<R> {
    /// Nothing, in as many lanes as `zero`.
    pub(crate) fn none(zero: R) -> Self {
        Self {
            convection_w_m2_k: zero,
            conductance_w_m2_k: zero,
            linear_w_m2_k: zero,
            grey: zero,
            kept_w_m2: zero,
            driving_w_m2: zero,
            air_c: 0.0,
        }
    }

    /// Solves `αS + ε(L − σT⁴) + h(T_a − T) + U(T_w − T) = 0` for the skin's temperature T.
    #[inline(always)]
    pub(crate) fn balance(&self, water_c: R) -> SkinBalance<R> {
        let water_k = water_c + ZERO_CELSIUS_K;
        let driving_w_m2 = self.driving_w_m2 + self.conductance_w_m2_k * water_k;
        let at_water = self.grey * (water_k * water_k * water_k);
        let mut t = water_k
            + (driving_w_m2 - (self.linear_w_m2_k + at_water) * water_k)
                / (self.linear_w_m2_k + at_water * (4.0 * FIRST_RADIATION));
        for _ in 0..HALLEY_STEPS {
            t = self.nearer(driving_w_m2, t);
        }
        self.at(t, water_c)
    }

    /// As [`Self::balance`], from what was found at water of `known_water_c`.
    ///
    /// The straight line from there misses the skin by 0.0005 K at most times the square of the kelvins that the water moved
    /// (half of `12 ε σ T² U² / (h + U + 4 ε σ T³)³`, largest at `U = 2 (h + 4 ε σ T³)`), and one Halley step cubes the miss: 5e-10 K at
    /// [`NEAR_K`]. Where the water is farther off, two steps more.
    #[inline(always)]
    pub(crate) fn balance_near(&self, known: &SkinKnown<R>, water_c: R) -> SkinBalance<R> {
        let water_k = water_c + ZERO_CELSIUS_K;
        let driving_w_m2 = self.driving_w_m2 + self.conductance_w_m2_k * water_k;
        let moved_k = water_c - known.water_c;
        let line = known.skin_c + known.follows_water * moved_k + ZERO_CELSIUS_K;
        let mut t = self.nearer(driving_w_m2, line);
        let far = moved_k.size().is_above(moved_k.like(NEAR_K));
        if far.any() {
            let farther = self.nearer(driving_w_m2, self.nearer(driving_w_m2, t));
            t = R::select(far, farther, t);
        }
        self.at(t, water_c)
    }

    /// One Halley step.
    #[inline(always)]
    fn nearer(&self, driving_w_m2: R, t: R) -> R {
        let curved = self.grey * (t * t);
        let fourth = curved * t;
        let gap = driving_w_m2 - (self.linear_w_m2_k + fourth) * t;
        let slope = self.linear_w_m2_k + fourth * 4.0;
        t + gap * slope / (slope * slope + curved * 6.0 * gap)
    }

    /// What flows with the skin at `t` kelvin.
    #[inline(always)]
    fn at(&self, t: R, water_c: R) -> SkinBalance<R> {
        let cubed = self.grey * (t * t * t);
        let skin_c = t - ZERO_CELSIUS_K;
        let radiation_w_m2_k = cubed * 4.0;
        SkinBalance {
            skin_c,
            follows_water: self.conductance_w_m2_k / (self.linear_w_m2_k + radiation_w_m2_k),
            convection_w_m2: -(self.convection_w_m2_k * (skin_c - self.air_c)),
            longwave_w_m2: self.kept_w_m2 - cubed * t,
            radiation_w_m2_k,
            into_water_w_m2: self.conductance_w_m2_k * (skin_c - water_c),
        }
    }
}

/// A skin that was found already for another temperature of the water.
#[derive(Clone, Copy, Debug)]
pub struct SkinKnown<R = f64> {
    /// The water for which it was found, °C.
    pub(crate) water_c: R,
    pub(crate) skin_c: R,
    pub(crate) follows_water: R,
}

impl<R: Real> SkinKnown<R> {
    /// All at 0 °C, in as many lanes as `zero`.
    #[must_use]
    pub fn none(zero: R) -> Self {
        Self {
            water_c: zero,
            skin_c: zero,
            follows_water: zero,
        }
    }
}
