//! What a series does with the keys that may be varied: how a value is written into a grille, and how it reads in a name.

use toml::Spanned;

use crate::study::edge_table::{CHAMFER, RADIUS};
use crate::study::grille_table::GRILLE;
use crate::study::holes_table::{LAYOUT, SHAPE, Shape, size_keys};
use crate::study::key::{Key, Keys, Kind};
use crate::study::pattern_table::PATTERNS;
use crate::study::tree::{Tree, Value};
use crate::units::figure;

/// Every key that a series may vary, each once; the shape before the sizes, because its sizes come after it.
pub(super) fn varied_keys() -> Vec<&'static Key> {
    let mut varied: Vec<&'static Key> = Vec::new();
    for key in GRILLE.all().iter().flat_map(|table| table.list) {
        if key.varied_as.is_some() && !varied.iter().any(|known| known.is(key)) {
            varied.push(key);
        }
    }
    varied
}

/// Whether a key may hold this value; that a number is whole is seen when it is written.
pub(super) fn fits(key: &Key, value: &Value) -> bool {
    matches!(
        (key.kind, value),
        (
            Kind::Number(_) | Kind::Whole(_),
            Value::Number(_) | Value::Whole(_)
        ) | (Kind::Text, Value::Text(_))
            | (Kind::Table(_), Value::Table(_))
    )
}

/// A key with a value as it reads in a name.
pub(super) fn in_name(key: &Key, value: &Value, decimals: usize) -> String {
    let value = match value {
        Value::Number(number) => {
            let power = 10_f64.powi(i32::try_from(decimals).unwrap_or(i32::MAX));
            figure((number * power).round() / power)
        }
        Value::Whole(whole) => whole.to_string(),
        Value::Text(word) => word.clone(),
        Value::Table(edge) => edge_in_words(edge),
        Value::Flag(_) | Value::List(_) | Value::Date(_) => String::new(),
    };
    let unit = match key.limits().unit.text {
        " degrees" => " deg",
        _ => "",
    };
    let words = key.varied_as.unwrap_or_default();
    format!("{words} {value}{unit}").trim().to_owned()
}

/// Decimals of a number that somebody wrote: of one that has more, a range has been divided.
pub(super) const WRITTEN_DECIMALS: usize = 3;

/// Decimals with which the values of one key stand in names: so many that they differ and lie within a twentieth of their least distance of what they are; all of them where that is what was
/// written.
pub(super) fn decimals_in_names(values: &[f64]) -> usize {
    const ALL: usize = 9;
    let rounded = |decimals: usize| {
        let power = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
        values
            .iter()
            .map(move |value| (value * power).round() / power)
    };
    let error = |decimals: usize| {
        let errors = rounded(decimals)
            .zip(values)
            .map(|(round, value)| (round - value).abs());
        errors.fold(0.0, f64::max)
    };
    if error(WRITTEN_DECIMALS) < 1e-9 {
        return ALL;
    }
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let gaps = sorted.windows(2).map(|pair| pair[1] - pair[0]);
    let least = gaps.filter(|gap| *gap > 0.0).fold(f64::INFINITY, f64::min);
    (0..ALL)
        .find(|&decimals| error(decimals) <= 0.05 * least)
        .unwrap_or(ALL)
}

fn edge_in_words(edge: &Tree) -> String {
    let with_size = |key: &Key, word: &str| match edge.get(key.name)?.get_ref() {
        Value::Number(mm) => Some(format!("{word} {}", figure(*mm))),
        Value::Whole(mm) => Some(format!("{word} {mm}")),
        _ => None,
    };
    let shaped = with_size(&RADIUS, "rounded").or_else(|| with_size(&CHAMFER, "chamfered"));
    shaped.unwrap_or_else(|| "sharp".to_owned())
}

/// What may be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rule {
    /// Only numbers that the base has: a list varies something.
    Known,
    /// Whatever the pattern may have: a row says what is different.
    Any,
}

/// What became of a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Setting {
    Done,
    NotUsed,
    NotWhole,
}

/// Writes a value into a grille or into the pattern that it carries.
pub(super) fn set(grille: &mut Tree, key: &Key, value: Spanned<Value>, rule: Rule) -> Setting {
    let span = value.span();
    let value = match (key.kind, value.into_inner()) {
        (Kind::Whole(_), Value::Number(number)) => match as_whole(number) {
            Some(whole) => Value::Whole(whole),
            None => return Setting::NotWhole,
        },
        (_, value) => value,
    };
    let is_number = matches!(value, Value::Number(_) | Value::Whole(_));
    let target = if GRILLE.find(key.name).is_some() {
        grille
    } else {
        let carries = |(pattern, keys): (&Key, &Keys)| {
            let has_key = keys.find(key.name).is_some();
            (has_key && grille.get(pattern.name).is_some()).then_some(pattern.name)
        };
        let Some(pattern) = patterns().find_map(carries) else {
            return Setting::NotUsed;
        };
        match grille.table_mut(pattern) {
            Some(tree) if rule == Rule::Any || !is_number || tree.get(key.name).is_some() => tree,
            _ => return Setting::NotUsed,
        }
    };
    if let (true, Value::Text(word)) = (key.is(&SHAPE), &value) {
        change_shape(target, word, rule);
    }
    target.set(key.name, Spanned::new(span, value));
    Setting::Done
}

/// The pattern tables with their keys.
fn patterns() -> impl Iterator<Item = (&'static Key, &'static Keys)> {
    PATTERNS
        .into_iter()
        .filter_map(|pattern| match pattern.kind {
            Kind::Table(keys) => Some((pattern, keys)),
            _ => None,
        })
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a number without fraction below 1e9 is exact in both types"
)]
fn as_whole(number: f64) -> Option<i64> {
    (number.fract().abs() <= 0.0 && number.abs() <= 1e9).then_some(number as i64)
}

/// Another shape goes without the sizes that it does not have, and without a layout that was meant for the old one.
fn change_shape(holes: &mut Tree, word: &str, rule: Rule) {
    if matches!(holes.get(SHAPE.name).map(Spanned::get_ref), Some(Value::Text(before)) if before == word)
    {
        return;
    }
    let shape = Shape::named(word);
    let kept = shape.map_or(&[][..], Shape::size_keys);
    for size in size_keys() {
        if !kept.iter().any(|key| key.is(size)) {
            holes.remove(size.name);
        }
    }
    let written = holes.text(LAYOUT.name);
    let layout = written.and_then(|word| LAYOUT.meaning(word));
    let fits = |shape: Shape| layout.is_none_or(|layout| shape.has_layout(layout));
    if rule == Rule::Any || !shape.is_none_or(fits) {
        holes.remove(LAYOUT.name);
    }
}

/// Takes out of a grille what a row says in another way: one size instead of another, one turn instead of another.
pub(super) fn make_room(grille: &mut Tree, row: &Tree) {
    let varied = varied_keys().into_iter();
    let given: Vec<_> = varied.filter(|key| row.get(key.name).is_some()).collect();
    for (pattern, keys) in patterns() {
        let Some(tree) = grille.table_mut(pattern.name) else {
            continue;
        };
        for key in keys.list {
            let is_other_way = |given: &&Key| given.choice.is_some() && given.choice == key.choice;
            if given.iter().any(is_other_way) {
                tree.remove(key.name);
            }
        }
        for key in keys.list {
            let has = |needed: &str| tree.get(needed).is_some() || row.get(needed).is_some();
            if key.needs.is_some_and(|needed| !has(needed)) {
                tree.remove(key.name);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::key::Choice;
    use crate::study::pattern_table::HOLES_OF_IT;

    fn tree(keys: &[&str]) -> Tree {
        let mut tree = Tree::default();
        for key in keys {
            tree.set(key, Spanned::new(0..0, Value::Whole(5)));
        }
        tree
    }

    #[test]
    fn names_differ_however_small_the_steps_are_and_are_no_longer_than_that_takes() {
        // A range from 1 in seven values: so many decimals tell them apart within a twentieth of a step.
        for (width, decimals) in [(1.0, 2), (0.1, 3), (1e-3, 5), (1e-6, 8), (1e-7, 9)] {
            let values: Vec<f64> = (0..7).map(|n| 1.0 + width * f64::from(n) / 6.0).collect();
            assert_eq!(decimals_in_names(&values), decimals, "{width}");
            let key = varied_keys()[0];
            let names = values
                .iter()
                .map(|value| in_name(key, &Value::Number(*value), decimals));
            let names: std::collections::HashSet<String> = names.collect();
            assert_eq!(names.len(), 7, "{names:?}");
        }
    }

    #[test]
    fn a_size_in_a_row_takes_the_place_of_every_other_single_size_and_of_no_other_key() {
        let single: Vec<&Key> = size_keys()
            .filter(|key| key.choice == Some(Choice::Size))
            .collect();
        assert_eq!(single.len(), 4);
        let is_other = |key: &&Key| key.choice.is_none();
        let others = size_keys().filter(is_other).map(|key| key.name);
        let others: Vec<&str> = others.chain(["rib_mm"]).collect();
        for given in single {
            let mut grille = Tree::default();
            let all: Vec<&str> = size_keys().map(|key| key.name).chain(["rib_mm"]).collect();
            let holes = Value::Table(tree(&all));
            grille.set(HOLES_OF_IT.name, Spanned::new(0..0, holes));
            make_room(&mut grille, &tree(&[given.name]));
            let holes = grille.table_mut(HOLES_OF_IT.name).unwrap();
            let left: Vec<&str> = holes
                .entries
                .iter()
                .map(|(key, _)| key.get_ref().as_str())
                .collect();
            assert_eq!(left, others, "{}", given.name);
        }
    }

    #[test]
    fn a_turn_in_a_row_takes_the_place_of_every_other_turn_with_its_words() {
        for (given, left) in [
            ("twist_deg", &["twist_from", "twist_hands", "rib_mm"][..]),
            ("lean_deg", &["rib_mm"]),
            ("pattern_twist_deg", &["rib_mm"]),
            (
                "rib_mm",
                &["twist_deg", "twist_from", "twist_hands", "rib_mm"],
            ),
        ] {
            let mut grille = Tree::default();
            let holes = tree(&["twist_deg", "twist_from", "twist_hands", "rib_mm"]);
            grille.set(HOLES_OF_IT.name, Spanned::new(0..0, Value::Table(holes)));
            make_room(&mut grille, &tree(&[given]));
            let holes = grille.table_mut(HOLES_OF_IT.name).unwrap();
            let keys: Vec<&str> = holes
                .entries
                .iter()
                .map(|(key, _)| key.get_ref().as_str())
                .collect();
            assert_eq!(keys, left, "{given}");
        }
    }
}
