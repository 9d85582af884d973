//! The house stands as DEVELOPERS.md says: its list of crates is the directory's, imports run one way, and the
//! physics crates know nothing of files and clocks.

use std::collections::BTreeSet;
use std::fs;

use swimdays_tests::root;

/// Crates that hold physics only.
const PHYSICS: [&str; 5] = ["properties", "solar", "collector", "pool", "pump"];

/// From the bottom up; a crate may use what stands before it.
const ORDER: [&[&str]; 10] = [
    &["properties", "quantity"],
    &["solar"],
    &["weather", "collector", "pool", "pump"],
    &["season"],
    &["build"],
    &["scenario"],
    &["studies"],
    &["check"],
    &["report"],
    &["swimdays"],
];

fn directory() -> BTreeSet<String> {
    fs::read_dir(root().join("crates"))
        .expect("crates/")
        .filter_map(Result::ok)
        .filter(|e| e.path().is_dir())
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect()
}

#[test]
fn developers_page_lists_the_crates() {
    let page = fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    let listed: BTreeSet<String> = page
        .lines()
        .skip_while(|l| !l.starts_with("## Map"))
        .take_while(|l| !l.starts_with("## Invariants"))
        .filter_map(|l| l.strip_prefix("| `")?.split('`').next().map(str::to_owned))
        .collect();
    assert_eq!(
        listed,
        directory(),
        "the map in DEVELOPERS.md and crates/ differ"
    );
}

#[test]
fn imports_run_one_way() {
    let ordered: BTreeSet<String> = ORDER
        .iter()
        .flat_map(|l| l.iter().map(|c| (*c).to_owned()))
        .collect();
    assert_eq!(
        ordered,
        directory(),
        "ORDER in this test and crates/ differ"
    );
    for (level, crates) in ORDER.iter().enumerate() {
        let below: BTreeSet<&str> = ORDER[..level]
            .iter()
            .flat_map(|l| l.iter().copied())
            .collect();
        for name in *crates {
            let manifest = fs::read_to_string(root().join("crates").join(name).join("Cargo.toml"))
                .expect("manifest");
            let real = manifest
                .split("[dev-dependencies]")
                .next()
                .unwrap_or_default();
            for line in real.lines() {
                let Some(used) = line
                    .strip_prefix("swimdays-")
                    .and_then(|l| l.split(['.', ' ', '=']).next())
                else {
                    continue;
                };
                assert!(
                    below.contains(used),
                    "{name} may not use {used}: imports run one way"
                );
            }
        }
    }
}

#[test]
fn physics_does_no_input_or_output() {
    for name in PHYSICS {
        let sources = root().join("crates").join(name).join("src");
        let mut pending = vec![sources];
        while let Some(path) = pending.pop() {
            for entry in fs::read_dir(&path).expect("sources").filter_map(Result::ok) {
                let path = entry.path();
                if path.is_dir() {
                    pending.push(path);
                    continue;
                }
                let text = fs::read_to_string(&path).expect("source");
                for forbidden in [
                    "std::fs",
                    "std::io",
                    "std::env",
                    "std::time",
                    "println!",
                    "SystemTime",
                    "Instant::",
                ] {
                    let code = text.split("#[cfg(test)]").next().unwrap_or_default();
                    assert!(
                        !code.contains(forbidden),
                        "{} uses {forbidden}",
                        path.display()
                    );
                }
            }
        }
        let manifest = fs::read_to_string(root().join("crates").join(name).join("Cargo.toml"))
            .expect("manifest");
        for forbidden in ["serde", "toml", "chrono"] {
            let uses = manifest.lines().any(|l| l.starts_with(forbidden));
            assert!(!uses, "{name} depends on {forbidden}");
        }
    }
}
