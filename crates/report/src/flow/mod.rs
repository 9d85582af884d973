//! What flows where, as data: the object of `swimdays flow --json`, and what its text and pictures are made from.

mod chapter;
mod text;
mod words;

use std::io::Write;

use serde::Serialize;
use swimdays_pump::hydraulics::{Operating, PieceRow, Regime};

use crate::ReportError;

pub use chapter::chapter;
pub use text::flow_lines;
pub use words::{cautions, warning_text};

/// Flow for each m² of heater that is usual, m³/s: 0.1 gpm/ft² (common practice, no source).
pub const USUAL_FLOW_M3_S_M2: f64 = 0.1 * 6.309_019_64e-5 / 0.092_903_04;

/// One piece of the circuit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PieceSummary {
    /// The builder's name.
    pub name: String,
    /// suction, before, main, heater or after.
    pub part: &'static str,
    /// m.
    pub length_m: f64,
    /// m.
    pub bore_m: f64,
    /// m³/s.
    pub flow_m3_s: f64,
    /// Of the pump's flow.
    pub share_frac: f64,
    /// m/s.
    pub velocity_m_s: f64,
    /// −.
    pub reynolds: f64,
    /// −; 0 in straight tube.
    pub dean: f64,
    /// laminar, transition or turbulent.
    pub regime: &'static str,
    /// Darcy's.
    pub friction_factor: f64,
    /// Tube and fittings, Pa.
    pub drop_pa: f64,
    /// Of that, fittings, Pa.
    pub fittings_pa: f64,
    /// m from the circuit's inlet.
    pub along_m: f64,
    /// m above the pool.
    pub inlet_height_m: f64,
    /// m above the pool.
    pub outlet_height_m: f64,
    /// m above the pool.
    pub high_point_m: f64,
    /// Pa against the air.
    pub inlet_gauge_pa: f64,
    /// Pa against the air.
    pub outlet_gauge_pa: f64,
    /// Pa against the air.
    pub lowest_gauge_pa: f64,
    /// Time to pass, s; absent where it stands still.
    pub transit_s: Option<f64>,
}

impl PieceSummary {
    /// From a row of the operating point.
    #[must_use]
    pub fn new(row: &PieceRow) -> Self {
        use swimdays_pump::hydraulics::Part;
        Self {
            name: row.name.clone(),
            part: match row.part {
                Part::Suction => "suction",
                Part::Before => "before",
                Part::Main => "main",
                Part::Heater => "heater",
                Part::After => "after",
            },
            length_m: row.length_m,
            bore_m: row.bore_m,
            flow_m3_s: row.flow_m3_s,
            share_frac: row.share_frac,
            velocity_m_s: row.velocity_m_s,
            reynolds: row.reynolds,
            dean: row.dean,
            regime: match row.regime {
                Regime::Laminar => "laminar",
                Regime::Turbulent => "turbulent",
                _ => "transition",
            },
            friction_factor: row.friction_factor,
            drop_pa: row.drop_pa,
            fittings_pa: row.fittings_pa,
            along_m: row.along_m,
            inlet_height_m: row.inlet_height_m,
            outlet_height_m: row.outlet_height_m,
            high_point_m: row.high_point_m,
            inlet_gauge_pa: row.inlet_gauge_pa,
            outlet_gauge_pa: row.outlet_gauge_pa,
            lowest_gauge_pa: row.lowest_gauge_pa,
            transit_s: Some(row.transit_s).filter(|s| s.is_finite()),
        }
    }

    /// A joint without length or fittings: it only says that heights differ.
    #[must_use]
    pub fn is_joint(&self) -> bool {
        self.length_m <= 0.0 && self.drop_pa < 1.0
    }
}

/// Whether it fills and the siphon holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StartSummary {
    /// Highest point of the heaters' way above the pool, m.
    pub high_point_m: f64,
    /// Head that reaches it while it is empty, m.
    pub available_m: f64,
    /// Whether it fills.
    pub can_start: bool,
    /// While filling, m³/s.
    pub fill_flow_m3_s: f64,
    /// s; absent where it does not fill.
    pub fill_s: Option<f64>,
    /// Whether the siphon holds when it runs.
    pub siphon_holds: bool,
    /// Lowest pressure in the heaters' way against the air, Pa.
    pub lowest_gauge_pa: f64,
}

/// Heat at the design sun at some flow.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SunCase {
    /// Through the heaters, m³/s.
    pub flow_m3_s: f64,
    /// Into the water, W.
    pub heat_w: f64,
    /// Warmer in one pass, K.
    pub rise_k: f64,
}

/// The weather in which heat is compared, and the heat.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DesignSun {
    /// On each heater's plane, W/m².
    pub sun_w_m2: f64,
    /// °C.
    pub air_c: f64,
    /// °C.
    pub water_c: f64,
    /// At the heater, m/s.
    pub wind_m_s: f64,
    /// A deck's slab, °C.
    pub slab_c: f64,
    /// A clear summer day counts as so many hours of this sun.
    pub hours_a_day: f64,
    /// As it is.
    pub now: SunCase,
    /// At half the flow.
    pub half: SunCase,
    /// At double the flow.
    pub double: SunCase,
}

/// One way to plumb the heaters.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WaySummary {
    /// In words.
    pub name: String,
    /// This is how the scenario has it.
    pub as_planned: bool,
    /// The pump fills it and water comes through.
    pub works: bool,
    /// m³/s.
    pub flow_m3_s: f64,
    /// At the design sun, W.
    pub heat_w: f64,
    /// On a clear summer day, kWh.
    pub heat_kwh_day: f64,
    /// What the pump draws, W.
    pub pump_w: Option<f64>,
    /// Head and flow at the pump along its system curve; for the picture.
    #[serde(skip)]
    pub curve: Vec<(f64, f64)>,
}

/// A warning with its kind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlowWarning {
    /// A word for programs.
    pub kind: &'static str,
    /// For people.
    pub text: String,
}

/// A value that was taken because nothing was said.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Taken {
    /// Key.
    pub key: String,
    /// What was taken.
    pub value: String,
    /// Why.
    pub source: String,
}

/// Everything that `swimdays flow` says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlowReport {
    /// Of the program.
    pub version: &'static str,
    /// The scenario's name.
    pub name: String,
    /// `pump`: from its curve; `measured`: written, the pump's curve known as well; `given`: written, pump unknown.
    pub flow_from: &'static str,
    /// Through the heaters, m³/s.
    pub flow_m3_s: f64,
    /// With the weakest and the strongest pump of a generic class, m³/s.
    pub flow_range_m3_s: Option<(f64, f64)>,
    /// Computed where the flow is measured, m³/s.
    pub computed_flow_m3_s: Option<f64>,
    /// The heaters' way drops so many times what its pieces say.
    pub resistance_factor: Option<f64>,
    /// Why a measured flow cannot be explained.
    pub measured_fault: Option<String>,
    /// The pump's; where the pump is not known, what the flow needs, m.
    pub head_m: f64,
    /// Absent where the pump is not known, W.
    pub pump_w: Option<f64>,
    /// W.
    pub pump_w_low: Option<f64>,
    /// W.
    pub pump_w_high: Option<f64>,
    /// Through the pump, m³/s.
    pub pump_flow_m3_s: f64,
    /// Through filter and pool with the heaters shut, m³/s.
    pub filter_flow_alone_m3_s: Option<f64>,
    /// Height of a vacuum breaker above the pool, m, where the plan has one.
    pub breaker_m: Option<f64>,
    /// Flow that a vacuum breaker at the top would leave, m³/s; absent where it would cost nothing or the plan has it.
    pub breaker_flow_m3_s: Option<f64>,
    /// Area of all heaters, m².
    pub heater_area_m2: f64,
    /// Of them, boards and panels, for which the rule of practice is, m².
    pub rule_area_m2: f64,
    /// Flow over what is usual for that area; absent where a deck is in the loop.
    pub share_of_usual_flow: Option<f64>,
    /// Water in the heaters' way, m³.
    pub heater_volume_m3: f64,
    /// Time for water to pass it, s; absent where it stands still.
    pub transit_s: Option<f64>,
    /// In the order of the pieces.
    pub pieces: Vec<PieceSummary>,
    /// Filling and siphon.
    pub start: StartSummary,
    /// Heat.
    pub design_sun: DesignSun,
    /// Best first.
    pub arrangements: Vec<WaySummary>,
    /// With their numbers.
    pub warnings: Vec<FlowWarning>,
    /// Local codes and licensed practice decide.
    pub cautions: Vec<String>,
    /// What was taken because nothing was said.
    pub assumptions: Vec<Taken>,
    /// No season can be run: why.
    pub fault: Option<String>,
    /// Pump's curve, flow m³/s and head m; for the picture.
    #[serde(skip)]
    pub pump_curve: Vec<(f64, f64)>,
}

impl FlowReport {
    /// Writes the object of `flow.json`.
    ///
    /// # Errors
    /// What the writer says.
    pub fn write_json(&self, mut to: impl Write) -> Result<(), ReportError> {
        serde_json::to_writer_pretty(&mut to, self)?;
        to.write_all(b"\n").map_err(serde_json::Error::io)?;
        Ok(())
    }

    /// Lowest pressure in the heaters' way.
    #[must_use]
    pub fn lowest_gauge_pa(found: &Operating) -> f64 {
        found
            .pieces
            .iter()
            .filter(|p| p.part == swimdays_pump::hydraulics::Part::Heater)
            .map(|p| p.lowest_gauge_pa)
            .fold(f64::INFINITY, f64::min)
    }
}
