//! Heat of the heaters at one stated sun, plumbed this way or that.

use std::collections::HashMap;

use swimdays_collector::{Heater, HeaterState, HeaterWeather};
use swimdays_pump::hydraulics::{Network, Operating};
use swimdays_season::HeaterPlan;

use crate::failure::Failure;

/// Sun on each heater's plane, W/m²: a clear summer noon on a plane that faces it.
pub(crate) const SUN_W_M2: f64 = 900.0;
/// Of that, from the sky.
const DIFFUSE_FRAC: f64 = 0.15;
pub(crate) const AIR_C: f64 = 25.0;
pub(crate) const WATER_C: f64 = 26.0;
pub(crate) const WIND_M_S: f64 = 1.0;
/// A deck in the sun, where no hour before it is stepped (own estimate, no source).
pub(crate) const SLAB_C: f64 = 38.0;
/// From sky and ground at 25 °C, W/m² (0.85 of a black body's: own estimate, no source).
const LONGWAVE_W_M2: f64 = 381.0;
/// A clear summer day has as much sun as so many hours of this: 5.4 kWh/m² (common practice, no source).
pub(crate) const HOURS_A_DAY: f64 = 6.0;
/// Density at which volumes are weighed, kg/m³, and heat capacity of water, J/(kg K).
const DENSITY_KG_M3: f64 = 997.0;
const SPECIFIC_HEAT_J_KG_K: f64 = 4_181.0;

/// What a network gives.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Given {
    pub(crate) outlet_c: f64,
    pub(crate) heat_w: f64,
    flow_m3_s: f64,
}

/// The heaters, each by its name.
pub(crate) struct Heaters<'p> {
    plans: &'p [HeaterPlan],
    flows: HashMap<String, f64>,
}

impl<'p> Heaters<'p> {
    /// With the flows of an operating point, times a factor.
    pub(crate) fn at(plans: &'p [HeaterPlan], found: &Operating, factor: f64) -> Self {
        let flows = found
            .pieces
            .iter()
            .map(|row| (row.name.clone(), factor * row.flow_m3_s))
            .collect();
        Self { plans, flows }
    }

    /// Heat of a network of heaters into which pool water comes.
    pub(crate) fn heat(&self, network: &Network) -> Result<Given, Failure> {
        self.through(network, WATER_C)
    }

    fn through(&self, network: &Network, inlet_c: f64) -> Result<Given, Failure> {
        match network {
            Network::Piece(piece) => self.piece(&piece.name, inlet_c),
            Network::Series(parts) => {
                let mut all = Given {
                    outlet_c: inlet_c,
                    heat_w: 0.0,
                    flow_m3_s: 0.0,
                };
                for part in parts {
                    let given = self.through(part, all.outlet_c)?;
                    all = Given {
                        outlet_c: given.outlet_c,
                        heat_w: all.heat_w + given.heat_w,
                        flow_m3_s: given.flow_m3_s.max(all.flow_m3_s),
                    };
                }
                Ok(all)
            }
            Network::SideBySide(parts) => {
                let (mut heat_w, mut flow_m3_s) = (0.0, 0.0);
                for part in parts {
                    let given = self.through(part, inlet_c)?;
                    heat_w += given.heat_w;
                    flow_m3_s += given.flow_m3_s;
                }
                let carries = flow_m3_s * DENSITY_KG_M3 * SPECIFIC_HEAT_J_KG_K;
                Ok(Given {
                    outlet_c: if carries > 0.0 {
                        inlet_c + heat_w / carries
                    } else {
                        inlet_c
                    },
                    heat_w,
                    flow_m3_s,
                })
            }
        }
    }

    fn piece(&self, name: &str, inlet_c: f64) -> Result<Given, Failure> {
        let flow_m3_s = self.flows.get(name).copied().unwrap_or(0.0).max(0.0);
        let own = name.split_once(", circuit ").map_or(name, |(own, _)| own);
        let nothing = Given {
            outlet_c: inlet_c,
            heat_w: 0.0,
            flow_m3_s,
        };
        let Some(plan) = self.plans.iter().find(|p| p.name == own) else {
            return Ok(nothing);
        };
        // Circuits of one heater share the flow evenly.
        let circuits = if own == name {
            1.0
        } else {
            match swimdays_tube(plan) {
                Some(n) => f64::from(n),
                None => 1.0,
            }
        };
        let flow_kg_s = flow_m3_s * circuits * DENSITY_KG_M3;
        if flow_kg_s < 1e-5 {
            return Ok(nothing);
        }
        let heater = Heater::new(&plan.spec, flow_kg_s)
            .map_err(|e| Failure::input(format!("{own}: {e}")))?
            .with_performance(plan.performance.value);
        let state = HeaterState {
            body_c: inlet_c,
            slab_c: [SLAB_C; 4],
        };
        let running = heater.run(&noon(), &state, inlet_c, flow_kg_s);
        Ok(Given {
            outlet_c: running.outlet_c,
            heat_w: running.heat_w / circuits,
            flow_m3_s,
        })
    }
}

fn swimdays_tube(plan: &HeaterPlan) -> Option<u32> {
    use swimdays_collector::HeaterSpec;
    match &plan.spec {
        HeaterSpec::Board(b) => Some(b.tube.parallel_circuits),
        HeaterSpec::Deck(d) => Some(d.tube.parallel_circuits),
        HeaterSpec::Panel(_) => None,
    }
}

/// A clear summer noon on a plane that faces the sun.
pub(crate) fn noon() -> HeaterWeather {
    HeaterWeather {
        beam_w_m2: (1.0 - DIFFUSE_FRAC) * SUN_W_M2,
        incidence_cos: 1.0,
        diffuse_w_m2: DIFFUSE_FRAC * SUN_W_M2,
        longwave_w_m2: LONGWAVE_W_M2,
        air_c: AIR_C,
        pressure_pa: 101_325.0,
        wind_m_s: WIND_M_S,
        ground_c: 18.0,
    }
}

/// Hottest water that stands in a heater in this sun, °C.
pub(crate) fn standing_c(plans: &[HeaterPlan]) -> Result<f64, Failure> {
    let mut hottest_c = WATER_C;
    for plan in plans {
        let heater = Heater::new(&plan.spec, 0.1)
            .map_err(|e| Failure::input(format!("{}: {e}", plan.name)))?
            .with_performance(plan.performance.value);
        let state = HeaterState {
            body_c: WATER_C,
            slab_c: [SLAB_C; 4],
        };
        hottest_c = heater.stagnation_c(&noon(), &state).max(hottest_c);
    }
    Ok(hottest_c)
}

/// Area of the heaters that meets the sun, m².
pub(crate) fn area_m2(plans: &[HeaterPlan], with_decks: bool) -> Result<f64, Failure> {
    let mut area_m2 = 0.0;
    let is_deck = |p: &HeaterPlan| matches!(p.spec, swimdays_collector::HeaterSpec::Deck(_));
    for plan in plans.iter().filter(|p| with_decks || !is_deck(p)) {
        area_m2 += Heater::new(&plan.spec, 0.1)
            .map_err(|e| Failure::input(format!("{}: {e}", plan.name)))?
            .absorber_area_m2();
    }
    Ok(area_m2)
}
