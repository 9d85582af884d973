//! Three invented places, their climate tables, and the year that is made of each.
//!
//! The tables `weather-samples/*.normals.csv` were written by hand; `swimdays_weather::normals` makes hours of them with
//! a fixed seed. The values are then rounded as files have them, and each place is written in some of the formats that the
//! crate reads. EPW, TMY3 and plain CSV are written by the crate; the writers here are only for the samples.

mod nsrdb;
mod pvgis;
mod tmy2;

use std::error::Error;
use std::io::Write as _;

use swimdays_weather::normals::{generate, parse_table};
use swimdays_weather::{WeatherYear, write};

/// The seed of every place: any other gives another year with the same monthly means.
const SEED: u64 = 1;

/// Name of each place's files, and its climate table.
const PLACES: [(&str, &[u8]); 3] = [
    (
        "cool-south",
        include_bytes!("../../../../weather-samples/cool-south.normals.csv"),
    ),
    (
        "hot-dry",
        include_bytes!("../../../../weather-samples/hot-dry.normals.csv"),
    ),
    (
        "temperate",
        include_bytes!("../../../../weather-samples/temperate.normals.csv"),
    ),
];

/// A file in some format.
type Writer = fn(&WeatherYear) -> Result<Vec<u8>, Box<dyn Error>>;

/// Place, ending and format of each file.
const FILES: [(&str, &str, Writer); 9] = [
    ("cool-south", "epw", |year| Ok(write::to_epw(year).into())),
    ("cool-south", "plain.csv.gz", |year| {
        packed(&write::to_plain(year))
    }),
    ("cool-south", "pvgis.csv", |year| {
        Ok(pvgis::written(year).into())
    }),
    ("hot-dry", "epw", |year| Ok(write::to_epw(year).into())),
    ("hot-dry", "nsrdb.csv", |year| {
        Ok(nsrdb::written(year).into())
    }),
    ("hot-dry", "tmy2", |year| Ok(tmy2::written(year).into())),
    ("temperate", "epw", |year| Ok(write::to_epw(year).into())),
    ("temperate", "plain.csv", |year| {
        Ok(write::to_plain(year).into())
    }),
    ("temperate", "tmy3.csv", |year| {
        Ok(write::to_tmy3(year).into())
    }),
];

/// File names and contents.
type Files = Vec<(String, Vec<u8>)>;

/// The files, in alphabetical order.
pub(crate) fn files() -> Result<Files, Box<dyn Error>> {
    let mut files = Vec::new();
    for (place, table) in PLACES {
        let year = rounded(generate(&parse_table(table, place)?, SEED)?);
        for (_, ending, write) in FILES.iter().filter(|(of, ..)| *of == place) {
            files.push((format!("{place}.{ending}"), write(&year)?));
        }
    }
    Ok(files)
}

/// Steps of one in so many of a unit: tenths of a kelvin and of a metre a second, whole watts and pascals, hundredths of a millimetre.
fn rounded(mut year: WeatherYear) -> WeatherYear {
    let c = &mut year.columns;
    let columns = [
        (&mut c.air_c, 10.0),
        (&mut c.dew_point_c, 10.0),
        (&mut c.pressure_pa, 1.0),
        (&mut c.wind_m_s, 10.0),
        (&mut c.ghi_w_m2, 1.0),
        (&mut c.dni_w_m2, 1.0),
        (&mut c.dhi_w_m2, 1.0),
    ];
    for (values, steps) in columns
        .into_iter()
        .chain(c.rain_mm.as_mut().map(|rain| (rain, 100.0)))
    {
        for value in values {
            // + 0 turns −0 into 0.
            *value = (*value * steps).round() / steps + 0.0;
        }
    }
    year
}

/// Packed with gzip, without name and time: the same bytes every time.
fn packed(text: &str) -> Result<Vec<u8>, Box<dyn Error>> {
    let mut packer = flate2::GzBuilder::new()
        .mtime(0)
        .write(Vec::new(), flate2::Compression::best());
    packer.write_all(text.as_bytes())?;
    Ok(packer.finish()?)
}

/// A year for each month of a typical year, as formats that mix years have it; none is a leap year's February.
fn mixed_year(first: i32, month0: u32) -> i32 {
    const LATER: [i32; 12] = [6, 2, 9, 4, 0, 7, 3, 8, 5, 1, 4, 2];
    first + LATER[month0 as usize % 12]
}

/// Relative humidity, %.
fn humidity_percent(year: &WeatherYear, i: usize) -> f64 {
    use swimdays_properties::moist_air::saturation_pressure_pa as saturation;
    100.0 * saturation(year.columns.dew_point_c[i]) / saturation(year.columns.air_c[i])
}
