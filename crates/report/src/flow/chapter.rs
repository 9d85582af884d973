//! The flow's chapter of the page.

use swimdays_quantity::Kind;

use super::FlowReport;
use super::text::{headline, measured, pump, start, sun, told_pieces, way};
use super::words::speed;
use crate::Units;
use crate::chart::pump_chart;
use crate::page::{Block, Chapter, Table};
use crate::style::Style;
use crate::words::whole;

/// What the pump pushes through the heaters, piece by piece, and other ways to plumb them.
#[must_use]
pub fn chapter(report: &FlowReport, units: Units, style: &Style) -> Chapter {
    let mut chapter =
        Chapter::new("flow", "Does the pump push enough?").text(headline(report, units));
    if let Some(text) = measured(report, units) {
        chapter = chapter.text(text);
    }
    let mut told = Chapter::new("flow", "")
        .text(pump(report, units))
        .text(start(report, units));
    if report.flow_m3_s > 0.0 {
        told = told.text(sun(report, units));
    }
    for warning in &report.warnings {
        told = told.text(format!("{}.", warning.text.trim().trim_end_matches('.')));
    }
    if report.pump_w.is_some() {
        let chart = Box::new(pump_chart(report, units, style));
        chapter = chapter.with(Block::Beside(chart, told.blocks));
    } else {
        chapter.blocks.extend(told.blocks);
    }
    chapter = chapter.table(pieces(report, units));
    let ways: Vec<String> = report
        .arrangements
        .iter()
        .map(|w| way(w, units).trim().to_owned())
        .collect();
    if ways.len() > 1 {
        chapter = chapter
            .with(Block::Heading(
                "Ways to plumb the same heaters, best first (heat on a clear day, pump)".to_owned(),
            ))
            .with(Block::List(ways));
    }
    chapter
}

fn pieces(report: &FlowReport, units: Units) -> Table {
    let flow = format!("flow, {}#", units.unit(Kind::Flow));
    let drop = format!("drop, {}#", units.unit(Kind::Pressure));
    let mut table = Table::new(
        "Piece by piece",
        &[
            "piece",
            "length#",
            "bore#",
            &flow,
            "speed#",
            "Reynolds#",
            "",
            &drop,
        ],
    );
    for (name, p) in told_pieces(report) {
        let (length, bore) = if p.length_m > 0.0 {
            (
                units.format(Kind::Length, p.length_m, 0),
                units.format_small_length(p.bore_m, 2),
            )
        } else {
            (String::new(), String::new())
        };
        table.row([
            name,
            length,
            bore,
            format!("{:.1}", units.value(Kind::Flow, p.flow_m3_s)),
            speed(p.velocity_m_s.abs(), units),
            whole((p.reynolds / 100.0).round() * 100.0),
            p.regime.to_owned(),
            format!("{:.2}", units.value(Kind::Pressure, p.drop_pa)),
        ]);
    }
    table
}
