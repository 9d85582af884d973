//! The file of a sweep: begun, begun anew, or gone on with where it stopped.

use std::fs::{self, File, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use anyhow::Context;

use crate::failure::Failure;

/// A file that rows are added to.
pub(super) struct Rows {
    file: File,
    path: PathBuf,
    /// Whole rows that were there before, without their ends.
    pub(super) before: Vec<String>,
}

impl Rows {
    /// Opens the file: a new one with `head` (none for a later part), or with `resume` the one that is there, whose torn last line is cut off.
    pub(super) fn open(
        path: &Path,
        head: Option<&str>,
        resume: bool,
        force: bool,
    ) -> Result<Self, Failure> {
        let shown = path.display();
        let exists = path.symlink_metadata().is_ok();
        if exists && !path.is_file() {
            return Err(Failure::input(format!(
                "--out {shown}: is there and is no file; name a file"
            )));
        }
        if exists && !resume && !force {
            return Err(Failure::input(format!(
                "--out {shown}: is there already; --resume goes on with it, --force replaces it, or name another file"
            )));
        }
        let said = |what: &str, error: std::io::Error| {
            Failure::input(format!("--out {shown}: cannot be {what}: {error}"))
        };
        if !(exists && resume) {
            let file = File::create(path).map_err(|e| said("written", e))?;
            let mut rows = Self {
                file,
                path: path.to_owned(),
                before: Vec::new(),
            };
            rows.add(head.unwrap_or(""))?;
            return Ok(rows);
        }
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .open(path)
            .map_err(|e| said("opened", e))?;
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).map_err(|e| said("read", e))?;
        let whole = bytes
            .iter()
            .rposition(|b| *b == b'\n')
            .map_or(0, |at| at + 1);
        bytes.truncate(whole);
        let text = String::from_utf8(bytes)
            .map_err(|_| Failure::input(format!("--out {shown}: is no text; name another file")))?;
        let rest = match head {
            Some(head) if !text.is_empty() => text.strip_prefix(head).ok_or_else(|| {
                Failure::input(format!(
                    "--out {shown}: its first line is not that of this sweep; name another file, or --force replaces it"
                ))
            })?,
            _ => text.as_str(),
        };
        let before = rest.lines().map(str::to_owned).collect();
        let length = u64::try_from(whole).context("length of a file")?;
        file.set_len(length).map_err(|e| said("cut", e))?;
        file.seek(SeekFrom::End(0)).map_err(|e| said("read", e))?;
        let mut rows = Self {
            file,
            path: path.to_owned(),
            before,
        };
        if text.is_empty() {
            rows.add(head.unwrap_or(""))?;
        }
        Ok(rows)
    }

    /// Adds whole lines.
    pub(super) fn add(&mut self, lines: &str) -> Result<(), Failure> {
        self.file
            .write_all(lines.as_bytes())
            .with_context(|| format!("{} cannot be written", self.path.display()))?;
        Ok(())
    }

    /// What is said of a row that does not fit.
    pub(super) fn other_sweep(&self, row: usize) -> Failure {
        Failure::input(format!(
            "--out {}: row {} is not of this sweep: scenario, weather, values or program have changed since; name another file, or --force replaces it",
            self.path.display(),
            row + 1
        ))
    }
}

/// The folder that the file is to stand in.
pub(super) fn check_folder(path: &Path) -> Result<(), Failure> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
    match folder {
        Some(folder) if fs::metadata(folder).is_err() => Err(Failure::input(format!(
            "--out {}: there is no folder {}",
            path.display(),
            folder.display()
        ))),
        _ => Ok(()),
    }
}
