//! PVGIS CSV: the European Photovoltaic Geographical Information System; its typical year, and its hourly series.
//!
//! Lines `Latitude (decimal degrees): 45.000` and the like, for a typical year the month and year of each part, then column names,
//! a row for each hour, and text that explains the columns.
//!
//! | table | columns |
//! |---|---|
//! | typical year | `time(UTC),T2m,RH,G(h),Gb(n),Gd(h),IR(h),WS10m,WD10m,SP` |
//! | hourly series | `time,P,G(i)` or `Gb(i),Gd(i),Gr(i)`, then `H_sun,T2m,WS10m,Int`: on the plane that `Slope:` names |
//!
//! **Time.** Labels `20050101:0010` are UTC, and are the **moment** of the satellite's picture; in a typical year they stand on
//! the full hour, and `Irradiance Time Offset (h)`, where the file has it, is how much later the picture was taken (files without
//! it are some 10 minutes late too: measured against the sun, not by their words). Air, humidity, wind and pressure are of the labelled hour. No file names a
//! time zone: it is told, or taken from the longitude and said (`local`). `local` lays the intervals and turns a whole year.
//!
//! **An hourly series** is read when its plane is horizontal: global = direct + diffuse + reflected, and direct normal = direct / sin(`H_sun`).
//! It has no humidity: a column `RH` must be added, else it is refused. A tilted plane cannot be turned back
//! and is refused with the download to choose.
//!
//! **Missing:** a blank cell. Pressure `SP` is in Pa, at the station.
//!
//! Source: *PVGIS user manual*, European Commission, Joint Research Centre (from memory): columns, UTC, the meaning of the
//! time offset; columns and units also stand in the text at the end of every file. `pvlib.iotools` 0.16.1 expects the line
//! `Irradiance Time Offset (h): 0.1761` in typical years.
//!
//! Seen in real files and read here: `-0.0`; tabs after the colon; blank lines between table and text; whole numbers without a point.

use chrono::{NaiveDate, NaiveDateTime};

use crate::ReadOptions;
use crate::column::Column;
use crate::error::WeatherError;
use crate::local::{Labels, lay, minutes_of, offset_of_place};
use crate::raw::{ALTITUDE, LATITUDE, LONGITUDE, Raw, header_number};
use crate::text::{CellRule, Source, number, quoted, same_number, split, text};
use crate::year::{Format, Note, NoteKind, Place};

/// What gives the format away.
pub(crate) const MARK: &str = "a line starting `time(UTC),T2m`";

/// Lines that the header may have at most: twelve months and some more.
const MOST_HEADER_LINES: usize = 60;

/// Bounds of the time offset.
const TIME_OFFSET: (f64, f64, &str) = (-1.0, 1.0, "hours");
/// Bounds of the sun's height.
const SUN_HEIGHT: (f64, f64) = (-90.0, 90.0);

const WHICH_DOWNLOAD: &str = "on the PVGIS page choose the typical year (TMY) and CSV: it has the horizontal plane, humidity and pressure";

/// Column, name, unit, whether the file must have it.
const TYPICAL: [(Column, &str, &str, bool); 8] = [
    (Column::Air, "T2m", "°C", true),
    (Column::Humidity, "RH", "%", true),
    (Column::Ghi, "G(h)", "W/m²", true),
    (Column::Dni, "Gb(n)", "W/m²", false),
    (Column::Dhi, "Gd(h)", "W/m²", false),
    (Column::Infrared, "IR(h)", "W/m²", false),
    (Column::Wind, "WS10m", "m/s", true),
    (Column::Pressure, "SP", "Pa", false),
];

/// Of an hourly series: without the irradiance, which is put together from several columns.
const SERIES: [(Column, &str, &str, bool); 4] = [
    (Column::Air, "T2m", "°C", true),
    (Column::Humidity, "RH", "%", true),
    (Column::Wind, "WS10m", "m/s", true),
    (Column::Pressure, "SP", "Pa", false),
];

fn is_table_head(cells: &[&[u8]]) -> bool {
    let has = |names: &[&str]| {
        cells
            .iter()
            .any(|cell| names.iter().any(|n| n.as_bytes() == *cell))
    };
    matches!(cells.first(), Some(&b"time(UTC)" | &b"time"))
        && has(&["T2m", "G(h)", "G(i)", "Gb(i)", "Gb(n)", "WS10m"])
}

pub(crate) fn recognises(source: &Source<'_>) -> bool {
    let mut cells = Vec::new();
    source
        .lines()
        .take(MOST_HEADER_LINES)
        .enumerate()
        .any(|(i, (_, line))| {
            if i == 0 && line.starts_with(b"Latitude (decimal degrees)") {
                return true;
            }
            line.starts_with(b"time") && {
                split(line, &mut cells);
                is_table_head(&cells)
            }
        })
}

pub(crate) fn read(source: &Source<'_>, options: &ReadOptions) -> Result<Raw, WeatherError> {
    let mut lines = source.lines();
    let (header, table) = Header::read(source, &mut lines)?;
    let (place, note) = header.place(source, options)?;
    let to_local_minutes = minutes_of(place.utc_offset_h);
    let mut raw = Raw::new(Format::Pvgis, place);
    raw.notes.extend(note);
    // A series has the words of its plane in every column of irradiance.
    let on_plane = ["G(i)", "Gb(i)"]
        .iter()
        .any(|name| table.at(name).is_some());
    let typical = table.at("G(h)").is_some() || !on_plane;
    raw.says_typical = typical && (table.in_utc || header.months);
    let plane = if typical {
        None
    } else {
        Some(Plane::new(source, &header, &table, &mut raw)?)
    };
    let rules = table.rules(source, if typical { &TYPICAL } else { &SERIES }, &mut raw)?;

    let mut cells = Vec::new();
    let mut labels = Vec::new();
    let mut text_from = None;
    for (line, row) in lines {
        let row = row.trim_ascii();
        let Some(begins) = row.first() else {
            continue;
        };
        if begins.is_ascii_alphabetic() {
            text_from.get_or_insert(line);
            continue;
        }
        if let Some(from) = text_from {
            return Err(source.time_error(
                line,
                format!("{} after the text that began on line {from}", quoted(row)),
                "one table, then text",
                "keep one table in the file, and its rows together",
            ));
        }
        split(row, &mut cells);
        same_number(source, line, &cells, table.fields)?;
        let label = label_of(source, line, cells[0])?;
        labels.push(label);
        raw.push(source, line, label, &cells, &rules)?;
        if let Some(plane) = &plane {
            plane.push(source, line, &cells, &mut raw)?;
        }
    }
    if plane.is_some() {
        let count = labels.len();
        raw.notes.push(Note::new(
            NoteKind::Derived,
            Column::Dni,
            count,
            "direct normal irradiance computed from that on the horizontal plane and the file's height of the sun",
        ));
    }
    let zone = Labels {
        to_local_minutes,
        late_minutes: header.late_h * 60.0,
    };
    lay(source, &mut raw, labels, zone)?;
    Ok(raw)
}

/// What stands before the table.
#[derive(Default)]
struct Header<'a> {
    latitude: Option<(usize, &'a [u8])>,
    longitude: Option<(usize, &'a [u8])>,
    elevation: Option<(usize, &'a [u8])>,
    slope: Option<(usize, &'a [u8])>,
    /// Whether it lists the year that each month comes from.
    months: bool,
    /// How much later than its label the radiation was seen, hours.
    late_h: f64,
}

impl<'a> Header<'a> {
    fn read(
        source: &Source<'a>,
        lines: &mut impl Iterator<Item = (usize, &'a [u8])>,
    ) -> Result<(Self, Table<'a>), WeatherError> {
        let mut header = Self::default();
        let mut cells = Vec::new();
        let mut last_line = 1;
        for (line, row) in lines.take(MOST_HEADER_LINES) {
            last_line = line;
            // Rows begin although no column names have come.
            if row.first().is_some_and(u8::is_ascii_digit) && row.get(8) == Some(&b':') {
                break;
            }
            split(row, &mut cells);
            if is_table_head(&cells) {
                let table = Table {
                    line,
                    fields: cells.len(),
                    in_utc: cells[0] == b"time(UTC)",
                    names: cells,
                };
                return Ok((header, table));
            }
            let mut parts = row.splitn(2, |&b| b == b':');
            let key = text(parts.next().unwrap_or_default()).to_ascii_lowercase();
            let value = parts.next().unwrap_or_default().trim_ascii();
            let field = match key.split('(').next().unwrap_or_default().trim() {
                "latitude" => &mut header.latitude,
                "longitude" => &mut header.longitude,
                "elevation" => &mut header.elevation,
                "slope" => &mut header.slope,
                "irradiance time offset" => {
                    let name = "Irradiance Time Offset (h)";
                    header.late_h = header_number(source, line, name, value, TIME_OFFSET)?;
                    continue;
                }
                "month,year" => {
                    header.months = true;
                    continue;
                }
                _ => continue,
            };
            *field = Some((line, value));
        }
        Err(source.header_error(
            last_line,
            "column names",
            "no such line",
            "a line `time(UTC),T2m,RH,G(h),…` before the rows",
            "the file was cut off, or its column names were changed: download it again",
        ))
    }

    fn place(
        &self,
        source: &Source<'_>,
        options: &ReadOptions,
    ) -> Result<(Place, Option<Note>), WeatherError> {
        let needed = |field: Option<(usize, &'a [u8])>, name: &str, bounds| {
            match field {
            Some((line, cell)) => Ok((cell, header_number(source, line, name, cell, bounds)?)),
            None => Err(source.header_error(
                1,
                name,
                "no such line before the table",
                "lines `Latitude (decimal degrees): 45.000`, `Longitude (decimal degrees): 8.000` and `Elevation (m): 250` before the table",
                "download the file as CSV, or write these lines before the table",
            )),
        }
        };
        let (latitude, latitude_deg) =
            needed(self.latitude, "Latitude (decimal degrees)", LATITUDE)?;
        let (longitude, longitude_deg) =
            needed(self.longitude, "Longitude (decimal degrees)", LONGITUDE)?;
        let (_, altitude_m) = needed(self.elevation, "Elevation (m)", ALTITUDE)?;
        let (utc_offset_h, note) = offset_of_place(source, options, longitude_deg)?;
        let place = Place {
            name: format!("PVGIS {}, {}", text(latitude), text(longitude)),
            latitude_deg,
            longitude_deg,
            utc_offset_h,
            altitude_m,
        };
        Ok((place, note))
    }
}

/// The line of column names.
struct Table<'a> {
    line: usize,
    fields: usize,
    in_utc: bool,
    names: Vec<&'a [u8]>,
}

impl Table<'_> {
    fn at(&self, name: &str) -> Option<usize> {
        self.names.iter().position(|cell| *cell == name.as_bytes())
    }

    fn rules(
        &self,
        source: &Source<'_>,
        columns: &[(Column, &'static str, &'static str, bool)],
        raw: &mut Raw,
    ) -> Result<Vec<(usize, CellRule)>, WeatherError> {
        let mut rules = Vec::new();
        for &(column, name, unit, needed) in columns {
            match self.at(name) {
                Some(at) => {
                    raw.titles[column.index()] = name.into();
                    rules.push((at, rule(column, name, unit)));
                }
                None if column == Column::Humidity => {
                    return Err(source.header_error(
                        self.line,
                        "column `RH`",
                        "no relative humidity, as in every hourly series of PVGIS",
                        "a column `RH` (%)",
                        WHICH_DOWNLOAD,
                    ));
                }
                None if needed => {
                    return Err(source.header_error(
                        self.line,
                        &format!("column `{name}`"),
                        "no column of that name",
                        "columns T2m, RH, G(h), Gb(n), Gd(h), WS10m and, where there are, IR(h) and SP",
                        WHICH_DOWNLOAD,
                    ));
                }
                None => {}
            }
        }
        Ok(rules)
    }
}

fn rule(column: Column, name: &str, unit: &'static str) -> CellRule {
    CellRule {
        column,
        title: name.into(),
        unit,
        shift: 0,
        missing: |_| false,
        missing_sign: "a blank cell",
    }
}

/// Columns of irradiance on the plane of an hourly series, which is horizontal.
struct Plane {
    global: Option<(usize, CellRule)>,
    direct: Option<(usize, CellRule)>,
    diffuse: Option<(usize, CellRule)>,
    reflected: Option<(usize, CellRule)>,
    sun_height: Option<usize>,
}

impl Plane {
    fn new(
        source: &Source<'_>,
        header: &Header<'_>,
        table: &Table<'_>,
        raw: &mut Raw,
    ) -> Result<Self, WeatherError> {
        let slope = header.slope.map(|(line, cell)| {
            let word = cell.split(|b| b.is_ascii_whitespace()).next();
            (line, cell, word.and_then(|word| number(word, 0)))
        });
        match slope {
            Some((_, _, Some(degrees))) if degrees.abs() < f64::EPSILON => {}
            Some((line, cell, _)) => {
                return Err(source.header_error(
                    line,
                    "Slope",
                    format!(
                        "{}: irradiance on a plane that is tilted or turns",
                        quoted(cell)
                    ),
                    "irradiance on the horizontal plane (slope 0)",
                    WHICH_DOWNLOAD,
                ));
            }
            None => {
                return Err(source.header_error(
                    table.line,
                    "Slope",
                    "irradiance on a plane, and no line that says how it is tilted",
                    "a line `Slope: 0 deg.` before the table, for the horizontal plane",
                    WHICH_DOWNLOAD,
                ));
            }
        }
        let column =
            |column: Column, name: &str| table.at(name).map(|at| (at, rule(column, name, "W/m²")));
        let plane = Self {
            global: column(Column::Ghi, "G(i)"),
            direct: column(Column::Ghi, "Gb(i)"),
            diffuse: column(Column::Dhi, "Gd(i)"),
            reflected: column(Column::Dhi, "Gr(i)"),
            sun_height: table.at("H_sun"),
        };
        raw.titles[Column::Ghi.index()] = "G(i)".into();
        raw.titles[Column::Dni.index()] = "Gb(i)".into();
        raw.titles[Column::Dhi.index()] = "Gd(i)".into();
        Ok(plane)
    }

    /// Global, direct normal and diffuse irradiance of one row; what cannot be known is missing.
    fn push(
        &self,
        source: &Source<'_>,
        line: usize,
        cells: &[&[u8]],
        raw: &mut Raw,
    ) -> Result<(), WeatherError> {
        let value = |column: &Option<(usize, CellRule)>| match column {
            Some((at, rule)) => rule
                .read(source, line, cells.get(*at).copied().unwrap_or_default())
                .map(Some),
            None => Ok(None),
        };
        let [global, direct, diffuse, reflected] = [
            value(&self.global)?,
            value(&self.direct)?,
            value(&self.diffuse)?,
            value(&self.reflected)?,
        ];
        let parts = direct
            .zip(diffuse)
            .map(|(direct, diffuse)| direct + diffuse + reflected.unwrap_or(0.0));
        if let Some(ghi) = global.or(parts) {
            raw.values[Column::Ghi.index()].push(ghi);
        }
        if let Some(dhi) = diffuse {
            raw.values[Column::Dhi.index()].push(dhi);
        }
        if let (Some(direct), Some(at)) = (direct, self.sun_height) {
            let cell = cells.get(at).copied().unwrap_or_default();
            let (low, high) = SUN_HEIGHT;
            let height_deg = number(cell, 0).filter(|height| (low..=high).contains(height));
            let Some(height_deg) = height_deg.or(cell.is_empty().then_some(f64::NAN)) else {
                return Err(WeatherError::Cell {
                    label: source.label.into(),
                    line,
                    column: "H_sun".into(),
                    found: quoted(cell).into(),
                    allowed: format!("a number from {low} to {high} (degrees)").into(),
                    todo: "check that no cell is shifted".into(),
                });
            };
            raw.values[Column::Dni.index()].push(direct_normal_w_m2(direct, height_deg));
        }
        Ok(())
    }
}

/// Direct normal irradiance, W/m², of `direct_w_m2` on the horizontal plane under a sun at `height_deg`; NaN (missing) where
/// the sun is so low that the quotient is beyond what a column may hold.
fn direct_normal_w_m2(direct_w_m2: f64, height_deg: f64) -> f64 {
    if direct_w_m2 <= 0.0 {
        return direct_w_m2;
    }
    let normal_w_m2 = direct_w_m2 / height_deg.to_radians().sin();
    let limits = Column::Dni.limits();
    if (0.0..=limits.high).contains(&normal_w_m2) {
        normal_w_m2
    } else {
        f64::NAN
    }
}

fn label_of(source: &Source<'_>, line: usize, cell: &[u8]) -> Result<NaiveDateTime, WeatherError> {
    let digits = |from: usize, to: usize| -> Option<u32> {
        let part = cell.get(from..to)?;
        if !part.iter().all(u8::is_ascii_digit) {
            return None;
        }
        text(part).parse().ok()
    };
    let label = (cell.len() == 13 && cell[8] == b':')
        .then(|| {
            let year = digits(0, 4).filter(|year| (2..=9997).contains(year))?;
            let day =
                NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, digits(4, 6)?, digits(6, 8)?)?;
            day.and_hms_opt(digits(9, 11)?, digits(11, 13)?, 0)
        })
        .flatten();
    label.ok_or_else(|| {
        source.time_error(
            line,
            format!("time {}", quoted(cell)),
            "a time YYYYMMDD:HHMM in UTC, HHMM from 0000 to 2359",
            "download the file again, or write the times so",
        )
    })
}
