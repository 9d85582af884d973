//! Numbers and dates as a builder reads them: whole days, half degrees, grouped thousands, months by name.

use chrono::{Datelike, NaiveDate};

use crate::Units;

/// Names of the months, three letters.
pub const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// A whole number with grouped thousands and a true minus sign; nothing is `-0`.
#[must_use]
pub fn whole(value: f64) -> String {
    if !value.is_finite() {
        return "–".into();
    }
    let digits = format!("{:.0}", value.abs());
    let mut out = String::new();
    if value < 0.0 && digits != "0" {
        out.push('−');
    }
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(c);
    }
    out
}

/// Rounded to what a model of a pool can be trusted with: two digits, grouped.
#[must_use]
pub fn rough(value: f64) -> String {
    if !value.is_finite() || value.abs() < 1.0 {
        return whole(value);
    }
    let unit = 10_f64.powf((value.abs().log10().floor() - 1.0).max(0.0));
    whole((value / unit).round() * unit)
}

/// Rounded to halves.
#[must_use]
pub fn half(value: f64) -> String {
    let halves = (value * 2.0).round() / 2.0;
    let text = if (halves - halves.trunc()).abs() > 0.25 {
        format!("{:.1}", halves.abs())
    } else {
        format!("{:.0}", halves.abs())
    };
    if halves < 0.0 {
        format!("−{text}")
    } else {
        text
    }
}

/// A day of the year, as written where the units are used: `May 14` or `14 May`.
#[must_use]
pub fn day(date: NaiveDate, units: Units) -> String {
    let month = MONTHS[month_index(date)];
    match units {
        Units::Us => format!("{month} {}", date.day()),
        Units::Metric => format!("{} {month}", date.day()),
    }
}

/// A time of day, as written where the units are used: `9:30 am`, `noon` or `9:30`, `12:00`.
#[must_use]
pub fn clock(hours: f64, units: Units) -> String {
    let minutes = (hours * 60.0).round();
    let (hour, minute) = ((minutes / 60.0).floor(), minutes % 60.0);
    if units == Units::Metric {
        return format!("{hour:.0}:{minute:02.0}");
    }
    let to = |minutes: f64, other: f64| (minutes - other).abs() < 0.5;
    if to(minutes, 0.0) || to(minutes, 1440.0) {
        return "midnight".into();
    }
    if to(minutes, 720.0) {
        return "noon".into();
    }
    let half = if (12.0..24.0).contains(&hour) {
        "pm"
    } else {
        "am"
    };
    let twelve = if hour % 12.0 < 0.5 { 12.0 } else { hour % 12.0 };
    if minute < 0.5 {
        format!("{twelve:.0} {half}")
    } else {
        format!("{twelve:.0}:{minute:02.0} {half}")
    }
}

/// What weather is called: the name that its file gives, or the coordinates where it gives none.
#[must_use]
pub fn weather_name(name: &str, latitude_deg: f64, longitude_deg: f64) -> String {
    let name = name.trim();
    let nameless = name.is_empty()
        || ["unknown", "unnamed", "none", "n/a", "na", "-"].contains(&name.to_lowercase().as_str());
    if !nameless {
        return name.to_owned();
    }
    let side = |value: f64, positive: char, negative: char| {
        let letter = if value < 0.0 { negative } else { positive };
        format!("{:.2}° {letter}", value.abs())
    };
    format!(
        "{}, {}",
        side(latitude_deg, 'N', 'S'),
        side(longitude_deg, 'E', 'W')
    )
}

/// 0 = January.
pub(crate) fn month_index(date: NaiveDate) -> usize {
    usize::try_from(date.month0()).unwrap_or(0)
}

/// `1 day`, `2 days`.
#[must_use]
pub fn count(n: usize, what: &str) -> String {
    if n == 1 {
        format!("1 {what}")
    } else {
        format!("{n} {what}s")
    }
}

/// `1 day`, `104 days`, and of a mean of several years `103.4 days`.
#[must_use]
pub fn count_of(n: f64, what: &str) -> String {
    let whole_n = n.round();
    if (n - whole_n).abs() > 0.05 {
        return format!("{n:.1} {what}s").replace('-', "−");
    }
    let s = if (whole_n - 1.0).abs() < 0.5 { "" } else { "s" };
    format!("{} {what}{s}", whole(whole_n))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_well() {
        assert_eq!(whole(-12_345.6), "−12,346");
        assert_eq!(whole(-0.2), "0");
        assert_eq!(whole(999.0), "999");
        assert_eq!(rough(12_345.6), "12,000");
        assert_eq!(rough(47.3), "47");
        assert_eq!(half(81.3), "81.5");
        assert_eq!(half(-0.1), "0");
        assert_eq!(half(-2.6), "−2.5");
        assert_eq!(count(1, "day"), "1 day");
        assert_eq!(whole(f64::NAN), "–");
    }

    #[test]
    fn weather_without_a_name_is_called_by_its_place() {
        assert_eq!(
            weather_name(" Elmwater Bend ", 40.0, -90.0),
            "Elmwater Bend"
        );
        for none in ["unknown", "Unknown", "", " - "] {
            assert_eq!(weather_name(none, -41.304, 174.8), "41.30° S, 174.80° E");
        }
    }

    #[test]
    fn times_follow_the_units() {
        for (hours, us, metric) in [
            (0.0, "midnight", "0:00"),
            (0.5, "12:30 am", "0:30"),
            (9.0, "9 am", "9:00"),
            (12.0, "noon", "12:00"),
            (12.75, "12:45 pm", "12:45"),
            (17.5, "5:30 pm", "17:30"),
            (24.0, "midnight", "24:00"),
        ] {
            assert_eq!(clock(hours, Units::Us), us);
            assert_eq!(clock(hours, Units::Metric), metric);
        }
    }

    #[test]
    fn dates_follow_the_units() {
        let date = NaiveDate::from_ymd_opt(2001, 5, 14).unwrap();
        assert_eq!(day(date, Units::Us), "May 14");
        assert_eq!(day(date, Units::Metric), "14 May");
    }
}
