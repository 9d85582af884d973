//! The comparison on the terminal: the answer, the table, how much is enough.

use chrono::NaiveDate;
use swimdays_studies::compare::{Estimate, Role};

use super::CompareReport;
use super::words::{anyone, days, enough, footnote, free_name, range, same_heat, small_money};
use crate::Units;
use crate::lines::{TIE, money, shortened, wrapped};
use crate::words::{day, half};

/// Rows of the page's table at most.
pub(super) const MOST_ON_PAGE: usize = 24;
/// Rows of the table at most.
const ROWS: usize = 10;
/// Lines at most; one more is the caller's, who says where the files are.
const MOST_LINES: usize = 24;

/// All lines, none wider than `width`.
#[must_use]
pub fn compare_lines(report: &CompareReport, units: Units, width: usize) -> Vec<String> {
    let width = width.clamp(80, 100);
    let mut out: Vec<String> = Vec::new();
    for line in &report.sentences {
        out.extend(wrapped(line, 3, width));
    }
    let mut after: Vec<String> = Vec::new();
    if !out.iter().any(|l| l.starts_with("Without building")) {
        after.extend(wrapped(&anyone(&report.told.gifts, units), 2, width));
    }
    if let Some(area) = &report.told.area {
        after.extend(wrapped(&enough(area, units), 3, width));
    }
    after.extend(wrapped(&same_heat(report), 2, width));
    after.extend(wrapped(&last(report), 2, width));
    after.extend(wrapped(&footnote(units), 2, width));
    after.extend(wrapped(&cautions(report), 2, width));
    let room = MOST_LINES.saturating_sub(out.len() + after.len() + 1);
    out.extend(table(report, units, room.clamp(3, ROWS), width));
    out.extend(after);
    out
}

fn last(r: &CompareReport) -> String {
    let year = if r.weather_years > 1 {
        format!("single numbers of {}, ", shortened(&r.weather_year, 40))
    } else {
        String::new()
    };
    format!(
        "Likely: 4 times out of 5, over {} seasons of each choice; {year}weather of {}.",
        r.told.drawn,
        shortened(&r.weather, 40)
    )
}

fn cautions(r: &CompareReport) -> String {
    let n = r.cautions.len();
    format!(
        "Mind: {} {} more in compare.json; local codes and licensed practice decide.",
        r.cautions.first().cloned().unwrap_or_default(),
        n.saturating_sub(2)
    )
}

/// Which rows: the bare pool, each part alone, all but one, the plan, what anyone can do with it, the builder's options.
pub(super) fn shown(r: &CompareReport, room: usize) -> Vec<usize> {
    let rank = |at: usize| -> Option<usize> {
        let row = &r.told.choices[at].row;
        let (count, all) = row.parts;
        Some(match row.role {
            Role::Parts if count == 0 || at == r.plan_index => 0,
            Role::Option(_) => 1,
            Role::Parts if count == 1 => 2,
            Role::Windbreak | Role::Cooler | Role::NightCover if count == all => 3,
            Role::Parts if count + 1 == all => 4,
            _ => return None,
        })
    };
    let mut ranked: Vec<(usize, usize)> = (0..r.options.len())
        .filter_map(|at| Some((rank(at)?, at)))
        .collect();
    ranked.sort_unstable();
    ranked.truncate(room);
    let mut rows: Vec<usize> = ranked.into_iter().map(|(_, at)| at).collect();
    rows.sort_unstable();
    rows
}

/// The name in the table: what stands on the whole plan is called by the plan.
fn short_name(r: &CompareReport, at: usize, units: Units) -> String {
    let row = &r.told.choices[at].row;
    let (count, all) = row.parts;
    let on_plan = count == all && all > 0;
    let name = match row.role {
        Role::Windbreak if on_plan => "plan, windbreak",
        Role::Cooler if on_plan => "plan, 1 °C cooler",
        Role::NightCover if on_plan => "plan, cover by night",
        _ => &row.name,
    };
    free_name(name, units)
}

/// The same uncut, for a page.
pub(super) fn full_name(r: &CompareReport, at: usize, units: Units) -> String {
    if r.options[at].is_plan && at != 0 {
        format!("{} (plan)", r.options[at].name)
    } else {
        short_name(r, at, units)
    }
}

/// Columns: name, days, too hot, gained, first to last, water, build, a year, a day.
const HEAD: [&str; 8] = [
    "swim days",
    "hot",
    "over bare",
    "first to last",
    "water",
    "build",
    "a year",
    "a day",
];
const NAME_WIDTH: usize = 28;
const SHORTEST_NAME: usize = 12;

fn table(r: &CompareReport, units: Units, room: usize, width: usize) -> Vec<String> {
    let rows = shown(r, room);
    let cells: Vec<(String, [String; 8])> = rows.iter().map(|at| row(*at, r, units)).collect();
    let widths: Vec<usize> = (0..HEAD.len())
        .map(|i| {
            let widest = cells.iter().map(|(_, c)| c[i].chars().count()).max();
            widest.unwrap_or(0).max(HEAD[i].chars().count())
        })
        .collect();
    let others: usize = widths.iter().map(|w| w + 1).sum();
    let longest = cells.iter().map(|(name, _)| name.chars().count()).max();
    let name_width = longest
        .unwrap_or(0)
        .clamp(SHORTEST_NAME, NAME_WIDTH)
        .min(width.saturating_sub(others).max(SHORTEST_NAME));
    let line = |name: &str, cells: &[String]| -> String {
        let mut text = format!("{:<name_width$}", shortened(name, name_width));
        for (cell, width) in cells.iter().zip(&widths) {
            text.push_str(&format!(" {cell:>width$}"));
        }
        text.trim_end().to_owned()
    };
    let head = HEAD.map(str::to_owned);
    let mut out = vec![line("", &head)];
    out.extend(cells.iter().map(|(name, cells)| line(name, cells)));
    out
}

pub(super) fn row(at: usize, r: &CompareReport, units: Units) -> (String, [String; 8]) {
    let (o, choice, is_bare) = (&r.options[at], &r.told.choices[at], at == 0);
    let between = |e: &Estimate| {
        if choice.has_range {
            format!(" ({})", range(e).replace(TIE, " "))
        } else {
            String::new()
        }
    };
    let sign = |value: f64| {
        let plus = if value > 0.0 { "+" } else { "" };
        format!("{plus}{}", days(value))
    };
    let when = |d: &Option<String>| -> Option<String> {
        let date: NaiveDate = d.as_deref()?.parse().ok()?;
        Some(day(date, units))
    };
    let span = match (when(&o.first_swim_day), when(&o.last_swim_day)) {
        (Some(first), Some(last)) => format!("{first}–{last}"),
        _ => "none".into(),
    };
    let gained = if is_bare {
        "–".to_owned()
    } else {
        format!("{}{}", sign(choice.gained.value), between(&choice.gained))
    };
    let amount = |value: Option<f64>| value.map_or("?".to_owned(), |v| money(v, &r.currency));
    let a_day = match o.cost_per_gained_day {
        Some(cost) => small_money(cost, &r.currency),
        None if is_bare || choice.gained.value <= 0.0 => "–".into(),
        None => "?".into(),
    };
    let water = o.water_mean_c.map_or("–".to_owned(), |c| {
        format!(
            "{}{}",
            half(units.temperature_value(c)),
            units.temperature_unit()
        )
    });
    let name = if o.is_plan && !is_bare {
        format!("{} (plan)", shortened(&o.name, NAME_WIDTH - 7))
    } else {
        shortened(&short_name(r, at, units), NAME_WIDTH)
    };
    (
        name,
        [
            format!("{}{}", o.swim_days, between(&choice.swim_days)),
            o.too_hot_days.to_string(),
            gained,
            span,
            water,
            amount(o.build_cost),
            amount(o.running_cost_per_year),
            a_day,
        ],
    )
}
