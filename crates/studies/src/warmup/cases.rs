//! Start days, start temperatures and draws.

use chrono::Datelike;
use rayon::prelude::*;
use swimdays_season::{Detail, MonthDay, Plan, Prepared, SeasonError, Stretches, run};

use super::{WarmupAsk, as_f64, one};
use crate::range::{DRAWS, draws, with_draw};

/// One run: where it begins, how warm, with which draw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Case {
    pub year: usize,
    /// Row of the prepared year.
    pub first: usize,
    pub start_c: f64,
    pub draw: usize,
}

/// All runs of one measure; the same for every measure.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Cases {
    pub all: Vec<Case>,
    pub starts: usize,
    pub draws_each: usize,
}

impl Cases {
    /// Every start day of every year, each with as many draws as it takes to have about `runs`; the draws take turns.
    pub(super) fn over(
        years: &[Prepared],
        ask: &WarmupAsk,
        runs: usize,
        start_c: &impl Fn(usize, usize) -> f64,
    ) -> Self {
        let mut starts = Vec::new();
        for (at, year) in years.iter().enumerate() {
            let mut rows: Vec<usize> = mornings(year)
                .filter(|row| MonthDay::contains(ask.first, ask.last, year.ticks[*row].date))
                .collect();
            rows.sort_by_key(|row| after(ask.first, month_day(year, *row)));
            starts.extend(rows.into_iter().map(|row| (at, row)));
        }
        let draws_each = runs.div_ceil(starts.len().max(1)).clamp(1, DRAWS);
        let all = starts
            .iter()
            .enumerate()
            .flat_map(|(n, &(year, first))| {
                (0..draws_each).map(move |k| (year, first, (n * draws_each + k) % DRAWS))
            })
            .map(|(year, first, draw)| Case {
                year,
                first,
                start_c: start_c(year, first),
                draw,
            })
            .collect();
        Self {
            all,
            starts: starts.len(),
            draws_each,
        }
    }

    /// Indices of the cases by year and draw, so that each plan is made ready once.
    pub(super) fn groups(&self) -> Vec<(usize, usize, Vec<usize>)> {
        let mut out: Vec<(usize, usize, Vec<usize>)> = Vec::new();
        for (index, case) in self.all.iter().enumerate() {
            match out
                .iter_mut()
                .find(|g| (g.0, g.1) == (case.year, case.draw))
            {
                Some(group) => group.2.push(index),
                None => out.push((case.year, case.draw, vec![index])),
            }
        }
        out
    }

    /// What `run` makes of each case, in their order; each group of one year and draw on one thread.
    pub(super) fn each<T: Send>(
        &self,
        plan: &Plan,
        years: &[Prepared],
        run: impl Fn(&Stretches<'_>, &Case, &Prepared) -> T + Sync,
    ) -> Result<Vec<T>, SeasonError> {
        let drawn: Vec<Plan> = draws(DRAWS).iter().map(|d| with_draw(plan, d)).collect();
        let mut found: Vec<(usize, T)> = self
            .groups()
            .par_iter()
            .map(|(year, draw, members)| {
                let year = &years[*year];
                let ready = Stretches::new(&drawn[*draw], year)?;
                Ok(members
                    .iter()
                    .map(|&index| (index, run(&ready, &self.all[index], year)))
                    .collect::<Vec<_>>())
            })
            .collect::<Result<Vec<_>, SeasonError>>()?
            .into_iter()
            .flatten()
            .collect();
        found.sort_by_key(|(index, _)| *index);
        Ok(found.into_iter().map(|(_, one)| one).collect())
    }
}

/// First rows of the days on the wall.
pub(super) fn mornings(year: &Prepared) -> impl Iterator<Item = usize> {
    (0..year.rows.len()).filter(|&i| i == 0 || year.ticks[i].day != year.ticks[i - 1].day)
}

/// The day of the calendar on which a row begins.
pub(super) fn month_day(year: &Prepared, row: usize) -> MonthDay {
    let date = year.ticks[row].date;
    MonthDay {
        month: date.month(),
        day: date.day(),
    }
}

/// An order of the calendar that begins with `first`.
fn after(first: MonthDay, day: MonthDay) -> (bool, u32, u32) {
    let key = (day.month, day.day);
    (key < (first.month, first.day), key.0, key.1)
}

/// Days until the water is warm, case by case: `∞` when it never is, `NaN` when the weather ends before.
pub(super) fn until_warm(
    plan: &Plan,
    years: &[Prepared],
    cases: &Cases,
    to_c: f64,
) -> Result<Vec<f64>, SeasonError> {
    cases.each(plan, years, |ready, case, year| {
        one(ready, case, year, to_c, |_| ())
    })
}

/// What the weather makes of the bare pool: water at the beginning of each row of each year, °C.
pub(super) fn own_water(plan: &Plan, years: &[Prepared]) -> Result<Vec<Vec<f64>>, SeasonError> {
    let mut bare = plan.clone();
    bare.cover = None;
    bare.heaters.clear();
    bare.other_heater = None;
    years
        .par_iter()
        .map(|year| {
            let season = run(&bare, year, Detail::Full)?;
            let mut ends = season.hourly.map(|h| h.water_c).unwrap_or_default();
            if !ends.is_empty() {
                ends.rotate_right(1);
            }
            Ok(ends)
        })
        .collect()
}

/// Rows of the days from `before` days before `date` to `past` days after it, in the order of time, each with its distance in
/// days; a whole year is followed by itself, of a part what is there.
pub(super) fn around(
    year: &Prepared,
    date: MonthDay,
    before: usize,
    past: usize,
) -> Vec<(f64, usize)> {
    let rows: Vec<usize> = mornings(year).collect();
    let Some(at) = rows.iter().position(|row| month_day(year, *row) == date) else {
        return Vec::new();
    };
    let n = rows.len();
    (0..=before + past)
        .filter_map(|k| {
            let off = as_f64(k) - as_f64(before);
            let place = at + k;
            let place = if year.whole_year {
                (place + n - before % n) % n
            } else {
                place.checked_sub(before).filter(|p| *p < n)?
            };
            Some((off, rows[place]))
        })
        .collect()
}
