//! A number with its range, from the same draws for everything that is compared.

use crate::range::tenth_ends;

/// What one season must tell for a comparison.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Few {
    /// Swim days.
    pub(crate) days: f64,
    /// Mean water while the pool is open, °C; 0 when it never is.
    pub(crate) mean_c: f64,
}

/// The best guess and the draws of one choice; draws of two choices belong together one by one.
#[derive(Clone, Debug)]
pub(crate) struct Drawn {
    best: Few,
    draws: Vec<Few>,
}

impl Drawn {
    pub(crate) fn new(best: Few, draws: Vec<Few>) -> Self {
        Self { best, draws }
    }

    pub(crate) fn has_draws(&self) -> bool {
        !self.draws.is_empty()
    }
}

/// A best guess and the ends between which the answer lies four times out of five.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The best guess.
    pub value: f64,
    /// One in ten lies below; never above the best guess.
    pub low: f64,
    /// One in ten lies above; never below the best guess.
    pub high: f64,
}

impl Estimate {
    pub(crate) fn of(drawn: &Drawn, what: fn(&Few) -> f64) -> Self {
        Self::from_draws(what(&drawn.best), drawn.draws.iter().map(what).collect())
    }

    pub(crate) fn from_draws(value: f64, draws: Vec<f64>) -> Self {
        let (low, high) = tenth_ends(draws, value);
        Self { value, low, high }
    }

    /// Whether the range keeps to one side of nothing: only then is a difference told as one.
    #[must_use]
    pub fn is_clear(&self) -> bool {
        self.low > 0.0 || self.high < 0.0
    }

    /// Whether it is clear and more than nothing.
    #[must_use]
    pub fn is_gain(&self) -> bool {
        self.low > 0.0
    }

    /// All three times `factor`, which is not below 0.
    pub(crate) fn times(self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            low: self.low * factor,
            high: self.high * factor,
        }
    }
}

/// `a` less `b`, draw by draw; without draws of both, the best guesses alone.
pub(crate) fn difference(a: &Drawn, b: &Drawn, what: fn(&Few) -> f64) -> Estimate {
    let draws = if a.draws.len() == b.draws.len() {
        let pairs = a.draws.iter().zip(&b.draws);
        pairs.map(|(a, b)| what(a) - what(b)).collect()
    } else {
        Vec::new()
    };
    Estimate::from_draws(what(&a.best) - what(&b.best), draws)
}

/// What `of` makes of the worths of all `rows`, for the best guess and draw by draw: one estimate for each of its results.
pub(crate) fn each(
    rows: &[&Drawn],
    what: fn(&Few) -> f64,
    of: impl Fn(&[f64]) -> Vec<f64>,
) -> Vec<Estimate> {
    let best = of(&rows.iter().map(|row| what(&row.best)).collect::<Vec<_>>());
    let count = rows.iter().map(|row| row.draws.len()).min().unwrap_or(0);
    let drawn: Vec<Vec<f64>> = (0..count)
        .map(|k| {
            of(&rows
                .iter()
                .map(|row| what(&row.draws[k]))
                .collect::<Vec<_>>())
        })
        .collect();
    best.into_iter()
        .enumerate()
        .map(|(i, value)| Estimate::from_draws(value, drawn.iter().map(|one| one[i]).collect()))
        .collect()
}
