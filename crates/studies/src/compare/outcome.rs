//! What a comparison keeps of a season.

use chrono::NaiveDate;
use swimdays_season::{Ledger, Season};

use super::estimate::Few;

/// Litres, and so about kilograms of water, in a m³.
const KG_PER_M3: f64 = 1000.0;

/// One choice in one year.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Days on which one can swim.
    pub swim_days: usize,
    /// Days too hot to swim; never counted among the above.
    pub too_hot_days: usize,
    /// First swim day.
    pub first: Option<NaiveDate>,
    /// Last swim day.
    pub last: Option<NaiveDate>,
    /// Mean water while the pool is open, °C.
    pub water_mean_c: Option<f64>,
    /// Heat by cause while the pool is open, kWh.
    pub heat_open_kwh: Ledger,
    /// Heat of each solar heater over the run, kWh.
    pub heaters_kwh: Vec<(String, f64)>,
    /// Electricity that heating adds, kWh.
    pub pump_kwh: f64,
    /// Energy bought for the ordinary heater, kWh.
    pub other_heater_bought_kwh: f64,
    /// Water put in, m³.
    pub put_in_m3: f64,
    /// Days on which the pool is open.
    pub open_days: usize,
}

impl Outcome {
    /// What is kept of `season`.
    #[must_use]
    pub fn of(season: &Season) -> Self {
        let mut heat = Ledger::default();
        let (mut sum_c, mut days) = (0.0, 0.0);
        for day in season.days.iter().filter(|d| d.open) {
            if day.heat_kwh.stored_change.is_finite() {
                heat.add(&day.heat_kwh, 1.0);
            }
            if day.water_mean_c.is_finite() {
                sum_c += day.water_mean_c;
                days += 1.0;
            }
        }
        Self {
            swim_days: season.swim_days,
            too_hot_days: season.too_hot_days,
            first: season.first_swim_day,
            last: season.last_swim_day,
            water_mean_c: (days > 0.0).then(|| sum_c / days),
            heat_open_kwh: heat,
            heaters_kwh: season
                .heaters
                .iter()
                .map(|h| (h.name.clone(), h.heat_kwh))
                .collect(),
            pump_kwh: season.pump_kwh,
            other_heater_bought_kwh: season.other_heater_bought_kwh,
            put_in_m3: season.water_book.make_up_kg / KG_PER_M3,
            open_days: season.days.iter().filter(|d| d.open).count(),
        }
    }

    #[allow(clippy::cast_precision_loss, reason = "days of a year")]
    pub(crate) fn few(&self) -> Few {
        Few {
            days: self.swim_days as f64,
            mean_c: self.water_mean_c.unwrap_or(0.0),
        }
    }
}
