//! Benchmarks only; see `benches/`. What stands here is their yardstick.

use swimdays_season::{Plan, Prepared};

/// A pool with fixed coefficients, stepped hour by hour in the plainest way, for the ratio that a machine's own speed leaves out.
///
/// Explicit Euler; evaporation from a quadratic vapour curve, one number for convection and radiation, a heater that is a straight line
/// from noon sun, a cover that is a factor by night. It keeps two sums. It is no model of anything: nobody shall read its result.
#[must_use]
pub fn bare_season(plan: &Plan, year: &Prepared) -> (f64, f64) {
    let capacity_j_k = plan.pool.volume_m3 * 4.17e6;
    let area_m2 = plan.pool.area_m2;
    let wind_frac = plan.pool.wind_at_water_frac.value;
    let heater_m2 = 3.0;
    let (mut water_c, mut warm_h, mut lost_j) = (12.0_f64, 0.0, 0.0);
    let plane = &year.planes[0].rows;
    for ((row, tick), plane) in year.rows.iter().zip(&year.ticks).zip(plane) {
        let night = tick.slot < 8 || tick.slot >= 19;
        let share = if night { 0.1 } else { 1.0 };
        let vapour_pa = 611.0 + water_c * (36.0 + 2.2 * water_c);
        let evaporation = (0.064 + 0.067 * wind_frac * row.wind_m_s) * (vapour_pa - row.vapour_pressure_pa);
        let other = (10.0 + 4.0 * wind_frac * row.wind_m_s) * (water_c - row.air_c);
        let mut into_w = area_m2 * (row.sun_open_w_m2 - share * (evaporation + other));
        if (9..17).contains(&tick.slot) && water_c < 31.0 {
            let sun = plane.beam_w_m2 + plane.diffuse_w_m2;
            into_w += heater_m2 * (0.85 * sun - 18.0 * (water_c - row.air_c));
        }
        lost_j += evaporation * area_m2 * share * year.interval_s;
        water_c = (water_c + into_w * year.interval_s / capacity_j_k).max(0.0);
        if water_c >= 26.0 {
            warm_h += 1.0;
        }
    }
    (warm_h, lost_j)
}
