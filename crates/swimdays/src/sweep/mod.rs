//! `swimdays sweep`: many combinations of values, one row a season, into one CSV file.

mod bar;
mod file;

use std::io::Write;
use std::ops::Range;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;
use swimdays_report::sweep::{csv_line, sweep_cells, sweep_heads};
use swimdays_scenario::Scenario;
use swimdays_season::{Detail, Plan};
use swimdays_studies::{Sweep, each_season};
use swimdays_weather::WeatherYear;

use crate::Done;
use crate::args::{HowArgs, ScenarioArgs, SweepArgs};
use crate::delivery::stem_of;
use crate::failure::{Failure, print};
use crate::sources::{self, Year};
use bar::Bar;
use file::Rows;

/// Combinations that are computed before their rows are written: large enough to share prepared years, small enough to stop at.
const AT_A_TIME: usize = 64;

/// Keys on which the weather depends.
const OF_WEATHER: [&str; 4] = [
    "site.weather",
    "site.normals",
    "site.fill",
    "site.utc_offset_h",
];

/// Wrong combinations that are told at most.
const MOST_TOLD: usize = 5;

/// Set by Ctrl-C: the rows at hand are finished, then it ends.
static STOP: AtomicBool = AtomicBool::new(false);

pub(crate) fn run(args: &SweepArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let sweep = Sweep::parse(&args.vary).map_err(Failure::input)?;
    let (part, parts) = part(args.part.as_deref())?;
    let range = sweep.part(part, parts);
    let job = Job { args, sweep };
    let first = job.checked()?;
    let fixed = if job.varies_weather() {
        None
    } else {
        Some(sources::years(&args.pick.weather, &first)?)
    };
    let path = match &args.out {
        Some(path) => path.clone(),
        None => PathBuf::from(format!("{}-sweep.csv", stem_of(&args.scenario)?)),
    };
    file::check_folder(&path)?;
    let paths: Vec<&str> = job.sweep.varied.iter().map(|v| v.path.as_str()).collect();
    let head =
        csv_line(&sweep_heads(&paths, &first.plan.prices.currency)).map_err(Failure::report)?;
    let head = (part == 1).then_some(head.as_str());
    let mut rows = Rows::open(&path, head, args.resume, args.force)?;
    let from = job.resumed(&rows, &range, fixed.as_deref())?;

    // Without the handler Ctrl-C ends the program at once; what was written stays, and a torn line is redone.
    let _ = ctrlc::set_handler(|| STOP.store(true, Ordering::SeqCst));
    let mut bar = Bar::new(range.len());
    let mut written = 0;
    let mut at = from.combination;
    let mut skip = from.year;
    // The last row that is there is computed again, to see that it is of the same sweep.
    let mut known = rows.before.last().cloned();
    while at < range.end {
        bar.show(at - range.start, err);
        if STOP.load(Ordering::SeqCst) {
            bar.clear(err);
            return Err(Failure::Run(anyhow::anyhow!(
                "stopped: {} of {} combinations are in {}; the same command with --resume goes on",
                at - range.start,
                range.len(),
                path.display()
            )));
        }
        let end = range.end.min(at + AT_A_TIME);
        let lines = job.lines(at..end, fixed.as_deref())?;
        let mut lines = lines.as_slice();
        if let Some(known) = known.take() {
            let same = skip
                .checked_sub(1)
                .and_then(|n| lines.get(n))
                .is_some_and(|line| line.trim_end_matches(['\r', '\n']) == known);
            if !same {
                return Err(rows.other_sweep(rows.before.len().saturating_sub(1)));
            }
        }
        lines = lines.get(skip..).unwrap_or(&[]);
        skip = 0;
        rows.add(&lines.concat())?;
        written += lines.len();
        at = end;
    }
    bar.clear(err);
    let said = |n: usize| if n == 1 { "row" } else { "rows" };
    let kept = rows.before.len();
    let before = if args.resume && kept > 0 {
        format!(" to the {kept} that were there")
    } else {
        String::new()
    };
    print(
        out,
        format_args!("{written} {}{before}: {}\n", said(written), path.display()),
    )
}

/// `3/8` as part and parts.
fn part(text: Option<&str>) -> Result<(usize, usize), Failure> {
    let Some(text) = text else { return Ok((1, 1)) };
    text.split_once('/')
        .and_then(|(part, parts)| Some((part.trim().parse().ok()?, parts.trim().parse().ok()?)))
        .filter(|(part, parts)| (1..=*parts).contains(part))
        .ok_or_else(|| {
            Failure::input(format!(
                "--part {text}: is not PART/PARTS, the first part being 1; write it like --part 3/8"
            ))
        })
}

/// Where to go on: at a combination, after so many of its years.
struct From {
    combination: usize,
    year: usize,
}

/// A sweep of one scenario.
struct Job<'a> {
    args: &'a SweepArgs,
    sweep: Sweep,
}

impl Job<'_> {
    /// The scenario of one combination.
    fn scenario(&self, at: usize) -> Result<Scenario, Failure> {
        let mut sets = self.args.sets.clone();
        sets.extend(self.sweep.sets(at));
        let on = ScenarioArgs {
            scenario: self.args.scenario.clone(),
            out: None,
            how: HowArgs {
                sets,
                ..HowArgs::default()
            },
        };
        on.with(&self.args.pick)
    }

    /// What is said of a combination that cannot be run.
    fn told(&self, at: usize, failure: &Failure) -> Failure {
        let sets = self.sweep.sets(at).join(", ");
        Failure::Input(format!("with {sets}:\n{}", failure.text()))
    }

    /// The first combination, after every value has been tried once, the other keys at their first: what is wrong is told before anything is run.
    fn checked(&self) -> Result<Scenario, Failure> {
        let first = self.scenario(0).map_err(|f| self.told(0, &f))?;
        let mut each = 1;
        let mut tries = Vec::new();
        for one in self.sweep.varied.iter().rev() {
            tries.extend((1..one.values.len()).map(|n| n * each));
            each *= one.values.len();
        }
        let mut wrong: Vec<(usize, Failure)> = tries
            .par_iter()
            .filter_map(|&at| self.scenario(at).err().map(|failure| (at, failure)))
            .collect();
        wrong.sort_by_key(|(at, _)| *at);
        if wrong.is_empty() {
            return Ok(first);
        }
        let more = wrong.len().saturating_sub(MOST_TOLD);
        let mut texts: Vec<String> = wrong
            .iter()
            .take(MOST_TOLD)
            .map(|(at, failure)| self.told(*at, failure).text())
            .collect();
        if more > 0 {
            texts.push(format!("and {more} more values that cannot be"));
        }
        Err(Failure::Input(texts.join("\n")))
    }

    fn varies_weather(&self) -> bool {
        self.sweep
            .varied
            .iter()
            .any(|one| OF_WEATHER.iter().any(|key| one.path.starts_with(key)))
    }

    /// The weather years of one combination.
    fn years(&self, scenario: &Scenario) -> Result<Vec<Year>, Failure> {
        sources::years(&self.args.pick.weather, scenario)
    }

    /// The first cells of a row, with the comma behind them.
    fn beginning(&self, at: usize, label: &str) -> Result<String, Failure> {
        let line = csv_line(&self.first_cells(at, label)).map_err(Failure::report)?;
        Ok(format!("{},", line.trim_end_matches('\n')))
    }

    fn first_cells(&self, at: usize, label: &str) -> Vec<String> {
        let values = self.sweep.values(at).into_iter().map(str::to_owned);
        values.chain(std::iter::once(label.to_owned())).collect()
    }

    /// Where the rows that are there end; they must be those of this sweep. The last combination of which there is a row is done again.
    fn resumed(
        &self,
        rows: &Rows,
        range: &Range<usize>,
        fixed: Option<&[Year]>,
    ) -> Result<From, Failure> {
        let mut found = From {
            combination: range.start,
            year: 0,
        };
        let mut row = 0;
        for at in range.clone() {
            if row == rows.before.len() {
                return Ok(found);
            }
            let own;
            let years = match fixed {
                Some(years) => years,
                None => {
                    own = self.years(&self.scenario(at)?)?;
                    &own
                }
            };
            found.combination = at;
            for (n, year) in years.iter().enumerate() {
                let Some(line) = rows.before.get(row) else {
                    break;
                };
                if !line.starts_with(&self.beginning(at, &year.label)?) {
                    return Err(rows.other_sweep(row));
                }
                found.year = n + 1;
                row += 1;
            }
        }
        if row < rows.before.len() {
            return Err(rows.other_sweep(row));
        }
        Ok(found)
    }

    /// The rows of some combinations, in their order.
    fn lines(&self, range: Range<usize>, fixed: Option<&[Year]>) -> Result<Vec<String>, Failure> {
        let scenarios: Vec<Scenario> = range
            .clone()
            .into_par_iter()
            .map(|at| self.scenario(at).map_err(|f| self.told(at, &f)))
            .collect::<Result<_, _>>()?;
        if let Some(years) = fixed {
            let plans: Vec<Plan> = scenarios.into_iter().map(|s| s.plan).collect();
            return self.rows_of(range.start, &plans, years);
        }
        let mut lines = Vec::new();
        for (scenario, at) in scenarios.into_iter().zip(range) {
            let years = self.years(&scenario).map_err(|f| self.told(at, &f))?;
            lines.extend(self.rows_of(at, &[scenario.plan], &years)?);
        }
        Ok(lines)
    }

    /// The rows of plans that share their weather; the first is that of combination `first`.
    fn rows_of(
        &self,
        first: usize,
        plans: &[Plan],
        years: &[Year],
    ) -> Result<Vec<String>, Failure> {
        let weather: Vec<&WeatherYear> = years.iter().map(|year| &year.weather).collect();
        let found = each_season(plans, &weather, Detail::Days, |place, season| {
            sweep_cells(&plans[place.plan], &season)
        });
        let found = match found {
            Ok(found) => found,
            // Which one it was is found by running them one by one.
            Err(error) => {
                for (n, plan) in plans.iter().enumerate() {
                    each_season(
                        std::slice::from_ref(plan),
                        &weather,
                        Detail::Days,
                        |_, _| (),
                    )
                    .map_err(|e| self.told(first + n, &Failure::input(e)))?;
                }
                return Err(Failure::input(error));
            }
        };
        let mut lines = Vec::new();
        for (n, of_plan) in found.into_iter().enumerate() {
            for (year, cells) in years.iter().zip(of_plan) {
                let mut all = self.first_cells(first + n, &year.label);
                all.extend(cells);
                lines.push(csv_line(&all).map_err(Failure::report)?);
            }
        }
        Ok(lines)
    }
}
