//! The object of `swimdays check --json`, from which text and pictures are made.

use std::io::Write;

use chrono::NaiveDateTime;
use serde::Serialize;
use swimdays_check::dates::{Basis, Dated};
use swimdays_check::heats::{HeatReading, Heats};
use swimdays_check::log::{FaultKind, LogFile};
use swimdays_check::{Cause, Course, Estimate, Fit, Parameter, Point, Quantity, Verdict};
use swimdays_season::SummerTime;

use super::words::{cause_sentence, cause_word, key_word};
use crate::ReportError;

/// What was read.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LogSummary {
    /// The file.
    pub file: String,
    /// Rows that hold anything.
    pub rows: usize,
    /// Readings that are used.
    pub readings: usize,
    /// First and last, local standard time.
    pub from: String,
    /// Last reading.
    pub to: String,
    /// Days between.
    pub days: f64,
    /// One thermometer read inlet and outlet.
    pub one_thermometer: bool,
    /// Whether the log says so.
    pub thermometers_told: bool,
    /// What was left out because it cannot be read.
    pub unreadable: Vec<String>,
    /// What was left out because it cannot be.
    pub wild: Vec<String>,
    /// What else to know.
    pub notes: Vec<String>,
    /// Readings outside the weather, left out.
    pub outside_weather: usize,
}

/// Weather that stands behind the comparison.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WeatherUsed {
    /// real, remarks or typical.
    pub basis: &'static str,
    /// Where it was measured or made.
    pub place: String,
    /// How many series give the range.
    pub series: usize,
}

/// One reading of the heater.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HeatReadingSummary {
    /// Line of the log.
    pub line: usize,
    /// Local standard time.
    pub time: String,
    /// m³/s.
    pub flow_m3_s: f64,
    /// Else the plan's.
    pub flow_measured: bool,
    /// °C.
    pub inlet_c: f64,
    /// °C.
    pub outlet_c: f64,
    /// W.
    pub heat_w: f64,
    /// W, lower end of 90 %.
    pub heat_low_w: f64,
    /// W, upper end of 90 %.
    pub heat_high_w: f64,
    /// W.
    pub expected_w: f64,
    /// W.
    pub expected_low_w: f64,
    /// W.
    pub expected_high_w: f64,
    /// Heat over the sun on the tubes' area.
    pub efficiency_frac: Option<f64>,
    /// Sun on the heaters, W/m².
    pub sun_w_m2: f64,
}

impl HeatReadingSummary {
    fn of(r: &HeatReading) -> Self {
        Self {
            line: r.line,
            time: shown_time(r.time),
            flow_m3_s: r.pass.flow_m3_s,
            flow_measured: r.flow_measured,
            inlet_c: r.pass.inlet_c,
            outlet_c: r.pass.outlet_c,
            heat_w: r.heat.value_w,
            heat_low_w: r.heat.low_w,
            heat_high_w: r.heat.high_w,
            expected_w: r.expected.value_w,
            expected_low_w: r.expected.low_w,
            expected_high_w: r.expected.high_w,
            efficiency_frac: r.efficiency_frac,
            sun_w_m2: r.sun_w_m2,
        }
    }
}

/// The heater in all its readings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HeatSummary {
    /// Area of tubes and panels that takes the sun, m².
    pub absorber_m2: f64,
    /// The plan's flow, m³/s.
    pub plan_flow_m3_s: f64,
    /// Middle of the measured flows over it.
    pub flow_share_frac: Option<f64>,
    /// Measured over expected heat, in the sun.
    pub share_frac: Option<f64>,
    /// Lower end of 90 %.
    pub share_low_frac: Option<f64>,
    /// Upper end of 90 %.
    pub share_high_frac: Option<f64>,
    /// Readings behind it.
    pub share_readings: usize,
    /// The reading with most heat, W, and what was expected of it.
    pub best_w: Option<(f64, f64)>,
    /// Largest rise in a pass, K, and what the plan's flow would have made of that moment; of the brightest, where a typical year stands in.
    pub highest_rise_k: Option<(f64, f64)>,
    /// Reading by reading.
    pub readings: Vec<HeatReadingSummary>,
}

impl HeatSummary {
    fn of(heats: &Heats, basis: Basis) -> Option<Self> {
        if heats.readings.is_empty() {
            return None;
        }
        let best = heats
            .readings
            .iter()
            .max_by(|a, b| a.heat.value_w.total_cmp(&b.heat.value_w));
        let hot = heats
            .readings
            .iter()
            .max_by(|a, b| a.pass.rise_k().total_cmp(&b.pass.rise_k()));
        Some(Self {
            absorber_m2: heats.absorber_m2,
            plan_flow_m3_s: heats.plan_flow_m3_s,
            flow_share_frac: heats.flow_share_frac,
            share_frac: heats.share.map(|s| s.value_frac),
            share_low_frac: heats.share.map(|s| s.low_frac),
            share_high_frac: heats.share.map(|s| s.high_frac),
            share_readings: heats.share.map_or(0, |s| s.readings),
            best_w: best.map(|r| (r.heat.value_w, r.expected.value_w)),
            highest_rise_k: hot.map(|r| {
                // A typical year's hour may be dull where the builder's was bright: then the brightest stands for it.
                let brightest = || {
                    let rises = heats.readings.iter().map(|r| r.expected_rise_k);
                    rises.fold(r.expected_rise_k, f64::max)
                };
                let due_k = match basis {
                    Basis::Typical => brightest(),
                    Basis::Real | Basis::Remarks => r.expected_rise_k,
                };
                (r.pass.rise_k(), due_k)
            }),
            readings: heats.readings.iter().map(HeatReadingSummary::of).collect(),
        })
    }
}

/// What the log teaches of one number.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LearntSummary {
    /// Stable name.
    pub key: &'static str,
    /// What was known before.
    pub before: f64,
    /// Lower end of 90 % before.
    pub before_low: f64,
    /// Upper end of 90 % before.
    pub before_high: f64,
    /// Now.
    pub value: f64,
    /// Lower end of 90 %.
    pub low: f64,
    /// Upper end of 90 %.
    pub high: f64,
    /// Whether the log can tell it.
    pub identified: bool,
    /// Why, or why not.
    pub why: String,
    /// Which.
    #[serde(skip)]
    pub parameter: Parameter,
}

impl LearntSummary {
    fn of(e: &Estimate) -> Self {
        Self {
            key: key_word(e.key),
            before: e.prior.value,
            before_low: e.prior_low,
            before_high: e.prior_high,
            value: e.value,
            low: e.low,
            high: e.high,
            identified: e.identified,
            why: e.why.clone(),
            parameter: e.key,
        }
    }
}

/// How well it fits.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FitSummary {
    /// Measured less foretold, K, root mean square, after the fit.
    pub rms_k: f64,
    /// Before it.
    pub rms_before_k: f64,
    /// Days held out of the fit and then foretold.
    pub held_out_days: Option<f64>,
    /// K, root mean square.
    pub held_out_rms_k: Option<f64>,
    /// K, largest.
    pub held_out_worst_k: Option<f64>,
    /// Share of the readings within 0.5 K.
    pub held_out_within_half_k_frac: Option<f64>,
    /// Number by number.
    pub learnt: Vec<LearntSummary>,
    /// What to know about it.
    pub notes: Vec<String>,
}

/// One cause.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CauseSummary {
    /// Stable name.
    pub cause: &'static str,
    /// Share of belief.
    pub weight: f64,
    /// What speaks for it.
    pub evidence: Vec<String>,
    /// The reading that would tell.
    pub reading: String,
    /// Which.
    #[serde(skip)]
    pub which: Cause,
}

/// One day to come.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ForecastDay {
    /// The day.
    pub date: String,
    /// Coldest of the day, °C.
    pub water_min_c: f64,
    /// Warmest of the day, °C.
    pub water_max_c: f64,
    /// Lower end of 90 % for the warmest, °C.
    pub low_c: f64,
    /// Upper end, °C.
    pub high_c: f64,
}

/// The whole answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CheckReport {
    /// Scenario.
    pub scenario: String,
    /// Version of the program.
    pub program_version: &'static str,
    /// What was read.
    pub log: LogSummary,
    /// Weather behind it.
    pub weather: WeatherUsed,
    /// Likely causes, likeliest first; empty where the log is too short to tell.
    pub verdict: Vec<CauseSummary>,
    /// The cheapest next measurement.
    pub next_measurement: Option<String>,
    /// The heater.
    pub heat: Option<HeatSummary>,
    /// The fit.
    pub fit: Option<FitSummary>,
    /// Why there is none.
    pub no_fit: Option<String>,
    /// The days to come.
    pub forecast: Vec<ForecastDay>,
    /// The log's clock is an hour ahead of the times here.
    pub summer_clock: bool,
    #[serde(skip)]
    pub(super) heats: Vec<HeatReading>,
    #[serde(skip)]
    pub(super) points: Vec<Point>,
    #[serde(skip)]
    pub(super) course: Vec<Course>,
}

/// What the answer is made from.
#[derive(Clone, Copy, Debug)]
pub struct CheckInput<'a> {
    /// Scenario's name.
    pub scenario: &'a str,
    /// Version of the program.
    pub program_version: &'static str,
    /// The log's file.
    pub file_name: &'a str,
    /// The log.
    pub file: &'a LogFile,
    /// Its weather.
    pub dated: &'a Dated,
    /// Heat by heat.
    pub heats: &'a Heats,
    /// What was learnt, or why nothing was.
    pub fit: Result<&'a Fit, &'a str>,
    /// Causes.
    pub verdict: Option<&'a Verdict>,
    /// Days to come.
    pub forecast: &'a [ForecastDay],
    /// Daylight-saving rule of the log's clock.
    pub summer_time: SummerTime,
}

impl CheckReport {
    /// The fault that the likeliest explanation is, within a sentence; none where all is as built, or where more wind only is: the wind of a
    /// place is nothing to be mended.
    #[must_use]
    pub fn fault_about(&self) -> Option<&'static str> {
        let first = self.verdict.first()?.which;
        (!matches!(first, Cause::AsBuilt | Cause::MoreWind)).then(|| cause_sentence(first))
    }

    /// From the results.
    #[must_use]
    pub fn new(input: &CheckInput<'_>) -> Self {
        let file = input.file;
        let readings = &file.log.readings;
        let (first, last) = (
            readings.first().map(|r| r.time),
            readings.last().map(|r| r.time),
        );
        let days = first
            .zip(last)
            .map_or(0.0, |(a, b)| minutes(b - a) / 1440.0);
        let listed = |kind: FaultKind| -> Vec<String> {
            file.faults
                .iter()
                .filter(|f| f.kind == kind)
                .map(ToString::to_string)
                .collect()
        };
        let summer_clock = first.is_some_and(|time| {
            let offset = input
                .dated
                .years
                .first()
                .map_or(0.0, |y| y.place.utc_offset_h);
            swimdays_season::is_summer_time(input.summer_time, time, offset)
        });
        let place = input.dated.years.first().map(|y| &y.place);
        Self {
            scenario: input.scenario.to_owned(),
            program_version: input.program_version,
            log: LogSummary {
                file: input.file_name.to_owned(),
                rows: file.rows,
                readings: readings.len(),
                from: first.map_or_else(String::new, shown_time),
                to: last.map_or_else(String::new, shown_time),
                days,
                one_thermometer: file.log.one_thermometer,
                thermometers_told: file.thermometers_told,
                unreadable: listed(FaultKind::Unreadable),
                wild: listed(FaultKind::Wild),
                notes: file.notes.clone(),
                outside_weather: input.dated.outside,
            },
            weather: WeatherUsed {
                basis: match input.dated.basis {
                    Basis::Real => "real",
                    Basis::Remarks => "remarks",
                    Basis::Typical => "typical",
                },
                place: place.map_or_else(String::new, |p| {
                    crate::words::weather_name(&p.name, p.latitude_deg, p.longitude_deg)
                }),
                series: input.dated.years.len(),
            },
            verdict: input.verdict.map_or_else(Vec::new, |v| {
                v.ranked
                    .iter()
                    .map(|c| CauseSummary {
                        cause: cause_word(c.cause),
                        weight: c.weight,
                        evidence: c.evidence.clone(),
                        reading: c.reading.clone(),
                        which: c.cause,
                    })
                    .collect()
            }),
            next_measurement: input.verdict.map(|v| v.next_measurement.clone()),
            heat: HeatSummary::of(input.heats, input.dated.basis),
            fit: input.fit.ok().map(|fit| FitSummary {
                rms_k: fit.rms_k,
                rms_before_k: fit.rms_before_k,
                held_out_days: fit.held_out.map(|h| h.days),
                held_out_rms_k: fit.held_out.map(|h| h.rms_k),
                held_out_worst_k: fit.held_out.map(|h| h.worst_k),
                held_out_within_half_k_frac: fit.held_out.map(|h| h.within_half_k_frac),
                learnt: fit.parameters.iter().map(LearntSummary::of).collect(),
                notes: fit.notes.clone(),
            }),
            no_fit: input.fit.err().map(str::to_owned),
            forecast: input.forecast.to_vec(),
            summer_clock,
            heats: input.heats.readings.clone(),
            points: input
                .fit
                .map(|fit| {
                    fit.points
                        .iter()
                        .filter(|p| p.quantity == Quantity::Water)
                        .copied()
                        .collect()
                })
                .unwrap_or_default(),
            course: input.fit.map(|fit| fit.course.clone()).unwrap_or_default(),
        }
    }

    /// Writes the JSON object.
    ///
    /// # Errors
    /// What the writer says.
    pub fn write_json(&self, mut to: impl Write) -> Result<(), ReportError> {
        serde_json::to_writer_pretty(&mut to, self)?;
        to.write_all(b"\n").map_err(serde_json::Error::io)?;
        Ok(())
    }
}

fn shown_time(time: NaiveDateTime) -> String {
    time.format("%Y-%m-%d %H:%M").to_string()
}

pub(super) fn minutes(delta: chrono::TimeDelta) -> f64 {
    f64::from(i32::try_from(delta.num_minutes()).unwrap_or(i32::MAX))
}
