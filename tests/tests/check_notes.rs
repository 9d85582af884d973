//! Random faults in the pool of `scenarios/check-pool.toml`: the verdict names them.
//!
//! The committed notes were drawn before `twins.rs` took its present order of draws: the generator makes others of the same kind.

use rayon::prelude::*;
use swimdays_check::{Cause, verdict};
use swimdays_quantity::Units;
use swimdays_tests::notes::{notes_of, plan, weather};
use swimdays_tests::twins::{Dice, Hidden};

/// Ten further builders of the same pool, each with a fault drawn by its seed, and how bad it is as well.
#[test]
fn eight_of_ten_random_faults_are_among_the_first_two() {
    const SEEDS: std::ops::Range<u64> = 1001..1011;
    const WANTED: usize = 8;
    let (plan, year) = (plan(), weather());
    let found: Vec<(u64, Hidden, Vec<Cause>)> = SEEDS
        .into_par_iter()
        .map(|seed| {
            let hidden = random_fault(&mut Dice::new(seed));
            let two = matches!(hidden, Hidden::OutletOff(_));
            let log = notes_of(&plan, &year, hidden, !two, seed);
            let verdict =
                verdict(&plan, &[&year], &log, Units::Us).unwrap_or_else(|e| panic!("{e}"));
            (
                seed,
                hidden,
                verdict.ranked.iter().map(|c| c.cause).collect(),
            )
        })
        .collect();
    let right = found
        .iter()
        .filter(|(_, hidden, causes)| causes[..2].contains(&cause(*hidden)))
        .count();
    assert!(right >= WANTED, "{right} of {}: {found:?}", found.len());
}

fn random_fault(dice: &mut Dice) -> Hidden {
    let faults = [
        Hidden::Healthy,
        Hidden::LowFlow(dice.between(0.2, 0.5)),
        Hidden::Air(dice.between(0.3, 0.6)),
        Hidden::ShadedAfternoon(dice.between(0.6, 1.0)),
        Hidden::Shaded(dice.between(0.4, 0.7)),
        Hidden::CoverOffAtNight,
        Hidden::MoreWind(dice.between(1.8, 2.5)),
        Hidden::Leak(dice.between(0.006, 0.02)),
        Hidden::OutletOff(dice.between(1.5, 3.0)),
    ];
    *dice.pick(&faults)
}

const fn cause(hidden: Hidden) -> Cause {
    match hidden {
        Hidden::Healthy => Cause::AsBuilt,
        Hidden::LowFlow(_) => Cause::FlowTooLow,
        Hidden::Air(_) => Cause::AirInCoil,
        Hidden::ShadedAfternoon(_) | Hidden::Shaded(_) => Cause::Shaded,
        Hidden::CoverOffAtNight => Cause::CoverOff,
        Hidden::MoreWind(_) => Cause::MoreWind,
        Hidden::Leak(_) => Cause::WaterLost,
        Hidden::OutletOff(_) | Hidden::WaterOff(_) => Cause::ThermometerOff,
    }
}
