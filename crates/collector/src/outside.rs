//! Heat transfer between tube or plate and the air: wind, natural convection, the gap below a lid.

use swimdays_properties::constants::{DRY_AIR_GAS_J_KG_K, GRAVITY_M_S2, ZERO_CELSIUS_K};
use swimdays_properties::elementary::{cube_root, inverse_cube_root};
use swimdays_properties::moist_air::{
    air_conductivity_w_m_k, air_dynamic_viscosity_pa_s, air_kinematic_viscosity_m2_s, air_prandtl,
};
use swimdays_properties::real::{Mask, Real};

/// The air's properties are taken this much above the air, K: about the middle between air and a working surface.
/// Ten kelvin more or less move a film by less than 1 %.
pub const FILM_ABOVE_AIR_K: f64 = 15.0;

/// Wind in which [`plate_wind_w_m2_k`] was found, m/s (from memory).
pub const PLATE_WIND_RANGE_M_S: (f64, f64) = (0.0, 7.0);

/// Heat loss of a flat plate in wind without its radiation, W/(m²·K): `h = 2.8 + 3.0 u`.
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `wind_m_s` | wind at the plate | m/s | [`PLATE_WIND_RANGE_M_S`] |
///
/// Above the range it continues unchecked. Other plate formulas differ from it by a factor of up to 2 at garden winds;
/// this is the largest doubt of an unglazed heater.
///
/// Source: Watmuff, Charters & Proctor (1977), COMPLES 2.
#[inline(always)]
#[must_use]
pub fn plate_wind_w_m2_k<R: Real>(wind_m_s: R) -> R {
    wind_m_s * 3.0 + 2.8
}

/// Nusselt number of a cylinder across the wind.
///
/// `Nu = 0.3 + 0.62 Re^½ Pr^⅓ / [1 + (0.4/Pr)^⅔]^¼ · [1 + (Re/282000)^⅝]^⅘`
///
/// | argument | meaning | range |
/// |---|---|---|
/// | `reynolds` | Re with the outside diameter | Re Pr > 0.2 |
/// | `prandtl` | Pr | |
///
/// Source: Churchill & Bernstein (1977), J. Heat Transfer 99:300.
#[must_use]
pub fn cylinder_nusselt(reynolds: f64, prandtl: f64) -> f64 {
    cylinder_nusselt_with(reynolds, cylinder_prandtl_factor(prandtl))
}

/// The part of [`cylinder_nusselt`] that depends on the Prandtl number.
fn cylinder_prandtl_factor(prandtl: f64) -> f64 {
    0.62 * prandtl.cbrt() / (1.0 + (0.4 / prandtl).powf(2.0 / 3.0)).powf(0.25)
}

#[inline(always)]
fn cylinder_nusselt_with<R: Real>(reynolds: R, prandtl_factor: f64) -> R {
    let root = (reynolds / 282_000.0).root();
    let one_and_five_eighths = root * root.root().root() + 1.0;
    let four_fifths = reynolds.each(|lane| one_and_five_eighths.lane(lane).powf(0.8));
    reynolds.root() * prandtl_factor * four_fifths + 0.3
}

/// Nusselt number of natural convection from a long horizontal cylinder.
///
/// `Nu = { 0.60 + 0.387 Ra^⅙ / [1 + (0.559/Pr)^(9/16)]^(8/27) }²`
///
/// | argument | meaning | range |
/// |---|---|---|
/// | `rayleigh` | Ra with the outside diameter | ≤ 1e12 |
/// | `prandtl` | Pr | |
///
/// Source: Churchill & Chu (1975), Int. J. Heat Mass Transfer 18:1049.
#[must_use]
pub fn cylinder_natural_nusselt(rayleigh: f64, prandtl: f64) -> f64 {
    let b = cylinder_natural_factor(prandtl);
    (0.6 + b * rayleigh.cbrt().sqrt()).powi(2)
}

fn cylinder_natural_factor(prandtl: f64) -> f64 {
    0.387 / (1.0 + (0.559 / prandtl).powf(9.0 / 16.0)).powf(8.0 / 27.0)
}

/// Nusselt number of natural convection from a hot plate facing up: `0.15 Ra^⅓`, whatever its size.
///
/// `rayleigh` 1e7…1e11; outside it continues unchecked. Source: McAdams (1954); Incropera & DeWitt, equation 9.31.
#[must_use]
pub fn plate_natural_nusselt(rayleigh: f64) -> f64 {
    HOT_PLATE * rayleigh.cbrt()
}

const HOT_PLATE: f64 = 0.15;

/// Nusselt number of the air gap between two parallel plates, the lower one hotter, tilted 0…75°.
///
/// `Nu = 1 + 1.44 [1 − 1708 (sin 1.8β)^1.6/(Ra cos β)] [1 − 1708/(Ra cos β)]⁺ + [(Ra cos β/5830)^⅓ − 1]⁺`
///
/// | argument | meaning | range |
/// |---|---|---|
/// | `rayleigh` | Ra with the gap | 0…1e5 |
/// | `tilt_deg` | β | 0…75 |
///
/// Above 75° the value of 75° is taken (from memory: the source gives another relation there).
///
/// Source: Hollands et al. (1976), J. Heat Transfer 98:189; Duffie & Beckman, equation 3.11.4.
#[must_use]
pub fn gap_nusselt(rayleigh: f64, tilt_deg: f64) -> f64 {
    let tilt = tilt_deg.clamp(0.0, 75.0).to_radians();
    let ra_cos = (rayleigh * tilt.cos()).max(1e-9);
    let conduction = (1.0 - 1_708.0 / ra_cos).max(0.0);
    let waves = 1.0 - 1_708.0 * (1.8 * tilt).sin().max(0.0).powf(1.6) / ra_cos;
    1.0 + 1.44 * waves * conduction + ((ra_cos / 5_830.0).cbrt() - 1.0).max(0.0)
}

/// Convection and conduction across the gap below a lid, W/(m²·K), at a temperature difference and mean.
#[must_use]
pub fn gap_w_m2_k(
    difference_k: f64,
    mean_c: f64,
    pressure_pa: f64,
    gap_m: f64,
    tilt_deg: f64,
) -> f64 {
    let nu = air_kinematic_viscosity_m2_s(mean_c, pressure_pa);
    let rayleigh = GRAVITY_M_S2 * difference_k.max(0.0) * gap_m.powi(3) * air_prandtl(mean_c)
        / ((mean_c + ZERO_CELSIUS_K) * nu * nu);
    gap_nusselt(rayleigh, tilt_deg) * air_conductivity_w_m_k(mean_c) / gap_m
}

/// The part of the outside film that depends on the tube alone; made once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Shape<R = f64> {
    outer_diameter_m: R,
    inverse_diameter_1_m: R,
    /// 0 a plate, 1 a cylinder by itself.
    isolation_frac: R,
    factors: PrandtlFactors,
}

/// The factors of the forced and the natural film of a cylinder, and the Prandtl number, at [`PRANDTL_C`].
#[derive(Clone, Copy, Debug, PartialEq)]
struct PrandtlFactors {
    forced: f64,
    natural: f64,
    prandtl: f64,
}

/// Temperature at which the weak dependence on the air's Prandtl number is taken, °C.
const PRANDTL_C: f64 = 30.0;

impl Shape {
    pub(crate) fn new(outer_diameter_m: f64, isolation_frac: f64) -> Self {
        let prandtl = air_prandtl(PRANDTL_C);
        Self {
            outer_diameter_m,
            inverse_diameter_1_m: 1.0 / outer_diameter_m,
            isolation_frac,
            factors: PrandtlFactors {
                forced: cylinder_prandtl_factor(prandtl),
                natural: cylinder_natural_factor(prandtl),
                prandtl,
            },
        }
    }
}

impl<R: Real> Shape<R> {
    /// Several shapes side by side, one for each lane of `like`.
    pub(crate) fn join(like: R, lanes: &[&Shape]) -> Self {
        let of = |pick: fn(&Shape) -> f64| like.each(|lane| pick(lanes[lane]));
        Self {
            outer_diameter_m: of(|s| s.outer_diameter_m),
            inverse_diameter_1_m: of(|s| s.inverse_diameter_1_m),
            isolation_frac: of(|s| s.isolation_frac),
            factors: lanes[0].factors,
        }
    }

    /// The film in this weather.
    #[inline(always)]
    pub(crate) fn film(&self, air_c: f64, pressure_pa: f64, wind_m_s: R) -> OutsideFilm<R> {
        let factors = self.factors;
        let film_c = air_c + FILM_ABOVE_AIR_K;
        let k = air_conductivity_w_m_k(film_c);
        let film_k = film_c + ZERO_CELSIUS_K;
        // One division for both: 1/ν = p/(μ R T), and the Rayleigh number of one kelvin and one metre, g Pr/(T ν²).
        let per_t2 = pressure_pa
            / (air_dynamic_viscosity_pa_s(film_c) * DRY_AIR_GAS_J_KG_K * film_k * film_k);
        let inverse_nu = per_t2 * film_k;
        let buoyancy = GRAVITY_M_S2 * factors.prandtl * per_t2 * inverse_nu;
        let g = self.isolation_frac;
        let zero = g.like(0.0);
        let round = g.is_above(zero);
        let plate = HOT_PLATE * k;
        let mut forced_w_m2_k = plate_wind_w_m2_k(wind_m_s);
        let (mut cylinder_scale, mut cylinder_slope) = (zero, zero);
        if round.any() {
            let d = self.outer_diameter_m;
            let scale = self.inverse_diameter_1_m * k;
            let forced = cylinder_nusselt_with(wind_m_s * d * inverse_nu, factors.forced) * scale;
            let mixed = forced_w_m2_k + g * (forced - forced_w_m2_k);
            forced_w_m2_k = R::select(round, mixed, forced_w_m2_k);
            cylinder_scale = R::select(round, g * scale * scale * scale, zero);
            cylinder_slope = cube_root(d * d * d * buoyancy).root() * factors.natural;
        }
        OutsideFilm {
            air_c,
            forced_w_m2_k,
            forced_cubed: forced_w_m2_k * forced_w_m2_k * forced_w_m2_k,
            plate_cubed: (-g + 1.0) * (plate * plate * plate * buoyancy),
            cylinder_scale,
            cylinder_slope,
        }
    }
}

/// Wind and natural convection in one weather: `h = (h_f³ + h_n³)^⅓`.
///
/// Between rows that touch (a plate) and tubes a diameter apart (cylinders) forced and natural film go over in a
/// straight line with the gap: our own interpolation, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct OutsideFilm<R = f64> {
    pub(crate) air_c: f64,
    pub(crate) forced_w_m2_k: R,
    forced_cubed: R,
    /// h_n³ of the plate for a kelvin above the air.
    plate_cubed: R,
    cylinder_scale: R,
    cylinder_slope: R,
}

impl<R: Real> OutsideFilm<R> {
    /// The film at a surface temperature, W/(m²·K), and its slope with that temperature, W/(m²·K²).
    ///
    /// Below a kelvin the natural film of a cylinder is rounded off, where its sixth root would turn at a corner.
    #[inline(always)]
    pub(crate) fn at(&self, surface_c: R) -> (R, R) {
        let rise = surface_c - self.air_c;
        let zero = rise.like(0.0);
        let warm = rise.is_above(zero);
        let round = self.cylinder_scale.is_above(zero);
        // Nothing rises from a plate that is colder than the air.
        let rises = warm | round;
        if !rises.any() {
            return (self.forced_w_m2_k, zero);
        }
        let mut natural_cubed = R::select(warm, self.plate_cubed * rise, zero);
        let mut natural_slope = R::select(warm, self.plate_cubed, zero);
        if round.any() {
            let size_squared = rise * rise + 1.0;
            // (rise²+1)^(1/12)
            let sixth = cube_root(size_squared).root().root();
            let base = self.cylinder_slope * sixth + 0.6;
            let fourth = base * base * base * base;
            let cubed = natural_cubed + self.cylinder_scale * fourth * base * base;
            let slope = natural_slope
                + self.cylinder_scale * fourth * base * self.cylinder_slope * sixth * rise
                    / size_squared;
            natural_cubed = R::select(round, cubed, natural_cubed);
            natural_slope = R::select(round, slope, natural_slope);
        }
        let cubed = self.forced_cubed + natural_cubed;
        let r = inverse_cube_root(cubed);
        let r2 = r * r;
        (
            R::select(rises, cubed * r2, self.forced_w_m2_k),
            natural_slope * r2 * (1.0 / 3.0),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slopes_are_derivatives() {
        for isolation in [0.0, 0.4, 1.0] {
            let film = Shape::new(0.018, isolation).film(25.0, 101_325.0, 0.2);
            for surface in [-10.0, 5.0, 24.0, 26.0, 40.0, 90.0] {
                let h = 1e-4;
                let finite = (film.at(surface + h).0 - film.at(surface - h).0) / (2.0 * h);
                assert!(
                    (film.at(surface).1 - finite).abs() < 1e-6,
                    "{isolation} {surface}"
                );
            }
        }
    }
}
