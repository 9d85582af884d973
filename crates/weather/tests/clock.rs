//! A clock that is an hour off, all year or for its summer: told, and not made up for in silence.

use swimdays_weather::{Column, Grade, NoteKind, WeatherYear, parse, write};

/// The sample's year with the values of each interval `from..to` taken from the interval before, as in a table whose
/// clock was put forward.
fn put_forward(from: usize, to: usize) -> WeatherYear {
    let bytes = include_bytes!("../../../weather-samples/temperate.epw");
    let mut year = parse(bytes, "sample").expect("a sample");
    let columns = &mut year.columns;
    for values in [
        &mut columns.air_c,
        &mut columns.dew_point_c,
        &mut columns.wind_m_s,
        &mut columns.ghi_w_m2,
        &mut columns.dni_w_m2,
        &mut columns.dhi_w_m2,
    ] {
        if to > from {
            values[from..to].rotate_right(1);
        }
    }
    parse(write::to_plain(&year).as_bytes(), "put forward").expect("readable")
}

fn doubt_about_time(year: &WeatherYear) -> Option<&str> {
    year.notes
        .iter()
        .find(|note| note.kind == NoteKind::Doubtful && note.column == Column::Time)
        .map(|note| note.text.as_str())
}

#[test]
fn an_hour_off_all_year_moves_the_sun_and_doubts_the_clock() {
    let year = put_forward(0, 8760);
    // An hour later by the labels: the radiation was an hour earlier.
    const MEASURED_WITHIN_MIN: f64 = 2.0;
    assert!((year.radiation_shift_minutes + 60.0).abs() < MEASURED_WITHIN_MIN);
    let text = doubt_about_time(&year).expect("a doubt");
    assert!(text.contains("Air and wind may be off"), "{text}");
    assert_eq!(year.verdict().grade, Grade::Usable);
}

#[test]
fn daylight_saving_is_a_doubt_and_no_offset_for_the_winter() {
    // 8 March to 31 October.
    let year = put_forward(1600, 7300);
    assert!(year.radiation_shift_minutes.abs() < f64::EPSILON);
    let text = doubt_about_time(&year).expect("a doubt");
    assert!(text.contains("daylight saving"), "{text}");
    assert_eq!(year.verdict().grade, Grade::Usable);
}

#[test]
fn the_sample_itself_has_no_such_doubt() {
    let year = put_forward(0, 0);
    assert_eq!(doubt_about_time(&year), None);
    assert_eq!(year.verdict().grade, Grade::Good);
}
