//! How bought lengths are cut: a bar to scale for each kind of cut, its pieces side by side.

use super::{Axis, Bar, Chart, Dash, Frame, Label, MARGIN_PX, Panel, Series, Shape, WIDTH_PX};
use super::{as_f64, line};
use crate::style::{Ink, Style, text_width_px};

/// Room above the first bar, px.
const TOP_PX: f64 = 84.0;
/// From bar to bar, px.
const ROW_PX: f64 = 46.0;
/// Thickness of a bar as a share of its row.
const BAR: f64 = 0.6;
/// Room that names take at most, px.
const NAMES_PX: f64 = 200.0;

/// Like lengths that are cut alike.
#[derive(Clone, Debug, PartialEq)]
pub struct CutRow {
    /// How many, and how long as bought.
    pub name: String,
    /// Length as bought, m.
    pub stock_m: f64,
    /// Length of each piece, m, and as it is read from a tape.
    pub pieces: Vec<(f64, String)>,
}

/// Draws the bars; absent where there is nothing to cut.
#[must_use]
pub fn cut_chart(title: &str, rows: &[CutRow], style: &Style) -> Option<Chart> {
    let longest = rows.iter().map(|r| r.stock_m).fold(0.0, f64::max);
    if !longest.is_finite() || longest <= 0.0 {
        return None;
    }
    let count = as_f64(rows.len());
    let bottom = TOP_PX + count * ROW_PX;
    let subtitle = "To scale. A bar is a length as bought; pale is left over.";
    let mut chart = Chart::sheet("cuts", bottom + 16.0, style, title, subtitle);
    let left = MARGIN_PX
        + rows
            .iter()
            .map(|r| text_width_px(&r.name, style.label_px, false))
            .fold(0.0, f64::max)
            .min(NAMES_PX)
        + 14.0;
    let mut panel = Panel {
        name: "cuts",
        frame: Frame {
            left,
            top: TOP_PX,
            right: WIDTH_PX - MARGIN_PX,
            bottom,
        },
        x: Axis::plain(0.0, longest),
        y: Axis::plain(0.0, count),
        series: Vec::new(),
        outlined: false,
        parted: false,
    };
    let (mut bought, mut pieces, mut saw) = (Vec::new(), Vec::new(), Vec::new());
    for (at, row) in rows.iter().enumerate() {
        let y = count - as_f64(at) - 0.5;
        let bar = |x0: f64, x1: f64| Bar {
            x0,
            x1,
            y0: y - BAR / 2.0,
            y1: y + BAR / 2.0,
        };
        bought.push(bar(0.0, row.stock_m));
        let base = panel.px(0.0, y).1 + 0.36 * style.label_px;
        chart
            .labels
            .push(Label::new(row.name.clone(), MARGIN_PX, base, style.label_px).within(NAMES_PX));
        let mut from_m = 0.0;
        for (length_m, text) in &row.pieces {
            let to_m = (from_m + length_m).min(row.stock_m);
            pieces.push(bar(from_m, to_m));
            saw.extend([
                (to_m, y - BAR / 2.0),
                (to_m, y + BAR / 2.0),
                (to_m, f64::NAN),
            ]);
            let (x0, x1) = (panel.px(from_m, y).0, panel.px(to_m, y).0);
            let width = text_width_px(text, style.axis_px, false);
            if width + 8.0 < x1 - x0 {
                let x = x0 + 0.5 * (x1 - x0 - width);
                let base = panel.px(0.0, y).1 + 0.36 * style.axis_px;
                chart
                    .labels
                    .push(Label::new(text.clone(), x, base, style.axis_px));
            }
            from_m = to_m;
        }
        let read: Vec<&str> = row.pieces.iter().map(|p| p.1.as_str()).collect();
        chart.alt += &format!(" {}: {}.", row.name, read.join(", "));
    }
    panel.series = vec![
        Series {
            name: "bought".into(),
            ink: Ink::Shade,
            shape: Shape::Bars(bought),
        },
        Series {
            name: "pieces".into(),
            ink: Ink::WaterSpan,
            shape: Shape::Bars(pieces),
        },
        line("saw", Ink::Text, saw, 1.5, Dash::Solid),
    ];
    chart.panels.push(panel);
    Some(chart)
}
