//! The summary, the cautions and the terminal's lines, from real runs through the invented sample years.

#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "tests: a panic is a failed test, and copies are equal to the bit"
)]

#[path = "fixture/plan.rs"]
mod fixture;

use fixture::{plan, stepped, weather};
use serde_json::Value;
use swimdays_report::text::{MOST_LINES, season_lines};
use swimdays_report::{DayRange, MeasureDays, Summary, SummaryInput, Units};
use swimdays_season::{FirstSlug, OtherHeaterKind, OtherHeaterPlan, Plan, Season, Warning};
use swimdays_weather::WeatherYear;

fn range() -> DayRange {
    DayRange {
        low: 71,
        high: 118,
        draws: 64,
        method: "10 to 90 % of 64 draws".into(),
    }
}

fn measures() -> Vec<MeasureDays> {
    [("bare", 40, 0), ("cover", 83, 2), ("board", 42, 0)]
        .map(|(name, swim_days, too_hot_days)| MeasureDays {
            name: name.into(),
            swim_days,
            too_hot_days,
        })
        .to_vec()
}

fn summary(plan: &Plan, weather: &WeatherYear, season: &Season, units: Units) -> Summary {
    Summary::new(&SummaryInput {
        plan,
        weather,
        season,
        range: Some(&range()),
        measures: &measures(),
        units,
        years: &[],
        normals: None,
        warnings: &[],
        program_version: "0.0.0",
    })
}

/// serde_json's quick reader may miss the last bit of a number.
const LAST_BIT: f64 = 4.0 * f64::EPSILON;

fn is(found: &Value, wanted: f64) -> bool {
    (found.as_f64().unwrap() - wanted).abs() <= LAST_BIT * wanted.abs()
}

fn json(summary: &Summary) -> Value {
    let mut file = Vec::new();
    summary.write_json(&mut file).unwrap();
    serde_json::from_slice(&file).unwrap()
}

#[test]
fn the_object_has_the_agreed_keys_and_the_seasons_values() {
    let (plan, weather) = (plan(false, 1.0), weather("temperate"));
    let season = stepped(&plan, &weather);
    let v = json(&summary(&plan, &weather, &season, Units::Us));
    assert_eq!(v["swim_days"], season.swim_days);
    assert_eq!(v["swim_days_low"], 71);
    assert_eq!(v["swim_days_high"], 118);
    assert_eq!(v["too_hot_days"], season.too_hot_days);
    assert_eq!(
        v["first_swim_day"],
        season.first_swim_day.unwrap().to_string()
    );
    assert_eq!(
        v["last_swim_day"],
        season.last_swim_day.unwrap().to_string()
    );
    let months = v["swim_days_by_month"].as_array().unwrap();
    assert_eq!(months.len(), 12);
    assert_eq!(
        months.iter().map(|m| m.as_u64().unwrap()).sum::<u64>(),
        v["swim_days"].as_u64().unwrap()
    );
    let energy = v["energy_kwh"].as_object().unwrap();
    let names: Vec<_> = energy.keys().map(String::as_str).collect();
    let mut agreed = swimdays_season::Ledger::NAMES.to_vec();
    agreed.sort_unstable();
    assert_eq!(names, agreed);
    let sum: f64 = energy
        .iter()
        .map(|(k, v)| v.as_f64().unwrap() * if k == "stored_change" { -1.0 } else { 1.0 })
        .sum();
    assert!((sum - v["closure_residual_kwh"].as_f64().unwrap()).abs() < 1e-6);
    assert!(is(&energy["heaters"], season.heat_kwh.heaters));
    assert!(is(&v["pump_hours"], season.pump_hours));
    assert!(is(&v["pump_kwh"], season.pump_kwh));
    assert!(is(&v["pump_cost"], season.pump_kwh * 0.17));
    for key in ["min", "mean", "max"] {
        assert!(v["water_c"][key].is_number());
    }
    assert!(is(&v["peak_outlet_c"], season.peak_outlet_c.unwrap()));
    assert!(is(&v["first_slug_c"], season.first_slug.unwrap().water_c));
    assert!(is(
        &v["peak_stagnation_c"],
        season.peak_stagnation_c.unwrap()
    ));
    assert_eq!(v["plane"]["tilt_deg"], 35.0);
    assert_eq!(v["plane"]["azimuth_deg"], 180.0);
    assert_eq!(
        v["assumptions"].as_array().unwrap().len(),
        plan.assumptions.len()
    );
    for key in ["key", "value", "source"] {
        assert!(v["assumptions"][0][key].is_string());
    }
    for warning in v["warnings"].as_array().unwrap() {
        assert!(
            warning["kind"].is_string() && warning["count"].is_u64() && warning["text"].is_string()
        );
    }
    assert_eq!(v["weather"]["place"], weather.place.name.as_str());
    assert_eq!(v["weather"]["format"], "EPW");
    assert_eq!(v["program"]["name"], "swimdays");
    assert!(v.get("shown_in").is_none());
}

#[test]
fn what_there_is_not_is_null() {
    let mut plan = plan(false, 1.0);
    plan.heaters.clear();
    plan.pump = None;
    plan.prices.electricity_per_kwh = None;
    let weather = weather("temperate");
    let mut season = stepped(&plan, &weather);
    season.first_swim_day = None;
    season.water_min_c = f64::NAN;
    let mut s = summary(&plan, &weather, &season, Units::Metric);
    s.swim_days_low = None;
    let v = json(&s);
    for key in [
        "plane",
        "first_swim_day",
        "peak_outlet_c",
        "first_slug_c",
        "first_slug",
        "peak_stagnation_c",
        "pump_cost",
        "swim_days_low",
    ] {
        assert!(v.get(key).is_some_and(Value::is_null), "{key}");
    }
    assert!(v["water_c"]["min"].is_null());
}

/// A summary with everything in it, in either unit and at several widths.
#[test]
fn the_terminal_gets_at_most_25_lines_whatever_there_is_to_say() {
    // One of the 25 is the caller's: where the files are.
    assert_eq!(MOST_LINES, 24);
    for (south, stem, units) in [
        (false, "temperate", Units::Us),
        (true, "cool-south", Units::Metric),
    ] {
        let mut plan = plan(south, 1.0);
        plan.name =
            "A very long name of a pool \u{1b}[31m behind the house at the end of the lane".into();
        plan.other_heater = Some(OtherHeaterPlan {
            kind: OtherHeaterKind::Electric,
            heat_w: 9000.0,
            efficiency: 1.0,
            setpoint_c: 25.0,
            months: [true; 12],
        });
        let weather = weather(stem);
        let mut season = stepped(&plan, &weather);
        season.swim_days_by_month = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
        for kind in ["a", "b", "c", "d", "e"] {
            let text = "something to know that takes quite a number of words to say ".repeat(4);
            season.warnings.push(Warning {
                kind,
                count: 1234,
                text: text.into(),
            });
        }
        let mut s = summary(&plan, &weather, &season, units);
        let names = [
            "cover",
            "a heater with a name much too long for any line",
            "deck",
            "panel",
            "ordinary heater",
        ];
        for name in names {
            s.measures.push(MeasureDays {
                name: name.into(),
                swim_days: 120,
                too_hot_days: 33,
            });
        }
        for width in [20, 60, 72, 80, 100, 300] {
            let lines = season_lines(&s, width);
            assert!(
                lines.len() <= MOST_LINES,
                "{} lines at {width}",
                lines.len()
            );
            assert!(
                lines
                    .iter()
                    .all(|l| l.chars().count() <= width.clamp(60, 100)),
                "{width}: {lines:#?}"
            );
            // What can hurt and who decides is never among what was cut for room.
            let all = lines
                .join(" ")
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ");
            assert!(
                all.contains("Local codes and licensed practice decide; this certifies nothing."),
                "{width}"
            );
            assert!(all.contains("Weather: "), "{width}");
            assert!(lines.iter().all(|l| !l.is_empty() && !l.contains('\u{1b}')));
        }
    }
}

#[test]
fn the_first_five_lines_answer() {
    let (plan, weather) = (plan(false, 1.0), weather("temperate"));
    let season = stepped(&plan, &weather);
    let lines = season_lines(&summary(&plan, &weather, &season, Units::Us), 100);
    let head = lines[..5].join("\n");
    for wanted in [
        format!("{} swim days", season.swim_days),
        "likely 71 to 118".into(),
        format!("{} days too hot", season.too_hot_days),
        "bare pool 40 days".into(),
        "cover 83 days (+43)".into(),
        "board 42 days (+2)".into(),
        "Running cost: pumping $".into(),
        "caution".into(),
    ] {
        assert!(head.contains(&wanted), "“{wanted}” in\n{head}");
    }
    let all = lines.join("\n");
    for wanted in [
        "sun on the water",
        "evaporation",
        "first slug",
        "standing tube",
        "°F",
        "gal",
        "Assumed 5 values",
    ] {
        assert!(all.contains(wanted), "“{wanted}” in\n{all}");
    }
    assert!(plain(&lines).contains("Local codes and licensed practice decide"));
}

/// The lines without their breaks.
fn plain(lines: &[String]) -> String {
    let all = lines.join(" ");
    all.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_very_small_heater_is_called_little() {
    let (plan, weather) = (plan(false, 0.1), weather("temperate"));
    let season = stepped(&plan, &weather);
    let all = season_lines(&summary(&plan, &weather, &season, Units::Us), 100).join("\n");
    assert!(season.heat_kwh.heaters < 0.1 * season.heat_kwh.sun_on_water);
    // Lines are wrapped: compare without the breaks.
    let plain = all.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        plain.contains("of all heat taken in: little; the sun on the water gave"),
        "{all}"
    );
}

#[test]
fn hot_water_is_called_scalding_and_comes_first() {
    let (plan, weather) = (plan(false, 1.0), weather("temperate"));
    let mut season = stepped(&plan, &weather);
    let at = weather.first_start;
    season.first_slug = Some(FirstSlug {
        water_c: 60.0,
        litres: 9.0,
        seconds: 36.0,
        at,
    });
    season.peak_outlet_c = Some(35.0);
    season.peak_stagnation_c = Some(70.0);
    let s = summary(&plan, &weather, &season, Units::Us);
    assert_eq!(s.cautions[0].kind, "scald");
    // 70 °C is 158 °F, 60 °C is 140 °F, 49 °C is 120.2 °F.
    assert!(
        s.cautions[0]
            .short
            .starts_with("Scalds: first water out 140 °F, standing tube 158 °F")
    );
    let all = season_lines(&s, 100).join("\n");
    assert!(
        all.contains("SCALDS: above 120 °F")
            && all.contains("first slug after a stop 140 °F (2.4 gal in 36 s)")
    );

    season.first_slug = Some(FirstSlug {
        water_c: 40.0,
        litres: 9.0,
        seconds: 36.0,
        at,
    });
    season.peak_stagnation_c = Some(48.0);
    let mild = summary(&plan, &weather, &season, Units::Us);
    assert!(mild.cautions.iter().all(|c| c.kind != "scald"));
    assert!(!season_lines(&mild, 100).join("\n").contains("SCALDS"));
}

#[test]
fn cautions_follow_from_what_there_is() {
    let weather = weather("temperate");
    let full = plan(false, 1.0);
    let season = stepped(&full, &weather);
    let kinds = |plan: &Plan, season: &Season| -> Vec<&'static str> {
        summary(plan, &weather, season, Units::Us)
            .cautions
            .iter()
            .map(|c| c.kind)
            .collect()
    };
    let with = kinds(&full, &season);
    for kind in [
        "electricity",
        "cover",
        "suction",
        "wind",
        "shut_valves",
        "siphon",
        "climbing",
        "frost",
        "backflow",
    ] {
        assert!(with.contains(&kind), "{kind}");
    }
    assert!(!with.contains(&"roof") && kinds(&plan(true, 1.0), &season).contains(&"roof"));
    let mut bare = full.clone();
    bare.cover = None;
    bare.heaters.clear();
    bare.pump = None;
    let without = kinds(&bare, &stepped(&bare, &weather));
    for kind in ["electricity", "cover", "wind", "siphon", "scald"] {
        assert!(!without.contains(&kind), "{kind}");
    }
    let mut hot = season.clone();
    hot.water_max_c = 41.0;
    assert!(kinds(&full, &hot).contains(&"pool_far_too_hot"));
    hot.water_max_c = 33.0;
    assert!(kinds(&full, &hot).contains(&"pool_too_hot"));
    for caution in &summary(&full, &weather, &season, Units::Us).cautions {
        assert!(!caution.source.is_empty() && caution.text.len() > caution.short.len() / 2);
        assert!(
            caution.short.chars().count() <= 96,
            "“{}” fits a line",
            caution.short
        );
    }
}
