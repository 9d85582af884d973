//! `[[heater]]`: where each stands and what it is.

use std::collections::HashSet;

use swimdays_collector::HeaterSpec;
use swimdays_pool::Surroundings;
use swimdays_quantity::{Kind, compass};
use swimdays_season::{HeaterPlan, Ranged};
use swimdays_solar::Plane;

use crate::board::board;
use crate::deck::{deck, panel};
use crate::document::{Table, Value};
use crate::plumbing::{HeaterPipes, bore_m, heater_pipes};
use crate::pool::ranged;
use crate::section::Section;
use crate::shade::shades;
use crate::site::wind;
use crate::walk::{Field, Usual, Walk};
use crate::words::source;

const PERFORMANCE: Usual<Ranged> = Usual {
    value: Ranged {
        value: 1.0,
        low: 0.85,
        high: 1.1,
    },
    source: source::ESTIMATE,
};
const WIND: &str = "as the pool's surroundings";
const ROOF_WIND: Ranged = Ranged {
    value: 0.70,
    low: 0.50,
    high: 0.90,
};
const SIDE_BY_SIDE: Usual<bool> = Usual {
    value: false,
    source: source::OWN_CHOICE,
};

/// Height of a heater's middle above the water when nothing is said, m: on a roof, and elsewhere.
const ROOF_HEIGHT_M: f64 = 3.0;
const GARDEN_HEIGHT_M: f64 = 0.5;

/// Most characters of a heater's name: it stands in headings and beside numbers.
const LONGEST_NAME: usize = 30;

/// What stands around a heater.
#[derive(Clone, Copy, PartialEq)]
enum Place {
    Like(Surroundings),
    Roof,
}

impl Place {
    const ALL: [(&'static str, Self); 4] = [
        ("open", Self::Like(Surroundings::Open)),
        ("suburban", Self::Like(Surroundings::Suburban)),
        ("sheltered", Self::Like(Surroundings::Sheltered)),
        // Two to three times the wind of a garden: own estimate, no source.
        ("roof", Self::Roof),
    ];

    fn wind(self) -> Ranged {
        match self {
            Self::Like(surroundings) => {
                let span = surroundings.wind_at_water_frac();
                Ranged {
                    value: span.value,
                    low: span.low,
                    high: span.high,
                }
            }
            Self::Roof => ROOF_WIND,
        }
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Kinds {
    Board,
    Deck,
    Panel,
    None,
}

/// All heaters in flow order; those of kind "none" are left out.
pub(crate) fn heaters(
    walk: &mut Walk<'_>,
    root: &mut Section<'_>,
    surroundings: Option<Surroundings>,
    currency: &str,
) -> Vec<(HeaterPlan, HeaterPipes)> {
    let named = |at: usize, table: &Table| match table.get("name").map(|node| &node.value) {
        Some(Value::Text(name)) => name.clone(),
        _ => (at + 1).to_string(),
    };
    let sections = root.sections(walk, "heater", named);
    let mut names = HashSet::new();
    let mut plans: Vec<(HeaterPlan, HeaterPipes)> = Vec::new();
    for (at, mut s) in sections.into_iter().enumerate() {
        let name = name(walk, &mut s, at, &mut names);
        let noted = walk.assumptions.len();
        match heater(walk, &mut s, name, plans.is_empty(), surroundings, currency) {
            Some(plan) => plans.push(plan),
            None => walk.assumptions.truncate(noted),
        }
        s.finish(walk);
    }
    plans
}

fn name(
    walk: &mut Walk<'_>,
    s: &mut Section<'_>,
    at: usize,
    names: &mut HashSet<String>,
) -> String {
    const ALLOWED: &str = "letters, digits, - and _, such as \"board\" or \"roof-2\"";
    let field = s.text(walk, "name");
    if field.is_absent() {
        s.missing(
            walk,
            "name",
            ALLOWED,
            "name the heater; results and --set call it by its name",
        );
    }
    let Field::Given(name) = field else {
        return format!("heater-{}", at + 1);
    };
    let is_plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
    if name.len() > LONGEST_NAME && name.chars().all(is_plain) {
        s.wrong(
            walk,
            "name",
            format!("is {} characters long", name.len()),
            format!("at most {LONGEST_NAME} characters"),
            "choose a shorter name",
        );
    } else if name.is_empty() || !name.chars().all(is_plain) {
        s.wrong(
            walk,
            "name",
            "is no name for a heater",
            ALLOWED,
            "choose a short plain word",
        );
    } else if !names.insert(name.to_owned()) {
        s.wrong(
            walk,
            "name",
            "is the name of another heater",
            "a name used once",
            "choose another name",
        );
    }
    name.to_owned()
}

fn heater(
    walk: &mut Walk<'_>,
    s: &mut Section<'_>,
    name: String,
    is_first: bool,
    surroundings: Option<Surroundings>,
    currency: &str,
) -> Option<(HeaterPlan, HeaterPipes)> {
    let kinds = [
        ("board", Kinds::Board),
        ("deck", Kinds::Deck),
        ("panel", Kinds::Panel),
        ("none", Kinds::None),
    ];
    let kind = s.word(walk, "kind", &kinds);
    if kind.is_absent() {
        s.missing(
            walk,
            "kind",
            "\"board\" (tube on a board), \"deck\" (tube along a deck) or \"panel\" (a bought unglazed panel)",
            "say what kind of heater it is",
        );
    }
    let plane = plane(walk, s, matches!(kind, Field::Given(Kinds::Deck)));
    let place = surroundings.map_or("suburban", Surroundings::name);
    let usual = Usual {
        value: place,
        source: WIND,
    };
    let (wind_frac, place) = wind(walk, s, "wind_at_heater", usual, &Place::wind, &Place::ALL);
    let height = s.quantity(walk, "height", Kind::Length, -5.0..=30.0);
    let usual_height = if place == Some(Place::Roof) {
        ROOF_HEIGHT_M
    } else {
        GARDEN_HEIGHT_M
    };
    let usual_height = Usual {
        value: usual_height,
        source: source::OWN_CHOICE,
    };
    let height_above_water_m = s.or_assume(walk, "height", height, usual_height, |m, units| {
        units.format_short(Kind::Length, *m, 1)
    });
    let performance = s.number(walk, "performance", 0.05..=2.0);
    let range = s.pair(walk, "performance_range", 0.0..=3.0);
    let performance = ranged(walk, s, "performance", performance, range, PERFORMANCE);
    let side_by_side = s.flag(walk, "side_by_side");
    if is_first && matches!(side_by_side, Field::Given(true)) {
        s.wrong(
            walk,
            "side_by_side",
            "has no heater before it",
            "false for the first heater",
            "take it out, or put it into the heater that follows",
        );
    }
    let side_by_side = if is_first {
        side_by_side.or(false)
    } else {
        s.or_assume(
            walk,
            "side_by_side",
            side_by_side,
            SIDE_BY_SIDE,
            |yes, _| yes.to_string(),
        )
    };
    let cost = s.price(walk, "cost", Kind::Money, currency);
    s.read_elsewhere(walk, "life_years");
    let obstructions = shades(walk, s);
    let spec = match kind {
        Field::Given(Kinds::Board) => HeaterSpec::Board(board(walk, s, plane.tilt_deg)),
        Field::Given(Kinds::Deck) => HeaterSpec::Deck(deck(walk, s)),
        Field::Given(Kinds::Panel) => HeaterSpec::Panel(panel(walk, s)),
        // Of what kind it is, is not known: its parts are neither checked nor called unknown.
        _ => {
            for key in ["tube", "board", "deck", "panel", "plumbing"] {
                s.read_elsewhere(walk, key);
            }
            return None;
        }
    };
    let pipes = heater_pipes(walk, s, bore_m(&spec));
    let plan = HeaterPlan {
        name,
        spec,
        plane,
        obstructions,
        wind_frac,
        performance,
        side_by_side,
        height_above_water_m,
        cost: cost.given(),
    };
    Some((plan, pipes))
}

fn plane(walk: &mut Walk<'_>, s: &mut Section<'_>, is_deck: bool) -> Plane {
    const FACING: &str =
        "a compass point or degrees clockwise from true north, such as \"S\" or \"200 deg\"";
    let tilt = s.quantity(walk, "tilt", Kind::Angle, 0.0..=90.0);
    let facing = s.parsed(walk, "facing", FACING, compass);
    if tilt.is_absent() && !is_deck {
        s.missing(
            walk,
            "tilt",
            "an angle from the horizontal, such as \"35 deg\"",
            "measure how steep it stands: 0 deg lies flat, 90 deg stands upright",
        );
    }
    let tilt_deg = if is_deck {
        let flat = Usual {
            value: 0.0,
            source: source::PRACTICE,
        };
        s.or_assume(walk, "tilt", tilt, flat, |deg, _| format!("{deg} deg"))
    } else {
        tilt.or(0.0)
    };
    if facing.is_absent() && tilt_deg > 0.0 {
        s.missing(
            walk,
            "facing",
            FACING,
            "say which way it looks; a compass shows magnetic north, correct for it",
        );
    }
    Plane {
        tilt_deg,
        azimuth_deg: facing.or(180.0),
    }
}
