//! The kinds of quantity that a builder writes down.

use std::fmt;

/// A kind of quantity; each has one unit in which its value is handed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Kind {
    /// Metres.
    Length,
    /// Square metres.
    Area,
    /// Cubic metres.
    Volume,
    /// Degrees Celsius.
    Temperature,
    /// Kelvin; a degree Fahrenheit counts 5/9.
    TemperatureDifference,
    /// Cubic metres per second.
    Flow,
    /// Watts.
    Power,
    /// Kilowatt-hours.
    Energy,
    /// Metres per second.
    Speed,
    /// Pascals.
    Pressure,
    /// Seconds.
    Duration,
    /// Kilograms.
    Mass,
    /// Degrees of arc.
    Angle,
    /// W/(m²·K).
    Conductance,
    /// m²·K/W.
    Resistance,
    /// J/(m²·K).
    AreaHeatCapacity,
    /// W/(m·K): conductivity, or conductance per length.
    LinearConductance,
    /// Millimetres of water a day; the same number as litres per square metre and day.
    WaterDepthRate,
    /// Currency.
    Money,
    /// Currency per kWh.
    EnergyPrice,
    /// Currency per m³.
    VolumePrice,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 21] = [
        Self::Length,
        Self::Area,
        Self::Volume,
        Self::Temperature,
        Self::TemperatureDifference,
        Self::Flow,
        Self::Power,
        Self::Energy,
        Self::Speed,
        Self::Pressure,
        Self::Duration,
        Self::Mass,
        Self::Angle,
        Self::Conductance,
        Self::Resistance,
        Self::LinearConductance,
        Self::AreaHeatCapacity,
        Self::WaterDepthRate,
        Self::Money,
        Self::EnergyPrice,
        Self::VolumePrice,
    ];

    /// The unit in which values of this kind are handed on.
    #[must_use]
    pub const fn si_unit(self) -> &'static str {
        match self {
            Self::Length => "m",
            Self::Area => "m²",
            Self::Volume => "m³",
            Self::Temperature => "°C",
            Self::TemperatureDifference => "K",
            Self::Flow => "m³/s",
            Self::Power => "W",
            Self::Energy => "kWh",
            Self::Speed => "m/s",
            Self::Pressure => "Pa",
            Self::Duration => "s",
            Self::Mass => "kg",
            Self::Angle => "deg",
            Self::Conductance => "W/m²K",
            Self::Resistance => "m²K/W",
            Self::LinearConductance => "W/mK",
            Self::AreaHeatCapacity => "J/m²K",
            Self::WaterDepthRate => "mm/day",
            Self::Money => "currency",
            Self::EnergyPrice => "currency/kWh",
            Self::VolumePrice => "currency/m³",
        }
    }

    /// Two or three things that a person may write for it.
    #[must_use]
    pub const fn examples(self) -> &'static str {
        match self {
            Self::Length => r#""24 ft", "12 ft 6 in", "1/2 in" or "3 m""#,
            Self::Area => r#""32 ft2", "4 ft x 8 ft" or "3 m2""#,
            Self::Volume => r#""15,000 gal", "450 L" or "40 m3""#,
            Self::Temperature => r#""80 F" or "27 °C""#,
            Self::TemperatureDifference => r#""5 F" or "3 K""#,
            Self::Flow => r#""4 gpm", "50 gal/week" or "15 L/min""#,
            Self::Power => r#""1.2 kW", "60 W" or "40,000 Btu/h""#,
            Self::Energy => r#""12 kWh", "3 therm" or "40,000 Btu""#,
            Self::Speed => r#""5 mph", "2 m/s" or "10 km/h""#,
            Self::Pressure => r#""15 psi" or "1 bar""#,
            Self::Duration => r#""2 h", "5 min" or "75 s""#,
            Self::Mass => r#""40 lb" or "18 kg""#,
            Self::Angle => r#""35 deg""#,
            Self::Conductance => r#""20 W/m2K" or "3.5 Btu/h ft2 F""#,
            Self::Resistance => r#""R-5", "5 h ft2 F/Btu" or "0.9 m2K/W""#,
            Self::LinearConductance => r#""0.5 W/mK" or "0.3 Btu/h ft F""#,
            Self::AreaHeatCapacity => r#""15 kJ/m2K" or "0.8 Btu/ft2 F""#,
            Self::WaterDepthRate => r#""1 mm/day" or "0.25 in/week""#,
            Self::Money => r#""120 $" or "$120""#,
            Self::EnergyPrice => r#""0.17 $/kWh", "$1.40/therm" or "0.30 €/kWh""#,
            Self::VolumePrice => r#""6 $/1000 gal" or "2.50 €/m3""#,
        }
    }

    /// The units to offer someone who wrote a bare number, the commonest first.
    #[must_use]
    pub const fn usual_units(self) -> &'static [&'static str] {
        match self {
            Self::Length => &["ft", "in", "m", "cm"],
            Self::Area => &["ft2", "m2"],
            Self::Volume => &["gal", "ft3", "L", "m3"],
            Self::Temperature => &["F", "°C"],
            Self::TemperatureDifference => &["F", "K"],
            Self::Flow => &["gpm", "L/min"],
            Self::Power => &["W", "kW", "Btu/h"],
            Self::Energy => &["kWh", "Btu", "therm"],
            Self::Speed => &["mph", "m/s", "km/h"],
            Self::Pressure => &["psi", "kPa", "bar"],
            Self::Duration => &["h", "min", "s"],
            Self::Mass => &["lb", "kg"],
            Self::Angle => &["deg"],
            Self::Conductance => &["W/m2K", "Btu/h ft2 F"],
            Self::Resistance => &["h ft2 F/Btu", "m2K/W"],
            Self::LinearConductance => &["W/mK", "Btu/h ft F"],
            Self::AreaHeatCapacity => &["kJ/m2K", "Btu/ft2 F"],
            Self::WaterDepthRate => &["mm/day", "in/week"],
            Self::Money => &["$", "€"],
            Self::EnergyPrice => &["$/kWh", "$/therm", "€/kWh"],
            Self::VolumePrice => &["$/1000 gal", "€/m3"],
        }
    }

    /// Whether it is written with a currency.
    #[must_use]
    pub const fn is_money(self) -> bool {
        matches!(self, Self::Money | Self::EnergyPrice | Self::VolumePrice)
    }
}

impl fmt::Display for Kind {
    /// With its article: "a length", "an area".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Volume => "a volume",
            Self::Temperature => "a temperature",
            Self::TemperatureDifference => "a temperature difference",
            Self::Flow => "a flow",
            Self::Power => "a power",
            Self::Energy => "an amount of energy",
            Self::Speed => "a speed",
            Self::Pressure => "a pressure",
            Self::Duration => "a length of time",
            Self::Mass => "a mass",
            Self::Angle => "an angle",
            Self::Conductance => "a conductance per area",
            Self::Resistance => "a thermal resistance",
            Self::LinearConductance => "a conductance per length",
            Self::AreaHeatCapacity => "a heat capacity per area",
            Self::WaterDepthRate => "a depth of water per time",
            Self::Money => "an amount of money",
            Self::EnergyPrice => "a price of energy",
            Self::VolumePrice => "a price of water",
        })
    }
}
