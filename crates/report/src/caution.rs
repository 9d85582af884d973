//! What can hurt someone, raised by the plan and by the numbers of its result.
//!
//! Each caution carries the number that raised it and its source, or says that it is common practice. None of
//! this certifies anything: local codes and licensed practice decide ([`DEFERENCE`]).

use serde::Serialize;
use swimdays_collector::HeaterSpec;
use swimdays_season::{Plan, Season};

use crate::Units;
use crate::words::half;

/// Said wherever cautions are shown.
pub const DEFERENCE: &str = "Local codes and licensed practice decide; this certifies nothing.";
/// Mark of a fact of the trade without a source.
pub const COMMON_PRACTICE: &str = "common practice, no source";

/// Water that scalds, °C: 120 °F, the most that tap outlets may give (US Consumer Product Safety Commission;
/// ASSE 1016, 1017, 1062).
pub const SCALD_C: f64 = 49.0;
/// A pool that never should be hotter, °C: 104 °F (US Consumer Product Safety Commission, for spas; from memory).
pub const NEVER_ABOVE_C: f64 = 40.0;
/// A pool too warm to swim hard in, °C (common practice, no source).
pub const WARM_POOL_C: f64 = 32.0;
/// Above this the usual plastics of tubes and fittings are soft, °C (common practice, no source).
const SOFT_PLASTIC_C: f64 = 60.0;
/// A heater whose middle is this high above the water stands on a roof or a rack, m (our choice).
const HIGH_M: f64 = 2.0;

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

/// All cautions that apply, the most pressing first.
#[must_use]
pub fn cautions(plan: &Plan, season: &Season, units: Units) -> Vec<Caution> {
    let mut out = Vec::new();
    scald(&mut out, season, units);
    warm_pool(&mut out, season, units);
    if plan.pump.is_some() {
        electricity(&mut out);
    }
    if plan.cover.is_some() {
        cover(&mut out);
    }
    if plan.pump.is_some() {
        suction(&mut out);
    }
    if !plan.heaters.is_empty() {
        heater(&mut out, plan, season, units);
    }
    frost(&mut out, season, units);
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

fn warm_pool(out: &mut Vec<Caution>, season: &Season, units: Units) {
    let top = season.water_max_c;
    if top >= NEVER_ABOVE_C {
        add(
            out,
            "pool_far_too_hot",
            format!(
                "The pool reaches {}: too hot for anyone. Cover and heater off.",
                shown(top, units)
            ),
            format!(
                "The pool reaches {}; no one should be in water above {}, children and pregnant women in less. Take the \
                 cover off and stop the heater well below.",
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
                "The pool reaches {}: tiring to swim in. Take cover and heater off.",
                shown(top, units)
            ),
            format!(
                "The pool reaches {}; above about {} swimming hard can overheat the body, and the water needs more care to \
                 stay clean. Take the cover off and stop the heater earlier.",
                shown(top, units),
                shown(WARM_POOL_C, units)
            ),
            COMMON_PRACTICE,
        );
    }
}

fn electricity(out: &mut Vec<Caution>) {
    add(
        out,
        "electricity",
        "Mains power near water kills: GFCI/RCD, bonding, a licensed electrician.",
        "Pump, timer and cord near a pool need a residual-current device (GFCI, RCD), equipotential bonding, distance and \
         drip loops, done by a licensed electrician. A mains-powered pump must not stand in water with people in it: use a \
         safety extra-low voltage one or keep it out of reach.",
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

fn heater(out: &mut Vec<Caution>, plan: &Plan, season: &Season, units: Units) {
    let stagnant = season.peak_stagnation_c.unwrap_or(f64::NAN);
    add(
        out,
        "wind",
        "Wind lifts boards: tie or weigh them down as for a roof panel.",
        "A storm of 100 mph (45 m/s) presses and pulls with about 26 lb on every square foot (1.2 kPa). Tie the board down or \
         weigh it down; the local code for wind loads says how much.",
        "velocity pressure 0.00256 V² psf, ASCE 7; EN 1991-1-4",
    );
    let stagnation = if stagnant.is_finite() {
        format!(" (here up to {})", shown(stagnant, units))
    } else {
        String::new()
    };
    add(
        out,
        "shut_valves",
        "Never shut water in a heater that lies in the sun: pressure bursts it.",
        format!(
            "Water shut in between two valves in the sun{stagnation} expands and bursts tube and fittings. Leave one end open to \
             the pool, always."
        ),
        COMMON_PRACTICE,
    );
    if stagnant >= SOFT_PLASTIC_C || season.warnings.iter().any(|w| w.kind == "tube_softens") {
        add(
            out,
            "softening",
            format!(
                "The dry or standing tube reaches {}: plastic softens.",
                shown(stagnant, units)
            ),
            format!(
                "At {} many plastics soften and fittings slip. Clamp them, keep the tube unpressed, and look before each start.",
                shown(stagnant, units)
            ),
            COMMON_PRACTICE,
        );
    }
    let glazed = |spec: &HeaterSpec| matches!(spec, HeaterSpec::Board(b) if b.lid.is_some());
    if plan.heaters.iter().any(|h| glazed(&h.spec)) {
        add(
            out,
            "glazed_box",
            "Under a clear lid a dry heater softens plastic and can char wood and foam.",
            "A clear lid keeps the heat of a dry or standing heater in. Vent the box when the pump stands for long, keep foam \
             and wood away from the tube, and never leave it shut and dry in the sun.",
            COMMON_PRACTICE,
        );
    }
    if plan.heaters.iter().any(|h| h.height_above_water_m > HIGH_M) {
        add(
            out,
            "roof",
            "Up high: roof load, falls and lifting; ask who may certify the roof.",
            "A filled heater is heavy and a roof carries a limited load; working up there can kill. Lift it empty and with help, \
             and let the local building authority or an engineer say what the roof holds. A high loop also needs a vacuum \
             breaker, or thin tube flattens when it drains.",
            COMMON_PRACTICE,
        );
    } else {
        add(
            out,
            "lifting",
            "A filled board is heavy: set it up empty, with help.",
            "Fill the heater only where it will stand; lift it empty and with help.",
            COMMON_PRACTICE,
        );
    }
    add(
        out,
        "siphon",
        "A hose that slips can siphon the pool empty: anti-siphon hole, check valve.",
        "A hose that slips off or bursts below the water level drains the pool. Drill a small hole in the return just below the \
         water line or fit a check valve, clamp every joint, and look at the first run.",
        COMMON_PRACTICE,
    );
    add(
        out,
        "climbing",
        "A board, ladder or tube at the fence is a climbing aid for children.",
        "Barrier codes ask for a clear space along the fence; a board or a coil beside it is a ladder.",
        "local pool barrier codes",
    );
    add(
        out,
        "hot_surface",
        "Hot tube on the ground burns bare feet and trips people.",
        "Tube in the sun is as hot as water that scalds. Keep it off paths, or cover it where people walk.",
        COMMON_PRACTICE,
    );
    add(
        out,
        "stagnant_water",
        "Flush warm standing water out gently; no spray.",
        "Legionella grows between 20 and 45 °C in standing water. Let the first water run out below the surface, never \
         through a spray head, and keep the pool disinfected.",
        "public-health advice on warm standing water (secondary copy)",
    );
    add(
        out,
        "dry_pump",
        "A pump that runs dry or against a shut valve overheats.",
        "Prime the loop, and never run the pump dry or against a shut valve.",
        COMMON_PRACTICE,
    );
    add(
        out,
        "chemicals",
        "Dose pool chemicals downstream of the heater; copper needs pH above 7.2.",
        "Strong chlorine and acid eat tube and copper, and copper stains the pool. Dose downstream of the heater.",
        COMMON_PRACTICE,
    );
}

fn frost(out: &mut Vec<Caution>, season: &Season, units: Units) {
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
    add(
        out,
        "frost",
        format!("It freezes here.{air} Drain heater, pump and pipes before."),
        format!(
            "Water grows by 9 % as it freezes: rigid pipe, copper, fittings and pumps split.{air} Drain everything above the frost \
             line before."
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
