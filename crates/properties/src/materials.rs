//! What tubes, boards, shells and ground are made of.
//!
//! Values are handbook values at about 25 °C; makes differ by some tenths. Where no text was at hand the doc
//! comment says *from memory*.

/// One row of a material table.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Solid {
    name: &'static str,
    conductivity_w_m_k: f64,
    density_kg_m3: f64,
    specific_heat_j_kg_k: f64,
}

const fn solid(name: &'static str, conductivity: f64, density: f64, specific_heat: f64) -> Solid {
    Solid {
        name,
        conductivity_w_m_k: conductivity,
        density_kg_m3: density,
        specific_heat_j_kg_k: specific_heat,
    }
}

macro_rules! named_solids {
    ($kind:ident) => {
        impl $kind {
            /// The name written in scenarios.
            #[must_use]
            pub const fn name(self) -> &'static str {
                self.solid().name
            }

            /// The material of that name, as [`Self::name`] writes it.
            #[must_use]
            pub fn by_name(name: &str) -> Option<Self> {
                Self::ALL.into_iter().find(|m| m.name() == name)
            }

            /// Thermal conductivity, W/(m·K).
            #[must_use]
            pub const fn conductivity_w_m_k(self) -> f64 {
                self.solid().conductivity_w_m_k
            }

            /// Density, kg/m³.
            #[must_use]
            pub const fn density_kg_m3(self) -> f64 {
                self.solid().density_kg_m3
            }

            /// Specific heat, J/(kg·K).
            #[must_use]
            pub const fn specific_heat_j_kg_k(self) -> f64 {
                self.solid().specific_heat_j_kg_k
            }

            /// Heat capacity by volume, J/(m³·K).
            #[must_use]
            pub const fn volumetric_heat_j_m3_k(self) -> f64 {
                self.solid().density_kg_m3 * self.solid().specific_heat_j_kg_k
            }
        }
    };
}

/// What a tube is made of.
///
/// Conductivities (from memory; handbook ranges in W/(m·K)): polyethylene of low density 0.33, of high density
/// 0.45–0.50, cross-linked 0.38–0.41, PVC 0.16–0.19, EPDM rubber 0.25–0.36, polypropylene 0.12–0.22, copper 385–401.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum TubeMaterial {
    /// Polyethylene of low density: black irrigation tube.
    #[default]
    Polyethylene,
    /// Polyethylene of high density.
    HighDensityPolyethylene,
    /// Cross-linked polyethylene.
    Pex,
    /// Plasticised PVC: garden hose.
    Pvc,
    /// EPDM rubber.
    Epdm,
    /// Polypropylene.
    Polypropylene,
    /// Copper.
    Copper,
}

impl TubeMaterial {
    /// Every tube material.
    pub const ALL: [Self; 7] = [
        Self::Polyethylene,
        Self::HighDensityPolyethylene,
        Self::Pex,
        Self::Pvc,
        Self::Epdm,
        Self::Polypropylene,
        Self::Copper,
    ];

    const fn solid(self) -> Solid {
        match self {
            Self::Polyethylene => solid("polyethylene", 0.33, 920.0, 2_300.0),
            Self::HighDensityPolyethylene => solid("hdpe", 0.48, 955.0, 1_900.0),
            Self::Pex => solid("pex", 0.41, 940.0, 2_200.0),
            Self::Pvc => solid("pvc", 0.17, 1_300.0, 1_200.0),
            Self::Epdm => solid("epdm", 0.29, 1_150.0, 2_000.0),
            Self::Polypropylene => solid("polypropylene", 0.17, 905.0, 1_900.0),
            Self::Copper => solid("copper", 390.0, 8_940.0, 385.0),
        }
    }

    /// Temperature above which the tube loses so much strength that fittings slip and walls swell, °C.
    ///
    /// A caution, not a rating: the maker's pressure and temperature rating decides. Common practice, no source.
    #[must_use]
    pub const fn softening_c(self) -> f64 {
        match self {
            Self::Polyethylene => 60.0,
            Self::HighDensityPolyethylene => 70.0,
            Self::Pex => 95.0,
            Self::Pvc => 55.0,
            Self::Epdm => 130.0,
            Self::Polypropylene => 85.0,
            Self::Copper => 200.0,
        }
    }

    /// Roughness of the new wall, m: drawn plastic 0.0015 mm, smoothed rubber 0.01 mm, drawn copper 0.002 mm, each ±50–60 %.
    ///
    /// Copper as brass. Scale and slime come on top. Source: White, *Fluid Mechanics*, table 6.1 (from memory).
    #[must_use]
    pub const fn roughness_m(self) -> f64 {
        match self {
            Self::Polyethylene
            | Self::HighDensityPolyethylene
            | Self::Pex
            | Self::Pvc
            | Self::Polypropylene => 1.5e-6,
            Self::Epdm => 1e-5,
            Self::Copper => 2e-6,
        }
    }
}
named_solids!(TubeMaterial);

/// What a tube lies on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum BoardMaterial {
    /// Softwood plywood. Conductivity 0.12, density 545: ASHRAE Fundamentals, table of building materials (from memory).
    #[default]
    Plywood,
    /// Rigid foam, polystyrene or polyisocyanurate. Conductivity 0.03 (from memory).
    FoamBoard,
    /// Sheet of aluminium. Conductivity 200 (alloys 150–230, from memory).
    Metal,
    /// No board: a frame, mesh or strap with air behind the tube.
    None,
}

impl BoardMaterial {
    /// Every board material.
    pub const ALL: [Self; 4] = [Self::Plywood, Self::FoamBoard, Self::Metal, Self::None];

    const fn solid(self) -> Solid {
        match self {
            Self::Plywood => solid("plywood", 0.12, 545.0, 1_215.0),
            Self::FoamBoard => solid("foam", 0.03, 30.0, 1_400.0),
            Self::Metal => solid("metal", 200.0, 2_700.0, 900.0),
            Self::None => solid("none", 0.0, 0.0, 0.0),
        }
    }
}
named_solids!(BoardMaterial);

/// What lies behind the pool's shell or below a deck run.
///
/// Dry sand, wet clay and concrete: Oke (1987), *Boundary Layer Climates*, table 2.1 (dry sandy soil, saturated clay,
/// dense concrete; from memory). Moist soil: between his dry and saturated soils.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum GroundMaterial {
    /// Dry sand: diffusivity 0.23e-6 m²/s.
    DrySand,
    /// Loam, neither dry nor wet: diffusivity 0.52e-6 m²/s.
    #[default]
    MoistSoil,
    /// Clay full of water: diffusivity 0.51e-6 m²/s.
    WetClay,
    /// Dense concrete: diffusivity 0.72e-6 m²/s.
    Concrete,
}

impl GroundMaterial {
    /// Every ground material.
    pub const ALL: [Self; 4] = [
        Self::DrySand,
        Self::MoistSoil,
        Self::WetClay,
        Self::Concrete,
    ];

    const fn solid(self) -> Solid {
        match self {
            Self::DrySand => solid("dry sand", 0.30, 1_600.0, 800.0),
            Self::MoistSoil => solid("moist soil", 1.1, 1_800.0, 1_180.0),
            Self::WetClay => solid("wet clay", 1.58, 2_000.0, 1_550.0),
            Self::Concrete => solid("concrete", 1.51, 2_400.0, 880.0),
        }
    }

    /// Thermal diffusivity, m²/s: conductivity over heat capacity by volume.
    #[must_use]
    pub const fn diffusivity_m2_s(self) -> f64 {
        self.conductivity_w_m_k() / self.volumetric_heat_j_m3_k()
    }
}
named_solids!(GroundMaterial);

/// What the pool's floor and in-ground walls are made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum ShellMaterial {
    /// Reinforced or sprayed concrete; the values of [`GroundMaterial::Concrete`].
    #[default]
    Concrete,
    /// Vinyl liner; the values of PVC.
    Liner,
    /// Glass-fibre laminate: conductivity 0.25, density 1600 (from memory).
    Fibreglass,
}

impl ShellMaterial {
    /// Every shell material.
    pub const ALL: [Self; 3] = [Self::Concrete, Self::Liner, Self::Fibreglass];

    const fn solid(self) -> Solid {
        match self {
            Self::Concrete => solid("concrete", 1.51, 2_400.0, 880.0),
            Self::Liner => solid("liner", 0.17, 1_300.0, 1_200.0),
            Self::Fibreglass => solid("fibreglass", 0.25, 1_600.0, 1_000.0),
        }
    }

    /// Customary thickness, m: 0.15 concrete, 0.0006 liner, 0.008 laminate (common practice, no source).
    #[must_use]
    pub const fn customary_thickness_m(self) -> f64 {
        match self {
            Self::Concrete => 0.15,
            Self::Liner => 0.000_6,
            Self::Fibreglass => 0.008,
        }
    }
}
named_solids!(ShellMaterial);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_lead_back() {
        for m in TubeMaterial::ALL {
            assert_eq!(TubeMaterial::by_name(m.name()), Some(m));
        }
        for m in BoardMaterial::ALL {
            assert_eq!(BoardMaterial::by_name(m.name()), Some(m));
        }
        for m in GroundMaterial::ALL {
            assert_eq!(GroundMaterial::by_name(m.name()), Some(m));
        }
        for m in ShellMaterial::ALL {
            assert_eq!(ShellMaterial::by_name(m.name()), Some(m));
        }
        assert_eq!(TubeMaterial::by_name("lead"), None);
    }

    #[test]
    fn conductivities_lie_in_the_handbook_ranges() {
        // Ranges from memory, as the enum's doc comment states them.
        let ranges = [
            (0.3, 0.38),
            (0.45, 0.5),
            (0.38, 0.41),
            (0.16, 0.19),
            (0.25, 0.36),
            (0.12, 0.22),
            (385.0, 401.0),
        ];
        for (m, (low, high)) in TubeMaterial::ALL.into_iter().zip(ranges) {
            assert!(
                (low..=high).contains(&m.conductivity_w_m_k()),
                "{}",
                m.name()
            );
        }
    }
}
