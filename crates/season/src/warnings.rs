//! What the reader must know about a run: counted, in plain words.

use chrono::NaiveDate;
use swimdays_collector::HeaterSpec;
use swimdays_properties::constants::ICE_DENSITY_KG_M3;
use swimdays_properties::moist_air::dew_point_c;
use swimdays_pump::PumpKind;
use swimdays_weather::TYPICAL_YEAR;

use crate::book::Marks;
use crate::prepared::Prepared;
use crate::run::PERIODIC_WITHIN_K;
use crate::{MonthDay, Plan, Season, Warning, Words};

/// Hours of cooling by the heaters from which it is worth a word.
const COOLING_H: f64 = 10.0;

/// Hours under a cover with still water and sun from which layering is worth a word.
const LAYERED_H: f64 = 100.0;

fn warning(kind: &'static str, count: usize, text: impl Into<Words>) -> Warning {
    Warning {
        kind,
        count,
        text: text.into(),
    }
}

/// `1 day`, `2 days`.
fn counted(n: usize, one: &str) -> String {
    format!("{n} {one}{}", if n == 1 { "" } else { "s" })
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "hours of one run"
)]
fn hours(value: f64) -> usize {
    value.round().max(0.0) as usize
}

pub(crate) fn of(plan: &Plan, year: &Prepared, marks: &Marks, season: &Season) -> Vec<Warning> {
    let mut out = of_the_weather(plan, year, season);
    out.extend(of_the_heaters(plan, year, marks, season));
    if season.too_hot_days > 0 {
        out.push(warning(
            "too_hot",
            season.too_hot_days,
            format!(
                "on {} the water is hotter than wanted: take the cover off, shorten the pump hours or set off_above and stop_above lower",
                counted(season.too_hot_days, "day")
            ),
        ));
    }
    if let Some(periodic) = season.periodic
        && periodic.difference_k.abs() > PERIODIC_WITHIN_K
    {
        out.push(warning(
            "not_periodic",
            periodic.rounds,
            Words::from(format!(
                "after {} the water still ends ",
                counted(periodic.rounds, "year")
            ))
            .temperature_difference(periodic.difference_k.abs())
            .and(" away from its beginning"),
        ));
    }
    if marks.skipped > 0 {
        out.push(warning(
            "starts_late",
            marks.skipped,
            "the run begins on the opening day with the given temperature; earlier hours are empty",
        ));
    }
    if marks.ice_hours > 0.0 {
        let ice_m = marks.ice_peak_kg / (ICE_DENSITY_KG_M3 * plan.pool.area_m2);
        out.push(warning(
            "ice",
            hours(marks.ice_hours),
            Words::from(format!(
                "the water freezes over for {}, with ice up to ",
                counted(hours(marks.ice_hours), "hour")
            ))
            .thickness(ice_m)
            .and(" thick"),
        ));
    }
    if season.water_min_c < 0.0 {
        out.push(warning(
            "frozen_solid",
            0,
            "the pool freezes to the ground: what happens to its ice, shell and pipes then is not modelled",
        ));
    }
    if marks.short_cycling > 0 {
        out.push(warning(
            "short_cycling",
            marks.short_cycling,
            format!(
                "in {} the sensor control starts and stops again and again, because at this flow the water warms less on its way than the switching points ask; lower on_rise or the flow",
                counted(marks.short_cycling, "interval")
            ),
        ));
    }
    if marks.pumped_in_frost_h >= FROST_H {
        out.push(warning(
            "pumps_in_frost",
            hours(marks.pumped_in_frost_h),
            format!(
                "for {} the pump pushes water through the heaters in frost: what stands still for a moment freezes and bursts; set frost_stop, and drain before winter",
                counted(hours(marks.pumped_in_frost_h), "hour")
            ),
        ));
    }
    if let Some((wanted_h, done_h)) = season.night_cooling_h
        && wanted_h >= COOLING_H
        && done_h < 0.5 * wanted_h
    {
        out.push(warning(
            "night_cooling_idle",
            hours(wanted_h - done_h),
            format!(
                "the pool is hotter than cool_above in {} hours, and in {} of them the heater is no colder than the water, so that pumping would not cool it",
                hours(wanted_h),
                hours(wanted_h - done_h)
            ),
        ));
    }
    if marks.covered_still_h >= LAYERED_H {
        out.push(warning(
            "layers",
            hours(marks.covered_still_h),
            format!(
                "for {} the cover lies on water that no pump stirs: its top is then warmer, and its floor colder, than the mixed temperature shown here",
                counted(hours(marks.covered_still_h), "sunny hour")
            ),
        ));
    }
    if !year.typical {
        out.push(warning(
            "measured_year",
            0,
            "this is one measured year, not a typical one",
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
            "there is a pump of its own but no solar heater for it",
        ));
    }
    out
}

/// Share of the sunny hours with the sun below the horizon from which place or clock of the file are in doubt.
const SUN_AT_NIGHT_FRAC: f64 = 0.01;

/// What puts the weather, and with it the headline, in doubt.
fn of_the_weather(plan: &Plan, year: &Prepared, season: &Season) -> Vec<Warning> {
    let mut out = Vec::new();
    let (dark, sunny) = year.sun_at_night;
    #[allow(clippy::cast_precision_loss, reason = "intervals of a year")]
    if dark as f64 > SUN_AT_NIGHT_FRAC * sunny as f64 {
        out.push(warning(
            "sun_and_clock",
            dark,
            format!(
                "in {dark} of {sunny} sunny intervals of the weather file the sun is below the horizon at its latitude and longitude: place, sign or time zone of the file are wrong, and so is what follows"
            ),
        ));
    }
    if !year.whole_year {
        let open = |date| MonthDay::contains(plan.pool.opens, plan.pool.closes, date);
        let a_year = NaiveDate::from_ymd_opt(TYPICAL_YEAR, 1, 1).into_iter();
        let wanted = a_year
            .flat_map(|d| d.iter_days().take(365))
            .filter(|d| open(*d))
            .count();
        let had = season.days.iter().filter(|d| d.open).count();
        let last = year
            .rows
            .last()
            .map(|r| r.start.date().to_string())
            .unwrap_or_default();
        out.push(warning(
            "weather_ends",
            wanted.saturating_sub(had),
            format!(
                "the weather ends on {last}: {} of {wanted} open days are missing",
                wanted.saturating_sub(had)
            ),
        ));
    }
    out
}

/// Heat lost by itself while the pump stands that is worth a check valve, kWh.
const SIPHONED_KWH: f64 = 20.0;

/// Water in the tubes faster than this wears fittings and is seldom what a pump can push, m/s (common practice, no source).
const FASTEST_M_S: f64 = 3.0;

/// Longest time in the tubes with which the step still follows the outlet, s: half an interval.
const SLOWEST_S: f64 = 1800.0;

/// A plane that gets less than this share of the sun on level ground faces away from it.
const FACES_AWAY_FRAC: f64 = 0.85;

/// Hottest standing panel for which its test line can be believed, °C: some 30 K above summer air (own judgement).
const PANEL_TESTED_C: f64 = 65.0;

/// Hours of pumping in frost that are worth a word.
const FROST_H: f64 = 5.0;

fn of_the_heaters(plan: &Plan, year: &Prepared, marks: &Marks, season: &Season) -> Vec<Warning> {
    let mut out = Vec::new();
    let boils_c = dew_point_c(year.pressure_pa);
    let level_w_m2 = year.level_sum_w_m2;
    for (k, heater) in season.heaters.iter().enumerate() {
        let name = &heater.name;
        let is_panel = plan
            .heaters
            .get(k)
            .is_some_and(|h| matches!(h.spec, HeaterSpec::Panel(_)));
        // The outlet that was booked is the last one's.
        let outlet_c = season
            .peak_outlet_c
            .filter(|_| k + 1 == season.heaters.len());
        // A panel's standing temperature is drawn out too far to speak of boiling.
        let standing_c = if is_panel {
            f64::NEG_INFINITY
        } else {
            heater.peak_stagnation_c
        };
        let hottest_c = standing_c.max(outlet_c.unwrap_or(f64::NEG_INFINITY));
        if hottest_c >= boils_c {
            out.push(warning(
                "boils",
                0,
                Words::from(format!("the water in {name} boils (computed "))
                    .temperature(hottest_c)
                    .and("; boiling is not modelled, so neither is that number): steam, burst hoses, scalds. Never shut it off full in the sun; more flow, less tube, no lid"),
            ));
        }
        if is_panel && heater.peak_stagnation_c > PANEL_TESTED_C {
            out.push(warning(
                "panel_extrapolated",
                0,
                format!(
                    "how hot {name} gets without flow is drawn out from its test coefficients far beyond the test: an upper bound"
                ),
            ));
        }
        if heater.siphoned_kwh <= -SIPHONED_KWH {
            out.push(warning(
                "siphon_loss",
                0,
                format!(
                    "without a check valve {name} turns by itself at night and takes {:.0} kWh from the pool: fit a check valve",
                    -heater.siphoned_kwh
                ),
            ));
        }
        if marks.transit_s[k] > SLOWEST_S {
            out.push(warning(
                "flow_slow",
                0,
                format!(
                    "at the given flow the water takes {:.0} minutes through {name}: it gets hot and gives little; more flow, or less tube",
                    marks.transit_s[k] / 60.0
                ),
            ));
        }
        if marks.flow_m_s[k] > FASTEST_M_S {
            out.push(warning(
                "flow_fast",
                0,
                Words::from("the given flow means ")
                    .tube_speed(marks.flow_m_s[k])
                    .and(&format!(" in the tube of {name}: hardly a pump pushes that; measure it with a bucket, or put circuits side by side")),
            ));
        }
        if let Some(plane) = plan
            .heaters
            .get(k)
            .and_then(|h| year.plane_of(&h.plane, &h.obstructions))
        {
            let sun_w_m2 = year.planes[plane].open_sum_w_m2;
            if sun_w_m2 < FACES_AWAY_FRAC * level_w_m2 {
                out.push(warning(
                    "faces_away",
                    0,
                    format!(
                        "{name} faces away from the sun: its plane gets {:.0} % of what level ground gets in a year",
                        100.0 * sun_w_m2 / level_w_m2
                    ),
                ));
            }
        }
        if heater.cooling_h >= COOLING_H {
            out.push(warning(
                "heater_cools",
                hours(heater.cooling_h),
                format!(
                    "for {} pumping through {} cooled the pool: start later, stop earlier, or let a sensor decide",
                    counted(hours(heater.cooling_h), "hour"),
                    heater.name
                ),
            ));
        }
        if let Some(softening_c) = marks.softening_c[k]
            && heater.peak_stagnation_c > softening_c
        {
            out.push(warning(
                "tube_softens",
                0,
                Words::from(format!(
                    "without flow the tube of {} gets hotter than its material stays firm (",
                    heater.name
                ))
                .temperature(softening_c)
                .and("): fittings can slip; keep it open to the air, clamp it well, never shut it off full and in the sun"),
            ));
        }
    }
    out
}
