//! Water through tube: what flows where, what it costs the pump.
//!
//! **Question:** how much water goes through each piece of a heater's plumbing, at which pressure, and does it start?
//! **In:** a [`Circuit`]: pieces in series and side by side ([`Network`]), a pump ([`HeadCurve`]), water. **Out:** an
//! [`Operating`] point: a row for each piece, pressures along the loop, whether the pump can fill the high point, and
//! [`Warning`]s with their numbers.
//! **Sources:** Darcy–Weisbach, Colebrook (1939), White (1929) and Ito (1959) for coils; minor losses of the handbooks;
//! named beside each.
//!
//! Heights are above the pool's surface. Heads are total heads against still water at the pool's surface, so a loop
//! from pool to pool has no static lift while its siphon holds. Buoyancy of warm water is left out (0.3 % of the
//! height at 10 K).
//!
//! A pump near water, a shut valve on a heater in the sun, a suction without a guard and a hose that slips can hurt:
//! local codes and licensed practice decide.
//!
//! ```
//! use swimdays_pump::hydraulics::{
//!     Bend, Circuit, Fitting, FittingKind, HeadCurve, Network, Operating, Piece, PumpPower, PumpUnit, Surroundings, Tube,
//! };
//! // 200 ft of 0.60 in tube on a pump of 7.6 m and 1500 gal/h: 3.393 gal/min by fluids 1.3.1 and scipy.
//! let tube = Tube { length_m: 60.96, bore_m: 0.01524, roughness_m: 1.5e-6, bend: Bend::Straight };
//! let coil = Piece::run("coil", tube).with([Fitting::one(FittingKind::Given { k: 3.0 })]);
//! let circuit = Circuit::Own { inlet_m: 0.0, suction: Network::none(), heater: coil.into() };
//! let gallon_m3 = 3.785_411_784e-3;
//! let pump = PumpUnit {
//!     curve: HeadCurve::by_shut_off_and_free_flow(7.6, 1500.0 * gallon_m3 / 3600.0)?,
//!     power: PumpPower::Given { watts: 300.0 },
//!     self_priming: false,
//! };
//! let found = Operating::find(&circuit, &pump, &Surroundings::at_sea_level(27.0))?;
//! assert!((found.flow_m3_s * 60.0 / gallon_m3 - 3.393).abs() < 2e-3);
//! # Ok::<(), swimdays_pump::hydraulics::FlowError>(())
//! ```

mod arrangements;
mod circuit;
mod curve;
mod fittings;
mod friction;
mod measured;
mod network;
mod operating;
mod plumbing;
mod raised;
mod solve;
mod start;
mod tube;
mod valves;
mod walk;
mod warning;

pub use arrangements::{Arrangement, ArrangementKind, arrangements};
pub use circuit::{Circuit, PumpUnit, Surroundings};
pub use curve::{CurvePoint, HeadCurve, PumpClass, PumpPower, Watts};
pub use fittings::{ELBOW_BORES_M, Fitting, FittingKind, Loss, REDUCER_ANGLES_DEG};
pub use friction::{
    COLEBROOK_REYNOLDS, COLEBROOK_ROUGHNESS, CRITICAL_REYNOLDS, FrictionLimit,
    ITO_CRITICAL_CURVATURE, ITO_TURBULENT, Regime, TURBULENT_REYNOLDS, WHITE_CURVATURE, WHITE_DEAN,
    colebrook, dean, friction_factor, haaland, ito_critical_reynolds, ito_turbulent, swamee_jain,
    white_laminar_ratio,
};
pub use measured::{Measured, against_measured};
pub use network::{Network, Piece};
pub use operating::{AIR_CARRIED_M_S, COLUMN_MARGIN_PA, Operating, Part, PieceRow, Start};
pub use tube::{Bend, Tube, TubeFlow, TubeModel, Water};
pub use valves::Valve;
pub use warning::Warning;

/// Why a circuit cannot be computed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FlowError {
    /// A quantity outside what makes sense.
    #[error("{of}: {what}: found {found}, allowed {low} to {high}")]
    OutOfRange {
        /// Piece, pump or fitting.
        of: String,
        /// Which quantity, with its unit.
        what: &'static str,
        /// What was given.
        found: f64,
        /// Smallest allowed.
        low: f64,
        /// Largest allowed.
        high: f64,
    },
    /// Too few points for a curve.
    #[error(
        "pump curve: {found} points; give at least two, the first at no flow (the shut-off head)"
    )]
    TooFewPoints {
        /// How many were given.
        found: usize,
    },
    /// The curve does not begin at no flow.
    #[error(
        "pump curve: the first point is at {flow_m3_s} m³/s; give the head at no flow first (the shut-off head)"
    )]
    NoShutOff {
        /// Flow of the first point, m³/s.
        flow_m3_s: f64,
    },
    /// The head rises, or two points share a flow: more than one operating point could exist.
    #[error(
        "pump curve: from {flow_m3_s} to {next_flow_m3_s} m³/s the head goes from {head_m} to {next_head_m} m; it must fall as the flow grows, else the pump hunts between two flows"
    )]
    Rising {
        /// Flow of the lower point, m³/s.
        flow_m3_s: f64,
        /// Its head, m.
        head_m: f64,
        /// Flow of the next point, m³/s.
        next_flow_m3_s: f64,
        /// Its head, m.
        next_head_m: f64,
    },
    /// Side-by-side branches that come together again end at different heights.
    #[error(
        "side by side, then joined: one branch ends {rise_m} m above its start, another {other_rise_m} m; branches that join again must rise by the same height"
    )]
    HeightsDisagree {
        /// Rise of the first branch, m.
        rise_m: f64,
        /// Rise of the other, m.
        other_rise_m: f64,
    },
    /// A vent in a branch that joins others again, or before the pump.
    #[error(
        "{piece} is open to the air but its water joins other pipes further on; only a way that ends in the pool can be open"
    )]
    OpenBeforeJoin {
        /// Which piece.
        piece: String,
    },
    /// An empty side-by-side group or a circuit without any piece.
    #[error("{what} has no pieces; give at least one")]
    Empty {
        /// Which part.
        what: &'static str,
    },
    /// The solver did not close the loops.
    #[error(
        "the flow did not settle after {steps} steps: the loops still differ by {rest} of the head"
    )]
    NotSettled {
        /// Steps done.
        steps: usize,
        /// Largest remaining difference, share of the pump's shut-off head.
        rest: f64,
    },
    /// The measured flow is more than the pump could give through no resistance at all, or is not a flow.
    #[error(
        "measured {measured_m3_s} m³/s, but this pump gives at most {most_m3_s} m³/s there even if the heater had no resistance: check the bucket, the watch and the pump's curve"
    )]
    MeasuredTooMuch {
        /// Measured, m³/s.
        measured_m3_s: f64,
        /// Largest possible, m³/s.
        most_m3_s: f64,
    },
    /// So little flow that the plumbing cannot explain it.
    #[error(
        "measured {measured_m3_s} m³/s: even {factor} times the computed resistance leaves {flow_m3_s} m³/s: look for air in a high point, a shut valve, a kink, or a pump that does not run"
    )]
    MeasuredTooLittle {
        /// Measured, m³/s.
        measured_m3_s: f64,
        /// Largest factor tried.
        factor: f64,
        /// Flow at that factor, m³/s.
        flow_m3_s: f64,
    },
}

pub(crate) fn within(
    of: &str,
    what: &'static str,
    found: f64,
    low: f64,
    high: f64,
) -> Result<(), FlowError> {
    if found >= low && found <= high {
        Ok(())
    } else {
        Err(FlowError::OutOfRange {
            of: of.to_owned(),
            what,
            found,
            low,
            high,
        })
    }
}
