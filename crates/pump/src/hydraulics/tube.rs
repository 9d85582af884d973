//! A length of tube, straight or wound, and what it drops.

use swimdays_properties::constants::STANDARD_PRESSURE_PA;
use swimdays_properties::{moist_air, water};

use super::friction::{FrictionLimit, Local, Regime, dean};
use super::{FlowError, within};

/// Largest flow, length, bore that are believed.
const LONGEST_M: f64 = 5_000.0;
const BORES_M: (f64, f64) = (1e-3, 0.5);

/// The water that flows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Water {
    /// kg/m³.
    pub density_kg_m3: f64,
    /// Dynamic, Pa·s.
    pub viscosity_pa_s: f64,
    /// Pressure at which it boils, Pa absolute.
    pub vapour_pressure_pa: f64,
}

impl Water {
    /// Water of this temperature.
    #[must_use]
    pub fn at(water_c: f64) -> Self {
        Self {
            density_kg_m3: water::density_kg_m3(water_c),
            viscosity_pa_s: water::dynamic_viscosity_pa_s(water_c),
            vapour_pressure_pa: moist_air::saturation_pressure_pa(water_c)
                .min(STANDARD_PRESSURE_PA),
        }
    }
}

/// How a tube is laid.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[non_exhaustive]
pub enum Bend {
    /// Straight, or in bends counted as fittings.
    #[default]
    Straight,
    /// Wound on one diameter.
    Coil {
        /// Centre line to centre line, m.
        diameter_m: f64,
    },
    /// A flat round spiral, rows evenly spaced.
    Spiral {
        /// Diameter of the innermost turn, centre line to centre line, m.
        inner_m: f64,
        /// Diameter of the outermost turn, m.
        outer_m: f64,
    },
}

/// A length of tube of one bore.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tube {
    /// m; 0 for a body that is all fittings.
    pub length_m: f64,
    /// Inner diameter, m.
    pub bore_m: f64,
    /// Wall roughness, m: [`swimdays_properties::materials::TubeMaterial::roughness_m`].
    pub roughness_m: f64,
    /// How it is laid.
    pub bend: Bend,
}

impl Tube {
    /// Cross-section of the bore, m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        std::f64::consts::FRAC_PI_4 * self.bore_m * self.bore_m
    }

    /// Water in it, m³.
    #[must_use]
    pub fn volume_m3(&self) -> f64 {
        self.area_m2() * self.length_m
    }

    pub(crate) fn check(&self, of: &str) -> Result<(), FlowError> {
        within(of, "length, m", self.length_m, 0.0, LONGEST_M)?;
        within(of, "bore, m", self.bore_m, BORES_M.0, BORES_M.1)?;
        within(of, "roughness, m", self.roughness_m, 0.0, 0.1 * self.bore_m)?;
        match self.bend {
            Bend::Straight => Ok(()),
            Bend::Coil { diameter_m } => {
                within(of, "coil diameter, m", diameter_m, 2.0 * self.bore_m, 100.0)
            }
            Bend::Spiral { inner_m, outer_m } => {
                within(
                    of,
                    "inner diameter of the spiral, m",
                    inner_m,
                    2.0 * self.bore_m,
                    100.0,
                )?;
                within(
                    of,
                    "outer diameter of the spiral, m",
                    outer_m,
                    inner_m,
                    100.0,
                )
            }
        }
    }
}

/// Abscissae and half weights of Gauss–Legendre, eight points. Source: Abramowitz & Stegun, table 25.4 (from memory).
const GAUSS: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
];
/// The spiral's length is cut into this many parts, each with the eight points, since the regime may change on the way.
const PARTS: u32 = 3;

/// A tube made ready: what flows at a pressure drop, without looking anything up again.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeModel {
    tube: Tube,
    water: Water,
    /// Share of the length, and friction there; from the inside of a spiral outwards.
    places: Vec<(f64, Local)>,
    middle: Local,
}

/// What flows in a tube.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeFlow {
    /// Mean over the bore, m/s; against the order of the pieces when negative.
    pub velocity_m_s: f64,
    /// −.
    pub reynolds: f64,
    /// −; 0 in straight tube; of a spiral where half the length lies inside.
    pub dean: f64,
    /// Reynolds number at which it stops being laminar; of a spiral as for `dean`.
    pub critical_reynolds: f64,
    /// Darcy's, mean over the length, −; 0 without flow.
    pub friction_factor: f64,
    /// Laminar or turbulent throughout, else transition.
    pub regime: Regime,
    /// Pa, in the direction of the flow's sign.
    pub drop_pa: f64,
    /// Ranges left somewhere along the tube.
    pub limits: Vec<FrictionLimit>,
}

impl TubeModel {
    /// Makes a tube ready.
    #[must_use]
    pub fn new(tube: Tube, water: Water) -> Self {
        let roughness = tube.roughness_m / tube.bore_m;
        let local = |diameter_m: f64| Local::new(tube.bore_m / diameter_m, roughness);
        let (places, middle) = match tube.bend {
            Bend::Straight => {
                let straight = Local::new(0.0, roughness);
                (vec![(1.0, straight)], straight)
            }
            Bend::Coil { diameter_m } => (vec![(1.0, local(diameter_m))], local(diameter_m)),
            Bend::Spiral { inner_m, outer_m } => {
                // Evenly spaced turns: the length inside a diameter goes with its square.
                let (low, high) = (inner_m * inner_m, outer_m * outer_m);
                let at = |share: f64| local((low + share * (high - low)).sqrt());
                let part = 1.0 / f64::from(PARTS);
                let mut places = Vec::new();
                for i in 0..PARTS {
                    let centre = (f64::from(i) + 0.5) * part;
                    for (x, weight) in GAUSS {
                        for side in [-1.0, 1.0] {
                            let share = centre + side * x * 0.5 * part;
                            places.push((0.5 * weight * part, at(share)));
                        }
                    }
                }
                (places, at(0.5))
            }
        };
        Self {
            tube,
            water,
            places,
            middle,
        }
    }

    /// Reynolds number per flow, s/m³: `4 ρ/(π d μ)`.
    fn reynolds_per_flow(&self) -> f64 {
        4.0 * self.water.density_kg_m3
            / (std::f64::consts::PI * self.tube.bore_m * self.water.viscosity_pa_s)
    }

    /// Pressure drop, Pa, and its slope, Pa·s/m³.
    ///
    /// `Δp = f (L/d) ρ v²/2 = f Re² · L μ²/(2 ρ d³)`, summed over the places of a spiral:
    /// `(1/L) ∫ f ds`, with `ds` in proportion to `d(D²)` where the rows are evenly spaced.
    ///
    /// | argument | meaning | unit | range |
    /// |---|---|---|---|
    /// | `flow_m3_s` | flow; negative against the order | m³/s | any |
    ///
    /// Source: Darcy–Weisbach. Differs: the spiral's slope against the circle (pitch over circumference) is left out.
    #[must_use]
    pub fn drop_pa(&self, flow_m3_s: f64) -> (f64, f64) {
        let per_flow = self.reynolds_per_flow();
        let re = flow_m3_s.abs() * per_flow;
        let (mut phi, mut slope) = (0.0, 0.0);
        for (share, local) in &self.places {
            let (p, s) = local.gradient(re);
            phi += share * p;
            slope += share * s;
        }
        let unit = self.tube.length_m * self.water.viscosity_pa_s * self.water.viscosity_pa_s
            / (2.0 * self.water.density_kg_m3 * self.tube.bore_m.powi(3));
        (unit * phi * flow_m3_s.signum(), unit * slope * per_flow)
    }

    /// All there is to say at this flow.
    #[must_use]
    pub fn at(&self, flow_m3_s: f64) -> TubeFlow {
        let reynolds = flow_m3_s.abs() * self.reynolds_per_flow();
        let mut limits: Vec<FrictionLimit> = Vec::new();
        let mut phi = 0.0;
        let mut regimes = Vec::new();
        for (share, local) in &self.places {
            phi += share * local.gradient(reynolds).0;
            limits.extend(local.limits(reynolds));
            regimes.push(local.regime(reynolds));
        }
        limits.sort_unstable();
        limits.dedup();
        let first = regimes.first().copied().unwrap_or(Regime::Laminar);
        let regime = if regimes.iter().all(|r| *r == first) {
            first
        } else {
            Regime::Transition
        };
        TubeFlow {
            velocity_m_s: flow_m3_s / self.tube.area_m2(),
            reynolds,
            dean: dean(reynolds, self.middle.curvature()),
            critical_reynolds: self.middle.critical,
            friction_factor: if reynolds > 0.0 {
                phi / (reynolds * reynolds)
            } else {
                0.0
            },
            regime,
            drop_pa: self.drop_pa(flow_m3_s).0,
            limits,
        }
    }

    /// The tube.
    #[must_use]
    pub const fn tube(&self) -> &Tube {
        &self.tube
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SPIRAL: Tube = Tube {
        length_m: 60.0,
        bore_m: 0.015_24,
        roughness_m: 1.5e-6,
        bend: Bend::Spiral {
            inner_m: 0.3,
            outer_m: 1.2,
        },
    };

    #[test]
    fn a_spiral_is_the_sum_of_its_turns() {
        let water = Water::at(27.0);
        let model = TubeModel::new(SPIRAL, water);
        // 3000 rings of evenly growing diameter, each as long as its circumference. The rest is the quadrature
        // across the places where the regime changes.
        let rings = 3_000;
        let diameter = |i: i32| 0.3 + 0.9 * (f64::from(i) + 0.5) / f64::from(rings);
        let whole: f64 = (0..rings).map(diameter).sum();
        for flow in [2e-5, 6e-5, 1e-4, 2e-4, 4e-4] {
            let by_ring: f64 = (0..rings)
                .map(|i| {
                    let ring = Tube {
                        length_m: 60.0 * diameter(i) / whole,
                        bend: Bend::Coil {
                            diameter_m: diameter(i),
                        },
                        ..SPIRAL
                    };
                    TubeModel::new(ring, water).drop_pa(flow).0
                })
                .sum();
            let drop = model.drop_pa(flow).0;
            assert!(
                (drop / by_ring - 1.0).abs() < 1e-5,
                "{flow}: {drop} {by_ring}"
            );
        }
    }

    #[test]
    fn turned_round_it_drops_the_same() {
        let model = TubeModel::new(SPIRAL, Water::at(20.0));
        let (forth, back) = (model.drop_pa(1e-4), model.drop_pa(-1e-4));
        assert!((forth.0 + back.0).abs() < 1e-12 && (forth.1 - back.1).abs() < 1e-9);
    }

    #[test]
    fn a_tight_fast_coil_says_that_it_leaves_the_range() {
        let tube = Tube {
            bend: Bend::Coil { diameter_m: 0.1 },
            ..SPIRAL
        };
        let flow = TubeModel::new(tube, Water::at(27.0)).at(5e-4);
        assert!(flow.limits.contains(&FrictionLimit::CoilTooTight));
        assert!(flow.limits.contains(&FrictionLimit::TurbulentAboveIto));
    }
}
