//! The whole season from outside: first law with each heat computed apart, a mirrored site, covers, published
//! splits, order, robustness, real years.
//!
//! Sources stand beside the numbers. What is printed for comparison only is called so.

mod abreast;
mod cover;
mod first_law;
mod heaters;
mod mirror;
mod order;
mod own;
mod own_ground;
mod own_heats;
mod own_sun;
mod planes;
mod published;
mod real_years;
mod robust;
mod sanity;

use std::path::Path;

use swimdays_scenario::Scenario;
use swimdays_season::{Detail, MonthDay, Plan, Prepared, Season, run};
use swimdays_tests::{outside_folder, root};
use swimdays_weather::{Columns, WeatherYear};

/// Real years in the packages that `.ci/run` installs: file, short name.
///
/// TMY3 at 36 and 55 N, a measured year in TMY3 form at 44 N, EPW at 52, 45, 41 and 42 N.
pub(crate) const REAL_YEARS: [(&str, &str); 7] = [
    ("pvlib-0.16.1/pvlib/data/723170TYA.CSV", "TMY3 36 N"),
    ("pvlib-0.16.1/pvlib/data/703165TY.csv", "TMY3 55 N"),
    (
        "pvlib-0.11.2/pvlib/data/Burlington, United States SolarAnywhere Time Series 2021 Lat_44_465 Lon_-73_205 TMY3 format.csv",
        "measured 44 N",
    ),
    (
        "pvlib-0.11.2/pvlib/data/NLD_Amsterdam062400_IWEC.epw",
        "EPW 52 N",
    ),
    (
        "pvlib-0.11.2/pvlib/data/tmy_45.000_8.000_2005_2023.epw",
        "EPW 45 N",
    ),
    (
        "diyepw-1.3.1/diyepw/data/tmy_epw_files/USA_CA_Mount.Shasta.725957_TMYx.epw",
        "EPW 41 N",
    ),
    (
        "diyepw-1.3.1/diyepw/data/tmy_epw_files/USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw",
        "EPW 42 N",
    ),
];

/// A real year by its short name; `None` (said so) without the folder.
pub(crate) fn real_year(name: &str) -> Option<WeatherYear> {
    let folder = outside_folder("SWIMDAYS_WEATHER_DIR")?;
    let (file, _) = REAL_YEARS
        .iter()
        .find(|(_, n)| *n == name)
        .unwrap_or_else(|| panic!("no real year {name}"));
    let path = folder.join(file);
    Some(swimdays_weather::read(&path).unwrap_or_else(|e| panic!("{e} (see .ci/run)")))
}

/// A committed sample.
pub(crate) fn sample(file: &str) -> WeatherYear {
    let path = root().join("weather-samples").join(file);
    swimdays_weather::read(&path).unwrap_or_else(|e| panic!("{e}"))
}

/// The year with longwave from the sky, as some formats have it: any plausible course will do, and the samples have none.
pub(crate) fn with_longwave(mut year: WeatherYear) -> WeatherYear {
    const STEFAN_BOLTZMANN: f64 = 5.67e-8;
    let air_k = year.columns.air_c.iter().map(|c| c + 273.15);
    let sky = air_k.map(|t: f64| 0.8 * STEFAN_BOLTZMANN * t.powi(4));
    year.columns.infrared_w_m2 = Some(sky.collect());
    year
}

/// A committed scenario with values set.
pub(crate) fn scenario(name: &str, sets: &[&str]) -> Scenario {
    let sets: Vec<String> = sets.iter().map(|s| (*s).to_owned()).collect();
    let path = root().join("scenarios").join(format!("{name}.toml"));
    swimdays_scenario::load(&path, &sets).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// A scenario from text, weather unused.
pub(crate) fn scenario_text(text: &str, sets: &[&str]) -> Scenario {
    let sets: Vec<String> = sets.iter().map(|s| (*s).to_owned()).collect();
    swimdays_scenario::parse(text, "test", Path::new(""), &sets).unwrap_or_else(|e| panic!("{e}"))
}

/// A committed scenario with more tables behind it and values set.
pub(crate) fn scenario_and(name: &str, more: &str, sets: &[&str]) -> Scenario {
    let path = root().join("scenarios").join(format!("{name}.toml"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{name}: {e}"));
    scenario_text(&format!("{text}\n{more}"), sets)
}

/// A run with all that went in.
pub(crate) struct Ran {
    pub(crate) plan: Plan,
    pub(crate) weather: WeatherYear,
    pub(crate) year: Prepared,
    pub(crate) season: Season,
}

impl Ran {
    pub(crate) fn new(plan: Plan, weather: WeatherYear) -> Self {
        let year = Prepared::new(&plan, &weather).unwrap_or_else(|e| panic!("{e}"));
        let season = run(&plan, &year, Detail::Full).unwrap_or_else(|e| panic!("{e}"));
        Self {
            plan,
            weather,
            year,
            season,
        }
    }

    /// A committed scenario on its own weather.
    pub(crate) fn of(name: &str, sets: &[&str]) -> Self {
        let scenario = scenario(name, sets);
        let weather = swimdays_weather::read(&scenario.weather.files()[0].path)
            .unwrap_or_else(|e| panic!("{e}"));
        Self::new(scenario.plan, weather)
    }

    /// A committed scenario on other weather.
    pub(crate) fn on(name: &str, sets: &[&str], weather: &WeatherYear) -> Self {
        Self::new(scenario(name, sets).plan, weather.clone())
    }

    pub(crate) fn hourly(&self) -> &swimdays_season::Hourly {
        self.season.hourly.as_ref().expect("a full run has columns")
    }

    /// Water at the start of interval `i`, °C; before the first interval as the periodic search left it.
    pub(crate) fn start_c(&self, i: usize) -> f64 {
        let water = &self.hourly().water_c;
        if i > 0 {
            return water[i - 1];
        }
        match self.season.periodic {
            Some(periodic) => water[water.len() - 1] - periodic.difference_k,
            None => self.plan.pool.start_c.expect("a start when not periodic"),
        }
    }

    /// Whether the pool is in use in interval `i`.
    pub(crate) fn is_open(&self, i: usize) -> bool {
        let pool = &self.plan.pool;
        MonthDay::contains(pool.opens, pool.closes, self.year.ticks[i].date)
    }

    /// Whether ice may lie on the water in interval `i` or form in it.
    pub(crate) fn may_freeze(&self, i: usize) -> bool {
        self.start_c(i) <= 0.0 || self.hourly().water_c[i] <= 0.0
    }

    /// Start of interval `i`, s since 1970 UTC.
    pub(crate) fn unix_s(&self, i: usize) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "seconds of a calendar")]
        let local = self.year.rows[i].start.and_utc().timestamp() as f64;
        local - 3600.0 * self.weather.place.utc_offset_h
    }
}

/// Mean of the water over the intervals that `pick` chooses by month (0 = January), °C.
pub(crate) fn mean_water_c(ran: &Ran, pick: impl Fn(usize) -> bool) -> f64 {
    let (mut sum, mut n) = (0.0, 0.0);
    for (water, tick) in ran.hourly().water_c.iter().zip(&ran.year.ticks) {
        if pick(tick.month) && water.is_finite() {
            sum += water;
            n += 1.0;
        }
    }
    sum / n
}

/// Every run closes: flows sum to what is stored, to this share of the gross flows. Rounding of 8760 sums.
pub(crate) const CLOSURE_FRAC: f64 = 1e-9;

/// Asserts that the year's ledger closes.
pub(crate) fn closes(ran: &Ran, what: &str) {
    let ledger = &ran.season.heat_kwh;
    let gross: f64 = ledger.values()[..11].iter().map(|v| v.abs()).sum();
    assert!(
        ledger.residual().abs() <= CLOSURE_FRAC * gross.max(1.0),
        "{what}: residual {} of {gross} kWh",
        ledger.residual()
    );
}

/// Every column of a weather year through `f`.
pub(crate) fn mapped(columns: &Columns, f: impl Fn(&Vec<f64>) -> Vec<f64>) -> Columns {
    Columns {
        air_c: f(&columns.air_c),
        dew_point_c: f(&columns.dew_point_c),
        pressure_pa: f(&columns.pressure_pa),
        wind_m_s: f(&columns.wind_m_s),
        ghi_w_m2: f(&columns.ghi_w_m2),
        dni_w_m2: f(&columns.dni_w_m2),
        dhi_w_m2: f(&columns.dhi_w_m2),
        infrared_w_m2: columns.infrared_w_m2.as_ref().map(&f),
        sky_cover_frac: columns.sky_cover_frac.as_ref().map(&f),
        rain_mm: columns.rain_mm.as_ref().map(&f),
        albedo_frac: columns.albedo_frac.as_ref().map(&f),
    }
}
