//! Real weather files, read from installed packages (never committed), against pvlib.iotools, whose readers share no
//! code with ours.
//!
//! `.ci/run` sets SWIMDAYS_WEATHER_DIR (the packages) and SWIMDAYS_REFERENCE_DIR, into which
//! `.ci/reference/weather_means.py` writes each file's monthly means. Every hour is held in `weather_hours.rs`.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use chrono::Datelike;
use swimdays_properties::moist_air::saturation_pressure_pa;
use swimdays_tests::{Errors, outside_folder, validation, weather_column};
use swimdays_weather::{
    Format, NoteKind, WeatherError, WeatherYear, YearKind, parse, read, sun_check,
};

/// Both readers hold the same decimal numbers; only the order of adding up to 8760 of them differs.
const ADDING_UP_FRAC: f64 = 1e-11;
/// Our dew point is solved from the humidity to 1e-10 K, a few 1e-11 of the vapour pressure.
const HUMIDITY_THERE_AND_BACK_PERCENT: f64 = 1e-6;
/// TMY3 and EPW files in the three packages; a smaller number means a missing package.
const LEAST_FILES: usize = 10;
/// Greater files in those packages are no weather.
const LARGEST_BYTES: u64 = 4_000_000;

/// `(latitude, longitude, UTC offset, altitude)` and format of the places as the packages' files state them in their
/// first line; typical or measured as their makers describe them.
type Known = (&'static str, [f64; 4], Format, YearKind);
const KNOWN: [Known; 8] = [
    (
        "723170TYA.CSV",
        [36.1, -79.95, -5.0, 273.0],
        Format::Tmy3,
        YearKind::Typical,
    ),
    (
        "703165TY.csv",
        [55.317, -160.517, -9.0, 7.0],
        Format::Tmy3,
        YearKind::Typical,
    ),
    (
        "Burlington, United States SolarAnywhere Time Series 2021 Lat_44_465 Lon_-73_205 TMY3 format.csv",
        [44.465, -73.205, -5.0, 41.0],
        Format::Tmy3,
        YearKind::Measured,
    ),
    (
        "NLD_Amsterdam062400_IWEC.epw",
        [52.3, 4.77, 1.0, -2.0],
        Format::Epw,
        YearKind::Typical,
    ),
    (
        "tmy_45.000_8.000_2005_2023.epw",
        [45.0, 8.0, 1.0, 250.0],
        Format::Epw,
        YearKind::Typical,
    ),
    (
        "USA_AK_Northway.AP.702910_TMY3.epw",
        [62.967, -141.933, -9.0, 522.0],
        Format::Epw,
        YearKind::Typical,
    ),
    (
        "USA_CA_Mount.Shasta.725957_TMYx.epw",
        [41.333, -122.333, -8.0, 1077.0],
        Format::Epw,
        YearKind::Typical,
    ),
    (
        "USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw",
        [41.983, -87.917, -6.0, 201.0],
        Format::Epw,
        YearKind::Typical,
    ),
];

/// Files whose radiation does not lie where the format has it, and how many minutes late it is: an independent reckoning
/// of the noon of clear days, made before this program could read them (the project's list of real files).
const OFF_THEIR_WORDS: [(&str, f64); 2] = [
    ("tmy_45.000_8.000_2005_2023.epw", 40.0),
    ("USA_CA_Mount.Shasta.725957_TMYx.epw", -30.0),
];
/// Both reckonings take whole files of hours; cloud before or after noon moves the median of a file by a few minutes.
const SUN_MINUTES: f64 = 2.0;

/// The year may carry the measured time rounded.
const TAKEN_MINUTES: f64 = 0.5;

fn files_below(folder: &Path, found: &mut Vec<PathBuf>) {
    let entries = fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    for entry in entries {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            files_below(&path, found);
        } else if fs::metadata(&path).is_ok_and(|m| m.len() <= LARGEST_BYTES) {
            found.push(path);
        }
    }
}

/// All TMY3 and EPW files of the folder, told by their first lines apart from our own recogniser.
fn weather_files(folder: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for package in ["pvlib-0.16.1", "pvlib-0.11.2", "diyepw-1.3.1"] {
        let package = folder.join(package);
        assert!(
            package.is_dir(),
            "{} is missing (see .ci/run)",
            package.display()
        );
        files_below(&package, &mut all);
    }
    all.sort();
    all.retain(|path| {
        let bytes = fs::read(path).expect("readable");
        let second = bytes.splitn(3, |&b| b == b'\n').nth(1).unwrap_or_default();
        bytes.starts_with(b"LOCATION,") || second.starts_with(b"Date (MM/DD/YYYY)")
    });
    all
}

fn name_of(path: &Path) -> String {
    path.file_name()
        .expect("a name")
        .to_string_lossy()
        .into_owned()
}

#[test]
fn every_tmy3_and_epw_reads_as_a_whole_year_at_its_place() {
    let Some(folder) = outside_folder("SWIMDAYS_WEATHER_DIR") else {
        return;
    };
    let files = weather_files(&folder);
    assert!(files.len() >= LEAST_FILES, "{} files", files.len());
    for (name, ..) in KNOWN {
        assert!(
            files.iter().any(|path| name_of(path) == name),
            "{name} is missing"
        );
    }
    for path in files {
        let year = read(&path).unwrap_or_else(|error| panic!("{error}"));
        let name = name_of(&path);
        assert_eq!((year.len(), year.interval_minutes), (8760, 60), "{name}");
        assert!(year.is_whole_year(), "{name}");
        let sun = sun_check(&year).expect("a year has clear days");
        let expected = OFF_THEIR_WORDS
            .iter()
            .find(|(file, _)| *file == name)
            .map_or(0.0, |(_, minutes)| *minutes);
        println!(
            "{name}: radiation {:.1} min late by the sun, {:.1} taken",
            sun.shift_minutes, year.radiation_shift_minutes
        );
        assert!(
            (sun.shift_minutes - expected).abs() < SUN_MINUTES,
            "{name}: {} min",
            sun.shift_minutes
        );
        // Both formats give means of the interval; what is measured is taken where it is far from that.
        let taken = year.radiation_shift_minutes;
        assert!(
            taken.abs() < f64::EPSILON || (taken - sun.shift_minutes).abs() < TAKEN_MINUTES,
            "{name}: {}",
            year.radiation_shift_minutes
        );
        let first = year.first_start;
        assert_eq!((first.month(), first.day()), (1, 1), "{name}");
        let Some((_, place, format, kind)) = KNOWN.iter().find(|(known, ..)| *known == name) else {
            panic!("{name} is new: add it to KNOWN");
        };
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
        assert_eq!((year.format, year.kind), (*format, *kind), "{name}");
        assert_eq!(
            first.year(),
            if *kind == YearKind::Typical {
                2001
            } else {
                2021
            },
            "{name}"
        );
        println!("{name}");
        for note in &year.notes {
            println!("    {}: {}", note.kind.name(), note.text);
        }
    }
}

/// Files of the other formats that can be read: `weather_hours.rs` holds their hours.
const READABLE: [&str; 6] = [
    "12839.tm2",
    "test_read_psm3.csv",
    "psm3.csv",
    "psm3_demo.csv",
    "xeff_demo.csv",
    "tmy_45.000_8.000_2005_2023.csv",
];

/// Files of those formats that lack what is needed, and what the message must name.
const LACKING: [(&str, &str); 9] = [
    ("test_psm3_2017.csv", "no word of where the place is"),
    ("test_psm3_2019_5min.csv", "no word of where the place is"),
    ("test_psm3_tmy-2017.csv", "no word of where the place is"),
    ("psm4_golden.csv", "no word of where the place is"),
    ("psm4_miami.csv", "no word of where the place is"),
    ("psm4_nyc.csv", "no word of where the place is"),
    (
        "pvgis_tmy_test.csv",
        "Latitude (decimal degrees): found no such line",
    ),
    (
        "tmy_45.000_8.000_2005_2023.txt",
        "Latitude (decimal degrees): found no such line",
    ),
    (
        "pvgis_hourly_Timeseries_45.000_8.000_SA_30deg_0deg_2016_2016.csv",
        "`30 deg.`: irradiance on a plane that is tilted",
    ),
];

#[test]
fn every_other_file_is_refused_with_advice() {
    let Some(folder) = outside_folder("SWIMDAYS_WEATHER_DIR") else {
        return;
    };
    let weather = weather_files(&folder);
    let mut others = Vec::new();
    for data in [
        "pvlib-0.16.1/pvlib",
        "pvlib-0.11.2/pvlib",
        "diyepw-1.3.1/diyepw",
        "pvdeg-0.7.4/pvdeg",
    ] {
        files_below(&folder.join(data), &mut others);
    }
    others.retain(|path| !weather.contains(path));
    // pvlib alone brings a hundred sources and data files of other formats.
    assert!(others.len() > 100, "{}", others.len());
    let (mut readable, mut lacking, mut tables) = (BTreeSet::new(), BTreeSet::new(), 0);
    for path in others {
        let bytes = fs::read(&path).expect("readable");
        let name = name_of(&path);
        if READABLE.contains(&name.as_str()) {
            parse(&bytes, &name).unwrap_or_else(|error| panic!("{error}"));
            readable.insert(name);
            continue;
        }
        if let Some((_, says)) = LACKING.iter().find(|(lacking, _)| *lacking == name) {
            let error = parse(&bytes, &name).expect_err(&name).to_string();
            assert!(error.contains(says), "{error}");
            lacking.insert(name);
            continue;
        }
        let error = parse(&bytes, "other").expect_err(&path.display().to_string());
        // A table whose first line names columns we know is taken for our plain CSV, and told what it lacks.
        let told = matches!(error, WeatherError::Header { .. });
        assert!(
            told || matches!(error, WeatherError::Unrecognised { .. }),
            "{}: {error}",
            path.display()
        );
        tables += usize::from(told);
    }
    assert_eq!(
        (readable.len(), lacking.len()),
        (READABLE.len(), LACKING.len())
    );
    println!("{tables} tables of other things are taken for plain CSV");
    assert!(tables < 20, "{tables}");
}

/// One mean of the reference, and the mean weighted by the place in the month.
#[derive(Clone, Copy)]
struct Mean {
    plain: f64,
    by_place: f64,
}

/// By file, column and month (0: the year).
fn reference(folder: &Path) -> BTreeMap<String, BTreeMap<(String, usize), Mean>> {
    let path = folder.join("weather_means.csv");
    let mut table = csv::Reader::from_path(&path)
        .unwrap_or_else(|e| panic!("{} (written by .ci/run): {e}", path.display()));
    let mut by_file: BTreeMap<String, BTreeMap<(String, usize), Mean>> = BTreeMap::new();
    for record in table.records() {
        let record = record.expect("a row");
        let number = |i: usize| record[i].parse::<f64>().expect("a number");
        let month = record[2].parse().expect("a month");
        by_file.entry(record[0].into()).or_default().insert(
            (record[1].into(), month),
            Mean {
                plain: number(3),
                by_place: number(4),
            },
        );
    }
    by_file
}

/// Month 0 is the year.
fn means(values: &[f64], month: usize) -> Mean {
    const DAYS: [usize; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    let part = match month {
        0 => values,
        m => {
            let a_day = values.len() / 365;
            let from = a_day * DAYS[..m - 1].iter().sum::<usize>();
            &values[from..from + a_day * DAYS[m - 1]]
        }
    };
    #[allow(clippy::cast_precision_loss, reason = "rows of a year")]
    let (n, weight) = (part.len() as f64, |i: usize| {
        1.0 + i as f64 / part.len() as f64
    });
    Mean {
        plain: part.iter().sum::<f64>() / n,
        by_place: part
            .iter()
            .enumerate()
            .map(|(i, v)| v * weight(i))
            .sum::<f64>()
            / n,
    }
}

/// What the reference has and the reader on purpose has not; all else must be there.
fn left_out_rightly(name: &str, column: &str, year: &WeatherYear, mean: &Mean) -> bool {
    // 0 in every row means not given.
    if matches!(column, "albedo" | "rain") && mean.plain.abs() < f64::EPSILON {
        return true;
    }
    // 500 mm in one hour, 8300 mm in the year: whatever its unit, not the millimetres that the header says.
    name == "723170TYA.CSV"
        && column == "rain"
        && year
            .notes
            .iter()
            .any(|n| n.kind == NoteKind::Doubtful && n.column.name() == "rain")
}

#[test]
fn monthly_means_are_those_of_an_independent_reader() {
    let Some(folder) = outside_folder("SWIMDAYS_WEATHER_DIR") else {
        return;
    };
    let Some(references) = outside_folder("SWIMDAYS_REFERENCE_DIR") else {
        return;
    };
    let reference = reference(&references);
    assert!(
        reference.len() >= LEAST_FILES,
        "{} files in the reference",
        reference.len()
    );
    let mut differences: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for (file, values) in &reference {
        let path = if file.starts_with("completed/") {
            references.join(file)
        } else {
            folder.join(file)
        };
        let year = read(&path).unwrap_or_else(|error| panic!("{error}"));
        let name = name_of(&path);
        for ((what, month), mean) in values {
            let ours = match what.as_str() {
                "place" => {
                    let p = &year.place;
                    let value = [
                        p.latitude_deg,
                        p.longitude_deg,
                        p.utc_offset_h,
                        p.altitude_m,
                    ][*month];
                    assert_eq!(
                        value.to_bits(),
                        mean.plain.to_bits(),
                        "{name}: place {month}"
                    );
                    continue;
                }
                // Read only where there is no dew point; then the dew point must give it back.
                "humidity" => {
                    if values.contains_key(&("dew_point".into(), 0)) {
                        continue;
                    }
                    let c = &year.columns;
                    let percent: Vec<f64> = c
                        .dew_point_c
                        .iter()
                        .zip(&c.air_c)
                        .map(|(dew, air)| {
                            100.0 * saturation_pressure_pa(*dew) / saturation_pressure_pa(*air)
                        })
                        .collect();
                    let ours = means(&percent, *month);
                    assert!(
                        (ours.plain - mean.plain).abs() < HUMIDITY_THERE_AND_BACK_PERCENT,
                        "{name}: humidity of month {month}: {} against {}",
                        ours.plain,
                        mean.plain
                    );
                    continue;
                }
                column_name => match weather_column(&year, column_name) {
                    Some(column) => means(column, *month),
                    None if left_out_rightly(&name, column_name, &year, mean)
                        || left_out_rightly(
                            &name,
                            column_name,
                            &year,
                            &values[&(what.clone(), 0)],
                        ) =>
                    {
                        continue;
                    }
                    None => panic!("{name}: {column_name} is not there"),
                },
            };
            // The NSRDB's wind is at 2 m and the year's at 10 m: FAO 56, equation 47 (from memory), over short grass.
            let log = |height_m: f64| (67.8 * height_m - 5.42).ln();
            let factor = if what == "wind" && year.format == Format::Nsrdb {
                log(10.0) / log(2.0)
            } else {
                1.0
            };
            for (ours, theirs) in [(ours.plain, mean.plain), (ours.by_place, mean.by_place)] {
                let theirs = factor * theirs;
                let difference = (ours - theirs).abs() / theirs.abs().max(1.0);
                assert!(
                    difference <= ADDING_UP_FRAC,
                    "{name}: {what} of month {month}: {ours} against {theirs}"
                );
                let group = if what.ends_with("hi") || what == "dni" {
                    "irradiance"
                } else {
                    "other"
                };
                differences.entry(group).or_default().push(difference);
            }
        }
    }
    for (group, differences) in &differences {
        println!("{group}: {}", Errors::of(differences));
    }
    let all: Vec<f64> = differences.into_values().flatten().collect();
    let errors = Errors::of(&all);
    validation::table(
        "weather-means",
        &[
            "| what | against | points | within | unit |".to_owned(),
            "|---|---|---|---|---|".to_owned(),
            format!(
                "| monthly and annual means of {} real files, plain and weighted by the place in the month | pvlib.iotools | {} | {ADDING_UP_FRAC:.0e} | share of the mean |",
                reference.len(),
                errors.points
            ),
        ],
    );
}
