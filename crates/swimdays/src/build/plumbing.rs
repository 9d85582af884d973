//! Pipe and fittings of the plumbing, counted.

use swimdays_build::{Piece, diameter};
use swimdays_pump::hydraulics::{FittingKind, Network};
use swimdays_quantity::Units;

/// Runs of pipe by their bore, none longer than what is sold, and what sits in them.
pub(super) fn pipes(
    network: &Network,
    longest_m: f64,
    units: Units,
    to: &mut Vec<(String, Vec<Piece>)>,
    add: &mut dyn FnMut(&str, &str, usize),
) {
    for piece in network.pieces() {
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
        fittings(piece, units, true, add);
    }
}

/// What sits in one piece, by the bore of its tube.
pub(super) fn fittings(
    piece: &swimdays_pump::hydraulics::Piece,
    units: Units,
    barbs: bool,
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
            FittingKind::Barb { .. } if barbs => ("barb", format!("for {bore} hose")),
            _ => continue,
        };
        add(name, &size, f.count as usize);
    }
}

/// Tees of what stands side by side: one fewer than branches at either end.
pub(super) fn tees(
    h: &swimdays_scenario::Hydraulics,
    units: Units,
    add: &mut dyn FnMut(&str, &str, usize),
) {
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
