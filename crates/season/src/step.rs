//! One interval of the pool: the equation that everything else serves.
//!
//! `C dT/dt = A (sun + evaporation + convection + longwave + make-up + rain) + walls + ground + heaters + pump + other`
//!
//! with the weather of the interval held constant. The step is a linearised implicit midpoint: with the sum of
//! all flows `F(T)` and its exact slope `J`, the end is first estimated from `C ΔT/h = F(T₀) + J ΔT/2`, then
//! every flow is evaluated anew at the middle of that estimate, and the water moves by their sum. The ground,
//! which remembers, is carried exactly for a straight line of the water's temperature. So each recorded flow is
//! the physics at one temperature, none is a remainder, and the step is of second order and stable.

use swimdays_collector::{HeaterState, HeaterWeather, Running};
use swimdays_pool::{Flux, GroundState, SurfaceWeather, make_up_w_m2, rain_w_m2};
use swimdays_properties::constants::{FUSION_J_KG, ICE_CONDUCTIVITY_W_M_K, ICE_DENSITY_KG_M3};
use swimdays_properties::moist_air::{LATENT_HEAT_SLOPE_J_KG_K, latent_heat_j_kg};

use crate::clock::Tick;
use crate::control::{Decision, share_within_limit};
use crate::machine::{HeaterUnit, MAX_HEATERS, Machine, PumpUnit};
use crate::planes::PlaneRow;
use crate::prepared::{Prepared, Row};
use crate::{Ledger, Noted};

/// Below its limit by more than this the water cannot reach it within an interval, so nobody looks, K.
const COVER_WATCH_K: f64 = 3.0;

/// What the pool remembers from one interval to the next.
#[derive(Clone, Copy, Debug)]
pub(crate) struct State {
    pub water_c: f64,
    pub ice_kg: f64,
    pub ground: GroundState,
    pub heaters: [HeaterState; MAX_HEATERS],
    pub pump_on: bool,
    /// Time for which a sensor's run must still go on, s.
    pub run_left_s: f64,
}

/// What one heater did in one interval.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct HeaterOutcome {
    /// Heat into the water, W, the mean of the interval.
    pub heat_w: f64,
    /// Sun and longwave taken in less given off and taken from a store, W, computed apart from the water's rise.
    pub gained_w: f64,
    /// Heat that the tube and its water gave when flow started, W.
    pub body_w: f64,
}

/// What is decided at the start of one interval and holds through it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Settled {
    pub open: bool,
    pub cover_on_frac: f64,
    pub bathing: f64,
    /// Ground for water that stays, with its answer to the water's end, W and W/K.
    pub ground: Flux,
    /// Heat of the filter pump that runs anyway, W.
    pub filter_w: f64,
    pub pump: Decision,
    pub other_w: f64,
    /// Estimate of the water half way, °C.
    pub middle_c: f64,
    /// What the air and sky meet: the water half way, or the top of the ice on it, °C.
    pub surface_c: f64,
}

/// What happened in one interval.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Outcome {
    pub heat_w: Ledger,
    pub pump_on_frac: f64,
    pub cover_on_frac: f64,
    pub outlet_c: f64,
    pub cover_c: f64,
    pub cover_residual_w_m2: f64,
    pub short_cycling: bool,
    pub cooling_wanted: bool,
    pub cooling: bool,
    pub heating_power_w: f64,
    pub other_bought_w: f64,
    pub evaporated_kg_s: f64,
    pub splashed_kg_s: f64,
    pub rain_kg_s: f64,
    pub make_up_kg_s: f64,
    pub overflow_kg_s: f64,
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

    /// Sun and longwave on the plane of a heater.
    #[inline]
    pub(crate) fn plane(&self, unit: &HeaterUnit) -> &'a PlaneRow {
        &self.year.planes[unit.plane].rows[self.index]
    }
}

/// Where the heaters of one interval are worked out: written anew in every interval, so nothing is remembered here.
///
/// Passing it along keeps eight heaters' worth of numbers from being copied around when one is there.
#[derive(Clone, Debug)]
pub(crate) struct Pad {
    pub weather: [HeaterWeather; MAX_HEATERS],
    /// Heaters when flow starts.
    pub bodies: [HeaterState; MAX_HEATERS],
    pub running: [Running; MAX_HEATERS],
    pub done: [HeaterOutcome; MAX_HEATERS],
    /// Tube temperature of each heater when flow started, `NaN` when it did not start.
    pub start_body_c: [f64; MAX_HEATERS],
    /// Heat lost by buoyant flow while the pump stands, W.
    pub siphon_w: [f64; MAX_HEATERS],
}

impl Pad {
    pub(crate) fn new() -> Self {
        Self {
            weather: [HeaterWeather::default(); MAX_HEATERS],
            bodies: [HeaterState::default(); MAX_HEATERS],
            running: [Running::default(); MAX_HEATERS],
            done: [HeaterOutcome::default(); MAX_HEATERS],
            start_body_c: [f64::NAN; MAX_HEATERS],
            siphon_w: [0.0; MAX_HEATERS],
        }
    }
}

/// Every flow that depends on the water's temperature alone (W, W/K).
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Terms {
    sun_w: f64,
    evaporation: Flux,
    convection: Flux,
    longwave: Flux,
    walls: Flux,
    make_up: Flux,
    rain: Flux,
    evaporated_kg_s: f64,
    make_up_kg_s: f64,
    overflow_kg_s: f64,
    cover_c: f64,
    cover_residual_w_m2: f64,
}

impl Terms {
    pub(crate) fn sum(&self) -> (f64, f64) {
        let all = [
            self.evaporation,
            self.convection,
            self.longwave,
            self.walls,
            self.make_up,
            self.rain,
        ];
        let mut sum = (self.sun_w, 0.0);
        for flux in all {
            sum.0 += flux.w_m2;
            sum.1 += flux.slope_w_m2_k;
        }
        sum
    }
}

/// All heaters in flow order at one inlet temperature.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Chain {
    pub heat_w: f64,
    pub slope_w_k: f64,
    pub outlet_c: f64,
}

impl Machine {
    /// Share of the interval in which the schedule has the cover on.
    #[inline]
    fn cover_scheduled_frac(&self, tick: &Tick, open: bool) -> f64 {
        match &self.cover {
            Some(cover) if open => {
                let scheduled = cover.on.at(tick);
                if cover.off_in_swim_hours {
                    scheduled.min(1.0 - self.swim.at(tick))
                } else {
                    scheduled
                }
            }
            _ => 0.0,
        }
    }

    /// Everything but heaters, pump, ground and ordinary heater. Air, sky and cover meet `surface_c`; walls, make-up and
    /// rain meet `water_c`; both are one but for ice.
    #[inline]
    pub(crate) fn terms(
        &self,
        at: &Interval<'_>,
        cover_on_frac: f64,
        bathing: f64,
        open: bool,
        surface_c: f64,
        water_c: f64,
    ) -> Terms {
        let row = at.row();
        let weather = SurfaceWeather {
            air_c: row.air_c,
            vapour_pressure_pa: row.vapour_pressure_pa,
            pressure_pa: row.pressure_pa,
            wind_10m_m_s: row.wind_m_s,
            sky_longwave_w_m2: row.water_longwave_w_m2,
        };
        let mut out = Terms {
            cover_c: f64::NAN,
            ..Terms::default()
        };
        let covered = self
            .cover
            .as_ref()
            .map_or(0.0, |c| cover_on_frac * c.cover.covered_frac);
        let open_area = self.area_m2 * (1.0 - covered);
        let surface = self.water.flux(&weather, bathing, surface_c);
        out.sun_w = open_area * row.sun_open_w_m2 * self.sun_factor;
        out.evaporation = surface.evaporation.times(open_area);
        out.convection = surface.convection.times(open_area);
        out.longwave = surface.longwave.times(open_area);
        out.evaporated_kg_s = surface.evaporated_kg_m2_s * open_area;
        if let (true, Some(cover)) = (covered > 0.0, &self.cover) {
            let area = self.area_m2 * covered;
            let sun = row.sun_on_cover_w_m2 * self.sun_factor;
            let under =
                cover
                    .cover
                    .flux(&self.water, &weather, sun, self.below_cover_frac, surface_c);
            out.sun_w += area * under.sun_w_m2;
            out.evaporation = out.evaporation.plus(under.evaporation.times(area));
            out.convection = out.convection.plus(under.convection.times(area));
            out.longwave = out.longwave.plus(under.longwave.times(area));
            out.evaporated_kg_s += under.evaporated_kg_m2_s * area;
            out.cover_c = under.cover_c;
            out.cover_residual_w_m2 = under.residual_w_m2;
        }
        if let Some(walls) = &self.walls {
            out.walls = walls
                .flux(
                    row.air_c,
                    row.wind_m_s * self.water.wind_at_water_frac(),
                    row.sun_on_walls_w_m2,
                    row.wall_longwave_w_m2,
                    water_c,
                )
                .times(walls.area_m2);
        }
        let splash = if open { self.splash_kg_s } else { 0.0 };
        let rain_kg_s = row.rain_kg_m2_s * self.area_m2;
        let wanted_kg_s = out.evaporated_kg_s + splash - rain_kg_s;
        out.make_up_kg_s = wanted_kg_s.max(0.0);
        out.overflow_kg_s = (-wanted_kg_s).max(0.0);
        out.make_up = make_up_w_m2(out.make_up_kg_s, row.mains_c, water_c);
        if out.make_up_kg_s > 0.0 {
            // Warmer water evaporates more, and so much more is put in.
            let latent_j_kg = latent_heat_j_kg(surface_c);
            let more_kg_s_k = (LATENT_HEAT_SLOPE_J_KG_K * out.evaporation.w_m2 / latent_j_kg
                - out.evaporation.slope_w_m2_k)
                / latent_j_kg;
            out.make_up.slope_w_m2_k += more_kg_s_k * make_up_w_m2(1.0, row.mains_c, water_c).w_m2;
        }
        out.rain = rain_w_m2(rain_kg_s, row.rain_c, water_c);
        out
    }

    #[inline]
    pub(crate) fn heater_weather(unit: &HeaterUnit, row: &Row, plane: &PlaneRow) -> HeaterWeather {
        HeaterWeather {
            beam_w_m2: plane.beam_w_m2,
            incidence_cos: plane.incidence_cos,
            diffuse_w_m2: plane.diffuse_w_m2,
            longwave_w_m2: plane.longwave_w_m2,
            air_c: row.air_c,
            pressure_pa: row.pressure_pa,
            wind_m_s: row.wind_m_s * unit.wind_frac,
            ground_c: row.soil_c,
        }
    }

    /// Heaters in flow order, each into `running`; those of one stage share the flow and mix their outlets.
    #[inline]
    pub(crate) fn chain(
        &self,
        pump: &PumpUnit,
        weather: &[HeaterWeather; MAX_HEATERS],
        states: &[HeaterState; MAX_HEATERS],
        inlet_c: f64,
        running: &mut [Running; MAX_HEATERS],
    ) -> Chain {
        let mut out = Chain {
            heat_w: 0.0,
            slope_w_k: 0.0,
            outlet_c: inlet_c,
        };
        let mut inlet_slope = 1.0;
        let mut stage_heat = 0.0;
        let mut stage_slope = 0.0;
        for (i, unit) in self.heaters.iter().enumerate() {
            let flow = pump.flow_kg_s * unit.flow_frac;
            running[i] = unit.heater.run(&weather[i], &states[i], out.outlet_c, flow);
            stage_heat += running[i].heat_w;
            stage_slope += running[i].slope_w_k;
            let last_of_stage = self
                .heaters
                .get(i + 1)
                .is_none_or(|next| next.stage != unit.stage);
            if last_of_stage {
                out.heat_w += stage_heat;
                out.slope_w_k += stage_slope * inlet_slope;
                out.outlet_c += stage_heat / self.chain_capacity_w_k;
                inlet_slope *= 1.0 + stage_slope / self.chain_capacity_w_k;
                stage_heat = 0.0;
                stage_slope = 0.0;
            }
        }
        out
    }

    /// Settles what is decided once an interval, and estimates the middle of the water's way.
    #[inline]
    pub(crate) fn settle(&self, at: &Interval<'_>, state: &State, pad: &mut Pad) -> Settled {
        let (row, tick) = (at.row(), at.tick());
        let h = self.interval_s;
        let start_c = state.water_c;
        let open = self.is_open(tick);
        let noted_cover = at.noted_cover();
        let mut cover_on_frac =
            noted_cover.unwrap_or_else(|| self.cover_scheduled_frac(tick, open));
        let swims = open && start_c >= self.target_c && start_c <= self.too_hot_c;
        let bathing = if swims {
            1.0 + self.swim.at(tick) * (self.bathing_factor - 1.0)
        } else {
            1.0
        };
        for (i, unit) in self.heaters.iter().enumerate() {
            pad.weather[i] = Self::heater_weather(unit, row, at.plane(unit));
        }
        let ground = self
            .ground
            .mean_flux(&state.ground, start_c, row.deep_c)
            .times(self.ground_area_m2);
        let filter_w = match &self.pump {
            Some(pump) if open => pump.filter_heat_w * pump.filter.at(tick),
            _ => 0.0,
        };
        let still_w = ground.w_m2 + filter_w;
        let sum = |cover_on_frac: f64| {
            let (flow_w, slope_w_k) = self
                .terms(at, cover_on_frac, bathing, open, start_c, start_c)
                .sum();
            let stiffness = self.capacity_j_k / h - 0.5 * slope_w_k - ground.slope_w_m2_k;
            (flow_w + still_w, stiffness)
        };
        let (mut flow_w, mut stiffness) = sum(cover_on_frac);
        let mut pump = self.decide(at, pad, state, open, flow_w / stiffness, stiffness);
        let limit_c = self.cover.as_ref().map_or(f64::INFINITY, |c| c.off_above_c);
        if cover_on_frac > 0.0 && noted_cover.is_none() && start_c > limit_c - COVER_WATCH_K {
            let with_k = (flow_w + pump.added_w()) / stiffness;
            let (bare_w, bare_stiffness) = sum(0.0);
            let without_k = (bare_w + pump.added_w()) / bare_stiffness;
            let lies = cover_on_frac * share_within_limit(limit_c - start_c, with_k, without_k);
            if lies < cover_on_frac {
                cover_on_frac = lies;
                (flow_w, stiffness) = sum(lies);
                pump = self.decide(at, pad, state, open, flow_w / stiffness, stiffness);
            }
        }
        let heated_w = flow_w + pump.added_w();
        let heated_stiffness = stiffness - 0.5 * pump.on_frac * pump.slope_w_k();
        let other_w = self.other_w(
            tick,
            open,
            start_c + heated_w / heated_stiffness,
            heated_stiffness,
        );
        let middle_c = start_c + 0.5 * (heated_w + other_w) / heated_stiffness;
        Settled {
            open,
            cover_on_frac,
            bathing,
            ground,
            filter_w,
            pump,
            other_w,
            middle_c,
            surface_c: if state.ice_kg > 0.0 {
                self.ice_top_c(at, cover_on_frac, open, state)
            } else {
                middle_c
            },
        }
    }

    /// Temperature of the top of the ice, °C: where what the ice conducts is what the air and the sky take.
    ///
    /// `k/d (T₀ − T) = −[F(T₀) + J (T − T₀)]` with T₀ = 0 (less when frozen solid), without the sun, which passes through clear ice; 0 when the ice melts. Snow and
    /// the white of old ice are left out.
    ///
    /// Source: Stefan's quasi-steady ice layer (1891), linearised.
    #[inline]
    fn ice_top_c(&self, at: &Interval<'_>, cover_on_frac: f64, open: bool, state: &State) -> f64 {
        let below_c = state.water_c.min(0.0);
        let terms = self.terms(at, cover_on_frac, 1.0, open, below_c, below_c);
        let above = terms
            .evaporation
            .plus(terms.convection)
            .plus(terms.longwave);
        let thickness_m = state.ice_kg / (ICE_DENSITY_KG_M3 * self.area_m2);
        let conductance_w_k = ICE_CONDUCTIVITY_W_M_K * self.area_m2 / thickness_m;
        (below_c + above.w_m2 / (conductance_w_k - above.slope_w_m2_k)).min(0.0)
    }

    /// Steps `state` through one interval.
    #[inline]
    pub(crate) fn step(&self, at: &Interval<'_>, state: &mut State, pad: &mut Pad) -> Outcome {
        let row = at.row();
        let h = self.interval_s;
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
        let running = &settled.pump;
        let on = running.on_frac;

        // Every flow anew at the middle; the ground for a straight line to the end.
        // Below ice the water stays as it is.
        let water_c = if state.ice_kg > 0.0 {
            start_c
        } else {
            middle_c
        };
        let terms = self.terms(
            at,
            cover_on_frac,
            settled.bathing,
            open,
            settled.surface_c,
            water_c,
        );
        let mut outlet_c = f64::NAN;
        let mut heaters_w = 0.0;
        let mut pump_heat_w = settled.filter_w;
        if let (true, Some(pump)) = (on > 0.0, &self.pump) {
            let chain = self.chain(pump, &pad.weather, &pad.bodies, middle_c, &mut pad.running);
            outlet_c = chain.outlet_c;
            pump_heat_w += on * running.pump_heat_w;
            for (i, unit) in self.heaters.iter().enumerate() {
                let (run, body) = (&pad.running[i], &pad.bodies[i]);
                let exchanged = unit.exchanged_frac(on * h, running.starts);
                let body_w = running.starts * exchanged * unit.heater.start_heat_j(body, run) / h;
                pad.done[i] = HeaterOutcome {
                    heat_w: on * run.heat_w + body_w,
                    gained_w: on * (run.absorbed_w - run.lost_w + run.from_store_w),
                    body_w,
                };
                heaters_w += pad.done[i].heat_w;
                pad.start_body_c[i] = if state.pump_on {
                    f64::NAN
                } else if running.short_cycling {
                    // The mean over many starts hides the first, which is the hottest.
                    body.body_c.max(state.heaters[i].body_c)
                } else {
                    body.body_c
                };
                let mut after = unit.heater.advance(&pad.weather[i], body, run, on, h);
                after.body_c = body.body_c + exchanged * (run.body_c - body.body_c);
                state.heaters[i] = if running.rest_s > 0.0 {
                    unit.heater
                        .rest_body(&pad.weather[i], &after, running.rest_s)
                } else {
                    after
                };
            }
        } else {
            for (i, unit) in self.heaters.iter().enumerate() {
                let siphon_w = pad.siphon_w[i];
                pad.done[i] = HeaterOutcome {
                    heat_w: siphon_w,
                    gained_w: siphon_w,
                    body_w: 0.0,
                };
                heaters_w += siphon_w;
                pad.start_body_c[i] = f64::NAN;
                state.heaters[i] = if open || unit.is_deck {
                    unit.heater.rest(&pad.weather[i], &state.heaters[i], h)
                } else {
                    // Drained for the season: an empty tube follows the air.
                    HeaterState {
                        body_c: row.air_c,
                        ..state.heaters[i]
                    }
                };
            }
        }
        let (other_flows_w, _) = terms.sum();
        let known_w = other_flows_w + heaters_w + pump_heat_w + other_w + ground.w_m2;
        let end = self.end(start_c, state.ice_kg, known_w, ground.slope_w_m2_k);
        let ground_w = ground.w_m2 + ground.slope_w_m2_k * (end.water_c - start_c);
        self.ground
            .advance(&mut state.ground, start_c, end.water_c, row.deep_c);
        let stored_w = (self.capacity_j_k * (end.water_c - start_c)
            - FUSION_J_KG * (end.ice_kg - state.ice_kg))
            / h;
        state.water_c = end.water_c;
        state.ice_kg = end.ice_kg;
        state.pump_on = on > 0.0 && running.on_at_end;
        state.run_left_s = running.run_left_s;

        Outcome {
            heat_w: Ledger {
                sun_on_water: terms.sun_w,
                heaters: heaters_w,
                other_heater: other_w,
                pump_heat: pump_heat_w,
                rain: terms.rain.w_m2,
                evaporation: terms.evaporation.w_m2,
                convection: terms.convection.w_m2,
                longwave: terms.longwave.w_m2,
                ground: ground_w,
                walls: terms.walls.w_m2,
                make_up_water: terms.make_up.w_m2,
                stored_change: stored_w,
            },
            pump_on_frac: on,
            cover_on_frac,
            outlet_c,
            cover_c: terms.cover_c,
            cover_residual_w_m2: terms.cover_residual_w_m2,
            short_cycling: running.short_cycling,
            cooling_wanted: running.cooling_wanted,
            cooling: running.cooling,
            heating_power_w: on * running.power_w,
            other_bought_w: self.other.as_ref().map_or(0.0, |o| other_w / o.efficiency),
            evaporated_kg_s: terms.evaporated_kg_s,
            splashed_kg_s: if open { self.splash_kg_s } else { 0.0 },
            rain_kg_s: row.rain_kg_m2_s * self.area_m2,
            make_up_kg_s: terms.make_up_kg_s,
            overflow_kg_s: terms.overflow_kg_s,
        }
    }

    /// Heat of the ordinary heater that just holds its thermostat, W.
    #[inline]
    fn other_w(&self, tick: &Tick, open: bool, end_c: f64, stiffness_w_k: f64) -> f64 {
        match &self.other {
            Some(other) if open && other.months[tick.month] => {
                ((other.setpoint_c - end_c) * stiffness_w_k).clamp(0.0, other.heat_w)
            }
            _ => 0.0,
        }
    }

    /// Where water and ice end up under `known_w`, with the ground's answer `ground_w_k` to the water's rise.
    ///
    /// Enthalpy `C T − L m_ice` gains `h [known + g (T − T₀)]`. Above nothing but water it is warmth; below, water cools
    /// to 0 °C and then makes ice, which melts before the water warms again. A pool frozen solid goes on cooling
    /// with the capacity of its water, which is twice that of the ice: not modelled, and warned about.
    #[inline]
    fn end(&self, start_c: f64, ice_kg: f64, known_w: f64, ground_w_k: f64) -> End {
        let h = self.interval_s;
        let stiffness_j_k = self.capacity_j_k - h * ground_w_k;
        let enthalpy_j = stiffness_j_k * start_c - FUSION_J_KG * ice_kg + h * known_w;
        let all_ice_j = FUSION_J_KG * self.water_kg;
        if enthalpy_j >= 0.0 {
            End {
                water_c: enthalpy_j / stiffness_j_k,
                ice_kg: 0.0,
            }
        } else if enthalpy_j >= -all_ice_j {
            End {
                water_c: 0.0,
                ice_kg: -enthalpy_j / FUSION_J_KG,
            }
        } else {
            End {
                water_c: (enthalpy_j + all_ice_j) / stiffness_j_k,
                ice_kg: self.water_kg,
            }
        }
    }
}

/// Water and ice at the end of an interval.
struct End {
    water_c: f64,
    ice_kg: f64,
}
