//! The answer on the terminal.

use swimdays_build::{
    BoardLayout, DEFERENCE, Pattern, Run, StretchKind, counts, forces, masses, running, tape,
};
use swimdays_quantity::Kind;

use super::{BuildReport, HeaterLayout, HeaterSheet};
use crate::Units;
use crate::lines::{list, tied, wrapped};

/// Lines of the answer at most, beside the last, which says where the files are.
const LINES: usize = 24;
/// Lines that the shopping list keeps, however long the rest is.
const LEAST_LIST: usize = 2;
/// Kinds of cautions about what kills: named in the answer; the rest is read on the page.
const DEADLY: [&str; 9] = [
    "scald",
    "submersible",
    "electricity",
    "roof",
    "digging",
    "climbing",
    "cover",
    "pool_far_too_hot",
    "suction",
];
/// Of these so many are named.
const NAMED: usize = 4;
/// What is not laid of the tube is told from this share on.
const TOLD_FRAC: f64 = 0.02;

/// All lines, none wider than `width`, at most 24. Cautions and who decides come whole; lists give way.
#[must_use]
pub fn build_lines(report: &BuildReport, width: usize) -> Vec<String> {
    let units = report.units;
    let whole = |text: &str| wrapped(text, LINES, width);
    let mut head: Vec<String> = Vec::new();
    for h in report.heaters.iter().take(2) {
        head.extend(wrapped(&fits(h, units), 3, width));
    }
    if report.heaters.len() > 2 {
        head.push(format!(
            "Heaters beside these: {}, in build.html.",
            report.heaters.len() - 2
        ));
    }
    let mut tail: Vec<String> = Vec::new();
    for h in report.heaters.iter().take(2) {
        if let Some(text) = loads(report, h) {
            tail.extend(wrapped(&text, 3, width));
        }
    }
    tail.extend(wrapped(&water(report), 3, width));
    tail.extend(whole(DEFERENCE));
    tail.extend(whole(&deadly(report, "in build.html")));
    let cut: Vec<String> = cuts(report)
        .map(|items| list("Cut:", &items, 2, width))
        .unwrap_or_default();
    let room = LINES.saturating_sub(head.len() + cut.len() + tail.len());
    let parts: Vec<String> = report
        .parts
        .iter()
        .map(|p| {
            let cost = p
                .cost
                .map_or(String::new(), |c| format!(", {}", report.money(c)));
            tied(&format!("{} × {}{cost}", p.count, p.what))
        })
        .collect();
    let buy = list(&buys(report), &parts, room.max(LEAST_LIST), width);
    let over = (head.len() + buy.len() + cut.len() + tail.len()).saturating_sub(LINES);
    let kept = cut.len().saturating_sub(over);
    head.extend(buy);
    head.extend(cut.into_iter().take(kept));
    // What still is too long gives way before the cautions do.
    head.truncate(LINES.saturating_sub(tail.len()));
    head.extend(tail);
    head
}

/// What fits, what it weighs and what the water does, for the page, which has all lists below.
pub(super) fn paragraphs(report: &BuildReport) -> Vec<String> {
    let fit = report.heaters.iter().map(|h| fits(h, report.units));
    let held = report.heaters.iter().filter_map(|h| loads(report, h));
    fit.chain(held)
        .chain(std::iter::once(water(report)))
        .collect()
}

/// What fits, what it costs and what kills, for the head of the workshop's page.
pub(super) fn summed_up(report: &BuildReport) -> Vec<String> {
    let mut out: Vec<String> = report
        .heaters
        .iter()
        .map(|h| fits(h, report.units))
        .collect();
    if !report.parts.is_empty() {
        out.push(format!(
            "{} {} of things; the list is below.",
            buys(report),
            match report.parts.len() {
                1 => "one kind".to_owned(),
                n => format!("{n} kinds"),
            }
        ));
    }
    out.push(deadly(report, "below"));
    out
}

fn buys(report: &BuildReport) -> String {
    match report.priced_cost() {
        Some(cost) if report.not_priced().is_empty() => {
            format!("Buy, {} in all:", report.money(cost))
        }
        Some(cost) => format!(
            "Buy, {} without {}:",
            report.money(cost),
            report.not_priced().join(", ")
        ),
        None => "Buy (no prices: write [shop] with yours):".to_owned(),
    }
}

/// The deadly, and where the rest stands.
fn deadly(report: &BuildReport, place: &str) -> String {
    let named: Vec<&str> = report
        .cautions
        .iter()
        .filter(|c| DEADLY.contains(&c.kind))
        .take(NAMED)
        .map(|c| c.short.trim_end_matches('.'))
        .collect();
    let all = match report.cautions.len() {
        0 => return String::new(),
        1 => format!("It stands {place}: read it"),
        n => format!("All {n} cautions stand {place}: read them"),
    };
    let named = if named.is_empty() {
        String::new()
    } else {
        format!("Deadly: {}. ", named.join("; "))
    };
    format!("{named}{all} before the first cut.")
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
                "{title}: {} of {} of tube lie in {} rows, {} apart{depth}, on {} × {}{}; turns are {}.",
                running(d.layout.laid_m, units),
                running(h.wanted_m, units),
                d.rows,
                tape(r.pitch_m, units),
                tape(r.board.length_m, units),
                tape(r.board.width_m, units),
                if h.sides_taken {
                    " (sides taken as needed)"
                } else {
                    ""
                },
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
            let (wanted, laid) = (running(h.wanted_m, units), running(b.laid_m, units));
            let over = running(b.left_over_m, units);
            let ends_early = b.left_over_m > TOLD_FRAC * h.wanted_m;
            let answer = if b.fits_m < h.wanted_m * (1.0 - TOLD_FRAC) {
                format!("does not all fit: {laid} of {wanted} (buy less, or take more board)")
            } else if b.fits_m < h.wanted_m {
                format!("fills the board: {laid} laid of {wanted}, {over} over")
            } else {
                format!(
                    "fits: {laid} laid of {wanted}{}, room for {}",
                    if ends_early {
                        format!(", {over} over as only whole {} end at an edge", rings(l))
                    } else {
                        String::new()
                    },
                    running(b.fits_m, units)
                )
            };
            let edges = if l.runs.iter().all(at_one_edge) {
                ""
            } else {
                " It comes in and leaves at different edges (build.exit_edge)."
            };
            let bend = l.bend_radius_m.map_or(String::new(), |r| {
                format!(
                    " Tightest bend {} (least {}).",
                    tape(r, units),
                    tape(l.least_radius_m, units)
                )
            });
            let sides = if h.sides_taken {
                " (sides taken from the area)"
            } else {
                ""
            };
            format!(
                "{title}: the tube {answer}, on {boards} of {} × {}{sides}, {:.0} % covered.{bend}{edges}",
                tape(board.length_m, units),
                tape(board.width_m, units),
                100.0 * l.covered_frac()
            )
        }
    }
}

fn cuts(report: &BuildReport) -> Option<Vec<String>> {
    let units = report.units;
    let mut counts: Vec<(String, usize)> = Vec::new();
    for c in &report.cuts {
        for (name, length, width) in &c.pieces {
            let width = width.map_or(String::new(), |w| format!(" × {}", tape(w, units)));
            let name = unnumbered(c.kind, name);
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
        .map(|(text, n)| tied(&format!("{n} × {text}")))
        .collect();
    (!words.is_empty()).then_some(words)
}

/// The name of a piece without the number that only counts it; runs of pipe keep the names that the builder gave them.
pub(super) fn unnumbered<'n>(kind: &str, name: &'n str) -> &'n str {
    if kind == "hose" || kind == "deck tube" {
        return name;
    }
    name.trim_end_matches(|c: char| c.is_ascii_digit() || c == ' ')
}

/// Both ends at the same edge, to the tenth of a millimetre.
fn at_one_edge(run: &Run) -> bool {
    let alike = |a: f64, b: f64| (a - b).abs() < 1e-4;
    let (a, b) = (run.entry, run.exit);
    // A spiral comes in at the lower edge, or on a standing board at the left one.
    (alike(a.y_m, 0.0) && alike(b.y_m, 0.0))
        || (alike(a.x_m, 0.0) && alike(b.x_m, 0.0))
        || run.stretches.iter().any(|s| s.kind == StretchKind::Row)
}

/// What a round or a rectangular spiral is made of.
const fn rings(layout: &BoardLayout) -> &'static str {
    match layout.request.pattern {
        Pattern::Serpentine { .. } => "rows",
        Pattern::RoundSpiral | Pattern::RectangularSpiral => "rings",
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
            "ballast {}, or {} anchors, half at each edge",
            masses(held.ballast_kg, units),
            counts(held.anchors)
        )
    } else {
        format!(
            "no ballast up there: {} screws into rafters, as an engineer says",
            counts(held.screws)
        )
    };
    Some(format!(
        "{}: {weight}; a gust of {} pushes with {}: {hold}.",
        h.title(),
        units.format(Kind::Speed, report.gust_m_s, 0),
        forces(held.force_n, units),
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
