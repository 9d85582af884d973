//! `--set path=value`: one value changed before the scenario is checked.
//!
//! A path is written as in messages: `pool.cover.kind`, `heater.board.tube.length`; heaters by their names, other
//! repeated tables by number from 1. After a heater's name a key of its board, deck or panel may follow directly:
//! `heater.board.area`. A set value takes the place of what says the same thing in another way: `pool.volume`
//! puts `pool.depth` out of force.

use crate::document::{Entry, Node, Place, Table, Value, read_value};
use crate::walk::{Walk, nearest};

/// Keys that a heater has itself; others are looked for in the table of its kind.
pub(crate) const HEATER_KEYS: &[&str] = &[
    "name",
    "kind",
    "facing",
    "tilt",
    "wind",
    "wind_at_heater",
    "wind_at_heater_range",
    "height",
    "cost",
    "life_years",
    "performance",
    "performance_range",
    "side_by_side",
    "tube",
    "board",
    "deck",
    "panel",
    "plumbing",
    "shade",
];

/// Table (heaters without names), key, and the keys that a set value of it puts out of force.
const INSTEAD: &[(&str, &str, &[&str])] = &[
    ("site", "weather", &["normals"]),
    ("site", "normals", &["weather", "fill"]),
    ("site.normals", "sun", &["sunshine"]),
    ("site.normals", "sunshine", &["sun"]),
    ("site.normals", "dew_point", &["humidity"]),
    ("site.normals", "humidity", &["dew_point"]),
    ("site", "wind", &["wind_at_water", "wind_at_water_range"]),
    ("site", "wind_at_water", &["wind", "wind_at_water_range"]),
    ("pool", "depth", &["volume"]),
    ("pool", "volume", &["depth"]),
    ("pool", "area", &["length", "width", "diameter", "shape"]),
    ("pool", "diameter", &["length", "width", "area", "shape"]),
    ("pool", "length", &["diameter", "area", "shape"]),
    ("pool", "width", &["diameter", "area", "shape"]),
    ("pool.shade", "elevation", &["height", "distance"]),
    ("pool.shade", "height", &["elevation"]),
    ("pool.shade", "distance", &["elevation"]),
    ("pool.cover", "on", &["on_by_month"]),
    ("pool.cover", "on_by_month", &["on"]),
    (
        "pool.cover",
        "remaining_evaporation",
        &["remaining_evaporation_range"],
    ),
    ("pool", "sun_factor", &["sun_factor_range"]),
    (
        "heater",
        "wind",
        &["wind_at_heater", "wind_at_heater_range"],
    ),
    (
        "heater",
        "wind_at_heater",
        &["wind", "wind_at_heater_range"],
    ),
    ("heater", "performance", &["performance_range"]),
    ("heater.shade", "elevation", &["height", "distance"]),
    ("heater.shade", "height", &["elevation"]),
    ("heater.shade", "distance", &["elevation"]),
    ("heater.board", "area", &["length", "width"]),
    ("heater.board", "length", &["area"]),
    ("heater.board", "width", &["area"]),
    ("pump", "flow", &["bucket"]),
    ("pump", "bucket", &["flow"]),
    ("pump", "curve", &["shut_off_head", "free_flow", "class"]),
    ("pump", "shut_off_head", &["curve", "class"]),
    ("pump", "free_flow", &["curve", "class"]),
    ("pump", "class", &["curve", "shut_off_head", "free_flow"]),
    ("pump", "hours", &["hours_by_month"]),
    ("pump", "hours_by_month", &["hours"]),
];

/// Keys of a table that say the same thing as `key` in another way.
pub(crate) fn instead_of<'k>(
    schema: &'k str,
    key: &'k str,
) -> impl Iterator<Item = &'static str> + 'k {
    INSTEAD
        .iter()
        .filter(move |(s, k, _)| *s == schema && *k == key)
        .flat_map(|(_, _, other)| *other)
        .copied()
}

/// Applies all sets in order; what cannot be applied is reported. Those from number `own` on are an option's: they put out
/// of force what those before them say in another way.
pub(crate) fn apply(root: &mut Table, sets: &[String], own: usize, walk: &mut Walk<'_>) {
    for (at, set) in sets.iter().enumerate() {
        let place = Place::Set(at);
        let weaker = if at < own { 0 } else { own };
        let Some((path, value)) = set.split_once('=') else {
            walk.report(
                &place,
                "",
                String::new(),
                "has no `=`",
                "path=value",
                "write it like pool.cover.kind=none",
            );
            continue;
        };
        let node = read_value(value, at);
        let steps: Vec<&str> = path.trim().split('.').map(str::trim).collect();
        if let Err((problem, advice)) = put(root, &steps, node, &place, weaker) {
            walk.report(&place, path.trim(), String::new(), problem, "", advice);
        }
    }
}

type Refusal = (String, String);

fn put(
    root: &mut Table,
    steps: &[&str],
    node: Node,
    place: &Place,
    weaker: usize,
) -> Result<(), Refusal> {
    let Some((key, parents)) = steps.split_last() else {
        return Ok(());
    };
    if steps.iter().any(|step| step.is_empty()) {
        return Err((
            "has an empty step in its path".into(),
            "write it like pool.cover.kind=none".into(),
        ));
    }
    let mut table = root;
    let mut schema = String::new();
    let mut steps = parents.iter().peekable();
    while let Some(step) = steps.next() {
        put_out_of_force(table, &schema, step, weaker);
        if !schema.is_empty() {
            schema.push('.');
        }
        schema.push_str(step);
        let is_list =
            ["heater", "plumbing.run", "option"].contains(&schema.as_str()) || step == &"shade";
        let make = || {
            if is_list {
                Value::List(Vec::new())
            } else {
                Value::Table(Table::default())
            }
        };
        let inner = table.entry(step, place, make);
        table = match &mut inner.value {
            Value::Table(inner) => inner,
            Value::List(list) => {
                let Some(name) = steps.next() else {
                    return Err(which(&schema, list));
                };
                member(&schema, list, name)?
            }
            _ => {
                return Err((
                    format!("`{schema}` is a single value, nothing can be set inside it"),
                    String::new(),
                ));
            }
        };
    }
    if schema.is_empty() && *key == "heater" {
        return Err((
            "needs the name of a heater and a key".into(),
            "write it like heater.board.tilt=30 deg".into(),
        ));
    }
    if schema == "heater" && !HEATER_KEYS.contains(key) {
        // A key of the piece itself: heater.NAME.area is heater.NAME.board.area.
        if let Some(Value::Text(kind)) = table.get("kind").map(|n| n.value.clone())
            && ["board", "deck", "panel"].contains(&kind.as_str())
        {
            schema = format!("heater.{kind}");
            let inner = table.entry(&kind, place, || Value::Table(Table::default()));
            if let Value::Table(inner) = &mut inner.value {
                set_key(inner, &schema, key, node, place, weaker);
                return Ok(());
            }
        }
    }
    set_key(table, &schema, key, node, place, weaker);
    Ok(())
}

/// Takes out what the file, or one of the first `weaker` sets, says in another way.
fn put_out_of_force(table: &mut Table, schema: &str, key: &str, weaker: usize) {
    for other in instead_of(schema, key) {
        if table.get(other).is_some_and(|n| match n.place {
            Place::File(_) => true,
            Place::Set(at) => at < weaker,
        }) {
            table.remove(other);
        }
    }
}

fn set_key(table: &mut Table, schema: &str, key: &str, node: Node, place: &Place, weaker: usize) {
    put_out_of_force(table, schema, key, weaker);
    match table.entries.iter_mut().find(|e| e.key == key) {
        Some(entry) => {
            entry.node = node;
            entry.key_place = place.clone();
        }
        None => table.entries.push(Entry {
            key: key.to_owned(),
            key_place: place.clone(),
            node,
        }),
    }
}

/// The member of a list of tables that a step names.
fn member<'l>(schema: &str, list: &'l mut [Node], name: &str) -> Result<&'l mut Table, Refusal> {
    let refusal = which(schema, list);
    let missing = || {
        let near = names(list);
        let advice = nearest(name, near.iter().map(String::as_str))
            .map_or(refusal.1.clone(), |near| {
                format!("did you mean `{schema}.{near}`?")
            });
        (format!("there is no {schema} `{name}`"), advice)
    };
    let at = if schema == "heater" || schema == "plumbing.run" {
        list.iter().position(|n| name_of(n) == Some(name))
    } else {
        name.parse::<usize>()
            .ok()
            .and_then(|n| n.checked_sub(1))
            .filter(|n| *n < list.len())
    };
    let at = at.ok_or_else(missing)?;
    match &mut list[at].value {
        Value::Table(table) => Ok(table),
        _ => Err(refusal),
    }
}

fn name_of(node: &Node) -> Option<&str> {
    match &node.value {
        Value::Table(table) => match &table.get("name")?.value {
            Value::Text(name) => Some(name),
            _ => None,
        },
        _ => None,
    }
}

fn names(list: &[Node]) -> Vec<String> {
    list.iter().filter_map(name_of).map(str::to_owned).collect()
}

fn which(schema: &str, list: &[Node]) -> Refusal {
    let advice = if schema == "heater" {
        let names = names(list);
        if names.is_empty() {
            "the scenario has no heater".to_owned()
        } else {
            format!("the heaters are called {}", names.join(", "))
        }
    } else {
        match list.len() {
            0 => "the scenario has none".to_owned(),
            1 => "there is one, called 1".to_owned(),
            many => format!("there are {many}, counted from 1"),
        }
    };
    (format!("does not say which {schema}"), advice)
}
