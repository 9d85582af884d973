//! Every flow that depends on the water's temperature alone: surface, cover, walls, make-up water, rain.
//!
//! They are asked twice an interval, at the water's start with their slopes and at its middle. What follows from weather, cover and
//! bathers is worked out once, in [`Surface`].

use swimdays_pool::{
    CoverHour, Flux, OpenHour, SkinKnown, SurfaceWeather, make_up_w_m2, rain_w_m2,
};
use swimdays_properties::moist_air::{LATENT_HEAT_SLOPE_J_KG_K, latent_heat_j_kg};
use swimdays_properties::real::{Mask, Real};

use crate::machine::Machine;
use crate::step::Interval;

/// The whole surface of the pool in one interval, bare and covered: what does not depend on the water.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Surface<R: Real = f64> {
    /// The bare part, with the vapour of both.
    open: OpenHour<R>,
    /// Sun that stays in the water, W.
    sun_w: R,
    /// Splash and backwash less rain, kg/s.
    lost_kg_s: R,
    /// Whether a cover lies in at least one lane, and what of it then holds.
    is_covered: bool,
    covered: Covered<R>,
}

/// What lies under a cover.
#[derive(Clone, Copy, Debug)]
struct Covered<R: Real> {
    lies: R::Mask,
    /// 0 where none lies, m².
    area_m2: R,
    cover: CoverHour<R>,
    /// The cover as it was found for the first water that was asked for, when it was.
    known: SkinKnown<R>,
    is_known: bool,
}

impl<R: Real> Surface<R> {
    /// A place for the surface of an interval, in as many lanes as `zero`.
    pub(crate) fn none(zero: R) -> Self {
        Self {
            open: OpenHour::none(zero),
            sun_w: zero,
            lost_kg_s: zero,
            is_covered: false,
            covered: Covered {
                lies: zero.mask_like(false),
                area_m2: zero,
                cover: CoverHour::none(zero),
                known: SkinKnown::none(zero),
                is_known: false,
            },
        }
    }
}

/// Every flow that depends on the water's temperature alone, with slopes (W, W/K).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Terms<R = f64> {
    sun_w: R,
    evaporation: Flux<R>,
    convection: Flux<R>,
    longwave: Flux<R>,
    walls: Flux<R>,
    make_up: Flux<R>,
    rain: Flux<R>,
    evaporated_kg_s: R,
    make_up_kg_s: R,
    overflow_kg_s: R,
    cover_c: R,
    cover_residual_w_m2: R,
}

impl<R: Real> Terms<R> {
    #[inline(always)]
    fn sum(&self) -> (R, R) {
        let all = [
            self.convection,
            self.longwave,
            self.walls,
            self.make_up,
            self.rain,
        ];
        let mut sum = self.evaporation;
        for flux in all {
            sum = sum.plus(flux);
        }
        (self.sun_w + sum.w_m2, sum.slope_w_m2_k)
    }

    #[inline(always)]
    fn flows(&self) -> Flows<R> {
        Flows {
            sun_w: self.sun_w,
            evaporation_w: self.evaporation.w_m2,
            convection_w: self.convection.w_m2,
            longwave_w: self.longwave.w_m2,
            walls_w: self.walls.w_m2,
            make_up_w: self.make_up.w_m2,
            rain_w: self.rain.w_m2,
            evaporated_kg_s: self.evaporated_kg_s,
            make_up_kg_s: self.make_up_kg_s,
            overflow_kg_s: self.overflow_kg_s,
            cover_c: self.cover_c,
            cover_residual_w_m2: self.cover_residual_w_m2,
        }
    }
}

/// [`Terms`] without their slopes, W.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Flows<R = f64> {
    pub(super) sun_w: R,
    pub(super) evaporation_w: R,
    pub(super) convection_w: R,
    pub(super) longwave_w: R,
    pub(super) walls_w: R,
    pub(super) make_up_w: R,
    pub(super) rain_w: R,
    pub(super) evaporated_kg_s: R,
    pub(super) make_up_kg_s: R,
    pub(super) overflow_kg_s: R,
    pub(super) cover_c: R,
    pub(super) cover_residual_w_m2: R,
}

impl<R: Real> Flows<R> {
    #[inline(always)]
    pub(super) fn sum_w(&self) -> R {
        let surface_w = self.sun_w + self.evaporation_w + self.convection_w + self.longwave_w;
        surface_w + self.walls_w + self.make_up_w + self.rain_w
    }
}

impl<R: Real> Machine<R> {
    /// Writes into `out` the surface in one interval, with a cover on it for a share of the time.
    #[inline(always)]
    pub(crate) fn surface(
        &self,
        at: &Interval<'_>,
        cover_on_frac: R,
        bathing: R,
        open: R::Mask,
        out: &mut Surface<R>,
    ) {
        let row = at.row();
        let zero = self.like(0.0);
        let weather = SurfaceWeather {
            air_c: row.air_c,
            vapour_pressure_pa: row.vapour_pressure_pa,
            pressure_pa: row.pressure_pa,
            wind_10m_m_s: row.wind_m_s,
            sky_longwave_w_m2: row.water_longwave_w_m2,
        };
        let covered = self
            .cover
            .as_ref()
            .map_or(zero, |c| cover_on_frac * c.cover.covered_frac);
        let bare_m2 = self.area_m2 * (-covered + 1.0);
        let mut surface = self.water.hour(&weather, bathing).times(bare_m2);
        let mut sun_w = bare_m2 * row.sun_open_w_m2 * self.sun_factor;
        out.lost_kg_s = R::select(open, self.splash_kg_s, zero) - self.area_m2 * row.rain_kg_m2_s;
        out.is_covered = false;
        let lies = covered.is_above(zero);
        if let (true, Some(unit)) = (lies.any(), &self.cover) {
            let area_m2 = self.area_m2 * covered;
            let sun = self.sun_factor * row.sun_on_cover_w_m2;
            let cover = unit
                .cover
                .hour(&self.water, &weather, sun, self.below_cover_frac);
            // Nothing is added where the area is 0, so a lane without a cover stays as it is.
            surface = surface.and_below(&cover, area_m2);
            sun_w += area_m2 * cover.sun_w_m2();
            out.is_covered = true;
            out.covered.lies = lies;
            out.covered.area_m2 = area_m2;
            out.covered.cover = cover;
            out.covered.is_known = false;
        }
        out.open = surface;
        out.sun_w = sun_w;
    }

    /// Everything but heaters, pump, ground and ordinary heater. Air, sky and cover meet `surface_c`; walls, make-up and
    /// rain meet `water_c`; both are one but for ice.
    #[inline(always)]
    fn terms_here(
        &self,
        at: &Interval<'_>,
        surface: &Surface<R>,
        surface_c: R,
        water_c: R,
    ) -> (Terms<R>, SkinKnown<R>) {
        let row = at.row();
        let zero = self.like(0.0);
        let flux = surface.open.flux(surface_c);
        let mut known = surface.covered.known;
        let mut out = Terms {
            sun_w: surface.sun_w,
            evaporation: flux.evaporation,
            convection: flux.convection,
            longwave: flux.longwave,
            walls: Flux::none(zero),
            make_up: Flux::none(zero),
            rain: Flux::none(zero),
            evaporated_kg_s: flux.evaporated_kg_m2_s,
            make_up_kg_s: zero,
            overflow_kg_s: zero,
            cover_c: self.like(f64::NAN),
            cover_residual_w_m2: zero,
        };
        if surface.is_covered {
            let covered = &surface.covered;
            let above = if covered.is_known {
                covered.cover.above_near(&covered.known, surface_c)
            } else {
                covered.cover.above(surface_c)
            };
            let area = covered.area_m2;
            out.convection = out.convection.plus(above.convection.times(area));
            out.longwave = out.longwave.plus(above.longwave.times(area));
            out.cover_c = R::select(covered.lies, above.cover_c, out.cover_c);
            out.cover_residual_w_m2 = R::select(covered.lies, above.residual_w_m2, zero);
            known = above.known(surface_c);
        }
        if let Some(walls) = &self.walls {
            out.walls = walls
                .flux(
                    row.air_c,
                    self.water.wind_at_water_frac() * row.wind_m_s,
                    row.sun_on_walls_w_m2,
                    row.wall_longwave_w_m2,
                    water_c,
                )
                .times(walls.area_m2);
        }
        let wanted_kg_s = out.evaporated_kg_s + surface.lost_kg_s;
        out.make_up_kg_s = wanted_kg_s.or_at_least(zero);
        out.overflow_kg_s = (-wanted_kg_s).or_at_least(zero);
        out.make_up = make_up_w_m2(out.make_up_kg_s, row.mains_c, water_c);
        // Warmer water evaporates more, and so much more is put in.
        let kg_j = self.like(1.0) / latent_heat_j_kg(surface_c);
        let more_kg_s_k = (out.evaporation.w_m2 * LATENT_HEAT_SLOPE_J_KG_K * kg_j
            - out.evaporation.slope_w_m2_k)
            * kg_j;
        let more_w_k = more_kg_s_k * make_up_w_m2(self.like(1.0), row.mains_c, water_c).w_m2;
        out.make_up.slope_w_m2_k += R::select(out.make_up_kg_s.is_above(zero), more_w_k, zero);
        if row.rain_kg_m2_s > 0.0 {
            out.rain = rain_w_m2(self.area_m2 * row.rain_kg_m2_s, row.rain_c, water_c);
        }
        (out, known)
    }

    /// The sum of all flows at one temperature of water without ice, with its slope; what was found of the cover is kept in `surface`.
    #[inline(always)]
    pub(crate) fn sum(&self, at: &Interval<'_>, surface: &mut Surface<R>, water_c: R) -> (R, R) {
        let (sum, known) = self.like(0.0).apart(
            #[inline(always)]
            || {
                let (terms, known) = self.terms_here(at, surface, water_c, water_c);
                (terms.sum(), known)
            },
        );
        if surface.is_covered {
            surface.covered.known = known;
            surface.covered.is_known = true;
        }
        sum
    }

    /// Each flow at one temperature.
    #[inline(always)]
    pub(super) fn flows(
        &self,
        at: &Interval<'_>,
        surface: &Surface<R>,
        surface_c: R,
        water_c: R,
    ) -> Flows<R> {
        self.like(0.0).apart(
            #[inline(always)]
            || self.terms_here(at, surface, surface_c, water_c).0.flows(),
        )
    }

    /// What the surface at `surface_c` gets from air and sky, the sun apart.
    #[inline(always)]
    pub(super) fn above(&self, at: &Interval<'_>, surface: &Surface<R>, surface_c: R) -> Flux<R> {
        self.like(0.0).apart(
            #[inline(always)]
            || {
                let (terms, _) = self.terms_here(at, surface, surface_c, surface_c);
                terms
                    .evaporation
                    .plus(terms.convection)
                    .plus(terms.longwave)
            },
        )
    }
}
