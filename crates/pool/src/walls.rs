//! Walls of an above-ground pool: thin, in air and sun.

use swimdays_properties::real::Real;

use crate::flux::{Flux, Span};
use crate::skin::Skin;

/// Heat transfer from a wall to the air, W/(m²·K): `2.8 + 3.0 v`, longwave apart, v near the wall.
///
/// Source: Watmuff, Charters & Proctor (1977) (from memory), plates in wind.
#[inline(always)]
#[must_use]
pub fn wall_convection_w_m2_k<R: Real>(wind_m_s: R) -> R {
    wind_m_s * 3.0 + 2.8
}

/// The walls of an above-ground pool below the water line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Walls<R = f64> {
    /// Wetted area, m².
    pub area_m2: R,
    /// Water to the wall's outside (water film, liner, wall, insulation), W/(m²·K).
    pub conductance_w_m2_k: R,
    /// Sun absorbed by the outside, share.
    pub absorptance_frac: R,
    /// Longwave emissivity of the outside.
    pub emissivity_frac: R,
}

impl<R: Real> Walls<R> {
    /// Several walls side by side, one for each lane of `like`.
    #[must_use]
    pub fn join(like: R, lanes: &[&Walls]) -> Self {
        let of = |pick: fn(&Walls) -> f64| like.each(|lane| pick(lanes[lane]));
        Self {
            area_m2: of(|w| w.area_m2),
            conductance_w_m2_k: of(|w| w.conductance_w_m2_k),
            absorptance_frac: of(|w| w.absorptance_frac),
            emissivity_frac: of(|w| w.emissivity_frac),
        }
    }

    /// Heat into the water through the walls, W per m² of wall.
    ///
    /// `αS + ε(L − σT⁴) + h(T_a − T) + U(T_w − T) = 0` for the outside T; heat `U(T − T_w)`.
    ///
    /// | symbol | argument | unit |
    /// |---|---|---|
    /// | T_a | `air_c` | °C |
    /// | v in h | `wind_m_s` beside the wall | m/s |
    /// | S, L | `sun_w_m2`, `longwave_w_m2` on the wall, mean over its area | W/m² |
    /// | T_w | `water_c` | °C |
    ///
    /// Source: energy balance of a massless layer; h is [`wall_convection_w_m2_k`]. The slope is exact.
    #[inline(always)]
    #[must_use]
    pub fn flux(
        &self,
        air_c: f64,
        wind_m_s: R,
        sun_w_m2: f64,
        longwave_w_m2: f64,
        water_c: R,
    ) -> Flux<R> {
        let balance = Skin {
            absorbed_w_m2: self.absorptance_frac * sun_w_m2,
            longwave_w_m2,
            emissivity_frac: self.emissivity_frac,
            air_c,
            convection_w_m2_k: wall_convection_w_m2_k(wind_m_s),
            conductance_w_m2_k: self.conductance_w_m2_k,
        }
        .hour()
        .balance(water_c);
        Flux {
            w_m2: balance.into_water_w_m2,
            slope_w_m2_k: self.conductance_w_m2_k * (balance.follows_water - 1.0),
        }
    }
}

/// What the walls are made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum WallKind {
    /// Steel sheet with a vinyl liner.
    #[default]
    Steel,
    /// Resin panels, partly hollow, with a vinyl liner.
    Resin,
    /// Coated fabric held by a frame.
    Frame,
}

impl WallKind {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::Steel, Self::Resin, Self::Frame];

    /// The name written in scenarios.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Steel => "steel",
            Self::Resin => "resin",
            Self::Frame => "frame",
        }
    }

    /// The kind of that name.
    #[must_use]
    pub fn by_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.name() == name)
    }

    /// Water to the wall's outside, W/(m²·K).
    ///
    /// Own estimate: liner of 0.5 mm or fabric of 0.9 mm at 0.17 W/(m·K), a film of 250 W/(m²·K) in the water, hollow
    /// resin as 15 mm of still air over half its area. With 2.8 + 3.0 v and longwave outside this gives 8–12 W/(m²·K) to air.
    #[must_use]
    pub const fn conductance_w_m2_k(self) -> Span {
        match self {
            Self::Steel => Span::new(140.0, 80.0, 220.0),
            Self::Resin => Span::new(25.0, 5.0, 60.0),
            Self::Frame => Span::new(110.0, 70.0, 180.0),
        }
    }

    /// The walls of that kind with `insulation_m2_k_w` added outside; mid-coloured (absorptance 0.5, emissivity 0.9: common
    /// practice, no source).
    #[must_use]
    pub fn walls(self, area_m2: f64, insulation_m2_k_w: f64) -> Walls {
        Walls {
            area_m2,
            conductance_w_m2_k: 1.0 / (1.0 / self.conductance_w_m2_k().value + insulation_m2_k_w),
            absorptance_frac: 0.5,
            emissivity_frac: 0.9,
        }
    }
}
