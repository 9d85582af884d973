//! The exponential function made of sums and products alone.
//!
//! The standard library's `exp` is a call into the platform: it differs in the last digit from machine to
//! machine and cannot be vectorised. This one gives the same bits everywhere.

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
#[inline]
#[must_use]
pub fn exp(x: f64) -> f64 {
    // 1.5 · 2⁵²: adding it leaves the nearest whole number in the lowest bits.
    const SHIFT: f64 = 6_755_399_441_055_744.0;
    const LN_2_HIGH: f64 = 6.931_471_803_691_238e-1;
    const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;
    let x = x.clamp(-700.0, 700.0);
    let shifted = x * std::f64::consts::LOG2_E + SHIFT;
    let n = shifted - SHIFT;
    let r = (x - n * LN_2_HIGH) - n * LN_2_LOW;
    let r2 = r * r;
    let r4 = r2 * r2;
    let low = (1.0 + r) + r2 * (1.0 / 2.0 + r * (1.0 / 6.0));
    let middle = (1.0 / 24.0 + r * (1.0 / 120.0)) + r2 * (1.0 / 720.0 + r * (1.0 / 5_040.0));
    let high = (1.0 / 40_320.0 + r * (1.0 / 362_880.0))
        + r2 * (1.0 / 3_628_800.0 + r * (1.0 / 39_916_800.0) + r2 * (1.0 / 479_001_600.0));
    let power_of_two = f64::from_bits(shifted.to_bits().wrapping_add(1_023) << 52);
    power_of_two * (low + r4 * (middle + r4 * high))
}

#[cfg(test)]
mod tests {
    use super::exp;

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
}
