//! A fresh folder and the real program, for each test that runs it.

#![allow(
    dead_code,
    unreachable_pub,
    reason = "test code of which each file uses a part"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tempfile::TempDir;

/// A fresh folder and the program.
pub struct Desk {
    pub folder: TempDir,
}

impl Desk {
    pub fn new() -> Self {
        Self {
            folder: TempDir::new().expect("temporary folder"),
        }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn run(&self, args: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_swimdays"))
            .args(args)
            .current_dir(self.folder.path())
            .output()
            .expect("the program starts")
    }

    /// What is printed by a run that must succeed.
    pub fn told(&self, args: &[&str]) -> String {
        let output = self.run(args);
        assert!(
            output.status.success(),
            "{args:?}: {}",
            text(&output.stderr)
        );
        text(&output.stdout)
    }

    /// What is said by a run that must be refused as bad input.
    pub fn refused(&self, args: &[&str]) -> String {
        let output = self.run(args);
        assert_eq!(
            output.status.code(),
            Some(2),
            "{args:?}: {}",
            text(&output.stdout)
        );
        text(&output.stderr)
    }

    /// The same bytes on one thread and on two.
    pub fn same_for_any_threads(&self, args: &[&str]) {
        let on = |threads: &str| {
            let output = Command::new(env!("CARGO_BIN_EXE_swimdays"))
                .args(args)
                .env("RAYON_NUM_THREADS", threads)
                .current_dir(self.folder.path())
                .output()
                .expect("the program starts");
            assert!(output.status.success(), "{}", text(&output.stderr));
            assert!(!output.stdout.is_empty());
            output.stdout
        };
        assert!(on("1") == on("2"), "{args:?}: one thread and two differ");
    }

    /// Nothing of `files` is missing in `folder` or empty.
    pub fn has(&self, folder: &str, files: &[&str]) {
        for file in files {
            let made = self.path(folder).join(file);
            assert!(
                fs::metadata(&made).is_ok_and(|m| m.len() > 0),
                "{folder}: {file}"
            );
        }
    }

    /// The June of a sample year, as a weather file of its own.
    pub fn june(&self) -> &'static str {
        let whole =
            fs::read_to_string(root().join("weather-samples/temperate.tmy3.csv")).expect("sample");
        // Head, names and the hours.
        let part: Vec<&str> = whole
            .lines()
            .enumerate()
            .filter(|(i, line)| *i < 2 || line.starts_with("06/"))
            .map(|(_, line)| line)
            .collect();
        fs::write(self.path("june.csv"), part.join("\n") + "\n").expect("written");
        "june.csv"
    }

    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.folder.path())
            .expect("folder")
            .filter_map(Result::ok)
            .map(|e| e.file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }
}

pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

pub fn sample(name: &str) -> String {
    root()
        .join("scenarios")
        .join(name)
        .to_string_lossy()
        .into_owned()
}

pub fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

pub fn json(output: &Output) -> serde_json::Value {
    serde_json::from_slice(&output.stdout).expect("one JSON object on standard output")
}

/// The words without the ends of lines.
pub fn words(told: &str) -> String {
    told.split_whitespace().collect::<Vec<_>>().join(" ")
}
