//! Layouts, cutting plans and parts lists against closed forms, hand arithmetic, brute force and published cases.

mod cutting;
mod layout;
mod parts;

use proptest::prelude::ProptestConfig;
use proptest::test_runner::RngSeed;

/// A fixed seed, so that a failure is found again.
fn config(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        rng_seed: RngSeed::Fixed(20_010_101),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

#[allow(clippy::cast_precision_loss, reason = "counts of things")]
const fn real(count: usize) -> f64 {
    count as f64
}
