//! Radiation against what the sun can send.
//!
//! Source of the limits: Long & Dutton, *BSRN Global Network recommended QC tests, V2.0* (2002), and Long & Shi (2008), *An automated
//! quality assessment and control algorithm for surface radiation measurements*, Open Atmos. Sci. J. 2:23 (from memory; the same figures stand
//! in open-source quality libraries).
//! They are for one-minute values; means of an hour lie within them. S is the sun outside the air, µ the cosine of its zenith angle:
//!
//! | W/m² | physically possible, up to | comparison |
//! |---|---|---|
//! | GHI | 1.5 S µ^1.2 + 100 | GHI/(DNI µ + DHI) within 8 % above 15° of elevation, 15 % below, where the sum is above 50 |
//! | DHI | 0.95 S µ^1.2 + 50 | DHI/GHI below 1.05 above 15°, 1.10 below, where GHI is above 50 |
//! | DNI | S | |
//! | longwave | 40 to 700 | 0.4 σ T⁴ to σ T⁴ + 25 |

use chrono::Datelike;
use swimdays_solar::black_body_w_m2;

use super::Doubts;
use crate::column::Column;
use crate::tally::Tally;

/// Cosine of 75°: above it the tight closure holds.
const HIGH_SUN_COS: f64 = 0.258_819_045;

/// Lower sums and globals are not compared, W/m².
const LEAST_COMPARED_W_M2: f64 = 50.0;

/// Typical years are put together from models and means whose parts need not close to the per cent in every hour; more than this share of
/// the compared intervals is a fault of the file (common practice, no source).
const OPEN_FRAC: f64 = 0.05;

/// Light with the sun below 6° under the horizon, and with the sun below the horizon all through, W/m²: twilight gives less.
const DARK_W_M2: f64 = 5.0;
/// See [`DARK_W_M2`].
const NIGHT_W_M2: f64 = 20.0;
/// Sine of −6°.
const CIVIL_TWILIGHT_COS: f64 = -0.104_528_463;

/// Daily clearness that the clearest twentieth of days reaches everywhere but under lasting cloud.
const CLEAR_DAY: (f64, f64) = (0.5, 0.86);

/// No month is clearer than this: dry air at high altitude brings 0.75 to 0.8 (common practice, no source).
const CLEAREST_MONTH: f64 = 0.84;

/// No year is darker than this between 60° N and S: the cloudiest cities, in the Sichuan basin, have 0.28 (common practice, no source).
const DARKEST_YEAR: f64 = 0.25;
/// Beyond this latitude a year may be darker, degrees.
const DARK_LATITUDE_DEG: f64 = 60.0;

/// What to say of a year that brings this share of the sun outside the air; `None` where it may be right.
pub(crate) fn too_dark(clearness: f64, latitude_deg: f64) -> Option<String> {
    (clearness < DARKEST_YEAR && latitude_deg.abs() <= DARK_LATITUDE_DEG).then(|| {
        format!(
            "the year brings {:.0} % of the sun outside the air, and no place between 60° N and S is so dark (the cloudiest have 28 %)",
            100.0 * clearness
        )
    })
}

/// Days with less than this outside the air say nothing, Wh/m².
const LEAST_OUTSIDE_WH_M2: f64 = 1500.0;

/// A clear day's clearness, to guess a factor from.
const USUAL_CLEAR_DAY: f64 = 0.74;

impl Doubts<'_> {
    pub(super) fn radiation(&mut self) {
        self.limits();
        self.closure();
        self.night();
        self.no_light();
        self.longwave();
        self.clearness();
    }

    fn limits(&mut self) {
        let (c, suns) = (&self.year.columns, self.suns);
        let power = |i: usize| suns.cos_zenith[i].max(0.0).powf(1.2);
        let mut odd = [Tally::default(); 3];
        for i in 0..self.n() {
            let outside = suns.outside_w_m2[i];
            // Most values are far within: the power is taken only where it can matter.
            if c.ghi_w_m2[i] > 100.0 && c.ghi_w_m2[i] > 1.5 * outside * power(i) + 100.0 {
                odd[0].add(i, 1);
            }
            if c.dhi_w_m2[i] > 50.0 && c.dhi_w_m2[i] > 0.95 * outside * power(i) + 50.0 {
                odd[1].add(i, 1);
            }
            if c.dni_w_m2[i] > outside {
                odd[2].add(i, 1);
            }
        }
        let todo = "check the unit, the time labels and the place";
        for (column, tally) in [Column::Ghi, Column::Dhi, Column::Dni].into_iter().zip(odd) {
            let what = format!("the {column} is more than the sun can send (BSRN limit)");
            self.some(column, tally, &what, todo);
        }
    }

    fn closure(&mut self) {
        if [Column::Ghi, Column::Dni, Column::Dhi]
            .into_iter()
            .any(|column| self.is_derived(column))
        {
            return;
        }
        let (c, suns) = (&self.year.columns, self.suns);
        let (mut open, mut diffuse, mut compared) = (Tally::default(), Tally::default(), 0_usize);
        for i in 0..self.n() {
            let cos = suns.cos_zenith[i];
            // While the sun rises or sets, the mean of DNI has no one height.
            if suns.sunlit_frac[i] < 1.0 || cos < CIVIL_TWILIGHT_COS.abs() {
                continue;
            }
            let ghi = c.ghi_w_m2[i];
            let sum = c.dni_w_m2[i] * cos + c.dhi_w_m2[i];
            let (ratio, share) = if cos > HIGH_SUN_COS {
                (0.08, 1.05)
            } else {
                (0.15, 1.10)
            };
            if sum > LEAST_COMPARED_W_M2 {
                compared += 1;
                if (ghi / sum - 1.0).abs() > ratio {
                    open.add(i, 1);
                }
            }
            if ghi > LEAST_COMPARED_W_M2 && c.dhi_w_m2[i] > share * ghi {
                diffuse.add(i, 1);
            }
        }
        #[allow(clippy::cast_precision_loss, reason = "number of intervals")]
        let much = |tally: Tally| tally.count as f64 > OPEN_FRAC * compared as f64;
        if much(open) {
            self.some(
                Column::Ghi,
                open,
                "global irradiance is not direct and diffuse together (BSRN: within 8 %, low sun 15 %)",
                "one of the three is wrong or from another source; a file with only the global one would be split here",
            );
        }
        if much(diffuse) {
            self.some(
                Column::Dhi,
                diffuse,
                "the diffuse irradiance is more than the global",
                "the columns may be exchanged",
            );
        }
    }

    fn night(&mut self) {
        let (ghi, suns) = (&self.year.columns.ghi_w_m2, self.suns);
        let n = self.n();
        // Means of files are not cut at the minute: the intervals beside a sunrise or sunset are left out.
        let deep = |i: usize| {
            suns.is_night(i)
                && (i == 0 || suns.is_night(i - 1))
                && (i + 1 >= n || suns.is_night(i + 1))
        };
        let lit = Tally::of(n, |i| {
            ghi[i] > DARK_W_M2
                && deep(i)
                && (ghi[i] > NIGHT_W_M2 || suns.cos_zenith[i] < CIVIL_TWILIGHT_COS)
        });
        self.some(
            Column::Ghi,
            lit,
            "there is sun in the file while the sun is down",
            "check the time labels, the time zone and the place",
        );
    }

    fn no_light(&mut self) {
        let c = &self.year.columns;
        // Zero at high noon, where even the darkest cloud lets some light through.
        let dark = Tally::of(self.n(), |i| {
            c.ghi_w_m2[i] <= 0.0 && self.suns.sunlit_frac[i] >= 1.0 && self.suns.cos_zenith[i] > 0.3
        });
        self.some(
            Column::Ghi,
            dark,
            "there is no light at all although the sun is well up",
            "missing values may have been written as 0: leave them blank, and they are filled",
        );
    }

    fn longwave(&mut self) {
        let c = &self.year.columns;
        let Some(infrared) = &c.infrared_w_m2 else {
            return;
        };
        let odd = Tally::of(self.n(), |i| {
            let black = black_body_w_m2(c.air_c[i]);
            !(0.4 * black..=black + 25.0).contains(&infrared[i])
        });
        self.some(
            Column::Infrared,
            odd,
            "the infrared from the sky does not fit the air temperature (BSRN: 0.4 σT⁴ to σT⁴ + 25 W/m²)",
            "check both columns and their units",
        );
    }

    /// Sums of days and months against what lies outside the air.
    fn clearness(&mut self) {
        let year = self.year;
        let per_day = (24 * 60 / year.interval_minutes.max(1)) as usize;
        let hours = f64::from(year.interval_minutes) / 60.0;
        let mut days: Vec<f64> = Vec::new();
        let mut months = [(0.0, 0.0, 0_usize); 12];
        for first in (0..self.n()).step_by(per_day.max(1)) {
            let end = first + per_day;
            if end > self.n() {
                break;
            }
            let sun: f64 = year.columns.ghi_w_m2[first..end].iter().sum::<f64>() * hours;
            let outside: f64 = (first..end)
                .map(|i| self.suns.outside_horizontal_w_m2(i))
                .sum::<f64>()
                * hours;
            if outside > LEAST_OUTSIDE_WH_M2 {
                days.push(sun / outside);
                let month = &mut months[year.start_of(first).month0() as usize % 12];
                month.0 += sun;
                month.1 += outside;
                month.2 += 1;
            }
        }
        let mut told = false;
        // A year has enough clear days to say what the clearest bring.
        if days.len() >= 200 {
            let at = days.len() * 95 / 100;
            let (_, &mut clear, _) = days.select_nth_unstable_by(at, f64::total_cmp);
            let (low, high) = CLEAR_DAY;
            if !(low..=high).contains(&clear) {
                told = true;
                self.whole(
                    Column::Ghi,
                    format!(
                        "the clearest days bring {:.0} % of the sun outside the air, where 70 to 80 % are usual: multiplied by {:.3} the column would fit; {}",
                        100.0 * clear,
                        USUAL_CLEAR_DAY / clear,
                        unit_of(USUAL_CLEAR_DAY / clear, year.interval_minutes)
                    ),
                );
            }
        }
        if told {
            return;
        }
        if days.len() >= 300 {
            let (sun, outside) = months
                .iter()
                .fold((0.0, 0.0), |sum, month| (sum.0 + month.0, sum.1 + month.1));
            if let Some(text) = too_dark(sun / outside, year.place.latitude_deg) {
                self.whole(
                    Column::Ghi,
                    format!("{text}: W/m², or Wh/m² of another interval?"),
                );
            }
        }
        for (month, (sun, outside, days)) in (1..).zip(months) {
            if days >= 20 && sun > CLEAREST_MONTH * outside {
                let name = chrono::Month::try_from(month).map_or("", |month| month.name());
                self.whole(
                    Column::Ghi,
                    format!(
                        "{name} brings {:.0} % of the sun outside the air; no month on Earth is so clear: check the unit",
                        100.0 * sun / outside
                    ),
                );
                return;
            }
        }
    }
}

/// What unit a factor points to.
fn unit_of(factor: f64, interval_minutes: u32) -> String {
    let within = |wanted: f64| (0.85..1.18).contains(&(factor / wanted));
    let per_hour = 60.0 / f64::from(interval_minutes.max(1));
    if per_hour > 1.0 && within(per_hour) {
        format!("it may be in Wh/m² per {interval_minutes} minutes, not in W/m²")
    } else if within(1.0 / 3.6) {
        "it may be in kJ/m² an hour, not in W/m²".into()
    } else if within(1000.0 / 3.6) {
        "it may be in MJ/m² an hour, not in W/m²".into()
    } else if within(1000.0) {
        "it may be in kW/m², not in W/m²".into()
    } else if within(11.63) {
        "it may be in langleys an hour, not in W/m²".into()
    } else if within(3.154) {
        "it may be in BTU/ft² an hour, not in W/m²".into()
    } else {
        "check its unit and the latitude".into()
    }
}
