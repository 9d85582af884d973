//! Pieces of plumbing in series, side by side, or mixed.

use super::fittings::Fitting;
use super::tube::Tube;
use super::{FlowError, within};

/// Heights that are believed, m.
const HEIGHTS_M: (f64, f64) = (-50.0, 50.0);

/// A run of one tube with its fittings: a coil, a connecting run, a filter.
///
/// Entrance from the pool and exit into it are fittings too: without [`super::FittingKind::Exit`] the water's speed is
/// taken to be won back.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// As the builder calls it.
    pub name: String,
    /// The tube; length 0 for a body that is all fittings.
    pub tube: Tube,
    /// Height of its outlet above its inlet, m.
    pub rise_m: f64,
    /// Height of its highest point above its inlet, m; its ends count anyway.
    pub high_m: f64,
    /// What sits in it.
    pub fittings: Vec<Fitting>,
    /// Its outlet is open to the air (a vent, an open vacuum breaker, an end above the water): the siphon is lost
    /// there, the pump lifts to that height, and the water runs on by its weight.
    pub open_to_air: bool,
}

impl Piece {
    /// A level run without fittings.
    #[must_use]
    pub fn run(name: impl Into<String>, tube: Tube) -> Self {
        Self {
            name: name.into(),
            tube,
            rise_m: 0.0,
            high_m: 0.0,
            fittings: Vec::new(),
            open_to_air: false,
        }
    }

    /// The same, its outlet so much higher than its inlet (lower when negative).
    #[must_use]
    pub fn rising(mut self, rise_m: f64) -> Self {
        self.rise_m = rise_m;
        self
    }

    /// The same with these fittings.
    #[must_use]
    pub fn with(mut self, fittings: impl IntoIterator<Item = Fitting>) -> Self {
        self.fittings.extend(fittings);
        self
    }

    pub(crate) fn check(&self) -> Result<(), FlowError> {
        self.tube.check(&self.name)?;
        let (low, high) = HEIGHTS_M;
        within(&self.name, "rise, m", self.rise_m, low, high)?;
        within(
            &self.name,
            "highest point above its inlet, m",
            self.high_m,
            0.0,
            high,
        )?;
        self.fittings
            .iter()
            .try_for_each(|f| f.check(&self.name, self.tube.bore_m))
    }
}

/// Plumbing as a tree.
#[derive(Clone, Debug, PartialEq)]
pub enum Network {
    /// One piece.
    Piece(Piece),
    /// One after the other; empty is no plumbing at all.
    Series(Vec<Network>),
    /// All from the same tee to the same tee, or each to the pool.
    SideBySide(Vec<Network>),
}

impl From<Piece> for Network {
    fn from(piece: Piece) -> Self {
        Self::Piece(piece)
    }
}

impl Network {
    /// No plumbing.
    #[must_use]
    pub const fn none() -> Self {
        Self::Series(Vec::new())
    }

    /// Pieces in order.
    pub fn pieces(&self) -> Box<dyn Iterator<Item = &Piece> + '_> {
        match self {
            Self::Piece(piece) => Box::new(std::iter::once(piece)),
            Self::Series(parts) | Self::SideBySide(parts) => {
                Box::new(parts.iter().flat_map(Self::pieces))
            }
        }
    }

    /// Whether there is no piece in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.pieces().next().is_none()
    }

    /// Water in it, m³.
    #[must_use]
    pub fn volume_m3(&self) -> f64 {
        self.pieces().map(|p| p.tube.volume_m3()).sum()
    }
}
