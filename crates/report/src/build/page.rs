//! The sheet for the workshop as a page to print.

use std::io::Write;

use swimdays_build::{DEFERENCE, running, tape};

use super::chapter::{shopping, work};
use super::table::{layouts, rows};
use super::text::{loads, summed_up, unnumbered, water};
use super::{BuildReport, Cut, HeaterSheet};
use crate::ReportError;
use crate::chart::{Chart, CutRow, cut_chart};
use crate::lines::capital;
use crate::page::{Block, Chapter, Page, Table, Terms};
use crate::style::Style;

/// How the distances of a drawing are read.
const DISTANCES: &str = "To scale. Distances are to the middle of the tube. On a round spiral the four distances of a ring are from the middle at 9, 12, 3 and \
                         6 o'clock; on a rectangular one from the left, upper, right and lower edge; of a row from the edge.";

/// Writes the page; `drawings` are those of the sheets that have a layout, in the order of the report.
///
/// # Errors
/// What a drawing or the writer says.
pub fn write_page(
    to: impl Write,
    report: &BuildReport,
    drawings: Vec<Chart>,
    style: &Style,
) -> Result<(), ReportError> {
    let mut chapters = vec![short(report), cautions(report)];
    if let Some(drawn) = drawn(report, drawings) {
        chapters.push(drawn);
    }
    chapters.push(buy(report));
    chapters.push(cut(report, style));
    chapters.push(weight(report));
    chapters.push(Chapter {
        blocks: work(report),
        ..Chapter::new("work", "The work, in its order")
    });
    chapters.push(
        Chapter::new("taken", "Taken because nothing was said").with(Block::Terms(Terms {
            caption: "Write your own value into the scenario".to_owned(),
            rows: report
                .assumptions
                .iter()
                .map(|a| [a.key.clone(), a.value.clone(), a.source.clone()])
                .collect(),
        })),
    );
    chapters.retain(|chapter| !chapter.blocks.iter().all(is_empty));
    let page = Page {
        title: format!("Build sheet: {}", report.name),
        chapters,
        block: vec![
            ("Build sheet".to_owned(), report.name.clone()),
            (
                "Made with".to_owned(),
                format!("swimdays {}", report.version),
            ),
            ("Who decides".to_owned(), DEFERENCE.to_owned()),
        ],
    };
    page.write(to)
}

fn is_empty(block: &Block) -> bool {
    match block {
        Block::Terms(terms) => terms.rows.is_empty(),
        Block::List(items) | Block::Steps(items) => items.is_empty(),
        Block::Table(table) => table.rows.is_empty(),
        _ => false,
    }
}

fn short(report: &BuildReport) -> Chapter {
    summed_up(report)
        .into_iter()
        .fold(Chapter::new("short", "In short"), Chapter::text)
}

fn cautions(report: &BuildReport) -> Chapter {
    let mut chapter = Chapter::new("cautions", "Read first").text(DEFERENCE);
    if let Some(why) = &report.no_season {
        chapter = chapter.text(why);
    }
    for c in &report.cautions {
        // What the first line says already is not said again.
        let number = if c.short.contains(&c.number) {
            String::new()
        } else {
            format!("{}.", capital(c.number.trim_end_matches('.')))
        };
        chapter = chapter.with(Block::Warning {
            short: c.short.clone(),
            number,
            text: format!("{} ({})", c.text, c.source),
        });
    }
    chapter
}

/// Each drawing with the table that says the same in numbers.
fn drawn(report: &BuildReport, drawings: Vec<Chart>) -> Option<Chapter> {
    let layouts = layouts(report);
    if layouts.is_empty() {
        return None;
    }
    let mut chapter = Chapter::new("drawn", "Drawings and where the tube lies").text(DISTANCES);
    for ((title, layout), drawing) in layouts.iter().zip(drawings) {
        let mut table = Table::new(
            format!("Rings and rows: {title}"),
            &[
                "tube#",
                "what",
                "no.#",
                "distances",
                "tube runs from#",
                "to#",
            ],
        );
        for r in rows(layout, report.units) {
            table.row([
                r.tube.to_string(),
                r.what.to_string(),
                r.number.to_string(),
                r.offsets,
                r.starts,
                r.ends,
            ]);
        }
        chapter = chapter.with(Block::Chart(Box::new(drawing))).table(table);
    }
    Some(chapter)
}

fn buy(report: &BuildReport) -> Chapter {
    let chapter = Chapter::new("buy", "Buy").table(shopping(report));
    // What lies between boards depends on how far apart they stand.
    let boards: usize = report.heaters.iter().map(HeaterSheet::boards).sum();
    if boards > 1 {
        chapter.text("The hose between the boards is not in the list: measure it where they stand.")
    } else {
        chapter
    }
}

fn cut(report: &BuildReport, style: &Style) -> Chapter {
    let cuts = equal_once(&report.cuts);
    let words = cuts
        .iter()
        .map(|(cut, times)| cut_words(cut, *times, report))
        .collect();
    let studs: Vec<CutRow> = cuts
        .iter()
        .filter(|(cut, _)| cut.kind == "stud")
        .map(|(cut, times)| CutRow {
            name: format!("{times} × {}", tape(cut.stock_m.0, report.units)),
            stock_m: cut.stock_m.0,
            pieces: cut
                .pieces
                .iter()
                .map(|(_, length_m, _)| (*length_m, tape(*length_m, report.units)))
                .collect(),
        })
        .collect();
    let chapter = Chapter::new("cut", "Cut").with(Block::List(words));
    match cut_chart("The studs", &studs, style) {
        Some(chart) => chapter.with(Block::Chart(Box::new(chart))),
        None => chapter,
    }
}

fn weight(report: &BuildReport) -> Chapter {
    let mut chapter = Chapter::new("weight", "Weight, wind and water");
    for h in &report.heaters {
        if let Some(text) = loads(report, h) {
            chapter = chapter.text(text);
        }
        if let Some(d) = h.drainage {
            chapter = chapter.text(format!("{}: {}", h.title(), d.advice));
        }
    }
    chapter.text(water(report))
}

/// Like cuts once, with how many there are, in the order of the first of each.
fn equal_once(cuts: &[Cut]) -> Vec<(&Cut, usize)> {
    let mut out: Vec<(&Cut, usize)> = Vec::new();
    for cut in cuts {
        match out.iter_mut().find(|(seen, _)| same_cut(seen, cut)) {
            Some((_, times)) => *times += 1,
            None => out.push((cut, 1)),
        }
    }
    out
}

/// The same but for the numbers that count the pieces.
fn same_cut(a: &Cut, b: &Cut) -> bool {
    a.kind == b.kind
        && a.stock_m == b.stock_m
        && (a.left_m - b.left_m).abs() < 1e-6
        && a.pieces.len() == b.pieces.len()
        && a.pieces.iter().zip(&b.pieces).all(|(x, y)| {
            (x.1, x.2) == (y.1, y.2) && unnumbered(a.kind, &x.0) == unnumbered(b.kind, &y.0)
        })
}

/// What comes from a length or a sheet, equal pieces once.
fn cut_words(cut: &Cut, times: usize, report: &BuildReport) -> String {
    let units = report.units;
    let wide =
        |width: Option<f64>| width.map_or(String::new(), |w| format!(" × {}", tape(w, units)));
    let mut pieces: Vec<(String, usize)> = Vec::new();
    for (name, length, width) in &cut.pieces {
        let text = format!(
            "{} {}{}",
            unnumbered(cut.kind, name),
            tape(*length, units),
            wide(*width)
        );
        match pieces.iter_mut().find(|(seen, _)| *seen == text) {
            Some((_, n)) => *n += 1,
            None => pieces.push((text, 1)),
        }
    }
    let pieces: Vec<String> = pieces
        .into_iter()
        .map(|(text, n)| {
            if n == 1 {
                text
            } else {
                format!("{n} × {text}")
            }
        })
        .collect();
    let left = if cut.left_m > 0.005 {
        format!("; {} over", running(cut.left_m, units))
    } else {
        String::new()
    };
    format!(
        "{times} × {} {}{}: {}{left}",
        cut.kind,
        tape(cut.stock_m.0, units),
        wide(cut.stock_m.1),
        pieces.join(", ")
    )
}
