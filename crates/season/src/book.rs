//! Writes a run down: columns, days, ledgers, hottest temperatures, warnings.

use chrono::{Datelike, NaiveDate};
use swimdays_properties::real::{Mask, Real};

use crate::machine::Machine;
use crate::prepared::Prepared;
use crate::run::Detail;
use crate::step::{Interval, Outcome, Pad, State};
use crate::warnings;
use crate::{Day, FirstSlug, HeaterResult, Hourly, Ledger, Periodic, Plan, Season, WaterBook};

/// Stagnation is looked for only when the plane gets at least this share of its strongest sun of the year:
/// a dry tube's temperature follows the sun within minutes.
const STAGNATION_SUN_FRAC: f64 = 0.7;

/// The band's ends are met within this, K: far below any thermometer, far above rounding.
const BAND_TOLERANCE_K: f64 = 1e-3;

/// Sun from which the top of still water under a cover grows warmer than its floor, W/m² (own judgement).
const WARMING_SUN_W_M2: f64 = 200.0;

/// Sun from which it is worth asking how hot a standing tube gets, W/m².
const DAY_SUN_W_M2: f64 = 100.0;

/// One day while it is being filled, and as it was filled. Until it is closed, temperatures, shares, powers and rates are summed as
/// they are, each for an interval.
#[derive(Clone, Debug)]
struct DayBook<R: Real> {
    date: NaiveDate,
    index: usize,
    open: R::Mask,
    hours: f64,
    swim_intervals: R,
    in_band: R::Mask,
    above_band: R::Mask,
    water_min_c: R,
    water_sum_c: R,
    water_max_c: R,
    air_sum_c: f64,
    air_max_c: f64,
    sun_kwh_m2: f64,
    pump_h: R,
    cover_h: R,
    heat_kwh: Ledger<R>,
    evaporated_kg: R,
    /// Once closed, 1 for yes: open, a swim day, too hot.
    closed: [R; 3],
}

/// What a heater did so far: sums of powers, irradiances and shares as they were, each for an interval.
#[derive(Clone, Copy, Debug)]
struct HeaterBook<R> {
    heat_w: R,
    gained_w: R,
    body_w: R,
    sun_w_m2: R,
    cooled_w: R,
    siphoned_w: R,
    cooling_frac: R,
    peak_stagnation_c: f64,
}

/// The sums of a run, or of one run for each lane; rates and powers are summed as they are and count for an interval each.
#[derive(Clone, Copy, Debug)]
struct Sums<R: Real> {
    heat_kwh: Ledger<R>,
    heat_by_month_kwh: [Ledger<R>; 12],
    evaporated_kg: R,
    splashed_kg_s: R,
    rain_kg_s: R,
    overflow_kg_s: R,
    make_up_kg_s: R,
    water_sum_c: R,
    water_min_c: R,
    water_max_c: R,
    pump_s: R,
    pump_w: R,
    other_bought_w: R,
    peak_outlet_c: R,
    /// The hottest water that a start pushed out, which heater's, and in which interval.
    slug_c: R,
    slug_heater: R,
    slug_index: R,
    cover_residual_w_m2: R,
    ice_peak_kg: R,
    ice_hours: R,
    short_cycling: R,
    cooling_wanted_s: R,
    cooling_done_s: R,
    pumped_in_frost_h: R,
    covered_still_h: R,
}

/// The books of a run, or of one run for each lane.
pub(crate) struct Book<R: Real = f64> {
    hourly: Option<Hourly>,
    days: Vec<DayBook<R>>,
    today: Option<DayBook<R>>,
    sums: Sums<R>,
    heaters: Vec<HeaterBook<R>>,
    seconds: f64,
    interval_s: f64,
    /// The first row of the run.
    first: usize,
}

/// What the warnings ask of the books of one run.
pub(crate) struct Marks {
    pub skipped: usize,
    pub ice_hours: f64,
    pub ice_peak_kg: f64,
    pub short_cycling: usize,
    pub pumped_in_frost_h: f64,
    pub covered_still_h: f64,
    /// Speed in the tubes, time in them and temperature at which they soften, of each heater.
    pub flow_m_s: Vec<f64>,
    pub transit_s: Vec<f64>,
    pub softening_c: Vec<Option<f64>>,
}

impl<R: Real> Book<R> {
    pub(crate) fn new(
        plan: &Plan,
        machine: &Machine<R>,
        year: &Prepared,
        detail: Detail,
        first: usize,
    ) -> Self {
        let zero = machine.like(0.0);
        let lowest = machine.like(f64::NEG_INFINITY);
        let none = Ledger::all(zero);
        let mut hourly = (detail == Detail::Full).then(|| empty_columns(year.rows.len()));
        if let Some(hourly) = &mut hourly {
            for i in 0..first {
                weather_columns(hourly, plan, year, i);
                empty_row(hourly);
            }
        }
        Self {
            hourly,
            days: Vec::with_capacity(machine.open.len()),
            today: None,
            sums: Sums {
                heat_kwh: none,
                heat_by_month_kwh: [none; 12],
                evaporated_kg: zero,
                splashed_kg_s: zero,
                rain_kg_s: zero,
                overflow_kg_s: zero,
                make_up_kg_s: zero,
                water_sum_c: zero,
                water_min_c: machine.like(f64::INFINITY),
                water_max_c: lowest,
                pump_s: zero,
                pump_w: zero,
                other_bought_w: zero,
                peak_outlet_c: lowest,
                slug_c: lowest,
                slug_heater: zero,
                slug_index: zero,
                cover_residual_w_m2: zero,
                ice_peak_kg: zero,
                ice_hours: zero,
                short_cycling: zero,
                cooling_wanted_s: zero,
                cooling_done_s: zero,
                pumped_in_frost_h: zero,
                covered_still_h: zero,
            },
            heaters: vec![
                HeaterBook {
                    heat_w: zero,
                    gained_w: zero,
                    body_w: zero,
                    sun_w_m2: zero,
                    cooled_w: zero,
                    siphoned_w: zero,
                    cooling_frac: zero,
                    peak_stagnation_c: f64::NEG_INFINITY,
                };
                machine.heaters.len()
            ],
            seconds: 0.0,
            interval_s: machine.interval_s,
            first,
        }
    }

    /// Enters one interval.
    #[inline(always)]
    pub(crate) fn enter(
        &mut self,
        machine: &Machine<R>,
        at: &Interval<'_>,
        state: &State<R>,
        outcome: &Outcome<R>,
        pad: &Pad<R>,
    ) {
        let h = machine.interval_s;
        let hours = h / 3600.0;
        let zero = machine.like(0.0);
        let sums = &mut self.sums;
        sums.splashed_kg_s += outcome.splashed_kg_s;
        sums.rain_kg_s += outcome.rain_kg_s;
        sums.overflow_kg_s += outcome.overflow_kg_s;
        sums.make_up_kg_s += outcome.make_up_kg_s;
        self.seconds += h;
        sums.pump_w += outcome.heating_power_w;
        sums.other_bought_w += outcome.other_bought_w;
        sums.cover_residual_w_m2 = sums
            .cover_residual_w_m2
            .or_at_least(outcome.cover_residual_w_m2.size());
        let icy = state.ice_kg.is_above(zero);
        if icy.any() {
            sums.ice_peak_kg = sums.ice_peak_kg.or_at_least(state.ice_kg);
            sums.ice_hours += R::select(icy, machine.like(hours), zero);
        }
        if outcome.short_cycling.any() {
            sums.short_cycling += R::select(outcome.short_cycling, machine.like(1.0), zero);
        }
        if outcome.cooling_wanted.any() {
            let h = machine.like(h);
            sums.cooling_wanted_s += R::select(outcome.cooling_wanted, h, zero);
            sums.cooling_done_s += R::select(outcome.cooling, h, zero);
        }
        let row = at.row();
        if row.air_c < 0.0 {
            sums.pumped_in_frost_h += outcome.pump_on_frac * hours;
        }
        if row.ghi_w_m2 > WARMING_SUN_W_M2 {
            let still =
                outcome.cover_on_frac.is_above(zero) & outcome.pump_on_frac.is_at_most(zero);
            sums.covered_still_h += R::select(still, machine.like(hours), zero);
        }
        self.enter_heaters(machine, at, state, outcome, pad);
        self.enter_day(machine, at, state, outcome);
        if let Some(hourly) = &mut self.hourly {
            columns(hourly, at, state, outcome, machine);
            debug_assert_eq!(hourly.water_c.len(), at.index + 1, "one row an interval");
        }
    }

    #[inline(always)]
    fn enter_heaters(
        &mut self,
        machine: &Machine<R>,
        at: &Interval<'_>,
        state: &State<R>,
        outcome: &Outcome<R>,
        pad: &Pad<R>,
    ) {
        let zero = machine.like(0.0);
        let runs = outcome.pump_on_frac.is_above(zero);
        let sums = &mut self.sums;
        for (k, unit) in machine.heaters.iter().enumerate() {
            let book = &mut self.heaters[k];
            let heater = &pad.done[k];
            let weather = &pad.hours[k].weather;
            let sun_w_m2 = weather.beam_w_m2 + weather.diffuse_w_m2;
            book.sun_w_m2 += sun_w_m2;
            if !is_zero(heater) {
                book.heat_w += heater.heat_w;
                book.gained_w += heater.gained_w;
                book.body_w += heater.body_w;
                let cools = heater.heat_w.is_below(zero);
                if cools.any() {
                    let cooled_w = R::select(cools, heater.heat_w, zero);
                    book.cooled_w += cooled_w;
                    book.siphoned_w += R::select(runs, zero, cooled_w);
                    let unwanted = cools & runs & !outcome.cooling;
                    book.cooling_frac += R::select(unwanted, outcome.pump_on_frac, zero);
                }
            }
            if self.hourly.is_some() {
                let sun_w_m2 = sun_w_m2.lane(0);
                let peak_w_m2 = at.year.planes[unit.planes[0]].peak_w_m2;
                if sun_w_m2 > DAY_SUN_W_M2 && sun_w_m2 >= STAGNATION_SUN_FRAC * peak_w_m2 {
                    let tube = state.heaters[k].lane(0);
                    let still_c = unit.alone[0].stagnation_c(&weather.lane(0), &tube);
                    book.peak_stagnation_c = book.peak_stagnation_c.max(still_c);
                }
            }
            let body_c = pad.start_body_c[k];
            let hotter = body_c.is_above(sums.slug_c);
            if hotter.any() {
                #[allow(clippy::cast_precision_loss, reason = "rows of a year, a few heaters")]
                let (index, heater) = (at.index as f64, k as f64);
                sums.slug_c = R::select(hotter, body_c, sums.slug_c);
                sums.slug_index = R::select(hotter, machine.like(index), sums.slug_index);
                sums.slug_heater = R::select(hotter, machine.like(heater), sums.slug_heater);
            }
        }
        if runs.any() {
            let hotter = outcome.outlet_c.is_above(sums.peak_outlet_c);
            sums.peak_outlet_c = R::select(hotter, outcome.outlet_c, sums.peak_outlet_c);
        }
    }

    #[inline(always)]
    fn enter_day(
        &mut self,
        machine: &Machine<R>,
        at: &Interval<'_>,
        state: &State<R>,
        outcome: &Outcome<R>,
    ) {
        let (row, tick) = (at.row(), at.tick());
        if self.today.as_ref().is_none_or(|d| d.index != tick.day) {
            self.close_day();
            self.today = Some(DayBook::new(machine, tick.date, tick.day));
        }
        let Some(today) = &mut self.today else { return };
        let hours = machine.interval_s / 3600.0;
        today.hours += hours;
        today.water_min_c = today.water_min_c.or_at_most(state.water_c);
        today.water_max_c = today.water_max_c.or_at_least(state.water_c);
        today.water_sum_c += state.water_c;
        today.air_sum_c += row.air_c * hours;
        today.air_max_c = today.air_max_c.max(row.air_c);
        today.sun_kwh_m2 += row.ghi_w_m2 * hours / 1000.0;
        today.pump_h += outcome.pump_on_frac;
        today.cover_h += outcome.cover_on_frac;
        today.heat_kwh.plus(&outcome.heat_w);
        today.evaporated_kg += outcome.evaporated_kg_s;
        let zero = machine.like(0.0);
        let swims = machine.swim.at(tick).is_above(zero);
        if swims.any() {
            today.swim_intervals += R::select(swims, machine.like(1.0), zero);
            // A thermostat that holds the target must not fail it by the last bit.
            let above = state.water_c.is_above(machine.too_hot_c + BAND_TOLERANCE_K);
            let warm = state
                .water_c
                .is_at_least(machine.target_c - BAND_TOLERANCE_K);
            today.in_band = today.in_band & (!swims | (warm & !above));
            today.above_band = today.above_band | (swims & above);
        }
    }

    /// Closes the day that is being filled, if there is one.
    #[inline(always)]
    pub(crate) fn close_day(&mut self) {
        let Some(mut day) = self.today.take() else {
            return;
        };
        let (none, one) = (day.water_sum_c.like(0.0), day.water_sum_c.like(1.0));
        let swim = day.open & day.in_band & day.swim_intervals.is_above(none);
        let too_hot = day.open & day.above_band;
        day.closed = [
            R::select(day.open, one, none),
            R::select(swim, one, none),
            R::select(too_hot, one, none),
        ];
        let hours = self.interval_s / 3600.0;
        day.water_sum_c *= one * hours;
        day.pump_h *= one * hours;
        day.cover_h *= one * hours;
        day.heat_kwh.scale(hours / 1000.0);
        day.evaporated_kg *= one * self.interval_s;
        let sums = &mut self.sums;
        sums.heat_kwh.plus(&day.heat_kwh);
        sums.heat_by_month_kwh[day.date.month0() as usize].plus(&day.heat_kwh);
        sums.evaporated_kg += day.evaporated_kg;
        sums.water_sum_c += day.water_sum_c;
        sums.water_min_c = sums.water_min_c.or_at_most(day.water_min_c);
        sums.water_max_c = sums.water_max_c.or_at_least(day.water_max_c);
        sums.pump_s += day.pump_h * 3600.0;
        self.days.push(day);
    }

    /// The season of `lane`, a run of `plan`, once the last day is closed.
    pub(crate) fn finish(
        &mut self,
        lane: usize,
        plan: &Plan,
        machine: &Machine,
        year: &Prepared,
        periodic: Option<Periodic>,
    ) -> Season {
        let sums = self.sums.lane(lane);
        let days: Vec<Day> = self.days.iter().map(|day| day.lane(lane)).collect();
        let kwh = 1.0 / 3.6e6;
        let finite = |value: f64| value.is_finite().then_some(value);
        let swim = || days.iter().filter(|d| d.swim);
        let mut swim_days_by_month = [0; 12];
        for day in swim() {
            swim_days_by_month[day.date.month0() as usize] += 1;
        }
        let heaters: Vec<HeaterResult> = plan
            .heaters
            .iter()
            .zip(&self.heaters)
            .zip(&machine.heaters)
            .map(|((heater, book), unit)| {
                let each_kwh = self.interval_s * kwh;
                let heat_kwh = book.heat_w.lane(lane) * each_kwh;
                let cooled_kwh = book.cooled_w.lane(lane) * each_kwh;
                HeaterResult {
                    name: heater.name.clone(),
                    heat_kwh,
                    heated_kwh: heat_kwh - cooled_kwh,
                    cooled_kwh,
                    siphoned_kwh: book.siphoned_w.lane(lane) * each_kwh,
                    absorbed_less_lost_kwh: book.gained_w.lane(lane) * each_kwh,
                    from_standing_tube_kwh: book.body_w.lane(lane) * each_kwh,
                    sun_on_plane_kwh: book.sun_w_m2.lane(lane) * unit.absorber_area_m2 * each_kwh,
                    cooling_h: book.cooling_frac.lane(lane) * self.interval_s / 3600.0,
                    peak_stagnation_c: book.peak_stagnation_c,
                    absorber_area_m2: unit.absorber_area_m2,
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
            too_hot_days: days.iter().filter(|d| d.too_hot).count(),
            swim_days_by_month,
            first_swim_day: swim().next().map(|d| d.date),
            last_swim_day: swim().next_back().map(|d| d.date),
            heat_kwh: sums.heat_kwh,
            heat_by_month_kwh: sums.heat_by_month_kwh,
            water_book: WaterBook {
                evaporated_kg: sums.evaporated_kg,
                splashed_kg: sums.splashed_kg_s * self.interval_s,
                rain_kg: sums.rain_kg_s * self.interval_s,
                overflow_kg: sums.overflow_kg_s * self.interval_s,
                make_up_kg: sums.make_up_kg_s * self.interval_s,
            },
            water_min_c: sums.water_min_c,
            water_mean_c: sums.water_sum_c * 3600.0 / self.seconds,
            water_max_c: sums.water_max_c,
            pump_hours: sums.pump_s / 3600.0,
            pump_kwh: sums.pump_w * self.interval_s * kwh,
            night_cooling_h: plan
                .pump
                .as_ref()
                .and_then(|p| p.limits.night_cooling)
                .map(|_| (sums.cooling_wanted_s / 3600.0, sums.cooling_done_s / 3600.0)),
            other_heater_bought_kwh: sums.other_bought_w * self.interval_s * kwh,
            peak_outlet_c: finite(sums.peak_outlet_c),
            first_slug: first_slug(&sums, machine, year),
            peak_stagnation_c,
            heaters,
            cover_residual_w_m2: sums.cover_residual_w_m2,
            periodic,
            ice_peak_kg: sums.ice_peak_kg,
            warnings: Vec::new(),
            hourly: self.hourly.take(),
            days,
        };
        let marks = Marks::new(&sums, machine, self.first);
        season.warnings = warnings::of(plan, year, &marks, &season);
        season
    }
}

impl Marks {
    fn new(sums: &Sums<f64>, machine: &Machine, skipped: usize) -> Self {
        let units = machine.heaters.iter();
        Self {
            skipped,
            ice_hours: sums.ice_hours,
            ice_peak_kg: sums.ice_peak_kg,
            short_cycling: whole(sums.short_cycling),
            pumped_in_frost_h: sums.pumped_in_frost_h,
            covered_still_h: sums.covered_still_h,
            flow_m_s: units
                .clone()
                .enumerate()
                .map(|(k, unit)| {
                    let film = unit.alone[0].inside_film(machine.flow_of(k));
                    film.map_or(0.0, |f| f.velocity_m_s)
                })
                .collect(),
            transit_s: units.clone().map(|unit| unit.transit_s).collect(),
            softening_c: units.map(|unit| unit.alone[0].softening_c()).collect(),
        }
    }
}

/// A count that was kept as a number.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count of intervals, of days or of heaters"
)]
fn whole(count: f64) -> usize {
    count.round().max(0.0) as usize
}

fn first_slug(sums: &Sums<f64>, machine: &Machine, year: &Prepared) -> Option<FirstSlug> {
    if !sums.slug_c.is_finite() {
        return None;
    }
    let heater = whole(sums.slug_heater);
    let unit = machine.heaters.get(heater)?;
    let slug = unit.alone[0].first_slug(sums.slug_c, machine.flow_of(heater));
    Some(FirstSlug {
        water_c: slug.water_c,
        litres: slug.litres,
        seconds: slug.seconds,
        at: year.rows.get(whole(sums.slug_index))?.start,
    })
}

/// Whether a heater did nothing in any lane.
#[inline(always)]
fn is_zero<R: Real>(heater: &crate::step::HeaterOutcome<R>) -> bool {
    let zero = heater.heat_w.like(0.0);
    let heat = heater.heat_w.is_below(zero) | heater.heat_w.is_above(zero);
    let gained = heater.gained_w.is_below(zero) | heater.gained_w.is_above(zero);
    !(heat | gained).any()
}

impl<R: Real> Sums<R> {
    fn lane(&self, lane: usize) -> Sums<f64> {
        Sums {
            heat_kwh: self.heat_kwh.lane(lane),
            heat_by_month_kwh: self.heat_by_month_kwh.map(|month| month.lane(lane)),
            evaporated_kg: self.evaporated_kg.lane(lane),
            splashed_kg_s: self.splashed_kg_s.lane(lane),
            rain_kg_s: self.rain_kg_s.lane(lane),
            overflow_kg_s: self.overflow_kg_s.lane(lane),
            make_up_kg_s: self.make_up_kg_s.lane(lane),
            water_sum_c: self.water_sum_c.lane(lane),
            water_min_c: self.water_min_c.lane(lane),
            water_max_c: self.water_max_c.lane(lane),
            pump_s: self.pump_s.lane(lane),
            pump_w: self.pump_w.lane(lane),
            other_bought_w: self.other_bought_w.lane(lane),
            peak_outlet_c: self.peak_outlet_c.lane(lane),
            slug_c: self.slug_c.lane(lane),
            slug_heater: self.slug_heater.lane(lane),
            slug_index: self.slug_index.lane(lane),
            cover_residual_w_m2: self.cover_residual_w_m2.lane(lane),
            ice_peak_kg: self.ice_peak_kg.lane(lane),
            ice_hours: self.ice_hours.lane(lane),
            short_cycling: self.short_cycling.lane(lane),
            cooling_wanted_s: self.cooling_wanted_s.lane(lane),
            cooling_done_s: self.cooling_done_s.lane(lane),
            pumped_in_frost_h: self.pumped_in_frost_h.lane(lane),
            covered_still_h: self.covered_still_h.lane(lane),
        }
    }
}

impl<R: Real> DayBook<R> {
    #[inline(always)]
    fn new(machine: &Machine<R>, date: NaiveDate, index: usize) -> Self {
        let zero = machine.like(0.0);
        Self {
            date,
            index,
            open: machine.open[index],
            hours: 0.0,
            swim_intervals: zero,
            in_band: zero.mask_like(true),
            above_band: zero.mask_like(false),
            water_min_c: machine.like(f64::INFINITY),
            water_sum_c: zero,
            water_max_c: machine.like(f64::NEG_INFINITY),
            air_sum_c: 0.0,
            air_max_c: f64::NEG_INFINITY,
            sun_kwh_m2: 0.0,
            pump_h: zero,
            cover_h: zero,
            heat_kwh: Ledger::all(zero),
            evaporated_kg: zero,
            closed: [zero; 3],
        }
    }

    fn lane(&self, lane: usize) -> Day {
        let [open, swim, too_hot] = self.closed.map(|yes| yes.lane(lane) > 0.5);
        Day {
            date: self.date,
            open,
            swim,
            too_hot,
            water_min_c: self.water_min_c.lane(lane),
            water_mean_c: self.water_sum_c.lane(lane) / self.hours,
            water_max_c: self.water_max_c.lane(lane),
            air_mean_c: self.air_sum_c / self.hours,
            air_max_c: self.air_max_c,
            sun_kwh_m2: self.sun_kwh_m2,
            pump_h: self.pump_h.lane(lane),
            cover_h: self.cover_h.lane(lane),
            heat_kwh: self.heat_kwh.lane(lane),
            evaporated_kg: self.evaporated_kg.lane(lane),
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

fn columns<R: Real>(
    hourly: &mut Hourly,
    at: &Interval<'_>,
    state: &State<R>,
    outcome: &Outcome<R>,
    machine: &Machine<R>,
) {
    let first = machine.heaters.first();
    let plane = first.map(|unit| &at.year.planes[unit.planes[0]].rows[at.index]);
    push_weather(hourly, at.row(), plane.map_or(f64::NAN, |p| p.open_w_m2));
    let tube_c = state.heaters.first().map(|tube| tube.body_c.lane(0));
    hourly.water_c.push(state.water_c.lane(0));
    hourly.outlet_c.push(outcome.outlet_c.lane(0));
    hourly.tube_c.push(tube_c.unwrap_or(f64::NAN));
    hourly.cover_c.push(outcome.cover_c.lane(0));
    hourly.pump_on_frac.push(outcome.pump_on_frac.lane(0));
    hourly.cover_on_frac.push(outcome.cover_on_frac.lane(0));
    hourly.heat_w.push(outcome.heat_w.lane(0));
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
