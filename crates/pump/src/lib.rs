//! When the pump runs, what it draws and what it adds.
//!
//! **Question:** how much water flows through the heaters, for which share of an hour, and what electricity and heat
//! does that add to what the pump does anyway?
//! **In:** a [`Pump`], a [`Control`], [`Limits`]; for a sensor the heater's temperatures. **Out:** flow, power, the
//! share of an interval inside the pump hours ([`window_frac`]) and under a sensor ([`differential_on_frac`]).
//! [`hydraulics`] finds that flow from the tubes, the fittings and the pump's curve.
//! **Sources:** plain geometry of hours; first-order response of the sensor's tube, derived beside the function.
//!
//! Electricity near water kills: a pump that a person wires or moves needs a residual-current device, bonding and a
//! licensed electrician; local codes decide.

mod control;
mod differential;
pub mod hydraulics;
mod pump;

pub use control::{Control, Limits, NightCooling, Window, every_month, window_frac};
pub use differential::{
    DifferentialControl, DifferentialInput, DifferentialResult, SensorPlace, differential_on_frac,
};
pub use pump::{FlowSource, Pump, PumpKind};

/// Why a pump or its control cannot be as described.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PumpError {
    /// A quantity outside what makes sense.
    #[error("{what}: found {found}, allowed {low} to {high}")]
    OutOfRange {
        /// Which one, with its unit.
        what: &'static str,
        /// What was given.
        found: f64,
        /// Smallest allowed.
        low: f64,
        /// Largest allowed.
        high: f64,
    },
    /// The control would stop as soon as it starts.
    #[error(
        "sensor: starts at a rise of {on_k} K and stops at {off_k} K; the start must be above the stop"
    )]
    OnNotAboveOff {
        /// Rise to start, K.
        on_k: f64,
        /// Rise to stop, K.
        off_k: f64,
    },
}

pub(crate) fn within(what: &'static str, found: f64, low: f64, high: f64) -> Result<(), PumpError> {
    if found >= low && found <= high {
        Ok(())
    } else {
        Err(PumpError::OutOfRange {
            what,
            found,
            low,
            high,
        })
    }
}
