//! Cover and walls against separate code, limits and published ranges.

use swimdays_pool::{
    CoverKind, EvaporationModel, OpenWater, WallKind, cover_convection_w_m2_k,
    wall_convection_w_m2_k,
};
use swimdays_tests::Errors;

use crate::{SIGMA, WATERS_C, near, slope_holds, weather, weathers};

/// Temperature of a skin by halving, written from the balance alone.
fn skin_by_halving(
    absorbed: f64,
    emissivity: f64,
    longwave: f64,
    convection: f64,
    air_c: f64,
    conductance: f64,
    water_c: f64,
) -> f64 {
    let balance = |c: f64| {
        absorbed
            + emissivity * (longwave - SIGMA * (c + 273.15).powi(4))
            + convection * (air_c - c)
            + conductance * (water_c - c)
    };
    let (mut low, mut high) = (-200.0, 400.0);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if balance(middle) > 0.0 {
            low = middle
        } else {
            high = middle
        }
    }
    0.5 * (low + high)
}

#[test]
fn cover_closes_its_balance_everywhere() {
    // The contract of the cover's fixed number of Halley steps.
    const RESIDUAL_W_M2: f64 = 1e-6;
    const SUM_W_M2: f64 = 1e-9;
    let open = OpenWater::new(EvaporationModel::default(), 0.3, 1.0);
    let mut residuals = Vec::new();
    let mut temperatures = Vec::new();
    for kind in CoverKind::ALL {
        let spans = kind.spans();
        for (absorptance, conductance) in [
            (
                spans.solar_absorptance_frac.value,
                spans.conductance_w_m2_k.value,
            ),
            (
                spans.solar_absorptance_frac.high,
                spans.conductance_w_m2_k.low,
            ),
            (
                spans.solar_absorptance_frac.low,
                spans.conductance_w_m2_k.high,
            ),
            // Worse than any: black, and all but cut off from the water.
            (1.0, 0.5),
        ] {
            let mut cover = kind.cover();
            cover.solar_absorptance_frac = absorptance;
            cover.conductance_w_m2_k = conductance;
            for w in weathers() {
                for sun in [0.0, 500.0, 1_100.0] {
                    for water_c in WATERS_C {
                        let flux = cover.flux(&open, &w, sun, 0.9, water_c);
                        let from_above = flux.sun_w_m2
                            + flux.evaporation.w_m2
                            + flux.convection.w_m2
                            + flux.longwave.w_m2;
                        near(
                            from_above - flux.residual_w_m2,
                            flux.to_water_w_m2,
                            SUM_W_M2,
                            "sum",
                        );
                        assert!(flux.residual_w_m2.abs() < RESIDUAL_W_M2, "{flux:?}");
                        residuals.push(flux.residual_w_m2);
                        let expected = skin_by_halving(
                            absorptance * sun,
                            cover.emissivity_frac,
                            w.sky_longwave_w_m2,
                            cover_convection_w_m2_k(0.3 * w.wind_10m_m_s),
                            w.air_c,
                            conductance,
                            water_c,
                        );
                        temperatures.push(flux.cover_c - expected);
                    }
                }
            }
        }
    }
    let apart = Errors::of(&temperatures);
    println!("cover's residual, W/m²: {}", Errors::of(&residuals));
    println!("cover's temperature against halving, K: {apart}");
    assert!(apart.max < 1e-7, "{apart}");
}

#[test]
fn cover_in_its_limits() {
    let open = OpenWater::new(EvaporationModel::default(), 0.3, 1.0);
    let w = weather(18.0, 1_200.0, 3.0, 330.0);
    let open_flux = open.flux(&w, 1.0, 27.0);

    // A film without substance: the water's own longwave, all its evaporation, all the light.
    let mut film = CoverKind::Liquid.cover();
    film.conductance_w_m2_k = 1e9;
    film.remaining_evaporation_frac = 1.0;
    let flux = film.flux(&open, &w, 800.0, 0.9, 27.0);
    near(flux.cover_c, 27.0, 1e-5, "film's temperature");
    near(
        flux.longwave.w_m2,
        open_flux.longwave.w_m2,
        1e-4,
        "film's longwave",
    );
    near(
        flux.evaporation.w_m2,
        open_flux.evaporation.w_m2,
        1e-12,
        "film's evaporation",
    );
    near(flux.sun_w_m2, 0.9 * 800.0, 1e-9, "film's sun");
    near(
        flux.convection.w_m2,
        (3.1 + 4.1 * 0.9) * (18.0 - 27.0),
        1e-4,
        "film's convection",
    );

    // A perfect insulator that lets nothing by: nothing reaches the water, whatever the sun.
    let mut lid = CoverKind::Foam.cover();
    lid.solar_transmittance_frac = 0.0;
    lid.conductance_w_m2_k = 0.0;
    lid.remaining_evaporation_frac = 0.0;
    let flux = lid.flux(&open, &w, 800.0, 0.9, 27.0);
    near(flux.to_water_w_m2, 0.0, 1e-12, "lid");
    near(
        flux.sun_w_m2 + flux.convection.w_m2 + flux.longwave.w_m2,
        0.0,
        1e-6,
        "lid from above",
    );
    assert!(flux.convection.slope_w_m2_k.abs() < 1e-12 && flux.longwave.slope_w_m2_k.abs() < 1e-12);

    // Only light passes: τ κ S.
    lid.solar_transmittance_frac = 0.5;
    lid.solar_absorptance_frac = 0.0;
    let flux = lid.flux(&open, &w, 800.0, 0.9, 27.0);
    near(flux.to_water_w_m2, 0.5 * 0.9 * 800.0, 1e-9, "window");
}

#[test]
fn bubble_cover_takes_as_much_sun_as_published() {
    // NREL consumer text: a clear bubble cover lowers the sun that the pool absorbs by as little as 5 %, a dark one by up to
    // 40 %. Of the sun that open water would keep (0.9), what reaches the water under the cover, its own warmth included.
    let open = OpenWater::new(EvaporationModel::default(), 0.3, 1.0);
    let w = weather(22.0, 1_400.0, 3.0, 340.0);
    let lost = |transmittance, absorptance| {
        let mut cover = CoverKind::Bubble.cover();
        cover.solar_transmittance_frac = transmittance;
        cover.solar_absorptance_frac = absorptance;
        let gain = cover.flux(&open, &w, 700.0, 0.9, 26.0).to_water_w_m2
            - cover.flux(&open, &w, 0.0, 0.9, 26.0).to_water_w_m2;
        1.0 - gain / (0.9 * 700.0)
    };
    let spans = CoverKind::Bubble.spans();
    let clear = lost(
        spans.solar_transmittance_frac.high,
        spans.solar_absorptance_frac.low,
    );
    let usual = lost(
        spans.solar_transmittance_frac.value,
        spans.solar_absorptance_frac.value,
    );
    let dark = lost(
        spans.solar_transmittance_frac.low,
        spans.solar_absorptance_frac.high,
    );
    println!("sun lost to a bubble cover: clear {clear:.3}, usual {usual:.3}, dark {dark:.3}");
    assert!(0.03 < clear && clear < usual && usual < dark && dark < 0.40);
}

#[test]
fn cover_slopes() {
    let open = OpenWater::new(EvaporationModel::default(), 0.3, 1.0);
    for kind in CoverKind::ALL {
        let cover = kind.cover();
        for w in weathers() {
            for sun in [0.0, 900.0] {
                let at = |c: f64| cover.flux(&open, &w, sun, 0.9, c);
                for water_c in WATERS_C {
                    slope_holds("evaporation", |c| at(c).evaporation, water_c);
                    slope_holds("convection", |c| at(c).convection, water_c);
                    slope_holds("longwave", |c| at(c).longwave, water_c);
                }
            }
        }
    }
}

#[test]
fn walls_close_their_balance_and_their_slope_holds() {
    // Same steps as the cover; times a conductance of 140 W/(m²·K).
    const WALL_W_M2: f64 = 1e-5;
    for kind in WallKind::ALL {
        for insulation in [0.0, 1.0] {
            let walls = kind.walls(20.0, insulation);
            for w in weathers() {
                for sun in [0.0, 600.0] {
                    let at = |c: f64| {
                        walls.flux(w.air_c, 0.3 * w.wind_10m_m_s, sun, w.sky_longwave_w_m2, c)
                    };
                    for water_c in WATERS_C {
                        let outside = skin_by_halving(
                            walls.absorptance_frac * sun,
                            walls.emissivity_frac,
                            w.sky_longwave_w_m2,
                            wall_convection_w_m2_k(0.3 * w.wind_10m_m_s),
                            w.air_c,
                            walls.conductance_w_m2_k,
                            water_c,
                        );
                        let expected = walls.conductance_w_m2_k * (outside - water_c);
                        near(at(water_c).w_m2, expected, WALL_W_M2, "wall");
                        slope_holds("wall", at, water_c);
                    }
                }
            }
        }
    }
}
