//! `[heater.board]`: tube on a board.

use std::f64::consts::PI;

use swimdays_collector::{BOND_RANGE_W_M_K, BoardSpec, Layout, LidSpec, TubeSpec};
use swimdays_properties::materials::BoardMaterial;
use swimdays_quantity::{Kind, parse};

use crate::section::Section;
use crate::tube::{BLACK, BOND, EXPOSED_SHAPE, tube};
use crate::walk::{Field, Usual, Walk};
use crate::words::{source, words};

const LAYOUT: Usual<&str> = Usual {
    value: "serpentine",
    source: source::OWN_CHOICE,
};
const BOARD: Usual<&str> = Usual {
    value: "plywood",
    source: source::OWN_CHOICE,
};
const BACK: Usual<&str> = Usual {
    value: "open",
    source: source::OWN_CHOICE,
};
const BACK_INSULATION: Usual<f64> = Usual {
    value: 0.9,
    source: "1 in of rigid foam: own choice, no source",
};
const INNER_DIAMETER: Usual<f64> = Usual {
    value: 0.3,
    source: "tight bends kink plastic tube: common practice, no source",
};
const LID_GAP: Usual<f64> = Usual {
    value: 0.025,
    source: source::PRACTICE,
};

/// Rows that overlap lie this share of the outer diameter apart, unless a distance is given.
const OVERLAP: f64 = 0.8;

#[derive(Clone, Copy)]
enum LayoutWord {
    Round,
    Rectangular,
    Serpentine,
}

/// How far apart the rows lie.
#[derive(Clone, Copy)]
enum Spacing {
    Touching,
    Overlapping,
    Apart(f64),
}

pub(crate) fn board(walk: &mut Walk<'_>, heater: &mut Section<'_>, tilt_deg: f64) -> BoardSpec {
    let tube = tube(walk, heater, true);
    let mut s = heater.section(walk, "board");
    let (board_area_m2, sides) = board_area(walk, &mut s);
    let layout = s.word_or(
        walk,
        "layout",
        &[
            ("round-spiral", LayoutWord::Round),
            ("rectangular-spiral", LayoutWord::Rectangular),
            ("serpentine", LayoutWord::Serpentine),
        ],
        LAYOUT,
    );
    let pitch_m = pitch(walk, &mut s, &tube);
    let circuit_area_m2 = pitch_m * tube.length_m / f64::from(tube.parallel_circuits);
    let inner = s.quantity(walk, "inner_diameter", Kind::Length, 0.05..=5.0);
    let layout = match layout {
        LayoutWord::Serpentine | LayoutWord::Rectangular => {
            s.misplaced(
                walk,
                "inner_diameter",
                "layout",
                "belongs to a round spiral",
                "take it out",
            );
            if matches!(layout, LayoutWord::Serpentine) {
                Layout::Serpentine
            } else {
                Layout::RectangularSpiral
            }
        }
        LayoutWord::Round => {
            let inner_diameter_m =
                s.or_assume(walk, "inner_diameter", inner, INNER_DIAMETER, |m, units| {
                    units.format_short(Kind::Length, *m, 1)
                });
            // A flat spiral of constant pitch covers its ring: length × pitch = π/4 (D_o² − D_i²).
            let outer_diameter_m = (inner_diameter_m.powi(2) + 4.0 / PI * circuit_area_m2).sqrt();
            Layout::RoundSpiral {
                inner_diameter_m,
                outer_diameter_m,
            }
        }
    };
    fits(walk, &s, &tube, pitch_m, board_area_m2, sides, layout);
    let board = s.word_or(
        walk,
        "material",
        &words(&BoardMaterial::ALL, BoardMaterial::name),
        BOARD,
    );
    let thickness = s.quantity(walk, "thickness", Kind::Length, 0.0..=0.2);
    let usual_thickness = match board {
        BoardMaterial::Plywood => 0.012_7,
        BoardMaterial::FoamBoard => 0.025_4,
        BoardMaterial::Metal => 0.000_5,
        BoardMaterial::None => 0.0,
    };
    let board_thickness_m = if board == BoardMaterial::None {
        thickness.or(0.0)
    } else {
        let usual = Usual {
            value: usual_thickness,
            source: source::PRACTICE,
        };
        s.or_assume(walk, "thickness", thickness, usual, |m, units| {
            units.format_small_length(*m, 2)
        })
    };
    let board_absorptance_frac = s.number_or(walk, "absorptance", 0.05..=1.0, BLACK);
    let (low, high) = BOND_RANGE_W_M_K;
    let bond_conductance_w_m_k =
        s.quantity_or(walk, "bond", Kind::LinearConductance, low..=high, BOND);
    let exposed_shape_frac = s.number_or(walk, "exposed_shape", 0.0..=1.0, EXPOSED_SHAPE);
    let (back_exposed, back_insulation_m2_k_w) = back(walk, &mut s);
    let lid = lid(walk, &mut s);
    s.finish(walk);
    BoardSpec {
        tube,
        board_area_m2,
        layout,
        pitch_m,
        board,
        board_thickness_m,
        bond_conductance_w_m_k,
        board_absorptance_frac,
        back_insulation_m2_k_w,
        back_exposed,
        lid,
        exposed_shape_frac,
        tilt_deg,
    }
}

/// Area, and the sides when they were given.
fn board_area(walk: &mut Walk<'_>, s: &mut Section<'_>) -> (f64, Option<(f64, f64)>) {
    let area = s.quantity(walk, "area", Kind::Area, 0.05..=2000.0);
    let length = s.quantity(walk, "length", Kind::Length, 0.1..=100.0);
    let width = s.quantity(walk, "width", Kind::Length, 0.1..=100.0);
    if s.conflict(walk, "area", "length") || s.conflict(walk, "area", "width") {
        return (area.or(3.0), None);
    }
    match (area, length, width) {
        (Field::Given(area), ..) => (area, s.sides("area")),
        (Field::Absent, Field::Given(length), Field::Given(width)) => {
            (length * width, Some((length, width)))
        }
        (Field::Absent, Field::Absent, Field::Absent) => {
            s.missing(
                walk,
                "area",
                "an area, such as \"32 ft2\" or \"4 ft x 8 ft\"; or length and width",
                "measure the board",
            );
            (3.0, None)
        }
        (Field::Absent, Field::Given(_), Field::Absent) => {
            s.missing(
                walk,
                "width",
                "a length, such as \"4 ft\"",
                "give the width as well",
            );
            (3.0, None)
        }
        (Field::Absent, Field::Absent, Field::Given(_)) => {
            s.missing(
                walk,
                "length",
                "a length, such as \"8 ft\"",
                "give the length as well",
            );
            (3.0, None)
        }
        _ => (3.0, None),
    }
}

fn pitch(walk: &mut Walk<'_>, s: &mut Section<'_>, tube: &TubeSpec) -> f64 {
    let words = "\"touching\" or \"overlapping\"";
    let field = s.read_or_word(
        walk,
        "spacing",
        Kind::Length,
        Some(words),
        |text| match text.trim() {
            "touching" => Ok(Spacing::Touching),
            "overlapping" => Ok(Spacing::Overlapping),
            other => parse(other, Kind::Length).map(Spacing::Apart),
        },
    );
    let outer = tube.outer_diameter_m;
    let (least, most) = (0.4 * outer, 1.0);
    if let Field::Given(Spacing::Apart(apart)) = field
        && !(least..=most).contains(&apart)
    {
        let allowed = format!(
            "{} from middle to middle, {words}",
            walk.units.format_range(Kind::Length, least, most)
        );
        s.wrong(
            walk,
            "spacing",
            "is outside what is plausible",
            allowed,
            "measure from the middle of one row to the middle of the next",
        );
        return outer;
    }
    let usual = Usual {
        value: Spacing::Touching,
        source: source::OWN_CHOICE,
    };
    match s.or_assume(walk, "spacing", field, usual, |_, _| "touching".into()) {
        Spacing::Touching => outer,
        Spacing::Overlapping => OVERLAP * outer,
        Spacing::Apart(apart) => apart,
    }
}

/// Whether the tube has room on the board.
fn fits(
    walk: &mut Walk<'_>,
    s: &Section<'_>,
    tube: &TubeSpec,
    pitch_m: f64,
    board_area_m2: f64,
    sides: Option<(f64, f64)>,
    layout: Layout,
) {
    /// What a tape measure cannot tell.
    const SLACK: f64 = 1.005;
    /// Rows at the rim of a spiral may stick out half a pitch.
    const RIM: f64 = 1.02;
    let key = if s.has("area") { "area" } else { "length" };
    if !s.has(key) {
        return;
    }
    let needed = pitch_m * tube.length_m;
    if needed > board_area_m2 * SLACK {
        let units = walk.units;
        let problem = format!(
            "is too small for the tube: {} laid {} apart cover {}",
            units.format_short(Kind::Length, tube.length_m, 1),
            units.format_small_length(pitch_m, 2),
            units.format_short(Kind::Area, needed, 1)
        );
        s.wrong(
            walk,
            key,
            problem,
            "a board that holds the tube",
            "take a larger board, less tube, or rows that overlap",
        );
        return;
    }
    if let (
        Layout::RoundSpiral {
            outer_diameter_m, ..
        },
        Some((length, width)),
        1,
    ) = (layout, sides, tube.parallel_circuits)
        && outer_diameter_m > length.min(width) * RIM
    {
        let units = walk.units;
        let problem = format!(
            "leaves no room for the spiral, which is {} across",
            units.format_short(Kind::Length, outer_diameter_m, 2)
        );
        s.wrong(
            walk,
            match key {
                "area" => "area",
                _ if length < width => "length",
                _ => "width",
            },
            problem,
            "a side at least as long as the spiral is wide",
            "take a wider board, less tube, several circuits, or layout = \"rectangular-spiral\"",
        );
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Back {
    Open,
    Insulated,
    Lying,
}

fn back(walk: &mut Walk<'_>, s: &mut Section<'_>) -> (bool, f64) {
    let backs = [
        ("open", Back::Open),
        ("insulated", Back::Insulated),
        ("lying", Back::Lying),
    ];
    let back = s.word_or(walk, "back", &backs, BACK);
    let insulation = s.quantity(walk, "back_insulation", Kind::Resistance, 0.0..=20.0);
    if back == Back::Insulated {
        let value = s.or_assume(
            walk,
            "back_insulation",
            insulation,
            BACK_INSULATION,
            |r, units| units.format_short(Kind::Resistance, *r, 1),
        );
        return (true, value);
    }
    s.misplaced(
        walk,
        "back_insulation",
        "back",
        "belongs to an insulated back",
        "set back = \"insulated\" or take it out",
    );
    (back == Back::Open, 0.0)
}

/// Source of the lids' numbers: ordinary sheets, from memory; b0 0.1 is Souka & Safwat (1966) for one sheet of glass.
const LID: &str = "ordinary sheet (from memory)";

fn lid(walk: &mut Walk<'_>, s: &mut Section<'_>) -> Option<LidSpec> {
    let sheet = |transmittance_frac, emissivity_frac| {
        Some(LidSpec {
            transmittance_frac,
            gap_m: LID_GAP.value,
            b0: 0.1,
            emissivity_frac,
        })
    };
    let lids = [
        ("none", None),
        ("glass", sheet(0.84, 0.88)),
        ("polycarbonate", sheet(0.85, 0.90)),
        ("film", sheet(0.88, 0.85)),
    ];
    let field = s.word(walk, "lid", &lids);
    let transmittance = s.number(walk, "lid_transmittance", 0.1..=1.0);
    let gap = s.quantity(walk, "lid_gap", Kind::Length, 0.001..=0.3);
    match field.given().flatten() {
        Some(lid) => {
            let usual = Usual {
                value: lid.transmittance_frac,
                source: LID,
            };
            let transmittance_frac = s.or_assume(
                walk,
                "lid_transmittance",
                transmittance,
                usual,
                |value, _| value.to_string(),
            );
            let gap_m = s.or_assume(walk, "lid_gap", gap, LID_GAP, |m, units| {
                units.format_small_length(*m, 1)
            });
            Some(LidSpec {
                transmittance_frac,
                gap_m,
                ..lid
            })
        }
        None => {
            for key in ["lid_transmittance", "lid_gap"] {
                if s.has(key) && !s.has("lid") {
                    s.wrong(
                        walk,
                        key,
                        "stands without a lid",
                        "",
                        "say what the lid is, or take it out",
                    );
                }
            }
            None
        }
    }
}
