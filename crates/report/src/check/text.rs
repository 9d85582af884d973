//! The answer on the terminal: what is most likely, what the heater gave, what to measure next; then why.

use swimdays_check::Cause;
use swimdays_quantity::Kind;

use super::summary::{CauseSummary, CheckReport, FitSummary, HeatSummary, LearntSummary};
use super::words::{
    cause_caution, cause_sentence, is_telling, kelvin, key_of, key_title, key_value, power,
};
use crate::Units;
use crate::caution::DEFERENCE;
use crate::lines::{TIE, wrapped};
use crate::words::{count, half};

/// Belief from which a cause is called so.
const SURE: f64 = 0.9;
const LIKELY: f64 = 0.6;
/// Belief below which a cause is not worth a line.
const WORTH_A_LINE: f64 = 0.1;
/// Faults of the log on the terminal at most.
const FAULTS: usize = 3;
/// Hours of published pool models within 0.5 K, share. Source: Lovell et al. (2019).
const PUBLISHED_FRAC: f64 = 0.82;
const PUBLISHED_K: f64 = 0.5;
/// A flow lower than this share of the plan's is told (the bucket is good to a tenth).
const LOW_FLOW_FRAC: f64 = 0.8;
/// Where the heater's share may reach beyond this, nothing is judged by it.
pub(super) const TELLS_NOTHING_FRAC: f64 = 2.0;
/// A rise this many times what the planned flow would make is told as too hot, above so many K.
const HOT_TIMES: f64 = 1.5;

/// All lines, none wider than `width`.
#[must_use]
pub fn check_lines(report: &CheckReport, units: Units, width: usize) -> Vec<String> {
    let mut out = Vec::new();
    let mut say = |text: String, most: usize| out.extend(wrapped(&text, most, width));
    say(headline(report), 3);
    if let Some(text) = heat(report, units) {
        say(text, 3);
    }
    if let Some(text) = next(report) {
        say(text, 3);
    }
    if let Some(text) = evidence(report) {
        say(text, 4);
    }
    for text in others(report) {
        say(text, 2);
    }
    let flow_is_named = report
        .verdict
        .first()
        .is_some_and(|c| c.which == Cause::FlowTooLow);
    if let Some(text) = report
        .heat
        .as_ref()
        .and_then(|h| hot(h, flow_is_named, units))
    {
        say(text, 3);
    }
    if let Some(fit) = &report.fit {
        say(closeness(fit, units), 3);
        for text in learnt(fit, units) {
            say(text, 4);
        }
    }
    if !report.forecast.is_empty() {
        say(forecast(report, units), 3);
    }
    say(weather(report), 3);
    for text in left_out(report) {
        say(text, 2);
    }
    if let Some(text) = thermometers(report, units) {
        say(text, 2);
    }
    let first = report.verdict.first().map_or(Cause::AsBuilt, |c| c.which);
    say(format!("! {} {DEFERENCE}", cause_caution(first)), 3);
    out
}

/// A share of belief as people bet: `8 in 10`.
fn in_ten(weight: f64) -> String {
    format!("{:.0} in 10", (10.0 * weight).clamp(1.0, 9.0))
}

fn headline(r: &CheckReport) -> String {
    let log = &r.log;
    let base = format!("{} over {}", count(log.readings, "reading"), span(log.days));
    let Some(first) = r.verdict.first() else {
        let why = r
            .no_fit
            .as_deref()
            .unwrap_or("the log is too short to tell causes apart");
        return format!("{}: {base}. No verdict: {why}.", r.scenario);
    };
    let sentence = cause_sentence(first.which);
    if first.which == Cause::AsBuilt {
        let (how, more) = match r.weather.basis {
            "real" if first.weight >= SURE => ("As far as the log can tell, ", ""),
            "real" => ("Nothing in the log stands against it: ", ""),
            "remarks" => (
                "As far as your words about the sky can tell, ",
                " Hourly weather of those days (--weather) would tell more.",
            ),
            _ => (
                "As far as the weather of a typical year can tell, ",
                " Give --weather, or words about the sky in the log, to know more.",
            ),
        };
        return format!("{how}{sentence} ({base}; {}).{more}", in_ten(first.weight));
    }
    if first.weight >= SURE {
        return format!("Almost surely {sentence} ({base}).");
    }
    if first.weight >= LIKELY {
        return format!("Most likely {sentence} ({}; {base}).", in_ten(first.weight));
    }
    let second = r.verdict.get(1).filter(|s| s.weight >= WORTH_A_LINE);
    match second {
        Some(second) => format!(
            "Either {sentence} ({}), or {} ({}): the log does not part the two ({base}).",
            in_ten(first.weight),
            cause_sentence(second.which),
            in_ten(second.weight)
        ),
        None => format!("Perhaps {sentence} ({}; {base}).", in_ten(first.weight)),
    }
}

fn span(days: f64) -> String {
    if days < 1.0 {
        "less than a day".into()
    } else {
        format!("{days:.0} day{}", if days < 1.5 { "" } else { "s" })
    }
}

/// What the heater gave against what it should.
fn heat(r: &CheckReport, units: Units) -> Option<String> {
    let heat = r.heat.as_ref()?;
    let (share, low, high) = (
        heat.share_frac?,
        heat.share_low_frac?,
        heat.share_high_frac?,
    );
    let percent = |frac: f64| format!("{:.0}", 100.0 * frac.max(0.0));
    let (best, expected) = heat.best_w?;
    if high > TELLS_NOTHING_FRAC && low < 1.0 {
        return Some(format!(
            "In {} the heater gave {} % of what it should in the sun of {}, but on your days that may be anything from {} % to {} %: only hourly weather of those days can judge it.",
            count(heat.share_readings, "reading"),
            percent(share),
            if r.weather.basis == "typical" {
                "a typical year"
            } else {
                "those days"
            },
            percent(low),
            percent(high)
        ));
    }
    let judged = if high < 1.0 {
        "less than it should"
    } else if low > 1.0 {
        "more than it can: an error of flow or thermometers"
    } else {
        "as it should, within the doubt"
    };
    let sun = if r.weather.basis == "typical" {
        "the sun of a typical year"
    } else {
        "that sun"
    };
    Some(format!(
        "In {} the heater gave {} % of what it should in {sun} ({} to {} %): {judged}. At its best {} where {} were due.",
        count(heat.share_readings, "reading"),
        percent(share),
        percent(low),
        percent(high),
        power(best, units),
        power(expected, units)
    ))
}

fn next(r: &CheckReport) -> Option<String> {
    let next = r.next_measurement.as_deref().filter(|n| !n.is_empty())?;
    Some(format!("Measure next: {}", finished(next)))
}

fn evidence(r: &CheckReport) -> Option<String> {
    let first = r.verdict.first().filter(|c| !c.evidence.is_empty())?;
    let said: Vec<String> = first.evidence.iter().map(|e| finished(e)).collect();
    Some(format!("What speaks for it: {}", said.join(" ")))
}

/// The other causes worth a line.
fn others(r: &CheckReport) -> Vec<String> {
    let line = |c: &CauseSummary| {
        let tells = if c.reading.is_empty() {
            String::new()
        } else {
            format!(" What would tell: {}", finished(&c.reading))
        };
        format!(
            "Or {} ({}).{tells}",
            cause_sentence(c.which),
            in_ten(c.weight)
        )
    };
    r.verdict
        .iter()
        .skip(1)
        .filter(|c| c.weight >= WORTH_A_LINE)
        .take(2)
        .map(line)
        .collect()
}

/// Hot at the outlet is too little flow.
fn hot(heat: &HeatSummary, flow_is_named: bool, units: Units) -> Option<String> {
    let (rise, usual) = heat.highest_rise_k?;
    let flow = heat.flow_share_frac;
    let low = flow.is_some_and(|f| f < LOW_FLOW_FRAC);
    let hot = rise > HOT_TIMES * usual.max(0.5) && rise > 2.0;
    if !(hot || low) {
        return None;
    }
    let measured = flow.filter(|_| !flow_is_named).map_or(String::new(), |f| {
        format!(
            " The measured flow is {:.0} % of the scenario’s {}.",
            100.0 * f,
            units.format(Kind::Flow, heat.plan_flow_m3_s, 1)
        )
    });
    let flow_is_right = flow.is_some_and(|f| f >= LOW_FLOW_FRAC);
    if hot && flow_is_right {
        return Some(format!(
            "The water came out up to {} warmer, where {} were due:{measured} At that flow no heater can; look at the thermometers.",
            kelvin(rise, units),
            kelvin(usual, units)
        ));
    }
    Some(format!(
        "The water came out up to {} warmer, where the scenario’s flow gives {}. Hot at the outlet is too little flow, not a better heater: the hotter tube loses more.{measured}",
        kelvin(rise, units),
        kelvin(usual, units)
    ))
}

fn closeness(fit: &FitSummary, units: Units) -> String {
    let mut text = format!(
        "The water was foretold within {} once the log was learnt ({} with the scenario as it stood).",
        kelvin(fit.rms_k, units),
        kelvin(fit.rms_before_k, units)
    );
    if let (Some(days), Some(within)) = (fit.held_out_days, fit.held_out_within_half_k_frac) {
        text += &format!(
            " Its last {} were held out: {:.0} % of their readings came within {} (published pool models: {:.0} %).",
            span(days),
            100.0 * within,
            kelvin(PUBLISHED_K, units),
            100.0 * PUBLISHED_FRAC
        );
    }
    text
}

/// What the log teaches, and what it cannot.
fn learnt(fit: &FitSummary, units: Units) -> Vec<String> {
    let telling = || fit.learnt.iter().filter(|l| is_telling(l.parameter));
    let one = |l: &LearntSummary| {
        let v = |value: f64| key_value(l.parameter, value, units);
        format!(
            "{} {}{} ({} to {}; believed before {})",
            key_title(l.parameter),
            v(l.value),
            key_of(l.parameter),
            v(l.low),
            v(l.high),
            v(l.before)
        )
    };
    let mut out = Vec::new();
    let told: Vec<String> = telling().filter(|l| l.identified).map(one).collect();
    if !told.is_empty() {
        out.push(format!("Learnt: {}.", told.join("; ")));
    }
    let open: Vec<&LearntSummary> = telling().filter(|l| !l.identified).collect();
    if let Some(first) = open.first() {
        let names: Vec<&str> = open.iter().map(|l| key_title(l.parameter)).collect();
        let of = if names.len() > 1 {
            format!("Of the {}: ", names[0])
        } else {
            String::new()
        };
        out.push(format!(
            "The log cannot tell: {}. {of}{}",
            names.join(", "),
            finished(&first.why)
        ));
    }
    out
}

fn forecast(r: &CheckReport, units: Units) -> String {
    let day = |d: &super::ForecastDay| {
        let t = |c: f64| half(units.temperature_value(c));
        let date = chrono::NaiveDate::parse_from_str(&d.date, "%Y-%m-%d")
            .map_or_else(|_| d.date.clone(), |date| crate::words::day(date, units));
        format!(
            "{date} {} ({} to {})",
            t(d.water_max_c),
            t(d.low_c),
            t(d.high_c)
        )
    };
    let days: Vec<String> = r.forecast.iter().map(day).collect();
    format!(
        "Warmest water of the coming days, {}: {}. With the pump and cover hours of the scenario.",
        units.temperature_unit(),
        days.join("; ")
    )
}

fn weather(r: &CheckReport) -> String {
    let w = &r.weather;
    match w.basis {
        "real" => format!("Weather: the hourly series of those days, {}.", w.place),
        "remarks" => format!(
            "Weather: your words about the sky, day by day, over a typical year of {}: a rough guide, clearer and cloudier readings of the words are in the range of the heat. Hourly weather of those days (--weather) tells much more.",
            w.place
        ),
        _ => format!(
            "Weather: no series of those days was given; a typical year of {} around the dates stands in, so only large faults show. Give --weather, or write sunny or cloudy and the air’s highest and lowest into the log.",
            w.place
        ),
    }
}

fn left_out(r: &CheckReport) -> Vec<String> {
    let log = &r.log;
    let mut out = Vec::new();
    let faults: Vec<&String> = log.unreadable.iter().chain(&log.wild).collect();
    for (at, fault) in faults.iter().take(FAULTS).enumerate() {
        let more = faults.len() - FAULTS.min(faults.len());
        let tail = if at + 1 == FAULTS && more > 0 {
            format!(" ({more} more in check.json)")
        } else {
            String::new()
        };
        out.push(format!("Left out of {}: {fault}{tail}", log.file));
    }
    if log.outside_weather > 0 {
        out.push(format!(
            "{} outside the weather’s days were left out.",
            count(log.outside_weather, "reading")
        ));
    }
    out.extend(
        log.notes
            .iter()
            .take(2)
            .map(|note| format!("Note: {note}.")),
    );
    out
}

fn thermometers(r: &CheckReport, units: Units) -> Option<String> {
    let heat = r.heat.as_ref()?;
    if r.log.one_thermometer || heat.readings.is_empty() {
        return None;
    }
    let rises: Vec<f64> = heat
        .readings
        .iter()
        .map(|h| h.outlet_c - h.inlet_c)
        .collect();
    let mean = rises.iter().sum::<f64>() / f64::from(u32::try_from(rises.len()).unwrap_or(1));
    let doubt = 42.0 / mean.abs().max(0.1);
    let told = if r.log.thermometers_told {
        "Two thermometers read inlet and outlet"
    } else {
        "The log does not say whether one thermometer read inlet and outlet, so two are assumed"
    };
    Some(format!(
        "{told}: they may differ by {}, {doubt:.0}{TIE}% of a rise of {}. Read both with the same one and write `# thermometer: same`.",
        kelvin(0.42, units),
        kelvin(mean, units)
    ))
}

/// With its full stop.
fn finished(sentence: &str) -> String {
    let text = sentence.trim();
    if text.ends_with(['.', '!', '?']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}
