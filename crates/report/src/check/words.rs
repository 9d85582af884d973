//! Powers, temperatures and ranges as a builder reads them.

use swimdays_quantity::{Kind, parse};

use crate::Units;
use crate::lines::TIE;
use crate::words::rough;

/// Watts in one Btu/h.
fn btu_h_w() -> f64 {
    parse("1 Btu/h", Kind::Power).unwrap_or(1.0)
}

/// A power: `5,000 Btu/h (1,500 W)`, or watts alone.
pub(super) fn power(power_w: f64, units: Units) -> String {
    match units {
        Units::Us => format!(
            "{}{TIE}Btu/h ({}{TIE}W)",
            rough(power_w / btu_h_w()),
            rough(power_w)
        ),
        Units::Metric => format!("{}{TIE}W", rough(power_w)),
    }
}

/// The two ends of a power, in the unit named first by [`power`].
pub(super) fn power_range(low_w: f64, high_w: f64, units: Units) -> String {
    let (unit, name) = match units {
        Units::Us => (btu_h_w(), "Btu/h"),
        Units::Metric => (1.0, "W"),
    };
    // Less than nothing is told as nothing: the water was not warmed.
    format!(
        "{} to {}{TIE}{name}",
        rough((low_w / unit).max(0.0)),
        rough(high_w / unit)
    )
}

/// A temperature with one decimal, as thermometers show it.
pub(super) fn degrees(celsius: f64, units: Units) -> String {
    tenth(units.temperature_value(celsius), units)
}

/// A rise or fall.
pub(super) fn kelvin(k: f64, units: Units) -> String {
    tenth(units.temperature_difference_value(k), units)
}

fn tenth(value: f64, units: Units) -> String {
    format!("{value:.1}{TIE}{}", units.temperature_unit()).replace('-', "−")
}

/// An area with two digits.
pub(super) fn area(m2: f64, units: Units) -> String {
    let value = units.area_value(m2);
    let decimals = usize::from(value < 10.0);
    format!("{value:.decimals$}{TIE}{}", units.area_unit())
}
