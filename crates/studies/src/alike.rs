//! Plans that differ in nothing that a season depends on.

use swimdays_season::Plan;

/// Plans sorted into kinds: those of one kind have the same season, but for the names in it.
pub(crate) struct Alike {
    /// The first plan of each kind.
    pub(crate) first: Vec<usize>,
    /// The kind of each plan.
    pub(crate) kind: Vec<usize>,
}

impl Alike {
    pub(crate) fn of(plans: &[&Plan]) -> Self {
        let mut known: Vec<String> = Vec::new();
        let mut first = Vec::new();
        let kind = plans
            .iter()
            .enumerate()
            .map(|(at, plan)| {
                let text = physics(plan);
                known.iter().position(|k| *k == text).unwrap_or_else(|| {
                    known.push(text);
                    first.push(at);
                    known.len() - 1
                })
            })
            .collect();
        Self { first, kind }
    }
}

/// All of a plan but names, money and where a value is from, as text: each number as the shortest that leads back to its bits.
fn physics(plan: &Plan) -> String {
    let mut plan = plan.clone();
    plan.name.clear();
    plan.assumptions.clear();
    plan.prices.currency.clear();
    plan.prices.electricity_per_kwh = None;
    plan.prices.gas_per_kwh = None;
    plan.prices.water_per_m3 = None;
    if let Some(cover) = &mut plan.cover {
        cover.cost = None;
    }
    if let Some(pump) = &mut plan.pump {
        pump.cost = None;
    }
    for heater in &mut plan.heaters {
        heater.name.clear();
        heater.cost = None;
    }
    format!("{plan:?}")
}
