//! `[pool]`: how big it is, what holds the water, what it loses.

use std::f64::consts::{FRAC_PI_4, PI};

use swimdays_pool::{EvaporationModel, Finish, GroundSpec, SunOnWater, WallKind};
use swimdays_properties::materials::{GroundMaterial, ShellMaterial};
use swimdays_quantity::Kind;
use swimdays_season::{MonthDay, PoolPlan, Ranged, Shell};

use crate::section::Section;
use crate::shade::shades;
use crate::walk::{Field, Usual, Walk};
use crate::words::{source, words};

const KIND: Usual<&str> = Usual {
    value: "in-ground",
    source: source::OWN_CHOICE,
};
const FINISH: Usual<&str> = Usual {
    value: "light",
    source: source::OWN_CHOICE,
};
const GROUND: Usual<&str> = Usual {
    value: "moist soil",
    source: source::OWN_CHOICE,
};
const SHELL: Usual<&str> = Usual {
    value: "concrete",
    source: source::OWN_CHOICE,
};
const WALL: Usual<&str> = Usual {
    value: "steel",
    source: source::OWN_CHOICE,
};
const INSULATION: Usual<f64> = Usual {
    value: 0.0,
    source: source::PRACTICE,
};
const EVAPORATION: Usual<&str> = Usual {
    value: "smith-lof-jones",
    source: "Smith, Löf & Jones (1994), Solar Energy 53(1):3",
};
const ACTIVITY: Usual<f64> = Usual {
    value: 0.5,
    source: "ASHRAE Handbook, HVAC Applications, natatoriums: residential pool (from memory)",
};
const BATHING: Usual<f64> = Usual {
    value: 2.0 * 3600.0,
    source: source::OWN_CHOICE,
};
const BATHING_FACTOR: Usual<f64> = Usual {
    value: 1.4,
    source: "active use 40 to 70 % above quiet water: Smith and others (1998), ASHRAE Transactions 104(1A)",
};
const SPLASH: Usual<f64> = Usual {
    value: 1.0,
    source: source::ESTIMATE,
};
const BACKWASH: Usual<f64> = Usual {
    value: 0.0,
    source: source::OWN_CHOICE,
};
const SUN_FACTOR: Usual<Ranged> = Usual {
    value: Ranged {
        value: 1.0,
        low: 0.95,
        high: 1.05,
    },
    source: "own estimate of what weather files and the colour of the finish leave open, no source",
};

/// From the shell to soil that keeps its yearly course, m.
const GROUND_DEPTH: Usual<f64> = Usual {
    value: 4.0,
    source: source::PRACTICE,
};

/// Perimeter of a pool of free shape over the root of its area: a rectangle twice as long as wide.
const FREE_PERIMETER: f64 = 4.242_640_687_119_285;

#[derive(Clone, Copy, PartialEq)]
enum Shape {
    Rectangle,
    Round,
    Oval,
    Free,
}

/// Surface and what follows from it.
struct Outline {
    area_m2: f64,
    perimeter_m: f64,
}

pub(crate) fn pool(
    walk: &mut Walk<'_>,
    s: &mut Section<'_>,
    wind_at_water_frac: Ranged,
) -> PoolPlan {
    let outline = outline(walk, s);
    let depth_m = depth(walk, s, outline.area_m2);
    let shell = shell(walk, s, &outline, depth_m);
    let finish = s.word_or(walk, "finish", &words(&Finish::ALL, Finish::name), FINISH);
    let models = words(&EvaporationModel::ALL, EvaporationModel::name);
    let evaporation = s.word_or(walk, "evaporation", &models, EVAPORATION);
    let activity = s.number(walk, "activity", 0.1..=2.0);
    let activity_frac = if evaporation == EvaporationModel::Ashrae {
        s.or_assume(walk, "activity", activity, ACTIVITY, |value, _| {
            value.to_string()
        })
    } else {
        s.misplaced(
            walk,
            "activity",
            "evaporation",
            "belongs to the evaporation model \"ashrae\"",
            "take it out, or set evaporation = \"ashrae\"",
        );
        ACTIVITY.value
    };
    let bathing = s.quantity_or(
        walk,
        "bathing_hours",
        Kind::Duration,
        0.0..=86_400.0,
        BATHING,
    );
    let bathing_factor = s.number_or(walk, "bathing_factor", 1.0..=3.0, BATHING_FACTOR);
    let splash = s.quantity_or(walk, "splash", Kind::WaterDepthRate, 0.0..=50.0, SPLASH);
    // At most 10 m³ a day.
    let backwash = s.quantity(walk, "backwash", Kind::Flow, 0.0..=1.2e-4);
    let backwash = s.or_assume(walk, "backwash", backwash, BACKWASH, |_, _| "none".into());
    let (opens, closes) = season(walk, s);
    let start = s.quantity(walk, "start", Kind::Temperature, 0.0..=45.0);
    let sun_factor = sun_factor(walk, s);
    let obstructions = shades(walk, s);
    PoolPlan {
        area_m2: outline.area_m2,
        volume_m3: outline.area_m2 * depth_m,
        shell,
        wind_at_water_frac,
        sun: SunOnWater {
            finish_reflectance_frac: finish.reflectance_frac().value,
            mean_depth_m: depth_m,
        },
        sun_factor,
        obstructions,
        evaporation,
        activity_frac,
        bathing_factor,
        bathing_h_per_day: bathing / 3600.0,
        splash_kg_m2_day: splash,
        backwash_m3_week: backwash * 7.0 * 86_400.0,
        opens,
        closes,
        start_c: start.given(),
    }
}

fn outline(walk: &mut Walk<'_>, s: &mut Section<'_>) -> Outline {
    let shapes = [
        ("rectangle", Shape::Rectangle),
        ("round", Shape::Round),
        ("oval", Shape::Oval),
        ("free", Shape::Free),
    ];
    let named = s.word(walk, "shape", &shapes);
    let length = s.quantity(walk, "length", Kind::Length, 1.0..=100.0);
    let width = s.quantity(walk, "width", Kind::Length, 1.0..=60.0);
    let diameter = s.quantity(walk, "diameter", Kind::Length, 1.0..=60.0);
    let area = s.quantity(walk, "area", Kind::Area, 1.0..=5000.0);
    let sides = !(length.is_absent() && width.is_absent());
    let shape = match named {
        Field::Given(shape) => shape,
        Field::Wrong => {
            return Outline {
                area_m2: 20.0,
                perimeter_m: 18.0,
            };
        }
        Field::Absent if !diameter.is_absent() => Shape::Round,
        Field::Absent if !area.is_absent() && !sides => Shape::Free,
        Field::Absent => Shape::Rectangle,
    };
    let wanted: &[&str] = match shape {
        Shape::Rectangle | Shape::Oval => &["length", "width"],
        Shape::Round => &["diameter"],
        Shape::Free => &["area"],
    };
    let name = shapes
        .iter()
        .find(|(_, s)| *s == shape)
        .map_or("", |(name, _)| name);
    if !matches!(named, Field::Given(_)) && s.is_written() {
        walk.assume(s.key("shape"), name.to_owned(), "from the measures given");
    }
    for key in ["length", "width", "diameter", "area"] {
        let is_wanted = wanted.contains(&key);
        if s.has(key) && !is_wanted {
            let problem = format!("does not belong to the shape \"{name}\"");
            let advice = format!(
                "take it out, or name the shape; \"{name}\" needs {}",
                wanted.join(" and ")
            );
            s.wrong(walk, key, problem, wanted.join(" and "), advice);
        } else if !s.has(key) && is_wanted && s.is_written() {
            let kind = if key == "area" {
                Kind::Area
            } else {
                Kind::Length
            };
            let allowed = format!("{kind}, such as {}", kind.examples());
            s.missing(
                walk,
                key,
                &allowed,
                &format!("the shape \"{name}\" needs {}", wanted.join(" and ")),
            );
        }
    }
    let (l, w, d, a) = (
        length.or(6.0),
        width.or(3.0),
        diameter.or(4.6),
        area.or(20.0),
    );
    match shape {
        Shape::Rectangle => Outline {
            area_m2: l * w,
            perimeter_m: 2.0 * (l + w),
        },
        Shape::Round => Outline {
            area_m2: FRAC_PI_4 * d * d,
            perimeter_m: PI * d,
        },
        Shape::Oval => Outline {
            area_m2: FRAC_PI_4 * l * w,
            perimeter_m: ellipse_perimeter(l, w),
        },
        Shape::Free => Outline {
            area_m2: a,
            perimeter_m: FREE_PERIMETER * a.sqrt(),
        },
    }
}

/// Perimeter of an ellipse: `π(a+b)[1 + 3h/(10 + √(4−3h))]`, `h = ((a−b)/(a+b))²`.
/// Source: Ramanujan (1914), second approximation; within 0.01 % for pools.
fn ellipse_perimeter(length_m: f64, width_m: f64) -> f64 {
    let (a, b) = (length_m / 2.0, width_m / 2.0);
    let h = ((a - b) / (a + b)).powi(2);
    PI * (a + b) * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()))
}

/// Plausible mean depths, m.
const DEPTH_M: std::ops::RangeInclusive<f64> = 0.1..=6.0;

fn depth(walk: &mut Walk<'_>, s: &mut Section<'_>, area_m2: f64) -> f64 {
    let depth = s.quantity(walk, "depth", Kind::Length, DEPTH_M);
    let volume = s.quantity(walk, "volume", Kind::Volume, 0.1..=30_000.0);
    match (depth, volume) {
        (Field::Absent, Field::Absent) => {
            if s.is_written() {
                s.missing(
                    walk,
                    "depth",
                    "depth, the mean one, such as \"4 ft 6 in\"; or volume, such as \"9,700 gal\"",
                    "measure at the shallow and the deep end and take the middle",
                );
            }
            1.4
        }
        (Field::Absent, Field::Given(volume)) => {
            let depth = volume / area_m2;
            if !DEPTH_M.contains(&depth) {
                let units = walk.units;
                let problem = format!(
                    "makes the pool {} deep on its area",
                    units.format_short(Kind::Length, depth, 2)
                );
                let allowed = format!(
                    "a mean depth of {}",
                    units.format_range(Kind::Length, *DEPTH_M.start(), *DEPTH_M.end())
                );
                s.wrong(
                    walk,
                    "volume",
                    problem,
                    allowed,
                    "check the volume and the pool's measures",
                );
            }
            depth
        }
        (depth, Field::Absent) => depth.or(1.4),
        (depth, _) => {
            s.conflict(walk, "volume", "depth");
            depth.or(1.4)
        }
    }
}

fn shell(walk: &mut Walk<'_>, s: &mut Section<'_>, outline: &Outline, depth_m: f64) -> Shell {
    let above = s.word_or(
        walk,
        "kind",
        &[("in-ground", false), ("above-ground", true)],
        KIND,
    );
    let grounds = words(
        &[
            GroundMaterial::DrySand,
            GroundMaterial::MoistSoil,
            GroundMaterial::WetClay,
        ],
        GroundMaterial::name,
    );
    let soil = s.word_or(walk, "ground", &grounds, GROUND);
    let insulation = s.quantity_or(walk, "insulation", Kind::Resistance, 0.0..=20.0, INSULATION);
    let thickness = s.quantity(walk, "shell_thickness", Kind::Length, 0.0003..=1.0);
    let ground_depth_m =
        s.quantity_or(walk, "ground_depth", Kind::Length, 0.5..=30.0, GROUND_DEPTH);
    if above {
        let kind = s.word_or(walk, "shell", &words(&WallKind::ALL, WallKind::name), WALL);
        s.misplaced(
            walk,
            "shell_thickness",
            "kind",
            "belongs to an in-ground pool",
            "take it out; walls above ground are described by `shell` and `insulation`",
        );
        let floor = ShellMaterial::Liner;
        return Shell::AboveGround {
            walls: kind.walls(outline.perimeter_m * depth_m, insulation),
            floor: GroundSpec {
                shell_thickness_m: floor.customary_thickness_m(),
                shell: floor,
                insulation_m2_k_w: 0.0,
                ground: soil,
                depth_m: ground_depth_m,
            },
        };
    }
    let shell = s.word_or(
        walk,
        "shell",
        &words(&ShellMaterial::ALL, ShellMaterial::name),
        SHELL,
    );
    let usual = Usual {
        value: shell.customary_thickness_m(),
        source: source::PRACTICE,
    };
    let shell_thickness_m =
        s.or_assume(walk, "shell_thickness", thickness, usual, |value, units| {
            units.format_small_length(*value, 2)
        });
    Shell::InGround {
        ground: GroundSpec {
            shell_thickness_m,
            shell,
            insulation_m2_k_w: insulation,
            ground: soil,
            depth_m: ground_depth_m,
        },
        contact_area_m2: outline.area_m2 + outline.perimeter_m * depth_m,
    }
}

fn season(walk: &mut Walk<'_>, s: &mut Section<'_>) -> (MonthDay, MonthDay) {
    const ALLOWED: &str = "a day of the year, such as \"05-01\" (month-day) or \"May 1\"";
    let opens = s.parsed(walk, "opens", ALLOWED, swimdays_quantity::month_day);
    let closes = s.parsed(walk, "closes", ALLOWED, swimdays_quantity::month_day);
    for (this, other) in [("opens", "closes"), ("closes", "opens")] {
        if s.has(this) && !s.has(other) {
            s.missing(
                walk,
                other,
                ALLOWED,
                &format!("give `{other}` as well, or leave out `{this}` for a pool open all year"),
            );
        }
    }
    if opens.is_absent() && closes.is_absent() {
        walk.assume(s.key("opens"), "open all year".into(), source::OWN_CHOICE);
    }
    let day = |d: swimdays_quantity::MonthDay| MonthDay {
        month: d.month,
        day: d.day,
    };
    (
        opens.map(day).or(MonthDay { month: 1, day: 1 }),
        closes.map(day).or(MonthDay { month: 12, day: 31 }),
    )
}

fn sun_factor(walk: &mut Walk<'_>, s: &mut Section<'_>) -> Ranged {
    let factor = s.number(walk, "sun_factor", 0.05..=1.5);
    let range = s.pair(walk, "sun_factor_range", 0.0..=2.0);
    ranged(walk, s, "sun_factor", factor, range, SUN_FACTOR)
}

/// A number with its range: both given, the number alone (the default's width scaled), or the default.
pub(crate) fn ranged(
    walk: &mut Walk<'_>,
    s: &Section<'_>,
    key: &str,
    value: Field<f64>,
    range: Field<(f64, f64)>,
    default: Usual<Ranged>,
) -> Ranged {
    let usual = default.value;
    let show = |r: &Ranged| format!("{} ({:.2} to {:.2})", r.value, r.low, r.high);
    let range_key = format!("{key}_range");
    let was_given = matches!(value, Field::Given(_));
    let middle = value.or(usual.value);
    match range {
        Field::Given((low, high)) => {
            if low <= middle && middle <= high {
                if !was_given {
                    walk.assume(s.key(key), usual.value.to_string(), default.source);
                }
                return Ranged {
                    value: middle,
                    low,
                    high,
                };
            }
            s.wrong(
                walk,
                &range_key,
                format!("does not contain {key} = {middle}"),
                "",
                "give the low end and the high end around it",
            );
            Ranged::exact(middle)
        }
        _ => {
            let scale = middle / usual.value;
            let r = Ranged {
                value: middle,
                low: usual.low * scale,
                high: usual.high * scale,
            };
            let key = if was_given {
                s.key(&range_key)
            } else {
                s.key(key)
            };
            walk.assume(key, show(&r), default.source);
            r
        }
    }
}
