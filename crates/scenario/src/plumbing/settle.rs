//! The flow where it follows from the pump, or why none comes.

use swimdays_pump::hydraulics::{
    FittingKind, FlowError, Operating, Piece, PumpClass, Valve, Warning,
};
use swimdays_pump::{FlowSource, PumpKind};
use swimdays_quantity::Kind;
use swimdays_season::PumpPlan;

use super::{Hydraulics, PumpSource, of_heaters, source};
use crate::walk::Walk;

/// Flow below which nothing comes through, m³/s.
const NOTHING_M3_S: f64 = 8e-7;

/// Finds the flow where it follows from the pump.
pub(super) fn settle(
    walk: &mut Walk<'_>,
    hydraulics: &mut Hydraulics,
    pump: &mut PumpPlan,
    source: &PumpSource,
) {
    let Some(unit) = &hydraulics.pump else {
        hydraulics.flow_m3_s = pump.pump.flow_m3_s();
        return;
    };
    let found = match Operating::find(&hydraulics.circuit, unit, &hydraulics.around) {
        Ok(found) => found,
        Err(error) => {
            let (problem, advice) = source::said(walk, &error);
            let key = match error {
                FlowError::HeightsDisagree { .. } | FlowError::OpenBeforeJoin { .. } => {
                    "plumbing.returns".to_owned()
                }
                _ => format!("pump.{}", source.key),
            };
            walk.report(&source.place, &key, String::new(), problem, "", advice);
            return;
        }
    };
    if source.measured {
        hydraulics.flow_m3_s = pump.pump.flow_m3_s();
        return;
    }
    hydraulics.flow_m3_s = found.flow_m3_s.max(0.0);
    hydraulics.fault = fault(walk, hydraulics, &found);
    if hydraulics.fault.is_some() {
        return;
    }
    pump.pump.flow = FlowSource::Given {
        flow_m3_s: found.flow_m3_s,
    };
    let units = walk.units;
    let length: f64 = hydraulics
        .circuit
        .heater()
        .pieces()
        .map(|p| p.tube.length_m)
        .sum();
    let from = hydraulics.pump.as_ref().and_then(|p| p.curve.class());
    let what = from.map_or("the pump's curve".to_owned(), |class: PumpClass| {
        format!(
            "a generic {} pump (its range: memory, low confidence)",
            class.name()
        )
    });
    let shown = units.format(Kind::Flow, found.flow_m3_s, 1);
    walk.assume(
        "pump.flow".into(),
        shown,
        &format!(
            "from {what} and {} of tube and pipe: swimdays flow shows how",
            units.format(Kind::Length, length, 0)
        ),
    );
    if let PumpKind::Own { power_w } = &mut pump.pump.kind
        && !source.power_written
    {
        *power_w = found.power.middle_w;
        walk.assumptions.retain(|a| a.key != "pump.power");
        let range = format!(
            "{} W ({} to {} W)",
            found.power.middle_w.round(),
            found.power.low_w.round(),
            found.power.high_w.round()
        );
        let why = if from.is_some() {
            "as such pumps draw (from memory)"
        } else {
            "power in the water over an efficiency of 10 to 20 %: common practice, no source"
        };
        walk.assume("pump.power".into(), range, why);
    }
    walk.assumptions
        .extend(hydraulics.assumptions.iter().cloned());
}

/// Why no water comes through, and what would work.
fn fault(walk: &Walk<'_>, hydraulics: &Hydraulics, found: &Operating) -> Option<String> {
    let units = walk.units;
    let m = |m: f64| units.format(Kind::Length, m, 1);
    let shut = |piece: &&Piece| {
        piece
            .fittings
            .iter()
            .any(|f| matches!(f.kind, FittingKind::Valve { open_frac, .. } if open_frac <= 0.0))
    };
    if found.flow_m3_s < NOTHING_M3_S
        && let Some(piece) = hydraulics.circuit.heater().pieces().find(shut)
    {
        let turned = piece.fittings.iter().any(|f| {
            matches!(f.kind, FittingKind::Valve { valve: Valve::ThreeWaySide, open_frac } if open_frac <= 0.0)
        });
        let (name, how) = if turned {
            (
                "the three-way valve's way to the heaters".to_owned(),
                "Turn it to them: plumbing.valve_open below 1, such as 0.5",
            )
        } else {
            (format!("the valve of {}", piece.name), "Open it")
        };
        return Some(format!(
            "{} is shut: no water comes through the heaters. {}; a pump that runs against a shut valve heats its own water and may burst something",
            name, how
        ));
    }
    for warning in &found.warnings {
        match warning {
            Warning::DeadHeaded { piece } => {
                return Some(format!(
                    "{piece} is shut: no water comes through the heaters. Open its valve; a pump that runs against a shut valve heats its own water and may burst something"
                ));
            }
            Warning::CannotLift {
                shut_off_m, lift_m, ..
            } => {
                return Some(format!(
                    "the pump lifts water {} at most, the open end stands {} above the pool: let the return end below the water, so that a siphon gives the height back, or take a pump that lifts more",
                    m(*shut_off_m),
                    m(*lift_m)
                ));
            }
            _ => {}
        }
    }
    if !hydraulics.can_start(found) {
        return Some(format!(
            "the pump cannot fill the heaters: their highest point is {} above the pool, the head that reaches them lifts water {}. Set them lower, close the valve in the main line further, or take a pump that lifts more than {}",
            m(found.start.high_point_m),
            m(hydraulics.lift_m(found).max(0.0)),
            m(found.start.high_point_m)
        ));
    }
    let needed = found.warnings.iter().find_map(|w| match w {
        Warning::ColumnBreaks {
            piece,
            absolute_pa,
            needed_pa,
        } if of_heaters(found, piece) => Some((piece, *absolute_pa, *needed_pa)),
        _ => None,
    });
    if let Some((piece, absolute_pa, needed_pa)) = needed {
        let pa = |pa: f64| units.format(Kind::Pressure, pa, 1);
        return Some(format!(
            "the column of water breaks in {piece}: a full loop would have {} absolute there, air and steam part it below {}. Set the heaters lower, narrow the return near its end so that it holds the water back, or give up the siphon (plumbing.vent = \"breaker\") with a pump that lifts {}",
            pa(absolute_pa.max(0.0)),
            pa(needed_pa),
            m(found.start.high_point_m)
        ));
    }
    (found.flow_m3_s < NOTHING_M3_S).then(|| {
        "no water comes through the heaters: close the valve in the main line further (plumbing.valve_open lower), so that the filter pump pushes water past it, or open what is shut in the heaters' way".to_owned()
    })
}
