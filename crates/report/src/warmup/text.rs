//! The answer on the terminal: how long, what brings the warmth, what each measure saves, when to start.

use chrono::NaiveDate;
use swimdays_quantity::{Kind, Units};

use super::{DaysSpread, MeasureSummary, SavedSummary, WarmupSummary, date};
use crate::lines::{TIE, capital, percent, shortened, tied, wrap, wrapped};
use crate::words::{count_of, day, rough, whole};

/// Start days named at most.
const STARTS: usize = 5;
/// Rows of the table at most.
const ROWS: usize = 8;
/// A share of runs that counts as all.
const ALL_FRAC: f64 = 0.995;

/// All lines, none wider than `width`.
#[must_use]
pub fn warmup_lines(summary: &WarmupSummary, units: Units, width: usize) -> Vec<String> {
    let mut out = Vec::new();
    let mut say = |text: &str, most: usize| out.extend(wrapped(text, most, width));
    say(&headline(summary, units), 3);
    if let Some(text) = ready(summary, units) {
        say(&text, 3);
    }
    say(&sources(summary), 3);
    out.extend(table(summary, width));
    let mut say = |text: &str, most: usize| out.extend(wrapped(text, most, width));
    if let Some(text) = starts(summary, units) {
        say(&text, 2);
    }
    let notes: Vec<String> = summary
        .notes
        .iter()
        .map(|note| format!("{}.", capital(note)))
        .collect();
    out.extend(wrap(&notes.join(" "), width));
    out.extend(wrap(&caution(summary), width));
    out
}

fn caution(s: &WarmupSummary) -> String {
    let mut text = String::new();
    if s.cover {
        text += "A cover can drown a child or a pet: take it off altogether before anybody swims. ";
    }
    if !s.heaters.is_empty() {
        text += "The first water out of a heater that stood in the sun scalds. ";
    }
    format!("{text}Local codes and licensed practice decide.")
}

/// `60 °F`, or `55 to 66 °F` of the weather's own.
pub(super) fn from(s: &WarmupSummary, units: Units) -> String {
    let t = |c: f64| tied(&units.format(Kind::Temperature, c, 0));
    let (low, high) = (
        whole(units.temperature_value(s.from_low_c)),
        whole(units.temperature_value(s.from_high_c)),
    );
    if low == high {
        t(s.from_low_c)
    } else {
        format!("{low} to {}", t(s.from_high_c))
    }
}

/// When it is started.
pub(super) fn started(s: &WarmupSummary, units: Units) -> String {
    let written = |at| date(at).map_or_else(String::new, |d| tied(&day(d, units)));
    let (first, last) = s.window;
    if first == last {
        format!("on {}", written(first))
    } else {
        format!("from {} to {}", written(first), written(last))
    }
}

/// With what, in words.
fn with(s: &WarmupSummary) -> String {
    let mut all: Vec<String> = Vec::new();
    if s.cover {
        all.push("cover".into());
    }
    all.extend(s.heaters.iter().cloned());
    if s.measures.iter().any(|m| m.name == "ordinary heater") {
        all.push("ordinary heater".into());
    }
    match all.as_slice() {
        [] => "nothing but the sun on the water".into(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// Days as one would say them: tenths below ten.
pub(super) fn days(value: f64) -> String {
    if value < 9.95 {
        count_of((value * 10.0).round() / 10.0, "day")
    } else {
        count_of(value.round(), "day")
    }
}

fn number(value: Option<f64>) -> String {
    value.map_or_else(
        || "never".into(),
        |v| {
            if v < 9.95 {
                format!("{v:.1}")
            } else {
                whole(v)
            }
        },
    )
}

/// `5.1 to 16 days`, `from 30 days to never`.
pub(super) fn range(spread: &DaysSpread) -> String {
    match (spread.low, spread.high) {
        (Some(_), Some(high)) => format!("{} to {}", number(spread.low), days(high)),
        (Some(low), None) => format!("{} to not at all", days(low)),
        _ => "not at all".into(),
    }
}

fn headline(s: &WarmupSummary, units: Units) -> String {
    let to = tied(&units.format(Kind::Temperature, s.to_c, 0));
    let own = if s.from_weather {
        "the water's own "
    } else {
        ""
    };
    let what = format!(
        "From {own}{} to {to} with {}, started {}",
        from(s, units),
        with(s),
        started(s, units)
    );
    let Some(all) = s.all() else {
        return format!("{what}: nothing to tell.");
    };
    let not = if all.reached_frac >= ALL_FRAC {
        String::new()
    } else {
        format!(
            " It does not get there in {} of the runs ({}).",
            percent(1.0 - all.reached_frac, 1.0),
            why_not(s, all)
        )
    };
    match all.days.half {
        Some(half) => format!(
            "{what}: {}, four times out of five {}.{not}",
            tied(&days(half)),
            range(&all.days)
        ),
        None if all.reached_frac > 0.0 => format!(
            "{what}: in most runs the water does not get there ({}); it does in {}, the quickest tenth within {}.",
            why_not(s, all),
            percent(all.reached_frac, 1.0),
            all.days
                .low
                .map_or_else(|| format!("{} days", s.longest_days), days)
        ),
        None => format!("{what}: the water never gets there ({}).", why_not(s, all)),
    }
}

fn why_not(s: &WarmupSummary, measure: &MeasureSummary) -> String {
    let within = format!("within {} days", s.longest_days);
    if measure.weather_ends_frac > 0.0 {
        format!("{within}, or the weather file ends before")
    } else {
        within
    }
}

/// When to start.
fn ready(s: &WarmupSummary, units: Units) -> Option<String> {
    let ready = s.ready.as_ref()?;
    let by = tied(&day(ready.day?, units));
    let start = |lead: usize| -> Option<NaiveDate> {
        ready
            .day?
            .checked_sub_signed(chrono::TimeDelta::days(i64::try_from(lead).ok()?))
    };
    let on = |lead: usize| start(lead).map_or_else(String::new, |d| tied(&day(d, units)));
    let most = ready.warm_frac_by_lead.iter().copied().fold(0.0, f64::max);
    Some(match (ready.half_lead, ready.nine_tenths_lead) {
        (Some(half), Some(nine)) if half == nine => {
            format!("Ready by {by}: start on {} (9 in 10).", on(nine))
        }
        (Some(half), Some(nine)) => format!(
            "Ready by {by}: start on {} for even odds, on {} for 9 in 10.",
            on(half),
            on(nine)
        ),
        (Some(half), None) => format!(
            "Ready by {by}: start on {} for even odds; 9 in 10 is not to be had, however early (at best {}).",
            on(half),
            percent(most, 1.0)
        ),
        _ => format!(
            "Ready by {by}: not even odds, however early you start (at best {}, looked at to {} days before).",
            percent(most, 1.0),
            ready.warm_frac_by_lead.len().saturating_sub(1)
        ),
    })
}

/// The answer in sentences, for the page.
pub(super) fn lead(s: &WarmupSummary, units: Units) -> Vec<String> {
    vec![headline(s, units), sources(s)]
}

/// Where the heat came from, and how much of it stayed.
fn sources(s: &WarmupSummary) -> String {
    let h = &s.heat;
    let gains = [
        ("the sun on the water", h.sun_on_water),
        (
            s.heaters.first().map_or("the heater", String::as_str),
            h.heaters,
        ),
        ("the ordinary heater", h.other_heater),
        ("the pump", h.pump_heat),
    ];
    let total: f64 = gains.iter().map(|(_, v)| v.max(0.0)).sum();
    if total < 1.0 {
        return "The water is that warm already, or nearly.".into();
    }
    let heaters = if s.heaters.len() > 1 {
        "the heaters"
    } else {
        gains[1].0
    };
    let told: Vec<String> = gains
        .iter()
        .enumerate()
        .filter(|(at, (_, v))| {
            *v > 0.005 * total || *at == 0 || (*at == 1 && !s.heaters.is_empty())
        })
        .map(|(at, (name, v))| {
            let name = if at == 1 { heaters } else { name };
            format!("{} from {name}", percent(*v, total))
        })
        .collect();
    let soil = -(h.ground + h.walls).min(0.0);
    let kept = h.stored_change.max(0.0);
    format!(
        "Heat that went in until then, about {} kWh: {}. {} of it stayed in the water, {} went into shell and soil, the rest to air and sky.",
        rough(total),
        told.join(", "),
        percent(kept, total),
        percent(soil, total)
    )
}

/// What each measure alone takes, and saves.
fn table(s: &WarmupSummary, width: usize) -> Vec<String> {
    let several = s.measures.iter().any(|m| m.added.is_some());
    let last = if several { "on top of the rest" } else { "" };
    let head = format!(
        "{:<20}{:>7}{:>17}{:>11}   {:<22}{last}",
        "Days to the target", "middle", "four in five", "get there", "saves against bare"
    );
    let mut out = vec![head.trim_end().to_owned()];
    let named = |m: &MeasureSummary| match m.name.as_str() {
        "all" => "all together".to_owned(),
        "bare" => "bare".to_owned(),
        name => format!("{name} alone"),
    };
    for measure in s
        .measures
        .iter()
        .take(ROWS - 1)
        .chain(s.measures.iter().skip(ROWS - 1).last())
    {
        let told = |what: &Option<SavedSummary>| what.as_ref().map_or_else(String::new, saved);
        let line = format!(
            "  {:<18}{:>7}{:>17}{:>11}   {:<22}{}",
            shortened(&named(measure), 18),
            number(measure.days.half),
            format!(
                "{} to {}",
                number(measure.days.low),
                number(measure.days.high)
            ),
            percent(measure.reached_frac, 1.0).replace(TIE, " "),
            told(&measure.saved),
            told(&measure.added)
        );
        out.push(shortened(line.trim_end(), width));
    }
    out
}

/// Never sold as more than it is; `≥` where the pool without it often does not get there at all.
fn saved(saved: &SavedSummary) -> String {
    if saved.high < 0.05 && saved.low > -0.05 {
        return "nothing".into();
    }
    if saved.low < 0.05 {
        return "no clear difference".into();
    }
    let at_least = if saved.at_least { "≥ " } else { "" };
    format!(
        "{at_least}{} ({} to {})",
        number(Some(saved.half)),
        number(Some(saved.low)),
        number(Some(saved.high))
    )
}

/// Some start days.
fn starts(s: &WarmupSummary, units: Units) -> Option<String> {
    let n = s.by_start.len();
    if n < 3 {
        return None;
    }
    let shown = STARTS.min(n);
    let parts: Vec<String> = (0..shown)
        .map(|k| k * (n - 1) / (shown - 1))
        .filter_map(|at| s.by_start.get(at))
        .filter_map(|start| {
            let (month, number_of_day) = start.start.split_once('-')?;
            let date =
                NaiveDate::from_ymd_opt(2001, month.parse().ok()?, number_of_day.parse().ok()?)?;
            Some(format!(
                "{} {}",
                tied(&day(date, units)),
                number(start.days.half)
            ))
        })
        .collect();
    Some(format!(
        "By start day, the middle: {} days.",
        parts.join(", ")
    ))
}
