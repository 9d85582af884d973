//! One interval of the pool: the equation that everything else serves.
//!
//! `C dT/dt = A (sun + evaporation + convection + longwave + make-up + rain) + walls + ground + heaters + pump + other`
//!
//! with the weather of the interval held constant. The step is a linearised implicit midpoint: with the sum of
//! all flows `F(T)` and its exact slope `J`, the end is first estimated from `C ΔT/h = F(T₀) + J ΔT/2`, then
//! every flow is evaluated anew at the middle of that estimate, and the water moves by their sum. The ground,
//! which remembers, is carried exactly for a straight line of the water's temperature. So each recorded flow is
//! the physics at one temperature, none is a remainder, and the step is of second order and stable.

mod state;
mod terms;

use swimdays_collector::{HeaterHour, HeaterState, HeaterWeather, Running};
use swimdays_properties::constants::{FUSION_J_KG, ICE_CONDUCTIVITY_W_M_K, ICE_DENSITY_KG_M3};
use swimdays_properties::real::{Mask, Real};

use crate::Ledger;
use crate::clock::Tick;
use crate::control::{Decision, share_within_limit};
use crate::machine::{HeaterUnit, Machine};
use crate::prepared::Row;

pub(crate) use state::{Chain, HeaterOutcome, Interval, Outcome, Pad, Settled, State};
pub(crate) use terms::Surface;

/// Below its limit by more than this the water cannot reach it within an interval, so nobody looks, K.
const COVER_WATCH_K: f64 = 3.0;

impl<R: Real> Machine<R> {
    /// Share of the interval in which the schedule has the cover on.
    #[inline(always)]
    fn cover_scheduled_frac(&self, tick: &Tick, open: R::Mask) -> R {
        let zero = self.like(0.0);
        match &self.cover {
            Some(cover) => {
                let scheduled = cover.on.at(tick);
                let no_swimmers = -self.swim.at(tick) + 1.0;
                let at_most = scheduled.or_at_most(no_swimmers);
                let lies = R::select(cover.off_in_swim_hours, at_most, scheduled);
                R::select(open, lies, zero)
            }
            None => zero,
        }
    }

    /// What falls on the heater of each lane.
    #[inline(always)]
    pub(crate) fn heater_weather(
        &self,
        unit: &HeaterUnit<R>,
        at: &Interval<'_>,
    ) -> HeaterWeather<R> {
        let row = at.row();
        let plane = |lane: usize| &at.year.planes[unit.planes[lane]].rows[at.index];
        let first = plane(0);
        let mut out = HeaterWeather {
            beam_w_m2: self.like(first.beam_w_m2),
            incidence_cos: self.like(first.incidence_cos),
            diffuse_w_m2: self.like(first.diffuse_w_m2),
            longwave_w_m2: self.like(first.longwave_w_m2),
            air_c: row.air_c,
            pressure_pa: row.pressure_pa,
            wind_m_s: unit.wind_frac * row.wind_m_s,
            ground_c: row.soil_c,
        };
        if R::LANES > 1 && unit.planes.iter().any(|p| *p != unit.planes[0]) {
            for lane in 1..R::LANES {
                let plane = plane(lane);
                out.beam_w_m2.set_lane(lane, plane.beam_w_m2);
                out.incidence_cos.set_lane(lane, plane.incidence_cos);
                out.diffuse_w_m2.set_lane(lane, plane.diffuse_w_m2);
                out.longwave_w_m2.set_lane(lane, plane.longwave_w_m2);
            }
        }
        out
    }

    /// Heaters in flow order, each into `running`; those of one stage share the flow and mix their outlets.
    #[inline(always)]
    pub(crate) fn chain<const BALANCE: bool>(
        &self,
        hours: &[HeaterHour<R>],
        states: &[HeaterState<R>],
        inlet_c: R,
        running: &mut [Running<R>],
    ) -> Chain<R> {
        self.like(0.0).apart(
            #[inline(always)]
            || self.chain_here::<BALANCE>(hours, states, inlet_c, running),
        )
    }

    #[inline(always)]
    fn chain_here<const BALANCE: bool>(
        &self,
        hours: &[HeaterHour<R>],
        states: &[HeaterState<R>],
        inlet_c: R,
        running: &mut [Running<R>],
    ) -> Chain<R> {
        let zero = self.like(0.0);
        let mut out = Chain {
            heat_w: zero,
            slope_w_k: zero,
            outlet_c: inlet_c,
        };
        let mut inlet_slope = self.like(1.0);
        let mut stage_heat = zero;
        let mut stage_slope = zero;
        for (i, unit) in self.heaters.iter().enumerate() {
            let run = unit
                .heater
                .run::<BALANCE>(&hours[i], &states[i], out.outlet_c);
            stage_heat += run.heat_w;
            stage_slope += run.slope_w_k;
            running[i] = run;
            let last_of_stage = self
                .heaters
                .get(i + 1)
                .is_none_or(|next| next.stage != unit.stage);
            if last_of_stage {
                out.heat_w += stage_heat;
                out.slope_w_k += stage_slope * inlet_slope;
                out.outlet_c += stage_heat * self.chain_inverse_k_w;
                inlet_slope *= stage_slope * self.chain_inverse_k_w + 1.0;
                stage_heat = zero;
                stage_slope = zero;
            }
        }
        out
    }

    /// Writes into `pad` what the weather of the interval makes of the heaters.
    #[inline(always)]
    fn heater_hours(&self, at: &Interval<'_>, state: &State<R>, open: R::Mask, pad: &mut Pad<R>) {
        let noted = at.noted_pump().is_some();
        let may_run = noted
            || self.pump.as_ref().is_some_and(|pump| {
                let zero = self.like(0.0);
                let cools = pump.cool_above_c.is_below(self.like(f64::INFINITY));
                (pump.schedule.at(at.tick()).is_above(zero) | cools).any()
            });
        for (i, unit) in self.heaters.iter().enumerate() {
            let weather = self.heater_weather(unit, at);
            let needed = noted || unit.is_deck || open.any();
            unit.heater.prepare(
                &mut pad.hours[i],
                weather,
                &state.heaters[i],
                needed,
                may_run,
            );
        }
    }

    /// Settles what is decided once an interval, and estimates the middle of the water's way.
    #[inline(always)]
    pub(crate) fn settle(
        &self,
        at: &Interval<'_>,
        state: &State<R>,
        pad: &mut Pad<R>,
    ) -> Settled<R> {
        let (row, tick) = (at.row(), at.tick());
        let h = self.interval_s;
        let zero = self.like(0.0);
        let start_c = state.water_c;
        let open = self.open[tick.day];
        let noted_cover = at.noted_cover();
        let mut cover_on_frac = match noted_cover {
            Some(share) => self.like(share),
            None => self.cover_scheduled_frac(tick, open),
        };
        let swims = open & start_c.is_at_least(self.target_c) & start_c.is_at_most(self.too_hot_c);
        let quiet = self.like(1.0);
        let bathing = R::select(
            swims,
            self.swim.at(tick) * (self.bathing_factor - 1.0) + 1.0,
            quiet,
        );
        self.heater_hours(at, state, open, pad);
        let ground = self
            .ground
            .mean_flux(&state.ground, start_c, row.deep_c)
            .times(self.ground_area_m2);
        let filter_w = match &self.pump {
            Some(pump) => R::select(open, pump.filter_heat_w * pump.filter.at(tick), zero),
            None => zero,
        };
        let still_w = ground.w_m2 + filter_w;
        let per_kelvin_w = self.capacity_j_k / h;
        let limit_c = match &self.cover {
            Some(cover) => cover.off_above_c,
            None => self.like(f64::INFINITY),
        };
        let watched = if noted_cover.is_none() {
            cover_on_frac.is_above(zero) & start_c.is_above(limit_c - COVER_WATCH_K)
        } else {
            self.like(0.0).mask_like(false)
        };
        // As scheduled; where the cover's limit is near, bare; and where the limit is met, with the share that it leaves.
        let scheduled = cover_on_frac;
        let mut attempt = 0;
        let (flow_w, stiffness, pump) = loop {
            self.surface(at, cover_on_frac, bathing, open, &mut pad.surface);
            let (sum_w, slope_w_k) = self.sum(at, &mut pad.surface, start_c);
            let flow_w = sum_w + still_w;
            let stiffness = per_kelvin_w - slope_w_k * 0.5 - ground.slope_w_m2_k;
            let pump = self.decide(at, pad, state, open, flow_w, stiffness);
            let added_w = pump.added_w();
            if attempt == 0 && watched.any() {
                let with_k = (flow_w + added_w) / stiffness;
                let mut bare = Surface::none(zero);
                self.surface(at, zero, bathing, open, &mut bare);
                let (bare_w, bare_slope_w_k) = self.sum(at, &mut bare, start_c);
                let bare_stiffness = per_kelvin_w - bare_slope_w_k * 0.5 - ground.slope_w_m2_k;
                let without_k = (bare_w + still_w + added_w) / bare_stiffness;
                let lies = scheduled * share_within_limit(limit_c - start_c, with_k, without_k);
                let less = watched & lies.is_below(scheduled);
                if less.any() {
                    cover_on_frac = R::select(less, lies, scheduled);
                    attempt = 1;
                    continue;
                }
            }
            break (flow_w, stiffness, pump);
        };
        let heated_w = flow_w + pump.added_w();
        let heated_stiffness = stiffness - pump.on_frac * pump.slope_w_k() * 0.5;
        let per_watt_k = self.like(1.0) / heated_stiffness;
        let end_c = start_c + heated_w * per_watt_k;
        let other_w = self.other_w(tick, open, end_c, heated_stiffness);
        let middle_c = start_c + (heated_w + other_w) * 0.5 * per_watt_k;
        let icy = state.ice_kg.is_above(zero);
        let surface_c = if icy.any() {
            let mut icy_surface = Surface::none(zero);
            self.surface(at, cover_on_frac, quiet, open, &mut icy_surface);
            let top_c = self.ice_top_c(at, &icy_surface, state);
            R::select(icy, top_c, middle_c)
        } else {
            middle_c
        };
        Settled {
            open,
            cover_on_frac,
            ground,
            filter_w,
            pump,
            other_w,
            middle_c,
            surface_c,
        }
    }

    /// Temperature of the top of the ice, °C: where what the ice conducts is what the air and the sky take.
    ///
    /// `k/d (T₀ − T) = −[F(T₀) + J (T − T₀)]` with T₀ = 0 (less when frozen solid), without the sun, which passes through clear ice; 0 when the ice melts. Snow and
    /// the white of old ice are left out.
    ///
    /// Source: Stefan's quasi-steady ice layer (1891), linearised.
    #[inline(always)]
    fn ice_top_c(&self, at: &Interval<'_>, surface: &Surface<R>, state: &State<R>) -> R {
        let zero = self.like(0.0);
        let below_c = state.water_c.or_at_most(zero);
        let above = self.above(at, surface, below_c);
        let thickness_m = state.ice_kg / (self.area_m2 * ICE_DENSITY_KG_M3);
        let conductance_w_k = self.area_m2 * ICE_CONDUCTIVITY_W_M_K / thickness_m;
        (below_c + above.w_m2 / (conductance_w_k - above.slope_w_m2_k)).or_at_most(zero)
    }

    /// Steps `state` through one interval.
    #[inline(always)]
    pub(crate) fn step(
        &self,
        at: &Interval<'_>,
        state: &mut State<R>,
        pad: &mut Pad<R>,
    ) -> Outcome<R> {
        let row = at.row();
        let h = self.interval_s;
        let zero = self.like(0.0);
        let start_c = state.water_c;
        let settled = self.settle(at, state, pad);
        let Settled {
            open,
            cover_on_frac,
            ground,
            other_w,
            middle_c,
            ..
        } = settled;
        let pump = &settled.pump;
        let on = pump.on_frac;
        let runs = on.is_above(zero);

        // Every flow anew at the middle; the ground for a straight line to the end.
        // Below ice the water stays as it is.
        let water_c = R::select(state.ice_kg.is_above(zero), start_c, middle_c);
        let terms = self.flows(at, &pad.surface, settled.surface_c, water_c);
        let mut outlet_c = self.like(f64::NAN);
        let mut pump_heat_w = settled.filter_w;
        if runs.any() {
            let chain = self.chain::<true>(&pad.hours, &pad.bodies, middle_c, &mut pad.running);
            outlet_c = R::select(runs, chain.outlet_c, outlet_c);
            let more_w = pump_heat_w + on * pump.pump_heat_w;
            pump_heat_w = R::select(runs, more_w, pump_heat_w);
        }
        let mut heaters_w = zero;
        for (i, unit) in self.heaters.iter().enumerate() {
            let before = state.heaters[i];
            if (!runs).any() {
                self.stand(i, unit, row, open, state, pad);
            }
            if runs.any() {
                self.run_on(i, unit, runs, pump, &before, state, pad);
            }
            heaters_w += pad.done[i].heat_w;
        }
        let known_w = terms.sum_w() + heaters_w + pump_heat_w + other_w + ground.w_m2;
        let (end_c, end_ice_kg) = self.end(start_c, state.ice_kg, known_w, ground.slope_w_m2_k);
        let ground_w = ground.w_m2 + ground.slope_w_m2_k * (end_c - start_c);
        self.ground
            .advance(&mut state.ground, start_c, end_c, row.deep_c);
        let stored_w =
            (self.capacity_j_k * (end_c - start_c) - (end_ice_kg - state.ice_kg) * FUSION_J_KG) / h;
        state.water_c = end_c;
        state.ice_kg = end_ice_kg;
        state.pump_on = runs & pump.on_at_end;
        state.run_left_s = pump.run_left_s;

        Outcome {
            heat_w: Ledger {
                sun_on_water: terms.sun_w,
                heaters: heaters_w,
                other_heater: other_w,
                pump_heat: pump_heat_w,
                rain: terms.rain_w,
                evaporation: terms.evaporation_w,
                convection: terms.convection_w,
                longwave: terms.longwave_w,
                ground: ground_w,
                walls: terms.walls_w,
                make_up_water: terms.make_up_w,
                stored_change: stored_w,
            },
            pump_on_frac: on,
            cover_on_frac,
            outlet_c,
            cover_c: terms.cover_c,
            cover_residual_w_m2: terms.cover_residual_w_m2,
            short_cycling: pump.short_cycling,
            cooling_wanted: pump.cooling_wanted,
            cooling: pump.cooling,
            heating_power_w: on * pump.power_w,
            other_bought_w: self.other.as_ref().map_or(zero, |o| other_w / o.efficiency),
            evaporated_kg_s: terms.evaporated_kg_s,
            splashed_kg_s: R::select(open, self.splash_kg_s, zero),
            rain_kg_s: self.area_m2 * row.rain_kg_m2_s,
            make_up_kg_s: terms.make_up_kg_s,
            overflow_kg_s: terms.overflow_kg_s,
        }
    }

    /// Heater `i` through an interval without flow.
    #[inline(always)]
    fn stand(
        &self,
        i: usize,
        unit: &HeaterUnit<R>,
        row: &Row,
        open: R::Mask,
        state: &mut State<R>,
        pad: &mut Pad<R>,
    ) {
        let siphon_w = pad.siphon_w[i];
        pad.done[i] = HeaterOutcome {
            heat_w: siphon_w,
            gained_w: siphon_w,
            body_w: self.like(0.0),
        };
        pad.start_body_c[i] = self.like(f64::NAN);
        let whole_s = self.like(self.interval_s);
        let here = &mut state.heaters[i];
        if unit.is_deck {
            *here = unit.heater.rest(&pad.hours[i], here, whole_s);
            return;
        }
        // Drained for the season: an empty tube follows the air.
        let air_c = self.like(row.air_c);
        here.body_c = if open.any() {
            let rested = unit.heater.rest(&pad.hours[i], here, whole_s);
            R::select(open, rested.body_c, air_c)
        } else {
            air_c
        };
    }

    /// Heater `i` through an interval with flow, from `before`, in the lanes in which it runs.
    #[inline(always)]
    #[allow(
        clippy::too_many_arguments,
        reason = "one half of the step, used there"
    )]
    fn run_on(
        &self,
        i: usize,
        unit: &HeaterUnit<R>,
        runs: R::Mask,
        pump: &Decision<R>,
        before: &HeaterState<R>,
        state: &mut State<R>,
        pad: &mut Pad<R>,
    ) {
        let h = self.interval_s;
        let zero = self.like(0.0);
        let on = pump.on_frac;
        let (hour, run, body) = (&pad.hours[i], &pad.running[i], &pad.bodies[i]);
        let exchanged = unit.exchanged_frac(on * h, pump.starts);
        let body_w = pump.starts * exchanged * unit.heater.start_heat_j(body, run) / h;
        let heat_w = on * run.heat_w + body_w;
        let gained_w = on * (run.absorbed_w - run.lost_w + run.from_store_w);
        let done = &mut pad.done[i];
        done.heat_w = R::select(runs, heat_w, done.heat_w);
        done.gained_w = R::select(runs, gained_w, done.gained_w);
        done.body_w = R::select(runs, body_w, done.body_w);
        // The mean over many starts hides the first, which is the hottest.
        let hottest_c = body.body_c.or_at_least(before.body_c);
        let start_c = R::select(pump.short_cycling, hottest_c, body.body_c);
        let none = self.like(f64::NAN);
        let start_c = R::select(state.pump_on, none, start_c);
        pad.start_body_c[i] = R::select(runs, start_c, none);
        let mut after = unit.heater.advance(hour, body, run, on, h);
        after.body_c = body.body_c + exchanged * (run.body_c - body.body_c);
        let rests = pump.rest_s.is_above(zero);
        if (runs & rests).any() {
            let rested = unit.heater.rest_body(hour, &after, pump.rest_s);
            after = HeaterState::select(rests, &rested, &after);
        }
        let here = &mut state.heaters[i];
        if unit.is_deck {
            *here = HeaterState::select(runs, &after, here);
        } else {
            here.body_c = R::select(runs, after.body_c, here.body_c);
        }
    }

    /// Heat of the ordinary heater that just holds its thermostat, W.
    #[inline(always)]
    fn other_w(&self, tick: &Tick, open: R::Mask, end_c: R, stiffness_w_k: R) -> R {
        let zero = self.like(0.0);
        match &self.other {
            Some(other) => {
                let wanted_w = (other.setpoint_c - end_c) * stiffness_w_k;
                let given_w = wanted_w.or_at_least(zero).or_at_most(other.heat_w);
                R::select(open & other.months[tick.month], given_w, zero)
            }
            None => zero,
        }
    }

    /// Water, °C, and ice, kg, at the end under `known_w`, with the ground's answer `ground_w_k` to the water's rise.
    ///
    /// Enthalpy `C T − L m_ice` gains `h [known + g (T − T₀)]`. Above nothing but water it is warmth; below, water cools
    /// to 0 °C and then makes ice, which melts before the water warms again. A pool frozen solid goes on cooling
    /// with the capacity of its water, which is twice that of the ice: not modelled, and warned about.
    #[inline(always)]
    fn end(&self, start_c: R, ice_kg: R, known_w: R, ground_w_k: R) -> (R, R) {
        let h = self.interval_s;
        let zero = self.like(0.0);
        let stiffness_j_k = self.capacity_j_k - ground_w_k * h;
        let enthalpy_j = stiffness_j_k * start_c - ice_kg * FUSION_J_KG + known_w * h;
        let inverse = self.like(1.0) / stiffness_j_k;
        let liquid = enthalpy_j.is_at_least(zero);
        if !(!liquid).any() {
            return (enthalpy_j * inverse, zero);
        }
        let all_ice_j = self.water_kg * FUSION_J_KG;
        let freezing = enthalpy_j.is_at_least(-all_ice_j);
        let below_c = R::select(freezing, zero, (enthalpy_j + all_ice_j) * inverse);
        let ice_kg = R::select(freezing, -enthalpy_j * (1.0 / FUSION_J_KG), self.water_kg);
        (
            R::select(liquid, enthalpy_j * inverse, below_c),
            R::select(liquid, zero, ice_kg),
        )
    }
}
