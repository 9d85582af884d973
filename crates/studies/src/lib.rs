//! Questions that take many seasons.
//!
//! **Question:** how sure is an answer, and what does each measure give by itself?
//! **In:** a plan and one prepared year or several. **Out:** day counts with their ranges.
//! **Sources:** the ranges of the inputs are the plan's own, each with its source in the plan's assumptions;
//! the draws are an additive recurrence (see [`draws`]).
//!
//! Every function here runs seasons over threads and is deterministic: the same plan and weather give the
//! same answer, whatever the number of threads.

mod aim;
mod alike;
pub mod compare;
mod hours;
mod many;
mod measures;
mod normals_range;
mod range;
mod sweep;
mod warmup;
mod years;

pub use aim::{
    AS_GOOD_FRAC, AimAsk, AimFound, Loss, Objective, Position, Score, Spot, Stretch, aim,
};
pub use hours::{
    Between, Brings, Cooled, HoursScore, HoursStudy, Way, WayResult, hours, windows_of,
};
pub use many::{Place, each_prepared, each_season};
pub use measures::{MeasureDays, measures_alone};
pub use normals_range::{NormalsError, normals_error};
pub use range::{DRAWS, DayRange, Draw, draws, with_draw};
pub use sweep::{MOST_COMBINATIONS, MOST_VALUES, Sweep, SweepError, VALUES_FORMS, Vary};
pub use warmup::{
    FanPoint, MOST_DAYS, MOST_LEAD_DAYS, MeasureWarmup, NEIGHBOURS_DAYS, Ready, Saved, Spread,
    StartDay, WarmupAsk, WarmupError, WarmupFound, warmup,
};
pub use years::{
    YearDays, YearsDays, days_over_years, half_width_days, middle_of, prepared, verdicts,
};
