//! Lines of the list and cuts.

use swimdays_build::{BarPlan, BarStock, BuildError, Part, PartsList, Piece, plan_bars, running};
use swimdays_report::build::{BuildReport, Cut};

use super::real;

/// Lines of the list and cuts of one kind.
pub(super) fn bars(
    report: &mut BuildReport,
    kind: &'static str,
    what: &str,
    pieces: &[Piece],
    stock: &[BarStock],
) -> Result<(), BuildError> {
    if pieces.is_empty() {
        return Ok(());
    }
    let plan = plan_bars(pieces, stock, 0.0)?;
    let units = report.units;
    for (i, s) in stock.iter().enumerate() {
        let here: Vec<_> = plan.bars.iter().filter(|b| b.stock == i).collect();
        if here.is_empty() {
            continue;
        }
        let left: f64 = here.iter().map(|b| b.left_m).sum();
        report.add_part(Part {
            kind: kind.into(),
            what: format!("{what}, {}", running(s.length_m, units)),
            count: here.len(),
            needed: running(real(here.len()) * s.length_m - left, units),
            left_over: if left > 0.005 {
                running(left, units)
            } else {
                String::new()
            },
            price: s.price,
            cost: s.price.map(|p| p * real(here.len())),
        });
    }
    bar_cuts(&mut report.cuts, kind, &plan, stock, pieces);
    Ok(())
}

pub(super) fn bar_cuts(
    to: &mut Vec<Cut>,
    kind: &'static str,
    plan: &BarPlan,
    stock: &[BarStock],
    pieces: &[Piece],
) {
    for bar in &plan.bars {
        let Some(s) = stock.get(bar.stock) else {
            continue;
        };
        to.push(Cut {
            kind,
            stock_m: (s.length_m, None),
            pieces: bar
                .pieces
                .iter()
                .filter_map(|i| pieces.get(*i))
                .map(|p| (p.name.clone(), p.length_m, None))
                .collect(),
            left_m: bar.left_m,
        });
    }
}

pub(super) fn list_cuts(to: &mut Vec<Cut>, parts: &PartsList, shop: &swimdays_build::Shop) {
    for sheet in &parts.sheet_plan.sheets {
        let Some(s) = shop.sheets.get(sheet.stock) else {
            continue;
        };
        to.push(Cut {
            kind: "sheet",
            stock_m: (s.length_m, Some(s.width_m)),
            pieces: sheet
                .placed
                .iter()
                .filter_map(|p| {
                    Some((
                        parts.panels.get(p.panel)?.name.clone(),
                        p.length_m,
                        Some(p.width_m),
                    ))
                })
                .collect(),
            left_m: 0.0,
        });
    }
    bar_cuts(
        to,
        "stud",
        &parts.stud_plan,
        &shop.studs,
        &parts.stud_pieces,
    );
    bar_cuts(
        to,
        "tube",
        &parts.tube_plan,
        &shop.coils,
        &parts.tube_pieces,
    );
}
