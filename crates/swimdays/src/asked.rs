//! From what every command on a scenario takes to the scenario, its weather and the place for the answer.

use swimdays_scenario::{Scenario, ScenarioErrors};

use crate::args::{ScenarioArgs, WeatherPick};
use crate::delivery::{Delivery, stem_of, units_set};
use crate::failure::Failure;
use crate::sources;

impl ScenarioArgs {
    /// The scenario with what the command line changes in it.
    pub(crate) fn load(&self) -> Result<Scenario, Failure> {
        self.read(self.how.sets.clone(), Failure::input)
    }

    /// The scenario with `sets` and `--units`.
    fn read(
        &self,
        sets: Vec<String>,
        failed: impl Fn(ScenarioErrors) -> Failure,
    ) -> Result<Scenario, Failure> {
        let load = |sets: &[String]| swimdays_scenario::load(&self.scenario, sets).map_err(&failed);
        let Some(units) = units_set(self.how.units) else {
            return load(&sets);
        };
        // What the shop sells, and so the board, does not depend on the units that are printed.
        let shop = load(&sets)?.build.shop;
        let mut scenario = load(&[sets, vec![units]].concat())?;
        scenario.build.shop = shop;
        Ok(scenario)
    }

    /// The scenario ready to be stepped; all that is wrong with it and with its weather files at once.
    pub(crate) fn with(&self, pick: &WeatherPick) -> Result<Scenario, Failure> {
        let mut sets = self.how.sets.clone();
        if !pick.weather.is_empty() {
            // A scenario need not name a file when one is given here.
            sets.push("site.weather=given".into());
        }
        if let Some(fill) = &pick.fill {
            // A bare number is hours, as for `swimdays weather`.
            let unit = if fill.trim().parse::<f64>().is_ok() {
                " h"
            } else {
                ""
            };
            sets.push(format!("site.fill={fill}{unit}"));
        }
        let scenario = self.read(sets, |mut errors| {
            sources::add_faults(&mut errors, &pick.weather);
            Failure::input(errors)
        })?;
        if let Some(fault) = scenario.hydraulics.as_ref().and_then(|h| h.fault.as_ref()) {
            let path = self.scenario.display();
            return Err(Failure::input(format!(
                "{path}: {fault}. `swimdays flow {path}` shows more"
            )));
        }
        Ok(scenario)
    }

    /// Where the answer goes: the folder asked for, else one named after the scenario with `suffix` (such as `-flow`) behind it.
    pub(crate) fn delivery(&self, suffix: &str) -> Result<Delivery, Failure> {
        Delivery::prepare(self.out.as_deref(), self.how.json, self.how.force, || {
            Ok(format!("{}{suffix}", stem_of(&self.scenario)?))
        })
    }
}
