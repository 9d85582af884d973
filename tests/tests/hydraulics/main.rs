//! Flow through tubes, coils, fittings and whole plumbing: against `fluids`, textbooks, hand arithmetic, an independent
//! solver, and the two laws every network keeps.

mod cases;
mod networks;
mod reference;

use swimdays_tests::Errors;
use swimdays_tests::validation::{row, two_digits};

/// Below this two programs differ by rounding alone, which is another on every machine.
const ROUNDING: f64 = 1e-11;

/// A row for VALIDATION.md in which rounding is not spelt out.
fn calm_row(what: &str, against: &str, errors: &Errors, unit: &str) -> String {
    let digits = |value: f64| {
        if value < ROUNDING {
            "< 1e-11".to_owned()
        } else {
            two_digits(value)
        }
    };
    if errors.max >= ROUNDING && errors.median >= ROUNDING {
        return row(what, against, errors, unit);
    }
    format!(
        "| {what} | {against} | {} | {} | {} | {} | {unit} |",
        errors.points,
        digits(errors.median),
        digits(errors.percentile_99),
        digits(errors.max)
    )
}
