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
        "[site.normals]",
        "max = \"1 2 3 F\"",
        "max = \"2 3 4 5 6 7 8 9 8 7 6 5 C\"",
        "min = [\"1 C\", 2, true, 4, 5, 6, 7, 8, 9, 10, 11, 12]",
        "table = 3",
        "years = 1e9",
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
        "site",
        "site.normals",
        "site.normals.max",
        "site.normals.table",
        "site.fill",
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
        "1 2 3 4 5 6 7 8 9 10 11 12 F",
        "6 h",
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

/// Sizes over their whole ranges and beyond: what the scenario lets through, the physics builds.
#[test]
fn what_is_accepted_can_be_built() {
    let keys = prop::sample::select(vec![
        ("pool.length", "m", 1.0, 100.0),
        ("pool.depth", "m", 0.1, 6.0),
        ("pool.ground_depth", "m", 0.5, 30.0),
        ("pool.shell_thickness", "mm", 0.3, 1000.0),
        ("pool.insulation", "m2K/W", 0.0, 20.0),
        ("heater.board.tube.outer_diameter", "mm", 3.0, 110.0),
        ("heater.board.tube.bore", "mm", 3.0, 110.0),
        ("heater.board.tube.length", "m", 0.5, 200.0),
        ("heater.board.tube.emissivity", "", 0.05, 1.0),
        ("heater.board.board.area", "m2", 0.05, 2000.0),
        ("heater.board.board.spacing", "mm", 5.0, 1000.0),
        ("heater.board.board.inner_diameter", "m", 0.05, 5.0),
        ("heater.board.board.thickness", "mm", 0.0, 200.0),
        ("heater.board.board.bond", "W/mK", 0.1, 3.0),
        ("heater.board.board.lid_gap", "mm", 1.0, 300.0),
        ("heater.board.board.lid_transmittance", "", 0.1, 1.0),
        ("heater.board.tilt", "deg", 0.0, 90.0),
        ("heater.deck.deck.depth", "mm", 0.0, 1500.0),
        ("heater.deck.deck.slab_thickness", "mm", 0.0, 1000.0),
        ("heater.deck.deck.spacing", "mm", 3.0, 2000.0),
        ("heater.deck.tube.outer_diameter", "mm", 3.0, 110.0),
        ("heater.panel.panel.eta0", "", 0.3, 1.1),
        ("heater.panel.panel.b1", "", 0.0, 40.0),
        ("heater.panel.panel.b2", "", 0.0, 20.0),
        ("heater.panel.panel.bu", "", 0.0, 0.2),
        (
            "heater.panel.panel.heat_capacity",
            "J/m2K",
            500.0,
            100_000.0,
        ),
        ("pump.flow", "L/min", 0.04, 600.0),
    ]);
    let ends = prop_oneof![Just(0.0), Just(1.0), 0.0..1.0_f64];
    let words = prop::sample::select(vec![
        "heater.deck.deck.placement=in-slab",
        "heater.deck.deck.placement=in-soil",
        "heater.deck.deck.placement=on-surface",
        "heater.board.board.layout=serpentine",
        "heater.board.board.material=none",
        "heater.board.board.spacing=overlapping",
        "heater.board.board.lid=none",
        "pool.kind=in-ground",
    ]);
    let sets = (prop::collection::vec((keys, ends), 1..4), words);
    let built = std::cell::Cell::new(0);
    runner(3000)
        .run(&sets, |(values, word)| {
            let mut sets: Vec<String> = values
                .iter()
                .map(|((key, unit, low, high), at)| {
                    format!("{key}={} {unit}", low + (high - low) * at)
                })
                .map(|set| set.trim_end().to_owned())
                .collect();
            sets.push(word.to_owned());
            if let Ok(scenario) = parse(COMPLETE, "complete.toml", Path::new(""), &sets) {
                let plan = scenario.plan;
                if let swimdays_season::Shell::InGround { ground, .. } = &plan.pool.shell {
                    let ground = swimdays_pool::Ground::new(ground, 3600.0);
                    prop_assert!(ground.is_ok(), "{:?}: {:?}", sets, ground.err());
                }
                let pump = plan
                    .pump
                    .as_ref()
                    .expect("the pump of the complete scenario");
                prop_assert!(pump.pump.check().is_ok(), "{:?}", sets);
                for heater in &plan.heaters {
                    let heated = swimdays_collector::Heater::new(
                        &heater.spec,
                        pump.pump.flow_m3_s() * 1000.0,
                    );
                    prop_assert!(heated.is_ok(), "{:?}: {:?}", sets, heated.err());
                }
                built.set(built.get() + 1);
            }
            Ok(())
        })
        .unwrap_or_else(|e| panic!("{e}"));
    let built = built.get();
    assert!(
        built > 300,
        "only {built} draws were accepted, the check says little"
    );
}
