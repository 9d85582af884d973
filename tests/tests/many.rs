//! Many seasons at once: each is the season that the plan has alone, and stands at its own place.

use swimdays_scenario::{Scenario, load};
use swimdays_season::{Detail, Plan, Prepared, SeasonError, run};
use swimdays_studies::{Place, each_season};
use swimdays_tests::root;
use swimdays_weather::{WeatherYear, read};

fn scenario(name: &str, sets: &[&str]) -> Scenario {
    let sets: Vec<String> = sets.iter().map(|set| (*set).to_owned()).collect();
    load(&root().join("scenarios").join(name), &sets).unwrap_or_else(|e| panic!("{e}"))
}

fn year(name: &str) -> WeatherYear {
    read(&root().join("weather-samples").join(name)).unwrap_or_else(|e| panic!("{e}"))
}

/// Pools that share a prepared year, and others that cannot: other planes, other depth of the soil, other finish.
fn plans() -> Vec<Plan> {
    [
        &[][..],
        &["pool.cover.kind=none"],
        &["heater.board.tilt=60 deg"],
        &["pool.finish=dark"],
        &["heater.board.area=60 ft2"],
        &["pool.finish=dark", "heater.board.facing=W"],
    ]
    .iter()
    .map(|sets| scenario("cover-and-board.toml", sets).plan)
    .collect()
}

#[test]
fn each_season_is_the_one_alone() {
    let plans = plans();
    let years = [year("temperate.tmy3.csv"), year("hot-dry.epw")];
    let weather: Vec<&WeatherYear> = years.iter().collect();
    let found = each_season(&plans, &weather, Detail::Days, |place, season| {
        (
            place,
            season.swim_days,
            season.heat_kwh,
            season.water_mean_c.to_bits(),
        )
    })
    .unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(found.len(), plans.len());
    for (plan, row) in found.iter().enumerate() {
        assert_eq!(row.len(), years.len());
        for (year, one) in row.iter().enumerate() {
            let prepared =
                Prepared::new(&plans[plan], &years[year]).unwrap_or_else(|e| panic!("{e}"));
            let alone =
                run(&plans[plan], &prepared, Detail::Days).unwrap_or_else(|e| panic!("{e}"));
            let expected = (
                Place { plan, year },
                alone.swim_days,
                alone.heat_kwh,
                alone.water_mean_c.to_bits(),
            );
            assert_eq!(*one, expected, "plan {plan}, year {year}");
        }
    }
    // That they are different pools is what makes the comparison one.
    assert_ne!(found[0][0].3, found[1][0].3);
    assert_ne!(found[0][0].3, found[3][0].3);
}

#[test]
fn no_weather_and_no_plan() {
    let none = each_season(&plans(), &[], Detail::Days, |_, season| season.swim_days);
    assert!(matches!(none, Err(SeasonError::EmptyWeather)), "{none:?}");
    let year = year("temperate.tmy3.csv");
    let found = each_season(&[], &[&year], Detail::Days, |_, season| season.swim_days);
    assert!(found.is_ok_and(|rows| rows.is_empty()));
}
