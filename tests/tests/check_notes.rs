//! The committed notes of `swimdays check` are those that the committed generator makes, fault by fault; and random faults in the pool
//! of `scenarios/check-pool.toml` are named by the verdict.

use std::fs;

use rayon::prelude::*;
use swimdays_check::log::{LogOptions, parse_log};
use swimdays_check::{Cause, verdict};
use swimdays_quantity::Units;
use swimdays_season::SummerTime;
use swimdays_tests::notes::{CASES, files, notes_of, plan, weather};
use swimdays_tests::root;
use swimdays_tests::twins::{Dice, Hidden};

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

/// Ten further builders of the same pool, each with a fault drawn by its seed, and how bad it is as well.
#[test]
fn eight_of_ten_random_faults_are_among_the_first_two() {
    const SEEDS: std::ops::Range<u64> = 1001..1011;
    const WANTED: usize = 8;
    let (plan, year) = (plan(), weather());
    let found: Vec<(u64, Hidden, Vec<Cause>)> = SEEDS
        .into_par_iter()
        .map(|seed| {
            let hidden = random_fault(&mut Dice::new(seed));
            let two = matches!(hidden, Hidden::OutletOff(_));
            let log = notes_of(&plan, &year, hidden, !two, seed);
            let verdict =
                verdict(&plan, &[&year], &log, Units::Us).unwrap_or_else(|e| panic!("{e}"));
            (
                seed,
                hidden,
                verdict.ranked.iter().map(|c| c.cause).collect(),
            )
        })
        .collect();
    let right = found
        .iter()
        .filter(|(_, hidden, causes)| causes[..2].contains(&cause(*hidden)))
        .count();
    assert!(right >= WANTED, "{right} of {}: {found:?}", found.len());
}

fn random_fault(dice: &mut Dice) -> Hidden {
    let faults = [
        Hidden::Healthy,
        Hidden::LowFlow(dice.between(0.2, 0.5)),
        Hidden::Air(dice.between(0.3, 0.6)),
        Hidden::ShadedAfternoon(dice.between(0.6, 1.0)),
        Hidden::Shaded(dice.between(0.4, 0.7)),
        Hidden::CoverOffAtNight,
        Hidden::MoreWind(dice.between(1.8, 2.5)),
        Hidden::Leak(dice.between(0.006, 0.02)),
        Hidden::OutletOff(dice.between(1.5, 3.0)),
    ];
    *dice.pick(&faults)
}

const fn cause(hidden: Hidden) -> Cause {
    match hidden {
        Hidden::Healthy => Cause::AsBuilt,
        Hidden::LowFlow(_) => Cause::FlowTooLow,
        Hidden::Air(_) => Cause::AirInCoil,
        Hidden::ShadedAfternoon(_) | Hidden::Shaded(_) => Cause::Shaded,
        Hidden::CoverOffAtNight => Cause::CoverOff,
        Hidden::MoreWind(_) => Cause::MoreWind,
        Hidden::Leak(_) => Cause::WaterLost,
        Hidden::OutletOff(_) | Hidden::WaterOff(_) => Cause::ThermometerOff,
    }
}
