//! The hours and the days as CSV. SI units in the header, an absent value is an empty cell.

use std::io::Write;

use swimdays_season::{Hourly, Ledger, Season};

use crate::ReportError;

/// Decimals of temperatures, speeds and shares.
const FINE: usize = 4;
/// Decimals of heat flows: eleven rounded flows miss the rounded sum by at most 12 × 0.005 W = 0.06 W.
const FLOW: usize = 2;

/// One column of the hourly table: its name, its decimals and where its values are.
type Column = (&'static str, usize, fn(&Hourly, usize) -> f64);

/// The columns after `time`, in their order.
const HOURLY: [Column; 24] = [
    ("air_c", FINE, |h, i| at(&h.air_c, i)),
    ("dew_point_c", FINE, |h, i| at(&h.dew_point_c, i)),
    ("wind_m_s", FINE, |h, i| at(&h.wind_m_s, i)),
    ("ghi_w_m2", FLOW, |h, i| at(&h.ghi_w_m2, i)),
    ("plane_w_m2", FLOW, |h, i| at(&h.plane_w_m2, i)),
    ("sky_longwave_w_m2", FLOW, |h, i| {
        at(&h.sky_longwave_w_m2, i)
    }),
    ("water_c", FINE, |h, i| at(&h.water_c, i)),
    ("outlet_c", FINE, |h, i| at(&h.outlet_c, i)),
    ("heater_w", FLOW, |h, i| flow(h, i, |l| l.heaters)),
    ("sun_on_water_w", FLOW, |h, i| {
        flow(h, i, |l| l.sun_on_water)
    }),
    ("evaporation_w", FLOW, |h, i| flow(h, i, |l| l.evaporation)),
    ("convection_w", FLOW, |h, i| flow(h, i, |l| l.convection)),
    ("longwave_w", FLOW, |h, i| flow(h, i, |l| l.longwave)),
    ("ground_w", FLOW, |h, i| flow(h, i, |l| l.ground)),
    ("walls_w", FLOW, |h, i| flow(h, i, |l| l.walls)),
    ("make_up_w", FLOW, |h, i| flow(h, i, |l| l.make_up_water)),
    ("rain_w", FLOW, |h, i| flow(h, i, |l| l.rain)),
    ("other_heater_w", FLOW, |h, i| {
        flow(h, i, |l| l.other_heater)
    }),
    ("pump_heat_w", FLOW, |h, i| flow(h, i, |l| l.pump_heat)),
    ("stored_w", FLOW, |h, i| flow(h, i, |l| l.stored_change)),
    ("pump_on_frac", FINE, |h, i| at(&h.pump_on_frac, i)),
    ("cover_on_frac", FINE, |h, i| at(&h.cover_on_frac, i)),
    ("tube_c", FINE, |h, i| at(&h.tube_c, i)),
    ("cover_c", FINE, |h, i| at(&h.cover_c, i)),
];

fn at(column: &[f64], i: usize) -> f64 {
    column.get(i).copied().unwrap_or(f64::NAN)
}

fn flow(h: &Hourly, i: usize, of: fn(&Ledger) -> f64) -> f64 {
    h.heat_w.get(i).map_or(f64::NAN, of)
}

/// A number, or nothing where there is none; never `-0`.
pub(crate) fn cell(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        _ => text,
    }
}

/// Writes the hours in the order of the swim year. `time` is local standard time at the start of the interval.
///
/// # Errors
/// [`ReportError::NoHours`] when the run kept none; [`ReportError::Table`] when writing fails.
pub fn write_hourly_csv<W: Write>(out: W, season: &Season) -> Result<(), ReportError> {
    let hourly = season.hourly.as_ref().ok_or(ReportError::NoHours)?;
    let mut table = csv::Writer::from_writer(out);
    table.write_record(std::iter::once("time").chain(HOURLY.iter().map(|c| c.0)))?;
    for (i, start) in hourly.start.iter().enumerate() {
        let time = start.format("%Y-%m-%dT%H:%M").to_string();
        let cells = HOURLY
            .iter()
            .map(|(_, decimals, of)| cell(of(hourly, i), *decimals));
        table.write_record(std::iter::once(time).chain(cells))?;
    }
    table.flush().map_err(csv::Error::from)?;
    Ok(())
}

/// Writes the days in the order of the swim year: `open`, `swim_day` and `too_hot_day` are 1 or 0, the heat of
/// each cause is in kWh.
///
/// # Errors
/// [`ReportError::Table`] when writing fails.
pub fn write_daily_csv<W: Write>(out: W, season: &Season) -> Result<(), ReportError> {
    const HEAD: [&str; 13] = [
        "date",
        "open",
        "swim_day",
        "too_hot_day",
        "water_min_c",
        "water_mean_c",
        "water_max_c",
        "air_mean_c",
        "air_max_c",
        "sun_kwh_m2",
        "pump_h",
        "cover_h",
        "evaporated_kg",
    ];
    let mut table = csv::Writer::from_writer(out);
    let causes = Ledger::NAMES.iter().map(|name| format!("{name}_kwh"));
    table.write_record(HEAD.iter().map(ToString::to_string).chain(causes))?;
    for d in &season.days {
        let flag = |yes: bool| if yes { "1" } else { "0" }.to_owned();
        let mut row = vec![
            d.date.to_string(),
            flag(d.open),
            flag(d.swim),
            flag(d.too_hot),
        ];
        let values = [
            d.water_min_c,
            d.water_mean_c,
            d.water_max_c,
            d.air_mean_c,
            d.air_max_c,
            d.sun_kwh_m2,
            d.pump_h,
            d.cover_h,
            d.evaporated_kg,
        ];
        row.extend(
            values
                .iter()
                .chain(&d.heat_kwh.values())
                .map(|v| cell(*v, FINE)),
        );
        table.write_record(&row)?;
    }
    table.flush().map_err(csv::Error::from)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_an_empty_cell_and_zero_is_zero() {
        assert_eq!(cell(f64::NAN, 2), "");
        assert_eq!(cell(0.0, 2), "0.00");
        assert_eq!(cell(-0.001, 2), "0.00");
        assert_eq!(cell(-0.006, 2), "-0.01");
    }
}
