//! What the build sheet takes because the scenario does not say it, beside what its reader has listed.

use swimdays_build::{ExitEdge, Pattern, tape};
use swimdays_report::build::{HeaterLayout, HeaterSheet};
use swimdays_scenario::{HeaterBuild, Scenario};
use swimdays_season::{Assumption, HeaterPlan};

/// All that was taken: the scenario's own list, the sides of boards given by area, the edge where a spiral leaves.
pub(super) fn assumptions(
    scenario: &Scenario,
    found: &[(HeaterSheet, (&HeaterPlan, &HeaterBuild))],
) -> Vec<Assumption> {
    let mut out = scenario.build.assumptions.clone();
    for (sheet, _) in found {
        if let (HeaterLayout::Deck(deck), true) = (&sheet.layout, sheet.sides_taken) {
            let sides = deck.layout.request.board;
            out.push(Assumption {
                key: "build.deck_length, build.deck_width".into(),
                value: format!(
                    "{} × {}",
                    tape(sides.length_m, scenario.units),
                    tape(sides.width_m, scenario.units)
                ),
                source: format!("{}: about as long as wide, as the rows need", sheet.title()),
            });
        }
        let HeaterLayout::Boards(boards) = &sheet.layout else {
            continue;
        };
        let Some(request) = boards.layouts.first().map(|l| l.request) else {
            continue;
        };
        if sheet.sides_taken {
            let each = boards.layouts.len() / sheet.names.len().max(1);
            let sides = format!(
                "{each} × {} × {}",
                tape(request.board.length_m, scenario.units),
                tape(request.board.width_m, scenario.units)
            );
            out.extend(sheet.names.iter().map(|name| Assumption {
                key: format!("heater.{name}.board.area"),
                value: sides.clone(),
                source:
                    "its sides are not written: from its area and the shop's first sheet".into(),
            }));
        }
        let spiral = !matches!(request.pattern, Pattern::Serpentine { .. });
        if scenario.build.exit.is_none() && spiral {
            let (value, why) = match request.exit {
                ExitEdge::Same => ("same", "both hoses at one side"),
                ExitEdge::Any => (
                    "any",
                    "the same edge would leave more than half a ring over",
                ),
            };
            out.push(Assumption {
                key: "build.exit_edge".into(),
                value: value.into(),
                source: format!("{}: {why}", sheet.title()),
            });
        }
    }
    out
}
