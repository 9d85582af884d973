//! The months as CSV.

use std::io::Write;

use super::{WeatherReport, WeatherStretch};
use crate::ReportError;

/// One column: its name, its decimals and its value.
type Column = (&'static str, usize, fn(&WeatherStretch) -> Option<f64>);

const COLUMNS: [Column; 13] = [
    ("air_mean_c", 2, |s| s.mean.map(|m| m.air_c)),
    ("air_daily_min_c", 2, |s| s.air_daily_min_c),
    ("air_daily_max_c", 2, |s| s.air_daily_max_c),
    ("air_lowest_c", 2, |s| s.air_lowest_c),
    ("air_highest_c", 2, |s| s.air_highest_c),
    ("dew_point_mean_c", 2, |s| s.mean.map(|m| m.dew_point_c)),
    ("wind_mean_m_s", 2, |s| s.mean.map(|m| m.wind_m_s)),
    ("ghi_mean_w_m2", 1, |s| s.mean.map(|m| m.ghi_w_m2)),
    ("dni_mean_w_m2", 1, |s| s.mean.map(|m| m.dni_w_m2)),
    ("dhi_mean_w_m2", 1, |s| s.mean.map(|m| m.dhi_w_m2)),
    ("sun_kwh_m2_day", 3, |s| s.sun_kwh_m2_day),
    ("clearness_frac", 3, |s| s.clearness_frac),
    ("rain_mm", 1, |s| s.rain_mm),
];

/// Writes January to December; SI units in the header, an absent value is an empty cell.
///
/// # Errors
/// [`ReportError::Table`] when writing fails.
pub fn write_months_csv(out: impl Write, report: &WeatherReport) -> Result<(), ReportError> {
    let mut table = csv::Writer::from_writer(out);
    table.write_record(
        ["month", "intervals", "whole_days"]
            .into_iter()
            .chain(COLUMNS.iter().map(|c| c.0)),
    )?;
    for (month, part) in (1..=12).zip(&report.months) {
        let counts = [
            format!("{month}"),
            part.intervals.to_string(),
            part.whole_days.to_string(),
        ];
        let values = COLUMNS.iter().map(|(_, decimals, of)| {
            of(part).map_or_else(String::new, |v| format!("{v:.decimals$}"))
        });
        table.write_record(counts.into_iter().chain(values))?;
    }
    table.flush().map_err(csv::Error::from)?;
    Ok(())
}
