//! A bought unglazed panel from its test coefficients.

use crate::board::air_black_w_m2;
use crate::hottel::mean_rise_share;
use crate::spec::{PanelSpec, positive, within};
use crate::surface::diffuse_modifier;
use crate::{CollectorError, HeaterWeather};
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
}

pub(crate) struct PanelRunning {
    pub heat_w: f64,
    pub slope_w_k: f64,
    pub mean_c: f64,
    pub lost_w: f64,
}

impl PanelNow {
    /// Where the test line ends, °C. An upper bound of the standing panel: the line was measured within some 30 K of the
    /// air, and radiation and free convection grow faster than it.
    pub(crate) fn stagnant_c(&self) -> f64 {
        self.air_c + (self.absorbed_w - self.lost_at_air_w) / self.loss_w_k
    }

    /// Differs from the test equation by taking the mean of the exponential profile rather than of inlet and outlet,
    /// so that no outlet can pass the stagnation temperature; less than 1 % at N = 0.3.
    pub(crate) fn running(&self, inlet_c: f64, capacity_w_k: f64) -> PanelRunning {
        let ntu = self.loss_w_k / capacity_w_k;
        let removal = capacity_w_k * (1.0 - exp(-ntu));
        let heat_w = removal * (self.stagnant_c() - inlet_c);
        let mean_c = inlet_c + mean_rise_share(ntu) * heat_w / capacity_w_k;
        PanelRunning {
            heat_w,
            slope_w_k: -removal,
            mean_c,
            lost_w: self.lost_at_air_w + self.loss_w_k * (mean_c - self.air_c),
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
    }
}
