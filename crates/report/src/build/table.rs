//! The lists as CSV.

use std::io::Write;

use swimdays_build::{BoardLayout, StretchKind, running, tape};

use super::{BuildReport, HeaterLayout};
use crate::{ReportError, Units};

fn whole(writer: csv::Writer<impl Write>) -> Result<(), ReportError> {
    let mut writer = writer;
    writer.flush().map_err(|e| ReportError::Table(e.into()))
}

/// `parts.csv`.
///
/// # Errors
/// What the writer says.
pub fn write_parts_csv(to: impl Write, report: &BuildReport) -> Result<(), ReportError> {
    let mut w = csv::Writer::from_writer(to);
    w.write_record([
        "kind",
        "what",
        "count",
        "needed",
        "left_over",
        "price",
        "cost",
    ])?;
    let money = |m: Option<f64>| m.map_or(String::new(), |m| format!("{m:.2}"));
    for p in &report.parts {
        w.write_record([
            &p.kind,
            &p.what,
            &p.count.to_string(),
            &p.needed,
            &p.left_over,
            &money(p.price),
            &money(p.cost),
        ])?;
    }
    whole(w)
}

/// `cuts.csv`: one line a piece.
///
/// # Errors
/// What the writer says.
pub fn write_cuts_csv(to: impl Write, report: &BuildReport) -> Result<(), ReportError> {
    let mut w = csv::Writer::from_writer(to);
    w.write_record([
        "from", "number", "stock", "piece", "length", "width", "length_m",
    ])?;
    let units = report.units;
    for (i, c) in report.cuts.iter().enumerate() {
        let stock = match c.stock_m.1 {
            Some(width) => format!("{} × {}", tape(c.stock_m.0, units), tape(width, units)),
            None => tape(c.stock_m.0, units),
        };
        for (name, length, width) in &c.pieces {
            let width = width.map_or(String::new(), |v| tape(v, units));
            w.write_record([
                c.kind,
                &(i + 1).to_string(),
                &stock,
                name,
                &tape(*length, units),
                &width,
                &format!("{length:.4}"),
            ])?;
        }
    }
    whole(w)
}

/// `rings.csv`: every ring or row of every board that differs.
///
/// # Errors
/// What the writer says.
pub fn write_rings_csv(to: impl Write, report: &BuildReport) -> Result<(), ReportError> {
    let mut w = csv::Writer::from_writer(to);
    w.write_record([
        "heater", "tube", "what", "number", "offsets", "starts", "ends", "starts_m", "ends_m",
    ])?;
    for (heater, layout) in layouts(report) {
        for row in rows(layout, report.units) {
            w.write_record([
                &heater,
                &row.tube.to_string(),
                row.what,
                &row.number,
                &row.offsets,
                &row.starts,
                &row.ends,
                &format!("{:.4}", row.m.0),
                &format!("{:.4}", row.m.1),
            ])?;
        }
    }
    whole(w)
}

/// One layout of each sheet that has one, with its name.
pub(super) fn layouts(report: &BuildReport) -> Vec<(String, &BoardLayout)> {
    let of = |h: &'_ super::HeaterSheet| h.title();
    report
        .heaters
        .iter()
        .filter_map(|h| match &h.layout {
            HeaterLayout::Boards(b) => b.layouts.first().map(|l| (of(h), l)),
            HeaterLayout::Deck(d) => Some((of(h), &d.layout)),
            HeaterLayout::Panel(_) => None,
        })
        .collect()
}

/// One line of the table that is laid out with a tape.
pub(super) struct Row {
    pub tube: usize,
    pub what: &'static str,
    pub number: String,
    pub offsets: String,
    pub starts: String,
    pub ends: String,
    m: (f64, f64),
}

pub(super) fn rows(layout: &BoardLayout, units: Units) -> Vec<Row> {
    let mut out = Vec::new();
    let mut run_m = 0.0;
    for (at, run) in layout.runs.iter().enumerate() {
        for s in &run.stretches {
            let m = (run_m + s.start_m, run_m + s.end_m);
            let what = match s.kind {
                StretchKind::LeadIn => "way in",
                StretchKind::Ring => "ring",
                StretchKind::Row => "row",
                StretchKind::Turn => "turn",
                StretchKind::WayOut => "way out",
            };
            let offsets: Vec<String> = s.offsets_m.iter().map(|o| tape(*o, units)).collect();
            out.push(Row {
                tube: at + 1,
                what,
                number: if s.number > 0 {
                    s.number.to_string()
                } else {
                    String::new()
                },
                offsets: offsets.join(" / "),
                starts: running(m.0, units),
                ends: running(m.1, units),
                m,
            });
        }
        run_m += run.length_m();
        if at + 1 < layout.runs.len() {
            run_m += layout.links_m / swimdays_f64(layout.runs.len() - 1);
        }
    }
    out
}

fn swimdays_f64(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}
