//! The shopping list, the cutting plan and the steps.

use swimdays_build::{
    Boards, BuildError, BuildList, CautionInput, Item, Joint, PartsList, Piece, PumpDrive,
    diameter, frame, lay, parts_list, steps,
};
use swimdays_collector::HeaterSpec;
use swimdays_pump::hydraulics::FittingKind;
use swimdays_report::build::{BuildReport, HeaterLayout, HeaterSheet};
use swimdays_scenario::{HeaterBuild, Scenario};
use swimdays_season::HeaterPlan;

use super::cuts::{bars, list_cuts};
use super::plumbing::{End, fittings, joined_at, pipes, tees};
use super::sheets::insulated;

/// Shopping list, cutting plan and steps.
pub(super) fn buy(
    report: &mut BuildReport,
    scenario: &Scenario,
    found: &[(HeaterSheet, (&HeaterPlan, &HeaterBuild))],
    input: &CautionInput,
    top_sucks: bool,
) -> Result<(), BuildError> {
    let b = &scenario.build;
    let units = scenario.units;
    let mut connecting: Vec<(String, Vec<Piece>)> = Vec::new();
    let mut items: Vec<Item> = Vec::new();
    let mut add = |name: &str, size: &str, count: usize| {
        let same = items.iter_mut().find(|i| i.name == name && i.size == size);
        match same {
            Some(same) => same.count += count,
            None if count > 0 => items.push(Item {
                name: name.to_owned(),
                size: size.to_owned(),
                count,
            }),
            None => {}
        }
    };
    if let Some(h) = &scenario.hydraulics {
        let longest = b.shop.hose.iter().map(|s| s.length_m).fold(0.0, f64::max);
        let joined = joined_at(h);
        for (network, end, joined) in [
            (&h.supply, End::Last, joined.0),
            (&h.back, End::First, joined.1),
        ] {
            let joined = joined.then_some(end);
            pipes(network, longest, joined, units, &mut connecting, &mut add);
        }
        if h.own_pump {
            add("pump", "", 1);
        }
        tees(h, units, &mut add);
        for piece in h.heaters.iter().flat_map(|b| b.network.pieces()) {
            // Barbs to the tube are counted below, for every board.
            fittings(piece, units, None, &mut add);
        }
    }
    if input.siphon.is_some_and(|s| s.check_valve) && input.pump != PumpDrive::None {
        let has = scenario.hydraulics.as_ref().is_some_and(|h| {
            h.supply
                .pieces()
                .flat_map(|p| &p.fittings)
                .any(|f| f.kind == FittingKind::CheckValve)
        });
        add("check valve", "", usize::from(!has));
    }
    for (sheet, (plan, _)) in found {
        let (tubes, elbows, d) = match (&sheet.layout, &plan.spec) {
            (HeaterLayout::Boards(b), HeaterSpec::Board(s)) => {
                let runs = b.layouts.iter().flat_map(|l| &l.runs);
                let elbows = runs.map(|r| r.elbows).sum();
                (b.layouts.len(), elbows, s.tube.outer_diameter_m)
            }
            (HeaterLayout::Deck(_), HeaterSpec::Deck(s)) => {
                (sheet.names.len(), 0, s.tube.outer_diameter_m)
            }
            _ => continue,
        };
        let of_tube = format!("for {} tube", diameter(d, units));
        add("barb to the tube", &of_tube, 2 * tubes);
        add("hose clamp", &of_tube, 4 * tubes);
        add("elbow", &of_tube, elbows);
    }
    add("drain valve", "", 1);
    // Which of the two the flow is reckoned with.
    add("vent or vacuum breaker", "", usize::from(input.top_open));
    add(
        "air valve by hand",
        "",
        usize::from(top_sucks && !input.top_open),
    );
    let mut first: Option<(Boards, PartsList)> = None;
    let mut rest = Some(items);
    for (sheet, (plan, _)) in found {
        let (HeaterLayout::Boards(boards), HeaterSpec::Board(spec)) = (&sheet.layout, &plan.spec)
        else {
            continue;
        };
        let Some(board) = boards.layouts.first().map(|l| l.request.board) else {
            continue;
        };
        let items = rest.take().unwrap_or_default();
        let list = BuildList {
            boards: (**boards).clone(),
            frame: frame(board.length_m, board.width_m, b.shop.stud_section_m),
            connecting: Vec::new(),
            items,
            paint_both_sides: b.paint_both_sides,
            insulated: insulated(spec),
            lid: spec.lid.is_some(),
            board_thickness_m: spec.board_thickness_m,
        };
        let parts = parts_list(&list, &b.shop, units)?;
        report.add_parts(&parts);
        list_cuts(&mut report.cuts, &parts, &b.shop);
        if first.is_none() {
            first = Some(((**boards).clone(), parts));
        }
    }
    for (sheet, _) in found {
        if let HeaterLayout::Deck(deck) = &sheet.layout {
            for name in &sheet.names {
                let piece = Piece {
                    name: format!("tube of {name}"),
                    length_m: deck.layout.laid_m,
                };
                bars(
                    report,
                    "deck tube",
                    &format!("coil of {}", deck.layout.request.tube.sold_as(units)),
                    std::slice::from_ref(&piece),
                    &b.shop.coils,
                )?;
            }
        }
    }
    for (bore, pieces) in &connecting {
        let what = format!("hose or pipe, {bore} inside");
        bars(report, "hose", &what, pieces, &b.shop.hose)?;
    }
    for item in rest.unwrap_or_default() {
        report.add_part(item.part(&b.shop));
    }
    if let Some((boards, parts)) = first {
        report.steps = steps(&boards, &parts, input, units);
        return Ok(());
    }
    // A deck alone: the steps of its place, of a layout without boards.
    if let Some((
        HeaterSheet {
            layout: HeaterLayout::Deck(deck),
            ..
        },
        _,
    )) = found.first()
    {
        let laid = lay(&deck.layout.request)?;
        let boards = Boards {
            laid_m: laid.laid_m,
            fits_m: laid.fits_m,
            left_over_m: laid.left_over_m,
            layouts: Vec::new(),
            joint: Joint::Cut,
            starts_m: Vec::new(),
            empty_boards: 0,
            between_m: 0.0,
        };
        let list = BuildList {
            boards: boards.clone(),
            frame: Vec::new(),
            connecting: Vec::new(),
            items: Vec::new(),
            paint_both_sides: false,
            insulated: false,
            lid: false,
            board_thickness_m: 0.0,
        };
        report.steps = steps(&boards, &parts_list(&list, &b.shop, units)?, input, units);
    }
    Ok(())
}
