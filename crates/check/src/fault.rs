//! What can be wrong, each as one more knob: how wrong.
//!
//! The knob's position y has the standard normal prior; a severity between 0 and 1 is its distribution function, so that before the log
//! is seen every severity is as likely as any other.

use std::borrow::Cow;

use chrono::Timelike;
use swimdays_season::{Plan, Prepared, Ranged};

use crate::knob::set_flow;
use crate::result::{Cause, Quantity};

/// Least size at which a fault is one, and worth mending, share of all there is: below it the plan's own ranges hold it. Shade, air and flow: a
/// seventh of the heater's heat, as a bucket can tell; sun on the water: a tenth, twice the usual range; cover: one night of
/// the week; wind: a fifth of the way to the open country; leak: 2 mm a day, what a ruler tells in a week (own judgement).
const LEAST_AT_HEATER_FRAC: f64 = 0.15;
const LEAST_SUN_FRAC: f64 = 0.1;
const LEAST_COVER_FRAC: f64 = 0.15;
const LEAST_WIND_FRAC: f64 = 0.2;
const LEAST_LEAK_FRAC: f64 = 0.04;

/// Least flow of a heater that still counts as one with too little, share of the plan's.
const LEAST_FLOW_FRAC: f64 = 0.05;

/// Share of the diffuse light that goes with the beam behind a wall or tree that takes all of the beam (own judgement).
const DIFFUSE_WITH_BEAM_FRAC: f64 = 0.3;

/// Wind at the water in the open country, share of the station's: more there is not. Source: as `Surroundings::Open`, with its range doubled.
const MOST_WIND_FRAC: f64 = 0.8;

/// Largest leak that is tried, m of level a day: a pool that loses more is seen without a log.
const MOST_LEAK_M_DAY: f64 = 0.05;

/// A broken or badly placed thermometer may be this far off, standard deviation, K (own judgement).
const BROKEN_SD_K: f64 = 3.0;

/// Sun below which it is night for a cover, W/m².
const NIGHT_SUN_W_M2: f64 = 5.0;

/// When something stands in the sun.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum DayPart {
    Morning,
    Afternoon,
    AllDay,
}

/// One thing that can be wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Fault {
    LowFlow,
    Air,
    HeaterShade(DayPart),
    WaterShade,
    CoverOffAtNight,
    CoverOff,
    Wind,
    Leak,
    Offset(Quantity),
}

/// Φ(y), the standard normal distribution function, within 0.0003 of it.
///
/// `1/(1 + e^{−(1.5976 y + 0.07056 y³)})`. Source: Page (1977), Applied Statistics 26:75 (from memory); tested against tabled values.
pub(crate) fn normal_share(y: f64) -> f64 {
    1.0 / (1.0 + (-(1.597_6 * y + 0.070_56 * y * y * y)).exp())
}

impl Fault {
    /// The cause that it is a form of.
    pub(crate) fn cause(self) -> Cause {
        match self {
            Self::LowFlow => Cause::FlowTooLow,
            Self::Air => Cause::AirInCoil,
            Self::HeaterShade(_) | Self::WaterShade => Cause::Shaded,
            Self::CoverOffAtNight | Self::CoverOff => Cause::CoverOff,
            Self::Wind => Cause::MoreWind,
            Self::Leak => Cause::WaterLost,
            Self::Offset(_) => Cause::ThermometerOff,
        }
    }

    /// Positions among which the search begins at the best.
    pub(crate) fn starts(self) -> &'static [f64] {
        match self {
            Self::Offset(_) => &[-0.8, -0.3, 0.3, 0.8],
            _ => &[-1.5, -0.6, 0.0, 0.8],
        }
    }

    /// How wrong, 0…1, or K for a thermometer; not less than what matters.
    pub(crate) fn severity(self, y: f64) -> f64 {
        let least = match self {
            Self::Offset(_) => return BROKEN_SD_K * y,
            Self::LowFlow | Self::Air | Self::HeaterShade(_) => LEAST_AT_HEATER_FRAC,
            Self::WaterShade => LEAST_SUN_FRAC,
            Self::CoverOffAtNight | Self::CoverOff => LEAST_COVER_FRAC,
            Self::Wind => LEAST_WIND_FRAC,
            Self::Leak => LEAST_LEAK_FRAC,
        };
        least + (1.0 - least) * normal_share(y)
    }

    /// What it does to the flow.
    pub(crate) fn flow_factor(self, y: f64) -> f64 {
        match self {
            Self::LowFlow => 1.0 - (1.0 - LEAST_FLOW_FRAC) * self.severity(y),
            _ => 1.0,
        }
    }

    /// What it does to the level, m a day.
    pub(crate) fn leak_m_day(self, y: f64) -> f64 {
        match self {
            Self::Leak => MOST_LEAK_M_DAY * self.severity(y),
            _ => 0.0,
        }
    }

    /// What it does to the thermometers of water, inlet and outlet.
    pub(crate) fn shift(self, y: f64, offsets: &mut [f64; 3], one_thermometer: bool) {
        let Self::Offset(quantity) = self else { return };
        let shift = self.severity(y);
        if one_thermometer {
            offsets.iter_mut().for_each(|o| *o += shift);
            return;
        }
        match quantity {
            Quantity::Water => offsets[0] += shift,
            Quantity::Inlet => offsets[1] += shift,
            Quantity::Outlet => offsets[2] += shift,
        }
    }

    /// What it does to plan and weather; `cover_on_frac` is the cover as planned or noted.
    pub(crate) fn apply(
        self,
        y: f64,
        plan: &mut Plan,
        year: &mut Cow<'_, Prepared>,
        cover_on_frac: &[f64],
    ) {
        let severity = self.severity(y);
        match self {
            Self::LowFlow => set_flow(plan, self.flow_factor(y)),
            Self::Air => {
                for heater in &mut plan.heaters {
                    heater.performance = Ranged::exact(heater.performance.value * (1.0 - severity));
                }
            }
            Self::HeaterShade(part) => shade(year.to_mut(), part, severity),
            Self::WaterShade => {
                plan.pool.sun_factor = Ranged::exact(plan.pool.sun_factor.value * (1.0 - severity));
            }
            Self::CoverOffAtNight | Self::CoverOff => {
                let all_day = self == Self::CoverOff;
                let year = year.to_mut();
                let shares = cover_on_frac
                    .iter()
                    .zip(&year.rows)
                    .map(|(share, row)| {
                        if all_day || row.ghi_w_m2 < NIGHT_SUN_W_M2 {
                            share * (1.0 - severity)
                        } else {
                            *share
                        }
                    })
                    .collect();
                if let Some(noted) = &mut year.noted {
                    noted.cover_on_frac = shares;
                }
            }
            Self::Wind => {
                let here = plan.pool.wind_at_water_frac.value;
                plan.pool.wind_at_water_frac =
                    Ranged::exact(here + severity * (MOST_WIND_FRAC - here).max(0.0));
            }
            Self::Leak => {
                plan.pool.backwash_m3_week += self.leak_m_day(y) * plan.pool.area_m2 * 7.0;
            }
            Self::Offset(_) => {}
        }
    }
}

/// Takes sun from the heaters' planes.
fn shade(year: &mut Prepared, part: DayPart, severity: f64) {
    for plane in &mut year.planes {
        for (row, light) in year.rows.iter().zip(&mut plane.rows) {
            let morning = row.start.hour() < 12;
            let shaded = match part {
                DayPart::AllDay => true,
                DayPart::Morning => morning,
                DayPart::Afternoon => !morning,
            };
            if shaded {
                light.beam_w_m2 *= 1.0 - severity;
                light.diffuse_w_m2 *= 1.0 - DIFFUSE_WITH_BEAM_FRAC * severity;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::normal_share;

    #[test]
    fn the_share_is_that_of_the_tables() {
        // Table of the standard normal distribution.
        for (y, share) in [
            (0.0, 0.5),
            (0.5, 0.6915),
            (1.0, 0.8413),
            (-1.2816, 0.1),
            (2.0, 0.9772),
            (-3.0, 0.00135),
        ] {
            assert!(
                (normal_share(y) - share).abs() < 5e-4,
                "{y}: {}",
                normal_share(y)
            );
        }
    }
}
