//! The committed samples: the generator's own bytes, good for a season in every format, the same weather in all formats of
//! a place, the climate of its table, and physically consistent.
//!
//! The sun is that of the crate `solar-positioning` (NREL algorithm, geometric), not the generator's own.

use std::fs;

use chrono::Datelike;
use solar_positioning::time::JulianDate;
use solar_positioning::{Location, SolarPositions};
use swimdays_tests::{Errors, root, validation};
use swimdays_weather::normals::{Moisture, Normals, Sun, read_table};
use swimdays_weather::{Format, Grade, NoteKind, WeatherYear, YearKind, read};

#[path = "../../crates/weather/examples/samples/mod.rs"]
mod samples;

const PLACES: [&str; 3] = ["hot-dry", "temperate", "cool-south"];

/// Every file of hours, and its format.
const FILES: [(&str, &str, Format); 9] = [
    ("cool-south", "epw", Format::Epw),
    ("cool-south", "plain.csv.gz", Format::Plain),
    ("cool-south", "pvgis.csv", Format::Pvgis),
    ("hot-dry", "epw", Format::Epw),
    ("hot-dry", "nsrdb.csv", Format::Nsrdb),
    ("hot-dry", "tmy2", Format::Tmy2),
    ("temperate", "epw", Format::Epw),
    ("temperate", "plain.csv", Format::Plain),
    ("temperate", "tmy3.csv", Format::Tmy3),
];

/// Largest committed folder, bytes: it is in every copy of the source.
const LARGEST_FOLDER: usize = 8_000_000;
/// The sun check's own noise on hours, min.
const SUN_MINUTES: f64 = 2.0;
/// Three values, each rounded to a whole W/m², and a sun that is 0.01° off: 0.2 W/m² of a strong beam.
const CLOSURE_W_M2: f64 = 1.7;
/// In an hour in which the sun rises or sets the two suns disagree on the sunlit minutes and so on its middle.
const CLOSURE_AT_SUNRISE_W_M2: f64 = 2.0;
/// TT − UTC in 2001, s.
const DELTA_T_S: f64 = 64.1;
/// Julian date of 2001-01-01 00:00 UTC.
const JULIAN_2001: f64 = 2_451_910.5;

fn sample(name: &str, ending: &str) -> WeatherYear {
    let path = root()
        .join("weather-samples")
        .join(format!("{name}.{ending}"));
    read(&path).unwrap_or_else(|error| panic!("{error}"))
}

fn table(name: &str) -> Normals {
    let path = root()
        .join("weather-samples")
        .join(format!("{name}.normals.csv"));
    read_table(&path).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn the_committed_files_are_the_generator_s() {
    let made = samples::files().expect("the tables make years");
    let names: Vec<&str> = made.iter().map(|(name, _)| name.as_str()).collect();
    let expected = FILES.map(|(place, ending, _)| format!("{place}.{ending}"));
    assert_eq!(names, expected);
    for (name, bytes) in made {
        let path = root().join("weather-samples").join(&name);
        let committed = fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        assert!(
            committed == bytes,
            "{name} is not what the generator makes (cargo run --release -p swimdays-weather --example make_samples -- weather-samples)"
        );
    }
}

#[test]
fn nothing_else_lies_in_the_folder_and_it_is_small() {
    let mut total = 0;
    for entry in fs::read_dir(root().join("weather-samples")).expect("the folder") {
        let entry = entry.expect("an entry");
        let name = entry.file_name().to_string_lossy().into_owned();
        let known = name == "README.md"
            || PLACES.iter().any(|p| name == format!("{p}.normals.csv"))
            || FILES.iter().any(|(p, e, _)| name == format!("{p}.{e}"));
        assert!(known, "{name} is no sample");
        total += fs::metadata(entry.path()).expect("its size").len();
    }
    assert!(total <= LARGEST_FOLDER as u64, "{total} bytes");
}

/// Every sample is good for a season and raises no doubt; its sun comes when it should.
#[test]
fn every_sample_is_good_for_a_season() {
    for (place, ending, format) in FILES {
        let name = format!("{place}.{ending}");
        let year = sample(place, ending);
        assert_eq!(
            (year.format, year.kind, year.len()),
            (format, YearKind::Typical, 8760),
            "{name}"
        );
        assert!(year.is_whole_year(), "{name}");
        let doubts: Vec<_> = year
            .notes
            .iter()
            .filter(|note| matches!(note.kind, NoteKind::Doubtful | NoteKind::Filled))
            .collect();
        let verdict = year.verdict();
        assert!(doubts.is_empty(), "{name}: {doubts:?}");
        assert_eq!(verdict.grade, Grade::Good, "{name}: {verdict:?}");
        let sun = verdict.sun.expect("clear days enough");
        assert!(sun.shift_minutes.abs() <= SUN_MINUTES, "{name}: {sun:?}");
        assert!(
            year.radiation_shift_minutes.abs() <= SUN_MINUTES,
            "{name}: {} min",
            year.radiation_shift_minutes
        );
    }
}

#[test]
fn all_formats_of_a_place_hold_the_same_weather() {
    for (place, ending, format) in FILES {
        let name = format!("{place}.{ending}");
        let (year, epw) = (sample(place, ending), sample(place, "epw"));
        if format != Format::Pvgis {
            // A file of PVGIS names no place.
            // TMY2 has one word for the city.
            assert_eq!(year.place.name.replace('_', " "), epw.place.name, "{name}");
        }
        for (found, expected) in [
            (year.place.latitude_deg, epw.place.latitude_deg),
            (year.place.longitude_deg, epw.place.longitude_deg),
            (year.place.altitude_m, epw.place.altitude_m),
            (year.place.utc_offset_h, epw.place.utc_offset_h),
        ] {
            assert!((found - expected).abs() < 1e-9, "{name}: {:?}", year.place);
        }
        assert_eq!(year.first_start, epw.first_start, "{name}");
        let (c, e) = (&year.columns, &epw.columns);
        // What a format rounds further: whole millibars; a dew point found from a humidity in hundredths of a percent.
        let pressure_pa = if format == Format::Tmy2 { 50.0 } else { 0.0 };
        let dew_k = if format == Format::Pvgis { 0.05 } else { 0.0 };
        // The wind at 2 m in four decimals, brought back to 10 m: half of the last digit times 1.34.
        let wind_m_s = if format == Format::Nsrdb { 7e-5 } else { 0.0 };
        for (what, found, expected, rounding) in [
            ("air", &c.air_c, &e.air_c, 0.0),
            ("dew point", &c.dew_point_c, &e.dew_point_c, dew_k),
            ("pressure", &c.pressure_pa, &e.pressure_pa, pressure_pa),
            ("wind", &c.wind_m_s, &e.wind_m_s, wind_m_s),
            ("global", &c.ghi_w_m2, &e.ghi_w_m2, 0.0),
            ("direct", &c.dni_w_m2, &e.dni_w_m2, 0.0),
            ("diffuse", &c.dhi_w_m2, &e.dhi_w_m2, 0.0),
        ] {
            let worst = found
                .iter()
                .zip(expected)
                .map(|(a, b)| (a - b).abs())
                .fold(0.0, f64::max);
            assert!(worst <= rounding, "{name}: {what} differs by {worst}");
        }
        let has_rain = !matches!(format, Format::Nsrdb | Format::Pvgis | Format::Tmy2);
        assert_eq!(c.rain_mm.is_some(), has_rain, "{name}");
        if has_rain {
            assert_eq!(c.rain_mm, e.rain_mm, "{name}");
        }
    }
}

/// Cosine of the geometric zenith angle at `hour` of the year 2001, local standard time.
fn cos_zenith(sun: &SolarPositions, year: &WeatherYear, hour: f64) -> f64 {
    let utc_days = (hour - year.place.utc_offset_h) / 24.0;
    let julian = JulianDate::new(JULIAN_2001 + utc_days, DELTA_T_S).expect("a date");
    let location = Location {
        latitude: year.place.latitude_deg,
        longitude: year.place.longitude_deg,
    };
    let time = sun.for_time_from_julian(julian).expect("a time in range");
    let position = time.at(location, 0.0, None).expect("a place on earth");
    position.zenith_angle().to_radians().cos()
}

#[test]
fn direct_and_diffuse_close_on_global_and_nights_are_dark() {
    const MINUTES: usize = 60;
    let sun = SolarPositions::new();
    let mut rows = Vec::new();
    for name in PLACES {
        let year = sample(name, "epw");
        let c = &year.columns;
        let (mut full, mut partial) = (Vec::new(), Vec::new());
        for i in 0..year.len() {
            #[allow(clippy::cast_precision_loss, reason = "hours of a year")]
            let from = i as f64;
            let ends = [
                cos_zenith(&sun, &year, from),
                cos_zenith(&sun, &year, from + 1.0),
            ];
            let up = ends.map(|cos| cos > 0.0);
            let (middle, list) = match up {
                [true, true] => (from + 0.5, &mut full),
                [false, false] => {
                    assert!(
                        c.ghi_w_m2[i] + c.dni_w_m2[i] + c.dhi_w_m2[i] <= 0.0,
                        "{name}: light in the night of hour {i}"
                    );
                    continue;
                }
                _ => {
                    #[allow(clippy::cast_precision_loss, reason = "minutes of an hour")]
                    let lit: Vec<f64> = (0..MINUTES)
                        .map(|m| from + (m as f64 + 0.5) / MINUTES as f64)
                        .filter(|&hour| cos_zenith(&sun, &year, hour) > 0.0)
                        .collect();
                    let middle = match (lit.first(), lit.last()) {
                        (Some(first), Some(last)) => 0.5 * (first + last),
                        _ => from + if up[0] { 0.0 } else { 1.0 },
                    };
                    (middle, &mut partial)
                }
            };
            let cos = cos_zenith(&sun, &year, middle);
            list.push(c.ghi_w_m2[i] - c.dni_w_m2[i] * cos - c.dhi_w_m2[i]);
        }
        let (full, partial) = (Errors::of(&full), Errors::of(&partial));
        println!("{name}: {full}; sunrise and sunset {partial}");
        assert!(full.max <= CLOSURE_W_M2, "{name}: {full}");
        assert!(partial.max <= CLOSURE_AT_SUNRISE_W_M2, "{name}: {partial}");
        let against = "GHI with the NREL sun of `solar-positioning`";
        let what = format!("`{name}`: DNI cos z + DHI");
        rows.push(validation::row(&what, against, &full, "W/m²"));
        rows.push(validation::row(
            &format!("{what}, sunrise and sunset hours"),
            against,
            &partial,
            "W/m²",
        ));
    }
    validation::error_table("weather-samples", &rows);
}

#[test]
fn the_air_is_never_below_its_dew_point() {
    for (place, ending, _) in FILES {
        let c = sample(place, ending).columns;
        assert!(
            c.air_c
                .iter()
                .zip(&c.dew_point_c)
                .all(|(air, dew)| dew <= air),
            "{place}.{ending}"
        );
    }
}

/// Mean of the hours of each month.
fn monthly(year: &WeatherYear, values: &[f64]) -> [f64; 12] {
    let (mut sums, mut counts) = ([0.0; 12], [0.0; 12]);
    for (i, value) in values.iter().enumerate() {
        let month = year.start_of(i).month0() as usize;
        sums[month] += value;
        counts[month] += 1.0;
    }
    std::array::from_fn(|m| sums[m] / counts[m])
}

/// Mean of what `pick` gives of the hours of each day, by month.
fn monthly_of_days(year: &WeatherYear, values: &[f64], pick: fn(f64, f64) -> f64) -> [f64; 12] {
    let days: Vec<f64> = values
        .chunks(24)
        .flat_map(|day| vec![day.iter().copied().reduce(pick).expect("hours"); 24])
        .collect();
    monthly(year, &days)
}

/// The year's means are those of the table that anyone can read beside it, to the rounding of the file's values.
#[test]
fn each_year_has_the_means_of_its_table() {
    // Means of 28 days or more of values rounded to tenths and to whole W/m² (a day's sum: 12 W/m² h at most, at random).
    const DAY_K: f64 = 0.05;
    const HOUR: f64 = 0.01;
    const SUN_KWH_M2: f64 = 0.005;
    const RAIN_MM: f64 = 0.5;
    for name in PLACES {
        let (year, table) = (sample(name, "epw"), table(name));
        assert_eq!(year.place, table.place, "{name}");
        let c = &year.columns;
        let (Sun::DailyKwhM2(sun), Moisture::DewPointC(dew)) = (&table.sun, &table.moisture) else {
            panic!("{name}: the table knows sun and dew point");
        };
        let rain = c.rain_mm.as_ref().expect("rain");
        let days: [f64; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31].map(f64::from);
        let rain_mean = monthly(&year, rain);
        let sun_mean = monthly(&year, &c.ghi_w_m2).map(|w_m2| w_m2 * 24.0 / 1000.0);
        for (what, found, expected, rounding) in [
            (
                "maximum",
                monthly_of_days(&year, &c.air_c, f64::max),
                table.daily_max_c,
                DAY_K,
            ),
            (
                "minimum",
                monthly_of_days(&year, &c.air_c, f64::min),
                table.daily_min_c,
                DAY_K,
            ),
            ("dew point", monthly(&year, &c.dew_point_c), *dew, HOUR),
            (
                "wind",
                monthly(&year, &c.wind_m_s),
                table.wind_m_s.expect("wind"),
                HOUR,
            ),
            ("sun", sun_mean, *sun, SUN_KWH_M2),
            (
                "rain",
                std::array::from_fn(|m| rain_mean[m] * 24.0 * days[m]),
                table.rain_mm.expect("rain"),
                RAIN_MM,
            ),
        ] {
            for m in 0..12 {
                assert!(
                    (found[m] - expected[m]).abs() <= rounding,
                    "{name}: {what} of month {}: {} against {}",
                    m + 1,
                    found[m],
                    expected[m]
                );
            }
        }
    }
}

/// The Köppen–Geiger class, as far as the samples need it.
///
/// Source: Peel, Finlayson & McMahon (2007), *Updated world map of the Köppen–Geiger climate classification*, Hydrology and
/// Earth System Sciences 11:1633, table 1 (from memory). `A`, `E`, `s`, `w`, `c` and `d` are not told apart from `?`.
fn climate_class(air_c: &[f64; 12], rain_mm: &[f64; 12], south: bool) -> String {
    let is_summer = |m: usize| (3..9).contains(&m) != south;
    let sum = |summer: bool| -> f64 {
        (0..12)
            .filter(|&m| is_summer(m) == summer)
            .map(|m| rain_mm[m])
            .sum()
    };
    let driest = |summer: bool| {
        (0..12)
            .filter(|&m| is_summer(m) == summer)
            .map(|m| rain_mm[m])
            .fold(f64::INFINITY, f64::min)
    };
    let wettest = |summer: bool| {
        (0..12)
            .filter(|&m| is_summer(m) == summer)
            .map(|m| rain_mm[m])
            .fold(0.0, f64::max)
    };
    let (mean, year_mm) = (air_c.iter().sum::<f64>() / 12.0, sum(true) + sum(false));
    let threshold = 2.0 * mean
        + if sum(false) >= 0.7 * year_mm {
            0.0
        } else if sum(true) >= 0.7 * year_mm {
            28.0
        } else {
            14.0
        };
    if year_mm < 10.0 * threshold {
        let second = if year_mm < 5.0 * threshold { 'W' } else { 'S' };
        return format!("B{second}{}", if mean >= 18.0 { 'h' } else { 'k' });
    }
    let coldest = air_c.iter().copied().fold(f64::INFINITY, f64::min);
    let hottest = air_c.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let first = match coldest {
        _ if hottest <= 10.0 || coldest >= 18.0 => '?',
        c if c > 0.0 => 'C',
        _ => 'D',
    };
    let dry_summer = driest(true) < 40.0 && driest(true) < wettest(false) / 3.0;
    let dry_winter = driest(false) < wettest(true) / 10.0;
    let second = if dry_summer || dry_winter { '?' } else { 'f' };
    let warm_months = air_c.iter().filter(|&&c| c > 10.0).count();
    let third = match warm_months {
        _ if hottest >= 22.0 => 'a',
        4.. => 'b',
        _ => '?',
    };
    format!("{first}{second}{third}")
}

/// Each place has the climate that its name promises: a hot desert; a humid continental one with hot summers; an oceanic one.
#[test]
fn each_climate_is_what_its_name_says() {
    for (name, class) in [
        ("hot-dry", "BWh"),
        ("temperate", "Dfa"),
        ("cool-south", "Cfb"),
    ] {
        let year = sample(name, "epw");
        let air = monthly(&year, &year.columns.air_c);
        let rain = table(name).rain_mm.expect("rain");
        let south = year.place.latitude_deg < 0.0;
        assert_eq!(climate_class(&air, &rain, south), class, "{name}");
    }
}
