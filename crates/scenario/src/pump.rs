//! `[pump]`: flow, electricity, hours and what stops it.

use swimdays_pump::{
    Control, DifferentialControl, FlowSource, Limits, NightCooling, Pump, PumpKind, SensorPlace,
    Window, every_month,
};
use swimdays_quantity::{Kind, bucket};
use swimdays_season::PumpPlan;

use crate::cover::{hours, limit, limit_or_never};
use crate::plumbing::{PumpSource, pump_source};
use crate::section::Section;
use crate::walk::{Field, Usual, Walk};
use crate::words::source;

const KIND: Usual<&str> = Usual {
    value: "filter",
    source: source::OWN_CHOICE,
};
const EXTRA_POWER: Usual<f64> = Usual {
    value: 0.0,
    source: "a tee off the filter pump hardly changes what it draws: own estimate, no source",
};
const FILTER_POWER: Usual<f64> = Usual {
    value: 1100.0,
    source: source::PRACTICE,
};
const OWN_POWER: Usual<f64> = Usual {
    value: 300.0,
    source: "small utility pumps 250 to 350 W (from memory)",
};
const FILTER_HEAT: Usual<f64> = Usual {
    value: 0.3,
    source: "motor in air, 0.3 to 0.5: common practice, no source",
};
const OWN_HEAT: Usual<f64> = Usual {
    value: 0.5,
    source: "motor in air 0.3, under water 1: common practice, no source",
};
const CONTROL: Usual<&str> = Usual {
    value: "timer",
    source: source::OWN_CHOICE,
};
const ON_RISE: Usual<f64> = Usual {
    value: 4.0,
    source: "3 to 5 K: common practice, no source",
};
const OFF_RISE: Usual<f64> = Usual {
    value: 1.0,
    source: "1 to 2 K: common practice, no source",
};
const LEAST_RUN: Usual<f64> = Usual {
    value: 300.0,
    source: source::PRACTICE,
};
const STOP_BELOW_TOO_HOT_K: f64 = 3.0;
const STOP_ABOVE: &str = "3 K below too hot, where the cover comes off: own choice, no source";
const FROST_STOP_C: f64 = 2.0;
const CHECK_VALVE: Usual<bool> = Usual {
    value: true,
    source: source::OWN_CHOICE,
};
const PIPE_LENGTH: Usual<f64> = Usual {
    value: 20.0,
    source: source::OWN_CHOICE,
};
const PIPE_BORE: Usual<f64> = Usual {
    value: 0.038_1,
    source: source::PRACTICE,
};

/// Pump hours when nothing is said.
const HOURS: Window = Window {
    start_h: 9.0,
    end_h: 17.0,
};
/// Filter hours when nothing is said: some eight a day in a season (common practice, no source).
const FILTER_HOURS: Window = Window {
    start_h: 9.0,
    end_h: 17.0,
};

/// Flow that stands in where there is nothing to flow through, m³/s.
const IDLE_FLOW_M3_S: f64 = 2.5e-4;

/// Keys that concern filtering.
const FILTERING: [&str; 4] = [".kind", ".filter_power", ".filter_hours", ".heat_to_water"];

/// Plausible flows, m³/s: 0.05 L/min to 600 L/min.
const FLOW_M3_S: std::ops::RangeInclusive<f64> = 8e-7..=0.01;

#[derive(Clone, Copy, PartialEq)]
enum ControlWord {
    Timer,
    Sensor,
    Always,
    Never,
}

/// The pump; absent when nothing is written of it.
pub(crate) fn pump(
    walk: &mut Walk<'_>,
    root: &mut Section<'_>,
    has_heaters: bool,
    too_hot_c: f64,
    currency: &str,
) -> (Option<PumpPlan>, PumpSource) {
    let mut s = root.section(walk, "pump");
    let written = s.is_written();
    let noted = walk.assumptions.len();
    let own = s.word_or(walk, "kind", &[("filter", false), ("own", true)], KIND);
    let source = pump_source(walk, &mut s);
    let flow = flow(walk, &mut s, has_heaters && !source.written);
    let control = control(walk, &mut s);
    let kind = if own {
        own_pump(walk, &mut s)
    } else {
        filter_pump(walk, &mut s)
    };
    let heat_to_water_frac = s.number_or(
        walk,
        "heat_to_water",
        0.0..=1.0,
        if own { OWN_HEAT } else { FILTER_HEAT },
    );
    let water_limit_c = limit(
        walk,
        &mut s,
        "stop_above",
        too_hot_c - STOP_BELOW_TOO_HOT_K,
        STOP_ABOVE,
    );
    let frost_stop_c = limit(walk, &mut s, "frost_stop", FROST_STOP_C, source::PRACTICE);
    let cool_above = limit_or_never(walk, &mut s, "cool_above", 10.0..=45.0);
    let check_valve = s.flag_or(walk, "check_valve", CHECK_VALVE);
    let connecting_length_m =
        s.quantity_or(walk, "pipe_length", Kind::Length, 0.0..=500.0, PIPE_LENGTH);
    let connecting_bore_m = s.quantity_or(walk, "pipe_bore", Kind::Length, 0.003..=0.2, PIPE_BORE);
    let cost = s.price(walk, "cost", Kind::Money, currency);
    s.read_elsewhere(walk, "life_years");
    s.finish(walk);
    if !written {
        walk.assumptions.truncate(noted);
        return (None, source);
    }
    if !has_heaters {
        // Without heaters it only filters: what concerns them is of no interest.
        let mut at = 0;
        walk.assumptions.retain(|a| {
            at += 1;
            at <= noted || FILTERING.iter().any(|key| a.key.ends_with(key))
        });
    }
    let plan = PumpPlan {
        pump: Pump {
            flow,
            kind,
            heat_to_water_frac,
        },
        control,
        limits: Limits {
            water_limit_c,
            frost_stop_c,
            night_cooling: cool_above
                .given()
                .flatten()
                .map(|above_water_c| NightCooling { above_water_c }),
        },
        check_valve,
        connecting_length_m,
        connecting_bore_m,
        cost: cost.given(),
    };
    (Some(plan), source)
}

fn flow(walk: &mut Walk<'_>, s: &mut Section<'_>, has_heaters: bool) -> FlowSource {
    let flow = s.quantity(walk, "flow", Kind::Flow, FLOW_M3_S);
    let by_bucket = s.parsed(
        walk,
        "bucket",
        "a bucket test, such as \"5 gal in 75 s\"",
        bucket,
    );
    let idle = FlowSource::Given {
        flow_m3_s: IDLE_FLOW_M3_S,
    };
    if s.conflict(walk, "bucket", "flow") {
        return idle;
    }
    match (flow, by_bucket) {
        (Field::Given(flow_m3_s), _) => FlowSource::Given { flow_m3_s },
        (_, Field::Given((volume_m3, seconds))) => {
            let flow_m3_s = volume_m3 / seconds;
            if !FLOW_M3_S.contains(&flow_m3_s) {
                let allowed =
                    walk.units
                        .format_range(Kind::Flow, *FLOW_M3_S.start(), *FLOW_M3_S.end());
                let problem = format!(
                    "makes a flow of {}, which is not plausible",
                    walk.units.format_short(Kind::Flow, flow_m3_s, 2)
                );
                s.wrong(
                    walk,
                    "bucket",
                    problem,
                    allowed,
                    "check the volume and the time",
                );
            }
            FlowSource::Bucket { volume_m3, seconds }
        }
        (Field::Absent, Field::Absent) => {
            if has_heaters && s.is_written() {
                s.missing(
                    walk,
                    "flow",
                    "a flow, such as \"4 gpm\"; bucket = \"5 gal in 75 s\"; or the pump: curve, shut_off_head with free_flow, or class",
                    "hold a bucket under the return, at its height, and take the time",
                );
            }
            idle
        }
        _ => idle,
    }
}

fn own_pump(walk: &mut Walk<'_>, s: &mut Section<'_>) -> PumpKind {
    let power_w = s.quantity_or(walk, "power", Kind::Power, 0.0..=20_000.0, OWN_POWER);
    for (key, kind) in [("filter_power", Some(Kind::Power)), ("filter_hours", None)] {
        match kind {
            Some(kind) => drop(s.quantity(walk, key, kind, 0.0..=20_000.0)),
            None => drop(s.parsed(walk, key, "hours of the day", swimdays_quantity::day_hours)),
        }
        s.misplaced(
            walk,
            key,
            "kind",
            "belongs to kind = \"filter\"",
            "take it out, or set kind = \"filter\"",
        );
    }
    PumpKind::Own { power_w }
}

fn filter_pump(walk: &mut Walk<'_>, s: &mut Section<'_>) -> PumpKind {
    let extra_power_w = s.quantity_or(walk, "power", Kind::Power, 0.0..=20_000.0, EXTRA_POWER);
    let power_w = s.quantity_or(
        walk,
        "filter_power",
        Kind::Power,
        0.0..=20_000.0,
        FILTER_POWER,
    );
    let filter_hours = match s.parsed(
        walk,
        "filter_hours",
        "hours of the day",
        swimdays_quantity::day_hours,
    ) {
        Field::Absent => {
            walk.assume(s.key("filter_hours"), "9:00-17:00".into(), source::PRACTICE);
            every_month(&[FILTER_HOURS])
        }
        other => other
            .map(|list| {
                let windows: Vec<Window> = list
                    .iter()
                    .map(|h| Window {
                        start_h: h.start_h,
                        end_h: h.end_h,
                    })
                    .collect();
                every_month(&windows)
            })
            .or(every_month(&[])),
    };
    PumpKind::Filter {
        power_w,
        extra_power_w,
        hours: filter_hours,
    }
}

/// When it runs.
fn control(walk: &mut Walk<'_>, s: &mut Section<'_>) -> Control {
    let controls = [
        ("timer", ControlWord::Timer),
        ("sensor", ControlWord::Sensor),
        ("always", ControlWord::Always),
        ("never", ControlWord::Never),
    ];
    let word = s.word_or(walk, "control", &controls, CONTROL);
    let within = hours(walk, s, "hours", None);
    let on_rise = s.quantity(walk, "on_rise", Kind::TemperatureDifference, 0.1..=50.0);
    let off_rise = s.quantity(walk, "off_rise", Kind::TemperatureDifference, -5.0..=50.0);
    let least_run = s.quantity(walk, "least_run", Kind::Duration, 0.0..=7200.0);
    if word != ControlWord::Sensor {
        for key in ["on_rise", "off_rise", "least_run"] {
            s.misplaced(
                walk,
                key,
                "control",
                "belongs to control = \"sensor\"",
                "take it out, or set control = \"sensor\"",
            );
        }
    }
    match word {
        ControlWord::Never => Control::Never,
        ControlWord::Always => {
            for key in ["hours", "hours_by_month"] {
                s.misplaced(
                    walk,
                    key,
                    "control",
                    "has no meaning with control = \"always\"",
                    "take it out, or set control = \"timer\"",
                );
            }
            Control::Always
        }
        ControlWord::Timer => {
            if within.is_absent() {
                walk.assume(s.key("hours"), "9:00-17:00".into(), source::OWN_CHOICE);
            }
            Control::Timer(within.or(every_month(&[HOURS])))
        }
        ControlWord::Sensor => {
            let kelvin = |value: &f64, units: swimdays_quantity::Units| {
                units.format_short(Kind::TemperatureDifference, *value, 1)
            };
            let on_k = s.or_assume(walk, "on_rise", on_rise, ON_RISE, kelvin);
            let off_k = s.or_assume(walk, "off_rise", off_rise, OFF_RISE, kelvin);
            let least_run_s = s.or_assume(walk, "least_run", least_run, LEAST_RUN, |seconds, _| {
                format!("{} min", seconds / 60.0)
            });
            if on_k <= off_k {
                let key = if s.has("on_rise") {
                    "on_rise"
                } else {
                    "off_rise"
                };
                let show = |k| walk.units.format_short(Kind::TemperatureDifference, k, 1);
                let problem = format!(
                    "starts at a rise of {} and stops at {}",
                    show(on_k),
                    show(off_k)
                );
                s.wrong(
                    walk,
                    key,
                    problem,
                    "a start above the stop",
                    "raise on_rise or lower off_rise",
                );
            }
            Control::Differential(DifferentialControl {
                on_k,
                off_k,
                sensor: SensorPlace::Board,
                least_run_s,
                within: within.given(),
            })
        }
    }
}
