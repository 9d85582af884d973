//! The committed samples: the generator's own bytes, the same weather in both forms, and physically consistent.
//!
//! The sun is that of the crate `solar-positioning` (NREL algorithm, geometric), not the generator's own.

use std::fs;

use solar_positioning::time::JulianDate;
use solar_positioning::{Location, SolarPositions};
use swimdays_tests::{Errors, root, validation};
use swimdays_weather::{Format, NoteKind, WeatherYear, YearKind, read};

#[path = "../../crates/weather/examples/samples/mod.rs"]
mod samples;

const PLACES: [&str; 3] = ["hot-dry", "temperate", "cool-south"];

/// Half a W/m² of rounding, and a sun that is 0.01° off: 0.2 W/m² of a strong beam; rounded up.
const CLOSURE_W_M2: f64 = 1.0;
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

#[test]
fn the_committed_files_are_the_generator_s() {
    let made = samples::files();
    assert_eq!(made.len(), 2 * PLACES.len());
    for (name, text) in made {
        let path = root().join("weather-samples").join(&name);
        let committed = fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        assert!(
            committed == text.as_bytes(),
            "{name} is not what the generator makes (cargo run --release -p swimdays-weather --example make_samples -- weather-samples)"
        );
    }
}

#[test]
fn both_forms_of_a_place_hold_the_same_weather() {
    for name in PLACES {
        let (tmy3, epw) = (sample(name, "csv"), sample(name, "epw"));
        assert_eq!((tmy3.format, epw.format), (Format::Tmy3, Format::Epw));
        for year in [&tmy3, &epw] {
            assert_eq!((year.kind, year.len()), (YearKind::Typical, 8760), "{name}");
            assert!(year.is_whole_year());
            assert!(
                year.notes
                    .iter()
                    .all(|note| note.kind == NoteKind::NotGiven),
                "{name}: {:?}",
                year.notes
            );
        }
        assert_eq!(tmy3.place, epw.place);
        assert_eq!(tmy3.first_start, epw.first_start);
        assert!(tmy3.columns.infrared_w_m2.is_none() && epw.columns.infrared_w_m2.is_some());
        let mut without = epw.columns.clone();
        without.infrared_w_m2 = None;
        assert_eq!(tmy3.columns, without, "{name}");
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
    for name in PLACES {
        let c = sample(name, "epw").columns;
        assert!(
            c.air_c
                .iter()
                .zip(&c.dew_point_c)
                .all(|(air, dew)| dew <= air),
            "{name}"
        );
    }
}

/// Correlation of two series.
fn correlation(a: &[f64], b: &[f64]) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "a count")]
    let n = a.len() as f64;
    let (ma, mb) = (a.iter().sum::<f64>() / n, b.iter().sum::<f64>() / n);
    let product = |x: &[f64], mx: f64, y: &[f64], my: f64| -> f64 {
        x.iter().zip(y).map(|(x, y)| (x - mx) * (y - my)).sum()
    };
    product(a, ma, b, mb) / (product(a, ma, a, ma) * product(b, mb, b, mb)).sqrt()
}

#[test]
fn weather_hangs_together() {
    for name in PLACES {
        let c = sample(name, "epw").columns;
        let cover = c.sky_cover_frac.expect("sky cover");
        let daily = |values: &[f64], of: fn(&[f64]) -> f64| -> Vec<f64> {
            values.chunks(24).map(of).collect()
        };
        let mean: fn(&[f64]) -> f64 = |day| day.iter().sum::<f64>() / 24.0;
        let range: fn(&[f64]) -> f64 = |day| {
            day.iter().copied().fold(f64::MIN, f64::max)
                - day.iter().copied().fold(f64::MAX, f64::min)
        };
        let cloudy = daily(&cover, mean);
        assert!(
            correlation(&cloudy, &daily(&c.ghi_w_m2, mean)) < -0.3,
            "{name}: cloud dims"
        );
        assert!(
            correlation(&cloudy, &daily(&c.air_c, range)) < -0.3,
            "{name}: cloud evens the day"
        );
        // Neighbouring days resemble one another, in cloud less than in temperature.
        assert!(
            correlation(&cloudy[1..], &cloudy[..364]) > 0.2,
            "{name}: cloud lasts"
        );
        let dew = daily(&c.dew_point_c, range).iter().sum::<f64>();
        assert!(
            dew < daily(&c.air_c, range).iter().sum(),
            "{name}: the dew point is slower"
        );
        let hours = |hour: usize| c.wind_m_s.iter().skip(hour).step_by(24).sum::<f64>();
        assert!(hours(14) > 1.5 * hours(3), "{name}: the afternoon is windy");
        let rain = c.rain_mm.expect("rain");
        assert!(
            rain.iter()
                .zip(&cover)
                .all(|(rain, cover)| *rain <= 0.0 || *cover > 0.8),
            "{name}: rain falls from a closed sky"
        );
    }
}

/// What such climates are like (common practice, no source): a wide frame, against a slip in the generator.
#[test]
fn each_climate_is_what_its_name_says() {
    // Annual GHI kWh/m²; July and January mean of daily maxima and minima, °C, each ± 2.5 K.
    let frames = [
        ("hot-dry", 2050.0..2150.0, [40.0, 26.5], [19.5, 3.5]),
        ("temperate", 1390.0..1460.0, [28.5, 16.0], [-1.0, -9.0]),
        ("cool-south", 1340.0..1410.0, [11.0, 3.0], [22.0, 11.0]),
    ];
    for (name, ghi, july, january) in frames {
        let c = sample(name, "epw").columns;
        let annual = c.ghi_w_m2.iter().sum::<f64>() / 1000.0;
        assert!(ghi.contains(&annual), "{name}: {annual} kWh/m²");
        for (first_day, expected) in [(181, july), (0, january)] {
            let days: Vec<&[f64]> = c.air_c.chunks(24).skip(first_day).take(31).collect();
            let mean = |pick: fn(f64, f64) -> f64| {
                days.iter()
                    .map(|day| day.iter().copied().reduce(pick).expect("hours"))
                    .sum::<f64>()
                    / 31.0
            };
            for (found, expected) in [(mean(f64::max), expected[0]), (mean(f64::min), expected[1])]
            {
                assert!(
                    (found - expected).abs() < 2.5,
                    "{name}: {found} against {expected} °C"
                );
            }
        }
    }
}
