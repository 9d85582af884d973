//! Damaged inputs in a folder: each must fail with the message in the `.expect` beside it.

use std::path::{Path, PathBuf};

use swimdays_weather::WeatherError;

/// Fewer means that the folder was moved and the test looks at nothing.
const LEAST_CASES: usize = 30;

/// Looks at every file of `tests/bad/FOLDER`; adding a case is adding the two files.
pub(crate) fn every_file_says_what_is_wrong<T>(
    folder: &str,
    parse: impl Fn(&[u8], &str) -> Result<T, WeatherError>,
) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../tests/bad")
        .join(folder);
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("folder of damaged inputs")
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
        let expected = std::fs::read_to_string(path.with_file_name(format!("{name}.expect")))
            .unwrap_or_else(|_| "(no .expect file)".into());
        let found = match parse(&bytes, &name) {
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
