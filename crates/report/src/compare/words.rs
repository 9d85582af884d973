//! What to do first, what next, what is not worth it: sentences that follow the numbers.

use swimdays_quantity::Kind;
use swimdays_season::{OtherHeaterKind, Plan};
use swimdays_studies::compare::{AreaCurve, Estimate, Gift, NIGHT, Step};

use super::CompareReport;
use crate::Units;
use crate::caution::{DEFERENCE, SCALD_C};
use crate::lines::{TIE, capital, money, shortened};
use crate::words::{count, half};

/// Share of all gained days from which one part is said to make the season.
const MAKES_IT_FRAC: f64 = 0.6;
/// Longest name in a sentence.
const NAME: usize = 28;

/// `the cover`, or a name that takes no article.
fn the(name: &str) -> String {
    let name = shortened(name, NAME);
    if name.chars().all(|c| c.is_ascii_lowercase() || c == ' ') {
        format!("the {name}")
    } else {
        name
    }
}

/// Names as a list: `a`, `a and b`, `a, b and c`.
fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [before @ .., last] => format!("{} and {last}", before.join(", ")),
    }
}

/// Whole days with a true minus sign.
pub(crate) fn days(value: f64) -> String {
    crate::words::whole(value.round())
}

/// `40–53`, or `−3 to 2` where a minus sign would meet the dash; the same twice is said once.
pub(crate) fn range(e: &Estimate) -> String {
    let (low, high) = (days(e.low), days(e.high));
    if low == high {
        low
    } else if e.low < 0.0 {
        format!("{low}{TIE}to{TIE}{high}")
    } else {
        format!("{low}–{high}")
    }
}

/// Days as a noun: `1 day`, `12 days`.
fn of_days(value: f64) -> String {
    let whole = days(value);
    if whole == "1" {
        "1 day".into()
    } else {
        format!("{whole}{TIE}days")
    }
}

/// Who brings the days that all parts bring together.
///
/// A part makes the season when most of the days are its fair share and it leads the next one clearly; parts that do not clearly
/// differ are said to share it; a part without a clear share of its own is said to have none.
#[must_use]
pub fn makes_the_season(gifts: &[Gift], together: &Estimate, lead: Option<&Estimate>) -> String {
    let mut parts: Vec<(&Gift, Estimate)> = gifts
        .iter()
        .filter_map(|g| Some((g, g.days_fair_share?)))
        .collect();
    parts.sort_by(|a, b| b.1.value.total_cmp(&a.1.value));
    let share = |(gift, e): &(&Gift, Estimate)| {
        let unclear = if e.is_clear() { "" } else { ", unclear" };
        format!(
            "{} {} ({}{unclear})",
            shortened(&gift.name, NAME),
            days(e.value),
            range(e)
        )
    };
    if !together.is_clear() || together.value <= 0.0 {
        return match parts.len() {
            0 => "Nothing stands beside the bare pool: no cover, no heater.".to_owned(),
            _ if together.high < 0.0 => format!(
                "All of it together loses {} against the bare pool ({}).",
                of_days(-together.value),
                range(together)
            ),
            _ => format!(
                "All of it together brings no clear gain over the bare pool: {} ({}).",
                of_days(together.value),
                range(together)
            ),
        };
    }
    let all = of_days(together.value);
    let (Some(first), Some(second)) = (parts.first(), parts.get(1)) else {
        let name = parts.first().map_or(String::new(), |p| the(&p.0.name));
        return format!(
            "{} alone {} the {all} more ({}).",
            capital(&name),
            verb(&name, "brings", "bring"),
            range(together)
        );
    };
    let leads = lead.is_some_and(Estimate::is_gain);
    let shares: Vec<String> = parts.iter().map(share).collect();
    let shares = format!("of the {all} {}", shares.join(", "));
    let top = the(&first.0.name);
    if leads && first.1.value >= MAKES_IT_FRAC * together.value {
        let others: Vec<String> = parts[1..].iter().map(|p| the(&p.0.name)).collect();
        let not = if others.len() <= 2 {
            format!(", not {},", others.join(" or "))
        } else {
            String::new()
        };
        return format!(
            "{}{not} {} the season: {shares}.",
            capital(&top),
            verb(&top, "makes", "make")
        );
    }
    if leads {
        return format!(
            "{} {} most: {shares}.",
            capital(&top),
            verb(&top, "gives", "give")
        );
    }
    // Those that the first does not clearly lead.
    let level: Vec<String> = parts
        .iter()
        .filter(|p| p.1.value >= second.1.value - 1e-9)
        .map(|p| the(&p.0.name))
        .collect();
    format!(
        "{} share the season, no clear difference: {shares}.",
        capital(&listed(&level))
    )
}

/// The verb that goes with a name: names in the plural end in s.
fn verb(name: &str, one: &'static str, many: &'static str) -> &'static str {
    if name.ends_with('s') { many } else { one }
}

/// What to do first, what next, what is not worth it. `rest` is what the steps from the first one without a clear gain on add
/// together.
#[must_use]
pub fn what_first(
    gifts: &[Gift],
    steps: &[Step],
    rest: Option<&Estimate>,
    currency: &str,
) -> String {
    let together = rest.filter(|rest| rest.is_gain());
    // Where the rest is worth it together, it is told together.
    let told_apart = match together {
        Some(_) => steps.iter().position(|s| !s.gain.is_gain()),
        None => None,
    };
    let (apart, joint) = steps.split_at(told_apart.unwrap_or(steps.len()));
    let (worth, not): (Vec<&Step>, Vec<&Step>) = apart.iter().partition(|s| s.gain.is_gain());
    let told: Vec<String> = worth
        .iter()
        .enumerate()
        .map(|(at, step)| {
            let gift = &gifts[step.gift];
            let when = match at {
                0 => "First",
                1 => "then",
                _ => "and then",
            };
            let costs = &gift.costs;
            let dear = costs.per_gained_day(step.gain.value).map_or_else(
                || {
                    let free = costs.missing.is_empty();
                    if free {
                        String::new()
                    } else {
                        ", cost not given".into()
                    }
                },
                |cost| format!(", {} a day", small_money(cost, currency)),
            );
            let more = if at == 0 { "" } else { " more" };
            format!(
                "{when} {}: {}{more} ({}){dear}",
                the(&gift.name),
                of_days(step.gain.value),
                range(&step.gain)
            )
        })
        .collect();
    let mut text = told.join("; ");
    if !text.is_empty() {
        text.push('.');
    }
    if let Some(rest) = together {
        let names: Vec<String> = joint.iter().map(|s| the(&gifts[s.gift].name)).collect();
        let more = if worth.is_empty() { "" } else { " more" };
        text = joined(
            &text,
            &format!(
                "Only together {} bring {}{more} ({}), none of them clearly by itself.",
                listed(&names),
                of_days(rest.value),
                range(rest)
            ),
        );
    }
    let (loses, none): (Vec<&Step>, Vec<&Step>) = not.iter().partition(|s| s.gain.high < 0.0);
    let of = |steps: &[&Step]| -> Vec<String> {
        steps
            .iter()
            .map(|s| {
                format!(
                    "{} ({}, {})",
                    the(&gifts[s.gift].name),
                    of_days(s.gain.value),
                    range(&s.gain)
                )
            })
            .collect()
    };
    if !none.is_empty() {
        let what = if worth.is_empty() {
            "Not worth it for swim days"
        } else {
            "Not worth it beside that"
        };
        text = joined(
            &text,
            &format!("{what}: {}, no clear difference.", listed(&of(&none))),
        );
    }
    if !loses.is_empty() {
        text = joined(
            &text,
            &format!("Leave out {}: it costs swim days.", listed(&of(&loses))),
        );
    }
    let hot: Vec<String> = gifts
        .iter()
        .filter(|g| g.bit.is_some() && g.too_hot_last > 0)
        .map(|g| {
            let n = usize::try_from(g.too_hot_last).unwrap_or(0);
            format!("{} {}", the(&g.name), count(n, "day"))
        })
        .collect();
    if !hot.is_empty() {
        text = joined(
            &text,
            &format!("Too hot, and not counted, with {}.", listed(&hot)),
        );
    }
    text
}

/// What anyone can do, added to the plan.
#[must_use]
pub fn anyone(gifts: &[Gift], units: Units) -> String {
    let told: Vec<String> = gifts
        .iter()
        .filter(|g| g.bit.is_none())
        .map(|g| {
            let name = free_name(&g.name, units);
            if g.days_last.is_clear() {
                let sign = if g.days_last.value > 0.0 { "+" } else { "" };
                format!(
                    "{name} {sign}{} ({})",
                    days(g.days_last.value),
                    range(&g.days_last)
                )
            } else {
                format!("{name} no clear difference ({})", range(&g.days_last))
            }
        })
        .collect();
    if told.is_empty() {
        return String::new();
    }
    format!(
        "Without building a heater, days added to the plan: {}.",
        told.join("; ")
    )
}

/// One degree in the reader's units, and the hours of the night.
pub(crate) fn free_name(name: &str, units: Units) -> String {
    let cooler = match units {
        Units::Us => "1.8 °F cooler",
        Units::Metric => "1 °C cooler",
    };
    name.replace("1 °C cooler", cooler)
}

/// How much heater is enough.
#[must_use]
pub fn enough(area: &AreaCurve, units: Units) -> String {
    let shown = |m2: f64| units.format(Kind::Area, m2, 0);
    let step = shown(area.step_m2);
    let end = area.areas_m2.last().copied().unwrap_or(0.0);
    let one = |at: usize| -> String {
        let (low, high) = area.enough_range_m2[at];
        let likely = match (low, high) {
            (Some(low), Some(high)) if (high - low).abs() < 0.5 * area.step_m2 => String::new(),
            (Some(low), Some(high)) => format!(
                " (likely {} to {})",
                units.format(Kind::Area, low, 0),
                shown(high)
            ),
            (Some(low), None) => format!(" (likely {} or more)", shown(low)),
            _ => String::new(),
        };
        match area.enough_m2[at] {
            Some(m2) if m2 <= 0.0 => {
                format!("even the first {step} brings less than a day{likely}")
            }
            Some(m2) => format!(
                "from {} on the next {step} brings less than a day{likely}",
                shown(m2)
            ),
            None => format!(
                "up to {} each further {step} brings a day and more{likely}",
                shown(end)
            ),
        }
    };
    let cover = if area.cover_is_planned {
        format!("the {} cover", area.cover.name())
    } else {
        format!("a {} cover (not in the plan)", area.cover.name())
    };
    format!(
        "How much heater is enough: without a cover {}; with {cover} {}.",
        one(0),
        one(1)
    )
}

/// The same heat from elsewhere.
pub(super) fn same_heat(r: &CompareReport) -> String {
    if r.same_heat.is_empty() {
        return String::new();
    }
    let heat: f64 = r.same_heat[0].bought_kwh * r.same_heat[0].efficiency;
    let each: Vec<String> = r
        .same_heat
        .iter()
        .map(|s| match s.cost_per_year {
            Some(cost) => format!("{} {}", s.by, money(cost, &r.currency)),
            None => format!("{} (no {} given)", s.by, s.price),
        })
        .collect();
    format!(
        "The solar heaters' {} a year bought instead would cost: {}.",
        crate::lines::kwh(heat),
        each.join(", ")
    )
}

/// Money of a day: cents count.
pub(super) fn small_money(amount: f64, currency: &str) -> String {
    if amount >= 9.95 || !amount.is_finite() {
        return money(amount, currency);
    }
    let sign = shortened(currency, 6);
    let gap = if sign.chars().all(char::is_alphabetic) {
        " "
    } else {
        ""
    };
    format!("{sign}{gap}{amount:.2}")
}

/// What one degree less and the night are, for the foot of the table.
pub(super) fn footnote(units: Units) -> String {
    let k = match units {
        Units::Us => "1.8 °F (1 °C)",
        Units::Metric => "1 °C",
    };
    format!(
        "Windbreak: 40 % less wind at the water (15 to 60 %), cost not given. Cooler: a target {k} lower. Night: {:.0}:00 to {:.0}:00.",
        NIGHT.start_h, NIGHT.end_h
    )
}

/// The first sentences: the plan against the bare pool, who brings it, what to do first.
pub(super) fn first_lines(r: &CompareReport, units: Units) -> Vec<String> {
    let told = &r.told;
    let (Some(bare), Some(plan)) = (told.choices.first(), told.choices.get(r.plan_index)) else {
        return Vec::new();
    };
    let likely = if plan.has_range {
        format!(" (likely {})", range(&plan.swim_days))
    } else {
        String::new()
    };
    let hot = match plan.outcome.too_hot_days {
        0 => "none".to_owned(),
        n => count(n, "day"),
    };
    let name = shortened(&r.name, 40);
    let first = if r.plan_index == 0 {
        format!(
            "{name}: {}{likely}; {hot} too hot.",
            swim(plan.outcome.swim_days)
        )
    } else {
        let difference = if !told.together.is_clear() {
            format!(
                ", no clear difference from the bare pool's {}",
                bare.outcome.swim_days
            )
        } else {
            let more = if told.together.value > 0.0 {
                "more"
            } else {
                "fewer"
            };
            let (low, high) = (told.together.low.abs(), told.together.high.abs());
            let range = Estimate {
                value: told.together.value.abs(),
                low: low.min(high),
                high: low.max(high),
            };
            format!(
                ", {} {more} than the bare pool ({})",
                days(range.value),
                self::range(&range)
            )
        };
        format!(
            "{name}: {}{likely}{difference}; {hot} too hot.",
            swim(plan.outcome.swim_days)
        )
    };
    let mut lines = vec![
        first,
        makes_the_season(&told.gifts, &told.together, told.lead.as_ref()),
    ];
    let next = what_first(&told.gifts, &told.steps, told.rest.as_ref(), &r.currency);
    if next.is_empty() {
        lines.push(anyone(&told.gifts, units));
    } else {
        lines.push(next);
    }
    lines.retain(|line| !line.is_empty());
    lines
}

fn swim(days: usize) -> String {
    count(days, "swim day")
}

fn joined(text: &str, more: &str) -> String {
    if text.is_empty() {
        more.to_owned()
    } else {
        format!("{text} {more}")
    }
}

/// What to mind before buying or building anything of this.
pub(super) fn cautions(plan: &Plan) -> Vec<String> {
    let mut all = vec![
        "A cover can drown a child or a pet: take it off altogether before anybody swims."
            .to_owned(),
    ];
    if !plan.heaters.is_empty() {
        all.push(format!(
            "A black tube standing in the sun passes {} °C and scalds; more area means more wind force, weight and pressure behind shut valves.",
            half(SCALD_C)
        ));
        all.push("Electricity near water kills: residual-current protection, bonding, a licensed electrician.".to_owned());
    }
    if let Some(other) = &plan.other_heater {
        all.push(match other.kind {
            OtherHeaterKind::Gas => {
                "A gas heater is for licensed hands: burning, venting, carbon monoxide.".to_owned()
            }
            _ => "An electric heater or heat pump is for a licensed electrician.".to_owned(),
        });
    }
    all.push("A windbreak takes wind load, may need a permit, and must not help a child over the pool's fence.".to_owned());
    all.push(DEFERENCE.to_owned());
    all
}
