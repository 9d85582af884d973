//! The builder's log against the model, as data, words and pictures.

mod charts;
mod spot;
mod summary;
mod text;
mod words;

pub use charts::{heat_chart, learnt_chart, water_chart};
pub use spot::{NoonHeat, SpotReport, SpotVerdict, spot_lines};
pub use summary::{
    CauseSummary, CheckInput, CheckReport, FitSummary, ForecastDay, HeatReadingSummary,
    HeatSummary, LearntSummary, LogSummary, WeatherUsed,
};
pub use text::check_lines;
