//! What running the pump brings, hour by hour of the day and month by month.

use chrono::Datelike;
use swimdays_season::{Detail, Plan, Prepared, Season, SeasonError};

use super::clock::{DAY_H, Hours};
use super::search::{Schedule, on_timer};
use crate::many::each_prepared;

/// Heat for each hour of running, kW, by month (0 = January) and hour of the day on the wall; `NaN` where it never ran.
pub type Brings = [[f64; 24]; 12];

/// Heat and time of one hour of the day in one month.
#[derive(Clone, Copy, Debug, Default)]
struct Cell {
    heat_kwh: f64,
    running_h: f64,
}

/// What running brings at each hour of the day, while the pump otherwise keeps to `schedule`.
///
/// For each hour of the day one season in which the pump also runs in that hour, all months alike; what the heaters then give in that
/// hour, over how long it ran. With limits (water warm enough, frost) it may not run though it is asked to: then there is nothing.
/// Several years are taken together.
pub(crate) fn brings(
    plan: &Plan,
    years: &[Prepared],
    schedule: &Schedule,
) -> Result<Brings, SeasonError> {
    let plans: Vec<Plan> = (0..DAY_H)
        .map(|hour| on_timer(plan, &schedule.map(|hours| hours.or(Hours::run(hour, 1)))))
        .collect();
    let found = each_prepared(&plans, years, Detail::Full, |place, season| {
        of_hour(&season, &years[place.year], place.plan)
    })?;
    let mut out: Brings = [[f64::NAN; 24]; 12];
    for (hour, years) in found.iter().enumerate() {
        for (month, row) in out.iter_mut().enumerate() {
            let heat_kwh: f64 = years.iter().map(|cells| cells[month].heat_kwh).sum();
            let running_h: f64 = years.iter().map(|cells| cells[month].running_h).sum();
            if running_h > 0.0 {
                row[hour] = heat_kwh / running_h;
            }
        }
    }
    Ok(out)
}

/// Heat and running time of one hour of the day, by month.
fn of_hour(season: &Season, year: &Prepared, hour: usize) -> [Cell; 12] {
    let mut cells = [Cell::default(); 12];
    let Some(hourly) = &season.hourly else {
        return cells;
    };
    let slots_per_hour = (60 / year.interval_minutes.clamp(1, 60)) as usize;
    let interval_h = year.interval_s / 3600.0;
    for (i, tick) in year.ticks.iter().enumerate() {
        let on_frac = hourly.pump_on_frac.get(i).copied().unwrap_or(0.0);
        if tick.slot / slots_per_hour != hour || on_frac.is_nan() || on_frac <= 0.0 {
            continue;
        }
        let cell = &mut cells[tick.month];
        cell.heat_kwh += hourly.heat_w[i].heaters * interval_h / 1000.0;
        cell.running_h += on_frac * interval_h;
    }
    cells
}

/// Hours in which running cooled the water though nobody asked for that, and what they took.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cooled {
    /// h.
    pub hours: f64,
    /// kWh, not below zero.
    pub heat_kwh: f64,
}

/// When running cooled the water: the loop as a whole took heat from it, and the pool was not hotter than its limit for night cooling.
pub(crate) fn cooled(plan: &Plan, season: &Season, year: &Prepared) -> Cooled {
    let mut out = Cooled::default();
    let Some(hourly) = &season.hourly else {
        return out;
    };
    let cooling_above_c = plan
        .pump
        .as_ref()
        .and_then(|pump| pump.limits.night_cooling)
        .map_or(f64::INFINITY, |night| night.above_water_c);
    let interval_h = year.interval_s / 3600.0;
    for i in 0..hourly.pump_on_frac.len() {
        let (on_frac, heat_w) = (hourly.pump_on_frac[i], hourly.heat_w[i].heaters);
        // The limit is held to the water at the beginning of the interval.
        let before_c = i.checked_sub(1).map_or(f64::NAN, |i| hourly.water_c[i]);
        let wanted = before_c > cooling_above_c;
        if on_frac > 0.0 && heat_w < 0.0 && !wanted {
            out.hours += on_frac * interval_h;
            out.heat_kwh -= heat_w * interval_h / 1000.0;
        }
    }
    out
}

/// Months in which the pool is open on at least one day of the run, in the order of the run.
pub(crate) fn open_months(season: &Season) -> Vec<usize> {
    let mut months = Vec::new();
    for day in season.days.iter().filter(|day| day.open) {
        let month = day.date.month0() as usize;
        if !months.contains(&month) {
            months.push(month);
        }
    }
    months
}
