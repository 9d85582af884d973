//! The heater put through the test of an unglazed panel, on paper.

use swimdays_properties::constants::STANDARD_PRESSURE_PA;

use crate::board::air_black_w_m2;
use crate::heater::{Heater, HeaterWeather};
use crate::panel::UnglazedCoefficients;

/// Irradiance of the paper test, W/m², normal to the plane.
const IRRADIANCE_W_M2: f64 = 900.0;
/// Share of it that is diffuse.
const DIFFUSE_FRAC: f64 = 0.15;
/// Longwave onto the plane less that of a black body as warm as the air, W/m²: a clear sky.
const NET_LONGWAVE_W_M2: f64 = -80.0;
/// Air of the paper test, °C.
const AIR_C: f64 = 22.0;
/// Winds, m/s, and inlets above the air, K.
const WINDS_M_S: [f64; 5] = [0.5, 1.0, 1.5, 2.0, 3.0];
const INLETS_K: [f64; 5] = [-2.0, 2.0, 6.0, 10.0, 15.0];

/// Least-squares line through points: value at 0 and slope.
fn line(points: &[(f64, f64)]) -> (f64, f64) {
    let mut n = 0.0;
    let (mut x, mut y, mut xx, mut xy) = (0.0, 0.0, 0.0, 0.0);
    for (a, b) in points {
        n += 1.0;
        x += a;
        y += b;
        xx += a * a;
        xy += a * b;
    }
    let slope = (n * xy - x * y) / (n * xx - x * x);
    ((y - slope * x) / n, slope)
}

impl Heater {
    /// Coefficients that a steady-state test of an unglazed panel would find, on [`Heater::aperture_m2`].
    ///
    /// `η = η₀ (1 − b_u u) − (b₁ + b₂ u)(T_m − T_a)/G″` fitted by least squares, a line in the reduced temperature at
    /// each of five winds from 0.5 to 3 m/s, then lines in the wind, at 900 W/m² and a clear sky.
    ///
    /// Source: ISO 9806, unglazed collectors, steady-state model (from memory). Meaningless for a deck.
    #[must_use]
    pub fn unglazed_coefficients(&self, flow_kg_s: f64) -> UnglazedCoefficients {
        let state = self.initial_state(AIR_C, AIR_C);
        let mut eta = [(0.0, 0.0); 5];
        let mut loss = [(0.0, 0.0); 5];
        for (i, wind_m_s) in WINDS_M_S.into_iter().enumerate() {
            let w = HeaterWeather {
                beam_w_m2: (1.0 - DIFFUSE_FRAC) * IRRADIANCE_W_M2,
                incidence_cos: 1.0,
                diffuse_w_m2: DIFFUSE_FRAC * IRRADIANCE_W_M2,
                longwave_w_m2: air_black_w_m2(AIR_C) + NET_LONGWAVE_W_M2,
                air_c: AIR_C,
                pressure_pa: STANDARD_PRESSURE_PA,
                wind_m_s,
                ground_c: AIR_C,
            };
            let points = INLETS_K.map(|k| self.efficiency(&w, &state, AIR_C + k, flow_kg_s));
            let (zero, slope) = line(&points);
            eta[i] = (wind_m_s, zero);
            loss[i] = (wind_m_s, -slope);
        }
        let (eta0_frac, eta_slope) = line(&eta);
        let (b1_w_m2_k, b2_w_s_m3_k) = line(&loss);
        UnglazedCoefficients {
            eta0_frac,
            bu_s_m: -eta_slope / eta0_frac,
            b1_w_m2_k,
            b2_w_s_m3_k,
        }
    }
}
