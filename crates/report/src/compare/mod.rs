//! Which measure is worth it, as data: the object of `swimdays compare --json`, and what its text, tables and pictures are
//! made from.

mod chapter;
mod table;
mod text;
mod words;

use std::io::Write;

use serde::Serialize;
use swimdays_scenario::Scenario;
use swimdays_season::OtherHeaterKind;
use swimdays_studies::compare::{
    AreaCurve, Choice, Comparison, Estimate, Gift, MOST_HEATERS_APART, Role, SameHeat,
};
use swimdays_weather::WeatherYear;

use crate::words::weather_name;
use crate::{AssumptionSummary, EnergySummary, ReportError};

pub use chapter::chapter;
pub use table::{write_areas_csv, write_measures_csv, write_options_csv};
pub use text::compare_lines;
pub use words::{anyone, enough, makes_the_season, what_first};
pub(crate) use words::{days, free_name, range};

/// One choice.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OptionSummary {
    /// Its parts, or what the builder calls it.
    pub name: String,
    /// `parts` (some or all of the scenario's), `anyone` (with what anyone can do) or `option` (the builder's).
    pub of: &'static str,
    /// The scenario as given.
    pub is_plan: bool,
    /// In the year told.
    pub swim_days: usize,
    /// 10 % of the draws have fewer; absent where none were made.
    pub swim_days_low: Option<i64>,
    /// 10 % of the draws have more.
    pub swim_days_high: Option<i64>,
    /// Too hot to swim; never counted as swim days.
    pub too_hot_days: usize,
    /// Over the bare pool.
    pub gained_days: i64,
    /// 10 % of the draws gain less.
    pub gained_days_low: Option<i64>,
    /// 10 % of the draws gain more.
    pub gained_days_high: Option<i64>,
    /// First swim day.
    pub first_swim_day: Option<String>,
    /// Last swim day.
    pub last_swim_day: Option<String>,
    /// Mean water while the pool is open, °C.
    pub water_mean_c: Option<f64>,
    /// To build and buy; absent when a cost is not given.
    pub build_cost: Option<f64>,
    /// The same over the life of each thing, a year.
    pub build_cost_per_year: Option<f64>,
    /// Energy bought in a year; absent when its price is not given.
    pub running_cost_per_year: Option<f64>,
    /// Both, for each gained day; absent when none is gained or a cost is not given.
    pub cost_per_gained_day: Option<f64>,
    /// With the days that 10 % of the draws exceed.
    pub cost_per_gained_day_low: Option<f64>,
    /// With the days that 10 % of the draws stay below; absent when that is none.
    pub cost_per_gained_day_high: Option<f64>,
    /// Costs and prices that would have to be given.
    pub costs_missing: Vec<String>,
    /// Less water put in than with the bare pool, m³ a year.
    pub water_saved_m3: f64,
    /// Of that, at the price of water.
    pub water_saved_cost: Option<f64>,
    /// Heat by cause while the pool is open, kWh, positive into the water.
    pub heat_open_kwh: EnergySummary,
    /// Heat of each solar heater over the run, kWh.
    pub heaters_kwh: Vec<HeaterHeat>,
    /// Electricity that heating adds, kWh a year.
    pub pump_kwh: f64,
    /// Energy bought for the ordinary heater, kWh a year.
    pub other_heater_bought_kwh: f64,
}

/// Heat of one solar heater.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HeaterHeat {
    /// Its name.
    pub name: String,
    /// kWh.
    pub heat_kwh: f64,
}

/// What one measure gives.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasureSummary {
    /// The part of the scenario, or what anyone can do.
    pub name: String,
    /// A part of the scenario, with a fair share.
    pub is_part: bool,
    /// Swim days that it adds to the bare pool.
    pub days_alone: f64,
    /// Its low end.
    pub days_alone_low: f64,
    /// Its high end.
    pub days_alone_high: f64,
    /// Swim days that it adds to all the other parts.
    pub days_last: f64,
    /// Its low end.
    pub days_last_low: f64,
    /// Its high end.
    pub days_last_high: f64,
    /// Mean of what it adds over all orders (Shapley value); absent for what is no part of the scenario.
    pub days_fair_share: Option<f64>,
    /// Its low end.
    pub days_fair_share_low: Option<f64>,
    /// Its high end.
    pub days_fair_share_high: Option<f64>,
    /// Too-hot days that it adds to all the other parts.
    pub too_hot_days_last: i64,
    /// Warmth that it gives the bare pool, as heat: what the bare pool would need to be as warm on the mean of the season, kWh.
    pub heat_alone_kwh: f64,
    /// The same, added to all the other parts.
    pub heat_last_kwh: f64,
    /// The same, over all orders.
    pub heat_fair_share_kwh: Option<f64>,
    /// Its low end.
    pub heat_fair_share_kwh_low: Option<f64>,
    /// Its high end.
    pub heat_fair_share_kwh_high: Option<f64>,
    /// To build and buy it.
    pub build_cost: Option<f64>,
}

/// Days against heater area.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AreaSummary {
    /// Areas, m².
    pub area_m2: Vec<f64>,
    /// Swim days without a cover.
    pub swim_days_no_cover: Vec<f64>,
    /// Swim days with it.
    pub swim_days_cover: Vec<f64>,
    /// The cover's kind.
    pub cover: &'static str,
    /// The scenario has it; otherwise it is one to try.
    pub cover_is_planned: bool,
    /// The scenario's area, m².
    pub planned_m2: f64,
    /// The piece of area that must bring a day, m².
    pub step_m2: f64,
    /// Where the next piece brings less than a day; absent beyond the areas tried.
    pub enough_no_cover_m2: Option<f64>,
    /// Its low end.
    pub enough_no_cover_low_m2: Option<f64>,
    /// Its high end.
    pub enough_no_cover_high_m2: Option<f64>,
    /// With the cover.
    pub enough_cover_m2: Option<f64>,
    /// Its low end.
    pub enough_cover_low_m2: Option<f64>,
    /// Its high end.
    pub enough_cover_high_m2: Option<f64>,
    /// What was taken of flow and tube.
    pub taken: &'static str,
}

/// The solar heaters' heat bought.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SameHeatSummary {
    /// `electricity`, `heat pump` or `gas`.
    pub by: &'static str,
    /// Heat per energy bought.
    pub efficiency: f64,
    /// kWh a year.
    pub bought_kwh: f64,
    /// A year; absent without a price.
    pub cost_per_year: Option<f64>,
    /// The key of the price.
    pub price: &'static str,
}

/// Everything that `swimdays compare` says.
#[derive(Clone, Debug, Serialize)]
pub struct CompareReport {
    /// Of the program.
    pub version: &'static str,
    /// The scenario's name.
    pub name: String,
    /// Place of the weather.
    pub weather: String,
    /// The year that single numbers are of.
    pub weather_year: String,
    /// How many weather years.
    pub weather_years: usize,
    /// Sign or code before amounts.
    pub currency: String,
    /// What each measure gives.
    pub measures: Vec<MeasureSummary>,
    /// The parts in the order in which to do them, each with the days that it adds to those before it.
    pub order: Vec<StepSummary>,
    /// Every choice; the first is the bare pool.
    pub options: Vec<OptionSummary>,
    /// Absent without solar heaters.
    pub heater_area: Option<AreaSummary>,
    /// Empty without solar heaters.
    pub same_heat: Vec<SameHeatSummary>,
    /// Heat that holds the bare pool 1 K warmer through the open season, kWh; what turns warmth into heat above.
    pub heat_kwh_per_k: Option<f64>,
    /// What is said first.
    pub sentences: Vec<String>,
    /// How ranges were found.
    pub range_method: String,
    /// What was taken because nothing was said, of costs and lives.
    pub assumptions: Vec<AssumptionSummary>,
    /// Local codes and licensed practice decide.
    pub cautions: Vec<String>,
    /// What the numbers leave out.
    pub notes: Vec<String>,
    /// For words and pictures.
    #[serde(skip)]
    pub(crate) told: Comparison,
    #[serde(skip)]
    pub(crate) plan_index: usize,
    #[serde(skip)]
    pub(crate) pool_m2: f64,
}

/// A part in the order in which to do them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StepSummary {
    /// The part.
    pub name: String,
    /// Days that it adds to those before it.
    pub days: f64,
    /// Its low end.
    pub days_low: f64,
    /// Its high end.
    pub days_high: f64,
    /// Its range lies above nothing.
    pub is_clear: bool,
}

/// What an ordinary heater heats with.
pub(crate) const fn heater_word(kind: OtherHeaterKind) -> &'static str {
    match kind {
        OtherHeaterKind::Electric => "electricity",
        OtherHeaterKind::HeatPump => "heat pump",
        OtherHeaterKind::Gas => "gas",
    }
}

impl From<&Gift> for MeasureSummary {
    fn from(g: &Gift) -> Self {
        let share = g.days_fair_share;
        let heat = g.heat_fair_share_kwh;
        Self {
            name: g.name.clone(),
            is_part: g.bit.is_some(),
            days_alone: g.days_alone.value,
            days_alone_low: g.days_alone.low,
            days_alone_high: g.days_alone.high,
            days_last: g.days_last.value,
            days_last_low: g.days_last.low,
            days_last_high: g.days_last.high,
            days_fair_share: share.map(|s| s.value),
            days_fair_share_low: share.map(|s| s.low),
            days_fair_share_high: share.map(|s| s.high),
            too_hot_days_last: g.too_hot_last,
            heat_alone_kwh: g.heat_alone_kwh.value,
            heat_last_kwh: g.heat_last_kwh.value,
            heat_fair_share_kwh: heat.map(|s| s.value),
            heat_fair_share_kwh_low: heat.map(|s| s.low),
            heat_fair_share_kwh_high: heat.map(|s| s.high),
            build_cost: g.costs.build,
        }
    }
}

impl From<&SameHeat> for SameHeatSummary {
    fn from(s: &SameHeat) -> Self {
        Self {
            by: heater_word(s.kind),
            efficiency: s.efficiency,
            bought_kwh: s.bought_kwh,
            cost_per_year: s.cost,
            price: s.price_key,
        }
    }
}

impl From<&AreaCurve> for AreaSummary {
    fn from(a: &AreaCurve) -> Self {
        Self {
            area_m2: a.areas_m2.clone(),
            swim_days_no_cover: a.bare_days.clone(),
            swim_days_cover: a.covered_days.clone(),
            cover: a.cover.name(),
            cover_is_planned: a.cover_is_planned,
            planned_m2: a.planned_m2,
            step_m2: a.step_m2,
            enough_no_cover_m2: a.enough_m2[0],
            enough_no_cover_low_m2: a.enough_range_m2[0].0,
            enough_no_cover_high_m2: a.enough_range_m2[0].1,
            enough_cover_m2: a.enough_m2[1],
            enough_cover_low_m2: a.enough_range_m2[1].0,
            enough_cover_high_m2: a.enough_range_m2[1].1,
            taken: "tube and area grow together; like pieces side by side, each with the planned flow, or less of one piece on that flow: swimdays flow tells whether the pump pushes it",
        }
    }
}

/// Whole days.
#[allow(clippy::cast_possible_truncation, reason = "days of a year")]
fn whole(days: f64) -> i64 {
    days.round() as i64
}

fn option(choice: &Choice, is_plan: bool, water_price: Option<f64>) -> OptionSummary {
    let o = &choice.outcome;
    let range = |e: Estimate, end: fn(&Estimate) -> f64| choice.has_range.then(|| end(&e));
    let per_day = |days: f64| choice.costs.per_gained_day(days);
    OptionSummary {
        name: choice.row.name.clone(),
        of: match choice.row.role {
            Role::Parts => "parts",
            Role::Option(_) => "option",
            _ => "anyone",
        },
        is_plan,
        swim_days: o.swim_days,
        swim_days_low: range(choice.swim_days, |e| e.low).map(whole),
        swim_days_high: range(choice.swim_days, |e| e.high).map(whole),
        too_hot_days: o.too_hot_days,
        gained_days: whole(choice.gained.value),
        gained_days_low: range(choice.gained, |e| e.low).map(whole),
        gained_days_high: range(choice.gained, |e| e.high).map(whole),
        first_swim_day: o.first.map(|d| d.to_string()),
        last_swim_day: o.last.map(|d| d.to_string()),
        water_mean_c: o.water_mean_c,
        build_cost: choice.costs.build,
        build_cost_per_year: choice.costs.build_per_year,
        running_cost_per_year: choice.costs.running_per_year,
        cost_per_gained_day: per_day(choice.gained.value),
        cost_per_gained_day_low: range(choice.gained, |e| e.high).and_then(per_day),
        cost_per_gained_day_high: range(choice.gained, |e| e.low).and_then(per_day),
        costs_missing: choice.costs.missing.clone(),
        water_saved_m3: choice.water_saved_m3,
        water_saved_cost: water_price.map(|p| p * choice.water_saved_m3),
        heat_open_kwh: EnergySummary::from(&o.heat_open_kwh),
        heaters_kwh: o
            .heaters_kwh
            .iter()
            .map(|(name, heat_kwh)| HeaterHeat {
                name: name.clone(),
                heat_kwh: *heat_kwh,
            })
            .collect(),
        pump_kwh: o.pump_kwh,
        other_heater_bought_kwh: o.other_heater_bought_kwh,
    }
}

impl CompareReport {
    /// What was found, ready to be told. `labels` name the weather years.
    #[must_use]
    pub fn new(
        scenario: &Scenario,
        weather: &[&WeatherYear],
        labels: &[String],
        found: Comparison,
        version: &'static str,
    ) -> Self {
        let plan = &scenario.plan;
        let water_price = plan.prices.water_per_m3;
        let choices = found.choices.iter().enumerate();
        let options = choices
            .map(|(at, choice)| option(choice, at == found.plan, water_price))
            .collect();
        let place = weather.get(found.year).map_or_else(String::new, |w| {
            let place = &w.place;
            weather_name(&place.name, place.latitude_deg, place.longitude_deg)
        });
        let mut notes = vec![
            "Costs are simple sums over the stated lives: no interest, no upkeep, no value of the work done.".to_owned(),
            "A windbreak is counted on wind at the water alone: its shade, and any shelter it gives a heater, are not.".to_owned(),
            "Parts left out leave the flow through the other heaters as it is planned.".to_owned(),
        ];
        if plan.heaters.len() > MOST_HEATERS_APART {
            notes.push(format!(
                "More than {MOST_HEATERS_APART} heaters: those of one kind are counted as one measure."
            ));
        }
        let mut report = Self {
            version,
            name: plan.name.clone(),
            weather: place,
            weather_year: labels.get(found.year).cloned().unwrap_or_default(),
            weather_years: weather.len(),
            currency: plan.prices.currency.clone(),
            measures: found.gifts.iter().map(MeasureSummary::from).collect(),
            order: found
                .steps
                .iter()
                .map(|s| StepSummary {
                    name: found.gifts[s.gift].name.clone(),
                    days: s.gain.value,
                    days_low: s.gain.low,
                    days_high: s.gain.high,
                    is_clear: s.gain.is_gain(),
                })
                .collect(),
            options,
            heater_area: found.area.as_ref().map(AreaSummary::from),
            same_heat: found.same_heat.iter().map(SameHeatSummary::from).collect(),
            heat_kwh_per_k: found.kwh_per_k,
            sentences: Vec::new(),
            range_method: found.method.clone(),
            assumptions: scenario
                .lives
                .assumptions
                .iter()
                .map(|a| AssumptionSummary {
                    key: a.key.clone(),
                    value: a.value.clone(),
                    source: a.source.clone(),
                })
                .collect(),
            cautions: words::cautions(plan),
            notes,
            plan_index: found.plan,
            pool_m2: plan.pool.area_m2,
            told: found,
        };
        report.sentences = words::first_lines(&report, scenario.units);
        report
    }

    /// Writes the object of `compare.json`.
    ///
    /// # Errors
    /// What the writer says.
    pub fn write_json(&self, mut to: impl Write) -> Result<(), ReportError> {
        serde_json::to_writer_pretty(&mut to, self)?;
        to.write_all(b"\n").map_err(serde_json::Error::io)?;
        Ok(())
    }
}
