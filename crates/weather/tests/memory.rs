//! Reading takes no more memory than a few times the file: peak of what is allocated, in bytes, counted by the allocator.
//!
//! One test alone, since the count is of the whole process.

use std::fmt::Write as _;
use std::path::Path;

use chrono::{Datelike, Timelike};
use peak_alloc::PeakAlloc;
use swimdays_weather::{Format, WeatherYear, parse, write};

#[global_allocator]
static COUNTED: PeakAlloc = PeakAlloc;

/// Most for a year of hours as files are published. The more of a row is kept the nearer to it: 1.5 times for the long rows of TMY2,
/// 4.6 times for an NSRDB file with nothing but the needed columns.
const MOST_TIMES: f64 = 6.0;

/// Most for the shortest rows there can be, a time and four digits in 25 bytes: from each of them come seven values of 8 bytes,
/// their time, line and row, and what they are made from.
const MOST_TIMES_SHORTEST: f64 = 10.0;

/// Rows of a format from a year, after its head.
fn rows(year: &WeatherYear, head: &str, row: impl Fn(&WeatherYear, usize) -> String) -> String {
    let mut out = head.to_owned();
    for i in 0..year.len() {
        out += &row(year, i);
        out.push('\n');
    }
    out
}

fn nsrdb(year: &WeatherYear) -> String {
    let head = "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone\nNSRDB,1,-,-,-,42.1,-85.3,-5,260,-5\nYear,Month,Day,Hour,Minute,GHI,DNI,DHI,Temperature,Dew Point,Pressure,Wind Speed\n";
    rows(year, head, |year, i| {
        let (t, c) = (year.start_of(i), &year.columns);
        format!(
            "{},{},{},{},30,{},{},{},{},{},{},{}",
            t.year(),
            t.month(),
            t.day(),
            t.hour(),
            c.ghi_w_m2[i],
            c.dni_w_m2[i],
            c.dhi_w_m2[i],
            c.air_c[i],
            c.dew_point_c[i],
            c.pressure_pa[i] / 100.0,
            c.wind_m_s[i]
        )
    })
}

fn pvgis(year: &WeatherYear) -> String {
    let head = "Latitude (decimal degrees): 42.1\nLongitude (decimal degrees): 0.3\nElevation (m): 260\n\ntime(UTC),T2m,RH,G(h),Gb(n),Gd(h),IR(h),WS10m,WD10m,SP\n";
    rows(year, head, |year, i| {
        let (t, c) = (year.start_of(i), &year.columns);
        format!(
            "{},{},50.0,{},{},{},330.5,{},90.0,{}",
            t.format("%Y%m%d:%H%M"),
            c.air_c[i],
            c.ghi_w_m2[i],
            c.dni_w_m2[i],
            c.dhi_w_m2[i],
            c.wind_m_s[i],
            c.pressure_pa[i]
        )
    })
}

fn tmy2(year: &WeatherYear) -> String {
    let head = " 99999 NOWHERE                MI  -5 N 42  6 W  85 18   260\n";
    rows(year, head, |year, i| {
        let (t, c) = (year.start_of(i), &year.columns);
        let mut row = vec![b' '; 142];
        row[141] = b'0';
        let mut put = |first: usize, last: usize, value: f64| {
            let width = last + 1 - first;
            let mut text = String::new();
            let _ = write!(text, "{value:width$.0}");
            row[first - 1..last].copy_from_slice(&text.as_bytes()[..width]);
        };
        put(2, 3, f64::from(t.year() % 100));
        put(4, 5, f64::from(t.month()));
        put(6, 7, f64::from(t.day()));
        put(8, 9, f64::from(t.hour() + 1));
        put(18, 21, c.ghi_w_m2[i]);
        put(24, 27, c.dni_w_m2[i]);
        put(30, 33, c.dhi_w_m2[i]);
        put(68, 71, c.air_c[i] * 10.0);
        put(74, 77, c.dew_point_c[i] * 10.0);
        put(85, 88, c.pressure_pa[i] / 100.0);
        put(96, 98, c.wind_m_s[i] * 10.0);
        String::from_utf8(row).expect("ASCII")
    })
}

/// The shortest rows that make a year: sixty days of minutes.
fn shortest(year: &WeatherYear) -> String {
    let head = "# latitude_deg: 42\n# longitude_deg: -85\n# altitude_m: 260\ntime,air_c,rh_percent,wind_ms,ghi_w_m2\n";
    let mut out = head.to_owned();
    for minute in 0..60 * 24 * 60 {
        let time = year.first_start + chrono::TimeDelta::minutes(minute);
        let _ = writeln!(out, "{},9,9,1,0", time.format("%Y-%m-%d %H:%M"));
    }
    out
}

#[test]
fn reading_takes_a_few_times_the_file() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../weather-samples");
    let epw = std::fs::read(folder.join("temperate.epw")).expect("sample");
    let tmy3 = std::fs::read(folder.join("temperate.tmy3.csv")).expect("sample");
    let year = parse(&epw, "sample").expect("readable");
    for (format, bytes, most) in [
        (Format::Epw, epw, MOST_TIMES),
        (Format::Tmy3, tmy3, MOST_TIMES),
        (Format::Nsrdb, nsrdb(&year).into_bytes(), MOST_TIMES),
        (Format::Pvgis, pvgis(&year).into_bytes(), MOST_TIMES),
        (Format::Tmy2, tmy2(&year).into_bytes(), MOST_TIMES),
        (
            Format::Plain,
            write::to_plain(&year).into_bytes(),
            MOST_TIMES,
        ),
        (
            Format::Plain,
            shortest(&year).into_bytes(),
            MOST_TIMES_SHORTEST,
        ),
    ] {
        let before = COUNTED.current_usage();
        COUNTED.reset_peak_usage();
        let read = parse(&bytes, format.name()).unwrap_or_else(|error| panic!("{error}"));
        let peak = COUNTED.peak_usage() - before;
        assert_eq!(read.format, format);
        #[allow(clippy::cast_precision_loss, reason = "some megabytes")]
        let times = peak as f64 / bytes.len() as f64;
        println!(
            "{}: {} bytes, peak {peak}, {times:.1} times",
            format.name(),
            bytes.len()
        );
        assert!(
            times <= most,
            "{}: {times:.1} times the file",
            format.name()
        );
    }
}
