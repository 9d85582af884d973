//! Climate tables as people write them.
//!
//! Lines `# key: value` say where; then a row of names that begins with `month`, and twelve rows; or, with the months across, a
//! row for each quantity that begins with its name. Cells are parted by commas, semicolons or tabs; with the latter two
//! a number may have a decimal comma. Months stand in any order, by number or English name. A row or column of
//! the year is passed over, and so is a column whose name begins with `#`.
//!
//! ```
//! let table = "\
//! ## place: Elmwater Bend
//! ## latitude_deg: 41.2
//! ## longitude_deg: -87.9
//! ## altitude_m: 190
//! ## utc_offset_h: -6
//! month,max_c,min_c
//! 1,-0.4,-9.8
//! 2,1.6,-7.1
//! 3,8.5,-0.6
//! 4,14.7,5.2
//! 5,22.0,8.9
//! 6,26.8,14.7
//! 7,29.1,18.6
//! 8,26.9,16.7
//! 9,23.9,12.6
//! 10,16.3,5.4
//! 11,8.1,0.8
//! 12,0.1,-7.9
//! ";
//! let normals = swimdays_weather::normals::parse_table(table.as_bytes(), "table.csv")?;
//! assert_eq!(normals.daily_max_c[6], 29.1);
//! assert!(!normals.known().wind);
//! # Ok::<(), swimdays_weather::WeatherError>(())
//! ```

use std::path::Path;

use super::check::MONTHS;
use super::cycle::Cycle;
use super::head::Head;
use super::names::{Name, Quantity, bare, is_year, month, name, nearest};
use super::{Moisture, Normals, Sun, check};
use crate::error::WeatherError;
use crate::text::{Source, quoted};

/// No climate table is longer, bytes.
const LONGEST: usize = 200_000;

/// Reads a climate table: lines `# key: value`, a row of names, twelve rows. What it says is checked too.
///
/// # Errors
/// [`WeatherError::Unreadable`] when the file cannot be opened; else as [`parse_table`].
pub fn read_table(path: &Path) -> Result<Normals, WeatherError> {
    let label = path.display().to_string();
    match std::fs::read(path) {
        Ok(bytes) => parse_table(&bytes, &label),
        Err(error) => Err(WeatherError::Unreadable {
            label: label.into(),
            reason: error.to_string().into(),
        }),
    }
}

/// Reads a climate table from memory; `label` names it in errors.
///
/// # Errors
/// What is wrong, where, and what to do: see [`WeatherError`].
pub fn parse_table(bytes: &[u8], label: &str) -> Result<Normals, WeatherError> {
    let source = Source::new(bytes, label);
    if source.bytes.len() > LONGEST {
        return Err(source.header_error(
            1,
            "table",
            format!("a file of {} kB", source.bytes.len() / 1000),
            "a climate table: a head and twelve rows",
            "a file of hours is read as weather, not as normals",
        ));
    }
    let grid = Grid::read(&source)?;
    let values = grid.values(&source)?;
    let place = grid.head.place(&source, grid.header_line)?;
    let needed = |quantity: Quantity| {
        values.of(quantity).ok_or_else(|| {
            source.header_error(
                grid.header_line,
                "row of names",
                format!("no column of the {}", quantity.words()),
                &quantity.allowed(),
                "add this column: maximum and minimum are the least that a year can be made from",
            )
        })
    };
    let normals = Normals {
        place,
        daily_max_c: needed(Quantity::Max)?,
        daily_min_c: needed(Quantity::Min)?,
        sun: match (values.of(Quantity::Sun), values.of(Quantity::Sunshine)) {
            (Some(sun), _) => Sun::DailyKwhM2(sun),
            (None, Some(hours)) => Sun::SunshineHours(hours),
            (None, None) => Sun::Unknown,
        },
        moisture: match (values.of(Quantity::DewPoint), values.of(Quantity::Humidity)) {
            (Some(dew), _) => Moisture::DewPointC(dew),
            (None, Some(humidity)) => Moisture::HumidityFrac(humidity),
            (None, None) => Moisture::Unknown,
        },
        wind_m_s: values
            .of(Quantity::Wind)
            .map(|wind| wind.map(|v| v * grid.head.wind_factor())),
        rain_mm: values.of(Quantity::Rain),
        rain_days: values.of(Quantity::RainDays),
    };
    check::check(&normals, &Cycle::common(), &normals.sky()).map_err(|fault| {
        let at = fault
            .cell
            .and_then(|(quantity, month)| values.cell(quantity, month));
        match at {
            Some((line, column)) => WeatherError::Cell {
                label: label.into(),
                line,
                column: column.as_str().into(),
                found: fault.found.into(),
                allowed: fault.allowed.into(),
                todo: fault.todo.into(),
            },
            None => fault.of_place(label),
        }
    })?;
    Ok(normals)
}

/// The cells of a table, with the months down.
struct Grid {
    head: Head,
    header_line: usize,
    /// Title of each column of values.
    titles: Vec<String>,
    /// Line of each title.
    title_lines: Vec<usize>,
    /// For each column and month: line and cell.
    cells: Vec<[Option<(usize, String)>; 12]>,
    decimal_comma: bool,
}

/// What was read, by column.
struct Values {
    columns: Vec<(Quantity, String, [usize; 12], [f64; 12])>,
}

impl Values {
    fn of(&self, quantity: Quantity) -> Option<[f64; 12]> {
        self.columns
            .iter()
            .find(|(of, ..)| *of == quantity)
            .map(|(.., values)| *values)
    }

    fn cell(&self, quantity: Quantity, month: usize) -> Option<(usize, String)> {
        self.columns
            .iter()
            .find(|(of, ..)| *of == quantity)
            .map(|(_, title, lines, _)| (lines[month], title.clone()))
    }
}

impl Grid {
    fn read(source: &Source<'_>) -> Result<Self, WeatherError> {
        let mut head = Head::default();
        let mut rows: Vec<(usize, Vec<String>)> = Vec::new();
        let mut separator = None;
        for (line, bytes) in source.lines() {
            let text = String::from_utf8_lossy(bytes);
            // A tab in front parts an empty first cell.
            let text = text.trim_end().trim_start_matches(' ');
            if text.trim_matches([',', ';', '\t', '"', ' ']).is_empty() {
                continue;
            }
            if separator.is_none() {
                if head.take(source, line, text)? {
                    continue;
                }
                separator = separator_of(text);
                if separator.is_none() {
                    return Err(source.header_error(
                        line,
                        "row of names",
                        quoted(text.as_bytes()),
                        "lines `# key: value`, then a row such as `month,max_c,min_c`",
                        "write a row of names, the first of them `month`",
                    ));
                }
            } else if text.starts_with('#') && separator_of(text).is_none() {
                continue;
            }
            rows.push((line, cells(text, separator.unwrap_or(','))));
        }
        let Some((header_line, header)) = rows.first().cloned() else {
            return Err(source.header_error(
                1,
                "row of names",
                "nothing",
                "lines `# key: value`, then a row such as `month,max_c,min_c`",
                "the table is empty: write a row of names and twelve rows",
            ));
        };
        let mut grid = Self {
            head,
            header_line,
            titles: Vec::new(),
            title_lines: Vec::new(),
            cells: Vec::new(),
            decimal_comma: separator != Some(','),
        };
        if header
            .iter()
            .skip(1)
            .filter(|cell| month(cell).is_some())
            .count()
            >= 2
        {
            grid.across(source, &rows)?;
        } else {
            grid.down(source, &rows)?;
        }
        Ok(grid)
    }

    /// Months down: the usual way.
    fn down(
        &mut self,
        source: &Source<'_>,
        rows: &[(usize, Vec<String>)],
    ) -> Result<(), WeatherError> {
        let Some(((line, header), rows)) = rows.split_first() else {
            return Ok(());
        };
        let Some(at) = header
            .iter()
            .position(|cell| matches!(bare(cell).as_str(), "month" | "months" | "mon"))
        else {
            return Err(source.header_error(
                *line,
                "row of names",
                quoted(header.join(",").as_bytes()),
                "a row of names with a column `month`, or with the twelve months after the first cell",
                "name the column of the months `month`",
            ));
        };
        let count = header
            .iter()
            .rposition(|cell| !cell.is_empty())
            .map_or(0, |last| last + 1);
        let kept: Vec<usize> = (0..count)
            .filter(|&c| c != at && !header[c].is_empty())
            .collect();
        for &c in &kept {
            self.titles.push(header[c].clone());
            self.title_lines.push(*line);
            self.cells.push(Default::default());
        }
        let mut seen: [Option<usize>; 12] = [None; 12];
        for (line, row) in rows {
            let row_error = |found: String, allowed: String, todo: &str| WeatherError::Row {
                label: source.label.into(),
                line: *line,
                found: found.into(),
                allowed: allowed.into(),
                todo: todo.into(),
            };
            let named = row.get(at).map_or("", String::as_str);
            if is_year(named) {
                continue;
            }
            let Some(m) = month(named) else {
                return Err(row_error(
                    format!("{} in the column `month`", quoted(named.as_bytes())),
                    "1 to 12, or January to December, or their first three letters".into(),
                    "correct the month, or remove the row",
                ));
            };
            if let Some(first) = seen[m] {
                return Err(row_error(
                    format!("{} a second time, after line {first}", MONTHS[m]),
                    "each month once".into(),
                    "correct the month, or remove one of the two rows",
                ));
            }
            seen[m] = Some(*line);
            let last = row
                .iter()
                .rposition(|cell| !cell.is_empty())
                .map_or(0, |last| last + 1);
            if last > count {
                return Err(row_error(
                    format!("a row of {last} cells"),
                    format!("{count} cells, as in the row of names"),
                    "write decimal points, or part the cells by semicolons; or a name is missing above",
                ));
            }
            for (column, &c) in kept.iter().enumerate() {
                self.cells[column][m] = Some((*line, row.get(c).cloned().unwrap_or_default()));
            }
        }
        if let Some(missing) = seen.iter().position(Option::is_none) {
            return Err(source.header_error(
                rows.last().map_or(*line, |(line, _)| *line),
                "rows",
                format!("no row of {}", MONTHS[missing]),
                "twelve rows, one for each month",
                "add the missing month",
            ));
        }
        Ok(())
    }

    /// Months across.
    fn across(
        &mut self,
        source: &Source<'_>,
        rows: &[(usize, Vec<String>)],
    ) -> Result<(), WeatherError> {
        let Some(((line, header), rows)) = rows.split_first() else {
            return Ok(());
        };
        let mut places: [Option<usize>; 12] = [None; 12];
        for (c, cell) in header.iter().enumerate().skip(1) {
            if cell.is_empty() || is_year(cell) {
                continue;
            }
            match month(cell) {
                Some(m) if places[m].is_none() => places[m] = Some(c),
                found => {
                    return Err(source.header_error(
                        *line,
                        "row of months",
                        match found {
                            Some(m) => format!("{} a second time", MONTHS[m]),
                            None => quoted(cell.as_bytes()),
                        },
                        "1 to 12, or January to December, each once; and perhaps `year`",
                        "correct the month, or remove the column",
                    ));
                }
            }
        }
        if let Some(missing) = places.iter().position(Option::is_none) {
            return Err(source.header_error(
                *line,
                "row of months",
                format!("no {}", MONTHS[missing]),
                "twelve months",
                "add the missing month",
            ));
        }
        for (line, row) in rows {
            self.titles.push(row.first().cloned().unwrap_or_default());
            self.title_lines.push(*line);
            self.cells.push(std::array::from_fn(|m| {
                let cell = places[m].and_then(|c| row.get(c)).cloned();
                Some((*line, cell.unwrap_or_default()))
            }));
        }
        Ok(())
    }

    fn values(&self, source: &Source<'_>) -> Result<Values, WeatherError> {
        let mut out = Values {
            columns: Vec::new(),
        };
        for (column, title) in self.titles.iter().enumerate() {
            if title.starts_with('#') {
                continue;
            }
            let line = self.title_lines[column];
            let titled = format!("column `{title}`");
            let (quantity, convert) = match name(&bare(title)) {
                Name::Of(quantity, convert) => (quantity, convert),
                Name::NoUnit(quantity) => {
                    return Err(source.header_error(
                        line,
                        &titled,
                        "a name without its unit",
                        &quantity.allowed(),
                        "add the unit to the name",
                    ));
                }
                Name::Unknown => return Err(unknown(source, line, title)),
            };
            let cells = &self.cells[column];
            let blank =
                |cell: &Option<(usize, String)>| cell.as_ref().is_none_or(|(_, c)| is_blank(c));
            if cells.iter().all(blank) {
                continue;
            }
            if let Some((_, first, ..)) = out.columns.iter().find(|(of, ..)| *of == quantity) {
                return Err(source.header_error(
                    line,
                    &titled,
                    format!("the {} a second time, after `{first}`", quantity.words()),
                    "each quantity once",
                    "put `#` before the name that shall not be used",
                ));
            }
            let rival = out.columns.iter().find(|(of, ..)| of.says_of(quantity));
            if let Some((other, first, ..)) = rival {
                return Err(source.header_error(
                    line,
                    &titled,
                    format!(
                        "the {} beside the {} in `{first}`",
                        quantity.words(),
                        other.words()
                    ),
                    "one of the two: both say the same thing",
                    "put `#` before the name that shall not be used",
                ));
            }
            let (mut lines, mut values) = ([0; 12], [0.0; 12]);
            for (m, cell) in cells.iter().enumerate() {
                let (line, cell) = cell
                    .as_ref()
                    .map_or((line, ""), |(line, cell)| (*line, cell.as_str()));
                lines[m] = line;
                let Some(value) = self.number(cell) else {
                    return Err(WeatherError::Cell {
                        label: source.label.into(),
                        line,
                        column: title.as_str().into(),
                        found: format!("{} in {}", quoted(cell.as_bytes()), MONTHS[m]).into(),
                        allowed: "a number in each of the twelve months, or in none".into(),
                        todo: "write the number with a decimal point, take it from a neighbouring station, or leave the whole column empty".into(),
                    });
                };
                values[m] = convert(value, m);
            }
            out.columns.push((quantity, title.clone(), lines, values));
        }
        self.rain_behind_its_days(source, &out)?;
        Ok(out)
    }

    /// Days with rain say nothing where the rain itself is not given.
    fn rain_behind_its_days(
        &self,
        source: &Source<'_>,
        values: &Values,
    ) -> Result<(), WeatherError> {
        let named = values
            .columns
            .iter()
            .find(|(of, ..)| *of == Quantity::RainDays);
        match named {
            Some((_, title, ..)) if values.of(Quantity::Rain).is_none() => {
                let at = self.titles.iter().position(|other| other == title);
                Err(source.header_error(
                    at.map_or(self.header_line, |column| self.title_lines[column]),
                    &format!("column `{title}`"),
                    "days with rain and no rain",
                    &Quantity::Rain.allowed(),
                    "add the rain, or put `#` before the name of the days",
                ))
            }
            _ => Ok(()),
        }
    }

    fn number(&self, cell: &str) -> Option<f64> {
        let mut plain = cell.replace(['−', '–'], "-");
        if self.decimal_comma {
            plain = plain.replace(',', ".");
        }
        crate::text::number(plain.trim().as_bytes(), 0)
    }
}

/// What stands where nothing is known.
fn is_blank(cell: &str) -> bool {
    matches!(cell.trim(), "" | "-" | "–" | "—" | "n/a" | "N/A" | "NA")
}

fn unknown(source: &Source<'_>, line: usize, title: &str) -> WeatherError {
    let (allowed, todo) = match nearest(&bare(title)) {
        Some(known) => (format!("`{known}`"), "write it so".to_owned()),
        None => {
            let all = [
                Quantity::Max,
                Quantity::Min,
                Quantity::Sun,
                Quantity::Sunshine,
                Quantity::DewPoint,
                Quantity::Humidity,
                Quantity::Wind,
                Quantity::Rain,
                Quantity::RainDays,
            ];
            let names: Vec<String> = all.iter().map(|quantity| quantity.allowed()).collect();
            (
                names.join(", "),
                format!("rename it, or write `#{title}` to leave it out"),
            )
        }
    };
    source.header_error(
        line,
        &format!("column `{title}`"),
        "an unknown name",
        &allowed,
        &todo,
    )
}

/// The sign between cells: the one there are most of, if any.
fn separator_of(text: &str) -> Option<char> {
    [';', '\t', ',']
        .into_iter()
        .map(|sign| (text.matches(sign).count(), sign))
        .filter(|(count, _)| *count > 0)
        .max_by_key(|(count, _)| *count)
        .map(|(_, sign)| sign)
}

/// Cells of a row; separators in double quotes do not count.
fn cells(text: &str, separator: char) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut quoted = false;
    for c in text.chars() {
        if c == '"' {
            quoted = !quoted;
        } else if c == separator && !quoted {
            out.push(String::new());
        } else if let Some(last) = out.last_mut() {
            last.push(c);
        }
    }
    out.iter().map(|cell| cell.trim().to_owned()).collect()
}
