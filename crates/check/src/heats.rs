//! Heat of each reading against what the heaters should give in that hour's weather.

use chrono::{NaiveDateTime, TimeDelta};
use swimdays_collector::{Heater, HeaterState, HeaterWeather};
use swimdays_properties::water;
use swimdays_season::{Plan, Prepared};

use crate::error::CheckError;
use crate::reading::{Accuracy, Log, Reading};
use crate::spot::{Heat, Pass, SIGMAS_OF_90, flow_sd_frac};

/// The sun of the moment against the mean of its hour, one sigma, share: a bright hour hardly changes, passing clouds halve it; the
/// reading is taken when it is bright (common practice, no source).
const MOMENT_SUN_SD_FRAC: f64 = 0.08;
/// Sigma of a flow that nobody measured: the plan's, share (common practice, no source).
const UNMEASURED_FLOW_SD_FRAC: f64 = 0.25;
/// A range's ends are passed once in ten times on each side: so many sigmas.
const SIGMAS_OF_ENDS: f64 = 1.281_551_6;
/// Sun below which a heater is not judged, W/m² on its plane.
pub const LEAST_SUN_W_M2: f64 = 150.0;
/// Flow below which nothing is said to run, m³/s.
const STANDING_M3_S: f64 = 1e-6;

/// One reading of the heater.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatReading {
    /// Line of the log.
    pub line: usize,
    /// When, local standard time.
    pub time: NaiveDateTime,
    /// What went through.
    pub pass: Pass,
    /// Whether the flow was measured, at this reading or at another (then the nearest is taken); else it is the plan's.
    pub flow_measured: bool,
    /// Whether the inlet was measured apart from the pool.
    pub inlet_measured: bool,
    /// Heat from flow and rise.
    pub heat: Heat,
    /// What the heaters should give then, with this flow and inlet.
    pub expected: Heat,
    /// Of its range, what is the same in all readings: performance, the heaters' wind, which weather it was.
    common: Heat,
    /// What the water would gain at the plan's flow, K.
    pub expected_rise_k: f64,
    /// Heat over the sun on the tubes' area; absent without sun.
    pub efficiency_frac: Option<f64>,
    /// Sun on the heaters' planes after obstructions, mean by area, W/m².
    pub sun_w_m2: f64,
    /// Air, °C.
    pub air_c: f64,
}

/// All readings of the heater together.
#[derive(Clone, Debug, PartialEq)]
pub struct Heats {
    /// In the order of time.
    pub readings: Vec<HeatReading>,
    /// Area of tubes and panels that takes the sun, m².
    pub absorber_m2: f64,
    /// Flow that the plan has, m³/s.
    pub plan_flow_m3_s: f64,
    /// What was measured over what was expected, in the sun.
    pub share: Option<Share>,
    /// Middle of the measured flows over the plan's flow.
    pub flow_share_frac: Option<f64>,
}

/// A share with its 90 % ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// Best value.
    pub value_frac: f64,
    /// Lower end.
    pub low_frac: f64,
    /// Upper end.
    pub high_frac: f64,
    /// From how many readings.
    pub readings: usize,
}

/// The heaters of a plan at one flow, in flow order.
struct Chain<'p> {
    plan: &'p Plan,
    heaters: Vec<(Heater, usize)>,
    /// Stage and share of its flow of each.
    stages: Vec<(usize, f64)>,
}

/// What the chain gives.
#[derive(Clone, Copy, Debug, Default)]
struct Given {
    heat_w: f64,
    sun_w: f64,
    area_m2: f64,
}

impl<'p> Chain<'p> {
    fn new(plan: &'p Plan, year: &Prepared) -> Result<Self, CheckError> {
        let flow_kg_s = plan_flow_m3_s(plan) * water::density_kg_m3(25.0);
        let mut stages: Vec<(usize, f64)> = Vec::new();
        let mut heaters = Vec::new();
        let mut stage = 0;
        for (i, heater) in plan.heaters.iter().enumerate() {
            if i > 0 && !heater.side_by_side {
                stage += 1;
            }
            let made =
                Heater::new(&heater.spec, flow_kg_s).map_err(swimdays_season::SeasonError::from)?;
            let plane = year
                .plane_of(&heater.plane, &heater.obstructions)
                .ok_or_else(|| swimdays_season::SeasonError::PreparedForAnother {
                    what: format!("the plane of heater {}", heater.name),
                })?;
            stages.push((stage, made.absorber_area_m2()));
            heaters.push((made.with_interval_s(year.interval_s), plane));
        }
        // Side by side the flow parts by area, as in the season.
        let totals: Vec<f64> = (0..=stage)
            .map(|s| {
                stages
                    .iter()
                    .filter(|(own, _)| *own == s)
                    .map(|(_, area)| area)
                    .sum()
            })
            .collect();
        for (stage, share) in &mut stages {
            *share /= totals[*stage].max(f64::MIN_POSITIVE);
        }
        Ok(Self {
            plan,
            heaters,
            stages,
        })
    }

    fn absorber_m2(&self) -> f64 {
        self.heaters
            .iter()
            .map(|(heater, _)| heater.absorber_area_m2())
            .sum()
    }

    /// Heat at a flow and inlet in row `i`; `wind` from −1 to 1 moves the heaters' wind through its range, `sun` multiplies the sun.
    fn run(
        &self,
        year: &Prepared,
        i: usize,
        inlet_c: f64,
        flow_m3_s: f64,
        wind: f64,
        sun: f64,
    ) -> Given {
        let row = &year.rows[i];
        let flow_kg_s = flow_m3_s * water::density_kg_m3(inlet_c);
        let specific_heat = water::specific_heat_j_kg_k(inlet_c);
        let mut out = Given::default();
        let mut stage_inlet_c = inlet_c;
        let mut stage_w = 0.0;
        let mut stage = 0;
        for (n, (heater, plane)) in self.heaters.iter().enumerate() {
            let (own_stage, share) = self.stages[n];
            if own_stage != stage {
                stage_inlet_c += stage_w / (flow_kg_s * specific_heat);
                (stage, stage_w) = (own_stage, 0.0);
            }
            let own = &self.plan.heaters[n];
            let light = &year.planes[*plane].rows[i];
            let weather = HeaterWeather {
                beam_w_m2: sun * light.beam_w_m2,
                incidence_cos: light.incidence_cos,
                diffuse_w_m2: sun * light.diffuse_w_m2,
                longwave_w_m2: light.longwave_w_m2,
                air_c: row.air_c,
                pressure_pa: row.pressure_pa,
                wind_m_s: row.wind_m_s * own.wind_frac.at(wind).max(0.0),
                ground_c: row.soil_c,
            };
            let heater = heater.with_performance(own.performance.value);
            let state = slab(
                &heater,
                year,
                i,
                light_of(year, *plane),
                own.wind_frac.value,
            );
            let running = heater.run(&weather, &state, stage_inlet_c, flow_kg_s * share);
            stage_w += running.heat_w;
            out.heat_w += running.heat_w;
            let area = heater.absorber_area_m2();
            out.sun_w += area * (weather.beam_w_m2 + weather.diffuse_w_m2);
            out.area_m2 += area;
        }
        out
    }
}

fn light_of(year: &Prepared, plane: usize) -> &[swimdays_season::PlaneRow] {
    &year.planes[plane].rows
}

/// What a deck remembers: two days of standing in the weather before the row. Other heaters remember nothing that lasts an hour.
fn slab(
    heater: &Heater,
    year: &Prepared,
    i: usize,
    light: &[swimdays_season::PlaneRow],
    wind_frac: f64,
) -> HeaterState {
    const DAYS: usize = 2;
    if !heater.is_buried() {
        let mut state = heater.initial_state(year.rows[i].air_c, year.rows[i].soil_c);
        state.slab_c = state.slab_c.map(|c| c.max(year.rows[i].air_c));
        return state;
    }
    let per_day = (1440 / year.interval_minutes.max(1)) as usize;
    let first = i.saturating_sub(DAYS * per_day);
    let mut state = heater.initial_state(year.rows[first].air_c, year.rows[first].soil_c);
    for n in first..i {
        let (row, light) = (&year.rows[n], &light[n]);
        let weather = HeaterWeather {
            beam_w_m2: light.beam_w_m2,
            incidence_cos: light.incidence_cos,
            diffuse_w_m2: light.diffuse_w_m2,
            longwave_w_m2: light.longwave_w_m2,
            air_c: row.air_c,
            pressure_pa: row.pressure_pa,
            wind_m_s: row.wind_m_s * wind_frac,
            ground_c: row.soil_c,
        };
        state = heater.rest(&weather, &state, year.interval_s);
    }
    state
}

fn plan_flow_m3_s(plan: &Plan) -> f64 {
    plan.pump.as_ref().map_or(0.0, |p| p.pump.flow_m3_s())
}

/// The heat of each reading that has an outlet while water ran, beside what the heaters should give in each of `years`.
///
/// The first year is the likeliest; the others widen what is expected. The range of what is expected also holds the plan's ranges of
/// performance and of the heaters' wind, and the sun of the moment.
///
/// # Errors
/// [`CheckError::Season`] when the plan's heaters cannot be built or the years were prepared for another plan.
pub fn heats(plan: &Plan, years: &[Prepared], log: &Log) -> Result<Heats, CheckError> {
    let main = years.first().ok_or(CheckError::NoWeather)?;
    let plan_flow = plan_flow_m3_s(plan);
    let chains: Vec<Chain<'_>> = years
        .iter()
        .map(|year| Chain::new(plan, year))
        .collect::<Result<_, _>>()?;
    let mut out = Heats {
        readings: Vec::new(),
        absorber_m2: chains[0].absorber_m2(),
        plan_flow_m3_s: plan_flow,
        share: None,
        flow_share_frac: None,
    };
    if plan.heaters.is_empty() || plan_flow < STANDING_M3_S {
        return Ok(out);
    }
    let flows = Flows::of(log, plan_flow);
    let orders: Vec<Vec<usize>> = years.iter().map(in_time).collect();
    for reading in &log.readings {
        let Some((pass, flow_measured)) = pass(reading, &flows, log) else {
            continue;
        };
        let Some(row) = row_at(main, &orders[0], reading.time) else {
            continue;
        };
        let given = chains[0].run(main, row, pass.inlet_c, pass.flow_m3_s, 0.0, 1.0);
        let mut expected: Option<(Heat, Heat)> = None;
        for ((year, chain), order) in years.iter().zip(&chains).zip(&orders) {
            if let Some(row) = row_at(year, order, reading.time) {
                let one = expected_heat(chain, year, row, &pass);
                expected =
                    Some(expected.map_or(one, |all| (wider(all.0, one.0), wider(all.1, one.1))));
            }
        }
        let heat = pass.heat(&log.sd);
        let at_plan = chains[0]
            .run(main, row, pass.inlet_c, plan_flow, 0.0, 1.0)
            .heat_w;
        let carries = plan_flow
            * water::density_kg_m3(pass.inlet_c)
            * water::specific_heat_j_kg_k(pass.inlet_c);
        out.readings.push(HeatReading {
            line: reading.line,
            time: reading.time,
            pass,
            flow_measured,
            inlet_measured: reading.inlet_c.is_some(),
            heat,
            expected: expected.map_or(heat, |(all, _)| all),
            common: expected.map_or(heat, |(_, common)| common),
            expected_rise_k: at_plan / carries,
            efficiency_frac: (given.sun_w > LEAST_SUN_W_M2 * given.area_m2)
                .then(|| heat.value_w / given.sun_w),
            sun_w_m2: given.sun_w / given.area_m2.max(f64::MIN_POSITIVE),
            air_c: main.rows[row].air_c,
        });
    }
    out.share = share(&out.readings, log);
    out.flow_share_frac = middle(flows.measured.iter().map(|(_, flow)| flow / plan_flow));
    Ok(out)
}

/// The flows that were measured.
struct Flows {
    measured: Vec<(NaiveDateTime, f64)>,
    plan_m3_s: f64,
}

impl Flows {
    fn of(log: &Log, plan_m3_s: f64) -> Self {
        let measured = log
            .readings
            .iter()
            .filter_map(|r| Some((r.time, r.flow_m3_s.filter(|f| *f > STANDING_M3_S)?)))
            .collect();
        Self {
            measured,
            plan_m3_s,
        }
    }

    /// The flow at a moment: that of the timing next to it, else the plan's; and whether it was measured at all.
    fn at(&self, time: NaiveDateTime) -> (f64, bool) {
        let after = self.measured.partition_point(|(at, _)| *at < time);
        let distance = |at: NaiveDateTime| (at - time).num_seconds().unsigned_abs();
        let near = &self.measured[after.saturating_sub(1)..(after + 1).min(self.measured.len())];
        let nearest = near.iter().min_by_key(|(at, _)| distance(*at));
        nearest.map_or((self.plan_m3_s, false), |(_, flow)| (*flow, true))
    }
}

/// The wider of two ranges about the first's value.
fn wider(all: Heat, one: Heat) -> Heat {
    Heat {
        value_w: all.value_w,
        low_w: all.low_w.min(one.low_w),
        high_w: all.high_w.max(one.high_w),
    }
}

/// What went through the heater at a reading; none where the outlet was not read or nothing ran.
fn pass(reading: &Reading, flows: &Flows, log: &Log) -> Option<(Pass, bool)> {
    let outlet_c = reading.outlet_c?;
    let inlet_c = reading.inlet_c.or(reading.water_c)?;
    let (flow_m3_s, measured) = match reading.flow_m3_s {
        Some(own) => (own, true),
        None => flows.at(reading.time),
    };
    if reading.pump_on == Some(false) || flow_m3_s < STANDING_M3_S {
        return None;
    }
    let flow_sd_frac = if measured {
        flow_sd_frac(&log.sd)
    } else {
        UNMEASURED_FLOW_SD_FRAC
    };
    let pass = Pass {
        flow_m3_s,
        flow_sd_frac,
        inlet_c,
        outlet_c,
        one_thermometer: log.one_thermometer,
    };
    Some((pass, measured))
}

/// Rows of a year in the order of time.
fn in_time(year: &Prepared) -> Vec<usize> {
    let mut order: Vec<usize> = (0..year.rows.len()).collect();
    order.sort_by_key(|&i| year.rows[i].start);
    order
}

/// The row within whose interval `time` lies.
fn row_at(year: &Prepared, order: &[usize], time: NaiveDateTime) -> Option<usize> {
    let after = order.partition_point(|&i| year.rows[i].start <= time);
    let row = *order.get(after.checked_sub(1)?)?;
    let length = TimeDelta::minutes(i64::from(year.interval_minutes));
    (time < year.rows[row].start + length).then_some(row)
}

/// What the heaters should give: with the range that performance, wind and the sun of the moment leave, and without the latter.
fn expected_heat(chain: &Chain<'_>, year: &Prepared, row: usize, pass: &Pass) -> (Heat, Heat) {
    let run = |wind: f64, sun: f64| {
        let given = chain.run(year, row, pass.inlet_c, pass.flow_m3_s, wind, sun);
        given.heat_w
    };
    let value_w = run(0.0, 1.0);
    let range = |parts: &[(f64, f64, f64)]| {
        let side = |of: &dyn Fn(f64, f64) -> f64| {
            let longer =
                |sum: f64, &(a, b, factor): &(f64, f64, f64)| sum.hypot(of(a, b).max(0.0) * factor);
            parts.iter().fold(0.0, longer)
        };
        Heat {
            value_w,
            low_w: value_w - side(&|a, b| value_w - a.min(b)),
            high_w: value_w + side(&|a, b| a.max(b) - value_w),
        }
    };
    let ends = SIGMAS_OF_90 / SIGMAS_OF_ENDS;
    let performance = performance_frac(chain.plan);
    let wind = (run(1.0, 1.0), run(-1.0, 1.0), ends);
    let built = (value_w * performance.0, value_w * performance.1, ends);
    let sun = (
        run(0.0, 1.0 - MOMENT_SUN_SD_FRAC),
        run(0.0, 1.0 + MOMENT_SUN_SD_FRAC),
        SIGMAS_OF_90,
    );
    (range(&[wind, built, sun]), range(&[wind, built]))
}

/// Ends of the heaters' performance over its best guess: of the first, since one builder built all.
fn performance_frac(plan: &Plan) -> (f64, f64) {
    plan.heaters.first().map_or((1.0, 1.0), |heater| {
        let p = heater.performance;
        let best = p.value.max(f64::MIN_POSITIVE);
        (p.low / best, p.high / best)
    })
}

/// Measured over expected in the sun, all readings together. Errors of a single reading average out; the offsets of two thermometers, the
/// bucket's mark and what is expected do not.
fn share(readings: &[HeatReading], log: &Log) -> Option<Share> {
    let judged: Vec<&HeatReading> = readings
        .iter()
        .filter(|r| r.sun_w_m2 > LEAST_SUN_W_M2 && r.expected.value_w > 0.0)
        .collect();
    let total = |of: &dyn Fn(&HeatReading) -> f64| judged.iter().map(|r| of(r)).sum::<f64>();
    let expected = total(&|r| r.expected.value_w);
    if expected <= 0.0 {
        return None;
    }
    let value_frac = total(&|r| r.heat.value_w) / expected;
    let quiet = Accuracy {
        offset_sd_k: 0.0,
        ..log.sd
    };
    // Of each reading alone: squares add.
    let own = total(&|r| {
        let timing = if r.flow_measured {
            log.sd.flow_sd_frac
        } else {
            0.0
        };
        let heat = Pass {
            flow_sd_frac: timing,
            one_thermometer: true,
            ..r.pass
        }
        .heat(&quiet);
        let sun_w = r.expected.high_w - r.common.high_w;
        ((heat.high_w - heat.low_w) / 2.0).powi(2) + sun_w * sun_w
    })
    .sqrt();
    // Common to all: amounts add.
    let offset = if log.one_thermometer {
        0.0
    } else {
        total(&|r| {
            let pass = Pass {
                flow_sd_frac: 0.0,
                ..r.pass
            };
            let with = pass.heat(&Accuracy {
                reading_sd_k: 0.0,
                ..log.sd
            });
            (with.high_w - with.low_w) / 2.0
        })
    };
    let mark = total(&|r| {
        let frac = if r.flow_measured {
            log.sd.bucket_sd_frac
        } else {
            UNMEASURED_FLOW_SD_FRAC
        };
        SIGMAS_OF_90 * frac * r.heat.value_w.abs()
    });
    let measured = own.hypot(offset).hypot(mark) / expected;
    let low_expected = total(&|r| r.common.high_w) / expected;
    let high_expected = total(&|r| r.common.low_w.max(0.05 * r.expected.value_w)) / expected;
    let below = measured.hypot(value_frac * (1.0 - 1.0 / low_expected));
    let above = measured.hypot(value_frac * (1.0 / high_expected - 1.0));
    Some(Share {
        value_frac,
        low_frac: value_frac - below,
        high_frac: value_frac + above,
        readings: judged.len(),
    })
}

/// The middle of some numbers.
fn middle(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut values: Vec<f64> = values.filter(|v| v.is_finite()).collect();
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    let upper = *values.get(half)?;
    Some(if values.len().is_multiple_of(2) {
        f64::midpoint(values[half - 1], upper)
    } else {
        upper
    })
}
