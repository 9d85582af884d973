//! Draws one layout as SVG: `draw CASE FILE`; cases `round`, `full`, `square`, `rows`, `bulbs`, `standing`, `small`.
//!
//! The program's own drawings go through the report crate; this one is for looking at a layout while it is worked on.
#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "an example run by hand"
)]

use std::fmt::Write as _;

use swimdays_build::{
    Along, Board, Drawing, ExitEdge, LayoutRequest, Pattern, Point, StrokeKind, TIE_SPACING_M,
    Tube, Turn, WayOut, drawing, lay,
};
use swimdays_properties::materials::TubeMaterial;
use swimdays_quantity::Units;

const INCH: f64 = 0.0254;

fn request(case: &str) -> (LayoutRequest, Units) {
    let tube = Tube {
        material: TubeMaterial::Polyethylene,
        outer_diameter_m: 0.70 * INCH,
        bore_m: 0.60 * INCH,
        makers_bend_radius_m: None,
    };
    let base = LayoutRequest {
        tube,
        board: Board {
            length_m: 96.0 * INCH,
            width_m: 48.0 * INCH,
            margin_m: 0.0,
        },
        pitch_m: tube.outer_diameter_m,
        pattern: Pattern::RoundSpiral,
        way_out: WayOut::Over,
        exit: ExitEdge::Same,
        wanted_m: Some(200.0 * 12.0 * INCH),
        tie_spacing_m: TIE_SPACING_M,
    };
    match case {
        "square" => (
            LayoutRequest {
                pattern: Pattern::RectangularSpiral,
                board: Board {
                    margin_m: 1.5 * INCH,
                    ..base.board
                },
                way_out: WayOut::Behind,
                wanted_m: None,
                ..base
            },
            Units::Us,
        ),
        "rows" | "bulbs" => {
            let turn = if case == "bulbs" {
                Turn::Bulb
            } else {
                Turn::Round
            };
            let pitch_m = if case == "bulbs" { 0.155 } else { 0.285 };
            (
                LayoutRequest {
                    pattern: Pattern::Serpentine {
                        turn,
                        along: Along::Length,
                    },
                    pitch_m,
                    wanted_m: None,
                    ..base
                },
                Units::Metric,
            )
        }
        "full" => (
            LayoutRequest {
                wanted_m: None,
                ..base
            },
            Units::Us,
        ),
        "standing" => (
            LayoutRequest {
                board: Board {
                    length_m: 48.0 * INCH,
                    width_m: 96.0 * INCH,
                    margin_m: 0.0,
                },
                ..base
            },
            Units::Metric,
        ),
        "small" => (
            LayoutRequest {
                board: Board {
                    length_m: 1.0,
                    width_m: 1.0,
                    margin_m: 0.03,
                },
                wanted_m: None,
                ..base
            },
            Units::Metric,
        ),
        _ => (base, Units::Us),
    }
}

fn svg(d: &Drawing) -> String {
    let scale = 1_400.0 / (d.high.x_m - d.low.x_m);
    let x = |p: Point| (p.x_m - d.low.x_m) * scale;
    let y = |p: Point| (d.high.y_m - p.y_m) * scale;
    let (w, h) = (1_400.0, (d.high.y_m - d.low.y_m) * scale);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w:.0}\" height=\"{h:.0}\" font-family=\"sans-serif\" font-size=\"15\"><rect width=\"100%\" height=\"100%\" fill=\"white\"/>"
    );
    for s in &d.strokes {
        let (colour, width, dash) = match s.kind {
            StrokeKind::Outline => ("#b08040", 3.0, ""),
            StrokeKind::Margin => ("#c0a070", 1.0, "6 4"),
            StrokeKind::Tube => ("#333", (0.86 * s.width_m * scale).max(1.0), ""),
            StrokeKind::Over => ("#c04020", (0.86 * s.width_m * scale).max(1.0), ""),
            StrokeKind::Behind => ("#c04020", (0.4 * s.width_m * scale).max(1.0), "10 6"),
            StrokeKind::Link => ("#888", (0.86 * s.width_m * scale).max(1.0), ""),
            StrokeKind::Spoke => ("#3080c0", 1.0, "3 3"),
        };
        let points: Vec<String> = s
            .points
            .iter()
            .map(|p| format!("{:.2},{:.2}", x(*p), y(*p)))
            .collect();
        write!(
            out,
            "<polyline points=\"{}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width:.2}\" stroke-dasharray=\"{dash}\" stroke-linejoin=\"round\"/>",
            points.join(" ")
        )
        .unwrap();
    }
    for t in &d.ties {
        write!(
            out,
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"3\" fill=\"#f0c020\"/>",
            x(*t),
            y(*t)
        )
        .unwrap();
    }
    for m in &d.dimensions {
        let (fx, fy, tx, ty) = (x(m.from), y(m.from), x(m.to), y(m.to));
        let length = (tx - fx).hypot(ty - fy).max(1e-9);
        let o = m.offset_m * scale;
        // To the left of the way, on a page whose y runs down.
        let (ox, oy) = ((ty - fy) / length * o, -(tx - fx) / length * o);
        let (mx, my) = ((fx + tx) / 2.0 + ox, (fy + ty) / 2.0 + oy);
        write!(
            out,
            "<g stroke=\"#06c\" stroke-width=\"1.2\"><line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\"/><line x1=\"{fx:.1}\" y1=\"{fy:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" stroke-width=\"0.5\"/><line x1=\"{tx:.1}\" y1=\"{ty:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" stroke-width=\"0.5\"/></g>",
            fx + ox, fy + oy, tx + ox, ty + oy, fx + ox, fy + oy, tx + ox, ty + oy
        )
        .unwrap();
        word(&mut out, mx, my - 4.0, &m.text, "#06c");
    }
    for l in &d.labels {
        word(&mut out, x(l.at), y(l.at) + 5.0, &l.text, "#000");
    }
    out.push_str("</svg>");
    out
}

fn word(out: &mut String, x: f64, y: f64, text: &str, colour: &str) {
    write!(
        out,
        "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"middle\" fill=\"{colour}\" stroke=\"white\" stroke-width=\"4\" paint-order=\"stroke\">{text}</text>"
    )
    .unwrap();
}

fn main() {
    let mut args = std::env::args().skip(1);
    let case = args.next().unwrap_or_else(|| "round".into());
    let file = args.next().unwrap_or_else(|| "layout.svg".into());
    let (request, units) = request(&case);
    match lay(&request) {
        Ok(layout) => {
            println!(
                "{case}: laid {:.2} m, fits {:.2}, left {:.2}, covered {:.3}, bend {:?} of {:.3}, ties {}",
                layout.laid_m,
                layout.fits_m,
                layout.left_over_m,
                layout.covered_frac(),
                layout.bend_radius_m,
                layout.least_radius_m,
                layout.ties()
            );
            std::fs::write(&file, svg(&drawing(&layout, 0.0, units))).unwrap();
        }
        Err(e) => println!("{}", e.told(units)),
    }
}
