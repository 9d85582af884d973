//! How long things last, and what the ordinary heater costs: what a cost for each day needs beside the plan.

use swimdays_collector::HeaterSpec;
use swimdays_pool::CoverKind;
use swimdays_quantity::Kind;
use swimdays_season::{Assumption, CoverPlan, HeaterPlan, OtherHeaterKind, OtherHeaterPlan};

use crate::document::{Table, Value};
use crate::section::Section;
use crate::walk::{Usual, Walk};
use crate::words::source::PRACTICE;

/// Lives that are believed, years.
pub(crate) const BELIEVED_YEARS: std::ops::RangeInclusive<f64> = 0.1..=60.0;

/// A pump's, years (common practice, no source).
const PUMP_YEARS: f64 = 8.0;

/// Years that each thing lasts, after which it is bought or built again.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Lives {
    /// The cover.
    pub cover_years: f64,
    /// Solar heaters in the plan's order.
    pub heater_years: Vec<f64>,
    /// The pump.
    pub pump_years: f64,
    /// The ordinary heater.
    pub other_heater_years: f64,
    /// What the ordinary heater costs.
    pub other_heater_cost: Option<f64>,
    /// What was taken because nothing was said.
    pub assumptions: Vec<Assumption>,
}

/// Sun and chlorine end a bubble cover after three to five summers, foam and sheets last longer; a liquid is used up in the
/// season (common practice, no source).
const fn cover_years(kind: CoverKind) -> f64 {
    match kind {
        CoverKind::Bubble => 4.0,
        CoverKind::Liquid => 1.0,
        _ => 7.0,
    }
}

/// Home-built boards weather sooner than bought panels; tube in a slab lasts as long as the slab, and 20 years are counted
/// (common practice, no source; the US Department of Energy's consumer text says 10 to 20 years for bought ones, from memory).
const fn heater_years(spec: &HeaterSpec) -> f64 {
    match spec {
        HeaterSpec::Board(_) => 10.0,
        HeaterSpec::Panel(_) => 15.0,
        HeaterSpec::Deck(_) => 20.0,
    }
}

/// Common practice, no source.
const fn other_heater_years(kind: OtherHeaterKind) -> f64 {
    match kind {
        OtherHeaterKind::HeatPump => 10.0,
        OtherHeaterKind::Gas | OtherHeaterKind::Electric => 8.0,
    }
}

/// `life_years` of a table; what is taken for it is noted where the thing is there at all.
fn life(walk: &mut Walk<'_>, s: &mut Section<'_>, usual_years: f64, is_there: bool) -> f64 {
    let usual = Usual {
        value: usual_years,
        source: PRACTICE,
    };
    let years = s.number(walk, "life_years", BELIEVED_YEARS);
    if is_there {
        s.or_assume(walk, "life_years", years, usual, |years, _| {
            format!("{years} years")
        })
    } else {
        years.or(usual_years)
    }
}

/// Reads every `life_years`, and `cost` of the ordinary heater.
pub(crate) fn lives(
    walk: &mut Walk<'_>,
    root: &mut Section<'_>,
    (cover, heaters): (Option<&CoverPlan>, &[HeaterPlan]),
    other_heater: Option<&OtherHeaterPlan>,
    has_pump: bool,
    currency: &str,
) -> Lives {
    // Nothing here changes a season: the assumptions go their own way.
    let plan_assumptions = std::mem::take(&mut walk.assumptions);
    let mut pool = root.section(walk, "pool");
    let mut s = pool.section(walk, "cover");
    let kind = cover.map_or(CoverKind::default(), |cover| cover.kind);
    let cover_years = life(walk, &mut s, cover_years(kind), cover.is_some());
    let named = |_: usize, table: &Table| match table.get("name").map(|node| &node.value) {
        Some(Value::Text(name)) => name.clone(),
        _ => String::new(),
    };
    let mut heater_lives = vec![0.0; heaters.len()];
    for mut s in root.sections(walk, "heater", named) {
        let name = s.path().strip_prefix("heater.").map(str::to_owned);
        let at = heaters.iter().position(|h| Some(&h.name) == name.as_ref());
        let usual = at.map_or(PUMP_YEARS, |at| heater_years(&heaters[at].spec));
        let years = life(walk, &mut s, usual, at.is_some());
        if let Some(at) = at {
            heater_lives[at] = years;
        }
    }
    let mut s = root.section(walk, "pump");
    let pump_years = life(walk, &mut s, PUMP_YEARS, has_pump && !heaters.is_empty());
    let mut s = root.section(walk, "other_heater");
    let kind = other_heater.map_or(OtherHeaterKind::Gas, |other| other.kind);
    let other_heater_years = life(
        walk,
        &mut s,
        other_heater_years(kind),
        other_heater.is_some(),
    );
    let other_heater_cost = s.price(walk, "cost", Kind::Money, currency).given();
    let assumptions = std::mem::replace(&mut walk.assumptions, plan_assumptions);
    Lives {
        cover_years,
        heater_years: heater_lives,
        pump_years,
        other_heater_years,
        other_heater_cost,
        assumptions,
    }
}
