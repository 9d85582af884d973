//! A measured flow against the computed one: how much more the loop drops than its pieces say.

use super::FlowError;
use super::circuit::{Circuit, PumpUnit, Surroundings};
use super::operating::Operating;

/// Factors looked through: beyond them it is not the tubes.
const FACTORS: (f64, f64) = (1e-3, 1e3);
/// The flow is met to this share.
const MET: f64 = 1e-10;

/// What a bucket and a watch say about a loop.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The heater's way drops so many times what its pieces say. 1 as computed; well above: a kink, scale, air in a high
    /// point, a valve half shut; below: a bore larger than said. A pump weaker than its curve looks the same.
    pub resistance_factor: f64,
    /// Computed flow, m³/s.
    pub computed_m3_s: f64,
    /// The operating point with the factor: its flow is the measured one.
    pub operating: Operating,
}

/// Takes the flow from a measurement (at the height of the return) and finds the loop's real resistance.
///
/// The factor multiplies tube and fittings of the heater's way; pump, filter and main line stay as described.
///
/// | argument | meaning | unit | range |
/// |---|---|---|---|
/// | `measured_m3_s` | flow through the heater | m³/s | above 0 |
///
/// Source: the same equations solved for the other unknown.
///
/// # Errors
/// As [`Operating::find`]; [`FlowError::MeasuredTooMuch`] and [`FlowError::MeasuredTooLittle`] where no resistance explains it.
pub fn against_measured(
    circuit: &Circuit,
    pump: &PumpUnit,
    around: &Surroundings,
    measured_m3_s: f64,
) -> Result<Measured, FlowError> {
    super::within("measured flow", "flow, m³/s", measured_m3_s, 1e-7, 0.1)?;
    let with = |log_factor: f64| Operating::scaled(circuit, pump, around, log_factor.exp());
    let over = |o: &Operating| o.flow_m3_s / measured_m3_s - 1.0;
    let computed_m3_s = with(0.0)?.flow_m3_s;
    let (mut low, mut high) = (FACTORS.0.ln(), FACTORS.1.ln());
    let most = with(low)?;
    if over(&most) < 0.0 {
        return Err(FlowError::MeasuredTooMuch {
            measured_m3_s,
            most_m3_s: most.flow_m3_s,
        });
    }
    let least = with(high)?;
    if over(&least) > 0.0 {
        return Err(FlowError::MeasuredTooLittle {
            measured_m3_s,
            factor: FACTORS.1,
            flow_m3_s: least.flow_m3_s,
        });
    }
    // The flow falls with the factor: false position, halved where one end sticks (Illinois).
    let (mut f_low, mut f_high) = (over(&most), over(&least));
    let mut found = (low, most);
    for _ in 0..100 {
        let log = (low * f_high - high * f_low) / (f_high - f_low);
        let operating = with(log)?;
        let f = over(&operating);
        found = (log, operating);
        if f.abs() < MET {
            break;
        }
        if f > 0.0 {
            (low, f_low) = (log, f);
            f_high *= 0.5;
        } else {
            (high, f_high) = (log, f);
            f_low *= 0.5;
        }
    }
    Ok(Measured {
        resistance_factor: found.0.exp(),
        computed_m3_s,
        operating: found.1,
    })
}
