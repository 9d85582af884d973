//! What things are sold in, and for how much: the builder's own list, with generic sizes where nothing is said.
//!
//! Sizes are common trade sizes without brand (common practice, no source). There are no default prices: a price that is not
//! known is absent, never 0.

use swimdays_quantity::Units;

use crate::cut::{BarStock, SheetStock};

/// How something is sold.
#[derive(Clone, Debug, PartialEq)]
pub struct Pack {
    /// What one is called: "bag of 100", "gallon can".
    pub name: String,
    /// How much is in one: pieces, litres, m², m.
    pub holds: f64,
    /// Price of one.
    pub price: Option<f64>,
}

impl Pack {
    /// A pack without a price.
    #[must_use]
    pub fn of(name: &str, holds: f64) -> Self {
        Self {
            name: name.into(),
            holds,
            price: None,
        }
    }
}

/// A fitting or another thing bought by the piece.
#[derive(Clone, Debug, PartialEq)]
pub struct ItemPrice {
    /// As in the parts list: "elbow", "hose clamp", "pump".
    pub name: String,
    /// Price of one.
    pub price: f64,
}

/// The shop.
#[derive(Clone, Debug, PartialEq)]
pub struct Shop {
    /// Sheets for boards.
    pub sheets: Vec<SheetStock>,
    /// Studs or battens.
    pub studs: Vec<BarStock>,
    /// Cross-section of a stud as it is, not as it is called, m.
    pub stud_section_m: (f64, f64),
    /// Coils of the heater's tube.
    pub coils: Vec<BarStock>,
    /// Hose or pipe for the connecting runs.
    pub hose: Vec<BarStock>,
    /// Cans of paint, litres.
    pub paint: Vec<Pack>,
    /// What a litre covers once, m²/L.
    pub coverage_m2_l: f64,
    /// Coats.
    pub coats: usize,
    /// Ties or clips, pieces.
    pub ties: Vec<Pack>,
    /// Screws, pieces.
    pub screws: Vec<Pack>,
    /// Insulation boards, m².
    pub insulation: Vec<Pack>,
    /// Clear sheets for a lid.
    pub lid_sheets: Vec<SheetStock>,
    /// Things by the piece.
    pub items: Vec<ItemPrice>,
    /// Width of the saw cut, m.
    pub kerf_m: f64,
}

/// What a litre of outdoor paint covers once on bare plywood, m²/L: 6–10 on rough or thirsty wood, 10–12 on smooth (350–400 ft²
/// a gallon is 8.6–9.8; common practice, no source).
pub const COVERAGE_M2_L: f64 = 8.0;

/// Litres in a US gallon: exact.
const GALLON_L: f64 = 3.785_411_784;
const FOOT_M: f64 = 0.304_8;
const INCH_M: f64 = 0.025_4;

fn lengths(of_m: &[f64]) -> Vec<BarStock> {
    of_m.iter()
        .map(|length_m| BarStock {
            length_m: *length_m,
            price: None,
        })
        .collect()
}

impl Shop {
    /// Generic sizes of a country that builds in feet or in metres.
    #[must_use]
    pub fn generic(units: Units) -> Self {
        match units {
            Units::Us => Self::us(),
            Units::Metric => Self::metric(),
        }
    }

    fn us() -> Self {
        let sheet = |l: f64, w: f64| SheetStock {
            length_m: l * FOOT_M,
            width_m: w * FOOT_M,
            price: None,
        };
        Self {
            sheets: vec![sheet(8.0, 4.0)],
            studs: lengths(&[8.0 * FOOT_M, 10.0 * FOOT_M, 12.0 * FOOT_M]),
            // A "2 × 4".
            stud_section_m: (1.5 * INCH_M, 3.5 * INCH_M),
            coils: lengths(&[100.0 * FOOT_M, 200.0 * FOOT_M, 500.0 * FOOT_M]),
            hose: lengths(&[25.0 * FOOT_M, 50.0 * FOOT_M, 100.0 * FOOT_M]),
            paint: vec![
                Pack::of("quart can", 0.25 * GALLON_L),
                Pack::of("gallon can", GALLON_L),
            ],
            coverage_m2_l: COVERAGE_M2_L,
            coats: 2,
            ties: vec![Pack::of("bag of 100", 100.0)],
            screws: vec![Pack::of("box of 100", 100.0)],
            insulation: vec![Pack::of("4 × 8 ft board", 32.0 * FOOT_M * FOOT_M)],
            lid_sheets: vec![sheet(8.0, 4.0), sheet(8.0, 2.0)],
            items: Vec::new(),
            // A circular saw's blade: 3/32 to 1/8 in.
            kerf_m: 0.125 * INCH_M,
        }
    }

    fn metric() -> Self {
        let sheet = |length_m: f64, width_m: f64| SheetStock {
            length_m,
            width_m,
            price: None,
        };
        Self {
            sheets: vec![sheet(2.5, 1.25), sheet(2.44, 1.22)],
            studs: lengths(&[2.4, 3.0, 3.6, 4.2]),
            stud_section_m: (0.045, 0.07),
            coils: lengths(&[25.0, 50.0, 100.0]),
            hose: lengths(&[10.0, 25.0, 50.0]),
            paint: vec![Pack::of("0.75 L can", 0.75), Pack::of("2.5 L can", 2.5)],
            coverage_m2_l: COVERAGE_M2_L,
            coats: 2,
            ties: vec![Pack::of("bag of 100", 100.0)],
            screws: vec![Pack::of("box of 100", 100.0)],
            insulation: vec![Pack::of("1.2 × 0.6 m board", 0.72)],
            lid_sheets: vec![sheet(2.0, 1.0), sheet(3.0, 1.0)],
            items: Vec::new(),
            kerf_m: 0.003,
        }
    }

    /// Price of a thing bought by the piece.
    #[must_use]
    pub fn price_of(&self, name: &str) -> Option<f64> {
        self.items.iter().find(|i| i.name == name).map(|i| i.price)
    }
}

/// Which pack and how many of it, once a kind.
pub type Mix = Vec<(usize, usize)>;

/// Which packs to buy for an amount: the cheapest mix when all have prices, else the one with the least left over, fewest first.
#[must_use]
pub fn packs_for(amount: f64, packs: &[Pack]) -> Mix {
    let usable: Vec<usize> = (0..packs.len()).filter(|i| packs[*i].holds > 0.0).collect();
    if amount <= 0.0 || usable.is_empty() {
        return Vec::new();
    }
    let priced = usable.iter().all(|i| packs[*i].price.is_some());
    // Any number of the largest pack, topped up by one other kind: enough for two or three sizes on a shelf.
    let mut best: Option<(f64, usize, Mix)> = None;
    for &a in &usable {
        let most = crate::whole((amount / packs[a].holds - 1e-9).ceil()).max(1);
        for n in most.saturating_sub(3)..=most {
            let rest = amount - crate::real(n) * packs[a].holds;
            for &b in &usable {
                let m = if rest > 1e-9 {
                    crate::whole((rest / packs[b].holds - 1e-9).ceil()).max(1)
                } else {
                    0
                };
                let mut mix = Mix::new();
                if n > 0 {
                    mix.push((a, n));
                }
                match mix.iter_mut().find(|x| x.0 == b) {
                    Some(same) => same.1 += m,
                    None if m > 0 => mix.push((b, m)),
                    None => {}
                }
                let cost: f64 = mix
                    .iter()
                    .map(|(i, k)| {
                        let each = packs[*i]
                            .price
                            .filter(|_| priced)
                            .unwrap_or(packs[*i].holds);
                        each * crate::real(*k)
                    })
                    .sum();
                let count: usize = mix.iter().map(|x| x.1).sum();
                let better = best.as_ref().is_none_or(|(c, k, _)| {
                    cost < c - 1e-9 || ((cost - c).abs() <= 1e-9 && count < *k)
                });
                if better {
                    best = Some((cost, count, mix));
                }
            }
        }
    }
    best.map_or_else(Vec::new, |b| b.2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_price_is_made_up() {
        for units in [Units::Us, Units::Metric] {
            let shop = Shop::generic(units);
            assert!(shop.sheets.iter().all(|s| s.price.is_none()));
            assert!(
                shop.coils
                    .iter()
                    .chain(&shop.studs)
                    .all(|s| s.price.is_none())
            );
            assert!(shop.items.is_empty());
        }
    }

    #[test]
    fn cans_of_paint() {
        // 1.6 L from cans of 0.75 and 2.5 L: three small ones hold 2.25, one large 2.5. Least left over: three small.
        let mut cans = vec![Pack::of("0.75 L can", 0.75), Pack::of("2.5 L can", 2.5)];
        assert_eq!(packs_for(1.6, &cans), vec![(0, 3)]);
        // At 14 and 30 the large one is cheaper than 42; 3.2 L: one of each at 44.
        cans[0].price = Some(14.0);
        cans[1].price = Some(30.0);
        assert_eq!(packs_for(1.6, &cans), vec![(1, 1)]);
        let mut mix = packs_for(3.2, &cans);
        mix.sort_unstable();
        assert_eq!(mix, vec![(0, 1), (1, 1)]);
        assert!(packs_for(0.0, &cans).is_empty());
    }
}
