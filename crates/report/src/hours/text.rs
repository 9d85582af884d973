//! The answer on the terminal: what to set, what it changes and what not, then the card.

use super::card::card_lines;
use super::{BetweenSummary, HoursOption, HoursPair, HoursSummary, WITHIN_FILTER};
use crate::Units;
use crate::lines::{capital, kwh, money, shortened, tied, wrapped};
use crate::words::{rough, whole};

/// A difference of heat below this share of the heaters' heat is not spoken of, however sure it is (own choice).
const ALIKE_FRAC: f64 = 0.01;

/// Lines of the whole answer; one more is left for where the files are.
const LINES: usize = 24;
/// The card has at least so many of them, with its head.
const CARD_LINES: usize = 4;

/// All lines, none wider than `width`.
#[must_use]
pub fn hours_lines(summary: &HoursSummary, units: Units, width: usize) -> Vec<String> {
    let mut out = Vec::new();
    for sentence in lead(summary, units) {
        out.extend(wrapped(&sentence, 3, width));
    }
    out.extend(table(summary, width));
    let ranges = format!(
        "Ranges: 10 to 90 % of {} seasons, the same draws for all; brackets alone: no clear difference.",
        summary.range_draws
    );
    out.extend(wrapped(&ranges, 1, width));
    let heading = format!("Card for the timer ({}):", summary.clock);
    out.extend(wrapped(&heading, 1, width));
    let mut rest = Vec::new();
    if let Some(filter) = &summary.filter {
        let turnover = if filter.at_least {
            "turnover: describe the pump".to_owned()
        } else {
            format!("{:.1} times the pool's water", filter.turnovers_a_day)
        };
        let text = format!(
            "The filter keeps its own hours, {:.0} h a day ({turnover}).",
            filter.hours_a_day
        );
        rest.extend(wrapped(&text, 1, width));
    }
    for kind in ["electricity", "cover"] {
        for caution in summary.cautions.iter().filter(|c| c.kind == kind) {
            rest.extend(wrapped(&caution.short, 1, width));
        }
    }
    rest.extend(wrapped(summary.cautions_note, 1, width));
    let room = LINES.saturating_sub(out.len() + rest.len()).max(CARD_LINES);
    for line in card_lines(&summary.card, units, room) {
        out.push(shortened(&line, width));
    }
    out.extend(rest);
    out
}

/// The answer in a few sentences.
pub(super) fn lead(summary: &HoursSummary, units: Units) -> Vec<String> {
    let (Some(given), Some(card)) = (summary.given(), summary.on_card()) else {
        return Vec::new();
    };
    let mut out = vec![headline(summary, given, card), of_given(summary, given)];
    out.push(others(summary, card));
    if let Some(option) = summary.option("best timer, night cooling") {
        out.push(night_cooling(summary, option, given, units));
    }
    out.retain(|sentence| !sentence.is_empty());
    out
}

/// `94 swim days (85 to 103)`.
fn days(option: &HoursOption) -> String {
    tied(&format!(
        "{} swim days ({} to {})",
        option.swim_days, option.swim_days_low, option.swim_days_high
    ))
}

fn headline(summary: &HoursSummary, given: &HoursOption, card: &HoursOption) -> String {
    let same = card.hours_by_month == given.hours_by_month && given.hours_by_month.is_some();
    let mut told = if same {
        let where_ = if card.name == WITHIN_FILTER {
            " within the filter's hours"
        } else {
            ""
        };
        format!(
            "{}: {} gives {}; no better timer was found{where_}",
            summary.name,
            given.name,
            days(given)
        )
    } else {
        format!(
            "{}: {} gives {}, the {} {}: {}",
            summary.name,
            given.name,
            days(given),
            card.name,
            days(card),
            difference(summary, card, given, "day")
        )
    };
    // More hours than the filter's, which cost something.
    if let (true, Some(best)) = (card.name == WITHIN_FILTER, summary.option("best timer")) {
        let cost = best
            .cost
            .map_or_else(|| kwh(best.pump_kwh), |c| money(c, &summary.currency));
        told += &format!(
            "; the best of all hours gives {} for {cost} a season",
            days(best)
        );
    }
    told + "."
}

/// How many more or fewer days `a` gives than `b`, or that there is no clear difference, and then what there is of heat.
fn difference(summary: &HoursSummary, a: &HoursOption, b: &HoursOption, what: &str) -> String {
    let pair = summary
        .pairs
        .iter()
        .find(|p| p.a == a.name && p.b == b.name);
    let Some(HoursPair {
        more_days: days,
        more_net_kwh: net,
        ..
    }) = pair
    else {
        return String::new();
    };
    let heat = if a.pump_kwh + b.pump_kwh > 0.5 {
        "heat after electricity"
    } else {
        "heat"
    };
    let of_heat = if net.value.abs() < ALIKE_FRAC * b.heat_kwh.abs() {
        Sense::Alike
    } else {
        sense(net)
    };
    let much = |sign: &str| {
        let (low, high) = ends(net);
        tied(&format!(
            "{} kWh ({} to {}) {sign} {heat}",
            rough(net.value.abs()),
            rough(low),
            rough(high)
        ))
    };
    match (sense(days), of_heat) {
        (Sense::More, _) => format!("{} more", between(days, what)),
        (Sense::Fewer, _) => format!("{} fewer", between(days, what)),
        (Sense::Alike, Sense::More) => format!("no clear difference in {what}s, {}", much("more")),
        (Sense::Alike, Sense::Fewer) => format!("no clear difference in {what}s, {}", much("less")),
        (Sense::Alike, Sense::Alike) => format!("no clear difference, in {what}s or in {heat}"),
    }
}

fn of_given(summary: &HoursSummary, given: &HoursOption) -> String {
    if given.hours_run < 0.5 {
        return format!(
            "{}: the pump pushes no water through the heaters.",
            capital(given.name)
        );
    }
    let cooled = if given.cooled_hours >= 0.5 {
        format!(
            "; in {} of them running cooled the water ({} lost)",
            tied(&format!("{} h", whole(given.cooled_hours))),
            kwh(given.cooled_kwh)
        )
    } else {
        "; in none of them did it cool the water".to_owned()
    };
    let power = match (given.heat_per_pump_kwh, given.cost) {
        (None, _) => "heating adds no electricity".to_owned(),
        (Some(each), cost) => format!(
            "heating adds {} of electricity{}, {each:.1} kWh of heat for each",
            kwh(given.pump_kwh),
            cost.map_or(String::new(), |c| format!(
                " ({} a season)",
                money(c, &summary.currency)
            ))
        ),
    };
    format!(
        "{} runs the pump {} h a season for {} of heat{cooled}; {power}.",
        capital(given.name),
        whole(given.hours_run),
        kwh(given.heat_kwh)
    )
}

/// Sensor and always on, each against the card.
fn others(summary: &HoursSummary, card: &HoursOption) -> String {
    let mut parts = Vec::new();
    for name in ["a sensor", "always on"] {
        if let Some(option) = summary.option(name) {
            let told = difference(summary, option, card, "day");
            let dearer = option.cost.zip(card.cost).map_or(0.0, |(a, b)| a - b);
            let cost = if dearer >= 1.0 {
                tied(&format!(" for {} more", money(dearer, &summary.currency)))
            } else {
                String::new()
            };
            parts.push(format!("{name}{cost}: {told}"));
        }
    }
    if parts.is_empty() {
        return String::new();
    }
    format!("Against the {}, {}.", card.name, parts.join("; "))
}

fn night_cooling(
    summary: &HoursSummary,
    option: &HoursOption,
    given: &HoursOption,
    units: Units,
) -> String {
    let above = option
        .cool_above_c
        .map(|c| crate::lines::temperature(c, units))
        .unwrap_or_default();
    let told = difference(summary, option, given, "swim day");
    format!(
        "Too hot on {} days: running at night above {above} leaves {} too hot, {told}.",
        given.too_hot_days, option.too_hot_days
    )
}

/// Which way a difference goes, where that is clear.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sense {
    More,
    Fewer,
    Alike,
}

fn sense(of: &BetweenSummary) -> Sense {
    match of.clear {
        true if of.value > 0.0 => Sense::More,
        true if of.value < 0.0 => Sense::Fewer,
        _ => Sense::Alike,
    }
}

/// `9 days (4 to 12)`, the sign left off.
fn between(of: &BetweenSummary, what: &str) -> String {
    let (low, high) = (
        of.low.abs().min(of.high.abs()),
        of.low.abs().max(of.high.abs()),
    );
    let s = if (of.value.abs() - 1.0).abs() < 0.5 {
        ""
    } else {
        "s"
    };
    tied(&format!(
        "{} {what}{s} ({} to {})",
        whole(of.value.abs()),
        whole(low),
        whole(high)
    ))
}

/// Both ends without their sign, the smaller first.
fn ends(of: &BetweenSummary) -> (f64, f64) {
    let (low, high) = (of.low.abs(), of.high.abs());
    (low.min(high), low.max(high))
}

/// With its sign.
fn signed(value: f64) -> String {
    if value.round() > 0.0 {
        format!("+{}", whole(value))
    } else {
        whole(value)
    }
}

/// The ways below each other.
fn table(summary: &HoursSummary, width: usize) -> Vec<String> {
    let priced = summary.options.iter().any(|o| o.cost.is_some());
    let head = format!(
        "{:<26} {:>4} {:>11} {:>16} {:>6} {:>8} {:>8} {:>7}{}",
        "pump runs",
        "days",
        "range",
        "against yours",
        "h run",
        "h cooled",
        "heat kWh",
        "kWh in",
        if priced { "   cost" } else { "" }
    );
    let mut lines = vec![head];
    for (at, o) in summary.options.iter().enumerate() {
        let more = &o.more_days;
        let against = match sense(more) {
            _ if at == 0 => String::new(),
            // Without a number: the difference is smaller than its range.
            Sense::Alike => format!("({} to {})", signed(more.low), signed(more.high)),
            _ => format!(
                "{} ({} to {})",
                signed(more.value),
                signed(more.low),
                signed(more.high)
            ),
        };
        let cost = match o.cost {
            Some(cost) if priced => format!("{:>7}", money(cost, &summary.currency)),
            _ => String::new(),
        };
        let line = format!(
            "{:<26} {:>4} {:>11} {:>16} {:>6} {:>8} {:>8} {:>7}{cost}",
            o.name,
            o.swim_days,
            format!("{} to {}", o.swim_days_low, o.swim_days_high),
            against,
            whole(o.hours_run),
            whole(o.cooled_hours),
            rough(o.heat_kwh),
            rough(o.pump_kwh)
        );
        lines.push(shortened(&line, width));
    }
    lines
}
