//! The command line: flags, paths and exit codes.
