//! Cautions of where things stand: power, roof, fence, wall, deck, ground, and of the pump.

use swimdays_quantity::{Kind, Units};

use super::{
    COMMON_PRACTICE, Caution, CautionInput, Place, PumpDrive, add, counts, degrees, forces, load,
    masses,
};

/// What one person lifts, kg (common practice; NIOSH's lifting equation starts from 23 kg under the best conditions, from memory).
const ONE_PERSON_KG: f64 = 23.0;
/// Clear of climbing aids around a barrier, m (36 in in the US model code, ISPSC 305.2; from memory; others ask for more).
const FENCE_CLEAR_M: f64 = 0.914_4;
/// A fall from here kills, m (US construction rules ask for protection from 6 ft, 29 CFR 1926.501; from memory).
const FALL_M: f64 = 1.8;
/// Surface that burns a bare foot within seconds, °C (ISO 13732-1 for smooth plastics, about 60 °C for a few seconds; from memory).
const HOT_FOOT_C: f64 = 60.0;

pub(super) fn electricity(out: &mut Vec<Caution>, i: &CautionInput) {
    let source = "NEC article 680; IEC 60364-7-702 (from memory)";
    match i.pump {
        PumpDrive::None => return,
        PumpDrive::SubmersibleMains => add(
            out,
            "submersible",
            "mains pump in the water".into(),
            "A mains pump in the water can kill everyone in it: never with people in the pool.",
            "A mains-powered submersible pump must not be in the water with people. Use one of safety extra-low voltage (12/24 V), or put \
             it in a vessel out of reach; unplug it before anyone goes in; a residual-current device (GFCI, RCD) is needed as \
             well and does not replace this.",
            source,
        ),
        PumpDrive::Filter | PumpDrive::Beside | PumpDrive::SubmersibleLowVoltage => {}
    }
    add(
        out,
        "electricity",
        String::new(),
        "Mains power near water kills: GFCI/RCD, bonding, a licensed electrician.",
        "Pump, transformer, timer and cord near a pool: with a residual-current device (GFCI, RCD), equipotential bonding, distance and \
         drip loops, done by a licensed electrician. No extension cord lies where it is wet.",
        source,
    );
}

pub(super) fn suction(out: &mut Vec<Caution>, i: &CautionInput) {
    if i.pump == PumpDrive::None {
        return;
    }
    add(
        out,
        "suction",
        String::new(),
        "A single suction opening can hold a person under: guarded covers, two openings apart.",
        "Hair or a body can be held by a single suction opening. Use covers made for it, and a skimmer or two openings more than \
         3 ft (0.9 m) apart; never a bare hose end on the suction side.",
        "Virginia Graeme Baker Pool and Spa Safety Act (2007); ANSI/ASME A112.19.8",
    );
}

pub(super) fn pump(out: &mut Vec<Caution>, i: &CautionInput) {
    if i.pump == PumpDrive::None {
        return;
    }
    let (number, what) = if i.can_dead_head {
        (
            "its outlet can be shut".to_owned(),
            " Here a valve can shut its outlet: leave a bypass that no valve closes.",
        )
    } else {
        (String::new(), "")
    };
    add(
        out,
        "dry_pump",
        number,
        "A pump that runs dry or against a shut valve overheats.",
        format!(
            "Prime the loop, never run the pump dry or against a shut valve: water in it boils, seals and plastic give way.{what}"
        ),
        COMMON_PRACTICE,
    );
}

pub(super) fn roof(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    if !i.at(Place::Roof) {
        return;
    }
    let number = i.weight.map_or_else(String::new, |w| {
        format!("{} filled", load(w.filled_kg_m2, units))
    });
    let weight = if number.is_empty() {
        String::new()
    } else {
        format!(" ({number}, besides wind and snow)")
    };
    add(
        out,
        "roof",
        number,
        "Up high: roof load, falls and lifting; ask who may certify the roof.",
        format!(
            "A roof carries a limited load{weight}; let the local building authority or an engineer say what it holds. Working up there \
             can kill: fall protection, a footed ladder, no wind, never alone. Lift boards up empty."
        ),
        COMMON_PRACTICE,
    );
}

pub(super) fn digging(out: &mut Vec<Caution>, i: &CautionInput) {
    if !i.at(Place::Buried) {
        return;
    }
    add(
        out,
        "digging",
        String::new(),
        "Before digging or cutting a slab: have buried power, gas and water lines marked.",
        "A spade or saw that meets a power or gas line kills, and a cut can open the pool's bonding or a slab's steel. Have the lines \
         marked by the local service first (in the US: call 811), and ask before cutting a slab that carries something.",
        "local call-before-you-dig services; common practice, no source",
    );
}

pub(super) fn fence(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    let near = i.at(Place::Fence) || i.fence_m.is_some_and(|m| m < FENCE_CLEAR_M);
    if !near {
        return;
    }
    let clear = units.format(Kind::Length, FENCE_CLEAR_M, 1);
    let number = i.fence_m.map_or_else(
        || "at the fence".to_owned(),
        |m| format!("{} from the fence", units.format(Kind::Length, m, 1)),
    );
    add(
        out,
        "climbing",
        number,
        "A board, ladder or tube at the fence is a climbing aid: a child drowns.",
        format!(
            "Barrier codes ask for a clear space along the pool's fence (often {clear} or more, and nothing to step on); board and coil \
             are a ladder. Stand it away, or outside where no child reaches, and ask the local authority."
        ),
        "local pool barrier codes; International Swimming Pool and Spa Code 305 (from memory)",
    );
}

pub(super) fn wind(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    if !i.stands() {
        return;
    }
    let Some((gust, held)) = i.wind else {
        add(
            out,
            "wind",
            String::new(),
            "Wind lifts boards and panels: fix them, or tie or weigh them down on the ground.",
            "On the ground tie or weigh the board down; on a roof or wall fix it into the structure. The local code for wind loads \
             says how much.",
            "velocity pressure, ASCE 7; EN 1991-1-4",
        );
        return;
    };
    let number = format!(
        "{} at {}",
        forces(held.force_n, units),
        units.format(Kind::Speed, gust, 0)
    );
    let hold = if held.on_ground() {
        format!(
            "What holds one board on the ground: {} of ballast, or {} ground anchors, or {} straps, half of them at \
             each edge.",
            masses(held.ballast_kg, units),
            counts(held.anchors),
            counts(held.straps)
        )
    } else {
        format!(
            "On a roof or wall no ballast: {} at each of two edges goes through fixings into rafters or masonry ({} screws \
             in sound timber in all); an engineer says whether the structure takes it.",
            forces(held.edge_n, units),
            counts(held.screws)
        )
    };
    let short = if held.on_ground() {
        format!("Wind: {number} on one board. Tie it or weigh it down.")
    } else {
        format!("Wind: {number} on one board. Fix it into the structure, as an engineer says.")
    };
    add(
        out,
        "wind",
        number.clone(),
        short,
        format!(
            "A gust of that speed presses and lifts with {number}. {hold} Working loads are only customary. Never stand a board up \
             untied, not even for an hour; the local code for wind loads decides."
        ),
        "velocity pressure 0.613 v² Pa, ASCE 7; coefficients ASCE 7 and EN 1991-1-4 (from memory)",
    );
}

pub(super) fn wall(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    if !i.at(Place::PoolWall) && !i.pool_above_ground {
        return;
    }
    let number = i.weight.map_or_else(String::new, |w| {
        format!("{} filled", units.format(Kind::Mass, w.filled_kg, 0))
    });
    add(
        out,
        "above_ground",
        number,
        "Lean and hang nothing on an above-ground pool's wall: it can burst.",
        "The wall of an above-ground pool is thin and under tension; load, wind on a board or a drilled hole can open it, and the water \
         carries people away. Give the board a stand of its own, which is no ladder into the pool either.",
        COMMON_PRACTICE,
    );
}

pub(super) fn lifting(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    let Some(w) = i.weight.filter(|w| w.filled_kg > ONE_PERSON_KG) else {
        return;
    };
    if !i.stands() {
        return;
    }
    let kg = |m: f64| units.format(Kind::Mass, m, 0);
    let number = format!("{} empty, {} filled", kg(w.dry_kg), kg(w.filled_kg));
    let people = crate::whole((w.dry_kg / ONE_PERSON_KG).ceil()).max(2);
    let high = if i.upper_edge_m > FALL_M {
        " Its upper edge is high: falls kill; work from a platform, not from a ladder."
    } else {
        ""
    };
    add(
        out,
        "lifting",
        number.clone(),
        format!("A board weighs {number}: set it up empty, with at least {people} people."),
        format!(
            "Fill the heater only where it stands ({number}); lift it empty, {people} people or more, without wind.{high}"
        ),
        "NIOSH lifting equation: 23 kg at best (from memory)",
    );
}

pub(super) fn deck(out: &mut Vec<Caution>, i: &CautionInput, units: Units) {
    if !i.places.is_empty()
        && i.places
            .iter()
            .all(|p| matches!(p, Place::Roof | Place::Buried))
    {
        return;
    }
    let number = i.stagnation_c.filter(|c| *c >= HOT_FOOT_C);
    if !i.at(Place::Deck) && number.is_none() {
        return;
    }
    add(
        out,
        "hot_surface",
        number.map_or_else(String::new, |c| format!("tube {}", degrees(c, units))),
        "Hot tube burns bare feet and hands, and trips people.",
        "Tube in the sun is as hot as water that scalds. Keep it off paths and play, mark it, or cover it where people walk.",
        "ISO 13732-1 on hot surfaces (from memory)",
    );
}
