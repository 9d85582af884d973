//! A map of cells: a grid of values, each in the tone of its step on a scale.
//!
//! A year of hours has 8760 cells, so they are not drawn one by one: cells of one step that lie together become one
//! rectangle, and all rectangles of a step one path in the grid's own whole numbers.

use std::fmt::Write as _;

use super::Panel;
use super::time::as_f64;
use crate::style::{Ink, Ramp, Style};

/// Which values share a tone.
#[derive(Clone, Debug, PartialEq)]
pub struct Scale {
    /// Its tones, from little to much.
    pub ramp: Ramp,
    /// Ends of the steps, rising; a step has its lower end in it. Values beyond either end belong to the outermost step.
    pub ends: Vec<f64>,
    /// Whether the first step is nothing at all (night) and has the shade of the rule instead of a tone.
    pub from_nothing: bool,
}

impl Scale {
    /// How many steps there are.
    #[must_use]
    pub fn steps(&self) -> usize {
        self.ends.len().saturating_sub(1)
    }

    /// The step of a value; `None` of one that is missing.
    #[must_use]
    pub fn step_of(&self, value: f64) -> Option<usize> {
        if value.is_nan() || self.steps() == 0 {
            return None;
        }
        let above = self.ends.partition_point(|end| *end <= value);
        Some(above.saturating_sub(1).min(self.steps() - 1))
    }

    /// Red, green and blue of a step.
    #[must_use]
    pub fn rgb(&self, step: usize, style: &Style) -> [u8; 3] {
        let first = usize::from(self.from_nothing);
        if step < first {
            return style.rgb(Ink::Shade);
        }
        let last = as_f64(self.steps().saturating_sub(1 + first)).max(1.0);
        style.tone(self.ramp, as_f64(step - first) / last)
    }
}

/// A grid of values in the panel's own units.
#[derive(Clone, Debug, PartialEq)]
pub struct Cells {
    /// Left edge.
    pub x0: f64,
    /// Lower edge.
    pub y0: f64,
    /// Width of a cell.
    pub width: f64,
    /// Height of a cell.
    pub height: f64,
    /// Cells on top of each other.
    pub rows: usize,
    /// The values, column by column, each from the bottom up; `NaN` leaves the paper.
    pub values: Vec<f64>,
    /// Their tones.
    pub scale: Scale,
}

/// Some cells of one step that make a rectangle: position and size in cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Block {
    x: usize,
    y: usize,
    width: usize,
    height: usize,
}

impl Cells {
    /// Cells beside each other.
    #[must_use]
    pub fn columns(&self) -> usize {
        self.values.len() / self.rows.max(1)
    }

    /// Two opposite corners of the grid.
    pub(crate) fn corners(&self) -> [(f64, f64); 2] {
        let (columns, rows) = (as_f64(self.columns()), as_f64(self.rows));
        [
            (self.x0, self.y0),
            (self.x0 + columns * self.width, self.y0 + rows * self.height),
        ]
    }

    /// The grid as SVG, where its panel lies; `units_per_px` is that of the drawing.
    pub(crate) fn svg(&self, panel: &Panel, style: &Style, units_per_px: f64) -> String {
        let (left, bottom) = panel.px(self.x0, self.y0);
        let (right, top) = panel.px(self.x0 + self.width, self.y0 + self.height);
        // Without smoothing, or the paper would shine through between cells.
        let mut out = format!(
            "<g shape-rendering=\"crispEdges\" transform=\"translate({:.2} {:.2}) scale({:.5} {:.5})\">\n",
            left * units_per_px,
            bottom * units_per_px,
            (right - left) * units_per_px,
            (top - bottom) * units_per_px
        );
        for (step, blocks) in self.blocks().iter().enumerate() {
            if blocks.is_empty() {
                continue;
            }
            let [r, g, b] = self.scale.rgb(step, style);
            let _ = write!(out, "<path fill=\"#{r:02X}{g:02X}{b:02X}\" d=\"");
            for Block {
                x,
                y,
                width,
                height,
            } in blocks
            {
                let _ = write!(out, "M{x} {y}h{width}v{height}h-{width}z");
            }
            out.push_str("\"/>\n");
        }
        out.push_str("</g>\n");
        out
    }

    /// For each step the rectangles that cover its cells, each cell once.
    fn blocks(&self) -> Vec<Vec<Block>> {
        let (columns, rows) = (self.columns(), self.rows);
        let mut steps: Vec<Option<usize>> =
            self.values.iter().map(|v| self.scale.step_of(*v)).collect();
        let mut out = vec![Vec::new(); self.scale.steps()];
        for x in 0..columns {
            for y in 0..rows {
                let Some(step) = steps[x * rows + y] else {
                    continue;
                };
                let same = |x: usize, y: usize| steps[x * rows + y] == Some(step);
                let height = (y..rows).take_while(|&y| same(x, y)).count();
                let width = (x..columns)
                    .take_while(|&x| (y..y + height).all(|y| same(x, y)))
                    .count();
                for x in x..x + width {
                    steps[x * rows + y..x * rows + y + height].fill(None);
                }
                out[step].push(Block {
                    x,
                    y,
                    width,
                    height,
                });
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(rows: usize, values: &[f64]) -> Cells {
        Cells {
            x0: 0.0,
            y0: 0.0,
            width: 1.0,
            height: 1.0,
            rows,
            values: values.to_vec(),
            scale: Scale {
                ramp: Ramp::Sun,
                ends: vec![0.0, 1.0, 2.0, 3.0],
                from_nothing: false,
            },
        }
    }

    #[test]
    fn a_value_at_an_end_belongs_to_the_step_above_and_none_is_lost() {
        let scale = grid(1, &[]).scale;
        for (value, step) in [
            (0.0, 0),
            (0.99, 0),
            (1.0, 1),
            (2.0, 2),
            (3.0, 2),
            (-7.0, 0),
            (99.0, 2),
        ] {
            assert_eq!(scale.step_of(value), Some(step), "{value}");
        }
        assert_eq!(scale.step_of(f64::NAN), None);
    }

    #[test]
    fn blocks_cover_every_cell_once_and_no_missing_one() {
        let values: Vec<f64> = (0..60)
            .map(|i| match i % 7 {
                6 => f64::NAN,
                k => f64::from(k / 2),
            })
            .collect();
        let cells = grid(5, &values);
        let mut seen = vec![0; 60];
        for (step, blocks) in cells.blocks().iter().enumerate() {
            for b in blocks {
                for x in b.x..b.x + b.width {
                    for y in b.y..b.y + b.height {
                        seen[x * 5 + y] += 1;
                        assert_eq!(cells.scale.step_of(values[x * 5 + y]), Some(step));
                    }
                }
            }
        }
        for (count, value) in seen.iter().zip(&values) {
            assert_eq!(*count, usize::from(!value.is_nan()));
        }
    }

    #[test]
    fn equal_neighbours_are_one_block() {
        let blocks = grid(2, &[0.5; 8]).blocks();
        // By hand: four columns of two.
        let all = Block {
            x: 0,
            y: 0,
            width: 4,
            height: 2,
        };
        assert_eq!(blocks, [vec![all], vec![], vec![]]);
    }
}
