//! Whether there can be a place with such a table.

use super::cycle::Cycle;
use super::names::Quantity;
use super::sky::Sky;
use super::{Moisture, Normals, Sun, estimate};
use crate::error::WeatherError;
use crate::judge::is_warmest_in_winter;

/// One value that cannot be.
#[derive(Debug)]
pub(super) struct Fault {
    /// Which value, in words.
    what: String,
    /// Which column and month; `None` for the place.
    pub(super) cell: Option<(Quantity, usize)>,
    pub(super) found: String,
    pub(super) allowed: String,
    pub(super) todo: &'static str,
}

impl Fault {
    /// The error of a table that was not read from a file.
    pub(super) fn of_place(self, name: &str) -> WeatherError {
        let name = name.trim();
        WeatherError::Normals {
            label: if name.is_empty() {
                "the climate table"
            } else {
                name
            }
            .into(),
            what: self.what.into(),
            found: self.found.into(),
            allowed: self.allowed.into(),
            todo: self.todo.into(),
        }
    }
}

/// Names of the months in messages.
pub(super) const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Most hours by which a clock differs from the sun: western China and Alaska come near.
const FURTHEST_CLOCK_H: f64 = 4.0;

/// Most sun of a month, share of what clear skies on all its days would give: clear months have days with cloud
/// (common practice, no source).
pub(super) const MOST_OF_CLEAR: f64 = 0.97;
/// Least sun of a month, share of what arrives above the air: less is darker than any month on record (common practice, no source).
const LEAST_OF_OUTSIDE: f64 = 0.03;
/// Sun above the air of a month in which the sun hardly rises, mean day, kWh/m²: the last digit of a table is then no trifle (own choice, no source).
pub(super) const TWILIGHT_KWH_M2: f64 = 1.0;
/// Half of the last digit of a table with one decimal.
const ROUNDING_KWH_M2: f64 = 0.05;

/// Least and most sun of a month, mean day, from that of clear skies and that above the air.
pub(super) fn sun_between_kwh_m2(clear_kwh_m2: f64, outside_kwh_m2: f64) -> (f64, f64) {
    (
        LEAST_OF_OUTSIDE * outside_kwh_m2,
        MOST_OF_CLEAR * clear_kwh_m2,
    )
}
/// Rain that may fall in a month with no day of rain, mm: days count from 1 mm, and a mean of under half a day is printed as 0
/// (common practice, no source).
const RAIN_WITHOUT_DAYS_MM: f64 = 5.0;

/// Checks one table. The limits are those of [`Column::limits`](crate::Column::limits) narrowed to monthly means where
/// records of monthly means are known (from memory).
pub(super) fn check(normals: &Normals, cycle: &Cycle, sky: &Sky) -> Result<(), Fault> {
    let table = Table(normals);
    table.place()?;
    for m in 0..12 {
        let (high, low) = (normals.daily_max_c[m], normals.daily_min_c[m]);
        table.between(m, Quantity::Max, high, (-70.0, 55.0), "°C", UNITS)?;
        table.between(m, Quantity::Min, low, (-75.0, 45.0), "°C", UNITS)?;
        if low > high - 0.5 {
            return Err(table.error(
                m,
                Quantity::Min,
                format!("{low:.1} °C with a mean daily maximum of {high:.1} °C"),
                "at least 0.5 K below the maximum",
                "the columns may be swapped, or a month shifted",
            ));
        }
        if high - low > 35.0 {
            return Err(table.error(
                m,
                Quantity::Min,
                format!("{low:.1} °C with a mean daily maximum of {high:.1} °C"),
                "at most 35 K below the maximum",
                "take the mean daily maximum and minimum, not the records, and check the units",
            ));
        }
    }
    table.seasons()?;
    table.sun(cycle, sky)?;
    table.moisture()?;
    for m in 0..12 {
        if let Some(wind) = &normals.wind_m_s {
            let todo = "write the mean wind at 10 m, and check its unit (m/s, km/h, mph, kn)";
            table.between(m, Quantity::Wind, wind[m], (0.1, 15.0), "m/s", todo)?;
        }
        if let Some(rain) = &normals.rain_mm {
            let todo = "write the sum of the month, and check its unit (mm, in)";
            table.between(m, Quantity::Rain, rain[m], (0.0, 5000.0), "mm", todo)?;
        }
        if let Some(days) = &normals.rain_days {
            #[allow(clippy::cast_precision_loss, reason = "days of a month")]
            let most = cycle.lengths[m] as f64;
            let todo = "write the number of days with rain in the month";
            table.between(m, Quantity::RainDays, days[m], (0.0, most), "days", todo)?;
            let rain = normals.rain_mm.as_ref().map_or(0.0, |rain| rain[m]);
            if days[m] <= 0.0 && rain > RAIN_WITHOUT_DAYS_MM {
                return Err(table.error(
                    m,
                    Quantity::RainDays,
                    format!("no day with rain, and {} mm of rain", shown(rain)),
                    format!("more than 0 days where it rains more than {RAIN_WITHOUT_DAYS_MM} mm"),
                    "write the number of days with rain in the month, or leave the column out",
                ));
            }
        }
    }
    Ok(())
}

const UNITS: &str = "check the unit: °F may stand in a column of °C";

const SIGN: &str =
    "check the latitude's sign (south of the equator it is negative) and the order of the months";

struct Table<'a>(&'a Normals);

impl Table<'_> {
    fn error(
        &self,
        month: usize,
        quantity: Quantity,
        found: String,
        allowed: impl Into<String>,
        todo: &'static str,
    ) -> Fault {
        Fault {
            what: format!("{} of {}", quantity.words(), MONTHS[month]),
            cell: Some((quantity, month)),
            found,
            allowed: allowed.into(),
            todo,
        }
    }

    fn between(
        &self,
        month: usize,
        quantity: Quantity,
        value: f64,
        (low, high): (f64, f64),
        unit: &str,
        todo: &'static str,
    ) -> Result<(), Fault> {
        if (low..=high).contains(&value) {
            return Ok(());
        }
        Err(self.error(
            month,
            quantity,
            format!("{} {unit}", shown(value)),
            format!("{low} to {high} {unit}"),
            todo,
        ))
    }

    fn place(&self) -> Result<(), Fault> {
        let place = &self.0.place;
        let rows = [
            (
                "latitude",
                place.latitude_deg,
                -90.0,
                90.0,
                "degrees, south negative",
            ),
            (
                "longitude",
                place.longitude_deg,
                -180.0,
                180.0,
                "degrees, west negative",
            ),
            (
                "UTC offset",
                place.utc_offset_h,
                -12.0,
                14.0,
                "hours, west of Greenwich negative",
            ),
            (
                "altitude",
                place.altitude_m,
                -450.0,
                6000.0,
                "m above the sea",
            ),
        ];
        for (what, value, low, high, unit) in rows {
            if !(low..=high).contains(&value) {
                return Err(Fault {
                    what: what.into(),
                    cell: None,
                    found: value.to_string(),
                    allowed: format!("{low} to {high} {unit}"),
                    todo: "correct it in the head of the table",
                });
            }
        }
        let sun_h = place.longitude_deg / 15.0;
        let off = (place.utc_offset_h - sun_h + 36.0).rem_euclid(24.0) - 12.0;
        if off.abs() > FURTHEST_CLOCK_H {
            return Err(Fault {
                what: "UTC offset".into(),
                cell: None,
                found: format!(
                    "{} h at longitude {}°",
                    place.utc_offset_h, place.longitude_deg
                ),
                allowed: format!(
                    "within {FURTHEST_CLOCK_H} h of {sun_h:.1} h, the sun's own time there"
                ),
                todo: "longitudes west of Greenwich are negative, and so are their UTC offsets; take standard time, not summer time",
            });
        }
        Ok(())
    }

    /// The months of the other half of the Earth, or a latitude without its sign: the doubt that files get is certain here.
    fn seasons(&self) -> Result<(), Fault> {
        let latitude_deg = self.0.place.latitude_deg;
        let (high, low) = (&self.0.daily_max_c, &self.0.daily_min_c);
        let mean: [f64; 12] = std::array::from_fn(|m| 0.5 * (high[m] + low[m]));
        if !is_warmest_in_winter(&mean, latitude_deg) {
            return Ok(());
        }
        let warmest = (0..12).fold(0, |best, m| if mean[m] > mean[best] { m } else { best });
        let side = if latitude_deg < 0.0 {
            "southern"
        } else {
            "northern"
        };
        Err(self.error(
            warmest,
            Quantity::Max,
            format!(
                "{} °C, the warmest month, in the {side} winter",
                shown(high[warmest])
            ),
            format!("the warm months in the {side} summer, as the latitude is {latitude_deg}°"),
            SIGN,
        ))
    }

    fn sun(&self, cycle: &Cycle, sky: &Sky) -> Result<(), Fault> {
        match &self.0.sun {
            Sun::DailyKwhM2(sun) => {
                let clear = estimate::clear_kwh_m2(sky, cycle);
                let outside = estimate::outside_kwh_m2(sky, cycle);
                for m in 0..12 {
                    let (least, most) = sun_between_kwh_m2(clear[m], outside[m]);
                    let rounding = if outside[m] < TWILIGHT_KWH_M2 {
                        ROUNDING_KWH_M2
                    } else {
                        0.0
                    };
                    let (low, high) = ((least - rounding).max(0.0), most + rounding);
                    if !(low..=high).contains(&sun[m]) {
                        return Err(self.error(
                            m,
                            Quantity::Sun,
                            format!("{} kWh/m²", shown(sun[m])),
                            format!(
                                "{low:.2} to {high:.2} kWh/m² (a clear sky at latitude {}° in that month)",
                                self.0.place.latitude_deg
                            ),
                            "write the mean sum of a day on level ground, and check its unit, the latitude's sign and the order of the months",
                        ));
                    }
                }
            }
            Sun::SunshineHours(hours) => {
                let possible = estimate::daylight_h(sky, cycle);
                for m in 0..12 {
                    // A quarter of an hour: refraction and the sun's disc lengthen the day.
                    let most = possible[m] + 0.25;
                    if !(0.0..=most).contains(&hours[m]) {
                        return Err(self.error(
                            m,
                            Quantity::Sunshine,
                            format!("{:.1} h a day", hours[m]),
                            format!("0 to {most:.1} h, from sunrise to sunset"),
                            // Half a year later the sun is that of the other half of the Earth.
                            if hours[m] <= possible[(m + 6) % 12] + 0.25 {
                                SIGN
                            } else {
                                "write hours a day as sunshine_h_day, or hours a month as sunshine_h_month"
                            },
                        ));
                    }
                }
            }
            Sun::Unknown => {}
        }
        Ok(())
    }

    fn moisture(&self) -> Result<(), Fault> {
        match &self.0.moisture {
            Moisture::DewPointC(dew) => {
                for (m, dew) in dew.iter().enumerate() {
                    let (high, low) = (self.0.daily_max_c[m], self.0.daily_min_c[m]);
                    let most = 0.5 * (high + low) - 0.1 * (high - low);
                    if !(-80.0..=most).contains(dew) {
                        return Err(self.error(
                            m,
                            Quantity::DewPoint,
                            format!("{dew:.1} °C"),
                            format!("-80 to {most:.1} °C, below the mean of the air"),
                            "write the mean dew point, not the wet-bulb temperature, and check its unit",
                        ));
                    }
                }
            }
            Moisture::HumidityFrac(humidity) => {
                for (m, humidity) in humidity.iter().enumerate() {
                    let percent = 100.0 * humidity;
                    let todo = "write the mean of day and night in percent";
                    self.between(m, Quantity::Humidity, percent, (3.0, 97.0), "%", todo)?;
                }
            }
            Moisture::Unknown => {}
        }
        Ok(())
    }
}

/// Three digits after the point at most.
fn shown(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}
