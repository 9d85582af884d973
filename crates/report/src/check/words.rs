//! Powers, temperatures and ranges as a builder reads them.

use swimdays_check::{Cause, Parameter};
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

/// Stable name of a cause.
pub(super) const fn cause_word(cause: Cause) -> &'static str {
    match cause {
        Cause::AsBuilt => "as_built",
        Cause::FlowTooLow => "flow_too_low",
        Cause::AirInCoil => "air_in_coil",
        Cause::Shaded => "shaded",
        Cause::CoverOff => "cover_off",
        Cause::MoreWind => "more_wind",
        Cause::WaterLost => "water_lost",
        Cause::ThermometerOff => "thermometer_off",
    }
}

/// A cause as a sentence without its full stop, within a sentence.
pub(super) const fn cause_sentence(cause: Cause) -> &'static str {
    match cause {
        Cause::AsBuilt => "pool and heater do what they should",
        Cause::FlowTooLow => "too little water goes through the heater",
        Cause::AirInCoil => "air sits in the tube, so that part of it carries no water",
        Cause::Shaded => "something stands in the sun",
        Cause::CoverOff => "the cover leaks, or lies off the water",
        Cause::MoreWind => "more wind blows over the water than the scenario says",
        Cause::WaterLost => "the pool loses water",
        Cause::ThermometerOff => "a thermometer is off",
    }
}

/// What to mind when looking for it; the first words of a caution.
pub(super) const fn cause_caution(cause: Cause) -> &'static str {
    match cause {
        Cause::FlowTooLow | Cause::AirInCoil => {
            "Before you open a joint let the tube cool: water that stood in the sun scalds, and behind shut valves it is under pressure."
        }
        Cause::CoverOff => {
            "A cover can drown a child or a pet: take it off altogether before anybody swims."
        }
        Cause::WaterLost => {
            "Water at pump and wiring kills: switch off at the breaker before you look there; a licensed electrician mends it."
        }
        Cause::Shaded | Cause::MoreWind => {
            "On roofs and ladders people fall, and a filled board is heavy; nothing that you put up may help a child over the fence."
        }
        Cause::AsBuilt | Cause::ThermometerOff => {
            "The first water out of a tube that stood in the sun scalds: let it run below the surface, away from people, before you measure."
        }
    }
}

/// Stable name of a number that is learnt.
pub(super) const fn key_word(key: Parameter) -> &'static str {
    match key {
        Parameter::WindShelter => "wind_at_water_frac",
        Parameter::CoverEffect => "cover_holds_back_frac",
        Parameter::CoverSun => "cover_transmittance_frac",
        Parameter::HeaterPerformance => "heater_performance",
        Parameter::HeaterWind => "wind_at_heater_frac",
        Parameter::SunOnWater => "sun_factor",
        Parameter::Flow => "flow_factor",
        Parameter::StartTemperature => "start_c",
        Parameter::OffsetWater => "offset_water_k",
        Parameter::OffsetInlet => "offset_inlet_k",
        Parameter::OffsetOutlet => "offset_outlet_k",
        Parameter::EvaporationEquation => "evaporation_equation",
        Parameter::EvaporationLevel => "evaporation_level_frac",
        Parameter::WindByDay => "wind_by_day_frac",
    }
}

/// The same for the builder, at the head of a row.
pub(super) const fn key_title(key: Parameter) -> &'static str {
    match key {
        Parameter::WindShelter => "wind at the water",
        Parameter::CoverEffect => "evaporation the cover holds back",
        Parameter::CoverSun => "sun through the cover",
        Parameter::HeaterPerformance => "heat of the heater",
        Parameter::HeaterWind => "wind at the heater",
        Parameter::SunOnWater => "sun on the water",
        Parameter::Flow => "flow through the heater",
        Parameter::StartTemperature => "water at the beginning",
        Parameter::OffsetWater => "pool’s thermometer off by",
        Parameter::OffsetInlet => "inlet’s thermometer off by",
        Parameter::OffsetOutlet => "outlet’s thermometer off by",
        Parameter::EvaporationEquation => "equation of evaporation",
        Parameter::EvaporationLevel => "evaporation beyond the equation",
        Parameter::WindByDay => "wind by day over by night",
    }
}

/// A value of it with its unit.
pub(super) fn key_value(key: Parameter, value: f64, units: Units) -> String {
    match key {
        Parameter::StartTemperature => degrees(value, units),
        Parameter::OffsetWater | Parameter::OffsetInlet | Parameter::OffsetOutlet => {
            kelvin(value, units)
        }
        _ => format!("{:.0}{TIE}%", 100.0 * value),
    }
}

/// What the percent of it are of.
pub(super) const fn key_of(key: Parameter) -> &'static str {
    match key {
        Parameter::WindShelter | Parameter::HeaterWind => " of the weather station’s",
        Parameter::CoverEffect => " of open water’s",
        Parameter::CoverSun => " of the sun",
        Parameter::HeaterPerformance => " of what the physics says",
        Parameter::SunOnWater | Parameter::Flow => " of the scenario’s",
        _ => "",
    }
}

/// Whether it is about pool and heater, and so worth a line; thermometers and beginnings are means to an end.
pub(super) const fn is_telling(key: Parameter) -> bool {
    matches!(
        key,
        Parameter::WindShelter
            | Parameter::CoverEffect
            | Parameter::HeaterPerformance
            | Parameter::SunOnWater
            | Parameter::Flow
    )
}
