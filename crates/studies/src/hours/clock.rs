//! A day's pump hours as whole hours of the clock, by month.

use swimdays_pump::Window;

/// Hours of a day.
pub(crate) const DAY_H: u32 = 24;

/// Whole hours of the day in which the pump may run, one bit each: bit 0 is midnight to 1:00.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Hours(u32);

impl Hours {
    /// All day.
    pub(crate) const ALL: Self = Self((1 << DAY_H) - 1);
    /// Not at all.
    pub(crate) const NONE: Self = Self(0);

    /// `length` hours from `start` on; they may run over midnight.
    pub(crate) fn run(start: u32, length: u32) -> Self {
        (0..length.min(DAY_H)).fold(Self::NONE, |hours, n| hours.with((start + n) % DAY_H))
    }

    /// Those hours at least half of which the windows cover.
    pub(crate) fn nearest(windows: &[Window]) -> Self {
        (0..DAY_H).fold(Self::NONE, |hours, hour| {
            if swimdays_pump::window_frac(windows, f64::from(hour), 1.0) >= 0.5 {
                hours.with(hour)
            } else {
                hours
            }
        })
    }

    /// Those hours that the windows cover from their beginning to their end.
    pub(crate) fn within(windows: &[Window]) -> Self {
        (0..DAY_H).fold(Self::NONE, |hours, hour| {
            if swimdays_pump::window_frac(windows, f64::from(hour), 1.0) >= 1.0 - 1e-9 {
                hours.with(hour)
            } else {
                hours
            }
        })
    }

    pub(crate) fn has(self, hour: u32) -> bool {
        self.0 & (1 << hour) != 0
    }

    pub(crate) fn with(self, hour: u32) -> Self {
        Self(self.0 | (1 << hour))
    }

    pub(crate) fn and(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    pub(crate) fn or(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    pub(crate) fn without(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    pub(crate) fn is_none(self) -> bool {
        self.0 == 0
    }

    /// Stretches of hours as start and length, in the order of the clock; one over midnight comes last.
    pub(crate) fn stretches(self) -> Vec<(u32, u32)> {
        if self == Self::ALL {
            return vec![(0, DAY_H)];
        }
        (0..DAY_H)
            .filter(|&h| self.has(h) && !self.has((h + DAY_H - 1) % DAY_H))
            .map(|start| {
                let length = (0..DAY_H)
                    .take_while(|n| self.has((start + n) % DAY_H))
                    .count();
                (start, u32::try_from(length).unwrap_or(DAY_H))
            })
            .collect()
    }

    /// The one stretch there is; `None` of none or of several.
    pub(crate) fn single(self) -> Option<(u32, u32)> {
        match self.stretches().as_slice() {
            [one] => Some(*one),
            _ => None,
        }
    }

    /// As windows on the clock on the wall.
    pub(crate) fn windows(self) -> Vec<Window> {
        self.stretches()
            .into_iter()
            .map(|(start, length)| {
                let end = start + length;
                let end = if end > DAY_H { end - DAY_H } else { end };
                Window {
                    start_h: f64::from(start),
                    end_h: f64::from(end),
                }
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_and_windows_say_the_same() {
        // By hand: 22 to 3 over midnight; 9 to 17.
        let night = Hours::run(22, 5);
        assert_eq!(night.single(), Some((22, 5)));
        assert_eq!(
            night.windows(),
            [Window {
                start_h: 22.0,
                end_h: 3.0
            }]
        );
        let day = Hours::run(9, 8);
        assert_eq!(day.or(night).stretches(), [(9, 8), (22, 5)]);
        assert_eq!(Hours::ALL.windows(), [Window::ALWAYS]);
        assert!(Hours::NONE.windows().is_empty());
        // To midnight is 24, not 0.
        assert_eq!(
            Hours::run(20, 4).windows(),
            [Window {
                start_h: 20.0,
                end_h: 24.0
            }]
        );
        for hours in [night, day, day.or(night), Hours::ALL, Hours::NONE] {
            assert_eq!(Hours::nearest(&hours.windows()), hours);
            assert_eq!(Hours::within(&hours.windows()), hours);
        }
    }

    #[test]
    fn half_an_hour_counts_towards_the_nearest_only() {
        // By hand: 9:30 to 17:00 has half of nine o'clock's hour.
        let odd = [Window {
            start_h: 9.5,
            end_h: 17.0,
        }];
        assert_eq!(Hours::nearest(&odd), Hours::run(9, 8));
        assert_eq!(Hours::within(&odd), Hours::run(10, 7));
    }
}
