//! Sick sensors and impossible radiation are named, and nothing in sound years is.

use swimdays_weather::{Column, WeatherYear};

use crate::{cos_of, damaged, doubts, years};

#[test]
fn sound_years_raise_no_doubt_but_what_is_odd_in_them() {
    for (name, year) in years() {
        let found: Vec<(Column, &str)> = doubts(&year)
            .into_iter()
            .map(|note| (note.column, note.text.as_str()))
            .collect();
        let odd = match name.as_str() {
            // One hour of 36 m/s, fallen from 2 m/s within the hour.
            "USA_CA_Mount.Shasta.725957_TMYx.epw" => vec![(Column::Wind, "hurricane")],
            _ => vec![],
        };
        assert_eq!(found.len(), odd.len(), "{name}: {found:?}");
        for (column, piece) in odd {
            assert!(
                found
                    .iter()
                    .any(|(c, text)| *c == column && text.contains(piece)),
                "{name}: {found:?}"
            );
        }
    }
}

#[test]
fn sick_sensors_are_named_with_their_place() {
    for (name, year) in years() {
        // 20 June, 10:00; a summer's and a winter's day in turn.
        let at = 24 * 170 + 10;
        let at_note = |read: &WeatherYear, column: Column, piece: &str, count: usize| {
            let note = doubts(read)
                .into_iter()
                .find(|note| note.column == column && note.text.contains(piece))
                .expect("asserted before")
                .clone();
            assert_eq!(
                (note.first, note.intervals),
                (Some(at), count),
                "{name}: {note:?}"
            );
            assert!(note.text.contains("20 June, 10:00"), "{name}: {note:?}");
        };
        let read = damaged(
            &name,
            &year,
            "stuck air",
            &[(Column::Air, "stands still")],
            |y| {
                y.columns.air_c[at..at + 72].fill(38.25);
            },
        );
        at_note(&read, Column::Air, "stands still", 72);
        let read = damaged(
            &name,
            &year,
            "stuck wind",
            &[(Column::Wind, "stands still")],
            |y| {
                y.columns.wind_m_s[at..at + 60].fill(3.33);
            },
        );
        at_note(&read, Column::Wind, "stands still", 60);
        damaged(
            &name,
            &year,
            "no wind",
            &[(Column::Wind, "there is no wind for more")],
            |y| {
                y.columns.wind_m_s[at..at + 400].fill(0.0);
            },
        );
        damaged(
            &name,
            &year,
            "calm year",
            if name.contains("Northway") {
                // Its own nine days of calm grow with it.
                &[
                    (Column::Wind, "more than half of the year"),
                    (Column::Wind, "there is no wind for more"),
                ]
            } else {
                &[(Column::Wind, "more than half of the year")]
            },
            |y| {
                for (i, value) in y.columns.wind_m_s.iter_mut().enumerate() {
                    if i % 5 != 0 {
                        *value = 0.0;
                    }
                }
            },
        );
        let read = damaged(
            &name,
            &year,
            "spike",
            &[(Column::Air, "jumps and comes back")],
            |y| {
                y.columns.air_c[at] = y.columns.air_c[at - 1] + 22.0;
            },
        );
        at_note(&read, Column::Air, "jumps", 1);
        // Four hours of one value around noon, closed: direct and diffuse are left as zero and that value.
        let read = damaged(
            &name,
            &year,
            "stuck sun",
            &[(Column::Ghi, "stands still")],
            |y| {
                y.columns.ghi_w_m2[at..at + 5].fill(312.0);
                y.columns.dhi_w_m2[at..at + 5].fill(312.0);
                y.columns.dni_w_m2[at..at + 5].fill(0.0);
            },
        );
        at_note(&read, Column::Ghi, "stands still", 5);
        if year.place.latitude_deg > 30.0 {
            let read = damaged(
                &name,
                &year,
                "no light",
                &[(Column::Ghi, "no light at all")],
                |y| {
                    let c = &mut y.columns;
                    for values in [&mut c.ghi_w_m2, &mut c.dni_w_m2, &mut c.dhi_w_m2] {
                        values[at..at + 3].fill(0.0);
                    }
                },
            );
            at_note(&read, Column::Ghi, "no light at all", 3);
        }
        damaged(
            &name,
            &year,
            "copied days",
            &[(Column::Air, "copy of another day (of 18 June)")],
            |y| {
                for (_, values) in y.columns.each_mut() {
                    values.copy_within(24 * 168..24 * 169, 24 * 170);
                    values.copy_within(24 * 168..24 * 169, 24 * 171);
                }
            },
        );
    }
}

#[test]
fn impossible_radiation_is_named() {
    for (name, year) in years() {
        let noon = 24 * 80 + 12;
        damaged(
            &name,
            &year,
            "bright night",
            &[(Column::Ghi, "sun is down")],
            |y| {
                // Midnight of the equinox, dark everywhere that has a night.
                y.columns.ghi_w_m2[24 * 80..24 * 80 + 2].fill(80.0);
                y.columns.dhi_w_m2[24 * 80..24 * 80 + 2].fill(45.0);
            },
        );
        damaged(
            &name,
            &year,
            "direct above the sun",
            &[(Column::Dni, "more than the sun can send")],
            |y| {
                y.columns.dni_w_m2[noon] = 1450.0;
            },
        );
        damaged(
            &name,
            &year,
            "diffuse above the sun",
            &[(Column::Dhi, "more than the sun can send")],
            |y| {
                // 0.95 × 1417 + 50 is the most under the highest sun; the reader lets in 1000.
                y.columns.dhi_w_m2[24 * 80 + 7] = 990.0;
            },
        );
        damaged(
            &name,
            &year,
            "direct on the level",
            &[(Column::Ghi, "not direct and diffuse together")],
            |y| {
                let cos: Vec<f64> = (0..y.len()).map(|i| cos_of(y, i)).collect();
                for (value, cos) in y.columns.dni_w_m2.iter_mut().zip(cos) {
                    *value *= cos.max(0.0);
                }
            },
        );
    }
}
