//! Random numbers without clock or library: the same on every machine.

/// The split-mix generator (Steele, Lea & Flood 2014, *Fast splittable pseudorandom number generators*).
pub(crate) struct Noise(u64);

impl Noise {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        #[allow(clippy::cast_precision_loss, reason = "53 bits fit")]
        let share = (z >> 11) as f64 / (1_u64 << 53) as f64;
        share
    }

    /// Nearly normal, mean 0 and variance 1: twelve uniforms added, which needs additions only.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }

    /// First-order autoregressive series of variance 1 whose neighbours correlate by `keep`.
    pub(crate) fn series(&mut self, n: usize, keep: f64) -> Vec<f64> {
        let fresh = (1.0 - keep * keep).sqrt();
        let mut now = self.normal();
        (0..n)
            .map(|_| {
                let value = now;
                now = keep * now + fresh * self.normal();
                value
            })
            .collect()
    }
}

/// Value of a daily series at `hour` of the year: a straight line between noons, round the turn of the year.
pub(crate) fn between_days(daily: &[f64], hour: f64) -> f64 {
    let at = hour / 24.0 - 0.5;
    let before = at.floor();
    let share = at - before;
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_possible_wrap,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "days of a year, wrapped into the series"
    )]
    let day = |d: f64| daily[d.rem_euclid(daily.len() as f64) as usize];
    day(before) * (1.0 - share) + day(before + 1.0) * share
}
