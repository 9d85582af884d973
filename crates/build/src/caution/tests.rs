use super::*;
use crate::slope::{Heights, siphon};
use crate::weight::Load;
use crate::wind::WindLoad;
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
        pump: PumpDrive::SubmersibleMains,
        weight: Some(weight),
        wind: Some((40.0, wind)),
        ..CautionInput::default()
    }
}

/// Every rule: what raises it, what does not, and the kind.
#[test]
fn each_rule_is_raised_by_its_number_alone() {
    let base = CautionInput::default();
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
            lowest_joint_m: -1.0,
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
            Box::new(|i| i.place = Place::Fence),
            Box::new(|i| i.fence_m = Some(2.0)),
        ),
        (
            "climbing",
            Box::new(|i| i.fence_m = Some(0.5)),
            Box::new(|i| i.fence_m = Some(1.0)),
        ),
        (
            "roof",
            Box::new(|i| i.place = Place::Roof),
            Box::new(|i| i.place = Place::Ground),
        ),
        (
            "above_ground",
            Box::new(|i| i.place = Place::PoolWall),
            Box::new(|i| i.place = Place::Fence),
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
            Box::new(|i| i.material = TubeMaterial::Copper),
            Box::new(|i| i.material = TubeMaterial::Pex),
        ),
        (
            "cover",
            Box::new(|i| i.cover = true),
            Box::new(|i| i.cover = false),
        ),
        (
            "digging",
            Box::new(|i| i.place = Place::Buried),
            Box::new(|i| i.place = Place::Deck),
        ),
        (
            "hot_surface",
            Box::new(|i| i.place = Place::Deck),
            Box::new(|i| i.place = Place::Roof),
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
            Box::new(|i| i.place = Place::Ground),
            Box::new(|i| i.place = Place::Buried),
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
    input.place = Place::Roof;
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
