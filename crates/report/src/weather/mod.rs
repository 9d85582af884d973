//! What a weather file is and how far it can be trusted: one object for JSON, text and tables.
//!
//! Every number shown anywhere comes from [`WeatherReport`]; SI units, as the names say; absent values are `null`.

mod chapter;
mod table;
mod text;

use std::io::Write;

use serde::Serialize;
use swimdays_season::DEFAULT_GROUND_ALBEDO_FRAC;
use swimdays_weather::{
    Cause, Column, LARGEST_SHIFT_MINUTES, LongwaveSource, NoteKind, Stretch, SunCheck, SunVerdict,
    WeatherYear, YearKind,
};

use crate::ReportError;
use crate::words::weather_name;

pub use chapter::chapter;
pub use table::write_months_csv;
pub use text::{WEATHER_LINES, weather_lines};

/// Plain means over the intervals.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[allow(missing_docs, reason = "the names say what and in which unit")]
pub struct WeatherMeans {
    pub air_c: f64,
    pub dew_point_c: f64,
    pub wind_m_s: f64,
    pub ghi_w_m2: f64,
    pub dni_w_m2: f64,
    pub dhi_w_m2: f64,
}

/// The year, or a month of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WeatherStretch {
    /// 1 to 12; `null` for all.
    pub month: Option<u32>,
    /// How many intervals; of a month that is not in the file 0, and all else is `null`.
    pub intervals: usize,
    /// Days of which every interval is there.
    pub whole_days: usize,
    /// Plain means.
    pub mean: Option<WeatherMeans>,
    /// Mean of the days' lowest, °C.
    pub air_daily_min_c: Option<f64>,
    /// Mean of the days' highest, °C.
    pub air_daily_max_c: Option<f64>,
    /// Lowest of an interval, °C.
    pub air_lowest_c: Option<f64>,
    /// Highest of an interval, °C.
    pub air_highest_c: Option<f64>,
    /// Sun on level ground, mean sum of the day.
    pub sun_kwh_m2_day: Option<f64>,
    /// That over the sun above the air.
    pub clearness_frac: Option<f64>,
    /// Sum of the rain: of a month in its mean year, of all the sum.
    pub rain_mm: Option<f64>,
}

/// One thing to know.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WeatherRemark {
    /// Which column it is about.
    pub column: &'static str,
    /// How many intervals it concerns.
    pub intervals: usize,
    /// A sentence.
    pub text: String,
    /// Start of the first of them, local standard time; `null` where there is none to point at.
    pub first: Option<String>,
}

/// What holding the radiation against the sun gave.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WeatherSun {
    /// Clear days that gave it.
    pub days: usize,
    /// How much later than the middle of its interval the radiation lies: by the file's clock it is early by as much.
    pub shift_minutes: f64,
    /// Interquartile range of the days.
    pub spread_minutes: f64,
    /// `agrees`, `apart` or `wrong clock or place`: with the shift that is used.
    pub verdict: &'static str,
    /// What would make it fit, the likeliest first.
    pub causes: Vec<String>,
}

/// Where the season takes from what the file may not have.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[allow(missing_docs, reason = "the names say what")]
pub struct SeasonTakes {
    pub longwave: String,
    pub ground_albedo: String,
    pub direct_and_diffuse: String,
    pub dew_point: String,
    pub pressure: String,
    pub rain: String,
}

/// How far it can be trusted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WeatherVerdict {
    /// `good`, `usable, with doubts` or `not good`.
    pub grade: &'static str,
    /// A sentence.
    pub text: String,
    /// What it rests on, the gravest first.
    pub reasons: Vec<String>,
}

/// Which columns of a climate table were known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[allow(missing_docs, reason = "the names say what")]
pub struct NormalsKnown {
    pub sun: bool,
    pub moisture: bool,
    pub wind: bool,
}

/// A weather file, described.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WeatherReport {
    /// Version of the program.
    pub program_version: String,
    /// Name of the place, or its coordinates.
    pub place: String,
    /// Format it was read from.
    pub format: &'static str,
    /// `typical` or `measured`.
    pub kind: &'static str,
    /// North positive.
    pub latitude_deg: f64,
    /// East positive.
    pub longitude_deg: f64,
    /// Local standard time minus UTC, hours.
    pub utc_offset_h: f64,
    /// Above the sea, m.
    pub altitude_m: f64,
    /// How many intervals.
    pub intervals: usize,
    /// Length of an interval.
    pub interval_minutes: u32,
    /// Start of the first interval, local standard time.
    pub first_start: String,
    /// End of the last one.
    pub last_end: String,
    /// Whether the intervals make exactly one year.
    pub whole_year: bool,
    /// How far it can be trusted.
    pub verdict: WeatherVerdict,
    /// Plain means over all intervals.
    pub mean: WeatherMeans,
    /// All intervals.
    pub all: WeatherStretch,
    /// January to December.
    pub months: Vec<WeatherStretch>,
    /// How much later than the middle of its interval the radiation is taken to lie.
    pub radiation_shift_minutes: f64,
    /// The radiation against the sun; `null` with too few clear days.
    pub sun_check: Option<WeatherSun>,
    /// Values filled from their neighbours.
    pub filled: Vec<WeatherRemark>,
    /// Values computed from others.
    pub derived: Vec<WeatherRemark>,
    /// Values hard to believe.
    pub doubtful: Vec<WeatherRemark>,
    /// Columns that the file does not have.
    pub not_given: Vec<WeatherRemark>,
    /// What the season takes from where.
    pub season_takes: SeasonTakes,
    /// What was known, of a year made from monthly normals.
    pub normals: Option<NormalsKnown>,
}

impl WeatherReport {
    /// Describes a weather year.
    #[must_use]
    pub fn new(year: &WeatherYear, program_version: &str) -> Self {
        let place = &year.place;
        let summary = year.summary();
        let verdict = year.verdict();
        let of_kind = |kind| remarks(year, kind);
        let time = |i: usize| year.start_of(i).format("%Y-%m-%dT%H:%M").to_string();
        Self {
            program_version: program_version.to_owned(),
            place: weather_name(&place.name, place.latitude_deg, place.longitude_deg),
            format: year.format.name(),
            kind: match year.kind {
                YearKind::Typical => "typical",
                YearKind::Measured => "measured",
            },
            latitude_deg: place.latitude_deg,
            longitude_deg: place.longitude_deg,
            utc_offset_h: place.utc_offset_h,
            altitude_m: place.altitude_m,
            intervals: year.len(),
            interval_minutes: year.interval_minutes,
            first_start: time(0),
            last_end: time(year.len()),
            whole_year: year.is_whole_year(),
            verdict: WeatherVerdict {
                grade: verdict.grade.name(),
                text: format!(
                    "{}: {}.",
                    verdict.grade.phrase(),
                    verdict.reasons.join("; ")
                ),
                reasons: verdict.reasons,
            },
            mean: means(&summary.all),
            all: stretch(None, Some(&summary.all)),
            months: (1..=12)
                .zip(&summary.months)
                .map(|(month, part)| stretch(Some(month), part.as_ref()))
                .collect(),
            radiation_shift_minutes: year.radiation_shift_minutes,
            sun_check: verdict.sun.as_ref().map(sun),
            filled: of_kind(NoteKind::Filled),
            derived: of_kind(NoteKind::Derived),
            doubtful: of_kind(NoteKind::Doubtful),
            not_given: of_kind(NoteKind::NotGiven),
            season_takes: season_takes(year),
            normals: year.normals.map(|known| NormalsKnown {
                sun: known.sun,
                moisture: known.moisture,
                wind: known.wind,
            }),
        }
    }

    /// Writes the object of `weather.json`.
    ///
    /// # Errors
    /// [`ReportError::Json`] when writing fails.
    pub fn write_json(&self, out: &mut dyn Write) -> Result<(), ReportError> {
        serde_json::to_writer_pretty(&mut *out, self)?;
        out.write_all(b"\n").map_err(serde_json::Error::io)?;
        Ok(())
    }
}

fn means(part: &Stretch) -> WeatherMeans {
    WeatherMeans {
        air_c: part.air_c,
        dew_point_c: part.dew_point_c,
        wind_m_s: part.wind_m_s,
        ghi_w_m2: part.ghi_w_m2,
        dni_w_m2: part.dni_w_m2,
        dhi_w_m2: part.dhi_w_m2,
    }
}

fn stretch(month: Option<u32>, part: Option<&Stretch>) -> WeatherStretch {
    WeatherStretch {
        month,
        intervals: part.map_or(0, |p| p.intervals),
        whole_days: part.map_or(0, |p| p.whole_days),
        mean: part.map(means),
        air_daily_min_c: part.and_then(|p| p.air_daily_min_c),
        air_daily_max_c: part.and_then(|p| p.air_daily_max_c),
        air_lowest_c: part.map(|p| p.air_lowest_c),
        air_highest_c: part.map(|p| p.air_highest_c),
        sun_kwh_m2_day: part.and_then(|p| p.sun_kwh_m2_day),
        clearness_frac: part.and_then(|p| p.clearness_frac),
        rain_mm: part.and_then(|p| p.rain_mm),
    }
}

fn remarks(year: &WeatherYear, kind: NoteKind) -> Vec<WeatherRemark> {
    year.notes
        .iter()
        .filter(|note| note.kind == kind)
        .map(|note| WeatherRemark {
            column: note.column.name(),
            intervals: note.intervals,
            text: note.text.clone(),
            first: note
                .first
                .map(|i| year.start_of(i).format("%Y-%m-%dT%H:%M").to_string()),
        })
        .collect()
}

fn sun(check: &SunCheck) -> WeatherSun {
    let (verdict, causes) = match &check.verdict {
        SunVerdict::Agrees => ("agrees", Vec::new()),
        SunVerdict::WrongClockOrPlace(causes) => (
            "wrong clock or place",
            causes.iter().map(Cause::to_string).collect(),
        ),
        _ if check.shift_minutes.abs() > LARGEST_SHIFT_MINUTES => {
            ("wrong clock or place", Vec::new())
        }
        _ => ("apart", Vec::new()),
    };
    WeatherSun {
        days: check.days,
        shift_minutes: check.shift_minutes,
        spread_minutes: check.spread_minutes,
        verdict,
        causes,
    }
}

/// How [`SeasonTakes`] says that the file has it.
pub(crate) const FROM_FILE: &str = "the file";

/// What the season will take from where, in the words of a list.
fn season_takes(year: &WeatherYear) -> SeasonTakes {
    let c = &year.columns;
    // A column counts as derived when most of it is.
    let derived = |column: Column| {
        year.notes
            .iter()
            .filter(|n| n.kind == NoteKind::Derived && n.column == column)
            .map(|n| n.intervals)
            .sum::<usize>()
            * 2
            > year.len()
    };
    let from = |column: Column, else_from: &str| {
        if derived(column) {
            else_from.to_owned()
        } else {
            FROM_FILE.to_owned()
        }
    };
    let split = "split from the global";
    SeasonTakes {
        longwave: match year.longwave_source() {
            LongwaveSource::Infrared => FROM_FILE.into(),
            LongwaveSource::SkyCover => "from the file's sky cover".into(),
            LongwaveSource::SunCloudiness => "from how clear the sun shines".into(),
        },
        ground_albedo: if c.albedo_frac.is_some() {
            FROM_FILE.into()
        } else {
            format!("{DEFAULT_GROUND_ALBEDO_FRAC} (grass and soil)")
        },
        direct_and_diffuse: if derived(Column::Dhi) {
            split.into()
        } else {
            from(Column::Dni, split)
        },
        dew_point: from(Column::DewPoint, "from the humidity"),
        pressure: from(Column::Pressure, "from the altitude"),
        rain: if c.rain_mm.is_some() {
            FROM_FILE.into()
        } else {
            "none".into()
        },
    }
}
