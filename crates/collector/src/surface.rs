//! The sunlit surface of a metre of tube: bare or below a lid, with something beside it that takes or gives heat.

use swimdays_properties::constants::{STEFAN_BOLTZMANN_W_M2_K4, ZERO_CELSIUS_K};

use crate::HeaterWeather;
use crate::hottel::mean_rise_share;
use crate::outside::{OutsideFilm, gap_w_m2_k, plate_wind_w_m2_k};
use crate::spec::LidSpec;

/// Fixed Newton steps of a running tube; the start is the linear solution, 3 reach 1e-10 K.
const RUNNING_STEPS: usize = 3;
/// Fixed Newton steps of a tube without flow.
const STAGNANT_STEPS: usize = 6;
/// Fixed Newton steps of the lid's temperature.
const LID_STEPS: usize = 4;

/// Emission of a black surface, W/m², and its slope, W/(m²·K).
#[inline]
pub(crate) fn black_body(surface_c: f64) -> (f64, f64) {
    let t = surface_c + ZERO_CELSIUS_K;
    let cube = STEFAN_BOLTZMANN_W_M2_K4 * t * t * t;
    (cube * t, 4.0 * cube)
}

/// Incidence-angle modifier `K = 1 − b₀ (1/cos θ − 1)` to 60°, from there straight to 0 at 90°.
///
/// Source: Souka & Safwat (1966); Duffie & Beckman, equation 6.17.10; the straight line beyond 60° from memory.
#[inline]
pub(crate) fn incidence_modifier(b0: f64, cos: f64) -> f64 {
    if b0 == 0.0 {
        1.0
    } else if cos >= 0.5 {
        1.0 - b0 * (1.0 / cos - 1.0)
    } else {
        let beyond = (cos.max(0.0).acos().to_degrees() - 60.0) / 30.0;
        (1.0 - b0) * (1.0 - beyond)
    }
}

/// Diffuse light counts as a beam at 60°. Source: Duffie & Beckman, section 5.4 (59.7° for the sky at the horizontal).
#[inline]
pub(crate) fn diffuse_modifier(b0: f64) -> f64 {
    1.0 - b0
}

/// What the surface loses upward, for a square metre.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Above {
    /// Wind and longwave directly.
    Open {
        film: OutsideFilm,
        emissivity: f64,
        longwave_w_m2: f64,
    },
    /// A gap and a lid, which meets wind and longwave.
    Lid {
        gap_w_m2_k: f64,
        /// `1/(1/ε₁ + 1/ε₂ − 1)`.
        exchange_frac: f64,
        lid_emissivity: f64,
        wind_w_m2_k: f64,
        air_c: f64,
        longwave_w_m2: f64,
    },
}

impl Above {
    /// Net loss upward, W/m², and its slope with the surface, W/(m²·K).
    #[inline]
    pub(crate) fn loss(&self, surface_c: f64) -> (f64, f64) {
        match self {
            Self::Open {
                film,
                emissivity,
                longwave_w_m2,
            } => {
                let (air, air_slope) = film.loss(surface_c);
                let (black, black_slope) = black_body(surface_c);
                (
                    air + emissivity * (black - longwave_w_m2),
                    air_slope + emissivity * black_slope,
                )
            }
            Self::Lid {
                gap_w_m2_k,
                exchange_frac,
                lid_emissivity,
                wind_w_m2_k,
                air_c,
                longwave_w_m2,
            } => {
                let (black, black_slope) = black_body(surface_c);
                let mut lid_c = 0.5 * (surface_c + air_c);
                let mut below_slope = 0.0;
                let mut slope = 1.0;
                let mut below = 0.0;
                for step in 0..=LID_STEPS {
                    let (lid, lid_slope) = black_body(lid_c);
                    below = gap_w_m2_k * (surface_c - lid_c) + exchange_frac * (black - lid);
                    below_slope = gap_w_m2_k + exchange_frac * lid_slope;
                    let above =
                        wind_w_m2_k * (lid_c - air_c) + lid_emissivity * (lid - longwave_w_m2);
                    slope = below_slope + wind_w_m2_k + lid_emissivity * lid_slope;
                    if step < LID_STEPS {
                        lid_c += (below - above) / slope;
                    }
                }
                let direct = gap_w_m2_k + exchange_frac * black_slope;
                (below, direct * (1.0 - below_slope / slope))
            }
        }
    }

    /// A lid in this weather. The gap's convection is taken at the temperature difference of a balance with a usual
    /// gap, so that it does not depend on the water; `sun_w_m2` is what the surface below absorbs.
    pub(crate) fn lid(
        lid: &LidSpec,
        w: &HeaterWeather,
        emissivity: f64,
        tilt_deg: f64,
        sun_w_m2: f64,
        inside_w_m2_k: f64,
    ) -> Self {
        // Loss of a single-glazed black plate, to find the difference at which the gap is evaluated.
        const USUAL_LOSS_W_M2_K: f64 = 7.0;
        const USUAL_GAP_SHARE: f64 = 0.6;
        let rise = sun_w_m2 / (USUAL_LOSS_W_M2_K + inside_w_m2_k);
        let difference = USUAL_GAP_SHARE * rise;
        let mean_c = w.air_c + (1.0 - 0.5 * USUAL_GAP_SHARE) * rise;
        Self::Lid {
            gap_w_m2_k: gap_w_m2_k(difference, mean_c, w.pressure_pa, lid.gap_m, tilt_deg),
            exchange_frac: 1.0 / (1.0 / emissivity + 1.0 / lid.emissivity_frac - 1.0),
            lid_emissivity: lid.emissivity_frac,
            wind_w_m2_k: plate_wind_w_m2_k(w.wind_m_s),
            air_c: w.air_c,
            longwave_w_m2: w.longwave_w_m2,
        }
    }
}

/// A metre of tube in one weather.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Metre {
    /// Width that takes sun and gives heat away upward, m.
    pub width_m: f64,
    /// Sun absorbed on that width, W/m.
    pub sun_w_m: f64,
    pub above: Above,
    /// Conductance to what lies beside and below, W/(m·K), and the temperature it stands at.
    pub side_w_m_k: f64,
    pub side_c: f64,
    pub air_c: f64,
}

/// A metre of tube with water running through it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MetreRunning {
    pub surface_c: f64,
    /// Conductance from the surface to the water at the inlet, the warming along the flow included, W/(m·K).
    pub inlet_w_m_k: f64,
    /// Share of the whole rise by which the mean water is above the inlet.
    pub mean_rise_share: f64,
    /// d surface / d inlet.
    pub surface_slope: f64,
    /// Net loss upward, W/m.
    pub above_w_m: f64,
    /// Heat to what lies beside and below, W/m.
    pub side_w_m: f64,
}

impl Metre {
    /// All losses less the sun, W/m, and slope.
    #[inline]
    fn loss(&self, surface_c: f64) -> (f64, f64) {
        let (q, slope) = self.above.loss(surface_c);
        (
            self.width_m * q + self.side_w_m_k * (surface_c - self.side_c) - self.sun_w_m,
            self.width_m * slope + self.side_w_m_k,
        )
    }

    /// The surface when `to_water_w_m_k` joins it to water that enters at `inlet_c` and takes up
    /// `capacity_w_k` watts for a kelvin over `length_m`.
    #[inline]
    pub(crate) fn running(
        &self,
        inlet_c: f64,
        to_water_w_m_k: f64,
        length_m: f64,
        capacity_w_k: f64,
    ) -> MetreRunning {
        let inside = 1.0 / to_water_w_m_k;
        let along = length_m / capacity_w_k;
        // A reference surface that depends on the weather and the flow but not on the inlet: the linear solution for
        // water that enters at the air's temperature. The slope there gives the number of transfer units.
        let (net, slope) = self.loss(self.air_c);
        let reference_c = self.air_c - net / (slope + 1.0 / (inside + 0.5 * along));
        let (_, slope) = self.loss(reference_c);
        let share = mean_rise_share(along / (inside + 1.0 / slope));
        let inlet_w_m_k = 1.0 / (inside + share * along);
        let mut surface_c =
            reference_c + (inlet_c - self.air_c) * inlet_w_m_k / (slope + inlet_w_m_k);
        for _ in 0..RUNNING_STEPS {
            let (loss, slope) = self.loss(surface_c);
            surface_c -= (loss + inlet_w_m_k * (surface_c - inlet_c)) / (slope + inlet_w_m_k);
        }
        let (above, above_slope) = self.above.loss(surface_c);
        let slope = self.width_m * above_slope + self.side_w_m_k;
        MetreRunning {
            surface_c,
            inlet_w_m_k,
            mean_rise_share: share,
            surface_slope: inlet_w_m_k / (slope + inlet_w_m_k),
            above_w_m: self.width_m * above,
            side_w_m: self.side_w_m_k * (surface_c - self.side_c),
        }
    }

    /// The surface without flow, °C.
    #[inline]
    pub(crate) fn stagnant_c(&self) -> f64 {
        let mut surface_c = self.air_c;
        for _ in 0..STAGNANT_STEPS {
            let (loss, slope) = self.loss(surface_c);
            surface_c -= loss / slope;
        }
        surface_c
    }

    /// Temperature of a body of `capacity_j_m_k` that starts at `body_c`, after `dt_s` without flow.
    ///
    /// Exponential with the initial rate and the stagnation temperature both exact.
    #[inline]
    pub(crate) fn rest_c(&self, body_c: f64, capacity_j_m_k: f64, dt_s: f64) -> f64 {
        let end_c = self.stagnant_c();
        let away = body_c - end_c;
        let (loss, slope) = self.loss(body_c);
        // The rate of approach: the secant between now and the end, the slope when they are the same.
        let rate = if away.abs() > 1e-3 {
            loss / away
        } else {
            slope
        };
        end_c + away * swimdays_properties::elementary::exp(-rate * dt_s / capacity_j_m_k)
    }

    /// Capacity over slope at stagnation, s.
    pub(crate) fn time_constant_s(&self, capacity_j_m_k: f64) -> f64 {
        capacity_j_m_k / self.loss(self.stagnant_c()).1
    }
}
