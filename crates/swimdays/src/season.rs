//! `swimdays season`: one scenario, its weather years, the whole answer.

use std::io::Write;

use chrono::{Datelike, NaiveDate};
use swimdays_report::chart::{
    CalendarView, WeekView, YearView, calendar_chart, season_ledger_chart, telling_week,
    week_chart, week_from, year_chart,
};
use swimdays_report::output::OutputFolder;
use swimdays_report::page::SeasonCharts;
use swimdays_report::style::Style;
use swimdays_report::words::weather_name;
use swimdays_report::{
    DayRange, MeasureDays, NormalsSummary, ReportError, Summary, SummaryInput, WeatherYearDays,
    YearResults, tables, text,
};
use swimdays_scenario::Scenario;
use swimdays_season::{Detail, MonthDay, Plan, Season, is_summer_time};
use swimdays_studies::YearDays;
use swimdays_weather::{WeatherYear, YearKind};

use crate::Done;
use crate::args::SeasonArgs;
use crate::delivery::WIDTH;
use crate::failure::Failure;
use crate::sources::{self, Year};

pub(crate) fn run(args: &SeasonArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let scenario = args.on.with(&args.pick)?;
    let week = args.week.as_deref().map(month_day).transpose()?;
    let delivery = args.on.delivery("")?;
    let years = sources::years(&args.pick.weather, &scenario)?;
    let answer = Answer::of(&scenario, &years)?;

    let week = week
        .map(|asked| shown_week(&answer.season, asked, err))
        .transpose()?;
    delivery.hand_over(
        out,
        err,
        |output| answer.write(&scenario, week, output),
        |bytes| answer.summary.write_json(bytes),
        || text::season_lines(&answer.summary, WIDTH),
        "Pictures and tables",
    )
}

/// First day of the week that is drawn when one from `asked` is wanted; says so where that is another day.
fn shown_week(season: &Season, asked: MonthDay, err: &mut dyn Write) -> Result<NaiveDate, Failure> {
    let MonthDay { month, day } = asked;
    let from = week_from(season, asked).ok_or_else(|| {
        Failure::input(format!(
            "--week {month:02}-{day:02}: the weather has no such day; choose one that is in it"
        ))
    })?;
    if (from.month(), from.day()) != (month, day) {
        writeln!(
            err,
            "--week {month:02}-{day:02}: the run ends within that week; drawn is the last whole one, from {:02}-{:02}",
            from.month(),
            from.day()
        )?;
    }
    Ok(from)
}

/// `05-14` as month and day.
fn month_day(text: &str) -> Result<MonthDay, Failure> {
    text.split_once('-')
        .and_then(|(month, day)| {
            Some(MonthDay {
                month: month.parse().ok()?,
                day: day.parse().ok()?,
            })
        })
        .filter(|d| NaiveDate::from_ymd_opt(2001, d.month, d.day).is_some())
        .ok_or_else(|| {
            Failure::input(format!(
                "--week {text}: not a day of the year; write month-day, such as --week 05-14"
            ))
        })
}

/// Everything that is computed, before a byte is written.
pub(crate) struct Answer<'y> {
    /// Of the middle year, whole.
    pub(crate) season: Season,
    pub(crate) summary: Summary,
    /// The middle year.
    pub(crate) year: &'y Year,
}

impl<'y> Answer<'y> {
    pub(crate) fn of(scenario: &Scenario, years: &'y [Year]) -> Result<Self, Failure> {
        let plan = &scenario.plan;
        let weather: Vec<&WeatherYear> = years.iter().map(|year| &year.weather).collect();
        let prepared = swimdays_studies::prepared(plan, &weather).map_err(Failure::input)?;
        let over = swimdays_studies::days_over_years(plan, &prepared).map_err(Failure::input)?;
        let year = &years[over.middle];
        let season = swimdays_season::run(plan, &prepared[over.middle], Detail::Full)
            .map_err(Failure::input)?;
        let measures = swimdays_studies::measures_alone(plan, &prepared).map_err(Failure::input)?;
        let known = year.weather.normals;
        let error_sd_days = known.map(|known| swimdays_studies::normals_error(known).swim_days_sd);
        let open_days = season.days.iter().filter(|day| day.open).count();
        let range = match error_sd_days {
            Some(sd) => over.range.widened(season.swim_days, sd, open_days),
            None => over.range,
        };
        let range = DayRange {
            low: range.low,
            high: range.high,
            draws: range.draws,
            method: range.method,
        };
        let each: Vec<WeatherYearDays> = years
            .iter()
            .zip(&over.years)
            .enumerate()
            .map(|(at, (year, days))| year_days(plan, year, days, at == over.middle))
            .collect();
        let measures: Vec<MeasureDays> = measures
            .into_iter()
            .map(|m| MeasureDays {
                name: m.name,
                swim_days: m.swim_days,
                too_hot_days: m.too_hot_days,
            })
            .collect();
        let mut warnings = sources::not_good(years);
        warnings.extend(sources::places_differ(years));
        let summary = Summary::new(&SummaryInput {
            plan,
            weather: &year.weather,
            years: &each,
            normals: known.map(|known| {
                let error = error_sd_days.map(swimdays_studies::half_width_days);
                NormalsSummary::new(known, error)
            }),
            warnings: &warnings,
            season: &season,
            range: Some(&range),
            measures: &measures,
            units: scenario.units,
            program_version: env!("CARGO_PKG_VERSION"),
        });
        Ok(Self {
            season,
            summary,
            year,
        })
    }

    fn write(
        &self,
        scenario: &Scenario,
        week: Option<NaiveDate>,
        output: &mut OutputFolder,
    ) -> Result<(), ReportError> {
        let style = Style::light();
        output.write("hourly.csv", |w| tables::write_hourly_csv(w, &self.season))?;
        output.write("daily.csv", |w| tables::write_daily_csv(w, &self.season))?;
        output.write("summary.json", |w| self.summary.write_json(w))?;
        let charts = self.charts(scenario, week);
        for chart in [charts.year, charts.calendar, charts.ledger]
            .iter()
            .chain(&charts.week)
        {
            output.write_chart(chart.name, chart, &style)?;
        }
        Ok(())
    }

    pub(crate) fn charts(&self, scenario: &Scenario, week: Option<NaiveDate>) -> SeasonCharts {
        let weather = &self.year.weather;
        let plan = &scenario.plan;
        let style = Style::light();
        let has_heaters = !plan.heaters.is_empty();
        let site = &weather.place;
        let which = match self.summary.weather_years.len() {
            0 | 1 => String::new(),
            2 => format!(" ({}, the poorer of 2 years)", self.year.label),
            n => format!(" ({}, the middle one of {n} years)", self.year.label),
        };
        let place = format!(
            "{}, weather of {}{which}",
            plan.name,
            weather_name(&site.name, site.latitude_deg, site.longitude_deg)
        );
        let (target_c, too_hot_c) = (plan.swim.target_c, plan.swim.too_hot_c);
        let year = year_chart(
            &YearView {
                days: &self.season.days,
                target_c,
                too_hot_c,
                range: self.summary.swim_days_low.zip(self.summary.swim_days_high),
                place: &place,
                units: scenario.units,
            },
            &style,
        );
        let calendar = calendar_chart(
            &CalendarView {
                days: &self.season.days,
                place: &place,
            },
            &style,
        );
        let from = week.or_else(|| telling_week(&self.season));
        let week = self.season.hourly.as_ref().zip(from).map(|(hourly, from)| {
            let noon = from.and_hms_opt(12, 0, 0).unwrap_or_default();
            week_chart(
                &WeekView {
                    hourly,
                    from,
                    target_c,
                    too_hot_c,
                    summer_time: is_summer_time(
                        plan.site.summer_time,
                        noon,
                        weather.place.utc_offset_h,
                    ),
                    has_heaters,
                    place: &place,
                    units: scenario.units,
                },
                &style,
            )
        });
        SeasonCharts {
            year,
            calendar,
            ledger: season_ledger_chart(&self.season, has_heaters, &place, &style),
            week,
        }
    }
}

/// What one year gave.
fn year_days(plan: &Plan, year: &Year, days: &YearDays, shown: bool) -> WeatherYearDays {
    let season = &days.season;
    WeatherYearDays {
        label: year.label.clone(),
        place: year.weather.place.name.clone(),
        kind: match year.weather.kind {
            YearKind::Typical => "typical",
            YearKind::Measured => "measured",
        },
        swim_days: season.swim_days,
        swim_days_low: days.low,
        swim_days_high: days.high,
        too_hot_days: season.too_hot_days,
        first_swim_day: season.first_swim_day.map(|d| d.to_string()),
        last_swim_day: season.last_swim_day.map(|d| d.to_string()),
        shown,
        results: YearResults::new(plan, season),
    }
}
