//! What each format's traps come to: time labels, mixed years, missing signs, units, gaps.
//!
//! The traps were met in the published files that `tests/tests/weather_real_files.rs` reads; here each is rebuilt small.

use std::fmt::Write as _;

use chrono::{NaiveDate, NaiveDateTime};
use swimdays_weather::{Column, NoteKind, WeatherError, WeatherYear, YearKind, parse};

/// Summing and dividing a few decimal numbers.
const ROUNDING: f64 = 1e-9;

fn at(year: i32, month: u32, day: u32, hour: u32) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(year, month, day)
        .and_then(|d| d.and_hms_opt(hour, 0, 0))
        .expect("a date")
}

fn close(found: f64, expected: f64) -> bool {
    (found - expected).abs() < ROUNDING
}

/// A row of an EPW: date, and the fields that differ from a calm overcast hour.
fn epw_row(date: &str, fields: &[(usize, &str)]) -> String {
    let mut cells: Vec<String> = "0,0,0,0,0,?9?9,12.5,10.5,88,100000,9999,9999,330,100,0,100,999999,999999,999999,9999,180,2.5,8,8,9999,99999,9,999999999,999,.999,999,99,.2,.4,1"
        .split(',')
        .map(String::from)
        .collect();
    for (cell, part) in cells.iter_mut().zip(date.split(' ')) {
        *cell = part.into();
    }
    for (at, text) in fields {
        cells[*at] = (*text).into();
    }
    cells.join(",")
}

fn epw(header_source: &str, periods: &str, rows: &[String]) -> String {
    format!(
        "LOCATION,Nowhere,-,-,{header_source},999999,50.0,7.5,1.0,-2.0\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVING,No,0,0,0\nCOMMENTS 1,\"made, by hand\"\nCOMMENTS 2\nDATA PERIODS,{periods}\n{}\n",
        rows.join("\n")
    )
}

fn epw_day(minute: &str, fields: &[(usize, &str)]) -> Vec<String> {
    (1..=24)
        .map(|hour| epw_row(&format!("2019 6 10 {hour} {minute}"), fields))
        .collect()
}

fn read(text: &str) -> WeatherYear {
    parse(text.as_bytes(), "made").unwrap_or_else(|error| panic!("{error}"))
}

fn noted(year: &WeatherYear, kind: NoteKind, column: Column) -> usize {
    year.notes
        .iter()
        .filter(|n| n.kind == kind && n.column == column)
        .map(|n| n.intervals)
        .sum()
}

#[test]
fn the_minute_field_of_hourly_epw_shifts_nothing() {
    let years: Vec<WeatherYear> = ["0", "30", "60", ""]
        .iter()
        .map(|minute| {
            read(&epw(
                "-",
                "1,1,Data,Monday,6/10,6/10",
                &epw_day(minute, &[]),
            ))
        })
        .collect();
    assert!(years.windows(2).all(|pair| pair[0] == pair[1]));
    assert_eq!(years[0].first_start, at(2019, 6, 10, 0));
    assert_eq!((years[0].len(), years[0].interval_minutes), (24, 60));
    assert_eq!(years[0].kind, YearKind::Measured);
    assert!(close(years[0].place.altitude_m, -2.0));
}

#[test]
fn half_hours_are_told_by_their_minute_or_by_their_order() {
    for minutes in [["30", "60"], ["0", "0"]] {
        let rows: Vec<String> = (1..=24)
            .flat_map(|hour| minutes.map(|m| epw_row(&format!("2019 6 10 {hour} {m}"), &[])))
            .collect();
        let year = read(&epw("-", "1,2,Data,Monday,6/10,6/10", &rows));
        assert_eq!((year.len(), year.interval_minutes), (48, 30));
        assert_eq!(year.first_start, at(2019, 6, 10, 0));
    }
}

/// EPW data dictionary: each field's own sign for a missing value.
#[test]
fn signs_for_missing_are_no_values() {
    let mut rows = epw_day("0", &[]);
    for (hour, at, sign) in [
        (3, 6, "99.9"),
        (5, 7, "99.9"),
        (7, 9, "999999"),
        (9, 13, "9999"),
        (9, 14, "9999"),
        (9, 15, "9999"),
        (11, 21, "999"),
        (12, 22, "99"),
        (13, 12, "9999"),
        (14, 32, "999"),
        (15, 33, "999"),
    ] {
        let mut cells: Vec<&str> = rows[hour].split(',').collect();
        cells[at] = sign;
        rows[hour] = cells.join(",");
    }
    let year = read(&epw("-", "1,1,Data,Monday,6/10,6/10", &rows));
    let c = &year.columns;
    assert!(c.air_c.iter().all(|&v| close(v, 12.5)));
    assert!(c.pressure_pa.iter().all(|&v| close(v, 100_000.0)));
    // The missing radiation is that of the clearness on either side, with the sun of its own hour, and split.
    for (i, (&ghi, &dhi)) in c.ghi_w_m2.iter().zip(&c.dhi_w_m2).enumerate() {
        if i == 9 {
            assert!(ghi > 50.0 && ghi < 200.0 && dhi > 0.0 && dhi <= ghi);
        } else {
            assert!(close(ghi, 100.0) && close(dhi, 100.0), "{i}");
        }
    }
    assert_eq!(noted(&year, NoteKind::Derived, Column::Dni), 1);
    assert!(c.wind_m_s.iter().all(|&v| close(v, 2.5)));
    assert!(
        c.sky_cover_frac
            .as_ref()
            .is_some_and(|v| v.iter().all(|&v| close(v, 0.8)))
    );
    assert!(
        c.infrared_w_m2
            .as_ref()
            .is_some_and(|v| v.iter().all(|&v| close(v, 330.0)))
    );
    assert!(
        c.albedo_frac
            .as_ref()
            .is_some_and(|v| v.iter().all(|&v| close(v, 0.2)))
    );
    // A missing dew point follows from the humidity beside it: 88 % at 12.5 °C is 10.569 °C (psychrolib 2.5.0).
    assert_eq!(noted(&year, NoteKind::Derived, Column::DewPoint), 1);
    assert!(
        (c.dew_point_c[5] - 10.569).abs() < 0.002,
        "{}",
        c.dew_point_c[5]
    );
    // Missing rain is no rain, and said so.
    assert_eq!(noted(&year, NoteKind::Filled, Column::Rain), 1);
    assert!(
        c.rain_mm
            .as_ref()
            .is_some_and(|v| close(v[15], 0.0) && close(v[16], 0.4))
    );
    for column in [
        Column::Air,
        Column::Ghi,
        Column::Wind,
        Column::SkyCover,
        Column::Infrared,
    ] {
        assert_eq!(noted(&year, NoteKind::Filled, column), 1, "{column}");
    }
}

#[test]
fn columns_that_are_0_or_missing_throughout_are_not_given() {
    let fields = [(12, "0"), (22, "99"), (32, "0"), (33, "0")];
    let year = read(&epw(
        "-",
        "1,1,Data,Monday,6/10,6/10",
        &epw_day("0", &fields),
    ));
    let c = &year.columns;
    assert_eq!(
        (
            &c.infrared_w_m2,
            &c.sky_cover_frac,
            &c.albedo_frac,
            &c.rain_mm
        ),
        (&None, &None, &None, &None)
    );
    for column in [
        Column::Infrared,
        Column::SkyCover,
        Column::Albedo,
        Column::Rain,
    ] {
        assert_eq!(noted(&year, NoteKind::NotGiven, column), 24, "{column}");
    }
}

#[test]
fn old_rows_without_albedo_and_rain_are_read() {
    let rows: Vec<String> = epw_day("0", &[])
        .iter()
        .map(|row| row.split(',').take(32).collect::<Vec<_>>().join(","))
        .collect();
    let year = read(&epw("-", "1,1,Data,Monday,6/10,6/10", &rows));
    assert_eq!(
        (&year.columns.albedo_frac, &year.columns.rain_mm),
        (&None, &None)
    );
}

#[test]
fn a_little_below_zero_at_night_is_read_as_zero_and_told() {
    let mut rows = epw_day("0", &[]);
    rows[0] = epw_row("2019 6 10 1 0", &[(13, "-1.2"), (15, "-0.0")]);
    let year = read(&epw("-", "1,1,Data,Monday,6/10,6/10", &rows));
    assert!(close(year.columns.ghi_w_m2[0], 0.0) && year.columns.dhi_w_m2[0].is_sign_positive());
    // Known, not guessed.
    assert_eq!(noted(&year, NoteKind::Derived, Column::Ghi), 1);
    for column in [Column::Ghi, Column::Dhi] {
        assert_eq!(noted(&year, NoteKind::Filled, column), 0);
    }
}

#[test]
fn missing_pressure_is_the_standard_atmosphere_s() {
    let year = read(&epw(
        "-",
        "1,1,Data,Monday,6/10,6/10",
        &epw_day("0", &[(9, "999999")]),
    ));
    // ASHRAE Fundamentals, Psychrometrics, eq. 3 at −2 m: 101325 (1 + 4.51154e-5)^5.2559 = 101349.0 Pa.
    assert!(
        year.columns
            .pressure_pa
            .iter()
            .all(|p| (p - 101_349.0).abs() < 0.1)
    );
    assert_eq!(noted(&year, NoteKind::Derived, Column::Pressure), 24);
}

#[test]
fn a_dew_point_above_the_air_is_doubted_not_changed() {
    let year = read(&epw(
        "-",
        "1,1,Data,Monday,6/10,6/10",
        &epw_day("0", &[(7, "14.0")]),
    ));
    assert!(year.columns.dew_point_c.iter().all(|&d| close(d, 14.0)));
    assert_eq!(noted(&year, NoteKind::Doubtful, Column::DewPoint), 24);
}

#[test]
fn a_wrong_sign_of_the_longitude_is_doubted() {
    let text = epw("-", "1,1,Data,Monday,6/10,6/10", &epw_day("0", &[]));
    assert_eq!(noted(&read(&text), NoteKind::Doubtful, Column::Place), 0);
    let text = text.replace("50.0,7.5,1.0", "50.0,-87.5,6.0");
    assert_eq!(noted(&read(&text), NoteKind::Doubtful, Column::Place), 24);
}

/// Hours of a year, January to December of the years given by month.
fn months(year_of: impl Fn(u32) -> i32, leap_day: bool) -> Vec<NaiveDateTime> {
    let mut starts = Vec::new();
    for month in 1..=12 {
        let mut now = at(year_of(month), month, 1, 0);
        while now.format("%m").to_string() == format!("{month:02}") {
            if leap_day || now.format("%m-%d").to_string() != "02-29" {
                starts.push(now);
            }
            now += chrono::TimeDelta::hours(1);
        }
    }
    starts
}

fn epw_of(source: &str, starts: &[NaiveDateTime]) -> String {
    let rows: Vec<String> = starts
        .iter()
        .enumerate()
        .map(|(i, start)| {
            let hour: u32 = start.format("%H").to_string().parse().expect("hour");
            // The air tells each row's place: its index in hundredths of a degree, below 60.
            let air = format!(
                "{}",
                f64::from(u32::try_from(i % 5000).expect("small")) / 100.0
            );
            epw_row(
                &start
                    .format(&format!("%Y %-m %-d {} 0", hour + 1))
                    .to_string(),
                &[(6, &air), (7, "-5")],
            )
        })
        .collect();
    epw(source, "1,1,Data,Monday,1/1,12/31", &rows)
}

#[test]
fn months_of_different_years_make_a_typical_year_labelled_2001() {
    let year = read(&epw_of(
        "-",
        &months(
            |month| 1980 + i32::try_from(month * 7 % 12).expect("small"),
            false,
        ),
    ));
    assert_eq!((year.kind, year.len()), (YearKind::Typical, 8760));
    assert_eq!(year.first_start, at(2001, 1, 1, 0));
    assert_eq!(year.start_of(8759), at(2001, 12, 31, 23));
    assert_eq!(year.start_of((31 + 28) * 24), at(2001, 3, 1, 0));
    assert!(year.is_whole_year());
    assert!(close(year.columns.air_c[4321], 43.21));
}

#[test]
fn a_typical_year_loses_its_leap_day_with_a_note() {
    let mixed = |month| if month == 2 { 1996 } else { 1990 };
    let year = read(&epw_of("-", &months(mixed, true)));
    assert_eq!(
        (year.kind, year.len(), year.is_whole_year()),
        (YearKind::Typical, 8760, true)
    );
    assert_eq!(noted(&year, NoteKind::Derived, Column::Time), 24);
    // 1 March follows 28 February; the air counts the 24 hours that are gone.
    let march = (31 + 28) * 24;
    assert!(close(
        year.columns.air_c[march] - year.columns.air_c[march - 1],
        0.25
    ));
}

#[test]
fn a_measured_leap_year_keeps_its_29_february() {
    let year = read(&epw_of("-", &months(|_| 2020, true)));
    assert_eq!(
        (year.kind, year.len(), year.is_whole_year()),
        (YearKind::Measured, 8784, true)
    );
    assert_eq!(year.start_of(8783), at(2020, 12, 31, 23));
}

#[test]
fn a_leap_year_without_its_leap_day_is_treated_as_typical_and_told() {
    let year = read(&epw_of("-", &months(|_| 2020, false)));
    assert_eq!(
        (year.kind, year.len(), year.is_whole_year()),
        (YearKind::Typical, 8760, true)
    );
    assert_eq!(noted(&year, NoteKind::Derived, Column::Time), 8760);
}

#[test]
fn a_typical_year_from_july_is_turned_to_january() {
    let starts = months(|_| 2005, false);
    let july = 181 * 24;
    let turned: Vec<NaiveDateTime> = starts[july..]
        .iter()
        .copied()
        .chain(months(|_| 1999, false)[..july].iter().copied())
        .collect();
    let year = read(&epw_of("TMYx", &turned));
    assert_eq!((year.kind, year.len()), (YearKind::Typical, 8760));
    assert_eq!(year.first_start, at(2001, 1, 1, 0));
    // Row 0 of the file is 1 July 00:00.
    assert!(close(year.columns.air_c[july], 0.0) && close(year.columns.air_c[july + 7], 0.07));
}

#[test]
fn one_calendar_year_is_measured_unless_the_file_says_typical() {
    let starts = months(|_| 2019, false);
    assert_eq!(read(&epw_of("ISD", &starts)).kind, YearKind::Measured);
    assert_eq!(read(&epw_of("ISD", &starts)).first_start, at(2019, 1, 1, 0));
    let typical = read(&epw_of("IWEC Data", &starts));
    assert_eq!(
        (typical.kind, typical.first_start),
        (YearKind::Typical, at(2001, 1, 1, 0))
    );
}

#[test]
fn missing_rows_are_filled_up_to_three_hours() {
    let day = epw_day("0", &[(13, "0"), (15, "0")]);
    let without = |range: std::ops::Range<usize>| {
        let mut rows = day.clone();
        rows.drain(range);
        parse(
            epw("-", "1,1,Data,Monday,6/10,6/10", &rows).as_bytes(),
            "made",
        )
    };
    let year = without(4..6).expect("two hours are filled");
    assert_eq!(
        (year.len(), noted(&year, NoteKind::Filled, Column::Time)),
        (24, 2)
    );
    assert!(
        matches!(without(4..7), Err(WeatherError::Gap { .. })),
        "three hours of radiation"
    );
    assert!(
        matches!(without(4..8), Err(WeatherError::Time { .. })),
        "four hours"
    );
}

/// TMY3 rows with the columns that count; a comment in the station line, blanks, a broken unit.
fn tmy3(rows: &[String]) -> Vec<u8> {
    let mut text = b"0,Nowhere,NA,-5,44.4,-73.2,41,\"Copyright \xae, and more\",,\nDate (MM/DD/YYYY),Time (HH:MM),GHI (W/m\xb2),DNI (W/m^2)),DHI (W/m^2),TotCld (tenths),Dry-bulb (C),Dew-point (C),RHum (%),Pressure (mbar),Wspd (m/s),Alb (unitless),Lprecip depth (mm),Lprecip quantity (hr)\n".to_vec();
    text.extend(rows.join("\r\n").into_bytes());
    text
}

fn tmy3_row(label: &str, rain: &str, hours: &str) -> String {
    format!("{label},100,0,100,7,12.5,,88,-9900,2.5,0.0,{rain},{hours}")
}

#[test]
fn tmy3_labels_are_the_end_of_the_hour_in_either_way_of_writing_midnight() {
    let day = |last: &str| {
        let mut rows: Vec<String> = (1..=23)
            .map(|h| tmy3_row(&format!("12/31/2021,{h:02}:00"), "", ""))
            .collect();
        rows.push(tmy3_row(last, "", ""));
        parse(&tmy3(&rows), "made").unwrap_or_else(|error| panic!("{error}"))
    };
    let year = day("12/31/2021,24:00");
    assert_eq!(year, day("01/01/2022,00:00"));
    assert_eq!((year.first_start, year.len()), (at(2021, 12, 31, 0), 24));
    assert_eq!(year.kind, YearKind::Measured);
    let c = &year.columns;
    assert!(c.sky_cover_frac.as_ref().is_some_and(|v| close(v[0], 0.7)));
    assert_eq!(
        (&c.albedo_frac, &c.rain_mm, &c.infrared_w_m2),
        (&None, &None, &None)
    );
    assert_eq!(noted(&year, NoteKind::Derived, Column::DewPoint), 24);
    assert_eq!(noted(&year, NoteKind::Derived, Column::Pressure), 24);
}

#[test]
fn rain_gathered_over_hours_is_spread_over_them_and_99_hours_means_unknown() {
    let mut rows: Vec<String> = (1..=24)
        .map(|h| tmy3_row(&format!("06/10/2019,{h:02}:00"), "0", "1"))
        .collect();
    rows[11] = tmy3_row("06/10/2019,12:00", "6", "6");
    rows[20] = tmy3_row("06/10/2019,21:00", "2", "99");
    let year = parse(&tmy3(&rows), "made").unwrap_or_else(|error| panic!("{error}"));
    let rain = year.columns.rain_mm.expect("rain");
    assert!((6..12).all(|i| close(rain[i], 1.0)), "{rain:?}");
    assert!(close(rain[20], 2.0) && close(rain.iter().sum(), 8.0));
}

#[test]
fn rain_beyond_any_record_discredits_the_column() {
    let mut rows: Vec<String> = (1..=24)
        .map(|h| tmy3_row(&format!("06/10/2019,{h:02}:00"), "1", "1"))
        .collect();
    rows[3] = tmy3_row("06/10/2019,04:00", "500", "1");
    let year = parse(&tmy3(&rows), "made").unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(year.columns.rain_mm, None);
    assert_eq!(noted(&year, NoteKind::Doubtful, Column::Rain), 24);
}

#[test]
fn quarter_hours_in_tmy3_keep_their_interval() {
    let mut rows = Vec::new();
    for minutes in (15..=1440).step_by(15) {
        let mut label = String::new();
        let _ = write!(label, "06/10/2019,{:02}:{:02}", minutes / 60, minutes % 60);
        rows.push(tmy3_row(&label, "0.5", "1"));
    }
    let year = parse(&tmy3(&rows), "made").unwrap_or_else(|error| panic!("{error}"));
    assert_eq!((year.interval_minutes, year.len()), (15, 96));
    assert!(close(year.interval_s(), 900.0));
    assert!(
        year.columns
            .rain_mm
            .is_some_and(|rain| close(rain.iter().sum(), 48.0))
    );
}
