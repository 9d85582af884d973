//! The comparison as a chapter of the page.

use super::CompareReport;
use super::text::{MOST_ON_PAGE, row, shown};
use super::words::{anyone, enough, footnote, same_heat};
use crate::Units;
use crate::chart::{area_chart, measures_chart};
use crate::page::{Block, Chapter, Table};
use crate::style::Style;

/// What to do first, what each measure gives, how much heater is enough.
#[must_use]
pub fn chapter(report: &CompareReport, units: Units, style: &Style) -> Chapter {
    let mut chapter = Chapter::new("compare", "Which measure is worth it?");
    for sentence in &report.sentences {
        chapter = chapter.text(sentence);
    }
    chapter = chapter.with(Block::Chart(Box::new(measures_chart(report, units, style))));
    let mut table = Table::new(
        "What one could do",
        &[
            "choice",
            "swim days (likely)#",
            "too hot#",
            "over the bare pool#",
            "first to last",
            "water#",
            "to build#",
            "to run, a year#",
            "a gained day#",
        ],
    );
    for at in shown(report, MOST_ON_PAGE) {
        let (name, cells) = row(at, report, units);
        table.row(std::iter::once(name).chain(cells));
    }
    chapter = chapter.table(table);
    if !report
        .sentences
        .iter()
        .any(|line| line.starts_with("Without building"))
    {
        chapter = chapter.text(anyone(&report.told.gifts, units));
    }
    if let Some(area) = area_chart(report, units, style) {
        chapter = chapter.with(Block::Chart(Box::new(area)));
    }
    if let Some(area) = &report.told.area {
        chapter = chapter.text(enough(area, units));
    }
    chapter.text(same_heat(report)).text(footnote(units))
}
