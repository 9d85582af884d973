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
    // What every page says of mains power stands with its other cautions; here it is called to mind.
    let beware = summary
        .cautions
        .iter()
        .filter(|c| c.kind == "electricity")
        .map(|c| Block::Text(c.short.clone()));
    let mut chapter = Chapter::new("hours", "When to run the pump");
    for sentence in text::lead(summary, units) {
        chapter = chapter.text(sentence);
    }
    let mut beside = vec![Block::Card(card::table(&summary.card, units))];
    beside.extend(beware);
    chapter
        .with(Block::Beside(
            Box::new(brings_chart(summary, units, style)),
            beside,
        ))
        .table(table)
        .text(format!("{}.", summary.method))
}
