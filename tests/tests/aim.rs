//! Which way to face, from outside: the sun that pvlib sums on planes, the trade's rule of thumb, the mirror at the equator, shade.
//!
//! The sums come from `.ci/reference/plane_sums.py` into the folder SWIMDAYS_REFERENCE_DIR.

use std::path::Path;

use swimdays_collector::HeaterSpec;
use swimdays_scenario::parse;
use swimdays_season::Plan;
use swimdays_solar::{Obstruction, Orbit};
use swimdays_studies::{AimAsk, AimFound, Objective, aim};
use swimdays_tests::validation::{self, two_digits};
use swimdays_tests::{Errors, outside_folder, root};
use swimdays_weather::{WeatherYear, read};

const STEP_DEG: f64 = 7.5;
/// The heat of a cell against its share of the sun: pvlib's extraterrestrial irradiance is another series, our sun stands in the
/// middle of the lit part of the hour, and a TMY3's own clock may be some minutes off.
const SHARE_99: f64 = 0.01;

/// Years: name in the reference, file, label.
const YEARS: [(&str, &str, &str); 3] = [
    (
        "tmy3_36n",
        "pvlib-0.16.1/pvlib/data/723170TYA.CSV",
        "TMY3 36 N",
    ),
    (
        "tmy3_55n",
        "pvlib-0.16.1/pvlib/data/703165TY.csv",
        "TMY3 55 N",
    ),
    (
        "epw_42n",
        "diyepw-1.3.1/diyepw/data/tmy_epw_files/USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw",
        "EPW 42 N",
    ),
];

/// A heater that loses nothing and takes in all light alike, always run: its heat is the irradiance of its plane.
const ALL_LIGHT: &str = r#"
[site]
weather = "none.epw"
ground_albedo = 0.2
[pool]
length = "8 m"
width = "4 m"
depth = "1.4 m"
[[heater]]
name = "panel"
kind = "panel"
facing = "S"
tilt = "10 deg"
[heater.panel]
area = "1 m2"
eta0 = 1.0
bu = 0.0
b1 = 0.1
b2 = 0.0
emissivity_over_absorptance = 0.0
b0 = 0.0
[pump]
flow = "20 L/min"
control = "always"
stop_above = "never"
frost_stop = "never"
"#;

fn plan(text: &str) -> Plan {
    let mut plan = parse(text, "here.toml", Path::new("."), &[])
        .unwrap_or_else(|e| panic!("{e}"))
        .plan;
    for heater in &mut plan.heaters {
        if let HeaterSpec::Panel(panel) = &mut heater.spec {
            panel.b1_w_m2_k = 1e-6;
        }
    }
    plan
}

fn ask(objective: Objective, step_deg: f64) -> AimAsk {
    AimAsk {
        heater: 0,
        objective,
        step_deg,
    }
}

fn found(plan: &Plan, year: &WeatherYear, objective: Objective, step_deg: f64) -> AimFound {
    aim(plan, &[year], &ask(objective, step_deg)).unwrap_or_else(|e| panic!("{e}"))
}

fn sample(name: &str) -> WeatherYear {
    read(&root().join("weather-samples").join(name)).unwrap_or_else(|e| panic!("{e}"))
}

/// `sums[azimuth][tilt]`, kWh/m².
fn sums(folder: &Path, year: &str) -> Vec<Vec<f64>> {
    let path = folder.join("plane_sums.csv");
    let mut reader = csv::Reader::from_path(&path)
        .unwrap_or_else(|e| panic!("{} (written by .ci/run): {e}", path.display()));
    let mut out: Vec<Vec<f64>> = Vec::new();
    for record in reader.records() {
        let record = record.expect("a row");
        if &record[0] != year {
            continue;
        }
        let number = |i: usize| record[i].parse::<f64>().expect("a number");
        if number(2).abs() < 1e-9 {
            out.push(Vec::new());
        }
        out.last_mut().expect("begins flat").push(number(3));
    }
    out
}

/// Best tilt and facing of the annual irradiation within the map's step, and every cell's share of the best.
#[test]
fn the_best_plane_of_a_year_is_that_of_pvlib() {
    let (Some(reference), Some(weather)) = (
        outside_folder("SWIMDAYS_REFERENCE_DIR"),
        outside_folder("SWIMDAYS_WEATHER_DIR"),
    ) else {
        return;
    };
    let plan = plan(ALL_LIGHT);
    let mut rows = vec![
        "| year | best by pvlib: facing, tilt, kWh/m² | best here | shares of the best over all cells: median, 99 % and largest difference |".to_owned(),
        "|---|---|---|---|".to_owned(),
    ];
    for (name, file, label) in YEARS {
        let year = read(&weather.join(file)).unwrap_or_else(|e| panic!("{e}"));
        let expected = sums(&reference, name);
        assert_eq!((expected.len(), expected[0].len()), (48, 13), "{name}");
        let found = found(&plan, &year, Objective::SeasonHeat, STEP_DEG);
        let (mut facing, mut tilt, mut most) = (0.0, 0.0, 0.0);
        for (column, &azimuth) in expected.iter().zip(&found.azimuths_deg) {
            for (&value, &steep) in column.iter().zip(&found.tilts_deg) {
                if value > most {
                    (facing, tilt, most) = (azimuth, steep, value);
                }
            }
        }
        let best = found.best;
        let at = best.position;
        assert!(
            (at.azimuth_deg - facing).abs() <= STEP_DEG && (at.tilt_deg - tilt).abs() <= STEP_DEG,
            "{name}: {at:?}, pvlib {facing} {tilt}"
        );
        let top = found
            .cells
            .iter()
            .flatten()
            .map(|score| score.season_kwh)
            .fold(0.0, f64::max);
        let off: Vec<f64> = expected
            .iter()
            .zip(&found.cells)
            .flat_map(|(theirs, ours)| theirs.iter().zip(ours))
            .map(|(theirs, ours)| ours.season_kwh / top - theirs / most)
            .collect();
        let errors = Errors::of(&off);
        assert!(errors.percentile_99 < SHARE_99, "{name}: {errors}");
        rows.push(format!(
            "| {label} | {facing}°, {tilt}°, {most:.0} | {:.0}°, {:.0}°, {:.0} | {}, {}, {} |",
            at.azimuth_deg,
            at.tilt_deg,
            best.score.season_kwh,
            two_digits(errors.median),
            two_digits(errors.percentile_99),
            two_digits(errors.max)
        ));
        // One m² of a heater that takes in everything: its heat is the sun on it.
        assert!(
            (best.score.season_kwh / most - 1.0).abs() < 0.01,
            "{name}: {} against {most} kWh",
            best.score.season_kwh
        );
    }
    validation::table("aim-pvlib", &rows);
}

/// Latitude less 10 to 15° towards the equator for a summer's season (common practice, no source): as good as the best, within 2 %.
#[test]
fn the_rule_of_thumb_is_as_good_as_the_best() {
    let text = ALL_LIGHT.replace(
        "depth = \"1.4 m\"",
        "depth = \"1.4 m\"\nopens = \"05-01\"\ncloses = \"09-30\"",
    );
    let plan = plan(&text);
    for file in ["temperate.epw", "hot-dry.epw"] {
        let year = sample(file);
        let found = found(&plan, &year, Objective::SeasonHeat, STEP_DEG);
        let latitude = year.place.latitude_deg;
        for less in [10.0, 15.0] {
            let rule = latitude - less;
            let good = found.tilt_as_good;
            assert!(
                (good.from_deg..=good.to_deg).contains(&rule),
                "{file}: {rule}° is not within {good:?}"
            );
        }
        let facing = found.facing_as_good.expect("not every way is as good");
        assert!(
            facing.from_deg < 180.0 && 180.0 < facing.to_deg,
            "{file}: south is not within {facing:?}"
        );
    }
}

/// A year and its mirror image south of the equator, 182 days later, on an orbit without eccentricity: mirrored answers. Of 364 days
/// each, with a start, so that the calendar of both is a stretch.
#[test]
fn the_south_faces_north() {
    let year = sample("temperate.epw");
    let n = 364 * 24;
    let mut north = year.clone();
    for (_, column) in north.columns.each_mut() {
        column.truncate(n);
    }
    let c = &mut north.columns;
    for column in [
        &mut c.rain_mm,
        &mut c.albedo_frac,
        &mut c.infrared_w_m2,
        &mut c.sky_cover_frac,
    ] {
        *column = None;
    }
    let mut south = north.clone();
    south.first_start += chrono::TimeDelta::days(182);
    south.place.latitude_deg = -north.place.latitude_deg;
    let text = ALL_LIGHT
        .replace("depth = \"1.4 m\"", "depth = \"1.4 m\"\nstart = \"10 °C\"")
        .replace(
            "[pump]\nflow = \"20 L/min\"\ncontrol = \"always\"",
            "[pump]\nflow = \"20 L/min\"\nhours = \"9:00-15:00\"",
        );
    let mut plan = plan(&text);
    plan.models.orbit = Orbit::CircularMeanTime;
    let a = found(&plan, &north, Objective::SeasonHeat, 15.0);
    let b = found(&plan, &south, Objective::SeasonHeat, 15.0);
    assert!(b.south && !a.south);
    assert!((a.best.position.tilt_deg - b.best.position.tilt_deg).abs() < 1e-9);
    let mirrored = (180.0 - a.best.position.azimuth_deg).rem_euclid(360.0);
    assert!(
        (mirrored - b.best.position.azimuth_deg).abs() < 1e-9,
        "{mirrored} {:?}",
        b.best.position
    );
    for (at, azimuth) in a.azimuths_deg.iter().enumerate() {
        let mirror = (180.0 - azimuth).rem_euclid(360.0);
        let to = b
            .azimuths_deg
            .iter()
            .position(|z| (z - mirror).abs() < 1e-9)
            .expect("on the map");
        for (x, y) in a.cells[at].iter().zip(&b.cells[to]) {
            assert!(
                (x.season_kwh - y.season_kwh).abs() < 1e-6 * x.season_kwh.abs().max(1.0),
                "{azimuth}"
            );
        }
    }
}

/// A house in the west turns the best to the east, and everything the heater gives is less.
#[test]
fn a_house_in_the_west_turns_the_best_east() {
    let year = sample("temperate.epw");
    let mut plan = plan(ALL_LIGHT);
    let open = found(&plan, &year, Objective::SeasonHeat, 15.0);
    plan.heaters[0].obstructions = vec![Obstruction {
        from_azimuth_deg: 190.0,
        to_azimuth_deg: 350.0,
        elevation_deg: 60.0,
        opacity_frac: 1.0,
    }];
    let shaded = found(&plan, &year, Objective::SeasonHeat, 15.0);
    assert!(
        shaded.best.position.azimuth_deg < open.best.position.azimuth_deg - 10.0,
        "{:?} {:?}",
        shaded.best.position,
        open.best.position
    );
    assert!(shaded.best.score.season_kwh < open.best.score.season_kwh);
    for (with, without) in shaded
        .cells
        .iter()
        .flatten()
        .zip(open.cells.iter().flatten())
    {
        // Upright and turned away from the house it sees nothing of it.
        assert!(with.season_kwh <= without.season_kwh + 1e-6);
    }
}

/// Nothing on the map is better than the best, the own position loses what it says, and days that tie are told by heat.
#[test]
fn the_best_is_the_best_of_the_map() {
    let path = root().join("scenarios/cover-and-board.toml");
    let plan = swimdays_scenario::load(&path, &[])
        .unwrap_or_else(|e| panic!("{e}"))
        .plan;
    let year = sample("temperate.epw");
    for objective in [
        Objective::SwimDays,
        Objective::SeasonHeat,
        Objective::SpringHeat,
    ] {
        let found = found(&plan, &year, objective, 45.0);
        let most = found.best.score.worth(objective);
        for cell in found.cells.iter().flatten() {
            assert!(cell.worth(objective) <= most, "{objective:?}");
        }
        assert!(found.given.score.worth(objective) <= most);
        let lost = most.0 - found.given.score.worth(objective).0;
        assert!((found.loss.value - lost).abs() < 1e-9);
        assert!(found.loss.low <= lost && lost <= found.loss.high);
        // The pool opens in May: spring is May alone, 31 days.
        assert_eq!(found.open_spring_days, 31);
        assert!(found.best.score.spring_kwh < found.best.score.season_kwh);
    }
}
