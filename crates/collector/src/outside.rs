//! Heat transfer between tube or plate and the air: wind, natural convection, the gap below a lid.

use swimdays_properties::constants::{DRY_AIR_GAS_J_KG_K, GRAVITY_M_S2, ZERO_CELSIUS_K};
use swimdays_properties::moist_air::{
    air_conductivity_w_m_k, air_dynamic_viscosity_pa_s, air_kinematic_viscosity_m2_s, air_prandtl,
};

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
#[inline]
#[must_use]
pub fn plate_wind_w_m2_k(wind_m_s: f64) -> f64 {
    2.8 + 3.0 * wind_m_s
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

#[inline]
fn cylinder_nusselt_with(reynolds: f64, prandtl_factor: f64) -> f64 {
    let x = reynolds / 282_000.0;
    let root = x.sqrt();
    let five_eighths = root * root.sqrt().sqrt();
    0.3 + prandtl_factor * reynolds.sqrt() * (1.0 + five_eighths).powf(0.8)
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

/// `x^−⅓` of a positive number without a division, within 1e-10: a guess in the exponent and two steps of third order.
#[inline]
pub(crate) fn inverse_cube_root(x: f64) -> f64 {
    let mut r = f64::from_bits(0x553E_F0FF_289D_D796 - x.to_bits() / 3);
    let mut i = 0;
    while i < 2 {
        let t = 1.0 - x * r * (r * r);
        r += r * t * (1.0 / 3.0 + t * (2.0 / 9.0));
        i += 1;
    }
    r
}

/// `x^⅓` of a positive number, within 1e-10.
#[inline]
fn cube_root(x: f64) -> f64 {
    let r = inverse_cube_root(x);
    x * r * r
}

/// The part of the outside film that depends on the tube alone; made once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Shape {
    outer_diameter_m: f64,
    inverse_diameter_1_m: f64,
    /// 0 a plate, 1 a cylinder by itself.
    isolation_frac: f64,
    forced_prandtl: f64,
    natural_prandtl: f64,
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
            forced_prandtl: cylinder_prandtl_factor(prandtl),
            natural_prandtl: cylinder_natural_factor(prandtl),
            prandtl,
        }
    }

    /// The film in this weather.
    #[inline]
    pub(crate) fn film(&self, air_c: f64, pressure_pa: f64, wind_m_s: f64) -> OutsideFilm {
        let film_c = air_c + FILM_ABOVE_AIR_K;
        let k = air_conductivity_w_m_k(film_c);
        let film_k = film_c + ZERO_CELSIUS_K;
        // One division for both: 1/ν = p/(μ R T), and the Rayleigh number of one kelvin and one metre, g Pr/(T ν²).
        let per_t2 = pressure_pa
            / (air_dynamic_viscosity_pa_s(film_c) * DRY_AIR_GAS_J_KG_K * film_k * film_k);
        let inverse_nu = per_t2 * film_k;
        let buoyancy = GRAVITY_M_S2 * self.prandtl * per_t2 * inverse_nu;
        let g = self.isolation_frac;
        let plate = HOT_PLATE * k;
        let mut out = OutsideFilm {
            air_c,
            forced_w_m2_k: plate_wind_w_m2_k(wind_m_s),
            forced_cubed: 0.0,
            plate_cubed: (1.0 - g) * plate * plate * plate * buoyancy,
            cylinder_scale: 0.0,
            cylinder_slope: 0.0,
        };
        if g > 0.0 {
            let d = self.outer_diameter_m;
            let scale = k * self.inverse_diameter_1_m;
            let forced =
                cylinder_nusselt_with(wind_m_s * d * inverse_nu, self.forced_prandtl) * scale;
            out.forced_w_m2_k += g * (forced - out.forced_w_m2_k);
            out.cylinder_scale = g * scale * scale * scale;
            out.cylinder_slope = self.natural_prandtl * cube_root(buoyancy * d * d * d).sqrt();
        }
        out.forced_cubed = out.forced_w_m2_k * out.forced_w_m2_k * out.forced_w_m2_k;
        out
    }
}

/// Wind and natural convection in one weather: `h = (h_f³ + h_n³)^⅓`.
///
/// Between rows that touch (a plate) and tubes a diameter apart (cylinders) forced and natural film go over in a
/// straight line with the gap: our own interpolation, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct OutsideFilm {
    pub(crate) air_c: f64,
    pub(crate) forced_w_m2_k: f64,
    forced_cubed: f64,
    /// h_n³ of the plate for a kelvin above the air.
    plate_cubed: f64,
    cylinder_scale: f64,
    cylinder_slope: f64,
}

impl OutsideFilm {
    /// The film at a surface temperature, W/(m²·K), and its slope with that temperature, W/(m²·K²).
    ///
    /// Below a kelvin the natural film of a cylinder is rounded off, where its sixth root would turn at a corner.
    #[inline(always)]
    pub(crate) fn at(&self, surface_c: f64) -> (f64, f64) {
        let rise = surface_c - self.air_c;
        let (mut natural_cubed, mut natural_slope) = if rise > 0.0 {
            (self.plate_cubed * rise, self.plate_cubed)
        } else {
            (0.0, 0.0)
        };
        if self.cylinder_scale > 0.0 {
            let size_squared = rise * rise + 1.0;
            // (rise²+1)^(1/12)
            let sixth = cube_root(size_squared).sqrt().sqrt();
            let base = 0.6 + self.cylinder_slope * sixth;
            let fourth = base * base * base * base;
            natural_cubed += self.cylinder_scale * fourth * base * base;
            natural_slope +=
                self.cylinder_scale * fourth * base * self.cylinder_slope * sixth * rise
                    / size_squared;
        }
        let cubed = self.forced_cubed + natural_cubed;
        let r = inverse_cube_root(cubed);
        let r2 = r * r;
        (cubed * r2, natural_slope * r2 * (1.0 / 3.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cube_root_is_one() {
        for i in -200..=200 {
            let x = 10f64.powf(f64::from(i) / 20.0);
            assert!((cube_root(x) / x.cbrt() - 1.0).abs() < 1e-10, "{x}");
        }
    }

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
