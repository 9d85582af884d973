//! Tables, files and charts made from results only.
//!
//! **Question:** what does a season look like to the one who asked?
//! **In:** a plan, its weather and its [`Season`](swimdays_season::Season). **Out:** [`Summary`] (the object of
//! `summary.json`, from which every number shown elsewhere comes), [`text::season_lines`] for the terminal,
//! [`tables`] as CSV, [`chart`]s as SVG and PNG, and [`output::OutputFolder`], which puts files in place whole or
//! not at all. No physics is computed here; units are converted and hours added up for display.
//! **Sources:** WCAG 2.2 for contrast, CIE lightness for printing grey (tests); safety facts name theirs in
//! [`caution`].

pub mod aim;
pub mod build;
pub mod caution;
pub mod chart;
pub mod check;
pub mod compare;
mod error;
pub mod flow;
pub mod hours;
mod lines;
pub mod output;
mod over_years;
pub mod page;
pub mod style;
mod summary;
pub mod sweep;
pub mod tables;
pub mod text;
pub mod warmup;
pub mod weather;
pub mod words;
mod years;

pub use error::ReportError;
pub use over_years::{OverYears, Spread, YearResults};
pub use summary::{
    AssumptionSummary, DayRange, EnergySummary, HeaterSummary, MeasureDays, ModelSummary,
    PlaneSummary, ProgramSummary, SlugSummary, Span, Summary, SummaryInput, SwimSummary,
    WarningSummary, WaterSummary, WeatherNote, WeatherSummary,
};
pub use swimdays_quantity::Units;
pub use years::{NormalsSummary, WeatherYearDays};
