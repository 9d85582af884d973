//! Weather for a log's dates: the typical year under the log's own labels, words made into days.

use std::path::Path;

use chrono::{Datelike, NaiveDate, TimeDelta, Timelike};
use swimdays_check::dates::{Basis, DatesError, weather_for};
use swimdays_check::log::{LogFile, LogOptions, parse_log};
use swimdays_check::remarks::{DayRemark, Lean, SkyWord, remarked};
use swimdays_quantity::Units;
use swimdays_season::SummerTime;
use swimdays_solar::{haurwitz_ghi_w_m2, sun_position};
use swimdays_weather::{WeatherYear, YearKind, read};

/// The sample's clock less UTC, h.
const LOCAL_H: i64 = -5;

fn typical(name: &str) -> WeatherYear {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../weather-samples");
    read(&path.join(name)).expect("a committed sample")
}

fn log(text: &str) -> LogFile {
    let options = LogOptions {
        units: Units::Metric,
        summer_time: SummerTime::None,
        utc_offset_h: -6.0,
        year: None,
    };
    parse_log(text.as_bytes(), "log.csv", &options).unwrap_or_else(|e| panic!("{e}"))
}

fn date(y: i32, m: u32, d: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(y, m, d).expect("a date")
}

/// Value of a column at a date's hour.
fn at(year: &WeatherYear, values: &[f64], day: NaiveDate, hour: u32) -> f64 {
    let start = day.and_hms_opt(hour, 0, 0).expect("an hour");
    let index = (0..year.len()).find(|&i| year.start_of(i) == start);
    values[index.expect("in the year")]
}

#[test]
fn a_typical_year_takes_the_dates_of_the_log() {
    let year = typical("temperate.epw");
    let mut file = log("time,water C\n2028-06-01 08:00,20\n2028-06-09 18:00,22\n");
    let dated = weather_for(std::slice::from_ref(&year), &mut file, false).expect("weather");
    assert_eq!(dated.basis, Basis::Typical);
    assert!(dated.years.len() >= 5);
    let (here, air) = (&dated.years[0], &year.columns.air_c);
    assert!(here.is_whole_year() && here.kind == YearKind::Measured);
    for (day, hour) in [
        (date(2028, 6, 5), 14),
        (date(2028, 1, 1), 0),
        (date(2028, 12, 31), 23),
    ] {
        let typical_day = date(2001, day.month(), day.day());
        let found = at(here, &here.columns.air_c, day, hour);
        assert!(
            (found - at(&year, air, typical_day, hour)).abs() < 1e-12,
            "{day}"
        );
    }
    // 29 February is the 28th again; the second series is the days ten days before.
    let leap = at(here, &here.columns.air_c, date(2028, 2, 29), 12);
    assert!((leap - at(&year, air, date(2001, 2, 28), 12)).abs() < 1e-12);
    let earlier = &dated.years[1];
    let found = at(earlier, &earlier.columns.air_c, date(2028, 6, 15), 14);
    assert!((found - at(&year, air, date(2001, 6, 5), 14)).abs() < 1e-12);
}

#[test]
fn a_log_over_new_year_gets_one_course_of_weather() {
    let year = typical("cool-south.epw");
    let mut file = log("time,water C\nDec 20 8:00,24\nJan 10 8:00,25\n");
    let dated = weather_for(std::slice::from_ref(&year), &mut file, false).expect("weather");
    let here = &dated.years[0];
    let last = file.log.readings[1].time;
    assert_eq!(last.date(), date(2002, 1, 10));
    assert!(here.first_start <= file.log.readings[0].time && last < here.start_of(here.len()));
    let found = at(here, &here.columns.ghi_w_m2, date(2002, 1, 10), 12);
    assert!((found - at(&year, &year.columns.ghi_w_m2, date(2001, 1, 10), 12)).abs() < 1e-12);
}

#[test]
fn a_real_series_is_used_as_it_is_and_must_be_of_those_days() {
    let mut real = typical("temperate.epw");
    real.kind = YearKind::Measured;
    let text = "time,water C\n2001-06-01 08:00,20\n2001-06-03 18:00,22\n2002-01-02 08:00,19\n";
    let mut file = log(text);
    let dated = weather_for(&[real.clone()], &mut file, true).expect("weather");
    assert_eq!(
        (dated.basis, dated.outside, file.log.readings.len()),
        (Basis::Real, 1, 2)
    );
    assert_eq!(dated.years, [real.clone()]);
    let mut later = log("time,water C\n2026-06-01 08:00,20\n");
    let error = weather_for(&[real.clone()], &mut later, true).expect_err("another year");
    assert!(matches!(error, DatesError::Elsewhere { .. }), "{error}");
    // As the scenario's own weather it stands in like a typical year.
    let dated = weather_for(&[real], &mut later, false).expect("weather");
    assert_eq!(dated.basis, Basis::Typical);
}

fn remark(
    day: NaiveDate,
    sky: Option<SkyWord>,
    min_c: Option<f64>,
    max_c: Option<f64>,
) -> DayRemark {
    DayRemark {
        line: 1,
        date: day,
        sky,
        max_c,
        min_c,
    }
}

#[test]
fn a_sunny_day_has_the_clear_sky_and_an_overcast_one_a_quarter() {
    let year = typical("temperate.epw");
    let (sunny, grey) = (date(2001, 6, 10), date(2001, 6, 12));
    let remarks = [
        remark(sunny, Some(SkyWord::Clear), None, None),
        remark(grey, Some(SkyWord::Overcast), None, None),
    ];
    let [clear, middle, cloudy] =
        [Lean::Clear, Lean::Middle, Lean::Cloudy].map(|lean| remarked(&year, &remarks, lean));
    let place = &year.place;
    let ghi = |y: &WeatherYear, day| at(y, &y.columns.ghi_w_m2, day, 12);
    let noon = sunny.and_hms_opt(12, 30, 0).expect("noon") - TimeDelta::hours(LOCAL_H);
    let unix = f64::from(i32::try_from(noon.and_utc().timestamp()).expect("32 bits"));
    let sky =
        haurwitz_ghi_w_m2(sun_position(unix, place.latitude_deg, place.longitude_deg).cos_zenith());
    // No cloud leaves all of Haurwitz's sky, full cloud a quarter of it (Kasten & Czeplak 1980).
    assert!(
        (ghi(&clear, sunny) / sky - 1.0).abs() < 1e-3,
        "{} {sky}",
        ghi(&clear, sunny)
    );
    assert!((ghi(&cloudy, grey) / sky - 0.25).abs() < 3e-3);
    assert!(ghi(&cloudy, grey) < ghi(&middle, grey) && ghi(&middle, grey) < ghi(&clear, grey));
    for y in [&clear, &middle, &cloudy] {
        let c = &y.columns;
        let other = at(y, &c.ghi_w_m2, date(2001, 6, 11), 12);
        assert!((other - at(&year, &year.columns.ghi_w_m2, date(2001, 6, 11), 12)).abs() < 1e-12);
        assert!(
            c.dni_w_m2
                .iter()
                .chain(&c.dhi_w_m2)
                .all(|v| *v >= 0.0 && v.is_finite())
        );
        assert!(
            c.dhi_w_m2
                .iter()
                .zip(&c.ghi_w_m2)
                .all(|(d, g)| *d <= g + 60.0)
        );
        assert!(c.infrared_w_m2.is_none() && c.sky_cover_frac.is_none());
    }
}

#[test]
fn the_air_meets_the_two_numbers_and_does_not_jump() {
    let year = typical("temperate.epw");
    let day = date(2001, 6, 10);
    let remarks = [
        remark(day, None, Some(9.0), Some(31.0)),
        remark(day.succ_opt().expect("a day"), None, None, Some(18.0)),
    ];
    let told = remarked(&year, &remarks, Lean::Middle);
    let of = |d: NaiveDate| -> Vec<f64> {
        (0..24)
            .map(|h| at(&told, &told.columns.air_c, d, h))
            .collect()
    };
    let ends = |values: &[f64]| {
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (low, high)
    };
    let (low, high) = (ends(&of(day)[2..10]).0, ends(&of(day)[11..19]).1);
    assert!(
        (low - 9.0).abs() < 1e-9 && (high - 31.0).abs() < 1e-9,
        "{low} {high}"
    );
    // By night it comes down from the day before, and towards the next day, of which nothing is told.
    let second = of(day.succ_opt().expect("a day"));
    assert!(second[11..19].iter().any(|c| (c - 18.0).abs() < 1e-9));
    let air = &told.columns.air_c;
    let before = &year.columns.air_c;
    let steepest = |v: &[f64]| {
        v.windows(2)
            .map(|w| (w[1] - w[0]).abs())
            .fold(0.0, f64::max)
    };
    let june = |i: &usize| told.start_of(*i).month() == 6 && told.start_of(*i).hour() < 24;
    let hours: Vec<usize> = (0..told.len()).filter(june).collect();
    let part = |v: &[f64]| -> Vec<f64> { hours.iter().map(|&i| v[i]).collect() };
    assert!(steepest(&part(air)) < steepest(&part(before)) + 5.0);
    assert!(
        told.columns
            .dew_point_c
            .iter()
            .zip(air)
            .all(|(d, a)| d <= a)
    );
    // Days without words stay as they were, a day away.
    let far = at(&told, air, date(2001, 7, 1), 14);
    assert!((far - at(&year, before, date(2001, 7, 1), 14)).abs() < 1e-9);
}
