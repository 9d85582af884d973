//! Moist air, liquid water, and what tubes, boards and ground are made of.
//!
//! **Question:** what are the physical properties of the things a pool and its heater are made of?
//! **In:** temperatures in °C, pressures in Pa. **Out:** SI values.
//! **Sources:** Hyland & Wexler (1983) as printed in the ASHRAE Handbook of Fundamentals, chapter
//! *Psychrometrics*; IAPWS liquid water as tabulated; named beside each function.
//!
//! Every physical constant of the program stands in [`constants`], once. Quantities are `f64` with the
//! unit in the name (`air_c`, `vapour_pressure_pa`); absolute temperatures carry `_k`.

pub mod constants;
pub mod elementary;
pub mod materials;
pub mod moist_air;
pub mod optics;
pub mod real;
pub mod water;
