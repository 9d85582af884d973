//! The lines `# key: value` above a climate table.

use swimdays_quantity::Kind;

use super::names::{bare, of};
use crate::Place;
use crate::error::WeatherError;
use crate::text::{Source, quoted};

/// What the head says; what it does not say is `None`.
#[derive(Debug, Default)]
pub(super) struct Head {
    name: String,
    latitude_deg: Option<f64>,
    longitude_deg: Option<f64>,
    altitude_m: Option<f64>,
    utc_offset_h: Option<f64>,
    wind_height_m: Option<f64>,
}

/// Keys, other spellings, and an example for messages.
const KEYS: [(&str, &[&str]); 7] = [
    ("place", &["name", "station"]),
    ("latitude_deg", &["latitude", "lat"]),
    ("longitude_deg", &["longitude", "lon", "long"]),
    ("altitude_m", &["elevation_m", "altitude", "elevation"]),
    ("altitude_ft", &["elevation_ft"]),
    ("utc_offset_h", &["utc_offset", "time_zone", "timezone"]),
    ("wind_height_m", &["wind_height"]),
];

impl Head {
    /// Takes in a line, if it is one of the head or a remark. `false`: it is something else.
    pub(super) fn take(
        &mut self,
        source: &Source<'_>,
        line: usize,
        text: &str,
    ) -> Result<bool, WeatherError> {
        let text = text.trim_matches(['"', ',', ';', '\t', ' ']);
        let marked = text.starts_with('#');
        let Some((key, value)) = text.trim_start_matches(['#', ' ']).split_once([':', '=']) else {
            return Ok(marked);
        };
        let value = value.trim_matches(['"', ',', ';', '\t', ' ']);
        let bare = bare(key);
        let known = KEYS
            .iter()
            .find(|(key, others)| *key == bare || others.contains(&bare.as_str()))
            .map(|(key, _)| *key);
        let Some(key) = known else {
            if let Some((key, _)) = KEYS
                .iter()
                .find(|(key, _)| bare.len() > 5 && strsim::damerau_levenshtein(&bare, key) <= 2)
            {
                return Err(source.header_error(
                    line,
                    &bare,
                    "an unknown key",
                    &format!("`{key}`, or other words"),
                    &format!("write `{key}` if that is meant, or reword the remark"),
                ));
            }
            return Ok(marked);
        };
        let number = |low: f64, high: f64, unit: &str| {
            number(value)
                .filter(|v| (low..=high).contains(v))
                .ok_or_else(|| {
                    source.header_error(
                        line,
                        key,
                        quoted(value.as_bytes()),
                        &format!("a number from {low} to {high} ({unit})"),
                        "correct the value",
                    )
                })
        };
        match key {
            "place" => value.clone_into(&mut self.name),
            "latitude_deg" => {
                self.latitude_deg = Some(number(-90.0, 90.0, "degrees, south negative")?);
            }
            "longitude_deg" => {
                self.longitude_deg = Some(number(-180.0, 180.0, "degrees, west negative")?);
            }
            "altitude_m" => self.altitude_m = Some(number(-450.0, 6000.0, "m above the sea")?),
            "altitude_ft" => {
                self.altitude_m = Some(of(
                    number(-1500.0, 19_700.0, "ft above the sea")?,
                    "ft",
                    Kind::Length,
                ));
            }
            "utc_offset_h" => {
                self.utc_offset_h = Some(number(
                    -12.0,
                    14.0,
                    "hours of standard time, west negative",
                )?);
            }
            _ => self.wind_height_m = Some(number(1.0, 100.0, "m above the ground")?),
        }
        Ok(true)
    }

    /// The place, when all of it is said.
    pub(super) fn place(&self, source: &Source<'_>, line: usize) -> Result<Place, WeatherError> {
        let needed = [
            (self.latitude_deg, "latitude_deg", "41.2"),
            (self.longitude_deg, "longitude_deg", "-87.9"),
            (self.altitude_m, "altitude_m", "190"),
            (self.utc_offset_h, "utc_offset_h", "-6"),
        ];
        let missing: Vec<&(Option<f64>, &str, &str)> = needed
            .iter()
            .filter(|(value, ..)| value.is_none())
            .collect();
        if let (Some(latitude_deg), Some(longitude_deg), Some(altitude_m), Some(utc_offset_h)) = (
            self.latitude_deg,
            self.longitude_deg,
            self.altitude_m,
            self.utc_offset_h,
        ) {
            return Ok(Place {
                name: self.name.clone(),
                latitude_deg,
                longitude_deg,
                utc_offset_h,
                altitude_m,
            });
        }
        let names: Vec<String> = missing
            .iter()
            .map(|(_, key, _)| format!("`{key}`"))
            .collect();
        let lines: Vec<String> = missing
            .iter()
            .map(|(_, key, example)| format!("`# {key}: {example}`"))
            .collect();
        Err(source.header_error(
            line,
            "head",
            format!("no {}", names.join(", no ")),
            &format!("lines such as {}", lines.join(", ")),
            "write them above the row of names",
        ))
    }

    /// Wind at 10 m over wind at the height it was measured at.
    ///
    /// `ln(67.8 × 10 − 5.42)/ln(67.8 z − 5.42)`. Source: FAO Irrigation and Drainage Paper 56, equation 47, used twice.
    pub(super) fn wind_factor(&self) -> f64 {
        let log = |height_m: f64| (67.8 * height_m - 5.42).ln();
        self.wind_height_m
            .map_or(1.0, |height_m| log(10.0) / log(height_m))
    }
}

/// A number, perhaps with a decimal comma, or with a letter for its side of the world.
fn number(value: &str) -> Option<f64> {
    let plain = value.replace(['−', '–'], "-").replace(',', ".");
    let plain = plain
        .trim_start_matches("UTC")
        .trim_end_matches(['°', ' '])
        .trim();
    if let Some(value) = crate::text::number(plain.as_bytes(), 0) {
        return Some(value);
    }
    let sign = match plain.chars().last()?.to_ascii_uppercase() {
        'N' | 'E' => 1.0,
        'S' | 'W' => -1.0,
        _ => return None,
    };
    let digits = plain[..plain.len() - 1].trim_end_matches(['°', ' ']);
    crate::text::number(digits.as_bytes(), 0)
        .filter(|v| *v >= 0.0)
        .map(|v| sign * v)
}
