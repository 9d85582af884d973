//! Questions that take many seasons: ranges, and what each measure gives.
