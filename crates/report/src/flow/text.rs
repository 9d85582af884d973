//! The answer on the terminal: first in a builder's words, then piece by piece.

use swimdays_properties::constants::GRAVITY_M_S2;
use swimdays_quantity::Kind;

use super::words::speed;
use super::{FlowReport, PieceSummary};
use crate::Units;
use crate::lines::wrapped;
use crate::words::{rough, whole};

/// Flow below which nothing comes through, m³/s.
const NOTHING_M3_S: f64 = 8e-7;
/// Rows of the table at most.
const ROWS: usize = 4;
/// Weight of water of 25 °C, Pa/m: 997.05 kg/m³ (CRC Handbook).
const WATER_PA_M: f64 = 997.05 * GRAVITY_M_S2;
/// Warnings on the terminal at most; the gravest come first.
const WARNINGS: usize = 2;
/// A share of the usual flow that is not low (common practice, no source).
const HALF: f64 = 0.5;
/// A flow is enough when double gives less than this more heat, and low, not too little, below the second (own choice, no source).
const ENOUGH_GAIN: f64 = 0.05;
const LOW_GAIN: f64 = 0.12;

/// All lines, none wider than `width`.
#[must_use]
pub fn flow_lines(report: &FlowReport, units: Units, width: usize) -> Vec<String> {
    let mut out = Vec::new();
    let mut say = |text: &str, most: usize| out.extend(wrapped(text, most, width));
    say(&headline(report, units), 3);
    if let Some(fault) = &report.fault {
        say(&format!("No season can be run: {fault}."), 4);
    }
    if let Some(text) = measured(report, units) {
        say(&text, 2);
    }
    out.extend(table(report, units, width));
    out.extend(wrapped(&pump(report, units), 2, width));
    out.extend(wrapped(&start(report, units), 4, width));
    if report.flow_m3_s > 0.0 {
        out.extend(wrapped(&sun(report, units), 3, width));
    }
    if report.arrangements.len() > 1 {
        out.extend(wrapped(
            "Other ways to plumb the same heaters, best first (heat on a clear day, pump):",
            1,
            width,
        ));
        // The best, and what was asked of each: series, side by side, pairs.
        let asked = |name: &str| {
            ["all ", "both ", "2 strings", "2 groups"]
                .iter()
                .any(|a| name.starts_with(a))
        };
        let ways = report.arrangements.iter().enumerate();
        for (_, way) in ways.filter(|(at, w)| *at < 1 || w.as_planned || asked(&w.name)) {
            out.push(self::way(way, units).chars().take(width).collect());
        }
    }
    let mut say = |text: &str, most: usize| out.extend(wrapped(text, most, width));
    // Where many ways stand above, one: all fits one screen.
    let most = if report.arrangements.len() > 2 {
        1
    } else {
        WARNINGS
    };
    let shown = report.warnings.len().min(most);
    for (at, warning) in report.warnings.iter().take(most).enumerate() {
        let more = more(if at + 1 == shown {
            report.warnings.len() - shown
        } else {
            0
        });
        say(&format!("Look out: {}{more}.", warning.text), 2);
    }
    // The last is the scald: it is never left to the file.
    if let Some((scald, others)) = report.cautions.split_last() {
        let more = more(others.len().saturating_sub(1));
        let first = others
            .first()
            .map_or(String::new(), |f| format!("{f}{more}. "));
        say(
            &format!("{first}{scald}. Local codes and licensed practice decide."),
            4,
        );
    }
    out
}

/// How many more of a kind the file has.
fn more(n: usize) -> String {
    match n {
        0 => String::new(),
        n => format!(" ({n} more in flow.json)"),
    }
}

fn flow(v: f64, units: Units) -> String {
    units.format(Kind::Flow, v, 1)
}

pub(super) fn headline(r: &FlowReport, units: Units) -> String {
    if r.flow_m3_s < NOTHING_M3_S {
        return format!("{}: no water goes through the heaters.", r.name);
    }
    let d = &r.design_sun;
    let gain = d.double.heat_w / d.now.heat_w.max(1e-9) - 1.0;
    let rule = r.share_of_usual_flow.map_or(String::new(), |share| {
        format!(
            " (common practice for {} in the sun, 0.1 gpm/ft2: {}, half of it at least)",
            units.format(Kind::Area, r.rule_area_m2, 0),
            flow(r.flow_m3_s / share.max(1e-9), units)
        )
    });
    let share = r.share_of_usual_flow.unwrap_or(1.0);
    let air = r.warnings.iter().any(|w| w.kind == "branch_keeps_air");
    let verdict = if air && gain < ENOUGH_GAIN && share >= HALF {
        "enough only once all air is out of every heater".to_owned()
    } else if gain < ENOUGH_GAIN && share < HALF {
        format!(
            "a little low{rule}, though double would give only {:.0} % more heat",
            100.0 * gain
        )
    } else if gain < ENOUGH_GAIN && share > 3.0 {
        format!("more than is needed{rule}")
    } else if gain < ENOUGH_GAIN {
        format!("enough{rule}")
    } else if gain < LOW_GAIN {
        format!(
            "a little low: double would give {:.0} % more heat{rule}",
            100.0 * gain
        )
    } else {
        format!(
            "too little: double would give {:.0} % more heat{rule}",
            100.0 * gain
        )
    };
    let range = r.flow_range_m3_s.map_or(String::new(), |(low, high)| {
        if low < NOTHING_M3_S {
            return format!(
                " (the weakest such pump does not start; {} with the strongest)",
                flow(high, units)
            );
        }
        format!(
            " ({} to {} with the weakest and the strongest such pump)",
            units
                .format(Kind::Flow, low, 1)
                .split(' ')
                .next()
                .unwrap_or(""),
            flow(high, units)
        )
    });
    let from = match r.flow_from {
        _ if r.fault.is_some() => "would go through the heaters if it ran",
        "pump" => "go through the heaters",
        "measured" => "go through the heaters as measured",
        _ => "go through the heaters as written (the pump is not described)",
    };
    if r.fault.is_some() {
        return format!("{}: {} {from}.", r.name, flow(r.flow_m3_s, units));
    }
    format!(
        "{}: {} {from}{range}, {verdict}.",
        r.name,
        flow(r.flow_m3_s, units)
    )
}

pub(super) fn measured(r: &FlowReport, units: Units) -> Option<String> {
    if let Some(fault) = &r.measured_fault {
        return Some(format!("The written flow does not fit the pump: {fault}."));
    }
    let (factor, computed) = r.resistance_factor.zip(r.computed_flow_m3_s)?;
    let told = if factor > 1.3 {
        ": look for a kink, scale, air in a high point or a valve half shut; a pump weaker than its curve looks the same"
    } else if factor < 0.75 {
        ": a bore larger or a tube shorter than written looks like this"
    } else {
        ": as near as this can be known"
    };
    Some(format!(
        "By its pieces it would be {}; the loop drops {factor:.2} times what they say{told}.",
        flow(computed, units)
    ))
}

/// The pieces that a person tells apart: like circuits and like heaters once.
pub(super) fn told_pieces(r: &FlowReport) -> Vec<(String, &PieceSummary)> {
    let mut rows: Vec<(String, &PieceSummary)> = Vec::new();
    for piece in r.pieces.iter().filter(|p| !p.is_joint()) {
        if let Some((name, n)) = piece.name.split_once(", circuit ") {
            if n == "1" {
                rows.push((format!("{name}, each circuit"), piece));
            }
        } else {
            rows.push((piece.name.clone(), piece));
        }
    }
    let mut grouped: Vec<(String, &PieceSummary)> = Vec::new();
    let mut ends: Vec<(String, usize)> = Vec::new();
    for (name, piece) in rows {
        match (grouped.last(), ends.last_mut()) {
            (Some((_, before)), Some(end)) if alike(before, piece) => {
                *end = (name, end.1 + 1);
            }
            _ => {
                ends.push((name.clone(), 1));
                grouped.push((name, piece));
            }
        }
    }
    grouped
        .into_iter()
        .zip(ends)
        .map(|((first, piece), (last, n))| match n {
            1 => (first, piece),
            _ => (format!("{first} to {last}, each"), piece),
        })
        .collect()
}

/// Drop in the unit of a gauge.
fn table(r: &FlowReport, units: Units, width: usize) -> Vec<String> {
    let mut rows = told_pieces(r);
    // The heaters' way is what was asked for; the rest is in the file.
    if rows.len() > ROWS {
        rows.retain(|(_, p)| p.part == "heater" || p.part == "main");
    }
    if rows.len() > ROWS {
        rows.retain(|(_, p)| p.part == "heater");
        rows.truncate(ROWS);
    }
    let speed_unit = if units == Units::Us { "ft/s" } else { "m/s" };
    let mut lines = vec![format!(
        "{:<26} {:>9} {:>8} {:>7} {:>6} {:>8} {:<11} {:>8} {:>6}",
        "piece",
        "length",
        "bore",
        units.unit(Kind::Flow),
        speed_unit,
        "Re",
        "",
        units.unit(Kind::Pressure),
        "share"
    )];
    for (name, p) in rows {
        let name: String = name.chars().take(26).collect();
        let of_speed = speed(p.velocity_m_s.abs(), units);
        let (length, bore) = if p.length_m > 0.0 {
            (
                units.format(Kind::Length, p.length_m, 0),
                units.format_small_length(p.bore_m, 2),
            )
        } else {
            (String::new(), String::new())
        };
        let line = format!(
            "{name:<26} {length:>9} {bore:>8} {:>7.1} {:>6} {:>8} {:<11} {:>8.2} {:>5.0}%",
            units.value(Kind::Flow, p.flow_m3_s),
            of_speed.split(' ').next().unwrap_or(""),
            whole((p.reynolds / 100.0).round() * 100.0),
            p.regime,
            units.value(Kind::Pressure, p.drop_pa),
            100.0 * p.share_frac
        );
        lines.push(
            line.chars()
                .take(width)
                .collect::<String>()
                .trim_end()
                .to_owned(),
        );
    }
    lines
}

/// Two heaters side by side or in series that differ in name only.
fn alike(a: &PieceSummary, b: &PieceSummary) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-3 * a.abs().max(b.abs());
    a.part == b.part
        && near(a.length_m, b.length_m)
        && near(a.bore_m, b.bore_m)
        && near(a.flow_m3_s, b.flow_m3_s)
        && near(a.drop_pa, b.drop_pa)
}

pub(super) fn pump(r: &FlowReport, units: Units) -> String {
    let head = format!(
        "{} ({})",
        units.format(Kind::Length, r.head_m, 1),
        units.format(Kind::Pressure, WATER_PA_M * r.head_m, 1)
    );
    let Some(watts) = r.pump_w else {
        return format!(
            "The pump must give {head} of head at the heaters' inlet for this flow. Describe it ([pump] curve, shut_off_head with free_flow, or class) to find the flow instead."
        );
    };
    let range = match (r.pump_w_low, r.pump_w_high) {
        (Some(low), Some(high)) if high > 1.05 * low => {
            format!(" (likely {} to {})", rough(low), rough(high))
        }
        _ => String::new(),
    };
    // Without the heaters' way nothing goes: there is nothing to hold it against.
    let alone = r.filter_flow_alone_m3_s.filter(|q| *q > NOTHING_M3_S);
    let filter = alone.map_or(String::new(), |alone| {
        format!(
            " The filter passes {} instead of {}.",
            flow(r.pump_flow_m3_s, units),
            flow(alone, units)
        )
    });
    let filter = if r.filter_flow_alone_m3_s.is_some() && alone.is_none() {
        " With the heaters shut, it would run against closed lines: leave plumbing.valve_open above 0."
            .to_owned()
    } else {
        filter
    };
    format!(
        "The pump gives {head} of head and draws about {} W{range}.{filter}",
        rough(watts)
    )
}

fn duration(s: f64) -> String {
    if s < 90.0 {
        format!("{s:.0} s")
    } else {
        format!("{:.0} min", s / 60.0)
    }
}

pub(super) fn start(r: &FlowReport, units: Units) -> String {
    let s = &r.start;
    let m = |v: f64| units.format(Kind::Length, v, 1);
    let high = if s.high_point_m > 0.0 {
        format!("Highest point {} above the pool", m(s.high_point_m))
    } else {
        "The whole loop lies below the pool's surface".into()
    };
    let fills = if r.pump_w.is_none() {
        String::new()
    } else if s.can_start {
        let time = s
            .fill_s
            .map_or(String::new(), |t| format!(" and fills in {}", duration(t)));
        format!("; the pump can lift {}{time}", m(s.available_m))
    } else {
        format!(
            "; the pump lifts water only {}: it does not start",
            m(s.available_m.max(0.0))
        )
    };
    let siphon = if s.high_point_m <= 0.0 {
        "."
    } else if s.siphon_holds {
        ". Running, the siphon gives the height back."
    } else {
        ". No siphon: the height is paid for all the time."
    };
    let siphon = match r.breaker_m {
        Some(at_m) => format!(
            ". Running, the vacuum breaker {} up is open: no siphon, the height is paid for all the time.",
            m(at_m)
        ),
        None => siphon.to_owned(),
    };
    let breaker = r.breaker_flow_m3_s.map_or(String::new(), |q| {
        let left = if q < NOTHING_M3_S {
            "nothing would flow".to_owned()
        } else {
            format!("{} would be left", flow(q, units))
        };
        format!(" A vacuum breaker there would open: {left} (plumbing.vent).")
    });
    let low = if s.lowest_gauge_pa < -500.0 {
        format!(
            " At the top {} below air pressure.",
            units.format(Kind::Pressure, -s.lowest_gauge_pa, 1)
        )
    } else {
        String::new()
    };
    let pass = r.transit_s.map_or(String::new(), |t| {
        format!(
            " Water takes {} through {}.",
            duration(t),
            units.format(
                Kind::Volume,
                r.heater_volume_m3,
                if units == Units::Us { 1 } else { 3 }
            )
        )
    });
    format!("{high}{fills}{siphon}{low}{breaker}{pass}")
}

pub(super) fn sun(r: &FlowReport, units: Units) -> String {
    let d = &r.design_sun;
    let t = |c: f64| units.format(Kind::Temperature, c, 0);
    let dt = |k: f64| units.format(Kind::TemperatureDifference, k, 1);
    let change = |w: f64| {
        let p = 100.0 * (w / d.now.heat_w.max(1e-9) - 1.0);
        if p < 0.0 {
            format!("{:.0} % less", -p)
        } else {
            format!("{p:.0} % more")
        }
    };
    format!(
        "In full sun ({:.0} W/m2, air {}, water {}, wind {}) a pass warms by {}: {:.1} kW, {} kWh on a clear day of {:.0} such hours. Half the flow: {} ({} a pass); double: {}.",
        d.sun_w_m2,
        t(d.air_c),
        t(d.water_c),
        units.format(Kind::Speed, d.wind_m_s, 1),
        dt(d.now.rise_k),
        d.now.heat_w / 1e3,
        rough(d.now.heat_w * d.hours_a_day / 1e3),
        d.hours_a_day,
        change(d.half.heat_w),
        dt(d.half.rise_k),
        change(d.double.heat_w)
    )
}

pub(super) fn way(w: &super::WaySummary, units: Units) -> String {
    let planned = if w.as_planned { " (as planned)" } else { "" };
    if !w.works {
        return format!("  {}{planned}: does not start", w.name);
    }
    let pump = w
        .pump_w
        .map_or(String::new(), |p| format!(", {} W", rough(p)));
    format!(
        "  {}{planned}: {}, {:.1} kWh{pump}",
        w.name,
        flow(w.flow_m3_s, units),
        w.heat_kwh_day
    )
}
