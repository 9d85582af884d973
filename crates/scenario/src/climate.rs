//! `[site.normals]`: what a climate table says of a place, in place of a weather file.

use std::path::PathBuf;

use swimdays_quantity::{Kind, month_name};
use swimdays_weather::normals::{Moisture, Normals, Sun};
use swimdays_weather::{Place, WeatherError, zone_of_longitude_h};

use crate::diagnostic::NamedWeather;
use crate::section::Section;
use crate::source::{Climate, NormalsSource};
use crate::twelve::{Measure, Row};
use crate::walk::{Field, Usual, Walk};
use crate::words::source;

const YEARS: Usual<f64> = Usual {
    value: 5.0,
    source: source::OWN_CHOICE,
};
const SEED: Usual<f64> = Usual {
    value: 1.0,
    source: source::OWN_CHOICE,
};
const ALTITUDE_M: Usual<f64> = Usual {
    value: 0.0,
    source: source::OWN_CHOICE,
};

const AIR: Row = Row {
    measure: Measure::Quantity(Kind::Temperature, 1.0),
    allowed: "twelve temperatures with one unit, January to December, such as \"31 34 44 56 67 76 81 79 72 60 48 36 F\"",
    range: -70.0..=60.0,
};
const SUN: Row = Row {
    measure: Measure::Sun,
    allowed: "twelve daily sums with one unit: kWh/m2, MJ/m2 or W/m2 (the day's mean), such as \"2.0 2.8 3.9 5.0 6.0 6.7 6.6 5.8 4.7 3.3 2.2 1.7 kWh/m2\"",
    range: 0.0..=13.0,
};
const SUNSHINE: Row = Row {
    measure: Measure::Sunshine,
    allowed: "twelve times with one unit: h (of the day) or h/month",
    range: 0.0..=24.0,
};
const DEW_POINT: Row = Row {
    measure: Measure::Quantity(Kind::Temperature, 1.0),
    allowed: "twelve temperatures with one unit, January to December",
    range: -80.0..=35.0,
};
const HUMIDITY: Row = Row {
    measure: Measure::Share,
    allowed: "twelve percentages, such as \"78 76 72 66 65 66 69 71 70 69 75 80 %\", or shares up to 1",
    range: 0.01..=1.0,
};
const WIND: Row = Row {
    measure: Measure::Quantity(Kind::Speed, 1.0),
    allowed: "twelve speeds with one unit: mph, m/s or km/h",
    range: 0.0..=30.0,
};
const RAIN: Row = Row {
    measure: Measure::Quantity(Kind::Length, 1000.0),
    allowed: "twelve depths with one unit: in or mm",
    range: 0.0..=5000.0,
};
const RAIN_DAYS: Row = Row {
    measure: Measure::Days,
    allowed: "twelve numbers of days",
    range: 0.0..=31.0,
};

/// Every key that says something of the climate; a `table` says it all itself.
const CLIMATE: [&str; 11] = [
    "max",
    "min",
    "sun",
    "sunshine",
    "dew_point",
    "humidity",
    "wind",
    "rain",
    "rain_days",
    "latitude",
    "longitude",
];

/// Reads the table, which may be absent: then every key is asked for all the same. `table_path` resolves a path of the
/// scenario.
pub(crate) fn normals(
    walk: &mut Walk<'_>,
    site: &mut Section<'_>,
    utc_offset_h: Option<f64>,
    table_path: impl Fn(&str) -> PathBuf,
) -> Option<NormalsSource> {
    let mut s = site.section(walk, "normals");
    let faults = walk.errors.len();
    let written = s.is_written();
    let table = s.text(walk, "table");
    let has_table = s.has("table");
    let max = s.twelve(walk, "max", &AIR);
    let min = s.twelve(walk, "min", &AIR);
    let sun = s.twelve(walk, "sun", &SUN);
    let sunshine = s.twelve(walk, "sunshine", &SUNSHINE);
    let dew_point = s.twelve(walk, "dew_point", &DEW_POINT);
    let humidity = s.twelve(walk, "humidity", &HUMIDITY);
    let wind = s.twelve(walk, "wind", &WIND);
    let rain = s.twelve(walk, "rain", &RAIN);
    let rain_days = s.twelve(walk, "rain_days", &RAIN_DAYS);
    let latitude = s.number(walk, "latitude", -90.0..=90.0);
    let longitude = s.number(walk, "longitude", -180.0..=180.0);
    let altitude = s.quantity(walk, "altitude", Kind::Length, -450.0..=6000.0);
    let years = s.count(walk, "years", 1..=30);
    let seed = s.count(walk, "seed", 0..=1_000_000);
    if !written {
        return None;
    }
    let years = s.or_assume(walk, "years", years.map(f64::from), YEARS, |n, _| {
        n.to_string()
    });
    let seed = s.or_assume(walk, "seed", seed.map(f64::from), SEED, |n, _| {
        n.to_string()
    });
    let climate = if has_table {
        let place = s.table.and_then(|t| t.get("table"))?;
        for key in CLIMATE.iter().chain(&["altitude"]) {
            s.conflict(walk, key, "table");
        }
        let at = (walk.locate(&place.place), place.shown());
        table.given().map(|path| {
            Climate::Table(NamedWeather::new(
                "site.normals.table",
                table_path(path),
                at.0,
                at.1,
            ))
        })
    } else {
        for (key, what) in [
            ("max", "the mean daily maximum of the air, month by month"),
            ("min", "the mean daily minimum of the air, month by month"),
        ] {
            if !s.has(key) {
                s.missing(walk, key, AIR.allowed, &format!("write {what}"));
            }
        }
        for (key, range) in [("latitude", "-90 to 90"), ("longitude", "-180 to 180")] {
            if !s.has(key) {
                let allowed = format!("a bare number of degrees from {range}");
                let advice = "north and east count positive, south and west negative";
                s.missing(walk, key, &allowed, advice);
            }
        }
        let altitude_m = s.or_assume(walk, "altitude", altitude, ALTITUDE_M, |m, units| {
            units.format_short(Kind::Length, *m, 0)
        });
        let longitude_deg = longitude.or(0.0);
        let utc_offset_h = utc_offset_h.unwrap_or_else(|| {
            let hours = zone_of_longitude_h(longitude_deg);
            walk.assume(
                site.key("utc_offset_h"),
                format!("{hours}"),
                "the longitude in steps of 15 degrees: own choice, no source",
            );
            hours
        });
        crossed(walk, &s, &max, &min);
        let both_sun = s.conflict(walk, "sunshine", "sun");
        let both_moist = s.conflict(walk, "humidity", "dew_point");
        if s.has("rain_days") && !s.has("rain") {
            let advice = "give rain as well";
            s.wrong(walk, "rain_days", "stands without rain", "", advice);
        }
        let sun = match (sun, sunshine) {
            _ if both_sun => Sun::Unknown,
            (Field::Given(sums), _) => Sun::DailyKwhM2(sums),
            (_, Field::Given(hours)) => Sun::SunshineHours(hours),
            _ => Sun::Unknown,
        };
        let moisture = match (dew_point, humidity) {
            _ if both_moist => Moisture::Unknown,
            (Field::Given(celsius), _) => Moisture::DewPointC(celsius),
            (_, Field::Given(share)) => Moisture::HumidityFrac(share),
            _ => Moisture::Unknown,
        };
        let normals = Normals {
            place: Place {
                name: String::new(),
                latitude_deg: latitude.or(0.0),
                longitude_deg,
                utc_offset_h,
                altitude_m,
            },
            daily_max_c: max.or([0.0; 12]),
            daily_min_c: min.or([0.0; 12]),
            sun,
            moisture,
            wind_m_s: wind.given(),
            rain_mm: rain.given(),
            rain_days: rain_days.given(),
        };
        if walk.errors.len() == faults {
            possible(walk, &s, &normals);
        }
        Some(Climate::Given(Box::new(normals)))
    };
    let named = NamedWeather::new(
        "site.normals",
        PathBuf::new(),
        walk.locate(s.place()),
        String::new(),
    );
    s.finish(walk);
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole numbers within the ranges above"
    )]
    Some(NormalsSource {
        climate: climate?,
        named,
        years: years as u32,
        seed: seed as u64,
    })
}

/// What is possible number by number and not together.
fn possible(walk: &mut Walk<'_>, s: &Section<'_>, normals: &Normals) {
    let Err(error) = normals.check() else { return };
    let (problem, allowed, advice) = match error {
        WeatherError::Normals {
            what,
            found,
            allowed,
            todo,
            ..
        } => (
            format!("{what}: found {found}"),
            allowed.to_string(),
            todo.to_string(),
        ),
        other => (
            other.to_string(),
            String::new(),
            "check the numbers of the table".to_owned(),
        ),
    };
    walk.report(s.place(), s.path(), String::new(), problem, allowed, advice);
}

/// A minimum that is not below its maximum.
fn crossed(walk: &mut Walk<'_>, s: &Section<'_>, max: &Field<[f64; 12]>, min: &Field<[f64; 12]>) {
    let (Field::Given(max), Field::Given(min)) = (max, min) else {
        return;
    };
    if let Some(month) = (0..12).find(|m| min[*m] >= max[*m]) {
        let show = |c: f64| walk.units.format_short(Kind::Temperature, c, 1);
        let name = month_name(u32::try_from(month).unwrap_or(0) + 1);
        let problem = format!(
            "{name}: the minimum ({}) is not below the maximum ({})",
            show(min[month]),
            show(max[month])
        );
        s.wrong(
            walk,
            "min",
            problem,
            "mean daily minima below the mean daily maxima of the same months",
            "check the month and the unit",
        );
    }
}
