//! All heats of one interval by code of our own, from the recorded state.

use solar_positioning::SolarPositions;
use swimdays_season::Shell;

use crate::Ran;
use crate::own::{self, Air, Layer};
use crate::own_sun::{Basin, cosines, over_beam};

/// Heats of one interval by our own code, W.
pub(crate) struct Own {
    pub(crate) sun: f64,
    pub(crate) evaporation: f64,
    pub(crate) convection: f64,
    pub(crate) longwave: f64,
    pub(crate) walls: f64,
    pub(crate) make_up: f64,
    pub(crate) rain: f64,
    pub(crate) evaporated_kg: f64,
    pub(crate) cover_c: f64,
    /// Vapour coefficient in force, W/Pa.
    pub(crate) vapour_w_pa: f64,
    /// Saturation pressures of water and air, summed, Pa.
    pub(crate) pressures_pa: f64,
    pub(crate) lowest_cos: f64,
}

/// Index in the weather of interval `i` of the run.
pub(crate) fn weather_index(ran: &Ran, i: usize) -> usize {
    let n = ran.weather.len();
    let first = (0..n)
        .find(|&k| ran.weather.start_of(k) == ran.year.rows[0].start)
        .expect("the run's first interval is in the weather");
    (first + i) % n
}

pub(crate) fn own_heats(
    ran: &Ran,
    basin: &Basin,
    sun: &SolarPositions,
    offset: usize,
    i: usize,
) -> Own {
    let plan = &ran.plan;
    let pool = &plan.pool;
    assert!(pool.obstructions.is_empty(), "not written for shade");
    let c = &ran.weather.columns;
    let k = (offset + i) % ran.weather.len();
    let hourly = ran.hourly();
    let (start_c, end_c) = (ran.start_c(i), hourly.water_c[i]);
    let water_c = 0.5 * (start_c + end_c);
    let open = ran.is_open(i);
    let air = Air {
        air_c: hourly.air_c[i],
        dew_c: hourly.dew_point_c[i],
        pressure_pa: c.pressure_pa[k],
        wind_m_s: pool.wind_at_water_frac.value * hourly.wind_m_s[i],
        longwave_w_m2: hourly.sky_longwave_w_m2[i],
    };
    let swim = &plan.swim;
    let wall_h = f64::from(u32::try_from(ran.year.ticks[i].slot).expect("a slot"))
        * ran.year.interval_s
        / 3600.0;
    let in_swim_hours = wall_h >= swim.from_h && wall_h < swim.to_h;
    let bathes = open && in_swim_hours && start_c >= swim.target_c && start_c <= swim.too_hot_c;
    let share = (pool.bathing_h_per_day / (swim.to_h - swim.from_h)).min(1.0);
    let factor = if bathes {
        1.0 + share * (pool.bathing_factor - 1.0)
    } else {
        1.0
    };
    let covered = plan
        .cover
        .as_ref()
        .map_or(0.0, |p| hourly.cover_on_frac[i] * p.cover.covered_frac);
    let (open_m2, covered_m2) = (pool.area_m2 * (1.0 - covered), pool.area_m2 * covered);
    let [evaporation, convection, longwave] = own::open_water(&air, factor, water_c);

    let cos = if hourly.ghi_w_m2[i] > 0.0 {
        let place = &ran.weather.place;
        cosines(
            sun,
            ran.unix_s(i),
            ran.year.interval_s,
            (place.latitude_deg, place.longitude_deg),
        )
    } else {
        vec![0.0]
    };
    let beam = c.ghi_w_m2[k] - c.dhi_w_m2[k];
    let dome = c.dhi_w_m2[k];
    let kept = beam.max(0.0) * over_beam(&cos, |x| basin.beam_frac(x)) + dome * basin.diffuse_frac;
    let mut out = Own {
        sun: open_m2 * kept * pool.sun_factor.value,
        evaporation: open_m2 * evaporation,
        convection: open_m2 * convection,
        longwave: open_m2 * longwave,
        walls: 0.0,
        make_up: 0.0,
        rain: 0.0,
        evaporated_kg: 0.0,
        cover_c: f64::NAN,
        vapour_w_pa: factor * own::vapour_w_m2_pa(air.wind_m_s) * open_m2,
        pressures_pa: own::saturation_pa(water_c) + own::saturation_pa(air.dew_c),
        lowest_cos: cos.iter().copied().fold(1.0, f64::min),
    };
    if let (true, Some(cover)) = (covered > 0.0, &plan.cover) {
        let on_cover = pool.sun_factor.value
            * (beam.max(0.0) * over_beam(&cos, Basin::let_in_frac)
                + dome * (1.0 - basin.diffuse_reflectance));
        let layer = Layer {
            absorbed_w_m2: cover.cover.solar_absorptance_frac * on_cover,
            emissivity: cover.cover.emissivity_frac,
            // ISO/TR 12596 (from memory).
            to_air_w_m2_k: 3.1 + 4.1 * air.wind_m_s,
            to_water_w_m2_k: cover.cover.conductance_w_m2_k,
        };
        out.cover_c = layer.temperature_c(air.air_c, air.longwave_w_m2, water_c);
        let [up_convection, up_longwave] = layer.above(air.air_c, air.longwave_w_m2, out.cover_c);
        let left = cover.remaining_evaporation_frac.value;
        let [vapour, _, _] = own::open_water(&air, left, water_c);
        out.sun += covered_m2
            * on_cover
            * (cover.cover.solar_transmittance_frac * basin.below_cover_frac
                + cover.cover.solar_absorptance_frac);
        out.evaporation += covered_m2 * vapour;
        out.convection += covered_m2 * up_convection;
        out.longwave += covered_m2 * up_longwave;
        out.vapour_w_pa += left * own::vapour_w_m2_pa(air.wind_m_s) * covered_m2;
    }
    if let Shell::AboveGround { walls, .. } = &pool.shell {
        let albedo = plan
            .site
            .ground_albedo_frac
            .or_else(|| c.albedo_frac.as_ref().map(|a| a[k]))
            .unwrap_or(0.2);
        // A round wall sees the beam on the mean with sin z / π; half the dome, half the ground.
        let beam_share = over_beam(&cos, |x| (1.0 - x * x).sqrt()) / std::f64::consts::PI;
        let on_wall = c.dni_w_m2[k] * beam_share + 0.5 * dome + 0.5 * albedo * c.ghi_w_m2[k];
        let around =
            0.5 * air.longwave_w_m2 + 0.5 * 5.670_374_419e-8 * (air.air_c + 273.15).powi(4);
        let layer = Layer {
            absorbed_w_m2: walls.absorptance_frac * on_wall,
            emissivity: walls.emissivity_frac,
            // Watmuff, Charters & Proctor (1977) (from memory).
            to_air_w_m2_k: 2.8 + 3.0 * air.wind_m_s,
            to_water_w_m2_k: walls.conductance_w_m2_k,
        };
        let outside_c = layer.temperature_c(air.air_c, around, water_c);
        out.walls = walls.area_m2 * walls.conductance_w_m2_k * (outside_c - water_c);
    }
    let interval_s = ran.year.interval_s;
    out.evaporated_kg = -out.evaporation / own::latent_j_kg(water_c.max(0.01)) * interval_s;
    let splash_kg = if open {
        (pool.splash_kg_m2_day * pool.area_m2 + pool.backwash_m3_week * 997.05 / 7.0) * interval_s
            / 86_400.0
    } else {
        0.0
    };
    let rain_kg = c.rain_mm.as_ref().map_or(0.0, |rain| rain[k]) * pool.area_m2;
    let wanted_kg = (out.evaporated_kg + splash_kg - rain_kg).max(0.0);
    // Specific heat of water at 27 °C: IAPWS-95 (CoolProp 8.0.0), 4180.6 J/(kg·K).
    out.make_up = wanted_kg / interval_s * 4180.6 * (ran.year.rows[i].mains_c - water_c);
    if rain_kg > 0.0 {
        out.rain = rain_kg / interval_s * 4180.6 * (own::wet_bulb_c(&air) - water_c);
    }
    out
}
