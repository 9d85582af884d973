//! What a fit may turn, each with what was known of it before.
//!
//! Every knob has a position z whose prior is the standard normal distribution. A number with a stated range moves so that its 10 % and
//! 90 % ends lie at z = ∓1.2816, as a normal distribution has it.

use swimdays_pump::FlowSource;
use swimdays_season::{CoverPlan, Plan, Ranged};
use swimdays_studies::{Draw, with_draw};

use crate::reading::Log;
use crate::result::Parameter;

/// Standard deviations from the middle to the point that one in ten lies beyond.
///
/// Source: table of the standard normal distribution, Φ(1.2816) = 0.9000.
pub(crate) const TENTH_SD: f64 = 1.281_6;

/// … and to the point that one in twenty lies beyond: half of a 90 % interval. Source: the same, Φ(1.6449) = 0.9500.
pub(crate) const TWENTIETH_SD: f64 = 1.644_9;

/// How far the flow may be from the plan's when nobody measured it, and when somebody did (then the log decides); shares.
const FLOW_UNMEASURED_SD: f64 = 0.1;
const FLOW_MEASURED_SD: f64 = 0.4;

/// How much stronger the wind at the water may be by day than through day and night, share: behind hedges and houses cold air lies still
/// at night (own judgement, no source).
const WIND_BY_DAY_SD: f64 = 0.12;

/// How far published equations that agree with outdoor measurements differ at every wind alike, share: Smith, Löf & Jones (1994) and
/// ISO/TR 12596 by 3 %, and both from a pan in the open by some more.
const EVAPORATION_LEVEL_SD: f64 = 0.04;

/// What is known of the water before the first reading, K: nothing much.
const START_SD_K: f64 = 1.5;

/// Furthest position that is tried.
pub(crate) const FURTHEST_Z: f64 = 4.0;

/// One knob.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Knob {
    pub key: Parameter,
    turn: Turn,
}

#[derive(Clone, Copy, Debug)]
enum Turn {
    /// Along a stated range, not below 0.
    Along(Ranged),
    /// Mean and standard deviation.
    Straight { mean: f64, sd: f64 },
    /// `e^{sd z}`.
    Factor { sd: f64 },
}

impl Knob {
    /// Value at position `z`.
    pub(crate) fn value(&self, z: f64) -> f64 {
        let z = z.clamp(-FURTHEST_Z, FURTHEST_Z);
        match self.turn {
            Turn::Along(range) => range.at(z / TENTH_SD).max(0.0),
            Turn::Straight { mean, sd } => mean + sd * z,
            Turn::Factor { sd } => (sd * z).exp(),
        }
    }

    /// Position of a value, by halving; values rise with positions.
    pub(crate) fn position_of(&self, value: f64) -> f64 {
        let (mut low, mut high) = (-FURTHEST_Z, FURTHEST_Z);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.value(middle) < value {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// What was known before, as a range.
    pub(crate) fn prior(&self) -> Ranged {
        Ranged {
            value: self.value(0.0),
            low: self.value(-TENTH_SD),
            high: self.value(TENTH_SD),
        }
    }

    /// Whether turning it changes the run, rather than only what the thermometers show.
    pub(crate) fn moves_the_run(&self) -> bool {
        !matches!(
            self.key,
            Parameter::OffsetWater
                | Parameter::OffsetInlet
                | Parameter::OffsetOutlet
                | Parameter::EvaporationEquation
                | Parameter::EvaporationLevel
        )
    }
}

/// Share of open water's evaporation that a cover holds back where it lies and where it leaves open, at a position of its range.
fn held_back(cover: &CoverPlan, position: f64) -> f64 {
    cover.covered_frac.at(position).clamp(0.0, 1.0)
        * (1.0
            - cover
                .remaining_evaporation_frac
                .at(-position)
                .clamp(0.0, 1.0))
}

/// What was read, as far as it decides which knobs there are.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Seen {
    pub water: bool,
    pub inlet: bool,
    pub outlet: bool,
    pub flow: bool,
}

/// The knobs of a plan and a log; `start_c` is about what the water was at the beginning.
pub(crate) fn knobs(plan: &Plan, log: &Log, seen: Seen, start_c: f64) -> Vec<Knob> {
    let mut out = Vec::new();
    let mut along = |key, range: Ranged| {
        if range.high > range.low {
            out.push(Knob {
                key,
                turn: Turn::Along(range),
            });
        }
    };
    along(Parameter::WindShelter, plan.pool.wind_at_water_frac);
    along(Parameter::SunOnWater, plan.pool.sun_factor);
    if let Some(cover) = &plan.cover {
        along(
            Parameter::CoverEffect,
            Ranged {
                value: held_back(cover, 0.0),
                low: held_back(cover, -1.0),
                high: held_back(cover, 1.0),
            },
        );
        along(Parameter::CoverSun, cover.transmittance_frac);
    }
    if let Some(heater) = plan.heaters.first() {
        along(Parameter::HeaterPerformance, heater.performance);
        along(Parameter::HeaterWind, heater.wind_frac);
        out.push(Knob {
            key: Parameter::Flow,
            turn: Turn::Factor {
                sd: if seen.flow {
                    FLOW_MEASURED_SD
                } else {
                    FLOW_UNMEASURED_SD
                },
            },
        });
    }
    let mut straight = |key, mean, sd| {
        out.push(Knob {
            key,
            turn: Turn::Straight { mean, sd },
        });
    };
    straight(Parameter::StartTemperature, start_c, START_SD_K);
    straight(Parameter::EvaporationEquation, 0.0, 1.0);
    straight(Parameter::EvaporationLevel, 0.0, EVAPORATION_LEVEL_SD);
    straight(Parameter::WindByDay, 0.0, WIND_BY_DAY_SD);
    if seen.water || log.one_thermometer {
        straight(Parameter::OffsetWater, 0.0, log.sd.offset_sd_k);
    }
    if !log.one_thermometer {
        if seen.inlet {
            straight(Parameter::OffsetInlet, 0.0, log.sd.offset_sd_k);
        }
        if seen.outlet {
            straight(Parameter::OffsetOutlet, 0.0, log.sd.offset_sd_k);
        }
    }
    out
}

/// Position of `key` among `knobs` at `z`; 0 when it is not there.
pub(crate) fn position(knobs: &[Knob], z: &[f64], key: Parameter) -> f64 {
    knobs
        .iter()
        .zip(z)
        .find(|(k, _)| k.key == key)
        .map_or(0.0, |(_, z)| z.clamp(-FURTHEST_Z, FURTHEST_Z))
}

/// Value of `key` among `knobs` at `z`, or `else_value` when it is not there.
pub(crate) fn value(knobs: &[Knob], z: &[f64], key: Parameter, else_value: f64) -> f64 {
    knobs
        .iter()
        .zip(z)
        .find(|(k, _)| k.key == key)
        .map_or(else_value, |(k, z)| k.value(*z))
}

/// The plan with every knob at its place.
pub(crate) fn turned(plan: &Plan, knobs: &[Knob], z: &[f64]) -> Plan {
    let at = |key| position(knobs, z, key) / TENTH_SD;
    let cover = at(Parameter::CoverEffect);
    let mut out = with_draw(
        plan,
        &Draw {
            wind_at_water: at(Parameter::WindShelter),
            covered: cover,
            remaining_evaporation: -cover,
            conductance: -cover,
            transmittance: at(Parameter::CoverSun),
            performance: at(Parameter::HeaterPerformance),
            heater_wind: at(Parameter::HeaterWind),
            sun: at(Parameter::SunOnWater),
        },
    );
    set_flow(&mut out, value(knobs, z, Parameter::Flow, 1.0));
    out
}

/// Multiplies the flow through the heaters.
pub(crate) fn set_flow(plan: &mut Plan, factor: f64) {
    if let Some(pump) = &mut plan.pump {
        pump.pump.flow = FlowSource::Given {
            flow_m3_s: pump.pump.flow_m3_s() * factor,
        };
    }
}
