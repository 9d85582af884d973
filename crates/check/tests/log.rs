//! Logs as people write them, whole and damaged: no row is lost, every fault is named, no bytes make it panic.

use std::path::{Path, PathBuf};

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use swimdays_check::log::{FaultKind, LogFile, LogOptions, parse_log, read_log, template};
use swimdays_quantity::Units;
use swimdays_season::SummerTime;

/// Fewer means that the folder was moved and the test looks at nothing.
const LEAST_CASES: usize = 25;
const GPM: f64 = 3.785_411_784e-3 / 60.0;

const US: LogOptions = LogOptions {
    units: Units::Us,
    summer_time: SummerTime::Us,
    utc_offset_h: -6.0,
    year: None,
};

fn parsed(text: &str) -> LogFile {
    parse_log(text.as_bytes(), "log.csv", &US).unwrap_or_else(|e| panic!("{e}"))
}

/// What is said of a log, and how many readings of it are used.
fn told(bytes: &[u8], name: &str) -> String {
    match parse_log(bytes, name, &US) {
        Err(error) => error.to_string(),
        Ok(file) => {
            let mut lines: Vec<String> = file.faults.iter().map(ToString::to_string).collect();
            lines.extend(file.notes.iter().map(|note| format!("note: {note}")));
            lines.push(format!("readings used: {}", file.log.readings.len()));
            lines.join("\n")
        }
    }
}

/// Adding a case is adding two files to `tests/bad/log`.
#[test]
fn every_damaged_log_says_what_is_wrong_and_keeps_the_rest() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/bad/log");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("folder of damaged logs")
        .map(|entry| entry.expect("entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "csv"))
        .collect();
    paths.sort();
    assert!(paths.len() >= LEAST_CASES, "only {} cases", paths.len());
    let mut wrong = Vec::new();
    for path in paths {
        let name = path
            .file_name()
            .expect("name")
            .to_string_lossy()
            .into_owned();
        let found = told(&std::fs::read(&path).expect("readable"), &name);
        let expected = std::fs::read_to_string(path.with_extension("csv.expect"))
            .unwrap_or_else(|_| "(no .expect file)".into());
        if found != expected.trim_end() {
            wrong.push(format!("== {name}\n{found}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_templates_are_read_without_a_fault() {
    for units in [Units::Us, Units::Metric] {
        let options = LogOptions { units, ..US };
        let file = parse_log(template(units).as_bytes(), "template", &options)
            .unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(file.faults, []);
        assert_eq!(file.notes, Vec::<String>::new());
        assert_eq!(
            (file.rows, file.log.readings.len(), file.days.len()),
            (4, 4, 2)
        );
        assert!(file.log.one_thermometer && file.dated && file.units == Some(units));
        let second = &file.log.readings[1];
        // By hand: 67.6 °F are 19.78 °C; 5 gal in 78 s are 0.2427 L/s, 10 L in 41 s 0.2439.
        assert!((second.water_c.expect("water") - 19.8).abs() < 0.03);
        assert!((second.flow_m3_s.expect("flow") - 0.243e-3).abs() < 1e-6);
        assert_eq!((second.pump_on, second.cover_on), (Some(true), Some(false)));
        // 1:10 pm on a summer clock is 12:10 standard time.
        assert_eq!(second.time.to_string(), "2026-05-03 12:10:00");
    }
}

#[test]
fn a_missing_file_is_named() {
    let error = read_log(Path::new("no-such-folder/log.csv"), &US).expect_err("there is none");
    assert!(
        error
            .to_string()
            .starts_with("no-such-folder/log.csv: cannot be read: ")
    );
}

/// The same four readings in five hands.
#[test]
fn one_log_in_many_hands_reads_the_same() {
    let first = parsed(
        "# thermometer: same\n# year: 2026\ntime,water F,outlet F,flow gpm,pump\n2026-05-03 07:00,66.2,,,off\n2026-05-03 13:10,68,71.6,4,on\n2026-05-03 18:30,69.8,,,\n2026-05-13 07:15,68,,,off\n",
    );
    for (what, text) in [
        (
            "semicolons, decimal commas, Celsius, days first",
            "# thermometer: same\n# year: 2026\nTime;Pool temp (°C);Out [°C];Flow L/min;Pump\n3.5. 7:00;19,0;;;no\n3.5. 13:10;20,0;22,0;15,141647;yes\n18:30;21,0;;;\n13/5 7:15;20,0;;;0\n",
        ),
        (
            "tabs, am and pm, month names, a title",
            "Pool of the house at the ford\n# Thermometer: one\n# year: 2026\nwhen\twater_f\tout_of_the_heater_f\tflow_gpm\theater on\nSun May 3 7 am\t66.2\t\t\tn\n1:10 pm\t68\t71.6\t4 gpm\ty\n6:30pm\t69.8\t\t\t\nMay 13 7:15 a.m.\t68\t\t\toff\n",
        ),
        (
            "out of order, slashes, a bucket",
            "# thermometer: same\n# year: 2026\ntime,water F,outlet F,bucket 5 gal s,pump\n5/13 7:15,68,,,off\n5/3 18:30,69.8,,,\n5/3 07:00,66.2,,,off\n5/3 13:10,68,71.6,1:15,on\n",
        ),
        (
            "date and time apart, offsets",
            "# thermometer: same\ndate,time,water F,outlet F,flow gpm,pump\n2026-05-03,06:00-06:00,66.2,,,off\n2026-05-03,18:10Z,68,71.6,4,on\n2026-05-03,18:30,69.8,,,\n2026-05-13,7:15,68,,,off\n",
        ),
    ] {
        let other = parsed(text);
        assert_eq!(other.faults, [], "{what}");
        assert!(other.log.one_thermometer, "{what}");
        assert_eq!(other.log.readings.len(), 4, "{what}");
        for (a, b) in first.log.readings.iter().zip(&other.log.readings) {
            assert_eq!(a.time, b.time, "{what}");
            assert_eq!((a.pump_on, a.cover_on), (b.pump_on, b.cover_on), "{what}");
            for (a, b, scale) in [
                (a.water_c, b.water_c, 1.0),
                (a.outlet_c, b.outlet_c, 1.0),
                (a.flow_m3_s, b.flow_m3_s, GPM),
            ] {
                assert_eq!(a.is_some(), b.is_some(), "{what}");
                let close = |(a, b): (f64, f64)| (a - b).abs() < 1e-6 * scale;
                assert!(a.zip(b).is_none_or(close), "{what}: {a:?} {b:?}");
            }
        }
    }
    let flow = first.log.readings[1].flow_m3_s.expect("flow");
    assert!((flow - 4.0 * GPM).abs() < 1e-15);
}

#[test]
fn days_without_a_year_run_over_new_year() {
    let file =
        parsed("time,water C\nDec 30 8:00,24\nDec 31 8:00,24\nJan 1 8:00,24\nJan 2 8:00,24\n");
    assert!(!file.dated);
    let days: Vec<String> = file
        .log
        .readings
        .iter()
        .map(|r| r.time.date().to_string())
        .collect();
    assert_eq!(
        days,
        ["2001-12-30", "2001-12-31", "2002-01-01", "2002-01-02"]
    );
}

#[test]
fn old_bytes_and_wide_bytes_are_text_too() {
    let text = "time,water °F\nMay 3 7:00 am,66.4\n";
    let latin: Vec<u8> = text
        .chars()
        .map(|c| u8::try_from(u32::from(c)).expect("Latin 1"))
        .collect();
    let mut wide = vec![0xff, 0xfe];
    wide.extend(
        text.replace('\n', "\r\n")
            .encode_utf16()
            .flat_map(u16::to_le_bytes),
    );
    for bytes in [text.as_bytes().to_vec(), latin, wide] {
        let file = parse_log(&bytes, "x", &US).unwrap_or_else(|e| panic!("{e}"));
        // (66.4 − 32)/1.8
        let water_c = file.log.readings[0].water_c.expect("water");
        assert!((water_c - 19.111_111).abs() < 1e-6);
        assert_eq!(file.log.readings[0].line, 2);
    }
}

fn config(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        rng_seed: RngSeed::Fixed(20_260_503),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(config(400))]

    #[test]
    fn any_bytes_are_a_log_or_an_error(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        let _ = parse_log(&bytes, "x", &US);
        let mut named = b"time,water F,outlet F,bucket 5 gal s,pump,level in,sky,note\n".to_vec();
        named.extend(&bytes);
        let _ = parse_log(&named, "x", &US);
    }

    #[test]
    fn any_cells_are_read_or_named(
        cells in proptest::collection::vec(
            "[ -~°²½éß€\u{2212}]{0,14}|[0-9]{1,3}[.,][0-9]|[0-9]{1,2}/[0-9]{1,2} [0-9]{1,2}:[0-9]{2} ?(am|pm)?|[A-Z][a-z]{2} [0-9]{1,2} [0-9]{1,2} ?pm",
            0..60,
        ),
        separator in "[,;\t]",
    ) {
        let names = ["time", "water F", "inlet C", "bucket 10 L s", "cover", "air max F", "note"].join(&separator);
        let rows: Vec<String> = cells.chunks(7).map(|row| row.join(&separator)).collect();
        let text = format!("{names}\n{}\n", rows.join("\n"));
        if let Ok(file) = parse_log(text.as_bytes(), "x", &US) {
            prop_assert!(file.log.readings.is_sorted_by_key(|r| r.time));
            for r in &file.log.readings {
                prop_assert!([r.water_c, r.inlet_c, r.flow_m3_s].iter().flatten().all(|v| v.is_finite()));
            }
        }
    }

    /// Rows of rubbish between good ones cost no good one, and each is named.
    #[test]
    fn no_good_row_is_lost(
        rubbish in proptest::collection::vec((0_usize..30, "[a-z]{3,8},[a-z]{1,5}"), 0..12),
        tenths in proptest::collection::vec(0_u8..20, 30),
    ) {
        let mut rows: Vec<String> = (0..30)
            .map(|n| format!("2026-05-{:02} {:02}:00,{:.1}", 1 + n / 3, 7 + 5 * (n % 3), 20.0 + 0.1 * f64::from(tenths[n])))
            .collect();
        for (at, row) in &rubbish {
            rows.insert(*at, row.clone());
        }
        let file = parsed(&format!("time,water C\n{}\n", rows.join("\n")));
        prop_assert_eq!(file.log.readings.len(), 30);
        let unreadable = file.faults.iter().filter(|f| f.kind == FaultKind::Unreadable).count();
        prop_assert_eq!(unreadable, rubbish.len());
        for (reading, tenths) in file.log.readings.iter().zip(&tenths) {
            let wanted = 20.0 + 0.1 * f64::from(*tenths);
            prop_assert!((reading.water_c.expect("water") - wanted).abs() < 1e-9);
        }
    }
}
