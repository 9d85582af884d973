//! The heat and water that an outdoor pool gains and loses.
//!
//! **Question:** with this weather and water temperature, what flows into the water through its surface, its cover,
//! its walls and the ground?
//! **In:** weather of one interval, water temperature in °C, the constant description of the pool.
//! **Out:** heat flows, each [`Flux`] positive into the water with its exact slope in water temperature, and the
//! water that evaporates.
//! **Sources:** Smith, Löf & Jones (1994), ISO/TR 12596:1995 and others for evaporation ([`EvaporationModel`]); Bowen
//! (1926) for convection; Rabl & Nielsen (1975) for the sun in water; Carslaw & Jaeger (1959) and Kusuda & Achenbach
//! (1965) for the ground; Burch & Christensen (2007) for mains water. Each stands beside its equation.
//!
//! Nothing here reads files, knows the time or allocates. Water is one mixed body: under a cover with the pump off
//! the top of a real pool is warmer than the mix, which this crate does not resolve.

mod cover;
mod evaporation;
mod flux;
mod ground;
mod jacobi;
mod skin;
mod sun;
mod surface;
mod walls;
mod water_flows;

pub use cover::{
    AboveCover, Cover, CoverHour, CoverKind, CoverSpans, CoveredFlux, cover_convection_w_m2_k,
};
pub use evaporation::{EvaporationModel, Surroundings, WIND_AT_WATER_HEIGHT_M};
pub use flux::{Flux, PoolError, Span};
pub use ground::{AnnualCycle, GROUND_NODES, Ground, GroundSpec, GroundState, GroundStep};
pub use skin::SkinKnown;
pub use sun::{Finish, SunOnWater, transmission_frac};
pub use surface::{
    BOWEN_1_K, OpenHour, OpenWater, SurfaceFlux, SurfaceWeather, WATER_EMISSIVITY_FRAC,
};
pub use walls::{WallKind, Walls, wall_convection_w_m2_k};
pub use water_flows::{mains_c, make_up_w_m2, rain_w_m2};
