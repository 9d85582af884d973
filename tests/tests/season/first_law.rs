//! First law over the year, each heat computed apart by code of our own from the recorded state.

use solar_positioning::SolarPositions;
use swimdays_season::{Ledger, Shell};
use swimdays_tests::{Errors, validation};

use crate::own_heats::{own_heats, weather_index};
use crate::own_sun::Basin;
use crate::{Ran, closes, own_ground, scenario_text};

/// Flows are recorded at the step's estimate of the middle of the water's way; we take the middle of what it did.
/// One Newton step on a curvature below 3 W/(m²·K²) over a way of at most 1 K in a pool of 0.4 m and more: below 1 mK.
const MIDDLE_K: f64 = 1e-3;
/// Hyland & Wexler against IAPWS: 0.02–0.03 % from 0 to 40 °C (tables of both); some 0.2 % of a winter's small dew point.
const SATURATION_FRAC: f64 = 4e-4;
/// `2500.8 − 2.36 t` kJ/kg against straight lines between IAPWS-95 values.
const LATENT_FRAC: f64 = 3e-4;
/// Steepest that saturation pressure gets below 35 °C, Pa/K.
const STEEPEST_PA_K: f64 = 320.0;
/// 4εσT³ at 35 °C, W/(m²·K).
const STEEPEST_LONGWAVE_W_M2_K: f64 = 6.5;
/// The program takes one sun for the interval, the check the mean over it (twelve moments), sun above 10° throughout: the absorbed share
/// moves by less than this. The dome is summed over 24 directions there, 1000 here.
const SUN_FRAC: f64 = 0.01;
/// ... and over the year, where the differences are of both signs.
const SUN_YEAR_FRAC: f64 = 0.002;
/// Sun counts as whole above this cosine of the zenith angle (10°).
const WHOLE_SUN_COS: f64 = 0.17;
/// Twelve slices against some four hundred: the coarser column's answer to a day is a few per cent off.
const GROUND_FRAC: f64 = 0.03;
/// The cover's temperature: Halley against bisection, and the middle of the water's way.
const COVER_K: f64 = 2e-3;
/// Water from other latent heats and saturation pressures, share of the year.
const WATER_YEAR_FRAC: f64 = 1e-3;
/// Wet bulb by the psychrometer's equation against ASHRAE's adiabatic saturation, K (two definitions; their difference
/// outdoors is a few tenths of a kelvin at most).
const WET_BULB_K: f64 = 0.3;
/// Recorded sums are the same additions in another order.
const ADDING_FRAC: f64 = 1e-9;
/// Own heats of the year without the program's help: what is left over, share of all gains.
const WHOLE_YEAR_FRAC: f64 = 0.002;
/// Isobaric heat capacity and density of water at 25 °C: IAPWS-95 (CoolProp 8.0.0), kJ/(m³·K) 997.05 × 4.1813.
const WATER_J_M3_K: f64 = 997.05 * 4181.3;
/// ... and the program's polynomials for them.
const CAPACITY_FRAC: f64 = 2e-4;
/// Latent heat of fusion, J/kg: IAPWS-06 (from memory).
const FUSION_J_KG: f64 = 333_400.0;

const ABOVE_GROUND: &str = r#"
[site]
weather = "none.epw"
[pool]
shape = "round"
diameter = "15 ft"
depth = "4 ft"
kind = "above-ground"
shell = "steel"
opens = "05-01"
closes = "09-30"
[pool.cover]
kind = "solid"
on = "20:00-9:00"
"#;

const DECK_AND_PANEL: &str = r#"
units = "metric"
[site]
weather = "none.epw"
[pool]
area = "25 m2"
depth = "1.3 m"
opens = "04-15"
closes = "10-15"
[pool.cover]
kind = "foam"
[[heater]]
name = "deck"
kind = "deck"
[heater.tube]
material = "pex"
outer_diameter = "16 mm"
bore = "12 mm"
length = "120 m"
[heater.deck]
placement = "in-slab"
[[heater]]
name = "panel"
kind = "panel"
facing = "S"
tilt = "30 deg"
wind = "roof"
[heater.panel]
area = "6 m2"
[pump]
kind = "own"
flow = "20 L/min"
hours = "8:30-18:00"
"#;

/// The plans of this check, each on one of the samples.
pub(crate) fn plans() -> Vec<(&'static str, Ran)> {
    let text = |text: &str| scenario_text(text, &[]).plan;
    vec![
        ("bare", Ran::of("bare", &[])),
        ("cover and board", Ran::of("cover-and-board", &[])),
        (
            "above ground, solid cover",
            Ran::new(text(ABOVE_GROUND), crate::sample("temperate.tmy3.csv")),
        ),
        (
            "deck and panel, foam cover",
            Ran::new(
                text(DECK_AND_PANEL),
                crate::with_longwave(crate::sample("hot-dry.epw")),
            ),
        ),
        ("above ground, south", Ran::of("above-ground-south", &[])),
    ]
}

fn basin_of(ran: &Ran) -> Basin {
    let sun = &ran.plan.pool.sun;
    Basin::new(sun.finish_reflectance_frac, sun.mean_depth_m)
}

/// One kind of heat: found, expected, allowed, W per m² of water.
#[derive(Default)]
struct Column {
    differences: Vec<f64>,
    worst: Option<String>,
    found_kwh: f64,
    own_kwh: f64,
}

impl Column {
    fn add(
        &mut self,
        i: usize,
        hours: f64,
        area_m2: f64,
        found_w: f64,
        own_w: f64,
        allowed_w: f64,
    ) {
        let difference = found_w - own_w;
        self.differences.push(difference / area_m2);
        self.found_kwh += found_w * hours / 1000.0;
        self.own_kwh += own_w * hours / 1000.0;
        if difference.abs() > allowed_w && self.worst.is_none() {
            self.worst = Some(format!(
                "interval {i}: {found_w} W recorded, {own_w} W by our own code, {allowed_w} W allowed"
            ));
        }
    }
}

const NAMES: [&str; 4] = ["evaporation", "convection", "longwave", "walls"];

#[test]
fn each_heat_of_each_hour_by_code_of_our_own() {
    let reference = SolarPositions::new();
    let mut all: [Vec<f64>; 7] = Default::default();
    let mut faults = Vec::new();
    for (name, ran) in plans() {
        let basin = basin_of(&ran);
        let offset = weather_index(&ran, 0);
        let area = ran.plan.pool.area_m2;
        let hours = ran.year.interval_s / 3600.0;
        let mut columns: [Column; 4] = Default::default();
        let mut sun = Column::default();
        let mut cover = Vec::new();
        let (mut evaporated, mut make_up, mut rain) = ((0.0, 0.0), (0.0, 0.0), (0.0, 0.0));
        let mut rain_allowed_j = 0.0;
        let mut frozen = 0;
        for i in 0..ran.year.rows.len() {
            if ran.may_freeze(i) {
                frozen += 1;
                continue;
            }
            let own = own_heats(&ran, &basin, &reference, offset, i);
            let heat = &ran.hourly().heat_w[i];
            let vapour = own.vapour_w_pa;
            let found = [heat.evaporation, heat.convection, heat.longwave, heat.walls];
            let ours = [own.evaporation, own.convection, own.longwave, own.walls];
            // Under a cover the same bounds hold: its conductance to the water is in series with what is above.
            let allowed = [
                vapour * (SATURATION_FRAC * own.pressures_pa + MIDDLE_K * STEEPEST_PA_K),
                MIDDLE_K * (vapour * 70.0 + area * 25.0),
                MIDDLE_K * STEEPEST_LONGWAVE_W_M2_K * area,
                MIDDLE_K * 20.0 * 2.0 * area,
            ];
            for (j, column) in columns.iter_mut().enumerate() {
                // The cover and the walls see the sun's mean over the interval here, its middle there.
                let sun_part = if own.cover_c.is_nan() && own.walls.abs() <= 0.0 {
                    0.0
                } else {
                    SUN_FRAC * ran.hourly().ghi_w_m2[i] * area
                };
                if own.lowest_cos >= WHOLE_SUN_COS
                    || ran.hourly().ghi_w_m2[i] <= 0.0
                    || sun_part <= 0.0
                {
                    column.add(i, hours, area, found[j], ours[j], allowed[j] + sun_part);
                }
            }
            if own.lowest_cos >= WHOLE_SUN_COS {
                let allowed_w = SUN_FRAC * own.sun;
                sun.add(i, hours, area, heat.sun_on_water, own.sun, allowed_w);
                all[4].push((heat.sun_on_water - own.sun) / area);
            }
            if own.cover_c.is_finite() && ran.hourly().ghi_w_m2[i] <= 0.0 {
                cover.push(ran.hourly().cover_c[i] - own.cover_c);
            }
            let seconds = ran.year.interval_s;
            evaporated.1 += own.evaporated_kg;
            make_up.0 += heat.make_up_water * seconds;
            make_up.1 += own.make_up * seconds;
            rain.0 += heat.rain * seconds;
            rain.1 += own.rain * seconds;
            if own.rain != 0.0 {
                let c = &ran.weather.columns;
                let mm = c
                    .rain_mm
                    .as_ref()
                    .map_or(0.0, |r| r[(offset + i) % c.air_c.len()]);
                rain_allowed_j += mm * area * 4180.6 * WET_BULB_K;
            }
        }
        evaporated.0 = ran.season.water_book.evaporated_kg;
        println!("{name}: {frozen} intervals with ice left out");
        for (j, column) in columns.iter().enumerate() {
            println!(
                "  {}: {} (W/m²), {:.1} and {:.1} kWh",
                NAMES[j],
                Errors::of(&column.differences),
                column.found_kwh,
                column.own_kwh
            );
            if j < 3 || ran.plan.name.contains("south") || name.contains("above") {
                all[j].extend(&column.differences);
            }
            if let Some(worst) = &column.worst {
                faults.push(format!("{name}, {}, {worst}", NAMES[j]));
            }
        }
        println!(
            "  sun: {} (W/m²), {:.1} and {:.1} kWh",
            Errors::of(&sun.differences),
            sun.found_kwh,
            sun.own_kwh
        );
        if let Some(worst) = &sun.worst {
            faults.push(format!("{name}, sun, {worst}"));
        }
        if (sun.found_kwh - sun.own_kwh).abs() > SUN_YEAR_FRAC * sun.own_kwh {
            faults.push(format!(
                "{name}: sun of the year {} and {} kWh",
                sun.found_kwh, sun.own_kwh
            ));
        }
        if !cover.is_empty() {
            let errors = Errors::of(&cover);
            println!("  cover at night: {errors} (K)");
            if errors.max > COVER_K {
                faults.push(format!("{name}: cover temperature {errors}"));
            }
            all[5].extend(&cover);
        }
        if frozen == 0
            && (evaporated.0 - evaporated.1).abs()
                > (WATER_YEAR_FRAC + LATENT_FRAC) * evaporated.1.abs()
        {
            faults.push(format!(
                "{name}: evaporated {} and {} kg",
                evaporated.0, evaporated.1
            ));
        }
        println!(
            "  make-up {:.2} and {:.2} MJ, rain {:.2} and {:.2} MJ",
            make_up.0 / 1e6,
            make_up.1 / 1e6,
            rain.0 / 1e6,
            rain.1 / 1e6
        );
        if (make_up.0 - make_up.1).abs()
            > (WATER_YEAR_FRAC + LATENT_FRAC) * make_up.1.abs().max(1e6)
        {
            faults.push(format!("{name}: make-up {} and {} J", make_up.0, make_up.1));
        }
        if (rain.0 - rain.1).abs() > rain_allowed_j {
            faults.push(format!(
                "{name}: rain {} and {} J, {} J allowed",
                rain.0, rain.1, rain_allowed_j
            ));
        }
    }
    let against =
        "separate code (IAPWS saturation, Smith–Löf–Jones in mmHg and kJ, Bowen, bisection)";
    let mut rows = Vec::new();
    for (j, what) in [
        "evaporation",
        "convection",
        "longwave",
        "walls above ground",
    ]
    .iter()
    .enumerate()
    {
        rows.push(validation::row(
            &format!("{what}, hourly, 5 plans"),
            against,
            &Errors::of(&all[j]),
            "W/m² of water",
        ));
    }
    rows.push(validation::row(
        "sun absorbed, hourly, sun above 10°",
        "crate solar-positioning, light followed bounce by bounce",
        &Errors::of(&all[4]),
        "W/m² of water",
    ));
    rows.push(validation::row(
        "cover temperature, nights",
        "bisection",
        &Errors::of(&all[5]),
        "K",
    ));
    validation::error_table("season-heats", &rows);
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn the_ground_by_a_fine_column() {
    let mut rows = Vec::new();
    let mut faults = Vec::new();
    for (name, ran) in plans() {
        let (spec, area_m2) = match &ran.plan.pool.shell {
            Shell::InGround {
                ground,
                contact_area_m2,
            } => (ground, *contact_area_m2),
            Shell::AboveGround { floor, .. } => (floor, ran.plan.pool.area_m2),
        };
        let fine = own_ground::flows_w_m2(&ran, spec);
        let found: Vec<f64> = ran
            .hourly()
            .heat_w
            .iter()
            .map(|h| h.ground / area_m2)
            .collect();
        let differences: Vec<f64> = found.iter().zip(&fine).map(|(a, b)| a - b).collect();
        let errors = Errors::of(&differences);
        #[allow(clippy::cast_precision_loss, reason = "a count of hours")]
        let n = fine.len() as f64;
        let (gross, net) = (
            fine.iter().map(|f| f.abs()).sum::<f64>() / n,
            fine.iter().sum::<f64>() / n,
        );
        let net_found = found.iter().sum::<f64>() / n;
        println!(
            "{name}: {errors} W/m²; mean absolute {gross:.2}, net {net:.3}, program {net_found:.3} W/m²"
        );
        rows.push(validation::row(
            &format!("ground, hourly, {name}"),
            "column of 10 mm slices, Crank–Nicolson",
            &errors,
            "W/m² of wall and floor",
        ));
        if errors.mean > GROUND_FRAC * gross {
            faults.push(format!(
                "{name}: mean error {} of {gross} W/m²",
                errors.mean
            ));
        }
        if (net - net_found).abs() > GROUND_FRAC * gross {
            faults.push(format!("{name}: net {net_found} against {net} W/m²"));
        }
    }
    validation::error_table("season-ground", &rows);
    assert!(faults.is_empty(), "{faults:#?}");
}

/// The year of a bare pool without the program's fluxes: our own heats, driven by the recorded water, against m c ΔT.
#[test]
fn our_own_heats_make_up_what_the_bare_pool_stores() {
    let reference = SolarPositions::new();
    for (sample, sets) in [
        ("hot-dry.epw", ["pool.bathing_hours=0 h"]),
        ("cool-south.epw", ["pool.bathing_hours=2 h"]),
    ] {
        let ran = Ran::on("bare", &sets, &crate::sample(sample));
        assert!(
            (0..ran.year.rows.len()).all(|i| !ran.may_freeze(i)),
            "{sample} freezes"
        );
        let basin = basin_of(&ran);
        let offset = weather_index(&ran, 0);
        let Shell::InGround {
            ground,
            contact_area_m2,
        } = &ran.plan.pool.shell
        else {
            panic!("in the ground")
        };
        let fine = own_ground::flows_w_m2(&ran, ground);
        let mut sums = [0.0; 8];
        let mut gains = 0.0;
        for (i, ground_w_m2) in fine.iter().enumerate() {
            let own = own_heats(&ran, &basin, &reference, offset, i);
            let heats = [
                own.sun,
                own.evaporation,
                own.convection,
                own.longwave,
                ground_w_m2 * contact_area_m2,
                own.make_up,
                own.rain,
            ];
            for (sum, heat) in sums.iter_mut().zip(heats) {
                *sum += heat * ran.year.interval_s / 3.6e6;
                gains += heat.max(0.0) * ran.year.interval_s / 3.6e6;
            }
        }
        // The filter pump that a pool has anyway: 1100 W, 0.3 of it into the water, 8 h a day, 153 days (the
        // scenario's own listed defaults), by hand.
        sums[7] = if ran.plan.pump.is_some() {
            1.1 * 0.3 * 8.0 * 153.0
        } else {
            0.0
        };
        let last = ran.hourly().water_c.len() - 1;
        let stored =
            ran.plan.pool.volume_m3 * WATER_J_M3_K * (ran.hourly().water_c[last] - ran.start_c(0))
                / 3.6e6;
        let residual = sums.iter().sum::<f64>() - stored;
        println!(
            "{sample}: sun {:.0}, evaporation {:.0}, convection {:.0}, longwave {:.0}, ground {:.0}, make-up {:.0}, rain {:.0}, pump {:.0}; stored {stored:.1}; left over {residual:.1} of {gains:.0} kWh",
            sums[0], sums[1], sums[2], sums[3], sums[4], sums[5], sums[6], sums[7]
        );
        assert!(
            residual.abs() <= WHOLE_YEAR_FRAC * gains,
            "{sample}: {residual} of {gains} kWh"
        );
    }
}

/// Stored heat from the recorded water; hours, days and months add up to the year; water and pump books close.
#[test]
fn books_add_up() {
    for (name, ran) in plans() {
        closes(&ran, name);
        let season = &ran.season;
        let hourly = ran.hourly();
        let capacity = ran.plan.pool.volume_m3 * WATER_J_M3_K;
        let seconds = ran.year.interval_s;
        let mut year = Ledger::default();
        let (mut pump_h, mut ice_j, mut least_ice_j, mut most_ice_j) = (0.0, 0.0, 0.0_f64, 0.0_f64);
        for (i, heat) in hourly.heat_w.iter().enumerate() {
            let v = heat.values();
            let gross: f64 = v[..11].iter().map(|x| x.abs()).sum();
            assert!(
                heat.residual().abs() <= ADDING_FRAC * gross.max(1.0),
                "{name}, {i}: {heat:?}"
            );
            let warmed = capacity * (hourly.water_c[i] - ran.start_c(i)) / seconds;
            if ran.may_freeze(i) {
                // What is not warmth is ice: heat taken from ice that is there.
                ice_j += (heat.stored_change - warmed) * seconds;
                least_ice_j = least_ice_j.min(ice_j);
                most_ice_j = most_ice_j.max(ice_j);
            } else {
                assert!(
                    (heat.stored_change - warmed).abs()
                        <= CAPACITY_FRAC * warmed.abs() + 1e-6 * gross,
                    "{name}, {i}: stored {} W, water warmed by {warmed} W",
                    heat.stored_change
                );
            }
            year.add(heat, seconds / 3.6e6);
            pump_h += hourly.pump_on_frac[i] * seconds / 3600.0;
        }
        let swing_kg = (most_ice_j - least_ice_j) / FUSION_J_KG;
        println!(
            "{name}: ice at the most {:.1} kg by the book, {swing_kg:.1} kg from the heat",
            season.ice_peak_kg
        );
        assert!(
            (swing_kg - season.ice_peak_kg).abs() <= 0.01 * season.ice_peak_kg + 0.1,
            "{name}: ice {swing_kg} kg from heat, {} kg in the book",
            season.ice_peak_kg
        );
        let mut days = Ledger::default();
        for day in &season.days {
            days.add(&day.heat_kwh, 1.0);
        }
        let mut months = Ledger::default();
        for month in &season.heat_by_month_kwh {
            months.add(month, 1.0);
        }
        for ((sum, what), of) in [(year, "hours"), (days, "days"), (months, "months")]
            .iter()
            .flat_map(|(l, w)| l.values().into_iter().map(move |v| (v, *w)))
            .zip(season.heat_kwh.values().into_iter().cycle())
        {
            assert!(
                (sum - of).abs() <= ADDING_FRAC * of.abs().max(1.0),
                "{name}: {what} {sum}, year {of}"
            );
        }
        let book = &season.water_book;
        assert!(
            book.residual_kg().abs() <= ADDING_FRAC * (book.make_up_kg + book.rain_kg),
            "{name}: water {book:?}"
        );
        assert!(
            book.make_up_kg >= 0.0 && book.overflow_kg >= 0.0,
            "{name}: {book:?}"
        );
        assert!(
            season.cover_residual_w_m2 <= 1e-6,
            "{name}: cover residual {}",
            season.cover_residual_w_m2
        );
        assert!(
            (pump_h - season.pump_hours).abs() <= ADDING_FRAC * pump_h.max(1.0),
            "{name}: pump"
        );
        let by_day: f64 = season.days.iter().map(|d| d.pump_h).sum();
        assert!(
            (by_day - pump_h).abs() <= ADDING_FRAC * pump_h.max(1.0),
            "{name}: pump by day"
        );
        let swim = season.days.iter().filter(|d| d.swim).count();
        assert_eq!(swim, season.swim_days, "{name}");
        assert_eq!(
            swim,
            season.swim_days_by_month.iter().sum::<usize>(),
            "{name}"
        );
    }
}
