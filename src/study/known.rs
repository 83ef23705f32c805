//! The keys of a file against the declared ones: unknown keys, keys in the wrong table, values of the wrong type.

use std::ops::Range;

use toml::Spanned;

use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::hint::closest;
use crate::study::key::{Key, Keys, Kind};
use crate::study::series_keys::varied_keys;
use crate::study::series_table::RANGE;
use crate::study::study_keys::TABLES;
use crate::study::table::NAME;
use crate::study::tree::{Tree, Value, shown};

/// Notes every key of a table, and of the tables within it, that is not declared or holds a value of the wrong type.
pub(super) fn check(
    diagnostics: &mut Diagnostics<'_>,
    tree: &Tree,
    span: &Range<usize>,
    keys: &'static Keys,
) {
    check_entries(diagnostics, tree, span, keys.list, check_value);
}

/// The same for a table of these keys, whose values are looked at by `check_one`.
fn check_entries(
    diagnostics: &mut Diagnostics<'_>,
    tree: &Tree,
    span: &Range<usize>,
    keys: &[&'static Key],
    check_one: fn(&mut Diagnostics<'_>, &str, Kind, &Spanned<Value>),
) {
    for (name, value) in &tree.entries {
        match keys.iter().find(|key| key.name == name.get_ref()) {
            Some(key) => check_one(diagnostics, key.name, key.kind, value),
            None => unknown(diagnostics, span, name, keys),
        }
    }
}

fn check_value(diagnostics: &mut Diagnostics<'_>, name: &str, kind: Kind, value: &Spanned<Value>) {
    match (kind, value.get_ref()) {
        (Kind::Number(_), Value::Number(_) | Value::Whole(_))
        | (Kind::Whole(_), Value::Whole(_))
        | (Kind::Text, Value::Text(_))
        | (Kind::Flag, Value::Flag(_)) => {}
        (Kind::Words, Value::List(words)) => {
            for word in words {
                check_value(diagnostics, name, Kind::Text, word);
            }
        }
        (Kind::Table(keys), Value::Table(tree)) => check(diagnostics, tree, &value.span(), keys),
        (Kind::Tables(keys), Value::List(tables)) => {
            for table in tables {
                check_value(diagnostics, name, Kind::Table(keys), table);
            }
        }
        (Kind::Vary, Value::Table(tree)) => {
            check_entries(
                diagnostics,
                tree,
                &value.span(),
                &varied_keys(),
                check_listed,
            );
        }
        (Kind::Rows, Value::List(rows)) => {
            let keys: Vec<_> = [&NAME].into_iter().chain(varied_keys()).collect();
            for row in rows {
                match row.get_ref() {
                    Value::Table(tree) => {
                        check_entries(diagnostics, tree, &row.span(), &keys, check_varied);
                    }
                    found => wrong_type(diagnostics, name, &row.span(), found, "a table in { }"),
                }
            }
        }
        (kind, found) => {
            let wanted = match kind {
                Kind::Number(_) => "a number",
                Kind::Whole(_) => "a whole number",
                Kind::Text => "a word in quotation marks",
                Kind::Flag => "true or false",
                Kind::Tables(keys) if keys.header.starts_with("[[") => keys.header,
                Kind::Words | Kind::Tables(_) | Kind::Rows => "a list in [ ]",
                Kind::Table(_) | Kind::Vary => "a table",
            };
            wrong_type(diagnostics, name, &value.span(), found, wanted);
        }
    }
}

/// A value of a series, which tells itself whether a number is whole.
fn check_varied(diagnostics: &mut Diagnostics<'_>, name: &str, kind: Kind, value: &Spanned<Value>) {
    let kind = match kind {
        Kind::Whole(limits) => Kind::Number(limits),
        other => other,
    };
    check_value(diagnostics, name, kind, value);
}

/// What a series lists for a key: values, or a range of numbers.
fn check_listed(diagnostics: &mut Diagnostics<'_>, name: &str, kind: Kind, value: &Spanned<Value>) {
    let is_number = matches!(kind, Kind::Number(_) | Kind::Whole(_));
    match value.get_ref() {
        Value::List(values) => {
            for value in values {
                check_varied(diagnostics, name, kind, value);
            }
        }
        Value::Table(tree) if is_number => check(diagnostics, tree, &value.span(), &RANGE),
        found => {
            let wanted = if is_number {
                "a list of numbers or a range such as { from = 1, to = 2, step = 0.5 }"
            } else {
                "a list in [ ]"
            };
            wrong_type(diagnostics, name, &value.span(), found, wanted);
        }
    }
}

fn wrong_type(
    diagnostics: &mut Diagnostics<'_>,
    key: &str,
    span: &Range<usize>,
    found: &Value,
    wanted: &str,
) {
    let kind = FaultKind::WrongType {
        key: key.to_owned(),
        message: format!("{}, expected {wanted}", found.in_words()),
    };
    diagnostics.report(span, kind);
}

fn unknown(
    diagnostics: &mut Diagnostics<'_>,
    table: &Range<usize>,
    name: &Spanned<String>,
    keys: &[&'static Key],
) {
    let tables = TABLES.iter();
    let with_it = tables.filter(|keys| keys.find(name.get_ref()).is_some());
    let kind = FaultKind::UnknownKey {
        key: shown(name.get_ref()),
        known: keys.iter().map(|key| key.name).collect(),
        stands_in: with_it.map(|keys| keys.header).collect(),
    };
    diagnostics.report(&name.span(), kind);
    if let Some(meant) = closest(name.get_ref(), keys.iter().map(|key| key.name)) {
        diagnostics.expect(table, meant);
    }
}
