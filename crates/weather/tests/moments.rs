//! The conventions of NSRDB, PVGIS and TMY2 on small files of our own: zones, labels, leap days, seams, missing values.
//!
//! Whole years have a dark sky, so that nothing but the labels says when an interval is.

use std::fmt::Write as _;

use chrono::{Datelike, NaiveDate, NaiveDateTime, TimeDelta};
use swimdays_weather::{
    Format, NoteKind, ReadOptions, TYPICAL_YEAR, WeatherYear, YearKind, parse, parse_with,
};

/// Decimal numbers of a few digits, once rounded.
const ROUNDED: f64 = 1e-9;

fn at(year: i32, month: u32, day: u32, hour: u32, minute: u32) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(year, month, day)
        .and_then(|day| day.and_hms_opt(hour, minute, 0))
        .expect("a date")
}

/// Labels `minutes` apart.
fn labels(first: NaiveDateTime, minutes: i64, count: i64) -> Vec<NaiveDateTime> {
    (0..count)
        .map(|i| first + TimeDelta::minutes(minutes * i))
        .collect()
}

/// An NSRDB file at 40° N, 105° W; the air of each row is its number in tenths of a degree, modulo 30 °C.
fn nsrdb(zones: &str, labels: &[NaiveDateTime]) -> String {
    let (zone, local) = zones.split_once(',').unwrap_or((zones, ""));
    let mut text = format!(
        "Source,Location ID,City,Latitude,Longitude,Time Zone,Elevation,Local Time Zone,Pressure Units\n\
         NSRDB,7,-,40,-105,{zone},1000,{local},mbar\n\
         Year,Month,Day,Hour,Minute,GHI,DNI,DHI,Temperature,Dew Point,Wind Speed,Pressure\n"
    );
    for (i, label) in labels.iter().enumerate() {
        let time = label.format("%Y,%-m,%-d,%-H,%-M");
        writeln!(text, "{time},0,0,0,{},-10,2,900", air(i)).expect("text");
    }
    text
}

#[allow(clippy::cast_precision_loss, reason = "rows of a year")]
fn air(row: usize) -> f64 {
    (row % 300) as f64 / 10.0
}

fn read(text: &str) -> WeatherYear {
    parse(text.as_bytes(), "small").unwrap_or_else(|error| panic!("{error}"))
}

fn says(year: &WeatherYear, kind: NoteKind, words: &str) -> bool {
    year.notes
        .iter()
        .any(|note| note.kind == kind && note.text.contains(words))
}

fn assert_near(found: f64, expected: f64) {
    assert!((found - expected).abs() < ROUNDED, "{found} {expected}");
}

#[test]
fn labels_in_utc_become_local_standard_time() {
    let day = labels(at(2017, 6, 10, 0, 30), 60, 48);
    let year = read(&nsrdb("0,-7", &day));
    assert_eq!(year.first_start, at(2017, 6, 9, 17, 0));
    assert_near(year.place.utc_offset_h, -7.0);
    assert!(says(&year, NoteKind::Derived, "moved by \u{2212}7 h"));
    let local = read(&nsrdb("-7,-7", &day));
    assert_eq!(local.first_start, at(2017, 6, 10, 0, 0));
    assert!(!says(&local, NoteKind::Derived, "moved by"));
    // A zone that is not 0 is the place's own when no other stands beside it.
    assert_near(read(&nsrdb("-7", &day)).place.utc_offset_h, -7.0);
    // 105° W is 7 h west; said, since UTC was meant.
    let guessed = read(&nsrdb("0", &day));
    assert_near(guessed.place.utc_offset_h, -7.0);
    assert!(says(&guessed, NoteKind::Derived, "--utc-offset"));
}

#[test]
fn a_label_is_a_moment_within_its_interval() {
    for (first_minute, minutes, start_minute, shift) in [
        (30, 60, 0, 0.0),
        (0, 60, 0, -30.0),
        (0, 30, 0, -15.0),
        (15, 30, 0, 0.0),
        (0, 15, 0, -7.5),
        (0, 5, 0, -2.5),
    ] {
        let year = read(&nsrdb(
            "-7,-7",
            &labels(at(2017, 6, 10, 0, first_minute), minutes, 40),
        ));
        assert_eq!(i64::from(year.interval_minutes), minutes);
        assert_eq!(year.first_start, at(2017, 6, 10, 0, start_minute));
        assert_near(year.radiation_shift_minutes, shift);
    }
    // India: 00:30 UTC is 06:00 there, the beginning of an interval and not its middle.
    let india = read(&nsrdb("0,5.5", &labels(at(2017, 6, 10, 0, 30), 60, 40)));
    assert_eq!(india.first_start, at(2017, 6, 10, 6, 0));
    assert_near(india.radiation_shift_minutes, -30.0);
}

#[test]
fn a_calendar_year_in_utc_is_a_calendar_year_at_the_place() {
    // (year, its hours): a leap year keeps its leap day.
    for (calendar, hours) in [(2017, 8760), (2016, 8784)] {
        for (zone_h, rows_turned) in [(-7_i64, 7_usize), (9, 9)] {
            let year = read(&nsrdb(
                &format!("0,{zone_h}"),
                &labels(at(calendar, 1, 1, 0, 30), 60, hours),
            ));
            assert_eq!(year.kind, YearKind::Measured);
            assert_eq!(year.first_start, at(calendar, 1, 1, 0, 0));
            assert!(year.is_whole_year());
            assert!(says(&year, NoteKind::Derived, "stand at its other end"));
            let n = year.len();
            let first = if zone_h < 0 {
                rows_turned
            } else {
                n - rows_turned
            };
            for i in 0..n {
                assert_near(year.columns.air_c[i], air((first + i) % n));
            }
        }
    }
}

#[test]
fn a_part_of_a_year_or_more_than_one_keeps_its_dates() {
    for hours in [8000, 2 * 8760] {
        let year = read(&nsrdb("0,-7", &labels(at(2018, 1, 1, 0, 30), 60, hours)));
        assert_eq!(year.first_start, at(2017, 12, 31, 17, 0));
        assert_near(year.columns.air_c[0], air(0));
    }
}

/// Hourly labels of a typical year whose months come from the years given.
fn typical(years: [i32; 12], leap_day: bool) -> Vec<NaiveDateTime> {
    let mut all = Vec::new();
    for (month, year) in (1..).zip(years) {
        let mut label = at(year, month, 1, 0, 30);
        while label.month() == month {
            if leap_day || (label.month(), label.day()) != (2, 29) {
                all.push(label);
            }
            label += TimeDelta::hours(1);
        }
    }
    all
}

#[test]
fn months_of_different_years_join_without_a_seam() {
    let mixed = [
        2018, 2008, 2009, 2013, 2012, 2006, 2011, 2010, 2020, 2006, 2007, 2016,
    ];
    // A leap year's February, and a leap year's March after a common February.
    let march = [
        2018, 2007, 2008, 2013, 2012, 2006, 2011, 2010, 2020, 2006, 2007, 2016,
    ];
    for (years, leap_day) in [(mixed, false), (mixed, true), (march, false)] {
        for zone in ["-7,-7", "0,-7", "0,9", "0,5.5", "0,0"] {
            let rows = typical(years, leap_day);
            let year = read(&nsrdb(zone, &rows));
            assert_eq!(year.kind, YearKind::Typical, "{zone}");
            assert_eq!(year.len(), 8760, "{zone}");
            assert!(year.is_whole_year(), "{zone}");
            assert_eq!(year.first_start, at(TYPICAL_YEAR, 1, 1, 0, 0), "{zone}");
            assert!(!says(&year, NoteKind::Filled, "missing"), "{zone}");
            let left_out = says(
                &year,
                NoteKind::Derived,
                "24 intervals of 29 February left out",
            );
            assert_eq!(left_out, leap_day, "{zone}");
        }
    }
}

#[test]
fn a_leap_year_without_its_leap_day_is_typical_in_any_zone() {
    let mut rows = labels(at(2016, 1, 1, 0, 30), 60, 8784);
    rows.retain(|label| (label.month(), label.day()) != (2, 29));
    for zone in ["-7,-7", "0,-7", "0,9"] {
        let year = read(&nsrdb(zone, &rows));
        assert_eq!((year.kind, year.len()), (YearKind::Typical, 8760), "{zone}");
        assert_eq!(year.first_start, at(TYPICAL_YEAR, 1, 1, 0, 0), "{zone}");
        assert!(
            says(&year, NoteKind::Derived, "leaves out 29 February"),
            "{zone}"
        );
    }
}

#[test]
fn nsrdb_cells_as_real_files_have_them() {
    let text = nsrdb("-7,-7", &labels(at(2017, 6, 10, 0, 30), 60, 6));
    let mut lines: Vec<String> = text.lines().map(ToOwned::to_owned).collect();
    let cell = |line: &mut String, at: usize, value: &str| {
        let mut cells: Vec<&str> = line.split(',').collect();
        cells[at] = value;
        *line = cells.join(",");
    };
    cell(&mut lines[3], 8, "-1.2000000000000002");
    cell(&mut lines[5], 8, "-9999");
    cell(&mut lines[6], 10, "");
    cell(&mut lines[4], 8, "1.2");
    cell(&mut lines[6], 8, "2.2");
    // A spreadsheet pads every row.
    let padded: Vec<String> = lines.iter().map(|line| format!("{line},,,")).collect();
    let year = read(&padded.join("\r\n"));
    assert_eq!(year.format, Format::Nsrdb);
    let found: Vec<u64> = year.columns.air_c[..4]
        .iter()
        .map(|v| v.to_bits())
        .collect();
    let expected = [-1.200_000_000_000_000_2, 1.2, (1.2_f64 + 2.2) / 2.0, 2.2];
    assert_eq!(found[0], f64::to_bits(expected[0]));
    assert_near(year.columns.air_c[2], expected[2]);
    assert_near(year.columns.wind_m_s[3], 2.0 * to_10_m(2.0));
    assert_near(year.columns.pressure_pa[0], 90_000.0);
    assert!(says(&year, NoteKind::Filled, "1 value of air temperature"));
    assert!(says(
        &year,
        NoteKind::Derived,
        "wind at 2 m brought to 10 m"
    ));
}

/// FAO 56, equation 47 (from memory): wind at 10 m over that at `height_m`, over short grass.
fn to_10_m(height_m: f64) -> f64 {
    (67.8_f64 * 10.0 - 5.42).ln() / (67.8 * height_m - 5.42).ln()
}

/// The height as a real file states it, at the end of lines 1 and 2.
#[test]
fn nsrdb_wind_of_a_stated_height_is_brought_from_there() {
    let text = nsrdb("-7,-7", &labels(at(2017, 6, 10, 0, 30), 60, 6));
    let stated = |height: &str| {
        let mut lines: Vec<String> = text.lines().map(ToOwned::to_owned).collect();
        lines[0].push_str(",Wind_Height_m");
        lines[1].push_str(&format!(",{height}"));
        lines.join("\n")
    };
    for height_m in [2.0, 4.0, 10.0] {
        let year = read(&stated(&height_m.to_string()));
        assert_near(year.columns.wind_m_s[3], 2.0 * to_10_m(height_m));
        let told = says(&year, NoteKind::Derived, "brought to 10 m");
        assert_eq!(told, height_m < 10.0);
        assert!(!says(&year, NoteKind::Doubtful, "wind"));
    }
    let error = swimdays_weather::parse(stated("0.1").as_bytes(), "low").expect_err("too low");
    assert!(error.to_string().contains("Wind_Height_m"), "{error}");
}

#[test]
fn an_nsrdb_file_without_pressure_gets_that_of_its_altitude() {
    let text = nsrdb("-7,-7", &labels(at(2017, 6, 10, 0, 30), 60, 6));
    let without: String = text
        .lines()
        .map(|line| match line.rsplit_once(',') {
            Some((rest, "900" | "Pressure")) => format!("{rest}\n"),
            _ => format!("{line}\n"),
        })
        .collect();
    let year = read(&without);
    // Standard atmosphere at 1000 m: 898.76 hPa (ISO 2533, table).
    assert!((year.columns.pressure_pa[0] - 89_876.0).abs() < 2.0);
    assert!(says(
        &year,
        NoteKind::Derived,
        "from the altitude of 1000 m"
    ));
}

const PVGIS_HEAD: &str = "Latitude (decimal degrees): 45.000\r\nLongitude (decimal degrees): 8.000\r\nElevation (m): 250.0\r\n";
const PVGIS_TABLE: &str = "time(UTC),T2m,RH,G(h),Gb(n),Gd(h),IR(h),WS10m,WD10m,SP\r\n";
const PVGIS_FOOT: &str = "\r\nT2m: 2-m air temperature (degree Celsius)\r\nSP: Surface (air) pressure (Pa)\r\n\r\nPVGIS (c) European Union, 2001-2024\r\n";

#[test]
fn a_pvgis_table_with_header_offset_and_footer() {
    let text = format!(
        "{PVGIS_HEAD}Irradiance Time Offset (h): 0.1761\r\nmonth,year\r\n6,2013\r\n{PVGIS_TABLE}\
         20130610:0000,12.5,100.0,0.0,-0.0,0.0,280.5,1.25,257.0,96945.0\r\n\
         20130610:0100,12,50,100,0,90,281,2,257,96900\r\n{PVGIS_FOOT}"
    );
    let year = read(&text);
    assert_eq!((year.format, year.kind), (Format::Pvgis, YearKind::Typical));
    assert_eq!(year.first_start, at(TYPICAL_YEAR, 6, 10, 1, 0));
    // The label lies at the beginning of its hour, the picture 0.1761 h later: 10.566 − 30.
    assert_near(year.radiation_shift_minutes, -19.434);
    assert_near(year.place.altitude_m, 250.0);
    let c = &year.columns;
    assert_eq!(c.dni_w_m2[0].to_bits(), 0.0_f64.to_bits());
    assert_near(c.pressure_pa[0], 96_945.0);
    // Air at 100 % is at its dew point.
    assert_near(c.dew_point_c[0], 12.5);
    assert_near(c.infrared_w_m2.as_ref().map_or(0.0, |ir| ir[1]), 281.0);
    assert!(says(
        &year,
        NoteKind::Derived,
        "+1 h from UTC taken, from the longitude 8°"
    ));
    let told = ReadOptions {
        utc_offset_h: Some(2.0),
        ..ReadOptions::default()
    };
    let told = parse_with(text.as_bytes(), "small", &told).expect("readable");
    assert_eq!(told.first_start, at(TYPICAL_YEAR, 6, 10, 2, 0));
    assert!(!says(&told, NoteKind::Derived, "from the longitude"));
    let nonsense = ReadOptions {
        utc_offset_h: Some(60.0),
        ..ReadOptions::default()
    };
    let error = parse_with(text.as_bytes(), "small", &nonsense).expect_err("no such zone");
    assert!(error.to_string().contains("`--utc-offset`"), "{error}");
}

#[test]
fn a_pvgis_series_on_the_horizontal_plane_is_split_by_its_own_sun() {
    let text = format!(
        "{}Slope: 0 deg.\r\nAzimuth: 0 deg.\r\ntime,Gb(i),Gd(i),Gr(i),H_sun,T2m,RH,WS10m,Int\r\n\
         20160229:1110,100.0,50.0,0.0,30.0,10,50,2,0.0\r\n\
         20160229:1210,0.0,20.0,0.0,0.0,10,50,2,0.0\r\n\
         20160229:1310,0.0,0.0,0.0,-5.0,10,50,2,0.0\r\n{PVGIS_FOOT}",
        PVGIS_HEAD.replace(": ", ":\t")
    );
    let year = read(&text);
    // A measured series keeps its leap day.
    assert_eq!(year.kind, YearKind::Measured);
    assert_eq!(year.first_start, at(2016, 2, 29, 12, 0));
    assert_near(year.radiation_shift_minutes, -20.0);
    let c = &year.columns;
    assert_near(c.ghi_w_m2[0], 150.0);
    assert_near(c.dhi_w_m2[0], 50.0);
    // 100 W/m² under a sun at 30°, whose sine is a half.
    assert_near(c.dni_w_m2[0], 200.0);
    assert_near(c.dni_w_m2[1], 0.0);
    assert_near(c.ghi_w_m2[1], 20.0);
    assert!(says(&year, NoteKind::Derived, "height of the sun"));
}

/// A line of TMY2 with blanks in all that is not read; fields by their first character, from 1.
fn tmy2_line(date_hour: &str, fields: &[(usize, &str)]) -> String {
    let mut line = vec![b' '; 142];
    let mut put = |first: usize, text: &str| {
        line[first - 1..first - 1 + text.len()].copy_from_slice(text.as_bytes());
    };
    put(2, date_hour);
    for (first, text) in [
        (10, "00000000"),
        (18, "0000?00000?00000?0"),
        (60, "07A700A7"),
        (68, "0200A7"),
        (74, "0150A7"),
        (80, "073A7"),
        (85, "1017A7"),
        (96, "067A7"),
        (139, "88E7"),
    ] {
        put(first, text);
    }
    for (first, text) in fields {
        put(*first, text);
    }
    String::from_utf8(line).expect("text")
}

#[test]
fn tmy2_fields_stand_where_the_manual_has_them() {
    let lines = [
        " 12839 ALTA VISTA TWO         FL  -5 N 25 48 W  80 16     2".to_owned(),
        tmy2_line(
            "64022823",
            &[
                (18, "0500A50600A50200A5"),
                (68, "-012A7"),
                (74, "-050A7"),
                (96, "123A7"),
            ],
        ),
        tmy2_line(
            "64022824",
            &[(68, "9999?0"), (60, "99?0"), (96, "999?0"), (85, "9999?0")],
        ),
        tmy2_line("71030101", &[(60, "10A7")]),
    ];
    for end in ["\n", "\r\n"] {
        let year = read(&lines.join(end));
        assert_eq!((year.format, year.kind), (Format::Tmy2, YearKind::Typical));
        assert_eq!(year.place.name, "ALTA VISTA TWO FL");
        assert_near(year.place.latitude_deg, 25.8);
        assert_near(year.place.longitude_deg, -(80.0 + 16.0 / 60.0));
        // Hour 23 ends at 23:00; March of another year follows February.
        assert_eq!(year.first_start, at(TYPICAL_YEAR, 2, 28, 22, 0));
        assert_eq!(year.len(), 3);
        let c = &year.columns;
        assert_near(c.ghi_w_m2[0], 500.0);
        assert_near(c.dni_w_m2[0], 600.0);
        assert_near(c.dhi_w_m2[0], 200.0);
        assert_near(c.air_c[0], -1.2);
        assert_near(c.dew_point_c[0], -5.0);
        assert_near(c.wind_m_s[0], 12.3);
        assert_near(c.pressure_pa[0], 101_700.0);
        // Nines are missing and filled from both sides; `?` behind the night's 0 is not.
        assert_near(c.air_c[1], (-1.2 + 20.0) / 2.0);
        assert_near(c.wind_m_s[1], (12.3 + 6.7) / 2.0);
        assert_near(c.ghi_w_m2[1], 0.0);
        let cover = c.sky_cover_frac.as_ref().expect("given");
        assert_near(cover[0], 0.7);
        assert_near(cover[1], 0.85);
        assert_near(cover[2], 1.0);
        assert!(!says(&year, NoteKind::Filled, "irradiance"));
    }
}
