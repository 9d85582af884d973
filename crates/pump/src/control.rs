//! Pump hours and what stops the pump.

use crate::differential::DifferentialControl;
use crate::{PumpError, within};

/// Hours in a day.
const DAY_H: f64 = 24.0;

/// A stretch of the day on the clock on the wall; it may run over midnight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Start, hours after midnight, 0…24.
    pub start_h: f64,
    /// End, hours after midnight, 0…24. At or before the start it means the next day; 0–24 is the whole day.
    pub end_h: f64,
}

impl Window {
    /// The whole day.
    pub const ALWAYS: Self = Self {
        start_h: 0.0,
        end_h: DAY_H,
    };

    /// Hours from start to end.
    #[must_use]
    pub fn length_h(&self) -> f64 {
        let length = self.end_h - self.start_h;
        if length > 0.0 { length } else { length + DAY_H }
    }

    /// Checks that both ends are hours of a day.
    ///
    /// # Errors
    /// An end outside 0…24.
    pub fn check(&self) -> Result<(), PumpError> {
        within("hour of the day", self.start_h, 0.0, DAY_H)?;
        within("hour of the day", self.end_h, 0.0, DAY_H)
    }

    /// Its pieces within one day that starts at midnight.
    fn pieces(&self) -> [(f64, f64); 2] {
        if self.end_h > self.start_h {
            [(self.start_h, self.end_h), (0.0, 0.0)]
        } else {
            [(self.start_h, DAY_H), (0.0, self.end_h)]
        }
    }
}

/// The same windows in every month.
#[must_use]
pub fn every_month(windows: &[Window]) -> [Vec<Window>; 12] {
    std::array::from_fn(|_| windows.to_vec())
}

/// Share of the interval `[start_h, start_h + length_h)` that lies inside the windows, 0…1, exact.
///
/// The interval may run over midnight; hours that several windows share count once.
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `windows` | of the month | | each end 0…24 |
/// | `start_h` | wall clock | h | 0…24 |
/// | `length_h` | of the interval | h | > 0…24 |
///
/// ```
/// use swimdays_pump::{Window, window_frac};
/// let night = [Window { start_h: 22.5, end_h: 6.0 }];
/// assert_eq!(window_frac(&night, 22.0, 1.0), 0.5);
/// assert_eq!(window_frac(&night, 23.0, 2.0), 1.0);
/// ```
#[must_use]
pub fn window_frac(windows: &[Window], start_h: f64, length_h: f64) -> f64 {
    let end_h = start_h + length_h;
    let mut inside = covered_h(windows, start_h, end_h.min(DAY_H));
    if end_h > DAY_H {
        inside += covered_h(windows, 0.0, end_h - DAY_H);
    }
    (inside / length_h).clamp(0.0, 1.0)
}

/// Length of `[from, to]`, within one day, that at least one window covers.
fn covered_h(windows: &[Window], from_h: f64, to_h: f64) -> f64 {
    // Walk forward: from each point either a window covers on to its end, or the next start is awaited.
    let pieces = || {
        windows
            .iter()
            .flat_map(Window::pieces)
            .filter(|(a, b)| b > a)
    };
    let mut here = from_h;
    let mut covered = 0.0;
    while here < to_h {
        let reach = pieces()
            .filter(|(a, b)| *a <= here && *b > here)
            .map(|(_, b)| b)
            .fold(here, f64::max);
        if reach > here {
            let end = reach.min(to_h);
            covered += end - here;
            here = end;
        } else {
            here = pieces()
                .map(|(a, _)| a)
                .filter(|a| *a > here)
                .fold(to_h, f64::min);
        }
    }
    covered
}

/// When the pump pushes water through the heaters.
#[derive(Clone, Debug, PartialEq)]
pub enum Control {
    /// Not at all.
    Never,
    /// All day and night.
    Always,
    /// By the clock on the wall, by month.
    Timer([Vec<Window>; 12]),
    /// By the tube's warmth.
    Differential(DifferentialControl),
}

impl Control {
    /// Checks hours and set-points.
    ///
    /// # Errors
    /// An hour outside the day, a set-point that cannot be.
    pub fn check(&self) -> Result<(), PumpError> {
        match self {
            Self::Never | Self::Always => Ok(()),
            Self::Timer(months) => months.iter().flatten().try_for_each(Window::check),
            Self::Differential(d) => d.check(),
        }
    }
}

/// Running at night to cool a pool that is too hot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NightCooling {
    /// Runs while the pool is hotter than this and the heaters would take heat from it, °C.
    pub above_water_c: f64,
}

/// What keeps the pump from running, or makes it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    /// Pool this warm: no more heating, °C.
    pub water_limit_c: Option<f64>,
    /// Air colder than this: no flow, °C. It saves no tube from frost: water that stands outdoors freezes and
    /// bursts it; drain before winter.
    pub frost_stop_c: Option<f64>,
    /// Cooling at night.
    pub night_cooling: Option<NightCooling>,
}

impl Limits {
    /// Whether frost stops the pump.
    #[must_use]
    pub fn frost(&self, air_c: f64) -> bool {
        self.frost_stop_c.is_some_and(|c| air_c < c)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const EXACT: f64 = 1e-12;

    fn window(start_h: f64, end_h: f64) -> Window {
        Window { start_h, end_h }
    }

    #[test]
    fn overlap_is_exact() {
        // By hand.
        let cases = [
            (vec![window(9.0, 17.0)], 8.0, 1.0, 0.0),
            (vec![window(9.0, 17.0)], 16.5, 1.0, 0.5),
            (vec![window(9.25, 9.75)], 9.0, 1.0, 0.5),
            (vec![window(20.0, 8.0)], 7.5, 1.0, 0.5),
            (vec![window(20.0, 8.0)], 12.0, 1.0, 0.0),
            (vec![window(23.5, 0.5)], 23.0, 2.0, 0.5),
            (vec![window(9.0, 12.0), window(11.0, 13.0)], 9.0, 8.0, 0.5),
            (vec![window(9.0, 9.0)], 3.0, 1.0, 1.0),
            (vec![Window::ALWAYS], 23.0, 1.0, 1.0),
            (vec![], 12.0, 1.0, 0.0),
        ];
        for (windows, start, length, expected) in cases {
            let found = window_frac(&windows, start, length);
            assert!(
                (found - expected).abs() < EXACT,
                "{windows:?} {start}: {found}"
            );
        }
    }

    #[test]
    fn a_day_of_intervals_adds_up_to_the_windows() {
        let windows = [window(22.4, 3.1), window(9.2, 17.7)];
        let hours: f64 = windows.iter().map(Window::length_h).sum();
        for slots in [24, 48, 96] {
            let length = 24.0 / f64::from(slots);
            let sum: f64 = (0..slots)
                .map(|i| window_frac(&windows, f64::from(i) * length, length) * length)
                .sum();
            assert!((sum - hours).abs() < 1e-9, "{slots}: {sum}");
        }
    }
}
