//! The build sheet: what fits, what to buy and cut, what it weighs, what holds it, what to fear.

mod chapter;
mod page;
mod table;
mod text;

use std::io::Write;

use serde_json::{Value, json};
use swimdays_build::{
    Boards, Caution, DEFERENCE, DeckLayout, Drainage, ExitEdge, Holding, Part, PartsList, Siphon,
    Step, Steps, Weight,
};
use swimdays_season::Assumption;

pub use chapter::chapter;
pub use page::write_page;
pub use table::{write_cuts_csv, write_parts_csv, write_rings_csv};
pub use text::build_lines;

use crate::{ReportError, Units};

/// What kind of heater a sheet is about.
#[derive(Clone, Debug)]
pub enum HeaterLayout {
    /// Tube on boards: those of all like heaters.
    Boards(Box<Boards>),
    /// A run in or on a deck.
    Deck(Box<DeckLayout>),
    /// A bought panel, m².
    Panel(f64),
}

/// Like heaters.
#[derive(Clone, Debug)]
pub struct HeaterSheet {
    /// Their names.
    pub names: Vec<String>,
    /// How the tube lies.
    pub layout: HeaterLayout,
    /// The sides of its boards or its deck are not written: they come from its area, or from what its rows need.
    pub sides_taken: bool,
    /// Tube that the scenario has for all of them, m.
    pub wanted_m: f64,
    /// One board with its tube.
    pub weight: Option<Weight>,
    /// Wind on one board, or on the panel.
    pub holding: Option<Holding>,
    /// What stays when it is drained.
    pub drainage: Option<Drainage>,
    /// Water in the tubes of all, m³.
    pub water_m3: f64,
}

impl HeaterSheet {
    /// Names as a heading.
    #[must_use]
    pub fn title(&self) -> String {
        match self.names.as_slice() {
            [one] => one.clone(),
            [first, .., last] => format!("{first} to {last}"),
            [] => String::new(),
        }
    }

    /// Boards in all; none for a deck or a panel.
    #[must_use]
    pub fn boards(&self) -> usize {
        match &self.layout {
            HeaterLayout::Boards(b) => b.layouts.len(),
            _ => 0,
        }
    }
}

/// A bought length or sheet and what is cut from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// What it is: "stud", "tube", "hose", "sheet".
    pub kind: &'static str,
    /// Its length, and its width when it is a sheet, m.
    pub stock_m: (f64, Option<f64>),
    /// Name and length of each piece, and its width when it is cut from a sheet, m.
    pub pieces: Vec<(String, f64, Option<f64>)>,
    /// Over after the last cut, m; 0 for sheets.
    pub left_m: f64,
}

/// Everything that is said.
#[derive(Clone, Debug)]
pub struct BuildReport {
    /// Of the program.
    pub version: &'static str,
    /// Of the scenario.
    pub name: String,
    /// Of the scenario.
    pub units: Units,
    /// Of prices.
    pub currency: String,
    /// In flow order.
    pub heaters: Vec<HeaterSheet>,
    /// Shopping list.
    pub parts: Vec<Part>,
    /// Cutting plan.
    pub cuts: Vec<Cut>,
    /// Order of work.
    pub steps: Steps,
    /// The deadly first.
    pub cautions: Vec<Caution>,
    /// What was taken because nothing was said.
    pub assumptions: Vec<Assumption>,
    /// Highest point of the heaters above the water, m.
    pub top_m: f64,
    /// Gust, m/s.
    pub gust_m_s: f64,
    /// Through the heaters, m³/s.
    pub flow_m3_s: Option<f64>,
    /// How long the water that stood in the tubes runs, s.
    pub first_slug_s: Option<f64>,
    /// What keeps pool and pump.
    pub siphon: Option<Siphon>,
    /// Why cautions lack the season's numbers; none when they have them.
    pub no_season: Option<String>,
}

impl BuildReport {
    /// Sum of what has a price; none when nothing has.
    #[must_use]
    pub fn priced_cost(&self) -> Option<f64> {
        let costs: Vec<f64> = self.parts.iter().filter_map(|p| p.cost).collect();
        (!costs.is_empty()).then(|| costs.iter().sum())
    }

    /// Kinds without a price, each once.
    #[must_use]
    pub fn not_priced(&self) -> Vec<String> {
        let mut out: Vec<String> = Vec::new();
        for p in self.parts.iter().filter(|p| p.cost.is_none()) {
            if !out.contains(&p.kind) {
                out.push(p.kind.clone());
            }
        }
        out
    }

    /// An amount of money.
    #[must_use]
    pub fn money(&self, amount: f64) -> String {
        format!("{amount:.2} {}", self.currency)
    }

    /// Water in all tubes, m³.
    #[must_use]
    pub fn water_m3(&self) -> f64 {
        self.heaters.iter().map(|h| h.water_m3).sum()
    }

    /// Adds a list; like lines become one.
    pub fn add_parts(&mut self, list: &PartsList) {
        for part in &list.parts {
            self.add_part(part.clone());
        }
    }

    /// Adds a line to the list.
    pub fn add_part(&mut self, part: Part) {
        let same =
            |p: &&mut Part| p.kind == part.kind && p.what == part.what && p.price == part.price;
        if let Some(old) = self.parts.iter_mut().find(same) {
            old.count += part.count;
            old.cost = old.cost.zip(part.cost).map(|(a, b)| a + b);
            for (to, more) in [
                (&mut old.needed, &part.needed),
                (&mut old.left_over, &part.left_over),
            ] {
                if to.is_empty() {
                    to.clone_from(more);
                } else if !more.is_empty() {
                    *to = format!("{to} and {more}");
                }
            }
            return;
        }
        self.parts.push(part);
    }

    /// The object of `build.json`.
    ///
    /// # Errors
    /// What the writer says.
    pub fn write_json(&self, mut to: impl Write) -> Result<(), ReportError> {
        serde_json::to_writer_pretty(&mut to, &self.json())?;
        to.write_all(b"\n").map_err(serde_json::Error::io)?;
        Ok(())
    }

    fn json(&self) -> Value {
        json!({
            "program": { "name": "swimdays", "version": self.version },
            "name": self.name,
            "heaters": self.heaters.iter().map(heater_json).collect::<Vec<_>>(),
            "parts": self.parts.iter().map(|p| json!({
                "kind": p.kind, "what": p.what, "count": p.count, "needed": p.needed,
                "left_over": p.left_over, "price": p.price, "cost": p.cost,
            })).collect::<Vec<_>>(),
            "priced_cost": self.priced_cost(),
            "not_priced": self.not_priced(),
            "currency": self.currency,
            "cuts": self.cuts.iter().map(|c| json!({
                "kind": c.kind, "stock_m": c.stock_m.0, "stock_width_m": c.stock_m.1, "left_m": c.left_m,
                "pieces": c.pieces.iter().map(|(name, length, width)| json!({
                    "name": name, "length_m": length, "width_m": width,
                })).collect::<Vec<_>>(),
            })).collect::<Vec<_>>(),
            "steps": {
                "build": self.steps.build.iter().map(step_json).collect::<Vec<_>>(),
                "first_run": self.steps.first_run.iter().map(step_json).collect::<Vec<_>>(),
                "winter": self.steps.winter.iter().map(step_json).collect::<Vec<_>>(),
                "spring": self.steps.spring.iter().map(step_json).collect::<Vec<_>>(),
            },
            "water_m3": self.water_m3(),
            "flow_m3_s": self.flow_m3_s,
            "first_slug_s": self.first_slug_s,
            "gust_m_s": self.gust_m_s,
            "siphon": self.siphon.map(|s| json!({
                "top_m": self.top_m,
                "drains_to_m": s.drains_to_m, "joint_unknown": s.joint_unknown, "loses_m3": s.loses_m3, "hole_below_m": s.hole_below_m,
                "check_valve": s.check_valve, "top_pressure_pa": s.top_pressure_pa,
            })),
            "cautions": self.cautions.iter().map(|c| json!({
                "kind": c.kind, "short": c.short, "text": c.text, "source": c.source, "number": c.number,
            })).collect::<Vec<_>>(),
            "deference": DEFERENCE,
            "no_season": self.no_season,
            "assumptions": self.assumptions.iter().map(|a| json!({
                "key": a.key, "value": a.value, "source": a.source,
            })).collect::<Vec<_>>(),
        })
    }
}

fn step_json(s: &Step) -> Value {
    json!({ "act": s.act, "why": s.why, "number": s.number, "cautions": s.cautions })
}

fn heater_json(h: &HeaterSheet) -> Value {
    let layout = match &h.layout {
        HeaterLayout::Boards(b) => {
            let first = b.layouts.first();
            json!({
                "kind": "board", "boards": b.layouts.len(), "wanted_m": h.wanted_m, "laid_m": b.laid_m, "fits_m": b.fits_m,
                "left_over_m": b.left_over_m,
                "sides_taken": h.sides_taken,
                "exit_edge": first.map(|l| match l.request.exit {
                    ExitEdge::Same => "same",
                    ExitEdge::Any => "any",
                }),
                "board_length_m": first.map(|l| l.request.board.length_m),
                "board_width_m": first.map(|l| l.request.board.width_m),
                "covered_frac": first.map(swimdays_build::BoardLayout::covered_frac),
                "bend_radius_m": first.and_then(|l| l.bend_radius_m),
                "least_radius_m": first.map(|l| l.least_radius_m),
                "ties": b.layouts.iter().map(swimdays_build::BoardLayout::ties).sum::<usize>(),
            })
        }
        HeaterLayout::Deck(d) => json!({
            "kind": "deck", "wanted_m": h.wanted_m, "laid_m": d.layout.laid_m, "fits_m": d.layout.fits_m, "rows": d.rows,
            "spacing_m": d.layout.request.pitch_m, "depth_m": d.depth_m,
            "length_m": d.layout.request.board.length_m, "width_m": d.layout.request.board.width_m,
        }),
        HeaterLayout::Panel(area_m2) => json!({ "kind": "panel", "area_m2": area_m2 }),
    };
    json!({
        "names": h.names, "layout": layout, "water_m3": h.water_m3,
        "dry_kg": h.weight.map(|w| w.dry_kg), "filled_kg": h.weight.map(|w| w.filled_kg),
        "wind_n": h.holding.map(|w| [w.force_n.low, w.force_n.high]),
        "ballast_kg": h.holding.filter(Holding::on_ground).map(|w| [w.ballast_kg.low, w.ballast_kg.high]),
        "edge_n": h.holding.map(|w| [w.edge_n.low, w.edge_n.high]),
        "drains": h.drainage.map(|d| d.drains),
    })
}
