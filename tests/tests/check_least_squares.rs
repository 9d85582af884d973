//! The search and the filter of `swimdays-check` against scipy and numpy on the same residuals.

use serde::Deserialize;
use swimdays_check::noise::{FORGETS_H, Sample, Whitener};
use swimdays_check::{Residuals, least_squares};
use swimdays_tests::outside_folder;
use swimdays_tests::validation::{table, two_digits};

/// Both searches end where the sum of squares changes by less than 1e-12 of itself; what is left is rounding in the differences.
const POSITIONS_WITHIN: f64 = 1e-5;
const COVARIANCE_WITHIN_FRAC: f64 = 1e-3;

/// Filter and whole matrix are one formula written twice: rounding only.
const LIKELIHOOD_WITHIN: f64 = 1e-8;

#[derive(Deserialize)]
struct Case {
    hours: Vec<f64>,
    measured: Vec<f64>,
    prior: [f64; 3],
    spread: [f64; 3],
    z: Vec<f64>,
    cost: f64,
    covariance: Vec<Vec<f64>>,
    model_sd: f64,
    reading_sd: f64,
    misses: Vec<f64>,
    quadratic: f64,
    log_determinant: f64,
}

/// Water that cools to air of 15 °C under a daily sun: `T' = −loss (T − 15) + gain (1 − cos ωt)`, integrated by hand.
fn water(start: f64, loss: f64, gain: f64, hours: f64) -> f64 {
    let (air, omega) = (15.0, std::f64::consts::TAU / 24.0);
    let forced = |t: f64| {
        gain / loss
            - gain * (loss * (omega * t).cos() + omega * (omega * t).sin())
                / (loss * loss + omega * omega)
    };
    air + forced(hours) + (start - air - forced(0.0)) * (-loss * hours).exp()
}

impl Residuals for Case {
    fn residuals(&self, z: &[f64]) -> Option<Vec<f64>> {
        let p: Vec<f64> = (0..3)
            .map(|j| self.prior[j] + self.spread[j] * z[j])
            .collect();
        let mut out: Vec<f64> = self
            .hours
            .iter()
            .zip(&self.measured)
            .map(|(t, m)| (m - water(p[0], p[1], p[2], *t)) / 0.2)
            .collect();
        out.extend(z);
        Some(out)
    }
}

fn cases() -> Option<Vec<Case>> {
    let folder = outside_folder("SWIMDAYS_REFERENCE_DIR")?;
    let text = std::fs::read_to_string(folder.join("check_fit.json"))
        .expect("check_fit.json, written by .ci/reference/check.py");
    Some(serde_json::from_str(&text).expect("cases"))
}

#[test]
fn search_and_filter_agree_with_scipy_and_numpy() {
    let Some(cases) = cases() else { return };
    assert!(cases.len() >= 10);
    let (mut positions, mut costs, mut covariances, mut likelihoods) =
        (0.0_f64, 0.0_f64, 0.0_f64, 0.0_f64);
    for case in &cases {
        let found = least_squares(case, &[0.0; 3], 1e-12, 200).expect("a least sum");
        for (a, b) in found.x.iter().zip(&case.z) {
            positions = positions.max((a - b).abs());
        }
        costs = costs.max((0.5 * found.sum_of_squares / case.cost - 1.0).abs());
        for (j, row) in case.covariance.iter().enumerate() {
            for (k, expected) in row.iter().enumerate() {
                let scale = (case.covariance[j][j] * case.covariance[k][k]).sqrt();
                covariances = covariances.max((found.covariance[(j, k)] - expected).abs() / scale);
            }
        }
        assert!((FORGETS_H - 60.0).abs() < 1e-12, "check.py has 60 h");
        let samples: Vec<Sample> = case
            .hours
            .iter()
            .map(|hours| Sample {
                hours: *hours,
                variance_k2: case.reading_sd * case.reading_sd,
                counts_frac: 1.0,
            })
            .collect();
        let whitener = Whitener::new(&samples, case.model_sd, None);
        let quadratic: f64 = whitener
            .innovations(&case.misses)
            .iter()
            .map(|u| u * u)
            .sum();
        likelihoods = likelihoods
            .max((quadratic / case.quadratic - 1.0).abs())
            .max((whitener.log_variance / case.log_determinant - 1.0).abs());
    }
    table(
        "check-least-squares",
        &[
            "| what | against | cases | largest difference |".to_owned(),
            "|---|---|---|---|".to_owned(),
            format!(
                "| sum of squares | scipy `least_squares` | {} | below {POSITIONS_WITHIN:e} of it |",
                cases.len()
            ),
            format!(
                "| parameters, in standard deviations of the prior | scipy `least_squares` | {} | below {POSITIONS_WITHIN:e} |",
                cases.len()
            ),
            format!(
                "| covariance | scipy's Jacobian | {} | below {COVARIANCE_WITHIN_FRAC:e} of it |",
                cases.len()
            ),
            format!(
                "| likelihood of correlated errors, by filter | numpy, whole matrix | {} | below {LIKELIHOOD_WITHIN:e} of it |",
                cases.len()
            ),
        ],
    );
    println!(
        "positions {}, sums {}, covariance {}, likelihood {}",
        two_digits(positions),
        two_digits(costs),
        two_digits(covariances),
        two_digits(likelihoods)
    );
    assert!(positions <= POSITIONS_WITHIN && costs <= POSITIONS_WITHIN);
    assert!(covariances <= COVARIANCE_WITHIN_FRAC);
    assert!(likelihoods <= LIKELIHOOD_WITHIN);
}

/// A reading that is 10 K off loses its weight and moves nothing else; by hand: the innovation is held to 3 standard deviations.
#[test]
fn a_wild_reading_loses_its_weight() {
    let samples: Vec<Sample> = (0..30)
        .map(|i| Sample {
            hours: f64::from(i),
            variance_k2: 0.04,
            counts_frac: 1.0,
        })
        .collect();
    let mut misses = vec![0.0; 30];
    misses[15] = 10.0;
    let whitener = Whitener::new(&samples, 0.2, Some(&misses));
    assert!(whitener.weight[15] < 0.01, "{}", whitener.weight[15]);
    assert!(
        whitener
            .weight
            .iter()
            .enumerate()
            .all(|(i, w)| i == 15 || *w > 0.99)
    );
    let innovations = whitener.innovations(&misses);
    assert!(
        (innovations[15].abs() - 3.0).abs() < 0.05,
        "{}",
        innovations[15]
    );
    // What the wild one leaves behind is far below a reading's own error.
    assert!(innovations[16].abs() < 0.2, "{}", innovations[16]);
}
