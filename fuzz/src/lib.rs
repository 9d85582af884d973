//! What every fuzz target does with its bytes, and what must hold whatever they are.
//!
//! The first byte decides: odd, and a format's own head is put before the rest, so that the right reader is reached; even, and
//! the rest is the whole file.

pub mod heads;

use swimdays_weather::{ReadOptions, WeatherYear, normals as made, parse_with};

/// Reads the bytes as a weather file.
pub fn year(head: impl AsRef<[u8]>, data: &[u8]) {
    let Some((&first, rest)) = data.split_first() else {
        return;
    };
    let bytes = if first % 2 == 1 { [head.as_ref(), rest].concat() } else { rest.to_vec() };
    let options = match first / 2 % 4 {
        0 => ReadOptions { fill_hours: Some(f64::from(first)), ..ReadOptions::default() },
        1 => ReadOptions { utc_offset_h: Some(f64::from(first / 16)), ..ReadOptions::default() },
        _ => ReadOptions::default(),
    };
    match parse_with(&bytes, "fuzz", &options) {
        Ok(year) => assert_sound(&year),
        Err(error) => assert!(!error.to_string().is_empty()),
    }
}

/// Reads the bytes as a table of monthly normals, and makes a year of one that is let through.
pub fn normals(data: &[u8]) {
    match made::parse_table(data, "fuzz") {
        Ok(table) => {
            if let Ok(year) = made::generate(&table, 1) {
                assert_sound(&year);
            }
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
}

/// All that holds for every year that is let through.
fn assert_sound(year: &WeatherYear) {
    let c = &year.columns;
    let n = year.len();
    assert!(n > 0 && year.interval_minutes > 0 && 60 % year.interval_minutes == 0);
    for (column, values) in c.each() {
        assert_eq!(values.len(), n, "{column}");
        assert!(values.iter().all(|value| value.is_finite()), "{column}");
    }
    for column in [&c.ghi_w_m2, &c.dni_w_m2, &c.dhi_w_m2] {
        assert!(column.iter().all(|&value| value >= 0.0));
    }
    assert!(year.radiation_shift_minutes.is_finite());
    assert!(year.start_of(n) > year.first_start);
}
