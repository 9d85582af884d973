//! A year made from twelve monthly normals, against published statistics and against real years.
//!
//! `kept`: the monthly means of the table. `published`: distributions and daily courses of the literature.
//! `reality`: a pool in real years and in years made from their normals. Sources stand beside the numbers.

mod kept;
mod published;
mod reality;
mod spread;

use std::thread;

use chrono::Datelike;
use swimdays_solar::{Orbit, extraterrestrial_normal_w_m2, sun_in_interval};
use swimdays_tests::outside_folder;
use swimdays_weather::{Place, WeatherYear};

/// Real years in the packages that `.ci/run` installs: file, short name.
pub(crate) const REAL_YEARS: [(&str, &str); 8] = [
    ("pvlib-0.16.1/pvlib/data/723170TYA.CSV", "humid, 36 N"),
    (
        "pvlib-0.11.2/pvlib/data/NLD_Amsterdam062400_IWEC.epw",
        "sea coast, 52 N",
    ),
    (
        "diyepw-1.3.1/diyepw/data/tmy_epw_files/USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw",
        "continental, 42 N",
    ),
    (
        "diyepw-1.3.1/diyepw/data/tmy_epw_files/USA_CA_Mount.Shasta.725957_TMYx.epw",
        "dry summer, 41 N",
    ),
    (
        "pvlib-0.11.2/pvlib/data/tmy_45.000_8.000_2005_2023.csv",
        "foot of mountains, 45 N",
    ),
    ("pvdeg-0.7.4/pvdeg/data/psm3_demo.csv", "high plains, 40 N"),
    (
        "diyepw-1.3.1/diyepw/data/tmy_epw_files/USA_AK_Northway.AP.702910_TMY3.epw",
        "subarctic, 63 N",
    ),
    ("pvlib-0.16.1/pvlib/data/703165TY.csv", "cold coast, 55 N"),
];

/// The real years with their short names, and the first mirrored at the equator; `None` (said so) without their folder.
pub(crate) fn real_years() -> Option<Vec<(String, WeatherYear)>> {
    let folder = outside_folder("SWIMDAYS_WEATHER_DIR")?;
    let mut years: Vec<(String, WeatherYear)> = REAL_YEARS
        .iter()
        .map(|(file, name)| {
            let year = swimdays_weather::read(&folder.join(file))
                .unwrap_or_else(|e| panic!("{e} (see .ci/run)"));
            ((*name).to_owned(), year)
        })
        .collect();
    let south = mirrored(&years[0].1);
    years.push((format!("{} mirrored", years[0].0), south));
    Some(years)
}

/// A typical year turned by 182 days and put on the other side of the equator: none of the south was to be had.
fn mirrored(year: &WeatherYear) -> WeatherYear {
    let turn = |column: &Vec<f64>| {
        let mut column = column.clone();
        column.rotate_right(182 * 24);
        column
    };
    let mut out = year.clone();
    out.place.latitude_deg = -year.place.latitude_deg;
    let c = &year.columns;
    let o = &mut out.columns;
    for (to, from) in [
        (&mut o.air_c, &c.air_c),
        (&mut o.dew_point_c, &c.dew_point_c),
        (&mut o.pressure_pa, &c.pressure_pa),
        (&mut o.wind_m_s, &c.wind_m_s),
        (&mut o.ghi_w_m2, &c.ghi_w_m2),
        (&mut o.dni_w_m2, &c.dni_w_m2),
        (&mut o.dhi_w_m2, &c.dhi_w_m2),
    ] {
        *to = turn(from);
    }
    o.rain_mm = c.rain_mm.as_ref().map(turn);
    o.albedo_frac = c.albedo_frac.as_ref().map(turn);
    o.infrared_w_m2 = None;
    o.sky_cover_frac = None;
    out
}

/// Irradiance outside the atmosphere on level ground, mean of each hour, W/m².
pub(crate) fn outside_w_m2(place: &Place, year: &WeatherYear) -> Vec<f64> {
    (0..year.len())
        .map(|i| {
            #[allow(clippy::cast_precision_loss, reason = "seconds fit in 53 bits")]
            let start = year.start_of(i).and_utc().timestamp() as f64 - place.utc_offset_h * 3600.0;
            let lit = sun_in_interval(
                Orbit::Real,
                start,
                year.interval_s(),
                place.latitude_deg,
                place.longitude_deg,
            );
            extraterrestrial_normal_w_m2(lit.sun.earth_sun_distance_au)
                * lit.sun.cos_zenith().max(0.0)
                * lit.sunlit_frac
        })
        .collect()
}

/// Month of interval `i`, 0 to 11.
pub(crate) fn month(year: &WeatherYear, i: usize) -> usize {
    year.start_of(i).month0() as usize
}

/// `f` of each item, over two threads, in order.
pub(crate) fn over_threads<T: Sync, R: Send>(items: &[T], f: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let half = items.len().div_ceil(2);
    thread::scope(|scope| {
        let parts: Vec<_> = items
            .chunks(half.max(1))
            .map(|part| scope.spawn(|| part.iter().map(&f).collect::<Vec<R>>()))
            .collect();
        parts
            .into_iter()
            .flat_map(|part| part.join().expect("a thread"))
            .collect()
    })
}

/// Mean and standard deviation (of a sample).
pub(crate) fn mean_and_sd(values: &[f64]) -> (f64, f64) {
    #[allow(clippy::cast_precision_loss, reason = "a count")]
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let square = values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>();
    (mean, (square / (n - 1.0)).sqrt())
}
