//! `swimdays build` as a person runs it.

mod desk;

use std::fs;

use desk::{Desk, json, sample, text};

/// Every tag that is opened is closed, in order; what is left of text has no bare `<`.
fn nesting(html: &str) -> Result<(), String> {
    const ALONE: [&str; 1] = ["!DOCTYPE"];
    let mut open: Vec<&str> = Vec::new();
    let mut rest = html;
    while let Some(start) = rest.find('<') {
        let end = rest[start..].find('>').ok_or("a tag without end")? + start;
        let tag = &rest[start + 1..end];
        rest = &rest[end + 1..];
        let name = tag.split_whitespace().next().unwrap_or("");
        if let Some(closed) = tag.strip_prefix('/') {
            let last = open.pop();
            if last != Some(closed.trim()) {
                return Err(format!("</{closed}> closes {last:?}"));
            }
        } else if !tag.ends_with('/') && !ALONE.contains(&name) {
            open.push(name);
        }
    }
    if open.is_empty() {
        Ok(())
    } else {
        Err(format!("left open: {open:?}"))
    }
}

#[test]
fn four_scenarios_answer_with_a_page() {
    assert!(nesting("<p><b></p></b>").is_err());
    for name in [
        "small-board-own-pump",
        "four-coils",
        "board-and-deck",
        "five-on-the-roof",
    ] {
        let desk = Desk::new();
        let output = desk.run(&["build", &sample(&format!("{name}.toml"))]);
        assert!(output.status.success(), "{name}: {}", text(&output.stderr));
        let told = text(&output.stdout);
        assert!(
            told.lines().count() <= 25,
            "{name}: at most 25 lines:\n{told}"
        );
        assert!(
            told.lines()
                .all(|l| l.chars().count() <= 100 || l.contains("build.html")),
            "{told}"
        );
        for word in [
            "Buy",
            "Cut:",
            "Water in the tubes",
            "Local codes and licensed practice",
            "Deadly:",
        ] {
            assert!(told.contains(word), "{name}: {word}\n{told}");
        }
        let folder = desk.path(&format!("{name}-build"));
        for file in [
            "parts.csv",
            "cuts.csv",
            "rings.csv",
            "build.json",
            "build.html",
        ] {
            assert!(
                fs::metadata(folder.join(file)).is_ok_and(|m| m.len() > 0),
                "{name}: {file}"
            );
        }
        let page = fs::read_to_string(folder.join("build.html")).expect("the page");
        nesting(&page).unwrap_or_else(|e| panic!("{name}: {e}"));
        for outside in ["http", "<script", "src=", "href=", "@import", "url("] {
            assert!(!page.contains(outside), "{name}: {outside}");
        }
        assert!(
            page.contains("<svg")
                && page.contains("<desc>")
                && page.contains("<h2>Before winter</h2>")
        );
    }
}

/// By hand: four 4 × 8 ft boards are four sheets; each frame has two studs of 8 ft and, at most 24 in apart over 8 ft,
/// five cross pieces of 4 ft less two thicknesses of 1 1/2 in, 3 ft 9 in. Two cross pieces come from one 8 ft stud:
/// 8 long studs + 20/2 = 18 studs of 8 ft. Four tubes below 200 ft: four coils.
#[test]
fn four_coils_are_counted_as_by_hand() {
    let desk = Desk::new();
    let prices = [
        "--set",
        "shop.sheets=[\"4 ft x 8 ft at 40 $\"]",
        "--set",
        "shop.studs=[\"8 ft at 5 $\"]",
        "--set",
        "shop.coils=[\"200 ft at 30 $\"]",
    ];
    let file = sample("four-coils.toml");
    let mut args = vec!["build", file.as_str(), "--json"];
    args.extend(prices);
    let output = desk.run(&args);
    assert!(output.status.success(), "{}", text(&output.stderr));
    assert!(desk.names().is_empty(), "--json alone writes nothing");
    let object = json(&output);
    let count = |kind: &str| -> u64 {
        let parts = object["parts"].as_array().expect("parts");
        parts
            .iter()
            .filter(|p| p["kind"] == kind)
            .filter_map(|p| p["count"].as_u64())
            .sum()
    };
    assert_eq!((count("board"), count("stud"), count("tube")), (4, 18, 4));
    // 4 · 40 + 18 · 5 + 4 · 30 = 370; all else has no price.
    assert!((object["priced_cost"].as_f64().expect("a cost") - 370.0).abs() < 1e-9);
    assert!(
        object["not_priced"]
            .as_array()
            .expect("a list")
            .iter()
            .any(|k| k == "paint")
    );
    // Bore 0.60 in: 4 tubes of laid_m; π/4 · 0.01524² = 1.8241e-4 m².
    let heater = &object["heaters"][0];
    let laid_m = heater["layout"]["laid_m"].as_f64().expect("laid");
    let water_m3 = object["water_m3"].as_f64().expect("water");
    assert!((water_m3 / (laid_m * 1.8241e-4) - 1.0).abs() < 1e-4);
    // 0.613 · 40.2336² · 1.2 · 2.9729 m² = 3540 N.
    assert!((heater["wind_n"][0].as_f64().expect("wind") - 3540.0).abs() < 2.0);
}

#[test]
fn what_cannot_be_built_says_what_would_work() {
    let desk = Desk::new();
    let small = sample("small-board-own-pump.toml");
    for (set, says) in [
        ("heater.board.board.layout=serpentine", "kinks"),
        ("heater.board.tube.bend_radius=5 ft", "at least"),
        ("heater.board.board.spacing=overlapping", "touch"),
    ] {
        let output = desk.run(&["build", &small, "--set", set]);
        assert_eq!(
            output.status.code(),
            Some(2),
            "{set}: {}",
            text(&output.stdout)
        );
        assert!(
            text(&output.stderr).contains(says),
            "{set}: {}",
            text(&output.stderr)
        );
    }
    let none = desk.run(&["build", &sample("cover-only.toml")]);
    assert_eq!(none.status.code(), Some(2));
    assert!(
        text(&none.stderr).contains("[[heater]]"),
        "{}",
        text(&none.stderr)
    );
}

#[test]
fn a_name_stays_text() {
    let desk = Desk::new();
    let name = "<script>alert('x')</script> \"quoted\" & 🏊 \u{5d1}\u{5e8}\u{5d9}\u{5db}\u{5d4}";
    let set = format!("name={name}");
    let output = desk.run(&[
        "build",
        &sample("four-coils.toml"),
        "--set",
        &set,
        "--out",
        "made",
    ]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let page = fs::read_to_string(desk.path("made/build.html")).expect("the page");
    nesting(&page).unwrap_or_else(|e| panic!("{e}"));
    assert!(!page.contains("<script"));
    assert!(page.contains("&lt;script&gt;") && page.contains("🏊") && page.contains("<bdi>"));
}
