//! The committed notes of `swimdays check` are those that the committed generator makes, fault by fault.

use std::fs;

use swimdays_check::log::{LogOptions, parse_log};
use swimdays_quantity::Units;
use swimdays_season::SummerTime;
use swimdays_tests::notes::{CASES, files};
use swimdays_tests::root;

/// One digit more or less in the last place, °C or °F: another machine may round a half the other way.
const LAST_DIGIT_K: f64 = 0.11;

#[test]
fn the_committed_notes_are_the_generators() {
    let options = LogOptions {
        units: Units::Us,
        summer_time: SummerTime::Us,
        utc_offset_h: -5.0,
        year: None,
    };
    let made = files();
    assert_eq!(made.len(), CASES.len() + 2);
    for (name, text) in made {
        let path = root().join("scenarios").join(&name);
        let committed = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert_eq!(committed.lines().count(), text.lines().count(), "{name}");
        if CASES.iter().all(|(case, ..)| *case != name) {
            continue;
        }
        let read = |text: &str| {
            parse_log(text.as_bytes(), &name, &options).unwrap_or_else(|e| panic!("{e}"))
        };
        let (ours, new) = (read(&committed), read(&text));
        assert_eq!(ours.faults, [], "{name}");
        assert_eq!(ours.log.readings.len(), new.log.readings.len(), "{name}");
        for (a, b) in ours.log.readings.iter().zip(&new.log.readings) {
            assert_eq!(a.time, b.time, "{name}");
            assert_eq!((a.pump_on, a.cover_on), (b.pump_on, b.cover_on), "{name}");
            for (a, b) in [(a.water_c, b.water_c), (a.outlet_c, b.outlet_c)] {
                assert_eq!(a.is_some(), b.is_some(), "{name}");
                let close = |(a, b): (f64, f64)| (a - b).abs() < LAST_DIGIT_K;
                assert!(
                    a.zip(b).is_none_or(close),
                    "{name}: {a:?} {b:?}; run the example make_check_notes"
                );
            }
        }
    }
}
