//! The search behind the cutting plan: good packings first, then branch and bound.

use super::bars::{EXACT_M, Problem, first_fit};

/// Steps of the search at most: some tenths of a second. A count and not a clock, so that the same input always gives the same plan.
const STEPS: usize = 300_000;
/// Two costs this close are the same, relative.
const SAME: f64 = 1e-9;

/// Bins of indices into the problem's sizes, and whether nothing is better.
pub(super) fn search(problem: &Problem) -> (Vec<Vec<usize>>, bool) {
    if problem.sizes.is_empty() {
        return (Vec::new(), true);
    }
    let mut best = start(problem);
    let rate = problem
        .stock
        .iter()
        .map(|s| s.1 / s.0)
        .fold(f64::INFINITY, f64::min);
    let total: f64 = problem.sizes.iter().sum();
    let mut filling = Filling {
        problem,
        rate,
        best_cost: problem.measure(&best),
        best: None,
        steps: BARS,
        bins: Vec::new(),
    };
    filling.go(&(0..problem.sizes.len()).collect::<Vec<_>>(), 0.0);
    if let Some(found) = filling.best {
        best = found;
    }
    let best_cost = problem.measure(&best);
    let mut left = vec![0.0; problem.sizes.len() + 1];
    for i in (0..problem.sizes.len()).rev() {
        left[i] = left[i + 1] + problem.sizes[i];
    }
    let mut state = State {
        problem,
        rate,
        left,
        best_cost,
        found: None,
        steps: 0,
        bins: Vec::new(),
    };
    if lower_bound(problem, total, rate) < best_cost * (1.0 - SAME) {
        state.place(0, 0);
    }
    let proven = state.steps < STEPS;
    if let Some(found) = state.found {
        best = found;
    }
    (best, proven)
}

/// First fit with the length that comes cheapest.
fn start(problem: &Problem) -> Vec<Vec<usize>> {
    problem
        .stock
        .iter()
        .filter_map(|s| first_fit(&problem.sizes, s.0))
        .min_by(|a, b| problem.measure(a).total_cmp(&problem.measure(b)))
        .unwrap_or_default()
}

/// Bar after bar, each begun with the longest piece left and filled in one of the ways that fill some length best; goes back to
/// the next best way while steps are left. Finds what the search piece by piece finds late: many bars filled to the brim.
struct Filling<'a> {
    problem: &'a Problem,
    rate: f64,
    best_cost: f64,
    best: Option<Vec<Vec<usize>>>,
    /// Bars still to be tried.
    steps: usize,
    bins: Vec<Vec<usize>>,
}

/// Ways to fill one bar that are followed.
const WAYS: usize = 6;
/// Sets of pieces looked at for one bar.
const SETS: usize = 4_000;
/// Bars tried in all.
const BARS: usize = 1_500;

impl Filling<'_> {
    fn go(&mut self, open: &[usize], cost: f64) {
        let Some((&first, rest)) = open.split_first() else {
            if cost < self.best_cost * (1.0 - SAME) {
                self.best_cost = cost;
                self.best = Some(self.bins.clone());
            }
            return;
        };
        let size: f64 = open.iter().map(|i| self.problem.sizes[*i]).sum();
        let least = cost + lower_bound(self.problem, size, self.rate);
        if least >= self.best_cost * (1.0 - SAME) || self.steps == 0 {
            return;
        }
        self.steps -= 1;
        let begun = self.problem.sizes[first];
        let mut ways: Vec<(f64, f64, Vec<usize>)> = Vec::new();
        for s in &self.problem.stock {
            let room = s.0 - begun;
            if room < -EXACT_M {
                continue;
            }
            for (used, picked) in fills(self.problem, rest, room) {
                ways.push((s.1 / (begun + used), s.1, picked));
            }
        }
        ways.sort_by(|a, b| a.0.total_cmp(&b.0));
        ways.truncate(WAYS);
        for (_, price, picked) in ways {
            let left: Vec<usize> = rest
                .iter()
                .copied()
                .filter(|i| !picked.contains(i))
                .collect();
            self.bins
                .push(std::iter::once(first).chain(picked).collect());
            self.go(&left, cost + price);
            self.bins.pop();
        }
    }
}

/// The sets of pieces that fill `room` best, the fullest first.
fn fills(problem: &Problem, open: &[usize], room: f64) -> Vec<(f64, Vec<usize>)> {
    let mut best = Vec::new();
    let mut budget = SETS;
    fill(
        problem,
        open,
        room,
        0.0,
        &mut Vec::new(),
        &mut best,
        &mut budget,
    );
    best
}

fn fill(
    problem: &Problem,
    open: &[usize],
    room: f64,
    used: f64,
    now: &mut Vec<usize>,
    best: &mut Vec<(f64, Vec<usize>)>,
    budget: &mut usize,
) {
    let place = best.partition_point(|b| b.0 >= used);
    if place < WAYS {
        best.insert(place, (used, now.clone()));
        best.truncate(WAYS);
    }
    for (k, i) in open.iter().enumerate() {
        if *budget == 0 {
            return;
        }
        // Of equal pieces the first stands for all.
        let twin = k > 0 && (problem.sizes[open[k - 1]] - problem.sizes[*i]).abs() < EXACT_M;
        if twin || used + problem.sizes[*i] > room + EXACT_M {
            continue;
        }
        *budget -= 1;
        now.push(*i);
        fill(
            problem,
            &open[k + 1..],
            room,
            used + problem.sizes[*i],
            now,
            best,
            budget,
        );
        now.pop();
    }
}

/// No packing costs less: all length at the best price per length, and when one length is for sale whole bars of it.
fn lower_bound(problem: &Problem, size: f64, rate: f64) -> f64 {
    match problem.stock.as_slice() {
        [one] => one.1 * (size / one.0 - EXACT_M).ceil(),
        _ => size * rate,
    }
}

struct State<'a> {
    problem: &'a Problem,
    /// Best price per length.
    rate: f64,
    /// Size of all pieces from each on.
    left: Vec<f64>,
    best_cost: f64,
    found: Option<Vec<Vec<usize>>>,
    steps: usize,
    /// Size and pieces of each bin.
    bins: Vec<(f64, Vec<usize>)>,
}

impl State<'_> {
    /// Places piece `i` and all after it; a twin of the piece before goes into the same bin or a later one (`from`).
    fn place(&mut self, i: usize, from: usize) {
        if self.steps >= STEPS {
            return;
        }
        self.steps += 1;
        if i == self.problem.sizes.len() {
            let cost: f64 = self.bins.iter().map(|b| self.cost(b.0)).sum();
            if cost < self.best_cost * (1.0 - SAME) {
                self.best_cost = cost;
                self.found = Some(self.bins.iter().map(|b| b.1.clone()).collect());
            }
            return;
        }
        if self.bound(i) >= self.best_cost * (1.0 - SAME) {
            return;
        }
        let size = self.problem.sizes[i];
        let next_is_twin = self
            .problem
            .sizes
            .get(i + 1)
            .is_some_and(|n| (n - size).abs() < EXACT_M);
        let largest = self.problem.largest();
        let mut tried: Vec<f64> = Vec::new();
        for b in from..self.bins.len() {
            let used = self.bins[b].0;
            // Bins that are equally full are the same bin.
            if used + size > largest + EXACT_M || tried.iter().any(|t| (t - used).abs() < EXACT_M) {
                continue;
            }
            tried.push(used);
            self.bins[b].0 += size;
            self.bins[b].1.push(i);
            self.place(i + 1, if next_is_twin { b } else { 0 });
            self.bins[b].0 = used;
            self.bins[b].1.pop();
        }
        self.bins.push((size, vec![i]));
        let last = self.bins.len() - 1;
        self.place(i + 1, if next_is_twin { last } else { 0 });
        self.bins.pop();
    }

    fn cost(&self, size: f64) -> f64 {
        self.problem.cheapest(size).map_or(f64::INFINITY, |c| c.0)
    }

    /// Bins only grow dearer; what does not fit into their rest up to the longest length needs new ones.
    fn bound(&self, i: usize) -> f64 {
        let now: f64 = self.bins.iter().map(|b| self.cost(b.0)).sum();
        let largest = self.problem.largest();
        let smallest = self.problem.sizes.last().copied().unwrap_or(0.0);
        // A rest that is smaller than the smallest piece stays empty.
        let (mut closed, mut open_used, mut room) = (0.0, 0.0, 0.0);
        for b in &self.bins {
            let rest = largest - b.0;
            if rest + EXACT_M < smallest {
                closed += self.cost(b.0);
            } else {
                open_used += b.0;
                room += rest;
            }
        }
        let beyond = (self.left[i] - room).max(0.0);
        let by_rate = closed + (open_used + self.left[i]) * self.rate;
        let more = match self.problem.stock.as_slice() {
            [one] => one.1 * (beyond / one.0 - EXACT_M).ceil(),
            _ => beyond * self.rate,
        };
        (now + more).max(by_rate)
    }
}
