//! What a run yields: hourly columns, days, and the ledger of heat and water.

use chrono::{NaiveDate, NaiveDateTime};
use swimdays_properties::real::Real;

use crate::Words;

/// Heat by cause. Positive into the water. W in hourly columns, kWh where a name says so.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ledger<R = f64> {
    /// Sun absorbed by the water and by the cover on it.
    pub sun_on_water: R,
    /// Solar heaters, with what their pipes hold at each start.
    pub heaters: R,
    /// The ordinary heater.
    pub other_heater: R,
    /// Pump heat that reaches the water.
    pub pump_heat: R,
    /// Rain.
    pub rain: R,
    /// Latent heat of evaporation.
    pub evaporation: R,
    /// Sensible heat to the air above the water.
    pub convection: R,
    /// Longwave from and to sky and surroundings.
    pub longwave: R,
    /// Shell and soil.
    pub ground: R,
    /// Walls of an above-ground pool.
    pub walls: R,
    /// Water put in to replace what was lost.
    pub make_up_water: R,
    /// What the water (and ice) took up: the sum of all the others.
    pub stored_change: R,
}

impl Ledger {
    /// Names in the order in which they are written.
    pub const NAMES: [&'static str; 12] = [
        "sun_on_water",
        "heaters",
        "other_heater",
        "pump_heat",
        "rain",
        "evaporation",
        "convection",
        "longwave",
        "ground",
        "walls",
        "make_up_water",
        "stored_change",
    ];

    /// Values in the order of [`Self::NAMES`].
    #[must_use]
    pub fn values(&self) -> [f64; 12] {
        [
            self.sun_on_water,
            self.heaters,
            self.other_heater,
            self.pump_heat,
            self.rain,
            self.evaporation,
            self.convection,
            self.longwave,
            self.ground,
            self.walls,
            self.make_up_water,
            self.stored_change,
        ]
    }

    /// Sum of all heat flows less what was stored; zero when the ledger closes.
    #[must_use]
    pub fn residual(&self) -> f64 {
        let v = self.values();
        v[..11].iter().sum::<f64>() - v[11]
    }

    /// Sets every entry to `value`.
    pub fn fill(&mut self, value: f64) {
        *self = Self::all(value);
    }
}

impl<R: Real> Ledger<R> {
    /// Adds `other` times `factor`.
    #[inline(always)]
    pub fn add(&mut self, other: &Self, factor: f64) {
        self.sun_on_water += other.sun_on_water * factor;
        self.heaters += other.heaters * factor;
        self.other_heater += other.other_heater * factor;
        self.pump_heat += other.pump_heat * factor;
        self.rain += other.rain * factor;
        self.evaporation += other.evaporation * factor;
        self.convection += other.convection * factor;
        self.longwave += other.longwave * factor;
        self.ground += other.ground * factor;
        self.walls += other.walls * factor;
        self.make_up_water += other.make_up_water * factor;
        self.stored_change += other.stored_change * factor;
    }

    /// Adds `other`.
    #[inline(always)]
    pub(crate) fn plus(&mut self, other: &Self) {
        self.sun_on_water += other.sun_on_water;
        self.heaters += other.heaters;
        self.other_heater += other.other_heater;
        self.pump_heat += other.pump_heat;
        self.rain += other.rain;
        self.evaporation += other.evaporation;
        self.convection += other.convection;
        self.longwave += other.longwave;
        self.ground += other.ground;
        self.walls += other.walls;
        self.make_up_water += other.make_up_water;
        self.stored_change += other.stored_change;
    }

    /// Takes every entry times `factor`.
    #[inline(always)]
    pub(crate) fn scale(&mut self, factor: f64) {
        let factor = self.heaters.like(factor);
        self.sun_on_water *= factor;
        self.heaters *= factor;
        self.other_heater *= factor;
        self.pump_heat *= factor;
        self.rain *= factor;
        self.evaporation *= factor;
        self.convection *= factor;
        self.longwave *= factor;
        self.ground *= factor;
        self.walls *= factor;
        self.make_up_water *= factor;
        self.stored_change *= factor;
    }

    /// `value` in every entry.
    #[inline(always)]
    pub(crate) fn all(value: R) -> Self {
        Self {
            sun_on_water: value,
            heaters: value,
            other_heater: value,
            pump_heat: value,
            rain: value,
            evaporation: value,
            convection: value,
            longwave: value,
            ground: value,
            walls: value,
            make_up_water: value,
            stored_change: value,
        }
    }

    /// The ledger of `lane`.
    pub(crate) fn lane(&self, lane: usize) -> Ledger {
        Ledger {
            sun_on_water: self.sun_on_water.lane(lane),
            heaters: self.heaters.lane(lane),
            other_heater: self.other_heater.lane(lane),
            pump_heat: self.pump_heat.lane(lane),
            rain: self.rain.lane(lane),
            evaporation: self.evaporation.lane(lane),
            convection: self.convection.lane(lane),
            longwave: self.longwave.lane(lane),
            ground: self.ground.lane(lane),
            walls: self.walls.lane(lane),
            make_up_water: self.make_up_water.lane(lane),
            stored_change: self.stored_change.lane(lane),
        }
    }
}

/// Columns of one value an interval, in the order of time. `NaN` stands for "there is none".
///
/// `water_c` is at the end of the interval, everything else is the interval's mean.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hourly {
    /// Start of the interval, local standard time.
    pub start: Vec<NaiveDateTime>,
    /// Air temperature, °C.
    pub air_c: Vec<f64>,
    /// Dew point, °C.
    pub dew_point_c: Vec<f64>,
    /// Station wind at 10 m, m/s.
    pub wind_m_s: Vec<f64>,
    /// Global horizontal irradiance, W/m².
    pub ghi_w_m2: Vec<f64>,
    /// Irradiance on the first heater's plane, obstructions and incidence loss left out, W/m².
    pub plane_w_m2: Vec<f64>,
    /// Longwave from the open sky on a horizontal plane, W/m².
    pub sky_longwave_w_m2: Vec<f64>,
    /// Water temperature at the end of the interval, °C.
    pub water_c: Vec<f64>,
    /// Water temperature leaving the last heater while the pump ran, °C.
    pub outlet_c: Vec<f64>,
    /// Temperature of the first heater's tube at the end of the interval, °C.
    pub tube_c: Vec<f64>,
    /// Cover temperature, °C.
    pub cover_c: Vec<f64>,
    /// Share of the interval in which the pump pushed water through the heaters.
    pub pump_on_frac: Vec<f64>,
    /// Share of the interval in which the cover lay on the water.
    pub cover_on_frac: Vec<f64>,
    /// Mean heat flows, W.
    pub heat_w: Vec<Ledger>,
}

/// One day of the swim year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Day {
    /// Date (wall clock).
    pub date: NaiveDate,
    /// Whether the pool is open.
    pub open: bool,
    /// Every swim hour ended within the band.
    pub swim: bool,
    /// Open, and some swim hour ended above the band.
    pub too_hot: bool,
    /// Water, °C: lowest, mean and highest of the day.
    pub water_min_c: f64,
    /// Mean water temperature, °C.
    pub water_mean_c: f64,
    /// Highest water temperature, °C.
    pub water_max_c: f64,
    /// Mean air temperature, °C.
    pub air_mean_c: f64,
    /// Highest air temperature, °C.
    pub air_max_c: f64,
    /// Global irradiation, kWh/m².
    pub sun_kwh_m2: f64,
    /// Hours of pumping through the heaters.
    pub pump_h: f64,
    /// Hours with the cover on.
    pub cover_h: f64,
    /// Heat by cause, kWh.
    pub heat_kwh: Ledger,
    /// Water evaporated, kg.
    pub evaporated_kg: f64,
}

/// Water by cause, kg.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct WaterBook {
    /// Left by evaporation (dew counts against it).
    pub evaporated_kg: f64,
    /// Left by splash and backwash.
    pub splashed_kg: f64,
    /// Came as rain.
    pub rain_kg: f64,
    /// Ran over the edge.
    pub overflow_kg: f64,
    /// Was put in.
    pub make_up_kg: f64,
}

impl WaterBook {
    /// What came less what went; zero at constant level.
    #[must_use]
    pub fn residual_kg(&self) -> f64 {
        self.make_up_kg + self.rain_kg - self.evaporated_kg - self.splashed_kg - self.overflow_kg
    }
}

/// The first water out of a heater that stood in the sun.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FirstSlug {
    /// Its temperature, °C.
    pub water_c: f64,
    /// How much there is of it, L.
    pub litres: f64,
    /// How long it runs, s.
    pub seconds: f64,
    /// When it was worst: start of the interval, local standard time.
    pub at: NaiveDateTime,
}

/// What one heater did.
#[derive(Clone, Debug, PartialEq)]
pub struct HeaterResult {
    /// Name in the plan.
    pub name: String,
    /// Heat into the water less heat taken from it, kWh.
    pub heat_kwh: f64,
    /// Heat into the water in hours in which it warmed, kWh.
    pub heated_kwh: f64,
    /// Heat taken from the water in hours in which it cooled, wanted or not, kWh; not above 0.
    pub cooled_kwh: f64,
    /// Of that, what it lost by itself while the pump stood and no check valve held the water, kWh; not above 0.
    pub siphoned_kwh: f64,
    /// Sun and longwave taken in less given off while running, computed apart from the water's rise, kWh.
    /// With [`Self::from_standing_tube_kwh`] it makes up [`Self::heat_kwh`].
    pub absorbed_less_lost_kwh: f64,
    /// What the standing tube and its water gave when flow started (negative: took), kWh.
    pub from_standing_tube_kwh: f64,
    /// Sun on its plane over the year, kWh.
    pub sun_on_plane_kwh: f64,
    /// Hours in which running it cooled the water although nobody asked for that.
    pub cooling_h: f64,
    /// Hottest tube without flow, °C; −∞ when the run was not asked to look for it.
    pub peak_stagnation_c: f64,
    /// Absorber area, m².
    pub absorber_area_m2: f64,
}

/// Something the reader must know; counted, never silent.
#[derive(Clone, Debug, PartialEq)]
pub struct Warning {
    /// Short stable name, such as `short_cycling`.
    pub kind: &'static str,
    /// How many intervals (or days) it concerns; 0 where counting makes no sense.
    pub count: usize,
    /// A sentence for the builder.
    pub text: Words,
}

/// A whole run.
#[derive(Clone, Debug)]
pub struct Season {
    /// Hourly columns, unless the run was asked to leave them out.
    pub hourly: Option<Hourly>,
    /// Days, in the order of the swim year.
    pub days: Vec<Day>,
    /// Heat over the run, kWh.
    pub heat_kwh: Ledger,
    /// Heat by calendar month (0 = January), kWh.
    pub heat_by_month_kwh: [Ledger; 12],
    /// Water over the run.
    pub water_book: WaterBook,
    /// Days on which one can swim.
    pub swim_days: usize,
    /// Days on which it is too hot.
    pub too_hot_days: usize,
    /// Swim days by calendar month (0 = January).
    pub swim_days_by_month: [usize; 12],
    /// First swim day of the swim year.
    pub first_swim_day: Option<NaiveDate>,
    /// Last swim day of the swim year.
    pub last_swim_day: Option<NaiveDate>,
    /// Water, °C: lowest, mean, highest.
    pub water_min_c: f64,
    /// Mean water temperature, °C.
    pub water_mean_c: f64,
    /// Highest water temperature, °C.
    pub water_max_c: f64,
    /// Hours of pumping through the heaters.
    pub pump_hours: f64,
    /// Electricity that heating adds, kWh.
    pub pump_kwh: f64,
    /// Hours in which the pool was hotter than the limit for night cooling, and hours of them in which it was cooled.
    pub night_cooling_h: Option<(f64, f64)>,
    /// Energy bought for the ordinary heater, kWh.
    pub other_heater_bought_kwh: f64,
    /// Hottest water out of the heaters while running, °C.
    pub peak_outlet_c: Option<f64>,
    /// The worst first slug.
    pub first_slug: Option<FirstSlug>,
    /// The hottest stagnant tube, °C.
    pub peak_stagnation_c: Option<f64>,
    /// Heater by heater.
    pub heaters: Vec<HeaterResult>,
    /// Largest residual of the cover's own balance, W/m².
    pub cover_residual_w_m2: f64,
    /// How often the year was repeated until its ends agreed, and by how much they differ, K.
    pub periodic: Option<Periodic>,
    /// Ice formed on the water at the most, kg.
    pub ice_peak_kg: f64,
    /// What to beware of.
    pub warnings: Vec<Warning>,
}

/// How the year's own beginning was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Periodic {
    /// Years run.
    pub rounds: usize,
    /// Water at the end less water at the beginning, K.
    pub difference_k: f64,
}
