//! What the terminal says of unusual runs, and which cautions a plan raises.

#![allow(clippy::unwrap_used, reason = "tests: a panic is a failed test")]

#[path = "fixture/plan.rs"]
mod fixture;

use fixture::{plan, stepped, weather};
use swimdays_collector::{DeckSpec, HeaterSpec, LidSpec, Placement};
use swimdays_pool::Walls;
use swimdays_properties::materials::{GroundMaterial, TubeMaterial};
use swimdays_pump::Control;
use swimdays_report::text::{MOST_LINES, season_lines};
use swimdays_report::{Summary, SummaryInput, Units};
use swimdays_season::{OtherHeaterKind, OtherHeaterPlan, Plan, Season, Shell, Warning};
use swimdays_weather::{Column, Note, NoteKind, WeatherYear};

fn summary(plan: &Plan, weather: &WeatherYear, season: &Season) -> Summary {
    Summary::new(&SummaryInput {
        plan,
        weather,
        season,
        range: None,
        measures: &[],
        units: Units::Us,
        years: &[],
        normals: None,
        warnings: &[],
        program_version: "0.0.0",
    })
}

/// The lines without their breaks.
fn plain(summary: &Summary) -> String {
    let lines = season_lines(summary, 100);
    assert!(lines.len() <= MOST_LINES && lines.iter().all(|l| l.chars().count() <= 100));
    let all = lines.join(" ");
    all.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn warn(season: &mut Season, kinds: &[&'static str]) {
    season.warnings = kinds
        .iter()
        .map(|kind| Warning {
            kind,
            count: 1,
            text: format!("told of {kind}").into(),
        })
        .collect();
}

#[test]
fn heat_in_and_out_is_that_of_the_open_season_and_closes() {
    let (plan, weather) = (plan(false, 1.0), weather("temperate"));
    let season = stepped(&plan, &weather);
    let mut s = summary(&plan, &weather, &season);
    // May to September.
    assert_eq!((s.open_days, s.days), (153, 365));
    let e = &mut s.energy_open_kwh;
    *e = swimdays_report::EnergySummary {
        sun_on_water: 9000.0,
        heaters: 100.0,
        evaporation: -7000.0,
        longwave: -1100.0,
        stored_change: 1000.0,
        other_heater: 0.0,
        pump_heat: 0.0,
        rain: 0.0,
        convection: 0.0,
        ground: 0.0,
        walls: 0.0,
        make_up_water: 0.0,
    };
    let told = plain(&s);
    assert!(
        told.contains(
            "Heat in while the pool is open, kWh: sun on the water 9,000; solar heater 100."
        ),
        "{told}"
    );
    // 9000 + 100 in, 7000 + 1100 out: 1000 stay in the water.
    assert!(
        told.contains(
            "Heat out, kWh: evaporation 7,000; sky (longwave) 1,100; warmed the water 1,000."
        ),
        "{told}"
    );
    s.energy_open_kwh.stored_change = -500.0;
    assert!(plain(&s).contains("solar heater 100; the water, which cooled 500."));
    s.energy_open_kwh.stored_change = 50.0;
    let told = plain(&s);
    assert!(!told.contains("warmed the water") && !told.contains("which cooled"));
    s.open_days = s.days;
    assert!(plain(&s).contains("Heat in over the year, kWh:"));
}

#[test]
fn a_share_that_is_there_is_not_called_nothing() {
    let (plan, weather) = (plan(false, 1.0), weather("temperate"));
    let mut s = summary(&plan, &weather, &stepped(&plan, &weather));
    s.energy_open_kwh.heaters = 1e-4 * s.energy_open_kwh.sun_on_water;
    let told = plain(&s);
    assert!(
        told.contains(" under 1 % of all heat") && !told.contains(" 0 % of"),
        "{told}"
    );
}

#[test]
fn what_a_heater_gave_and_took_are_told_apart() {
    let (mut plan, weather) = (plan(false, 1.0), weather("temperate"));
    plan.heaters[0].name = "board".into();
    let mut season = stepped(&plan, &weather);
    let heater = &mut season.heaters[0];
    (heater.heated_kwh, heater.cooled_kwh, heater.siphoned_kwh) = (1200.0, -1070.0, 0.0);
    heater.heat_kwh = 130.0;
    season.night_cooling_h = Some((300.0, 280.0));
    let s = summary(&plan, &weather, &season);
    assert!(s.heaters[0].heated_kwh > 1199.0 && s.heaters[0].cooled_kwh < -1069.0);
    // Two digits: 1070 becomes 1,100.
    let gave = "The solar heater gave 1,200 kWh, and took 1,100 kWh to cool the pool.";
    assert!(plain(&s).contains(gave), "{}", plain(&s));

    season.night_cooling_h = None;
    let told = plain(&summary(&plan, &weather, &season));
    assert!(told.contains("took 1,100 kWh in hours in which it cooled the pool."));
    season.heaters[0].siphoned_kwh = -1000.0;
    let told = plain(&summary(&plan, &weather, &season));
    assert!(told.contains("took 1,100 kWh by itself while the pump stood."));
    season.heaters[0].cooled_kwh = -10.0;
    let told = plain(&summary(&plan, &weather, &season));
    assert!(!told.contains(" and took "), "a trifle: {told}");
}

#[test]
fn a_pump_that_never_ran_is_said() {
    let (mut plan, weather) = (plan(false, 1.0), weather("temperate"));
    plan.pump.as_mut().unwrap().control = Control::Never;
    let told = plain(&summary(&plan, &weather, &stepped(&plan, &weather)));
    assert!(
        told.contains("The pump never ran: the solar heater gave the pool nothing."),
        "{told}"
    );
    assert!(!told.contains("of all heat taken in"));
}

#[test]
fn notes_come_by_weight_and_doubts_before_all() {
    let (plan, weather) = (plan(false, 1.0), weather("temperate"));
    let mut season = stepped(&plan, &weather);
    warn(
        &mut season,
        &[
            "measured_year",
            "ice",
            "something_new",
            "layers",
            "short_cycling",
            "weather_ends",
            "boils",
            "too_hot",
            "sun_and_clock",
        ],
    );
    let s = summary(&plan, &weather, &season);
    let kinds: Vec<_> = s.warnings.iter().map(|w| w.kind).collect();
    assert_eq!(
        kinds,
        [
            "sun_and_clock",
            "weather_ends",
            "boils",
            "too_hot",
            "short_cycling",
            "something_new",
            "ice",
            "layers",
            "measured_year"
        ]
    );
    let lines = season_lines(&s, 100);
    let head = lines[..5].join("\n");
    assert!(
        head.contains("In doubt: told of sun_and_clock.")
            && head.contains("In doubt: told of weather_ends."),
        "{head}"
    );
    let all = lines.join("\n");
    assert!(all.contains("Note: told of boils.") && all.matches("sun_and_clock").count() == 1);
}

#[test]
fn what_of_the_weather_is_not_measured_is_told() {
    let (plan, mut weather) = (plan(false, 1.0), weather("temperate"));
    let season = stepped(&plan, &weather);
    let note = |kind, column, intervals| Note {
        kind,
        column,
        intervals,
        first: None,
        text: "told in full in summary.json".into(),
    };
    weather.place.name = "unknown".into();
    weather.notes = vec![
        note(NoteKind::NotGiven, Column::Rain, 8760),
        note(NoteKind::Filled, Column::Wind, 12),
        note(NoteKind::Filled, Column::DewPoint, 1240),
        note(NoteKind::Derived, Column::Infrared, 8760),
        note(NoteKind::Doubtful, Column::Pressure, 7),
    ];
    let s = summary(&plan, &weather, &season);
    assert_eq!(s.weather.notes[1].column, "wind speed");
    let told = plain(&s);
    let wanted = "typical year, EPW; doubtful pressure (up to 7 h); filled wind speed, dew point (up to 1,240 h); \
                  derived infrared from the sky; not given rain.";
    assert!(told.contains(wanted), "{told}");
    let place = format!("Weather: {:.2}° N, ", weather.place.latitude_deg);
    assert!(told.contains(&place) && !told.contains("unknown"), "{told}");
}

#[test]
fn numbers_stay_with_their_units() {
    let (plan, weather) = (plan(false, 1.0), weather("temperate"));
    let mut s = summary(&plan, &weather, &stepped(&plan, &weather));
    for extra in 0..40 {
        s.scenario = "x".repeat(1 + extra);
        for width in 60..=100 {
            for line in season_lines(&s, width) {
                let start = line.trim_start();
                for part in [
                    "% ", "%.", "too hot", "hot.", "kWh ", "kWh.", "kWh,", "°F", "gal ", "s)",
                ] {
                    assert!(!start.starts_with(part), "{width}: {line}");
                }
            }
        }
    }
}

fn kinds(plan: &Plan, season: &Season) -> Vec<&'static str> {
    let weather = weather("temperate");
    summary(plan, &weather, season)
        .cautions
        .iter()
        .map(|c| c.kind)
        .collect()
}

fn caution(plan: &Plan, season: &Season, kind: &str) -> String {
    let weather = weather("temperate");
    summary(plan, &weather, season)
        .cautions
        .iter()
        .find(|c| c.kind == kind)
        .map(|c| format!("{} {}", c.short, c.text))
        .unwrap_or_default()
}

#[test]
fn an_ordinary_heater_brings_its_own_cautions() {
    let mut plan = plan(false, 1.0);
    plan.heaters.clear();
    plan.pump = None;
    let season = stepped(&plan, &weather("temperate"));
    assert!(!kinds(&plan, &season).contains(&"electricity"));
    for kind in [
        OtherHeaterKind::Gas,
        OtherHeaterKind::Electric,
        OtherHeaterKind::HeatPump,
    ] {
        plan.other_heater = Some(OtherHeaterPlan {
            kind,
            heat_w: 20e3,
            efficiency: 0.8,
            setpoint_c: 27.0,
            months: [true; 12],
        });
        let found = kinds(&plan, &season);
        assert!(found.contains(&"electricity"), "{kind:?}");
        assert_eq!(
            found.contains(&"flue_gas"),
            kind == OtherHeaterKind::Gas,
            "{kind:?}"
        );
        assert!(!caution(&plan, &season, "electricity").contains("mains-powered pump"));
    }
}

#[test]
fn a_heater_has_the_cautions_of_its_kind_and_place() {
    let mut plan = plan(false, 1.0);
    let season = stepped(&plan, &weather("temperate"));
    let has = |plan: &Plan, kind: &str| kinds(plan, &season).contains(&kind);
    for kind in ["wind", "lifting", "climbing", "hot_surface"] {
        assert!(has(&plan, kind), "a board on the ground: {kind}");
    }
    for kind in ["roof", "digging"] {
        assert!(!has(&plan, kind), "a board on the ground: {kind}");
    }
    let HeaterSpec::Board(board) = plan.heaters[0].spec else {
        panic!("a board")
    };
    plan.heaters[0].height_above_water_m = 3.0;
    assert!(has(&plan, "roof") && has(&plan, "wind"));
    for kind in ["lifting", "climbing", "hot_surface", "digging"] {
        assert!(!has(&plan, kind), "a board on a roof: {kind}");
    }

    plan.heaters[0].height_above_water_m = 0.0;
    let deck = |placement| {
        HeaterSpec::Deck(DeckSpec {
            tube: board.tube,
            placement,
            spacing_m: 0.15,
            slab: GroundMaterial::MoistSoil,
            slab_thickness_m: 0.1,
            soil: GroundMaterial::MoistSoil,
            absorptance_frac: 0.6,
            emissivity_frac: 0.9,
            exposed_shape_frac: 0.5,
        })
    };
    plan.heaters[0].spec = deck(Placement::InSlab { depth_m: 0.05 });
    assert!(has(&plan, "digging"));
    for kind in ["wind", "roof", "lifting", "climbing", "hot_surface"] {
        assert!(!has(&plan, kind), "a deck in a slab: {kind}");
    }
    plan.heaters[0].spec = deck(Placement::OnSurface {
        contact_conductance_w_m_k: 1.0,
    });
    assert!(has(&plan, "hot_surface") && !has(&plan, "digging") && !has(&plan, "wind"));
}

#[test]
fn only_plastics_soften_and_only_copper_corrodes() {
    let mut plan = plan(false, 1.0);
    let mut season = stepped(&plan, &weather("temperate"));
    season.heaters[0].peak_stagnation_c = 75.0;
    for (material, softens) in [
        (TubeMaterial::Polyethylene, true),
        (TubeMaterial::Pvc, true),
        (TubeMaterial::Epdm, false),
        (TubeMaterial::Copper, false),
    ] {
        let HeaterSpec::Board(board) = &mut plan.heaters[0].spec else {
            panic!("a board")
        };
        board.tube.material = material;
        let found = kinds(&plan, &season);
        assert_eq!(found.contains(&"softening"), softens, "{material:?}");
        assert_eq!(
            caution(&plan, &season, "chemicals").contains("copper"),
            material == TubeMaterial::Copper,
            "{material:?}"
        );
    }
}

#[test]
fn cautions_name_only_what_there_is() {
    let full = plan(false, 1.0);
    let mut season = stepped(&full, &weather("temperate"));
    season.water_max_c = 41.0;
    assert!(caution(&full, &season, "frost").contains("Drain heater, pump and pipes"));
    assert!(caution(&full, &season, "pool_far_too_hot").contains("Take cover and heater off"));
    let mut bare = full.clone();
    bare.heaters.clear();
    assert!(caution(&bare, &season, "frost").contains("Drain pump and pipes"));
    assert!(caution(&bare, &season, "pool_far_too_hot").contains("Take the cover off"));
    bare.pump = None;
    bare.cover = None;
    let frost = caution(&bare, &season, "frost");
    assert!(
        !frost.contains("heater") && !frost.contains("pump"),
        "{frost}"
    );
    let hot = caution(&bare, &season, "pool_far_too_hot");
    assert!(
        !hot.contains("heater") && !hot.contains("over off"),
        "{hot}"
    );
}

#[test]
fn boiling_is_warned_of_first() {
    let plan = plan(false, 1.0);
    let mut season = stepped(&plan, &weather("temperate"));
    season.warnings.clear();
    let boiling = |season: &Season| kinds(&plan, season).first() == Some(&"boiling");
    season.peak_outlet_c = Some(40.0);
    season.peak_stagnation_c = Some(99.0);
    assert!(!boiling(&season));
    season.peak_stagnation_c = Some(100.0);
    assert!(boiling(&season));
    // High up water boils below 100 °C: the run, which knows the pressure, says so.
    season.peak_stagnation_c = Some(94.0);
    warn(&mut season, &["boils"]);
    assert!(boiling(&season));
    let told = caution(&plan, &season, "boiling");
    for wanted in ["steam", "burst hoses", "Never stand over the outlet"] {
        assert!(told.contains(wanted), "{wanted}");
    }
}

#[test]
fn the_terminal_shows_this_plans_own_cautions_and_names_the_rest() {
    let mut plan = plan(false, 1.0);
    let HeaterSpec::Board(board) = &mut plan.heaters[0].spec else {
        panic!("a board")
    };
    board.lid = Some(LidSpec {
        transmittance_frac: 0.9,
        gap_m: 0.025,
        b0: 0.1,
        emissivity_frac: 0.9,
    });
    plan.heaters[0].height_above_water_m = 3.0;
    let season = stepped(&plan, &weather("temperate"));
    let s = summary(&plan, &weather("temperate"), &season);
    let order: Vec<_> = s.cautions.iter().map(|c| c.kind).collect();
    let place = |kind: &str| order.iter().position(|k| *k == kind).unwrap();
    for own in ["glazed_box", "roof", "wind", "scald"] {
        for common in ["electricity", "cover", "suction", "siphon", "backflow"] {
            assert!(place(own) < place(common), "{own} before {common}");
        }
    }
    let told = plain(&s);
    assert!(told.contains("Under a clear lid a dry heater softens plastic"));
    for &kind in &order {
        let short = &s.cautions[place(kind)].short;
        assert!(
            told.contains(&kind.replace('_', " ")) || told.contains(short),
            "{kind} is shown or named in\n{told}"
        );
    }
}

#[test]
fn walls_of_a_pool_above_ground_carry_nothing() {
    let mut plan = plan(false, 1.0);
    let season = stepped(&plan, &weather("temperate"));
    assert!(!kinds(&plan, &season).contains(&"pool_walls"));
    let Shell::InGround { ground, .. } = &plan.pool.shell else {
        panic!("in the ground")
    };
    plan.pool.shell = Shell::AboveGround {
        walls: Walls {
            area_m2: 27.0,
            conductance_w_m2_k: 5.0,
            absorptance_frac: 0.5,
            emissivity_frac: 0.9,
        },
        floor: *ground,
    };
    let told = caution(&plan, &season, "pool_walls");
    assert!(told.contains("lean") && told.contains("climb"), "{told}");
}
