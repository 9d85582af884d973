//! Where the weather comes from: `site.weather`, `site.normals` and how files are read.

use std::path::Path;

use swimdays_quantity::Kind;
use swimdays_weather::ReadOptions;
use swimdays_weather::normals::Normals;

use crate::climate;
use crate::diagnostic::NamedWeather;
use crate::document::{Node, Table, Value};
use crate::section::Section;
use crate::walk::{Field, Walk};

/// Where the weather of a scenario comes from. Nothing of it has been read.
#[derive(Clone, Debug, PartialEq)]
pub enum WeatherSource {
    /// One file or several, each a year of one place.
    Files(Vec<NamedWeather>),
    /// Years made from a climate table.
    Normals(Box<NormalsSource>),
}

/// Years made from a climate table.
#[derive(Clone, Debug, PartialEq)]
pub struct NormalsSource {
    /// What is known of the place.
    pub climate: Climate,
    /// Where the section stands in the scenario; its path is empty.
    pub named: NamedWeather,
    /// How many years are made.
    pub years: u32,
    /// Seed of the first; each further year has the next.
    pub seed: u64,
}

/// A climate table.
#[derive(Clone, Debug, PartialEq)]
pub enum Climate {
    /// Written in the scenario.
    Given(Box<Normals>),
    /// In a file.
    Table(NamedWeather),
}

impl WeatherSource {
    /// The files that are to be read.
    #[must_use]
    pub fn files(&self) -> &[NamedWeather] {
        match self {
            Self::Files(files) => files,
            Self::Normals(source) => match &source.climate {
                Climate::Given(_) => &[],
                Climate::Table(file) => std::slice::from_ref(file),
            },
        }
    }
}

/// `weather`, `utc_offset_h`, `fill` and `[site.normals]`; `None` when nothing usable is named.
pub(crate) fn source(
    walk: &mut Walk<'_>,
    s: &mut Section<'_>,
    folder: &Path,
) -> (Option<WeatherSource>, ReadOptions) {
    const ALLOWED: &str = "the path of an hourly weather file, or a list of them, one a year";
    let files = s.texts(walk, "weather", ALLOWED);
    let utc_offset_h = s.number(walk, "utc_offset_h", -12.0..=14.0).given();
    let fill = s.quantity(
        walk,
        "fill",
        Kind::Duration,
        0.0..=ReadOptions::LARGEST_FILL_HOURS * 3600.0,
    );
    let options = ReadOptions {
        fill_hours: fill.given().map(|seconds| seconds / 3600.0),
        utc_offset_h,
    };
    let normals = climate::normals(walk, s, utc_offset_h, |path| folder.join(path));
    s.conflict(walk, "normals", "weather");
    if s.has("normals") {
        s.misplaced(
            walk,
            "fill",
            "normals",
            "`fill` belongs to weather files: years made from normals have no gaps",
            "take it out",
        );
    }
    if files.is_absent() && !s.has("normals") {
        s.missing(
            walk,
            "weather",
            ALLOWED,
            "write weather = \"my-town.epw\"; the path starts at the folder of the scenario. Who has only a climate table writes [site.normals]",
        );
    }
    let source = match (normals, files) {
        (Some(normals), _) => Some(WeatherSource::Normals(Box::new(normals))),
        (None, Field::Given(_)) => s
            .table
            .map(|site| WeatherSource::Files(named(walk, site, folder))),
        _ => None,
    };
    (source, options)
}

/// The weather files that a scenario names, each with its place, whatever else is wrong with it.
pub(crate) fn named_weather(walk: &Walk<'_>, tree: &Table, folder: &Path) -> Vec<NamedWeather> {
    match tree.get("site").map(|node| &node.value) {
        Some(Value::Table(site)) => named(walk, site, folder),
        _ => Vec::new(),
    }
}

fn named(walk: &Walk<'_>, site: &Table, folder: &Path) -> Vec<NamedWeather> {
    let Some(node) = site.get("weather") else {
        return Vec::new();
    };
    let list: &[Node] = match &node.value {
        Value::List(list) => list,
        _ => std::slice::from_ref(node),
    };
    list.iter()
        .filter_map(|item| match &item.value {
            Value::Text(text) if !text.trim().is_empty() => Some(NamedWeather::new(
                "site.weather",
                folder.join(text),
                walk.locate(&item.place),
                item.shown(),
            )),
            _ => None,
        })
        .collect()
}
