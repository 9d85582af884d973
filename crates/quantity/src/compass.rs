//! Compass points and degrees.

use crate::number::plain;
use crate::{Kind, QuantityError, parse};

/// The sixteen points, clockwise from north.
const POINTS: [&str; 16] = [
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW",
    "NNW",
];

/// Degrees between neighbouring points.
const STEP_DEG: f64 = 22.5;

/// Reads "SSW", "south-west" or "200 deg" as degrees clockwise from true north, 0 ≤ x < 360.
///
/// # Errors
/// [`QuantityError`] when it is neither a compass point nor an angle.
pub fn compass(text: &str) -> Result<f64, QuantityError> {
    let text = plain(text);
    let letters: String = text
        .to_ascii_lowercase()
        .replace("north", "n")
        .replace("east", "e")
        .replace("south", "s")
        .replace("west", "w")
        .chars()
        .filter(|c| !matches!(c, ' ' | '-'))
        .collect();
    if let Some(at) = (0_u8..16).find(|&i| POINTS[usize::from(i)].eq_ignore_ascii_case(&letters)) {
        return Ok(f64::from(at) * STEP_DEG);
    }
    if !text.contains(|c: char| c.is_ascii_digit()) {
        return Err(QuantityError::Unreadable {
            wanted: "a direction",
            allowed: "\"S\", \"SSW\", \"south-west\" or \"200 deg\"",
        });
    }
    Ok(parse(&text, Kind::Angle)?.rem_euclid(360.0)).map(|deg| if deg >= 360.0 { 0.0 } else { deg })
}

/// The compass point nearest to a direction.
#[must_use]
pub fn compass_name(azimuth_deg: f64) -> &'static str {
    let mut best = (f64::INFINITY, POINTS[0]);
    for (at, name) in (0_u8..).zip(POINTS) {
        let off = (azimuth_deg - f64::from(at) * STEP_DEG).rem_euclid(360.0);
        let off = off.min(360.0 - off);
        if off < best.0 {
            best = (off, name);
        }
    }
    best.1
}
