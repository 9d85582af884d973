//! Several weather years: what each gave, and how that is told.

use serde::Serialize;
use swimdays_weather::normals::Known;

use crate::lines::{TIE, shortened, tied};
use crate::over_years::YearResults;
use crate::summary::Summary;
use crate::words::count;

/// Years that are named one by one; of more the spread is told.
const NAMED_YEARS: usize = 6;

/// One weather year's own answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WeatherYearDays {
    /// The file's name, or which of the made years it is.
    pub label: String,
    /// Name of the place as the file has it.
    pub place: String,
    /// `typical` or `measured`.
    pub kind: &'static str,
    /// Days on which one can swim.
    pub swim_days: usize,
    /// One in ten draws in this year has fewer.
    pub swim_days_low: usize,
    /// One in ten draws in this year has more.
    pub swim_days_high: usize,
    /// Days on which it is too hot.
    pub too_hot_days: usize,
    /// ISO date.
    pub first_swim_day: Option<String>,
    /// ISO date.
    pub last_swim_day: Option<String>,
    /// Whether all else in the summary, the charts and the hourly table are of this year.
    pub shown: bool,
    /// What else it gave.
    #[serde(flatten)]
    pub results: YearResults,
}

/// What a result from monthly normals says of itself.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NormalsSummary {
    /// Columns that the climate table did not have: they were estimated.
    pub without: Vec<&'static str>,
    /// Days either way that four of five such results stay within, at the least: it was measured on climates that the generator's
    /// scatter was read off; `null` where it was not measured.
    pub swim_days_error: Option<usize>,
}

impl NormalsSummary {
    /// From what was known, and the error that was measured for it.
    #[must_use]
    pub fn new(known: Known, swim_days_error: Option<usize>) -> Self {
        let columns = [
            (known.sun, "sums of sun"),
            (known.moisture, "dew point"),
            (known.wind, "wind"),
        ];
        Self {
            without: columns
                .into_iter()
                .filter(|(is_known, _)| !is_known)
                .map(|(_, name)| name)
                .collect(),
            swim_days_error,
        }
    }

    /// A sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let without = match self.without.as_slice() {
            [] => String::new(),
            [one] => format!(" without {one}"),
            [most @ .., last] => format!(" without {} and {last}", most.join(", ")),
        };
        let sure = match self.swim_days_error {
            Some(days) => format!(
                "that alone makes it uncertain by at least ±\u{a0}{}",
                tied(&count(days, "day"))
            ),
            None => "how far that may be off was not measured".to_owned(),
        };
        format!("Made from monthly normals{without}: {sure}.")
    }
}

/// Year by year when they are few, their spread when they are many; nothing for one.
pub(crate) fn years_sentence(s: &Summary) -> String {
    let years = &s.weather_years;
    if years.len() < 2 {
        return String::new();
    }
    let label = |y: &WeatherYearDays| shortened(&y.label, 28);
    let shown = years
        .iter()
        .find(|y| y.shown)
        .map_or_else(String::new, |y| {
            format!(" Months, heat and charts are of {}.", label(y))
        });
    if years.len() <= NAMED_YEARS {
        let each: Vec<String> = years
            .iter()
            .map(|y| format!("{}{TIE}({})", y.swim_days, label(y)))
            .collect();
        return format!("Year by year: {}.{shown}", each.join(", "));
    }
    let mut sorted: Vec<&WeatherYearDays> = years.iter().collect();
    sorted.sort_by_key(|y| y.swim_days);
    let quarter = sorted.len() / 4;
    let spread = match sorted.as_slice() {
        [fewest, .., most] => format!(
            "{} ({}) to {} ({}), half of them {} to {}",
            fewest.swim_days,
            label(fewest),
            most.swim_days,
            label(most),
            sorted[quarter].swim_days,
            sorted[sorted.len() - 1 - quarter].swim_days
        ),
        _ => String::new(),
    };
    format!(
        "Swim days over {}: {spread}.{shown}",
        count(years.len(), "year")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_not_known_is_named() {
        let known = |sun, moisture, wind| Known {
            sun,
            moisture,
            wind,
        };
        for (known, error, wanted) in [
            (
                known(true, false, false),
                Some(12),
                "Made from monthly normals without dew point and wind: that alone makes it uncertain by at least ± 12 days.",
            ),
            (
                known(false, false, false),
                Some(1),
                "Made from monthly normals without sums of sun, dew point and wind: that alone makes it uncertain by at least ± 1 day.",
            ),
            (
                known(true, true, true),
                Some(8),
                "Made from monthly normals: that alone makes it uncertain by at least ± 8 days.",
            ),
            (
                known(true, true, false),
                None,
                "Made from monthly normals without wind: how far that may be off was not measured.",
            ),
        ] {
            let told = NormalsSummary::new(known, error).sentence();
            assert_eq!(told.replace('\u{a0}', " "), wanted);
        }
    }
}
