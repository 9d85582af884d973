//! Colours of a page: the inks of the drawings as CSS variables, so that one drawing serves light paper and a dark screen.

use std::collections::BTreeMap;

use crate::ReportError;
use crate::chart::{Chart, Shape};
use crate::style::{Ink, Style};

/// Colours of drawings on light paper, each with its fellow on a dark ground.
#[derive(Clone, Debug, Default)]
pub(crate) struct Theme {
    pairs: BTreeMap<String, String>,
}

fn hex([r, g, b]: [u8; 3]) -> String {
    format!("{r:02X}{g:02X}{b:02X}")
}

impl Theme {
    /// The inks that every page has.
    pub(crate) fn new() -> Self {
        let (light, dark) = (Style::light(), Style::dark());
        let pair = |ink: &Ink| (hex(light.rgb(*ink)), hex(dark.rgb(*ink)));
        Self {
            pairs: Ink::ALL.iter().map(pair).collect(),
        }
    }

    /// A drawing for the page: without its title, which the page writes, without a name space, its colours by their variables.
    ///
    /// # Errors
    /// As [`Chart::svg`].
    pub(crate) fn drawing(&mut self, chart: &Chart) -> Result<String, ReportError> {
        let (light, dark) = (Style::light(), Style::dark());
        for series in chart.panels.iter().flat_map(|panel| &panel.series) {
            if let Shape::Cells(cells) = &series.shape {
                for step in 0..cells.scale.steps() {
                    let tone = |style| hex(cells.scale.rgb(step, style));
                    self.pairs.insert(tone(&light), tone(&dark));
                }
            }
        }
        let svg = chart.svg_untitled(&light)?;
        let mut out = String::with_capacity(svg.len());
        let mut rest = svg.as_str();
        // Quotes within text are escaped, so that this stands in attributes only.
        while let Some(at) = rest.find("=\"#") {
            let (before, from) = rest.split_at(at + 2);
            out.push_str(before);
            let known = from.get(1..7).filter(|hex| {
                from.as_bytes().get(7) == Some(&b'"') && self.pairs.contains_key(*hex)
            });
            match known {
                Some(hex) => {
                    out.push_str(&format!("var(--c{hex})"));
                    rest = &from[7..];
                }
                None => {
                    out.push('#');
                    rest = &from[1..];
                }
            }
        }
        out.push_str(rest);
        Ok(out.replacen(" xmlns=\"http://www.w3.org/2000/svg\"", "", 1))
    }

    /// The variables: light everywhere, dark where a screen asks for it, light again on paper.
    pub(crate) fn css(&self) -> String {
        let list = |pick: fn((&String, &String)) -> String| -> String {
            self.pairs.iter().map(pick).collect()
        };
        let light = list(|(light, _)| format!("--c{light}:#{light};"));
        let dark = list(|(light, dark)| format!("--c{light}:#{dark};"));
        let named: String = [
            ("paper", Ink::Paper),
            ("text", Ink::Text),
            ("muted", Ink::Muted),
            ("grid", Ink::Grid),
            ("shade", Ink::Shade),
            ("band", Ink::Band),
            ("water", Ink::Water),
            ("hot", Ink::TooHot),
        ]
        .iter()
        .map(|(name, ink)| format!("--{name}:var(--c{});", hex(Style::light().rgb(*ink))))
        .collect();
        format!(
            ":root{{color-scheme:light dark;{light}{named}}}\n@media screen and (prefers-color-scheme:dark){{:root{{{dark}}}}}\n"
        )
    }
}
