//! The answer on the terminal.

use swimdays_build::{DEFERENCE, running, tape};
use swimdays_quantity::Kind;

use super::{BuildReport, HeaterLayout, HeaterSheet};
use crate::Units;
use crate::lines::wrapped;

/// Lines of the shopping list at most; the rest is in parts.csv.
const PARTS: usize = 9;
/// Cautions that are named.
const DEADLY: usize = 4;

/// All lines, none wider than `width`, at most 25.
#[must_use]
pub fn build_lines(report: &BuildReport, width: usize) -> Vec<String> {
    let units = report.units;
    let mut out = Vec::new();
    let mut say = |text: &str, most: usize| out.extend(wrapped(text, most, width));
    for h in report.heaters.iter().take(2) {
        say(&fits(h, units), 3);
    }
    if report.heaters.len() > 2 {
        say(
            &format!(
                "Heaters beside these: {}, in build.html.",
                report.heaters.len() - 2
            ),
            1,
        );
    }
    let cost = match report.priced_cost() {
        Some(cost) if report.not_priced().is_empty() => {
            format!("Buy, {} in all:", report.money(cost))
        }
        Some(cost) => format!(
            "Buy, {} without {}:",
            report.money(cost),
            report.not_priced().join(", ")
        ),
        None => "Buy (no prices: write [shop] with yours):".to_owned(),
    };
    say(&cost, 1);
    let lines: Vec<String> = report
        .parts
        .iter()
        .map(|p| {
            let cost = p
                .cost
                .map_or(String::new(), |c| format!(", {}", report.money(c)));
            format!("{} × {}{cost}", p.count, p.what)
        })
        .collect();
    let more = lines.len().saturating_sub(3 * PARTS);
    say(
        &format!(
            "  {}{}",
            lines
                .iter()
                .take(3 * PARTS)
                .cloned()
                .collect::<Vec<_>>()
                .join("; "),
            if more > 0 {
                format!("; {more} lines more in parts.csv")
            } else {
                ".".into()
            }
        ),
        6,
    );
    if let Some(text) = cuts(report) {
        say(&text, 2);
    }
    for h in report.heaters.iter().take(2) {
        if let Some(text) = loads(report, h) {
            say(&text, 3);
        }
    }
    say(&water(report), 3);
    let deadly: Vec<&str> = report
        .cautions
        .iter()
        .take(DEADLY)
        .map(|c| c.short.trim_end_matches('.'))
        .collect();
    say(DEFERENCE, 1);
    if !deadly.is_empty() {
        let all = format!(
            "All {} are in build.html, read them before the first cut",
            report.cautions.len()
        );
        say(&format!("Deadly: {}. {all}.", deadly.join("; ")), 5);
    }
    out.truncate(24);
    out
}

fn fits(h: &HeaterSheet, units: Units) -> String {
    let title = h.title();
    match &h.layout {
        HeaterLayout::Panel(area_m2) => format!(
            "{title}: a bought panel of {}: weight, wind and cautions alone; its maker says how it is mounted.",
            units.format(Kind::Area, *area_m2, 1)
        ),
        HeaterLayout::Deck(d) => {
            let r = d.layout.request;
            let depth = if d.depth_m > 0.0 {
                format!(", {} deep", tape(d.depth_m, units))
            } else {
                ", on the surface".into()
            };
            format!(
                "{title}: {} of {} of tube lie in {} rows, {} apart{depth}, on {} × {}; turns are {}.",
                running(d.layout.laid_m, units),
                running(h.wanted_m, units),
                d.rows,
                tape(r.pitch_m, units),
                tape(r.board.length_m, units),
                tape(r.board.width_m, units),
                if d.bulbs { "teardrops" } else { "half circles" }
            )
        }
        HeaterLayout::Boards(b) => {
            let Some(l) = b.layouts.first() else {
                return title;
            };
            let board = l.request.board;
            let boards = if b.layouts.len() == 1 {
                "a board".to_owned()
            } else {
                format!("{} boards", b.layouts.len())
            };
            let answer = if b.left_over_m > 0.02 * h.wanted_m {
                format!(
                    "does not all fit: {} of {} (buy less, or more board)",
                    running(b.laid_m, units),
                    running(h.wanted_m, units)
                )
            } else {
                format!(
                    "fits: {} laid of {}, room for {}",
                    running(b.laid_m, units),
                    running(h.wanted_m, units),
                    running(b.fits_m, units)
                )
            };
            let bend = l.bend_radius_m.map_or(String::new(), |r| {
                format!(
                    " Tightest bend {} (least {}).",
                    tape(r, units),
                    tape(l.least_radius_m, units)
                )
            });
            format!(
                "{title}: the tube {answer}, on {boards} of {} × {}, {:.0} % covered.{bend}",
                tape(board.length_m, units),
                tape(board.width_m, units),
                100.0 * l.covered_frac()
            )
        }
    }
}

fn cuts(report: &BuildReport) -> Option<String> {
    let units = report.units;
    let mut counts: Vec<(String, usize)> = Vec::new();
    for c in &report.cuts {
        for (name, length, width) in &c.pieces {
            let width = width.map_or(String::new(), |w| format!(" × {}", tape(w, units)));
            let name = name.trim_end_matches(|c: char| c.is_ascii_digit() || c == ' ');
            let text = format!(
                "{name} {}{width}",
                if c.kind.ends_with("tube") || c.kind == "hose" {
                    running(*length, units)
                } else {
                    tape(*length, units)
                }
            );
            match counts.iter_mut().find(|x| x.0 == text) {
                Some(same) => same.1 += 1,
                None => counts.push((text, 1)),
            }
        }
    }
    let words: Vec<String> = counts
        .iter()
        .map(|(text, n)| format!("{n} × {text}"))
        .collect();
    (!words.is_empty()).then(|| format!("Cut: {}.", words.join("; ")))
}

fn force(newtons: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{:.0} lb", (newtons / 44.482_216).round() * 10.0),
        Units::Metric => format!("{:.1} kN", newtons / 1e3),
    }
}

/// Weight and wind of a sheet's boards or panel.
pub(super) fn loads(report: &BuildReport, h: &HeaterSheet) -> Option<String> {
    let units = report.units;
    let kg = |v: f64| units.format(Kind::Mass, v, 0);
    let held = h.holding?;
    let each = if h.boards() > 1 { "each board" } else { "it" };
    let weight = h.weight.map_or("weight as its maker says".to_owned(), |w| {
        format!(
            "{each} weighs {} dry, {} full",
            kg(w.dry_kg),
            kg(w.filled_kg)
        )
    });
    let hold = if held.on_ground() {
        format!(
            "ballast {} to {}, or {} to {} anchors, half at each edge",
            kg(held.ballast_kg.low),
            kg(held.ballast_kg.high),
            held.anchors.0,
            held.anchors.1
        )
    } else {
        format!(
            "no ballast up there: {} to {} screws into rafters, as an engineer says",
            held.screws.0, held.screws.1
        )
    };
    Some(format!(
        "{}: {weight}; a gust of {} pushes with {} to {}: {hold}.",
        h.title(),
        units.format(Kind::Speed, report.gust_m_s, 0),
        force(held.force_n.low, units),
        force(held.force_n.high, units),
    ))
}

/// Water, first slug, fall, siphon.
pub(super) fn water(report: &BuildReport) -> String {
    let units = report.units;
    let mut out = format!(
        "Water in the tubes {}",
        units.format(
            Kind::Volume,
            report.water_m3(),
            if units == Units::Us { 1 } else { 3 }
        )
    );
    match (report.first_slug_s, report.flow_m3_s) {
        (Some(s), Some(flow)) => {
            out += &format!(
                ": the first, hot, runs about {s:.0} s at {}.",
                units.format(Kind::Flow, flow, 1)
            );
        }
        _ => out.push('.'),
    }
    out += " Give pipes a fall of 1 in 50 to a drain.";
    if let Some(s) = report.siphon {
        if s.check_valve {
            out += " Check valve behind the pump.";
        }
        if let Some(hole) = s.hole_below_m {
            out += &format!(
                " Anti-siphon hole in the return, {} below the water line.",
                tape(hole, units)
            );
        }
        if s.loses_m3 > 0.0 {
            out += &format!(
                " A hose that slips lets the pool fall {}{} ({}), a running pump further.",
                if s.joint_unknown { "up to " } else { "" },
                tape(s.drains_to_m, units),
                units.format(
                    Kind::Volume,
                    s.loses_m3,
                    if units == Units::Us { 0 } else { 1 }
                )
            );
        }
    }
    out
}
