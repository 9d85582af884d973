//! From twelve monthly values to days, so that the months keep their means.

/// The months of the year in days.
#[derive(Debug)]
pub(super) struct Cycle {
    pub(super) lengths: [usize; 12],
    /// Month of each day, 0 to 11.
    pub(super) month: Vec<usize>,
    /// For each day: the two months between whose middles it lies, and the weight of the later.
    between: Vec<(usize, usize, f64)>,
}

/// Days by which the sum of month 0 to 11 in a climate table is divided: normals are means over many years, of which one in
/// four has a leap day.
///
/// ```
/// use swimdays_weather::normals::month_days;
/// assert_eq!([0, 1, 3].map(month_days), [31.0, 28.25, 30.0]);
/// ```
#[must_use]
pub fn month_days(month: usize) -> f64 {
    Cycle::days_of_common_year(month) + if month == 1 { 0.25 } else { 0.0 }
}

/// How often the values at the middles of the months are moved by what the months' means still lack.
const ROUNDS: usize = 60;

/// Days of the year that is made, which has no leap day.
const LENGTHS: [usize; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

impl Cycle {
    /// Days of month 0 to 11 without a leap day.
    #[allow(clippy::cast_precision_loss, reason = "days of a month")]
    pub(super) fn days_of_common_year(month: usize) -> f64 {
        LENGTHS[month.min(11)] as f64
    }

    /// A year without a leap day.
    pub(super) fn common() -> Self {
        let lengths = LENGTHS;
        let mut month = Vec::with_capacity(365);
        let mut middles = [0.0; 12];
        for (m, &length) in lengths.iter().enumerate() {
            #[allow(clippy::cast_precision_loss, reason = "days of a year")]
            {
                middles[m] = month.len() as f64 + 0.5 * length as f64;
            }
            month.extend(std::iter::repeat_n(m, length));
        }
        let between = month
            .iter()
            .enumerate()
            .map(|(day, &m)| {
                #[allow(clippy::cast_precision_loss, reason = "days of a year")]
                let noon = day as f64 + 0.5;
                let (before, after) = if noon < middles[m] {
                    ((m + 11) % 12, m)
                } else {
                    (m, (m + 1) % 12)
                };
                let span = (middles[after] - middles[before]).rem_euclid(365.0);
                let passed = (noon - middles[before]).rem_euclid(365.0);
                (before, after, passed / span)
            })
            .collect();
        Self {
            lengths,
            month,
            between,
        }
    }

    /// Straight lines between values at the middles of the months.
    pub(super) fn daily(&self, middles: &[f64; 12]) -> Vec<f64> {
        self.between
            .iter()
            .map(|&(before, after, weight)| {
                middles[before] * (1.0 - weight) + middles[after] * weight
            })
            .collect()
    }

    /// Mean of each month of one value a day.
    pub(super) fn means(&self, daily: impl IntoIterator<Item = f64>) -> [f64; 12] {
        let mut sums = [0.0; 12];
        for (value, &month) in daily.into_iter().zip(&self.month) {
            sums[month] += value;
        }
        #[allow(clippy::cast_precision_loss, reason = "days of a month")]
        std::array::from_fn(|m| sums[m] / self.lengths[m] as f64)
    }

    /// Values at the middles of the months from which `means_of` makes months with the means `target`, nearly.
    pub(super) fn fit(
        &self,
        target: &[f64; 12],
        mut means_of: impl FnMut(&[f64; 12]) -> [f64; 12],
    ) -> [f64; 12] {
        let mut middles = *target;
        for _ in 0..ROUNDS {
            let found = means_of(&middles);
            for month in 0..12 {
                middles[month] += target[month] - found[month];
            }
        }
        middles
    }

    /// One value a day, in straight lines, with the monthly means `target`.
    pub(super) fn keeping(&self, target: &[f64; 12]) -> Vec<f64> {
        let middles = self.fit(target, |middles| self.means(self.daily(middles)));
        self.daily(&middles)
    }
}

/// Mean of each calendar day of hourly values.
pub(super) fn day_means(hourly: &[f64]) -> impl Iterator<Item = f64> + use<'_> {
    hourly
        .chunks_exact(24)
        .map(|day| day.iter().sum::<f64>() / 24.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_keep_their_means_and_days_do_not_jump() {
        let cycle = Cycle::common();
        assert_eq!(cycle.month.len(), 365);
        let target = [
            -9.0, -6.0, 2.0, 9.0, 15.0, 21.0, 24.0, 22.0, 18.0, 11.0, 4.0, -4.0,
        ];
        let daily = cycle.keeping(&target);
        for (found, target) in cycle.means(daily.iter().copied()).iter().zip(target) {
            assert!((found - target).abs() < 1e-6, "{found} {target}");
        }
        // Eleven kelvin from one month's middle to the next are 0.4 K a day; the fit may bend a little more.
        for day in 0..365 {
            assert!((daily[(day + 1) % 365] - daily[day]).abs() < 0.7);
        }
    }
}
