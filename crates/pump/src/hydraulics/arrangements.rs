//! The same pieces plumbed in every regular way.

use super::network::Network;

/// How pieces are plumbed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ArrangementKind {
    /// All one after the other.
    Series,
    /// All from tee to tee.
    SideBySide,
    /// So many strings side by side, the pieces of a string in series.
    Strings {
        /// How many strings.
        strings: usize,
    },
    /// So many groups one after the other, the pieces of a group side by side.
    Groups {
        /// How many groups.
        groups: usize,
    },
}

/// A way to plumb them.
#[derive(Clone, Debug, PartialEq)]
pub struct Arrangement {
    /// Which way.
    pub kind: ArrangementKind,
    /// The pieces so plumbed.
    pub network: Network,
}

/// Pieces in neighbouring lots, as even as can be, the larger first.
fn lots(pieces: &[Network], count: usize) -> Vec<Vec<Network>> {
    let (each, more) = (pieces.len() / count, pieces.len() % count);
    let mut rest = pieces;
    (0..count)
        .map(|i| {
            let (lot, tail) = rest.split_at(each + usize::from(i < more));
            rest = tail;
            lot.to_vec()
        })
        .collect()
}

fn lone(mut lot: Vec<Network>, join: fn(Vec<Network>) -> Network) -> Network {
    if lot.len() == 1 {
        lot.remove(0)
    } else {
        join(lot)
    }
}

/// Every regular way to plumb `pieces`: all in series, all side by side, and for each number in between that many
/// strings side by side and that many groups in series.
///
/// Each piece stands for a heater with its own connecting runs. Side by side their ends must be at like heights.
/// Where the number does not divide, strings and groups differ by one piece: the short string then takes more flow.
#[must_use]
pub fn arrangements(pieces: &[Network]) -> Vec<Arrangement> {
    if pieces.is_empty() {
        return Vec::new();
    }
    let mut ways = vec![Arrangement {
        kind: ArrangementKind::Series,
        network: lone(pieces.to_vec(), Network::Series),
    }];
    if pieces.len() == 1 {
        return ways;
    }
    ways.push(Arrangement {
        kind: ArrangementKind::SideBySide,
        network: Network::SideBySide(pieces.to_vec()),
    });
    for count in 2..pieces.len() {
        let each = |join: fn(Vec<Network>) -> Network| -> Vec<Network> {
            lots(pieces, count)
                .into_iter()
                .map(|lot| lone(lot, join))
                .collect()
        };
        ways.push(Arrangement {
            kind: ArrangementKind::Strings { strings: count },
            network: Network::SideBySide(each(Network::Series)),
        });
        ways.push(Arrangement {
            kind: ArrangementKind::Groups { groups: count },
            network: Network::Series(each(Network::SideBySide)),
        });
    }
    ways
}

#[cfg(test)]
mod tests {
    use super::super::{Bend, Piece, Tube};
    use super::*;

    fn coils(count: usize) -> Vec<Network> {
        let tube = Tube {
            length_m: 60.0,
            bore_m: 0.0152,
            roughness_m: 1.5e-6,
            bend: Bend::Straight,
        };
        (0..count)
            .map(|i| Piece::run(format!("coil {i}"), tube).into())
            .collect()
    }

    #[test]
    fn every_way_holds_every_piece_once() {
        for count in 1..=6 {
            let pieces = coils(count);
            let ways = arrangements(&pieces);
            // Series; side by side; two for each number between: by hand 1, 2, 4, 6, 8, 10.
            assert_eq!(ways.len(), if count == 1 { 1 } else { 2 * (count - 1) });
            for way in ways {
                let names: Vec<&str> = way.network.pieces().map(|p| p.name.as_str()).collect();
                let all: Vec<&str> = pieces
                    .iter()
                    .flat_map(Network::pieces)
                    .map(|p| p.name.as_str())
                    .collect();
                assert_eq!(names, all, "{:?}", way.kind);
            }
        }
    }

    #[test]
    fn four_in_pairs() {
        let ways = arrangements(&coils(4));
        let pairs = ways
            .iter()
            .find(|w| w.kind == ArrangementKind::Strings { strings: 2 })
            .expect("pairs");
        let Network::SideBySide(strings) = &pairs.network else {
            panic!("strings are side by side")
        };
        assert!(strings.iter().all(|s| s.pieces().count() == 2));
    }
}
