//! The builder's scenario file, checked whole and turned into a plan.
//!
//! **Question:** what did the builder write, is it possible, and what follows for what was not written?
//! **In:** TOML text with quantities as people write them, and values set on the command line.
//! **Out:** a [`Scenario`] with a [`swimdays_season::Plan`] in SI whose `assumptions` name every default with its
//! source, or [`ScenarioErrors`]: everything that is wrong at once, each with file, line, key, what was found,
//! what is allowed and what to do.
//! **Sources:** of the defaults, beside each.
//!
//! The contract is `complete.toml` in this crate's folder: every key there is, with its meaning. Text becomes a
//! tree in which each value knows its place (`document`), values set on the command line are put into it
//! (`set`), and it is walked key by key (`walk` and a module for each table).

mod board;
mod build;
mod climate;
mod cover;
mod deck;
mod default;
mod diagnostic;
mod document;
mod heater;
mod life;
mod option;
mod plumbing;
mod pool;
mod pump;
mod read;
mod section;
mod set;
mod shade;
mod shop;
mod site;
mod source;
mod template;
mod tube;
mod twelve;
mod walk;
mod words;
mod write;

use std::collections::BTreeSet;
use std::path::Path;

use swimdays_quantity::Units;
use swimdays_season::Plan;
use swimdays_weather::ReadOptions;

pub use build::{BuildPlan, HeaterBuild, TurnWord};
pub use cover::OFF_BELOW_TOO_HOT_K;
pub use diagnostic::{Diagnostic, NamedWeather, ScenarioErrors};
pub use life::Lives;
pub use option::ScenarioOption;
pub use plumbing::{HeaterBranch, Hydraulics, LOOP_WATER_C};
pub use source::{Climate, NormalsSource, WeatherSource};
pub use template::{Answers, check_answer, template};
pub use write::{LearntValue, with_learnt, with_values};

use document::Place;
use section::Section;
use walk::{Field, Usual, Walk};

/// The complete scenario: every key, each with its meaning and what is taken when it is left out.
pub const COMPLETE: &str = include_str!("../complete.toml");

/// Most solar heaters in one scenario.
const MOST_HEATERS: usize = 8;

/// A scenario that can be run.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Scenario {
    /// What is to be stepped; its `assumptions` name every default that was used.
    pub plan: Plan,
    /// What is to be printed.
    pub units: Units,
    /// Where the weather comes from; paths are resolved from the scenario's folder. Whether files exist is not checked.
    pub weather: WeatherSource,
    /// How weather files are to be read.
    pub read: ReadOptions,
    /// The plumbing, where there are heaters and a pump.
    pub hydraulics: Option<Hydraulics>,
    /// How the heaters are built and what the shop sells.
    pub build: BuildPlan,
    /// How long things last.
    pub lives: Lives,
    /// What else the builder thinks of.
    pub options: Vec<ScenarioOption>,
}

/// Reads a scenario file with values set on the command line (`"pool.cover.kind=none"`).
///
/// # Errors
/// [`ScenarioErrors`] with all that is wrong; one alone when the file cannot be read.
pub fn load(path: &Path, sets: &[String]) -> Result<Scenario, ScenarioErrors> {
    let label = path.display().to_string();
    let bytes = std::fs::read(path).map_err(|error| {
        ScenarioErrors::one(
            label.clone(),
            "",
            format!("cannot be read: {error}"),
            "check the path; `swimdays new` writes a scenario to start from",
        )
    })?;
    let text = String::from_utf8(bytes).map_err(|_| {
        ScenarioErrors::one(
            label.clone(),
            "",
            "is not UTF-8 text".into(),
            "save the file as plain text in UTF-8",
        )
    })?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let mut scenario = parse(&text, &label, folder, sets)?;
    if scenario.plan.name.is_empty() {
        scenario.plan.name = path
            .file_stem()
            .map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
    }
    Ok(scenario)
}

/// Reads a scenario from text. `label` names it in messages; paths in it start at `folder`.
///
/// # Errors
/// [`ScenarioErrors`] with all that is wrong.
pub fn parse(
    text: &str,
    label: &str,
    folder: &Path,
    sets: &[String],
) -> Result<Scenario, ScenarioErrors> {
    walked(text, label, folder, sets).0
}

/// Path of every key that a scenario may have, heaters and shades without their names: `heater.tube.length`.
#[must_use]
pub fn keys() -> BTreeSet<String> {
    walked(COMPLETE, "complete.toml", Path::new(""), &[]).1
}

fn walked(
    text: &str,
    label: &str,
    folder: &Path,
    sets: &[String],
) -> (Result<Scenario, ScenarioErrors>, BTreeSet<String>) {
    // A byte order mark is no part of the text.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (mut result, asked, written) = read_once(text, label, folder, sets, sets.len());
    let (mut options, mut faults) = (Vec::new(), Vec::new());
    let base = result.as_ref().err().map_or(&[][..], |e| &e.diagnostics);
    for option in written {
        let all: Vec<String> = sets.iter().cloned().chain(option.sets()).collect();
        match read_once(text, label, folder, &all, sets.len()).0 {
            Ok(scenario) => options.push(option.with(scenario)),
            Err(errors) => {
                let place = Walk::new(label, text, sets);
                faults.extend(option.faults(errors.diagnostics, base, |at| place.locate(at)));
            }
        }
    }
    if !faults.is_empty() {
        let mut errors = match result {
            Ok(scenario) => ScenarioErrors {
                diagnostics: Vec::new(),
                weather: scenario.weather.files().to_vec(),
                read: scenario.read,
            },
            Err(errors) => errors,
        };
        errors.diagnostics.extend(faults);
        diagnostic::sort(&mut errors.diagnostics);
        errors.diagnostics.dedup();
        return (Err(errors), asked);
    }
    if let Ok(scenario) = &mut result {
        scenario.options = options;
    }
    (result, asked)
}

/// The scenario as its text and sets make it, without its options; the keys asked for; the options as they are written.
/// A set from number `own_sets` on is an option's: it takes the place of what those before it say in another way.
fn read_once(
    text: &str,
    label: &str,
    folder: &Path,
    sets: &[String],
    own_sets: usize,
) -> (
    Result<Scenario, ScenarioErrors>,
    BTreeSet<String>,
    Vec<option::Written>,
) {
    let (mut tree, syntax) = document::read(text);
    let mut walk = Walk::new(label, text, sets);
    let unreadable = syntax_errors(&mut walk, text, &syntax);
    set::apply(&mut tree, sets, own_sets, &mut walk);
    let Read {
        plan,
        weather,
        read,
        hydraulics,
        build,
        lives,
        options,
    } = plan(&mut walk, &tree, folder);
    let units = walk.units;
    let named = source::named_weather(&walk, &tree, folder);
    let mut errors = walk.errors;
    if !unreadable.is_empty() {
        // What could not be read is reported once; what may be missing only because of it is not reported.
        let first = unreadable.len().min(errors.len());
        let rest = errors.split_off(first);
        errors.extend(rest.into_iter().filter(|d| {
            d.problem != section::MISSING && d.line.is_none_or(|line| !unreadable.contains(&line))
        }));
    }
    diagnostic::sort(&mut errors);
    errors.dedup();
    let result = match weather {
        Some(weather) if errors.is_empty() => Ok(Scenario {
            plan,
            units,
            weather,
            read,
            hydraulics,
            build,
            lives,
            options: Vec::new(),
        }),
        _ => Err(ScenarioErrors {
            diagnostics: errors,
            weather: named,
            read,
        }),
    };
    (result, walk.asked, options)
}

/// Quotes that word processors put in the place of straight ones.
const CURLY: [char; 8] = ['“', '”', '„', '‟', '‘', '’', '‚', '‛'];

fn without_comment(value: &str) -> &str {
    value.split('#').next().unwrap_or(value).trim()
}

/// Reports what is not TOML, once a line; returns the lines.
fn syntax_errors(
    walk: &mut Walk<'_>,
    text: &str,
    errors: &[document::SyntaxError],
) -> BTreeSet<usize> {
    let mut lines = BTreeSet::new();
    for error in errors {
        let (number, _) = document::line_column(text, error.at);
        if !lines.insert(number) {
            continue;
        }
        let line = text.lines().nth(number - 1).unwrap_or("").trim();
        let value = line
            .split_once('=')
            .map(|(key, value)| (key.trim(), value.trim()));
        let advice = match value {
            _ if error.message.contains("duplicate") => {
                "keep one of the two; a second [table] of the same name is not allowed".to_owned()
            }
            Some((key, value)) if value.starts_with(CURLY) => {
                let value = without_comment(value).trim_matches(CURLY);
                format!("replace the curly quotes “ ” by straight ones: {key} = \"{value}\"")
            }
            Some((key, value)) if !value.is_empty() && !value.contains(['"', '\'', '[', '{']) => {
                let value = without_comment(value);
                format!("put the value in quotes: {key} = \"{value}\"")
            }
            Some((key, "")) => format!("give {key} a value, or take the line out"),
            Some(_) => {
                "check that each quote and bracket is closed and that one value stands in each line"
                    .into()
            }
            None => {
                "a line is `key = value`, `[table]`, `[[heater]]` or a comment behind #".to_owned()
            }
        };
        walk.report(
            &Place::File(error.at..error.at),
            "",
            line.chars().take(70).collect(),
            format!("cannot be read: {}", error.message),
            "",
            advice,
        );
    }
    lines
}

const UNITS: Usual<&str> = Usual {
    value: "us",
    source: words::source::OWN_CHOICE,
};

/// What the tables hold.
struct Read {
    plan: Plan,
    weather: Option<WeatherSource>,
    read: ReadOptions,
    hydraulics: Option<Hydraulics>,
    build: BuildPlan,
    lives: Lives,
    options: Vec<option::Written>,
}

fn plan(walk: &mut Walk<'_>, tree: &document::Table, folder: &Path) -> Read {
    let mut root = Section::root(tree);
    // First, since messages and assumptions are written in them.
    let units = root.word(
        walk,
        "units",
        &[("us", Units::Us), ("metric", Units::Metric)],
    );
    walk.units = match units {
        Field::Given(units) => units,
        _ => Units::from_name(UNITS.value).unwrap_or_default(),
    };
    let name = root.text(walk, "name");
    for (table, advice) in [
        ("site", "write [site] with the weather file"),
        ("pool", "write [pool] with length, width and depth"),
    ] {
        if !root.has(table) {
            root.missing(
                walk,
                table,
                &format!("a table, written as [{table}]"),
                advice,
            );
        }
    }
    let currency = site::currency(walk, &mut root, tree);
    let site = if root.has("site") {
        site::site(walk, &mut root, folder)
    } else {
        root.read_elsewhere(walk, "site");
        site::Site::stand_in()
    };
    let swim = site::swim(walk, &mut root);
    let mut pool_table = root.section(walk, "pool");
    let cover = cover::cover(walk, &mut pool_table, swim.too_hot_c, &currency);
    let pool = pool::pool(walk, &mut pool_table, site.wind_at_water);
    pool_table.finish(walk);
    let (heaters, heater_pipes): (Vec<_>, Vec<_>) =
        heater::heaters(walk, &mut root, site.surroundings, &currency)
            .into_iter()
            .unzip();
    if heaters.len() > MOST_HEATERS {
        root.wrong(
            walk,
            "heater",
            format!("is written {} times", heaters.len()),
            format!("at most {MOST_HEATERS} heaters"),
            "put like pieces together into one heater with several circuits",
        );
    }
    if !heaters.is_empty() && !root.has("pump") {
        root.missing(
            walk,
            "pump",
            "a table, written as [pump]",
            "water must be pushed through the heater: write [pump] with flow = \"4 gpm\" and hours = \"9:00-17:00\"",
        );
    }
    let (mut pump, pump_source) = pump::pump(
        walk,
        &mut root,
        !heaters.is_empty(),
        swim.too_hot_c,
        &currency,
    );
    let other_heater = site::other_heater(walk, &mut root, swim.target_c);
    let prices = site::prices(walk, &mut root, currency);
    let models = site::models(walk, &mut root);
    let hydraulics = plumbing::plumbing(
        walk,
        &mut root,
        &heaters,
        &heater_pipes,
        pump.as_mut(),
        &pump_source,
    );
    let build = build::build(walk, &mut root, &heaters, &pool, &prices.currency);
    let lives = life::lives(
        walk,
        &mut root,
        (cover.as_ref(), &heaters),
        other_heater.as_ref(),
        pump.is_some(),
        &prices.currency,
    );
    let options = option::options(walk, &mut root, &prices.currency);
    root.finish(walk);
    let plan = Plan {
        name: name.or("").to_owned(),
        site: site.plan,
        pool,
        cover,
        heaters,
        pump,
        other_heater,
        swim,
        prices,
        models,
        assumptions: std::mem::take(&mut walk.assumptions),
    };
    Read {
        plan,
        weather: site.weather,
        read: site.read,
        hydraulics,
        build,
        lives,
        options,
    }
}
