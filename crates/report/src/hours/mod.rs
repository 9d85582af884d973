//! When to run the pump, as data: the object of `swimdays hours --json`, and what its text, card and picture are made from.

mod card;
mod chapter;
mod chart;
mod text;

use std::io::Write;

use serde::Serialize;
use swimdays_pump::{Control, PumpKind, Window};
use swimdays_quantity::format_clock;
use swimdays_season::{Plan, SummerTime};
use swimdays_studies::{Between, HoursStudy, Way, WayResult};

pub use card::{CardRow, card_chart, write_card_csv};
pub use chapter::chapter;
pub use chart::brings_chart;
pub use text::hours_lines;

use crate::caution::{Caution, DEFERENCE, cautions};
use crate::words::MONTHS;
use crate::{ReportError, Units};

/// What the answer is made from, besides the study.
#[derive(Clone, Copy, Debug)]
pub struct HoursInput<'a> {
    /// Version of the program.
    pub version: &'static str,
    /// The plan.
    pub plan: &'a Plan,
    /// Weather years by their labels, in their order.
    pub weather: &'a [String],
    /// The years were made from monthly normals.
    pub made: bool,
    /// Water that the filter pump moves by itself, m³/s, where its plumbing is described.
    pub filter_flow_m3_s: Option<f64>,
    /// Units of the cautions.
    pub units: Units,
}

/// A number with its ends.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BetweenSummary {
    /// With the best guess of everything, in the weather year shown.
    pub value: f64,
    /// 10 % of the draws lie below.
    pub low: f64,
    /// 10 % of the draws lie above.
    pub high: f64,
    /// Both ends lie on one side of nothing.
    pub clear: bool,
}

impl From<Between> for BetweenSummary {
    fn from(of: Between) -> Self {
        Self {
            value: of.value,
            low: of.low,
            high: of.high,
            clear: of.is_clear(),
        }
    }
}

/// One way of running the pump.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HoursOption {
    /// In the builder's words.
    pub name: &'static str,
    /// Swim days.
    pub swim_days: usize,
    /// 10 % of the draws have fewer.
    pub swim_days_low: usize,
    /// 10 % of the draws have more.
    pub swim_days_high: usize,
    /// Too-hot days.
    pub too_hot_days: usize,
    /// Swim days more than as given.
    pub more_days: BetweenSummary,
    /// Heat less electricity, more than as given, kWh.
    pub more_net_kwh: BetweenSummary,
    /// Hours of pumping through the heaters.
    pub hours_run: f64,
    /// Hours in which running cooled the water though nobody asked for that.
    pub cooled_hours: f64,
    /// Heat lost in them, kWh.
    pub cooled_kwh: f64,
    /// Heat of the heaters, kWh.
    pub heat_kwh: f64,
    /// Electricity that heating adds, kWh.
    pub pump_kwh: f64,
    /// Heat for each kWh of that; absent where there is none.
    pub heat_per_pump_kwh: Option<f64>,
    /// What that electricity costs a season; absent without a price.
    pub cost: Option<f64>,
    /// Runs at night to cool above this, °C.
    pub cool_above_c: Option<f64>,
    /// Of a timer: hours as a scenario writes them, by month in which the pool is open.
    pub hours_by_month: Option<Vec<(String, String)>>,
}

/// One way against another.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HoursPair {
    /// This way …
    pub a: &'static str,
    /// … against that one.
    pub b: &'static str,
    /// Swim days more with `a`.
    pub more_days: BetweenSummary,
    /// Heat less electricity, more with `a`, kWh.
    pub more_net_kwh: BetweenSummary,
}

/// What the filter does.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FilterSummary {
    /// Fewest hours a day in any month of the season.
    pub hours_a_day: f64,
    /// Pool volumes that go through it in these hours.
    pub turnovers_a_day: f64,
    /// Whether that is a lower bound, known from the flow through the heaters alone.
    pub at_least: bool,
}

/// The whole answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HoursSummary {
    /// Version of the program.
    pub version: &'static str,
    /// Scenario.
    pub name: String,
    /// Weather years.
    pub weather: Vec<String>,
    /// Which of them single numbers are of.
    pub weather_shown: String,
    /// Which clock is meant.
    pub clock: &'static str,
    /// What the search looked for, and how.
    pub method: String,
    /// Seasons behind each range.
    pub range_draws: usize,
    /// The first is as given.
    pub options: Vec<HoursOption>,
    /// Each way against each other one.
    pub pairs: Vec<HoursPair>,
    /// Name of the option that is on the card.
    pub card_option: &'static str,
    /// For the timer.
    pub card: Vec<CardRow>,
    /// The same for `--set`.
    pub set: Vec<String>,
    /// The filter's own hours; absent for a pump that does not filter.
    pub filter: Option<FilterSummary>,
    /// Heat for each hour of running (kW), 24 hours from midnight, by month in which the pool is open; absent where it never ran.
    pub brings_kw: Vec<(String, Vec<Option<f64>>)>,
    /// Currency of the costs.
    pub currency: String,
    /// What can hurt someone.
    pub cautions: Vec<Caution>,
    /// Who decides.
    pub cautions_note: &'static str,
}

/// What the best timer within the hours of the filter is called.
const WITHIN_FILTER: &str = "best within filter hours";

/// What a way is called.
fn name_of(way: &WayResult) -> &'static str {
    match (way.way, &way.control) {
        (Way::Given, Control::Timer(_)) => "your timer",
        (Way::Given, Control::Differential(_)) => "your sensor",
        (Way::Given, Control::Always) => "always on, as you have it",
        (Way::Given, Control::Never) => "never on, as you have it",
        (Way::OneWindow, _) => "best timer",
        (Way::WithinFilter, _) => WITHIN_FILTER,
        (Way::TwoWindows, _) => "two windows a month",
        (Way::Sensor, _) => "a sensor",
        (Way::Always, _) => "always on",
        (Way::NightCooling, _) => "best timer, night cooling",
    }
}

/// Hours as a scenario writes them: `9:00-12:00, 14:00-17:00`.
fn written(windows: &[Window]) -> String {
    windows
        .iter()
        .map(|w| format!("{}-{}", format_clock(w.start_h), format_clock(w.end_h)))
        .collect::<Vec<_>>()
        .join(", ")
}

/// Of a timer its hours in each of `months` that has any, the month as a scenario writes it.
fn by_month(control: &Control, months: &[usize]) -> Option<Vec<(String, String)>> {
    let Control::Timer(windows) = control else {
        return None;
    };
    Some(
        months
            .iter()
            .filter(|&&month| !windows[month].is_empty())
            .map(|&month| (MONTHS[month].to_lowercase(), written(&windows[month])))
            .collect(),
    )
}

impl HoursSummary {
    /// From what was found.
    #[must_use]
    pub fn new(study: &HoursStudy, input: &HoursInput<'_>) -> Self {
        let plan = input.plan;
        let given = &study.ways[0];
        let price = plan.prices.electricity_per_kwh;
        let options = study
            .ways
            .iter()
            .map(|way| HoursOption {
                name: name_of(way),
                swim_days: way.season.swim_days,
                swim_days_low: way.swim_days_low,
                swim_days_high: way.swim_days_high,
                too_hot_days: way.season.too_hot_days,
                more_days: way.more_days_than(given).into(),
                more_net_kwh: way.more_net_kwh_than(given).into(),
                hours_run: way.season.pump_hours,
                cooled_hours: way.cooled.hours,
                cooled_kwh: way.cooled.heat_kwh,
                heat_kwh: way.season.heat_kwh.heaters,
                pump_kwh: way.season.pump_kwh,
                heat_per_pump_kwh: (way.season.pump_kwh > 0.0)
                    .then(|| way.season.heat_kwh.heaters / way.season.pump_kwh),
                cost: price.map(|price| price * way.season.pump_kwh),
                cool_above_c: way.cool_above_c,
                hours_by_month: by_month(&way.control, &study.months),
            })
            .collect();
        let pairs = study
            .ways
            .iter()
            .flat_map(|a| study.ways.iter().map(move |b| (a, b)))
            .filter(|(a, b)| a.way != b.way)
            .map(|(a, b)| HoursPair {
                a: name_of(a),
                b: name_of(b),
                more_days: a.more_days_than(b).into(),
                more_net_kwh: a.more_net_kwh_than(b).into(),
            })
            .collect();
        let card_way = &study.ways[study.card];
        let timer = by_month(&card_way.control, &study.months).unwrap_or_default();
        let hours: Vec<String> = timer
            .iter()
            .map(|(month, hours)| format!("{month} = \"{hours}\""))
            .collect();
        let set = if hours.is_empty() {
            vec!["pump.control=never".to_owned()]
        } else {
            vec![
                "pump.control=timer".to_owned(),
                format!("pump.hours_by_month={{ {} }}", hours.join(", ")),
            ]
        };
        Self {
            version: input.version,
            name: plan.name.clone(),
            weather: input.weather.to_vec(),
            weather_shown: input.weather.get(study.middle).cloned().unwrap_or_default(),
            clock: match plan.site.summer_time {
                SummerTime::None => "clock on the wall, standard time all year",
                _ => "clock on the wall, with daylight saving time",
            },
            range_draws: study.draws,
            method: method(study, input.weather.len(), input.made),
            options,
            pairs,
            card_option: name_of(card_way),
            card: card::rows(plan, &study.card_windows(), &study.months),
            set,
            filter: filter(plan, &study.months, input.filter_flow_m3_s),
            brings_kw: study
                .months
                .iter()
                .map(|&month| {
                    let row = study.brings[month]
                        .iter()
                        .map(|kw| kw.is_finite().then_some(*kw))
                        .collect();
                    (MONTHS[month].to_lowercase(), row)
                })
                .collect(),
            currency: plan.prices.currency.clone(),
            cautions: cautions(plan, &given.season, input.units)
                .into_iter()
                .filter(|c| ["electricity", "cover", "scald", "suction"].contains(&c.kind))
                .collect(),
            cautions_note: DEFERENCE,
        }
    }

    /// Writes the object.
    ///
    /// # Errors
    /// [`ReportError`] when it cannot be written.
    pub fn write_json(&self, mut to: impl Write) -> Result<(), ReportError> {
        serde_json::to_writer_pretty(&mut to, self)?;
        to.write_all(b"\n").map_err(serde_json::Error::io)?;
        Ok(())
    }

    /// Writes the card as text, every month on a line of its own or with like ones, and what to beware of.
    ///
    /// # Errors
    /// [`ReportError`] when it cannot be written.
    pub fn write_card_text(&self, mut to: impl Write, units: Units) -> Result<(), ReportError> {
        let mut text = format!("{}: pump and cover, {}\n", self.name, self.clock);
        for line in card::card_lines(&self.card, units, usize::MAX) {
            text += &line;
            text.push('\n');
        }
        for caution in &self.cautions {
            text += &caution.short;
            text.push('\n');
        }
        text += self.cautions_note;
        text.push('\n');
        to.write_all(text.as_bytes())
            .map_err(serde_json::Error::io)?;
        Ok(())
    }

    /// As given.
    fn given(&self) -> Option<&HoursOption> {
        self.options.first()
    }

    /// What is on the card.
    fn on_card(&self) -> Option<&HoursOption> {
        self.option(self.card_option)
    }

    fn option(&self, name: &str) -> Option<&HoursOption> {
        self.options.iter().find(|option| option.name == name)
    }
}

/// How it was found.
fn method(study: &HoursStudy, years: usize, made: bool) -> String {
    let weather = if years == 1 {
        "one weather year".to_owned()
    } else {
        format!("{years} weather years")
    };
    let off = if made {
        "; how far years made from monthly normals lie off real ones is not in them (`swimdays season` has it)"
    } else {
        ""
    };
    format!(
        "Best: most swim days; of equal ones most heat less pump electricity, kWh for kWh. Whole hours; one month after another, start \
         and end of its window moved by up to 2 hours, each time whole seasons, until no move helps: a good timer, not proven the best. \
         Ranges: 10 to 90 % of {} seasons each ({weather}; wind, cover, heater and sun drawn from their stated ranges, the same draws for \
         every way of running, so differences are draw by draw){off}",
        study.draws
    )
}

/// What the filter's own hours move.
fn filter(plan: &Plan, months: &[usize], flow_m3_s: Option<f64>) -> Option<FilterSummary> {
    let pump = plan.pump.as_ref()?;
    let PumpKind::Filter { hours, .. } = &pump.pump.kind else {
        return None;
    };
    let hours_a_day = months
        .iter()
        .map(|&month| 24.0 * swimdays_pump::window_frac(&hours[month], 0.0, 24.0))
        .fold(f64::INFINITY, f64::min);
    if !hours_a_day.is_finite() {
        return None;
    }
    let through_m3_s = flow_m3_s.unwrap_or_else(|| pump.pump.flow_m3_s());
    Some(FilterSummary {
        hours_a_day,
        turnovers_a_day: through_m3_s * 3600.0 * hours_a_day / plan.pool.volume_m3,
        at_least: flow_m3_s.is_none(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_are_written_as_a_scenario_reads_them() {
        let windows = [
            Window {
                start_h: 9.0,
                end_h: 12.5,
            },
            Window {
                start_h: 22.0,
                end_h: 3.0,
            },
        ];
        assert_eq!(written(&windows), "9:00-12:30, 22:00-3:00");
        let read = swimdays_quantity::day_hours(&written(&windows)).expect("hours");
        for (window, hours) in windows.iter().zip(read) {
            assert!((window.start_h - hours.start_h).abs() < 1e-9);
            assert!((window.end_h - hours.end_h).abs() < 1e-9);
        }
    }
}
