//! Which values a sweep takes, and which combinations of them: text in, text out.
//!
//! A value is whatever `--set` takes. Several are written as a list, `none, bubble`, or evenly spaced, `10..100 ft2 in 10 values`.

/// Most values of one key.
pub const MOST_VALUES: usize = 10_000;

/// Most combinations.
pub const MOST_COMBINATIONS: usize = 1_000_000;

/// What may be written, for messages.
pub const VALUES_FORMS: &str = "a list, such as \"none,bubble\" (\"9,700 gal; 12,000 gal\" where a value has a comma), or even steps, such as \"10..100 ft2 in 10 values\"";

/// Decimals of evenly spaced values: finer than anyone measures.
const DECIMALS: usize = 6;

/// Why something is no sweep.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum SweepError {
    /// No `=`, no path or no values.
    #[error(
        "--vary {found}: is not path=values; write it like heater.board.area=\"10..100 ft2 in 10 values\""
    )]
    Form {
        /// What was written.
        found: String,
    },
    /// Values that cannot be read.
    #[error("--vary {path}={found}: {problem}; allowed is {VALUES_FORMS}")]
    Values {
        /// The key.
        path: String,
        /// What was written.
        found: String,
        /// What is wrong with it.
        problem: String,
    },
    /// The same key twice.
    #[error("--vary {path} is given twice: write all its values in one")]
    Twice {
        /// The key.
        path: String,
    },
    /// Too many.
    #[error("{found} combinations are too many: at most {MOST_COMBINATIONS}; take fewer values")]
    TooMany {
        /// How many.
        found: String,
    },
}

/// A key and the values it takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Vary {
    /// Path as for `--set`.
    pub path: String,
    /// As written, without space around them; at least one.
    pub values: Vec<String>,
}

impl Vary {
    /// From `path=values`.
    ///
    /// # Errors
    /// [`SweepError`] when it is not of that form.
    pub fn parse(text: &str) -> Result<Self, SweepError> {
        let form = || SweepError::Form {
            found: text.to_owned(),
        };
        let (path, values) = text.split_once('=').ok_or_else(form)?;
        let path = path.trim();
        if path.is_empty() {
            return Err(form());
        }
        let wrong = |problem: String| SweepError::Values {
            path: path.to_owned(),
            found: values.to_owned(),
            problem,
        };
        // Two dots also stand in the path of a file.
        let steps = values.split_once("..").is_some_and(|(from, _)| {
            from.trim().parse::<f64>().is_ok() || values.trim_end().ends_with("values")
        });
        let values = if steps {
            spaced(values).map_err(wrong)?
        } else {
            listed(values).map_err(wrong)?
        };
        Ok(Self {
            path: path.to_owned(),
            values,
        })
    }
}

/// `none, bubble`; semicolons part the values where there are any.
fn listed(text: &str) -> Result<Vec<String>, String> {
    let mark = if text.contains(';') { ';' } else { ',' };
    let values: Vec<String> = text.split(mark).map(|v| v.trim().to_owned()).collect();
    if values.iter().any(String::is_empty) {
        return Err("a value is empty".into());
    }
    for (at, value) in values.iter().enumerate() {
        if values[..at].contains(value) {
            return Err(format!("{value} stands there twice"));
        }
    }
    if values.len() > MOST_VALUES {
        return Err(format!("{} values, at most {MOST_VALUES}", values.len()));
    }
    Ok(values)
}

/// `10..100 ft2 in 10 values`: both ends and what lies evenly between them.
fn spaced(text: &str) -> Result<Vec<String>, String> {
    let form = "even steps are written FROM..TO UNIT in N values";
    let (from, rest) = text.split_once("..").ok_or(form)?;
    let (to_and_unit, count) = rest
        .rsplit_once(" in ")
        .ok_or_else(|| format!("{form}: \" in N values\" is missing"))?;
    let count = count
        .trim()
        .strip_suffix("values")
        .ok_or_else(|| format!("{form}: \"values\" is missing at the end"))?;
    let count: usize = count
        .trim()
        .parse()
        .map_err(|_| format!("how many values is a whole number, not {:?}", count.trim()))?;
    if !(2..=MOST_VALUES).contains(&count) {
        return Err(format!("{count} values: 2 to {MOST_VALUES}"));
    }
    let to_and_unit = to_and_unit.trim();
    let digits = to_and_unit
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+')))
        .unwrap_or(to_and_unit.len());
    let (to, unit) = to_and_unit.split_at(digits);
    let unit = unit.trim();
    let number = |text: &str| -> Result<f64, String> {
        let value: f64 = text
            .trim()
            .parse()
            .map_err(|_| format!("{:?} is no plain number", text.trim()))?;
        if value.is_finite() {
            Ok(value)
        } else {
            Err(format!("{:?} is no plain number", text.trim()))
        }
    };
    let (from, to) = (number(from)?, number(to)?);
    if (to - from).abs() < f64::EPSILON {
        return Err("both ends are the same".into());
    }
    #[allow(clippy::cast_precision_loss, reason = "at most some thousand values")]
    let values: Vec<String> = (0..count)
        .map(|n| {
            let share = n as f64 / (count - 1) as f64;
            let value = plain(from + (to - from) * share);
            if unit.is_empty() {
                value
            } else {
                format!("{value} {unit}")
            }
        })
        .collect();
    if values.windows(2).any(|pair| pair[0] == pair[1]) {
        return Err(format!("steps finer than {DECIMALS} decimals"));
    }
    Ok(values)
}

/// A number without needless decimals.
fn plain(value: f64) -> String {
    let text = format!("{value:.DECIMALS$}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0" } else { text }.to_owned()
}

/// A sweep: every combination of all values, the last key running fastest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sweep {
    /// The keys.
    pub varied: Vec<Vary>,
    combinations: usize,
}

impl Sweep {
    /// From what was given for `--vary`.
    ///
    /// # Errors
    /// [`SweepError`]: the first thing wrong.
    pub fn parse(given: &[String]) -> Result<Self, SweepError> {
        let varied: Vec<Vary> = given
            .iter()
            .map(|text| Vary::parse(text))
            .collect::<Result<_, _>>()?;
        for (at, one) in varied.iter().enumerate() {
            if varied[..at].iter().any(|other| other.path == one.path) {
                return Err(SweepError::Twice {
                    path: one.path.clone(),
                });
            }
        }
        let combinations = varied
            .iter()
            .try_fold(1_usize, |product, one| {
                product.checked_mul(one.values.len())
            })
            .filter(|n| *n <= MOST_COMBINATIONS)
            .ok_or_else(|| SweepError::TooMany {
                found: varied
                    .iter()
                    .map(|one| one.values.len().to_string())
                    .collect::<Vec<_>>()
                    .join(" × "),
            })?;
        Ok(Self {
            varied,
            combinations,
        })
    }

    /// How many combinations there are; one without any key.
    #[must_use]
    pub fn len(&self) -> usize {
        self.combinations
    }

    /// Never: there is at least one combination.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.combinations == 0
    }

    /// The values of combination `at`, in the order of the keys.
    #[must_use]
    pub fn values(&self, at: usize) -> Vec<&str> {
        let mut rest = at;
        let mut values: Vec<&str> = self
            .varied
            .iter()
            .rev()
            .map(|one| {
                let value = &one.values[rest % one.values.len()];
                rest /= one.values.len();
                value.as_str()
            })
            .collect();
        values.reverse();
        values
    }

    /// Combination `at` as for `--set`.
    #[must_use]
    pub fn sets(&self, at: usize) -> Vec<String> {
        self.varied
            .iter()
            .zip(self.values(at))
            .map(|(one, value)| format!("{}={value}", one.path))
            .collect()
    }

    /// Which combinations belong to part `part` (from 1) of `parts`: stretches that follow one another.
    #[must_use]
    pub fn part(&self, part: usize, parts: usize) -> std::ops::Range<usize> {
        let end = |part: usize| {
            // In u128 so that no product overflows.
            let end = self.combinations as u128 * part as u128 / parts.max(1) as u128;
            usize::try_from(end).unwrap_or(self.combinations)
        };
        end(part.saturating_sub(1))..end(part)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(text: &str) -> Vec<String> {
        Vary::parse(text).unwrap_or_else(|e| panic!("{e}")).values
    }

    #[test]
    fn values_are_listed_or_spaced() {
        assert_eq!(values("pool.cover.kind=none, bubble"), ["none", "bubble"]);
        assert_eq!(
            values("pool.volume=9,700 gal; 12,000 gal"),
            ["9,700 gal", "12,000 gal"]
        );
        // By hand: 10 to 100 in ten values goes by tens; 0 to 1 in four by thirds.
        assert_eq!(
            values("heater.board.area=10..100 ft2 in 10 values"),
            [
                "10 ft2", "20 ft2", "30 ft2", "40 ft2", "50 ft2", "60 ft2", "70 ft2", "80 ft2",
                "90 ft2", "100 ft2"
            ]
        );
        assert_eq!(
            values("site.wind_at_water=0..1 in 4 values"),
            ["0", "0.333333", "0.666667", "1"]
        );
        assert_eq!(
            values("site.weather=../a.epw,../b.epw"),
            ["../a.epw", "../b.epw"]
        );
        assert_eq!(values("x=-1..1 C in 3 values"), ["-1 C", "0 C", "1 C"]);
        assert_eq!(
            values("x=90..0 deg in 3 values"),
            ["90 deg", "45 deg", "0 deg"]
        );
    }

    #[test]
    fn what_cannot_be_read_says_what_can() {
        for (text, says) in [
            ("pool.cover.kind", "is not path=values"),
            ("=a,b", "is not path=values"),
            ("x=a,,b", "a value is empty"),
            ("x=a,a", "stands there twice"),
            ("x=1..9 m", "\" in N values\" is missing"),
            ("x=1..9 m in 3", "\"values\" is missing"),
            ("x=1..9 m in some values", "whole number, not \"some\""),
            ("x=1..9 m in 1 values", "2 to 10000"),
            ("x=ten..9 m in 3 values", "\"ten\" is no plain number"),
            ("x=1.. in 3 values", "\"\" is no plain number"),
            ("x=3..3 m in 3 values", "both ends are the same"),
        ] {
            let error = Vary::parse(text).expect_err(text).to_string();
            assert!(error.contains(says), "{text}: {error}");
            assert!(error.contains("in 10 values"), "{text}: {error}");
        }
        let twice = Sweep::parse(&["x=1,2".to_owned(), "x=3".to_owned()]);
        assert!(matches!(twice, Err(SweepError::Twice { .. })), "{twice:?}");
        let many = vec![
            "a=1..2 in 9999 values".to_owned(),
            "b=1..2 in 9999 values".to_owned(),
        ];
        assert!(matches!(
            Sweep::parse(&many),
            Err(SweepError::TooMany { .. })
        ));
    }

    #[test]
    fn the_last_key_runs_fastest_and_parts_are_the_whole() {
        let sweep = Sweep::parse(&["a=1,2".to_owned(), "b=x,y,z".to_owned()])
            .unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(sweep.len(), 6);
        assert_eq!(sweep.values(0), ["1", "x"]);
        assert_eq!(sweep.values(2), ["1", "z"]);
        assert_eq!(sweep.values(3), ["2", "x"]);
        assert_eq!(sweep.sets(5), ["a=2", "b=z"]);
        for parts in 1..9 {
            let all: Vec<usize> = (1..=parts).flat_map(|p| sweep.part(p, parts)).collect();
            assert_eq!(all, [0, 1, 2, 3, 4, 5], "{parts}");
        }
    }
}
