//! The ground behind the shell by code of our own: a fine column, Crank–Nicolson, driven by recorded water.

use swimdays_pool::GroundSpec;

use crate::Ran;

/// Slices of the fine column are at most this thick, m.
const SLICE_M: f64 = 0.01;
/// Steps within an hour.
const STEPS: u32 = 4;
/// Years run ahead, for the column's own beginning.
const YEARS_AHEAD: usize = 2;

/// Mean heat flow into the water of each interval, W/m², from water that goes in straight lines.
pub(crate) fn flows_w_m2(ran: &Ran, spec: &GroundSpec) -> Vec<f64> {
    assert!(spec.insulation_m2_k_w <= 0.0, "not written for insulation");
    let layer = |thickness_m: f64, k: f64, c: f64| {
        let mut n = 1_u32;
        while thickness_m / f64::from(n) > SLICE_M {
            n += 1;
        }
        let dx = thickness_m / f64::from(n);
        (0..n).map(move |_| (dx, k, c)).collect::<Vec<_>>()
    };
    let mut slices = layer(
        spec.shell_thickness_m,
        spec.shell.conductivity_w_m_k(),
        spec.shell.volumetric_heat_j_m3_k(),
    );
    slices.extend(layer(
        spec.depth_m,
        spec.ground.conductivity_w_m_k(),
        spec.ground.volumetric_heat_j_m3_k(),
    ));
    let n = slices.len();
    let capacity: Vec<f64> = slices.iter().map(|(dx, _, c)| dx * c).collect();
    let half: Vec<f64> = slices.iter().map(|(dx, k, _)| 0.5 * dx / k).collect();
    let between: Vec<f64> = (0..=n)
        .map(|j| {
            let before = if j > 0 { half[j - 1] } else { 0.0 };
            let after = if j < n { half[j] } else { 0.0 };
            1.0 / (before + after)
        })
        .collect();
    let dt = ran.year.interval_s / f64::from(STEPS);
    let mut column = vec![10.0; n];
    let water = &ran.hourly().water_c;
    let mut flows = vec![0.0; water.len()];
    let (mut upper, mut right) = (vec![0.0; n], vec![0.0; n]);
    for _ in 0..=YEARS_AHEAD {
        for (i, flow) in flows.iter_mut().enumerate() {
            let (start, end) = (ran.start_c(i), water[i]);
            let deep = ran.year.rows[i].deep_c;
            *flow = 0.0;
            for step in 0..STEPS {
                let at = |x: f64| start + (end - start) * x / f64::from(STEPS);
                let (top_old, top_new) = (at(f64::from(step)), at(f64::from(step) + 1.0));
                let old_flow = between[0] * (column[0] - top_old);
                for j in 0..n {
                    let before_old = if j == 0 { top_old } else { column[j - 1] };
                    let after_old = if j + 1 == n { deep } else { column[j + 1] };
                    let rate = between[j] * (before_old - column[j])
                        + between[j + 1] * (after_old - column[j]);
                    let mut b = column[j] * capacity[j] / dt + 0.5 * rate;
                    let diagonal = capacity[j] / dt + 0.5 * (between[j] + between[j + 1]);
                    let below = 0.5 * between[j];
                    if j == 0 {
                        b += below * top_new;
                        upper[0] = 0.5 * between[1] / diagonal;
                        right[0] = b / diagonal;
                    } else {
                        if j + 1 == n {
                            b += 0.5 * between[n] * deep;
                        }
                        let pivot = diagonal - below * upper[j - 1];
                        upper[j] = 0.5 * between[j + 1] / pivot;
                        right[j] = (b + below * right[j - 1]) / pivot;
                    }
                }
                column[n - 1] = right[n - 1];
                for j in (0..n - 1).rev() {
                    column[j] = right[j] + upper[j] * column[j + 1];
                }
                let new_flow = between[0] * (column[0] - top_new);
                *flow += 0.5 * (old_flow + new_flow) / f64::from(STEPS);
            }
        }
    }
    flows
}
