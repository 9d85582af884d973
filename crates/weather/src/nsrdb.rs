//! NSRDB CSV: the US National Solar Radiation Database, Physical Solar Model (versions 3 and 4).
//!
//! Line 1: names of the place and of the units; line 2: their values; line 3: column names, of which the first are
//! `Year,Month,Day,Hour,Minute`; then a row every 5, 10, 15, 30 or 60 minutes. Columns come in any order and are chosen by
//! whoever downloads.
//!
//! **Time.** Labels are in the zone of `Time Zone`, hours from UTC: local standard time, or 0 when the file was asked for in
//! UTC; `Local Time Zone` stands beside it. Daylight saving is never used. A label is the **moment** of the
//! satellite's picture, not an interval: the file's own `Solar Zenith Angle` is the sun's at the label (held by
//! `tests/tests/weather_real_files.rs`). So an hourly row at minute 30 stands for the hour around it, with no shift; a
//! half-hourly row at minute 0 begins its interval 15 minutes before the middle: `local` lays the intervals. A typical year
//! has months of different years in the same layout.
//!
//! **Missing:** −9999, or a blank cell. **Wind** is that of a weather model at 2 m above ground, or at the height that
//! the file states as `Wind_Height_m`; it is brought to 10 m, which the season takes, and a note says so (`wind`).
//!
//! Source: Sengupta et al. (2018), *The National Solar Radiation Data Base (NSRDB)*, Renewable and Sustainable Energy
//! Reviews 89:51, and the database's download pages (from memory): layout, zones, the sign for missing, instantaneous
//! values. The height of the wind from memory; one real file states it (`Wind_Height_m` 2).
//!
//! Seen in real files and read here: `1.7000000000000002`; cells of a spreadsheet's padding at the end of every row;
//! no pressure column; an unnamed first column. `Precipitable Water` is no rain and is not read.

use chrono::NaiveDateTime;

use crate::ReadOptions;
use crate::column::Column;
use crate::error::WeatherError;
use crate::local::{Labels, lay, minutes_of, offset_of_place};
use crate::raw::{ALTITUDE, LATITUDE, LONGITUDE, Raw, UTC_OFFSET, date, header_number};
use crate::text::{CellRule, Source, quoted, same_number, split, text, whole};
use crate::wind;
use crate::year::{Format, Note, NoteKind, Place};

/// What gives the format away.
pub(crate) const MARK: &str = "`Year,Month,Day,Hour,Minute` in the third line";

const TIME: [&str; 5] = ["Year", "Month", "Day", "Hour", "Minute"];
/// Name of the wind's height in line 1, where a file has it.
const WIND_HEIGHT: &str = "Wind_Height_m";
/// Height of the wind of the database's weather model, m: see the page of this module.
const MODEL_WIND_HEIGHT_M: f64 = 2.0;
const MISSING_SIGN: &str = "a blank cell, or -9999";
const TWO_LINES: &str = "two lines before the column names: `Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone,…` and their values";

/// Column, its name, its unit in messages, spellings of the unit in line 2, decimal shift to SI, whether it must be there.
type Known = (
    Column,
    &'static str,
    &'static str,
    &'static [&'static str],
    i32,
    bool,
);

#[rustfmt::skip]
const COLUMNS: [Known; 9] = [
    (Column::Ghi, "GHI", "W/m²", &["w/m2", "w/m^2", "w/m²"], 0, true),
    (Column::Dni, "DNI", "W/m²", &["w/m2", "w/m^2", "w/m²"], 0, false),
    (Column::Dhi, "DHI", "W/m²", &["w/m2", "w/m^2", "w/m²"], 0, false),
    (Column::Air, "Temperature", "°C", &["c", "°c", "deg c"], 0, true),
    (Column::Wind, "Wind Speed", "m/s", &["m/s"], 0, true),
    (Column::DewPoint, "Dew Point", "°C", &["c", "°c", "deg c"], 0, false),
    (Column::Humidity, "Relative Humidity", "%", &["%"], 0, false),
    (Column::Pressure, "Pressure", "mbar", &["mbar", "millibar", "hpa"], 2, false),
    (Column::Albedo, "Surface Albedo", "1", &["n/a", "unitless", "1"], 0, false),
];

/// Where `Year` stands in a line that has the five names of the time side by side.
fn time_at(cells: &[&[u8]]) -> Option<usize> {
    cells.windows(TIME.len()).position(|window| {
        window
            .iter()
            .zip(TIME)
            .all(|(cell, name)| cell.eq_ignore_ascii_case(name.as_bytes()))
    })
}

pub(crate) fn recognises(source: &Source<'_>) -> bool {
    let mut cells = Vec::new();
    source.lines().take(3).enumerate().any(|(i, (_, line))| {
        split(line, &mut cells);
        let names = i == 0
            && cells.len() > 1
            && cells[0].eq_ignore_ascii_case(b"Source")
            && cells[1].eq_ignore_ascii_case(b"Location ID");
        names || time_at(&cells).is_some()
    })
}

pub(crate) fn read(source: &Source<'_>, options: &ReadOptions) -> Result<Raw, WeatherError> {
    let mut lines = source.lines();
    let header = Header::read(source, &mut lines)?;
    let (place, mut notes, zone) = header.place(source, options)?;
    let wind_height_m = header.wind_height_m(source)?;
    let mut raw = Raw::new(Format::Nsrdb, place);

    let (line, row) = lines.next().unwrap_or((3, b""));
    let mut cells = Vec::new();
    split(row, &mut cells);
    let Some(year_at) = time_at(&cells) else {
        return Err(source.header_error(
            line,
            "column names",
            quoted(row),
            "column names with `Year,Month,Day,Hour,Minute` side by side",
            "restore the line of column names",
        ));
    };
    let fields = used(&cells);
    let rules = header.rules(source, line, &cells[..fields], &mut raw)?;

    let mut labels = Vec::new();
    for (line, row) in lines {
        if row.trim_ascii().is_empty() {
            continue;
        }
        split(row, &mut cells);
        // A spreadsheet pads every row to the length of the first.
        let filled = used(&cells).max(fields.min(cells.len()));
        same_number(source, line, &cells[..filled], fields)?;
        let label = label_of(source, line, &cells[year_at..year_at + TIME.len()])?;
        labels.push(label);
        raw.push(source, line, label, &cells, &rules)?;
    }
    let intervals = labels.len();
    if let Some(text) = wind::brought(wind_height_m) {
        notes.push(Note::new(NoteKind::Derived, Column::Wind, intervals, text));
        let factor = wind::to_station_height(wind_height_m);
        for value in &mut raw.values[Column::Wind.index()] {
            *value *= factor;
        }
    }
    raw.notes = notes;
    lay(source, &mut raw, labels, zone)?;
    Ok(raw)
}

/// Cells up to the last that is not blank.
fn used(cells: &[&[u8]]) -> usize {
    cells
        .iter()
        .rposition(|cell| !cell.is_empty())
        .map_or(0, |at| at + 1)
}

/// Lines 1 and 2: names and what they say.
struct Header<'a> {
    names: Vec<&'a [u8]>,
    values: Vec<&'a [u8]>,
}

impl<'a> Header<'a> {
    fn read(
        source: &Source<'a>,
        lines: &mut impl Iterator<Item = (usize, &'a [u8])>,
    ) -> Result<Self, WeatherError> {
        let mut header = Self {
            names: Vec::new(),
            values: Vec::new(),
        };
        for cells in [&mut header.names, &mut header.values] {
            let (line, row) = lines.next().unwrap_or((1, b""));
            split(row, cells);
            if time_at(cells).is_some() {
                return Err(source.header_error(
                    line,
                    "place",
                    "column names, and no word of where the place is",
                    TWO_LINES,
                    "download the file from the NSRDB again, or write these two lines above the column names",
                ));
            }
        }
        Ok(header)
    }

    fn value(&self, name: &str) -> Option<&'a [u8]> {
        let at = self
            .names
            .iter()
            .position(|cell| cell.eq_ignore_ascii_case(name.as_bytes()))?;
        self.values.get(at).copied()
    }

    fn needed(
        &self,
        source: &Source<'_>,
        name: &str,
        bounds: (f64, f64, &str),
    ) -> Result<f64, WeatherError> {
        match self.value(name) {
            Some(cell) => header_number(source, 2, name, cell, bounds),
            None => Err(source.header_error(
                1,
                name,
                "no field of that name, or no value below it",
                TWO_LINES,
                "restore the first two lines as they were downloaded",
            )),
        }
    }

    /// Height of the wind: as the file states it, else the model's.
    fn wind_height_m(&self, source: &Source<'_>) -> Result<f64, WeatherError> {
        match self.value(WIND_HEIGHT) {
            Some(cell) if !cell.is_empty() => {
                header_number(source, 2, WIND_HEIGHT, cell, wind::HEIGHT)
            }
            _ => Ok(MODEL_WIND_HEIGHT_M),
        }
    }

    fn place(
        &self,
        source: &Source<'_>,
        options: &ReadOptions,
    ) -> Result<(Place, Vec<Note>, Labels), WeatherError> {
        let latitude_deg = self.needed(source, "Latitude", LATITUDE)?;
        let longitude_deg = self.needed(source, "Longitude", LONGITUDE)?;
        let altitude_m = self.needed(source, "Elevation", ALTITUDE)?;
        let labels_h = self.needed(source, "Time Zone", UTC_OFFSET)?;
        let (utc_offset_h, note) = match self.value("Local Time Zone") {
            Some(cell) if !cell.is_empty() => (
                header_number(source, 2, "Local Time Zone", cell, UTC_OFFSET)?,
                None,
            ),
            // 0 is UTC, wherever the place is; any other zone is its own.
            _ if labels_h.abs() < f64::EPSILON => offset_of_place(source, options, longitude_deg)?,
            _ => (labels_h, None),
        };
        let city = text(self.value("City").unwrap_or_default());
        let number = text(self.value("Location ID").unwrap_or_default());
        let place = Place {
            name: if city.chars().any(char::is_alphanumeric) {
                city.into_owned()
            } else {
                format!("NSRDB location {number}").trim_end().to_owned()
            },
            latitude_deg,
            longitude_deg,
            utc_offset_h,
            altitude_m,
        };
        let zone = Labels {
            to_local_minutes: minutes_of(utc_offset_h - labels_h),
            late_minutes: 0.0,
        };
        Ok((place, note.into_iter().collect(), zone))
    }

    /// The columns that are there, held against the units of line 2.
    fn rules(
        &self,
        source: &Source<'_>,
        line: usize,
        names: &[&[u8]],
        raw: &mut Raw,
    ) -> Result<Vec<(usize, CellRule)>, WeatherError> {
        let mut rules = Vec::new();
        for (column, title, unit, spellings, shift, needed) in COLUMNS {
            let named = |cell: &&[u8]| cell.eq_ignore_ascii_case(title.as_bytes());
            let Some(at) = names.iter().position(named) else {
                if needed {
                    return Err(source.header_error(
                        line,
                        &format!("column `{title}`"),
                        "no column of that name",
                        "columns GHI, DNI, DHI, Temperature, Dew Point (or Relative Humidity), Wind Speed and, if you like, Pressure and Surface Albedo",
                        "download the file again with these columns ticked",
                    ));
                }
                continue;
            };
            let stated = self.value(&format!("{title} Units")).unwrap_or_default();
            let stated_text = text(stated).to_lowercase();
            if !stated_text.is_empty() && !spellings.contains(&stated_text.as_str()) {
                return Err(source.header_error(
                    2,
                    &format!("{title} Units"),
                    quoted(stated),
                    &format!("`{}`", spellings[0]),
                    "convert the column to that unit, and write the unit here",
                ));
            }
            raw.titles[column.index()] = title.into();
            rules.push((
                at,
                CellRule {
                    column,
                    title: title.into(),
                    unit,
                    shift,
                    missing: |value| (-9999.5..=-9998.5).contains(&value),
                    missing_sign: MISSING_SIGN,
                },
            ));
        }
        Ok(rules)
    }
}

fn label_of(
    source: &Source<'_>,
    line: usize,
    cells: &[&[u8]],
) -> Result<NaiveDateTime, WeatherError> {
    let field = |at: usize| whole(cells[at]).and_then(|n| u32::try_from(n).ok());
    let day = date(source, line, cells, 2..=9997)?;
    field(3)
        .zip(field(4))
        .and_then(|(hour, minute)| day.and_hms_opt(hour, minute, 0))
        .ok_or_else(|| {
            source.time_error(
                line,
                format!("hour {}, minute {}", quoted(cells[3]), quoted(cells[4])),
                "an hour from 0 to 23 and a minute from 0 to 59 (midnight is hour 0 of the new day)",
                "correct the time",
            )
        })
}
