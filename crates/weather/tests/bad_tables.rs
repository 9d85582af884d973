//! Damaged climate tables: each file in `tests/bad/normals` must fail with the message in the `.expect` beside it.
//!
//! Adding a case is adding the two files. And: whatever the bytes, a table or an error.

mod damaged;

use std::path::Path;

use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed};
use swimdays_weather::normals::{Moisture, Sun, generate, parse_table, read_table};

#[test]
fn every_damaged_table_says_what_is_wrong() {
    damaged::every_file_says_what_is_wrong("normals", parse_table);
}

#[test]
fn a_table_that_is_not_there_is_named() {
    let error = read_table(Path::new("no-such-folder/table.csv")).expect_err("there is none");
    assert!(
        error
            .to_string()
            .starts_with("no-such-folder/table.csv: cannot be read: ")
    );
}

const HEAD: &str = "# place: Elmwater Bend\n# latitude: 41.2 N\n# lon: 87.9° W\n# altitude_ft: 623.36\n# time_zone: UTC-6\n# taken from the almanac: by hand\n";

#[test]
fn months_across_semicolons_decimal_commas_and_fahrenheit_say_the_same() {
    let celsius = [
        (-0.4, -9.8),
        (1.6, -7.1),
        (8.5, -0.6),
        (14.7, 5.2),
        (22.0, 8.9),
        (26.8, 14.7),
        (29.1, 18.6),
        (26.9, 16.7),
        (23.9, 12.6),
        (16.3, 5.4),
        (8.1, 0.8),
        (0.1, -7.9),
    ];
    let down: String = celsius
        .iter()
        .enumerate()
        .rev()
        .map(|(m, (max, min))| format!("{},{max},{min}\n", m + 1))
        .collect();
    let down = format!("{HEAD}month,max_c,min_c\n{down}");
    let fahrenheit: String = celsius
        .iter()
        .enumerate()
        .map(|(m, (max, min))| {
            let f = |c: f64| format!("{:.4}", c * 1.8 + 32.0).replace('.', ",");
            format!("{};{};{};x\n", m + 1, f(*max), f(*min))
        })
        .collect();
    let fahrenheit =
        format!("{HEAD}Month;Average high (°F);Average low °F;#remark\n{fahrenheit}Year;60;42;\n");
    let row = |pick: fn(&(f64, f64)) -> f64| -> String {
        celsius
            .iter()
            .map(|pair| format!("\t{}", pick(pair)).replace('-', "−"))
            .collect()
    };
    let across = format!(
        "{HEAD}\tJan\tFeb\tMar\tApr\tMay\tJun\tJul\tAug\tSept\tOct\tNov\tDec\tYear\nTmax °C{}\t15\nTmin °C{}\t3\n",
        row(|pair| pair.0),
        row(|pair| pair.1)
    );
    let first = parse_table(down.as_bytes(), "down").expect("a table");
    for (m, (max, min)) in celsius.iter().enumerate() {
        assert!((first.daily_max_c[m] - max).abs() < 1e-12);
        assert!((first.daily_min_c[m] - min).abs() < 1e-12);
    }
    assert_eq!(
        (first.place.latitude_deg, first.place.longitude_deg),
        (41.2, -87.9)
    );
    assert!(
        (first.place.altitude_m - 190.0).abs() < 1e-3
            && (first.place.utc_offset_h + 6.0).abs() < 1e-12
    );
    assert_eq!(first.place.name, "Elmwater Bend");
    assert_eq!(
        (&first.sun, &first.moisture),
        (&Sun::Unknown, &Moisture::Unknown)
    );
    for (what, text) in [("fahrenheit", fahrenheit), ("across", across)] {
        let other = parse_table(text.as_bytes(), what).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(other.place, first.place, "{what}");
        for m in 0..12 {
            // Four decimals of °F.
            assert!(
                (other.daily_max_c[m] - first.daily_max_c[m]).abs() < 1e-4,
                "{what}"
            );
            assert!(
                (other.daily_min_c[m] - first.daily_min_c[m]).abs() < 1e-4,
                "{what}"
            );
        }
    }
    assert!(generate(&first, 1).is_ok());
}

proptest! {
    #![proptest_config(Config { cases: 120, failure_persistence: None, rng_seed: RngSeed::Fixed(20_260_703), ..Config::default() })]

    #[test]
    fn any_bytes_are_a_table_or_an_error(bytes in proptest::collection::vec(any::<u8>(), 0..2000)) {
        let _ = parse_table(&bytes, "x");
    }

    #[test]
    fn any_cells_are_a_year_or_an_error(
        cells in proptest::collection::vec("(-?[0-9]{1,3}(\\.[0-9])?|[a-z,;\u{b0}\"#]{0,3})", 24),
        latitude in -99.0..99.0_f64,
        unit in "(max_c|max_f|max|high)",
    ) {
        let rows: String = (0..12).map(|m| format!("{},{},{}\n", m + 1, cells[2 * m], cells[2 * m + 1])).collect();
        let text = format!("# latitude_deg: {latitude}\n# longitude_deg: 0\n# altitude_m: 0\n# utc_offset_h: 0\nmonth,{unit},min_c\n{rows}");
        if let Ok(normals) = parse_table(text.as_bytes(), "x") {
            let year = generate(&normals, 1).expect("what was checked can be made");
            prop_assert!(year.columns.air_c.iter().all(|v| v.is_finite()));
        }
    }

    /// Whatever passes the check can be made into a year that keeps the means.
    #[test]
    fn any_climate_becomes_a_year_that_keeps_it(
        middle in -20.0..28.0_f64,
        swing in -20.0..20.0_f64,
        span in 1.0..25.0_f64,
        latitude in -66.0..66.0_f64,
        altitude in 0.0..4000.0_f64,
        seed in any::<u64>(),
    ) {
        // Away from the equator the warm months are those of its summer; others are refused.
        let swing = if latitude.abs() < 25.0 { swing } else { -swing.abs() * latitude.signum() };
        let rows: String = (0..12).map(|m| {
            let at = middle + swing * (f64::from(m) / 12.0 * std::f64::consts::TAU).cos();
            format!("{},{},{}\n", m + 1, at + 0.5 * span, at - 0.5 * span)
        }).collect();
        let text = format!("# latitude_deg: {latitude}\n# longitude_deg: 10\n# altitude_m: {altitude}\n# utc_offset_h: 1\nmonth,max_c,min_c\n{rows}");
        let normals = parse_table(text.as_bytes(), "x").expect("a possible climate");
        let year = generate(&normals, seed).expect("a year");
        let again = swimdays_weather::normals::from_year(&year, normals.known()).expect("whole");
        for m in 0..12 {
            prop_assert!((again.daily_max_c[m] - normals.daily_max_c[m]).abs() < 1e-9);
            prop_assert!((again.daily_min_c[m] - normals.daily_min_c[m]).abs() < 1e-9);
        }
    }
}
