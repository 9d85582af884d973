//! `[pool.cover]`: what lies on the water and when.

use std::ops::RangeInclusive;

use swimdays_pool::{Cover, CoverKind, Span};
use swimdays_pump::Window;
use swimdays_quantity::{DayHours, Kind, day_hours};
use swimdays_season::{CoverPlan, Ranged};

use crate::section::Section;
use crate::walk::{Field, Usual, Walk};
use crate::words::{source, words};

const OFF_IN_SWIM_HOURS: Usual<bool> = Usual {
    value: true,
    source: source::OWN_CHOICE,
};

/// How far below "too hot" the cover stays off, K.
pub const OFF_BELOW_TOO_HOT_K: f64 = 3.0;
const OFF_ABOVE: &str = "3 K below too hot; someone or a reel takes it off and lays it on again whenever the limit asks: own choice, no source";

/// Sources of a cover's numbers, as its kind has them.
const EVAPORATION: &str =
    "Muleta, Cal Poly (2015/16), eight pools side by side; range: own estimate";
const SUN: &str = "NREL consumer text: a clear bubble cover lowers the sun absorbed by 5 % at least, a dark one by up to 40 %; the kind's value within that: own estimate";
const LAYERS: &str = "own estimate from the layers, no source";

/// Hours of every month.
fn all_year(hours: &[DayHours]) -> [Vec<Window>; 12] {
    let windows: Vec<Window> = hours.iter().map(window).collect();
    std::array::from_fn(|_| windows.clone())
}

fn window(hours: &DayHours) -> Window {
    Window {
        start_h: hours.start_h,
        end_h: hours.end_h,
    }
}

/// `key` for every month alike or `key_by_month`; absent when neither is written.
pub(crate) fn hours(
    walk: &mut Walk<'_>,
    s: &mut Section<'_>,
    key: &str,
    always: Option<&str>,
) -> Field<[Vec<Window>; 12]> {
    let by_month_key = format!("{key}_by_month");
    let allowed = always.map_or("hours of the day".to_owned(), |word| {
        format!("hours of the day, or \"{word}\"")
    });
    let alike = s.parsed(walk, key, &allowed, |text| {
        if Some(text.trim()) == always {
            Ok(vec![DayHours {
                start_h: 0.0,
                end_h: 24.0,
            }])
        } else {
            day_hours(text)
        }
    });
    let by_month = s.hours_by_month(walk, &by_month_key);
    if s.conflict(walk, &by_month_key, key) {
        return Field::Wrong;
    }
    match (alike, by_month) {
        (Field::Absent, by_month) => {
            by_month.map(|months| months.map(|hours| hours.iter().map(window).collect()))
        }
        (alike, _) => alike.map(|hours| all_year(&hours)),
    }
}

pub(crate) fn cover(
    walk: &mut Walk<'_>,
    pool: &mut Section<'_>,
    too_hot_c: f64,
    currency: &str,
) -> Option<CoverPlan> {
    let mut s = pool.section(walk, "cover");
    let mut kinds: Vec<(&'static str, Option<CoverKind>)> = words(&CoverKind::ALL, CoverKind::name)
        .into_iter()
        .map(|(name, kind)| (name, Some(kind)))
        .collect();
    kinds.push(("none", None));
    let kind = s.word(walk, "kind", &kinds);
    if s.is_written() && kind.is_absent() {
        s.missing(
            walk,
            "kind",
            "\"bubble\", \"foam\", \"solid\", \"disks\", \"liquid\" or \"none\"",
            "say what kind of cover it is",
        );
    }
    let covers = matches!(kind, Field::Given(Some(_)));
    let kind = kind.given().flatten().unwrap_or_default();
    // What an absent cover would have assumed is of no interest.
    let noted = walk.assumptions.len();
    let plan = described(walk, &mut s, kind, too_hot_c, currency);
    if !covers {
        walk.assumptions.truncate(noted);
    }
    s.finish(walk);
    covers.then_some(plan)
}

fn described(
    walk: &mut Walk<'_>,
    s: &mut Section<'_>,
    kind: CoverKind,
    too_hot_c: f64,
    currency: &str,
) -> CoverPlan {
    let on = match hours(walk, s, "on", Some("always")) {
        Field::Absent => {
            walk.assume(s.key("on"), "always".into(), source::OWN_CHOICE);
            all_year(&[DayHours {
                start_h: 0.0,
                end_h: 24.0,
            }])
        }
        other => other.or(std::array::from_fn(|_| Vec::new())),
    };
    let off_in_swim_hours = s.flag_or(walk, "off_in_swim_hours", OFF_IN_SWIM_HOURS);
    let off_above_c = limit(
        walk,
        s,
        "off_above",
        too_hot_c - OFF_BELOW_TOO_HOT_K,
        OFF_ABOVE,
    );
    let spans = kind.spans();
    let usual = |span: Span, source| Usual {
        value: span.value,
        source,
    };
    let covered_frac = s.number_or(
        walk,
        "covered",
        0.05..=1.0,
        usual(spans.covered_frac, source::ESTIMATE),
    );
    let transmittance = s.number_or(
        walk,
        "transmittance",
        0.0..=1.0,
        usual(spans.solar_transmittance_frac, SUN),
    );
    let absorptance = s.number_or(
        walk,
        "absorptance",
        0.0..=1.0,
        usual(spans.solar_absorptance_frac, SUN),
    );
    if transmittance + absorptance > 1.0 + 1e-9 {
        let key = if s.has("absorptance") {
            "absorptance"
        } else {
            "transmittance"
        };
        s.wrong(
            walk,
            key,
            format!("transmittance {transmittance} and absorptance {absorptance} make more than all the sun"),
            "two shares that add up to 1 at most; the rest is reflected",
            "give both",
        );
    }
    let emissivity_frac = s.number_or(
        walk,
        "emissivity",
        0.0..=1.0,
        usual(spans.emissivity_frac, "polymers about 0.9 (from memory)"),
    );
    let conductance = s.quantity_or(
        walk,
        "conductance",
        Kind::Conductance,
        0.1..=5000.0,
        usual(spans.conductance_w_m2_k, LAYERS),
    );
    let remaining = remaining(walk, s, spans.remaining_evaporation_frac);
    // What was measured or read off is taken as exact; what the kind alone says keeps its kind's range.
    let ranged = |key: &str, value: f64, span: Span| {
        if s.has(key) {
            Ranged::exact(value)
        } else {
            Ranged {
                value,
                low: span.low,
                high: span.high,
            }
        }
    };
    let covered = ranged("covered", covered_frac, spans.covered_frac);
    let passes = ranged(
        "transmittance",
        transmittance,
        spans.solar_transmittance_frac,
    );
    let conducts = ranged("conductance", conductance, spans.conductance_w_m2_k);
    let cost = s.price(walk, "cost", Kind::Money, currency);
    s.read_elsewhere(walk, "life_years");
    CoverPlan {
        kind,
        cover: Cover {
            covered_frac,
            solar_transmittance_frac: transmittance,
            solar_absorptance_frac: absorptance,
            conductance_w_m2_k: conductance,
            emissivity_frac,
            remaining_evaporation_frac: remaining.value,
        },
        covered_frac: covered,
        transmittance_frac: passes,
        conductance_w_m2_k: conducts,
        remaining_evaporation_frac: remaining,
        on,
        off_in_swim_hours,
        off_above_c,
        cost: cost.given(),
    }
}

/// Evaporation that remains: given alone it counts as known, given with a range or left out it has one.
fn remaining(walk: &mut Walk<'_>, s: &mut Section<'_>, span: Span) -> Ranged {
    let value = s.number(walk, "remaining_evaporation", 0.0..=1.0);
    let range = s.pair(walk, "remaining_evaporation_range", 0.0..=1.0);
    let usual = Usual {
        value: Ranged {
            value: span.value,
            low: span.low,
            high: span.high,
        },
        source: EVAPORATION,
    };
    match (value, range) {
        (Field::Given(value), Field::Absent) => Ranged::exact(value),
        (value, range) => {
            crate::pool::ranged(walk, s, "remaining_evaporation", value, range, usual)
        }
    }
}

/// A temperature above which something stops, or "never".
pub(crate) fn limit(
    walk: &mut Walk<'_>,
    s: &mut Section<'_>,
    key: &str,
    usual_c: f64,
    source: &'static str,
) -> Option<f64> {
    let field = limit_or_never(walk, s, key, -30.0..=60.0);
    let usual = Usual {
        value: Some(usual_c),
        source,
    };
    s.or_assume(walk, key, field, usual, |c, units| {
        c.map_or("never".to_owned(), |c| {
            units.format_short(Kind::Temperature, c, 1)
        })
    })
}

/// A temperature within `range`, or "never".
pub(crate) fn limit_or_never(
    walk: &mut Walk<'_>,
    s: &mut Section<'_>,
    key: &str,
    range: RangeInclusive<f64>,
) -> Field<Option<f64>> {
    let field = s.read_or_word(walk, key, Kind::Temperature, Some("\"never\""), |text| {
        if text.trim() == "never" {
            Ok(None)
        } else {
            swimdays_quantity::parse(text, Kind::Temperature).map(Some)
        }
    });
    match field {
        Field::Given(Some(c)) if !range.contains(&c) => {
            let allowed = walk
                .units
                .format_range(Kind::Temperature, *range.start(), *range.end());
            s.wrong(
                walk,
                key,
                "is outside what is plausible",
                format!("{allowed}, or \"never\""),
                "check the number and its unit",
            );
            Field::Wrong
        }
        field => field,
    }
}
