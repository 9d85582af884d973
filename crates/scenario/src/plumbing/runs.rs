//! `[plumbing]` and `[[plumbing.run]]`: the pipes between pool, pump and heaters.

use swimdays_properties::materials::TubeMaterial;
use swimdays_pump::hydraulics::{Bend, Fitting, FittingKind, Network, Piece, Tube};
use swimdays_quantity::Kind;

use super::fittings::fittings;
use super::source::head_at_flow;
use crate::document::{Table, Value};
use crate::section::Section;
use crate::walk::{Field, Walk};
use crate::words::words;

/// Where a run belongs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PartWord {
    Suction,
    Supply,
    Return,
    Main,
}

/// A run as written.
#[derive(Clone, Debug)]
pub(crate) struct Run {
    pub(crate) name: String,
    pub(crate) part: PartWord,
    pub(crate) tube: Tube,
    pub(crate) rise_m: Option<f64>,
    /// Highest point above the water.
    pub(crate) high_m: Option<f64>,
    pub(crate) fittings: Vec<Fitting>,
    pub(crate) path: String,
}

/// The valve in the main line.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum ValveWord {
    None,
    Throttle,
    ThreeWay,
}

/// `[plumbing]` as written.
pub(crate) struct Pipes {
    pub(crate) joins_main: Option<bool>,
    pub(crate) outlet_height_m: Option<f64>,
    pub(crate) inlet_depth_m: Option<f64>,
    /// A vacuum breaker at the heaters' highest point.
    pub(crate) breaker: bool,
    pub(crate) valve: Option<ValveWord>,
    pub(crate) valve_open: Option<f64>,
    /// Head, m, at a flow, m³/s.
    pub(crate) filter_drop: Option<(f64, f64)>,
    pub(crate) main_length_m: Option<f64>,
    pub(crate) main_bore_m: Option<f64>,
    pub(crate) runs: Vec<Run>,
}

pub(crate) fn pipes(walk: &mut Walk<'_>, root: &mut Section<'_>) -> Pipes {
    let mut s = root.section(walk, "plumbing");
    let returns = s.word(walk, "returns", &[("pool", false), ("main", true)]);
    let outlet = s.quantity(walk, "outlet_height", Kind::Length, -5.0..=10.0);
    let inlet = s.quantity(walk, "inlet_depth", Kind::Length, 0.0..=5.0);
    let vent = s.word(walk, "vent", &[("none", false), ("breaker", true)]);
    let valves = [
        ("none", ValveWord::None),
        ("throttle", ValveWord::Throttle),
        ("three-way", ValveWord::ThreeWay),
    ];
    let valve = s.word(walk, "valve", &valves);
    let valve_open = s.number(walk, "valve_open", 0.0..=1.0);
    if matches!(valve, Field::Given(ValveWord::None)) {
        s.misplaced(
            walk,
            "valve_open",
            "valve",
            "stands without a valve",
            "take it out, or set valve = \"throttle\"",
        );
    }
    let filter_drop = s.parsed(
        walk,
        "filter_drop",
        "a head or pressure at a flow, such as \"10 ft at 40 gpm\" or \"4 psi at 40 gpm\"",
        head_at_flow,
    );
    if let Field::Given((head_m, flow)) = &filter_drop
        && (*head_m < 0.0 || *flow <= 0.0 || *head_m > 50.0)
    {
        s.wrong(
            walk,
            "filter_drop",
            "is not a drop at a flow",
            "a head from 0 to 160 ft at a flow above 0",
            "read the gauge on a clean filter and the flow it then passes",
        );
    }
    let main_length = s.quantity(walk, "main_length", Kind::Length, 0.1..=500.0);
    let main_bore = s.quantity(walk, "main_bore", Kind::Length, 0.01..=0.2);
    let named = |at: usize, table: &Table| match table.get("name").map(|node| &node.value) {
        Some(Value::Text(name)) => name.clone(),
        _ => (at + 1).to_string(),
    };
    let sections = s.sections(walk, "run", named);
    let runs = sections
        .into_iter()
        .filter_map(|run| one(walk, run))
        .collect();
    let pipes = Pipes {
        joins_main: returns.given(),
        outlet_height_m: outlet.given(),
        inlet_depth_m: inlet.given(),
        breaker: vent.or(false),
        valve: valve.given(),
        valve_open: valve_open.given(),
        filter_drop: filter_drop.given(),
        main_length_m: main_length.given(),
        main_bore_m: main_bore.given(),
        runs,
    };
    s.finish(walk);
    pipes
}

fn one(walk: &mut Walk<'_>, mut s: Section<'_>) -> Option<Run> {
    let name = s.text(walk, "name");
    if name.is_absent() {
        s.missing(
            walk,
            "name",
            "a name in quotes, such as \"supply\"",
            "name the run; the table of pieces and --set call it so",
        );
    }
    let parts = [
        ("suction", PartWord::Suction),
        ("supply", PartWord::Supply),
        ("return", PartWord::Return),
        ("main", PartWord::Main),
    ];
    let part = s.word(walk, "part", &parts);
    if part.is_absent() {
        s.missing(
            walk,
            "part",
            "\"suction\" (pool to pump), \"supply\" (pump or tee to the heaters), \"return\" (heaters back) or \"main\" (the filter line past the heaters)",
            "say where it belongs",
        );
    }
    let length = s.quantity(walk, "length", Kind::Length, 0.0..=1000.0);
    let bore = s.quantity(walk, "bore", Kind::Length, 0.003..=0.2);
    for (key, absent, example) in [
        ("length", length.is_absent(), "\"30 ft\""),
        ("bore", bore.is_absent(), "\"1 in\""),
    ] {
        if absent {
            s.missing(
                walk,
                key,
                &format!("a length, such as {example}"),
                "measure the run; the bore is the inside diameter",
            );
        }
    }
    let material = s.word(
        walk,
        "material",
        &words(&TubeMaterial::ALL, TubeMaterial::name),
    );
    let roughness = s.quantity(walk, "roughness", Kind::Length, 0.0..=0.002);
    let rise = s.quantity(walk, "rise", Kind::Length, -15.0..=15.0);
    let high = s.quantity(walk, "high", Kind::Length, -5.0..=20.0);
    let bore_m = bore.or(0.025);
    let fittings = fittings(walk, &mut s, "fittings", bore_m);
    let material = material.or(TubeMaterial::Polyethylene);
    let run = Run {
        name: name.given().unwrap_or("run").chars().take(24).collect(),
        part: part.given().unwrap_or(PartWord::Supply),
        tube: Tube {
            length_m: length.or(1.0),
            bore_m,
            roughness_m: roughness.or(material.roughness_m()).min(0.09 * bore_m),
            bend: Bend::Straight,
        },
        rise_m: rise.given(),
        high_m: high.given(),
        fittings: fittings.or(Vec::new()),
        path: s.path().to_owned(),
    };
    s.finish(walk);
    Some(run)
}

/// Written rises that miss the height they lead to by more are told of, m.
const MISSED_M: f64 = 0.15;

/// The runs of a part from one height to another, a run without a rise taking what is left.
pub(crate) fn line(
    walk: &mut Walk<'_>,
    mut runs: Vec<Run>,
    from_m: f64,
    to_m: f64,
    leads_to: &str,
) -> Network {
    let written: f64 = runs.iter().filter_map(|r| r.rise_m).sum();
    let rest = to_m - from_m - written;
    if let Some(open) = runs.iter_mut().rev().find(|r| r.rise_m.is_none()) {
        open.rise_m = Some(rest);
    } else if let Some(last) = runs.last_mut() {
        if rest.abs() > MISSED_M {
            let show = |m| walk.units.format_short(Kind::Length, m, 1);
            let key = format!("{}.rise", last.path);
            let value = show(last.rise_m.unwrap_or(0.0) + rest);
            let source = format!(
                "the written rises add up to {}; this leads to {leads_to}",
                show(written)
            );
            walk.assume(key, value, &source);
        }
        last.rise_m = last.rise_m.map(|r| r + rest);
    }
    let mut at = from_m;
    let pieces = runs
        .into_iter()
        .map(|run| {
            let rise_m = run.rise_m.unwrap_or(0.0);
            let high_m = run.high_m.map_or(0.0, |high| (high - at).max(0.0));
            at += rise_m;
            Network::Piece(Piece {
                name: run.name,
                tube: run.tube,
                rise_m,
                high_m,
                fittings: run.fittings,
                open_to_air: false,
            })
        })
        .collect();
    Network::Series(pieces)
}

/// So many of a kind.
pub(crate) fn of(count: u32, kind: FittingKind) -> Fitting {
    Fitting {
        kind,
        count,
        bore_m: None,
    }
}
