//! Mistaken units are named.

use swimdays_solar::black_body_w_m2;
use swimdays_weather::{Column, WeatherYear, read};

use crate::{cos_of, damaged, doubts, mean, sample, through, years};

#[test]
fn mistaken_units_are_named() {
    for (name, year) in years() {
        let sun = |y: &mut WeatherYear, factor: f64| {
            let c = &mut y.columns;
            for values in [&mut c.ghi_w_m2, &mut c.dni_w_m2, &mut c.dhi_w_m2] {
                for value in values {
                    *value *= factor;
                }
            }
        };
        damaged(
            &name,
            &year,
            "MJ an hour",
            &[(Column::Ghi, "it may be in MJ/m² an hour")],
            |y| {
                sun(y, 0.0036);
            },
        );
        damaged(
            &name,
            &year,
            "kW",
            &[(Column::Ghi, "it may be in kW/m²")],
            |y| {
                sun(y, 0.001);
            },
        );
        // A kilojoule an hour is 1/3.6 W: more than the sun can send, and than the reader lets in.
        let mut bad = year.clone();
        sun(&mut bad, 3.6);
        let error = through(&bad).expect_err("more than 1500 W/m²").to_string();
        assert!(error.contains("check the column's unit"), "{error}");

        damaged(
            &name,
            &year,
            "wind",
            &[(
                Column::Wind,
                if mean(&year.columns.wind_m_s) * 3.6 > 10.0 {
                    "km/h"
                } else {
                    "hurricane"
                },
            )],
            |y| {
                for value in &mut y.columns.wind_m_s {
                    *value *= 3.6;
                    *value = value.min(60.0);
                }
            },
        );
        // Temperatures in °F pass the reader's limits only where no day is warm.
        for column in [Column::Air, Column::DewPoint] {
            let mut bad = year.clone();
            let values = if column == Column::Air {
                &mut bad.columns.air_c
            } else {
                &mut bad.columns.dew_point_c
            };
            for value in values {
                *value = *value * 1.8 + 32.0;
            }
            let error = through(&bad).expect_err("beyond the limits").to_string();
            assert!(error.contains("it looks like °F"), "{name}: {error}");
        }
        if let Some(cover) = year
            .columns
            .sky_cover_frac
            .clone()
            .filter(|c| c.iter().any(|&c| c > 0.95))
        {
            damaged(&name, &year, "oktas", &[(Column::SkyCover, "oktas")], |y| {
                y.columns.sky_cover_frac =
                    Some(cover.iter().map(|c| (c * 8.0).round() / 10.0).collect());
            });
        }
        if year.place.altitude_m > 900.0 {
            damaged(
                &name,
                &year,
                "sea level",
                &[(Column::Pressure, "does not fit the altitude")],
                |y| {
                    y.columns.pressure_pa.fill(101_300.0);
                    y.columns.pressure_pa[0] = 101_000.0;
                },
            );
        }
        if year.place.altitude_m < 600.0 {
            damaged(
                &name,
                &year,
                "another altitude",
                &[(Column::Pressure, "does not fit the altitude")],
                |y| {
                    y.place.altitude_m += 1000.0;
                    y.columns.pressure_pa[0] -= 200.0;
                },
            );
        }
    }
}

/// A station at 260 m said to stand at 3500 m: too warm for its altitude, and too much air.
#[test]
fn air_that_does_not_fit_the_place_is_named() {
    let year = read(&sample("temperate.epw")).expect("sample");
    damaged(
        "temperate",
        &year,
        "another mountain",
        &[
            (Column::Air, "does not fit latitude"),
            (Column::Pressure, "does not fit the altitude"),
        ],
        |y| {
            y.place.altitude_m = 3500.0;
            y.columns.pressure_pa[0] -= 200.0;
        },
    );
}

#[test]
fn longwave_that_does_not_fit_the_air_is_named() {
    for name in ["temperate.epw", "hot-dry.epw", "cool-south.epw"] {
        let mut year = read(&sample(name)).expect("sample");
        let sky = year
            .columns
            .air_c
            .iter()
            .map(|&air_c| 0.8 * black_body_w_m2(air_c));
        year.columns.infrared_w_m2 = Some(sky.collect());
        let year = through(&year).expect("our own file");
        let read = damaged(
            name,
            &year,
            "longwave",
            &[(Column::Infrared, "does not fit the air temperature")],
            |y| {
                if let Some(infrared) = &mut y.columns.infrared_w_m2 {
                    infrared[4000] *= 1.6;
                }
            },
        );
        let note = doubts(&read)[0];
        assert_eq!((note.first, note.intervals), (Some(4000), 1));
    }
}

/// A July with 85 % of the sun outside the air in every hour: its days are none too clear for a clear day, all of them together are.
#[test]
fn a_month_that_is_too_clear_is_named() {
    /// The sun outside the air at its mean distance, W/m²; in July 3 % less arrives.
    const OUTSIDE_W_M2: f64 = 1361.0 * 0.967;
    /// Share of the direct sun, so that global, direct and diffuse close.
    const DIRECT: f64 = 0.7;
    let year = read(&sample("temperate.epw")).expect("sample");
    let with_july = |clearness: f64| {
        move |y: &mut WeatherYear| {
            for i in 181 * 24..212 * 24 {
                let cos = cos_of(y, i).max(0.0);
                let lit = y.columns.ghi_w_m2[i] > 0.0;
                let outside = if lit { OUTSIDE_W_M2 * cos } else { 0.0 };
                y.columns.ghi_w_m2[i] = clearness * outside;
                y.columns.dhi_w_m2[i] = (clearness - DIRECT) * outside;
                y.columns.dni_w_m2[i] = if lit {
                    // Sensors are never quite still.
                    DIRECT * OUTSIDE_W_M2 + f64::from(u8::from(i % 2 == 0))
                } else {
                    0.0
                };
            }
        }
    };
    let piece = "no month on Earth is so clear";
    damaged(
        "temperate",
        &year,
        "clear July",
        &[(Column::Ghi, piece)],
        with_july(0.855),
    );
    let mut possible = year.clone();
    with_july(0.82)(&mut possible);
    let read = through(&possible).expect("our own file");
    assert!(!doubts(&read).iter().any(|note| note.text.contains(piece)));
}

/// Clear days as they should be, one in eight, and next to no light between them: no single day is impossible, the year is.
#[test]
fn a_year_that_is_too_dark_is_named() {
    let year = read(&sample("temperate.epw")).expect("sample");
    let dark = |share: f64| {
        move |y: &mut WeatherYear| {
            let c = &mut y.columns;
            for (i, day) in (0..365).map(|d| (d, d * 24..d * 24 + 24)) {
                if i % 8 == 0 {
                    continue;
                }
                for h in day {
                    c.ghi_w_m2[h] = (c.ghi_w_m2[h] * share).round();
                    c.dhi_w_m2[h] = c.ghi_w_m2[h];
                    c.dni_w_m2[h] = 0.0;
                }
            }
        }
    };
    let piece = "no place between 60° N and S is so dark";
    damaged(
        "temperate",
        &year,
        "dark",
        &[(Column::Ghi, piece)],
        dark(0.35),
    );
    let mut possible = year.clone();
    dark(0.8)(&mut possible);
    let read = through(&possible).expect("our own file");
    assert!(!doubts(&read).iter().any(|note| note.text.contains(piece)));
}

/// A table in kWh under a heading of MJ: every month is possible somewhere, the year is not.
#[test]
fn a_table_in_another_unit_is_named() {
    use swimdays_weather::normals::{Sun, generate, read_table};
    const MJ_OF_KWH: f64 = 3.6;
    for name in ["temperate", "hot-dry", "cool-south"] {
        let mut table = read_table(&sample(&format!("{name}.normals.csv"))).expect("sample");
        let doubted = |table: &_| {
            let year = generate(table, 1).expect("a year");
            doubts(&year)
                .iter()
                .any(|note| note.column == Column::Ghi && note.text.contains("MJ or kWh?"))
        };
        assert!(!doubted(&table), "{name}");
        if let Sun::DailyKwhM2(sun) = &mut table.sun {
            for sum in sun {
                *sum /= MJ_OF_KWH;
            }
        }
        assert!(doubted(&table), "{name}");
    }
}
