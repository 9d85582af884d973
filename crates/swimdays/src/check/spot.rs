//! One reading, without any scenario.

use std::io::Write;
use std::path::Path;

use swimdays_check::Accuracy;
use swimdays_check::spot::{Pass, flow_sd_frac};
use swimdays_collector::{Heater, HeaterSpec, HeaterState};
use swimdays_quantity::{Kind, QuantityError, Units, bucket, parse};
use swimdays_report::check::{NoonHeat, SpotReport, spot_lines};

use super::CheckArgs;
use crate::Done;
use crate::args::UnitsArg;
use crate::delivery::WIDTH;
use crate::failure::{Failure, print};
use crate::flow::heat::{AIR_C, SUN_W_M2, noon};

/// Sun and wind at the two ends of a sunny noon: hazy and breezy, very clear and calm (own choice).
const ENDS: [(f64, f64); 2] = [(750.0, 2.5), (1000.0, 0.5)];
/// What else a home-built heater may fall short or do better by: the scenario's usual range.
const PERFORMANCE: (f64, f64) = (0.85, 1.1);
/// Outer diameter of the tube that stands for all: 0.70 in.
const TUBE_M: f64 = 0.017_78;

pub(super) fn run(args: &CheckArgs, out: &mut dyn Write) -> Done {
    for (given, what) in [
        (args.scenario.is_some(), "a scenario"),
        (args.log.is_some(), "--log"),
        (args.forecast.is_some(), "--forecast"),
        (args.write.is_some(), "--write"),
    ] {
        if given {
            return Err(Failure::input(format!(
                "{what} and a single reading with --flow, --in and --out do not go together: put the reading into a log (`swimdays check --template` prints one), or leave {what} out"
            )));
        }
    }
    let need = |name: &str, text: &Option<String>, example: &str| {
        text.clone().ok_or_else(|| {
            Failure::input(format!("--{name} is missing: a reading takes --flow, --in and --out, such as --{name} {example}"))
        })
    };
    let flow = need("flow", &args.flow, "\"2 gpm\"")?;
    let (inlet, outlet) = (
        need("in", &args.inlet, "70F")?,
        need("out", &args.out, "75F")?,
    );
    let units = match args.how.units {
        Some(UnitsArg::Us) => Units::Us,
        Some(UnitsArg::Metric) => Units::Metric,
        None if inlet.to_lowercase().contains('c') => Units::Metric,
        None => Units::Us,
    };
    let flow_m3_s = if flow.contains(" in ") {
        bucket(&flow).map(|(volume, seconds)| volume / seconds)
    } else {
        parse(&flow, Kind::Flow)
    };
    let flow_m3_s = quantity("flow", &flow, flow_m3_s, Kind::Flow, (1e-6, 0.1), units)?;
    let water = |name: &str, text: &str| {
        quantity(
            name,
            text,
            parse(text, Kind::Temperature),
            Kind::Temperature,
            (0.0, 99.0),
            units,
        )
    };
    let (inlet_c, outlet_c) = (water("in", &inlet)?, water("out", &outlet)?);
    let area_m2 = args
        .area
        .as_ref()
        .map(|text| {
            quantity(
                "area",
                text,
                parse(text, Kind::Area),
                Kind::Area,
                (0.05, 500.0),
                units,
            )
        })
        .transpose()?;

    let accuracy = Accuracy::default();
    let pass = Pass {
        flow_m3_s,
        flow_sd_frac: flow_sd_frac(&accuracy),
        inlet_c,
        outlet_c,
        one_thermometer: args.one_thermometer,
    };
    let heat = pass.heat(&accuracy);
    let with_one = Pass {
        one_thermometer: true,
        ..pass
    }
    .heat(&accuracy);
    let noon = noon_heat(
        area_m2.unwrap_or(1.0),
        flow_m3_s,
        inlet_c,
        area_m2.is_some(),
        heat.value_w,
    )?;
    let report = SpotReport {
        flow_m3_s,
        inlet_c,
        outlet_c,
        one_thermometer: args.one_thermometer,
        heat_w: heat.value_w,
        heat_low_w: heat.low_w,
        heat_high_w: heat.high_w,
        one_thermometer_half_frac: (with_one.high_w - with_one.low_w)
            / (2.0 * heat.value_w.abs().max(1e-9)),
        noon,
        area_given: area_m2.is_some(),
        verdict: SpotReport::judged(&heat, &noon, area_m2.is_some()),
    };
    if args.how.json {
        let mut bytes = Vec::new();
        report.write_json(&mut bytes).map_err(Failure::report)?;
        return print(out, format_args!("{}", String::from_utf8(bytes)?));
    }
    for line in spot_lines(&report, units, WIDTH) {
        print(out, format_args!("{line}\n"))?;
    }
    Ok(())
}

/// A quantity of the command line within its limits.
fn quantity(
    name: &str,
    text: &str,
    read: Result<f64, QuantityError>,
    kind: Kind,
    (low, high): (f64, f64),
    units: Units,
) -> Result<f64, Failure> {
    let value =
        read.map_err(|e| Failure::input(format!("--{name} \"{text}\" {e}; {}", e.advice())))?;
    if (low..=high).contains(&value) {
        return Ok(value);
    }
    Err(Failure::input(format!(
        "--{name} \"{text}\": allowed is {}; look at the unit",
        units.format_range(kind, low, high)
    )))
}

/// What `area_m2` of bare black tube gives at a sunny noon with this flow and inlet. Without an area of the builder's, the flow through a
/// square metre is the usual one: his whole flow would cool it more than any heater is cooled.
fn noon_heat(
    area_m2: f64,
    flow_m3_s: f64,
    inlet_c: f64,
    given: bool,
    measured_w: f64,
) -> Result<NoonHeat, Failure> {
    let usual = swimdays_report::flow::USUAL_FLOW_M3_S_M2 * area_m2;
    let flow_kg_s = 997.0 * if given { flow_m3_s } else { usual };
    let heater = Heater::new(&bare_tube(area_m2)?, flow_kg_s).map_err(Failure::input)?;
    let state = HeaterState {
        body_c: inlet_c,
        slab_c: [AIR_C; 4],
    };
    let run = |weather| heater.run(&weather, &state, inlet_c, flow_kg_s).heat_w;
    let bent = |(sun_w_m2, wind_m_s): (f64, f64)| {
        let mut weather = noon();
        let share = sun_w_m2 / SUN_W_M2;
        weather.beam_w_m2 *= share;
        weather.diffuse_w_m2 *= share;
        weather.wind_m_s = wind_m_s;
        run(weather)
    };
    Ok(NoonHeat {
        area_m2,
        heat_w: run(noon()),
        low_w: PERFORMANCE.0 * bent(ENDS[0]),
        high_w: PERFORMANCE.1 * bent(ENDS[1]),
        sun_w_m2: SUN_W_M2,
        air_c: AIR_C,
        efficiency_frac: measured_w / (SUN_W_M2 * area_m2),
    })
}

/// Black polyethylene tube, rows touching on a painted board, as the scenario takes it when little is said.
fn bare_tube(area_m2: f64) -> Result<HeaterSpec, Failure> {
    let text = format!(
        "[site]\nweather = \"given\"\n[pool]\nlength = \"8 m\"\nwidth = \"4 m\"\ndepth = \"1.4 m\"\n\
         [[heater]]\nname = \"heater\"\nkind = \"board\"\nfacing = \"S\"\ntilt = \"35 deg\"\n\
         tube = {{ material = \"polyethylene\", outer_diameter = \"{TUBE_M} m\", bore = \"0.0152 m\", length = \"{} m\" }}\n\
         board = {{ area = \"{} m2\", layout = \"rectangular-spiral\" }}\n[pump]\nflow = \"4 gpm\"\n",
        area_m2 / TUBE_M,
        1.3 * area_m2
    );
    let scenario = swimdays_scenario::parse(&text, "the usual heater", Path::new(""), &[])
        .map_err(Failure::input)?;
    let heater = scenario.plan.heaters.into_iter().next();
    heater
        .map(|h| h.spec)
        .ok_or_else(|| Failure::input("--area: no heater can be made of it"))
}
