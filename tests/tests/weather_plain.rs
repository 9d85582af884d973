//! Plain CSV as other programs write it: clock times with their offsets through daylight saving, units, gzip.
//!
//! The files are written by `.ci/reference/plain_csv.py`: times by Python's `zoneinfo`, units by `scipy.constants`, tables by pandas,
//! packed by Python's gzip.

use swimdays_tests::{Errors, outside_folder, validation};
use swimdays_weather::{Format, read};

/// A value goes through two conversions and a decimal text of 17 digits, share of the value (of 1 °C, 1 m/s … below 1).
const ROUNDING: f64 = 1e-13;

/// Columns of the tables: air, dew point, pressure, wind, three of the sun, rain.
const COLUMNS: usize = 8;

/// mmHg: NIST SP 811 gives the conventional 133.3224 Pa, `scipy.constants` the torr, 101 325/760 Pa; share of the value.
const CONVENTIONAL_MMHG: f64 = 133.322_4 * 760.0 / 101_325.0 - 1.0 + ROUNDING;

const PLACES: [&str; 5] = ["berlin", "st_johns", "lord_howe", "auckland", "santiago"];

#[test]
fn times_units_and_packing_of_other_programs_are_understood() {
    let Some(folder) = outside_folder("SWIMDAYS_REFERENCE_DIR") else {
        return;
    };
    let mut errors: [Vec<f64>; 8] = Default::default();
    let mut intervals = 0;
    for place in PLACES {
        let year = read(&folder.join(format!("plain_{place}.csv.gz"))).expect("readable");
        let expected = std::fs::read_to_string(folder.join(format!("plain_{place}_expected.csv")))
            .expect("written by .ci/reference/plain_csv.py");
        let mut lines = expected.lines();
        let first: Vec<f64> = lines
            .next()
            .expect("a first line")
            .split(',')
            .map(|cell| cell.parse().expect("a number"))
            .collect();
        assert_eq!(year.format, Format::Plain);
        assert!(
            (year.place.utc_offset_h - first[0]).abs() < f64::EPSILON,
            "{place}"
        );
        assert_eq!(
            year.first_start.to_string(),
            "2026-01-01 00:00:00",
            "{place}"
        );
        assert!((f64::from(year.interval_minutes) - first[1]).abs() < f64::EPSILON);
        assert!(year.is_whole_year(), "{place}");
        let columns: Vec<&[f64]> = year.columns.each().map(|(_, values)| values).collect();
        assert_eq!(columns.len(), COLUMNS, "{place}");
        for (i, line) in lines.skip(1).enumerate() {
            for ((cell, column), errors) in line.split(',').zip(&columns).zip(&mut errors) {
                let value: f64 = cell.parse().expect("a number");
                errors.push((column[i] - value).abs() / value.abs().max(1.0));
            }
            intervals += 1;
        }
    }
    assert_eq!(intervals, 3 * 8760 + 2 * 8760 + 4 * 8760);
    let names = [
        "°F",
        "K",
        "mmHg",
        "kn and mph",
        "kJ/m²",
        "Wh/m²",
        "J/cm²",
        "inch",
    ];
    for (name, errors) in names.iter().zip(&errors) {
        let most = if *name == "mmHg" {
            CONVENTIONAL_MMHG
        } else {
            ROUNDING
        };
        let greatest = errors.iter().copied().fold(0.0, f64::max);
        assert!(greatest <= most, "{name}: {greatest}");
        let summed = Errors::of(errors);
        println!(
            "{}",
            validation::row(name, "scipy.constants", &summed, "share")
        );
    }
    validation::table(
        "weather-plain",
        &[
            "| what | against | intervals | within | unit |".to_owned(),
            "|---|---|---|---|---|".to_owned(),
            format!(
                "| clock times of five zones through daylight saving, north and south, 60, 30 and 15 min | zoneinfo, pandas, gzip of Python | {intervals} | exact | |"
            ),
            format!(
                "| units: °F, K, kn, mph, kJ/m², Wh/m², J/cm², inch | scipy.constants | {intervals} | 1e-13 | share of the value |"
            ),
            format!(
                "| mmHg, conventional, against the torr | scipy.constants | {intervals} | 2.4e-7 | share of the value |"
            ),
        ],
    );
}
