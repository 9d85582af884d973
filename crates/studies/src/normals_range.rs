//! How far a season in a year made from monthly normals may be off.

use swimdays_weather::normals::Known;

/// Error of a season in one year made from a climate table, against the same pool in the real year of that table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NormalsError {
    /// Standard deviation of the swim days.
    pub swim_days_sd: f64,
}

/// The error by what the table says besides maximum and minimum.
///
/// Source: measured in this project with `scenarios/cover-and-board.toml` in six real typical years (36 to 52° N, humid to dry, sea to
/// continent) and ten years made from the normals of each; VALIDATION.md, table `normals-known`, root mean squares; the test
/// `tests/tests/normals` holds these numbers to that table. It includes the luck of one made year; it does not include how
/// real years differ from one another, nor climates unlike the six: five of the six are among the years that the generator's scatter
/// of the days was read off, so the error is measured in-sample, and for another place it is a lower bound. Where knowing less did better by luck, the larger error of
/// knowing more is stated. Hours of sunshine count as no sun: how well they do was not measured.
#[must_use]
pub fn normals_error(known: Known) -> NormalsError {
    let swim_days_sd = match (known.sun, known.moisture, known.wind) {
        (true, true, true) => 7.0,
        (true, false, true) => 8.0,
        (true, _, false) => 9.0,
        (false, true, true) => 12.0,
        (false, false, true) => 13.0,
        (false, _, false) => 17.0,
    };
    NormalsError { swim_days_sd }
}
