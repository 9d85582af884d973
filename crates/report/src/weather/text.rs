//! A weather file in lines for a terminal.

use chrono::NaiveDateTime;
use swimdays_quantity::{Kind, Units};

use super::{FROM_FILE, WeatherRemark, WeatherReport, WeatherStretch};
use crate::lines::{TIE, shortened, wrap};
use crate::words::{MONTHS, day, whole};

/// About as many lines as [`weather_lines`] gives; no file gives more than four above it.
pub const WEATHER_LINES: usize = 24;

/// The file in lines of at most `width` columns (taken between 72 and 100): the verdict, what it is, the sun, the
/// months, what the season takes, and what was doubtful, filled, derived or is not given.
#[must_use]
pub fn weather_lines(report: &WeatherReport, units: Units, width: usize) -> Vec<String> {
    let width = width.clamp(72, 100);
    let mut lines = cut(wrap(&report.verdict.text, width), 3);
    lines.extend(cut(wrap(&what(report, units), width), 2));
    lines.extend(cut(wrap(&sun(report), width), 2));
    lines.extend(months(report, units));
    lines.extend(cut(wrap(&takes(report), width), 2));
    // A year from normals is all derived: by which relations is what one wants to know.
    let made = report.normals.is_some();
    for (name, remarks, most) in [
        ("Doubtful", &report.doubtful, 3),
        ("Filled", &report.filled, 2),
        ("Derived", &report.derived, if made { 6 } else { 2 }),
    ] {
        lines.extend(listed(name, remarks, most, width, units));
    }
    if !report.not_given.is_empty() {
        let text = format!("Not given: {}.", columns(&report.not_given).join(", "));
        lines.extend(cut(wrap(&text, width), 1));
    }
    lines
}

/// What it is and where.
pub(super) fn what(report: &WeatherReport, units: Units) -> String {
    let side = |value: f64, positive: char, negative: char| {
        let letter = if value < 0.0 { negative } else { positive };
        format!("{:.2}°{TIE}{letter}", value.abs())
    };
    let kind = match report.kind {
        "typical" => "a typical year",
        _ => "measured",
    };
    let extent = match (time(&report.first_start), time(&report.last_end)) {
        // A typical year has no calendar year.
        (Some(first), _) if report.kind == "typical" && report.whole_year => {
            format!("from {}", day(first.date(), units))
        }
        (Some(first), Some(last)) => format!(
            "from {} to {}",
            first.format("%Y-%m-%d %H:%M"),
            last.format("%Y-%m-%d %H:%M")
        ),
        _ => String::new(),
    };
    format!(
        "{}: {}, {kind}, {} of {}{TIE}min {extent}; {}, {}, altitude {}, clock {}.",
        shortened(&report.place, 40),
        report.format,
        intervals(report.intervals),
        report.interval_minutes,
        side(report.latitude_deg, 'N', 'S'),
        side(report.longitude_deg, 'E', 'W'),
        units
            .format(Kind::Length, report.altitude_m, 0)
            .replace('-', "−"),
        crate::chart::utc(report.utc_offset_h)
    )
}

/// The radiation against the sun.
pub(super) fn sun(report: &WeatherReport) -> String {
    let Some(check) = &report.sun_check else {
        return "Sun check: too few clear days to hold its noon against the sun's.".into();
    };
    let off = if check.shift_minutes.abs() < 1.0 {
        "within a minute of the sun's".to_owned()
    } else {
        swimdays_weather::minutes_off(check.shift_minutes)
    };
    let then = match check.verdict {
        "agrees" if report.radiation_shift_minutes.abs() < 0.5 => "it fits".to_owned(),
        "agrees" => "the season allows for that".to_owned(),
        "apart" => "the season does not allow for that".to_owned(),
        _ if check.causes.is_empty() => "clock or place are wrong".to_owned(),
        _ => format!(
            "clock or place are wrong; it would fit if {}",
            check.causes.join(", or if ")
        ),
    };
    format!(
        "Sun check: on the {} clearest days its noon is {off} by its clock: {then}.",
        check.days
    )
}

/// The table of the months.
fn months(report: &WeatherReport, units: Units) -> Vec<String> {
    let degree = units.temperature_unit();
    let (rain_unit, wind_unit) = match units {
        Units::Us => ("in", "mph"),
        Units::Metric => ("mm", "m/s"),
    };
    let mut rows: Vec<[String; 11]> = vec![[
        String::new(),
        format!("air {degree}"),
        "low".into(),
        "high".into(),
        "coldest".into(),
        "hottest".into(),
        format!("dew pt {degree}"),
        format!("wind {wind_unit}"),
        "sun kWh/m²".into(),
        "clear".into(),
        format!("rain {rain_unit}"),
    ]];
    for (part, name) in report.months.iter().zip(MONTHS) {
        if part.intervals > 0 {
            rows.push(row(part, name, units));
        }
    }
    rows.push(row(&report.all, "All", units));
    let mut lines = vec![
        "By month; low, high: mean of each day's; sun: a day, on level ground; clear: share of it arriving"
            .to_owned(),
    ];
    let widths: Vec<usize> = (0..11)
        .map(|k| rows.iter().map(|r| r[k].chars().count()).max().unwrap_or(0))
        .collect();
    for row in rows {
        let mut line = String::new();
        for (k, (cell, width)) in row.iter().zip(&widths).enumerate() {
            let pad = " ".repeat(width - cell.chars().count());
            if k == 0 {
                line += &format!("{cell}{pad}");
            } else {
                line += &format!("  {pad}{cell}");
            }
        }
        lines.push(line.trim_end().to_owned());
    }
    lines
}

pub(super) fn row(part: &WeatherStretch, name: &str, units: Units) -> [String; 11] {
    let number = |value: Option<f64>, decimals: usize| {
        value.map_or_else(
            || "–".to_owned(),
            |v| {
                let text = format!("{:.decimals$}", v.abs());
                // Nothing is −0.
                if v < 0.0 && text.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
                    format!("−{text}")
                } else {
                    text
                }
            },
        )
    };
    let fine = usize::from(units == Units::Metric);
    let t = |c: Option<f64>| number(c.map(|c| units.temperature_value(c)), fine);
    let rain = part.rain_mm.map(|mm| match units {
        Units::Us => mm / 25.4,
        Units::Metric => mm,
    });
    let name = match part.month {
        Some(month) if part.whole_days < shortest(month) => {
            format!("{name}, {} d", part.whole_days)
        }
        _ => name.to_owned(),
    };
    [
        name,
        t(part.mean.map(|m| m.air_c)),
        t(part.air_daily_min_c),
        t(part.air_daily_max_c),
        t(part.air_lowest_c),
        t(part.air_highest_c),
        t(part.mean.map(|m| m.dew_point_c)),
        number(part.mean.map(|m| units.value(Kind::Speed, m.wind_m_s)), 1),
        number(part.sun_kwh_m2_day, 2),
        number(part.clearness_frac, 2),
        number(rain, usize::from(units == Units::Us)),
    ]
}

/// Days of a whole month, in its shortest year.
fn shortest(month: u32) -> usize {
    match month {
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// What the season takes from the file, and what else it takes.
pub(super) fn takes(report: &WeatherReport) -> String {
    let s = &report.season_takes;
    let (mut file, mut other) = (Vec::new(), Vec::new());
    for (name, from) in [
        ("longwave of the sky", &s.longwave),
        ("direct and diffuse sun", &s.direct_and_diffuse),
        ("dew point", &s.dew_point),
        ("pressure", &s.pressure),
        ("ground albedo", &s.ground_albedo),
        ("rain", &s.rain),
    ] {
        if from == FROM_FILE {
            file.push(name);
        } else {
            other.push(format!("{name}: {from}"));
        }
    }
    // Only a whole year's end gives the water at its start.
    let start = if report.whole_year {
        ""
    } else {
        "wants the water's start (pool.start), as this is no whole year, and "
    };
    let mut text = format!("The season {start}takes");
    if !file.is_empty() {
        let from = if report.normals.is_some() {
            "the table"
        } else {
            FROM_FILE
        };
        text += &format!(" from {from}: {}", file.join(", "));
    }
    if !other.is_empty() {
        let joint = if file.is_empty() { " " } else { "; " };
        text += &format!("{joint}{}", other.join("; "));
    }
    text + "."
}

/// Remarks of one kind, with their first place, in at most `most` lines.
fn listed(
    name: &str,
    remarks: &[WeatherRemark],
    most: usize,
    width: usize,
    units: Units,
) -> Vec<String> {
    if remarks.is_empty() {
        return Vec::new();
    }
    let parts: Vec<String> = remarks
        .iter()
        .map(|r| {
            // Some sentences say it themselves.
            let told = r.text.contains("(first");
            let first = r
                .first
                .as_deref()
                .filter(|_| !told)
                .and_then(time)
                .map_or_else(String::new, |t| {
                    format!(" (first {} {})", day(t.date(), units), t.format("%H:%M"))
                });
            format!("{}{first}", r.text)
        })
        .collect();
    // As many as fit, and how many more there are.
    for shown in (1..=parts.len()).rev() {
        let more = match parts.len() - shown {
            0 => String::new(),
            n => format!("; and {n} more in weather.json"),
        };
        let lines = wrap(
            &format!("{name}: {}{more}.", parts[..shown].join("; ")),
            width,
        );
        if lines.len() <= most {
            return lines;
        }
    }
    let text = format!("{name}: {}; see weather.json.", columns(remarks).join(", "));
    cut(wrap(&text, width), most)
}

/// The columns that remarks are about, each once.
fn columns(remarks: &[WeatherRemark]) -> Vec<&'static str> {
    let mut out: Vec<&str> = Vec::new();
    for remark in remarks {
        if !out.contains(&remark.column) {
            out.push(remark.column);
        }
    }
    out
}

/// At most `most` lines; what is cut says so.
fn cut(mut lines: Vec<String>, most: usize) -> Vec<String> {
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            last.push('…');
        }
    }
    lines
}

fn time(text: &str) -> Option<NaiveDateTime> {
    NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").ok()
}

/// `1 interval`, `8,760 intervals`.
fn intervals(n: usize) -> String {
    let ending = if n == 1 { "" } else { "s" };
    let n = whole(f64::from(u32::try_from(n).unwrap_or(u32::MAX)));
    format!("{n} interval{ending}")
}
