//! A circuit made ready: heights, lifts and losses of every piece, once.

use swimdays_properties::constants::GRAVITY_M_S2;

use super::FlowError;
use super::circuit::{Circuit, PumpUnit, Surroundings};
use super::fittings::Loss;
use super::network::{Network, Piece};
use super::operating::Part;
use super::tube::TubeModel;

/// Branch heights are compared to this, m.
const SAME_HEIGHT_M: f64 = 1e-3;
/// A piece with neither length nor fittings drops this share of the pump's shut-off pressure at its largest flow: two
/// without any resistance side by side would not know how to share.
const LEAST: f64 = 1e-11;
/// An end higher than this above the surface is open to the air, m.
const ABOVE_WATER_M: f64 = 1e-3;

/// A piece made ready.
#[derive(Clone, Debug)]
pub(crate) struct Leaf<'a> {
    pub(crate) piece: &'a Piece,
    pub(crate) part: Part,
    pub(crate) tube: TubeModel,
    pub(crate) loss: Loss,
    /// Of its inlet, m.
    pub(crate) inlet_m: f64,
    /// Its outlet is open to the air.
    pub(crate) open: bool,
    /// The water only falls through it: a vent stands before it.
    pub(crate) by_weight: bool,
    /// Times the computed resistance.
    pub(crate) scale: f64,
    /// Lift that no siphon gives back, Pa.
    pub(crate) lift_pa: f64,
}

impl Leaf<'_> {
    pub(crate) fn top_m(&self) -> f64 {
        self.inlet_m + self.piece.high_m.max(self.piece.rise_m).max(0.0)
    }

    pub(crate) fn outlet_m(&self) -> f64 {
        self.inlet_m + self.piece.rise_m
    }

    pub(crate) fn one_way(&self) -> bool {
        self.loss.one_way || self.open || self.lift_pa > 0.0
    }

    /// Friction and fittings alone, Pa, and slope.
    pub(crate) fn friction(&self, flow_m3_s: f64) -> (f64, f64) {
        let (tube, tube_slope) = self.tube.drop_pa(flow_m3_s);
        let (fittings, fittings_slope) = self.loss.drop_pa(flow_m3_s);
        (
            self.scale * (tube + fittings),
            self.scale * (tube_slope + fittings_slope),
        )
    }
}

/// Leaves by number.
#[derive(Clone, Debug)]
pub(crate) enum Node {
    Leaf(usize),
    Series(Vec<Node>),
    Side(Vec<Node>),
}

/// A circuit made ready.
#[derive(Clone, Debug)]
pub(crate) struct Plumbing<'a> {
    pub(crate) leaves: Vec<Leaf<'a>>,
    pub(crate) suction: Node,
    pub(crate) rest: Node,
    pub(crate) pump: &'a PumpUnit,
    /// Height of the pump, m.
    pub(crate) pump_m: f64,
    /// ρ g, Pa/m.
    pub(crate) weight_pa_m: f64,
}

struct Builder<'a, 'w> {
    leaves: Vec<Leaf<'a>>,
    around: &'w Surroundings,
}

/// Where a network stands in the whole.
#[derive(Clone, Copy)]
struct Place {
    inlet_m: f64,
    part: Part,
    /// Nothing joins it again before the pool.
    spine: bool,
    /// No piece comes after it.
    last: bool,
    by_weight: bool,
}

impl<'a> Builder<'a, '_> {
    /// Node, height of its end, whether it opened to the air.
    fn add(&mut self, network: &'a Network, at: Place) -> Result<(Node, f64, bool), FlowError> {
        match network {
            Network::Piece(piece) => self.piece(piece, at),
            Network::Series(parts) => {
                let mut nodes = Vec::new();
                let (mut height_m, mut opened) = (at.inlet_m, false);
                for (i, part) in parts.iter().enumerate() {
                    let last = at.last && parts[i + 1..].iter().all(Network::is_empty);
                    let place = Place {
                        inlet_m: height_m,
                        last,
                        by_weight: at.by_weight || opened,
                        ..at
                    };
                    let (node, end_m, opens) = self.add(part, place)?;
                    height_m = end_m;
                    opened |= opens;
                    nodes.push(node);
                }
                Ok((Node::Series(nodes), height_m, opened))
            }
            Network::SideBySide(parts) => {
                if at.by_weight {
                    return Err(open_before_join(network));
                }
                let mut nodes = Vec::new();
                let mut ends: Vec<f64> = Vec::new();
                for part in parts {
                    let place = Place {
                        spine: at.spine && at.last,
                        ..at
                    };
                    let (node, end_m, _) = self.add(part, place)?;
                    if !at.last
                        && let Some(&first_m) = ends.first()
                        && (end_m - first_m).abs() > SAME_HEIGHT_M
                    {
                        return Err(FlowError::HeightsDisagree {
                            rise_m: first_m - at.inlet_m,
                            other_rise_m: end_m - at.inlet_m,
                        });
                    }
                    ends.push(end_m);
                    nodes.push(node);
                }
                Ok((Node::Side(nodes), ends[0], false))
            }
        }
    }

    fn piece(&mut self, piece: &'a Piece, at: Place) -> Result<(Node, f64, bool), FlowError> {
        let water = self.around.water;
        let end_m = at.inlet_m + piece.rise_m;
        let falls_out = at.spine && at.last && end_m > ABOVE_WATER_M;
        let open = !at.by_weight && (piece.open_to_air || falls_out);
        if open && !at.spine {
            return Err(FlowError::OpenBeforeJoin {
                piece: piece.name.clone(),
            });
        }
        let mut loss = Loss::default();
        for fitting in &piece.fittings {
            loss.add(&fitting.loss(piece.tube.bore_m, water.density_kg_m3));
        }
        self.leaves.push(Leaf {
            piece,
            part: at.part,
            tube: TubeModel::new(piece.tube, water),
            loss,
            inlet_m: at.inlet_m,
            open,
            by_weight: at.by_weight,
            scale: 1.0,
            lift_pa: if open {
                water.density_kg_m3 * GRAVITY_M_S2 * end_m
            } else {
                0.0
            },
        });
        Ok((Node::Leaf(self.leaves.len() - 1), end_m, open))
    }
}

fn open_before_join(network: &Network) -> FlowError {
    FlowError::OpenBeforeJoin {
        piece: network
            .pieces()
            .next()
            .map_or_else(String::new, |p| format!("the piece before {}", p.name)),
    }
}

impl<'a> Plumbing<'a> {
    pub(crate) fn new(
        circuit: &'a Circuit,
        pump: &'a PumpUnit,
        around: &Surroundings,
    ) -> Result<Self, FlowError> {
        circuit.check()?;
        pump.power.check()?;
        let mut builder = Builder {
            leaves: Vec::new(),
            around,
        };
        let (inlet_m, suction) = match circuit {
            Circuit::Own {
                inlet_m, suction, ..
            }
            | Circuit::Tee {
                inlet_m, suction, ..
            } => (*inlet_m, suction),
        };
        let start = Place {
            inlet_m,
            part: Part::Suction,
            spine: false,
            last: false,
            by_weight: false,
        };
        let (suction, pump_m, _) = builder.add(suction, start)?;
        let place = |inlet_m: f64, part: Part, last: bool| Place {
            inlet_m,
            part,
            spine: last,
            last,
            by_weight: false,
        };
        let rest = match circuit {
            Circuit::Own { heater, .. } => {
                builder.add(heater, place(pump_m, Part::Heater, true))?.0
            }
            Circuit::Tee {
                before,
                main,
                heater,
                after,
                ..
            } => {
                let (first, tee_m, _) = builder.add(before, place(pump_m, Part::Before, false))?;
                let apart = after.is_empty();
                let (straight, main_m, _) = builder.add(main, place(tee_m, Part::Main, apart))?;
                let (side, heater_m, _) = builder.add(heater, place(tee_m, Part::Heater, apart))?;
                if !apart && (main_m - heater_m).abs() > SAME_HEIGHT_M {
                    return Err(FlowError::HeightsDisagree {
                        rise_m: main_m - tee_m,
                        other_rise_m: heater_m - tee_m,
                    });
                }
                let (last, _, _) = builder.add(after, place(main_m, Part::After, true))?;
                Node::Series(vec![first, Node::Side(vec![straight, side]), last])
            }
        };
        let weight_pa_m = around.water.density_kg_m3 * GRAVITY_M_S2;
        let curve = &pump.curve;
        let least = LEAST * weight_pa_m * curve.shut_off_m() / curve.most_m3_s();
        for leaf in &mut builder.leaves {
            let Loss { linear, square, .. } = leaf.loss;
            if leaf.piece.tube.length_m <= 0.0 && linear + square <= 0.0 {
                leaf.loss.linear = least;
            }
        }
        Ok(Self {
            leaves: builder.leaves,
            suction,
            rest,
            pump,
            pump_m,
            weight_pa_m,
        })
    }
}
