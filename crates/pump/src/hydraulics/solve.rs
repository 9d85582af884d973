//! The flow of every piece: one pump against a tree of pieces.
//!
//! Unknown are the flows of the pieces. Water is kept in every step: a step moves along flows that leave no node short.
//! Among those the solution is where the work `Σ ∫Δp dQ − ∫ρ g H dQ` is least (Cherry & Millar 1951, *content*); it is
//! convex since every drop rises with its flow and the head falls, so there is one solution. Newton's step on a tree is
//! a series–parallel reduction of straight lines `Δp = r + s Q`; a search along the step keeps the work falling.
//!
//! A piece through which nothing flows back has a very steep line below zero; where it settles there it is shut and
//! the rest solved again without it.

use super::FlowError;
use super::plumbing::{Node, Plumbing};

/// Loops close to this share of their own drop; the solver stops earlier only here.
pub(crate) const CLOSED: f64 = 1e-9;
/// What it tries for.
const AIM: f64 = 1e-12;
const MOST_STEPS: usize = 300;
/// Closure, and steps after which, branches are held although the loops do not close to the last digit yet.
const ROUGH: f64 = 1e-6;
const ROUGH_STEPS: usize = 60;
/// Steepness below zero of a piece through which nothing flows back, in shut-off pressures per largest flow.
const STEEP: f64 = 1e7;
/// Least steepness in the straight lines (never in the drops and the curve themselves), in the same unit.
const LEAST: f64 = 1e-13;

/// Flows of the leaves.
#[derive(Clone, Debug)]
pub(crate) struct Flows {
    pub(crate) flow_m3_s: Vec<f64>,
    pub(crate) total_m3_s: f64,
    /// Largest difference around a loop, share of its drop.
    pub(crate) rest: f64,
    pub(crate) steps: usize,
}

impl Plumbing<'_> {
    /// Pressure that the pump gives without flow, Pa.
    fn shut_off_pa(&self) -> f64 {
        self.weight_pa_m * self.pump.curve.shut_off_m()
    }

    /// Shut-off pressure over largest flow, Pa·s/m³.
    fn unit(&self) -> f64 {
        self.shut_off_pa() / self.pump.curve.most_m3_s()
    }

    fn is_shut(&self, node: &Node, held: &[bool]) -> bool {
        match node {
            Node::Leaf(i) => self.leaves[*i].loss.shut || held[*i],
            Node::Series(nodes) => nodes.iter().any(|n| self.is_shut(n, held)),
            Node::Side(nodes) => nodes.iter().all(|n| self.is_shut(n, held)),
        }
    }

    /// Whether valves alone leave no way for the water.
    pub(crate) fn valves_shut_it(&self) -> bool {
        let held = vec![false; self.leaves.len()];
        self.is_shut(&self.suction, &held) || self.is_shut(&self.rest, &held)
    }

    /// Drop of a leaf as the solver sees it.
    fn leaf_drop(&self, i: usize, flow_m3_s: f64) -> (f64, f64) {
        let leaf = &self.leaves[i];
        if leaf.by_weight {
            return (0.0, 0.0);
        }
        if flow_m3_s < 0.0 && leaf.one_way() {
            let steep = STEEP * self.unit();
            return (leaf.lift_pa + steep * flow_m3_s, steep);
        }
        let (drop, slope) = leaf.friction(flow_m3_s);
        (drop + leaf.lift_pa, slope)
    }

    fn pump_pa(&self, flow_m3_s: f64) -> (f64, f64) {
        let (head, slope) = self.pump.curve.head_m(flow_m3_s);
        let mut pump = (self.weight_pa_m * head, self.weight_pa_m * slope);
        if flow_m3_s < 0.0 {
            let steep = STEEP * self.unit();
            pump.0 -= steep * flow_m3_s;
            pump.1 -= steep;
        }
        pump
    }

    /// The straight line `r + s Q` that stands for a node; none when it is shut.
    fn line(&self, node: &Node, state: &State) -> Option<(f64, f64)> {
        match node {
            Node::Leaf(i) => {
                if self.is_shut(node, &state.held) {
                    return None;
                }
                let (drop, slope) = state.drops[*i];
                let slope = if self.leaves[*i].by_weight {
                    0.0
                } else {
                    slope.max(LEAST * self.unit())
                };
                Some((drop - slope * state.flows[*i], slope))
            }
            Node::Series(nodes) => nodes
                .iter()
                .map(|n| self.line(n, state))
                .try_fold((0.0, 0.0), |sum, line| {
                    line.map(|l| (sum.0 + l.0, sum.1 + l.1))
                }),
            Node::Side(nodes) => {
                let (mut conductance, mut offset) = (0.0, 0.0);
                for (r, s) in nodes.iter().filter_map(|n| self.line(n, state)) {
                    conductance += 1.0 / s;
                    offset += r / s;
                }
                (conductance > 0.0).then(|| (offset / conductance, 1.0 / conductance))
            }
        }
    }

    /// Hands a flow down to the leaves by the straight lines.
    fn assign(&self, node: &Node, flow_m3_s: f64, state: &State, into: &mut [f64]) {
        match node {
            Node::Leaf(i) => into[*i] = flow_m3_s,
            Node::Series(nodes) => nodes
                .iter()
                .for_each(|n| self.assign(n, flow_m3_s, state, into)),
            Node::Side(nodes) => {
                let Some((r, s)) = self.line(node, state) else {
                    nodes.iter().for_each(|n| self.assign(n, 0.0, state, into));
                    return;
                };
                let drop = r + s * flow_m3_s;
                let mut shares: Vec<f64> = Vec::with_capacity(nodes.len());
                let (mut widest, mut at) = (f64::INFINITY, 0);
                for (i, n) in nodes.iter().enumerate() {
                    shares.push(self.line(n, state).map_or(0.0, |(ri, si)| {
                        if si < widest {
                            (widest, at) = (si, i);
                        }
                        (drop - ri) / si
                    }));
                }
                // What rounding lost goes where it changes the drop least: the node stays whole.
                let short = flow_m3_s - shares.iter().sum::<f64>();
                shares[at] += short;
                for (n, share) in nodes.iter().zip(shares) {
                    self.assign(n, share, state, into);
                }
            }
        }
    }

    /// Even split to begin with.
    fn spread(&self, node: &Node, flow_m3_s: f64, held: &[bool], into: &mut [f64]) {
        match node {
            Node::Leaf(i) => into[*i] = flow_m3_s,
            Node::Series(nodes) => nodes
                .iter()
                .for_each(|n| self.spread(n, flow_m3_s, held, into)),
            Node::Side(nodes) => {
                let open = nodes.iter().filter(|n| !self.is_shut(n, held)).count();
                #[allow(clippy::cast_precision_loss, reason = "a count of branches")]
                let share = flow_m3_s / open.max(1) as f64;
                for n in nodes {
                    let flow = if self.is_shut(n, held) { 0.0 } else { share };
                    self.spread(n, flow, held, into);
                }
            }
        }
    }

    /// Drop of a node and the largest difference between branches in it, share of their drop.
    fn closure(&self, node: &Node, state: &State) -> (f64, f64) {
        match node {
            Node::Leaf(i) => (state.drops[*i].0, 0.0),
            Node::Series(nodes) => nodes.iter().fold((0.0, 0.0), |(sum, worst), n| {
                let (drop, rest) = self.closure(n, state);
                (sum + drop, rest.max(worst))
            }),
            Node::Side(nodes) => {
                let (mut low, mut high, mut worst) = (f64::INFINITY, f64::NEG_INFINITY, 0.0_f64);
                for n in nodes.iter().filter(|n| !self.is_shut(n, &state.held)) {
                    let (drop, rest) = self.closure(n, state);
                    low = low.min(drop);
                    high = high.max(drop);
                    worst = worst.max(rest);
                }
                if low > high {
                    return (0.0, 0.0);
                }
                let size = low.abs().max(high.abs()) + 1e-6 * self.shut_off_pa();
                (0.5 * (low + high), worst.max((high - low) / size))
            }
        }
    }

    /// Pressure at which a held node would begin to flow, Pa.
    fn need_pa(&self, node: &Node) -> f64 {
        match node {
            Node::Leaf(i) if self.leaves[*i].loss.shut => f64::INFINITY,
            Node::Leaf(i) => self.leaves[*i].lift_pa,
            Node::Series(nodes) => nodes.iter().map(|n| self.need_pa(n)).sum(),
            Node::Side(nodes) => nodes
                .iter()
                .map(|n| self.need_pa(n))
                .fold(f64::INFINITY, f64::min),
        }
    }

    /// Whether a branch stands still against a pressure that would move it.
    fn wrongly_held(&self, node: &Node, state: &State) -> bool {
        match node {
            Node::Leaf(_) => false,
            Node::Series(nodes) => nodes.iter().any(|n| self.wrongly_held(n, state)),
            Node::Side(nodes) => {
                let drop = self.closure(node, state).0;
                let slack = CLOSED * self.shut_off_pa();
                nodes.iter().any(|n| {
                    if self.is_shut(n, &state.held) {
                        drop > self.need_pa(n) + slack
                    } else {
                        self.wrongly_held(n, state)
                    }
                })
            }
        }
    }

    fn rest(&self, state: &State) -> f64 {
        let (suction, a) = self.closure(&self.suction, state);
        let (onward, b) = self.closure(&self.rest, state);
        let pump = self.pump_pa(state.total).0;
        a.max(b)
            .max((suction + onward - pump).abs() / self.shut_off_pa())
    }

    /// Rate of the work along a step.
    fn rate(&self, state: &State, step: &[f64], step_total: f64, along: f64) -> f64 {
        let pump = self.pump_pa(state.total + along * step_total).0;
        (0..step.len())
            .filter(|&i| step[i].abs() > 0.0)
            .map(|i| self.leaf_drop(i, state.flows[i] + along * step[i]).0 * step[i])
            .sum::<f64>()
            - pump * step_total
    }

    /// How far to go along a step.
    fn along(&self, state: &State, step: &[f64], step_total: f64) -> f64 {
        let start = self.rate(state, step, step_total, 0.0);
        let end = self.rate(state, step, step_total, 1.0);
        if start >= 0.0 || end <= 0.5 * start.abs() {
            return 1.0;
        }
        // The rate rises all the way; halve towards its zero.
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            let rate = self.rate(state, step, step_total, middle);
            if rate.abs() <= 0.2 * start.abs() {
                return middle;
            }
            if rate < 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// Leaves through which water would flow back that lets none.
    fn to_hold<'s>(&'s self, flows: &'s [f64]) -> impl Iterator<Item = usize> + 's {
        (0..flows.len()).filter(|&i| flows[i] < 0.0 && self.leaves[i].one_way())
    }

    /// Good enough to say which leaves to hold, and there are some.
    fn rough(&self, state: Option<&State>) -> bool {
        state.is_some_and(|s| s.rest < ROUGH && self.to_hold(&s.flows).next().is_some())
    }

    fn newton(&self, held: Vec<bool>) -> Result<State, FlowError> {
        let n = self.leaves.len();
        let mut state = State {
            flows: vec![0.0; n],
            drops: vec![(0.0, 0.0); n],
            total: 0.3 * self.pump.curve.most_m3_s(),
            held,
            steps: 0,
            rest: f64::INFINITY,
        };
        let mut flows = vec![0.0; n];
        self.spread(&self.suction, state.total, &state.held, &mut flows);
        self.spread(&self.rest, state.total, &state.held, &mut flows);
        state.flows.clone_from(&flows);
        let mut best: Option<State> = None;
        let mut since_best = 0;
        while state.steps < MOST_STEPS {
            for i in 0..n {
                state.drops[i] = self.leaf_drop(i, state.flows[i]);
            }
            state.rest = self.rest(&state);
            if best.as_ref().is_none_or(|b| state.rest < b.rest) {
                best = Some(state.clone());
                since_best = 0;
            } else {
                since_best += 1;
            }
            let good = best.as_ref().is_some_and(|b| b.rest < CLOSED);
            // Rounding in the steep lines may keep a branch that is to be held from closing: hold it first.
            let stuck = state.steps >= ROUGH_STEPS && self.rough(best.as_ref());
            if state.rest < AIM || (good && since_best > 3) || stuck {
                break;
            }
            let (Some(suction), Some(onward)) = (
                self.line(&self.suction, &state),
                self.line(&self.rest, &state),
            ) else {
                break;
            };
            let (head, slope) = self.pump_pa(state.total);
            let slope = slope.min(-LEAST * self.unit());
            let total = (head - slope * state.total - suction.0 - onward.0)
                / (suction.1 + onward.1 - slope);
            self.assign(&self.suction, total, &state, &mut flows);
            self.assign(&self.rest, total, &state, &mut flows);
            let step: Vec<f64> = flows.iter().zip(&state.flows).map(|(a, b)| a - b).collect();
            let step_total = total - state.total;
            let along = self.along(&state, &step, step_total);
            if along < 1.0 {
                for (flow, by) in state.flows.iter_mut().zip(&step) {
                    *flow += along * by;
                }
                state.total += along * step_total;
            } else {
                state.flows.clone_from(&flows);
                state.total = total;
            }
            state.steps += 1;
        }
        match best {
            Some(best) if best.rest < CLOSED || self.rough(Some(&best)) => Ok(State {
                steps: state.steps,
                ..best
            }),
            other => Err(FlowError::NotSettled {
                steps: state.steps,
                rest: other.map_or(f64::INFINITY, |b| b.rest),
            }),
        }
    }

    /// The flow of every leaf; all 0 when nothing can flow.
    pub(crate) fn solve(&self) -> Result<Flows, FlowError> {
        let n = self.leaves.len();
        let mut held = vec![false; n];
        let mut steps = 0;
        // Each round holds at least one more leaf.
        for _ in 0..=n {
            if self.is_shut(&self.suction, &held) || self.is_shut(&self.rest, &held) {
                return Ok(Flows::none(n, steps));
            }
            let state = self.newton(held.clone())?;
            steps += state.steps;
            let mut more = false;
            for i in self.to_hold(&state.flows) {
                more |= !held[i];
                held[i] = true;
            }
            if state.total < 0.0 {
                return Ok(Flows::none(n, steps));
            }
            if !more {
                if self.wrongly_held(&self.suction, &state) || self.wrongly_held(&self.rest, &state)
                {
                    return Err(FlowError::NotSettled {
                        steps,
                        rest: state.rest,
                    });
                }
                return Ok(Flows {
                    flow_m3_s: state.flows,
                    total_m3_s: state.total,
                    rest: state.rest,
                    steps,
                });
            }
        }
        Ok(Flows::none(n, steps))
    }
}

#[derive(Clone, Debug)]
struct State {
    flows: Vec<f64>,
    drops: Vec<(f64, f64)>,
    total: f64,
    held: Vec<bool>,
    steps: usize,
    rest: f64,
}

impl Flows {
    fn none(n: usize, steps: usize) -> Self {
        Self {
            flow_m3_s: vec![0.0; n],
            total_m3_s: 0.0,
            rest: 0.0,
            steps,
        }
    }
}
