//! The heat flow type, ranged numbers and the crate's error.

use swimdays_properties::real::Real;

/// A heat flow into the water and how it changes with the water's temperature.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Flux<R = f64> {
    /// Heat into the water, W/m² (or W after [`Flux::times`] an area).
    pub w_m2: R,
    /// Exact derivative with respect to the water's temperature, W/(m²·K).
    pub slope_w_m2_k: R,
}

impl<R: Real> Flux<R> {
    /// No flow, in as many lanes as `like`.
    #[inline(always)]
    #[must_use]
    pub fn none(like: R) -> Self {
        Self {
            w_m2: like.like(0.0),
            slope_w_m2_k: like.like(0.0),
        }
    }

    /// `yes` where `mask` is so, `no` elsewhere.
    #[inline(always)]
    #[must_use]
    pub fn select(mask: R::Mask, yes: Self, no: Self) -> Self {
        Self {
            w_m2: R::select(mask, yes.w_m2, no.w_m2),
            slope_w_m2_k: R::select(mask, yes.slope_w_m2_k, no.slope_w_m2_k),
        }
    }

    /// The flow and its slope times a share or an area.
    #[inline(always)]
    #[must_use]
    pub fn times(self, factor: R) -> Self {
        Self {
            w_m2: self.w_m2 * factor,
            slope_w_m2_k: self.slope_w_m2_k * factor,
        }
    }

    /// Two flows side by side.
    #[inline(always)]
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            w_m2: self.w_m2 + other.w_m2,
            slope_w_m2_k: self.slope_w_m2_k + other.slope_w_m2_k,
        }
    }
}

/// A number that nobody knows exactly: the best guess and the ends between which it is believed to lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Best guess.
    pub value: f64,
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

impl Span {
    pub(crate) const fn new(value: f64, low: f64, high: f64) -> Self {
        Self { value, low, high }
    }
}

/// What this crate refuses.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PoolError {
    /// A number of the pool's description lies outside what the physics holds for.
    #[error("{what} is {found}; allowed is {low} to {high}")]
    OutOfRange {
        /// Which number, with its unit.
        what: &'static str,
        /// What was given.
        found: f64,
        /// Smallest allowed.
        low: f64,
        /// Largest allowed.
        high: f64,
    },
}

/// `found`, if it lies within `low`…`high`.
pub(crate) fn within(
    what: &'static str,
    found: f64,
    low: f64,
    high: f64,
) -> Result<f64, PoolError> {
    if (low..=high).contains(&found) {
        Ok(found)
    } else {
        Err(PoolError::OutOfRange {
            what,
            found,
            low,
            high,
        })
    }
}
