//! `swimdays check` as a person runs it, with the real binary.

mod desk;

use std::fs;

use desk::{Desk, json, sample, text, words};
use serde_json::Value;

/// One Btu/h in W (NIST Special Publication 811).
const BTU_H: f64 = 0.293_071_07;
/// Lines that one screen and a half hold.
const LINES: usize = 36;

fn number(value: &Value, key: &str) -> f64 {
    value[key]
        .as_f64()
        .unwrap_or_else(|| panic!("no number {key}"))
}

/// Btu/h = 500 × gpm × °F: common practice, no source. Warm water is up to 1 % lighter than the rule has it.
#[test]
fn one_reading_follows_the_rule_of_thumb() {
    let desk = Desk::new();
    for (flow, gpm) in [("2 gpm", 2.0), ("5 gal in 75 s", 4.0)] {
        for (inlet, outlet, rise) in [("70F", "75F", 5.0), ("82.0 °F", "84.5 °F", 2.5)] {
            let args = [
                "check", "--flow", flow, "--in", inlet, "--out", outlet, "--json",
            ];
            let output = desk.run(&args);
            assert!(output.status.success(), "{}", text(&output.stderr));
            let found = number(&json(&output), "heat_w");
            let rule = 500.0 * gpm * rise * BTU_H;
            assert!(
                (found / rule - 1.0).abs() < 0.01,
                "{flow} {inlet} {outlet}: {found} {rule}"
            );
        }
    }
    assert!(desk.names().is_empty(), "one reading writes no file");
}

#[test]
fn one_reading_is_told_in_the_builders_units_and_judged() {
    let desk = Desk::new();
    let us = words(&desk.told(&["check", "--flow", "2 gpm", "--in", "70F", "--out", "75F"]));
    assert!(
        us.contains("carries 5,000 Btu/h (1,500 W) into the pool"),
        "{us}"
    );
    assert!(
        us.contains("same thermometer") && us.contains("scalds"),
        "{us}"
    );
    let metric = words(&desk.told(&[
        "check", "--flow", "8 L/min", "--in", "21 C", "--out", "24 C",
    ]));
    assert!(
        metric.contains("1,700 W into the pool") && !metric.contains("Btu"),
        "{metric}"
    );
    let asked = words(&desk.told(&[
        "check", "--flow", "8 L/min", "--in", "21 C", "--out", "24 C", "--units", "us",
    ]));
    assert!(
        asked.contains("69.8 °F") && !asked.contains(" °C"),
        "{asked}"
    );
    let judge = |outlet: &str, area: &str| {
        let args = [
            "check",
            "--flow",
            "2 gpm",
            "--in",
            "70F",
            "--out",
            outlet,
            "--area",
            area,
            "--one-thermometer",
            "--json",
        ];
        let output = desk.run(&args);
        json(&output)["verdict"]
            .as_str()
            .unwrap_or("none")
            .to_owned()
    };
    // By hand: 87 % of 900 W/m² on 20 ft² is what 5 °F carry; no heater takes twice the sun; 1 °F is a fifth of it.
    assert_eq!(judge("75F", "20 ft2"), "as_it_should");
    assert_eq!(judge("85F", "20 ft2"), "more_than_it_can");
    assert_eq!(judge("72F", "40 ft2"), "less");
    assert_eq!(judge("69.9F", "20 ft2"), "no_rise");
    let hot = words(&desk.told(&["check", "--flow", "0.5 gpm", "--in", "70F", "--out", "95F"]));
    assert!(
        hot.contains("too little flow, not a better heater"),
        "{hot}"
    );
}

#[test]
fn what_cannot_be_checked_is_refused_with_what_to_do() {
    let desk = Desk::new();
    assert!(desk.refused(&["check"]).contains("--log notes.csv"));
    assert!(
        desk.refused(&["check", "--flow", "2", "--in", "70F", "--out", "75F"])
            .contains("needs a unit")
    );
    assert!(
        desk.refused(&["check", "--in", "70F", "--out", "75F"])
            .contains("--flow is missing")
    );
    assert!(
        desk.refused(&["check", "--flow", "2 gpm", "--in", "70F", "--out", "750F"])
            .contains("allowed is")
    );
    let pool = sample("check-pool.toml");
    let log = sample("check-healthy.csv");
    assert!(desk.refused(&["check", &pool]).contains("--template"));
    let both = desk.refused(&[
        "check", &pool, "--flow", "2 gpm", "--in", "70F", "--out", "75F",
    ]);
    assert!(both.contains("do not go together"), "{both}");
    let late: String = fs::read_to_string(sample("check-forecast.csv"))
        .expect("committed weather")
        .lines()
        .filter(|line| !line.starts_with("2026-06-10"))
        .map(|line| format!("{line}\n"))
        .collect();
    fs::write(desk.path("late.csv"), late).expect("written");
    let other = desk.refused(&["check", &pool, "--log", &log, "--weather", "late.csv"]);
    assert!(other.contains("has none of the log's days"), "{other}");
    let none = desk.refused(&["check", &pool, "--log", "nowhere.csv"]);
    assert!(none.contains("nowhere.csv: cannot be read"), "{none}");
    fs::write(
        desk.path("thin.csv"),
        "time,water F\nMay 3 7 am,66\nMay 3 9 am,warm\n",
    )
    .expect("written");
    let thin = desk.refused(&["check", &pool, "--log", "thin.csv"]);
    assert!(thin.contains("at least 3"), "{thin}");
}

#[test]
fn the_template_is_a_log() {
    let desk = Desk::new();
    for (units, sign) in [("us", "water F"), ("metric", "water C")] {
        let template = desk.told(&["check", "--template", "--units", units]);
        assert!(template.contains(sign), "{template}");
        fs::write(desk.path("log.csv"), &template).expect("written");
        let answer = desk.told(&[
            "check",
            &sample("check-pool.toml"),
            "--log",
            "log.csv",
            "--json",
        ]);
        assert!(answer.contains("\"unreadable\": []"), "{answer}");
    }
    assert_eq!(desk.names(), ["log.csv"]);
}

#[test]
fn each_log_gets_an_answer_and_pictures() {
    let desk = Desk::new();
    let (pool, weather) = (sample("check-pool.toml"), sample("check-weather.csv"));
    // Two hands, two kinds of answer; each in the other's units.
    for (case, units) in [
        ("check-half-shaded.csv", "metric"),
        ("check-leak.csv", "us"),
    ] {
        let args = [
            "check",
            &pool,
            "--log",
            &sample(case),
            "--weather",
            &weather,
            "--out",
            "here",
            "--units",
            units,
        ];
        let answer = desk.told(&args);
        let lines: Vec<&str> = answer.lines().collect();
        assert!(lines.len() <= LINES, "{case}: {}\n{answer}", lines.len());
        assert!(
            lines.iter().all(|l| l.chars().count() <= 100),
            "{case}\n{answer}"
        );
        let said = words(&answer);
        assert!(
            said.contains("Local codes and licensed practice decide"),
            "{said}"
        );
        assert!(said.contains("the hourly series of those days"), "{said}");
        let other = if units == "us" { " °C" } else { " °F" };
        assert!(!said.contains(other), "{said}");
        for file in [
            "check.json",
            "water.svg",
            "water.png",
            "heat.svg",
            "heat.png",
            "learnt.svg",
            "learnt.png",
        ] {
            let made = desk.path("here").join(file);
            assert!(
                fs::metadata(&made).is_ok_and(|m| m.len() > 0),
                "{case}: {file}"
            );
        }
    }
}

/// What was hidden in each log (tests/src/notes.rs), and the cause that must be named first.
const HIDDEN: [(&str, &str); 6] = [
    ("check-healthy.csv", "as_built"),
    ("check-low-flow.csv", "flow_too_low"),
    ("check-half-shaded.csv", "shaded"),
    ("check-cover-off.csv", "cover_off"),
    ("check-leak.csv", "water_lost"),
    ("check-thermometer.csv", "thermometer_off"),
];

#[test]
fn the_hidden_fault_is_named_first() {
    let desk = Desk::new();
    let (pool, weather) = (sample("check-pool.toml"), sample("check-weather.csv"));
    for (case, cause) in HIDDEN {
        let log = sample(case);
        let output = desk.run(&[
            "check",
            &pool,
            "--log",
            &log,
            "--weather",
            &weather,
            "--json",
        ]);
        let answer = json(&output);
        assert_eq!(
            answer["verdict"][0]["cause"], cause,
            "{case}: {}",
            answer["verdict"]
        );
        assert!(
            answer["next_measurement"]
                .as_str()
                .is_some_and(|n| !n.is_empty()),
            "{case}"
        );
        let heat = &answer["heat"];
        let (low, high) = (
            number(heat, "share_low_frac"),
            number(heat, "share_high_frac"),
        );
        match cause {
            "as_built" => assert!(low < 1.0 && 1.0 < high, "{heat}"),
            // Three tenths of the flow were hidden; a bucket is good to a tenth.
            "flow_too_low" => assert!((number(heat, "flow_share_frac") - 0.3).abs() < 0.05),
            "shaded" => assert!(high < 0.9, "{heat}"),
            "thermometer_off" => assert!(low > 1.0, "{heat}"),
            _ => {}
        }
    }
}

#[test]
fn words_about_the_sky_stand_for_weather_and_a_typical_year_is_called_so() {
    let desk = Desk::new();
    let pool = sample("check-pool.toml");
    let ten = words(&desk.told(&["check", &pool, "--log", &sample("check-ten-lines.csv")]));
    assert!(ten.contains("your words about the sky"), "{ten}");
    assert!(
        ten.contains("Hot at the outlet is too little flow"),
        "{ten}"
    );
    // The same notes without a word about the weather.
    let text = fs::read_to_string(sample("check-ten-lines.csv")).expect("committed notes");
    let bare: Vec<String> = text
        .lines()
        .map(|line| line.split(',').take(4).collect::<Vec<_>>().join(","))
        .collect();
    fs::write(desk.path("bare.csv"), bare.join("\n")).expect("written");
    let typical = words(&desk.told(&["check", &pool, "--log", "bare.csv", "--out", "typical"]));
    assert!(
        typical.contains("a typical year") && typical.contains("only large faults show"),
        "{typical}"
    );
}

#[test]
fn rows_that_were_left_out_are_named_and_the_rest_is_used() {
    let desk = Desk::new();
    let good = fs::read_to_string(sample("check-healthy.csv")).expect("a committed log");
    let mut lines: Vec<&str> = good.lines().collect();
    lines.insert(8, "May 28 half past four,71.0,,,on,off,");
    lines.insert(9, "May 28 4:40 pm,717,,,on,off,");
    fs::write(desk.path("log.csv"), lines.join("\n")).expect("written");
    let args = [
        "check",
        &sample("check-pool.toml"),
        "--log",
        "log.csv",
        "--weather",
        &sample("check-weather.csv"),
    ];
    let answer = words(&desk.told(&args));
    assert!(
        answer.contains("line 9, column `time`: found `May 28 half past four`"),
        "{answer}"
    );
    assert!(
        answer.contains("line 10, column `water F`: found `717`"),
        "{answer}"
    );
    assert!(answer.contains("is 71.7 meant?"), "{answer}");
}

#[test]
fn the_coming_days_are_foretold_when_their_weather_is_given() {
    let desk = Desk::new();
    let (pool, days) = (sample("check-pool.toml"), sample("check-weather.csv"));
    let (log, coming) = (sample("check-healthy.csv"), sample("check-forecast.csv"));
    let args = [
        "check",
        &pool,
        "--log",
        &log,
        "--weather",
        &days,
        "--forecast",
        &coming,
    ];
    let answer = json(&desk.run(&[&args[..], &["--json"]].concat()));
    let days = answer["forecast"].as_array().expect("days");
    // The notes end in the evening of 10 June; five days ahead end in that of 15 June.
    assert!((4..=5).contains(&days.len()), "{days:?}");
    assert_eq!(days[0]["date"], "2026-06-11");
    for day in days {
        let (low, high) = (number(day, "low_c"), number(day, "high_c"));
        let warmest = number(day, "water_max_c");
        assert!(low < warmest && warmest < high && high - low < 4.0, "{day}");
        assert!(
            number(day, "water_min_c") < warmest && (18.0..34.0).contains(&warmest),
            "{day}"
        );
    }
}

#[test]
fn what_was_learnt_is_written_beside_what_was_believed() {
    let desk = Desk::new();
    fs::copy(sample("check-pool.toml"), desk.path("pool.toml")).expect("copied");
    let scenario = fs::read_to_string(desk.path("pool.toml")).expect("read");
    let weather = sample("temperate.epw").replace("scenarios", "weather-samples");
    let scenario = scenario.replace("../weather-samples/temperate.epw", &weather);
    fs::write(desk.path("pool.toml"), &scenario).expect("written");
    let (log, days) = (sample("check-healthy.csv"), sample("check-weather.csv"));
    let args = [
        "check",
        "pool.toml",
        "--log",
        &log,
        "--weather",
        &days,
        "--write",
        "learnt.toml",
    ];
    let answer = words(&desk.told(&args));
    assert!(
        answer.contains("Learnt values, the old ones beside them"),
        "{answer}"
    );
    let learnt = fs::read_to_string(desk.path("learnt.toml")).expect("written");
    assert!(
        learnt.contains("# learnt from check-healthy.csv; was flow = \"6 gpm\""),
        "{learnt}"
    );
    assert!(
        learnt.contains("performance = ") && learnt.contains("was left out"),
        "{learnt}"
    );
    // What is written can be run, and is not overwritten unasked.
    assert_eq!(
        fs::read_to_string(desk.path("pool.toml")).expect("read"),
        scenario
    );
    assert!(
        desk.run(&["season", "learnt.toml", "--json"])
            .status
            .success()
    );
    assert!(desk.refused(&args).contains("stays as it is"));
}

/// With a fault about, the numbers learnt describe the fault: nothing is written, unless by force and marked so.
#[test]
fn a_fault_is_not_learnt_unless_forced() {
    let desk = Desk::new();
    fs::copy(sample("check-pool.toml"), desk.path("pool.toml")).expect("copied");
    let (log, days) = (sample("check-low-flow.csv"), sample("check-weather.csv"));
    let mut args = vec![
        "check",
        "pool.toml",
        "--log",
        &log,
        "--weather",
        &days,
        "--write",
        "learnt.toml",
    ];
    let output = desk.run(&args);
    assert_eq!(output.status.code(), Some(2));
    let said = words(&String::from_utf8_lossy(&output.stderr));
    for part in [
        "not written, since it seems that too little water goes through the heater",
        "Mend it, measure a few days anew",
        "--force",
    ] {
        assert!(said.contains(part), "{said}");
    }
    // The answer is told all the same.
    let answer = words(&String::from_utf8_lossy(&output.stdout));
    assert!(
        answer.contains("Almost surely too little water"),
        "{answer}"
    );
    assert!(!desk.path("learnt.toml").exists());

    args.push("--force");
    let answer = words(&desk.told(&args));
    assert!(
        answer.contains("Beware: they describe the pool with its fault"),
        "{answer}"
    );
    let learnt = fs::read_to_string(desk.path("learnt.toml")).expect("written");
    assert!(
        learnt.starts_with(
            "# Beware: learnt from check-low-flow.csv, in which it seems that too little water"
        ),
        "{learnt}"
    );
    assert!(
        learnt.contains("# learnt from check-low-flow.csv while too little water goes through the heater; was flow = \"6 gpm\""),
        "{learnt}"
    );
}

/// Without the weather of the days the healthy notes are as built as far as a typical year can tell, and the answer says what would tell more.
#[test]
fn without_weather_a_healthy_pool_is_not_called_faulty() {
    let desk = Desk::new();
    let (pool, log) = (sample("check-pool.toml"), sample("check-healthy.csv"));
    let answer = words(&desk.told(&["check", &pool, "--log", &log, "--out", "here"]));
    for part in [
        "As far as the weather of a typical year can tell, pool and heater do what they should",
        "Give --weather, or words about the sky in the log, to know more.",
        "only hourly weather of those days can judge it",
    ] {
        assert!(answer.contains(part), "{answer}");
    }
}
