//! Damaged weather files: each file in `tests/bad/weather` must fail with the message in the `.expect` beside it.
//!
//! Adding a case is adding the two files.

use std::path::{Path, PathBuf};

/// Fewer means that the folder was moved and the test looks at nothing.
const LEAST_CASES: usize = 30;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/bad/weather")
}

#[test]
fn every_damaged_file_says_what_is_wrong() {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder())
        .expect("folder of damaged weather files")
        .map(|entry| entry.expect("entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending != "expect"))
        .collect();
    paths.sort();
    assert!(paths.len() >= LEAST_CASES, "only {} cases", paths.len());
    let mut wrong = Vec::new();
    for path in paths {
        let name = path
            .file_name()
            .expect("name")
            .to_string_lossy()
            .into_owned();
        let bytes = std::fs::read(&path).expect("readable");
        let expected = std::fs::read_to_string(path.with_added_extension("expect"))
            .unwrap_or_else(|_| "(no .expect file)".into());
        let found = match swimdays_weather::parse(&bytes, &name) {
            Ok(_) => "(no error)".to_owned(),
            Err(error) => error.to_string(),
        };
        if found != expected.trim_end() {
            wrong.push(format!(
                "{name}\n  found    {found}\n  expected {}",
                expected.trim_end()
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_file_that_is_not_there_is_named() {
    let error = swimdays_weather::read(Path::new("no-such-folder/no-such-file.epw"))
        .expect_err("there is none");
    assert!(
        error
            .to_string()
            .starts_with("no-such-folder/no-such-file.epw: cannot be read: ")
    );
}
