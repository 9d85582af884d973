//! Water that turns by itself when the pump stands and nothing stops it.

use std::f64::consts::PI;

use swimdays_properties::constants::GRAVITY_M_S2;
use swimdays_properties::water::{density_kg_m3, dynamic_viscosity_pa_s};

/// A length of round tube, all `circuits` of it side by side.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Run {
    pub length_m: f64,
    pub bore_m: f64,
    pub circuits: f64,
}

impl Run {
    /// Pressure drop of laminar flow, Pa for a m³/s: `128 μ L/(π d⁴)`, shared by the circuits.
    fn resistance_pa_s_m3(&self, viscosity_pa_s: f64) -> f64 {
        128.0 * viscosity_pa_s * self.length_m / (PI * self.bore_m.powi(4) * self.circuits)
    }
}

/// Laminar flow that buoyancy drives round a loop, kg/s.
///
/// `ṁ = ρ (ρ_above − ρ_below) g H / Σ 128 μ L/(π d⁴)`; 0 when the lighter water is already above.
///
/// Source: Hagen–Poiseuille; Boussinesq's column of one density on each side.
/// Differs: bends, fittings and the coil's curvature, which slow it, are left out: an upper bound. Flow above
/// Re 2300 would be slower than this as well.
pub(crate) fn flow_kg_s(upper_c: f64, lower_c: f64, height_m: f64, runs: &[Run]) -> f64 {
    let drive_pa =
        (density_kg_m3(upper_c) - density_kg_m3(lower_c)) * GRAVITY_M_S2 * height_m.abs();
    if drive_pa <= 0.0 {
        return 0.0;
    }
    let mean_c = 0.5 * (upper_c + lower_c);
    let mu = dynamic_viscosity_pa_s(mean_c);
    let resistance: f64 = runs.iter().map(|r| r.resistance_pa_s_m3(mu)).sum();
    density_kg_m3(mean_c) * drive_pa / resistance
}
