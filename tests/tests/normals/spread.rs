//! How days differ from one another, in real years and in years made from their normals.

use swimdays_tests::validation;
use swimdays_weather::WeatherYear;
use swimdays_weather::normals::{Known, from_year, generate};

use crate::{mean_and_sd, month, outside_w_m2, real_years};

const NAMES: [&str; 9] = [
    "clearness of days, sd",
    "its correlation with the day before",
    "mean air of days, sd, K",
    "its correlation with the day before",
    "air with clearness, June to August",
    "span of the day with clearness",
    "dew point of days, sd, K",
    "dew point with air",
    "wind of hours, sd over mean",
];

/// Daily statistics about the means of the months, over a year.
fn statistics(year: &WeatherYear, outside: &[f64]) -> [f64; 9] {
    let c = &year.columns;
    let day = |column: &[f64]| -> Vec<f64> {
        column
            .chunks_exact(24)
            .map(|d| d.iter().sum::<f64>() / 24.0)
            .collect()
    };
    let months: Vec<usize> = (0..365).map(|d| month(year, d * 24)).collect();
    let about = |daily: Vec<f64>| -> Vec<f64> {
        let (mut sums, mut counts) = ([0.0; 12], [0.0; 12]);
        for (value, &m) in daily.iter().zip(&months) {
            sums[m] += value;
            counts[m] += 1.0;
        }
        daily
            .iter()
            .zip(&months)
            .map(|(value, &m)| value - sums[m] / counts[m])
            .collect()
    };
    let clearness: Vec<f64> = day(&c.ghi_w_m2)
        .iter()
        .zip(day(outside))
        .map(|(sun, outside)| sun / outside.max(1.0))
        .collect();
    let span: Vec<f64> = c
        .air_c
        .chunks_exact(24)
        .map(|d| {
            d.iter().copied().fold(f64::NEG_INFINITY, f64::max)
                - d.iter().copied().fold(f64::INFINITY, f64::min)
        })
        .collect();
    let (k, air, span, dew) = (
        about(clearness),
        about(day(&c.air_c)),
        about(span),
        about(day(&c.dew_point_c)),
    );
    let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let correlation = |a: &[f64], b: &[f64]| product(a, b) / (product(a, a) * product(b, b)).sqrt();
    let sd = |a: &[f64]| (product(a, a) / 365.0).sqrt();
    let summer = |a: &[f64]| -> Vec<f64> {
        a.iter()
            .zip(&months)
            .filter(|(_, m)| (5..8).contains(*m))
            .map(|(v, _)| *v)
            .collect()
    };
    let (wind, wind_sd) = mean_and_sd(&c.wind_m_s);
    [
        sd(&k),
        correlation(&k[1..], &k[..364]),
        sd(&air),
        correlation(&air[1..], &air[..364]),
        correlation(&summer(&air), &summer(&k)),
        correlation(&span, &k),
        sd(&dew),
        correlation(&dew, &air),
        wind_sd / wind,
    ]
}

/// Printed, not judged: single real years scatter too, and the generator's numbers were read off such years. What is judged is the
/// pool in them.
#[test]
fn days_differ_as_in_real_years() {
    const YEARS: u64 = 30;
    let Some(years) = real_years() else { return };
    let mut rows = vec![format!(
        "| real year: itself, made ± sd | {} |",
        NAMES.join(" | ")
    )];
    rows.push(format!("|---|{}", "---|".repeat(NAMES.len())));
    let (mut inside, mut all) = (0, 0);
    for (name, year) in years.iter().filter(|(name, _)| !name.contains("mirrored")) {
        let normals = from_year(year, Known::ALL).unwrap_or_else(|e| panic!("{e}"));
        let outside = outside_w_m2(&year.place, year);
        let real = statistics(year, &outside);
        let made: Vec<[f64; 9]> = (1..=YEARS)
            .map(|seed| {
                let made = generate(&normals, seed).unwrap_or_else(|e| panic!("{e}"));
                statistics(&made, &outside)
            })
            .collect();
        let mut cells = String::new();
        for k in 0..NAMES.len() {
            let (mean, sd) = mean_and_sd(&made.iter().map(|s| s[k]).collect::<Vec<f64>>());
            all += 1;
            inside += usize::from((real[k] - mean).abs() <= 2.5 * sd);
            cells += &format!(" {:.2}, {mean:.2} ± {sd:.2} |", real[k]);
            assert!(real[k].is_finite() && mean.is_finite());
            // The sign of every relation is that of the real year, where that has one to speak of.
            assert!(
                real[k].abs() < 0.2 || real[k].signum() * mean.signum() > 0.0,
                "{name}, {}: {} and {mean}",
                NAMES[k],
                real[k]
            );
        }
        println!("| {name} |{cells}");
        rows.push(format!("| {name} |{cells}"));
    }
    println!("{inside} of {all} within 2.5 standard deviations");
    validation::table("normals-spread", &rows);
}
