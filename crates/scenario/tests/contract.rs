//! The complete scenario is the contract: every key in it is accepted, every key accepted is in it, and changing
//! one changes the plan.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use swimdays_scenario::{
    Answers, COMPLETE, Climate, Scenario, WeatherSource, keys, load, parse, template, with_values,
};

/// Another value for every key, one key a line: `key: set | set`. A key that has a meaning only beside another
/// value carries that as well.
const OTHER: &str = include_str!("other_values.txt");

fn other() -> impl Iterator<Item = (&'static str, Vec<String>)> {
    OTHER.lines().filter_map(|line| {
        let (key, sets) = line.split_once(": ")?;
        Some((key, sets.split(" | ").map(str::to_owned).collect()))
    })
}

fn complete(sets: &[String]) -> Scenario {
    parse(COMPLETE, "complete.toml", Path::new(""), sets)
        .unwrap_or_else(|e| panic!("{sets:?}\n{e}"))
}

/// Everything of a scenario that a run depends on, as text.
fn fingerprint(scenario: &Scenario) -> String {
    let mut plan = scenario.plan.clone();
    plan.assumptions.clear();
    // Where files are named is no part of what is run.
    let weather = match &scenario.weather {
        WeatherSource::Normals(source) => match &source.climate {
            Climate::Given(normals) => format!("{normals:?} {} {}", source.years, source.seed),
            Climate::Table(file) => format!("{:?} {} {}", file.path, source.years, source.seed),
        },
        WeatherSource::Files(_) => format!("{:?}", paths(scenario)),
    };
    let mut hydraulics = scenario.hydraulics.clone();
    if let Some(hydraulics) = &mut hydraulics {
        hydraulics.assumptions.clear();
    }
    let mut build = scenario.build.clone();
    build.assumptions.clear();
    let mut lives = scenario.lives.clone();
    lives.assumptions.clear();
    let options: Vec<String> = scenario
        .options
        .iter()
        .map(|o| {
            let made = fingerprint(&o.scenario);
            format!("{} {:?} {} {made}", o.name, o.cost, o.life_years)
        })
        .collect();
    format!(
        "{plan:?} {:?} {weather} {:?} {hydraulics:?} {build:?} {lives:?} {options:?}",
        scenario.units, scenario.read
    )
}

/// Files that the scenario names.
fn paths(scenario: &Scenario) -> Vec<&Path> {
    let files = scenario.weather.files().iter();
    files.map(|file| file.path.as_path()).collect()
}

fn project() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn is_key(text: &str) -> bool {
    !text.is_empty()
        && text
            .bytes()
            .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')
}

/// Keys written in a text, those behind `# ` included; paths without the names of heaters.
fn written_keys(text: &str) -> BTreeSet<String> {
    let mut table = String::new();
    let mut found = BTreeSet::new();
    for line in text.lines() {
        let line = line.strip_prefix("# ").unwrap_or(line);
        if let Some(header) = line.strip_prefix('[') {
            table = header
                .trim_start_matches('[')
                .split(']')
                .next()
                .unwrap_or("")
                .to_owned();
            found.extend(
                table
                    .match_indices('.')
                    .map(|(at, _)| table[..at].to_owned()),
            );
            found.insert(table.clone());
        } else if let Some((key, _)) = line.split_once(" = ")
            && is_key(key)
        {
            found.insert(if table.is_empty() {
                key.to_owned()
            } else {
                format!("{table}.{key}")
            });
        }
    }
    found
}

#[test]
fn the_complete_scenario_has_every_key_and_no_other() {
    let written = written_keys(COMPLETE);
    let known = keys();
    let unwritten: Vec<_> = known.difference(&written).collect();
    let unknown: Vec<_> = written.difference(&known).collect();
    assert!(
        unwritten.is_empty(),
        "known and not in complete.toml: {unwritten:?}"
    );
    assert!(
        unknown.is_empty(),
        "in complete.toml and not known: {unknown:?}"
    );
    complete(&[]);
}

/// The reference page has each key of each table, and no key that does not exist.
#[test]
fn the_reference_page_names_every_key() {
    let page = std::fs::read_to_string(project().join("docs/scenario.md")).expect("the page");
    let mut table = String::new();
    let mut named = BTreeSet::new();
    for line in page.lines() {
        if let Some(heading) = line.strip_prefix("## ").filter(|h| h.starts_with('`')) {
            table = heading
                .trim_matches(|c| matches!(c, '`' | '[' | ']'))
                .to_owned();
            named.extend(
                table
                    .match_indices('.')
                    .map(|(at, _)| table[..at].to_owned()),
            );
            named.insert(table.clone());
        } else if let Some(cell) = line.strip_prefix("| `").and_then(|l| l.split('|').next()) {
            for key in cell.split('`').filter(|key| is_key(key)) {
                let top = table == "top";
                named.insert(if top {
                    key.to_owned()
                } else {
                    format!("{table}.{key}")
                });
            }
        }
    }
    named.remove("top");
    assert_eq!(named, keys());
}

/// Tables have no value of their own.
const TABLES: &[&str] = &[
    "site",
    "site.normals",
    "pool",
    "swim",
    "pool.cover",
    "heater",
    "heater.tube",
    "heater.board",
    "heater.deck",
    "heater.panel",
    "heater.plumbing",
    "pump",
    "plumbing",
    "plumbing.run",
    "build",
    "shop",
    "other_heater",
    "prices",
    "models",
    "option",
];

#[test]
fn changing_any_key_changes_the_plan() {
    let leaves: BTreeSet<String> = keys()
        .into_iter()
        .filter(|key| !TABLES.contains(&key.as_str()))
        .collect();
    let tried: BTreeSet<String> = other().map(|(key, _)| key.to_owned()).collect();
    assert_eq!(tried, leaves, "one other value for each key");
    let before = fingerprint(&complete(&[]));
    let mut seen = BTreeMap::new();
    for (key, sets) in other() {
        let after = fingerprint(&complete(&sets));
        assert_ne!(after, before, "{sets:?} changes nothing");
        if let Some(same) = seen.insert(after, key) {
            panic!("{key} and {same} lead to the same plan");
        }
    }
}

/// What is written back is read as what was set, and comments stay.
#[test]
fn values_written_back_read_like_values_set() {
    let mut left_behind = 0;
    for (key, sets) in other() {
        let changes: Vec<(String, String)> = sets
            .iter()
            .filter_map(|set| set.split_once('='))
            .map(|(path, value)| (path.to_owned(), value.to_owned()))
            .collect();
        let text = with_values(COMPLETE, &changes).unwrap_or_else(|e| panic!("{key}: {e}"));
        match parse(&text, "changed.toml", Path::new(""), &[]) {
            Ok(read) => assert_eq!(
                fingerprint(&read),
                fingerprint(&complete(&sets)),
                "{key}\n{text}"
            ),
            // Another kind written down leaves keys of the old kind behind, which a person then takes out.
            Err(errors) => {
                left_behind += 1;
                for diagnostic in &errors.diagnostics {
                    let says = diagnostic.problem.contains("belongs to");
                    assert!(says, "{key}: {diagnostic}\n{text}");
                }
            }
        }
        // Comments above a table that is taken out go with it; all others stay.
        if !sets.iter().any(|set| set.ends_with("=[]")) {
            let lost: Vec<&str> = COMPLETE
                .lines()
                .filter(|l| l.starts_with('#') && !l.contains(" = ") && !text.contains(l))
                .collect();
            assert!(lost.is_empty(), "{key}: {lost:?}");
        }
    }
    assert!(left_behind <= 8, "{left_behind}");
    let text = with_values(COMPLETE, &[("pool.depth".into(), "5 ft".into())]).expect("a depth");
    let line = text
        .lines()
        .find(|l| l.starts_with("depth = \"5 ft\""))
        .expect("the depth");
    assert!(line.contains("# mean depth ..."), "{line}");
    assert!(with_values("a = ", &[]).is_err());
    assert!(with_values(COMPLETE, &[("heater.boat.tilt".into(), "3 deg".into())]).is_err());
}

/// Each alternative behind `# ` is understood as well: beside its rival it is at most a conflict.
#[test]
fn every_alternative_in_the_complete_scenario_is_understood() {
    let mut tried = 0;
    // Inside a table that is an alternative itself, all its keys are taken at once.
    let mut in_alternative = false;
    for line in COMPLETE.lines() {
        if line.starts_with("# [") {
            in_alternative = true;
            let block: Vec<&str> = COMPLETE
                .lines()
                .skip_while(|l| *l != line)
                .take_while(|l| l.starts_with("# "))
                .collect();
            let block = block.join("\n");
            let text = COMPLETE.replacen(&block, &block.replace("\n# ", "\n")[2..], 1);
            assert_ne!(text, COMPLETE, "{line}");
            about_rivals_only(&text, line);
            continue;
        }
        in_alternative &= line.starts_with("# ");
        if in_alternative {
            continue;
        }
        let Some(key) = line
            .strip_prefix("# ")
            .and_then(|l| l.split_once(" = "))
            .map(|(key, _)| key)
        else {
            continue;
        };
        if !is_key(key) {
            continue;
        }
        tried += 1;
        let text = COMPLETE.replacen(line, &line[2..], 1);
        about_rivals_only(&text, line);
    }
    assert!(tried > 10, "{tried} alternatives");
}

/// The scenario is read, or refused only because two things in it say the same.
fn about_rivals_only(text: &str, line: &str) {
    let Err(errors) = parse(text, "complete.toml", Path::new(""), &[]) else {
        return;
    };
    for diagnostic in &errors.diagnostics {
        let about_rivals = [
            "both say the same",
            "does not belong",
            "stands without",
            "belongs to",
        ]
        .iter()
        .any(|problem| diagnostic.problem.contains(problem));
        assert!(about_rivals, "{line}\n{diagnostic}");
    }
}

/// Notes and weather of `swimdays check` stand beside the scenarios.
fn is_scenario(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending == "toml")
}

#[test]
fn every_example_loads_and_its_weather_is_there() {
    let mut count = 0;
    for entry in std::fs::read_dir(project().join("scenarios")).expect("the examples") {
        let path = entry.expect("an entry").path();
        if !is_scenario(&path) {
            continue;
        }
        let scenario = load(&path, &[]).unwrap_or_else(|e| panic!("{e}"));
        for file in paths(&scenario) {
            assert!(
                file.is_file(),
                "{} names {}",
                path.display(),
                file.display()
            );
        }
        count += 1;
    }
    assert!(count >= 4);
    let pools: Vec<String> = ["cover-and-board", "large-board", "cover-only", "bare"]
        .iter()
        .map(|name| {
            let path = project().join(format!("scenarios/{name}.toml"));
            let s = load(&path, &[]).unwrap_or_else(|e| panic!("{e}"));
            format!(
                "{:?} {:?} {:?} {:?} {:?}",
                s.plan.site,
                s.plan.pool,
                s.plan.swim,
                s.plan.prices,
                paths(&s)
            )
        })
        .collect();
    assert!(
        pools.windows(2).all(|pair| pair[0] == pair[1]),
        "one pool, so that they can be compared"
    );
}

#[test]
fn the_template_is_a_scenario() {
    use swimdays_quantity::Units;
    for units in [Units::Us, Units::Metric] {
        for tube_length in [Some("100 ft".to_owned()), None] {
            let answers = Answers {
                name: "Ann's \"blue\" pool \\ # 1".into(),
                tube_length,
                ..Answers::usual(units)
            };
            let text = template(&answers);
            let read = parse(&text, "new.toml", Path::new("here"), &[])
                .unwrap_or_else(|e| panic!("{e}\n{text}"));
            assert_eq!(read.plan.name, answers.name);
            assert_eq!(read.units, units);
            assert_eq!(
                read.plan.heaters.len(),
                usize::from(answers.tube_length.is_some())
            );
            assert_eq!(paths(&read), [Path::new("here/weather.epw")]);
            let table = template(&Answers {
                weather: "town.csv".into(),
                is_climate_table: true,
                ..answers
            });
            let read = parse(&table, "new.toml", Path::new("here"), &[])
                .unwrap_or_else(|e| panic!("{e}\n{table}"));
            assert!(matches!(read.weather, WeatherSource::Normals(_)), "{table}");
            assert_eq!(paths(&read), [Path::new("here/town.csv")]);
        }
    }
}

/// What the scenario lets through, the physics accepts: heaters, ground, pump, control, obstructions.
#[test]
fn every_plan_can_be_built() {
    use swimdays_collector::Heater;
    use swimdays_pool::Ground;
    use swimdays_season::Shell;
    use swimdays_solar::Horizon;
    let mut plans: Vec<Scenario> = other().map(|(_, sets)| complete(&sets)).collect();
    for entry in std::fs::read_dir(project().join("scenarios")).expect("the examples") {
        let path = entry.expect("an entry").path();
        if is_scenario(&path) {
            plans.push(load(&path, &[]).unwrap_or_else(|e| panic!("{e}")));
        }
    }
    for Scenario { plan, .. } in plans {
        let (Shell::InGround { ground, .. } | Shell::AboveGround { floor: ground, .. }) =
            &plan.pool.shell;
        Ground::new(ground, 3600.0).unwrap_or_else(|e| panic!("{}: {e}", plan.name));
        Horizon::new(&plan.pool.obstructions).unwrap_or_else(|e| panic!("{}: {e}", plan.name));
        let flow_kg_s = plan.pump.as_ref().map_or(0.25, |pump| {
            pump.pump
                .check()
                .unwrap_or_else(|e| panic!("{}: {e}", plan.name));
            pump.control
                .check()
                .unwrap_or_else(|e| panic!("{}: {e}", plan.name));
            pump.pump.flow_m3_s() * 1000.0
        });
        for heater in &plan.heaters {
            Heater::new(&heater.spec, flow_kg_s).unwrap_or_else(|e| panic!("{}: {e}", heater.name));
            Horizon::new(&heater.obstructions).unwrap_or_else(|e| panic!("{}: {e}", heater.name));
        }
    }
}
