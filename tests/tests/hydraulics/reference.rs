//! Against `fluids` 1.3.1 and scipy, as `.ci/reference/hydraulics.py` writes them, and against printed tables.

use std::collections::BTreeMap;
use std::fs;

use serde_json::Value;
use swimdays_properties::constants::STANDARD_PRESSURE_PA;
use swimdays_pump::hydraulics::{
    Bend, CRITICAL_REYNOLDS, Circuit, CurvePoint, Fitting, FittingKind, HeadCurve, Network,
    Operating, Piece, PumpPower, PumpUnit, Surroundings, TURBULENT_REYNOLDS, Tube, TubeFlow,
    TubeModel, Water, colebrook, haaland, ito_critical_reynolds, swamee_jain,
};
use swimdays_tests::validation::error_table;
use swimdays_tests::{Errors, outside_folder};

use super::calm_row;

/// The same formula in floating point.
const SAME: f64 = 1e-12;
/// `fluids` writes Swamee & Jain's 5.74/Re^0.9 as (6.97/Re)^0.9: 6.97^0.9 is 5.7400 to five figures only.
const OTHER_DIGITS: f64 = 3e-6;
/// Haaland's and Swamee & Jain's own statements: within 2 and 3 % of Colebrook, from Re 5000, ε/d up to 0.05.
const HAALAND: f64 = 0.02;
const SWAMEE_JAIN: f64 = 0.035;
/// Mori & Nakayama's boundary-layer theory, confirmed by their own measurements, is the neighbour of White and Ito:
/// laminar from De 80 (their series needs a large one), turbulent everywhere.
const NEIGHBOUR_LAMINAR: f64 = 0.065;
const NEIGHBOUR_TURBULENT: f64 = 0.02;
/// Schmidt's turbulent fit changes formula at Re 22 000; below it lies this much higher.
const SCHMIDT_TURBULENT: f64 = 0.08;
/// Others lie further apart among themselves than from us: in the table, as the spread between authors.
const NOT_JUDGED: f64 = f64::INFINITY;
/// brentq stops at a relative 1e-15 of its own unknown; nested twice and steep, that is some 1e-10 of a small flow.
const NETWORK: f64 = 1e-10;
/// Water of the script.
const WATER: Water = Water {
    density_kg_m3: 996.5,
    viscosity_pa_s: 8.51e-4,
    vapour_pressure_pa: 3_567.0,
};

struct Row {
    source: String,
    /// a, b, c, d as the script says.
    at: [f64; 4],
    value: f64,
}

fn reference() -> Option<BTreeMap<String, Vec<Row>>> {
    let folder = outside_folder("SWIMDAYS_REFERENCE_DIR")?;
    let mut reader = csv::Reader::from_path(folder.join("hydraulics.csv")).expect("hydraulics.csv");
    let mut all: BTreeMap<String, Vec<Row>> = BTreeMap::new();
    for record in reader.records() {
        let record = record.expect("a row");
        let number = |i: usize| record[i].parse::<f64>().expect("a number");
        all.entry(record[0].to_owned()).or_default().push(Row {
            source: record[1].to_owned(),
            at: [number(2), number(3), number(4), number(5)],
            value: number(6),
        });
    }
    Some(all)
}

fn relative(rows: &[&Row], ours: impl Fn(&[f64; 4]) -> f64) -> Errors {
    let differences: Vec<f64> = rows.iter().map(|r| ours(&r.at) / r.value - 1.0).collect();
    Errors::of(&differences)
}

fn tube(at: &[f64; 4], bend: Bend, roughness_m: f64) -> TubeFlow {
    let tube = Tube {
        length_m: at[2],
        bore_m: at[1],
        roughness_m,
        bend,
    };
    TubeModel::new(tube, WATER).at(at[0])
}

fn coil(at: &[f64; 4]) -> TubeFlow {
    tube(at, Bend::Coil { diameter_m: at[3] }, 0.0)
}

/// Friction factor from Reynolds number and roughness over bore.
type Factor = fn(f64, f64) -> f64;

fn title(name: &str) -> &'static str {
    match name {
        "colebrook" => "friction factor, Colebrook",
        "haaland" => "friction factor, Haaland",
        _ => "friction factor, Swamee & Jain",
    }
}

#[test]
fn friction_against_fluids() {
    let Some(all) = reference() else { return };
    let rows = |name: &str| -> Vec<&Row> { all[name].iter().collect() };
    let mut table = Vec::new();
    let mut judge = |what: &str, against: &str, errors: Errors, bound: f64| {
        println!("{what} against {against}: {errors}");
        table.push(calm_row(what, against, &errors, "relative"));
        assert!(errors.max <= bound, "{what} against {against}: {errors}");
    };
    let rough: [(&str, Factor, f64); 3] = [
        ("colebrook", colebrook, SAME),
        ("haaland", haaland, SAME),
        ("swamee_jain", swamee_jain, OTHER_DIGITS),
    ];
    for (name, ours, bound) in rough {
        let errors = relative(&rows(name), |a| ours(a[0], a[1]));
        judge(
            title(name),
            "`fluids`, Re 4000–1e8, ε/d 0–0.05",
            errors,
            bound,
        );
    }
    // Every correlation swept against its neighbours.
    let own: Vec<&Row> = rows("colebrook")
        .into_iter()
        .filter(|r| r.at[0] >= 5_000.0)
        .collect();
    judge(
        title("haaland"),
        "Colebrook by `fluids`, Re from 5000",
        relative(&own, |a| haaland(a[0], a[1])),
        HAALAND,
    );
    judge(
        title("swamee_jain"),
        "Colebrook by `fluids`, Re from 5000",
        relative(&own, |a| swamee_jain(a[0], a[1])),
        SWAMEE_JAIN,
    );
    let straight = |a: &[f64; 4]| tube(a, Bend::Straight, a[3]);
    // fluids turns turbulent at Re 2040, without a join.
    let (apart, join): (Vec<&Row>, Vec<&Row>) = rows("straight_drop").into_iter().partition(|r| {
        let re = straight(&r.at).reynolds;
        !(2_040.0..=TURBULENT_REYNOLDS).contains(&re)
    });
    assert!(
        apart.len() >= 200
            && join
                .iter()
                .all(|r| straight(&r.at).reynolds < TURBULENT_REYNOLDS)
    );
    judge(
        "drop of straight tube",
        "`fluids`, laminar and turbulent",
        relative(&apart, |a| straight(a).drop_pa),
        SAME,
    );
    let lam: Vec<&Row> = rows("coil_laminar");
    let of = |rows: &[&Row], source: &str| -> Vec<Row> {
        rows.iter()
            .filter(|r| r.source.ends_with(source))
            .map(|r| Row {
                source: r.source.clone(),
                ..**r
            })
            .collect()
    };
    let white = of(&lam, "White");
    let white: Vec<&Row> = white.iter().collect();
    judge(
        "drop of laminar coil",
        "White by `fluids`",
        relative(&white, |a| coil(a).drop_pa),
        SAME,
    );
    for (author, bound) in [
        ("Mori-Nakayama", NEIGHBOUR_LAMINAR),
        ("Schmidt", NOT_JUDGED),
    ] {
        let theirs = of(&lam, author);
        let theirs: Vec<&Row> = theirs
            .iter()
            .filter(|r| (80.0..2_000.0).contains(&coil(&r.at).dean))
            .collect();
        judge(
            "drop of laminar coil (White), De 80–2000",
            &format!("{author} by `fluids`"),
            relative(&theirs, |a| coil(a).drop_pa),
            bound,
        );
    }
    let turbulent = rows("coil_turbulent");
    for (author, bound) in [
        ("Mori-Nakayama", NEIGHBOUR_TURBULENT),
        ("Schmidt", SCHMIDT_TURBULENT),
        ("Czop", NOT_JUDGED),
        ("Ju", NOT_JUDGED),
    ] {
        let theirs = of(&turbulent, author);
        let theirs: Vec<&Row> = theirs.iter().collect();
        judge(
            "drop of turbulent coil (Ito)",
            &format!("{author} by `fluids`"),
            relative(&theirs, |a| coil(a).drop_pa),
            bound,
        );
    }
    judge(
        "critical Reynolds number (Ito)",
        "`fluids`",
        relative(&rows("critical"), |a| ito_critical_reynolds(a[0])),
        SAME,
    );
    error_table("hydraulics-friction", &table);
}

#[test]
fn fittings_and_curves_against_fluids_and_scipy() {
    let Some(all) = reference() else { return };
    let rows = |name: &str| -> Vec<&Row> { all[name].iter().collect() };
    let mut table = Vec::new();
    let mut judge =
        |what: &str, against: &str, rows: &[&Row], ours: &dyn Fn(&[f64; 4]) -> f64, bound: f64| {
            let differences: Vec<f64> = rows.iter().map(|r| ours(&r.at) - r.value).collect();
            let errors = Errors::of(&differences);
            println!("{what} against {against}: {errors}");
            table.push(calm_row(
                what,
                against,
                &errors,
                if what.starts_with('K') { "−" } else { "m" },
            ));
            assert!(errors.max <= bound, "{what} against {against}: {errors}");
        };
    let k = |kind: FittingKind, bore: f64| kind.k(bore).expect("a coefficient").0;
    judge(
        "K of a taper down",
        "Crane by `fluids`",
        &rows("reducer_down"),
        &|a| {
            k(
                FittingKind::Reducer {
                    to_bore_m: a[1],
                    angle_deg: a[2],
                },
                a[0],
            )
        },
        SAME,
    );
    judge(
        "K of a taper up",
        "Crane by `fluids`",
        &rows("reducer_up"),
        &|a| {
            k(
                FittingKind::Reducer {
                    to_bore_m: a[1],
                    angle_deg: a[2],
                },
                a[0],
            )
        },
        SAME,
    );
    judge(
        "K of a step down",
        "Crane by `fluids`",
        &rows("contraction"),
        &|a| k(FittingKind::Contraction { to_bore_m: a[1] }, a[0]),
        SAME,
    );
    // Rennels & Hudson, newer, lie up to this much higher.
    judge(
        "K of a step down",
        "Rennels & Hudson by `fluids`",
        &rows("contraction_other"),
        &|a| k(FittingKind::Contraction { to_bore_m: a[1] }, a[0]),
        0.15,
    );
    judge(
        "K of a step up",
        "Borda–Carnot by `fluids`",
        &rows("expansion"),
        &|a| k(FittingKind::Expansion { to_bore_m: a[1] }, a[0]),
        SAME,
    );
    judge(
        "K of a rounded entrance",
        "Swamee by `fluids`",
        &rows("entrance_rounded"),
        &|a| k(FittingKind::EntranceRounded { radius_m: a[1] }, a[0]),
        SAME,
    );
    let points = [
        (0.0, 7.0),
        (2e-4, 6.8),
        (6e-4, 5.6),
        (1.0e-3, 4.0),
        (1.2e-3, 0.5),
    ]
    .map(|(flow_m3_s, head_m)| CurvePoint { flow_m3_s, head_m });
    let curve = HeadCurve::by_points(&points).expect("falls");
    judge(
        "head of a pump by five points",
        "scipy's PCHIP",
        &rows("pump_points"),
        &|a| curve.head_m(a[0]).0,
        SAME * 10.0,
    );
    error_table("hydraulics-fittings", &table);
}

fn network(value: &Value) -> Network {
    let list =
        |v: &Value| -> Vec<Network> { v.as_array().expect("a list").iter().map(network).collect() };
    if let Some(parts) = value.get("series") {
        return Network::Series(list(parts));
    }
    if let Some(parts) = value.get("side") {
        return Network::SideBySide(list(parts));
    }
    let piece = &value["piece"];
    let number = |key: &str| piece[key].as_f64().expect("a number");
    let coil_m = number("coil_m");
    let tube = Tube {
        length_m: number("length_m"),
        bore_m: number("bore_m"),
        roughness_m: number("roughness_m"),
        bend: if coil_m > 0.0 {
            Bend::Coil { diameter_m: coil_m }
        } else {
            Bend::Straight
        },
    };
    Piece::run("piece", tube)
        .with([
            Fitting::one(FittingKind::Given { k: number("k") }),
            Fitting::one(FittingKind::Filter {
                drop_pa: number("filter_pa"),
                at_flow_m3_s: number("filter_flow_m3_s"),
                linear_frac: number("linear_frac"),
                dirt_factor: 1.0,
            }),
        ])
        .into()
}

#[test]
fn networks_against_scipy() {
    let Some(folder) = outside_folder("SWIMDAYS_REFERENCE_DIR") else {
        return;
    };
    let text = fs::read_to_string(folder.join("hydraulics_networks.json")).expect("networks");
    let document: Value = serde_json::from_str(&text).expect("JSON");
    let around = Surroundings {
        water: WATER,
        air_pressure_pa: STANDARD_PRESSURE_PA,
    };
    let mut differences = Vec::new();
    let mut between = 0;
    for case in document["networks"].as_array().expect("a list") {
        let number = |key: &str| case[key].as_f64().expect("a number");
        let pump = PumpUnit {
            curve: HeadCurve::by_shut_off_and_free_flow(
                number("shut_off_m"),
                number("free_flow_m3_s"),
            )
            .expect("a pump"),
            power: PumpPower::Given { watts: 100.0 },
            self_priming: true,
        };
        let circuit = Circuit::Own {
            inlet_m: 0.0,
            suction: Network::none(),
            heater: network(&case["network"]),
        };
        let found = Operating::find(&circuit, &pump, &around).expect("settles");
        differences.push(found.pump_flow_m3_s / number("total_m3_s") - 1.0);
        let flows = case["flows_m3_s"].as_array().expect("a list");
        assert_eq!(flows.len(), found.pieces.len());
        for (flow, piece) in flows.iter().zip(&found.pieces) {
            differences.push(piece.flow_m3_s / flow.as_f64().expect("a number") - 1.0);
            let re = piece.reynolds / piece.critical_reynolds;
            between += usize::from((1.0..TURBULENT_REYNOLDS / CRITICAL_REYNOLDS).contains(&re));
        }
    }
    let errors = Errors::of(&differences);
    println!("{errors}; {between} pieces in transition");
    assert!(errors.max < NETWORK, "{errors}");
    error_table(
        "hydraulics-scipy",
        &[calm_row(
            "flow of every piece, 72 random networks",
            "scipy's brentq, nested, on separately written equations",
            &errors,
            "relative",
        )],
    );
}
