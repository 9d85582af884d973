//! Cautions of hot, standing, freezing and running-away water.

use swimdays_properties::materials::TubeMaterial;
use swimdays_quantity::{Kind, Units};

use super::{
    COMMON_PRACTICE, Caution, CautionInput, PumpDrive, SCALD_C, SCALD_FAST_C, add, degrees,
};
use crate::tape;

/// A pool that nobody should be in, °C: 104 °F (US Consumer Product Safety Commission, for spas; from memory).
const NEVER_ABOVE_C: f64 = 40.0;
/// A pool too warm to swim hard in, °C (common practice, no source).
const WARM_POOL_C: f64 = 32.0;
/// Standing water in which Legionella grows, °C (public-health advice, secondary copy).
const LEGIONELLA_C: (f64, f64) = (20.0, 45.0);

/// Seconds in a day.
const DAY_S: f64 = 86_400.0;

pub(super) fn scald(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    let parts = [
        ("first water out", i.first_slug_c),
        ("running outlet", i.outlet_c),
        ("standing tube", i.stagnation_c),
    ];
    let hot: Vec<(&str, f64)> = parts
        .into_iter()
        .filter_map(|(what, c)| c.filter(|c| *c >= SCALD_C).map(|c| (what, c)))
        .collect();
    let Some(hottest) = hot.iter().map(|h| h.1).reduce(f64::max) else {
        return;
    };
    let number = hot
        .iter()
        .map(|(what, c)| format!("{what} {}", degrees(*c, units)))
        .collect::<Vec<_>>()
        .join(", ");
    let time = if hottest >= SCALD_FAST_C {
        "burns in seconds"
    } else {
        "burns within minutes"
    };
    let runs = i.first_slug_s.map_or_else(String::new, |s| {
        format!(" The hot water runs for about {s:.0} s after each start.")
    });
    add(
        out,
        "scald",
        number.clone(),
        format!("Scalds: {number}. It {time}, children sooner."),
        format!(
            "Water that stood in the sun {time} ({number}; the limit for tap outlets is {}).{runs} Let the return enter deep, away from \
             people and steps; start the pump before anyone is in the water; keep children from valves and hose ends; never open \
             a joint that is hot.",
            degrees(SCALD_C, units)
        ),
        "US Consumer Product Safety Commission, 120 °F at outlets; ASSE 1016/1017; Moritz & Henriques 1947 (secondary copy)",
    );
}

pub(super) fn cover(out: &mut Vec<Caution>, i: &CautionInput) {
    if !i.cover {
        return;
    }
    add(
        out,
        "cover",
        String::new(),
        "A floating cover carries no one: take it off whole before anyone swims; fence the pool.",
        "A child, a pet or an adult that steps on a floating cover goes under and cannot be seen. Take it off completely before \
         anyone swims, and keep fence and gate in order: it is no safety cover.",
        "ASTM F1346 for what a safety cover must do (from memory); US Consumer Product Safety Commission on drownings",
    );
}

pub(super) fn warm_pool(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    let Some(top) = i.pool_c.filter(|c| *c >= WARM_POOL_C) else {
        return;
    };
    let number = format!("pool {}", degrees(top, units));
    if top >= NEVER_ABOVE_C {
        add(
            out,
            "pool_far_too_hot",
            number,
            format!(
                "The pool reaches {}: too hot for anyone.",
                degrees(top, units)
            ),
            format!(
                "No one should be in water above {}, children and pregnant women in less. Take heater and cover off well below.",
                degrees(NEVER_ABOVE_C, units)
            ),
            "US Consumer Product Safety Commission, advice on hot tubs (from memory)",
        );
    } else {
        add(
            out,
            "warm_pool",
            number,
            format!(
                "The pool reaches {}: no hard swimming, and germs grow.",
                degrees(top, units)
            ),
            "Very warm water tires swimmers, and disinfectant is used up faster. Take heater and cover off, and test the water more often.",
            COMMON_PRACTICE,
        );
    }
}

pub(super) fn soft(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    // The softest of them decides.
    let softest = i
        .materials
        .iter()
        .min_by(|a, b| a.softening_c().total_cmp(&b.softening_c()));
    if let Some((material, hot)) = softest.zip(i.stagnation_c)
        && hot >= material.softening_c()
    {
        let limit = material.softening_c();
        add(
            out,
            "softening",
            format!(
                "standing tube {}, softens at about {}",
                degrees(hot, units),
                degrees(limit, units)
            ),
            format!(
                "Standing in the sun the tube reaches {}: it softens and fittings slip.",
                degrees(hot, units)
            ),
            format!(
                "{} is soft at about {}. Clamp every joint twice, keep the tube free of pressure, shade it or keep water moving, and \
                 look at each joint before a start. The maker's rating decides.",
                capital(material.name()),
                degrees(limit, units)
            ),
            COMMON_PRACTICE,
        );
    }
    if i.lid {
        add(
            out,
            "glazed_box",
            i.stagnation_c.map_or_else(String::new, |c| {
                format!("dry under the lid {}", degrees(c, units))
            }),
            "Under a clear lid a dry heater softens plastic and can char wood and foam.",
            "A clear lid keeps the heat of a dry or standing heater in. Vent the box when the pump stands for long, keep foam and wood \
             away from the tube, and never leave it shut and dry in the sun.",
            COMMON_PRACTICE,
        );
    }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

pub(super) fn shut_in(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    if !i.can_be_shut_in {
        return;
    }
    let number = i.stagnation_c.map_or_else(String::new, |c| {
        format!("standing tube {}", degrees(c, units))
    });
    add(
        out,
        "shut_valves",
        number,
        "Never shut water in a heater that lies in the sun: pressure bursts it.",
        "Water shut in between two valves expands and bursts tube and fittings. Leave one end open to the pool, or fit a relief \
         valve that discharges where no one stands.",
        COMMON_PRACTICE,
    );
}

pub(super) fn siphon(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    let pumped = i.pump != PumpDrive::None;
    let Some(s) = i.siphon.filter(|s| s.drains_to_m > 0.0 || pumped) else {
        return;
    };
    let volume = |m3: f64| units.format(Kind::Volume, m3, if units == Units::Us { 0 } else { 1 });
    let by_itself = (s.drains_to_m > 0.0).then(|| {
        format!(
            "{}{} below the water line, {}",
            if s.joint_unknown { "up to " } else { "" },
            tape(s.drains_to_m, units),
            volume(s.loses_m3)
        )
    });
    let by_pump = i.flow_m3_s.filter(|q| pumped && *q > 0.0).map(|q| {
        // No flow is known to more than two digits.
        let a_day = units.value(Kind::Volume, q * DAY_S);
        let digit = 10_f64.powf(a_day.log10().floor() - 1.0);
        let shown = (a_day / digit).round() * digit;
        let m3 = shown / units.value(Kind::Volume, 1.0);
        let told = units.format(Kind::Volume, m3, usize::from(shown < 10.0));
        format!("a running pump about {told} a day or more")
    });
    let number = by_itself
        .iter()
        .chain(&by_pump)
        .cloned()
        .collect::<Vec<_>>()
        .join("; ");
    let told = if number.is_empty() {
        String::new()
    } else {
        format!(": {number}")
    };
    let hole = s.hole_below_m.map_or_else(String::new, |h| {
        format!(
            " Return: a hole of 1/8 to 3/16 in (3–5 mm) {} below the water line lets air in.",
            tape(h, units)
        )
    });
    let supply = match i.pump {
        PumpDrive::None => "",
        PumpDrive::SubmersibleMains | PumpDrive::SubmersibleLowVoltage => {
            " Supply: the same hole in the pump's hose, inside the pool, stops the siphon when the pump stands; neither it nor the \
             check valve stops a pump that runs."
        }
        PumpDrive::Filter | PumpDrive::Beside => {
            " Supply: no hole there (the pump would draw air) and the check valve lets water out that way: lead it above the water \
             line first, and put a valve at the pool that is shut whenever nobody watches."
        }
    };
    let watch = if pumped {
        " Run the pump by a timer, with somebody near who looks at the level, and keep its inlet high: it cannot empty the pool \
         below that."
    } else {
        ""
    };
    add(
        out,
        "siphon",
        number,
        format!("A hose that slips empties the pool{told}."),
        format!(
            "A joint that slips or bursts drains the pool{told}; an empty shell can float or crack, and the pump runs dry.{hole}\
             {supply} Clamp every joint twice, and stay by at the first run.{watch}"
        ),
        COMMON_PRACTICE,
    );
}

pub(super) fn vacuum(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    let Some(s) = i.siphon.filter(|s| s.top_sucks && !i.top_open) else {
        return;
    };
    let number = format!(
        "{} below the air's at the top",
        units.format(Kind::Pressure, -s.top_pressure_pa, 1)
    );
    let more = if s.breaks {
        " So high, hot water boils off at the top: the pump must lift the whole height at every start."
    } else {
        ""
    };
    add(
        out,
        "vacuum",
        number.clone(),
        format!("The high point is under suction: {number}. Thin tube flattens, leaks draw air."),
        format!(
            "In a full loop that returns below water the top is below the air's pressure ({number}); soft tube flattens.{more} The \
             flow is reckoned with that closed, full loop: take tube at the top that does not flatten, and an air valve worked by \
             hand. {VACUUM_BREAKER}"
        ),
        "hydrostatics; need of a vacuum breaker: trade guides (secondary copy)",
    );
}

/// What a vacuum breaker does to the flow.
pub(crate) const VACUUM_BREAKER: &str = "A vacuum breaker would open there while the pump runs, and the pump would lift to the top \
     all the time, with much less flow: where the local code or the maker asks for one, write vent = \"breaker\" in [plumbing] and run \
     swimdays flow anew before you buy.";

pub(super) fn frost(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    let cold = i.coldest_c.filter(|c| *c < 0.0);
    if cold.is_none() && i.frost_months.is_empty() {
        return;
    }
    let number = cold.map_or_else(
        || format!("{} months with frost", i.frost_months.len()),
        |c| format!("air down to {}", degrees(c, units)),
    );
    let stays = i.drainage.map_or_else(String::new, |d| {
        if d.drains {
            format!(" {}", d.advice)
        } else {
            format!(
                " About {:.0} % of the water may stay. {}",
                100.0 * d.stays_frac,
                d.advice
            )
        }
    });
    add(
        out,
        "frost",
        number.clone(),
        format!("It freezes here ({number}): empty heater, pump and pipes before."),
        format!(
            "Water grows by 9 % as it freezes: rigid pipe, copper, fittings and pumps split; polyethylene and PEX usually live.{stays}"
        ),
        "PPI TR-52 (secondary copy) for polyethylene and PEX",
    );
}

pub(super) fn stagnant(out: &mut Vec<Caution>, units: Units) {
    add(
        out,
        "stagnant_water",
        format!(
            "{} to {}",
            degrees(LEGIONELLA_C.0, units),
            degrees(LEGIONELLA_C.1, units)
        ),
        "Flush warm standing water out gently; no spray.",
        "Legionella grows in warm water that stands. Let the first water run out below the surface, never through a spray head, \
         run the heater every few days, and keep the pool disinfected.",
        "public-health advice on warm standing water (secondary copy)",
    );
}

pub(super) fn backflow(out: &mut Vec<Caution>, i: &CautionInput) {
    if !i.tap_fill {
        return;
    }
    add(
        out,
        "backflow",
        String::new(),
        "Never let a hose from the tap dip into the pool: it can suck pool water back.",
        "When the mains lose pressure, a dipping fill hose sucks pool water into the drinking water. Leave an air gap or fit the \
         back-flow preventer that the local plumbing code names; never join heater and tap by a fixed pipe.",
        COMMON_PRACTICE,
    );
}

pub(super) fn chemicals(out: &mut Vec<Caution>, i: &CautionInput) {
    let (kind, short, text) = if i.materials.contains(&TubeMaterial::Copper) {
        (
            "copper",
            "Copper needs pH above 7.2; dose chemicals downstream of the heater.",
            "Acid and strong chlorine eat copper, and what is dissolved stains pool and hair. Dose downstream of the heater, hold the \
             pH at 7.2–7.8, and let no acid pass the heater.",
        )
    } else {
        (
            "chemicals",
            "Dose pool chemicals downstream of the heater.",
            "Strong chlorine and acid eat tube and fittings. Dose downstream of the heater, and never mix chemicals.",
        )
    };
    add(out, kind, String::new(), short, text, COMMON_PRACTICE);
}
