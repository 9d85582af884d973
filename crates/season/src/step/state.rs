//! What a step reads and writes: the pool's state, the interval's weather, the heaters' pad, what came of it.

use swimdays_collector::{HeaterHour, HeaterState, Running};
use swimdays_pool::{Flux, GroundState};
use swimdays_properties::real::Real;

use crate::clock::Tick;
use crate::control::Decision;
use crate::machine::Machine;
use crate::prepared::{Prepared, Row};
use crate::step::Surface;
use crate::{Ledger, Noted};

/// What the pool remembers from one interval to the next.
#[derive(Clone, Debug)]
pub(crate) struct State<R: Real = f64> {
    pub water_c: R,
    pub ice_kg: R,
    pub ground: GroundState<R>,
    pub heaters: Vec<HeaterState<R>>,
    pub pump_on: R::Mask,
    /// Time for which a sensor's run must still go on, s.
    pub run_left_s: R,
}

impl<R: Real> State<R> {
    /// Several states side by side, one for each lane of `like`.
    pub(crate) fn join(like: R, lanes: &[&State]) -> Self {
        let of = |pick: fn(&State) -> f64| like.each(|lane| pick(lanes[lane]));
        let grounds: Vec<&GroundState> = lanes.iter().map(|s| &s.ground).collect();
        let mut heaters = vec![HeaterState::none(like); lanes[0].heaters.len()];
        for (k, heater) in heaters.iter_mut().enumerate() {
            for (lane, state) in lanes.iter().enumerate() {
                heater.set_lane(lane, &state.heaters[k]);
            }
        }
        Self {
            water_c: of(|s| s.water_c),
            ice_kg: of(|s| s.ice_kg),
            ground: GroundState::join(like, &grounds),
            heaters,
            pump_on: of(|s| f64::from(u8::from(s.pump_on))).is_above(like.like(0.5)),
            run_left_s: of(|s| s.run_left_s),
        }
    }

    /// The state in `lane`.
    pub(crate) fn lane(&self, lane: usize) -> State {
        State {
            water_c: self.water_c.lane(lane),
            ice_kg: self.ice_kg.lane(lane),
            ground: self.ground.lane(lane),
            heaters: self.heaters.iter().map(|h| h.lane(lane)).collect(),
            pump_on: R::mask_lane(self.pump_on, lane),
            run_left_s: self.run_left_s.lane(lane),
        }
    }
}

/// What one heater did in one interval.
#[derive(Clone, Copy, Debug)]
pub(crate) struct HeaterOutcome<R = f64> {
    /// Heat into the water, W, the mean of the interval.
    pub heat_w: R,
    /// Sun and longwave taken in less given off and taken from a store, W, computed apart from the water's rise.
    pub gained_w: R,
    /// Heat that the tube and its water gave when flow started, W.
    pub body_w: R,
}

/// What is decided at the start of one interval and holds through it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Settled<R: Real = f64> {
    pub open: R::Mask,
    pub cover_on_frac: R,
    /// Ground for water that stays, with its answer to the water's end, W and W/K.
    pub ground: Flux<R>,
    /// Heat of the filter pump that runs anyway, W.
    pub filter_w: R,
    pub pump: Decision<R>,
    pub other_w: R,
    /// Estimate of the water half way, °C.
    pub middle_c: R,
    /// What the air and sky meet: the water half way, or the top of the ice on it, °C.
    pub surface_c: R,
}

/// What happened in one interval.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Outcome<R: Real = f64> {
    pub heat_w: Ledger<R>,
    pub pump_on_frac: R,
    pub cover_on_frac: R,
    pub outlet_c: R,
    pub cover_c: R,
    pub cover_residual_w_m2: R,
    pub short_cycling: R::Mask,
    pub cooling_wanted: R::Mask,
    pub cooling: R::Mask,
    pub heating_power_w: R,
    pub other_bought_w: R,
    pub evaporated_kg_s: R,
    pub splashed_kg_s: R,
    pub rain_kg_s: R,
    pub make_up_kg_s: R,
    pub overflow_kg_s: R,
}

/// The weather of one interval as the step sees it.
pub(crate) struct Interval<'a> {
    pub year: &'a Prepared,
    pub index: usize,
}

impl<'a> Interval<'a> {
    #[inline]
    pub(crate) fn row(&self) -> &'a Row {
        &self.year.rows[self.index]
    }

    #[inline]
    pub(crate) fn tick(&self) -> &'a Tick {
        &self.year.ticks[self.index]
    }

    /// Share of the interval in which the pump ran as somebody noted.
    #[inline]
    pub(crate) fn noted_pump(&self) -> Option<f64> {
        let noted = self.year.noted.as_ref()?;
        Noted::at(&noted.pump_on_frac, self.index)
    }

    /// Share of the interval in which the cover lay on the water as somebody noted.
    #[inline]
    pub(crate) fn noted_cover(&self) -> Option<f64> {
        let noted = self.year.noted.as_ref()?;
        Noted::at(&noted.cover_on_frac, self.index)
    }
}

/// Where surface and heaters of one interval are worked out: written anew in every interval, so nothing is remembered here.
///
/// Passing it along keeps the numbers from being copied around.
#[derive(Clone, Debug)]
pub(crate) struct Pad<R: Real = f64> {
    pub surface: Surface<R>,
    pub hours: Vec<HeaterHour<R>>,
    /// Heaters when flow starts.
    pub bodies: Vec<HeaterState<R>>,
    pub running: Vec<Running<R>>,
    pub done: Vec<HeaterOutcome<R>>,
    /// Tube temperature of each heater when flow started, `NaN` when it did not start.
    pub start_body_c: Vec<R>,
    /// Heat lost by buoyant flow while the pump stands, W.
    pub siphon_w: Vec<R>,
}

impl<R: Real> Pad<R> {
    pub(crate) fn new(machine: &Machine<R>) -> Self {
        let zero = machine.like(0.0);
        let heaters = machine.heaters.len();
        Self {
            surface: Surface::none(zero),
            hours: vec![HeaterHour::none(zero); heaters],
            bodies: vec![HeaterState::none(zero); heaters],
            running: vec![Running::none(zero); heaters],
            done: vec![
                HeaterOutcome {
                    heat_w: zero,
                    gained_w: zero,
                    body_w: zero,
                };
                heaters
            ],
            start_body_c: vec![machine.like(f64::NAN); heaters],
            siphon_w: vec![zero; heaters],
        }
    }
}

/// All heaters in flow order at one inlet temperature.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Chain<R = f64> {
    pub heat_w: R,
    pub slope_w_k: R,
    pub outlet_c: R,
}
