//! The weather year: what every reader ends in and the season begins with.

use chrono::{Datelike, NaiveDateTime, TimeDelta};

use crate::column::Column;
use crate::normals::Known;

/// Calendar year that labels the intervals of a typical year: not a leap year.
pub const TYPICAL_YEAR: i32 = 2001;

/// Weather of consecutive intervals at one place, in SI units and local standard time.
#[derive(Clone, Debug, PartialEq)]
pub struct WeatherYear {
    /// Where it was measured or made for.
    pub place: Place,
    /// Format it was read from.
    pub format: Format,
    /// Typical or of a calendar year.
    pub kind: YearKind,
    /// Start of the first interval, local standard time.
    pub first_start: NaiveDateTime,
    /// Length of an interval, minutes.
    pub interval_minutes: u32,
    /// The values, one for each interval.
    pub columns: Columns,
    /// How much later than the middle of its interval the radiation really lies, minutes: as the format declares it, or as
    /// measured against the sun where the two differ.
    pub radiation_shift_minutes: f64,
    /// What was known of the place, when the year was made from monthly normals and not read.
    pub normals: Option<Known>,
    /// What was filled, derived, not given, or looks doubtful.
    pub notes: Vec<Note>,
}

/// Where the weather belongs.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// Name as the file has it.
    pub name: String,
    /// Latitude, degrees, north positive.
    pub latitude_deg: f64,
    /// Longitude, degrees, east positive.
    pub longitude_deg: f64,
    /// Local standard time minus UTC, hours.
    pub utc_offset_h: f64,
    /// Height above the sea, m.
    pub altitude_m: f64,
}

/// Format of a weather file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Format {
    /// Typical-meteorological-year CSV, third edition.
    Tmy3,
    /// EnergyPlus weather file.
    Epw,
    /// CSV of the US National Solar Radiation Database.
    Nsrdb,
    /// CSV of the European Photovoltaic Geographical Information System: typical year or hourly series.
    Pvgis,
    /// Typical-meteorological-year file of fixed width, second edition.
    Tmy2,
    /// Our own CSV with units in the column names.
    Plain,
    /// No file of hours: a year made from twelve monthly normals.
    Normals,
}

impl Format {
    /// Name as printed.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Tmy3 => "TMY3 CSV",
            Self::Epw => "EPW",
            Self::Nsrdb => "NSRDB CSV",
            Self::Pvgis => "PVGIS CSV",
            Self::Tmy2 => "TMY2",
            Self::Plain => "plain CSV",
            Self::Normals => "monthly normals",
        }
    }
}

/// Whether the intervals are of a calendar year or of none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum YearKind {
    /// Put together from several years, or made: labelled [`TYPICAL_YEAR`].
    Typical,
    /// One stretch of real time: labelled as in the file.
    Measured,
}

/// The values of each interval. All have the same length and are finite.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Columns {
    /// Air temperature, °C.
    pub air_c: Vec<f64>,
    /// Dew point, °C.
    pub dew_point_c: Vec<f64>,
    /// Pressure at the station, Pa.
    pub pressure_pa: Vec<f64>,
    /// Wind at 10 m, m/s.
    pub wind_m_s: Vec<f64>,
    /// Global horizontal irradiance, mean of the interval, W/m².
    pub ghi_w_m2: Vec<f64>,
    /// Direct normal irradiance, mean of the interval, W/m².
    pub dni_w_m2: Vec<f64>,
    /// Diffuse horizontal irradiance, mean of the interval, W/m².
    pub dhi_w_m2: Vec<f64>,
    /// Longwave from the sky on a horizontal plane, W/m²; `None` when the file has none.
    pub infrared_w_m2: Option<Vec<f64>>,
    /// Share of the sky under cloud, 0…1; `None` when the file has none.
    pub sky_cover_frac: Option<Vec<f64>>,
    /// Rain of the interval, mm; `None` when the file has none.
    pub rain_mm: Option<Vec<f64>>,
    /// Share of sunlight reflected by the ground, 0…1; `None` when the file has none.
    pub albedo_frac: Option<Vec<f64>>,
}

impl Columns {
    /// The columns that are there, each with what it is.
    pub fn each(&self) -> impl Iterator<Item = (Column, &[f64])> {
        let needed = [
            (Column::Air, &self.air_c),
            (Column::DewPoint, &self.dew_point_c),
            (Column::Pressure, &self.pressure_pa),
            (Column::Wind, &self.wind_m_s),
            (Column::Ghi, &self.ghi_w_m2),
            (Column::Dni, &self.dni_w_m2),
            (Column::Dhi, &self.dhi_w_m2),
        ];
        let optional = [
            (Column::Infrared, &self.infrared_w_m2),
            (Column::SkyCover, &self.sky_cover_frac),
            (Column::Rain, &self.rain_mm),
            (Column::Albedo, &self.albedo_frac),
        ];
        needed
            .into_iter()
            .map(|(column, values)| (column, values.as_slice()))
            .chain(
                optional
                    .into_iter()
                    .filter_map(|(column, values)| Some((column, values.as_deref()?))),
            )
    }

    /// As [`Self::each`], to change: to cut all columns alike, for one.
    pub fn each_mut(&mut self) -> impl Iterator<Item = (Column, &mut Vec<f64>)> {
        let needed = [
            (Column::Air, &mut self.air_c),
            (Column::DewPoint, &mut self.dew_point_c),
            (Column::Pressure, &mut self.pressure_pa),
            (Column::Wind, &mut self.wind_m_s),
            (Column::Ghi, &mut self.ghi_w_m2),
            (Column::Dni, &mut self.dni_w_m2),
            (Column::Dhi, &mut self.dhi_w_m2),
        ];
        let optional = [
            (Column::Infrared, &mut self.infrared_w_m2),
            (Column::SkyCover, &mut self.sky_cover_frac),
            (Column::Rain, &mut self.rain_mm),
            (Column::Albedo, &mut self.albedo_frac),
        ];
        needed.into_iter().chain(
            optional
                .into_iter()
                .filter_map(|(column, values)| Some((column, values.as_mut()?))),
        )
    }

    /// One column, when it is there.
    #[must_use]
    pub fn get(&self, column: Column) -> Option<&[f64]> {
        self.each()
            .find(|(other, _)| *other == column)
            .map(|(_, values)| values)
    }
}

/// One thing to know about a weather year.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// What kind of thing.
    pub kind: NoteKind,
    /// Which column it is about.
    pub column: Column,
    /// How many intervals it concerns.
    pub intervals: usize,
    /// The first of these intervals, where there is one to point at.
    pub first: Option<usize>,
    /// A sentence for people.
    pub text: String,
}

impl Note {
    /// A note that points at no interval.
    #[must_use]
    pub fn new(kind: NoteKind, column: Column, intervals: usize, text: impl Into<String>) -> Self {
        Self {
            kind,
            column,
            intervals,
            first: None,
            text: text.into(),
        }
    }

    /// The same note, pointing at its first interval.
    #[must_use]
    pub fn at(self, first: usize) -> Self {
        Self {
            first: Some(first),
            ..self
        }
    }
}

/// Kinds of [`Note`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum NoteKind {
    /// A value was missing and was filled from its neighbours.
    Filled,
    /// A value was computed from others.
    Derived,
    /// An optional column is not in the file.
    NotGiven,
    /// Values are possible but hard to believe.
    Doubtful,
}

impl NoteKind {
    /// Name as printed.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Filled => "filled",
            Self::Derived => "derived",
            Self::NotGiven => "not given",
            Self::Doubtful => "doubtful",
        }
    }
}

impl WeatherYear {
    /// Number of intervals.
    #[must_use]
    pub fn len(&self) -> usize {
        self.columns.air_c.len()
    }

    /// Whether there are no intervals. The readers never give such a year.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.columns.air_c.is_empty()
    }

    /// Start of interval `i`, local standard time. Past the end of the calendar it stays there.
    #[must_use]
    pub fn start_of(&self, i: usize) -> NaiveDateTime {
        i64::try_from(i)
            .ok()
            .and_then(|i| i.checked_mul(i64::from(self.interval_minutes)))
            .and_then(TimeDelta::try_minutes)
            .and_then(|ahead| self.first_start.checked_add_signed(ahead))
            .unwrap_or(NaiveDateTime::MAX)
    }

    /// Length of an interval, s.
    #[must_use]
    pub fn interval_s(&self) -> f64 {
        f64::from(self.interval_minutes) * 60.0
    }

    /// Whether the intervals make exactly one year: 8760 hours without 29 February, or 8784 hours with it.
    #[must_use]
    pub fn is_whole_year(&self) -> bool {
        let hours = self.len() * self.interval_minutes as usize;
        if hours != 8760 * 60 && hours != 8784 * 60 {
            return false;
        }
        let end = self.start_of(self.len());
        self.first_start.with_year(self.first_start.year() + 1) == Some(end)
    }
}
