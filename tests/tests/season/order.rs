//! What must be more when something is more.

use swimdays_tests::validation;
use swimdays_weather::WeatherYear;

use crate::{Ran, mapped, mean_water_c, real_year, sample, scenario_and};

/// Same equations, same numbers: whether a measure is written and off, or not written at all.
const SAME_K: f64 = 1e-12;
/// Weather held over shorter intervals: the sun still moves on within the hour, so a low sun's absorbed share and the
/// plane's beam change; and the step's own error is below 0.02 K. Set before the first run.
const INTERVAL_BARE_K: f64 = 0.05;
/// With a board the control decides anew each interval, and the beam on the plane follows the sun. Set before the first run.
const INTERVAL_BOARD_K: f64 = 0.2;
const INTERVAL_DAYS: usize = 1;

/// Large enough to hold any winter.
const HELD: &str = "[other_heater]\nkind = \"electric\"\npower = \"200 kW\"\nsetpoint = \"27 °C\"";

const SUMMER: std::ops::RangeInclusive<usize> = 4..=8;

fn summer(ran: &Ran) -> f64 {
    mean_water_c(ran, |m| SUMMER.contains(&m))
}

fn samples() -> Vec<(String, WeatherYear)> {
    let mut all = vec![
        ("temperate".to_owned(), sample("temperate.epw")),
        ("hot-dry".to_owned(), sample("hot-dry.epw")),
    ];
    for name in ["measured 44 N", "EPW 52 N"] {
        if let Some(year) = real_year(name) {
            all.push((name.to_owned(), year));
        }
    }
    all
}

/// A cover keeps heat in and a board that runs from 9 to 17 brings some: each alone is warmer than the pool as it is.
#[test]
fn bare_is_colder_than_each_measure_and_each_than_both() {
    for (name, weather) in samples() {
        // Without limits, which would take away part of what is compared.
        let free = ["pool.cover.off_above=never", "pump.stop_above=never"];
        let sets = |more: &[&'static str]| {
            free.iter()
                .copied()
                .chain(more.iter().copied())
                .collect::<Vec<_>>()
        };
        let bare = Ran::on(
            "cover-and-board",
            &sets(&["pool.cover.kind=none", "heater.board.kind=none"]),
            &weather,
        );
        let cover = Ran::on(
            "cover-and-board",
            &sets(&["heater.board.kind=none"]),
            &weather,
        );
        let board = Ran::on(
            "cover-and-board",
            &sets(&["pool.cover.kind=none"]),
            &weather,
        );
        let both = Ran::on("cover-and-board", &sets(&[]), &weather);
        let [a, b, c, d] = [&bare, &cover, &board, &both].map(summer);
        println!(
            "{name}: May to September {a:.2} bare, {b:.2} cover, {c:.2} board, {d:.2} °C both; swim days {} {} {} {}",
            bare.season.swim_days,
            cover.season.swim_days,
            board.season.swim_days,
            both.season.swim_days
        );
        assert!(a < b && a < c && b < d && c < d, "{name}: {a} {b} {c} {d}");
        // A bubble cover holds back the largest loss; a board of a ninth of the water's area cannot do as much.
        assert!(b - a > c - a, "{name}");
    }
}

#[test]
fn more_board_gives_more_heat_and_a_warmer_pool() {
    for (name, weather) in samples() {
        let mut last = (0.0, f64::NEG_INFINITY);
        let mut per_area = f64::INFINITY;
        for (length, area) in [
            ("100 ft", "32 ft2"),
            ("200 ft", "32 ft2"),
            ("400 ft", "64 ft2"),
            ("800 ft", "128 ft2"),
            ("1600 ft", "256 ft2"),
        ] {
            let sets = [
                format!("heater.board.tube.length={length}"),
                format!("heater.board.board.area={area}"),
                "heater.board.board.layout=serpentine".to_owned(),
                "heater.board.tube.circuits=4".to_owned(),
                "pump.stop_above=never".to_owned(),
                "pool.cover.off_above=never".to_owned(),
            ];
            let sets: Vec<&str> = sets.iter().map(String::as_str).collect();
            let ran = Ran::on("cover-and-board", &sets, &weather);
            let heat = ran.season.heat_kwh.heaters;
            let here = (heat, summer(&ran));
            let ratio = heat / ran.season.heaters[0].absorber_area_m2;
            println!(
                "{name}, {length}: {heat:.0} kWh, {ratio:.0} kWh/m², {:.2} °C",
                here.1
            );
            assert!(
                here.0 > last.0 && here.1 > last.1,
                "{name}, {length}: {here:?} after {last:?}"
            );
            // A warmer pool takes less from each m².
            assert!(
                ratio < per_area,
                "{name}, {length}: {ratio} after {per_area} kWh/m²"
            );
            last = here;
            per_area = ratio;
        }
    }
}

/// At a held temperature evaporation grows with the wind by the equation itself; an unheated pool cools, gives off less longwave
/// and ground heat, and so evaporates more of the same sun.
#[test]
fn more_wind_evaporates_more() {
    for (name, weather) in samples() {
        for held in [true, false] {
            let mut last = 0.0;
            for wind in ["0.05", "0.15", "0.3", "0.5", "0.8"] {
                let at_water = format!("site.wind_at_water={wind}");
                let sets = [
                    at_water.as_str(),
                    "pool.bathing_hours=0 h",
                    "pool.opens=01-01",
                    "pool.closes=12-31",
                ];
                let heater = if held { HELD } else { "" };
                let ran = Ran::new(scenario_and("bare", heater, &sets).plan, weather.clone());
                let evaporated = ran.season.water_book.evaporated_kg;
                assert!(
                    evaporated > last,
                    "{name}, held {held}, {wind}: {evaporated} after {last} kg"
                );
                last = evaporated;
            }
        }
    }
}

/// Each degree less asked for cannot cost a day: a bather's evaporation cools by hundredths of a kelvin.
#[test]
fn a_lower_target_gives_no_fewer_days() {
    for (name, weather) in samples() {
        let mut last = 0;
        for target in [
            "30 °C", "28 °C", "27 °C", "26 °C", "25 °C", "24 °C", "22 °C", "20 °C",
        ] {
            let sets = [
                format!("swim.target={target}"),
                "swim.too_hot=32 °C".to_owned(),
            ];
            let sets: Vec<&str> = sets.iter().map(String::as_str).collect();
            let ran = Ran::on("cover-and-board", &sets, &weather);
            assert!(
                ran.season.swim_days >= last,
                "{name}, {target}: {} after {last}",
                ran.season.swim_days
            );
            last = ran.season.swim_days;
        }
        assert!(last > 0, "{name}: no swim day at 20 °C");
    }
}

#[test]
fn a_measure_that_is_off_is_as_if_it_were_not_there() {
    let pairs: [(&str, &str, &[&str], &[&str]); 3] = [
        (
            "pump that never runs, no board",
            "cover-and-board",
            &["pump.control=never", "pump.filter_hours=8:00-16:00"],
            &["heater.board.kind=none", "pump.filter_hours=8:00-16:00"],
        ),
        (
            "cover none, bare",
            "cover-only",
            &["pool.cover.kind=none"],
            &[],
        ),
        (
            "a cover without hours, bare",
            "cover-only",
            &["pool.cover.on_by_month={ dec = \"3:00-4:00\" }"],
            &[],
        ),
    ];
    for (what, name, off, without) in pairs {
        let weather = sample("temperate.epw");
        let a = Ran::on(name, off, &weather);
        let reference = if without.is_empty() { "bare" } else { name };
        let b = Ran::on(reference, without, &weather);
        let largest = a
            .hourly()
            .water_c
            .iter()
            .zip(&b.hourly().water_c)
            .map(|(x, y)| (x - y).abs())
            .fold(0.0, f64::max);
        println!("{what}: {largest:.1e} K");
        assert!(largest <= SAME_K, "{what}: {largest} K");
        assert_eq!(a.season.swim_days, b.season.swim_days, "{what}");
    }
}

/// An ordinary heater that is written "none" is no heater; and `--set` reaches its table as it reaches any other.
#[test]
fn an_ordinary_heater_can_be_set_and_set_to_none() {
    let weather = sample("temperate.epw");
    let bare = Ran::on("bare", &[], &weather);
    let none = Ran::new(
        scenario_and("bare", "[other_heater]\nkind = \"none\"", &[]).plan,
        weather.clone(),
    );
    assert_eq!(bare.hourly().water_c, none.hourly().water_c);
    let set = Ran::on(
        "bare",
        &[
            "other_heater.kind=electric",
            "other_heater.power=20 kW",
            "other_heater.setpoint=26 °C",
        ],
        &weather,
    );
    assert!(set.season.heat_kwh.other_heater > 100.0);
    assert!(set.season.swim_days > bare.season.swim_days);
}

/// The same weather in intervals of `minutes`.
fn cut(weather: &WeatherYear, minutes: u32) -> WeatherYear {
    let parts = (weather.interval_minutes / minutes) as usize;
    let share = f64::from(minutes) / f64::from(weather.interval_minutes);
    let repeat = |c: &Vec<f64>| {
        c.iter()
            .flat_map(|v| std::iter::repeat_n(*v, parts))
            .collect::<Vec<f64>>()
    };
    let mut columns = mapped(&weather.columns, repeat);
    // A sum, not a mean.
    for mm in columns.rain_mm.iter_mut().flatten() {
        *mm *= share;
    }
    WeatherYear {
        interval_minutes: minutes,
        columns,
        ..weather.clone()
    }
}

/// Swim days counted from the recorded water at the full hours within swim hours, the same moments for any interval.
fn days_by_the_hour(ran: &Ran) -> usize {
    let swim = &ran.plan.swim;
    let per_hour = (60 / ran.year.interval_minutes) as usize;
    let mut days: Vec<(usize, bool)> = Vec::new();
    for (i, tick) in ran.year.ticks.iter().enumerate() {
        let hour = f64::from(u32::try_from(tick.slot / per_hour).expect("an hour"));
        let ends_hour = tick.slot % per_hour == per_hour - 1;
        if ran.is_open(i) && ends_hour && hour >= swim.from_h && hour < swim.to_h {
            let water = ran.hourly().water_c[i];
            let good = water >= swim.target_c && water <= swim.too_hot_c;
            match days.last_mut() {
                Some((day, all)) if *day == tick.day => *all &= good,
                _ => days.push((tick.day, good)),
            }
        }
    }
    days.iter().filter(|(_, all)| *all).count()
}

/// Water and swim days at 60, 30 and 15 min. The days twice: at the same moments, and as the program counts them: a swim
/// day asks at the end of every interval in swim hours, so a file of shorter intervals asks earlier and oftener. That is the
/// definition, so only the days at the same moments are judged.
#[test]
fn the_same_weather_in_shorter_intervals_gives_the_same_water() {
    let mut rows = vec![
        "| weather | plan | interval | swim days at the full hours: 60 min, the interval | as counted: 60 min, the interval | largest difference of the water on the hour, K |".to_owned(),
        "|---|---|---|---|---|---|".to_owned(),
    ];
    let mut faults = Vec::new();
    for (weather_name, weather) in samples() {
        for (name, allowed_k) in [
            ("bare", INTERVAL_BARE_K),
            ("cover-and-board", INTERVAL_BOARD_K),
        ] {
            let hourly = Ran::on(name, &[], &weather);
            assert_eq!(days_by_the_hour(&hourly), hourly.season.swim_days);
            for minutes in [30, 15] {
                let fine = Ran::on(name, &[], &cut(&weather, minutes));
                let parts = (60 / minutes) as usize;
                let largest = hourly
                    .hourly()
                    .water_c
                    .iter()
                    .enumerate()
                    .map(|(i, water)| (water - fine.hourly().water_c[parts * (i + 1) - 1]).abs())
                    .fold(0.0, f64::max);
                let counted = (hourly.season.swim_days, fine.season.swim_days);
                let days = (counted.0, days_by_the_hour(&fine));
                let line = format!(
                    "| {weather_name} | {name} | {minutes} min | {}, {} | {}, {} | {} |",
                    days.0,
                    days.1,
                    counted.0,
                    counted.1,
                    validation::two_digits(largest)
                );
                println!("{line}");
                rows.push(line);
                if days.0.abs_diff(days.1) > INTERVAL_DAYS || largest > allowed_k {
                    faults.push(format!(
                        "{weather_name}, {name}, {minutes} min: {days:?}, {largest} K"
                    ));
                }
            }
        }
    }
    validation::table("season-intervals", &rows);
    assert!(faults.is_empty(), "{faults:#?}");
}
