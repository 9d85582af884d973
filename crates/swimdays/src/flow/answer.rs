//! From the scenario's circuit to everything that is said of it.

use swimdays_pump::hydraulics::{
    ArrangementKind, Circuit, HeadCurve, Network, Operating, Part, PumpPower, PumpUnit,
    against_measured, arrangements,
};
use swimdays_report::flow::{
    DesignSun, FlowReport, FlowWarning, PieceSummary, StartSummary, SunCase, Taken,
    USUAL_FLOW_M3_S_M2, WaySummary, cautions, warning_text,
};
use swimdays_scenario::{Hydraulics, Scenario};

use super::heat::{self, Heaters};
use crate::failure::Failure;

/// More heaters than this are not plumbed in every way.
const MOST_IN_WAYS: usize = 6;
/// Ways whose heat differs by less are alike.
const ALIKE: f64 = 0.01;
const NOTHING_M3_S: f64 = 8e-7;
/// A top this little below air pressure is not worth a breaker's word, Pa.
const SLIGHT_PA: f64 = 500.0;

pub(crate) fn answer(scenario: &Scenario, h: &Hydraulics) -> Result<FlowReport, Failure> {
    let units = scenario.units;
    let plans = &scenario.plan.heaters;
    let mut loop_ = Loop::of(h)?;
    let found = loop_.found.clone();
    let area_m2 = heat::area_m2(plans, true)?;
    let rule_area_m2 = heat::area_m2(plans, false)?;
    let planned = h.heaters_as_planned();
    let case = |factor: f64| -> Result<SunCase, Failure> {
        let flow_m3_s = factor * found.flow_m3_s;
        let given = Heaters::at(plans, &found, factor).heat(&planned)?;
        Ok(SunCase {
            flow_m3_s,
            heat_w: given.heat_w,
            rise_k: given.outlet_c - heat::WATER_C,
        })
    };
    let lowest_gauge_pa = FlowReport::lowest_gauge_pa(&found);
    let known = h.pump.is_some();
    let tee = matches!(h.circuit, Circuit::Tee { .. });
    // A breaker opens where the pressure is below the air's.
    let breaker_flow_m3_s = h
        .with_breaker()
        .filter(|_| known && lowest_gauge_pa < -SLIGHT_PA)
        .and_then(|circuit| loop_.find(h, &circuit, &loop_.unit))
        .map(|o| {
            if h.can_start(&o) {
                o.flow_m3_s.max(0.0)
            } else {
                0.0
            }
        });
    let mut warnings: Vec<FlowWarning> = found
        .warnings
        .iter()
        .filter(|_| known)
        .chain(found.warnings.iter().filter(|w| !known && of_pieces(w)))
        .filter_map(|w| warning_text(w, tee, units))
        .collect();
    warnings = worst_of_each(warnings, &found);
    // A fault says it already.
    if h.fault.is_some() {
        warnings.retain(|w| {
            !["cannot_start", "cannot_lift", "dead_headed", "stands_still"].contains(&w.kind)
        });
    }
    let report = FlowReport {
        version: env!("CARGO_PKG_VERSION"),
        name: scenario.plan.name.clone(),
        flow_from: loop_.from,
        flow_m3_s: found.flow_m3_s.max(0.0),
        flow_range_m3_s: loop_.range(h)?,
        computed_flow_m3_s: loop_.computed,
        resistance_factor: loop_.factor,
        measured_fault: loop_.measured_fault.take(),
        head_m: found.head_m,
        pump_w: known.then_some(found.power.middle_w),
        pump_w_low: known.then_some(found.power.low_w),
        pump_w_high: known.then_some(found.power.high_w),
        pump_flow_m3_s: found.pump_flow_m3_s,
        filter_flow_alone_m3_s: found.filter_flow_alone_m3_s,
        breaker_m: h.breaker_m,
        breaker_flow_m3_s,
        heater_area_m2: area_m2,
        rule_area_m2,
        // With a deck in the loop there is no rule.
        share_of_usual_flow: (rule_area_m2 > 0.0 && rule_area_m2 >= area_m2)
            .then(|| found.flow_m3_s / (rule_area_m2 * USUAL_FLOW_M3_S_M2)),
        heater_volume_m3: found.heater_volume_m3,
        transit_s: (found.flow_m3_s > NOTHING_M3_S)
            .then(|| found.heater_volume_m3 / found.flow_m3_s),
        pieces: found.pieces.iter().map(PieceSummary::new).collect(),
        start: StartSummary {
            high_point_m: found.start.high_point_m,
            available_m: h.lift_m(&found),
            can_start: h.can_start(&found),
            fill_flow_m3_s: found.start.fill_flow_m3_s,
            fill_s: Some(found.start.fill_s).filter(|s| s.is_finite()),
            siphon_holds: found.start.siphon_holds,
            lowest_gauge_pa,
        },
        design_sun: DesignSun {
            sun_w_m2: heat::SUN_W_M2,
            air_c: heat::AIR_C,
            water_c: heat::WATER_C,
            wind_m_s: heat::WIND_M_S,
            slab_c: heat::SLAB_C,
            hours_a_day: heat::HOURS_A_DAY,
            now: case(1.0)?,
            half: case(0.5)?,
            double: case(2.0)?,
        },
        arrangements: ways(scenario, h, &loop_)?,
        warnings,
        cautions: cautions(
            h.in_water,
            h.low_voltage,
            lowest_gauge_pa,
            found.start.high_point_m,
            tee,
            heat::standing_c(plans)?,
            units,
        ),
        assumptions: h
            .assumptions
            .iter()
            .map(|a| Taken {
                key: a.key.clone(),
                value: a.value.clone(),
                source: a.source.clone(),
            })
            .collect(),
        fault: h.fault.clone(),
        pump_curve: loop_.pump_curve(h),
    };
    Ok(report)
}

/// How grave, the gravest first.
const ORDER: [&str; 14] = [
    "dead_headed",
    "cannot_lift",
    "cannot_start",
    "runs_dry",
    "column_breaks",
    "stands_still",
    "pump_cavitates",
    "branch_keeps_air",
    "air_stays",
    "backwards",
    "vent_spills",
    "below_atmospheric",
    "siphon_lost",
    "generic_pump",
];

/// Of one kind that many pieces raise, the worst only; the gravest first.
fn worst_of_each(warnings: Vec<FlowWarning>, found: &Operating) -> Vec<FlowWarning> {
    let lowest = found
        .pieces
        .iter()
        .min_by(|a, b| a.lowest_gauge_pa.total_cmp(&b.lowest_gauge_pa))
        .map(|p| format!("At the top of {} (", p.name));
    let mut kept: Vec<FlowWarning> = Vec::new();
    let mut more_branches = 0;
    for warning in warnings {
        let at = kept.iter().position(|w| w.kind == warning.kind);
        match at {
            Some(at) if warning.kind == "below_atmospheric" => {
                if lowest.as_ref().is_some_and(|l| warning.text.starts_with(l)) {
                    kept[at] = warning;
                }
            }
            Some(at) if warning.kind == "branch_keeps_air" => {
                // The same height and head in each: one line names them all.
                let rest = |text: &str| text.split_once(" may keep").map(|t| t.1.to_owned());
                if rest(&kept[at].text) == rest(&warning.text) {
                    more_branches += 1;
                } else {
                    kept.push(warning);
                }
            }
            Some(_) if ["air_stays", "transition"].contains(&warning.kind) => {}
            _ => kept.push(warning),
        }
    }
    if let Some(first) = kept.iter_mut().find(|w| w.kind == "branch_keeps_air")
        && more_branches > 0
    {
        let joined = format!(" and {more_branches} more like it may keep");
        first.text = first.text.replacen(" may keep", &joined, 1);
    }
    let rank = |w: &FlowWarning| {
        ORDER
            .iter()
            .position(|k| *k == w.kind)
            .unwrap_or(ORDER.len())
    };
    kept.sort_by_key(rank);
    kept
}

/// Warnings that do not concern a pump that is not known.
fn of_pieces(warning: &swimdays_pump::hydraulics::Warning) -> bool {
    use swimdays_pump::hydraulics::Warning;
    matches!(
        warning,
        Warning::Transition { .. }
            | Warning::BelowAtmospheric { .. }
            | Warning::FrictionOutside { .. }
            | Warning::FittingOutside { .. }
            | Warning::SiphonLost { .. }
    )
}

/// The loop at its flow.
struct Loop {
    found: Operating,
    /// The scenario's pump, or one that just gives the written flow.
    unit: PumpUnit,
    from: &'static str,
    factor: Option<f64>,
    computed: Option<f64>,
    measured_fault: Option<String>,
}

impl Loop {
    fn of(h: &Hydraulics) -> Result<Self, Failure> {
        let Some(unit) = &h.pump else {
            return needed(h);
        };
        let plain = Operating::find(&h.circuit, unit, &h.around).map_err(Failure::input)?;
        let mut this = Self {
            found: plain,
            unit: unit.clone(),
            from: "pump",
            factor: None,
            computed: None,
            measured_fault: None,
        };
        if let Some(flow_m3_s) = h.measured_m3_s {
            match against_measured(&h.circuit, unit, &h.around, flow_m3_s) {
                Ok(measured) => {
                    this.from = "measured";
                    this.factor = Some(measured.resistance_factor);
                    this.computed = Some(measured.computed_m3_s);
                    this.found = measured.operating;
                }
                Err(error) => this.measured_fault = Some(error.to_string()),
            }
        }
        Ok(this)
    }

    fn find(&self, h: &Hydraulics, circuit: &Circuit, unit: &PumpUnit) -> Option<Operating> {
        Operating::scaled(circuit, unit, &h.around, self.factor.unwrap_or(1.0)).ok()
    }

    /// Weakest and strongest of a generic class.
    fn range(&self, h: &Hydraulics) -> Result<Option<(f64, f64)>, Failure> {
        let Some(class) = self.unit.curve.class().filter(|_| self.from == "pump") else {
            return Ok(None);
        };
        let at = |place: f64| -> Result<f64, Failure> {
            let unit = PumpUnit {
                curve: class.curve(place).map_err(Failure::input)?,
                ..self.unit.clone()
            };
            Ok(self
                .find(h, &h.circuit, &unit)
                .filter(|o| h.runs(o))
                .map_or(0.0, |o| o.flow_m3_s.max(0.0)))
        };
        Ok(Some((at(0.0)?, at(1.0)?)))
    }

    fn pump_curve(&self, h: &Hydraulics) -> Vec<(f64, f64)> {
        let Some(unit) = &h.pump else {
            return Vec::new();
        };
        let most = unit.curve.most_m3_s();
        (0..=60)
            .map(|n| most * f64::from(n) / 60.0)
            .map(|q| (q, unit.curve.head_m(q).0))
            .collect()
    }

    /// What a circuit needs: the points at which the pump at other speeds meets it.
    fn curve(&self, h: &Hydraulics, circuit: &Circuit) -> Vec<(f64, f64)> {
        let mut points = Vec::new();
        for n in 2..=28 {
            let speed = 0.05 * f64::from(n);
            let Ok(curve) = self.unit.curve.at_speed(speed) else {
                continue;
            };
            let unit = PumpUnit {
                curve,
                ..self.unit.clone()
            };
            if let Some(found) = self.find(h, circuit, &unit)
                && found.pump_flow_m3_s > NOTHING_M3_S
            {
                points.push((found.pump_flow_m3_s, found.head_m));
            }
        }
        if let (Some(first), true) = (points.first().copied(), points.len() > 2)
            && first.1 < 0.1 * points[points.len() - 1].1
        {
            points.insert(0, (0.0, 0.0));
        }
        points
    }
}

/// Head that a written flow needs where the pump is not known.
fn needed(h: &Hydraulics) -> Result<Loop, Failure> {
    const HIGHEST_M: f64 = 180.0;
    let wanted = h.flow_m3_s;
    let with = |shut_off_m: f64| -> Result<(Operating, PumpUnit), Failure> {
        let unit = PumpUnit {
            curve: HeadCurve::by_shut_off_and_free_flow(shut_off_m, 2.0 * wanted)
                .map_err(Failure::input)?,
            power: PumpPower::Given { watts: 0.0 },
            self_priming: true,
        };
        let found = Operating::find(&h.circuit, &unit, &h.around).map_err(Failure::input)?;
        Ok((found, unit))
    };
    let (mut low, mut high) = (0.02_f64, HIGHEST_M);
    if with(high)?.0.flow_m3_s < wanted {
        return Err(Failure::input(
            "this much water needs more head through these heaters than any pump of a pool gives: check flow, bore and length, or plumb more circuits side by side",
        ));
    }
    let mut last = with(low)?;
    for _ in 0..60 {
        let middle = (low * high).sqrt();
        last = with(middle)?;
        if (last.0.flow_m3_s / wanted - 1.0).abs() < 1e-9 {
            break;
        }
        if last.0.flow_m3_s < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(Loop {
        found: last.0,
        unit: last.1,
        from: "given",
        factor: None,
        computed: None,
        measured_fault: None,
    })
}

fn said(kind: ArrangementKind, count: usize) -> String {
    let each = |lots: usize, how: &str| {
        if count.is_multiple_of(lots) {
            format!(", {} {how} in each", count / lots)
        } else {
            format!(", {} or {} {how} in each", count / lots, count / lots + 1)
        }
    };
    match kind {
        ArrangementKind::Series if count == 2 => "both in series".into(),
        ArrangementKind::SideBySide if count == 2 => "both side by side".into(),
        ArrangementKind::Series => format!("all {count} in series"),
        ArrangementKind::SideBySide => format!("all {count} side by side"),
        ArrangementKind::Strings { strings } => {
            format!(
                "{strings} strings side by side{}",
                each(strings, "in series")
            )
        }
        ArrangementKind::Groups { groups } => {
            format!("{groups} groups in series{}", each(groups, "side by side"))
        }
    }
}

fn ways(scenario: &Scenario, h: &Hydraulics, loop_: &Loop) -> Result<Vec<WaySummary>, Failure> {
    let plans = &scenario.plan.heaters;
    let pieces: Vec<Network> = h.heaters.iter().map(|b| b.network.clone()).collect();
    let planned = h.heaters_as_planned();
    let mut all: Vec<(String, Network, bool)> = if h.pump.is_some() && pieces.len() <= MOST_IN_WAYS
    {
        arrangements(&pieces)
            .into_iter()
            .map(|a| {
                let same = a.network == planned;
                (said(a.kind, pieces.len()), a.network, same)
            })
            .collect()
    } else {
        Vec::new()
    };
    // Two strings of one each, two groups of one each: the same as side by side and series.
    let mut seen: Vec<Network> = Vec::new();
    all.retain(|(_, network, _)| {
        let new = !seen.contains(network);
        seen.push(network.clone());
        new
    });
    if !all.iter().any(|a| a.2) {
        let name = if pieces.len() == 1 {
            "one heater"
        } else {
            "mixed"
        };
        all.push((name.to_owned(), planned, true));
    }
    let mut ways = Vec::new();
    for (name, network, as_planned) in all {
        let circuit = h.circuit_with(network.clone());
        let Some(found) = loop_.find(h, &circuit, &loop_.unit) else {
            continue;
        };
        let given = Heaters::at(plans, &found, 1.0).heat(&network)?;
        let works = found.flow_m3_s > NOTHING_M3_S && h.runs(&found);
        let stands = found
            .pieces
            .iter()
            .any(|p| p.part == Part::Heater && p.flow_m3_s.abs() < NOTHING_M3_S);
        ways.push(WaySummary {
            name,
            as_planned,
            works: works && !stands,
            flow_m3_s: found.flow_m3_s.max(0.0),
            heat_w: given.heat_w,
            heat_kwh_day: given.heat_w * heat::HOURS_A_DAY / 1e3,
            pump_w: h.pump.is_some().then_some(found.power.middle_w),
            curve: loop_.curve(h, &circuit),
        });
    }
    let watts = |w: &WaySummary| w.pump_w.unwrap_or(0.0);
    let alike = |a: f64, b: f64| (a - b).abs() < ALIKE * a.max(b);
    let better = |a: &WaySummary, b: &WaySummary| {
        b.works.cmp(&a.works).then_with(|| {
            if alike(a.heat_w, b.heat_w) && !alike(watts(a), watts(b)) {
                watts(a).total_cmp(&watts(b))
            } else {
                b.heat_w.total_cmp(&a.heat_w)
            }
        })
    };
    // An order with a tolerance is none for a sort: the best of what is left, again and again.
    let mut sorted = Vec::new();
    while let Some(best) = (0..ways.len()).reduce(|best, at| {
        if better(&ways[at], &ways[best]).is_lt() {
            at
        } else {
            best
        }
    }) {
        sorted.push(ways.remove(best));
    }
    Ok(sorted)
}
