//! Heat and outlet temperature of a home-built or rated solar heater.
//!
//! **Question:** water of this temperature enters at this flow in this weather: how much warmer does it come out,
//! how hot does the tube get when nothing flows, and what of that scalds?
//! **In:** a [`HeaterSpec`] (tube on a board, tube along a deck, rated panel), the weather on its plane
//! ([`HeaterWeather`]), what it remembers ([`HeaterState`]), inlet and flow. **Out:** [`Running`] with the exact slope
//! of the heat with the inlet temperature, stagnation temperature, states, the first slug.
//!
//! **How a board is derived.** For each metre of tube one surface balance,
//! `sun + longwave − wind loss − loss through the board = G_eff (T_surface − T_inlet)`, is solved with the full fourth
//! power of the temperature. `1/G_eff` is the tube wall, the water film and the warming along the flow in series, so
//! that for a linear loss the result is the textbook `F′` and `F_R` exactly ([`hottel`]). The board between the rows is
//! a fin ([`hottel::fin_efficiency`]) with its own sun, wind and longwave.
//!
//! **Sources:** Duffie & Beckman, *Solar Engineering of Thermal Processes*, chapter 6; Watmuff, Charters & Proctor
//! (1977); Churchill & Bernstein (1977); Churchill & Chu (1975); Gnielinski (1976, 2013); Schmidt (1967);
//! Hollands et al. (1976); ISO 9806; named beside each function.
//!
//! A stagnant black tube scalds and softens plastic: whoever shows [`Heater::stagnation_c`] or [`FirstSlug`] shows the
//! caution with it. Local codes and licensed practice decide; this crate certifies nothing.

mod abreast;
mod board;
mod curve;
mod deck;
pub mod film;
mod heater;
pub mod hottel;
pub mod outside;
mod panel;
mod rest;
mod spec;
mod surface;
mod thermosiphon;

pub use abreast::{Abreast, HeaterHour, Together};
pub use deck::{DECK_SOIL_DEPTH_M, SlabBalance};
pub use film::{
    InsideFilm, coil_critical_reynolds, coil_laminar_nusselt, coil_turbulent_nusselt,
    gnielinski_nusselt, inside_nusselt, straight_nusselt,
};
pub use heater::{FirstSlug, Heater, HeaterState, HeaterWeather, Running};
pub use panel::{UnglazedCoefficients, panel_heat_w_m2};
pub use spec::{
    BOND_DEFAULT_W_M_K, BOND_RANGE_W_M_K, BoardSpec, Coefficients2017, DeckSpec,
    EXPOSED_SHAPE_DEFAULT_FRAC, HeaterSpec, Layout, LidSpec, PanelSpec, Placement,
    REFERENCE_WIND_M_S, TubeSpec,
};

/// Why a heater cannot be built from its description.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CollectorError {
    /// A quantity that must be above zero.
    #[error("{what}: found {found}, must be above 0")]
    NotPositive {
        /// Which one, with its unit.
        what: &'static str,
        /// What was given.
        found: f64,
    },
    /// A quantity outside what makes sense.
    #[error("{what}: found {found}, allowed {low} to {high}")]
    OutOfRange {
        /// Which one, with its unit.
        what: &'static str,
        /// What was given.
        found: f64,
        /// Smallest allowed.
        low: f64,
        /// Largest allowed.
        high: f64,
    },
    /// The bore is not smaller than the outside diameter.
    #[error(
        "tube: the bore {bore_m} m must be smaller than the outside diameter {outer_diameter_m} m"
    )]
    BoreNotSmaller {
        /// Bore, m.
        bore_m: f64,
        /// Outside diameter, m.
        outer_diameter_m: f64,
    },
    /// More tube than the board holds at this pitch.
    #[error(
        "board: the tube at this pitch covers {needed_m2:.2} m², the board has {board_m2:.2} m²; shorter tube, closer rows or a larger board"
    )]
    TubeDoesNotFit {
        /// Tube length times pitch, m².
        needed_m2: f64,
        /// Board, m².
        board_m2: f64,
    },
    /// Runs of a deck closer than the tube is wide.
    #[error(
        "deck: spacing {spacing_m} m is less than the tube's outside diameter {outer_diameter_m} m"
    )]
    SpacingTooSmall {
        /// Spacing, m.
        spacing_m: f64,
        /// Outside diameter, m.
        outer_diameter_m: f64,
    },
}
