//! The search for timer hours: months in turn, each with whole seasons, since what July is given August keeps.

use std::cmp::Ordering;

use swimdays_pump::Control;
use swimdays_season::{Detail, Plan, Prepared, Season, SeasonError};

use super::clock::{DAY_H, Hours};
use crate::many::each_prepared;

/// Hours by month, 0 = January.
pub(crate) type Schedule = [Hours; 12];

/// Rounds over the months after which the search gives up; it ends sooner when a round changes nothing.
const MOST_ROUNDS: usize = 6;

/// How far a start or an end is moved at a time, h.
const MOVES_H: [i32; 5] = [-2, -1, 0, 1, 2];

/// Which moves of a window's start and end are tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Moves {
    /// One end, or both alike, or both by an hour; none; all day: tried first, since they nearly always lead there.
    Near,
    /// The other moves of both ends.
    Far,
}

impl Moves {
    fn has(self, from: i32, to: i32) -> bool {
        let near = from == 0 || to == 0 || from == to || (from.abs() == 1 && to.abs() == 1);
        near == (self == Self::Near)
    }
}

/// Gaps in a window that are tried, h.
const GAPS_H: [u32; 3] = [1, 2, 3];

/// Second windows that are tried, h.
const SECONDS_H: [u32; 2] = [2, 4];

/// A second window must bring a swim day, or this share more heat less electricity, to be worth a second pair of pins on
/// the timer (own choice, no source).
const WORTH_FRAC: f64 = 0.01;

/// How good a season is: swim days first, then heat of the heaters less electricity of the pump.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HoursScore {
    /// Swim days of all years searched.
    pub swim_days: usize,
    /// Heat that the heaters gave less electricity that heating added, kWh, of all years searched.
    pub net_kwh: f64,
}

impl HoursScore {
    /// Of one season.
    #[must_use]
    pub fn of(season: &Season) -> Self {
        Self {
            swim_days: season.swim_days,
            net_kwh: season.heat_kwh.heaters - season.pump_kwh,
        }
    }

    /// Of several seasons together.
    #[must_use]
    pub fn sum(scores: &[Self]) -> Self {
        scores.iter().fold(Self::default(), |sum, one| Self {
            swim_days: sum.swim_days + one.swim_days,
            net_kwh: sum.net_kwh + one.net_kwh,
        })
    }

    /// Which is better: more swim days; of equal ones more heat less electricity.
    #[must_use]
    pub fn order(&self, other: &Self) -> Ordering {
        self.swim_days
            .cmp(&other.swim_days)
            .then(self.net_kwh.total_cmp(&other.net_kwh))
    }

    fn beats(&self, other: &Self) -> bool {
        self.order(other) == Ordering::Greater
    }
}

/// What the search may do.
pub(crate) struct Search<'a> {
    pub(crate) plan: &'a Plan,
    pub(crate) years: &'a [Prepared],
    /// Months in which the pool is open, in the order of the run.
    pub(crate) months: &'a [usize],
    /// Hours that may be chosen, by month.
    pub(crate) allowed: Schedule,
    /// Hours in which running brings heat, by month: a second window must have one of them.
    pub(crate) bringing: Schedule,
}

/// The plan with its pump on a timer of these hours.
pub(crate) fn on_timer(plan: &Plan, schedule: &Schedule) -> Plan {
    let mut plan = plan.clone();
    if let Some(pump) = &mut plan.pump {
        pump.control = Control::Timer(schedule.map(Hours::windows));
    }
    plan
}

impl Search<'_> {
    /// The score of each schedule.
    pub(crate) fn scores(&self, schedules: &[Schedule]) -> Result<Vec<HoursScore>, SeasonError> {
        let plans: Vec<Plan> = schedules.iter().map(|s| on_timer(self.plan, s)).collect();
        let found = each_prepared(&plans, self.years, Detail::Days, |_, season| {
            HoursScore::of(&season)
        })?;
        Ok(found.iter().map(|years| HoursScore::sum(years)).collect())
    }

    /// The best of `starts`, each cut to what is allowed; the first of equal ones.
    fn best_start(&self, starts: &[Schedule]) -> Result<(Schedule, HoursScore), SeasonError> {
        let starts: Vec<Schedule> = starts
            .iter()
            .map(|start| std::array::from_fn(|m| longest(start[m].and(self.allowed[m]))))
            .collect();
        let scores = self.scores(&starts)?;
        let mut best = ([Hours::NONE; 12], HoursScore::default());
        for (at, (start, score)) in starts.into_iter().zip(scores).enumerate() {
            if at == 0 || score.beats(&best.1) {
                best = (start, score);
            }
        }
        Ok(best)
    }

    /// One window a month: from the best of `starts`, month by month, start and end are moved until no move helps.
    ///
    /// A coordinate descent: it finds hours that no single move of up to two hours at either end or both improves, not
    /// necessarily the best of all. Each trial is a whole season in every year.
    pub(crate) fn one_window(
        &self,
        starts: &[Schedule],
    ) -> Result<(Schedule, HoursScore), SeasonError> {
        let (mut best, mut score) = self.best_start(starts)?;
        for _ in 0..MOST_ROUNDS {
            let before = best;
            for moves in [Moves::Near, Moves::Far] {
                (best, score) = self.descend(best, score, moves)?;
                if best != before {
                    break;
                }
            }
            if best == before {
                break;
            }
        }
        Ok((best, score))
    }

    /// Month by month, round and round, until no month of a whole round has a better move.
    fn descend(
        &self,
        mut best: Schedule,
        mut score: HoursScore,
        moves: Moves,
    ) -> Result<(Schedule, HoursScore), SeasonError> {
        let mut unmoved = 0;
        let at_most = MOST_ROUNDS * self.months.len();
        for &month in self.months.iter().cycle().take(at_most) {
            let trials: Vec<Schedule> = neighbours(best[month], moves)
                .into_iter()
                .filter(|hours| hours.without(self.allowed[month]).is_none())
                .map(|hours| with_month(&best, month, hours))
                .collect();
            let before = best;
            (best, score) = self.best_of(best, score, trials)?;
            unmoved = if best == before { unmoved + 1 } else { 0 };
            if unmoved == self.months.len() {
                break;
            }
        }
        Ok((best, score))
    }

    /// A gap within the window, or a second one beside it, where that is worth it.
    pub(crate) fn two_windows(
        &self,
        from: Schedule,
        score: HoursScore,
    ) -> Result<(Schedule, HoursScore), SeasonError> {
        let (mut best, mut best_score) = (from, score);
        for &month in self.months {
            let trials: Vec<Schedule> = twos(best[month], self.bringing[month])
                .into_iter()
                .filter(|hours| hours.without(self.allowed[month]).is_none())
                .map(|hours| with_month(&best, month, hours))
                .collect();
            let (found, found_score) = self.best_of(best, best_score, trials)?;
            #[allow(clippy::cast_precision_loss, reason = "a handful of months")]
            let worth = WORTH_FRAC * score.net_kwh.abs() / self.months.len().max(1) as f64;
            if found_score.swim_days > best_score.swim_days
                || found_score.net_kwh > best_score.net_kwh + worth
            {
                (best, best_score) = (found, found_score);
            }
        }
        Ok((best, best_score))
    }

    /// The best of `trials` if it beats what there is; the first of equal ones.
    fn best_of(
        &self,
        mut best: Schedule,
        mut score: HoursScore,
        trials: Vec<Schedule>,
    ) -> Result<(Schedule, HoursScore), SeasonError> {
        let scores = self.scores(&trials)?;
        for (trial, found) in trials.into_iter().zip(scores) {
            if found.beats(&score) {
                (best, score) = (trial, found);
            }
        }
        Ok((best, score))
    }
}

fn with_month(schedule: &Schedule, month: usize, hours: Hours) -> Schedule {
    let mut schedule = *schedule;
    schedule[month] = hours;
    schedule
}

/// The longest stretch; the first of equal ones.
fn longest(hours: Hours) -> Hours {
    hours
        .stretches()
        .into_iter()
        .rev()
        .max_by_key(|stretch| stretch.1)
        .map_or(Hours::NONE, |(start, length)| Hours::run(start, length))
}

/// One window with its ends moved; with the near moves none, and all day.
fn neighbours(hours: Hours, moves: Moves) -> Vec<Hours> {
    let mut out = Vec::new();
    let mut add = |new: Hours| {
        if new != hours && !out.contains(&new) {
            out.push(new);
        }
    };
    let Some((start, length)) = hours.single() else {
        // From nothing: a few hours around the middle of the day.
        if moves == Moves::Near {
            for (start, length) in [(10, 4), (11, 6), (9, 8)] {
                add(Hours::run(start, length));
            }
        }
        return out;
    };
    let day = i64::from(DAY_H);
    for from in MOVES_H {
        for to in MOVES_H {
            if !moves.has(from, to) {
                continue;
            }
            let start = (i64::from(start) + i64::from(from)).rem_euclid(day);
            let length = i64::from(length) + i64::from(to) - i64::from(from);
            if let (Ok(start), Ok(length)) = (u32::try_from(start), u32::try_from(length)) {
                add(Hours::run(start, length));
            }
        }
    }
    if moves == Moves::Near {
        add(Hours::NONE);
        add(Hours::ALL);
    }
    out
}

/// One window with a gap in it, or with a second one beside it that has an hour of those `bringing` heat.
fn twos(hours: Hours, bringing: Hours) -> Vec<Hours> {
    let Some((start, length)) = hours.single() else {
        return Vec::new();
    };
    let mut out = Vec::new();
    for gap in GAPS_H {
        for offset in 1..length.saturating_sub(gap) {
            out.push(hours.without(Hours::run((start + offset) % DAY_H, gap)));
        }
    }
    for second in SECONDS_H {
        for from in 0..DAY_H {
            let added = Hours::run(from, second);
            let both = hours.or(added);
            let brings = !added.without(hours).and(bringing).is_none();
            if brings && both.stretches().len() == 2 {
                out.push(both);
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn swim_days_come_before_heat() {
        let score = |swim_days, net_kwh| HoursScore { swim_days, net_kwh };
        assert!(score(91, 10.0).beats(&score(90, 900.0)));
        assert!(score(90, 11.0).beats(&score(90, 10.0)));
        assert!(!score(90, 10.0).beats(&score(90, 10.0)));
    }

    #[test]
    fn every_neighbour_is_one_window_or_none() {
        for hours in [Hours::run(9, 8), Hours::run(23, 3), Hours::ALL, Hours::NONE] {
            for neighbour in [Moves::Near, Moves::Far]
                .into_iter()
                .flat_map(|moves| neighbours(hours, moves))
            {
                assert!(neighbour.stretches().len() <= 1, "{neighbour:?}");
            }
        }
        // By hand: from 9 to 17 one can come to 8–17, 9–18, 11–15; with both ends moved unlike to 7–16.
        let near = neighbours(Hours::run(9, 8), Moves::Near);
        for hours in [Hours::run(8, 9), Hours::run(9, 9), Hours::run(11, 6)] {
            assert!(near.contains(&hours));
        }
        let far = neighbours(Hours::run(9, 8), Moves::Far);
        assert!(far.contains(&Hours::run(7, 9)) && far.contains(&Hours::run(11, 4)));
    }

    #[test]
    fn near_and_far_are_all_moves_of_both_ends_and_each_once() {
        let both: Vec<Hours> = [Moves::Near, Moves::Far]
            .into_iter()
            .flat_map(|moves| neighbours(Hours::run(9, 8), moves))
            .collect();
        // By hand: 5 times 5 moves less the one that moves nothing, and none and all day.
        assert_eq!(both.len(), 26);
        for (at, hours) in both.iter().enumerate() {
            assert!(!both[..at].contains(hours));
        }
    }

    #[test]
    fn two_windows_are_two() {
        let all = twos(Hours::run(9, 8), Hours::ALL);
        assert!(!all.is_empty());
        for hours in &all {
            assert_eq!(hours.stretches().len(), 2, "{hours:?}");
        }
        assert!(all.contains(&Hours::run(9, 8).without(Hours::run(12, 2))));
        assert!(all.contains(&Hours::run(9, 8).or(Hours::run(2, 4))));
        // Where nothing is brought but from 18 to 19, a second window has that hour.
        for hours in twos(Hours::run(9, 8), Hours::run(18, 1)) {
            let added = hours.without(Hours::run(9, 8));
            assert!(added.is_none() || added.has(18), "{hours:?}");
        }
    }
}
