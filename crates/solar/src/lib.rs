//! Sun position, irradiance on any plane, obstructions and the longwave of the sky.
//!
//! **Question:** how much sun and how much longwave does a surface receive, and from where?
//! **In:** time (Unix seconds), place in degrees, the light of a weather file in W/m², what stands around.
//! **Out:** the sun's place in the sky, W/m² on a plane by parts, shares that pass, sky emissivity.
//! **Sources:** Reda & Andreas (2004) for the sun; Duffie & Beckman (2013), chapters 1, 2 and 5; Perez and others
//! (1990); Kasten & Young (1989); Erbs and others (1982); Berdahl & Martin (1984); Crawford & Duchon (1999); named
//! beside each function.
//!
//! **Conventions:** azimuth in degrees clockwise from true north, in both hemispheres; tilt in degrees from the
//! horizontal; longitude east positive; zenith angles without refraction; time in Unix seconds, UTC. Input is
//! finite; a NaN comes out as NaN or as its default, never as a panic.
//!
//! The checks against reference libraries are in the project's `tests/tests/sun.rs` and
//! `tests/tests/plane_irradiance.rs`.

mod air_mass;
mod ephemeris;
mod error;
mod incidence;
mod longwave;
mod obstruction;
mod plane;
mod position;
mod split;

pub use air_mass::{refraction_deg, relative_air_mass};
pub use error::SolarError;
pub use incidence::{
    Lid, WATER_DIFFUSE_REFLECTANCE, WATER_REFRACTIVE_INDEX, glass_transmittance,
    ground_equivalent_incidence_deg, incidence_modifier, sky_equivalent_incidence_deg,
    surface_reflectance, water_reflectance,
};
pub use longwave::{
    CLOUDINESS_WINDOW_H, LongwaveInput, LongwaveSource, black_body_w_m2, brutsaert_emissivity,
    clear_sky_emissivity, cloudy_emissivity_from_cover, cloudy_emissivity_from_sun,
    haurwitz_ghi_w_m2, plane_longwave_w_m2, sky_longwave_w_m2, sun_share_frac, walton_emissivity,
};
pub use obstruction::{Horizon, Obstruction};
pub use plane::{Plane, PlaneIrradiance, Sky, TranspositionModel, plane_irradiance};
pub use position::{
    CIRCULAR_YEAR_DAYS, Orbit, SOLAR_CONSTANT_W_M2, SunInInterval, SunPosition,
    extraterrestrial_normal_w_m2, solar_hour, sun_in_interval, sun_position, sun_position_on,
};
pub use split::{
    DiffuseSplit, SplitContext, SplitInput, erbs_diffuse_frac, ridley_boland_lauret_diffuse_frac,
    split_ghi, split_series,
};
