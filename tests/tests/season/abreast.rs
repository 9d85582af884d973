//! Many seasons side by side: each is bit for bit the season run alone.

use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed, TestRunner};
use swimdays_collector::{HeaterSpec, PanelSpec, Placement};
use swimdays_pump::{Control, DifferentialControl, NightCooling, SensorPlace};
use swimdays_season::{Detail, MonthDay, Plan, Prepared, Season, run, run_many};
use swimdays_weather::WeatherYear;

use crate::{sample, scenario};

/// The scenarios whose plans are mixed: in-ground and above ground, with and without cover, boards, decks, panels.
const SCENARIOS: [&str; 8] = [
    "above-ground-south",
    "bare",
    "board-and-deck",
    "cover-and-board",
    "cover-only",
    "five-on-the-roof",
    "four-coils",
    "large-board",
];

/// Every number of a season, written so that each has its own text: the shortest that leads back to the same bits.
fn bits(season: &Season) -> String {
    format!("{season:?}")
}

/// Runs the plans together and alone, plan by plan on the year prepared for all of them.
fn compare(plans: &[Plan], weather: &WeatherYear) {
    let mut union = plans[0].clone();
    union.heaters = plans.iter().flat_map(|p| p.heaters.clone()).collect();
    let year = Prepared::new(&union, weather).expect("year");
    let fitting: Vec<&Plan> = plans.iter().filter(|p| year.check(p).is_ok()).collect();
    assert!(fitting.len() > plans.len() / 2, "most plans share the year");
    let together = run_many(&fitting, &year, Detail::Days);
    assert_eq!(together.len(), fitting.len());
    for (plan, found) in fitting.iter().zip(together) {
        let alone = run(plan, &year, Detail::Days).map(|s| bits(&s));
        let found = found.map(|s| bits(&s));
        assert!(
            alone == found,
            "{}: differs from the season alone",
            plan.name
        );
    }
}

/// A bought panel, `size` 0…1.
fn panel(size: f64) -> PanelSpec {
    PanelSpec {
        area_m2: 2.0 + 6.0 * size,
        eta0_frac: 0.85,
        bu_s_m: 0.03,
        b1_w_m2_k: 10.0,
        b2_w_s_m3_k: 4.0,
        emissivity_over_absorptance: 1.0,
        heat_capacity_j_m2_k: 2e4,
        b0: 0.1,
    }
}

/// What is changed of a plan; each number lies in 0…1.
fn change(plan: &mut Plan, by: &[f64; 12], yes: &[bool; 6]) {
    let pool = &mut plan.pool;
    pool.area_m2 *= 0.5 + by[0];
    pool.volume_m3 *= 0.5 + by[1];
    pool.wind_at_water_frac.value = 0.1 + 0.4 * by[2];
    pool.start_c = yes[0].then_some(4.0 + 20.0 * by[3]);
    if yes[1] {
        (pool.opens, pool.closes) = (
            MonthDay { month: 5, day: 1 },
            MonthDay { month: 9, day: 20 },
        );
    }
    if yes[2] {
        plan.cover = None;
    }
    if let Some(cover) = &mut plan.cover {
        cover.covered_frac.value = 0.6 + 0.4 * by[4];
        cover.off_above_c = yes[3].then_some(22.0 + 10.0 * by[5]);
    }
    for heater in &mut plan.heaters {
        heater.wind_frac.value = 0.1 + 0.8 * by[6];
        heater.performance.value = 0.8 + 0.3 * by[7];
        if let HeaterSpec::Board(board) = &mut heater.spec {
            board.tube.length_m *= 0.3 + 0.7 * by[8];
            board.pitch_m *= 1.0 + 0.2 * by[9] * f64::from(u8::from(board.tube.length_m > 20.0));
            board.board_area_m2 *= 1.3;
            board.back_exposed = yes[4];
        }
        if let HeaterSpec::Deck(deck) = &mut heater.spec {
            deck.tube.length_m *= 0.3 + 0.7 * by[8];
            deck.spacing_m *= 1.0 + 0.5 * by[9];
            deck.absorptance_frac = 0.5 + 0.4 * by[2];
            if yes[5] {
                deck.placement = Placement::OnSurface {
                    contact_conductance_w_m_k: 0.2 + 2.0 * by[4],
                };
            }
            if by[0] < 0.2 {
                heater.spec = HeaterSpec::Panel(panel(by[8]));
            }
        }
    }
    if let Some(pump) = &mut plan.pump {
        pump.limits.water_limit_c = yes[3].then_some(20.0 + 12.0 * by[10]);
        pump.check_valve = yes[4];
        if by[11] < 0.3 {
            pump.control = Control::Differential(DifferentialControl {
                on_k: 3.0 + 4.0 * by[10],
                off_k: 0.3,
                sensor: SensorPlace::Board,
                least_run_s: 300.0 * by[9],
                within: None,
            });
        }
        if by[11] > 0.7 {
            pump.limits.night_cooling = Some(NightCooling {
                above_water_c: 20.0 + 8.0 * by[3],
            });
        }
    }
}

#[test]
fn plans_of_all_kinds_go_side_by_side_as_alone() {
    let bases: Vec<Plan> = SCENARIOS.iter().map(|s| scenario(s, &[]).plan).collect();
    let one = (
        0..bases.len(),
        prop::array::uniform12(0.0..1.0_f64),
        prop::array::uniform6(any::<bool>()),
    );
    let config = Config {
        cases: 3,
        rng_seed: RngSeed::Fixed(7),
        failure_persistence: None,
        ..Config::default()
    };
    let weather = [sample("temperate.epw"), sample("hot-dry.epw")];
    TestRunner::new(config)
        .run(&prop::collection::vec(one, 40), |changes| {
            let key = bases[0].clone();
            let plans: Vec<Plan> = changes
                .iter()
                .map(|(base, by, yes)| {
                    let mut plan = bases[*base].clone();
                    // One site, water and ground for all, so that they share a year.
                    plan.site = key.site.clone();
                    plan.models = key.models;
                    plan.pool.sun = key.pool.sun;
                    plan.pool.obstructions.clone_from(&key.pool.obstructions);
                    change(&mut plan, by, yes);
                    plan
                })
                .collect();
            compare(&plans, &weather[changes[0].0 % weather.len()]);
            Ok(())
        })
        .expect("every lane is the season alone");
}

#[test]
fn each_scenario_is_itself_among_its_like() {
    for name in SCENARIOS {
        let scenario = scenario(name, &[]);
        let weather = swimdays_weather::read(&scenario.weather.files()[0].path).expect("weather");
        let plans: Vec<Plan> = (0..5_u8)
            .map(|i| {
                let mut plan = scenario.plan.clone();
                plan.pool.volume_m3 *= 1.0 + 0.1 * f64::from(i);
                plan
            })
            .collect();
        compare(&plans, &weather);
    }
}

#[test]
fn errors_stand_where_their_plans_stand() {
    let plan = scenario("cover-and-board", &[]).plan;
    let year = Prepared::new(&plan, &sample("temperate.epw")).expect("year");
    let mut without_pump = plan.clone();
    without_pump.pump = None;
    let plans = [&plan, &without_pump, &plan, &plan];
    let found = run_many(&plans, &year, Detail::Days);
    assert!(found[0].is_ok() && found[1].is_err() && found[2].is_ok() && found[3].is_ok());
    let full = run_many(&plans[..1], &year, Detail::Full);
    assert!(full[0].as_ref().is_ok_and(|s| s.hourly.is_some()));
}
