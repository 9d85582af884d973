//! To be written.

use crate::ReadOptions;
use crate::error::WeatherError;
use crate::raw::Raw;
use crate::text::Source;

/// What gives the format away.
pub(crate) const MARK: &str = "";

pub(crate) fn recognises(_source: &Source<'_>) -> bool {
    false
}

pub(crate) fn read(source: &Source<'_>, _options: &ReadOptions) -> Result<Raw, WeatherError> {
    Err(source.header_error(1, "format", "nothing", "nothing", "nothing"))
}
