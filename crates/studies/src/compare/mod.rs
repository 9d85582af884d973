//! Which measure is worth it: every combination of a scenario's parts, what anyone can do besides, the builder's own options,
//! and how much heater is enough.
//!
//! All choices go through the same weather years and the same draws of what nobody knows exactly, so that a difference between
//! two of them has a range of its own, narrower than theirs. Single numbers are those of one year: the middle one of the plan.

mod area;
mod estimate;
mod game;
mod money;
mod outcome;
mod rows;
mod variant;

pub use area::{areas_m2, enough_m2};
pub use estimate::Estimate;
pub use game::{alone, last, shares};
pub use money::{Costs, SAME_HEAT_EFFICIENCY, SameHeat, costs, price_per_kwh, same_heat};
pub use outcome::Outcome;
pub use rows::{Role, Row};
pub use variant::{
    COOLER_K, MOST_HEATERS_APART, Measure, NIGHT, Part, WINDBREAK_LEAVES, behind_windbreak, cooler,
    covered_by_night, heater_area_m2, measures_of, scaled, tried_cover, with_only,
};

use swimdays_pool::CoverKind;
use swimdays_scenario::Scenario;
use swimdays_season::{Detail, OtherHeaterKind, OtherHeaterPlan, Plan, SeasonError};
use swimdays_weather::WeatherYear;

use crate::alike::Alike;
use crate::many::Ready;
use crate::normals_range::normals_error;
use crate::range::{DRAWS, Draw, OF_WHAT, draws, with_draw};
use crate::years::{half_width, middle_of};

use estimate::{Drawn, difference};
use rows::{BY_NIGHT, Role as R, rows};

/// Seasons that are spent on ranges; beyond, each range has fewer draws.
const DRAWN_SEASONS: usize = 4_000;
/// Fewest draws of a range in each year.
const FEWEST_DRAWS: usize = 12;
/// Draws behind the range of the area that is enough.
const AREA_DRAWS: usize = 12;
/// Constant heat that tells how much the bare pool takes to be a degree warmer, W for each m² of water: it warms a garden pool
/// by some 2 K, as measures do.
const PROBE_W_M2: f64 = 50.0;
/// A thermostat that never stops it, °C.
const PROBE_SETPOINT_C: f64 = 90.0;

/// One row of the answer.
#[derive(Clone, Debug)]
pub struct Choice {
    /// What it is called and made of.
    pub row: Row,
    /// In the year that is told.
    pub outcome: Outcome,
    /// Swim days with their range, where it was drawn.
    pub swim_days: Estimate,
    /// Whether the range was drawn.
    pub has_range: bool,
    /// Swim days over the bare pool.
    pub gained: Estimate,
    /// What it costs.
    pub costs: Costs,
    /// Water put in less than with the bare pool, m³ a year.
    pub water_saved_m3: f64,
}

/// What one part of the scenario gives, in days and in heat.
#[derive(Clone, Debug)]
pub struct Gift {
    /// The part, or what anyone can do.
    pub name: String,
    /// Its bit; absent for what is no part of the scenario.
    pub bit: Option<usize>,
    /// Swim days that it adds to the bare pool.
    pub days_alone: Estimate,
    /// Swim days that it adds when all else is there.
    pub days_last: Estimate,
    /// Its fair share of the days that all parts add together.
    pub days_fair_share: Option<Estimate>,
    /// Too-hot days that it adds when all else is there.
    pub too_hot_last: i64,
    /// Warmth, as [`Comparison::kwh_per_k`] makes it heat, kWh: alone.
    pub heat_alone_kwh: Estimate,
    /// Last.
    pub heat_last_kwh: Estimate,
    /// Fair share.
    pub heat_fair_share_kwh: Option<Estimate>,
    /// What it costs by itself.
    pub costs: Costs,
}

/// A part in the order in which to do them.
#[derive(Clone, Debug)]
pub struct Step {
    /// Which of [`Comparison::gifts`].
    pub gift: usize,
    /// Days that it adds to those before it.
    pub gain: Estimate,
}

/// Days against heater area.
#[derive(Clone, Debug)]
pub struct AreaCurve {
    /// Areas, m².
    pub areas_m2: Vec<f64>,
    /// Swim days without a cover.
    pub bare_days: Vec<f64>,
    /// Swim days with it.
    pub covered_days: Vec<f64>,
    /// The cover.
    pub cover: CoverKind,
    /// The plan has that cover; otherwise it is one to try.
    pub cover_is_planned: bool,
    /// The plan's area, m².
    pub planned_m2: f64,
    /// A step of area, m², that must bring a day.
    pub step_m2: f64,
    /// Where the next step brings less than a day, without and with the cover, m²; absent beyond the areas tried.
    pub enough_m2: [Option<f64>; 2],
    /// Ends between which that lies four times out of five, m²; an end beyond the areas tried is absent.
    pub enough_range_m2: [(Option<f64>, Option<f64>); 2],
}

/// The whole answer.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// Every choice; the first is the bare pool.
    pub choices: Vec<Choice>,
    /// Index of the plan as given.
    pub plan: usize,
    /// What each part gives, and behind them what anyone can do.
    pub gifts: Vec<Gift>,
    /// The scenario's parts in the order in which to do them.
    pub steps: Vec<Step>,
    /// What the steps from the first one without a clear gain on add together, where they are several.
    pub rest: Option<Estimate>,
    /// Days that all parts add together.
    pub together: Estimate,
    /// Fair share of the part with the largest less that of the next; absent with fewer than two parts.
    pub lead: Option<Estimate>,
    /// Absent without solar heaters.
    pub area: Option<AreaCurve>,
    /// The heat of the solar heaters from elsewhere; empty without them.
    pub same_heat: Vec<SameHeat>,
    /// What it takes to hold the bare pool 1 K warmer through the open season, kWh.
    pub kwh_per_k: Option<f64>,
    /// Which weather year is told.
    pub year: usize,
    /// Seasons behind each range.
    pub drawn: usize,
    /// How ranges were found, in a sentence.
    pub method: String,
}

/// Which choices get a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ranges {
    /// Every one, as far as they can be afforded.
    Every,
    /// Those that people read ([`Row::is_read`]), on which every sentence and share stands.
    Read,
}

/// Compares what the scenario has, may have and asks for, through each of `weather`.
///
/// `step_m2` is the piece of heater that must bring a day to be worth adding. No number depends on `ranges` but those of the rows
/// that nobody reads.
///
/// # Errors
/// As [`crate::each_season`].
pub fn compare(
    scenario: &Scenario,
    weather: &[&WeatherYear],
    step_m2: f64,
    ranges: Ranges,
) -> Result<Comparison, SeasonError> {
    let plan = &scenario.plan;
    let measures = measures_of(plan);
    let rows = rows(scenario, &measures);
    let plans: Vec<Plan> = rows.iter().map(|(_, plan)| plan.clone()).collect();
    let full = (1_usize << measures.len()) - 1;
    let as_given = rows
        .iter()
        .position(|(row, _)| row.role == R::Parts && row.mask == full)
        .unwrap_or(0);
    let ready = Ready::new(&plans, weather)?;
    let mut best = ready.each_season(&plans, Detail::Days, |_, season| Outcome::of(&season))?;
    let of_plan: Vec<usize> = best[as_given].iter().map(|o| o.swim_days).collect();
    let year = middle_of(&of_plan);
    let drawn = drawn(&rows, &ready, weather.len(), ranges)?;
    let told = |at: usize| -> Drawn { drawn.of(at, &best[at][year]) };

    let values: Vec<Drawn> = (0..rows.len()).map(told).collect();
    let kwh_per_k = probe(plan, &ready, year, &best[0][year])?;
    let gifts = gifts(
        scenario, &measures, &rows, &values, kwh_per_k, as_given, &best, year,
    );
    let lead = lead(measures.len(), &values, &gifts);
    let steps = steps(&measures, &rows, &values, &gifts);
    let rest = rest(&steps, &values, &gifts, as_given);
    let together = difference(&values[as_given], &values[0], |d| d.days);
    let heat_kwh: f64 = best[as_given][year].heaters_kwh.iter().map(|h| h.1).sum();
    let has_heaters = !plan.heaters.is_empty();
    let same_heat = if has_heaters && heat_kwh > 0.0 {
        same_heat(plan, heat_kwh)
    } else {
        Vec::new()
    };
    let area = if has_heaters {
        Some(curve(plan, &ready, year, step_m2)?)
    } else {
        None
    };
    let bare_put_in_m3 = best[0][year].put_in_m3;
    let mut choices = Vec::new();
    for (at, (row, changed)) in rows.into_iter().enumerate() {
        let outcome = best[at].swap_remove(year);
        let costs = row.costs(scenario, &changed, &outcome);
        let swim_days = Estimate::of(&values[at], |d| d.days);
        choices.push(Choice {
            swim_days: widened(swim_days, &outcome, weather[year]),
            has_range: values[at].has_draws(),
            gained: difference(&values[at], &values[0], |d| d.days),
            water_saved_m3: bare_put_in_m3 - outcome.put_in_m3,
            costs,
            outcome,
            row,
        });
    }
    Ok(Comparison {
        choices,
        plan: as_given,
        gifts,
        steps,
        rest,
        together,
        lead,
        area,
        same_heat,
        kwh_per_k,
        year,
        drawn: drawn.seasons,
        method: method(weather.len(), drawn.draws),
    })
}

/// With the further error of a year made from monthly normals, where it is one.
fn widened(days: Estimate, outcome: &Outcome, weather: &WeatherYear) -> Estimate {
    let Some(known) = weather.normals else {
        return days;
    };
    let further = half_width(normals_error(known).swim_days_sd);
    #[allow(clippy::cast_precision_loss, reason = "days of a year")]
    let most = (outcome.open_days as f64).max(days.high);
    let end = |distance: f64| distance.hypot(further).round();
    Estimate {
        value: days.value,
        low: (days.value - end(days.value - days.low)).max(0.0),
        high: (days.value + end(days.high - days.value)).min(most),
    }
}

fn method(years: usize, draws: usize) -> String {
    let of_years = if years == 1 {
        "one weather year, so not the spread from year to year".to_owned()
    } else {
        format!("{years} weather years, so their spread too")
    };
    format!(
        "10 % to 90 % of {} seasons: {draws} draws of {OF_WHAT}, the same for every choice, in {of_years}; one evaporation model, so not the spread between models; a difference is taken draw by draw",
        draws * years
    )
}

/// What the draws gave, row by row.
struct AllDrawn {
    /// Empty for rows without a range.
    of_row: Vec<Vec<estimate::Few>>,
    draws: usize,
    seasons: usize,
}

impl AllDrawn {
    fn of(&self, row: usize, best: &Outcome) -> Drawn {
        Drawn::new(best.few(), self.of_row[row].clone())
    }
}

/// The draws of all rows that people read, as many as can be afforded.
///
/// Like parts make like plans (one board or the other of two): their seasons are the same and are run once.
fn drawn(
    rows: &[(Row, Plan)],
    ready: &Ready,
    years: usize,
    ranges: Ranges,
) -> Result<AllDrawn, SeasonError> {
    let affordable = |rows: usize| DRAWN_SEASONS / (rows * years).max(1);
    let every = ranges == Ranges::Every && affordable(rows.len()) >= DRAWS;
    let told: Vec<usize> = (0..rows.len())
        .filter(|at| every || rows[*at].0.is_read())
        .collect();
    let count = affordable(told.len()).clamp(FEWEST_DRAWS, DRAWS);
    let draws: Vec<Draw> = draws(count);
    let of_told: Vec<&Plan> = told.iter().map(|at| &rows[*at].1).collect();
    let alike = Alike::of(&of_told);
    let plans: Vec<Plan> = alike
        .first
        .iter()
        .flat_map(|at| draws.iter().map(|draw| with_draw(of_told[*at], draw)))
        .collect();
    let found = ready.each_season(&plans, Detail::Days, |_, season| Outcome::of(&season).few())?;
    let chunks: Vec<&[Vec<estimate::Few>]> = found.chunks(count).collect();
    let mut of_row = vec![Vec::new(); rows.len()];
    for (at, kind) in told.iter().zip(&alike.kind) {
        of_row[*at] = chunks[*kind].iter().flatten().copied().collect();
    }
    Ok(AllDrawn {
        of_row,
        draws: count,
        seasons: count * years,
    })
}

/// What it takes to hold the bare pool 1 K warmer while it is open, kWh: found by warming it a little with constant heat.
fn probe(
    plan: &Plan,
    ready: &Ready,
    year: usize,
    bare: &Outcome,
) -> Result<Option<f64>, SeasonError> {
    let mut warmed = with_only(plan, &[], 0);
    warmed.other_heater = Some(OtherHeaterPlan {
        kind: OtherHeaterKind::Electric,
        heat_w: PROBE_W_M2 * plan.pool.area_m2,
        efficiency: 1.0,
        setpoint_c: PROBE_SETPOINT_C,
        months: [true; 12],
    });
    let found = ready.in_year(year, &[warmed], Detail::Days, |season| Outcome::of(&season))?;
    Ok(found.first().and_then(|warm| {
        let rise_k = warm.water_mean_c? - bare.water_mean_c?;
        (rise_k > 0.0).then(|| warm.heat_open_kwh.other_heater / rise_k)
    }))
}

/// What each part gives; behind the parts, what anyone can do.
#[allow(
    clippy::too_many_arguments,
    reason = "one place puts the pieces together"
)]
fn gifts(
    scenario: &Scenario,
    measures: &[Measure],
    rows: &[(Row, Plan)],
    values: &[Drawn],
    kwh_per_k: Option<f64>,
    as_given: usize,
    best: &[Vec<Outcome>],
    year: usize,
) -> Vec<Gift> {
    let players = measures.len();
    let scale = kwh_per_k.unwrap_or(0.0);
    // Rows of the parts stand in the order of their masks.
    let game: Vec<&Drawn> = values.iter().take(1 << players).collect();
    let share = |worth: fn(&estimate::Few) -> f64| -> Vec<Estimate> {
        estimate::each(&game, worth, |worth| shares(players, worth))
    };
    let (days, warmth) = (share(|d| d.days), share(|d| d.mean_c));
    let too_hot = |with: usize, without: usize| {
        let of = |at: usize| i64::try_from(best[at][year].too_hot_days).unwrap_or(0);
        of(with) - of(without)
    };
    let mut all: Vec<Gift> = Vec::new();
    for (i, measure) in measures.iter().enumerate() {
        let (single, but) = (1 << i, as_given & !(1 << i));
        let alone_plan = &rows[single].1;
        all.push(Gift {
            name: measure.name.clone(),
            bit: Some(i),
            days_alone: difference(&values[single], &values[0], |d| d.days),
            days_last: difference(&values[as_given], &values[but], |d| d.days),
            days_fair_share: Some(days[i]),
            too_hot_last: too_hot(as_given, but),
            heat_alone_kwh: difference(&values[single], &values[0], |d| d.mean_c).times(scale),
            heat_last_kwh: difference(&values[as_given], &values[but], |d| d.mean_c).times(scale),
            heat_fair_share_kwh: Some(warmth[i].times(scale)),
            costs: costs(
                alone_plan,
                &scenario.plan,
                &scenario.lives,
                &best[single][year],
            ),
        });
    }
    let row_of = |role: Role, mask: usize| {
        rows.iter()
            .position(|(row, _)| row.role == role && row.mask == mask)
    };
    for role in [R::Windbreak, R::Cooler] {
        let (Some(single), Some(on_top)) = (row_of(role, 0), row_of(role, as_given)) else {
            continue;
        };
        all.push(Gift {
            name: rows[single].0.name.clone(),
            bit: None,
            days_alone: difference(&values[single], &values[0], |d| d.days),
            days_last: difference(&values[on_top], &values[as_given], |d| d.days),
            days_fair_share: None,
            too_hot_last: too_hot(on_top, as_given),
            heat_alone_kwh: difference(&values[single], &values[0], |d| d.mean_c).times(scale),
            heat_last_kwh: difference(&values[on_top], &values[as_given], |d| d.mean_c)
                .times(scale),
            heat_fair_share_kwh: None,
            costs: rows[single]
                .0
                .costs(scenario, &rows[single].1, &best[single][year]),
        });
    }
    if let Some(night) = row_of(R::NightCover, as_given) {
        let single = row_of(R::NightCover, 0).unwrap_or(night);
        all.push(Gift {
            name: BY_NIGHT.into(),
            bit: None,
            days_alone: difference(&values[single], &values[0], |d| d.days),
            days_last: difference(&values[night], &values[as_given], |d| d.days),
            days_fair_share: None,
            too_hot_last: too_hot(night, as_given),
            heat_alone_kwh: difference(&values[single], &values[0], |d| d.mean_c).times(scale),
            heat_last_kwh: difference(&values[night], &values[as_given], |d| d.mean_c).times(scale),
            heat_fair_share_kwh: None,
            costs: rows[night]
                .0
                .costs(scenario, &rows[night].1, &best[night][year]),
        });
    }
    all
}

/// By how much the largest fair share leads the next one.
fn lead(players: usize, values: &[Drawn], gifts: &[Gift]) -> Option<Estimate> {
    let mut order: Vec<usize> = (0..players).collect();
    let share = |i: &usize| gifts[*i].days_fair_share.map_or(0.0, |s| s.value);
    order.sort_by(|a, b| share(b).total_cmp(&share(a)));
    let [first, second, ..] = order.as_slice() else {
        return None;
    };
    let game: Vec<&Drawn> = values.iter().take(1 << players).collect();
    let of = |worth: &[f64]| {
        let shares = shares(players, worth);
        vec![shares[*first] - shares[*second]]
    };
    estimate::each(&game, |d| d.days, of).first().copied()
}

/// The parts in the order in which to do them: always the one that adds most to those before it; of two that do not clearly
/// differ, the one that costs less a year, where both costs are known.
fn steps(
    measures: &[Measure],
    rows: &[(Row, Plan)],
    values: &[Drawn],
    gifts: &[Gift],
) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    let mut done = 0_usize;
    debug_assert!(
        rows.len() >= 1 << measures.len(),
        "a row for each combination"
    );
    while steps.len() < measures.len() {
        let left = (0..measures.len()).filter(|i| done >> i & 1 == 0);
        let better = |a: usize, b: usize| {
            let by = difference(&values[done | 1 << a], &values[done | 1 << b], |d| d.days);
            let yearly =
                |i: usize| Some(gifts[i].costs.build_per_year? + gifts[i].costs.running_per_year?);
            match (by.is_clear(), yearly(a), yearly(b)) {
                (false, Some(cost_a), Some(cost_b)) => cost_a < cost_b,
                _ => by.value > 0.0,
            }
        };
        let Some(next) = left.reduce(|a, b| if better(b, a) { b } else { a }) else {
            break;
        };
        steps.push(Step {
            gift: next,
            gain: difference(&values[done | 1 << next], &values[done], |d| d.days),
        });
        done |= 1 << next;
    }
    steps
}

/// What several parts, none of which adds clearly by itself, add together to those before them.
fn rest(steps: &[Step], values: &[Drawn], gifts: &[Gift], full: usize) -> Option<Estimate> {
    let first = steps.iter().position(|s| !s.gain.is_gain())?;
    if steps.len() - first < 2 {
        return None;
    }
    let done = steps[..first]
        .iter()
        .filter_map(|s| gifts[s.gift].bit)
        .fold(0, |mask, bit| mask | 1 << bit);
    Some(difference(&values[full], &values[done], |d| d.days))
}

/// Days against area in one year, and where it is enough with its range.
fn curve(plan: &Plan, ready: &Ready, year: usize, step_m2: f64) -> Result<AreaCurve, SeasonError> {
    let areas = areas_m2(plan);
    let tried = area::plans(plan, &areas);
    let days_of = |plans: &[Plan]| {
        ready.in_year(year, plans, Detail::Days, |season| {
            Outcome::of(&season).few().days
        })
    };
    let best = days_of(&tried.concat())?;
    let draws = draws(AREA_DRAWS);
    let drawn_plans: Vec<Plan> = draws
        .iter()
        .flat_map(|draw| tried.iter().flatten().map(|plan| with_draw(plan, draw)))
        .collect();
    let drawn = days_of(&drawn_plans)?;
    let n = areas.len();
    let end = areas.last().copied().unwrap_or(0.0);
    let enough = |days: &[f64]| enough_m2(&areas, days, step_m2);
    let range = |covered: usize| {
        let found: Vec<f64> = drawn
            .chunks(2 * n)
            .map(|days| enough(&days[covered * n..(covered + 1) * n]).unwrap_or(f64::INFINITY))
            .collect();
        let middle = enough(&best[covered * n..(covered + 1) * n]).unwrap_or(f64::INFINITY);
        let range = Estimate::from_draws(middle, found);
        let within = |area: f64| Some(area).filter(|a| *a <= end);
        (within(range.low), within(range.high))
    };
    Ok(AreaCurve {
        bare_days: best[..n].to_vec(),
        covered_days: best[n..].to_vec(),
        cover: plan.cover.as_ref().map_or(CoverKind::Bubble, |c| c.kind),
        cover_is_planned: plan.cover.is_some(),
        planned_m2: heater_area_m2(plan),
        step_m2,
        enough_m2: [enough(&best[..n]), enough(&best[n..])],
        enough_range_m2: [range(0), range(1)],
        areas_m2: areas,
    })
}
