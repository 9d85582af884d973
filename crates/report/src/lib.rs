//! Tables, files and charts made from results only.
