//! What in the log speaks for a cause, in the builder's words.

use swimdays_quantity::Units;

use crate::fault::{DayPart, Fault};
use crate::knob::{TWENTIETH_SD, value};
use crate::model::Model;
use crate::result::{Cause, CauseWeight, Parameter, Quantity};
use crate::search::Found;

/// What the sentences are made from.
pub(crate) struct Case<'m, 'a> {
    pub model: &'m Model<'a>,
    pub as_built: &'m Found,
    pub units: Units,
}

/// Root mean square of the misses of some readings, K; `None` without any.
fn rms_k(model: &Model<'_>, found: &Found, of: &[Quantity]) -> Option<f64> {
    let squares: Vec<f64> = model
        .sights
        .iter()
        .zip(&found.shown.sights_c)
        .filter(|(s, _)| of.contains(&s.quantity))
        .map(|(s, c)| (s.measured_c - c).powi(2))
        .collect();
    #[allow(clippy::cast_precision_loss, reason = "a count of readings")]
    let n = squares.len() as f64;
    (n > 0.0).then(|| (squares.iter().sum::<f64>() / n).sqrt())
}

impl Case<'_, '_> {
    fn degrees(&self, k: f64) -> String {
        self.units.format_temperature_difference(k, 1)
    }

    /// How the fit came nearer.
    fn nearer(&self, found: &Found) -> Option<String> {
        let all = [Quantity::Water, Quantity::Inlet, Quantity::Outlet];
        let (before, after) = (
            rms_k(self.model, self.as_built, &all)?,
            rms_k(self.model, found, &all)?,
        );
        (after < 0.95 * before).then(|| {
            format!(
                "With it the readings are met within {} on average; as built within {}.",
                self.degrees(after),
                self.degrees(before)
            )
        })
    }

    /// Severity with its 90 % interval.
    fn severity(&self, fault: Fault, found: &Found) -> (f64, f64, f64) {
        let at = self.model.knobs.len();
        let y = found.z.get(at).copied().unwrap_or(0.0);
        let half = TWENTIETH_SD * found.covariance[(at, at)].sqrt();
        let mut ends = [fault.severity(y - half), fault.severity(y + half)];
        ends.sort_by(f64::total_cmp);
        (fault.severity(y), ends[0], ends[1])
    }

    /// Mean rise of the outlet above the water as read, and as the plan has it when built as foreseen, K.
    fn rises(&self) -> Option<(f64, f64)> {
        let model = self.model;
        let expected = model.shown_by(&model.before, &model.start(0.0)).rise_k;
        let (mut read, mut should, mut n) = (0.0, 0.0, 0.0);
        for (i, sight) in model.sights.iter().enumerate() {
            if sight.quantity == Quantity::Outlet {
                let water_c = self.as_built.shown.sights_c[i] - self.as_built.shown.rise_k[i];
                read += sight.measured_c - water_c;
                should += expected[i];
                n += 1.0;
            }
        }
        (n > 0.0).then(|| (read / n, should / n))
    }

    fn rise_sentence(&self) -> Option<String> {
        let (read, should) = self.rises()?;
        Some(format!(
            "The outlet was {} above the pool on average; built as planned it would be {}.",
            self.degrees(read),
            self.degrees(should)
        ))
    }

    fn flow_sentence(&self) -> Option<String> {
        let (log, _) = self.model.flow?;
        let planned = self.model.stage.plan.pump.as_ref()?.pump.flow_m3_s();
        let measured = planned * log.exp();
        Some(format!(
            "The flow you timed is {}, {} % of the planned {}.",
            self.units.format_flow(measured, 1),
            (100.0 * log.exp()).round(),
            self.units.format_flow(planned, 1)
        ))
    }
}

fn percent(share: f64) -> String {
    format!("{} %", (100.0 * share).round())
}

fn between(low: f64, high: f64) -> String {
    format!("{} to {} %", (100.0 * low).round(), (100.0 * high).round())
}

/// What speaks for `cause`, found in the form `form`.
pub(crate) fn evidence(
    case: &Case<'_, '_>,
    cause: Cause,
    form: Option<&(Fault, Found)>,
) -> Vec<String> {
    let Some((fault, found)) = form else {
        return match cause {
            Cause::AsBuilt => as_built(case),
            Cause::WaterLost => {
                vec!["The log has no readings of the water's level, so it cannot say.".into()]
            }
            _ => vec!["The log has nothing that could show it.".into()],
        };
    };
    let (severity, low, high) = case.severity(*fault, found);
    let mut out = Vec::new();
    match fault {
        Fault::LowFlow => {
            out.extend(case.flow_sentence());
            out.extend(case.rise_sentence());
            let factor = value(&case.model.knobs, &found.z, Parameter::Flow, 1.0)
                * fault.flow_factor(found.z.last().copied().unwrap_or(0.0));
            if let Some(pump) = &case.model.stage.plan.pump {
                out.push(format!(
                    "All readings together go best with {}, {} of the plan's.",
                    case.units.format_flow(factor * pump.pump.flow_m3_s(), 1),
                    percent(factor)
                ));
            }
        }
        Fault::Air => {
            out.push(format!(
                "The heater gives only {} of what it should at the flow there is ({}), in sun and under cloud alike.",
                percent(1.0 - severity),
                between(1.0 - high, 1.0 - low)
            ));
            out.extend(case.flow_sentence());
            out.extend(case.rise_sentence());
        }
        Fault::HeaterShade(part) => {
            out.push(format!(
                "The heater's direct sun seems to be short by {} ({}){}.",
                percent(severity),
                between(low, high),
                match part {
                    DayPart::Morning => " before noon, and whole after noon",
                    DayPart::Afternoon => " after noon, and whole before noon",
                    DayPart::AllDay => " all day",
                }
            ));
            out.extend(case.rise_sentence());
        }
        Fault::WaterShade => out.push(format!(
            "The water seems to get {} less sun than the weather brings ({}).",
            percent(severity),
            between(low, high)
        )),
        Fault::CoverOffAtNight | Fault::CoverOff => out.push(format!(
            "The water loses heat as if the cover lay off for {} of {} it should lie ({}), or let that much pass.",
            percent(severity),
            if *fault == Fault::CoverOff { "the time" } else { "the night hours" },
            between(low, high)
        )),
        Fault::Wind => {
            let prior = case.model.stage.plan.pool.wind_at_water_frac;
            let (plan, _) = case.model.with_fault(*fault).setting(&found.z);
            out.push(format!(
                "The water loses heat as if the wind at the water were {} of the station's; the plan has {} ({}).",
                percent(plan.pool.wind_at_water_frac.value),
                percent(prior.value),
                between(prior.low, prior.high)
            ));
        }
        Fault::Leak => out.extend(leak(case, *fault, found, (low, high))),
        Fault::Offset(quantity) => out.push(format!(
            "The {} seems to show {} too {} ({} to {}).",
            thermometer(*quantity, case.model.log.one_thermometer),
            case.degrees(severity.abs()),
            if severity > 0.0 { "much" } else { "little" },
            case.degrees(low.abs().min(high.abs())),
            case.degrees(low.abs().max(high.abs()))
        )),
    }
    out.extend(case.nearer(found));
    out
}

fn as_built(case: &Case<'_, '_>) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(rms) = rms_k(
        case.model,
        case.as_built,
        &[Quantity::Water, Quantity::Inlet],
    ) {
        out.push(format!(
            "With wind, cover, sun and heater within their usual ranges the water is met within {} on average.",
            case.degrees(rms)
        ));
    }
    out.extend(case.rise_sentence());
    out.extend(case.flow_sentence());
    out
}

fn leak(case: &Case<'_, '_>, fault: Fault, found: &Found, ends: (f64, f64)) -> Vec<String> {
    let model = case.model;
    let (mut fell, mut evaporated, mut other, mut days) = (0.0, 0.0, 0.0, 0.0);
    for step in &model.levels {
        fell += step.drop_m;
        evaporated += model.evaporated_m(&model.before, step);
        other += step.other_drop_m;
        days += (step.to_h - step.from_h) / 24.0;
    }
    let leak = fault.leak_m_day(found.z.last().copied().unwrap_or(0.0));
    let most = fault.leak_m_day(8.0);
    let length = |m: f64| case.units.format_small_length(m, 2);
    vec![
        format!(
            "In {days:.0} days without filling up the level fell by {}; evaporation takes about {}{}.",
            length(fell),
            length(evaporated),
            if other > 0.0 {
                format!(", splashing less rain {}", length(other))
            } else {
                format!(", and rain brought {}", length(-other))
            }
        ),
        format!(
            "That leaves {} a day ({} to {}) that evaporation does not explain.",
            length(leak),
            length(most * ends.0),
            length(most * ends.1)
        ),
    ]
}

fn thermometer(quantity: Quantity, one: bool) -> &'static str {
    match quantity {
        _ if one => "thermometer",
        Quantity::Water => "pool's thermometer",
        Quantity::Inlet => "inlet's thermometer",
        Quantity::Outlet => "outlet's thermometer",
    }
}

/// The reading that would tell a cause from the others.
pub(crate) fn reading(cause: Cause, model: &Model<'_>) -> String {
    match cause {
        Cause::AsBuilt => {
            "Keep the log going: a week of other weather is the best test of all."
        }
        Cause::FlowTooLow if model.flow.is_none() => {
            "Time how long the return takes to fill a bucket, held at the height of the return."
        }
        Cause::FlowTooLow => {
            "Time the bucket again with the filter cleaned and every valve fully open, and compare."
        }
        Cause::AirInCoil => {
            "Feel along the tube after an hour of sun with the pump on, with a glove: a part that carries no water is too hot to touch. Listen for gurgling, then flush the coil with all the flow there is."
        }
        Cause::Shaded => {
            "Look at the heater and the water every two hours on a clear day and note what lies in shade."
        }
        Cause::CoverOff => {
            "Note the cover on or off at each reading, late in the evening and at dawn, and read the water then; look for gaps at the edge."
        }
        Cause::MoreWind => {
            "Cover the pool for two nights and leave it open for two; or hold a hand-held wind meter a foot above the water on a windy afternoon."
        }
        Cause::WaterLost => {
            "Stand a filled bucket on the pool's step and mark both levels: after a day without filling, the pool must not have fallen more than the bucket."
        }
        Cause::ThermometerOff => {
            "Hold all thermometers together in one pail of pool water for five minutes and note what each shows."
        }
    }
    .into()
}

/// Belief from which a second cause is worth a measurement.
const IN_THE_RUNNING: f64 = 0.05;

/// The cheapest measurement that parts the first two causes.
pub(crate) fn next_measurement(model: &Model<'_>, ranked: &[CauseWeight]) -> String {
    // From nothing but a look, over a pail, to a week of nights.
    const CHEAPEST: [Cause; 7] = [
        Cause::ThermometerOff,
        Cause::Shaded,
        Cause::FlowTooLow,
        Cause::AirInCoil,
        Cause::WaterLost,
        Cause::CoverOff,
        Cause::MoreWind,
    ];
    // The second only where it is in the running.
    let first_two: Vec<Cause> = ranked
        .iter()
        .take(2)
        .enumerate()
        .filter(|(place, c)| *place == 0 || c.weight >= IN_THE_RUNNING)
        .map(|(_, c)| c.cause)
        .collect();
    let cause = CHEAPEST
        .into_iter()
        .find(|c| first_two.contains(c))
        .unwrap_or(Cause::AsBuilt);
    reading(cause, model)
}
