//! What can hurt someone, raised by the plan and by the numbers of its result.
//!
//! Each caution carries the number that raised it and its source, or says that it is common practice. None of
//! this certifies anything: local codes and licensed practice decide ([`DEFERENCE`]).

mod heater;

use serde::Serialize;
pub use swimdays_build::{COMMON_PRACTICE, SCALD_C};
use swimdays_season::{OtherHeaterKind, Plan, Season, Shell};

use crate::Units;
use crate::words::half;

/// Said wherever cautions are shown.
pub const DEFERENCE: &str = "Local codes and licensed practice decide; this certifies nothing.";
/// A pool that never should be hotter, °C: 104 °F (US Consumer Product Safety Commission, for spas; from memory).
pub const NEVER_ABOVE_C: f64 = 40.0;
/// A pool too warm to swim hard in, °C (common practice, no source).
pub const WARM_POOL_C: f64 = 32.0;

/// One caution.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// Short stable name.
    pub kind: &'static str,
    /// One line.
    pub short: String,
    /// What can happen, and the usual precaution.
    pub text: String,
    /// Where that is written, or [`COMMON_PRACTICE`].
    pub source: &'static str,
}

/// All cautions that apply: first those that this plan and its numbers raise, then those of every pool and heater.
#[must_use]
pub fn cautions(plan: &Plan, season: &Season, units: Units) -> Vec<Caution> {
    let mut out = Vec::new();
    boiling(&mut out, season, units);
    scald(&mut out, season, units);
    warm_pool(&mut out, plan, season, units);
    heater::own(&mut out, plan);
    if matches!(plan.pool.shell, Shell::AboveGround { .. }) {
        above_ground(&mut out);
    }
    if let Some(other) = &plan.other_heater
        && other.kind == OtherHeaterKind::Gas
    {
        gas(&mut out);
    }
    if plan.pump.is_some() || plan.other_heater.is_some() {
        electricity(&mut out, plan);
    }
    if plan.cover.is_some() {
        cover(&mut out);
    }
    if plan.pump.is_some() {
        suction(&mut out);
    }
    // Behind what can kill: a softened tube also has its own note.
    heater::softening(&mut out, plan, season, units);
    if !plan.heaters.is_empty() {
        heater::any(&mut out, plan, season, units);
    }
    frost(&mut out, plan, season, units);
    water_supply(&mut out);
    out
}

fn add(
    out: &mut Vec<Caution>,
    kind: &'static str,
    short: impl Into<String>,
    text: impl Into<String>,
    source: &'static str,
) {
    out.push(Caution {
        kind,
        short: short.into(),
        text: text.into(),
        source,
    });
}

/// A temperature in half degrees with its unit.
fn shown(celsius: f64, units: Units) -> String {
    format!(
        "{} {}",
        half(units.temperature_value(celsius)),
        units.temperature_unit()
    )
}

fn scald(out: &mut Vec<Caution>, season: &Season, units: Units) {
    let slug = season.first_slug.map(|s| s.water_c);
    let hottest = [slug, season.peak_outlet_c, season.peak_stagnation_c]
        .into_iter()
        .flatten()
        .filter(|c| *c >= SCALD_C)
        .reduce(f64::max);
    let Some(hottest) = hottest else { return };
    let limit = shown(SCALD_C, units);
    let which: Vec<String> = [
        ("first water out", slug),
        ("out of the heater", season.peak_outlet_c),
        ("standing tube", season.peak_stagnation_c),
    ]
    .into_iter()
    .filter_map(|(what, c)| {
        c.filter(|c| *c >= SCALD_C)
            .map(|c| format!("{what} {}", shown(c, units)))
    })
    .collect();
    add(
        out,
        "scald",
        format!(
            "Scalds: {}. Return it deep, away from people.",
            which.join(", ")
        ),
        format!(
            "Water that stood in the heater in the sun reaches {}; above {limit} it scalds within minutes, at 60 °C (140 °F) in \
             seconds, children sooner. Let the return enter well below the surface and away from swimmers and steps, start \
             the pump before anyone is in the water, and keep children from every valve and hose end.",
            shown(hottest, units)
        ),
        "US Consumer Product Safety Commission, 120 °F at outlets; ASSE 1016/1017; Moritz & Henriques 1947 (secondary copy)",
    );
}

/// Water at sea level, °C; where the site's pressure boils it sooner, the run says so (`boils`).
const BOILS_AT_SEA_LEVEL_C: f64 = 100.0;

fn boiling(out: &mut Vec<Caution>, season: &Season, units: Units) {
    let hottest = [season.peak_outlet_c, season.peak_stagnation_c]
        .into_iter()
        .flatten()
        .reduce(f64::max);
    let told = season.warnings.iter().any(|w| w.kind == "boils");
    let Some(hottest) = hottest.filter(|c| told || *c >= BOILS_AT_SEA_LEVEL_C) else {
        return;
    };
    add(
        out,
        "boiling",
        "Water boils in the heater: steam, burst hoses. Never stand over the outlet.",
        format!(
            "By its dry heat the heater would reach {}, so water in it boils: steam and boiling water spit from the outlet, hoses \
             slip and burst. Never stand over the outlet or look into it, never open a joint that is hot, do not start the pump \
             onto a hot heater, and change the design: more flow, no lid, a smaller heater, shade while the pump stands.",
            shown(hottest, units)
        ),
        COMMON_PRACTICE,
    );
}

/// `cover`, `cover and heater`: what of the plan brings or keeps heat.
fn heat_keepers(plan: &Plan) -> String {
    let heater = !plan.heaters.is_empty() || plan.other_heater.is_some();
    match (plan.cover.is_some(), heater) {
        (true, true) => "cover and heater",
        (true, false) => "the cover",
        (false, true) => "the heater",
        (false, false) => "",
    }
    .to_owned()
}

fn warm_pool(out: &mut Vec<Caution>, plan: &Plan, season: &Season, units: Units) {
    let top = season.water_max_c;
    let keepers = heat_keepers(plan);
    let (short, text) = if keepers.is_empty() {
        (
            "Shade it.".to_owned(),
            "Shade it or add cool water.".to_owned(),
        )
    } else {
        (
            format!("Take {keepers} off."),
            format!("Take {keepers} off well below."),
        )
    };
    if top >= NEVER_ABOVE_C {
        add(
            out,
            "pool_far_too_hot",
            format!(
                "The pool reaches {}: too hot for anyone. {short}",
                shown(top, units)
            ),
            format!(
                "The pool reaches {}; no one should be in water above {}, children and pregnant women in less. {text}",
                shown(top, units),
                shown(NEVER_ABOVE_C, units)
            ),
            "US Consumer Product Safety Commission, advice on hot tubs (from memory)",
        );
    } else if top >= WARM_POOL_C {
        add(
            out,
            "pool_too_hot",
            format!(
                "The pool reaches {}: tiring to swim in. {short}",
                shown(top, units)
            ),
            format!(
                "The pool reaches {}; above about {} swimming hard can overheat the body, and the water needs more care to \
                 stay clean. {text}",
                shown(top, units),
                shown(WARM_POOL_C, units)
            ),
            COMMON_PRACTICE,
        );
    }
}

fn above_ground(out: &mut Vec<Caution>) {
    add(
        out,
        "pool_walls",
        "The pool's walls carry nothing that leans on them; no board or ladder left to climb in.",
        "The wall of an above-ground pool is held by its water alone: a board, a frame or a person that leans on it can fold it, \
         and the water comes all at once. Let the heater stand on its own feet away from the wall, take ladders away when nobody \
         swims, and leave nothing near that a child can climb.",
        COMMON_PRACTICE,
    );
}

fn gas(out: &mut Vec<Caution>) {
    add(
        out,
        "flue_gas",
        "A gas heater's flue gas kills unnoticed: outdoors or a proper flue, a licensed fitter.",
        "Burnt gas holds carbon monoxide, and leaking gas explodes. A licensed fitter connects and checks gas line, flue and air \
         supply; keep the heater off windows and closed sheds, and nothing that burns near it.",
        "local gas codes; US Consumer Product Safety Commission on carbon monoxide (from memory)",
    );
}

fn electricity(out: &mut Vec<Caution>, plan: &Plan) {
    let what = match (&plan.pump, &plan.other_heater) {
        (Some(_), Some(_)) => "Pump, ordinary heater, timer and cord",
        (None, Some(_)) => "An ordinary heater and its cord",
        _ => "Pump, timer and cord",
    };
    let pump = if plan.pump.is_some() {
        " A mains-powered pump must not stand in water with people in it: use a safety extra-low voltage one or keep it out of \
         reach."
    } else {
        ""
    };
    add(
        out,
        "electricity",
        "Mains power near water kills: GFCI/RCD, bonding, a licensed electrician.",
        format!(
            "{what} near a pool: with a residual-current device (GFCI, RCD), equipotential bonding, distance and drip loops, \
             done by a licensed electrician.{pump}"
        ),
        "NEC article 680; IEC 60364-7-702 (from memory)",
    );
}

fn cover(out: &mut Vec<Caution>) {
    add(
        out,
        "cover",
        "A floating cover carries no one: take it off whole before anyone swims; fence the pool.",
        "A child, a pet or an adult that steps on a floating cover goes under and cannot be seen. Take it off completely before \
         anyone swims, never swim beneath it, and keep fence and gate in order: it is no safety cover.",
        "ASTM F1346 for what a safety cover must do (from memory); US Consumer Product Safety Commission on drownings",
    );
}

fn suction(out: &mut Vec<Caution>) {
    add(
        out,
        "suction",
        "A single suction opening can hold a person under: guarded covers, two openings apart.",
        "Hair or a body can be held by a single suction opening. Use covers made for it, and a skimmer or two openings more than \
         3 ft (0.9 m) apart; never a bare hose end on the suction side.",
        "Virginia Graeme Baker Pool and Spa Safety Act (2007); ANSI/ASME A112.19.8",
    );
}

fn frost(out: &mut Vec<Caution>, plan: &Plan, season: &Season, units: Units) {
    let coldest = match &season.hourly {
        Some(hourly) => hourly.air_c.iter().copied().reduce(f64::min),
        None => season.days.iter().map(|d| d.air_mean_c).reduce(f64::min),
    };
    let freezing = season.ice_peak_kg > 0.0 || coldest.is_some_and(|c| c < 0.0);
    if !freezing {
        return;
    }
    let air = coldest.map_or_else(String::new, |c| {
        format!(" The air falls to {}.", shown(c, units))
    });
    let drain = match (plan.heaters.is_empty(), plan.pump.is_none()) {
        (false, false) => "Drain heater, pump and pipes before.",
        (false, true) => "Drain the heater before.",
        (true, false) => "Drain pump and pipes before.",
        (true, true) => "Winter the pool as its builder says.",
    };
    add(
        out,
        "frost",
        format!("It freezes here.{air} {drain}"),
        format!(
            "Water grows by 9 % as it freezes: what holds it splits, rigid pipe, fittings and shells alike.{air} {drain}"
        ),
        "PPI TR-52 (secondary copy) for polyethylene and PEX",
    );
}

fn water_supply(out: &mut Vec<Caution>) {
    add(
        out,
        "backflow",
        "Never let a hose from the tap dip into the pool: it can suck pool water back.",
        "When the mains lose pressure, a dipping fill hose sucks pool water into the drinking water. Leave an air gap or fit the \
         back-flow preventer that the local plumbing code names.",
        COMMON_PRACTICE,
    );
}
