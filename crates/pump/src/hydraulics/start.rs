//! Whether the loop fills and the siphon forms.

use super::FlowError;
use super::circuit::Surroundings;
use super::operating::{COLUMN_MARGIN_PA, Part, Start};
use super::plumbing::{Leaf, Plumbing};
use super::solve::Flows;
use super::walk::node_flow;

/// Pressure below which a column of water breaks, Pa absolute.
pub(crate) fn column_needs_pa(around: &Surroundings) -> f64 {
    around.water.vapour_pressure_pa + COLUMN_MARGIN_PA
}

pub(crate) fn start(
    plumbing: &Plumbing<'_>,
    alone: Option<&(Plumbing<'_>, Flows)>,
    lowest_absolute_pa: f64,
    around: &Surroundings,
) -> Result<Start, FlowError> {
    let heater = || plumbing.leaves.iter().filter(|l| l.part == Part::Heater);
    let high_point_m = heater().map(Leaf::top_m).fold(f64::NEG_INFINITY, f64::max);
    let available_m = match alone {
        None => plumbing.pump.curve.shut_off_m(),
        Some((shut, flows)) => {
            // Down the line to the tee.
            let spent: f64 = (0..shut.leaves.len())
                .filter(|&i| matches!(shut.leaves[i].part, Part::Suction | Part::Before))
                // Weighted by their share of the stream, branches side by side add up to their group's drop.
                .map(|i| {
                    let flow = flows.flow_m3_s[i];
                    shut.leaves[i].friction(flow).0 * flow / flows.total_m3_s.max(f64::MIN_POSITIVE)
                })
                .sum();
            shut.pump.curve.head_m(flows.total_m3_s).0 - spent / shut.weight_pa_m
        }
    };
    // What the heater's open ends already cost.
    let open_m = heater()
        .filter(|l| l.open)
        .map(Leaf::outlet_m)
        .fold(f64::INFINITY, f64::min);
    let open = open_m.is_finite();
    let extra_m = high_point_m - if open { open_m } else { 0.0 };
    let mut filling = plumbing.clone();
    let node = plumbing.heater_node().clone();
    if extra_m > 0.0 {
        filling.add_lift(&node, extra_m * plumbing.weight_pa_m);
    }
    let flows = filling.solve()?;
    let fill_flow_m3_s = node_flow(&node, &flows.flow_m3_s).max(0.0);
    let volume_m3: f64 = heater().map(|l| l.piece.tube.volume_m3()).sum();
    let fill_velocity_m_s = slowest_down(&filling, &flows).map(|s| s.1);
    let can_start = available_m > high_point_m && fill_flow_m3_s > 0.0;
    Ok(Start {
        high_point_m,
        available_m,
        can_start,
        fill_flow_m3_s,
        fill_s: if fill_flow_m3_s > 0.0 {
            volume_m3 / fill_flow_m3_s
        } else {
            f64::INFINITY
        },
        fill_velocity_m_s,
        siphon_holds: !open && lowest_absolute_pa > column_needs_pa(around),
    })
}

/// Slowest water on the heater's way down from above the surface: name and speed.
pub(crate) fn slowest_down(plumbing: &Plumbing<'_>, flows: &Flows) -> Option<(String, f64)> {
    plumbing
        .leaves
        .iter()
        .zip(&flows.flow_m3_s)
        .filter(|(l, _)| l.part == Part::Heater && l.top_m() > 0.0 && l.outlet_m() < l.top_m())
        .filter(|(l, _)| !l.by_weight && l.piece.tube.length_m > 0.0)
        .map(|(l, flow)| (l.piece.name.clone(), flow.abs() / l.piece.tube.area_m2()))
        .min_by(|a, b| a.1.total_cmp(&b.1))
}
