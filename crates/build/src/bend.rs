//! How tightly a tube may be bent before it kinks.

use swimdays_properties::materials::TubeMaterial;

/// Smallest radius of the tube's axis as a multiple of its outside diameter: the usual value and its range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BendRule {
    /// What is used when the maker's figure is not given.
    pub usual: f64,
    /// Some bend as tightly: thick walls, warm tube.
    pub low: f64,
    /// Some need as much: thin walls, cold tube.
    pub high: f64,
    /// Where that is from.
    pub source: &'static str,
}

/// Bend radius of a material over its outside diameter.
///
/// A thin wall kinks sooner and cold plastic is stiffer, hence the ranges; the maker's figure always goes before this table.
/// All values are from memory.
#[must_use]
pub const fn bend_rule(material: TubeMaterial) -> BendRule {
    match material {
        TubeMaterial::Polyethylene => BendRule {
            usual: 8.0,
            low: 6.0,
            high: 15.0,
            source: "soft irrigation tube, common practice, no source",
        },
        TubeMaterial::HighDensityPolyethylene => BendRule {
            usual: 20.0,
            low: 10.0,
            high: 30.0,
            source: "Plastics Pipe Institute, Handbook of Polyethylene Pipe, chapter 7: 20–30 diameters by wall (from memory); less when warm",
        },
        TubeMaterial::Pex => BendRule {
            usual: 8.0,
            low: 5.0,
            high: 8.0,
            source: "PEX guides of the trade: 8 diameters, 5–6 with a support or warmed (from memory)",
        },
        TubeMaterial::Pvc => BendRule {
            usual: 6.0,
            low: 4.0,
            high: 10.0,
            source: "garden hose with fabric, common practice, no source",
        },
        TubeMaterial::Epdm => BendRule {
            usual: 5.0,
            low: 3.0,
            high: 8.0,
            source: "rubber hose, common practice, no source",
        },
        TubeMaterial::Polypropylene => BendRule {
            usual: 12.0,
            low: 8.0,
            high: 20.0,
            source: "common practice, no source",
        },
        TubeMaterial::Copper => BendRule {
            usual: 4.0,
            low: 3.0,
            high: 6.0,
            source: "soft copper in a bender or over a spring; rigid copper takes elbows (common practice, no source)",
        },
    }
}

/// The tube of a layout.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tube {
    /// What it is made of.
    pub material: TubeMaterial,
    /// Outside diameter, m.
    pub outer_diameter_m: f64,
    /// Inside diameter, m.
    pub bore_m: f64,
    /// The maker's smallest bend radius, to the tube's axis, m; by [`bend_rule`] when not known.
    pub makers_bend_radius_m: Option<f64>,
}

impl Tube {
    /// As it is asked for in a shop: material, outside and inside.
    #[must_use]
    pub fn sold_as(&self, units: swimdays_quantity::Units) -> String {
        format!(
            "{} tube, {} outside, {} inside",
            self.material.name(),
            crate::diameter(self.outer_diameter_m, units),
            crate::diameter(self.bore_m, units)
        )
    }

    /// Smallest radius to which its axis may be bent, m.
    #[must_use]
    pub fn bend_radius_m(&self) -> f64 {
        self.makers_bend_radius_m
            .unwrap_or_else(|| bend_rule(self.material).usual * self.outer_diameter_m)
    }

    /// Water in a metre of it, m³/m.
    #[must_use]
    pub fn water_m3_m(&self) -> f64 {
        std::f64::consts::FRAC_PI_4 * self.bore_m * self.bore_m
    }

    /// Mass of a metre of it, empty, kg/m.
    #[must_use]
    pub fn mass_kg_m(&self) -> f64 {
        let wall = self.outer_diameter_m * self.outer_diameter_m - self.bore_m * self.bore_m;
        std::f64::consts::FRAC_PI_4 * wall * self.material.density_kg_m3()
    }
}

impl From<&swimdays_collector::TubeSpec> for Tube {
    fn from(spec: &swimdays_collector::TubeSpec) -> Self {
        Self {
            material: spec.material,
            outer_diameter_m: spec.outer_diameter_m,
            bore_m: spec.bore_m,
            makers_bend_radius_m: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_hold_the_usual_value() {
        for material in TubeMaterial::ALL {
            let rule = bend_rule(material);
            assert!(rule.low <= rule.usual && rule.usual <= rule.high);
            assert!(!rule.source.is_empty());
        }
    }

    #[test]
    fn pex_of_five_eighths_bends_to_five_inches() {
        // Trade tables of PEX, nominal 1/2 in (outside 5/8 in): 5 in at 8 diameters, 3 1/8 in at 5 (from memory).
        let tube = Tube {
            material: TubeMaterial::Pex,
            outer_diameter_m: 0.625 * 0.0254,
            bore_m: 0.485 * 0.0254,
            makers_bend_radius_m: None,
        };
        assert!((tube.bend_radius_m() / 0.0254 - 5.0).abs() < 1e-9);
        assert!((bend_rule(TubeMaterial::Pex).low * 0.625 - 3.125).abs() < 1e-9);
    }

    #[test]
    fn maker_goes_before_the_table() {
        let tube = Tube {
            material: TubeMaterial::Polyethylene,
            outer_diameter_m: 0.018,
            bore_m: 0.015,
            makers_bend_radius_m: Some(0.2),
        };
        assert!((tube.bend_radius_m() - 0.2).abs() < 1e-12);
    }
}
