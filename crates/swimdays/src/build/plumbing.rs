//! Pipe and fittings of the plumbing, counted.

use swimdays_build::{Piece, diameter};
use swimdays_pump::hydraulics::{FittingKind, Network, Piece as Length};
use swimdays_quantity::Units;
use swimdays_scenario::{HeaterBranch, Hydraulics};

/// An end of a network.
#[derive(Clone, Copy)]
pub(super) enum End {
    First,
    Last,
}

/// Whether the pipe that leads to the heaters, and the one that leads back, ends in one tube alone. Then one fitting joins
/// both, a barb on either side; where several tubes meet they come together in tees, which take a barb each.
pub(super) fn joined_at(h: &Hydraulics) -> (bool, bool) {
    let alone = |branch: Option<&HeaterBranch>| {
        branch.is_some_and(|b| {
            let tubes = b.network.pieces().filter(|p| p.tube.length_m > 0.0);
            tubes.count() == 1 && h.heaters.iter().filter(|o| o.group == b.group).count() == 1
        })
    };
    (alone(h.heaters.first()), alone(h.heaters.last()))
}

/// Runs of pipe by their bore, none longer than what is sold, and what sits in them. At the end `joined` one barb of the pipe
/// is counted with the tube that it meets.
pub(super) fn pipes(
    network: &Network,
    longest_m: f64,
    joined: Option<End>,
    units: Units,
    to: &mut Vec<(String, Vec<Piece>)>,
    add: &mut dyn FnMut(&str, &str, usize),
) {
    let barbed = |p: &Length| {
        let barbs = p.fittings.iter();
        barbs
            .map(|f| (f.kind, f.count))
            .any(|(kind, n)| matches!(kind, FittingKind::Barb { .. }) && n > 0)
    };
    let shared = joined.and_then(|end| {
        let all: Vec<_> = network.pieces().collect();
        match end {
            End::First => all.iter().position(|p| barbed(p)),
            End::Last => all.iter().rposition(|p| barbed(p)),
        }
    });
    for (at, piece) in network.pieces().enumerate() {
        let bore = diameter(piece.tube.bore_m, units);
        let mut left = piece.tube.length_m;
        let mut cut = |length_m: f64| {
            let made = Piece {
                name: piece.name.clone(),
                length_m,
            };
            match to.iter_mut().find(|(b, _)| *b == bore) {
                Some((_, same)) => same.push(made),
                None => to.push((bore.clone(), vec![made])),
            }
        };
        while longest_m > 0.0 && left > longest_m + 1e-9 {
            cut(longest_m);
            add("hose connector", &bore, 1);
            left -= longest_m;
        }
        if left > 1e-6 {
            cut(left);
        }
        let spared = u32::from(shared == Some(at));
        fittings(piece, units, Some(spared), add);
    }
}

/// What sits in one piece, by the bore of its tube; its barbs but for so many, or none of them.
pub(super) fn fittings(
    piece: &Length,
    units: Units,
    barbs_but: Option<u32>,
    add: &mut dyn FnMut(&str, &str, usize),
) {
    let bore = diameter(piece.tube.bore_m, units);
    for f in &piece.fittings {
        let between = |other_m: f64| format!("{bore} to {}", diameter(other_m, units));
        let (name, size) = match f.kind {
            FittingKind::Elbow => ("elbow", bore.clone()),
            FittingKind::SweepElbow => ("sweep elbow", bore.clone()),
            FittingKind::Elbow45 => ("45-degree elbow", bore.clone()),
            FittingKind::TeeThrough | FittingKind::TeeBranch => ("tee", bore.clone()),
            FittingKind::Valve { .. } => ("valve", bore.clone()),
            FittingKind::CheckValve => ("check valve", bore.clone()),
            FittingKind::Contraction { to_bore_m }
            | FittingKind::Expansion { to_bore_m }
            | FittingKind::Reducer { to_bore_m, .. } => ("reducer", between(to_bore_m)),
            FittingKind::Barb { .. } => ("barb", format!("for {bore} hose")),
            _ => continue,
        };
        let count = match (f.kind, barbs_but) {
            (FittingKind::Barb { .. }, None) => 0,
            (FittingKind::Barb { .. }, Some(but)) => f.count.saturating_sub(but),
            _ => f.count,
        };
        add(name, &size, count as usize);
    }
}

/// Tees of what stands side by side: one fewer than branches at either end.
pub(super) fn tees(h: &Hydraulics, units: Units, add: &mut dyn FnMut(&str, &str, usize)) {
    fn within(network: &Network) -> usize {
        match network {
            Network::Piece(_) => 0,
            Network::Series(all) => all.iter().map(within).sum(),
            Network::SideBySide(all) => {
                2 * all.len().saturating_sub(1) + all.iter().map(within).sum::<usize>()
            }
        }
    }
    let mut groups: Vec<usize> = h.heaters.iter().map(|b| b.group).collect();
    groups.sort_unstable();
    groups.dedup();
    let between = 2 * (h.heaters.len() - groups.len());
    let inside: usize = h.heaters.iter().map(|b| within(&b.network)).sum();
    // They sit in the pipe that leads to the heaters.
    let size = h
        .supply
        .pieces()
        .filter(|p| p.tube.length_m > 0.0)
        .last()
        .map_or_else(String::new, |p| diameter(p.tube.bore_m, units));
    add("tee", &size, between + inside);
}
