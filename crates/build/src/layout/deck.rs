//! Tube on, in or below a deck: rows over an area.

use super::{
    Along, Board, BoardLayout, ExitEdge, LayoutRequest, Pattern, TIE_SPACING_M, Turn, WayOut, lay,
};
use crate::bend::Tube;
use crate::error::within;
use crate::{BuildError, real};

/// A deck run as wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DeckRequest {
    /// The tube.
    pub tube: Tube,
    /// Length of the area, m.
    pub length_m: f64,
    /// Width of the area, m.
    pub width_m: f64,
    /// Kept free along the edges, m.
    pub margin_m: f64,
    /// Between the axes of neighbouring rows, m.
    pub spacing_m: f64,
    /// From the surface to the tube's axis, m; 0 on the surface.
    pub depth_m: f64,
    /// Tube at hand, m; as much as fits when absent.
    pub wanted_m: Option<f64>,
}

/// A deck run as it can be laid.
#[derive(Clone, Debug, PartialEq)]
pub struct DeckLayout {
    /// Its rows.
    pub layout: BoardLayout,
    /// How many.
    pub rows: usize,
    /// From the surface to the axis, m.
    pub depth_m: f64,
    /// Depth to dig or form below the tube's lower side, m; 0 on the surface.
    pub bed_depth_m: f64,
    /// Soil or fill above and around it, m³, when the whole area is opened to that depth.
    pub fill_m3: f64,
    /// Rows are joined by bulbs, since half circles would kink.
    pub bulbs: bool,
}

/// Lays rows over the area: half circles when the spacing allows them, else bulbs.
///
/// # Errors
/// As [`lay`]; a depth above 2 m.
pub fn lay_deck(request: &DeckRequest) -> Result<DeckLayout, BuildError> {
    within("depth of the tube, m", request.depth_m, 0.0, 2.0)?;
    let board = LayoutRequest {
        tube: request.tube,
        board: Board {
            length_m: request.length_m,
            width_m: request.width_m,
            margin_m: request.margin_m,
        },
        pitch_m: request.spacing_m,
        pattern: Pattern::Serpentine {
            turn: Turn::Round,
            along: if request.length_m >= request.width_m {
                Along::Length
            } else {
                Along::Width
            },
        },
        way_out: WayOut::Over,
        exit: ExitEdge::Same,
        wanted_m: request.wanted_m,
        tie_spacing_m: TIE_SPACING_M,
    };
    let (layout, bulbs) = match lay(&board) {
        Err(BuildError::Kinks { .. }) => {
            let Pattern::Serpentine { along, .. } = board.pattern else {
                return lay(&board).map(|layout| of(request, layout, false));
            };
            let pattern = Pattern::Serpentine {
                turn: Turn::Bulb,
                along,
            };
            (lay(&LayoutRequest { pattern, ..board })?, true)
        }
        other => (other?, false),
    };
    Ok(of(request, layout, bulbs))
}

fn of(request: &DeckRequest, layout: BoardLayout, bulbs: bool) -> DeckLayout {
    let rows = layout
        .runs
        .iter()
        .flat_map(|r| &r.stretches)
        .filter(|s| s.kind == super::StretchKind::Row)
        .count();
    let bed_depth_m = if request.depth_m > 0.0 {
        request.depth_m + 0.5 * request.tube.outer_diameter_m
    } else {
        0.0
    };
    // Rows times spacing: what lies beyond the outer rows need not be opened.
    let opened = (real(rows) * request.spacing_m).min(request.width_m.min(request.length_m));
    DeckLayout {
        rows,
        depth_m: request.depth_m,
        bed_depth_m,
        fill_m3: bed_depth_m * opened * request.length_m.max(request.width_m),
        bulbs,
        layout,
    }
}
