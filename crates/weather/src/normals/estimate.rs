//! What a table does not say, estimated by published relations.

use super::check::{MOST_OF_CLEAR, TWILIGHT_KWH_M2, sun_between_kwh_m2};
use super::cycle::Cycle;
use super::moisture::Kept;
use super::sky::Sky;
use super::{Moisture, Normals, Sun};
use crate::build::{BY_EXTREMES, dew_point_by_extremes_c};
use crate::column::Column;
use crate::text::counted;
use crate::year::{Note, NoteKind};

/// Wind where none is known, 2 m above grass, m/s. Source: FAO Irrigation and Drainage Paper 56, chapter 3: the mean of 2000 stations.
const USUAL_WIND_AT_2_M_M_S: f64 = 2.0;
/// Share of √K in the sun that the span lets expect. Source: FAO Irrigation and Drainage Paper 56, equation 50: 0.16 inland, 0.19 at coasts.
const SPAN_INLAND: f64 = 0.16;
/// Ångström's numbers where none were fitted. Source: FAO Irrigation and Drainage Paper 56, equation 35.
const OVERCAST_FRAC: f64 = 0.25;
const SUNNY_FRAC: f64 = 0.50;

/// Mean daily sun of each month, kWh/m².
///
/// From hours of sunshine n of N possible: `H = (0.25 + 0.50 n/N) H0` (FAO-56 equation 35). From nothing:
/// `H = 0.16 √(T_max − T_min) H0` (Hargreaves & Samani 1982; FAO-56 equation 50), never above a clear sky.
pub(super) fn sun_kwh_m2(normals: &Normals, sky: &Sky, cycle: &Cycle) -> ([f64; 12], Option<Note>) {
    let outside = outside_kwh_m2(sky, cycle);
    let clear = clear_kwh_m2(sky, cycle);
    match &normals.sun {
        Sun::DailyKwhM2(sun) => within_twilight(sun, &clear, &outside),
        Sun::SunshineHours(hours) => {
            let possible = daylight_h(sky, cycle);
            let bare = std::array::from_fn(|m| {
                let share = if possible[m] > 0.0 {
                    (hours[m] / possible[m]).min(1.0)
                } else {
                    0.0
                };
                (OVERCAST_FRAC + SUNNY_FRAC * share) * outside[m]
            });
            let (sun, held) = below_clear(&bare, &clear);
            let text = "sun estimated from the hours of sunshine by H = (0.25 + 0.50 n/N) H0 (Ångström's relation, FAO Irrigation and Drainage Paper 56, equation 35)";
            (sun, Some(derived(Column::Ghi, &format!("{text}{held}"))))
        }
        Sun::Unknown => {
            let bare = std::array::from_fn(|m| {
                let span = normals.daily_max_c[m] - normals.daily_min_c[m];
                SPAN_INLAND * span.max(0.0).sqrt() * outside[m]
            });
            let (sun, held) = below_clear(&bare, &clear);
            let text = "sun estimated from the span between maximum and minimum by H = 0.16 √span H0 (Hargreaves & Samani 1982; FAO Irrigation and Drainage Paper 56, equation 50, inland; a coast gets a fifth more)";
            (sun, Some(derived(Column::Ghi, &format!("{text}{held}"))))
        }
    }
}

/// The table's sun; months in which the sun hardly rises are brought to what such a month can have, which lies within the
/// table's last digit, and the note says in how many.
fn within_twilight(
    sun: &[f64; 12],
    clear: &[f64; 12],
    outside: &[f64; 12],
) -> ([f64; 12], Option<Note>) {
    let held: [f64; 12] = std::array::from_fn(|m| {
        if outside[m] < TWILIGHT_KWH_M2 {
            let (least, most) = sun_between_kwh_m2(clear[m], outside[m]);
            sun[m].clamp(least, most)
        } else {
            sun[m]
        }
    });
    let moved = (0..12).filter(|&m| (held[m] - sun[m]).abs() > 0.0).count();
    let note = (moved > 0).then(|| {
        let text = format!(
            "sun of {} in which the sun hardly rises moved within the table's last digit, to what such a month can have",
            counted(moved, "month")
        );
        derived(Column::Ghi, &text)
    });
    (held, note)
}

/// The estimate held below a clear sky, and words for the note in how many months it had to be.
fn below_clear(bare: &[f64; 12], clear: &[f64; 12]) -> ([f64; 12], String) {
    let most = clear.map(|sun| MOST_OF_CLEAR * sun);
    let held = (0..12).filter(|&m| bare[m] > most[m]).count();
    let words = match held {
        0 => String::new(),
        1 => "; held below a clear sky in 1 month".to_owned(),
        n => format!("; held below a clear sky in {n} months"),
    };
    (std::array::from_fn(|m| bare[m].min(most[m])), words)
}

/// Sun outside the atmosphere, mean day of each month, kWh/m².
pub(super) fn outside_kwh_m2(sky: &Sky, cycle: &Cycle) -> [f64; 12] {
    cycle.means((0..cycle.month.len()).map(|day| sky.outside_day_wh_m2(day) / 1000.0))
}

/// Sun of the clearest sky, mean day of each month, kWh/m².
pub(super) fn clear_kwh_m2(sky: &Sky, cycle: &Cycle) -> [f64; 12] {
    cycle.means(
        (0..cycle.month.len()).map(|day| sky.clear_day(day) * sky.outside_day_wh_m2(day) / 1000.0),
    )
}

/// Sunlit hours of the mean day of each month.
pub(super) fn daylight_h(sky: &Sky, cycle: &Cycle) -> [f64; 12] {
    cycle.means((0..cycle.month.len()).map(|day| sky.daylight_h(day)))
}

/// The moisture, from the minimum where nothing is known: the air cools at night until dew forms.
pub(super) fn moisture(normals: &Normals) -> (Kept, Option<Note>) {
    match normals.moisture {
        Moisture::DewPointC(dew) => return (Kept::DewPointC(dew), None),
        Moisture::HumidityFrac(humidity) => return (Kept::HumidityFrac(humidity), None),
        Moisture::Unknown => {}
    }
    let text = format!(
        "dew point taken as the mean daily minimum{BY_EXTREMES}; in deserts it can be 10 K lower"
    );
    let dew = std::array::from_fn(|m| {
        dew_point_by_extremes_c(normals.daily_min_c[m], normals.daily_max_c[m])
    });
    (Kept::DewPointC(dew), Some(derived(Column::DewPoint, &text)))
}

/// Mean wind at 10 m, m/s.
///
/// Where none is known 2 m/s at 2 m; by FAO-56 equation 47, `u₂ = u 4.87/ln(67.8 z − 5.42)`, that is 2.67 m/s at 10 m.
pub(super) fn wind_m_s(normals: &Normals) -> ([f64; 12], Option<Note>) {
    if let Some(wind) = normals.wind_m_s {
        return (wind, None);
    }
    let wind = USUAL_WIND_AT_2_M_M_S * (67.8_f64 * 10.0 - 5.42).ln() / 4.87;
    let text = "wind taken as 2 m/s at 2 m above ground, 2.7 m/s at 10 m, in all months (FAO Irrigation and Drainage Paper 56: the usual value where none is known)";
    ([wind; 12], Some(derived(Column::Wind, text)))
}

pub(super) fn derived(column: Column, text: &str) -> Note {
    Note::new(NoteKind::Derived, column, super::HOURS, text)
}
