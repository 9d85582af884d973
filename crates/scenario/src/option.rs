//! `[[option]]`: what else the builder thinks of, as changes by path, each read by the same parser as the scenario.

use std::collections::HashSet;

use swimdays_quantity::Kind;

use crate::Scenario;
use crate::diagnostic::Diagnostic;
use crate::document::{Node, Place, Value};
use crate::life::BELIEVED_YEARS;
use crate::section::Section;
use crate::walk::{Field, Usual, Walk};
use crate::words::source::PRACTICE;

/// Most options in one scenario: more rows than anyone compares.
const MOST_OPTIONS: usize = 12;
/// Most characters of a name: it stands in a table.
const LONGEST_NAME: usize = 28;
/// How long what an option costs lasts when nothing is said, years.
const YEARS: Usual<f64> = Usual {
    value: 10.0,
    source: PRACTICE,
};
/// Tables and keys that all options share.
const SHARED: [&str; 5] = ["option", "units", "name", "site.weather", "site.normals"];

/// A named set of changes, and the scenario that they make.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct ScenarioOption {
    /// What the builder calls it.
    pub name: String,
    /// The changes, each as `path=value`.
    pub changes: Vec<String>,
    /// What it costs beside what the changed scenario says.
    pub cost: Option<f64>,
    /// How long that lasts, years.
    pub life_years: f64,
    /// The scenario with the changes; it has no options of its own.
    pub scenario: Scenario,
}

/// An option as it stands in the file.
pub(crate) struct Written {
    name: String,
    changes: Vec<(String, Place)>,
    place: Place,
    cost: Option<f64>,
    life_years: f64,
}

/// Reads all `[[option]]`.
pub(crate) fn options(walk: &mut Walk<'_>, root: &mut Section<'_>, currency: &str) -> Vec<Written> {
    let plan_assumptions = std::mem::take(&mut walk.assumptions);
    let sections = root.sections(walk, "option", |at, _| (at + 1).to_string());
    let mut names = HashSet::new();
    if sections.len() > MOST_OPTIONS {
        let (found, allowed) = (sections.len(), format!("at most {MOST_OPTIONS}"));
        root.wrong(
            walk,
            "option",
            format!("is written {found} times"),
            allowed,
            "compare fewer at a time",
        );
    }
    let mut all = Vec::new();
    for mut s in sections {
        let name = name(walk, &mut s, &mut names);
        let changes = changes(walk, &mut s);
        let place = s
            .table
            .and_then(|table| table.get("set"))
            .map_or_else(|| s.place().clone(), |node| node.place.clone());
        let cost = s.price(walk, "cost", Kind::Money, currency).given();
        let years = s.number(walk, "life_years", BELIEVED_YEARS);
        let life_years = if cost.is_some() {
            s.or_assume(walk, "life_years", years, YEARS, |y, _| {
                format!("{y} years")
            })
        } else {
            years.or(YEARS.value)
        };
        s.finish(walk);
        if let (Some(name), Some(changes)) = (name, changes) {
            all.push(Written {
                name,
                changes,
                place,
                cost,
                life_years,
            });
        }
    }
    walk.assumptions = plan_assumptions;
    all
}

fn name(walk: &mut Walk<'_>, s: &mut Section<'_>, names: &mut HashSet<String>) -> Option<String> {
    let allowed = format!("one line of at most {LONGEST_NAME} characters, used once");
    let field = s.text(walk, "name");
    if field.is_absent() {
        s.missing(
            walk,
            "name",
            &allowed,
            "name the option; the table calls it by its name",
        );
    }
    let Field::Given(name) = field else {
        return None;
    };
    let name = name.trim().to_owned();
    let length = name.chars().count();
    let wrong = if name.is_empty() {
        "is empty".to_owned()
    } else if length > LONGEST_NAME {
        format!("is {length} characters long")
    } else if name.chars().any(char::is_control) {
        "is more than one line".to_owned()
    } else if !names.insert(name.clone()) {
        "is the name of another option".to_owned()
    } else {
        return Some(name);
    };
    s.wrong(walk, "name", wrong, allowed, "choose another name");
    None
}

fn changes(walk: &mut Walk<'_>, s: &mut Section<'_>) -> Option<Vec<(String, Place)>> {
    const ALLOWED: &str =
        "changes as for --set, such as [\"pool.cover.kind=none\", \"heater.board.area=64 ft2\"]";
    const ADVICE: &str = "say what the option changes";
    let nothing = |node: &&Node| matches!(&node.value, Value::List(list) if list.is_empty());
    if s.table.and_then(|t| t.get("set")).filter(nothing).is_some() {
        s.read_elsewhere(walk, "set");
        s.wrong(walk, "set", "changes nothing", ALLOWED, ADVICE);
        return None;
    }
    let field = s.texts(walk, "set", ALLOWED);
    if field.is_absent() {
        s.missing(walk, "set", ALLOWED, ADVICE);
    }
    let texts = field.given()?;
    let node = s.table?.get("set")?;
    let places: Vec<Place> = match &node.value {
        Value::List(items) => items.iter().map(|item| item.place.clone()).collect(),
        _ => vec![node.place.clone()],
    };
    let mut good = true;
    for text in &texts {
        let path = text.split('=').next().unwrap_or("").trim();
        let shared = SHARED.iter().find(|key| {
            path == **key || path.strip_prefix(*key).is_some_and(|p| p.starts_with('.'))
        });
        if let Some(key) = shared {
            s.wrong(
                walk,
                "set",
                format!("changes `{key}`, which all options share"),
                "changes of pool, cover, heaters, pump, swimming, prices or the site's wind",
                "take it out, or write a scenario of its own",
            );
            good = false;
        }
    }
    good.then(|| texts.into_iter().zip(places).collect())
}

impl Written {
    /// The changes as sets.
    pub(crate) fn sets(&self) -> impl Iterator<Item = String> + '_ {
        self.changes.iter().map(|(text, _)| text.clone())
    }

    /// The option with the scenario that its changes made.
    pub(crate) fn with(self, scenario: Scenario) -> ScenarioOption {
        ScenarioOption {
            name: self.name,
            changes: self.changes.into_iter().map(|(text, _)| text).collect(),
            cost: self.cost,
            life_years: self.life_years,
            scenario,
        }
    }

    /// What is wrong with the changed scenario and not with the scenario itself, told where the option stands.
    ///
    /// `locate` finds file, line and column of a place.
    pub(crate) fn faults(
        &self,
        found: Vec<Diagnostic>,
        base: &[Diagnostic],
        locate: impl Fn(&Place) -> (String, Option<usize>, Option<usize>),
    ) -> Vec<Diagnostic> {
        found
            .into_iter()
            .filter(|d| !base.contains(d))
            .map(|mut d| {
                let own = self
                    .changes
                    .iter()
                    .find(|(text, _)| d.file == format!("--set {text}"));
                let (place, problem) = match own {
                    Some((_, place)) => (place, d.problem),
                    None => {
                        let at = d.line.map_or(String::new(), |n| format!(" at line {n}"));
                        (
                            &self.place,
                            format!("{}: with these changes{at}", d.problem),
                        )
                    }
                };
                d.problem = problem;
                (d.file, d.line, d.column) = locate(place);
                d.key = format!("option \"{}\", {}", self.name, d.key);
                d
            })
            .collect()
    }
}
