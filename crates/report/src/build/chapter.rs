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
    let told = paragraphs(report).into_iter().map(Block::Text);
    let mut drawings = drawings.into_iter().map(Box::new);
    match drawings.next() {
        Some(first) => chapter = chapter.with(Block::Beside(first, told.collect())),
        None => chapter.blocks.extend(told),
    }
    chapter.blocks.extend(drawings.map(Block::Chart));
    chapter = chapter.table(shopping(report));
    chapter.blocks.extend(work(report));
    chapter.text(
        "`swimdays build` writes the sheet for the workshop: every ring or row with its distances and running length, and the cutting plan.",
    )
}

/// The work in its order.
pub(super) fn work(report: &BuildReport) -> Vec<Block> {
    // What to beware of is told whole where it comes up first, and called by its name after that.
    let mut told: Vec<&str> = Vec::new();
    let mut blocks = Vec::new();
    for (title, steps) in [
        ("Order of work", &report.steps.build),
        ("First run", &report.steps.first_run),
        ("Before winter", &report.steps.winter),
        ("In spring", &report.steps.spring),
    ] {
        if !steps.is_empty() {
            blocks.push(Block::Heading(title.to_owned()));
            blocks.push(Block::Steps(
                steps.iter().map(|s| step(s, report, &mut told)).collect(),
            ));
        }
    }
    blocks
}

fn step<'r>(step: &Step, report: &'r BuildReport, told: &mut Vec<&'r str>) -> String {
    let number = if step.number.is_empty() {
        String::new()
    } else {
        format!(" {}.", step.number.trim_end_matches('.'))
    };
    let mut beware = String::new();
    for kind in &step.cautions {
        let Some(caution) = report.cautions.iter().find(|c| c.kind == *kind) else {
            continue;
        };
        let short = caution.short.trim_end_matches('.');
        let again = told.contains(&caution.kind);
        let words = if again {
            // Up to the first stop: what it is, without its numbers and what to do.
            short.split([':', ';', '.']).next().unwrap_or(short)
        } else {
            told.push(caution.kind);
            short
        };
        beware += &format!(" Beware: {words}.");
    }
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

/// What to buy; prices only where there are some.
pub(super) fn shopping(report: &BuildReport) -> Table {
    let caption = match (report.priced_cost(), report.not_priced().as_slice()) {
        (Some(cost), []) => format!("Buy, {} in all", report.money(cost)),
        (Some(cost), left) => format!("Buy, {} without {}", report.money(cost), left.join(", ")),
        (None, _) => "Buy (no prices: write your shop's into [shop])".to_owned(),
    };
    let priced = report.priced_cost().is_some();
    let heads = ["what", "how many#", "needed", "over", "each#", "cost#"];
    let mut table = Table::new(caption, if priced { &heads } else { &heads[..4] });
    let money = |m: Option<f64>| m.map_or("not priced".to_owned(), |m| report.money(m));
    for part in &report.parts {
        let mut cells = vec![
            part.what.clone(),
            part.count.to_string(),
            part.needed.clone(),
            part.left_over.clone(),
        ];
        if priced {
            cells.extend([money(part.price), money(part.cost)]);
        }
        table.row(cells);
    }
    table
}
