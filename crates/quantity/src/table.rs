//! The units, their spellings and their factors.
//!
//! Source of every factor unless said otherwise: NIST Special Publication 811 (2008), *Guide for the Use of the
//! International System of Units*, appendix B.8; factors marked exact there are written in full or built from
//! exact ones.

use crate::Kind;

/// Inch in metres, exact.
const INCH: f64 = 0.0254;
/// Foot in metres, exact.
const FOOT: f64 = 0.3048;
/// US gallon in m³, exact: 231 cubic inches.
const GALLON: f64 = 231.0 * INCH * INCH * INCH;
/// Imperial gallon in m³, exact.
const IMPERIAL_GALLON: f64 = 4.546_09e-3;
/// Pound in kg, exact.
const POUND: f64 = 0.453_592_37;
/// British thermal unit (International Table) in J, exact.
const BTU: f64 = 1_055.055_852_62;
/// Joules in a kilowatt-hour, exact.
const KWH: f64 = 3.6e6;
/// US therm in J: the legal unit of the US gas trade, based on another British thermal unit than the one above.
const THERM: f64 = 1.054_804e8;
/// Kelvin in a degree Fahrenheit, exact.
pub(crate) const FAHRENHEIT_K: f64 = 5.0 / 9.0;
/// °C at 0 °F.
pub(crate) const ZERO_FAHRENHEIT_C: f64 = -32.0 * FAHRENHEIT_K;
/// Pascals in a pound-force per square inch, from exact factors.
const PSI: f64 = POUND * 9.806_65 / (INCH * INCH);
/// W/(m²·K) in Btu/(h·ft²·°F).
const BTU_H_FT2_F: f64 = BTU / 3600.0 / (FOOT * FOOT) / FAHRENHEIT_K;
/// Seconds in a day and in a week.
const DAY: f64 = 86_400.0;
const WEEK: f64 = 7.0 * DAY;

/// One unit: what it measures, how it is spelt (without spaces, brackets, dots and degree signs) and
/// `value = offset + factor × number`.
pub(crate) struct Unit {
    pub(crate) kind: Kind,
    pub(crate) spellings: &'static [&'static str],
    pub(crate) factor: f64,
    pub(crate) offset: f64,
}

const fn unit(kind: Kind, spellings: &'static [&'static str], factor: f64) -> Unit {
    Unit {
        kind,
        spellings,
        factor,
        offset: 0.0,
    }
}

/// Every unit. Where one spelling serves two kinds ("F", "C", "lb"), the wanted kind decides.
pub(crate) static UNITS: &[Unit] = &[
    unit(
        Kind::Length,
        &[
            "mm",
            "millimetre",
            "millimetres",
            "millimeter",
            "millimeters",
        ],
        1e-3,
    ),
    unit(
        Kind::Length,
        &[
            "cm",
            "centimetre",
            "centimetres",
            "centimeter",
            "centimeters",
        ],
        1e-2,
    ),
    unit(
        Kind::Length,
        &["m", "metre", "metres", "meter", "meters"],
        1.0,
    ),
    unit(
        Kind::Length,
        &["km", "kilometre", "kilometres", "kilometer", "kilometers"],
        1e3,
    ),
    unit(Kind::Length, &["in", "in.", "inch", "inches", "\""], INCH),
    unit(Kind::Length, &["ft", "ft.", "foot", "feet", "'"], FOOT),
    unit(Kind::Length, &["yd", "yd.", "yard", "yards"], 3.0 * FOOT),
    unit(Kind::Length, &["mi", "mile", "miles"], 5280.0 * FOOT),
    unit(
        Kind::Area,
        &["m2", "sqm", "squaremetres", "squaremeters"],
        1.0,
    ),
    unit(Kind::Area, &["cm2", "sqcm"], 1e-4),
    unit(Kind::Area, &["mm2"], 1e-6),
    unit(
        Kind::Area,
        &["ft2", "sqft", "sq.ft.", "sq.ft", "squarefeet", "squarefoot"],
        FOOT * FOOT,
    ),
    unit(
        Kind::Area,
        &["in2", "sqin", "sq.in.", "squareinches"],
        INCH * INCH,
    ),
    unit(
        Kind::Area,
        &["yd2", "sqyd", "squareyards"],
        9.0 * FOOT * FOOT,
    ),
    unit(
        Kind::Volume,
        &["m3", "cubicmetres", "cubicmeters", "cum"],
        1.0,
    ),
    unit(
        Kind::Volume,
        &["L", "l", "liter", "liters", "litre", "litres"],
        1e-3,
    ),
    unit(Kind::Volume, &["mL", "ml", "cm3"], 1e-6),
    unit(
        Kind::Volume,
        &[
            "gal",
            "gal.",
            "gallon",
            "gallons",
            "USgal",
            "USgallon",
            "USgallons",
        ],
        GALLON,
    ),
    unit(
        Kind::Volume,
        &[
            "impgal",
            "imp.gal.",
            "imperialgal",
            "imperialgallon",
            "imperialgallons",
            "UKgal",
            "UKgallons",
        ],
        IMPERIAL_GALLON,
    ),
    unit(Kind::Volume, &["qt", "quart", "quarts"], GALLON / 4.0),
    unit(
        Kind::Volume,
        &["ft3", "cuft", "cu.ft.", "cf", "cubicfeet", "cubicfoot"],
        FOOT * FOOT * FOOT,
    ),
    unit(Kind::Volume, &["CCF", "ccf"], 100.0 * FOOT * FOOT * FOOT),
    unit(
        Kind::Volume,
        &["in3", "cuin", "cubicinches"],
        INCH * INCH * INCH,
    ),
    unit(
        Kind::Volume,
        &["yd3", "cuyd", "cubicyards"],
        27.0 * FOOT * FOOT * FOOT,
    ),
    unit(
        Kind::Temperature,
        &["C", "degC", "degreesC", "Celsius", "degreesCelsius"],
        1.0,
    ),
    Unit {
        kind: Kind::Temperature,
        spellings: &["F", "degF", "degreesF", "Fahrenheit", "degreesFahrenheit"],
        factor: FAHRENHEIT_K,
        offset: ZERO_FAHRENHEIT_C,
    },
    unit(
        Kind::TemperatureDifference,
        &["K", "C", "degC", "kelvin", "degreesC"],
        1.0,
    ),
    unit(
        Kind::TemperatureDifference,
        &["F", "degF", "degreesF"],
        FAHRENHEIT_K,
    ),
    unit(Kind::Flow, &["m3/s"], 1.0),
    unit(Kind::Flow, &["m3/h", "m3/hr", "m3/hour"], 1.0 / 3600.0),
    unit(Kind::Flow, &["m3/day", "m3/d"], 1.0 / DAY),
    unit(Kind::Flow, &["m3/week", "m3/wk"], 1.0 / WEEK),
    unit(Kind::Flow, &["L/s", "l/s"], 1e-3),
    unit(
        Kind::Flow,
        &[
            "L/min",
            "l/min",
            "lpm",
            "LPM",
            "liters/minute",
            "litres/minute",
        ],
        1e-3 / 60.0,
    ),
    unit(Kind::Flow, &["L/h", "l/h", "L/hr", "lph"], 1e-3 / 3600.0),
    unit(Kind::Flow, &["L/day", "l/day", "L/d"], 1e-3 / DAY),
    unit(Kind::Flow, &["L/week", "l/week", "L/wk"], 1e-3 / WEEK),
    unit(
        Kind::Flow,
        &[
            "gpm",
            "GPM",
            "gal/min",
            "gallons/minute",
            "gallons/min",
            "USgpm",
        ],
        GALLON / 60.0,
    ),
    unit(
        Kind::Flow,
        &["gph", "GPH", "gal/h", "gal/hr", "gal/hour", "gallons/hour"],
        GALLON / 3600.0,
    ),
    unit(
        Kind::Flow,
        &["gal/day", "gal/d", "gpd", "gallons/day"],
        GALLON / DAY,
    ),
    unit(
        Kind::Flow,
        &["gal/week", "gal/wk", "gallons/week"],
        GALLON / WEEK,
    ),
    unit(
        Kind::Flow,
        &["impgal/min", "impgpm"],
        IMPERIAL_GALLON / 60.0,
    ),
    unit(Kind::Flow, &["ft3/min", "cfm"], FOOT * FOOT * FOOT / 60.0),
    unit(Kind::Power, &["W", "watt", "watts"], 1.0),
    unit(Kind::Power, &["kW", "kilowatt", "kilowatts"], 1e3),
    unit(Kind::Power, &["MW"], 1e6),
    unit(
        Kind::Power,
        &["Btu/h", "Btu/hr", "Btuh", "Btu/hour", "BTUH"],
        BTU / 3600.0,
    ),
    // The horsepower of 550 foot pound-force per second.
    unit(
        Kind::Power,
        &["hp", "HP", "horsepower"],
        550.0 * FOOT * POUND * 9.806_65,
    ),
    unit(Kind::Energy, &["kWh", "kwh", "KWH"], 1.0),
    unit(Kind::Energy, &["MWh"], 1e3),
    unit(Kind::Energy, &["Wh"], 1e-3),
    unit(Kind::Energy, &["J"], 1.0 / KWH),
    unit(Kind::Energy, &["kJ"], 1e3 / KWH),
    unit(Kind::Energy, &["MJ"], 1e6 / KWH),
    unit(Kind::Energy, &["GJ"], 1e9 / KWH),
    unit(Kind::Energy, &["Btu", "BTU"], BTU / KWH),
    unit(Kind::Energy, &["MMBtu", "MMBTU"], 1e6 * BTU / KWH),
    unit(Kind::Energy, &["therm", "therms"], THERM / KWH),
    unit(Kind::Speed, &["m/s"], 1.0),
    unit(Kind::Speed, &["km/h", "kph", "km/hr"], 1.0 / 3.6),
    unit(
        Kind::Speed,
        &["mph", "mi/h", "miles/hour"],
        5280.0 * FOOT / 3600.0,
    ),
    unit(Kind::Speed, &["ft/s", "fps"], FOOT),
    unit(Kind::Speed, &["ft/min", "fpm"], FOOT / 60.0),
    unit(Kind::Speed, &["kn", "knot", "knots", "kt"], 1852.0 / 3600.0),
    unit(Kind::Pressure, &["Pa"], 1.0),
    unit(Kind::Pressure, &["hPa", "mbar"], 1e2),
    unit(Kind::Pressure, &["kPa"], 1e3),
    unit(Kind::Pressure, &["MPa"], 1e6),
    unit(Kind::Pressure, &["bar"], 1e5),
    unit(Kind::Pressure, &["psi", "lbf/in2"], PSI),
    unit(Kind::Pressure, &["atm"], 101_325.0),
    // Conventional values of SP 811.
    unit(Kind::Pressure, &["inHg"], 3386.389),
    unit(Kind::Pressure, &["mmHg"], 133.322_4),
    unit(Kind::Pressure, &["ftH2O", "ftofwater"], 2989.067),
    unit(Kind::Pressure, &["mH2O", "mofwater"], 9806.65),
    unit(
        Kind::Duration,
        &["s", "sec", "secs", "second", "seconds"],
        1.0,
    ),
    unit(Kind::Duration, &["min", "mins", "minute", "minutes"], 60.0),
    unit(Kind::Duration, &["h", "hr", "hrs", "hour", "hours"], 3600.0),
    unit(Kind::Duration, &["d", "day", "days"], DAY),
    unit(Kind::Duration, &["wk", "week", "weeks"], WEEK),
    unit(Kind::Mass, &["kg", "kilogram", "kilograms"], 1.0),
    unit(Kind::Mass, &["g", "gram", "grams"], 1e-3),
    unit(Kind::Mass, &["t", "tonne", "tonnes"], 1e3),
    unit(Kind::Mass, &["lb", "lbs", "lb.", "pound", "pounds"], POUND),
    unit(Kind::Mass, &["oz", "ounce", "ounces"], POUND / 16.0),
    unit(Kind::Angle, &["deg", "degree", "degrees", "°"], 1.0),
    unit(Kind::Angle, &["rad"], 180.0 / std::f64::consts::PI),
    unit(
        Kind::Conductance,
        &["W/m2K", "W/m2/K", "W/Km2", "W/m2C"],
        1.0,
    ),
    unit(
        Kind::Conductance,
        &[
            "Btu/hft2F",
            "Btu/hrft2F",
            "Btu/ft2hF",
            "Btu/ft2hrF",
            "Btu/h/ft2/F",
            "Btuh/ft2F",
        ],
        BTU_H_FT2_F,
    ),
    unit(Kind::Resistance, &["m2K/W", "Km2/W", "m2C/W"], 1.0),
    unit(
        Kind::Resistance,
        &[
            "hft2F/Btu",
            "hrft2F/Btu",
            "ft2hF/Btu",
            "ft2hrF/Btu",
            "ft2Fh/Btu",
            "hFft2/Btu",
            "R",
        ],
        1.0 / BTU_H_FT2_F,
    ),
    unit(Kind::LinearConductance, &["W/mK", "W/m/K", "W/mC"], 1.0),
    unit(
        Kind::LinearConductance,
        &["Btu/hftF", "Btu/hrftF", "Btu/fthF", "Btu/h/ft/F"],
        BTU_H_FT2_F * FOOT,
    ),
    unit(
        Kind::LinearConductance,
        &["Btuin/hft2F", "Btuin/hrft2F"],
        BTU_H_FT2_F * INCH,
    ),
    unit(Kind::AreaHeatCapacity, &["J/m2K"], 1.0),
    unit(Kind::AreaHeatCapacity, &["kJ/m2K"], 1e3),
    unit(
        Kind::AreaHeatCapacity,
        &["Btu/ft2F"],
        BTU / (FOOT * FOOT) / FAHRENHEIT_K,
    ),
    unit(Kind::WaterDepthRate, &["mm/day", "mm/d"], 1.0),
    unit(Kind::WaterDepthRate, &["mm/h", "mm/hr"], 24.0),
    unit(Kind::WaterDepthRate, &["mm/week", "mm/wk"], 1.0 / 7.0),
    unit(Kind::WaterDepthRate, &["cm/day", "cm/d"], 10.0),
    unit(
        Kind::WaterDepthRate,
        &["in/day", "in/d", "inches/day", "inch/day"],
        25.4,
    ),
    unit(
        Kind::WaterDepthRate,
        &["in/week", "in/wk", "inches/week", "inch/week"],
        25.4 / 7.0,
    ),
];

/// A unit's text without what does not change its meaning: spaces, brackets, dots between factors, `^`, "°".
pub(crate) fn bare_spelling(text: &str) -> String {
    let text = text.trim();
    if text == "°" {
        return text.to_owned();
    }
    let mut bare = String::new();
    for word in text.split_whitespace() {
        if word.eq_ignore_ascii_case("per") {
            bare.push('/');
        } else {
            for c in word.chars() {
                match c {
                    '(' | ')' | '·' | '⋅' | '^' | '°' | '*' => {}
                    '²' => bare.push('2'),
                    '³' => bare.push('3'),
                    c => bare.push(c),
                }
            }
        }
    }
    // A hyphen between factors, as in "Btu/h-ft2-F".
    if bare.len() > 1 {
        bare.replace('-', "")
    } else {
        bare
    }
}

/// The unit that `text` spells, of the wanted kind if there is one.
pub(crate) fn find(text: &str, wanted: Kind) -> Option<&'static Unit> {
    let bare = bare_spelling(text);
    if bare.is_empty() {
        return None;
    }
    let exact = || {
        UNITS
            .iter()
            .filter(|u| u.spellings.contains(&bare.as_str()))
    };
    let loose = || {
        UNITS
            .iter()
            .filter(|u| u.spellings.iter().any(|s| s.eq_ignore_ascii_case(&bare)))
    };
    exact()
        .find(|u| u.kind == wanted)
        .or_else(|| exact().next())
        .or_else(|| loose().find(|u| u.kind == wanted))
        .or_else(|| loose().next())
}
