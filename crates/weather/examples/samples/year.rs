//! The year of one climate, hour by hour.

use std::f64::consts::TAU;

use chrono::NaiveDate;
use swimdays_properties::constants::{STEFAN_BOLTZMANN_W_M2_K4, ZERO_CELSIUS_K};
use swimdays_properties::moist_air::pressure_at_altitude_pa;
use swimdays_weather::{Columns, Format, TYPICAL_YEAR, WeatherYear, YearKind};

use super::noise::{Noise, between_days};
use super::place::Climate;
use super::sun::{SunlitPart, sunlit_part};

const DAYS: usize = 365;
const HOURS: usize = 24 * DAYS;

/// Makes the year.
pub(crate) fn make(climate: &Climate) -> WeatherYear {
    let noise = &mut Noise::new(climate.seed);
    let daily = Daily::draw(noise);
    let cloud_hours = noise.series(HOURS, 0.8);
    let wind_hours = [noise.series(HOURS, 0.9), noise.series(HOURS, 0.9)];
    let rain_hours = noise.series(HOURS, 0.6);

    let cover: Vec<f64> = (0..HOURS)
        .map(|h| {
            let latent = climate.cloud.at(season(climate, h))
                + 1.9 * between_days(&daily.cloud, middle(h))
                + 1.1 * cloud_hours[h];
            1.0 / (1.0 + (-latent).exp())
        })
        .collect();
    let day_cover: Vec<f64> = cover
        .chunks(24)
        .map(|day| day.iter().sum::<f64>() / 24.0)
        .collect();

    let mut columns = Columns::default();
    let mut infrared = Vec::with_capacity(HOURS);
    let mut rain = Vec::with_capacity(HOURS);
    for h in 0..HOURS {
        let season = season(climate, h);
        let cloudy = between_days(&day_cover, middle(h));
        let spell = between_days(&daily.air, middle(h));

        let air_c = tenths(
            climate.air_c.at(season)
                + climate.spells_k.at(season) * spell
                // Under cloud summer days are cooler and winter nights milder.
                + 3.0 * season * (0.45 - cloudy)
                + climate.daily_range_k.at(season) * (1.0 - 0.65 * cloudy) * daily_shape(h),
        );
        let dew_point_c = tenths(
            climate.dew_point_c.at(season)
                + 0.45 * climate.spells_k.at(season) * spell
                + climate.dew_spells_k * between_days(&daily.dew_point, middle(h))
                + 2.0 * (cloudy - 0.5),
        )
        .min(air_c);
        // Rounded to 10 Pa, 0.1 mbar.
        let pressure_pa = 10.0
            * (0.1
                * (pressure_at_altitude_pa(climate.place.altitude_m)
                    + climate.pressure_pa
                        * (0.8 * between_days(&daily.pressure, middle(h))
                            - 0.6 * between_days(&daily.cloud, middle(h)))))
            .round();
        let afternoon = 1.0 + 0.35 * (TAU * (hour_of_day(h) + 0.5 - 15.0) / 24.0).cos();
        // Two normals make a Rayleigh variable of mean √(π/2).
        let gust = wind_hours[0][h].hypot(wind_hours[1][h]) / (0.25 * TAU).sqrt();
        let wind_m_s = tenths(climate.wind_m_s.at(season) * afternoon * gust);

        let place = &climate.place;
        let sun = sunlit_part(
            h,
            place.latitude_deg,
            place.longitude_deg,
            place.utc_offset_h,
        );
        let (ghi, dni, dhi) = irradiance(&sun, cover[h], climate.clear_sky_frac);

        columns.air_c.push(air_c);
        columns.dew_point_c.push(dew_point_c);
        columns.pressure_pa.push(pressure_pa);
        columns.wind_m_s.push(wind_m_s);
        columns.ghi_w_m2.push(ghi);
        columns.dni_w_m2.push(dni);
        columns.dhi_w_m2.push(dhi);
        infrared.push(longwave(
            air_c,
            dew_point_c,
            pressure_pa,
            sky_tenths(cover[h]),
            h,
        ));
        rain.push(rain_mm(
            climate,
            season,
            cover[h],
            air_c,
            rain_hours[h] + 0.5 * daily.cloud[h / 24],
        ));
    }
    columns.infrared_w_m2 = Some(infrared);
    columns.sky_cover_frac = Some(cover.iter().map(|&n| sky_tenths(n)).collect());
    columns.rain_mm = Some(rain);
    columns.albedo_frac = Some(vec![climate.albedo_frac; HOURS]);

    WeatherYear {
        place: climate.place.clone(),
        format: Format::Epw,
        kind: YearKind::Typical,
        first_start: NaiveDate::from_ymd_opt(TYPICAL_YEAR, 1, 1)
            .and_then(|day| day.and_hms_opt(0, 0, 0))
            .unwrap_or_default(),
        interval_minutes: 60,
        columns,
        radiation_shift_minutes: 0.0,
        normals: None,
        notes: Vec::new(),
    }
}

/// The processes that run by the day, each of variance 1.
struct Daily {
    cloud: Vec<f64>,
    air: Vec<f64>,
    dew_point: Vec<f64>,
    pressure: Vec<f64>,
}

impl Daily {
    fn draw(noise: &mut Noise) -> Self {
        Self {
            cloud: noise.series(DAYS, 0.45),
            air: noise.series(DAYS, 0.7),
            dew_point: noise.series(DAYS, 0.6),
            pressure: noise.series(DAYS, 0.7),
        }
    }
}

fn hour_of_day(h: usize) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "hours of a day")]
    let hour = (h % 24) as f64;
    hour
}

/// Middle of hour `h`, hours since the year began.
fn middle(h: usize) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "hours of a year")]
    let from = h as f64;
    from + 0.5
}

/// 1 on the warmest day, −1 half a year later.
fn season(climate: &Climate, h: usize) -> f64 {
    (TAU * (middle(h) / 24.0 - climate.warmest_day) / 365.0).cos()
}

fn tenths(value: f64) -> f64 {
    // Adding 0 makes no −0.
    (value * 10.0).round() / 10.0 + 0.0
}

fn sky_tenths(cover: f64) -> f64 {
    (cover * 10.0).round() / 10.0
}

/// Departure from the day's mean over its range, by the hour: mean 0, highest at 14–15 h, lowest at 5–6 h.
///
/// Source: Erbs, Klein & Beckman (1983), ASHRAE Journal 25(6):60; hour 1 is 0 to 1 h.
fn daily_shape(h: usize) -> f64 {
    let t = TAU * hour_of_day(h) / 24.0;
    0.4632 * (t - 3.805).cos()
        + 0.0984 * (2.0 * t - 0.360).cos()
        + 0.0168 * (3.0 * t - 0.822).cos()
        + 0.0138 * (4.0 * t - 3.513).cos()
}

/// Global, direct normal and diffuse irradiance of the hour, whole W/m²; global is the sum of the other two.
fn irradiance(sun: &SunlitPart, cover: f64, clear_sky_frac: f64) -> (f64, f64, f64) {
    let cos = sun.cos_zenith;
    if sun.frac <= 0.0 || cos <= 0.0 {
        return (0.0, 0.0, 0.0);
    }
    // Haurwitz (1945), J. Meteorology 2:154, exponent as in pvlib (others print 0.057); cloud by Kasten & Czeplak (1980), Solar Energy 24:177.
    let clear = clear_sky_frac * 1098.0 * cos * (-0.059 / cos).exp();
    let ghi = clear * (1.0 - 0.75 * cover.powf(3.4));
    let clearness = ghi / (sun.extraterrestrial_w_m2 * cos);
    let dhi = ghi * diffuse_frac(clearness);
    let dni = (ghi - dhi) / cos;
    let (dni, dhi) = ((dni * sun.frac).round(), (dhi * sun.frac).round());
    ((dni * cos + dhi).round(), dni, dhi)
}

/// Erbs, Klein & Duffie (1982), Solar Energy 28:293.
fn diffuse_frac(k: f64) -> f64 {
    if k <= 0.22 {
        1.0 - 0.09 * k
    } else if k <= 0.8 {
        0.9511 + k * (-0.1604 + k * (4.388 + k * (-16.638 + k * 12.336)))
    } else {
        0.165
    }
}

/// Longwave from the sky, whole W/m²: clear-sky emissivity of Berdahl & Martin (1984), Solar Energy 32:663, with its hour
/// and pressure terms; cloud closes the window by 0.84 of its cover.
fn longwave(air_c: f64, dew_point_c: f64, pressure_pa: f64, cover: f64, h: usize) -> f64 {
    let d = dew_point_c / 100.0;
    let clear = 0.711
        + 0.56 * d
        + 0.73 * d * d
        + 0.013 * (TAU * (hour_of_day(h) + 0.5) / 24.0).cos()
        + 0.000_12 * (pressure_pa / 100.0 - 1000.0);
    let emissivity = clear + 0.84 * cover * (1.0 - clear);
    (emissivity * STEFAN_BOLTZMANN_W_M2_K4 * (air_c + ZERO_CELSIUS_K).powi(4)).round()
}

/// Rain of the hour, mm, to a tenth: only from a nearly closed sky and above freezing (snow is left out).
fn rain_mm(climate: &Climate, season: f64, cover: f64, air_c: f64, drive: f64) -> f64 {
    let excess = drive - climate.dryness.at(season);
    if cover < 0.85 || air_c < 1.0 || excess <= 0.0 {
        return 0.0;
    }
    tenths(climate.rain_mm * excess * excess)
}
