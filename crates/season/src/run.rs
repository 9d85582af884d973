//! The loop over the intervals of a year, and how its beginning is found.

use swimdays_collector::HeaterState;

use crate::book::Book;
use crate::machine::{MAX_HEATERS, Machine};
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
    let machine = Machine::new(plan, year)?;
    if !year.whole_year && plan.pool.start_c.is_none() {
        return Err(SeasonError::PartialYearNeedsStart);
    }
    let mut pad = Pad::new();
    if let Some(start_c) = plan.pool.start_c {
        let first = first_open(plan, year);
        let state = begin(&machine, year, first, start_c);
        let (book, _) = once(plan, &machine, year, &mut pad, state, first, detail);
        return Ok(book.finish(plan, year, None));
    }
    let n = year.rows.len();
    let per_day = (1440 / year.interval_minutes) as usize;
    let spin_from = n.saturating_sub(SPIN_UP_DAYS * per_day);
    let guess_c = year.rows[spin_from].air_c.max(GUESS_AT_LEAST_C);
    let mut state = begin(&machine, year, spin_from, guess_c);
    for i in spin_from..n {
        machine.step(&Interval { year, index: i }, &mut state, &mut pad);
    }
    let mut rounds = 0;
    loop {
        rounds += 1;
        let start_c = state.water_c;
        let (book, end) = once(plan, &machine, year, &mut pad, state, 0, detail);
        let difference_k = end.water_c - start_c;
        if difference_k.abs() <= PERIODIC_WITHIN_K || rounds >= MOST_ROUNDS {
            return Ok(book.finish(
                plan,
                year,
                Some(Periodic {
                    rounds,
                    difference_k,
                }),
            ));
        }
        state = end;
    }
}

fn once(
    plan: &Plan,
    machine: &Machine,
    year: &Prepared,
    pad: &mut Pad,
    mut state: State,
    first: usize,
    detail: Detail,
) -> (Book, State) {
    let mut book = Book::new(plan, machine, year, detail, first);
    for i in first..year.rows.len() {
        let at = Interval { year, index: i };
        if let (Some(noted), Some(start_c)) = (&year.noted, plan.pool.start_c)
            && noted.water_given_at == i
        {
            state.water_c = start_c;
            state.ice_kg = 0.0;
        }
        let outcome = machine.step(&at, &mut state, pad);
        book.enter(machine, &at, &state, &outcome, pad);
    }
    (book, state)
}

/// First interval of the run on which the pool is open; a season over the year's seam begins with the run.
fn first_open(plan: &Plan, year: &Prepared) -> usize {
    let (opens, closes) = (plan.pool.opens, plan.pool.closes);
    let open = |i: usize| MonthDay::contains(opens, closes, year.ticks[i].date);
    (0..year.rows.len()).find(|&i| open(i)).unwrap_or(0)
}

pub(crate) fn begin(machine: &Machine, year: &Prepared, first: usize, water_c: f64) -> State {
    let row = &year.rows[first];
    let mut heaters = [HeaterState::default(); MAX_HEATERS];
    for (state, unit) in heaters.iter_mut().zip(&machine.heaters) {
        *state = unit.heater.initial_state(row.air_c, row.soil_c);
    }
    State {
        water_c,
        ice_kg: 0.0,
        ground: machine.ground.steady(water_c, row.deep_c),
        heaters,
        pump_on: false,
        run_left_s: 0.0,
    }
}
