//! Cutting with little waste: bars, pipe and coils by length, sheets by rectangles.
//!
//! Every cut eats the saw's width. With several lengths for sale the plan is the cheapest one; without prices the one that
//! buys the least length.

mod bars;
mod search;
mod sheets;

pub use bars::{Bar, BarPlan, BarStock, Piece, first_fit_decreasing, plan_bars};
pub use sheets::{Panel, Placed, Sheet, SheetPlan, SheetStock, plan_sheets};
