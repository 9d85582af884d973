//! A year of hours made from twelve monthly normals.
//!
//! **Question:** what might the hours of a year be at a place of which only a climate table is known?
//! **In:** [`Normals`], from a table ([`read_table`], [`parse_table`]) or a weather year ([`from_year`]). **Out:** a
//! [`WeatherYear`], the same for the same seed, whose monthly means are those of the table to rounding.
//!
//! | quantity | made by | module |
//! |---|---|---|
//! | clearness of the day | order by the Markov chain of Aguiar and others (1988), shares of Bendt and others (1981) | `days` |
//! | clearness of the hour | Aguiar & Collares-Pereira (1992), under a clear-sky ceiling | `hours` |
//! | direct and diffuse | Ridley, Boland, Lauret (2010) | `swimdays-solar` |
//! | warm and cold spells, moist and dry, windy and calm | first-order normal variables that follow the clearness | `score` |
//! | air | a sine by day, exponential cooling by night (Parton & Logan 1981) | `air` |
//! | dew point | from noon to noon, never above the air | `moisture` |
//! | wind | Weibull of shape 2, with a daily course | `wind` |
//! | rain | on the cloudier days | `rain` |
//! | what is not known | FAO Irrigation and Drainage Paper 56 | `estimate` |
//!
//! Infrared and sky cover are left out, so that the season's sky model finds them from the sun. Means are kept by moving
//! the season, stretching days or bending shares between their limits, never by cutting.

mod air;
mod check;
mod cycle;
mod days;
mod estimate;
mod from_year;
mod head;
mod hours;
mod moisture;
mod names;
mod rain;
mod random;
mod score;
mod sky;
mod table;
mod tables;
mod wind;

use chrono::{NaiveDate, NaiveDateTime};
use swimdays_properties::moist_air::pressure_at_altitude_pa;

use crate::Place;
use crate::column::Column;
use crate::error::WeatherError;
use crate::judge::too_dark;
use crate::year::{Columns, Format, Note, NoteKind, TYPICAL_YEAR, WeatherYear, YearKind};

pub use cycle::month_days;
pub use from_year::from_year;
pub use table::{parse_table, read_table};

use cycle::Cycle;
use sky::Sky;

/// Hours of a common year.
const HOURS: usize = 8760;

/// What a climate table says of a place, January to December.
#[derive(Clone, Debug, PartialEq)]
pub struct Normals {
    /// Where.
    pub place: Place,
    /// Mean daily maximum of the air, °C.
    pub daily_max_c: [f64; 12],
    /// Mean daily minimum of the air, °C.
    pub daily_min_c: [f64; 12],
    /// Sun on level ground, or what it can be estimated from.
    pub sun: Sun,
    /// Moisture of the air.
    pub moisture: Moisture,
    /// Mean wind at 10 m, m/s.
    pub wind_m_s: Option<[f64; 12]>,
    /// Rain of the month, mm.
    pub rain_mm: Option<[f64; 12]>,
    /// Days with rain of at least 1 mm; used with `rain_mm` only.
    pub rain_days: Option<[f64; 12]>,
}

/// What is known of the sun.
#[derive(Clone, Debug, PartialEq)]
pub enum Sun {
    /// Mean sum of the day on level ground, kWh/m².
    DailyKwhM2([f64; 12]),
    /// Hours of bright sunshine, mean of the day.
    SunshineHours([f64; 12]),
    /// Nothing: estimated from the span between maximum and minimum.
    Unknown,
}

/// What is known of the moisture.
#[derive(Clone, Debug, PartialEq)]
pub enum Moisture {
    /// Mean dew point, °C.
    DewPointC([f64; 12]),
    /// Mean relative humidity, 0…1.
    HumidityFrac([f64; 12]),
    /// Nothing: estimated from the minimum.
    Unknown,
}

/// Which columns of a table were known: it says how far the year can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Known {
    /// The sun, by its sum. Hours of sunshine are not enough: the sun is then estimated from them, and how well was not measured.
    pub sun: bool,
    /// The moisture.
    pub moisture: bool,
    /// The wind.
    pub wind: bool,
}

impl Known {
    /// All columns.
    pub const ALL: Self = Self {
        sun: true,
        moisture: true,
        wind: true,
    };
}

impl Normals {
    /// Which columns are known.
    #[must_use]
    pub fn known(&self) -> Known {
        Known {
            sun: matches!(self.sun, Sun::DailyKwhM2(_)),
            moisture: self.moisture != Moisture::Unknown,
            wind: self.wind_m_s.is_some(),
        }
    }

    /// Whether there can be such a place; see the messages for what may stand where.
    ///
    /// # Errors
    /// [`WeatherError::Normals`] with the first value that cannot be, and what to do.
    pub fn check(&self) -> Result<(), WeatherError> {
        check::check(self, &Cycle::common(), &self.sky())
            .map_err(|fault| fault.of_place(&self.place.name))
    }

    fn sky(&self) -> Sky {
        Sky::new(&self.place, new_year(), HOURS)
    }
}

/// A year that the table might have been made from; other seeds give other years with the same monthly means.
///
/// # Errors
/// As [`Normals::check`].
pub fn generate(normals: &Normals, seed: u64) -> Result<WeatherYear, WeatherError> {
    let cycle = Cycle::common();
    let sky = normals.sky();
    check::check(normals, &cycle, &sky).map_err(|fault| fault.of_place(&normals.place.name))?;
    let mut notes = Vec::new();
    let (sun_kwh_m2, note) = estimate::sun_kwh_m2(normals, &sky, &cycle);
    notes.extend(note);
    let (moisture, note) = estimate::moisture(normals);
    notes.extend(note);
    let (mean_wind_m_s, note) = estimate::wind_m_s(normals);
    notes.extend(note);

    let outside = estimate::outside_kwh_m2(&sky, &cycle);
    let clearness = std::array::from_fn(|m| {
        if outside[m] > 0.0 {
            sun_kwh_m2[m] / outside[m]
        } else {
            0.0
        }
    });
    notes.extend(dark_year(normals, &sun_kwh_m2, &outside, &cycle));
    let days = days::days(&clearness, &cycle.lengths, &sky, seed);
    let ghi_w_m2 = hours::global_w_m2(&days, &sky, seed);
    let (dni_w_m2, dhi_w_m2) = sky.split(&ghi_w_m2);

    let mean_c = std::array::from_fn(|m| 0.5 * (normals.daily_max_c[m] + normals.daily_min_c[m]));
    let scores = score::Scores::new(&days, &sky, &cycle, &mean_c, seed);
    let (highest, lowest) = (&normals.daily_max_c, &normals.daily_min_c);
    let air_c = air::air_c(highest, lowest, &scores, &sky, &cycle);
    let dew_point_c = moisture::dew_point_c(&moisture, &air_c, &scores, &cycle);
    let wind_m_s = wind::wind_m_s(&mean_wind_m_s, &days, &scores, &sky, &cycle, seed);
    let rain_mm = normals
        .rain_mm
        .as_ref()
        .map(|rain| rain::rain_mm(rain, normals.rain_days.as_ref(), &days, &cycle, seed));

    notes.push(estimate::derived(
        Column::Dni,
        "direct and diffuse split from global irradiance (Ridley, Boland, Lauret 2010)",
    ));
    notes.push(estimate::derived(
        Column::Pressure,
        "pressure computed from the altitude (standard atmosphere)",
    ));
    notes.extend(
        [Column::Infrared, Column::SkyCover, Column::Albedo]
            .map(not_given)
            .into_iter()
            .chain(rain_mm.is_none().then(|| not_given(Column::Rain))),
    );
    notes.push(Note::new(
        NoteKind::Derived,
        Column::Time,
        HOURS,
        format!(
            "no measured hours: one of many years that the monthly normals allow (seed {seed})"
        ),
    ));
    Ok(WeatherYear {
        place: normals.place.clone(),
        format: Format::Normals,
        kind: YearKind::Typical,
        first_start: new_year(),
        interval_minutes: 60,
        columns: Columns {
            air_c,
            dew_point_c,
            pressure_pa: vec![pressure_at_altitude_pa(normals.place.altitude_m); HOURS],
            wind_m_s,
            ghi_w_m2,
            dni_w_m2,
            dhi_w_m2,
            infrared_w_m2: None,
            sky_cover_frac: None,
            rain_mm,
            albedo_frac: None,
        },
        radiation_shift_minutes: 0.0,
        normals: Some(normals.known()),
        notes,
    })
}

/// A doubt about the unit of a table's sun that leaves the whole year too dark.
fn dark_year(
    normals: &Normals,
    sun_kwh_m2: &[f64; 12],
    outside_kwh_m2: &[f64; 12],
    cycle: &Cycle,
) -> Option<Note> {
    if !matches!(normals.sun, Sun::DailyKwhM2(_)) {
        return None;
    }
    #[allow(clippy::cast_precision_loss, reason = "days of a month")]
    let year = |monthly: &[f64; 12]| -> f64 {
        let sums = monthly.iter().zip(&cycle.lengths);
        sums.map(|(mean, &days)| mean * days as f64).sum()
    };
    let text = too_dark(
        year(sun_kwh_m2) / year(outside_kwh_m2),
        normals.place.latitude_deg,
    )?;
    Some(Note::new(
        NoteKind::Doubtful,
        Column::Ghi,
        HOURS,
        format!("{text}: MJ or kWh? Look at the heading of the sun's column"),
    ))
}

fn not_given(column: Column) -> Note {
    let text = format!("the table has no {column}");
    Note::new(NoteKind::NotGiven, column, HOURS, text)
}

fn new_year() -> NaiveDateTime {
    NaiveDate::from_ymd_opt(TYPICAL_YEAR, 1, 1)
        .unwrap_or_default()
        .into()
}
