//! Questions that take many seasons.
//!
//! **Question:** how sure is an answer, and what does each measure give by itself?
//! **In:** a plan and a prepared year. **Out:** day counts with their ranges.
//! **Sources:** the ranges of the inputs are the plan's own, each with its source in the plan's assumptions;
//! the draws are an additive recurrence (see [`draws`]).
//!
//! Every function here runs seasons over threads and is deterministic: the same plan and weather give the
//! same answer, whatever the number of threads.

mod measures;
mod range;

pub use measures::{MeasureDays, measures_alone};
pub use range::{DRAWS, DayRange, Draw, day_range, draws, with_draw};
