//! Counting intervals, and which was the first.

/// How many intervals and which first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Tally {
    pub(crate) count: usize,
    pub(crate) first: Option<usize>,
}

impl Tally {
    /// Those of the intervals for which `odd` holds.
    pub(crate) fn of(n: usize, odd: impl Fn(usize) -> bool) -> Self {
        let mut tally = Self::default();
        for i in 0..n {
            if odd(i) {
                tally.add(i, 1);
            }
        }
        tally
    }

    /// `count` intervals from `first` on.
    pub(crate) fn add(&mut self, first: usize, count: usize) {
        self.count += count;
        self.first = self.first.or(Some(first));
    }
}
