//! Words about the weather, day by day, made into hours of weather.
//!
//! Where no hourly series is at hand a builder still knows: sunny, cloudy, so warm by day, so cold by night. Such a day takes its sun from
//! the clear sky and the clouds that the word stands for, its air from the two numbers; what was not written stays the typical year's.

use chrono::{NaiveDate, NaiveDateTime, TimeDelta, Timelike};
use swimdays_solar::{
    DiffuseSplit, Orbit, SplitInput, extraterrestrial_normal_w_m2, haurwitz_ghi_w_m2, solar_hour,
    split_series, sun_in_interval,
};
use swimdays_weather::WeatherYear;

/// What a word says of the sky.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum SkyWord {
    /// Sunny, clear: up to an eighth of cloud.
    Clear,
    /// Mostly sunny: an eighth to three.
    MostlyClear,
    /// Sun and clouds: three eighths to five.
    Partly,
    /// Mostly cloudy: five eighths to seven.
    MostlyCloudy,
    /// Cloudy, grey, rain: more than seven eighths.
    Overcast,
}

impl SkyWord {
    /// What may be written, for messages.
    pub const FORMS: &'static str =
        "`sunny`, `mostly sunny`, `sun and clouds`, `mostly cloudy`, `cloudy` or `rain`";

    /// The word in a cell about the sky.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let text = text.to_lowercase();
        Self::in_note(&text).or_else(|| {
            let has = |word: &str| text.contains(word);
            if has("clear") || has("blue") || has("bright") {
                Some(Self::Clear)
            } else if has("fair") || has("hazy") || has("haze") {
                Some(Self::MostlyClear)
            } else if has("grey") || has("gray") || has("dull") || has("fog") || has("clouds") {
                Some(Self::Overcast)
            } else {
                (text.trim() == "sun").then_some(Self::Clear)
            }
        })
    }

    /// The word in a note about anything, where `clear` may be the water.
    #[must_use]
    pub fn in_note(text: &str) -> Option<Self> {
        let text = text.to_lowercase();
        let has = |word: &str| text.contains(word);
        let half = has("partly")
            || has("half")
            || has("sun and cloud")
            || has("mixed")
            || has("some cloud")
            || has("clouds and sun");
        let mostly = has("mostly") || has("mainly");
        if has("cloudless")
            || has("no cloud")
            || has("not a cloud")
            || has("clear sky")
            || has("clear skies")
        {
            Some(Self::Clear)
        } else if has("no sun") || has("not sunny") || has("without sun") || has("overcast") {
            Some(Self::Overcast)
        } else if half && (has("sun") || has("cloud")) {
            Some(Self::Partly)
        } else if has("sunny") {
            Some(if mostly {
                Self::MostlyClear
            } else {
                Self::Clear
            })
        } else if has("cloudy") {
            Some(if mostly {
                Self::MostlyCloudy
            } else {
                Self::Overcast
            })
        } else if has("showers") {
            Some(Self::MostlyCloudy)
        } else if has("rain") && !has("no rain") && !has("drain") || has("drizzle") {
            Some(Self::Overcast)
        } else {
            None
        }
    }

    /// Share of the sky under cloud: least, middle and most that the word stands for.
    ///
    /// Source: the terms of the US National Weather Service in eighths of the sky (from memory).
    #[must_use]
    pub const fn cloud_frac(self) -> [f64; 3] {
        match self {
            Self::Clear => [0.0, 0.05, 0.125],
            Self::MostlyClear => [0.125, 0.25, 0.375],
            Self::Partly => [0.375, 0.5, 0.625],
            Self::MostlyCloudy => [0.625, 0.75, 0.875],
            Self::Overcast => [0.875, 0.97, 1.0],
        }
    }
}

/// Share of the clear sky's sun that clouds leave: `1 − 0.75 N^3.4`.
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | N | `cloud_frac` | share of the sky | 0…1 |
///
/// Source: Kasten & Czeplak (1980), Solar Energy 24:177 (from memory).
#[must_use]
pub fn sun_through_clouds_frac(cloud_frac: f64) -> f64 {
    1.0 - 0.75 * cloud_frac.clamp(0.0, 1.0).powf(3.4)
}

/// What a row says of the weather of its day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayRemark {
    /// Line of the log.
    pub line: usize,
    /// The day.
    pub date: NaiveDate,
    /// The sky.
    pub sky: Option<SkyWord>,
    /// Highest air temperature, °C.
    pub max_c: Option<f64>,
    /// Lowest air temperature, °C.
    pub min_c: Option<f64>,
}

/// Which end of what the words stand for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lean {
    /// The clearest sky that the word allows.
    Clear,
    /// The middle.
    Middle,
    /// The cloudiest.
    Cloudy,
}

impl Lean {
    const fn index(self) -> usize {
        match self {
            Self::Clear => 0,
            Self::Middle => 1,
            Self::Cloudy => 2,
        }
    }
}

/// All that the rows say of one day.
#[derive(Clone, Copy, Debug, Default)]
struct Day {
    clouds: f64,
    words: f64,
    max_c: Option<f64>,
    min_c: Option<f64>,
}

/// `year` with the days that remarks tell of changed to what they say.
///
/// Sun: Haurwitz's clear sky times [`sun_through_clouds_frac`], several words a day averaged; direct and diffuse by Ridley, Boland,
/// Lauret (2010). Air: the day's own course between its coldest morning hour and its warmest afternoon hour, stretched to the two numbers; one number alone moves the
/// day. Infrared and sky cover, which would contradict, are left out of the whole year when a sky was named; the dew point stays
/// below the air.
#[must_use]
pub fn remarked(year: &WeatherYear, remarks: &[DayRemark], lean: Lean) -> WeatherYear {
    let mut out = year.clone();
    let starts: Vec<NaiveDateTime> = (0..year.len()).map(|i| year.start_of(i)).collect();
    let day_of = |date: NaiveDate| -> Day {
        let mut day = Day::default();
        for remark in remarks.iter().filter(|r| r.date == date) {
            if let Some(sky) = remark.sky {
                day.clouds += sun_through_clouds_frac(sky.cloud_frac()[lean.index()]);
                day.words += 1.0;
            }
            day.max_c = remark.max_c.or(day.max_c);
            day.min_c = remark.min_c.or(day.min_c);
        }
        day
    };
    let mut dates: Vec<NaiveDate> = remarks.iter().map(|r| r.date).collect();
    dates.sort_unstable();
    dates.dedup();
    let days: Vec<(NaiveDate, Day)> = dates.into_iter().map(|date| (date, day_of(date))).collect();
    let of = |date: NaiveDate| {
        days.binary_search_by_key(&date, |(d, _)| *d)
            .ok()
            .map(|at| days[at].1)
    };
    sun(&mut out, &starts, |date| {
        of(date)
            .filter(|d| d.words > 0.0)
            .map(|d| d.clouds / d.words)
    });
    air(&mut out, &starts, &|date| {
        of(date).map_or((None, None), |d| (d.min_c, d.max_c))
    });
    out
}

/// Puts the sun of the days of which `clouds` gives the share that passes.
fn sun(
    year: &mut WeatherYear,
    starts: &[NaiveDateTime],
    clouds: impl Fn(NaiveDate) -> Option<f64>,
) {
    let shares: Vec<Option<f64>> = starts.iter().map(|start| clouds(start.date())).collect();
    if shares.iter().all(Option::is_none) {
        return;
    }
    let (place, interval_s) = (&year.place, year.interval_s());
    let (mut cos_zenith, mut sunlit_frac, mut outside, mut hours) =
        (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for start in starts {
        let local_s =
            i32::try_from(start.and_utc().timestamp() - UNIX_2000_S).map_or(0.0, f64::from);
        let unix_s = local_s + BASE_S - place.utc_offset_h * 3600.0;
        let lit = sun_in_interval(
            Orbit::Real,
            unix_s,
            interval_s,
            place.latitude_deg,
            place.longitude_deg,
        );
        cos_zenith.push(lit.sun.cos_zenith());
        sunlit_frac.push(lit.sunlit_frac);
        outside.push(extraterrestrial_normal_w_m2(lit.sun.earth_sun_distance_au));
        hours.push(solar_hour(
            unix_s + 0.5 * interval_s,
            place.longitude_deg,
            &lit.sun,
        ));
    }
    let columns = &mut year.columns;
    for (i, share) in shares.iter().enumerate() {
        if let Some(share) = share {
            columns.ghi_w_m2[i] = share * haurwitz_ghi_w_m2(cos_zenith[i]) * sunlit_frac[i];
        }
    }
    let (dni, dhi) = split_series(
        DiffuseSplit::default(),
        &SplitInput {
            ghi_w_m2: &columns.ghi_w_m2,
            cos_zenith: &cos_zenith,
            sunlit_frac: &sunlit_frac,
            extraterrestrial_normal_w_m2: &outside,
            solar_hour: &hours,
        },
    );
    for i in 0..shares.len() {
        if shares[i].is_some() {
            columns.dni_w_m2[i] = dni[i];
            columns.dhi_w_m2[i] = dhi[i];
        }
    }
    columns.infrared_w_m2 = None;
    columns.sky_cover_frac = None;
}

/// 1 January 2000, so that seconds of our times fit in 32 bits.
const UNIX_2000_S: i64 = 946_684_800;
/// The same as a float.
const BASE_S: f64 = 946_684_800.0;

/// When a thermometer's lowest and highest of the day are made, standard time; the rest of the night belongs to its neighbours.
const MORNING_H: std::ops::Range<u32> = 2..10;
const AFTERNOON_H: std::ops::Range<u32> = 11..19;

/// A hinge of the air's course: the coldest or the warmest interval of a day, and what it is to become.
#[derive(Clone, Copy, Debug)]
struct Hinge {
    at: usize,
    from_c: f64,
    to_c: f64,
}

/// Bends the air between the coldest and warmest intervals of the days so that these become what was written.
fn air(
    year: &mut WeatherYear,
    starts: &[NaiveDateTime],
    written: &dyn Fn(NaiveDate) -> (Option<f64>, Option<f64>),
) {
    let before = year.columns.air_c.clone();
    let mut hinges: Vec<Hinge> = Vec::new();
    let mut from = 0;
    let mut changed = false;
    while from < starts.len() {
        let date = starts[from].date();
        let to = starts[from..]
            .iter()
            .position(|s| s.date() != date)
            .map_or(starts.len(), |n| from + n);
        let by = |a: &usize, b: &usize| before[*a].total_cmp(&before[*b]);
        let between = |hours: std::ops::Range<u32>| {
            (from..to).filter(move |i| hours.contains(&starts[*i].hour()))
        };
        if let (Some(cold), Some(warm)) = (
            between(MORNING_H).min_by(by),
            between(AFTERNOON_H).max_by(by),
        ) {
            let (low, high) = (before[cold], before[warm]);
            let (to_low, to_high) = match written(date) {
                (None, None) => (low, high),
                (Some(min), None) => (min, high + (min - low)),
                (None, Some(max)) => (low + (max - high), max),
                (Some(min), Some(max)) => (min.min(max), max.max(min)),
            };
            changed |= (to_low - low).abs() + (to_high - high).abs() > 0.0;
            let mut pair = [
                Hinge {
                    at: cold,
                    from_c: low,
                    to_c: to_low,
                },
                Hinge {
                    at: warm,
                    from_c: high,
                    to_c: to_high,
                },
            ];
            pair.sort_by_key(|h| h.at);
            hinges.extend(pair);
        }
        from = to;
    }
    let (true, Some(first), Some(last)) =
        (changed, hinges.first().copied(), hinges.last().copied())
    else {
        return;
    };
    let air_c = &mut year.columns.air_c;
    for (i, air) in air_c.iter_mut().enumerate().take(first.at + 1) {
        *air = before[i] + first.to_c - first.from_c;
    }
    for (i, air) in air_c.iter_mut().enumerate().skip(last.at) {
        *air = before[i] + last.to_c - last.from_c;
    }
    for pair in hinges.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let span = b.at.saturating_sub(a.at);
        let (shift, rise) = (a.to_c - a.from_c, b.from_c - a.from_c);
        let moved_only = (b.to_c - b.from_c - shift).abs() < 1e-9;
        for i in a.at..=b.at {
            air_c[i] = if moved_only {
                before[i] + shift
            } else {
                // Where both ends were alike there is no course to stretch: a straight line in time.
                let share = if rise.abs() > 0.5 {
                    ((before[i] - a.from_c) / rise).clamp(0.0, 1.0)
                } else {
                    ratio(i - a.at, span)
                };
                a.to_c + (b.to_c - a.to_c) * share
            };
        }
    }
    for (dew, air) in year.columns.dew_point_c.iter_mut().zip(&year.columns.air_c) {
        *dew = dew.min(*air);
    }
}

fn ratio(part: usize, whole: usize) -> f64 {
    let number = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
    if whole == 0 {
        0.0
    } else {
        number(part) / number(whole)
    }
}

/// Days from the first to the last of `dates` on which something was written of the sky, as a share.
#[must_use]
pub fn remarked_frac(remarks: &[DayRemark], from: NaiveDate, to: NaiveDate) -> f64 {
    let (mut days, mut told) = (0_u32, 0_u32);
    let mut date = from;
    while date <= to && days < 4_000 {
        days += 1;
        told += u32::from(remarks.iter().any(|r| r.date == date && r.sky.is_some()));
        date += TimeDelta::days(1);
    }
    if days == 0 {
        0.0
    } else {
        f64::from(told) / f64::from(days)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_read_and_water_is_no_sky() {
        for (text, wanted) in [
            ("Sunny", Some(SkyWord::Clear)),
            ("sun", Some(SkyWord::Clear)),
            ("mostly sunny, light wind", Some(SkyWord::MostlyClear)),
            ("sun and clouds", Some(SkyWord::Partly)),
            ("partly cloudy", Some(SkyWord::Partly)),
            ("mostly cloudy", Some(SkyWord::MostlyCloudy)),
            ("cloudy", Some(SkyWord::Overcast)),
            ("no sun all day", Some(SkyWord::Overcast)),
            ("not a cloud", Some(SkyWord::Clear)),
            ("grey", Some(SkyWord::Overcast)),
            ("windy", None),
        ] {
            assert_eq!(SkyWord::read(text), wanted, "{text}");
        }
        assert_eq!(
            SkyWord::in_note("water is clear again, filter cleaned"),
            None
        );
        assert_eq!(SkyWord::in_note("opened the drain"), None);
        assert_eq!(SkyWord::in_note("Cover off, sunny"), Some(SkyWord::Clear));
    }

    /// By hand: 0.75 × 0.5^3.4 = 0.75 × 0.09473 = 0.07105; N = 1 leaves a quarter.
    #[test]
    fn clouds_leave_what_the_source_says() {
        assert!((sun_through_clouds_frac(0.5) - 0.928_95).abs() < 1e-5);
        assert!((sun_through_clouds_frac(1.0) - 0.25).abs() < 1e-12);
        assert!((sun_through_clouds_frac(0.0) - 1.0).abs() < 1e-12);
    }
}
