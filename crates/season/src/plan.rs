//! What is to be stepped: a pool, its cover, its heaters, its pump and its swimmers, in SI and valid.
//!
//! A [`Plan`] is data. It comes from the `scenario` crate (or from a program that uses this crate as a
//! library) and is read by [`crate::run()`] alone. Lengths are metres, areas m², times of day wall-clock
//! hours, months 0 = January … 11 = December, angles degrees clockwise from true north.

use chrono::{Datelike, NaiveDate};
use swimdays_collector::HeaterSpec;
use swimdays_pool::{Cover, CoverKind, EvaporationModel, GroundSpec, Span, SunOnWater, Walls};
use swimdays_pump::{Control, Limits, Pump, Window, every_month};
use swimdays_solar::{Obstruction, Orbit, Plane, TranspositionModel};

/// A number that nobody knows exactly: the best guess and the ends within which it lies four times out of five.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ranged {
    /// The best guess, used for every single answer.
    pub value: f64,
    /// One in ten lies below.
    pub low: f64,
    /// One in ten lies above.
    pub high: f64,
}

impl Ranged {
    /// A number taken as exact.
    #[must_use]
    pub const fn exact(value: f64) -> Self {
        Self {
            value,
            low: value,
            high: value,
        }
    }

    /// The value at `position` −1…1: −1 gives `low`, 0 `value`, 1 `high`, straight lines between and beyond.
    #[must_use]
    pub fn at(&self, position: f64) -> f64 {
        if position < 0.0 {
            self.value + (self.value - self.low) * position
        } else {
            self.value + (self.high - self.value) * position
        }
    }
}

/// A day of any year.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MonthDay {
    /// 1…12.
    pub month: u32,
    /// 1…31.
    pub day: u32,
}

impl MonthDay {
    /// Whether `date` lies from `from` to `to`, both included; the stretch may run over New Year.
    #[must_use]
    pub fn contains(from: Self, to: Self, date: NaiveDate) -> bool {
        let key = |m: u32, d: u32| m * 100 + d;
        let (from, to) = (key(from.month, from.day), key(to.month, to.day));
        let here = key(date.month(), date.day());
        if from <= to {
            (from..=to).contains(&here)
        } else {
            here >= from || here <= to
        }
    }
}

/// Which daylight-saving rule the clocks on the wall follow.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SummerTime {
    /// Standard time all year.
    #[default]
    None,
    /// Second Sunday of March 02:00 to first Sunday of November 02:00 (United States, Energy Policy Act of 2005).
    Us,
    /// Last Sunday of March to last Sunday of October, 01:00 UTC (Directive 2000/84/EC).
    Eu,
}

/// A pool and all that heats, cools, covers and uses it.
#[derive(Clone, Debug)]
pub struct Plan {
    /// What the scenario is called.
    pub name: String,
    /// Where it stands.
    pub site: SitePlan,
    /// The pool itself.
    pub pool: PoolPlan,
    /// The floating cover, if there is one.
    pub cover: Option<CoverPlan>,
    /// Solar heaters in flow order.
    pub heaters: Vec<HeaterPlan>,
    /// What pushes the water through them; needed when there are heaters.
    pub pump: Option<PumpPlan>,
    /// A gas heater, heat pump or electric heater, for comparison.
    pub other_heater: Option<OtherHeaterPlan>,
    /// When and how warm people swim.
    pub swim: SwimPlan,
    /// What things cost.
    pub prices: Prices,
    /// Which of several published models to use.
    pub models: Models,
    /// Every default that was used because nothing was said.
    pub assumptions: Vec<Assumption>,
}

/// Where the pool stands, beyond what the weather file says.
#[derive(Clone, Debug, PartialEq)]
pub struct SitePlan {
    /// Daylight-saving rule of the clock on the wall.
    pub summer_time: SummerTime,
    /// Share of sunlight that the ground before the heaters reflects; the weather file's albedo when absent, else 0.2.
    pub ground_albedo_frac: Option<f64>,
}

/// The pool.
#[derive(Clone, Debug)]
pub struct PoolPlan {
    /// Water surface, m².
    pub area_m2: f64,
    /// Water volume, m³.
    pub volume_m3: f64,
    /// Shell and surroundings below the water line.
    pub shell: Shell,
    /// Wind at 0.3 m above the water as a share of the station's wind at 10 m.
    pub wind_at_water_frac: Ranged,
    /// How the water takes in sunlight.
    pub sun: SunOnWater,
    /// Multiplier on the sun that reaches the water, for what the obstructions miss; 1 unless fitted.
    pub sun_factor: Ranged,
    /// House, trees, fence as seen from the water.
    pub obstructions: Vec<Obstruction>,
    /// Evaporation model.
    pub evaporation: EvaporationModel,
    /// ASHRAE activity factor, used by that model only.
    pub activity_frac: f64,
    /// Evaporation in bathing hours as a multiple of quiet water.
    pub bathing_factor: f64,
    /// Bathing hours (wall clock) on every swim day.
    pub bathing_h_per_day: f64,
    /// Splash and drag-out, kg/m² of surface a day.
    pub splash_kg_m2_day: f64,
    /// Filter backwash, m³ a week while the pool is open.
    pub backwash_m3_week: f64,
    /// First day on which the pool is in use.
    pub opens: MonthDay,
    /// Last day on which the pool is in use.
    pub closes: MonthDay,
    /// Water temperature on the morning of opening (at the beginning of the run, when the pool is open then), °C; absent:
    /// the weather's own periodic state.
    pub start_c: Option<f64>,
}

/// What holds the water.
#[derive(Clone, Debug)]
pub enum Shell {
    /// Dug in: floor and walls against soil.
    InGround {
        /// Shell and soil.
        ground: GroundSpec,
        /// Wetted area of floor and walls, m².
        contact_area_m2: f64,
    },
    /// Standing on the ground: walls in air and sun, floor on soil.
    AboveGround {
        /// The walls.
        walls: Walls,
        /// What lies below the floor.
        floor: GroundSpec,
    },
}

/// A floating cover and when it lies on the water.
#[derive(Clone, Debug)]
pub struct CoverPlan {
    /// What it is.
    pub kind: CoverKind,
    /// Its properties at their best guess.
    pub cover: Cover,
    /// Share of the water it covers; overrides the cover's own.
    pub covered_frac: Ranged,
    /// Sun it lets through; overrides the cover's own.
    pub transmittance_frac: Ranged,
    /// Conductance from the water to its top, W/(m²·K); overrides the cover's own.
    pub conductance_w_m2_k: Ranged,
    /// Evaporation that remains under it, share of open water; overrides the cover's own.
    pub remaining_evaporation_frac: Ranged,
    /// Wall-clock hours on the water, by month.
    pub on: [Vec<Window>; 12],
    /// Taken off during the swim hours.
    pub off_in_swim_hours: bool,
    /// Left off while the water is hotter than this, °C.
    pub off_above_c: Option<f64>,
    /// What it costs.
    pub cost: Option<f64>,
}

impl CoverPlan {
    /// A cover with the properties and ranges of its kind, always on but in swim hours.
    #[must_use]
    pub fn usual(kind: CoverKind) -> Self {
        let spans = kind.spans();
        let ranged = |span: Span| Ranged {
            value: span.value,
            low: span.low,
            high: span.high,
        };
        Self {
            kind,
            cover: kind.cover(),
            covered_frac: ranged(spans.covered_frac),
            transmittance_frac: ranged(spans.solar_transmittance_frac),
            conductance_w_m2_k: ranged(spans.conductance_w_m2_k),
            remaining_evaporation_frac: ranged(spans.remaining_evaporation_frac),
            on: every_month(&[Window::ALWAYS]),
            off_in_swim_hours: true,
            off_above_c: None,
            cost: None,
        }
    }
}

/// One solar heater in its place.
#[derive(Clone, Debug)]
pub struct HeaterPlan {
    /// Unique name, used in paths such as `heater.board.area`.
    pub name: String,
    /// What it is made of.
    pub spec: HeaterSpec,
    /// How steep it stands and which way it faces.
    pub plane: Plane,
    /// House, trees, fence as seen from the heater.
    pub obstructions: Vec<Obstruction>,
    /// Wind at the heater as a share of the station's wind at 10 m.
    pub wind_frac: Ranged,
    /// Heat delivered as a multiple of what the physics says, for what the physics misses.
    pub performance: Ranged,
    /// Stands side by side with the heater before it rather than after it.
    pub side_by_side: bool,
    /// Centre of the heater above the water level, m; decides whether it can lose heat by itself at night.
    pub height_above_water_m: f64,
    /// What it costs.
    pub cost: Option<f64>,
}

/// Pump, control and the pipes between pool and heaters.
#[derive(Clone, Debug)]
pub struct PumpPlan {
    /// Flow, power and what the pump does anyway.
    pub pump: Pump,
    /// When it runs.
    pub control: Control,
    /// What stops it.
    pub limits: Limits,
    /// A check valve keeps the water from turning back when the pump stands.
    pub check_valve: bool,
    /// Length of pipe between pool and heaters, there and back, m.
    pub connecting_length_m: f64,
    /// Its bore, m.
    pub connecting_bore_m: f64,
    /// What it costs.
    pub cost: Option<f64>,
}

/// The fuel of an ordinary heater.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OtherHeaterKind {
    /// Burns gas.
    Gas,
    /// Moves heat from the air.
    HeatPump,
    /// Electric resistance.
    Electric,
}

/// An ordinary heater with a thermostat.
#[derive(Clone, Debug)]
pub struct OtherHeaterPlan {
    /// Fuel.
    pub kind: OtherHeaterKind,
    /// Heat that reaches the water at full power, W.
    pub heat_w: f64,
    /// Heat to the water per unit of energy bought (a heat pump's is above 1).
    pub efficiency: f64,
    /// Thermostat, °C.
    pub setpoint_c: f64,
    /// Months in which it is switched on.
    pub months: [bool; 12],
}

/// When people swim and what they call warm.
#[derive(Clone, Debug, PartialEq)]
pub struct SwimPlan {
    /// Coldest water one swims in, °C.
    pub target_c: f64,
    /// Hottest water one swims in, °C.
    pub too_hot_c: f64,
    /// Swim hours, wall clock: start.
    pub from_h: f64,
    /// Swim hours, wall clock: end.
    pub to_h: f64,
}

/// What things cost, in the scenario's currency.
#[derive(Clone, Debug, PartialEq)]
pub struct Prices {
    /// Sign or code put before an amount.
    pub currency: String,
    /// Per kWh of electricity.
    pub electricity_per_kwh: Option<f64>,
    /// Per kWh of gas (heat content).
    pub gas_per_kwh: Option<f64>,
    /// Per m³ of water.
    pub water_per_m3: Option<f64>,
}

/// Published models chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Models {
    /// Sky diffuse on a tilted plane.
    pub transposition: TranspositionModel,
    /// The Earth's orbit; anything but the real one serves symmetry tests.
    pub orbit: Orbit,
}

/// A value that nobody gave: what was taken, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assumption {
    /// Path in the scenario, such as `pool.finish`.
    pub key: String,
    /// What was taken, with its unit.
    pub value: String,
    /// Where that comes from.
    pub source: String,
}
