//! Lines `# key: value` above the names: what holds for the whole log.

use swimdays_quantity::{Kind, Units, parse};

use super::fault::{RowFault, quoted};
use super::stamp::Order;

/// Keys that are read; other lines behind # are words.
const KEYS: [&str; 6] = ["year", "bucket", "thermometer", "clock", "dates", "units"];

/// What the lines say.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Head {
    pub(super) year: Option<i32>,
    pub(super) bucket_m3: Option<f64>,
    pub(super) one_thermometer: Option<bool>,
    /// The clock that was read shows standard time all year.
    pub(super) standard_clock: bool,
    pub(super) order: Option<Order>,
    pub(super) units: Option<Units>,
}

impl Head {
    /// Takes in one line behind `#`.
    pub(super) fn line(&mut self, line: usize, text: &str) -> Option<RowFault> {
        let (key, value) = text.split_once(':')?;
        let key = key.trim().to_lowercase();
        let value = value.trim();
        // What stands in brackets behind the value explains it.
        let value = value.split('(').next().unwrap_or(value).trim();
        if !KEYS.contains(&key.as_str()) {
            let near = KEYS
                .iter()
                .find(|known| key.len() > 3 && strsim::osa_distance(&key, known) == 1)?;
            let fault = RowFault::name(
                line,
                &key,
                "an unknown key".into(),
                &format!("`{near}`, which may be meant"),
                "correct it; lines behind # without a key are yours",
            );
            return Some(fault);
        }
        let (ok, allowed) = self.put(&key, value);
        (!ok).then(|| {
            RowFault::cell(
                line,
                &key,
                quoted(value),
                allowed,
                "correct the line, or take it out",
            )
        })
    }

    fn put(&mut self, key: &str, value: &str) -> (bool, &'static str) {
        let word = value.to_lowercase();
        match key {
            "year" => {
                self.year = value.parse().ok().filter(|y| (1900..=2200).contains(y));
                (self.year.is_some(), "a year such as 2026")
            }
            "bucket" => {
                self.bucket_m3 = parse(value, Kind::Volume)
                    .ok()
                    .filter(|v| (1e-4..10.0).contains(v));
                (
                    self.bucket_m3.is_some(),
                    "what it holds, such as `5 gal` or `10 L`",
                )
            }
            "thermometer" | "thermometers" => {
                self.one_thermometer = match word.as_str() {
                    "same" | "one" | "1" | "the same" => Some(true),
                    "two" | "different" | "2" | "several" | "not the same" => Some(false),
                    _ => None,
                };
                (
                    self.one_thermometer.is_some(),
                    "`same` (one read inlet and outlet) or `two`",
                )
            }
            "clock" => {
                self.standard_clock = word.starts_with("standard") || word == "winter";
                (
                    self.standard_clock || ["wall", "summer", "local"].contains(&word.as_str()),
                    "`wall` or `standard`",
                )
            }
            "dates" => {
                self.order = match word.as_str() {
                    "month first" | "month/day" | "m/d" => Some(Order::MonthFirst),
                    "day first" | "day/month" | "d/m" => Some(Order::DayFirst),
                    _ => None,
                };
                (self.order.is_some(), "`month first` or `day first`")
            }
            _ => {
                self.units = Units::from_name(&word);
                (self.units.is_some(), "`us` or `metric`")
            }
        }
    }
}
