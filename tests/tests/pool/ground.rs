//! The ground against conduction theory and separate code.

use swimdays_pool::{AnnualCycle, GROUND_NODES, Ground, GroundSpec};
use swimdays_properties::materials::{GroundMaterial, ShellMaterial};
use swimdays_tests::Errors;
use swimdays_tests::validation::{error_table, row, table};

use crate::near;

fn column(
    shell: ShellMaterial,
    thickness: f64,
    ground: GroundMaterial,
    depth_m: f64,
) -> GroundSpec {
    GroundSpec {
        shell_thickness_m: thickness,
        shell,
        insulation_m2_k_w: 0.0,
        ground,
        depth_m,
    }
}

#[test]
fn ground_takes_the_heat_of_a_semi_infinite_step() {
    // Carslaw & Jaeger (1959), section 2.4: after a step ΔT at the surface, heat per area 2 k ΔT √(t/(π a)).
    // Cut into a dozen slices the column may differ by a few per cent; 4 m of soil are semi-infinite for 30 days.
    const STEP_SHARE: f64 = 0.03;
    let mut rows = Vec::new();
    // A film of 0.1 mm stands for no shell; a real liner's resistance (0.0035 m²·K/W) alone takes 3 % off the first hours.
    let cases = [
        (
            "concrete behind concrete",
            ShellMaterial::Concrete,
            0.15,
            GroundMaterial::Concrete,
        ),
        (
            "dry sand",
            ShellMaterial::Liner,
            0.000_1,
            GroundMaterial::DrySand,
        ),
        (
            "moist soil",
            ShellMaterial::Liner,
            0.000_1,
            GroundMaterial::MoistSoil,
        ),
        (
            "wet clay",
            ShellMaterial::Liner,
            0.000_1,
            GroundMaterial::WetClay,
        ),
    ];
    for (name, shell, thickness, soil) in cases {
        let ground = Ground::new(&column(shell, thickness, soil, 4.0), 3_600.0).expect("a column");
        let mut state = ground.steady(10.0, 10.0);
        let mut heat = 0.0;
        let mut differences = Vec::new();
        for hour in 1..=720_u32 {
            heat -= ground.mean_flux(&state, 20.0, 10.0).w_m2 * 3_600.0;
            ground.advance(&mut state, 20.0, 20.0, 10.0);
            if hour >= 6 {
                let t = f64::from(hour) * 3_600.0;
                let expected = 2.0
                    * soil.conductivity_w_m_k()
                    * 10.0
                    * (t / (std::f64::consts::PI * soil.diffusivity_m2_s())).sqrt();
                differences.push(heat / expected - 1.0);
            }
        }
        let errors = Errors::of(&differences);
        println!("{name}: {errors}");
        rows.push(row(
            &format!("heat taken after a step, 6 h–30 d, {name}"),
            "semi-infinite solid",
            &errors,
            "relative",
        ));
        assert!(errors.max < STEP_SHARE, "{name}: {errors}");
    }
    error_table("pool-ground", &rows);
}

#[test]
fn ground_answers_a_daily_wave() {
    // Carslaw & Jaeger (1959), section 2.6: for A sin ωt at the surface the flow in has amplitude A k √(ω/a), 45° ahead.
    const WAVE_SHARE: f64 = 0.05;
    for soil in GroundMaterial::ALL {
        let spec = column(ShellMaterial::Liner, 0.000_1, soil, 4.0);
        let ground = Ground::new(&spec, 900.0).expect("a column");
        let omega = std::f64::consts::TAU / 86_400.0;
        let water = |i: i32| 20.0 + (omega * 900.0 * f64::from(i)).sin();
        let mut state = ground.steady(20.0, 20.0);
        let (mut sine, mut cosine) = (0.0, 0.0);
        for i in 0..96 * 20 {
            let flux = ground.mean_flux(&state, water(i), 20.0);
            let into_ground = -(flux.w_m2 + flux.slope_w_m2_k * (water(i + 1) - water(i)));
            ground.advance(&mut state, water(i), water(i + 1), 20.0);
            if i >= 96 * 19 {
                let angle = omega * 900.0 * (f64::from(i) + 0.5);
                sine += into_ground * angle.sin() / 48.0;
                cosine += into_ground * angle.cos() / 48.0;
            }
        }
        let expected = soil.conductivity_w_m_k() * (omega / soil.diffusivity_m2_s()).sqrt();
        let ahead = cosine.atan2(sine).to_degrees();
        println!(
            "{}: {:.3} of the amplitude, {ahead:.1}° ahead",
            soil.name(),
            sine.hypot(cosine) / expected
        );
        near(sine.hypot(cosine) / expected, 1.0, WAVE_SHARE, soil.name());
        near(ahead, 45.0, 3.0, soil.name());
    }
}

type Nodes = [f64; GROUND_NODES];

/// One classical Runge–Kutta step of the nodes and of the heat that has flowed into the water.
fn runge_kutta(
    ground: &Ground,
    y: &mut (Nodes, f64),
    water: impl Fn(f64) -> f64,
    t: f64,
    h: f64,
    deep: f64,
) {
    let slope = |nodes: &Nodes, t: f64| {
        let water_c = water(t);
        (
            ground.node_rates_k_s(nodes, water_c, deep),
            ground.flow_now_w_m2(nodes[0], water_c),
        )
    };
    let moved = |nodes: &Nodes, by: &Nodes, h: f64| {
        let mut out = *nodes;
        for (o, b) in out.iter_mut().zip(by) {
            *o += h * b;
        }
        out
    };
    let k1 = slope(&y.0, t);
    let k2 = slope(&moved(&y.0, &k1.0, 0.5 * h), t + 0.5 * h);
    let k3 = slope(&moved(&y.0, &k2.0, 0.5 * h), t + 0.5 * h);
    let k4 = slope(&moved(&y.0, &k3.0, h), t + h);
    for (j, node) in y.0.iter_mut().enumerate() {
        *node += h / 6.0 * (k1.0[j] + 2.0 * k2.0[j] + 2.0 * k3.0[j] + k4.0[j]);
    }
    y.1 += h / 6.0 * (k1.1 + 2.0 * k2.1 + 2.0 * k3.1 + k4.1);
}

#[test]
fn ground_is_exact_for_a_straight_line() {
    // Against classical Runge–Kutta on the conductances alone, 10 s steps (rates up to 5e-3 1/s: error below 1e-9).
    const NODE_K: f64 = 1e-8;
    const FLOW_W_M2: f64 = 1e-6;
    let mut spec = column(ShellMaterial::Concrete, 0.15, GroundMaterial::WetClay, 3.0);
    spec.insulation_m2_k_w = 0.3;
    let ground = Ground::new(&spec, 3_600.0).expect("a column");
    let waters = [18.0, 19.5, 19.0, 26.0, 25.0, 12.0];
    let mut state = ground.steady(18.0, 11.0);
    let mut nodes = ground.node_temperatures_c(&state);
    for pair in waters.windows(2) {
        let (start, end) = (pair[0], pair[1]);
        let deep = 11.0 + 0.1 * start;
        let flux = ground.mean_flux(&state, start, deep);
        let mean = flux.w_m2 + flux.slope_w_m2_k * (end - start);
        let stored = ground.stored_j_m2(&state);
        let from_deep = ground.mean_deep_flow_w_m2(&state, start, end, deep);
        ground.advance(&mut state, start, end, deep);

        let mut y = (nodes, 0.0);
        for i in 0..360 {
            let t = f64::from(i) * 10.0;
            runge_kutta(
                &ground,
                &mut y,
                |t| start + (end - start) * t / 3_600.0,
                t,
                10.0,
                deep,
            );
        }
        nodes = y.0;
        for (ours, theirs) in ground.node_temperatures_c(&state).into_iter().zip(nodes) {
            near(ours, theirs, NODE_K, "node");
        }
        near(mean, y.1 / 3_600.0, FLOW_W_M2, "mean flow");
        // First law: what is stored is what the deep soil gave less what the water got. 1e-12 of 1e8 J.
        let change = ground.stored_j_m2(&state) - stored;
        near(change, (from_deep - mean) * 3_600.0, 1e-3, "stored heat");
        // The slope is that of the mean flow, which is linear.
        let at = |c: f64| {
            let mut y = (ground.node_temperatures_c(&ground.steady(20.0, deep)), 0.0);
            for i in 0..360 {
                let t = f64::from(i) * 10.0;
                runge_kutta(
                    &ground,
                    &mut y,
                    |t| 20.0 + (c - 20.0) * t / 3_600.0,
                    t,
                    10.0,
                    deep,
                );
            }
            y.1 / 3_600.0
        };
        near(at(21.0) - at(20.0), flux.slope_w_m2_k, FLOW_W_M2, "slope");
    }
}

#[test]
fn warm_up_share_of_the_ground() {
    // An 8 × 4 m pool, 1.4 m deep, warmed by 10 K in five days along a straight line and along one that has done half in the
    // first day and a half. Published texts neglect the ground or give a few per cent; by the semi-infinite solid the
    // straight line alone takes (4/3) k ΔT √(t/(π a)) per m²: hand arithmetic below.
    const HAND_SHARE: f64 = 0.05;
    let contact_m2 = 32.0 + 24.0 * 1.4;
    let water_j = 44.8 * 996.5 * 4_180.0 * 10.0;
    let mut lines = vec![
        "| ground | straight line, behind a liner | fast first, behind 15 cm of concrete |"
            .to_owned(),
        "|---|---|---|".to_owned(),
    ];
    let share = |spec: &GroundSpec, course: &dyn Fn(f64) -> f64| {
        let ground = Ground::new(spec, 3_600.0).expect("a column");
        let mut state = ground.steady(16.0, 16.0);
        let mut heat = 0.0;
        for hour in 0..120 {
            let (start, end) = (
                course(f64::from(hour) / 120.0),
                course(f64::from(hour + 1) / 120.0),
            );
            let flux = ground.mean_flux(&state, start, 16.0);
            heat -= (flux.w_m2 + flux.slope_w_m2_k * (end - start)) * 3_600.0;
            ground.advance(&mut state, start, end, 16.0);
        }
        heat * contact_m2 / water_j
    };
    let straight = |x: f64| 16.0 + 10.0 * x;
    let fast = |x: f64| 16.0 + 10.0 * (1.0 - (-x / 0.4).exp()) / (1.0 - (-1.0_f64 / 0.4).exp());
    for soil in [
        GroundMaterial::DrySand,
        GroundMaterial::MoistSoil,
        GroundMaterial::WetClay,
    ] {
        let line = share(&column(ShellMaterial::Liner, 0.000_6, soil, 4.0), &straight);
        let shell = share(&column(ShellMaterial::Concrete, 0.15, soil, 4.0), &fast);
        let by_hand = 4.0 / 3.0
            * soil.conductivity_w_m_k()
            * 10.0
            * (432_000.0 / (std::f64::consts::PI * soil.diffusivity_m2_s())).sqrt()
            * contact_m2
            / water_j;
        println!(
            "{}: straight {line:.3} (by hand {by_hand:.3}), fast behind concrete {shell:.3}",
            soil.name()
        );
        lines.push(format!(
            "| {} | {:.0} % | {:.0} % |",
            soil.name(),
            100.0 * line,
            100.0 * shell
        ));
        near(line / by_hand, 1.0, HAND_SHARE, soil.name());
        // 1 W/(m²·K) as a constant conductance would say 4 %: the ground is far more than that.
        assert!(line > 0.09 && shell < 0.60);
    }
    table("pool-warm-up-share", &lines);
}

#[test]
fn undisturbed_soil() {
    // Textbook: at the depth √(2 a/ω) the yearly wave has 1/e of its amplitude and comes 365/(2π) = 58.1 days later.
    let cycle = AnnualCycle {
        mean_c: 11.0,
        amplitude_k: 10.0,
        coldest_day: 20.0,
    };
    let a = 5e-7;
    let depth = (2.0 * a / (std::f64::consts::TAU / (365.0 * 86_400.0))).sqrt();
    let lag = 365.0 / std::f64::consts::TAU;
    near(
        cycle.soil_c(0.0, a, 20.0),
        1.0,
        1e-12,
        "surface on the coldest day",
    );
    near(
        cycle.soil_c(depth, a, 20.0 + lag),
        11.0 - 10.0 / std::f64::consts::E,
        1e-9,
        "at depth",
    );
    near(
        cycle.soil_c(depth, a, 20.0 + lag + 182.5),
        11.0 + 10.0 / std::f64::consts::E,
        1e-9,
        "summer",
    );
}
