//! What a weather year amounts to: means of the year and its months, and the sun's hours at the place.
//!
//! Means are plain means over the intervals. The mean daily maximum and minimum are of the interval values of whole
//! days, as a climate table has them; the highest and lowest are of single intervals. Daily sun and clearness are
//! of whole days.

use chrono::{Datelike, NaiveDate, NaiveDateTime};
use swimdays_solar::{
    LongwaveSource, Orbit, extraterrestrial_normal_w_m2, solar_hour, sun_in_interval, sun_position,
};

use crate::year::{Place, WeatherYear};

/// Minutes of a day.
const DAY_MINUTES: usize = 1440;

/// Means and extremes of some of the intervals of a year.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// How many intervals.
    pub intervals: usize,
    /// How many days of which every interval is there.
    pub whole_days: usize,
    /// Mean air temperature, °C.
    pub air_c: f64,
    /// Lowest air temperature of an interval, °C.
    pub air_lowest_c: f64,
    /// Highest air temperature of an interval, °C.
    pub air_highest_c: f64,
    /// Mean daily minimum of the air, °C; `None` without a whole day.
    pub air_daily_min_c: Option<f64>,
    /// Mean daily maximum of the air, °C; `None` without a whole day.
    pub air_daily_max_c: Option<f64>,
    /// Mean dew point, °C.
    pub dew_point_c: f64,
    /// Mean wind at 10 m, m/s.
    pub wind_m_s: f64,
    /// Mean global horizontal irradiance, day and night, W/m².
    pub ghi_w_m2: f64,
    /// Mean direct normal irradiance, day and night, W/m².
    pub dni_w_m2: f64,
    /// Mean diffuse horizontal irradiance, day and night, W/m².
    pub dhi_w_m2: f64,
    /// Sun on level ground, mean sum of the day, kWh/m²; `None` without a whole day.
    pub sun_kwh_m2_day: Option<f64>,
    /// Sun on level ground over that above the air, 0…1; `None` without a whole day or with the sun never up.
    pub clearness_frac: Option<f64>,
    /// Rain, mm: of a month its mean sum over the years; of the year the sum. `None` when the file has none.
    pub rain_mm: Option<f64>,
}

/// A weather year in numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct YearSummary {
    /// All intervals.
    pub all: Stretch,
    /// January to December; `None` for a month of which there is no interval.
    pub months: [Option<Stretch>; 12],
    /// Where the season takes the longwave of the sky from.
    pub longwave: LongwaveSource,
}

/// Sums that a [`Stretch`] is made of.
#[derive(Clone, Debug, Default)]
struct Sums {
    intervals: usize,
    days: usize,
    months: Vec<(i32, u32)>,
    air: f64,
    lowest: f64,
    highest: f64,
    daily_min: f64,
    daily_max: f64,
    dew_point: f64,
    wind: f64,
    ghi: f64,
    dni: f64,
    dhi: f64,
    day_ghi: f64,
    day_above: f64,
    rain: f64,
}

/// One day's part in them.
#[derive(Clone, Copy, Debug)]
struct DayPart {
    first: usize,
    end: usize,
    date: NaiveDate,
}

impl WeatherYear {
    /// The year in numbers.
    #[must_use]
    pub fn summary(&self) -> YearSummary {
        let mut all = Sums::new();
        let mut months: [Sums; 12] = std::array::from_fn(|_| Sums::new());
        for day in self.days() {
            let month = day.date.month0() as usize;
            all.add(self, day);
            if let Some(sums) = months.get_mut(month) {
                sums.add(self, day);
            }
        }
        let rain = self.columns.rain_mm.is_some();
        YearSummary {
            all: all.stretch(rain, 1),
            months: months.map(|sums| {
                (sums.intervals > 0).then(|| {
                    let years = sums.months.len();
                    sums.stretch(rain, years)
                })
            }),
            longwave: self.longwave_source(),
        }
    }

    /// Where the season takes the longwave of the sky from: the rule of [`swimdays_solar::sky_longwave_w_m2`].
    #[must_use]
    pub fn longwave_source(&self) -> LongwaveSource {
        if self.columns.infrared_w_m2.is_some() {
            LongwaveSource::Infrared
        } else if self.columns.sky_cover_frac.is_some() {
            LongwaveSource::SkyCover
        } else {
            LongwaveSource::SunCloudiness
        }
    }

    /// The intervals by the day on which they start.
    fn days(&self) -> Vec<DayPart> {
        let mut days: Vec<DayPart> = Vec::new();
        for i in 0..self.len() {
            let date = self.start_of(i).date();
            match days.last_mut() {
                Some(day) if day.date == date => day.end = i + 1,
                _ => days.push(DayPart {
                    first: i,
                    end: i + 1,
                    date,
                }),
            }
        }
        days
    }

    /// Sun on level ground above the air, mean of interval `i`, W/m², where the radiation really lies.
    fn above_air_w_m2(&self, i: usize) -> f64 {
        let start = unix_s(&self.place, self.start_of(i)) + self.radiation_shift_minutes * 60.0;
        let (latitude, longitude) = (self.place.latitude_deg, self.place.longitude_deg);
        let found = sun_in_interval(Orbit::Real, start, self.interval_s(), latitude, longitude);
        extraterrestrial_normal_w_m2(found.sun.earth_sun_distance_au)
            * found.sun.cos_zenith().max(0.0)
            * found.sunlit_frac
    }
}

impl Sums {
    fn new() -> Self {
        Self {
            lowest: f64::INFINITY,
            highest: f64::NEG_INFINITY,
            ..Self::default()
        }
    }

    fn add(&mut self, year: &WeatherYear, day: DayPart) {
        let c = &year.columns;
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        let whole = (day.end - day.first) * year.interval_minutes as usize == DAY_MINUTES;
        for i in day.first..day.end {
            self.air += c.air_c[i];
            low = low.min(c.air_c[i]);
            high = high.max(c.air_c[i]);
            self.dew_point += c.dew_point_c[i];
            self.wind += c.wind_m_s[i];
            self.ghi += c.ghi_w_m2[i];
            self.dni += c.dni_w_m2[i];
            self.dhi += c.dhi_w_m2[i];
            self.rain += c.rain_mm.as_ref().map_or(0.0, |rain| rain[i]);
            if whole {
                self.day_ghi += c.ghi_w_m2[i] * year.interval_s() / 3.6e6;
                self.day_above += year.above_air_w_m2(i) * year.interval_s() / 3.6e6;
            }
        }
        self.intervals += day.end - day.first;
        self.lowest = self.lowest.min(low);
        self.highest = self.highest.max(high);
        if whole {
            self.days += 1;
            self.daily_min += low;
            self.daily_max += high;
        }
        let month = (day.date.year(), day.date.month());
        if self.months.last() != Some(&month) {
            self.months.push(month);
        }
    }

    #[allow(
        clippy::cast_precision_loss,
        reason = "intervals and days of some years"
    )]
    fn stretch(&self, has_rain: bool, years: usize) -> Stretch {
        let (n, days) = (self.intervals as f64, self.days as f64);
        let of_days = |sum: f64| (self.days > 0).then(|| sum / days);
        Stretch {
            intervals: self.intervals,
            whole_days: self.days,
            air_c: self.air / n,
            air_lowest_c: self.lowest,
            air_highest_c: self.highest,
            air_daily_min_c: of_days(self.daily_min),
            air_daily_max_c: of_days(self.daily_max),
            dew_point_c: self.dew_point / n,
            wind_m_s: self.wind / n,
            ghi_w_m2: self.ghi / n,
            dni_w_m2: self.dni / n,
            dhi_w_m2: self.dhi / n,
            sun_kwh_m2_day: of_days(self.day_ghi),
            clearness_frac: (self.day_above > 0.0).then(|| self.day_ghi / self.day_above),
            rain_mm: has_rain.then(|| self.rain / years.max(1) as f64),
        }
    }
}

/// Sunrise and sunset, hours of the day in the place's standard time; `None` where the sun stays up or down.
///
/// Of the sun's centre at the geometric horizon: `cos ω = −tan φ tan δ`, with the declination and the equation of
/// time of the middle of the day (within a few minutes up to 60° of latitude). Source: Duffie & Beckman (2013), equation 1.6.10.
#[must_use]
pub fn sunrise_and_sunset_h(place: &Place, date: NaiveDate) -> Option<(f64, f64)> {
    let noon = unix_s(place, date.and_hms_opt(12, 0, 0)?);
    let sun = sun_position(noon, place.latitude_deg, place.longitude_deg);
    let cos_half = -place.latitude_deg.to_radians().tan() * sun.declination_deg.to_radians().tan();
    if cos_half.abs() >= 1.0 {
        return None;
    }
    let half_h = cos_half.acos().to_degrees() / 15.0;
    let sun_noon_h = 24.0 - solar_hour(noon, place.longitude_deg, &sun);
    let of_day = |h: f64| h.rem_euclid(24.0);
    Some((of_day(sun_noon_h - half_h), of_day(sun_noon_h + half_h)))
}

/// Seconds since 1970 UTC of a local standard time.
fn unix_s(place: &Place, local: NaiveDateTime) -> f64 {
    #[allow(
        clippy::cast_precision_loss,
        reason = "seconds of a calendar fit a f64 exactly"
    )]
    let seconds = local.and_utc().timestamp() as f64;
    seconds - place.utc_offset_h * 3600.0
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests: a panic is a failed test")]

    use super::*;
    use swimdays_solar::{LongwaveInput, sky_longwave_w_m2};

    fn sample() -> WeatherYear {
        let file = include_bytes!("../../../weather-samples/temperate.epw");
        crate::parse(file, "temperate").unwrap()
    }

    /// Formula against the sun's own height, which is zero at sunrise: 0.5° is two minutes at the equator, four at 60°.
    #[test]
    fn the_sun_is_at_the_horizon_when_it_rises_and_sets() {
        const AT_HORIZON_DEG: f64 = 0.5;
        let mut place = sample().place;
        for latitude in [-60.0, -33.0, 0.0, 40.0, 60.0] {
            place.latitude_deg = latitude;
            for ordinal in [10, 80, 172, 266, 350] {
                let date = NaiveDate::from_yo_opt(2001, ordinal).unwrap();
                let (rise, set) = sunrise_and_sunset_h(&place, date).unwrap();
                assert!(rise < set, "{latitude} {date}");
                for hour in [rise, set] {
                    let at = unix_s(&place, date.and_hms_opt(0, 0, 0).unwrap()) + hour * 3600.0;
                    let sun = sun_position(at, latitude, place.longitude_deg);
                    let high = sun.elevation_deg();
                    assert!(
                        high.abs() < AT_HORIZON_DEG,
                        "{latitude} {date} {hour}: {high}"
                    );
                }
            }
        }
        place.latitude_deg = 78.0;
        let june = NaiveDate::from_ymd_opt(2001, 6, 21).unwrap();
        assert_eq!(sunrise_and_sunset_h(&place, june), None);
    }

    /// A place 90° too far east has its sun six hours early on the clock.
    #[test]
    fn a_wrong_longitude_shows_in_the_hours_of_the_sun() {
        let mut place = sample().place;
        let date = NaiveDate::from_ymd_opt(2001, 3, 21).unwrap();
        let before = sunrise_and_sunset_h(&place, date).unwrap();
        place.longitude_deg += 90.0;
        let after = sunrise_and_sunset_h(&place, date).unwrap();
        assert!(((before.0 - after.0).rem_euclid(24.0) - 6.0).abs() < 0.02);
    }

    #[test]
    fn months_are_the_parts_of_the_year() {
        let year = sample();
        let found = year.summary();
        let months: Vec<&Stretch> = found.months.iter().flatten().collect();
        assert_eq!(months.len(), 12);
        assert_eq!(months.iter().map(|m| m.intervals).sum::<usize>(), 8760);
        assert_eq!(months[1].whole_days, 28);
        #[allow(clippy::cast_precision_loss, reason = "hours of a month")]
        let mean: f64 = months
            .iter()
            .map(|m| m.air_c * m.intervals as f64)
            .sum::<f64>()
            / 8760.0;
        assert!((mean - found.all.air_c).abs() < 1e-9);
        let clearness = found.all.clearness_frac.unwrap();
        assert!((0.3..0.8).contains(&clearness), "{clearness}");
    }

    /// Hours of 100 W/m² all day are 2.4 kWh/m²; half a day makes no day.
    #[test]
    fn days_that_are_not_whole_have_no_daily_sun() {
        let mut year = sample();
        year.columns.ghi_w_m2.fill(100.0);
        let sun = year.summary().all.sun_kwh_m2_day.unwrap();
        assert!((sun - 2.4).abs() < 1e-9, "{sun}");
        for (_, column) in year.columns.each_mut() {
            column.truncate(12);
        }
        year.columns.rain_mm = None;
        let part = year.summary();
        assert_eq!(part.all.sun_kwh_m2_day, None);
        assert_eq!(part.all.air_daily_max_c, None);
        assert_eq!(part.months.iter().flatten().count(), 1);
    }

    #[test]
    fn the_longwave_named_is_the_one_the_sky_model_takes() {
        let mut year = sample();
        for (infrared, cover) in [(true, true), (false, true), (false, false)] {
            let n = year.len();
            year.columns.infrared_w_m2 = infrared.then(|| vec![300.0; n]);
            year.columns.sky_cover_frac = cover.then(|| vec![0.5; n]);
            let c = &year.columns;
            let zeros = vec![0.0; n];
            let (_, source) = sky_longwave_w_m2(&LongwaveInput {
                air_c: &c.air_c,
                dew_point_c: &c.dew_point_c,
                pressure_pa: &c.pressure_pa,
                solar_hour: &zeros,
                ghi_w_m2: &c.ghi_w_m2,
                cos_zenith: &zeros,
                sunlit_frac: &zeros,
                infrared_w_m2: c.infrared_w_m2.as_deref(),
                sky_cover_frac: c.sky_cover_frac.as_deref(),
                interval_minutes: 60.0,
                periodic: true,
            });
            assert_eq!(source, year.longwave_source());
        }
    }
}
