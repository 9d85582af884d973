//! Tube on, in or below a deck: layers that take sun, store heat and give it back.
//!
//! Four layers from the surface down to undisturbed soil at [`DECK_SOIL_DEPTH_M`], stepped implicitly; the tubes meet their plane's mean over the step. The tube's
//! plane is one of them; between that plane's mean temperature and the tube stands what the row's shape factor leaves
//! after plain conduction to the surface, so that at steady state the resistance from tube to surface is the
//! textbook's exactly.

use std::f64::consts::FRAC_PI_2;

use swimdays_properties::elementary::exp;

use crate::board::Inside;
use crate::hottel::{buried_row_resistance_m_k_w, mean_rise_share};
use crate::outside::Shape;
use crate::spec::{DeckSpec, Placement, positive, within};
use crate::surface::{Above, Metre, Open};
use crate::{CollectorError, HeaterWeather, Running};

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

/// A deck as the step needs it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Deck {
    pub spec: DeckSpec,
    pub inside: Inside,
    pub area_m2: f64,
    /// Node in whose plane the tubes lie.
    plane: usize,
    /// From that plane to the tube's outside, m·K/W, for a metre of tube; `None` on the surface.
    spread_m_k_w: Option<f64>,
    /// Conductance of tube to deck on the surface, W/(m·K).
    contact_w_m_k: f64,
    /// Share of the deck's surface that the tubes leave free.
    free_frac: f64,
    /// Width that a tube on the surface offers, m.
    pub width_m: f64,
    capacity_j_m2_k: [f64; LAYERS],
    /// From each layer to the next below; the last to the soil, W/(m²·K).
    below_w_m2_k: [f64; LAYERS],
    depths_m: [f64; LAYERS],
    shape: Shape,
    flat: Shape,
    tube_capacity_j_m_k: f64,
}

/// The slab's step as a straight line of the heat that the tubes take: `free − response · q`, q in W/m².
#[derive(Clone, Copy, Debug)]
pub(crate) struct SlabStep {
    /// At the end.
    end: Line,
    /// Mean over the step.
    mean: Line,
    sun_w_m2: f64,
    /// Loss upward at the start and its slope.
    loss: (f64, f64),
}

#[derive(Clone, Copy, Debug)]
struct Line {
    free_c: [f64; LAYERS],
    response_m2_k_w: [f64; LAYERS],
}

impl Line {
    fn at(&self, q_w_m2: f64) -> [f64; LAYERS] {
        let mut t = self.free_c;
        for (t, r) in t.iter_mut().zip(&self.response_m2_k_w) {
            *t -= r * q_w_m2;
        }
        t
    }
}

/// `1 − 1/√2`: the implicit share of a stage, which makes the two-stage step of second order and damps what is fast.
const STAGE: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// Symmetric tridiagonal system `(C/(γ h) − J)`, eliminated once, solved several times.
struct Factored {
    inverse: [f64; LAYERS],
    below: [f64; LAYERS],
}

impl Factored {
    #[inline]
    fn solve(&self, mut rhs: [f64; LAYERS]) -> [f64; LAYERS] {
        for i in 1..LAYERS {
            rhs[i] += self.below[i - 1] * self.inverse[i - 1] * rhs[i - 1];
        }
        let mut next = 0.0;
        for i in (0..LAYERS).rev() {
            let below = if i + 1 < LAYERS { self.below[i] } else { 0.0 };
            next = (rhs[i] + below * next) * self.inverse[i];
            rhs[i] = next;
        }
        rhs
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
        let spread_m_k_w = (plane == 1).then(|| {
            buried_row_resistance_m_k_w(spec.spacing_m, d, second_m, tube_k)
                - second_m / (tube_k * spec.spacing_m)
        });
        let round = 1.0 + spec.exposed_shape_frac * (FRAC_PI_2 - 1.0);
        let on_surface = plane == 0;
        let isolation = ((spec.spacing_m - d) / d).clamp(0.0, 1.0);
        let width_m = (d * round).min(spec.spacing_m);
        Ok(Self {
            spec: *spec,
            inside: Inside::new(tube, None, on_surface, design_flow_kg_s),
            area_m2: tube.length_m * spec.spacing_m,
            plane,
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
            depths_m,
            shape: Shape::new(d, isolation),
            flat: Shape::new(d, 0.0),
            tube_capacity_j_m_k,
        })
    }

    pub(crate) fn is_buried(&self) -> bool {
        self.spread_m_k_w.is_some()
    }

    /// Straight line from air to soil.
    pub(crate) fn initial(&self, air_c: f64, ground_c: f64) -> [f64; LAYERS] {
        self.depths_m
            .map(|x| air_c + (ground_c - air_c) * x / DECK_SOIL_DEPTH_M)
    }

    pub(crate) fn stored_j(&self, slab_c: &[f64; LAYERS]) -> f64 {
        self.area_m2
            * self
                .capacity_j_m2_k
                .iter()
                .zip(slab_c)
                .map(|(c, t)| c * t)
                .sum::<f64>()
    }

    /// One step of two implicit stages, the surface loss linearised at the start.
    ///
    /// Source: Alexander (1977), SIAM J. Numer. Anal. 14:1006, the two-stage L-stable method of second order (from memory).
    #[inline]
    pub(crate) fn step(&self, w: &HeaterWeather, slab_c: &[f64; LAYERS], dt_s: f64) -> SlabStep {
        let above = Open {
            film: self.flat.film(w.air_c, w.pressure_pa, w.wind_m_s),
            emissivity: self.spec.emissivity_frac,
            longwave_w_m2: w.longwave_w_m2,
        };
        let (loss, slope) = above.loss_with(above.film_at(slab_c[0]).0, slab_c[0]);
        let sun_w_m2 = self.free_frac * self.spec.absorptance_frac * (w.beam_w_m2 + w.diffuse_w_m2);
        let (loss, slope) = (self.free_frac * loss, self.free_frac * slope);
        let k = &self.below_w_m2_k;
        let stage_s = STAGE * dt_s;
        let mut factored = Factored {
            inverse: [0.0; LAYERS],
            below: *k,
        };
        let mut weather = [0.0; LAYERS];
        for i in 0..LAYERS {
            let below_c = if i + 1 < LAYERS {
                slab_c[i + 1]
            } else {
                w.ground_c
            };
            let (above_k, from_above) = if i == 0 {
                (slope, sun_w_m2 - loss)
            } else {
                (k[i - 1], k[i - 1] * (slab_c[i - 1] - slab_c[i]))
            };
            let mut diagonal = self.capacity_j_m2_k[i] / stage_s + above_k + k[i];
            if i > 0 {
                diagonal -= k[i - 1] * k[i - 1] * factored.inverse[i - 1];
            }
            factored.inverse[i] = 1.0 / diagonal;
            weather[i] = from_above + k[i] * (below_c - slab_c[i]);
        }
        let mut taken = [0.0; LAYERS];
        taken[self.plane] = 1.0;
        let (free_end, free_mean) = self.stages(&factored, slope, &weather);
        let (response_end, response_mean) = self.stages(&factored, slope, &taken);
        let plus = |rise: [f64; LAYERS]| std::array::from_fn(|i| slab_c[i] + rise[i]);
        SlabStep {
            end: Line {
                free_c: plus(free_end),
                response_m2_k_w: response_end,
            },
            mean: Line {
                free_c: plus(free_mean),
                response_m2_k_w: response_mean,
            },
            sun_w_m2,
            loss: (loss, slope),
        }
    }

    /// Rise at the end and on the mean of the step under flows `at_start` into the layers.
    #[inline]
    fn stages(
        &self,
        factored: &Factored,
        slope: f64,
        at_start: &[f64; LAYERS],
    ) -> ([f64; LAYERS], [f64; LAYERS]) {
        // Stage rises γ h k, so that (C/(γ h) − J)(γ h k) = flow at the stage's foot.
        let first = factored.solve(*at_start);
        let foot: [f64; LAYERS] = std::array::from_fn(|i| (1.0 - STAGE) / STAGE * first[i]);
        let k = &self.below_w_m2_k;
        let mut flow = *at_start;
        for i in 0..LAYERS {
            let above = if i == 0 {
                -slope * foot[0]
            } else {
                k[i - 1] * (foot[i - 1] - foot[i])
            };
            let below_c = if i + 1 < LAYERS { foot[i + 1] } else { 0.0 };
            flow[i] += above + k[i] * (below_c - foot[i]);
        }
        let second = factored.solve(flow);
        (
            std::array::from_fn(|i| foot[i] + second[i]),
            std::array::from_fn(|i| (1.0 - STAGE) * first[i] + STAGE * (foot[i] + second[i])),
        )
    }

    /// End of the step when the tubes take `to_tube_w` on average.
    pub(crate) fn end(&self, step: &SlabStep, to_tube_w: f64) -> [f64; LAYERS] {
        step.end.at(to_tube_w / self.area_m2)
    }

    pub(crate) fn balance(
        &self,
        w: &HeaterWeather,
        step: &SlabStep,
        start: &[f64; LAYERS],
        to_tube_w: f64,
    ) -> SlabBalance {
        let mean = step.mean.at(to_tube_w / self.area_m2);
        SlabBalance {
            sun_w: self.area_m2 * step.sun_w_m2,
            lost_w: self.area_m2 * (step.loss.0 + step.loss.1 * (mean[0] - start[0])),
            from_soil_w: self.area_m2
                * self.below_w_m2_k[LAYERS - 1]
                * (w.ground_c - mean[LAYERS - 1]),
            to_tube_w,
        }
    }

    /// The tubes' plane without them, °C: its mean over the step.
    pub(crate) fn plane_c(&self, step: &SlabStep) -> f64 {
        step.mean.free_c[self.plane]
    }

    /// The plane's mean over the step sinks by this for a watt taken by all tubes, K/W.
    fn plane_response_k_w(&self, step: &SlabStep) -> f64 {
        step.mean.response_m2_k_w[self.plane] / self.area_m2
    }

    /// A metre of tube on the surface; what it gives the deck warms the deck within the step.
    #[inline]
    pub(crate) fn surface_metre(&self, w: &HeaterWeather, step: &SlabStep) -> Metre {
        let tube = &self.spec.tube;
        let sun = tube.absorptance_frac * (w.beam_w_m2 + w.diffuse_w_m2);
        let (plane_c, sinks_k_w) = (self.plane_c(step), self.plane_response_k_w(step));
        Metre {
            width_m: self.width_m,
            sun_w_m: sun * self.width_m,
            above: Open {
                film: self.shape.film(w.air_c, w.pressure_pa, w.wind_m_s),
                emissivity: tube.emissivity_frac,
                longwave_w_m2: w.longwave_w_m2,
            },
            side_w_m_k: 1.0 / (1.0 / self.contact_w_m_k + sinks_k_w * tube.length_m),
            side_c: plane_c,
            air_c: w.air_c,
        }
    }

    /// Water through buried tubes. What the slab gives is computed from the temperatures at both ends of the
    /// resistance, apart from the water's rise.
    #[inline]
    pub(crate) fn buried_running(
        &self,
        step: &SlabStep,
        inlet_c: f64,
        to_water_m_k_w: f64,
        capacity_w_k: f64,
    ) -> Running {
        let resistance = self.spread_m_k_w.unwrap_or(0.0) + to_water_m_k_w;
        let tubes_w_k = self.spec.tube.length_m / resistance;
        let ntu = tubes_w_k / capacity_w_k;
        let at_plane_w_k = capacity_w_k * (1.0 - exp(-ntu));
        let (plane_c, sinks_k_w) = (self.plane_c(step), self.plane_response_k_w(step));
        let whole_w_k = 1.0 / (1.0 / at_plane_w_k + sinks_k_w);
        let heat_w = whole_w_k * (plane_c - inlet_c);
        let mean_c = inlet_c + mean_rise_share(ntu) * heat_w / capacity_w_k;
        Running {
            heat_w,
            slope_w_k: -whole_w_k,
            from_store_w: tubes_w_k * (plane_c - sinks_k_w * heat_w - mean_c),
            body_c: mean_c,
            ..Running::default()
        }
    }

    /// Buried tube and its water after `dt_s` at rest beside a plane at `plane_c`.
    pub(crate) fn buried_rest_c(&self, body_c: f64, plane_c: f64, dt_s: f64) -> f64 {
        plane_c + (body_c - plane_c) * exp(-dt_s / self.buried_time_constant_s())
    }

    pub(crate) fn buried_time_constant_s(&self) -> f64 {
        self.tube_capacity_j_m_k * (self.spread_m_k_w.unwrap_or(0.0) + self.inside.wall_m_k_w())
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
