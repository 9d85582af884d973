//! The drawing of each kind of board and deck.

use swimdays_build::{drawing, running};
use swimdays_report::build::{BuildReport, HeaterLayout};
use swimdays_report::chart::{Chart, CoilView, coil_chart};
use swimdays_report::style::Style;

pub(crate) fn charts(report: &BuildReport, style: &Style) -> Vec<(String, Chart)> {
    let mut out = Vec::new();
    for h in &report.heaters {
        let (layout, boards) = match &h.layout {
            HeaterLayout::Boards(b) => match b.layouts.first() {
                Some(layout) => (layout, b.layouts.len()),
                None => continue,
            },
            HeaterLayout::Deck(d) => (&d.layout, 0),
            HeaterLayout::Panel(_) => continue,
        };
        let units = report.units;
        let drawing = drawing(layout, 0.0, units);
        let what = match boards {
            0 => "deck run".to_owned(),
            1 => "one board".to_owned(),
            n => format!("{n} like boards"),
        };
        let title = format!(
            "{}: {what}, {} of tube{}",
            h.title(),
            running(layout.laid_m, units),
            if boards > 1 { " each" } else { "" }
        );
        let board = layout.request.board;
        let size = format!(
            "{} × {}, to scale; distances to the middle of the tube",
            swimdays_build::tape(board.length_m, units),
            swimdays_build::tape(board.width_m, units)
        );
        let alt = format!("{title}. {size}. The table of rings and rows says the same in numbers.");
        let view = CoilView {
            drawing: &drawing,
            title: &title,
            subtitle: &size,
            alt: &alt,
        };
        out.push((
            format!(
                "drawing-{}",
                h.names.first().map_or("heater", String::as_str)
            ),
            coil_chart(&view, style),
        ));
    }
    out
}
