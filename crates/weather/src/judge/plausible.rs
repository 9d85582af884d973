//! Units, and whether the weather fits its place.

use chrono::Datelike;
use swimdays_properties::moist_air::pressure_at_altitude_pa;

use super::Doubts;
use crate::column::Column;
use crate::tally::Tally;

/// Dew points this far above the air are beyond rounding, K (half a unit of each, when both are whole degrees).
const DEW_ABOVE_AIR_K: f64 = 0.5;

/// Mean wind of an interval above this is a severe storm, m/s: Beaufort 12 begins at 32.7 m/s.
const HURRICANE_M_S: f64 = 32.7;

/// Windier than any town, m/s: the windiest weather stations near people (sub-Antarctic islands, capes) have 8 to 10 (common practice,
/// no source).
const WINDIEST_MEAN_M_S: f64 = 10.0;

/// Weather moves the pressure by some 5 % at most around the standard atmosphere of a place (common practice, no source).
const PRESSURE_FROM_ALTITUDE_FRAC: f64 = 0.08;

/// Greatest rain in one hour on record, mm: Holt, Missouri, 1947 (WMO archive of weather extremes; from memory).
const GREATEST_RAIN_MM_H: f64 = 305.0;

/// Greatest rain in a year that a file can mean, mm: the wettest places have 12 m (WMO; from memory).
const GREATEST_RAIN_MM_YEAR: f64 = 14_000.0;

/// Mean annual air at sea level: about 27 °C at the equator, 20 at 30°, 13 at 40°, −3 at 60°, −16 at the poles (zonal means, from memory), which is
/// 27 − 43 |sin φ|^2.5, and 6.5 K a kilometre lower above the sea. Currents and continents leave it by up to 13 K (Tromsø, Lhasa).
const EQUATOR_C: f64 = 27.0;
/// See [`EQUATOR_C`].
const TO_POLE_K: f64 = 43.0;
/// See [`EQUATOR_C`].
const LAPSE_K_M: f64 = 0.0065;
/// See [`EQUATOR_C`], with room.
const FROM_LATITUDE_K: f64 = 17.0;

/// Poleward of this the warm half of the year is the sunny one, degrees.
const SEASONS_LATITUDE_DEG: f64 = 25.0;

/// The dew point lies this far below the air in the mean nowhere: deserts have 20 to 25 K (common practice, no source).
const DRIEST_K: f64 = 35.0;

impl Doubts<'_> {
    pub(super) fn plausible(&mut self) {
        self.dew_point();
        self.wind();
        self.pressure();
        self.air();
        self.sky_cover();
        self.rain();
    }

    fn dew_point(&mut self) {
        let c = &self.year.columns;
        let above = Tally::of(self.n(), |i| {
            c.dew_point_c[i] - c.air_c[i] > DEW_ABOVE_AIR_K
        });
        self.some(
            Column::DewPoint,
            above,
            &format!("the dew point is above the air temperature by more than {DEW_ABOVE_AIR_K} K"),
            "check both columns and their units",
        );
        let below = mean(&c.air_c) - mean(&c.dew_point_c);
        if below > DRIEST_K {
            self.whole(
                Column::DewPoint,
                format!(
                    "the dew point lies {below:.0} K below the air in the mean, drier than any desert: check the unit of the humidity (percent, not a fraction) or of the air temperature"
                ),
            );
        }
    }

    fn wind(&mut self) {
        let wind = &self.year.columns.wind_m_s;
        let storms = Tally::of(self.n(), |i| wind[i] > HURRICANE_M_S);
        let mean = mean(wind);
        let long = self.year.is_whole_year();
        if long && mean > WINDIEST_MEAN_M_S {
            let storms = match storms.count {
                1 => "1 interval is a hurricane".to_owned(),
                n => format!("{n} intervals are hurricanes"),
            };
            self.whole(
                Column::Wind,
                format!(
                    "the mean wind of {mean:.1} m/s is more than any town has, {storms}: the column may be in km/h, mph or knots; then divide by 3.6, 2.237 or 1.944"
                ),
            );
            return;
        }
        self.some(
            Column::Wind,
            storms,
            &format!("the wind is above {HURRICANE_M_S} m/s, a hurricane's,"),
            "check the value, and whether the unit is m/s (not km/h, mph or knots)",
        );
    }

    fn pressure(&mut self) {
        if self.is_derived(Column::Pressure) {
            return;
        }
        let altitude_m = self.year.place.altitude_m;
        let standard = pressure_at_altitude_pa(altitude_m);
        let pressure = &self.year.columns.pressure_pa;
        let odd = Tally::of(self.n(), |i| {
            (pressure[i] / standard - 1.0).abs() > PRESSURE_FROM_ALTITUDE_FRAC
        });
        self.some(
            Column::Pressure,
            odd,
            &format!("the pressure does not fit the altitude of {altitude_m} m"),
            "check both (pressure must be the station's, not reduced to sea level)",
        );
    }

    /// Mean and season of the air against latitude and altitude.
    fn air(&mut self) {
        if !self.year.is_whole_year() {
            return;
        }
        let place = &self.year.place;
        let air = &self.year.columns.air_c;
        let mean = mean(air);
        let sin = place.latitude_deg.to_radians().sin();
        let usual = EQUATOR_C - TO_POLE_K * sin.abs().powf(2.5) - LAPSE_K_M * place.altitude_m;
        if (mean - usual).abs() > FROM_LATITUDE_K {
            let as_celsius = (mean - 32.0) / 1.8;
            let unit = if mean > usual && (as_celsius - usual).abs() < FROM_LATITUDE_K {
                format!("; read as °F it would be {as_celsius:.0} °C")
            } else {
                String::new()
            };
            self.whole(
                Column::Air,
                format!(
                    "the mean air temperature of {mean:.0} °C does not fit latitude {}° at {} m, where about {usual:.0} °C is usual{unit}: check unit and place",
                    place.latitude_deg, place.altitude_m
                ),
            );
        }
        let starts_in_january = self.year.first_start.month() == 1;
        if starts_in_january && is_warmest_in_winter(air, place.latitude_deg) {
            self.whole(
                Column::Air,
                format!(
                    "the air is warmest in the {} winter: check the sign of the latitude, and the order of the months",
                    if place.latitude_deg < 0.0 { "southern" } else { "northern" }
                ),
            );
        }
    }

    /// Eighths and fractions read as tenths never reach the full cover.
    fn sky_cover(&mut self) {
        let Some(cover) = &self.year.columns.sky_cover_frac else {
            return;
        };
        if !self.year.is_whole_year() {
            return;
        }
        let most = cover.iter().copied().fold(0.0, f64::max);
        let near = |wanted: f64| (most - wanted).abs() < 1e-9;
        let unit = if near(0.8) {
            "eighths (oktas)"
        } else if near(0.1) {
            "fractions"
        } else {
            return;
        };
        self.whole(
            Column::SkyCover,
            format!(
                "the sky is never covered by more than {:.0} %: the column may be in {unit}, not in tenths",
                100.0 * most
            ),
        );
    }

    fn rain(&mut self) {
        let Some(rain) = &self.year.columns.rain_mm else {
            return;
        };
        let sum: f64 = rain.iter().sum();
        if self.year.is_whole_year() && sum > GREATEST_RAIN_MM_YEAR {
            self.whole(
                Column::Rain,
                format!(
                    "{sum:.0} mm of rain in the year is more than anywhere falls: check its unit"
                ),
            );
        }
    }
}

/// Whether air of a year from January on, in equal steps, is warmest in the winter of the latitude. `false` near the equator, where
/// the air follows no season of the sun.
pub(crate) fn is_warmest_in_winter(air_c: &[f64], latitude_deg: f64) -> bool {
    /// Less is no season: islands have 3 K.
    const LEAST_K: f64 = 2.0;
    if latitude_deg.abs() < SEASONS_LATITUDE_DEG {
        return false;
    }
    // First harmonic of the year, in phase with the southern and the northern July.
    #[allow(clippy::cast_precision_loss, reason = "number of intervals")]
    let n = air_c.len().max(1) as f64;
    let mut january = 0.0;
    for (i, &value) in air_c.iter().enumerate() {
        #[allow(clippy::cast_precision_loss, reason = "number of an interval")]
        let share = (i as f64 + 0.5) / n;
        january += value * (std::f64::consts::TAU * share).cos();
    }
    2.0 * january / n * latitude_deg.signum() > LEAST_K
}

/// Why a column of rain cannot be believed, if it cannot.
///
/// One published file gives a year of 8300 mm where 1100 mm fall: such a column is left out whole.
pub(crate) fn impossible_rain(rain_mm: &[f64], interval_minutes: u32) -> Option<String> {
    // What an hour can bring, an interval within it can.
    let most = GREATEST_RAIN_MM_H * (f64::from(interval_minutes) / 60.0).max(1.0);
    let greatest = rain_mm.iter().copied().fold(0.0, f64::max);
    (greatest > most).then(|| {
        format!(
            "rain of {greatest} mm in one interval is more than ever fell in an hour ({GREATEST_RAIN_MM_H} mm): the column is not used"
        )
    })
}

fn mean(values: &[f64]) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "number of intervals")]
    let n = values.len().max(1) as f64;
    values.iter().sum::<f64>() / n
}
