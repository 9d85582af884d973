//! Every bad scenario produces the messages written beside it, at their lines, and no others; nothing panics.

use std::fs;
use std::path::{Path, PathBuf};

use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use swimdays_scenario::{COMPLETE, load, parse};

/// Fewest bad scenarios that the project promises.
const LEAST: usize = 30;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("bad/scenario")
}

/// Messages written as `#^ text`, each with the number of the line above the run of such lines; 1 at the top.
fn marks(text: &str) -> Vec<(usize, String)> {
    let mut line_of = 1;
    let mut marks = Vec::new();
    for (at, line) in text.lines().enumerate() {
        match line.strip_prefix("#^ ") {
            Some(message) => marks.push((line_of, message.trim().to_owned())),
            None if line.starts_with('#') => {}
            None => line_of = at + 1,
        }
    }
    marks
}

#[test]
fn each_bad_scenario_says_what_is_written_beside_it() {
    let mut count = 0;
    for entry in fs::read_dir(folder()).expect("the folder of bad scenarios") {
        let path = entry.expect("an entry").path();
        let name = path
            .file_name()
            .map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        let text = fs::read_to_string(&path).expect("a text");
        let marks = marks(&text);
        assert!(!marks.is_empty(), "{name} has no `#^` line");
        let Err(errors) = load(&path, &[]) else {
            panic!("{name} was accepted")
        };
        for (line, message) in &marks {
            let hit = errors
                .diagnostics
                .iter()
                .any(|d| d.line == Some(*line) && d.to_string().contains(message.as_str()));
            assert!(
                hit,
                "{name}: no message `{message}` at line {line} in\n{errors}"
            );
        }
        assert_eq!(
            errors.diagnostics.len(),
            marks.len(),
            "{name}: other messages than those marked\n{errors}"
        );
        for diagnostic in &errors.diagnostics {
            assert!(
                diagnostic.to_string().contains(&name),
                "{name}: the file is not named\n{errors}"
            );
            let says = !diagnostic.allowed.is_empty() || !diagnostic.advice.is_empty();
            assert!(
                says,
                "{name}: neither what is allowed nor what to do\n{errors}"
            );
        }
        count += 1;
    }
    assert!(count >= LEAST, "{count} bad scenarios");
}

/// Any beginning of the complete scenario is read or refused, with at least one message when refused.
#[test]
fn no_truncation_panics() {
    let mut ends: Vec<usize> = COMPLETE.match_indices('\n').map(|(at, _)| at).collect();
    ends.extend((0..COMPLETE.len()).step_by(37));
    for end in ends {
        if let Some(text) = COMPLETE.get(..end) {
            check(text);
        }
    }
}

fn check(text: &str) {
    match parse(text, "mutated.toml", Path::new(""), &[]) {
        Ok(scenario) => {
            assert!(scenario.plan.pool.area_m2.is_finite() && scenario.plan.pool.area_m2 > 0.0);
            assert!(scenario.plan.pool.volume_m3.is_finite() && scenario.plan.pool.volume_m3 > 0.0);
        }
        Err(errors) => {
            assert!(!errors.diagnostics.is_empty());
            let lines = text.lines().count().max(1);
            for diagnostic in &errors.diagnostics {
                assert!(
                    diagnostic.line.is_none_or(|line| line <= lines + 1),
                    "{diagnostic}"
                );
            }
        }
    }
}

fn runner(cases: u32) -> TestRunner {
    TestRunner::new_with_rng(
        Config {
            cases,
            failure_persistence: None,
            ..Config::default()
        },
        TestRng::deterministic_rng(RngAlgorithm::ChaCha),
    )
}

/// Lines dropped, swapped and overwritten with pieces of TOML and of nonsense.
#[test]
fn no_mutation_panics() {
    let lines: Vec<&str> = COMPLETE.lines().collect();
    let pieces = prop::sample::select(vec![
        "",
        "=",
        "[",
        "[[heater]]",
        "[heater.tube]",
        "[pool]",
        "x = ",
        "length = \"\"",
        "area = \"1e300 ft2\"",
        "depth = \"-0 m\"",
        "tube = 3",
        "heater = []",
        "[[pool.shade]]",
        "kind = \"none\"",
        "kind = \"deck\"",
        "name = \"\"",
        "length = \"1/0 m\"",
        "[a.b.c]",
        "\"\" = 1",
        "é = \"é\"",
        "on_by_month = { may = 3 }",
        "cost = \"$\"",
        "weather = [1]",
        "sun_factor_range = [nan, inf]",
        "start = 1979-05-27",
        "'''",
    ]);
    let change = (0..lines.len(), 0..lines.len(), pieces, 0_u8..4);
    runner(600)
        .run(&prop::collection::vec(change, 1..6), |changes| {
            let mut text: Vec<&str> = lines.clone();
            for (at, other, piece, how) in changes {
                match how {
                    0 => text[at] = "",
                    1 => text.swap(at, other),
                    2 => text[at] = piece,
                    _ => text.insert(at, piece),
                }
            }
            check(&text.join("\n"));
            Ok(())
        })
        .unwrap_or_else(|e| panic!("{e}"));
}

/// Whatever is set, it is applied or refused with the set as its place.
#[test]
fn no_set_panics() {
    let steps = prop::sample::select(vec![
        "pool",
        "cover",
        "kind",
        "heater",
        "board",
        "deck",
        "tube",
        "length",
        "shade",
        "1",
        "0",
        "9",
        "",
        "name",
        "pump",
        "hours",
        "x",
        "pool.shade.1.from",
        "heater.board.area",
        "units",
        "prices.currency",
    ]);
    let values = prop::sample::select(vec![
        "",
        "none",
        "60 ft2",
        "1",
        "true",
        "[",
        "[1, 2]",
        "{ a = 1 }",
        "\"x\"",
        "nan",
        "é",
        "=",
        "\"\"\"",
        "05-01",
    ]);
    let sets = prop::collection::vec((prop::collection::vec(steps, 1..4), values), 1..4);
    runner(600)
        .run(&sets, |sets| {
            let sets: Vec<String> = sets
                .iter()
                .map(|(steps, value)| format!("{}={value}", steps.join(".")))
                .collect();
            if let Err(errors) = parse(COMPLETE, "complete.toml", Path::new(""), &sets) {
                prop_assert!(!errors.diagnostics.is_empty());
            }
            let changes: Vec<(String, String)> = sets
                .iter()
                .filter_map(|set| set.split_once('='))
                .map(|(path, value)| (path.to_owned(), value.to_owned()))
                .collect();
            let _ = swimdays_scenario::with_values(COMPLETE, &changes);
            Ok(())
        })
        .unwrap_or_else(|e| panic!("{e}"));
}
