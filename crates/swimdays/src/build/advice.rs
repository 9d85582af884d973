//! What would work where a layout does not: numbers to write, with their keys.

use swimdays_build::{
    Board, Boards, BuildError, DeckLayout, DeckRequest, ExitEdge, LayoutRequest, SheetStock, Tube,
    lay_deck, running, tape,
};
use swimdays_quantity::Units;
use swimdays_scenario::TurnWord;

use super::real;
use super::sheets::{lay_all, lay_best, on_a_sheet};

/// A length to write, rounded to quarter inches or millimetres.
fn fine(length_m: f64, up: bool, units: Units) -> (f64, String) {
    let (step_m, each, unit) = match units {
        Units::Us => (0.25 * 0.0254, 0.25, "in"),
        Units::Metric => (1e-3, 1.0, "mm"),
    };
    let steps = length_m / step_m;
    let steps = if up {
        (steps - 1e-9).ceil()
    } else {
        (steps + 1e-9).floor()
    };
    (steps * step_m, format!("{} {unit}", steps * each))
}

/// A side to write: half feet or tenths of a metre up.
fn coarse_m(length_m: f64, units: Units) -> f64 {
    let step_m = match units {
        Units::Us => 0.5 * 0.304_8,
        Units::Metric => 0.1,
    };
    (length_m / step_m - 1e-9).ceil() * step_m
}

/// Rows as far apart as the tube can turn, and how much then lies there.
pub(super) fn wider_rows(
    request: &LayoutRequest,
    boards: usize,
    turns: TurnWord,
    name: &str,
    units: Units,
) -> String {
    let (least_m, d) = (request.tube.bend_radius_m(), request.tube.outer_diameter_m);
    let needed_m = if turns == TurnWord::Round {
        2.0 * least_m
    } else {
        least_m + 0.5 * d
    };
    let (pitch_m, written) = fine(needed_m, true, units);
    let spiral =
        format!("heater.{name}.board.layout = \"rectangular-spiral\", whose rows may touch");
    let wide = lay_all(
        &LayoutRequest {
            pitch_m,
            wanted_m: None,
            ..*request
        },
        boards,
        turns,
    );
    let wanted_m = request.wanted_m.unwrap_or(0.0);
    match wide {
        Ok(wide) if wide.fits_m >= wanted_m => {
            format!("write heater.{name}.board.spacing = \"{written}\", or {spiral}")
        }
        Ok(wide) => format!(
            "write {spiral}, or heater.{name}.board.spacing = \"{written}\" with a larger board: here {} of {} would lie that far apart",
            running(wide.fits_m, units),
            running(wanted_m, units)
        ),
        Err(_) => format!(
            "write {spiral}; rows would have to be {written} apart (heater.{name}.board.spacing), for which this board is too small"
        ),
    }
}

/// Less than half lies there: how large a board or how tight a tube takes it all.
pub(super) fn little_fits(
    request: &LayoutRequest,
    found: &Boards,
    (turns, exit): (TurnWord, Option<ExitEdge>),
    sheets: &[SheetStock],
    name: &str,
    units: Units,
) -> BuildError {
    let n = found.layouts.len();
    let wanted_m = request.wanted_m.unwrap_or(0.0);
    let takes = |request: &LayoutRequest| {
        lay_best(request, n, turns, exit).is_ok_and(|b| b.fits_m >= wanted_m)
    };
    let mut ways = Vec::new();
    let larger = (1..=90).map(|i| 1.0 + 0.1 * real(i)).find_map(|scale| {
        let board = Board {
            length_m: coarse_m(request.board.length_m * scale, units),
            width_m: coarse_m(request.board.width_m * scale, units),
            ..request.board
        };
        takes(&LayoutRequest { board, ..*request }).then_some(board)
    });
    if let Some(board) = larger {
        let (long, wide) = (tape(board.length_m, units), tape(board.width_m, units));
        let in_all = tape(real(n) * board.length_m, units);
        let each = if n == 1 {
            "a board of".to_owned()
        } else {
            format!("{n} boards of")
        };
        let count = if n == 1 {
            String::new()
        } else {
            format!(", build.boards = {n}")
        };
        let sheets = if on_a_sheet(&board, sheets) {
            String::new()
        } else {
            format!(" and, as no sheet is so large, shop.sheets = [\"{long} x {wide}\"]")
        };
        ways.push(format!(
            "{each} {long} × {wide} (heater.{name}.board.area = \"{in_all} x {wide}\"{count}{sheets})"
        ));
    }
    let least_m = request.tube.bend_radius_m();
    let tighter = (1..=60).find_map(|i| {
        let (radius_m, written) = fine(least_m * 0.95_f64.powi(i), false, units);
        let tube = Tube {
            makers_bend_radius_m: Some(radius_m),
            ..request.tube
        };
        (radius_m >= request.tube.outer_diameter_m && takes(&LayoutRequest { tube, ..*request }))
            .then_some(written)
    });
    if let Some(written) = tighter {
        ways.push(format!(
            "a tube that bends to {written} (heater.{name}.tube.bend_radius)"
        ));
    }
    ways.push(format!("{} of tube at most", running(found.fits_m, units)));
    BuildError::LittleFits {
        fits_m: found.laid_m,
        wanted_m,
        sides_m: (request.board.length_m, request.board.width_m),
        boards: n,
        least_m,
        instead: format!("take {}", ways.join(", or ")),
    }
}

/// The same of a deck: its sides and the distance of its rows.
pub(super) fn little_deck(request: &DeckRequest, found: &DeckLayout, units: Units) -> BuildError {
    let wanted_m = request.wanted_m.unwrap_or(0.0);
    let larger = (1..=200).map(|i| 1.0 + 0.1 * real(i)).find_map(|scale| {
        let (length_m, width_m) = (
            coarse_m(request.length_m * scale, units),
            coarse_m(request.width_m * scale, units),
        );
        let larger = DeckRequest {
            length_m,
            width_m,
            ..*request
        };
        lay_deck(&larger)
            .is_ok_and(|d| d.layout.fits_m >= wanted_m)
            .then_some((length_m, width_m))
    });
    let larger = larger.map_or(String::new(), |(length_m, width_m)| {
        format!(
            "a deck of {} × {} (build.deck_length and build.deck_width), or ",
            tape(length_m, units),
            tape(width_m, units)
        )
    });
    BuildError::LittleFits {
        fits_m: found.layout.laid_m,
        wanted_m,
        sides_m: (request.length_m, request.width_m),
        boards: 1,
        least_m: request.tube.bend_radius_m(),
        instead: format!(
            "take {larger}{} of tube at most",
            running(found.layout.fits_m, units)
        ),
    }
}
