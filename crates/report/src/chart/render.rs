//! A chart onto SVG by plotters, and onto PNG by resvg.

use plotters::backend::SVGBackend;
use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, IntoDrawingArea};
use plotters::element::{PathElement, Polygon, Rectangle, Text};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontFamily, FontStyle, IntoFont, RGBColor, ShapeStyle, TextStyle};
use resvg::{tiny_skia, usvg};

use super::{Anchor, Bar, Chart, Dash, Frame, Label, Panel, Series, Shape};
use crate::ReportError;
use crate::style::{ASCENT_EM, FONT_FAMILIES, Ink, Style, font_database};

/// plotters' SVG backend rounds to whole units: the canvas has this many of them to a px.
const UNITS_PER_PX: f64 = 8.0;
/// plotters' SVG backend writes the font size it is given divided by this.
const FONT_SIZE_DIVISOR: f64 = 1.24;
/// Pixels of a PNG per px of the drawing.
pub const PNG_SCALE: u32 = 2;
/// Pixels per metre of a PNG: 144 dots per inch, twice the 72 at which a sheet of 900 px is 12.5 in wide.
pub const PNG_PIXELS_PER_METRE: u32 = 5669;

/// Half the stroke of a value that has no neighbour.
const LONE_PX: f64 = 2.0;
/// The title and the line below it are the first labels of a sheet.
const TITLE_LABELS: usize = 2;
/// Paper above a drawing that has no title.
const ABOVE_PX: f64 = 6.0;
/// Paper between boxes that stand on each other.
const HAIR_PX: f64 = 1.0;

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;
type Spot = (i32, i32);

impl Chart {
    /// The drawing as SVG text; fonts are named, not embedded.
    ///
    /// # Errors
    /// [`ReportError::Drawing`] when the drawing library refuses.
    pub fn svg(&self, style: &Style) -> Result<String, ReportError> {
        self.svg_from(style, 0.0)
    }

    /// The drawing without its title and the line below it, for a page that writes them itself.
    ///
    /// # Errors
    /// As [`Chart::svg`].
    pub(crate) fn svg_untitled(&self, style: &Style) -> Result<String, ReportError> {
        let boxes = self.labels.iter().skip(TITLE_LABELS).map(Label::text_box);
        let frames = self.panels.iter().map(|p| p.frame);
        let top_px = boxes
            .chain(frames)
            .chain(self.swatches.iter().map(|s| s.frame))
            .map(|b| b.top - ABOVE_PX)
            .fold(self.height_px, f64::min);
        let below = Self {
            labels: self.labels.iter().skip(TITLE_LABELS).cloned().collect(),
            ..self.clone()
        };
        below.svg_from(style, top_px.max(0.0).floor())
    }

    /// The drawing from `top_px` down.
    fn svg_from(&self, style: &Style, top_px: f64) -> Result<String, ReportError> {
        let mut raw = String::with_capacity(64 * 1024);
        {
            let size = (
                units_unsigned(self.width_px),
                units_unsigned(self.height_px),
            );
            let area = SVGBackend::with_string(&mut raw, size).into_drawing_area();
            self.draw(&area, style)
                .map_err(|e| ReportError::Drawing(e.to_string()))?;
        }
        let (width, height) = (self.width_px, self.height_px - top_px);
        let body = raw.split_once('>').map_or("", |(_, body)| body);
        // The paper and the maps lie below all that plotters draws.
        let mut ground = paper(self, style);
        for panel in &self.panels {
            for series in &panel.series {
                if let Shape::Cells(cells) = &series.shape {
                    ground += &cells.svg(panel, style, UNITS_PER_PX);
                }
            }
        }
        Ok(format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 {} {} {}\" \
             role=\"img\" stroke-linejoin=\"round\"><title>{}</title><desc>{}</desc>\n{ground}{body}",
            top_px * UNITS_PER_PX,
            width * UNITS_PER_PX,
            height * UNITS_PER_PX,
            escaped(&self.title),
            escaped(&self.alt),
        ))
    }

    /// The drawing as a PNG file of 144 dots per inch, two pixels to the px.
    ///
    /// # Errors
    /// [`ReportError::Drawing`] when a library refuses.
    pub fn png(&self, style: &Style) -> Result<Vec<u8>, ReportError> {
        png_from_svg(&self.svg(style)?)
    }

    fn draw(&self, area: &Area<'_>, style: &Style) -> Drawn {
        for panel in &self.panels {
            draw_panel(area, panel, style)?;
        }
        for swatch in &self.swatches {
            fill_frame(area, &swatch.frame, style, swatch.ink)?;
        }
        for label in self.labels.iter().filter(|l| l.on_patch) {
            let b = label.text_box().grown(2.0);
            let paper = colour(style, Ink::Paper).mix(0.78).filled();
            area.draw(&Rectangle::new(
                [spot((b.left, b.top)), spot((b.right, b.bottom))],
                paper,
            ))?;
        }
        for label in &self.labels {
            draw_label(area, label, style)?;
        }
        area.present()?;
        Ok(())
    }
}

/// The sheet itself.
fn paper(chart: &Chart, style: &Style) -> String {
    let [r, g, b] = style.rgb(Ink::Paper);
    format!(
        "<rect width=\"{}\" height=\"{}\" fill=\"#{r:02X}{g:02X}{b:02X}\"/>\n",
        chart.width_px * UNITS_PER_PX,
        chart.height_px * UNITS_PER_PX
    )
}

/// What plotters yields.
type Drawn = Result<(), Box<dyn std::error::Error>>;

/// Rasterises an SVG at [`PNG_SCALE`].
fn png_from_svg(svg: &str) -> Result<Vec<u8>, ReportError> {
    let failed = |e: &dyn std::fmt::Display| ReportError::Drawing(e.to_string());
    let options = usvg::Options {
        fontdb: font_database(),
        font_family: "Inter".into(),
        ..Default::default()
    };
    let tree = usvg::Tree::from_str(svg, &options).map_err(|e| failed(&e))?;
    let size = tree.size().to_int_size();
    let (width, height) = (size.width() * PNG_SCALE, size.height() * PNG_SCALE);
    let mut pixels =
        tiny_skia::Pixmap::new(width, height).ok_or_else(|| failed(&"a drawing without extent"))?;
    #[allow(
        clippy::cast_precision_loss,
        reason = "the scale is a small whole number"
    )]
    let scale = PNG_SCALE as f32;
    resvg::render(
        &tree,
        tiny_skia::Transform::from_scale(scale, scale),
        &mut pixels.as_mut(),
    );
    // The sheet is opaque: three bytes a pixel are enough.
    let rgb: Vec<u8> = pixels
        .data()
        .chunks_exact(4)
        .flat_map(|p| [p[0], p[1], p[2]])
        .collect();
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_pixel_dims(Some(png::PixelDimensions {
        xppu: PNG_PIXELS_PER_METRE,
        yppu: PNG_PIXELS_PER_METRE,
        unit: png::Unit::Meter,
    }));
    let mut writer = encoder.write_header().map_err(|e| failed(&e))?;
    writer.write_image_data(&rgb).map_err(|e| failed(&e))?;
    writer.finish().map_err(|e| failed(&e))?;
    Ok(file)
}

fn draw_panel(area: &Area<'_>, panel: &Panel, style: &Style) -> Drawn {
    let grid = ShapeStyle {
        color: colour(style, Ink::Grid).to_rgba(),
        filled: false,
        stroke_width: 8,
    };
    // Fills lie below the grid, lines and bars above it.
    for series in panel.series.iter().filter(|s| is_backdrop(s)) {
        draw_series(area, panel, series, style)?;
    }
    for tick in &panel.y.ticks {
        let ends = [
            panel.px(panel.x.min, tick.at),
            panel.px(panel.x.max, tick.at),
        ];
        area.draw(&PathElement::new(ends.map(spot).to_vec(), grid))?;
    }
    for tick in &panel.x.ticks {
        let ends = [
            panel.px(tick.at, panel.y.min),
            panel.px(tick.at, panel.y.max),
        ];
        area.draw(&PathElement::new(ends.map(spot).to_vec(), grid))?;
    }
    for series in panel.series.iter().filter(|s| !is_backdrop(s)) {
        draw_series(area, panel, series, style)?;
    }
    if panel.outlined {
        let f = &panel.frame;
        let corners = [
            (f.left, f.top),
            (f.right, f.top),
            (f.right, f.bottom),
            (f.left, f.bottom),
            (f.left, f.top),
        ];
        let pencil = ShapeStyle {
            color: colour(style, Ink::Text).to_rgba(),
            filled: false,
            stroke_width: 9,
        };
        area.draw(&PathElement::new(corners.map(spot).to_vec(), pencil))?;
    }
    Ok(())
}

/// Night, the band and other broad fills.
fn is_backdrop(series: &Series) -> bool {
    matches!(series.ink, Ink::Shade | Ink::Band)
}

fn draw_series(area: &Area<'_>, panel: &Panel, series: &Series, style: &Style) -> Drawn {
    let ink = colour(style, series.ink);
    match &series.shape {
        // Drawn already, below the grid.
        Shape::Cells(_) => {}
        Shape::Bars(bars) => {
            for bar in joined(bars) {
                let (a, mut b) = (panel.px(bar.x0, bar.y0), panel.px(bar.x1, bar.y1));
                if panel.parted && (b.1 - a.1).abs() > 3.0 * HAIR_PX {
                    b.1 -= HAIR_PX * (b.1 - a.1).signum();
                }
                let corners = [
                    spot((a.0.min(b.0), a.1.min(b.1))),
                    spot((a.0.max(b.0), a.1.max(b.1))),
                ];
                area.draw(&Rectangle::new(corners, ink.filled()))?;
            }
        }
        Shape::Area(spans) => {
            for run in spans.split(|(_, lo, hi)| !(lo.is_finite() && hi.is_finite())) {
                if run.len() < 2 {
                    continue;
                }
                let upper = run.iter().map(|&(x, _, hi)| spot(panel.px(x, hi)));
                let lower = run.iter().rev().map(|&(x, lo, _)| spot(panel.px(x, lo)));
                area.draw(&Polygon::new(
                    upper.chain(lower).collect::<Vec<_>>(),
                    ink.filled(),
                ))?;
            }
        }
        Shape::Line {
            points,
            width_px,
            dash,
        } => {
            let stroke = ShapeStyle {
                color: ink.to_rgba(),
                filled: false,
                stroke_width: units_unsigned(*width_px),
            };
            for run in points.split(|(_, y)| !y.is_finite()) {
                let mut pixels: Vec<_> = run.iter().map(|&(x, y)| panel.px(x, y)).collect();
                if let [(x, y)] = pixels[..] {
                    // A value alone is a short stroke, or it would not be seen.
                    pixels = vec![(x - LONE_PX, y), (x + LONE_PX, y)];
                }
                for piece in dashed(&pixels, *dash) {
                    area.draw(&PathElement::new(
                        piece.into_iter().map(spot).collect::<Vec<_>>(),
                        stroke,
                    ))?;
                }
            }
        }
    }
    Ok(())
}

/// Joins boxes of equal ends that touch, since two edges on one line leave a hair of paper between them.
fn joined(bars: &[Bar]) -> Vec<Bar> {
    let mut out: Vec<Bar> = Vec::new();
    for bar in bars {
        match out.last_mut() {
            Some(last)
                if (last.x1 - bar.x0).abs() < 1e-9
                    && (last.y0 - bar.y0).abs() < 1e-9
                    && (last.y1 - bar.y1).abs() < 1e-9 =>
            {
                last.x1 = bar.x1;
            }
            _ => out.push(*bar),
        }
    }
    out
}

/// Cuts a line into the pieces that its dash leaves.
fn dashed(line: &[(f64, f64)], dash: Dash) -> Vec<Vec<(f64, f64)>> {
    let (on_px, off_px) = match dash {
        Dash::Solid => {
            return if line.len() > 1 {
                vec![line.to_vec()]
            } else {
                Vec::new()
            };
        }
        Dash::Dashed => (8.0, 4.0),
        Dash::Dotted => (2.0, 3.0),
    };
    let Some(&first) = line.first() else {
        return Vec::new();
    };
    let (mut pieces, mut piece, mut on, mut left) = (Vec::new(), vec![first], true, on_px);
    for pair in line.windows(2) {
        let (mut at, end) = (pair[0], pair[1]);
        loop {
            let length = (end.0 - at.0).hypot(end.1 - at.1);
            if length <= left {
                left -= length;
                if on {
                    piece.push(end);
                }
                break;
            }
            let share = left / length;
            at = (at.0 + (end.0 - at.0) * share, at.1 + (end.1 - at.1) * share);
            if on {
                piece.push(at);
                pieces.push(std::mem::take(&mut piece));
            } else {
                piece = vec![at];
            }
            on = !on;
            left = if on { on_px } else { off_px };
        }
    }
    if piece.len() > 1 {
        pieces.push(piece);
    }
    pieces
}

fn draw_label(area: &Area<'_>, label: &Label, style: &Style) -> Drawn {
    if label.text.is_empty() {
        return Ok(());
    }
    let weight = if label.bold {
        FontStyle::Bold
    } else {
        FontStyle::Normal
    };
    let font = (
        FontFamily::Name(FONT_FAMILIES),
        label.size_px * UNITS_PER_PX * FONT_SIZE_DIVISOR,
        weight,
    );
    let horizontal = match label.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    let ink = colour(style, label.ink);
    let text = TextStyle::from(font.into_font())
        .color(&ink)
        .pos(Pos::new(horizontal, VPos::Top));
    // The backend puts the base line 0.76 em below the position of a text hung by its top.
    let top = label.y - ASCENT_EM * label.size_px;
    area.draw(&Text::new(label.text.clone(), spot((label.x, top)), text))?;
    Ok(())
}

fn fill_frame(area: &Area<'_>, f: &Frame, style: &Style, ink: Ink) -> Drawn {
    let corners = [spot((f.left, f.top)), spot((f.right, f.bottom))];
    area.draw(&Rectangle::new(corners, colour(style, ink).filled()))?;
    Ok(())
}

fn colour(style: &Style, ink: Ink) -> RGBColor {
    let [r, g, b] = style.rgb(ink);
    RGBColor(r, g, b)
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "a sheet is some thousand units wide"
)]
fn spot((x, y): (f64, f64)) -> Spot {
    (
        (x * UNITS_PER_PX).round() as i32,
        (y * UNITS_PER_PX).round() as i32,
    )
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "small and positive by construction"
)]
fn units_unsigned(px: f64) -> u32 {
    (px * UNITS_PER_PX).round().max(1.0) as u32
}

/// Text between tags; control characters are not allowed there.
fn escaped(text: &str) -> String {
    let clean: String = text.chars().filter(|c| !c.is_control()).collect();
    clean
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_cover_two_thirds_of_a_straight_line() {
        let pieces = dashed(&[(0.0, 0.0), (50.0, 0.0), (120.0, 0.0)], Dash::Dashed);
        let drawn: f64 = pieces.iter().map(|p| p[p.len() - 1].0 - p[0].0).sum();
        // By hand: 120 px are ten rounds of 8 on and 4 off.
        assert!((drawn - 80.0).abs() < 1e-9, "{drawn}");
        assert_eq!(pieces.len(), 10);
    }
}
