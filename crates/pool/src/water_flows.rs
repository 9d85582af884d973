//! Water that comes in from the mains and the sky.
//!
//! The pool's volume is kept, so what leaves (splash, backwash, overflow) leaves at the water's own temperature and takes
//! no part in its heat balance; what replaces it is counted by its temperature difference. Vapour's share beyond the
//! latent heat at the water's temperature is nil by the same count.

use swimdays_properties::real::Real;
use swimdays_properties::water::SPECIFIC_HEAT_27C_J_KG_K;

use crate::flux::Flux;
use crate::ground::AnnualCycle;

/// Heat brought by water from the mains: `ṁ c_p (T_mains − T_w)`.
///
/// | symbol | argument | unit |
/// |---|---|---|
/// | ṁ | `kg_m2_s`: per m² of surface (or kg/s for the whole pool, giving W) | kg/(m²·s) |
/// | T_mains, T_w | `mains_c`, `water_c` | °C |
///
/// Source: first law; `c_p` is that of 27 °C, at most 0.4 % off between 10 and 40 °C.
#[inline(always)]
#[must_use]
pub fn make_up_w_m2<R: Real>(kg_m2_s: R, mains_c: f64, water_c: R) -> Flux<R> {
    let capacity_w_m2_k = kg_m2_s * SPECIFIC_HEAT_27C_J_KG_K;
    Flux {
        w_m2: -(capacity_w_m2_k * (water_c - mains_c)),
        slope_w_m2_k: -capacity_w_m2_k,
    }
}

/// Heat brought by rain, which falls at the air's wet-bulb temperature: `ṁ c_p (T_wb − T_w)`.
///
/// Source: drops are near wet bulb (common practice, no source). Snow and hail, which take their heat of fusion from
/// the water as well, are not counted.
#[inline(always)]
#[must_use]
pub fn rain_w_m2<R: Real>(kg_m2_s: R, wet_bulb_c: f64, water_c: R) -> Flux<R> {
    make_up_w_m2(kg_m2_s, wet_bulb_c, water_c)
}

/// Temperature of mains water on a day, °C.
///
/// ```text
/// T = T_m + 6 + r A sin[0.986° (n − 15 − lag) − 90°]      T_m, A in °F, with 15 January as coldest day of the air
/// r = 0.4 + 0.01 (T_m − 44)      lag = 35 − (T_m − 44) days
/// ```
///
/// | symbol | argument | range |
/// |---|---|---|
/// | T_m, A | `cycle.mean_c`, `cycle.amplitude_k` of the air | −5…30 °C |
/// | n − 15 | `day` less `cycle.coldest_day`: so it serves both hemispheres | |
///
/// Not below 1 °C: mains lie below the frost.
///
/// Source: Burch & Christensen (2007), *Towards Development of an Algorithm for Mains Water Temperature*, NREL (from memory).
/// Differs: coldest day and amplitude are those of the site's air rather than 15 January and the monthly means.
#[must_use]
pub fn mains_c(cycle: &AnnualCycle, day: f64) -> f64 {
    // In kelvin: 6 °F = 10/3 K; 44 °F = 6.67 °C; 0.01 per °F = 0.018 per K; 1 day per °F = 1.8 days per K.
    let above_44f_k = cycle.mean_c - 20.0 / 3.0;
    let ratio = 0.4 + 0.018 * above_44f_k;
    let lag_days = 35.0 - 1.8 * above_44f_k;
    let angle = 0.986_f64.to_radians() * (day - cycle.coldest_day - lag_days);
    (cycle.mean_c + 10.0 / 3.0 - ratio * cycle.amplitude_k * angle.cos()).max(1.0)
}
