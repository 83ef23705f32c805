//! A study file as a tree of values, each with its place; nothing is known of keys here.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::text::is_direction_mark;

/// Place of a value that stands in no file but came from a flag.
pub(super) const FROM_FLAG: Range<usize> = usize::MAX..usize::MAX;

/// A value of the file.
#[derive(Debug, Clone)]
pub(super) enum Value {
    Number(f64),
    Whole(i64),
    Text(String),
    Flag(bool),
    List(Vec<Spanned<Value>>),
    Table(Tree),
    /// A date or a time, of which a study has none.
    Date(String),
}

impl From<&DeValue<'_>> for Value {
    fn from(value: &DeValue<'_>) -> Self {
        match value {
            DeValue::String(text) => Self::Text(text.to_string()),
            DeValue::Integer(whole) => {
                let digits = whole.as_str();
                // Larger than any key allows, so the last digits do not matter.
                let huge = |_| Self::Number(digits.parse().unwrap_or(f64::INFINITY));
                i64::from_str_radix(digits, whole.radix()).map_or_else(huge, Self::Whole)
            }
            DeValue::Float(number) => Self::Number(number.as_str().parse().unwrap_or(f64::NAN)),
            DeValue::Boolean(flag) => Self::Flag(*flag),
            DeValue::Datetime(date) => Self::Date(date.to_string()),
            DeValue::Array(values) => Self::List(values.iter().map(placed).collect()),
            DeValue::Table(table) => Self::Table(table.into()),
        }
    }
}

fn placed(value: &Spanned<DeValue<'_>>) -> Spanned<Value> {
    Spanned::new(value.span(), value.get_ref().into())
}

impl Value {
    /// What stands there, for a message.
    pub(super) fn in_words(&self) -> String {
        match self {
            Self::Number(number) => format!("number {number:?}"),
            Self::Whole(number) => format!("whole number {number}"),
            Self::Text(text) => format!("the text \"{}\"", shown(text)),
            Self::Flag(flag) => flag.to_string(),
            Self::List(_) => "a list".to_owned(),
            Self::Table(_) => "a table".to_owned(),
            Self::Date(date) => format!("the date or time {date}"),
        }
    }
}

/// A table of the file.
#[derive(Debug, Clone, Default)]
pub(super) struct Tree {
    pub(super) entries: Vec<(Spanned<String>, Spanned<Value>)>,
}

impl From<&DeTable<'_>> for Tree {
    fn from(table: &DeTable<'_>) -> Self {
        let entries = table.iter().map(|(key, value)| {
            let name = Spanned::new(key.span(), key.get_ref().to_string());
            (name, placed(value))
        });
        Self {
            entries: entries.collect(),
        }
    }
}

impl Tree {
    /// The value of a key.
    pub(super) fn get(&self, key: &str) -> Option<&Spanned<Value>> {
        let mut entries = self.entries.iter();
        let found = entries.find(|(name, _)| name.get_ref() == key);
        found.map(|(_, value)| value)
    }

    /// The table under a key.
    pub(super) fn table_mut(&mut self, key: &str) -> Option<&mut Self> {
        let mut entries = self.entries.iter_mut();
        let (_, value) = entries.find(|(name, _)| name.get_ref() == key)?;
        match value.get_mut() {
            Value::Table(tree) => Some(tree),
            _ => None,
        }
    }

    /// Writes a value, instead of the one that is there.
    pub(super) fn set(&mut self, key: &str, value: Spanned<Value>) {
        self.remove(key);
        let name = Spanned::new(value.span(), key.to_owned());
        self.entries.push((name, value));
    }

    /// Takes a key out.
    pub(super) fn remove(&mut self, key: &str) {
        self.entries.retain(|(name, _)| name.get_ref() != key);
    }

    /// The text of a key, without spaces at its ends.
    pub(super) fn text(&self, key: &str) -> Option<&str> {
        match self.get(key)?.get_ref() {
            Value::Text(text) => Some(text.trim()),
            _ => None,
        }
    }
}

/// A text as a message may show it: short, without control characters and marks that turn the line around.
pub(super) fn shown(text: &str) -> String {
    let text: String = text
        .chars()
        .map(|letter| match letter {
            _ if letter.is_control() => ' ',
            _ if is_direction_mark(letter) => '\u{fffd}',
            _ => letter,
        })
        .collect();
    if text.chars().count() <= 60 {
        return text;
    }
    text.chars().take(57).chain("...".chars()).collect()
}
