//! A heater without flow: stagnation, cooling and warming, the start, and what a deck's slab does in a step.

use crate::deck::SlabBalance;
use crate::heater::{FirstSlug, Heater, HeaterState, HeaterWeather, Kind, Running};
use crate::panel;
use crate::surface::{LidNow, Metre, Still};
use crate::thermosiphon::{Run, flow_kg_s};

/// Time for which a slab moves when only its present state is asked for, s.
pub(crate) const INSTANT_S: f64 = 1.0;

/// A metre of tube without flow, in the open or below a lid, and what it comes to.
#[derive(Clone, Copy, Debug)]
enum StillMetre {
    Bare(Metre, Still<f64>),
    Below(Metre<f64, LidNow>, Still<f64>),
}

impl StillMetre {
    fn bare(metre: Metre) -> Self {
        Self::Bare(metre, metre.still())
    }

    fn below(metre: Metre<f64, LidNow>) -> Self {
        Self::Below(metre, metre.still())
    }

    fn still(&self) -> &Still<f64> {
        match self {
            Self::Bare(_, still) | Self::Below(_, still) => still,
        }
    }

    fn rest_c(&self, body_c: f64, capacity_j_m_k: f64, dt_s: f64) -> f64 {
        match self {
            Self::Bare(metre, still) => metre.rest_c(still, body_c, capacity_j_m_k, dt_s),
            Self::Below(metre, still) => metre.rest_c(still, body_c, capacity_j_m_k, dt_s),
        }
    }
}

impl Heater {
    /// A metre of tube without flow that lies in the open or below a lid; absent for buried tubes and panels.
    fn metre(&self, w: &HeaterWeather, s: &HeaterState, dt_s: f64) -> Option<StillMetre> {
        match &self.kind {
            Kind::Board(b) => Some(match &b.spec.lid {
                None => StillMetre::bare(b.step.metre_bare(w).0),
                Some(lid) => StillMetre::below(b.metre_below(lid, w, f64::INFINITY).0),
            }),
            Kind::Deck(d) if !d.is_buried() => Some(StillMetre::bare(
                d.step.surface_metre(w, &d.step.step(w, &s.slab_c, dt_s)),
            )),
            _ => None,
        }
    }

    pub(crate) fn capacity_j_m_k(&self) -> f64 {
        self.tube().map_or(0.0, |t| self.capacity_j_k / t.length_m)
    }

    /// Steady temperature of the tube without flow in this weather, °C: what a thermometer strapped to it shows.
    ///
    /// A buried tube stands at its slab's temperature. Above about 50 °C this water scalds.
    #[must_use]
    pub fn stagnation_c(&self, w: &HeaterWeather, s: &HeaterState) -> f64 {
        match &self.kind {
            Kind::Panel(p) => panel::now(p, w).stagnant_c(),
            Kind::Deck(d) if d.is_buried() => s.slab_c[1],
            _ => self
                .metre(w, s, INSTANT_S)
                .map_or(w.air_c, |m| m.still().surface_c),
        }
    }

    /// Time in which a tube without flow goes 63 % of the way to stagnation, s, near stagnation.
    ///
    /// For a tube on a deck the slab is taken at the air's temperature.
    #[must_use]
    pub fn time_constant_s(&self, w: &HeaterWeather) -> f64 {
        match &self.kind {
            Kind::Panel(p) => self.capacity_j_k / panel::now(p, w).loss_w_k,
            Kind::Deck(d) if d.is_buried() => d.step.buried_time_constant_s(),
            _ => {
                let state = self.initial_state(w.air_c, w.ground_c);
                self.metre(w, &state, INSTANT_S)
                    .map_or(0.0, |m| m.still().time_constant_s(self.capacity_j_m_k()))
            }
        }
    }

    /// The body alone after `dt_s` without flow; a slab is left as it is.
    ///
    /// Exponential towards stagnation, with the initial rate and the end both exact.
    #[must_use]
    pub fn rest_body(&self, w: &HeaterWeather, s: &HeaterState, dt_s: f64) -> HeaterState {
        let body_c = match &self.kind {
            Kind::Panel(p) => {
                let now = panel::now(p, w);
                let end_c = now.stagnant_c();
                end_c + (s.body_c - end_c) * (-dt_s * now.loss_w_k / self.capacity_j_k).exp()
            }
            Kind::Deck(d) if d.is_buried() => d.step.buried_rest_c(s.body_c, s.slab_c[1], dt_s),
            _ => self.metre(w, s, dt_s.max(INSTANT_S)).map_or(s.body_c, |m| {
                m.rest_c(s.body_c, self.capacity_j_m_k(), dt_s)
            }),
        };
        HeaterState { body_c, ..*s }
    }

    /// Body and slab after `dt_s` without flow.
    #[must_use]
    pub fn rest(&self, w: &HeaterWeather, s: &HeaterState, dt_s: f64) -> HeaterState {
        if dt_s <= 0.0 {
            return *s;
        }
        match &self.kind {
            Kind::Deck(_) => self.rest_deck(w, s, dt_s).0,
            _ => self.rest_body(w, s, dt_s),
        }
    }

    /// Body and slab after `dt_s` with water running for `on_frac` of it, `running` being what [`Heater::run`] said.
    ///
    /// The slab moves through the whole of `dt_s` and gives exactly `running.from_store_w · on_frac`. The body ends as
    /// it runs when `on_frac` is above 0; when flow stops before the end, [`Heater::rest_body`] follows with the rest
    /// of the time ([`Heater::rest`] would move the slab twice).
    #[must_use]
    pub fn advance(
        &self,
        w: &HeaterWeather,
        s: &HeaterState,
        running: &Running,
        on_frac: f64,
        dt_s: f64,
    ) -> HeaterState {
        if on_frac <= 0.0 || dt_s <= 0.0 {
            return self.rest(w, s, dt_s);
        }
        let slab_c = match &self.kind {
            Kind::Deck(d) => {
                let step = d.step.step(w, &s.slab_c, dt_s);
                d.step.end(&step, running.from_store_w * on_frac)
            }
            _ => s.slab_c,
        };
        HeaterState {
            body_c: running.body_c,
            slab_c,
        }
    }

    /// What a deck's slab took and gave in the step that [`Heater::advance`] makes (with `running`) or
    /// [`Heater::rest`] (without); absent for other heaters.
    #[must_use]
    pub fn slab_balance(
        &self,
        w: &HeaterWeather,
        s: &HeaterState,
        running: Option<(&Running, f64)>,
        dt_s: f64,
    ) -> Option<SlabBalance> {
        let Kind::Deck(d) = &self.kind else {
            return None;
        };
        let to_tube_w = match running {
            Some((r, on_frac)) if on_frac > 0.0 => r.from_store_w * on_frac,
            _ => self.rest_deck(w, s, dt_s).1,
        };
        let step = d.step.step(w, &s.slab_c, dt_s);
        Some(d.balance(w, &step, &s.slab_c, to_tube_w))
    }

    /// Heat in a deck's slab above 0 °C, J; 0 for other heaters.
    #[must_use]
    pub fn stored_j(&self, s: &HeaterState) -> f64 {
        match &self.kind {
            Kind::Deck(d) => d.stored_j(&s.slab_c),
            _ => 0.0,
        }
    }

    /// The deck at rest, and the heat that its tubes took from it, W.
    fn rest_deck(&self, w: &HeaterWeather, s: &HeaterState, dt_s: f64) -> (HeaterState, f64) {
        let Kind::Deck(d) = &self.kind else {
            return (*s, 0.0);
        };
        let step = d.step.step(w, &s.slab_c, dt_s);
        let surface = (!d.is_buried()).then(|| d.step.surface_metre(w, &step));
        d.step
            .rest(&step, surface.as_ref(), s, self.capacity_j_m_k(), dt_s)
    }

    /// Heat that tube and standing water give to the water (take from it when negative) when flow starts, J.
    #[must_use]
    pub fn start_heat_j(&self, s: &HeaterState, running: &Running) -> f64 {
        (s.body_c - running.body_c) * self.capacity_j_k
    }

    /// The first slug when flow starts at `flow_kg_s` after standing at `body_c`.
    #[must_use]
    pub fn first_slug(&self, body_c: f64, flow_kg_s: f64) -> FirstSlug {
        FirstSlug {
            water_c: body_c,
            litres: self.water_litres(),
            seconds: self.water_kg() / flow_kg_s,
        }
    }

    /// Water that turns by itself through heater and connecting pipe when the pump stands and no valve stops it, kg/s.
    ///
    /// `height_m` is the middle of the heater above the pool's water, negative below. Only cold water above warm (or
    /// warm below cold) turns; otherwise 0. An upper bound: laminar, without bends and fittings; a panel's own
    /// passages, which are wide, are left out.
    #[must_use]
    pub fn thermosiphon_flow_kg_s(
        &self,
        body_c: f64,
        pool_c: f64,
        height_m: f64,
        connecting_length_m: f64,
        connecting_bore_m: f64,
    ) -> f64 {
        let pipe = Run {
            length_m: connecting_length_m,
            bore_m: connecting_bore_m,
            circuits: 1.0,
        };
        let (upper_c, lower_c) = if height_m >= 0.0 {
            (body_c, pool_c)
        } else {
            (pool_c, body_c)
        };
        let flow = |runs: &[Run]| flow_kg_s(upper_c, lower_c, height_m, runs);
        match self.tube() {
            Some(t) => {
                let circuits = f64::from(t.parallel_circuits);
                flow(&[
                    pipe,
                    Run {
                        length_m: t.length_m / circuits,
                        bore_m: t.bore_m,
                        circuits,
                    },
                ])
            }
            None => flow(&[pipe]),
        }
    }

    /// Reduced temperature `(T_m − T_a)/G″`, m²·K/W, and efficiency on [`Heater::aperture_m2`] when the water enters
    /// at `inlet_c`: `η = Q/(A G″)`, `G″ = G + (ε/α)(E_L − σ T_a⁴)`.
    ///
    /// `T_m` is the mean of inlet and outlet, as in a test. Source: ISO 9806, unglazed collectors (from memory).
    #[must_use]
    pub fn efficiency(
        &self,
        w: &HeaterWeather,
        s: &HeaterState,
        inlet_c: f64,
        flow_kg_s: f64,
    ) -> (f64, f64) {
        let ratio = match &self.kind {
            Kind::Panel(p) => p.emissivity_over_absorptance,
            _ => self
                .tube()
                .map_or(1.0, |t| t.emissivity_frac / t.absorptance_frac),
        };
        let net = w.longwave_w_m2 - crate::board::air_black_w_m2(w.air_c);
        let net_irradiance = w.beam_w_m2 + w.diffuse_w_m2 + ratio * net;
        let r = self.run(w, s, inlet_c, flow_kg_s);
        let mean_c = 0.5 * (inlet_c + r.outlet_c);
        (
            (mean_c - w.air_c) / net_irradiance,
            r.heat_w / (self.aperture_m2() * net_irradiance),
        )
    }
}
