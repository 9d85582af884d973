//! The invented notes in `scenarios/check-*.csv`, with a hidden fault in each, and the invented weather of their days.

use std::fmt::Write as _;
use std::path::PathBuf;

use chrono::{Datelike, NaiveDate, NaiveDateTime, TimeDelta, Timelike};
use swimdays_check::{Log, Reading};
use swimdays_scenario::load;
use swimdays_season::{Plan, SummerTime, is_summer_time};
use swimdays_weather::normals::{generate, read_table};
use swimdays_weather::write::to_plain;
use swimdays_weather::{WeatherYear, YearKind};

use crate::root;
use crate::twins::{DENSE, Dice, Diligence, Evaporates, Hidden, builder};

/// Year of the notes, and the day of it on which they begin: 28 May.
const YEAR: i32 = 2026;
const FIRST_DAY: f64 = 147.0;
/// Seed of the weather, and of the first builder.
const WEATHER_SEED: u64 = 26;
const SEED: u64 = 7;
/// Days of weather before the notes, and after their end.
const BEFORE_DAYS: i64 = 16;
const FORECAST_DAYS: i64 = 6;
/// What 5 US gallons and 10 litres are, m³.
const FIVE_GALLONS_M3: f64 = 5.0 * 3.785_411_784e-3;
const TEN_LITRES_M3: f64 = 0.01;

/// How these builders keep their notes.
const DILIGENCE: Diligence = Diligence {
    days: 14,
    hours: &[6, 9, 11, 13, 16, 20],
    tries: true,
    times_flow: true,
    reads_level: true,
    one_thermometer: true,
    every_min: None,
    water_alone: false,
    evaporates: Evaporates::Drawn,
};

/// Each case: its file, what is really wrong, whether the builder writes °F, whether one thermometer reads all.
pub const CASES: [(&str, Hidden, bool, bool); 6] = [
    ("check-healthy.csv", Hidden::Healthy, true, true),
    ("check-low-flow.csv", Hidden::LowFlow(0.3), true, true),
    (
        "check-half-shaded.csv",
        Hidden::ShadedAfternoon(0.9),
        true,
        true,
    ),
    ("check-cover-off.csv", Hidden::CoverOffAtNight, false, true),
    ("check-leak.csv", Hidden::Leak(0.012), false, true),
    (
        "check-thermometer.csv",
        Hidden::OutletOff(2.0),
        false,
        false,
    ),
];

/// The plan of `scenarios/check-pool.toml`.
///
/// # Panics
/// When it cannot be read, which is a fault of the checkout.
#[must_use]
pub fn plan() -> Plan {
    let path = root().join("scenarios/check-pool.toml");
    load(&path, &[]).unwrap_or_else(|e| panic!("{e}")).plan
}

/// A year that the climate table of Elmwater Bend might have brought, as measured in the year of the notes, with the digits that
/// a station writes.
///
/// # Panics
/// When the table cannot be read, which is a fault of the checkout.
#[must_use]
pub fn weather() -> WeatherYear {
    weather_by(WEATHER_SEED)
}

/// Another such year, by its seed.
///
/// # Panics
/// As [`weather`].
#[must_use]
pub fn weather_by(seed: u64) -> WeatherYear {
    let table: PathBuf = root().join("weather-samples/temperate.normals.csv");
    let normals = read_table(&table).unwrap_or_else(|e| panic!("{e}"));
    let mut year = generate(&normals, seed).unwrap_or_else(|e| panic!("{e}"));
    year.kind = YearKind::Measured;
    year.normals = None;
    year.notes.clear();
    year.first_start = midnight(YEAR, 1, 1);
    let c = &mut year.columns;
    let round = |values: &mut Vec<f64>, per: f64| {
        for value in values {
            *value = (*value * per).round() / per;
        }
    };
    round(&mut c.air_c, 10.0);
    round(&mut c.dew_point_c, 10.0);
    round(&mut c.wind_m_s, 10.0);
    round(&mut c.pressure_pa, 0.1);
    for sun in [&mut c.ghi_w_m2, &mut c.dni_w_m2, &mut c.dhi_w_m2] {
        round(sun, 1.0);
    }
    if let Some(rain) = &mut c.rain_mm {
        round(rain, 10.0);
    }
    for (dew, air) in c.dew_point_c.iter_mut().zip(&c.air_c) {
        *dew = dew.min(*air);
    }
    year
}

fn midnight(year: i32, month: u32, day: u32) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(year, month, day)
        .unwrap_or_default()
        .into()
}

/// Rows of `year` from a day on.
fn cut(year: &WeatherYear, from: NaiveDateTime, days: i64) -> WeatherYear {
    let first = (from - year.first_start).num_hours();
    let first = usize::try_from(first).unwrap_or(0);
    let n = usize::try_from(24 * days).unwrap_or(0);
    let part = |values: &[f64]| values[first..first + n].to_vec();
    let maybe = |values: &Option<Vec<f64>>| values.as_deref().map(part);
    let c = &year.columns;
    WeatherYear {
        first_start: from,
        columns: swimdays_weather::Columns {
            air_c: part(&c.air_c),
            dew_point_c: part(&c.dew_point_c),
            pressure_pa: part(&c.pressure_pa),
            wind_m_s: part(&c.wind_m_s),
            ghi_w_m2: part(&c.ghi_w_m2),
            dni_w_m2: part(&c.dni_w_m2),
            dhi_w_m2: part(&c.dhi_w_m2),
            infrared_w_m2: maybe(&c.infrared_w_m2),
            sky_cover_frac: maybe(&c.sky_cover_frac),
            rain_mm: maybe(&c.rain_mm),
            albedo_frac: maybe(&c.albedo_frac),
        },
        ..year.clone()
    }
}

/// One builder's notes of the plan, with the fault that is hidden in them.
#[must_use]
pub fn notes_of(
    plan: &Plan,
    year: &WeatherYear,
    hidden: Hidden,
    one_thermometer: bool,
    seed: u64,
) -> Log {
    let diligence = Diligence {
        one_thermometer,
        ..DILIGENCE
    };
    let days = FIRST_DAY..FIRST_DAY + 0.5;
    builder(
        plan.clone(),
        year,
        YEAR,
        days,
        diligence,
        hidden,
        Dice::new(seed),
    )
    .log
}

/// Name and content of every file.
#[must_use]
pub fn files() -> Vec<(String, String)> {
    let (plan, year) = (plan(), weather());
    let first = year.first_start + TimeDelta::days(147);
    let end = first + TimeDelta::days(DILIGENCE.days);
    let from = first - TimeDelta::days(BEFORE_DAYS);
    let mut out = vec![
        (
            "check-weather.csv".to_owned(),
            to_plain(&cut(&year, from, BEFORE_DAYS + DILIGENCE.days + 1)),
        ),
        // From the last day of the notes on.
        (
            "check-forecast.csv".to_owned(),
            to_plain(&cut(&year, end - TimeDelta::days(1), FORECAST_DAYS)),
        ),
    ];
    for (seed, (name, hidden, us, one)) in (SEED..).zip(CASES) {
        let log = notes_of(&plan, &year, hidden, one, seed);
        out.push((name.to_owned(), written(&log, &year, us)));
    }
    out
}

/// Name and content of three months of a logger's readings every ten minutes, 12 960 rows, of the same pool, and of their weather: to time
/// the program by. Too long to be committed.
#[must_use]
pub fn dense_files() -> Vec<(String, String)> {
    let (plan, year) = (plan(), weather());
    let days = FIRST_DAY..FIRST_DAY + 0.5;
    let dice = Dice::new(SEED);
    let log = builder(plan, &year, YEAR, days, DENSE, Hidden::Healthy, dice).log;
    let from = year.first_start + TimeDelta::days(147 - BEFORE_DAYS);
    let weather = cut(&year, from, BEFORE_DAYS + DENSE.days + 1);
    vec![
        ("check-dense-weather.csv".to_owned(), to_plain(&weather)),
        ("check-dense.csv".to_owned(), written(&log, &year, true)),
    ]
}

/// The notes as a CSV file in one of two hands.
fn written(log: &Log, year: &WeatherYear, us: bool) -> String {
    let mut out =
        String::from("# Invented notes of an invented pool (scenarios/check-pool.toml).\n");
    let same = if log.one_thermometer { "same" } else { "two" };
    let _ = writeln!(out, "# thermometer: {same}");
    let _ = writeln!(out, "# year: {YEAR}");
    out.push_str(if us {
        "time,water F,outlet F,bucket 5 gal s,pump,cover,level in\n"
    } else {
        "time;water C;outlet C;bucket 10 L s;pump;cover;level cm\n"
    });
    for reading in &log.readings {
        row(&mut out, reading, year, us);
    }
    out
}

fn row(out: &mut String, r: &Reading, year: &WeatherYear, us: bool) {
    let ahead = i64::from(is_summer_time(
        SummerTime::Us,
        r.time,
        year.place.utc_offset_h,
    ));
    let wall = r.time + TimeDelta::hours(ahead);
    let month = swimdays_quantity::month_name(wall.month());
    let time = if us {
        let half = if wall.hour() < 12 { "am" } else { "pm" };
        let hour = (wall.hour() + 11) % 12 + 1;
        format!("{month} {} {hour}:{:02} {half}", wall.day(), wall.minute())
    } else {
        format!(
            "{} {month} {}:{:02}",
            wall.day(),
            wall.hour(),
            wall.minute()
        )
    };
    let degrees = |c: Option<f64>| {
        c.map_or_else(String::new, |c| {
            format!("{:.1}", if us { 1.8 * c + 32.0 } else { c })
        })
    };
    let bucket = if us { FIVE_GALLONS_M3 } else { TEN_LITRES_M3 };
    let seconds = r
        .flow_m3_s
        .map_or_else(String::new, |flow| format!("{:.0}", bucket / flow));
    let switch = |on: Option<bool>| on.map_or("", |on| if on { "on" } else { "off" });
    let level = r.level_m.map_or_else(String::new, |m| {
        if us {
            format!("{:.1}", m / 0.0254)
        } else {
            format!("{:.1}", 100.0 * m)
        }
    });
    let cells = [
        time,
        degrees(r.water_c),
        degrees(r.outlet_c),
        seconds,
        switch(r.pump_on).to_owned(),
        switch(r.cover_on).to_owned(),
        level,
    ];
    let line = if us {
        cells.join(",")
    } else {
        cells.join(";").replace('.', ",")
    };
    let _ = writeln!(out, "{line}");
}
