//! Which unit a number has that its column's unit forbids.

use crate::column::Column;

/// One unit by which pressures or temperatures are written, and the numbers that speak for it.
struct Candidate {
    columns: &'static [Column],
    shown: &'static str,
    /// As a name of a column ends with it.
    suffix: &'static str,
    low: f64,
    high: f64,
}

const PRESSURE: &[Column] = &[Column::Pressure];
const TEMPERATURE: &[Column] = &[Column::Air, Column::DewPoint];

/// Pressures of places where people live, 50 to 108.5 kPa, are told apart in all units; temperatures beyond the hottest in °C
/// are °F up to the hottest there, then kelvins.
#[rustfmt::skip]
const CANDIDATES: [Candidate; 6] = [
    Candidate { columns: PRESSURE, shown: "hPa", suffix: "hpa", low: 500.0, high: 1085.0 },
    Candidate { columns: PRESSURE, shown: "kPa", suffix: "kpa", low: 50.0, high: 108.5 },
    Candidate { columns: PRESSURE, shown: "inHg", suffix: "inhg", low: 14.8, high: 32.1 },
    Candidate { columns: PRESSURE, shown: "Pa", suffix: "pa", low: 50_000.0, high: 108_500.0 },
    Candidate { columns: TEMPERATURE, shown: "°F", suffix: "f", low: 40.0, high: 140.0 },
    Candidate { columns: TEMPERATURE, shown: "K", suffix: "k", low: 180.0, high: 333.15 },
];

/// Another unit than `unit` that explains a number which `unit` forbids: as it is shown, and as a column's name ends with it.
pub(crate) fn looks_like(
    column: Column,
    unit: &str,
    number: f64,
) -> Option<(&'static str, &'static str)> {
    CANDIDATES
        .iter()
        .find(|c| {
            c.columns.contains(&column) && c.shown != unit && (c.low..=c.high).contains(&number)
        })
        .map(|c| (c.shown, c.suffix))
}
