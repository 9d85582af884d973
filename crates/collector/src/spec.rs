//! What a heater is made of: data that the scenario fills and [`crate::Heater::new`] checks.

use swimdays_properties::materials::{BoardMaterial, GroundMaterial, TubeMaterial};

use crate::CollectorError;

/// One heater, of one of the three kinds.
#[derive(Clone, Debug, PartialEq)]
pub enum HeaterSpec {
    /// Tube wound or laid on a board.
    Board(BoardSpec),
    /// Tube on, in or below a deck.
    Deck(DeckSpec),
    /// A bought unglazed panel with its test coefficients.
    Panel(PanelSpec),
}

/// The tube of a board or deck.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TubeSpec {
    /// What it is made of.
    pub material: TubeMaterial,
    /// Outside diameter, m.
    pub outer_diameter_m: f64,
    /// Inside diameter, m.
    pub bore_m: f64,
    /// Length of all circuits together, m.
    pub length_m: f64,
    /// Number of equal lengths side by side that share the flow.
    pub parallel_circuits: u32,
    /// Share of sunlight that the surface absorbs. Black polyethylene 0.92–0.96 (common practice, no source).
    pub absorptance_frac: f64,
    /// Emissivity for longwave. Black plastics 0.90–0.95 (common practice, no source).
    pub emissivity_frac: f64,
}

/// How the tube runs over the board; decides the curvature that stirs the water inside.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Layout {
    /// A flat round spiral between two diameters of the tube's axis.
    RoundSpiral {
        /// Innermost ring, m.
        inner_diameter_m: f64,
        /// Outermost ring, m.
        outer_diameter_m: f64,
    },
    /// Straight runs and corners, winding inwards; the film is that of straight tube.
    RectangularSpiral,
    /// Straight runs there and back; the film is that of straight tube.
    #[default]
    Serpentine,
}

/// A clear sheet over the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LidSpec {
    /// Transmittance for sunlight at normal incidence.
    pub transmittance_frac: f64,
    /// Air gap between tube and lid, m.
    pub gap_m: f64,
    /// Incidence-angle coefficient `b0` of `K = 1 − b0 (1/cos θ − 1)`; 0.1 for one sheet of glass.
    pub b0: f64,
    /// Emissivity of the lid for longwave; the lid is taken as opaque to it, which thin polyethylene film is not.
    pub emissivity_frac: f64,
}

/// Tube on a board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoardSpec {
    /// The tube.
    pub tube: TubeSpec,
    /// Area of the board, m². What the tube does not reach neither helps nor costs.
    pub board_area_m2: f64,
    /// How the tube runs.
    pub layout: Layout,
    /// Distance between the axes of neighbouring rows, m: the outside diameter when they touch, less when they overlap.
    pub pitch_m: f64,
    /// What the board is made of.
    pub board: BoardMaterial,
    /// Its thickness, m.
    pub board_thickness_m: f64,
    /// Conductance between tube and board for each metre of tube, W/(m·K); [`BOND_RANGE_W_M_K`].
    pub bond_conductance_w_m_k: f64,
    /// Share of sunlight that the board between the rows absorbs.
    pub board_absorptance_frac: f64,
    /// Resistance of insulation behind the board, m²·K/W.
    pub back_insulation_m2_k_w: f64,
    /// Air passes behind the board; otherwise it lies on something and loses nothing there.
    pub back_exposed: bool,
    /// A clear sheet over it.
    pub lid: Option<LidSpec>,
    /// What counts of an isolated tube, 0 its width, 1 half its perimeter; see [`EXPOSED_SHAPE_DEFAULT_FRAC`].
    pub exposed_shape_frac: f64,
    /// Angle from the horizontal, degrees; used for the air in the gap below a lid.
    pub tilt_deg: f64,
}

/// Where the tube of a deck run lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Placement {
    /// On the surface.
    OnSurface {
        /// Conductance between tube and deck for each metre of tube, W/(m·K); [`BOND_RANGE_W_M_K`].
        contact_conductance_w_m_k: f64,
    },
    /// Cast into the slab.
    InSlab {
        /// From the surface to the tube's axis, m.
        depth_m: f64,
    },
    /// In the soil below the slab (or below bare soil when the slab is 0 thick).
    InSoil {
        /// From the surface to the tube's axis, m.
        depth_m: f64,
    },
}

/// Tube on, in or below a deck that takes sun, stores heat and gives it back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DeckSpec {
    /// The tube. Its absorptance and emissivity matter on the surface only.
    pub tube: TubeSpec,
    /// Where it lies.
    pub placement: Placement,
    /// Distance between the axes of neighbouring runs, m.
    pub spacing_m: f64,
    /// What the slab is made of.
    pub slab: GroundMaterial,
    /// Its thickness, m; 0 for bare soil.
    pub slab_thickness_m: f64,
    /// What lies below the slab.
    pub soil: GroundMaterial,
    /// Share of sunlight that the deck absorbs. Concrete 0.55–0.70 (common practice, no source).
    pub absorptance_frac: f64,
    /// Emissivity of the deck. Concrete 0.88–0.94 (common practice, no source).
    pub emissivity_frac: f64,
    /// What counts of a tube on the surface; see [`BoardSpec::exposed_shape_frac`].
    pub exposed_shape_frac: f64,
}

/// A bought unglazed panel: coefficients of the steady-state test of ISO 9806 in the form with the wind itself.
///
/// `Q/A = η₀ (1 − b_u u) G″ − (b₁ + b₂ u)(T_m − T_a)`, `G″ = G + (ε/α)(E_L − σ T_a⁴)`
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PanelSpec {
    /// Area to which the coefficients refer, m².
    pub area_m2: f64,
    /// Efficiency without loss.
    pub eta0_frac: f64,
    /// Wind dependence of the efficiency, s/m.
    pub bu_s_m: f64,
    /// Heat loss without wind, W/(m²·K).
    pub b1_w_m2_k: f64,
    /// Wind dependence of the heat loss, W·s/(m³·K).
    pub b2_w_s_m3_k: f64,
    /// Emissivity over absorptance; 0.95 where it was not measured (from memory).
    pub emissivity_over_absorptance: f64,
    /// Heat capacity with its water, J/(m²·K).
    pub heat_capacity_j_m2_k: f64,
    /// Incidence-angle coefficient; 0…0.1 for unglazed panels (from memory).
    pub b0: f64,
}

impl PanelSpec {
    /// Coefficients of the edition of 2017, in which the wind enters as `u′ = u − 3 m/s`, in the form used here.
    ///
    /// With `Q/A = η₀,b G − a₁ ΔT − a₃ u′ ΔT + a₄ (E_L − σT_a⁴) − a₆ u′ G`:
    /// `η₀ (1 − b_u u) = η₀,b + 3 a₆ − a₆ u`, `b₁ = a₁ − 3 a₃`, `b₂ = a₃`, `ε/α = a₄/η₀`.
    ///
    /// `area_m2`, `heat_capacity_j_m2_k` (its a₅) and `b0` are taken as they are.
    ///
    /// Source: ISO 9806:2017, model for wind- and infrared-sensitive collectors (from memory).
    /// Differs: a₂, a₇ and a₈ are not used.
    #[must_use]
    pub fn from_2017_form(
        area_m2: f64,
        coefficients: &Coefficients2017,
        heat_capacity_j_m2_k: f64,
        b0: f64,
    ) -> Self {
        let c = coefficients;
        let eta0 = c.eta0_b_frac + REFERENCE_WIND_M_S * c.a6_s_m;
        Self {
            area_m2,
            eta0_frac: eta0,
            bu_s_m: c.a6_s_m / eta0,
            b1_w_m2_k: c.a1_w_m2_k - REFERENCE_WIND_M_S * c.a3_j_m3_k,
            b2_w_s_m3_k: c.a3_j_m3_k,
            emissivity_over_absorptance: c.a4_frac / eta0,
            heat_capacity_j_m2_k,
            b0,
        }
    }
}

/// Wind subtracted in the edition of 2017, m/s (from memory).
pub const REFERENCE_WIND_M_S: f64 = 3.0;

/// Coefficients of an unglazed panel as the edition of 2017 prints them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coefficients2017 {
    /// η₀,b.
    pub eta0_b_frac: f64,
    /// a₁, W/(m²·K).
    pub a1_w_m2_k: f64,
    /// a₃, J/(m³·K).
    pub a3_j_m3_k: f64,
    /// a₄.
    pub a4_frac: f64,
    /// a₆, s/m.
    pub a6_s_m: f64,
}

/// Tied every hand's breadth to pressed or glued all along, W/(m·K). A thin air gap of 1 mm over 8 mm gives 0.2;
/// touching by 1 mm of plastic 2 mm thick gives 0.2 more; glue all along some 2 (our own estimate, no source).
pub const BOND_RANGE_W_M_K: (f64, f64) = (0.1, 3.0);

/// Bond of a tube tied to a flat board, W/(m·K): our own estimate, see [`BOND_RANGE_W_M_K`].
pub const BOND_DEFAULT_W_M_K: f64 = 0.5;

/// Half-way between the tube's width and half its perimeter; the range is 0…1 (our own choice, no source).
/// Rows that touch or overlap are not affected: they cannot take in more than their pitch.
pub const EXPOSED_SHAPE_DEFAULT_FRAC: f64 = 0.5;

pub(crate) fn positive(what: &'static str, value: f64) -> Result<(), CollectorError> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(CollectorError::NotPositive { what, found: value })
    }
}

pub(crate) fn within(
    what: &'static str,
    value: f64,
    low: f64,
    high: f64,
) -> Result<(), CollectorError> {
    if value >= low && value <= high {
        Ok(())
    } else {
        Err(CollectorError::OutOfRange {
            what,
            found: value,
            low,
            high,
        })
    }
}

impl TubeSpec {
    pub(crate) fn check(&self) -> Result<(), CollectorError> {
        positive("tube bore, m", self.bore_m)?;
        positive("tube length, m", self.length_m)?;
        if self.outer_diameter_m.is_nan() || self.outer_diameter_m <= self.bore_m {
            return Err(CollectorError::BoreNotSmaller {
                bore_m: self.bore_m,
                outer_diameter_m: self.outer_diameter_m,
            });
        }
        if self.parallel_circuits == 0 {
            return Err(CollectorError::NotPositive {
                what: "tube circuits",
                found: 0.0,
            });
        }
        within("tube absorptance", self.absorptance_frac, 0.0, 1.0)?;
        within("tube emissivity", self.emissivity_frac, 0.0, 1.0)
    }

    /// Cross-section of the bore, m².
    #[must_use]
    pub fn bore_area_m2(&self) -> f64 {
        std::f64::consts::FRAC_PI_4 * self.bore_m * self.bore_m
    }

    /// Cross-section of the wall, m².
    #[must_use]
    pub fn wall_area_m2(&self) -> f64 {
        std::f64::consts::FRAC_PI_4
            * (self.outer_diameter_m * self.outer_diameter_m - self.bore_m * self.bore_m)
    }

    /// Flow in one circuit, kg/s.
    #[must_use]
    pub fn circuit_flow_kg_s(&self, flow_kg_s: f64) -> f64 {
        flow_kg_s / f64::from(self.parallel_circuits)
    }
}

impl Layout {
    /// Coil diameter that stands for the whole spiral: the mean over the length of the tube; absent when straight.
    ///
    /// `(2/3)(D_o³ − D_i³)/(D_o² − D_i²)`: in a flat spiral of constant pitch the length at diameter D goes with D.
    #[must_use]
    pub fn coil_diameter_m(&self) -> Option<f64> {
        match *self {
            Self::RoundSpiral {
                inner_diameter_m: i,
                outer_diameter_m: o,
            } => Some(2.0 / 3.0 * (o * o + o * i + i * i) / (o + i)),
            Self::RectangularSpiral | Self::Serpentine => None,
        }
    }

    pub(crate) fn check(&self, tube: &TubeSpec) -> Result<(), CollectorError> {
        if let Self::RoundSpiral {
            inner_diameter_m,
            outer_diameter_m,
        } = *self
        {
            positive("inner diameter of the spiral, m", inner_diameter_m)?;
            within(
                "inner diameter of the spiral, m",
                inner_diameter_m,
                tube.outer_diameter_m,
                outer_diameter_m,
            )?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_form_of_2017_gives_the_same_heat() {
        let c = Coefficients2017 {
            eta0_b_frac: 0.85,
            a1_w_m2_k: 22.0,
            a3_j_m3_k: 4.0,
            a4_frac: 0.80,
            a6_s_m: 0.02,
        };
        let panel = PanelSpec::from_2017_form(1.0, &c, 1e4, 0.0);
        // By hand at u = 1.5 m/s (u′ = −1.5), G 800, E_L − σT⁴ −100 W/m², rise 5 K:
        // 0.85·800 + 0.02·1.5·800 − 0.80·100·(wind's share) − (22 − 4·1.5)·5, where the form with u lets the wind act on the sky
        // as on the sun: 0.88/0.91 of 80 W/m². 680 + 24 − 77.363 − 80 = 546.637.
        let found = crate::panel_heat_w_m2(&panel, 1.5, 800.0, -100.0, 5.0);
        assert!((found - 546.637).abs() < 1e-3, "{found}");
    }
}
