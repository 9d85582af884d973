//! Tube on a board, built once.

use std::f64::consts::FRAC_PI_2;

use swimdays_properties::constants::ZERO_CELSIUS_K;
use swimdays_properties::materials::BoardMaterial;
use swimdays_properties::optics::incidence_modifier;
use swimdays_properties::real::{Mask, Real};

use crate::film::InsideFilm;
use crate::hottel::{
    film_resistance_m_k_w, fin_efficiency, heated_perimeter_frac, wall_resistance_m_k_w,
};
use crate::outside::{Shape, plate_wind_w_m2_k};
use crate::spec::{BoardSpec, LidSpec, TubeSpec, positive, within};
use crate::surface::{Above, LidNow, Metre, Open, black_body, diffuse_modifier};
use crate::{CollectorError, HeaterWeather};

/// Emissivity of the back of the board and what it sees, at the air's temperature. Paint and wood 0.9 (from memory).
const BACK_EMISSIVITY: f64 = 0.9;

/// Share by which tube may exceed the board before it does not fit: what a tape measure cannot tell.
const FIT_TOLERANCE: f64 = 0.005;

/// Newton steps of the board between the rows.
const BOARD_STEPS: usize = 2;

/// Wall and film of a tube, and how they change with the flow.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Inside {
    tube: TubeSpec,
    coil_diameter_m: Option<f64>,
    wall_m_k_w: f64,
    design_flow_kg_s: f64,
    design_m_k_w: f64,
    /// Heat comes through the upper half of the tube only, as the sun does.
    from_above: bool,
}

impl Inside {
    pub(crate) fn new(
        tube: &TubeSpec,
        coil_diameter_m: Option<f64>,
        from_above: bool,
        design_flow_kg_s: f64,
    ) -> Self {
        let mut inside = Self {
            tube: *tube,
            coil_diameter_m,
            wall_m_k_w: wall_resistance_m_k_w(
                tube.outer_diameter_m,
                tube.bore_m,
                tube.material.conductivity_w_m_k(),
            ),
            design_flow_kg_s,
            design_m_k_w: 0.0,
            from_above,
        };
        inside.design_m_k_w = inside.at(design_flow_kg_s);
        inside
    }

    pub(crate) fn film(&self, flow_kg_s: f64) -> InsideFilm {
        InsideFilm::new(
            self.tube.circuit_flow_kg_s(flow_kg_s),
            self.tube.bore_m,
            self.coil_diameter_m,
        )
    }

    fn at(&self, flow_kg_s: f64) -> f64 {
        let film = self.film(flow_kg_s.max(0.0)).film_w_m2_k;
        let t = &self.tube;
        let share = if self.from_above {
            heated_perimeter_frac(
                t.outer_diameter_m,
                t.bore_m,
                t.material.conductivity_w_m_k(),
                film,
            )
        } else {
            1.0
        };
        (self.wall_m_k_w + film_resistance_m_k_w(t.bore_m, film)) / share
    }

    /// Resistance between the tube's surface and its water, m·K/W. The design flow costs nothing, another one a film.
    #[inline]
    pub(crate) fn resistance_m_k_w(&self, flow_kg_s: f64) -> f64 {
        if (flow_kg_s - self.design_flow_kg_s).abs() <= 1e-6 * self.design_flow_kg_s {
            self.design_m_k_w
        } else {
            self.at(flow_kg_s)
        }
    }

    pub(crate) fn wall_m_k_w(&self) -> f64 {
        self.wall_m_k_w
    }
}

/// A board, built once.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Board {
    pub spec: BoardSpec,
    pub inside: Inside,
    pub step: BoardStep,
}

/// The part of a board that is read in every interval: of one board, or of several side by side.
#[derive(Clone, Copy, Debug)]
pub(crate) struct BoardStep<R: Real = f64> {
    shape: Shape<R>,
    board_shape: Shape<R>,
    absorptance_frac: R,
    emissivity_frac: R,
    board_absorptance_frac: R,
    /// Width of a metre of tube that takes sun and loses heat, m.
    width_m: R,
    /// Width of a metre of tube over its board, m.
    under_m: R,
    /// Board in the sun for each metre of tube, m.
    between_m: R,
    /// Conduction of the board along itself, W/K.
    sheet_w_k: R,
    back_m2_k_w: R,
    bond_m_k_w: R,
    back_exposed: R::Mask,
}

/// The board beside and below a metre of tube in one weather.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Side<R = f64> {
    /// From tube to equivalent temperature, through the bond, W/(m·K).
    pub side_w_m_k: R,
    pub side_c: R,
    /// Bond alone, m·K/W.
    bond_m_k_w: R,
    /// Sun absorbed by the board between the rows, W/m.
    pub sun_w_m: R,
    between_c: R,
    fin: R,
    chord_w_m2_k: R,
    chord_zero_w_m2: R,
    between_m: R,
    under_w_m_k: R,
    air_c: f64,
}

impl<R: Real> Side<R> {
    /// What the board loses, W/m, from its own temperatures, when it takes `to_side_w_m` from a tube at `tube_c`.
    #[inline(always)]
    pub(crate) fn lost_w_m(&self, tube_c: R, to_side_w_m: R) -> R {
        let base_c = tube_c - to_side_w_m * self.bond_m_k_w;
        let mean_c = self.between_c + self.fin * (base_c - self.between_c);
        let upward = self.chord_zero_w_m2 + self.chord_w_m2_k * (mean_c - self.air_c);
        self.between_m * upward + self.under_w_m_k * (base_c - self.air_c)
    }
}

impl Board {
    pub(crate) fn new(spec: &BoardSpec, design_flow_kg_s: f64) -> Result<Self, CollectorError> {
        let tube = &spec.tube;
        tube.check()?;
        spec.layout.check(tube)?;
        positive("board area, m²", spec.board_area_m2)?;
        positive("pitch, m", spec.pitch_m)?;
        within("board thickness, m", spec.board_thickness_m, 0.0, 0.5)?;
        positive("bond conductance, W/(m·K)", spec.bond_conductance_w_m_k)?;
        within("board absorptance", spec.board_absorptance_frac, 0.0, 1.0)?;
        within(
            "back insulation, m²·K/W",
            spec.back_insulation_m2_k_w,
            0.0,
            20.0,
        )?;
        within("exposed shape", spec.exposed_shape_frac, 0.0, 1.0)?;
        within("tilt, degrees", spec.tilt_deg, 0.0, 90.0)?;
        if let Some(lid) = &spec.lid {
            within("lid transmittance", lid.transmittance_frac, 0.0, 1.0)?;
            positive("gap below the lid, m", lid.gap_m)?;
            within("lid b0", lid.b0, 0.0, 0.5)?;
            within("lid emissivity", lid.emissivity_frac, 0.01, 1.0)?;
            within(
                "tube emissivity below a lid",
                tube.emissivity_frac,
                0.01,
                1.0,
            )?;
        }
        let needed_m2 = tube.length_m * spec.pitch_m;
        if needed_m2 > spec.board_area_m2 * (1.0 + FIT_TOLERANCE) {
            return Err(CollectorError::TubeDoesNotFit {
                needed_m2,
                board_m2: spec.board_area_m2,
            });
        }
        let d = tube.outer_diameter_m;
        let round = 1.0 + spec.exposed_shape_frac * (FRAC_PI_2 - 1.0);
        let width_m = (d * round).min(spec.pitch_m);
        let gap = ((spec.pitch_m - d) / d).clamp(0.0, 1.0);
        let conductivity = spec.board.conductivity_w_m_k();
        let none = matches!(spec.board, BoardMaterial::None);
        let board_m2_k_w = if none {
            0.0
        } else {
            spec.board_thickness_m / conductivity
        };
        Ok(Self {
            spec: *spec,
            inside: Inside::new(tube, spec.layout.coil_diameter_m(), true, design_flow_kg_s),
            step: BoardStep {
                shape: Shape::new(d, gap),
                board_shape: Shape::new(d, 0.0),
                absorptance_frac: tube.absorptance_frac,
                emissivity_frac: tube.emissivity_frac,
                board_absorptance_frac: spec.board_absorptance_frac,
                width_m,
                under_m: width_m.min(d),
                between_m: if none {
                    0.0
                } else {
                    (spec.pitch_m - width_m).max(0.0)
                },
                sheet_w_k: conductivity * spec.board_thickness_m,
                back_m2_k_w: spec.back_insulation_m2_k_w + board_m2_k_w,
                bond_m_k_w: if none {
                    0.0
                } else {
                    1.0 / spec.bond_conductance_w_m_k
                },
                back_exposed: spec.back_exposed,
            },
        })
    }

    /// A metre of tube below the lid in this weather, with its share of the board.
    ///
    /// `taken_m_k_w`, resistance to the entering water, only helps to guess the temperature at which the gap below the
    /// lid is taken; infinite when stagnant.
    pub(crate) fn metre_below(
        &self,
        lid: &LidSpec,
        w: &HeaterWeather,
        taken_m_k_w: f64,
    ) -> (Metre<f64, LidNow>, Side) {
        let sun_w_m2 = lid.transmittance_frac
            * (incidence_modifier(lid.b0, w.incidence_cos) * w.beam_w_m2
                + diffuse_modifier(lid.b0) * w.diffuse_w_m2);
        let tube = &self.spec.tube;
        let inside_m2_k_w = taken_m_k_w * self.step.width_m;
        let tilt_deg = self.spec.tilt_deg;
        self.step.metre(w, sun_w_m2, |on, absorbed_w_m2| {
            let inside_m2_k_w = match on {
                Surface::Tube => inside_m2_k_w,
                Surface::Board => f64::INFINITY,
            };
            LidNow::new(
                lid,
                w,
                tube.emissivity_frac,
                tilt_deg,
                absorbed_w_m2,
                inside_m2_k_w,
            )
        })
    }

    /// Heat capacity of a metre of tube and its water, J/(m·K), and the share of it that the wall holds.
    pub(crate) fn capacity_j_m_k(
        tube: &TubeSpec,
        water_j_kg_k: f64,
        water_kg_m3: f64,
    ) -> (f64, f64) {
        let wall = tube.wall_area_m2()
            * tube.material.density_kg_m3()
            * tube.material.specific_heat_j_kg_k();
        let water = tube.bore_area_m2() * water_kg_m3 * water_j_kg_k;
        (wall + water, wall / (wall + water))
    }
}

/// Which of the two that take sun.
#[derive(Clone, Copy, Debug)]
enum Surface {
    Tube,
    Board,
}

impl<R: Real> BoardStep<R> {
    /// Several boards side by side, one for each lane of `like`.
    pub(crate) fn join(like: R, lanes: &[&BoardStep]) -> Self {
        let of = |pick: fn(&BoardStep) -> f64| like.each(|lane| pick(lanes[lane]));
        let shape = |pick: fn(&BoardStep) -> &Shape| {
            let shapes: Vec<&Shape> = lanes.iter().map(|board| pick(board)).collect();
            Shape::join(like, &shapes)
        };
        Self {
            shape: shape(|b| &b.shape),
            board_shape: shape(|b| &b.board_shape),
            absorptance_frac: of(|b| b.absorptance_frac),
            emissivity_frac: of(|b| b.emissivity_frac),
            board_absorptance_frac: of(|b| b.board_absorptance_frac),
            width_m: of(|b| b.width_m),
            under_m: of(|b| b.under_m),
            between_m: of(|b| b.between_m),
            sheet_w_k: of(|b| b.sheet_w_k),
            back_m2_k_w: of(|b| b.back_m2_k_w),
            bond_m_k_w: of(|b| b.bond_m_k_w),
            back_exposed: of(|b| f64::from(u8::from(b.back_exposed))).is_above(like.like(0.5)),
        }
    }

    /// A metre of bare tube in this weather, with its share of the board.
    #[inline(always)]
    pub(crate) fn metre_bare(&self, w: &HeaterWeather<R>) -> (Metre<R>, Side<R>) {
        self.metre(
            w,
            w.beam_w_m2 + w.diffuse_w_m2,
            #[inline(always)]
            |on, _| {
                let shape = match on {
                    Surface::Tube => &self.shape,
                    Surface::Board => &self.board_shape,
                };
                Open {
                    film: shape.film(w.air_c, w.pressure_pa, w.wind_m_s),
                    emissivity: self.emissivity_frac,
                    longwave_w_m2: w.longwave_w_m2,
                }
            },
        )
    }

    /// A metre of tube in this weather, with its share of the board; `above` says what the tube and the board, which
    /// absorb so many W/m², lose upward.
    #[inline(always)]
    fn metre<A: Above<R>>(
        &self,
        w: &HeaterWeather<R>,
        sun_w_m2: R,
        above: impl Fn(Surface, R) -> A,
    ) -> (Metre<R, A>, Side<R>) {
        let absorbed = self.absorptance_frac * sun_w_m2;
        let on_board = self.board_absorptance_frac * sun_w_m2;
        let side = self.side(
            w,
            on_board,
            #[inline(always)]
            || above(Surface::Board, on_board),
        );
        let metre = Metre {
            width_m: self.width_m,
            sun_w_m: absorbed * self.width_m,
            above: above(Surface::Tube, absorbed),
            side_w_m_k: side.side_w_m_k,
            side_c: side.side_c,
            air_c: w.air_c,
        };
        (metre, side)
    }

    /// The board between and below the rows: a fin with its own sun, wind and longwave, a bond, a back.
    #[inline(always)]
    fn side<A: Above<R>>(
        &self,
        w: &HeaterWeather<R>,
        absorbed_w_m2: R,
        above: impl FnOnce() -> A,
    ) -> Side<R> {
        let zero = absorbed_w_m2.like(0.0);
        let air_c = zero.like(w.air_c);
        let (_, radiation) = black_body(w.air_c);
        let film = plate_wind_w_m2_k(w.wind_m_s) + BACK_EMISSIVITY * radiation;
        let back_w_m2_k = R::select(
            self.back_exposed,
            film / (self.back_m2_k_w * film + 1.0),
            zero,
        );
        let under_w_m_k = back_w_m2_k * self.under_m;
        let mut side = Side {
            side_w_m_k: zero,
            side_c: air_c,
            bond_m_k_w: self.bond_m_k_w,
            sun_w_m: zero,
            between_c: zero,
            fin: zero,
            chord_w_m2_k: zero,
            chord_zero_w_m2: zero,
            between_m: self.between_m,
            under_w_m_k,
            air_c: w.air_c,
        };
        let mut root_w_m_k = under_w_m_k;
        let apart = self.between_m.is_above(zero);
        if apart.any() {
            let above = above();
            // The board by itself, then the straight line through its balance there and at the air's temperature.
            let (at_air, air_slope) = above.loss_with(above.wind_film(), air_c);
            let guess_c = air_c + (absorbed_w_m2 - at_air) / (air_slope + back_w_m2_k);
            let film = above.film_at(guess_c).0;
            let mut board_c = guess_c;
            for _ in 0..BOARD_STEPS {
                let (q, slope) = above.loss_with(film, board_c);
                board_c -=
                    (q + back_w_m2_k * (board_c - w.air_c) - absorbed_w_m2) / (slope + back_w_m2_k);
            }
            let rise = board_c - w.air_c;
            let far = rise.size().is_above(zero.like(0.1));
            let secant = (above.loss_with(film, board_c).0 - at_air) / rise;
            let loss_w_m2_k = R::select(far, secant, air_slope) + back_w_m2_k;
            side.sun_w_m = absorbed_w_m2 * self.between_m;
            side.chord_w_m2_k = loss_w_m2_k;
            side.chord_zero_w_m2 = at_air;
            side.between_c = air_c + (absorbed_w_m2 - at_air) / loss_w_m2_k;
            let x = self.between_m * (loss_w_m2_k / self.sheet_w_k).root() * 0.5;
            side.fin = fin_efficiency(x);
            let between_w_m_k = self.between_m * side.fin * loss_w_m2_k;
            let joined_w_m_k = root_w_m_k + between_w_m_k;
            let side_c = (between_w_m_k * side.between_c + under_w_m_k * w.air_c) / joined_w_m_k;
            side.side_c = R::select(apart, side_c, air_c);
            side.fin = R::select(apart, side.fin, zero);
            root_w_m_k = R::select(apart, joined_w_m_k, root_w_m_k);
        }
        side.side_w_m_k = root_w_m_k / (self.bond_m_k_w * root_w_m_k + 1.0);
        side
    }
}

/// σ T_a⁴ at the air's temperature, W/m².
pub(crate) fn air_black_w_m2(air_c: f64) -> f64 {
    debug_assert!(air_c > -ZERO_CELSIUS_K);
    black_body(air_c).0
}
