//! What each measure gives by itself.

use swimdays_season::{Detail, Plan, Prepared, SeasonError};

use crate::many::through_years;
use crate::years::middle_of;

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

/// The bare pool, then the pool with each of the plan's measures alone; of several years each in its own middle year.
///
/// # Errors
/// As [`swimdays_season::run`].
pub fn measures_alone(plan: &Plan, years: &[Prepared]) -> Result<Vec<MeasureDays>, SeasonError> {
    let variants = each_alone(plan);
    if years.is_empty() {
        return Err(SeasonError::EmptyWeather);
    }
    let plans: Vec<&Plan> = variants.iter().map(|(_, plan)| plan).collect();
    let seasons = through_years(&plans, years, Detail::Days, |season| {
        (season.swim_days, season.too_hot_days)
    })?;
    Ok(variants
        .iter()
        .enumerate()
        .map(|(variant, (name, _))| {
            // Year by year, in each all variants.
            let days: Vec<(usize, usize)> = seasons
                .chunks(variants.len())
                .map(|year| year[variant])
                .collect();
            let swim: Vec<usize> = days.iter().map(|d| d.0).collect();
            let (swim_days, too_hot_days) = days[middle_of(&swim)];
            MeasureDays {
                name: name.clone(),
                swim_days,
                too_hot_days,
            }
        })
        .collect())
}

/// The bare pool, then the pool with each of the plan's measures alone, by name.
pub(crate) fn each_alone(plan: &Plan) -> Vec<(String, Plan)> {
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
}
