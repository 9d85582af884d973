//! Text with units, as people write it, to SI values and back.
//!
//! **Question:** what number does `"12 ft 6 in"`, `"15,000 gal"`, `"80F"` or `"0.17 $/kWh"` stand for?
//! **In:** text and the [`Kind`] of quantity that is wanted. **Out:** an `f64` in the unit that
//! [`Kind::si_unit`] names, or a [`QuantityError`] that says what is wrong and what to write instead.
//! **Sources:** conversion factors from NIST Special Publication 811 (2008 edition), appendix B, beside each
//! unit in the table of `table.rs`.
//!
//! A number without a unit is refused: the reader of a scenario cannot know whether 24 are feet or metres.
//! Counts, shares and coefficients are no quantities and are not read here.
//!
//! ```
//! use swimdays_quantity::{Kind, parse};
//! assert!((parse("12 ft 6 in", Kind::Length)? - 3.81).abs() < 1e-12); // 150 in × 0.0254 m
//! assert!((parse("68 °F", Kind::Temperature)? - 20.0).abs() < 1e-12);
//! assert!(parse("24", Kind::Length).is_err());
//! # Ok::<(), swimdays_quantity::QuantityError>(())
//! ```

mod calendar;
mod compass;
mod error;
mod kind;
mod number;
mod parse;
mod table;
mod units;

pub use calendar::{
    DayHours, MonthDay, day_hours, format_clock, hours_of_day, month, month_day, month_name, months,
};
pub use compass::{compass, compass_name};
pub use error::QuantityError;
pub use kind::Kind;
pub use parse::{Price, bucket, parse, parse_price, sides};
pub use units::Units;
