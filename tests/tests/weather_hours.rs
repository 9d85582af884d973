//! Every hour of every real weather file against pvlib.iotools, whose readers share no code with ours, and what the formats'
//! own words say of the time against the sun.
//!
//! `.ci/reference/weather_means.py` writes the columns, and completes tables that came without their place (see there).

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use chrono::{NaiveDate, TimeDelta};
use swimdays_properties::moist_air::saturation_pressure_pa;
use swimdays_solar::sun_position;
use swimdays_tests::{Errors, outside_folder, validation, weather_column};
use swimdays_weather::{Format, NoteKind, ReadOptions, YearKind, read, read_with, sun_check};

/// Both readers hold the same decimal numbers; a scale (tenths, mbar) is applied by a product there and in the decimal point here:
/// one rounding of 1.1e-16 of the value, and one of the factor 0.1.
const ONE_ROUNDING_FRAC: f64 = 4e-16;
/// The NSRDB's wind is at 2 m and the year's at 10 m: one product more of a logarithm's rounding.
const BROUGHT_TO_10_M_FRAC: f64 = 1e-12;
/// Our dew point is solved from the humidity to 1e-10 K, a few 1e-11 of the vapour pressure.
const HUMIDITY_THERE_AND_BACK_PERCENT: f64 = 1e-6;
/// The real sky is not quite even about noon on its 20 clearest days; the measured medians of all files lie within this, minutes.
const SUN_AGAINST_WORDS_MINUTES: f64 = 2.0;
/// The zenith angle in the file has two decimals, and its ephemeris and refraction are not ours, degrees.
const ZENITH_DEG: f64 = 0.1;
/// Files in the reference: real ones, and nine completed ones.
const LEAST_FILES: usize = 26;

const COLUMNS: [&str; 11] = [
    "air",
    "dew_point",
    "humidity",
    "pressure",
    "wind",
    "ghi",
    "dni",
    "dhi",
    "infrared",
    "sky_cover",
    "albedo",
];

/// By file: by column of [`COLUMNS`], NaN where the file has no value.
fn reference(folder: &Path) -> BTreeMap<String, Vec<Vec<f64>>> {
    let path = folder.join("weather_hours.csv");
    let mut table = csv::Reader::from_path(&path)
        .unwrap_or_else(|e| panic!("{} (written by .ci/run): {e}", path.display()));
    let names: Vec<String> = table
        .headers()
        .expect("names")
        .iter()
        .map(Into::into)
        .collect();
    assert_eq!(names[1..], COLUMNS);
    let mut files: BTreeMap<String, Vec<Vec<f64>>> = BTreeMap::new();
    let mut record = csv::StringRecord::new();
    while table.read_record(&mut record).expect("a row") {
        if !files.contains_key(&record[0]) {
            files.insert(record[0].into(), vec![Vec::new(); COLUMNS.len()]);
        }
        let columns = files.get_mut(&record[0]).expect("just inserted");
        for (column, cell) in columns.iter_mut().zip(record.iter().skip(1)) {
            column.push(if cell.is_empty() {
                f64::NAN
            } else {
                cell.parse().expect("a number")
            });
        }
    }
    files
}

/// Real files lie in the packages, completed ones beside the reference.
fn path_of(name: &str, weather: &Path, references: &Path) -> PathBuf {
    if name.starts_with("completed/") {
        references
    } else {
        weather
    }
    .join(name)
}

#[test]
fn every_hour_is_that_of_an_independent_reader() {
    let Some(weather) = outside_folder("SWIMDAYS_WEATHER_DIR") else {
        return;
    };
    let Some(references) = outside_folder("SWIMDAYS_REFERENCE_DIR") else {
        return;
    };
    let files = reference(&references);
    assert!(files.len() >= LEAST_FILES, "{} files", files.len());
    let mut by_format: BTreeMap<&str, (usize, Vec<f64>, Vec<f64>)> = BTreeMap::new();
    for (name, columns) in &files {
        let year = read(&path_of(name, &weather, &references)).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(year.len(), columns[0].len(), "{name}");
        let (count, same, humidity) = by_format.entry(year.format.name()).or_default();
        *count += 1;
        let given = |column: usize| columns[column].iter().any(|value| value.is_finite());
        for (at, what) in COLUMNS.iter().enumerate() {
            if !given(at) {
                continue;
            }
            if *what == "humidity" {
                // Read only where there is no dew point; then the dew point must give it back.
                if given(1) {
                    continue;
                }
                let c = &year.columns;
                for ((dew, air), theirs) in c.dew_point_c.iter().zip(&c.air_c).zip(&columns[at]) {
                    let percent =
                        100.0 * saturation_pressure_pa(*dew) / saturation_pressure_pa(*air);
                    humidity.push(percent - theirs);
                }
                continue;
            }
            let Some(ours) = weather_column(&year, what) else {
                let nothing = columns[at]
                    .iter()
                    .all(|v| v.is_nan() || v.abs() < f64::EPSILON);
                let gaps = columns[at].iter().any(|v| v.is_nan());
                assert!(nothing || gaps, "{name}: {what} is not there");
                continue;
            };
            // FAO 56, equation 47 (from memory), over short grass.
            let log = |height_m: f64| (67.8 * height_m - 5.42).ln();
            let wind_at_2_m = *what == "wind" && year.format == Format::Nsrdb;
            let (factor, most) = if wind_at_2_m {
                (log(10.0) / log(2.0), BROUGHT_TO_10_M_FRAC)
            } else {
                (1.0, ONE_ROUNDING_FRAC)
            };
            for (i, (ours, theirs)) in ours.iter().zip(&columns[at]).enumerate() {
                if theirs.is_nan() {
                    continue;
                }
                let theirs = factor * theirs;
                let difference = (ours - theirs).abs() / theirs.abs().max(f64::MIN_POSITIVE);
                assert!(
                    difference <= most,
                    "{name}: {what} of interval {i}: {ours} against {theirs}"
                );
                // The table is about the file's own numbers.
                if !wind_at_2_m {
                    same.push(difference);
                }
            }
        }
    }
    let mut table = vec![
        "| format | files | values, hour by hour | equal bit for bit | within | unit |".to_owned(),
        "|---|---|---|---|---|---|".to_owned(),
    ];
    for (format, (count, same, humidity)) in &by_format {
        let equal = same.iter().filter(|d| **d < f64::MIN_POSITIVE).count();
        table.push(format!(
            "| {format} | {count} | {} | {equal} | {ONE_ROUNDING_FRAC:.0e} | share of the value |",
            same.len()
        ));
        if !humidity.is_empty() {
            let errors = Errors::of(humidity);
            println!("{format}: humidity from our dew point: {errors}");
            assert!(
                errors.max < HUMIDITY_THERE_AND_BACK_PERCENT,
                "{format}: {errors}"
            );
            table.push(format!(
                "| {format}: relative humidity given back by our dew point | | {} | | {HUMIDITY_THERE_AND_BACK_PERCENT:.0e} | % |",
                errors.points
            ));
        }
    }
    validation::table("weather-hours", &table);
}

/// Format, place, length and what the format's words make of the time, for each new format: file, format, kind, intervals,
/// their minutes, latitude, longitude, offset, altitude (all as the file's own first lines state them; the offset of PVGIS is that
/// of its longitude), and the shift that its words come to, minutes.
type Known = (&'static str, Format, YearKind, (usize, u32), [f64; 4], f64);
#[rustfmt::skip]
const KNOWN: [Known; 14] = [
    ("pvlib-0.16.1/pvlib/data/12839.tm2", Format::Tmy2, YearKind::Typical, (8760, 60), [25.8, -(80.0 + 16.0 / 60.0), -5.0, 2.0], 0.0),
    ("pvlib-0.11.2/pvlib/data/12839.tm2", Format::Tmy2, YearKind::Typical, (8760, 60), [25.8, -(80.0 + 16.0 / 60.0), -5.0, 2.0], 0.0),
    ("pvlib-0.11.2/pvlib/data/test_read_psm3.csv", Format::Nsrdb, YearKind::Measured, (17520, 30), [40.53, -108.54, -7.0, 2168.0], -15.0),
    ("pvdeg-0.7.4/pvdeg/data/psm3.csv", Format::Nsrdb, YearKind::Measured, (8760, 60), [39.73, -105.18, -7.0, 1820.0], 0.0),
    ("pvdeg-0.7.4/pvdeg/data/psm3_demo.csv", Format::Nsrdb, YearKind::Measured, (8760, 60), [39.73, -105.18, -7.0, 1820.0], 0.0),
    ("completed/test_psm3_2017.csv", Format::Nsrdb, YearKind::Measured, (17520, 30), [40.53, -108.54, -7.0, 2168.0], -15.0),
    ("completed/test_psm3_2017_utc.csv", Format::Nsrdb, YearKind::Measured, (17520, 30), [40.53, -108.54, -7.0, 2168.0], -15.0),
    ("completed/test_psm3_2019_5min.csv", Format::Nsrdb, YearKind::Measured, (288, 5), [40.53, -108.54, -7.0, 2168.0], -2.5),
    ("completed/test_psm3_tmy-2017.csv", Format::Nsrdb, YearKind::Typical, (8760, 60), [40.53, -108.54, -7.0, 2168.0], 0.0),
    ("completed/psm4_golden.csv", Format::Nsrdb, YearKind::Typical, (8760, 60), [39.73, -105.18, -7.0, 1876.0], 0.0),
    ("completed/psm4_miami.csv", Format::Nsrdb, YearKind::Typical, (8760, 60), [25.77, -80.18, -5.0, 7.0], 0.0),
    ("completed/psm4_miami_utc.csv", Format::Nsrdb, YearKind::Typical, (8760, 60), [25.77, -80.18, -5.0, 7.0], 0.0),
    ("completed/psm4_nyc.csv", Format::Nsrdb, YearKind::Typical, (8760, 60), [40.65, -73.98, -5.0, 27.0], 0.0),
    // The offset of 0.1761 h stands in the lines with which the reference script completes the table.
    ("completed/pvgis_tmy_test.csv", Format::Pvgis, YearKind::Typical, (8760, 60), [45.0, 8.0, 1.0, 250.0], 0.1761 * 60.0 - 30.0),
];

#[test]
fn places_and_words_of_the_formats_hold_against_the_sun() {
    let Some(weather) = outside_folder("SWIMDAYS_WEATHER_DIR") else {
        return;
    };
    let Some(references) = outside_folder("SWIMDAYS_REFERENCE_DIR") else {
        return;
    };
    let mut worst: BTreeMap<&str, (usize, f64)> = BTreeMap::new();
    for (name, format, kind, (intervals, minutes), place, words_minutes) in KNOWN {
        let year = read(&path_of(name, &weather, &references)).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!((year.format, year.kind), (format, kind), "{name}");
        assert_eq!(
            (year.len(), year.interval_minutes),
            (intervals, minutes),
            "{name}"
        );
        let p = &year.place;
        let found = [
            p.latitude_deg,
            p.longitude_deg,
            p.utc_offset_h,
            p.altitude_m,
        ];
        assert_eq!(
            found.map(f64::to_bits),
            place.map(f64::to_bits),
            "{name}: {found:?}"
        );
        let whole = intervals * minutes as usize == 8760 * 60;
        assert_eq!(year.is_whole_year(), whole, "{name}");
        let midnight = year.first_start.format("%m-%d %H:%M").to_string();
        assert_eq!(midnight, "01-01 00:00", "{name}");
        if whole {
            let sun = sun_check(&year).expect("a year has clear days");
            let difference = sun.shift_minutes - words_minutes;
            println!(
                "{name}: {words_minutes} min by its words, {:.2} by the sun",
                sun.shift_minutes
            );
            assert!(
                difference.abs() < SUN_AGAINST_WORDS_MINUTES,
                "{name}: {difference} min"
            );
            let (count, most) = worst.entry(format.name()).or_default();
            *count += 1;
            *most = most.max(difference.abs());
        }
    }
    let mut table = vec![
        "| format | whole years | time of the radiation by the format's words against the sun | at most | unit |".to_owned(),
        "|---|---|---|---|---|".to_owned(),
    ];
    for (format, (count, _)) in &worst {
        table.push(format!(
            "| {format} | {count} | noon of the 20 clearest days, median | {SUN_AGAINST_WORDS_MINUTES} | min |"
        ));
    }
    validation::table("weather-words-and-sun", &table);
}

/// A label of the NSRDB is a moment: the zenith angle that the file itself gives is the sun's there, and not a quarter of an hour off.
#[test]
fn an_nsrdb_label_is_the_moment_of_its_own_zenith_angle() {
    let Some(weather) = outside_folder("SWIMDAYS_WEATHER_DIR") else {
        return;
    };
    let path = weather.join("pvlib-0.11.2/pvlib/data/test_read_psm3.csv");
    let text = std::fs::read_to_string(&path).expect("readable");
    let lines: Vec<&str> = text.lines().skip(2).collect();
    let at = lines[0]
        .split(',')
        .position(|name| name == "Solar Zenith Angle")
        .expect("the column");
    let (latitude_deg, longitude_deg, utc_offset_h) = (40.53, -108.54, -7);
    let difference_deg = |late_minutes: i64| -> f64 {
        let differences: Vec<f64> = lines[1..]
            .iter()
            .map(|line| {
                let cells: Vec<&str> = line.split(',').collect();
                let whole = |i: usize| cells[i].parse::<u32>().expect("a number");
                let label = NaiveDate::from_ymd_opt(2017, whole(1), whole(2))
                    .and_then(|day| day.and_hms_opt(whole(3), whole(4), 0))
                    .expect("a date");
                let utc = label - TimeDelta::hours(utc_offset_h) + TimeDelta::minutes(late_minutes);
                #[allow(clippy::cast_precision_loss, reason = "seconds of this century")]
                let unix_s = utc.and_utc().timestamp() as f64;
                let sun = sun_position(unix_s, latitude_deg, longitude_deg);
                90.0 - sun.elevation_deg() - cells[at].parse::<f64>().expect("a number")
            })
            .collect();
        Errors::of(&differences).median
    };
    let at_label = difference_deg(0);
    println!("median difference at the label {at_label} degrees");
    assert!(at_label < ZENITH_DEG, "{at_label}");
    for late_minutes in [-15, 15] {
        assert!(difference_deg(late_minutes) > 10.0 * ZENITH_DEG);
    }
}

/// What an export in UTC was turned by is said, and told zones are taken.
#[test]
fn a_zone_that_is_told_is_taken_and_one_that_is_guessed_is_said() {
    let Some(weather) = outside_folder("SWIMDAYS_WEATHER_DIR") else {
        return;
    };
    let path = weather.join("pvlib-0.11.2/pvlib/data/tmy_45.000_8.000_2005_2023.csv");
    let guessed = read(&path).expect("readable");
    assert!(
        guessed
            .notes
            .iter()
            .any(|note| note.kind == NoteKind::Derived && note.text.contains("--utc-offset"))
    );
    // India's half hour: each interval still starts on the full hour of local time.
    for told in [-7.0, 0.0, 5.5, 13.0] {
        let options = ReadOptions {
            utc_offset_h: Some(told),
            ..ReadOptions::default()
        };
        let year = read_with(&path, &options).expect("readable");
        assert_eq!(year.place.utc_offset_h.to_bits(), told.to_bits());
        assert!(
            !year
                .notes
                .iter()
                .any(|note| note.text.contains("--utc-offset"))
        );
        assert!(year.is_whole_year());
        assert_eq!(year.first_start, guessed.first_start);
        let n = year.len();
        // The label of UTC 00:00 lies in the local interval that starts `told` hours later, rounded down.
        #[allow(clippy::cast_possible_truncation, reason = "hours of a day")]
        let ahead = (told.floor() as i64 - 1).rem_euclid(8760) as usize;
        for i in 0..n {
            let (ours, theirs) = (
                year.columns.air_c[(i + ahead) % n],
                guessed.columns.air_c[i],
            );
            assert_eq!(ours.to_bits(), theirs.to_bits(), "{told} h: interval {i}");
        }
    }
}
