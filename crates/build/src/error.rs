//! What cannot be built, and what would.

use swimdays_quantity::Units;

use crate::{running, tape};

/// Why something cannot be built as described. Every message ends with what would work.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum BuildError {
    /// A number outside what makes sense.
    OutOfRange {
        /// Which one.
        what: &'static str,
        /// What was given, SI.
        found: f64,
        /// What is allowed and what to do.
        allowed: String,
    },
    /// Rows closer than the tube is wide.
    RowsOverlap {
        /// Distance between rows, m.
        pitch_m: f64,
        /// Outside diameter, m.
        outer_diameter_m: f64,
    },
    /// The tube would have to bend more tightly than it can.
    Kinks {
        /// Where.
        place: &'static str,
        /// Radius that the layout asks for, m.
        radius_m: f64,
        /// Radius that the tube can take, m.
        least_m: f64,
        /// What would work.
        instead: String,
    },
    /// Not even the smallest such layout fits.
    BoardTooSmall {
        /// What was to be laid.
        what: &'static str,
        /// Side that is too short, m.
        side_m: f64,
        /// What it must at least be, m.
        needed_m: f64,
        /// What would work.
        instead: String,
    },
    /// Less than half of the tube finds a place.
    LittleFits {
        /// What lies there, m.
        fits_m: f64,
        /// Wanted, m.
        wanted_m: f64,
        /// Where: the board's or the deck's sides, m.
        sides_m: (f64, f64),
        /// How many boards there are of these sides.
        boards: usize,
        /// Smallest radius of the tube, m.
        least_m: f64,
        /// What would work, with its keys.
        instead: String,
    },
    /// Less tube wanted than the shortest such layout takes.
    WantedTooShort {
        /// Wanted, m.
        wanted_m: f64,
        /// The shortest, m.
        least_m: f64,
    },
    /// A part longer than anything it could be cut from.
    PartTooLong {
        /// Name of the part.
        part: String,
        /// Its length, m.
        part_m: f64,
        /// Longest stock, m.
        stock_m: f64,
    },
    /// A rectangle larger than any sheet.
    PartTooLarge {
        /// Name of the part.
        part: String,
        /// Its sides, m.
        part_m: (f64, f64),
    },
    /// Too steep to stand in the wind on its own footprint.
    NeedsStand {
        /// Its tilt, degrees.
        tilt_deg: f64,
        /// A depth to start from, m.
        usual_m: f64,
    },
    /// Nothing to cut from.
    NoStock {
        /// What is to be cut.
        what: &'static str,
    },
}

impl BuildError {
    /// The message, lengths in these units.
    #[must_use]
    pub fn told(&self, units: Units) -> String {
        let t = |m: f64| tape(m, units);
        match self {
            Self::OutOfRange {
                what,
                found,
                allowed,
            } => format!("{what}: found {found}; {allowed}"),
            Self::NeedsStand { tilt_deg, usual_m } => format!(
                "a board at {tilt_deg:.0} degrees tips over on its own footprint: write how deep its stand is, front to back, as \
                 build.stand_depth (for instance {}), or lay it flatter than {STEEPEST:.0} degrees",
                t(*usual_m),
                STEEPEST = crate::wind::STEEPEST_WITHOUT_STAND_DEG,
            ),
            Self::RowsOverlap {
                pitch_m,
                outer_diameter_m,
            } => format!(
                "rows {} apart, but the tube is {} wide: it would lie on itself; take at least {} (rows that touch)",
                t(*pitch_m),
                t(*outer_diameter_m),
                t(*outer_diameter_m)
            ),
            Self::Kinks {
                place,
                radius_m,
                least_m,
                instead,
            } => format!(
                "the tube kinks {place}: bent to a radius of {}, and it takes {} (to its middle); {instead}",
                t(*radius_m),
                t(*least_m)
            ),
            Self::BoardTooSmall {
                what,
                side_m,
                needed_m,
                instead,
            } => format!(
                "{what} does not fit: {} is there and at least {} is needed; {instead}",
                t(*side_m),
                t(*needed_m)
            ),
            Self::LittleFits {
                fits_m,
                wanted_m,
                sides_m,
                boards,
                least_m,
                instead,
            } => format!(
                "only {} of {} of tube fit on {boards} × {} × {}, bent to {} at least: less than half; {instead}",
                running(*fits_m, units),
                running(*wanted_m, units),
                t(sides_m.0),
                t(sides_m.1),
                t(*least_m)
            ),
            Self::WantedTooShort { wanted_m, least_m } => format!(
                "{} of tube is less than the shortest such layout takes ({}): take a smaller board, or rows in place of a spiral",
                t(*wanted_m),
                t(*least_m)
            ),
            Self::PartTooLong {
                part,
                part_m,
                stock_m,
            } => format!(
                "{part} is {} long and the longest piece sold is {}: join it from two, or name a longer one in the shop's list",
                t(*part_m),
                t(*stock_m)
            ),
            Self::PartTooLarge { part, part_m } => format!(
                "{part} ({} × {}) is larger than every sheet in the shop's list: make it from two boards, or name a larger sheet",
                t(part_m.0),
                t(part_m.1)
            ),
            Self::NoStock { what } => {
                format!("the shop's list has nothing to cut {what} from: name at least one size")
            }
        }
    }
}

impl std::fmt::Display for BuildError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.told(Units::Metric))
    }
}

impl std::error::Error for BuildError {}

/// Checks that a number lies between two ends.
pub(crate) fn within(
    what: &'static str,
    found: f64,
    low: f64,
    high: f64,
) -> Result<(), BuildError> {
    if found >= low && found <= high {
        return Ok(());
    }
    Err(BuildError::OutOfRange {
        what,
        found,
        allowed: format!("{low} to {high} is allowed"),
    })
}

/// A length in both systems, for advice that is written before the reader's units are known.
pub(crate) fn both(length_m: f64) -> String {
    format!(
        "{} ({})",
        tape(length_m, Units::Us),
        tape(length_m, Units::Metric)
    )
}
