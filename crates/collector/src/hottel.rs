//! The textbook relations of a liquid heater, one function each, and the resistances around a tube.

use std::f64::consts::PI;

use swimdays_properties::elementary::exp;
use swimdays_properties::real::{Mask, Real};

/// Fin parameter `m = √(U_L/(k δ))`, 1/m.
///
/// | symbol | argument | unit |
/// |---|---|---|
/// | U_L | `loss_w_m2_k` | W/(m²·K) |
/// | k δ | `conductivity_thickness_w_k` | W/K |
///
/// Source: Duffie & Beckman, equation 6.5.4a.
#[must_use]
pub fn fin_parameter_1_m(loss_w_m2_k: f64, conductivity_thickness_w_k: f64) -> f64 {
    (loss_w_m2_k / conductivity_thickness_w_k).sqrt()
}

/// Efficiency of a straight fin of half-width `x/m`: `F = tanh(x)/x`.
///
/// `x` = m (W − D)/2, 0…∞; 1 at 0. Source: Duffie & Beckman, equation 6.5.12.
///
/// ```
/// // Duffie & Beckman, example 6.5.1: m = 6.45 1/m, W − D = 0.14 m, F = 0.937.
/// assert!((swimdays_collector::hottel::fin_efficiency(6.45 * 0.07) - 0.937).abs() < 5e-4);
/// ```
#[inline(always)]
#[must_use]
pub fn fin_efficiency<R: Real>(x: R) -> R {
    let e = exp(x * -2.0);
    let whole = (-e + 1.0) / ((e + 1.0) * x);
    R::select(x.is_below(x.like(1e-3)), -(x * x / 3.0) + 1.0, whole)
}

/// Collector efficiency factor `F′` of tubes below, beside or above a sheet.
///
/// `F′ = (1/U_L)/( W { 1/[U_L (D + (W − D) F)] + 1/C_b + 1/(π D_i h) } )`
///
/// | symbol | argument | unit |
/// |---|---|---|
/// | U_L | `loss_w_m2_k` | W/(m²·K) |
/// | W, D | `pitch_m`, `outer_diameter_m` | m |
/// | F | `fin` | 1 |
/// | 1/C_b + 1/(π D_i h) | `inside_m_k_w` | m·K/W |
///
/// Source: Duffie & Beckman, equation 6.5.18.
#[must_use]
pub fn efficiency_factor(
    loss_w_m2_k: f64,
    pitch_m: f64,
    outer_diameter_m: f64,
    fin: f64,
    inside_m_k_w: f64,
) -> f64 {
    let width = outer_diameter_m + (pitch_m - outer_diameter_m) * fin;
    1.0 / (loss_w_m2_k * pitch_m * (1.0 / (loss_w_m2_k * width) + inside_m_k_w))
}

/// Heat-removal factor `F_R = (ṁ c_p/(A U_L)) [1 − exp(−A U_L F′/(ṁ c_p))]`.
///
/// | symbol | argument | unit |
/// |---|---|---|
/// | F′ | `efficiency_factor` | 1 |
/// | A U_L | `area_loss_w_k` | W/K |
/// | ṁ c_p | `capacity_w_k` | W/K |
///
/// Source: Duffie & Beckman, equation 6.7.4.
#[must_use]
pub fn removal_factor(efficiency_factor: f64, area_loss_w_k: f64, capacity_w_k: f64) -> f64 {
    let ntu = area_loss_w_k * efficiency_factor / capacity_w_k;
    capacity_w_k / area_loss_w_k * (1.0 - (-ntu).exp())
}

/// Share of the whole rise by which the mean water is above the inlet: `φ(N) = 1/(1 − e^−N) − 1/N`.
///
/// ½ at N = 0, 1 at N = ∞; N is the number of transfer units of the flow against its stagnation temperature.
/// With it the heat at the mean water temperature is the heat of the exponential profile:
/// `T_mean − T_in = φ Q/(ṁ c_p)`.
///
/// Source: integral of Duffie & Beckman, equation 6.6.4, over the length (compare equation 6.9.3).
#[inline(always)]
#[must_use]
pub fn mean_rise_share<R: Real>(ntu: R) -> R {
    // Bernoulli numbers; what is left out is below 2e-10.
    let n2 = ntu * ntu;
    let inner = n2 * (-(n2 * (1.0 / 47_900_160.0)) + 1.0 / 1_209_600.0);
    let series = -(n2 * (-(n2 * (-inner + 1.0 / 30_240.0)) + 1.0 / 720.0)) + 1.0 / 12.0;
    let small = ntu * series + 0.5;
    let large = ntu.is_at_least(ntu.like(0.7));
    if large.any() {
        let one = ntu.like(1.0);
        let closed = one / (-exp(-ntu) + 1.0) - one / ntu;
        R::select(large, closed, small)
    } else {
        small
    }
}

/// Resistance of the tube's wall for a metre of tube, m·K/W: `ln(D/d)/(2π k)`.
///
/// Source: steady conduction in a cylinder, any heat-transfer text.
#[must_use]
pub fn wall_resistance_m_k_w(outer_diameter_m: f64, bore_m: f64, conductivity_w_m_k: f64) -> f64 {
    (outer_diameter_m / bore_m).ln() / (2.0 * PI * conductivity_w_m_k)
}

/// Resistance of the water's film for a metre of tube, m·K/W: `1/(π d h)`.
#[must_use]
pub fn film_resistance_m_k_w(bore_m: f64, film_w_m2_k: f64) -> f64 {
    1.0 / (PI * bore_m * film_w_m2_k)
}

/// Share of the tube's perimeter that carries heat when only its upper half is heated, ½…1.
///
/// The lower half is a fin fed from both ends, `πr/2` long: `½ (1 + tanh(x)/x)`, `x = (π r/2) √(h/(k t))`.
/// A plastic wall carries heat a millimetre around the tube, so ½; copper spreads it, so near 1.
///
/// | symbol | argument | unit |
/// |---|---|---|
/// | r | mean of `outer_diameter_m` and `bore_m`, halved | m |
/// | t | half their difference | m |
/// | h | `film_w_m2_k` | W/(m²·K) |
/// | k | `conductivity_w_m_k` | W/(m·K) |
///
/// Source: our own application of the straight fin (Duffie & Beckman, equation 6.5.12).
#[must_use]
pub fn heated_perimeter_frac(
    outer_diameter_m: f64,
    bore_m: f64,
    conductivity_w_m_k: f64,
    film_w_m2_k: f64,
) -> f64 {
    let thickness = 0.5 * (outer_diameter_m - bore_m);
    let radius = 0.25 * (outer_diameter_m + bore_m);
    let x = 0.5 * PI * radius * (film_w_m2_k / (conductivity_w_m_k * thickness)).sqrt();
    0.5 * (1.0 + fin_efficiency(x))
}

/// Resistance between a row of equal tubes in a solid and the solid's surface, for a metre of tube, m·K/W.
///
/// `R′ = ln[ (2W/(πD)) sinh(2πz/W) ]/(2πk)`
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | W | `spacing_m` | m | > D |
/// | D | `outer_diameter_m` | m | |
/// | z | `depth_m` to the axis | m | > D |
/// | k | `conductivity_w_m_k` | W/(m·K) | |
///
/// Outside the range it continues unchecked and may go below zero.
///
/// Source: conduction shape factor of a row of buried cylinders, heat-transfer texts (from memory).
#[must_use]
pub fn buried_row_resistance_m_k_w(
    spacing_m: f64,
    outer_diameter_m: f64,
    depth_m: f64,
    conductivity_w_m_k: f64,
) -> f64 {
    let x = 2.0 * PI * depth_m / spacing_m;
    // ln sinh x = x + ln(1 − e^−2x) − ln 2: no overflow for deep rows.
    let ln_sinh = x + (-(-2.0 * x).exp()).ln_1p() - std::f64::consts::LN_2;
    ((2.0 * spacing_m / (PI * outer_diameter_m)).ln() + ln_sinh) / (2.0 * PI * conductivity_w_m_k)
}
