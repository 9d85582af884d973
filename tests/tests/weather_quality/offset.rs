//! Offsets that were made are measured.

use chrono::NaiveDate;
use swimdays_solar::{relative_air_mass, sun_position};
use swimdays_tests::{Errors, outside_folder, validation};
use swimdays_weather::{
    Cause, Columns, Format, Place, SunVerdict, WeatherYear, YearKind, read, sun_check,
};

use crate::REAL;

/// What the measured offset may be off on a made year, minutes.
const MADE_MINUTES: f64 = 2.0;
/// Two measurements of one year whose clock was moved, minutes: other days are the clearest by a hair.
const MOVED_MINUTES: f64 = 1.0;

/// A made year: what the sky is like.
#[derive(Clone, Copy, PartialEq)]
enum Cloud {
    None,
    /// Every other day overcast; on two days of three a quarter of the afternoon's sun is gone.
    Afternoons,
}

/// Direct normal and diffuse of a clear sky: Meinel & Meinel (1976), *Applied Solar Energy*: DNI = S 0.7^(AM^0.678); the diffuse is
/// taken as a tenth of what is lost on the way. Independent of the shape that the check fits.
fn meinel_w_m2(unix_s: f64, place: &Place) -> f64 {
    let sun = sun_position(unix_s, place.latitude_deg, place.longitude_deg);
    let cos = sun.cos_zenith();
    if cos <= 0.0 {
        return 0.0;
    }
    let outside = 1361.0 / (sun.earth_sun_distance_au * sun.earth_sun_distance_au);
    let beam = outside * 0.7_f64.powf(relative_air_mass(sun.zenith_deg).powf(0.678));
    beam * cos + 0.1 * (outside - beam) * cos
}

#[allow(clippy::cast_precision_loss, reason = "numbers of intervals")]
fn made(latitude_deg: f64, minutes: u32, shift_minutes: f64, cloud: Cloud) -> WeatherYear {
    let place = Place {
        name: "made".into(),
        latitude_deg,
        longitude_deg: 25.0,
        utc_offset_h: 2.0,
        altitude_m: 100.0,
    };
    let first_start = NaiveDate::from_ymd_opt(2001, 1, 1)
        .and_then(|day| day.and_hms_opt(0, 0, 0))
        .expect("a date");
    let n = 365 * 24 * 60 / minutes as usize;
    let first_s = first_start.and_utc().timestamp() as f64 - 2.0 * 3600.0;
    let parts = (minutes / 5).max(1);
    let ghi: Vec<f64> = (0..n)
        .map(|i| {
            let start_s = first_s + (i as f64 * f64::from(minutes) + shift_minutes) * 60.0;
            let mean = (0..parts)
                .map(|k| {
                    let middle = (f64::from(k) + 0.5) / f64::from(parts);
                    meinel_w_m2(start_s + middle * f64::from(minutes) * 60.0, &place)
                })
                .sum::<f64>()
                / f64::from(parts);
            let hour = i as f64 * f64::from(minutes) / 60.0;
            let day = (hour / 24.0).floor();
            let afternoon = hour - 24.0 * day > 12.5;
            let share = match cloud {
                Cloud::None => 1.0,
                Cloud::Afternoons if day % 2.0 < 0.5 => 0.25,
                Cloud::Afternoons if day % 3.0 > 0.5 && afternoon => 0.75,
                Cloud::Afternoons => 1.0,
            };
            (mean * share).round()
        })
        .collect();
    WeatherYear {
        place,
        format: Format::Plain,
        kind: YearKind::Typical,
        first_start,
        interval_minutes: minutes,
        columns: Columns {
            air_c: vec![10.0; n],
            dew_point_c: vec![5.0; n],
            pressure_pa: vec![100_000.0; n],
            wind_m_s: vec![2.0; n],
            dni_w_m2: vec![0.0; n],
            dhi_w_m2: ghi.clone(),
            ghi_w_m2: ghi,
            ..Columns::default()
        },
        radiation_shift_minutes: 0.0,
        normals: None,
        notes: Vec::new(),
    }
}

/// From the tropics, where the sun stands in the zenith, to the polar day; 5 minutes to an hour; an hour to either side.
#[test]
fn known_offsets_are_measured() {
    let mut rows = validation::HEAD.map(str::to_owned).to_vec();
    for (cloud, name) in [
        (Cloud::None, "clear"),
        (Cloud::Afternoons, "with cloud, more in the afternoon"),
    ] {
        let mut errors = Vec::new();
        for latitude_deg in [-70.0_f64, -35.0, -10.0, 0.0, 23.4, 42.0, 60.0, 70.0] {
            for minutes in [60, 30, 15, 5] {
                if minutes < 30
                    && ![42.0_f64, -10.0]
                        .iter()
                        .any(|some| (some - latitude_deg).abs() < 0.1)
                {
                    continue;
                }
                for shift in [-60.0, -37.0, 0.0, 10.5, 60.0] {
                    let year = made(latitude_deg, minutes, shift, cloud);
                    let check = sun_check(&year).expect("clear days");
                    let off = (check.shift_minutes - shift).abs();
                    assert!(
                        off < MADE_MINUTES,
                        "{latitude_deg}°, {minutes} min, {shift} min: {check:?}"
                    );
                    assert_eq!(
                        check.verdict == SunVerdict::Agrees,
                        f64::abs(shift) < f64::EPSILON,
                        "{check:?}"
                    );
                    errors.push(off);
                }
            }
        }
        rows.push(validation::row(
            &format!("measured offset of the radiation, made years, {name}"),
            "the offset they were made with",
            &Errors::of(&errors),
            "min",
        ));
    }
    let Some(folder) = outside_folder("SWIMDAYS_WEATHER_DIR") else {
        return;
    };
    let mut errors = Vec::new();
    for path in REAL.map(|name| folder.join(name)) {
        let year = read(&path).unwrap_or_else(|error| panic!("{error}"));
        let before = sun_check(&year).expect("clear days").shift_minutes;
        for degrees in [-15.0, -8.0, -3.0, 3.0, 8.0, 15.0] {
            let mut moved = year.clone();
            moved.place.longitude_deg += degrees;
            let found = sun_check(&moved).expect("clear days").shift_minutes;
            // A place further east has its noon earlier: what the file holds lies later.
            let expected = before - 4.0 * degrees;
            let off = (found - expected).abs();
            assert!(off < MOVED_MINUTES, "{}: {off}", path.display());
            errors.push(off);
        }
    }
    rows.push(validation::row(
        &format!(
            "the same, {} real years whose longitude is moved by up to 15°",
            REAL.len()
        ),
        "4 min a degree",
        &Errors::of(&errors),
        "min",
    ));
    validation::table("weather-offset", &rows);
}

#[test]
fn without_clear_days_nothing_is_measured() {
    let mut year = made(42.0, 60, 0.0, Cloud::None);
    for value in &mut year.columns.ghi_w_m2 {
        *value *= 0.3;
    }
    assert_eq!(sun_check(&year), None);
    for value in &mut year.columns.ghi_w_m2 {
        *value = 0.0;
    }
    assert_eq!(sun_check(&year), None);
}

#[test]
fn causes_are_ordered_by_what_fits() {
    let mut year = made(42.0, 60, 0.0, Cloud::None);
    year.place.longitude_deg = -25.0;
    let check = sun_check(&year).expect("clear days");
    let SunVerdict::WrongClockOrPlace(causes) = check.verdict else {
        panic!("{check:?}");
    };
    assert_eq!(causes[0], Cause::LongitudeSign);
}
