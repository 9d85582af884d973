//! A pool and its heaters stepped through every interval of a weather year.
//!
//! **Question:** how warm is the water, hour by hour, and where did the heat come from and go to?
//! **In:** a [`Plan`] and a [`Prepared`] year (weather, sun on each plane, sky). **Out:** a [`Season`].
//! **Sources:** named in the physics crates; this crate adds the step (`step.rs`) and the bookkeeping.
//!
//! A run is a function of its plan and its prepared year and of nothing else: no clock, no files, no
//! random numbers, no state that outlives the call.

mod abreast;
mod book;
mod clock;
mod control;
mod error;
mod machine;
mod noted;
mod plan;
mod planes;
mod prepared;
mod result;
mod run;
mod step;
mod stretch;
mod warnings;
mod words;

#[cfg(test)]
mod test_plan;
#[cfg(test)]
mod tight_tests;

pub use abreast::run_many;
pub use clock::{DayTable, Tick, is_summer_time};
pub use error::SeasonError;
pub use machine::MAX_HEATERS;
pub use noted::Noted;
pub use plan::*;
pub use planes::{PlaneRow, PreparedPlane};
pub use prepared::{DEFAULT_GROUND_ALBEDO_FRAC, Prepared, Row};
pub use result::*;
pub use run::{Detail, PERIODIC_WITHIN_K, run};
pub use stretch::{Moment, Stretches};
pub use words::Words;
