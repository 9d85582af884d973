//! Any bytes give a year or an error, never a panic; what is written reads back bit for bit.

use chrono::{NaiveDate, TimeDelta};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use swimdays_weather::{Columns, Format, Place, WeatherYear, YearKind, parse, write};

/// Few, since each writes and reads hundreds of rows; the seed is fixed so that a failure is found again.
fn config(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        rng_seed: RngSeed::Fixed(20_010_101),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// All that holds for every year that a reader lets through.
fn assert_sound(year: &WeatherYear) {
    let c = &year.columns;
    let n = year.len();
    assert!(n > 0 && year.interval_minutes > 0 && 60 % year.interval_minutes == 0);
    for (column, values) in c.each() {
        assert_eq!(values.len(), n, "{column}");
        assert!(values.iter().all(|value| value.is_finite()), "{column}");
    }
    assert!(
        c.ghi_w_m2
            .iter()
            .chain(&c.dni_w_m2)
            .chain(&c.dhi_w_m2)
            .all(|&w| w >= 0.0)
    );
    assert!(year.start_of(n) > year.first_start);
}

fn day_of(kind: YearKind, interval_minutes: u32, days: u32, noise: &[f64]) -> WeatherYear {
    let n = (days * 24 * 60 / interval_minutes) as usize;
    let column = |from: usize, low: f64, high: f64| -> Vec<f64> {
        (0..n)
            .map(|i| low + (high - low) * noise[(i * 7 + from * 13) % noise.len()])
            .collect()
    };
    // In a column that is 0 throughout the formats read "not given".
    let optional = |from: usize, low: f64, high: f64| {
        Some(column(from, low, high)).filter(|values| values.iter().any(|value| *value > 0.0))
    };
    let (year, month, day) = if kind == YearKind::Typical {
        (2001, 2, 27)
    } else {
        (2020, 2, 28)
    };
    WeatherYear {
        place: Place {
            name: "Nowhere, \u{e9} 7".into(),
            latitude_deg: -90.0 + 180.0 * noise[0],
            longitude_deg: -180.0 + 360.0 * noise[1],
            utc_offset_h: 5.75,
            altitude_m: -400.0 + 5000.0 * noise[2],
        },
        format: Format::Epw,
        kind,
        first_start: NaiveDate::from_ymd_opt(year, month, day)
            .and_then(|day| day.and_hms_opt(0, 0, 0))
            .expect("a date"),
        interval_minutes,
        columns: Columns {
            air_c: column(0, -60.0, 55.0),
            dew_point_c: column(1, -80.0, 40.0),
            pressure_pa: column(2, 50_000.0, 105_000.0),
            wind_m_s: column(3, 0.0, 55.0),
            ghi_w_m2: column(4, 0.0, 1400.0),
            dni_w_m2: column(5, 0.0, 1100.0),
            dhi_w_m2: column(6, 0.0, 900.0),
            infrared_w_m2: optional(7, 100.0, 600.0),
            sky_cover_frac: optional(8, 0.0, 1.0),
            rain_mm: optional(9, 0.0, 50.0),
            albedo_frac: optional(10, 0.0, 1.0),
        },
        radiation_shift_minutes: 0.0,
        normals: None,
        notes: Vec::new(),
    }
}

fn kinds() -> impl Strategy<Value = YearKind> {
    prop_oneof![Just(YearKind::Typical), Just(YearKind::Measured)]
}

fn intervals() -> impl Strategy<Value = u32> {
    prop_oneof![Just(60_u32), Just(30), Just(15), Just(10)]
}

proptest! {
    #![proptest_config(config(60))]

    #[test]
    fn what_is_written_reads_back_bit_for_bit(
        kind in kinds(),
        minutes in intervals(),
        noise in prop::collection::vec(0.0..1.0_f64, 40..60),
    ) {
        let year = day_of(kind, minutes, 4, &noise);
        let mut epw = parse(write::to_epw(&year).as_bytes(), "epw").expect("readable");
        assert_sound(&epw);
        epw.notes.clear();
        prop_assert_eq!(&epw, &year);

        let mut tmy3 = parse(write::to_tmy3(&year).as_bytes(), "tmy3").expect("readable");
        assert_sound(&tmy3);
        tmy3.notes.clear();
        let mut expected = year;
        expected.format = Format::Tmy3;
        expected.columns.infrared_w_m2 = None;
        prop_assert_eq!(tmy3, expected);
    }
}

proptest! {
    #![proptest_config(config(400))]

    #[test]
    fn random_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..3000)) {
        let _ = parse(&bytes, "random").map(|year| assert_sound(&year));
    }

    #[test]
    fn random_bytes_after_a_good_beginning_never_panic(
        tmy3 in any::<bool>(),
        bytes in prop::collection::vec(prop_oneof![Just(b','), Just(b'\n'), Just(b'"'), Just(b'9'), Just(b'-'), Just(b'/'), Just(b':'), Just(b'.'), any::<u8>()], 0..3000),
    ) {
        let year = day_of(YearKind::Measured, 60, 1, &[0.5; 40]);
        let text = if tmy3 { write::to_tmy3(&year) } else { write::to_epw(&year) };
        let header = text.split_inclusive('\n').take(if tmy3 { 2 } else { 8 }).collect::<String>();
        let mut all = header.into_bytes();
        all.extend(bytes);
        let _ = parse(&all, "random").map(|year| assert_sound(&year));
    }

    #[test]
    fn damaged_files_never_panic(
        tmy3 in any::<bool>(),
        kind in kinds(),
        edits in prop::collection::vec((any::<prop::sample::Index>(), 0..6_u8, any::<u8>()), 1..12),
    ) {
        let year = day_of(kind, 60, 3, &[0.3, 0.7, 0.2, 0.9, 0.5, 0.1, 0.8]);
        let text = if tmy3 { write::to_tmy3(&year) } else { write::to_epw(&year) };
        let mut bytes = text.into_bytes();
        for (at, how, byte) in edits {
            if bytes.is_empty() {
                break;
            }
            let i = at.index(bytes.len());
            match how {
                0 => bytes[i] = byte,
                1 => { bytes.remove(i); }
                2 => bytes.insert(i, byte),
                3 => bytes[i] = b"0123456789,.-/\n\""[usize::from(byte) % 16],
                4 => bytes.truncate(i),
                _ => {
                    let end = (i + 300).min(bytes.len());
                    let again = bytes[i..end].to_vec();
                    bytes.splice(i..i, again);
                }
            }
        }
        let _ = parse(&bytes, "damaged").map(|year| assert_sound(&year));
    }
}

/// Bounds of the calendar and of integers, in every place that holds a date or a count.
#[test]
fn extreme_numbers_in_dates_never_panic() {
    let year = day_of(YearKind::Measured, 60, 1, &[0.5; 40]);
    let numbers = [
        "4294967295",
        "4294967296",
        "9223372036854775807",
        "-1",
        "0",
        "9999",
        "9998",
        "1e15",
        "1e300",
        "",
    ];
    for (text, rows) in [(write::to_epw(&year), 8), (write::to_tmy3(&year), 2)] {
        let lines: Vec<&str> = text.lines().collect();
        for line in [0, rows - 1, rows, rows + 5] {
            for field in 0..12 {
                for number in numbers {
                    let mut cells: Vec<String> = lines[line].split(',').map(String::from).collect();
                    if let Some(cell) = cells.get_mut(field) {
                        *cell = cell
                            .split_inclusive(['/', ':'])
                            .map(|part| {
                                let end = part.chars().last().filter(|c| "/:".contains(*c));
                                end.map_or_else(
                                    || number.to_owned(),
                                    |end| format!("{number}{end}"),
                                )
                            })
                            .collect();
                    }
                    let mut changed: Vec<String> = lines.iter().map(ToString::to_string).collect();
                    changed[line] = cells.join(",");
                    let _ =
                        parse(changed.join("\n").as_bytes(), "extreme").map(|y| assert_sound(&y));
                }
            }
        }
    }
}

/// Two days in each format that is read and not written: its name, how many of its lines are header, and its text.
fn of_moments() -> [(&'static str, usize, String); 4] {
    let mut nsrdb = String::from(
        "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone,Pressure Units\n\
         NSRDB,1,-,-,-,40.5,-108.5,0,2168,-7,mbar\n\
         Year,Month,Day,Hour,Minute,DHI,GHI,DNI,Dew Point,Surface Albedo,Wind Speed,Relative Humidity,Temperature,Pressure\n",
    );
    let head = "Latitude (decimal degrees): 45.000\nLongitude (decimal degrees): 8.000\nElevation (m): 250.0\n";
    let mut pvgis = format!(
        "{head}Irradiance Time Offset (h): 0.1761\nmonth,year\n12,2007\n1,2012\ntime(UTC),T2m,RH,G(h),Gb(n),Gd(h),IR(h),WS10m,WD10m,SP\n"
    );
    let mut series = format!(
        "{head}Slope: 0 deg.\nAzimuth: 0 deg.\ntime,Gb(i),Gd(i),Gr(i),H_sun,T2m,RH,WS10m,Int\n"
    );
    let mut tmy2 = String::from(" 12839 TOWN                   FL  -5 N 25 48 W  80 16     2\n");
    let mut label = NaiveDate::from_ymd_opt(2007, 12, 31)
        .and_then(|day| day.and_hms_opt(0, 30, 0))
        .expect("a date");
    for hour in 0..48 {
        let time = label.format("%Y,%-m,%-d,%-H,%-M");
        nsrdb += &format!("{time},50,100,60,-1.2000000000000002,0.2,3,40,{hour},800\n");
        let date = label.format("%Y%m%d");
        let of_day = hour % 24;
        pvgis +=
            &format!("{date}:{of_day:02}00,1.5,94.38,0.0,-0.0,0.0,283.58,0.75,257.0,96945.0\n");
        series += &format!("{date}:{of_day:02}10,90.0,50.0,0.0,30.5,3.44,80,1.43,0.0\n");
        let row = format!(
            " {}{:02}000000000100?00000?00000?00000?00000?00000?00000?007A703A70200A70150A7073A71017A7158A7067A70161A777777A70999999999013F8062F8000A788E7\n",
            label.format("%y%m%d"),
            of_day + 1
        );
        tmy2 += &row;
        label += TimeDelta::hours(1);
    }
    pvgis += "\nT2m: 2-m air temperature (degree Celsius)\n\nPVGIS (c) European Union\n";
    [
        ("nsrdb", 3, nsrdb),
        ("pvgis", 8, pvgis),
        ("series", 6, series),
        ("tmy2", 1, tmy2),
    ]
}

/// A whole year in UTC, so that it is turned to the zone given.
fn in_utc(zone: &str) -> String {
    let mut text = format!(
        "Source,Location ID,Latitude,Longitude,Time Zone,Elevation,Local Time Zone\nNSRDB,1,-30,150,0,5,{zone}\nYear,Month,Day,Hour,Minute,GHI,DNI,DHI,Temperature,Dew Point,Wind Speed\n"
    );
    let first = NaiveDate::from_ymd_opt(2007, 1, 1)
        .and_then(|day| day.and_hms_opt(0, 30, 0))
        .expect("a date");
    for hour in 0..8760 {
        let label = first + TimeDelta::hours(hour);
        text += &format!("{},0,0,0,20,10,2\n", label.format("%Y,%-m,%-d,%-H,%-M"));
    }
    text
}

/// Rows that are filled in stand beside rows that are there: at most three hours of minutes after each.
const ROWS_FOR_A_LINE: usize = 181;

fn assert_sound_and_small(bytes: &[u8]) {
    if let Ok(year) = parse(bytes, "any") {
        assert_sound(&year);
        let lines = bytes.split(|&b| b == b'\n').count();
        assert!(
            year.len() <= ROWS_FOR_A_LINE * lines,
            "{} of {lines}",
            year.len()
        );
    }
}

#[test]
fn the_undamaged_files_are_read() {
    let whole = ("whole", 3, in_utc("10"));
    for (name, _, text) in of_moments().into_iter().chain([whole]) {
        let year = parse(text.as_bytes(), name).unwrap_or_else(|error| panic!("{error}"));
        assert_sound(&year);
    }
}

proptest! {
    #![proptest_config(config(600))]

    #[test]
    fn random_bytes_after_the_header_of_a_format_never_panic(
        which in 0..4_usize,
        bytes in prop::collection::vec(prop_oneof![Just(b','), Just(b'\n'), Just(b' '), Just(b'9'), Just(b'-'), Just(b':'), Just(b'.'), Just(b'0'), any::<u8>()], 0..3000),
    ) {
        let (_, header, text) = &of_moments()[which];
        let mut all: Vec<u8> = text.split_inclusive('\n').take(*header).collect::<String>().into_bytes();
        all.extend(bytes);
        assert_sound_and_small(&all);
    }

    #[test]
    fn damaged_files_of_other_formats_never_panic(
        which in 0..4_usize,
        edits in prop::collection::vec((any::<prop::sample::Index>(), 0..6_u8, any::<u8>()), 1..12),
    ) {
        let mut bytes = of_moments()[which].2.clone().into_bytes();
        for (at, how, byte) in edits {
            if bytes.is_empty() {
                break;
            }
            let i = at.index(bytes.len());
            match how {
                0 => bytes[i] = byte,
                1 => { bytes.remove(i); }
                2 => bytes.insert(i, byte),
                3 => bytes[i] = b"0123456789,.-: \n"[usize::from(byte) % 16],
                4 => bytes.truncate(i.max(200)),
                _ => {
                    let end = (i + 300).min(bytes.len());
                    let again = bytes[i..end].to_vec();
                    bytes.splice(i..i, again);
                }
            }
        }
        assert_sound_and_small(&bytes);
    }

}

proptest! {
    #![proptest_config(config(60))]

    /// Rows out of order, twice or gone, in a year that is turned to local time.
    #[test]
    fn a_turned_year_with_rows_moved_never_panics(
        moves in prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>(), 0..3_u8), 1..4),
        zone in prop_oneof![Just("-12"), Just("-3.5"), Just("0"), Just("5.75"), Just("14")],
    ) {
        let text = in_utc(zone);
        let mut lines: Vec<&str> = text.lines().collect();
        for (from, to, how) in moves {
            let (from, to) = (3 + from.index(lines.len() - 3), 3 + to.index(lines.len() - 3));
            match how {
                0 => lines.swap(from, to),
                1 => { lines.remove(from); }
                _ => lines.insert(to, lines[from]),
            }
        }
        assert_sound_and_small(lines.join("\n").as_bytes());
    }
}

/// Bounds of the calendar, of angles and of integers, in every cell of the header and of a row.
#[test]
fn extreme_numbers_in_other_formats_never_panic() {
    let numbers = [
        "4294967295",
        "9223372036854775807",
        "-1",
        "0",
        "2",
        "9997",
        "9998",
        "99",
        "14",
        "-12",
        "1e15",
        "1e300",
        "",
    ];
    for (name, header, text) in of_moments() {
        let lines: Vec<&str> = text.lines().collect();
        for line in (0..header).chain([header + 1, header + 30]) {
            let parts: Vec<&str> = lines[line].split_inclusive([',', ':', ' ']).collect();
            for at in 0..parts.len() {
                for number in numbers {
                    let mut changed: Vec<String> = parts.iter().map(ToString::to_string).collect();
                    let end: String = changed[at]
                        .chars()
                        .rev()
                        .take_while(|c| ",: ".contains(*c))
                        .collect();
                    changed[at] = format!("{number}{end}");
                    let mut all: Vec<String> = lines.iter().map(ToString::to_string).collect();
                    all[line] = changed.concat();
                    assert_sound_and_small(all.join("\n").as_bytes());
                }
            }
        }
        // Each year of the calendar's ends in every row.
        for year in ["0000", "0001", "0002", "9997", "9998", "9999"] {
            let all = text.replace("2007", year).replace("2008", year);
            assert!(name == "tmy2" || all != text);
            assert_sound_and_small(all.as_bytes());
        }
    }
}

#[test]
fn the_last_year_of_the_calendar_never_panics() {
    let mut year = day_of(YearKind::Measured, 60, 1, &[0.5; 40]);
    year.first_start += TimeDelta::days(365 * 7977);
    let _ = parse(write::to_epw(&year).as_bytes(), "late").map(|y| assert_sound(&y));
    let _ = parse(write::to_tmy3(&year).as_bytes(), "late").map(|y| assert_sound(&y));
}
