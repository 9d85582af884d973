//! Values written back into a scenario's text, comments and order kept.

use toml_edit::{Array, DocumentMut, InlineTable, Item, Table, TableLike, Value};

use crate::ScenarioErrors;
use crate::set::{HEATER_KEYS, instead_of};

/// `text` with each `(path, value)` of `changes` written into it; comments, order and spacing stay.
///
/// Paths and values are those of `--set`: heaters by name, a value that is not TOML is text. What says the same
/// thing in another way is taken out (`pool.volume` takes out `pool.depth`). The result is not checked.
///
/// # Errors
/// [`ScenarioErrors`] when the text is not TOML or a path leads nowhere.
pub fn with_values(text: &str, changes: &[(String, String)]) -> Result<String, ScenarioErrors> {
    let mut document: DocumentMut = text.parse().map_err(|error: toml_edit::TomlError| {
        ScenarioErrors::one(
            "scenario".into(),
            "",
            format!("cannot be read: {}", error.message()),
            "",
        )
    })?;
    for (path, value) in changes {
        let steps: Vec<&str> = path.split('.').map(str::trim).collect();
        put(document.as_table_mut(), &steps, value).map_err(|problem| {
            ScenarioErrors::one(
                "scenario".into(),
                path,
                problem,
                "write it like heater.board.tilt",
            )
        })?;
    }
    Ok(document.to_string())
}

/// A value that was learnt, and what is said of it beside it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LearntValue {
    /// As for [`with_values`].
    pub path: String,
    /// As for [`with_values`].
    pub value: String,
    /// Where it comes from, one line.
    pub note: String,
}

/// As [`with_values`], with each old value kept in a comment behind the new one: `wind_at_water = 0.27   # learnt; was wind = "suburban"`.
///
/// # Errors
/// As [`with_values`].
pub fn with_learnt(text: &str, learnt: &[LearntValue]) -> Result<String, ScenarioErrors> {
    let mut out = text.to_owned();
    for one in learnt {
        let before: DocumentMut = out.parse().unwrap_or_default();
        let mut after: DocumentMut = with_values(&out, &[(one.path.clone(), one.value.clone())])?
            .parse()
            .unwrap_or_default();
        let gone = gone(before.as_table(), after.as_table());
        let note = one.note.replace(['\n', '\r'], " ");
        let comment = if gone.is_empty() {
            format!("   # {note}; was left out")
        } else {
            format!("   # {note}; was {}", gone.join(", "))
        };
        let steps: Vec<&str> = one.path.split('.').map(str::trim).collect();
        if let Some(value) = find(after.as_table_mut(), &steps) {
            let old = value
                .decor()
                .suffix()
                .and_then(|s| s.as_str())
                .unwrap_or("")
                .trim()
                .to_owned();
            let kept = if old.is_empty() {
                String::new()
            } else {
                format!(" {}", old.trim_start_matches('#'))
            };
            value.decor_mut().set_suffix(format!("{comment}.{kept}"));
        }
        out = after.to_string();
    }
    Ok(out)
}

/// Values that stood in `before` and stand otherwise or not at all in `after`, as they were written.
fn gone(before: &dyn TableLike, after: &dyn TableLike) -> Vec<String> {
    let mut out = Vec::new();
    for (key, item) in before.iter() {
        let now = after.get(key);
        match (item, now) {
            (Item::Value(Value::InlineTable(old)), Some(Item::Value(Value::InlineTable(new)))) => {
                out.extend(gone(old, new));
            }
            (Item::Value(old), now) => {
                let old = old.clone().decorated("", "").to_string();
                let same = now
                    .and_then(Item::as_value)
                    .is_some_and(|new| new.clone().decorated("", "").to_string() == old);
                if !same {
                    out.push(format!("{key} = {old}"));
                }
            }
            (Item::Table(old), Some(Item::Table(new))) => out.extend(gone(old, new)),
            (Item::ArrayOfTables(old), Some(Item::ArrayOfTables(new))) => {
                for (old, new) in old.iter().zip(new.iter()) {
                    out.extend(gone(old, new));
                }
            }
            _ => {}
        }
    }
    out
}

/// The value that `steps` lead to, where it stands on a line of its own.
fn find<'t>(root: &'t mut Table, steps: &[&str]) -> Option<&'t mut Value> {
    let (key, parents) = steps.split_last()?;
    let mut table = root;
    let mut parents = parents.iter();
    while let Some(step) = parents.next() {
        table = match table.get_mut(step)? {
            Item::Table(inner) => inner,
            Item::ArrayOfTables(list) => {
                let name = parents.next()?;
                list.iter_mut()
                    .find(|t| t.get("name").and_then(Item::as_str) == Some(*name))?
            }
            _ => return None,
        };
    }
    table.get_mut(key)?.as_value_mut()
}

fn put(root: &mut Table, steps: &[&str], value: &str) -> Result<(), String> {
    let Some((key, parents)) = steps.split_last() else {
        return Ok(());
    };
    if steps.iter().any(|step| step.is_empty()) {
        return Err("has an empty step in its path".into());
    }
    let mut table: &mut dyn TableLike = root;
    let mut schema = String::new();
    let mut parents = parents.iter();
    while let Some(step) = parents.next() {
        for other in instead_of(&schema, step) {
            table.remove(other);
        }
        schema = if schema.is_empty() {
            (*step).to_owned()
        } else {
            format!("{schema}.{step}")
        };
        let in_line = schema != *step && !table_is_standard(table);
        let item = table.entry(step).or_insert_with(|| {
            if in_line {
                Item::Value(InlineTable::new().into())
            } else {
                Item::Table(Table::new())
            }
        });
        table = if item.is_array_of_tables() || item.is_array() {
            let name = parents
                .next()
                .ok_or_else(|| format!("does not say which {schema}"))?;
            member(item, &schema, name)?
        } else {
            item.as_table_like_mut()
                .ok_or_else(|| format!("`{schema}` is a single value"))?
        };
    }
    if schema == "heater" && !HEATER_KEYS.contains(key) {
        let kind = table.get("kind").and_then(Item::as_str).map(str::to_owned);
        if let Some(kind) = kind.filter(|k| ["board", "deck", "panel"].contains(&k.as_str())) {
            schema = format!("heater.{kind}");
            table = table
                .entry(&kind)
                .or_insert_with(|| Item::Table(Table::new()))
                .as_table_like_mut()
                .ok_or_else(|| format!("`{schema}` is a single value"))?;
        }
    }
    for other in instead_of(&schema, key) {
        table.remove(other);
    }
    let mut value = literal(value);
    match table.get_mut(key) {
        Some(Item::Value(old)) => {
            *value.decor_mut() = old.decor().clone();
            *old = value;
        }
        _ => {
            table.insert(key, Item::Value(value));
        }
    }
    Ok(())
}

/// A table that was opened with a header has further tables opened with headers as well.
fn table_is_standard(table: &dyn TableLike) -> bool {
    table.iter().all(|(_, item)| !item.is_none()) && !table.is_dotted()
}

fn member<'i>(
    item: &'i mut Item,
    schema: &str,
    name: &str,
) -> Result<&'i mut dyn TableLike, String> {
    let missing = || format!("there is no {schema} `{name}`");
    let numbered = || {
        name.parse::<usize>()
            .ok()
            .and_then(|n| n.checked_sub(1))
            .ok_or_else(missing)
    };
    let is_it = |table: &dyn TableLike| table.get("name").and_then(Item::as_str) == Some(name);
    match item {
        Item::ArrayOfTables(tables) => {
            let at = if schema == "heater" || schema == "plumbing.run" {
                tables.iter().position(|t| is_it(t)).ok_or_else(missing)?
            } else {
                numbered()?
            };
            tables
                .get_mut(at)
                .map(|t| t as &mut dyn TableLike)
                .ok_or_else(missing)
        }
        Item::Value(Value::Array(list)) => {
            let at = if schema == "heater" || schema == "plumbing.run" {
                position(list, is_it).ok_or_else(missing)?
            } else {
                numbered()?
            };
            list.get_mut(at)
                .and_then(Value::as_inline_table_mut)
                .map(|t| t as &mut dyn TableLike)
                .ok_or_else(missing)
        }
        _ => Err(missing()),
    }
}

fn position(list: &Array, is_it: impl Fn(&dyn TableLike) -> bool) -> Option<usize> {
    list.iter()
        .position(|v| v.as_inline_table().is_some_and(|t| is_it(t)))
}

/// A value as it stands in TOML, or text.
fn literal(text: &str) -> Value {
    match text.trim().parse::<Value>() {
        Ok(Value::Datetime(_)) | Err(_) => Value::from(text.trim()),
        Ok(value) => value,
    }
}
