//! Many plans through one year, several at a time.
//!
//! Plans of one [`Shape`] are stepped abreast: one lane of the processor's registers for each. A lane is bit for bit the
//! plan run alone, so how many go together, and which, changes no result.

use pulp::Simd;
use swimdays_pool::GroundState;
use swimdays_properties::real::{Lanes, Real};

use crate::book::Book;
use crate::machine::{Machine, Shape, Soils};
use crate::prepared::Prepared;
use crate::run::{Ahead, Detail, Pass, Runner};
use crate::step::State;
use crate::{Plan, Season, SeasonError};

/// Registers that each number takes, of eight numbers (AVX-512) and of four (AVX2): eight lanes either way, enough work at a time that few
/// operations wait for the one before, and not so much that the registers overflow.
#[cfg(target_arch = "x86_64")]
const WIDE_REGISTERS: usize = 1;
#[cfg(target_arch = "x86_64")]
const NARROW_REGISTERS: usize = 2;

/// Fewer plans than this are run alone.
const LEAST_ABREAST: usize = 3;

/// Runs each of `plans` through `year`, in this thread; the seasons stand in the order of the plans.
///
/// Each is bit for bit what [`crate::run()`] gives. With [`Detail::Days`], plans of like build (the same number and kinds of
/// heaters, in-ground or above ground, with or without a pump and an ordinary heater, one day of opening when the start is given)
/// go several at a time; so give many at once. Cover, hours, sizes, shelter, ground, planes and controls may differ.
/// Heaters other than bare boards and decks, sensors and thermosiphons are worked out lane by lane within that.
///
/// # Errors
/// For each plan as [`crate::run()`].
pub fn run_many(
    plans: &[&Plan],
    year: &Prepared,
    detail: Detail,
) -> Vec<Result<Season, SeasonError>> {
    run_many_with(plans, year, detail, Registers::Widest)
}

/// Which registers are used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Registers {
    /// The widest that the processor has.
    Widest,
    /// Those of four numbers, also where there are wider ones.
    #[cfg_attr(
        not(test),
        allow(dead_code, reason = "so that both are tested on one machine")
    )]
    Narrow,
}

fn run_many_with(
    plans: &[&Plan],
    year: &Prepared,
    detail: Detail,
    registers: Registers,
) -> Vec<Result<Season, SeasonError>> {
    let mut soils = Soils::default();
    let mut found: Vec<Option<Result<Season, SeasonError>>> = Vec::with_capacity(plans.len());
    let mut groups: Vec<(Kind, Vec<(usize, Runner<'_>)>)> = Vec::new();
    for (index, plan) in plans.iter().enumerate() {
        found.push(None);
        match Runner::new(plan, year, &mut soils) {
            Err(error) => found[index] = Some(Err(error)),
            Ok(runner) => {
                let kind = Kind {
                    shape: runner.machine.shape(),
                    ahead: runner.ahead.is_some(),
                    first: runner.first,
                };
                match groups.iter_mut().find(|(known, _)| *known == kind) {
                    Some((_, members)) => members.push((index, runner)),
                    None => groups.push((kind, vec![(index, runner)])),
                }
            }
        }
    }
    for (_, mut waiting) in groups {
        while !waiting.is_empty() {
            if detail == Detail::Full || waiting.len() < LEAST_ABREAST {
                for (index, runner) in waiting.drain(..) {
                    found[index] = Some(Ok(runner.alone(year, detail)));
                }
                break;
            }
            let group = Group {
                year,
                detail,
                registers,
                waiting: &mut waiting,
            };
            for (index, season) in group.pass() {
                found[index] = Some(Ok(season));
            }
        }
    }
    // Every plan has been answered: with an error at once, or by the loop above, which goes on until none waits.
    found
        .into_iter()
        .map(|one| one.unwrap_or(Err(SeasonError::EmptyWeather)))
        .collect()
}

/// What plans must have in common to go abreast.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Kind {
    shape: Shape,
    ahead: bool,
    first: usize,
}

/// Plans that wait for their next pass.
struct Group<'a, 'b> {
    year: &'a Prepared,
    detail: Detail,
    #[cfg_attr(
        not(target_arch = "x86_64"),
        allow(dead_code, reason = "only there are there two kinds")
    )]
    registers: Registers,
    waiting: &'a mut Vec<(usize, Runner<'b>)>,
}

impl Group<'_, '_> {
    /// Takes every waiting plan through one pass, or to its end where the processor has no registers for several.
    fn pass(self) -> Vec<(usize, Season)> {
        #[cfg(target_arch = "x86_64")]
        {
            if let (Registers::Widest, Some(simd)) = (self.registers, pulp::x86::V4::try_new()) {
                return simd.vectorize(
                    #[inline(always)]
                    || self.abreast::<_, WIDE_REGISTERS>(simd),
                );
            }
            if let Some(simd) = pulp::x86::V3::try_new() {
                return simd.vectorize(
                    #[inline(always)]
                    || self.abreast::<_, NARROW_REGISTERS>(simd),
                );
            }
        }
        self.waiting
            .drain(..)
            .map(|(index, runner)| (index, runner.alone(self.year, self.detail)))
            .collect()
    }

    /// Takes every waiting plan through one pass; those whose last it was come back as seasons.
    #[inline(always)]
    fn abreast<S: Simd, const REGISTERS: usize>(self, simd: S) -> Vec<(usize, Season)> {
        let like = Lanes::<S, REGISTERS>::new(simd, 0.0);
        let mut done = Vec::new();
        let mut again = Vec::new();
        let mut waiting = std::mem::take(self.waiting).into_iter();
        loop {
            let mut some: Vec<(usize, Runner<'_>)> = waiting
                .by_ref()
                .take(Lanes::<S, REGISTERS>::LANES)
                .collect();
            let Some((_, first)) = some.first() else {
                break;
            };
            // Lanes that are left over step the last plan once more.
            let lane = |lane: usize| &some[lane.min(some.len() - 1)].1;
            let lanes = 0..Lanes::<S, REGISTERS>::LANES;
            let machines: Vec<&Machine> = lanes.clone().map(|i| &lane(i).machine).collect();
            let states: Vec<&State> = lanes.map(|i| &lane(i).state).collect();
            let machine = Machine::join(like, &machines);
            let state = State::join(like, &states);
            let mut pass = Pass {
                year: self.year,
                ahead: first.ahead.as_ref().map(|ahead| {
                    let left = |i: usize| {
                        let one = lane(i).ahead.as_ref();
                        &one.unwrap_or(ahead).kelvin
                    };
                    let kelvins: Vec<&GroundState> =
                        (0..Lanes::<S, REGISTERS>::LANES).map(left).collect();
                    Ahead {
                        from: ahead.from,
                        known: ahead.known,
                        usual_c: ahead.usual_c,
                        kelvin: GroundState::join(like, &kelvins),
                    }
                }),
                first: first.first,
                given_c: first
                    .plan
                    .pool
                    .start_c
                    .map(|_| like.each(|i| lane(i).plan.pool.start_c.unwrap_or(0.0))),
                book: Book::new(first.plan, &machine, self.year, self.detail, first.first),
            };
            let (start_c, end) = pass.run(&machine, state);
            for (lane, (index, mut runner)) in some.drain(..).enumerate() {
                let (start_c, end) = (start_c.lane(lane), end.lane(lane));
                match runner.closed(lane, start_c, end, &mut pass.book, self.year) {
                    Some(season) => done.push((index, season)),
                    None => again.push((index, runner)),
                }
            }
        }
        *self.waiting = again;
        done
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::{Registers, run_many_with};
    use crate::test_plan::{cover_and_board, sensor_plan};
    use crate::{Detail, Plan, Prepared, Season, run};

    /// On a processor with wide registers the narrow ones are not used otherwise; `tests/tests/season/abreast.rs` compares every number.
    #[test]
    fn wide_and_narrow_registers_give_the_season_alone() {
        let path =
            Path::new(env!("CARGO_MANIFEST_DIR")).join("../../weather-samples/temperate.epw");
        let weather = swimdays_weather::read(&path).expect("a committed sample");
        let plans: Vec<Plan> = (0..11)
            .map(|i| {
                let mut plan = if i % 3 == 2 {
                    sensor_plan()
                } else {
                    cover_and_board()
                };
                plan.pool.start_c = Some(12.0);
                plan.pool.volume_m3 *= 1.0 + 0.05 * f64::from(i);
                plan
            })
            .collect();
        let year = Prepared::new(&plans[0], &weather).expect("prepared");
        let chosen: Vec<&Plan> = plans.iter().collect();
        let told = |season: &Season| {
            let sums = (season.heat_kwh.values(), season.pump_hours, season.pump_kwh);
            format!("{:?} {sums:?} {:?}", season.days, season.first_slug)
        };
        for registers in [Registers::Widest, Registers::Narrow] {
            let many = run_many_with(&chosen, &year, Detail::Days, registers);
            for (plan, season) in chosen.iter().zip(many) {
                let alone = run(plan, &year, Detail::Days).expect("alone");
                let season = season.expect("among many");
                assert_eq!(told(&season), told(&alone), "{registers:?}");
            }
        }
    }
}
