//! Which way a heater must face, how steep it must stand, and how much being off costs.
//!
//! Every position is a season of its own: the heater is turned, everything else stays, shade included. The map is a grid of
//! such seasons; the best is looked for on the grid and then in ever smaller steps around its best cell.

mod line;
mod score;

use swimdays_season::{Plan, SeasonError};
use swimdays_weather::WeatherYear;

use crate::range::{DRAWS, OF_WHAT, tenths_of};
pub use line::Stretch;
use score::Scorer;
pub use score::{Objective, Position, Score};

/// What is within this share of the best counts as just as good; of swim days, which are whole, at least one day.
pub const AS_GOOD_FRAC: f64 = 0.02;

/// The search around the best cell ends when its step is no larger than this, degrees.
const FINEST_DEG: f64 = 1.0;

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AimAsk {
    /// Index of the heater that is turned.
    pub heater: usize,
    /// What shall be most.
    pub objective: Objective,
    /// Step of the map in tilt and in facing, degrees; 45° must be a whole number of steps.
    pub step_deg: f64,
}

/// One position and what it gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Where.
    pub position: Position,
    /// What.
    pub score: Score,
}

/// How much less one position gives than the best: the best guess, and the ends between which it lies four times out of five.
#[derive(Clone, Debug, PartialEq)]
pub struct Loss {
    /// Days, or kWh a year.
    pub value: f64,
    /// 10 % of the draws lose less.
    pub low: f64,
    /// 10 % of the draws lose more.
    pub high: f64,
    /// The same as shares of what the heater gives at its best; absent for days.
    pub frac: Option<(f64, f64, f64)>,
    /// How the range was found.
    pub method: String,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct AimFound {
    /// What was to be most.
    pub objective: Objective,
    /// Step of the map, degrees.
    pub step_deg: f64,
    /// Tilts of the map, from 0 to 90°.
    pub tilts_deg: Vec<f64>,
    /// Directions of the map, clockwise from north, 0 ≤ x < 360.
    pub azimuths_deg: Vec<f64>,
    /// `cells[azimuth][tilt]`.
    pub cells: Vec<Vec<Score>>,
    /// The best position.
    pub best: Spot,
    /// The position in the plan.
    pub given: Spot,
    /// Without this heater; its heat is 0.
    pub without: Score,
    /// What is just as good as the best gives at least so much, days or kWh.
    pub enough: f64,
    /// At the best facing, tilts that give enough.
    pub tilt_as_good: Stretch,
    /// At the best tilt, directions that give enough, clockwise from `from_deg` to `to_deg`; `None`: every one.
    pub facing_as_good: Option<Stretch>,
    /// Share of the map's cells that give enough.
    pub as_good_frac: f64,
    /// Share of the map's cells that give just as much as the best one: of days, which are whole, there may be many.
    pub plateau_frac: f64,
    /// How much less the plan's own position gives.
    pub loss: Loss,
    /// South of the equator.
    pub south: bool,
    /// Spring days on which the pool is open, of the first year.
    pub open_spring_days: usize,
    /// Seasons run.
    pub seasons: usize,
}

/// Turns one heater of `plan` through all tilts and directions; of several years the means.
///
/// # Errors
/// As [`crate::each_season`].
///
/// # Panics
/// Never: a heater that does not exist is an error of the kind [`SeasonError::PreparedForAnother`].
pub fn aim(plan: &Plan, weather: &[&WeatherYear], ask: &AimAsk) -> Result<AimFound, SeasonError> {
    let Some(heater) = plan.heaters.get(ask.heater) else {
        return Err(SeasonError::PreparedForAnother {
            what: "the number of heaters".into(),
        });
    };
    let own = Position {
        tilt_deg: heater.plane.tilt_deg,
        azimuth_deg: heater.plane.azimuth_deg,
    };
    let scorer = Scorer::new(plan, weather, ask.heater)?;
    let (tilts_deg, azimuths_deg) = (
        marks(ask.step_deg, 90.0, true),
        marks(ask.step_deg, 360.0, false),
    );
    let cells = map(&scorer, &tilts_deg, &azimuths_deg)?;
    let worth = |score: &Score| score.worth(ask.objective);
    let spot = |at: usize, tilt: usize| Spot {
        position: Position {
            tilt_deg: tilts_deg[tilt],
            azimuth_deg: azimuths_deg[at],
        },
        score: cells[at][tilt],
    };
    let given = scorer.spots(&[own])?[0];
    // From the equator's side outwards, so that of equal ones the usual one is named.
    let mut order: Vec<(usize, usize)> = (0..azimuths_deg.len())
        .flat_map(|at| (0..tilts_deg.len()).map(move |tilt| (at, tilt)))
        .collect();
    let equator = if scorer.south { 0.0 } else { 180.0 };
    let off = |at: usize| crate::aim::line::apart_deg(azimuths_deg[at], equator);
    order.sort_by(|a, b| off(a.0).total_cmp(&off(b.0)).then(a.1.cmp(&b.1)));
    let mut best = given;
    for (at, tilt) in order {
        let here = spot(at, tilt);
        if better(&here, &best, ask.objective) {
            best = here;
        }
    }
    best = around(&scorer, best, ask)?;
    let most = worth(&best.score).0;
    let slack = most * AS_GOOD_FRAC;
    let enough = match ask.objective {
        Objective::SwimDays => most - slack.max(1.0),
        _ => most - slack,
    };
    // A flat map cell is one place whatever it faces.
    let counted = cells.iter().enumerate().flat_map(|(at, column)| {
        column
            .iter()
            .enumerate()
            .filter_map(move |(tilt, score)| (tilt > 0 || at == 0).then_some(score))
    });
    let (mut all, mut near, mut same) = (0.0, 0.0, 0.0);
    let top = counted
        .clone()
        .map(|s| worth(s).0)
        .fold(f64::NEG_INFINITY, f64::max);
    for score in counted {
        all += 1.0;
        near += f64::from(u8::from(worth(score).0 >= enough));
        same += f64::from(u8::from(worth(score).0 >= top));
    }
    let (tilt_as_good, facing_as_good) = line::as_good(&scorer, &best, enough, ask.objective)?;
    let loss = loss(plan, weather, ask, &best, &given, scorer.south)?;
    Ok(AimFound {
        objective: ask.objective,
        step_deg: ask.step_deg,
        cells,
        tilts_deg,
        azimuths_deg,
        given,
        without: scorer.without_shown(),
        enough,
        tilt_as_good,
        facing_as_good,
        as_good_frac: near / all,
        plateau_frac: same / all,
        loss,
        best,
        south: scorer.south,
        open_spring_days: scorer.open_spring_days,
        seasons: scorer.seasons() + 3 * DRAWS * weather.len(),
    })
}

/// Whether `a` is better than `b`: of equal days the one with more heat.
fn better(a: &Spot, b: &Spot, objective: Objective) -> bool {
    a.score.worth(objective) > b.score.worth(objective)
}

/// 0, step, 2 step … up to `end`, which is left out when it is 0 again.
fn marks(step_deg: f64, end: f64, with_end: bool) -> Vec<f64> {
    let mut out = Vec::new();
    let mut k = 0.0;
    while k * step_deg < end - 1e-6 || (with_end && k * step_deg < end + 1e-6) {
        out.push(k * step_deg);
        k += 1.0;
    }
    out
}

/// The scores of all cells; the flat position is run once.
fn map(
    scorer: &Scorer<'_>,
    tilts_deg: &[f64],
    azimuths_deg: &[f64],
) -> Result<Vec<Vec<Score>>, SeasonError> {
    let mut positions = vec![Position {
        tilt_deg: 0.0,
        azimuth_deg: if scorer.south { 0.0 } else { 180.0 },
    }];
    for &azimuth_deg in azimuths_deg {
        positions.extend(tilts_deg.iter().skip(1).map(|&tilt_deg| Position {
            tilt_deg,
            azimuth_deg,
        }));
    }
    let spots = scorer.spots(&positions)?;
    let (flat, rest) = spots.split_at(1);
    let steep = tilts_deg.len().saturating_sub(1).max(1);
    Ok(rest
        .chunks(steep)
        .map(|column| flat.iter().chain(column).map(|spot| spot.score).collect())
        .collect())
}

/// The best position that a search in ever smaller steps finds around `best`.
fn around(scorer: &Scorer<'_>, mut best: Spot, ask: &AimAsk) -> Result<Spot, SeasonError> {
    let mut step_deg = ask.step_deg;
    while step_deg > FINEST_DEG {
        step_deg /= 2.0;
        let at = best.position;
        let near: Vec<Position> = [-1.0, 0.0, 1.0]
            .iter()
            .flat_map(|up| [-1.0, 0.0, 1.0].map(|right| (*up, right)))
            .filter(|(up, right): &(f64, f64)| up.abs() + right.abs() > 0.5)
            .map(|(up, right)| Position {
                tilt_deg: (at.tilt_deg + up * step_deg).clamp(0.0, 90.0),
                azimuth_deg: (at.azimuth_deg + right * step_deg).rem_euclid(360.0),
            })
            .collect();
        for here in scorer.spots(&near)? {
            if better(&here, &best, ask.objective) {
                best = here;
            }
        }
    }
    Ok(best)
}

/// What the plan's own position gives less than the best, with the same draws for both.
fn loss(
    plan: &Plan,
    weather: &[&WeatherYear],
    ask: &AimAsk,
    best: &Spot,
    given: &Spot,
    south: bool,
) -> Result<Loss, SeasonError> {
    let places = [best.position, given.position];
    let drawn = score::each_draw(plan, weather, ask, &places, south)?;
    let (mut lost, mut shares) = (Vec::new(), Vec::new());
    for (b, g) in drawn {
        lost.push(b - g);
        if b > 0.0 {
            shares.push((b - g) / b);
        }
    }
    let most = best.score.worth(ask.objective).0;
    let value = most - given.score.worth(ask.objective).0;
    let cases = lost.len();
    let (low, high) = tenths_of(lost, value);
    let frac = (ask.objective != Objective::SwimDays && most > 0.0).then(|| {
        let (low, high) = tenths_of(shares, value / most);
        (value / most, low, high)
    });
    Ok(Loss {
        value,
        low,
        high,
        frac,
        method: format!(
            "10 % to 90 % of {cases} pairs of seasons, one at each position, with the same draws of {OF_WHAT} from their stated ranges; {}, one evaporation model and one model of the sky's light",
            match weather.len() {
                1 => "one weather year".to_owned(),
                n => format!("{n} weather years"),
            }
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_marks_of_the_map_stand_a_step_apart() {
        assert_eq!(marks(45.0, 90.0, true), [0.0, 45.0, 90.0]);
        assert_eq!(marks(45.0, 360.0, false).len(), 8);
        // By hand: 90 / 7.5 = 12 steps, 360 / 7.5 = 48 directions.
        assert_eq!(marks(7.5, 90.0, true).len(), 13);
        assert_eq!(marks(7.5, 360.0, false).len(), 48);
    }
}
