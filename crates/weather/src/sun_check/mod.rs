//! Is the radiation where the sun is? The file's clock, place and time convention held against the sky.
//!
//! [`sun_check`] measures how much later than the middle of its interval the radiation lies: the median of the clearest days
//! (`noon`). A reader declares an offset by its format's words; where the measured one differs by more than [`NOISE_MINUTES`],
//! the measured one is used. Offsets beyond [`LARGEST_SHIFT_MINUTES`] are no convention of any format but a wrong clock or place: they are
//! told with what would make them fit (`cause`), and not applied.
//!
//! Worth knowing why it matters: files of one format differ by up to 40 minutes, and a plane facing east or west then has its sun when the
//! sun is not there.

mod cause;
mod noon;

pub use cause::Cause;
pub(crate) use noon::{Measured, Series, measure};

use crate::suns::Axis;
use crate::year::{Place, WeatherYear};

/// Measured offsets nearer to the used one than this are left alone, minutes.
///
/// Two to three times what the method errs by on clear-sky years and on real files whose convention is certain (see VALIDATION.md); what
/// hazier afternoons can feign, too.
pub const NOISE_MINUTES: f64 = 5.0;

/// Larger offsets mean a wrong time zone or place, minutes: the labels of an hour and daylight-saving time
/// together reach 90.
pub const LARGEST_SHIFT_MINUTES: f64 = 90.0;

/// Offsets beyond this are used, but are no longer a convention of a format, minutes: the largest that was seen in a real file
/// is 40. The whole clock may then be off, and with it air and wind.
pub const DOUBTFUL_SHIFT_MINUTES: f64 = 45.0;

/// Where summer's and winter's clear days lie further apart than this, minutes, they are on different clocks: no one offset is right
/// for the year. Daylight saving moves by 60; haze and low sun move real files by less than 3.
pub const DOUBTFUL_HALVES_MINUTES: f64 = 25.0;

/// What holding the radiation against the sun gave.
#[derive(Clone, Debug, PartialEq)]
pub struct SunCheck {
    /// Clear days that gave the figures, at most 20.
    pub days: usize,
    /// How much later than the middle of its interval the radiation lies, minutes, in the sense of
    /// [`WeatherYear::radiation_shift_minutes`]: the median of the days.
    pub shift_minutes: f64,
    /// Interquartile range of the days, minutes.
    pub spread_minutes: f64,
    /// Between the medians of the half-years with the sun more than 12° north and south of the equator, minutes; `None` with too few clear days in
    /// one of them.
    pub halves_apart_minutes: Option<f64>,
    /// What that means.
    pub verdict: SunVerdict,
}

/// What the measured offset means for the year that was checked.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum SunVerdict {
    /// The year's [`WeatherYear::radiation_shift_minutes`] is right within [`NOISE_MINUTES`], or within three standard
    /// errors of the median where the days scatter more.
    Agrees,
    /// Radiation and sun are apart by more than that, but by no more than [`LARGEST_SHIFT_MINUTES`]. No year that was read from a
    /// file is so: the reader has used the measured offset.
    Apart,
    /// Time zone or place are wrong. The causes that would make it fit, the likeliest first.
    WrongClockOrPlace(Vec<Cause>),
}

/// Holds the radiation of a year against the sun; `None` when it has too few clear days (fewer than five).
#[must_use]
pub fn sun_check(year: &WeatherYear) -> Option<SunCheck> {
    let series = Series {
        ghi_w_m2: &year.columns.ghi_w_m2,
        axis: Axis::of_year(year),
        place: &year.place,
    };
    let measured = measure(&series)?;
    Some(judged(&series, &measured, year.radiation_shift_minutes))
}

/// The verdict over a year whose radiation is used with the shift `used_minutes`.
pub(crate) fn judged(series: &Series, measured: &Measured, used_minutes: f64) -> SunCheck {
    let shift_minutes = -60.0 * measured.late_h;
    let wrong_hemisphere = cause::wrong_hemisphere(series, &measured.all_days);
    let verdict = if shift_minutes.abs() > LARGEST_SHIFT_MINUTES || wrong_hemisphere {
        SunVerdict::WrongClockOrPlace(cause::causes(
            series.place,
            measured.late_h,
            wrong_hemisphere,
        ))
    } else if (shift_minutes - used_minutes).abs() > noise_minutes(measured) {
        SunVerdict::Apart
    } else {
        SunVerdict::Agrees
    };
    SunCheck {
        days: measured.days,
        shift_minutes,
        spread_minutes: 60.0 * measured.spread_h,
        halves_apart_minutes: measured.halves_apart_h.map(|hours| 60.0 * hours),
        verdict,
    }
}

/// [`NOISE_MINUTES`], or three standard errors of the median where the days scatter more.
///
/// The median of n normal values with the interquartile range q has the standard error 1.2533 q / (1.349 √n).
fn noise_minutes(measured: &Measured) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "at most 20 days")]
    let days = measured.days as f64;
    NOISE_MINUTES.max(3.0 * 1.2533 / 1.349 * 60.0 * measured.spread_h / days.sqrt())
}

/// Where civil clocks may lie against the sun, hours: western China is about three behind.
pub(crate) const CLOCK_FROM_SUN_H: f64 = 3.5;

/// Civil clock minus the sun's mean clock, −12 to 12 h.
pub(crate) fn clock_from_sun_h(place: &Place) -> f64 {
    (place.utc_offset_h - place.longitude_deg / 15.0 + 12.0).rem_euclid(24.0) - 12.0
}
