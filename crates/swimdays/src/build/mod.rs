//! `swimdays build`: what fits, what to buy and cut, what it weighs, what holds it, what to fear.

mod advice;
mod assumed;
mod buy;
mod cautions;
mod cuts;
mod drawings;
mod plumbing;
mod sheets;

use std::io::Write;

use swimdays_build::{BuildError, Heights, build_cautions, first_slug_s, siphon};
use swimdays_collector::HeaterSpec;
use swimdays_report::ReportError;
use swimdays_report::build::{
    BuildReport, HeaterLayout, HeaterSheet, build_lines, write_cuts_csv, write_page,
    write_parts_csv, write_rings_csv,
};
use swimdays_report::output::OutputFolder;
use swimdays_report::style::Style;
use swimdays_scenario::{HeaterBuild, Scenario};
use swimdays_season::HeaterPlan;

use crate::Done;
use crate::args::ScenarioArgs;
use crate::delivery::WIDTH;
use crate::failure::Failure;

use buy::buy;
use cautions::{caution_input, season_numbers, top_m};
pub(crate) use drawings::charts;
use sheets::{Sheets, add_alike, alike};

pub(crate) fn run(args: &ScenarioArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let scenario = args.load()?;
    if scenario.plan.heaters.is_empty() {
        return Err(Failure::input(format!(
            "{}: has no heater: there is nothing to build. Write a [[heater]] with its tube and board",
            args.scenario.display()
        )));
    }
    let delivery = args.delivery("-build")?;
    let report = report(&scenario, args)?;
    delivery.hand_over(
        out,
        err,
        |output| write(&report, output),
        |bytes| report.write_json(bytes),
        || build_lines(&report, WIDTH),
        "Page to print (build.html), drawings and lists",
    )
}

fn write(report: &BuildReport, output: &mut OutputFolder) -> Result<(), ReportError> {
    let style = Style::light();
    let mut drawings = Vec::new();
    for (name, chart) in charts(report, &style) {
        output.write_chart(&name, &chart, &style)?;
        drawings.push(chart);
    }
    output.write("parts.csv", |w| write_parts_csv(w, report))?;
    output.write("cuts.csv", |w| write_cuts_csv(w, report))?;
    output.write("rings.csv", |w| write_rings_csv(w, report))?;
    output.write("build.json", |w| report.write_json(w))?;
    output.write("build.html", |w| write_page(w, report, drawings, &style))
}

/// Lengths, hours and counts as numbers.
fn real(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

/// The sheet, or why it cannot be built.
pub(crate) fn report(scenario: &Scenario, args: &ScenarioArgs) -> Result<BuildReport, Failure> {
    let b = &scenario.build;
    let units = scenario.units;
    let plans: Vec<(&HeaterPlan, &HeaterBuild)> =
        scenario.plan.heaters.iter().zip(&b.heaters).collect();
    let sheets = Sheets { scenario };
    let mut found: Vec<(HeaterSheet, (&HeaterPlan, &HeaterBuild))> = Vec::new();
    for &(plan, own) in &plans {
        if let Some((sheet, _)) = found
            .iter_mut()
            .find(|(_, other)| alike((plan, own), *other))
        {
            add_alike(sheet, plan);
            continue;
        }
        let told = |e: BuildError| {
            Failure::input(format!(
                "{}: heater.{}: {}",
                args.scenario.display(),
                plan.name,
                e.told(units)
            ))
        };
        let sheet = match &plan.spec {
            HeaterSpec::Board(spec) => sheets.board(plan, own, spec).map_err(told)?,
            HeaterSpec::Deck(spec) => sheets.deck(plan, own, spec).map_err(told)?,
            HeaterSpec::Panel(spec) => HeaterSheet {
                names: vec![plan.name.clone()],
                sides_taken: false,
                layout: HeaterLayout::Panel(spec.area_m2),
                wanted_m: 0.0,
                weight: None,
                holding: Some(
                    sheets
                        .wind(plan, own, spec.area_m2, spec.area_m2.sqrt(), 0.0, false)
                        .map_err(told)?,
                ),
                drainage: None,
                water_m3: 0.0,
            },
        };
        found.push((sheet, (plan, own)));
    }
    let flow_m3_s = scenario
        .hydraulics
        .as_ref()
        .map(|h| h.flow_m3_s)
        .or_else(|| scenario.plan.pump.as_ref().map(|p| p.pump.flow_m3_s()))
        .filter(|q| *q > 0.0);
    let water_m3: f64 = found.iter().map(|(s, _)| s.water_m3).sum();
    let top_m = plans
        .iter()
        .map(|(p, own)| top_m(scenario, p, own))
        .fold(0.0, f64::max);
    let heights = Heights {
        return_end_m: b.return_end_m,
        suction_m: b.suction_m,
        top_m,
        lowest_joint_m: b.lowest_joint_m,
    };
    let siphon =
        siphon(&heights, scenario.plan.pool.area_m2).map_err(|e| Failure::input(e.told(units)))?;
    let mut input = caution_input(scenario, &plans, &found, top_m);
    input.flow_m3_s = flow_m3_s;
    input.siphon = Some(siphon);
    input.first_slug_s = flow_m3_s
        .and_then(|q| first_slug_s(water_m3, q))
        .filter(|_| water_m3 > 0.0);
    let no_season = season_numbers(scenario, &mut input);
    let mut report = BuildReport {
        version: env!("CARGO_PKG_VERSION"),
        name: scenario.plan.name.clone(),
        units,
        currency: scenario.plan.prices.currency.clone(),
        heaters: Vec::new(),
        parts: Vec::new(),
        cuts: Vec::new(),
        steps: swimdays_build::Steps::default(),
        cautions: build_cautions(&input, units),
        assumptions: assumed::assumptions(scenario, &found),
        top_m,
        gust_m_s: b.gust_m_s,
        flow_m3_s,
        first_slug_s: input.first_slug_s,
        siphon: Some(siphon),
        no_season,
    };
    buy(&mut report, scenario, &found, &input, siphon.top_sucks)
        .map_err(|e| Failure::input(format!("{}: {}", args.scenario.display(), e.told(units))))?;
    report.heaters = found.into_iter().map(|(s, _)| s).collect();
    Ok(report)
}
