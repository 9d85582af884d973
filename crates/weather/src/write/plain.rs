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
    let c = &year.columns;
    let needed = [
        (Column::Air, &c.air_c),
        (Column::DewPoint, &c.dew_point_c),
        (Column::Pressure, &c.pressure_pa),
        (Column::Wind, &c.wind_m_s),
        (Column::Ghi, &c.ghi_w_m2),
        (Column::Dni, &c.dni_w_m2),
        (Column::Dhi, &c.dhi_w_m2),
    ];
    let optional = [
        (Column::Infrared, c.infrared_w_m2.as_ref()),
        (Column::SkyCover, c.sky_cover_frac.as_ref()),
        (Column::Rain, c.rain_mm.as_ref()),
        (Column::Albedo, c.albedo_frac.as_ref()),
    ];
    let columns: Vec<(Column, &Vec<f64>)> = needed
        .into_iter()
        .chain(
            optional
                .into_iter()
                .filter_map(|(column, values)| Some((column, values?))),
        )
        .collect();

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
