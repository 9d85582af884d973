//! Chance that is the same on every machine.

/// xoshiro256++ with its state filled by splitmix64.
///
/// Source: Blackman & Vigna (2021), *Scrambled linear pseudorandom number generators*, ACM Trans. Math. Software 47:36;
/// splitmix64: Steele, Lea, Flood (2014), OOPSLA (constants from memory; checked against the published first outputs).
#[derive(Clone, Debug)]
pub(super) struct Random {
    state: [u64; 4],
}

/// What a stream of chance is used for: each quantity has its own, so that knowing one more column of a table does
/// not deal the others new cards.
#[derive(Clone, Copy, Debug)]
pub(super) enum Stream {
    Clearness = 1,
    WithinState = 2,
    Hours = 3,
    Air = 4,
    Span = 5,
    Moisture = 6,
    WindDay = 7,
    WindHour = 8,
    Rain = 9,
}

impl Random {
    pub(super) fn new(seed: u64, stream: Stream) -> Self {
        let mut mixer = seed ^ (stream as u64).wrapping_mul(0xd1b5_4a32_d192_ed03);
        Self {
            state: std::array::from_fn(|_| splitmix64(&mut mixer)),
        }
    }

    fn next(&mut self) -> u64 {
        let s = &mut self.state;
        let result = s[0].wrapping_add(s[3]).rotate_left(23).wrapping_add(s[0]);
        let t = s[1] << 17;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= t;
        s[3] = s[3].rotate_left(45);
        result
    }

    /// Evenly between 0 (included) and 1 (excluded): the upper 53 bits.
    pub(super) fn uniform(&mut self) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "53 bits fit exactly")]
        let bits = (self.next() >> 11) as f64;
        bits * (1.0 / 9_007_199_254_740_992.0)
    }

    /// Mean 0, standard deviation 1, nearly normal, within ±6: twelve uniform numbers less six.
    ///
    /// Nothing but additions, so that no machine's logarithm matters. Source: central limit theorem; the fourth
    /// moment is 2.9 instead of 3.
    pub(super) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}

fn splitmix64(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// A first-order autoregressive series that closes on itself, mean 0, standard deviation 1.
///
/// `x_i = φ x_{i−1} + √(1 − φ²) e_i`, run through the same innovations twice: what is left of the first start
/// after one round is `φⁿ` of it.
pub(super) fn periodic(
    n: usize,
    persistence: f64,
    mut innovation: impl FnMut() -> f64,
) -> Vec<f64> {
    let innovations: Vec<f64> = (0..n).map(|_| innovation()).collect();
    let fresh = (1.0 - persistence * persistence).sqrt();
    let mut value = 0.0;
    let mut out = vec![0.0; n];
    for _ in 0..2 {
        for (x, e) in out.iter_mut().zip(&innovations) {
            value = persistence * value + fresh * e;
            *x = value;
        }
    }
    out
}

/// The normal variable below which the share `share` lies: inverse of [`log_odds`].
pub(super) fn normal_score(share: f64) -> f64 {
    let share = share.clamp(1e-9, 1.0 - 1e-9);
    let target = (share / (1.0 - share)).ln();
    let mut z = target / 1.702;
    for _ in 0..8 {
        z -= (log_odds(z) - target) / (1.5976 + 3.0 * 0.070_566 * z * z);
    }
    z
}

/// Natural logarithm of the odds that a normal variable lies below `z`: `1.5976 z + 0.070566 z³`.
///
/// Source: Page (1977), Applied Statistics 26:75: the share is within 1.8e-4 (from memory).
pub(super) fn log_odds(z: f64) -> f64 {
    z * (1.5976 + 0.070_566 * z * z)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn splitmix_gives_its_published_first_numbers() {
        // Seed 1234567: the sequence printed with the reference implementation (from memory; as on Rosetta Code).
        let mut state = 1_234_567;
        let first: Vec<u64> = (0..3).map(|_| splitmix64(&mut state)).collect();
        assert_eq!(
            first,
            [
                6_457_827_717_110_365_317,
                3_203_168_211_198_807_973,
                9_817_491_932_198_370_423
            ]
        );
    }

    #[test]
    fn xoshiro_gives_its_published_first_numbers() {
        // State 1, 2, 3, 4: the test vector of the reference implementation, as in the crate `rand_xoshiro` (from memory).
        let mut random = Random {
            state: [1, 2, 3, 4],
        };
        let first: Vec<u64> = (0..4).map(|_| random.next()).collect();
        assert_eq!(
            first,
            [
                41_943_041,
                58_720_359,
                3_588_806_011_781_223,
                3_591_011_842_654_386
            ]
        );
    }

    #[test]
    fn moments_are_those_of_a_normal_variable() {
        const N: u32 = 100_000;
        let mut random = Random::new(5, Stream::Air);
        let values: Vec<f64> = (0..N).map(|_| random.normal()).collect();
        let mean = values.iter().sum::<f64>() / f64::from(N);
        let square = values.iter().map(|v| v * v).sum::<f64>() / f64::from(N);
        // Four standard errors: 1/√N and √2/√N.
        assert!(mean.abs() < 4.0 / f64::from(N).sqrt(), "{mean}");
        assert!(
            (square - 1.0).abs() < 4.0 * (2.0 / f64::from(N)).sqrt(),
            "{square}"
        );
    }

    #[test]
    fn a_series_closes_on_itself_with_its_persistence() {
        let mut random = Random::new(5, Stream::Air);
        let x = periodic(20_000, 0.7, || random.normal());
        let n = x.len();
        let variance = x.iter().map(|v| v * v).sum::<f64>() / 20_000.0;
        let lag = (0..n).map(|i| x[i] * x[(i + 1) % n]).sum::<f64>() / 20_000.0;
        assert!((variance - 1.0).abs() < 0.06 && (lag / variance - 0.7).abs() < 0.03);
    }

    #[test]
    fn the_normal_score_agrees_with_the_table_of_the_normal_distribution() {
        // Shares from the usual table: Φ(0) = 0.5, Φ(1) = 0.8413, Φ(−1.6449) = 0.05, Φ(2) = 0.9772.
        for (z, share) in [
            (0.0, 0.5),
            (1.0, 0.841_345),
            (-1.644_854, 0.05),
            (2.0, 0.977_250),
        ] {
            assert!((normal_score(share) - z).abs() < 5e-3, "{share}");
        }
    }
}
