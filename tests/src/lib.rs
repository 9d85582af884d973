//! Helpers shared by the checks in `tests/tests`: where sources and reference files are, and how errors are summed up.
