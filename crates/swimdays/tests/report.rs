//! `swimdays report`: one page, in its folder; names stay text; the numbers are those of the summary.

mod desk;

use std::fs;

use desk::{Desk, json, sample, text};

fn page(desk: &Desk, scenario: &str, more: &[&str]) -> String {
    let mut args = vec!["report", scenario, "--out", "r"];
    args.extend(more);
    let output = desk.run(&args);
    assert!(output.status.success(), "{}", text(&output.stderr));
    fs::read_to_string(desk.path("r").join("report.html")).expect("the page")
}

/// What stands between tags, in one line.
fn words(html: &str) -> String {
    let body = html.split("<main>").nth(1).unwrap_or_default();
    let mut out = String::new();
    let mut within = false;
    for c in body.chars() {
        match c {
            '<' => within = true,
            '>' => within = false,
            c if !within => out.push(if c == '\u{a0}' { ' ' } else { c }),
            _ => {}
        }
    }
    out
}

#[test]
fn the_page_says_what_the_summary_says() {
    let desk = Desk::new();
    let scenario = sample("cover-and-board.toml");
    let html = page(&desk, &scenario, &[]);
    let summary = json(&desk.run(&["season", &scenario, "--json"]));
    let words = words(&html);
    for (key, unit) in [("swim_days", "swim days"), ("swim_days_low", "to")] {
        let said = format!("{} {unit}", summary[key]);
        assert!(words.contains(&said), "{said}");
    }
    for measure in summary["measures"].as_array().expect("measures") {
        let name = match measure["name"].as_str() {
            Some("bare") => "bare pool",
            name => name.expect("a name"),
        };
        let said = format!("{name} {} days", measure["swim_days"]);
        assert!(words.contains(&said), "{said}");
    }
    for caution in summary["cautions"].as_array().expect("cautions") {
        let short = caution["short"]
            .as_str()
            .expect("words")
            .replace('\'', "&#39;");
        assert!(words.contains(&short), "{short}");
    }
    for assumption in summary["assumptions"].as_array().expect("assumptions") {
        let key = assumption["key"].as_str().expect("a key");
        assert!(words.contains(key), "{key}");
    }
}

#[test]
fn names_that_look_like_a_page_stay_names() {
    let desk = Desk::new();
    let evil = "<script>alert(1)</script> \\\"O'Pool\\\" & co 🏊 بركة";
    let scenario = fs::read_to_string(sample("cover-and-board.toml")).expect("sample");
    let long = "Very long name ".repeat(60);
    for name in [evil, &long] {
        let written = scenario.replace("\"Cover and board\"", &format!("\"{name}\""));
        assert_ne!(written, scenario, "the sample has no such name to change");
        let folder = sample("");
        let written = written.replace("../weather-samples", &format!("{folder}../weather-samples"));
        fs::write(desk.path("s.toml"), written).expect("scenario");
        let html = page(&desk, "s.toml", &["--force"]);
        assert!(!html.contains("<script"));
    }
    assert_eq!(desk.names(), ["r", "s.toml"]);
}

#[test]
fn every_sample_has_a_page_in_both_units() {
    let desk = Desk::new();
    for scenario in [
        "bare.toml",
        "cover-only.toml",
        "above-ground-south.toml",
        "five-on-the-roof.toml",
    ] {
        for units in ["us", "metric"] {
            let html = page(&desk, &sample(scenario), &["--units", units]);
            assert!(html.ends_with("</html>\n"));
            let degree = if units == "us" { "°F" } else { "°C" };
            assert!(words(&html).contains(degree), "{scenario} {units}");
        }
    }
}

#[test]
fn json_alone_writes_no_page() {
    let desk = Desk::new();
    let output = desk.run(&["report", &sample("bare.toml"), "--json"]);
    assert_eq!(json(&output)["scenario"], "Bare");
    assert!(desk.names().is_empty());
}
