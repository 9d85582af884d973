//! `swimdays report`: one page for a scenario.

use std::io::Write;

use swimdays_report::build::BuildReport;
use swimdays_report::compare::CompareReport;
use swimdays_report::flow::FlowReport;
use swimdays_report::hours::HoursSummary;
use swimdays_report::page::{Chapter, Page, season_chapters};
use swimdays_report::style::Style;
use swimdays_report::text;
use swimdays_report::warmup::WarmupSummary;
use swimdays_report::weather::WeatherReport;
use swimdays_report::words::weather_name;
use swimdays_scenario::Scenario;
use swimdays_studies::compare::Ranges;

use crate::Done;
use crate::args::{RunArgs, ScenarioArgs};
use crate::delivery::WIDTH;
use crate::failure::Failure;
use crate::season::Answer;
use crate::sources::{self, Year};
use crate::{build, compare, flow, hours, warmup};

/// Name of the page in its folder.
const FILE: &str = "report.html";

pub(crate) fn run(args: &RunArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let scenario = args.on.with(&args.pick)?;
    let delivery = args.on.delivery("-report")?;
    let years = sources::years(&args.pick.weather, &scenario)?;
    let answer = Answer::of(&scenario, &years)?;
    let page = page(&scenario, &args.on, &years, &answer)?;
    delivery.hand_over(
        out,
        err,
        |output| output.write(FILE, |to| page.write(to)),
        |bytes| answer.summary.write_json(bytes),
        || {
            let mut lines = text::season_lines(&answer.summary, WIDTH);
            lines.truncate(3);
            lines
        },
        "The page report.html is in",
    )
}

fn page(
    scenario: &Scenario,
    args: &ScenarioArgs,
    years: &[Year],
    answer: &Answer<'_>,
) -> Result<Page, Failure> {
    let s = &answer.summary;
    let style = Style::light();
    let units = scenario.units;
    let season = season_chapters(s, answer.charts(scenario, None));
    let mut chapters = season.first;
    let found = Found::of(scenario, args, years);
    // What is worth it, once there is something to choose; it tells more than each measure alone.
    if let Some(compared) = found.compared {
        let compared = compared?;
        let chapter = swimdays_report::compare::chapter(&compared, units, &style);
        match chapters.iter().position(|c| c.id == "measures") {
            Some(at) => chapters[at] = chapter,
            None => chapters.push(chapter),
        }
    }
    if let Some(hours) = found.hours {
        let hours = hours?;
        chapters.push(swimdays_report::hours::chapter(&hours, units, &style));
    }
    if let Some(warmup) = found.warmup {
        let place = sources::pool_and_weather(&scenario.plan, years, "");
        chapters.push(swimdays_report::warmup::chapter(
            &warmup, units, &place, &style,
        ));
    }
    // What one reads before a sheet is cut closes the first part.
    chapters.push(season.cautions);
    let built = chapters.len();
    if let Some(flow) = found.flow {
        let flow = flow?;
        chapters.push(swimdays_report::flow::chapter(&flow, units, &style));
    }
    if let Some(sheet) = found.sheet {
        chapters.push(match sheet {
            Ok(sheet) => {
                let drawings = build::charts(&sheet, &style);
                let drawings = drawings.into_iter().map(|(_, chart)| chart).collect();
                swimdays_report::build::chapter(&sheet, drawings)
            }
            // The rest of the page stands without it.
            Err(failure) => Chapter::new("build", "What to build, buy and cut")
                .text(format!("It cannot be built as written. {}", failure.text())),
        });
    }
    if let Some(first) = chapters.get_mut(built) {
        first.opens = Some("For the workshop");
    }
    let year = &answer.year.weather;
    let weather = WeatherReport::new(year, env!("CARGO_PKG_VERSION"));
    chapters.push(season.sure.opening("For whoever checks it"));
    chapters.extend(season.week);
    chapters.push(swimdays_report::weather::chapter(
        &weather, year, units, &style,
    ));
    chapters.push(season.engineer);
    let place = weather_name(
        &s.weather.place,
        s.weather.latitude_deg,
        s.weather.longitude_deg,
    );
    Ok(Page {
        title: s.scenario.clone(),
        chapters,
        block: vec![
            ("Pool".to_owned(), s.scenario.clone()),
            ("Weather".to_owned(), place),
            (
                "Made with".to_owned(),
                format!("{} {}", s.program.name, s.program.version),
            ),
            ("Who decides".to_owned(), s.cautions_note.to_owned()),
        ],
    })
}

/// What the chapters tell, each where the scenario has something to tell.
struct Found {
    compared: Option<Result<CompareReport, Failure>>,
    hours: Option<Result<HoursSummary, Failure>>,
    warmup: Option<WarmupSummary>,
    flow: Option<Result<FlowReport, Failure>>,
    sheet: Option<Result<BuildReport, Failure>>,
}

impl Found {
    /// All at the same time: neither waits for the other's last seasons.
    fn of(scenario: &Scenario, args: &ScenarioArgs, years: &[Year]) -> Self {
        let plan = &scenario.plan;
        let heats = !plan.heaters.is_empty();
        let chooses = heats || plan.cover.is_some() || plan.other_heater.is_some();
        let ((compared, hours), (flow, sheet, warmup)) = rayon::join(
            || {
                rayon::join(
                    || chooses.then(|| compare::answer(scenario, years, Ranges::Read)),
                    || (heats && plan.pump.is_some()).then(|| hours::summary(scenario, years)),
                )
            },
            || {
                let hydraulics = scenario.hydraulics.as_ref();
                (
                    hydraulics.map(|hydraulics| flow::answer(scenario, hydraulics)),
                    heats.then(|| build::report(scenario, args)),
                    warmup::usual_answer(scenario, years),
                )
            },
        );
        Self {
            compared,
            hours,
            warmup,
            flow,
            sheet,
        }
    }
}
