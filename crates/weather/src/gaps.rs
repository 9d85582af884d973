//! Gaps in a column: short ones by a straight line, longer ones, when asked for, in the shape of the neighbouring days.
//!
//! A straight line over a night and a noon would lose both. So a longer gap takes the mean of the nearest day before and the
//! nearest day after that have the hour, weighted by nearness. [`Long::Joined`] also joins it to the values at its ends by
//! a straight line (temperatures, pressure: they run on); [`Long::Days`] does not (wind, cloud: what is joined could fall below 0).
//! Common practice, no source.

/// How a longer gap is filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Long {
    /// The neighbouring days' course, joined to the values at its ends.
    Joined,
    /// The neighbouring days' values themselves.
    Days,
}

/// Which gaps are filled.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limit {
    pub(crate) interval_minutes: u32,
    /// Up to this a straight line, minutes.
    pub(crate) line_minutes: u32,
    /// Up to this by the neighbouring days, minutes; less than `line_minutes` when nobody asked.
    pub(crate) days_minutes: u32,
}

impl Limit {
    /// Intervals of the longest gap that a line fills, and of the longest that is filled at all.
    pub(crate) fn intervals(&self) -> (usize, usize) {
        let count = |minutes: u32| (minutes / self.interval_minutes.max(1)) as usize;
        let line = count(self.line_minutes);
        (line, line.max(count(self.days_minutes)))
    }

    fn per_day(&self) -> usize {
        (24 * 60 / self.interval_minutes.max(1)) as usize
    }
}

/// What [`fill`] came to.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Filled {
    /// None is missing now.
    All(Count),
    /// A gap is too long, or no neighbouring day has its hours: it and all after it are left as they are.
    TooLong {
        /// Its first interval.
        first: usize,
        /// Its length in intervals.
        count: usize,
    },
}

/// What was filled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Count {
    /// So many values.
    pub(crate) values: usize,
    /// So many of them by the neighbouring days.
    pub(crate) by_days: usize,
    /// The first of them.
    pub(crate) first: Option<usize>,
}

impl Count {
    /// How a note ends that says how many were filled.
    pub(crate) fn how(&self, interval_minutes: u32) -> String {
        if self.by_days == 0 {
            return if self.values == 1 {
                "filled from its neighbours".into()
            } else {
                "filled from their neighbours".into()
            };
        }
        let minutes = self.by_days * interval_minutes as usize;
        format!(
            "filled, {} h as on the days before and after",
            minutes.div_ceil(60)
        )
    }
}

/// Fills the NaNs of `values`. At either end of the series the nearest value is held.
pub(crate) fn fill(values: &mut [f64], limit: &Limit, long: Long) -> Filled {
    let (line, longest) = limit.intervals();
    let mut out = Count::default();
    let mut i = 0;
    // Longer gaps look at values of the file only, never at filled ones.
    let given =
        (longest > line && values.iter().any(|value| value.is_nan())).then(|| values.to_vec());
    while i < values.len() {
        if !values[i].is_nan() {
            i += 1;
            continue;
        }
        let count = values[i..]
            .iter()
            .take_while(|value| value.is_nan())
            .count();
        let before = i.checked_sub(1).map(|at| values[at]);
        let after = values.get(i + count).copied();
        let (Some(from), Some(to)) = (before.or(after), after.or(before)) else {
            return Filled::TooLong { first: i, count };
        };
        if count <= line {
            for (k, value) in values[i..i + count].iter_mut().enumerate() {
                *value = from + (to - from) * share(k, count);
            }
        } else if let Some(given) = given.as_deref().filter(|_| count <= longest) {
            let day = |at: usize| of_neighbouring_days(given, at, limit.per_day());
            let Some(course) = (i..i + count).map(day).collect::<Option<Vec<f64>>>() else {
                return Filled::TooLong { first: i, count };
            };
            // How far the neighbouring days lie from this one at the gap's ends.
            let off = |value: Option<f64>, at: Option<usize>| {
                let there = day(at?)?;
                (long == Long::Joined).then_some(value? - there)
            };
            let (start, end) = (off(before, i.checked_sub(1)), off(after, Some(i + count)));
            let (start, end) = (start.or(end).unwrap_or(0.0), end.or(start).unwrap_or(0.0));
            for (k, (value, course)) in values[i..i + count].iter_mut().zip(course).enumerate() {
                *value = course + start + (end - start) * share(k, count);
            }
            out.by_days += count;
        } else {
            return Filled::TooLong { first: i, count };
        }
        out.first = out.first.or(Some(i));
        out.values += count;
        i += count;
    }
    Filled::All(out)
}

/// Place of the `k`-th value of a gap between its ends, 0 to 1.
#[allow(clippy::cast_precision_loss, reason = "a gap of some days")]
fn share(k: usize, count: usize) -> f64 {
    (k + 1) as f64 / (count + 1) as f64
}

/// Mean of the nearest values given at the same hour on days before and after, weighted by nearness.
pub(crate) fn of_neighbouring_days(given: &[f64], at: usize, per_day: usize) -> Option<f64> {
    let per_day = per_day.max(1);
    let before = (1..=at / per_day)
        .map(|days| (days, given[at - days * per_day]))
        .find(|(_, value)| !value.is_nan());
    let after = (1..=(given.len().saturating_sub(1 + at)) / per_day)
        .map(|days| (days, given[at + days * per_day]))
        .find(|(_, value)| !value.is_nan());
    match (before, after) {
        (Some((days_ago, a)), Some((days_ahead, b))) => {
            #[allow(clippy::cast_precision_loss, reason = "a number of days")]
            let share = days_ago as f64 / (days_ago + days_ahead) as f64;
            Some(a + (b - a) * share)
        }
        (Some((_, value)), None) | (None, Some((_, value))) => Some(value),
        (None, None) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NONE: f64 = f64::NAN;

    fn limit(interval_minutes: u32, line_minutes: u32, days_minutes: u32) -> Limit {
        Limit {
            interval_minutes,
            line_minutes,
            days_minutes,
        }
    }

    fn count(values: usize, by_days: usize, first: usize) -> Filled {
        Filled::All(Count {
            values,
            by_days,
            first: Some(first),
        })
    }

    #[test]
    fn a_line_joins_both_sides() {
        let mut values = [1.0, NONE, NONE, NONE, 5.0];
        assert_eq!(
            fill(&mut values, &limit(60, 180, 0), Long::Joined),
            count(3, 0, 1)
        );
        assert_eq!(
            values.map(f64::to_bits),
            [1.0, 2.0, 3.0, 4.0, 5.0].map(f64::to_bits)
        );
    }

    #[test]
    fn the_ends_hold_their_neighbour() {
        let mut values = [NONE, 4.0, NONE];
        assert_eq!(
            fill(&mut values, &limit(60, 60, 0), Long::Joined),
            count(2, 0, 0)
        );
        assert_eq!(values.map(f64::to_bits), [4.0, 4.0, 4.0].map(f64::to_bits));
    }

    #[test]
    fn a_gap_is_measured_in_minutes() {
        let mut values = [1.0, NONE, NONE, NONE, 5.0];
        assert_eq!(
            fill(&mut values, &limit(60, 120, 0), Long::Joined),
            Filled::TooLong { first: 1, count: 3 }
        );
        assert_eq!(
            fill(&mut values, &limit(30, 120, 0), Long::Joined),
            count(3, 0, 1)
        );
    }

    #[test]
    fn nothing_known_is_no_gap_to_fill() {
        assert_eq!(
            fill(&mut [NONE, NONE], &limit(60, 180, 6000), Long::Days),
            Filled::TooLong { first: 0, count: 2 }
        );
    }

    /// Three days of a cosine: the middle one's gap is that cosine again, raised to where its ends lie.
    #[test]
    fn a_long_gap_takes_the_course_of_the_days_beside_it() {
        let course = |i: usize| {
            #[allow(clippy::cast_precision_loss, reason = "72 hours")]
            let hour = i as f64;
            15.0 - 5.0 * (std::f64::consts::TAU * (hour - 3.0) / 24.0).cos()
        };
        let raised = |i: usize| course(i) + if (24..48).contains(&i) { 3.0 } else { 0.0 };
        let mut values: Vec<f64> = (0..72).map(raised).collect();
        values[30..44].fill(NONE);
        assert_eq!(
            fill(&mut values, &limit(60, 180, 14 * 60), Long::Joined),
            count(14, 14, 30)
        );
        for (i, value) in values.iter().enumerate() {
            assert!((value - raised(i)).abs() < 1e-9, "{i}: {value}");
        }
        values[30..44].fill(NONE);
        fill(&mut values, &limit(60, 180, 14 * 60), Long::Days);
        assert!((values[36] - course(36)).abs() < 1e-9);
        values[30..44].fill(NONE);
        assert_eq!(
            fill(&mut values, &limit(60, 180, 13 * 60), Long::Days),
            Filled::TooLong {
                first: 30,
                count: 14
            }
        );
    }

    #[test]
    fn the_nearer_day_weighs_more() {
        let mut given = vec![NONE; 5];
        (given[0], given[4]) = (1.0, 5.0);
        assert_eq!(of_neighbouring_days(&given, 1, 1), Some(2.0));
        assert_eq!(of_neighbouring_days(&given[..4], 3, 1), Some(1.0));
        assert_eq!(of_neighbouring_days(&given[1..4], 1, 1), None);
    }
}
