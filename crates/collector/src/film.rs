//! Heat transfer from the tube wall to the water inside.

use std::f64::consts::PI;

use swimdays_properties::water;

/// Temperature at which the water's properties in the film are taken, °C.
///
/// Water of 15 and 40 °C has a turbulent film 20 % smaller and 19 % larger (Gnielinski at Re 6000); in a plastic tube,
/// where the wall is the larger part of the small resistance inside, that moves the heat by some tenths of a per cent.
pub const FILM_PROPERTY_C: f64 = 27.0;

/// Nusselt number of developed laminar flow in straight tube with a wall of even temperature.
/// Source: Graetz; 3.657 in Incropera & DeWitt, *Fundamentals of Heat and Mass Transfer*, table 8.1.
pub const LAMINAR_NUSSELT: f64 = 3.66;

/// Reynolds numbers between which straight tube goes from laminar to turbulent. Source: Gnielinski (2013).
pub const TRANSITION_REYNOLDS: (f64, f64) = (2_300.0, 4_000.0);

/// Reynolds number from which a coil is fully turbulent. Source: Schmidt (1967).
pub const COIL_TURBULENT_REYNOLDS: f64 = 22_000.0;

/// Nusselt number of turbulent flow in smooth straight tube.
///
/// `Nu = (f/8)(Re − 1000) Pr / [1 + 12.7 √(f/8) (Pr^⅔ − 1)]`, `f = (0.79 ln Re − 1.64)⁻²`
///
/// | argument | meaning | range |
/// |---|---|---|
/// | `reynolds` | Re | 3000…5e6 |
/// | `prandtl` | Pr | 0.5…2000 |
///
/// Outside the range it continues unchecked.
///
/// Source: Gnielinski (1976), Int. Chem. Eng. 16:359; friction factor Petukhov (1970).
///
/// ```
/// // ht 1.2.0: 74.16 at Re 1e4, Pr 5.83 with Petukhov's friction factor.
/// assert!((swimdays_collector::gnielinski_nusselt(1e4, 5.83) - 74.16).abs() < 0.01);
/// ```
#[must_use]
pub fn gnielinski_nusselt(reynolds: f64, prandtl: f64) -> f64 {
    let f8 = (0.79 * reynolds.ln() - 1.64).powi(-2) / 8.0;
    f8 * (reynolds - 1_000.0) * prandtl / (1.0 + 12.7 * f8.sqrt() * (prandtl.powf(2.0 / 3.0) - 1.0))
}

/// Nusselt number in straight tube, laminar to turbulent without a jump.
///
/// Laminar [`LAMINAR_NUSSELT`]; turbulent [`gnielinski_nusselt`]; between [`TRANSITION_REYNOLDS`] the straight line
/// in Re between the two ends.
///
/// | argument | meaning | range |
/// |---|---|---|
/// | `reynolds` | Re | 0…5e6 |
/// | `prandtl` | Pr | 0.5…2000 |
///
/// Source: Gnielinski (2013), Int. J. Heat Mass Transfer 63:134 (interpolation).
/// Differs: the entrance length, which raises laminar film in the first metres, is left out.
#[must_use]
pub fn straight_nusselt(reynolds: f64, prandtl: f64) -> f64 {
    let (low, high) = TRANSITION_REYNOLDS;
    if reynolds <= low {
        LAMINAR_NUSSELT
    } else if reynolds >= high {
        gnielinski_nusselt(reynolds, prandtl)
    } else {
        let share = (reynolds - low) / (high - low);
        (1.0 - share) * LAMINAR_NUSSELT + share * gnielinski_nusselt(high, prandtl)
    }
}

/// Reynolds number at which flow in a coil stops being laminar: `2300 [1 + 8.6 (d/D)^0.45]`.
///
/// `curvature` is bore over coil diameter. Source: Schmidt (1967), Chem.-Ing.-Tech. 39:781.
#[must_use]
pub fn coil_critical_reynolds(curvature: f64) -> f64 {
    2_300.0 * (1.0 + 8.6 * curvature.powf(0.45))
}

/// Nusselt number of laminar flow in a coil.
///
/// `Nu = 3.65 + 0.08 [1 + 0.8 (d/D)^0.9] Re^m Pr^⅓`, `m = 0.5 + 0.2903 (d/D)^0.194`
///
/// | argument | meaning | range |
/// |---|---|---|
/// | `reynolds` | Re | 100…[`coil_critical_reynolds`] |
/// | `prandtl` | Pr | 0.5…1000 (from memory) |
/// | `curvature` | d/D | 0.012…0.2 (from memory) |
///
/// Outside the range it continues unchecked.
///
/// Source: Schmidt (1967), Chem.-Ing.-Tech. 39:781 (from memory).
#[must_use]
pub fn coil_laminar_nusselt(reynolds: f64, prandtl: f64, curvature: f64) -> f64 {
    let m = 0.5 + 0.290_3 * curvature.powf(0.194);
    3.65 + 0.08 * (1.0 + 0.8 * curvature.powf(0.9)) * reynolds.powf(m) * prandtl.cbrt()
}

/// Nusselt number of turbulent flow in a coil.
///
/// `Nu = 0.023 [1 + 3.6 (1 − d/D)(d/D)^0.8] Re^0.8 Pr^⅓`
///
/// | argument | meaning | range |
/// |---|---|---|
/// | `reynolds` | Re | [`COIL_TURBULENT_REYNOLDS`]…1.5e5 |
/// | `prandtl` | Pr | |
/// | `curvature` | d/D | 0.012…0.2 (from memory) |
///
/// Outside the range it continues unchecked.
///
/// Source: Schmidt (1967), Chem.-Ing.-Tech. 39:781.
#[must_use]
pub fn coil_turbulent_nusselt(reynolds: f64, prandtl: f64, curvature: f64) -> f64 {
    0.023
        * (1.0 + 3.6 * (1.0 - curvature) * curvature.powf(0.8))
        * reynolds.powf(0.8)
        * prandtl.cbrt()
}

/// Nusselt number inside the tube, straight or coiled, laminar to turbulent without a jump.
///
/// Coil: [`coil_laminar_nusselt`] up to [`coil_critical_reynolds`], [`coil_turbulent_nusselt`] from
/// [`COIL_TURBULENT_REYNOLDS`], the straight line in Re between.
///
/// Source: the parts as named; the straight line between them after Gnielinski (1986), Proc. 8th Int. Heat Transfer
/// Conf. 6:2847 (from memory). Never below straight tube: the source's base lies some per cent under Gnielinski's.
#[must_use]
pub fn inside_nusselt(reynolds: f64, prandtl: f64, curvature: Option<f64>) -> f64 {
    let straight = straight_nusselt(reynolds, prandtl);
    let Some(curvature) = curvature else {
        return straight;
    };
    let (low, high) = (coil_critical_reynolds(curvature), COIL_TURBULENT_REYNOLDS);
    let coil = if reynolds <= low {
        coil_laminar_nusselt(reynolds, prandtl, curvature)
    } else if reynolds >= high || low >= high {
        coil_turbulent_nusselt(reynolds, prandtl, curvature)
    } else {
        let share = (reynolds - low) / (high - low);
        (1.0 - share) * coil_laminar_nusselt(low, prandtl, curvature)
            + share * coil_turbulent_nusselt(high, prandtl, curvature)
    };
    coil.max(straight)
}

/// The flow in one circuit and the film it makes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InsideFilm {
    /// Speed, m/s.
    pub velocity_m_s: f64,
    /// Reynolds number.
    pub reynolds: f64,
    /// Nusselt number.
    pub nusselt: f64,
    /// Film coefficient, W/(m²·K).
    pub film_w_m2_k: f64,
}

impl InsideFilm {
    /// The film at a flow in one circuit, kg/s, with properties at [`FILM_PROPERTY_C`].
    #[must_use]
    pub fn new(circuit_flow_kg_s: f64, bore_m: f64, coil_diameter_m: Option<f64>) -> Self {
        let area = 0.25 * PI * bore_m * bore_m;
        let flux = circuit_flow_kg_s / area;
        let reynolds = flux * bore_m / water::dynamic_viscosity_pa_s(FILM_PROPERTY_C);
        let prandtl = water::prandtl(FILM_PROPERTY_C);
        let nusselt = inside_nusselt(reynolds, prandtl, coil_diameter_m.map(|d| bore_m / d));
        Self {
            velocity_m_s: flux / water::density_kg_m3(FILM_PROPERTY_C),
            reynolds,
            nusselt,
            film_w_m2_k: nusselt * water::conductivity_w_m_k(FILM_PROPERTY_C) / bore_m,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Twice the largest step of the sweep below.
    const JUMP: f64 = 0.02;

    #[test]
    fn the_film_has_no_jump_and_never_falls() {
        for curvature in [None, Some(0.01), Some(0.03), Some(0.1), Some(0.2)] {
            let mut last = inside_nusselt(10.0, 5.83, curvature);
            let mut re = 10.0;
            while re < 1e5 {
                re *= 1.002;
                let next = inside_nusselt(re, 5.83, curvature);
                assert!(
                    next >= last - 1e-9,
                    "Re {re} {curvature:?}: {last} -> {next}"
                );
                assert!(
                    next / last - 1.0 < JUMP,
                    "Re {re} {curvature:?}: {last} -> {next}"
                );
                last = next;
            }
        }
    }
}
