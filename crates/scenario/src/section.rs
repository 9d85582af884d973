//! One table of the scenario: which keys it has, which were asked for, what is wrong with them.

use crate::document::{Node, Place, Table, Value};
use crate::walk::{Walk, joined, nearest};

/// What is said of a key that must be there and is not.
pub(crate) const MISSING: &str = "is missing";

/// A key of a table, and a value for it, to show how it is written.
fn key_inside(schema: &str) -> (&'static str, &'static str) {
    match schema {
        "site" => ("wind", "sheltered"),
        "site.normals" => ("table", "my-town.csv"),
        "pool" => ("depth", "4 ft 6 in"),
        "swim" => ("target", "79 F"),
        "heater.tube" => ("length", "200 ft"),
        "heater.board" | "heater.panel" => ("area", "32 ft2"),
        "heater.deck" => ("spacing", "6 in"),
        "pump" => ("control", "never"),
        "plumbing" => ("returns", "pool"),
        "shop" => ("coats", "2"),
        "build" => ("place", "roof"),
        "heater.plumbing" => ("high", "5 ft"),
        "prices" => ("electricity", "0.17 $/kWh"),
        "models" => ("sky_on_plane", "perez"),
        // A cover, an ordinary heater.
        _ => ("kind", "none"),
    }
}

/// One table of the scenario.
pub(crate) struct Section<'d> {
    pub(crate) table: Option<&'d Table>,
    place: Place,
    /// As a person writes it: `heater.board.tube`.
    path: String,
    /// Without the names of heaters: `heater.tube`.
    schema: String,
    asked: Vec<String>,
}

impl<'d> Section<'d> {
    pub(crate) fn root(table: &'d Table) -> Self {
        Self {
            table: Some(table),
            place: Place::File(0..0),
            path: String::new(),
            schema: String::new(),
            asked: Vec::new(),
        }
    }

    /// Whether the table was written at all.
    pub(crate) fn is_written(&self) -> bool {
        self.table.is_some()
    }

    /// Full path of a key, for people.
    pub(crate) fn key(&self, key: &str) -> String {
        joined(&self.path, key)
    }

    /// The table's own path, for people.
    pub(crate) fn path(&self) -> &str {
        &self.path
    }

    /// Where the table begins.
    pub(crate) fn place(&self) -> &Place {
        &self.place
    }

    /// Whether a key stands there, whatever its value.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.table.is_some_and(|t| t.get(key).is_some())
    }

    pub(crate) fn ask(&mut self, walk: &mut Walk<'_>, key: &str) -> Option<&'d Node> {
        if !self.asked.iter().any(|k| k == key) {
            self.asked.push(key.to_owned());
            walk.asked.insert(joined(&self.schema, key));
        }
        self.table?.get(key)
    }

    /// A table within this one; absent tables can be walked as well, they are empty.
    pub(crate) fn section(&mut self, walk: &mut Walk<'_>, key: &str) -> Section<'d> {
        let mut inner = Section {
            table: None,
            place: self.place.clone(),
            path: self.key(key),
            schema: joined(&self.schema, key),
            asked: Vec::new(),
        };
        if let Some(node) = self.ask(walk, key) {
            inner.place = node.place.clone();
            match &node.value {
                Value::Table(table) => inner.table = Some(table),
                _ => {
                    let (path, schema) = (&inner.path, &inner.schema);
                    let (inside, value) = key_inside(schema);
                    let (allowed, advice) = match node.place {
                        Place::Set(_) => (
                            "one of its keys".to_owned(),
                            if value.contains(' ') {
                                format!(
                                    "set a key inside it, such as --set {path}.{inside}=\"{value}\""
                                )
                            } else {
                                format!(
                                    "set a key inside it, such as --set {path}.{inside}={value}"
                                )
                            },
                        ),
                        Place::File(_) => (
                            format!("a table, written as [{schema}]"),
                            format!(
                                "write [{schema}] on a line of its own and its keys below it, such as {inside} = \"{value}\""
                            ),
                        ),
                    };
                    self.wrong(walk, key, "is a table, not one value", allowed, advice);
                }
            }
        }
        inner
    }

    /// A list of tables, written as `[[key]]`. `name` gives each its path.
    pub(crate) fn sections(
        &mut self,
        walk: &mut Walk<'_>,
        key: &str,
        name: impl Fn(usize, &Table) -> String,
    ) -> Vec<Section<'d>> {
        let schema = joined(&self.schema, key);
        let allowed = format!("tables, each written as [[{schema}]]");
        let Some(node) = self.ask(walk, key) else {
            return Vec::new();
        };
        let Value::List(list) = &node.value else {
            let advice = match node.place {
                Place::Set(_) => format!("take all out with --set {}=[]", self.key(key)),
                Place::File(_) => {
                    format!("write [[{schema}]] on a line of its own and its keys below it")
                }
            };
            self.wrong(walk, key, "is not a list of tables", allowed, advice);
            return Vec::new();
        };
        let mut all = Vec::new();
        for (at, item) in list.iter().enumerate() {
            if let Value::Table(table) = &item.value {
                all.push(Section {
                    table: Some(table),
                    place: item.place.clone(),
                    path: joined(&self.key(key), &name(at, table)),
                    schema: schema.clone(),
                    asked: Vec::new(),
                });
            } else {
                self.wrong_type(walk, key, item, &allowed);
            }
        }
        all
    }

    /// Reports keys that nobody asked for.
    pub(crate) fn finish(self, walk: &mut Walk<'_>) {
        let Some(table) = self.table else { return };
        for entry in &table.entries {
            if self.asked.contains(&entry.key) {
                continue;
            }
            let near = nearest(&entry.key, self.asked.iter().map(String::as_str));
            let advice = near.map_or_else(
                || "take it out".to_owned(),
                |near| format!("did you mean `{near}`?"),
            );
            if let Some(near) = near.map(|near| self.key(near)) {
                // Said once: a key that is missing because it is misspelt.
                walk.errors
                    .retain(|d| d.problem != MISSING || d.key != near);
            }
            let mut known: Vec<&str> = self.asked.iter().map(String::as_str).collect();
            known.sort_unstable();
            walk.report(
                &entry.key_place,
                &self.key(&entry.key),
                String::new(),
                format!("there is no key `{}` here", entry.key),
                known.join(", "),
                advice,
            );
        }
    }

    /// Reports a key that must be there and is not.
    pub(crate) fn missing(&self, walk: &mut Walk<'_>, key: &str, allowed: &str, advice: &str) {
        walk.report(
            &self.place,
            &self.key(key),
            String::new(),
            MISSING,
            allowed,
            advice,
        );
    }

    /// Reports something wrong with a key that stands there.
    pub(crate) fn wrong(
        &self,
        walk: &mut Walk<'_>,
        key: &str,
        problem: impl Into<String>,
        allowed: impl Into<String>,
        advice: impl Into<String>,
    ) {
        let node = self.table.and_then(|t| t.get(key));
        let (place, found) = match node {
            Some(node) => (node.place.clone(), node.shown()),
            None => (self.place.clone(), String::new()),
        };
        walk.report(&place, &self.key(key), found, problem, allowed, advice);
    }

    /// Reports two ways of saying one thing.
    pub(crate) fn conflict(&self, walk: &mut Walk<'_>, key: &str, with: &str) -> bool {
        let both = self.has(key) && self.has(with);
        if both {
            self.wrong(
                walk,
                key,
                format!("`{key}` and `{with}` both say the same thing"),
                "",
                format!("keep one of `{key}` and `{with}`"),
            );
        }
        both
    }

    /// Reports a key that has no meaning beside the value of another, unless that value was set on the command
    /// line: who tries another kind there need not take out what belongs to the file's.
    pub(crate) fn misplaced(
        &self,
        walk: &mut Walk<'_>,
        key: &str,
        governed_by: &str,
        problem: &str,
        advice: &str,
    ) {
        let governing = self.table.and_then(|t| t.get(governed_by));
        let tried = governing.is_some_and(|node| matches!(node.place, Place::Set(_)));
        if self.has(key) && !tried {
            self.wrong(walk, key, problem, "", advice);
        }
    }

    pub(crate) fn wrong_type(&self, walk: &mut Walk<'_>, key: &str, node: &Node, allowed: &str) {
        let what = match node.value {
            Value::Text(_) => "text",
            Value::Number(_) => "a bare number",
            Value::Bool(_) => "true or false",
            Value::Date(_) => "a date or time without quotes",
            Value::List(_) => "a list",
            Value::Table(_) => "a table",
        };
        let advice = match &node.value {
            Value::Date(date) => format!("put it in quotes: \"{date}\""),
            Value::Text(_) => "write it without quotes, in one of the ways allowed".to_owned(),
            Value::Number(_) | Value::Bool(_) => {
                "write it in quotes, in one of the ways allowed".to_owned()
            }
            Value::List(_) | Value::Table(_) => {
                "docs/scenario.md shows how it is written".to_owned()
            }
        };
        walk.report(
            &node.place,
            &self.key(key),
            node.shown(),
            format!("is {what}"),
            allowed,
            advice,
        );
    }
}
