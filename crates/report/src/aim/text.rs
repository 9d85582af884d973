//! The answer on the terminal: where to face, how far off is as good, what the own position loses.

use swimdays_quantity::compass_name;
use swimdays_studies::Objective;

use super::{AimSummary, SpotSummary};
use crate::chart::as_f64;
use crate::lines::{TIE, capital, kwh, percent, tied, wrap, wrapped};
use crate::words::{count_of, whole};

/// Columns of the table at most.
const TILTS: usize = 7;
/// Rows of the table: the eight points of the compass.
const ROWS: usize = 8;
/// A loss below this is called as good, percent; the same share as of the region.
const AS_GOOD_PERCENT: f64 = 2.0;

/// All lines, none wider than `width`.
#[must_use]
pub fn aim_lines(summary: &AimSummary, width: usize) -> Vec<String> {
    let mut out = Vec::new();
    let mut say = |text: &str, most: usize| out.extend(wrapped(text, most, width));
    say(&headline(summary), 2);
    if summary.most() > 0.0 {
        say(&as_good(summary), 2);
    }
    say(&verdict(summary), 2);
    if summary.asked != Objective::SwimDays {
        say(&in_days(summary), 2);
    }
    out.extend(table(summary));
    let notes: Vec<String> = summary
        .notes
        .iter()
        .map(|note| format!("{}.", capital(note)))
        .collect();
    out.extend(wrap(&notes.join(" "), width));
    let what = if summary.is_panel { "panel" } else { "board" };
    out.extend(wrap(
        &format!(
            "A steep {what} is a sail, and one leaning at the fence is a ladder for children: tie it down, keep it off. Local codes and licensed practice decide."
        ),
        width,
    ));
    out
}

/// `S (180°)`.
pub(super) fn direction(azimuth_deg: f64) -> String {
    let whole_deg = azimuth_deg.round().rem_euclid(360.0);
    tied(&format!("{} ({whole_deg:.0}°)", compass_name(azimuth_deg)))
}

/// `S (180°), tilted 35°`; flat faces nowhere.
pub(super) fn position(spot: &SpotSummary) -> String {
    if spot.tilt_deg < 0.5 {
        return "flat".into();
    }
    let tilt = if spot.tilt_deg > 89.5 {
        "upright".to_owned()
    } else {
        format!("tilted {:.0}°", spot.tilt_deg)
    };
    format!("facing {}, {}", direction(spot.azimuth_deg), tied(&tilt))
}

/// When the heat counts.
pub(super) fn when(summary: &AimSummary) -> String {
    let spring = if summary.south {
        "September to November"
    } else {
        "March to May"
    };
    match (summary.asked, &summary.open) {
        (Objective::SpringHeat, None) => format!("in spring ({spring})"),
        (Objective::SpringHeat, Some(open)) => {
            format!("in spring ({spring}, while the pool is open, {open})")
        }
        (_, None) => "a year".to_owned(),
        (_, Some(open)) => format!("in the season ({open})"),
    }
}

/// `104 days`, or a mean of several years with a half.
pub(super) fn days(value: f64) -> String {
    count_of(value, "day")
}

fn headline(s: &AimSummary) -> String {
    let years = match s.weather.len() {
        0 | 1 => String::new(),
        n => format!(", the mean of {n} years"),
    };
    if s.most() <= 0.0 {
        return match s.asked {
            Objective::SwimDays => format!(
                "No swim day at any position of {}: facing and tilt do not decide here. Most heat comes {}.",
                s.heater,
                position(&s.best)
            ),
            _ => format!(
                "{} gives no heat {} at any position.",
                capital(&s.heater),
                when(s)
            ),
        };
    }
    let best = position(&s.best);
    match s.asked {
        Objective::SwimDays => {
            let gained = s.best.swim_days - s.swim_days_without;
            let why = if gained < 0.5 {
                ", no more than without it".to_owned()
            } else {
                format!("; {} without it", whole(s.swim_days_without))
            };
            format!(
                "Most swim days with {} {best}: {}{years}{why}.{}",
                s.heater,
                days(s.best.swim_days),
                plateau(s)
            )
        }
        _ => format!(
            "Most heat {} with {} {best}: {}{years}.",
            when(s),
            s.heater,
            kwh(s.most())
        ),
    }
}

/// Days are whole: how many positions give the same.
fn plateau(s: &AimSummary) -> String {
    if s.plateau_frac * as_f64(s.map.len()) < 1.5 {
        return String::new();
    }
    format!(
        " {} of all positions give as many; of them this one brings most heat.",
        percent(s.plateau_frac, 1.0)
    )
}

fn as_good(s: &AimSummary) -> String {
    let a = &s.as_good;
    let facing = match (a.facing_from_deg, a.facing_to_deg) {
        (Some(from), Some(to)) => {
            format!("anywhere from {} to {}", direction(from), direction(to))
        }
        _ if s.best.tilt_deg < 0.5 => "no matter where it faces".to_owned(),
        _ => "any direction".to_owned(),
    };
    let tilt = if a.tilt_from_deg < 0.5 && a.tilt_to_deg > 89.5 {
        "any tilt".to_owned()
    } else if a.tilt_to_deg - a.tilt_from_deg < 1.0 {
        format!("tilted {:.0}° only", s.best.tilt_deg)
    } else {
        format!(
            "tilted anywhere from {:.0} to {:.0}°",
            a.tilt_from_deg, a.tilt_to_deg
        )
    };
    let best_tilt = if s.best.tilt_deg < 0.5 {
        "flat".to_owned()
    } else {
        format!("tilted {:.0}°", s.best.tilt_deg)
    };
    format!(
        "As good ({}): {best_tilt}, {facing}; facing {}, {tilt}.",
        within(s),
        compass_name(s.best.azimuth_deg)
    )
}

/// How near is as good.
pub(super) fn within(s: &AimSummary) -> String {
    let loss = s.most() - s.as_good.gives_at_least;
    match s.asked {
        // Days are whole: one more or less decides nothing.
        Objective::SwimDays if loss <= 1.0 + 1e-9 => format!("within 1{TIE}day"),
        _ => format!("within {:.0}{TIE}%", s.as_good.within_percent),
    }
}

/// What the own position loses, never sold as more than it is.
fn verdict(s: &AimSummary) -> String {
    let loss = &s.loss;
    let own = format!("As you have it, {}", position(&s.given));
    let unsure = loss.low <= 0.0;
    let Some(percent) = loss.percent else {
        let range = format!("{} to {}", whole(loss.low), days(loss.high));
        let range = if loss.high - loss.low < 0.5 {
            String::new()
        } else {
            format!(" (range {range} fewer)").replace("(range −", "(range from −")
        };
        return if loss.value < 0.5 {
            format!(
                "{own}: the same {}{range}: no clear difference.",
                days(s.given.swim_days)
            )
        } else if unsure {
            format!(
                "{own}: {} against {}{range}: no clear difference.",
                whole(s.given.swim_days),
                days(s.best.swim_days)
            )
        } else {
            format!(
                "{own}: {}, {} fewer{range}.",
                days(s.given.swim_days),
                whole(loss.value)
            )
        };
    };
    let (low, high) = (
        loss.percent_low.unwrap_or(percent).max(-99.0),
        loss.percent_high.unwrap_or(percent),
    );
    let one = |value: f64| {
        format!("{value:.1}")
            .replace('-', "−")
            .replace("−0.0", "0.0")
    };
    let range = format!("range {} to {}{TIE}%", one(low), one(high));
    if unsure && percent < AS_GOOD_PERCENT {
        format!(
            "{own}: no clear difference ({}{TIE}% less heat, {range}).",
            one(percent)
        )
    } else if percent < AS_GOOD_PERCENT {
        format!(
            "{own}: as good: {}{TIE}% less heat ({range}).",
            one(percent)
        )
    } else {
        format!(
            "{own}: {}{TIE}% less heat ({range}), {} less {}.",
            one(percent),
            kwh(loss.value),
            when(s)
        )
    }
}

/// What heat means for those who want to swim.
fn in_days(s: &AimSummary) -> String {
    let (best, given, without) = (s.best.swim_days, s.given.swim_days, s.swim_days_without);
    if (best - given).abs() < 0.5 {
        return format!(
            "In swim days: {} at either position; {} without {}.",
            whole(best),
            whole(without),
            s.heater
        );
    }
    format!(
        "In swim days: {} at the best position, {} as you have it, {} without {}.",
        whole(best),
        whole(given),
        whole(without),
        s.heater
    )
}

/// The map, coarse: the eight points of the compass against some tilts.
fn table(s: &AimSummary) -> Vec<String> {
    let steps = s.tilts_deg.len().saturating_sub(1).max(1);
    let stride = (1..=steps)
        .find(|n| steps.is_multiple_of(*n) && steps / n < TILTS)
        .unwrap_or(steps);
    let columns: Vec<usize> = (0..s.tilts_deg.len()).step_by(stride).collect();
    let directions = s.directions();
    if directions < ROWS || s.most() <= 0.0 {
        return Vec::new();
    }
    let what = match s.asked {
        Objective::SwimDays => "Swim days",
        _ => "Heat, % of the best",
    };
    let mut head = format!("{what:<22}");
    for &tilt in &columns {
        let deg = s.tilts_deg[tilt];
        head += &match tilt {
            0 => format!("{:>8}", "flat"),
            _ if deg > 89.5 => format!("{:>8}", "upright"),
            _ => format!("{:>8}", format!("{deg:.0}°")),
        };
    }
    let mut out = vec![head];
    for row in 0..ROWS {
        // From one pole's side round by the east: N … S … NW, or S … N … SW in the south.
        let from = if s.south { directions / 2 } else { 0 };
        let azimuth = (from + row * directions / ROWS) % directions;
        let mut line = String::new();
        for &tilt in &columns {
            let Some(cell) = s.cell(tilt, azimuth) else {
                continue;
            };
            if line.is_empty() {
                line = format!("  facing {:<13}", cell.facing);
            }
            let value = cell.worth(s.asked);
            let shown = match s.asked {
                Objective::SwimDays => whole(value),
                _ => whole(100.0 * value / s.most()),
            };
            line += &format!("{shown:>8}");
        }
        out.push(line);
    }
    out
}
