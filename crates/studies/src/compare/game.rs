//! Who brought what, when several bring it together: alone, last, and the fair share.

/// What each of `players` brings by itself: `v({i}) − v(∅)`.
///
/// `worth[mask]` is what the players whose bits are set in `mask` reach together.
#[must_use]
pub fn alone(players: usize, worth: &[f64]) -> Vec<f64> {
    (0..players)
        .map(|i| at(worth, 1 << i) - at(worth, 0))
        .collect()
}

/// What each of `players` adds when all the others are there already: `v(N) − v(N∖{i})`.
#[must_use]
pub fn last(players: usize, worth: &[f64]) -> Vec<f64> {
    let all = (1_usize << players) - 1;
    (0..players)
        .map(|i| at(worth, all) - at(worth, all & !(1 << i)))
        .collect()
}

/// What each adds, averaged over all orders in which they can join: the Shapley value. The shares add up to `v(N) − v(∅)`.
///
/// `φ_i = Σ_S |S|! (n − |S| − 1)! / n! · (v(S ∪ {i}) − v(S))` over all `S` without `i`.
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | n | `players` | | 0…20 |
/// | v | `worth`, by bit mask | any | 2ⁿ values; what is missing counts as 0 |
///
/// Source: Shapley (1953), *A value for n-person games*, Contributions to the Theory of Games II, 307–317.
///
/// ```
/// // The glove game: 0 has a left glove, 1 and 2 have right ones; a pair is worth 1. Textbook answer: 2/3, 1/6, 1/6.
/// let pairs = [0.0, 0.0, 0.0, 1.0, 0.0, 1.0, 0.0, 1.0];
/// let shares = swimdays_studies::compare::shares(3, &pairs);
/// assert!((shares[0] - 2.0 / 3.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn shares(players: usize, worth: &[f64]) -> Vec<f64> {
    // weight[s] = s! (n − s − 1)! / n!, by recurrence: weight[0] = 1/n, weight[s] = weight[s−1] · s / (n − s).
    let mut weights: Vec<f64> = Vec::with_capacity(players);
    for s in 0..players {
        let weight = match weights.last() {
            None => 1.0 / count(players),
            Some(before) => before * count(s) / count(players - s),
        };
        weights.push(weight);
    }
    let mut shares = vec![0.0; players];
    for mask in 0..1_usize << players {
        let size = mask.count_ones() as usize;
        for (i, share) in shares.iter_mut().enumerate() {
            if mask >> i & 1 == 0 {
                *share += weights[size] * (at(worth, mask | 1 << i) - at(worth, mask));
            }
        }
    }
    shares
}

fn at(worth: &[f64], mask: usize) -> f64 {
    worth.get(mask).copied().unwrap_or(0.0)
}

#[allow(clippy::cast_precision_loss, reason = "a handful of players")]
fn count(n: usize) -> f64 {
    n as f64
}
