//! Values of the plan by hand arithmetic, defaults with their sources, and `--set`.

use std::path::Path;

use swimdays_collector::{HeaterSpec, Layout};
use swimdays_pump::{Control, PumpKind};
use swimdays_scenario::{Scenario, ScenarioErrors, keys, parse};
use swimdays_season::{Ranged, Shell};

const FIRST: &str = r#"
[site]
weather = "year.epw"
[pool]
length = "24 ft"
width = "12 ft"
depth = "4 ft 6 in"
[pool.cover]
kind = "bubble"
[[heater]]
name = "board"
kind = "board"
facing = "S"
tilt = "35 deg"
tube = { outer_diameter = "0.70 in", bore = "0.60 in", length = "200 ft" }
board = { area = "32 ft2", layout = "round-spiral" }
[pump]
flow = "4 gpm"
"#;

/// Two routes through exact factors differ by rounding only.
const ROUNDING: f64 = 1e-9;

fn with(sets: &[&str]) -> Result<Scenario, ScenarioErrors> {
    let sets: Vec<String> = sets.iter().map(|s| (*s).to_owned()).collect();
    parse(FIRST, "first.toml", Path::new("yard"), &sets)
}

fn good(sets: &[&str]) -> Scenario {
    with(sets).unwrap_or_else(|e| panic!("{sets:?}\n{e}"))
}

fn near(found: f64, wanted: f64) {
    assert!(
        (found - wanted).abs() <= ROUNDING * wanted.abs().max(1.0),
        "{found} against {wanted}"
    );
}

/// By hand: 24 × 0.3048 = 7.3152 m, 12 × 0.3048 = 3.6576 m, 54 × 0.0254 = 1.3716 m; 4 × 3.785411784/60 L/s.
#[test]
fn a_short_scenario_in_si() {
    let s = good(&[]);
    let pool = &s.plan.pool;
    near(pool.area_m2, 7.3152 * 3.6576);
    near(pool.volume_m3, 7.3152 * 3.6576 * 1.3716);
    near(pool.sun.mean_depth_m, 1.3716);
    let Shell::InGround {
        contact_area_m2, ..
    } = pool.shell
    else {
        panic!("in-ground by default")
    };
    near(
        contact_area_m2,
        7.3152 * 3.6576 + 2.0 * (7.3152 + 3.6576) * 1.3716,
    );
    assert_eq!(s.weather.files()[0].path, Path::new("yard/year.epw"));
    assert_eq!(s.weather.files().len(), 1);
    let pump = s.plan.pump.as_ref().expect("a pump");
    near(pump.pump.flow_m3_s(), 4.0 * 3.785_411_784e-3 / 60.0);
    pump.pump.check().expect("a pump that can be");
    pump.control.check().expect("a control that can be");
    let HeaterSpec::Board(board) = &s.plan.heaters[0].spec else {
        panic!("a board")
    };
    near(board.tube.length_m, 60.96);
    near(board.pitch_m, 0.017_78);
    near(board.board_area_m2, 32.0 * 0.092_903_04);
    let Layout::RoundSpiral {
        inner_diameter_m,
        outer_diameter_m,
    } = board.layout
    else {
        panic!("a spiral")
    };
    // The ring between the diameters has the area of the tube laid flat: 60.96 m × 17.78 mm = 1.08387 m².
    let ring = std::f64::consts::FRAC_PI_4 * (outer_diameter_m.powi(2) - inner_diameter_m.powi(2));
    near(ring, 60.96 * 0.017_78);
    near(s.plan.heaters[0].plane.azimuth_deg, 180.0);
    near(s.plan.swim.target_c, 26.0);
    near(
        s.plan
            .cover
            .as_ref()
            .expect("a cover")
            .off_above_c
            .expect("a limit"),
        29.0,
    );
    near(pump.limits.water_limit_c.expect("a limit"), 29.0);
}

/// By hand: 15 ft = 4.572 m, a round pool has π/4 × 4.572² m²; 5000 gal = 5000 × 3.785411784 L.
#[test]
fn shapes_and_volume() {
    let round = good(&["pool.diameter=15 ft", "pool.depth=48 in"]);
    near(
        round.plan.pool.area_m2,
        std::f64::consts::FRAC_PI_4 * 4.572 * 4.572,
    );
    let volume = good(&["pool.volume=5,000 gal"]);
    near(volume.plan.pool.volume_m3, 18.927_058_92);
    near(
        volume.plan.pool.sun.mean_depth_m,
        18.927_058_92 / (7.3152 * 3.6576),
    );
    let oval = good(&["pool.shape=oval"]);
    near(
        oval.plan.pool.area_m2,
        std::f64::consts::FRAC_PI_4 * 7.3152 * 3.6576,
    );
    // A circle is an ellipse: both give the same wall.
    let circle = good(&[
        "pool.shape=oval",
        "pool.length=15 ft",
        "pool.width=15 ft",
        "pool.kind=above-ground",
    ]);
    // `length` set on the command line puts `shape` out of force unless it is set as well.
    let circle_round = good(&["pool.diameter=15 ft", "pool.kind=above-ground"]);
    let wall = |s: &Scenario| match &s.plan.pool.shell {
        Shell::AboveGround { walls, .. } => walls.area_m2,
        Shell::InGround { .. } => panic!("above ground"),
    };
    near(wall(&circle), wall(&circle_round));
}

#[test]
fn ranges_follow_their_values() {
    let wind = |sets: &[&str]| good(sets).plan.pool.wind_at_water_frac;
    assert_eq!(
        wind(&[]),
        Ranged {
            value: 0.30,
            low: 0.20,
            high: 0.40
        }
    );
    assert_eq!(
        wind(&["site.wind_at_water=0.4"]),
        Ranged {
            value: 0.4,
            low: 0.4 * 0.75,
            high: 0.4 * 1.25
        }
    );
    let performance = |sets: &[&str]| good(sets).plan.heaters[0].performance;
    assert_eq!(
        performance(&[]),
        Ranged {
            value: 1.0,
            low: 0.85,
            high: 1.1
        }
    );
    assert_eq!(
        performance(&["heater.board.performance=0.5"]),
        Ranged {
            value: 0.5,
            low: 0.425,
            high: 0.55
        }
    );
    let roof = good(&["heater.board.wind=roof"]).plan.heaters[0].wind_frac;
    assert!(
        roof.low >= 1.6 * 0.30 && roof.high <= 3.0 * 0.30 + ROUNDING,
        "two to three times a garden's, low end a little less"
    );
    let sheltered = good(&["site.wind=sheltered"]);
    assert_eq!(
        sheltered.plan.heaters[0].wind_frac,
        sheltered.plan.pool.wind_at_water_frac
    );
}

#[test]
fn hours_and_controls() {
    let timer = good(&["pump.hours_by_month={ may = \"10:00-16:00\" }"]);
    let pump = timer.plan.pump.expect("a pump");
    let Control::Timer(months) = &pump.control else {
        panic!("a timer")
    };
    assert!(months[4].len() == 1 && months[5].is_empty());
    let PumpKind::Filter { hours, .. } = &pump.pump.kind else {
        panic!("a filter pump")
    };
    near(
        hours[0].iter().map(swimdays_pump::Window::length_h).sum(),
        8.0,
    );
    // Pumping in hours in which the filter would stand costs the whole pump, whatever the timer says.
    let PumpKind::Filter { hours: long, .. } = &good(&["pump.hours=6:00-20:00"])
        .plan
        .pump
        .expect("a pump")
        .pump
        .kind
    else {
        panic!("a filter pump")
    };
    assert_eq!(hours, long);
    let night = good(&["pool.cover.on=19:00-10:00"])
        .plan
        .cover
        .expect("a cover");
    near(night.on[0][0].length_h(), 15.0);
    assert!(matches!(
        good(&["pump.control=never"])
            .plan
            .pump
            .expect("a pump")
            .control,
        Control::Never
    ));
    assert!(
        good(&["pool.cover.off_above=never"])
            .plan
            .cover
            .expect("a cover")
            .off_above_c
            .is_none()
    );
}

/// Each key that has a default and was not given stands among the assumptions, with a source.
#[test]
fn every_default_is_listed_with_its_source() {
    // What is not known is left open rather than assumed, or follows from another key.
    const OPEN: &[&str] = &[
        "name",
        "units",
        "site.wind_at_water",
        "site.wind_at_water_range",
        "pool.diameter",
        "site.utc_offset_h",
        "site.fill",
        "pool.area",
        "pool.volume",
        "pool.activity",
        "pool.start",
        "pool.sun_factor_range",
        "pool.shade",
        "pool.closes",
        "pool.cover.on_by_month",
        "pool.cover.remaining_evaporation_range",
        "pool.cover.cost",
        "heater.wind_at_heater",
        "heater.wind_at_heater_range",
        "heater.performance_range",
        "heater.side_by_side",
        "heater.shade",
        "heater.cost",
        "heater.board.length",
        "heater.board.width",
        "heater.board.back_insulation",
        "heater.board.lid",
        "heater.board.lid_transmittance",
        "heater.board.lid_gap",
        "pump.bucket",
        "pump.curve",
        "pump.shut_off_head",
        "pump.free_flow",
        "pump.class",
        "pump.height",
        "pump.in_water",
        "pump.voltage",
        "pump.hours_by_month",
        "pump.on_rise",
        "pump.off_rise",
        "pump.least_run",
        "pump.cool_above",
        "pump.cost",
        "prices.currency",
        "prices.electricity",
        "prices.gas",
        "prices.water",
    ];
    let scenario = good(&[]);
    let assumed: Vec<String> = scenario
        .plan
        .assumptions
        .iter()
        .chain(&scenario.lives.assumptions)
        .map(|a| a.key.replacen("heater.board", "heater", 1))
        .collect();
    let written = [
        "site.weather",
        "pool.length",
        "pool.width",
        "pool.depth",
        "pool.cover.kind",
        "heater.name",
        "heater.kind",
        "heater.facing",
        "heater.tilt",
        "heater.tube.outer_diameter",
        "heater.tube.bore",
        "heater.tube.length",
        "heater.board.area",
        "heater.board.layout",
        "pump.flow",
    ];
    let tables = [
        "site",
        "pool",
        "swim",
        "pool.cover",
        "heater",
        "heater.tube",
        "heater.board",
        "pump",
        "prices",
        "models",
        "other_heater",
    ];
    for key in keys() {
        let elsewhere = [
            "site.normals",
            "heater.deck",
            "heater.panel",
            "other_heater.",
            "pool.shade.",
            "heater.shade.",
            // Assumed only where the flow follows from it.
            "plumbing",
            "heater.plumbing",
            // For the builder alone, with assumptions of their own.
            "build",
            "shop",
            "option",
            "heater.tube.bend_radius",
        ]
        .iter()
        .any(|start| key.starts_with(start));
        if elsewhere || tables.contains(&key.as_str()) || written.contains(&key.as_str()) {
            continue;
        }
        let is_assumed = assumed.contains(&key);
        assert!(
            is_assumed || OPEN.contains(&key.as_str()),
            "{key} is neither given, nor assumed, nor open"
        );
        assert!(
            !(is_assumed && OPEN.contains(&key.as_str())),
            "{key} is assumed after all"
        );
    }
    for assumption in &scenario.plan.assumptions {
        assert!(
            !assumption.source.is_empty() && !assumption.value.is_empty(),
            "{assumption:?}"
        );
        let count = scenario
            .plan
            .assumptions
            .iter()
            .filter(|a| a.key == assumption.key)
            .count();
        assert_eq!(count, 1, "{} is listed more than once", assumption.key);
    }
    let metric = good(&["units=metric"]);
    let target = |s: &Scenario| {
        s.plan
            .assumptions
            .iter()
            .find(|a| a.key == "swim.target")
            .map(|a| a.value.clone())
            .expect("a target")
    };
    assert_eq!(
        (target(&scenario).as_str(), target(&metric).as_str()),
        ("78.8 °F", "26 °C")
    );
}

#[test]
fn set_reaches_everything_and_says_where_it_fails() {
    assert!(good(&["pool.cover.kind=none"]).plan.cover.is_none());
    assert!(good(&["heater.board.kind=none"]).plan.heaters.is_empty());
    let area = |sets: &[&str]| match &good(sets).plan.heaters[0].spec {
        HeaterSpec::Board(board) => board.board_area_m2,
        _ => panic!("a board"),
    };
    near(area(&["heater.board.area=60 ft2"]), 60.0 * 0.092_903_04);
    near(
        area(&["heater.board.board.area = \"60 ft2\""]),
        60.0 * 0.092_903_04,
    );
    near(
        area(&["heater.board.length=10 ft", "heater.board.width=6 ft"]),
        60.0 * 0.092_903_04,
    );
    near(
        good(&["other_heater.kind=gas", "other_heater.power=30 kW"])
            .plan
            .other_heater
            .expect("gas")
            .heat_w,
        3e4,
    );
    for (set, message) in [
        ("pool.depth=5", "needs a unit"),
        ("pool.dept=5 ft", "did you mean `depth`?"),
        ("heater.boat.area=5 ft2", "did you mean `heater.board`?"),
        ("heater.area=5 ft2", "the heaters are called board"),
        ("pool.cover", "has no `=`"),
        ("pool.depth.x=1", "is a single value"),
        ("pool..depth=1", "empty step"),
        ("=1", "empty step"),
        ("pool.shade.3.from=E", "there is no pool.shade `3`"),
        ("pool.cover.kind=tarp", "allowed: \"bubble\", \"foam\""),
        ("pool.volume=90,000 gal", "a mean depth of 4 in to 19 ft"),
        ("pool.cover=none", "such as --set pool.cover.kind=none"),
        ("pool=none", "such as --set pool.depth=\"4 ft 6 in\""),
        ("pool.shade=none", "--set pool.shade=[]"),
        (
            "pool.length=“24 ft”",
            "leave out the quotes inside the quotes",
        ),
    ] {
        let Err(errors) = with(&[set]) else {
            panic!("{set} was accepted")
        };
        let text = errors.to_string();
        assert!(text.contains(message), "{set}: {text}");
        assert!(
            text.contains(&format!("--set {set}")),
            "{set} is not named: {text}"
        );
        assert_eq!(errors.diagnostics.len(), 1, "{set}: {text}");
    }
}

/// The place counts lines of the text as a person sees it, with a byte order mark and with Windows' line ends.
#[test]
fn lines_are_counted_as_a_person_counts_them() {
    let text = FIRST
        .replace("depth = \"4 ft 6 in\"", "depth = 4")
        .replace('\n', "\r\n");
    let Err(errors) = parse(&format!("\u{feff}{text}"), "f.toml", Path::new(""), &[]) else {
        panic!("accepted")
    };
    assert_eq!(
        (errors.diagnostics[0].line, errors.diagnostics[0].column),
        (Some(7), Some(9)),
        "{errors}"
    );
}

fn assumed(scenario: &Scenario, key: &str) -> (String, String) {
    scenario
        .plan
        .assumptions
        .iter()
        .find(|a| a.key == key)
        .map(|a| (a.value.clone(), a.source.clone()))
        .unwrap_or_else(|| panic!("{key} is not assumed"))
}

/// By hand: 26 °C + 0.5 K.
#[test]
fn an_ordinary_heater_holds_a_little_more_than_the_target() {
    let gas = good(&[
        "units=metric",
        "other_heater.kind=gas",
        "other_heater.power=30 kW",
    ]);
    near(
        gas.plan.other_heater.as_ref().expect("gas").setpoint_c,
        26.5,
    );
    let (value, source) = assumed(&gas, "other_heater.setpoint");
    assert_eq!(value, "26.5 °C");
    assert!(source.contains("own choice"), "{source}");
}

#[test]
fn who_moves_the_cover_is_said() {
    let (_, source) = assumed(&good(&[]), "pool.cover.off_above");
    assert!(source.contains("someone or a reel"), "{source}");
}

#[test]
fn cooling_can_be_left_out_in_words() {
    let cooling = |set| {
        let pump = good(&[set]).plan.pump.expect("a pump");
        pump.limits.night_cooling.map(|n| n.above_water_c)
    };
    assert_eq!(cooling("pump.cool_above=never"), None);
    near(cooling("pump.cool_above=86 F").expect("a limit"), 30.0);
}

/// By hand: a slab of 0.10 m and 0.05 m of soil; one of 0.2 m and 0.05 m.
#[test]
fn a_tube_in_the_soil_lies_below_the_slab() {
    use swimdays_collector::Placement;
    let deck = |sets: &[&str]| {
        let text = FIRST
            .replace("kind = \"board\"", "kind = \"deck\"")
            .replace(
                "board = { area = \"32 ft2\", layout = \"round-spiral\" }",
                "deck = { placement = \"in-soil\" }",
            );
        let sets: Vec<String> = sets.iter().map(|s| (*s).to_owned()).collect();
        let read = parse(&text, "deck.toml", Path::new(""), &sets);
        match &read.unwrap_or_else(|e| panic!("{e}")).plan.heaters[0].spec {
            HeaterSpec::Deck(deck) => deck.placement,
            other => panic!("{other:?}"),
        }
    };
    let Placement::InSoil { depth_m } = deck(&[]) else {
        panic!("in the soil")
    };
    near(depth_m, 0.15);
    let Placement::InSoil { depth_m } = deck(&["heater.board.deck.slab_thickness=20 cm"]) else {
        panic!("in the soil")
    };
    near(depth_m, 0.25);
    // No deeper than the soil that is reckoned with, 0.6 m.
    let Placement::InSoil { depth_m } = deck(&["heater.board.deck.slab_thickness=58 cm"]) else {
        panic!("in the soil")
    };
    near(depth_m, 0.6);
    let Placement::InSlab { depth_m } = deck(&["heater.board.deck.placement=in-slab"]) else {
        panic!("in the slab")
    };
    near(depth_m, 0.05);
}

/// What is said of the weather file although something else is wrong too.
#[test]
fn a_refused_scenario_still_names_its_weather() {
    let Err(mut errors) = with(&["pool.depth=5"]) else {
        panic!("accepted")
    };
    let named = errors.weather.clone();
    assert_eq!(named.len(), 1);
    assert_eq!(named[0].path, Path::new("yard/year.epw"));
    errors.add_weather(&named[0], "is not there", "");
    let text = errors.to_string();
    assert!(
        text.starts_with("first.toml, line 3:  site.weather = \"year.epw\"\n    is not there"),
        "{text}"
    );
    assert!(text.contains("--set pool.depth=5"), "{text}");
}

/// 200 ft of 0.60 in tube with a loss coefficient of 3 on a pump of 7.6 m and 1500 gal/h: 3.393 gal/min by `fluids`
/// 1.3.1 and scipy (the worked value of `swimdays_pump::hydraulics`), there for straight tube at 27 °C. The runs that
/// join it here are short and wide. The spiral and 25 °C take 2 to 5 % of it (White 1929, Ito 1959).
#[test]
fn the_flow_follows_from_the_pump_and_the_tube() {
    let own = [
        "pump.flow=4 gpm",
        "pump.kind=own",
        "pump.curve=[\"7.6 m at 0 gpm\", \"5.7 m at 750 gph\", \"0 m at 1500 gph\"]",
        "pump.pipe_length=1 ft",
        "heater.board.board.layout=serpentine",
        "heater.board.plumbing.fittings=coefficient 3",
    ];
    let said = good(&own);
    near(
        said.hydraulics.expect("plumbing").flow_m3_s,
        4.0 * 3.785_411_784e-3 / 60.0,
    );
    let text = FIRST.replace("flow = \"4 gpm\"", "");
    let sets: Vec<String> = own[1..].iter().map(|s| (*s).to_owned()).collect();
    let s = parse(&text, "own.toml", Path::new("yard"), &sets).unwrap_or_else(|e| panic!("{e}"));
    let gpm = s.plan.pump.as_ref().expect("a pump").pump.flow_m3_s() * 60.0 / 3.785_411_784e-3;
    assert!((3.2..3.45).contains(&gpm), "{gpm}");
    let (value, source) = assumed(&s, "pump.flow");
    assert!(
        value.contains("gpm") && source.contains("swimdays flow"),
        "{value}: {source}"
    );
    let longer: Vec<String> = sets
        .iter()
        .cloned()
        .chain(["heater.board.tube.length=100 ft".to_owned()])
        .collect();
    let shorter =
        parse(&text, "own.toml", Path::new("yard"), &longer).unwrap_or_else(|e| panic!("{e}"));
    assert!(
        shorter.plan.pump.expect("a pump").pump.flow_m3_s()
            > 1.2 * s.hydraulics.expect("plumbing").flow_m3_s
    );
}

#[test]
fn a_pump_that_lifts_too_little_says_so() {
    let text = FIRST.replace("flow = \"4 gpm\"", "kind = \"own\"\nclass = \"fountain\"");
    let sets = ["heater.board.height=14 ft".to_owned()];
    let s = parse(&text, "own.toml", Path::new("yard"), &sets).unwrap_or_else(|e| panic!("{e}"));
    let fault = s.hydraulics.and_then(|h| h.fault).expect("a fault");
    assert!(fault.contains("cannot fill"), "{fault}");
}
