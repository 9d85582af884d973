//! Writes a run down: columns, days, ledgers, hottest temperatures, warnings.

use crate::clock::Tick;
use crate::machine::{MAX_HEATERS, Machine};
use crate::prepared::Prepared;
use crate::run::Detail;
use crate::step::{Interval, Outcome, Pad, State};
use crate::warnings;
use crate::{
    Day, FirstSlug, HeaterResult, Hourly, Ledger, MonthDay, Periodic, Plan, Season, WaterBook,
};

/// Stagnation is looked for only when the plane gets at least this share of its strongest sun of the year:
/// a dry tube's temperature follows the sun within minutes.
const STAGNATION_SUN_FRAC: f64 = 0.7;

/// The band's ends are met within this, K: far below any thermometer, far above rounding.
const BAND_TOLERANCE_K: f64 = 1e-3;

/// Sun from which the top of still water under a cover grows warmer than its floor, W/m² (own judgement).
const WARMING_SUN_W_M2: f64 = 200.0;

/// Sun from which it is worth asking how hot a standing tube gets, W/m².
const DAY_SUN_W_M2: f64 = 100.0;

/// One day while it is being filled.
#[derive(Clone, Copy, Debug)]
struct OpenDay {
    day: Day,
    index: usize,
    hours: f64,
    swim_intervals: usize,
    in_band: bool,
    above_band: bool,
}

/// What a heater did so far.
#[derive(Clone, Copy, Debug)]
struct HeaterBook {
    heat_j: f64,
    gained_j: f64,
    body_j: f64,
    sun_j: f64,
    cooled_j: f64,
    siphoned_j: f64,
    cooling_s: f64,
    peak_stagnation_c: f64,
}

/// The books of a run.
pub(crate) struct Book {
    hourly: Option<Hourly>,
    days: Vec<Day>,
    today: Option<OpenDay>,
    heat_kwh: Ledger,
    heat_by_month_kwh: [Ledger; 12],
    water: WaterBook,
    water_sum_c: f64,
    water_min_c: f64,
    water_max_c: f64,
    seconds: f64,
    pump_s: f64,
    pump_j: f64,
    other_bought_j: f64,
    peak_outlet_c: f64,
    first_slug: Option<FirstSlug>,
    heaters: [HeaterBook; MAX_HEATERS],
    pub(crate) cover_residual_w_m2: f64,
    pub(crate) ice_peak_kg: f64,
    pub(crate) ice_hours: f64,
    pub(crate) short_cycling: usize,
    cooling_wanted_s: f64,
    cooling_done_s: f64,
    pub(crate) pumped_in_frost_h: f64,
    pub(crate) flow_m_s: [f64; MAX_HEATERS],
    pub(crate) transit_s: [f64; MAX_HEATERS],
    pub(crate) covered_still_h: f64,
    absorber_area_m2: [f64; MAX_HEATERS],
    pub(crate) softening_c: [Option<f64>; MAX_HEATERS],
    full: bool,
    skipped: usize,
}

impl Book {
    pub(crate) fn new(
        plan: &Plan,
        machine: &Machine,
        year: &Prepared,
        detail: Detail,
        first: usize,
    ) -> Self {
        let full = detail == Detail::Full;
        let mut absorber_area_m2 = [0.0; MAX_HEATERS];
        let mut softening_c = [None; MAX_HEATERS];
        let mut flow_m_s = [0.0; MAX_HEATERS];
        let mut transit_s = [0.0; MAX_HEATERS];
        for (i, unit) in machine.heaters.iter().enumerate() {
            absorber_area_m2[i] = unit.heater.absorber_area_m2();
            softening_c[i] = unit.heater.softening_c();
            let film = unit.heater.inside_film(machine.flow_of(i));
            transit_s[i] = unit.transit_s;
            flow_m_s[i] = film.map_or(0.0, |f| f.velocity_m_s);
        }
        let mut book = Self {
            hourly: full.then(|| empty_columns(year.rows.len())),
            days: Vec::with_capacity(370),
            today: None,
            heat_kwh: Ledger::default(),
            heat_by_month_kwh: [Ledger::default(); 12],
            water: WaterBook::default(),
            water_sum_c: 0.0,
            water_min_c: f64::INFINITY,
            water_max_c: f64::NEG_INFINITY,
            seconds: 0.0,
            pump_s: 0.0,
            pump_j: 0.0,
            other_bought_j: 0.0,
            peak_outlet_c: f64::NEG_INFINITY,
            first_slug: None,
            heaters: [HeaterBook {
                heat_j: 0.0,
                gained_j: 0.0,
                body_j: 0.0,
                sun_j: 0.0,
                cooled_j: 0.0,
                siphoned_j: 0.0,
                cooling_s: 0.0,
                peak_stagnation_c: f64::NEG_INFINITY,
            }; MAX_HEATERS],
            cover_residual_w_m2: 0.0,
            ice_peak_kg: 0.0,
            ice_hours: 0.0,
            short_cycling: 0,
            cooling_wanted_s: 0.0,
            cooling_done_s: 0.0,
            pumped_in_frost_h: 0.0,
            flow_m_s,
            transit_s,
            covered_still_h: 0.0,
            absorber_area_m2,
            softening_c,
            full,
            skipped: first,
        };
        if let Some(hourly) = &mut book.hourly {
            for i in 0..first {
                weather_columns(hourly, plan, year, i);
                empty_row(hourly);
            }
        }
        book
    }

    /// Enters one interval.
    #[inline]
    pub(crate) fn enter(
        &mut self,
        machine: &Machine,
        at: &Interval<'_>,
        state: &State,
        outcome: &Outcome,
        pad: &Pad,
    ) {
        let h = machine.interval_s;
        self.water.evaporated_kg += outcome.evaporated_kg_s * h;
        self.water.splashed_kg += outcome.splashed_kg_s * h;
        self.water.rain_kg += outcome.rain_kg_s * h;
        self.water.overflow_kg += outcome.overflow_kg_s * h;
        self.water.make_up_kg += outcome.make_up_kg_s * h;
        self.water_sum_c += state.water_c * h;
        self.water_min_c = self.water_min_c.min(state.water_c);
        self.water_max_c = self.water_max_c.max(state.water_c);
        self.seconds += h;
        self.pump_s += outcome.pump_on_frac * h;
        self.pump_j += outcome.heating_power_w * h;
        self.other_bought_j += outcome.other_bought_w * h;
        self.cover_residual_w_m2 = self
            .cover_residual_w_m2
            .max(outcome.cover_residual_w_m2.abs());
        self.ice_peak_kg = self.ice_peak_kg.max(state.ice_kg);
        if state.ice_kg > 0.0 {
            self.ice_hours += h / 3600.0;
        }
        self.short_cycling += usize::from(outcome.short_cycling);
        self.cooling_wanted_s += f64::from(u8::from(outcome.cooling_wanted)) * h;
        self.cooling_done_s += f64::from(u8::from(outcome.cooling)) * h;
        if at.row().air_c < 0.0 {
            self.pumped_in_frost_h += outcome.pump_on_frac * h / 3600.0;
        }
        if outcome.cover_on_frac > 0.0
            && outcome.pump_on_frac <= 0.0
            && at.row().ghi_w_m2 > WARMING_SUN_W_M2
        {
            self.covered_still_h += h / 3600.0;
        }
        self.enter_heaters(machine, at, state, outcome, pad);
        self.enter_day(machine, at, state, outcome);
        if let Some(hourly) = &mut self.hourly {
            columns(hourly, at, state, outcome, machine);
            debug_assert_eq!(hourly.water_c.len(), at.index + 1, "one row an interval");
        }
    }

    #[inline]
    fn enter_heaters(
        &mut self,
        machine: &Machine,
        at: &Interval<'_>,
        state: &State,
        outcome: &Outcome,
        pad: &Pad,
    ) {
        let h = machine.interval_s;
        for (k, unit) in machine.heaters.iter().enumerate() {
            let book = &mut self.heaters[k];
            let heater = &pad.done[k];
            let plane = at.plane(unit);
            book.heat_j += heater.heat_w * h;
            book.gained_j += heater.gained_w * h;
            book.body_j += heater.body_w * h;
            let sun_w_m2 = plane.beam_w_m2 + plane.diffuse_w_m2;
            book.sun_j += sun_w_m2 * self.absorber_area_m2[k] * h;
            if heater.heat_w < 0.0 {
                book.cooled_j += heater.heat_w * h;
                if outcome.pump_on_frac <= 0.0 {
                    book.siphoned_j += heater.heat_w * h;
                } else if !outcome.cooling {
                    book.cooling_s += outcome.pump_on_frac * h;
                }
            }
            if self.full
                && sun_w_m2 > DAY_SUN_W_M2
                && sun_w_m2 >= STAGNATION_SUN_FRAC * machine.peak_sun_w_m2[k]
            {
                let weather = pad.weather[k];
                let still_c = unit.heater.stagnation_c(&weather, &state.heaters[k]);
                book.peak_stagnation_c = book.peak_stagnation_c.max(still_c);
            }
            let body_c = pad.start_body_c[k];
            if body_c.is_finite() && self.first_slug.is_none_or(|s| body_c > s.water_c) {
                let flow = machine.flow_of(k);
                let slug = unit.heater.first_slug(body_c, flow);
                self.first_slug = Some(FirstSlug {
                    water_c: slug.water_c,
                    litres: slug.litres,
                    seconds: slug.seconds,
                    at: at.row().start,
                });
            }
        }
        if outcome.outlet_c.is_finite() {
            self.peak_outlet_c = self.peak_outlet_c.max(outcome.outlet_c);
        }
    }

    #[inline]
    fn enter_day(
        &mut self,
        machine: &Machine,
        at: &Interval<'_>,
        state: &State,
        outcome: &Outcome,
    ) {
        let (row, tick) = (at.row(), at.tick());
        if self.today.as_ref().is_none_or(|d| d.index != tick.day) {
            self.close_day();
            self.today = Some(OpenDay::new(machine, tick));
        }
        let Some(today) = &mut self.today else { return };
        let hours = machine.interval_s / 3600.0;
        let day = &mut today.day;
        today.hours += hours;
        day.water_min_c = day.water_min_c.min(state.water_c);
        day.water_max_c = day.water_max_c.max(state.water_c);
        day.water_mean_c += state.water_c * hours;
        day.air_mean_c += row.air_c * hours;
        day.air_max_c = day.air_max_c.max(row.air_c);
        day.sun_kwh_m2 += row.ghi_w_m2 * hours / 1000.0;
        day.pump_h += outcome.pump_on_frac * hours;
        day.cover_h += outcome.cover_on_frac * hours;
        day.heat_kwh.add(&outcome.heat_w, hours / 1000.0);
        day.evaporated_kg += outcome.evaporated_kg_s * machine.interval_s;
        if machine.swim.at(tick) > 0.0 {
            today.swim_intervals += 1;
            // A thermostat that holds the target must not fail it by the last bit.
            let above = state.water_c > machine.too_hot_c + BAND_TOLERANCE_K;
            today.in_band &= state.water_c >= machine.target_c - BAND_TOLERANCE_K && !above;
            today.above_band |= above;
        }
    }

    fn close_day(&mut self) {
        let Some(today) = self.today.take() else {
            return;
        };
        let mut day = today.day;
        day.water_mean_c /= today.hours;
        day.air_mean_c /= today.hours;
        day.swim = day.open && today.swim_intervals > 0 && today.in_band;
        day.too_hot = day.open && today.above_band;
        self.heat_kwh.add(&day.heat_kwh, 1.0);
        self.heat_by_month_kwh[chrono::Datelike::month0(&day.date) as usize]
            .add(&day.heat_kwh, 1.0);
        self.days.push(day);
    }

    /// Closes the books.
    pub(crate) fn finish(
        mut self,
        plan: &Plan,
        year: &Prepared,
        periodic: Option<Periodic>,
    ) -> Season {
        self.close_day();
        let kwh = 1.0 / 3.6e6;
        let finite = |value: f64| value.is_finite().then_some(value);
        let swim = || self.days.iter().filter(|d| d.swim);
        let mut swim_days_by_month = [0; 12];
        for day in swim() {
            swim_days_by_month[chrono::Datelike::month0(&day.date) as usize] += 1;
        }
        let heaters: Vec<HeaterResult> = plan
            .heaters
            .iter()
            .enumerate()
            .map(|(k, heater)| {
                let book = &self.heaters[k];
                HeaterResult {
                    name: heater.name.clone(),
                    heat_kwh: book.heat_j * kwh,
                    heated_kwh: (book.heat_j - book.cooled_j) * kwh,
                    cooled_kwh: book.cooled_j * kwh,
                    siphoned_kwh: book.siphoned_j * kwh,
                    absorbed_less_lost_kwh: book.gained_j * kwh,
                    from_standing_tube_kwh: book.body_j * kwh,
                    sun_on_plane_kwh: book.sun_j * kwh,
                    cooling_h: book.cooling_s / 3600.0,
                    peak_stagnation_c: book.peak_stagnation_c,
                    absorber_area_m2: self.absorber_area_m2[k],
                }
            })
            .collect();
        let peak_stagnation_c = finite(
            heaters
                .iter()
                .map(|h| h.peak_stagnation_c)
                .fold(f64::NEG_INFINITY, f64::max),
        );
        let mut season = Season {
            swim_days: swim().count(),
            too_hot_days: self.days.iter().filter(|d| d.too_hot).count(),
            swim_days_by_month,
            first_swim_day: swim().next().map(|d| d.date),
            last_swim_day: swim().next_back().map(|d| d.date),
            heat_kwh: self.heat_kwh,
            heat_by_month_kwh: self.heat_by_month_kwh,
            water_book: self.water,
            water_min_c: self.water_min_c,
            water_mean_c: self.water_sum_c / self.seconds,
            water_max_c: self.water_max_c,
            pump_hours: self.pump_s / 3600.0,
            pump_kwh: self.pump_j * kwh,
            night_cooling_h: plan
                .pump
                .as_ref()
                .and_then(|p| p.limits.night_cooling)
                .map(|_| (self.cooling_wanted_s / 3600.0, self.cooling_done_s / 3600.0)),
            other_heater_bought_kwh: self.other_bought_j * kwh,
            peak_outlet_c: finite(self.peak_outlet_c),
            first_slug: self.first_slug,
            peak_stagnation_c,
            heaters,
            cover_residual_w_m2: self.cover_residual_w_m2,
            periodic,
            ice_peak_kg: self.ice_peak_kg,
            warnings: Vec::new(),
            hourly: self.hourly.take(),
            days: Vec::new(),
        };
        season.days = std::mem::take(&mut self.days);
        season.warnings = warnings::of(plan, year, &self, &season);
        season
    }

    /// Intervals before the run began.
    pub(crate) fn skipped(&self) -> usize {
        self.skipped
    }
}

impl OpenDay {
    fn new(machine: &Machine, tick: &Tick) -> Self {
        Self {
            index: tick.day,
            hours: 0.0,
            swim_intervals: 0,
            in_band: true,
            above_band: false,
            day: Day {
                date: tick.date,
                open: MonthDay::contains(machine.opens, machine.closes, tick.date),
                swim: false,
                too_hot: false,
                water_min_c: f64::INFINITY,
                water_mean_c: 0.0,
                water_max_c: f64::NEG_INFINITY,
                air_mean_c: 0.0,
                air_max_c: f64::NEG_INFINITY,
                sun_kwh_m2: 0.0,
                pump_h: 0.0,
                cover_h: 0.0,
                heat_kwh: Ledger::default(),
                evaporated_kg: 0.0,
            },
        }
    }
}

fn empty_columns(n: usize) -> Hourly {
    let column = || Vec::with_capacity(n);
    Hourly {
        start: Vec::with_capacity(n),
        air_c: column(),
        dew_point_c: column(),
        wind_m_s: column(),
        ghi_w_m2: column(),
        plane_w_m2: column(),
        sky_longwave_w_m2: column(),
        water_c: column(),
        outlet_c: column(),
        tube_c: column(),
        cover_c: column(),
        pump_on_frac: column(),
        cover_on_frac: column(),
        heat_w: Vec::with_capacity(n),
    }
}

fn weather_columns(hourly: &mut Hourly, plan: &Plan, year: &Prepared, i: usize) {
    let row = &year.rows[i];
    let plane = plan
        .heaters
        .first()
        .and_then(|h| year.plane_of(&h.plane, &h.obstructions));
    push_weather(
        hourly,
        row,
        plane.map_or(f64::NAN, |p| year.planes[p].rows[i].open_w_m2),
    );
}

fn push_weather(hourly: &mut Hourly, row: &crate::prepared::Row, plane_w_m2: f64) {
    hourly.start.push(row.start);
    hourly.air_c.push(row.air_c);
    hourly.dew_point_c.push(row.dew_point_c);
    hourly.wind_m_s.push(row.wind_m_s);
    hourly.ghi_w_m2.push(row.ghi_w_m2);
    hourly.plane_w_m2.push(plane_w_m2);
    hourly.sky_longwave_w_m2.push(row.sky_longwave_w_m2);
}

fn columns(
    hourly: &mut Hourly,
    at: &Interval<'_>,
    state: &State,
    outcome: &Outcome,
    machine: &Machine,
) {
    let any = !machine.heaters.is_empty();
    let if_any = |value: f64| if any { value } else { f64::NAN };
    push_weather(
        hourly,
        at.row(),
        machine
            .heaters
            .first()
            .map_or(f64::NAN, |unit| at.plane(unit).open_w_m2),
    );
    hourly.water_c.push(state.water_c);
    hourly.outlet_c.push(outcome.outlet_c);
    hourly.tube_c.push(if_any(state.heaters[0].body_c));
    hourly.cover_c.push(outcome.cover_c);
    hourly.pump_on_frac.push(outcome.pump_on_frac);
    hourly.cover_on_frac.push(outcome.cover_on_frac);
    hourly.heat_w.push(outcome.heat_w);
}

fn empty_row(hourly: &mut Hourly) {
    let none = f64::NAN;
    hourly.water_c.push(none);
    hourly.outlet_c.push(none);
    hourly.tube_c.push(none);
    hourly.cover_c.push(none);
    hourly.pump_on_frac.push(none);
    hourly.cover_on_frac.push(none);
    let mut empty = Ledger::default();
    empty.fill(none);
    hourly.heat_w.push(empty);
}
