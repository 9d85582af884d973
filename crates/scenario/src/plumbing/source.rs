//! The pump itself, in `[pump]`: its curve, or what stands on its box, or a class; where it stands.

use swimdays_properties::constants::GRAVITY_M_S2;
use swimdays_pump::hydraulics::{CurvePoint, FlowError, HeadCurve, PumpClass};
use swimdays_quantity::{Kind, QuantityError, parse};

use crate::document::Place;
use crate::section::Section;
use crate::walk::{Field, Walk};
use crate::words::words;

/// What was written of the pump.
pub(crate) struct PumpSource {
    /// Its curve, when anything was written of it.
    pub(crate) curve: Option<HeadCurve>,
    /// Key under which.
    pub(crate) key: &'static str,
    /// Something of it is written, right or wrong.
    pub(crate) written: bool,
    pub(crate) height_m: Option<f64>,
    pub(crate) in_water: Option<bool>,
    pub(crate) low_voltage: Option<bool>,
    pub(crate) place: Place,
    /// `power` was written.
    pub(crate) power_written: bool,
    /// A flow or a bucket test was written.
    pub(crate) measured: bool,
}

const POINT: &str = "points such as [\"25 ft at 0 gpm\", \"18 ft at 10 gpm\", \"0 ft at 25 gpm\"]";

/// `25 ft at 0 gpm`: a head or pressure, m, and a flow, m³/s.
pub(crate) fn head_at_flow(text: &str) -> Result<(f64, f64), QuantityError> {
    /// Head of one pascal of cold water, m.
    const M_PER_PA: f64 = 1.0 / (998.0 * GRAVITY_M_S2);
    let (head, flow) = text.split_once(" at ").ok_or(QuantityError::Unreadable {
        wanted: "a head at a flow",
        allowed: "\"25 ft at 10 gpm\" or \"4 psi at 40 gpm\"",
    })?;
    let head_m = parse(head, Kind::Length)
        .or_else(|error| parse(head, Kind::Pressure).map_or(Err(error), |pa| Ok(pa * M_PER_PA)))?;
    Ok((head_m, parse(flow, Kind::Flow)?))
}

pub(crate) fn pump_source(walk: &mut Walk<'_>, s: &mut Section<'_>) -> PumpSource {
    let points = s.texts(walk, "curve", POINT);
    let head = s.quantity(walk, "shut_off_head", Kind::Length, 0.1..=100.0);
    let free = s.quantity(walk, "free_flow", Kind::Flow, 1e-5..=0.05);
    let class = s.word(walk, "class", &words(&PumpClass::ALL, PumpClass::name));
    let height = s.quantity(walk, "height", Kind::Length, -5.0..=10.0);
    let in_water = s.flag(walk, "in_water");
    let voltage = s.word(walk, "voltage", &[("mains", false), ("low", true)]);
    let written = ["curve", "shut_off_head", "free_flow", "class"]
        .iter()
        .any(|key| s.has(key));
    let clash = s.conflict(walk, "shut_off_head", "curve")
        || s.conflict(walk, "free_flow", "curve")
        || s.conflict(walk, "class", "curve")
        || s.conflict(walk, "class", "shut_off_head")
        || s.conflict(walk, "class", "free_flow");
    let mut refused = |key: &str, error: &FlowError| {
        let (problem, advice) = said(walk, error);
        s.wrong(walk, key, problem, POINT, advice);
        None
    };
    let (key, curve) = match (points, head, free, class) {
        _ if clash => ("curve", None),
        (Field::Given(texts), ..) => {
            let read: Result<Vec<CurvePoint>, QuantityError> = texts
                .iter()
                .map(|t| {
                    head_at_flow(t).map(|(head_m, flow_m3_s)| CurvePoint { flow_m3_s, head_m })
                })
                .collect();
            let curve = match read {
                Ok(points) => match HeadCurve::by_points(&points) {
                    Ok(curve) => Some(curve),
                    Err(error) => refused("curve", &error),
                },
                Err(error) => {
                    s.wrong(walk, "curve", error.to_string(), POINT, error.advice());
                    None
                }
            };
            ("curve", curve)
        }
        (_, Field::Given(head_m), Field::Given(flow), _) => (
            "shut_off_head",
            HeadCurve::by_shut_off_and_free_flow(head_m, flow)
                .map_or_else(|e| refused("shut_off_head", &e), Some),
        ),
        (_, Field::Given(_), Field::Absent, _) => {
            s.missing(
                walk,
                "free_flow",
                "a flow, such as \"1500 gph\"",
                "both numbers stand on the pump's box: the highest lift, and the most it moves with no lift",
            );
            ("shut_off_head", None)
        }
        (_, Field::Absent, Field::Given(_), _) => {
            s.missing(
                walk,
                "shut_off_head",
                "a height, such as \"25 ft\"",
                "both numbers stand on the pump's box: the highest lift, and the most it moves with no lift",
            );
            ("free_flow", None)
        }
        (.., Field::Given(class)) => (
            "class",
            class.curve(0.5).map_or_else(|e| refused("class", &e), Some),
        ),
        _ => ("curve", None),
    };
    PumpSource {
        curve,
        key,
        written,
        height_m: height.given(),
        in_water: in_water.given(),
        low_voltage: voltage.given(),
        place: s.place().clone(),
        power_written: s.has("power"),
        measured: s.has("flow") || s.has("bucket"),
    }
}

/// An error of the flow in the builder's units, and what to do.
pub(crate) fn said(walk: &Walk<'_>, error: &FlowError) -> (String, &'static str) {
    let units = walk.units;
    let flow = |q: f64| units.format_short(Kind::Flow, q, 1);
    let head = |m: f64| units.format_short(Kind::Length, m, 1);
    match error {
        FlowError::Rising {
            flow_m3_s,
            head_m,
            next_flow_m3_s,
            next_head_m,
        } => (
            format!(
                "does not fall: {} at {} and {} at {}",
                head(*head_m),
                flow(*flow_m3_s),
                head(*next_head_m),
                flow(*next_flow_m3_s)
            ),
            "the head must fall as the flow grows, else the pump hunts between two flows; leave out the rising points",
        ),
        FlowError::NoShutOff { flow_m3_s } => (
            format!("begins at {}", flow(*flow_m3_s)),
            "give the head at no flow first (the highest lift), such as \"25 ft at 0 gpm\"",
        ),
        FlowError::TooFewPoints { found } => (
            format!("has {found} point"),
            "give at least two points, the first at no flow",
        ),
        FlowError::OpenBeforeJoin { .. } => (
            error.to_string(),
            "give the heaters a return of their own (plumbing.returns = \"pool\"), or take the opening (plumbing.vent) out",
        ),
        other => (
            other.to_string(),
            "check the pump, the heights and the pieces of the plumbing",
        ),
    }
}
