//! Tube on, in or below a deck: layers that take sun, store heat and give it back.
//!
//! Four layers from the surface down to undisturbed soil at [`DECK_SOIL_DEPTH_M`], stepped implicitly; the tubes meet their plane's mean over the step. The tube's
//! plane is one of them; between that plane's mean temperature and the tube stands what the row's shape factor leaves
//! after plain conduction to the surface, so that at steady state the resistance from tube to surface is the
//! textbook's exactly.

use std::f64::consts::FRAC_PI_2;

use swimdays_properties::elementary::exp;
use swimdays_properties::real::Real;

use crate::board::Inside;
use crate::hottel::{buried_row_resistance_m_k_w, mean_rise_share};
use crate::outside::Shape;
use crate::spec::{DeckSpec, Placement, positive, within};
use crate::surface::{Above, Metre, Open};
use crate::{CollectorError, HeaterState, HeaterWeather, Running};

/// Depth at which the soil below a deck keeps the temperature it is given, m (common practice, no source).
pub const DECK_SOIL_DEPTH_M: f64 = 1.0;

/// Depth of the second layer when the tube lies on the surface, m: about how far an hour's heat reaches in concrete.
const SURFACE_SECOND_LAYER_M: f64 = 0.04;

/// Layers.
const LAYERS: usize = 4;

/// What a deck's slab took and gave in one step, W. `stored_change_w = sun − lost + from_soil − to_tube`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SlabBalance {
    /// Sun absorbed by the surface beside the tubes.
    pub sun_w: f64,
    /// Lost upward by wind and longwave.
    pub lost_w: f64,
    /// From the undisturbed soil.
    pub from_soil_w: f64,
    /// Given to the tubes.
    pub to_tube_w: f64,
}

/// A deck, built once.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Deck {
    pub spec: DeckSpec,
    pub inside: Inside,
    pub step: DeckStep,
    depths_m: [f64; LAYERS],
    buried: bool,
}

/// The part of a deck that is read in every interval: of one deck, or of several side by side.
#[derive(Clone, Copy, Debug)]
pub(crate) struct DeckStep<R: Real = f64> {
    pub area_m2: R,
    /// Node in whose plane the tubes lie: the surface, or the one below it.
    plane: usize,
    length_m: R,
    tube_absorptance_frac: R,
    tube_emissivity_frac: R,
    absorptance_frac: R,
    emissivity_frac: R,
    /// From the plane to the outside of a buried tube, m·K/W, for a metre of tube.
    spread_m_k_w: R,
    /// Conductance of tube to deck on the surface, W/(m·K).
    contact_w_m_k: R,
    /// Share of the deck's surface that the tubes leave free.
    free_frac: R,
    /// Width that a tube on the surface offers, m.
    width_m: R,
    capacity_j_m2_k: [R; LAYERS],
    /// From each layer to the next below; the last to the soil, W/(m²·K).
    below_w_m2_k: [R; LAYERS],
    shape: Shape<R>,
    flat: Shape<R>,
    /// A buried tube without flow, s.
    buried_time_constant_s: R,
}

/// The slab's step as a straight line of the heat that the tubes take: `free − response · q`, q in W/m².
#[derive(Clone, Copy, Debug)]
pub(crate) struct SlabStep<R = f64> {
    /// At the end.
    end: Line<R>,
    /// Mean over the step.
    mean: Line<R>,
    sun_w_m2: R,
    /// Loss upward at the start and its slope.
    loss: (R, R),
}

#[derive(Clone, Copy, Debug)]
struct Line<R> {
    free_c: [R; LAYERS],
    response_m2_k_w: [R; LAYERS],
}

impl<R: Real> Line<R> {
    #[inline(always)]
    fn at(&self, q_w_m2: R) -> [R; LAYERS] {
        let mut t = self.free_c;
        let mut i = 0;
        while i < LAYERS {
            t[i] -= self.response_m2_k_w[i] * q_w_m2;
            i += 1;
        }
        t
    }
}

/// `1 − 1/√2`: the implicit share of a stage, which makes the two-stage step of second order and damps what is fast.
const STAGE: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// Symmetric tridiagonal system `(C/(γ h) − J)`, eliminated once, solved several times.
struct Factored<R> {
    inverse: [R; LAYERS],
    below: [R; LAYERS],
}

impl<R: Real> Factored<R> {
    #[inline(always)]
    fn solve(&self, mut rhs: [R; LAYERS]) -> [R; LAYERS] {
        let mut i = 1;
        while i < LAYERS {
            rhs[i] += self.below[i - 1] * self.inverse[i - 1] * rhs[i - 1];
            i += 1;
        }
        rhs[LAYERS - 1] *= self.inverse[LAYERS - 1];
        let mut i = LAYERS - 1;
        while i > 0 {
            i -= 1;
            rhs[i] = (rhs[i] + self.below[i] * rhs[i + 1]) * self.inverse[i];
        }
        rhs
    }
}

/// Buried tubes with their flow.
#[derive(Clone, Copy, Debug)]
pub(crate) struct BuriedFlow<R: Real = f64> {
    tubes_w_k: R,
    /// One over the conductance from the plane to the entering water, the warming along the flow included, K/W.
    at_plane_k_w: R,
    mean_rise_share: R,
    inverse_k_w: R,
}

impl<R: Real> BuriedFlow<R> {
    /// Several side by side, one for each lane of `like`.
    pub(crate) fn join(like: R, lanes: &[BuriedFlow]) -> Self {
        let of = |pick: fn(&BuriedFlow) -> f64| like.each(|lane| pick(&lanes[lane]));
        Self {
            tubes_w_k: of(|b| b.tubes_w_k),
            at_plane_k_w: of(|b| b.at_plane_k_w),
            mean_rise_share: of(|b| b.mean_rise_share),
            inverse_k_w: of(|b| b.inverse_k_w),
        }
    }

    /// Water through buried tubes, before [`Running::performing`]. What the slab gives is computed from the temperatures at both
    /// ends of the resistance, apart from the water's rise.
    #[inline(always)]
    pub(crate) fn run(&self, deck: &DeckStep<R>, slab: &SlabStep<R>, inlet_c: R) -> Running<R> {
        let zero = inlet_c.like(0.0);
        let (plane_c, sinks_k_w) = (deck.plane_c(slab), deck.plane_response_k_w(slab));
        let whole_w_k = inlet_c.like(1.0) / (self.at_plane_k_w + sinks_k_w);
        let heat_w = whole_w_k * (plane_c - inlet_c);
        let mean_c = inlet_c + self.mean_rise_share * heat_w * self.inverse_k_w;
        Running {
            outlet_c: inlet_c,
            heat_w,
            slope_w_k: -whole_w_k,
            absorbed_w: zero,
            lost_w: zero,
            body_c: mean_c,
            from_store_w: self.tubes_w_k * (plane_c - sinks_k_w * heat_w - mean_c),
        }
    }
}

impl Deck {
    pub(crate) fn new(
        spec: &DeckSpec,
        design_flow_kg_s: f64,
        tube_capacity_j_m_k: f64,
    ) -> Result<Self, CollectorError> {
        let tube = &spec.tube;
        tube.check()?;
        positive("deck spacing, m", spec.spacing_m)?;
        within("slab thickness, m", spec.slab_thickness_m, 0.0, 0.8)?;
        within("deck absorptance", spec.absorptance_frac, 0.0, 1.0)?;
        within("deck emissivity", spec.emissivity_frac, 0.0, 1.0)?;
        within("exposed shape", spec.exposed_shape_frac, 0.0, 1.0)?;
        let d = tube.outer_diameter_m;
        if spec.spacing_m < d {
            return Err(CollectorError::SpacingTooSmall {
                spacing_m: spec.spacing_m,
                outer_diameter_m: d,
            });
        }
        let (plane, second_m, contact_w_m_k, tube_k) = match spec.placement {
            Placement::OnSurface {
                contact_conductance_w_m_k,
            } => {
                positive("contact conductance, W/(m·K)", contact_conductance_w_m_k)?;
                (0, SURFACE_SECOND_LAYER_M, contact_conductance_w_m_k, 0.0)
            }
            Placement::InSlab { depth_m } => {
                let deepest = (spec.slab_thickness_m - 0.5 * d).max(d);
                within("depth of the tube in the slab, m", depth_m, d, deepest)?;
                (1, depth_m, 0.0, spec.slab.conductivity_w_m_k())
            }
            Placement::InSoil { depth_m } => {
                let shallowest = (spec.slab_thickness_m + 0.5 * d).max(d);
                within("depth of the tube in the soil, m", depth_m, shallowest, 0.6)?;
                (1, depth_m, 0.0, spec.soil.conductivity_w_m_k())
            }
        };
        let ratio = (DECK_SOIL_DEPTH_M / second_m).cbrt();
        let depths_m = [0.0, second_m, second_m * ratio, second_m * ratio * ratio];
        let column = Column { spec };
        let mut capacity_j_m2_k = [0.0; LAYERS];
        let mut below_w_m2_k = [0.0; LAYERS];
        let mut top = 0.0;
        for i in 0..LAYERS {
            let next = depths_m.get(i + 1).copied().unwrap_or(DECK_SOIL_DEPTH_M);
            let bottom = 0.5 * (depths_m[i] + next);
            capacity_j_m2_k[i] = column.capacity(top, bottom);
            below_w_m2_k[i] = 1.0 / column.resistance(depths_m[i], next);
            top = bottom;
        }
        let spread_m_k_w = if plane == 1 {
            buried_row_resistance_m_k_w(spec.spacing_m, d, second_m, tube_k)
                - second_m / (tube_k * spec.spacing_m)
        } else {
            0.0
        };
        let round = 1.0 + spec.exposed_shape_frac * (FRAC_PI_2 - 1.0);
        let on_surface = plane == 0;
        let isolation = ((spec.spacing_m - d) / d).clamp(0.0, 1.0);
        let width_m = (d * round).min(spec.spacing_m);
        let inside = Inside::new(tube, None, on_surface, design_flow_kg_s);
        let step = DeckStep {
            area_m2: tube.length_m * spec.spacing_m,
            plane,
            length_m: tube.length_m,
            tube_absorptance_frac: tube.absorptance_frac,
            tube_emissivity_frac: tube.emissivity_frac,
            absorptance_frac: spec.absorptance_frac,
            emissivity_frac: spec.emissivity_frac,
            spread_m_k_w,
            contact_w_m_k,
            free_frac: if on_surface {
                1.0 - width_m / spec.spacing_m
            } else {
                1.0
            },
            width_m: if on_surface { width_m } else { 0.0 },
            capacity_j_m2_k,
            below_w_m2_k,
            shape: Shape::new(d, isolation),
            flat: Shape::new(d, 0.0),
            buried_time_constant_s: tube_capacity_j_m_k * (spread_m_k_w + inside.wall_m_k_w()),
        };
        Ok(Self {
            spec: *spec,
            inside,
            step,
            depths_m,
            buried: plane == 1,
        })
    }

    pub(crate) fn is_buried(&self) -> bool {
        self.buried
    }

    /// Buried tubes with a flow of this heat capacity.
    pub(crate) fn buried_flow(&self, to_water_m_k_w: f64, capacity_w_k: f64) -> BuriedFlow {
        let tubes_w_k = self.spec.tube.length_m / (self.step.spread_m_k_w + to_water_m_k_w);
        let ntu = tubes_w_k / capacity_w_k;
        BuriedFlow {
            tubes_w_k,
            at_plane_k_w: 1.0 / (capacity_w_k * (1.0 - exp(-ntu))),
            mean_rise_share: mean_rise_share(ntu),
            inverse_k_w: 1.0 / capacity_w_k,
        }
    }

    /// Straight line from air to soil.
    pub(crate) fn initial(&self, air_c: f64, ground_c: f64) -> [f64; LAYERS] {
        self.depths_m
            .map(|x| air_c + (ground_c - air_c) * x / DECK_SOIL_DEPTH_M)
    }

    pub(crate) fn stored_j(&self, slab_c: &[f64; LAYERS]) -> f64 {
        let layers = self.step.capacity_j_m2_k.iter().zip(slab_c);
        self.step.area_m2 * layers.map(|(c, t)| c * t).sum::<f64>()
    }

    /// What the slab took and gave in a step in which the tubes took `to_tube_w`.
    pub(crate) fn balance(
        &self,
        w: &HeaterWeather,
        step: &SlabStep,
        start: &[f64; LAYERS],
        to_tube_w: f64,
    ) -> SlabBalance {
        let deck = &self.step;
        let mean = step.mean.at(to_tube_w / deck.area_m2);
        SlabBalance {
            sun_w: deck.area_m2 * step.sun_w_m2,
            lost_w: deck.area_m2 * (step.loss.0 + step.loss.1 * (mean[0] - start[0])),
            from_soil_w: deck.area_m2
                * deck.below_w_m2_k[LAYERS - 1]
                * (w.ground_c - mean[LAYERS - 1]),
            to_tube_w,
        }
    }
}

impl<R: Real> DeckStep<R> {
    /// Several decks side by side, all buried or all on the surface, one for each lane of `like`.
    pub(crate) fn join(like: R, lanes: &[&Deck]) -> Self {
        let of = |pick: &dyn Fn(&DeckStep) -> f64| like.each(|lane| pick(&lanes[lane].step));
        let shape = |pick: fn(&DeckStep) -> &Shape| {
            let shapes: Vec<&Shape> = lanes.iter().map(|deck| pick(&deck.step)).collect();
            Shape::join(like, &shapes)
        };
        Self {
            area_m2: of(&|d| d.area_m2),
            plane: lanes[0].step.plane,
            length_m: of(&|d| d.length_m),
            tube_absorptance_frac: of(&|d| d.tube_absorptance_frac),
            tube_emissivity_frac: of(&|d| d.tube_emissivity_frac),
            absorptance_frac: of(&|d| d.absorptance_frac),
            emissivity_frac: of(&|d| d.emissivity_frac),
            spread_m_k_w: of(&|d| d.spread_m_k_w),
            contact_w_m_k: of(&|d| d.contact_w_m_k),
            free_frac: of(&|d| d.free_frac),
            width_m: of(&|d| d.width_m),
            capacity_j_m2_k: std::array::from_fn(|i| of(&|d| d.capacity_j_m2_k[i])),
            below_w_m2_k: std::array::from_fn(|i| of(&|d| d.below_w_m2_k[i])),
            shape: shape(|d| &d.shape),
            flat: shape(|d| &d.flat),
            buried_time_constant_s: of(&|d| d.buried_time_constant_s),
        }
    }

    /// One step of two implicit stages, the surface loss linearised at the start.
    ///
    /// Source: Alexander (1977), SIAM J. Numer. Anal. 14:1006, the two-stage L-stable method of second order (from memory).
    #[inline(always)]
    pub(crate) fn step(&self, w: &HeaterWeather<R>, slab_c: &[R; LAYERS], dt_s: R) -> SlabStep<R> {
        dt_s.apart(
            #[inline(always)]
            || self.step_here(w, slab_c, dt_s),
        )
    }

    #[inline(always)]
    fn step_here(&self, w: &HeaterWeather<R>, slab_c: &[R; LAYERS], dt_s: R) -> SlabStep<R> {
        let zero = dt_s.like(0.0);
        let one = dt_s.like(1.0);
        let above = Open {
            film: self.flat.film(w.air_c, w.pressure_pa, w.wind_m_s),
            emissivity: self.emissivity_frac,
            longwave_w_m2: w.longwave_w_m2,
        };
        let (loss, slope) = above.loss_with(above.film_at(slab_c[0]).0, slab_c[0]);
        let sun_w_m2 = self.free_frac * self.absorptance_frac * (w.beam_w_m2 + w.diffuse_w_m2);
        let (loss, slope) = (self.free_frac * loss, self.free_frac * slope);
        let k = &self.below_w_m2_k;
        let per_stage = one / (dt_s * STAGE);
        let mut factored = Factored {
            inverse: [zero; LAYERS],
            below: *k,
        };
        let mut weather = [zero; LAYERS];
        let mut i = 0;
        while i < LAYERS {
            let below_c = if i + 1 < LAYERS {
                slab_c[i + 1]
            } else {
                zero.like(w.ground_c)
            };
            let (above_k, from_above) = if i == 0 {
                (slope, sun_w_m2 - loss)
            } else {
                (k[i - 1], k[i - 1] * (slab_c[i - 1] - slab_c[i]))
            };
            let mut diagonal = self.capacity_j_m2_k[i] * per_stage + above_k + k[i];
            if i > 0 {
                diagonal -= k[i - 1] * k[i - 1] * factored.inverse[i - 1];
            }
            factored.inverse[i] = one / diagonal;
            weather[i] = from_above + k[i] * (below_c - slab_c[i]);
            i += 1;
        }
        let mut taken = [zero; LAYERS];
        taken[self.plane] = one;
        let (mut free_end, mut free_mean) = self.stages(&factored, slope, &weather);
        let (response_end, response_mean) = self.stages(&factored, slope, &taken);
        let mut i = 0;
        while i < LAYERS {
            free_end[i] += slab_c[i];
            free_mean[i] += slab_c[i];
            i += 1;
        }
        SlabStep {
            end: Line {
                free_c: free_end,
                response_m2_k_w: response_end,
            },
            mean: Line {
                free_c: free_mean,
                response_m2_k_w: response_mean,
            },
            sun_w_m2,
            loss: (loss, slope),
        }
    }

    /// Rise at the end and on the mean of the step under flows `at_start` into the layers.
    #[inline(always)]
    fn stages(
        &self,
        factored: &Factored<R>,
        slope: R,
        at_start: &[R; LAYERS],
    ) -> ([R; LAYERS], [R; LAYERS]) {
        // Stage rises γ h k, so that (C/(γ h) − J)(γ h k) = flow at the stage's foot.
        let first = factored.solve(*at_start);
        let mut foot = first;
        let mut i = 0;
        while i < LAYERS {
            foot[i] *= slope.like((1.0 - STAGE) / STAGE);
            i += 1;
        }
        let k = &self.below_w_m2_k;
        let mut flow = *at_start;
        let mut i = 0;
        while i < LAYERS {
            let above = if i == 0 {
                -(slope * foot[0])
            } else {
                k[i - 1] * (foot[i - 1] - foot[i])
            };
            let below = if i + 1 < LAYERS {
                foot[i + 1] - foot[i]
            } else {
                -foot[i]
            };
            flow[i] += above + k[i] * below;
            i += 1;
        }
        let mut end = factored.solve(flow);
        let mut mean = first;
        let mut i = 0;
        while i < LAYERS {
            end[i] += foot[i];
            mean[i] = first[i] * (1.0 - STAGE) + end[i] * STAGE;
            i += 1;
        }
        (end, mean)
    }

    /// End of the step when the tubes take `to_tube_w` on average.
    #[inline(always)]
    pub(crate) fn end(&self, step: &SlabStep<R>, to_tube_w: R) -> [R; LAYERS] {
        step.end.at(to_tube_w / self.area_m2)
    }

    /// The tubes' plane without them, °C: its mean over the step.
    #[inline(always)]
    pub(crate) fn plane_c(&self, step: &SlabStep<R>) -> R {
        step.mean.free_c[self.plane]
    }

    /// The plane's mean over the step sinks by this for a watt taken by all tubes, K/W.
    #[inline(always)]
    fn plane_response_k_w(&self, step: &SlabStep<R>) -> R {
        step.mean.response_m2_k_w[self.plane] / self.area_m2
    }

    /// A metre of tube on the surface; what it gives the deck warms the deck within the step.
    #[inline(always)]
    pub(crate) fn surface_metre(&self, w: &HeaterWeather<R>, step: &SlabStep<R>) -> Metre<R> {
        let sun = self.tube_absorptance_frac * (w.beam_w_m2 + w.diffuse_w_m2);
        let (plane_c, sinks_k_w) = (self.plane_c(step), self.plane_response_k_w(step));
        let one = sun.like(1.0);
        Metre {
            width_m: self.width_m,
            sun_w_m: sun * self.width_m,
            above: Open {
                film: self.shape.film(w.air_c, w.pressure_pa, w.wind_m_s),
                emissivity: self.tube_emissivity_frac,
                longwave_w_m2: w.longwave_w_m2,
            },
            side_w_m_k: one / (one / self.contact_w_m_k + sinks_k_w * self.length_m),
            side_c: plane_c,
            air_c: w.air_c,
        }
    }

    /// Slab and tube after `dt_s` without flow, over which the slab took `step`; and the heat that the tubes took from it, W.
    #[inline(always)]
    pub(crate) fn rest(
        &self,
        step: &SlabStep<R>,
        surface: Option<&Metre<R>>,
        s: &HeaterState<R>,
        capacity_j_m_k: R,
        dt_s: R,
    ) -> (HeaterState<R>, R) {
        let (body_c, to_tube_w) = match surface {
            None => {
                let body_c = self.buried_rest_c(s.body_c, self.plane_c(step), dt_s);
                let capacity_j_k = capacity_j_m_k * self.length_m;
                (body_c, capacity_j_k * (body_c - s.body_c) / dt_s)
            }
            // The tube settles within minutes: what it passes to the deck is that of its stagnation.
            Some(metre) => {
                let still = metre.still();
                let body_c = metre.rest_c(&still, s.body_c, capacity_j_m_k, dt_s);
                let down_w_m = metre.side_w_m_k * (still.surface_c - metre.side_c);
                (body_c, -(down_w_m * self.length_m))
            }
        };
        let slab_c = self.end(step, to_tube_w);
        (HeaterState { body_c, slab_c }, to_tube_w)
    }

    /// Buried tube and its water after `dt_s` at rest beside a plane at `plane_c`.
    #[inline(always)]
    pub(crate) fn buried_rest_c(&self, body_c: R, plane_c: R, dt_s: R) -> R {
        plane_c + (body_c - plane_c) * exp(-dt_s / self.buried_time_constant_s)
    }

    pub(crate) fn buried_time_constant_s(&self) -> R {
        self.buried_time_constant_s
    }
}

/// Slab above soil.
struct Column<'a> {
    spec: &'a DeckSpec,
}

impl Column<'_> {
    fn split(&self, from_m: f64, to_m: f64) -> (f64, f64) {
        let edge = self.spec.slab_thickness_m.clamp(from_m, to_m);
        (edge - from_m, to_m - edge)
    }

    fn capacity(&self, from_m: f64, to_m: f64) -> f64 {
        let (slab, soil) = self.split(from_m, to_m);
        slab * self.spec.slab.volumetric_heat_j_m3_k()
            + soil * self.spec.soil.volumetric_heat_j_m3_k()
    }

    fn resistance(&self, from_m: f64, to_m: f64) -> f64 {
        let (slab, soil) = self.split(from_m, to_m);
        slab / self.spec.slab.conductivity_w_m_k() + soil / self.spec.soil.conductivity_w_m_k()
    }
}
