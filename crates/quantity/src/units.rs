//! Values printed in the units that the scenario asks for.

use crate::table::{FAHRENHEIT_K, ZERO_FAHRENHEIT_C, find};
use crate::{Kind, parse};

/// What is printed: feet, gallons and °F, or metres, litres and °C.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Units {
    /// Feet, gallons, °F.
    #[default]
    Us,
    /// Metres, litres, °C.
    Metric,
}

/// Limits of lengths below a hand's breadth are shown in the small unit, and so are both when neither passes a stride, m.
const HAND_M: f64 = 0.15;
const STRIDE_M: f64 = 1.0;

/// One named pair of functions for one kind.
macro_rules! named {
    ($($kind:ident: $unit:ident $value:ident $format:ident $what:literal;)*) => {
        impl Units {
            $(
                #[doc = concat!("Label of the unit for ", $what, ".")]
                #[must_use]
                pub fn $unit(self) -> &'static str {
                    self.unit(Kind::$kind)
                }

                #[doc = concat!("Number to print for ", $what, ".")]
                #[must_use]
                pub fn $value(self, value: f64) -> f64 {
                    self.value(Kind::$kind, value)
                }

                #[doc = concat!("Text for ", $what, ", with this many decimals.")]
                #[must_use]
                pub fn $format(self, value: f64, decimals: usize) -> String {
                    self.format(Kind::$kind, value, decimals)
                }
            )*
        }
    };
}

named! {
    Temperature: temperature_unit temperature_value format_temperature "a temperature in °C";
    TemperatureDifference: temperature_difference_unit temperature_difference_value
        format_temperature_difference "a temperature difference in K";
    Length: length_unit length_value format_length "a length in m";
    Area: area_unit area_value format_area "an area in m²";
    Volume: volume_unit volume_value format_volume "a volume in m³";
    Flow: flow_unit flow_value format_flow "a flow in m³/s";
    Speed: speed_unit speed_value format_speed "a speed in m/s";
    Mass: mass_unit mass_value format_mass "a mass in kg";
    Pressure: pressure_unit pressure_value format_pressure "a pressure in Pa";
    Energy: heat_unit heat_value format_heat_kwh "heat in kWh";
}

impl Units {
    /// The word in the scenario file.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Us => "us",
            Self::Metric => "metric",
        }
    }

    /// From the word in the scenario file.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        [Self::Us, Self::Metric]
            .into_iter()
            .find(|units| units.name() == name)
    }

    /// Label of the unit in which a kind is printed. Power is printed in kW and heat in kWh in both.
    #[must_use]
    pub const fn unit(self, kind: Kind) -> &'static str {
        match (self, kind) {
            (Self::Us, Kind::Length) => "ft",
            (Self::Us, Kind::Area) => "ft²",
            (Self::Us, Kind::Volume) => "gal",
            (Self::Us, Kind::Temperature | Kind::TemperatureDifference) => "°F",
            (Self::Us, Kind::Flow) => "gpm",
            (Self::Us, Kind::Speed) => "mph",
            (Self::Us, Kind::Pressure) => "psi",
            (Self::Us, Kind::Mass) => "lb",
            (Self::Us, Kind::Conductance) => "Btu/h ft² °F",
            (Self::Us, Kind::Resistance) => "h ft² °F/Btu",
            (Self::Us, Kind::WaterDepthRate) => "in/week",
            (Self::Metric, Kind::Flow) => "L/min",
            (Self::Metric, Kind::Pressure) => "kPa",
            (_, Kind::Power) => "kW",
            (_, Kind::Duration) => "h",
            (_, kind) => kind.si_unit(),
        }
    }

    /// The number to print for a value in [`Kind::si_unit`].
    #[must_use]
    pub fn value(self, kind: Kind, value: f64) -> f64 {
        if (self, kind) == (Self::Us, Kind::Temperature) {
            return (value - ZERO_FAHRENHEIT_C) / FAHRENHEIT_K;
        }
        match find(self.unit(kind), kind) {
            Some(unit) if unit.kind == kind => (value - unit.offset) / unit.factor,
            _ => value,
        }
    }

    /// Number and unit, with this many decimals and thousands separated.
    #[must_use]
    pub fn format(self, kind: Kind, value: f64, decimals: usize) -> String {
        format!(
            "{} {}",
            grouped(self.value(kind, value), decimals),
            self.unit(kind)
        )
    }

    /// Number and unit with at most this many decimals, trailing zeros left out: for values that a person chose.
    #[must_use]
    pub fn format_short(self, kind: Kind, value: f64, decimals: usize) -> String {
        let mut number = grouped(self.value(kind, value), decimals);
        if number.contains('.') {
            number.truncate(number.trim_end_matches('0').trim_end_matches('.').len());
        }
        format!("{number} {}", self.unit(kind))
    }

    /// A length below a hand's breadth: inches or millimetres.
    #[must_use]
    pub fn format_small_length(self, length_m: f64, decimals: usize) -> String {
        let (value, unit) = self.small_length(length_m);
        format!("{} {unit}", grouped(value, decimals))
    }

    const fn small_length(self, length_m: f64) -> (f64, &'static str) {
        match self {
            Self::Us => (length_m / 0.0254, "in"),
            Self::Metric => (length_m * 1e3, "mm"),
        }
    }

    /// The two ends of what is allowed, "4 in to 19 ft", in numbers that a person would choose: two digits, whole
    /// degrees, whole hours as they are; never outside the true ends.
    #[must_use]
    pub fn format_range(self, kind: Kind, low: f64, high: f64) -> String {
        let widest = low.abs().max(high.abs());
        let is_small = |end: f64| {
            kind == Kind::Length && (widest <= STRIDE_M || (end.abs() > 0.0 && end.abs() < HAND_M))
        };
        let end = |end: f64, up: bool| {
            let inside =
                |text: &str| parse(text, kind).is_ok_and(|v| if up { v >= end } else { v <= end });
            let (value, unit) = if is_small(end) {
                self.small_length(end)
            } else {
                (self.value(kind, end), self.unit(kind))
            };
            let step = match kind {
                Kind::Temperature | Kind::Angle => 1.0,
                // A month of 744 h is a limit as it stands.
                Kind::Duration if (value - value.round()).abs() < 1e-9 => 1.0,
                _ if value.abs() < f64::MIN_POSITIVE => 1.0,
                _ => 10_f64.powf(value.abs().log10().floor() - 1.0),
            };
            // What is a round number but for the last bits stays; else it is rounded inwards.
            let near = (value / step).round();
            let inwards = if up { 1.0 } else { -1.0 };
            let decimals = decimals_of(step);
            let shown = |steps: f64| {
                let mut number = grouped(steps * step, decimals);
                if number.contains('.') {
                    number.truncate(number.trim_end_matches('0').trim_end_matches('.').len());
                }
                format!("{number} {unit}")
            };
            [near, near + inwards]
                .into_iter()
                .map(shown)
                .find(|text| inside(text))
                .unwrap_or_else(|| shown(near))
        };
        format!("{} to {}", end(low, true), end(high, false))
    }

    /// A power in W, printed in kW.
    #[must_use]
    pub fn format_power(self, power_w: f64, decimals: usize) -> String {
        self.format(Kind::Power, power_w, decimals)
    }
}

/// Decimals needed to write multiples of a power of ten.
fn decimals_of(step: f64) -> usize {
    (0..12)
        .find(|decimals| step * 10_f64.powi(*decimals) > 0.99)
        .map_or(12, |decimals| decimals.unsigned_abs() as usize)
}

/// A number with thousands separated by commas; never "-0".
fn grouped(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    let (whole, rest) = text
        .find('.')
        .map_or((text.as_str(), ""), |at| text.split_at(at));
    let is_zero = !text.bytes().any(|b| (b'1'..=b'9').contains(&b));
    let mut out = String::new();
    if value < 0.0 && !is_zero {
        out.push('-');
    }
    for (at, c) in whole.char_indices() {
        if at > 0
            && (whole.len() - at).is_multiple_of(3)
            && whole.bytes().all(|b| b.is_ascii_digit())
        {
            out.push(',');
        }
        out.push(c);
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 0.1 m = 3.94 in, 6 m = 19.7 ft, 30,000 m³ = 7.93 million gallons, 5 °C = 41 °F, 0.6 m = 23.6 in.
    #[test]
    fn limits_are_round_numbers() {
        for (units, kind, low, high, text) in [
            (Units::Us, Kind::Length, 0.1, 6.0, "4 in to 19 ft"),
            (Units::Metric, Kind::Length, 0.1, 6.0, "100 mm to 6 m"),
            (
                Units::Us,
                Kind::Volume,
                0.1,
                30_000.0,
                "27 gal to 7,900,000 gal",
            ),
            (
                Units::Metric,
                Kind::Volume,
                0.1,
                30_000.0,
                "0.1 m³ to 30,000 m³",
            ),
            (Units::Us, Kind::Temperature, 5.0, 40.0, "41 °F to 104 °F"),
            (Units::Us, Kind::Length, 0.11, 0.6, "4.4 in to 23 in"),
            (Units::Us, Kind::Length, -5.0, 30.0, "-16 ft to 98 ft"),
            (Units::Us, Kind::Power, 0.0, 20_000.0, "0 kW to 20 kW"),
        ] {
            assert_eq!(units.format_range(kind, low, high), text);
        }
    }

    /// What is named as allowed is allowed, read back as a person would write it, over sizes from tiny to huge.
    #[test]
    fn limits_lie_within_the_limits() {
        let kinds = Kind::ALL.into_iter().filter(|kind| !kind.is_money());
        for (kind, units) in kinds.flat_map(|k| [(k, Units::Us), (k, Units::Metric)]) {
            for step in 0..400 {
                let high = 1.07_f64.powi(step - 150);
                let low = if step % 2 == 0 { -high } else { 0.5 * high };
                if matches!(kind, Kind::Temperature | Kind::Angle) && high < 5.0 {
                    // Shown in whole degrees; no limit is that small.
                    continue;
                }
                let text = units.format_range(kind, low, high);
                let (from, to) = text.split_once(" to ").expect("two ends");
                for end in [from, to] {
                    let value = parse(end, kind).unwrap_or_else(|e| panic!("{text}: {e}"));
                    assert!((low..=high).contains(&value), "{text}: {low} to {high}");
                }
            }
        }
    }
}
