//! The order of work, with the reason, the number and the caution that belong to each step.

use swimdays_quantity::{Kind, Units};

use crate::caution::water::VACUUM_BREAKER;
use crate::caution::{CautionInput, Place, PumpDrive, counts, masses};
use crate::layout::{BoardLayout, Boards, Pattern, WayOut};
use crate::parts::{PartsList, STUD_SPACING_M};
use crate::slope::DRAINING_FALL;
use crate::{running, tape};

/// One step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What to do.
    pub act: String,
    /// Why, or why in this order.
    pub why: String,
    /// The number that belongs to it, in words; empty when none does.
    pub number: String,
    /// Kinds of the cautions to read before it.
    pub cautions: Vec<&'static str>,
}

/// All steps.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Steps {
    /// Building, in order.
    pub build: Vec<Step>,
    /// First filling and run.
    pub first_run: Vec<Step>,
    /// Before the first frost; empty where it does not freeze.
    pub winter: Vec<Step>,
    /// In spring.
    pub spring: Vec<Step>,
}

fn step(
    act: impl Into<String>,
    why: &str,
    number: impl Into<String>,
    cautions: &[&'static str],
) -> Step {
    Step {
        act: act.into(),
        why: why.into(),
        number: number.into(),
        cautions: cautions.to_vec(),
    }
}

/// The order of work for these boards.
///
/// The order is common practice, no source: what cannot be reached later comes first, nothing heavy is lifted full, power
/// comes last.
#[must_use]
pub fn steps(boards: &Boards, parts: &PartsList, input: &CautionInput, units: Units) -> Steps {
    let mut out = Steps::default();
    if let Some(first) = boards.layouts.first() {
        board_steps(&mut out.build, boards, first, parts, input, units);
    }
    place_steps(&mut out.build, boards, input, units);
    first_run(&mut out.first_run, input, units);
    if input.coldest_c.is_some_and(|c| c < 0.0) || !input.frost_months.is_empty() {
        winter(&mut out, input);
    }
    out
}

/// What to ask before settling where it stands.
fn settle(input: &CautionInput) -> Vec<&'static str> {
    let rules = [
        (input.at(Place::Roof), "roof"),
        (
            input.at(Place::Fence) || input.fence_m.is_some(),
            "climbing",
        ),
        (
            input.at(Place::PoolWall) || input.pool_above_ground,
            "above_ground",
        ),
        (input.at(Place::Buried), "digging"),
        (input.stands(), "wind"),
    ];
    rules
        .into_iter()
        .filter_map(|(holds, kind)| holds.then_some(kind))
        .collect()
}

fn board_steps(
    to: &mut Vec<Step>,
    boards: &Boards,
    first: &BoardLayout,
    parts: &PartsList,
    input: &CautionInput,
    units: Units,
) {
    let board = first.request.board;
    let size = format!(
        "{} × {}",
        tape(board.length_m, units),
        tape(board.width_m, units)
    );
    to.push(step(
        "Settle where the heater stands and ask the local authority about fence, roof and power.",
        "Moving it later costs more than asking now.",
        "",
        &settle(input),
    ));
    to.push(step(
        format!(
            "Cut {} board(s) of {size} and the studs by the cutting plan.",
            boards.layouts.len()
        ),
        "Long pieces first; short ones come out of what is left.",
        format!(
            "{} sheets, {} studs",
            parts.sheet_plan.sheets.len(),
            parts.stud_plan.bars.len()
        ),
        &[],
    ));
    if !parts.stud_pieces.is_empty() {
        to.push(step(
            "Screw the frame to the back of each board.",
            "A bare sheet warps and the wind bends it.",
            format!("cross pieces at most {} apart", tape(STUD_SPACING_M, units)),
            &[],
        ));
    }
    to.push(step(
        "Drill the holes for ties where the drawing has dots.",
        "Once the tube lies there they cannot be reached.",
        format!("{} ties, two holes each", parts.ties),
        &[],
    ));
    if first.request.way_out == WayOut::Behind && first.runs.iter().any(|r| r.crossings > 0) {
        to.push(step(
            "Cut the slot through which the tube goes behind the board where the last ring ends, long enough for its bend.",
            "A tube led through a tight hole kinks.",
            format!("bend radius at least {}", tape(first.least_radius_m, units)),
            &[],
        ));
    }
    to.push(step(
        "Paint the board matt black, edges too, and let it dry.",
        "Paint keeps water out of the wood and takes in the sun between the rings.",
        format!(
            "{} for each coat, {} in all",
            units.format(Kind::Area, parts.painted_m2, 1),
            paint(parts.paint_l, units)
        ),
        &[],
    ));
    let from = match first.request.pattern {
        Pattern::RoundSpiral => {
            "Warm the coil in the sun. Mark the middle and the quarter radii, and lay the tube from outside in"
        }
        Pattern::RectangularSpiral => {
            "Warm the coil in the sun. Mark the four sides, and lay the tube from outside in"
        }
        Pattern::Serpentine { .. } => {
            "Warm the coil in the sun. Mark both ends of every row, and lay row after row"
        }
    };
    to.push(step(
        format!(
            "{from}, tying as you go; check the running length at every third line of the table."
        ),
        "Warm tube bends without kinking, and an error found early is short.",
        format!(
            "{} on the first board; never tighter than {}",
            running(first.laid_m, units),
            tape(first.least_radius_m, units)
        ),
        &["softening"],
    ));
    if first.extra_thickness_m() > 0.0 {
        to.push(step(
            "Lead the tube from the middle straight out over the rings and tie it at each crossing.",
            "It leaves along its own direction: no bend is needed.",
            format!("{} thicker there", tape(first.extra_thickness_m(), units)),
            &["glazed_box"],
        ));
    }
}

fn paint(litres: f64, units: Units) -> String {
    match units {
        Units::Us => units.format(Kind::Volume, litres * 1e-3, 2),
        Units::Metric => format!("{litres:.1} L"),
    }
}

fn place_steps(to: &mut Vec<Step>, boards: &Boards, input: &CautionInput, units: Units) {
    if input.at(Place::Buried) {
        to.push(step(
            "Have lines marked, then dig, bed the tube of the deck in sand and photograph it with a tape beside it.",
            "Whoever digs or drills later must know where it lies.",
            "rows and turns as on the deck's drawing",
            &["digging"],
        ));
    }
    if input.at(Place::Deck) {
        to.push(step(
            "Fasten the tube of the deck row by row where nobody trips over it, or under the boards people walk on.",
            "It is walked on barefoot, and it is hot.",
            "rows and turns as on the deck's drawing",
            &["hot_surface"],
        ));
    }
    if input.stands() && (!boards.layouts.is_empty() || input.wind.is_some()) {
        let number = input.weight.map_or_else(String::new, |w| {
            format!("{} a board, empty", units.format(Kind::Mass, w.dry_kg, 0))
        });
        to.push(step(
            "Carry the boards to their place empty, with help, on a day without wind, and fix them before anyone lets go.",
            "Full they weigh more, and a gust takes a loose board at once.",
            number,
            &["lifting", "wind"],
        ));
        let fixed = input.at(Place::Roof) || input.wind.is_some_and(|(_, h)| !h.on_ground());
        let held = input.wind.map_or_else(String::new, |(_, h)| {
            if fixed {
                format!("{} screws in sound timber a board", counts(h.screws))
            } else {
                format!(
                    "ballast {}, or {} anchors a board, half of them at each edge",
                    masses(h.ballast_kg, units),
                    counts(h.anchors)
                )
            }
        });
        to.push(step(
            if fixed {
                "Fix every board into rafters or masonry as an engineer says; no ballast on a roof."
            } else {
                "Tie or weigh every board down."
            },
            "Wind lifts and tips boards.",
            held,
            &["wind"],
        ));
    }
    to.push(step(
        "Give every run a fall towards its drain, and put the drain at the lowest point.",
        "What falls runs empty before frost, and air leaves upwards.",
        format!("1 in {:.0}", 1.0 / DRAINING_FALL),
        &["frost"],
    ));
    to.push(step(
        "Connect so that water comes in at the lowest or outermost turn and leaves at the highest; clamp each joint twice.",
        "Air rises with the flow and does not stay as a lock.",
        "flush at 1 to 2 ft/s (0.3 to 0.6 m/s)",
        &["siphon", "softening"],
    ));
    if let Some(s) = input.siphon {
        if let Some(hole) = s.hole_below_m {
            let own = matches!(
                input.pump,
                PumpDrive::SubmersibleMains | PumpDrive::SubmersibleLowVoltage
            );
            to.push(step(
                if own {
                    "Drill the anti-siphon hole into the return and into the pump's hose, both inside the pool, or fit siphon breakers."
                } else {
                    "Drill the anti-siphon hole into the return, or fit a siphon breaker."
                },
                "When that hose slips and the pump stands, air comes in there and the pool stops running out. Nothing of this stops \
                 a pump that runs: it empties the pool through a slipped supply hose.",
                format!("{} below the water line", tape(hole, units)),
                &["siphon"],
            ));
        }
        if s.check_valve {
            to.push(step(
                "Fit a check valve behind the pump.",
                "When the pump stops the heater must not run back through it, nor cool the pool at night. It does not keep the pool from \
                 running out at a slipped supply hose.",
                "",
                &["siphon", "shut_valves"],
            ));
        }
        if input.top_open {
            to.push(step(
                "Fit the vent or vacuum breaker that the plan has, at the highest point.",
                "The flow is reckoned with it open: the pump lifts to there, and the water falls from there by its weight.",
                "",
                &[],
            ));
        } else if s.top_sucks {
            to.push(step(
                "Fit an air valve worked by hand at the highest point, shut while the pump runs, on tube that does not flatten.",
                VACUUM_BREAKER,
                format!(
                    "{} below the air's",
                    units.format(Kind::Pressure, -s.top_pressure_pa, 1)
                ),
                &["vacuum"],
            ));
        }
    }
}

fn first_run(to: &mut Vec<Step>, input: &CautionInput, units: Units) {
    if input.pump != PumpDrive::None {
        to.push(step(
            "Let an electrician connect and test power, residual-current device and bonding.",
            "Nothing is switched on before.",
            "",
            &["electricity", "submersible"],
        ));
    }
    to.push(step(
        "Fill slowly in the morning or the evening, valves open, until no more air comes.",
        "A cold heater does not scald, and air leaves.",
        input.weight.map_or_else(String::new, |w| {
            format!(
                "{} a board",
                units.format(
                    Kind::Volume,
                    w.water_m3,
                    if units == Units::Us { 1 } else { 3 }
                )
            )
        }),
        &["dry_pump", "shut_valves", "backflow"],
    ));
    to.push(step(
        "Start the pump with nobody in the water and stay beside it; look at each joint and at the pool's level for an hour.",
        "The first water is the hottest, and a joint that slips does so now.",
        input.first_slug_s.map_or_else(String::new, |s| format!("hot water for about {s:.0} s")),
        &["scald", "siphon", "suction", "stagnant_water"],
    ));
    to.push(step(
        "Measure the flow with a bucket and a watch at the height of the return, and write it down.",
        "All else is reckoned from it, and a falling flow tells of a kink or a clogged filter.",
        "",
        &["hot_surface"],
    ));
}

fn winter(out: &mut Steps, input: &CautionInput) {
    let drains = input.drainage.is_some_and(|d| d.drains);
    out.winter.push(step(
        "Before the first frost switch the pump off at the mains and pull its plug.",
        "Nobody starts it dry in winter.",
        "",
        &["electricity", "frost"],
    ));
    out.winter.push(step(
        if drains {
            "Open the drain below and the vent above and let it run empty."
        } else {
            "Open both ends and blow the tube out at low pressure (under 5 psi, 0.3 bar), or pour it out."
        },
        "Water that stays splits fittings; higher pressure throws loose ends about.",
        input.drainage.map_or_else(String::new, |d| format!("about {:.0} % would stay", 100.0 * d.stays_frac)),
        &["frost", "scald"],
    ));
    out.winter.push(step(
        "Take pump, valves and meters in; leave all valves half open and both ends of the tube covered against animals.",
        "A closed ball valve holds water in its ball and splits.",
        "",
        &["frost"],
    ));
    out.winter.push(step(
        "Check fixings, ballast, ties and anchors, and after each storm again.",
        "Winter storms are the strongest, and an empty board is the lightest.",
        "",
        &["wind"],
    ));
    out.spring.push(step(
        "Look for splits, slipped joints and soft wood; paint bare spots; then fill and start as on the first day.",
        "What broke in winter leaks now.",
        "",
        &["scald", "siphon", "stagnant_water"],
    ));
}
