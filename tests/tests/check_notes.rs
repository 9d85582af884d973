//! The committed notes of `swimdays check` are those that the committed generator makes, fault by fault; and random faults in the pool
//! of `scenarios/check-pool.toml` are named by the verdict.

use std::fs;

use chrono::TimeDelta;
use rayon::prelude::*;
use swimdays_check::dates::{Basis, Dated, weather_for};
use swimdays_check::log::{LogFile, LogOptions, parse_log, read_log};
use swimdays_check::remarks::{DayRemark, SkyWord};
use swimdays_check::{Cause, CauseWeight, Verdict, verdict, verdict_over};
use swimdays_quantity::Units;
use swimdays_season::SummerTime;
use swimdays_tests::notes::{CASES, files, notes_of, plan, weather, weather_by};
use swimdays_tests::root;
use swimdays_tests::twins::{Dice, Hidden};
use swimdays_tests::validation;
use swimdays_weather::{WeatherYear, read};

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

/// What the builder of the sample notes has of the weather.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Known {
    /// An hourly series of those days.
    Hourly,
    /// Each day's sky in a word, and the air's highest and lowest, over the scenario's typical year.
    InWords,
    /// Nothing but the scenario's typical year.
    Nothing,
}

fn dated(file: &mut LogFile, known: Known) -> Dated {
    let path = if known == Known::Hourly {
        root().join("scenarios/check-weather.csv")
    } else {
        root().join("weather-samples/temperate.epw")
    };
    if known == Known::InWords {
        file.days = in_words(&weather());
    }
    let years = [read(&path).unwrap_or_else(|e| panic!("{e}"))];
    let dated = weather_for(&years, file, known == Known::Hourly);
    let dated = dated.unwrap_or_else(|e| panic!("{e}"));
    let basis = match known {
        Known::Hourly => Basis::Real,
        Known::InWords => Basis::Remarks,
        Known::Nothing => Basis::Typical,
    };
    assert_eq!(dated.basis, basis);
    dated
}

/// The days of the notes as somebody would call them who looks at the sky: clouds from the day's share of the clearest day's sun by Kasten &
/// Czeplak's `1 − 0.75 n^3.4`, parted at an eighth, three, five and seven eighths as the words are explained.
fn in_words(year: &WeatherYear) -> Vec<DayRemark> {
    const FIRST: usize = 140;
    const LAST: usize = 170;
    let day = |values: &[f64], n: usize| values[24 * n..24 * (n + 1)].to_vec();
    let sun = |n: usize| day(&year.columns.ghi_w_m2, n).iter().sum::<f64>();
    let clearest = (FIRST..LAST).map(sun).fold(0.0, f64::max);
    (FIRST..LAST)
        .map(|n| {
            let cloud_frac = ((1.0 - sun(n) / clearest) / 0.75).min(1.0).powf(1.0 / 3.4);
            let sky = match 8.0 * cloud_frac {
                eighths if eighths <= 1.0 => SkyWord::Clear,
                eighths if eighths <= 3.0 => SkyWord::MostlyClear,
                eighths if eighths <= 5.0 => SkyWord::Partly,
                eighths if eighths <= 7.0 => SkyWord::MostlyCloudy,
                _ => SkyWord::Overcast,
            };
            let air = day(&year.columns.air_c, n);
            let since = TimeDelta::days(i64::try_from(n).expect("a day of the year"));
            DayRemark {
                line: n,
                date: year.first_start.date() + since,
                sky: Some(sky),
                max_c: air.iter().copied().reduce(f64::max),
                min_c: air.iter().copied().reduce(f64::min),
            }
        })
        .collect()
}

/// What the program says of the six committed notes: with their weather the right cause is first in all; without it, and with words about the sky,
/// the healthy one is called as built, and of no faulty one another single fault is said to be most likely.
#[test]
fn each_of_the_six_notes_leads_to_its_verdict() {
    /// Belief from which the answer says *most likely*.
    const LIKELY: f64 = 0.6;
    let plan = plan();
    let options = LogOptions {
        units: Units::Us,
        summer_time: SummerTime::Us,
        utc_offset_h: -5.0,
        year: None,
    };
    let told = |name: &str, known: Known| -> Verdict {
        let path = root().join("scenarios").join(name);
        let mut file = read_log(&path, &options).unwrap_or_else(|e| panic!("{e}"));
        let dated = dated(&mut file, known);
        verdict_over(&plan, &dated, &file.log, Units::Us).unwrap_or_else(|e| panic!("{e}"))
    };
    let mut lines = vec![
        "| notes | what is hidden | with the weather of those days | what speaks for it | with words about the sky | with a typical year |".to_owned(),
        "|---|---|---|---|---|---|".to_owned(),
    ];
    let found: Vec<(&str, Hidden, [Verdict; 3])> = CASES
        .into_par_iter()
        .map(|(name, hidden, ..)| {
            let all = [Known::Hourly, Known::InWords, Known::Nothing];
            (name, hidden, all.map(|known| told(name, known)))
        })
        .collect();
    let two = |v: &Verdict| {
        let one = |c: &CauseWeight| format!("{} {:.0}", words(c.cause), 10.0 * c.weight);
        format!("{}; {}", one(&v.ranked[0]), one(&v.ranked[1]))
    };
    for (name, hidden, [hourly, in_words, typical]) in &found {
        lines.push(format!(
            "| {name} | {} | {} | {} | {} | {} |",
            words(hidden.cause()),
            two(hourly),
            hourly.ranked[0].evidence.first().map_or("", String::as_str),
            two(in_words),
            two(typical)
        ));
    }
    for line in &lines {
        println!("{line}");
    }
    validation::table("check-notes", &lines);
    for (name, hidden, [hourly, guessed @ ..]) in &found {
        let truth = hidden.cause();
        assert_eq!(hourly.ranked[0].cause, truth, "{name}: {}", two(hourly));
        for verdict in guessed {
            let first = &verdict.ranked[0];
            let right = first.cause == truth || first.cause == Cause::AsBuilt;
            assert!(right || first.weight < LIKELY, "{name}: {}", two(verdict));
            if truth == Cause::AsBuilt {
                assert_eq!(first.cause, truth, "{name}: {}", two(verdict));
            }
        }
    }
}

/// Builders of the same pool, each in a year of weather of its own, who have nothing but the scenario's typical year: a healthy pool is seldom called faulty, and
/// a faulty one seldom by another fault.
#[test]
fn without_weather_little_is_said_wrongly() {
    /// Belief from which the answer says *most likely*.
    const LIKELY: f64 = 0.6;
    const BUILDERS: u64 = 24;
    /// If one in ten were, more than five of 24 would be with a chance of 3 % (binomial: Σ C(24,k) 0.1ᵏ 0.9²⁴⁻ᵏ over k > 5 = 0.028).
    const SAID_WRONGLY: usize = 5;
    let plan = plan();
    let told = |seed: u64, hidden: Hidden| -> (Cause, f64) {
        let two = matches!(hidden, Hidden::OutletOff(_));
        let log = notes_of(&plan, &weather_by(seed), hidden, !two, seed);
        let mut file = LogFile {
            rows: log.readings.len(),
            log,
            thermometers_told: true,
            days: Vec::new(),
            faults: Vec::new(),
            notes: Vec::new(),
            dated: true,
            units: None,
        };
        let dated = dated(&mut file, Known::Nothing);
        let verdict = verdict_over(&plan, &dated, &file.log, Units::Us);
        let verdict = verdict.unwrap_or_else(|e| panic!("seed {seed}: {e}"));
        (verdict.ranked[0].cause, verdict.ranked[0].weight)
    };
    let mut lines = vec![
        "| pools without their weather | logs | right first | as built first | another fault most likely |".to_owned(),
        "|---|---|---|---|---|".to_owned(),
    ];
    let mut wrongly = Vec::new();
    for (name, healthy) in [("healthy", true), ("with a random fault", false)] {
        let found: Vec<(Hidden, Cause, f64)> = (2001..2001 + BUILDERS)
            .into_par_iter()
            .map(|seed| {
                let mut dice = Dice::new(seed);
                let hidden = if healthy {
                    Hidden::Healthy
                } else {
                    random_fault(&mut dice)
                };
                let (first, weight) = told(seed, hidden);
                (hidden, first, weight)
            })
            .collect();
        let count =
            |pick: &dyn Fn(&(Hidden, Cause, f64)) -> bool| found.iter().filter(|f| pick(f)).count();
        let wrong =
            |f: &(Hidden, Cause, f64)| f.1 != f.0.cause() && f.1 != Cause::AsBuilt && f.2 >= LIKELY;
        for (hidden, first, weight) in found.iter().filter(|f| wrong(f)) {
            println!("{hidden:?}: {first:?} {weight:.2}");
        }
        lines.push(format!(
            "| {name} | {BUILDERS} | {} | {} | {} |",
            count(&|f| f.1 == f.0.cause()),
            count(&|f| f.1 == Cause::AsBuilt),
            count(&wrong)
        ));
        wrongly.push(count(&wrong));
    }
    for line in &lines {
        println!("{line}");
    }
    validation::table("check-typical", &lines);
    assert!(wrongly.iter().all(|n| *n <= SAID_WRONGLY), "{wrongly:?}");
}

fn words(cause: Cause) -> &'static str {
    match cause {
        Cause::AsBuilt => "as built",
        Cause::FlowTooLow => "flow too low",
        Cause::AirInCoil => "air in the coil",
        Cause::Shaded => "shaded",
        Cause::CoverOff => "cover off or leaking",
        Cause::MoreWind => "more wind",
        Cause::WaterLost => "water lost",
        Cause::ThermometerOff => "thermometer off",
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
    let mut lines = vec![
        "| seed | what is hidden | first | second |".to_owned(),
        "|---|---|---|---|".to_owned(),
    ];
    for (seed, hidden, causes) in &found {
        lines.push(format!(
            "| {seed} | {} | {} | {} |",
            words(hidden.cause()),
            words(causes[0]),
            words(causes[1])
        ));
    }
    for line in &lines {
        println!("{line}");
    }
    validation::table("check-random", &lines);
    let right = found
        .iter()
        .filter(|(_, hidden, causes)| causes[..2].contains(&hidden.cause()))
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
