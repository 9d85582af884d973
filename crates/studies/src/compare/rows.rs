//! The rows of a comparison: every combination of the scenario's parts, then what anyone can do, then the builder's options.

use swimdays_scenario::Scenario;
use swimdays_season::Plan;

use super::money::{Costs, costs};
use super::variant::{Measure, behind_windbreak, cooler, covered_by_night, measures_of, with_only};
use super::{Outcome, Part};

/// With more parts than this, what anyone can do is tried on the bare pool and on the plan alone.
const MOST_PARTS_WITH_ALL: usize = 3;

const WIND: &str = "windbreak";
const COOL: &str = "1 °C cooler";
/// What the cover by night only is called.
pub(crate) const BY_NIGHT: &str = "cover by night only";

/// What a row is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Some of the scenario's parts; none of them is the bare pool, all are the plan.
    Parts,
    /// The same behind a windbreak.
    Windbreak,
    /// The same for a target one degree lower.
    Cooler,
    /// Both of these.
    WindbreakCooler,
    /// The same with the cover by night only; with no parts, the cover alone by night.
    NightCover,
    /// An option of the builder's, by its place.
    Option(usize),
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// What it is called.
    pub name: String,
    /// What it is.
    pub role: Role,
    /// Which parts it has.
    pub mask: usize,
    /// How many parts it has, of how many.
    pub parts: (usize, usize),
}

impl Row {
    fn new(role: Role, mask: usize, measures: &[Measure], more: &str) -> Self {
        let count = mask.count_ones() as usize;
        let mut names: Vec<&str> = measures
            .iter()
            .enumerate()
            .filter(|(i, _)| mask >> i & 1 == 1)
            .map(|(_, m)| m.name.as_str())
            .collect();
        if names.is_empty() && more.is_empty() {
            names.push("bare pool");
        }
        if !more.is_empty() {
            names.push(more);
        }
        Self {
            name: names.join(" + "),
            role,
            mask,
            parts: (count, measures.len()),
        }
    }

    /// Whether people read it in the short table or in a sentence, so that it must have a range: every combination of the
    /// parts (the fair shares need them), what anyone can do on the bare pool and on the plan, and every option.
    #[must_use]
    pub fn is_read(&self) -> bool {
        let (count, all) = self.parts;
        match self.role {
            Role::Parts | Role::Option(_) | Role::NightCover => true,
            Role::Windbreak | Role::Cooler => count == 0 || count == all,
            Role::WindbreakCooler => false,
        }
    }

    /// What the row costs.
    pub(crate) fn costs(&self, scenario: &Scenario, plan: &Plan, outcome: &Outcome) -> Costs {
        match self.role {
            Role::Option(at) => {
                let option = &scenario.options[at];
                let (own, lives) = (&option.scenario.plan, &option.scenario.lives);
                let costs = costs(own, own, lives, outcome);
                match option.cost {
                    Some(cost) => costs.with("option.cost", Some(cost), option.life_years),
                    None => costs,
                }
            }
            Role::Windbreak | Role::WindbreakCooler => {
                // Nobody said what it costs.
                costs(plan, &scenario.plan, &scenario.lives, outcome).with("windbreak", None, 1.0)
            }
            Role::Parts | Role::Cooler | Role::NightCover => {
                costs(plan, &scenario.plan, &scenario.lives, outcome)
            }
        }
    }
}

/// All rows with their plans; the combinations of the parts stand first, in the order of their masks.
pub(crate) fn rows(scenario: &Scenario, measures: &[Measure]) -> Vec<(Row, Plan)> {
    let plan = &scenario.plan;
    let full = (1_usize << measures.len()) - 1;
    let mut rows: Vec<(Row, Plan)> = (0..=full)
        .map(|mask| {
            let row = Row::new(Role::Parts, mask, measures, "");
            (row, with_only(plan, measures, mask))
        })
        .collect();
    let masks: Vec<usize> = if measures.len() <= MOST_PARTS_WITH_ALL {
        (0..=full).collect()
    } else {
        vec![0, full]
    };
    for mask in masks {
        let base = with_only(plan, measures, mask);
        let both = "windbreak, 1 °C cooler";
        rows.push((
            Row::new(Role::Windbreak, mask, measures, WIND),
            behind_windbreak(&base),
        ));
        rows.push((Row::new(Role::Cooler, mask, measures, COOL), cooler(&base)));
        rows.push((
            Row::new(Role::WindbreakCooler, mask, measures, both),
            cooler(&behind_windbreak(&base)),
        ));
    }
    if let Some(night) = covered_by_night(plan) {
        let cover = measures.iter().position(|m| m.part == Part::Cover);
        let cover = cover.map_or(0, |at| 1_usize << at);
        if full != cover {
            let alone = with_only(&night, measures, cover);
            let mut row = Row::new(Role::NightCover, 0, &[], BY_NIGHT);
            row.parts = (1, measures.len());
            rows.push((row, alone));
        }
        let mut row = Row::new(Role::NightCover, full & !cover, measures, BY_NIGHT);
        row.mask = full;
        row.parts = (measures.len(), measures.len());
        rows.push((row, night));
    }
    for (at, option) in scenario.options.iter().enumerate() {
        let own = &option.scenario.plan;
        let parts = measures_of(own).len();
        rows.push((
            Row {
                name: option.name.clone(),
                role: Role::Option(at),
                mask: 0,
                parts: (parts, parts),
            },
            own.clone(),
        ));
    }
    rows
}
