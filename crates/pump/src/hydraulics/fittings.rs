//! What elbows, tees, valves, barbs, filters and changes of bore drop.
//!
//! `Δp = K ρ v²/2`, `v` in the bore that each kind names. Values are for turbulent flow; below about Re 4000 the loss of a
//! fitting grows (Hooper 1981), but a tube of any length drops far more there.

use super::valves::Valve;
use super::{FlowError, within};

/// Bores for which the threaded elbow's K is tabulated, m (½ to 2 in).
pub const ELBOW_BORES_M: (f64, f64) = (0.012_7, 0.050_8);
/// Angles of a tapered reducer for which its formulas hold, degrees.
pub const REDUCER_ANGLES_DEG: (f64, f64) = (0.0, 180.0);

/// Kinds of fitting. "Tube's bore" is the bore of the piece, or the fitting's own where one is given.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum FittingKind {
    /// 90°, threaded or short: K 1.5 at ½ in falling to 0.9 at 2 in. Tube's bore.
    Elbow,
    /// 90°, sweep or long radius: 0.55 (0.4–0.7). Tube's bore.
    SweepElbow,
    /// 45°: 0.35 (0.3–0.45). Tube's bore.
    Elbow45,
    /// Tee, straight through: 0.6 (0.4–0.9). Tube's bore.
    TeeThrough,
    /// Tee, into or out of the branch: 1.5 (1.0–2.0). Tube's bore; the part of each stream in the whole is left out.
    TeeBranch,
    /// A valve, by how far it is open. Tube's bore.
    Valve {
        /// Which.
        valve: Valve,
        /// 0 shut, 1 open.
        open_frac: f64,
    },
    /// Swing check valve: 2.3 (2–2.5); nothing flows back. Tube's bore.
    CheckValve,
    /// From the pool into a pipe flush with the wall: 0.5. Tube's bore.
    EntranceSharp,
    /// Into a pipe that stands out: 0.8 (0.8–1.0). Tube's bore.
    EntranceReentrant,
    /// Into a rounded mouth. Tube's bore.
    EntranceRounded {
        /// Radius of the lip, m.
        radius_m: f64,
    },
    /// Into the pool: 1.0. Tube's bore.
    Exit,
    /// Sudden step down to a smaller bore; on the smaller bore.
    Contraction {
        /// Bore after it, m.
        to_bore_m: f64,
    },
    /// Sudden step up to a larger bore; on the tube's (smaller) bore.
    Expansion {
        /// Bore after it, m.
        to_bore_m: f64,
    },
    /// Tapered change of bore, up or down; on the smaller bore.
    Reducer {
        /// Bore after it, m.
        to_bore_m: f64,
        /// Whole angle of the cone, degrees.
        angle_deg: f64,
    },
    /// Barbed insert: a step down into it and a step up out of it; on the insert's bore.
    Barb {
        /// Bore of the insert, m.
        insert_bore_m: f64,
    },
    /// Filter or anything else known by its drop at one flow.
    Filter {
        /// Drop when clean, Pa.
        drop_pa: f64,
        /// At this flow, m³/s.
        at_flow_m3_s: f64,
        /// Share of that drop that grows with the flow itself; the rest with its square.
        linear_frac: f64,
        /// Times that drop: 1 clean; 2–4 is when it is cleaned (common practice, no source).
        dirt_factor: f64,
    },
    /// Known by its coefficient. Tube's bore.
    Given {
        /// −.
        k: f64,
    },
}

/// So many fittings of a kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fitting {
    /// What it is.
    pub kind: FittingKind,
    /// How many.
    pub count: u32,
    /// Its own bore where that is not the piece's, m.
    pub bore_m: Option<f64>,
}

/// What a fitting drops: `a Q + b Q |Q|`, Pa.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Loss {
    /// `a`, Pa·s/m³.
    pub linear: f64,
    /// `b`, Pa·s²/m⁶.
    pub square: f64,
    /// Nothing passes at all.
    pub shut: bool,
    /// Nothing passes backwards.
    pub one_way: bool,
    /// Used outside the range of its source.
    pub outside: bool,
}

impl Loss {
    pub(crate) fn add(&mut self, other: &Self) {
        self.linear += other.linear;
        self.square += other.square;
        self.shut |= other.shut;
        self.one_way |= other.one_way;
        self.outside |= other.outside;
    }

    /// Pressure drop, Pa, and its slope, Pa·s/m³.
    #[must_use]
    pub fn drop_pa(&self, flow_m3_s: f64) -> (f64, f64) {
        (
            flow_m3_s * (self.linear + self.square * flow_m3_s.abs()),
            self.linear + 2.0 * self.square * flow_m3_s.abs(),
        )
    }
}

fn area_ratio(small_m: f64, large_m: f64) -> f64 {
    (small_m / large_m).powi(2)
}

/// `0.5 (1 − A₂/A₁)` on the smaller bore: Crane TP-410, and within 0.1 of White's 0.42.
fn contraction(ratio: f64) -> f64 {
    0.5 * (1.0 - ratio)
}

/// `(1 − A₁/A₂)²` on the smaller bore: Borda & Carnot, exact for uniform streams.
fn expansion(ratio: f64) -> f64 {
    (1.0 - ratio).powi(2)
}

impl FittingKind {
    /// Coefficient `K`, −, and the bore it stands on, m; no coefficient for a filter (it has a drop) and for a shut valve.
    ///
    /// Sources: elbows, tees, valves, check valve, entrances: ranges of Crane TP-410, White, *Fluid Mechanics*, and
    /// Munson, Young & Okiishi, table 8.2 (from memory); the value is the range's middle where none is named. Rounded
    /// entrance: Swamee & Sharma (2008), `0.5/(1 + 36 (r/d)^1.2)`. Steps: [`contraction`](Self), Borda–Carnot. Reducer:
    /// Crane TP-410, `0.8 sin(θ/2)(1 − β²)` down and `2.6 sin(θ/2)(1 − β²)²` up to 45°, beyond
    /// `0.5 √sin(θ/2) (1 − β²)` and `(1 − β²)²`. Barb: step down and up, 1–3 in all for usual inserts on the *tube's* bore (from memory).
    ///
    /// ```
    /// use swimdays_pump::hydraulics::FittingKind;
    /// // By hand: ½ in insert in ⅝ in tube: ratio 0.64, 0.5·0.36 + 0.36² = 0.3096.
    /// let (k, bore) = FittingKind::Barb { insert_bore_m: 0.0127 }.k(0.015_875).expect("has one");
    /// assert!((k - 0.3096).abs() < 1e-12 && bore == 0.0127);
    /// ```
    #[must_use]
    pub fn k(&self, bore_m: f64) -> Option<(f64, f64)> {
        let fixed = |k: f64| Some((k, bore_m));
        match *self {
            // 0.9 = 1.5·4^−0.3685: a power of the bore through the two ends of the table.
            Self::Elbow => fixed(1.5 * (bore_m / ELBOW_BORES_M.0).powf(-0.3685)),
            Self::SweepElbow => fixed(0.55),
            Self::Elbow45 => fixed(0.35),
            Self::TeeThrough => fixed(0.6),
            Self::TeeBranch => fixed(1.5),
            Self::Valve { valve, open_frac } => valve.k(open_frac).and_then(fixed),
            Self::CheckValve => fixed(2.3),
            Self::EntranceSharp => fixed(0.5),
            Self::EntranceReentrant => fixed(0.8),
            Self::EntranceRounded { radius_m } => {
                fixed(0.5 / (1.0 + 36.0 * (radius_m / bore_m).powf(1.2)))
            }
            Self::Exit => fixed(1.0),
            Self::Contraction { to_bore_m } => {
                Some((contraction(area_ratio(to_bore_m, bore_m)), to_bore_m))
            }
            Self::Expansion { to_bore_m } => fixed(expansion(area_ratio(bore_m, to_bore_m))),
            Self::Reducer {
                to_bore_m,
                angle_deg,
            } => {
                let half = (0.5 * angle_deg).to_radians().sin();
                let gentle = angle_deg <= 45.0;
                if to_bore_m <= bore_m {
                    let step = contraction(area_ratio(to_bore_m, bore_m));
                    let share = if gentle { 1.6 * half } else { half.sqrt() };
                    Some((share * step, to_bore_m))
                } else {
                    let step = expansion(area_ratio(bore_m, to_bore_m));
                    fixed(if gentle { 2.6 * half * step } else { step })
                }
            }
            Self::Barb { insert_bore_m } => {
                let ratio = area_ratio(insert_bore_m, bore_m);
                Some((contraction(ratio) + expansion(ratio), insert_bore_m))
            }
            Self::Filter { .. } => None,
            Self::Given { k } => fixed(k),
        }
    }

    /// Whether it is used outside the range of its source; the formula is continued there.
    #[must_use]
    pub fn outside_range(&self, bore_m: f64) -> bool {
        match *self {
            Self::Elbow => bore_m < 0.99 * ELBOW_BORES_M.0 || bore_m > 1.05 * ELBOW_BORES_M.1,
            Self::Valve { valve, open_frac } => {
                open_frac > 0.0 && open_frac < valve.least_open_frac() - 1e-9
            }
            _ => false,
        }
    }

    /// Checks the values against the tube's bore.
    ///
    /// # Errors
    /// A bore, opening, angle or drop that cannot be.
    pub fn check(&self, of: &str, bore_m: f64) -> Result<(), FlowError> {
        match *self {
            Self::Valve { open_frac, .. } => {
                within(of, "share that the valve is open", open_frac, 0.0, 1.0)
            }
            Self::EntranceRounded { radius_m } => {
                within(of, "radius of the entrance, m", radius_m, 0.0, 1.0)
            }
            Self::Contraction { to_bore_m } => {
                within(of, "smaller bore, m", to_bore_m, 0.05 * bore_m, bore_m)
            }
            Self::Expansion { to_bore_m } => {
                within(of, "larger bore, m", to_bore_m, bore_m, 1e3 * bore_m)
            }
            Self::Reducer {
                to_bore_m,
                angle_deg,
            } => {
                within(
                    of,
                    "bore after the reducer, m",
                    to_bore_m,
                    0.05 * bore_m,
                    20.0 * bore_m,
                )?;
                let (low, high) = REDUCER_ANGLES_DEG;
                within(of, "angle of the reducer, degrees", angle_deg, low, high)
            }
            Self::Barb { insert_bore_m } => within(
                of,
                "bore of the insert, m",
                insert_bore_m,
                0.05 * bore_m,
                bore_m,
            ),
            Self::Filter {
                drop_pa,
                at_flow_m3_s,
                linear_frac,
                dirt_factor,
            } => {
                within(of, "drop of the filter, Pa", drop_pa, 0.0, 1e6)?;
                within(
                    of,
                    "flow of the filter's drop, m³/s",
                    at_flow_m3_s,
                    1e-6,
                    1.0,
                )?;
                within(
                    of,
                    "share of the drop that grows with the flow",
                    linear_frac,
                    0.0,
                    1.0,
                )?;
                within(of, "dirt factor", dirt_factor, 0.1, 100.0)
            }
            Self::Given { k } => within(of, "loss coefficient", k, 0.0, 1e6),
            _ => Ok(()),
        }
    }
}

impl Fitting {
    /// One of a kind, of the piece's bore.
    #[must_use]
    pub const fn one(kind: FittingKind) -> Self {
        Self::of(kind, 1)
    }

    /// Several of a kind, of the piece's bore.
    #[must_use]
    pub const fn of(kind: FittingKind, count: u32) -> Self {
        Self {
            kind,
            count,
            bore_m: None,
        }
    }

    /// What they drop together in a piece of this bore.
    #[must_use]
    pub fn loss(&self, piece_bore_m: f64, density_kg_m3: f64) -> Loss {
        let bore_m = self.bore_m.unwrap_or(piece_bore_m);
        let count = f64::from(self.count);
        let mut loss = Loss {
            one_way: self.count > 0 && self.kind == FittingKind::CheckValve,
            outside: self.kind.outside_range(bore_m),
            ..Loss::default()
        };
        if let FittingKind::Filter {
            drop_pa,
            at_flow_m3_s,
            linear_frac,
            dirt_factor,
        } = self.kind
        {
            let drop_pa = count * drop_pa * dirt_factor;
            loss.linear = drop_pa * linear_frac / at_flow_m3_s;
            loss.square = drop_pa * (1.0 - linear_frac) / (at_flow_m3_s * at_flow_m3_s);
        } else if let Some((k, on_bore_m)) = self.kind.k(bore_m) {
            let area_m2 = std::f64::consts::FRAC_PI_4 * on_bore_m * on_bore_m;
            loss.square = count * k * density_kg_m3 / (2.0 * area_m2 * area_m2);
        } else {
            loss.shut = self.count > 0;
        }
        loss
    }

    pub(crate) fn check(&self, of: &str, piece_bore_m: f64) -> Result<(), FlowError> {
        let bore_m = self.bore_m.unwrap_or(piece_bore_m);
        within(of, "bore of a fitting, m", bore_m, 1e-3, 0.5)?;
        self.kind.check(of, bore_m)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn elbow_meets_the_ends_of_its_table() {
        for (inch, k) in [(0.5, 1.5), (2.0, 0.9)] {
            let found = FittingKind::Elbow.k(0.0254 * inch).expect("has one").0;
            assert!((found - k).abs() < 1e-3, "{inch} in: {found}");
        }
        assert!(FittingKind::Elbow.outside_range(0.1));
    }

    #[test]
    fn a_drop_by_hand() {
        // K 1.0, 20 mm, 1 m/s, 1000 kg/m³: 500 Pa.
        let loss = Fitting::of(FittingKind::Exit, 3).loss(0.02, 1_000.0);
        let flow = std::f64::consts::FRAC_PI_4 * 4e-4;
        assert!((loss.drop_pa(flow).0 - 1_500.0).abs() < 1e-9);
        assert!((loss.drop_pa(-flow).0 + 1_500.0).abs() < 1e-9);
    }

    #[test]
    fn a_filter_meets_its_reference_and_a_shut_valve_shuts() {
        let kind = FittingKind::Filter {
            drop_pa: 2e4,
            at_flow_m3_s: 3e-3,
            linear_frac: 0.3,
            dirt_factor: 1.5,
        };
        let loss = Fitting::one(kind).loss(0.05, 1_000.0);
        assert!((loss.drop_pa(3e-3).0 - 3e4).abs() < 1e-9);
        // Half the flow: 0.3/2 + 0.7/4 = 0.325 of it, by hand.
        assert!((loss.drop_pa(1.5e-3).0 - 9_750.0).abs() < 1e-9);
        let shut = FittingKind::Valve {
            valve: Valve::Ball,
            open_frac: 0.0,
        };
        assert!(Fitting::one(shut).loss(0.02, 1_000.0).shut);
    }
}
