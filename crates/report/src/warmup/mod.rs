//! How long the water takes to get warm, as data: the object of `swimdays warmup --json`, and what its text and pictures are made from.

mod chapter;
mod chart;
mod text;

use std::io::Write;

use chrono::NaiveDate;
use serde::Serialize;
use swimdays_season::{Ledger, MonthDay};
use swimdays_studies::{
    FanPoint, MOST_DAYS, MeasureWarmup, NEIGHBOURS_DAYS, Saved, Spread, WarmupFound,
};

use crate::ReportError;

pub use chapter::chapter;
pub use chart::{fan_chart, measures_chart};
pub use text::warmup_lines;

/// Days: one run in ten is below `low`, half are below `half`, one in ten is above `high`; absent: not within the longest warm-up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct DaysSpread {
    /// 10 %.
    pub low: Option<f64>,
    /// Half.
    pub half: Option<f64>,
    /// 90 %.
    pub high: Option<f64>,
}

impl DaysSpread {
    fn new(spread: Spread) -> Self {
        Self {
            low: spread.low,
            half: spread.half,
            high: spread.high,
        }
    }
}

/// What a measure saves against the bare pool on the same start days with the same draws, days.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SavedSummary {
    /// 10 %.
    pub low: f64,
    /// Half.
    pub half: f64,
    /// 90 %.
    pub high: f64,
    /// The bare pool often does not get there: at least so much.
    pub at_least: bool,
}

impl SavedSummary {
    fn new(saved: Saved) -> Self {
        Self {
            low: saved.low,
            half: saved.half,
            high: saved.high,
            at_least: saved.at_least,
        }
    }
}

/// One measure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasureSummary {
    /// `bare`, `cover`, a heater's name, `ordinary heater` or `all`.
    pub name: String,
    /// Days to the target.
    pub days: DaysSpread,
    /// Share of the runs that get there.
    pub reached_frac: f64,
    /// Share of the runs whose weather ends before.
    pub weather_ends_frac: f64,
    /// Against the bare pool.
    pub saved: Option<SavedSummary>,
    /// On top of all the others; absent where it is the only measure.
    pub added: Option<SavedSummary>,
}

impl MeasureSummary {
    fn new(found: &MeasureWarmup) -> Self {
        Self {
            name: found.name.clone(),
            days: DaysSpread::new(found.days),
            reached_frac: found.reached_frac,
            weather_ends_frac: found.cut_frac,
            saved: found.saved.map(SavedSummary::new),
            added: found.added.map(SavedSummary::new),
        }
    }
}

/// One start day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StartSummary {
    /// `05-01`.
    pub start: String,
    /// Days to the target.
    pub days: DaysSpread,
}

/// When to start to be warm on a day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReadySummary {
    /// `06-01`.
    pub by: String,
    /// Latest start with which the pool is warm through that day's swim hours in half of the cases.
    pub start_half: Option<String>,
    /// In 90 %.
    pub start_nine_tenths: Option<String>,
    /// By days of lead, from 0: the share of cases in which it is warm.
    pub warm_frac_by_lead: Vec<f64>,
    /// Cases behind each share.
    pub cases: usize,
    #[serde(skip)]
    day: Option<NaiveDate>,
    #[serde(skip)]
    half_lead: Option<usize>,
    #[serde(skip)]
    nine_tenths_lead: Option<usize>,
}

/// What a summary is made from besides the answer.
#[derive(Clone, Copy, Debug)]
pub struct WarmupInput<'a> {
    /// Of the program.
    pub version: &'static str,
    /// The scenario's name.
    pub name: &'a str,
    /// First and last start day.
    pub window: (MonthDay, MonthDay),
    /// What the weather is called.
    pub weather: &'a [String],
    /// The scenario has a cover.
    pub cover: bool,
    /// Names of the solar heaters.
    pub heaters: &'a [String],
    /// Water at which the heater is stopped, °C.
    pub heater_stops_c: Option<f64>,
    /// Water above which the cover stays off, °C.
    pub cover_off_c: Option<f64>,
}

/// Everything that `swimdays warmup` says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WarmupSummary {
    /// Of the program.
    pub version: &'static str,
    /// The scenario's name.
    pub name: String,
    /// Weather years.
    pub weather: Vec<String>,
    /// First start day, `05-01`.
    pub first_start: String,
    /// Last start day.
    pub last_start: String,
    /// Coldest water at the beginning, °C.
    pub from_low_c: f64,
    /// Warmest water at the beginning, °C.
    pub from_high_c: f64,
    /// Nobody said how warm it begins: what the weather makes of the bare pool.
    pub from_weather: bool,
    /// Water wanted, °C.
    pub to_c: f64,
    /// A warm-up that takes longer is not reached, days.
    pub longest_days: usize,
    /// Start days of all years together.
    pub starts: usize,
    /// Runs of each measure.
    pub runs: usize,
    /// Bare first, all together last.
    pub measures: Vec<MeasureSummary>,
    /// With all measures, by start day.
    pub by_start: Vec<StartSummary>,
    /// Mean heat until the target, kWh: names and values of the ledger.
    pub heat_kwh: Vec<(&'static str, f64)>,
    /// Ready by a date.
    pub ready: Option<ReadySummary>,
    /// How the ranges were found.
    pub method: String,
    /// What to know of these numbers.
    pub notes: Vec<String>,
    #[serde(skip)]
    heat: Ledger,
    #[serde(skip)]
    fan: Vec<FanPoint>,
    #[serde(skip)]
    bare_fan: Vec<FanPoint>,
    #[serde(skip)]
    window: (MonthDay, MonthDay),
    #[serde(skip)]
    cover: bool,
    #[serde(skip)]
    heaters: Vec<String>,
}

fn written(day: MonthDay) -> String {
    format!("{:02}-{:02}", day.month, day.day)
}

/// A day of a year without 29 February.
fn date(day: MonthDay) -> Option<NaiveDate> {
    NaiveDate::from_ymd_opt(2001, day.month, day.day)
}

impl WarmupSummary {
    /// From the answer.
    #[must_use]
    pub fn new(found: &WarmupFound, input: &WarmupInput<'_>) -> Self {
        let before = |lead: Option<usize>, by: MonthDay| {
            let lead = i64::try_from(lead?).ok()?;
            Some(
                (date(by)? - chrono::TimeDelta::days(lead))
                    .format("%m-%d")
                    .to_string(),
            )
        };
        Self {
            version: input.version,
            name: input.name.to_owned(),
            weather: input.weather.to_vec(),
            first_start: written(input.window.0),
            last_start: written(input.window.1),
            from_low_c: found.from_c.0,
            from_high_c: found.from_c.1,
            from_weather: found.from_weather,
            to_c: found.to_c,
            longest_days: MOST_DAYS,
            starts: found.starts,
            runs: found.runs,
            measures: found.measures.iter().map(MeasureSummary::new).collect(),
            by_start: found
                .by_start
                .iter()
                .map(|start| StartSummary {
                    start: written(start.day),
                    days: DaysSpread::new(start.days),
                })
                .collect(),
            heat_kwh: Ledger::NAMES
                .into_iter()
                .zip(found.heat_kwh.values())
                .collect(),
            ready: found.ready.as_ref().map(|ready| ReadySummary {
                by: written(ready.by),
                start_half: before(ready.half_lead, ready.by),
                start_nine_tenths: before(ready.nine_tenths_lead, ready.by),
                warm_frac_by_lead: ready.warm_frac.clone(),
                cases: ready.cases,
                day: date(ready.by),
                half_lead: ready.half_lead,
                nine_tenths_lead: ready.nine_tenths_lead,
            }),
            method: found.method.clone(),
            notes: notes(found, input),
            heat: found.heat_kwh,
            fan: found.fan.clone(),
            bare_fan: found.bare_fan.clone(),
            window: input.window,
            cover: input.cover,
            heaters: input.heaters.to_vec(),
        }
    }

    /// With all measures.
    fn all(&self) -> Option<&MeasureSummary> {
        self.measures.last()
    }

    /// Writes the object of `warmup.json`.
    ///
    /// # Errors
    /// What the writer says.
    pub fn write_json(&self, mut to: impl Write) -> Result<(), ReportError> {
        serde_json::to_writer_pretty(&mut to, self)?;
        to.write_all(b"\n").map_err(serde_json::Error::io)?;
        Ok(())
    }

    /// Writes water against time, hour by hour, as CSV.
    ///
    /// # Errors
    /// [`ReportError::Table`] when writing fails.
    pub fn write_csv(&self, to: impl Write) -> Result<(), ReportError> {
        let mut table = csv::Writer::from_writer(to);
        table.write_record([
            "hours",
            "water_low_c",
            "water_half_c",
            "water_high_c",
            "bare_low_c",
            "bare_half_c",
            "bare_high_c",
        ])?;
        let cell = |value: Option<f64>| value.map_or_else(String::new, |v| format!("{v:.3}"));
        for (at, point) in self.fan.iter().enumerate() {
            let bare = self.bare_fan.get(at);
            table.write_record([
                format!("{:.0}", point.day * 24.0),
                cell(Some(point.low_c)),
                cell(Some(point.half_c)),
                cell(Some(point.high_c)),
                cell(bare.map(|b| b.low_c)),
                cell(bare.map(|b| b.half_c)),
                cell(bare.map(|b| b.high_c)),
            ])?;
        }
        table.flush().map_err(csv::Error::from)?;
        Ok(())
    }
}

/// What to know of these numbers.
fn notes(found: &WarmupFound, input: &WarmupInput<'_>) -> Vec<String> {
    let mut notes = vec![
        "warm means that the water reaches the target for the first time; at night it falls again"
            .to_owned(),
    ];
    if input.cover {
        notes.push(
            "the cover keeps its hours but stays on through the swim hours, since nobody swims yet"
                .to_owned(),
        );
    }
    if input.heater_stops_c.is_some_and(|stop| stop <= found.to_c) {
        notes.push("the heater is stopped before the target (pump.stop_above): it cannot bring the water there".to_owned());
    }
    if input.cover_off_c.is_some_and(|off| off <= found.to_c) {
        notes.push("the cover comes off before the target (pool.cover.off_above)".to_owned());
    }
    if input.weather.len() == 1 {
        notes.push(
            "one weather year: other years differ, and several files show how much".to_owned(),
        );
    }
    if found.ready.is_some() {
        notes.push(format!(
            "ready by a date: warm through the swim hours of that day, in the weather of the {NEIGHBOURS_DAYS} days before and after it as well"
        ));
    }
    notes
}
