//! Many plans through many weather years: the years are prepared once for all plans that can share them.

use rayon::prelude::*;
use swimdays_season::{Detail, Plan, Prepared, Season, SeasonError, run_many};
use swimdays_weather::WeatherYear;

/// How many plans a thread takes at a time: enough to step several in lockstep.
const AT_A_TIME: usize = 16;

/// As [`AT_A_TIME`] where few plans go through few years: no thread shall wait long for another.
const OF_ONE_YEAR: usize = 8;

/// Which season it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Index of the plan.
    pub plan: usize,
    /// Index of the weather year.
    pub year: usize,
}

/// Steps each of `plans` through each of `weather` and keeps what `keep` makes of each season: `found[plan][year]`.
///
/// The same answer for any number of threads. Plans that differ only in what no weather depends on (cover, pump, size,
/// shelter, prices …) share one [`Prepared`] year with the planes of all of them. Whole seasons are large: keep numbers.
///
/// # Errors
/// As [`Prepared::new`] and [`swimdays_season::run()`]: the first in the order of the plans and years. [`SeasonError::EmptyWeather`] without any year.
pub fn each_season<T: Send>(
    plans: &[Plan],
    weather: &[&WeatherYear],
    detail: Detail,
    keep: impl Fn(Place, Season) -> T + Sync,
) -> Result<Vec<Vec<T>>, SeasonError> {
    if weather.is_empty() {
        return Err(SeasonError::EmptyWeather);
    }
    let shared = Shared::of(plans);
    let years: Vec<Prepared> = shared
        .unions
        .iter()
        .flat_map(|union| weather.iter().map(move |year| (union, *year)))
        .collect::<Vec<_>>()
        .par_iter()
        .map(|(union, year)| Prepared::new(union, year))
        .collect::<Result<_, _>>()?;
    let mut chunks = Vec::new();
    for (group, members) in shared.members.iter().enumerate() {
        for year in 0..weather.len() {
            for some in members.chunks(AT_A_TIME) {
                chunks.push((some, year, &years[group * weather.len() + year]));
            }
        }
    }
    stepped(plans, &chunks, detail, keep)
}

/// Steps each of `plans` through each of `years`, which serve all of them, and keeps what `keep` makes of each season: `found[plan][year]`.
///
/// For a search that asks again and again: nothing is prepared here. The same answer for any number of threads.
///
/// # Errors
/// As [`swimdays_season::run()`]: the first in the order of the plans and years.
pub fn each_prepared<T: Send>(
    plans: &[Plan],
    years: &[Prepared],
    detail: Detail,
    keep: impl Fn(Place, Season) -> T + Sync,
) -> Result<Vec<Vec<T>>, SeasonError> {
    let members: Vec<usize> = (0..plans.len()).collect();
    let mut chunks = Vec::new();
    for (year, prepared) in years.iter().enumerate() {
        for some in members.chunks(OF_ONE_YEAR) {
            chunks.push((some, year, prepared));
        }
    }
    stepped(plans, &chunks, detail, keep)
}

/// Runs the plans of each chunk through its year.
fn stepped<T: Send>(
    plans: &[Plan],
    chunks: &[(&[usize], usize, &Prepared)],
    detail: Detail,
    keep: impl Fn(Place, Season) -> T + Sync,
) -> Result<Vec<Vec<T>>, SeasonError> {
    let mut found: Vec<(Place, Result<T, SeasonError>)> = chunks
        .par_iter()
        .flat_map_iter(|(some, year, prepared)| {
            let keep = &keep;
            let chosen: Vec<&Plan> = some.iter().map(|&plan| &plans[plan]).collect();
            let seasons = run_many(&chosen, prepared, detail);
            some.iter().zip(seasons).map(move |(&plan, season)| {
                let place = Place { plan, year: *year };
                (place, season.map(|season| keep(place, season)))
            })
        })
        .collect();
    found.sort_by_key(|(place, _)| (place.plan, place.year));
    let mut rows: Vec<Vec<T>> = plans.iter().map(|_| Vec::new()).collect();
    for (place, one) in found {
        rows[place.plan].push(one?);
    }
    Ok(rows)
}

/// Steps each of `plans` through each of the prepared `years` and keeps what `keep` makes of each season: year by year, in each all
/// plans.
///
/// # Errors
/// As [`swimdays_season::run()`]: the first in that order.
pub(crate) fn through_years<T: Send>(
    plans: &[&Plan],
    years: &[Prepared],
    detail: Detail,
    keep: impl Fn(Season) -> T + Sync,
) -> Result<Vec<T>, SeasonError> {
    let chunks: Vec<(&Prepared, &[&Plan])> = years
        .iter()
        .flat_map(|year| plans.chunks(OF_ONE_YEAR).map(move |some| (year, some)))
        .collect();
    let found: Vec<Vec<Result<T, SeasonError>>> = chunks
        .par_iter()
        .map(|(year, some)| {
            let seasons = run_many(some, year, detail).into_iter();
            seasons.map(|season| season.map(&keep)).collect()
        })
        .collect();
    found.into_iter().flatten().collect()
}

/// Plans that can share a prepared year.
struct Shared {
    /// For each group one plan with the heaters of all of its members.
    unions: Vec<Plan>,
    /// Indices of the plans of each group.
    members: Vec<Vec<usize>>,
}

impl Shared {
    fn of(plans: &[Plan]) -> Self {
        let mut unions: Vec<Plan> = Vec::new();
        let mut members: Vec<Vec<usize>> = Vec::new();
        for (at, plan) in plans.iter().enumerate() {
            let group = unions
                .iter()
                .position(|union| Prepared::shareable(union, plan))
                .unwrap_or_else(|| {
                    let mut union = plan.clone();
                    union.heaters.clear();
                    unions.push(union);
                    members.push(Vec::new());
                    unions.len() - 1
                });
            members[group].push(at);
            for heater in &plan.heaters {
                let known = unions[group]
                    .heaters
                    .iter()
                    .any(|h| h.plane == heater.plane && h.obstructions == heater.obstructions);
                if !known {
                    unions[group].heaters.push(heater.clone());
                }
            }
        }
        Self { unions, members }
    }
}
