//! A year in the layout of NSRDB CSV: local standard time, a row an hour, labelled at its middle, wind at 2 m. See the reader for the sources.

use std::fmt::Write as _;

use chrono::{Datelike, Timelike};
use swimdays_weather::WeatherYear;

use super::{humidity_percent, mixed_year};

/// The first of the years that its months are said to be of.
const FIRST_YEAR: i32 = 2001;

/// The wind at 2 m as a multiple of that at 10 m: `4.87 / ln(67.8 z − 5.42)`, z in m.
///
/// Source: Allen et al. (1998), FAO Irrigation and drainage paper 56, equation 47 (from memory); its 4.87 is the logarithm at
/// 2 m, which is taken unrounded here.
fn wind_at_2_m() -> f64 {
    let log = |height_m: f64| (67.8 * height_m - 5.42).ln();
    log(2.0) / log(10.0)
}

/// The year as NSRDB CSV, without rain and longwave, which the format has not.
pub(super) fn written(year: &WeatherYear) -> String {
    let place = &year.place;
    let mut out = String::new();
    out.push_str("Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone,");
    out.push_str("Temperature Units,Dew Point Units,Relative Humidity Units,Pressure Units,Wind Speed Units,");
    out.push_str("GHI Units,DNI Units,DHI Units,Version\n");
    let _ = writeln!(
        out,
        "invented,0,{},-,-,{},{},{zone},{},{zone},c,c,%,mbar,m/s,w/m2,w/m2,w/m2,invented",
        place.name,
        place.latitude_deg,
        place.longitude_deg,
        place.altitude_m,
        zone = place.utc_offset_h,
    );
    out.push_str("Year,Month,Day,Hour,Minute,Temperature,Dew Point,Relative Humidity,Pressure,Wind Speed,GHI,DNI,DHI\n");
    let c = &year.columns;
    for i in 0..year.len() {
        let start = year.start_of(i);
        let _ = writeln!(
            out,
            "{},{},{},{},30,{},{},{:.2},{:.2},{:.4},{},{},{}",
            mixed_year(FIRST_YEAR, start.month0()),
            start.month(),
            start.day(),
            start.hour(),
            c.air_c[i],
            c.dew_point_c[i],
            humidity_percent(year, i),
            c.pressure_pa[i] / 100.0,
            c.wind_m_s[i] * wind_at_2_m(),
            c.ghi_w_m2[i],
            c.dni_w_m2[i],
            c.dhi_w_m2[i],
        );
    }
    out
}
