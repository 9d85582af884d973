//! What the heater weighs, what water it holds, and how long its first hot water runs.

use swimdays_properties::materials::BoardMaterial;
use swimdays_properties::water;

use crate::bend::Tube;

/// Temperature at which the water in the tube is weighed, °C: cold water is heavier.
const WEIGHED_AT_C: f64 = 10.0;

/// Density of softwood studs, kg/m³: 400–550 dry, to 650 wet (handbook range, from memory).
pub const STUD_DENSITY_KG_M3: f64 = 500.0;
/// Density of acrylic, polycarbonate and PVC glazing, kg/m³: 1190–1400 (from memory); glass is 2500.
pub const LID_DENSITY_KG_M3: f64 = 1_200.0;
/// Wet coat of paint that stays, kg/m²: 0.1–0.2 for two coats (common practice, no source).
pub const PAINT_KG_M2: f64 = 0.15;
/// Ties, screws, clamps and fittings as a share of all else (our choice, no source).
pub const SMALL_PARTS_FRAC: f64 = 0.03;

/// What is weighed: one board with everything on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// The tube.
    pub tube: Tube,
    /// Its length on the board, m.
    pub tube_m: f64,
    /// Board's area, m².
    pub board_m2: f64,
    /// Board's material.
    pub board: BoardMaterial,
    /// Its thickness, m.
    pub board_thickness_m: f64,
    /// Studs or battens, m³ of wood.
    pub wood_m3: f64,
    /// Insulation: thickness, m, and density, kg/m³; foam is 15–40.
    pub insulation: Option<(f64, f64)>,
    /// Thickness of a clear lid, m.
    pub lid_thickness_m: Option<f64>,
    /// Painted, both sides counted, m².
    pub painted_m2: f64,
}

/// Weights.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weight {
    /// Tube, empty, kg.
    pub tube_kg: f64,
    /// Board, kg.
    pub board_kg: f64,
    /// Studs, kg.
    pub wood_kg: f64,
    /// Insulation, lid, paint, small parts, kg.
    pub other_kg: f64,
    /// Empty, kg.
    pub dry_kg: f64,
    /// Water in the tube, kg.
    pub water_kg: f64,
    /// Water in the tube, m³.
    pub water_m3: f64,
    /// Full, kg.
    pub filled_kg: f64,
    /// Full, over the board's area, kg/m²: what a roof or fence carries beside wind and snow.
    pub filled_kg_m2: f64,
}

impl Load {
    /// The weights.
    ///
    /// Masses are volumes times densities; small parts are [`SMALL_PARTS_FRAC`] of the rest. A board that is wet through weighs
    /// some 20 % more (common practice, no source).
    #[must_use]
    pub fn weigh(&self) -> Weight {
        let tube_kg = self.tube.mass_kg_m() * self.tube_m;
        let board_kg = self.board_m2 * self.board_thickness_m * self.board.density_kg_m3();
        let wood_kg = self.wood_m3 * STUD_DENSITY_KG_M3;
        let insulation = self
            .insulation
            .map_or(0.0, |(thick, density)| self.board_m2 * thick * density);
        let lid = self
            .lid_thickness_m
            .map_or(0.0, |thick| self.board_m2 * thick * LID_DENSITY_KG_M3);
        let main = tube_kg + board_kg + wood_kg + insulation + lid;
        let other_kg = insulation + lid + self.painted_m2 * PAINT_KG_M2 + SMALL_PARTS_FRAC * main;
        let dry_kg = tube_kg + board_kg + wood_kg + other_kg;
        let water_m3 = self.tube.water_m3_m() * self.tube_m;
        let water_kg = water_m3 * water::density_kg_m3(WEIGHED_AT_C);
        Weight {
            tube_kg,
            board_kg,
            wood_kg,
            other_kg,
            dry_kg,
            water_kg,
            water_m3,
            filled_kg: dry_kg + water_kg,
            filled_kg_m2: (dry_kg + water_kg) / self.board_m2,
        }
    }
}

/// How long the water that stood in the tube runs out, s: its volume over the flow.
///
/// Water that follows is already cooler; in one tube without mixing this is the length of the hot slug. None without flow.
#[must_use]
pub fn first_slug_s(water_m3: f64, flow_m3_s: f64) -> Option<f64> {
    (flow_m3_s > 0.0).then(|| water_m3 / flow_m3_s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use swimdays_properties::materials::TubeMaterial;

    /// Hand arithmetic below keeps four digits.
    const DIGITS: f64 = 1e-3;

    #[test]
    fn two_hundred_feet_on_a_sheet() {
        // 60.96 m of 15.24 mm bore: π/4 · 0.01524² = 1.82415e-4 m² → 11.120 L (2.94 US gal); at 10 °C 999.70 kg/m³ → 11.117 kg.
        // Wall π/4 (0.01778² − 0.01524²) = 6.5870e-5 m² · 920 · 60.96 = 3.694 kg.
        // 4 × 8 ft of half an inch: 2.97290 m² · 0.0127 · 545 = 20.577 kg. Two studs 38 × 89 × 2438 mm: 0.016492 m³ · 500 = 8.246 kg.
        let load = Load {
            tube: Tube {
                material: TubeMaterial::Polyethylene,
                outer_diameter_m: 0.017_78,
                bore_m: 0.015_24,
                makers_bend_radius_m: None,
            },
            tube_m: 60.96,
            board_m2: 2.972_897,
            board: BoardMaterial::Plywood,
            board_thickness_m: 0.012_7,
            wood_m3: 2.0 * 0.038 * 0.089 * 2.438_4,
            insulation: None,
            lid_thickness_m: None,
            painted_m2: 5.945_794,
        };
        let w = load.weigh();
        assert!((w.water_m3 / 0.011_120 - 1.0).abs() < DIGITS);
        assert!((w.water_kg / 11.117 - 1.0).abs() < DIGITS);
        assert!((w.tube_kg / 3.694 - 1.0).abs() < DIGITS);
        assert!((w.board_kg / 20.577 - 1.0).abs() < DIGITS);
        assert!((w.wood_kg / 8.247 - 1.0).abs() < DIGITS);
        // Paint 0.892, small parts 0.03 · 32.518 = 0.976: 1.868. Dry 34.385, full 45.502, 15.305 kg/m² (3.1 lb/ft²).
        assert!((w.dry_kg / 34.385 - 1.0).abs() < DIGITS);
        assert!((w.filled_kg / 45.502 - 1.0).abs() < DIGITS);
        assert!((w.filled_kg_m2 / 15.305 - 1.0).abs() < DIGITS);
        // At 4 gal/min (2.52361e-4 m³/s): 44.06 s.
        let slug = first_slug_s(w.water_m3, 2.523_61e-4).unwrap_or_default();
        assert!((slug / 44.06 - 1.0).abs() < DIGITS);
        assert_eq!(first_slug_s(w.water_m3, 0.0), None);
    }
}
