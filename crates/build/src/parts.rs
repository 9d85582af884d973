//! The shopping list and the cut list.

use swimdays_quantity::Units;

use crate::cut::{BarPlan, BarStock, Panel, Piece, SheetPlan, SheetStock, plan_bars, plan_sheets};
use crate::error::within;
use crate::layout::Boards;
use crate::shop::{Pack, Shop, packs_for};
use crate::{BuildError, real, running, tape};

/// A counted thing: elbows, clamps, valves, the pump.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// As the shop's list names it.
    pub name: String,
    /// Its size, in words, said behind the name; empty where none is known. A price for name and size goes before one of the
    /// name alone.
    pub size: String,
    /// How many.
    pub count: usize,
}

impl Item {
    /// The line of the shopping list.
    #[must_use]
    pub fn part(&self, shop: &Shop) -> Part {
        let what = [self.name.as_str(), self.size.as_str()]
            .join(" ")
            .trim_end()
            .to_owned();
        let price = shop.price_of(&what).or_else(|| shop.price_of(&self.name));
        Part {
            kind: self.name.clone(),
            what,
            count: self.count,
            needed: self.count.to_string(),
            left_over: String::new(),
            price,
            cost: price.map(|p| p * real(self.count)),
        }
    }
}

/// What is to be built.
#[derive(Clone, Debug, PartialEq)]
pub struct BuildList {
    /// Boards with their tube.
    pub boards: Boards,
    /// Studs behind one board, m each, as on [`frame`].
    pub frame: Vec<Piece>,
    /// Connecting runs, m each, cut from hose.
    pub connecting: Vec<Piece>,
    /// Fittings, valves, pump and all else by the piece.
    pub items: Vec<Item>,
    /// Both sides and the edges are painted; otherwise the front alone.
    pub paint_both_sides: bool,
    /// Behind each board.
    pub insulated: bool,
    /// A clear lid over each board.
    pub lid: bool,
    /// Thickness of a board, m: its edges are painted too.
    pub board_thickness_m: f64,
}

/// A line of the shopping list.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Stable name: `board`, `stud`, `tube`, `hose`, `paint`, `tie`, `screw`, `insulation`, `lid`, or the item's own.
    pub kind: String,
    /// What is bought, in words: "4 ft × 8 ft sheet".
    pub what: String,
    /// Whole sale units.
    pub count: usize,
    /// How much is needed, in words.
    pub needed: String,
    /// Over afterwards, in words; empty when nothing is.
    pub left_over: String,
    /// Of one.
    pub price: Option<f64>,
    /// Of all.
    pub cost: Option<f64>,
}

/// What to buy and cut.
#[derive(Clone, Debug, PartialEq)]
pub struct PartsList {
    /// Lines in the order of a walk through the shop.
    pub parts: Vec<Part>,
    /// Sum of the lines that have a price; none when no line has.
    pub priced_cost: Option<f64>,
    /// Kinds without a price, which the sum leaves out.
    pub not_priced: Vec<String>,
    /// How sheets are cut.
    pub sheet_plan: SheetPlan,
    /// Boards as cut, for the plan's indices.
    pub panels: Vec<Panel>,
    /// How studs are cut.
    pub stud_plan: BarPlan,
    /// Studs as cut, for the plan's indices.
    pub stud_pieces: Vec<Piece>,
    /// How tube is cut from coils.
    pub tube_plan: BarPlan,
    /// Tubes as cut.
    pub tube_pieces: Vec<Piece>,
    /// How hose is cut.
    pub hose_plan: BarPlan,
    /// Painted area, all boards, m².
    pub painted_m2: f64,
    /// Paint, litres.
    pub paint_l: f64,
    /// Ties.
    pub ties: usize,
}

/// Waste of ties and paint, and tube that sits in fittings: bought this share above the count (common practice, no source).
const SPARE_FRAC: f64 = 0.1;
/// Screws along studs, m apart (common practice, no source: 6 to 8 in).
const SCREW_SPACING_M: f64 = 0.18;
/// Studs stand at most this far apart behind a board, m: 24 in (common practice, no source).
pub const STUD_SPACING_M: f64 = 0.609_6;

/// Studs behind one board: two along its length at the edges, and cross pieces between them no further apart than
/// [`STUD_SPACING_M`].
#[must_use]
pub fn frame(length_m: f64, width_m: f64, stud_section_m: (f64, f64)) -> Vec<Piece> {
    let thick = stud_section_m.0;
    let mut out = vec![
        Piece {
            name: "long stud".into(),
            length_m,
        };
        2
    ];
    let gaps = crate::whole((length_m / STUD_SPACING_M - 1e-9).ceil()).max(1);
    let between = width_m - 2.0 * thick;
    if between > 0.0 {
        out.extend((0..=gaps).map(|_| Piece {
            name: "cross piece".into(),
            length_m: between,
        }));
    }
    out
}

/// The parts list.
///
/// # Errors
/// A board larger than every sheet, a piece longer than every stud, coil or hose; an empty shelf for something that is needed.
pub fn parts_list(list: &BuildList, shop: &Shop, units: Units) -> Result<PartsList, BuildError> {
    within("coverage of paint, m²/L", shop.coverage_m2_l, 0.5, 50.0)?;
    let boards = &list.boards.layouts;
    let panels: Vec<Panel> = boards
        .iter()
        .enumerate()
        .map(|(i, b)| Panel {
            name: format!("board {}", i + 1),
            length_m: b.request.board.length_m,
            width_m: b.request.board.width_m,
            may_turn: true,
        })
        .collect();
    let stud_pieces: Vec<Piece> = boards.iter().flat_map(|_| list.frame.clone()).collect();
    let tube_pieces = tubes(&list.boards);
    // A saw wastes wood; tube is cut with a knife.
    let sheet_plan = plan_sheets(&panels, &shop.sheets, shop.kerf_m)?;
    let bars = |pieces: &[Piece], stock: &[BarStock], kerf: f64| {
        if pieces.is_empty() {
            plan_bars(
                &[],
                &[BarStock {
                    length_m: 1.0,
                    price: None,
                }],
                kerf,
            )
        } else {
            plan_bars(pieces, stock, kerf)
        }
    };
    let stud_plan = bars(&stud_pieces, &shop.studs, shop.kerf_m)?;
    let tube_plan = bars(&tube_pieces, &shop.coils, 0.0)?;
    let hose_plan = bars(&list.connecting, &shop.hose, 0.0)?;
    let painted_m2: f64 = panels
        .iter()
        .map(|p| {
            let face = p.length_m * p.width_m;
            let edges = 2.0 * (p.length_m + p.width_m) * list.board_thickness_m;
            if list.paint_both_sides {
                2.0 * face + edges
            } else {
                face
            }
        })
        .sum();
    let paint_l = painted_m2 * real(shop.coats) / shop.coverage_m2_l;
    let ties: usize = boards.iter().map(super::layout::BoardLayout::ties).sum();
    let studs_m: f64 = stud_pieces.iter().map(|p| p.length_m).sum();
    let screws = (studs_m / SCREW_SPACING_M).ceil();
    let area: f64 = panels.iter().map(|p| p.length_m * p.width_m).sum();

    let tube_name = boards.first().map_or_else(String::new, |b| {
        format!("coil of {}", b.request.tube.sold_as(units))
    });
    let mut parts = Vec::new();
    sheet_lines(
        &mut parts,
        "board",
        "sheet",
        &sheet_plan,
        &shop.sheets,
        &panels,
        units,
    );
    bar_lines(&mut parts, "stud", "stud", &stud_plan, &shop.studs, units);
    bar_lines(
        &mut parts,
        "tube",
        &tube_name,
        &tube_plan,
        &shop.coils,
        units,
    );
    bar_lines(
        &mut parts,
        "hose",
        "hose or pipe",
        &hose_plan,
        &shop.hose,
        units,
    );
    let spare = 1.0 + SPARE_FRAC;
    pack_lines(&mut parts, "paint", paint_l * spare, &shop.paint, &|v| {
        litres(v, units)
    })?;
    pack_lines(
        &mut parts,
        "tie",
        (real(ties) * spare).ceil(),
        &shop.ties,
        &pieces,
    )?;
    pack_lines(
        &mut parts,
        "screw",
        (screws * spare).ceil(),
        &shop.screws,
        &pieces,
    )?;
    if list.insulated {
        pack_lines(&mut parts, "insulation", area, &shop.insulation, &|v| {
            units.format_area(v, 1)
        })?;
    }
    if list.lid {
        let plan = plan_sheets(&panels, &shop.lid_sheets, shop.kerf_m)?;
        sheet_lines(
            &mut parts,
            "lid",
            "clear sheet",
            &plan,
            &shop.lid_sheets,
            &panels,
            units,
        );
    }
    for item in list.items.iter().filter(|i| i.count > 0) {
        parts.push(item.part(shop));
    }
    let priced: Vec<f64> = parts.iter().filter_map(|p| p.cost).collect();
    let mut not_priced: Vec<String> = parts
        .iter()
        .filter(|p| p.cost.is_none())
        .map(|p| p.kind.clone())
        .collect();
    not_priced.dedup();
    Ok(PartsList {
        priced_cost: (!priced.is_empty()).then(|| priced.iter().sum()),
        not_priced,
        parts,
        sheet_plan,
        panels,
        stud_plan,
        stud_pieces,
        tube_plan,
        tube_pieces,
        hose_plan,
        painted_m2,
        paint_l,
        ties,
    })
}

/// The tubes to cut: one through all boards, or one a board.
fn tubes(boards: &Boards) -> Vec<Piece> {
    match boards.joint {
        crate::Joint::Through { .. } => vec![Piece {
            name: "tube".into(),
            length_m: boards.laid_m,
        }],
        crate::Joint::Cut => boards
            .layouts
            .iter()
            .enumerate()
            .map(|(i, b)| Piece {
                name: format!("tube of board {}", i + 1),
                length_m: b.laid_m,
            })
            .collect(),
    }
}

fn litres(value: f64, units: Units) -> String {
    match units {
        Units::Us => units.format_volume(value * 1e-3, 2),
        Units::Metric => format!("{value:.1} L"),
    }
}

fn pieces(value: f64) -> String {
    format!("{value:.0}")
}

fn sheet_lines(
    parts: &mut Vec<Part>,
    kind: &str,
    what: &str,
    plan: &SheetPlan,
    stock: &[SheetStock],
    panels: &[Panel],
    units: Units,
) {
    for (i, s) in stock.iter().enumerate() {
        let sheets: Vec<_> = plan
            .sheets
            .iter()
            .filter(|sheet| sheet.stock == i)
            .collect();
        if sheets.is_empty() {
            continue;
        }
        let used: f64 = sheets
            .iter()
            .flat_map(|sheet| &sheet.placed)
            .map(|p| panels[p.panel].length_m * panels[p.panel].width_m)
            .sum();
        let over = real(sheets.len()) * s.length_m * s.width_m - used;
        parts.push(Part {
            kind: kind.into(),
            what: format!(
                "{what} {} × {}",
                tape(s.length_m, units),
                tape(s.width_m, units)
            ),
            count: sheets.len(),
            needed: units.format_area(used, 1),
            left_over: if over > 1e-3 {
                units.format_area(over, 1)
            } else {
                String::new()
            },
            price: s.price,
            cost: s.price.map(|p| p * real(sheets.len())),
        });
    }
}

fn bar_lines(
    parts: &mut Vec<Part>,
    kind: &str,
    what: &str,
    plan: &BarPlan,
    stock: &[BarStock],
    units: Units,
) {
    for (i, s) in stock.iter().enumerate() {
        let bars: Vec<_> = plan.bars.iter().filter(|b| b.stock == i).collect();
        if bars.is_empty() {
            continue;
        }
        let left: f64 = bars.iter().map(|b| b.left_m).sum();
        let bought = real(bars.len()) * s.length_m;
        parts.push(Part {
            kind: kind.into(),
            what: format!("{what}, {}", running(s.length_m, units)),
            count: bars.len(),
            needed: running(bought - left, units),
            left_over: if left > 0.005 {
                running(left, units)
            } else {
                String::new()
            },
            price: s.price,
            cost: s.price.map(|p| p * real(bars.len())),
        });
    }
}

fn pack_lines(
    parts: &mut Vec<Part>,
    kind: &'static str,
    amount: f64,
    packs: &[Pack],
    words: &dyn Fn(f64) -> String,
) -> Result<(), BuildError> {
    if amount <= 0.0 {
        return Ok(());
    }
    let mix = packs_for(amount, packs);
    if mix.is_empty() {
        return Err(BuildError::NoStock { what: kind });
    }
    let bought: f64 = mix.iter().map(|(i, n)| packs[*i].holds * real(*n)).sum();
    for (k, (i, n)) in mix.iter().enumerate() {
        // What is needed and left over stands once, on the first line.
        let (needed, left_over) = if k == 0 {
            (words(amount), words((bought - amount).max(0.0)))
        } else {
            (String::new(), String::new())
        };
        parts.push(Part {
            kind: kind.into(),
            what: format!("{kind}, {}", packs[*i].name),
            count: *n,
            needed,
            left_over,
            price: packs[*i].price,
            cost: packs[*i].price.map(|p| p * real(*n)),
        });
    }
    Ok(())
}
