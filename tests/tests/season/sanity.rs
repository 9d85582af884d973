//! Numbers that a builder would know by heart: printed, not judged (common practice, no source).

use chrono::{Datelike, NaiveDate};
use swimdays_tests::validation;
use swimdays_weather::WeatherYear;

use crate::{Ran, sample};

/// Warm-up days.
const DAYS: usize = 5;

/// Global irradiation of the five days that begin on each date from 15 May to 20 June, kWh/m² a day; sorted.
fn five_days(weather: &WeatherYear) -> Vec<(f64, NaiveDate)> {
    let mut found: Vec<(f64, NaiveDate)> = (0..weather.len() / 24 - DAYS)
        .map(|day| {
            let hours = day * 24..(day + DAYS) * 24;
            let sun: f64 = weather.columns.ghi_w_m2[hours].iter().sum();
            #[allow(clippy::cast_precision_loss, reason = "five")]
            let per_day = sun / 1000.0 / DAYS as f64;
            (per_day, weather.start_of(day * 24).date())
        })
        .filter(|(_, date)| {
            let key = date.month() * 100 + date.day();
            (515..=620).contains(&key)
        })
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found
}

#[test]
fn five_day_rise_of_a_covered_pool_not_judged() {
    let weather = sample("temperate.epw");
    let found = five_days(&weather);
    let picks = [
        ("dullest", found[0]),
        ("middling", found[found.len() / 2]),
        ("sunniest", found[found.len() - 1]),
    ];
    let mut rows = vec![
        "| bubble cover day and night, from 16 °C (61 °F) | sun, kWh/m² a day | air, °C | 0.8 m | 1.2 m | 1.6 m |".to_owned(),
        "|---|---|---|---|---|---|".to_owned(),
    ];
    for (what, (sun, date)) in picks {
        let mut cells = Vec::new();
        let mut air = 0.0;
        for depth in ["0.8 m", "1.2 m", "1.6 m"] {
            let sets = [
                format!("pool.depth={depth}"),
                format!("pool.opens={:02}-{:02}", date.month(), date.day()),
                "pool.start=16 °C".to_owned(),
                "site.summer_time=none".to_owned(),
                "pool.cover.off_in_swim_hours=false".to_owned(),
                "pool.cover.off_above=never".to_owned(),
            ];
            let sets: Vec<&str> = sets.iter().map(String::as_str).collect();
            let ran = Ran::on("cover-only", &sets, &weather);
            let hourly = ran.hourly();
            let first = hourly
                .water_c
                .iter()
                .position(|w| w.is_finite())
                .expect("a start");
            assert_eq!(hourly.start[first].date(), date);
            let rise_k = hourly.water_c[first + DAYS * 24 - 1] - 16.0;
            #[allow(clippy::cast_precision_loss, reason = "hours of five days")]
            let n = (DAYS * 24) as f64;
            air = hourly.air_c[first..first + DAYS * 24].iter().sum::<f64>() / n;
            println!(
                "{what} ({date}, {sun:.1} kWh/m² a day, air {air:.1} °C), {depth}: +{rise_k:.1} K (+{:.1} °F)",
                1.8 * rise_k
            );
            cells.push(format!("{rise_k:.1} K ({:.1} °F)", 1.8 * rise_k));
        }
        rows.push(format!(
            "| {what} five days from 15 May to 25 June | {sun:.1} | {air:.1} | {} |",
            cells.join(" | ")
        ));
    }
    validation::table("season-sanity-warmup", &rows);
}

#[test]
fn rise_per_pass_of_thirty_square_feet_of_tube_not_judged() {
    let weather = sample("temperate.epw");
    // Noon of the clearest day from May to July, pool at about the air's temperature: no cover, no limit.
    let mut rows = vec![
        "| 30 ft² of touching tube (514 ft of 0.70 in, 4 circuits), facing S, 35°, noon of a clear summer day | rise per pass | heat |".to_owned(),
        "|---|---|---|".to_owned(),
    ];
    for gpm in [1, 2, 4] {
        let flow = format!("pump.flow={gpm} gpm");
        let sets = [
            flow.as_str(),
            "heater.board.tube.length=514 ft",
            "heater.board.tube.circuits=4",
            "heater.board.board.layout=serpentine",
            "pool.cover.kind=none",
            "pump.stop_above=never",
            "site.summer_time=none",
        ];
        let ran = Ran::on("cover-and-board", &sets, &weather);
        let hourly = ran.hourly();
        let noon = (0..hourly.water_c.len())
            .filter(|&i| (4..=6).contains(&ran.year.ticks[i].month) && ran.year.ticks[i].slot == 12)
            .max_by(|&a, &b| hourly.plane_w_m2[a].total_cmp(&hourly.plane_w_m2[b]))
            .expect("a noon");
        let inlet_c = 0.5 * (hourly.water_c[noon - 1] + hourly.water_c[noon]);
        let rise_k = hourly.outlet_c[noon] - inlet_c;
        let heat = hourly.heat_w[noon].heaters;
        println!(
            "{gpm} gpm, {}: plane {:.0} W/m², air {:.1} °C, pool {inlet_c:.1} °C, wind {:.1} m/s: +{rise_k:.2} K (+{:.1} °F), {heat:.0} W",
            hourly.start[noon],
            hourly.plane_w_m2[noon],
            hourly.air_c[noon],
            hourly.wind_m_s[noon],
            1.8 * rise_k
        );
        rows.push(format!(
            "| {gpm} gpm | {rise_k:.1} K ({:.1} °F) | {:.1} kW |",
            1.8 * rise_k,
            heat / 1000.0
        ));
    }
    validation::table("season-sanity-pass", &rows);
}
