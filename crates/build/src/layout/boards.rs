//! One tube over several boards, uncut or a piece for each.

use super::{BoardLayout, LayoutRequest, lay};
use crate::error::within;
use crate::{BuildError, real};

/// How the tube comes from board to board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Joint {
    /// One tube through all: no fitting between them, but the boards cannot be moved apart.
    Through {
        /// Tube between two boards, m.
        between_m: f64,
    },
    /// A tube for each board, joined outside with hose and two fittings, or led side by side to a manifold.
    Cut,
}

/// Several like boards with their tube.
#[derive(Clone, Debug, PartialEq)]
pub struct Boards {
    /// Boards that carry tube, in flow order.
    pub layouts: Vec<BoardLayout>,
    /// How they are joined.
    pub joint: Joint,
    /// Running length of an uncut tube where it comes onto each board, m; 0 for every board when cut.
    pub starts_m: Vec<f64>,
    /// Boards for which no tube was left.
    pub empty_boards: usize,
    /// Tube between the boards, m.
    pub between_m: f64,
    /// Tube in all, with what lies between the boards, m.
    pub laid_m: f64,
    /// Wanted, but without a place, m.
    pub left_over_m: f64,
    /// Most that these boards take, m.
    pub fits_m: f64,
}

/// Lays the wanted length over `boards` like boards.
///
/// Uncut tube fills board after board; cut tube is shared out evenly.
///
/// # Errors
/// As [`lay`]; no boards, or more than a thousand.
pub fn lay_boards(
    request: &LayoutRequest,
    boards: usize,
    joint: Joint,
) -> Result<Boards, BuildError> {
    within("number of boards", real(boards), 1.0, 1_000.0)?;
    if let Joint::Through { between_m } = joint {
        within("tube between boards, m", between_m, 0.0, 100.0)?;
    }
    let full = lay(&LayoutRequest {
        wanted_m: None,
        ..*request
    })?;
    let gaps = real(boards - 1);
    let (mut layouts, mut starts_m) = (Vec::new(), Vec::new());
    let mut between = 0.0;
    let fits_m = match joint {
        Joint::Through { between_m } => real(boards) * full.laid_m + gaps * between_m,
        Joint::Cut => real(boards) * full.laid_m,
    };
    match (joint, request.wanted_m) {
        (Joint::Cut, wanted) => {
            let each = lay(&LayoutRequest {
                wanted_m: wanted.map(|w| w / real(boards)),
                ..*request
            })?;
            layouts = vec![each; boards];
            starts_m = vec![0.0; boards];
        }
        (Joint::Through { between_m }, wanted) => {
            let mut run_m = 0.0;
            for i in 0..boards {
                let gap = if i == 0 { 0.0 } else { between_m };
                let left = wanted.map(|w| w - run_m - gap);
                let here = lay(&LayoutRequest {
                    wanted_m: left.map(|l| l.max(0.01)),
                    ..*request
                });
                match here {
                    Ok(layout) => {
                        run_m += gap;
                        between += gap;
                        starts_m.push(run_m);
                        run_m += layout.laid_m;
                        layouts.push(layout);
                    }
                    // What is left no longer makes a layout: it stays over.
                    Err(BuildError::WantedTooShort { .. }) if i > 0 => break,
                    Err(other) => return Err(other),
                }
            }
        }
    }
    let laid_m = between + layouts.iter().map(|l| l.laid_m).sum::<f64>();
    Ok(Boards {
        empty_boards: boards - layouts.len(),
        layouts,
        joint,
        starts_m,
        between_m: between,
        laid_m,
        left_over_m: request.wanted_m.map_or(0.0, |w| (w - laid_m).max(0.0)),
        fits_m,
    })
}
