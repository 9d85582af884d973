//! Text with units, as people write it, to SI values and back.
