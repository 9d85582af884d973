//! Seasons a second, as studies run them: distinct pools, boards and shelters through one prepared year on two threads, against a bare
//! kernel of simplified arithmetic. Prints; `cargo bench` runs it.
//!
//! Times are those of the processor where the system tells them (Linux), so that other programs on the machine count less; else the wall clock's.

use std::path::Path;
use std::time::{Duration, Instant};

use swimdays_bench::bare_season;
use swimdays_collector::HeaterSpec;
use swimdays_scenario::Scenario;
use swimdays_season::{Detail, MonthDay, Plan, Prepared, run, run_many};
use swimdays_weather::WeatherYear;

/// Distinct plans, and how often all of them are run in one timing.
const PLANS: u32 = 64;
const REPEATS: usize = 4;
const THREADS: usize = 2;

/// Timings of which the middle one counts.
const TIMINGS: usize = 5;

fn main() {
    let (scenario, weather) = sample();
    let plans = plans(&scenario.plan);
    let year = Prepared::new(&scenario.plan, &weather).expect("year");
    let chosen: Vec<&Plan> = plans.iter().collect();

    let prepare = middle(1, || drop(Prepared::new(&scenario.plan, &weather)));
    let alone = middle(chosen.len(), || {
        for plan in &chosen {
            std::hint::black_box(run(plan, &year, Detail::Days)).expect("season");
        }
    });
    // The system tells the processor's time in steps of some milliseconds, so all are run a few times.
    let many = || {
        for _ in 0..REPEATS {
            std::hint::black_box(run_many(&chosen, &year, Detail::Days));
        }
        chosen.len() * REPEATS
    };
    let one_thread = middle(chosen.len() * REPEATS, || {
        many();
    });
    let (two_threads, by_the_wall) = rate(THREADS, many);
    let bare = middle(chosen.len(), || {
        for plan in &chosen {
            std::hint::black_box(bare_season(plan, &year));
        }
    });
    println!("8760 h, board, cover and timer, {PLANS} distinct plans, the spin-up, the ledger and the days included; median of {TIMINGS}");
    println!("prepare a year:             {:8.0} µs", 1e6 * prepare.as_secs_f64());
    println!("a season alone:             {:8.0} µs", 1e6 * alone.as_secs_f64());
    println!("a season among many:        {:8.0} µs", 1e6 * one_thread.as_secs_f64());
    println!("seasons a second, 2 threads:{two_threads:8.0} (by the wall clock {by_the_wall:.0})");
    println!("the bare kernel:            {:8.0} µs", 1e6 * bare.as_secs_f64());
    let ratio = |time: Duration| time.as_secs_f64() / bare.as_secs_f64();
    println!("ratio to the bare kernel: alone {:.1}, among many {:.2}", ratio(alone), ratio(one_thread));
}

/// Time of this thread on a processor, or by the wall clock where nobody tells.
fn now(start: Instant) -> Duration {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split(' ').next()?.parse().ok());
    nanoseconds.map_or_else(|| start.elapsed(), Duration::from_nanos)
}

/// The middle of some timings, for each of `pieces`.
fn middle(pieces: usize, mut work: impl FnMut()) -> Duration {
    let start = Instant::now();
    let mut times: Vec<Duration> = (0..TIMINGS)
        .map(|_| {
            let before = now(start);
            work();
            now(start) - before
        })
        .collect();
    times.sort();
    times[TIMINGS / 2] / u32::try_from(pieces).expect("few pieces")
}

/// Pieces a second of some threads together, by the processor's time and by the wall clock, each the middle of some timings; `work` says
/// how many pieces it did.
fn rate(threads: usize, work: impl Fn() -> usize + Sync) -> (f64, f64) {
    let start = Instant::now();
    let (mut rates, mut by_the_wall): (Vec<f64>, Vec<f64>) = (0..TIMINGS)
        .map(|_| {
            let wall = Instant::now();
            let done: Vec<(f64, f64)> = std::thread::scope(|scope| {
                let threads: Vec<_> = (0..threads)
                    .map(|_| {
                        scope.spawn(|| {
                            let before = now(start);
                            let pieces = f64::from(u32::try_from(work()).expect("few pieces"));
                            (pieces, pieces / (now(start) - before).as_secs_f64())
                        })
                    })
                    .collect();
                threads.into_iter().map(|t| t.join().expect("a thread")).collect()
            });
            let pieces: f64 = done.iter().map(|one| one.0).sum();
            let rate: f64 = done.iter().map(|one| one.1).sum();
            (rate, pieces / wall.elapsed().as_secs_f64())
        })
        .unzip();
    rates.sort_by(f64::total_cmp);
    by_the_wall.sort_by(f64::total_cmp);
    (rates[TIMINGS / 2], by_the_wall[TIMINGS / 2])
}

fn sample() -> (Scenario, WeatherYear) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut scenario =
        swimdays_scenario::load(&root.join("scenarios/cover-and-board.toml"), &[]).expect("scenario");
    let weather = swimdays_weather::read(&scenario.weather.files()[0].path).expect("weather");
    let pool = &mut scenario.plan.pool;
    pool.start_c = None;
    pool.opens = MonthDay { month: 1, day: 1 };
    pool.closes = MonthDay { month: 12, day: 31 };
    (scenario, weather)
}

/// Pools, boards and shelters that all differ.
fn plans(base: &Plan) -> Vec<Plan> {
    let share = |i: u32, step: u32| f64::from(i * step % PLANS) / f64::from(PLANS);
    (0..PLANS)
        .map(|i| {
            let mut plan = base.clone();
            plan.pool.area_m2 *= 0.7 + 0.6 * share(i, 1);
            plan.pool.volume_m3 *= 0.8 + 0.5 * share(i, 7);
            plan.pool.wind_at_water_frac.value = 0.15 + 0.3 * share(i, 11);
            for heater in &mut plan.heaters {
                heater.wind_frac.value = 0.2 + 0.4 * share(i, 5);
                if let HeaterSpec::Board(board) = &mut heater.spec {
                    board.tube.length_m *= 0.5 + 0.5 * share(i, 13);
                }
            }
            plan
        })
        .collect()
}
