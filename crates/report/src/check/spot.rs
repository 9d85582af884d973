//! One pass through the heater, measured without any scenario: what heat it carries and what a heater of a size gives at noon.

use std::io::Write;

use serde::Serialize;
use swimdays_check::spot::{HIGH_RISE_K, Heat};
use swimdays_quantity::Kind;

use super::words::{area, degrees, kelvin, power, power_range};
use crate::lines::wrapped;
use crate::{ReportError, Units};

/// What a heater gives in the sun of a clear noon.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct NoonHeat {
    /// Area of tube that the sun sees, m².
    pub area_m2: f64,
    /// W.
    pub heat_w: f64,
    /// With little sun and much wind, W.
    pub low_w: f64,
    /// With much sun and little wind, W.
    pub high_w: f64,
    /// Sun on the board, W/m².
    pub sun_w_m2: f64,
    /// Air, °C.
    pub air_c: f64,
    /// What of the sun on the tube's area the measured heat is.
    pub efficiency_frac: f64,
}

/// How a measured heat stands to what it should be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SpotVerdict {
    /// The ranges meet.
    AsItShould,
    /// All of the measured range lies below.
    Less,
    /// All of it lies above: an error of flow or thermometers.
    MoreThanItCan,
    /// The water was not warmed beyond doubt.
    NoRise,
}

/// One pass and what it means.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpotReport {
    /// m³/s.
    pub flow_m3_s: f64,
    /// °C.
    pub inlet_c: f64,
    /// °C.
    pub outlet_c: f64,
    /// Whether one thermometer read both; else two are assumed.
    pub one_thermometer: bool,
    /// W.
    pub heat_w: f64,
    /// W, lower end of 90 %.
    pub heat_low_w: f64,
    /// W, upper end of 90 %.
    pub heat_high_w: f64,
    /// Half the range with one thermometer, share of the heat.
    pub one_thermometer_half_frac: f64,
    /// Noon heat of the area asked for, else of one square metre.
    pub noon: NoonHeat,
    /// Whether the builder named the area.
    pub area_given: bool,
    /// How it stands; only where the area was given or nothing was warmed.
    pub verdict: Option<SpotVerdict>,
}

impl SpotReport {
    /// What the measured heat means beside the noon heat.
    #[must_use]
    pub fn judged(heat: &Heat, noon: &NoonHeat, area_given: bool) -> Option<SpotVerdict> {
        if heat.low_w <= 0.0 {
            return Some(SpotVerdict::NoRise);
        }
        if !area_given {
            return None;
        }
        Some(if heat.high_w < noon.low_w {
            SpotVerdict::Less
        } else if heat.low_w > noon.high_w {
            SpotVerdict::MoreThanItCan
        } else {
            SpotVerdict::AsItShould
        })
    }

    /// Writes the JSON object.
    ///
    /// # Errors
    /// What the writer says.
    pub fn write_json(&self, mut to: impl Write) -> Result<(), ReportError> {
        serde_json::to_writer_pretty(&mut to, self)?;
        to.write_all(b"\n").map_err(serde_json::Error::io)?;
        Ok(())
    }

    fn rise_k(&self) -> f64 {
        self.outlet_c - self.inlet_c
    }
}

/// The answer in lines.
#[must_use]
pub fn spot_lines(spot: &SpotReport, units: Units, width: usize) -> Vec<String> {
    let mut out = Vec::new();
    let mut say = |text: String| out.extend(wrapped(&text, 6, width));
    say(carried(spot, units));
    say(against_noon(spot, units));
    let rise = spot.rise_k();
    if rise > HIGH_RISE_K {
        say(format!(
            "{} warmer in one pass is hot: that is too little flow, not a better heater. A hotter tube loses more to wind and sky, so more flow brings more heat with a cooler outlet; {} to {} a pass is usual.",
            kelvin(rise, units),
            kelvin(2.0, units),
            kelvin(3.0, units)
        ));
    }
    say(doubt(spot, units));
    say(format!(
        "Taken for the noon: {:.0} W/m² of sun straight on the board (no shade), air {}, light wind, water in at {}; the range goes from hazy and breezy to very clear and calm. An estimate: no measured heater stands behind it.",
        spot.noon.sun_w_m2,
        degrees(spot.noon.air_c, units),
        degrees(spot.inlet_c, units)
    ));
    say("The first water out of a tube that stood in the sun scalds: let it run below the surface, away from people, before you measure. Local codes and licensed practice decide.".into());
    out
}

fn carried(spot: &SpotReport, units: Units) -> String {
    let measured = format!(
        "{} going in at {} and coming out at {}",
        units.format(Kind::Flow, spot.flow_m3_s, 1),
        degrees(spot.inlet_c, units),
        degrees(spot.outlet_c, units)
    );
    if spot.verdict == Some(SpotVerdict::NoRise) && spot.rise_k() <= 0.0 {
        return format!(
            "{measured}: the water comes back no warmer. No heat reaches the pool; with the sun on the heater, look for shade, for air in the tube, for a way past the heater."
        );
    }
    let range = power_range(spot.heat_low_w, spot.heat_high_w, units);
    let range = if spot.verdict == Some(SpotVerdict::NoRise) {
        format!("anything from {range}: the rise is too small for household thermometers")
    } else {
        format!("somewhere from {range}")
    };
    format!(
        "{measured} carries {} into the pool, {range}.",
        power(spot.heat_w, units)
    )
}

fn against_noon(spot: &SpotReport, units: Units) -> String {
    let noon = &spot.noon;
    if !spot.area_given {
        let per_m2 = noon.heat_w / noon.area_m2;
        if spot.heat_w <= 0.0 || per_m2 <= 0.0 {
            return format!(
                "At a sunny noon each {} of bare black tube gives about {}; --area \"20 ft2\" (length times diameter of the tube) tells what yours should.",
                area(noon.area_m2, units),
                power(noon.heat_w, units)
            );
        }
        let size = |w_m2: f64| area(spot.heat_w / (w_m2 / noon.area_m2), units);
        return format!(
            "About {} of bare black tube give that at a sunny noon ({} to {}). --area \"20 ft2\" (length times diameter of your tube) tells what yours should give.",
            size(noon.heat_w),
            size(noon.high_w),
            size(noon.low_w)
        );
    }
    let should = format!(
        "{} of bare black tube should give about {} at a sunny noon ({})",
        area(noon.area_m2, units),
        power(noon.heat_w, units),
        power_range(noon.low_w, noon.high_w, units)
    );
    let of_sun = format!(
        "{:.0} % of the sun on the tube",
        100.0 * noon.efficiency_frac
    );
    match spot.verdict {
        Some(SpotVerdict::Less) => format!(
            "{should}. Yours gives less, {of_sun}, more than the doubt of the reading. First time the bucket again; then look for shade, haze or wind, air in the tube, loose contact."
        ),
        Some(SpotVerdict::MoreThanItCan) => format!(
            "{should}. Yours seems to give more, {of_sun}: no heater can. Read both with one thermometer and time the bucket again, held at the height of the return."
        ),
        Some(SpotVerdict::NoRise) => format!("{should}."),
        _ => format!(
            "{should}. Yours gives {of_sun}: as it should, within the doubt of the reading."
        ),
    }
}

fn doubt(spot: &SpotReport, units: Units) -> String {
    let percent = |frac: f64| format!("{:.0} %", 100.0 * frac.abs());
    if spot.one_thermometer {
        return format!(
            "The range is that of one thermometer read twice and of a bucket and a watch; time three buckets and take the middle one. One reading tells of one moment: note a few, {} or more apart in the day.",
            "two hours"
        );
    }
    let half = (spot.heat_high_w - spot.heat_low_w) / (2.0 * spot.heat_w.abs().max(1e-9));
    let now = if half < 2.0 {
        format!(
            "now ± {}, with one thermometer ± {}",
            percent(half),
            percent(spot.one_thermometer_half_frac)
        )
    } else {
        "now nothing is sure".into()
    };
    format!(
        "Read both with the same thermometer and say so with --one-thermometer: two household thermometers easily differ by {}, of a rise of {} ({now}).",
        kelvin(0.4, units),
        kelvin(spot.rise_k(), units)
    )
}
