//! The climate table that a weather year would have given.

use chrono::Datelike;

use super::check::MONTHS;
use super::cycle::Cycle;
use super::{Known, Moisture, Normals, Sun};
use crate::error::WeatherError;
use crate::year::WeatherYear;

/// Monthly normals of `year`, with the columns that `known` says; rain when the year has it.
///
/// Maximum and minimum are those of the intervals of each calendar day, local standard time; a thermometer that
/// is read once a day sees a little more.
///
/// # Errors
/// [`WeatherError::Normals`] when a month is missing.
pub fn from_year(year: &WeatherYear, known: Known) -> Result<Normals, WeatherError> {
    let columns = &year.columns;
    let mut max = Mean::default();
    let mut min = Mean::default();
    let mut from = 0;
    while from < year.len() {
        let date = year.start_of(from).date();
        let mut to = from + 1;
        while to < year.len() && year.start_of(to).date() == date {
            to += 1;
        }
        let day = &columns.air_c[from..to];
        max.add(
            date.month0(),
            day.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        );
        min.add(
            date.month0(),
            day.iter().copied().fold(f64::INFINITY, f64::min),
        );
        from = to;
    }
    let mean = |column: &[f64]| {
        let mut mean = Mean::default();
        for (i, &value) in column.iter().enumerate() {
            mean.add(year.start_of(i).month0(), value);
        }
        mean.values()
    };
    if let Some(month) = max.missing() {
        return Err(WeatherError::Normals {
            label: year.place.name.as_str().into(),
            what: "weather".into(),
            found: format!("nothing of {}", MONTHS[month]).into(),
            allowed: "all twelve months".into(),
            todo: "use a whole year".into(),
        });
    }
    Ok(Normals {
        place: year.place.clone(),
        daily_max_c: max.values(),
        daily_min_c: min.values(),
        sun: if known.sun {
            Sun::DailyKwhM2(mean(&columns.ghi_w_m2).map(|w_m2| w_m2 * 24.0 / 1000.0))
        } else {
            Sun::Unknown
        },
        moisture: if known.moisture {
            Moisture::DewPointC(mean(&columns.dew_point_c))
        } else {
            Moisture::Unknown
        },
        wind_m_s: known.wind.then(|| mean(&columns.wind_m_s)),
        rain_mm: columns.rain_mm.as_ref().map(|rain| {
            let per_day = 1440.0 / f64::from(year.interval_minutes);
            let means = mean(rain);
            std::array::from_fn(|m| means[m] * per_day * Cycle::days_of_common_year(m))
        }),
        rain_days: None,
    })
}

#[derive(Default)]
struct Mean {
    sums: [f64; 12],
    counts: [f64; 12],
}

impl Mean {
    fn add(&mut self, month0: u32, value: f64) {
        let month = month0 as usize % 12;
        self.sums[month] += value;
        self.counts[month] += 1.0;
    }

    fn missing(&self) -> Option<usize> {
        self.counts.iter().position(|&count| count < 1.0)
    }

    fn values(&self) -> [f64; 12] {
        std::array::from_fn(|m| self.sums[m] / self.counts[m])
    }
}
