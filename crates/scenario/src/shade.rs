//! `[[pool.shade]]` and `[[heater.shade]]`: house, trees and fence.

use swimdays_quantity::{Kind, compass};
use swimdays_solar::Obstruction;

use crate::section::Section;
use crate::walk::{Field, Usual, Walk};
use crate::words::source;

const OPACITY: Usual<f64> = Usual {
    value: 1.0,
    source: source::OWN_CHOICE,
};

/// All that stands around the water or a heater.
pub(crate) fn shades(walk: &mut Walk<'_>, parent: &mut Section<'_>) -> Vec<Obstruction> {
    let sections = parent.sections(walk, "shade", |at, _| (at + 1).to_string());
    sections
        .into_iter()
        .map(|section| shade(walk, section))
        .collect()
}

fn direction(walk: &mut Walk<'_>, s: &mut Section<'_>, key: &str) -> f64 {
    const ALLOWED: &str = "a compass point or degrees, such as \"SSW\" or \"200 deg\"";
    let field = s.parsed(walk, key, ALLOWED, compass);
    if field.is_absent() {
        s.missing(
            walk,
            key,
            ALLOWED,
            "say from where to where it stands, going clockwise",
        );
    }
    field.or(0.0)
}

fn shade(walk: &mut Walk<'_>, mut s: Section<'_>) -> Obstruction {
    let from = direction(walk, &mut s, "from");
    let to = direction(walk, &mut s, "to");
    let same = s.has("from") && s.has("to") && (from - to).abs() < 1e-9;
    let elevation = s.quantity(walk, "elevation", Kind::Angle, 0.0..=90.0);
    let height = s.quantity(walk, "height", Kind::Length, 0.0..=200.0);
    let distance = s.quantity(walk, "distance", Kind::Length, 0.1..=5000.0);
    if same && !matches!((&elevation, &height), (Field::Wrong, _) | (_, Field::Wrong)) {
        s.wrong(
            walk,
            "to",
            "is the same direction as `from`, so nothing is shaded",
            "two directions, the second clockwise from the first",
            "write where it ends",
        );
    }
    let elevation_deg = match (elevation, height, distance) {
        (Field::Given(_), Field::Given(_), _) => {
            s.conflict(walk, "elevation", "height");
            0.0
        }
        (Field::Given(_), _, Field::Given(_)) => {
            s.conflict(walk, "elevation", "distance");
            0.0
        }
        (Field::Given(deg), ..) => deg,
        (Field::Absent, Field::Given(height), Field::Given(distance)) => {
            height.atan2(distance).to_degrees()
        }
        (Field::Absent, Field::Given(_), Field::Absent) => {
            s.missing(
                walk,
                "distance",
                "a length, such as \"25 ft\"",
                "say how far away it stands",
            );
            0.0
        }
        (Field::Absent, Field::Absent, _) => {
            s.missing(
                walk,
                "elevation",
                "elevation, or height and distance",
                "write how high it stands above the horizon, such as elevation = \"25 deg\"",
            );
            0.0
        }
        _ => 0.0,
    };
    let opacity_frac = s.number_or(walk, "opacity", 0.0..=1.0, OPACITY);
    s.finish(walk);
    Obstruction {
        from_azimuth_deg: from,
        to_azimuth_deg: to,
        elevation_deg,
        opacity_frac,
    }
}
