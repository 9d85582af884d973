//! One pool through several weather years: the middle, and the range over years and uncertain inputs together.

use rayon::prelude::*;
use swimdays_season::{Detail, Plan, Prepared, Season, SeasonError};
use swimdays_weather::{Verdict, WeatherYear};

use crate::many::through_years;
use crate::range::{DRAWS, DayRange, OF_WHAT, draws, tenths, with_draw};

/// Standard deviations between the middle and the point that one value in ten lies beyond, of a normal distribution.
///
/// Source: table of the standard normal distribution, Φ(1.2816) = 0.9000.
const TENTH_SD: f64 = 1.281_6;

/// One weather year's answer.
#[derive(Clone, Debug)]
pub struct YearDays {
    /// With the best guess of everything; days only.
    pub season: Season,
    /// 10 % of the draws in this year have fewer swim days.
    pub low: usize,
    /// 10 % of the draws in this year have more.
    pub high: usize,
}

/// The answer over all years.
#[derive(Clone, Debug)]
pub struct YearsDays {
    /// In the order of the weather.
    pub years: Vec<YearDays>,
    /// Which of them is the middle one.
    pub middle: usize,
    /// Over years and draws together.
    pub range: DayRange,
}

/// Which of these is in the middle: the lower one of the two middle ones of an even number, the first of equal ones.
#[must_use]
pub fn middle_of(days: &[usize]) -> usize {
    let mut order: Vec<usize> = (0..days.len()).collect();
    order.sort_by_key(|i| days[*i]);
    let middle = order
        .get(days.len().saturating_sub(1) / 2)
        .map_or(0, |i| days[*i]);
    days.iter().position(|d| *d == middle).unwrap_or(0)
}

/// How far each weather year can be trusted, in their order.
#[must_use]
pub fn verdicts(weather: &[&WeatherYear]) -> Vec<Verdict> {
    weather.par_iter().map(|year| year.verdict()).collect()
}

/// Each weather year made ready for `plan`.
///
/// # Errors
/// As [`Prepared::new`].
pub fn prepared(plan: &Plan, weather: &[&WeatherYear]) -> Result<Vec<Prepared>, SeasonError> {
    weather
        .par_iter()
        .map(|year| Prepared::new(plan, year))
        .collect()
}

/// Steps `plan` through each year, with the best guess and with the same [`DRAWS`] draws each, and pools all draws.
///
/// The range does not depend on the order of the years. With one year it is that of what is uncertain in the pool alone.
///
/// # Errors
/// As [`swimdays_season::run`]; [`SeasonError::EmptyWeather`] without any year.
pub fn days_over_years(plan: &Plan, years: &[Prepared]) -> Result<YearsDays, SeasonError> {
    if years.is_empty() {
        return Err(SeasonError::EmptyWeather);
    }
    let drawn_plans: Vec<Plan> = draws(DRAWS).iter().map(|d| with_draw(plan, d)).collect();
    let seasons = through_years(&[plan], years, Detail::Days, |season| season)?;
    let plans: Vec<&Plan> = drawn_plans.iter().collect();
    let drawn = through_years(&plans, years, Detail::Days, |season| season.swim_days)?;
    let best: Vec<usize> = seasons.iter().map(|season| season.swim_days).collect();
    let middle = middle_of(&best);
    let years: Vec<YearDays> = seasons
        .into_iter()
        .zip(drawn.chunks(plans.len()))
        .map(|(season, drawn)| {
            let (low, high) = tenths(drawn.to_vec(), season.swim_days);
            YearDays { season, low, high }
        })
        .collect();
    let pooled = drawn.len();
    let (low, high) = tenths(drawn, best[middle]);
    Ok(YearsDays {
        range: DayRange {
            low,
            high,
            draws: pooled,
            method: method(years.len(), pooled),
        },
        years,
        middle,
    })
}

/// How the range was found, in a sentence.
fn method(years: usize, seasons: usize) -> String {
    if years == 1 {
        return format!(
            "10 % to 90 % of {seasons} seasons with {OF_WHAT} drawn from their stated ranges; one weather year, so not the spread from year to year, and one evaporation model, so not the spread between models"
        );
    }
    format!(
        "10 % to 90 % of {seasons} seasons: {years} weather years, in each the same {DRAWS} draws of {OF_WHAT} from their stated ranges; it holds the spread of these years, and one evaporation model, so not the spread between models"
    )
}

impl DayRange {
    /// This range with a further, independent error of the weather put on it, as for years made from monthly normals.
    ///
    /// `e² = (e_range)² + (1.28 s)²` for the distance `e` from the middle to each end, and `s` the standard deviation of the
    /// further error, days: variances of independent errors add. Where the range holds several made years, their luck is counted
    /// twice, so that it is rather too wide. No end lies below 0 or above `most`.
    #[must_use]
    pub fn widened(self, middle: usize, sd_days: f64, most: usize) -> Self {
        let further = half_width(sd_days);
        #[allow(clippy::cast_precision_loss, reason = "days of a year")]
        let end = |distance: usize| rounded((distance as f64).hypot(further));
        Self {
            low: middle.saturating_sub(end(middle.saturating_sub(self.low))),
            high: (middle + end(self.high.saturating_sub(middle))).min(most.max(self.high)),
            draws: self.draws,
            method: format!(
                "{}; widened by ± {further:.0} days, as far as seasons from years made of such normals lay off those of the real years",
                self.method
            ),
        }
    }
}

/// Days either way that four of five such errors stay within.
pub(crate) fn half_width(sd_days: f64) -> f64 {
    TENTH_SD * sd_days.max(0.0)
}

/// Days either way that four of five errors of that standard deviation stay within, whole.
#[must_use]
pub fn half_width_days(sd_days: f64) -> usize {
    rounded(half_width(sd_days))
}

/// Whole days.
fn rounded(days: f64) -> usize {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "days of a year, not below zero"
    )]
    let whole = days.round() as usize;
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_is_a_year_that_was() {
        assert_eq!(middle_of(&[90]), 0);
        assert_eq!(middle_of(&[80, 100, 90]), 2);
        // Of an even number the lower of the two; of equal ones the first.
        assert_eq!(middle_of(&[100, 80]), 1);
        assert_eq!(middle_of(&[95, 90, 90, 80]), 1);
        assert_eq!(middle_of(&[]), 0);
    }

    fn range(low: usize, high: usize) -> DayRange {
        DayRange {
            low,
            high,
            draws: 48,
            method: "drawn".into(),
        }
    }

    #[test]
    fn independent_errors_add_in_quadrature() {
        // By hand: an error of 12 days (12/1.2816 as standard deviation) and 5 or 9 days: 13 and 15.
        let wide = range(95, 109).widened(100, 12.0 / TENTH_SD, 365);
        assert_eq!((wide.low, wide.high), (87, 115));
        assert!(wide.method.contains("± 12 days"), "{}", wide.method);
        let same = range(95, 109).widened(100, 0.0, 365);
        assert_eq!((same.low, same.high), (95, 109));
        // No fewer than none, no more than there are.
        let ends = range(1, 150).widened(3, 40.0, 153);
        assert_eq!((ends.low, ends.high), (0, 153));
    }
}
