//! Benchmarks only; see `benches/`.
