//! How far a season in a year made from monthly normals may be off.

use swimdays_weather::normals::Known;

/// Error of a season in one year made from a climate table, against the same pool in the real year of that table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NormalsError {
    /// Standard deviation of the swim days.
    pub swim_days_sd: f64,
    /// Standard deviation of the monthly mean water from May to September, K.
    pub water_k_sd: f64,
}

/// The error by what the table says besides maximum and minimum.
///
/// Source: measured in this project with `scenarios/cover-and-board.toml` in six real typical years (36 to 52° N, humid to dry, sea to
/// continent) and ten years made from the normals of each; VALIDATION.md, table `normals-known`, root mean squares; the test
/// `tests/tests/normals` holds these numbers to that table. It includes the luck of one made year; it does not include how
/// real years differ from one another, nor climates unlike the six. Where knowing less did better by luck, the larger error of
/// knowing more is stated. Hours of sunshine count as no sun: how well they do was not measured.
#[must_use]
pub fn normals_error(known: Known) -> NormalsError {
    let (swim_days_sd, water_k_sd) = match (known.sun, known.moisture, known.wind) {
        (true, true, true) => (8.0, 0.5),
        (true, false, true) => (8.0, 0.6),
        (true, _, false) => (11.0, 0.9),
        (false, true, true) => (10.0, 0.8),
        (false, false, true) => (10.0, 0.9),
        (false, _, false) => (14.0, 1.2),
    };
    NormalsError {
        swim_days_sd,
        water_k_sd,
    }
}
