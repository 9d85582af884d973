//! A bought unglazed panel from its test coefficients.

use crate::board::air_black_w_m2;
use crate::hottel::mean_rise_share;
use crate::spec::{PanelSpec, positive, within};
use crate::surface::diffuse_modifier;
use crate::{CollectorError, HeaterWeather};
use swimdays_properties::constants::{STEFAN_BOLTZMANN_W_M2_K4, ZERO_CELSIUS_K};
use swimdays_properties::elementary::exp;
use swimdays_properties::optics::incidence_modifier;

/// Heat of a square metre at a mean water temperature, W/m², by the steady-state test equation.
///
/// `Q/A = η₀ (1 − b_u u) G″ − (b₁ + b₂ u)(T_m − T_a)`, `G″ = G + (ε/α)(E_L − σ T_a⁴)`
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | u | `wind_m_s` | m/s | 0…3 tested (from memory) |
/// | G | `irradiance_w_m2` | W/m² | |
/// | E_L − σT_a⁴ | `net_longwave_w_m2` | W/m² | |
/// | T_m − T_a | `mean_rise_k` | K | |
///
/// Beyond the tested wind it continues; `1 − b_u u` stops at 0.
///
/// Source: ISO 9806, unglazed collectors, steady-state model (from memory).
///
/// ```
/// use swimdays_collector::{PanelSpec, panel_heat_w_m2};
/// let panel = PanelSpec {
///     area_m2: 1.0, eta0_frac: 0.9, bu_s_m: 0.03, b1_w_m2_k: 10.0, b2_w_s_m3_k: 4.0,
///     emissivity_over_absorptance: 1.0, heat_capacity_j_m2_k: 1e4, b0: 0.0,
/// };
/// // By hand: 0.9·0.955·700 − 16·3.
/// assert!((panel_heat_w_m2(&panel, 1.5, 800.0, -100.0, 3.0) - 553.65).abs() < 1e-9);
/// ```
#[must_use]
pub fn panel_heat_w_m2(
    panel: &PanelSpec,
    wind_m_s: f64,
    irradiance_w_m2: f64,
    net_longwave_w_m2: f64,
    mean_rise_k: f64,
) -> f64 {
    let eta = panel.eta0_frac * (1.0 - panel.bu_s_m * wind_m_s).max(0.0);
    eta * (irradiance_w_m2 + panel.emissivity_over_absorptance * net_longwave_w_m2)
        - (panel.b1_w_m2_k + panel.b2_w_s_m3_k * wind_m_s) * mean_rise_k
}

/// Coefficients that describe an unglazed heater as a test would: `η = η₀ (1 − b_u u) − (b₁ + b₂ u)(T_m − T_a)/G″`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnglazedCoefficients {
    /// Efficiency without loss.
    pub eta0_frac: f64,
    /// Its wind dependence, s/m.
    pub bu_s_m: f64,
    /// Loss without wind, W/(m²·K).
    pub b1_w_m2_k: f64,
    /// Its wind dependence, W·s/(m³·K).
    pub b2_w_s_m3_k: f64,
}

/// A panel in one weather.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PanelNow {
    pub absorbed_w: f64,
    /// Loss at the air's temperature, W (the sky takes it even there).
    pub lost_at_air_w: f64,
    pub loss_w_k: f64,
    pub air_c: f64,
    pub area_m2: f64,
}

pub(crate) struct PanelRunning {
    pub heat_w: f64,
    pub slope_w_k: f64,
    pub mean_c: f64,
    pub lost_w: f64,
}

/// Emissivity of a black panel for what the test line leaves out of its radiation (common practice, no source).
const HOT_EMISSIVITY: f64 = 0.9;

/// Transfer units from which a flow counts as a trickle.
const TRICKLE_NTU: f64 = 2.0;

/// Rise of the standing panel below which both lines are one, K.
const LEAST_RISE_K: f64 = 0.1;

/// Newton steps to the standing panel's temperature; it is off by less than 0.01 K after three, from the line's.
const STANDING_STEPS: usize = 4;

impl PanelNow {
    /// Where the test line ends, °C: what the outlet tends to at a trickle.
    fn line_end_c(&self) -> f64 {
        self.air_c + (self.absorbed_w - self.lost_at_air_w) / self.loss_w_k
    }

    /// The standing panel, °C: the test line, and what radiation at its temperature gives off beyond the line's tangent,
    /// `ε σ [T⁴ − T_a⁴ − 4 T_a³ (T − T_a)]`, since a standing panel is far hotter than any panel in the test.
    ///
    /// An upper bound all the same: free convection too grows with the difference, and the line has it as tested.
    pub(crate) fn stagnant_c(&self) -> f64 {
        let gain_w = self.absorbed_w - self.lost_at_air_w;
        let air_k = self.air_c + ZERO_CELSIUS_K;
        let radiated = self.area_m2 * HOT_EMISSIVITY * STEFAN_BOLTZMANN_W_M2_K4;
        let mut rise = gain_w / self.loss_w_k;
        for _ in 0..STANDING_STEPS {
            let t = air_k + rise;
            let beyond = radiated * (t.powi(4) - air_k.powi(4) - 4.0 * air_k.powi(3) * rise);
            let slope = self.loss_w_k + 4.0 * radiated * (t.powi(3) - air_k.powi(3));
            rise -= (self.loss_w_k * rise + beyond - gain_w) / slope;
        }
        self.air_c + rise
    }

    /// Differs from the test equation by taking the mean of the exponential profile rather than of inlet and outlet,
    /// so that no outlet can pass the end of the line; less than 1 % at N = 0.3. At a trickle the panel is nearly
    /// as hot as standing: there the line runs from the air to the standing panel.
    pub(crate) fn running(&self, inlet_c: f64, capacity_w_k: f64) -> PanelRunning {
        let (mut end_c, mut loss_w_k) = (self.line_end_c(), self.loss_w_k);
        if loss_w_k > TRICKLE_NTU * capacity_w_k && (end_c - self.air_c).abs() > LEAST_RISE_K {
            end_c = self.stagnant_c();
            loss_w_k = (self.absorbed_w - self.lost_at_air_w) / (end_c - self.air_c);
        }
        let ntu = loss_w_k / capacity_w_k;
        let removal = capacity_w_k * (1.0 - exp(-ntu));
        let heat_w = removal * (end_c - inlet_c);
        let mean_c = inlet_c + mean_rise_share(ntu) * heat_w / capacity_w_k;
        PanelRunning {
            heat_w,
            slope_w_k: -removal,
            mean_c,
            lost_w: self.lost_at_air_w + loss_w_k * (mean_c - self.air_c),
        }
    }
}

pub(crate) fn check(spec: &PanelSpec) -> Result<(), CollectorError> {
    positive("panel area, m²", spec.area_m2)?;
    within("panel eta0", spec.eta0_frac, 0.01, 1.0)?;
    within("panel bu, s/m", spec.bu_s_m, 0.0, 0.3)?;
    positive("panel b1, W/(m²·K)", spec.b1_w_m2_k)?;
    within("panel b2, W·s/(m³·K)", spec.b2_w_s_m3_k, 0.0, 50.0)?;
    within(
        "panel emissivity over absorptance",
        spec.emissivity_over_absorptance,
        0.0,
        2.0,
    )?;
    positive("panel heat capacity, J/(m²·K)", spec.heat_capacity_j_m2_k)?;
    within("panel b0", spec.b0, 0.0, 0.5)
}

#[inline]
pub(crate) fn now(spec: &PanelSpec, w: &HeaterWeather) -> PanelNow {
    let eta = spec.eta0_frac * (1.0 - spec.bu_s_m * w.wind_m_s).max(0.0);
    let sun = incidence_modifier(spec.b0, w.incidence_cos) * w.beam_w_m2
        + diffuse_modifier(spec.b0) * w.diffuse_w_m2;
    let net_longwave = w.longwave_w_m2 - air_black_w_m2(w.air_c);
    PanelNow {
        absorbed_w: spec.area_m2 * eta * sun,
        lost_at_air_w: -spec.area_m2 * eta * spec.emissivity_over_absorptance * net_longwave,
        loss_w_k: spec.area_m2 * (spec.b1_w_m2_k + spec.b2_w_s_m3_k * w.wind_m_s),
        air_c: w.air_c,
        area_m2: spec.area_m2,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_standing_panel_radiates_by_the_fourth_power() {
        // By hand: gain 1000 W on 1 m² at 10 W/K ends the line at 130 °C in air of 30 °C. With radiation beyond the
        // tangent the rise x solves 10 x + 5.103e-8 [(303.15 + x)⁴ − 303.15⁴ − 4·303.15³ x] = 1000: by halving, x = 79.12,
        // where the left side is 791.2 + 208.8.
        let now = PanelNow {
            absorbed_w: 1000.0,
            lost_at_air_w: 0.0,
            loss_w_k: 10.0,
            air_c: 30.0,
            area_m2: 1.0,
        };
        assert!((now.line_end_c() - 130.0).abs() < 1e-9);
        assert!(
            (now.stagnant_c() - 109.12).abs() < 0.01,
            "{}",
            now.stagnant_c()
        );
    }
}
