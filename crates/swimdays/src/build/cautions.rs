//! What the cautions are told: places, valves, weights, the season's temperatures.

use chrono::{Datelike, Duration};
use swimdays_build::{CautionInput, Place, PumpDrive};
use swimdays_collector::{HeaterSpec, Placement};
use swimdays_pump::PumpKind;
use swimdays_pump::hydraulics::FittingKind;
use swimdays_report::build::HeaterSheet;
use swimdays_scenario::{HeaterBuild, Scenario};
use swimdays_season::{Detail, HeaterPlan};

use crate::sources;

/// Where a heater is: a deck by its placement, all else by `build.place`, or a roof by its wind.
pub(super) fn place_of(scenario: &Scenario, plan: &HeaterPlan, own: &HeaterBuild) -> Place {
    match &plan.spec {
        HeaterSpec::Deck(d) if matches!(d.placement, Placement::OnSurface { .. }) => Place::Deck,
        HeaterSpec::Deck(_) => Place::Buried,
        HeaterSpec::Board(_) | HeaterSpec::Panel(_) if own.roof => Place::Roof,
        HeaterSpec::Board(_) | HeaterSpec::Panel(_) => {
            scenario.build.place.unwrap_or(Place::Ground)
        }
    }
}

/// A vent, an open vacuum breaker or an end above the water: the top is not under suction.
pub(super) fn top_open(scenario: &Scenario) -> bool {
    scenario.hydraulics.as_ref().is_some_and(|h| {
        h.breaker_m.is_some()
            || h.supply
                .pieces()
                .chain(h.back.pieces())
                .chain(h.heaters.iter().flat_map(|b| b.network.pieces()))
                .any(|p| p.open_to_air)
    })
}

/// Highest point of a heater, m above the water: the plumbing's where there is one, so that `flow` says the same.
pub(super) fn top_m(scenario: &Scenario, plan: &HeaterPlan, own: &HeaterBuild) -> f64 {
    let branches = scenario.hydraulics.iter().flat_map(|h| &h.heaters);
    if let Some(branch) = branches.into_iter().find(|b| b.name == plan.name) {
        return branch.top_m;
    }
    let slope = match &plan.spec {
        HeaterSpec::Board(s) => own
            .sides_m
            .map_or_else(|| s.board_area_m2.sqrt().min(1.25), |(l, w)| l.min(w)),
        HeaterSpec::Panel(p) => p.area_m2.sqrt(),
        HeaterSpec::Deck(_) => 0.0,
    };
    plan.height_above_water_m + 0.5 * slope * plan.plane.tilt_deg.to_radians().sin()
}

pub(super) fn caution_input(
    scenario: &Scenario,
    plans: &[(&HeaterPlan, &HeaterBuild)],
    found: &[(HeaterSheet, (&HeaterPlan, &HeaterBuild))],
    top_m: f64,
) -> CautionInput {
    let b = &scenario.build;
    let h = scenario.hydraulics.as_ref();
    let pump = match scenario.plan.pump.as_ref().map(|p| &p.pump.kind) {
        None => PumpDrive::None,
        Some(PumpKind::Own { .. }) => match h.map(|h| (h.in_water, h.low_voltage)) {
            Some((true, Some(true))) => PumpDrive::SubmersibleLowVoltage,
            Some((true, _)) | None => PumpDrive::SubmersibleMains,
            Some((false, _)) => PumpDrive::Beside,
        },
        Some(_) => PumpDrive::Filter,
    };
    // A valve or a check valve shuts its side; water is shut in where both sides can be.
    let shuts = |p: &swimdays_pump::hydraulics::Piece| {
        p.fittings.iter().any(|f| {
            f.count > 0 && matches!(f.kind, FittingKind::Valve { .. } | FittingKind::CheckValve)
        })
    };
    let valve_in = |p: &swimdays_pump::hydraulics::Piece| {
        p.fittings
            .iter()
            .any(|f| f.count > 0 && matches!(f.kind, FittingKind::Valve { .. }))
    };
    let at_heaters: Vec<_> = h
        .iter()
        .flat_map(|h| &h.heaters)
        .flat_map(|b| b.network.pieces())
        .collect();
    let two_at_one = at_heaters.iter().any(|p| {
        let n: u32 = p
            .fittings
            .iter()
            .filter(|f| matches!(f.kind, FittingKind::Valve { .. } | FittingKind::CheckValve))
            .map(|f| f.count)
            .sum();
        n > 1
    });
    let before = h.is_some_and(|h| h.supply.pieces().any(shuts));
    let behind = h.is_some_and(|h| h.back.pieces().any(shuts));
    let at_one = at_heaters.iter().any(|p| shuts(p));
    let shut_in = two_at_one || (before && behind) || (at_one && (before || behind));
    let valve = h.is_some_and(|h| h.supply.pieces().chain(h.back.pieces()).any(valve_in))
        || at_heaters.iter().any(|p| valve_in(p));
    let heaviest = found
        .iter()
        .filter(|(s, _)| s.weight.is_some())
        .max_by(|a, b| {
            let kg = |s: &HeaterSheet| s.weight.map_or(0.0, |w| w.filled_kg);
            kg(&a.0).total_cmp(&kg(&b.0))
        });
    let windiest = found
        .iter()
        .filter_map(|(s, _)| s.holding)
        .max_by(|a, b| a.force_n.high.total_cmp(&b.force_n.high));
    let mut materials = Vec::new();
    let mut places = Vec::new();
    let mut lid = false;
    for &(plan, own) in plans {
        let place = place_of(scenario, plan, own);
        if !places.contains(&place) {
            places.push(place);
        }
        let material = match &plan.spec {
            HeaterSpec::Board(s) => {
                lid |= s.lid.is_some();
                s.tube.material
            }
            HeaterSpec::Deck(s) => s.tube.material,
            HeaterSpec::Panel(_) => continue,
        };
        if !materials.contains(&material) {
            materials.push(material);
        }
    }
    // What drains worst is told.
    let drainage = found
        .iter()
        .filter_map(|(s, _)| s.drainage)
        .max_by(|a, b| a.stays_frac.total_cmp(&b.stays_frac));
    CautionInput {
        places,
        materials,
        pool_above_ground: b.pool_above_ground,
        top_open: top_open(scenario),
        lid,
        cover: scenario.plan.cover.is_some(),
        pump,
        can_dead_head: valve,
        can_be_shut_in: shut_in,
        weight: heaviest.and_then(|(s, _)| s.weight),
        wind: windiest.map(|w| (b.gust_m_s, w)),
        drainage,
        upper_edge_m: top_m,
        fence_m: b.fence_m,
        tap_fill: b.tap_fill,
        ..CautionInput::default()
    }
}

/// Numbers that need the weather; why there are none.
pub(super) fn season_numbers(scenario: &Scenario, input: &mut CautionInput) -> Option<String> {
    let none = |why: &str| {
        Some(format!(
            "Cautions stand without the season's temperatures: {why}."
        ))
    };
    if scenario
        .hydraulics
        .as_ref()
        .is_some_and(|h| h.fault.is_some())
    {
        return none("no water comes through the heaters (swimdays flow says why)");
    }
    let Ok(years) = sources::years(&[], scenario) else {
        return none("the weather cannot be read (swimdays season says why)");
    };
    let weather: Vec<_> = years.iter().map(|y| &y.weather).collect();
    let Ok(prepared) = swimdays_studies::prepared(&scenario.plan, &weather) else {
        return none("the season cannot be run (swimdays season says why)");
    };
    for (year, prepared) in weather.iter().zip(&prepared) {
        let Ok(season) = swimdays_season::run(&scenario.plan, prepared, Detail::Full) else {
            return none("the season cannot be run (swimdays season says why)");
        };
        let most = |a: Option<f64>, b: Option<f64>| {
            a.into_iter()
                .chain(b)
                .filter(|v| v.is_finite())
                .reduce(f64::max)
        };
        input.first_slug_c = most(
            input.first_slug_c,
            season.first_slug.as_ref().map(|s| s.water_c),
        );
        input.stagnation_c = most(input.stagnation_c, season.peak_stagnation_c);
        input.outlet_c = most(input.outlet_c, season.peak_outlet_c);
        input.pool_c = most(input.pool_c, Some(season.water_max_c));
        for (i, air) in year.columns.air_c.iter().enumerate() {
            input.coldest_c = Some(input.coldest_c.map_or(*air, |c| c.min(*air)));
            if *air < 0.0 {
                let minutes = i64::try_from(i).unwrap_or(0) * i64::from(year.interval_minutes);
                let month = (year.first_start + Duration::minutes(minutes)).month0() as usize;
                if !input.frost_months.contains(&month) {
                    input.frost_months.push(month);
                }
            }
        }
    }
    input.frost_months.sort_unstable();
    None
}
