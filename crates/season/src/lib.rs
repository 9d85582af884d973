//! A pool and its heaters stepped through every interval of a weather year.
