use super::*;
use crate::slope::{Heights, siphon};
use crate::weight::Load;
use crate::wind::{Exposed, WindLoad};
use crate::{Pack, Tube};
use swimdays_properties::materials::BoardMaterial;

fn kinds(input: &CautionInput) -> Vec<&'static str> {
    build_cautions(input, Units::Us)
        .iter()
        .map(|c| c.kind)
        .collect()
}

fn board() -> CautionInput {
    let tube = Tube {
        material: TubeMaterial::Polyethylene,
        outer_diameter_m: 0.017_78,
        bore_m: 0.015_24,
        makers_bend_radius_m: None,
    };
    let weight = Load {
        tube,
        tube_m: 60.96,
        board_m2: 2.973,
        board: BoardMaterial::Plywood,
        board_thickness_m: 0.012_7,
        wood_m3: 0.016_5,
        insulation: None,
        lid_thickness_m: None,
        painted_m2: 5.946,
    }
    .weigh();
    let wind = WindLoad {
        gust_m_s: 40.0,
        exposed: Exposed::Free,
        area_m2: 2.973,
        slope_length_m: 1.219,
        tilt_deg: 35.0,
        lower_edge_m: 0.0,
        stand_depth_m: 0.0,
        dry_kg: weight.dry_kg,
    }
    .holding()
    .expect("sound");
    CautionInput {
        materials: vec![TubeMaterial::Polyethylene],
        places: vec![Place::Ground],
        pump: PumpDrive::SubmersibleMains,
        weight: Some(weight),
        wind: Some((40.0, wind)),
        ..CautionInput::default()
    }
}

/// Every rule: what raises it, what does not, and the kind.
#[test]
fn each_rule_is_raised_by_its_number_alone() {
    let base = CautionInput {
        materials: vec![TubeMaterial::Polyethylene],
        places: vec![Place::Ground],
        ..CautionInput::default()
    };
    let with = |change: &dyn Fn(&mut CautionInput)| {
        let mut input = base.clone();
        change(&mut input);
        kinds(&input)
    };
    let s = siphon(
        &Heights {
            return_end_m: -0.3,
            suction_m: -0.6,
            top_m: 2.0,
            lowest_joint_m: Some(-1.0),
        },
        26.7,
    )
    .expect("sound");
    type Change = Box<dyn Fn(&mut CautionInput)>;
    let rules: Vec<(&str, Change, Change)> = vec![
        (
            "scald",
            Box::new(|i| i.first_slug_c = Some(49.5)),
            Box::new(|i| i.first_slug_c = Some(48.5)),
        ),
        (
            "scald",
            Box::new(|i| i.outlet_c = Some(61.0)),
            Box::new(|i| i.outlet_c = Some(35.0)),
        ),
        (
            "softening",
            Box::new(|i| i.stagnation_c = Some(62.0)),
            Box::new(|i| i.stagnation_c = Some(58.0)),
        ),
        (
            "glazed_box",
            Box::new(|i| i.lid = true),
            Box::new(|i| i.lid = false),
        ),
        (
            "vacuum",
            Box::new(move |i| i.siphon = Some(s)),
            Box::new(|i| i.siphon = None),
        ),
        (
            "siphon",
            Box::new(move |i| i.siphon = Some(s)),
            Box::new(|i| i.siphon = None),
        ),
        (
            "dry_pump",
            Box::new(|i| i.pump = PumpDrive::Filter),
            Box::new(|i| i.pump = PumpDrive::None),
        ),
        (
            "suction",
            Box::new(|i| i.pump = PumpDrive::Beside),
            Box::new(|i| i.pump = PumpDrive::None),
        ),
        (
            "submersible",
            Box::new(|i| i.pump = PumpDrive::SubmersibleMains),
            Box::new(|i| i.pump = PumpDrive::SubmersibleLowVoltage),
        ),
        (
            "electricity",
            Box::new(|i| i.pump = PumpDrive::Filter),
            Box::new(|i| i.pump = PumpDrive::None),
        ),
        (
            "climbing",
            Box::new(|i| i.places = vec![Place::Fence]),
            Box::new(|i| i.fence_m = Some(2.0)),
        ),
        (
            "climbing",
            Box::new(|i| i.fence_m = Some(0.5)),
            Box::new(|i| i.fence_m = Some(1.0)),
        ),
        (
            "roof",
            Box::new(|i| i.places = vec![Place::Roof]),
            Box::new(|i| i.places = vec![Place::Ground]),
        ),
        (
            "above_ground",
            Box::new(|i| i.places = vec![Place::PoolWall]),
            Box::new(|i| i.places = vec![Place::Fence]),
        ),
        (
            "frost",
            Box::new(|i| i.coldest_c = Some(-2.0)),
            Box::new(|i| i.coldest_c = Some(1.0)),
        ),
        (
            "frost",
            Box::new(|i| i.frost_months = vec![0, 11]),
            Box::new(|i| i.frost_months = vec![]),
        ),
        (
            "copper",
            Box::new(|i| i.materials = vec![TubeMaterial::Copper]),
            Box::new(|i| i.materials = vec![TubeMaterial::Pex]),
        ),
        (
            "cover",
            Box::new(|i| i.cover = true),
            Box::new(|i| i.cover = false),
        ),
        (
            "digging",
            Box::new(|i| i.places = vec![Place::Buried]),
            Box::new(|i| i.places = vec![Place::Deck]),
        ),
        (
            "hot_surface",
            Box::new(|i| i.places = vec![Place::Deck]),
            Box::new(|i| i.places = vec![Place::Roof]),
        ),
        (
            "backflow",
            Box::new(|i| i.tap_fill = true),
            Box::new(|i| i.tap_fill = false),
        ),
        (
            "shut_valves",
            Box::new(|i| i.can_be_shut_in = true),
            Box::new(|i| i.can_be_shut_in = false),
        ),
        (
            "warm_pool",
            Box::new(|i| i.pool_c = Some(33.0)),
            Box::new(|i| i.pool_c = Some(31.0)),
        ),
        (
            "pool_far_too_hot",
            Box::new(|i| i.pool_c = Some(41.0)),
            Box::new(|i| i.pool_c = Some(39.0)),
        ),
        (
            "wind",
            Box::new(|i| i.places = vec![Place::Ground]),
            Box::new(|i| i.places = vec![Place::Buried]),
        ),
    ];
    for (kind, raising, quiet) in rules {
        assert!(with(&*raising).contains(&kind), "{kind} is not raised");
        assert!(
            !with(&*quiet).contains(&kind),
            "{kind} is raised for nothing"
        );
    }
    assert!(with(&|_| {}).contains(&"stagnant_water"));
    assert!(kinds(&board()).contains(&"lifting") && !with(&|_| {}).contains(&"lifting"));
}

#[test]
fn each_has_its_number_and_source() {
    let mut input = board();
    input.first_slug_c = Some(71.0);
    input.stagnation_c = Some(82.0);
    for units in [Units::Us, Units::Metric] {
        let all = build_cautions(&input, units);
        for c in &all {
            assert!(!c.source.is_empty() && !c.short.is_empty() && c.text.len() > c.kind.len());
        }
        let scald = all.iter().find(|c| c.kind == "scald").expect("scald");
        // 71 °C is 159.8 °F.
        let hot = if units == Units::Us {
            "160 °F"
        } else {
            "71 °C"
        };
        assert!(scald.number.contains(hot), "{}", scald.number);
        assert!(scald.short.contains("seconds"));
        let wind = all.iter().find(|c| c.kind == "wind").expect("wind");
        // 0.613·1600·1.2·2.973 = 3499 N = 787 lb; 1.8: 5249 N.
        let low = if units == Units::Us {
            "790 lb"
        } else {
            "3.5 kN"
        };
        assert!(wind.number.starts_with(low), "{}", wind.number);
    }
    assert_eq!(build_cautions(&input, Units::Us)[0].kind, "scald");
    assert!(DEFERENCE.contains("electrician") && DEFERENCE.contains("plumber"));
}

#[test]
fn no_kind_comes_twice() {
    let mut input = board();
    input.places = vec![Place::Roof];
    input.lid = true;
    input.cover = true;
    input.coldest_c = Some(-12.0);
    let mut seen = kinds(&input);
    let n = seen.len();
    seen.sort_unstable();
    seen.dedup();
    assert_eq!(seen.len(), n);
    // A pack is never free by default.
    assert_eq!(Pack::of("bag", 10.0).price, None);
}

fn told<'a>(all: &'a [Caution], kind: &str) -> &'a Caution {
    all.iter().find(|c| c.kind == kind).expect("it is raised")
}

#[test]
fn a_roof_is_offered_no_ballast() {
    let mut input = board();
    let ground = told(&build_cautions(&input, Units::Us), "wind")
        .text
        .clone();
    assert!(ground.contains("of ballast") && ground.contains("ground anchors"));
    input.places = vec![Place::Roof];
    for exposed in [Exposed::RackOnRoof, Exposed::OnRoofOrWall] {
        input.wind = input
            .wind
            .map(|(gust, held)| (gust, crate::wind::Holding { exposed, ..held }));
        let all = build_cautions(&input, Units::Us);
        let wind = told(&all, "wind");
        assert!(wind.text.contains("no ballast") && wind.text.contains("engineer"));
        assert!(!wind.text.contains("anchors") && !wind.short.contains("weigh"));
    }
}

#[test]
fn cautions_of_all_heaters_are_joined() {
    let mut input = board();
    input.places = vec![Place::Ground, Place::Buried, Place::Deck];
    input.materials = vec![TubeMaterial::Polyethylene, TubeMaterial::Copper];
    let all = kinds(&input);
    for kind in ["wind", "lifting", "digging", "hot_surface", "copper"] {
        assert!(all.contains(&kind), "{kind}");
    }
    input.places = vec![Place::Ground];
    assert!(!kinds(&input).contains(&"above_ground"));
    input.pool_above_ground = true;
    assert!(kinds(&input).contains(&"above_ground"));
}

/// A pump empties a pool through a slipped supply hose however the joints lie; 0.3 L/s is 25.92 m³ a day,
/// in two digits 26.
#[test]
fn a_running_pump_is_no_siphon_and_empties_the_pool() {
    let mut input = board();
    let heights = Heights {
        return_end_m: -0.3,
        suction_m: -0.3,
        top_m: 1.0,
        lowest_joint_m: Some(0.0),
    };
    input.siphon = Some(siphon(&heights, 26.7).expect("sound"));
    input.flow_m3_s = Some(0.3e-3);
    let all = build_cautions(&input, Units::Metric);
    let c = told(&all, "siphon");
    assert!(c.number.contains("about 26 m³ a day"), "{}", c.number);
    assert!(
        c.text.contains("Supply:") && c.text.contains("neither"),
        "{}",
        c.text
    );
    input.pump = PumpDrive::Filter;
    assert!(
        told(&build_cautions(&input, Units::Metric), "siphon")
            .text
            .contains("no hole there")
    );
    input.pump = PumpDrive::None;
    assert!(!kinds(&input).contains(&"siphon"));
}

#[test]
fn a_top_that_is_open_is_under_no_suction() {
    let mut input = board();
    let heights = Heights {
        return_end_m: -0.3,
        suction_m: -0.3,
        top_m: 2.0,
        lowest_joint_m: None,
    };
    input.siphon = Some(siphon(&heights, 26.7).expect("sound"));
    let all = build_cautions(&input, Units::Us);
    assert!(told(&all, "vacuum").text.contains("closed, full loop"));
    assert!(told(&all, "siphon").number.starts_with("up to "));
    input.top_open = true;
    assert!(!kinds(&input).contains(&"vacuum"));
}

/// 5,300 N / (9.80665 m/s² · 0.45359237 kg) = 1,191.5 lb, to the ten 1,190; 666 kg / 0.45359237 = 1,468 lb, to the ten 1,470.
#[test]
fn loads_are_told_to_the_ten_with_separators() {
    let range = |low, high| crate::wind::Span { low, high };
    assert_eq!(forces(range(5_300.0, 5_300.0), Units::Us), "1,190 lb");
    assert_eq!(
        forces(range(640.0, 1_440.0), Units::Metric),
        "640 N to 1.4 kN"
    );
    assert_eq!(masses(range(666.0, 666.0), Units::Us), "1,470 lb");
    assert_eq!(
        masses(range(666.0, 1_435.0), Units::Metric),
        "670 kg to 1,440 kg"
    );
    assert_eq!(
        (counts((4, 4)), counts((4, 12))),
        ("4".into(), "4 to 12".into())
    );
}
