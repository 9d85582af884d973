//! Many plans through many weather years: the years are prepared once for all plans that can share them.

use std::borrow::Borrow;

use rayon::prelude::*;
use swimdays_season::{Detail, Plan, Prepared, Season, SeasonError, run_many};
use swimdays_weather::WeatherYear;

/// How many plans a thread takes at a time where there are plenty: enough to step several in lockstep.
const AT_A_TIME: usize = 16;

/// As [`AT_A_TIME`] where there are few: no thread shall wait long for another.
const OF_FEW: usize = 8;

/// Seasons from which on there are plenty.
const PLENTY: usize = 512;

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
    Ready::new(plans, weather)?.each_season(plans, detail, keep)
}

/// Weather years made ready for plans of several kinds, to be asked more than once.
pub(crate) struct Ready {
    /// For each group one plan with the heaters of all of its members.
    unions: Vec<Plan>,
    /// Group by group, in each all weather years.
    years: Vec<Prepared>,
    weather: usize,
}

impl Ready {
    /// Prepares each of `weather` for all of `plans`, once for those that can share it.
    ///
    /// # Errors
    /// As [`Prepared::new`]; [`SeasonError::EmptyWeather`] without any year.
    pub(crate) fn new(plans: &[Plan], weather: &[&WeatherYear]) -> Result<Self, SeasonError> {
        if weather.is_empty() {
            return Err(SeasonError::EmptyWeather);
        }
        let unions = unions(plans);
        let years = unions
            .iter()
            .flat_map(|union| weather.iter().map(move |year| (union, *year)))
            .collect::<Vec<_>>()
            .par_iter()
            .map(|(union, year)| Prepared::new(union, year))
            .collect::<Result<_, _>>()?;
        Ok(Self {
            unions,
            years,
            weather: weather.len(),
        })
    }

    /// As [`each_season`], through all years, of plans whose planes are among those of the plans it was made for.
    ///
    /// # Errors
    /// As [`swimdays_season::run()`].
    pub(crate) fn each_season<T: Send>(
        &self,
        plans: &[Plan],
        detail: Detail,
        keep: impl Fn(Place, Season) -> T + Sync,
    ) -> Result<Vec<Vec<T>>, SeasonError> {
        let years: Vec<usize> = (0..self.weather).collect();
        self.through(&years, plans, detail, keep)
    }

    /// The same through one year.
    ///
    /// # Errors
    /// As [`swimdays_season::run()`].
    pub(crate) fn in_year<T: Send>(
        &self,
        year: usize,
        plans: &[Plan],
        detail: Detail,
        keep: impl Fn(Season) -> T + Sync,
    ) -> Result<Vec<T>, SeasonError> {
        let found = self.through(&[year], plans, detail, |_, season| keep(season))?;
        Ok(found.into_iter().flatten().collect())
    }

    fn through<T: Send>(
        &self,
        years: &[usize],
        plans: &[Plan],
        detail: Detail,
        keep: impl Fn(Place, Season) -> T + Sync,
    ) -> Result<Vec<Vec<T>>, SeasonError> {
        let mut members = vec![Vec::new(); self.unions.len()];
        for (at, plan) in plans.iter().enumerate() {
            let group = self
                .unions
                .iter()
                .position(|union| Prepared::shareable(union, plan));
            // A plan that fits none is told so by the year that it is given.
            if let Some(members) = members.get_mut(group.unwrap_or(0)) {
                members.push(at);
            }
        }
        let mut chunks = Vec::new();
        let seasons = plans.len() * years.len();
        for (group, members) in members.iter().enumerate() {
            let like = like_chunks(members, |at| &plans[at], seasons, detail);
            for &year in years {
                let prepared = &self.years[group * self.weather + year];
                chunks.extend(like.iter().map(|some| (some.clone(), year, prepared)));
            }
        }
        stepped(plans, &chunks, detail, keep)
    }
}

/// Plans of like build beside each other, so that they go in lockstep, in pieces for a thread.
fn like_chunks<'a>(
    members: &[usize],
    plan: impl Fn(usize) -> &'a Plan,
    seasons: usize,
    detail: Detail,
) -> Vec<Vec<usize>> {
    let build = |at: &usize| {
        let plan = plan(*at);
        let heaters: Vec<_> = plan
            .heaters
            .iter()
            .map(|h| (std::mem::discriminant(&h.spec), h.side_by_side))
            .collect();
        (heaters, plan.other_heater.is_some())
    };
    let mut groups: Vec<(_, Vec<usize>)> = Vec::new();
    for at in members {
        let build = build(at);
        match groups.iter_mut().find(|(known, _)| *known == build) {
            Some((_, group)) => group.push(*at),
            None => groups.push((build, vec![*at])),
        }
    }
    let at_a_time = match detail {
        // Hourly columns are written one season at a time.
        Detail::Full => 1,
        Detail::Days if seasons < PLENTY => OF_FEW,
        Detail::Days => AT_A_TIME,
    };
    groups
        .iter()
        .flat_map(|(_, group)| group.chunks(at_a_time).map(<[usize]>::to_vec))
        .collect()
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
    let chunks = in_each(years, plans.len(), |at| &plans[at], detail);
    stepped(plans, &chunks, detail, keep)
}

/// The chunks of `count` plans through each of `years`, which serve all of them.
fn in_each<'a, 'y>(
    years: &'y [Prepared],
    count: usize,
    plan: impl Fn(usize) -> &'a Plan,
    detail: Detail,
) -> Vec<(Vec<usize>, usize, &'y Prepared)> {
    let members: Vec<usize> = (0..count).collect();
    let like = like_chunks(&members, plan, count * years.len(), detail);
    let years = years.iter().enumerate();
    years
        .flat_map(|(year, ready)| like.iter().map(move |some| (some.clone(), year, ready)))
        .collect()
}

/// Runs the plans of each chunk through its year.
fn stepped<T: Send, P: Borrow<Plan> + Sync>(
    plans: &[P],
    chunks: &[(Vec<usize>, usize, &Prepared)],
    detail: Detail,
    keep: impl Fn(Place, Season) -> T + Sync,
) -> Result<Vec<Vec<T>>, SeasonError> {
    let mut found: Vec<(Place, Result<T, SeasonError>)> = chunks
        .par_iter()
        .flat_map_iter(|(some, year, prepared)| {
            let keep = &keep;
            let chosen: Vec<&Plan> = some.iter().map(|&plan| plans[plan].borrow()).collect();
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
/// As [`swimdays_season::run()`]: the first in the order of the plans.
pub(crate) fn through_years<T: Send>(
    plans: &[&Plan],
    years: &[Prepared],
    detail: Detail,
    keep: impl Fn(Season) -> T + Sync,
) -> Result<Vec<T>, SeasonError> {
    let chunks = in_each(years, plans.len(), |at| plans[at], detail);
    let found = stepped(plans, &chunks, detail, |_, season| keep(season))?;
    let mut of_year: Vec<Vec<T>> = years.iter().map(|_| Vec::new()).collect();
    for of_plan in found {
        for (year, one) in of_year.iter_mut().zip(of_plan) {
            year.push(one);
        }
    }
    Ok(of_year.into_iter().flatten().collect())
}

/// For each group of plans that can share a prepared year, one plan with the heaters of all of them.
fn unions(plans: &[Plan]) -> Vec<Plan> {
    let mut unions: Vec<Plan> = Vec::new();
    for plan in plans {
        let group = unions
            .iter()
            .position(|union| Prepared::shareable(union, plan))
            .unwrap_or_else(|| {
                let mut union = plan.clone();
                union.heaters.clear();
                unions.push(union);
                unions.len() - 1
            });
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
    unions
}
