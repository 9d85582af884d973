//! What can hurt someone while building, filling, running and wintering a heater, by rule from its numbers.
//!
//! Each caution has the number that raised it and its source, or says that it is common practice. None of this certifies
//! anything: local codes and licensed practice decide ([`DEFERENCE`]). Kinds are named as in the season's cautions, so that a
//! page with both can leave one out.

mod place;
pub(crate) mod water;

use swimdays_properties::constants::GRAVITY_M_S2;
use swimdays_properties::materials::TubeMaterial;
use swimdays_quantity::{Kind, Units};

use crate::slope::{Drainage, Siphon};
use crate::weight::Weight;
use crate::wind::{Holding, Span};

/// Said wherever cautions are shown.
pub const DEFERENCE: &str = "Local codes and licensed practice (electrician, plumber, engineer) decide; this certifies nothing.";
/// Mark of a fact of the trade without a source.
pub const COMMON_PRACTICE: &str = "common practice, no source";
/// Water that scalds, °C: 120 °F, the most that tap outlets may give (US Consumer Product Safety Commission; ASSE 1016, 1017).
pub const SCALD_C: f64 = 49.0;
/// Water that scalds in seconds, °C (Moritz & Henriques 1947, secondary copy: 3–5 s).
pub const SCALD_FAST_C: f64 = 60.0;

/// One caution.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// Short stable name.
    pub kind: &'static str,
    /// One line.
    pub short: String,
    /// What can happen, and the usual precaution.
    pub text: String,
    /// Where that is written, or [`COMMON_PRACTICE`].
    pub source: &'static str,
    /// The number that raised it, in words; empty when it always holds.
    pub number: String,
}

/// How the pump is driven.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PumpDrive {
    /// No pump.
    #[default]
    None,
    /// The filter pump, outside the pool.
    Filter,
    /// A pump of its own beside the pool.
    Beside,
    /// A pump in the water on mains voltage.
    SubmersibleMains,
    /// A pump in the water on safety extra-low voltage.
    SubmersibleLowVoltage,
}

/// Where the heater is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Place {
    /// On the ground.
    #[default]
    Ground,
    /// On or near the pool's fence.
    Fence,
    /// On a roof.
    Roof,
    /// Leaning on or hung at the wall of an above-ground pool.
    PoolWall,
    /// On a deck that people walk on.
    Deck,
    /// In a slab or in soil.
    Buried,
}

/// All that the rules look at. What is not known is absent and raises nothing, or the caution without its number.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CautionInput {
    /// Materials of the tubes, of all heaters.
    pub materials: Vec<TubeMaterial>,
    /// Where the heaters are, each place once.
    pub places: Vec<Place>,
    /// The pool stands above the ground on a wall of its own.
    pub pool_above_ground: bool,
    /// A clear lid on any of them.
    pub lid: bool,
    /// A pool cover is used.
    pub cover: bool,
    /// How the pump is driven.
    pub pump: PumpDrive,
    /// A valve, or a thermostat that closes one, can shut the pump's outlet.
    pub can_dead_head: bool,
    /// Both ends of the heater can be shut at once.
    pub can_be_shut_in: bool,
    /// First water after a stop, °C.
    pub first_slug_c: Option<f64>,
    /// How long it runs, s.
    pub first_slug_s: Option<f64>,
    /// Hottest water out of the heater while it runs, °C.
    pub outlet_c: Option<f64>,
    /// Tube at rest or dry in the sun, °C.
    pub stagnation_c: Option<f64>,
    /// Hottest pool, °C.
    pub pool_c: Option<f64>,
    /// Coldest air while water is in the heater, °C.
    pub coldest_c: Option<f64>,
    /// Months with frost in them, 0 January … 11 December.
    pub frost_months: Vec<usize>,
    /// Weights of one board.
    pub weight: Option<Weight>,
    /// Wind on one board and what holds it, with the gust, m/s.
    pub wind: Option<(f64, Holding)>,
    /// Heights and what follows.
    pub siphon: Option<Siphon>,
    /// The plan reckons with an open vent or vacuum breaker at the top; otherwise with a closed, full column.
    pub top_open: bool,
    /// What the pump moves, m³/s.
    pub flow_m3_s: Option<f64>,
    /// What stays when it is drained.
    pub drainage: Option<Drainage>,
    /// Height of the board's upper edge above the ground, m.
    pub upper_edge_m: f64,
    /// Distance from the pool's fence, m.
    pub fence_m: Option<f64>,
    /// A hose from the tap fills the pool or the heater.
    pub tap_fill: bool,
}

impl CautionInput {
    /// A heater stands there.
    #[must_use]
    pub fn at(&self, place: Place) -> bool {
        self.places.contains(&place)
    }

    /// A heater stands in the open, neither in a slab nor on a deck.
    pub(crate) fn stands(&self) -> bool {
        self.places
            .iter()
            .any(|p| !matches!(p, Place::Buried | Place::Deck))
    }
}

/// All that apply, the deadly first.
#[must_use]
pub fn build_cautions(input: &CautionInput, units: Units) -> Vec<Caution> {
    let mut out = Vec::new();
    water::scald(&mut out, input, units);
    place::electricity(&mut out, input);
    place::roof(&mut out, input, units);
    place::digging(&mut out, input);
    place::fence(&mut out, input, units);
    water::cover(&mut out, input);
    water::warm_pool(&mut out, input, units);
    place::suction(&mut out, input);
    water::soft(&mut out, input, units);
    water::shut_in(&mut out, input, units);
    place::wind(&mut out, input, units);
    place::wall(&mut out, input, units);
    place::lifting(&mut out, input, units);
    place::deck(&mut out, input, units);
    water::siphon(&mut out, input, units);
    water::vacuum(&mut out, input, units);
    place::pump(&mut out, input);
    water::frost(&mut out, input, units);
    water::stagnant(&mut out, units);
    water::backflow(&mut out, input);
    water::chemicals(&mut out, input);
    out
}

pub(super) fn add(
    out: &mut Vec<Caution>,
    kind: &'static str,
    number: String,
    short: impl Into<String>,
    text: impl Into<String>,
    source: &'static str,
) {
    out.push(Caution {
        kind,
        short: short.into(),
        text: text.into(),
        source,
        number,
    });
}

/// A temperature in whole degrees.
pub(super) fn degrees(celsius: f64, units: Units) -> String {
    units.format(Kind::Temperature, celsius, 0)
}

/// A range of forces as the weights of as many pounds, to the ten, or in newtons.
#[must_use]
pub fn forces(range: Span, units: Units) -> String {
    ranged(range, |newtons| match units {
        Units::Us => to_the_ten(newtons / GRAVITY_M_S2, units),
        Units::Metric if newtons >= 1e3 => format!("{:.1} kN", newtons / 1e3),
        Units::Metric => format!("{:.0} N", (newtons / 10.0).round() * 10.0),
    })
}

/// A range of masses against the wind.
#[must_use]
pub fn masses(range: Span, units: Units) -> String {
    ranged(range, |kg| to_the_ten(kg, units))
}

/// How many, from one number to another.
#[must_use]
pub fn counts((low, high): (usize, usize)) -> String {
    if low == high {
        low.to_string()
    } else {
        format!("{low} to {high}")
    }
}

/// What is the same at both ends stands once.
fn ranged(range: Span, shown: impl Fn(f64) -> String) -> String {
    let (low, high) = (shown(range.low), shown(range.high));
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}

/// A mass to the ten of its unit: no load of the wind is known more exactly.
fn to_the_ten(kg: f64, units: Units) -> String {
    let one_kg = units.value(Kind::Mass, 1.0);
    let shown = (kg * one_kg / 10.0).round() * 10.0;
    units.format(Kind::Mass, shown / one_kg, 0)
}

/// A load per area.
pub(super) fn load(kg_m2: f64, units: Units) -> String {
    // One pound a square foot is 4.8824 kg/m².
    match units {
        Units::Us => format!("{:.1} lb/ft²", kg_m2 / 4.882_428),
        Units::Metric => format!("{kg_m2:.0} kg/m²"),
    }
}

#[cfg(test)]
mod tests;
