//! The ground behind the shell: a column of shell and soil down to undisturbed soil, exact for water that warms in a
//! straight line.
//!
//! The column is cut into [`GROUND_NODES`] slices, thin at the water and growing geometrically. With
//! `x = √C T` its conduction matrix is symmetric; in its eigenvectors each node moves alone, and for a water
//! temperature linear in time the solution over an interval is exact, whatever the interval.

use swimdays_properties::materials::{GroundMaterial, ShellMaterial};
use swimdays_properties::real::Real;

use crate::flux::{Flux, PoolError, within};
use crate::jacobi::eigen;

/// Slices of shell and soil.
pub const GROUND_NODES: usize = 12;

/// Shells thinner than this are one slice, m.
const THIN_SHELL_M: f64 = 0.03;
/// Slices of a thick shell and how each grows over the one before.
const SHELL_SLICES: usize = 3;
const SHELL_GROWTH: f64 = 1.6;
/// First soil slice behind a thin and behind a thick shell, m: well below the 0.1 m that heat moves in 6 h.
const FIRST_SOIL_M: f64 = 0.02;
const FIRST_SOIL_BEHIND_THICK_M: f64 = 0.07;

/// What lies behind a m² of floor or in-ground wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundSpec {
    /// Thickness of the shell, m. Range 0.0001…1.
    pub shell_thickness_m: f64,
    /// What the shell is made of.
    pub shell: ShellMaterial,
    /// Insulation between shell and soil, m²·K/W. Range 0…20.
    pub insulation_m2_k_w: f64,
    /// The soil.
    pub ground: GroundMaterial,
    /// From the shell to soil that keeps its own yearly course, m. Range 0.5…30; 4 m is customary for a season.
    pub depth_m: f64,
}

/// The column, ready to be stepped by one interval length.
#[derive(Clone, Debug)]
pub struct Ground {
    capacity_j_m2_k: [f64; GROUND_NODES],
    /// Conductance before each node, and last between the deepest node and the undisturbed soil, W/(m²·K).
    conductance_w_m2_k: [f64; GROUND_NODES + 1],
    vectors: [[f64; GROUND_NODES]; GROUND_NODES],
    /// Stored heat per mode.
    stored: [f64; GROUND_NODES],
    /// Mean temperature of the last node over an interval.
    last: MeanNode<f64>,
    step: GroundStep,
}

/// The part of [`Ground`] that is read in every interval: of one column, or of several side by side.
#[derive(Clone, Copy, Debug)]
pub struct GroundStep<R = f64> {
    /// Between the water and the first node, W/(m²·K).
    first_w_m2_k: R,
    /// Per mode: what stays of it, and what the water's start, its rise and the deep soil add to it.
    decay: [R; GROUND_NODES],
    from_start: [R; GROUND_NODES],
    from_rise: [R; GROUND_NODES],
    from_deep: [R; GROUND_NODES],
    /// Mean temperature of the first node over an interval.
    first: MeanNode<R>,
}

/// How the mean temperature of one node over an interval follows from the state and the boundaries.
#[derive(Clone, Copy, Debug)]
struct MeanNode<R> {
    modes: [R; GROUND_NODES],
    start: R,
    rise: R,
    deep: R,
}

impl<R: Real> MeanNode<R> {
    #[inline(always)]
    fn at_rest(&self, modal: &[R; GROUND_NODES], start_c: R, deep_c: f64) -> R {
        dot(&self.modes, modal) + self.start * start_c + self.deep * deep_c
    }
}

/// The column's temperatures, as amplitudes of its modes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundState<R = f64> {
    modal: [R; GROUND_NODES],
}

impl<R: Real> GroundState<R> {
    /// Several states side by side, one for each lane of `like`.
    #[must_use]
    pub fn join(like: R, lanes: &[&GroundState]) -> Self {
        Self {
            modal: std::array::from_fn(|m| like.each(|lane| lanes[lane].modal[m])),
        }
    }

    /// The state in `lane`.
    #[must_use]
    pub fn lane(&self, lane: usize) -> GroundState {
        GroundState {
            modal: self.modal.map(|amplitude| amplitude.lane(lane)),
        }
    }
}

impl<R: Real> GroundStep<R> {
    /// Several columns side by side, one for each lane of `like`.
    #[must_use]
    pub fn join(like: R, lanes: &[&GroundStep]) -> Self {
        let one = |pick: fn(&GroundStep) -> f64| like.each(|lane| pick(lanes[lane]));
        let modes = |pick: fn(&GroundStep) -> &[f64; GROUND_NODES]| {
            std::array::from_fn(|m| like.each(|lane| pick(lanes[lane])[m]))
        };
        Self {
            first_w_m2_k: one(|g| g.first_w_m2_k),
            decay: modes(|g| &g.decay),
            from_start: modes(|g| &g.from_start),
            from_rise: modes(|g| &g.from_rise),
            from_deep: modes(|g| &g.from_deep),
            first: MeanNode {
                modes: modes(|g| &g.first.modes),
                start: one(|g| g.first.start),
                rise: one(|g| g.first.rise),
                deep: one(|g| g.first.deep),
            },
        }
    }

    /// As [`Ground::mean_flux`].
    #[inline(always)]
    #[must_use]
    pub fn mean_flux(&self, s: &GroundState<R>, water_start_c: R, deep_c: f64) -> Flux<R> {
        let first_c = self.first.at_rest(&s.modal, water_start_c, deep_c);
        Flux {
            w_m2: self.first_w_m2_k * (first_c - water_start_c),
            slope_w_m2_k: self.first_w_m2_k * (self.first.rise - 0.5),
        }
    }

    /// As [`Ground::advance`].
    #[inline(always)]
    pub fn advance(&self, s: &mut GroundState<R>, water_start_c: R, water_end_c: R, deep_c: f64) {
        let rise = water_end_c - water_start_c;
        for (m, amplitude) in s.modal.iter_mut().enumerate() {
            *amplitude = self.decay[m] * *amplitude
                + self.from_start[m] * water_start_c
                + self.from_rise[m] * rise
                + self.from_deep[m] * deep_c;
        }
    }
}

impl<R: Real> GroundState<R> {
    /// Adds `other` times `factor`.
    #[inline(always)]
    pub fn add(&mut self, other: &Self, factor: R) {
        for (amplitude, more) in self.modal.iter_mut().zip(other.modal) {
            *amplitude += factor * more;
        }
    }
}

impl GroundStep {
    /// The state after a past in which water and deep soil, °C, were held for so many intervals each, the oldest first; before that it was
    /// in balance with the oldest.
    #[must_use]
    pub fn after(&self, past_c: &[(f64, f64)], intervals: i32) -> GroundState {
        let mut modal = [0.0; GROUND_NODES];
        for (m, amplitude) in modal.iter_mut().enumerate() {
            let gone = 1.0 / (1.0 - self.decay[m]);
            let (from_water, from_deep) = (self.from_start[m] * gone, self.from_deep[m] * gone);
            let stays = self.decay[m].powi(intervals);
            let mut pieces = past_c.iter().map(|(w, d)| from_water * w + from_deep * d);
            *amplitude = pieces.next().unwrap_or(0.0);
            for steady in pieces {
                *amplitude = steady + stays * (*amplitude - steady);
            }
        }
        GroundState { modal }
    }

    /// What is left, after so many intervals, of water that had always been a kelvin warmer before.
    #[must_use]
    pub fn kelvin_ago(&self, intervals: i32) -> GroundState {
        let left =
            |m: usize| self.from_start[m] / (1.0 - self.decay[m]) * self.decay[m].powi(intervals);
        GroundState {
            modal: std::array::from_fn(left),
        }
    }
}

#[inline(always)]
fn dot<R: Real>(a: &[R; GROUND_NODES], b: &[R; GROUND_NODES]) -> R {
    let mut sums = [a[0] * b[0], a[1] * b[1], a[2] * b[2], a[3] * b[3]];
    for i in 1..GROUND_NODES / 4 {
        for (k, sum) in sums.iter_mut().enumerate() {
            *sum += a[4 * i + k] * b[4 * i + k];
        }
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3])
}

/// `f₀ = (1 − e⁻ˣ)/x`, `f₁ = (1 − f₀)/x`, `f₂ = (½ − f₁)/x`: by series where the differences would lose digits.
fn integrals(x: f64) -> (f64, f64, f64) {
    if x < 0.05 {
        // fₙ = Σ (−x)^k / (k + n + 1)!; six terms leave 1e-11.
        let series = |n: u32| {
            let mut term = 1.0 / (1..=n + 1).map(f64::from).product::<f64>();
            let mut sum = 0.0;
            for k in 0..7 {
                sum += term;
                term *= -x / f64::from(k + n + 2);
            }
            sum
        };
        (series(0), series(1), series(2))
    } else {
        let f0 = -(-x).exp_m1() / x;
        let f1 = (1.0 - f0) / x;
        (f0, f1, (0.5 - f1) / x)
    }
}

impl GroundSpec {
    /// Thickness, conductivity and heat capacity by volume of each slice.
    fn slices(&self) -> [(f64, f64, f64); GROUND_NODES] {
        let (shell, soil) = (self.shell, self.ground);
        let thick = self.shell_thickness_m >= THIN_SHELL_M;
        let shell_slices = if thick { SHELL_SLICES } else { 1 };
        let sum = |first: f64, growth: f64, n: usize| {
            let mut total = 0.0;
            let mut slice = first;
            for _ in 0..n {
                total += slice;
                slice *= growth;
            }
            total
        };
        let soil_slices = GROUND_NODES - shell_slices;
        let mut soil_first = if thick {
            FIRST_SOIL_BEHIND_THICK_M
        } else {
            FIRST_SOIL_M
        };
        // Growth that fills the depth, by halving; where the first slice is too thick already, equal slices.
        let (mut low, mut high) = (1.0, 4.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if sum(soil_first, middle, soil_slices) < self.depth_m {
                low = middle;
            } else {
                high = middle;
            }
        }
        let growth = 0.5 * (low + high);
        soil_first *= self.depth_m / sum(soil_first, growth, soil_slices);

        let mut slices = [(0.0, 0.0, 0.0); GROUND_NODES];
        let mut thickness = self.shell_thickness_m / sum(1.0, SHELL_GROWTH, shell_slices);
        for slice in &mut slices[..shell_slices] {
            *slice = (
                thickness,
                shell.conductivity_w_m_k(),
                shell.volumetric_heat_j_m3_k(),
            );
            thickness *= SHELL_GROWTH;
        }
        thickness = soil_first;
        for slice in &mut slices[shell_slices..] {
            *slice = (
                thickness,
                soil.conductivity_w_m_k(),
                soil.volumetric_heat_j_m3_k(),
            );
            thickness *= growth;
        }
        slices
    }

    fn shell_slices(&self) -> usize {
        if self.shell_thickness_m >= THIN_SHELL_M {
            SHELL_SLICES
        } else {
            1
        }
    }
}

impl Ground {
    /// The column for intervals of `interval_s` seconds.
    ///
    /// Heat passes from the water to the middle of the first slice through half that slice: the water's own film
    /// (100 W/(m²·K) and more) is left out.
    ///
    /// Source: conduction by finite volumes; exact solution of linear equations by eigenvectors (textbook).
    ///
    /// # Errors
    /// [`PoolError::OutOfRange`] when a number of `spec` or the interval (1 s to 7 days) is outside its range.
    pub fn new(spec: &GroundSpec, interval_s: f64) -> Result<Self, PoolError> {
        within("shell thickness in m", spec.shell_thickness_m, 0.000_1, 1.0)?;
        within(
            "ground insulation in m²·K/W",
            spec.insulation_m2_k_w,
            0.0,
            20.0,
        )?;
        within("depth of undisturbed soil in m", spec.depth_m, 0.5, 30.0)?;
        within("interval in s", interval_s, 1.0, 604_800.0)?;

        let slices = spec.slices();
        let capacity = slices.map(|(thickness, _, heat)| thickness * heat);
        let half = slices.map(|(thickness, conductivity, _)| 0.5 * thickness / conductivity);
        let mut conductance = [0.0; GROUND_NODES + 1];
        conductance[0] = 1.0 / half[0];
        conductance[GROUND_NODES] = 1.0 / half[GROUND_NODES - 1];
        for j in 1..GROUND_NODES {
            let extra = if j == spec.shell_slices() {
                spec.insulation_m2_k_w
            } else {
                0.0
            };
            conductance[j] = 1.0 / (half[j - 1] + extra + half[j]);
        }
        let mut matrix = [[0.0; GROUND_NODES]; GROUND_NODES];
        for j in 0..GROUND_NODES {
            matrix[j][j] = (conductance[j] + conductance[j + 1]) / capacity[j];
            if j + 1 < GROUND_NODES {
                let beside = -conductance[j + 1] / (capacity[j] * capacity[j + 1]).sqrt();
                matrix[j][j + 1] = beside;
                matrix[j + 1][j] = beside;
            }
        }
        let (rates, vectors) = eigen(matrix);
        Ok(Self::with_modes(
            capacity,
            conductance,
            &rates,
            vectors,
            interval_s,
        ))
    }

    fn with_modes(
        capacity_j_m2_k: [f64; GROUND_NODES],
        conductance_w_m2_k: [f64; GROUND_NODES + 1],
        rates: &[f64; GROUND_NODES],
        vectors: [[f64; GROUND_NODES]; GROUND_NODES],
        interval_s: f64,
    ) -> Self {
        const LAST: usize = GROUND_NODES - 1;
        let zero = [0.0; GROUND_NODES];
        let none = MeanNode {
            modes: zero,
            start: 0.0,
            rise: 0.0,
            deep: 0.0,
        };
        let mut step = GroundStep {
            first_w_m2_k: conductance_w_m2_k[0],
            decay: zero,
            from_start: zero,
            from_rise: zero,
            from_deep: zero,
            first: none,
        };
        let (mut stored, mut last) = (zero, none);
        for (m, &rate) in rates.iter().enumerate() {
            let x = rate * interval_s;
            let (f0, f1, f2) = integrals(x);
            let root = |j: usize| capacity_j_m2_k[j].sqrt();
            let to_first = vectors[0][m] / root(0);
            let to_last = vectors[LAST][m] / root(LAST);
            let water = conductance_w_m2_k[0] * to_first * interval_s;
            let deep = conductance_w_m2_k[GROUND_NODES] * to_last * interval_s;
            step.decay[m] = (-x).exp();
            step.from_start[m] = water * f0;
            step.from_rise[m] = water * f1;
            step.from_deep[m] = deep * f0;
            stored[m] = (0..GROUND_NODES).map(|j| root(j) * vectors[j][m]).sum();
            for (mean, weight) in [(&mut step.first, to_first), (&mut last, to_last)] {
                mean.modes[m] = weight * f0;
                mean.start += weight * water * f1;
                mean.rise += weight * water * f2;
                mean.deep += weight * deep * f1;
            }
        }
        Self {
            capacity_j_m2_k,
            conductance_w_m2_k,
            vectors,
            stored,
            last,
            step,
        }
    }

    /// The part that is read in every interval.
    #[must_use]
    pub fn step(&self) -> &GroundStep {
        &self.step
    }

    /// The state that stays when the water is held at `water_c` and the deep soil at `deep_c`.
    #[must_use]
    pub fn steady(&self, water_c: f64, deep_c: f64) -> GroundState {
        let whole: f64 = self.conductance_w_m2_k.iter().map(|g| 1.0 / g).sum();
        let flow = (water_c - deep_c) / whole;
        let mut here = water_c;
        let mut nodes = [0.0; GROUND_NODES];
        for (node, conductance) in nodes.iter_mut().zip(self.conductance_w_m2_k) {
            here -= flow / conductance;
            *node = here;
        }
        self.state_of(&nodes)
    }

    /// The state with the given node temperatures, °C, first at the water.
    #[must_use]
    pub fn state_of(&self, nodes_c: &[f64; GROUND_NODES]) -> GroundState {
        let mut modal = [0.0; GROUND_NODES];
        for (m, amplitude) in modal.iter_mut().enumerate() {
            *amplitude = (0..GROUND_NODES)
                .map(|j| self.vectors[j][m] * self.capacity_j_m2_k[j].sqrt() * nodes_c[j])
                .sum();
        }
        GroundState { modal }
    }

    /// Mean heat flow into the water over one interval, per m² of contact area.
    ///
    /// `w_m2` is its value when the water stays at `water_start_c`, `slope_w_m2_k` its derivative with respect to the
    /// water's temperature at the end of the interval, reached in a straight line. It is linear: the flow for any end is
    /// `w_m2 + slope_w_m2_k (end − start)`, exactly.
    #[inline]
    #[must_use]
    pub fn mean_flux(&self, s: &GroundState, water_start_c: f64, deep_c: f64) -> Flux {
        self.step.mean_flux(s, water_start_c, deep_c)
    }

    /// Mean heat flow from the undisturbed soil into the column over one interval, W/m².
    #[must_use]
    pub fn mean_deep_flow_w_m2(
        &self,
        s: &GroundState,
        water_start_c: f64,
        water_end_c: f64,
        deep_c: f64,
    ) -> f64 {
        let last_c = self.last.at_rest(&s.modal, water_start_c, deep_c)
            + self.last.rise * (water_end_c - water_start_c);
        self.conductance_w_m2_k[GROUND_NODES] * (deep_c - last_c)
    }

    /// Moves the column over one interval in which the water goes in a straight line from start to end.
    #[inline]
    pub fn advance(&self, s: &mut GroundState, water_start_c: f64, water_end_c: f64, deep_c: f64) {
        self.step.advance(s, water_start_c, water_end_c, deep_c);
    }

    /// Heat stored in the column above 0 °C, J/m². Its change is what the deep soil gave less what the water got.
    #[must_use]
    pub fn stored_j_m2(&self, s: &GroundState) -> f64 {
        dot(&self.stored, &s.modal)
    }

    /// Node temperatures, °C, first at the water.
    #[must_use]
    pub fn node_temperatures_c(&self, s: &GroundState) -> [f64; GROUND_NODES] {
        let mut nodes = [0.0; GROUND_NODES];
        for (j, node) in nodes.iter_mut().enumerate() {
            *node = dot(&self.vectors[j], &s.modal) / self.capacity_j_m2_k[j].sqrt();
        }
        nodes
    }

    /// Rate of change of each node, K/s, written from the conductances: for an independent solver.
    #[must_use]
    pub fn node_rates_k_s(
        &self,
        nodes_c: &[f64; GROUND_NODES],
        water_c: f64,
        deep_c: f64,
    ) -> [f64; GROUND_NODES] {
        let mut rates = [0.0; GROUND_NODES];
        for (j, rate) in rates.iter_mut().enumerate() {
            let before = if j == 0 { water_c } else { nodes_c[j - 1] };
            let after = if j + 1 == GROUND_NODES {
                deep_c
            } else {
                nodes_c[j + 1]
            };
            *rate = (self.conductance_w_m2_k[j] * (before - nodes_c[j])
                + self.conductance_w_m2_k[j + 1] * (after - nodes_c[j]))
                / self.capacity_j_m2_k[j];
        }
        rates
    }

    /// Heat flow into the water at this moment, W/m², from the first node's temperature: for an independent solver.
    #[must_use]
    pub fn flow_now_w_m2(&self, first_node_c: f64, water_c: f64) -> f64 {
        self.conductance_w_m2_k[0] * (first_node_c - water_c)
    }
}

/// The yearly course of the air as a cosine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AnnualCycle {
    /// Mean of the year, °C.
    pub mean_c: f64,
    /// Half the way from coldest to warmest, K.
    pub amplitude_k: f64,
    /// Coldest day, days from 1 January, 0…365.
    pub coldest_day: f64,
}

impl AnnualCycle {
    /// Temperature of undisturbed soil, °C.
    ///
    /// `T = T_m − A e^(−z √(π/(365 a))) cos[2π/365 (t − t₀ − z/2 √(365/(π a)))]`, a in m²/day
    ///
    /// | symbol | argument | unit | range |
    /// |---|---|---|---|
    /// | z | `depth_m` below the ground's surface | m | 0…30 |
    /// | a | `diffusivity_m2_s` | m²/s | 1e-7…2e-6 |
    /// | t | `day`, days from 1 January | day | any |
    /// | T_m, A, t₀ | `self` | °C, K, day | |
    ///
    /// Source: Kusuda & Achenbach (1965), ASHRAE Transactions 71(1):61, equation 1 (from memory).
    /// Differs: the surface is taken to follow the air.
    #[must_use]
    pub fn soil_c(&self, depth_m: f64, diffusivity_m2_s: f64, day: f64) -> f64 {
        use std::f64::consts::{PI, TAU};
        let per_day = diffusivity_m2_s * 86_400.0;
        let damped = (-depth_m * (PI / (365.0 * per_day)).sqrt()).exp();
        let lag_days = 0.5 * depth_m * (365.0 / (PI * per_day)).sqrt();
        self.mean_c
            - self.amplitude_k * damped * (TAU / 365.0 * (day - self.coldest_day - lag_days)).cos()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn integrals_meet_where_series_and_formula_change_over() {
        let (a, b) = (integrals(0.05 - 1e-12), integrals(0.05 + 1e-12));
        // f₂ by differences loses 1e-16/0.05² of its digits.
        assert!(
            (a.0 - b.0).abs() < 1e-11 && (a.1 - b.1).abs() < 1e-11 && (a.2 - b.2).abs() < 1e-10
        );
    }

    #[test]
    fn slices_fill_shell_and_depth() {
        for (shell, thickness) in [
            (ShellMaterial::Liner, 0.000_6),
            (ShellMaterial::Concrete, 0.15),
        ] {
            for depth_m in [0.5, 2.0, 4.0, 10.0, 30.0] {
                let spec = GroundSpec {
                    shell_thickness_m: thickness,
                    shell,
                    insulation_m2_k_w: 0.0,
                    ground: GroundMaterial::MoistSoil,
                    depth_m,
                };
                let total: f64 = spec.slices().iter().map(|s| s.0).sum();
                assert!(
                    (total - thickness - depth_m).abs() < 1e-9,
                    "{depth_m}: {total}"
                );
            }
        }
    }

    #[test]
    fn steady_state_stays() {
        let spec = GroundSpec {
            shell_thickness_m: 0.15,
            shell: ShellMaterial::Concrete,
            insulation_m2_k_w: 1.0,
            ground: GroundMaterial::WetClay,
            depth_m: 3.0,
        };
        let ground = Ground::new(&spec, 3_600.0).expect("a valid column");
        let mut state = ground.steady(28.0, 12.0);
        // Series: 0.15/1.51 + 1 + 3/1.58 = 2.9981 m²K/W; 16 K over it.
        let resistance = 0.15 / 1.51 + 1.0 + 3.0 / 1.58;
        let flow = ground.mean_flux(&state, 28.0, 12.0).w_m2;
        assert!((flow + 16.0 / resistance).abs() < 1e-9, "{flow}");
        let before = ground.node_temperatures_c(&state);
        for _ in 0..1_000 {
            ground.advance(&mut state, 28.0, 28.0, 12.0);
        }
        let after = ground.node_temperatures_c(&state);
        assert!(before.iter().zip(after).all(|(a, b)| (a - b).abs() < 1e-9));
    }

    /// A past held for long is the steady state; one in pieces is what stepping through it gives; a kelvin more before leaves what stepping leaves.
    #[test]
    fn the_past_is_what_stepping_through_it_gives() {
        let spec = GroundSpec {
            shell_thickness_m: 0.15,
            shell: ShellMaterial::Concrete,
            insulation_m2_k_w: 0.0,
            ground: GroundMaterial::MoistSoil,
            depth_m: 4.0,
        };
        const WITHIN_K: f64 = 1e-8;
        let ground = Ground::new(&spec, 3_600.0).expect("a valid column");
        let like = |a: &GroundState, b: &GroundState| {
            let (a, b) = (ground.node_temperatures_c(a), ground.node_temperatures_c(b));
            a.iter().zip(b).all(|(a, b)| (a - b).abs() < WITHIN_K)
        };
        let step = ground.step();
        assert!(like(
            &step.after(&[(28.0, 12.0)], 240),
            &ground.steady(28.0, 12.0)
        ));

        let mut stepped = ground.steady(20.0, 10.0);
        let mut warmer = ground.steady(21.0, 10.0);
        for (water_c, deep_c) in [(26.0, 11.0), (15.0, 12.0)] {
            for _ in 0..240 {
                ground.advance(&mut stepped, water_c, water_c, deep_c);
                ground.advance(&mut warmer, water_c, water_c, deep_c);
            }
        }
        let past = [(20.0, 10.0), (26.0, 11.0), (15.0, 12.0)];
        assert!(like(&step.after(&past, 240), &stepped));
        let mut more = stepped;
        more.add(&step.kelvin_ago(480), 1.0);
        assert!(like(&more, &warmer) && !like(&stepped, &warmer));
    }

    #[test]
    fn refuses_what_it_cannot_hold() {
        let spec = GroundSpec {
            shell_thickness_m: 0.15,
            shell: ShellMaterial::Concrete,
            insulation_m2_k_w: 0.0,
            ground: GroundMaterial::WetClay,
            depth_m: 0.0,
        };
        let error = Ground::new(&spec, 3_600.0).expect_err("no depth");
        assert_eq!(
            error.to_string(),
            "depth of undisturbed soil in m is 0; allowed is 0.5 to 30"
        );
    }
}
