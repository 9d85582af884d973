//! A sweep's table: one row a season, the varied values as they were written, then the season in numbers with units in the head.

use swimdays_season::{Ledger, Plan, Season};

use crate::over_years::YearResults;
use crate::summary::open_heat;
use crate::tables::cell;

/// Decimals of temperatures, energies and amounts.
const DECIMALS: usize = 3;

/// Heads of the columns: the varied paths, the weather, the results.
#[must_use]
pub fn sweep_heads(paths: &[&str], currency: &str) -> Vec<String> {
    let mut heads: Vec<String> = paths.iter().map(|path| (*path).to_owned()).collect();
    heads.push("weather".into());
    heads.extend(
        [
            "swim_days",
            "too_hot_days",
            "first_swim_day",
            "last_swim_day",
            "water_open_mean_c",
            "water_open_min_c",
            "water_open_max_c",
        ]
        .map(str::to_owned),
    );
    heads.extend(Ledger::NAMES.iter().map(|name| format!("{name}_open_kwh")));
    heads.extend(["pump_h", "pump_kwh", "other_heater_bought_kwh"].map(str::to_owned));
    heads.extend(["make_up_m3", "evaporated_m3"].map(str::to_owned));
    heads.push(format!("running_cost_{currency}"));
    heads
}

/// The results of one season, in the order of [`sweep_heads`]; what there is not is empty.
#[must_use]
pub fn sweep_cells(plan: &Plan, season: &Season) -> Vec<String> {
    let results = YearResults::new(plan, season);
    let number = |value: f64| cell(value, DECIMALS);
    let date = |date: Option<chrono::NaiveDate>| date.map_or_else(String::new, |d| d.to_string());
    let mut cells = vec![
        season.swim_days.to_string(),
        season.too_hot_days.to_string(),
        date(season.first_swim_day),
        date(season.last_swim_day),
    ];
    match results.water_open_c {
        Some(span) => cells.extend([span.mean, span.min, span.max].map(number)),
        None => cells.extend([const { String::new() }; 3]),
    }
    cells.extend(open_heat(season).values().map(number));
    cells.extend(
        [
            results.pump_hours,
            results.pump_kwh,
            results.other_heater_bought_kwh,
            results.water_make_up_m3,
            results.water_evaporated_m3,
        ]
        .map(number),
    );
    cells.push(results.running_cost.map_or_else(String::new, number));
    cells
}

/// Cells as one line of CSV with its end.
///
/// # Errors
/// [`crate::ReportError`] when they cannot be written.
pub fn csv_line(cells: &[String]) -> Result<String, crate::ReportError> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(cells)?;
    let bytes = table
        .into_inner()
        .map_err(|error| csv::Error::from(error.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_quoted_where_it_must_be() {
        let cells = ["9,700 gal".to_owned(), String::new(), "a".to_owned()];
        assert_eq!(csv_line(&cells).expect("a line"), "\"9,700 gal\",,a\n");
    }

    #[test]
    fn every_head_says_its_unit() {
        let heads = sweep_heads(&["heater.board.area"], "$");
        assert_eq!(heads[0], "heater.board.area");
        assert!(heads.contains(&"heaters_open_kwh".to_owned()));
        assert_eq!(heads.last().map(String::as_str), Some("running_cost_$"));
    }
}
