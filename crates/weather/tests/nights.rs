//! What the reader knows about nights and days: zeros at night are no filling, and days go from midnight to midnight.
#![allow(clippy::unwrap_used, reason = "tests: a panic is a failed test")]

use swimdays_weather::{Grade, NoteKind, WeatherYear, parse, write};

fn sample() -> WeatherYear {
    parse(
        include_bytes!("../../../weather-samples/temperate.epw"),
        "temperate",
    )
    .unwrap()
}

/// The sample as EPW, with one cell of each data row put through `change`.
fn changed(change: impl Fn(usize, &mut Vec<String>)) -> Vec<String> {
    write::to_epw(&sample())
        .lines()
        .enumerate()
        .map(|(line, text)| {
            let mut cells: Vec<String> = text.split(',').map(str::to_owned).collect();
            if line >= 8 {
                change(line - 8, &mut cells);
            }
            cells.join(",")
        })
        .collect()
}

fn assert_nights_are_no_filling(lines: &[String]) {
    let year = parse(lines.join("\n").as_bytes(), "nights").unwrap();
    let told: Vec<_> = year
        .notes
        .iter()
        .filter(|note| note.text.contains("at night"))
        .collect();
    assert!(!told.is_empty());
    assert!(told.iter().all(|note| note.kind == NoteKind::Derived));
    let verdict = year.verdict();
    assert!(
        verdict.reasons.iter().all(|why| !why.contains("filled in")),
        "{:?}",
        verdict.reasons
    );
    assert_eq!(verdict.grade, sample().verdict().grade);
    assert_eq!(verdict.grade, Grade::Good);
}

#[test]
fn a_sensor_a_little_below_zero_at_night_is_no_filling() {
    assert_nights_are_no_filling(&changed(|_, cells| {
        if cells[13].parse::<f64>() == Ok(0.0) {
            cells[13] = "-1.5".into();
        }
    }));
}

#[test]
fn blank_nights_are_no_filling() {
    let year = sample();
    assert_nights_are_no_filling(&changed(|i, cells| {
        // The hours around midnight are dark here in every month.
        if i % 24 < 2 && year.columns.ghi_w_m2[i] <= 0.0 {
            for at in [13, 14, 15] {
                cells[at].clear();
            }
        }
    }));
}

/// Without its first hours a file starts within a day: from the second midnight on the estimate is that of the whole file.
#[test]
fn days_of_an_estimated_dew_point_go_from_midnight() {
    let lines = changed(|_, cells| {
        cells[7].clear();
        cells[8].clear();
    });
    let whole = parse(lines.join("\n").as_bytes(), "whole").unwrap();
    let cut: Vec<String> = [&lines[..8], &lines[8 + 5..8 + 20 * 24]].concat();
    let cut = parse(cut.join("\n").as_bytes(), "cut").unwrap();
    for i in 48..19 * 24 {
        let (ours, theirs) = (cut.columns.dew_point_c[i - 5], whole.columns.dew_point_c[i]);
        // Shares of a day, rounded.
        assert!(
            (ours - theirs).abs() < 1e-9,
            "hour {i}: {ours} for {theirs}"
        );
    }
}

#[test]
fn a_humidity_in_fractions_is_doubted() {
    let lines = changed(|_, cells| {
        cells[7].clear();
        cells[8] = "0.6".into();
    });
    let year = parse(lines.join("\n").as_bytes(), "fractions").unwrap();
    assert!(
        year.notes
            .iter()
            .any(|note| note.kind == NoteKind::Doubtful
                && note.text.contains("looks like a fraction"))
    );
}
