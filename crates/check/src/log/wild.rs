//! Readings of the pool that no pool makes: a slip of the pen, a thermometer in the sun.

use super::columns::Layout;
use super::columns::What;
use super::fault::RowFault;
use crate::reading::Reading;
use swimdays_quantity::Units;

/// A reading is wild when it lies off both its neighbours, to the same side, by more than this and what a pool can change
/// in the time between.
const SLIP_K: f64 = 3.0;
/// Fastest change of a pool, K/h: 1000 W/m² on half a metre of water make 1.7 (by hand: 1000 × 3600/(4.18e6 × 0.5)).
const FASTEST_K_H: f64 = 1.7;
/// No heater cools the water that runs through it by more than this in a pass, K: a board at night loses some 2 K at most.
const COLDEST_OUTLET_K: f64 = 8.0;
/// Readings further apart than this say nothing of each other, h.
const APART_H: f64 = 48.0;

/// Takes wild water temperatures out of `readings` (in the order of time) and names them.
pub(super) fn set_aside(readings: &mut [Reading], layout: &Layout, units: Units) -> Vec<RowFault> {
    let mut faults = cold_outlets(readings, layout, units);
    // The worst first: a wild reading makes its neighbours look wild.
    while let Some((at, excess, expected_c)) = worst(readings) {
        debug_assert!(excess > 0.0);
        let reading = &mut readings[at];
        let Some(water_c) = reading.water_c.take() else {
            break;
        };
        let title = layout
            .find(What::Water)
            .map_or("water", |c| c.title.as_str());
        let show = |c: f64| units.format_temperature(c, 1);
        let fault = RowFault::cell(
            reading.line,
            title,
            show(water_c),
            format!(
                "about {}, as the readings before and behind it say",
                show(expected_c)
            ),
            "left aside: no pool jumps so; correct it if it is a slip of the pen",
        );
        faults.push(fault.wild());
    }
    faults
}

/// Takes out outlets that are far colder than what went in.
fn cold_outlets(readings: &mut [Reading], layout: &Layout, units: Units) -> Vec<RowFault> {
    let mut faults = Vec::new();
    for reading in readings {
        let into = reading.inlet_c.or(reading.water_c);
        if let Some((outlet_c, into_c)) = reading.outlet_c.zip(into)
            && outlet_c < into_c - COLDEST_OUTLET_K
        {
            reading.outlet_c = None;
            let title = layout
                .find(What::Outlet)
                .map_or("outlet", |c| c.title.as_str());
            let fault = RowFault::cell(
                reading.line,
                title,
                units.format_temperature(outlet_c, 1),
                format!(
                    "about {} or more, as what went in",
                    units.format_temperature(into_c, 1)
                ),
                "left aside: no heater cools so; look whether numbers with decimal commas were cut in two",
            );
            faults.push(fault.wild());
        }
    }
    faults
}

/// The wildest reading: where, by how much it is beyond belief, and what its neighbours say.
fn worst(readings: &[Reading]) -> Option<(usize, f64, f64)> {
    let water: Vec<(usize, f64)> = readings
        .iter()
        .enumerate()
        .filter_map(|(i, r)| Some((i, r.water_c?)))
        .collect();
    let hours = |a: usize, b: usize| {
        let seconds = (readings[b].time - readings[a].time)
            .num_seconds()
            .unsigned_abs();
        f64::from(u32::try_from(seconds).unwrap_or(u32::MAX)) / 3600.0
    };
    let mut worst: Option<(usize, f64, f64)> = None;
    for (n, &(at, value)) in water.iter().enumerate() {
        // Its neighbours: one on each side, at an end the next two.
        let (a, b) = match n {
            0 => (1, 2),
            n if n + 1 == water.len() => (n.wrapping_sub(2), n - 1),
            n => (n - 1, n + 1),
        };
        let (Some(&(before, low)), Some(&(behind, high))) = (water.get(a), water.get(b)) else {
            continue;
        };
        let beyond =
            |other: usize, is: f64| (value - is).abs() - SLIP_K - FASTEST_K_H * hours(at, other);
        let same_side = (value - low) * (value - high) > 0.0;
        let near = hours(at, before) < APART_H && hours(at, behind) < APART_H;
        let excess = beyond(before, low).min(beyond(behind, high));
        if near && same_side && excess > 0.0 && worst.is_none_or(|(_, most, _)| excess > most) {
            worst = Some((at, excess, f64::midpoint(low, high)));
        }
    }
    worst
}
