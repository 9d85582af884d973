//! How long the water takes from one temperature to another, over many start days and weather years.
//!
//! Each start day of each year is a run of its own, with draws of what nobody knows exactly; the same runs for every measure, so
//! that what a measure saves has a range too. Nobody swims before it is warm: the cover stays on through the swim hours.

mod cases;
mod fan;
mod ready;

use rayon::prelude::*;
use swimdays_season::{Ledger, MonthDay, Plan, Prepared, SeasonError, Stretches};
use swimdays_weather::WeatherYear;

use crate::range::{DRAWS, OF_WHAT};
use crate::years::prepared;
use cases::{Case, Cases, until_warm};
pub use fan::FanPoint;
pub use ready::{MOST_LEAD_DAYS, NEIGHBOURS_DAYS, Ready};

/// A warm-up that takes longer is not reached, days.
pub const MOST_DAYS: usize = 60;
/// Runs of each measure at least, when the draws allow it.
const RUNS: usize = 480;

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WarmupAsk {
    /// Water at the beginning, °C; absent: the plan's, else what the weather makes of the bare pool until that day.
    pub from_c: Option<f64>,
    /// Water wanted, °C.
    pub to_c: f64,
    /// First start day.
    pub first: MonthDay,
    /// Last start day.
    pub last: MonthDay,
    /// Day by which the pool shall be warm.
    pub by: Option<MonthDay>,
}

/// 10 %, half and 90 % of the runs are below; `None`: not within [`MOST_DAYS`].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spread {
    /// One in ten is sooner.
    pub low: Option<f64>,
    /// Half are sooner.
    pub half: Option<f64>,
    /// One in ten is later.
    pub high: Option<f64>,
}

/// What a measure saves against the bare pool, day by day on the same start days: 10 %, half, 90 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saved {
    /// Days.
    pub low: f64,
    /// Days.
    pub half: f64,
    /// Days.
    pub high: f64,
    /// The bare pool often does not get there at all: it saves at least so much.
    pub at_least: bool,
}

/// One measure alone, none, or all.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasureWarmup {
    /// `bare`, `cover`, a heater's name, `ordinary heater` or `all`.
    pub name: String,
    /// Days to the target.
    pub days: Spread,
    /// Share of the runs that get there.
    pub reached_frac: f64,
    /// Share of the runs whose weather ends before.
    pub cut_frac: f64,
    /// Against the bare pool; absent for that.
    pub saved: Option<Saved>,
    /// What it saves on top of all the others; absent where it is the only one, and for `bare` and `all`.
    pub added: Option<Saved>,
}

/// One start day of the calendar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StartDay {
    /// Which.
    pub day: MonthDay,
    /// Days to the target over years and draws.
    pub days: Spread,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct WarmupFound {
    /// Water at the beginning over all start days, °C: coldest and warmest.
    pub from_c: (f64, f64),
    /// Nobody said how warm the water is at the beginning.
    pub from_weather: bool,
    /// Water wanted, °C.
    pub to_c: f64,
    /// Start days of all years together.
    pub starts: usize,
    /// Runs of each measure.
    pub runs: usize,
    /// First `bare`, then each measure alone, last all together; fewer where that is the same.
    pub measures: Vec<MeasureWarmup>,
    /// With everything the plan has, by start day.
    pub by_start: Vec<StartDay>,
    /// Water against time with everything the plan has.
    pub fan: Vec<FanPoint>,
    /// The same without anything.
    pub bare_fan: Vec<FanPoint>,
    /// Heat until the target (or the end) with the best guess of everything, the mean of all start days, kWh.
    pub heat_kwh: Ledger,
    /// Ready by a date.
    pub ready: Option<Ready>,
    /// How the ranges were found.
    pub method: String,
}

/// Why no warm-up can be told.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum WarmupError {
    /// As for a season.
    #[error(transparent)]
    Season(#[from] SeasonError),
    /// None of the start days is in the weather.
    #[error("the weather has none of the start days")]
    NoStartDay,
    /// The date is not in the weather.
    #[error("the weather has not the day by which the pool shall be warm")]
    NoSuchDate,
}

/// Warms `plan` up from each start day of each year.
///
/// # Errors
/// [`WarmupError`]; a part of a year needs a start temperature.
pub fn warmup(
    plan: &Plan,
    weather: &[&WeatherYear],
    ask: &WarmupAsk,
) -> Result<WarmupFound, WarmupError> {
    let years = prepared(plan, weather)?;
    if years.is_empty() {
        return Err(SeasonError::EmptyWeather.into());
    }
    let given = ask.from_c.or(plan.pool.start_c);
    let own = match given {
        Some(_) => None,
        None => Some(cases::own_water(plan, &years)?),
    };
    let start_c = |year: usize, row: usize| {
        given.unwrap_or_else(|| own.as_ref().map_or(f64::NAN, |own| own[year][row]))
    };
    let cases = Cases::over(&years, ask, RUNS, &start_c);
    if cases.all.is_empty() {
        return Err(WarmupError::NoStartDay);
    }
    let variants = variants(plan);
    let run = |plan: &Plan| until_warm(plan, &years, &cases, ask.to_c);
    let days: Vec<Vec<f64>> = variants
        .iter()
        .map(|(_, plan)| run(plan))
        .collect::<Result<_, _>>()?;
    let (Some(bare), Some(all_days), Some((_, all_plan))) =
        (days.first(), days.last(), variants.last())
    else {
        return Err(WarmupError::NoStartDay);
    };
    let mut measures = Vec::new();
    for (at, ((name, _), own)) in variants.iter().zip(&days).enumerate() {
        let mut one = measure(name, own, (at > 0).then_some(bare));
        // Between bare and all stand the measures.
        if at > 0 && at + 1 < variants.len() {
            one.added = Some(saved(&run(&without(all_plan, name))?, all_days));
        }
        measures.push(one);
    }
    let length = fan::length_days(measures.last().map_or(Spread::default(), |m| m.days));
    let fan_of = |plan: &Plan| fan::fan(plan, &years, &cases, length);
    let (low, high) = cases
        .all
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), case| {
            (a.min(case.start_c), b.max(case.start_c))
        });
    Ok(WarmupFound {
        from_c: (low, high),
        from_weather: given.is_none(),
        to_c: ask.to_c,
        starts: cases.starts,
        runs: cases.all.len(),
        by_start: by_start(&years, &cases, all_days),
        fan: fan_of(all_plan)?,
        bare_fan: fan_of(&variants[0].1)?,
        heat_kwh: heat(all_plan, &years, &cases, ask.to_c)?,
        ready: ask
            .by
            .map(|by| ready::ready(all_plan, &years, by, ask.to_c, &start_c))
            .transpose()?,
        method: format!(
            "10 % to 90 % of {} runs of each measure: {} start days in {}, each with {} of the same {DRAWS} draws of {OF_WHAT} from their stated ranges; one evaporation model",
            cases.all.len(),
            cases.starts,
            match years.len() {
                1 => "one weather year".to_owned(),
                n => format!("{n} weather years"),
            },
            cases.draws_each
        ),
        measures,
    })
}

/// Bare, each measure alone, and all together, as they warm up: in use on every day, the cover left on while nobody swims.
fn variants(plan: &Plan) -> Vec<(String, Plan)> {
    let mut warm = plan.clone();
    warm.pool.opens = MonthDay { month: 1, day: 1 };
    warm.pool.closes = MonthDay { month: 12, day: 31 };
    if let Some(cover) = &mut warm.cover {
        cover.off_in_swim_hours = false;
    }
    let mut out = crate::measures::each_alone(&warm);
    match out.len() {
        0 | 1 => {}
        // One measure is all there is.
        2 => out[1].1 = warm,
        _ => out.push(("all".into(), warm)),
    }
    out
}

/// All but the measure of that name.
fn without(all: &Plan, name: &str) -> Plan {
    let mut plan = all.clone();
    match name {
        "cover" => plan.cover = None,
        "ordinary heater" => plan.other_heater = None,
        heater => plan.heaters.retain(|h| h.name != heater),
    }
    plan
}

fn measure(name: &str, days: &[f64], bare: Option<&Vec<f64>>) -> MeasureWarmup {
    let count = |of: fn(&f64) -> bool| as_f64(days.iter().filter(|d| of(d)).count());
    let n = as_f64(days.len()).max(1.0);
    MeasureWarmup {
        name: name.to_owned(),
        days: spread(days),
        reached_frac: count(|d| d.is_finite()) / n,
        cut_frac: count(|d| d.is_nan()) / n,
        saved: bare.map(|bare| saved(bare, days)),
        added: None,
    }
}

/// A run that did not get there counts as one of [`MOST_DAYS`].
fn saved(bare: &[f64], days: &[f64]) -> Saved {
    const OFTEN: f64 = 0.1;
    let most = as_f64(MOST_DAYS);
    let counted = |d: f64| if d.is_finite() { d } else { most };
    let differences: Vec<f64> = bare
        .iter()
        .zip(days)
        .map(|(bare, with)| counted(*bare) - counted(*with))
        .collect();
    let not = bare.iter().filter(|d| !d.is_finite()).count();
    let [low, half, high] = tenths(differences);
    Saved {
        low,
        half,
        high,
        at_least: as_f64(not) > OFTEN * as_f64(bare.len()),
    }
}

/// One in ten below, the middle, one in ten above.
fn tenths(mut values: Vec<f64>) -> [f64; 3] {
    values.sort_by(f64::total_cmp);
    let last = values.len().saturating_sub(1);
    let at = |i: usize| values.get(i).copied().unwrap_or(f64::NAN);
    let tenth = values.len() / 10;
    [at(tenth), at(last / 2), at(last.saturating_sub(tenth))]
}

/// Runs that did not get there are later than all that did.
fn spread(days: &[f64]) -> Spread {
    let counted = days
        .iter()
        .map(|d| if d.is_finite() { *d } else { f64::INFINITY })
        .collect();
    let [low, half, high] = tenths(counted).map(|d| d.is_finite().then_some(d));
    Spread { low, half, high }
}

fn by_start(years: &[Prepared], cases: &Cases, days: &[f64]) -> Vec<StartDay> {
    let mut out: Vec<(MonthDay, Vec<f64>)> = Vec::new();
    for (case, days) in cases.all.iter().zip(days) {
        let day = cases::month_day(&years[case.year], case.first);
        match out.iter_mut().find(|(d, _)| *d == day) {
            Some((_, all)) => all.push(*days),
            None => out.push((day, vec![*days])),
        }
    }
    out.into_iter()
        .map(|(day, days)| StartDay {
            day,
            days: spread(&days),
        })
        .collect()
}

/// Heat until warm, the mean over all start days with the best guess of everything, kWh.
fn heat(plan: &Plan, years: &[Prepared], cases: &Cases, to_c: f64) -> Result<Ledger, SeasonError> {
    let sums: Vec<Ledger> = (0..years.len())
        .into_par_iter()
        .map(|year| {
            let ready = Stretches::new(plan, &years[year])?;
            let hours = years[year].interval_s / 3600.0;
            let mut sum = Ledger::default();
            let mut last = usize::MAX;
            for case in cases.all.iter().filter(|case| case.year == year) {
                // Draws of one start day stand beside each other.
                if case.first != last {
                    last = case.first;
                    one(&ready, case, &years[year], to_c, |heat| {
                        sum.add(heat, hours / 1e3)
                    });
                }
            }
            Ok(sum)
        })
        .collect::<Result<_, SeasonError>>()?;
    let mut mean = Ledger::default();
    for sum in &sums {
        mean.add(sum, 1.0 / as_f64(cases.starts).max(1.0));
    }
    Ok(mean)
}

/// Runs one case until it is warm or [`MOST_DAYS`] are over; days, `∞` when it was not, `NaN` when the weather ended.
fn one(
    ready: &Stretches<'_>,
    case: &Case,
    year: &Prepared,
    to_c: f64,
    mut each: impl FnMut(&Ledger),
) -> f64 {
    let per_day = 86_400.0 / year.interval_s;
    let mut days = f64::NAN;
    let (mut n, mut before_c) = (0.0, case.start_c);
    if before_c >= to_c {
        return 0.0;
    }
    ready.run(case.first, case.start_c, |moment| {
        each(&moment.heat_w);
        if moment.water_c >= to_c {
            // Within the interval the water moves in a straight line.
            let part = (to_c - before_c) / (moment.water_c - before_c);
            days = (n + part) / per_day;
            return std::ops::ControlFlow::Break(());
        }
        n += 1.0;
        before_c = moment.water_c;
        if n >= per_day * as_f64(MOST_DAYS) {
            days = f64::INFINITY;
            return std::ops::ControlFlow::Break(());
        }
        std::ops::ControlFlow::Continue(())
    });
    days
}

/// A count as a number.
fn as_f64(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tenths_are_the_second_and_the_last_but_one_of_twenty() {
        // By hand: of 1…20 two are below the third value and two above the eighteenth; the middle is the tenth.
        let values: Vec<f64> = (1..=20).rev().map(f64::from).collect();
        let [low, half, high] = tenths(values);
        assert!((low - 3.0).abs() < 1e-12 && (high - 18.0).abs() < 1e-12);
        assert!((half - 10.0).abs() < 1e-12);
    }

    #[test]
    fn what_does_not_get_there_is_late() {
        let found = spread(&[3.0, f64::INFINITY, f64::NAN, 4.0, 5.0]);
        assert_eq!(found.low, Some(3.0));
        assert_eq!(found.half, Some(5.0));
        assert_eq!(found.high, None);
        let saved = saved(&[f64::INFINITY, 20.0], &[10.0, 5.0]);
        // By hand: 60 − 10 and 20 − 5 days.
        assert!((saved.high - 50.0).abs() < 1e-12 && (saved.low - 15.0).abs() < 1e-12);
        assert!(saved.at_least);
    }
}
