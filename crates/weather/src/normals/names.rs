//! Names of the columns of a climate table, with the units that they end in.

use swimdays_quantity::{Kind, parse};

use super::cycle::month_days;

/// What a column of a climate table holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Quantity {
    Max,
    Min,
    Sun,
    Sunshine,
    DewPoint,
    Humidity,
    Wind,
    Rain,
    RainDays,
}

/// How a value becomes one in our own unit.
type Convert = fn(f64, usize) -> f64;

/// One quantity: its names, the first of which is printed, and its units.
struct Entry {
    quantity: Quantity,
    names: &'static [&'static str],
    units: &'static [(&'static str, Convert)],
}

/// A number in a unit of the quantity crate, which has the factors, in the SI unit of its kind; °C and kWh.
pub(super) fn of(number: f64, unit: &str, kind: Kind) -> f64 {
    parse(&format!("{number} {unit}"), kind).unwrap_or(f64::NAN)
}

const CELSIUS: [(&str, Convert); 4] = [
    ("c", |v, _| v),
    ("f", |v, _| of(v, "F", Kind::Temperature)),
    ("deg_c", |v, _| v),
    ("deg_f", |v, _| of(v, "F", Kind::Temperature)),
];

const ENTRIES: [Entry; 9] = [
    Entry {
        quantity: Quantity::Max,
        names: &[
            "max",
            "maximum",
            "tmax",
            "t_max",
            "high",
            "daily_max",
            "mean_max",
            "mean_daily_max",
            "mean_daily_maximum",
            "average_high",
            "avg_high",
            "mean_maximum",
            "temp_max",
            "max_temp",
        ],
        units: &CELSIUS,
    },
    Entry {
        quantity: Quantity::Min,
        names: &[
            "min",
            "minimum",
            "tmin",
            "t_min",
            "low",
            "daily_min",
            "mean_min",
            "mean_daily_min",
            "mean_daily_minimum",
            "average_low",
            "avg_low",
            "mean_minimum",
            "temp_min",
            "min_temp",
        ],
        units: &CELSIUS,
    },
    Entry {
        quantity: Quantity::Sun,
        names: &[
            "sun",
            "ghi",
            "radiation",
            "solar_radiation",
            "global_radiation",
            "irradiation",
            "insolation",
        ],
        units: &[
            ("kwh_m2_day", |v, _| v),
            ("mj_m2_day", |v, _| of(v, "MJ", Kind::Energy)),
            ("w_m2", |v, _| v * 24.0 / 1000.0),
            ("kwh_m2_month", |v, m| v / month_days(m)),
            ("mj_m2_month", |v, m| {
                of(v, "MJ", Kind::Energy) / month_days(m)
            }),
            ("kwh_m2_d", |v, _| v),
            ("mj_m2_d", |v, _| of(v, "MJ", Kind::Energy)),
        ],
    },
    Entry {
        quantity: Quantity::Sunshine,
        names: &[
            "sunshine",
            "sunshine_duration",
            "sun_hours",
            "bright_sunshine",
        ],
        units: &[
            ("h_day", |v, _| v),
            ("h_month", |v, m| v / month_days(m)),
            ("hours_day", |v, _| v),
            ("hours_month", |v, m| v / month_days(m)),
        ],
    },
    Entry {
        quantity: Quantity::DewPoint,
        names: &["dew_point", "dewpoint", "dew", "mean_dew_point"],
        units: &CELSIUS,
    },
    Entry {
        quantity: Quantity::Humidity,
        names: &["humidity", "relative_humidity", "rh", "mean_humidity"],
        units: &[("percent", |v, _| v / 100.0), ("frac", |v, _| v)],
    },
    Entry {
        quantity: Quantity::Wind,
        names: &["wind", "wind_speed", "mean_wind", "mean_wind_speed"],
        units: &[
            ("m_s", |v, _| v),
            ("km_h", |v, _| of(v, "km/h", Kind::Speed)),
            ("mph", |v, _| of(v, "mph", Kind::Speed)),
            ("kn", |v, _| of(v, "kn", Kind::Speed)),
            ("ms", |v, _| v),
            ("kmh", |v, _| of(v, "km/h", Kind::Speed)),
            ("kph", |v, _| of(v, "km/h", Kind::Speed)),
            ("knots", |v, _| of(v, "kn", Kind::Speed)),
            ("kt", |v, _| of(v, "kn", Kind::Speed)),
        ],
    },
    Entry {
        quantity: Quantity::Rain,
        names: &[
            "rain",
            "rainfall",
            "precipitation",
            "precip",
            "mean_rainfall",
        ],
        units: &[
            ("mm", |v, _| v),
            ("in", |v, _| 1000.0 * of(v, "in", Kind::Length)),
            ("cm", |v, _| v * 10.0),
            ("inch", |v, _| 1000.0 * of(v, "in", Kind::Length)),
            ("inches", |v, _| 1000.0 * of(v, "in", Kind::Length)),
        ],
    },
    Entry {
        quantity: Quantity::RainDays,
        names: &[
            "rain_days",
            "rainy_days",
            "wet_days",
            "precipitation_days",
            "days_with_rain",
            "mean_rainy_days",
        ],
        units: &[],
    },
];

/// How many units of a quantity are printed; the rest are other spellings.
const PRINTED: usize = 3;

impl Quantity {
    fn entry(self) -> &'static Entry {
        ENTRIES
            .iter()
            .find(|entry| entry.quantity == self)
            .unwrap_or(&ENTRIES[0])
    }

    /// Whether both say the same thing in two ways, of which a table may have one.
    pub(super) fn says_of(self, other: Self) -> bool {
        matches!(
            (self, other),
            (Self::Sun, Self::Sunshine)
                | (Self::Sunshine, Self::Sun)
                | (Self::DewPoint, Self::Humidity)
                | (Self::Humidity, Self::DewPoint)
        )
    }

    /// What it is in words.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Max => "mean daily maximum",
            Self::Min => "mean daily minimum",
            Self::Sun => "daily sun",
            Self::Sunshine => "hours of sunshine",
            Self::DewPoint => "dew point",
            Self::Humidity => "relative humidity",
            Self::Wind => "mean wind",
            Self::Rain => "rain",
            Self::RainDays => "rain days",
        }
    }

    /// The names that may stand in a table, for messages.
    pub(super) fn allowed(self) -> String {
        let entry = self.entry();
        let name = entry.names[0];
        if entry.units.is_empty() {
            return format!("`{name}`");
        }
        let named: Vec<String> = entry
            .units
            .iter()
            .take(if self == Self::Wind || self == Self::Sun {
                PRINTED + 1
            } else {
                2
            })
            .map(|(unit, _)| format!("`{name}_{unit}`"))
            .collect();
        named.join(", ")
    }
}

/// What a name says.
#[derive(Clone, Copy, Debug)]
pub(super) enum Name {
    /// A quantity in a unit.
    Of(Quantity, Convert),
    /// A quantity that does not say its unit.
    NoUnit(Quantity),
    /// Nothing known.
    Unknown,
}

/// Reads a bare name.
pub(super) fn name(bare: &str) -> Name {
    let mut without_unit = None;
    for entry in &ENTRIES {
        for known in entry.names {
            let Some(rest) = bare.strip_prefix(known) else {
                continue;
            };
            if rest.is_empty() {
                if entry.units.is_empty() {
                    return Name::Of(entry.quantity, |v, _| v);
                }
                without_unit = Some(entry.quantity);
                continue;
            }
            let Some(unit) = rest.strip_prefix('_') else {
                continue;
            };
            if let Some((_, convert)) = entry.units.iter().find(|(known, _)| *known == unit) {
                return Name::Of(entry.quantity, *convert);
            }
        }
    }
    without_unit.map_or(Name::Unknown, Name::NoUnit)
}

/// The full name that a bare one is misspelt from.
pub(super) fn nearest(bare: &str) -> Option<String> {
    ENTRIES
        .iter()
        .flat_map(|entry| {
            entry.names.iter().flat_map(move |known| {
                let bare_too = entry.units.is_empty().then(|| (*known).to_owned());
                entry
                    .units
                    .iter()
                    .map(move |(unit, _)| format!("{known}_{unit}"))
                    .chain(bare_too)
            })
        })
        .map(|full| (strsim::damerau_levenshtein(bare, &full), full))
        // Two slips (common practice, no source).
        .filter(|(distance, full)| *distance <= 2 && full.len() > 4)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, full)| full)
}

/// Small letters and digits joined by underscores: `Max (°C)` is `max_c`, `Wind km/h` is `wind_km_h`.
pub(super) fn bare(cell: &str) -> String {
    let mut out = String::new();
    let mut apart = false;
    for c in cell.chars() {
        let c = c.to_ascii_lowercase();
        let text = match c {
            '%' => "percent",
            '²' => "2",
            c if c.is_ascii_alphanumeric() => "",
            _ => {
                apart = true;
                continue;
            }
        };
        if (apart || c == '%') && !out.is_empty() {
            out.push('_');
        }
        apart = false;
        if text.is_empty() {
            out.push(c);
        } else {
            out.push_str(text);
        }
    }
    out
}

/// Month 0 to 11 by number or English name or its first three letters.
pub(super) fn month(cell: &str) -> Option<usize> {
    let bare = bare(cell);
    if let Ok(number) = bare.parse::<usize>() {
        return (1..=12).contains(&number).then(|| number - 1);
    }
    super::check::MONTHS.iter().position(|month| {
        let month = month.to_ascii_lowercase();
        bare.len() >= 3 && (month.starts_with(&bare) || bare == "sept" && month == "september")
    })
}

/// Whether a row or column sums up the year.
pub(super) fn is_year(cell: &str) -> bool {
    matches!(
        bare(cell).as_str(),
        "year" | "annual" | "total" | "mean" | "average" | "annual_mean"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_read_as_people_write_them() {
        for (written, read) in [
            ("Max (°C)", "max_c"),
            ("Wind km/h", "wind_km_h"),
            ("Sun kWh/m²/day", "sun_kwh_m2_day"),
            ("Humidity %", "humidity_percent"),
            ("RH%", "rh_percent"),
            ("  rain_mm ", "rain_mm"),
        ] {
            assert_eq!(bare(written), read);
            assert!(matches!(name(read), Name::Of(..)), "{read}");
        }
        assert!(matches!(name("max"), Name::NoUnit(Quantity::Max)));
        assert!(matches!(
            name("sun_hours_h_day"),
            Name::Of(Quantity::Sunshine, _)
        ));
        assert!(matches!(name("snow_cm"), Name::Unknown));
        assert_eq!(nearest("dew_piont_c").as_deref(), Some("dew_point_c"));
        assert_eq!(nearest("snow_depth_cm"), None);
    }

    #[test]
    fn units_are_converted() {
        let value = |written: &str, v: f64| match name(written) {
            Name::Of(_, convert) => convert(v, 0),
            other => panic!("{written}: {other:?}"),
        };
        for (written, v, si) in [
            ("max_f", 212.0, 100.0),
            ("sun_mj_m2_day", 18.0, 5.0),
            ("sun_w_m2", 250.0, 6.0),
            ("sunshine_h_month", 155.0, 5.0),
            ("wind_kn", 10.0, 5.144_444),
            ("wind_mph", 10.0, 4.4704),
            ("wind_km_h", 36.0, 10.0),
            ("min_f", -40.0, -40.0),
            ("sun_mj_m2_month", 18.0 * 31.0, 5.0),
            ("rain_in", 2.0, 50.8),
            ("humidity_percent", 55.0, 0.55),
        ] {
            assert!((value(written, v) - si).abs() < 1e-6, "{written}");
        }
    }

    #[test]
    fn months_by_number_and_name() {
        for (written, m) in [
            ("1", 0),
            ("Sept", 8),
            ("sep.", 8),
            ("DECEMBER", 11),
            ("05", 4),
        ] {
            assert_eq!(month(written), Some(m), "{written}");
        }
        for bad in ["0", "13", "ju", "", "year"] {
            assert_eq!(month(bad), None, "{bad}");
        }
        assert!(is_year("Year") && !is_year("May"));
    }
}
