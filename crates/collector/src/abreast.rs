//! Heaters of several plans side by side: the same place in the flow order, one heater for each lane.
//!
//! Bare boards and decks are stepped together, and what does not depend on the water is worked out once an hour. Heaters of any
//! other kind, which are rarer, are each asked alone: [`Heater`]'s answers, lane by lane.

mod decks;

use swimdays_properties::real::Real;

use crate::board::{BoardStep, Side};
use crate::heater::{Heater, HeaterState, HeaterWeather, Kind, Running, STANDING_KG_S, Tubes};
use crate::surface::{Metre, Ready};

use decks::{DeckHour, Decks};

/// One heater for each lane, with the flow that each gets while the pump runs.
#[derive(Clone, Debug)]
pub struct Abreast<R: Real> {
    kind: Ways<R>,
    capacity_j_k: R,
    flow_kg_s: R,
}

/// How the lanes are asked.
#[derive(Clone, Debug)]
#[allow(
    clippy::large_enum_variant,
    reason = "a plan holds a handful of heaters, and a box would cost a jump in every interval"
)]
enum Ways<R: Real> {
    Boards(Boards<R>),
    Decks(Decks<R>),
    Alone(Vec<Heater>),
}

/// Which heaters can be stepped together: those of one kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Together {
    /// Bare boards.
    Boards,
    /// Tubes on decks.
    SurfaceDecks,
    /// Tubes in or below decks.
    BuriedDecks,
    /// None: each is asked alone.
    None,
}

/// Bare boards, one for each lane.
#[derive(Clone, Copy, Debug)]
struct Boards<R: Real> {
    step: BoardStep<R>,
    tubes: Tubes<R>,
    performance: R,
    capacity_j_m_k: R,
}

/// Heaters in the weather of one interval: what does not depend on the water.
#[derive(Clone, Copy, Debug)]
pub struct HeaterHour<R: Real> {
    /// The weather at the heater.
    pub weather: HeaterWeather<R>,
    board: Option<BoardHour<R>>,
    deck: Option<DeckHour<R>>,
}

#[derive(Clone, Copy, Debug)]
struct BoardHour<R: Real> {
    metre: Metre<R>,
    side: Side<R>,
    ready: Ready<R>,
}

impl<R: Real> HeaterWeather<R> {
    /// Nothing falls on the heater and no wind blows, in as many lanes as `like`.
    #[must_use]
    pub fn none(like: R) -> Self {
        let zero = like.like(0.0);
        Self {
            beam_w_m2: zero,
            incidence_cos: zero,
            diffuse_w_m2: zero,
            longwave_w_m2: zero,
            air_c: 0.0,
            pressure_pa: 0.0,
            wind_m_s: zero,
            ground_c: 0.0,
        }
    }

    /// The weather in `lane`.
    #[inline]
    #[must_use]
    pub fn lane(&self, lane: usize) -> HeaterWeather {
        HeaterWeather {
            beam_w_m2: self.beam_w_m2.lane(lane),
            incidence_cos: self.incidence_cos.lane(lane),
            diffuse_w_m2: self.diffuse_w_m2.lane(lane),
            longwave_w_m2: self.longwave_w_m2.lane(lane),
            air_c: self.air_c,
            pressure_pa: self.pressure_pa,
            wind_m_s: self.wind_m_s.lane(lane),
            ground_c: self.ground_c,
        }
    }
}

impl<R: Real> HeaterState<R> {
    /// All at 0 °C, in as many lanes as `like`.
    #[must_use]
    pub fn none(like: R) -> Self {
        let zero = like.like(0.0);
        Self {
            body_c: zero,
            slab_c: [zero; 4],
        }
    }

    /// The state in `lane`.
    #[inline]
    #[must_use]
    pub fn lane(&self, lane: usize) -> HeaterState {
        HeaterState {
            body_c: self.body_c.lane(lane),
            slab_c: self.slab_c.map(|c| c.lane(lane)),
        }
    }

    /// Sets the state in `lane`.
    #[inline]
    pub fn set_lane(&mut self, lane: usize, state: &HeaterState) {
        self.body_c.set_lane(lane, state.body_c);
        for (here, c) in self.slab_c.iter_mut().zip(state.slab_c) {
            here.set_lane(lane, c);
        }
    }

    /// `yes` where `mask` is so, `no` elsewhere.
    #[inline(always)]
    #[must_use]
    pub fn select(mask: R::Mask, yes: &Self, no: &Self) -> Self {
        let mut slab_c = no.slab_c;
        for (here, c) in slab_c.iter_mut().zip(yes.slab_c) {
            *here = R::select(mask, c, *here);
        }
        Self {
            body_c: R::select(mask, yes.body_c, no.body_c),
            slab_c,
        }
    }
}

impl<R: Real> Running<R> {
    /// No heat, in as many lanes as `like`.
    #[must_use]
    pub fn none(like: R) -> Self {
        let zero = like.like(0.0);
        Self {
            outlet_c: zero,
            heat_w: zero,
            slope_w_k: zero,
            absorbed_w: zero,
            lost_w: zero,
            body_c: zero,
            from_store_w: zero,
        }
    }

    #[inline]
    fn lane(&self, lane: usize) -> Running {
        Running {
            outlet_c: self.outlet_c.lane(lane),
            heat_w: self.heat_w.lane(lane),
            slope_w_k: self.slope_w_k.lane(lane),
            absorbed_w: self.absorbed_w.lane(lane),
            lost_w: self.lost_w.lane(lane),
            body_c: self.body_c.lane(lane),
            from_store_w: self.from_store_w.lane(lane),
        }
    }

    #[inline]
    fn set_lane(&mut self, lane: usize, running: &Running) {
        self.outlet_c.set_lane(lane, running.outlet_c);
        self.heat_w.set_lane(lane, running.heat_w);
        self.slope_w_k.set_lane(lane, running.slope_w_k);
        self.absorbed_w.set_lane(lane, running.absorbed_w);
        self.lost_w.set_lane(lane, running.lost_w);
        self.body_c.set_lane(lane, running.body_c);
        self.from_store_w.set_lane(lane, running.from_store_w);
    }
}

impl<R: Real> HeaterHour<R> {
    /// A place for the weather of an hour, in as many lanes as `like`.
    #[must_use]
    pub fn none(like: R) -> Self {
        Self {
            weather: HeaterWeather::none(like),
            board: None,
            deck: None,
        }
    }
}

/// With which others the heater can be stepped together.
fn together(heater: &Heater, flow_kg_s: f64) -> Together {
    if flow_kg_s < STANDING_KG_S {
        return Together::None;
    }
    match &heater.kind {
        Kind::Board(b) if b.spec.lid.is_none() => Together::Boards,
        Kind::Deck(d) if d.is_buried() => Together::BuriedDecks,
        Kind::Deck(_) => Together::SurfaceDecks,
        _ => Together::None,
    }
}

impl<R: Real> Abreast<R> {
    /// `lanes`, one heater for each lane of `flow_kg_s`, its flow.
    #[must_use]
    pub fn new(lanes: &[&Heater], flow_kg_s: R) -> Self {
        let of = |pick: &dyn Fn(&Heater) -> f64| flow_kg_s.each(|lane| pick(lanes[lane]));
        let capacity_j_k = of(&|h| h.capacity_j_k);
        let kind = Self::boards(lanes, flow_kg_s)
            .map(Ways::Boards)
            .or_else(|| Decks::of(lanes, flow_kg_s).map(Ways::Decks))
            .unwrap_or_else(|| Ways::Alone(lanes.iter().map(|heater| **heater).collect()));
        Self {
            kind,
            capacity_j_k,
            flow_kg_s,
        }
    }

    /// Whether all lanes are of this kind.
    fn all_are(lanes: &[&Heater], flow_kg_s: R, kind: Together) -> bool {
        let mut lanes = lanes.iter().enumerate();
        lanes.all(|(lane, heater)| together(heater, flow_kg_s.lane(lane)) == kind)
    }

    fn tubes(
        lanes: &[&Heater],
        flow_kg_s: R,
        to_water_m_k_w: impl Fn(&Heater, f64) -> f64,
    ) -> Tubes<R> {
        let of = |pick: &dyn Fn(&Heater) -> f64| flow_kg_s.each(|lane| pick(lanes[lane]));
        Tubes {
            length_m: of(&|h| h.tube().map_or(0.0, |t| t.length_m)),
            wall_frac: of(&|h| h.wall_frac),
            to_water_m_k_w: flow_kg_s
                .each(|lane| to_water_m_k_w(lanes[lane], flow_kg_s.lane(lane))),
            inverse_k_w: flow_kg_s
                .each(|lane| 1.0 / (flow_kg_s.lane(lane) * lanes[lane].specific_heat_j_kg_k)),
        }
    }

    fn boards(lanes: &[&Heater], flow_kg_s: R) -> Option<Boards<R>> {
        if !Self::all_are(lanes, flow_kg_s, Together::Boards) {
            return None;
        }
        let steps: Vec<&BoardStep> = lanes
            .iter()
            .filter_map(|heater| match &heater.kind {
                Kind::Board(board) => Some(&board.step),
                _ => None,
            })
            .collect();
        let of = |pick: &dyn Fn(&Heater) -> f64| flow_kg_s.each(|lane| pick(lanes[lane]));
        Some(Boards {
            step: BoardStep::join(flow_kg_s, &steps),
            tubes: Self::tubes(lanes, flow_kg_s, |heater, flow_kg_s| match &heater.kind {
                Kind::Board(b) => b.inside.resistance_m_k_w(flow_kg_s),
                _ => 0.0,
            }),
            performance: of(&|h| h.performance),
            capacity_j_m_k: of(&Heater::capacity_j_m_k),
        })
    }

    /// With which others all lanes are worked out at once rather than one by one.
    #[must_use]
    pub fn together(&self) -> Together {
        match &self.kind {
            Ways::Boards(_) => Together::Boards,
            Ways::Decks(d) if d.is_buried() => Together::BuriedDecks,
            Ways::Decks(_) => Together::SurfaceDecks,
            Ways::Alone(_) => Together::None,
        }
    }

    /// Writes into `hour` what follows from the weather alone, and for a deck from its slab as it is in `s`, which must be that of
    /// the interval's start in all that is asked of the hour. When not `needed`, the hour is good for nothing else; unless it
    /// `may_run`, not for [`Self::run`].
    #[inline(always)]
    pub fn prepare(
        &self,
        hour: &mut HeaterHour<R>,
        weather: HeaterWeather<R>,
        s: &HeaterState<R>,
        needed: bool,
        may_run: bool,
    ) {
        hour.weather = weather;
        if !needed {
            return;
        }
        match &self.kind {
            Ways::Boards(boards) => {
                let (metre, side) = boards.step.metre_bare(&hour.weather);
                if let Some(board) = &mut hour.board {
                    board.metre = metre;
                    if may_run {
                        board.side = side;
                        board.ready = boards.tubes.ready(&metre);
                    }
                } else {
                    let ready = boards.tubes.ready(&metre);
                    hour.board = Some(BoardHour { metre, side, ready });
                }
            }
            Ways::Decks(decks) => decks.prepare(&hour.weather, s, may_run, &mut hour.deck),
            Ways::Alone(_) => {}
        }
    }

    /// As [`Heater::run`] at each lane's own flow. Without `BALANCE`, what is absorbed and lost may be left at 0.
    #[inline(always)]
    #[must_use]
    pub fn run<const BALANCE: bool>(
        &self,
        hour: &HeaterHour<R>,
        s: &HeaterState<R>,
        inlet_c: R,
    ) -> Running<R> {
        match (&self.kind, &hour.board) {
            (Ways::Decks(d), _) => match &hour.deck {
                Some(h) => d.run::<BALANCE>(h, inlet_c),
                None => Running::none(inlet_c),
            },
            (Ways::Boards(b), Some(h)) => b
                .tubes
                .run::<_, BALANCE>(&h.metre, &h.ready, Some(&h.side), inlet_c)
                .performing(b.performance, inlet_c, b.tubes.inverse_k_w),
            (Ways::Alone(heaters), _) => {
                let mut out = Running::none(inlet_c);
                for (lane, heater) in heaters.iter().enumerate() {
                    let (w, s) = (hour.weather.lane(lane), s.lane(lane));
                    let flow_kg_s = self.flow_kg_s.lane(lane);
                    let running = heater.run(&w, &s, inlet_c.lane(lane), flow_kg_s);
                    out.set_lane(lane, &running);
                }
                out
            }
            (Ways::Boards(_), None) => Running::none(inlet_c),
        }
    }

    /// As [`Heater::rest_body`].
    #[inline(always)]
    #[must_use]
    pub fn rest_body(&self, hour: &HeaterHour<R>, s: &HeaterState<R>, dt_s: R) -> HeaterState<R> {
        match (&self.kind, &hour.board) {
            (Ways::Decks(d), _) => HeaterState {
                body_c: d.rest_body_c(&hour.weather, s, dt_s),
                slab_c: s.slab_c,
            },
            (Ways::Boards(b), Some(h)) => HeaterState {
                body_c: dt_s.apart(
                    #[inline(always)]
                    || {
                        h.metre
                            .rest_c(&h.metre.still(), s.body_c, b.capacity_j_m_k, dt_s)
                    },
                ),
                slab_c: s.slab_c,
            },
            (Ways::Alone(heaters), _) => each(heaters, hour, s, |heater, lane, w, s| {
                heater.rest_body(w, s, dt_s.lane(lane))
            }),
            (Ways::Boards(_), None) => *s,
        }
    }

    /// As [`Heater::rest`], for a time above 0; of a deck, for the whole interval.
    #[inline(always)]
    #[must_use]
    pub fn rest(&self, hour: &HeaterHour<R>, s: &HeaterState<R>, dt_s: R) -> HeaterState<R> {
        match &self.kind {
            Ways::Boards(_) => self.rest_body(hour, s, dt_s),
            Ways::Decks(d) => match &hour.deck {
                Some(h) => d.rest(h, s, dt_s),
                None => *s,
            },
            Ways::Alone(heaters) => each(heaters, hour, s, |heater, lane, w, s| {
                heater.rest(w, s, dt_s.lane(lane))
            }),
        }
    }

    /// As [`Heater::advance`], where `on_frac` is above 0; of a deck, through the whole interval.
    #[inline(always)]
    #[must_use]
    pub fn advance(
        &self,
        hour: &HeaterHour<R>,
        s: &HeaterState<R>,
        running: &Running<R>,
        on_frac: R,
        dt_s: f64,
    ) -> HeaterState<R> {
        match &self.kind {
            Ways::Boards(_) => HeaterState {
                body_c: running.body_c,
                slab_c: s.slab_c,
            },
            Ways::Decks(d) => HeaterState {
                body_c: running.body_c,
                slab_c: match &hour.deck {
                    Some(h) => d.slab_after(h, running.from_store_w * on_frac),
                    None => s.slab_c,
                },
            },
            Ways::Alone(heaters) => each(heaters, hour, s, |heater, lane, w, s| {
                heater.advance(w, s, &running.lane(lane), on_frac.lane(lane), dt_s)
            }),
        }
    }

    /// As [`Heater::start_heat_j`].
    #[inline(always)]
    #[must_use]
    pub fn start_heat_j(&self, s: &HeaterState<R>, running: &Running<R>) -> R {
        (s.body_c - running.body_c) * self.capacity_j_k
    }

    /// As [`Heater::stagnation_c`] and [`Heater::time_constant_s`].
    #[inline(always)]
    #[must_use]
    pub fn standing(&self, hour: &HeaterHour<R>, s: &HeaterState<R>) -> (R, R) {
        match (&self.kind, &hour.board) {
            (Ways::Decks(d), _) => d.standing(&hour.weather, s),
            (Ways::Boards(b), Some(h)) => {
                let still = h.metre.still();
                (still.surface_c, still.time_constant_s(b.capacity_j_m_k))
            }
            (Ways::Alone(heaters), _) => {
                let ask = |heater: fn(&Heater, &HeaterWeather, &HeaterState) -> f64| {
                    s.body_c.each(|lane| {
                        heater(&heaters[lane], &hour.weather.lane(lane), &s.lane(lane))
                    })
                };
                (
                    ask(Heater::stagnation_c),
                    ask(|heater, w, _| heater.time_constant_s(w)),
                )
            }
            (Ways::Boards(_), None) => (s.body_c, s.body_c),
        }
    }
}

/// Each lane's heater moves its own state.
fn each<R: Real>(
    heaters: &[Heater],
    hour: &HeaterHour<R>,
    s: &HeaterState<R>,
    moved: impl Fn(&Heater, usize, &HeaterWeather, &HeaterState) -> HeaterState,
) -> HeaterState<R> {
    let mut out = *s;
    for (lane, heater) in heaters.iter().enumerate() {
        let after = moved(heater, lane, &hour.weather.lane(lane), &s.lane(lane));
        out.set_lane(lane, &after);
    }
    out
}
