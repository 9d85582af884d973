//! What fits on the board, what to buy and cut, what it weighs and what holds it.
//!
//! **Question:** how is the heater laid out with a tape measure, what is on the shopping list, how heavy is it, what does the
//! wind do to it, in which order is it built and what can hurt someone?
//! **In:** tube, board, pattern, a [`Shop`] with the sizes things are sold in. **Out:** a [`BoardLayout`] with its [`Drawing`],
//! cutting plans, a [`PartsList`], weights, wind forces, steps and cautions; plain data, SI.
//! **Sources:** geometry derived beside each function; first-fit decreasing and branch and bound for cutting; velocity pressure
//! of ASCE 7 and EN 1991-1-4; what is trade custom says *common practice, no source*.
//!
//! A layout tells where the tube lies; it certifies no strength. Local codes and licensed practice decide ([`DEFERENCE`]).
//!
//! ```
//! use swimdays_build::{Board, ExitEdge, LayoutRequest, Pattern, TIE_SPACING_M, Tube, WayOut, lay};
//! use swimdays_properties::materials::TubeMaterial;
//! let tube = Tube {
//!     material: TubeMaterial::Polyethylene,
//!     outer_diameter_m: 0.017_78,
//!     bore_m: 0.015_24,
//!     makers_bend_radius_m: None,
//! };
//! let layout = lay(&LayoutRequest {
//!     tube,
//!     board: Board { length_m: 2.438_4, width_m: 1.219_2, margin_m: 0.0 },
//!     pitch_m: 0.017_78,
//!     pattern: Pattern::RoundSpiral,
//!     way_out: WayOut::Over,
//!     exit: ExitEdge::Same,
//!     wanted_m: Some(60.96),
//!     tie_spacing_m: TIE_SPACING_M,
//! })?;
//! assert!(layout.laid_m <= 60.96 && layout.left_over_m < 2.0);
//! # Ok::<(), swimdays_build::BuildError>(())
//! ```

mod bend;
mod caution;
mod cut;
mod drawing;
mod error;
mod geometry;
mod layout;
mod parts;
mod shop;
mod slope;
mod steps;
mod tape;
mod weight;
mod wind;

pub use bend::{BendRule, Tube, bend_rule};
pub use caution::{
    COMMON_PRACTICE, Caution, CautionInput, DEFERENCE, Place, PumpDrive, SCALD_C, SCALD_FAST_C,
    build_cautions, counts, forces, masses,
};
pub use cut::{
    Bar, BarPlan, BarStock, Panel, Piece, Placed, Sheet, SheetPlan, SheetStock,
    first_fit_decreasing, plan_bars, plan_sheets,
};
pub use drawing::{Column, Dimension, Drawing, Label, Stroke, StrokeKind, drawing};
pub use error::BuildError;
pub use geometry::{Point, Shape, at, spiral_bend_radius_m, spiral_length_m};
pub use layout::{
    Along, Board, BoardLayout, Boards, DeckLayout, DeckRequest, ExitEdge, Joint, LayoutRequest,
    Pattern, Run, Stretch, StretchKind, TIE_SPACING_M, Turn, WayOut, bulb_length_m, bulb_reach_m,
    lay, lay_boards, lay_deck,
};
pub use parts::{BuildList, Item, Part, PartsList, STUD_SPACING_M, frame, parts_list};
pub use shop::{COVERAGE_M2_L, ItemPrice, Mix, Pack, Shop, packs_for};
pub use slope::{DRAINING_FALL, Drainage, HOLE_DEPTH_M, Heights, Siphon, Stand, drainage, siphon};
pub use steps::{Step, Steps, steps};
pub use tape::{diameter, running, tape};
pub use weight::{
    LID_DENSITY_KG_M3, Load, PAINT_KG_M2, SMALL_PARTS_FRAC, STUD_DENSITY_KG_M3, Weight,
    first_slug_s,
};
pub use wind::{
    ANCHOR_N, Exposed, FRICTION, HALF_AIR_KG_M3, Holding, SCREW_N, STRAP_N, Span, WindLoad,
    gust_pressure_pa,
};

/// A whole number not above a value; 0 for what is none.
pub(crate) fn whole(value: f64) -> usize {
    if value.is_finite() && value > 0.0 {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "positive and cut off at a million million"
        )]
        let n = value.min(1e12) as usize;
        n
    } else {
        0
    }
}

/// A count as a number.
pub(crate) fn real(count: usize) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "counts of things")]
    let value = count as f64;
    value
}
