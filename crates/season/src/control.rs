//! Whether the pump pushes water through the heaters in one interval, and from what state it starts.

use swimdays_collector::{Heater, HeaterState, HeaterWeather};
use swimdays_properties::real::{Mask, Real};
use swimdays_pump::{DifferentialInput, differential_on_frac};

use crate::machine::{Machine, PumpUnit};
use crate::step::{Chain, Interval, Pad, State};

/// Rounds in which the flow of a thermosiphon and its tube come to agree.
const SIPHON_ROUNDS: usize = 5;

/// What was decided for one interval.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Decision<R: Real = f64> {
    /// Share of the interval with flow.
    pub on_frac: R,
    /// Whether flow still runs when the interval ends.
    pub on_at_end: R::Mask,
    /// Time for which a sensor's run must still go on when the interval ends, s.
    pub run_left_s: R,
    /// How long the tubes stand after flow has stopped, s.
    pub rest_s: R,
    /// How often the heat held by the tubes is handed to the water in this interval.
    pub starts: R,
    /// Whether the pump was to run: the chain is then that of the interval's start.
    started: R::Mask,
    /// The heaters at the water temperature of the interval's start.
    chain: Chain<R>,
    /// Heat handed over at the start, W of the interval's mean.
    start_w: R,
    /// Pump heat that heating adds while on, W.
    pub pump_heat_w: R,
    /// Electricity that heating adds while on, W.
    pub power_w: R,
    /// Heat lost by buoyant flow while the pump stands, W.
    pub siphon_w: R,
    /// The control starts and stops more than it should.
    pub short_cycling: R::Mask,
    /// The pool is hotter than the limit for night cooling.
    pub cooling_wanted: R::Mask,
    /// The pump runs to cool the pool.
    pub cooling: R::Mask,
}

impl<R: Real> Decision<R> {
    /// Heat that pump and heaters add at the water temperature of the interval's start, W.
    #[inline(always)]
    pub(crate) fn added_w(&self) -> R {
        let run_w = self.on_frac * (self.chain.heat_w + self.pump_heat_w) + self.start_w;
        R::select(self.started, run_w, self.siphon_w)
    }

    /// Slope of the heaters' heat with the water's temperature while on, W/K.
    #[inline(always)]
    pub(crate) fn slope_w_k(&self) -> R {
        let slope_w_k = self.chain.slope_w_k;
        R::select(self.started, slope_w_k, slope_w_k.like(0.0))
    }

    /// `yes` where `mask` is so, `no` elsewhere.
    #[inline(always)]
    fn select(mask: R::Mask, yes: &Self, no: &Self) -> Self {
        let pick = Pick::<R>(mask);
        Self {
            on_frac: pick.of(yes.on_frac, no.on_frac),
            on_at_end: pick.mask(yes.on_at_end, no.on_at_end),
            run_left_s: pick.of(yes.run_left_s, no.run_left_s),
            rest_s: pick.of(yes.rest_s, no.rest_s),
            starts: pick.of(yes.starts, no.starts),
            started: pick.mask(yes.started, no.started),
            chain: Chain {
                heat_w: pick.of(yes.chain.heat_w, no.chain.heat_w),
                slope_w_k: pick.of(yes.chain.slope_w_k, no.chain.slope_w_k),
                outlet_c: pick.of(yes.chain.outlet_c, no.chain.outlet_c),
            },
            start_w: pick.of(yes.start_w, no.start_w),
            pump_heat_w: pick.of(yes.pump_heat_w, no.pump_heat_w),
            power_w: pick.of(yes.power_w, no.power_w),
            siphon_w: pick.of(yes.siphon_w, no.siphon_w),
            short_cycling: pick.mask(yes.short_cycling, no.short_cycling),
            cooling_wanted: pick.mask(yes.cooling_wanted, no.cooling_wanted),
            cooling: pick.mask(yes.cooling, no.cooling),
        }
    }
}

impl<R: Real> Decision<R> {
    /// Nothing runs, in as many lanes as `zero`.
    #[inline(always)]
    fn off(zero: R) -> Self {
        let no = zero.mask_like(false);
        Self {
            on_frac: zero,
            on_at_end: no,
            run_left_s: zero,
            rest_s: zero,
            starts: zero,
            started: no,
            chain: Chain {
                heat_w: zero,
                slope_w_k: zero,
                outlet_c: zero,
            },
            start_w: zero,
            pump_heat_w: zero,
            power_w: zero,
            siphon_w: zero,
            short_cycling: no,
            cooling_wanted: no,
            cooling: no,
        }
    }
}

/// One of two, where a mask is so and where it is not.
struct Pick<R: Real>(R::Mask);

impl<R: Real> Pick<R> {
    #[inline(always)]
    fn of(&self, yes: R, no: R) -> R {
        R::select(self.0, yes, no)
    }

    #[inline(always)]
    fn mask(&self, yes: R::Mask, no: R::Mask) -> R::Mask {
        (self.0 & yes) | (!self.0 & no)
    }
}

/// Share of an interval for which something that warms the water (a cover, a heater) is on when a limit switches it
/// off that lies `room_k` above the water's start.
///
/// `with_k` and `without_k` are the water's rise over the interval with and without it. Below the limit it is on until
/// the water crosses it; above the limit it stays off until the water has fallen back; where the water is then pushed
/// to and fro across the limit, it is on for the share that holds it.
#[inline(always)]
pub(crate) fn share_within_limit<R: Real>(room_k: R, with_k: R, without_k: R) -> R {
    let (zero, one) = (room_k.like(0.0), room_k.like(1.0));
    let holds = (room_k - without_k) / (with_k - without_k);
    let below = R::select(
        with_k.is_at_most(room_k),
        one,
        R::select(without_k.is_below(zero), holds, room_k / with_k),
    );
    let above = R::select(
        without_k.is_at_least(room_k),
        zero,
        R::select(with_k.is_above(zero), holds, one - room_k / without_k),
    );
    R::select(room_k.is_above(zero), below, above)
        .or_at_least(zero)
        .or_at_most(one)
}

impl<R: Real> Machine<R> {
    /// Decides the pump. `flow_w` and `stiffness_w_k` describe the water's step without heaters.
    #[inline(always)]
    pub(crate) fn decide(
        &self,
        at: &Interval<'_>,
        pad: &mut Pad<R>,
        state: &State<R>,
        open: R::Mask,
        flow_w: R,
        stiffness_w_k: R,
    ) -> Decision<R> {
        let zero = self.like(0.0);
        let mut out = Decision::off(zero);
        let (Some(pump), false) = (&self.pump, self.heaters.is_empty()) else {
            return out;
        };
        pad.siphon_w.fill(zero);
        let noted = at.noted_pump();
        let frost = self.like(at.row().air_c).is_below(pump.frost_stop_c);
        let scheduled = match noted {
            Some(share) => self.like(share),
            None => R::select(open & !frost, pump.schedule.at(at.tick()), zero),
        };
        let mut runs = scheduled.is_above(zero);
        let hot = state.water_c.is_above(pump.cool_above_c) & open;
        if noted.is_none() && hot.any() {
            let tries = hot & !frost;
            if tries.any() {
                pad.bodies.copy_from_slice(&state.heaters);
                let cooling = zero.apart(
                    #[inline(always)]
                    || self.cool(pump, at, pad, state, tries),
                );
                out = Decision::select(cooling.cooling, &cooling, &out);
                runs = runs & !cooling.cooling;
            }
            out.cooling_wanted = hot;
        }
        // A pool that is closed has its heaters drained.
        let mut stands = open & !runs & !out.cooling;
        if runs.any() {
            pad.bodies.copy_from_slice(&state.heaters);
            let mut run = Decision::off(zero);
            run.cooling_wanted = out.cooling_wanted;
            self.by_the_clock(pad, state, scheduled, runs, &mut run);
            let sensed = runs & pump.has_sensor;
            if noted.is_none() && sensed.any() {
                zero.apart(
                    #[inline(always)]
                    || self.by_the_sensor(pump, pad, state, scheduled, sensed, &mut run),
                );
            }
            run.started = runs & run.on_frac.is_above(zero);
            stands = stands | (runs & !run.started);
            if run.started.any() {
                self.start(pad, state, &mut run);
                self.finish(pump, at, &mut run);
                if noted.is_none() {
                    let room_k = pump.water_limit_c - state.water_c;
                    self.hold_limit(room_k, flow_w / stiffness_w_k, stiffness_w_k, &mut run);
                }
            }
            out = if (!runs).any() {
                Decision::select(runs, &run, &out)
            } else {
                run
            };
        }
        let open_pipe = stands & !pump.check_valve;
        if open_pipe.any() {
            zero.apart(
                #[inline(always)]
                || self.siphon(pump, pad, state, open_pipe, &mut out),
            );
        }
        out
    }

    /// A timer, a hand or nothing at all: the pump runs for the scheduled share.
    #[inline(always)]
    fn by_the_clock(
        &self,
        pad: &mut Pad<R>,
        state: &State<R>,
        scheduled: R,
        runs: R::Mask,
        out: &mut Decision<R>,
    ) {
        let one = self.like(1.0);
        let outside_s = (one - scheduled) * self.interval_s;
        let whole = scheduled.is_at_least(one);
        out.on_frac = scheduled;
        out.on_at_end = whole | !state.pump_on;
        out.starts = one;
        out.rest_s = R::select(state.pump_on, outside_s, self.like(0.0));
        let waits = runs & !state.pump_on & !whole;
        if waits.any() {
            self.wait(pad, outside_s, waits);
        }
    }

    /// The tubes stand for a time before flow starts.
    #[inline(always)]
    fn wait(&self, pad: &mut Pad<R>, wait_s: R, waits: R::Mask) {
        for (i, unit) in self.heaters.iter().enumerate() {
            let rested = unit.heater.rest_body(&pad.hours[i], &pad.bodies[i], wait_s);
            pad.bodies[i] = HeaterState::select(waits, &rested, &pad.bodies[i]);
        }
    }

    /// A sensor decides in the lanes `sensed`, each by itself.
    #[inline(always)]
    fn by_the_sensor(
        &self,
        pump: &PumpUnit<R>,
        pad: &mut Pad<R>,
        state: &State<R>,
        scheduled: R,
        sensed: R::Mask,
        out: &mut Decision<R>,
    ) {
        let zero = self.like(0.0);
        // A window that opens within the interval finds tubes that stood until then, as with a timer; one that closes
        // lets them stand.
        let chain = self.chain::<false>(&pad.hours, &pad.bodies, state.water_c, &mut pad.running);
        let last = self.heaters.len() - 1;
        let unit = &self.heaters[last];
        let (stagnation_c, time_constant_s) =
            unit.heater.standing(&pad.hours[last], &pad.bodies[last]);
        let (mut on_frac, mut on_at_end) = (zero, zero);
        let (mut rest_s, mut run_left_s) = (zero, zero);
        let (mut starts, mut start_body_c) = (zero, zero);
        let (mut short_cycling, mut wait_s) = (zero, zero);
        for lane in 0..R::LANES {
            let (true, Some(control)) = (R::mask_lane(sensed, lane), &pump.sensors[lane]) else {
                continue;
            };
            let share = scheduled.lane(lane);
            let was_on = R::mask_lane(state.pump_on, lane);
            let interval_s = self.interval_s * share;
            let result = differential_on_frac(&DifferentialInput {
                control,
                stagnation_c: stagnation_c.lane(lane),
                body_c: pad.bodies[last].body_c.lane(lane),
                time_constant_s: time_constant_s.lane(lane),
                running_body_c: pad.running[last].body_c.lane(lane),
                outlet_c: chain.outlet_c.lane(lane),
                water_c: state.water_c.lane(lane),
                transit_s: unit.transit_s.lane(lane),
                was_on,
                run_left_s: state.run_left_s.lane(lane),
                interval_s,
            });
            let outside_s = (1.0 - share) * self.interval_s;
            let closes = was_on && outside_s > 0.0;
            let yes = |yes: bool| f64::from(u8::from(yes));
            on_frac.set_lane(lane, result.on_frac * share);
            on_at_end.set_lane(lane, yes(result.running_at_end && !closes));
            short_cycling.set_lane(lane, yes(result.short_cycling));
            let after_s = if closes { outside_s } else { 0.0 };
            rest_s.set_lane(lane, result.standing_at_end_s + after_s);
            run_left_s.set_lane(lane, if closes { 0.0 } else { result.run_left_s });
            starts.set_lane(lane, result.starts);
            start_body_c.set_lane(lane, result.start_body_c);
            wait_s.set_lane(lane, (1.0 - result.on_frac) * interval_s);
        }
        let half = self.like(0.5);
        let cycles = starts.is_above(zero);
        if cycles.any() {
            // The sensor's heater starts as warm as the control says; the others as they then stand.
            self.wait(pad, wait_s, cycles);
            let body = &mut pad.bodies[last];
            body.body_c = R::select(cycles, start_body_c, body.body_c);
        }
        // A pump that runs on hands over the change of its tubes' warmth, as after a start.
        starts = R::select(cycles, starts, self.like(1.0));
        out.on_frac = R::select(sensed, on_frac, out.on_frac);
        out.on_at_end = (sensed & on_at_end.is_above(half)) | (!sensed & out.on_at_end);
        out.short_cycling = short_cycling.is_above(half);
        out.rest_s = R::select(sensed, rest_s, out.rest_s);
        out.run_left_s = run_left_s;
        out.starts = R::select(sensed, starts, out.starts);
    }

    /// The chain when flow starts, and what the tubes hand over.
    #[inline(always)]
    fn start(&self, pad: &mut Pad<R>, state: &State<R>, out: &mut Decision<R>) {
        out.chain = self.chain::<false>(&pad.hours, &pad.bodies, state.water_c, &mut pad.running);
        let mut start_j = self.like(0.0);
        for (i, unit) in self.heaters.iter().enumerate() {
            start_j += unit.exchanged_frac(out.on_frac * self.interval_s, out.starts)
                * unit.heater.start_heat_j(&pad.bodies[i], &pad.running[i]);
        }
        out.start_w = start_j * out.starts / self.interval_s;
    }

    /// Shortens the run where the water reaches its limit.
    #[inline(always)]
    fn hold_limit(&self, room_k: R, rise_without_k: R, stiffness_w_k: R, out: &mut Decision<R>) {
        let added_w = out.added_w();
        let rise_with_k =
            rise_without_k + added_w / (stiffness_w_k - out.on_frac * out.chain.slope_w_k * 0.5);
        let over = out.started & added_w.is_above(self.like(0.0)) & rise_with_k.is_above(room_k);
        if over.any() {
            let keep = share_within_limit(room_k, rise_with_k, rise_without_k);
            out.on_frac = R::select(over, out.on_frac * keep, out.on_frac);
            out.starts = R::select(over, out.starts * keep, out.starts);
            out.start_w = R::select(over, out.start_w * keep, out.start_w);
            out.on_at_end = out.on_at_end & !over;
            let rest_s = (-out.on_frac + 1.0) * self.interval_s;
            out.rest_s = R::select(over, rest_s, out.rest_s);
        }
    }

    /// Runs to cool the pool, in the lanes `tries`, where the heaters take more from it than their tubes and the pump put in.
    #[inline(always)]
    fn cool(
        &self,
        pump: &PumpUnit<R>,
        at: &Interval<'_>,
        pad: &mut Pad<R>,
        state: &State<R>,
        tries: R::Mask,
    ) -> Decision<R> {
        let mut cooling = Decision::off(self.like(0.0));
        cooling.on_frac = self.like(1.0);
        cooling.starts = self.like(1.0);
        cooling.started = tries;
        self.start(pad, state, &mut cooling);
        self.finish(pump, at, &mut cooling);
        cooling.cooling = tries & cooling.added_w().is_below(self.like(0.0));
        cooling.on_at_end = cooling.cooling;
        cooling
    }

    /// What a heater above the pool gives away by itself at night when no check valve stops the water, in the lanes `open_pipe`.
    ///
    /// The colder the tube the stronger the flow, and the stronger the flow the warmer the tube: a few rounds towards
    /// where both agree. An upper bound, as the flow itself is.
    #[inline(always)]
    fn siphon(
        &self,
        pump: &PumpUnit<R>,
        pad: &mut Pad<R>,
        state: &State<R>,
        open_pipe: R::Mask,
        out: &mut Decision<R>,
    ) {
        for (i, unit) in self.heaters.iter().enumerate() {
            let tube_c = state.heaters[i].body_c;
            let height_m = unit.height_above_water_m;
            let turns =
                open_pipe & height_m.is_above(self.like(0.0)) & tube_c.is_below(state.water_c);
            if !turns.any() {
                continue;
            }
            for lane in 0..R::LANES {
                if !R::mask_lane(turns, lane) {
                    continue;
                }
                let heat_w = siphoned_w(
                    &unit.alone[lane],
                    &pad.hours[i].weather.lane(lane),
                    &state.heaters[i].lane(lane),
                    state.water_c.lane(lane),
                    height_m.lane(lane),
                    (
                        pump.connecting_length_m.lane(lane),
                        pump.connecting_bore_m.lane(lane),
                    ),
                );
                pad.siphon_w[i].set_lane(lane, heat_w);
            }
            out.siphon_w += pad.siphon_w[i];
        }
    }

    #[inline(always)]
    fn finish(&self, pump: &PumpUnit<R>, at: &Interval<'_>, out: &mut Decision<R>) {
        let filter = pump.filter.at(at.tick());
        let alone = -filter + 1.0;
        out.pump_heat_w = filter * pump.heating_heat_w[0] + alone * pump.heating_heat_w[1];
        out.power_w = filter * pump.heating_power_w[0] + alone * pump.heating_power_w[1];
    }
}

/// Heat that one heater above the pool gives away by itself, W; not above 0.
fn siphoned_w(
    heater: &Heater,
    weather: &HeaterWeather,
    tube: &HeaterState,
    water_c: f64,
    height_m: f64,
    (length_m, bore_m): (f64, f64),
) -> f64 {
    let mut tube_c = tube.body_c;
    let mut heat_w = 0.0;
    for _ in 0..SIPHON_ROUNDS {
        let flow_kg_s = heater.thermosiphon_flow_kg_s(tube_c, water_c, height_m, length_m, bore_m);
        if flow_kg_s <= 0.0 {
            break;
        }
        let running = heater.run(weather, tube, water_c, flow_kg_s);
        heat_w = running.heat_w.min(0.0);
        tube_c = 0.5 * (tube_c + 0.5 * (running.outlet_c + water_c));
    }
    heat_w
}

#[cfg(test)]
mod tests {
    use super::share_within_limit;

    #[test]
    fn a_limit_switches_where_the_water_crosses_it() {
        // By hand, in K: room, rise with, rise without, share.
        let cases = [
            (2.0, 1.0, -1.0, 1.0),        // never reached
            (0.5, 1.0, 0.2, 0.5),         // crossed half-way, still rising without
            (0.5, 1.0, -1.0, 0.75),       // held: 0.75 · 1 − 0.25 · 1 = 0.5
            (-0.5, 1.0, 0.3, 0.0),        // above and rising
            (-0.5, -0.2, -0.4, 0.0),      // above and not falling far enough
            (-0.5, -0.1, -1.0, 0.5),      // falls to it half-way, then on
            (-0.5, 0.5, -1.0, 1.0 / 3.0), // held: ⅓ · 0.5 − ⅔ · 1 = −0.5
        ];
        for (room, with, without, share) in cases {
            let found = share_within_limit(room, with, without);
            assert!(
                (found - share).abs() < 1e-12,
                "{room} {with} {without}: {found}, not {share}"
            );
        }
    }
}
