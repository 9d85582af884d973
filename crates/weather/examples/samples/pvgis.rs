//! A year in the layout of the PVGIS typical year: UTC, a time offset, words after the table. See the reader for the sources.

use std::fmt::Write as _;

use chrono::{Datelike, TimeDelta, Timelike};
use swimdays_weather::WeatherYear;

use super::{humidity_percent, mixed_year};

/// The first of the years that its months are said to be of.
const FIRST_YEAR: i32 = 2005;

/// The year as PVGIS CSV, whose rows begin with the hour that begins on 1 January 00:00 UTC; without rain, which the format has
/// not, and without longwave `IR(h)` and the wind's direction `WD10m`, which the year has not.
///
/// A label is the beginning of its hour, and the mean of an hour is the sun half an hour after it: so the offset is 0.5 h.
pub(super) fn written(year: &WeatherYear) -> String {
    let place = &year.place;
    let mut out = String::new();
    let _ = writeln!(out, "Latitude (decimal degrees): {:.3}", place.latitude_deg);
    let _ = writeln!(
        out,
        "Longitude (decimal degrees): {:.3}",
        place.longitude_deg
    );
    let _ = writeln!(out, "Elevation (m): {:.1}", place.altitude_m);
    out.push_str("Irradiance Time Offset (h): 0.5\nmonth,year\n");
    for month0 in 0..12 {
        let _ = writeln!(out, "{},{}", month0 + 1, mixed_year(FIRST_YEAR, month0));
    }
    out.push_str("time(UTC),T2m,RH,G(h),Gb(n),Gd(h),WS10m,SP\n");
    let c = &year.columns;
    let n = year.len();
    #[allow(clippy::cast_possible_truncation, reason = "whole hours of a zone")]
    let ahead = place.utc_offset_h as i64;
    for row in 0..n {
        // The zone is whole hours, and the year goes round: its last local hours are the first of the next.
        let shifted = (row as i64 + ahead).rem_euclid(n as i64);
        let i = usize::try_from(shifted).unwrap_or(row);
        let utc = year.first_start + TimeDelta::hours(row as i64);
        let _ = writeln!(
            out,
            "{}{:02}{:02}:{:02}00,{},{:.2},{},{},{},{},{}",
            mixed_year(FIRST_YEAR, utc.month0()),
            utc.month(),
            utc.day(),
            utc.hour(),
            c.air_c[i],
            humidity_percent(year, i),
            c.ghi_w_m2[i],
            c.dni_w_m2[i],
            c.dhi_w_m2[i],
            c.wind_m_s[i],
            c.pressure_pa[i],
        );
    }
    out.push_str("\nT2m: air, degrees Celsius\nRH: relative humidity, %\n");
    out.push_str("G(h): global irradiance on the horizontal plane, W/m2\n");
    out.push_str("Gb(n): direct irradiance on a plane that faces the sun, W/m2\n");
    out.push_str("Gd(h): diffuse irradiance on the horizontal plane, W/m2\n");
    out.push_str("WS10m: wind at 10 m, m/s\nSP: pressure at the place, Pa\n\n");
    let _ = writeln!(out, "Invented: {}", place.name);
    out
}
