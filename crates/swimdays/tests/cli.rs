//! The program as a person runs it: each test in a fresh folder, with the real binary.

mod desk;

use std::fs;
use std::process::Command;

use desk::{Desk, json, root, sample, text};

#[test]
fn a_season_tells_its_answer_and_makes_its_files() {
    let desk = Desk::new();
    let output = desk.run(&["season", &sample("cover-and-board.toml")]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let told = text(&output.stdout);
    assert!(told.lines().count() <= 25, "at most 25 lines:\n{told}");
    assert!(told.contains("swim days"), "{told}");
    for name in [
        "hourly.csv",
        "daily.csv",
        "summary.json",
        "year.png",
        "year.svg",
        "ledger.png",
        "week.svg",
    ] {
        let made = desk.path("cover-and-board").join(name);
        assert!(
            fs::metadata(&made).is_ok_and(|m| m.len() > 0),
            "{name} is missing or empty"
        );
    }
    assert_eq!(
        desk.names(),
        ["cover-and-board"],
        "nothing else is left behind"
    );
    let hourly = fs::read_to_string(desk.path("cover-and-board/hourly.csv")).expect("hourly.csv");
    assert_eq!(hourly.lines().count(), 8761, "a heading and 8760 hours");
    assert!(hourly.starts_with("time,air_c,dew_point_c,wind_m_s,ghi_w_m2,plane_w_m2,"));
}

#[test]
fn json_prints_the_summary_alone_and_writes_nothing() {
    let desk = Desk::new();
    let output = desk.run(&["season", &sample("cover-and-board.toml"), "--json"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let summary = json(&output);
    for key in [
        "swim_days",
        "swim_days_low",
        "swim_days_high",
        "too_hot_days",
        "first_swim_day",
        "last_swim_day",
        "swim_days_by_month",
        "energy_kwh",
        "closure_residual_kwh",
        "pump_hours",
        "pump_kwh",
        "water_c",
        "peak_outlet_c",
        "first_slug_c",
        "peak_stagnation_c",
        "plane",
        "assumptions",
        "warnings",
    ] {
        assert!(summary.get(key).is_some(), "summary has no {key}");
    }
    assert!(desk.names().is_empty(), "no file without --out");
    let energy = summary["energy_kwh"].as_object().expect("energies");
    let stored = energy["stored_change"].as_f64().expect("stored");
    let flows: f64 = energy
        .iter()
        .filter(|(k, _)| *k != "stored_change")
        .filter_map(|(_, v)| v.as_f64())
        .sum();
    // Sum of eleven numbers rounded to a hundredth of a kWh in the file.
    assert!(
        (flows - stored).abs() < 0.2,
        "flows {flows} kWh, stored {stored} kWh"
    );
}

#[test]
fn files_of_the_user_are_not_overwritten_unasked() {
    let desk = Desk::new();
    fs::create_dir(desk.path("mine")).expect("folder");
    fs::write(desk.path("mine/daily.csv"), "my own notes").expect("file");
    let scenario = sample("bare.toml");
    let refused = desk.run(&["season", &scenario, "--out", "mine"]);
    assert_eq!(refused.status.code(), Some(2), "{}", text(&refused.stderr));
    assert!(
        text(&refused.stderr).contains("daily.csv"),
        "{}",
        text(&refused.stderr)
    );
    assert_eq!(
        fs::read_to_string(desk.path("mine/daily.csv")).expect("file"),
        "my own notes"
    );
    assert_eq!(
        fs::read_dir(desk.path("mine")).expect("folder").count(),
        1,
        "nothing half-written"
    );

    let forced = desk.run(&["season", &scenario, "--out", "mine", "--force"]);
    assert!(forced.status.success(), "{}", text(&forced.stderr));
    let again = desk.run(&["season", &scenario, "--out", "mine"]);
    assert!(
        again.status.success(),
        "its own files are replaced: {}",
        text(&again.stderr)
    );
}

#[test]
fn a_changed_value_changes_the_answer() {
    let desk = Desk::new();
    let scenario = sample("cover-and-board.toml");
    let days = |args: &[&str]| {
        let mut all = vec!["season", &scenario, "--json"];
        all.extend_from_slice(args);
        let output = desk.run(&all);
        assert!(output.status.success(), "{}", text(&output.stderr));
        json(&output)["swim_days"].as_u64().expect("days")
    };
    assert!(
        days(&["--set", "pool.cover.kind=none"]) < days(&[]),
        "without the cover there are fewer swim days"
    );
    assert!(
        days(&["--set", "swim.target=70 F"]) > days(&[]),
        "with a lower target there are more"
    );
}

#[test]
fn wrong_input_is_told_with_its_place() {
    let desk = Desk::new();
    let missing = desk.run(&["season", "nowhere.toml"]);
    assert_eq!(missing.status.code(), Some(2));
    assert!(text(&missing.stderr).contains("nowhere.toml"));

    let good = fs::read_to_string(sample("bare.toml")).expect("sample");
    fs::write(
        desk.path("bad.toml"),
        good.replace("depth = \"4 ft 6 in\"", "depth = 4.5\ncolour = \"blue\""),
    )
    .expect("file");
    let bad = desk.run(&["season", "bad.toml"]);
    assert_eq!(bad.status.code(), Some(2));
    let told = text(&bad.stderr);
    assert!(
        told.contains("depth") && told.contains("colour"),
        "all errors at once:\n{told}"
    );
    assert_eq!(desk.names(), ["bad.toml"], "a failed run leaves nothing");

    assert_eq!(desk.run(&["season"]).status.code(), Some(2));
    assert_eq!(desk.run(&["--help"]).status.code(), Some(0));
}

#[test]
fn new_writes_a_scenario_that_runs() {
    let desk = Desk::new();
    let written = desk.run(&["new", "--yes", "mine.toml"]);
    assert!(written.status.success(), "{}", text(&written.stderr));
    let first = fs::read_to_string(desk.path("mine.toml")).expect("scenario");
    assert!(
        first
            .lines()
            .filter(|l| l.trim_start().starts_with('#') || l.contains(" # "))
            .count()
            > 5,
        "commented"
    );
    let refused = desk.run(&["new", "--yes", "mine.toml"]);
    assert_eq!(refused.status.code(), Some(2), "an existing file is kept");
    let season = desk.run(&["season", "mine.toml", "--json"]);
    assert!(season.status.success(), "{}", text(&season.stderr));
}

#[test]
fn other_weather_and_units_can_be_asked_for() {
    let desk = Desk::new();
    let weather = root()
        .join("weather-samples/hot-dry.nsrdb.csv")
        .to_string_lossy()
        .into_owned();
    let output = desk.run(&[
        "season",
        &sample("bare.toml"),
        "--weather",
        &weather,
        "--units",
        "metric",
        "--out",
        "dry",
    ]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    assert!(
        text(&output.stdout).contains("°C"),
        "{}",
        text(&output.stdout)
    );
    let missing = desk.run(&["season", &sample("bare.toml"), "--weather", "none.epw"]);
    assert_eq!(missing.status.code(), Some(2));
    assert!(text(&missing.stderr).contains("none.epw"));
}

/// Rows of a run's `hourly.csv`, by the names of its columns.
fn hours(desk: &Desk, folder: &str) -> Vec<std::collections::HashMap<String, String>> {
    let table = fs::read_to_string(desk.path(folder).join("hourly.csv")).expect("hourly.csv");
    let mut lines = table.lines();
    let names: Vec<&str> = lines.next().expect("a heading").split(',').collect();
    lines
        .map(|line| {
            names
                .iter()
                .zip(line.split(','))
                .map(|(name, cell)| ((*name).to_owned(), cell.to_owned()))
                .collect()
        })
        .collect()
}

/// The header of the sample says that its pump runs at night to cool, and that this takes little beside evaporation.
#[test]
fn the_hot_dry_sample_cools_at_night_as_it_says() {
    let desk = Desk::new();
    let output = desk.run(&["season", &sample("hot-dry.toml")]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let (mut nights, mut taken_w, mut evaporated_w) = (0, 0.0, 0.0);
    for hour in hours(&desk, "hot-dry") {
        let number = |column: &str| hour[column].parse::<f64>().unwrap_or(0.0);
        evaporated_w += number("evaporation_w");
        if number("ghi_w_m2") <= 0.0 && number("pump_on_frac") > 0.0 {
            nights += 1;
            taken_w += number("heater_w");
        }
    }
    assert!(nights > 24, "the pump runs at night in {nights} hours only");
    assert!(taken_w < 0.0, "the board cools: {taken_w} Wh");
    assert!(
        taken_w > 0.05 * evaporated_w,
        "little beside evaporation: {taken_w} against {evaporated_w} Wh"
    );
}

#[test]
fn units_asked_for_reach_what_was_assumed() {
    let desk = Desk::new();
    let output = desk.run(&[
        "season",
        &sample("bare.toml"),
        "--units",
        "metric",
        "--json",
    ]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let summary = json(&output);
    let assumptions = summary["assumptions"].as_array().expect("a list");
    assert!(!assumptions.is_empty());
    for assumption in assumptions {
        let value = assumption["value"].as_str().expect("a value");
        assert!(
            !value.contains("°F") && !value.ends_with(" ft") && !value.ends_with(" in"),
            "{assumption}"
        );
    }
}

#[test]
fn weather_that_is_not_there_is_told_with_the_rest() {
    let desk = Desk::new();
    fs::write(
        desk.path("bad.toml"),
        "[site]\nweather = \"nowhere.epw\"\n[pool]\nlength = \"24 ft\"\nwidth = \"12 ft\"\ndepth = 4\n",
    )
    .expect("file");
    let bad = desk.run(&["season", "bad.toml"]);
    assert_eq!(bad.status.code(), Some(2));
    let told = text(&bad.stderr);
    assert!(
        told.contains("bad.toml, line 2:  site.weather") && told.contains("nowhere.epw"),
        "{told}"
    );
    assert!(told.contains("bad.toml, line 6:  pool.depth"), "{told}");
    let other = desk.run(&["season", "bad.toml", "--weather", "elsewhere.epw"]);
    let told = text(&other.stderr);
    assert!(
        told.contains("--weather elsewhere.epw") && told.contains("pool.depth"),
        "{told}"
    );
    assert!(!told.contains("nowhere.epw"), "not asked for: {told}");
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told() {
    let desk = Desk::new();
    let scenario = sample("bare.toml");
    for args in [
        &["season", &scenario] as &[&str],
        &["season", &scenario, "--json"],
        &["new", "--yes"],
        &["--help"],
    ] {
        let full = fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .expect("the device that is always full");
        let output = Command::new(env!("CARGO_BIN_EXE_swimdays"))
            .args(args)
            .current_dir(desk.folder.path())
            .stdout(full)
            .output()
            .expect("the program starts");
        assert_eq!(output.status.code(), Some(1), "{args:?}");
        assert!(
            text(&output.stderr).contains("standard output cannot be written"),
            "{args:?}: {}",
            text(&output.stderr)
        );
    }
}
