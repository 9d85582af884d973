//! Cautions of solar heaters, by kind and place: a board stands in the wind, a deck is dug, a roof is high.

use swimdays_collector::{HeaterSpec, Placement, TubeSpec};
use swimdays_properties::materials::TubeMaterial;
use swimdays_season::{HeaterPlan, Plan, Season};

use super::{COMMON_PRACTICE, Caution, add, shown};
use crate::Units;

/// Above this the usual plastics of tubes and fittings are soft, °C (common practice, no source).
const SOFT_PLASTIC_C: f64 = 60.0;
/// A heater whose middle is this high above the water stands on a roof or a rack, m (our choice).
const HIGH_M: f64 = 2.0;

/// A board or panel: something that stands free and that wind can take.
const fn is_sheet(heater: &HeaterPlan) -> bool {
    matches!(heater.spec, HeaterSpec::Board(_) | HeaterSpec::Panel(_))
}

fn is_high(heater: &HeaterPlan) -> bool {
    is_sheet(heater) && heater.height_above_water_m > HIGH_M
}

/// Below a slab or soil.
const fn is_buried(heater: &HeaterPlan) -> bool {
    matches!(
        &heater.spec,
        HeaterSpec::Deck(d) if !matches!(d.placement, Placement::OnSurface { .. })
    )
}

/// A panel's tube is not described.
const fn tube(spec: &HeaterSpec) -> Option<&TubeSpec> {
    match spec {
        HeaterSpec::Board(b) => Some(&b.tube),
        HeaterSpec::Deck(d) => Some(&d.tube),
        HeaterSpec::Panel(_) => None,
    }
}

const fn is_plastic(material: TubeMaterial) -> bool {
    !matches!(material, TubeMaterial::Copper | TubeMaterial::Epdm)
}

/// What these heaters raise by their kind, place and heat; the most pressing first.
pub(super) fn own(out: &mut Vec<Caution>, plan: &Plan) {
    let any = |which: fn(&HeaterPlan) -> bool| plan.heaters.iter().any(which);
    if any(|h| matches!(&h.spec, HeaterSpec::Board(b) if b.lid.is_some())) {
        add(
            out,
            "glazed_box",
            "Under a clear lid a dry heater softens plastic and can char wood and foam.",
            "A clear lid keeps the heat of a dry or standing heater in. Vent the box when the pump stands for long, keep foam \
             and wood away from the tube, and never leave it shut and dry in the sun.",
            COMMON_PRACTICE,
        );
    }
    if any(is_high) {
        add(
            out,
            "roof",
            "Up high: roof load, falls and lifting; ask who may certify the roof.",
            "A filled heater is heavy and a roof carries a limited load; working up there can kill. Lift it empty and with help, \
             and let the local building authority or an engineer say what the roof holds. A high loop also needs a vacuum \
             breaker, or thin tube flattens when it drains.",
            COMMON_PRACTICE,
        );
    }
    if any(is_sheet) {
        add(
            out,
            "wind",
            "Wind lifts boards and panels: tie or weigh them down as for a roof.",
            "A storm of 100 mph (45 m/s) presses and pulls with about 26 lb on every square foot (1.2 kPa). Tie the board down or \
             weigh it down; the local code for wind loads says how much.",
            "velocity pressure 0.00256 V² psf, ASCE 7; EN 1991-1-4",
        );
    }
    if any(is_buried) {
        add(
            out,
            "digging",
            "Before digging or cutting a slab: have buried power, gas and water lines marked.",
            "A spade or saw that meets a power or gas line kills, and a cut can open the pool's bonding or a slab's steel. Have \
             the lines marked by the local service first, and ask before cutting a slab that carries something.",
            "local call-before-you-dig services; common practice, no source",
        );
    }
}

pub(super) fn softening(out: &mut Vec<Caution>, plan: &Plan, season: &Season, units: Units) {
    let hottest = plan
        .heaters
        .iter()
        .filter(|h| tube(&h.spec).is_some_and(|t| is_plastic(t.material)))
        .filter_map(|h| season.heaters.iter().find(|r| r.name == h.name))
        .map(|r| r.peak_stagnation_c)
        .reduce(f64::max);
    if let Some(hottest) = hottest.filter(|c| *c >= SOFT_PLASTIC_C) {
        add(
            out,
            "softening",
            format!(
                "The dry or standing tube reaches {}: plastic softens.",
                shown(hottest, units)
            ),
            format!(
                "At {} many plastics soften and fittings slip. Clamp them, keep the tube unpressed, and look before each start.",
                shown(hottest, units)
            ),
            COMMON_PRACTICE,
        );
    }
}

/// What goes for heaters of every kind.
pub(super) fn any(out: &mut Vec<Caution>, plan: &Plan, season: &Season, units: Units) {
    let any = |which: fn(&HeaterPlan) -> bool| plan.heaters.iter().any(which);
    let stagnation = season
        .peak_stagnation_c
        .filter(|c| c.is_finite())
        .map_or_else(String::new, |c| {
            format!(" (here up to {})", shown(c, units))
        });
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
    if any(|h| is_sheet(h) && !is_high(h)) {
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
    if any(|h| is_sheet(h) && !is_high(h)) {
        add(
            out,
            "climbing",
            "A board, ladder or tube at the fence is a climbing aid for children.",
            "Barrier codes ask for a clear space along the fence; a board or a coil beside it is a ladder.",
            "local pool barrier codes",
        );
    }
    if any(|h| !is_high(h) && !is_buried(h)) {
        add(
            out,
            "hot_surface",
            "Hot tube on the ground burns bare feet and trips people.",
            "Tube in the sun is as hot as water that scalds. Keep it off paths, or cover it where people walk.",
            COMMON_PRACTICE,
        );
    }
    add(
        out,
        "stagnant_water",
        "Flush warm standing water out gently; no spray.",
        "Legionella grows between 20 and 45 °C in standing water. Let the first water run out below the surface, never \
         through a spray head, and keep the pool disinfected.",
        "public-health advice on warm standing water (secondary copy)",
    );
    if plan.pump.is_some() {
        add(
            out,
            "dry_pump",
            "A pump that runs dry or against a shut valve overheats.",
            "Prime the loop, and never run the pump dry or against a shut valve.",
            COMMON_PRACTICE,
        );
    }
    let copper = any(|h| tube(&h.spec).is_some_and(|t| t.material == TubeMaterial::Copper));
    let (short, text) = if copper {
        (
            "Dose pool chemicals downstream of the heater; copper needs pH above 7.2.",
            "Strong chlorine and acid eat tube and copper, and copper stains the pool. Dose downstream of the heater.",
        )
    } else {
        (
            "Dose pool chemicals downstream of the heater.",
            "Strong chlorine and acid eat tube and fittings. Dose downstream of the heater.",
        )
    };
    add(out, "chemicals", short, text, COMMON_PRACTICE);
}
