//! A builder's notes against the model.
//!
//! **Question:** I built it and measured it: does it do what it should, and if not, why?
//! **In:** a plan, weather for the dates, and a [`Log`] of readings. **Out:** a [`Fit`] (what the log teaches about wind, cover, heater and
//! sun, each with its range and whether the log can tell it at all) and a [`Verdict`] (likely causes, each with its evidence).
//! **Sources:** least squares with priors, profile likelihood and the Kalman filter are textbook statistics, named beside each function;
//! the household errors of thermometer and bucket at [`Accuracy`].

pub mod dates;
mod doubt;
mod error;
mod evidence;
mod fault;
mod fit;
mod forecast;
pub mod heats;
mod identify;
mod knob;
mod least_squares;
pub mod log;
mod model;
pub mod noise;
mod noted;
mod over;
mod reading;
pub mod remarks;
mod result;
mod search;
pub mod spot;
mod stage;
mod verdict;

pub use error::CheckError;
pub use fit::fit;
pub use forecast::{FORECAST_DAYS, forecast};
pub use identify::profile;
pub use least_squares::{Residuals, Solution, least_squares};
pub use over::{fit_over, forecast_over, verdict_over};
pub use reading::{Accuracy, Log, Reading};
pub use result::{
    Cause, CauseWeight, Course, Estimate, Fit, Foretold, HeldOut, Parameter, Point, Quantity,
    Verdict,
};
pub use verdict::verdict;
