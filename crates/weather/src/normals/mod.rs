//! A year of hours made from twelve monthly normals.
//!
//! **Question:** what might the hours of a year be at a place of which only a climate table is known?
//! **In:** [`Normals`]. **Out:** a [`WeatherYear`](crate::WeatherYear), the same for the same seed, whose monthly means are those of the table.

use crate::Place;

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
    /// The sun, by its sum or its hours.
    pub sun: bool,
    /// The moisture.
    pub moisture: bool,
    /// The wind.
    pub wind: bool,
}

impl Normals {
    /// Which columns are known.
    #[must_use]
    pub fn known(&self) -> Known {
        Known {
            sun: self.sun != Sun::Unknown,
            moisture: self.moisture != Moisture::Unknown,
            wind: self.wind_m_s.is_some(),
        }
    }
}
