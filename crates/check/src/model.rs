//! From positions of the knobs to what the thermometers would show.

use std::borrow::Cow;

use chrono::{NaiveDateTime, Timelike};
use rayon::prelude::*;
use swimdays_pool::EvaporationModel;
use swimdays_properties::moist_air::latent_heat_j_kg;
use swimdays_properties::water::density_kg_m3;
use swimdays_season::{Plan, Prepared, SeasonError};

use crate::dates::Basis;
use crate::fault::Fault;
use crate::knob::{Knob, Seen, knobs, turned, value};
use crate::reading::Log;
use crate::result::{Parameter, Quantity};
use crate::stage::{Stage, Trace};

/// Share of the handbook equation for indoor pools that outdoor measurements without bathers found, 72–82 %.
///
/// Source: Smith, Löf & Jones (1994), Solar Energy 53:3 (abstract).
const HANDBOOK_SHARE: f64 = 0.77;

/// Step of that share for a difference.
const MORE_FRAC: f64 = 0.1;

/// Step of a knob for a difference: a tenth of what is known of it.
const STEP_Z: f64 = 0.1;

/// Error of one reading of the water's level, m: a ruler at the wall, in ripples (common practice, no source).
const LEVEL_SD_M: f64 = 0.003;

/// Share by which predicted evaporation may be off, besides the wind.
const EVAPORATION_SD_FRAC: f64 = 0.15;
/// The same in weather that was not that of the days.
const GUESSED_EVAPORATION_SD_FRAC: f64 = 0.5;

/// Level readings closer than this say nothing, h. A level that rose by more than this was filled up, m.
const LEVEL_APART_H: f64 = 6.0;
const FILLED_UP_M: f64 = 0.005;

/// Share of a row with flow from which an outlet reading without a note of the pump is believed.
const RUNS_FRAC: f64 = 0.99;

/// Hours of the day in which the sun stirs the air.
const FIRST_DAY_HOUR: u32 = 7;
const FIRST_NIGHT_HOUR: u32 = 19;

/// Share of the variance of a reading's error that readings of the same interval have in common: the same place, light and eye
/// (own judgement, no source). Six readings within an hour are worth one and a half.
const ALIKE_FRAC: f64 = 0.5;

/// Readings of so many hours are taken together where the weather is not that of the days, h: the guess knows the day, hardly the hour (own
/// judgement).
const GUESSED_TOGETHER_H: f64 = 3.0;

/// One temperature that was read, or the mean of those that were read within one interval of the weather.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sight {
    /// Line of the first.
    pub line: usize,
    pub time: NaiveDateTime,
    /// Hours from the first row.
    pub hours: f64,
    pub quantity: Quantity,
    pub measured_c: f64,
    /// How many were read.
    pub readings: f64,
}

impl Sight {
    /// Standard deviation of its own error, K, from that of one reading: `σ √(a + (1 − a)/n)` with the share `a` that all have in common.
    ///
    /// Source: variance of the mean of n values with equal correlations, any textbook.
    pub(crate) fn own_sd_k(&self, reading_sd_k: f64) -> f64 {
        reading_sd_k * (ALIKE_FRAC + (1.0 - ALIKE_FRAC) / self.readings).sqrt()
    }
}

/// Two readings of the level between which nothing was filled in.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LevelStep {
    pub from_h: f64,
    pub to_h: f64,
    pub drop_m: f64,
    /// Rain and splash between, m: the one raises, the other lowers.
    pub other_drop_m: f64,
}

/// What a setting of the knobs would have shown.
#[derive(Clone, Debug)]
pub(crate) struct Shown {
    /// Each sight, °C.
    pub sights_c: Vec<f64>,
    /// Outlet above water at each sight, K; 0 for water and inlet.
    pub rise_k: Vec<f64>,
    /// Flow, as `(ln measured − ln model)/sd`, when it was measured.
    pub flow: Option<f64>,
    /// Level steps, as `(measured − model)/sd`.
    pub levels: Vec<f64>,
}

/// Plan, weather and log, with the knobs that may be turned.
pub(crate) struct Model<'a> {
    pub stage: &'a Stage,
    pub log: &'a Log,
    pub knobs: Vec<Knob>,
    pub sights: Vec<Sight>,
    pub levels: Vec<LevelStep>,
    /// Logarithm of the measured flow over the plan's, and its standard deviation.
    pub flow: Option<(f64, f64)>,
    /// The run with the plan as it is.
    pub before: Trace,
    /// One fault whose position stands after those of the knobs.
    pub fault: Option<Fault>,
    other_equations_k: [Vec<f64>; 2],
    before_rise_k: Vec<f64>,
}

/// Middle of some values; `None` of none.
pub(crate) fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    (n > 0).then(|| 0.5 * (values[(n - 1) / 2] + values[n / 2]))
}

/// What was read in `log`.
pub(crate) fn seen(log: &Log) -> Seen {
    let any = |pick: &dyn Fn(&crate::Reading) -> bool| log.readings.iter().any(pick);
    Seen {
        water: any(&|r| r.water_c.is_some()),
        inlet: any(&|r| r.inlet_c.is_some()),
        outlet: any(&|r| r.outlet_c.is_some()),
        flow: any(&|r| r.flow_m3_s.is_some()),
    }
}

impl<'a> Model<'a> {
    /// With the knobs of `stage`'s plan. With `as_built` the flow may not stray far from the plan's, whatever was measured.
    pub(crate) fn new(stage: &'a Stage, log: &'a Log, as_built: bool) -> Result<Self, SeasonError> {
        let mut first: Vec<f64> = log
            .readings
            .iter()
            .filter_map(|r| r.water_c.or(r.inlet_c))
            .take(3)
            .collect();
        let start_c = median(&mut first).unwrap_or(20.0);
        let before = stage.trace(&stage.plan, &stage.year, start_c)?;
        let mut seen = seen(log);
        let flow = flow_measured(stage, log);
        seen.flow = flow.is_some() && !as_built;
        let mut out = Self {
            knobs: knobs(&stage.plan, log, seen, start_c),
            sights: sights(stage, log, &before),
            levels: level_steps(stage, log),
            flow,
            before,
            stage,
            log,
            fault: None,
            other_equations_k: [Vec::new(), Vec::new()],
            before_rise_k: Vec::new(),
        };
        out.before_rise_k = out
            .sights
            .iter()
            .map(|s| out.before.rise_k(s.hours).unwrap_or(0.0))
            .collect();
        out.other_equations_k = out.to_other_equations(start_c)?;
        Ok(out)
    }

    /// The same with a fault as a last knob.
    pub(crate) fn with_fault(&self, fault: Fault) -> Self {
        Self {
            knobs: self.knobs.clone(),
            sights: self.sights.clone(),
            levels: self.levels.clone(),
            before: self.before.clone(),
            fault: Some(fault),
            other_equations_k: self.other_equations_k.clone(),
            before_rise_k: self.before_rise_k.clone(),
            ..*self
        }
    }

    /// Positions, the fault's included.
    pub(crate) fn size(&self) -> usize {
        self.knobs.len() + usize::from(self.fault.is_some())
    }

    /// How the sights change with other published evaporation equations, K: from the plan's to the handbook's with its share for quiet
    /// outdoor pools, and with more of the handbook's at every wind alike (for 1 = 100 % more).
    fn to_other_equations(&self, start_c: f64) -> Result<[Vec<f64>; 2], SeasonError> {
        let water = |equation, share: f64| {
            let mut plan = self.stage.plan.clone();
            plan.pool.evaporation = equation;
            plan.pool.activity_frac = share;
            self.stage.trace(&plan, &self.stage.year, start_c)
        };
        let handbook = water(EvaporationModel::Ashrae, HANDBOOK_SHARE)?;
        let more = water(EvaporationModel::Ashrae, HANDBOOK_SHARE * (1.0 + MORE_FRAC))?;
        let other = if self.stage.plan.pool.evaporation == EvaporationModel::Ashrae {
            water(EvaporationModel::SmithLofJones, 1.0)?
        } else {
            handbook.clone()
        };
        let between = |a: &Trace, b: &Trace, per: f64| {
            self.sights
                .iter()
                .map(|s| (a.water_c(s.hours) - b.water_c(s.hours)) / per)
                .collect()
        };
        Ok([
            between(&other, &self.before, 1.0),
            between(&more, &handbook, MORE_FRAC),
        ])
    }

    /// Plan and weather at a position.
    pub(crate) fn setting(&self, z: &[f64]) -> (Plan, Cow<'a, Prepared>) {
        let mut plan = turned(&self.stage.plan, &self.knobs, z);
        let mut year = Cow::Borrowed(&self.stage.year);
        let by_day = value(&self.knobs, z, Parameter::WindByDay, 0.0);
        if by_day != 0.0 {
            wind_by_day(year.to_mut(), by_day);
        }
        if let (Some(fault), Some(y)) = (self.fault, z.get(self.knobs.len())) {
            fault.apply(*y, &mut plan, &mut year, &self.before.cover_on_frac);
        }
        (plan, year)
    }

    /// The run at a position.
    pub(crate) fn trace(&self, z: &[f64]) -> Result<Trace, SeasonError> {
        let (plan, year) = self.setting(z);
        let start_c = value(&self.knobs, z, Parameter::StartTemperature, 20.0);
        self.stage.trace(&plan, &year, start_c)
    }

    /// What the thermometers would show at a position.
    pub(crate) fn shown(&self, z: &[f64]) -> Result<Shown, SeasonError> {
        let trace = self.trace(z)?;
        Ok(self.shown_by(&trace, z))
    }

    /// What the thermometers would show of a run.
    pub(crate) fn shown_by(&self, trace: &Trace, z: &[f64]) -> Shown {
        let at = |key| value(&self.knobs, z, key, 0.0);
        let mut offsets = [
            at(Parameter::OffsetWater),
            at(Parameter::OffsetInlet),
            at(Parameter::OffsetOutlet),
        ];
        if self.log.one_thermometer {
            offsets = [offsets[0]; 3];
        }
        let fault_y = self.fault.and(z.get(self.knobs.len())).copied();
        if let (Some(fault), Some(y)) = (self.fault, fault_y) {
            fault.shift(y, &mut offsets, self.log.one_thermometer);
        }
        let equations = [
            at(Parameter::EvaporationEquation),
            at(Parameter::EvaporationLevel),
        ];
        let mut rise_k = vec![0.0; self.sights.len()];
        let sights_c = self
            .sights
            .iter()
            .enumerate()
            .map(|(i, sight)| {
                let water_c = trace.water_c(sight.hours)
                    + equations[0] * self.other_equations_k[0][i]
                    + equations[1] * self.other_equations_k[1][i];
                match sight.quantity {
                    Quantity::Water => water_c + offsets[0],
                    Quantity::Inlet => water_c + offsets[1],
                    Quantity::Outlet => {
                        rise_k[i] = trace.rise_k(sight.hours).unwrap_or(self.before_rise_k[i]);
                        water_c + rise_k[i] + offsets[2]
                    }
                }
            })
            .collect();
        let leak_m_day = match (self.fault, fault_y) {
            (Some(fault), Some(y)) => fault.leak_m_day(y),
            _ => 0.0,
        };
        let factor = value(&self.knobs, z, Parameter::Flow, 1.0)
            * match (self.fault, fault_y) {
                (Some(fault), Some(y)) => fault.flow_factor(y),
                _ => 1.0,
            };
        Shown {
            sights_c,
            rise_k,
            flow: self.flow.map(|(log, sd)| (log - factor.ln()) / sd),
            levels: self
                .levels
                .iter()
                .map(|step| {
                    let evaporated_m = self.evaporated_m(trace, step);
                    let model_m = evaporated_m
                        + step.other_drop_m
                        + leak_m_day * (step.to_h - step.from_h) / 24.0;
                    let doubt_frac = if self.stage.basis == Basis::Real {
                        EVAPORATION_SD_FRAC
                    } else {
                        GUESSED_EVAPORATION_SD_FRAC
                    };
                    let sd = (2.0 * LEVEL_SD_M * LEVEL_SD_M + (doubt_frac * evaporated_m).powi(2))
                        .sqrt();
                    (step.drop_m - model_m) / sd
                })
                .collect(),
        }
    }

    /// Water evaporated over a level step, m.
    pub(crate) fn evaporated_m(&self, trace: &Trace, step: &LevelStep) -> f64 {
        let middle_c = trace.water_c(0.5 * (step.from_h + step.to_h));
        let joule = -3600.0 * trace.sum_between(&trace.evaporation_w, step.from_h, step.to_h);
        joule
            / (latent_heat_j_kg(middle_c) * density_kg_m3(middle_c) * self.stage.plan.pool.area_m2)
    }

    /// What is shown at `z`, and its derivative with each position: sights, then flow, then levels.
    pub(crate) fn slopes(&self, z: &[f64], here: &Shown) -> Option<Vec<Shown>> {
        (0..self.size())
            .into_par_iter()
            .map(|j| {
                let step = if z[j] < 0.0 { -STEP_Z } else { STEP_Z };
                let mut moved = z.to_vec();
                moved[j] += step;
                let there = if j < self.knobs.len() && !self.knobs[j].moves_the_run() {
                    // A thermometer's offset, or the share of the other equation: the run stays.
                    let mut shown = here.clone();
                    let slope = self.plain_slope(j);
                    for (c, k) in shown.sights_c.iter_mut().zip(slope) {
                        *c += k * step;
                    }
                    shown
                } else {
                    self.shown(&moved).ok()?
                };
                let difference = |a: &[f64], b: &[f64]| -> Vec<f64> {
                    a.iter().zip(b).map(|(a, b)| (a - b) / step).collect()
                };
                Some(Shown {
                    sights_c: difference(&there.sights_c, &here.sights_c),
                    rise_k: difference(&there.rise_k, &here.rise_k),
                    flow: there.flow.zip(here.flow).map(|(a, b)| (a - b) / step),
                    levels: difference(&there.levels, &here.levels),
                })
            })
            .collect()
    }

    /// Slope of the sights with a knob that leaves the run alone, K.
    fn plain_slope(&self, j: usize) -> Vec<f64> {
        let knob = &self.knobs[j];
        let per_z = knob.value(1.0) - knob.value(0.0);
        self.sights
            .iter()
            .enumerate()
            .map(|(i, sight)| {
                let concerns = match knob.key {
                    Parameter::EvaporationEquation => return per_z * self.other_equations_k[0][i],
                    Parameter::EvaporationLevel => return per_z * self.other_equations_k[1][i],
                    Parameter::OffsetWater => {
                        sight.quantity == Quantity::Water || self.log.one_thermometer
                    }
                    Parameter::OffsetInlet => sight.quantity == Quantity::Inlet,
                    Parameter::OffsetOutlet => sight.quantity == Quantity::Outlet,
                    _ => false,
                };
                if concerns { per_z } else { 0.0 }
            })
            .collect()
    }

    /// Prior ends within which nine in ten lie.
    pub(crate) fn wide_prior(&self, j: usize) -> (f64, f64) {
        let knob = &self.knobs[j];
        let z = crate::knob::TWENTIETH_SD;
        (knob.value(-z), knob.value(z))
    }

    /// Positions of all knobs at the plan's best guess, the fault's at `fault_y`.
    pub(crate) fn start(&self, fault_y: f64) -> Vec<f64> {
        let mut z = vec![0.0; self.knobs.len()];
        if self.fault.is_some() {
            z.push(fault_y);
        }
        z
    }
}

/// Wind stronger by day and weaker by night, with the mean kept.
fn wind_by_day(year: &mut Prepared, more_frac: f64) {
    let (mut was, mut is) = (0.0, 0.0);
    for row in &mut year.rows {
        was += row.wind_m_s;
        let day = (FIRST_DAY_HOUR..FIRST_NIGHT_HOUR).contains(&row.start.hour());
        row.wind_m_s *= (1.0 + if day { more_frac } else { -more_frac }).max(0.0);
        is += row.wind_m_s;
    }
    if is > 0.0 {
        year.rows
            .iter_mut()
            .for_each(|row| row.wind_m_s *= was / is);
    }
}

/// Logarithm of measured over planned flow, with its standard deviation.
fn flow_measured(stage: &Stage, log: &Log) -> Option<(f64, f64)> {
    let planned = stage.plan.pump.as_ref()?.pump.flow_m3_s();
    if stage.plan.heaters.is_empty() {
        return None;
    }
    let mut logs: Vec<f64> = log
        .readings
        .iter()
        .filter_map(|r| r.flow_m3_s)
        .filter(|f| *f > 0.0)
        .map(|f| (f / planned).ln())
        .collect();
    #[allow(clippy::cast_precision_loss, reason = "a count of readings")]
    let n = logs.len() as f64;
    let middle = median(&mut logs)?;
    let sd = (log.sd.bucket_sd_frac.powi(2) + log.sd.flow_sd_frac.powi(2) / n).sqrt();
    Some((middle, sd))
}

/// All temperatures that can be compared, by time; those of one quantity and one interval of the weather together, since the weather
/// knows no more of it than its mean.
fn sights(stage: &Stage, log: &Log, before: &Trace) -> Vec<Sight> {
    let mut out: Vec<Sight> = Vec::new();
    let mut open: Vec<(f64, usize)> = Vec::new();
    let together_h = match stage.basis {
        Basis::Real => stage.interval_h(),
        Basis::Remarks | Basis::Typical => stage.interval_h().max(GUESSED_TOGETHER_H),
    };
    for reading in &log.readings {
        let hours = stage.hours_of(reading.time);
        let interval = (hours / together_h).floor();
        open.retain(|(of, _)| of.total_cmp(&interval).is_eq());
        let mut add = |quantity, measured: Option<f64>| {
            let Some(measured_c) = measured.filter(|c| c.is_finite()) else {
                return;
            };
            let begun = open
                .iter()
                .map(|(_, at)| *at)
                .find(|at| out[*at].quantity == quantity);
            if let Some(sight) = begun.and_then(|at| out.get_mut(at)) {
                sight.readings += 1.0;
                sight.measured_c += (measured_c - sight.measured_c) / sight.readings;
                sight.hours += (hours - sight.hours) / sight.readings;
                return;
            }
            open.push((interval, out.len()));
            out.push(Sight {
                line: reading.line,
                time: reading.time,
                hours,
                quantity,
                measured_c,
                readings: 1.0,
            });
        };
        add(Quantity::Water, reading.water_c);
        let runs = reading
            .pump_on
            .unwrap_or_else(|| before.pump_at(hours) >= RUNS_FRAC);
        if runs {
            add(Quantity::Inlet, reading.inlet_c);
            if before.rise_k(hours).is_some() {
                add(Quantity::Outlet, reading.outlet_c);
            }
        }
    }
    // The mean of an interval stands at the mean of its times.
    out.sort_by(|a, b| a.hours.total_cmp(&b.hours));
    for sight in out.iter_mut().filter(|s| s.readings > 1.0) {
        sight.time = stage.time_of(sight.hours);
    }
    out
}

fn level_steps(stage: &Stage, log: &Log) -> Vec<LevelStep> {
    let mut out = Vec::new();
    let mut last: Option<(f64, f64)> = None;
    for reading in &log.readings {
        let Some(level_m) = reading.level_m.filter(|l| l.is_finite()) else {
            continue;
        };
        let to_h = stage.hours_of(reading.time);
        if let Some((from_h, before_m)) = last {
            if to_h - from_h < LEVEL_APART_H {
                continue;
            }
            let drop_m = before_m - level_m;
            if drop_m >= -FILLED_UP_M {
                out.push(LevelStep {
                    from_h,
                    to_h,
                    drop_m,
                    other_drop_m: splash_less_rain_m(stage, from_h, to_h),
                });
            }
        }
        last = Some((to_h, level_m));
    }
    out
}

fn splash_less_rain_m(stage: &Stage, from_h: f64, to_h: f64) -> f64 {
    let pool = &stage.plan.pool;
    let splash_m_day =
        pool.splash_kg_m2_day / 1000.0 + pool.backwash_m3_week / (7.0 * pool.area_m2);
    let mut rain_m = 0.0;
    // Another year's rain did not fall on these days; where some fell all the same, less seems to be lost.
    let rows = match stage.basis {
        Basis::Real => &stage.year.rows[..],
        Basis::Remarks | Basis::Typical => &[],
    };
    for (i, row) in rows.iter().enumerate() {
        #[allow(clippy::cast_precision_loss, reason = "a row's number")]
        let start = i as f64 * stage.interval_h();
        let overlap = (start + stage.interval_h()).min(to_h) - start.max(from_h);
        if overlap > 0.0 {
            rain_m += row.rain_kg_m2_s * overlap * 3.6;
        }
    }
    splash_m_day * (to_h - from_h) / 24.0 - rain_m
}
