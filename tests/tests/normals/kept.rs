//! What the table says is kept, and nothing leaves its limits.

use swimdays_tests::{Errors, validation};
use swimdays_weather::normals::{Known, Moisture, Normals, Sun, from_year, generate};
use swimdays_weather::{Format, NoteKind, Place, WeatherYear, YearKind};

use crate::{month, outside_w_m2, real_years};

/// Rounding of sums over 744 hours of numbers up to 1e3 (W/m²) or 1e5 Pa-like intermediate values.
const ROUNDING: f64 = 1e-9;
/// Relative humidity is closed by halving a shift of the dew point 70 times, on sums of 744 hours.
const HUMIDITY_ROUNDING_FRAC: f64 = 1e-9;

/// An invented place with everything in its table.
pub(crate) fn invented() -> Normals {
    Normals {
        place: Place {
            name: "Elmwater Bend".into(),
            latitude_deg: 41.2,
            longitude_deg: -87.9,
            utc_offset_h: -6.0,
            altitude_m: 190.0,
        },
        daily_max_c: [
            -0.4, 1.6, 8.5, 14.7, 22.0, 26.8, 29.1, 26.9, 23.9, 16.3, 8.1, 0.1,
        ],
        daily_min_c: [
            -9.8, -7.1, -0.6, 5.2, 8.9, 14.7, 18.6, 16.7, 12.6, 5.4, 0.8, -7.9,
        ],
        sun: Sun::DailyKwhM2([1.9, 2.8, 3.8, 4.7, 6.0, 6.5, 6.4, 5.5, 4.4, 3.0, 1.9, 1.5]),
        moisture: Moisture::HumidityFrac([
            0.72, 0.70, 0.66, 0.62, 0.63, 0.65, 0.68, 0.71, 0.70, 0.68, 0.73, 0.76,
        ]),
        wind_m_s: Some([4.6, 4.7, 5.0, 5.0, 4.4, 3.9, 3.6, 3.4, 3.7, 4.2, 4.7, 4.5]),
        rain_mm: Some([
            50.0, 48.0, 68.0, 95.0, 105.0, 108.0, 95.0, 110.0, 82.0, 80.0, 75.0, 58.0,
        ]),
        rain_days: Some([
            10.0, 9.0, 11.0, 11.0, 11.0, 10.0, 9.0, 9.0, 8.0, 9.0, 10.0, 10.0,
        ]),
    }
}

fn differences(normals: &Normals, year: &WeatherYear) -> Vec<(&'static str, f64)> {
    let again = from_year(year, Known::ALL).expect("a whole year");
    let mut out = Vec::new();
    let mut compare = |what, a: &[f64; 12], b: &[f64; 12]| {
        for m in 0..12 {
            out.push((what, a[m] - b[m]));
        }
    };
    compare(
        "mean daily maximum, °C",
        &again.daily_max_c,
        &normals.daily_max_c,
    );
    compare(
        "mean daily minimum, °C",
        &again.daily_min_c,
        &normals.daily_min_c,
    );
    if let (Sun::DailyKwhM2(a), Sun::DailyKwhM2(b)) = (&again.sun, &normals.sun) {
        compare("mean daily sun, kWh/m²", a, b);
    }
    if let (Moisture::DewPointC(a), Moisture::DewPointC(b)) = (&again.moisture, &normals.moisture) {
        compare("mean dew point, °C", a, b);
    }
    if let (Some(a), Some(b)) = (&again.wind_m_s, &normals.wind_m_s) {
        compare("mean wind, m/s", a, b);
    }
    if let (Some(a), Some(b)) = (&again.rain_mm, &normals.rain_mm) {
        compare("rain of the month, mm", a, b);
    }
    out
}

/// Everything that no hour may be.
fn possible(what: &str, year: &WeatherYear) {
    let c = &year.columns;
    let outside = outside_w_m2(&year.place, year);
    for i in 0..year.len() {
        let at = format!("{what}, hour {i}");
        assert!(
            c.dew_point_c[i] <= c.air_c[i],
            "{at}: dew point above the air"
        );
        assert!(
            (-90.0..=60.0).contains(&c.air_c[i]),
            "{at}: {} °C",
            c.air_c[i]
        );
        assert!(
            (0.0..=60.0).contains(&c.wind_m_s[i]),
            "{at}: {} m/s",
            c.wind_m_s[i]
        );
        assert!(
            c.ghi_w_m2[i] >= 0.0 && c.ghi_w_m2[i] <= outside[i],
            "{at}: sun"
        );
        assert!(
            outside[i] > 0.0 || c.ghi_w_m2[i] + c.dni_w_m2[i] + c.dhi_w_m2[i] <= 0.0,
            "{at}: light at night"
        );
        assert!(
            c.dni_w_m2[i] >= 0.0
                && c.dhi_w_m2[i] >= 0.0
                && c.dhi_w_m2[i] <= c.ghi_w_m2[i] + ROUNDING,
            "{at}: parts"
        );
        if let Some(rain) = &c.rain_mm {
            assert!((0.0..=100.0).contains(&rain[i]), "{at}: {} mm", rain[i]);
        }
    }
}

#[test]
fn a_made_year_is_a_typical_year_and_the_same_for_its_seed() {
    let normals = invented();
    let year = generate(&normals, 7).expect("a year");
    assert_eq!(
        (year.format, year.kind, year.len()),
        (Format::Normals, YearKind::Typical, 8760)
    );
    assert!(year.is_whole_year());
    assert_eq!(year.normals, Some(Known::ALL));
    assert!(year.columns.infrared_w_m2.is_none() && year.columns.sky_cover_frac.is_none());
    assert_eq!(year, generate(&normals, 7).expect("a year"));
    let other = generate(&normals, 8).expect("a year");
    assert_ne!(year.columns.air_c, other.columns.air_c);
    assert_ne!(year.columns.ghi_w_m2, other.columns.ghi_w_m2);
}

#[test]
fn what_is_estimated_is_said() {
    let mut normals = invented();
    normals.sun = Sun::Unknown;
    normals.moisture = Moisture::Unknown;
    normals.wind_m_s = None;
    normals.rain_mm = None;
    let year = generate(&normals, 1).expect("a year");
    assert_eq!(
        year.normals,
        Some(Known {
            sun: false,
            moisture: false,
            wind: false
        })
    );
    for part in [
        "0.16 √span",
        "mean daily minimum",
        "2 m/s at 2 m",
        "standard atmosphere",
        "(seed 1)",
    ] {
        assert!(
            year.notes
                .iter()
                .any(|n| n.kind == NoteKind::Derived && n.text.contains(part)),
            "{part}"
        );
    }
    assert!(
        year.notes
            .iter()
            .any(|n| n.kind == NoteKind::NotGiven && n.text.contains("rain"))
    );
    // 2 m/s at 2 m by FAO-56 equation 47: 2 ln(672.58)/4.87 = 2.674 m/s at 10 m.
    let wind = year.columns.wind_m_s.iter().sum::<f64>() / 8760.0;
    assert!((wind - 2.674).abs() < 1e-3, "{wind}");
}

/// Spans of 30 K ask for 0.16 √30 = 0.876 of the sun outside, more than a clear sky near the sea's level lets through (0.75 to 0.8).
#[test]
fn an_estimate_above_a_clear_sky_is_held_and_said() {
    let mut normals = invented();
    let held = |normals: &Normals| {
        let year = generate(normals, 1).expect("a year");
        let note = year
            .notes
            .iter()
            .find(|n| n.text.contains("Paper 56, equation 50"));
        note.expect("a note on the sun")
            .text
            .contains("; held below a clear sky in 12 months")
    };
    normals.sun = Sun::Unknown;
    assert!(!held(&normals));
    normals.daily_min_c = normals.daily_max_c.map(|max| max - 30.0);
    normals.moisture = Moisture::Unknown;
    assert!(held(&normals));
}

/// A polar table in tenths of a kWh/m²: in February the sun hardly rises at 78° N, and its mean day of some hundredths is printed as 0.
#[test]
fn a_polar_twilight_printed_as_nothing_is_taken_and_said() {
    let mut polar = invented();
    polar.place.latitude_deg = 78.2;
    polar.place.longitude_deg = 15.6;
    polar.place.utc_offset_h = 1.0;
    polar.daily_max_c = [
        -8.0, -8.0, -9.0, -6.0, 0.0, 5.0, 9.0, 8.0, 3.0, -2.0, -5.0, -7.0,
    ];
    polar.daily_min_c = polar.daily_max_c.map(|max| max - 6.0);
    let table = [0.0, 0.0, 0.9, 3.4, 5.2, 5.0, 4.0, 2.4, 1.0, 0.2, 0.0, 0.0];
    polar.sun = Sun::DailyKwhM2(table);
    let year = generate(&polar, 1).expect("a year");
    possible("polar", &year);
    let told = |n: &swimdays_weather::Note| n.text.contains("within the table's last digit");
    assert!(year.notes.iter().any(told), "{:?}", year.notes);
    let Sun::DailyKwhM2(made) = from_year(&year, Known::ALL).expect("a whole year").sun else {
        panic!("sums")
    };
    for m in 0..12 {
        // Half of the last digit that such a table has.
        assert!(
            (made[m] - table[m]).abs() <= 0.05 + ROUNDING,
            "month {m}: {}",
            made[m]
        );
    }
    assert!(made[1] > 0.0, "the sun rises in February");

    // A whole digit is no rounding; nor is there any where the sun shines.
    for (month, sum) in [(1, 0.4), (0, 0.06), (5, 0.0)] {
        let mut wrong = table;
        wrong[month] = sum;
        polar.sun = Sun::DailyKwhM2(wrong);
        let error = generate(&polar, 1).expect_err("no such sun").to_string();
        assert!(error.contains("kWh/m²"), "{error}");
    }
    polar.sun = Sun::DailyKwhM2(table);
    polar.check().expect("as it was");
    let invented = generate(&invented(), 1).expect("a year");
    assert!(!invented.notes.iter().any(told));
}

#[test]
fn humidity_is_kept_and_sunshine_becomes_sun() {
    let mut normals = invented();
    for seed in 1..=5 {
        let year = generate(&normals, seed).expect("a year");
        let Moisture::HumidityFrac(wanted) = normals.moisture else {
            panic!("humidity")
        };
        let mut sums = [(0.0, 0.0); 12];
        for i in 0..year.len() {
            let c = &year.columns;
            let humidity = swimdays_properties::moist_air::relative_humidity_frac(
                c.air_c[i],
                c.dew_point_c[i],
            );
            sums[month(&year, i)].0 += humidity;
            sums[month(&year, i)].1 += 1.0;
        }
        for m in 0..12 {
            assert!((sums[m].0 / sums[m].1 - wanted[m]).abs() < HUMIDITY_ROUNDING_FRAC);
        }
    }
    // Ångström's relation turns the hours into a sum: FAO-56 example 10 (from memory): 22.9° S in May, 7.1 h
    // of sunshine of 10.9 h possible, R_a = 25.1 MJ/m²: 14.5 MJ/m².
    normals.place.latitude_deg = -22.9;
    normals.place.longitude_deg = -43.2;
    normals.place.utc_offset_h = -3.0;
    normals.place.altitude_m = 0.0;
    normals.sun = Sun::SunshineHours([7.1; 12]);
    let year = generate(&normals, 1).expect("a year");
    let (mut sun, mut outside) = (0.0, 0.0);
    let above = outside_w_m2(&year.place, &year);
    for (i, above) in above.iter().enumerate() {
        if month(&year, i) == 4 {
            sun += year.columns.ghi_w_m2[i] * 3.6e-3 / 31.0;
            outside += above * 3.6e-3 / 31.0;
        }
    }
    // The book takes the 15th for the month: within 0.3 MJ/m².
    assert!((outside - 25.1).abs() < 0.3, "{outside}");
    assert!((sun - 14.5).abs() < 0.3, "{sun}");
}

#[test]
fn monthly_means_are_kept_and_every_hour_is_possible() {
    let mut tables: Vec<(String, Normals)> = vec![("invented".into(), invented())];
    // A dry summer at 30° N and 4000 m: June has a clearness of 0.86, beyond what the long-term curves were drawn for.
    let mut high = invented();
    high.place.latitude_deg = 30.0;
    high.place.altitude_m = 4000.0;
    high.sun = Sun::DailyKwhM2([4.5, 5.5, 7.0, 8.5, 9.5, 9.94, 9.5, 8.8, 7.5, 6.0, 4.8, 4.2]);
    // Dew points, so that they too are looked at where there are no real years.
    high.moisture = Moisture::DewPointC(high.daily_min_c.map(|min| min - 4.0));
    tables.push(("high and clear".into(), high));
    for (name, year) in real_years().unwrap_or_default() {
        tables.push((name, from_year(&year, Known::ALL).expect("a whole year")));
    }
    let mut all: Vec<(&'static str, f64)> = Vec::new();
    for (name, normals) in &tables {
        for seed in 1..=5 {
            let year = generate(normals, seed).unwrap_or_else(|e| panic!("{name}: {e}"));
            possible(&format!("{name}, seed {seed}"), &year);
            all.extend(differences(normals, &year));
        }
    }
    let mut rows = vec![
        "| mean of the month, made less table | tables | years each | months | largest |"
            .to_owned(),
        "|---|---|---|---|---|".to_owned(),
    ];
    for what in [
        "mean daily maximum, °C",
        "mean daily minimum, °C",
        "mean daily sun, kWh/m²",
        "mean dew point, °C",
        "mean wind, m/s",
        "rain of the month, mm",
    ] {
        let of: Vec<f64> = all
            .iter()
            .filter(|(w, _)| *w == what)
            .map(|(_, d)| *d)
            .collect();
        let errors = Errors::of(&of);
        assert!(errors.max < ROUNDING, "{what}: {errors}");
        rows.push(format!(
            "| {what} | {} | 5 | {} | below 1e-9 |",
            tables.len(),
            errors.points
        ));
    }
    // The row counts hold only with the real years at hand.
    if tables.len() > 2 {
        validation::table("normals-kept", &rows);
    }
}
