//! A plan in the form in which it is stepped: areas, capacities, tables; built once, read every interval.

use std::sync::Arc;

use swimdays_collector::{Abreast, Heater, HeaterSpec, Together};
use swimdays_pool::{Cover, CoverKind, Ground, GroundSpec, GroundStep, OpenWater, Walls};
use swimdays_properties::real::Real;
use swimdays_properties::water;
use swimdays_pump::{Control, DifferentialControl};

use crate::clock::DayTable;
use crate::{MonthDay, Plan, Prepared, SeasonError, Shell};

/// Most solar heaters that one plan may have; their states live in fixed arrays.
pub const MAX_HEATERS: usize = 8;

/// Temperature at which the pool's water properties are taken, °C: the middle of a season.
/// Between 15 and 32 °C density times specific heat changes by 0.6 %.
pub(crate) const PROPERTY_C: f64 = 25.0;

/// One solar heater, or one for each lane.
#[derive(Clone, Debug)]
pub(crate) struct HeaterUnit<R: Real = f64> {
    pub heater: Abreast<R>,
    /// The heaters by themselves, one a lane: for what is asked seldom.
    pub alone: Vec<Heater>,
    /// Index into [`Prepared::planes`], of each lane.
    pub planes: Vec<usize>,
    pub wind_frac: R,
    /// Share of the flow of its stage.
    pub flow_frac: R,
    /// Stage in flow order; heaters of one stage stand side by side.
    pub stage: usize,
    pub height_above_water_m: R,
    /// Time for the water in the tubes to pass, s.
    pub transit_s: R,
    /// Lies in or on something that remembers, pump or no pump.
    pub is_deck: bool,
    pub absorber_area_m2: R,
}

impl<R: Real> HeaterUnit<R> {
    /// Share of the standing water that is pushed out in each of `starts` runs of `on_s` seconds in all: one, unless
    /// the flow is a trickle.
    #[inline(always)]
    pub(crate) fn exchanged_frac(&self, on_s: R, starts: R) -> R {
        let one = on_s.like(1.0);
        (on_s / (starts.or_at_least(one) * self.transit_s)).or_at_most(one)
    }

    fn join(like: R, lanes: &[&HeaterUnit], flow_kg_s: R) -> Self {
        let of = |pick: fn(&HeaterUnit) -> f64| like.each(|lane| pick(lanes[lane]));
        let flow_frac = of(|h| h.flow_frac);
        let heaters: Vec<&Heater> = lanes.iter().map(|h| &h.alone[0]).collect();
        Self {
            heater: Abreast::new(&heaters, flow_kg_s * flow_frac),
            alone: heaters.into_iter().copied().collect(),
            planes: lanes.iter().map(|h| h.planes[0]).collect(),
            wind_frac: of(|h| h.wind_frac),
            flow_frac,
            stage: lanes[0].stage,
            height_above_water_m: of(|h| h.height_above_water_m),
            transit_s: of(|h| h.transit_s),
            is_deck: lanes[0].is_deck,
            absorber_area_m2: of(|h| h.absorber_area_m2),
        }
    }
}

/// The pump as the step needs it.
#[derive(Clone, Debug)]
pub(crate) struct PumpUnit<R: Real = f64> {
    pub flow_kg_s: R,
    /// The sensor of each lane, where there is one.
    pub sensors: Vec<Option<DifferentialControl>>,
    /// Where a sensor decides.
    pub has_sensor: R::Mask,
    pub schedule: DayTable<R>,
    pub filter: DayTable<R>,
    /// No flow in air colder than this; −∞ without such a limit.
    pub frost_stop_c: R,
    /// No more heating from here; ∞ without such a limit.
    pub water_limit_c: R,
    /// Cooling at night above this; ∞ without.
    pub cool_above_c: R,
    pub check_valve: R::Mask,
    pub connecting_length_m: R,
    pub connecting_bore_m: R,
    /// Heat to the water while the filter runs anyway, W.
    pub filter_heat_w: R,
    /// Heat to the water that heating adds: while the filter runs anyway, and while it does not, W.
    pub heating_heat_w: [R; 2],
    /// Electricity that heating adds: while the filter runs anyway, and while it does not, W.
    pub heating_power_w: [R; 2],
}

impl<R: Real> PumpUnit<R> {
    fn join(like: R, lanes: &[&PumpUnit]) -> Self {
        let of = |pick: fn(&PumpUnit) -> f64| like.each(|lane| pick(lanes[lane]));
        Self {
            flow_kg_s: of(|p| p.flow_kg_s),
            sensors: lanes.iter().map(|p| p.sensors[0].clone()).collect(),
            has_sensor: mask(like, lanes, |p| p.has_sensor),
            schedule: table(like, lanes, |p| &p.schedule),
            filter: table(like, lanes, |p| &p.filter),
            frost_stop_c: of(|p| p.frost_stop_c),
            water_limit_c: of(|p| p.water_limit_c),
            cool_above_c: of(|p| p.cool_above_c),
            check_valve: mask(like, lanes, |p| p.check_valve),
            connecting_length_m: of(|p| p.connecting_length_m),
            connecting_bore_m: of(|p| p.connecting_bore_m),
            filter_heat_w: of(|p| p.filter_heat_w),
            heating_heat_w: [of(|p| p.heating_heat_w[0]), of(|p| p.heating_heat_w[1])],
            heating_power_w: [of(|p| p.heating_power_w[0]), of(|p| p.heating_power_w[1])],
        }
    }
}

/// The cover and its hours.
#[derive(Clone, Debug)]
pub(crate) struct CoverUnit<R: Real = f64> {
    pub cover: Cover<R>,
    pub on: DayTable<R>,
    pub off_in_swim_hours: R::Mask,
    pub off_above_c: R,
}

impl CoverUnit {
    /// Covers nothing and lies nowhere: stands in the lane of a plan without a cover.
    fn none(interval_minutes: u32) -> Self {
        Self {
            cover: Cover {
                covered_frac: 0.0,
                ..CoverKind::default().cover()
            },
            on: DayTable::constant(0.0, interval_minutes),
            off_in_swim_hours: false,
            off_above_c: f64::INFINITY,
        }
    }
}

impl<R: Real> CoverUnit<R> {
    fn join(like: R, lanes: &[&CoverUnit]) -> Self {
        let covers: Vec<&Cover> = lanes.iter().map(|c| &c.cover).collect();
        Self {
            cover: Cover::join(like, &covers),
            on: table(like, lanes, |c| &c.on),
            off_in_swim_hours: mask(like, lanes, |c| c.off_in_swim_hours),
            off_above_c: like.each(|lane| lanes[lane].off_above_c),
        }
    }
}

/// An ordinary heater.
#[derive(Clone, Debug)]
pub(crate) struct OtherUnit<R: Real = f64> {
    pub heat_w: R,
    pub efficiency: R,
    pub setpoint_c: R,
    pub months: [R::Mask; 12],
}

impl<R: Real> OtherUnit<R> {
    fn join(like: R, lanes: &[&OtherUnit]) -> Self {
        let of = |pick: fn(&OtherUnit) -> f64| like.each(|lane| pick(lanes[lane]));
        Self {
            heat_w: of(|o| o.heat_w),
            efficiency: of(|o| o.efficiency),
            setpoint_c: of(|o| o.setpoint_c),
            months: std::array::from_fn(|month| mask(like, lanes, |o| o.months[month])),
        }
    }
}

/// Everything about a plan, or about one plan for each lane, that does not change from interval to interval.
#[derive(Clone, Debug)]
pub(crate) struct Machine<R: Real = f64> {
    pub interval_s: f64,
    pub area_m2: R,
    pub capacity_j_k: R,
    pub water_kg: R,
    pub water: OpenWater<R>,
    pub bathing_factor: R,
    /// The columns of shell and soil, one a lane.
    pub soils: Vec<Arc<Ground>>,
    pub ground: GroundStep<R>,
    pub ground_area_m2: R,
    pub walls: Option<Walls<R>>,
    pub sun_factor: R,
    /// Share of the light passed by the cover that stays in the water.
    pub below_cover_frac: R,
    pub splash_kg_s: R,
    pub cover: Option<CoverUnit<R>>,
    pub heaters: Vec<HeaterUnit<R>>,
    pub pump: Option<PumpUnit<R>>,
    pub other: Option<OtherUnit<R>>,
    pub swim: DayTable<R>,
    pub target_c: R,
    pub too_hot_c: R,
    /// Whether the pool is in use on each day of the run.
    pub open: Vec<R::Mask>,
    /// One over the heat capacity of the flow through all heaters, K/W.
    pub chain_inverse_k_w: R,
}

/// Yes or no for each lane.
fn mask<R: Real, T>(like: R, lanes: &[&T], pick: impl Fn(&T) -> bool) -> R::Mask {
    let one = like.each(|lane| f64::from(u8::from(pick(lanes[lane]))));
    one.is_above(like.like(0.5))
}

/// The tables of each lane.
fn table<R: Real, T>(like: R, lanes: &[&T], pick: fn(&T) -> &DayTable) -> DayTable<R> {
    let tables: Vec<&DayTable> = lanes.iter().map(|lane| pick(lane)).collect();
    DayTable::join(like, &tables)
}

impl Machine {
    pub(crate) fn new(
        plan: &Plan,
        year: &Prepared,
        soils: &mut Soils,
    ) -> Result<Self, SeasonError> {
        year.check(plan)?;
        if plan.heaters.len() > MAX_HEATERS {
            return Err(SeasonError::TooManyHeaters {
                found: plan.heaters.len(),
            });
        }
        if let Some(pump) = &plan.pump {
            pump.pump.check()?;
            pump.control.check()?;
        }
        let minutes = year.interval_minutes;
        let density = water::density_kg_m3(PROPERTY_C);
        let specific_heat = water::specific_heat_j_kg_k(PROPERTY_C);
        let pool = &plan.pool;
        let (ground_spec, ground_area_m2, walls) = match &pool.shell {
            Shell::InGround {
                ground,
                contact_area_m2,
            } => (ground, *contact_area_m2, None),
            Shell::AboveGround { walls, floor } => (floor, pool.area_m2, Some(*walls)),
        };
        let swim_hours = plan.swim.to_h - plan.swim.from_h;
        let bathing_share = (pool.bathing_h_per_day / swim_hours.max(1e-9)).clamp(0.0, 1.0);
        let flow_kg_s = plan
            .pump
            .as_ref()
            .map_or(0.0, |p| p.pump.flow_m3_s() * density);
        let heaters = heater_units(plan, year, flow_kg_s)?;
        let soil = soils.column(ground_spec, year.interval_s)?;
        let pump = match (&plan.pump, heaters.is_empty()) {
            (Some(pump), _) => Some(pump_unit(pump, flow_kg_s, minutes)),
            (None, false) => return Err(SeasonError::HeaterWithoutPump),
            (None, true) => None,
        };
        Ok(Self {
            interval_s: year.interval_s,
            area_m2: pool.area_m2,
            capacity_j_k: pool.volume_m3 * density * specific_heat,
            water_kg: pool.volume_m3 * density,
            water: OpenWater::new(
                pool.evaporation,
                pool.wind_at_water_frac.value,
                pool.activity_frac,
            ),
            bathing_factor: 1.0 + bathing_share * (pool.bathing_factor - 1.0),
            ground: *soil.step(),
            soils: vec![soil],
            ground_area_m2,
            walls,
            sun_factor: pool.sun_factor.value,
            below_cover_frac: pool.sun.absorbed_below_cover_frac(),
            splash_kg_s: pool.splash_kg_m2_day * pool.area_m2 / 86_400.0
                + pool.backwash_m3_week * density / (7.0 * 86_400.0),
            cover: plan.cover.as_ref().map(|c| CoverUnit {
                cover: Cover {
                    covered_frac: c.covered_frac.value,
                    solar_transmittance_frac: c.transmittance_frac.value,
                    conductance_w_m2_k: c.conductance_w_m2_k.value,
                    remaining_evaporation_frac: c.remaining_evaporation_frac.value,
                    ..c.cover
                },
                on: DayTable::new(&c.on, minutes),
                off_in_swim_hours: c.off_in_swim_hours,
                off_above_c: c.off_above_c.unwrap_or(f64::INFINITY),
            }),
            heaters,
            pump,
            other: plan.other_heater.as_ref().map(|o| OtherUnit {
                heat_w: o.heat_w,
                efficiency: o.efficiency,
                setpoint_c: o.setpoint_c,
                months: o.months,
            }),
            swim: DayTable::every_day(plan.swim.from_h, plan.swim.to_h, minutes),
            target_c: plan.swim.target_c,
            too_hot_c: plan.swim.too_hot_c,
            open: days_open(year, pool.opens, pool.closes),
            chain_inverse_k_w: 1.0 / (flow_kg_s * specific_heat),
        })
    }
}

/// Columns of shell and soil that were worked out already, and the past that they remember: many plans stand in the same ground and year.
#[derive(Debug, Default)]
pub(crate) struct Soils {
    known: Vec<(GroundSpec, Arc<Ground>)>,
    past_c: Option<Vec<(f64, f64)>>,
}

impl Soils {
    /// Water and deep soil before the run, which `find` knows; of one prepared year.
    pub(crate) fn past_c(&mut self, find: impl FnOnce() -> Vec<(f64, f64)>) -> &[(f64, f64)] {
        self.past_c.get_or_insert_with(find)
    }

    fn column(&mut self, spec: &GroundSpec, interval_s: f64) -> Result<Arc<Ground>, SeasonError> {
        if let Some((_, ground)) = self.known.iter().find(|(known, _)| known == spec) {
            return Ok(Arc::clone(ground));
        }
        let ground = Arc::new(Ground::new(spec, interval_s)?);
        self.known.push((*spec, Arc::clone(&ground)));
        Ok(ground)
    }
}

fn days_open(year: &Prepared, opens: MonthDay, closes: MonthDay) -> Vec<bool> {
    let mut open = Vec::with_capacity(370);
    for tick in &year.ticks {
        if tick.day == open.len() {
            open.push(MonthDay::contains(opens, closes, tick.date));
        }
    }
    open
}

impl<R: Real> Machine<R> {
    /// Several machines of one [`Shape`] side by side, one for each lane of `like`.
    pub(crate) fn join(like: R, lanes: &[&Machine]) -> Self {
        let of = |pick: fn(&Machine) -> f64| like.each(|lane| pick(lanes[lane]));
        let flow_kg_s = of(|m| m.pump.as_ref().map_or(0.0, |p| p.flow_kg_s));
        let first = lanes[0];
        let waters: Vec<&OpenWater> = lanes.iter().map(|m| &m.water).collect();
        let grounds: Vec<&GroundStep> = lanes.iter().map(|m| &m.ground).collect();
        let minutes = first.swim.interval_minutes();
        let no_cover = CoverUnit::none(minutes);
        let covers: Vec<&CoverUnit> = lanes
            .iter()
            .map(|m| m.cover.as_ref().unwrap_or(&no_cover))
            .collect();
        Self {
            interval_s: first.interval_s,
            area_m2: of(|m| m.area_m2),
            capacity_j_k: of(|m| m.capacity_j_k),
            water_kg: of(|m| m.water_kg),
            water: OpenWater::join(like, &waters),
            bathing_factor: of(|m| m.bathing_factor),
            soils: lanes.iter().map(|m| Arc::clone(&m.soils[0])).collect(),
            ground: GroundStep::join(like, &grounds),
            ground_area_m2: of(|m| m.ground_area_m2),
            walls: all(lanes, |m| m.walls.as_ref()).map(|walls| Walls::join(like, &walls)),
            sun_factor: of(|m| m.sun_factor),
            below_cover_frac: of(|m| m.below_cover_frac),
            splash_kg_s: of(|m| m.splash_kg_s),
            cover: lanes
                .iter()
                .any(|m| m.cover.is_some())
                .then(|| CoverUnit::join(like, &covers)),
            heaters: (0..first.heaters.len())
                .map(|k| {
                    let units: Vec<&HeaterUnit> = lanes.iter().map(|m| &m.heaters[k]).collect();
                    HeaterUnit::join(like, &units, flow_kg_s)
                })
                .collect(),
            pump: all(lanes, |m| m.pump.as_ref()).map(|pumps| PumpUnit::join(like, &pumps)),
            other: all(lanes, |m| m.other.as_ref()).map(|others| OtherUnit::join(like, &others)),
            swim: table(like, lanes, |m| &m.swim),
            target_c: of(|m| m.target_c),
            too_hot_c: of(|m| m.too_hot_c),
            open: (0..first.open.len())
                .map(|day| mask(like, lanes, |m| m.open[day]))
                .collect(),
            chain_inverse_k_w: of(|m| m.chain_inverse_k_w),
        }
    }

    /// `value` in every lane.
    #[inline(always)]
    pub(crate) fn like(&self, value: f64) -> R {
        self.area_m2.like(value)
    }
}

/// What each lane has, when all have it.
fn all<'a, T>(lanes: &[&'a Machine], pick: fn(&'a Machine) -> Option<&'a T>) -> Option<Vec<&'a T>> {
    lanes.iter().map(|m| pick(m)).collect()
}

/// What machines must have in common to be stepped side by side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Shape {
    walls: bool,
    pump: bool,
    other: bool,
    /// Stage of each heater, with which others it goes together, whether it is a deck.
    heaters: Vec<(usize, Together, bool)>,
}

impl Machine {
    pub(crate) fn shape(&self) -> Shape {
        Shape {
            walls: self.walls.is_some(),
            pump: self.pump.is_some(),
            other: self.other.is_some(),
            heaters: self
                .heaters
                .iter()
                .map(|unit| (unit.stage, unit.heater.together(), unit.is_deck))
                .collect(),
        }
    }

    /// Flow through heater `k` while the pump runs, kg/s.
    pub(crate) fn flow_of(&self, k: usize) -> f64 {
        self.pump
            .as_ref()
            .map_or(0.0, |p| p.flow_kg_s * self.heaters[k].flow_frac)
    }
}

fn heater_units(
    plan: &Plan,
    year: &Prepared,
    flow_kg_s: f64,
) -> Result<Vec<HeaterUnit>, SeasonError> {
    let mut stage = 0;
    let mut stage_of = Vec::with_capacity(plan.heaters.len());
    for (i, heater) in plan.heaters.iter().enumerate() {
        if i > 0 && !heater.side_by_side {
            stage += 1;
        }
        stage_of.push(stage);
    }
    // Heaters side by side share the flow by absorber area: like branches of like tube take like flow, and
    // until the operating point of each branch is computed, area stands for the number of branches.
    let mut areas = Vec::with_capacity(plan.heaters.len());
    for heater in &plan.heaters {
        areas.push(Heater::new(&heater.spec, flow_kg_s)?.absorber_area_m2());
    }
    let total = |stage: usize| -> f64 {
        areas
            .iter()
            .zip(&stage_of)
            .filter(|(_, s)| **s == stage)
            .map(|(a, _)| a)
            .sum()
    };
    plan.heaters
        .iter()
        .enumerate()
        .map(|(i, h)| {
            let flow_frac = areas[i] / total(stage_of[i]);
            let heater = Heater::new(&h.spec, flow_kg_s * flow_frac)?
                .with_performance(h.performance.value)
                .with_interval_s(year.interval_s);
            let plane = year.plane_of(&h.plane, &h.obstructions).ok_or_else(|| {
                SeasonError::PreparedForAnother {
                    what: format!("the plane of heater {}", h.name),
                }
            })?;
            Ok(HeaterUnit {
                heater: Abreast::new(&[&heater], flow_kg_s * flow_frac),
                transit_s: heater.water_kg() / (flow_kg_s * flow_frac),
                is_deck: matches!(h.spec, HeaterSpec::Deck(_)),
                absorber_area_m2: heater.absorber_area_m2(),
                alone: vec![heater],
                planes: vec![plane],
                wind_frac: h.wind_frac.value,
                flow_frac,
                stage: stage_of[i],
                height_above_water_m: h.height_above_water_m,
            })
        })
        .collect()
}

fn pump_unit(pump: &crate::PumpPlan, flow_kg_s: f64, minutes: u32) -> PumpUnit {
    let schedule = match &pump.control {
        Control::Never => DayTable::constant(0.0, minutes),
        Control::Always => DayTable::constant(1.0, minutes),
        Control::Timer(windows) => DayTable::new(windows, minutes),
        Control::Differential(d) => d.within.as_ref().map_or_else(
            || DayTable::constant(1.0, minutes),
            |w| DayTable::new(w, minutes),
        ),
    };
    let unit = &pump.pump;
    PumpUnit {
        flow_kg_s,
        has_sensor: matches!(pump.control, Control::Differential(_)),
        sensors: vec![match &pump.control {
            Control::Differential(sensor) => Some(sensor.clone()),
            _ => None,
        }],
        schedule,
        filter: DayTable::new(&unit.filter_windows(), minutes),
        frost_stop_c: pump.limits.frost_stop_c.unwrap_or(f64::NEG_INFINITY),
        water_limit_c: pump.limits.water_limit_c.unwrap_or(f64::INFINITY),
        cool_above_c: pump
            .limits
            .night_cooling
            .map_or(f64::INFINITY, |n| n.above_water_c),
        check_valve: pump.check_valve,
        connecting_length_m: pump.connecting_length_m,
        connecting_bore_m: pump.connecting_bore_m,
        filter_heat_w: unit.filter_heat_to_water_w(),
        heating_heat_w: [
            unit.heating_heat_to_water_w(true),
            unit.heating_heat_to_water_w(false),
        ],
        heating_power_w: [unit.heating_power_w(true), unit.heating_power_w(false)],
    }
}
