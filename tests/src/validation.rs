//! Tables of VALIDATION.md, written by the checks themselves.
//!
//! A check hands in its rows; with `SWIMDAYS_VALIDATION_DIR` set (by `.ci/run`) they go into a file there, one a
//! table, and `.ci/validation.py` compares them with what VALIDATION.md says. Without it nothing is written.

use std::fs;
use std::path::PathBuf;

use crate::Errors;

/// Two significant digits: enough to judge by, few enough to be the same on every machine.
#[must_use]
pub fn two_digits(value: f64) -> String {
    if value == 0.0 {
        return "0".into();
    }
    let text = format!("{value:.1e}");
    let rounded: f64 = text.parse().unwrap_or(value);
    if (1e-3..1e5).contains(&rounded.abs()) {
        #[allow(clippy::cast_possible_truncation, reason = "a decimal exponent")]
        let exponent = rounded.abs().log10().floor() as i32;
        let decimals = usize::try_from((1 - exponent).max(0)).unwrap_or(0);
        format!("{rounded:.decimals$}")
    } else {
        text
    }
}

/// One row: what was checked, against what, and the errors in `unit`.
#[must_use]
pub fn row(what: &str, against: &str, errors: &Errors, unit: &str) -> String {
    format!(
        "| {what} | {against} | {} | {} | {} | {} | {unit} |",
        errors.points,
        two_digits(errors.median),
        two_digits(errors.percentile_99),
        two_digits(errors.max)
    )
}

/// Heading of a table of [`row`]s.
pub const HEAD: [&str; 2] = [
    "| what | against | points | median | 99 % | max | unit |",
    "|---|---|---|---|---|---|---|",
];

/// Writes the table `name`, lines as they shall stand in VALIDATION.md.
///
/// # Panics
/// When the folder is set but cannot be written.
pub fn table(name: &str, lines: &[String]) {
    let Some(folder) = std::env::var_os("SWIMDAYS_VALIDATION_DIR").map(PathBuf::from) else {
        return;
    };
    fs::create_dir_all(&folder).expect("folder of the validation tables");
    let mut text = lines.join("\n");
    text.push('\n');
    fs::write(folder.join(format!("{name}.md")), text).expect("validation table");
}

/// Writes the table `name` of error rows under [`HEAD`].
pub fn error_table(name: &str, rows: &[String]) {
    let lines: Vec<String> = HEAD
        .iter()
        .map(|l| (*l).to_owned())
        .chain(rows.iter().cloned())
        .collect();
    table(name, &lines);
}

#[cfg(test)]
mod tests {
    use super::two_digits;

    #[test]
    fn numbers_keep_two_digits() {
        let pairs = [
            (0.0, "0"),
            (0.012_34, "0.012"),
            (1.26, "1.3"),
            (12.6, "13"),
            (126.0, "130"),
            (1.0e-9, "1.0e-9"),
        ];
        for (value, text) in pairs {
            assert_eq!(two_digits(value), text);
        }
    }
}
