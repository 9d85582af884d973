//! The plans that are compared: parts of the scenario, measures anyone can take, more or less heater.

use swimdays_collector::HeaterSpec;
use swimdays_pool::CoverKind;
use swimdays_pump::{FlowSource, PumpKind, Window, window_frac};
use swimdays_scenario::OFF_BELOW_TOO_HOT_K;
use swimdays_season::{CoverPlan, Plan, Ranged};

/// More solar heaters than this are counted by kind, so that the combinations stay few.
pub const MOST_HEATERS_APART: usize = 4;

/// What a windbreak leaves of the wind at the water, and where it lies four times out of five.
///
/// Source: Brandle & Finch, *How Windbreaks Work*, University of Nebraska Extension EC 91-1763 (from memory): 5 to 10 heights
/// behind a long barrier 25 to 70 % of the open wind is left. A pool has wind from all sides and a fence rarely stands on all:
/// own estimate from that.
pub const WINDBREAK_LEAVES: Ranged = Ranged {
    value: 0.60,
    low: 0.40,
    high: 0.85,
};

/// One degree less, K.
pub const COOLER_K: f64 = 1.0;

/// A cover by night only: from when to when, wall clock (own choice: the sun is low before and after).
pub const NIGHT: Window = Window {
    start_h: 19.0,
    end_h: 9.0,
};

/// A part of the scenario that can be left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// `cover`, a heater's name, `3 boards`, or `ordinary heater`.
    pub name: String,
    /// What it is.
    pub part: Part,
}

/// Which part of the plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Part {
    /// The cover.
    Cover,
    /// Solar heaters, by their place in the plan.
    Heaters(Vec<usize>),
    /// The ordinary heater.
    OtherHeater,
}

/// The parts of `plan`: its cover, each heater, its ordinary heater.
#[must_use]
pub fn measures_of(plan: &Plan) -> Vec<Measure> {
    let mut all = Vec::new();
    if plan.cover.is_some() {
        all.push(Measure {
            name: "cover".into(),
            part: Part::Cover,
        });
    }
    if plan.heaters.len() > MOST_HEATERS_APART {
        type IsKind = fn(&HeaterSpec) -> bool;
        let kinds: [(&str, IsKind); 3] = [
            ("board", |s| matches!(s, HeaterSpec::Board(_))),
            ("deck", |s| matches!(s, HeaterSpec::Deck(_))),
            ("panel", |s| matches!(s, HeaterSpec::Panel(_))),
        ];
        for (word, is) in kinds {
            let of_kind: Vec<usize> = (0..plan.heaters.len())
                .filter(|at| is(&plan.heaters[*at].spec))
                .collect();
            match of_kind.as_slice() {
                [] => {}
                [one] => all.push(Measure {
                    name: plan.heaters[*one].name.clone(),
                    part: Part::Heaters(of_kind),
                }),
                many => all.push(Measure {
                    name: format!("{} {word}s", many.len()),
                    part: Part::Heaters(of_kind),
                }),
            }
        }
    } else {
        all.extend(plan.heaters.iter().enumerate().map(|(at, heater)| Measure {
            name: heater.name.clone(),
            part: Part::Heaters(vec![at]),
        }));
    }
    if plan.other_heater.is_some() {
        all.push(Measure {
            name: "ordinary heater".into(),
            part: Part::OtherHeater,
        });
    }
    all
}

/// `plan` with only those of `measures` whose bits are set in `mask`. The flow through the heaters stays the plan's.
#[must_use]
pub fn with_only(plan: &Plan, measures: &[Measure], mask: usize) -> Plan {
    let mut out = plan.clone();
    out.cover = None;
    out.other_heater = None;
    let mut kept = vec![false; plan.heaters.len()];
    for (i, measure) in measures.iter().enumerate() {
        if mask >> i & 1 == 0 {
            continue;
        }
        match &measure.part {
            Part::Cover => out.cover.clone_from(&plan.cover),
            Part::OtherHeater => out.other_heater.clone_from(&plan.other_heater),
            Part::Heaters(which) => which.iter().for_each(|at| kept[*at] = true),
        }
    }
    let mut at = 0;
    out.heaters.retain(|_| {
        at += 1;
        kept[at - 1]
    });
    if let Some(first) = out.heaters.first_mut() {
        first.side_by_side = false;
    }
    out
}

/// `plan` behind a windbreak: the wind at the water is less, how much less is uncertain too (independent errors add in
/// quadrature); the heaters' wind and all shade stay.
#[must_use]
pub fn behind_windbreak(plan: &Plan) -> Plan {
    let mut out = plan.clone();
    let wind = plan.pool.wind_at_water_frac;
    let part = |end: f64, value: f64| (end - value).abs() / value.max(1e-9);
    let leaves = WINDBREAK_LEAVES;
    let down = part(wind.low, wind.value).hypot(part(leaves.low, leaves.value));
    let up = part(wind.high, wind.value).hypot(part(leaves.high, leaves.value));
    let value = wind.value * leaves.value;
    out.pool.wind_at_water_frac = Ranged {
        value,
        low: value * (1.0 - down).max(0.0),
        high: value * (1.0 + up),
    };
    out
}

/// `plan` with swimmers who take water [`COOLER_K`] cooler, and an ordinary heater set as much lower.
#[must_use]
pub fn cooler(plan: &Plan) -> Plan {
    let mut out = plan.clone();
    out.swim.target_c -= COOLER_K;
    if let Some(other) = &mut out.other_heater {
        other.setpoint_c -= COOLER_K;
    }
    out
}

/// `plan` with its cover on by [`NIGHT`] only; absent without a cover, or where it lies no more than that already.
#[must_use]
pub fn covered_by_night(plan: &Plan) -> Option<Plan> {
    let day_h = 24.0 - NIGHT.length_h();
    let lies_by_day = |windows: &Vec<Window>| window_frac(windows, NIGHT.end_h, day_h) > 1e-9;
    let mut out = plan.clone();
    let cover = out.cover.as_mut()?;
    if !cover.on.iter().any(lies_by_day) {
        return None;
    }
    for windows in cover.on.iter_mut().filter(|w| lies_by_day(w)) {
        *windows = vec![NIGHT];
    }
    Some(out)
}

/// Area of all solar heaters, m²: boards, decks and panels as they are measured on the ground or the roof.
#[must_use]
pub fn heater_area_m2(plan: &Plan) -> f64 {
    plan.heaters
        .iter()
        .map(|heater| match &heater.spec {
            HeaterSpec::Board(board) => board.board_area_m2,
            HeaterSpec::Deck(deck) => deck.tube.length_m * deck.spacing_m,
            HeaterSpec::Panel(panel) => panel.area_m2,
        })
        .sum()
}

/// `plan` with `factor` times its heaters: like pieces added side by side, each with the flow of the planned one, or less of
/// one piece on the planned flow. Tube and area grow together. A pump of its own draws more as it pushes more.
#[must_use]
pub fn scaled(plan: &Plan, factor: f64) -> Plan {
    let mut out = plan.clone();
    if factor <= 0.0 {
        out.heaters.clear();
        return out;
    }
    let pieces = factor.round().max(1.0);
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole, at least 1, and bounded below"
    )]
    let pieces_u32 = pieces.min(1e4) as u32;
    for heater in &mut out.heaters {
        match &mut heater.spec {
            HeaterSpec::Board(board) => {
                board.board_area_m2 *= factor;
                board.tube.length_m *= factor;
                board.tube.parallel_circuits =
                    board.tube.parallel_circuits.saturating_mul(pieces_u32);
            }
            HeaterSpec::Deck(deck) => {
                deck.tube.length_m *= factor;
                deck.tube.parallel_circuits =
                    deck.tube.parallel_circuits.saturating_mul(pieces_u32);
            }
            HeaterSpec::Panel(panel) => panel.area_m2 *= factor,
        }
    }
    if let Some(pump) = &mut out.pump {
        pump.pump.flow = FlowSource::Given {
            flow_m3_s: pump.pump.flow_m3_s() * pieces,
        };
        match &mut pump.pump.kind {
            PumpKind::Own { power_w } => *power_w *= pieces,
            PumpKind::Filter { extra_power_w, .. } => *extra_power_w *= pieces,
        }
    }
    out
}

/// The cover to try where the plan has none: bubbles, as usual.
#[must_use]
pub fn tried_cover(plan: &Plan) -> CoverPlan {
    CoverPlan {
        off_above_c: Some(plan.swim.too_hot_c - OFF_BELOW_TOO_HOT_K),
        ..CoverPlan::usual(CoverKind::Bubble)
    }
}
