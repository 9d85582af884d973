//! The lines `# key: value` above the column names.

use swimdays_quantity::{Kind, parse};

use super::stamp::offset_minutes;
use crate::error::WeatherError;
use crate::normals::Known;
use crate::raw::{ALTITUDE, LATITUDE, LONGITUDE, UTC_OFFSET};
use crate::text::{Source, quoted, text};

/// Which moment of its interval a time names.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Label {
    #[default]
    Start,
    Middle,
    End,
}

/// What the head of a file says; what it does not say is `None`.
#[derive(Debug, Default)]
pub(super) struct Head {
    pub(super) place: String,
    pub(super) latitude_deg: Option<f64>,
    pub(super) longitude_deg: Option<f64>,
    pub(super) altitude_m: Option<f64>,
    pub(super) utc_offset_h: Option<f64>,
    pub(super) typical: bool,
    pub(super) label: Option<Label>,
    /// Signs for a missing value, beside the usual ones.
    pub(super) missing: Vec<Vec<u8>>,
    pub(super) wind_height_m: Option<f64>,
    pub(super) interval_minutes: Option<u32>,
    pub(super) radiation_shift_minutes: f64,
    /// What was known when the year was made from monthly normals.
    pub(super) normals: Option<Known>,
}

/// Every key; the ones in brackets of a table in docs/weather.md are other spellings.
const KEYS: [(&str, &[&str]); 12] = [
    ("place", &["name", "station"]),
    ("latitude_deg", &["latitude", "lat"]),
    ("longitude_deg", &["longitude", "lon", "long"]),
    ("altitude_m", &["elevation_m"]),
    ("altitude_ft", &["elevation_ft"]),
    ("altitude", &["elevation"]),
    ("utc_offset_h", &["utc_offset", "time_zone", "timezone"]),
    ("typical", &[]),
    ("time", &["time_is"]),
    ("missing", &["missing_sign"]),
    ("wind_height_m", &["wind_height"]),
    ("interval_minutes", &[]),
];

/// Keys that the program writes and nobody else needs.
const SHIFT: &str = "radiation_shift_minutes";
const NORMALS: &str = "made_from_normals";

/// The words of [`NORMALS`].
const SUN: &str = "sun";
const MOISTURE: &str = "moisture";
const WIND: &str = "wind";

/// The line that says what was known of a year made from monthly normals; else nothing.
pub(crate) fn normals_line(normals: Option<Known>) -> String {
    let Some(known) = normals else {
        return String::new();
    };
    let words: Vec<&str> = [
        (true, "temperature"),
        (known.sun, SUN),
        (known.moisture, MOISTURE),
        (known.wind, WIND),
    ]
    .into_iter()
    .filter_map(|(is_known, word)| is_known.then_some(word))
    .collect();
    format!("# {NORMALS}: {}\n", words.join(", "))
}

/// The key by any of its spellings.
pub(super) fn key(bare: &str) -> Option<&'static str> {
    if let Some(ours) = [SHIFT, NORMALS].into_iter().find(|ours| *ours == bare) {
        return Some(ours);
    }
    KEYS.iter()
        .find(|(key, others)| *key == bare || others.contains(&bare))
        .map(|(key, _)| *key)
}

/// The key that a word is misspelt from.
fn nearest(bare: &str) -> Option<&'static str> {
    // Two slips in a word of more than five letters (common practice, no source).
    if bare.chars().count() < 6 {
        return None;
    }
    KEYS.iter()
        .flat_map(|(key, others)| std::iter::once(key).chain(others.iter()))
        .map(|known| (strsim::damerau_levenshtein(bare, known), *known))
        .filter(|(distance, _)| *distance <= 2)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, known)| known)
}

/// Splits `# key: value`, with what a spreadsheet does to such a line taken off. `None`: a remark.
pub(super) fn pair(line: &[u8]) -> Option<(String, &[u8])> {
    let mut line = line.trim_ascii();
    let hashed = |line: &[u8]| matches!(line, [b'#', ..] | [b'"', b'#', ..]);
    let marked = hashed(line);
    while let [rest @ .., b',' | b';' | b'\t' | b' '] = line {
        line = rest;
    }
    if let [b'"', inner @ .., b'"'] = line {
        line = inner;
    }
    while let [b'#' | b' ', rest @ ..] = line {
        line = rest;
    }
    let at = line.iter().position(|b| matches!(b, b':' | b'='))?;
    let bare = super::names::bare(&line[..at]);
    // Without its sign a line is one of the head only when its key is known.
    if !marked && key(&bare).is_none() {
        return None;
    }
    let mut value = line[at + 1..].trim_ascii();
    while let [b',' | b';' | b'\t', rest @ ..] = value {
        value = rest.trim_ascii();
    }
    if let [b'"', inner @ .., b'"'] = value {
        value = inner.trim_ascii();
    }
    Some((bare, value))
}

impl Head {
    /// Takes in one line. Unknown keys are remarks, unless they look like a misspelt one.
    pub(super) fn take(
        &mut self,
        source: &Source<'_>,
        line: usize,
        bare: &str,
        value: &[u8],
        decimal_comma: bool,
    ) -> Result<(), WeatherError> {
        let Some(key) = key(bare) else {
            return match nearest(bare) {
                Some(known) => Err(source.header_error(
                    line,
                    bare,
                    "an unknown key",
                    &format!("`{known}`, or other words"),
                    &format!("write `{known}` if that is meant, or reword the remark"),
                )),
                None => Ok(()),
            };
        };
        let value_text = text(value).into_owned();
        let number = |(low, high, unit): (f64, f64, &str)| {
            plain_number(value, decimal_comma)
                .filter(|v| (low..=high).contains(v))
                .ok_or_else(|| {
                    source.header_error(
                        line,
                        key,
                        quoted(value),
                        &format!("a number from {low} to {high} ({unit})"),
                        "correct the value",
                    )
                })
        };
        match key {
            "place" => self.place = value_text,
            "latitude_deg" => {
                self.latitude_deg = Some(
                    turned(value, b"nN", b"sS", decimal_comma)
                        .map_or_else(|| number(LATITUDE), |v| within(v, LATITUDE, &number))?,
                );
            }
            "longitude_deg" => {
                self.longitude_deg = Some(
                    turned(value, b"eE", b"wW", decimal_comma)
                        .map_or_else(|| number(LONGITUDE), |v| within(v, LONGITUDE, &number))?,
                );
            }
            "altitude_m" => self.altitude_m = Some(number(ALTITUDE)?),
            "altitude_ft" | "altitude" => {
                let with_unit = if key == "altitude" {
                    value_text
                } else {
                    format!("{value_text} ft")
                };
                let (low, high, _) = ALTITUDE;
                let altitude = parse(&with_unit, Kind::Length).ok();
                self.altitude_m = Some(
                    altitude
                        .filter(|m| (low..=high).contains(m))
                        .ok_or_else(|| {
                            source.header_error(
                                line,
                                key,
                                quoted(value),
                                &format!("`altitude_m: 260`, `altitude_ft: 853` or `altitude: 853 ft`, from {low} to {high} m"),
                                "write one of these",
                            )
                        })?,
                );
            }
            "utc_offset_h" => {
                self.utc_offset_h =
                    Some(self::utc_offset_h(value).map_or_else(|| number(UTC_OFFSET), Ok)?)
            }
            "typical" => {
                self.typical = match value_text.to_ascii_lowercase().as_str() {
                    "yes" | "true" | "1" => true,
                    "no" | "false" | "0" | "" => false,
                    _ => {
                        return Err(source.header_error(
                            line,
                            key,
                            quoted(value),
                            "`yes` (made of several years, or invented) or `no` (one stretch of real time)",
                            "write one of these",
                        ));
                    }
                }
            }
            "time" => {
                let lower = value_text.to_ascii_lowercase();
                self.label = Some(match lower.split_whitespace().next() {
                    Some("start" | "begin" | "beginning") => Label::Start,
                    Some("middle" | "mid" | "centre" | "center") => Label::Middle,
                    Some("end" | "ending") => Label::End,
                    _ => {
                        return Err(source.header_error(
                            line,
                            key,
                            quoted(value),
                            "`start`, `middle` or `end`: which moment of its interval a time names",
                            "write one of these",
                        ));
                    }
                });
            }
            "missing" => self.missing.extend(
                value
                    .split(|b| matches!(b, b' ' | b',' | b';'))
                    .filter(|sign| !sign.is_empty())
                    .map(<[u8]>::to_vec),
            ),
            "wind_height_m" => self.wind_height_m = Some(number(crate::wind::HEIGHT)?),
            "interval_minutes" => {
                let minutes = number((1.0, 60.0, "minutes"))?;
                self.interval_minutes = Some(
                    (1..=60_u32)
                        .filter(|m| 60 % m == 0)
                        .find(|&m| (f64::from(m) - minutes).abs() < f64::EPSILON)
                        .ok_or_else(|| {
                            source.header_error(
                                line,
                                key,
                                quoted(value),
                                super::INTERVALS,
                                "correct the value",
                            )
                        })?,
                );
            }
            NORMALS => {
                let known = |name: &str| {
                    value_text
                        .split(|c: char| !c.is_alphanumeric())
                        .any(|word| word.eq_ignore_ascii_case(name))
                };
                self.normals = Some(Known {
                    sun: known(SUN),
                    moisture: known(MOISTURE),
                    wind: known(WIND),
                });
            }
            _ => {
                self.radiation_shift_minutes = number((-180.0, 180.0, "minutes"))?;
            }
        }
        Ok(())
    }
}

/// A finite number, perhaps with a decimal comma.
pub(super) fn plain_number(cell: &[u8], decimal_comma: bool) -> Option<f64> {
    if decimal_comma && cell.contains(&b',') {
        return crate::text::number(&super::dotted(cell)?, 0);
    }
    crate::text::number(cell, 0)
}

/// `42.1 N`, `85.3° W`: the letter is the sign. `None` when there is no such letter.
fn turned(value: &[u8], plus: &[u8], minus: &[u8], decimal_comma: bool) -> Option<f64> {
    let (last, rest) = value.split_last()?;
    let sign = if plus.contains(last) {
        1.0
    } else if minus.contains(last) {
        -1.0
    } else {
        return None;
    };
    let end = rest
        .iter()
        .rposition(u8::is_ascii_digit)
        .map_or(0, |at| at + 1);
    let degrees = plain_number(rest[..end].trim_ascii(), decimal_comma)?;
    (degrees >= 0.0).then_some(sign * degrees)
}

fn within(
    value: f64,
    bounds: (f64, f64, &'static str),
    refuse: &impl Fn((f64, f64, &'static str)) -> Result<f64, WeatherError>,
) -> Result<f64, WeatherError> {
    if (bounds.0..=bounds.1).contains(&value) {
        Ok(value)
    } else {
        refuse(bounds)
    }
}

/// `+05:45`, `UTC-7`: hours. `None` for what is to be read as a plain number of hours.
fn utc_offset_h(value: &[u8]) -> Option<f64> {
    let lower = value.to_ascii_lowercase();
    let rest = [&b"utc"[..], b"gmt"]
        .iter()
        .find_map(|sign| lower.strip_prefix(*sign));
    match rest.map(<[u8]>::trim_ascii) {
        Some([]) => Some(0.0),
        Some(rest) => offset_minutes(rest).map(|minutes| f64::from(minutes) / 60.0),
        None if value.contains(&b':') => {
            offset_minutes(value).map(|minutes| f64::from(minutes) / 60.0)
        }
        None => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn head(lines: &[&str]) -> Result<Head, WeatherError> {
        let source = Source::new(b"", "x");
        let mut head = Head::default();
        for (i, line) in lines.iter().enumerate() {
            if let Some((bare, value)) = pair(line.as_bytes()) {
                head.take(&source, i + 1, &bare, value, true)?;
            }
        }
        Ok(head)
    }

    #[test]
    fn lines_are_read_as_people_and_spreadsheets_write_them() {
        let head = head(&[
            "# place: Elmwater Bend, by the mill;;;",
            "\"# latitude_deg: 42,5\";;",
            "#Longitude = 85.25° W",
            "altitude;;",
            "# altitude: 100 ft",
            "# utc_offset_h: UTC-05:30",
            "# typical: Yes",
            "# time: end of the interval",
            "# missing: -999 x",
            "# measured by hand",
            "# remark: nothing odd",
            "wind_height_m: 2",
            "# interval_minutes: 15",
        ])
        .expect("a head");
        assert_eq!(head.place, "Elmwater Bend, by the mill");
        assert_eq!(head.latitude_deg, Some(42.5));
        assert_eq!(head.longitude_deg, Some(-85.25));
        assert!((head.altitude_m.expect("altitude") - 30.48).abs() < 1e-12);
        assert_eq!(head.utc_offset_h, Some(-5.5));
        assert!(head.typical);
        assert_eq!(head.label, Some(Label::End));
        assert_eq!(head.missing, [b"-999".to_vec(), b"x".to_vec()]);
        assert_eq!(head.wind_height_m, Some(2.0));
        assert_eq!(head.interval_minutes, Some(15));
    }

    #[test]
    fn wrong_values_and_slips_are_told() {
        for (line, part) in [
            ("# latitude_deg: 95", "-90 to 90"),
            ("# latitude_deg: 95 N", "-90 to 90"),
            ("# lattitude_deg: 42", "`latitude_deg`"),
            ("# utc_offest_h: 1", "`utc_offset_h`"),
            ("# altitude: 853", "altitude_ft"),
            ("# typical: maybe", "`yes`"),
            ("# time: noon", "`start`, `middle` or `end`"),
            ("# wind_height_m: 0", "1 to 100"),
            ("# interval_minutes: 7", "60, 30"),
            ("# utc_offset_h: 22", "-12 to 14"),
        ] {
            let error = head(&[line]).expect_err(line).to_string();
            assert!(error.contains(part), "{line}: {error}");
        }
    }
}
