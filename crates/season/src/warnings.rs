//! What the reader must know about a run: counted, in plain words.

use swimdays_properties::constants::ICE_DENSITY_KG_M3;
use swimdays_pump::PumpKind;

use crate::book::Book;
use crate::prepared::Prepared;
use crate::run::PERIODIC_WITHIN_K;
use crate::{Plan, Season, Warning};

/// Definition of the inch.
const METRES_PER_INCH: f64 = 0.025_4;

/// Hours of cooling by the heaters from which it is worth a word.
const COOLING_H: f64 = 10.0;

/// Hours under a cover with still water and sun from which layering is worth a word.
const LAYERED_H: f64 = 100.0;

fn warning(kind: &'static str, count: usize, text: String) -> Warning {
    Warning { kind, count, text }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "hours of one run"
)]
fn hours(value: f64) -> usize {
    value.round().max(0.0) as usize
}

pub(crate) fn of(plan: &Plan, year: &Prepared, book: &Book, season: &Season) -> Vec<Warning> {
    let mut out = Vec::new();
    if season.too_hot_days > 0 {
        out.push(warning(
            "too_hot",
            season.too_hot_days,
            format!(
                "on {} days the water is hotter than wanted: take the cover off, shorten the pump hours or set off_above and stop_above lower",
                season.too_hot_days
            ),
        ));
    }
    if let Some(periodic) = season.periodic
        && periodic.difference_k.abs() > PERIODIC_WITHIN_K
    {
        out.push(warning(
            "not_periodic",
            periodic.rounds,
            format!(
                "after {} years the water still ends {:.2} K away from its beginning",
                periodic.rounds, periodic.difference_k
            ),
        ));
    }
    if book.skipped() > 0 {
        out.push(warning(
            "starts_late",
            book.skipped(),
            "the run begins on the opening day with the given temperature; earlier hours are empty"
                .into(),
        ));
    }
    if book.ice_hours > 0.0 {
        let ice_m = book.ice_peak_kg / (ICE_DENSITY_KG_M3 * plan.pool.area_m2);
        out.push(warning(
            "ice",
            hours(book.ice_hours),
            format!(
                "the water freezes over for {} hours, with ice up to {:.0} cm ({:.0} in) thick; drain heater, pump and pipes before frost",
                hours(book.ice_hours),
                100.0 * ice_m,
                ice_m / METRES_PER_INCH
            ),
        ));
    }
    if book.short_cycling > 0 {
        out.push(warning(
            "short_cycling",
            book.short_cycling,
            format!(
                "in {} intervals the sensor control starts and stops again and again, because at this flow the water warms less on its way than the switching points ask; lower on_rise or the flow",
                book.short_cycling
            ),
        ));
    }
    for (k, heater) in season.heaters.iter().enumerate() {
        if heater.cooling_h >= COOLING_H {
            out.push(warning(
                "heater_cools",
                hours(heater.cooling_h),
                format!(
                    "for {} hours pumping through {} cooled the pool: start later, stop earlier, or let a sensor decide",
                    hours(heater.cooling_h),
                    heater.name
                ),
            ));
        }
        if let Some(softening_c) = book.softening_c[k]
            && heater.peak_stagnation_c > softening_c
        {
            out.push(warning(
                "tube_softens",
                0,
                format!(
                    "without flow the tube of {} gets hotter than its material stays firm ({softening_c:.0} °C, {:.0} °F): fittings can slip; keep it open to the air, clamp it well, never shut it off full and in the sun",
                    heater.name,
                    softening_c * 1.8 + 32.0
                ),
            ));
        }
    }
    if book.covered_still_h >= LAYERED_H {
        out.push(warning(
            "layers",
            hours(book.covered_still_h),
            format!(
                "for {} sunny hours the cover lies on water that no pump stirs: its top is then warmer, and its floor colder, than the mixed temperature shown here",
                hours(book.covered_still_h)
            ),
        ));
    }
    if !year.typical {
        out.push(warning(
            "measured_year",
            0,
            "this is one measured year, not a typical one".into(),
        ));
    }
    let idle = plan
        .pump
        .as_ref()
        .is_some_and(|p| matches!(p.pump.kind, PumpKind::Own { .. }));
    if idle && plan.heaters.is_empty() {
        out.push(warning(
            "pump_without_heater",
            0,
            "there is a pump of its own but no solar heater for it".into(),
        ));
    }
    out
}
