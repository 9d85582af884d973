//! Friction factors (Darcy's) of straight and coiled tube, and how they join between laminar and turbulent.

/// Reynolds number up to which straight tube is laminar. Source: handbooks (2000–2300); the upper end.
pub const CRITICAL_REYNOLDS: f64 = 2_300.0;
/// Reynolds number from which straight tube is turbulent. Source: Moody's chart, end of its critical zone.
pub const TURBULENT_REYNOLDS: f64 = 4_000.0;
/// Reynolds numbers of Colebrook's equation. Source: Moody (1944), Trans. ASME 66:671 (from memory).
pub const COLEBROOK_REYNOLDS: (f64, f64) = (4_000.0, 1e8);
/// Roughness over bore of Colebrook's equation. Source: Moody (1944) (from memory).
pub const COLEBROOK_ROUGHNESS: (f64, f64) = (0.0, 0.05);
/// Dean numbers of White's laminar coil. Source: as stated by `fluids` 1.3.1.
pub const WHITE_DEAN: (f64, f64) = (11.6, 2_000.0);
/// Bore over coil diameter of White's laminar coil. Source: as stated by `fluids` 1.3.1.
pub const WHITE_CURVATURE: (f64, f64) = (3.878e-4, 0.066);
/// Bore over coil diameter of Ito's critical Reynolds number; below it a coil counts as straight. Source: as stated by `fluids` 1.3.1.
pub const ITO_CRITICAL_CURVATURE: (f64, f64) = (0.001_16, 0.067);
/// `Re (d/D)²` of Ito's turbulent coil; below it a coil counts as straight. Source: Ito (1959) (from memory).
pub const ITO_TURBULENT: (f64, f64) = (0.034, 300.0);

/// How water moves in a tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Regime {
    /// In layers.
    Laminar,
    /// Between: nobody can say which; the drop is uncertain by tens of per cent.
    Transition,
    /// Mixed through.
    Turbulent,
}

/// Where a friction factor is used outside the range its source gives. The formula is continued, never clamped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub enum FrictionLimit {
    /// Laminar coil above [`WHITE_DEAN`].
    DeanAboveWhite,
    /// Coil tighter than [`WHITE_CURVATURE`] and [`ITO_CRITICAL_CURVATURE`].
    CoilTooTight,
    /// Turbulent coil above [`ITO_TURBULENT`].
    TurbulentAboveIto,
    /// Rougher than [`COLEBROOK_ROUGHNESS`].
    TooRough,
    /// Faster than [`COLEBROOK_REYNOLDS`].
    ReynoldsAboveColebrook,
}

/// Dean number, −: `De = Re √(d/D)`.
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `reynolds` | Reynolds number of the bore | − | ≥ 0 |
/// | `curvature` | bore over coil diameter (centre line to centre line), `d/D` | − | 0 (straight) … 1 |
///
/// Source: Dean (1928); in this form White (1929).
#[must_use]
pub fn dean(reynolds: f64, curvature: f64) -> f64 {
    reynolds * curvature.sqrt()
}

/// Friction factor of turbulent straight tube, −, to the last digit.
///
/// `1/√f = −2 log₁₀(ε/(3.7 d) + 2.51/(Re √f))`, solved by Newton's method in `1/√f`.
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `reynolds` | Reynolds number | − | [`COLEBROOK_REYNOLDS`] |
/// | `roughness` | wall roughness over bore `ε/d` | − | [`COLEBROOK_ROUGHNESS`] |
///
/// Outside the range the equation is continued.
///
/// Source: Colebrook (1939), J. Inst. Civ. Eng. 11:133.
///
/// ```
/// // fluids 1.3.1, documented value.
/// let f = swimdays_pump::hydraulics::colebrook(1e5, 1e-4);
/// assert!((f / 0.018_513_866_077_471_648 - 1.0).abs() < 1e-14);
/// ```
#[must_use]
pub fn colebrook(reynolds: f64, roughness: f64) -> f64 {
    colebrook_slope(reynolds, roughness).0
}

/// [`colebrook`] and `d ln f / d ln Re`.
pub(crate) fn colebrook_slope(reynolds: f64, roughness: f64) -> (f64, f64) {
    const TWO_OVER_LN10: f64 = 2.0 / std::f64::consts::LN_10;
    let a = roughness / 3.7;
    let c = 2.51 / reynolds;
    let mut x = 1.0 / haaland(reynolds, roughness).sqrt();
    // Newton doubles the digits: four rounds from Haaland's 2 % are the last digit; some more cost nothing.
    for _ in 0..8 {
        let inner = a + c * x;
        let rest = x + TWO_OVER_LN10 * inner.ln();
        let step = rest / (1.0 + TWO_OVER_LN10 * c / inner);
        x -= step;
        if step.abs() <= 2e-16 * x {
            break;
        }
    }
    let inner = a + c * x;
    let share = TWO_OVER_LN10 * c / inner;
    (1.0 / (x * x), -2.0 * share / (1.0 + share))
}

/// Friction factor of turbulent straight tube without iteration, −, within 2 % of [`colebrook`].
///
/// `f = [−1.8 log₁₀((ε/(3.7 d))^1.11 + 6.9/Re)]⁻²`; arguments as there.
///
/// Source: Haaland (1983), J. Fluids Eng. 105:89.
#[must_use]
pub fn haaland(reynolds: f64, roughness: f64) -> f64 {
    let x = -1.8 * ((roughness / 3.7).powf(1.11) + 6.9 / reynolds).log10();
    1.0 / (x * x)
}

/// Friction factor of turbulent straight tube without iteration, −, within 3 % of [`colebrook`].
///
/// `f = 0.25/[log₁₀(ε/(3.7 d) + 5.74/Re^0.9)]²`; arguments as there, 5000 < Re < 1e8, ε/d < 0.05.
///
/// Source: Swamee & Jain (1976), J. Hydraul. Div. 102:657.
#[must_use]
pub fn swamee_jain(reynolds: f64, roughness: f64) -> f64 {
    let x = (roughness / 3.7 + 5.74 / reynolds.powf(0.9)).log10();
    0.25 / (x * x)
}

/// How much more a laminar coil drops than straight tube, −.
///
/// `1/[1 − (1 − (11.6/De)^0.45)^(1/0.45)]`; 1 below De 11.6.
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `dean` | [`dean`] number | − | [`WHITE_DEAN`] |
///
/// Above the range the formula is continued; [`FrictionLimit::DeanAboveWhite`] says so.
///
/// Source: White, C. M. (1929), Proc. R. Soc. A 123:645.
///
/// ```
/// // fluids 1.3.1, documented: 0.4063281817830202 at Re 250, d 0.02 m, D 0.1 m.
/// use swimdays_pump::hydraulics::{dean, white_laminar_ratio};
/// let f = 64.0 / 250.0 * white_laminar_ratio(dean(250.0, 0.2));
/// assert!((f / 0.406_328_181_783_020_2 - 1.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn white_laminar_ratio(dean: f64) -> f64 {
    white_slope(dean).0
}

/// [`white_laminar_ratio`] and its logarithmic slope.
fn white_slope(dean: f64) -> (f64, f64) {
    const POWER: f64 = 0.45;
    if dean <= WHITE_DEAN.0 {
        return (1.0, 0.0);
    }
    let x = (WHITE_DEAN.0 / dean).powf(POWER);
    let u = 1.0 - x;
    let b = 1.0 - u.powf(1.0 / POWER);
    (1.0 / b, u.powf(1.0 / POWER - 1.0) * x / b)
}

/// Reynolds number at which a coil turns turbulent, −: `20000 (d/D)^0.32`.
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `curvature` | bore over coil diameter `d/D` | − | [`ITO_CRITICAL_CURVATURE`] |
///
/// Below the range straight tube's [`CRITICAL_REYNOLDS`] is reached and taken by [`friction_factor`].
///
/// Source: Ito (1959), J. Basic Eng. 81:123.
///
/// ```
/// // fluids 1.3.1, documented value.
/// let re = swimdays_pump::hydraulics::ito_critical_reynolds(1.0 / 7.0);
/// assert!((re / 10_729.972_844_697_186 - 1.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn ito_critical_reynolds(curvature: f64) -> f64 {
    20_000.0 * curvature.powf(0.32)
}

/// Friction factor of a smooth turbulent coil, −.
///
/// `f = 4 √(d/D) [0.00725 + 0.076 (Re (d/D)²)^−0.25]`
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `reynolds` | Reynolds number | − | above [`ito_critical_reynolds`] |
/// | `curvature` | bore over coil diameter `d/D` | − | `Re (d/D)²` in [`ITO_TURBULENT`] |
///
/// Below the range it falls to the straight tube's and [`friction_factor`] takes that; above it is continued.
///
/// Source: Ito (1959), J. Basic Eng. 81:123 (from memory).
#[must_use]
pub fn ito_turbulent(reynolds: f64, curvature: f64) -> f64 {
    ito_slope(reynolds, curvature).0
}

fn ito_slope(reynolds: f64, curvature: f64) -> (f64, f64) {
    let falling = 0.076 * (reynolds * curvature * curvature).powf(-0.25);
    let sum = 0.007_25 + falling;
    (4.0 * curvature.sqrt() * sum, -0.25 * falling / sum)
}

/// Friction at one place of a tube: all that does not depend on the flow.
///
/// Works with `φ = f Re²`, which is the pressure gradient without its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Local {
    curvature: f64,
    roughness: f64,
    pub(crate) critical: f64,
    pub(crate) turbulent: f64,
    /// `ln φ` and its slope in `ln Re` at the ends of the transition.
    ends: [(f64, f64); 2],
}

impl Local {
    pub(crate) fn new(curvature: f64, roughness: f64) -> Self {
        let critical = CRITICAL_REYNOLDS.max(ito_critical_reynolds(curvature));
        let turbulent = critical * (TURBULENT_REYNOLDS / CRITICAL_REYNOLDS);
        let mut local = Self {
            curvature,
            roughness,
            critical,
            turbulent,
            ends: [(0.0, 0.0); 2],
        };
        let low = local.laminar(critical);
        let high = local.turbulent(turbulent);
        let (y0, y1) = (low.0.ln(), high.0.ln());
        // Fritsch & Carlson: end slopes up to three times the chord's keep a cubic monotone.
        let most = 3.0 * (y1 - y0) / (turbulent / critical).ln();
        local.ends = [(y0, low.1.min(most)), (y1, high.1.min(most))];
        local
    }

    /// `φ` and `d ln φ / d ln Re`.
    fn laminar(&self, re: f64) -> (f64, f64) {
        let (ratio, slope) = white_slope(dean(re, self.curvature));
        (64.0 * re * ratio, 1.0 + slope)
    }

    fn turbulent(&self, re: f64) -> (f64, f64) {
        let (mut f, mut slope) = colebrook_slope(re, self.roughness);
        if self.curvature > 0.0 {
            let (smooth, smooth_slope) = colebrook_slope(re, 0.0);
            let (coil, coil_slope) = ito_slope(re, self.curvature);
            if coil > smooth {
                f *= coil / smooth;
                slope += coil_slope - smooth_slope;
            }
        }
        (f * re * re, 2.0 + slope)
    }

    /// `φ` and `dφ/dRe`.
    pub(crate) fn gradient(&self, re: f64) -> (f64, f64) {
        let (phi, log_slope) = if re <= self.critical {
            if re <= 0.0 {
                return (0.0, 64.0);
            }
            self.laminar(re)
        } else if re >= self.turbulent {
            self.turbulent(re)
        } else {
            let width = (self.turbulent / self.critical).ln();
            let t = (re / self.critical).ln() / width;
            let [(y0, m0), (y1, m1)] = self.ends;
            let (m0, m1, rise) = (m0 * width, m1 * width, y1 - y0);
            // Cubic of Hermite in t.
            let c = 3.0 * rise - 2.0 * m0 - m1;
            let d = m0 + m1 - 2.0 * rise;
            let y = y0 + t * (m0 + t * (c + t * d));
            (y.exp(), (m0 + t * (2.0 * c + t * 3.0 * d)) / width)
        };
        (phi, phi / re * log_slope)
    }

    pub(crate) fn regime(&self, re: f64) -> Regime {
        if re <= self.critical {
            Regime::Laminar
        } else if re < self.turbulent {
            Regime::Transition
        } else {
            Regime::Turbulent
        }
    }

    pub(crate) fn curvature(&self) -> f64 {
        self.curvature
    }

    pub(crate) fn limits(&self, re: f64) -> Vec<FrictionLimit> {
        let regime = self.regime(re);
        let coil = self.curvature > 0.0;
        let checks = [
            (
                coil && regime == Regime::Laminar && dean(re, self.curvature) > WHITE_DEAN.1,
                FrictionLimit::DeanAboveWhite,
            ),
            (
                self.curvature > WHITE_CURVATURE.1.max(ITO_CRITICAL_CURVATURE.1),
                FrictionLimit::CoilTooTight,
            ),
            (
                coil && regime != Regime::Laminar
                    && re * self.curvature * self.curvature > ITO_TURBULENT.1,
                FrictionLimit::TurbulentAboveIto,
            ),
            (
                self.roughness > COLEBROOK_ROUGHNESS.1,
                FrictionLimit::TooRough,
            ),
            (
                re > COLEBROOK_REYNOLDS.1,
                FrictionLimit::ReynoldsAboveColebrook,
            ),
        ];
        checks
            .into_iter()
            .filter_map(|(outside, limit)| outside.then_some(limit))
            .collect()
    }
}

/// Friction factor (Darcy's) at any Reynolds number, straight or coiled, −.
///
/// Laminar `64/Re` times [`white_laminar_ratio`] up to the critical Reynolds number (the larger of
/// [`CRITICAL_REYNOLDS`] and [`ito_critical_reynolds`]); from 4000/2300 times that on, [`colebrook`], in a coil times
/// what [`ito_turbulent`] is above smooth straight tube. Between, `ln(f Re²)` is a cubic in `ln Re` that meets both
/// ends in value and slope.
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `reynolds` | Reynolds number | − | > 0 |
/// | `curvature` | bore over coil diameter `d/D`, 0 straight | − | [`WHITE_CURVATURE`] |
/// | `roughness` | wall roughness over bore `ε/d` | − | [`COLEBROOK_ROUGHNESS`] |
///
/// Outside the ranges the formulas are continued; [`super::TubeFlow`] says so.
///
/// Source: those of the parts; the join is our own choice: so the pressure drop rises without a jump, and a network
/// has one solution. In straight tube between Re 2300 and 4000 nobody can say the drop to better than tens of per
/// cent. Differs: Ito measured smooth coils; the factor for rough ones is our own.
#[must_use]
pub fn friction_factor(reynolds: f64, curvature: f64, roughness: f64) -> f64 {
    Local::new(curvature, roughness).gradient(reynolds).0 / (reynolds * reynolds)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative slopes by finite difference over 1e-6 of the argument.
    const FINITE: f64 = 2e-6;

    fn sweep() -> impl Iterator<Item = f64> {
        (0..600).map(|i| 10.0_f64.powf(f64::from(i) * 0.01))
    }

    #[test]
    fn the_drop_rises_without_a_jump_and_its_slope_is_exact() {
        for curvature in [0.0, 1e-4, 0.0012, 0.005, 0.025, 0.06, 0.15] {
            for roughness in [0.0, 1e-4, 0.01] {
                let local = Local::new(curvature, roughness);
                let mut last = 0.0;
                for re in sweep() {
                    let (phi, slope) = local.gradient(re);
                    assert!(phi > last && slope > 0.0, "{curvature} {roughness} {re}");
                    last = phi;
                    let h = 1e-6 * re;
                    let finite = (local.gradient(re + h).0 - local.gradient(re - h).0) / (2.0 * h);
                    // A step over the kink where Ito's coil leaves the straight tube is left out.
                    let kink = (local.gradient(re + 5.0 * h).1 / local.gradient(re - 5.0 * h).1
                        - 1.0)
                        .abs()
                        > 1e-4;
                    assert!(
                        kink || (slope / finite - 1.0).abs() < FINITE,
                        "{curvature} {roughness} {re}: {slope} {finite}"
                    );
                }
                for at in [local.critical, local.turbulent] {
                    let jump =
                        local.gradient(at * (1.0 + 1e-9)).0 / local.gradient(at * (1.0 - 1e-9)).0;
                    assert!((jump - 1.0).abs() < 2e-8, "{curvature} {roughness} {at}");
                }
            }
        }
    }

    #[test]
    fn a_wide_coil_is_straight_tube() {
        for re in sweep() {
            let straight = friction_factor(re, 0.0, 1e-4);
            let coil = friction_factor(re, 1e-7, 1e-4);
            // De stays below 11.6 up to Re 36 000; beyond, Ito lies below the straight tube.
            assert!((coil / straight - 1.0).abs() < 1e-12, "{re}");
        }
    }

    #[test]
    fn laminar_is_64_over_reynolds() {
        assert!((friction_factor(1_000.0, 0.0, 0.02) - 0.064).abs() < 1e-15);
    }
}
