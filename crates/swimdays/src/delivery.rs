//! Where the answer of a command goes: files into a folder, then JSON or lines to the terminal.

use std::io::Write;
use std::path::{Path, PathBuf};

use swimdays_quantity::Units;
use swimdays_report::ReportError;
use swimdays_report::output::OutputFolder;

use crate::Done;
use crate::args::UnitsArg;
use crate::failure::{Failure, print};

/// Widest line on the terminal.
pub(crate) const WIDTH: usize = 100;

/// The folder asked for, opened before anything is computed, so that a wrong one is told at once.
pub(crate) struct Delivery {
    json: bool,
    folder: Option<(PathBuf, OutputFolder)>,
}

impl Delivery {
    /// Into `asked`, else into a folder named by `usual`; nowhere when only the JSON object was asked for.
    pub(crate) fn prepare(
        asked: Option<&Path>,
        json: bool,
        force: bool,
        usual: impl FnOnce() -> Result<String, Failure>,
    ) -> Result<Self, Failure> {
        let dir = match asked {
            Some(dir) => Some(dir.to_path_buf()),
            None if json => None,
            None => Some(PathBuf::from(usual()?)),
        };
        let folder = dir
            .map(|dir| OutputFolder::prepare(&dir, force).map(|output| (dir, output)))
            .transpose()
            .map_err(Failure::report)?;
        Ok(Self { json, folder })
    }

    /// Writes `files` whole or not at all, then prints the object, or the lines and behind `made` where the files are.
    pub(crate) fn hand_over(
        self,
        out: &mut dyn Write,
        err: &mut dyn Write,
        files: impl FnOnce(&mut OutputFolder) -> Result<(), ReportError>,
        object: impl FnOnce(&mut Vec<u8>) -> Result<(), ReportError>,
        lines: impl FnOnce() -> Vec<String>,
        made: &str,
    ) -> Done {
        let dir = match self.folder {
            Some((dir, mut output)) => {
                files(&mut output).map_err(Failure::report)?;
                output.commit().map_err(Failure::report)?;
                Some(dir)
            }
            None => None,
        };
        if self.json {
            if let Some(dir) = &dir {
                writeln!(err, "wrote {}", dir.display())?;
            }
            let mut bytes = Vec::new();
            object(&mut bytes).map_err(Failure::report)?;
            return print(out, format_args!("{}", String::from_utf8(bytes)?));
        }
        for line in lines() {
            print(out, format_args!("{line}\n"))?;
        }
        if let Some(dir) = &dir {
            print(out, format_args!("{made}: {}\n", dir.display()))?;
        }
        Ok(())
    }
}

/// What files made for a scenario are named after.
pub(crate) fn stem_of(scenario: &Path) -> Result<String, Failure> {
    scenario
        .file_stem()
        .map(|stem| stem.to_string_lossy().into_owned())
        .ok_or_else(|| {
            Failure::input(format!(
                "{}: not the name of a scenario file",
                scenario.display()
            ))
        })
}

/// The change of the scenario that `--units` stands for, made before it is read, so that what was assumed is told in them as well.
pub(crate) fn units_set(units: Option<UnitsArg>) -> Option<String> {
    let units = match units? {
        UnitsArg::Us => Units::Us,
        UnitsArg::Metric => Units::Metric,
    };
    Some(format!("units={}", units.name()))
}
