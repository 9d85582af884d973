//! The builder's scenario file, checked whole and turned into a plan.
