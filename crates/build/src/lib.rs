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
//! assert!(layout.laid_m <= 60.96 && layout.left_over_m < 1.5);
//! # Ok::<(), swimdays_build::BuildError>(())
//! ```

mod bend;
mod drawing;
mod error;
mod geometry;
mod layout;
mod tape;

pub use bend::{BendRule, Tube, bend_rule};
pub use drawing::{Dimension, Drawing, Label, Stroke, StrokeKind, drawing};
pub use error::BuildError;
pub use geometry::{Point, Shape, at, spiral_bend_radius_m, spiral_length_m};
pub use layout::{
    Along, Board, BoardLayout, Boards, DeckLayout, DeckRequest, ExitEdge, Joint, LayoutRequest,
    Pattern, Run, Stretch, StretchKind, TIE_SPACING_M, Turn, WayOut, bulb_length_m, bulb_reach_m,
    lay, lay_boards, lay_deck,
};
pub use tape::tape;

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
