//! `[heater.deck]` and `[heater.panel]`.

use swimdays_collector::{BOND_RANGE_W_M_K, DeckSpec, PanelSpec, Placement};
use swimdays_properties::materials::GroundMaterial;
use swimdays_quantity::Kind;

use crate::section::Section;
use crate::tube::{BOND, EXPOSED_SHAPE, tube};
use crate::walk::{Usual, Walk};
use crate::words::{source, words};

const PLACEMENT: Usual<&str> = Usual {
    value: "on-surface",
    source: source::OWN_CHOICE,
};
const DECK_DEPTH: Usual<f64> = Usual {
    value: 0.05,
    source: source::PRACTICE,
};
/// Deepest soil that is resolved, m.
const DEEPEST_M: f64 = 0.6;
/// From the slab's lower face to a tube in the soil when nothing is said, m.
const BELOW_SLAB_M: f64 = 0.05;
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
        0.0..=0.8,
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
        let usual = if placement == Lies::InSlab {
            DECK_DEPTH
        } else {
            Usual {
                value: (slab_thickness_m + BELOW_SLAB_M.max(tube.outer_diameter_m)).min(DEEPEST_M),
                source: "just below the slab: own choice, no source",
            }
        };
        let depth_m = s.or_assume(walk, "depth", depth, usual, |m, units| {
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
    let units = walk.units;
    let show = |m| units.format_small_length(m, 2);
    // At least a diameter of cover, and the tube altogether on one side of the slab's lower face.
    let (low, high) = if lies == Lies::InSlab {
        (outer_m, slab_m - outer_m / 2.0)
    } else {
        ((slab_m + outer_m / 2.0).max(outer_m), DEEPEST_M)
    };
    if (low..=high).contains(&depth_m) {
        return;
    }
    if low > high {
        let (problem, allowed) = if lies == Lies::InSlab {
            (
                format!("{} thick, is too thin for the tube", show(slab_m)),
                format!("{} or more", show(1.5 * outer_m)),
            )
        } else {
            (
                format!(
                    "{} thick, leaves no soil that is reckoned with",
                    show(slab_m)
                ),
                format!(
                    "{} at most with a tube below it",
                    show(DEEPEST_M - outer_m / 2.0)
                ),
            )
        };
        s.wrong(
            walk,
            "slab_thickness",
            problem,
            allowed,
            "check slab_thickness, placement and the tube's outer_diameter",
        );
        return;
    }
    let problem = match lies {
        Lies::InSlab => format!("does not lie in a slab {} thick", show(slab_m)),
        _ if depth_m > high => format!(
            "is deeper than the {} of soil that are reckoned with",
            show(DEEPEST_M)
        ),
        _ => format!(
            "does not lie in the soil below a slab {} thick",
            show(slab_m)
        ),
    };
    let allowed = format!(
        "{} from the surface to the middle of the tube",
        units.format_range(Kind::Length, low, high)
    );
    s.wrong(
        walk,
        "depth",
        problem,
        allowed,
        "check depth, slab_thickness and placement",
    );
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
        eta0_frac: number("eta0", 0.3..=1.0, 0.9, PANEL),
        bu_s_m: number("bu", 0.0..=0.2, 0.03, PANEL),
        b1_w_m2_k: number("b1", 0.1..=40.0, 10.0, PANEL),
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
