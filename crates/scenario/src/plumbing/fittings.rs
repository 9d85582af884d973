//! Fittings as a builder writes them: `"4 elbow"`, `"2 barb 0.5 in"`, `"ball valve 50 % open"`.

use swimdays_pump::hydraulics::{Fitting, FittingKind, Valve};
use swimdays_quantity::{Kind, parse};

use crate::document::{Node, Value};
use crate::section::Section;
use crate::walk::{Field, Walk, nearest};

/// What may stand in a list of fittings.
const ALLOWED: &str =
    "a list such as [\"4 elbow\", \"1 ball valve\", \"2 barb 0.5 in\", \"check valve\"]";
/// A barb's insert is so much narrower than the tube when its bore is not written (own estimate, no source).
pub(crate) const INSERT_FRAC: f64 = 0.8;
/// Angle of a bought reducer's cone, degrees (own estimate, no source).
const REDUCER_DEG: f64 = 60.0;

/// What follows a name.
#[derive(Clone, Copy, PartialEq)]
enum Takes {
    Nothing,
    Bore,
    Opening,
    Number,
}

const NAMES: [(&str, Takes); 17] = [
    ("elbow", Takes::Nothing),
    ("sweep elbow", Takes::Nothing),
    ("45-degree elbow", Takes::Nothing),
    ("bend", Takes::Nothing),
    ("tee", Takes::Nothing),
    ("tee through", Takes::Nothing),
    ("tee branch", Takes::Nothing),
    ("ball valve", Takes::Opening),
    ("gate valve", Takes::Opening),
    ("globe valve", Takes::Opening),
    ("check valve", Takes::Nothing),
    ("entrance", Takes::Nothing),
    ("exit", Takes::Nothing),
    ("barb", Takes::Bore),
    ("reducer", Takes::Bore),
    ("coefficient", Takes::Number),
    ("union", Takes::Nothing),
];

/// Of a gentle half turn of tube: two 90° bends of 0.2 (0.15 to 0.3 for wide bends: common practice, no source).
pub(crate) const HALF_TURN_K: f64 = 0.4;

fn one(name: &str, rest: &str, bore_m: f64) -> Result<FittingKind, String> {
    let opening = || -> Result<f64, String> {
        if rest.is_empty() {
            return Ok(1.0);
        }
        let number = rest.trim_end_matches("open").trim().trim_end_matches('%');
        number
            .trim()
            .parse::<f64>()
            .ok()
            .filter(|p| (0.0..=100.0).contains(p))
            .map(|p| p / 100.0)
            .ok_or_else(|| format!("`{rest}` does not say how far it is open, such as 50 % open"))
    };
    let bore = || {
        parse(rest, Kind::Length)
            .ok()
            .filter(|m| (1e-3..=0.2).contains(m))
            .ok_or_else(|| format!("`{rest}` is no bore, such as 0.5 in"))
    };
    let valve = |valve| opening().map(|open_frac| FittingKind::Valve { valve, open_frac });
    Ok(match name {
        "elbow" => FittingKind::Elbow,
        "sweep elbow" => FittingKind::SweepElbow,
        "45-degree elbow" => FittingKind::Elbow45,
        "bend" => FittingKind::Given {
            k: HALF_TURN_K / 2.0,
        },
        "tee" | "tee through" => FittingKind::TeeThrough,
        "tee branch" => FittingKind::TeeBranch,
        "ball valve" => valve(Valve::Ball)?,
        "gate valve" => valve(Valve::Gate)?,
        "globe valve" => valve(Valve::Globe)?,
        "check valve" => FittingKind::CheckValve,
        "entrance" => FittingKind::EntranceSharp,
        "exit" => FittingKind::Exit,
        "barb" if rest.is_empty() => FittingKind::Barb {
            insert_bore_m: INSERT_FRAC * bore_m,
        },
        "barb" => FittingKind::Barb {
            insert_bore_m: bore()?,
        },
        "reducer" if rest.is_empty() => return Err("does not say to which bore".into()),
        "reducer" => FittingKind::Reducer {
            to_bore_m: bore()?,
            angle_deg: REDUCER_DEG,
        },
        "coefficient" => FittingKind::Given {
            k: rest
                .parse::<f64>()
                .ok()
                .filter(|k| (0.0..=1e4).contains(k))
                .ok_or_else(|| {
                    format!("`{rest}` is no loss coefficient, such as coefficient 2.5")
                })?,
        },
        // Threaded union (Crane TP-410, from memory).
        _ => FittingKind::Given { k: 0.08 },
    })
}

/// What is wrong, and what to do.
type Fault = (String, String);

/// One entry of the list for a tube of this bore.
pub(crate) fn fitting(text: &str, bore_m: f64) -> Result<Fitting, Fault> {
    let lower = text.trim().to_lowercase();
    let (count, name) = match lower.split_once(char::is_whitespace) {
        Some((number, rest)) if number.trim_end_matches('x').parse::<u32>().is_ok() => (
            number.trim_end_matches('x').parse::<u32>().unwrap_or(1),
            rest.trim(),
        ),
        _ => (1, lower.as_str()),
    };
    let many = "write up to 500 of one kind".to_owned();
    if count > 500 {
        return Err((format!("{count} of one fitting are not plausible"), many));
    }
    let begins = |known: &str| -> Option<String> {
        let rest = name.strip_prefix(known)?;
        let rest = rest.strip_prefix('s').unwrap_or(rest);
        (rest.is_empty() || rest.starts_with(char::is_whitespace)).then(|| rest.trim().to_owned())
    };
    // The longest name that fits: "tee branch" before "tee".
    let found = NAMES
        .iter()
        .filter_map(|(known, takes)| Some((*known, *takes, begins(known)?)))
        .max_by_key(|(known, ..)| known.len());
    let known = || {
        let names: Vec<&str> = NAMES.iter().map(|n| n.0).collect();
        format!("known are {}", names.join(", "))
    };
    let Some((known_name, takes, rest)) = found else {
        let near = nearest(name, NAMES.iter().map(|n| n.0));
        let advice = near.map_or_else(known, |near| format!("did you mean \"{near}\"?"));
        return Err((format!("`{name}` is no fitting known here"), advice));
    };
    if takes == Takes::Nothing && !rest.is_empty() {
        let near = nearest(name, NAMES.iter().map(|n| n.0)).filter(|n| *n != known_name);
        let advice = near.map_or_else(
            || format!("write \"{count} {known_name}\""),
            |near| format!("did you mean \"{near}\"?"),
        );
        return Err((
            format!("`{rest}` behind {known_name} means nothing"),
            advice,
        ));
    }
    let kind = one(known_name, &rest, bore_m).map_err(|problem| {
        (
            problem,
            "see docs/scenario.md for what may follow".to_owned(),
        )
    })?;
    let fitting = Fitting {
        kind,
        count,
        bore_m: None,
    };
    kind.check(known_name, bore_m).map_err(|error| {
        (
            error.to_string(),
            "check the fitting against the tube's bore".to_owned(),
        )
    })?;
    Ok(fitting)
}

/// The list behind a key, for a tube of this bore.
pub(crate) fn fittings(
    walk: &mut Walk<'_>,
    s: &mut Section<'_>,
    key: &str,
    bore_m: f64,
) -> Field<Vec<Fitting>> {
    let Some(node) = s.ask(walk, key) else {
        return Field::Absent;
    };
    let list: &[Node] = match &node.value {
        Value::List(list) => list,
        Value::Text(_) => std::slice::from_ref(node),
        _ => {
            s.wrong_type(walk, key, node, ALLOWED);
            return Field::Wrong;
        }
    };
    let mut all = Vec::new();
    for item in list {
        let Value::Text(text) = &item.value else {
            s.wrong_type(walk, key, item, ALLOWED);
            return Field::Wrong;
        };
        match fitting(text, bore_m) {
            Ok(fitting) => all.push(fitting),
            Err((problem, advice)) => {
                walk.report(
                    &item.place,
                    &s.key(key),
                    item.shown(),
                    problem,
                    ALLOWED,
                    advice,
                );
                return Field::Wrong;
            }
        }
    }
    Field::Given(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_names_and_what_follows() {
        let of = |text: &str| fitting(text, 0.02).unwrap_or_else(|e| panic!("{text}: {e:?}"));
        assert_eq!(of("4 elbows").count, 4);
        assert_eq!(of("2x tee branch").kind, FittingKind::TeeBranch);
        assert_eq!(of("tee").kind, FittingKind::TeeThrough);
        assert_eq!(of("45-degree elbow").kind, FittingKind::Elbow45);
        let FittingKind::Barb { insert_bore_m } = of("2 barb 0.5 in").kind else {
            panic!("a barb")
        };
        // By hand: half an inch is 12.7 mm.
        assert!((insert_bore_m - 0.0127).abs() < 1e-12);
        let half = FittingKind::Valve {
            valve: Valve::Ball,
            open_frac: 0.5,
        };
        assert_eq!(of("1 ball valve 50 % open").kind, half);
    }

    #[test]
    fn a_misspelt_one_names_the_nearest() {
        let (problem, advice) = fitting("3 elbw", 0.02).unwrap_err();
        assert!(
            problem.contains("elbw") && advice.contains("\"elbow\""),
            "{advice}"
        );
        assert!(fitting("reducer", 0.02).is_err());
        assert!(fitting("ball valve wide", 0.02).is_err());
        assert!(fitting("elbow 3", 0.02).is_err());
    }
}
