//! The sunlit surface of a metre of tube: bare or below a lid, with something beside it that takes or gives heat.

use swimdays_properties::constants::{STEFAN_BOLTZMANN_W_M2_K4, ZERO_CELSIUS_K};
use swimdays_properties::elementary::exp;

use crate::HeaterWeather;
use crate::hottel::mean_rise_share;
use crate::outside::{OutsideFilm, gap_w_m2_k, plate_wind_w_m2_k};
use crate::spec::LidSpec;

/// Fixed Newton steps of a surface that water cools; the start is the linear solution.
const RUNNING_STEPS: usize = 2;
/// Transfer units below which their slope is taken at the air's temperature: in calm air 15 % off, which moves the mean
/// water by 15 % of N/12 of the rise and the heat by less than 0.1 %.
const SMALL_NTU: f64 = 0.25;
/// Fixed Newton steps of a surface without flow.
const STAGNANT_STEPS: usize = 3;
/// Fixed Newton steps of the lid's temperature.
const LID_STEPS: usize = 4;

/// Emission of a black surface, W/m², and its slope, W/(m²·K).
#[inline]
pub(crate) fn black_body(surface_c: f64) -> (f64, f64) {
    let t = surface_c + ZERO_CELSIUS_K;
    let cube = STEFAN_BOLTZMANN_W_M2_K4 * t * t * t;
    (cube * t, 4.0 * cube)
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
    Lid(LidNow),
}

/// A gap and a lid in one weather.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LidNow {
    gap_w_m2_k: f64,
    /// `1/(1/ε₁ + 1/ε₂ − 1)`.
    exchange_frac: f64,
    lid_emissivity: f64,
    wind_w_m2_k: f64,
    air_c: f64,
    longwave_w_m2: f64,
}

impl LidNow {
    /// What the surface gives through the gap when the lid, which stores nothing, passes it on, W/m², and slope.
    ///
    /// Not inlined: lids are rare, and bare tubes run faster without this in their way.
    #[inline(never)]
    fn loss(&self, surface_c: f64) -> (f64, f64) {
        let (black, black_slope) = black_body(surface_c);
        let mut lid_c = 0.5 * (surface_c + self.air_c);
        let mut below_slope = 0.0;
        let mut slope = 1.0;
        let mut below = 0.0;
        for step in 0..=LID_STEPS {
            let (lid, lid_slope) = black_body(lid_c);
            below = self.gap_w_m2_k * (surface_c - lid_c) + self.exchange_frac * (black - lid);
            below_slope = self.gap_w_m2_k + self.exchange_frac * lid_slope;
            let above = self.wind_w_m2_k * (lid_c - self.air_c)
                + self.lid_emissivity * (lid - self.longwave_w_m2);
            slope = below_slope + self.wind_w_m2_k + self.lid_emissivity * lid_slope;
            if step < LID_STEPS {
                lid_c += (below - above) / slope;
            }
        }
        let direct = self.gap_w_m2_k + self.exchange_frac * black_slope;
        (below, direct * (1.0 - below_slope / slope))
    }
}

impl Above {
    /// Film to the air at a surface temperature and its slope; a lid has its own and answers 0.
    #[inline]
    pub(crate) fn film_at(&self, surface_c: f64) -> (f64, f64) {
        match self {
            Self::Open { film, .. } => film.at(surface_c),
            Self::Lid(_) => (0.0, 0.0),
        }
    }

    /// Film of the wind alone.
    #[inline]
    pub(crate) fn wind_film(&self) -> f64 {
        match self {
            Self::Open { film, .. } => film.forced_w_m2_k,
            Self::Lid(_) => 0.0,
        }
    }

    /// Net loss upward with a given film, W/m², and its slope with the surface, W/(m²·K).
    #[inline]
    pub(crate) fn loss_with(&self, film_w_m2_k: f64, surface_c: f64) -> (f64, f64) {
        match self {
            Self::Open {
                film,
                emissivity,
                longwave_w_m2,
            } => {
                let (black, black_slope) = black_body(surface_c);
                (
                    film_w_m2_k * (surface_c - film.air_c) + emissivity * (black - longwave_w_m2),
                    film_w_m2_k + emissivity * black_slope,
                )
            }
            Self::Lid(lid) => lid.loss(surface_c),
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
        inside_m2_k_w: f64,
    ) -> Self {
        // Loss of a single-glazed black plate, to find the difference at which the gap is evaluated.
        const USUAL_LOSS_W_M2_K: f64 = 7.0;
        const USUAL_GAP_SHARE: f64 = 0.6;
        let rise = sun_w_m2 / (USUAL_LOSS_W_M2_K + 1.0 / inside_m2_k_w);
        let difference = USUAL_GAP_SHARE * rise;
        let mean_c = w.air_c + (1.0 - 0.5 * USUAL_GAP_SHARE) * rise;
        Self::Lid(LidNow {
            gap_w_m2_k: gap_w_m2_k(difference, mean_c, w.pressure_pa, lid.gap_m, tilt_deg),
            exchange_frac: 1.0 / (1.0 / emissivity + 1.0 / lid.emissivity_frac - 1.0),
            lid_emissivity: lid.emissivity_frac,
            wind_w_m2_k: plate_wind_w_m2_k(w.wind_m_s),
            air_c: w.air_c,
            longwave_w_m2: w.longwave_w_m2,
        })
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

/// A surface solved for one conductance to one temperature.
#[derive(Clone, Copy, Debug)]
struct Solved {
    surface_c: f64,
    /// Net loss upward, W/m².
    above_w_m2: f64,
    /// Slope of all losses with the surface, W/(m·K).
    loss_slope: f64,
    /// d surface / d (temperature joined to).
    slope: f64,
}

impl Metre {
    /// All losses less the sun with a given film, W/m, and slope.
    #[inline]
    fn loss_with(&self, film_w_m2_k: f64, surface_c: f64) -> (f64, f64) {
        let (q, slope) = self.above.loss_with(film_w_m2_k, surface_c);
        (
            self.width_m * q + self.side_w_m_k * (surface_c - self.side_c) - self.sun_w_m,
            self.width_m * slope + self.side_w_m_k,
        )
    }

    /// The surface when it is joined to nothing but `joined_w_m_k` at the air's temperature, by a straight line from
    /// the air's temperature; it depends on the weather alone.
    #[inline]
    fn reference_c(&self, joined_w_m_k: f64) -> f64 {
        let (net, slope) = self.loss_with(self.above.wind_film(), self.air_c);
        self.air_c - net / (slope + joined_w_m_k)
    }

    /// The balance with `joined_w_m_k` to `joined_c`: from the reference one straight step, the film to the air at
    /// that estimate, then Newton on the fourth power.
    ///
    /// The film is thus a function of the temperature joined to, which the slope takes into account.
    #[inline]
    fn solve<const STEPS: usize>(
        &self,
        reference: (f64, f64, f64),
        joined_w_m_k: f64,
        joined_c: f64,
    ) -> Solved {
        let (reference_c, loss, slope) = reference;
        let inverse = 1.0 / (slope + joined_w_m_k);
        let estimate_slope = joined_w_m_k * inverse;
        let estimate_c = reference_c - (loss + joined_w_m_k * (reference_c - joined_c)) * inverse;
        let (film_w_m2_k, film_slope) = self.above.film_at(estimate_c);
        let mut surface_c = estimate_c;
        for _ in 0..STEPS {
            let (loss, slope) = self.loss_with(film_w_m2_k, surface_c);
            surface_c -= (loss + joined_w_m_k * (surface_c - joined_c)) / (slope + joined_w_m_k);
        }
        let (above_w_m2, above_slope) = self.above.loss_with(film_w_m2_k, surface_c);
        let loss_slope = self.width_m * above_slope + self.side_w_m_k;
        let through_film = self.width_m * film_slope * estimate_slope * (surface_c - self.air_c);
        Solved {
            surface_c,
            above_w_m2,
            loss_slope,
            slope: (joined_w_m_k - through_film) / (loss_slope + joined_w_m_k),
        }
    }

    /// The reference temperature with its loss and slope, improved by the film at that temperature.
    #[inline]
    fn reference(&self, joined_w_m_k: f64) -> (f64, f64, f64) {
        let reference_c = self.reference_c(joined_w_m_k);
        let (loss, slope) = self.loss_with(self.above.film_at(reference_c).0, reference_c);
        (reference_c, loss, slope)
    }

    /// The surface when a resistance `inside`, m·K/W, joins it to water that enters at `inlet_c` and warms by `along`
    /// kelvin for a watt on every metre (length over capacity flow, m·K/W).
    #[inline]
    pub(crate) fn running(&self, inlet_c: f64, inside: f64, along: f64) -> MetreRunning {
        // The number of transfer units from the slope at a surface that does not depend on the inlet: at the usual
        // flows one as warm as the air, else that of water entering at the air's temperature.
        let (net, slope) = self.loss_with(self.above.wind_film(), self.air_c);
        let mut reference = (self.air_c, net, slope);
        let mut ntu = along * slope / (inside * slope + 1.0);
        if ntu > SMALL_NTU {
            reference = self.reference(1.0 / (inside + 0.5 * along));
            ntu = along * reference.2 / (inside * reference.2 + 1.0);
        }
        let share = mean_rise_share(ntu);
        let inlet_w_m_k = 1.0 / (inside + share * along);
        let solved = self.solve::<RUNNING_STEPS>(reference, inlet_w_m_k, inlet_c);
        MetreRunning {
            surface_c: solved.surface_c,
            inlet_w_m_k,
            mean_rise_share: share,
            surface_slope: solved.slope,
            above_w_m: self.width_m * solved.above_w_m2,
            side_w_m: self.side_w_m_k * (solved.surface_c - self.side_c),
        }
    }

    /// The surface without flow, °C, and its slope of loss there.
    #[inline]
    fn stagnant(&self) -> (f64, f64) {
        let solved = self.solve::<STAGNANT_STEPS>(self.reference(0.0), 0.0, self.air_c);
        (solved.surface_c, solved.loss_slope)
    }

    /// The surface without flow, °C.
    #[inline]
    pub(crate) fn stagnant_c(&self) -> f64 {
        self.stagnant().0
    }

    /// Temperature of a body of `capacity_j_m_k` that starts at `body_c`, after `dt_s` without flow.
    ///
    /// Exponential with the initial rate and the stagnation temperature both exact.
    #[inline]
    pub(crate) fn rest_c(&self, body_c: f64, capacity_j_m_k: f64, dt_s: f64) -> f64 {
        let (end_c, slope) = self.stagnant();
        let away = body_c - end_c;
        // The rate of approach: the secant between now and the end, the slope when they are the same.
        let rate = if away.abs() > 1.0 {
            let loss = self.loss_with(self.above.film_at(body_c).0, body_c).0;
            (loss / away).clamp(0.3 * slope, 3.0 * slope)
        } else {
            slope
        };
        end_c + away * exp(-rate * dt_s / capacity_j_m_k)
    }

    /// Capacity over slope at stagnation, s.
    pub(crate) fn time_constant_s(&self, capacity_j_m_k: f64) -> f64 {
        capacity_j_m_k / self.stagnant().1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed to two digits in the source, and recalled.
    const PRINTED_W_M2_K: f64 = 0.1;

    #[test]
    fn top_loss_of_one_glass() {
        // Duffie & Beckman, example 6.4.1 (from memory): plate 100 °C, air and sky 10 °C, gap 25 mm, ε 0.95 and 0.88,
        // wind 10 W/m²K, tilt 45°: the cover at 48.5 °C, U_t = 6.6 W/m²K.
        let (plate, air, cover) = (100.0, 10.0, 48.5);
        let lid = LidNow {
            gap_w_m2_k: gap_w_m2_k(plate - cover, 0.5 * (plate + cover), 101_325.0, 0.025, 45.0),
            exchange_frac: 1.0 / (1.0 / 0.95 + 1.0 / 0.88 - 1.0),
            lid_emissivity: 0.88,
            wind_w_m2_k: 10.0,
            air_c: air,
            longwave_w_m2: black_body(air).0,
        };
        let loss = lid.loss(plate).0 / (plate - air);
        assert!((loss - 6.6).abs() < PRINTED_W_M2_K, "{loss}");
    }
}
