//! What tubes, boards and ground are made of.
