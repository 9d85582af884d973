//! Warnings and cautions of the plumbing in a builder's words, each with the number that raised it.

use swimdays_pump::hydraulics::Warning;
use swimdays_quantity::Kind;

use super::FlowWarning;
use crate::Units;

/// What a warning says; `None` where it is said elsewhere.
#[must_use]
pub fn warning_text(warning: &Warning, tee: bool, units: Units) -> Option<FlowWarning> {
    let m = |v: f64| units.format(Kind::Length, v, 1);
    let psi = |v: f64| units.format(Kind::Pressure, v, 1);
    let flow = |v: f64| units.format(Kind::Flow, v, 1);
    let speed = |v: f64| speed(v, units);
    let (kind, text) = match warning {
        Warning::DeadHeaded { piece } => (
            "dead_headed",
            format!(
                "{piece} is shut and the pump runs against it: it heats its own water and may burst something. Open the valve"
            ),
        ),
        Warning::CannotLift { shut_off_m, lift_m } => (
            "cannot_lift",
            format!(
                "The pump lifts {} at most, the open end stands at {}: nothing comes out. End the return below the water",
                m(*shut_off_m),
                m(*lift_m)
            ),
        ),
        Warning::CannotStart {
            high_point_m,
            available_m,
        } => (
            "cannot_start",
            format!(
                "The empty loop does not fill: its highest point is {} above the pool, the head there lifts {}",
                m(*high_point_m),
                m(available_m.max(0.0))
            ),
        ),
        Warning::AirStays {
            piece,
            velocity_m_s,
            needed_m_s,
        } => (
            "air_stays",
            format!(
                "While filling, water goes down {piece} at {}; it takes {} to carry all air along: {}",
                speed(*velocity_m_s),
                speed(*needed_m_s),
                if tee {
                    "close the main line further while filling (never fully)"
                } else {
                    "fill from a hose, a vent at the top open; its tap needs a back-flow preventer"
                }
            ),
        ),
        Warning::SiphonLost { piece, height_m } => (
            "siphon_lost",
            format!(
                "{piece} ends or opens {} above the water: no siphon, the pump lifts that all the time",
                m(*height_m)
            ),
        ),
        Warning::VentSpills {
            piece,
            height_m,
            needed_m,
        } => (
            "vent_spills",
            format!(
                "The vent of {piece} at {} spills: the pipes behind it need {} at this flow",
                m(*height_m),
                m(*needed_m)
            ),
        ),
        Warning::BelowAtmospheric {
            piece,
            height_m,
            gauge_pa,
        } => (
            "below_atmospheric",
            format!(
                "At the top of {piece} ({} up) the pressure is {} below the air's: a leak draws air in, a hot soft tube flattens",
                m(*height_m),
                psi(-gauge_pa)
            ),
        ),
        Warning::ColumnBreaks {
            piece, absolute_pa, ..
        } => (
            "column_breaks",
            format!(
                "In {piece} the pressure falls to {} absolute: the water column breaks there",
                psi(*absolute_pa)
            ),
        ),
        Warning::PumpCavitates { absolute_pa, .. } => (
            "pump_cavitates",
            format!(
                "The pump's inlet is at {} absolute: it cavitates. Shorten or widen the suction",
                psi(*absolute_pa)
            ),
        ),
        Warning::RunsDry { height_m } => (
            "runs_dry",
            format!(
                "The pump's suction rises {} above the water and the pump does not prime itself: it runs dry",
                m(*height_m)
            ),
        ),
        Warning::StandsStill { piece } => (
            "stands_still",
            format!("Nothing flows through {piece} though the pump runs"),
        ),
        Warning::Backwards { piece, flow_m3_s } => (
            "backwards",
            format!("Water goes backwards through {piece}: {}", flow(-flow_m3_s)),
        ),
        Warning::BranchKeepsAir {
            piece,
            high_point_m,
            available_m,
        } => (
            "branch_keeps_air",
            format!(
                "The branch of {piece} may keep its air: it goes up to {}, the head there lifts {}",
                m(*high_point_m),
                m(*available_m)
            ),
        ),
        Warning::FrictionOutside { piece, .. } => (
            "friction_outside",
            format!("{piece}: outside the range of the friction formulas, taken on"),
        ),
        Warning::FittingOutside { piece } => (
            "fitting_outside",
            format!("{piece}: a fitting is outside the sizes its loss is known for"),
        ),
        Warning::Transition { piece, reynolds } => (
            "transition",
            format!(
                "{piece}: neither laminar nor turbulent (Re {}), its drop may be off by tens of per cent",
                crate::words::rough(*reynolds)
            ),
        ),
        Warning::BeyondCurve {
            flow_m3_s,
            most_m3_s,
        } => (
            "beyond_curve",
            format!(
                "{} is beyond the end of the pump's curve at {}",
                flow(*flow_m3_s),
                flow(*most_m3_s)
            ),
        ),
        Warning::GenericPump { class } => (
            "generic_pump",
            format!(
                "A generic {class} pump stands in: numbers to try plans with, not of any pump. Its own curve or a bucket tells"
            ),
        ),
        _ => return None,
    };
    Some(FlowWarning { kind, text })
}

/// ft/s or m/s.
pub(super) fn speed(m_s: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{:.1} ft/s", m_s / 0.3048),
        Units::Metric => format!("{m_s:.1} m/s"),
    }
}

/// Cautions of such a loop: what raises them, and who decides.
#[must_use]
pub fn cautions(
    in_water: bool,
    low_voltage: Option<bool>,
    lowest_gauge_pa: f64,
    high_point_m: f64,
    tee: bool,
    standing_c: f64,
    units: Units,
) -> Vec<String> {
    let mut list = Vec::new();
    if in_water && low_voltage != Some(true) {
        let what = if low_voltage == Some(false) {
            "A mains-voltage pump"
        } else {
            "A pump of mains voltage"
        };
        list.push(format!("{what} in the pool can kill: nobody in the water with it, residual-current protection (RCD, GFCI), a licensed electrician"));
    }
    if high_point_m > 0.3 {
        list.push(format!(
            "When the pump stops, the loop siphons back from {} up: check valve (a vacuum breaker ends the siphon), inlets that cannot trap a swimmer",
            units.format(Kind::Length, high_point_m, 1)
        ));
    }
    if lowest_gauge_pa < -2_000.0 {
        list.push(format!(
            "A hot soft tube at {} below air pressure flattens and kinks",
            units.format(Kind::Pressure, -lowest_gauge_pa, 1)
        ));
    }
    if tee {
        list.push("Never shut both ways of the valve: a filter pump against a closed line can burst it. Leave a way open that no valve can shut".into());
    }
    list.push(format!(
        "The first water after standing in the sun scalds ({} in this sun): let it in below the surface, away from people",
        units.format(Kind::Temperature, standing_c, 0)
    ));
    list
}
