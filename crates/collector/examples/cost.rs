//! What one call costs, ns. `cargo run --release -p swimdays-collector --example cost`

#[path = "../tests/common/mod.rs"]
#[allow(dead_code, reason = "shared with the tests, which use all of it")]
mod common;

use std::hint::black_box;
use std::time::Instant;

use swimdays_collector::{Heater, HeaterState, HeaterWeather};

/// Short enough to fit between two interruptions.
const CALLS: u32 = 2_000;

fn nanoseconds(
    heater: &Heater,
    weathers: &[HeaterWeather],
    call: impl Fn(&Heater, &HeaterWeather, &HeaterState, f64) -> f64,
) -> f64 {
    let state = heater.initial_state(20.0, 18.0);
    let mut best = f64::INFINITY;
    for _ in 0..300 {
        let start = Instant::now();
        let mut sum = 0.0;
        let mut w = weathers.iter().cycle();
        for i in 0..CALLS {
            if let Some(w) = w.next() {
                sum += call(
                    heater,
                    black_box(w),
                    black_box(&state),
                    20.0 + f64::from(i % 64) * 0.1,
                );
            }
        }
        black_box(sum);
        best = best.min(start.elapsed().as_secs_f64() / f64::from(CALLS) * 1e9);
    }
    best
}

fn main() -> Result<(), swimdays_collector::CollectorError> {
    let weathers = common::weathers();
    println!(
        "{:<14} {:>6} {:>6} {:>10}",
        "ns", "run", "rest", "stagnation"
    );
    for (name, spec) in common::every_kind() {
        let heater = Heater::new(&spec, 0.1)?;
        let run = nanoseconds(&heater, &weathers, |h, w, s, inlet| {
            h.run(w, s, inlet, 0.1).heat_w
        });
        let rest = nanoseconds(&heater, &weathers, |h, w, s, _| h.rest(w, s, 3600.0).body_c);
        let still = nanoseconds(&heater, &weathers, |h, w, s, _| h.stagnation_c(w, s));
        println!("{name:<14} {run:>6.0} {rest:>6.0} {still:>10.0}");
    }
    Ok(())
}
