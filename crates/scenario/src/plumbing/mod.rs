//! Plumbing: the pump itself, the runs between, the heaters' tubes, as a circuit that can be solved.
//!
//! What is left out gets a default that is named among [`Hydraulics::assumptions`]; where the flow of the season
//! follows from it, they stand among the plan's as well.

mod builder;
mod fittings;
mod heaters;
mod runs;
mod settle;
mod source;

use swimdays_properties::constants::GRAVITY_M_S2;
use swimdays_pump::hydraulics::{
    Bend, Circuit, Network, Operating, Part, Piece, PumpUnit, Surroundings, Tube, Warning,
};
use swimdays_season::{Assumption, HeaterPlan, PumpPlan};

use crate::section::Section;
use crate::walk::Walk;

pub(crate) use heaters::{HeaterPipes, bore_m, heater_pipes};
pub(crate) use source::{PumpSource, pump_source};

use builder::Builder;
use runs::pipes;
use settle::settle;

/// Water in the loop, °C: a pool in its season.
pub const LOOP_WATER_C: f64 = 25.0;

/// Bore of the joint under a breaker, m: it has no length, so nothing depends on it.
const BREAKER_BORE_M: f64 = 0.025;

/// One heater in the circuit.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct HeaterBranch {
    /// Its name.
    pub name: String,
    /// Its pieces, from the height of the first heater back to it.
    pub network: Network,
    /// Heaters of one number stand side by side; the numbers follow each other in series.
    pub group: usize,
    /// Its highest point above the pool's water, m.
    pub top_m: f64,
}

/// The circuit that the scenario describes.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Hydraulics {
    /// Pool, pump, heaters, pool; without a described pump only the heaters' way.
    pub circuit: Circuit,
    /// The pump, where anything is written of it.
    pub pump: Option<PumpUnit>,
    /// Water and air.
    pub around: Surroundings,
    /// Each heater.
    pub heaters: Vec<HeaterBranch>,
    /// From pump or tee to the heaters.
    pub supply: Network,
    /// From the heaters back; a vacuum breaker stands at its beginning.
    pub back: Network,
    /// Height of the vacuum breaker above the pool's water, m, where the plan has one.
    pub breaker_m: Option<f64>,
    /// Flow measured or said, m³/s.
    pub measured_m3_s: Option<f64>,
    /// Flow that the season takes, m³/s.
    pub flow_m3_s: f64,
    /// A pump for the heaters alone.
    pub own_pump: bool,
    /// The pump stands in the pool's water.
    pub in_water: bool,
    /// Extra-low voltage; `None` where it is not said.
    pub low_voltage: Option<bool>,
    /// What was taken because nothing was said.
    pub assumptions: Vec<Assumption>,
    /// Why no season can be run: no water comes through.
    pub fault: Option<String>,
    /// Height of the first heater, where supply and return meet the heaters, m.
    base_m: f64,
}

impl Hydraulics {
    /// The same circuit with the heaters plumbed in another way.
    #[must_use]
    pub fn circuit_with(&self, heaters: Network) -> Circuit {
        let way = Network::Series(vec![self.supply.clone(), heaters, self.back.clone()]);
        let mut circuit = self.circuit.clone();
        match &mut circuit {
            Circuit::Own { heater, .. } | Circuit::Tee { heater, .. } => *heater = way,
        }
        circuit
    }

    /// The heaters as the scenario plumbs them.
    #[must_use]
    pub fn heaters_as_planned(&self) -> Network {
        planned(&self.heaters)
    }

    /// Head that lifts water into the empty heaters, m above the pool: what [`swimdays_pump::hydraulics::Start`] says
    /// less the head of the main line's speed, which a tee to the side does not give.
    #[must_use]
    pub fn lift_m(&self, found: &Operating) -> f64 {
        let Some(alone) = found.filter_flow_alone_m3_s else {
            return found.start.available_m;
        };
        let speed = found
            .pieces
            .iter()
            .filter(|p| p.part == Part::Before && p.bore_m > 0.0)
            .map(|p| alone / (std::f64::consts::FRAC_PI_4 * p.bore_m * p.bore_m))
            .next_back()
            .unwrap_or(0.0);
        found.start.available_m - speed * speed / (2.0 * GRAVITY_M_S2)
    }

    /// Whether the pump can fill the highest point of the heaters' way.
    #[must_use]
    pub fn can_start(&self, found: &Operating) -> bool {
        found.start.high_point_m <= 0.0
            || (found.start.can_start && self.lift_m(found) > found.start.high_point_m)
    }

    /// Whether it starts and goes on: no column of water breaks in the heaters' way.
    #[must_use]
    pub fn runs(&self, found: &Operating) -> bool {
        self.can_start(found) && !column_breaks(found)
    }

    /// The circuit with a vacuum breaker at the heaters' highest point; `None` where it has one, where the heaters lie
    /// below the water, or where the return joins a line under pressure.
    #[must_use]
    pub fn with_breaker(&self) -> Option<Circuit> {
        let joins = matches!(&self.circuit, Circuit::Tee { after, .. } if !after.is_empty());
        let top_m = heaters_top_m(&self.heaters);
        if self.breaker_m.is_some() || joins || top_m <= 0.0 {
            return None;
        }
        let back = vented(self.back.clone(), self.base_m, top_m);
        let mut circuit = self.circuit.clone();
        match &mut circuit {
            Circuit::Own { heater, .. } | Circuit::Tee { heater, .. } => {
                *heater = Network::Series(vec![self.supply.clone(), planned(&self.heaters), back]);
            }
        }
        Some(circuit)
    }
}

/// The water column breaks in the heaters' way, so that its flow is not that of a closed loop.
fn column_breaks(found: &Operating) -> bool {
    found
        .warnings
        .iter()
        .any(|w| matches!(w, Warning::ColumnBreaks { piece, .. } if of_heaters(found, piece)))
}

fn of_heaters(found: &Operating, piece: &str) -> bool {
    let mut pieces = found.pieces.iter();
    pieces.any(|p| p.name == piece && p.part == Part::Heater)
}

/// Highest point of all heaters, m.
fn heaters_top_m(heaters: &[HeaterBranch]) -> f64 {
    let tops = heaters.iter().map(|h| h.top_m);
    tops.fold(f64::NEG_INFINITY, f64::max)
}

/// A way back that begins with an opening to the air at `top_m`.
fn vented(back: Network, from_m: f64, top_m: f64) -> Network {
    let link = |name: &str, rise_m: f64| {
        let tube = Tube {
            length_m: 0.0,
            bore_m: BREAKER_BORE_M,
            roughness_m: 1.5e-6,
            bend: Bend::Straight,
        };
        Piece::run(name, tube).rising(rise_m)
    };
    let up = Piece {
        open_to_air: true,
        ..link("vacuum breaker", top_m - from_m)
    };
    let down = link("down from the breaker", from_m - top_m);
    Network::Series(vec![up.into(), down.into(), back])
}

fn planned(heaters: &[HeaterBranch]) -> Network {
    let mut groups: Vec<Vec<Network>> = Vec::new();
    for heater in heaters {
        if groups.len() <= heater.group {
            groups.push(Vec::new());
        }
        if let Some(group) = groups.last_mut() {
            group.push(heater.network.clone());
        }
    }
    let mut parts: Vec<Network> = groups
        .into_iter()
        .map(|mut group| {
            if group.len() == 1 {
                group.remove(0)
            } else {
                Network::SideBySide(group)
            }
        })
        .collect();
    if parts.len() == 1 {
        parts.remove(0)
    } else {
        Network::Series(parts)
    }
}

/// Reads `[plumbing]` and builds the circuit; sets the pump's flow and draw where they follow from it.
pub(crate) fn plumbing(
    walk: &mut Walk<'_>,
    root: &mut Section<'_>,
    heaters: &[HeaterPlan],
    own_pipes: &[HeaterPipes],
    pump: Option<&mut PumpPlan>,
    source: &PumpSource,
) -> Option<Hydraulics> {
    let pipes = pipes(walk, root);
    let wrong = !walk.errors.is_empty();
    let pump = pump.filter(|_| !heaters.is_empty())?;
    if wrong || (source.written && source.curve.is_none()) {
        return None;
    }
    // Assumptions go their own way first.
    let plan_assumptions = std::mem::take(&mut walk.assumptions);
    let built = Builder {
        walk,
        pipes,
        pump,
        source,
    }
    .build(heaters, own_pipes);
    let assumptions = std::mem::replace(&mut walk.assumptions, plan_assumptions);
    let mut hydraulics = built?;
    hydraulics.assumptions = assumptions;
    settle(walk, &mut hydraulics, pump, source);
    Some(hydraulics)
}
