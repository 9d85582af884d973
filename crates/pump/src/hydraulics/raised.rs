//! Which warnings an operating point raises.

use super::circuit::Surroundings;
use super::friction::Regime;
use super::operating::{AIR_CARRIED_M_S, Operating, Part, PieceRow};
use super::plumbing::{Leaf, Plumbing};
use super::solve::Flows;
use super::start::{column_needs_pa, slowest_down};
use super::walk::Branch;
use super::warning::Warning;

/// Gauge pressures this little below zero are not worth a word, Pa.
const SLIGHT_PA: f64 = 500.0;

pub(crate) fn warnings(
    plumbing: &Plumbing<'_>,
    flows: &Flows,
    operating: &Operating,
    branches: &[Branch],
    around: &Surroundings,
) -> Vec<Warning> {
    let mut list = Vec::new();
    let start = &operating.start;
    let rows = &operating.pieces;
    let needed_pa = column_needs_pa(around);
    let runs = flows.total_m3_s > 0.0;
    if !runs {
        let shut = plumbing.leaves.iter().find(|l| l.loss.shut);
        if let Some(leaf) = shut.filter(|_| plumbing.valves_shut_it()) {
            list.push(Warning::DeadHeaded {
                piece: leaf.piece.name.clone(),
            });
        } else {
            let lift_m = plumbing
                .leaves
                .iter()
                .filter(|l| l.open)
                .map(Leaf::outlet_m)
                .fold(0.0, f64::max);
            list.push(Warning::CannotLift {
                shut_off_m: plumbing.pump.curve.shut_off_m(),
                lift_m,
            });
        }
    }
    if start.high_point_m > 0.0 && !start.can_start {
        list.push(Warning::CannotStart {
            high_point_m: start.high_point_m,
            available_m: start.available_m,
        });
    }
    if let Some(velocity_m_s) = start.fill_velocity_m_s
        && start.can_start
        && velocity_m_s < AIR_CARRIED_M_S.1
    {
        let piece = slowest_down(plumbing, flows).map_or_else(String::new, |s| s.0);
        list.push(Warning::AirStays {
            piece,
            velocity_m_s,
            needed_m_s: AIR_CARRIED_M_S.1,
        });
    }
    let suction_top_m = plumbing
        .leaves
        .iter()
        .filter(|l| l.part == Part::Suction)
        .map(Leaf::top_m)
        .fold(plumbing.pump_m, f64::max);
    if suction_top_m > 0.0 && !plumbing.pump.self_priming {
        list.push(Warning::RunsDry {
            height_m: suction_top_m,
        });
    }
    let inlet_absolute_pa = around.air_pressure_pa + operating.pump_inlet_gauge_pa;
    if runs && inlet_absolute_pa < needed_pa {
        list.push(Warning::PumpCavitates {
            absolute_pa: inlet_absolute_pa,
            needed_pa,
        });
    }
    if plumbing.pump.curve.beyond(flows.total_m3_s) {
        list.push(Warning::BeyondCurve {
            flow_m3_s: flows.total_m3_s,
            most_m3_s: plumbing.pump.curve.most_m3_s(),
        });
    }
    if let Some(class) = plumbing.pump.curve.class() {
        list.push(Warning::GenericPump {
            class: class.name(),
        });
    }
    open_ends(plumbing, flows, &mut list);
    for (leaf, row) in plumbing.leaves.iter().zip(rows) {
        piece_warnings(leaf, row, runs, needed_pa, &mut list);
    }
    // The tee's own two branches are the start's affair.
    let first = rows.iter().find(|r| r.part == Part::Heater);
    for branch in branches {
        let whole = plumbing.is_tee() && first.is_some_and(|r| r.name == branch.first);
        if runs && branch.part == Part::Heater && !whole && branch.high_m > branch.head_m.max(0.0) {
            list.push(Warning::BranchKeepsAir {
                piece: branch.first.clone(),
                high_point_m: branch.high_m,
                available_m: branch.head_m,
            });
        }
    }
    list
}

fn open_ends(plumbing: &Plumbing<'_>, flows: &Flows, list: &mut Vec<Warning>) {
    for (i, leaf) in plumbing.leaves.iter().enumerate().filter(|(_, l)| l.open) {
        let height_m = leaf.outlet_m();
        list.push(Warning::SiphonLost {
            piece: leaf.piece.name.clone(),
            height_m,
        });
        let behind: f64 = (i + 1..plumbing.leaves.len())
            .take_while(|&j| plumbing.leaves[j].by_weight)
            .map(|j| plumbing.leaves[j].friction(flows.flow_m3_s[j]).0)
            .sum();
        let needed_m = behind / plumbing.weight_pa_m;
        if needed_m > height_m.max(0.0) {
            list.push(Warning::VentSpills {
                piece: leaf.piece.name.clone(),
                height_m,
                needed_m,
            });
        }
    }
}

fn piece_warnings(
    leaf: &Leaf<'_>,
    row: &PieceRow,
    runs: bool,
    needed_pa: f64,
    list: &mut Vec<Warning>,
) {
    let piece = || row.name.clone();
    let moves = row.flow_m3_s.abs() > 0.0;
    if runs && !moves {
        list.push(Warning::StandsStill { piece: piece() });
        return;
    }
    if row.flow_m3_s < 0.0 {
        list.push(Warning::Backwards {
            piece: piece(),
            flow_m3_s: row.flow_m3_s,
        });
    }
    if moves && row.lowest_absolute_pa < needed_pa {
        list.push(Warning::ColumnBreaks {
            piece: piece(),
            absolute_pa: row.lowest_absolute_pa,
            needed_pa,
        });
    } else if moves && row.lowest_gauge_pa < -SLIGHT_PA && row.part != Part::Suction {
        list.push(Warning::BelowAtmospheric {
            piece: piece(),
            height_m: row.high_point_m,
            gauge_pa: row.lowest_gauge_pa,
        });
    }
    if moves && row.regime == Regime::Transition && row.length_m > 0.0 {
        list.push(Warning::Transition {
            piece: piece(),
            reynolds: row.reynolds,
        });
    }
    for limit in &row.limits {
        list.push(Warning::FrictionOutside {
            piece: piece(),
            limit: *limit,
        });
    }
    if leaf.loss.outside {
        list.push(Warning::FittingOutside { piece: piece() });
    }
}
