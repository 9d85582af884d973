//! Short gaps, filled by a straight line between the values on either side.

/// What [`fill`] came to.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Filled {
    /// So many values were filled; none is missing now.
    All(usize),
    /// A gap is too long: it and all after it are left as they are.
    TooLong {
        /// Its first interval.
        first: usize,
        /// Its length in intervals.
        count: usize,
    },
}

/// Fills the NaNs of `values`. At either end of the series the nearest value is held.
pub(crate) fn fill(values: &mut [f64], longest_minutes: u32, interval_minutes: u32) -> Filled {
    let longest = (longest_minutes / interval_minutes.max(1)) as usize;
    let mut filled = 0;
    let mut i = 0;
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
        if count > longest {
            return Filled::TooLong { first: i, count };
        }
        #[allow(clippy::cast_precision_loss, reason = "a gap of a few hours")]
        for (k, value) in values[i..i + count].iter_mut().enumerate() {
            *value = from + (to - from) * (k + 1) as f64 / (count + 1) as f64;
        }
        filled += count;
        i += count;
    }
    Filled::All(filled)
}

#[cfg(test)]
mod tests {
    use super::*;

    const NONE: f64 = f64::NAN;

    #[test]
    fn a_line_joins_both_sides() {
        let mut values = [1.0, NONE, NONE, NONE, 5.0];
        assert_eq!(fill(&mut values, 180, 60), Filled::All(3));
        assert_eq!(
            values.map(f64::to_bits),
            [1.0, 2.0, 3.0, 4.0, 5.0].map(f64::to_bits)
        );
    }

    #[test]
    fn the_ends_hold_their_neighbour() {
        let mut values = [NONE, 4.0, NONE];
        assert_eq!(fill(&mut values, 60, 60), Filled::All(2));
        assert_eq!(values.map(f64::to_bits), [4.0, 4.0, 4.0].map(f64::to_bits));
    }

    #[test]
    fn a_gap_is_measured_in_minutes() {
        let mut values = [1.0, NONE, NONE, NONE, 5.0];
        assert_eq!(
            fill(&mut values, 120, 60),
            Filled::TooLong { first: 1, count: 3 }
        );
        assert_eq!(fill(&mut values, 120, 30), Filled::All(3));
    }

    #[test]
    fn nothing_known_is_no_gap_to_fill() {
        assert_eq!(
            fill(&mut [NONE, NONE], 180, 60),
            Filled::TooLong { first: 0, count: 2 }
        );
    }
}
