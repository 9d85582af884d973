//! Weather years written as TMY3 CSV, EPW and plain CSV.
//!
//! The readers of this crate read the same values back, bit for bit: place, kind, time and columns. Plain CSV carries all but the
//! notes. Not carried by the other two: the radiation shift; a rain or sky cover that is 0 throughout (they read it as "not given");
//! infrared in TMY3, which has no such column. To them the relative humidity is added from air and dew point.
//!
//! **The radiation shift in EPW and TMY3.** Neither has a field for it. The values are written as they are, in their own intervals; a
//! reader that holds the radiation against the sun finds the shift again.

mod plain;

use std::fmt::Write as _;

use chrono::{Datelike, NaiveDateTime, TimeDelta, Timelike};
use swimdays_properties::moist_air::saturation_pressure_pa;

use crate::year::{WeatherYear, YearKind};

pub use plain::to_plain;

/// The 68 columns of TMY3.
const TMY3_HEADER: &str = "Date (MM/DD/YYYY),Time (HH:MM),ETR (W/m^2),ETRN (W/m^2),GHI (W/m^2),GHI source,GHI uncert (%),DNI (W/m^2),DNI source,DNI uncert (%),DHI (W/m^2),DHI source,DHI uncert (%),GH illum (lx),GH illum source,Global illum uncert (%),DN illum (lx),DN illum source,DN illum uncert (%),DH illum (lx),DH illum source,DH illum uncert (%),Zenith lum (cd/m^2),Zenith lum source,Zenith lum uncert (%),TotCld (tenths),TotCld source,TotCld uncert (code),OpqCld (tenths),OpqCld source,OpqCld uncert (code),Dry-bulb (C),Dry-bulb source,Dry-bulb uncert (code),Dew-point (C),Dew-point source,Dew-point uncert (code),RHum (%),RHum source,RHum uncert (code),Pressure (mbar),Pressure source,Pressure uncert (code),Wdir (degrees),Wdir source,Wdir uncert (code),Wspd (m/s),Wspd source,Wspd uncert (code),Hvis (m),Hvis source,Hvis uncert (code),CeilHgt (m),CeilHgt source,CeilHgt uncert (code),Pwat (cm),Pwat source,Pwat uncert (code),AOD (unitless),AOD source,AOD uncert (code),Alb (unitless),Alb source,Alb uncert (code),Lprecip depth (mm),Lprecip quantity (hr),Lprecip source,Lprecip uncert (code)";

/// The year as TMY3 CSV. Values the file has not are blank cells.
#[must_use]
pub fn to_tmy3(year: &WeatherYear) -> String {
    let place = &year.place;
    let mut out = String::with_capacity(year.len() * 120 + 3000);
    let _ = writeln!(
        out,
        "999999,\"{}\",-,{},{},{},{},{}",
        name(&place.name),
        place.utc_offset_h,
        place.latitude_deg,
        place.longitude_deg,
        place.altitude_m,
        origin(year)
    );
    let _ = writeln!(out, "{TMY3_HEADER}");
    let c = &year.columns;
    for i in 0..year.len() {
        let (start, minutes) = end_on_the_day_of(year, i);
        let _ = write!(
            out,
            "{:02}/{:02}/{:04},{:02}:{:02},,,{},,,{},,,{},,,,,,,,,,,,,,,",
            start.month(),
            start.day(),
            start.year(),
            minutes / 60,
            minutes % 60,
            c.ghi_w_m2[i],
            c.dni_w_m2[i],
            c.dhi_w_m2[i]
        );
        let sky = cell(c.sky_cover_frac.as_ref(), i, 1);
        let _ = write!(
            out,
            "{sky},,,,,,{},,,{},,,{},,,{},,,,,,{},,,,,,,,,,,,,,,",
            c.air_c[i],
            c.dew_point_c[i],
            humidity_percent(c.air_c[i], c.dew_point_c[i]),
            shifted(c.pressure_pa[i], -2),
            c.wind_m_s[i]
        );
        let rain = cell(c.rain_mm.as_ref(), i, 0);
        let hours = if rain.is_empty() { "" } else { "1" };
        let _ = writeln!(
            out,
            "{},,,{rain},{hours},,",
            cell(c.albedo_frac.as_ref(), i, 0)
        );
    }
    out
}

/// The year as EPW. Values the file has not carry the format's sign for missing; the field of sources is left blank.
#[must_use]
pub fn to_epw(year: &WeatherYear) -> String {
    let place = &year.place;
    let mut out = String::with_capacity(year.len() * 150 + 1000);
    let last = year.start_of(year.len().saturating_sub(1));
    let _ = writeln!(
        out,
        "LOCATION,\"{}\",-,-,swimdays,999999,{},{},{},{}",
        name(&place.name),
        place.latitude_deg,
        place.longitude_deg,
        place.utc_offset_h,
        place.altitude_m
    );
    out.push_str("DESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\n");
    out.push_str("HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\n");
    let _ = writeln!(out, "COMMENTS 1,{}", origin(year));
    out.push_str("COMMENTS 2,\n");
    let _ = writeln!(
        out,
        "DATA PERIODS,1,{},Data,{},{}/{},{}/{}",
        60 / year.interval_minutes.max(1),
        year.first_start.format("%A"),
        year.first_start.month(),
        year.first_start.day(),
        last.month(),
        last.day()
    );
    let c = &year.columns;
    for i in 0..year.len() {
        let (start, minutes) = end_on_the_day_of(year, i);
        let hour = minutes.div_ceil(60);
        let _ = write!(
            out,
            "{},{},{},{hour},{},,{},{},{},{},9999,9999,",
            start.year(),
            start.month(),
            start.day(),
            minutes + 60 - hour * 60,
            c.air_c[i],
            c.dew_point_c[i],
            humidity_percent(c.air_c[i], c.dew_point_c[i]),
            c.pressure_pa[i]
        );
        let or = |cell: String, missing: &'static str| {
            if cell.is_empty() {
                missing.to_owned()
            } else {
                cell
            }
        };
        let _ = write!(
            out,
            "{},{},{},{},999999,999999,999999,9999,999,{},",
            or(cell(c.infrared_w_m2.as_ref(), i, 0), "9999"),
            c.ghi_w_m2[i],
            c.dni_w_m2[i],
            c.dhi_w_m2[i],
            c.wind_m_s[i]
        );
        let rain = cell(c.rain_mm.as_ref(), i, 0);
        let hours = if rain.is_empty() { "99" } else { "1" };
        let _ = writeln!(
            out,
            "{},99,9999,99999,9,999999999,999,.999,999,99,{},{},{hours}",
            or(cell(c.sky_cover_frac.as_ref(), i, 1), "99"),
            or(cell(c.albedo_frac.as_ref(), i, 0), "999"),
            or(rain, "999")
        );
    }
    out
}

/// Names lose what would end their cell or line.
fn name(name: &str) -> String {
    name.chars()
        .map(|c| if c == '"' || c.is_control() { ' ' } else { c })
        .collect::<String>()
        .trim()
        .to_owned()
}

fn origin(year: &WeatherYear) -> &'static str {
    match year.kind {
        YearKind::Typical => "typical year written by swimdays",
        YearKind::Measured => "series written by swimdays",
    }
}

/// The day on which interval `i` starts, and its end in minutes of that day, up to 1440.
fn end_on_the_day_of(year: &WeatherYear, i: usize) -> (NaiveDateTime, u32) {
    // One year with its leap day dropped may cross 29 February only when typical, and that is labelled in a common year.
    let start = year.start_of(i);
    let end = start.checked_add_signed(TimeDelta::minutes(i64::from(year.interval_minutes)));
    let minutes = start.hour() * 60 + start.minute() + year.interval_minutes;
    debug_assert!(end.is_some());
    (start, minutes)
}

/// Relative humidity, whole percent, from 1 on: 0 would mean none at all.
fn humidity_percent(air_c: f64, dew_point_c: f64) -> f64 {
    let share = saturation_pressure_pa(dew_point_c) / saturation_pressure_pa(air_c);
    (100.0 * share).round().clamp(1.0, 110.0)
}

fn cell(values: Option<&Vec<f64>>, i: usize, shift: i32) -> String {
    values.map_or_else(String::new, |values| shifted(values[i], shift))
}

/// The shortest decimal of `value` times ten to the power `shift`, with the point moved in the decimal text: read back and
/// moved again it is `value` exactly.
fn shifted(value: f64, shift: i32) -> String {
    if shift == 0 {
        return value.to_string();
    }
    let scientific = format!("{value:e}");
    let Some((mantissa, exponent)) = scientific.split_once('e') else {
        return scientific;
    };
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let (sign, mantissa) = mantissa
        .strip_prefix('-')
        .map_or(("", mantissa), |rest| ("-", rest));
    let digits: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    let point = exponent + shift + 1;
    let length = i32::try_from(digits.len()).unwrap_or(i32::MAX);
    let body = if digits.chars().all(|digit| digit == '0') {
        "0".to_owned()
    } else if point <= 0 {
        format!(
            "0.{}{digits}",
            "0".repeat(usize::try_from(-point).unwrap_or(0))
        )
    } else if point >= length {
        format!(
            "{digits}{}",
            "0".repeat(usize::try_from(point - length).unwrap_or(0))
        )
    } else {
        let (whole, rest) = digits.split_at(usize::try_from(point).unwrap_or(0));
        format!("{whole}.{rest}")
    };
    format!("{sign}{body}")
}

#[cfg(test)]
mod tests {
    use super::shifted;

    #[test]
    fn the_point_moves_and_nothing_else() {
        for (value, shift, text) in [
            (98_760.0, -2, "987.6"),
            (100_000.0, -2, "1000"),
            (0.3, 1, "3"),
            (0.0, 1, "0"),
            (1.0, 1, "10"),
            (0.025, 1, "0.25"),
            (5.0, -2, "0.05"),
            (101_325.5, -2, "1013.255"),
            (-1.5, 1, "-15"),
        ] {
            assert_eq!(shifted(value, shift), text);
        }
    }
}
