//! Helpers shared by the checks in `tests/tests`: where things are, and how errors are summed up.

pub mod notes;
pub mod twins;
pub mod validation;

use std::path::PathBuf;

use swimdays_weather::{Column, WeatherYear};

/// The checkout's root.
#[must_use]
pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// A folder of outside material named by an environment variable that `.ci/run` sets.
///
/// Without the variable the check prints that it did not run and gets `None`.
///
/// # Panics
/// With `CI=true` when the variable is not set or its folder is missing: a check must not vanish quietly.
#[must_use]
pub fn outside_folder(variable: &str) -> Option<PathBuf> {
    let in_ci = std::env::var("CI").is_ok_and(|v| v == "true");
    let folder = std::env::var_os(variable).map(PathBuf::from);
    match folder {
        Some(folder) if folder.is_dir() => Some(folder),
        Some(_) => {
            assert!(!in_ci, "{variable} names a folder that is not there");
            println!("did not run: {variable} names a folder that is not there");
            None
        }
        None => {
            assert!(!in_ci, "{variable} is not set");
            println!("did not run: {variable} is not set (see .ci/run)");
            None
        }
    }
}

/// A column of a weather year by the name that the reference scripts give it; `None` where the year has it not.
///
/// # Panics
/// For a name that no script gives.
#[must_use]
pub fn weather_column<'a>(year: &'a WeatherYear, name: &str) -> Option<&'a [f64]> {
    let column = match name {
        "air" => Column::Air,
        "dew_point" => Column::DewPoint,
        "pressure" => Column::Pressure,
        "wind" => Column::Wind,
        "ghi" => Column::Ghi,
        "dni" => Column::Dni,
        "dhi" => Column::Dhi,
        "infrared" => Column::Infrared,
        "sky_cover" => Column::SkyCover,
        "albedo" => Column::Albedo,
        "rain" => Column::Rain,
        other => panic!("column {other} of the reference is unknown here"),
    };
    year.columns.get(column)
}

/// Absolute errors summed up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Errors {
    /// How many.
    pub points: usize,
    /// Mean.
    pub mean: f64,
    /// Middle one.
    pub median: f64,
    /// 99 % are smaller.
    pub percentile_99: f64,
    /// Largest.
    pub max: f64,
}

impl Errors {
    /// Sums up the absolute values of `differences`.
    ///
    /// # Panics
    /// When there are none, or one is not a number.
    #[must_use]
    pub fn of(differences: &[f64]) -> Self {
        assert!(!differences.is_empty(), "no differences to sum up");
        let mut sorted: Vec<f64> = differences.iter().map(|d| d.abs()).collect();
        assert!(
            sorted.iter().all(|d| !d.is_nan()),
            "a difference is not a number"
        );
        sorted.sort_by(f64::total_cmp);
        let n = sorted.len();
        #[allow(clippy::cast_precision_loss, reason = "a count of points")]
        let mean = sorted.iter().sum::<f64>() / n as f64;
        Self {
            points: n,
            mean,
            median: sorted[n / 2],
            percentile_99: sorted[(n * 99 / 100).min(n - 1)],
            max: sorted[n - 1],
        }
    }
}

impl std::fmt::Display for Errors {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{} points: mean {:.3e}, median {:.3e}, 99 % {:.3e}, max {:.3e}",
            self.points, self.mean, self.median, self.percentile_99, self.max
        )
    }
}
