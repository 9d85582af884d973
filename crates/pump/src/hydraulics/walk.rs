//! Pressures and rows, piece by piece along the loop.

use super::operating::{Part, PieceRow};
use super::plumbing::{Node, Plumbing};
use super::solve::Flows;
use super::tube::TubeFlow;

/// A branch side by side with others.
pub(crate) struct Branch {
    /// Name of its first piece.
    pub(crate) first: String,
    pub(crate) part: Part,
    /// Its high point above the pool's surface, m.
    pub(crate) high_m: f64,
    /// Total head where it begins, m.
    pub(crate) head_m: f64,
}

/// Heads and running lengths while walking through the pieces.
pub(crate) struct Walk<'p, 'a> {
    pub(crate) plumbing: &'p Plumbing<'a>,
    pub(crate) flows: &'p Flows,
    pub(crate) air_pa: f64,
    pub(crate) density_kg_m3: f64,
    pub(crate) rows: Vec<PieceRow>,
    pub(crate) branches: Vec<Branch>,
}

impl Walk<'_, '_> {
    /// Total head and running length behind a node.
    pub(crate) fn go(&mut self, node: &Node, head_m: f64, along_m: f64) -> (f64, f64) {
        match node {
            Node::Leaf(i) => self.leaf(*i, head_m, along_m),
            Node::Series(nodes) => nodes
                .iter()
                .fold((head_m, along_m), |at, n| self.go(n, at.0, at.1)),
            Node::Side(nodes) => {
                let mut end = (f64::NEG_INFINITY, along_m);
                let mut most = -1.0;
                for n in nodes {
                    let first = self.rows.len();
                    let (end_head_m, end_along_m) = self.go(n, head_m, along_m);
                    end.1 = end.1.max(end_along_m);
                    let flow = node_flow(n, &self.flows.flow_m3_s);
                    if flow.abs() > most {
                        (most, end.0) = (flow.abs(), end_head_m);
                    }
                    let high_m = self.rows[first..]
                        .iter()
                        .map(|r| r.high_point_m)
                        .fold(f64::NEG_INFINITY, f64::max);
                    let name = self.rows[first].name.clone();
                    self.branches.push(Branch {
                        first: name,
                        part: self.rows[first].part,
                        high_m,
                        head_m,
                    });
                }
                end
            }
        }
    }

    fn leaf(&mut self, i: usize, head_m: f64, along_m: f64) -> (f64, f64) {
        let leaf = &self.plumbing.leaves[i];
        let weight = self.plumbing.weight_pa_m;
        let flow = self.flows.flow_m3_s[i];
        let TubeFlow {
            velocity_m_s,
            reynolds,
            dean,
            critical_reynolds,
            friction_factor,
            regime,
            limits,
            ..
        } = leaf.tube.at(flow);
        let drop_pa = leaf.friction(flow).0;
        let (inlet_m, outlet_m, top_m) = (leaf.inlet_m, leaf.outlet_m(), leaf.top_m());
        let under_water = |height_m: f64| weight * (-height_m).max(0.0);
        let (end_head_m, inlet_pa, outlet_pa, lowest_pa);
        if leaf.by_weight {
            end_head_m = outlet_m.min(0.0);
            inlet_pa = under_water(inlet_m);
            outlet_pa = under_water(outlet_m);
            lowest_pa = inlet_pa.min(outlet_pa);
        } else {
            let moving_pa = 0.5 * self.density_kg_m3 * velocity_m_s * velocity_m_s;
            end_head_m = head_m - drop_pa / weight;
            let gauge = |head: f64, height: f64| weight * (head - height) - moving_pa;
            inlet_pa = gauge(head_m, inlet_m);
            outlet_pa = if leaf.open {
                0.0
            } else {
                gauge(end_head_m, outlet_m)
            };
            // Friction falls along the flow: at the top count it all, whichever way the water goes.
            let at_top = if top_m > inlet_m.max(outlet_m) {
                gauge(head_m.min(end_head_m), top_m)
            } else {
                f64::INFINITY
            };
            lowest_pa = inlet_pa.min(outlet_pa).min(at_top);
        }
        let tube = leaf.tube.tube();
        self.rows.push(PieceRow {
            name: leaf.piece.name.clone(),
            part: leaf.part,
            length_m: tube.length_m,
            bore_m: tube.bore_m,
            flow_m3_s: flow,
            share_frac: if self.flows.total_m3_s > 0.0 {
                flow / self.flows.total_m3_s
            } else {
                0.0
            },
            velocity_m_s,
            reynolds,
            dean,
            critical_reynolds,
            regime,
            friction_factor,
            drop_pa,
            fittings_pa: leaf.scale * leaf.loss.drop_pa(flow).0,
            open_to_air: leaf.open,
            by_weight: leaf.by_weight,
            along_m,
            inlet_height_m: inlet_m,
            outlet_height_m: outlet_m,
            high_point_m: top_m,
            inlet_gauge_pa: inlet_pa,
            outlet_gauge_pa: outlet_pa,
            lowest_gauge_pa: lowest_pa,
            lowest_absolute_pa: self.air_pa + lowest_pa,
            transit_s: if flow.abs() > 0.0 {
                tube.volume_m3() / flow.abs()
            } else if tube.length_m > 0.0 {
                f64::INFINITY
            } else {
                0.0
            },
            limits,
        });
        (end_head_m, along_m + tube.length_m)
    }
}

/// Flow through a node.
pub(crate) fn node_flow(node: &Node, flows: &[f64]) -> f64 {
    match node {
        Node::Leaf(i) => flows[*i],
        Node::Series(nodes) => nodes.first().map_or(0.0, |n| node_flow(n, flows)),
        Node::Side(nodes) => nodes.iter().map(|n| node_flow(n, flows)).sum(),
    }
}
