//! The comparison as a chapter of the page.

use super::CompareReport;
use super::text::{MOST_ON_PAGE, full_name, row, shown};
use super::words::{anyone, enough, footnote, same_heat};
use crate::Units;
use crate::chart::{area_chart, measures_chart};
use crate::page::{Block, Chapter, Table};
use crate::style::Style;

/// What to do first, what each measure gives, how much heater is enough. The first sentence, what the plan gives, is the page's answer
/// and stands above already.
#[must_use]
pub fn chapter(report: &CompareReport, units: Units, style: &Style) -> Chapter {
    let first: Vec<Block> = report
        .sentences
        .iter()
        .skip(1)
        .cloned()
        .map(Block::Text)
        .collect();
    let mut chapter = Chapter::new("compare", "Which measure is worth it?").with(Block::Beside(
        Box::new(measures_chart(report, units, style)),
        first,
    ));
    let mut table = Table::new(
        "What one could do",
        &[
            "choice",
            "swim days (likely)#",
            "too hot#",
            "over the bare pool#",
            "first to last#",
            "water#",
            "to build#",
            "to run, a year#",
            "a gained day#",
        ],
    );
    let mut told: Vec<(usize, [String; 8])> = Vec::new();
    let mut alike = false;
    for at in shown(report, MOST_ON_PAGE) {
        let (_, cells) = row(at, report, units);
        let parts = report.told.choices[at].row.parts.0;
        // Like heaters make like choices: one of them tells for all.
        if !report.options[at].is_plan && told.contains(&(parts, cells.clone())) {
            alike = true;
            continue;
        }
        table.row(std::iter::once(full_name(report, at, units)).chain(cells.clone()));
        told.push((parts, cells));
    }
    if alike {
        table.caption += " (choices that come out alike stand here once)";
    }
    chapter = chapter.table(table);
    let mut rest = Chapter::new("compare", "");
    if !report
        .sentences
        .iter()
        .any(|line| line.starts_with("Without building"))
    {
        rest = rest.text(anyone(&report.told.gifts, units));
    }
    if let Some(area) = &report.told.area {
        rest = rest.text(enough(area, units));
    }
    rest = rest.text(same_heat(report)).text(footnote(units));
    match area_chart(report, units, style) {
        Some(area) => chapter.with(Block::Beside(Box::new(area), rest.blocks)),
        None => {
            chapter.blocks.extend(rest.blocks);
            chapter
        }
    }
}
