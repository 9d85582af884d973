//! The loop over the intervals of a year, and how its beginning is found.

use swimdays_pool::GroundState;
use swimdays_properties::real::Real;

use crate::book::Book;
use crate::machine::{Machine, Soils};
use crate::prepared::{Prepared, Row};
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

/// Days whose mean air and sun are the guess of the water before the spin-up: about the memory of a pool.
const GUESS_DAYS: usize = 30;

/// Kelvins by which a W/m² of mean sun warms a pool over the air, for guesses that a run then puts right: three quarters of it stay in the
/// water, which loses some 25 W/m² a kelvin (own judgement).
const USUAL_SUN_K_M2_W: f64 = 0.03;

/// How much of the year is run ahead to find its beginning, days: longer than the memory of most pools.
const SPIN_UP_DAYS: usize = 120;

/// Days of it after which the soil's past is put right: by then the water shows by how much it keeps off the guess.
///
/// The soil, not the water, is what remembers the guess: so, of 64 pools in each of three samples, none had to repeat its year where 4, 0 and
/// 25 had with soil in balance with the guessed water.
const PAST_KNOWN_DAYS: usize = 20;

/// Pieces of the past that the soil remembers, days. Its slowest mode forgets within some 40.
const PAST_PIECE_DAYS: usize = 10;

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

/// How the end of the year is run ahead.
#[derive(Clone, Debug)]
pub(crate) struct Ahead<R: Real = f64> {
    pub from: usize,
    /// Row at which the soil's past is put right.
    pub known: usize,
    /// Water that was expected there, °C.
    pub usual_c: f64,
    /// What is left there of a past that was a kelvin warmer.
    pub kelvin: GroundState<R>,
}

/// A plan about to be run: what it is made of, how far it has come.
pub(crate) struct Runner<'a> {
    pub plan: &'a Plan,
    pub machine: Machine,
    pub state: State,
    /// Where the next pass begins: ahead of the first row when the year's own beginning is sought.
    pub ahead: Option<Ahead>,
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
        let (first, ahead, state) = match plan.pool.start_c {
            Some(start_c) => {
                let first = first_open(plan, year);
                (first, None, begin(&machine, year, first, start_c))
            }
            None if !year.whole_year => return Err(SeasonError::PartialYearNeedsStart),
            None => {
                let per_day = (1440 / year.interval_minutes) as usize;
                let from = n.saturating_sub(SPIN_UP_DAYS * per_day);
                let known = (from + PAST_KNOWN_DAYS * per_day).min(n);
                let start_c = guess_c(year, from, GUESS_DAYS * per_day);
                let mut state = begin(&machine, year, from, start_c);
                let piece = PAST_PIECE_DAYS * per_day;
                let soil = machine.soils[0].step();
                let whole = |rows: usize| i32::try_from(rows).unwrap_or(i32::MAX);
                let past_c = soils.past_c(|| past(year, from, piece));
                state.ground = soil.after(past_c, whole(piece));
                let ahead = Ahead {
                    from,
                    known,
                    usual_c: guess_c(year, known.min(n - 1), GUESS_DAYS * per_day),
                    kelvin: soil.kelvin_ago(whole(known - from)),
                };
                (0, Some(ahead), state)
            }
        };
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
                ahead: self.ahead.clone(),
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
    /// The end of the year is run ahead, without a book.
    pub ahead: Option<Ahead<R>>,
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
        let mut index = self.ahead.as_ref().map_or(self.first, |a| a.from);
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
            if let (false, Some(ahead)) = (books, &self.ahead)
                && index == ahead.known
            {
                let warmer_k = state.water_c - ahead.usual_c;
                state.ground.add(&ahead.kelvin, warmer_k);
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

/// Water that the mean of many such hours would make, °C.
fn usual_c(row: &Row) -> f64 {
    row.air_c + USUAL_SUN_K_M2_W * row.ghi_w_m2
}

/// Water before the spin-up: what air and sun were on the mean of the `rows` before.
fn guess_c(year: &Prepared, from: usize, rows: usize) -> f64 {
    let before = &year.rows[from.saturating_sub(rows)..=from];
    #[allow(clippy::cast_precision_loss, reason = "rows of a month")]
    let n = before.len() as f64;
    (before.iter().map(usual_c).sum::<f64>() / n).max(GUESS_AT_LEAST_C)
}

/// Water and deep soil in the year before row `from`, in pieces of so many rows, the oldest first: what the soil remembers. The
/// water is taken as [`guess_c`] does.
fn past(year: &Prepared, from: usize, piece: usize) -> Vec<(f64, f64)> {
    let n = year.rows.len();
    let pieces = n / piece;
    let row = |back: usize| &year.rows[(from + n - back) % n];
    #[allow(clippy::cast_precision_loss, reason = "rows of a few days")]
    let mean = |k: usize| {
        let rows = k * piece + 1..=(k + 1) * piece;
        rows.map(|back| usual_c(row(back))).sum::<f64>() / piece as f64
    };
    let means: Vec<f64> = (0..pieces).map(mean).collect();
    (0..pieces)
        .rev()
        .map(|k| {
            let before = |j: usize| means[(k + j) % pieces];
            let usual_c = (before(0) + before(1) + before(2)) / 3.0;
            (
                usual_c.max(GUESS_AT_LEAST_C),
                row(k * piece + piece / 2).deep_c,
            )
        })
        .collect()
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
