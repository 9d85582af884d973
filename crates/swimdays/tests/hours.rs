//! `swimdays hours` as a person runs it, with the real binary.

mod desk;

use std::fs;

use desk::{Desk, json, root, sample, text};
use serde_json::Value;

fn hours(desk: &Desk, scenario: &str, more: &[&str]) -> Value {
    let mut args = vec!["hours", scenario, "--json"];
    args.extend(more);
    let output = desk.run(&args);
    assert!(output.status.success(), "{}", text(&output.stderr));
    json(&output)
}

fn option<'v>(answer: &'v Value, name: &str) -> &'v Value {
    answer["options"]
        .as_array()
        .and_then(|options| options.iter().find(|o| o["name"] == name))
        .unwrap_or_else(|| panic!("no option {name}: {answer:#}"))
}

#[test]
fn the_answer_is_short_and_has_its_card_and_cautions() {
    for (name, units) in [
        ("cover-and-board.toml", "us"),
        ("above-ground-south.toml", "metric"),
        ("hot-dry.toml", "us"),
    ] {
        let desk = Desk::new();
        let output = desk.run(&["hours", &sample(name), "--out", "here", "--units", units]);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let told = text(&output.stdout);
        assert!(
            told.lines().count() <= 25,
            "{}\n{told}",
            told.lines().count()
        );
        let widest = told.lines().map(|l| l.chars().count()).max();
        assert!(widest <= Some(100), "{widest:?}\n{told}");
        assert!(
            told.lines().next().unwrap_or("").contains("swim days"),
            "{told}"
        );
        assert!(told.contains("GFCI/RCD"), "{told}");
        assert!(
            told.contains("Local codes and licensed practice decide"),
            "{told}"
        );
        desk.has(
            "here",
            &[
                "hours.json",
                "card.csv",
                "card.txt",
                "card.png",
                "card.svg",
                "hours.png",
                "hours.svg",
            ],
        );
        let card = fs::read_to_string(desk.path("here/card.csv")).expect("card");
        assert!(
            card.starts_with("month,pump_on,pump_off,cover_on,cover_off\n"),
            "{card}"
        );
        let twelve = card.contains(" am") || card.contains("noon");
        assert_eq!(twelve, units == "us", "{card}");
    }
}

/// The card's hours, put into the scenario, give the season that was promised.
#[test]
fn the_card_read_back_gives_the_same_season() {
    for name in [
        "cover-and-board.toml",
        "large-board.toml",
        "above-ground-south.toml",
    ] {
        let desk = Desk::new();
        let answer = hours(&desk, &sample(name), &[]);
        let promised = option(&answer, answer["card_option"].as_str().unwrap_or(""));
        let mut args = vec!["season".to_owned(), sample(name), "--json".to_owned()];
        for set in answer["set"].as_array().expect("sets") {
            args.extend(["--set".to_owned(), set.as_str().unwrap_or("").to_owned()]);
        }
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        let output = desk.run(&args);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let season = json(&output);
        assert_eq!(season["swim_days"], promised["swim_days"], "{name}");
        let heaters: f64 = season["heaters"]
            .as_array()
            .expect("heaters")
            .iter()
            .filter_map(|h| h["heat_kwh"].as_f64())
            .sum();
        let heat = promised["heat_kwh"].as_f64().unwrap_or(f64::NAN);
        assert!(
            (heaters - heat).abs() < 1e-6 * heat.abs().max(1.0),
            "{name}: {heaters} {heat}"
        );
    }
}

/// Your own timer's row is the season's own summary.
#[test]
fn your_timer_is_the_season() {
    let desk = Desk::new();
    let scenario = sample("cover-and-board.toml");
    let answer = hours(&desk, &scenario, &[]);
    let season = json(&desk.run(&["season", &scenario, "--json"]));
    let own = option(&answer, "your timer");
    assert_eq!(own["swim_days"], season["swim_days"]);
    assert_eq!(own["swim_days_low"], season["swim_days_low"]);
    assert_eq!(own["swim_days_high"], season["swim_days_high"]);
}

#[test]
fn the_same_bytes_for_any_number_of_threads() {
    Desk::new().same_for_any_threads(&["hours", &sample("cover-and-board.toml"), "--json"]);
}

#[test]
fn what_cannot_be_is_said() {
    let desk = Desk::new();
    let closed = "pool.opens=12-01";
    let part = root().join("scenarios/cover-and-board.toml");
    let part = part.to_string_lossy();
    for (args, code, says) in [
        (vec!["hours", &*sample("bare.toml")], 2, "has no heater"),
        (
            vec!["hours", &*sample("cover-only.toml")],
            2,
            "has no heater",
        ),
        (
            vec!["hours", &part, "--set", "pump.hours=nine"],
            2,
            "pump.hours",
        ),
        (vec!["hours", &part, "--weather", "none.epw"], 2, "none.epw"),
        (
            vec![
                "hours",
                &part,
                "--set",
                "pump.control=never",
                "--set",
                closed,
                "--json",
            ],
            0,
            "",
        ),
    ] {
        let output = desk.run(&args);
        let told = text(&output.stderr);
        assert_eq!(output.status.code(), Some(code), "{args:?}: {told}");
        assert!(told.contains(says), "{args:?}: {told}");
        assert!(!told.contains("panicked"), "{told}");
    }
}

/// The whole table is in the object, each way against each.
#[test]
fn each_way_stands_against_each_other() {
    let desk = Desk::new();
    let answer = hours(
        &desk,
        &sample("cover-and-board.toml"),
        &["--set", "pump.kind=own", "--set", "pump.power=60 W"],
    );
    let ways = answer["options"].as_array().map_or(0, Vec::len);
    assert!(ways >= 4, "{answer:#}");
    assert_eq!(
        answer["pairs"].as_array().map_or(0, Vec::len),
        ways * (ways - 1)
    );
    // By hand: 60 W for the hours run, at 0.17 $/kWh.
    let own = option(&answer, "your timer");
    let run = own["hours_run"].as_f64().unwrap_or(f64::NAN);
    let kwh = own["pump_kwh"].as_f64().unwrap_or(f64::NAN);
    let cost = own["cost"].as_f64().unwrap_or(f64::NAN);
    assert!((kwh - 0.06 * run).abs() < 1e-6, "{kwh} {run}");
    assert!((cost - 0.17 * kwh).abs() < 1e-9, "{cost} {kwh}");
    // Always on in 153 days from 1 May to 30 September: 24 h on each, less what frost or warm water stop.
    let always = option(&answer, "always on")["hours_run"]
        .as_f64()
        .unwrap_or(f64::NAN);
    assert!(always <= 153.0 * 24.0 + 1e-6 && always > run, "{always}");
}
