//! Where the radiation's noon lies against the sun's, day by day.
//!
//! Three steps, none of which trusts the file's clock:
//!
//! 1. *Coarse.* The mean of all radiation on the circle of the hour angle gives the radiation's noon to about half an hour, wherever
//!    on the clock it is. Days are cut half a day from it, so that a file with the wrong clock has whole days too.
//! 2. *Clear days.* A clear day brings much of what lies outside the air and rises and falls once. Both are asked without the
//!    clock: share of the extraterrestrial sum, and total variation against twice the maximum.
//! 3. *Fine.* On the best of them, scale and shift of a clear-sky shape (Haurwitz) are fitted to the day by least squares in
//!    which hours off the shape lose their weight (Tukey's biweight). The shape is symmetric about noon, so that a wrong
//!    turbidity moves no noon. Hours at the horizon are left out: there means and snapshots differ.
//!
//! What the method itself cannot know: air that is hazier in the afternoon than in the morning. One and a half per cent of radiation either
//! way moves the noon by three to four minutes (at 45° hour angle the sun falls by 26 % an hour).

use swimdays_solar::{extraterrestrial_normal_w_m2, haurwitz_ghi_w_m2, sun_position};

use crate::suns::Axis;
use crate::year::Place;

/// Clearest days that give the median.
pub(crate) const CLEAREST_DAYS: usize = 20;

/// Days that are fitted; the best fits among them count.
const FITTED_DAYS: usize = 45;

/// Days of each half of the year that are fitted to see whether the clock is one and the same.
const HALF_YEARS_DAYS: usize = 15;

/// Both are asked well away from the equinoxes, when clocks are changed: tangent of a declination of 12°, late April to late August and late
/// October to mid February.
const HALF_TAN_DECLINATION: f64 = 0.2126;

/// Fewer clear days say nothing.
pub(crate) const LEAST_DAYS: usize = 5;

/// A day brighter than this share of the extraterrestrial sum may be clear: on cloudless days it is 0.6 to 0.8, in thick haze 0.5
/// (common practice, no source).
const LEAST_CLEARNESS: f64 = 0.5;

/// Sun at noon must be this high, cosine of the zenith angle: lower shapes are flat and hazy.
const LEAST_NOON_COS: f64 = 0.2;

/// Hours with a lower sun are not fitted (about 6° of elevation).
const LEAST_COS: f64 = 0.1;

/// A fitted day whose residual is more than this share of its mean is not clear.
const LARGEST_RESIDUAL_FRAC: f64 = 0.12;

/// Rounds of Gauss–Newton.
const ROUNDS: usize = 8;

/// Biweight constant: 95 % efficient on normal errors (Beaton & Tukey 1974; from memory).
const BIWEIGHT: f64 = 4.685;

/// A series of global irradiance on its clock.
pub(crate) struct Series<'a> {
    pub(crate) ghi_w_m2: &'a [f64],
    /// Time by the file's clock and offset.
    pub(crate) axis: Axis,
    pub(crate) place: &'a Place,
}

/// One day: its window of intervals and the sun.
pub(crate) struct Day {
    pub(crate) first: usize,
    pub(crate) end: usize,
    /// True solar noon, hours since the start of the series.
    noon_h: f64,
    /// `cos z = a + b cos(hour angle)`.
    a: f64,
    b: f64,
    pub(crate) tan_declination: f64,
    /// Extraterrestrial irradiance facing the sun, W/m².
    outside_w_m2: f64,
}

/// What was measured.
pub(crate) struct Measured {
    pub(crate) days: usize,
    /// Radiation's noon minus the sun's, both on the file's clock, h.
    pub(crate) late_h: f64,
    /// Interquartile range of the days, h.
    pub(crate) spread_h: f64,
    /// Between the medians of the half-years with the sun more than 12° north and south of the equator, h; `None` with too few clear days in one.
    pub(crate) halves_apart_h: Option<f64>,
    /// Every whole day of the series.
    pub(crate) all_days: Vec<Day>,
}

/// Measures the radiation's noon; `None` with too few clear days.
pub(crate) fn measure(series: &Series) -> Option<Measured> {
    let coarse_h = coarse_late_h(series)?;
    let all_days = days(series, coarse_h);
    let mut candidates: Vec<(f64, usize)> = all_days
        .iter()
        .enumerate()
        .filter_map(|(at, day)| Some((clear_score(series, day)?, at)))
        .collect();
    candidates.sort_by(|x, y| y.0.total_cmp(&x.0));
    let late = |most: usize, best: usize, of: &dyn Fn(&Day) -> bool| -> Vec<f64> {
        let mut fits: Vec<(f64, f64)> = candidates
            .iter()
            .map(|&(_, at)| &all_days[at])
            .filter(|day| of(day))
            .take(most)
            .filter_map(|day| fit(series, day, coarse_h))
            .collect();
        fits.sort_by(|x, y| x.0.total_cmp(&y.0));
        fits.truncate(best);
        let mut late_h: Vec<f64> = fits.iter().map(|fit| fit.1).collect();
        late_h.sort_by(f64::total_cmp);
        late_h
    };
    let late_h = late(FITTED_DAYS, CLEAREST_DAYS, &|_| true);
    if late_h.len() < LEAST_DAYS {
        return None;
    }
    // The clearest days are mostly summer's: each half of the year is asked for itself.
    let half = |sign: f64| {
        let half_h = late(HALF_YEARS_DAYS, HALF_YEARS_DAYS, &|day| {
            sign * day.tan_declination > HALF_TAN_DECLINATION
        });
        (half_h.len() >= LEAST_DAYS).then(|| quantile(&half_h, 0.5))
    };
    let halves_apart_h = half(1.0)
        .zip(half(-1.0))
        .map(|(north, south)| (north - south).abs());
    Some(Measured {
        days: late_h.len(),
        late_h: quantile(&late_h, 0.5),
        spread_h: quantile(&late_h, 0.75) - quantile(&late_h, 0.25),
        halves_apart_h,
        all_days,
    })
}

/// Radiation's noon minus the sun's, −12 to 12 h, from the mean on the circle; `None` without radiation.
fn coarse_late_h(series: &Series) -> Option<f64> {
    let per_day = 24.0 * 3600.0 / series.axis.interval_s;
    let (mut along, mut across) = (0.0, 0.0);
    let mut i = 0;
    while i < series.ghi_w_m2.len() {
        let middle_s = series.axis.first_unix_s + (to_f64(i) + 0.5) * series.axis.interval_s;
        let sun = sun_position(
            middle_s,
            series.place.latitude_deg,
            series.place.longitude_deg,
        );
        let hour = swimdays_solar::solar_hour(middle_s, series.place.longitude_deg, &sun) - 12.0;
        let (mut sin, mut cos) = angle(hour).sin_cos();
        let (step_sin, step_cos) = (std::f64::consts::TAU / per_day).sin_cos();
        let end = (i + whole(per_day).max(1)).min(series.ghi_w_m2.len());
        for &value in &series.ghi_w_m2[i..end] {
            if value > 0.0 {
                along += value * cos;
                across += value * sin;
            }
            (sin, cos) = (
                sin * step_cos + cos * step_sin,
                cos * step_cos - sin * step_sin,
            );
        }
        i = end;
    }
    (along.hypot(across) > 0.0).then(|| across.atan2(along) * 12.0 / std::f64::consts::PI)
}

/// Whole days, each half a day to either side of the radiation's noon.
fn days(series: &Series, late_h: f64) -> Vec<Day> {
    let interval_h = series.axis.interval_s / 3600.0;
    let n = series.ghi_w_m2.len();
    let length_h = to_f64(n) * interval_h;
    let (sin_latitude, cos_latitude) = series.place.latitude_deg.to_radians().sin_cos();
    // Hours from the start of the series to the first mean noon.
    let first_noon_h =
        (12.0 - series.place.longitude_deg / 15.0 - series.axis.first_unix_s / 3600.0)
            .rem_euclid(24.0)
            - 24.0;
    let mut out = Vec::new();
    let mut mean_noon_h = first_noon_h;
    while mean_noon_h + late_h < length_h {
        let sun = sun_position(
            series.axis.first_unix_s + mean_noon_h * 3600.0,
            series.place.latitude_deg,
            series.place.longitude_deg,
        );
        let noon_h = mean_noon_h - sun.equation_of_time_minutes / 60.0;
        mean_noon_h += 24.0;
        let first_h = (noon_h + late_h - 12.0) / interval_h;
        if first_h < -0.5 {
            continue;
        }
        let first = whole(first_h + 0.5);
        let end = first + whole(24.0 / interval_h);
        if end > n {
            break;
        }
        let (sin_declination, cos_declination) = sun.declination_deg.to_radians().sin_cos();
        out.push(Day {
            first,
            end,
            noon_h,
            a: sin_latitude * sin_declination,
            b: cos_latitude * cos_declination,
            tan_declination: sin_declination / cos_declination,
            outside_w_m2: extraterrestrial_normal_w_m2(sun.earth_sun_distance_au),
        });
    }
    out
}

/// How clear a day looks without its clock: the greater the clearer; `None` when it cannot be a clear day.
fn clear_score(series: &Series, day: &Day) -> Option<f64> {
    if day.a + day.b < LEAST_NOON_COS {
        return None;
    }
    let values = &series.ghi_w_m2[day.first..day.end];
    let (mut sum, mut most, mut variation, mut before) = (0.0, 0.0_f64, 0.0, 0.0);
    for &value in values.iter().filter(|value| !value.is_nan()) {
        sum += value;
        most = most.max(value);
        variation += (value - before).abs();
        before = value;
    }
    // Daily extraterrestrial on a horizontal plane: Duffie & Beckman (2013), equation 1.10.3, in hours.
    let sunset = if day.b.abs() < 1e-12 {
        if day.a > 0.0 {
            std::f64::consts::PI
        } else {
            0.0
        }
    } else {
        (-day.a / day.b).clamp(-1.0, 1.0).acos()
    };
    let outside =
        day.outside_w_m2 * 24.0 / std::f64::consts::PI * (day.a * sunset + day.b * sunset.sin());
    let clearness = sum * series.axis.interval_s / 3600.0 / outside;
    // A missing value counts as none: such a day is hardly bright enough.
    (clearness >= LEAST_CLEARNESS && most > 0.0)
        .then(|| clearness.min(0.85) - (variation / (2.0 * most) - 1.0))
}

/// Residual as a share of the day's mean, and radiation's noon minus the sun's in hours.
fn fit(series: &Series, day: &Day, coarse_h: f64) -> Option<(f64, f64)> {
    let interval_h = series.axis.interval_s / 3600.0;
    let values = &series.ghi_w_m2[day.first..day.end];
    let cos_zenith = |hour: f64| day.a + day.b * angle(hour).cos();
    let shape = |hour: f64| haurwitz_ghi_w_m2(cos_zenith(hour));
    let middle = |k: usize| (to_f64(day.first + k) + 0.5) * interval_h - day.noon_h;
    let mut late_h = coarse_h;
    let (mut scale, mut width) = (0.0, f64::INFINITY);
    let mut residuals = Vec::with_capacity(values.len());
    let (mut sum_square, mut sum, mut used) = (0.0, 0.0, 0.0);
    for round in 0..ROUNDS {
        let (mut ff, mut fd, mut dd, mut fr, mut dr) = (0.0, 0.0, 0.0, 0.0, 0.0);
        residuals.clear();
        (sum_square, sum, used) = (0.0, 0.0, 0.0);
        if round == 0 {
            let (mut top, mut bottom) = (0.0, 0.0);
            for (k, &value) in values.iter().enumerate() {
                if value.is_nan() {
                    continue;
                }
                let f = shape(middle(k) - late_h);
                top += f * value;
                bottom += f * f;
            }
            scale = top / bottom;
        }
        for (k, &value) in values.iter().enumerate() {
            let hour = middle(k) - late_h;
            let half = 0.5 * interval_h;
            if value.is_nan() || cos_zenith(hour - half).min(cos_zenith(hour + half)) < LEAST_COS {
                continue;
            }
            let f = shape(hour);
            let d = -scale * (shape(hour + 0.01) - shape(hour - 0.01)) / 0.02;
            let r = value - scale * f;
            residuals.push(r.abs());
            sum_square += r * r;
            sum += value;
            used += 1.0;
            let u = r / width;
            let w = if u.abs() < 1.0 {
                (1.0 - u * u).powi(2)
            } else {
                0.0
            };
            ff += w * f * f;
            fd += w * f * d;
            dd += w * d * d;
            fr += w * f * r;
            dr += w * d * r;
        }
        let determinant = ff * dd - fd * fd;
        if residuals.len() < 4 || determinant <= 0.0 || determinant.is_nan() {
            return None;
        }
        scale += (fr * dd - dr * fd) / determinant;
        late_h += ((ff * dr - fd * fr) / determinant).clamp(-2.0, 2.0);
        // The first rounds find the noon with all hours, the others weigh.
        if round >= 2 {
            let at = residuals.len() / 2;
            let (_, median, _) = residuals.select_nth_unstable_by(at, f64::total_cmp);
            // 1.4826 × median = standard deviation of normal errors; sensors resolve a few W/m².
            width = BIWEIGHT * (1.4826 * *median).max(5.0);
        }
    }
    let residual = (sum_square / used).sqrt() / (sum / used);
    (residual < LARGEST_RESIDUAL_FRAC && (late_h - coarse_h).abs() < 3.0)
        .then_some((residual, late_h))
}

/// Hour angle in radians.
fn angle(hour: f64) -> f64 {
    hour * std::f64::consts::PI / 12.0
}

fn quantile(sorted: &[f64], share: f64) -> f64 {
    let at = share * to_f64(sorted.len() - 1);
    let low = whole(at);
    let high = (low + 1).min(sorted.len() - 1);
    sorted[low] + (sorted[high] - sorted[low]) * at.fract()
}

#[allow(
    clippy::cast_precision_loss,
    reason = "number of intervals of a series"
)]
fn to_f64(n: usize) -> f64 {
    n as f64
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "indices of a series, not negative"
)]
fn whole(x: f64) -> usize {
    x as usize
}
