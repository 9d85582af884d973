//! Plumbing: the pump itself, the runs between, the heaters' tubes, as a circuit that can be solved.
//!
//! What is left out gets a default that is named among [`Hydraulics::assumptions`]; where the flow of the season
//! follows from it, they stand among the plan's as well.

mod fittings;
mod heaters;
mod runs;
mod source;

use swimdays_pump::FlowSource;
use swimdays_pump::PumpKind;
use swimdays_pump::hydraulics::{
    Bend, Circuit, Fitting, FittingKind, FlowError, Network, Operating, Part, Piece, PumpClass,
    PumpPower, PumpUnit, Surroundings, Tube, Valve, Warning,
};
use swimdays_quantity::Kind;
use swimdays_season::{Assumption, HeaterPlan, PumpPlan};

use crate::section::Section;
use crate::walk::Walk;
use crate::words::source::{ESTIMATE, OWN_CHOICE, PRACTICE};

pub(crate) use heaters::{HeaterPipes, bore_m, heater_pipes};
pub(crate) use source::{PumpSource, pump_source};

use heaters::heater_network;
use runs::{PartWord, Pipes, Run, ValveWord, line, of, pipes};

/// Water in the loop, °C: a pool in its season.
pub const LOOP_WATER_C: f64 = 25.0;
/// Flow below which nothing comes through, m³/s.
const NOTHING_M3_S: f64 = 8e-7;
/// Default depth of inlets and returns below the surface, m.
const DEPTH_M: f64 = 0.3;
const FILTER_DROP: (f64, f64) = (3.0, 40.0 * 3.785_411_784e-3 / 60.0);
const MAIN_LENGTH_M: f64 = 12.0;
const MAIN_BORE_M: f64 = 0.038_1;
const HALF_OPEN: f64 = 0.5;

/// One heater in the circuit.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct HeaterBranch {
    /// Its name.
    pub name: String,
    /// Its pieces, from the height of the first heater back to it.
    pub network: Network,
    /// Heaters of one number stand side by side; the numbers follow each other in series.
    pub group: usize,
}

/// The circuit that the scenario describes.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Hydraulics {
    /// Pool, pump, heaters, pool; without a described pump only the heaters' way.
    pub circuit: Circuit,
    /// The pump, where anything is written of it.
    pub pump: Option<PumpUnit>,
    /// Water and air.
    pub around: Surroundings,
    /// Each heater.
    pub heaters: Vec<HeaterBranch>,
    /// From pump or tee to the heaters.
    pub supply: Network,
    /// From the heaters back.
    pub back: Network,
    /// Flow measured or said, m³/s.
    pub measured_m3_s: Option<f64>,
    /// Flow that the season takes, m³/s.
    pub flow_m3_s: f64,
    /// A pump for the heaters alone.
    pub own_pump: bool,
    /// The pump stands in the pool's water.
    pub in_water: bool,
    /// Extra-low voltage; `None` where it is not said.
    pub low_voltage: Option<bool>,
    /// What was taken because nothing was said.
    pub assumptions: Vec<Assumption>,
    /// Why no season can be run: no water comes through.
    pub fault: Option<String>,
}

impl Hydraulics {
    /// The same circuit with the heaters plumbed in another way.
    #[must_use]
    pub fn circuit_with(&self, heaters: Network) -> Circuit {
        let way = Network::Series(vec![self.supply.clone(), heaters, self.back.clone()]);
        let mut circuit = self.circuit.clone();
        match &mut circuit {
            Circuit::Own { heater, .. } | Circuit::Tee { heater, .. } => *heater = way,
        }
        circuit
    }

    /// The heaters as the scenario plumbs them.
    #[must_use]
    pub fn heaters_as_planned(&self) -> Network {
        planned(&self.heaters)
    }

    /// Head that lifts water into the empty heaters, m above the pool: what [`swimdays_pump::hydraulics::Start`] says
    /// less the head of the main line's speed, which a tee to the side does not give.
    #[must_use]
    pub fn lift_m(&self, found: &Operating) -> f64 {
        let Some(alone) = found.filter_flow_alone_m3_s else {
            return found.start.available_m;
        };
        let speed = found
            .pieces
            .iter()
            .filter(|p| p.part == Part::Before && p.bore_m > 0.0)
            .map(|p| alone / (std::f64::consts::FRAC_PI_4 * p.bore_m * p.bore_m))
            .next_back()
            .unwrap_or(0.0);
        found.start.available_m - speed * speed / (2.0 * 9.806_65)
    }

    /// Whether the pump can fill the highest point of the heaters' way.
    #[must_use]
    pub fn can_start(&self, found: &Operating) -> bool {
        found.start.high_point_m <= 0.0
            || (found.start.can_start && self.lift_m(found) > found.start.high_point_m)
    }
}

fn planned(heaters: &[HeaterBranch]) -> Network {
    let mut groups: Vec<Vec<Network>> = Vec::new();
    for heater in heaters {
        if groups.len() <= heater.group {
            groups.push(Vec::new());
        }
        if let Some(group) = groups.last_mut() {
            group.push(heater.network.clone());
        }
    }
    let mut parts: Vec<Network> = groups
        .into_iter()
        .map(|mut group| {
            if group.len() == 1 {
                group.remove(0)
            } else {
                Network::SideBySide(group)
            }
        })
        .collect();
    if parts.len() == 1 {
        parts.remove(0)
    } else {
        Network::Series(parts)
    }
}

/// Reads `[plumbing]` and builds the circuit; sets the pump's flow and draw where they follow from it.
pub(crate) fn plumbing(
    walk: &mut Walk<'_>,
    root: &mut Section<'_>,
    heaters: &[HeaterPlan],
    own_pipes: &[HeaterPipes],
    pump: Option<&mut PumpPlan>,
    source: &PumpSource,
) -> Option<Hydraulics> {
    let pipes = pipes(walk, root);
    let wrong = !walk.errors.is_empty();
    let pump = pump.filter(|_| !heaters.is_empty())?;
    if wrong || (source.written && source.curve.is_none()) {
        return None;
    }
    // Assumptions go their own way first.
    let plan_assumptions = std::mem::take(&mut walk.assumptions);
    let built = Builder {
        walk,
        pipes,
        pump,
        source,
    }
    .build(heaters, own_pipes);
    let assumptions = std::mem::replace(&mut walk.assumptions, plan_assumptions);
    let mut hydraulics = built?;
    hydraulics.assumptions = assumptions;
    settle(walk, &mut hydraulics, pump, source);
    Some(hydraulics)
}

/// Finds the flow where it follows from the pump.
fn settle(
    walk: &mut Walk<'_>,
    hydraulics: &mut Hydraulics,
    pump: &mut PumpPlan,
    source: &PumpSource,
) {
    let Some(unit) = &hydraulics.pump else {
        hydraulics.flow_m3_s = pump.pump.flow_m3_s();
        return;
    };
    let found = match Operating::find(&hydraulics.circuit, unit, &hydraulics.around) {
        Ok(found) => found,
        Err(error) => {
            let (problem, advice) = source::said(walk, &error);
            let key = match error {
                FlowError::HeightsDisagree { .. } | FlowError::OpenBeforeJoin { .. } => {
                    "plumbing.returns".to_owned()
                }
                _ => format!("pump.{}", source.key),
            };
            walk.report(&source.place, &key, String::new(), problem, "", advice);
            return;
        }
    };
    if source.measured {
        hydraulics.flow_m3_s = pump.pump.flow_m3_s();
        return;
    }
    hydraulics.flow_m3_s = found.flow_m3_s.max(0.0);
    hydraulics.fault = fault(walk, hydraulics, &found);
    if hydraulics.fault.is_some() {
        return;
    }
    pump.pump.flow = FlowSource::Given {
        flow_m3_s: found.flow_m3_s,
    };
    let units = walk.units;
    let length: f64 = hydraulics
        .circuit
        .heater()
        .pieces()
        .map(|p| p.tube.length_m)
        .sum();
    let from = hydraulics.pump.as_ref().and_then(|p| p.curve.class());
    let what = from.map_or("the pump's curve".to_owned(), |class: PumpClass| {
        format!(
            "a generic {} pump (its range: memory, low confidence)",
            class.name()
        )
    });
    let shown = units.format(Kind::Flow, found.flow_m3_s, 1);
    walk.assume(
        "pump.flow".into(),
        shown,
        &format!(
            "from {what} and {} of tube and pipe: swimdays flow shows how",
            units.format(Kind::Length, length, 0)
        ),
    );
    if let PumpKind::Own { power_w } = &mut pump.pump.kind
        && !source.power_written
    {
        *power_w = found.power.middle_w;
        walk.assumptions.retain(|a| a.key != "pump.power");
        let range = format!(
            "{} W ({} to {} W)",
            found.power.middle_w.round(),
            found.power.low_w.round(),
            found.power.high_w.round()
        );
        let why = if from.is_some() {
            "as such pumps draw (from memory)"
        } else {
            "power in the water over an efficiency of 10 to 20 %: common practice, no source"
        };
        walk.assume("pump.power".into(), range, why);
    }
    walk.assumptions
        .extend(hydraulics.assumptions.iter().cloned());
}

/// Why no water comes through, and what would work.
fn fault(walk: &Walk<'_>, hydraulics: &Hydraulics, found: &Operating) -> Option<String> {
    let units = walk.units;
    let m = |m: f64| units.format(Kind::Length, m, 1);
    let shut = |piece: &&Piece| {
        piece
            .fittings
            .iter()
            .any(|f| matches!(f.kind, FittingKind::Valve { open_frac, .. } if open_frac <= 0.0))
    };
    if found.flow_m3_s < NOTHING_M3_S
        && let Some(piece) = hydraulics.circuit.heater().pieces().find(shut)
    {
        return Some(format!(
            "the valve of {} is shut: no water comes through the heaters. Open it; a pump that runs against a shut valve heats its own water and may burst something",
            piece.name
        ));
    }
    for warning in &found.warnings {
        match warning {
            Warning::DeadHeaded { piece } => {
                return Some(format!(
                    "{piece} is shut: no water comes through the heaters. Open its valve; a pump that runs against a shut valve heats its own water and may burst something"
                ));
            }
            Warning::CannotLift {
                shut_off_m, lift_m, ..
            } => {
                return Some(format!(
                    "the pump lifts water {} at most, the open end stands {} above the pool: let the return end below the water, so that a siphon gives the height back, or take a pump that lifts more",
                    m(*shut_off_m),
                    m(*lift_m)
                ));
            }
            _ => {}
        }
    }
    if !hydraulics.can_start(found) {
        return Some(format!(
            "the pump cannot fill the heaters: their highest point is {} above the pool, the head that reaches them lifts water {}. Set them lower, close the valve in the main line further, or take a pump that lifts more than {}",
            m(found.start.high_point_m),
            m(hydraulics.lift_m(found).max(0.0)),
            m(found.start.high_point_m)
        ));
    }
    (found.flow_m3_s < NOTHING_M3_S).then(|| {
        "no water comes through the heaters: close the valve in the main line further, so that the filter pump pushes water past it, or open what is shut in the heaters' way".to_owned()
    })
}

struct Builder<'b, 'w, 'd> {
    walk: &'b mut Walk<'d>,
    pipes: Pipes,
    pump: &'b PumpPlan,
    source: &'w PumpSource,
}

impl Builder<'_, '_, '_> {
    fn assume(&mut self, key: &str, value: String, source: &str) {
        self.walk.assume(key.to_owned(), value, source);
    }

    fn length(&self, m: f64) -> String {
        self.walk.units.format_short(Kind::Length, m, 1)
    }

    fn small(&self, m: f64) -> String {
        self.walk.units.format_small_length(m, 2)
    }

    fn runs(&self, part: PartWord) -> Vec<Run> {
        let all = self.pipes.runs.iter();
        all.filter(|r| r.part == part).cloned().collect()
    }

    fn usual(
        &self,
        name: &str,
        part: PartWord,
        length_m: f64,
        bore_m: f64,
        fittings: Vec<Fitting>,
    ) -> Run {
        Run {
            name: name.into(),
            part,
            tube: Tube {
                length_m,
                bore_m,
                roughness_m: 1.5e-6,
                bend: Bend::Straight,
            },
            rise_m: None,
            high_m: None,
            fittings,
            path: "plumbing".into(),
        }
    }

    fn build(mut self, heaters: &[HeaterPlan], own_pipes: &[HeaterPipes]) -> Option<Hydraulics> {
        let own_pump = matches!(self.pump.pump.kind, PumpKind::Own { .. });
        let has_pump = self.source.curve.is_some();
        let base_m = heaters.first()?.height_above_water_m;
        let mut group = 0;
        let mut branches = Vec::new();
        for (at, (plan, own)) in heaters.iter().zip(own_pipes).enumerate() {
            if at > 0 && !plan.side_by_side {
                group += 1;
            }
            branches.push(HeaterBranch {
                name: plan.name.clone(),
                network: heater_network(self.walk, plan, own, base_m),
                group,
            });
        }
        let inlet_m = -self.or("plumbing.inlet_depth", self.pipes.inlet_depth_m, DEPTH_M);
        let tee = has_pump && !own_pump;
        let in_water = own_pump && has_pump && self.source.in_water.unwrap_or(true);
        if own_pump && has_pump && self.source.in_water.is_none() {
            self.assume("pump.in_water", "true".into(), OWN_CHOICE);
        }
        let pump_m = if in_water || !has_pump {
            inlet_m
        } else {
            let height = self.source.height_m;
            self.or("pump.height", height, 0.0)
        };
        let joins = tee && self.joins_main();
        let outlet_m = if joins {
            pump_m
        } else {
            let written = self.pipes.outlet_height_m;
            self.or("plumbing.outlet_height", written, -DEPTH_M)
        };
        let supply = self.supply(tee, pump_m, base_m);
        let back = self.back(joins, base_m, outlet_m);
        let way = Network::Series(vec![supply.clone(), planned(&branches), back.clone()]);
        let circuit = if tee {
            self.tee(inlet_m, pump_m, joins, way)
        } else {
            let suction = if in_water || !has_pump {
                Network::none()
            } else {
                self.suction(inlet_m, pump_m, 2.0, self.pump.connecting_bore_m)
            };
            Circuit::Own {
                inlet_m,
                suction,
                heater: way,
            }
        };
        let pump = self.source.curve.clone().map(|curve| PumpUnit {
            power: self.power(own_pump),
            curve,
            self_priming: !own_pump,
        });
        Some(Hydraulics {
            circuit,
            pump,
            around: Surroundings::at_sea_level(LOOP_WATER_C),
            heaters: branches,
            supply,
            back,
            measured_m3_s: self.source.measured.then(|| self.pump.pump.flow_m3_s()),
            flow_m3_s: 0.0,
            own_pump,
            in_water,
            low_voltage: self.source.low_voltage,
            assumptions: Vec::new(),
            fault: None,
        })
    }

    /// A height or length, or the usual one, which is noted.
    fn or(&mut self, key: &str, written: Option<f64>, usual: f64) -> f64 {
        written.unwrap_or_else(|| {
            // A depth of 0.3 m is an outlet height of −0.3 m.
            let shown = self.length(usual);
            self.assume(key, shown, OWN_CHOICE);
            usual
        })
    }

    fn joins_main(&mut self) -> bool {
        self.pipes.joins_main.unwrap_or_else(|| {
            self.assume("plumbing.returns", "main".into(), OWN_CHOICE);
            true
        })
    }

    fn power(&self, own_pump: bool) -> PumpPower {
        let class = self.source.curve.as_ref().and_then(|c| c.class());
        match (&self.pump.pump.kind, class) {
            (PumpKind::Own { power_w }, _) if self.source.power_written => {
                PumpPower::Given { watts: *power_w }
            }
            (PumpKind::Filter { power_w, .. }, _) => PumpPower::Given { watts: *power_w },
            (_, Some(class)) => PumpPower::Given {
                watts: class.watts().middle_w,
            },
            _ if own_pump => PumpPower::Efficiency {
                low_frac: 0.10,
                high_frac: 0.20,
            },
            _ => PumpPower::Efficiency {
                low_frac: 0.25,
                high_frac: 0.45,
            },
        }
    }

    fn half_pipe(
        &mut self,
        name: &str,
        part: PartWord,
        key: &str,
        fittings: Vec<Fitting>,
        said: &str,
    ) -> Vec<Run> {
        let (length_m, bore_m) = (
            0.5 * self.pump.connecting_length_m,
            self.pump.connecting_bore_m,
        );
        let shown = format!(
            "{} of {}, {said}",
            self.length(length_m),
            self.small(bore_m)
        );
        self.assume(
            key,
            shown,
            "half of pump.pipe_length, its bore; fittings: own choice, no source",
        );
        vec![self.usual(name, part, length_m, bore_m, fittings)]
    }

    fn supply(&mut self, tee: bool, from_m: f64, to_m: f64) -> Network {
        let mut runs = self.runs(PartWord::Supply);
        if runs.is_empty() {
            let mut fittings = vec![of(2, FittingKind::Elbow)];
            let mut said = "2 elbow".to_owned();
            if self.pump.check_valve {
                fittings.push(of(1, FittingKind::CheckValve));
                said += ", 1 check valve";
            }
            runs = self.half_pipe(
                "supply",
                PartWord::Supply,
                "plumbing.run (supply)",
                fittings,
                &said,
            );
        }
        if tee && let Some(first) = runs.first_mut() {
            let has_tee = first
                .fittings
                .iter()
                .any(|f| f.kind == FittingKind::TeeBranch);
            if !has_tee {
                first.fittings.push(of(1, FittingKind::TeeBranch));
            }
            if self.pipes.valve.unwrap_or(ValveWord::Throttle) == ValveWord::ThreeWay {
                let open_frac = 1.0 - self.pipes.valve_open.unwrap_or(HALF_OPEN);
                first.fittings.push(of(
                    1,
                    FittingKind::Valve {
                        valve: Valve::ThreeWaySide,
                        open_frac,
                    },
                ));
            }
        }
        line(self.walk, runs, from_m, to_m, "the first heater")
    }

    fn back(&mut self, joins: bool, from_m: f64, to_m: f64) -> Network {
        let mut runs = self.runs(PartWord::Return);
        if runs.is_empty() {
            let fittings = vec![of(2, FittingKind::Elbow)];
            runs = self.half_pipe(
                "return",
                PartWord::Return,
                "plumbing.run (return)",
                fittings,
                "2 elbow",
            );
        }
        let end = if joins {
            FittingKind::TeeBranch
        } else {
            FittingKind::Exit
        };
        add_end(&mut runs, end);
        line(self.walk, runs, from_m, to_m, "its end")
    }

    fn suction(&mut self, from_m: f64, to_m: f64, length_m: f64, bore_m: f64) -> Network {
        let mut runs = self.runs(PartWord::Suction);
        if runs.is_empty() {
            let shown = format!(
                "{} of {}, 2 elbow",
                self.length(length_m),
                self.small(bore_m)
            );
            self.assume("plumbing.run (suction)", shown, OWN_CHOICE);
            runs = vec![self.usual(
                "suction",
                PartWord::Suction,
                length_m,
                bore_m,
                vec![of(2, FittingKind::Elbow)],
            )];
        }
        if let Some(first) = runs.first_mut() {
            let has = |f: &Fitting| f.kind == FittingKind::EntranceSharp;
            if !first.fittings.iter().any(has) {
                first.fittings.push(of(1, FittingKind::EntranceSharp));
            }
        }
        line(self.walk, runs, from_m, to_m, "the pump")
    }

    fn tee(&mut self, inlet_m: f64, pump_m: f64, joins: bool, heater: Network) -> Circuit {
        let main_m = self.or(
            "plumbing.main_length",
            self.pipes.main_length_m,
            MAIN_LENGTH_M,
        );
        let bore_m = self.pipes.main_bore_m.unwrap_or_else(|| {
            let shown = self.small(MAIN_BORE_M);
            self.assume("plumbing.main_bore", shown, PRACTICE);
            MAIN_BORE_M
        });
        let suction = self.suction(inlet_m, pump_m, 0.5 * main_m, bore_m);
        let (drop_m, at) = self.pipes.filter_drop.unwrap_or_else(|| {
            let shown = format!(
                "{} at {}",
                self.length(FILTER_DROP.0),
                self.walk.units.format_short(Kind::Flow, FILTER_DROP.1, 0)
            );
            self.assume("plumbing.filter_drop", shown, ESTIMATE);
            FILTER_DROP
        });
        let filter = FittingKind::Filter {
            drop_pa: drop_m * self.around_weight(),
            at_flow_m3_s: at,
            linear_frac: 0.0,
            dirt_factor: 1.0,
        };
        let tube = |length_m: f64| Tube {
            length_m,
            bore_m,
            roughness_m: 1.5e-6,
            bend: Bend::Straight,
        };
        let before = Piece::run("filter", tube(0.0)).with([of(1, filter)]);
        let pipe =
            Piece::run("line to the tee", tube(0.3 * main_m)).with([of(2, FittingKind::Elbow)]);
        let valve = self.valve();
        let mut straight = Piece::run("main line past the heaters", tube(0.1 * main_m))
            .with([of(1, FittingKind::TeeThrough)]);
        straight.fittings.extend(valve);
        let mut rest = self.runs(PartWord::Main);
        if rest.is_empty() {
            rest = vec![self.usual(
                "main line to the pool",
                PartWord::Main,
                0.6 * main_m,
                bore_m,
                vec![of(2, FittingKind::Elbow)],
            )];
        }
        add_end(&mut rest, FittingKind::Exit);
        let rest = line(self.walk, rest, pump_m, -DEPTH_M, "the pool's inlet");
        let before = Network::Series(vec![before.into(), pipe.into()]);
        let (main, after) = if joins {
            (straight.into(), rest)
        } else {
            (
                Network::Series(vec![straight.into(), rest]),
                Network::none(),
            )
        };
        Circuit::Tee {
            inlet_m,
            suction,
            before,
            main,
            heater,
            after,
        }
    }

    fn around_weight(&self) -> f64 {
        Surroundings::at_sea_level(LOOP_WATER_C).water.density_kg_m3 * 9.806_65
    }

    fn valve(&mut self) -> Option<Fitting> {
        let word = self.pipes.valve.unwrap_or_else(|| {
            self.assume("plumbing.valve", "throttle".into(), OWN_CHOICE);
            ValveWord::Throttle
        });
        let valve = match word {
            ValveWord::None => return None,
            ValveWord::Throttle => Valve::Ball,
            ValveWord::ThreeWay => Valve::ThreeWayStraight,
        };
        let open_frac = self.pipes.valve_open.unwrap_or_else(|| {
            self.assume("plumbing.valve_open", HALF_OPEN.to_string(), OWN_CHOICE);
            HALF_OPEN
        });
        Some(of(1, FittingKind::Valve { valve, open_frac }))
    }
}

/// Sees that a line ends in this fitting.
fn add_end(runs: &mut [Run], kind: FittingKind) {
    if let Some(last) = runs.last_mut()
        && !last.fittings.iter().any(|f| f.kind == kind)
    {
        last.fittings.push(of(1, kind));
    }
}
