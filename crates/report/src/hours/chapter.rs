//! When to run the pump, as a part of the page.

use super::{HoursSummary, brings_chart, card, text};
use crate::Units;
use crate::page::{Block, Chapter, Table};
use crate::style::Style;
use crate::words::{rough, whole};

/// The answer, the card, what an hour of running brings, and the ways of running below each other.
#[must_use]
pub fn chapter(summary: &HoursSummary, units: Units, style: &Style) -> Chapter {
    let mut table = Table::new(
        "Ways of running the pump",
        &[
            "pump runs",
            "swim days#",
            "range#",
            "hours run#",
            "hours it cooled#",
            "heat, kWh#",
            "pump, kWh#",
        ],
    );
    for o in &summary.options {
        table.row([
            o.name.to_owned(),
            o.swim_days.to_string(),
            format!("{} to {}", o.swim_days_low, o.swim_days_high),
            whole(o.hours_run),
            whole(o.cooled_hours),
            rough(o.heat_kwh),
            rough(o.pump_kwh),
        ]);
    }
    let mut chapter = Chapter::new("hours", "When to run the pump")
        .with(Block::Lead(text::lead(summary, units)))
        .with(Block::Card(card::table(&summary.card, units)))
        .with(Block::Chart(Box::new(brings_chart(summary, units, style))))
        .table(table);
    for caution in summary.cautions.iter().filter(|c| c.kind == "electricity") {
        chapter = chapter.with(Block::Warning {
            short: caution.short.clone(),
            number: String::new(),
            text: caution.text.clone(),
        });
    }
    chapter.text(format!("{}.", summary.method))
}
