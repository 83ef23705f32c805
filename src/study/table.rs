//! A table of the study file: its values by their keys, within their limits, or the faults of them.
//!
//! Values of the wrong type have been noted by `known`; here they are neither there nor missing.

use std::ops::Range;

use toml::Spanned;

use crate::study::checked::{Amount, amount, as_number, meaning, whole_of, within};
use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Kind};
use crate::study::name::name_trouble;
use crate::study::tree::{Tree, Value, shown};
use crate::study::word_key::WordKey;

/// The name of a study, a fan, a grille and whatever else has one.
pub(super) const NAME: Key =
    Key::text("name").hint("give it a name that you recognise in the ranking");

/// A table of the file: what messages call it and where it stands.
#[derive(Debug, Clone)]
pub(super) struct Table<'a> {
    pub(super) name: &'static str,
    pub(super) span: Range<usize>,
    pub(super) tree: &'a Tree,
}

impl<'a> Table<'a> {
    pub(super) fn new(name: &'static str, span: Range<usize>, tree: &'a Tree) -> Self {
        Self { name, span, tree }
    }

    /// The same table under another name in messages.
    pub(super) fn called(self, name: &'static str) -> Self {
        Self { name, ..self }
    }

    /// Where the value of a key stands, if it is there.
    pub(super) fn span_of(&self, key: &Key) -> Option<Range<usize>> {
        self.tree.get(key.name).map(Spanned::span)
    }

    pub(super) fn has(&self, key: &Key) -> bool {
        self.tree.get(key.name).is_some()
    }

    /// The number of a key, where it is in its range; what is wrong with it is noted elsewhere.
    pub(super) fn sound_number(&self, key: &Key) -> Option<f64> {
        let number = self.tree.get(key.name).and_then(as_number)?;
        key.limits().include(number).then_some(number)
    }

    /// The table under a key that holds one.
    pub(super) fn table(&self, key: &Key) -> Option<Self> {
        let value = self.tree.get(key.name)?;
        as_table(key, value)
    }

    /// The tables under a key that holds a list of them; none if it is absent.
    pub(super) fn tables(&self, key: &Key) -> Vec<Self> {
        let list = self.list(key).unwrap_or(&[]).iter();
        list.filter_map(|value| as_table(key, value)).collect()
    }

    /// The values of a list.
    pub(super) fn list(&self, key: &Key) -> Option<&'a [Spanned<Value>]> {
        match self.tree.get(key.name)?.get_ref() {
            Value::List(values) => Some(values),
            _ => None,
        }
    }

    /// The text under a key, with its place.
    pub(super) fn text(&self, key: &Key) -> Option<Spanned<&'a str>> {
        let value = self.tree.get(key.name)?;
        match value.get_ref() {
            Value::Text(text) => Some(Spanned::new(value.span(), text.as_str())),
            _ => None,
        }
    }

    pub(super) fn flag(&self, key: &Key) -> Option<bool> {
        match self.tree.get(key.name)?.get_ref() {
            Value::Flag(flag) => Some(*flag),
            _ => None,
        }
    }

    /// Notes that a key without default is absent.
    pub(super) fn missing(&self, diagnostics: &mut Diagnostics<'_>, key: &Key) {
        if diagnostics.expects(&self.span, &[key.name]) {
            return;
        }
        let key_or_header = match key.kind {
            Kind::Table(keys) => keys.header,
            _ => key.name,
        };
        let kind = FaultKind::Missing {
            table: self.name,
            key: key_or_header,
            hint: key.hint,
        };
        diagnostics.report(&self.span, kind);
    }

    /// The table that must be there. `None` only after a fault.
    pub(super) fn required_table(
        &self,
        diagnostics: &mut Diagnostics<'_>,
        key: &Key,
    ) -> Option<Self> {
        if !self.has(key) {
            self.missing(diagnostics, key);
        }
        self.table(key)
    }

    /// The number, or its default. `None` only after a fault.
    pub(super) fn number(&self, diagnostics: &mut Diagnostics<'_>, key: &Key) -> Option<Amount> {
        match (self.tree.get(key.name), key.default) {
            (Some(value), _) => within(diagnostics, key, &value.span(), as_number(value)?),
            (None, Some(default)) => Some(amount(key, default)),
            (None, None) => {
                self.missing(diagnostics, key);
                None
            }
        }
    }

    /// The number, or a default that follows from something else. `None` only after a fault.
    pub(super) fn number_or(
        &self,
        diagnostics: &mut Diagnostics<'_>,
        key: &Key,
        default: f64,
    ) -> Option<Amount> {
        self.number(diagnostics, &key.or(default))
    }

    /// The number of a key that may be absent. `None` also after a fault, with which there is no study.
    pub(super) fn number_if_there(
        &self,
        diagnostics: &mut Diagnostics<'_>,
        key: &Key,
    ) -> Option<Amount> {
        self.has(key).then(|| self.number(diagnostics, key))?
    }

    /// The number under one of two keys, of which exactly one must be there. `None` only after a fault.
    pub(super) fn either(
        &self,
        diagnostics: &mut Diagnostics<'_>,
        keys: &[&'static Key; 2],
    ) -> Option<Amount> {
        let key = self.exactly_one(diagnostics, keys)?;
        self.number(diagnostics, key)
    }

    /// The whole number, or its default. `None` only after a fault.
    pub(super) fn whole(&self, diagnostics: &mut Diagnostics<'_>, key: &Key) -> Option<u32> {
        let value = self.tree.get(key.name).map(Spanned::get_ref);
        if !matches!(value, None | Some(Value::Whole(_))) {
            return None;
        }
        Some(whole_of(self.number(diagnostics, key)?.written))
    }

    /// The whole number of a key that may be absent. `None` also after a fault, with which there is no study.
    pub(super) fn whole_if_there(
        &self,
        diagnostics: &mut Diagnostics<'_>,
        key: &Key,
    ) -> Option<u32> {
        self.has(key).then(|| self.whole(diagnostics, key))?
    }

    /// What the word stands for, or its default. `None` only after a fault.
    pub(super) fn word<T: Copy>(
        &self,
        diagnostics: &mut Diagnostics<'_>,
        key: &WordKey<T>,
    ) -> Option<T> {
        match (self.tree.get(key.name), key.default) {
            (Some(value), _) => meaning(diagnostics, key, value, key.words),
            (None, Some(default)) => Some(default),
            (None, None) => {
                self.missing(diagnostics, key);
                None
            }
        }
    }

    /// What the word stands for, or a default that follows from something else. `None` only after a fault.
    pub(super) fn word_or<T: Copy>(
        &self,
        diagnostics: &mut Diagnostics<'_>,
        key: &WordKey<T>,
        default: T,
    ) -> Option<T> {
        self.word(diagnostics, &key.or(default))
    }

    /// A name: one line of 1 to 80 characters that are seen, without spaces at its ends. `None` only after a fault.
    pub(super) fn name(&self, diagnostics: &mut Diagnostics<'_>) -> Option<Spanned<String>> {
        if !self.has(&NAME) {
            self.missing(diagnostics, &NAME);
        }
        let value = self.text(&NAME)?;
        let name = value.get_ref().trim();
        let Some(reason) = name_trouble(name) else {
            return Some(Spanned::new(value.span(), name.to_owned()));
        };
        let name = shown(name);
        diagnostics.report(&value.span(), FaultKind::BadName { name, reason });
        None
    }

    /// Of keys that exclude each other: the one that is there. Notes every further one.
    pub(super) fn at_most_one(
        &self,
        diagnostics: &mut Diagnostics<'_>,
        keys: &[&'static Key],
    ) -> Option<&'static Key> {
        let found = diagnostics.at_most_one(&self.spans_of(keys))?;
        keys.iter().copied().find(|key| key.name == found)
    }

    /// The same, and one of them must be there.
    pub(super) fn exactly_one(
        &self,
        diagnostics: &mut Diagnostics<'_>,
        keys: &[&'static Key],
    ) -> Option<&'static Key> {
        let found = self.exactly_one_of(diagnostics, &self.spans_of(keys))?;
        keys.iter().copied().find(|key| key.name == found)
    }

    /// The same for parts that are not one key each, with their places.
    pub(super) fn exactly_one_of(
        &self,
        diagnostics: &mut Diagnostics<'_>,
        parts: &[(&'static str, Option<Range<usize>>)],
    ) -> Option<&'static str> {
        let found = diagnostics.at_most_one(parts);
        let keys: Vec<&'static str> = parts.iter().map(|(key, _)| *key).collect();
        if found.is_none() && !diagnostics.expects(&self.span, &keys) {
            let table = self.name;
            diagnostics.report(&self.span, FaultKind::NeedsOneOf { table, keys });
        }
        found
    }

    fn spans_of(&self, keys: &[&'static Key]) -> Vec<(&'static str, Option<Range<usize>>)> {
        let keys = keys.iter();
        keys.map(|key| (key.name, self.span_of(key))).collect()
    }

    /// Notes keys that mean nothing without the ones that they need.
    pub(super) fn refuse_idle(&self, diagnostics: &mut Diagnostics<'_>, keys: &[&'static Key]) {
        for key in keys {
            if let (Some(span), Some(needed)) = (self.span_of(key), key.needs)
                && self.tree.get(needed).is_none()
            {
                let key = key.name;
                diagnostics.report(&span, FaultKind::MeansNothing { key, needed });
            }
        }
    }
}

/// The table that a value is; `None` if it is none.
fn as_table<'a>(key: &Key, value: &'a Spanned<Value>) -> Option<Table<'a>> {
    match (key.kind, value.get_ref()) {
        (Kind::Table(keys) | Kind::Tables(keys), Value::Table(tree)) => {
            Some(Table::new(keys.called, value.span(), tree))
        }
        (_, Value::Table(tree)) => Some(Table::new(key.name, value.span(), tree)),
        _ => None,
    }
}
