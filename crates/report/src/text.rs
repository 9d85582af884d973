//! A season on the terminal: at most 25 lines with the caller's own, the answer in the first five.

use crate::Units;
use crate::caution::{DEFERENCE, SCALD_C};
use crate::lines::{
    TIE, kwh, list, list_with, money, percent, shortened, temperature, tied, wrap, wrapped,
};
use crate::summary::{DOUBTS, EnergySummary, Summary, WarningSummary};
use crate::words::{MONTHS, count, day, rough, weather_name};
use crate::years::{NormalsSummary, years_sentence};

/// No season takes more lines than this: 25 less one for the caller, who says where the files are.
pub const MOST_LINES: usize = 24;
/// Share of all heat taken in below which a heater is plainly called small.
const SMALL_HEATER_FRAC: f64 = 0.10;
/// Cautions spelt out; the others are named.
const CAUTIONS_SHOWN: usize = 4;
/// Share of all heat taken in from which what stayed in the water is named, so that in and out close.
const STORED_SHOWN_FRAC: f64 = 0.01;
/// Most lines for the weather where something in it is doubtful.
const DOUBT_LINES: usize = 4;
/// Lines kept for the run's own notes, when there are any.
const NOTE_LINES: usize = 3;

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
    // Two lines for each item as long as that leaves room for notes, else one; and if need be some not at all.
    let mut lines = page.body(2);
    if lines.len() + NOTE_LINES > MOST_LINES {
        lines = page.body(1);
    }
    if lines.len() > MOST_LINES {
        lines = page.body(0);
    }
    lines.extend(page.notes(MOST_LINES.saturating_sub(lines.len())));
    lines.truncate(MOST_LINES);
    lines
}

struct Page<'a> {
    s: &'a Summary,
    width: usize,
    units: Units,
}

/// Days from which a run counts as a year.
const SHORTEST_YEAR: usize = 365;

impl Page<'_> {
    /// All but the notes, with at most `most` lines for what can be shortened; with none, whole lines give way, so that
    /// cautions never do.
    fn body(&self, most: usize) -> Vec<String> {
        let (tight, most) = (most == 0, most.max(1));
        let (into, out) = self.heat();
        // Behind each: which gives way first, 0 never.
        let mut before = [
            (self.wrapped(&self.headline(), 2), 0),
            (self.doubts(), 0),
            (self.wrap(&self.normals()), 0),
            (self.wrapped(&years_sentence(self.s), 2), 0),
            (self.over_years(if tight { 1 } else { 2 }), 0),
            (self.list(self.measures_head(), &self.measures(), most), 0),
            (self.wrapped(&self.cost_and_cautions(), 2), 0),
            (self.list("Swim days by month:", &self.months(), most), 4),
            (self.list(&self.heat_head(), &into, most), 2),
            (self.list("Heat out, kWh:", &out, most), 1),
            (self.wrapped(&self.heaters(), 3), 0),
            (self.wrapped(&self.hottest(), 2), 0),
        ];
        let mut after = [
            (self.list(&self.assumed_head(), &self.assumed(), 1), 3),
            (self.weather_list(most), 0),
        ];
        let mut room = CAUTIONS_SHOWN + most + most / 2;
        if tight {
            for rank in 1..=5 {
                let taken = before.iter().chain(&after);
                let taken: usize = taken.map(|(lines, _)| lines.len()).sum();
                room = MOST_LINES.saturating_sub(taken);
                if room >= CAUTIONS_SHOWN {
                    break;
                }
                let parts = before.iter_mut().chain(&mut after);
                for (lines, _) in parts.filter(|(_, gives_way)| *gives_way == rank) {
                    lines.clear();
                }
            }
        }
        let cautions = (self.cautions(room), 0);
        let all = before.into_iter().chain([cautions]).chain(after);
        all.flat_map(|(lines, _)| lines)
            .filter(|l| !l.is_empty())
            .collect()
    }

    /// What puts the headline in doubt; never cut.
    fn doubts(&self) -> Vec<String> {
        self.s
            .warnings
            .iter()
            .filter(|w| DOUBTS.contains(&w.kind))
            .flat_map(|w| self.wrap(&format!("In doubt: {}", sentence(w))))
            .collect()
    }

    /// What was made up, when the weather was not measured.
    fn normals(&self) -> String {
        let normals = self.s.weather_normals.as_ref();
        normals.map_or_else(String::new, NormalsSummary::sentence)
    }

    /// The middle and the range of the rest, over several years.
    fn over_years(&self, most: usize) -> Vec<String> {
        let over = self.s.over_years.as_ref();
        over.map_or_else(Vec::new, |over| {
            self.list(&over.head(), &over.items(self.s), most)
        })
    }

    fn headline(&self) -> String {
        let s = self.s;
        let of_years = match s.weather_years.len() {
            0 | 1 => String::new(),
            // Of an even number the lower of the two in the middle.
            2 => " in the poorer of 2 years".to_owned(),
            n if s.weather_normals.is_some() => format!(" in the middle one of {n} made years"),
            n => format!(" in the middle one of {n} years"),
        };
        let days = match (s.swim_days_low, s.swim_days_high) {
            (Some(low), Some(high)) => {
                format!(
                    "{}{of_years} (likely {low} to {high})",
                    count(s.swim_days, "swim day")
                )
            }
            _ => format!("{}{of_years}", count(s.swim_days, "swim day")),
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
            "{}: {days}{when}; {}.",
            shortened(&s.scenario, 40),
            tied(&format!("{} too hot", count(s.too_hot_days, "day")))
        )
    }

    fn measures_head(&self) -> &'static str {
        match self.s.weather_years.len() {
            0 | 1 => "Each by itself:",
            2 => "Each by itself, in its poorer year:",
            _ => "Each by itself, in its middle year:",
        }
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
        if s.pump_hours > 0.0 && !s.heaters.is_empty() {
            let hours = tied(&format!("{} h", rough(s.pump_hours)));
            let took = if s.pump_kwh >= 0.5 {
                format!("{hours}, {} more", kwh(s.pump_kwh))
            } else {
                format!("{hours}, in which the filter runs anyway")
            };
            parts.push(match s.pump_cost {
                Some(cost) => format!("pumping {} ({took})", self.money(cost)),
                None if s.pump_kwh > 0.0 => format!("pumping {took} (no price given)"),
                None => format!("pumping none ({took})"),
            });
        }
        if let Some(cost) = s.other_heater_cost {
            parts.push(format!("ordinary heater {}", self.money(cost)));
        }
        if s.other_heater_cost.is_none() && s.other_heater_bought_kwh > 0.0 {
            parts.push(format!(
                "ordinary heater {} (no price given)",
                kwh(s.other_heater_bought_kwh)
            ));
        }
        let cost = if !parts.is_empty() {
            format!("Running cost: {}.", parts.join(", "))
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

    /// When the heat named was taken in.
    fn heat_head(&self) -> String {
        if self.s.open_days < self.s.days {
            "Heat in while the pool is open, kWh:".into()
        } else if self.s.days < SHORTEST_YEAR {
            format!("Heat in over these {} days, kWh:", self.s.days)
        } else {
            "Heat in over the year, kWh:".into()
        }
    }

    /// Causes that brought and that took heat while the pool is open, largest first; what the water kept closes them.
    fn heat(&self) -> (Vec<String>, Vec<String>) {
        let open = &self.s.energy_open_kwh;
        let mut causes = causes(open).to_vec();
        causes.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        // What was built or bought stands right behind the largest, however little it gave, and is never "2 more".
        let heats = |cause: &(&str, f64)| cause.0.ends_with("heater");
        causes[1..].sort_by_key(|cause| !heats(cause));
        let taken_in: f64 = causes.iter().map(|c| c.1.max(0.0)).sum();
        if open.stored_change.abs() >= STORED_SHOWN_FRAC * taken_in {
            let what = if open.stored_change > 0.0 {
                "warmed the water"
            } else {
                "the water, which cooled"
            };
            causes.push((what, -open.stored_change));
        }
        let side = |into: bool| {
            let out: Vec<_> = causes
                .iter()
                .filter(|c| (c.1 > 0.0) == into && c.1.abs() >= 0.5)
                .map(|(name, kwh)| format!("{name}{TIE}{}", rough(kwh.abs())))
                .collect();
            if out.is_empty() {
                vec!["none".into()]
            } else {
                out
            }
        };
        (side(true), side(false))
    }

    /// How much of the open season's heat is the heaters': said plainly when it is little.
    fn heaters(&self) -> String {
        let s = self.s;
        if s.heaters.is_empty() {
            return String::new();
        }
        let open = &s.energy_open_kwh;
        let taken_in: f64 = causes(open).iter().map(|c| c.1.max(0.0)).sum();
        let sum = |f: fn(&crate::HeaterSummary) -> f64| s.heaters.iter().map(f).sum::<f64>();
        let (heated, cooled) = (sum(|h| h.heated_kwh), -sum(|h| h.cooled_kwh));
        let siphoned = -sum(|h| h.siphoned_kwh);
        if s.pump_hours <= 0.0 {
            let siphon = if siphoned >= 0.5 {
                format!(
                    ", and took {} from it by itself while the pump stood",
                    kwh(siphoned)
                )
            } else {
                String::new()
            };
            return format!("The pump never ran: the solar heater gave the pool nothing{siphon}.");
        }
        let by_name: Vec<_> = s
            .heaters
            .iter()
            .map(|h| format!("{} {}", shortened(&h.name, 24), kwh(h.heat_kwh)))
            .collect();
        let each = if by_name.len() > 1 {
            format!(" ({})", by_name.join(", "))
        } else {
            String::new()
        };
        // What was taken is told when it is no trifle beside what was given.
        let gave = if cooled >= 0.5 && cooled >= 0.05 * heated {
            let how = if siphoned > 0.5 * cooled {
                " by itself while the pump stood"
            } else if s.night_cooling {
                " to cool the pool"
            } else {
                " in hours in which it cooled the pool"
            };
            format!(
                "The solar heater{each} gave {}, and took {}{how}.",
                kwh(heated),
                kwh(cooled)
            )
        } else {
            String::new()
        };
        if open.heaters <= 0.0 {
            return if gave.is_empty() {
                format!("The solar heater{each} warmed nothing.")
            } else {
                gave
            };
        }
        let little = if open.heaters < SMALL_HEATER_FRAC * taken_in {
            ": little"
        } else {
            ""
        };
        let when = if s.open_days < s.days {
            "While the pool is open"
        } else {
            "Over the year"
        };
        let (net, each, gap) = if gave.is_empty() {
            ("", each, "")
        } else {
            (", all told,", String::new(), " ")
        };
        format!(
            "{gave}{gap}{when} the solar heater{each} gave{net} {} of all heat taken in{little}; the sun on the water gave {}.",
            percent(open.heaters, taken_in),
            percent(open.sun_on_water, taken_in)
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

    /// The most pressing, none of them cut, the others by name, over at most `most` lines; and who decides.
    fn cautions(&self, most: usize) -> Vec<String> {
        let all = &self.s.cautions;
        let rest = |shown: usize, named: bool| {
            let more = match all.len() - shown {
                0 => String::new(),
                n if named => {
                    let names: Vec<_> = all[shown..]
                        .iter()
                        .map(|c| tied(&c.kind.replace('_', " ")))
                        .collect();
                    format!("{n} more in summary.json: {}. ", names.join(", "))
                }
                n => format!("{n} more in summary.json. "),
            };
            self.wrap(&format!("! {more}{DEFERENCE}"))
        };
        for named in [true, false] {
            // Two spelt out are worth more than the names of the others.
            let fewest = if named { 2 } else { 0 };
            for shown in (fewest..=all.len().min(CAUTIONS_SHOWN)).rev() {
                let mut lines: Vec<_> = all[..shown]
                    .iter()
                    .flat_map(|c| self.wrap(&format!("! {}", c.short)))
                    .collect();
                lines.extend(rest(shown, named));
                if lines.len() <= most {
                    return lines;
                }
            }
        }
        rest(0, false)
    }

    /// The run's warnings, whole, as far as there is room, the most telling first.
    fn notes(&self, room: usize) -> Vec<String> {
        let all: Vec<_> = self
            .s
            .warnings
            .iter()
            .filter(|w| !DOUBTS.contains(&w.kind))
            .collect();
        let wrapped: Vec<_> = all
            .iter()
            .map(|w| self.wrap(&format!("Note: {}", sentence(w))))
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
            .map(|a| {
                format!(
                    "{} {}",
                    shortened(&a.key, 40),
                    shortened(a.value.split(" of the ").next().unwrap_or_default(), 44)
                )
            })
            .collect()
    }

    /// The weather in as many lines as are given to it, and as many more as a doubt about it takes.
    fn weather_list(&self, most: usize) -> Vec<String> {
        let parts = self.weather();
        let doubt = parts.iter().position(|p| p.starts_with("doubtful"));
        doubt
            .and_then(|at| {
                (most..=DOUBT_LINES)
                    .find_map(|most| list_with("Weather:", &parts, at + 1, most, self.width))
            })
            .unwrap_or_else(|| self.list("Weather:", &parts, most))
    }

    /// The weather, and what of it was filled, derived, not given or is doubtful.
    fn weather(&self) -> Vec<String> {
        let w = &self.s.weather;
        let of_kind =
            |kind: &str| -> Vec<_> { w.notes.iter().filter(|n| n.kind == kind).collect() };
        let mut parts = vec![format!(
            "{}, {} year, {}",
            shortened(&weather_name(&w.place, w.latitude_deg, w.longitude_deg), 40),
            w.kind,
            w.format
        )];
        for kind in ["doubtful", "filled", "derived", "not given"] {
            let notes = of_kind(kind);
            if notes.is_empty() {
                continue;
            }
            let mut columns: Vec<&str> = notes.iter().map(|n| n.column).collect();
            columns.dedup();
            let named = if columns.len() > 3 && kind != "doubtful" {
                format!("{} and {} more", columns[..2].join(", "), columns.len() - 2)
            } else {
                columns.join(", ")
            };
            // How many makes sense where some of the hours are concerned: for the column that is worst off.
            let hours = notes.iter().map(|n| n.intervals).max().unwrap_or(0);
            let minutes = f64::from(w.interval_minutes);
            #[allow(clippy::cast_precision_loss, reason = "intervals of a year")]
            let hours = hours as f64 * minutes / 60.0;
            let most = if ["doubtful", "filled"].contains(&kind) {
                format!(" (up to{TIE}{}{TIE}h)", crate::words::whole(hours.ceil()))
            } else {
                String::new()
            };
            parts.push(format!("{} {named}{most}", tied(kind)));
        }
        parts
    }

    fn temperature(&self, celsius: f64) -> String {
        temperature(celsius, self.units)
    }

    fn money(&self, amount: f64) -> String {
        money(amount, &self.s.currency)
    }

    fn list(&self, head: &str, items: &[String], most: usize) -> Vec<String> {
        list(head, items, most, self.width)
    }

    fn wrapped(&self, text: &str, most: usize) -> Vec<String> {
        wrapped(text, most, self.width)
    }

    fn wrap(&self, text: &str) -> Vec<String> {
        wrap(text, self.width)
    }
}

/// A season's sentences for a page, where no line ends.
fn page(summary: &Summary) -> Page<'_> {
    Page {
        s: summary,
        width: 100,
        units: summary.shown_in,
    }
}

/// The answer in three sentences: the days, what each measure gives by itself, and what it costs to run.
pub(crate) fn answer(summary: &Summary) -> Vec<String> {
    let page = page(summary);
    let mut out = vec![page.headline()];
    let each = page.measures();
    if !each.is_empty() {
        out.push(format!("{} {}.", page.measures_head(), each.join(", ")));
    }
    out.push(page.cost_and_cautions());
    out
}

/// What puts the answer in doubt, a sentence each.
pub(crate) fn doubts(summary: &Summary) -> Vec<String> {
    let doubts = summary.warnings.iter().filter(|w| DOUBTS.contains(&w.kind));
    doubts
        .map(|w| format!("In doubt: {}", sentence(w)))
        .collect()
}

/// How much of the heat is the heaters'.
pub(crate) fn heaters(summary: &Summary) -> String {
    page(summary).heaters()
}

/// The hottest water and tube.
pub(crate) fn hottest(summary: &Summary) -> String {
    page(summary).hottest()
}

/// Heat by cause while the pool is open, the largest first, kWh into the water.
pub(crate) fn heat_causes(summary: &Summary) -> Vec<(&'static str, f64)> {
    let mut causes = causes(&summary.energy_open_kwh).to_vec();
    causes.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    causes
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

/// A warning as a sentence with one full stop.
fn sentence(warning: &WarningSummary) -> String {
    format!("{}.", warning.text.trim().trim_end_matches('.'))
}
