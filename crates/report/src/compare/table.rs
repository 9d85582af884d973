//! The choices, the measures and the areas as CSV. SI units in the header; what is not known is an empty cell.

use std::io::Write;

use super::CompareReport;
use crate::{EnergySummary, ReportError};

fn number(value: Option<f64>, decimals: usize) -> String {
    crate::tables::cell(value.unwrap_or(f64::NAN), decimals)
}

fn whole(value: Option<i64>) -> String {
    value.map_or(String::new(), |v| v.to_string())
}

/// `options.csv`: one line a choice.
///
/// # Errors
/// What the writer says.
pub fn write_options_csv(to: impl Write, report: &CompareReport) -> Result<(), ReportError> {
    type Of = fn(&EnergySummary) -> f64;
    const SOURCES: [(&str, Of); 11] = [
        ("sun_on_water_kwh", |e| e.sun_on_water),
        ("heaters_kwh", |e| e.heaters),
        ("other_heater_kwh", |e| e.other_heater),
        ("pump_heat_kwh", |e| e.pump_heat),
        ("rain_kwh", |e| e.rain),
        ("evaporation_kwh", |e| e.evaporation),
        ("convection_kwh", |e| e.convection),
        ("longwave_kwh", |e| e.longwave),
        ("ground_kwh", |e| e.ground),
        ("walls_kwh", |e| e.walls),
        ("make_up_water_kwh", |e| e.make_up_water),
    ];
    let mut table = csv::Writer::from_writer(to);
    let head = [
        "name",
        "of",
        "is_plan",
        "swim_days",
        "swim_days_low",
        "swim_days_high",
        "too_hot_days",
        "gained_days",
        "gained_days_low",
        "gained_days_high",
        "first_swim_day",
        "last_swim_day",
        "water_mean_c",
        "build_cost",
        "build_cost_per_year",
        "running_cost_per_year",
        "cost_per_gained_day",
        "cost_per_gained_day_low",
        "cost_per_gained_day_high",
        "water_saved_m3",
        "water_saved_cost",
        "pump_kwh",
        "other_heater_bought_kwh",
    ];
    table.write_record(head.iter().copied().chain(SOURCES.iter().map(|s| s.0)))?;
    for o in &report.options {
        let mut row = vec![
            o.name.clone(),
            o.of.to_owned(),
            u8::from(o.is_plan).to_string(),
            o.swim_days.to_string(),
            whole(o.swim_days_low),
            whole(o.swim_days_high),
            o.too_hot_days.to_string(),
            o.gained_days.to_string(),
            whole(o.gained_days_low),
            whole(o.gained_days_high),
            o.first_swim_day.clone().unwrap_or_default(),
            o.last_swim_day.clone().unwrap_or_default(),
            number(o.water_mean_c, 2),
            number(o.build_cost, 2),
            number(o.build_cost_per_year, 2),
            number(o.running_cost_per_year, 2),
            number(o.cost_per_gained_day, 2),
            number(o.cost_per_gained_day_low, 2),
            number(o.cost_per_gained_day_high, 2),
            number(Some(o.water_saved_m3), 2),
            number(o.water_saved_cost, 2),
            number(Some(o.pump_kwh), 1),
            number(Some(o.other_heater_bought_kwh), 1),
        ];
        row.extend(
            SOURCES
                .iter()
                .map(|s| number(Some((s.1)(&o.heat_open_kwh)), 1)),
        );
        table.write_record(&row)?;
    }
    table.flush().map_err(csv::Error::from)?;
    Ok(())
}

/// `measures.csv`: one line a measure.
///
/// # Errors
/// What the writer says.
pub fn write_measures_csv(to: impl Write, report: &CompareReport) -> Result<(), ReportError> {
    let mut table = csv::Writer::from_writer(to);
    table.write_record([
        "name",
        "is_part",
        "days_alone",
        "days_alone_low",
        "days_alone_high",
        "days_last",
        "days_last_low",
        "days_last_high",
        "days_fair_share",
        "days_fair_share_low",
        "days_fair_share_high",
        "too_hot_days_last",
        "heat_alone_kwh",
        "heat_last_kwh",
        "heat_fair_share_kwh",
        "build_cost",
    ])?;
    for m in &report.measures {
        table.write_record([
            m.name.clone(),
            u8::from(m.is_part).to_string(),
            number(Some(m.days_alone), 0),
            number(Some(m.days_alone_low), 0),
            number(Some(m.days_alone_high), 0),
            number(Some(m.days_last), 0),
            number(Some(m.days_last_low), 0),
            number(Some(m.days_last_high), 0),
            number(m.days_fair_share, 2),
            number(m.days_fair_share_low, 2),
            number(m.days_fair_share_high, 2),
            m.too_hot_days_last.to_string(),
            number(Some(m.heat_alone_kwh), 0),
            number(Some(m.heat_last_kwh), 0),
            number(m.heat_fair_share_kwh, 0),
            number(m.build_cost, 2),
        ])?;
    }
    table.flush().map_err(csv::Error::from)?;
    Ok(())
}

/// `areas.csv`: swim days for each heater area; the head alone without solar heaters.
///
/// # Errors
/// What the writer says.
pub fn write_areas_csv(to: impl Write, report: &CompareReport) -> Result<(), ReportError> {
    let mut table = csv::Writer::from_writer(to);
    table.write_record(["heater_area_m2", "swim_days_no_cover", "swim_days_cover"])?;
    if let Some(area) = &report.heater_area {
        let days = area.swim_days_no_cover.iter().zip(&area.swim_days_cover);
        for (m2, (bare, covered)) in area.area_m2.iter().zip(days) {
            table.write_record([
                number(Some(*m2), 3),
                number(Some(*bare), 0),
                number(Some(*covered), 0),
            ])?;
        }
    }
    table.flush().map_err(csv::Error::from)?;
    Ok(())
}
