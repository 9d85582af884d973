//! Axis limits and ticks on round numbers.

use crate::style::text_width_px;

/// A mark on an axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// Where, in the axis' unit.
    pub at: f64,
    /// What is written there; may be empty.
    pub label: String,
}

/// A straight axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Value at the left or lower end.
    pub min: f64,
    /// Value at the right or upper end.
    pub max: f64,
    /// Marks.
    pub ticks: Vec<Tick>,
}

impl Axis {
    /// An axis without marks.
    #[must_use]
    pub const fn plain(min: f64, max: f64) -> Self {
        Self {
            min,
            max,
            ticks: Vec::new(),
        }
    }

    /// An axis over all finite `values`, marked on round numbers in about `wanted` steps, ending on a mark or
    /// halfway to the next; the topmost mark carries the unit.
    #[must_use]
    pub fn round(values: impl IntoIterator<Item = f64>, wanted: f64, unit: &str) -> Self {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for value in values.into_iter().filter(|v| v.is_finite()) {
            low = low.min(value);
            high = high.max(value);
        }
        if low > high {
            (low, high) = (0.0, 1.0);
        }
        if high - low < 1e-9 {
            (low, high) = (low - 0.5, high + 0.5);
        }
        let step = round_step((high - low) / wanted);
        let half = step / 2.0;
        let (min, max) = (
            (low / half + 1e-9).floor() * half,
            (high / half - 1e-9).ceil() * half,
        );
        let (mut n, last) = ((min / step - 1e-9).ceil(), (max / step + 1e-9).floor());
        let mut ticks = Vec::new();
        while n <= last {
            let at = n * step;
            let label = number(at, step);
            ticks.push(Tick {
                at,
                label: if n + 1.0 > last {
                    format!("{label} {unit}")
                } else {
                    label
                },
            });
            n += 1.0;
        }
        Self { min, max, ticks }
    }

    /// Width of the widest mark's label, px.
    #[must_use]
    pub fn label_width_px(&self, size_px: f64) -> f64 {
        self.ticks
            .iter()
            .map(|t| text_width_px(&t.label, size_px, false))
            .fold(0.0, f64::max)
    }

    /// Whether every finite value of `values` lies on the axis.
    #[must_use]
    pub fn covers(&self, values: impl IntoIterator<Item = f64>) -> bool {
        let slack = (self.max - self.min) * 1e-9;
        values
            .into_iter()
            .filter(|v| v.is_finite())
            .all(|v| v >= self.min - slack && v <= self.max + slack)
    }
}

/// The smallest of 1, 2, 5 × 10ⁿ that is not less than `at_least`.
fn round_step(at_least: f64) -> f64 {
    let power = 10_f64.powf(at_least.log10().floor());
    let share = at_least / power;
    let factor = [1.0, 2.0, 5.0]
        .into_iter()
        .find(|f| share <= f * (1.0 + 1e-9))
        .unwrap_or(10.0);
    factor * power
}

/// A tick's number with as many decimals as its step needs, a true minus sign and grouped thousands.
fn number(value: f64, step: f64) -> String {
    if step < 1.0 {
        // Nothing has no sign.
        return format!("{:.1}", value + 0.0).replace('-', "−");
    }
    crate::words::whole(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_round_and_cover_the_data() {
        let axis = Axis::round([-3.2, 31.7, f64::NAN], 6.0, "°C");
        assert!(axis.covers([-3.2, 31.7]));
        let labels: Vec<_> = axis.ticks.iter().map(|t| t.label.as_str()).collect();
        // By hand: 34.9 / 6 = 5.8 → step 10, half 5; −3.2 down to −5, 31.7 up to 35.
        assert_eq!(labels, ["0", "10", "20", "30 °C"]);
        assert!((axis.min + 5.0).abs() < 1e-9 && (axis.max - 35.0).abs() < 1e-9);
    }

    #[test]
    fn no_data_still_gives_an_axis() {
        let axis = Axis::round([f64::NAN], 5.0, "W");
        assert!(axis.max > axis.min && !axis.ticks.is_empty());
    }
}
