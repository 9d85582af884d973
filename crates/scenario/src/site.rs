//! `[site]`, `[swim]`, `[other_heater]`, `[prices]` and `[models]`.

use std::path::Path;

use swimdays_pool::Surroundings;
use swimdays_quantity::{Kind, format_clock, parse_price};
use swimdays_season::{
    Models, OtherHeaterKind, OtherHeaterPlan, Prices, Ranged, SitePlan, SummerTime, SwimPlan,
};
use swimdays_solar::{Orbit, TranspositionModel};
use swimdays_weather::ReadOptions;

use crate::document::{Node, Table, Value};
use crate::section::Section;
use crate::source::{self, WeatherSource};
use crate::walk::{Field, Usual, Walk};
use crate::words::{source as from, words};

const SUMMER_TIME: Usual<&str> = Usual {
    value: "none",
    source: from::OWN_CHOICE,
};
const WIND: Usual<&str> = Usual {
    value: "suburban",
    source: "class and 0.30: ISO/TR 12596 as quoted by Kalogirou, Solar Energy Engineering, chapter 5; its range is an own estimate",
};
const TARGET_C: Usual<f64> = Usual {
    value: 26.0,
    source: from::PRACTICE,
};
const TOO_HOT_C: Usual<f64> = Usual {
    value: 32.0,
    source: from::PRACTICE,
};
const SWIM_HOURS: Usual<(f64, f64)> = Usual {
    value: (15.0, 19.0),
    source: from::OWN_CHOICE,
};
const SKY_ON_PLANE: Usual<&str> = Usual {
    value: "perez",
    source: "Perez and others (1990), Solar Energy 44(5):271",
};
const ALL_MONTHS: Usual<[bool; 12]> = Usual {
    value: [true; 12],
    source: from::OWN_CHOICE,
};

/// How far above the target an ordinary heater holds the water, K: held at the target itself, the least loss makes it fall
/// short.
const SETPOINT_ABOVE_TARGET_K: f64 = 0.5;
const SETPOINT: &str =
    "0.5 K above the swimming target, so that it does not fall short of it: own choice, no source";

/// Share by which a wind share given without its range may be off either way.
const WIND_RANGE: Usual<f64> = Usual {
    value: 0.25,
    source: from::ESTIMATE,
};

/// What `[site]` says.
pub(crate) struct Site {
    pub(crate) plan: SitePlan,
    /// `None` when none is named in a way that can be used.
    pub(crate) weather: Option<WeatherSource>,
    pub(crate) read: ReadOptions,
    pub(crate) wind_at_water: Ranged,
    /// The class, when one was named or assumed.
    pub(crate) surroundings: Option<Surroundings>,
}

impl Site {
    /// For a scenario without `[site]`, which is refused.
    pub(crate) fn stand_in() -> Self {
        Self {
            plan: SitePlan {
                summer_time: SummerTime::None,
                ground_albedo_frac: None,
            },
            weather: None,
            read: ReadOptions::default(),
            wind_at_water: Ranged::exact(0.3),
            surroundings: None,
        }
    }
}

pub(crate) fn site(walk: &mut Walk<'_>, root: &mut Section<'_>, folder: &Path) -> Site {
    let mut s = root.section(walk, "site");
    let (weather, read) = source::source(walk, &mut s, folder);
    let summer_time = s.word_or(
        walk,
        "summer_time",
        &[
            ("none", SummerTime::None),
            ("us", SummerTime::Us),
            ("eu", SummerTime::Eu),
        ],
        SUMMER_TIME,
    );
    let albedo = s.number(walk, "ground_albedo", 0.0..=1.0);
    if albedo.is_absent() {
        walk.assume(
            s.key("ground_albedo"),
            "the weather file's, or 0.2 where it has none".into(),
            "grass: customary 0.2, Liu & Jordan (1963)",
        );
    }
    let (wind_at_water, surroundings) = wind(
        walk,
        &mut s,
        "wind_at_water",
        WIND,
        &|class: Surroundings| {
            let span = class.wind_at_water_frac();
            Ranged {
                value: span.value,
                low: span.low,
                high: span.high,
            }
        },
        &words(&Surroundings::ALL, Surroundings::name),
    );
    s.finish(walk);
    Site {
        plan: SitePlan {
            summer_time,
            ground_albedo_frac: albedo.given(),
        },
        weather,
        read,
        wind_at_water,
        surroundings,
    }
}

/// `wind`, a class, or in its place a share of the station's wind under `key`, with `key_range`.
pub(crate) fn wind<T: Copy>(
    walk: &mut Walk<'_>,
    s: &mut Section<'_>,
    key: &str,
    default: Usual<&'static str>,
    of_class: &dyn Fn(T) -> Ranged,
    classes: &[(&'static str, T)],
) -> (Ranged, Option<T>) {
    let range_key = format!("{key}_range");
    let share = s.number(walk, key, 0.02..=1.5);
    let range = s.pair(walk, &range_key, 0.0..=2.0);
    if s.conflict(walk, "wind", key) || !matches!(share, Field::Absent) {
        // A class beside it is still read, so that a misspelt one is reported.
        let _ = s.word(walk, "wind", classes);
        let value = share.or(0.3);
        let ranged = match range {
            Field::Given((low, high)) if low <= value && value <= high => {
                Ranged { value, low, high }
            }
            Field::Given(_) => {
                s.wrong(
                    walk,
                    &range_key,
                    format!("does not contain {key} = {value}"),
                    "",
                    "give the low end and the high end around it",
                );
                Ranged::exact(value)
            }
            _ => {
                let by = WIND_RANGE.value;
                let ranged = Ranged {
                    value,
                    low: value * (1.0 - by),
                    high: value * (1.0 + by),
                };
                let text = format!("{:.2} to {:.2}", ranged.low, ranged.high);
                walk.assume(s.key(&range_key), text, WIND_RANGE.source);
                ranged
            }
        };
        return (ranged, None);
    }
    if !range.is_absent() {
        s.wrong(
            walk,
            &range_key,
            format!("stands without {key}"),
            "",
            format!("give {key} as well"),
        );
    }
    let class = s.word(walk, "wind", classes);
    let stand_in = classes
        .iter()
        .find(|(word, _)| *word == default.value)
        .map(|(_, class)| *class);
    if class.is_absent()
        && let Some(class) = stand_in
    {
        let r = of_class(class);
        let text = format!(
            "{}: {} ({} to {}) of the station's wind",
            default.value, r.value, r.low, r.high
        );
        walk.assume(s.key("wind"), text, default.source);
    }
    let class = class.given().or(stand_in);
    (class.map_or(Ranged::exact(0.3), of_class), class)
}

pub(crate) fn swim(walk: &mut Walk<'_>, root: &mut Section<'_>) -> SwimPlan {
    let mut s = root.section(walk, "swim");
    let target_c = s.quantity_or(walk, "target", Kind::Temperature, 10.0..=40.0, TARGET_C);
    let too_hot_c = s.quantity_or(walk, "too_hot", Kind::Temperature, 15.0..=45.0, TOO_HOT_C);
    if too_hot_c <= target_c {
        let key = if s.has("too_hot") {
            "too_hot"
        } else {
            "target"
        };
        let show = |c| walk.units.format_short(Kind::Temperature, c, 1);
        let problem = format!(
            "too_hot ({}) is not above target ({})",
            show(too_hot_c),
            show(target_c)
        );
        s.wrong(
            walk,
            key,
            problem,
            "a band of water that one swims in",
            "raise too_hot or lower target",
        );
    }
    let hours = s.parsed(walk, "hours", "one stretch of hours of the day", |text| {
        swimdays_quantity::day_hours(text)
    });
    let hours = match hours {
        Field::Given(windows) => match windows.as_slice() {
            [one] if one.end_h > one.start_h => Field::Given((one.start_h, one.end_h)),
            _ => {
                s.wrong(
                    walk,
                    "hours",
                    "is not one stretch within a day",
                    "one stretch such as \"15:00-19:00\", not over midnight",
                    "choose the hours in which the water must be warm",
                );
                Field::Wrong
            }
        },
        Field::Absent => Field::Absent,
        Field::Wrong => Field::Wrong,
    };
    let (from_h, to_h) = s.or_assume(walk, "hours", hours, SWIM_HOURS, |(from, to), _| {
        format!("{}-{}", format_clock(*from), format_clock(*to))
    });
    s.finish(walk);
    SwimPlan {
        target_c,
        too_hot_c,
        from_h,
        to_h,
    }
}

pub(crate) fn other_heater(
    walk: &mut Walk<'_>,
    root: &mut Section<'_>,
    target_c: f64,
) -> Option<OtherHeaterPlan> {
    let mut s = root.section(walk, "other_heater");
    let kinds = [
        ("gas", Some(OtherHeaterKind::Gas)),
        ("heat-pump", Some(OtherHeaterKind::HeatPump)),
        ("electric", Some(OtherHeaterKind::Electric)),
        ("none", None),
    ];
    let kind = s.word(walk, "kind", &kinds);
    s.read_elsewhere(walk, "cost");
    s.read_elsewhere(walk, "life_years");
    let written = s.is_written();
    if written && kind.is_absent() {
        s.missing(
            walk,
            "kind",
            "\"gas\", \"heat-pump\", \"electric\" or \"none\"",
            "say what kind it is",
        );
    }
    let heats = matches!(kind, Field::Given(Some(_)));
    let power = s.quantity(walk, "power", Kind::Power, 100.0..=500_000.0);
    if heats && power.is_absent() {
        s.missing(
            walk,
            "power",
            "a power, such as \"12 kW\" or \"40,000 Btu/h\"",
            "write the heat that it gives to the water at full power",
        );
    }
    let kind = kind.given().flatten();
    // Condensing heaters reach more, old ones less; heat pumps are rated near 5 in warm air.
    let usual = match kind {
        Some(OtherHeaterKind::HeatPump) => 5.0,
        Some(OtherHeaterKind::Electric) => 1.0,
        _ => 0.82,
    };
    let usual = Usual {
        value: usual,
        source: from::PRACTICE,
    };
    let (efficiency, setpoint_c, months) = {
        let efficiency = s.number(walk, "efficiency", 0.1..=15.0);
        let setpoint = s.quantity(walk, "setpoint", Kind::Temperature, 5.0..=40.0);
        let months = s.parsed(
            walk,
            "months",
            "months, such as \"May-Sep\" or \"all\"",
            swimdays_quantity::months,
        );
        if heats {
            let above_target = Usual {
                value: target_c + SETPOINT_ABOVE_TARGET_K,
                source: SETPOINT,
            };
            (
                s.or_assume(walk, "efficiency", efficiency, usual, |value, _| {
                    value.to_string()
                }),
                s.or_assume(walk, "setpoint", setpoint, above_target, |c, units| {
                    units.format_short(Kind::Temperature, *c, 1)
                }),
                s.or_assume(walk, "months", months, ALL_MONTHS, |_, _| "all".into()),
            )
        } else {
            (usual.value, target_c, ALL_MONTHS.value)
        }
    };
    s.finish(walk);
    Some(OtherHeaterPlan {
        kind: kind?,
        heat_w: power.or(0.0),
        efficiency,
        setpoint_c,
        months,
    })
}

/// The currency of the scenario: named, or the first that is written anywhere.
pub(crate) fn currency(walk: &mut Walk<'_>, root: &mut Section<'_>, tree: &Table) -> String {
    let mut s = root.section(walk, "prices");
    match s.text(walk, "currency") {
        Field::Given(name) if !name.trim().is_empty() => name.trim().to_owned(),
        Field::Given(_) => {
            s.wrong(
                walk,
                "currency",
                "is empty",
                "a sign or a code such as \"$\" or \"EUR\"",
                "name it or leave it out",
            );
            String::new()
        }
        _ => written_currency(tree).unwrap_or_else(|| "$".to_owned()),
    }
}

fn written_currency(table: &Table) -> Option<String> {
    table
        .entries
        .iter()
        .find_map(|entry| currency_in(&entry.node))
}

fn currency_in(node: &Node) -> Option<String> {
    match &node.value {
        Value::Text(text) => [Kind::EnergyPrice, Kind::VolumePrice, Kind::Money]
            .into_iter()
            .find_map(|kind| parse_price(text, kind).ok()?.currency),
        Value::List(list) => list.iter().find_map(currency_in),
        Value::Table(table) => written_currency(table),
        _ => None,
    }
}

pub(crate) fn prices(walk: &mut Walk<'_>, root: &mut Section<'_>, currency: String) -> Prices {
    let mut s = root.section(walk, "prices");
    s.read_elsewhere(walk, "currency");
    let electricity = s.price(walk, "electricity", Kind::EnergyPrice, &currency);
    let gas = s.price(walk, "gas", Kind::EnergyPrice, &currency);
    let water = s.price(walk, "water", Kind::VolumePrice, &currency);
    s.finish(walk);
    Prices {
        currency,
        electricity_per_kwh: electricity.given(),
        gas_per_kwh: gas.given(),
        water_per_m3: water.given(),
    }
}

pub(crate) fn models(walk: &mut Walk<'_>, root: &mut Section<'_>) -> Models {
    let mut s = root.section(walk, "models");
    let models = words(&TranspositionModel::ALL, TranspositionModel::name);
    let transposition = s.word_or(walk, "sky_on_plane", &models, SKY_ON_PLANE);
    s.finish(walk);
    Models {
        transposition,
        orbit: Orbit::Real,
    }
}
