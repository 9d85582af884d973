//! Invented builders with invented pools whose truth is known: what they would have written down.
//!
//! The truth is made by the season's own step, but with other values than the plan believes, another evaporation equation and another
//! wind: gusts and calms that a constant share of the station's wind does not know, less wind at night than by day, and clouds within
//! the hour that an hourly weather file does not know. The builder reads household instruments. All is drawn from a seed.

use std::path::Path;

use chrono::{NaiveDate, NaiveDateTime, TimeDelta, Timelike};
use swimdays_check::{Accuracy, Cause, Log, Reading};
use swimdays_pool::EvaporationModel;
use swimdays_pump::FlowSource;
use swimdays_scenario::parse;
use swimdays_season::{Detail, Hourly, MonthDay, Noted, Plan, Prepared, Ranged, run};
use swimdays_studies::{Draw, with_draw};
use swimdays_weather::WeatherYear;

/// A stream of random numbers from a seed. Source: SplitMix64, Steele, Lea & Flood (2014), OOPSLA.
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// From a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5DEE_CE66)
    }

    /// Evenly from 0 to 1.
    pub fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^= z >> 31;
        #[allow(clippy::cast_precision_loss, reason = "53 bits fit a f64 exactly")]
        let top = (z >> 11) as f64;
        top / 9_007_199_254_740_992.0
    }

    /// Evenly between two ends.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// From the standard normal distribution. Source: Box & Muller (1958).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.share()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.share()).cos()
    }

    /// One of several.
    pub fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a place in a short list"
        )]
        let at = (self.share() * of.len() as f64) as usize;
        &of[at.min(of.len() - 1)]
    }
}

/// What is really wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hidden {
    /// Nothing.
    Healthy,
    /// Flow, share of the plan's.
    LowFlow(f64),
    /// Share of the coil that carries no water.
    Air(f64),
    /// Share of the beam taken from the heater after noon.
    ShadedAfternoon(f64),
    /// Share of the beam taken from the heater all day.
    Shaded(f64),
    /// The cover stays off at night.
    CoverOffAtNight,
    /// Wind at the water as a multiple of the plan's best guess.
    MoreWind(f64),
    /// Leak, m of level a day.
    Leak(f64),
    /// The outlet's thermometer shows too much by this, K.
    OutletOff(f64),
    /// The pool's thermometer shows too much by this, K.
    WaterOff(f64),
}

impl Hidden {
    /// The cause that a check should name first.
    #[must_use]
    pub fn cause(self) -> Cause {
        match self {
            Self::Healthy => Cause::AsBuilt,
            Self::LowFlow(_) => Cause::FlowTooLow,
            Self::Air(_) => Cause::AirInCoil,
            Self::ShadedAfternoon(_) | Self::Shaded(_) => Cause::Shaded,
            Self::CoverOffAtNight => Cause::CoverOff,
            Self::MoreWind(_) => Cause::MoreWind,
            Self::Leak(_) => Cause::WaterLost,
            Self::OutletOff(_) | Self::WaterOff(_) => Cause::ThermometerOff,
        }
    }
}

/// A builder's pool: what they believe, what they wrote, and what is true.
#[derive(Clone, Debug)]
pub struct Twin {
    /// What the scenario says.
    pub plan: Plan,
    /// What was written down.
    pub log: Log,
    /// Wind at the water over the station's, as an anemometer would have shown it over the days of the log.
    pub wind_at_water_frac: f64,
    /// Heat of the heater, multiple of the physics.
    pub performance: f64,
    /// What is wrong.
    pub hidden: Hidden,
}

/// Equation of evaporation by which the truth goes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Evaporates {
    /// ISO/TR 12596, or the handbook's with its share for quiet outdoor pools, by a coin.
    #[default]
    Drawn,
    /// By this equation, with this factor to it.
    By(EvaporationModel, f64),
}

/// How a builder keeps the log.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Diligence {
    /// Days.
    pub days: i64,
    /// Hours of the day at which they read.
    pub hours: &'static [u32],
    /// They try things: cover off for some nights, pump off for some days.
    pub tries: bool,
    /// They time the bucket whenever they read while the pump runs.
    pub times_flow: bool,
    /// They read the level once a day.
    pub reads_level: bool,
    /// One thermometer for everything.
    pub one_thermometer: bool,
    /// A logger writes instead, every so many minutes, by day and night.
    pub every_min: Option<u32>,
    /// Nothing but the pool's water is read, and nothing noted.
    pub water_alone: bool,
    /// How the truth evaporates.
    pub evaporates: Evaporates,
}

impl Diligence {
    /// Hours of a day at which is read, with the minute where a logger reads; a builder comes some minutes late.
    fn moments(self) -> Vec<(u32, Option<u32>)> {
        match self.every_min {
            Some(every) => (0..24 * 60 / every.max(1))
                .map(|n| (n * every / 60, Some(n * every % 60)))
                .collect(),
            None => self.hours.iter().map(|hour| (*hour, None)).collect(),
        }
    }
}

/// The log that a fit can learn wind and heater from: three weeks, eight readings a day, some nights without the cover and some days
/// without the pump, the bucket timed at each reading with the pump on, one thermometer for pool and outlet.
pub const INFORMATIVE: Diligence = Diligence {
    days: 21,
    hours: &[6, 9, 11, 13, 15, 17, 19, 22],
    tries: true,
    times_flow: true,
    reads_level: false,
    one_thermometer: true,
    every_min: None,
    water_alone: false,
    evaporates: Evaporates::Drawn,
};

/// Three months of a logger in the water, every ten minutes, and of a second one in the outlet: 12 960 rows.
pub const DENSE: Diligence = Diligence {
    days: 90,
    hours: &[],
    tries: false,
    times_flow: false,
    reads_level: false,
    one_thermometer: false,
    every_min: Some(10),
    water_alone: false,
    evaporates: Evaporates::Drawn,
};

/// Autocorrelation time of gusts and calms, h, and their standard deviation (of the logarithm); day over night.
const GUSTS_LAST_H: f64 = 6.0;
const GUST_SD: f64 = 0.3;
const DAY_WIND: (f64, f64) = (1.1, 0.9);

/// Clouds within the hour: scatter of the outlet's rise.
const CLOUD_SD_FRAC: f64 = 0.1;

/// Days that the truth runs before the log.
const BEFORE_DAYS: i64 = 30;

/// A random scenario: pool, cover, shelter, heater, flow.
///
/// # Panics
/// When the scenario's text cannot be read, which is a fault of this function.
#[must_use]
pub fn random_plan(dice: &mut Dice) -> Plan {
    let length_ft = dice.between(18.0, 36.0).round();
    let width_ft = (length_ft * dice.between(0.4, 0.6)).round();
    let depth_ft = dice.between(4.0, 5.5);
    let wind = dice.pick(&["suburban", "sheltered"]);
    let cover = dice.pick(&["bubble", "foam", "solid", "none"]);
    let surface = length_ft * width_ft;
    let circuits = (dice.between(0.15, 0.8) * surface / 16.0).round().max(2.0);
    let flow_gpm = circuits * 16.0 * dice.between(0.04, 0.1);
    let tilt = dice.between(10.0, 50.0).round();
    let facing = dice.pick(&["S", "SE", "SW"]);
    let text = format!(
        r#"
[site]
weather = "none.epw"
wind = "{wind}"
[pool]
length = "{length_ft} ft"
width = "{width_ft} ft"
depth = "{depth_ft} ft"
[pool.cover]
kind = "{cover}"
on = "20:00-9:00"
off_above = "never"
[[heater]]
name = "board"
kind = "board"
facing = "{facing}"
tilt = "{tilt} deg"
[heater.tube]
outer_diameter = "0.70 in"
bore = "0.60 in"
length = "{} ft"
circuits = {circuits}
[heater.board]
area = "{} ft2"
layout = "rectangular-spiral"
[pump]
flow = "{flow_gpm} gpm"
hours = "9:00-17:00"
stop_above = "never"
"#,
        circuits * 200.0,
        circuits * 16.0
    );
    parse(&text, "twin", Path::new(""), &[])
        .unwrap_or_else(|errors| panic!("{errors}"))
        .plan
}

/// The true values: one draw of all that the plan gives as a range.
fn random_truth(plan: &Plan, evaporates: Evaporates, dice: &mut Dice) -> Plan {
    // The 10 % and 90 % ends of a normal distribution lie 1.2816 standard deviations out.
    let mut position = || dice.normal() / 1.281_6;
    let cover = position();
    let mut truth = with_draw(
        plan,
        &Draw {
            wind_at_water: position(),
            covered: cover,
            remaining_evaporation: -cover,
            conductance: -cover,
            transmittance: position(),
            performance: position(),
            heater_wind: position(),
            sun: position(),
        },
    );
    if let Evaporates::By(equation, factor) = evaporates {
        truth.pool.evaporation = equation;
        truth.pool.activity_frac = factor;
    } else if dice.share() < 0.5 {
        truth.pool.evaporation = EvaporationModel::Iso12596;
    } else {
        truth.pool.evaporation = EvaporationModel::Ashrae;
        truth.pool.activity_frac = dice.between(0.74, 0.80);
    }
    truth.pool.opens = MonthDay { month: 1, day: 1 };
    truth.pool.closes = MonthDay { month: 12, day: 31 };
    truth
}

/// Makes the wind gusty; gives the mean of the wind over what it was, over the rows from `from` on.
fn gusts(year: &mut Prepared, from: NaiveDateTime, dice: &mut Dice) -> f64 {
    let (mut was, mut became) = (0.0, 0.0);
    let keeps = (-1.0 / GUSTS_LAST_H).exp();
    let mut gust = dice.normal();
    for row in &mut year.rows {
        gust = keeps * gust + (1.0 - keeps * keeps).sqrt() * dice.normal();
        let hour = if (7..19).contains(&row.start.hour()) {
            DAY_WIND.0
        } else {
            DAY_WIND.1
        };
        // The mean of e^{s x} is e^{s²/2}.
        let station_m_s = row.wind_m_s;
        row.wind_m_s *= hour * (GUST_SD * gust - 0.5 * GUST_SD * GUST_SD).exp();
        if row.start >= from {
            was += station_m_s;
            became += row.wind_m_s;
        }
    }
    became / was
}

/// A builder with this seed, in this weather.
///
/// # Panics
/// When the truth cannot be run, which is a fault of this module.
#[must_use]
pub fn twin(
    weather: &WeatherYear,
    seed: u64,
    diligence: Diligence,
    hidden: impl Fn(&mut Dice) -> Hidden,
) -> Twin {
    let mut dice = Dice::new(seed);
    let plan = random_plan(&mut dice);
    let hidden = hidden(&mut dice);
    // Within the swim season, and clear of New Year with the days before and after.
    let first_day = if weather.place.latitude_deg < 0.0 {
        35.0..70.0
    } else {
        125.0..235.0
    };
    builder(plan, weather, 2001, first_day, diligence, hidden, dice)
}

/// A builder of this plan, who begins the log on a day of the year drawn from `first_day` of `year`.
///
/// # Panics
/// When the truth cannot be run, which is a fault of this module.
#[must_use]
pub fn builder(
    plan: Plan,
    weather: &WeatherYear,
    year: i32,
    first_day: std::ops::Range<f64>,
    diligence: Diligence,
    hidden: Hidden,
    mut dice: Dice,
) -> Twin {
    let mut truth = random_truth(&plan, diligence.evaporates, &mut dice);
    let believed_wind = plan.pool.wind_at_water_frac.value;
    if let Hidden::MoreWind(times) = hidden {
        truth.pool.wind_at_water_frac = Ranged::exact(believed_wind * times);
    }
    let performance = truth.heaters[0].performance.value;
    match hidden {
        Hidden::LowFlow(share) => {
            if let Some(pump) = &mut truth.pump {
                pump.pump.flow = FlowSource::Given {
                    flow_m3_s: pump.pump.flow_m3_s() * share,
                };
            }
        }
        Hidden::Air(share) => {
            truth.heaters[0].performance = Ranged::exact(performance * (1.0 - share));
        }
        _ => {}
    }
    #[allow(clippy::cast_possible_truncation, reason = "a day of the year")]
    let first_day = dice.between(first_day.start, first_day.end) as i64;
    let from = NaiveDate::from_ymd_opt(year, 1, 1)
        .and_then(|d| d.and_hms_opt(0, 0, 0))
        .expect("a date")
        + TimeDelta::days(first_day);
    let happened = Happened::new(&truth, weather, from, diligence, hidden, &mut dice);
    let log = happened.written_down(&truth, diligence, hidden, &mut dice);
    Twin {
        wind_at_water_frac: truth.pool.wind_at_water_frac.value * happened.wind_over_station,
        performance,
        plan,
        log,
        hidden,
    }
}

/// Day of the log on which a row lies; negative before it.
fn day_of(start: NaiveDateTime, from: NaiveDateTime) -> i64 {
    (start - from).num_hours().div_euclid(24)
}

/// Whether the builder runs the pump at this time.
fn pump_runs(start: NaiveDateTime, from: NaiveDateTime, diligence: Diligence) -> bool {
    let day = day_of(start, from);
    (9..17).contains(&start.hour()) && !(diligence.tries && day >= 0 && day % 3 == 2)
}

/// Whether the builder means the cover to lie at this time: from 20:00 to 9:00.
fn cover_lies(start: NaiveDateTime, from: NaiveDateTime, diligence: Diligence) -> bool {
    let night = day_of(start - TimeDelta::hours(9), from);
    let left_open = diligence.tries && night >= 0 && night % 4 >= 2;
    !(left_open || (9..20).contains(&start.hour()))
}

/// What really happened, row by row.
struct Happened {
    from: NaiveDateTime,
    first: NaiveDateTime,
    hourly: Hourly,
    /// Mean wind of the log's hours over what a constant share of the station's would be.
    wind_over_station: f64,
    /// Level below the mark at the end of each row, m.
    lost_m: Vec<f64>,
}

impl Happened {
    fn new(
        truth: &Plan,
        weather: &WeatherYear,
        from: NaiveDateTime,
        diligence: Diligence,
        hidden: Hidden,
        dice: &mut Dice,
    ) -> Self {
        let first = from - TimeDelta::days(BEFORE_DAYS);
        let whole = Prepared::new(truth, weather).expect("prepared");
        let mut year = whole
            .stretch(first, from + TimeDelta::days(diligence.days + 1))
            .expect("the log's days");
        let wind_over_station = gusts(&mut year, from, dice);
        let shaded = match hidden {
            Hidden::Shaded(share) => Some((share, 0)),
            Hidden::ShadedAfternoon(share) => Some((share, 12)),
            _ => None,
        };
        if let Some((share, from_hour)) = shaded {
            for plane in &mut year.planes {
                for (row, light) in year.rows.iter().zip(&mut plane.rows) {
                    if row.start.hour() >= from_hour {
                        light.beam_w_m2 *= 1.0 - share;
                        light.diffuse_w_m2 *= 1.0 - 0.4 * share;
                    }
                }
            }
        }
        let one = |yes: bool| f64::from(u8::from(yes));
        year.noted = Some(Noted {
            pump_on_frac: year
                .rows
                .iter()
                .map(|r| one(pump_runs(r.start, from, diligence)))
                .collect(),
            cover_on_frac: year
                .rows
                .iter()
                .map(|r| {
                    let forgotten = hidden == Hidden::CoverOffAtNight && r.ghi_w_m2 < 5.0;
                    one(truth.cover.is_some() && cover_lies(r.start, from, diligence) && !forgotten)
                })
                .collect(),
            water_given_at: 0,
        });
        let mut plan = truth.clone();
        plan.pool.start_c = Some(year.rows[0].air_c.max(10.0) + 4.0);
        let hourly = run(&plan, &year, Detail::Full)
            .expect("the truth runs")
            .hourly
            .expect("hourly columns");
        let leak_m_h = match hidden {
            Hidden::Leak(m_day) => m_day / 24.0,
            _ => 0.0,
        };
        let splash_m_h = plan.pool.splash_kg_m2_day / 1000.0 / 24.0;
        let mut lost = 0.0;
        let lost_m = hourly
            .heat_w
            .iter()
            .zip(&year.rows)
            .map(|(heat, row)| {
                // 2.44 MJ evaporate a kilogram at 25 °C (Watson 1943).
                let evaporated_m = -heat.evaporation * 3600.0 / 2.44e6 / plan.pool.area_m2 / 1000.0;
                lost += evaporated_m + splash_m_h + leak_m_h - row.rain_kg_m2_s * 3.6;
                lost
            })
            .collect();
        Self {
            from,
            first,
            hourly,
            wind_over_station,
            lost_m,
        }
    }

    /// Value of a column at a time; `at_end` says whether it belongs to the ends of the hours or to their middles.
    fn at(&self, values: &[f64], time: NaiveDateTime, at_end: bool) -> f64 {
        let minutes = (time - self.first).num_minutes() - if at_end { 60 } else { 30 };
        let row = usize::try_from(minutes.div_euclid(60)).unwrap_or(0);
        let within = f64::from(i32::try_from(minutes.rem_euclid(60)).unwrap_or(0)) / 60.0;
        let (a, b) = (values[row], values[(row + 1).min(values.len() - 1)]);
        if a.is_nan() {
            b
        } else if b.is_nan() {
            a
        } else {
            a + within * (b - a)
        }
    }

    fn written_down(
        &self,
        truth: &Plan,
        diligence: Diligence,
        hidden: Hidden,
        dice: &mut Dice,
    ) -> Log {
        let sd = Accuracy::HOUSEHOLD;
        let mut offset = [
            sd.offset_sd_k * dice.normal(),
            sd.offset_sd_k * dice.normal(),
        ];
        if diligence.one_thermometer {
            offset[1] = offset[0];
        }
        match hidden {
            Hidden::WaterOff(k) => offset[0] += k,
            Hidden::OutletOff(k) => offset[1] += k,
            _ => {}
        }
        let bucket = 1.0 + sd.bucket_sd_frac * dice.normal();
        let flow_m3_s = truth.pump.as_ref().map_or(0.0, |p| p.pump.flow_m3_s());
        let water = &self.hourly.water_c;
        let rise: Vec<f64> = (0..water.len())
            .map(|i| self.hourly.outlet_c[i] - 0.5 * (water[i.saturating_sub(1)] + water[i]))
            .collect();
        let mut readings = Vec::new();
        for day in 0..diligence.days {
            for (hour, minute) in diligence.moments() {
                #[allow(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "minutes"
                )]
                let minute = minute.unwrap_or_else(|| dice.between(0.0, 20.0) as u32);
                let time = self.from
                    + TimeDelta::days(day)
                    + TimeDelta::hours(i64::from(hour))
                    + TimeDelta::minutes(i64::from(minute));
                let mut reading = Reading::at(readings.len() + 2, time);
                let true_c = self.at(water, time, true);
                let pump = pump_runs(time, self.from, diligence);
                reading.water_c = Some(true_c + offset[0] + sd.reading_sd_k * dice.normal());
                reading.pump_on = Some(pump);
                if diligence.water_alone {
                    reading.pump_on = None;
                    readings.push(reading);
                    continue;
                }
                if truth.cover.is_some() {
                    reading.cover_on = Some(cover_lies(time, self.from, diligence));
                }
                if pump {
                    let rise_k =
                        self.at(&rise, time, false) * (1.0 + CLOUD_SD_FRAC * dice.normal());
                    reading.outlet_c =
                        Some(true_c + rise_k + offset[1] + sd.reading_sd_k * dice.normal());
                    if diligence.times_flow {
                        reading.flow_m3_s =
                            Some(flow_m3_s * bucket * (1.0 + sd.flow_sd_frac * dice.normal()));
                    }
                }
                if diligence.reads_level && hour == 9 {
                    reading.level_m =
                        Some(-self.at(&self.lost_m, time, true) + 0.002 * dice.normal());
                }
                readings.push(reading);
            }
        }
        Log {
            readings,
            one_thermometer: diligence.one_thermometer,
            sd,
        }
    }
}
