//! The chapters that a season yields. All numbers are those of its [`Summary`].

use super::models::models;
use super::{Block, Chapter, Table, Terms};
use crate::chart::Chart;
use crate::summary::Summary;
use crate::text;
use crate::words::{rough, whole};
use crate::years::{NormalsSummary, years_sentence};

/// The drawings of a season, in the order in which they are read.
#[derive(Clone, Debug)]
pub struct SeasonCharts {
    /// Water and air over the year, swim days marked.
    pub year: Chart,
    /// Swim days on a calendar.
    pub calendar: Chart,
    /// Heat in and out by month.
    pub ledger: Chart,
    /// One telling week; none where there is no such week.
    pub week: Option<Chart>,
}

/// The chapters that a season yields, by where they stand on the page.
#[derive(Clone, Debug)]
pub struct SeasonChapters {
    /// The answer, the measures, the heat.
    pub first: Vec<Chapter>,
    /// What can hurt someone.
    pub cautions: Chapter,
    /// How sure it is, and what was assumed.
    pub sure: Chapter,
    /// One telling week, hour by hour; none where there is no such week.
    pub week: Option<Chapter>,
    /// The models.
    pub engineer: Chapter,
}

/// The season's chapters.
#[must_use]
pub fn season_chapters(s: &Summary, charts: SeasonCharts) -> SeasonChapters {
    let SeasonCharts {
        year,
        calendar,
        ledger,
        week,
    } = charts;
    let mut answer =
        Chapter::new("answer", "How many days can we swim?").with(Block::Lead(text::answer(s)));
    for doubt in text::doubts(s) {
        answer = answer.text(doubt);
    }
    let answer = answer
        .with(Block::Chart(Box::new(year)))
        .with(Block::Chart(Box::new(calendar)));
    let heat = Chapter::new("heat", "Where the heat comes from, and where it goes")
        .text(text::heaters(s))
        .with(Block::Beside(
            Box::new(ledger),
            vec![Block::Table(heat_table(s))],
        ));
    let mut first = vec![answer, measures(s), heat];
    first.retain(|c| !c.blocks.is_empty());
    SeasonChapters {
        first,
        cautions: cautions(s),
        sure: sure(s),
        week: week.map(|week| {
            Chapter::new("week", "One week, hour by hour").with(Block::Chart(Box::new(week)))
        }),
        engineer: engineer(s),
    }
}

fn measures(s: &Summary) -> Chapter {
    let chapter = Chapter::new("measures", "What each measure gives by itself");
    let Some(bare) = s.measures.iter().find(|m| m.name == "bare") else {
        return chapter;
    };
    let mut table = Table::new(
        "Swim days with one measure alone",
        &[
            "measure",
            "swim days#",
            "more than the bare pool#",
            "too hot days#",
        ],
    );
    for m in &s.measures {
        let is_bare = m.name == bare.name;
        let gain = if is_bare {
            "–".to_owned()
        } else if m.swim_days >= bare.swim_days {
            format!("+{}", m.swim_days - bare.swim_days)
        } else {
            format!("−{}", bare.swim_days - m.swim_days)
        };
        let name = if is_bare { "bare pool" } else { &m.name };
        table.row([
            name.to_owned(),
            m.swim_days.to_string(),
            gain,
            m.too_hot_days.to_string(),
        ]);
    }
    if s.measures.len() > 2 {
        table.row([
            "all together".to_owned(),
            s.swim_days.to_string(),
            gain_of(s.swim_days, bare.swim_days),
            s.too_hot_days.to_string(),
        ]);
    }
    chapter.table(table)
}

fn gain_of(days: usize, bare: usize) -> String {
    if days >= bare {
        format!("+{}", days - bare)
    } else {
        format!("−{}", bare - days)
    }
}

fn heat_table(s: &Summary) -> Table {
    let open = s.open_days < s.days;
    let caption = if open {
        "Heat while the pool is open"
    } else {
        "Heat over the run"
    };
    let mut table = Table::new(
        caption,
        &["cause", "into the water, kWh#", "out of it, kWh#"],
    );
    for (name, kwh) in text::heat_causes(s) {
        if kwh.abs() < 0.5 {
            continue;
        }
        let amount = rough(kwh.abs());
        let (into, out) = if kwh > 0.0 {
            (amount, String::new())
        } else {
            (String::new(), amount)
        };
        table.row([name.to_owned(), into, out]);
    }
    table
}

fn cautions(s: &Summary) -> Chapter {
    let mut chapter = Chapter::new("cautions", "What can hurt someone").text(text::hottest(s));
    for c in &s.cautions {
        chapter = chapter.with(Block::Warning {
            short: c.short.clone(),
            number: String::new(),
            text: format!("{} ({})", c.text, c.source),
        });
    }
    chapter.text(s.cautions_note)
}

fn sure(s: &Summary) -> Chapter {
    let mut chapter = Chapter::new("sure", "How sure this is, and what was assumed")
        .text(
            s.weather_normals
                .as_ref()
                .map_or_else(String::new, NormalsSummary::sentence),
        )
        .text(years_sentence(s));
    if let (Some(low), Some(high), Some(method)) =
        (s.swim_days_low, s.swim_days_high, &s.range_method)
    {
        chapter = chapter.text(format!(
            "Swim days: {}, likely {low} to {high}. How that was found: {method}.",
            s.swim_days
        ));
    }
    let notes: Vec<String> = s
        .warnings
        .iter()
        .map(|w| format!("{}.", w.text.trim().trim_end_matches('.')))
        .collect();
    if !notes.is_empty() {
        chapter = chapter
            .with(Block::Heading("To know about this run".to_owned()))
            .with(Block::List(notes));
    }
    chapter.with(Block::Terms(Terms {
        caption: "Taken because nothing was said: write your own value into the scenario"
            .to_owned(),
        rows: assumed(s),
    }))
}

/// What was taken, with one row for what is alike in several heaters.
fn assumed(s: &Summary) -> Vec<[String; 3]> {
    let mut out: Vec<(Vec<&str>, &str, [String; 3])> = Vec::new();
    for a in &s.assumptions {
        let own = a
            .key
            .strip_prefix("heater.")
            .and_then(|k| k.split_once('.'));
        let row = [a.key.clone(), a.value.clone(), a.source.clone()];
        let Some((name, rest)) = own else {
            out.push((Vec::new(), &a.key, row));
            continue;
        };
        let same = out.iter_mut().find(|(names, key, other)| {
            !names.is_empty() && *key == rest && other[1..] == row[1..]
        });
        match same {
            Some((names, _, _)) => names.push(name),
            None => out.push((vec![name], rest, row)),
        }
    }
    out.into_iter()
        .map(|(names, rest, mut row)| {
            if names.len() > 1 {
                row[0] = if names.len() == s.heaters.len() {
                    format!("each heater: {rest}")
                } else {
                    format!("heaters {}: {rest}", names.join(", "))
                };
            }
            row
        })
        .collect()
}

fn engineer(s: &Summary) -> Chapter {
    let mut rows = Vec::new();
    let mut row = |what: &str, value: String| rows.push([what.to_owned(), value, String::new()]);
    row(
        "water, lowest / mean / highest",
        format!(
            "{:.1} / {:.1} / {:.1} °C",
            s.water_c.min, s.water_c.mean, s.water_c.max
        ),
    );
    row("evaporated", format!("{:.1} m³", s.water_m3.evaporated));
    row("put in", format!("{:.1} m³", s.water_m3.make_up));
    row(
        "pump through the heaters",
        format!("{} h, {} kWh more", whole(s.pump_hours), whole(s.pump_kwh)),
    );
    row(
        "sum of all flows less what was stored",
        format!("{:.1e} kWh", s.closure_residual_kwh),
    );
    for h in &s.heaters {
        row(
            &format!("heater {}: sun on its plane", h.name),
            format!("{} kWh", whole(h.sun_on_plane_kwh)),
        );
        row(
            &format!("heater {}: gave, took", h.name),
            format!("{}, {} kWh", whole(h.heated_kwh), whole(-h.cooled_kwh)),
        );
    }
    Chapter::new("models", "For the engineer")
        .with(Block::Terms(models(s)))
        .with(Block::Terms(Terms {
            caption: "The run in SI units".to_owned(),
            rows,
        }))
}
