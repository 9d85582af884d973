//! From what is written to the circuit: usual pieces where nothing is, and a note of each.

use swimdays_properties::constants::GRAVITY_M_S2;
use swimdays_pump::PumpKind;
use swimdays_pump::hydraulics::{
    Bend, Circuit, Fitting, FittingKind, Network, Piece, PumpPower, PumpUnit, Surroundings, Tube,
    Valve,
};
use swimdays_quantity::Kind;
use swimdays_season::{HeaterPlan, PumpPlan};

use super::heaters::{heater_network, top_m};
use super::runs::{PartWord, Pipes, Run, ValveWord, line, of};
use super::{
    HeaterBranch, HeaterPipes, Hydraulics, LOOP_WATER_C, PumpSource, heaters_top_m, planned, vented,
};
use crate::walk::Walk;
use crate::words::source::{ESTIMATE, OWN_CHOICE, PRACTICE};

/// Default depth of inlets and returns below the surface, m.
const DEPTH_M: f64 = 0.3;
const FILTER_DROP: (f64, f64) = (3.0, 40.0 * 3.785_411_784e-3 / 60.0);
const MAIN_LENGTH_M: f64 = 12.0;
const MAIN_BORE_M: f64 = 0.038_1;
const HALF_OPEN: f64 = 0.5;

/// Makes the circuit, and notes what it took for what is not written.
pub(super) struct Builder<'b, 'w, 'd> {
    pub(super) walk: &'b mut Walk<'d>,
    pub(super) pipes: Pipes,
    pub(super) pump: &'b PumpPlan,
    pub(super) source: &'w PumpSource,
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

    pub(super) fn build(
        mut self,
        heaters: &[HeaterPlan],
        own_pipes: &[HeaterPipes],
    ) -> Option<Hydraulics> {
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
                top_m: top_m(plan, own),
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
        let mut back = self.back(joins, base_m, outlet_m);
        let top_m = heaters_top_m(&branches);
        let breaker_m = (self.pipes.breaker && top_m > 0.0).then_some(top_m);
        if let Some(top_m) = breaker_m {
            back = vented(back, base_m, top_m);
        }
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
            breaker_m,
            measured_m3_s: self.source.measured.then(|| self.pump.pump.flow_m3_s()),
            flow_m3_s: 0.0,
            own_pump,
            in_water,
            low_voltage: self.source.low_voltage,
            assumptions: Vec::new(),
            fault: None,
            base_m,
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
        Surroundings::at_sea_level(LOOP_WATER_C).water.density_kg_m3 * GRAVITY_M_S2
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
