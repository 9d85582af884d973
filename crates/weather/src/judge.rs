//! Values that are possible but hard to believe: counted and told, never changed.

use swimdays_properties::moist_air::pressure_at_altitude_pa;

use crate::column::Column;
use crate::year::{Note, NoteKind, WeatherYear};

/// Dew points this far above the air are beyond rounding, K (half a unit of each, when both are whole degrees).
const DEW_ABOVE_AIR_K: f64 = 0.5;

/// Mean wind of an interval above this is a severe storm, m/s: Beaufort 12 begins at 32.7 m/s.
const HURRICANE_M_S: f64 = 32.7;

/// Weather moves the pressure by some 5 % at most around the standard atmosphere of a place (common practice, no source).
const PRESSURE_FROM_ALTITUDE_FRAC: f64 = 0.08;

/// Civil time leaves the sun's by up to about three hours (western China), hours.
const CLOCK_FROM_SUN_H: f64 = 3.5;

/// Greatest rain in one hour on record, mm: Holt, Missouri, 1947 (WMO archive of weather extremes; from memory).
const GREATEST_RAIN_MM_H: f64 = 305.0;

/// Adds the doubts about a finished year to its notes.
pub(crate) fn doubts(year: &mut WeatherYear) {
    let mut notes = Vec::new();
    let mut note = |column: Column, intervals: usize, text: String| {
        if intervals > 0 {
            notes.push(Note {
                kind: NoteKind::Doubtful,
                column,
                intervals,
                first: None,
                text,
            });
        }
    };
    let columns = &year.columns;

    let above = columns
        .dew_point_c
        .iter()
        .zip(&columns.air_c)
        .filter(|(dew, air)| *dew - *air > DEW_ABOVE_AIR_K)
        .count();
    note(
        Column::DewPoint,
        above,
        format!(
            "the dew point is above the air temperature by more than {DEW_ABOVE_AIR_K} K in {above} intervals"
        ),
    );

    let storms = columns
        .wind_m_s
        .iter()
        .filter(|&&wind| wind > HURRICANE_M_S)
        .count();
    note(
        Column::Wind,
        storms,
        format!("the wind is above {HURRICANE_M_S} m/s in {storms} intervals: check its unit"),
    );

    let standard = pressure_at_altitude_pa(year.place.altitude_m);
    let odd = columns
        .pressure_pa
        .iter()
        .filter(|&&pressure| (pressure / standard - 1.0).abs() > PRESSURE_FROM_ALTITUDE_FRAC)
        .count();
    note(
        Column::Pressure,
        odd,
        format!(
            "the pressure does not fit the altitude of {} m in {odd} intervals: check both (pressure must be the station's, not reduced to sea level)",
            year.place.altitude_m
        ),
    );

    let sun_clock = year.place.longitude_deg / 15.0;
    let off = (sun_clock - year.place.utc_offset_h).abs();
    // The date line: 12 h east of it is 12 h west of it.
    if off.min((24.0 - off).abs()) > CLOCK_FROM_SUN_H {
        note(
            Column::Place,
            year.len(),
            format!(
                "longitude {}° and {} h from UTC do not fit: check the sign of the longitude and the time zone",
                year.place.longitude_deg, year.place.utc_offset_h
            ),
        );
    }

    if year.is_whole_year() {
        for (column, values) in [
            (Column::Air, &columns.air_c),
            (Column::DewPoint, &columns.dew_point_c),
            (Column::Pressure, &columns.pressure_pa),
            (Column::Wind, &columns.wind_m_s),
        ] {
            let derived = year
                .notes
                .iter()
                .any(|n| n.kind == NoteKind::Derived && n.column == column);
            let stuck = values
                .windows(2)
                .all(|pair| (pair[0] - pair[1]).abs() < f64::EPSILON);
            if stuck && !derived {
                note(
                    column,
                    values.len(),
                    format!("the {column} is the same in every interval of the year"),
                );
            }
        }
    }
    year.notes.extend(notes);
}

/// Why a column of rain cannot be believed, if it cannot.
///
/// One published file gives a year of 8300 mm where 1100 mm fall: such a column is left out whole.
pub(crate) fn impossible_rain(rain_mm: &[f64], interval_minutes: u32) -> Option<String> {
    // What an hour can bring, an interval within it can.
    let most = GREATEST_RAIN_MM_H * (f64::from(interval_minutes) / 60.0).max(1.0);
    let greatest = rain_mm.iter().copied().fold(0.0, f64::max);
    (greatest > most).then(|| {
        format!(
            "rain of {greatest} mm in one interval is more than ever fell in an hour ({GREATEST_RAIN_MM_H} mm): the column is not used"
        )
    })
}
