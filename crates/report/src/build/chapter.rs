//! What is built, as a chapter of the page. The whole sheet, with each ring's distances and the cutting plan, is the command's own page.

use swimdays_build::Step;

use super::BuildReport;
use super::text::paragraphs;
use crate::chart::Chart;
use crate::page::{Block, Chapter, Table};

/// What fits, what to buy, and the work in its order; `drawings` are those of the sheets that have a layout.
#[must_use]
pub fn chapter(report: &BuildReport, drawings: Vec<Chart>) -> Chapter {
    let mut chapter = Chapter::new("build", "What to build, buy and cut");
    for text in paragraphs(report) {
        chapter = chapter.text(text);
    }
    for drawing in drawings {
        chapter = chapter.with(Block::Chart(Box::new(drawing)));
    }
    chapter = chapter.table(shopping(report));
    for (title, steps) in [
        ("Order of work", &report.steps.build),
        ("First run", &report.steps.first_run),
        ("Before winter", &report.steps.winter),
        ("In spring", &report.steps.spring),
    ] {
        if !steps.is_empty() {
            chapter = chapter
                .with(Block::Heading(title.to_owned()))
                .with(Block::Steps(
                    steps.iter().map(|s| step(s, report)).collect(),
                ));
        }
    }
    chapter.text(
        "`swimdays build` writes the sheet for the workshop: every ring or row with its distances and running length, and the cutting plan.",
    )
}

fn step(step: &Step, report: &BuildReport) -> String {
    let number = if step.number.is_empty() {
        String::new()
    } else {
        format!(" {}.", step.number.trim_end_matches('.'))
    };
    // What to beware of stands where it belongs.
    let beware: String = step
        .cautions
        .iter()
        .filter_map(|kind| report.cautions.iter().find(|c| c.kind == *kind))
        .map(|c| format!(" Beware: {}.", c.short.trim_end_matches('.')))
        .collect();
    let sentence = |text: &str| {
        let text = text.trim();
        if text.is_empty() || text.ends_with(['.', '!', '?', ':']) {
            text.to_owned()
        } else {
            format!("{text}.")
        }
    };
    format!(
        "{} {}{number}{beware}",
        sentence(&step.act),
        sentence(&step.why)
    )
}

fn shopping(report: &BuildReport) -> Table {
    let caption = match (report.priced_cost(), report.not_priced().as_slice()) {
        (Some(cost), []) => format!("Buy, {} in all", report.money(cost)),
        (Some(cost), left) => format!("Buy, {} without {}", report.money(cost), left.join(", ")),
        (None, _) => "Buy (no prices: write your shop's into [shop])".to_owned(),
    };
    let mut table = Table::new(caption, &["what", "how many#", "needed", "over", "cost#"]);
    for part in &report.parts {
        table.row([
            part.what.clone(),
            part.count.to_string(),
            part.needed.clone(),
            part.left_over.clone(),
            part.cost.map_or_else(String::new, |c| report.money(c)),
        ]);
    }
    table
}
