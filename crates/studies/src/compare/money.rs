//! What a choice costs to build, to run, and for each swim day that it adds.

use swimdays_pump::PumpKind;
use swimdays_scenario::Lives;
use swimdays_season::{OtherHeaterKind, Plan, Prices};

use super::Outcome;

/// Efficiency of the ordinary heaters that the same heat is priced with: heat per energy bought (common practice, no source).
pub const SAME_HEAT_EFFICIENCY: [(OtherHeaterKind, f64); 3] = [
    (OtherHeaterKind::Electric, 1.0),
    (OtherHeaterKind::HeatPump, 5.0),
    (OtherHeaterKind::Gas, 0.82),
];

/// Energy below which no price is asked for, kWh.
const NO_ENERGY_KWH: f64 = 0.5;

/// Money of a choice, in the scenario's currency; what is not known is absent and named.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Costs {
    /// To build and buy.
    pub build: Option<f64>,
    /// The same over the years that each thing lasts, a year.
    pub build_per_year: Option<f64>,
    /// Energy bought in a year.
    pub running_per_year: Option<f64>,
    /// Keys of costs and prices that are not given.
    pub missing: Vec<String>,
}

/// Something bought: its key, what it costs and how long it lasts.
struct Item {
    key: String,
    cost: Option<f64>,
    years: f64,
}

/// Price of what an ordinary heater buys, for each kWh.
#[must_use]
pub fn price_per_kwh(prices: &Prices, kind: OtherHeaterKind) -> (Option<f64>, &'static str) {
    match kind {
        OtherHeaterKind::Gas => (prices.gas_per_kwh, "prices.gas"),
        OtherHeaterKind::HeatPump | OtherHeaterKind::Electric => {
            (prices.electricity_per_kwh, "prices.electricity")
        }
    }
}

/// What `plan`, with its things lasting as long as in `lives`, costs; `lives.heater_years` are those of `named`, the plan that
/// `plan` was made from. Simple sums: no interest, no inflation.
///
/// `a year = Σ cost / life + energy bought × price`.
#[must_use]
pub fn costs(plan: &Plan, named: &Plan, lives: &Lives, outcome: &Outcome) -> Costs {
    let mut items = Vec::new();
    if let Some(cover) = &plan.cover {
        items.push(Item {
            key: "pool.cover.cost".into(),
            cost: cover.cost,
            years: lives.cover_years,
        });
    }
    for heater in &plan.heaters {
        let at = named.heaters.iter().position(|h| h.name == heater.name);
        let years = at.and_then(|at| lives.heater_years.get(at).copied());
        items.push(Item {
            key: format!("heater.{}.cost", heater.name),
            cost: heater.cost,
            years: years.unwrap_or(1.0),
        });
    }
    if let Some(pump) = plan.pump.as_ref().filter(|_| !plan.heaters.is_empty()) {
        // The filter pump is there anyway.
        let there = matches!(pump.pump.kind, PumpKind::Filter { .. }).then_some(0.0);
        items.push(Item {
            key: "pump.cost".into(),
            cost: pump.cost.or(there),
            years: lives.pump_years,
        });
    }
    if plan.other_heater.is_some() {
        items.push(Item {
            key: "other_heater.cost".into(),
            cost: lives.other_heater_cost,
            years: lives.other_heater_years,
        });
    }
    let mut missing: Vec<String> = items
        .iter()
        .filter(|item| item.cost.is_none())
        .map(|item| item.key.clone())
        .collect();
    let build = items.iter().map(|item| item.cost).sum();
    let build_per_year = items.iter().map(|i| i.cost.map(|c| c / i.years)).sum();
    let mut bought = vec![(
        outcome.pump_kwh,
        (plan.prices.electricity_per_kwh, "prices.electricity"),
    )];
    if let Some(other) = &plan.other_heater {
        let price = price_per_kwh(&plan.prices, other.kind);
        bought.push((outcome.other_heater_bought_kwh, price));
    }
    let mut running = Some(0.0);
    for (kwh, (price, key)) in bought.into_iter().filter(|b| b.0 > NO_ENERGY_KWH) {
        match price {
            Some(price) => running = running.map(|sum: f64| sum + kwh * price),
            None => {
                running = None;
                missing.push(key.to_owned());
            }
        }
    }
    Costs {
        build,
        build_per_year,
        running_per_year: running,
        missing,
    }
}

impl Costs {
    /// With something more that is bought beside the plan.
    #[must_use]
    pub fn with(mut self, key: &str, cost: Option<f64>, years: f64) -> Self {
        if cost.is_none() {
            self.missing.push(key.to_owned());
        }
        self.build = self.build.zip(cost).map(|(a, b)| a + b);
        self.build_per_year = self.build_per_year.zip(cost).map(|(a, b)| a + b / years);
        self
    }

    /// For each swim day gained, of `gained` a year; absent where none is gained or a cost is missing.
    #[must_use]
    pub fn per_gained_day(&self, gained: f64) -> Option<f64> {
        let a_year = self.build_per_year? + self.running_per_year?;
        (gained > 0.0).then(|| a_year / gained)
    }
}

/// Heat from an ordinary heater in place of the sun's.
#[derive(Clone, Debug, PartialEq)]
pub struct SameHeat {
    /// Its kind.
    pub kind: OtherHeaterKind,
    /// Heat per energy bought.
    pub efficiency: f64,
    /// Energy bought in a year, kWh.
    pub bought_kwh: f64,
    /// What that costs; absent without a price.
    pub cost: Option<f64>,
    /// The key of that price.
    pub price_key: &'static str,
}

/// `heat_kwh` a year bought for each kind of ordinary heater; the plan's own keeps its efficiency.
#[must_use]
pub fn same_heat(plan: &Plan, heat_kwh: f64) -> Vec<SameHeat> {
    SAME_HEAT_EFFICIENCY
        .into_iter()
        .map(|(kind, usual)| {
            let own = plan.other_heater.as_ref().filter(|o| o.kind == kind);
            let efficiency = own.map_or(usual, |o| o.efficiency);
            let (price, price_key) = price_per_kwh(&plan.prices, kind);
            let bought_kwh = heat_kwh / efficiency;
            SameHeat {
                kind,
                efficiency,
                bought_kwh,
                cost: price.map(|p| p * bought_kwh),
                price_key,
            }
        })
        .collect()
}
