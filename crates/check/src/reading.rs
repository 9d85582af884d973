//! The log once read: what was measured, when, and how well.

use chrono::NaiveDateTime;

/// One line of the log that could be read. Times are local standard time.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Line of the log, 1 = first.
    pub line: usize,
    /// When, local standard time.
    pub time: NaiveDateTime,
    /// Pool water, °C.
    pub water_c: Option<f64>,
    /// Water into the heater, °C.
    pub inlet_c: Option<f64>,
    /// Water out of the heater, °C.
    pub outlet_c: Option<f64>,
    /// Flow through the heater, m³/s.
    pub flow_m3_s: Option<f64>,
    /// Air in the shade, °C.
    pub air_c: Option<f64>,
    /// The pump pushes water through the heater.
    pub pump_on: Option<bool>,
    /// The cover lies on the water.
    pub cover_on: Option<bool>,
    /// Height of the water on any fixed mark, m.
    pub level_m: Option<f64>,
    /// What else was written.
    pub note: Option<String>,
}

impl Reading {
    /// A reading of nothing at `time`.
    #[must_use]
    pub fn at(line: usize, time: NaiveDateTime) -> Self {
        Self {
            line,
            time,
            water_c: None,
            inlet_c: None,
            outlet_c: None,
            flow_m3_s: None,
            air_c: None,
            pump_on: None,
            cover_on: None,
            level_m: None,
            note: None,
        }
    }
}

/// What a builder wrote down, in the order of time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    /// By time.
    pub readings: Vec<Reading>,
    /// One thermometer read water, inlet and outlet: its offset falls out of the rise.
    pub one_thermometer: bool,
    /// How well the builder measures.
    pub sd: Accuracy,
}

/// Errors of a household's instruments, as standard deviations.
///
/// | what | default | basis |
/// |---|---|---|
/// | offset of a thermometer | 0.3 K | cheap digital and glass thermometers are stated to ±0.5–1 K; common practice, no source |
/// | one reading | 0.15 K | a scale of 0.1 °C or 0.2 °F, read in moving water; common practice, no source |
/// | one timing of the bucket | 10 % | a second or two at start and stop, and a brim that is not level; common practice, no source |
/// | the bucket itself | 2 % | filled once from a measuring jug to find its mark; the same in every timing; common practice, no source |
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy {
    /// Constant error of one thermometer through the whole log, K.
    pub offset_sd_k: f64,
    /// Error of one reading, K.
    pub reading_sd_k: f64,
    /// Error of one timing of the flow, share.
    pub flow_sd_frac: f64,
    /// Error that all timings share (the bucket's mark), share.
    pub bucket_sd_frac: f64,
}

impl Accuracy {
    /// A household's thermometer, bucket and watch.
    pub const HOUSEHOLD: Self = Self {
        offset_sd_k: 0.3,
        reading_sd_k: 0.15,
        flow_sd_frac: 0.1,
        bucket_sd_frac: 0.02,
    };
}

impl Default for Accuracy {
    fn default() -> Self {
        Self::HOUSEHOLD
    }
}
