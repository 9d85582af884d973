//! The sunlit surface of a metre of tube: bare or below a lid, with something beside it that takes or gives heat.

use swimdays_properties::constants::{STEFAN_BOLTZMANN_W_M2_K4, ZERO_CELSIUS_K};
use swimdays_properties::elementary::exp;
use swimdays_properties::real::{Mask, Real};

use crate::HeaterWeather;
use crate::hottel::mean_rise_share;
use crate::outside::{OutsideFilm, gap_w_m2_k, plate_wind_w_m2_k};
use crate::spec::LidSpec;

/// Fixed Newton steps of a surface that water cools; the start is the linear solution.
const RUNNING_STEPS: usize = 2;
/// Transfer units below which their slope is taken at the air's temperature: in calm air 15 % off, which moves the mean
/// water by 15 % of N/12 of the rise and the heat by less than 0.1 %.
const SMALL_NTU: f64 = 0.25;
/// Fixed steps of a surface without flow: Halley's in the open, where each cubes the error (about 4e-6 e³ K), Newton's below a lid.
const STAGNANT_STEPS: usize = 3;
const OPEN_STAGNANT_STEPS: usize = 2;
/// Fixed Newton steps of the lid's temperature.
const LID_STEPS: usize = 4;

/// Emission of a black surface, W/m², and its slope, W/(m²·K).
#[inline(always)]
pub(crate) fn black_body<R: Real>(surface_c: R) -> (R, R) {
    let t = surface_c + ZERO_CELSIUS_K;
    let cube = t * t * t * STEFAN_BOLTZMANN_W_M2_K4;
    (cube * t, cube * 4.0)
}

/// Diffuse light counts as a beam at 60°. Source: Duffie & Beckman, section 5.4 (59.7° for the sky at the horizontal).
#[inline]
pub(crate) fn diffuse_modifier(b0: f64) -> f64 {
    1.0 - b0
}

/// What the surface loses upward, for a square metre.
pub(crate) trait Above<R: Real>: Copy {
    /// Film to the air at a surface temperature and its slope; a lid has its own and answers 0.
    fn film_at(&self, surface_c: R) -> (R, R);

    /// Film of the wind alone.
    fn wind_film(&self) -> R;

    /// Net loss upward with a given film, W/m², and its slope with the surface, W/(m²·K).
    fn loss_with(&self, film_w_m2_k: R, surface_c: R) -> (R, R);

    /// The surface, °C, whose losses with a given film are what it `takes`, some steps on from an estimate.
    #[inline(always)]
    fn balance<const STEPS: usize>(&self, takes: &Takes<R>, film_w_m2_k: R, estimate_c: R) -> R {
        let mut surface_c = estimate_c;
        for _ in 0..STEPS {
            let (q, slope) = self.loss_with(film_w_m2_k, surface_c);
            let loss = takes.width_m * q + takes.joined_w_m_k * surface_c - takes.driven_w_m;
            surface_c -= loss / (takes.width_m * slope + takes.joined_w_m_k);
        }
        surface_c
    }

    /// As [`Self::balance`] for a surface without flow, whose estimate may be tens of kelvin off.
    #[inline(always)]
    fn balance_still(&self, takes: &Takes<R>, film_w_m2_k: R, estimate_c: R) -> R {
        self.balance::<STAGNANT_STEPS>(takes, film_w_m2_k, estimate_c)
    }
}

/// What a metre's surface takes besides what it loses upward: `driven − joined T`, W/m.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Takes<R> {
    width_m: R,
    /// All conductances below and beside it, W/(m·K).
    joined_w_m_k: R,
    /// The sun, and what those conductances would bring to a surface at 0 °C, W/m.
    driven_w_m: R,
}

/// Wind and longwave directly.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Open<R = f64> {
    pub film: OutsideFilm<R>,
    pub emissivity: R,
    pub longwave_w_m2: R,
}

impl<R: Real> Above<R> for Open<R> {
    #[inline(always)]
    fn film_at(&self, surface_c: R) -> (R, R) {
        self.film.at(surface_c)
    }

    #[inline(always)]
    fn wind_film(&self) -> R {
        self.film.forced_w_m2_k
    }

    #[inline(always)]
    fn loss_with(&self, film_w_m2_k: R, surface_c: R) -> (R, R) {
        let (black, black_slope) = black_body(surface_c);
        (
            film_w_m2_k * (surface_c - self.film.air_c)
                + self.emissivity * (black - self.longwave_w_m2),
            film_w_m2_k + self.emissivity * black_slope,
        )
    }

    #[inline(always)]
    fn balance<const STEPS: usize>(&self, takes: &Takes<R>, film_w_m2_k: R, estimate_c: R) -> R {
        let quartic = self.quartic(takes, film_w_m2_k);
        let mut t = estimate_c + ZERO_CELSIUS_K;
        for _ in 0..STEPS {
            let fourth = quartic.grey * (t * t * t);
            let gap = quartic.driving - (quartic.linear + fourth) * t;
            t += gap / (quartic.linear + fourth * 4.0);
        }
        t - ZERO_CELSIUS_K
    }

    #[inline(always)]
    fn balance_still(&self, takes: &Takes<R>, film_w_m2_k: R, estimate_c: R) -> R {
        let quartic = self.quartic(takes, film_w_m2_k);
        let mut t = estimate_c + ZERO_CELSIUS_K;
        for _ in 0..OPEN_STAGNANT_STEPS {
            let curved = quartic.grey * (t * t);
            let fourth = curved * t;
            let gap = quartic.driving - (quartic.linear + fourth) * t;
            let slope = quartic.linear + fourth * 4.0;
            t += gap * slope / (slope * slope + curved * 6.0 * gap);
        }
        t - ZERO_CELSIUS_K
    }
}

/// A balance with wind and longwave in the open: `(linear + grey T³) T = driving`, T in kelvin.
#[derive(Clone, Copy, Debug)]
struct Quartic<R> {
    linear: R,
    grey: R,
    driving: R,
}

impl<R: Real> Open<R> {
    #[inline(always)]
    fn quartic(&self, takes: &Takes<R>, film_w_m2_k: R) -> Quartic<R> {
        let to_air = takes.width_m * film_w_m2_k;
        let emitting = takes.width_m * self.emissivity;
        Quartic {
            linear: to_air + takes.joined_w_m_k,
            grey: emitting * STEFAN_BOLTZMANN_W_M2_K4,
            driving: takes.driven_w_m
                + takes.joined_w_m_k * ZERO_CELSIUS_K
                + to_air * (self.film.air_c + ZERO_CELSIUS_K)
                + emitting * self.longwave_w_m2,
        }
    }
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

impl Above<f64> for LidNow {
    #[inline]
    fn film_at(&self, _: f64) -> (f64, f64) {
        (0.0, 0.0)
    }

    #[inline]
    fn wind_film(&self) -> f64 {
        0.0
    }

    #[inline]
    fn loss_with(&self, _: f64, surface_c: f64) -> (f64, f64) {
        self.loss(surface_c)
    }
}

impl LidNow {
    /// A lid in this weather. The gap's convection is taken at the temperature difference of a balance with a usual
    /// gap, so that it does not depend on the water; `sun_w_m2` is what the surface below absorbs.
    pub(crate) fn new(
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
        Self {
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
pub(crate) struct Metre<R = f64, A = Open<R>> {
    /// Width that takes sun and gives heat away upward, m.
    pub width_m: R,
    /// Sun absorbed on that width, W/m.
    pub sun_w_m: R,
    pub above: A,
    /// Conductance to what lies beside and below, W/(m·K), and the temperature it stands at.
    pub side_w_m_k: R,
    pub side_c: R,
    pub air_c: f64,
}

/// What of running water does not depend on the water's temperature.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ready<R> {
    /// The surface of the straight line from the reference: at an inlet of 0 °C, and its rise with the inlet.
    estimate_at_0_c: R,
    estimate_slope: R,
    /// Conductance from the surface to the water at the inlet, the warming along the flow included, W/(m·K).
    pub inlet_w_m_k: R,
    /// Share of the whole rise by which the mean water is above the inlet.
    pub mean_rise_share: R,
}

/// A surface temperature that depends on the weather alone, with its loss, W/m, and slope, W/(m·K).
#[derive(Clone, Copy, Debug)]
struct Reference<R> {
    surface_c: R,
    loss: R,
    slope: R,
}

/// A surface solved for one conductance to one temperature.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Solved<R> {
    pub surface_c: R,
    /// Net loss upward, W/m².
    pub above_w_m2: R,
    /// d surface / d (temperature joined to).
    pub slope: R,
}

/// The surface without flow, °C, and its slope of loss there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Still<R> {
    pub surface_c: R,
    slope: R,
}

impl<R: Real, A: Above<R>> Metre<R, A> {
    /// All losses less the sun with a given film, W/m, and slope.
    #[inline(always)]
    fn loss_with(&self, film_w_m2_k: R, surface_c: R) -> (R, R) {
        let (q, slope) = self.above.loss_with(film_w_m2_k, surface_c);
        (
            self.width_m * q + self.side_w_m_k * (surface_c - self.side_c) - self.sun_w_m,
            self.width_m * slope + self.side_w_m_k,
        )
    }

    /// Loss and slope at the air's temperature, the film that of the wind.
    #[inline(always)]
    fn at_air(&self) -> Reference<R> {
        let surface_c = self.width_m.like(self.air_c);
        let (loss, slope) = self.loss_with(self.above.wind_film(), surface_c);
        Reference {
            surface_c,
            loss,
            slope,
        }
    }

    /// The surface when it is joined to nothing but `joined_w_m_k` at the air's temperature: a straight line from
    /// the air's temperature, improved by the film there.
    #[inline(always)]
    fn reference(&self, at_air: &Reference<R>, joined_w_m_k: R) -> Reference<R> {
        let surface_c = at_air.surface_c - at_air.loss / (at_air.slope + joined_w_m_k);
        let (loss, slope) = self.loss_with(self.above.film_at(surface_c).0, surface_c);
        Reference {
            surface_c,
            loss,
            slope,
        }
    }

    /// What the surface takes when it is joined to `joined_c` besides its side.
    #[inline(always)]
    fn takes(&self, joined_w_m_k: R, joined_c: R) -> Takes<R> {
        Takes {
            width_m: self.width_m,
            joined_w_m_k: self.side_w_m_k + joined_w_m_k,
            driven_w_m: self.sun_w_m + self.side_w_m_k * self.side_c + joined_w_m_k * joined_c,
        }
    }

    /// Made ready for water behind a resistance `inside`, m·K/W, that warms by `along` kelvin for a watt on every metre
    /// (length over capacity flow, m·K/W).
    #[inline(always)]
    pub(crate) fn ready(&self, inside: R, along: R) -> Ready<R> {
        // The number of transfer units from the slope at a surface that does not depend on the inlet: at the usual
        // flows one as warm as the air, else that of water entering at the air's temperature.
        let mut reference = self.at_air();
        let mut ntu = along * reference.slope / (inside * reference.slope + 1.0);
        let many = ntu.is_above(ntu.like(SMALL_NTU));
        if many.any() {
            let better = self.reference(&reference, ntu.like(1.0) / (inside + along * 0.5));
            let better_ntu = along * better.slope / (inside * better.slope + 1.0);
            ntu = R::select(many, better_ntu, ntu);
            reference = Reference {
                surface_c: R::select(many, better.surface_c, reference.surface_c),
                loss: R::select(many, better.loss, reference.loss),
                slope: R::select(many, better.slope, reference.slope),
            };
        }
        let share = mean_rise_share(ntu);
        // 1/(inside + share · along) beside the slope, with one division.
        let resistance = inside + share * along;
        let inverse = ntu.like(1.0) / (reference.slope * resistance + 1.0);
        Ready {
            estimate_at_0_c: (reference.slope * reference.surface_c - reference.loss)
                * resistance
                * inverse,
            estimate_slope: inverse,
            inlet_w_m_k: ntu.like(1.0) / resistance,
            mean_rise_share: share,
        }
    }

    /// The surface when the water enters at `inlet_c`: from the reference one straight step, the film to the air at
    /// that estimate, then Newton on the fourth power.
    ///
    /// The film is thus a function of the inlet, which the slope takes into account.
    #[inline(always)]
    pub(crate) fn running(&self, ready: &Ready<R>, inlet_c: R) -> Solved<R> {
        let joined_w_m_k = ready.inlet_w_m_k;
        let estimate_c = ready.estimate_at_0_c + ready.estimate_slope * inlet_c;
        let (film_w_m2_k, film_slope) = self.above.film_at(estimate_c);
        let takes = self.takes(joined_w_m_k, inlet_c);
        let surface_c = self
            .above
            .balance::<RUNNING_STEPS>(&takes, film_w_m2_k, estimate_c);
        let (above_w_m2, above_slope) = self.above.loss_with(film_w_m2_k, surface_c);
        let loss_slope = self.width_m * above_slope + takes.joined_w_m_k;
        let through_film =
            self.width_m * film_slope * ready.estimate_slope * (surface_c - self.air_c);
        Solved {
            surface_c,
            above_w_m2,
            slope: (joined_w_m_k - through_film) / loss_slope,
        }
    }

    /// The surface without flow: joined to nothing but its side.
    #[inline(always)]
    pub(crate) fn still(&self) -> Still<R> {
        let none = self.width_m.like(0.0);
        let reference = self.reference(&self.at_air(), none);
        let estimate_c = reference.surface_c - reference.loss / reference.slope;
        let film_w_m2_k = self.above.film_at(estimate_c).0;
        let takes = self.takes(none, none);
        let surface_c = self.above.balance_still(&takes, film_w_m2_k, estimate_c);
        Still {
            surface_c,
            slope: self.loss_with(film_w_m2_k, surface_c).1,
        }
    }

    /// Temperature of a body of `capacity_j_m_k` that starts at `body_c`, after `dt_s` without flow.
    ///
    /// Exponential with the initial rate and the stagnation temperature both exact.
    #[inline(always)]
    pub(crate) fn rest_c(&self, still: &Still<R>, body_c: R, capacity_j_m_k: R, dt_s: R) -> R {
        let (end_c, slope) = (still.surface_c, still.slope);
        let away = body_c - end_c;
        // The rate of approach: the secant between now and the end, the slope when they are the same.
        let far = away.size().is_above(away.like(1.0));
        let mut rate = slope;
        if far.any() {
            let loss = self.loss_with(self.above.film_at(body_c).0, body_c).0;
            let secant = (loss / away)
                .or_at_least(slope * 0.3)
                .or_at_most(slope * 3.0);
            rate = R::select(far, secant, slope);
        }
        end_c + away * exp(-(rate * dt_s) / capacity_j_m_k)
    }
}

impl<R: Real> Still<R> {
    /// Capacity over slope, s.
    #[inline(always)]
    pub(crate) fn time_constant_s(&self, capacity_j_m_k: R) -> R {
        capacity_j_m_k / self.slope
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
