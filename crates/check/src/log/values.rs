//! Cells to SI values.

use swimdays_quantity::{Kind, Units, bucket, parse};

use super::columns::{Column, What};
use super::fault::{RowFault, quoted};

/// What a reading may be, in the unit of its kind; beyond it is set aside as wild. Own choice: what is met in pools and
/// heaters, generously.
const WATER_C: (f64, f64) = (-0.5, 50.0);
const INLET_C: (f64, f64) = (-0.5, 60.0);
const OUTLET_C: (f64, f64) = (-0.5, 99.0);
const AIR_C: (f64, f64) = (-45.0, 55.0);
/// Litres per minute: 0 to 1200.
const FLOW_M3_S: (f64, f64) = (0.0, 0.02);
const BUCKET_S: (f64, f64) = (0.5, 3_600.0);
const LEVEL_M: (f64, f64) = (-3.0, 10.0);

/// Words for "nothing was read".
const NOTHING: [&str; 12] = [
    "", "-", "–", "—", "--", "?", "n/a", "na", "none", "nan", "null", ".",
];

/// How the cells of this file are written.
#[derive(Clone, Copy, Debug)]
pub(super) struct Writing {
    /// What separates the cells.
    pub(super) separator: u8,
    /// Unit of temperatures whose column and cell name none.
    pub(super) units: Units,
    /// The bucket, m³, where the column does not name it.
    pub(super) bucket_m3: Option<f64>,
}

/// A cell without anything in it.
pub(super) fn is_nothing(cell: &str) -> bool {
    NOTHING.contains(&cell.trim().to_lowercase().as_str())
}

/// A plain number: `75.2`, `75,2`, `1,500`, `−3`. Signs of doubt (`~75`, `75?`) are left out.
pub(super) fn number(cell: &str, separator: u8) -> Option<f64> {
    let text = cell
        .trim()
        .trim_start_matches(['~', '≈'])
        .trim_end_matches('?')
        .trim();
    let text = text.replace('\u{2212}', "-");
    let commas = text.matches(',').count();
    let plain = match (commas, text.find(',')) {
        (0, _) | (_, None) => text,
        // A comma before three digits parts thousands, unless the file has decimal commas.
        (_, Some(at)) if separator == b',' && (text.len() - at == 4 || commas > 1) => {
            text.replace(',', "")
        }
        (1, _) if !text.contains('.') => text.replace(',', "."),
        _ => return None,
    };
    let digits = plain.bytes().any(|b| b.is_ascii_digit());
    let clean = plain
        .bytes()
        .enumerate()
        .all(|(i, b)| b.is_ascii_digit() || b == b'.' || (i == 0 && matches!(b, b'-' | b'+')));
    if !digits || !clean {
        return None;
    }
    plain
        .parse::<f64>()
        .ok()
        .filter(|v| v.is_finite())
        .map(|v| v + 0.0)
}

/// The SI value of a cell; none where nothing stands in it.
pub(super) fn value(
    line: usize,
    column: &Column,
    cell: &str,
    writing: &Writing,
) -> Result<Option<f64>, RowFault> {
    if is_nothing(cell) {
        return Ok(None);
    }
    match column.what {
        What::Flow => flow(line, column, cell, writing),
        What::Bucket => bucket_flow(line, column, cell, writing),
        What::Level => level(line, column, cell, writing),
        _ => temperature(line, column, cell, writing),
    }
}

fn temperature(
    line: usize,
    column: &Column,
    cell: &str,
    writing: &Writing,
) -> Result<Option<f64>, RowFault> {
    let units = match column.unit.as_str() {
        "°F" => Units::Us,
        "°C" => Units::Metric,
        _ => writing.units,
    };
    let (name, (low, high)) = match column.what {
        What::Outlet => ("water out of a heater", OUTLET_C),
        What::Inlet => ("water into a heater", INLET_C),
        What::Air | What::AirMax | What::AirMin => ("air", AIR_C),
        _ => ("pool water", WATER_C),
    };
    let range = || units.format_range(Kind::Temperature, low, high);
    let with_unit = |number: f64| {
        parse(
            &format!("{number} {}", units.temperature_unit()),
            Kind::Temperature,
        )
        .ok()
    };
    let read = match number(cell, writing.separator) {
        Some(bare) => with_unit(bare),
        None => parse(
            cell.trim_start_matches('~').trim_end_matches('?'),
            Kind::Temperature,
        )
        .ok(),
    };
    let Some(celsius) = read else {
        let example = format!("{:.1}", units.temperature_value(24.0));
        return Err(RowFault::cell(
            line,
            &column.title,
            quoted(cell),
            format!("a number such as {example}, or nothing"),
            format!(
                "write the temperature alone, in {}; words belong in the note",
                units.temperature_unit()
            ),
        ));
    };
    if (low..=high).contains(&celsius) {
        return Ok(Some(celsius));
    }
    let slip = number(cell, writing.separator)
        .map(|bare| bare / 10.0)
        .filter(|tenth| {
            with_unit(*tenth).is_some_and(|c| (low..=high).contains(&c) && bare_is_long(cell))
        });
    let other = match units {
        Units::Us => Units::Metric,
        Units::Metric => Units::Us,
    };
    let fits_other = number(cell, writing.separator)
        .and_then(|bare| {
            parse(
                &format!("{bare} {}", other.temperature_unit()),
                Kind::Temperature,
            )
            .ok()
        })
        .is_some_and(|c| (low..=high).contains(&c));
    let todo = match slip {
        Some(tenth) => format!("left aside; is {tenth} meant?"),
        None if fits_other => format!(
            "left aside; is it in {}? Then name the column so",
            other.temperature_unit()
        ),
        None => "left aside; correct it if it is a slip of the pen".into(),
    };
    Err(RowFault::cell(
        line,
        &column.title,
        quoted(cell),
        format!("{name} from {}", range()),
        todo,
    )
    .wild())
}

/// Three or more digits without a point, as when it was forgotten.
fn bare_is_long(cell: &str) -> bool {
    let text = cell.trim();
    text.len() >= 3 && text.bytes().all(|b| b.is_ascii_digit())
}

/// Unit that the column names, else the usual one of the log's units.
fn unit_of<'a>(
    column: &'a Column,
    writing: &Writing,
    (us, metric): (&'static str, &'static str),
) -> &'a str {
    match writing.units {
        _ if !column.unit.is_empty() => column.unit.as_str(),
        Units::Us => us,
        Units::Metric => metric,
    }
}

/// A bare number in `unit`, or a quantity with its own.
fn bare_in(unit: &str, cell: &str, writing: &Writing, kind: Kind) -> Option<f64> {
    match number(cell, writing.separator) {
        Some(bare) => parse(&format!("{bare} {unit}"), kind).ok(),
        None => parse(cell, kind).ok(),
    }
}

fn flow(
    line: usize,
    column: &Column,
    cell: &str,
    writing: &Writing,
) -> Result<Option<f64>, RowFault> {
    let unit = unit_of(column, writing, ("gpm", "L/min"));
    let read = bare_in(unit, cell, writing, Kind::Flow).or_else(|| {
        let (volume, seconds) = bucket(cell).ok()?;
        Some(volume / seconds)
    });
    let Some(flow) = read else {
        return Err(RowFault::cell(
            line,
            &column.title,
            quoted(cell),
            format!("a number in {unit}, or nothing"),
            "write the flow alone, or the bucket test as `5 gal in 75 s`",
        ));
    };
    within(
        line,
        column,
        cell,
        flow,
        FLOW_M3_S,
        "a flow",
        writing
            .units
            .format_range(Kind::Flow, FLOW_M3_S.0, FLOW_M3_S.1),
    )
}

/// Seconds until the bucket is full, to a flow.
fn bucket_flow(
    line: usize,
    column: &Column,
    cell: &str,
    writing: &Writing,
) -> Result<Option<f64>, RowFault> {
    if let Ok((volume, seconds)) = bucket(cell) {
        return Ok(Some(volume / seconds));
    }
    let Some(seconds) = seconds(cell, writing.separator) else {
        return Err(RowFault::cell(
            line,
            &column.title,
            quoted(cell),
            "seconds such as 75, `1:15`, `1 min 15 s`, or nothing",
            "write how long the bucket took to fill",
        ));
    };
    let Some(volume) = column.bucket_m3.or(writing.bucket_m3) else {
        return Err(RowFault::cell(
            line,
            &column.title,
            format!("{} without the size of the bucket", quoted(cell)),
            "a column named `bucket 5 gal s`, or a line `# bucket: 5 gal` above the names",
            "write how much the bucket holds",
        ));
    };
    let range = format!("{} s to {} s", BUCKET_S.0, BUCKET_S.1);
    within(line, column, cell, seconds, BUCKET_S, "a time", range).map(|s| s.map(|s| volume / s))
}

/// `75`, `75 s`, `1:15`, `1 min 15 s`.
fn seconds(cell: &str, separator: u8) -> Option<f64> {
    if let Some(bare) = number(cell, separator) {
        return Some(bare);
    }
    if let Some((minutes, seconds)) = cell.trim().split_once(':') {
        let (minutes, seconds) = (number(minutes, separator)?, number(seconds, separator)?);
        return (minutes >= 0.0 && (0.0..60.0).contains(&seconds))
            .then_some(60.0 * minutes + seconds);
    }
    parse(cell, Kind::Duration).ok()
}

fn level(
    line: usize,
    column: &Column,
    cell: &str,
    writing: &Writing,
) -> Result<Option<f64>, RowFault> {
    let unit = unit_of(column, writing, ("in", "cm"));
    let read = bare_in(unit, cell, writing, Kind::Length);
    let Some(level) = read else {
        return Err(RowFault::cell(
            line,
            &column.title,
            quoted(cell),
            format!(
                "a number in {}, or nothing",
                if unit == "in" { "inches" } else { unit }
            ),
            "write how high the water stands above your mark (below it: negative)",
        ));
    };
    within(
        line,
        column,
        cell,
        level,
        LEVEL_M,
        "a level",
        writing
            .units
            .format_range(Kind::Length, LEVEL_M.0, LEVEL_M.1),
    )
}

fn within(
    line: usize,
    column: &Column,
    cell: &str,
    value: f64,
    (low, high): (f64, f64),
    what: &str,
    range: String,
) -> Result<Option<f64>, RowFault> {
    if (low..=high).contains(&value) {
        return Ok(Some(value));
    }
    let fault = RowFault::cell(
        line,
        &column.title,
        quoted(cell),
        format!("{what} from {range}"),
        "left aside; correct it if it is a slip of the pen",
    );
    Err(fault.wild())
}

/// `on`, `off`, `yes`, `no`, `1`, `0`; none where nothing stands.
pub(super) fn switch(line: usize, column: &Column, cell: &str) -> Result<Option<bool>, RowFault> {
    if is_nothing(cell) {
        return Ok(None);
    }
    match cell.trim().to_lowercase().as_str() {
        "on" | "yes" | "y" | "1" | "x" | "true" | "running" | "runs" | "covered" | "started" => {
            Ok(Some(true))
        }
        "off" | "no" | "n" | "0" | "false" | "stopped" | "uncovered" => Ok(Some(false)),
        _ => Err(RowFault::cell(
            line,
            &column.title,
            quoted(cell),
            "`on` or `off`, or nothing",
            "write `on` or `off`; words belong in the note",
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_as_people_write_them() {
        for (cell, separator, wanted) in [
            ("75.2", b',', Some(75.2)),
            ("75,2", b';', Some(75.2)),
            ("75,25", b',', Some(75.25)),
            ("1,500", b',', Some(1500.0)),
            ("1,500", b';', Some(1.5)),
            ("~75?", b',', Some(75.0)),
            ("−3", b',', Some(-3.0)),
            ("7o", b',', None),
            ("1e3", b',', None),
            ("inf", b',', None),
            ("1.500,2", b';', None),
            (".", b',', None),
        ] {
            assert_eq!(number(cell, separator), wanted, "{cell}");
        }
    }

    #[test]
    fn seconds_in_three_ways() {
        for (cell, wanted) in [
            ("75", Some(75.0)),
            ("1:15", Some(75.0)),
            ("1 min 15 s", Some(75.0)),
            ("1:75", None),
            ("soon", None),
        ] {
            assert_eq!(seconds(cell, b','), wanted, "{cell}");
        }
    }
}
