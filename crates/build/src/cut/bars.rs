//! What is cut by length: studs, pipe, coils.

use super::search::search;
use crate::BuildError;
use crate::error::within;

/// Something to be cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// What it becomes.
    pub name: String,
    /// Its length, m.
    pub length_m: f64,
}

/// A length that is for sale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarStock {
    /// Length, m.
    pub length_m: f64,
    /// Price of one; absent when not known.
    pub price: Option<f64>,
}

/// One bought length and what is cut from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// Which of the lengths for sale.
    pub stock: usize,
    /// Which pieces, in the order in which they are cut.
    pub pieces: Vec<usize>,
    /// What is over after the last cut, m.
    pub left_m: f64,
}

/// How everything is cut.
#[derive(Clone, Debug, PartialEq)]
pub struct BarPlan {
    /// Bought lengths, the fullest first.
    pub bars: Vec<Bar>,
    /// Cost in all; absent when a price is.
    pub cost: Option<f64>,
    /// Length bought, m.
    pub bought_m: f64,
    /// Length of all pieces, m.
    pub used_m: f64,
    /// No plan is better.
    pub proven_best: bool,
}

impl BarPlan {
    /// What is not in a piece, as a share of what is bought.
    #[must_use]
    pub fn waste_frac(&self) -> f64 {
        if self.bought_m > 0.0 {
            1.0 - self.used_m / self.bought_m
        } else {
            0.0
        }
    }

    /// What is minimised: cost, or length where prices are missing.
    #[must_use]
    pub fn measure(&self) -> f64 {
        self.cost.unwrap_or(self.bought_m)
    }
}

/// Rounding of lengths that fit exactly, m.
pub(super) const EXACT_M: f64 = 1e-9;

/// The problem with kerf folded in: `n` pieces with `n − 1` cuts between them fit when `Σ (l + k) ≤ L + k`.
pub(super) struct Problem {
    /// Piece and kerf, longest first.
    pub sizes: Vec<f64>,
    /// Which piece each is.
    pub order: Vec<usize>,
    /// Stock and kerf, what one costs (price or length) and which it is, shortest first; none that is longer and not dearer is missing.
    pub stock: Vec<(f64, f64, usize)>,
}

impl Problem {
    /// Cheapest length that holds this much.
    pub(super) fn cheapest(&self, size: f64) -> Option<(f64, usize)> {
        self.stock
            .iter()
            .find(|s| size <= s.0 + EXACT_M)
            .map(|s| (s.1, s.2))
    }

    /// Largest size that can be held.
    pub(super) fn largest(&self) -> f64 {
        self.stock.last().map_or(0.0, |s| s.0)
    }

    /// What a packing costs, each bin in its cheapest length.
    pub(super) fn measure(&self, bins: &[Vec<usize>]) -> f64 {
        bins.iter()
            .map(|b| {
                let size = b.iter().map(|i| self.sizes[*i]).sum();
                self.cheapest(size).map_or(f64::INFINITY, |c| c.0)
            })
            .sum()
    }
}

fn problem(pieces: &[Piece], stock: &[BarStock], kerf_m: f64) -> Result<Problem, BuildError> {
    within("width of the saw cut, m", kerf_m, 0.0, 0.05)?;
    if stock.is_empty() {
        return Err(BuildError::NoStock { what: "lengths" });
    }
    for s in stock {
        within("length for sale, m", s.length_m, 1e-3, 10_000.0)?;
        if let Some(price) = s.price {
            within("price", price, 0.0, 1e9)?;
        }
    }
    let longest = stock.iter().map(|s| s.length_m).fold(0.0, f64::max);
    for p in pieces {
        within("length of a piece, m", p.length_m, 1e-4, 10_000.0)?;
        if p.length_m > longest + EXACT_M {
            return Err(BuildError::PartTooLong {
                part: p.name.clone(),
                part_m: p.length_m,
                stock_m: longest,
            });
        }
    }
    let priced = stock.iter().all(|s| s.price.is_some());
    let mut usable: Vec<(f64, f64, usize)> = stock
        .iter()
        .enumerate()
        .map(|(i, s)| {
            let cost = if priced {
                s.price.unwrap_or_default()
            } else {
                s.length_m
            };
            (s.length_m + kerf_m, cost, i)
        })
        .collect();
    // From the longest down, one that is not cheaper than a longer one is never worth buying.
    usable.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
    let mut least = f64::INFINITY;
    usable.retain(|s| {
        let cheaper = s.1 < least;
        least = least.min(s.1);
        cheaper
    });
    usable.reverse();
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    order.sort_by(|a, b| pieces[*b].length_m.total_cmp(&pieces[*a].length_m));
    Ok(Problem {
        sizes: order.iter().map(|i| pieces[*i].length_m + kerf_m).collect(),
        order,
        stock: usable,
    })
}

/// First fit by falling length into bins of one size; none when a piece is longer.
pub(super) fn first_fit(sizes: &[f64], capacity: f64) -> Option<Vec<Vec<usize>>> {
    let mut bins: Vec<(f64, Vec<usize>)> = Vec::new();
    for (i, size) in sizes.iter().enumerate() {
        if *size > capacity + EXACT_M {
            return None;
        }
        match bins.iter_mut().find(|b| b.0 + size <= capacity + EXACT_M) {
            Some(bin) => {
                bin.0 += size;
                bin.1.push(i);
            }
            None => bins.push((*size, vec![i])),
        }
    }
    Some(bins.into_iter().map(|b| b.1).collect())
}

/// The customary plan, to compare with: the longest piece first, each into the first bar in which it fits, all bars of
/// the one length for sale with which that comes cheapest.
///
/// # Errors
/// As [`plan_bars`].
pub fn first_fit_decreasing(
    pieces: &[Piece],
    stock: &[BarStock],
    kerf_m: f64,
) -> Result<BarPlan, BuildError> {
    let problem = problem(pieces, stock, kerf_m)?;
    let best = problem
        .stock
        .iter()
        .filter_map(|s| {
            let bins = first_fit(&problem.sizes, s.0)?;
            let cost = s.1 * crate::real(bins.len());
            Some((cost, bins, s.2))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((_, bins, which)) = best else {
        return Err(BuildError::NoStock { what: "lengths" });
    };
    let chosen = vec![which; bins.len()];
    Ok(told(pieces, stock, kerf_m, &problem, &bins, &chosen, false))
}

/// The cheapest way to cut the pieces; see [`BarPlan::proven_best`].
///
/// Starts from the best of first fit and of bars filled to the brim one after the other, and then searches with bounds (branch and bound over the pieces
/// by falling length, `search.rs`) until nothing is left to try or a fixed number of steps is spent: some tenths of a second.
/// Never dearer than [`first_fit_decreasing`].
///
/// # Errors
/// Nothing for sale, a piece longer than all of it, lengths or prices that cannot be.
pub fn plan_bars(pieces: &[Piece], stock: &[BarStock], kerf_m: f64) -> Result<BarPlan, BuildError> {
    let problem = problem(pieces, stock, kerf_m)?;
    let (bins, proven) = search(&problem);
    let chosen: Vec<usize> = bins
        .iter()
        .map(|b| {
            let size = b.iter().map(|i| problem.sizes[*i]).sum();
            problem.cheapest(size).map_or(0, |c| c.1)
        })
        .collect();
    Ok(told(
        pieces, stock, kerf_m, &problem, &bins, &chosen, proven,
    ))
}

fn told(
    pieces: &[Piece],
    stock: &[BarStock],
    kerf_m: f64,
    problem: &Problem,
    bins: &[Vec<usize>],
    chosen: &[usize],
    proven_best: bool,
) -> BarPlan {
    let mut bars: Vec<Bar> = bins
        .iter()
        .zip(chosen)
        .map(|(bin, which)| {
            let cut: Vec<usize> = bin.iter().map(|i| problem.order[*i]).collect();
            let used: f64 = cut.iter().map(|i| pieces[*i].length_m + kerf_m).sum();
            Bar {
                stock: *which,
                pieces: cut,
                // The cut after the last piece is only made when something is over.
                left_m: (stock[*which].length_m - used).max(0.0),
            }
        })
        .collect();
    bars.sort_by(|a, b| a.left_m.total_cmp(&b.left_m).then(a.pieces.cmp(&b.pieces)));
    BarPlan {
        cost: bars.iter().map(|b| stock[b.stock].price).sum(),
        bought_m: bars.iter().map(|b| stock[b.stock].length_m).sum(),
        used_m: pieces.iter().map(|p| p.length_m).sum(),
        bars,
        proven_best,
    }
}
