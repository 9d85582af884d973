//! What people noted of a stretch, in place of what the plan foresaw: pump and cover as they were, the water at a moment.

use chrono::NaiveDateTime;

use crate::Prepared;

/// Notes laid over the rows of a [`Prepared`] stretch. A run then follows them; where they are silent the plan's own
/// hours, sensors and limits hold.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Noted {
    /// Share of each interval in which the pump ran; `NaN` where nothing is noted. A noted pump asks no sensor and no limit.
    pub pump_on_frac: Vec<f64>,
    /// Share of each interval in which the cover lay on the water; `NaN` where nothing is noted.
    pub cover_on_frac: Vec<f64>,
    /// Row at whose start the water is given the plan's start temperature. Rows before it only warm up the soil and the tubes.
    pub water_given_at: usize,
}

impl Noted {
    /// The noted share of row `index`, when there is one.
    #[inline]
    pub(crate) fn at(shares: &[f64], index: usize) -> Option<f64> {
        shares
            .get(index)
            .copied()
            .filter(|share| !share.is_nan())
            .map(|share| share.clamp(0.0, 1.0))
    }
}

impl Prepared {
    /// The rows whose start lies in `from ≤ start < to`, in the order of the calendar; `None` when there is none.
    ///
    /// With `to` before `from` the stretch runs over the seam of a typical year: the rows from `from` on, then those before `to`.
    /// Soil and mains keep the course of the whole year that they were prepared with. Such a stretch is no year: a run needs a start temperature.
    #[must_use]
    pub fn stretch(&self, from: NaiveDateTime, to: NaiveDateTime) -> Option<Self> {
        let over_the_seam = to < from;
        let within = |start: NaiveDateTime| {
            if over_the_seam {
                start >= from || start < to
            } else {
                start >= from && start < to
            }
        };
        let mut order: Vec<usize> = (0..self.rows.len())
            .filter(|&i| within(self.rows[i].start))
            .collect();
        order.sort_by_key(|&i| (self.rows[i].start < from, self.rows[i].start));
        if order.is_empty() {
            return None;
        }
        let mut out = self.clone();
        out.noted = None;
        out.whole_year = false;
        out.rows = order.iter().map(|&i| self.rows[i]).collect();
        out.ticks = order.iter().map(|&i| self.ticks[i]).collect();
        out.skies = order.iter().map(|&i| self.skies[i]).collect();
        out.level_sum_w_m2 = out.rows.iter().map(|r| r.ghi_w_m2).sum();
        for plane in &mut out.planes {
            plane.rows = order.iter().map(|&i| plane.rows[i]).collect();
            plane.open_sum_w_m2 = plane.rows.iter().map(|r| r.open_w_m2).sum();
        }
        let mut day = 0;
        let mut last = out.ticks[0].date;
        for tick in &mut out.ticks {
            if tick.date != last {
                day += 1;
                last = tick.date;
            }
            tick.day = day;
        }
        Some(out)
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use chrono::NaiveDate;

    use super::Noted;
    use crate::test_plan::cover_and_board;
    use crate::{Detail, Prepared, run};

    /// Three days of July with the given notes, and the water put to 20 °C at the start of the second day.
    fn three_days(pump: f64, cover: f64) -> crate::Hourly {
        let path =
            Path::new(env!("CARGO_MANIFEST_DIR")).join("../../weather-samples/temperate.epw");
        let weather = swimdays_weather::read(&path).expect("a committed sample");
        let mut plan = cover_and_board();
        let day = |d| {
            NaiveDate::from_ymd_opt(2001, 7, d)
                .and_then(|d| d.and_hms_opt(0, 0, 0))
                .expect("a date")
        };
        let whole = Prepared::new(&plan, &weather).expect("prepared");
        let mut year = whole.stretch(day(4), day(7)).expect("three days");
        assert_eq!(year.rows.len(), 72);
        assert_eq!((year.ticks[0].day, year.ticks[71].day), (0, 2));
        plan.pool.start_c = Some(20.0);
        year.noted = Some(Noted {
            pump_on_frac: vec![pump; 72],
            cover_on_frac: vec![cover; 72],
            water_given_at: 24,
        });
        let season = run(&plan, &year, Detail::Full).expect("run");
        season.hourly.expect("hourly")
    }

    #[test]
    fn a_run_follows_the_notes_where_there_are_any() {
        let noted = three_days(0.25, 0.5);
        assert!(noted.pump_on_frac.iter().all(|f| (f - 0.25).abs() < 1e-12));
        assert!(noted.cover_on_frac.iter().all(|f| (f - 0.5).abs() < 1e-12));
        // Where they are silent the plan's timer, 9:30 to 17:00 on this clock, and its swim hours from 15:00 hold.
        let silent = three_days(f64::NAN, f64::NAN);
        assert!((silent.pump_on_frac[9] - 0.5).abs() < 1e-12);
        assert!(silent.pump_on_frac[20].abs() < 1e-12);
        assert!(silent.cover_on_frac[16].abs() < 1e-12);
    }

    #[test]
    fn the_water_is_given_where_the_notes_say() {
        // Put to 20 °C at the beginning of both days: the first hours of both begin there, the last of the first day does not.
        let hourly = three_days(0.0, 0.0);
        let off = |i: usize| (hourly.water_c[i] - 20.0).abs();
        assert!(off(0) < 0.3 && off(24) < 0.3, "{} {}", off(0), off(24));
        assert!(
            off(16) > 0.5,
            "the water moves through the day: {}",
            off(16)
        );
    }
}
