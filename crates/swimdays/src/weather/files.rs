//! Names of files, and files put in place whole or not at all.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::Context;

use crate::failure::Failure;
use crate::samples;

/// What files made from `path` are named after: without folder, `sample:`, packing and ending.
pub(crate) fn stem(path: &Path) -> Result<String, Failure> {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned());
    let name = name.unwrap_or_default();
    let name = name.strip_prefix(samples::PREFIX).unwrap_or(&name);
    let packed = name.len().saturating_sub(3);
    let name = match name.get(packed..) {
        Some(end) if packed > 0 && end.eq_ignore_ascii_case(".gz") => &name[..packed],
        _ => name,
    };
    Path::new(name)
        .file_stem()
        .map(|stem| stem.to_string_lossy().into_owned())
        .filter(|stem| !stem.is_empty())
        .ok_or_else(|| Failure::input(format!("{}: not the name of a file", path.display())))
}

/// Refuses where a file stands, unless it is to be replaced, and where a folder does.
pub(crate) fn free(path: &Path, force: bool) -> Result<(), Failure> {
    match fs::symlink_metadata(path) {
        Ok(found) if found.is_dir() => Err(Failure::input(format!(
            "{} is a folder; choose another file with --out",
            path.display()
        ))),
        Ok(_) if !force => Err(Failure::input(format!(
            "{} is there already and stays as it is; choose another file with --out, or insist with --force",
            path.display()
        ))),
        _ => Ok(()),
    }
}

/// Puts all files in place: each is first written whole beside its place under a hidden name.
pub(crate) fn put(files: &[(PathBuf, String)], force: bool) -> Result<(), Failure> {
    let mut staged: Vec<(PathBuf, &Path)> = Vec::new();
    let result = stage(files, force, &mut staged).and_then(|()| {
        for (hidden, path) in &staged {
            fs::rename(hidden, path).with_context(|| format!("writing {}", path.display()))?;
        }
        Ok(())
    });
    if result.is_err() {
        for (hidden, _) in &staged {
            // Those already in place are no longer there to remove.
            let _ = fs::remove_file(hidden);
        }
    }
    result
}

fn stage<'f>(
    files: &'f [(PathBuf, String)],
    force: bool,
    staged: &mut Vec<(PathBuf, &'f Path)>,
) -> Result<(), Failure> {
    for (path, text) in files {
        free(path, force)?;
        let name = path
            .file_name()
            .ok_or_else(|| Failure::input(format!("{}: not the name of a file", path.display())))?;
        let hidden = path.with_file_name(format!(
            ".{}-{}",
            name.to_string_lossy(),
            std::process::id()
        ));
        let written = fs::write(&hidden, text);
        staged.push((hidden, path));
        written.map_err(|error| {
            Failure::input(format!(
                "cannot write {} ({error}); choose another file with --out",
                path.display()
            ))
        })?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_named_after_what_they_are_made_from() {
        for (path, wanted) in [
            ("a/town.epw", "town"),
            ("a/town.epw.gz", "town"),
            ("sample:hot-dry", "hot-dry"),
            ("TOWN.CSV", "TOWN"),
            ("noending", "noending"),
            (".gz", ".gz"),
        ] {
            assert_eq!(
                stem(Path::new(path)).ok().as_deref(),
                Some(wanted),
                "{path}"
            );
        }
        assert!(stem(Path::new("..")).is_err());
    }
}
