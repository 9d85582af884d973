//! What the wind does to a board and what holds it.
//!
//! This is the simple form with one gust and one coefficient: it says what size of force to think of. A board on a roof or at a
//! house, near an edge or above people belongs to the local wind code and to an engineer.

use swimdays_properties::constants::GRAVITY_M_S2;

use crate::BuildError;
use crate::error::within;

/// Half the density of air at 15 °C and sea level, kg/m³.
///
/// Source: ASCE 7, velocity pressure `q = 0.613 K V²` (SI); EN 1991-1-4 has `½ · 1.25 V²`, 2 % more.
pub const HALF_AIR_KG_M3: f64 = 0.613;

/// Pressure of a gust, Pa: `q = 0.613 v²`.
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | v | `gust_m_s`, three-second gust at the board | m/s | 0 and above |
///
/// Source: ASCE 7, equation for the velocity pressure with all factors 1. Differs: exposure, height, direction and ground
/// factors are left out; they lie between 0.7 and 1.5.
///
/// ```
/// assert!((swimdays_build::gust_pressure_pa(40.0) - 981.0).abs() < 0.5); // 0.613 · 1600
/// ```
#[must_use]
pub fn gust_pressure_pa(gust_m_s: f64) -> f64 {
    HALF_AIR_KG_M3 * gust_m_s * gust_m_s
}

/// Where the board stands in the wind.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Exposed {
    /// Stands free with air on both sides.
    #[default]
    Free,
    /// Lies flat on the ground.
    FlatOnGround,
    /// Lies flat and close on a roof or a wall, air on one side.
    OnRoofOrWall,
    /// Stands on a roof at an angle.
    RackOnRoof,
}

impl Exposed {
    /// Force coefficient, low to high, on the board's area.
    ///
    /// Free: 1.2–1.8 (ASCE 7 solid freestanding signs 1.2–1.9 by shape; EN 1991-1-4 7.4.3 signboards 1.8, 7.4.1 free walls
    /// 1.2 away from the ends). Flat on the ground, a roof or a wall: 0.8–2.0 (EN 1991-1-4 7.2 cladding zones of small area: up to −2.0 at
    /// edges and more at corners). Rack on a roof: 1.2–2.2 (between the two). All from memory.
    #[must_use]
    pub const fn coefficient(self) -> (f64, f64) {
        match self {
            Self::Free => (1.2, 1.8),
            Self::FlatOnGround | Self::OnRoofOrWall => (0.8, 2.0),
            Self::RackOnRoof => (1.2, 2.2),
        }
    }
}

/// A board in the wind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindLoad {
    /// Gust, m/s.
    pub gust_m_s: f64,
    /// Where it stands.
    pub exposed: Exposed,
    /// Area, m².
    pub area_m2: f64,
    /// From its lower to its upper edge along the slope, m.
    pub slope_length_m: f64,
    /// Angle from the horizontal, degrees.
    pub tilt_deg: f64,
    /// Height of the lower edge above what it stands on, m.
    pub lower_edge_m: f64,
    /// Depth of its stand on the ground, front to back, m; the board's own footprint when 0.
    pub stand_depth_m: f64,
    /// Weight that is certainly there: empty, kg.
    pub dry_kg: f64,
}

/// A range of a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

/// What holds it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Holding {
    /// Pressure of the gust, Pa.
    pub pressure_pa: f64,
    /// Where it stands: what may hold it depends on that.
    pub exposed: Exposed,
    /// Force at right angles to the board, N.
    pub force_n: Span,
    /// What the fixings of one edge must hold, pull and push together, N; the wind turns, so either edge may need it.
    pub edge_n: Span,
    /// Its horizontal part, N.
    pub sideways_n: Span,
    /// Its upward part when the wind comes from behind, N.
    pub lift_n: Span,
    /// Ballast that keeps it from sliding and lifting by friction, kg.
    pub ballast_slide_kg: Span,
    /// Ballast on the stand's middle that keeps it from tipping over, kg.
    pub ballast_tip_kg: Span,
    /// The larger of both, kg.
    pub ballast_kg: Span,
    /// Screws or lags in wood, both edges together, by their working load.
    pub screws: (usize, usize),
    /// Ground anchors, both edges together, by their working load.
    pub anchors: (usize, usize),
    /// Straps, both edges together, by their working load.
    pub straps: (usize, usize),
}

impl Holding {
    /// It stands on the ground: ballast and ground anchors can hold it. On a roof or a wall only fixings into the structure can.
    #[must_use]
    pub fn on_ground(&self) -> bool {
        matches!(self.exposed, Exposed::Free | Exposed::FlatOnGround)
    }
}

/// A board steeper than this over its own footprint falls over in any wind, degrees: its footprint is less than half its length
/// (own choice; an easel stands flatter).
pub(crate) const STEEPEST_WITHOUT_STAND_DEG: f64 = 60.0;

/// Friction of wood or concrete on ground, paving or roofing: 0.3–0.5 (common practice, no source; wet and mossy is less).
pub const FRICTION: Span = Span {
    low: 0.3,
    high: 0.5,
};
/// Working load of one 6 mm (1/4 in) lag screw 40 mm into sound softwood pulled out, N: 700–1500 (about a quarter of what
/// tears it out; common practice, no source).
pub const SCREW_N: Span = Span {
    low: 700.0,
    high: 1_500.0,
};
/// Working load of one screw-in ground anchor in firm soil, N: 1000–3000; wet or sandy soil holds less (common practice, no source).
pub const ANCHOR_N: Span = Span {
    low: 1_000.0,
    high: 3_000.0,
};
/// Working load of a 25 mm webbing strap or 3 mm wire rope, N: 2000–4000 (common practice, no source; its label decides).
pub const STRAP_N: Span = Span {
    low: 2_000.0,
    high: 4_000.0,
};

impl WindLoad {
    /// Forces and what holds them.
    ///
    /// `F = q C A`; sideways `F sin β`, up `F cos β` with wind from behind (β the tilt; flat boards are lifted, upright ones
    /// pushed). Slide: `m ≥ (F_h/μ + F_v)/g − m_dry`. Tip about the stand's edge, force at the board's middle, height
    /// `h = h_0 + ½ l sin β`, stand of depth b: `m ≥ (F_h h + F_v b/2)/(g b/2) − m_dry`.
    ///
    /// Edge: the wind from behind turns the board about its front edge and pulls at the rear one with
    /// `T = F (sin β · h/b + ½ cos β)`, from in front the other way round with less; half the sideways push goes with it:
    /// `E = √(T² + (½ F sin β)²)`. A board flat on a roof or wall has no height to turn by: `E = ½ F`.
    ///
    /// Low ends go with the low coefficient and the better hold, high ends with the high coefficient and the poorer. Anchors,
    /// screws and straps are counted for `E` at each of two edges, without the board's weight, at least four in all.
    ///
    /// Source: statics; coefficients at [`Exposed::coefficient`].
    ///
    /// # Errors
    /// Numbers outside what makes sense: gusts to 100 m/s, tilts 0–90°; a board steeper than 60° that stands free or on a roof
    /// without a depth of its stand.
    pub fn holding(&self) -> Result<Holding, BuildError> {
        within("gust, m/s", self.gust_m_s, 0.0, 100.0)?;
        within("board area, m²", self.area_m2, 0.01, 1_000.0)?;
        within("tilt, degrees", self.tilt_deg, 0.0, 90.0)?;
        within(
            "board's length along the slope, m",
            self.slope_length_m,
            0.01,
            100.0,
        )?;
        within("height of the lower edge, m", self.lower_edge_m, 0.0, 50.0)?;
        within("depth of the stand, m", self.stand_depth_m, 0.0, 100.0)?;
        within("weight, kg", self.dry_kg, 0.0, 100_000.0)?;
        let (sin, cos) = self.tilt_deg.to_radians().sin_cos();
        let pressure_pa = gust_pressure_pa(self.gust_m_s);
        let (c_low, c_high) = self.exposed.coefficient();
        let span = |f: &dyn Fn(f64, bool) -> f64| Span {
            low: f(pressure_pa * c_low * self.area_m2, true),
            high: f(pressure_pa * c_high * self.area_m2, false),
        };
        let against = matches!(self.exposed, Exposed::FlatOnGround | Exposed::OnRoofOrWall);
        if !against && self.tilt_deg > STEEPEST_WITHOUT_STAND_DEG && self.stand_depth_m <= 0.0 {
            return Err(BuildError::NeedsStand {
                tilt_deg: self.tilt_deg,
                usual_m: 0.5 * self.slope_length_m,
            });
        }
        let own = (self.slope_length_m * cos).max(0.1);
        let depth = if self.stand_depth_m > 0.0 {
            self.stand_depth_m
        } else {
            own
        };
        let height = self.lower_edge_m + 0.5 * self.slope_length_m * sin;
        let slide = |f: f64, better: bool| {
            let friction = if better { FRICTION.high } else { FRICTION.low };
            ((f * sin / friction + f * cos) / GRAVITY_M_S2 - self.dry_kg).max(0.0)
        };
        let tip = |f: f64, _: bool| {
            let arm = 0.5 * depth;
            ((f * sin * height + f * cos * arm) / (GRAVITY_M_S2 * arm) - self.dry_kg).max(0.0)
        };
        let edge_n = span(&|f, _| {
            if against {
                return 0.5 * f;
            }
            let pull = f * (sin * height / depth + 0.5 * cos);
            pull.hypot(0.5 * f * sin)
        });
        let count = |hold: Span| {
            let n = |f: f64, each: f64| 2 * crate::whole((f / each).ceil()).max(2);
            (n(edge_n.low, hold.high), n(edge_n.high, hold.low))
        };
        let (ballast_slide_kg, ballast_tip_kg) = (span(&slide), span(&tip));
        Ok(Holding {
            pressure_pa,
            exposed: self.exposed,
            edge_n,
            force_n: span(&|f, _| f),
            sideways_n: span(&|f, _| f * sin),
            lift_n: span(&|f, _| f * cos),
            ballast_slide_kg,
            ballast_tip_kg,
            ballast_kg: Span {
                low: ballast_slide_kg.low.max(ballast_tip_kg.low),
                high: ballast_slide_kg.high.max(ballast_tip_kg.high),
            },
            screws: count(SCREW_N),
            anchors: count(ANCHOR_N),
            straps: count(STRAP_N),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published figures are rounded to whole pascals and tenths of a psf or kN.
    const WHOLE_PA: f64 = 0.5;

    #[test]
    fn pressures_of_the_code() {
        assert!((gust_pressure_pa(40.0) - 981.0).abs() < WHOLE_PA);
        assert!((gust_pressure_pa(44.7) - 1_225.0).abs() < WHOLE_PA);
        // 100 mph: 0.00256 · 100² = 25.6 psf; one psf is 47.880 Pa.
        assert!((gust_pressure_pa(44.704) / 47.880 - 25.6).abs() < 0.05);
    }

    fn sheet(tilt_deg: f64) -> WindLoad {
        WindLoad {
            gust_m_s: 40.0,
            exposed: Exposed::Free,
            area_m2: 1.2 * 2.4,
            slope_length_m: 1.2,
            tilt_deg,
            lower_edge_m: 0.0,
            stand_depth_m: 0.0,
            dry_kg: 35.0,
        }
    }

    #[test]
    fn a_sheet_takes_three_kilonewtons() {
        let held = sheet(45.0).holding().expect("sound");
        assert!((held.force_n.low / 1e3 - 3.4).abs() < 0.05);
        // By hand at 45°: 3389.6 N (0.613·1600·1.2·2.88) · 0.70711 = 2396.8 N both ways. Friction 0.5:
        // (2396.8/0.5 + 2396.8)/9.80665 − 35 = 698.2 kg. Tip: height 0.42426, arm 0.42426: 2·2396.8/9.80665 − 35 = 453.8 kg.
        assert!((held.sideways_n.low - 2_396.8).abs() < 0.1);
        assert!((held.ballast_slide_kg.low - 698.2).abs() < 0.1);
        assert!((held.ballast_tip_kg.low - 453.8).abs() < 0.1);
        // Edge: h/b = 0.42426/0.84853 = 0.5, so T = 3389.6 · 0.70711 · (0.5 + 0.5) = 2396.8 N; with half the push, 1198.4 N,
        // 2679.7 N. 2679.7/1500 = 1.8, two at each edge; high end 4019.6/700 = 5.7, six at each.
        assert!((held.edge_n.low - 2_679.7).abs() < 0.1);
        assert_eq!(held.screws, (4, 12));
    }

    #[test]
    fn flat_lifts_and_upright_pushes() {
        let flat = sheet(0.0).holding().expect("sound");
        assert!(flat.sideways_n.high < 1e-9 && (flat.lift_n.high - flat.force_n.high).abs() < 1e-9);
        let upright = WindLoad {
            stand_depth_m: 0.3,
            ..sheet(90.0)
        }
        .holding()
        .expect("sound");
        assert!(upright.lift_n.high < 1e-9);
        assert!(upright.ballast_tip_kg.high > upright.ballast_slide_kg.high);
        assert!(sheet(91.0).holding().is_err());
    }

    #[test]
    fn upright_on_a_short_stand_pulls_its_anchors() {
        let stood = |stand_depth_m| WindLoad {
            stand_depth_m,
            ..sheet(90.0)
        };
        // Upright, height of the middle 0.6 m, stand 0.3 m: T = F · 0.6/0.3 = 2 F = 6779.2 N; half the push 1694.8 N:
        // 6987.8 N at one edge, twice the force on the whole board. Anchors 6987.8/3000 = 2.3: three at each edge; high end
        // 10 481.7/1000 = 10.5: eleven at each.
        let held = stood(0.3).holding().expect("sound");
        assert!((held.edge_n.low - 6_987.8).abs() < 0.2);
        assert!(held.edge_n.low > 2.0 * held.force_n.low);
        assert_eq!(held.anchors, (6, 22));
        // The deeper the stand the less; without one it is refused, and named.
        assert!(stood(1.2).holding().expect("sound").edge_n.low < held.edge_n.low / 2.0);
        let refused = stood(0.0).holding().expect_err("no stand");
        assert!(
            refused
                .told(swimdays_quantity::Units::Metric)
                .contains("stand_depth")
        );
        // Flat against a wall nothing turns it: half the force at each edge.
        let wall = WindLoad {
            exposed: Exposed::OnRoofOrWall,
            ..stood(0.0)
        };
        let held = wall.holding().expect("sound");
        assert!((held.edge_n.high - 0.5 * held.force_n.high).abs() < 1e-9 && !held.on_ground());
    }

    #[test]
    fn calm_air_needs_nothing() {
        let calm = WindLoad {
            gust_m_s: 0.0,
            ..sheet(30.0)
        };
        let held = calm.holding().expect("sound");
        assert!(held.ballast_kg.high.abs() < 1e-12);
    }
}
