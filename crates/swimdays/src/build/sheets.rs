//! What fits on each heater's boards, what it weighs and what holds it.

use swimdays_build::{
    Along, Board, Boards, BuildError, DeckRequest, ExitEdge, Exposed, Holding, Joint,
    LayoutRequest, Load, Pattern, Place, Run, SheetStock, Stand, Stretch, StretchKind, Tube, Turn,
    WindLoad, drainage, frame, lay_boards, lay_deck,
};
use swimdays_collector::{BoardSpec, DeckSpec, Layout, Placement, TubeSpec};
use swimdays_quantity::Units;
use swimdays_report::build::{HeaterLayout, HeaterSheet};
use swimdays_scenario::{HeaterBuild, Scenario, TurnWord};
use swimdays_season::HeaterPlan;

use super::advice;
use super::cautions::place_of;
use super::real;

/// Smallest distance of rows that two elbows make, over the tube's outside diameter (common practice, no source).
const ELBOWS_DIAMETERS: f64 = 3.0;
/// A layout of less than this share of the wanted length is refused: it answers another question (own choice).
const LEAST_FRAC: f64 = 0.5;
/// Share of the tube for which a hose may leave at another side than it comes in (own choice).
const WORTH_FRAC: f64 = 0.02;
/// Steps in which the width of a deck run is taken where nothing is written, m: half a foot or a tenth of a metre.
const DECK_STEP_M: (f64, f64) = (0.152_4, 0.1);
/// Slack of sheets: what a tape cannot tell.
const SLACK: f64 = 1.005;
/// Foam's density, kg/m³, and conductivity, W/(m K): 15 to 40 and 0.03 to 0.04 (from memory).
const FOAM: (f64, f64) = (30.0, 0.036);
/// Thickness of a clear lid, m (common practice, no source).
const LID_M: f64 = 0.006;

pub(super) fn tube(spec: &TubeSpec, own: &HeaterBuild) -> Tube {
    Tube {
        material: spec.material,
        outer_diameter_m: spec.outer_diameter_m,
        bore_m: spec.bore_m,
        makers_bend_radius_m: own.bend_radius_m,
    }
}

/// Whether a board is cut from one of these sheets.
pub(super) fn on_a_sheet(board: &Board, sheets: &[SheetStock]) -> bool {
    let (l, w) = (board.length_m, board.width_m);
    sheets.iter().any(|s| {
        let (a, b) = (s.length_m * SLACK, s.width_m * SLACK);
        (l <= a && w <= b) || (l <= b && w <= a)
    })
}

/// Boards of a heater: how many, and length and width of each, m.
pub(super) fn boards_of(
    spec: &BoardSpec,
    own: &HeaterBuild,
    scenario: &Scenario,
) -> (usize, f64, f64) {
    let sheets = &scenario.build.shop.sheets;
    let circuits = spec.tube.parallel_circuits as usize;
    let fits = |length_m: f64, width_m: f64| {
        let board = Board {
            length_m,
            width_m,
            margin_m: 0.0,
        };
        on_a_sheet(&board, sheets)
    };
    let given = scenario.build.boards.map(|n| n as usize);
    if let Some((length, width)) = own.sides_m {
        let (long, short) = (length.max(width), length.min(width));
        let least = given.unwrap_or(1).max(circuits);
        let most = if given.is_some() { least } else { 200 };
        for n in least..=most {
            if n == 1 && fits(length, width) {
                return (1, long, short);
            }
            if fits(long / real(n), short) || given.is_some() {
                return (n, (long / real(n)).max(short), (long / real(n)).min(short));
            }
        }
        return (least, long / real(least), short);
    }
    let sheet = sheets.first().map_or((2.4384, 1.2192), |s| {
        (s.length_m.max(s.width_m), s.length_m.min(s.width_m))
    });
    let area = sheet.0 * sheet.1;
    let by_area = (1..=200)
        .find(|n| spec.board_area_m2 <= real(*n) * area * SLACK)
        .unwrap_or(200);
    let n = given.unwrap_or(by_area).max(circuits);
    let each = spec.board_area_m2 / real(n);
    if (each - area).abs() <= 0.01 * area {
        (n, sheet.0, sheet.1)
    } else if each > area {
        (n, each / sheet.1, sheet.1)
    } else if spec.layout == Layout::Serpentine && each / sheet.0 >= 0.5 * sheet.1 {
        // Long rows have few turns.
        (n, sheet.0, each / sheet.0)
    } else {
        // A spiral loses least in its middle where the board is nearly square: the sheet is cut across.
        let across = each / sheet.1;
        let (a, b) = if across >= 0.5 * sheet.1 {
            (across, sheet.1)
        } else {
            (each.sqrt(), each.sqrt())
        };
        (n, a.max(b), a.min(b))
    }
}

pub(super) fn lay_all(
    request: &LayoutRequest,
    boards: usize,
    turns: TurnWord,
) -> Result<Boards, BuildError> {
    let with = |pattern| {
        lay_boards(
            &LayoutRequest {
                pattern,
                ..*request
            },
            boards,
            Joint::Cut,
        )
    };
    let Pattern::Serpentine { along, .. } = request.pattern else {
        return lay_boards(request, boards, Joint::Cut);
    };
    let least_pitch_m = ELBOWS_DIAMETERS * request.tube.outer_diameter_m;
    match turns {
        TurnWord::Round => with(Pattern::Serpentine {
            turn: Turn::Round,
            along,
        }),
        TurnWord::Bulb => with(Pattern::Serpentine {
            turn: Turn::Bulb,
            along,
        }),
        TurnWord::Elbows => with(Pattern::Serpentine {
            turn: Turn::Elbows { least_pitch_m },
            along,
        }),
        TurnWord::AsFits => match with(Pattern::Serpentine {
            turn: Turn::Round,
            along,
        }) {
            Err(BuildError::Kinks { .. }) => with(Pattern::Serpentine {
                turn: Turn::Bulb,
                along,
            }),
            other => other,
        },
    }
}

/// The layout with the exit edge that is asked for. Where none is asked for: on the same edge, so that both hoses reach one
/// side; but on any where that leaves more than half a ring over, and more of the tube than is worth a hose to another side.
pub(super) fn lay_best(
    request: &LayoutRequest,
    boards: usize,
    turns: TurnWord,
    asked: Option<ExitEdge>,
) -> Result<Boards, BuildError> {
    let with = |exit| lay_all(&LayoutRequest { exit, ..*request }, boards, turns);
    if let Some(exit) = asked {
        return with(exit);
    }
    let same = with(ExitEdge::Same);
    let worth_m = WORTH_FRAC * request.wanted_m.unwrap_or(0.0);
    let over_m = match &same {
        Ok(same) if same.left_over_m > half_rings_m(same).max(worth_m) => same.left_over_m,
        Err(BuildError::WantedTooShort { .. }) => f64::INFINITY,
        _ => return same,
    };
    match with(ExitEdge::Any) {
        Ok(any) if any.left_over_m < over_m => Ok(any),
        _ => same,
    }
}

/// Half of the innermost ring of every spiral, m.
fn half_rings_m(boards: &Boards) -> f64 {
    let last = |run: &Run| {
        let mut rings = run.stretches.iter().filter(|s| s.kind == StretchKind::Ring);
        rings.next_back().map_or(0.0, Stretch::length_m)
    };
    let runs = boards.layouts.iter().flat_map(|l| &l.runs);
    0.5 * runs.map(last).sum::<f64>()
}

pub(super) struct Sheets<'s> {
    pub(super) scenario: &'s Scenario,
}

impl Sheets<'_> {
    pub(super) fn wind(
        &self,
        plan: &HeaterPlan,
        own: &HeaterBuild,
        area_m2: f64,
        slope_m: f64,
        dry_kg: f64,
        lies: bool,
    ) -> Result<Holding, BuildError> {
        let b = &self.scenario.build;
        let exposed = match place_of(self.scenario, plan, own) {
            Place::Roof => exposed(true, lies || plan.plane.tilt_deg < 1.0),
            _ if lies && plan.plane.tilt_deg > 45.0 => Exposed::OnRoofOrWall,
            _ if lies || plan.plane.tilt_deg < 1.0 => Exposed::FlatOnGround,
            _ => exposed(false, false),
        };
        // The heater's height is that of its middle.
        let above_ground_m = plan.height_above_water_m - b.ground_m;
        let derived_m = if exposed == Exposed::Free {
            (above_ground_m - 0.5 * slope_m * plan.plane.tilt_deg.to_radians().sin()).max(0.0)
        } else {
            0.0
        };
        WindLoad {
            gust_m_s: b.gust_m_s,
            exposed,
            area_m2,
            slope_length_m: slope_m,
            tilt_deg: plan.plane.tilt_deg,
            lower_edge_m: b.lower_edge_m.unwrap_or(derived_m),
            stand_depth_m: b.stand_depth_m.unwrap_or(0.0),
            dry_kg,
        }
        .holding()
    }

    pub(super) fn board(
        &self,
        plan: &HeaterPlan,
        own: &HeaterBuild,
        spec: &BoardSpec,
    ) -> Result<HeaterSheet, BuildError> {
        let b = &self.scenario.build;
        let scenario_units = self.scenario.units;
        let (n, length_m, width_m) = boards_of(spec, own, self.scenario);
        let board = Board {
            length_m,
            width_m,
            margin_m: b.margin_m,
        };
        let pattern = match spec.layout {
            Layout::RoundSpiral { .. } => Pattern::RoundSpiral,
            Layout::RectangularSpiral => Pattern::RectangularSpiral,
            Layout::Serpentine => Pattern::Serpentine {
                turn: Turn::Round,
                along: Along::Length,
            },
        };
        let tube = tube(&spec.tube, own);
        let request = LayoutRequest {
            tube,
            board,
            pitch_m: spec.pitch_m,
            pattern,
            way_out: b.way_out,
            exit: b.exit.unwrap_or_default(),
            wanted_m: Some(spec.tube.length_m),
            tie_spacing_m: b.tie_spacing_m,
        };
        let boards = lay_best(&request, n, b.turns, b.exit).map_err(|e| {
            if let BuildError::Kinks {
                place,
                radius_m,
                least_m,
                ..
            } = e
                && spec.layout == Layout::Serpentine
            {
                let instead = advice::wider_rows(&request, n, b.turns, &plan.name, scenario_units);
                return BuildError::Kinks {
                    place,
                    radius_m,
                    least_m,
                    instead,
                };
            }
            e
        })?;
        if boards.laid_m < LEAST_FRAC * spec.tube.length_m {
            return Err(advice::little_fits(
                &request,
                &boards,
                (b.turns, b.exit),
                &b.shop.sheets,
                &plan.name,
                scenario_units,
            ));
        }
        let each_m = boards.layouts.first().map_or(0.0, |l| l.laid_m);
        let studs: f64 = frame(length_m, width_m, b.shop.stud_section_m)
            .iter()
            .map(|p| p.length_m)
            .sum();
        let area = board.area_m2();
        let weight = Load {
            tube,
            tube_m: each_m,
            board_m2: area,
            board: spec.board,
            board_thickness_m: spec.board_thickness_m,
            wood_m3: studs * b.shop.stud_section_m.0 * b.shop.stud_section_m.1,
            insulation: insulated(spec).then_some((spec.back_insulation_m2_k_w * FOAM.1, FOAM.0)),
            lid_thickness_m: spec.lid.map(|_| LID_M),
            painted_m2: if b.paint_both_sides { 2.0 * area } else { area },
        }
        .weigh();
        let lies = !spec.back_exposed;
        let holding = self.wind(plan, own, area, width_m, weight.dry_kg, lies)?;
        let stand = Stand {
            tilt_deg: plan.plane.tilt_deg,
            length_is_level: true,
            row_fall: 0.0,
        };
        Ok(HeaterSheet {
            names: vec![plan.name.clone()],
            sides_taken: own.sides_m.is_none(),
            wanted_m: spec.tube.length_m,
            weight: Some(weight),
            holding: Some(holding),
            drainage: boards.layouts.first().map(|l| drainage(l, &stand)),
            water_m3: tube.water_m3_m() * boards.laid_m,
            layout: HeaterLayout::Boards(Box::new(boards)),
        })
    }

    pub(super) fn deck(
        &self,
        plan: &HeaterPlan,
        own: &HeaterBuild,
        spec: &DeckSpec,
    ) -> Result<HeaterSheet, BuildError> {
        let b = &self.scenario.build;
        let tube = tube(&spec.tube, own);
        let radius = tube.bend_radius_m();
        let step_m = match self.scenario.units {
            Units::Us => DECK_STEP_M.0,
            Units::Metric => DECK_STEP_M.1,
        };
        // Room for the turns at both ends; as wide as long beyond that.
        let side = (spec.spacing_m * spec.tube.length_m).sqrt() + 4.0 * radius;
        let side = (side / step_m).ceil() * step_m;
        let request = |length_m: f64, width_m: f64| DeckRequest {
            tube,
            length_m,
            width_m,
            margin_m: 0.0,
            spacing_m: spec.spacing_m,
            depth_m: match spec.placement {
                Placement::OnSurface { .. } => 0.0,
                Placement::InSlab { depth_m } | Placement::InSoil { depth_m } => depth_m,
            },
            wanted_m: Some(spec.tube.length_m),
        };
        let (length_m, width_m) = match b.deck_m {
            (Some(l), Some(w)) => (l, w),
            (Some(l), None) | (None, Some(l)) => (l, (side * side / l).max(4.0 * radius)),
            (None, None) => (side, side),
        };
        let mut deck = lay_deck(&request(length_m, width_m))?;
        if b.deck_m.1.is_none() {
            // No wider than its rows need.
            let (laid_m, mut narrow_m) = (deck.layout.laid_m, width_m - step_m);
            while let Ok(same) = lay_deck(&request(length_m, narrow_m)) {
                if same.layout.laid_m < laid_m - 1e-9 {
                    break;
                }
                deck = same;
                narrow_m -= step_m;
            }
        }
        if deck.layout.laid_m < LEAST_FRAC * spec.tube.length_m {
            return Err(advice::little_deck(
                &request(length_m, width_m),
                &deck,
                self.scenario.units,
            ));
        }
        Ok(HeaterSheet {
            names: vec![plan.name.clone()],
            sides_taken: b.deck_m.0.is_none() || b.deck_m.1.is_none(),
            wanted_m: spec.tube.length_m,
            weight: None,
            holding: None,
            drainage: None,
            water_m3: tube.water_m3_m() * deck.layout.laid_m,
            layout: HeaterLayout::Deck(Box::new(deck)),
        })
    }
}

pub(super) const fn exposed(roof: bool, lies: bool) -> Exposed {
    match (roof, lies) {
        (true, false) => Exposed::RackOnRoof,
        (_, true) => Exposed::OnRoofOrWall,
        (false, false) => Exposed::Free,
    }
}

pub(super) fn insulated(spec: &BoardSpec) -> bool {
    spec.back_exposed && spec.back_insulation_m2_k_w > 0.0
}

/// The same but for name and cost: they are told and drawn once.
pub(super) fn alike(a: (&HeaterPlan, &HeaterBuild), b: (&HeaterPlan, &HeaterBuild)) -> bool {
    a.0.spec == b.0.spec
        && a.0.plane == b.0.plane
        && a.1.sides_m == b.1.sides_m
        && a.1.bend_radius_m == b.1.bend_radius_m
        && a.1.roof == b.1.roof
}

/// Another heater like one before: its boards join theirs.
pub(super) fn add_alike(sheet: &mut HeaterSheet, plan: &HeaterPlan) {
    let before = real(sheet.names.len());
    let more = |all: f64| all * (before + 1.0) / before;
    sheet.names.push(plan.name.clone());
    sheet.wanted_m = more(sheet.wanted_m);
    sheet.water_m3 = more(sheet.water_m3);
    if let HeaterLayout::Boards(b) = &mut sheet.layout {
        let each = b.layouts.len() / (sheet.names.len() - 1);
        let layouts: Vec<_> = b.layouts.iter().take(each).cloned().collect();
        b.layouts.extend(layouts);
        b.starts_m.resize(b.layouts.len(), 0.0);
        b.laid_m = more(b.laid_m);
        b.fits_m = more(b.fits_m);
        b.left_over_m = more(b.left_over_m);
    }
}
