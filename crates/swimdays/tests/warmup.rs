//! `swimdays warmup` as a person runs it, with the real binary.

mod desk;

use desk::{Desk, json, sample, text, words};
use serde_json::Value;

#[test]
fn the_first_lines_are_the_answer_and_pictures_are_drawn() {
    for (name, more) in [
        (
            "cover-and-board.toml",
            &["--from", "60F", "--to", "80F", "--by", "06-01"][..],
        ),
        (
            "large-board.toml",
            &["--start", "05-15", "--units", "metric"],
        ),
        ("board-and-deck.toml", &["--window", "04-15..05-31"]),
        ("above-ground-south.toml", &["--from", "15C"]),
        ("bare.toml", &["--from", "55F", "--to", "95F"]),
    ] {
        let desk = Desk::new();
        let scenario = sample(name);
        let mut args = vec!["warmup", &scenario, "--out", "here"];
        args.extend(more);
        let output = desk.run(&args);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let told = text(&output.stdout);
        assert!(
            told.lines().count() <= 26,
            "{name}: {}\n{told}",
            told.lines().count()
        );
        let widest = told.lines().map(|l| l.chars().count()).max();
        assert!(widest <= Some(100), "{name}: {widest:?}\n{told}");
        assert!(told.starts_with("From "), "{told}");
        let words = words(&told);
        assert!(
            words.contains("Local codes and licensed practice decide"),
            "{told}"
        );
        assert_eq!(
            words.contains("Ready by Jun 1:"),
            more.contains(&"--by"),
            "{told}"
        );
        if name == "bare.toml" {
            assert!(
                words.contains("the water never gets there (within 60 days"),
                "{told}"
            );
        }
        desk.has(
            "here",
            &[
                "warmup.json",
                "warmup.csv",
                "warmup.svg",
                "warmup.png",
                "warmup-measures.png",
            ],
        );
    }
}

#[test]
fn the_object_has_each_measure() {
    let desk = Desk::new();
    let output = desk.run(&[
        "warmup",
        &sample("cover-and-board.toml"),
        "--json",
        "--from",
        "60F",
        "--by",
        "06-01",
    ]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let found = json(&output);
    let names: Vec<&str> = found["measures"]
        .as_array()
        .expect("measures")
        .iter()
        .filter_map(|m| m["name"].as_str())
        .collect();
    assert_eq!(names, ["bare", "cover", "board", "all"]);
    // 60 °F = 15.56 °C.
    assert!((found["from_low_c"].as_f64().expect("from") - 15.556).abs() < 0.01);
    // From opening, 1 May, a month: 31 start days.
    assert_eq!(found["by_start"].as_array().map(Vec::len), Some(31));
    assert_eq!(found["ready"]["by"], Value::from("06-01"));
    assert!(desk.names().is_empty(), "--json alone writes nothing");
}

#[test]
fn the_same_bytes_for_any_number_of_threads() {
    Desk::new().same_for_any_threads(&[
        "warmup",
        &sample("cover-and-board.toml"),
        "--json",
        "--by",
        "06-01",
    ]);
}

#[test]
fn what_makes_no_sense_is_told() {
    let scenario = sample("cover-and-board.toml");
    for (more, expected) in [
        (&["--from", "80F", "--to", "70F"][..], "nothing to warm up"),
        (&["--from", "warm"], "--from warm"),
        (&["--to", "300F"], "no temperature of a pool"),
        (&["--start", "13-01"], "--start 13-01"),
        (&["--window", "05-01"], "--window"),
        (&["--window", "05-01..05-99"], "--window"),
        (&["--by", "soon"], "--by"),
        (
            &["--start", "05-01", "--window", "05-01..05-02"],
            "cannot be used with",
        ),
    ] {
        let mut args = vec!["warmup", &scenario];
        args.extend(more);
        let told = Desk::new().refused(&args);
        assert!(told.contains(expected), "{more:?}: {told}");
    }
}

#[test]
fn a_part_of_a_year_ends_where_it_ends() {
    let desk = Desk::new();
    let june = desk.june();
    let scenario = sample("cover-and-board.toml");
    let run = |more: &[&str]| {
        let mut args = vec!["warmup", &scenario, "--weather", june];
        args.extend(more);
        desk.run(&args)
    };
    let bare = run(&["--start", "06-10"]);
    assert_eq!(bare.status.code(), Some(2));
    assert!(
        text(&bare.stderr).contains("--from"),
        "{}",
        text(&bare.stderr)
    );
    let may = run(&["--start", "05-10", "--from", "60F"]);
    assert_eq!(may.status.code(), Some(2));
    assert!(
        text(&may.stderr).contains("it runs from"),
        "{}",
        text(&may.stderr)
    );
    let by = run(&["--start", "06-10", "--from", "60F", "--by", "09-01"]);
    assert_eq!(by.status.code(), Some(2));
    assert!(text(&by.stderr).contains("--by"), "{}", text(&by.stderr));
    let late = run(&["--start", "06-29", "--from", "50F", "--to", "95F"]);
    assert!(late.status.success(), "{}", text(&late.stderr));
    let words = words(&text(&late.stdout));
    assert!(words.contains("the weather file ends before"), "{words}");
}
