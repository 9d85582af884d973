//! The exponential function and the cube root made of sums and products alone.
//!
//! The standard library's `exp` is a call into the platform: it differs in the last digit from machine to
//! machine and cannot be vectorised. This one gives the same bits everywhere.

use crate::real::Real;

/// `eˣ`, within 4 units in the last place.
///
/// `x = n ln 2 + r`, `|r| ≤ ln 2 / 2`; `eʳ` by its Taylor series to the twelfth power (remainder below 2e-16).
///
/// | argument | meaning | range |
/// |---|---|---|
/// | `x` | exponent | −700…700 |
///
/// Outside the range the nearest end is taken.
///
/// Source: definition; the two-part ln 2 is that of Cody & Waite (1980), *Software Manual for the Elementary Functions*.
///
/// ```
/// assert!((swimdays_properties::elementary::exp(1.0) - std::f64::consts::E).abs() < 1e-15);
/// ```
#[inline(always)]
#[must_use]
pub fn exp<R: Real>(x: R) -> R {
    exp_within(x.or_at_least(x.like(-700.0)).or_at_most(x.like(700.0)))
}

/// [`exp`] where the argument is known to lie within its range; beyond, it means nothing.
#[inline(always)]
#[must_use]
pub fn exp_within<R: Real>(x: R) -> R {
    // 1.5 · 2⁵²: adding it leaves the nearest whole number in the lowest bits.
    const SHIFT: f64 = 6_755_399_441_055_744.0;
    const LN_2_HIGH: f64 = 6.931_471_803_691_238e-1;
    const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;
    let shifted = x * std::f64::consts::LOG2_E + SHIFT;
    let n = shifted - SHIFT;
    let r = (x - n * LN_2_HIGH) - n * LN_2_LOW;
    let r2 = r * r;
    let r4 = r2 * r2;
    let low = (r + 1.0) + r2 * (r * (1.0 / 6.0) + 1.0 / 2.0);
    let middle = (r * (1.0 / 120.0) + 1.0 / 24.0) + r2 * (r * (1.0 / 5_040.0) + 1.0 / 720.0);
    let high = (r * (1.0 / 362_880.0) + 1.0 / 40_320.0)
        + r2 * (r * (1.0 / 39_916_800.0) + 1.0 / 3_628_800.0 + r2 * (1.0 / 479_001_600.0));
    shifted.power_of_two() * (low + r4 * (middle + r4 * high))
}

/// `x^−⅓` of a positive number without a division, within 1e-10: a guess in the exponent and two steps of third order.
///
/// Source: Newton's and Halley's iteration for `1/r³ = x`, one order further (own derivation).
#[inline(always)]
#[must_use]
pub fn inverse_cube_root<R: Real>(x: R) -> R {
    let mut r = x.guess_inverse_cube_root();
    let mut step = 0;
    while step < 2 {
        let t = -(x * r * (r * r)) + 1.0;
        r += r * t * (t * (2.0 / 9.0) + 1.0 / 3.0);
        step += 1;
    }
    r
}

/// `x^⅓` of a positive number, within 1e-10.
#[inline(always)]
#[must_use]
pub fn cube_root<R: Real>(x: R) -> R {
    let r = inverse_cube_root(x);
    x * r * r
}

#[cfg(test)]
mod tests {
    use super::{cube_root, exp};

    /// Four units in the last place.
    const RELATIVE: f64 = 9e-16;

    #[test]
    fn agrees_with_the_platform() {
        for i in -70_000..=70_000 {
            let x = f64::from(i) * 0.01;
            assert!((exp(x) / x.exp() - 1.0).abs() < RELATIVE, "x = {x}");
        }
    }

    #[test]
    fn stops_at_the_ends_of_its_range() {
        assert!(exp(1e9).is_finite() && exp(-1e9) > 0.0);
    }

    #[test]
    fn cube_root_is_one() {
        for i in -200..=200 {
            let x = 10f64.powf(f64::from(i) / 20.0);
            assert!((cube_root(x) / x.cbrt() - 1.0).abs() < 1e-10, "{x}");
        }
    }
}
