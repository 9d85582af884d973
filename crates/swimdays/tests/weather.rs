//! `swimdays weather` as a person runs it: what a file is, another format of it, a year from a climate table.

mod desk;

use std::fs;
use std::process::{Command, Stdio};

use desk::{Desk, json, root, sample, text};
use serde_json::Value;

/// Lines of an EPW file before its hours.
const EPW_HEAD: usize = 8;
/// Where in a row of an EPW file the quantities stand (EnergyPlus Auxiliary Programs, *EPW CSV Format*).
const EPW_CELLS: [(&str, usize); 6] = [
    ("air_c", 6),
    ("dew_point_c", 7),
    ("wind_m_s", 21),
    ("ghi_w_m2", 13),
    ("dni_w_m2", 14),
    ("dhi_w_m2", 15),
];
/// Where the rain stands, and what stands for none given.
const EPW_RAIN: (usize, &str) = (33, "999");
/// Sums of 8760 numbers in another order.
const SUMMED: f64 = 1e-9;
/// The terminal's width.
const COLUMNS: usize = 100;
/// Lines that fit a screen, and a few.
const MOST_LINES: usize = 26;

fn temperate() -> String {
    let path = root().join("weather-samples/temperate.epw");
    fs::read_to_string(path).expect("the sample")
}

/// The sample with each row of hours changed.
fn changed(with: impl Fn(usize, &mut Vec<String>)) -> String {
    let lines = temperate();
    let lines = lines.lines().enumerate().map(|(at, line)| {
        let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
        if let Some(hour) = at.checked_sub(EPW_HEAD) {
            with(hour, &mut cells);
        }
        cells.join(",") + "\n"
    });
    lines.collect()
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

#[test]
fn a_file_is_told_in_a_screen_and_drawn() {
    let desk = Desk::new();
    let output = desk.run(&["weather", "sample:temperate"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let told = text(&output.stdout);
    assert!(told.starts_with("Good for a season: "), "{told}");
    assert!(told.lines().count() <= MOST_LINES, "{told}");
    for line in told.lines() {
        assert!(line.chars().count() <= COLUMNS, "{line}");
    }
    for words in [
        "Elmwater Bend",
        "EPW",
        "8,760 intervals of 60 min",
        "UTC−5",
        "42.10° N",
        "The season takes",
    ] {
        assert!(told.contains(words), "“{words}” is not in\n{told}");
    }
    assert_eq!(desk.names(), ["temperate-weather"]);
    for name in ["weather.json", "months.csv", "glance.png", "glance.svg"] {
        let made = desk.path("temperate-weather").join(name);
        assert!(fs::metadata(&made).is_ok_and(|m| m.len() > 0), "{name}");
    }
    let months = fs::read_to_string(desk.path("temperate-weather/months.csv")).expect("months");
    assert_eq!(months.lines().count(), 13);
}

#[test]
fn means_are_those_of_the_files_own_numbers() {
    let desk = Desk::new();
    let output = desk.run(&["weather", "sample:temperate", "--json"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let found = json(&output);
    assert!(desk.names().is_empty(), "no file without --out");
    assert_eq!(found["format"], "EPW");
    assert_eq!(found["kind"], "typical");
    assert_eq!(found["intervals"], 8760);
    assert_eq!(found["interval_minutes"], 60);
    assert_eq!(found["first_start"], "2001-01-01T00:00");
    assert_eq!(found["verdict"]["grade"], "good");
    for key in ["filled", "derived", "doubtful", "not_given"] {
        assert!(found[key].is_array(), "{key}");
    }
    // LOCATION of the sample.
    for (key, value) in [
        ("latitude_deg", 42.1),
        ("longitude_deg", -85.3),
        ("utc_offset_h", -5.0),
        ("altitude_m", 260.0),
    ] {
        assert!((number(&found[key]) - value).abs() < SUMMED, "{key}");
    }
    let file = temperate();
    let rows: Vec<Vec<&str>> = file
        .lines()
        .skip(EPW_HEAD)
        .map(|l| l.split(',').collect())
        .collect();
    assert_eq!(rows.len(), 8760);
    let mean = |rows: &[&Vec<&str>], at: usize| -> f64 {
        let sum: f64 = rows
            .iter()
            .map(|r| r[at].parse::<f64>().expect("a number"))
            .sum();
        sum / f64::from(u32::try_from(rows.len()).expect("few"))
    };
    let all: Vec<&Vec<&str>> = rows.iter().collect();
    for (key, at) in EPW_CELLS {
        let wanted = mean(&all, at);
        let got = number(&found["mean"][key]);
        assert!(
            (got - wanted).abs() < SUMMED * wanted.abs().max(1.0),
            "{key}: {got}, {wanted}"
        );
    }
    for month in 1..=12_usize {
        // The month field of EPW is that of the day whose hours follow.
        let name = month.to_string();
        let part: Vec<&Vec<&str>> = rows.iter().filter(|r| r[1] == name).collect();
        let told = &found["months"][month - 1];
        assert_eq!(told["month"], month);
        for (key, at) in EPW_CELLS {
            let wanted = mean(&part, at);
            let got = number(&told["mean"][key]);
            assert!(
                (got - wanted).abs() < SUMMED * wanted.abs().max(1.0),
                "{month} {key}: {got}, {wanted}"
            );
        }
        let days: Vec<Vec<f64>> = part
            .chunks(24)
            .map(|day| {
                day.iter()
                    .map(|r| r[6].parse().expect("a number"))
                    .collect()
            })
            .collect();
        let count = f64::from(u32::try_from(days.len()).expect("few"));
        let highest: f64 = days
            .iter()
            .map(|d| d.iter().copied().fold(f64::MIN, f64::max))
            .sum::<f64>()
            / count;
        let lowest: f64 = days
            .iter()
            .map(|d| d.iter().copied().fold(f64::MAX, f64::min))
            .sum::<f64>()
            / count;
        assert!((number(&told["air_daily_max_c"]) - highest).abs() < SUMMED * 100.0);
        assert!((number(&told["air_daily_min_c"]) - lowest).abs() < SUMMED * 100.0);
        // A day of a mean of 1 W/m² is 24 Wh/m².
        let sun = mean(&part, 13) * 24.0 / 1000.0;
        assert!((number(&told["sun_kwh_m2_day"]) - sun).abs() < SUMMED * 100.0);
    }
}

#[test]
fn what_is_missing_is_null_and_what_was_filled_is_told() {
    let desk = Desk::new();
    // No rain at all; the air of 2 January, 03:00 to 04:00, is missing (row 27 from 0, hour 4 of the second day).
    let file = changed(|hour, cells| {
        cells[EPW_RAIN.0] = EPW_RAIN.1.into();
        if hour == 27 {
            cells[6] = "99.9".into();
        }
    });
    fs::write(desk.path("holes.epw"), file).expect("a file");
    let found = json(&desk.run(&["weather", "holes.epw", "--json"]));
    assert!(found["months"][6]["rain_mm"].is_null() && found["all"]["rain_mm"].is_null());
    let not_given: Vec<&str> = found["not_given"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|n| n["column"].as_str())
        .collect();
    assert!(not_given.contains(&"rain"), "{not_given:?}");
    let filled = &found["filled"][0];
    assert_eq!(filled["column"], "air temperature");
    assert_eq!(filled["intervals"], 1);
    let told = text(&desk.run(&["weather", "holes.epw"]).stdout);
    assert!(told.contains("Filled: "), "{told}");
}

#[test]
fn units_are_those_asked_for() {
    let desk = Desk::new();
    let found = json(&desk.run(&["weather", "sample:temperate", "--json"]));
    let told = text(
        &desk
            .run(&["weather", "sample:temperate", "--units", "us"])
            .stdout,
    );
    let july = told.lines().find(|l| l.starts_with("Jul")).expect("July");
    let cells: Vec<&str> = july.split_whitespace().collect();
    let part = &found["months"][6];
    // °F by its definition, mph of 0.44704 m/s, inches of 25.4 mm; the sun stays in kWh/m².
    let f = |c: &Value| format!("{:.0}", number(c) * 9.0 / 5.0 + 32.0);
    assert_eq!(cells[1], f(&part["mean"]["air_c"]));
    assert_eq!(cells[3], f(&part["air_daily_max_c"]));
    assert_eq!(cells[5], f(&part["air_highest_c"]));
    assert_eq!(
        cells[7],
        format!("{:.1}", number(&part["mean"]["wind_m_s"]) / 0.44704)
    );
    assert_eq!(cells[8], format!("{:.2}", number(&part["sun_kwh_m2_day"])));
    assert_eq!(cells[10], format!("{:.1}", number(&part["rain_mm"]) / 25.4));
    for words in ["air °F", "wind mph", "rain in", "853 ft"] {
        // 260 m are 853.0 ft.
        assert!(told.contains(words), "“{words}” is not in\n{told}");
    }
}

#[test]
fn a_wrong_time_zone_is_not_good_and_says_what_would_fit() {
    let desk = Desk::new();
    let file = temperate().replacen(",-5,260", ",5,260", 1);
    assert_ne!(file, temperate());
    fs::write(desk.path("zone.epw"), file).expect("a file");
    let output = desk.run(&["weather", "zone.epw"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let told = text(&output.stdout);
    assert!(told.starts_with("Not good for a season: "), "{told}");
    assert!(
        told.contains("Sun check: ") && told.contains("it would fit if"),
        "{told}"
    );
    let found = json(&desk.run(&["weather", "zone.epw", "--json"]));
    assert_eq!(found["sun_check"]["verdict"], "wrong clock or place");
    // Ten hours ahead of the sun: by its clock the radiation comes ten hours early.
    let shift = number(&found["sun_check"]["shift_minutes"]);
    assert!((shift - 600.0).abs() < 5.0, "{shift} min");
}

#[test]
fn a_week_is_told_and_drawn_as_a_week() {
    let desk = Desk::new();
    let head_and_week: String = temperate()
        .lines()
        .take(EPW_HEAD + 7 * 24)
        .map(|l| format!("{l}\n"))
        .collect();
    let file = head_and_week.replacen("1/1,12/31", "1/1,1/7", 1);
    fs::write(desk.path("week.epw"), file).expect("a file");
    let output = desk.run(&["weather", "week.epw"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let told = text(&output.stdout);
    assert!(
        told.starts_with("Not good for a season: it covers 7 days"),
        "{told}"
    );
    let found = json(&desk.run(&["weather", "week.epw", "--json"]));
    assert_eq!(found["months"].as_array().map(Vec::len), Some(12));
    assert!(found["months"][5]["mean"].is_null(), "June is not in it");
    assert!(desk.path("week-weather/glance.png").is_file());
}

#[test]
fn what_a_conversion_loses_is_told() {
    let desk = Desk::new();
    // TMY3 has no column for infrared.
    let longwave = changed(|hour, cells| cells[12] = (280 + hour % 50).to_string());
    fs::write(desk.path("longwave.epw"), longwave).expect("a file");
    for (to, lost) in [("plain", false), ("tmy3", true)] {
        let told = text(
            &desk
                .run(&["weather", "convert", "longwave.epw", "--to", to])
                .stdout,
        );
        assert_eq!(told.contains("infrared"), lost, "{told}");
        assert_eq!(told.contains("Nothing was lost"), !lost, "{told}");
    }
}

#[test]
fn a_converted_file_tells_the_same_and_overwrites_nothing() {
    let desk = Desk::new();
    let before = json(&desk.run(&["weather", "sample:temperate", "--json"]));
    for (to, name) in [
        ("plain", "temperate.plain.csv"),
        ("epw", "temperate.epw"),
        ("tmy3", "temperate.tmy3.csv"),
    ] {
        let output = desk.run(&["weather", "convert", "sample:temperate", "--to", to]);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let told = text(&output.stdout);
        assert!(told.contains(name), "{told}");
        assert!(told.contains("Nothing was lost"), "{told}");
        let after = json(&desk.run(&["weather", name, "--json"]));
        for key in [
            "mean",
            "months",
            "latitude_deg",
            "utc_offset_h",
            "altitude_m",
            "first_start",
            "radiation_shift_minutes",
        ] {
            assert_eq!(after[key], before[key], "{to}: {key}");
        }
    }
    let mine = desk.path("temperate.plain.csv");
    fs::write(&mine, "mine\n").expect("a file");
    let again = ["weather", "convert", "sample:temperate", "--to", "plain"];
    let refused = desk.run(&again);
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        text(&refused.stderr).contains("--force"),
        "{}",
        text(&refused.stderr)
    );
    assert_eq!(fs::read_to_string(&mine).expect("mine"), "mine\n");
    let forced = desk.run(&[&again[..], &["--force"]].concat());
    assert!(forced.status.success() && fs::metadata(&mine).is_ok_and(|m| m.len() > 100_000));
    assert_eq!(
        desk.names(),
        ["temperate.epw", "temperate.plain.csv", "temperate.tmy3.csv"]
    );
}

/// The README's three commands, in an empty folder.
#[test]
fn a_climate_table_is_a_season_in_three_commands() {
    let desk = Desk::new();
    let ok = |args: &[&str]| {
        let output = desk.run(args);
        assert!(
            output.status.success(),
            "{args:?}: {}",
            text(&output.stderr)
        );
        text(&output.stdout)
    };
    ok(&["weather", "normals", "--template", "town.csv"]);
    let told = ok(&["weather", "normals", "town.csv"]);
    assert!(
        told.starts_with("Usable, with doubts: its hours are made from twelve monthly normals"),
        "{told}"
    );
    assert!(
        told.contains("FAO Irrigation and Drainage Paper 56"),
        "says by what relation: {told}"
    );
    assert!(told.contains("town.plain.csv"), "{told}");
    let season = ok(&[
        "season",
        &sample("cover-and-board.toml"),
        "--weather",
        "town.plain.csv",
    ]);
    assert!(season.contains("swim days"), "{season}");

    // The table's own figures come back: its July is 29.4 and 18.2 °C, 318 h of sunshine, 108 mm.
    const ROUNDED: f64 = 0.005;
    let found = json(&desk.run(&["weather", "normals", "town.csv", "--json"]));
    let july = &found["months"][6];
    for (key, wanted) in [
        ("air_daily_max_c", 29.4),
        ("air_daily_min_c", 18.2),
        ("rain_mm", 108.0),
    ] {
        let got = number(&july[key]);
        assert!((got - wanted).abs() < ROUNDED, "{key}: {got}");
    }
    assert_eq!(found["normals"]["wind"], true);
    let refused = desk.run(&["weather", "normals", "--template", "town.csv"]);
    assert_eq!(
        refused.status.code(),
        Some(2),
        "a filled-in table is not written over"
    );
}

#[test]
fn a_seed_is_a_year_and_several_years_are_several_files() {
    let desk = Desk::new();
    let ok = |args: &[&str]| {
        let output = desk.run(args);
        assert!(
            output.status.success(),
            "{args:?}: {}",
            text(&output.stderr)
        );
    };
    ok(&[
        "weather",
        "normals",
        "--template",
        "town.csv",
        "--units",
        "us",
    ]);
    ok(&[
        "weather", "normals", "town.csv", "--years", "3", "--to", "epw",
    ]);
    ok(&[
        "weather",
        "normals",
        "town.csv",
        "--seed",
        "2",
        "--to",
        "epw",
        "--out",
        "again.epw",
    ]);
    let read = |name: &str| fs::read(desk.path(name)).expect(name);
    assert_eq!(
        read("town-2.epw"),
        read("again.epw"),
        "the second year is that of seed 2"
    );
    assert_ne!(read("town-1.epw"), read("town-2.epw"));
    assert_eq!(
        desk.names(),
        [
            "again.epw",
            "town-1.epw",
            "town-2.epw",
            "town-3.epw",
            "town.csv"
        ]
    );
}

#[test]
fn what_is_wrong_is_told_and_leaves_nothing_behind() {
    let desk = Desk::new();
    for (args, words) in [
        (&["weather", "nowhere.epw"][..], "nowhere.epw"),
        (&["weather", "sample:mars"], "sample:temperate"),
        (&["weather", "sample:temperate", "--fill=-3"], "--fill -3"),
        (
            &["weather", "sample:temperate", "--utc-offset", "99"],
            "--utc-offset 99",
        ),
        (
            &["weather", "convert", "nowhere.epw", "--to", "plain"],
            "nowhere.epw",
        ),
        (
            &[
                "weather",
                "convert",
                "sample:temperate",
                "--to",
                "plain",
                "--out",
                "no/such/folder.csv",
            ],
            "no/such/folder.csv",
        ),
        (&["weather", "normals", "nowhere.csv"], "nowhere.csv"),
        (
            &["weather", "normals", "town.csv", "--years", "0"],
            "--years",
        ),
        (&["weather"], "<FILE>"),
    ] {
        let output = desk.run(args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        let told = text(&output.stderr);
        assert!(told.contains(words), "{args:?}: {told}");
        assert!(desk.names().is_empty(), "{args:?}: {:?}", desk.names());
    }
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    let desk = Desk::new();
    let mut child = Command::new(env!("CARGO_BIN_EXE_swimdays"))
        .args(["weather", "sample:temperate", "--json"])
        .current_dir(desk.folder.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    drop(child.stdout.take());
    let code = child.wait().expect("it ends").code();
    assert_eq!(code, Some(0));
}
