//! `swimdays aim` as a person runs it, with the real binary.

mod desk;

use desk::{Desk, json, sample, text, words};
use serde_json::Value;

/// The coarsest map: fast, and all that the answer says is there.
const COARSE: [&str; 2] = ["--step", "45"];

fn told(desk: &Desk, scenario: &str, more: &[&str]) -> String {
    let mut args = vec!["aim", scenario];
    args.extend(COARSE);
    args.extend(more);
    let output = desk.run(&args);
    assert!(output.status.success(), "{}", text(&output.stderr));
    text(&output.stdout)
}

#[test]
fn the_first_lines_are_the_answer_and_a_map_is_drawn() {
    for (name, units, objective) in [
        ("cover-and-board.toml", "us", "season-heat"),
        ("above-ground-south.toml", "metric", "days"),
        ("board-and-deck.toml", "us", "spring-heat"),
    ] {
        let desk = Desk::new();
        let more = ["--out", "here", "--units", units, "--objective", objective];
        let told = told(&desk, &sample(name), &more);
        assert!(
            told.lines().count() <= 25,
            "{name}: {}\n{told}",
            told.lines().count()
        );
        let widest = told.lines().map(|l| l.chars().count()).max();
        assert!(widest <= Some(100), "{name}: {widest:?}\n{told}");
        let first = told.lines().next().unwrap_or("");
        assert!(
            first.starts_with("Most ") || first.starts_with("No swim day"),
            "{told}"
        );
        let words = words(&told);
        assert!(words.contains("As you have it"), "{told}");
        assert!(
            words.contains("Local codes and licensed practice decide"),
            "{told}"
        );
        desk.has("here", &["aim.json", "aim.csv", "aim.svg", "aim.png"]);
    }
}

#[test]
fn the_south_faces_north_and_the_north_south() {
    for (name, equator) in [
        ("cover-and-board.toml", 180.0),
        ("above-ground-south.toml", 0.0),
    ] {
        let output = Desk::new().run(&["aim", &sample(name), "--json", "--step", "15"]);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let found = json(&output);
        let best = found["best"]["azimuth_deg"].as_f64().expect("a direction");
        let off = (best - equator).rem_euclid(360.0);
        assert!(off.min(360.0 - off) < 60.0, "{name}: {best}");
    }
}

#[test]
fn the_object_has_every_cell() {
    let desk = Desk::new();
    let output = desk.run(&[
        "aim",
        &sample("cover-and-board.toml"),
        "--json",
        "--step",
        "45",
    ]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let found = json(&output);
    // 8 directions, 3 tilts.
    assert_eq!(found["map"].as_array().map(Vec::len), Some(24));
    for key in [
        "best",
        "given",
        "as_good",
        "loss",
        "notes",
        "seasons",
        "swim_days_without",
    ] {
        assert_ne!(found[key], Value::Null, "{key}");
    }
    assert_eq!(found["given"]["tilt_deg"].as_f64(), Some(35.0));
    assert!(desk.names().is_empty(), "--json alone writes nothing");
}

#[test]
fn the_same_bytes_for_any_number_of_threads() {
    Desk::new().same_for_any_threads(&[
        "aim",
        &sample("large-board.toml"),
        "--json",
        "--step",
        "45",
    ]);
}

#[test]
fn what_cannot_be_turned_is_told() {
    let cover_and_board = sample("cover-and-board.toml");
    assert!(
        Desk::new()
            .refused(&["aim", &sample("bare.toml")])
            .contains("nothing to turn")
    );
    let deck = Desk::new().refused(&["aim", &sample("board-and-deck.toml"), "--heater", "deck"]);
    assert!(deck.contains("flat") && deck.contains("choose"), "{deck}");
    let other = Desk::new().refused(&["aim", &cover_and_board, "--heater", "roof"]);
    assert!(
        other.contains("--heater roof") && other.contains("board"),
        "{other}"
    );
    for step in ["7", "0", "x", "90"] {
        let told = Desk::new().refused(&["aim", &cover_and_board, "--step", step]);
        assert!(told.contains("--step") && told.contains("15"), "{told}");
    }
    let shut = Desk::new().refused(&[
        "aim",
        &cover_and_board,
        "--step",
        "45",
        "--objective",
        "spring-heat",
        "--set",
        "pool.opens=06-10",
    ]);
    assert!(shut.contains("pool.opens"), "{shut}");
    assert!(
        Desk::new()
            .refused(&["aim", &cover_and_board, "--objective", "gold"])
            .contains("season-heat")
    );
}

#[test]
fn a_part_of_a_year_needs_a_start_and_then_answers() {
    let desk = Desk::new();
    let june = desk.june();
    let scenario = sample("cover-and-board.toml");
    let bare = desk.run(&["aim", &scenario, "--weather", june, "--step", "45"]);
    assert_eq!(bare.status.code(), Some(2));
    assert!(
        text(&bare.stderr).contains("pool.start"),
        "{}",
        text(&bare.stderr)
    );
    let told = told(
        &desk,
        &scenario,
        &["--weather", june, "--set", "pool.start=60 F"],
    );
    assert!(told.starts_with("Most heat"), "{told}");
}
