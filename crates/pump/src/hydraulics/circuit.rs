//! Where the water comes from and where the heater hangs.

use swimdays_properties::constants::STANDARD_PRESSURE_PA;

use super::curve::{HeadCurve, PumpPower};
use super::network::Network;
use super::tube::Water;
use super::{FlowError, within};

/// A pump, its draw and how it starts.
#[derive(Clone, Debug, PartialEq)]
pub struct PumpUnit {
    /// Head against flow at the speed it runs at.
    pub curve: HeadCurve,
    /// What it draws.
    pub power: PumpPower,
    /// Can fill its own suction above the water.
    pub self_priming: bool,
}

/// From the pool, through pump and heater, back to the pool.
#[derive(Clone, Debug, PartialEq)]
#[allow(
    clippy::large_enum_variant,
    reason = "a plan holds one circuit; a box would be in every reader's way"
)]
pub enum Circuit {
    /// A pump for the heaters alone: in the pool (no suction) or beside it.
    Own {
        /// Height of the inlet above the pool's surface, m (negative: under water).
        inlet_m: f64,
        /// From the inlet to the pump; none for a pump in the water.
        suction: Network,
        /// From the pump back to the pool.
        heater: Network,
    },
    /// Off the filter pump's return.
    Tee {
        /// Height of the inlet above the pool's surface, m.
        inlet_m: f64,
        /// From the inlet to the pump.
        suction: Network,
        /// From the pump to the tee: the filter.
        before: Network,
        /// From the tee straight on: the throttle or the three-way valve's straight way.
        main: Network,
        /// From the tee through the heaters.
        heater: Network,
        /// From where heater and main come together to the pool; none where each has its own return.
        after: Network,
    },
}

impl Circuit {
    /// The heater's part.
    #[must_use]
    pub const fn heater(&self) -> &Network {
        match self {
            Self::Own { heater, .. } | Self::Tee { heater, .. } => heater,
        }
    }

    pub(crate) fn check(&self) -> Result<(), FlowError> {
        let (inlet_m, parts): (f64, Vec<&Network>) = match self {
            Self::Own {
                inlet_m,
                suction,
                heater,
            } => (*inlet_m, vec![suction, heater]),
            Self::Tee {
                inlet_m,
                suction,
                before,
                main,
                heater,
                after,
            } => (*inlet_m, vec![suction, before, main, heater, after]),
        };
        within(
            "inlet",
            "height above the pool's surface, m",
            inlet_m,
            -10.0,
            0.0,
        )?;
        if self.heater().is_empty() {
            return Err(FlowError::Empty { what: "the heater" });
        }
        if let Self::Tee { main, .. } = self
            && main.is_empty()
        {
            return Err(FlowError::Empty {
                what: "the main line past the heater",
            });
        }
        parts.into_iter().try_for_each(|part| {
            side_by_sides_have_branches(part)?;
            part.pieces().try_for_each(super::Piece::check)
        })
    }
}

fn side_by_sides_have_branches(network: &Network) -> Result<(), FlowError> {
    match network {
        Network::Piece(_) => Ok(()),
        Network::Series(parts) => parts.iter().try_for_each(side_by_sides_have_branches),
        Network::SideBySide(parts) => {
            if parts.is_empty() || parts.iter().any(Network::is_empty) {
                return Err(FlowError::Empty {
                    what: "a branch side by side",
                });
            }
            parts.iter().try_for_each(side_by_sides_have_branches)
        }
    }
}

/// Water and air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surroundings {
    /// The water that flows.
    pub water: Water,
    /// Pa.
    pub air_pressure_pa: f64,
}

impl Surroundings {
    /// Water of this temperature at sea level.
    #[must_use]
    pub fn at_sea_level(water_c: f64) -> Self {
        Self {
            water: Water::at(water_c),
            air_pressure_pa: STANDARD_PRESSURE_PA,
        }
    }
}
