//! The object of `summary.json`: what a season says, in one place.
//!
//! Every number shown anywhere else (terminal, page) comes from here. SI units, as the names say; absent values
//! are `null`; heat is signed, into the water positive.

use std::io::Write;

use serde::Serialize;
use swimdays_season::{Ledger, OtherHeaterKind, Plan, Season};
use swimdays_weather::{WeatherYear, YearKind};

use crate::caution::{Caution, cautions};
use crate::over_years::OverYears;
use crate::years::{NormalsSummary, WeatherYearDays};
use crate::{ReportError, Units};

/// What a [`Summary`] is made from.
#[derive(Clone, Debug)]
pub struct SummaryInput<'a> {
    /// What was stepped.
    pub plan: &'a Plan,
    /// Through which weather: of several years the one in the middle.
    pub weather: &'a WeatherYear,
    /// Each year's own answer.
    pub years: &'a [WeatherYearDays],
    /// What is to be told when the weather was made from monthly normals.
    pub normals: Option<NormalsSummary>,
    /// What is wrong with the years as a set.
    pub warnings: &'a [WarningSummary],
    /// What came of it.
    pub season: &'a Season,
    /// How sure the number of swim days is.
    pub range: Option<&'a DayRange>,
    /// Days of the bare pool and with each measure alone; may be empty.
    pub measures: &'a [MeasureDays],
    /// Units shown to people.
    pub units: Units,
    /// Version of the program.
    pub program_version: &'a str,
}

/// How sure a number of days is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DayRange {
    /// 10 % of the draws have fewer.
    pub low: usize,
    /// 10 % of the draws have more.
    pub high: usize,
    /// How many draws.
    pub draws: usize,
    /// A sentence that says how it was found.
    pub method: String,
}

/// Days with one measure alone, or with none.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct MeasureDays {
    /// `bare`, `cover`, a heater's name, or `ordinary heater`.
    pub name: String,
    /// Swim days.
    pub swim_days: usize,
    /// Too-hot days.
    pub too_hot_days: usize,
}

/// Heat by cause over the run, kWh; the causes sum to `stored_change`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[allow(
    missing_docs,
    reason = "the names are those of `swimdays_season::Ledger`, with its words"
)]
pub struct EnergySummary<T = f64> {
    pub sun_on_water: T,
    pub heaters: T,
    pub other_heater: T,
    pub pump_heat: T,
    pub rain: T,
    pub evaporation: T,
    pub convection: T,
    pub longwave: T,
    pub ground: T,
    pub walls: T,
    pub make_up_water: T,
    pub stored_change: T,
}

impl<T> EnergySummary<T> {
    /// What `value` makes of each cause.
    pub(crate) fn of_each(value: impl Fn(fn(&EnergySummary) -> f64) -> T) -> Self {
        Self {
            sun_on_water: value(|e| e.sun_on_water),
            heaters: value(|e| e.heaters),
            other_heater: value(|e| e.other_heater),
            pump_heat: value(|e| e.pump_heat),
            rain: value(|e| e.rain),
            evaporation: value(|e| e.evaporation),
            convection: value(|e| e.convection),
            longwave: value(|e| e.longwave),
            ground: value(|e| e.ground),
            walls: value(|e| e.walls),
            make_up_water: value(|e| e.make_up_water),
            stored_change: value(|e| e.stored_change),
        }
    }
}

impl From<&Ledger> for EnergySummary {
    fn from(l: &Ledger) -> Self {
        Self {
            sun_on_water: l.sun_on_water,
            heaters: l.heaters,
            other_heater: l.other_heater,
            pump_heat: l.pump_heat,
            rain: l.rain,
            evaporation: l.evaporation,
            convection: l.convection,
            longwave: l.longwave,
            ground: l.ground,
            walls: l.walls,
            make_up_water: l.make_up_water,
            stored_change: l.stored_change,
        }
    }
}

/// Lowest, mean and highest.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Span<T = f64> {
    /// Lowest.
    pub min: T,
    /// Mean.
    pub mean: T,
    /// Highest.
    pub max: T,
}

/// The worst first slug.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SlugSummary {
    /// Its temperature, °C.
    pub water_c: f64,
    /// How much there is of it.
    pub litres: f64,
    /// How long it runs.
    pub seconds: f64,
    /// Start of the interval, local standard time.
    pub at: String,
}

/// Which way a heater lies.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PlaneSummary {
    /// Degrees from horizontal.
    pub tilt_deg: f64,
    /// Degrees clockwise from true north.
    pub azimuth_deg: f64,
}

/// What one heater did.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HeaterSummary {
    /// Its name.
    pub name: String,
    /// How it lies.
    pub plane: Option<PlaneSummary>,
    /// Absorber area, m².
    pub absorber_area_m2: f64,
    /// Heat into the water less heat taken from it, kWh.
    pub heat_kwh: f64,
    /// Heat into the water in hours in which it warmed, kWh.
    pub heated_kwh: f64,
    /// Heat taken from the water in hours in which it cooled, wanted or not, kWh; not above 0.
    pub cooled_kwh: f64,
    /// Of that, what it took by itself while the pump stood, kWh; not above 0.
    pub siphoned_kwh: f64,
    /// Sun on its plane over the run, kWh.
    pub sun_on_plane_kwh: f64,
    /// Hours in which running it cooled the water.
    pub cooling_h: f64,
    /// Hottest tube without flow, °C.
    pub peak_stagnation_c: f64,
}

/// Water by cause over the run, m³ (at 1000 kg/m³).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct WaterSummary {
    /// Evaporated.
    pub evaporated: f64,
    /// Splash and backwash.
    pub splashed: f64,
    /// Rain.
    pub rain: f64,
    /// Over the edge.
    pub overflow: f64,
    /// Put in.
    pub make_up: f64,
}

/// The weather used.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WeatherSummary {
    /// Name as the file has it.
    pub place: String,
    /// Format it was read from.
    pub format: String,
    /// `typical` or `measured`.
    pub kind: &'static str,
    /// North positive.
    pub latitude_deg: f64,
    /// East positive.
    pub longitude_deg: f64,
    /// Local standard time minus UTC, hours.
    pub utc_offset_h: f64,
    /// Above the sea, m.
    pub altitude_m: f64,
    /// Length of an interval.
    pub interval_minutes: u32,
    /// What was filled, derived, not given or looks doubtful.
    pub notes: Vec<WeatherNote>,
}

/// One thing to know about the weather.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WeatherNote {
    /// `filled`, `derived`, `not given` or `doubtful`.
    pub kind: &'static str,
    /// Which column of the weather it is about.
    pub column: &'static str,
    /// How many intervals it concerns.
    pub intervals: usize,
    /// A sentence.
    pub text: String,
}

/// A value that nobody gave.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct AssumptionSummary {
    /// Path in the scenario.
    pub key: String,
    /// What was taken.
    pub value: String,
    /// Where that comes from.
    pub source: String,
}

/// Something to know about the run.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WarningSummary {
    /// Short stable name.
    pub kind: &'static str,
    /// How many intervals or days it concerns.
    pub count: usize,
    /// A sentence.
    pub text: String,
}

/// When and how warm people swim.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SwimSummary {
    /// Coldest water one swims in.
    pub target_c: f64,
    /// Hottest water one swims in.
    pub too_hot_c: f64,
    /// Swim hours, wall clock: start.
    pub from_h: f64,
    /// Swim hours, wall clock: end.
    pub to_h: f64,
}

/// The models chosen.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ModelSummary {
    /// Evaporation.
    pub evaporation: String,
    /// Sky diffuse on a tilted plane.
    pub sky_on_plane: String,
}

/// Who made this.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ProgramSummary {
    /// `swimdays`.
    pub name: &'static str,
    /// Its version.
    pub version: String,
}

/// What the season says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Summary {
    /// Who made this.
    pub program: ProgramSummary,
    /// Name of the scenario.
    pub scenario: String,
    /// Units shown to people (`us` or `metric`); the values here are SI all the same.
    pub units: &'static str,
    /// The weather used; of several years the one with the middle number of swim days.
    pub weather: WeatherSummary,
    /// Every weather year with its own answer.
    pub weather_years: Vec<WeatherYearDays>,
    /// The middle and the range of all but swim days over several years; `null` for one.
    pub over_years: Option<OverYears>,
    /// What was known when the weather was made from monthly normals; else `null`.
    pub weather_normals: Option<NormalsSummary>,
    /// When and how warm people swim.
    pub swim: SwimSummary,
    /// Days on which one can swim.
    pub swim_days: usize,
    /// One in ten draws has fewer.
    pub swim_days_low: Option<usize>,
    /// One in ten draws has more.
    pub swim_days_high: Option<usize>,
    /// How that was found.
    pub range_method: Option<String>,
    /// How many draws it took.
    pub range_draws: Option<usize>,
    /// Days on which it is too hot.
    pub too_hot_days: usize,
    /// ISO date.
    pub first_swim_day: Option<String>,
    /// ISO date.
    pub last_swim_day: Option<String>,
    /// Days on which the pool is open.
    pub open_days: usize,
    /// Days of the run, open or closed.
    pub days: usize,
    /// Twelve numbers, January first, whenever the swim year starts.
    pub swim_days_by_month: [usize; 12],
    /// The bare pool and each measure alone.
    pub measures: Vec<MeasureDays>,
    /// Heat by cause.
    pub energy_kwh: EnergySummary,
    /// The same over the days on which the pool is open: when the heat matters.
    pub energy_open_kwh: EnergySummary,
    /// Sum of the causes less what was stored.
    pub closure_residual_kwh: f64,
    /// Water by cause.
    pub water_m3: WaterSummary,
    /// Water temperature.
    pub water_c: Span,
    /// Hours of pumping through the heaters.
    pub pump_hours: f64,
    /// Electricity that heating adds.
    pub pump_kwh: f64,
    /// What that costs; `null` without a price.
    pub pump_cost: Option<f64>,
    /// Energy bought for the ordinary heater.
    pub other_heater_bought_kwh: f64,
    /// What that costs; `null` without a price or without such a heater.
    pub other_heater_cost: Option<f64>,
    /// Sign or code put before an amount.
    pub currency: String,
    /// Hottest water out of the heaters while running.
    pub peak_outlet_c: Option<f64>,
    /// The worst first slug's temperature.
    pub first_slug_c: Option<f64>,
    /// The worst first slug.
    pub first_slug: Option<SlugSummary>,
    /// The hottest stagnant tube.
    pub peak_stagnation_c: Option<f64>,
    /// How the first heater lies.
    pub plane: Option<PlaneSummary>,
    /// Heater by heater.
    pub heaters: Vec<HeaterSummary>,
    /// The models chosen.
    pub models: ModelSummary,
    /// Values that nobody gave.
    pub assumptions: Vec<AssumptionSummary>,
    /// What to know about the run, the most telling first.
    pub warnings: Vec<WarningSummary>,
    /// What can hurt someone, the most pressing first.
    pub cautions: Vec<Caution>,
    /// Who decides.
    pub cautions_note: &'static str,
    /// Whether cooling at night was asked for.
    pub night_cooling: bool,
    /// For the terminal; not written.
    #[serde(skip)]
    pub(crate) shown_in: Units,
}

impl Summary {
    /// Gathers the summary.
    #[must_use]
    pub fn new(input: &SummaryInput<'_>) -> Self {
        let SummaryInput {
            plan,
            weather,
            years,
            ref normals,
            warnings: more,
            season,
            range,
            measures,
            units,
            program_version,
        } = *input;
        let heaters = heaters(plan, season);
        let slug = season.first_slug.as_ref().map(|s| SlugSummary {
            water_c: s.water_c,
            litres: s.litres,
            seconds: s.seconds,
            at: s.at.format("%Y-%m-%dT%H:%M").to_string(),
        });
        let book = &season.water_book;
        Self {
            program: ProgramSummary {
                name: "swimdays",
                version: program_version.to_owned(),
            },
            scenario: plan.name.clone(),
            units: units.name(),
            weather: weather_summary(weather),
            weather_years: years.to_vec(),
            over_years: OverYears::new(years, weather.place.latitude_deg < 0.0),
            weather_normals: normals.clone(),
            swim: SwimSummary {
                target_c: plan.swim.target_c,
                too_hot_c: plan.swim.too_hot_c,
                from_h: plan.swim.from_h,
                to_h: plan.swim.to_h,
            },
            swim_days: season.swim_days,
            swim_days_low: range.map(|r| r.low),
            swim_days_high: range.map(|r| r.high),
            range_method: range.map(|r| r.method.clone()),
            range_draws: range.map(|r| r.draws),
            too_hot_days: season.too_hot_days,
            first_swim_day: season.first_swim_day.map(|d| d.to_string()),
            last_swim_day: season.last_swim_day.map(|d| d.to_string()),
            open_days: season.days.iter().filter(|d| d.open).count(),
            days: season.days.len(),
            swim_days_by_month: season.swim_days_by_month,
            measures: measures.to_vec(),
            energy_kwh: EnergySummary::from(&season.heat_kwh),
            energy_open_kwh: EnergySummary::from(&open_heat(season)),
            closure_residual_kwh: season.heat_kwh.residual(),
            water_m3: WaterSummary {
                evaporated: book.evaporated_kg / 1000.0,
                splashed: book.splashed_kg / 1000.0,
                rain: book.rain_kg / 1000.0,
                overflow: book.overflow_kg / 1000.0,
                make_up: book.make_up_kg / 1000.0,
            },
            water_c: Span {
                min: season.water_min_c,
                mean: season.water_mean_c,
                max: season.water_max_c,
            },
            pump_hours: season.pump_hours,
            pump_kwh: season.pump_kwh,
            pump_cost: pump_cost(plan, season),
            other_heater_bought_kwh: season.other_heater_bought_kwh,
            other_heater_cost: other_heater_cost(plan, season),
            currency: plan.prices.currency.clone(),
            peak_outlet_c: season.peak_outlet_c,
            first_slug_c: slug.as_ref().map(|s| s.water_c),
            first_slug: slug,
            peak_stagnation_c: season.peak_stagnation_c,
            plane: plan
                .heaters
                .first()
                .map(|h| plane(h.plane.tilt_deg, h.plane.azimuth_deg)),
            heaters,
            models: ModelSummary {
                evaporation: plan.pool.evaporation.name().to_owned(),
                sky_on_plane: plan.models.transposition.name().to_owned(),
            },
            assumptions: plan
                .assumptions
                .iter()
                .map(|a| AssumptionSummary {
                    key: a.key.clone(),
                    value: a.value.clone(),
                    source: a.source.clone(),
                })
                .collect(),
            warnings: warnings(season, more, years.len() > 1, units),
            cautions: cautions(plan, season, units),
            cautions_note: crate::caution::DEFERENCE,
            night_cooling: season.night_cooling_h.is_some(),
            shown_in: units,
        }
    }

    /// Writes the summary as JSON, ending with a line break. Numbers that do not exist are `null`.
    ///
    /// # Errors
    /// [`ReportError::Json`] when writing fails.
    pub fn write_json<W: Write>(&self, mut out: W) -> Result<(), ReportError> {
        serde_json::to_writer_pretty(&mut out, self)?;
        out.write_all(b"\n").map_err(serde_json::Error::io)?;
        Ok(())
    }
}

/// Warnings that put the whole answer in doubt: they stand right below it.
pub(crate) const DOUBTS: [&str; 4] = [
    "weather_not_good",
    "sun_and_clock",
    "places_differ",
    "weather_ends",
];

/// After those: what hurts, what costs swim days or does the opposite of what it should.
const PRESSING: [&str; 10] = [
    "boils",
    "tube_softens",
    "too_hot",
    "faces_away",
    "heater_cools",
    "night_cooling_idle",
    "siphon_loss",
    "short_cycling",
    "flow_fast",
    "pumps_in_frost",
];

/// Last: what every winter, every cover and every measured year has.
const LAST: [&str; 3] = ["ice", "layers", "measured_year"];

/// The most telling first; kinds not named here in the middle, in the run's own order. One of several years is not told
/// to be but one.
fn warnings(
    season: &Season,
    more: &[WarningSummary],
    several: bool,
    units: Units,
) -> Vec<WarningSummary> {
    let rank = |kind: &str| {
        let first = DOUBTS.iter().chain(&PRESSING);
        let middle = DOUBTS.len() + PRESSING.len();
        let last = LAST.iter().position(|k| *k == kind);
        first
            .clone()
            .position(|k| *k == kind)
            .unwrap_or_else(|| last.map_or(middle, |l| middle + 1 + l))
    };
    let mut out: Vec<_> = season
        .warnings
        .iter()
        .filter(|w| !(several && w.kind == "measured_year"))
        .map(|w| WarningSummary {
            kind: w.kind,
            count: w.count,
            text: w.text.in_units(units),
        })
        .chain(more.iter().cloned())
        .collect();
    out.sort_by_key(|w| rank(w.kind));
    out
}

/// Heat over the open days; days before a given start have none.
pub(crate) fn open_heat(season: &Season) -> Ledger {
    let mut sum = Ledger::default();
    for day in season
        .days
        .iter()
        .filter(|d| d.open && d.heat_kwh.stored_change.is_finite())
    {
        sum.add(&day.heat_kwh, 1.0);
    }
    sum
}

const fn plane(tilt_deg: f64, azimuth_deg: f64) -> PlaneSummary {
    PlaneSummary {
        tilt_deg,
        azimuth_deg,
    }
}

fn heaters(plan: &Plan, season: &Season) -> Vec<HeaterSummary> {
    season
        .heaters
        .iter()
        .map(|h| HeaterSummary {
            name: h.name.clone(),
            plane: plan
                .heaters
                .iter()
                .find(|p| p.name == h.name)
                .map(|p| plane(p.plane.tilt_deg, p.plane.azimuth_deg)),
            absorber_area_m2: h.absorber_area_m2,
            heat_kwh: h.heat_kwh,
            heated_kwh: h.heated_kwh,
            cooled_kwh: h.cooled_kwh,
            siphoned_kwh: h.siphoned_kwh,
            sun_on_plane_kwh: h.sun_on_plane_kwh,
            cooling_h: h.cooling_h,
            peak_stagnation_c: h.peak_stagnation_c,
        })
        .collect()
}

/// What the electricity that heating adds costs; `None` without a price.
pub(crate) fn pump_cost(plan: &Plan, season: &Season) -> Option<f64> {
    plan.prices.electricity_per_kwh.map(|p| p * season.pump_kwh)
}

/// What the energy for the ordinary heater costs; `None` without a price or without such a heater.
pub(crate) fn other_heater_cost(plan: &Plan, season: &Season) -> Option<f64> {
    let price = match plan.other_heater.as_ref()?.kind {
        OtherHeaterKind::Gas => plan.prices.gas_per_kwh,
        OtherHeaterKind::HeatPump | OtherHeaterKind::Electric => plan.prices.electricity_per_kwh,
    };
    price.map(|p| p * season.other_heater_bought_kwh)
}

fn weather_summary(weather: &WeatherYear) -> WeatherSummary {
    let place = &weather.place;
    WeatherSummary {
        place: place.name.clone(),
        format: weather.format.name().to_owned(),
        kind: match weather.kind {
            YearKind::Typical => "typical",
            YearKind::Measured => "measured",
        },
        latitude_deg: place.latitude_deg,
        longitude_deg: place.longitude_deg,
        utc_offset_h: place.utc_offset_h,
        altitude_m: place.altitude_m,
        interval_minutes: weather.interval_minutes,
        notes: weather
            .notes
            .iter()
            .map(|n| WeatherNote {
                kind: n.kind.name(),
                column: n.column.name(),
                intervals: n.intervals,
                text: n.text.clone(),
            })
            .collect(),
    }
}
