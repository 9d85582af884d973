//! Any plan that can be built, any weather that can be: no panic, nothing that is not a number, books that close.

use chrono::NaiveDate;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use swimdays_collector::HeaterSpec;
use swimdays_pool::{CoverKind, EvaporationModel};
use swimdays_pump::{
    Control, DifferentialControl, FlowSource, NightCooling, SensorPlace, Window, every_month,
};
use swimdays_season::{CoverPlan, Plan, Prepared, Ranged, Season, SeasonError, Shell};
use swimdays_weather::{Columns, Format, Place, WeatherYear, YearKind};

use crate::{Ran, scenario, scenario_text};

const CASES: u32 = 300;
const SEED: [u8; 32] = *b"any pool in any weather, 300 tim";
/// The step is written so that the flows sum to what is stored, to rounding.
const CLOSURE_FRAC: f64 = 1e-6;
/// Water may not get hotter than the hottest thing that touches it.
const BOILING_C: f64 = 100.0;
/// Largest mixed heaters on a tub: what is stored must still be m c ΔT.
const STORED_FRAC: f64 = 1e-6;

#[derive(Clone, Debug)]
struct Case {
    volume_m3: f64,
    depth_m: f64,
    shell: u8,
    cover: Option<usize>,
    off_above_c: Option<f64>,
    heater: u8,
    size: f64,
    flow_m3_s: f64,
    control: u8,
    valve: bool,
    cool: bool,
    evaporation: usize,
    wind_frac: f64,
    start_c: f64,
    other_w: f64,
    limit_c: f64,
    latitude: f64,
    air_c: f64,
    swing_k: f64,
    humidity: f64,
    wind_m_s: f64,
    clear: f64,
    rain_mm: f64,
    infrared: bool,
    interval: u32,
    month: u32,
    tilt: f64,
    facing: f64,
}

fn cases() -> impl Strategy<Value = Case> {
    // Log-uniform where sizes run over decades.
    let log = |from: f64, to: f64| (from.ln()..to.ln()).prop_map(f64::exp);
    let pool = (
        log(0.3, 1000.0),
        0.2..3.0,
        0_u8..2,
        proptest::option::of(0_usize..5),
        proptest::option::of(10.0..40.0),
    );
    let heater = (
        0_u8..5,
        log(0.1, 30.0),
        log(1e-6, 2e-2),
        0_u8..4,
        any::<bool>(),
        any::<bool>(),
    );
    let water = (
        0_usize..5,
        0.0..1.0,
        0.0..42.0,
        prop_oneof![Just(0.0), log(100.0, 1e6)],
        0.0..45.0,
    );
    let weather = (
        -65.0..65.0,
        -35.0..45.0,
        0.0..20.0,
        0.05..1.0,
        0.0..30.0,
        0.0..1.0,
        prop_oneof![Just(0.0), 0.0..30.0],
        any::<bool>(),
    );
    let time = (
        prop_oneof![Just(60_u32), Just(30), Just(15)],
        1_u32..=12,
        0.0..90.0,
        0.0..360.0,
    );
    (pool, heater, water, weather, time).prop_map(|(p, h, w, k, t)| Case {
        volume_m3: p.0,
        depth_m: p.1,
        shell: p.2,
        cover: p.3,
        off_above_c: p.4,
        heater: h.0,
        size: h.1,
        flow_m3_s: h.2,
        control: h.3,
        valve: h.4,
        cool: h.5,
        evaporation: w.0,
        wind_frac: w.1,
        start_c: w.2,
        other_w: w.3,
        limit_c: w.4,
        latitude: k.0,
        air_c: k.1,
        swing_k: k.2,
        humidity: k.3,
        wind_m_s: k.4,
        clear: k.5,
        rain_mm: k.6,
        infrared: k.7,
        interval: t.0,
        month: t.1,
        tilt: t.2,
        facing: t.3,
    })
}

/// Four days of the case's weather: waves, a sun that is high at noon, gusts.
fn weather(case: &Case) -> WeatherYear {
    let per_hour = 60 / case.interval;
    let n = 4 * 24 * per_hour;
    let mut c = Columns::default();
    let (mut infrared, mut rain) = (Vec::new(), Vec::new());
    for i in 0..n {
        let hour = f64::from(i) / f64::from(per_hour) + 0.5 / f64::from(per_hour);
        let wave = (std::f64::consts::TAU * (hour - 9.0) / 24.0).sin();
        let air = case.air_c + case.swing_k * wave;
        let height = -(std::f64::consts::TAU * hour / 24.0).cos();
        let sun = (1100.0 * height).max(0.0);
        let beam = case.clear * sun;
        c.air_c.push(air);
        // Dew point from the humidity by Magnus' formula, good enough to invent weather.
        let g = case.humidity.ln() + 17.625 * air / (243.04 + air);
        c.dew_point_c.push(243.04 * g / (17.625 - g));
        c.pressure_pa.push(90_000.0);
        c.wind_m_s.push(case.wind_m_s * (0.5 + 0.5 * wave).max(0.0));
        c.ghi_w_m2.push(0.8 * beam + 0.2 * sun);
        c.dhi_w_m2.push(0.2 * sun);
        c.dni_w_m2.push(if height > 0.05 {
            (0.8 * beam / height).min(1200.0)
        } else {
            0.0
        });
        infrared.push(0.8 * 5.67e-8 * (air + 273.15_f64).powi(4));
        rain.push(if i % (7 * per_hour) == 3 {
            case.rain_mm
        } else {
            0.0
        });
    }
    c.infrared_w_m2 = case.infrared.then_some(infrared);
    c.rain_mm = Some(rain);
    WeatherYear {
        place: Place {
            name: "invented".into(),
            latitude_deg: case.latitude,
            longitude_deg: 10.0,
            utc_offset_h: 1.0,
            altitude_m: 1000.0,
        },
        format: Format::Epw,
        kind: YearKind::Typical,
        first_start: NaiveDate::from_ymd_opt(2001, case.month, 5)
            .and_then(|d| d.and_hms_opt(0, 0, 0))
            .expect("a date"),
        interval_minutes: case.interval,
        columns: c,
        radiation_shift_minutes: 0.0,
        normals: None,
        notes: Vec::new(),
    }
}

const ALL_KINDS: &str = r#"
[site]
weather = "none.epw"
[pool]
area = "20 m2"
depth = "1.3 m"
[[heater]]
name = "board"
kind = "board"
facing = "S"
tilt = "35 deg"
tube = { outer_diameter = "17.8 mm", bore = "15.2 mm", length = "60 m", circuits = 2 }
board = { area = "3 m2" }
[[heater]]
name = "deck"
kind = "deck"
tube = { material = "pex", outer_diameter = "16 mm", bore = "12 mm", length = "60 m" }
deck = { placement = "in-soil", depth = "300 mm" }
[[heater]]
name = "panel"
kind = "panel"
facing = "S"
tilt = "20 deg"
panel = { area = "5 m2" }
[pump]
kind = "own"
flow = "20 L/min"
"#;

fn plan(case: &Case) -> Plan {
    let mut plan = scenario_text(ALL_KINDS, &[]).plan;
    let area_m2 = case.volume_m3 / case.depth_m;
    let pool = &mut plan.pool;
    pool.area_m2 = area_m2;
    pool.volume_m3 = case.volume_m3;
    pool.sun.mean_depth_m = case.depth_m;
    pool.evaporation = EvaporationModel::ALL[case.evaporation];
    pool.wind_at_water_frac = Ranged::exact(case.wind_frac);
    pool.start_c = Some(case.start_c);
    if case.shell == 1 {
        let above = scenario("above-ground-south", &[]).plan.pool.shell;
        let Shell::AboveGround { mut walls, floor } = above else {
            panic!("above ground")
        };
        walls.area_m2 = 3.6 * area_m2.sqrt() * case.depth_m;
        pool.shell = Shell::AboveGround { walls, floor };
    } else if let Shell::InGround {
        contact_area_m2, ..
    } = &mut pool.shell
    {
        *contact_area_m2 = area_m2 + 4.0 * area_m2.sqrt() * case.depth_m;
    }
    plan.cover = case.cover.map(|k| {
        let kind = CoverKind::ALL[k];
        CoverPlan {
            on: every_month(&[Window {
                start_h: 17.3,
                end_h: 10.7,
            }]),
            off_in_swim_hours: case.valve,
            off_above_c: case.off_above_c,
            ..CoverPlan::usual(kind)
        }
    });
    match case.heater {
        0 => plan.heaters.clear(),
        1..=3 => {
            let k = usize::from(case.heater - 1);
            plan.heaters = vec![plan.heaters[k].clone()];
        }
        _ => {}
    }
    for heater in &mut plan.heaters {
        heater.plane.tilt_deg = case.tilt;
        heater.plane.azimuth_deg = case.facing;
        match &mut heater.spec {
            HeaterSpec::Board(b) => {
                b.tube.length_m *= case.size;
                b.board_area_m2 *= case.size;
                b.tilt_deg = case.tilt;
            }
            HeaterSpec::Deck(d) => d.tube.length_m *= case.size,
            HeaterSpec::Panel(p) => p.area_m2 *= case.size,
        }
    }
    let pump = plan.pump.as_mut().expect("written above");
    pump.pump.flow = FlowSource::Given {
        flow_m3_s: case.flow_m3_s,
    };
    pump.check_valve = case.valve;
    pump.limits.water_limit_c = Some(case.limit_c);
    pump.limits.night_cooling = case.cool.then_some(NightCooling {
        above_water_c: 26.0,
    });
    let window = every_month(&[Window {
        start_h: 8.4,
        end_h: 16.6,
    }]);
    pump.control = match case.control {
        0 => Control::Always,
        1 => Control::Never,
        2 => Control::Timer(window),
        _ => Control::Differential(DifferentialControl {
            on_k: 4.0,
            off_k: 1.0,
            sensor: SensorPlace::Board,
            least_run_s: 300.0,
            within: case.valve.then_some(window),
        }),
    };
    if case.other_w > 0.0 {
        plan.other_heater = Some(swimdays_season::OtherHeaterPlan {
            kind: swimdays_season::OtherHeaterKind::Electric,
            heat_w: case.other_w,
            efficiency: 1.0,
            setpoint_c: 27.0,
            months: [true; 12],
        });
    }
    plan
}

fn check(ran: &Ran, case: &Case) -> Result<(), TestCaseError> {
    let hourly = ran.hourly();
    let capacity = case.volume_m3 * 997.05 * 4181.3;
    let seconds = ran.year.interval_s;
    for (i, heat) in hourly.heat_w.iter().enumerate() {
        let v = heat.values();
        prop_assert!(v.iter().all(|x| x.is_finite()), "interval {i}: {heat:?}");
        let gross: f64 = v.iter().map(|x| x.abs()).sum();
        prop_assert!(
            heat.residual().abs() <= CLOSURE_FRAC * gross.max(1e-3),
            "interval {i}: {} of {gross} W",
            heat.residual()
        );
        let water = hourly.water_c[i];
        // A pool frozen solid goes on cooling, and says so.
        let solid = ran.season.warnings.iter().any(|w| w.kind == "frozen_solid");
        prop_assert!(
            water < BOILING_C && (water >= 0.0 || solid),
            "interval {i}: {water} °C"
        );
        if !ran.may_freeze(i) {
            let warmed = capacity * (water - ran.start_c(i)) / seconds;
            // 2e-4: density times specific heat from another source.
            prop_assert!(
                (heat.stored_change - warmed).abs() <= 2e-4 * warmed.abs() + STORED_FRAC * gross,
                "interval {i}: stored {} W, warmed {warmed} W",
                heat.stored_change
            );
        }
        for share in [hourly.pump_on_frac[i], hourly.cover_on_frac[i]] {
            prop_assert!((0.0..=1.0).contains(&share), "interval {i}: share {share}");
        }
        let outlet = hourly.outlet_c[i];
        prop_assert!(
            outlet.is_nan() == (hourly.pump_on_frac[i] <= 0.0 || ran.plan.heaters.is_empty()),
            "interval {i}: outlet {outlet}, pump {}",
            hourly.pump_on_frac[i]
        );
        prop_assert!(
            outlet.is_nan() || (-80.0..400.0).contains(&outlet),
            "interval {i}: outlet {outlet}"
        );
    }
    let season: &Season = &ran.season;
    let gross: f64 = season.heat_kwh.values().iter().map(|x| x.abs()).sum();
    prop_assert!(season.heat_kwh.residual().abs() <= CLOSURE_FRAC * gross.max(1e-6));
    let book = &season.water_book;
    prop_assert!(
        book.residual_kg().abs() <= 1e-6 * (book.make_up_kg + book.rain_kg + 1.0),
        "{book:?}"
    );
    prop_assert!(
        season.cover_residual_w_m2 <= 1e-3,
        "cover {}",
        season.cover_residual_w_m2
    );
    for heater in &season.heaters {
        let counted = heater.absorbed_less_lost_kwh + heater.from_standing_tube_kwh;
        let gross = heater.absorbed_less_lost_kwh.abs() + heater.from_standing_tube_kwh.abs();
        prop_assert!(
            (heater.heat_kwh - counted).abs() <= CLOSURE_FRAC * gross.max(1e-3),
            "{heater:?}"
        );
    }
    Ok(())
}

#[test]
fn any_plan_in_any_weather() {
    let config = Config {
        cases: CASES,
        failure_persistence: None,
        max_shrink_iters: 200,
        ..Config::default()
    };
    let mut runner =
        TestRunner::new_with_rng(config, TestRng::from_seed(RngAlgorithm::ChaCha, &SEED));
    let tally = std::cell::RefCell::new([0_usize; 2]);
    let outcome = runner.run(&cases(), |case| {
        let (plan, weather) = (plan(&case), weather(&case));
        match Prepared::new(&plan, &weather) {
            Ok(year) => match swimdays_season::run(&plan, &year, swimdays_season::Detail::Full) {
                Ok(season) => {
                    tally.borrow_mut()[0] += 1;
                    check(
                        &Ran {
                            plan,
                            weather,
                            year,
                            season,
                        },
                        &case,
                    )
                }
                // A refusal is an answer, when it says why.
                Err(SeasonError::Heater(_) | SeasonError::Pool(_)) => {
                    tally.borrow_mut()[1] += 1;
                    Ok(())
                }
                Err(error) => Err(TestCaseError::fail(format!("{error}"))),
            },
            Err(error) => Err(TestCaseError::fail(format!("{error}"))),
        }
    });
    let [run, refused] = *tally.borrow();
    println!("{run} run, {refused} refused");
    if let Err(error) = outcome {
        panic!("{error}");
    }
    assert!(
        run > 9 * refused,
        "{run} run, {refused} refused: the cases are not what they should be"
    );
}

/// The two ends named by hand: a tub of 0.3 m³ under 20 m² of board, and 1000 m³ with one small board.
#[test]
fn a_tub_under_a_huge_board_and_a_lake_with_a_small_one() {
    for (volume, depth, tube, board) in [
        ("0.3 m3", "0.3 m", "1100 m", "20 m2"),
        ("1000 m3", "2 m", "5 m", "0.5 m2"),
    ] {
        let area = if volume == "0.3 m3" { "1 m2" } else { "500 m2" };
        let sets = [
            format!("pool.area={area}"),
            format!("pool.depth={depth}"),
            format!("heater.board.tube.length={tube}"),
            "heater.board.tube.circuits=10".to_owned(),
            format!("heater.board.board.area={board}"),
            "heater.board.board.layout=serpentine".to_owned(),
            "pump.stop_above=never".to_owned(),
            "pump.flow=20 gpm".to_owned(),
        ];
        let sets: Vec<&str> = sets.iter().map(String::as_str).collect();
        let ran = Ran::on("cover-and-board", &sets, &crate::sample("hot-dry.epw"));
        crate::closes(&ran, volume);
        println!(
            "{volume}: {:.1} to {:.1} °C, heaters {:.0} kWh, outlet at most {:?} °C",
            ran.season.water_min_c,
            ran.season.water_max_c,
            ran.season.heat_kwh.heaters,
            ran.season.peak_outlet_c
        );
        assert!(ran.season.water_min_c >= 0.0);
        assert!(ran.season.water_max_c < BOILING_C);
    }
}
