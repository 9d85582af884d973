//! Rectangles from sheets by straight cuts from edge to edge, as a panel saw or a circular saw with a rail makes them.

use crate::BuildError;
use crate::error::within;

/// A rectangle to be cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// What it becomes.
    pub name: String,
    /// One side, m.
    pub length_m: f64,
    /// The other, m.
    pub width_m: f64,
    /// May be turned by a quarter; not when the grain matters.
    pub may_turn: bool,
}

/// A sheet that is for sale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SheetStock {
    /// Along x, m.
    pub length_m: f64,
    /// Across, m.
    pub width_m: f64,
    /// Price of one; absent when not known.
    pub price: Option<f64>,
}

/// A rectangle in its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placed {
    /// Which one.
    pub panel: usize,
    /// Lower left corner, m.
    pub x_m: f64,
    /// Lower left corner, m.
    pub y_m: f64,
    /// Side along x, m.
    pub length_m: f64,
    /// Side along y, m.
    pub width_m: f64,
}

/// One bought sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Which of the sheets for sale.
    pub stock: usize,
    /// What is cut from it.
    pub placed: Vec<Placed>,
}

/// How all rectangles are cut.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetPlan {
    /// Bought sheets.
    pub sheets: Vec<Sheet>,
    /// Cost in all; absent when a price is.
    pub cost: Option<f64>,
    /// Area bought, m².
    pub bought_m2: f64,
    /// Area of all rectangles, m².
    pub used_m2: f64,
    /// As few sheets of one size as the area allows: no plan with that size is better.
    pub proven_best: bool,
}

impl SheetPlan {
    /// What is not in a panel, as a share of what is bought.
    #[must_use]
    pub fn waste_frac(&self) -> f64 {
        if self.bought_m2 > 0.0 {
            1.0 - self.used_m2 / self.bought_m2
        } else {
            0.0
        }
    }
}

const EXACT_M: f64 = 1e-9;

/// A rest of a sheet.
#[derive(Clone, Copy)]
struct Rest {
    sheet: usize,
    x: f64,
    y: f64,
    l: f64,
    w: f64,
}

/// How the rest beside a placed rectangle is divided.
#[derive(Clone, Copy)]
enum Split {
    /// The first cut runs along x.
    Along,
    /// The first cut runs along y.
    Across,
    /// The cut that leaves the larger single rest.
    Larger,
}

/// Rectangles from the cheapest kind of sheet (by area when a price is missing).
///
/// Rectangles go by falling area, length or width into the rest in which they fit most closely, which is then cut from edge to
/// edge; of all such ways the one with the fewest sheets is taken. It is a good plan and not always the best.
///
/// # Errors
/// No sheets for sale, a rectangle larger than all of them, sides or prices that cannot be.
pub fn plan_sheets(
    panels: &[Panel],
    stock: &[SheetStock],
    kerf_m: f64,
) -> Result<SheetPlan, BuildError> {
    within("width of the saw cut, m", kerf_m, 0.0, 0.05)?;
    if stock.is_empty() {
        return Err(BuildError::NoStock { what: "sheets" });
    }
    for s in stock {
        within("side of a sheet, m", s.length_m, 0.01, 100.0)?;
        within("side of a sheet, m", s.width_m, 0.01, 100.0)?;
        if let Some(price) = s.price {
            within("price", price, 0.0, 1e9)?;
        }
    }
    for p in panels {
        within("side of a panel, m", p.length_m, 1e-3, 100.0)?;
        within("side of a panel, m", p.width_m, 1e-3, 100.0)?;
        if !stock.iter().any(|s| holds(s, p)) {
            return Err(BuildError::PartTooLarge {
                part: p.name.clone(),
                part_m: (p.length_m, p.width_m),
            });
        }
    }
    let priced = stock.iter().all(|s| s.price.is_some());
    let measure = |sheets: &[Sheet]| -> f64 {
        sheets
            .iter()
            .map(|s| {
                let kind = &stock[s.stock];
                match kind.price {
                    Some(price) if priced => price,
                    _ => kind.length_m * kind.width_m,
                }
            })
            .sum()
    };
    let mut best: Option<Vec<Sheet>> = None;
    for (i, kind) in stock.iter().enumerate() {
        if !panels.iter().all(|p| holds(kind, p)) {
            continue;
        }
        for order in orders(panels) {
            for split in [Split::Along, Split::Across, Split::Larger] {
                let sheets = pack(panels, &order, (i, kind), kerf_m, split);
                if best
                    .as_ref()
                    .is_none_or(|b| measure(&sheets) < measure(b) - EXACT_M)
                {
                    best = Some(sheets);
                }
            }
        }
    }
    // No one size holds all: each panel goes to the first size that holds it.
    let sheets = best.unwrap_or_else(|| mixed(panels, stock, kerf_m));
    let used_m2: f64 = panels.iter().map(|p| p.length_m * p.width_m).sum();
    let area = |s: &Sheet| stock[s.stock].length_m * stock[s.stock].width_m;
    let least = |one: f64| crate::whole((used_m2 / one - EXACT_M).ceil());
    Ok(SheetPlan {
        cost: sheets.iter().map(|s| stock[s.stock].price).sum(),
        bought_m2: sheets.iter().map(area).sum(),
        used_m2,
        proven_best: stock.len() == 1
            && sheets
                .first()
                .is_none_or(|s| least(area(s)) == sheets.len()),
        sheets,
    })
}

fn holds(s: &SheetStock, p: &Panel) -> bool {
    let fits = |l: f64, w: f64| l <= s.length_m + EXACT_M && w <= s.width_m + EXACT_M;
    fits(p.length_m, p.width_m) || (p.may_turn && fits(p.width_m, p.length_m))
}

fn orders(panels: &[Panel]) -> Vec<Vec<usize>> {
    let by = |key: fn(&Panel) -> f64| {
        let mut order: Vec<usize> = (0..panels.len()).collect();
        order.sort_by(|a, b| key(&panels[*b]).total_cmp(&key(&panels[*a])));
        order
    };
    vec![
        by(|p| p.length_m * p.width_m),
        by(|p| p.length_m.max(p.width_m)),
        by(|p| p.length_m.min(p.width_m)),
        by(|p| p.length_m),
        by(|p| p.width_m),
    ]
}

fn mixed(panels: &[Panel], stock: &[SheetStock], kerf_m: f64) -> Vec<Sheet> {
    let mut out = Vec::new();
    for (i, kind) in stock.iter().enumerate() {
        let order: Vec<usize> = (0..panels.len())
            .filter(|p| stock.iter().position(|s| holds(s, &panels[*p])) == Some(i))
            .collect();
        out.extend(pack(panels, &order, (i, kind), kerf_m, Split::Larger));
    }
    out
}

fn pack(
    panels: &[Panel],
    order: &[usize],
    (which, kind): (usize, &SheetStock),
    kerf: f64,
    split: Split,
) -> Vec<Sheet> {
    let mut sheets: Vec<Sheet> = Vec::new();
    let mut rests: Vec<Rest> = Vec::new();
    for &i in order {
        let p = &panels[i];
        let ways = [(p.length_m, p.width_m), (p.width_m, p.length_m)];
        let ways = &ways[..if p.may_turn { 2 } else { 1 }];
        let fit = |rests: &[Rest]| {
            let mut best: Option<(f64, usize, (f64, f64))> = None;
            for (k, r) in rests.iter().enumerate() {
                for &(l, w) in ways {
                    if l > r.l + EXACT_M || w > r.w + EXACT_M {
                        continue;
                    }
                    // The closer one side fits, the better.
                    let slack = (r.l - l).min(r.w - w);
                    if best.is_none_or(|b| slack < b.0 - EXACT_M) {
                        best = Some((slack, k, (l, w)));
                    }
                }
            }
            best
        };
        let mut found = fit(&rests);
        if found.is_none() {
            rests.push(Rest {
                sheet: sheets.len(),
                x: 0.0,
                y: 0.0,
                l: kind.length_m,
                w: kind.width_m,
            });
            sheets.push(Sheet {
                stock: which,
                placed: Vec::new(),
            });
            found = fit(&rests);
        }
        let Some((_, k, (l, w))) = found else {
            continue;
        };
        let r = rests.swap_remove(k);
        sheets[r.sheet].placed.push(Placed {
            panel: i,
            x_m: r.x,
            y_m: r.y,
            length_m: l,
            width_m: w,
        });
        let (over_l, over_w) = (r.l - l - kerf, r.w - w - kerf);
        let along = match split {
            Split::Along => true,
            Split::Across => false,
            Split::Larger => r.l * over_w >= r.w * over_l,
        };
        // Along: the strip above is as long as the rest was; across: the strip beside is as wide.
        let beside_w = if along { w } else { r.w };
        let above_l = if along { r.l } else { l };
        if over_l > EXACT_M {
            rests.push(Rest {
                x: r.x + l + kerf,
                l: over_l,
                w: beside_w,
                ..r
            });
        }
        if over_w > EXACT_M {
            rests.push(Rest {
                y: r.y + w + kerf,
                w: over_w,
                l: above_l,
                ..r
            });
        }
    }
    sheets
}
