//! The pool's surface, cover, walls, ground and sun against published equations, measurements and separate code.
//!
//! Sources stand beside the numbers. Calibration (a class of surroundings chosen with the measurement in mind) is
//! called so.

mod cover_and_walls;
mod evaporation;
mod ground;
mod sun;
mod surface;
mod water_flows;

use swimdays_pool::{EvaporationModel, Flux, OpenWater, SurfaceWeather};
use swimdays_properties::moist_air::saturation_pressure_pa;

pub(crate) const SIGMA: f64 = 5.670_374_419e-8;
pub(crate) const SEA_LEVEL_PA: f64 = 101_325.0;

/// A slope by central difference of 1 mK: the third derivative and rounding leave a few 1e-7 of the largest term.
pub(crate) const SLOPE_TOLERANCE: f64 = 2e-6;
/// W/m² printed to one decimal.
pub(crate) const PRINTED_W_M2: f64 = 0.06;

pub(crate) fn near(found: f64, expected: f64, allowed: f64, what: &str) {
    assert!(
        (found - expected).abs() <= allowed,
        "{what}: {found} against {expected} ± {allowed}"
    );
}

/// Water whose evaporation model sees exactly `wind_10m_m_s` of the weather at its own height.
pub(crate) fn at_own_height(model: EvaporationModel, activity: f64) -> OpenWater {
    OpenWater::new(model, 1.0 / model.wind_per_wind_at_water(), activity)
}

pub(crate) fn weather(
    air_c: f64,
    vapour_pressure_pa: f64,
    wind_10m_m_s: f64,
    sky: f64,
) -> SurfaceWeather {
    SurfaceWeather {
        air_c,
        vapour_pressure_pa,
        pressure_pa: SEA_LEVEL_PA,
        wind_10m_m_s,
        sky_longwave_w_m2: sky,
    }
}

/// Many states of weather: air −5…40 °C, dry to humid, calm to windy, clear to overcast, at two altitudes.
pub(crate) fn weathers() -> Vec<SurfaceWeather> {
    let mut all = Vec::new();
    for air_c in [-5.0, 10.0, 25.0, 40.0] {
        for humidity in [0.1, 0.5, 1.0] {
            for wind_10m_m_s in [0.0, 1.0, 4.0, 12.0] {
                for emissivity in [0.65, 1.0] {
                    for pressure_pa in [75_000.0, SEA_LEVEL_PA] {
                        let air_k: f64 = air_c + 273.15;
                        all.push(SurfaceWeather {
                            air_c,
                            vapour_pressure_pa: humidity * saturation_pressure_pa(air_c),
                            pressure_pa,
                            wind_10m_m_s,
                            sky_longwave_w_m2: emissivity * SIGMA * air_k.powi(4),
                        });
                    }
                }
            }
        }
    }
    all
}

pub(crate) const WATERS_C: [f64; 4] = [2.0, 15.0, 27.0, 40.0];

pub(crate) fn slope_holds(what: &str, of: impl Fn(f64) -> Flux, at: f64) {
    const STEP_K: f64 = 1e-3;
    let finite = (of(at + STEP_K).w_m2 - of(at - STEP_K).w_m2) / (2.0 * STEP_K);
    let found = of(at).slope_w_m2_k;
    let allowed = SLOPE_TOLERANCE * (1.0 + finite.abs());
    near(found, finite, allowed, what);
}
