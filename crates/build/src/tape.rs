//! Lengths as they are read off a tape measure.

use swimdays_quantity::{Kind, Units};

/// m.
const FOOT_M: f64 = 0.304_8;
/// Marks of a tape in inches: eighths.
const EIGHTHS: f64 = 8.0;

/// A bore or an outside diameter as tube is sold by: `0.70 in`, `1.50 in`, `12.0 mm`.
///
/// ```
/// assert_eq!(swimdays_build::diameter(0.017_78, swimdays_quantity::Units::Us), "0.70 in"); // 0.70 × 25.4 mm
/// ```
#[must_use]
pub fn diameter(of_m: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{:.2} in", of_m / 0.025_4),
        Units::Metric => format!("{:.1} mm", of_m * 1e3),
    }
}

/// `3 ft 11 5/8 in` to the nearest eighth of an inch, or `603 mm`, `1.203 m` to the millimetre.
///
/// ```
/// use swimdays_build::tape;
/// use swimdays_quantity::Units;
/// assert_eq!(tape(1.2192, Units::Us), "4 ft"); // 48 × 25.4 mm
/// assert_eq!(tape(0.0889, Units::Us), "3 1/2 in"); // 3.5 × 25.4 mm
/// assert_eq!(tape(1.2034, Units::Metric), "1.203 m");
/// ```
#[must_use]
pub fn tape(length_m: f64, units: Units) -> String {
    let sign = if length_m < 0.0 { "−" } else { "" };
    let length_m = length_m.abs();
    if units == Units::Metric {
        let mm = (length_m * 1e3).round();
        return if mm < 1e3 {
            format!("{sign}{mm:.0} mm")
        } else {
            format!("{sign}{}", units.format(Kind::Length, mm / 1e3, 3))
        };
    }
    let eighths = crate::whole((length_m / 0.0254 * EIGHTHS).round());
    let (feet, rest) = (eighths / 96, eighths % 96);
    let (inches, part) = (rest / 8, rest % 8);
    let fraction = match part {
        0 => String::new(),
        2 => "1/4".into(),
        4 => "1/2".into(),
        6 => "3/4".into(),
        odd => format!("{odd}/8"),
    };
    let mut words = Vec::new();
    if feet > 0 {
        words.push(Units::Us.format(Kind::Length, crate::real(feet) * FOOT_M, 0));
    }
    match (inches, fraction.is_empty()) {
        (0, true) if feet > 0 => {}
        (0, false) => words.push(format!("{fraction} in")),
        (whole, true) => words.push(format!("{whole} in")),
        (whole, false) => words.push(format!("{whole} {fraction} in")),
    }
    format!("{sign}{}", words.join(" "))
}

/// A length along the tube, which stretches and is not read finer: whole inches, or centimetres.
///
/// ```
/// use swimdays_quantity::Units;
/// assert_eq!(swimdays_build::running(60.96, Units::Us), "200 ft");
/// assert_eq!(swimdays_build::running(1.2034, Units::Metric), "1.20 m");
/// ```
#[must_use]
pub fn running(length_m: f64, units: Units) -> String {
    match units {
        Units::Us => tape((length_m / 0.0254).round() * 0.0254, units),
        Units::Metric => units.format(Kind::Length, length_m, 2),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_and_eighths() {
        for (inches, text) in [
            (0.0, "0 in"),
            (0.1, "1/8 in"),
            (0.70, "3/4 in"),
            (11.99, "1 ft"),
            (47.65, "3 ft 11 5/8 in"),
            (12.25, "1 ft 1/4 in"),
            (-6.0, "−6 in"),
            (12_000.0, "1,000 ft"),
        ] {
            assert_eq!(tape(inches * 0.0254, Units::Us), text);
        }
        assert_eq!(tape(0.6031, Units::Metric), "603 mm");
        assert_eq!(running(1371.6, Units::Us), "4,500 ft");
        assert_eq!(running(1371.6, Units::Metric), "1,371.60 m");
        assert_eq!(running(1371.6 + 0.0254, Units::Us), "4,500 ft 1 in");
    }
}
