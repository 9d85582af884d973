//! What can be wrong with the input of this crate.

use thiserror::Error;

/// What is wrong, and what is allowed.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum SolarError {
    /// An azimuth of an obstruction is not a compass direction.
    #[error("obstruction {index}: azimuth {azimuth_deg}° is not within 0 to 360°")]
    Azimuth {
        /// Position in the list, from 0.
        index: usize,
        /// What was found.
        azimuth_deg: f64,
    },
    /// An obstruction has no width.
    #[error(
        "obstruction {index}: it begins and ends at {azimuth_deg}°; write 0 to 360 for one all around"
    )]
    NoWidth {
        /// Position in the list, from 0.
        index: usize,
        /// What was found.
        azimuth_deg: f64,
    },
    /// The top of an obstruction is not between horizon and zenith.
    #[error("obstruction {index}: elevation {elevation_deg}° is not within 0 to 90°")]
    Elevation {
        /// Position in the list, from 0.
        index: usize,
        /// What was found.
        elevation_deg: f64,
    },
    /// An opacity is not a fraction.
    #[error("obstruction {index}: opacity {opacity_frac} is not within 0 (clear) to 1 (solid)")]
    Opacity {
        /// Position in the list, from 0.
        index: usize,
        /// What was found.
        opacity_frac: f64,
    },
}
