//! What can go wrong while reporting.

use std::path::PathBuf;

/// Why a report could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReportError {
    /// A drawing library refused.
    #[error("the chart could not be drawn: {0}")]
    Drawing(String),
    /// A table could not be written.
    #[error("the table could not be written")]
    Table(#[from] csv::Error),
    /// JSON could not be written.
    #[error("the summary could not be written")]
    Json(#[from] serde_json::Error),
    /// The run kept no hourly columns.
    #[error("the run kept no hourly columns; run it with them to write hours")]
    NoHours,
    /// A file or folder could not be read, written or moved. The cause is the error's source: print the chain.
    #[error("{doing} {path}", path = path.display())]
    File {
        /// What was being done.
        doing: &'static str,
        /// To which file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The folder asked for cannot be made or written; nothing was.
    #[error("cannot write in {folder} ({cause}); choose another folder with --out", folder = folder.display())]
    NotWritable {
        /// The folder asked for.
        folder: PathBuf,
        /// What the system said; not a source, since it is told above.
        cause: std::io::Error,
    },
    /// A folder has the name of a file to be written.
    #[error(
        "{path} is a folder, where a file of that name belongs; move it away, or choose another folder with --out",
        path = .0.display()
    )]
    FolderInTheWay(PathBuf),
    /// The output path is not a folder.
    #[error("{path} is not a folder; choose another with --out", path = .0.display())]
    NotAFolder(PathBuf),
    /// A file of that name stands there and was not made by the program.
    #[error(
        "{path} was not made by this program and stays as it is; choose another folder with --out, or insist with --force",
        path = .0.display()
    )]
    NotOurs(PathBuf),
    /// A name that is not a plain file name.
    #[error("“{0}” is not a plain file name")]
    BadName(String),
}
