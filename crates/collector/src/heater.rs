//! One heater of any kind: what it does with water running, at rest, and when water starts.

use swimdays_properties::real::Real;
use swimdays_properties::water;

use crate::CollectorError;
use crate::board::{Board, Side};
use crate::deck::Deck;
use crate::film::{FILM_PROPERTY_C, InsideFilm};
use crate::panel;
use crate::spec::{HeaterSpec, PanelSpec, TubeSpec};
use crate::surface::{Above, Metre, Ready};

/// Flow below which the water counts as standing, kg/s: a drop every few seconds.
pub(crate) const STANDING_KG_S: f64 = 1e-6;

/// Interval for which a deck's slab answers within [`Heater::run`] unless told otherwise, s.
const DEFAULT_INTERVAL_S: f64 = 3_600.0;

/// What falls on the heater's plane and blows over it during one interval.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HeaterWeather<R = f64> {
    /// Beam on the plane, obstructions applied, incidence-angle loss not applied, W/m².
    pub beam_w_m2: R,
    /// Cosine of the beam's angle of incidence.
    pub incidence_cos: R,
    /// From sky and ground on the plane, W/m².
    pub diffuse_w_m2: R,
    /// Longwave on the plane from sky, ground and obstructions, W/m².
    pub longwave_w_m2: R,
    /// Air, °C.
    pub air_c: f64,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
    /// Wind at the heater, m/s.
    pub wind_m_s: R,
    /// Undisturbed soil at [`crate::DECK_SOIL_DEPTH_M`], for deck runs, °C.
    pub ground_c: f64,
}

/// What a heater remembers.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HeaterState<R = f64> {
    /// Tube and its water (a panel: all of it), °C.
    pub body_c: R,
    /// A deck's layers from the surface down, °C; 0 for other heaters.
    pub slab_c: [R; 4],
}

/// A heater with water running through it, settled.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Running<R = f64> {
    /// Water at the outlet, °C.
    pub outlet_c: R,
    /// Heat into the water, `ṁ c_p (outlet − inlet)`, W.
    pub heat_w: R,
    /// Exact derivative of the heat with the inlet temperature, W/K, never above 0.
    pub slope_w_k: R,
    /// Sun absorbed by tubes and the board between them, W.
    pub absorbed_w: R,
    /// Lost by wind, longwave, lid and back, from the temperatures of the surfaces, W.
    pub lost_w: R,
    /// Mean of tube and water, °C.
    pub body_c: R,
    /// Taken from a deck's slab, W. `heat_w = absorbed_w − lost_w + from_store_w`.
    pub from_store_w: R,
}

/// The water that stood in the tube and comes first when flow starts. It is what scalds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FirstSlug {
    /// Its temperature, °C.
    pub water_c: f64,
    /// How much, litres.
    pub litres: f64,
    /// How long it runs, s.
    pub seconds: f64,
}

/// The three kinds, each with what was made ready for it.
#[derive(Clone, Copy, Debug)]
#[allow(
    clippy::large_enum_variant,
    reason = "a plan holds a handful of heaters, and a box would cost a jump in every interval"
)]
pub(crate) enum Kind {
    Board(Board),
    Deck(Deck),
    Panel(PanelSpec),
}

/// A heater, made once from its description and read every interval.
#[derive(Clone, Copy, Debug)]
pub struct Heater {
    pub(crate) kind: Kind,
    pub(crate) performance: f64,
    pub(crate) capacity_j_k: f64,
    /// Share of the capacity that the tube's wall holds.
    pub(crate) wall_frac: f64,
    water_kg: f64,
    pub(crate) interval_s: f64,
    pub(crate) specific_heat_j_kg_k: f64,
}

impl Heater {
    /// Builds a heater for a flow, kg/s. The film inside belongs to this flow (properties at
    /// [`crate::InsideFilm`]'s temperature); another flow in [`Heater::run`] is allowed and costs a little more time.
    ///
    /// # Errors
    /// A length, area or share that cannot be, or more tube than the board holds.
    pub fn new(spec: &HeaterSpec, design_flow_kg_s: f64) -> Result<Self, CollectorError> {
        crate::spec::within("flow, kg/s", design_flow_kg_s, 0.0, 1_000.0)?;
        let specific_heat_j_kg_k = water::specific_heat_j_kg_k(FILM_PROPERTY_C);
        let density = water::density_kg_m3(FILM_PROPERTY_C);
        let of_tube = |t: &TubeSpec| Board::capacity_j_m_k(t, specific_heat_j_kg_k, density);
        let (kind, capacity_j_k, wall_frac, water_kg) = match spec {
            HeaterSpec::Board(b) => {
                let board = Board::new(b, design_flow_kg_s)?;
                let (per_m, wall) = of_tube(&b.tube);
                let water_kg = b.tube.bore_area_m2() * b.tube.length_m * density;
                (Kind::Board(board), per_m * b.tube.length_m, wall, water_kg)
            }
            HeaterSpec::Deck(d) => {
                let (per_m, wall) = of_tube(&d.tube);
                let deck = Deck::new(d, design_flow_kg_s, per_m)?;
                let water_kg = d.tube.bore_area_m2() * d.tube.length_m * density;
                (Kind::Deck(deck), per_m * d.tube.length_m, wall, water_kg)
            }
            HeaterSpec::Panel(p) => {
                panel::check(p)?;
                let capacity = p.heat_capacity_j_m2_k * p.area_m2;
                (
                    Kind::Panel(*p),
                    capacity,
                    0.0,
                    capacity / specific_heat_j_kg_k,
                )
            }
        };
        Ok(Self {
            kind,
            performance: 1.0,
            capacity_j_k,
            wall_frac,
            water_kg,
            interval_s: DEFAULT_INTERVAL_S,
            specific_heat_j_kg_k,
        })
    }

    /// Scales the heat that reaches the water while it runs, as if that share of the tube did its work: heat, slope,
    /// sun taken in, loss and what a slab gives are all `factor` times the physics. Stagnation and capacity stay.
    #[must_use]
    pub fn with_performance(self, factor: f64) -> Self {
        Self {
            performance: factor,
            ..self
        }
    }

    /// Length of the interval over which [`Heater::run`] lets a deck's slab answer, s. One hour unless set.
    #[must_use]
    pub fn with_interval_s(self, interval_s: f64) -> Self {
        Self { interval_s, ..self }
    }

    /// Projected area of the tubes, the deck they lie in, or the panel, m².
    #[must_use]
    pub fn absorber_area_m2(&self) -> f64 {
        match &self.kind {
            Kind::Board(b) => {
                b.spec.tube.length_m * b.spec.tube.outer_diameter_m.min(b.spec.pitch_m)
            }
            Kind::Deck(d) if d.is_buried() => d.step.area_m2,
            Kind::Deck(d) => d.spec.tube.length_m * d.spec.tube.outer_diameter_m,
            Kind::Panel(p) => p.area_m2,
        }
    }

    /// Area that rows and the gaps between them cover, m²; the reference of [`Heater::efficiency`].
    #[must_use]
    pub fn aperture_m2(&self) -> f64 {
        match &self.kind {
            Kind::Board(b) => b.spec.tube.length_m * b.spec.pitch_m,
            Kind::Deck(d) => d.step.area_m2,
            Kind::Panel(p) => p.area_m2,
        }
    }

    /// Water in the tubes, kg. A panel's: what would hold its heat capacity, an upper bound.
    #[must_use]
    pub fn water_kg(&self) -> f64 {
        self.water_kg
    }

    /// Water in the tubes, litres.
    #[must_use]
    pub fn water_litres(&self) -> f64 {
        1_000.0 * self.water_kg / water::density_kg_m3(FILM_PROPERTY_C)
    }

    /// Heat capacity of tube and water, J/K.
    #[must_use]
    pub fn heat_capacity_j_k(&self) -> f64 {
        self.capacity_j_k
    }

    /// Temperature at which the tube softens, °C; unknown for a bought panel.
    #[must_use]
    pub fn softening_c(&self) -> Option<f64> {
        self.tube().map(|t| t.material.softening_c())
    }

    /// Whether a clear lid lies over it.
    #[must_use]
    pub fn is_glazed(&self) -> bool {
        matches!(&self.kind, Kind::Board(b) if b.spec.lid.is_some())
    }

    /// Whether the tube lies in or below a slab.
    #[must_use]
    pub fn is_buried(&self) -> bool {
        matches!(&self.kind, Kind::Deck(d) if d.is_buried())
    }

    /// The tube, unless it is a bought panel.
    #[must_use]
    pub fn tube(&self) -> Option<&TubeSpec> {
        match &self.kind {
            Kind::Board(b) => Some(&b.spec.tube),
            Kind::Deck(d) => Some(&d.spec.tube),
            Kind::Panel(_) => None,
        }
    }

    /// Speed, Reynolds number and film inside at a flow, kg/s; absent for a bought panel.
    #[must_use]
    pub fn inside_film(&self, flow_kg_s: f64) -> Option<InsideFilm> {
        match &self.kind {
            Kind::Board(b) => Some(b.inside.film(flow_kg_s)),
            Kind::Deck(d) => Some(d.inside.film(flow_kg_s)),
            Kind::Panel(_) => None,
        }
    }

    /// A state to begin with: the body as warm as the air, a slab straight down to the soil.
    #[must_use]
    pub fn initial_state(&self, air_c: f64, ground_c: f64) -> HeaterState {
        let slab_c = match &self.kind {
            Kind::Deck(d) => d.initial(air_c, ground_c),
            _ => [0.0; 4],
        };
        HeaterState {
            body_c: air_c,
            slab_c,
        }
    }

    /// The heater with water running through it, settled, in this weather.
    ///
    /// A deck gives what its slab can give within the interval ([`Heater::with_interval_s`]). Flows below a drop
    /// count as standing: the outlet is then the stagnation temperature and the heat 0.
    #[must_use]
    pub fn run(&self, w: &HeaterWeather, s: &HeaterState, inlet_c: f64, flow_kg_s: f64) -> Running {
        if flow_kg_s < STANDING_KG_S {
            let still_c = self.stagnation_c(w, s);
            return Running {
                outlet_c: still_c,
                body_c: still_c,
                ..Running::default()
            };
        }
        let capacity_w_k = flow_kg_s * self.specific_heat_j_kg_k;
        let inverse_k_w = 1.0 / capacity_w_k;
        let full = match &self.kind {
            Kind::Board(b) => {
                let to_water = b.inside.resistance_m_k_w(flow_kg_s);
                let along = b.spec.tube.length_m * inverse_k_w;
                match &b.spec.lid {
                    None => {
                        let (metre, side) = b.step.metre_bare(w);
                        self.run_metre(&metre, Some(&side), inlet_c, to_water, inverse_k_w)
                    }
                    Some(lid) => {
                        let (metre, side) = b.metre_below(lid, w, to_water + 0.5 * along);
                        self.run_metre(&metre, Some(&side), inlet_c, to_water, inverse_k_w)
                    }
                }
            }
            Kind::Deck(d) => {
                let step = d.step.step(w, &s.slab_c, self.interval_s);
                let to_water = d.inside.resistance_m_k_w(flow_kg_s);
                if d.is_buried() {
                    let flow = d.buried_flow(to_water, capacity_w_k);
                    flow.run(&d.step, &step, inlet_c)
                } else {
                    let metre = d.step.surface_metre(w, &step);
                    self.run_metre(&metre, None, inlet_c, to_water, inverse_k_w)
                }
            }
            Kind::Panel(p) => {
                let now = panel::now(p, w);
                let r = now.running(inlet_c, capacity_w_k);
                Running {
                    heat_w: r.heat_w,
                    slope_w_k: r.slope_w_k,
                    absorbed_w: now.absorbed_w,
                    lost_w: r.lost_w,
                    body_c: r.mean_c,
                    ..Running::default()
                }
            }
        };
        full.performing(self.performance, inlet_c, inverse_k_w)
    }

    /// Water through tubes in the open or below a lid, with a board or a deck beside them.
    #[inline]
    fn run_metre<A: Above<f64>>(
        &self,
        metre: &Metre<f64, A>,
        board: Option<&Side>,
        inlet_c: f64,
        to_water_m_k_w: f64,
        inverse_k_w: f64,
    ) -> Running {
        let tube = Tubes {
            length_m: self.tube().map_or(0.0, |t| t.length_m),
            wall_frac: self.wall_frac,
            to_water_m_k_w,
            inverse_k_w,
        };
        tube.run::<A, true>(metre, &tube.ready(metre), board, inlet_c)
    }
}

/// Tubes with their flow: what is needed to let water run through metres of them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tubes<R> {
    pub length_m: R,
    /// Share of the heat capacity that the wall holds.
    pub wall_frac: R,
    pub to_water_m_k_w: R,
    /// One over the flow's heat capacity, K/W.
    pub inverse_k_w: R,
}

impl<R: Real> Tubes<R> {
    #[inline(always)]
    pub(crate) fn ready<A: Above<R>>(&self, metre: &Metre<R, A>) -> Ready<R> {
        metre.ready(self.to_water_m_k_w, self.length_m * self.inverse_k_w)
    }

    /// Water through the tubes, before [`Running::performing`]. Without `BALANCE` what is absorbed and lost is left at 0.
    #[inline(always)]
    pub(crate) fn run<A: Above<R>, const BALANCE: bool>(
        &self,
        metre: &Metre<R, A>,
        ready: &Ready<R>,
        board: Option<&Side<R>>,
        inlet_c: R,
    ) -> Running<R> {
        let length_m = self.length_m;
        let r = metre.running(ready, inlet_c);
        let to_water_w = length_m * ready.inlet_w_m_k;
        let heat_w = to_water_w * (r.surface_c - inlet_c);
        let water_c = inlet_c + ready.mean_rise_share * heat_w * self.inverse_k_w;
        let mut out = Running {
            outlet_c: inlet_c,
            heat_w,
            slope_w_k: to_water_w * (r.slope - 1.0),
            absorbed_w: inlet_c.like(0.0),
            lost_w: inlet_c.like(0.0),
            body_c: water_c + self.wall_frac * 0.5 * (r.surface_c - water_c),
            from_store_w: inlet_c.like(0.0),
        };
        if BALANCE {
            let above_w_m = metre.width_m * r.above_w_m2;
            let side_w_m = metre.side_w_m_k * (r.surface_c - metre.side_c);
            match board {
                Some(side) => {
                    out.absorbed_w = length_m * (metre.sun_w_m + side.sun_w_m);
                    out.lost_w = length_m * (above_w_m + side.lost_w_m(r.surface_c, side_w_m));
                }
                None => {
                    out.absorbed_w = length_m * metre.sun_w_m;
                    out.lost_w = length_m * above_w_m;
                    out.from_store_w = -(length_m * side_w_m);
                }
            }
        }
        out
    }
}

impl<R: Real> Running<R> {
    /// As if the share `p` of the tube did its work.
    #[inline(always)]
    pub(crate) fn performing(self, p: R, inlet_c: R, inverse_k_w: R) -> Self {
        let heat_w = p * self.heat_w;
        Self {
            outlet_c: inlet_c + heat_w * inverse_k_w,
            heat_w,
            slope_w_k: p * self.slope_w_k,
            absorbed_w: p * self.absorbed_w,
            lost_w: p * self.lost_w,
            body_c: self.body_c,
            from_store_w: p * self.from_store_w,
        }
    }
}
