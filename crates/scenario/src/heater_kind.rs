//! What a heater is made of: `[heater.tube]` with `[heater.board]` or `[heater.deck]`, or `[heater.panel]`.

use std::f64::consts::PI;

use swimdays_collector::{
    BOND_DEFAULT_W_M_K, BOND_RANGE_W_M_K, BoardSpec, DeckSpec, EXPOSED_SHAPE_DEFAULT_FRAC, Layout,
    LidSpec, PanelSpec, Placement, TubeSpec,
};
use swimdays_properties::materials::{BoardMaterial, GroundMaterial, TubeMaterial};
use swimdays_quantity::{Kind, parse};

use crate::walk::{Field, Section, Usual, Walk};
use crate::words::{source, words};

const TUBE: Usual<&str> = Usual {
    value: "polyethylene",
    source: source::OWN_CHOICE,
};
const CIRCUITS: Usual<u32> = Usual {
    value: 1,
    source: source::OWN_CHOICE,
};
const BLACK: Usual<f64> = Usual {
    value: 0.94,
    source: "black plastic or paint, 0.92 to 0.96: common practice, no source",
};
const BLACK_EMISSIVITY: Usual<f64> = Usual {
    value: 0.92,
    source: "black plastics 0.90 to 0.95: common practice, no source",
};
const EXPOSED_SHAPE: Usual<f64> = Usual {
    value: EXPOSED_SHAPE_DEFAULT_FRAC,
    source: "half-way between the tube's width and half its perimeter: own choice, no source",
};
const BOND: Usual<f64> = Usual {
    value: BOND_DEFAULT_W_M_K,
    source: source::ESTIMATE,
};
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

const PLACEMENT: Usual<&str> = Usual {
    value: "on-surface",
    source: source::OWN_CHOICE,
};
const DECK_DEPTH: Usual<f64> = Usual {
    value: 0.05,
    source: source::PRACTICE,
};
const DECK_SPACING: Usual<f64> = Usual {
    value: 0.15,
    source: source::PRACTICE,
};
const SLAB: Usual<&str> = Usual {
    value: "concrete",
    source: source::OWN_CHOICE,
};
const SLAB_THICKNESS: Usual<f64> = Usual {
    value: 0.10,
    source: source::PRACTICE,
};
const SOIL: Usual<&str> = Usual {
    value: "moist soil",
    source: source::OWN_CHOICE,
};
const DECK_ABSORPTANCE: Usual<f64> = Usual {
    value: 0.65,
    source: "concrete 0.55 to 0.70: common practice, no source",
};
const DECK_EMISSIVITY: Usual<f64> = Usual {
    value: 0.90,
    source: "concrete 0.88 to 0.94: common practice, no source",
};

const PANEL: &str = "middle of the range of plastic and rubber absorbers (from memory): take the panel's own test report";
const PANEL_CAPACITY: Usual<f64> = Usual {
    value: 15_000.0,
    source: "some 3 L of water and 1 kg of plastic per m²: own estimate, no source",
};

/// Bare numbers from the ends of a plausible range.
const TUBE_DIAMETER_M: std::ops::RangeInclusive<f64> = 0.003..=0.11;

fn tube(walk: &mut Walk<'_>, s: &mut Section<'_>, in_the_sun: bool) -> TubeSpec {
    let mut s = s.section(walk, "tube");
    if !s.is_written() {
        let (path, place) = (s.path().to_owned(), s.place().clone());
        walk.report(
            &place,
            &path,
            String::new(),
            "is missing",
            "a table with material, outer_diameter, bore and length",
            "write [heater.tube] below the heater",
        );
    }
    let material = s.word_or(
        walk,
        "material",
        &words(&TubeMaterial::ALL, TubeMaterial::name),
        TUBE,
    );
    let outer = required(
        walk,
        &mut s,
        "outer_diameter",
        TUBE_DIAMETER_M,
        "measure it with a caliper or take it from the print on the tube",
    );
    let bore = required(
        walk,
        &mut s,
        "bore",
        TUBE_DIAMETER_M,
        "the inside diameter; nominal sizes are not it",
    );
    let length = required(
        walk,
        &mut s,
        "length",
        0.5..=20_000.0,
        "the length of all circuits together",
    );
    if let (Some(outer), Some(bore)) = (outer, bore)
        && bore >= outer
    {
        let show = |m| walk.units.format_small_length(m, 3);
        let problem = format!("is not smaller than the outer diameter {}", show(outer));
        s.wrong(
            walk,
            "bore",
            problem,
            "an inside diameter below the outer one",
            "check which is which",
        );
    }
    let circuits = s.count(walk, "circuits", 1..=200);
    let parallel_circuits = s.or_assume(walk, "circuits", circuits, CIRCUITS, |n, _| n.to_string());
    let mut sun = |walk: &mut Walk<'_>, key: &str, usual: Usual<f64>| {
        if in_the_sun {
            s.number_or(walk, key, 0.05..=1.0, usual)
        } else {
            s.number(walk, key, 0.05..=1.0).or(usual.value)
        }
    };
    let absorptance_frac = sun(walk, "absorptance", BLACK);
    let emissivity_frac = sun(walk, "emissivity", BLACK_EMISSIVITY);
    s.finish(walk);
    let outer_diameter_m = outer.unwrap_or(0.018);
    TubeSpec {
        material,
        outer_diameter_m,
        bore_m: bore
            .filter(|bore| *bore < outer_diameter_m)
            .unwrap_or(outer_diameter_m * 0.8),
        length_m: length.unwrap_or(60.0),
        parallel_circuits,
        absorptance_frac,
        emissivity_frac,
    }
}

/// A length without a default.
fn required(
    walk: &mut Walk<'_>,
    s: &mut Section<'_>,
    key: &str,
    range: std::ops::RangeInclusive<f64>,
    advice: &str,
) -> Option<f64> {
    let field = s.quantity(walk, key, Kind::Length, range);
    if field.is_absent() && s.is_written() {
        s.missing(
            walk,
            key,
            &format!("{}, such as {}", Kind::Length, Kind::Length.examples()),
            advice,
        );
    }
    field.given()
}

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
        (Field::Given(area), ..) => (area, None),
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
        let show = |m| walk.units.format_small_length(m, 2);
        let allowed = format!(
            "{} to {} from middle to middle, {words}",
            show(least),
            show(most)
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
    /// Rows at the rim stick out half a pitch; measures are rounded.
    const SLACK: f64 = 1.02;
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
        && outer_diameter_m > length.min(width) * SLACK
    {
        let units = walk.units;
        let problem = format!(
            "leaves no room for the spiral, which is {} across",
            units.format_short(Kind::Length, outer_diameter_m, 2)
        );
        s.wrong(
            walk,
            if length < width { "length" } else { "width" },
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

#[derive(Clone, Copy, PartialEq)]
enum Lies {
    OnSurface,
    InSlab,
    InSoil,
}

pub(crate) fn deck(walk: &mut Walk<'_>, heater: &mut Section<'_>) -> DeckSpec {
    let mut s = heater.section(walk, "deck");
    let lies = [
        ("on-surface", Lies::OnSurface),
        ("in-slab", Lies::InSlab),
        ("in-soil", Lies::InSoil),
    ];
    let placement = s.word_or(walk, "placement", &lies, PLACEMENT);
    let on_surface = placement == Lies::OnSurface;
    let tube = tube(walk, heater, on_surface);
    let depth = s.quantity(walk, "depth", Kind::Length, 0.0..=1.5);
    let (low, high) = BOND_RANGE_W_M_K;
    let bond = s.quantity(walk, "bond", Kind::LinearConductance, low..=high);
    let shape = s.number(walk, "exposed_shape", 0.0..=1.0);
    let slabs = words(
        &[GroundMaterial::Concrete, GroundMaterial::DrySand],
        GroundMaterial::name,
    );
    let slab = s.word_or(walk, "slab", &slabs, SLAB);
    let slab_thickness_m = s.quantity_or(
        walk,
        "slab_thickness",
        Kind::Length,
        0.0..=1.0,
        SLAB_THICKNESS,
    );
    let mut exposed_shape_frac = EXPOSED_SHAPE.value;
    let placement = if on_surface {
        s.misplaced(
            walk,
            "depth",
            "placement",
            "belongs to a tube in the slab or soil",
            "take it out, or set placement = \"in-slab\"",
        );
        exposed_shape_frac =
            s.or_assume(walk, "exposed_shape", shape, EXPOSED_SHAPE, |value, _| {
                value.to_string()
            });
        let contact_conductance_w_m_k = s.or_assume(walk, "bond", bond, BOND, |value, units| {
            units.format_short(Kind::LinearConductance, *value, 2)
        });
        Placement::OnSurface {
            contact_conductance_w_m_k,
        }
    } else {
        let depth_m = s.or_assume(walk, "depth", depth, DECK_DEPTH, |m, units| {
            units.format_small_length(*m, 1)
        });
        depth_fits(
            walk,
            &s,
            depth_m,
            tube.outer_diameter_m,
            slab_thickness_m,
            placement,
        );
        if placement == Lies::InSlab {
            Placement::InSlab { depth_m }
        } else {
            Placement::InSoil { depth_m }
        }
    };
    let spacing_m = s.quantity_or(
        walk,
        "spacing",
        Kind::Length,
        tube.outer_diameter_m..=2.0,
        DECK_SPACING,
    );
    let soils = words(
        &[
            GroundMaterial::DrySand,
            GroundMaterial::MoistSoil,
            GroundMaterial::WetClay,
        ],
        GroundMaterial::name,
    );
    let soil = s.word_or(walk, "soil", &soils, SOIL);
    let absorptance_frac = s.number_or(walk, "absorptance", 0.05..=1.0, DECK_ABSORPTANCE);
    let emissivity_frac = s.number_or(walk, "emissivity", 0.05..=1.0, DECK_EMISSIVITY);
    s.finish(walk);
    DeckSpec {
        tube,
        placement,
        spacing_m,
        slab,
        slab_thickness_m,
        soil,
        absorptance_frac,
        emissivity_frac,
        exposed_shape_frac,
    }
}

/// Whether the tube lies where it is said to lie.
fn depth_fits(
    walk: &mut Walk<'_>,
    s: &Section<'_>,
    depth_m: f64,
    outer_m: f64,
    slab_m: f64,
    lies: Lies,
) {
    let show = |m| walk.units.format_small_length(m, 2);
    let low = if lies == Lies::InSlab {
        outer_m / 2.0
    } else {
        slab_m + outer_m / 2.0
    };
    let high = if lies == Lies::InSlab {
        slab_m - outer_m / 2.0
    } else {
        1.5
    };
    if depth_m < low - 1e-9 || depth_m > high + 1e-9 {
        let (what, allowed) = if lies == Lies::InSlab {
            (
                "slab",
                format!(
                    "{} to {} from the surface to the middle of the tube",
                    show(low),
                    show(high)
                ),
            )
        } else {
            (
                "soil",
                format!(
                    "{} or more from the surface to the middle of the tube",
                    show(low)
                ),
            )
        };
        let problem = format!(
            "is not inside the {what}, whose slab is {} thick",
            show(slab_m)
        );
        s.wrong(
            walk,
            "depth",
            problem,
            allowed,
            "check depth, slab_thickness and placement",
        );
    }
}

pub(crate) fn panel(walk: &mut Walk<'_>, heater: &mut Section<'_>) -> PanelSpec {
    let mut s = heater.section(walk, "panel");
    let area = s.quantity(walk, "area", Kind::Area, 0.05..=5000.0);
    if area.is_absent() {
        s.missing(
            walk,
            "area",
            "an area, such as \"40 ft2\"",
            "the area to which the test's coefficients refer",
        );
    }
    let mut number =
        |key: &str, range, value, source| s.number_or(walk, key, range, Usual { value, source });
    let spec = PanelSpec {
        area_m2: area.or(4.0),
        eta0_frac: number("eta0", 0.3..=1.1, 0.9, PANEL),
        bu_s_m: number("bu", 0.0..=0.2, 0.03, PANEL),
        b1_w_m2_k: number("b1", 0.0..=40.0, 10.0, PANEL),
        b2_w_s_m3_k: number("b2", 0.0..=20.0, 4.0, PANEL),
        emissivity_over_absorptance: number(
            "emissivity_over_absorptance",
            0.0..=2.0,
            0.95,
            "0.95 where it was not measured (from memory)",
        ),
        b0: number(
            "b0",
            0.0..=0.3,
            0.05,
            "0 to 0.1 for unglazed panels (from memory)",
        ),
        heat_capacity_j_m2_k: s.quantity_or(
            walk,
            "heat_capacity",
            Kind::AreaHeatCapacity,
            500.0..=100_000.0,
            PANEL_CAPACITY,
        ),
    };
    s.finish(walk);
    spec
}
