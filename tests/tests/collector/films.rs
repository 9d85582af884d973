//! Films and the lone buried tube against `ht` and `fluids`; values from `.ci/reference/collector.py`.

use std::fs;

use swimdays_collector::{
    coil_critical_reynolds, coil_turbulent_nusselt, gnielinski_nusselt, hottel, outside,
};
use swimdays_tests::validation::{error_table, row};
use swimdays_tests::{Errors, outside_folder};

/// The same equation coded twice.
const SAME_EQUATION: f64 = 1e-9;
/// Two correlations for one thing agree about so well in heat-transfer texts.
const NEIGHBOURS: f64 = 0.25;

/// Differences that are rounding alone count as none: they depend on the machine.
fn clean(difference: f64) -> f64 {
    if difference.abs() < SAME_EQUATION {
        0.0
    } else {
        difference
    }
}

/// Values of a reference library: quantity, source, a, b, c, value.
fn reference() -> Option<Vec<(String, String, [f64; 4])>> {
    let folder = outside_folder("SWIMDAYS_REFERENCE_DIR")?;
    let path = folder.join("collector.csv");
    if !path.is_file() {
        assert!(
            !std::env::var("CI").is_ok_and(|v| v == "true"),
            "collector.csv is missing"
        );
        println!("did not run: collector.csv is missing (see .ci/run)");
        return None;
    }
    let text = fs::read_to_string(path).expect("collector.csv");
    let rows = text
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let number = |i: usize| cells[i].parse::<f64>().expect("a number");
            (
                cells[0].to_owned(),
                cells[1].to_owned(),
                [number(2), number(3), number(4), number(5)],
            )
        })
        .collect();
    Some(rows)
}

/// Every film against `ht` 1.2.0 and `fluids` 1.3.1, the same correlation and its neighbours.
#[test]
fn films_against_reference_libraries() {
    type Film = fn([f64; 4]) -> f64;
    let Some(reference) = reference() else { return };
    // Schmidt's coil also against Xin & Ebadian's: what such correlations differ by.
    let kinds: [(&str, &str, Film, f64); 8] = [
        (
            "gnielinski",
            "ht",
            |v| gnielinski_nusselt(v[0], v[1]),
            SAME_EQUATION,
        ),
        (
            "coil_critical",
            "fluids Schmidt",
            |v| coil_critical_reynolds(v[0]),
            SAME_EQUATION,
        ),
        (
            "coil_turbulent",
            "ht Schmidt",
            |v| coil_turbulent_nusselt(v[0], v[1], v[2]),
            SAME_EQUATION,
        ),
        (
            "coil_turbulent",
            "ht Xin & Ebadian",
            |v| coil_turbulent_nusselt(v[0], v[1], v[2]),
            NEIGHBOURS,
        ),
        (
            "cylinder_wind",
            "ht",
            |v| outside::cylinder_nusselt(v[0], v[1]),
            SAME_EQUATION,
        ),
        (
            "cylinder_natural",
            "ht",
            |v| outside::cylinder_natural_nusselt(v[0], v[1]),
            SAME_EQUATION,
        ),
        (
            "plate_natural",
            "ht",
            |v| outside::plate_natural_nusselt(v[0]),
            SAME_EQUATION,
        ),
        (
            // One cylinder is a row with wide spacing; the row's formula is for depths of some diameters.
            "single_buried",
            "ht",
            |v| 1.0 / hottel::buried_row_resistance_m_k_w(1_000.0, v[1], v[2], 1.0),
            0.02,
        ),
    ];
    let mut rows = Vec::new();
    for (quantity, source, film, tolerance) in kinds {
        let errors: Vec<f64> = reference
            .iter()
            .filter(|(q, s, _)| q == quantity && s == source)
            .map(|(_, _, v)| clean(film(*v) / v[3] - 1.0))
            .collect();
        let errors = Errors::of(&errors);
        println!("{quantity} against {source}: {errors}");
        assert!(
            errors.max <= tolerance,
            "{quantity} against {source}: {errors}"
        );
        rows.push(row(quantity, source, &errors, "relative"));
    }
    // Neighbours of the cylinder in wind, over the garden's range.
    for source in ["ht Zukauskas", "ht Sanitjai & Goldstein"] {
        let errors: Vec<f64> = reference
            .iter()
            .filter(|(q, s, v)| {
                q == "cylinder_wind_neighbour" && s == source && (100.0..2e4).contains(&v[0])
            })
            .map(|(_, _, v)| outside::cylinder_nusselt(v[0], v[1]) / v[3] - 1.0)
            .collect();
        let errors = Errors::of(&errors);
        println!("cylinder in wind against {source}: {errors}");
        assert!(errors.max <= NEIGHBOURS, "{source}: {errors}");
        rows.push(row(
            "cylinder in wind, Re 100 to 20 000",
            source,
            &errors,
            "relative",
        ));
    }
    error_table("collector-films", &rows);
}
