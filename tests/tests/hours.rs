//! Pump hours: what the best timer must be where that can be said without the program.

use swimdays_pump::{Control, Window};
use swimdays_scenario::{Scenario, load, parse};
use swimdays_season::{Detail, Plan, Prepared, Season, run};
use swimdays_solar::{Orbit, sun_in_interval};
use swimdays_studies::{HoursStudy, Way, hours, windows_of};
use swimdays_tests::root;
use swimdays_weather::{WeatherYear, read};

fn scenario(name: &str, sets: &[&str]) -> Scenario {
    let sets: Vec<String> = sets.iter().map(|set| (*set).to_owned()).collect();
    load(&root().join("scenarios").join(name), &sets).unwrap_or_else(|e| panic!("{e}"))
}

fn sample(name: &str) -> WeatherYear {
    read(&root().join("weather-samples").join(name)).unwrap_or_else(|e| panic!("{e}"))
}

fn study(plan: &Plan, year: &WeatherYear) -> HoursStudy {
    hours(plan, &[year]).unwrap_or_else(|e| panic!("{e}"))
}

fn season(plan: &Plan, control: Control, year: &WeatherYear) -> Season {
    let mut plan = plan.clone();
    if let Some(pump) = &mut plan.pump {
        pump.control = control;
    }
    let prepared = Prepared::new(&plan, year).unwrap_or_else(|e| panic!("{e}"));
    run(&plan, &prepared, Detail::Full).unwrap_or_else(|e| panic!("{e}"))
}

/// Nothing but the sun changes over the day: clear sky, circular orbit, the place on the meridian of its clock.
fn clear_and_still() -> WeatherYear {
    let mut year = sample("temperate.epw");
    year.place.longitude_deg = 15.0 * year.place.utc_offset_h;
    year.radiation_shift_minutes = 0.0;
    let columns = &mut year.columns;
    columns.air_c.fill(22.0);
    columns.dew_point_c.fill(12.0);
    columns.wind_m_s.fill(2.0);
    columns.infrared_w_m2 = None;
    columns.sky_cover_frac = None;
    let first = year.first_start.and_utc().timestamp();
    #[allow(
        clippy::cast_precision_loss,
        reason = "seconds of a year and hours of it"
    )]
    for i in 0..columns.ghi_w_m2.len() {
        let start_s = first as f64 - year.place.utc_offset_h * 3600.0 + i as f64 * 3600.0;
        let cos_zenith = sun_in_interval(
            Orbit::CircularMeanTime,
            start_s,
            3600.0,
            year.place.latitude_deg,
            year.place.longitude_deg,
        )
        .sun
        .cos_zenith();
        // Clear sky of Haurwitz (1945): 1098 cos z exp(−0.057 / cos z) W/m² (from memory; any function of the zenith angle would do).
        let ghi = if cos_zenith > 0.0 {
            1098.0 * cos_zenith * (-0.057 / cos_zenith).exp()
        } else {
            0.0
        };
        columns.ghi_w_m2[i] = ghi;
        columns.dhi_w_m2[i] = 0.15 * ghi;
        columns.dni_w_m2[i] = if cos_zenith > 0.03 {
            0.85 * ghi / cos_zenith
        } else {
            0.0
        };
    }
    year
}

/// A pool large enough to hardly change over a day, too cold to swim, with a board that faces `facing`.
fn steady(facing: &str) -> Plan {
    let facing = format!("heater.board.facing={facing}");
    let mut plan = scenario(
        "cover-and-board.toml",
        &[
            "site.summer_time=none",
            "pool.cover.kind=none",
            "pool.depth=18 ft",
            "pool.opens=06-01",
            "pool.closes=06-30",
            "pool.start=75 F",
            "swim.target=104 F",
            "swim.too_hot=110 F",
            "pump.kind=own",
            "pump.power=0 W",
            "pump.stop_above=never",
            "pump.control=never",
            &facing,
        ],
    )
    .plan;
    plan.models.orbit = Orbit::CircularMeanTime;
    plan
}

/// Start and end of the one window in June, h.
fn june(study: &HoursStudy) -> (f64, f64) {
    let windows = windows_of(&study.ways[study.best].control);
    match windows[5].as_slice() {
        [Window { start_h, end_h }] => (*start_h, *end_h),
        other => panic!("one window: {other:?}"),
    }
}

/// Morning and afternoon mirror each other, so must the window: its middle is solar noon, 12:00 by this clock. Whole hours and water
/// that is some tenths of a kelvin warmer in the afternoon leave half an hour.
#[test]
fn a_clear_day_gives_a_window_around_solar_noon() {
    let year = clear_and_still();
    let (start, end) = june(&study(&steady("S"), &year));
    assert!(
        ((start + end) / 2.0 - 12.0).abs() <= 0.5,
        "{start} to {end}"
    );
    assert!(end - start >= 6.0, "{start} to {end}");
    // A board that faces east is warm before one that faces west, and is done before it.
    let (east, west) = (
        june(&study(&steady("E"), &year)),
        june(&study(&steady("W"), &year)),
    );
    assert!(east.0 < west.0 && east.1 < west.1, "{east:?} {west:?}");
    // Each is the other's mirror: what one starts before noon the other ends after it, within the hour of the clock.
    assert!((east.0 + west.1 - 24.0).abs() <= 1.0, "{east:?} {west:?}");
}

/// An hour later on the wall when summer time holds: the sun does not care.
#[test]
fn summer_time_moves_the_window_by_an_hour() {
    let year = clear_and_still();
    let standard = june(&study(&steady("S"), &year));
    let mut plan = steady("S");
    plan.site.summer_time = swimdays_season::SummerTime::Us;
    let summer = june(&study(&plan, &year));
    assert!(
        (summer.0 - standard.0 - 1.0).abs() < 1e-9,
        "{standard:?} {summer:?}"
    );
    assert!(
        (summer.1 - standard.1 - 1.0).abs() < 1e-9,
        "{standard:?} {summer:?}"
    );
}

/// With a pump that draws nothing the score is swim days, then heat.
#[test]
fn the_best_timer_is_not_worse_than_yours_or_than_always() {
    for (name, weather, own, opens, closes) in [
        (
            "cover-and-board.toml",
            "hot-dry.epw",
            "11:00-14:00",
            "05-01",
            "09-30",
        ),
        (
            "large-board.toml",
            "temperate.epw",
            "6:30-20:15",
            "05-01",
            "09-30",
        ),
        (
            "large-board.toml",
            "cool-south.epw",
            "22:00-4:00",
            "11-01",
            "03-31",
        ),
    ] {
        let hours = format!("pump.hours={own}");
        let (opens, closes) = (
            format!("pool.opens={opens}"),
            format!("pool.closes={closes}"),
        );
        let sets = ["pump.kind=own", "pump.power=0 W", &opens, &closes, &hours];
        let plan = scenario(name, &sets).plan;
        let year = sample(weather);
        let found = study(&plan, &year);
        let best = season(&plan, found.ways[found.best].control.clone(), &year);
        for control in [
            plan.pump
                .clone()
                .map_or(Control::Never, |pump| pump.control),
            Control::Always,
            Control::Never,
        ] {
            let other = season(&plan, control.clone(), &year);
            let better = best.swim_days > other.swim_days
                || (best.swim_days == other.swim_days
                    && best.heat_kwh.heaters >= other.heat_kwh.heaters - 1e-9);
            assert!(
                better,
                "{name}, {weather}: {} days, {} kWh; {control:?} {} days, {} kWh",
                best.swim_days, best.heat_kwh.heaters, other.swim_days, other.heat_kwh.heaters
            );
        }
        // One window a month.
        for windows in windows_of(&found.ways[found.best].control) {
            assert!(windows.len() <= 1, "{windows:?}");
        }
    }
}

/// The hours in which running cooled the water, against the heater's own book, kept apart in the run.
#[test]
fn cooled_hours_are_those_of_the_heaters_own_book() {
    let plan = scenario("cover-and-board.toml", &["pump.hours=5:00-22:00"]).plan;
    let year = sample("temperate.epw");
    let found = study(&plan, &year);
    for way in &found.ways {
        let alone = season(&plan, way.control.clone(), &year);
        let booked = alone.heaters[0].cooling_h;
        assert!(
            (way.cooled.hours - booked).abs() < 1e-6,
            "{:?}: {} {booked}",
            way.way,
            way.cooled.hours
        );
        assert!((way.cooled.heat_kwh + alone.heaters[0].cooled_kwh).abs() < 1e-6);
    }
    // From five in the morning on there are some.
    assert!(
        found.ways[0].cooled.hours > 100.0,
        "{:?}",
        found.ways[0].cooled
    );
}

/// What an hour brings, times how long it ran, is the heater's heat in that hour: the sum over the card's hours is the season's heat.
#[test]
fn what_each_hour_brings_adds_up_to_the_season() {
    // A limit would stop the pump for other parts of the hour when one more hour runs.
    let plan = scenario(
        "cover-and-board.toml",
        &[
            "pump.stop_above=never",
            "pool.cover.off_above=never",
            "pool.cover.kind=none",
        ],
    )
    .plan;
    let year = sample("temperate.epw");
    let found = study(&plan, &year);
    let control = found.ways[found.card].control.clone();
    let alone = season(&plan, control.clone(), &year);
    let mut heat_kwh = 0.0;
    for (month, windows) in windows_of(&control).iter().enumerate() {
        if !found.months.contains(&month) {
            continue;
        }
        // Days of the months on the wall; all of May to September lie in summer time.
        let days = f64::from([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month]);
        for (hour, kw) in (0_u32..24).zip(found.brings[month]) {
            if swimdays_pump::window_frac(windows, f64::from(hour), 1.0) > 0.5 {
                heat_kwh += kw * days;
            }
        }
    }
    // Frost stops some hours early in May, so that an hour is not run on every day: a hundredth.
    let apart = (heat_kwh / alone.heat_kwh.heaters - 1.0).abs();
    assert!(
        apart < 0.01,
        "{heat_kwh} kWh, the season {}",
        alone.heat_kwh.heaters
    );
}

/// A sensor's usual set-points are those of a scenario that names none.
#[test]
fn the_sensor_is_the_scenarios_own() {
    let year = sample("temperate.epw");
    let timer = study(&scenario("cover-and-board.toml", &[]).plan, &year);
    let sensor = timer
        .ways
        .iter()
        .find(|w| w.way == Way::Sensor)
        .expect("a sensor is tried");
    let text =
        std::fs::read_to_string(root().join("scenarios/cover-and-board.toml")).expect("read");
    let text: String = text
        .lines()
        .filter(|l| !l.starts_with("hours = "))
        .map(|l| format!("{l}\n"))
        .collect();
    let asked = parse(
        &text,
        "s.toml",
        &root().join("scenarios"),
        &["pump.control=sensor".to_owned()],
    )
    .unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(
        Some(&sensor.control),
        asked.plan.pump.as_ref().map(|pump| &pump.control)
    );
    // A plan with a sensor has none beside it.
    let own = study(&asked.plan, &year);
    assert!(own.ways.iter().all(|w| w.way != Way::Sensor));
}

/// Where the pool gets too hot, running at night helps: a large board on a warm pool with nothing that stops it.
#[test]
fn a_pool_too_hot_is_offered_night_cooling() {
    let plan = scenario(
        "large-board.toml",
        &[
            "pump.stop_above=never",
            "swim.too_hot=82 F",
            "swim.target=70 F",
        ],
    )
    .plan;
    let found = study(&plan, &sample("hot-dry.epw"));
    let cooling = found
        .ways
        .iter()
        .find(|w| w.way == Way::NightCooling)
        .expect("offered");
    let best = &found.ways[found.best];
    assert!(
        cooling.season.too_hot_days < best.season.too_hot_days,
        "{} too hot, {} without",
        cooling.season.too_hot_days,
        best.season.too_hot_days
    );
    assert!(cooling.cool_above_c.is_some());
}
