//! What the comparison yields.

use chrono::NaiveDateTime;
use swimdays_season::Ranged;

/// Something that the log may teach.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Parameter {
    /// Wind at the water, share of the station's wind at 10 m.
    WindShelter,
    /// Wind at the water by day over its mean through day and night, less 1; by night as much less.
    WindByDay,
    /// Share of open water's evaporation that the cover holds back where and while it lies.
    CoverEffect,
    /// Share of the sun that the cover lets through.
    CoverSun,
    /// Heat of the heaters as a multiple of what the physics says.
    HeaterPerformance,
    /// Wind at the heater, share of the station's.
    HeaterWind,
    /// Sun on the water as a multiple of what the weather says.
    SunOnWater,
    /// Flow through the heaters as a multiple of the plan's.
    Flow,
    /// Water at the beginning of the log, °C.
    StartTemperature,
    /// What the pool's thermometer shows too much, K.
    OffsetWater,
    /// What the inlet's thermometer shows too much, K.
    OffsetInlet,
    /// What the outlet's thermometer shows too much, K.
    OffsetOutlet,
    /// How far evaporation goes from the plan's equation to another published one, 0…1.
    EvaporationEquation,
    /// How much more than by the plan's equation evaporates at any wind, share.
    EvaporationLevel,
}

/// What the log says about one parameter.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// Which.
    pub key: Parameter,
    /// What was known before: best guess, with the ends within which it lies four times out of five.
    pub prior: Ranged,
    /// Lower end within which 90 % of the prior lies.
    pub prior_low: f64,
    /// Upper end within which 90 % of the prior lies.
    pub prior_high: f64,
    /// Best estimate.
    pub value: f64,
    /// Lower end of the 90 % interval.
    pub low: f64,
    /// Upper end of the 90 % interval.
    pub high: f64,
    /// The interval is at most half as wide as the prior's 90 %.
    pub identified: bool,
    /// Why it is, or is not, in words for the builder.
    pub why: String,
}

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Pool water.
    Water,
    /// Water into the heater.
    Inlet,
    /// Water out of the heater.
    Outlet,
}

/// One reading beside the fitted prediction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Line of the log.
    pub line: usize,
    /// When, local standard time.
    pub time: NaiveDateTime,
    /// What was read.
    pub quantity: Quantity,
    /// As the thermometer showed it, °C.
    pub measured_c: f64,
    /// As the fitted model has the thermometer show it, °C.
    pub predicted_c: f64,
    /// As the plan had it before the fit, °C.
    pub before_c: f64,
    /// Half width of the 90 % band of the prediction, K.
    pub band_k: f64,
    /// Weight that the robust fit left it, 0…1; small: set aside as wild.
    pub weight: f64,
}

/// The water through the log, at the end of each interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Course {
    /// When, local standard time.
    pub time: NaiveDateTime,
    /// As the fitted model has the pool's thermometer show it, °C.
    pub fitted_c: f64,
    /// As the plan had it before the fit, °C.
    pub before_c: f64,
}

/// The water foretold for one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Foretold {
    /// When, local standard time on the calendar of the log.
    pub time: NaiveDateTime,
    /// Water as the pool's thermometer shows it, °C.
    pub water_c: f64,
    /// Lower end of the 90 % band, °C.
    pub low_c: f64,
    /// Upper end of the 90 % band, °C.
    pub high_c: f64,
}

/// How well the last third of the log is foretold by a fit to the first two thirds.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HeldOut {
    /// Readings of the water in the last third.
    pub points: usize,
    /// Root mean square error, K.
    pub rms_k: f64,
    /// Largest error, K.
    pub worst_k: f64,
    /// Share of the readings foretold within 0.5 K.
    pub within_half_k_frac: f64,
    /// Days held out.
    pub days: f64,
}

/// What the log teaches.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Parameter by parameter.
    pub parameters: Vec<Estimate>,
    /// Reading by reading, in the order of time.
    pub points: Vec<Point>,
    /// The water from the first reading to the last, interval by interval.
    pub course: Vec<Course>,
    /// The last third foretold; absent when the log is too short for it.
    pub held_out: Option<HeldOut>,
    /// Standard deviation of what the model misses of the water's temperature, K, as the log itself shows it.
    pub model_sd_k: f64,
    /// Root mean square of measured less predicted, water readings, K.
    pub rms_k: f64,
    /// The same with the plan as it was before the fit, K.
    pub rms_before_k: f64,
    /// What to know about it, in words.
    pub notes: Vec<String>,
}

/// Why a pool or heater does not do as foreseen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Cause {
    /// It does.
    AsBuilt,
    /// Too little water through the heater.
    FlowTooLow,
    /// Air in the tube: part of it carries no water.
    AirInCoil,
    /// Something stands in the heater's sun.
    Shaded,
    /// The cover leaks or is left off.
    CoverOff,
    /// More wind at the water than assumed.
    MoreWind,
    /// The pool loses water.
    WaterLost,
    /// A thermometer shows too much or too little.
    ThermometerOff,
}

impl Cause {
    /// Every cause but that all is well.
    pub const FAULTS: [Self; 7] = [
        Self::FlowTooLow,
        Self::AirInCoil,
        Self::Shaded,
        Self::CoverOff,
        Self::MoreWind,
        Self::WaterLost,
        Self::ThermometerOff,
    ];
}

/// One cause with what speaks for it.
#[derive(Clone, Debug, PartialEq)]
pub struct CauseWeight {
    /// Which.
    pub cause: Cause,
    /// Share of belief, all causes together 1.
    pub weight: f64,
    /// What in the log speaks for it, sentence by sentence.
    pub evidence: Vec<String>,
    /// The reading that would tell it from the others.
    pub reading: String,
}

/// The likely causes, likeliest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// Likeliest first.
    pub ranked: Vec<CauseWeight>,
    /// The cheapest next measurement that would part the first two.
    pub next_measurement: String,
}
