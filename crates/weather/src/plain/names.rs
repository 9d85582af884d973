//! Names of columns: a quantity and its unit, as people write them.
//!
//! Unit factors are those of `swimdays-quantity`; shares and sums of an interval are worked out here.

use swimdays_properties::constants::ZERO_CELSIUS_K;
use swimdays_quantity::{Kind, parse};

use crate::column::Column;

/// What a column measures, for the choice of its units.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sort {
    Temperature,
    Share,
    Pressure,
    Speed,
    Radiation,
    Depth,
}

/// A quantity that may have a column.
struct Quantity {
    column: Column,
    /// Names without the unit; the first is the one that we write.
    names: &'static [&'static str],
    sort: Sort,
}

#[rustfmt::skip]
const QUANTITIES: [Quantity; 12] = [
    Quantity { column: Column::Air, names: &["air", "air_temperature", "air_temp", "temperature", "temp"], sort: Sort::Temperature },
    Quantity { column: Column::DewPoint, names: &["dew_point", "dewpoint", "dew_point_temperature"], sort: Sort::Temperature },
    Quantity { column: Column::Humidity, names: &["humidity", "relative_humidity", "rh"], sort: Sort::Share },
    Quantity { column: Column::Pressure, names: &["pressure", "station_pressure"], sort: Sort::Pressure },
    Quantity { column: Column::Wind, names: &["wind", "wind_speed", "windspeed"], sort: Sort::Speed },
    Quantity { column: Column::Ghi, names: &["ghi", "global_horizontal_irradiance", "global"], sort: Sort::Radiation },
    Quantity { column: Column::Dni, names: &["dni", "direct_normal_irradiance"], sort: Sort::Radiation },
    Quantity { column: Column::Dhi, names: &["dhi", "diffuse_horizontal_irradiance", "diffuse"], sort: Sort::Radiation },
    Quantity { column: Column::Infrared, names: &["infrared", "longwave", "longwave_down"], sort: Sort::Radiation },
    Quantity { column: Column::SkyCover, names: &["sky_cover", "cloud_cover"], sort: Sort::Share },
    Quantity { column: Column::Rain, names: &["rain", "precipitation"], sort: Sort::Depth },
    Quantity { column: Column::Albedo, names: &["albedo"], sort: Sort::Share },
];

/// How the number of a cell becomes the value that [`crate::raw::Raw`] holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Convert {
    /// Value = number × 10^shift, moved in the decimal text: exact.
    Shift(i32),
    /// Value = `zero` + `factor` × number.
    Linear { zero: f64, factor: f64 },
    /// A sum over the interval, or a rate: as `Linear`, and divided by the hours of the interval to the power `hours`.
    PerHours { factor: f64, hours: i32 },
}

impl Convert {
    /// The same for an interval of known length.
    pub(super) fn settled(self, interval_minutes: u32) -> Self {
        match self {
            Self::PerHours { factor, hours } => Self::Linear {
                zero: 0.0,
                factor: factor * (f64::from(interval_minutes) / 60.0).powi(-hours),
            },
            other => other,
        }
    }

    /// The number that would stand in the file for a value.
    pub(super) fn back(self, value: f64) -> f64 {
        match self {
            Self::Shift(shift) => value * 10f64.powi(-shift),
            Self::Linear { zero, factor } => (value - zero) / factor,
            Self::PerHours { factor, .. } => value / factor,
        }
    }
}

/// What a name in the header turned out to be.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Name {
    /// A column of values; the unit as messages show it.
    Values {
        column: Column,
        convert: Convert,
        unit: String,
    },
    /// A known quantity whose name says no unit.
    NoUnit(Column),
    /// Anything else.
    Unknown,
}

/// Units of a sort that we own: spelling in a name, shown, conversion. The first few are the usual ones.
fn own_units(sort: Sort, column: Column) -> &'static [(&'static str, &'static str, Convert)] {
    use Convert::Shift;
    match sort {
        Sort::Temperature => &[
            ("c", "°C", Shift(0)),
            (
                "k",
                "K",
                Convert::Linear {
                    zero: -ZERO_CELSIUS_K,
                    factor: 1.0,
                },
            ),
        ],
        // The humidity is kept in percent, the other shares as fractions.
        Sort::Share if column == Column::Humidity => &[
            ("percent", "%", Shift(0)),
            ("pct", "%", Shift(0)),
            ("frac", "a fraction", Shift(2)),
        ],
        Sort::Share => &[
            ("frac", "a fraction", Shift(0)),
            ("percent", "%", Shift(-2)),
            ("pct", "%", Shift(-2)),
            ("tenths", "tenths", Shift(-1)),
            (
                "oktas",
                "eighths",
                Convert::Linear {
                    zero: 0.0,
                    factor: 0.125,
                },
            ),
        ],
        Sort::Pressure => &[
            ("pa", "Pa", Shift(0)),
            ("hpa", "hPa", Shift(2)),
            ("mbar", "mbar", Shift(2)),
            ("kpa", "kPa", Shift(3)),
        ],
        Sort::Speed => &[("m_s", "m/s", Shift(0)), ("ms", "m/s", Shift(0))],
        Sort::Radiation => &[("w_m2", "W/m²", Shift(0)), ("kw_m2", "kW/m²", Shift(3))],
        Sort::Depth => &[("mm", "mm", Shift(0))],
    }
}

/// The usual unit suffixes of a sort, for messages and for finding misspelt names.
fn usual_units(sort: Sort) -> &'static [&'static str] {
    match sort {
        Sort::Temperature => &["c", "f", "k"],
        Sort::Share => &["percent", "frac", "tenths", "oktas"],
        Sort::Pressure => &["pa", "hpa", "mbar", "kpa", "inhg"],
        Sort::Speed => &["m_s", "km_h", "mph", "kn"],
        Sort::Radiation => &["w_m2", "wh_m2", "kj_m2", "mj_m2"],
        Sort::Depth => &["mm", "in"],
    }
}

fn unit_of(quantity: &Quantity, unit: &str) -> Option<(Convert, String)> {
    let sort = quantity.sort;
    if let Some((_, shown, convert)) = own_units(sort, quantity.column)
        .iter()
        .find(|(spelling, ..)| *spelling == unit)
    {
        return Some((*convert, (*shown).to_owned()));
    }
    let slashed = unit.replace('_', "/");
    match sort {
        Sort::Share => None,
        Sort::Temperature => linear(&slashed, Kind::Temperature, 1.0),
        Sort::Pressure => linear(&slashed, Kind::Pressure, 1.0),
        Sort::Speed if unit == "kmh" => linear("km/h", Kind::Speed, 1.0),
        Sort::Speed => linear(&slashed, Kind::Speed, 1.0),
        Sort::Depth => {
            const MM_PER_M: f64 = 1000.0;
            let (depth, is_rate) = match unit.strip_suffix("_h") {
                Some(depth) => (depth, true),
                None => (unit, false),
            };
            let (convert, _) = linear(depth, Kind::Length, MM_PER_M)?;
            match convert {
                Convert::Linear { factor, .. } if is_rate => Some((
                    Convert::PerHours { factor, hours: -1 },
                    format!("{depth}/h"),
                )),
                _ => Some((convert, depth.to_owned())),
            }
        }
        // A sum over the interval, on a square metre or centimetre.
        Sort::Radiation => {
            const W_PER_KW: f64 = 1000.0;
            const CM2_PER_M2: f64 = 10_000.0;
            let (energy, per_area, area) = if let Some(energy) = unit.strip_suffix("_m2") {
                (energy, 1.0, "m²")
            } else {
                (unit.strip_suffix("_cm2")?, CM2_PER_M2, "cm²")
            };
            // The quantity crate tells MJ from mJ; in a name both are `mj`, and a sum of the sun is meant.
            let spelt = match energy {
                "wh" => "Wh",
                "kwh" => "kWh",
                "j" => "J",
                "kj" => "kJ",
                "mj" => "MJ",
                _ => return None,
            };
            let kwh = parse(&format!("1 {spelt}"), Kind::Energy).ok()?;
            Some((
                Convert::PerHours {
                    factor: kwh * W_PER_KW * per_area,
                    hours: 1,
                },
                format!("{spelt}/{area} of the interval"),
            ))
        }
    }
}

/// The conversion of a unit that the quantity crate knows, through two of its points; `scale` turns its unit into ours.
fn linear(unit: &str, kind: Kind, scale: f64) -> Option<(Convert, String)> {
    /// From 32 to 212 °F are 180 steps: with these points the factors of all units come out as they are written.
    const POINTS: (&str, &str, f64, f64) = ("32", "212", 32.0, 180.0);
    let (low, high, at, span) = POINTS;
    if !unit.starts_with(|c: char| c.is_ascii_alphabetic()) {
        return None;
    }
    let low = parse(&format!("{low} {unit}"), kind).ok()?;
    let high = parse(&format!("{high} {unit}"), kind).ok()?;
    let factor = (high - low) / span;
    // Where the unit starts at zero this is the rounding of the two points, and no offset.
    let zero = if kind == Kind::Temperature {
        low - at * factor
    } else {
        0.0
    };
    Some((
        Convert::Linear {
            zero: zero * scale,
            factor: factor * scale,
        },
        match unit {
            "f" => "°F".to_owned(),
            "inhg" => "inHg".to_owned(),
            other => other.to_owned(),
        },
    ))
}

/// A name in the form in which names are compared: `Wind [km/h]` → `wind_km_h`, `GHI (W/m²)` → `ghi_w_m2`.
pub(super) fn bare(cell: &[u8]) -> String {
    let text = String::from_utf8_lossy(cell);
    let mut out = String::new();
    let mut gap = false;
    let mut put = |text: &str, gap: &mut bool| {
        if *gap && !out.is_empty() {
            out.push('_');
        }
        *gap = false;
        out.push_str(text);
    };
    let mut buffer = [0_u8; 4];
    for c in text.chars().take(80) {
        match c {
            '%' => {
                gap = true;
                put("percent", &mut gap);
            }
            '²' => put("2", &mut gap),
            '°' | '^' | '"' => {}
            c if c.is_alphanumeric() => {
                put(c.to_ascii_lowercase().encode_utf8(&mut buffer), &mut gap)
            }
            _ => gap = true,
        }
    }
    out
}

/// What a bare name stands for.
pub(super) fn name(bare: &str) -> Name {
    for quantity in &QUANTITIES {
        for name in quantity.names {
            let Some(rest) = bare.strip_prefix(name) else {
                continue;
            };
            if rest.is_empty() {
                return Name::NoUnit(quantity.column);
            }
            let Some(unit) = rest.strip_prefix('_') else {
                continue;
            };
            let unit = unit.strip_prefix("deg_").unwrap_or(unit);
            if let Some((convert, unit)) = unit_of(quantity, unit) {
                return Name::Values {
                    column: quantity.column,
                    convert,
                    unit,
                };
            }
        }
    }
    Name::Unknown
}

fn quantity(column: Column) -> Option<&'static Quantity> {
    QUANTITIES.iter().find(|q| q.column == column)
}

/// What to do about a number that its column's unit forbids and another unit explains: name it.
pub(super) fn looks_like(column: Column, unit: &str, number: f64) -> Option<String> {
    let name = quantity(column)?.names[0];
    let (shown, suffix) = crate::unit_guess::looks_like(column, unit, number)?;
    Some(format!(
        "it looks like {shown}: if so, name the column `{name}_{suffix}`"
    ))
}

/// The name that we write for a column: with its SI unit, or percent for the humidity.
pub(crate) fn written(column: Column) -> String {
    quantity(column).map_or_else(String::new, |q| {
        let unit = own_units(q.sort, q.column)
            .first()
            .map_or("", |(unit, ..)| *unit);
        format!("{}_{unit}", q.names[0])
    })
}

/// The names a column may have, as a message lists them: `wind_m_s`, `wind_km_h` ….
pub(super) fn allowed(column: Column) -> String {
    quantity(column).map_or_else(String::new, |q| {
        let all: Vec<String> = usable_units(q)
            .map(|unit| format!("`{}_{unit}`", q.names[0]))
            .collect();
        all.join(", ")
    })
}

fn usable_units(quantity: &'static Quantity) -> impl Iterator<Item = &'static &'static str> {
    usual_units(quantity.sort)
        .iter()
        .filter(|unit| unit_of(quantity, unit).is_some())
}

/// The known name that a bare one is misspelt from, with its column, if it is close to any.
pub(super) fn nearest(bare: &str) -> Option<(String, Column)> {
    // One slip in a short name, two in a longer one (common practice, no source).
    let slips = if bare.chars().count() <= 6 { 1 } else { 2 };
    QUANTITIES
        .iter()
        .flat_map(|q| {
            let units: Vec<&str> = usable_units(q).copied().collect();
            q.names.iter().flat_map(move |name| {
                units
                    .clone()
                    .into_iter()
                    .map(move |unit| (format!("{name}_{unit}"), q.column))
            })
        })
        .map(|(name, column)| (strsim::damerau_levenshtein(bare, &name), name, column))
        .filter(|(distance, ..)| *distance <= slips)
        .min_by_key(|(distance, ..)| *distance)
        .map(|(_, name, column)| (name, column))
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROUNDING: f64 = 1e-12;

    fn value(name_: &str, number: f64, minutes: u32) -> f64 {
        let Name::Values { convert, .. } = name(&bare(name_.as_bytes())) else {
            panic!("{name_}: {:?}", name(&bare(name_.as_bytes())));
        };
        match convert.settled(minutes) {
            Convert::Shift(shift) => number * 10f64.powi(shift),
            Convert::Linear { zero, factor } => zero + factor * number,
            Convert::PerHours { .. } => f64::NAN,
        }
    }

    /// By hand from the definitions of the units (NIST SP 811, appendix B.8: 1 inHg = 3386.389 Pa, 1 mph = 0.44704 m/s,
    /// 1 kn = 1852/3600 m/s).
    #[test]
    fn units_are_converted() {
        for (name, number, minutes, expected) in [
            ("air_c", 21.5, 60, 21.5),
            ("air_f", 68.0, 60, 20.0),
            ("air_f", -40.0, 60, -40.0),
            ("air_k", 293.15, 60, 20.0),
            ("dew_point_f", 50.0, 60, 10.0),
            ("humidity_percent", 60.0, 60, 60.0),
            ("humidity_frac", 0.6, 60, 60.0),
            ("pressure_pa", 101_325.0, 60, 101_325.0),
            ("pressure_hpa", 1013.25, 60, 101_325.0),
            ("pressure_mbar", 1013.25, 60, 101_325.0),
            ("pressure_kpa", 101.325, 60, 101_325.0),
            ("pressure_inhg", 30.0, 60, 101_591.67),
            ("wind_m_s", 3.0, 60, 3.0),
            ("wind_km_h", 36.0, 60, 10.0),
            ("wind_kmh", 36.0, 60, 10.0),
            ("wind_mph", 10.0, 60, 4.4704),
            ("wind_kn", 3600.0, 60, 1852.0),
            ("ghi_w_m2", 500.0, 15, 500.0),
            ("ghi_wh_m2", 500.0, 60, 500.0),
            ("ghi_wh_m2", 125.0, 15, 500.0),
            ("ghi_kj_m2", 1800.0, 60, 500.0),
            ("dni_mj_m2", 0.9, 30, 500.0),
            ("dhi_j_cm2", 36.0, 60, 100.0),
            ("infrared_w_m2", 320.0, 60, 320.0),
            ("sky_cover_oktas", 4.0, 60, 0.5),
            ("sky_cover_tenths", 5.0, 60, 0.5),
            ("sky_cover_percent", 50.0, 60, 0.5),
            ("rain_mm", 2.0, 30, 2.0),
            ("rain_in", 0.5, 30, 12.7),
            ("rain_mm_h", 2.0, 30, 1.0),
            ("albedo_frac", 0.2, 60, 0.2),
        ] {
            let found = value(name, number, minutes);
            assert!(
                (found - expected).abs() <= ROUNDING * expected.abs().max(1.0),
                "{name}: {found}, expected {expected}"
            );
        }
    }

    #[test]
    fn names_are_read_as_people_write_them() {
        for (written, plain) in [
            ("Air (°C)", "air_c"),
            ("Temperature [F]", "air_f"),
            ("GHI (W/m²)", "ghi_w_m2"),
            ("ghi W/m^2", "ghi_w_m2"),
            ("Wind Speed (km/h)", "wind_km_h"),
            ("Relative Humidity (%)", "humidity_percent"),
            ("RH%", "humidity_percent"),
            ("Dewpoint deg C", "dew_point_c"),
        ] {
            let (found, expected) = (name(&bare(written.as_bytes())), name(plain));
            assert!(matches!(found, Name::Values { .. }), "{written}: {found:?}");
            assert_eq!(found, expected, "{written}");
        }
    }

    #[test]
    fn what_is_not_meant_is_not_taken() {
        for other in [
            "wind_direction_deg",
            "wind_gust_m_s",
            "rain_probability_percent",
            "pressure_msl_hpa",
            "air_quality",
            "",
            "ghi_w",
        ] {
            assert_eq!(name(other), Name::Unknown, "{other}");
            assert_eq!(nearest(other).filter(|_| other != "ghi_w"), None, "{other}");
        }
    }

    #[test]
    fn slips_find_their_name() {
        for (slip, right) in [
            ("airc", "air_c"),
            ("humidty_percent", "humidity_percent"),
            ("gih_w_m2", "ghi_w_m2"),
            ("wnid_m_s", "wind_m_s"),
            ("preasure_hpa", "pressure_hpa"),
            ("dew_piont_c", "dew_point_c"),
            ("skycover_oktas", "sky_cover_oktas"),
        ] {
            assert_eq!(nearest(slip).map(|(name, _)| name), Some(right.to_owned()));
        }
    }

    #[test]
    fn every_written_name_is_known() {
        for quantity in &QUANTITIES {
            let written = written(quantity.column);
            assert!(
                matches!(
                    name(&written),
                    Name::Values {
                        convert: Convert::Shift(0),
                        ..
                    }
                ),
                "{written}"
            );
            assert!(allowed(quantity.column).contains(&written));
        }
    }
}
