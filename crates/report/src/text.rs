//! A season on the terminal: at most 25 lines with the caller's own, the answer in the first five.

use crate::Units;
use crate::caution::{DEFERENCE, SCALD_C};
use crate::summary::{EnergySummary, Summary};
use crate::words::{MONTHS, count, day, half, rough};

/// No season takes more lines than this: 25 less one for the caller, who says where the files are.
pub const MOST_LINES: usize = 24;
/// A space at which no line breaks; written as a plain one.
const TIE: &str = "\u{a0}";
/// Share of all heat taken in below which a heater is plainly called small.
const SMALL_HEATER_FRAC: f64 = 0.10;
/// Cautions spelt out; all are in `summary.json`.
const CAUTIONS_SHOWN: usize = 4;
/// Lines that they may take.
const CAUTION_LINES: usize = 5;

/// The season in at most [`MOST_LINES`] lines, wrapped at `width` columns (taken between 60 and 100).
///
/// Units are those of the scenario, days are whole, degrees are halves, money is whole.
#[must_use]
pub fn season_lines(summary: &Summary, width: usize) -> Vec<String> {
    let page = Page {
        s: summary,
        width: width.clamp(60, 100),
        units: summary.shown_in,
    };
    let mut lines = Vec::new();
    lines.extend(page.wrapped(&page.headline(), 2));
    lines.extend(page.list("Each by itself:", &page.measures(), 2));
    lines.push(page.cut(&page.cost_and_cautions()));
    lines.extend(page.list("Swim days by month:", &page.months(), 2));
    lines.extend(page.list("Heat in, kWh:", &page.heat(true), 2));
    lines.extend(page.list("Heat out, kWh:", &page.heat(false), 2));
    lines.extend(page.wrapped(&page.heaters(), 2));
    lines.push(page.cut(&page.pump()));
    lines.extend(page.wrapped(&page.hottest(), 2));
    lines.extend(page.cautions());
    lines.extend(page.list(&page.assumed_head(), &page.assumed(), 2));
    lines.extend(page.wrapped(&page.weather(), 1));
    lines.retain(|l| !l.is_empty());
    lines.extend(page.notes(MOST_LINES.saturating_sub(lines.len())));
    lines.truncate(MOST_LINES);
    lines
}

struct Page<'a> {
    s: &'a Summary,
    width: usize,
    units: Units,
}

impl Page<'_> {
    fn headline(&self) -> String {
        let s = self.s;
        let days = match (s.swim_days_low, s.swim_days_high) {
            (Some(low), Some(high)) => {
                format!(
                    "{} (likely {low} to {high})",
                    count(s.swim_days, "swim day")
                )
            }
            _ => count(s.swim_days, "swim day"),
        };
        let date = |d: &Option<String>| {
            d.as_deref()
                .and_then(|d| d.parse().ok())
                .map(|d| day(d, self.units))
        };
        let when = match (date(&s.first_swim_day), date(&s.last_swim_day)) {
            (Some(first), Some(last)) => format!(", the first {first}, the last {last}"),
            _ => String::new(),
        };
        format!(
            "{}: {days}{when}; {} too hot.",
            shortened(&s.scenario, 40),
            count(s.too_hot_days, "day")
        )
    }

    fn measures(&self) -> Vec<String> {
        let bare = self.s.measures.iter().find(|m| m.name == "bare");
        self.s
            .measures
            .iter()
            .map(|m| {
                let name = if m.name == "bare" {
                    "bare pool".into()
                } else {
                    shortened(&m.name, 24)
                };
                let gain = bare
                    .filter(|_| m.name != "bare")
                    .map_or_else(String::new, |b| match m.swim_days.cmp(&b.swim_days) {
                        std::cmp::Ordering::Equal => " (no gain)".into(),
                        std::cmp::Ordering::Greater => format!(" (+{})", m.swim_days - b.swim_days),
                        std::cmp::Ordering::Less => format!(" (−{})", b.swim_days - m.swim_days),
                    });
                let hot = if m.too_hot_days > 0 {
                    format!(", {} too hot", m.too_hot_days)
                } else {
                    String::new()
                };
                format!("{name} {} days{gain}{hot}", m.swim_days)
            })
            .collect()
    }

    fn cost_and_cautions(&self) -> String {
        let s = self.s;
        let mut parts = Vec::new();
        if let Some(cost) = s.pump_cost.filter(|_| s.pump_kwh > 0.0) {
            parts.push(format!("pumping {}", self.money(cost)));
        }
        if let Some(cost) = s.other_heater_cost {
            parts.push(format!("ordinary heater {}", self.money(cost)));
        }
        let cost = if !parts.is_empty() {
            format!("Running cost: {}.", parts.join(", "))
        } else if s.pump_kwh > 0.0 || s.other_heater_bought_kwh > 0.0 {
            "Running cost: no price given.".to_owned()
        } else {
            "Running cost of heating: none.".to_owned()
        };
        format!(
            "{cost} Mind the {} below.",
            count(s.cautions.len(), "caution")
        )
    }

    fn months(&self) -> Vec<String> {
        let by_month = &self.s.swim_days_by_month;
        // In the order of the swim year: from July where the south begins it.
        let south = self.s.weather.latitude_deg < 0.0;
        let shown: Vec<_> = (0..12)
            .map(|i| (i + if south { 6 } else { 0 }) % 12)
            .filter(|m| by_month[*m] > 0)
            .map(|m| format!("{} {}", MONTHS[m], by_month[m]))
            .collect();
        if shown.is_empty() {
            vec!["none".into()]
        } else {
            shown
        }
    }

    /// Causes that brought (or took) heat over the run, largest first.
    fn heat(&self, into: bool) -> Vec<String> {
        let mut causes: Vec<_> = causes(&self.s.energy_kwh)
            .into_iter()
            .filter(|c| (c.1 > 0.0) == into)
            .collect();
        causes.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        let mut out: Vec<_> = causes
            .into_iter()
            .filter(|c| c.1.abs() >= 0.5)
            .map(|(name, kwh)| format!("{name}{TIE}{}", rough(kwh.abs())))
            .collect();
        if out.is_empty() {
            out.push("none".into());
        }
        out
    }

    /// How much of the open season's heat is the heaters': said plainly when it is little.
    fn heaters(&self) -> String {
        let s = self.s;
        if s.heaters.is_empty() {
            return String::new();
        }
        let open = &s.energy_open_kwh;
        let taken_in: f64 = causes(open).iter().map(|c| c.1.max(0.0)).sum();
        let percent =
            |kwh: f64| format!("{:.0}{TIE}%", 100.0 * (kwh / taken_in.max(1e-9)).max(0.0));
        let by_name: Vec<_> = s
            .heaters
            .iter()
            .map(|h| format!("{} {} kWh", shortened(&h.name, 24), rough(h.heat_kwh)))
            .collect();
        let each = if by_name.len() > 1 {
            format!(" ({})", by_name.join(", "))
        } else {
            String::new()
        };
        if open.heaters <= 0.0 {
            return format!(
                "The solar heater{each} warmed nothing: it cooled the pool as much as it heated."
            );
        }
        let little = if open.heaters < SMALL_HEATER_FRAC * taken_in {
            ": little"
        } else {
            ""
        };
        format!(
            "While the pool is open the solar heater{each} gave {} of all heat taken in{little}; the sun on the water gave {}.",
            percent(open.heaters),
            percent(open.sun_on_water)
        )
    }

    fn pump(&self) -> String {
        let s = self.s;
        if s.heaters.is_empty() || s.pump_hours <= 0.0 {
            return String::new();
        }
        let cost = s
            .pump_cost
            .map_or_else(|| "no price given".into(), |c| self.money(c));
        format!(
            "Pumping through the heater: {} h, {} kWh more electricity, {cost}.",
            rough(s.pump_hours),
            rough(s.pump_kwh)
        )
    }

    fn hottest(&self) -> String {
        let s = self.s;
        let mut parts = Vec::new();
        if let Some(c) = s.peak_outlet_c {
            parts.push(format!("out of the heater {}", self.temperature(c)));
        }
        if let Some(slug) = &s.first_slug {
            // Litres are thousandths of a cubic metre.
            let volume = self
                .units
                .format_volume(slug.litres / 1000.0, 1)
                .replace(' ', TIE);
            let volume = if self.units == Units::Metric {
                format!("{:.0}{TIE}L", slug.litres)
            } else {
                volume
            };
            parts.push(format!(
                "first slug after a stop {} ({volume} in {:.0}{TIE}s)",
                self.temperature(slug.water_c),
                slug.seconds
            ));
        }
        if let Some(c) = s.peak_stagnation_c {
            parts.push(format!("standing tube {}", self.temperature(c)));
        }
        if parts.is_empty() {
            return String::new();
        }
        let scalds = [s.peak_outlet_c, s.first_slug_c, s.peak_stagnation_c]
            .into_iter()
            .flatten()
            .any(|c| c >= SCALD_C);
        let tail = if scalds {
            format!(
                " SCALDS: above {} it burns skin.",
                self.temperature(SCALD_C)
            )
        } else {
            String::new()
        };
        format!("Hottest: {}.{tail}", parts.join(", "))
    }

    /// The most pressing, none of them cut, over at most [`CAUTION_LINES`] lines, and who decides.
    fn cautions(&self) -> Vec<String> {
        let all = &self.s.cautions;
        let last = |shown: usize| {
            let rest = all.len() - shown;
            let more = if rest > 0 {
                format!("{rest} more in summary.json. ")
            } else {
                String::new()
            };
            self.wrap(&format!("! {more}{DEFERENCE}"))
        };
        for shown in (1..=all.len().min(CAUTIONS_SHOWN)).rev() {
            let mut lines: Vec<_> = all[..shown]
                .iter()
                .flat_map(|c| self.wrap(&format!("! {}", c.short)))
                .collect();
            lines.extend(last(shown));
            if lines.len() <= CAUTION_LINES {
                return lines;
            }
        }
        last(0)
    }

    /// The run's warnings, whole, as far as there is room.
    fn notes(&self, room: usize) -> Vec<String> {
        // Too-hot days stand in the first line.
        let all: Vec<_> = self
            .s
            .warnings
            .iter()
            .filter(|w| w.kind != "too_hot")
            .collect();
        let wrapped: Vec<_> = all
            .iter()
            .map(|w| self.wrap(&format!("Note: {}.", w.text.trim().trim_end_matches('.'))))
            .collect();
        for shown in (0..=all.len()).rev() {
            let mut lines: Vec<String> = wrapped[..shown].concat();
            let rest = all.len() - shown;
            if rest > 0 {
                let what = if shown > 0 { "more note" } else { "note" };
                lines.push(format!("{} in summary.json.", count(rest, what)));
            }
            if lines.len() <= room {
                return lines;
            }
        }
        Vec::new()
    }

    fn assumed_head(&self) -> String {
        match self.s.assumptions.len() {
            0 => String::new(),
            n => format!("Assumed {} (all in summary.json):", count(n, "value")),
        }
    }

    /// The assumptions that weigh most on the answer first.
    fn assumed(&self) -> Vec<String> {
        const WEIGHTY: [&str; 9] = [
            "site.wind",
            "wind_at_water",
            "start",
            "swim",
            "cover",
            "finish",
            "pump",
            "performance",
            "heater",
        ];
        let weight = |key: &str| {
            WEIGHTY
                .iter()
                .position(|w| key.contains(w))
                .unwrap_or(WEIGHTY.len())
        };
        let mut all: Vec<_> = self.s.assumptions.iter().collect();
        all.sort_by_key(|a| weight(&a.key));
        all.iter()
            .map(|a| format!("{} {}", shortened(&a.key, 40), shortened(&a.value, 44)))
            .collect()
    }

    fn weather(&self) -> String {
        let w = &self.s.weather;
        let filled: usize = w
            .notes
            .iter()
            .filter(|n| n.kind == "filled")
            .map(|n| n.intervals)
            .sum();
        let note = if filled > 0 {
            format!(", {filled} hours filled")
        } else {
            String::new()
        };
        format!(
            "Weather: {}, {} year, {}{note}.",
            shortened(&w.place, 40),
            w.kind,
            w.format
        )
    }

    fn temperature(&self, celsius: f64) -> String {
        let value = half(self.units.temperature_value(celsius));
        format!("{value}{TIE}{}", self.units.temperature_unit())
    }

    /// An amount in whole units of the currency.
    fn money(&self, amount: f64) -> String {
        let sign = shortened(&self.s.currency, 6);
        let gap = if sign.chars().all(char::is_alphabetic) {
            " "
        } else {
            ""
        };
        if amount > 0.0 && amount < 1.0 {
            format!("under {sign}{gap}1")
        } else {
            format!("{sign}{gap}{}", crate::words::whole(amount))
        }
    }

    /// A head and its items, separated by semicolons, over at most `most` lines; what does not fit is counted.
    fn list(&self, head: &str, items: &[String], most: usize) -> Vec<String> {
        if items.is_empty() || head.is_empty() {
            return Vec::new();
        }
        for shown in (1..=items.len()).rev() {
            let rest = items.len() - shown;
            let tail = if rest > 0 {
                format!("; {rest} more")
            } else {
                String::new()
            };
            let lines = self.wrap(&format!("{head} {}{tail}.", items[..shown].join("; ")));
            if lines.len() <= most {
                return lines;
            }
        }
        self.wrapped(&format!("{head} {}.", items.join("; ")), most)
    }

    /// At most `most` lines; the last is cut with an ellipsis when there is more.
    fn wrapped(&self, text: &str, most: usize) -> Vec<String> {
        let mut lines = self.wrap(text);
        if lines.len() > most {
            lines.truncate(most);
            if let Some(last) = lines.last_mut() {
                *last = self.cut(&format!("{last} …"));
                if !last.ends_with('…') {
                    last.push('…');
                }
            }
        }
        lines
    }

    /// Words into lines; lines after the first are indented.
    fn wrap(&self, text: &str) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text
            .split_whitespace()
            .map(|w| shortened(w, self.width - 2))
        {
            match lines.last_mut() {
                Some(line) if line.chars().count() + 1 + word.chars().count() <= self.width => {
                    line.push(' ');
                    line.push_str(&word);
                }
                Some(_) => lines.push(format!("  {word}")),
                None => lines.push(word),
            }
        }
        for line in &mut lines {
            *line = line.replace(TIE, " ");
        }
        lines
    }

    fn cut(&self, text: &str) -> String {
        shortened(text, self.width).replace(TIE, " ")
    }
}

/// Heat by cause in the builder's words.
fn causes(e: &EnergySummary) -> [(&'static str, f64); 11] {
    [
        ("sun on the water", e.sun_on_water),
        ("solar heater", e.heaters),
        ("ordinary heater", e.other_heater),
        ("pump", e.pump_heat),
        ("rain", e.rain),
        ("evaporation", e.evaporation),
        ("air (convection)", e.convection),
        ("sky (longwave)", e.longwave),
        ("ground", e.ground),
        ("walls", e.walls),
        ("make-up water", e.make_up_water),
    ]
}

/// At most `most` characters; control characters, which could steer a terminal, are left out.
fn shortened(text: &str, most: usize) -> String {
    let clean: String = text.chars().filter(|c| !c.is_control()).collect();
    if clean.chars().count() <= most {
        return clean;
    }
    let kept: String = clean.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}
