//! Wrong clocks and places are named.

use swimdays_weather::{Column, WeatherYear};

use crate::{damaged, years};

#[test]
fn a_wrong_clock_or_place_is_named() {
    for (name, year) in years() {
        let offset = year.place.utc_offset_h;
        let rotate = |year: &mut WeatherYear, hours: f64| {
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "whole hours from 0"
            )]
            let by = (hours.rem_euclid(24.0)) as usize;
            for (_, values) in year.columns.each_mut() {
                values.rotate_right(by);
            }
        };
        let place = Column::Place;
        // Local hour h is written as UTC hour h − offset.
        if offset.abs() > 1.5 {
            damaged(
                &name,
                &year,
                "UTC",
                &[(place, "the times are in UTC")],
                |y| {
                    rotate(y, -offset);
                },
            );
        }
        for hours in [-4.0_f64, -2.0, 3.0] {
            // The file's zone is so many hours too far east; near Greenwich that may be the sign's fault, and is said so.
            let would = format!("the time zone is {offset:+} h");
            if offset.abs() > 1.5 && offset + hours > -12.0 {
                damaged(&name, &year, "zone", &[(place, &would)], |y| {
                    y.place.utc_offset_h += hours;
                });
            }
        }
        if year.place.longitude_deg.abs() > 15.0 {
            damaged(
                &name,
                &year,
                "longitude",
                &[(
                    place,
                    "likeliest first, if the longitude has the wrong sign",
                )],
                |y| y.place.longitude_deg = -y.place.longitude_deg,
            );
        }
        if year.place.latitude_deg.abs() > 30.0 {
            damaged(
                &name,
                &year,
                "latitude",
                &[
                    (place, "the latitude has the wrong sign"),
                    (Column::Air, "winter"),
                ],
                |y| y.place.latitude_deg = -y.place.latitude_deg,
            );
        }
    }
}
