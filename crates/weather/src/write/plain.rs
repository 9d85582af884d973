//! The plain CSV writer.

use std::fmt::Write as _;

use crate::column::Column;
use crate::plain::{normals_line, written};
use crate::year::{WeatherYear, YearKind};

/// The year as plain CSV: place, kind, time, radiation shift, what was known of a made year, and every column, as the reader gives them back bit for bit.
///
/// Times are the starts of the intervals in local standard time. Notes are not carried.
#[must_use]
pub fn to_plain(year: &WeatherYear) -> String {
    let place = &year.place;
    let columns: Vec<(Column, &[f64])> = year.columns.each().collect();

    let mut out = String::with_capacity(year.len() * (20 + 8 * columns.len()) + 500);
    let _ = writeln!(out, "# place: {}", super::name(&place.name));
    let _ = writeln!(out, "# latitude_deg: {}", place.latitude_deg);
    let _ = writeln!(out, "# longitude_deg: {}", place.longitude_deg);
    let _ = writeln!(out, "# altitude_m: {}", place.altitude_m);
    let _ = writeln!(out, "# utc_offset_h: {}", place.utc_offset_h);
    let typical = match year.kind {
        YearKind::Typical => "yes",
        YearKind::Measured => "no",
    };
    let _ = writeln!(out, "# typical: {typical}");
    let _ = writeln!(out, "# time: start of the interval, local standard time");
    let _ = writeln!(out, "# interval_minutes: {}", year.interval_minutes);
    if year.radiation_shift_minutes.abs() > 0.0 {
        let _ = writeln!(
            out,
            "# radiation_shift_minutes: {}",
            year.radiation_shift_minutes
        );
    }
    out.push_str(&normals_line(year.normals));
    out.push_str("time");
    for (column, _) in &columns {
        out.push(',');
        out.push_str(&written(*column));
    }
    out.push('\n');
    for i in 0..year.len() {
        let _ = write!(out, "{}", year.start_of(i).format("%Y-%m-%d %H:%M"));
        for (_, values) in &columns {
            let _ = write!(out, ",{}", values[i]);
        }
        out.push('\n');
    }
    out
}
