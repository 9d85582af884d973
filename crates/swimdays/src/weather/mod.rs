//! `swimdays weather`: what a weather file is and how good, another format of it, or a year from a climate table.

mod args;
mod convert;
mod describe;
mod files;
mod normals;

use std::io::Write;
use std::path::Path;

use swimdays_quantity::Units;
use swimdays_weather::{ReadOptions, WeatherYear};

pub(crate) use args::WeatherArgs;

use crate::args::UnitsArg;
use crate::failure::Failure;
use crate::{Done, samples};
use args::{ReadingArgs, WeatherAction};

pub(crate) fn run(args: &WeatherArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    match &args.action {
        Some(WeatherAction::Convert(convert)) => convert::run(convert, out),
        Some(WeatherAction::Normals(normals)) => normals::run(normals, out, err),
        None => describe::run(args, out, err),
    }
}

/// A file, or a sample by its name.
fn read(path: &Path, reading: &ReadingArgs) -> Result<WeatherYear, Failure> {
    let options = options(reading)?;
    samples::of(path)
        .unwrap_or_else(|| {
            swimdays_weather::read_with(path, &options).map_err(|error| error.to_string())
        })
        .map_err(Failure::input)
}

fn options(reading: &ReadingArgs) -> Result<ReadOptions, Failure> {
    /// Clocks lie between these against UTC.
    const CLOCKS_H: std::ops::RangeInclusive<f64> = -12.0..=14.0;
    if let Some(hours) = reading
        .fill
        .filter(|h| !(0.0..=ReadOptions::LARGEST_FILL_HOURS).contains(h))
    {
        return Err(Failure::input(format!(
            "--fill {hours}: not a length of a gap that can be filled; write hours up to {}, such as --fill 6",
            ReadOptions::LARGEST_FILL_HOURS
        )));
    }
    if let Some(hours) = reading.utc_offset.filter(|h| !CLOCKS_H.contains(h)) {
        return Err(Failure::input(format!(
            "--utc-offset {hours}: no clock is there; write hours from -12 to 14, such as --utc-offset -6"
        )));
    }
    Ok(ReadOptions {
        fill_hours: reading.fill,
        utc_offset_h: reading.utc_offset,
    })
}

fn units(arg: UnitsArg) -> Units {
    match arg {
        UnitsArg::Us => Units::Us,
        UnitsArg::Metric => Units::Metric,
    }
}
