//! A floating cover: its own balance between the water and the weather.

use swimdays_properties::real::Real;

use crate::flux::{Flux, Span};
use crate::skin::{Skin, SkinBalance, SkinHour, SkinKnown};
use crate::surface::{OpenWater, SurfaceWeather, vapour_flow};

/// Heat transfer from a cover to the air, W/(m²·K): `3.1 + 4.1 v`, v at 0.3 m above the water.
///
/// Source: ISO/TR 12596:1995 (from memory), for the water itself: the cover lies in the same air.
/// Differs: other plate equations (2.8 + 3.0 v; 6.5 + 3.3 v) differ by up to a factor of two at garden winds.
#[inline(always)]
#[must_use]
pub fn cover_convection_w_m2_k<R: Real>(wind_at_water_m_s: R) -> R {
    wind_at_water_m_s * 4.1 + 3.1
}

/// A floating cover, per m² of the water that it covers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cover<R = f64> {
    /// Share of the water's surface that it covers; the rest stays open water.
    pub covered_frac: R,
    /// Sun passed into the water, share of what an open surface would let in.
    pub solar_transmittance_frac: R,
    /// Sun absorbed in the cover, same share; what is neither is reflected.
    pub solar_absorptance_frac: R,
    /// Water to the cover's upper side, W/(m²·K).
    pub conductance_w_m2_k: R,
    /// Longwave emissivity of the upper side.
    pub emissivity_frac: R,
    /// Evaporation under the cover, share of quiet open water.
    pub remaining_evaporation_frac: R,
}

/// What flows through covered water, per m² of covered surface.
///
/// `sun + evaporation + convection + longwave` is the heat into the water. The cover's share of the sun counts as sun,
/// and what the cover loses upwards counts as convection and longwave.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CoveredFlux<R = f64> {
    /// Sun passed and kept by the water plus sun absorbed in the cover, W/m².
    pub sun_w_m2: R,
    /// Latent heat that still leaves.
    pub evaporation: Flux<R>,
    /// From the air to the cover.
    pub convection: Flux<R>,
    /// Longwave kept less emitted by the cover.
    pub longwave: Flux<R>,
    /// Water that leaves, kg/(m²·s).
    pub evaporated_kg_m2_s: R,
    /// Upper side of the cover, °C.
    pub cover_c: R,
    /// What the cover's own balance fails to close by, W/m²: about 0.
    pub residual_w_m2: R,
    /// Heat into the water counted from below (sun passed, conduction, evaporation), W/m²; the sum above less the residual.
    pub to_water_w_m2: R,
}

impl<R: Real> Cover<R> {
    /// Several covers side by side, one for each lane of `like`.
    #[must_use]
    pub fn join(like: R, lanes: &[&Cover]) -> Self {
        let of = |pick: fn(&Cover) -> f64| like.each(|lane| pick(lanes[lane]));
        Self {
            covered_frac: of(|c| c.covered_frac),
            solar_transmittance_frac: of(|c| c.solar_transmittance_frac),
            solar_absorptance_frac: of(|c| c.solar_absorptance_frac),
            conductance_w_m2_k: of(|c| c.conductance_w_m2_k),
            emissivity_frac: of(|c| c.emissivity_frac),
            remaining_evaporation_frac: of(|c| c.remaining_evaporation_frac),
        }
    }

    /// What flows through covered water, W/m² into the water.
    ///
    /// ```text
    /// α S + ε (L − σ T_c⁴) + h (T_a − T_c) + U (T_w − T_c) = 0        for the cover's temperature T_c
    /// into water = τ κ S + U (T_c − T_w) + r · evaporation of open water
    /// ```
    ///
    /// | symbol | argument | unit |
    /// |---|---|---|
    /// | S | `sun_w_m2`: sun on the water after shade and after reflection at the surface | W/m² |
    /// | κ | `absorbed_below_frac`: share of the light passed that stays in the water | 1 |
    /// | T_a, L, v | `w` | °C, W/m², m/s |
    /// | T_w | `water_c` | °C |
    /// | τ, α, U, ε, r | `self` | |
    ///
    /// h is [`cover_convection_w_m2_k`] of the wind at the water. The balance closes to 1e-6 W/m² (residual returned)
    /// for covers from film to thick foam; slopes are exact by implicit differentiation.
    ///
    /// Source: energy balance of a massless layer. Differs: bathers do not count under a cover.
    #[inline(always)]
    #[must_use]
    pub fn flux(
        &self,
        open: &OpenWater<R>,
        w: &SurfaceWeather,
        sun_w_m2: R,
        absorbed_below_frac: R,
        water_c: R,
    ) -> CoveredFlux<R> {
        self.hour(open, w, sun_w_m2, absorbed_below_frac)
            .flux(w.vapour_pressure_pa, water_c)
    }

    /// The cover in the weather of one interval; arguments as those of [`Self::flux`].
    #[inline(always)]
    #[must_use]
    pub fn hour(
        &self,
        open: &OpenWater<R>,
        w: &SurfaceWeather,
        sun_w_m2: R,
        absorbed_below_frac: R,
    ) -> CoverHour<R> {
        let wind_m_s = open.wind_at_water_frac() * w.wind_10m_m_s;
        let absorbed_w_m2 = self.solar_absorptance_frac * sun_w_m2;
        CoverHour {
            skin: Skin {
                absorbed_w_m2,
                longwave_w_m2: w.sky_longwave_w_m2,
                emissivity_frac: self.emissivity_frac,
                air_c: w.air_c,
                convection_w_m2_k: cover_convection_w_m2_k(wind_m_s),
                conductance_w_m2_k: self.conductance_w_m2_k,
            }
            .hour(),
            absorbed_w_m2,
            passed_w_m2: self.solar_transmittance_frac * absorbed_below_frac * sun_w_m2,
            vapour_w_m2_pa: self.remaining_evaporation_frac
                * open.vapour_coefficient_w_m2_pa(w.wind_10m_m_s),
        }
    }
}

/// A cover in the weather of one interval: what does not depend on the water's temperature, per m².
#[derive(Clone, Copy, Debug)]
pub struct CoverHour<R = f64> {
    skin: SkinHour<R>,
    absorbed_w_m2: R,
    passed_w_m2: R,
    /// Heat that vapour still carries off per vapour-pressure difference, W/(m²·Pa).
    pub(crate) vapour_w_m2_pa: R,
}

/// What flows above a cover, W/m², whatever evaporates below it.
#[derive(Clone, Copy, Debug)]
pub struct AboveCover<R = f64> {
    /// From the air to the cover.
    pub convection: Flux<R>,
    /// Longwave kept less emitted by the cover.
    pub longwave: Flux<R>,
    /// Upper side of the cover, °C.
    pub cover_c: R,
    /// As [`CoveredFlux::residual_w_m2`].
    pub residual_w_m2: R,
    /// Conducted into the water, W/m².
    into_water_w_m2: R,
    follows_water: R,
}

impl<R: Real> AboveCover<R> {
    /// What [`CoverHour::above_near`] goes on from, found with water of `water_c`.
    #[inline(always)]
    #[must_use]
    pub fn known(&self, water_c: R) -> SkinKnown<R> {
        SkinKnown {
            water_c,
            skin_c: self.cover_c,
            follows_water: self.follows_water,
        }
    }
}

impl<R: Real> CoverHour<R> {
    /// A place for the cover of an interval, in as many lanes as `zero`.
    #[must_use]
    pub fn none(zero: R) -> Self {
        Self {
            skin: SkinHour::none(zero),
            absorbed_w_m2: zero,
            passed_w_m2: zero,
            vapour_w_m2_pa: zero,
        }
    }

    /// Sun passed and kept by the water plus sun absorbed in the cover, W/m².
    #[inline(always)]
    #[must_use]
    pub fn sun_w_m2(&self) -> R {
        self.passed_w_m2 + self.absorbed_w_m2
    }

    /// What flows above the cover.
    #[inline(always)]
    #[must_use]
    pub fn above(&self, water_c: R) -> AboveCover<R> {
        self.of(&self.skin.balance(water_c))
    }

    /// As [`Self::above`], from what is known for other water; quicker, and the same to 1e-9 K.
    #[inline(always)]
    #[must_use]
    pub fn above_near(&self, known: &SkinKnown<R>, water_c: R) -> AboveCover<R> {
        self.of(&self.skin.balance_near(known, water_c))
    }

    #[inline(always)]
    fn of(&self, balance: &SkinBalance<R>) -> AboveCover<R> {
        let above_w_m2 = self.absorbed_w_m2 + balance.convection_w_m2 + balance.longwave_w_m2;
        AboveCover {
            convection: Flux {
                w_m2: balance.convection_w_m2,
                slope_w_m2_k: -(self.skin.convection_w_m2_k * balance.follows_water),
            },
            longwave: Flux {
                w_m2: balance.longwave_w_m2,
                slope_w_m2_k: -(balance.radiation_w_m2_k * balance.follows_water),
            },
            cover_c: balance.skin_c,
            residual_w_m2: above_w_m2 - balance.into_water_w_m2,
            into_water_w_m2: balance.into_water_w_m2,
            follows_water: balance.follows_water,
        }
    }

    #[inline(always)]
    fn flux(&self, vapour_pressure_pa: f64, water_c: R) -> CoveredFlux<R> {
        let above = self.above(water_c);
        let (evaporation, evaporated_kg_m2_s) =
            vapour_flow(self.vapour_w_m2_pa, vapour_pressure_pa, water_c);
        CoveredFlux {
            sun_w_m2: self.sun_w_m2(),
            evaporation,
            convection: above.convection,
            longwave: above.longwave,
            evaporated_kg_m2_s,
            cover_c: above.cover_c,
            residual_w_m2: above.residual_w_m2,
            to_water_w_m2: self.passed_w_m2 + above.into_water_w_m2 + evaporation.w_m2,
        }
    }
}

/// Kinds of cover on the market.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum CoverKind {
    /// Film with air bubbles, clear or blue.
    #[default]
    Bubble,
    /// Closed-cell foam sheet, some 6 mm.
    Foam,
    /// Opaque sheet on tracks or weighted.
    Solid,
    /// Floating disks or rings of film that leave gaps between them.
    Disks,
    /// A liquid that spreads to a film some molecules thick.
    Liquid,
}

/// Properties of a kind of cover with their ranges.
///
/// Remaining evaporation: Muleta, Cal Poly (2015/16), eight like pools, covers always on: foam 4.1, bubble 5.1, solid track
/// 6.1, disks 49.9, liquid films 84.2–85.6 % of open water, edges included (so, with an edge counted again, the
/// covered part is taken a little pessimistically). Sun passed: NREL consumer text, a clear bubble cover
/// lowers the sun absorbed by 5 % at the least, a dark one by up to 40 %. No measured conductance is known to us: own
/// estimates from layer thickness. Emissivity: polymers about 0.9 (from memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoverSpans {
    /// Share of the water covered.
    pub covered_frac: Span,
    /// Sun passed.
    pub solar_transmittance_frac: Span,
    /// Sun absorbed in the cover.
    pub solar_absorptance_frac: Span,
    /// Water to the upper side, W/(m²·K).
    pub conductance_w_m2_k: Span,
    /// Longwave emissivity above.
    pub emissivity_frac: Span,
    /// Evaporation that remains.
    pub remaining_evaporation_frac: Span,
}

impl CoverKind {
    /// Every kind.
    pub const ALL: [Self; 5] = [
        Self::Bubble,
        Self::Foam,
        Self::Solid,
        Self::Disks,
        Self::Liquid,
    ];

    /// The name written in scenarios.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Bubble => "bubble",
            Self::Foam => "foam",
            Self::Solid => "solid",
            Self::Disks => "disks",
            Self::Liquid => "liquid",
        }
    }

    /// The kind of that name.
    #[must_use]
    pub fn by_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.name() == name)
    }

    /// Its properties with their ranges; sources at [`CoverSpans`].
    #[must_use]
    pub const fn spans(self) -> CoverSpans {
        let emissivity_frac = match self {
            Self::Liquid => Span::new(0.96, 0.95, 0.97),
            _ => Span::new(0.90, 0.85, 0.95),
        };
        let (covered, transmittance, absorptance, conductance, evaporation) = match self {
            // Two films of 0.2 mm with air cells of 5 mm: 0.03–0.08 m²K/W.
            Self::Bubble => (
                Span::new(0.95, 0.90, 0.98),
                Span::new(0.82, 0.65, 0.92),
                Span::new(0.08, 0.04, 0.25),
                Span::new(20.0, 12.0, 30.0),
                Span::new(0.05, 0.03, 0.10),
            ),
            // 6 mm (4–10 mm) at 0.045 W/(m·K).
            Self::Foam => (
                Span::new(0.95, 0.90, 0.98),
                Span::new(0.05, 0.0, 0.15),
                Span::new(0.60, 0.40, 0.85),
                Span::new(7.5, 4.5, 11.0),
                Span::new(0.04, 0.02, 0.10),
            ),
            // A sheet with water and trapped air below.
            Self::Solid => (
                Span::new(0.97, 0.92, 1.0),
                Span::new(0.0, 0.0, 0.05),
                Span::new(0.70, 0.40, 0.90),
                Span::new(40.0, 15.0, 100.0),
                Span::new(0.06, 0.03, 0.12),
            ),
            // 0.75 covered and 0.33 left below give the measured half: 0.25 + 0.75 · 0.33 = 0.50.
            Self::Disks => (
                Span::new(0.75, 0.65, 0.80),
                Span::new(0.80, 0.60, 0.90),
                Span::new(0.10, 0.05, 0.25),
                Span::new(20.0, 12.0, 30.0),
                Span::new(0.33, 0.20, 0.45),
            ),
            // No insulation and no colour: only evaporation changes.
            Self::Liquid => (
                Span::new(1.0, 0.9, 1.0),
                Span::new(1.0, 1.0, 1.0),
                Span::new(0.0, 0.0, 0.0),
                Span::new(2_000.0, 1_000.0, 4_000.0),
                Span::new(0.85, 0.80, 0.95),
            ),
        };
        CoverSpans {
            covered_frac: covered,
            solar_transmittance_frac: transmittance,
            solar_absorptance_frac: absorptance,
            conductance_w_m2_k: conductance,
            emissivity_frac,
            remaining_evaporation_frac: evaporation,
        }
    }

    /// The kind's cover at the best guess of every property.
    #[must_use]
    pub const fn cover(self) -> Cover {
        let spans = self.spans();
        Cover {
            covered_frac: spans.covered_frac.value,
            solar_transmittance_frac: spans.solar_transmittance_frac.value,
            solar_absorptance_frac: spans.solar_absorptance_frac.value,
            conductance_w_m2_k: spans.conductance_w_m2_k.value,
            emissivity_frac: spans.emissivity_frac.value,
            remaining_evaporation_frac: spans.remaining_evaporation_frac.value,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn presets_are_ordered_and_pass_no_more_sun_than_there_is() {
        for kind in CoverKind::ALL {
            assert_eq!(CoverKind::by_name(kind.name()), Some(kind));
            let s = kind.spans();
            for span in [
                s.covered_frac,
                s.solar_transmittance_frac,
                s.solar_absorptance_frac,
                s.conductance_w_m2_k,
                s.emissivity_frac,
                s.remaining_evaporation_frac,
            ] {
                assert!(
                    span.low <= span.value && span.value <= span.high,
                    "{}",
                    kind.name()
                );
            }
            let c = kind.cover();
            assert!(c.solar_transmittance_frac + c.solar_absorptance_frac <= 1.0);
        }
    }
}
