//! The middle and the range over several weather years of everything but swim days, which have their own.

use chrono::{Datelike, NaiveDate};
use serde::Serialize;
use swimdays_quantity::Kind;
use swimdays_season::{Plan, Season};

use crate::Units;
use crate::lines::{TIE, kwh, money, temperature, tied};
use crate::summary::{EnergySummary, Span, Summary, open_heat, other_heater_cost, pump_cost};
use crate::words::{MONTHS, half, rough, whole};
use crate::years::WeatherYearDays;

/// Years from which the ends are those of the middle four fifths; of fewer they are the least and the greatest.
const YEARS_FOR_TENTHS: usize = 10;

/// What one year's season gave beside its swim days.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct YearResults {
    /// Water while the pool is open; `null` when it never is.
    pub water_open_c: Option<Span>,
    /// Heat by cause over the days on which the pool is open.
    pub energy_open_kwh: EnergySummary,
    /// Hours of pumping through the heaters.
    pub pump_hours: f64,
    /// Electricity that heating adds.
    pub pump_kwh: f64,
    /// What that costs; `null` without a price.
    pub pump_cost: Option<f64>,
    /// Energy bought for the ordinary heater.
    pub other_heater_bought_kwh: f64,
    /// What that costs; `null` without a price or without such a heater.
    pub other_heater_cost: Option<f64>,
    /// Both costs; `null` where a price is missing or nothing is heated.
    pub running_cost: Option<f64>,
    /// Water evaporated, m³ (at 1000 kg/m³).
    pub water_evaporated_m3: f64,
    /// Water put in, m³.
    pub water_make_up_m3: f64,
}

impl YearResults {
    /// From one year's season.
    #[must_use]
    pub fn new(plan: &Plan, season: &Season) -> Self {
        let pump_cost = pump_cost(plan, season);
        let other_heater_cost = other_heater_cost(plan, season);
        let running_cost = match (plan.heaters.is_empty(), plan.other_heater.is_some()) {
            (true, false) => None,
            (true, true) => other_heater_cost,
            (false, false) => pump_cost,
            (false, true) => pump_cost.zip(other_heater_cost).map(|(a, b)| a + b),
        };
        Self {
            water_open_c: water_open(season),
            energy_open_kwh: EnergySummary::from(&open_heat(season)),
            pump_hours: season.pump_hours,
            pump_kwh: season.pump_kwh,
            pump_cost,
            other_heater_bought_kwh: season.other_heater_bought_kwh,
            other_heater_cost,
            running_cost,
            water_evaporated_m3: season.water_book.evaporated_kg / 1000.0,
            water_make_up_m3: season.water_book.make_up_kg / 1000.0,
        }
    }
}

/// Lowest, mean and highest water of the open days; days before a given start have none.
fn water_open(season: &Season) -> Option<Span> {
    let days = || {
        let open = season.days.iter().filter(|d| d.open);
        open.filter(|d| d.water_mean_c.is_finite())
    };
    #[allow(clippy::cast_precision_loss, reason = "days of a year")]
    let count = days().count() as f64;
    (count > 0.0).then(|| Span {
        min: days().map(|d| d.water_min_c).fold(f64::INFINITY, f64::min),
        mean: days().map(|d| d.water_mean_c).sum::<f64>() / count,
        max: days()
            .map(|d| d.water_max_c)
            .fold(f64::NEG_INFINITY, f64::max),
    })
}

/// The middle of several years and the ends between which most of them lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Spread<T = f64> {
    /// Of an even number of years the lower of the two in the middle: a year that was.
    pub middle: T,
    /// Low end.
    pub low: T,
    /// High end.
    pub high: T,
}

impl<T: Clone> Spread<T> {
    /// Of values in rising order; `None` without any.
    fn of_sorted(sorted: &[T]) -> Option<Self> {
        let last = sorted.len().checked_sub(1)?;
        let tail = if sorted.len() >= YEARS_FOR_TENTHS {
            sorted.len() / 10
        } else {
            0
        };
        Some(Self {
            middle: sorted.get(last / 2)?.clone(),
            low: sorted.get(tail)?.clone(),
            high: sorted.get(last - tail)?.clone(),
        })
    }
}

impl Spread {
    fn of(values: impl Iterator<Item = f64>) -> Option<Self> {
        let mut sorted: Vec<f64> = values.collect();
        sorted.sort_by(f64::total_cmp);
        Self::of_sorted(&sorted)
    }
}

/// Everything over several weather years, each with the best guess of what is uncertain in the pool.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OverYears {
    /// How many.
    pub years: usize,
    /// How middle and ends were found.
    pub method: String,
    /// Years without a swim day: they are not in the dates.
    pub years_without_swim_day: usize,
    /// Month and day, earliest first in the swim year, which begins in July in the south.
    pub first_swim_day: Option<Spread<String>>,
    /// Month and day.
    pub last_swim_day: Option<Spread<String>>,
    /// Days on which it is too hot.
    pub too_hot_days: Option<Spread<usize>>,
    /// Water while the pool is open.
    pub water_open_c: Option<Span<Spread>>,
    /// Heat by cause while the pool is open.
    pub energy_open_kwh: EnergySummary<Option<Spread>>,
    /// Hours of pumping through the heaters.
    pub pump_hours: Option<Spread>,
    /// Electricity that heating adds.
    pub pump_kwh: Option<Spread>,
    /// What that costs.
    pub pump_cost: Option<Spread>,
    /// Energy bought for the ordinary heater.
    pub other_heater_bought_kwh: Option<Spread>,
    /// What that costs.
    pub other_heater_cost: Option<Spread>,
    /// Both costs.
    pub running_cost: Option<Spread>,
    /// Water evaporated.
    pub water_evaporated_m3: Option<Spread>,
    /// Water put in.
    pub water_make_up_m3: Option<Spread>,
}

impl OverYears {
    /// `None` for fewer than two years. In the `south` the swim year begins in July.
    #[must_use]
    pub fn new(years: &[WeatherYearDays], south: bool) -> Option<Self> {
        if years.len() < 2 {
            return None;
        }
        // What one year does not have, such as a price, none has.
        let maybe = |value: &dyn Fn(&YearResults) -> Option<f64>| {
            Spread::of(years.iter().filter_map(|y| value(&y.results)))
        };
        let of = |value: fn(&YearResults) -> f64| maybe(&|r| Some(value(r)));
        let water = |value: fn(&Span) -> f64| maybe(&|r| r.water_open_c.as_ref().map(value));
        let mut hot: Vec<usize> = years.iter().map(|y| y.too_hot_days).collect();
        hot.sort_unstable();
        let date = |day: fn(&WeatherYearDays) -> Option<&String>| {
            let days = years.iter().filter_map(day);
            dates(days.filter_map(|d| d.parse().ok()), south)
        };
        let lacking = years.iter().filter(|y| y.first_swim_day.is_none());
        Some(Self {
            years: years.len(),
            method: method(years.len()),
            years_without_swim_day: lacking.count(),
            first_swim_day: date(|y| y.first_swim_day.as_ref()),
            last_swim_day: date(|y| y.last_swim_day.as_ref()),
            too_hot_days: Spread::of_sorted(&hot),
            water_open_c: water(|w| w.min)
                .zip(water(|w| w.mean))
                .zip(water(|w| w.max))
                .map(|((min, mean), max)| Span { min, mean, max }),
            energy_open_kwh: EnergySummary::of_each(|cause| {
                maybe(&|r| Some(cause(&r.energy_open_kwh)))
            }),
            pump_hours: of(|r| r.pump_hours),
            pump_kwh: of(|r| r.pump_kwh),
            pump_cost: maybe(&|r| r.pump_cost),
            other_heater_bought_kwh: of(|r| r.other_heater_bought_kwh),
            other_heater_cost: maybe(&|r| r.other_heater_cost),
            running_cost: maybe(&|r| r.running_cost),
            water_evaporated_m3: of(|r| r.water_evaporated_m3),
            water_make_up_m3: of(|r| r.water_make_up_m3),
        })
    }

    /// The head of a list for the terminal.
    pub(crate) fn head(&self) -> String {
        let ends = if self.years >= YEARS_FOR_TENTHS {
            format!("10{TIE}% to 90{TIE}%")
        } else {
            "least to most".to_owned()
        };
        format!("Middle of the {} years ({ends}):", self.years)
    }

    /// What it lists, the most wanted first: `s` gives units, currency and whether there are heaters.
    pub(crate) fn items(&self, s: &Summary) -> Vec<String> {
        let units = s.shown_in;
        let mut out = Vec::new();
        let mut say = |what: &str, spread: Option<[String; 3]>, more: &str| {
            let Some([middle, low, high]) = spread else {
                return;
            };
            out.push(if low == high {
                format!("{what}{} in {}", tied(&middle), tied("every year"))
            } else {
                format!("{what}{} ({low} to {high}{more})", tied(&middle))
            });
        };
        // Number with its unit, then the bare ends.
        let told =
            |spread: Option<Spread>, with: &dyn Fn(f64) -> String, bare: &dyn Fn(f64) -> String| {
                spread.map(|s| [with(s.middle), bare(s.low), bare(s.high)])
            };
        let days = |spread: &Option<Spread<String>>| {
            let shown = |day: &String| tied(&month_day(day, units));
            let spread = spread.as_ref();
            spread.map(|s| [shown(&s.middle), shown(&s.low), shown(&s.high)])
        };
        let none = match self.years_without_swim_day {
            0 => String::new(),
            n => format!("; none in {n}"),
        };
        say("first swim day ", days(&self.first_swim_day), &none);
        say("last ", days(&self.last_swim_day), "");
        let hot = self.too_hot_days.filter(|hot| hot.high > 0);
        let hot = hot.map(|s| [s.middle, s.low, s.high].map(|n| n.to_string()));
        say("days too hot ", hot, "");
        // As with too-hot days: what was nothing in every year stands in the line of costs below.
        let cost = self.running_cost.filter(|cost| cost.high > 0.0);
        say(
            "running cost ",
            told(cost, &|v| money(v, &s.currency), &whole),
            "",
        );
        say(
            "mean water while open ",
            told(
                self.water_open_c.map(|w| w.mean),
                &|c| temperature(c, units),
                &|c| half(units.temperature_value(c)),
            ),
            "",
        );
        let heaters = self.energy_open_kwh.heaters;
        if !s.heaters.is_empty() {
            say("solar heater ", told(heaters, &kwh, &rough), "");
        }
        let volume = |v: f64| {
            let value = units.value(Kind::Volume, v);
            format!("{}{TIE}{}", rough(value), units.unit(Kind::Volume))
        };
        say(
            "water put in ",
            told(self.water_make_up_m3, &volume, &|v| {
                rough(units.value(Kind::Volume, v))
            }),
            "",
        );
        out
    }
}

/// How middle and ends were found, in a sentence.
fn method(years: usize) -> String {
    let ends = if years >= YEARS_FOR_TENTHS {
        format!("the ends leave out {} at either side", years / 10)
    } else {
        "the ends are the least and the greatest".to_owned()
    };
    format!(
        "each quantity by itself over {years} weather years, each run with the best guess of what is uncertain in the pool, so that this is the spread of the weather alone: the middle is a year's own value (of an even number the lower of the two in the middle), and {ends}"
    )
}

/// Dates of different years by where they stand in the swim year.
fn dates(days: impl Iterator<Item = NaiveDate>, south: bool) -> Option<Spread<String>> {
    let begins = if south { 6 } else { 0 };
    let mut days: Vec<(u32, u32, u32)> = days
        .map(|d| ((d.month0() + 12 - begins) % 12, d.month(), d.day()))
        .collect();
    days.sort_unstable();
    let spread = Spread::of_sorted(&days)?;
    let text = |(_, month, day): (u32, u32, u32)| format!("{month:02}-{day:02}");
    Some(Spread {
        middle: text(spread.middle),
        low: text(spread.low),
        high: text(spread.high),
    })
}

/// `05-14` as `May 14` or `14 May`.
fn month_day(text: &str, units: Units) -> String {
    let day = text.split_once('-').and_then(|(month, day)| {
        let month: usize = month.parse().ok()?;
        let day: u32 = day.parse().ok()?;
        Some((MONTHS.get(month.checked_sub(1)?)?, day))
    });
    match (day, units) {
        (Some((month, day)), Units::Us) => format!("{month} {day}"),
        (Some((month, day)), Units::Metric) => format!("{day} {month}"),
        (None, _) => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_few_years_the_ends_are_the_outermost_and_of_many_one_in_ten_lies_beyond() {
        // By hand: of four the second is the lower one in the middle.
        let of = |n: i32| Spread::of((1..=n).rev().map(f64::from));
        let spread = |middle, low, high| Some(Spread { middle, low, high });
        assert_eq!(of(4), spread(2.0, 1.0, 4.0));
        assert_eq!(of(9), spread(5.0, 1.0, 9.0));
        assert_eq!(of(10), spread(5.0, 2.0, 9.0));
        assert_eq!(of(31), spread(16.0, 4.0, 28.0));
        assert_eq!(of(0), None);
    }

    #[test]
    fn in_the_south_december_is_before_january() {
        let days = ["2003-12-20", "2001-01-05", "2002-11-30"];
        let days = || days.iter().filter_map(|d| d.parse().ok());
        let south = dates(days(), true).map(|s| (s.low, s.middle, s.high));
        let texts = |a: &str, b: &str, c: &str| Some((a.to_owned(), b.to_owned(), c.to_owned()));
        assert_eq!(south, texts("11-30", "12-20", "01-05"));
        let north = dates(days(), false).map(|s| (s.low, s.middle, s.high));
        assert_eq!(north, texts("01-05", "11-30", "12-20"));
    }

    #[test]
    fn a_day_reads_as_where_the_units_are_used() {
        assert_eq!(month_day("05-04", Units::Us), "May 4");
        assert_eq!(month_day("05-04", Units::Metric), "4 May");
    }
}
