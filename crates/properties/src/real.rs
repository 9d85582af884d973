//! One number, or one for each of several plans that are stepped side by side.
//!
//! The physics of the hour is written once, over [`Real`]. At `f64` it is a season by itself; at [`Lanes`] the same
//! sums and products are done for several seasons at once, by the vector instructions that the processor has. Each
//! operation here is one that gives the same bits in a vector as alone, so each lane is bit for bit the season alone.
//!
//! Instead of branches there are masks: both ways are computed and [`Real::select`] takes the right one. Where a way is
//! seldom taken, [`Mask::any`] asks first whether any lane goes it.

use std::fmt::Debug;
use std::ops::{
    Add, AddAssign, BitAnd, BitOr, Div, DivAssign, Mul, MulAssign, Neg, Not, Sub, SubAssign,
};

pub use lanes::{Lanes, LanesMask};

mod lanes;

/// Yes or no, for each lane.
pub trait Mask:
    Copy + Debug + BitAnd<Output = Self> + BitOr<Output = Self> + Not<Output = Self>
{
    /// Whether it is so in at least one lane.
    fn any(self) -> bool;
}

/// A number, or one for each lane.
///
/// Literals stand on the right (`x * 2.0`), so that one trait does for all.
pub trait Real:
    Copy
    + Debug
    + Neg<Output = Self>
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Add<f64, Output = Self>
    + Sub<f64, Output = Self>
    + Mul<f64, Output = Self>
    + Div<f64, Output = Self>
    + AddAssign
    + SubAssign
    + MulAssign
    + DivAssign
{
    /// Yes or no, for each lane.
    type Mask: Mask;

    /// How many lanes there are.
    const LANES: usize;

    /// `value` in every lane.
    #[must_use]
    fn like(self, value: f64) -> Self;

    /// `value` of each lane's number.
    #[must_use]
    fn each(self, value: impl FnMut(usize) -> f64) -> Self;

    /// The number in `lane`.
    #[must_use]
    fn lane(self, lane: usize) -> f64;

    /// Sets the number in `lane`.
    fn set_lane(&mut self, lane: usize, value: f64);

    /// Where this is smaller than `other`; never where one is not a number.
    #[must_use]
    fn is_below(self, other: Self) -> Self::Mask;

    /// Where this is smaller than `other` or as large; never where one is not a number.
    #[must_use]
    fn is_at_most(self, other: Self) -> Self::Mask;

    /// Where this is larger than `other`; never where one is not a number.
    #[inline(always)]
    #[must_use]
    fn is_above(self, other: Self) -> Self::Mask {
        other.is_below(self)
    }

    /// Where this is larger than `other` or as large; never where one is not a number.
    #[inline(always)]
    #[must_use]
    fn is_at_least(self, other: Self) -> Self::Mask {
        other.is_at_most(self)
    }

    /// `yes` where `mask` is so, `no` elsewhere.
    #[must_use]
    fn select(mask: Self::Mask, yes: Self, no: Self) -> Self;

    /// `value` in every lane of a mask.
    #[must_use]
    fn mask_like(self, value: bool) -> Self::Mask;

    /// Whether the mask is so in `lane`.
    #[must_use]
    fn mask_lane(mask: Self::Mask, lane: usize) -> bool;

    /// Square root.
    #[must_use]
    fn root(self) -> Self;

    /// `low` where this is below it; what is not a number stays.
    #[inline(always)]
    #[must_use]
    fn or_at_least(self, low: Self) -> Self {
        Self::select(self.is_below(low), low, self)
    }

    /// `high` where this is above it; what is not a number stays.
    #[inline(always)]
    #[must_use]
    fn or_at_most(self, high: Self) -> Self {
        Self::select(self.is_above(high), high, self)
    }

    /// Without its sign.
    #[inline(always)]
    #[must_use]
    fn size(self) -> Self {
        Self::select(self.is_below(self.like(0.0)), -self, self)
    }

    /// Does `work`, which stands once in the compiled program however often it is called for: what is long, or seldom done.
    ///
    /// All else is inlined, since only so the compiler knows which instructions it may use; without this the step of a
    /// season would be compiled a dozen times over.
    fn apart<T>(self, work: impl FnOnce() -> T) -> T;

    /// `2ⁿ`, where this is `1.5 · 2⁵² + n` with a whole n of −1022…1023.
    #[must_use]
    fn power_of_two(self) -> Self;

    /// A guess of `x^−⅓` of a positive number, within 4 %: a third of the exponent, read as a number.
    #[must_use]
    fn guess_inverse_cube_root(self) -> Self;
}

impl Mask for bool {
    #[inline(always)]
    fn any(self) -> bool {
        self
    }
}

impl Real for f64 {
    type Mask = bool;

    const LANES: usize = 1;

    #[inline(always)]
    fn like(self, value: f64) -> Self {
        value
    }

    #[inline(always)]
    fn each(self, mut value: impl FnMut(usize) -> f64) -> Self {
        value(0)
    }

    #[inline(always)]
    fn lane(self, _: usize) -> f64 {
        self
    }

    #[inline(always)]
    fn set_lane(&mut self, _: usize, value: f64) {
        *self = value;
    }

    #[inline(always)]
    fn is_below(self, other: Self) -> bool {
        self < other
    }

    #[inline(always)]
    fn is_at_most(self, other: Self) -> bool {
        self <= other
    }

    #[inline(always)]
    fn select(mask: bool, yes: Self, no: Self) -> Self {
        if mask { yes } else { no }
    }

    #[inline(always)]
    fn mask_like(self, value: bool) -> bool {
        value
    }

    #[inline(always)]
    fn mask_lane(mask: bool, _: usize) -> bool {
        mask
    }

    #[inline(always)]
    fn root(self) -> Self {
        self.sqrt()
    }

    #[inline(never)]
    fn apart<T>(self, work: impl FnOnce() -> T) -> T {
        work()
    }

    #[inline(always)]
    fn power_of_two(self) -> Self {
        Self::from_bits(power_of_two_bits(self.to_bits()))
    }

    #[inline(always)]
    fn guess_inverse_cube_root(self) -> Self {
        Self::from_bits(guess_bits(self.to_bits()))
    }
}

/// The lowest bits of `1.5 · 2⁵² + n` hold n; the exponent of `2ⁿ` is n + 1023.
#[inline(always)]
fn power_of_two_bits(shifted: u64) -> u64 {
    shifted.wrapping_add(1_023) << 52
}

/// Bits of a guess of `x^−⅓`: the bits of a number are nearly its logarithm, so a constant less a third of them is
/// nearly the logarithm of the inverse cube root. A third of the upper half is near enough.
#[inline(always)]
fn guess_bits(x: u64) -> u64 {
    /// 0x553E_F0FF as in the whole number, for the upper half alone.
    const UPPER: u64 = 0x553E_F0FF;
    /// `2³³/3`, rounded.
    const THIRD: u64 = 2_863_311_531;
    let third = ((x >> 32) * THIRD) >> 33;
    (UPPER - third) << 32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_guess_is_near_the_inverse_cube_root() {
        for i in -300..=300 {
            let x = 10f64.powf(f64::from(i) / 20.0);
            let share = x.guess_inverse_cube_root() * x.cbrt() - 1.0;
            assert!(share.abs() < 0.04, "{x}: {share}");
        }
    }

    #[test]
    fn what_is_no_number_stays_no_number() {
        assert!(f64::NAN.or_at_least(1.0).is_nan() && f64::NAN.or_at_most(1.0).is_nan());
        assert!((0.5_f64.or_at_least(1.0) - 1.0).abs() < f64::EPSILON);
        assert!((1.5_f64.or_at_most(1.0) - 1.0).abs() < f64::EPSILON);
    }
}
