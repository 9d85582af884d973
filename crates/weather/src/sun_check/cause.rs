//! What would make a file fit the sun that does not.

use std::fmt;

use super::noon::{Day, Series};
use super::{CLOCK_FROM_SUN_H, clock_from_sun_h};
use crate::year::Place;

/// A mistake in a file's header that would explain where its radiation lies.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Cause {
    /// Times are in UTC, not in local standard time.
    TimesInUtc,
    /// The longitude has the wrong sign.
    LongitudeSign,
    /// The time zone has the wrong sign.
    UtcOffsetSign,
    /// Latitude and longitude stand in each other's place.
    Swapped,
    /// The latitude has the wrong sign.
    LatitudeSign,
    /// The time zone would have to be another.
    UtcOffset {
        /// Hours from UTC that would fit.
        would_be_h: f64,
    },
}

impl fmt::Display for Cause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TimesInUtc => f.write_str("the times are in UTC, not in local standard time"),
            Self::LongitudeSign => {
                f.write_str("the longitude has the wrong sign (east is positive)")
            }
            Self::UtcOffsetSign => {
                f.write_str("the time zone has the wrong sign (east of Greenwich is positive)")
            }
            Self::Swapped => f.write_str("latitude and longitude are swapped"),
            Self::LatitudeSign => {
                f.write_str("the latitude has the wrong sign (north is positive)")
            }
            Self::UtcOffset { would_be_h } => {
                write!(f, "the time zone is {would_be_h:+} h from UTC")
            }
        }
    }
}

/// A cause fits when it leaves the radiation no further from the sun than a format's label may, hours: half an hour and
/// a little noise.
const FITS_H: f64 = 0.75;

/// So near to a half hour, a zone of half hours is possible, h.
const HALF_HOUR_ZONE_H: f64 = 0.25;

/// The causes that fit, the likeliest first: those that change one sign or word before those that change a number.
pub(crate) fn causes(place: &Place, late_h: f64, wrong_hemisphere: bool) -> Vec<Cause> {
    let mut out = Vec::new();
    if late_h.abs() > FITS_H {
        // The sun's noon by the file's clock moves by −longitude/15 and + offset.
        let fits = |moves_h: f64| half_day(late_h - moves_h).abs() <= FITS_H;
        let plausible = |longitude_deg: f64, utc_offset_h: f64| {
            let changed = Place {
                longitude_deg,
                utc_offset_h,
                ..place.clone()
            };
            clock_from_sun_h(&changed).abs() <= CLOCK_FROM_SUN_H
        };
        let (longitude, offset) = (place.longitude_deg, place.utc_offset_h);
        if fits(2.0 * longitude / 15.0) && plausible(-longitude, offset) {
            out.push(Cause::LongitudeSign);
        }
        if fits(-offset) {
            out.push(Cause::TimesInUtc);
        }
        if fits(-2.0 * offset) && plausible(longitude, -offset) {
            out.push(Cause::UtcOffsetSign);
        }
        let swapped = (longitude - place.latitude_deg) / 15.0;
        if longitude.abs() <= 90.0 && fits(swapped) && plausible(place.latitude_deg, offset) {
            out.push(Cause::Swapped);
        }
        // Whole hours first, the one nearer to the place's own sun: half an hour is more often the label's doing than the zone's.
        let would_be_h = half_day(offset + late_h);
        let whole = if (would_be_h - would_be_h.floor() - 0.5).abs() < HALF_HOUR_ZONE_H {
            let (low, high) = (would_be_h.floor(), would_be_h.ceil());
            let off = |hours: f64| half_day(hours - longitude / 15.0).abs();
            if off(low) <= off(high) { low } else { high }
        } else {
            would_be_h.round()
        };
        let same = |other: f64| half_day(whole - other).abs() < FITS_H;
        let said = (out.contains(&Cause::TimesInUtc) && same(0.0))
            || (out.contains(&Cause::UtcOffsetSign) && same(-offset));
        if !said {
            out.push(Cause::UtcOffset { would_be_h: whole });
        }
        let half = (2.0 * would_be_h).round() / 2.0;
        if !said && (half - whole).abs() > 0.25 {
            out.push(Cause::UtcOffset { would_be_h: half });
        }
    }
    if wrong_hemisphere {
        out.push(Cause::LatitudeSign);
    }
    out
}

/// Brings hours into −12 to 12.
fn half_day(hours: f64) -> f64 {
    (hours + 12.0).rem_euclid(24.0) - 12.0
}

/// Days must cover the seasons for the length of the day to tell the hemisphere.
const LEAST_DAYS: usize = 300;

/// Nearer to the equator the day's length hardly changes, degrees.
const LEAST_LATITUDE_DEG: f64 = 12.0;

/// Daylight begins with this much light, W/m².
const DAYLIGHT_W_M2: f64 = 1.0;

/// Whether the days are longest when the sun is lowest: the correlation of the light's length with the
/// day's by latitude. Cloud hardly shortens the light, so that rainy seasons do not matter.
pub(crate) fn wrong_hemisphere(series: &Series, days: &[Day]) -> bool {
    if days.len() < LEAST_DAYS || series.place.latitude_deg.abs() < LEAST_LATITUDE_DEG {
        return false;
    }
    let tan_latitude = series.place.latitude_deg.to_radians().tan();
    let pairs = days.iter().map(|day| {
        let light = &series.ghi_w_m2[day.first..day.end];
        let lit = light.iter().filter(|&&value| value > DAYLIGHT_W_M2).count();
        #[allow(clippy::cast_precision_loss, reason = "intervals of a day")]
        let lit = lit as f64;
        let sunset = (-tan_latitude * day.tan_declination)
            .clamp(-1.0, 1.0)
            .acos();
        (sunset, lit)
    });
    correlation(pairs) < -0.5
}

/// Correlation of the pairs; 0 where one of the two does not vary.
fn correlation(pairs: impl Iterator<Item = (f64, f64)>) -> f64 {
    let (mut n, mut x, mut y, mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for (a, b) in pairs {
        n += 1.0;
        x += a;
        y += b;
        xx += a * a;
        yy += b * b;
        xy += a * b;
    }
    let spread = (n * xx - x * x) * (n * yy - y * y);
    if spread > 0.0 {
        (n * xy - x * y) / spread.sqrt()
    } else {
        0.0
    }
}
