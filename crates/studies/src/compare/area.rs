//! How much heater is enough: swim days against area, and where the next piece of it brings less than a day.

use swimdays_season::Plan;

use super::variant::{heater_area_m2, scaled, tried_cover};

/// Areas that are tried, as shares of the pool's; the plan's own joins them.
const SHARES: [f64; 12] = [
    0.0, 0.0625, 0.125, 0.1875, 0.25, 0.375, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0,
];
/// Two areas nearer than this share of the pool's are one.
const ONE_AREA_FRAC: f64 = 0.01;

/// The areas tried, m², from none to twice the pool.
#[must_use]
pub fn areas_m2(plan: &Plan) -> Vec<f64> {
    let pool_m2 = plan.pool.area_m2;
    let own_m2 = heater_area_m2(plan);
    let mut areas: Vec<f64> = SHARES
        .iter()
        .map(|share| share * pool_m2)
        .filter(|area| *area <= 0.0 || (area - own_m2).abs() > ONE_AREA_FRAC * pool_m2)
        .collect();
    if own_m2 <= 2.0 * pool_m2 {
        areas.push(own_m2);
    }
    areas.sort_by(f64::total_cmp);
    areas
}

/// The plan with each of `areas_m2`, without and with a cover.
pub(crate) fn plans(plan: &Plan, areas_m2: &[f64]) -> [Vec<Plan>; 2] {
    let own_m2 = heater_area_m2(plan);
    let cover = plan.cover.clone().unwrap_or_else(|| tried_cover(plan));
    [None, Some(cover)].map(|cover| {
        areas_m2
            .iter()
            .map(|area| Plan {
                cover: cover.clone(),
                ..scaled(plan, area / own_m2.max(1e-9))
            })
            .collect()
    })
}

/// Smallest area from which on the next `step_m2` brings less than a day, m²: where the line over all points, drawn tight
/// (their least concave majorant), becomes flatter than that. Absent where it never does within the areas tried.
///
/// A count of days goes up in steps; the tight line over it does not, and once flat it stays flat.
#[must_use]
pub fn enough_m2(areas_m2: &[f64], days: &[f64], step_m2: f64) -> Option<f64> {
    let mut tight: Vec<(f64, f64)> = Vec::new();
    for point in areas_m2.iter().copied().zip(days.iter().copied()) {
        while let [.., a, b] = tight.as_slice() {
            // The middle one of three lies on or below the line from the first to the last.
            let below = (b.1 - a.1) * (point.0 - a.0) <= (point.1 - a.1) * (b.0 - a.0);
            if !below {
                break;
            }
            tight.pop();
        }
        tight.push(point);
    }
    tight
        .windows(2)
        .find(|pair| (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0) * step_m2 < 1.0)
        .map(|pair| pair[0].0)
}
