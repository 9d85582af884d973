//! The loop over the intervals of a year, and how its beginning is found.

use swimdays_properties::real::Real;

use crate::book::Book;
use crate::machine::{Machine, Soils};
use crate::prepared::Prepared;
use crate::step::{Interval, Pad, State};
use crate::{MonthDay, Periodic, Plan, Season, SeasonError};

/// How much a run writes down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Detail {
    /// Hourly columns, days, heaters, hottest temperatures.
    Full,
    /// Days and ledgers only; for studies of many seasons.
    Days,
}

/// The ends of a repeated year must agree within this, K.
pub const PERIODIC_WITHIN_K: f64 = 0.05;

/// Rounds after which the search for the year's own beginning gives up and warns.
const MOST_ROUNDS: usize = 12;

/// Coldest guess of the water before the spin-up, °C: deep water in winter.
const GUESS_AT_LEAST_C: f64 = 4.0;

/// Days whose mean air is the guess of the water before the spin-up: about the memory of a pool. With the air of one hour
/// instead, one of nine runs of the samples had to repeat its year.
const GUESS_DAYS: usize = 30;

/// How much of the year is run ahead to find its beginning, days: longer than the memory of most pools.
const SPIN_UP_DAYS: usize = 120;

/// Runs `plan` through `year`.
///
/// With a start temperature the run begins on the morning of opening; intervals before it stay empty. Without
/// one the year is repeated until its ends agree within [`PERIODIC_WITHIN_K`], so that no guess enters.
///
/// # Errors
/// [`SeasonError`] when the plan does not fit the prepared year or cannot be stepped.
pub fn run(plan: &Plan, year: &Prepared, detail: Detail) -> Result<Season, SeasonError> {
    Ok(Runner::new(plan, year, &mut Soils::default())?.alone(year, detail))
}

/// A plan about to be run: what it is made of, how far it has come.
pub(crate) struct Runner<'a> {
    pub plan: &'a Plan,
    pub machine: Machine,
    pub state: State,
    /// Where the next pass begins: ahead of the first row when the year's own beginning is sought.
    pub ahead: Option<usize>,
    pub first: usize,
    pub rounds: usize,
}

impl<'a> Runner<'a> {
    pub(crate) fn new(
        plan: &'a Plan,
        year: &Prepared,
        soils: &mut Soils,
    ) -> Result<Self, SeasonError> {
        let machine = Machine::new(plan, year, soils)?;
        let n = year.rows.len();
        let (first, ahead, start_c) = match plan.pool.start_c {
            Some(start_c) => (first_open(plan, year), None, start_c),
            None if !year.whole_year => return Err(SeasonError::PartialYearNeedsStart),
            None => {
                let per_day = (1440 / year.interval_minutes) as usize;
                let from = n.saturating_sub(SPIN_UP_DAYS * per_day);
                (0, Some(from), guess_c(year, from, GUESS_DAYS * per_day))
            }
        };
        let state = begin(&machine, year, ahead.unwrap_or(first), start_c);
        Ok(Self {
            plan,
            machine,
            state,
            ahead,
            first,
            rounds: 0,
        })
    }

    /// Runs to the end by itself.
    pub(crate) fn alone(mut self, year: &Prepared, detail: Detail) -> Season {
        loop {
            let given_c = self.plan.pool.start_c;
            let mut pass = Pass {
                year,
                ahead: self.ahead,
                first: self.first,
                given_c,
                book: Book::new(self.plan, &self.machine, year, detail, self.first),
            };
            let (start_c, end) = pass.run(&self.machine, self.state.clone());
            if let Some(season) = self.closed(0, start_c, end, &mut pass.book, year) {
                return season;
            }
        }
    }

    /// The season, when a pass from `start_c` to `end` was the last; otherwise all is set for the next.
    pub(crate) fn closed<R: Real>(
        &mut self,
        lane: usize,
        start_c: f64,
        end: State,
        book: &mut Book<R>,
        year: &Prepared,
    ) -> Option<Season> {
        self.rounds += 1;
        let difference_k = end.water_c - start_c;
        let periodic = self.plan.pool.start_c.is_none().then_some(Periodic {
            rounds: self.rounds,
            difference_k,
        });
        let again = periodic.is_some_and(|p| p.difference_k.abs() > PERIODIC_WITHIN_K)
            && self.rounds < MOST_ROUNDS;
        if again {
            self.state = end;
            self.ahead = None;
            return None;
        }
        Some(book.finish(lane, self.plan, &self.machine, year, periodic))
    }
}

/// One way through the year.
pub(crate) struct Pass<'a, R: Real> {
    pub year: &'a Prepared,
    /// Row from which the end of the year is run ahead, without a book.
    pub ahead: Option<usize>,
    pub first: usize,
    /// Water as it was given, for years in which it is noted when.
    pub given_c: Option<R>,
    pub book: Book<R>,
}

impl<R: Real> Pass<'_, R> {
    /// The water at the first row that is booked, and the state at the end.
    #[inline(always)]
    pub(crate) fn run(&mut self, machine: &Machine<R>, mut state: State<R>) -> (R, State<R>) {
        let mut pad = Pad::new(machine);
        let n = self.year.rows.len();
        let mut books = self.ahead.is_none();
        let mut index = self.ahead.unwrap_or(self.first);
        let mut start_c = state.water_c;
        let given = self.year.noted.as_ref().map(|n| n.water_given_at);
        // One place for the step, ahead and booked: it is large, and twice as large would be slower.
        loop {
            if index >= n {
                if books {
                    self.book.close_day();
                    return (start_c, state);
                }
                books = true;
                index = self.first;
                start_c = state.water_c;
            }
            let at = Interval {
                year: self.year,
                index,
            };
            if let (true, Some(given_c)) = (books && given == Some(index), self.given_c) {
                state.water_c = given_c;
                state.ice_kg = given_c.like(0.0);
            }
            let outcome = machine.step(&at, &mut state, &mut pad);
            if books {
                self.book.enter(machine, &at, &state, &outcome, &pad);
            }
            index += 1;
        }
    }
}

/// Water before the spin-up: as warm as the air was on the mean of the `rows` before.
fn guess_c(year: &Prepared, from: usize, rows: usize) -> f64 {
    let before = &year.rows[from.saturating_sub(rows)..=from];
    #[allow(clippy::cast_precision_loss, reason = "rows of a month")]
    let n = before.len() as f64;
    (before.iter().map(|row| row.air_c).sum::<f64>() / n).max(GUESS_AT_LEAST_C)
}

/// First interval of the run on which the pool is open; a season over the year's seam begins with the run.
fn first_open(plan: &Plan, year: &Prepared) -> usize {
    let (opens, closes) = (plan.pool.opens, plan.pool.closes);
    let open = |i: usize| MonthDay::contains(opens, closes, year.ticks[i].date);
    (0..year.rows.len()).find(|&i| open(i)).unwrap_or(0)
}

pub(crate) fn begin(machine: &Machine, year: &Prepared, first: usize, water_c: f64) -> State {
    let row = &year.rows[first];
    State {
        water_c,
        ice_kg: 0.0,
        ground: machine.soils[0].steady(water_c, row.deep_c),
        heaters: machine
            .heaters
            .iter()
            .map(|unit| unit.alone[0].initial_state(row.air_c, row.soil_c))
            .collect(),
        pump_on: false,
        run_left_s: 0.0,
    }
}
