//! `[heater.tube]`: the tube of a board or a deck.

use std::ops::RangeInclusive;

use swimdays_collector::{BOND_DEFAULT_W_M_K, EXPOSED_SHAPE_DEFAULT_FRAC, TubeSpec};
use swimdays_properties::materials::TubeMaterial;
use swimdays_quantity::Kind;

use crate::section::Section;
use crate::walk::{Usual, Walk};
use crate::words::{source, words};

const TUBE: Usual<&str> = Usual {
    value: "polyethylene",
    source: source::OWN_CHOICE,
};
const CIRCUITS: Usual<u32> = Usual {
    value: 1,
    source: source::OWN_CHOICE,
};
pub(crate) const BLACK: Usual<f64> = Usual {
    value: 0.94,
    source: "black plastic or paint, 0.92 to 0.96: common practice, no source",
};
const BLACK_EMISSIVITY: Usual<f64> = Usual {
    value: 0.92,
    source: "black plastics 0.90 to 0.95: common practice, no source",
};
pub(crate) const EXPOSED_SHAPE: Usual<f64> = Usual {
    value: EXPOSED_SHAPE_DEFAULT_FRAC,
    source: "half-way between the tube's width and half its perimeter: own choice, no source",
};
pub(crate) const BOND: Usual<f64> = Usual {
    value: BOND_DEFAULT_W_M_K,
    source: source::ESTIMATE,
};
/// Plausible diameters, m.
const TUBE_DIAMETER_M: RangeInclusive<f64> = 0.003..=0.11;

/// `in_the_sun` says whether its surface matters.
pub(crate) fn tube(walk: &mut Walk<'_>, s: &mut Section<'_>, in_the_sun: bool) -> TubeSpec {
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
    // For the builder alone.
    s.read_elsewhere(walk, "bend_radius");
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
    range: RangeInclusive<f64>,
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
