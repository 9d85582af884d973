//! `swimdays build` as a person runs it.

mod desk;

use std::fs;

use desk::{Desk, json, sample, text};

/// Every tag that is opened is closed, in order; what is left of text has no bare `<`.
fn nesting(html: &str) -> Result<(), String> {
    const ALONE: [&str; 4] = ["!DOCTYPE", "br", "meta", "link"];
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
        for outside in ["http:", "https:", "<script", "src=\"", "@import"] {
            assert!(!page.contains(outside), "{name}: {outside}");
        }
        assert!(
            page.contains("<svg")
                && page.contains("<desc>")
                && page.contains("<h3>Before winter</h3>")
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

/// `swimdays build SCENARIO --json` with these settings.
fn object(name: &str, sets: &[&str]) -> serde_json::Value {
    let desk = Desk::new();
    let file = sample(&format!("{name}.toml"));
    let mut args = vec!["build", file.as_str(), "--json"];
    for set in sets {
        args.extend(["--set", set]);
    }
    let output = desk.run(&args);
    assert!(output.status.success(), "{name}: {}", text(&output.stderr));
    json(&output)
}

fn kinds(object: &serde_json::Value) -> Vec<&str> {
    let all = object["cautions"].as_array().expect("cautions");
    all.iter().filter_map(|c| c["kind"].as_str()).collect()
}

fn caution<'a>(object: &'a serde_json::Value, kind: &str) -> &'a str {
    let all = object["cautions"].as_array().expect("cautions");
    all.iter()
        .find(|c| c["kind"] == kind)
        .and_then(|c| c["text"].as_str())
        .unwrap_or_else(|| panic!("{kind} is not among {:?}", kinds(object)))
}

fn count(object: &serde_json::Value, what: &str) -> u64 {
    let parts = object["parts"].as_array().expect("parts");
    parts
        .iter()
        .filter(|p| p["what"].as_str().is_some_and(|w| w.starts_with(what)))
        .filter_map(|p| p["count"].as_u64())
        .sum()
}

#[test]
fn each_heater_has_its_own_place_and_all_cautions_are_joined() {
    for sets in [&[][..], &["build.place=deck"], &["build.place=ground"]] {
        let made = object("board-and-deck", sets);
        assert!(kinds(&made).contains(&"digging"), "{sets:?}");
        let steps = made["steps"]["build"].as_array().expect("steps");
        assert!(
            steps
                .iter()
                .any(|s| s["act"].as_str().is_some_and(|a| a.contains("dig"))),
            "the deck has its step"
        );
    }
    let ground = object("board-and-deck", &[]);
    for kind in ["wind", "lifting", "chemicals"] {
        assert!(kinds(&ground).contains(&kind), "{kind}");
    }
    let copper = object("board-and-deck", &["heater.deck.tube.material=copper"]);
    assert!(kinds(&copper).contains(&"copper"));
    let lid = object("board-and-deck", &["heater.board.board.lid=glass"]);
    assert!(kinds(&lid).contains(&"glazed_box"));
}

#[test]
fn valves_at_a_heater_are_seen_and_bought() {
    let none = object("small-board-own-pump", &[]);
    assert!(!kinds(&none).contains(&"shut_valves"));
    assert!(!caution(&none, "dry_pump").contains("Here a valve"));
    let set = r#"heater.board.plumbing.fittings=["2 ball valve", "2 barb 0.5 in"]"#;
    let two = object("small-board-own-pump", &[set]);
    assert!(kinds(&two).contains(&"shut_valves"));
    assert!(caution(&two, "dry_pump").contains("Here a valve can shut its outlet"));
    assert_eq!(count(&two, "valve 0.60 in"), 2);
}

/// Five side by side: four tees at either end and one off the pump's pipe. Four coils: three at either end, one where they
/// leave the filter's line and one where they join it again.
#[test]
fn what_is_bought_has_its_size_and_tees_at_both_ends() {
    let five = object("five-on-the-roof", &[]);
    assert_eq!(count(&five, "tee"), 4 + 4 + 1);
    let four = object("four-coils", &[]);
    assert_eq!(count(&four, "tee 1.00 in"), 3 + 3 + 2);
    assert_eq!(
        count(
            &four,
            "coil of polyethylene tube, 0.70 in outside, 0.60 in inside"
        ),
        4
    );
    assert!(count(&five, "hose or pipe, 1.50 in inside") > 0);
    assert!(count(&five, "elbow 1.50 in") == 12);
}

#[test]
fn on_a_roof_nothing_is_weighed_down() {
    let roof = object("five-on-the-roof", &[]);
    assert!(roof["heaters"][0]["ballast_kg"].is_null());
    let steps = roof["steps"]["build"].to_string();
    for text in [caution(&roof, "wind"), &steps] {
        assert!(!text.contains("ground anchors") && !text.contains("of ballast"));
        assert!(text.contains("engineer"));
    }
}

/// Middle of the board 4 ft (1.219 m) up, 1.219 m along a slope of 35°: lower edge 1.219 − ½ · 1.219 · 0.5736 = 0.870 m. The
/// higher it stands, the more tips it.
#[test]
fn the_lower_edge_counts_and_upright_needs_a_stand() {
    let own = |set: &str| -> f64 {
        object("small-board-own-pump", &[set])["heaters"][0]["edge_n"][0]
            .as_f64()
            .expect("a force")
    };
    let usual = object("small-board-own-pump", &[]);
    let edge_n = usual["heaters"][0]["edge_n"][0].as_f64().expect("a force");
    assert!((own("build.lower_edge=0.870 m") / edge_n - 1.0).abs() < 2e-3);
    assert!(own("build.lower_edge=0 m") < 0.8 * edge_n);
    assert!(
        usual["assumptions"]
            .to_string()
            .contains("build.lower_edge")
    );
    let desk = Desk::new();
    let output = desk.run(&[
        "build",
        &sample("four-coils.toml"),
        "--set",
        "heater.coil-1.tilt=90 deg",
    ]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("build.stand_depth"));
}

/// By hand, from the prices in the scenario: sheet 42; studs 2 · 8 ft + 5 · 3 ft 9 in; tube 38; hose 2 · 19; the rest by count.
#[test]
fn a_shipped_scenario_has_prices_and_steps() {
    let made = object("small-board-own-pump", &[]);
    assert_eq!(made["not_priced"].as_array().map(Vec::len), Some(0));
    let parts = made["parts"].as_array().expect("parts");
    let sum: f64 = parts
        .iter()
        .map(|p| p["price"].as_f64().expect("a price") * p["count"].as_f64().expect("a count"))
        .sum();
    assert!((made["priced_cost"].as_f64().expect("a cost") - sum).abs() < 1e-6);
    let price = |what: &str| {
        parts
            .iter()
            .find(|p| p["what"].as_str().is_some_and(|w| w.starts_with(what)))
            .and_then(|p| p["price"].as_f64())
    };
    assert_eq!(price("sheet"), Some(42.0));
    assert_eq!(price("elbow 0.75 in"), Some(1.2));
    for part in ["build", "first_run", "winter", "spring"] {
        let steps = made["steps"][part].as_array().expect("steps");
        assert!(
            steps
                .iter()
                .all(|s| s["act"].is_string() && s["why"].is_string())
        );
        assert!(!steps.is_empty(), "{part}");
    }
}

#[test]
fn the_sheet_and_the_flow_agree_about_the_top() {
    let made = object("five-on-the-roof", &[]);
    assert_eq!(count(&made, "vacuum breaker"), 0);
    assert_eq!(count(&made, "air valve by hand"), 1);
    assert!(caution(&made, "vacuum").contains("closed, full loop"));
    let siphon = caution(&made, "siphon");
    assert!(
        siphon.contains("up to") && siphon.contains("a day or more"),
        "{siphon}"
    );
    assert!(
        siphon.contains("check valve lets water out that way"),
        "{siphon}"
    );
}

#[test]
fn every_pool_above_the_ground_warns_of_its_wall() {
    let above = object("four-coils", &["pool.kind=above-ground"]);
    assert!(kinds(&above).contains(&"above_ground"));
    assert!(!kinds(&object("four-coils", &[])).contains(&"above_ground"));
}

/// Every scenario that has a heater, with both systems of units: an answer within 25 lines of 100, cautions and who decides whole.
#[test]
fn every_scenario_with_a_heater_is_built() {
    let folder = desk::root().join("scenarios");
    let mut names: Vec<String> = fs::read_dir(folder)
        .expect("scenarios")
        .map(|e| {
            e.expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .filter(|n| n.ends_with(".toml"))
        .collect();
    names.sort();
    let mut built = 0;
    for name in names {
        let written = fs::read_to_string(sample(&name)).expect("a scenario");
        for units in ["us", "metric"] {
            let desk = Desk::new();
            let output = desk.run(&["build", &sample(&name), "--units", units, "--out", "made"]);
            let (told, error) = (text(&output.stdout), text(&output.stderr));
            if !written.contains("[[heater]]") {
                assert_eq!(output.status.code(), Some(2), "{name}: {error}");
                continue;
            }
            built += 1;
            assert!(output.status.success(), "{name}: {error}");
            assert!(told.lines().count() <= 25, "{name} {units}:\n{told}");
            assert!(
                told.lines().all(|l| l.chars().count() <= 100),
                "{name}:\n{told}"
            );
            // Nothing that could hurt someone is cut off, and what cannot be built is not shipped.
            for whole in [
                "Local codes and licensed practice (electrician, plumber, engineer) decide",
                "before the first cut.",
            ] {
                let flat = told.split_whitespace().collect::<Vec<_>>().join(" ");
                assert!(flat.contains(whole), "{name} {units}: {whole}\n{told}");
            }
            assert!(!told.contains("does not all fit"), "{name}:\n{told}");
            let page = fs::read_to_string(desk.path("made/build.html")).expect("the page");
            nesting(&page).unwrap_or_else(|e| panic!("{name}: {e}"));
            assert!(
                !page.contains("in build.html"),
                "{name}: the page speaks of itself"
            );
        }
    }
    assert!(built >= 16, "{built}");
}

/// What a spiral leaves over because only whole rings end at an edge is no board too small: `small-board-own-pump` has room for
/// all its 200 ft.
#[test]
fn a_spiral_that_ends_early_fits() {
    let desk = Desk::new();
    let small = sample("small-board-own-pump.toml");
    let told = |sets: &[&str]| {
        let mut args = vec!["build", small.as_str(), "--out", "made"];
        sets.iter().for_each(|set| args.extend(["--set", set]));
        let output = desk.run(&args);
        assert!(output.status.success(), "{}", text(&output.stderr));
        text(&output.stdout)
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
    };
    let laid = |sets: &[&str]| {
        let layout = &object("small-board-own-pump", sets)["heaters"][0]["layout"];
        let m = |key: &str| layout[key].as_f64().expect("a length");
        (m("laid_m"), m("fits_m"), layout["exit_edge"].clone())
    };
    assert!(told(&[]).contains("the tube fits:"));
    let (own, same, any) = (
        laid(&[]),
        laid(&["build.exit_edge=same"]),
        laid(&["build.exit_edge=any"]),
    );
    // 200 ft.
    assert!(same.1 > 60.96, "room for all of it");
    assert!(
        any.0 > same.0 && (own.0 - any.0).abs() < 1e-9,
        "{own:?} {same:?} {any:?}"
    );
    assert_eq!(own.2, "any");
    let same = told(&["build.exit_edge=same"]);
    assert!(
        same.contains("the tube fits:") && same.contains("only whole rings end at an edge"),
        "{same}"
    );
    // Bent to 20 in, the middle of 40 in stays free on 48 in: two rings of at most 24 ft round the edge and what leads in and out.
    let much = told(&["heater.board.tube.bend_radius=20 in"]);
    assert!(much.contains("does not all fit"), "{much}");
}

/// A 4 × 8 ft board holds a ring or two of a tube that bends to 22 in: refused, with a board, a bend and a length that do work.
#[test]
fn less_than_half_is_refused_with_what_works() {
    let desk = Desk::new();
    let file = sample("small-board-own-pump.toml");
    let bend = ["heater.board.tube.bend_radius=22 in"];
    let run = |sets: &[&str]| {
        let mut args = vec!["build", file.as_str(), "--out", "made"];
        sets.iter().for_each(|set| args.extend(["--set", set]));
        desk.run(&args)
    };
    let output = run(&bend);
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("less than half"), "{said}");
    // The way out that it names with its value works.
    let (_, rest) = said.split_once("a tube that bends to ").expect("a bend");
    let (radius, _) = rest
        .split_once(" (heater.board.tube.bend_radius)")
        .expect("its key");
    let output = run(&[&format!("heater.board.tube.bend_radius={radius}")]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let (_, rest) = said
        .split_once("heater.board.board.area = \"")
        .expect("an area");
    let (area, rest) = rest.split_once('"').expect("its end");
    let (_, rest) = rest.split_once("shop.sheets = ").expect("sheets");
    let (sheets, _) = rest.split_once(')').expect("their end");
    let output = run(&[
        bend[0],
        &format!("heater.board.board.area={area}"),
        &format!("shop.sheets={sheets}"),
        "shop.studs=[\"8 ft\", \"12 ft\", \"40 ft\"]",
    ]);
    assert!(
        output.status.success(),
        "{area} {sheets}: {}",
        text(&output.stderr)
    );
}

/// Rows that touch turn within half a pitch, and the tube takes eight of its diameters (0.70 in): 2 × 5.6 in, in quarter inches 11 1/4.
#[test]
fn a_serpentine_that_kinks_names_the_spacing_that_works() {
    let desk = Desk::new();
    let file = sample("hot-dry.toml");
    let sets = |spacing: Option<&str>| {
        let mut args = vec![
            "build".to_owned(),
            file.clone(),
            "--out".into(),
            "made".into(),
        ];
        args.extend([
            "--set".into(),
            "heater.board.board.layout=serpentine".into(),
        ]);
        args.extend(["--set".into(), "build.turns=round".into()]);
        args.extend(["--set".into(), "heater.board.tube.length=50 ft".into()]);
        if let Some(spacing) = spacing {
            args.extend([
                "--set".into(),
                format!("heater.board.board.spacing={spacing}"),
            ]);
        }
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        desk.run(&args)
    };
    let output = sets(None);
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{said}");
    for way in [
        "heater.board.board.spacing = \"11.25 in\"",
        "layout = \"rectangular-spiral\"",
    ] {
        assert!(said.contains(way), "{way}: {said}");
    }
    let output = sets(Some("11.25 in"));
    assert!(output.status.success(), "{}", text(&output.stderr));
}

/// Sides that come from the area are said, and do not change with the units that are printed.
#[test]
fn sides_from_an_area_are_assumed_and_the_same_in_both_units() {
    let desk = Desk::new();
    let made = |units: &str| {
        json(&desk.run(&[
            "build",
            &sample("four-coils.toml"),
            "--json",
            "--units",
            units,
        ]))
    };
    let (us, metric) = (made("us"), made("metric"));
    for key in ["board_length_m", "board_width_m", "laid_m"] {
        assert_eq!(
            us["heaters"][0]["layout"][key], metric["heaters"][0]["layout"][key],
            "{key}"
        );
    }
    let assumed = us["assumptions"].as_array().expect("a list");
    let sides = assumed
        .iter()
        .find(|a| a["key"] == "heater.coil-1.board.area")
        .expect("its sides");
    // 32 ft² are a sheet of 4 × 8 ft.
    assert_eq!(sides["value"], "1 × 8 ft × 4 ft");
}

/// One tube between two hoses: a barb joins hose and tube at either end, so of the four hose barbs two are left.
#[test]
fn a_joint_of_hose_and_tube_is_one_fitting() {
    let one = object("small-board-own-pump", &[]);
    assert_eq!(count(&one, "barb for 0.75 in hose"), 2);
    assert_eq!(count(&one, "barb to the tube"), 2);
    // Of two kinds of tube each has its own size.
    let two = object("board-and-deck", &[]);
    assert_eq!(count(&two, "barb to the tube for 0.70 in tube"), 2);
    assert_eq!(count(&two, "barb to the tube for 0.88 in tube"), 2);
}

/// `flow` and `build` say the same height, 11.8 ft in `five-on-the-roof`.
#[test]
fn flow_and_build_say_the_same_height() {
    let desk = Desk::new();
    for name in [
        "five-on-the-roof",
        "small-board-own-pump",
        "board-and-deck",
        "above-ground-south",
    ] {
        let flow = json(&desk.run(&["flow", &sample(&format!("{name}.toml")), "--json"]));
        let high_m = flow["start"]["high_point_m"].as_f64().expect("a height");
        let made = object(name, &[]);
        let top_m = made["siphon"]["top_m"].as_f64().expect("a height");
        assert!(
            (high_m - top_m).abs() < 1e-6,
            "{name}: {high_m} and {top_m}"
        );
    }
}

/// Equal studs stand once on the page, with how many there are: five like boards have thirty studs in few lines.
#[test]
fn equal_cuts_stand_once_on_the_page() {
    let desk = Desk::new();
    let output = desk.run(&["build", &sample("five-on-the-roof.toml"), "--out", "made"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let page = fs::read_to_string(desk.path("made/build.html")).expect("the page");
    let (_, cut) = page.split_once(">Cut</h2>").expect("cuts");
    let (cut, _) = cut.split_once("<h2").expect("what follows");
    assert!(cut.contains("5 × sheet 8 ft × 4 ft"), "{cut}");
    let lines: Vec<&str> = cut
        .lines()
        .filter(|l| l.starts_with("<li>") && l.contains("stud"))
        .collect();
    let mut once = lines.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(lines.len(), once.len());
    assert!((1..=8).contains(&lines.len()), "{lines:?}");
}

/// A scenario with a bought panel alone has no board to cut and still its wind, its cautions and a page.
#[test]
fn a_panel_alone_has_wind_and_cautions() {
    let desk = Desk::new();
    let written = fs::read_to_string(sample("cover-and-board.toml")).expect("a scenario");
    let (head, tail) = written.split_once("[[heater]]").expect("a heater");
    let (_, tail) = tail.split_once("[pump]").expect("a pump");
    let weather = sample("../weather-samples/temperate.epw");
    let panel = format!(
        "{head}[[heater]]\nname = \"panel\"\nkind = \"panel\"\nfacing = \"S\"\ntilt = \"30 deg\"\npanel = {{ area = \"4 m2\" }}\n\n[pump]{tail}"
    )
    .replace("../weather-samples/temperate.epw", &weather)
    .replace("units = \"us\"", "units = \"metric\"");
    fs::write(desk.path("panel.toml"), panel).expect("written");
    let output = desk.run(&["build", "panel.toml"]);
    let (told, error) = (text(&output.stdout), text(&output.stderr));
    assert!(output.status.success(), "{error}");
    assert!(
        told.contains("a bought panel of 4.0 m²") && told.contains("kN"),
        "{told}"
    );
    assert!(!told.contains(" ft") && !told.contains("°F"), "{told}");
    let page = fs::read_to_string(desk.path("panel-build/build.html")).expect("the page");
    nesting(&page).unwrap_or_else(|e| panic!("{e}"));
    assert!(!page.contains(">Drawings") && page.contains("Read first"));
}
