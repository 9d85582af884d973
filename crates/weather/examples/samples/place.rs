//! The three climates in numbers.

use swimdays_weather::Place;

/// A value in the warmest and in the coldest season.
#[derive(Clone, Copy)]
pub(crate) struct Seasons {
    pub(crate) summer: f64,
    pub(crate) winter: f64,
}

const fn of(summer: f64, winter: f64) -> Seasons {
    Seasons { summer, winter }
}

impl Seasons {
    /// Between both: `season` is 1 in the warmest time and −1 in the coldest.
    pub(crate) fn at(self, season: f64) -> f64 {
        0.5 * (self.summer * (1.0 + season) + self.winter * (1.0 - season))
    }
}

/// What the year of a place is made from.
pub(crate) struct Climate {
    /// Name of the files, without ending.
    pub(crate) file: &'static str,
    pub(crate) place: Place,
    pub(crate) seed: u64,
    /// Warmest day of the year, 0 is 1 January.
    pub(crate) warmest_day: f64,
    /// Mean air temperature, °C.
    pub(crate) air_c: Seasons,
    /// Swing of a cloudless day from minimum to maximum, K.
    pub(crate) daily_range_k: Seasons,
    /// Standard deviation of the weather of several days, K.
    pub(crate) spells_k: Seasons,
    /// Mean dew point, °C.
    pub(crate) dew_point_c: Seasons,
    /// Standard deviation of the dew point's own spells, K.
    pub(crate) dew_spells_k: f64,
    /// Middle of the cloud process: 0 is half covered, negative is clearer.
    pub(crate) cloud: Seasons,
    /// Clear-sky irradiance against Haurwitz's.
    pub(crate) clear_sky_frac: f64,
    /// Mean wind, m/s.
    pub(crate) wind_m_s: Seasons,
    /// Standard deviation of the pressure, Pa.
    pub(crate) pressure_pa: f64,
    /// How readily an overcast hour rains: lower is wetter.
    pub(crate) dryness: Seasons,
    /// Rain of a strong hour, mm.
    pub(crate) rain_mm: f64,
    pub(crate) albedo_frac: f64,
}

fn place(
    name: &str,
    latitude_deg: f64,
    longitude_deg: f64,
    utc_offset_h: f64,
    altitude_m: f64,
) -> Place {
    Place {
        name: name.into(),
        latitude_deg,
        longitude_deg,
        utc_offset_h,
        altitude_m,
    }
}

/// All three.
pub(crate) fn climates() -> [Climate; 3] {
    [
        Climate {
            file: "hot-dry",
            place: place("Dustmarrow Flat (invented)", 33.2, -112.4, -7.0, 340.0),
            seed: 20_010_733,
            warmest_day: 199.0,
            air_c: of(34.0, 10.3),
            daily_range_k: of(17.0, 18.0),
            spells_k: of(1.8, 3.0),
            dew_point_c: of(10.5, -1.0),
            dew_spells_k: 3.5,
            cloud: of(-2.0, -1.5),
            clear_sky_frac: 1.0,
            wind_m_s: of(3.2, 2.5),
            pressure_pa: 320.0,
            dryness: of(1.4, 1.2),
            rain_mm: 1.6,
            albedo_frac: 0.25,
        },
        Climate {
            file: "temperate",
            place: place("Elmwater Bend (invented)", 42.1, -85.3, -5.0, 260.0),
            seed: 20_010_742,
            warmest_day: 199.0,
            air_c: of(23.6, -6.3),
            daily_range_k: of(17.0, 16.0),
            spells_k: of(2.6, 4.5),
            dew_point_c: of(17.4, -10.2),
            dew_spells_k: 2.4,
            cloud: of(0.4, 1.5),
            clear_sky_frac: 0.97,
            wind_m_s: of(3.4, 4.8),
            pressure_pa: 650.0,
            dryness: of(1.0, 1.0),
            rain_mm: 2.2,
            albedo_frac: 0.2,
        },
        Climate {
            file: "cool-south",
            place: place("Gannet Rest (invented)", -42.4, 147.1, 10.0, 60.0),
            seed: 20_010_142,
            warmest_day: 22.0,
            air_c: of(17.4, 6.9),
            daily_range_k: of(17.0, 13.0),
            spells_k: of(2.6, 1.9),
            dew_point_c: of(9.3, 3.5),
            dew_spells_k: 2.0,
            cloud: of(0.9, 1.1),
            clear_sky_frac: 0.96,
            wind_m_s: of(4.2, 3.8),
            pressure_pa: 800.0,
            dryness: of(1.25, 1.2),
            rain_mm: 1.6,
            albedo_frac: 0.18,
        },
    ]
}
