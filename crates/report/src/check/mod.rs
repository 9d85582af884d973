//! The builder's log against the model, as data, words and pictures.

mod spot;
mod words;

pub use spot::{NoonHeat, SpotReport, SpotVerdict, spot_lines};
