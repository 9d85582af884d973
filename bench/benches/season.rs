//! One season of `scenarios/cover-and-board.toml`, prepared and run, on one core.

use std::path::Path;

use divan::{Bencher, black_box};
use swimdays_scenario::Scenario;
use swimdays_season::{Detail, Prepared, run};
use swimdays_weather::WeatherYear;

fn main() {
    divan::main();
}

fn sample() -> (Scenario, WeatherYear) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let scenario =
        swimdays_scenario::load(&root.join("scenarios/cover-and-board.toml"), &[]).expect("scenario");
    let weather = swimdays_weather::read(&scenario.weather.files()[0].path).expect("weather");
    (scenario, weather)
}

#[divan::bench(sample_count = 20)]
fn read_weather(bencher: Bencher) {
    let (scenario, _) = sample();
    bencher.bench(|| swimdays_weather::read(black_box(&scenario.weather.files()[0].path)).expect("weather"));
}

#[divan::bench(sample_count = 20)]
fn prepare(bencher: Bencher) {
    let (scenario, weather) = sample();
    bencher.bench(|| Prepared::new(black_box(&scenario.plan), black_box(&weather)).expect("year"));
}

/// The year with its spin-up and every hourly column.
#[divan::bench(sample_count = 50)]
fn season_full(bencher: Bencher) {
    let (scenario, weather) = sample();
    let year = Prepared::new(&scenario.plan, &weather).expect("year");
    bencher.bench(|| run(black_box(&scenario.plan), black_box(&year), Detail::Full).expect("season"));
}

/// The year with its spin-up, days and ledgers only, as studies run it.
#[divan::bench(sample_count = 50)]
fn season_days(bencher: Bencher) {
    let (scenario, weather) = sample();
    let year = Prepared::new(&scenario.plan, &weather).expect("year");
    bencher.bench(|| run(black_box(&scenario.plan), black_box(&year), Detail::Days).expect("season"));
}

/// One pass through the year from a given start, open all year: 8760 steps and nothing repeated.
#[divan::bench(sample_count = 50)]
fn one_pass(bencher: Bencher) {
    let (mut scenario, weather) = sample();
    scenario.plan.pool.start_c = Some(12.0);
    scenario.plan.pool.opens = swimdays_season::MonthDay { month: 1, day: 1 };
    scenario.plan.pool.closes = swimdays_season::MonthDay { month: 12, day: 31 };
    let year = Prepared::new(&scenario.plan, &weather).expect("year");
    bencher.bench(|| run(black_box(&scenario.plan), black_box(&year), Detail::Days).expect("season"));
}
