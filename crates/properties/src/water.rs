//! Liquid water.
