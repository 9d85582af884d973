//! A sentence whose quantities are told in the units of the one who reads it.

use swimdays_quantity::{Kind, Units};

/// A piece of a sentence: words as they are, or a quantity in SI.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Quantity {
    /// °C, in whole degrees.
    Temperature(f64),
    /// K, in hundredths.
    Difference(f64),
    /// m, of what a hand spans.
    Thickness(f64),
    /// m/s, of water in a tube.
    TubeSpeed(f64),
}

/// A sentence for the builder, with its quantities.
///
/// ```
/// use swimdays_quantity::Units;
/// use swimdays_season::Words;
/// let words = Words::from("the tube stays firm up to ").temperature(60.0).and(" only");
/// // 60 · 1.8 + 32 = 140.
/// assert_eq!(words.in_units(Units::Us), "the tube stays firm up to 140 °F only");
/// assert_eq!(words.in_units(Units::Metric), "the tube stays firm up to 60 °C only");
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Words {
    /// What stands before each quantity, and the quantity.
    before: Vec<(String, Quantity)>,
    /// What stands behind the last.
    end: String,
}

impl Words {
    /// With further words.
    #[must_use]
    pub fn and(mut self, words: &str) -> Self {
        self.end.push_str(words);
        self
    }

    /// With a temperature, °C.
    #[must_use]
    pub fn temperature(self, celsius: f64) -> Self {
        self.with(Quantity::Temperature(celsius))
    }

    /// With a difference of temperatures, K.
    #[must_use]
    pub fn temperature_difference(self, kelvins: f64) -> Self {
        self.with(Quantity::Difference(kelvins))
    }

    /// With a thickness, m.
    #[must_use]
    pub fn thickness(self, metres: f64) -> Self {
        self.with(Quantity::Thickness(metres))
    }

    /// With the speed of water in a tube, m/s.
    #[must_use]
    pub fn tube_speed(self, m_s: f64) -> Self {
        self.with(Quantity::TubeSpeed(m_s))
    }

    fn with(mut self, quantity: Quantity) -> Self {
        let words = std::mem::take(&mut self.end);
        self.before.push((words, quantity));
        self
    }

    /// The sentence in these units.
    #[must_use]
    pub fn in_units(&self, units: Units) -> String {
        let mut out = String::new();
        for (words, quantity) in &self.before {
            out.push_str(words);
            out.push_str(&quantity.in_units(units));
        }
        out + &self.end
    }
}

impl Quantity {
    fn in_units(self, units: Units) -> String {
        match self {
            Self::Temperature(celsius) => units.format_temperature(celsius, 0),
            Self::Difference(kelvins) => units.format_temperature_difference(kelvins, 2),
            Self::Thickness(metres) => units.format_small_length(metres, 0),
            Self::TubeSpeed(m_s) => {
                let decimals = usize::from(units == Units::Metric);
                format!("{}/s", units.format(Kind::Length, m_s, decimals))
            }
        }
    }
}

impl From<String> for Words {
    fn from(end: String) -> Self {
        Self {
            before: Vec::new(),
            end,
        }
    }
}

impl From<&str> for Words {
    fn from(words: &str) -> Self {
        words.to_owned().into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_are_told_in_the_readers_units() {
        let words = Words::from(String::from("ice "))
            .thickness(0.27)
            .and(", water ")
            .tube_speed(3.05)
            .and(", ")
            .temperature_difference(0.5)
            .and(".");
        // By hand: 0.27/0.0254 = 10.6 in; 3.05/0.3048 = 10.0 ft; 0.5 · 1.8 = 0.9.
        assert_eq!(
            words.in_units(Units::Us),
            "ice 11 in, water 10 ft/s, 0.90 °F."
        );
        let metric = words.in_units(Units::Metric);
        assert!(
            metric.starts_with("ice 270 mm, water 3.0 m/s, 0.50 "),
            "{metric}"
        );
        assert_eq!(Words::from("plain").in_units(Units::Us), "plain");
    }
}
