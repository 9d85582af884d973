//! The line of names: which column holds what, in which unit, and what separates the cells.

use swimdays_quantity::{Kind, Units, parse};

use super::fault::RowFault;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum What {
    Time,
    Date,
    Water,
    Outlet,
    Inlet,
    Air,
    AirMax,
    AirMin,
    Flow,
    Bucket,
    Pump,
    Cover,
    Level,
    Sky,
    Note,
}

impl What {
    pub(super) const fn is_temperature(self) -> bool {
        matches!(
            self,
            Self::Water | Self::Outlet | Self::Inlet | Self::Air | Self::AirMax | Self::AirMin
        )
    }
}

/// Names of the columns, each in the spelling of the template first.
const NAMES: [(What, &[&str]); 15] = [
    (
        What::Time,
        &[
            "time",
            "when",
            "clock",
            "date time",
            "date and time",
            "day and time",
            "datetime",
            "timestamp",
            "moment",
        ],
    ),
    (What::Date, &["date", "day"]),
    (
        What::Water,
        &[
            "water",
            "pool",
            "pool water",
            "water in pool",
            "water in the pool",
            "swimming pool",
            "",
        ],
    ),
    (
        What::Outlet,
        &[
            "outlet",
            "out",
            "return",
            "from heater",
            "from the heater",
            "out of heater",
            "out of the heater",
            "heater out",
            "heater outlet",
            "return water",
            "hot",
        ],
    ),
    (
        What::Inlet,
        &[
            "inlet",
            "in",
            "into heater",
            "into the heater",
            "to heater",
            "to the heater",
            "heater in",
            "heater inlet",
            "supply",
            "suction",
        ],
    ),
    (
        What::Air,
        &[
            "air",
            "outside",
            "outside air",
            "outdoor",
            "outdoors",
            "ambient",
            "shade",
            "in the shade",
        ],
    ),
    (
        What::AirMax,
        &[
            "air max",
            "max",
            "maximum",
            "high",
            "air high",
            "max air",
            "maximum air",
            "highest air",
            "air maximum",
        ],
    ),
    (
        What::AirMin,
        &[
            "air min",
            "min",
            "minimum",
            "low",
            "air low",
            "min air",
            "minimum air",
            "lowest air",
            "air minimum",
        ],
    ),
    (What::Flow, &["flow", "flow rate", "flowrate"]),
    (
        What::Bucket,
        &[
            "bucket",
            "bucket time",
            "bucket seconds",
            "seconds",
            "fill time",
        ],
    ),
    (
        What::Pump,
        &["pump", "pump on", "pump running", "heater on", "heater"],
    ),
    (What::Cover, &["cover", "cover on", "covered", "blanket"]),
    (What::Level, &["level", "water level", "pool level"]),
    (What::Sky, &["sky", "weather", "sun", "clouds"]),
    (
        What::Note,
        &["note", "notes", "remark", "remarks", "comment", "comments"],
    ),
];

/// Words of a name that say nothing.
const IDLE: [&str; 8] = [
    "temp",
    "temperature",
    "temps",
    "t",
    "reading",
    "deg",
    "degrees",
    "degree",
];

/// One column that is used.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Column {
    pub(super) what: What,
    /// Where in a row.
    pub(super) at: usize,
    /// As written.
    pub(super) title: String,
    /// Unit of bare numbers, as `swimdays-quantity` reads it; empty where there is none.
    pub(super) unit: String,
    /// Volume of the bucket, m³.
    pub(super) bucket_m3: Option<f64>,
}

/// What the line of names says.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Layout {
    pub(super) line: usize,
    pub(super) separator: u8,
    /// How many names there are.
    pub(super) count: usize,
    pub(super) columns: Vec<Column>,
    /// Names that are not used, with what to do.
    pub(super) faults: Vec<RowFault>,
    /// Names of no column of ours and of none that is near.
    pub(super) unused: Vec<String>,
}

impl Layout {
    pub(super) fn find(&self, what: What) -> Option<&Column> {
        self.columns.iter().find(|c| c.what == what)
    }

    /// `°F` where all temperatures are so, as names and messages show it.
    pub(super) fn units(&self) -> Option<Units> {
        let mut units = self
            .columns
            .iter()
            .filter(|c| c.what.is_temperature() && !c.unit.is_empty())
            .map(|c| {
                if c.unit == "°F" {
                    Units::Us
                } else {
                    Units::Metric
                }
            });
        let first = units.next()?;
        units.all(|u| u == first).then_some(first)
    }
}

/// The cells of one line. Quotes hold separators together; a quote that is never closed is taken for a slip of the pen.
pub(super) fn split(line: &str, separator: u8) -> Vec<String> {
    if !line.matches('"').count().is_multiple_of(2) {
        return split(&line.replace('"', " "), separator);
    }
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .trim(csv::Trim::All)
        .buffer_capacity(line.len().max(16))
        .from_reader(line.as_bytes());
    match reader.records().next() {
        Some(Ok(record)) => record.iter().map(|cell| cell.trim().to_owned()).collect(),
        _ => Vec::new(),
    }
}

/// The first line that names a time and something measured, by the separator that finds most names.
pub(super) fn find<'t>(lines: impl Iterator<Item = (usize, &'t str)>) -> Option<Layout> {
    /// A title and a few lines of words may stand above.
    const LOOKED_AT: usize = 30;
    lines.take(LOOKED_AT).find_map(|(line, text)| {
        [b',', b';', b'\t']
            .into_iter()
            .map(|separator| layout(line, text, separator))
            .filter(|l| {
                let timed = l.find(What::Time).or_else(|| l.find(What::Date)).is_some();
                timed && l.count > 1
            })
            .max_by_key(|l| (l.columns.len(), l.count))
    })
}

fn layout(line: usize, text: &str, separator: u8) -> Layout {
    let titles = split(text, separator);
    let mut out = Layout {
        line,
        separator,
        count: titles.len(),
        columns: Vec::new(),
        faults: Vec::new(),
        unused: Vec::new(),
    };
    for (at, title) in titles.into_iter().enumerate() {
        if title.is_empty() {
            continue;
        }
        match read(&title) {
            Named::Column {
                what,
                unit,
                bucket_m3,
            } => {
                if let Some(first) = out.find(what) {
                    let fault = RowFault::name(
                        line,
                        &title,
                        format!("a second column for what `{}` holds", first.title),
                        "each kind once",
                        "take one of the two out, or rename it",
                    );
                    out.faults.push(fault);
                    continue;
                }
                out.columns.push(Column {
                    what,
                    at,
                    title,
                    unit,
                    bucket_m3,
                });
            }
            Named::WrongUnit { found, allowed } => out.faults.push(RowFault::name(
                line,
                &title,
                format!("`{found}`, no unit of this column"),
                allowed,
                "write the unit behind the name, such as `water F` or `flow gpm`",
            )),
            Named::Near(name) => out.faults.push(RowFault::name(
                line,
                &title,
                "an unknown name".into(),
                &format!("`{name}` with its unit, which may be meant"),
                "correct the name, so that the column can be used",
            )),
            Named::Unknown => out.unused.push(title),
        }
    }
    out
}

enum Named {
    Column {
        what: What,
        unit: String,
        bucket_m3: Option<f64>,
    },
    WrongUnit {
        found: String,
        allowed: &'static str,
    },
    Near(&'static str),
    Unknown,
}

/// Reads one name: `water F`, `pool_temp_c`, `outlet (°F)`, `flow [gpm]`, `bucket 5 gal s`.
fn read(title: &str) -> Named {
    let plain: String = title
        .to_lowercase()
        .chars()
        .map(|c| {
            if matches!(c, '_' | '(' | ')' | '[' | ']' | ',' | ':' | '"') {
                ' '
            } else {
                c
            }
        })
        .collect();
    let plain = plain.replace('º', "°").replace("° ", "°");
    let words: Vec<&str> = plain.split_whitespace().collect();
    if words.contains(&"bucket") || words.windows(2).any(|w| w == ["seconds", "for"]) {
        return bucket(&words);
    }
    let (words, unit) = with_unit(&words);
    let kept: Vec<&str> = words
        .iter()
        .copied()
        .filter(|w| !IDLE.contains(w))
        .collect();
    // `temp` alone is the water's; no words at all are no name.
    let name = kept.join(" ");
    if words.is_empty() {
        return Named::Unknown;
    }
    let known = NAMES
        .iter()
        .find(|(_, names)| names.contains(&name.as_str()));
    let Some((what, _)) = known else {
        return near(&name);
    };
    match (*what, unit) {
        // Bare "time h" or "pump on/off": what stands behind is no unit of ours.
        (what, None) => Named::Column {
            what,
            unit: String::new(),
            bucket_m3: None,
        },
        (what, Some(unit)) => match unit_of(what, &unit) {
            Ok(unit) => Named::Column {
                what,
                unit,
                bucket_m3: None,
            },
            Err(allowed) => Named::WrongUnit {
                found: unit,
                allowed,
            },
        },
    }
}

/// Splits the unit off the end of a name.
fn with_unit<'w>(words: &[&'w str]) -> (Vec<&'w str>, Option<String>) {
    const UNITS: [&str; 38] = [
        "f",
        "°f",
        "degf",
        "fahrenheit",
        "c",
        "°c",
        "degc",
        "celsius",
        "k",
        "gpm",
        "gph",
        "gal/min",
        "gal/h",
        "l/min",
        "lpm",
        "l/h",
        "lph",
        "l/s",
        "m3/h",
        "m³/h",
        "s",
        "sec",
        "seconds",
        "min",
        "inch",
        "inches",
        "cm",
        "mm",
        "m",
        "ft",
        "%",
        "on/off",
        "yes/no",
        "y/n",
        "h",
        "hh:mm",
        "local",
        "0/1",
    ];
    let Some((last, rest)) = words.split_last() else {
        return (Vec::new(), None);
    };
    // `air min` is the minimum, `min` alone as well; `level in` is in inches, `in` the inlet.
    let is_minimum = *last == "min" && !rest.iter().any(|w| ["flow", "time"].contains(w));
    let in_inches = *last == "in" && rest.last() == Some(&"level");
    if (UNITS.contains(last) && !is_minimum && !rest.is_empty()) || in_inches {
        // `l min` is written where `/` may not be.
        if *last == "min" && rest.last().is_some_and(|w| ["l", "gal"].contains(w)) {
            let unit = format!("{}/min", rest[rest.len() - 1]);
            return (rest[..rest.len() - 1].to_vec(), Some(unit));
        }
        return (rest.to_vec(), Some((*last).to_owned()));
    }
    (words.to_vec(), None)
}

/// The unit as it is read behind a number, or what is allowed.
fn unit_of(what: What, unit: &str) -> Result<String, &'static str> {
    if what.is_temperature() {
        return match unit {
            "f" | "°f" | "degf" | "fahrenheit" => Ok("°F".into()),
            "c" | "°c" | "degc" | "celsius" => Ok("°C".into()),
            _ => Err("F or C"),
        };
    }
    let kind = match what {
        What::Flow => Kind::Flow,
        What::Level => Kind::Length,
        // What stands behind the names of the others says how they are filled in.
        _ => return Ok(String::new()),
    };
    let unit = match unit {
        "lpm" => "L/min",
        "lph" => "L/h",
        "inch" | "inches" | "in" => "in",
        other => other,
    };
    if parse(&format!("1 {unit}"), kind).is_ok() {
        Ok(unit.to_owned())
    } else {
        Err(if what == What::Flow {
            "gpm, gph, L/min, L/h or m3/h"
        } else {
            "in, ft, cm or mm"
        })
    }
}

/// `bucket 5 gal s`, `seconds for 10 L`: what the bucket holds stands in the name.
fn bucket(words: &[&str]) -> Named {
    let volume = words.iter().enumerate().find_map(|(at, word)| {
        let joined = words.get(at + 1).map(|unit| format!("{word} {unit}"));
        let starts = word.starts_with(|c: char| c.is_ascii_digit());
        let read = |text: &str| parse(text, Kind::Volume).ok().filter(|v| *v > 0.0);
        starts.then(|| read(word).or_else(|| joined.as_deref().and_then(read)))?
    });
    Named::Column {
        what: What::Bucket,
        unit: "s".into(),
        bucket_m3: volume,
    }
}

/// The known name that a misspelt one is nearest to.
fn near(name: &str) -> Named {
    /// Words of four letters and fewer are near to too much.
    const SHORT: usize = 4;
    if name.chars().count() < SHORT {
        return Named::Unknown;
    }
    NAMES
        .iter()
        .flat_map(|(_, names)| names.iter())
        .filter(|known| known.len() >= SHORT)
        .map(|known| (strsim::osa_distance(name, known), *known))
        .min_by_key(|(distance, _)| *distance)
        .filter(|(distance, known)| *distance <= 1 + usize::from(known.len() > 6))
        .map_or(Named::Unknown, |(_, known)| Named::Near(known))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn columns(text: &str) -> Vec<(What, String)> {
        let layout = find(std::iter::once((1, text))).expect("a line of names");
        layout
            .columns
            .into_iter()
            .map(|c| (c.what, c.unit))
            .collect()
    }

    #[test]
    fn names_and_units_in_many_spellings() {
        for text in [
            "time,water F,outlet F,flow gpm",
            "Time;Pool Temp (°F);Out [F];Flow rate, gpm",
            "when\twater_f\tout_of_the_heater_f\tflow_gpm",
            "Date/Time,Pool water temperature °F,Heater out degF,flow (gpm)",
        ] {
            let text = text.replace("Date/Time", "date time");
            let found = columns(&text);
            let wanted = [
                (What::Time, ""),
                (What::Water, "°F"),
                (What::Outlet, "°F"),
                (What::Flow, "gpm"),
            ];
            assert_eq!(found, wanted.map(|(w, u)| (w, u.to_owned())), "{text}");
        }
        assert_eq!(
            columns(
                "date,time,temp C,in C,air max C,air min C,flow L/min,pump on/off,level in,notes"
            ),
            [
                (What::Date, ""),
                (What::Time, ""),
                (What::Water, "°C"),
                (What::Inlet, "°C"),
                (What::AirMax, "°C"),
                (What::AirMin, "°C"),
                (What::Flow, "l/min"),
                (What::Pump, ""),
                (What::Level, "in"),
                (What::Note, ""),
            ]
            .map(|(w, u)| (w, u.to_owned()))
        );
    }

    /// 5 US gallons are 18.927 L.
    #[test]
    fn the_bucket_stands_in_the_name() {
        for (name, litres) in [
            ("bucket 5 gal s", 18.927),
            ("bucket_10L_s", 10.0),
            ("Seconds for 5 gal", 18.927),
            ("bucket (12 L), s", 12.0),
        ] {
            let text = format!("time;water F;{name}");
            let layout = find(std::iter::once((1, text.as_str()))).expect("names");
            let volume = layout
                .find(What::Bucket)
                .and_then(|c| c.bucket_m3)
                .expect(name);
            assert!((volume * 1e3 - litres).abs() < 1e-3, "{name}: {volume}");
        }
    }

    #[test]
    fn a_title_may_stand_above_and_misspelt_names_are_told() {
        let lines = [
            (1, "Our pool, May and June"),
            (2, "time,watr F,outlet F,mood"),
        ];
        let layout = find(lines.into_iter()).expect("names");
        assert_eq!(layout.line, 2);
        assert_eq!(layout.faults.len(), 1);
        assert!(
            layout.faults[0].to_string().contains("`water`"),
            "{}",
            layout.faults[0]
        );
        assert_eq!(layout.unused, ["mood"]);
        assert!(find(std::iter::once((1, "May 3 2 pm,75,80"))).is_none());
    }
}
