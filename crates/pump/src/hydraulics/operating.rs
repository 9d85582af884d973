//! The operating point: what flows where, at which pressure, and whether it starts.

use super::circuit::{Circuit, PumpUnit, Surroundings};
use super::curve::Watts;
use super::friction::Regime;
use super::plumbing::{Node, Plumbing};
use super::raised::warnings;
use super::solve::Flows;
use super::start::start;
use super::walk::{Walk, node_flow};
use super::warning::Warning;
use super::{FlowError, FrictionLimit};

/// Speeds from which water carries air down with it, m/s: may, does. From memory.
pub const AIR_CARRIED_M_S: (f64, f64) = (0.3, 0.6);
/// Margin above the vapour pressure at which dissolved air breaks a column, Pa (2 m of water; common practice, no source).
pub const COLUMN_MARGIN_PA: f64 = 20_000.0;

/// Which part of the circuit a piece belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Pool to pump.
    Suction,
    /// Pump to tee.
    Before,
    /// Straight on past the heater.
    Main,
    /// The heater's way.
    Heater,
    /// From where they come together to the pool.
    After,
}

/// A piece at the operating point.
#[derive(Clone, Debug, PartialEq)]
pub struct PieceRow {
    /// The builder's name.
    pub name: String,
    /// Where it belongs.
    pub part: Part,
    /// m.
    pub length_m: f64,
    /// m.
    pub bore_m: f64,
    /// m³/s; negative against the order of the pieces.
    pub flow_m3_s: f64,
    /// Its flow over the pump's, −.
    pub share_frac: f64,
    /// m/s.
    pub velocity_m_s: f64,
    /// −.
    pub reynolds: f64,
    /// −; 0 in straight tube.
    pub dean: f64,
    /// Reynolds number at which it stops being laminar.
    pub critical_reynolds: f64,
    /// Laminar or turbulent throughout, else transition.
    pub regime: Regime,
    /// Darcy's, mean over the length, −.
    pub friction_factor: f64,
    /// Tube and fittings, Pa.
    pub drop_pa: f64,
    /// Of that, the fittings, Pa.
    pub fittings_pa: f64,
    /// Its outlet is open to the air: a vent, or an end above the water.
    pub open_to_air: bool,
    /// A vent stands before it: water falls through it by its weight, and its drop costs the pump nothing.
    pub by_weight: bool,
    /// Running length from the inlet of the circuit to its inlet, m.
    pub along_m: f64,
    /// Height of its inlet above the pool's surface, m.
    pub inlet_height_m: f64,
    /// Height of its outlet, m.
    pub outlet_height_m: f64,
    /// Height of its highest point, m.
    pub high_point_m: f64,
    /// Static pressure at its inlet against the air, Pa.
    pub inlet_gauge_pa: f64,
    /// Static pressure at its outlet against the air, Pa.
    pub outlet_gauge_pa: f64,
    /// Lowest static pressure in it against the air, Pa; at a high point inside it with all of its friction counted.
    pub lowest_gauge_pa: f64,
    /// The same, absolute, Pa.
    pub lowest_absolute_pa: f64,
    /// Time for water to pass, s; infinite where it stands still.
    pub transit_s: f64,
    /// Ranges left.
    pub limits: Vec<FrictionLimit>,
}

/// Whether the loop fills and the siphon forms.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// Highest point of the heater's way above the pool's surface, m.
    pub high_point_m: f64,
    /// Head at the heater's inlet while it stands still, m above the pool's surface. Total head: a tee in a fast line
    /// gives less by the head of its speed (0.2 m at 2 m/s).
    pub available_m: f64,
    /// The pump reaches the high point.
    pub can_start: bool,
    /// Flow over the high point before the siphon helps, m³/s; all of the way's friction counted.
    pub fill_flow_m3_s: f64,
    /// Time to fill the heater's way at that flow, s; infinite where it does not.
    pub fill_s: f64,
    /// Slowest water on the way down while filling, m/s; none when nothing goes down from above the surface.
    pub fill_velocity_m_s: Option<f64>,
    /// Running, the siphon holds: closed to the air and nowhere near boiling.
    pub siphon_holds: bool,
}

/// Where pump and plumbing agree.
#[derive(Clone, Debug, PartialEq)]
pub struct Operating {
    /// Through the heater, m³/s, once it is filled.
    pub flow_m3_s: f64,
    /// Through the pump (and the filter), m³/s.
    pub pump_flow_m3_s: f64,
    /// Through the pump with the heater's way shut, m³/s; only for a tee off the filter pump.
    pub filter_flow_alone_m3_s: Option<f64>,
    /// Pump's head, m.
    pub head_m: f64,
    /// What the pump draws.
    pub power: Watts,
    /// What it draws with the heater's way shut; only for a tee.
    pub power_alone: Option<Watts>,
    /// Power in the water, `ρ g Q H`, W.
    pub hydraulic_w: f64,
    /// Static pressure at the pump's inlet against the air, Pa.
    pub pump_inlet_gauge_pa: f64,
    /// Height of the pump above the pool's surface, m.
    pub pump_height_m: f64,
    /// Water in the heater's way, m³.
    pub heater_volume_m3: f64,
    /// Rows in the order of the pieces.
    pub pieces: Vec<PieceRow>,
    /// Filling and siphon.
    pub start: Start,
    /// What to tell the builder.
    pub warnings: Vec<Warning>,
    /// Largest difference around a loop, share of its drop.
    pub closure: f64,
    /// Steps of the solver.
    pub steps: usize,
}

impl Plumbing<'_> {
    pub(crate) fn heater_node(&self) -> &Node {
        if self.is_tee()
            && let Node::Series(nodes) = &self.rest
            && let [_, Node::Side(branches), _] = nodes.as_slice()
            && let [_, heater] = branches.as_slice()
        {
            return heater;
        }
        &self.rest
    }

    pub(crate) fn is_tee(&self) -> bool {
        self.leaves.iter().any(|l| l.part == Part::Main)
    }

    pub(crate) fn scale_heater(&mut self, scale: f64) {
        for leaf in self.leaves.iter_mut().filter(|l| l.part == Part::Heater) {
            leaf.scale = scale;
        }
    }

    fn shut_heater(&mut self) {
        for leaf in self.leaves.iter_mut().filter(|l| l.part == Part::Heater) {
            leaf.loss.shut = true;
        }
    }

    pub(crate) fn add_lift(&mut self, node: &Node, lift_pa: f64) {
        match node {
            Node::Leaf(i) => self.leaves[*i].lift_pa += lift_pa,
            Node::Series(nodes) => {
                if let Some(first) = nodes.first() {
                    self.add_lift(first, lift_pa);
                }
            }
            Node::Side(nodes) => nodes.iter().for_each(|n| self.add_lift(n, lift_pa)),
        }
    }
}

/// Flow, head and draw of the pump.
fn pump_at(plumbing: &Plumbing<'_>, flows: &Flows, density_kg_m3: f64) -> (f64, f64, Watts) {
    let flow = flows.total_m3_s;
    let head = plumbing.pump.curve.head_m(flow).0;
    (
        flow,
        head,
        plumbing.pump.power.watts(flow, head, density_kg_m3),
    )
}

impl Operating {
    /// Finds where the pump's curve meets the plumbing, once everything is full of water.
    ///
    /// `ρ g H(Q) = Σ Δp` around every loop, `Σ Q = 0` at every tee. [`Start`] says whether the pump can fill it.
    ///
    /// Left out: buoyancy of warm water; how streams of unlike size lose at a tee.
    ///
    /// Source: Kirchhoff's two laws for pipes; Cherry & Millar (1951), Phil. Mag. 42:1161, for there being one solution.
    ///
    /// # Errors
    /// Values that cannot be, branches that cannot join, a solver that does not settle.
    pub fn find(
        circuit: &Circuit,
        pump: &PumpUnit,
        around: &Surroundings,
    ) -> Result<Self, FlowError> {
        Self::scaled(circuit, pump, around, 1.0)
    }

    /// As [`Self::find`], with so many times the heater's computed resistance.
    ///
    /// # Errors
    /// As there.
    pub fn scaled(
        circuit: &Circuit,
        pump: &PumpUnit,
        around: &Surroundings,
        heater_factor: f64,
    ) -> Result<Self, FlowError> {
        let mut plumbing = Plumbing::new(circuit, pump, around)?;
        plumbing.scale_heater(heater_factor);
        let flows = plumbing.solve()?;
        let density = around.water.density_kg_m3;
        let mut walk = Walk {
            plumbing: &plumbing,
            flows: &flows,
            air_pa: around.air_pressure_pa,
            density_kg_m3: density,
            rows: Vec::new(),
            branches: Vec::new(),
        };
        let (suction_m, along_m) = walk.go(&plumbing.suction, 0.0, 0.0);
        let (pump_flow, head_m, power) = pump_at(&plumbing, &flows, density);
        let suction_speed = walk.rows.last().map_or(0.0, |r| r.velocity_m_s);
        let pump_inlet_gauge_pa = plumbing.weight_pa_m * (suction_m - plumbing.pump_m)
            - 0.5 * density * suction_speed * suction_speed;
        walk.go(&plumbing.rest, suction_m + head_m, along_m);
        let (pieces, branches) = (walk.rows, walk.branches);
        let alone = if plumbing.is_tee() {
            let mut shut = plumbing.clone();
            shut.shut_heater();
            let flows = shut.solve()?;
            Some((shut, flows))
        } else {
            None
        };
        let lowest_pa = lowest(&pieces, Part::Heater);
        let start = start(&plumbing, alone.as_ref(), lowest_pa, around)?;
        let mut operating = Self {
            flow_m3_s: node_flow(plumbing.heater_node(), &flows.flow_m3_s),
            pump_flow_m3_s: pump_flow,
            filter_flow_alone_m3_s: alone.as_ref().map(|a| a.1.total_m3_s),
            head_m,
            power,
            power_alone: alone.as_ref().map(|(p, f)| pump_at(p, f, density).2),
            hydraulic_w: plumbing.weight_pa_m * pump_flow * head_m,
            pump_inlet_gauge_pa,
            pump_height_m: plumbing.pump_m,
            heater_volume_m3: circuit.heater().volume_m3(),
            pieces,
            start,
            warnings: Vec::new(),
            closure: flows.rest,
            steps: flows.steps,
        };
        operating.warnings = warnings(&plumbing, &flows, &operating, &branches, around);
        Ok(operating)
    }
}

fn lowest(rows: &[PieceRow], part: Part) -> f64 {
    rows.iter()
        .filter(|r| r.part == part)
        .map(|r| r.lowest_absolute_pa)
        .fold(f64::INFINITY, f64::min)
}
