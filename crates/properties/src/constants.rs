//! Physical constants, each once.

/// Stefan–Boltzmann constant, W/(m²·K⁴). Source: CODATA 2018, exact value rounded to ten digits.
pub const STEFAN_BOLTZMANN_W_M2_K4: f64 = 5.670_374_419e-8;

/// 0 °C in kelvin. Source: definition of the Celsius scale (SI brochure, 9th edition, 2.3.1).
pub const ZERO_CELSIUS_K: f64 = 273.15;

/// Standard acceleration of free fall, m/s². Source: CGPM 1901.
pub const GRAVITY_M_S2: f64 = 9.806_65;

/// Standard atmosphere, Pa. Source: CGPM 1954.
pub const STANDARD_PRESSURE_PA: f64 = 101_325.0;

/// Latent heat of fusion of ice at 0 °C, J/kg. Source: IAPWS-06 (333.4 kJ/kg, rounded).
pub const FUSION_J_KG: f64 = 333_400.0;

/// Density of ice at 0 °C, kg/m³. Source: IAPWS-06 (916.7, rounded).
pub const ICE_DENSITY_KG_M3: f64 = 917.0;

/// Thermal conductivity of ice near 0 °C, W/(m·K). Handbook value, from memory: 2.1…2.2.
pub const ICE_CONDUCTIVITY_W_M_K: f64 = 2.2;

/// Ratio of the molar masses of water and dry air. Source: ASHRAE Fundamentals, *Psychrometrics*.
pub const WATER_TO_AIR_MOLAR_MASS: f64 = 0.621_945;

/// Gas constant of dry air, J/(kg·K). Source: ASHRAE Fundamentals, *Psychrometrics*.
pub const DRY_AIR_GAS_J_KG_K: f64 = 287.042;
