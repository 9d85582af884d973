//! Decks of several plans side by side: what of them does not wait for the water is worked out once an interval.

use swimdays_properties::real::Real;

use super::{Abreast, Together};
use crate::deck::{BuriedFlow, Deck, DeckStep, SlabStep};
use crate::heater::{Heater, HeaterState, HeaterWeather, Kind, Running, Tubes};
use crate::rest::INSTANT_S;
use crate::surface::{Metre, Ready};

/// Decks, one for each lane.
#[derive(Clone, Debug)]
pub(super) struct Decks<R: Real> {
    step: DeckStep<R>,
    tubes: Tubes<R>,
    /// Absent of tubes on the surface.
    buried: Option<BuriedFlow<R>>,
    performance: R,
    capacity_j_m_k: R,
    interval_s: R,
    /// Slabs that stand as [`Heater::time_constant_s`] takes them.
    decks: Vec<Deck>,
}

/// A deck's slab through the interval, and a metre of tube on it.
#[derive(Clone, Copy, Debug)]
pub(super) struct DeckHour<R: Real> {
    slab: SlabStep<R>,
    surface: Option<(Metre<R>, Ready<R>)>,
}

impl<R: Real> Decks<R> {
    /// One for each lane; absent unless all lanes are decks, all buried or all on the surface.
    pub(super) fn of(lanes: &[&Heater], flow_kg_s: R) -> Option<Self> {
        let is_buried = Abreast::all_are(lanes, flow_kg_s, Together::BuriedDecks);
        if !is_buried && !Abreast::all_are(lanes, flow_kg_s, Together::SurfaceDecks) {
            return None;
        }
        let decks: Vec<Deck> = lanes
            .iter()
            .filter_map(|heater| match &heater.kind {
                Kind::Deck(deck) => Some(*deck),
                _ => None,
            })
            .collect();
        let of = |pick: &dyn Fn(&Heater) -> f64| flow_kg_s.each(|lane| pick(lanes[lane]));
        let tubes = Abreast::tubes(lanes, flow_kg_s, |heater, flow_kg_s| match &heater.kind {
            Kind::Deck(d) => d.inside.resistance_m_k_w(flow_kg_s),
            _ => 0.0,
        });
        let buried = is_buried.then(|| {
            let flows: Vec<BuriedFlow> = decks
                .iter()
                .enumerate()
                .map(|(lane, deck)| {
                    let capacity_w_k = flow_kg_s.lane(lane) * lanes[lane].specific_heat_j_kg_k;
                    deck.buried_flow(tubes.to_water_m_k_w.lane(lane), capacity_w_k)
                })
                .collect();
            BuriedFlow::join(flow_kg_s, &flows)
        });
        Some(Self {
            step: DeckStep::join(flow_kg_s, &decks.iter().collect::<Vec<_>>()),
            tubes,
            buried,
            performance: of(&|h| h.performance),
            capacity_j_m_k: of(&Heater::capacity_j_m_k),
            interval_s: of(&|h| h.interval_s),
            decks,
        })
    }

    /// Whether the tubes lie in or below the decks.
    pub(super) fn is_buried(&self) -> bool {
        self.buried.is_some()
    }

    /// The slab at the interval's end when the tubes took `to_tube_w` from it.
    #[inline(always)]
    pub(super) fn slab_after(&self, hour: &DeckHour<R>, to_tube_w: R) -> [R; 4] {
        self.step.end(&hour.slab, to_tube_w)
    }

    #[inline(always)]
    pub(super) fn prepare(
        &self,
        w: &HeaterWeather<R>,
        s: &HeaterState<R>,
        may_run: bool,
        hour: &mut Option<DeckHour<R>>,
    ) {
        let slab = self.step.step(w, &s.slab_c, self.interval_s);
        if self.buried.is_some() {
            *hour = Some(DeckHour {
                slab,
                surface: None,
            });
            return;
        }
        let metre = self.step.surface_metre(w, &slab);
        let ready = match hour {
            // Good for nothing until it may run.
            Some(DeckHour {
                surface: Some((_, before)),
                ..
            }) if !may_run => *before,
            _ => self.tubes.ready(&metre),
        };
        *hour = Some(DeckHour {
            slab,
            surface: Some((metre, ready)),
        });
    }

    #[inline(always)]
    pub(super) fn run<const BALANCE: bool>(&self, hour: &DeckHour<R>, inlet_c: R) -> Running<R> {
        let full = match (&self.buried, &hour.surface) {
            (Some(flow), _) => flow.run(&self.step, &hour.slab, inlet_c),
            (None, Some((metre, ready))) => {
                self.tubes.run::<_, BALANCE>(metre, ready, None, inlet_c)
            }
            (None, None) => Running::none(inlet_c),
        };
        full.performing(self.performance, inlet_c, self.tubes.inverse_k_w)
    }

    #[inline(always)]
    pub(super) fn rest(&self, hour: &DeckHour<R>, s: &HeaterState<R>, dt_s: R) -> HeaterState<R> {
        let metre = hour.surface.as_ref().map(|(metre, _)| metre);
        self.step
            .rest(&hour.slab, metre, s, self.capacity_j_m_k, dt_s)
            .0
    }

    /// Seldom asked: a surface tube beside the slab as it moves within that time.
    #[inline(always)]
    pub(super) fn rest_body_c(&self, w: &HeaterWeather<R>, s: &HeaterState<R>, dt_s: R) -> R {
        if self.buried.is_some() {
            return self.step.buried_rest_c(s.body_c, s.slab_c[1], dt_s);
        }
        dt_s.apart(
            #[inline(always)]
            || {
                let at_least = dt_s.or_at_least(dt_s.like(INSTANT_S));
                let slab = self.step.step(w, &s.slab_c, at_least);
                let metre = self.step.surface_metre(w, &slab);
                metre.rest_c(&metre.still(), s.body_c, self.capacity_j_m_k, dt_s)
            },
        )
    }

    /// Stagnation and time constant, for a sensor.
    #[inline(always)]
    pub(super) fn standing(&self, w: &HeaterWeather<R>, s: &HeaterState<R>) -> (R, R) {
        if self.buried.is_some() {
            return (s.slab_c[1], self.step.buried_time_constant_s());
        }
        let instant_s = s.body_c.like(INSTANT_S);
        let now = self.step.step(w, &s.slab_c, instant_s);
        let still = self.step.surface_metre(w, &now).still();
        let mut at_air_c = s.slab_c;
        for (lane, deck) in self.decks.iter().enumerate() {
            for (layer, c) in at_air_c.iter_mut().zip(deck.initial(w.air_c, w.ground_c)) {
                layer.set_lane(lane, c);
            }
        }
        let at_air = self.step.step(w, &at_air_c, instant_s);
        let time_constant_s = self
            .step
            .surface_metre(w, &at_air)
            .still()
            .time_constant_s(self.capacity_j_m_k);
        (still.surface_c, time_constant_s)
    }
}
