//! Where the weather comes from: files, how they are read, and climate tables, by hand arithmetic.

use std::path::Path;

use swimdays_scenario::{Climate, NormalsSource, Scenario, ScenarioErrors, WeatherSource, parse};
use swimdays_weather::normals::{Known, Moisture, Normals, Sun};

const POOL: &str = r#"
[pool]
length = "24 ft"
width = "12 ft"
depth = "4 ft 6 in"
"#;

const TABLE: &str = r#"
[site.normals]
max = "32 41 50 59 68 77 86 77 68 59 50 41 F"
min = ["-5 °C", "0 °C", "5 °C", "10 °C", "15 °C", "20 °C", "25 °C", "20 °C", "15 °C", "10 °C", "5 °C", "0 °C"]
sunshine = "155 141.25 155 150 155 150 155 155 150 155 150 155 h/month"
humidity = "50 50 50 50 50 50 50 50 50 50 50 75 %"
wind = "36 36 36 36 36 36 36 36 36 36 36 18 km/h"
rain = "1 1 1 1 1 1 1 1 1 1 1 2 in"
rain_days = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]
latitude = 40.5
longitude = -89.0
altitude = "1000 ft"
"#;

/// Two routes through exact factors differ by rounding only.
const ROUNDING: f64 = 1e-9;

fn read(site: &str, sets: &[&str]) -> Result<Scenario, ScenarioErrors> {
    let sets: Vec<String> = sets.iter().map(|s| (*s).to_owned()).collect();
    parse(&format!("{site}{POOL}"), "s.toml", Path::new("yard"), &sets)
}

fn good(site: &str, sets: &[&str]) -> Scenario {
    read(site, sets).unwrap_or_else(|e| panic!("{sets:?}\n{e}"))
}

fn source(site: &str, sets: &[&str]) -> NormalsSource {
    match good(site, sets).weather {
        WeatherSource::Normals(source) => *source,
        other => panic!("{other:?}"),
    }
}

fn normals(site: &str, sets: &[&str]) -> Normals {
    match source(site, sets).climate {
        Climate::Given(normals) => *normals,
        other => panic!("{other:?}"),
    }
}

fn near(found: f64, wanted: f64) {
    assert!(
        (found - wanted).abs() <= ROUNDING * wanted.abs().max(1.0),
        "{found} against {wanted}"
    );
}

/// By hand: 32 °F are 0 °C; 155 h over 31 days and 141.25 h over the 28.25 of a mean February are 5 a day; 36 km/h are 10 m/s; an inch 25.4 mm;
/// 1000 ft are 304.8 m; -89°/15° is -5.93, so six hours behind UTC.
#[test]
fn a_climate_table_in_si() {
    let n = normals(TABLE, &[]);
    near(n.daily_max_c[0], 0.0);
    near(n.daily_max_c[6], 30.0);
    near(n.daily_min_c[0], -5.0);
    let Sun::SunshineHours(hours) = &n.sun else {
        panic!("{:?}", n.sun)
    };
    hours.iter().for_each(|h| near(*h, 5.0));
    let Moisture::HumidityFrac(share) = &n.moisture else {
        panic!("{:?}", n.moisture)
    };
    near(share[0], 0.5);
    near(share[11], 0.75);
    let wind = n.wind_m_s.as_ref().expect("wind");
    near(wind[0], 10.0);
    near(wind[11], 5.0);
    near(n.rain_mm.as_ref().expect("rain")[11], 50.8);
    near(n.rain_days.as_ref().expect("days")[11], 12.0);
    near(n.place.altitude_m, 304.8);
    near(n.place.utc_offset_h, -6.0);
    near(n.place.latitude_deg, 40.5);
    let assumed = good(TABLE, &[]).plan.assumptions;
    for key in [
        "site.normals.years",
        "site.normals.seed",
        "site.utc_offset_h",
    ] {
        assert!(assumed.iter().any(|a| a.key == key), "{key}");
    }
    let source = source(TABLE, &[]);
    assert_eq!((source.years, source.seed), (5, 1));
}

#[test]
fn what_is_not_written_is_not_known() {
    let bare = "[site.normals]\nmax = \"8 9 8 7 6 5 4 3 4 5 6 7 C\"\nmin = \"7 8 7 6 5 4 3 2 3 4 5 6 C\"\nlatitude = -40\nlongitude = 170\n";
    let known = Known {
        sun: false,
        moisture: false,
        wind: false,
    };
    assert_eq!(normals(bare, &[]).known(), known);
    // By hand: 170/15 = 11.3.
    near(normals(bare, &[]).place.utc_offset_h, 11.0);
    near(
        normals(bare, &["site.utc_offset_h=12"]).place.utc_offset_h,
        12.0,
    );
    let moist = normals(bare, &["site.normals.dew_point=1 1 1 1 1 1 1 1 1 1 1 1 C"]);
    assert!(moist.known().moisture);
}

#[test]
fn what_is_set_puts_the_other_source_out_of_force() {
    let files = "[site]\nweather = [\"a.csv\", \"b.csv\"]\nfill = \"6 h\"\nutc_offset_h = -7\n";
    let two = good(files, &[]);
    let paths: Vec<_> = two.weather.files().iter().map(|f| f.path.clone()).collect();
    assert_eq!(paths, [Path::new("yard/a.csv"), Path::new("yard/b.csv")]);
    assert_eq!(two.read.fill_hours, Some(6.0));
    assert_eq!(two.read.utc_offset_h, Some(-7.0));
    let table = source(files, &["site.normals.table=town.csv"]);
    let Climate::Table(file) = table.climate else {
        panic!("a table")
    };
    assert_eq!(file.path, Path::new("yard/town.csv"));
    let file = good(TABLE, &["site.weather=c.epw"]);
    assert_eq!(file.weather.files()[0].path, Path::new("yard/c.epw"));
    // The longest gap to fill, and the limit as it stands, not rounded.
    let month = good(files, &["site.fill=744 h"]);
    assert_eq!(
        month.read.fill_hours,
        Some(swimdays_weather::ReadOptions::LARGEST_FILL_HOURS)
    );
    let more = format!("{:?}", read(files, &["site.fill=745 h"]).map(|_| ()));
    assert!(more.contains("0 h to 744 h"), "{more}");
    // Two ways in the file itself are refused.
    assert!(read(&format!("{files}{TABLE}"), &[]).is_err());
    assert!(read("[site]\n", &[]).is_err());
}
