//! What each measure gives by itself.

use rayon::prelude::*;
use swimdays_season::{Detail, Plan, Prepared, SeasonError, run};

/// Days of the pool with one measure alone, or with none.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasureDays {
    /// `bare`, `cover`, a heater's name, or `ordinary heater`.
    pub name: String,
    /// Swim days.
    pub swim_days: usize,
    /// Too-hot days.
    pub too_hot_days: usize,
}

/// The bare pool, then the pool with each of the plan's measures alone.
///
/// # Errors
/// As [`run`].
pub fn measures_alone(plan: &Plan, year: &Prepared) -> Result<Vec<MeasureDays>, SeasonError> {
    let mut bare = plan.clone();
    bare.cover = None;
    bare.heaters.clear();
    bare.other_heater = None;
    let mut variants = vec![("bare".to_owned(), bare.clone())];
    if plan.cover.is_some() {
        variants.push((
            "cover".into(),
            Plan {
                cover: plan.cover.clone(),
                ..bare.clone()
            },
        ));
    }
    for heater in &plan.heaters {
        variants.push((
            heater.name.clone(),
            Plan {
                heaters: vec![heater.clone()],
                ..bare.clone()
            },
        ));
    }
    if plan.other_heater.is_some() {
        variants.push((
            "ordinary heater".into(),
            Plan {
                other_heater: plan.other_heater.clone(),
                ..bare
            },
        ));
    }
    variants
        .par_iter()
        .map(|(name, plan)| {
            let season = run(plan, year, Detail::Days)?;
            Ok(MeasureDays {
                name: name.clone(),
                swim_days: season.swim_days,
                too_hot_days: season.too_hot_days,
            })
        })
        .collect()
}
