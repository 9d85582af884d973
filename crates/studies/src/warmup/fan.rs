//! Water against time since the start: the middle of all runs and what four in five stay within.

use std::ops::ControlFlow;

use swimdays_season::{Plan, Prepared, SeasonError};

use super::cases::Cases;
use super::{Spread, as_f64, tenths};

/// Longest and shortest fan, days.
const LONGEST_DAYS: f64 = 28.0;
const SHORTEST_DAYS: f64 = 4.0;

/// One moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FanPoint {
    /// Days since the start.
    pub day: f64,
    /// One in ten is colder, °C.
    pub low_c: f64,
    /// Half are colder, °C.
    pub half_c: f64,
    /// One in ten is warmer, °C.
    pub high_c: f64,
}

/// Until nine in ten are there, and a day more.
pub(super) fn length_days(days: Spread) -> f64 {
    days.high
        .map_or(LONGEST_DAYS, |high| high.ceil() + 1.0)
        .clamp(SHORTEST_DAYS, LONGEST_DAYS)
}

/// Hour by hour.
pub(super) fn fan(
    plan: &Plan,
    years: &[Prepared],
    cases: &Cases,
    length_days: f64,
) -> Result<Vec<FanPoint>, SeasonError> {
    let runs: Vec<Vec<f64>> = cases.each(plan, years, |ready, case, year| {
        let per_hour = 3600.0 / year.interval_s;
        let mut out = Vec::new();
        let mut n = 0.0;
        ready.run(case.first, case.start_c, |moment| {
            n += 1.0;
            let hours: f64 = n / per_hour;
            if (hours - hours.round()).abs() < 1e-6 {
                out.push(moment.water_c);
            }
            if hours >= 24.0 * length_days {
                return ControlFlow::Break(());
            }
            ControlFlow::Continue(())
        });
        out
    })?;
    let longest = runs.iter().map(Vec::len).max().unwrap_or(0);
    let mut points = vec![point(
        0.0,
        cases.all.iter().map(|case| case.start_c).collect(),
    )];
    for hour in 0..longest {
        let there: Vec<f64> = runs
            .iter()
            .filter_map(|run| run.get(hour).copied())
            .collect();
        // Where the weather of most has ended, the rest is another crowd.
        if 2 * there.len() < runs.len() {
            break;
        }
        points.push(point(as_f64(hour + 1) / 24.0, there));
    }
    Ok(points)
}

fn point(day: f64, values: Vec<f64>) -> FanPoint {
    let [low_c, half_c, high_c] = tenths(values);
    FanPoint {
        day,
        low_c,
        half_c,
        high_c,
    }
}
