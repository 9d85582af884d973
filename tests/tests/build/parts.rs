//! A whole build: five boards, from layout to shopping list, weights, wind and steps.

use swimdays_build::{
    Board, Boards, BuildList, CautionInput, ExitEdge, Item, ItemPrice, Joint, LayoutRequest, Load,
    Pattern, Piece, Place, PumpDrive, Shop, TIE_SPACING_M, Tube, WayOut, build_cautions, frame,
    gust_pressure_pa, lay_boards, parts_list, steps,
};
use swimdays_properties::materials::{BoardMaterial, TubeMaterial};
use swimdays_quantity::Units;

const FT: f64 = 0.304_8;

fn boards(joint: Joint) -> Boards {
    let tube = Tube {
        material: TubeMaterial::Polyethylene,
        outer_diameter_m: 0.70 * 0.025_4,
        bore_m: 0.60 * 0.025_4,
        makers_bend_radius_m: None,
    };
    lay_boards(
        &LayoutRequest {
            tube,
            board: Board {
                length_m: 4.0 * FT,
                width_m: 4.0 * FT,
                margin_m: 0.0,
            },
            pitch_m: tube.outer_diameter_m,
            pattern: Pattern::RoundSpiral,
            way_out: WayOut::Over,
            exit: ExitEdge::Same,
            wanted_m: Some(5.0 * 200.0 * FT),
            tie_spacing_m: TIE_SPACING_M,
        },
        5,
        joint,
    )
    .expect("fits")
}

fn list(joint: Joint) -> (BuildList, Shop) {
    let shop = Shop::generic(Units::Us);
    let list = BuildList {
        boards: boards(joint),
        frame: frame(4.0 * FT, 4.0 * FT, shop.stud_section_m),
        connecting: vec![
            Piece {
                name: "there".into(),
                length_m: 30.0 * FT,
            },
            Piece {
                name: "back".into(),
                length_m: 30.0 * FT,
            },
        ],
        items: vec![
            Item {
                name: "hose clamp".into(),
                size: String::new(),
                count: 20,
            },
            Item {
                name: "check valve".into(),
                size: String::new(),
                count: 1,
            },
        ],
        paint_both_sides: true,
        insulated: false,
        lid: false,
        board_thickness_m: 0.0127,
    };
    (list, shop)
}

#[test]
fn five_boards_from_the_shelf() {
    let (list, mut shop) = list(Joint::Cut);
    let parts = parts_list(&list, &shop, Units::Us).expect("can be bought");
    let count = |kind: &str| -> usize {
        parts
            .parts
            .iter()
            .filter(|p| p.kind == kind)
            .map(|p| p.count)
            .sum()
    };
    // Five squares of 4 ft: with a saw cut of 1/8 in a sheet of 8 ft gives one whole square and a rest that is too narrow.
    assert_eq!(count("board"), 5);
    // Tube: each board takes one coil of 200 ft.
    assert_eq!(count("tube"), 5);
    assert!(
        parts
            .tube_plan
            .bars
            .iter()
            .all(|b| (shop.coils[b.stock].length_m - 200.0 * FT).abs() < 1e-9)
    );
    // Hose: two runs of 30 ft from 25, 50 and 100 ft: two of 50 or one of 100, either 100 ft.
    assert!((parts.hose_plan.bought_m - 100.0 * FT).abs() < 1e-9);
    // Studs, each board: two of 4 ft and three cross pieces (gaps of 24 in) of 48 − 3 = 45 in.
    assert_eq!(list.frame.len(), 5);
    assert!((list.frame[2].length_m - 45.0 * 0.025_4).abs() < 1e-12);
    // Paint: two faces of 16 ft² and four edges of 4 ft × 1/2 in: 32.667 ft², five boards 163.33 ft² = 15.174 m²; two coats at 8 m²/L: 3.7935 L.
    assert!((parts.painted_m2 - 15.174).abs() < 1e-3);
    assert!((parts.paint_l - 3.793_5).abs() < 1e-3);
    // 10 % spare: 4.173 L: a gallon (3.785) and two quarts (0.946 each) or five quarts (4.732); least left over first.
    assert_eq!(count("paint"), 2);
    assert_eq!(count("hose clamp"), 20);
    assert_eq!(
        parts.ties,
        list.boards
            .layouts
            .iter()
            .map(swimdays_build::BoardLayout::ties)
            .sum::<usize>()
    );
    // No price is known: no cost, and every kind is named.
    assert_eq!(parts.priced_cost, None);
    assert!(
        parts
            .parts
            .iter()
            .all(|p| p.cost.is_none() && p.price.is_none())
    );
    assert!(
        parts.not_priced.contains(&"tube".to_owned())
            && parts.not_priced.contains(&"check valve".to_owned())
    );

    // With some prices: 5 sheets at 30, 20 clamps at 1.50: 180; the rest stays open.
    shop.sheets[0].price = Some(30.0);
    shop.items.push(ItemPrice {
        name: "hose clamp".into(),
        price: 1.5,
    });
    let priced = parts_list(&list, &shop, Units::Us).expect("can be bought");
    assert!((priced.priced_cost.expect("some") - 180.0).abs() < 1e-9);
    assert!(!priced.not_priced.contains(&"board".to_owned()));
}

#[test]
fn uncut_tube_is_one_piece() {
    let (list, mut shop) = list(Joint::Through { between_m: 0.6 });
    // A thousand feet in one piece are not on the shelf.
    assert!(parts_list(&list, &shop, Units::Us).is_err());
    shop.coils[2].length_m = 1_000.0 * FT;
    let parts = parts_list(&list, &shop, Units::Us).expect("can be bought");
    assert_eq!(parts.tube_plan.bars.len(), 1);
    assert!((parts.tube_pieces[0].length_m - list.boards.laid_m).abs() < 1e-12);
}

#[test]
fn metres_and_litres() {
    let (mut list, _) = list(Joint::Cut);
    list.insulated = true;
    let shop = Shop::generic(Units::Metric);
    let mut shop = shop;
    shop.coils[2].length_m = 100.0;
    let parts = parts_list(&list, &shop, Units::Metric).expect("can be bought");
    assert!(parts.parts.iter().any(|p| p.kind == "insulation"));
    assert!(
        parts
            .parts
            .iter()
            .all(|p| !p.what.contains(" ft") && !p.needed.contains(" ft"))
    );
}

#[test]
fn steps_name_cautions_that_are_there() {
    let (list, shop) = list(Joint::Cut);
    let parts = parts_list(&list, &shop, Units::Us).expect("can be bought");
    let first = &list.boards.layouts[0];
    let weight = Load {
        tube: first.request.tube,
        tube_m: first.laid_m,
        board_m2: first.request.board.area_m2(),
        board: BoardMaterial::Plywood,
        board_thickness_m: 0.0127,
        wood_m3: 0.02,
        insulation: None,
        lid_thickness_m: None,
        painted_m2: 3.0,
    }
    .weigh();
    let input = CautionInput {
        materials: vec![TubeMaterial::Polyethylene],
        places: vec![Place::Roof],
        pump: PumpDrive::Filter,
        coldest_c: Some(-8.0),
        first_slug_c: Some(70.0),
        stagnation_c: Some(80.0),
        lid: true,
        weight: Some(weight),
        siphon: Some(
            swimdays_build::siphon(
                &swimdays_build::Heights {
                    return_end_m: -0.3,
                    suction_m: -0.5,
                    top_m: 3.0,
                    lowest_joint_m: Some(-0.2),
                },
                20.0,
            )
            .expect("sound"),
        ),
        can_be_shut_in: true,
        tap_fill: true,
        ..CautionInput::default()
    };
    let cautions = build_cautions(&input, Units::Us);
    let all = steps(&list.boards, &parts, &input, Units::Us);
    assert!(
        all.build.len() > 8
            && all.first_run.len() > 3
            && all.winter.len() > 3
            && !all.spring.is_empty()
    );
    // Each raised caution that belongs to work stands at a step.
    let at_steps: Vec<&str> = [&all.build, &all.first_run, &all.winter, &all.spring]
        .into_iter()
        .flatten()
        .flat_map(|s| s.cautions.iter().copied())
        .collect();
    for kind in [
        "scald",
        "electricity",
        "roof",
        "wind",
        "siphon",
        "vacuum",
        "frost",
        "lifting",
        "dry_pump",
        "suction",
        "softening",
    ] {
        assert!(
            cautions.iter().any(|c| c.kind == kind),
            "{kind} is not raised"
        );
        assert!(at_steps.contains(&kind), "{kind} stands at no step");
    }
    // Without frost no winter.
    let warm = CautionInput {
        coldest_c: Some(5.0),
        ..input
    };
    assert!(
        steps(&list.boards, &parts, &warm, Units::Us)
            .winter
            .is_empty()
    );
    // Published: 44.7 m/s is 1225 Pa (references of the wind code).
    assert!((gust_pressure_pa(44.7) - 1_225.0).abs() < 0.5);
}
