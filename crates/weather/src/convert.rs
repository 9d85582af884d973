//! A weather year in another format, with what the format could not carry: found by reading it back, not by belief.

use thiserror::Error;

use crate::column::Column;
use crate::write;
use crate::year::{NoteKind, WeatherYear};

/// Shifts nearer to each other than this are one, minutes: what is written as a number comes back as it was, what is measured
/// again against the sun is measured on the same values.
const SAME_SHIFT_MINUTES: f64 = 0.05;

/// A format to write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Target {
    /// Our own CSV with units in the column names.
    Plain,
    /// EnergyPlus weather file.
    Epw,
    /// Typical-meteorological-year CSV, third edition.
    Tmy3,
}

impl Target {
    /// Name as printed.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Plain => "plain CSV",
            Self::Epw => "EPW",
            Self::Tmy3 => "TMY3 CSV",
        }
    }

    /// How a file of it is called, after its stem.
    #[must_use]
    pub fn ending(self) -> &'static str {
        match self {
            Self::Plain => "plain.csv",
            Self::Epw => "epw",
            Self::Tmy3 => "tmy3.csv",
        }
    }

    fn text(self, year: &WeatherYear) -> String {
        match self {
            Self::Plain => write::to_plain(year),
            Self::Epw => write::to_epw(year),
            Self::Tmy3 => write::to_tmy3(year),
        }
    }
}

/// A year written, and what was lost in that.
#[derive(Clone, Debug, PartialEq)]
pub struct Converted {
    /// The file.
    pub text: String,
    /// What it does not carry, in sentences; all other values read back as they were.
    pub lost: Vec<String>,
    /// Kinds of values that the year knows of and the file does not mark: `doubtful`, `filled`, `derived`.
    pub unmarked: Vec<&'static str>,
}

/// Why a year cannot be written in a format.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum ConvertError {
    /// What would be written cannot be read again.
    #[error(
        "{target} cannot hold this year: what would be written does not read back ({reason}); nothing was written: take --to plain"
    )]
    Unreadable {
        /// Name of the format.
        target: &'static str,
        /// What the reader said.
        reason: String,
    },
    /// A value would come back as another.
    #[error(
        "{target} cannot hold this year: read back, its {what} would be {found} instead of {wanted}; nothing was written: take --to plain"
    )]
    Differs {
        /// Name of the format.
        target: &'static str,
        /// Which value.
        what: String,
        /// What it would be.
        found: String,
        /// What it is.
        wanted: String,
    },
}

/// Writes a year as `target` and reads it back.
///
/// # Errors
/// [`ConvertError`] when a value would not come back as it is.
pub fn convert(year: &WeatherYear, target: Target) -> Result<Converted, ConvertError> {
    let text = target.text(year);
    let back =
        crate::parse(text.as_bytes(), target.name()).map_err(|error| ConvertError::Unreadable {
            target: target.name(),
            reason: error.to_string(),
        })?;
    let compare = Compare { year, back, target };
    compare.frame()?;
    let mut lost = Vec::new();
    compare.columns(&mut lost)?;
    compare.shift(&mut lost);
    if year.normals.is_some() && compare.back.normals != year.normals {
        lost.push(format!(
            "{} does not say that the year was made from monthly normals: a season takes it for any other year; --to plain says it",
            target.name()
        ));
    }
    let unmarked = [NoteKind::Doubtful, NoteKind::Filled, NoteKind::Derived]
        .into_iter()
        .filter(|kind| year.notes.iter().any(|note| note.kind == *kind))
        .map(NoteKind::name)
        .collect();
    Ok(Converted {
        text,
        lost,
        unmarked,
    })
}

struct Compare<'a> {
    year: &'a WeatherYear,
    back: WeatherYear,
    target: Target,
}

impl Compare<'_> {
    fn differs(&self, what: impl Into<String>, found: String, wanted: String) -> ConvertError {
        ConvertError::Differs {
            target: self.target.name(),
            what: what.into(),
            found,
            wanted,
        }
    }

    /// Place and time.
    fn frame(&self) -> Result<(), ConvertError> {
        let (year, back) = (self.year, &self.back);
        let numbers = |y: &WeatherYear| {
            let p = &y.place;
            [
                p.latitude_deg,
                p.longitude_deg,
                p.utc_offset_h,
                p.altitude_m,
            ]
        };
        let names = ["latitude", "longitude", "time zone", "altitude"];
        for ((found, wanted), name) in numbers(back).into_iter().zip(numbers(year)).zip(names) {
            if !same(found, wanted) {
                return Err(self.differs(name, found.to_string(), wanted.to_string()));
            }
        }
        if back.len() != year.len() {
            let (found, wanted) = (back.len().to_string(), year.len().to_string());
            return Err(self.differs("number of intervals", found, wanted));
        }
        if back.interval_minutes != year.interval_minutes {
            let minutes = |y: &WeatherYear| format!("{} min", y.interval_minutes);
            return Err(self.differs("interval", minutes(back), minutes(year)));
        }
        if back.first_start != year.first_start {
            let start = |y: &WeatherYear| y.first_start.format("%Y-%m-%d %H:%M").to_string();
            return Err(self.differs("first interval", start(back), start(year)));
        }
        if back.kind != year.kind {
            let kind = |y: &WeatherYear| format!("{:?}", y.kind).to_lowercase();
            return Err(self.differs("kind of year", kind(back), kind(year)));
        }
        Ok(())
    }

    fn columns(&self, lost: &mut Vec<String>) -> Result<(), ConvertError> {
        let (a, b) = (&self.year.columns, &self.back.columns);
        for (column, wanted, found) in [
            (Column::Air, &a.air_c, &b.air_c),
            (Column::DewPoint, &a.dew_point_c, &b.dew_point_c),
            (Column::Pressure, &a.pressure_pa, &b.pressure_pa),
            (Column::Wind, &a.wind_m_s, &b.wind_m_s),
            (Column::Ghi, &a.ghi_w_m2, &b.ghi_w_m2),
            (Column::Dni, &a.dni_w_m2, &b.dni_w_m2),
            (Column::Dhi, &a.dhi_w_m2, &b.dhi_w_m2),
        ] {
            self.column(column, wanted, found)?;
        }
        for (column, wanted, found) in [
            (Column::Infrared, &a.infrared_w_m2, &b.infrared_w_m2),
            (Column::SkyCover, &a.sky_cover_frac, &b.sky_cover_frac),
            (Column::Rain, &a.rain_mm, &b.rain_mm),
            (Column::Albedo, &a.albedo_frac, &b.albedo_frac),
        ] {
            match (wanted, found) {
                (Some(wanted), Some(found)) => self.column(column, wanted, found)?,
                (None, None) => {}
                (Some(wanted), None) if wanted.iter().all(|v| same(*v, 0.0)) => lost.push(format!(
                    "{column} is 0 throughout, which {} reads as not given",
                    self.target.name()
                )),
                (Some(_), None) => lost.push(format!(
                    "{column} is left out: {} reads back none",
                    self.target.name()
                )),
                (None, Some(_)) => {
                    return Err(self.differs(column.name(), "given".into(), "none".into()));
                }
            }
        }
        Ok(())
    }

    fn column(&self, column: Column, wanted: &[f64], found: &[f64]) -> Result<(), ConvertError> {
        match wanted.iter().zip(found).position(|(a, b)| !same(*a, *b)) {
            None => Ok(()),
            Some(i) => {
                let at = self.year.start_of(i).format("%Y-%m-%d %H:%M");
                Err(self.differs(
                    format!("{column} of {at}"),
                    found[i].to_string(),
                    wanted[i].to_string(),
                ))
            }
        }
    }

    /// The name and where the radiation lies.
    fn shift(&self, lost: &mut Vec<String>) {
        let (wanted, found) = (
            self.year.radiation_shift_minutes,
            self.back.radiation_shift_minutes,
        );
        let name = self.target.name();
        if (found - wanted).abs() > SAME_SHIFT_MINUTES {
            lost.push(format!(
                "{name} does not say that the radiation lies {wanted:+.1} min from the middle of its interval: read back, it is taken {found:+.1} min from it"
            ));
        } else if wanted.abs() > SAME_SHIFT_MINUTES && self.target != Target::Plain {
            lost.push(format!(
                "{name} does not say that the radiation lies {wanted:+.1} min from the middle of its interval; this program finds it again from the sun, others may not"
            ));
        }
        let (wanted, found) = (&self.year.place.name, &self.back.place.name);
        if wanted != found {
            lost.push(format!("the name “{wanted}” becomes “{found}”"));
        }
    }
}

/// Equal to the last bit, but for the sign of nothing.
fn same(a: f64, b: f64) -> bool {
    a.to_bits() == b.to_bits() || (a.abs() < f64::MIN_POSITIVE && b.abs() < f64::MIN_POSITIVE)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests: a panic is a failed test")]

    use super::*;

    const ALL: [Target; 3] = [Target::Plain, Target::Epw, Target::Tmy3];

    fn sample() -> WeatherYear {
        let file = include_bytes!("../../../weather-samples/temperate.epw");
        let mut year = crate::parse(file, "temperate").unwrap();
        year.notes.clear();
        year
    }

    fn lost(year: &WeatherYear, target: Target) -> String {
        convert(year, target).unwrap().lost.join("; ")
    }

    #[test]
    fn what_is_lost_is_what_the_format_has_no_room_for() {
        let mut year = sample();
        assert_eq!(lost(&year, Target::Plain), "");
        let n = year.len();
        year.columns.infrared_w_m2 = Some(vec![321.0; n]);
        assert_eq!(lost(&year, Target::Plain), "");
        assert_eq!(lost(&year, Target::Epw), "");
        assert_eq!(
            lost(&year, Target::Tmy3),
            "infrared from the sky is left out: TMY3 CSV reads back none"
        );
        year.columns.rain_mm = Some(vec![0.0; n]);
        assert!(lost(&year, Target::Epw).contains("rain is 0 throughout"));
    }

    /// 7.5° further east the sun is half an hour earlier, and the radiation of the file that much too late.
    #[test]
    fn a_shift_is_told() {
        let mut year = sample();
        year.place.longitude_deg += 7.5;
        year.radiation_shift_minutes = -30.0;
        assert_eq!(lost(&year, Target::Plain), "");
        for target in [Target::Epw, Target::Tmy3] {
            let told = lost(&year, target);
            assert!(
                told.contains("does not say that the radiation lies -30.0 min"),
                "{told}"
            );
        }
    }

    #[test]
    fn only_plain_csv_says_what_was_known_of_normals() {
        let mut year = sample();
        year.normals = Some(crate::normals::Known::ALL);
        assert_eq!(lost(&year, Target::Plain), "");
        for target in [Target::Epw, Target::Tmy3] {
            assert!(lost(&year, target).contains("made from monthly normals"));
        }
    }

    #[test]
    fn a_name_that_cannot_be_written_is_told() {
        let mut year = sample();
        year.place.name = "The \"Bend\"".into();
        for target in ALL {
            let told = lost(&year, target);
            assert!(told.is_empty() || told.contains("becomes"), "{told}");
        }
        assert!(lost(&year, Target::Epw).contains("becomes"));
    }

    #[test]
    fn a_value_that_would_differ_is_refused() {
        let mut year = sample();
        // No reader lets a value pass that cannot be.
        year.columns.air_c[17] = 99.0;
        for target in ALL {
            let refused = convert(&year, target).unwrap_err().to_string();
            assert!(refused.contains("nothing was written"), "{refused}");
        }
        // EPW marks a missing temperature with 99.9, TMY3 and plain CSV have nothing like it; a hole would be filled.
        let mut year = sample();
        year.columns.ghi_w_m2[12] = 9999.0;
        let refused = convert(&year, Target::Epw).unwrap_err();
        assert!(
            matches!(&refused, ConvertError::Differs { what, .. } if what.contains("global"))
                || matches!(refused, ConvertError::Unreadable { .. }),
            "{refused}"
        );
    }
}
