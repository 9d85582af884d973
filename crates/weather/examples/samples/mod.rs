//! Three invented places and the weather made for them.
//!
//! The year of each place is a random process with a fixed seed, not a record of any station. What follows what:
//!
//! | quantity | made from |
//! |---|---|
//! | sky cover | two first-order autoregressive processes, by day and by hour, through a logistic curve |
//! | global irradiance | clear sky of Haurwitz (1945) × `1 − 0.75 N^3.4` (Kasten & Czeplak 1980) |
//! | diffuse, direct | Erbs, Klein & Duffie (1982); then rounded, and global recomputed from both |
//! | air temperature | annual cosine + weather of several days + cloud + the daily shape of Erbs, Klein & Beckman (1983) |
//! | dew point | annual cosine + weather of several days; never above the air |
//! | wind | Rayleigh (Weibull, shape 2), strongest in the afternoon |
//! | pressure | standard atmosphere + weather of several days, low under cloud |
//! | rain | in overcast hours above freezing |
//! | infrared | Berdahl & Martin (1984) clear sky with hour and pressure terms, cloud by `0.84 N` |
//!
//! Magnitudes of each climate are chosen so that its monthly means look like such a climate (common practice, no
//! source). Both forms of a place are written from the same year.

mod noise;
mod place;
mod sun;
mod year;

use swimdays_weather::write;

/// File names and contents, in alphabetical order.
pub(crate) fn files() -> Vec<(String, String)> {
    let mut files = Vec::new();
    for climate in place::climates() {
        let year = year::make(&climate);
        files.push((format!("{}.csv", climate.file), write::to_tmy3(&year)));
        files.push((format!("{}.epw", climate.file), write::to_epw(&year)));
    }
    files.sort();
    files
}
