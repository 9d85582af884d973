//! Longwave radiation of the sky.

use swimdays_properties::constants::{STEFAN_BOLTZMANN_W_M2_K4, ZERO_CELSIUS_K};

use crate::plane::Plane;

/// Emissivity of the clear sky, 0 to 1.
///
/// `ε = 0.711 + 0.56 (Td/100) + 0.73 (Td/100)² + 0.013 cos(2π t/24) + 0.00012 (p − 1000)`
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | Td | `dew_point_c` | °C | −20 to 30 |
/// | t | `solar_hour` | h from midnight | 0–24 |
/// | p | `pressure_pa`/100 | hPa | 700 to 1050 |
///
/// Outside the range the formula goes on; the result is bounded by 0.4 and 1 (its parabola turns up again below −38 °C).
///
/// Source: Berdahl & Martin (1984), *Emissivity of clear skies*, Solar Energy 32:663.
///
/// ```
/// // 15 °C at 1000 hPa and 6 h (no hour term): 0.711 + 0.084 + 0.016425.
/// let e = swimdays_solar::clear_sky_emissivity(15.0, 6.0, 100_000.0);
/// assert!((e - 0.811_425).abs() < 1e-9);
/// ```
#[must_use]
pub fn clear_sky_emissivity(dew_point_c: f64, solar_hour: f64, pressure_pa: f64) -> f64 {
    let dew = (dew_point_c / 100.0).max(-0.56 / (2.0 * 0.73));
    let hour = 0.013 * (std::f64::consts::TAU * solar_hour / 24.0).cos();
    let pressure = 0.000_12 * (pressure_pa / 100.0 - 1000.0);
    (0.711 + dew * (0.56 + 0.73 * dew) + hour + pressure).clamp(0.4, 1.0)
}

/// Emissivity of the clear sky from vapour pressure and air temperature, 0 to 1: `1.24 (e/T)^(1/7)`, e in hPa, T in K.
///
/// Source: Brutsaert (1975), Water Resources Research 11:742.
#[must_use]
pub fn brutsaert_emissivity(vapour_pressure_pa: f64, air_c: f64) -> f64 {
    let ratio = vapour_pressure_pa.max(0.0) / 100.0 / (air_c + ZERO_CELSIUS_K);
    (1.24 * ratio.powf(1.0 / 7.0)).clamp(0.4, 1.0)
}

/// Share of the gap to 1 that an overcast sky closes. Source: Walter and others (2005), J. Hydrology 300:65, the 0.84
/// of Unsworth & Monteith (1975) (secondary).
const CLOUD_CLOSES_FRAC: f64 = 0.84;

/// Emissivity of a sky partly covered by cloud: `ε + 0.84 N (1 − ε)`, N: covered share, 0 to 1.
///
/// Source: after Unsworth & Monteith (1975), Q. J. R. Meteorol. Soc. 101:13; in the shape of Martin & Berdahl
/// (1984), Solar Energy 33:321, with one mean for all clouds.
#[must_use]
pub fn cloudy_emissivity_from_cover(clear: f64, sky_cover_frac: f64) -> f64 {
    clear + CLOUD_CLOSES_FRAC * sky_cover_frac.clamp(0.0, 1.0) * (1.0 - clear)
}

/// Emissivity of the whole sky by the other usual formula, 0 to 1.
///
/// `ε = [0.787 + 0.764 ln(Td/273)] (1 + 0.0224 N − 0.0035 N² + 0.00028 N³)`, Td in K, N in tenths.
///
/// Source: Clark & Allen (1978), Proc. 2nd National Passive Solar Conference; cloud terms Walton (1983), NBSIR
/// 83-2655 (as remembered).
#[must_use]
pub fn walton_emissivity(dew_point_c: f64, sky_cover_frac: f64) -> f64 {
    let n = 10.0 * sky_cover_frac.clamp(0.0, 1.0);
    let clear = 0.787 + 0.764 * ((dew_point_c + ZERO_CELSIUS_K) / 273.0).ln();
    (clear * (1.0 + n * (0.0224 + n * (-0.0035 + n * 0.000_28)))).clamp(0.4, 1.0)
}

/// Emissivity of the sky from the share of clear-sky sun that arrives: `(1 − s) + s ε`, s: 0 to 1.
///
/// Source: Crawford & Duchon (1999), J. Appl. Meteorology 38:474.
#[must_use]
pub fn cloudy_emissivity_from_sun(clear: f64, sun_share_frac: f64) -> f64 {
    let s = sun_share_frac.clamp(0.0, 1.0);
    (1.0 - s) + s * clear
}

/// Global irradiance under a clear sky, W/m²: `1098 cos θz exp(−0.059/cos θz)`; 0 with the sun down.
///
/// Source: Haurwitz (1945), J. Meteorology 2:154.
#[must_use]
pub fn haurwitz_ghi_w_m2(cos_zenith: f64) -> f64 {
    if cos_zenith <= 0.0 {
        0.0
    } else {
        1098.0 * cos_zenith * (-0.059 / cos_zenith).exp()
    }
}

/// Longwave a black surface sends out, W/m²: `σ T⁴`.
#[must_use]
pub fn black_body_w_m2(surface_c: f64) -> f64 {
    let squared = (surface_c + ZERO_CELSIUS_K) * (surface_c + ZERO_CELSIUS_K);
    STEFAN_BOLTZMANN_W_M2_K4 * squared * squared
}

/// Where the longwave of the sky was taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LongwaveSource {
    /// The file's horizontal infrared.
    Infrared,
    /// The file's sky cover, with a clear-sky emissivity.
    SkyCover,
    /// How much of the clear-sky sun arrives, with a clear-sky emissivity.
    SunCloudiness,
}

impl LongwaveSource {
    /// How a report says it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Infrared => "horizontal infrared of the weather file",
            Self::SkyCover => "sky cover of the weather file",
            Self::SunCloudiness => "cloudiness from the sun",
        }
    }
}

/// A weather series whose sky is wanted. All slices have one value per interval, finite (no NaN).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LongwaveInput<'a> {
    /// Air temperature, °C.
    pub air_c: &'a [f64],
    /// Dew point, °C.
    pub dew_point_c: &'a [f64],
    /// Air pressure, Pa.
    pub pressure_pa: &'a [f64],
    /// Apparent solar time, hours from midnight.
    pub solar_hour: &'a [f64],
    /// Global horizontal irradiance, W/m².
    pub ghi_w_m2: &'a [f64],
    /// Cosine of the zenith angle of the sun in the interval.
    pub cos_zenith: &'a [f64],
    /// Sunlit share of the interval.
    pub sunlit_frac: &'a [f64],
    /// Longwave from the sky on a horizontal plane, W/m², when the file has it.
    pub infrared_w_m2: Option<&'a [f64]>,
    /// Share of the sky covered, 0 to 1, when the file has it.
    pub sky_cover_frac: Option<&'a [f64]>,
    /// Length of an interval, minutes.
    pub interval_minutes: f64,
    /// Whether the series closes on itself (a typical year).
    pub periodic: bool,
}

/// Width of the window over which the sun's cloudiness is taken, hours.
///
/// Source: the middle of 9 to 25 h. When this project was planned, windows between these gave, against 48 076 hours of
/// measured longwave (Virginia, 2015–2020), a bias of −7 to 0 W/m² and an rmse of 25 to 28 W/m²; that
/// comparison is not repeated by the tests.
pub const CLOUDINESS_WINDOW_H: f64 = 15.0;

/// Longwave from the open sky on a horizontal plane, W/m², and where it was taken from.
///
/// The file's infrared when given; else its sky cover ([`clear_sky_emissivity`] with
/// [`cloudy_emissivity_from_cover`]); else cloudiness from the sun (with [`cloudy_emissivity_from_sun`]), see
/// [`sun_share_frac`]. `L = ε σ T⁴` with the air's temperature.
///
/// # Panics
/// When a slice is not as long as `air_c`.
#[must_use]
pub fn sky_longwave_w_m2(input: &LongwaveInput) -> (Vec<f64>, LongwaveSource) {
    let n = input.air_c.len();
    let always = [
        input.dew_point_c,
        input.pressure_pa,
        input.solar_hour,
        input.ghi_w_m2,
        input.cos_zenith,
        input.sunlit_frac,
    ];
    let sometimes = [input.infrared_w_m2, input.sky_cover_frac];
    assert!(
        always
            .into_iter()
            .chain(sometimes.into_iter().flatten())
            .all(|slice| slice.len() == n),
        "the slices have one value per interval"
    );
    if let Some(infrared) = input.infrared_w_m2 {
        return (infrared.to_vec(), LongwaveSource::Infrared);
    }
    let clear = |i: usize| {
        clear_sky_emissivity(
            input.dew_point_c[i],
            input.solar_hour[i],
            input.pressure_pa[i],
        )
    };
    if let Some(cover) = input.sky_cover_frac {
        let sky = (0..n)
            .map(|i| {
                cloudy_emissivity_from_cover(clear(i), cover[i]) * black_body_w_m2(input.air_c[i])
            })
            .collect();
        return (sky, LongwaveSource::SkyCover);
    }
    let share = sun_share_frac(input, CLOUDINESS_WINDOW_H);
    let sky = (0..n)
        .map(|i| cloudy_emissivity_from_sun(clear(i), share[i]) * black_body_w_m2(input.air_c[i]))
        .collect();
    (sky, LongwaveSource::SunCloudiness)
}

/// Share assumed where a series holds no daylight at all (a polar winter): nothing is known of the cloud.
const UNKNOWN_SHARE_FRAC: f64 = 0.5;

/// Share of the clear-sky sun that arrives, 0 to 1, one value per interval.
///
/// By day: global over clear-sky irradiance ([`haurwitz_ghi_w_m2`]), each summed over the daylight of a window of
/// `window_h` hours centred on the interval, at most 1. By night: interpolated in time between the evening and the
/// next morning; around the ends when the series is periodic, else held. A series without daylight has 0.5.
///
/// Source: Crawford & Duchon (1999), J. Appl. Meteorology 38:474, with a wider window (see [`CLOUDINESS_WINDOW_H`]).
#[must_use]
pub fn sun_share_frac(input: &LongwaveInput, window_h: f64) -> Vec<f64> {
    let n = input.ghi_w_m2.len();
    let half = half_window(window_h, input.interval_minutes).min(n.saturating_sub(1) / 2);
    let clear: Vec<f64> = (0..n)
        .map(|i| haurwitz_ghi_w_m2(input.cos_zenith[i]) * input.sunlit_frac[i])
        .collect();
    let mut share: Vec<Option<f64>> = vec![None; n];
    for (i, here) in share.iter_mut().enumerate() {
        if clear[i] <= 0.0 {
            continue;
        }
        let (mut arrived, mut possible) = (0.0, 0.0);
        let mut add = |k: usize| {
            if clear[k] > 0.0 {
                arrived += input.ghi_w_m2[k];
                possible += clear[k];
            }
        };
        if input.periodic {
            (0..=2 * half).for_each(|step| add((i + n - half + step) % n));
        } else {
            (i.saturating_sub(half)..(i + half + 1).min(n)).for_each(add);
        }
        *here = Some((arrived / possible).clamp(0.0, 1.0));
    }
    bridge_nights(&share, input.periodic)
}

/// Fills the gaps by straight lines between their ends.
fn bridge_nights(share: &[Option<f64>], periodic: bool) -> Vec<f64> {
    let known: Vec<(usize, f64)> = share
        .iter()
        .enumerate()
        .filter_map(|(i, s)| s.map(|s| (i, s)))
        .collect();
    let n = share.len();
    let (Some(&first), Some(&last)) = (known.first(), known.last()) else {
        return vec![UNKNOWN_SHARE_FRAC; n];
    };
    let mut filled = vec![0.0; n];
    for pair in known.windows(2) {
        let ((from, a), (to, b)) = (pair[0], pair[1]);
        line(&mut filled, from, to, a, b);
    }
    if periodic {
        line(&mut filled, last.0, first.0 + n, last.1, first.1);
    } else {
        filled[..first.0].fill(first.1);
        filled[last.0..].fill(last.1);
    }
    filled
}

/// Writes the straight line from `a` at `from` to `b` at `to` (inclusive), indices modulo the length.
fn line(filled: &mut [f64], from: usize, to: usize, a: f64, b: f64) {
    let n = filled.len();
    #[allow(clippy::cast_precision_loss, reason = "indices of a series")]
    for i in from..=to {
        let at = if to > from {
            (i - from) as f64 / (to - from) as f64
        } else {
            0.0
        };
        filled[i % n] = a + (b - a) * at;
    }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a small count, at least 0; `as` saturates"
)]
fn half_window(window_h: f64, interval_minutes: f64) -> usize {
    (0.5 * window_h * 60.0 / interval_minutes).floor().max(0.0) as usize
}

/// Longwave that strikes a plane, W/m².
///
/// `L = F Ls + (1 − F) σ Ta⁴`, `F = s (1 + cos β)/2`: the ground, and whatever hides the sky, are taken as black at
/// the air's temperature.
///
/// | symbol | argument | unit | range |
/// |---|---|---|---|
/// | Ls | `horizontal_w_m2` | W/m² | of the open sky |
/// | Ta | `air_c` | °C | any |
/// | s | `sky_frac` | 1 | 0–1, [`crate::Horizon::sky_frac`] |
/// | β | `plane.tilt_deg` | degree | 0–180 |
///
/// Source: view factor of Liu & Jordan (1963), Solar Energy 7:53; surroundings at air temperature: common practice.
#[must_use]
pub fn plane_longwave_w_m2(horizontal_w_m2: f64, air_c: f64, plane: &Plane, sky_frac: f64) -> f64 {
    let sky = sky_frac * plane.sky_view_frac();
    sky * horizontal_w_m2 + (1.0 - sky) * black_body_w_m2(air_c)
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROUNDING: f64 = 1e-12;

    fn day(ghi_share: f64) -> (Vec<f64>, Vec<f64>, Vec<f64>, Vec<f64>) {
        let hour: Vec<f64> = (0..72).map(|i| f64::from(i % 24) + 0.5).collect();
        let cos_zenith: Vec<f64> = hour
            .iter()
            .map(|h| -(std::f64::consts::TAU * h / 24.0).cos())
            .collect();
        let lit: Vec<f64> = cos_zenith
            .iter()
            .map(|&c| if c > 0.0 { 1.0 } else { 0.0 })
            .collect();
        let ghi = cos_zenith
            .iter()
            .map(|&c| ghi_share * haurwitz_ghi_w_m2(c))
            .collect();
        (hour, cos_zenith, lit, ghi)
    }

    fn input<'a>(
        constant: &'a [f64],
        pressure: &'a [f64],
        d: &'a (Vec<f64>, Vec<f64>, Vec<f64>, Vec<f64>),
        periodic: bool,
    ) -> LongwaveInput<'a> {
        LongwaveInput {
            air_c: constant,
            dew_point_c: constant,
            pressure_pa: pressure,
            solar_hour: &d.0,
            ghi_w_m2: &d.3,
            cos_zenith: &d.1,
            sunlit_frac: &d.2,
            infrared_w_m2: None,
            sky_cover_frac: None,
            interval_minutes: 60.0,
            periodic,
        }
    }

    #[test]
    fn a_steady_share_of_the_sun_is_found_by_day_and_night() {
        let (constant, pressure) = (vec![15.0; 72], vec![1e5; 72]);
        for share in [0.0, 0.3, 1.0] {
            let d = day(share);
            for periodic in [true, false] {
                let found = sun_share_frac(&input(&constant, &pressure, &d, periodic), 15.0);
                assert!(
                    found.iter().all(|s| (s - share).abs() < ROUNDING),
                    "{found:?}"
                );
            }
        }
    }

    #[test]
    fn nights_are_bridged_and_polar_night_is_unknown() {
        let share = [None, Some(0.2), None, None, None, Some(1.0), None];
        let held = bridge_nights(&share, false);
        let expected = [0.2, 0.2, 0.4, 0.6, 0.8, 1.0, 1.0];
        assert!(
            held.iter()
                .zip(expected)
                .all(|(a, b)| (a - b).abs() < ROUNDING),
            "{held:?}"
        );
        let round = bridge_nights(&share, true);
        assert!((round[6] - (1.0 - 0.8 / 3.0)).abs() < ROUNDING);
        assert!((round[0] - (1.0 - 1.6 / 3.0)).abs() < ROUNDING);
        assert!(
            bridge_nights(&[None, None], true)
                .iter()
                .all(|s| (s - 0.5).abs() < ROUNDING)
        );
        assert!(
            bridge_nights(&[Some(0.7)], true)
                .iter()
                .all(|s| (s - 0.7).abs() < ROUNDING)
        );
        assert!(bridge_nights(&[], true).is_empty());
    }

    #[test]
    fn the_better_source_wins() {
        let (constant, pressure, d) = (vec![15.0; 72], vec![1e5; 72], day(0.5));
        let infrared = vec![301.0; 72];
        let cover = vec![1.0; 72];
        let mut i = input(&constant, &pressure, &d, true);
        assert_eq!(sky_longwave_w_m2(&i).1, LongwaveSource::SunCloudiness);
        i.sky_cover_frac = Some(&cover);
        assert_eq!(sky_longwave_w_m2(&i).1, LongwaveSource::SkyCover);
        i.infrared_w_m2 = Some(&infrared);
        let (sky, source) = sky_longwave_w_m2(&i);
        assert_eq!(source, LongwaveSource::Infrared);
        assert!((sky[0] - 301.0).abs() < ROUNDING);
    }

    #[test]
    fn clouds_and_vapour_warm_the_sky_and_it_never_outshines_the_air() {
        let mut last = 0.0;
        for dew in -60..=35 {
            let e = clear_sky_emissivity(f64::from(dew), 0.0, 101_325.0);
            assert!(e >= last && e <= 1.0, "{dew} {e}");
            last = e;
            let mut cloudier = e;
            for tenth in 0..=10 {
                let now = cloudy_emissivity_from_cover(e, f64::from(tenth) / 10.0);
                assert!(now >= cloudier && now <= 1.0);
                cloudier = now;
                let from_sun = cloudy_emissivity_from_sun(e, f64::from(tenth) / 10.0);
                assert!(from_sun >= e - ROUNDING && from_sun <= 1.0);
            }
        }
    }

    #[test]
    fn a_plane_that_sees_no_sky_sees_the_air() {
        let down = Plane {
            tilt_deg: 180.0,
            azimuth_deg: 0.0,
        };
        let air = black_body_w_m2(20.0);
        assert!((plane_longwave_w_m2(300.0, 20.0, &down, 1.0) - air).abs() < 1e-9);
        assert!((plane_longwave_w_m2(300.0, 20.0, &Plane::HORIZONTAL, 0.0) - air).abs() < 1e-9);
        assert!((plane_longwave_w_m2(300.0, 20.0, &Plane::HORIZONTAL, 1.0) - 300.0).abs() < 1e-9);
    }
}
