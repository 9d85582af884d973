//! Lists of words with their meanings, taken from the crates that own them.

/// The words of an enumeration.
pub(crate) fn words<T: Copy>(
    all: &[T],
    name: impl Fn(T) -> &'static str,
) -> Vec<(&'static str, T)> {
    all.iter()
        .map(|meaning| (name(*meaning), *meaning))
        .collect()
}

/// Sources that several defaults share.
pub(crate) mod source {
    /// For choices that only set the scene.
    pub(crate) const OWN_CHOICE: &str = "own choice, no source";
    /// For facts of the trade.
    pub(crate) const PRACTICE: &str = "common practice, no source";
    /// For numbers estimated from first principles by the authors.
    pub(crate) const ESTIMATE: &str = "own estimate, no source";
}
