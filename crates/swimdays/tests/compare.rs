//! `swimdays compare` as a person runs it, with the real binary.

mod desk;

use std::fs;

use desk::{Desk, json, sample, text, words};
use serde_json::Value;

fn compare(desk: &Desk, args: &[&str]) -> Value {
    let mut all = vec!["compare"];
    all.extend(args);
    all.push("--json");
    let output = desk.run(&all);
    assert!(output.status.success(), "{}", text(&output.stderr));
    json(&output)
}

fn number(value: &Value, key: &str) -> f64 {
    value[key]
        .as_f64()
        .unwrap_or_else(|| panic!("no number {key} in {value}"))
}

fn named<'v>(list: &'v Value, name: &str) -> &'v Value {
    let list = list.as_array().expect("a list");
    list.iter()
        .find(|v| v["name"] == name)
        .unwrap_or_else(|| panic!("no {name} in {list:?}"))
}

#[test]
fn each_plan_gets_a_short_answer_and_pictures() {
    for (name, units) in [
        ("cover-and-board.toml", "us"),
        ("large-board.toml", "metric"),
        ("above-ground-south.toml", "us"),
        ("bare.toml", "metric"),
        ("cover-only.toml", "us"),
        ("five-on-the-roof.toml", "metric"),
    ] {
        let desk = Desk::new();
        let output = desk.run(&["compare", &sample(name), "--out", "here", "--units", units]);
        assert!(output.status.success(), "{name}: {}", text(&output.stderr));
        let told = text(&output.stdout);
        let lines: Vec<&str> = told.lines().collect();
        assert!(lines.len() <= 26, "{name}: {}\n{told}", lines.len());
        let widest = lines.iter().map(|l| l.chars().count()).max();
        assert!(widest <= Some(100), "{name}: {widest:?}\n{told}");
        assert!(lines[0].contains("swim day"), "{told}");
        let words = words(&told);
        assert!(
            words.contains("local codes and licensed practice decide"),
            "{told}"
        );
        desk.has(
            "here",
            &[
                "compare.json",
                "options.csv",
                "measures.csv",
                "areas.csv",
                "measures.png",
            ],
        );
    }
}

/// A heater of 2 m² on a pool of 60 m³: it is the cover that makes the season, and the first lines say so.
#[test]
fn a_small_heater_on_a_large_pool_is_not_what_makes_the_season() {
    let desk = Desk::new();
    let sets = [
        "pool.length=8 m",
        "pool.width=5 m",
        "pool.depth=1.5 m",
        "heater.board.area=2 m2",
        "heater.board.tube.length=340 ft",
        "heater.board.board.layout=serpentine",
    ];
    let scenario = sample("cover-and-board.toml");
    let mut args = vec!["compare", scenario.as_str(), "--out", "here"];
    for set in &sets {
        args.extend(["--set", set]);
    }
    let output = desk.run(&args);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let told = text(&output.stdout);
    let first: Vec<&str> = told.lines().take(3).collect();
    let first = first.join(" ");
    assert!(
        first.contains("The cover, not the board, makes the season"),
        "{told}"
    );
}

#[test]
fn shares_and_ranges_hold_together() {
    let desk = Desk::new();
    let found = compare(&desk, &[&sample("cover-and-board.toml")]);
    let bare = named(&found["options"], "bare pool");
    let plan = named(&found["options"], "cover + board");
    assert_eq!(plan["is_plan"], true);
    let gained = number(plan, "swim_days") - number(bare, "swim_days");
    let shares: f64 = ["cover", "board"]
        .iter()
        .map(|n| number(named(&found["measures"], n), "days_fair_share"))
        .sum();
    assert!((shares - gained).abs() < 1e-9, "{shares} for {gained}");
    for option in found["options"].as_array().expect("options") {
        let days = number(option, "swim_days");
        let (low, high) = (
            number(option, "swim_days_low"),
            number(option, "swim_days_high"),
        );
        assert!(low <= days && days <= high, "{option}");
    }
    // By hand: 120 over 4 years and 180 over 10 are 48 a year; the filter runs anyway.
    assert!((number(plan, "build_cost") - 300.0).abs() < 1e-9);
    let expected = 48.0 / gained + number(plan, "running_cost_per_year") / gained;
    assert!((number(plan, "cost_per_gained_day") - expected).abs() < 1e-9);
    // The plan is the season's own answer, with its range.
    let season = desk.run(&["season", &sample("cover-and-board.toml"), "--json"]);
    let season = json(&season);
    for key in [
        "swim_days",
        "swim_days_low",
        "swim_days_high",
        "too_hot_days",
    ] {
        assert_eq!(plan[key], season[key], "{key}");
    }
    let area = &found["heater_area"];
    assert!(
        area["area_m2"].as_array().is_some_and(|a| a.len() >= 12),
        "{area}"
    );
}

#[test]
fn options_are_compared_and_their_faults_told() {
    let desk = Desk::new();
    let base = fs::read_to_string(sample("cover-and-board.toml")).expect("the sample");
    let base = base.replace("../weather-samples/temperate.epw", "sample:temperate");
    let option = "\n[[option]]\nname = \"fence\"\nset = [\"site.wind=sheltered\"]\ncost = \"400 $\"\nlife_years = 20\n";
    fs::write(desk.path("pool.toml"), format!("{base}{option}")).expect("a scenario");
    let found = compare(&desk, &["pool.toml"]);
    let fence = named(&found["options"], "fence");
    // By hand: 120 + 180 + 400; 30 + 18 + 20 a year.
    assert!((number(fence, "build_cost") - 700.0).abs() < 1e-9);
    assert!((number(fence, "build_cost_per_year") - 68.0).abs() < 1e-9);
    let plan = named(&found["options"], "cover + board");
    assert!(
        number(fence, "swim_days") >= number(plan, "swim_days"),
        "less wind is no loss"
    );
    let bad = option.replace("site.wind=sheltered", "site.wind=calm");
    fs::write(desk.path("bad.toml"), format!("{base}{bad}")).expect("a scenario");
    let output = desk.run(&["compare", "bad.toml"]);
    assert_eq!(output.status.code(), Some(2));
    let told = text(&output.stderr);
    assert!(
        told.contains("option \"fence\", site.wind") && told.contains("line"),
        "{told}"
    );
}

#[test]
fn the_same_bytes_for_any_number_of_threads() {
    Desk::new().same_for_any_threads(&["compare", &sample("cover-and-board.toml"), "--json"]);
}

#[test]
fn bad_arguments_are_refused_without_a_trace() {
    let desk = Desk::new();
    for args in [
        &["compare"][..],
        &["compare", "no-such.toml"],
        &["compare", "no-such.toml", "--colour", "red"],
    ] {
        let output = desk.run(args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(
            output.stdout.is_empty() && !output.stderr.is_empty(),
            "{args:?}"
        );
    }
    assert!(desk.names().is_empty(), "{:?}", desk.names());
}

/// A week of weather: with a start temperature an answer, without one a clear refusal.
#[test]
fn weather_of_a_part_of_the_year() {
    let desk = Desk::new();
    let year =
        fs::read_to_string(desk::root().join("weather-samples/temperate.epw")).expect("weather");
    // Eight lines of head, then hours; June begins at hour 3624.
    let lines: Vec<&str> = year.lines().collect();
    let part: Vec<&str> = lines[..8]
        .iter()
        .chain(&lines[8 + 3624..8 + 3624 + 720])
        .copied()
        .collect();
    fs::write(desk.path("june.epw"), part.join("\n")).expect("a part");
    let scenario = sample("cover-and-board.toml");
    let output = desk.run(&["compare", &scenario, "--weather", "june.epw", "--json"]);
    assert_eq!(output.status.code(), Some(2), "{}", text(&output.stdout));
    let told = text(&output.stderr);
    assert!(told.contains("start"), "{told}");
    let output = desk.run(&[
        "compare",
        &scenario,
        "--weather",
        "june.epw",
        "--json",
        "--set",
        "pool.start=70 F",
    ]);
    assert!(output.status.success(), "{}", text(&output.stderr));
}
