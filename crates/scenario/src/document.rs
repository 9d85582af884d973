//! The scenario's text as a tree in which every key and value knows where it stands.

use std::ops::Range;

use toml::de::{DeTable, DeValue};

/// Where something was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Place {
    /// Bytes of the file.
    File(Range<usize>),
    /// The nth `--set`.
    Set(usize),
}

/// A value and where it stands.
#[derive(Clone, Debug)]
pub(crate) struct Node {
    pub(crate) value: Value,
    pub(crate) place: Place,
}

/// What may stand in a scenario.
#[derive(Clone, Debug)]
pub(crate) enum Value {
    Text(String),
    Number(f64),
    Bool(bool),
    /// An unquoted date or time, as text.
    Date(String),
    List(Vec<Node>),
    Table(Table),
}

/// Keys and values in the order of the file.
#[derive(Clone, Debug, Default)]
pub(crate) struct Table {
    pub(crate) entries: Vec<Entry>,
}

#[derive(Clone, Debug)]
pub(crate) struct Entry {
    pub(crate) key: String,
    pub(crate) key_place: Place,
    pub(crate) node: Node,
}

impl Table {
    pub(crate) fn get(&self, key: &str) -> Option<&Node> {
        self.entries.iter().find(|e| e.key == key).map(|e| &e.node)
    }

    pub(crate) fn remove(&mut self, key: &str) {
        self.entries.retain(|e| e.key != key);
    }

    /// The value of `key`, put there by `make` when it is absent.
    pub(crate) fn entry(
        &mut self,
        key: &str,
        place: &Place,
        make: impl FnOnce() -> Value,
    ) -> &mut Node {
        let at = match self.entries.iter().position(|e| e.key == key) {
            Some(at) => at,
            None => {
                self.entries.push(Entry {
                    key: key.to_owned(),
                    key_place: place.clone(),
                    node: Node {
                        value: make(),
                        place: place.clone(),
                    },
                });
                self.entries.len() - 1
            }
        };
        &mut self.entries[at].node
    }
}

impl Node {
    /// How the value reads in a message.
    pub(crate) fn shown(&self) -> String {
        match &self.value {
            Value::Text(text) => format!("{:?}", shortened(text)),
            Value::Number(number) => number.to_string(),
            Value::Bool(yes) => yes.to_string(),
            Value::Date(text) => text.clone(),
            Value::List(_) => "a list".to_owned(),
            Value::Table(_) => "a table".to_owned(),
        }
    }
}

/// Long texts are cut for messages.
fn shortened(text: &str) -> String {
    const LONGEST: usize = 60;
    if text.chars().count() <= LONGEST {
        return text.to_owned();
    }
    text.chars().take(LONGEST).chain(['…']).collect()
}

/// Something that is not TOML.
#[derive(Clone, Debug)]
pub(crate) struct SyntaxError {
    pub(crate) message: String,
    pub(crate) at: usize,
}

/// Reads text as far as it can be read.
pub(crate) fn read(text: &str) -> (Table, Vec<SyntaxError>) {
    let (root, errors) = DeTable::parse_recoverable(text);
    let errors = errors
        .iter()
        .map(|e| SyntaxError {
            message: e.message().to_owned(),
            at: e.span().map_or(0, |span| span.start),
        })
        .collect();
    (table(root.get_ref(), None), errors)
}

/// Reads the right-hand side of a `--set`: TOML if it is, text otherwise.
pub(crate) fn read_value(text: &str, set: usize) -> Node {
    let place = Place::Set(set);
    match DeValue::parse(text.trim()) {
        Ok(parsed) => {
            let mut node = node(parsed.get_ref(), 0..0, Some(set));
            if let Value::Date(_) = node.value {
                node.value = Value::Text(text.trim().to_owned());
            }
            node
        }
        Err(_) => Node {
            value: Value::Text(text.trim().to_owned()),
            place,
        },
    }
}

fn place_of(span: Range<usize>, set: Option<usize>) -> Place {
    set.map_or(Place::File(span), Place::Set)
}

fn table(from: &DeTable<'_>, set: Option<usize>) -> Table {
    let mut entries: Vec<(usize, Entry)> = from
        .iter()
        .map(|(key, value)| {
            let entry = Entry {
                key: key.get_ref().to_string(),
                key_place: place_of(key.span(), set),
                node: node(value.get_ref(), value.span(), set),
            };
            (key.span().start, entry)
        })
        .collect();
    entries.sort_by_key(|(at, _)| *at);
    Table {
        entries: entries.into_iter().map(|(_, entry)| entry).collect(),
    }
}

fn node(from: &DeValue<'_>, span: Range<usize>, set: Option<usize>) -> Node {
    let value = match from {
        DeValue::String(text) => Value::Text(text.to_string()),
        DeValue::Integer(number) => Value::Number(integer(number.as_str(), number.radix())),
        DeValue::Float(number) => {
            Value::Number(number.as_str().replace('_', "").parse().unwrap_or(f64::NAN))
        }
        DeValue::Boolean(yes) => Value::Bool(*yes),
        DeValue::Datetime(date) => Value::Date(date.to_string()),
        DeValue::Array(list) => Value::List(
            list.iter()
                .map(|item| node(item.get_ref(), item.span(), set))
                .collect(),
        ),
        DeValue::Table(inner) => Value::Table(table(inner, set)),
    };
    Node {
        value,
        place: place_of(span, set),
    }
}

/// An integer of any size as a float; one that does not fit 128 bits is no number.
fn integer(digits: &str, radix: u32) -> f64 {
    #[allow(
        clippy::cast_precision_loss,
        reason = "counts are small; larger ones are out of every range"
    )]
    i128::from_str_radix(&digits.replace('_', ""), radix).map_or(f64::NAN, |number| number as f64)
}

/// Line and column of a byte, both counted from 1, the column in characters.
pub(crate) fn line_column(text: &str, at: usize) -> (usize, usize) {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let before = &text[..at];
    let start = before.rfind('\n').map_or(0, |newline| newline + 1);
    (
        before.matches('\n').count() + 1,
        before[start..].chars().count() + 1,
    )
}
