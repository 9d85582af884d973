//! A plan in the form in which it is stepped: areas, capacities, tables; built once, read every interval.

use swimdays_collector::{Heater, HeaterSpec};
use swimdays_pool::{Cover, Ground, OpenWater, Walls};
use swimdays_properties::water;
use swimdays_pump::{Control, Limits};

use crate::clock::{DayTable, Tick};
use crate::{MonthDay, Plan, Prepared, SeasonError, Shell};

/// Most solar heaters that one plan may have; their states live in fixed arrays.
pub const MAX_HEATERS: usize = 8;

/// Temperature at which the pool's water properties are taken, °C: the middle of a season.
/// Between 15 and 32 °C density times specific heat changes by 0.6 %.
pub(crate) const PROPERTY_C: f64 = 25.0;

/// One solar heater.
#[derive(Clone, Debug)]
pub(crate) struct HeaterUnit {
    pub heater: Heater,
    /// Index into [`Prepared::planes`].
    pub plane: usize,
    pub wind_frac: f64,
    /// Share of the flow of its stage.
    pub flow_frac: f64,
    /// Stage in flow order; heaters of one stage stand side by side.
    pub stage: usize,
    pub height_above_water_m: f64,
    /// Time for the water in the tubes to pass, s.
    pub transit_s: f64,
    /// Lies in or on something that remembers, pump or no pump.
    pub is_deck: bool,
}

impl HeaterUnit {
    /// Share of the standing water that is pushed out in each of `starts` runs of `on_s` seconds in all: one, unless
    /// the flow is a trickle.
    #[inline]
    pub(crate) fn exchanged_frac(&self, on_s: f64, starts: f64) -> f64 {
        (on_s / (starts.max(1.0) * self.transit_s)).min(1.0)
    }
}

/// The pump as the step needs it.
#[derive(Clone, Debug)]
pub(crate) struct PumpUnit {
    pub flow_kg_s: f64,
    pub control: Control,
    pub schedule: DayTable,
    pub filter: DayTable,
    pub limits: Limits,
    pub check_valve: bool,
    pub connecting_length_m: f64,
    pub connecting_bore_m: f64,
    /// Heat to the water while the filter runs anyway, W.
    pub filter_heat_w: f64,
    /// Heat to the water that heating adds: while the filter runs anyway, and while it does not, W.
    pub heating_heat_w: [f64; 2],
    /// Electricity that heating adds: while the filter runs anyway, and while it does not, W.
    pub heating_power_w: [f64; 2],
}

/// The cover and its hours.
#[derive(Clone, Debug)]
pub(crate) struct CoverUnit {
    pub cover: Cover,
    pub on: DayTable,
    pub off_in_swim_hours: bool,
    pub off_above_c: f64,
}

/// An ordinary heater.
#[derive(Clone, Debug)]
pub(crate) struct OtherUnit {
    pub heat_w: f64,
    pub efficiency: f64,
    pub setpoint_c: f64,
    pub months: [bool; 12],
}

/// Everything about a plan that does not change from interval to interval.
#[derive(Clone, Debug)]
pub(crate) struct Machine {
    pub interval_s: f64,
    pub area_m2: f64,
    pub capacity_j_k: f64,
    pub water_kg: f64,
    pub water: OpenWater,
    pub bathing_factor: f64,
    pub ground: Ground,
    pub ground_area_m2: f64,
    pub walls: Option<Walls>,
    pub sun_factor: f64,
    /// Share of the light passed by the cover that stays in the water.
    pub below_cover_frac: f64,
    pub splash_kg_s: f64,
    pub cover: Option<CoverUnit>,
    pub heaters: Vec<HeaterUnit>,
    pub pump: Option<PumpUnit>,
    pub other: Option<OtherUnit>,
    pub swim: DayTable,
    pub target_c: f64,
    pub too_hot_c: f64,
    pub opens: MonthDay,
    pub closes: MonthDay,
    pub chain_capacity_w_k: f64,
    /// Strongest sun of the year on each heater's plane, W/m².
    pub peak_sun_w_m2: [f64; MAX_HEATERS],
}

impl Machine {
    pub(crate) fn new(plan: &Plan, year: &Prepared) -> Result<Self, SeasonError> {
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
        let mut peak_sun_w_m2 = [0.0; MAX_HEATERS];
        for (peak, unit) in peak_sun_w_m2.iter_mut().zip(&heaters) {
            *peak = year.planes[unit.plane].peak_w_m2;
        }
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
            ground: Ground::new(ground_spec, year.interval_s)?,
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
            opens: pool.opens,
            closes: pool.closes,
            chain_capacity_w_k: flow_kg_s * specific_heat,
            peak_sun_w_m2,
        })
    }

    /// Flow through heater `k` while the pump runs, kg/s.
    pub(crate) fn flow_of(&self, k: usize) -> f64 {
        self.pump
            .as_ref()
            .map_or(0.0, |p| p.flow_kg_s * self.heaters[k].flow_frac)
    }

    /// Whether the pool is in use on the day of `tick`.
    #[inline]
    pub(crate) fn is_open(&self, tick: &Tick) -> bool {
        MonthDay::contains(self.opens, self.closes, tick.date)
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
            let transit_s = heater.water_kg() / (flow_kg_s * flow_frac);
            Ok(HeaterUnit {
                heater,
                transit_s,
                is_deck: matches!(h.spec, HeaterSpec::Deck(_)),
                plane,
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
        control: pump.control.clone(),
        schedule,
        filter: DayTable::new(&unit.filter_windows(), minutes),
        limits: pump.limits,
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
