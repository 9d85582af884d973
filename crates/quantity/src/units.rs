//! Values printed in the units that the scenario asks for.

use crate::Kind;
use crate::table::{FAHRENHEIT_K, ZERO_FAHRENHEIT_C, find};

/// What is printed: feet, gallons and °F, or metres, litres and °C.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Units {
    /// Feet, gallons, °F.
    #[default]
    Us,
    /// Metres, litres, °C.
    Metric,
}

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
        let (factor, unit) = match self {
            Self::Us => (1.0 / 0.0254, "in"),
            Self::Metric => (1e3, "mm"),
        };
        format!("{} {unit}", grouped(length_m * factor, decimals))
    }

    /// A power in W, printed in kW.
    #[must_use]
    pub fn format_power(self, power_w: f64, decimals: usize) -> String {
        self.format(Kind::Power, power_w, decimals)
    }
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
