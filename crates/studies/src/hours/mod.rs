//! When to run the pump: the best timer hours for each month, held against a sensor, against running always and against the plan's own.
//!
//! **HoursScore:** swim days; of equal ones heat from the heaters less electricity that heating adds, kWh for kWh (an electric
//! heater would turn the one into the other). Whole hours on the clock on the wall.

mod brings;
mod clock;
mod search;

use swimdays_pump::{Control, DifferentialControl, NightCooling, PumpKind, SensorPlace, Window};
use swimdays_season::{Detail, Plan, Prepared, Season, SeasonError};
use swimdays_weather::WeatherYear;

pub use brings::{Brings, Cooled};
pub use search::HoursScore;

use crate::alike::Alike;
use crate::many::each_prepared;
use crate::range::{DRAWS, draws, tenths, tenths_of, with_draw};
use crate::years::{middle_of, prepared};
use brings::{brings, cooled, open_months};
use clock::{DAY_H, Hours};
use search::{Schedule, Search, on_timer};

/// The search looks at so many years at most: the fewest swim days, the middle, the most.
const YEARS_SEARCHED: usize = 3;

/// Night cooling begins this much below too hot, K (own choice, no source): on reaching it the day would be lost.
const COOL_BELOW_TOO_HOT_K: f64 = 1.0;

/// A sensor's usual set-points where the plan has none: those of a scenario that names none.
const SENSOR: DifferentialControl = DifferentialControl {
    on_k: 4.0,
    off_k: 1.0,
    sensor: SensorPlace::Board,
    least_run_s: 300.0,
    within: None,
};

/// A way of running the pump.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// As the plan says.
    Given,
    /// The best timer with one window a month.
    OneWindow,
    /// The best timer with one window a month within the hours in which the filter runs anyway.
    WithinFilter,
    /// The best timer with up to two windows a month.
    TwoWindows,
    /// A sensor on the tube.
    Sensor,
    /// All day and night.
    Always,
    /// The best timer with one window a month, and running at night to cool a pool that is too hot.
    NightCooling,
}

/// A number and the ends within which it lies four times out of five.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Between {
    /// With the best guess of everything.
    pub value: f64,
    /// 10 % of the draws lie below.
    pub low: f64,
    /// 10 % of the draws lie above.
    pub high: f64,
}

impl Between {
    /// Whether its sign is sure: both ends lie on one side of nothing.
    #[must_use]
    pub fn is_clear(&self) -> bool {
        self.low > 0.0 || self.high < 0.0
    }
}

/// What one way of running the pump gives.
#[derive(Clone, Debug)]
pub struct WayResult {
    /// Which.
    pub way: Way,
    /// How the pump is controlled.
    pub control: Control,
    /// Runs at night to cool above this, °C.
    pub cool_above_c: Option<f64>,
    /// The middle year with the best guess of everything; days only.
    pub season: Season,
    /// Hours in which running cooled the water though nobody asked for that.
    pub cooled: Cooled,
    /// 10 % of the draws have fewer swim days.
    pub swim_days_low: usize,
    /// 10 % of the draws have more.
    pub swim_days_high: usize,
    /// Over all years.
    pub score: HoursScore,
    /// The middle year with the best guess of everything.
    shown: HoursScore,
    /// All draws of all years.
    drawn: Vec<HoursScore>,
}

impl WayResult {
    /// Swim days more than another way gives, draw by draw.
    #[must_use]
    pub fn more_days_than(&self, other: &Self) -> Between {
        self.more_than(other, |score| days(score.swim_days))
    }

    /// Heat of the heaters less the pump's electricity, more than another way gives, draw by draw, kWh.
    #[must_use]
    pub fn more_net_kwh_than(&self, other: &Self) -> Between {
        self.more_than(other, |score| score.net_kwh)
    }

    fn more_than(&self, other: &Self, of: fn(&HoursScore) -> f64) -> Between {
        let value = of(&self.shown) - of(&other.shown);
        let differences = self
            .drawn
            .iter()
            .zip(&other.drawn)
            .map(|(a, b)| of(a) - of(b))
            .collect();
        let (low, high) = tenths_of(differences, value);
        Between { value, low, high }
    }
}

/// The whole answer.
#[derive(Clone, Debug)]
pub struct HoursStudy {
    /// The first is as given.
    pub ways: Vec<WayResult>,
    /// Which of [`Self::ways`] is the best timer with one window a month.
    pub best: usize,
    /// Which of [`Self::ways`] goes on the card: the best timer, or the one within the filter's hours where the swim days that more
    /// hours would bring are no clear gain.
    pub card: usize,
    /// Months in which the pool is open, 0 = January, in the order of the run.
    pub months: Vec<usize>,
    /// What running brings while the pump otherwise keeps to the card's hours.
    pub brings: Brings,
    /// Which weather year the season of each way is of.
    pub middle: usize,
    /// Draws behind each range, all years together.
    pub draws: usize,
}

impl HoursStudy {
    /// Hours on the card, by month.
    #[must_use]
    pub fn card_windows(&self) -> [Vec<Window>; 12] {
        windows_of(&self.ways[self.card].control)
    }
}

/// Hours in which a control may run the pump, by month.
#[must_use]
pub fn windows_of(control: &Control) -> [Vec<Window>; 12] {
    let all = || std::array::from_fn(|_| vec![Window::ALWAYS]);
    match control {
        Control::Never => std::array::from_fn(|_| Vec::new()),
        Control::Always => all(),
        Control::Timer(windows) => windows.clone(),
        Control::Differential(d) => d.within.clone().unwrap_or_else(all),
    }
}

/// Finds when to run the pump of `plan`, which must have a heater.
///
/// Deterministic for any number of threads. The best timer is never worse than the plan's own hours or than always, by [`HoursScore`] over all years.
///
/// # Errors
/// As [`swimdays_season::run()`]; [`SeasonError::EmptyWeather`] without any year; [`SeasonError::HeaterWithoutPump`] without pump.
pub fn hours(plan: &Plan, weather: &[&WeatherYear]) -> Result<HoursStudy, SeasonError> {
    if weather.is_empty() {
        return Err(SeasonError::EmptyWeather);
    }
    let Some(pump) = &plan.pump else {
        return Err(SeasonError::HeaterWithoutPump);
    };
    let years = prepared(plan, weather)?;
    let given = each_prepared(std::slice::from_ref(plan), &years, Detail::Days, |_, s| s)?
        .pop()
        .unwrap_or_default();
    let days: Vec<usize> = given.iter().map(|season| season.swim_days).collect();
    let middle = middle_of(&days);
    let months = open_months(&given[middle]);
    let searched = searched(&years, &days);
    let too_hot = given.iter().any(|season| season.too_hot_days > 0);
    let found = timers(plan, &searched, &months, too_hot)?;

    let mut ways: Vec<(Way, Plan)> = vec![(Way::Given, plan.clone())];
    ways.push((Way::OneWindow, on_timer(plan, &found.one)));
    if let Some(within) = &found.within_filter {
        ways.push((Way::WithinFilter, on_timer(plan, within)));
    }
    if let Some(two) = &found.two {
        ways.push((Way::TwoWindows, on_timer(plan, two)));
    }
    let controlled = |control: Control| {
        let mut plan = plan.clone();
        if let Some(pump) = &mut plan.pump {
            pump.control = control;
        }
        plan
    };
    if !matches!(&pump.control, Control::Differential(_)) {
        ways.push((Way::Sensor, controlled(Control::Differential(SENSOR))));
    }
    if pump.control != Control::Always {
        ways.push((Way::Always, controlled(Control::Always)));
    }
    if too_hot && pump.limits.night_cooling.is_none() {
        let mut cooling = on_timer(plan, &found.one);
        if let Some(pump) = &mut cooling.pump {
            pump.limits.night_cooling = Some(NightCooling {
                above_water_c: plan.swim.too_hot_c - COOL_BELOW_TOO_HOT_K,
            });
        }
        ways.push((Way::NightCooling, cooling));
    }
    let mut ways = results(&ways, &years, middle)?;
    let best = settle(&mut ways);
    let card = ways
        .iter()
        .position(|w| w.way == Way::WithinFilter)
        .filter(|&within| {
            let surely_more = ways[best].more_days_than(&ways[within]).low > 0.0;
            !surely_more
        })
        .unwrap_or(best);
    let schedule = windows_of(&ways[card].control).map(|windows| Hours::nearest(&windows));
    Ok(HoursStudy {
        brings: brings(plan, &years[middle..=middle], &schedule)?,
        best,
        card,
        ways,
        months,
        middle,
        draws: DRAWS * years.len(),
    })
}

/// Which of the ways is the best timer; where the plan's own timer, or always, scores more than what was found, it is that.
fn settle(ways: &mut [WayResult]) -> usize {
    let best = ways
        .iter()
        .position(|w| w.way == Way::OneWindow)
        .unwrap_or(0);
    let simple = |w: &WayResult| match &w.control {
        Control::Always => true,
        Control::Timer(months) => months.iter().all(|windows| windows.len() <= 1),
        _ => false,
    };
    let mut from = best;
    for (at, way) in ways.iter().enumerate() {
        let fits = matches!(way.way, Way::Given | Way::Always | Way::WithinFilter) && simple(way);
        if fits && way.score.order(&ways[from].score).is_gt() {
            from = at;
        }
    }
    if from != best {
        let better = ways[from].clone();
        ways[best] = WayResult {
            way: Way::OneWindow,
            control: match better.control {
                Control::Always => Control::Timer(windows_of(&Control::Always)),
                other => other,
            },
            ..better
        };
    }
    best
}

/// The years that the search looks at.
fn searched(years: &[Prepared], days: &[usize]) -> Vec<Prepared> {
    if years.len() <= YEARS_SEARCHED {
        return years.to_vec();
    }
    let mut order: Vec<usize> = (0..years.len()).collect();
    order.sort_by_key(|&year| days[year]);
    [0, (order.len() - 1) / 2, order.len() - 1]
        .into_iter()
        .map(|at| years[order[at]].clone())
        .collect()
}

/// Timer hours found.
struct Timers {
    one: Schedule,
    within_filter: Option<Schedule>,
    two: Option<Schedule>,
}

fn timers(
    plan: &Plan,
    years: &[Prepared],
    months: &[usize],
    too_hot: bool,
) -> Result<Timers, SeasonError> {
    let Some(pump) = &plan.pump else {
        return Err(SeasonError::HeaterWithoutPump);
    };
    let own: Schedule = windows_of(&pump.control).map(|windows| Hours::nearest(&windows));
    let filter: Schedule = match &pump.pump.kind {
        PumpKind::Filter { hours, .. } => std::array::from_fn(|m| Hours::within(&hours[m])),
        PumpKind::Own { .. } => [Hours::NONE; 12],
    };
    // What electricity an hour of running adds, kW.
    let power_kw =
        |month: usize, hour: u32| pump.pump.heating_power_w(filter[month].has(hour)) / 1000.0;
    let map = brings(plan, years, &[Hours::run(9, 8); 12])?;
    let by_map = |share: f64| -> Schedule {
        std::array::from_fn(|month| {
            let row = &map[month];
            let most = row.iter().copied().fold(0.0, f64::max);
            (0..DAY_H)
                .zip(row)
                .filter(|(hour, heat)| **heat > (share * most).max(power_kw(month, *hour)))
                .fold(Hours::NONE, |hours, (hour, _)| hours.with(hour))
        })
    };
    let starts = [
        by_map(0.0),
        by_map(0.2),
        own,
        [Hours::run(9, 8); 12],
        [Hours::ALL; 12],
    ];
    // At night a second window takes heat from the water, which is wanted only where it gets too hot.
    let bringing = if too_hot {
        [Hours::ALL; 12]
    } else {
        std::array::from_fn(|month| {
            (0..DAY_H)
                .zip(&map[month])
                .filter(|(_, heat)| **heat > 0.0)
                .fold(Hours::NONE, |hours, (hour, _)| hours.with(hour))
        })
    };
    let search = Search {
        plan,
        years,
        months,
        allowed: [Hours::ALL; 12],
        bringing,
    };
    let (one, score) = search.one_window(&starts)?;
    let (two, two_score) = search.two_windows(one, score)?;
    let outside = months
        .iter()
        .any(|&month| !one[month].without(filter[month]).is_none());
    let within_filter = if outside && filter.iter().any(|hours| !hours.is_none()) {
        let search = Search {
            allowed: filter,
            ..search
        };
        Some(search.one_window(&starts)?.0)
    } else {
        None
    };
    Ok(Timers {
        one,
        within_filter,
        two: two_score.order(&score).is_gt().then_some(two),
    })
}

/// Each way through each year, with the best guess of everything and with the draws.
fn results(
    ways: &[(Way, Plan)],
    years: &[Prepared],
    middle: usize,
) -> Result<Vec<WayResult>, SeasonError> {
    let draws = draws(DRAWS);
    // Two ways may come to the same hours.
    let alike = Alike::of(&ways.iter().map(|(_, plan)| plan).collect::<Vec<_>>());
    let plans: Vec<Plan> = alike
        .first
        .iter()
        .map(|at| &ways[*at].1)
        .flat_map(|plan| {
            std::iter::once(plan.clone()).chain(draws.iter().map(|draw| with_draw(plan, draw)))
        })
        .collect();
    let scores = each_prepared(&plans, years, Detail::Days, |_, season| {
        HoursScore::of(&season)
    })?;
    let of_kind: Vec<&[Vec<HoursScore>]> = scores.chunks(draws.len() + 1).collect();
    let of_way: Vec<&[Vec<HoursScore>]> = alike.kind.iter().map(|kind| of_kind[*kind]).collect();
    let best_plans: Vec<Plan> = ways.iter().map(|(_, plan)| plan.clone()).collect();
    let shown = std::slice::from_ref(&years[middle]);
    let seasons = each_prepared(&best_plans, shown, Detail::Full, |place, mut season| {
        let cooled = cooled(&best_plans[place.plan], &season, &shown[place.year]);
        season.hourly = None;
        (season, cooled)
    })?;
    let mut out = Vec::new();
    for (at, ((way, plan), season)) in ways.iter().zip(seasons).enumerate() {
        let Some((season, cooled)) = season.into_iter().next() else {
            return Err(SeasonError::EmptyWeather);
        };
        // The first is the best guess of everything, the others are the draws.
        let shown = of_way[at][0][middle];
        let drawn: Vec<HoursScore> = of_way[at][1..].iter().flatten().copied().collect();
        let (low, high) = tenths(drawn.iter().map(|s| s.swim_days).collect(), shown.swim_days);
        out.push(WayResult {
            way: *way,
            control: plan
                .pump
                .as_ref()
                .map_or(Control::Never, |pump| pump.control.clone()),
            cool_above_c: plan
                .pump
                .as_ref()
                .and_then(|pump| pump.limits.night_cooling)
                .map(|night| night.above_water_c),
            season,
            cooled,
            swim_days_low: low,
            swim_days_high: high,
            score: HoursScore::sum(&of_way[at][0]),
            shown,
            drawn,
        });
    }
    Ok(out)
}

/// A number of days.
#[allow(clippy::cast_precision_loss, reason = "days of a few years")]
fn days(n: usize) -> f64 {
    n as f64
}
