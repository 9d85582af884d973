//! What a position gives: days, and heat that the heater adds.

use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::Datelike;
use rayon::prelude::*;
use swimdays_season::{Detail, Plan, Season, SeasonError};
use swimdays_weather::WeatherYear;

use super::{AimAsk, Spot};
use crate::each_season;
use crate::range::{DRAWS, draws, with_draw};

/// Positions that share one prepared year: enough for the lanes, few enough to keep memory small.
const AT_A_TIME: usize = 32;

/// What shall be most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Objective {
    /// Swim days; of equal days the one with more heat in the season.
    SwimDays,
    /// Heat that the heater adds while the pool is open.
    SeasonHeat,
    /// Heat that the heater adds in spring while the pool is open: March to May, south of the equator September to November.
    SpringHeat,
}

impl Objective {
    /// Whether a month, 1…12, is one of spring.
    #[must_use]
    pub fn is_spring(month: u32, south: bool) -> bool {
        if south {
            (9..=11).contains(&month)
        } else {
            (3..=5).contains(&month)
        }
    }
}

/// How a heater stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// 0 flat, 90 upright.
    pub tilt_deg: f64,
    /// Clockwise from true north.
    pub azimuth_deg: f64,
}

/// What a position gives: means over the weather years.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Score {
    /// Swim days.
    pub swim_days: f64,
    /// Too-hot days.
    pub too_hot_days: f64,
    /// Heat that this heater adds to what the others give while the pool is open, kWh.
    pub season_kwh: f64,
    /// Of that, in spring.
    pub spring_kwh: f64,
}

impl Score {
    /// What is to be most, and what decides between equal ones.
    #[must_use]
    pub fn worth(&self, objective: Objective) -> (f64, f64) {
        match objective {
            Objective::SwimDays => (self.swim_days, self.season_kwh),
            Objective::SeasonHeat => (self.season_kwh, 0.0),
            Objective::SpringHeat => (self.spring_kwh, 0.0),
        }
    }

    /// Of one season: heat of all heaters together.
    fn of(season: &Season, south: bool) -> Self {
        let mut out = Self {
            swim_days: whole(season.swim_days),
            too_hot_days: whole(season.too_hot_days),
            ..Self::default()
        };
        for day in season.days.iter().filter(|day| day.open) {
            out.season_kwh += day.heat_kwh.heaters;
            if Objective::is_spring(day.date.month(), south) {
                out.spring_kwh += day.heat_kwh.heaters;
            }
        }
        out
    }

    /// The mean of some.
    fn mean(all: &[Self]) -> Self {
        let n = whole(all.len()).max(1.0);
        let of = |value: fn(&Self) -> f64| all.iter().map(value).sum::<f64>() / n;
        Self {
            swim_days: of(|s| s.swim_days),
            too_hot_days: of(|s| s.too_hot_days),
            season_kwh: of(|s| s.season_kwh),
            spring_kwh: of(|s| s.spring_kwh),
        }
    }

    /// The heat less that of the other heaters alone.
    fn added_to(self, without: &Self) -> Self {
        Self {
            season_kwh: self.season_kwh - without.season_kwh,
            spring_kwh: self.spring_kwh - without.spring_kwh,
            ..self
        }
    }
}

/// A count as a number.
fn whole(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

/// Runs a plan with one of its heaters in many positions.
pub(super) struct Scorer<'a> {
    plan: &'a Plan,
    weather: &'a [&'a WeatherYear],
    heater: usize,
    without: Score,
    seasons: AtomicUsize,
    pub(super) south: bool,
    pub(super) open_spring_days: usize,
}

impl<'a> Scorer<'a> {
    pub(super) fn new(
        plan: &'a Plan,
        weather: &'a [&'a WeatherYear],
        heater: usize,
    ) -> Result<Self, SeasonError> {
        let south = weather
            .first()
            .is_some_and(|year| year.place.latitude_deg < 0.0);
        let alone = [without(plan, heater)];
        let found = each_season(&alone, weather, Detail::Days, |_, season| {
            let spring = season
                .days
                .iter()
                .filter(|day| day.open && Objective::is_spring(day.date.month(), south));
            (Score::of(&season, south), spring.count())
        })?;
        let years = found.into_iter().next().unwrap_or_default();
        let scores: Vec<Score> = years.iter().map(|year| year.0).collect();
        Ok(Self {
            plan,
            weather,
            heater,
            without: Score::mean(&scores),
            seasons: AtomicUsize::new(weather.len()),
            south,
            open_spring_days: years.first().map_or(0, |year| year.1),
        })
    }

    /// Seasons run so far.
    pub(super) fn seasons(&self) -> usize {
        self.seasons.load(Ordering::Relaxed)
    }

    /// Without this heater: days, and no heat of its own.
    pub(super) fn without_shown(&self) -> Score {
        Score {
            season_kwh: 0.0,
            spring_kwh: 0.0,
            ..self.without
        }
    }

    /// Each position with its score, in their order.
    pub(super) fn spots(&self, positions: &[Position]) -> Result<Vec<Spot>, SeasonError> {
        self.seasons
            .fetch_add(positions.len() * self.weather.len(), Ordering::Relaxed);
        let chunks: Vec<Vec<Spot>> = positions
            .par_chunks(AT_A_TIME)
            .map(|some| {
                let plans: Vec<Plan> = some
                    .iter()
                    .map(|at| turned(self.plan, self.heater, *at))
                    .collect();
                let south = self.south;
                let found = each_season(&plans, self.weather, Detail::Days, |_, season| {
                    Score::of(&season, south)
                })?;
                Ok(some
                    .iter()
                    .zip(found)
                    .map(|(position, years)| Spot {
                        position: *position,
                        score: Score::mean(&years).added_to(&self.without),
                    })
                    .collect())
            })
            .collect::<Result<_, SeasonError>>()?;
        Ok(chunks.into_iter().flatten().collect())
    }
}

/// What is to be most at two positions, draw by draw and year by year.
pub(super) fn each_draw(
    plan: &Plan,
    weather: &[&WeatherYear],
    ask: &AimAsk,
    places: &[Position; 2],
    south: bool,
) -> Result<Vec<(f64, f64)>, SeasonError> {
    let plans: Vec<Plan> = draws(DRAWS)
        .iter()
        .map(|draw| with_draw(plan, draw))
        .flat_map(|plan| {
            [
                turned(&plan, ask.heater, places[0]),
                turned(&plan, ask.heater, places[1]),
                without(&plan, ask.heater),
            ]
        })
        .collect();
    let found = each_season(&plans, weather, Detail::Days, |_, season| {
        Score::of(&season, south)
    })?;
    let worth = |score: &Score, without: &Score| score.added_to(without).worth(ask.objective).0;
    Ok(found
        .chunks_exact(3)
        .flat_map(|three| {
            (0..weather.len()).map(|year| {
                let without = &three[2][year];
                (
                    worth(&three[0][year], without),
                    worth(&three[1][year], without),
                )
            })
        })
        .collect())
}

fn turned(plan: &Plan, heater: usize, at: Position) -> Plan {
    let mut plan = plan.clone();
    if let Some(heater) = plan.heaters.get_mut(heater) {
        heater.plane.tilt_deg = at.tilt_deg;
        heater.plane.azimuth_deg = at.azimuth_deg;
    }
    plan
}

fn without(plan: &Plan, heater: usize) -> Plan {
    let mut plan = plan.clone();
    if heater < plan.heaters.len() {
        plan.heaters.remove(heater);
    }
    plan
}
