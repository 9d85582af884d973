//! Heat of readings against what the heaters should give: a log copied from the season's own hours must agree with it, and faults
//! must show as what they are.

use std::path::Path;

use swimdays_check::heats::{Heats, heats};
use swimdays_check::{Accuracy, Log, Reading};
use swimdays_scenario::{Scenario, WeatherSource, load};
use swimdays_season::{Detail, Prepared, run};

/// The season mixes water while an hour runs; a reading knows the hour's middle only. Start and stop cost the rest.
const HOUR_WITHIN: f64 = 0.03;
/// A deck's slab is taken as if nothing had run since yesterday; while water runs it is cooler.
const DECK_WITHIN: f64 = 0.35;

fn scenario(name: &str) -> (Scenario, Prepared) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../scenarios")
        .join(name);
    let scenario = load(&path, &[]).unwrap_or_else(|e| panic!("{e}"));
    let WeatherSource::Files(files) = &scenario.weather else {
        panic!("a weather file")
    };
    let weather = swimdays_weather::read(&files[0].path).expect("a committed sample");
    let prepared = Prepared::new(&scenario.plan, &weather).expect("prepared");
    (scenario, prepared)
}

/// Every hour of the season in which the pump ran through, as somebody would have noted it; flow and rise bent by factors.
fn noted(scenario: &Scenario, year: &Prepared, flow: f64, rise: f64, offset_k: f64) -> Log {
    let season = run(&scenario.plan, year, Detail::Full).expect("a season");
    let hourly = season.hourly.expect("hours");
    let plan_flow = scenario.plan.pump.as_ref().expect("pump").pump.flow_m3_s();
    let mut readings: Vec<Reading> = (1..hourly.start.len())
        .filter(|&i| hourly.pump_on_frac[i] > 0.999 && hourly.pump_on_frac[i - 1] > 0.999)
        .map(|i| {
            let inlet_c = f64::midpoint(hourly.water_c[i - 1], hourly.water_c[i]);
            Reading {
                inlet_c: Some(inlet_c),
                outlet_c: Some(inlet_c + rise * (hourly.outlet_c[i] - inlet_c) + offset_k),
                flow_m3_s: Some(flow * plan_flow),
                ..Reading::at(i, hourly.start[i] + chrono::TimeDelta::minutes(30))
            }
        })
        .collect();
    readings.sort_by_key(|r| r.time);
    Log {
        readings,
        one_thermometer: true,
        sd: Accuracy::default(),
    }
}

fn compared(name: &str, flow: f64, rise: f64, offset_k: f64) -> Heats {
    let (scenario, year) = scenario(name);
    let log = noted(&scenario, &year, flow, rise, offset_k);
    assert!(log.readings.len() > 300, "{name}: {}", log.readings.len());
    heats(&scenario.plan, &[year], &log).expect("heats")
}

#[test]
fn the_seasons_own_hours_give_what_they_should() {
    for (name, within) in [
        ("cover-and-board.toml", HOUR_WITHIN),
        ("large-board.toml", HOUR_WITHIN),
        ("four-coils.toml", HOUR_WITHIN),
        ("board-and-deck.toml", DECK_WITHIN),
    ] {
        let heats = compared(name, 1.0, 1.0, 0.0);
        let share = heats.share.expect("sunny hours");
        assert!((share.value_frac - 1.0).abs() < within, "{name}: {share:?}");
        assert!(
            share.low_frac < 1.0 && 1.0 < share.high_frac,
            "{name}: {share:?}"
        );
        let sunny: Vec<_> = heats
            .readings
            .iter()
            .filter(|r| r.sun_w_m2 > 500.0)
            .collect();
        assert!(sunny.len() > 50, "{name}");
        for r in sunny {
            assert!(
                r.expected.low_w < r.expected.value_w && r.expected.value_w < r.expected.high_w
            );
            // A deck is not judged hour by hour: what its slab holds is a guess, and cold in the morning it may cool in full sun.
            if within < DECK_WITHIN {
                let off = (r.heat.value_w / r.expected.value_w - 1.0).abs();
                assert!(off < 3.0 * within, "{name} {}: {off}", r.time);
                let efficiency = r.efficiency_frac;
                assert!(
                    efficiency.is_some_and(|e| (0.2..1.3).contains(&e)),
                    "{name} {efficiency:?}"
                );
            }
        }
        assert!((heats.flow_share_frac.expect("flow") - 1.0).abs() < 1e-12);
    }
}

/// Half the heat at the same flow is half the heat.
#[test]
fn a_heater_in_half_shade_shows_as_half() {
    let share = compared("cover-and-board.toml", 1.0, 0.5, 0.0)
        .share
        .expect("sunny hours");
    assert!(
        (share.value_frac - 0.5).abs() < 0.02 && share.high_frac < 0.8,
        "{share:?}"
    );
}

/// A thermometer that shows 0.5 K too much doubles the heat of a rise of 0.5 K; with two thermometers the range says so.
#[test]
fn two_thermometers_widen_the_range() {
    let (scenario, year) = scenario("cover-and-board.toml");
    let mut log = noted(&scenario, &year, 1.0, 1.0, 0.5);
    let years = [year];
    let one = heats(&scenario.plan, &years, &log)
        .expect("heats")
        .share
        .expect("share");
    log.one_thermometer = false;
    let two = heats(&scenario.plan, &years, &log)
        .expect("heats")
        .share
        .expect("share");
    assert!((one.value_frac - two.value_frac).abs() < 1e-12);
    assert!(
        two.low_frac < one.low_frac && two.high_frac > one.high_frac,
        "{one:?} {two:?}"
    );
    assert!(two.low_frac < 1.0 && one.low_frac > 1.0, "{one:?} {two:?}");
}
