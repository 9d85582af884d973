//! The columns a weather file can bring, and what each may physically be.

use std::fmt;

/// A column of a weather file, or the part of its header that a note speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Column {
    /// Air temperature.
    Air,
    /// Dew point.
    DewPoint,
    /// Relative humidity (read only where the dew point is missing).
    Humidity,
    /// Air pressure at the station.
    Pressure,
    /// Wind speed, 10 m above ground.
    Wind,
    /// Global horizontal irradiance.
    Ghi,
    /// Direct normal irradiance.
    Dni,
    /// Diffuse horizontal irradiance.
    Dhi,
    /// Longwave from the sky on a horizontal plane.
    Infrared,
    /// Share of the sky under cloud.
    SkyCover,
    /// Rain of the interval.
    Rain,
    /// Share of sunlight the ground reflects.
    Albedo,
    /// The time labels, not a column of values.
    Time,
    /// Where the station stands, not a column of values.
    Place,
}

/// What a column may hold, in SI units. Outside is impossible on Earth, and an error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Least value.
    pub low: f64,
    /// Greatest value.
    pub high: f64,
}

impl Column {
    /// The columns that hold values, in the order of their index.
    pub(crate) const VALUES: [Self; 12] = [
        Self::Air,
        Self::DewPoint,
        Self::Humidity,
        Self::Pressure,
        Self::Wind,
        Self::Ghi,
        Self::Dni,
        Self::Dhi,
        Self::Infrared,
        Self::SkyCover,
        Self::Rain,
        Self::Albedo,
    ];

    /// Name as printed, in lower case.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Air => "air temperature",
            Self::DewPoint => "dew point",
            Self::Humidity => "relative humidity",
            Self::Pressure => "pressure",
            Self::Wind => "wind speed",
            Self::Ghi => "global horizontal irradiance",
            Self::Dni => "direct normal irradiance",
            Self::Dhi => "diffuse horizontal irradiance",
            Self::Infrared => "infrared from the sky",
            Self::SkyCover => "sky cover",
            Self::Rain => "rain",
            Self::Albedo => "ground albedo",
            Self::Time => "time",
            Self::Place => "place",
        }
    }

    /// What is physically possible, SI (°C, Pa, m/s, W/m², fractions, mm per interval).
    ///
    /// Sources: the WMO archive of weather extremes (from memory): air −89.2…56.7 °C; sea-level pressure 870…1085 hPa,
    /// widened downwards for the highest peaks; a mean wind of 60 m/s is beyond a strong hurricane's. Irradiance is bounded by the
    /// sun above the air, about 1415 W/m², with room for the edges of clouds. The lower limit −4 W/m² is the
    /// "physically possible" one of Long & Dutton, *BSRN Global Network recommended QC tests, V2.0* (from memory).
    #[must_use]
    pub fn limits(self) -> Limits {
        let (low, high) = match self {
            Self::Air => (-90.0, 60.0),
            Self::DewPoint => (-100.0, 45.0),
            Self::Humidity => (0.0, 110.0),
            Self::Pressure => (30_000.0, 110_000.0),
            Self::Wind => (0.0, 60.0),
            Self::Ghi | Self::Dni => (-4.0, 1500.0),
            Self::Dhi => (-4.0, 1000.0),
            Self::Infrared => (40.0, 700.0),
            Self::SkyCover | Self::Albedo => (0.0, 1.0),
            Self::Rain => (0.0, 9000.0),
            Self::Time | Self::Place => (f64::NEG_INFINITY, f64::INFINITY),
        };
        Limits { low, high }
    }

    /// Longest gap that is filled, minutes: a straight line over more than this hides weather
    /// (common practice, no source).
    #[must_use]
    pub fn longest_filled_gap_minutes(self) -> u32 {
        match self {
            Self::Ghi | Self::Dni | Self::Dhi => 120,
            _ => 180,
        }
    }

    pub(crate) fn index(self) -> usize {
        self as usize
    }
}

impl fmt::Display for Column {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
