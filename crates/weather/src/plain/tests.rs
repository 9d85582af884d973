//! What people write, and what it comes to.

use chrono::{NaiveDate, NaiveDateTime};

use crate::{Column, Format, NoteKind, ReadOptions, WeatherYear, YearKind, parse, parse_with};

/// Sums and products of a few decimal numbers.
const ROUNDING: f64 = 1e-9;

const HEAD: &str = "# latitude_deg: 50\n# longitude_deg: 10\n# altitude_m: 200\n";
const NAMES: &str = "air_c,dew_point_c,wind_m_s,ghi_w_m2,dni_w_m2,dhi_w_m2";
const VALUES: &str = "20,10,2,300,400,100";

fn at(day: u32, hour: u32, minute: u32) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 5, day)
        .and_then(|d| d.and_hms_opt(hour, minute, 0))
        .expect("a date")
}

fn read(text: &str) -> WeatherYear {
    parse(text.as_bytes(), "made").unwrap_or_else(|error| panic!("{error}\n{text}"))
}

fn error(text: &str) -> String {
    parse(text.as_bytes(), "made").expect_err(text).to_string()
}

/// A file of these times, every row alike.
fn file(head: &str, time_name: &str, times: &[&str]) -> String {
    let rows: Vec<String> = times.iter().map(|t| format!("{t},{VALUES}\n")).collect();
    format!("{HEAD}{head}{time_name},{NAMES}\n{}", rows.concat())
}

fn close(found: f64, expected: f64) -> bool {
    (found - expected).abs() < ROUNDING
}

fn says(year: &WeatherYear, part: &str) -> bool {
    year.notes.iter().any(|note| note.text.contains(part))
}

#[test]
fn a_small_file_is_read() {
    let year = read(&file(
        "# place: Here\n# utc_offset_h: 1\n",
        "time",
        &["2026-05-14 13:00", "2026-05-14 14:00"],
    ));
    assert_eq!(year.format, Format::Plain);
    assert_eq!(year.kind, YearKind::Measured);
    assert_eq!(year.place.name, "Here");
    assert_eq!(
        (year.first_start, year.interval_minutes, year.len()),
        (at(14, 13, 0), 60, 2)
    );
    assert!(close(year.columns.dhi_w_m2[1], 100.0) && close(year.place.utc_offset_h, 1.0));
}

/// The same hour written in every way that a time may be labelled.
#[test]
fn labels_start_middle_and_end_meet() {
    for (head, name, times) in [
        ("", "time", ["2026-05-14 13:00", "2026-05-14 14:00"]),
        (
            "# time: start\n",
            "time",
            ["2026-05-14 13:00", "2026-05-14 14:00"],
        ),
        (
            "# time: middle\n",
            "time",
            ["2026-05-14 13:30", "2026-05-14 14:30"],
        ),
        (
            "# time: end\n",
            "time",
            ["2026-05-14 14:00", "2026-05-14 15:00"],
        ),
        ("", "time_start", ["2026-05-14 13:00", "2026-05-14 14:00"]),
        ("", "time_middle", ["2026-05-14 13:30", "2026-05-14 14:30"]),
        (
            "# time: start\n",
            "time_end",
            ["2026-05-14 14:00", "2026-05-14 15:00"],
        ),
    ] {
        let year = read(&file(head, name, &times));
        assert_eq!(year.first_start, at(14, 13, 0), "{head}{name}");
        assert_eq!(year.interval_minutes, 60);
    }
    let quarter = read(&file(
        "# time: middle\n",
        "time",
        &["2026-05-14 13:07:30", "2026-05-14 13:22:30"],
    ));
    assert_eq!(
        (quarter.first_start, quarter.interval_minutes),
        (at(14, 13, 0), 15)
    );
    let midnight = read(&file(
        "# time: end\n",
        "time",
        &["2026-05-14 23:00", "2026-05-14 24:00"],
    ));
    assert_eq!(midnight.first_start, at(14, 22, 0));
    assert!(says(
        &read(&file("", "time", &["2026-05-14 13:30", "2026-05-14 14:30"])),
        "# time: middle"
    ));
}

/// Germany, 25 October 2026: at 03:00 summer time the clock goes back to 02:00. Each hour has its own offset.
#[test]
fn offsets_take_out_summer_time() {
    let text = file(
        "",
        "time",
        &[
            "2026-10-25T01:00+02:00",
            "2026-10-25T02:00+02:00",
            "2026-10-25T02:00+01:00",
            "2026-10-25T03:00+01:00",
        ],
    );
    let year = read(&text);
    assert!(close(year.place.utc_offset_h, 1.0));
    assert_eq!(year.len(), 4);
    assert_eq!(year.first_start.to_string(), "2026-10-25 00:00:00");
    assert!(says(&year, "from the times"));
}

#[test]
fn the_zone_is_said_or_told_or_taken_from_the_times_or_the_longitude() {
    let utc = ["2026-05-14T13:00Z", "2026-05-14T14:00Z"];
    let none = ["2026-05-14 13:00", "2026-05-14 14:00"];
    let told = ReadOptions {
        utc_offset_h: Some(3.0),
        ..ReadOptions::default()
    };
    for (head, times, options, hours, start) in [
        ("# utc_offset_h: 2\n", utc, told, 2.0, 15),
        ("", utc, told, 3.0, 16),
        ("", utc, ReadOptions::default(), 1.0, 14),
        ("", none, ReadOptions::default(), 1.0, 13),
        ("", none, told, 3.0, 13),
        (
            "",
            ["2026-05-14T13:00+02:00", "2026-05-14T14:00+02:00"],
            ReadOptions::default(),
            2.0,
            13,
        ),
    ] {
        let year =
            parse_with(file(head, "time", &times).as_bytes(), "made", &options).expect("readable");
        assert!(close(year.place.utc_offset_h, hours), "{head}{times:?}");
        assert_eq!(year.first_start, at(14, start, 0), "{head}{times:?}");
    }
    let by_name = read(&file("", "time_utc", &none));
    assert_eq!(by_name.first_start, at(14, 14, 0));
}

/// Semicolons and decimal commas, tabs, quotes, a byte order mark, CRLF, blank lines, a date apart, names repeated within.
#[test]
fn what_spreadsheets_make_of_it_is_the_same() {
    let times = ["2026-05-14 13:00", "2026-05-14 14:00"];
    let plain = read(&file("", "time", &times));
    let semicolons = format!(
        "\u{feff}# latitude_deg: 50,0;;;;;;\r\n\"# longitude_deg: 10\";;;;;;\r\n# altitude_m: 200;;;;;;\r\n;;;;;;\r\ntime;{}\r\n\r\n14.05.2026 13:00;20,0;10;2,0;300;400;100\r\n2026-05-14 14:00;20;10;2;300;400;100;;\r\n;;;;;;\r\n",
        NAMES.replace(',', ";")
    );
    assert_eq!(read(&semicolons), plain);
    let tabs = file("", "time", &times).replace(',', "\t");
    assert_eq!(read(&tabs), plain);
    let quoted = format!(
        "{HEAD}\"time\",\"air_c\",dew_point_c,wind_m_s,ghi_w_m2,dni_w_m2,\"dhi_w_m2\"\n# a remark\n\"2026-05-14 13:00\",\"20\",10,2,300,400,100\n2026-05-14 14:00,20,10,2,300,400,\"100\"\n"
    );
    assert_eq!(read(&quoted), plain);
    let apart = format!(
        "{HEAD}date,time,{NAMES}\n2026-05-14,13:00,{VALUES}\ndate,time,{NAMES}\n2026-05-14,14:00,{VALUES}\n"
    );
    assert_eq!(read(&apart), plain);
    let mut newest_first = read(&file("", "time", &["2026-05-14 14:00", "2026-05-14 13:00"]));
    assert!(says(&newest_first, "turned round"));
    newest_first
        .notes
        .retain(|note| !note.text.contains("turned round"));
    assert_eq!(newest_first, plain);
}

#[test]
fn any_order_and_any_unit_give_the_same_weather() {
    let text = format!(
        "{HEAD}ghi_wh_m2,Wind (km/h),time,sky_cover_oktas,air_f,DNI [kJ/m²],humidity_percent,dhi_w_m2,pressure_inhg,rain_in\n150,7.2,2026-05-14 13:00,4,68,720,60,100,29.5,0.1\n150,7.2,2026-05-14 13:30,9,68,720,60,100,29.5,0\n"
    );
    let year = read(&text);
    let c = &year.columns;
    assert_eq!(year.interval_minutes, 30);
    for (found, expected) in [
        (c.ghi_w_m2[0], 300.0),
        (c.wind_m_s[0], 2.0),
        (c.air_c[0], 20.0),
        (c.dni_w_m2[0], 400.0),
        (c.pressure_pa[0], 29.5 * 3386.389),
    ] {
        assert!(close(found, expected), "{found} {expected}");
    }
    assert_eq!(
        c.rain_mm.as_ref().map(|rain| close(rain[0], 2.54)),
        Some(true)
    );
    // Nine eighths are a sky that could not be seen: filled from the neighbour.
    assert_eq!(
        c.sky_cover_frac.as_ref().map(|cover| close(cover[1], 0.5)),
        Some(true)
    );
}

#[test]
fn every_sign_for_missing_is_one() {
    let rows: String = ["NA", "-", "", "n/a", "NaN", "-999", "-999.0", "x", "null"]
        .iter()
        .enumerate()
        .flat_map(|(i, sign)| {
            let hour = 2 * i;
            [
                format!("2026-05-14 {hour:02}:00,20,10,2,300,400,100,0.2\n"),
                format!("2026-05-14 {:02}:00,20,10,2,300,400,100,{sign}\n", hour + 1),
            ]
        })
        .collect();
    let year = read(&format!(
        "{HEAD}# missing: -999 x\ntime,{NAMES},albedo_frac\n{rows}"
    ));
    assert_eq!(year.len(), 18);
    assert_eq!(
        year.columns
            .albedo_frac
            .as_ref()
            .map(|a| a.iter().all(|&v| close(v, 0.2))),
        Some(true)
    );
    let filled: usize = year
        .notes
        .iter()
        .filter(|n| n.kind == NoteKind::Filled && n.column == Column::Albedo)
        .map(|n| n.intervals)
        .sum();
    assert_eq!(filled, 9);
}

/// FAO 56, equation 47: 2.4 m/s at 2 m come from 3.2 m/s at 10 m, with its factor of 0.75.
#[test]
fn wind_at_two_metres_is_brought_to_ten() {
    let year = read(&file(
        "# wind_height_m: 2\n",
        "time",
        &["2026-05-14 13:00", "2026-05-14 14:00"],
    ));
    assert!((year.columns.wind_m_s[0] / 2.0 - 1.0 / 0.75).abs() < 0.01);
    assert!(says(&year, "brought to 10 m"));
}

#[test]
fn other_columns_are_named_and_left() {
    let text = file("", "time", &["2026-05-14 13:00", "2026-05-14 14:00"])
        .replace(
            "dhi_w_m2\n",
            "dhi_w_m2,wind_direction_deg,ghi_wm2x,temperature\n",
        )
        .replace(",100\n", ",100,270,1,20\n");
    assert!(says(
        &read(&text),
        "`wind_direction_deg`, `ghi_wm2x`, `temperature`"
    ));
}

#[test]
fn seconds_are_rounded_to_the_minute() {
    let year = read(&file(
        "",
        "time",
        &[
            "2026-05-14 13:00:04",
            "2026-05-14 13:30:05",
            "2026-05-14 14:00:03",
        ],
    ));
    assert_eq!(
        (year.first_start, year.interval_minutes, year.len()),
        (at(14, 13, 0), 30, 3)
    );
}

#[test]
fn what_is_missing_is_asked_for() {
    let rows = "time,air_c,ghi_w_m2\n2026-05-14 13:00,20,300\n2026-05-14 14:00,20,300\n";
    assert!(error(rows).contains("# latitude_deg: 42.1"));
    let without_altitude = file("", "time", &["2026-05-14 13:00", "2026-05-14 14:00"])
        .replace("# altitude_m: 200\n", "");
    assert!(says(&read(&without_altitude), "# altitude_m"));
    assert!(error(&format!("{HEAD}hour,air_c\n1,20\n")).contains("`time_end`"));
}

/// Nothing is clamped: what cannot be filled is refused with the bounds.
#[test]
fn a_longest_gap_beyond_a_month_is_refused() {
    let text = file("", "time", &["2026-05-14 13:00", "2026-05-14 14:00"]);
    let asked = |hours: f64| {
        let options = ReadOptions {
            fill_hours: Some(hours),
            ..ReadOptions::default()
        };
        parse_with(text.as_bytes(), "made", &options)
    };
    assert!(asked(ReadOptions::LARGEST_FILL_HOURS).is_ok());
    for hours in [744.5, 8784.0, -1.0, f64::NAN, f64::INFINITY] {
        let error = asked(hours).expect_err("too long").to_string();
        assert!(
            error.contains("0 h to 744 h") && error.contains("`--fill`"),
            "{error}"
        );
    }
}

/// Rows below the data, whole or not, and numbers that only another unit explains: the remedy is the right one.
#[test]
fn a_remedy_fits_what_is_wrong() {
    let text = file("", "time", &["2026-05-14 13:00", "2026-05-14 14:00"]);
    for footer in [
        "Total,8760",
        "Mean,12,4,3,120,,",
        "Source: the station,,,,,,",
        "Data by the weather service",
    ] {
        let error = error(&format!("{text}{footer}\n"));
        assert!(
            error.contains("line 7") && error.contains("footer") && error.contains("`#` before it"),
            "{error}"
        );
        read(&format!("{text}#{footer}\n"));
    }
    let cut = error(&format!("{text}2026-05-14 15:00,20\n"));
    assert!(
        cut.contains("complete the row") && !cut.contains("footer"),
        "{cut}"
    );
    for (name, number, unit, better) in [
        ("pressure_pa", "995", "hPa", "`pressure_hpa`"),
        ("pressure_pa", "99.5", "kPa", "`pressure_kpa`"),
        ("pressure_pa", "29.4", "inHg", "`pressure_inhg`"),
        ("pressure_hpa", "99500", "Pa", "`pressure_pa`"),
        ("pressure_hpa", "99.5", "kPa", "`pressure_kpa`"),
        ("air_c", "98", "°F", "`air_f`"),
        ("air_c", "293.1", "K", "`air_k`"),
        ("dew_point_c", "60", "°F", "`dew_point_f`"),
    ] {
        let error = error(&format!(
            "{HEAD}time,{name}\n2026-05-14 13:00,{number}\n2026-05-14 14:00,{number}\n"
        ));
        assert!(
            error.contains(&format!("looks like {unit}: ")) && error.contains(better),
            "{error}"
        );
    }
    let neither = error(&format!(
        "{HEAD}time,air_c\n2026-05-14 13:00,9999\n2026-05-14 14:00,3\n"
    ));
    assert!(neither.contains("check the column's unit"), "{neither}");
}

/// Two bytes a letter, with and without the mark at the beginning: what to do comes before the list of formats.
#[test]
fn text_of_two_bytes_a_letter_is_told_with_the_remedy_first() {
    let text = file("", "time", &["2026-05-14 13:00", "2026-05-14 14:00"]);
    let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    for bytes in [
        [b"\xff\xfe".as_slice(), &little].concat(),
        [b"\xfe\xff".as_slice(), &big].concat(),
        little,
        big,
    ] {
        let error = parse(&bytes, "made").expect_err("no UTF-8").to_string();
        assert!(
            error.starts_with("made, line 1: found text stored as UTF-16; save it again as UTF-8"),
            "{error}"
        );
    }
}
