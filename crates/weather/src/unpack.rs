//! Packed files: gzip is unpacked, within bounds.

use std::borrow::Cow;

use crate::error::WeatherError;

/// The bytes themselves, or what is packed in them.
#[allow(clippy::unnecessary_wraps, reason = "to be written")]
pub(crate) fn unpack<'a>(bytes: &'a [u8], _label: &str) -> Result<Cow<'a, [u8]>, WeatherError> {
    Ok(Cow::Borrowed(bytes))
}
