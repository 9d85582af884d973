//! Decks: the buried row, its layers, the ground.

use swimdays_collector::{DeckSpec, HeaterSpec, HeaterWeather, Placement, TubeSpec, hottel};
use swimdays_properties::constants::{STEFAN_BOLTZMANN_W_M2_K4, ZERO_CELSIUS_K};
use swimdays_properties::materials::{GroundMaterial, TubeMaterial};
use swimdays_tests::Errors;
use swimdays_tests::validation::{error_table, row, table};

use super::{close, heater, tube, weather};

fn deck(placement: Placement, slab_thickness_m: f64) -> DeckSpec {
    DeckSpec {
        tube: TubeSpec {
            material: TubeMaterial::Pex,
            outer_diameter_m: 0.015_9,
            bore_m: 0.012_3,
            length_m: 45.0,
            ..tube()
        },
        placement,
        spacing_m: 0.15,
        slab: GroundMaterial::Concrete,
        slab_thickness_m,
        soil: GroundMaterial::MoistSoil,
        absorptance_frac: 0.65,
        emissivity_frac: 0.9,
        exposed_shape_frac: 0.5,
    }
}

/// Half a period of the row, solved as heat flow in the plane by finite differences: resistance from a tube of
/// `diameter` at `depth` to the isothermal surface, m·K/W at k = 1, sides and deep bottom without flow.
fn row_by_finite_differences(spacing: f64, diameter: f64, depth: f64, cells: usize) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "a few hundred cells")]
    let step = 0.5 * spacing / cells as f64;
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few hundred cells"
    )]
    let rows = ((depth + 1.5 * spacing) / step).round() as usize;
    #[allow(clippy::cast_precision_loss, reason = "a few hundred cells")]
    let centre = |i: usize, j: usize| ((i as f64 + 0.5) * step, (j as f64 + 0.5) * step);
    let in_tube: Vec<bool> = (0..rows * cells)
        .map(|n| {
            let (x, y) = centre(n % cells, n / cells);
            x.hypot(y - depth) < 0.5 * diameter
        })
        .collect();
    let mut t = vec![0.0_f64; rows * cells];
    for (value, tube) in t.iter_mut().zip(&in_tube) {
        *value = if *tube { 1.0 } else { 0.3 };
    }
    let mut flow = 0.0;
    for sweep in 0..40_000 {
        let mut change = 0.0_f64;
        for j in 0..rows {
            for i in 0..cells {
                let n = j * cells + i;
                if in_tube[n] {
                    continue;
                }
                // The surface is half a cell away from the first row.
                let (mut sum, mut weight) = if j == 0 {
                    (0.0, 2.0)
                } else {
                    (t[n - cells], 1.0)
                };
                for (there, m) in [
                    (i > 0, n.wrapping_sub(1)),
                    (i + 1 < cells, n + 1),
                    (j + 1 < rows, n + cells),
                ] {
                    if there {
                        sum += t[m];
                        weight += 1.0;
                    }
                }
                let new = t[n] + 1.96 * (sum / weight - t[n]);
                change = change.max((new - t[n]).abs());
                t[n] = new;
            }
        }
        flow = t[..cells].iter().sum::<f64>() * 2.0;
        if change < 1e-8 {
            assert!(sweep > 10);
            break;
        }
    }
    // Both halves.
    1.0 / (2.0 * flow)
}

/// The buried row against heat flow in the plane solved by finite differences. The tube is a staircase of cells,
/// which moves its radius by a fraction of a cell.
#[test]
fn buried_row_against_finite_differences() {
    const STAIRCASE: f64 = 0.03;
    let mut errors = Vec::new();
    for (spacing, diameter, depth) in [(0.15, 0.016, 0.05), (0.15, 0.027, 0.1), (0.3, 0.027, 0.05)]
    {
        let formula = hottel::buried_row_resistance_m_k_w(spacing, diameter, depth, 1.0);
        let solved = row_by_finite_differences(spacing, diameter, depth, 48);
        errors.push(formula / solved - 1.0);
        close(
            formula,
            solved,
            STAIRCASE,
            &format!("row {spacing} {diameter} {depth}"),
        );
    }
    let errors = Errors::of(&errors);
    println!("buried row: {errors}");
    error_table(
        "collector-row",
        &[row(
            "resistance of a buried row",
            "finite differences in the plane",
            &errors,
            "relative",
        )],
    );
}

/// The layers at steady state against the row's resistance, with the soil as warm as the tubes' plane.
#[test]
fn slab_at_steady_state_is_the_buried_row() {
    for (placement, slab_m, k) in [
        (Placement::InSlab { depth_m: 0.05 }, 0.1, 1.51),
        (Placement::InSoil { depth_m: 0.2 }, 0.0, 1.1),
    ] {
        let spec = deck(placement, slab_m);
        let (depth, flow) = (if slab_m > 0.0 { 0.05 } else { 0.2 }, 5.0);
        let h = heater(HeaterSpec::Deck(spec), flow);
        let mut w = weather(0.0, 10.0, 10.0, 3.0);
        let mut s = h.initial_state(10.0, 10.0);
        let mut r = h.run(&w, &s, 40.0, flow);
        for _ in 0..20_000 {
            w.ground_c = s.slab_c[1];
            r = h.run(&w, &s, 40.0, flow);
            s = h.advance(&w, &s, &r, 1.0, 3_600.0);
        }
        let film = h.inside_film(flow).expect("a tube").film_w_m2_k;
        let resistance = hottel::buried_row_resistance_m_k_w(0.15, 0.015_9, depth, k)
            + hottel::wall_resistance_m_k_w(0.015_9, 0.012_3, 0.41)
            + hottel::film_resistance_m_k_w(0.012_3, film);
        // The mean of the water, which cools by a tenth of a kelvin on its way.
        let expected = 45.0 * (r.body_c - s.slab_c[0]) / resistance;
        close(-r.heat_w, expected, 1e-3, "heat into the slab");
    }
}

/// Four layers against the semi-infinite step `2 k ΔT √(t/(π a))` (Carslaw & Jaeger): bare soil, its surface held by a
/// gale at 10 K above the start. Layers are coarse and the soil ends at 1 m: stated, not hidden.
#[test]
fn layers_against_the_semi_infinite_step() {
    const COARSE_LAYERS: f64 = 0.12;
    let spec = deck(Placement::InSoil { depth_m: 0.05 }, 0.0);
    let h = heater(HeaterSpec::Deck(spec), 0.1);
    let soil = GroundMaterial::MoistSoil;
    let mut lines = vec![
        "| after h | layers ÷ exact |".to_owned(),
        "|---|---|".to_owned(),
    ];
    for hours in [6_u32, 12, 24, 48, 96] {
        let w = HeaterWeather {
            ground_c: 10.0,
            longwave_w_m2: STEFAN_BOLTZMANN_W_M2_K4 * (20.0 + ZERO_CELSIUS_K).powi(4),
            ..weather(0.0, 20.0, 20.0, 2_000.0)
        };
        let start = h.initial_state(10.0, 10.0);
        let mut s = start;
        // The heat that the surface took in, not what the four layers hold: some has gone on below.
        let mut taken = 0.0;
        for _ in 0..hours {
            let b = h.slab_balance(&w, &s, None, 3_600.0).expect("a deck");
            taken -= b.lost_w * 3_600.0;
            s = h.rest(&w, &s, 3_600.0);
        }
        let seconds = 3_600.0 * f64::from(hours);
        let exact = h.aperture_m2()
            * 2.0
            * soil.conductivity_w_m_k()
            * 10.0
            * (seconds / (std::f64::consts::PI * soil.diffusivity_m2_s())).sqrt();
        lines.push(format!("| {hours} | {:.2} |", taken / exact));
        close(taken, exact, COARSE_LAYERS, &format!("{hours} h"));
    }
    println!("{}", lines.join("\n"));
    table("collector-layers", &lines);
}

/// The deck's step of an hour against steps of ten seconds in the same hourly weather: what backward Euler costs.
#[test]
fn steps_of_an_hour_against_ten_seconds() {
    /// A heater on or in a deck is not known to better than 10 %; the step may cost a fifth of that.
    const STEP: f64 = 0.02;
    let mut lines = vec![
        "| tube | ten seconds kWh | an hour kWh | difference % |".to_owned(),
        "|---|---|---|---|".to_owned(),
    ];
    let placements = [
        (
            "on the slab",
            Placement::OnSurface {
                contact_conductance_w_m_k: 0.5,
            },
        ),
        ("in the slab, 5 cm", Placement::InSlab { depth_m: 0.05 }),
        ("in soil, 20 cm", Placement::InSoil { depth_m: 0.2 }),
    ];
    for (name, placement) in placements {
        let heat_kwh = |dt_s: f64, steps: u32| {
            let h = heater(HeaterSpec::Deck(deck(placement, 0.1)), 0.1).with_interval_s(dt_s);
            let mut s = h.initial_state(20.0, 18.0);
            let mut sum = 0.0;
            for hour in 0..10 * 24_u32 {
                let x = (f64::from(hour % 24) + 0.5 - 6.0) / 12.0;
                let sun = 900.0 * (std::f64::consts::PI * x).sin().max(0.0);
                let air = 20.0 + 6.0 * (std::f64::consts::PI * (x - 0.25)).sin();
                let w = weather(sun, air, air - 12.0, 1.0);
                let on = (9..17).contains(&(hour % 24));
                for _ in 0..steps {
                    if on {
                        let r = h.run(&w, &s, 25.0, 0.1);
                        sum += (r.heat_w + h.start_heat_j(&s, &r) / dt_s) * dt_s;
                        s = h.advance(&w, &s, &r, 1.0, dt_s);
                    } else {
                        s = h.rest(&w, &s, dt_s);
                    }
                }
            }
            sum / 3.6e6
        };
        let (fine, coarse) = (heat_kwh(10.0, 360), heat_kwh(3_600.0, 1));
        lines.push(format!(
            "| {name} | {fine:.1} | {coarse:.1} | {:+.1} |",
            100.0 * (coarse / fine - 1.0)
        ));
        println!("{}", lines[lines.len() - 1]);
        close(coarse, fine, STEP, name);
    }
    table("collector-deck-step", &lines);
}
