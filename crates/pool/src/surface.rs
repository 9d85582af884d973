//! Open water: evaporation, convection, longwave.

use swimdays_properties::constants::{STEFAN_BOLTZMANN_W_M2_K4, ZERO_CELSIUS_K};
use swimdays_properties::moist_air::{latent_heat_j_kg, saturation_pressure_and_slope};
use swimdays_properties::real::Real;

use crate::cover::CoverHour;
use crate::evaporation::EvaporationModel;
use crate::flux::Flux;

/// Longwave emissivity of water. ISO/TR 12596 takes 0.95, limnology 0.97 (both from memory); the middle.
pub const WATER_EMISSIVITY_FRAC: f64 = 0.96;

/// Bowen's coefficient over the atmospheric pressure, 1/K: `q_c/q_e = BOWEN · P (T_w − T_a)/(p_w − p_a)`.
///
/// Source: psychrometer coefficient of WMO-No. 8, 6.53e-4 1/K (from memory): 66.2 Pa/K at sea level, between Bowen's own
/// 61 (1926, Physical Review 27:779) and `c_p P/(0.622 L)` = 67.2 at 27 °C.
pub const BOWEN_1_K: f64 = 6.53e-4;

/// The weather over the water during one interval.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SurfaceWeather {
    /// Air, °C.
    pub air_c: f64,
    /// Vapour pressure of the air, Pa.
    pub vapour_pressure_pa: f64,
    /// Atmospheric pressure, Pa.
    pub pressure_pa: f64,
    /// Wind at the station, 10 m above ground, m/s.
    pub wind_10m_m_s: f64,
    /// Longwave that comes down on the water, from the sky and from what hides it, W/m².
    pub sky_longwave_w_m2: f64,
}

/// The constant description of an open water surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpenWater<R = f64> {
    wind_at_water_frac: R,
    emissivity_frac: R,
    still_w_m2_pa: R,
    per_wind_w_m2_pa: R,
    per_root_wind_w_m2_pa: R,
}

/// What flows through open water's surface, per m².
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SurfaceFlux<R = f64> {
    /// Latent heat; positive when dew falls on the water.
    pub evaporation: Flux<R>,
    /// Sensible heat from the air.
    pub convection: Flux<R>,
    /// Longwave received and kept, less emitted.
    pub longwave: Flux<R>,
    /// Water that leaves, kg/(m²·s); negative when dew falls.
    pub evaporated_kg_m2_s: R,
}

impl OpenWater {
    /// Open water with the default emissivity.
    ///
    /// | argument | meaning | range |
    /// |---|---|---|
    /// | `evaporation` | the model | |
    /// | `wind_at_water_frac` | wind at 0.3 m over the station's at 10 m | 0…1 |
    /// | `activity_frac` | activity factor of the ASHRAE equation, used by that model only | 0.5 quiet…1.5 |
    ///
    /// ASHRAE's activity factors: residential 0.5, hotel 0.8, public 1.0 (from memory).
    #[must_use]
    pub fn new(evaporation: EvaporationModel, wind_at_water_frac: f64, activity_frac: f64) -> Self {
        let (still, per_wind, per_root_wind) = evaporation.coefficients();
        let activity = match evaporation {
            EvaporationModel::Ashrae => activity_frac,
            _ => 1.0,
        };
        let wind = evaporation.wind_per_wind_at_water() * wind_at_water_frac;
        Self {
            wind_at_water_frac,
            emissivity_frac: WATER_EMISSIVITY_FRAC,
            still_w_m2_pa: activity * still,
            per_wind_w_m2_pa: activity * per_wind * wind,
            per_root_wind_w_m2_pa: activity * per_root_wind * wind.sqrt(),
        }
    }

    /// The same water with another longwave emissivity, 0…1.
    #[must_use]
    pub fn with_emissivity(self, emissivity_frac: f64) -> Self {
        Self {
            emissivity_frac,
            ..self
        }
    }
}

impl<R: Real> OpenWater<R> {
    /// Several waters side by side, one for each lane of `like`.
    #[must_use]
    pub fn join(like: R, lanes: &[&OpenWater]) -> Self {
        let of = |pick: fn(&OpenWater) -> f64| like.each(|lane| pick(lanes[lane]));
        Self {
            wind_at_water_frac: of(|w| w.wind_at_water_frac),
            emissivity_frac: of(|w| w.emissivity_frac),
            still_w_m2_pa: of(|w| w.still_w_m2_pa),
            per_wind_w_m2_pa: of(|w| w.per_wind_w_m2_pa),
            per_root_wind_w_m2_pa: of(|w| w.per_root_wind_w_m2_pa),
        }
    }

    /// Wind at 0.3 m above the water over the station's wind at 10 m.
    #[inline(always)]
    #[must_use]
    pub fn wind_at_water_frac(&self) -> R {
        self.wind_at_water_frac
    }

    /// Heat carried off by vapour per vapour-pressure difference, W/(m²·Pa), quiet water.
    #[inline(always)]
    #[must_use]
    pub fn vapour_coefficient_w_m2_pa(&self, wind_10m_m_s: f64) -> R {
        self.still_w_m2_pa
            + self.per_wind_w_m2_pa * wind_10m_m_s
            + self.per_root_wind_w_m2_pa * wind_10m_m_s.sqrt()
    }

    /// The water in the weather of one interval.
    #[inline(always)]
    #[must_use]
    pub fn hour(&self, w: &SurfaceWeather, bathing_factor: R) -> OpenHour<R> {
        let vapour_w_m2_pa = bathing_factor * self.vapour_coefficient_w_m2_pa(w.wind_10m_m_s);
        OpenHour {
            vapour_w_m2_pa,
            sensible_w_m2_k: vapour_w_m2_pa * (BOWEN_1_K * w.pressure_pa),
            grey: self.emissivity_frac * STEFAN_BOLTZMANN_W_M2_K4,
            kept_w_m2: self.emissivity_frac * w.sky_longwave_w_m2,
            vapour_pressure_pa: w.vapour_pressure_pa,
            air_c: w.air_c,
        }
    }

    /// What flows through open water's surface, W/m² into the water.
    ///
    /// ```text
    /// evaporation = −f k(v) [p_ws(T_w) − p_a]        k(v) = a + b v + c √v of the model
    /// convection  = −f k(v) γ P (T_w − T_a)          γ = BOWEN_1_K
    /// longwave    = ε (L − σ T_w⁴)
    /// ```
    ///
    /// | symbol | argument | unit | range |
    /// |---|---|---|---|
    /// | T_a, p_a, P, L | `w` | °C, Pa, Pa, W/m² | |
    /// | v | `w.wind_10m_m_s`, brought to the model's own height at the water | m/s | [`EvaporationModel::wind_range_m_s`] |
    /// | f | `bathing_factor`: 1 quiet, 1.2–1.7 while people bathe | 1 | ≥ 0 |
    /// | T_w | `water_c` | °C | 0…60 |
    ///
    /// Outside the ranges the equations continue. Air moister than the water's surface gives dew: evaporation is then
    /// positive and the evaporated water negative. Bathing stirs and wets more surface, so it raises both flows.
    ///
    /// Source: [`EvaporationModel`] for k; Bowen (1926) for the ratio; Stefan–Boltzmann; bathing factor after Smith
    /// et al. (1998), ASHRAE Transactions 104(1A), paper 4146: active use 40–70 % above quiet, 26 % in light use.
    #[inline(always)]
    #[must_use]
    pub fn flux(&self, w: &SurfaceWeather, bathing_factor: R, water_c: R) -> SurfaceFlux<R> {
        self.hour(w, bathing_factor).flux(water_c)
    }
}

/// Open water in the weather of one interval: what does not depend on the water's temperature, per m², or of an area
/// after [`Self::times`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpenHour<R = f64> {
    vapour_w_m2_pa: R,
    sensible_w_m2_k: R,
    /// `ε σ`, W/(m²·K⁴).
    grey: R,
    /// Longwave kept, W/m².
    kept_w_m2: R,
    vapour_pressure_pa: f64,
    air_c: f64,
}

impl<R: Real> OpenHour<R> {
    /// A place for the water of an interval, in as many lanes as `zero`.
    #[must_use]
    pub fn none(zero: R) -> Self {
        Self {
            vapour_w_m2_pa: zero,
            sensible_w_m2_k: zero,
            grey: zero,
            kept_w_m2: zero,
            vapour_pressure_pa: 0.0,
            air_c: 0.0,
        }
    }

    /// As many m², so that [`Self::flux`] gives W.
    #[inline(always)]
    #[must_use]
    pub fn times(self, area_m2: R) -> Self {
        Self {
            vapour_w_m2_pa: self.vapour_w_m2_pa * area_m2,
            sensible_w_m2_k: self.sensible_w_m2_k * area_m2,
            grey: self.grey * area_m2,
            kept_w_m2: self.kept_w_m2 * area_m2,
            ..self
        }
    }

    /// With the vapour that `area_m2` of covered water still gives: it has the same pressure.
    #[inline(always)]
    #[must_use]
    pub fn and_below(self, cover: &CoverHour<R>, area_m2: R) -> Self {
        Self {
            vapour_w_m2_pa: self.vapour_w_m2_pa + cover.vapour_w_m2_pa * area_m2,
            ..self
        }
    }

    /// What flows through the surface, as [`OpenWater::flux`].
    #[inline(always)]
    #[must_use]
    pub fn flux(&self, water_c: R) -> SurfaceFlux<R> {
        let (evaporation, evaporated_kg_m2_s) =
            vapour_flow(self.vapour_w_m2_pa, self.vapour_pressure_pa, water_c);
        let t = water_c + ZERO_CELSIUS_K;
        let emitted_per_t = self.grey * (t * t * t);
        SurfaceFlux {
            evaporation,
            convection: Flux {
                w_m2: -(self.sensible_w_m2_k * (water_c - self.air_c)),
                slope_w_m2_k: -self.sensible_w_m2_k,
            },
            longwave: Flux {
                w_m2: self.kept_w_m2 - emitted_per_t * t,
                slope_w_m2_k: emitted_per_t * -4.0,
            },
            evaporated_kg_m2_s,
        }
    }
}

/// Latent heat into the water, W/m², and the water that leaves, kg/(m²·s).
#[inline(always)]
pub(crate) fn vapour_flow<R: Real>(
    coefficient_w_m2_pa: R,
    vapour_pressure_pa: f64,
    water_c: R,
) -> (Flux<R>, R) {
    let (saturation_pa, slope_pa_k) = saturation_pressure_and_slope(water_c);
    let lost_w_m2 = coefficient_w_m2_pa * (saturation_pa - vapour_pressure_pa);
    let flux = Flux {
        w_m2: -lost_w_m2,
        slope_w_m2_k: -(coefficient_w_m2_pa * slope_pa_k),
    };
    let kg_j = water_c.like(1.0) / latent_heat_j_kg(water_c);
    (flux, lost_w_m2 * kg_j)
}
