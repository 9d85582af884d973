//! What is wrong with a scenario, said so that the person who wrote it can put it right.

use std::fmt;
use std::path::PathBuf;

use swimdays_weather::ReadOptions;

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Diagnostic {
    /// The file, or the `--set` that it stands in.
    pub file: String,
    /// Line, counted from 1; absent in a `--set`.
    pub line: Option<usize>,
    /// Column in characters, counted from 1.
    pub column: Option<usize>,
    /// Path of the key, such as `heater.board.area`; empty when the text is not TOML.
    pub key: String,
    /// What stands there; empty when something is missing.
    pub found: String,
    /// What is wrong with it.
    pub problem: String,
    /// What may stand there; may be empty.
    pub allowed: String,
    /// What to do; may be empty.
    pub advice: String,
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if let Some(line) = self.line {
            write!(f, ", line {line}")?;
        }
        if !self.key.is_empty() || !self.found.is_empty() {
            write!(f, ":  {}", self.key)?;
            if !self.found.is_empty() {
                let equals = if self.key.is_empty() { "" } else { " = " };
                write!(f, "{equals}{}", self.found)?;
            }
        }
        write!(f, "\n    {}", self.problem)?;
        if !self.allowed.is_empty() {
            write!(f, "\n    allowed: {}", self.allowed)?;
        }
        if !self.advice.is_empty() {
            write!(f, "\n    to do:   {}", self.advice)?;
        }
        Ok(())
    }
}

/// Everything that is wrong with a scenario, in the order of the file.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct ScenarioErrors {
    /// At least one.
    pub diagnostics: Vec<Diagnostic>,
    /// The weather files that are named all the same; whether they can be read is for the caller to find out, so
    /// that it can be told with the rest.
    pub weather: Vec<NamedWeather>,
    /// How those files are to be read.
    pub read: ReadOptions,
}

/// A weather file and where it is named.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct NamedWeather {
    /// Resolved from the scenario's folder.
    pub path: PathBuf,
    /// Key under which it is named.
    key: &'static str,
    /// The scenario, or the `--set` in which it stands.
    file: String,
    line: Option<usize>,
    column: Option<usize>,
    found: String,
}

impl NamedWeather {
    pub(crate) fn new(
        key: &'static str,
        path: PathBuf,
        (file, line, column): (String, Option<usize>, Option<usize>),
        found: String,
    ) -> Self {
        Self {
            path,
            key,
            file,
            line,
            column,
            found,
        }
    }
}

/// In the order of the file; what stands in a `--set` comes last.
pub(crate) fn sort(diagnostics: &mut [Diagnostic]) {
    diagnostics.sort_by_key(|d| (d.line.is_none(), d.line, d.column));
}

impl ScenarioErrors {
    pub(crate) fn one(file: String, key: &str, problem: String, advice: &str) -> Self {
        Self {
            diagnostics: vec![Diagnostic {
                file,
                line: None,
                column: None,
                key: key.to_owned(),
                found: String::new(),
                problem,
                allowed: String::new(),
                advice: advice.to_owned(),
            }],
            weather: Vec::new(),
            read: ReadOptions::default(),
        }
    }

    /// No fault yet: for a scenario that is right and names weather that is not.
    #[must_use]
    pub fn none() -> Self {
        Self {
            diagnostics: Vec::new(),
            weather: Vec::new(),
            read: ReadOptions::default(),
        }
    }

    /// Adds what is wrong with a weather file that the scenario names.
    pub fn add_weather(
        &mut self,
        named: &NamedWeather,
        problem: impl Into<String>,
        advice: impl Into<String>,
    ) {
        self.diagnostics.push(Diagnostic {
            file: named.file.clone(),
            line: named.line,
            column: named.column,
            key: named.key.to_owned(),
            found: named.found.clone(),
            problem: problem.into(),
            allowed: String::new(),
            advice: advice.into(),
        });
        sort(&mut self.diagnostics);
    }

    /// Adds what is wrong with an option of the command line, such as `--weather year.epw`.
    pub fn add_option(
        &mut self,
        option: impl Into<String>,
        problem: impl Into<String>,
        advice: impl Into<String>,
    ) {
        self.diagnostics.push(Diagnostic {
            file: option.into(),
            line: None,
            column: None,
            key: String::new(),
            found: String::new(),
            problem: problem.into(),
            allowed: String::new(),
            advice: advice.into(),
        });
    }
}

impl fmt::Display for ScenarioErrors {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, diagnostic) in self.diagnostics.iter().enumerate() {
            if at > 0 {
                f.write_str("\n\n")?;
            }
            write!(f, "{diagnostic}")?;
        }
        Ok(())
    }
}

impl std::error::Error for ScenarioErrors {}
