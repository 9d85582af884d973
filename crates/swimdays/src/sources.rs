//! From the weather that a scenario or the command line names to weather years: files, samples, years made from normals.

use std::path::{Path, PathBuf};

use swimdays_report::WarningSummary;
use swimdays_report::words::weather_name;
use swimdays_scenario::{
    Climate, NamedWeather, NormalsSource, Scenario, ScenarioErrors, WeatherSource,
};
use swimdays_season::Plan;
use swimdays_weather::normals::{Normals, generate, read_table};
use swimdays_weather::{Grade, ReadOptions, WeatherYear};

use crate::failure::Failure;
use crate::samples;

/// Places further apart than this, degrees of latitude or longitude, are not one place.
const ONE_PLACE_DEG: f64 = 0.5;

/// One weather year and what it is called.
pub(crate) struct Year {
    pub(crate) label: String,
    pub(crate) weather: WeatherYear,
}

/// All years of the run, at least one; all that is wrong with them at once.
pub(crate) fn years(given: &[PathBuf], scenario: &Scenario) -> Result<Vec<Year>, Failure> {
    let mut errors = ScenarioErrors::none();
    let years = if given.is_empty() {
        match &scenario.weather {
            WeatherSource::Files(files) => named(files, &scenario.read, &mut errors),
            WeatherSource::Normals(source) => made(source, &mut errors),
        }
    } else {
        options(given, &scenario.read, &mut errors)
    };
    if errors.diagnostics.is_empty() {
        Ok(years)
    } else {
        Err(Failure::input(errors))
    }
}

/// Adds what is wrong with the weather to what is wrong with a scenario.
pub(crate) fn add_faults(errors: &mut ScenarioErrors, given: &[PathBuf]) {
    let read = errors.read;
    if given.is_empty() {
        let files = errors.weather.clone();
        let _ = named(&files, &read, errors);
    } else {
        let _ = options(given, &read, errors);
    }
}

/// What each file gives, by its label; of several files each must be a whole year.
fn labelled(paths: &[&Path], read: &ReadOptions) -> Vec<(String, Result<WeatherYear, String>)> {
    let name = |path: &Path| {
        path.file_name().map_or_else(
            || path.display().to_string(),
            |name| name.to_string_lossy().into_owned(),
        )
    };
    paths
        .iter()
        .enumerate()
        .map(|(at, path)| {
            let short = name(path);
            let twice = paths.iter().filter(|p| name(p) == short).count() > 1;
            let label = if twice {
                path.display().to_string()
            } else {
                short
            };
            let year = if paths[..at].contains(path) {
                Err("is named before: each file is one year, named once".to_owned())
            } else {
                samples::read_with(path, read)
            };
            let year = year.and_then(|year| {
                if paths.len() == 1 || year.is_whole_year() {
                    return Ok(year);
                }
                Err(format!(
                    "is no whole year: it runs from {} to {}. Of several files each must be a whole year; name one alone to run a part of one",
                    year.first_start.date(),
                    year.start_of(year.len().saturating_sub(1)).date()
                ))
            });
            (label, year)
        })
        .collect()
}

fn named(files: &[NamedWeather], read: &ReadOptions, errors: &mut ScenarioErrors) -> Vec<Year> {
    let paths: Vec<&Path> = files.iter().map(|file| file.path.as_path()).collect();
    let mut years = Vec::new();
    for (file, (label, year)) in files.iter().zip(labelled(&paths, read)) {
        match year {
            Ok(weather) => years.push(Year { label, weather }),
            Err(problem) => errors.add_weather(file, problem, where_to_look(&file.path)),
        }
    }
    years
}

fn options(given: &[PathBuf], read: &ReadOptions, errors: &mut ScenarioErrors) -> Vec<Year> {
    let paths: Vec<&Path> = given.iter().map(PathBuf::as_path).collect();
    let mut years = Vec::new();
    for (path, (label, year)) in given.iter().zip(labelled(&paths, read)) {
        match year {
            Ok(weather) => years.push(Year { label, weather }),
            Err(problem) => {
                let advice = if path.is_file() {
                    ""
                } else {
                    "name an hourly weather file; the path starts here"
                };
                errors.add_option(format!("--weather {}", path.display()), problem, advice);
            }
        }
    }
    years
}

/// A file that is there says itself what is wrong with it.
fn where_to_look(path: &Path) -> &'static str {
    if path.is_file() {
        ""
    } else {
        "the path starts at the folder of the scenario; --weather FILE takes another file"
    }
}

/// Years made from a climate table, each from its own seed.
fn made(source: &NormalsSource, errors: &mut ScenarioErrors) -> Vec<Year> {
    let read: Normals;
    let (normals, named) = match &source.climate {
        Climate::Given(normals) => (normals.as_ref(), &source.named),
        Climate::Table(file) => match read_table(&file.path) {
            Ok(table) => {
                read = table;
                (&read, file)
            }
            Err(problem) => {
                errors.add_weather(file, problem.to_string(), where_to_look(&file.path));
                return Vec::new();
            }
        },
    };
    let made: Result<Vec<Year>, _> = (0..u64::from(source.years))
        .map(|n| {
            generate(normals, source.seed + n).map(|weather| Year {
                label: format!("year {}", n + 1),
                weather,
            })
        })
        .collect();
    made.unwrap_or_else(|problem| {
        let advice = "correct the numbers of the climate table";
        errors.add_weather(named, problem.to_string(), advice);
        Vec::new()
    })
}

/// Whether the years are of one place; says so where they are not.
pub(crate) fn places_differ(years: &[Year]) -> Option<WarningSummary> {
    let mut furthest: (f64, Option<(&Year, &Year)>) = (0.0, None);
    let mut halves = None;
    for (i, a) in years.iter().enumerate() {
        for b in &years[i + 1..] {
            let (p, q) = (&a.weather.place, &b.weather.place);
            let east = (p.longitude_deg - q.longitude_deg).abs();
            let apart = (p.latitude_deg - q.latitude_deg)
                .abs()
                .max(east.min(360.0 - east));
            if apart > furthest.0 {
                furthest = (apart, Some((a, b)));
            }
            if (p.latitude_deg < 0.0) != (q.latitude_deg < 0.0) {
                halves = halves.or(Some((a, b)));
            }
        }
    }
    let warning = |text: String| {
        Some(WarningSummary {
            kind: "places_differ",
            count: years.len(),
            text,
        })
    };
    if let Some((a, b)) = halves {
        return warning(format!(
            "{} lies north of the equator and {} south of it: years of one place are wanted, and these begin half a year apart",
            a.label, b.label
        ));
    }
    let (apart, Some((a, b))) = furthest else {
        return None;
    };
    if apart <= ONE_PLACE_DEG {
        return None;
    }
    warning(format!(
        "{} and {} are of places {apart:.1}° apart: the range then holds the difference between places as well as that between years",
        a.label, b.label
    ))
}

/// Which years cannot carry a season, and why: years with the same reasons are told together.
pub(crate) fn not_good(years: &[Year]) -> Vec<WarningSummary> {
    let weather: Vec<&WeatherYear> = years.iter().map(|year| &year.weather).collect();
    let mut told: Vec<(String, Vec<&str>)> = Vec::new();
    for (year, verdict) in years.iter().zip(swimdays_studies::verdicts(&weather)) {
        if verdict.grade != Grade::NotGood {
            continue;
        }
        let reasons = verdict.reasons.join("; ");
        match told.iter_mut().find(|(known, _)| *known == reasons) {
            Some((_, labels)) => labels.push(&year.label),
            None => told.push((reasons, vec![&year.label])),
        }
    }
    told.into_iter()
        .map(|(reasons, labels)| {
            let who = match labels.as_slice() {
                [one] => format!("{one} is"),
                all if all.len() == years.len() => format!("all {} weather years are", all.len()),
                some => format!("{} are", some.join(", ")),
            };
            WarningSummary {
                kind: "weather_not_good",
                count: labels.len(),
                text: format!("{who} not good for a season: {reasons}"),
            }
        })
        .collect()
}

/// Pool and weather in words; `of` stands before the number of several years, such as `mean of `.
pub(crate) fn pool_and_weather(plan: &Plan, years: &[Year], of: &str) -> String {
    let site = years.first().map(|year| &year.weather.place);
    let weather = site.map_or_else(String::new, |site| {
        weather_name(&site.name, site.latitude_deg, site.longitude_deg)
    });
    let how_many = match years.len() {
        0 | 1 => String::new(),
        n => format!(" ({of}{n} years)"),
    };
    format!("{}, weather of {weather}{how_many}", plan.name)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A table that nothing had checked: the error says file, line and key, and stands beside the others.
    #[test]
    fn a_year_that_cannot_be_made_is_told_at_its_line() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios/town.toml");
        let text = "[site]\n\n[site.normals]\nlatitude = 41.2\nlongitude = -87.9\n\
            max = \"0 2 9 15 22 27 29 27 24 16 8 0 C\"\nmin = \"-9 -7 0 5 9 15 19 17 13 5 1 -8 C\"\n\
            [pool]\nlength = \"24 ft\"\nwidth = \"12 ft\"\ndepth = \"4 ft 6 in\"\n";
        let scenario =
            swimdays_scenario::parse(text, "s.toml", &path, &[]).unwrap_or_else(|e| panic!("{e}"));
        let WeatherSource::Normals(mut source) = scenario.weather else {
            panic!("normals")
        };
        let Climate::Given(normals) = &mut source.climate else {
            panic!("given")
        };
        normals.daily_min_c[3] = 40.0;
        let mut errors = ScenarioErrors::none();
        errors.add_option("--weather x", "another", "");
        assert!(made(&source, &mut errors).is_empty());
        let told = errors.to_string();
        assert!(told.contains("s.toml, line 3:"), "{told}");
        assert!(
            told.contains("site.normals") && told.contains("April"),
            "{told}"
        );
        assert!(told.contains("another"), "{told}");
    }
}
