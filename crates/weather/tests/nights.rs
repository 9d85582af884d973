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

/// Where neither dew point nor humidity is known: FAO-56 (from memory) takes the day's coolest air, and up to 2.5 K less where
/// days span far. How far off that is of the samples' own moisture is printed and not judged: the samples are invented.
#[test]
fn an_estimated_dew_point_is_lower_where_days_span_far() {
    const FAO_56_MOST_K: f64 = 2.5;
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let samples: [(&str, &[u8]); 3] = [
        (
            "temperate",
            include_bytes!("../../../weather-samples/temperate.epw"),
        ),
        (
            "cool-south",
            include_bytes!("../../../weather-samples/cool-south.epw"),
        ),
        (
            "hot-dry",
            include_bytes!("../../../weather-samples/hot-dry.epw"),
        ),
    ];
    let mut lower = Vec::new();
    for (name, bytes) in samples {
        let year = parse(bytes, name).unwrap();
        let blank: Vec<String> = std::str::from_utf8(bytes)
            .unwrap()
            .lines()
            .enumerate()
            .map(|(line, text)| {
                let mut cells: Vec<&str> = text.split(',').collect();
                if line >= 8 {
                    (cells[7], cells[8]) = ("", "");
                }
                cells.join(",")
            })
            .collect();
        let estimated = parse(blank.join("\n").as_bytes(), name).unwrap();
        let known = mean(&year.columns.dew_point_c);
        let coolest: Vec<f64> = year
            .columns
            .air_c
            .chunks(24)
            .map(|day| day.iter().copied().fold(f64::INFINITY, f64::min))
            .collect();
        let (dew_point, bare) = (mean(&estimated.columns.dew_point_c), mean(&coolest));
        println!(
            "{name}: {:+.1} K, the coolest air alone {:+.1} K",
            dew_point - known,
            bare - known
        );
        assert!(
            (0.0..=FAO_56_MOST_K).contains(&(bare - dew_point)),
            "{name}"
        );
        lower.push(bare - dew_point);
        let says = |kind: NoteKind, words: &str| {
            let mut notes = estimated.notes.iter();
            notes.any(|note| note.kind == kind && note.text.contains(words))
        };
        assert!(says(NoteKind::Derived, "up to 2.5 K lower"));
        assert!(says(NoteKind::Doubtful, "in deserts it can be 10 K lower"));
    }
    // The desert's days span furthest.
    assert!(lower[2] > lower[0] && lower[2] > lower[1], "{lower:?}");
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
