//! A weather year made ready for one site: sun on each plane, sky, vapour pressure, soil, clock.
//!
//! Preparing costs more than a run, so it is done once per weather, site and set of planes; runs that differ
//! in cover, pump, heater size, shelter or target share it. [`Prepared::new`] fixes what it depends on;
//! a run with a plan that needs something else is refused.

use std::sync::Arc;

use chrono::{Datelike, NaiveDateTime, Timelike};
use swimdays_collector::DECK_SOIL_DEPTH_M;
use swimdays_pool::{AnnualCycle, SunOnWater, mains_c};
use swimdays_properties::moist_air::{saturation_pressure_pa, wet_bulb_c};
use swimdays_solar::{
    Horizon, LongwaveInput, LongwaveSource, Obstruction, Plane, Sky, SunInInterval,
    WATER_DIFFUSE_REFLECTANCE, extraterrestrial_normal_w_m2, plane_longwave_w_m2,
    relative_air_mass, sky_longwave_w_m2, solar_hour, sun_in_interval, water_reflectance,
};
use swimdays_weather::{WeatherYear, YearKind};

use crate::clock::{Tick, ticks};
use crate::planes::{PreparedPlane, SkyRow};
use crate::{Models, Noted, Plan, SeasonError, Shell, SummerTime};

/// Ground albedo when neither the scenario nor the weather file gives one: grass and bare soil.
/// Source: Liu & Jordan (1963), the customary 0.2.
pub const DEFAULT_GROUND_ALBEDO_FRAC: f64 = 0.2;

/// What the weather does to the water during one interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Start, local standard time.
    pub start: NaiveDateTime,
    /// Air, °C.
    pub air_c: f64,
    /// Dew point, °C.
    pub dew_point_c: f64,
    /// Vapour pressure of the air, Pa.
    pub vapour_pressure_pa: f64,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
    /// Station wind at 10 m, m/s.
    pub wind_m_s: f64,
    /// Global horizontal irradiance, W/m².
    pub ghi_w_m2: f64,
    /// Longwave from the open sky, W/m².
    pub sky_longwave_w_m2: f64,
    /// Longwave onto the water from sky and from what stands around it, W/m².
    pub water_longwave_w_m2: f64,
    /// Sun absorbed per m² of open water, W/m².
    pub sun_open_w_m2: f64,
    /// Sun that reaches a cover on the water after reflection at its surface, W/m².
    pub sun_on_cover_w_m2: f64,
    /// Sun on an upright wall, averaged around the pool, W/m².
    pub sun_on_walls_w_m2: f64,
    /// Longwave on an upright wall, W/m².
    pub wall_longwave_w_m2: f64,
    /// Rain, kg/(m²·s).
    pub rain_kg_m2_s: f64,
    /// Temperature of the rain, °C.
    pub rain_c: f64,
    /// Make-up water from the mains, °C.
    pub mains_c: f64,
    /// Undisturbed soil at the foot of the soil column, °C.
    pub deep_c: f64,
    /// Undisturbed soil near the surface, where a deck run would lie, °C.
    pub soil_c: f64,
}

/// A weather year ready to be stepped.
#[derive(Clone, Debug)]
pub struct Prepared {
    /// Length of an interval, s.
    pub interval_s: f64,
    /// The same in minutes.
    pub interval_minutes: u32,
    /// The water's rows in the order of the swim year.
    pub rows: Vec<Row>,
    /// The clock on the wall for each row.
    pub ticks: Vec<Tick>,
    /// The planes asked for.
    pub planes: Vec<PreparedPlane>,
    /// What was noted of these rows in place of the plan; absent: the plan alone.
    pub noted: Option<Noted>,
    /// Whether the rows make a whole year that can be repeated.
    pub whole_year: bool,
    /// Whether the year is a typical one (labels in 2001).
    pub typical: bool,
    /// How the longwave of the sky was found.
    pub longwave_source: LongwaveSource,
    /// Mean air pressure, Pa.
    pub pressure_pa: f64,
    /// Intervals with sun in the file while the sun is below the horizon, and intervals with sun in the file.
    pub sun_at_night: (usize, usize),
    /// What every plane is lit by, in the order of the run.
    pub(crate) skies: Arc<[SkyRow]>,
    /// Sum of the global horizontal irradiance over all rows, W/m².
    pub(crate) level_sum_w_m2: f64,
    key: Key,
}

/// What a prepared year depends on besides the weather.
#[derive(Clone, Debug, PartialEq)]
struct Key {
    models: Models,
    summer_time: SummerTime,
    ground_albedo_frac: Option<f64>,
    water_obstructions: Vec<Obstruction>,
    sun: SunOnWater,
    soil: (f64, f64),
}

impl Key {
    fn of(plan: &Plan) -> Self {
        let ground = match &plan.pool.shell {
            Shell::InGround { ground, .. } => ground,
            Shell::AboveGround { floor, .. } => floor,
        };
        Self {
            models: plan.models,
            summer_time: plan.site.summer_time,
            ground_albedo_frac: plan.site.ground_albedo_frac,
            water_obstructions: plan.pool.obstructions.clone(),
            sun: plan.pool.sun,
            soil: (ground.depth_m, ground.ground.diffusivity_m2_s()),
        }
    }
}

impl Prepared {
    /// Prepares `weather` for the site, water and heaters of `plan`.
    ///
    /// Rows start on 1 January in the north and on 1 July in the south when the weather is a whole year.
    ///
    /// # Errors
    /// [`SeasonError::Obstruction`] when an obstruction is not valid, [`SeasonError::EmptyWeather`] without intervals.
    pub fn new(plan: &Plan, weather: &WeatherYear) -> Result<Self, SeasonError> {
        if weather.is_empty() {
            return Err(SeasonError::EmptyWeather);
        }
        let key = Key::of(plan);
        let order = run_order(weather);
        let suns = suns(plan, weather);
        let air = &weather.columns;
        let (sky_longwave, longwave_source) = longwave(weather, &suns);
        let cycle = annual_cycle(weather);
        let water_horizon = Horizon::new(&plan.pool.obstructions)?;
        let sky_frac = water_horizon.sky_frac(&Plane::HORIZONTAL);
        let interval_s = weather.interval_s();
        let absorbed_diffuse_frac = plan.pool.sun.absorbed_frac_diffuse();

        let row = |i: usize| {
            let start = weather.start_of(i);
            let sun = &suns[i].sun;
            let beam = (air.ghi_w_m2[i] - air.dhi_w_m2[i]).max(0.0) * water_horizon.beam_frac(sun);
            let diffuse = air.dhi_w_m2[i] * sky_frac;
            let cos_zenith = sun.cos_zenith().clamp(0.0, 1.0);
            let rain_mm = air.rain_mm.as_ref().map_or(0.0, |rain| rain[i]);
            let vapour_pressure_pa = saturation_pressure_pa(air.dew_point_c[i]);
            let day = f64::from(start.ordinal0()) + f64::from(start.hour()) / 24.0;
            let albedo = albedo(plan, weather, i);
            let dni_on_ground = air.dni_w_m2[i] * water_horizon.beam_frac(sun);
            let sin_zenith = (1.0 - cos_zenith * cos_zenith).sqrt();
            Row {
                start,
                air_c: air.air_c[i],
                dew_point_c: air.dew_point_c[i],
                vapour_pressure_pa,
                pressure_pa: air.pressure_pa[i],
                wind_m_s: air.wind_m_s[i],
                ghi_w_m2: air.ghi_w_m2[i],
                sky_longwave_w_m2: sky_longwave[i],
                water_longwave_w_m2: plane_longwave_w_m2(
                    sky_longwave[i],
                    air.air_c[i],
                    &Plane::HORIZONTAL,
                    sky_frac,
                ),
                sun_open_w_m2: beam * plan.pool.sun.absorbed_frac_beam(cos_zenith)
                    + diffuse * absorbed_diffuse_frac,
                sun_on_cover_w_m2: beam * (1.0 - water_reflectance(cos_zenith))
                    + diffuse * (1.0 - WATER_DIFFUSE_REFLECTANCE),
                // A round wall sees the beam with the mean of a cylinder, sin z / π of its own area.
                sun_on_walls_w_m2: dni_on_ground * sin_zenith * std::f64::consts::FRAC_1_PI
                    + 0.5 * diffuse
                    + 0.5 * albedo * air.ghi_w_m2[i],
                wall_longwave_w_m2: plane_longwave_w_m2(
                    sky_longwave[i],
                    air.air_c[i],
                    &Plane {
                        tilt_deg: 90.0,
                        azimuth_deg: 180.0,
                    },
                    sky_frac,
                ),
                rain_kg_m2_s: rain_mm / interval_s,
                rain_c: if rain_mm > 0.0 {
                    wet_bulb_c(air.air_c[i], vapour_pressure_pa, air.pressure_pa[i])
                } else {
                    air.air_c[i]
                },
                mains_c: mains_c(&cycle, day),
                deep_c: cycle.soil_c(key.soil.0, key.soil.1, day),
                soil_c: cycle.soil_c(DECK_SOIL_DEPTH_M, key.soil.1, day),
            }
        };
        let rows: Vec<Row> = order.iter().map(|&i| row(i)).collect();
        let starts: Vec<NaiveDateTime> = rows.iter().map(|r| r.start).collect();
        let ticks = ticks(
            &starts,
            weather.interval_minutes,
            plan.site.summer_time,
            weather.place.utc_offset_h,
        );
        let mut prepared = Self {
            level_sum_w_m2: rows.iter().map(|r| r.ghi_w_m2).sum(),
            interval_s,
            interval_minutes: weather.interval_minutes,
            rows,
            ticks,
            planes: Vec::new(),
            noted: None,
            whole_year: weather.is_whole_year(),
            typical: weather.kind == YearKind::Typical,
            longwave_source,
            pressure_pa: mean(&air.pressure_pa),
            sun_at_night: sun_at_night(weather, &suns),
            skies: order
                .iter()
                .map(|&i| SkyRow {
                    sun: suns[i].sun,
                    sky: Sky {
                        ghi_w_m2: air.ghi_w_m2[i],
                        dni_w_m2: air.dni_w_m2[i],
                        dhi_w_m2: air.dhi_w_m2[i],
                        extraterrestrial_normal_w_m2: extraterrestrial_normal_w_m2(
                            suns[i].sun.earth_sun_distance_au,
                        ),
                        air_mass: relative_air_mass(suns[i].sun.zenith_deg),
                        albedo_frac: albedo(plan, weather, i),
                    },
                    lit: suns[i].sunlit_frac > 0.0 || air.ghi_w_m2[i] > 0.0,
                    longwave_w_m2: sky_longwave[i],
                    air_c: air.air_c[i],
                })
                .collect(),
            key,
        };
        for heater in &plan.heaters {
            prepared.add(heater.plane, &heater.obstructions)?;
        }
        Ok(prepared)
    }

    /// Adds a plane, so that one year serves plans whose heaters face many ways; does nothing when it is there already.
    ///
    /// What does not depend on the plane was kept from [`Self::new`]: a plane costs a small part of a year.
    ///
    /// # Errors
    /// [`SeasonError::PreparedForAnother`] when `plan` or `weather` is not that of this year,
    /// [`SeasonError::Obstruction`] when an obstruction is not valid.
    pub fn add_plane(
        &mut self,
        plan: &Plan,
        weather: &WeatherYear,
        plane: Plane,
        obstructions: &[Obstruction],
    ) -> Result<(), SeasonError> {
        if self.key != Key::of(plan) || weather.len() != self.rows.len() {
            return Err(SeasonError::PreparedForAnother {
                what: "site, water, models or weather".into(),
            });
        }
        self.add(plane, obstructions)
    }

    fn add(&mut self, plane: Plane, obstructions: &[Obstruction]) -> Result<(), SeasonError> {
        if self.plane_of(&plane, obstructions).is_none() {
            let model = self.key.models.transposition;
            let prepared = PreparedPlane::new(model, &self.skies, plane, obstructions)?;
            self.planes.push(prepared);
        }
        Ok(())
    }

    /// Which of [`Self::planes`] has this plane and these obstructions.
    #[must_use]
    pub fn plane_of(&self, plane: &Plane, obstructions: &[Obstruction]) -> Option<usize> {
        self.planes
            .iter()
            .position(|p| p.plane == *plane && p.obstructions == obstructions)
    }

    /// Whether two plans see the same sun on the water, sky, soil and clock, so that one prepared year with the planes of both serves both.
    #[must_use]
    pub fn shareable(a: &Plan, b: &Plan) -> bool {
        Key::of(a) == Key::of(b)
    }

    /// Whether a run of `plan` may use this year.
    ///
    /// # Errors
    /// [`SeasonError::PreparedForAnother`] naming what differs.
    pub fn check(&self, plan: &Plan) -> Result<(), SeasonError> {
        if self.key != Key::of(plan) {
            return Err(SeasonError::PreparedForAnother {
                what: "site, water or models".into(),
            });
        }
        for heater in &plan.heaters {
            if self.plane_of(&heater.plane, &heater.obstructions).is_none() {
                return Err(SeasonError::PreparedForAnother {
                    what: format!("the plane of heater {}", heater.name),
                });
            }
        }
        Ok(())
    }
}

/// Indices of the weather in the order of the swim year.
fn run_order(weather: &WeatherYear) -> Vec<usize> {
    let n = weather.len();
    let first = if weather.is_whole_year() {
        let month = if weather.place.latitude_deg < 0.0 {
            7
        } else {
            1
        };
        (0..n)
            .find(|&i| {
                let start = weather.start_of(i);
                start.month() == month && start.day() == 1
            })
            .unwrap_or(0)
    } else {
        0
    };
    (first..n).chain(0..first).collect()
}

/// Start of interval `i`, s since 1970 UTC.
fn start_unix_s(weather: &WeatherYear, i: usize) -> f64 {
    let first = weather.first_start.and_utc().timestamp();
    #[allow(
        clippy::cast_precision_loss,
        reason = "seconds of a calendar fit a f64 exactly"
    )]
    let (first, i) = (first as f64, i as f64);
    first - weather.place.utc_offset_h * 3600.0 + i * weather.interval_s()
}

fn suns(plan: &Plan, weather: &WeatherYear) -> Vec<SunInInterval> {
    (0..weather.len())
        .map(|i| {
            sun_in_interval(
                plan.models.orbit,
                start_unix_s(weather, i) + weather.radiation_shift_minutes * 60.0,
                weather.interval_s(),
                weather.place.latitude_deg,
                weather.place.longitude_deg,
            )
        })
        .collect()
}

fn longwave(weather: &WeatherYear, suns: &[SunInInterval]) -> (Vec<f64>, LongwaveSource) {
    let hours: Vec<f64> = (0..weather.len())
        .map(|i| {
            let middle = start_unix_s(weather, i) + 0.5 * weather.interval_s();
            solar_hour(middle, weather.place.longitude_deg, &suns[i].sun)
        })
        .collect();
    let cos_zenith: Vec<f64> = suns.iter().map(|s| s.sun.cos_zenith()).collect();
    let sunlit_frac: Vec<f64> = suns.iter().map(|s| s.sunlit_frac).collect();
    let columns = &weather.columns;
    sky_longwave_w_m2(&LongwaveInput {
        air_c: &columns.air_c,
        dew_point_c: &columns.dew_point_c,
        pressure_pa: &columns.pressure_pa,
        solar_hour: &hours,
        ghi_w_m2: &columns.ghi_w_m2,
        cos_zenith: &cos_zenith,
        sunlit_frac: &sunlit_frac,
        infrared_w_m2: columns.infrared_w_m2.as_deref(),
        sky_cover_frac: columns.sky_cover_frac.as_deref(),
        interval_minutes: f64::from(weather.interval_minutes),
        periodic: weather.is_whole_year(),
    })
}

/// Mean, amplitude and coldest day of the air, from the first harmonic of the series.
fn annual_cycle(weather: &WeatherYear) -> AnnualCycle {
    let air = &weather.columns.air_c;
    let (mut mean, mut cosine, mut sine) = (0.0, 0.0, 0.0);
    for (i, &air_c) in air.iter().enumerate() {
        let start = weather.start_of(i);
        let day = f64::from(start.ordinal0()) + f64::from(start.hour()) / 24.0;
        let angle = std::f64::consts::TAU * day / 365.0;
        mean += air_c;
        cosine += air_c * angle.cos();
        sine += air_c * angle.sin();
    }
    #[allow(clippy::cast_precision_loss, reason = "number of intervals in a year")]
    let n = air.len() as f64;
    let (mean, cosine, sine) = (mean / n, 2.0 * cosine / n, 2.0 * sine / n);
    if !weather.is_whole_year() {
        return AnnualCycle {
            mean_c: mean,
            amplitude_k: 0.0,
            coldest_day: 0.0,
        };
    }
    let warmest = sine.atan2(cosine) / std::f64::consts::TAU * 365.0;
    AnnualCycle {
        mean_c: mean,
        amplitude_k: cosine.hypot(sine),
        coldest_day: (warmest + 182.5).rem_euclid(365.0),
    }
}

fn mean(values: &[f64]) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "number of intervals in a year")]
    let n = values.len() as f64;
    values.iter().sum::<f64>() / n
}

/// Sun that no instrument would report by mistake, W/m².
const SURE_SUN_W_M2: f64 = 20.0;

/// Intervals with sun in the file while the sun is below the horizon all through, and intervals with sun in the file.
fn sun_at_night(weather: &WeatherYear, suns: &[SunInInterval]) -> (usize, usize) {
    let sunny = |i: &usize| weather.columns.ghi_w_m2[*i] > SURE_SUN_W_M2;
    let all = (0..weather.len()).filter(sunny).count();
    let dark = (0..weather.len())
        .filter(sunny)
        .filter(|&i| suns[i].sunlit_frac <= 0.0)
        .count();
    (dark, all)
}

fn albedo(plan: &Plan, weather: &WeatherYear, i: usize) -> f64 {
    plan.site.ground_albedo_frac.unwrap_or_else(|| {
        weather
            .columns
            .albedo_frac
            .as_ref()
            .map_or(DEFAULT_GROUND_ALBEDO_FRAC, |a| a[i])
    })
}
