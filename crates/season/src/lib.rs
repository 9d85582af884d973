//! A pool and its heaters stepped through every interval of a weather year.
//!
//! **Question:** how warm is the water, hour by hour, and where did the heat come from and go to?
//! **In:** a [`Plan`] and a [`Prepared`] year (weather, sun on each plane, sky). **Out:** a [`Season`].
//! **Sources:** named in the physics crates; this crate adds the step and the bookkeeping.
//!
//! A run is a function of its plan and its prepared year and of nothing else: no clock, no files, no
//! random numbers, no state that outlives the call.

mod plan;
mod result;

pub use plan::*;
pub use result::*;
