//! What can be wrong with a written quantity.

use crate::Kind;

/// Why a text is not the quantity that was wanted. The sentence says what is wrong; [`QuantityError::advice`]
/// says what to write.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum QuantityError {
    /// Nothing was written.
    #[error("is empty, {wanted} is wanted")]
    Empty {
        /// What was wanted.
        wanted: Kind,
    },
    /// A number without a unit.
    #[error("needs a unit")]
    BareNumber {
        /// The number as written.
        number: String,
        /// What was wanted.
        wanted: Kind,
    },
    /// A number without a unit behind one that has it, such as "4 ft 6".
    #[error("has a number without its unit: `{number}`")]
    PartWithoutUnit {
        /// The number as written.
        number: String,
        /// What was wanted.
        wanted: Kind,
    },
    /// No number at the start.
    #[error("has no number where one must stand: `{text}`")]
    NoNumber {
        /// The text from where the number should be.
        text: String,
        /// What was wanted.
        wanted: Kind,
    },
    /// A comma that does not stand between thousands.
    #[error("has a comma that does not separate thousands")]
    DecimalComma {
        /// The number as it should probably be written.
        instead: String,
    },
    /// A unit that is not in the table.
    #[error("has a unit that is not known: `{unit}`")]
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// What was wanted.
        wanted: Kind,
    },
    /// A unit of another kind.
    #[error("is {found}, {wanted} is wanted")]
    WrongKind {
        /// What the unit measures.
        found: Kind,
        /// What was wanted.
        wanted: Kind,
    },
    /// A price or cost without a currency.
    #[error("has no currency")]
    NoCurrency {
        /// What was wanted.
        wanted: Kind,
    },
    /// Several parts that do not add up to one quantity, such as "6 in 12 ft".
    #[error("has parts that do not belong together")]
    Parts {
        /// What was wanted.
        wanted: Kind,
    },
    /// Not a finite number.
    #[error("is too large to be meant, or no number at all")]
    NotFinite,
    /// A time of day, a date, a month or a direction that cannot be read.
    #[error("is not {wanted}")]
    Unreadable {
        /// What was wanted, with its article.
        wanted: &'static str,
        /// What may be written.
        allowed: &'static str,
    },
    /// A day or a clock time that does not exist.
    #[error("does not exist: {why}")]
    NoSuchTime {
        /// Why not.
        why: &'static str,
    },
    /// Could be read in more than one way.
    #[error("can be read in two ways")]
    Ambiguous {
        /// What to write to be understood.
        instead: String,
    },
}

impl QuantityError {
    /// What to write instead, as a sentence without its full stop.
    #[must_use]
    pub fn advice(&self) -> String {
        match self {
            Self::BareNumber { number, wanted } => {
                let choices: Vec<String> = wanted
                    .usual_units()
                    .iter()
                    .take(3)
                    .map(|unit| format!("\"{number} {unit}\""))
                    .collect();
                format!("write {}", or_list(&choices))
            }
            Self::DecimalComma { instead } | Self::Ambiguous { instead } => {
                format!("write {instead}")
            }
            Self::UnknownUnit { wanted, .. } => {
                let units: Vec<String> = wanted
                    .usual_units()
                    .iter()
                    .map(|u| (*u).to_owned())
                    .collect();
                format!("use {}", or_list(&units))
            }
            Self::PartWithoutUnit { wanted, .. } => {
                format!(
                    "write a unit behind each number, like {}",
                    wanted.examples()
                )
            }
            Self::NoNumber { text, .. } if text.starts_with(['"', '\'']) => {
                "leave out the quotes inside the quotes".to_owned()
            }
            Self::NoCurrency { wanted }
            | Self::Empty { wanted }
            | Self::NoNumber { wanted, .. }
            | Self::WrongKind { wanted, .. }
            | Self::Parts { wanted } => format!("write it like {}", wanted.examples()),
            Self::Unreadable { allowed, .. } => format!("write it like {allowed}"),
            Self::NotFinite => "write an ordinary number".to_owned(),
            Self::NoSuchTime { .. } => {
                "write a time or day that the clock or calendar has".to_owned()
            }
        }
    }
}

/// "a, b or c".
pub(crate) fn or_list(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}
