//! A folder of results, written whole or not at all.
//!
//! Files are first written into a hidden folder, then moved into place, and a small list
//! ([`MANIFEST`]) says which files the program made. Only files on that list are ever replaced or removed,
//! unless the caller insists; whatever else stands in the folder stays as it is. When anything fails before the
//! move, the folder is as it was.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use crate::ReportError;
use crate::chart::Chart;
use crate::style::Style;

/// Name of the list of files that the program made.
pub const MANIFEST: &str = "swimdays-files.txt";
/// First line of that list; a file of that name without it is not ours.
const MANIFEST_HEAD: &str =
    "Files that swimdays made here. Running it again replaces these and no others.";

/// A folder being filled. Nothing is seen in it until [`OutputFolder::commit`]; dropped before that, it leaves
/// nothing behind.
#[derive(Debug)]
pub struct OutputFolder {
    target: PathBuf,
    staging: PathBuf,
    /// Folders above that had to be made, outermost first.
    made: Vec<PathBuf>,
    force: bool,
    /// Files of an earlier run.
    ours: Vec<String>,
    files: Vec<String>,
    done: bool,
}

impl OutputFolder {
    /// Prepares to write into `dir`, which need not exist. With `force`, files that the program did not make
    /// are replaced too.
    ///
    /// # Errors
    /// [`ReportError::NotAFolder`], [`ReportError::NotOurs`] when the list itself is not ours,
    /// [`ReportError::FolderInTheWay`], [`ReportError::NotWritable`], or [`ReportError::File`] when the list cannot be read.
    pub fn prepare(dir: &Path, force: bool) -> Result<Self, ReportError> {
        let exists = dir.symlink_metadata().is_ok();
        if exists && !dir.is_dir() {
            return Err(ReportError::NotAFolder(dir.to_path_buf()));
        }
        let ours = if exists {
            read_manifest(dir, force)?
        } else {
            Vec::new()
        };
        let hidden = format!(".swimdays-{}", std::process::id());
        let mut made = Vec::new();
        // A folder that stands may be a disk of its own, and moving is only safe within one disk: then the
        // hidden folder is made inside, else beside.
        let staging = if exists {
            dir.join(hidden)
        } else {
            let parent = match dir.parent() {
                Some(p) if !p.as_os_str().is_empty() => p.to_path_buf(),
                _ => PathBuf::from("."),
            };
            made = missing_ancestors(&parent);
            for folder in &made {
                if let Err(cause) = fs::create_dir(folder) {
                    for above in made.iter().rev() {
                        // Only those made just now and empty.
                        let _ = fs::remove_dir(above);
                    }
                    return Err(not_writable(dir, cause));
                }
            }
            parent.join(hidden)
        };
        let this = Self {
            target: dir.to_path_buf(),
            staging,
            made,
            force,
            ours,
            files: Vec::new(),
            done: false,
        };
        if this.staging.is_dir() {
            // Left by a run of the same number that was killed.
            fs::remove_dir_all(&this.staging).map_err(|e| not_writable(dir, e))?;
        }
        fs::create_dir(&this.staging).map_err(|e| not_writable(dir, e))?;
        Ok(this)
    }

    /// Writes one file of the run.
    ///
    /// # Errors
    /// [`ReportError::BadName`], [`ReportError::NotOurs`] when such a file stands there and is not ours,
    /// [`ReportError::FolderInTheWay`], or what `fill` or the disk says.
    pub fn write(
        &mut self,
        name: &str,
        fill: impl FnOnce(&mut dyn Write) -> Result<(), ReportError>,
    ) -> Result<(), ReportError> {
        if !is_plain(name) || name == MANIFEST {
            return Err(ReportError::BadName(name.to_owned()));
        }
        self.refuse_foreign(name)?;
        let path = self.staging.join(name);
        // The hidden folder is nobody's business: an error names the file as it would have been.
        let wanted = self.target.join(name);
        let mut file =
            BufWriter::new(File::create(&path).map_err(|e| failed("writing", &wanted, e))?);
        fill(&mut file)?;
        file.flush().map_err(|e| failed("writing", &wanted, e))?;
        if !self.files.iter().any(|f| f == name) {
            self.files.push(name.to_owned());
        }
        Ok(())
    }

    /// Writes a chart as `name.svg` and `name.png`; yields the SVG.
    ///
    /// # Errors
    /// As [`Self::write`] and as drawing it.
    pub fn write_chart(
        &mut self,
        name: &str,
        chart: &Chart,
        style: &Style,
    ) -> Result<String, ReportError> {
        let (svg, png) = (chart.svg(style)?, chart.png(style)?);
        for (ending, bytes) in [("svg", svg.as_bytes()), ("png", &png)] {
            let file = format!("{name}.{ending}");
            let wanted = self.target.join(&file);
            self.write(&file, |w| {
                w.write_all(bytes)
                    .map_err(|e| failed("writing", &wanted, e))
            })?;
        }
        Ok(svg)
    }

    /// Moves all files into place; yields their paths in the order written.
    ///
    /// # Errors
    /// [`ReportError::NotOurs`] or [`ReportError::File`]; the folder is then as it was.
    pub fn commit(mut self) -> Result<Vec<PathBuf>, ReportError> {
        let mut names = self.files.clone();
        names.sort();
        let list = self.staging.join(MANIFEST);
        fs::write(&list, format!("{MANIFEST_HEAD}\n{}\n", names.join("\n")))
            .map_err(|e| failed("writing", &self.target.join(MANIFEST), e))?;
        if self.target.symlink_metadata().is_ok() {
            self.move_into_folder()?;
        } else {
            fs::rename(&self.staging, &self.target).map_err(|e| not_writable(&self.target, e))?;
        }
        self.done = true;
        Ok(self
            .files
            .iter()
            .map(|name| self.target.join(name))
            .collect())
    }

    fn refuse_foreign(&self, name: &str) -> Result<(), ReportError> {
        let there = self.target.join(name);
        let Ok(found) = there.symlink_metadata() else {
            return Ok(());
        };
        if found.is_dir() {
            return Err(ReportError::FolderInTheWay(there));
        }
        let ours = self.ours.iter().any(|o| o == name);
        if !(ours || self.force) {
            return Err(ReportError::NotOurs(there));
        }
        Ok(())
    }

    /// Sets the earlier files aside, moves the new ones in, and puts everything back if one move fails.
    fn move_into_folder(&self) -> Result<(), ReportError> {
        for name in &self.files {
            self.refuse_foreign(name)?;
        }
        let aside = self.staging.join(".earlier");
        fs::create_dir(&aside).map_err(|e| not_writable(&self.target, e))?;
        let mut undo: Vec<(PathBuf, PathBuf)> = Vec::new();
        let result = self.swap(&aside, &mut undo);
        if result.is_err() {
            for (from, to) in undo.iter().rev() {
                // The first error is the one to tell; each file is put back as far as the disk allows.
                let _ = fs::rename(to, from);
            }
        }
        result
    }

    fn swap(&self, aside: &Path, undo: &mut Vec<(PathBuf, PathBuf)>) -> Result<(), ReportError> {
        let mut shift = |from: PathBuf, to: PathBuf| -> Result<(), ReportError> {
            fs::rename(&from, &to).map_err(|e| not_writable(&self.target, e))?;
            undo.push((from, to));
            Ok(())
        };
        let new = || self.files.iter().map(String::as_str).chain([MANIFEST]);
        let stale = self
            .ours
            .iter()
            .map(String::as_str)
            .filter(|o| !self.files.iter().any(|f| f == o));
        for name in new().chain(stale) {
            let there = self.target.join(name);
            if there.symlink_metadata().is_ok_and(|m| !m.is_dir()) {
                shift(there, aside.join(name))?;
            }
        }
        for name in new() {
            shift(self.staging.join(name), self.target.join(name))?;
        }
        Ok(())
    }
}

impl Drop for OutputFolder {
    fn drop(&mut self) {
        // Nothing to report to here; what cannot be removed is a hidden folder that the next run clears.
        let _ = fs::remove_dir_all(&self.staging);
        if !self.done {
            for folder in self.made.iter().rev() {
                // Only when empty.
                let _ = fs::remove_dir(folder);
            }
        }
    }
}

/// A name without any path in it.
fn is_plain(name: &str) -> bool {
    !name.is_empty()
        && !name.starts_with('.')
        && !name.contains(['/', '\\', ':'])
        && !name.chars().any(char::is_control)
}

/// The files that an earlier run made.
fn read_manifest(dir: &Path, force: bool) -> Result<Vec<String>, ReportError> {
    let path = dir.join(MANIFEST);
    if path.is_dir() {
        return Err(ReportError::FolderInTheWay(path));
    }
    let text = match fs::read(&path) {
        Ok(bytes) => String::from_utf8_lossy(&bytes).into_owned(),
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(e) => return Err(failed("reading", &path, e)),
    };
    let mut lines = text.lines();
    if lines.next() != Some(MANIFEST_HEAD) {
        return if force {
            Ok(Vec::new())
        } else {
            Err(ReportError::NotOurs(path))
        };
    }
    // A line that leads elsewhere was not written by us.
    Ok(lines
        .filter(|name| is_plain(name) && *name != MANIFEST)
        .map(str::to_owned)
        .collect())
}

/// The folders above and including `path` that do not exist yet, outermost first.
fn missing_ancestors(path: &Path) -> Vec<PathBuf> {
    let mut missing: Vec<_> = path
        .ancestors()
        .take_while(|p| !p.as_os_str().is_empty() && p.symlink_metadata().is_err())
        .map(Path::to_path_buf)
        .collect();
    missing.reverse();
    missing
}

fn not_writable(folder: &Path, cause: io::Error) -> ReportError {
    ReportError::NotWritable {
        folder: folder.to_path_buf(),
        cause,
    }
}

fn failed(doing: &'static str, path: &Path, source: io::Error) -> ReportError {
    ReportError::File {
        doing,
        path: path.to_path_buf(),
        source,
    }
}
