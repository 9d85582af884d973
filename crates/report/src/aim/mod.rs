//! Which way the heater must face, as data: the object of `swimdays aim --json`, and what its text and picture are made from.

mod chart;
mod text;

use std::io::Write;

use serde::Serialize;
use swimdays_quantity::compass_name;
use swimdays_studies::{AS_GOOD_FRAC, AimFound, Loss, Objective, Score, Spot};

use crate::ReportError;

pub use chart::aim_chart;
pub use text::aim_lines;

/// A position and what it gives.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpotSummary {
    /// 0 flat, 90 upright.
    pub tilt_deg: f64,
    /// Clockwise from true north.
    pub azimuth_deg: f64,
    /// The nearest of the sixteen points of the compass.
    pub facing: &'static str,
    /// Of several years the mean.
    pub swim_days: f64,
    /// Of several years the mean.
    pub too_hot_days: f64,
    /// Heat that this heater adds while the pool is open, kWh.
    pub season_kwh: f64,
    /// Of that, in spring, kWh.
    pub spring_kwh: f64,
}

impl SpotSummary {
    fn new(spot: &Spot) -> Self {
        Self::at(
            spot.position.tilt_deg,
            spot.position.azimuth_deg,
            &spot.score,
        )
    }

    fn at(tilt_deg: f64, azimuth_deg: f64, score: &Score) -> Self {
        Self {
            tilt_deg,
            azimuth_deg,
            facing: compass_name(azimuth_deg),
            swim_days: score.swim_days,
            too_hot_days: score.too_hot_days,
            season_kwh: score.season_kwh,
            spring_kwh: score.spring_kwh,
        }
    }

    /// What was to be most.
    #[must_use]
    pub fn worth(&self, objective: Objective) -> f64 {
        match objective {
            Objective::SwimDays => self.swim_days,
            Objective::SeasonHeat => self.season_kwh,
            Objective::SpringHeat => self.spring_kwh,
        }
    }
}

/// Positions that are just as good as the best.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AsGood {
    /// Less than the best by no more than this, percent; of days at least one.
    pub within_percent: f64,
    /// So they give at least this, days or kWh.
    pub gives_at_least: f64,
    /// At the best facing.
    pub tilt_from_deg: f64,
    /// At the best facing.
    pub tilt_to_deg: f64,
    /// At the best tilt, clockwise; absent when every direction is as good.
    pub facing_from_deg: Option<f64>,
    /// At the best tilt.
    pub facing_to_deg: Option<f64>,
    /// Share of all positions of the map.
    pub share_of_map_frac: f64,
}

/// What the scenario's position gives less than the best.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LossSummary {
    /// `days` or `kWh`.
    pub unit: &'static str,
    /// Best guess.
    pub value: f64,
    /// One in ten draws loses less.
    pub low: f64,
    /// One in ten draws loses more.
    pub high: f64,
    /// Of the heat at the best position; absent for days.
    pub percent: Option<f64>,
    /// The same, one in ten draws loses less.
    pub percent_low: Option<f64>,
    /// The same, one in ten draws loses more.
    pub percent_high: Option<f64>,
    /// How the range was found.
    pub method: String,
}

impl LossSummary {
    fn new(loss: &Loss, objective: Objective) -> Self {
        let percent = |of: fn((f64, f64, f64)) -> f64| loss.frac.map(|frac| 100.0 * of(frac));
        Self {
            unit: if objective == Objective::SwimDays {
                "days"
            } else {
                "kWh"
            },
            value: loss.value,
            low: loss.low,
            high: loss.high,
            percent: percent(|f| f.0),
            percent_low: percent(|f| f.1),
            percent_high: percent(|f| f.2),
            method: loss.method.clone(),
        }
    }
}

/// What a summary is made from besides the answer.
#[derive(Clone, Copy, Debug)]
pub struct AimInput<'a> {
    /// Of the program.
    pub version: &'static str,
    /// The scenario's name.
    pub name: &'a str,
    /// The heater that is turned.
    pub heater: &'a str,
    /// How many other heaters the plan has.
    pub others: usize,
    /// The heater has shade of its own.
    pub shaded: bool,
    /// Whether it is a bought panel.
    pub is_panel: bool,
    /// What the weather is called.
    pub weather: &'a [String],
    /// First and last day of the pool as people write them; absent: open all year.
    pub open: Option<&'a str>,
    /// Heaters that lie flat and were passed over.
    pub flat: &'a [String],
}

/// Everything that `swimdays aim` says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AimSummary {
    /// Of the program.
    pub version: &'static str,
    /// The scenario's name.
    pub name: String,
    /// Weather years.
    pub weather: Vec<String>,
    /// The heater that is turned.
    pub heater: String,
    /// `days`, `season-heat` or `spring-heat`.
    pub objective: &'static str,
    /// Step of the map, degrees.
    pub step_deg: f64,
    /// The best position.
    pub best: SpotSummary,
    /// The scenario's position.
    pub given: SpotSummary,
    /// Swim days without this heater.
    pub swim_days_without: f64,
    /// As good as the best.
    pub as_good: AsGood,
    /// What the scenario's position loses.
    pub loss: LossSummary,
    /// Share of the map that gives just as much as its best cell.
    pub plateau_frac: f64,
    /// Seasons run.
    pub seasons: usize,
    /// What to know of these numbers.
    pub notes: Vec<String>,
    /// Every cell.
    pub map: Vec<SpotSummary>,
    #[serde(skip)]
    asked: Objective,
    #[serde(skip)]
    south: bool,
    #[serde(skip)]
    tilts_deg: Vec<f64>,
    #[serde(skip)]
    open: Option<String>,
    #[serde(skip)]
    is_panel: bool,
}

/// The word by which an objective is asked for.
#[must_use]
pub const fn objective_word(objective: Objective) -> &'static str {
    match objective {
        Objective::SwimDays => "days",
        Objective::SeasonHeat => "season-heat",
        Objective::SpringHeat => "spring-heat",
    }
}

impl AimSummary {
    /// From the answer.
    #[must_use]
    pub fn new(found: &AimFound, input: &AimInput<'_>) -> Self {
        let map = found
            .azimuths_deg
            .iter()
            .zip(&found.cells)
            .flat_map(|(&azimuth, column)| {
                found
                    .tilts_deg
                    .iter()
                    .zip(column)
                    .map(move |(&tilt, score)| SpotSummary::at(tilt, azimuth, score))
            })
            .collect();
        Self {
            version: input.version,
            name: input.name.to_owned(),
            weather: input.weather.to_vec(),
            heater: input.heater.to_owned(),
            objective: objective_word(found.objective),
            step_deg: found.step_deg,
            best: SpotSummary::new(&found.best),
            given: SpotSummary::new(&found.given),
            swim_days_without: found.without.swim_days,
            as_good: AsGood {
                within_percent: 100.0 * AS_GOOD_FRAC,
                gives_at_least: found.enough,
                tilt_from_deg: found.tilt_as_good.from_deg,
                tilt_to_deg: found.tilt_as_good.to_deg,
                facing_from_deg: found.facing_as_good.map(|f| f.from_deg),
                facing_to_deg: found.facing_as_good.map(|f| f.to_deg),
                share_of_map_frac: found.as_good_frac,
            },
            loss: LossSummary::new(&found.loss, found.objective),
            plateau_frac: found.plateau_frac,
            seasons: found.seasons,
            notes: notes(input),
            map,
            asked: found.objective,
            south: found.south,
            tilts_deg: found.tilts_deg.clone(),
            open: input.open.map(str::to_owned),
            is_panel: input.is_panel,
        }
    }

    /// What is to be most at the best position; not above 0: the heater gives nothing anywhere.
    #[must_use]
    pub fn most(&self) -> f64 {
        self.best.worth(self.asked)
    }

    /// The cell of the map nearest to a position of its grid.
    fn cell(&self, tilt: usize, azimuth: usize) -> Option<&SpotSummary> {
        self.map.get(azimuth * self.tilts_deg.len() + tilt)
    }

    /// How many directions the map has.
    fn directions(&self) -> usize {
        self.map.len() / self.tilts_deg.len().max(1)
    }

    /// Writes the object of `aim.json`.
    ///
    /// # Errors
    /// What the writer says.
    pub fn write_json(&self, mut to: impl Write) -> Result<(), ReportError> {
        serde_json::to_writer_pretty(&mut to, self)?;
        to.write_all(b"\n").map_err(serde_json::Error::io)?;
        Ok(())
    }

    /// Writes the map as a table, one row a position.
    ///
    /// # Errors
    /// [`ReportError::Table`] when writing fails.
    pub fn write_csv(&self, to: impl Write) -> Result<(), ReportError> {
        let mut table = csv::Writer::from_writer(to);
        table.write_record([
            "azimuth_deg",
            "tilt_deg",
            "swim_days",
            "too_hot_days",
            "season_heat_kwh",
            "spring_heat_kwh",
        ])?;
        for cell in &self.map {
            table.write_record([
                cell.azimuth_deg.to_string(),
                cell.tilt_deg.to_string(),
                format!("{:.2}", cell.swim_days),
                format!("{:.2}", cell.too_hot_days),
                format!("{:.2}", cell.season_kwh),
                format!("{:.2}", cell.spring_kwh),
            ])?;
        }
        table.flush().map_err(csv::Error::from)?;
        Ok(())
    }
}

/// What to know of these numbers.
fn notes(input: &AimInput<'_>) -> Vec<String> {
    let mut notes = vec![
        "directions are from true north; a compass needle may point many degrees off, by place".to_owned(),
        "the pump's hours and limits count: one that stops early in the afternoon favours the morning sun".to_owned(),
        "flow, wind and height of the heater are kept as the scenario has them at every position".to_owned(),
    ];
    if input.shaded {
        notes.push("what shades the heater where it stands shades it at every position".to_owned());
    } else {
        notes.push(format!(
            "nothing shades {} in the scenario: write [[heater.shade]] for house, trees and fence",
            input.heater
        ));
    }
    if input.others > 0 {
        notes.push(format!(
            "heat is what {} adds to what the plan gives without it",
            input.heater
        ));
    }
    for flat in input.flat {
        notes.push(format!(
            "{flat} lies in or on a deck: there is nothing to turn"
        ));
    }
    notes
}
