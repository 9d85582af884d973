//! `swimdays flow`: what the pump pushes through the heaters.

mod answer;
pub(crate) mod heat;

use std::io::Write;

use swimdays_report::chart::{loop_chart, pump_chart};
use swimdays_report::flow::flow_lines;
use swimdays_report::style::Style;

use crate::Done;
use crate::args::ScenarioArgs;
use crate::delivery::WIDTH;
use crate::failure::Failure;

pub(crate) use answer::answer;

pub(crate) fn run(args: &ScenarioArgs, out: &mut dyn Write, err: &mut dyn Write) -> Done {
    let scenario = args.load()?;
    let delivery = args.delivery("-flow")?;
    let Some(hydraulics) = &scenario.hydraulics else {
        let what = if scenario.plan.heaters.is_empty() {
            "has no heater: there is no flow to find. Write a [[heater]] with its tube, and [pump]"
        } else {
            "has no pump: write [pump] with flow, bucket, curve, shut_off_head and free_flow, or class"
        };
        return Err(Failure::input(format!(
            "{}: {what}",
            args.scenario.display()
        )));
    };
    let report = answer(&scenario, hydraulics)?;
    let style = Style::light();
    delivery.hand_over(
        out,
        err,
        |output| {
            output.write("flow.json", |w| report.write_json(w))?;
            for chart in [
                pump_chart(&report, scenario.units, &style),
                loop_chart(&report, scenario.units, &style),
            ] {
                output.write_chart(chart.name, &chart, &style)?;
            }
            Ok(())
        },
        |bytes| report.write_json(bytes),
        || flow_lines(&report, scenario.units, WIDTH),
        "Pictures, and all pieces and assumptions in flow.json",
    )
}
