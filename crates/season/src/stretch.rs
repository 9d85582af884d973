//! A stretch that begins at a moment at which somebody says how warm the water is, and ends when nobody needs more of it: a warm-up.
//!
//! The same steps as in [`crate::run()`], without its days and books: one plan, many beginnings.

use std::ops::ControlFlow;

use crate::machine::{Machine, Soils};
use crate::run::begin;
use crate::step::{Interval, Pad};
use crate::{Ledger, Plan, Prepared, SeasonError};

/// One interval of a stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Row of the prepared year.
    pub index: usize,
    /// Water at its end, °C.
    pub water_c: f64,
    /// Mean heat flows, W.
    pub heat_w: Ledger,
    /// It ends within the swim hours.
    pub swim_hours: bool,
}

/// A plan ready to begin anywhere in a prepared year.
#[derive(Clone, Debug)]
pub struct Stretches<'a> {
    machine: Machine,
    year: &'a Prepared,
}

impl<'a> Stretches<'a> {
    /// Makes `plan` ready.
    ///
    /// # Errors
    /// As [`crate::run()`].
    pub fn new(plan: &Plan, year: &'a Prepared) -> Result<Self, SeasonError> {
        Ok(Self {
            machine: Machine::new(plan, year, &mut Soils::default())?,
            year,
        })
    }

    /// Begins with row `first` and water of `start_c` (shell and soil in balance with it) and goes on until `each` breaks off, the
    /// weather ends, or, of a whole year, which is followed by itself, the year is round.
    pub fn run(
        &self,
        first: usize,
        start_c: f64,
        mut each: impl FnMut(&Moment) -> ControlFlow<()>,
    ) {
        let rows = self.year.rows.len();
        let count = match self.year.whole_year {
            _ if first >= rows => return,
            true => rows,
            false => rows - first,
        };
        let mut state = begin(&self.machine, self.year, first, start_c);
        let mut pad = Pad::new(&self.machine);
        for index in (first..first + count).map(|i| i % rows) {
            let at = Interval {
                year: self.year,
                index,
            };
            let outcome = self.machine.step(&at, &mut state, &mut pad);
            let moment = Moment {
                index,
                water_c: state.water_c,
                heat_w: outcome.heat_w,
                swim_hours: self.machine.swim.at(at.tick()) > 0.0,
            };
            if each(&moment).is_break() {
                return;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::ops::ControlFlow;
    use std::path::Path;

    use super::Stretches;
    use crate::test_plan::cover_and_board;
    use crate::{Detail, MonthDay, Prepared, run};

    /// A stretch is the season that begins there: the same water, to the last bit.
    #[test]
    fn a_stretch_is_the_season_that_begins_there() {
        let path =
            Path::new(env!("CARGO_MANIFEST_DIR")).join("../../weather-samples/temperate.epw");
        let weather = swimdays_weather::read(&path).expect("a committed sample");
        let mut plan = cover_and_board();
        plan.pool.start_c = Some(15.0);
        plan.pool.opens = MonthDay { month: 5, day: 1 };
        plan.pool.closes = MonthDay { month: 9, day: 30 };
        let year = Prepared::new(&plan, &weather).expect("prepared");
        let season = run(&plan, &year, Detail::Full).expect("run");
        let hourly = season.hourly.expect("hourly");
        let first = year
            .ticks
            .iter()
            .position(|tick| tick.date == year.ticks[120 * 24].date)
            .expect("1 May");
        let mut n = 0;
        Stretches::new(&plan, &year)
            .expect("ready")
            .run(first, 15.0, |moment| {
                assert_eq!(moment.index, first + n);
                assert_eq!(
                    moment.water_c.to_bits(),
                    hourly.water_c[moment.index].to_bits()
                );
                n += 1;
                if n == 500 {
                    ControlFlow::Break(())
                } else {
                    ControlFlow::Continue(())
                }
            });
        assert_eq!(n, 500);
    }

    #[test]
    fn a_year_goes_round_once_and_a_part_ends() {
        let path =
            Path::new(env!("CARGO_MANIFEST_DIR")).join("../../weather-samples/temperate.epw");
        let weather = swimdays_weather::read(&path).expect("a committed sample");
        let plan = cover_and_board();
        let mut year = Prepared::new(&plan, &weather).expect("prepared");
        let count = |year: &Prepared, first| {
            let mut n = 0;
            Stretches::new(&plan, year)
                .expect("ready")
                .run(first, 15.0, |_| {
                    n += 1;
                    ControlFlow::Continue(())
                });
            n
        };
        assert_eq!(count(&year, 8000), 8760);
        year.whole_year = false;
        assert_eq!(count(&year, 8000), 760);
        assert_eq!(count(&year, 8760), 0);
    }
}
