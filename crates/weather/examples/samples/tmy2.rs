//! A year in the layout of TMY2: lines of 142 characters, each the hour that ends at its label. See the reader for the sources.

use chrono::{Datelike, Timelike};
use swimdays_weather::WeatherYear;

use super::{humidity_percent, mixed_year};

/// The first of the years that its months are said to be of: the format's are 1961 to 1990.
const FIRST_YEAR: i32 = 1961;

/// Behind each value: source `?` (none of those that the format knows), certainty 0 (does not apply).
const FLAGS: &str = "?0";

/// The year as TMY2, without rain, albedo and longwave, which the format has not; nines where the year has nothing.
pub(super) fn written(year: &WeatherYear) -> String {
    let place = &year.place;
    let angle = |degrees: f64, letters: [char; 2]| {
        let minutes = (degrees.abs() * 60.0).round();
        let letter = letters[usize::from(degrees < 0.0)];
        (letter, (minutes / 60.0).floor(), minutes % 60.0)
    };
    let (north, latitude, latitude_minutes) = angle(place.latitude_deg, ['N', 'S']);
    let (east, longitude, longitude_minutes) = angle(place.longitude_deg, ['E', 'W']);
    // City and state are one word each.
    let (city, state) = place.name.rsplit_once(' ').unwrap_or((&place.name, "-"));
    let mut out = format!(
        " 00000 {:<22} {state} {:>3} {north} {latitude:2} {latitude_minutes:2} {east} {longitude:3} {longitude_minutes:2} {:4}\n",
        city.replace(' ', "_"),
        place.utc_offset_h,
        place.altitude_m
    );
    for i in 0..year.len() {
        out.push_str(&line(year, i));
        out.push('\n');
    }
    out
}

fn line(year: &WeatherYear, i: usize) -> String {
    let c = &year.columns;
    let start = year.start_of(i);
    let mut line = format!(
        " {:02}{:02}{:02}{:02}",
        mixed_year(FIRST_YEAR, start.month0()) % 100,
        start.month(),
        start.day(),
        start.hour() + 1
    );
    // Sun outside the atmosphere, on level ground and straight: without flags.
    line.push_str("99999999");
    let mut put = |width: usize, value: Option<f64>| {
        let text = value.map_or_else(
            || "9".repeat(width),
            |value| format!("{:width$.0}", value + 0.0),
        );
        line.push_str(&text);
        line.push_str(FLAGS);
    };
    put(4, Some(c.ghi_w_m2[i]));
    put(4, Some(c.dni_w_m2[i]));
    put(4, Some(c.dhi_w_m2[i]));
    // Illuminance: global, direct, diffuse; luminance of the zenith; sky cover: total, opaque.
    for width in [4, 4, 4, 4, 2, 2] {
        put(width, None);
    }
    put(4, Some(10.0 * c.air_c[i]));
    put(4, Some(10.0 * c.dew_point_c[i]));
    put(3, Some(humidity_percent(year, i)));
    put(4, Some(c.pressure_pa[i] / 100.0));
    // Direction of the wind.
    put(3, None);
    put(3, Some(10.0 * c.wind_m_s[i]));
    // Visibility, height of the ceiling.
    put(4, None);
    put(5, None);
    // Weather of the moment: ten digits, without flags; then water in the air, its dust, snow, days since it fell.
    line.push_str("9999999999");
    for width in [3, 3, 3, 2] {
        let mut put = |width: usize| {
            line.push_str(&"9".repeat(width));
            line.push_str(FLAGS);
        };
        put(width);
    }
    line
}
