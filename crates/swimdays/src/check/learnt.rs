//! `--write`: the scenario with what was learnt, the old values beside it.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::Context;
use swimdays_check::{Estimate, Fit, Parameter};
use swimdays_scenario::{LearntValue, Scenario, with_learnt};
use swimdays_season::CoverPlan;

use crate::failure::Failure;

/// A 90 % interval has its ends 1.645 sigmas out, a scenario's range 1.282.
const RANGE_OF_INTERVAL: f64 = 1.281_6 / 1.644_9;
/// Furthest that a cover's range is followed, in widths of its own.
const FURTHEST: f64 = 2.5;

/// Where it goes, and whether even with a fault about.
pub(super) struct Target {
    path: PathBuf,
    force: bool,
}

impl Target {
    /// Refuses where a file stands, unless it is to be replaced.
    pub(super) fn free(path: &Path, force: bool) -> Result<Self, Failure> {
        if !force && path.symlink_metadata().is_ok() {
            return Err(Failure::input(format!(
                "--write {}: is there already and stays as it is; choose another name, or --force to replace it",
                path.display()
            )));
        }
        Ok(Self {
            path: path.to_path_buf(),
            force,
        })
    }

    /// Writes what the log could tell; says what. With a fault about, its numbers would make the fault the plan: then only by force, and
    /// marked so.
    pub(super) fn write(
        self,
        from: &Path,
        scenario: &Scenario,
        fit: &Fit,
        log: &str,
        fault: Option<&str>,
    ) -> Result<String, Failure> {
        if let (Some(fault), false) = (fault, self.force) {
            return Err(Failure::input(format!(
                "--write {}: not written, since it seems that {fault}: the numbers learnt now describe the fault, and every later answer would take it for your plan. Mend it, measure a few days anew and learn from those; --force writes them all the same, marked so",
                self.path.display()
            )));
        }
        let text =
            fs::read_to_string(from).with_context(|| format!("reading {}", from.display()))?;
        let note = match fault {
            Some(fault) => format!("learnt from {log} while {fault}"),
            None => format!("learnt from {log}"),
        };
        let values = values(scenario, fit, &note);
        if values.is_empty() {
            return Err(Failure::input(format!(
                "--write {}: the log tells none of the scenario’s numbers better than they were known, so nothing was written",
                self.path.display()
            )));
        }
        let mut written = with_learnt(&text, &values).map_err(Failure::input)?;
        if let Some(fault) = fault {
            written.insert_str(
                0,
                &format!(
                    "# Beware: learnt from {log}, in which it seems that {fault}.\n# The learnt numbers describe the pool with that fault. Mend it, then learn anew.\n"
                ),
            );
        }
        // What cannot be read back is not written. File paths in it start at its own folder.
        let folder = self.path.parent().unwrap_or(Path::new(""));
        swimdays_scenario::parse(&written, &self.path.display().to_string(), folder, &[])
            .map_err(Failure::input)?;
        fs::write(&self.path, written).map_err(|error| {
            Failure::input(format!(
                "--write {}: cannot be written ({error}); choose another name",
                self.path.display()
            ))
        })?;
        let keys: Vec<&str> = values
            .iter()
            .map(|v| v.path.as_str())
            .filter(|p| !p.ends_with("_range"))
            .collect();
        let moved = if same_folder(from, &self.path) {
            ""
        } else {
            " Paths in it, such as the weather file’s, start at its new folder: look at them."
        };
        let beware = fault.map_or_else(String::new, |fault| {
            format!(" Beware: they describe the pool with its fault ({fault}); mend it, then learn anew.")
        });
        Ok(format!(
            "Learnt values, the old ones beside them as comments, in {}: {}.{moved}{beware}",
            self.path.display(),
            keys.join(", ")
        ))
    }
}

fn same_folder(a: &Path, b: &Path) -> bool {
    let folder = |p: &Path| {
        fs::canonicalize(
            p.parent()
                .filter(|f| !f.as_os_str().is_empty())
                .unwrap_or(Path::new(".")),
        )
        .ok()
    };
    folder(a) == folder(b)
}

/// What the log told, as values of the scenario.
fn values(scenario: &Scenario, fit: &Fit, note: &str) -> Vec<LearntValue> {
    let plan = &scenario.plan;
    let mut out = Vec::new();
    for e in fit.parameters.iter().filter(|e| e.identified) {
        let mut put = |path: String, value: String| {
            out.push(LearntValue {
                path,
                value,
                note: note.to_owned(),
            });
        };
        let (low, high) = ends(e);
        match e.key {
            Parameter::WindShelter => {
                put("site.wind_at_water".into(), number(e.value));
                put("site.wind_at_water_range".into(), range(low, high));
            }
            Parameter::SunOnWater => {
                put("pool.sun_factor".into(), number(e.value));
                put("pool.sun_factor_range".into(), range(low, high));
            }
            Parameter::CoverEffect => {
                if let Some(cover) = &plan.cover {
                    let at = |effect: f64| position(cover, effect);
                    let remains = |position: f64| {
                        cover
                            .remaining_evaporation_frac
                            .at(-position)
                            .clamp(0.0, 1.0)
                    };
                    let covered = cover.covered_frac.at(at(e.value)).clamp(0.0, 1.0);
                    put("pool.cover.covered".into(), number(covered));
                    put(
                        "pool.cover.remaining_evaporation".into(),
                        number(remains(at(e.value))),
                    );
                    put(
                        "pool.cover.remaining_evaporation_range".into(),
                        range(remains(at(high)), remains(at(low))),
                    );
                }
            }
            Parameter::CoverSun if plan.cover.is_some() => {
                put("pool.cover.transmittance".into(), number(e.value));
            }
            Parameter::HeaterPerformance | Parameter::HeaterWind => {
                let key = if e.key == Parameter::HeaterPerformance {
                    "performance"
                } else {
                    "wind_at_heater"
                };
                for heater in plan.heaters.iter().filter(|h| !h.name.is_empty()) {
                    put(format!("heater.{}.{key}", heater.name), number(e.value));
                    put(
                        format!("heater.{}.{key}_range", heater.name),
                        range(low, high),
                    );
                }
            }
            Parameter::Flow => {
                if let Some(pump) = &plan.pump {
                    let flow = e.value * pump.pump.flow_m3_s();
                    let kind = swimdays_quantity::Kind::Flow;
                    put(
                        "pump.flow".into(),
                        format!("\"{}\"", scenario.units.format_short(kind, flow, 2)),
                    );
                }
            }
            _ => {}
        }
    }
    out
}

/// Ends of the scenario's kind of range from those of the fit's.
fn ends(e: &Estimate) -> (f64, f64) {
    (
        e.value - RANGE_OF_INTERVAL * (e.value - e.low),
        e.value + RANGE_OF_INTERVAL * (e.high - e.value),
    )
}

/// Where in its range a cover holds back so much, by halving.
fn position(cover: &CoverPlan, effect: f64) -> f64 {
    let held = |position: f64| {
        cover.covered_frac.at(position).clamp(0.0, 1.0)
            * (1.0
                - cover
                    .remaining_evaporation_frac
                    .at(-position)
                    .clamp(0.0, 1.0))
    };
    let (mut low, mut high) = (-FURTHEST, FURTHEST);
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if held(middle) < effect {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// Three digits are more than a log tells.
fn number(value: f64) -> String {
    format!("{value:.3}")
}

fn range(low: f64, high: f64) -> String {
    format!("[{}, {}]", number(low), number(high))
}
