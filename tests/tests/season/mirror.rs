//! A site mirrored at the equator: what is true here must be true there half a year later.

use chrono::{NaiveDate, TimeDelta};
use swimdays_collector::HeaterSpec;
use swimdays_season::{Plan, Shell, SummerTime};
use swimdays_solar::{Obstruction, Orbit};
use swimdays_tests::validation;
use swimdays_weather::{Place, WeatherYear, YearKind};

use crate::{REAL_YEARS, Ran, mapped, real_year, sample, scenario, scenario_text, with_longwave};

/// On an orbit with neither eccentricity nor equation of time only rounding differs.
const EXACT_K: f64 = 1e-9;
/// On the real orbit the sun is up to 16 min earlier or later than half a year before, and 3 % nearer or farther (project design).
const REAL_DAYS: usize = 3;
const REAL_MONTH_K: f64 = 0.8;
/// Half of the synthetic year of 364 days.
const HALF_YEAR_DAYS: i64 = 182;

/// North-south mirror: azimuth `a` becomes `180° − a`.
fn mirrored_azimuth(a: f64) -> f64 {
    (180.0 - a).rem_euclid(360.0)
}

fn mirrored_obstruction(o: &Obstruction) -> Obstruction {
    // Going clockwise from the mirror of where it ends to the mirror of where it begins.
    Obstruction {
        from_azimuth_deg: mirrored_azimuth(o.to_azimuth_deg),
        to_azimuth_deg: mirrored_azimuth(o.from_azimuth_deg),
        ..*o
    }
}

fn mirrored_plan(plan: &Plan) -> Plan {
    let mut out = plan.clone();
    for o in &mut out.pool.obstructions {
        *o = mirrored_obstruction(o);
    }
    for heater in &mut out.heaters {
        heater.plane.azimuth_deg = mirrored_azimuth(heater.plane.azimuth_deg);
        for o in &mut heater.obstructions {
            *o = mirrored_obstruction(o);
        }
    }
    out
}

/// The first 364 days of a sample as a partial series.
fn days_364(file: &str, infrared: bool) -> WeatherYear {
    let year = if infrared {
        with_longwave(sample(file))
    } else {
        sample(file)
    };
    let n = 364 * 24;
    let mut columns = mapped(&year.columns, |c| c[..n].to_vec());
    columns.sky_cover_frac = None;
    WeatherYear { columns, ..year }
}

fn mirrored_weather(weather: &WeatherYear) -> WeatherYear {
    WeatherYear {
        first_start: weather.first_start + TimeDelta::days(HALF_YEAR_DAYS),
        place: Place {
            latitude_deg: -weather.place.latitude_deg,
            ..weather.place.clone()
        },
        ..weather.clone()
    }
}

/// Everything that has a direction or a season: three heaters of all kinds on crooked planes, shade with and without
/// gaps, sensor control, cover, night cooling; the same in every month.
const CROOKED: &str = r#"
[site]
weather = "none.epw"
wind = "open"
[pool]
length = "8 m"
width = "4 m"
depth = "1.2 m"
start = "12 °C"
[[pool.shade]]
from = "100 deg"
to = "190 deg"
elevation = "15 deg"
opacity = 0.6
[[pool.shade]]
from = "330 deg"
to = "40 deg"
elevation = "30 deg"
[pool.cover]
kind = "bubble"
on = "20:00-9:00"
[[heater]]
name = "board"
kind = "board"
facing = "200 deg"
tilt = "35 deg"
[heater.tube]
outer_diameter = "17.8 mm"
bore = "15.2 mm"
length = "150 m"
[heater.board]
area = "4 m2"
[[heater.shade]]
from = "240 deg"
to = "300 deg"
elevation = "25 deg"
[[heater]]
name = "deck"
kind = "deck"
[heater.tube]
material = "pex"
outer_diameter = "16 mm"
bore = "12 mm"
length = "60 m"
[heater.deck]
placement = "in-slab"
[[heater]]
name = "panel"
kind = "panel"
facing = "95 deg"
tilt = "20 deg"
side_by_side = true
[heater.panel]
area = "5 m2"
[pump]
kind = "own"
flow = "18 L/min"
control = "sensor"
check_valve = false
cool_above = "31 °C"
"#;

#[test]
fn exact_without_eccentricity_and_equation_of_time() {
    let mut rows = vec![
        "| mirrored at the equator, half a year later; circular orbit, mean time | longwave from | hours | largest difference of the water, K |".to_owned(),
        "|---|---|---|---|".to_owned(),
    ];
    for (file, infrared, longwave) in [
        ("temperate.epw", true, "the weather"),
        ("temperate.epw", false, "the sun"),
        ("cool-south.epw", false, "the sun"),
        ("hot-dry.epw", true, "the weather"),
    ] {
        for (name, base) in [
            (
                "three heaters, shade, sensor",
                scenario_text(CROOKED, &[]).plan,
            ),
            (
                "cover and board",
                scenario(
                    "cover-and-board",
                    &[
                        "site.summer_time=none",
                        "pool.opens=01-01",
                        "pool.closes=12-31",
                        "pool.start=12 °C",
                    ],
                )
                .plan,
            ),
        ] {
            let mut plan = base;
            plan.models.orbit = Orbit::CircularMeanTime;
            assert_eq!(plan.site.summer_time, SummerTime::None);
            let weather = days_364(file, infrared);
            let here = Ran::new(plan.clone(), weather.clone());
            let there = Ran::new(mirrored_plan(&plan), mirrored_weather(&weather));
            let (a, b) = (here.hourly(), there.hourly());
            assert_eq!(a.water_c.len(), b.water_c.len());
            assert_eq!(b.start[0], a.start[0] + TimeDelta::days(HALF_YEAR_DAYS));
            let largest = a
                .water_c
                .iter()
                .zip(&b.water_c)
                .map(|(x, y)| (x - y).abs())
                .fold(
                    0.0,
                    |m: f64, d| if d.is_nan() { f64::INFINITY } else { m.max(d) },
                );
            let plane = a
                .plane_w_m2
                .iter()
                .zip(&b.plane_w_m2)
                .map(|(x, y)| (x - y).abs())
                .fold(0.0, f64::max);
            println!(
                "{name}, {file}, longwave from {longwave}: water {largest:.1e} K, plane {plane:.1e} W/m²; swim days {} and {}, heaters {:.1} kWh",
                here.season.swim_days, there.season.swim_days, here.season.heat_kwh.heaters
            );
            // Not vacuous: without the mirror of the planes the two differ by far.
            assert!(
                here.season.heat_kwh.heaters.abs() > 50.0,
                "{name}: heaters idle"
            );
            rows.push(format!(
                "| {name}, {} | {longwave} | {} | {} |",
                file.trim_end_matches(".epw"),
                a.water_c.len(),
                if largest <= EXACT_K {
                    "below 1e-9"
                } else {
                    "above 1e-9"
                }
            ));
            assert!(largest <= EXACT_K, "{name}, {file}: {largest} K");
            assert_eq!(here.season.swim_days, there.season.swim_days);
        }
    }
    validation::table("season-mirror-exact", &rows);
}

/// The mirror does something: a board that is not turned round gives a different year.
#[test]
fn a_board_that_is_not_mirrored_differs() {
    let mut plan = scenario_text(CROOKED, &[]).plan;
    plan.models.orbit = Orbit::CircularMeanTime;
    let weather = days_364("temperate.epw", true);
    let here = Ran::new(plan.clone(), weather.clone());
    let there = Ran::new(plan, mirrored_weather(&weather));
    let (a, b) = (here.season.heat_kwh.heaters, there.season.heat_kwh.heaters);
    assert!((a - b).abs() > 0.05 * a.abs(), "{a} and {b} kWh");
}

/// A typical year with its columns turned by 182 days: hour `i` there is hour `i − 4368` here.
fn turned(weather: &WeatherYear) -> WeatherYear {
    let per_day = (1440 / weather.interval_minutes) as usize;
    let shift = usize::try_from(HALF_YEAR_DAYS).expect("days") * per_day;
    let turn = |c: &Vec<f64>| {
        let mut out = c.clone();
        out.rotate_right(shift);
        out
    };
    WeatherYear {
        columns: mapped(&weather.columns, turn),
        place: Place {
            latitude_deg: -weather.place.latitude_deg,
            ..weather.place.clone()
        },
        ..weather.clone()
    }
}

/// Mean water by the month of the weather as it is here: `months[m]`, with the run `ran` shifted by `shift` intervals.
fn months_c(ran: &Ran, shift: usize, reference: &WeatherYear) -> [f64; 12] {
    let n = reference.len();
    let mut sums = [(0.0, 0.0); 12];
    for (k, start) in ran.hourly().start.iter().enumerate() {
        let first = reference.first_start;
        let minutes = (*start - first).num_minutes().rem_euclid(365 * 1440);
        let index = usize::try_from(minutes).expect("minutes") / ran.year.interval_minutes as usize;
        let here = (index + n - shift) % n;
        let month = chrono::Datelike::month0(&reference.start_of(here)) as usize;
        sums[month].0 += ran.hourly().water_c[k];
        sums[month].1 += 1.0;
    }
    sums.map(|(sum, count)| sum / count)
}

#[test]
fn within_three_days_and_eight_tenths_of_a_kelvin_on_the_real_orbit() {
    let mut years: Vec<(String, WeatherYear)> = ["temperate.epw", "hot-dry.epw", "cool-south.epw"]
        .iter()
        .map(|f| ((*f).to_owned(), sample(f)))
        .collect();
    years.push((
        "temperate.epw with longwave".to_owned(),
        with_longwave(sample("temperate.epw")),
    ));
    for (_, name) in REAL_YEARS {
        let Some(mut year) = real_year(name) else {
            break;
        };
        if year.kind == YearKind::Measured {
            // Labels of a typical year, so that its months turn like the others'.
            year.kind = YearKind::Typical;
            year.first_start = NaiveDate::from_ymd_opt(2001, 1, 1)
                .and_then(|d| d.and_hms_opt(0, 0, 0))
                .expect("a date");
        }
        years.push((name.to_owned(), year));
    }
    let all_year = [
        "site.summer_time=none",
        "pool.opens=01-01",
        "pool.closes=12-31",
    ];
    let mut faults = Vec::new();
    let mut rows = vec![
        "| weather | plan | swim days here, there | largest monthly difference of the water, K |"
            .to_owned(),
        "|---|---|---|---|".to_owned(),
    ];
    for (weather_name, weather) in &years {
        let shift = usize::try_from(HALF_YEAR_DAYS).expect("days") * 24;
        let there_weather = turned(weather);
        for name in ["bare", "cover-and-board"] {
            let mut plan = scenario(name, &all_year).plan;
            if weather.place.latitude_deg < 0.0 {
                plan = mirrored_plan(&plan);
            }
            let here = Ran::new(plan.clone(), weather.clone());
            let there = Ran::new(mirrored_plan(&plan), there_weather.clone());
            let (a, b) = (
                months_c(&here, 0, weather),
                months_c(&there, shift, weather),
            );
            let largest = a
                .iter()
                .zip(&b)
                .map(|(x, y)| (x - y).abs())
                .fold(0.0, f64::max);
            let days = (here.season.swim_days, there.season.swim_days);
            println!(
                "{weather_name}, {name}: {} and {} swim days, months within {largest:.3} K; heaters {:.0} and {:.0} kWh",
                days.0, days.1, here.season.heat_kwh.heaters, there.season.heat_kwh.heaters
            );
            rows.push(format!(
                "| {weather_name} | {name} | {}, {} | {} |",
                days.0,
                days.1,
                validation::two_digits(largest)
            ));
            if days.0.abs_diff(days.1) > REAL_DAYS || largest.is_nan() || largest > REAL_MONTH_K {
                faults.push(format!("{weather_name}, {name}: {days:?}, {largest} K"));
            }
        }
    }
    validation::table("season-mirror-real", &rows);
    assert!(faults.is_empty(), "{faults:#?}");
}

/// The plan of the exact check has what it says.
#[test]
fn the_crooked_plan_has_all_kinds() {
    let plan = scenario_text(CROOKED, &[]).plan;
    let kinds: Vec<_> = plan
        .heaters
        .iter()
        .map(|h| std::mem::discriminant(&h.spec))
        .collect();
    assert_eq!(kinds.len(), 3);
    assert!(matches!(plan.heaters[0].spec, HeaterSpec::Board(_)));
    assert!(matches!(plan.heaters[1].spec, HeaterSpec::Deck(_)));
    assert!(matches!(plan.heaters[2].spec, HeaterSpec::Panel(_)));
    assert_eq!(plan.pool.obstructions.len(), 2);
    assert!(matches!(plan.pool.shell, Shell::InGround { .. }));
}
