//! `swimdays flow` as a person runs it, with the real binary.

mod desk;

use std::fs;

use desk::{Desk, json, sample, text};
use serde_json::Value;

const SCENARIOS: [&str; 4] = [
    "small-board-own-pump.toml",
    "four-coils.toml",
    "board-and-deck.toml",
    "five-on-the-roof.toml",
];
const GPM: f64 = 3.785_411_784e-3 / 60.0;

fn number(value: &Value, key: &str) -> f64 {
    value[key]
        .as_f64()
        .unwrap_or_else(|| panic!("no number {key}"))
}

fn flow(desk: &Desk, scenario: &str, more: &[&str]) -> Value {
    let mut args = vec!["flow", scenario, "--json"];
    args.extend(more);
    let output = desk.run(&args);
    assert!(output.status.success(), "{}", text(&output.stderr));
    json(&output)
}

#[test]
fn each_plan_gets_a_short_answer_and_pictures() {
    for name in SCENARIOS {
        for units in ["us", "metric"] {
            let desk = Desk::new();
            let output = desk.run(&["flow", &sample(name), "--out", "here", "--units", units]);
            assert!(output.status.success(), "{}", text(&output.stderr));
            let told = text(&output.stdout);
            assert!(
                told.lines().count() <= 25,
                "{name}: {}\n{told}",
                told.lines().count()
            );
            let widest = told.lines().map(|l| l.chars().count()).max();
            assert!(widest <= Some(100), "{name}: {widest:?}\n{told}");
            let first = told.lines().next().unwrap_or("");
            assert!(first.contains("go through the heaters"), "{told}");
            let words = told.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(
                words.contains("Local codes and licensed practice decide"),
                "{told}"
            );
            for file in ["flow.json", "pump.svg", "pump.png", "loop.svg", "loop.png"] {
                let made = desk.path("here").join(file);
                assert!(
                    fs::metadata(&made).is_ok_and(|m| m.len() > 0),
                    "{name}: {file}"
                );
            }
        }
    }
}

/// 200 ft of straight 0.60 in tube, K 3 in all, on a pump of 7.6 m and 1500 gal/h: 3.393 gal/min at 27 °C by `fluids` 1.3.1
/// and scipy (.ci/reference). Water of 25 °C is 4.5 % more viscous; turbulent friction grows with its fourth root: the flow is
/// some 0.5 % less.
#[test]
fn the_worked_flow_of_an_outside_library_comes_out() {
    let desk = Desk::new();
    let plan = r#"
name = "worked"
[site]
weather = "sample:temperate"
[pool]
length = "24 ft"
width = "12 ft"
depth = "4 ft"
[[heater]]
name = "coil"
kind = "board"
facing = "S"
tilt = "0 deg"
tube = { outer_diameter = "0.70 in", bore = "0.60 in", length = "200 ft" }
board = { area = "32 ft2", layout = "serpentine" }
plumbing = { fittings = ["coefficient 2"] }
[pump]
kind = "own"
shut_off_head = "7.6 m"
free_flow = "1500 gal/h"
[[plumbing.run]]
name = "in"
part = "supply"
length = "0 ft"
bore = "0.60 in"
[[plumbing.run]]
name = "out"
part = "return"
length = "0 ft"
bore = "0.60 in"
"#;
    fs::write(desk.path("plan.toml"), plan.replace("gal/h", "gph")).expect("a plan");
    let found = flow(&desk, "plan.toml", &[]);
    let gpm = number(&found, "flow_m3_s") / GPM;
    assert!((gpm - 0.995 * 3.393).abs() < 0.01, "{gpm}");
    // By hand: 25.5 gal/min is 1500 gal/h over 58.8 min; H = 7.6 (1 − (Q/25)²).
    let head = 7.6 * (1.0 - (gpm / 25.0_f64).powi(2));
    assert!((number(&found, "head_m") - head).abs() < 1e-6);
}

/// Kirchhoff: branches add up to the whole, and drops along the loop to the pump's head.
#[test]
fn flows_and_drops_add_up() {
    let desk = Desk::new();
    let found = flow(&desk, &sample("four-coils.toml"), &[]);
    let pieces = found["pieces"].as_array().expect("pieces");
    let coils: f64 = pieces
        .iter()
        .filter(|p| p["name"].as_str().is_some_and(|n| n.starts_with("coil-")))
        .map(|p| number(p, "flow_m3_s"))
        .sum();
    assert!((coils / number(&found, "flow_m3_s") - 1.0).abs() < 1e-9);
    let found = flow(&desk, &sample("small-board-own-pump.toml"), &[]);
    let drops: f64 = found["pieces"]
        .as_array()
        .expect("pieces")
        .iter()
        .map(|p| number(p, "drop_pa"))
        .sum();
    // Density of water at 25 °C 997.05 kg/m³ (CRC Handbook), g 9.80665 m/s².
    let head_pa = 997.05 * 9.806_65 * number(&found, "head_m");
    assert!((drops / head_pa - 1.0).abs() < 1e-4, "{drops} {head_pa}");
    for key in [
        "pump_w",
        "head_m",
        "warnings",
        "arrangements",
        "start",
        "design_sun",
    ] {
        assert!(found.get(key).is_some(), "{key}");
    }
    for key in ["length_m", "bore_m", "velocity_m_s", "reynolds", "drop_pa"] {
        assert!(found["pieces"][0].get(key).is_some(), "{key}");
    }
}

#[test]
fn side_by_side_gets_more_water_than_series_and_the_best_comes_first() {
    let desk = Desk::new();
    let found = flow(&desk, &sample("four-coils.toml"), &[]);
    let ways = found["arrangements"].as_array().expect("ways");
    let of = |name: &str| ways.iter().find(|w| w["name"] == name).expect("a way");
    let (series, side) = (of("all 4 in series"), of("all 4 side by side"));
    assert!(number(side, "flow_m3_s") > 2.0 * number(series, "flow_m3_s"));
    assert_eq!(side["as_planned"], true);
    let heats: Vec<f64> = ways.iter().map(|w| number(w, "heat_w")).collect();
    assert!(heats.windows(2).all(|w| w[0] >= 0.99 * w[1]), "{heats:?}");
    let sets: Vec<String> = (2..=4)
        .flat_map(|n| {
            [
                "--set".to_owned(),
                format!("heater.coil-{n}.side_by_side=false"),
            ]
        })
        .collect();
    let sets: Vec<&str> = sets.iter().map(String::as_str).collect();
    let alone = flow(&desk, &sample("four-coils.toml"), &sets);
    let apart = number(&alone, "flow_m3_s") / number(series, "flow_m3_s") - 1.0;
    assert!(apart.abs() < 1e-9, "{apart}");
}

#[test]
fn the_flow_of_the_pump_is_that_of_the_season() {
    let desk = Desk::new();
    let gpm = |sets: &[&str]| {
        let mut args = vec!["season"];
        let scenario = sample("small-board-own-pump.toml");
        args.push(&scenario);
        args.push("--json");
        args.extend(sets);
        let output = desk.run(&args);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let summary = json(&output);
        summary["assumptions"]
            .as_array()
            .expect("assumptions")
            .iter()
            .find(|a| a["key"] == "pump.flow")
            .map(|a| a["value"].as_str().unwrap_or("").to_owned())
            .expect("the flow")
    };
    let of = |shown: &str| shown.split(' ').next().and_then(|n| n.parse::<f64>().ok());
    let usual = gpm(&[]);
    let found = flow(&desk, &sample("small-board-own-pump.toml"), &[]);
    let shown = number(&found, "flow_m3_s") / GPM;
    assert!(
        (of(&usual).expect("a number") - shown).abs() <= 0.05,
        "{usual} {shown}"
    );
    let longer = gpm(&[
        "--set",
        "heater.board.tube.length=400 ft",
        "--set",
        "heater.board.area=64 ft2",
    ]);
    assert!(of(&longer) < of(&usual), "{longer} {usual}");
}

#[test]
fn every_plan_has_a_season() {
    for name in SCENARIOS {
        let desk = Desk::new();
        let output = desk.run(&["season", &sample(name), "--json"]);
        assert!(output.status.success(), "{name}: {}", text(&output.stderr));
    }
}

#[test]
fn a_bucket_beside_a_curve_tells_how_much_more_the_loop_drops() {
    let desk = Desk::new();
    let scenario = sample("small-board-own-pump.toml");
    let found = flow(&desk, &scenario, &["--set", "pump.bucket=5 gal in 2 min"]);
    assert!((number(&found, "flow_m3_s") / GPM - 2.5).abs() < 1e-6);
    assert!(number(&found, "resistance_factor") > 1.2);
    let output = desk.run(&["flow", &scenario, "--set", "pump.bucket=5 gal in 5 s"]);
    assert!(
        text(&output.stdout).contains("does not fit the pump"),
        "{}",
        text(&output.stdout)
    );
}

#[test]
fn what_cannot_work_is_told_with_what_would() {
    let desk = Desk::new();
    let own = sample("small-board-own-pump.toml");
    let tee = sample("four-coils.toml");
    // Too high for the pump: flow shows it, a season is refused.
    let high = ["--set", "heater.board.height=28 ft"];
    let mut args = vec!["flow", own.as_str(), "--out", "a"];
    args.extend(high);
    let output = desk.run(&args);
    assert!(output.status.success(), "{}", text(&output.stderr));
    assert!(
        text(&output.stdout).contains("cannot fill"),
        "{}",
        text(&output.stdout)
    );
    let mut args = vec!["season", own.as_str(), "--json"];
    args.extend(high);
    let output = desk.run(&args);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        text(&output.stderr).contains("swimdays flow"),
        "{}",
        text(&output.stderr)
    );
    // A valve that shuts the heaters' way.
    let output = desk.run(&[
        "season",
        &own,
        "--json",
        "--set",
        "plumbing.run.supply hose.fittings=ball valve 0 % open",
    ]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        text(&output.stderr).contains("is shut"),
        "{}",
        text(&output.stderr)
    );
    // A three-way valve turned away from the heaters.
    let output = desk.run(&[
        "season",
        &tee,
        "--json",
        "--set",
        "plumbing.valve=three-way",
        "--set",
        "plumbing.valve_open=1",
    ]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        text(&output.stderr).contains("no water comes"),
        "{}",
        text(&output.stderr)
    );
    // Nothing to flow through, nothing that pushes.
    for (name, set, said) in [
        ("bare.toml", None, "has no heater"),
        (
            "four-coils.toml",
            Some("pump.curve=[\"9 ft at 0 gpm\", \"12 ft at 10 gpm\"]"),
            "does not fall",
        ),
        (
            "four-coils.toml",
            Some("plumbing.run.supply pipe.fittings=4 elbw"),
            "did you mean \"elbow\"?",
        ),
    ] {
        let scenario = sample(name);
        let mut args = vec!["flow", scenario.as_str()];
        if let Some(set) = set {
            args.extend(["--set", set]);
        }
        let output = desk.run(&args);
        assert_eq!(output.status.code(), Some(2), "{name} {set:?}");
        assert!(
            text(&output.stderr).contains(said),
            "{}",
            text(&output.stderr)
        );
    }
}

#[test]
fn a_flow_without_a_pump_is_told_as_head_needed() {
    let desk = Desk::new();
    let found = flow(&desk, &sample("cover-and-board.toml"), &[]);
    assert!((number(&found, "flow_m3_s") / GPM - 4.0).abs() < 1e-6);
    assert!(found["pump_w"].is_null());
    assert!(number(&found, "head_m") > 5.0);
}

fn told(scenario: &str, sets: &[&str]) -> String {
    let desk = Desk::new();
    let scenario = sample(scenario);
    let mut args = vec!["flow", scenario.as_str(), "--out", "here"];
    args.extend(sets.iter().flat_map(|s| ["--set", *s]));
    let output = desk.run(&args);
    assert!(output.status.success(), "{}", text(&output.stderr));
    // Lines are wrapped: one space between words.
    let words = text(&output.stdout);
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// 10.3 m of water is an atmosphere: at 9.1 m and half a board more, no column of water holds (hand).
#[test]
fn a_column_that_breaks_is_no_season() {
    let high = [
        "heater.board.height=30 ft",
        "pump.curve=[\"60 ft at 0 gpm\", \"0 ft at 25 gpm\"]",
    ];
    let said = told("small-board-own-pump.toml", &high);
    assert!(
        said.contains("would go through the heaters if it ran"),
        "{said}"
    );
    assert!(said.contains("the column of water breaks"), "{said}");
    let desk = Desk::new();
    let scenario = sample("small-board-own-pump.toml");
    let mut args = vec!["season", scenario.as_str(), "--json"];
    args.extend(high.iter().flat_map(|s| ["--set", *s]));
    assert_eq!(desk.run(&args).status.code(), Some(2));
}

/// With the breaker open the height is paid: the pump's head is the height of the heaters' top and the drops before it.
#[test]
fn a_breaker_costs_the_siphon() {
    let desk = Desk::new();
    let (roof, set) = (sample("five-on-the-roof.toml"), "plumbing.vent=breaker");
    let (closed, open) = (flow(&desk, &roof, &[]), flow(&desk, &roof, &["--set", set]));
    assert!(number(&open, "flow_m3_s") < 0.5 * number(&closed, "flow_m3_s"));
    assert_eq!(open["start"]["siphon_holds"], false);
    let said = number(&closed, "breaker_flow_m3_s") / number(&open, "flow_m3_s") - 1.0;
    assert!(said.abs() < 1e-9, "{said}");
    let top_m = number(&open, "breaker_m");
    let drops_pa: f64 = open["pieces"]
        .as_array()
        .expect("pieces")
        .iter()
        .filter(|p| {
            let is = |names: &[&str]| names.iter().any(|n| p["name"] == *n);
            is(&["up the wall", "roof-1"]) || ["suction", "before"].iter().any(|n| p["part"] == *n)
        })
        .map(|p| number(p, "drop_pa"))
        .sum();
    let paid_m = top_m + drops_pa / (997.05 * 9.806_65);
    let apart = number(&open, "head_m") - paid_m;
    assert!(apart.abs() < 1e-3, "{apart}");
    // A return that joins the filter's line under pressure cannot be open.
    let output = desk.run(&["flow", &sample("four-coils.toml"), "--set", set]);
    assert_eq!(output.status.code(), Some(2));
    let error = text(&output.stderr);
    assert!(error.contains("plumbing.returns = \"pool\""), "{error}");
}

/// A board of 4 by 8 ft lies along: half of 4 ft times the sine of 25° above the middle at 11 ft (hand).
#[test]
fn the_top_of_a_board_is_half_its_shorter_side_up() {
    let desk = Desk::new();
    let found = flow(&desk, &sample("five-on-the-roof.toml"), &[]);
    let top_ft = 11.0 + 2.0 * 25.0_f64.to_radians().sin();
    let high_ft = number(&found["start"], "high_point_m") / 0.3048;
    assert!((high_ft - top_ft).abs() < 1e-6, "{high_ft}");
}

#[test]
fn the_gravest_comes_first() {
    let said = told("five-on-the-roof.toml", &[]);
    assert!(
        said.contains("the weakest such pump does not start"),
        "{said}"
    );
    assert!(
        said.contains("Look out: The branch of roof-1 and 4 more"),
        "{said}"
    );
    assert!(
        !said.contains("gpm with the strongest), enough ("),
        "{said}"
    );
    for name in SCENARIOS {
        for (units, degrees) in [
            ("units=us", " °F in this sun"),
            ("units=metric", " °C in this sun"),
        ] {
            let said = told(name, &[units]);
            assert!(said.contains(degrees), "{name}: {said}");
        }
    }
}

#[test]
fn advice_goes_the_right_way() {
    // Shutting the main line further pushes more water past the heaters.
    let desk = Desk::new();
    let coils = sample("four-coils.toml");
    let at = |open: &str| number(&flow(&desk, &coils, &["--set", open]), "flow_m3_s");
    assert!(at("plumbing.valve_open=0.2") > at("plumbing.valve_open=0.45"));
    assert!(
        told("five-on-the-roof.toml", &["plumbing.vent=breaker"])
            .contains("close the main line further")
    );
    let own = told("small-board-own-pump.toml", &[]);
    assert!(
        own.contains("fill from a hose") && own.contains("back-flow"),
        "{own}"
    );
    // Too little by the rule, though more would not give more heat: not "enough".
    let low = told("four-coils.toml", &["plumbing.valve_open=1"]);
    assert!(!low.contains(", enough"), "{low}");
    assert!(!told("board-and-deck.toml", &[]).contains("common practice for"));
    for way in [
        "all 4 in series",
        "all 4 side by side",
        "2 groups",
        "2 strings",
    ] {
        assert!(low.contains(way), "{way}: {low}");
    }
    let turned = told("five-on-the-roof.toml", &["plumbing.valve_open=1"]);
    assert!(
        turned.contains("Turn it to them: plumbing.valve_open below 1"),
        "{turned}"
    );
    let dead = told("five-on-the-roof.toml", &["plumbing.valve_open=0"]);
    assert!(dead.contains("would run against closed lines"), "{dead}");
    assert!(!dead.contains("instead of 0.0"), "{dead}");
}
