//! What is wrong with a scenario, said so that the person who wrote it can put it right.

use std::fmt;

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
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct ScenarioErrors {
    /// At least one.
    pub diagnostics: Vec<Diagnostic>,
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
        }
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
