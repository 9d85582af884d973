//! How long the warm-up takes, as a part of the page.

use swimdays_quantity::Units;

use super::{WarmupSummary, fan_chart, text};
use crate::page::{Block, Chapter};
use crate::style::Style;

/// The answer, where the heat came from, and the fan of the water.
#[must_use]
pub fn chapter(summary: &WarmupSummary, units: Units, place: &str, style: &Style) -> Chapter {
    let told = text::lead(summary, units)
        .into_iter()
        .map(Block::Text)
        .collect();
    Chapter::new("warmup", "How long does it take to warm up?").with(Block::Beside(
        Box::new(fan_chart(summary, units, place, style)),
        told,
    ))
}
