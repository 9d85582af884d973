//! Climate tables as people write them.
use super::Normals;
use crate::error::WeatherError;
use std::path::Path;

/// Reads a climate table.
///
/// # Errors
/// Not yet.
pub fn read_table(path: &Path) -> Result<Normals, WeatherError> {
    let label = path.display().to_string();
    let bytes = std::fs::read(path).map_err(|error| WeatherError::Unreadable {
        label: label.as_str().into(),
        reason: error.to_string().into(),
    })?;
    parse_table(&bytes, &label)
}

/// Reads a climate table from memory.
///
/// # Errors
/// Not yet.
pub fn parse_table(_bytes: &[u8], label: &str) -> Result<Normals, WeatherError> {
    Err(WeatherError::Unreadable {
        label: label.into(),
        reason: "tables cannot be read yet".into(),
    })
}
