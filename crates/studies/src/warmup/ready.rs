//! When to start so that the pool is warm on a day.
//!
//! Warm means: at the target through all swim hours of that day. One day of one year is one weather, so the days around it stand in
//! as well.

use std::ops::ControlFlow;

use rayon::prelude::*;
use swimdays_season::{MonthDay, Plan, Prepared, SeasonError, Stretches};

use super::cases::around;
use super::{WarmupError, as_f64};
use crate::range::{DRAWS, draws, with_draw};

/// Days to either side of the date whose weather stands in for its own.
pub const NEIGHBOURS_DAYS: usize = 7;
/// Earliest start looked at, days before the date.
pub const MOST_LEAD_DAYS: usize = 45;
/// Dates, years and draws together at least, when the draws allow it.
const CASES: usize = 240;

/// How likely the pool is warm on a day, by the day of the start.
#[derive(Clone, Debug, PartialEq)]
pub struct Ready {
    /// The day.
    pub by: MonthDay,
    /// Share of the cases in which a start so many days before (0, 1, 2 …) leaves the pool warm through that day's swim hours.
    pub warm_frac: Vec<f64>,
    /// Fewest days ahead with which half of the cases are warm.
    pub half_lead: Option<usize>,
    /// The same, 90 %.
    pub nine_tenths_lead: Option<usize>,
    /// Cases behind each share.
    pub cases: usize,
}

/// What came of one start on one date.
struct Outcome {
    lead: usize,
    warm: bool,
}

pub(super) fn ready(
    plan: &Plan,
    years: &[Prepared],
    by: MonthDay,
    to_c: f64,
    start_c: &(impl Fn(usize, usize) -> f64 + Sync),
) -> Result<Ready, WarmupError> {
    let dates = 2 * NEIGHBOURS_DAYS + 1;
    let draws_each = CASES.div_ceil(dates * years.len()).clamp(1, DRAWS);
    let all = draws(DRAWS);
    let jobs: Vec<(usize, usize)> = (0..years.len())
        .flat_map(|year| (0..draws_each).map(move |k| (year, (year * draws_each + k) % DRAWS)))
        .collect();
    let outcomes: Vec<Outcome> = jobs
        .par_iter()
        .map(|(at, draw)| {
            let year = &years[*at];
            let ready = Stretches::new(&with_draw(plan, &all[*draw]), year)?;
            let days = around(year, by, MOST_LEAD_DAYS + NEIGHBOURS_DAYS, NEIGHBOURS_DAYS);
            let first_date = days.len().saturating_sub(dates);
            let mut out = Vec::new();
            for (place, (_, row)) in days.iter().enumerate() {
                let warm = warm_days(
                    &ready,
                    year,
                    *row,
                    start_c(*at, *row),
                    to_c,
                    days.len() - place,
                );
                for (day, warm) in warm.into_iter().enumerate() {
                    if place + day >= first_date && day <= MOST_LEAD_DAYS {
                        out.push(Outcome { lead: day, warm });
                    }
                }
            }
            Ok(out)
        })
        .collect::<Result<Vec<_>, SeasonError>>()?
        .into_iter()
        .flatten()
        .collect();
    let mut warm = vec![(0.0, 0_usize); MOST_LEAD_DAYS + 1];
    for outcome in outcomes {
        let (sum, count) = &mut warm[outcome.lead];
        *sum += f64::from(u8::from(outcome.warm));
        *count += 1;
    }
    let cases = warm.iter().map(|(_, count)| *count).max().unwrap_or(0);
    if cases == 0 {
        return Err(WarmupError::NoSuchDate);
    }
    let warm_frac: Vec<f64> = warm
        .iter()
        .take_while(|(_, count)| *count > 0)
        .map(|(sum, count)| sum / as_f64(*count))
        .collect();
    let lead = |share: f64| warm_frac.iter().position(|frac| *frac >= share);
    Ok(Ready {
        by,
        half_lead: lead(0.5),
        nine_tenths_lead: lead(0.9),
        warm_frac,
        cases,
    })
}

/// Whether the water is warm through the swim hours of each of the first `count` days.
fn warm_days(
    ready: &Stretches<'_>,
    year: &Prepared,
    first: usize,
    start_c: f64,
    to_c: f64,
    count: usize,
) -> Vec<bool> {
    // Whether a day has swim hours, and whether all of them were warm.
    let mut out: Vec<(bool, bool)> = Vec::new();
    let mut last = None;
    ready.run(first, start_c, |moment| {
        let day = year.ticks[moment.index].day;
        if last != Some(day) {
            if out.len() == count {
                return ControlFlow::Break(());
            }
            last = Some(day);
            out.push((false, true));
        }
        if let (true, Some((swims, warm))) = (moment.swim_hours, out.last_mut()) {
            *swims = true;
            *warm &= moment.water_c >= to_c;
        }
        ControlFlow::Continue(())
    });
    out.into_iter().map(|(swims, warm)| swims && warm).collect()
}
