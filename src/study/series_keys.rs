//! The keys that a series may vary: how each is read, how it is written into a grille, how it reads in a name.

use std::ops::Range;

use toml::Spanned;

use crate::study::file::{Count, EdgeTable, GrilleTable, HolesTable, Number};
use crate::study::pattern_table::size_keys_of;
use crate::study::series_file::{NumbersTable, RangeTable, RowTable, VaryTable};

/// A value of a series with its place.
#[derive(Debug, Clone)]
pub(super) enum Value {
    Number(Spanned<f64>),
    Word(Spanned<String>),
    Edge(Spanned<EdgeTable>),
}

impl Value {
    pub(super) fn span(&self) -> Range<usize> {
        match self {
            Self::Number(number) => number.span(),
            Self::Word(word) => word.span(),
            Self::Edge(edge) => edge.span(),
        }
    }

    /// As it reads in a name.
    pub(super) fn in_words(&self) -> String {
        let number = |number: &Number| {
            let number = number.as_ref().map(|number| *number.get_ref());
            number.map(|number| number.to_string())
        };
        match self {
            Self::Number(number) => number.get_ref().to_string(),
            Self::Word(word) => word.get_ref().clone(),
            Self::Edge(edge) => {
                let edge = edge.get_ref();
                let rounded = number(&edge.radius_mm).map(|mm| format!("rounded {mm}"));
                let chamfered = || number(&edge.chamfer_mm).map(|mm| format!("chamfered {mm}"));
                let shaped = rounded.or_else(chamfered);
                shaped.unwrap_or_else(|| "sharp".to_owned())
            }
        }
    }
}

/// What `vary` holds for a key.
pub(super) enum Listed<'a> {
    Values(Vec<Value>),
    Range(&'a RangeTable),
}

/// The same with its place, if the key is there.
type Placed<'a> = Option<(Range<usize>, Listed<'a>)>;

/// What may be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rule {
    /// Only what the base has: a list varies something.
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

/// A key that a series may vary.
pub(super) struct Key {
    pub(super) name: &'static str,
    in_words: &'static str,
    unit: &'static str,
    pub(super) listed: for<'a> fn(&'a VaryTable) -> Placed<'a>,
    pub(super) given: fn(&RowTable) -> Option<Value>,
    pub(super) set: fn(&mut GrilleTable, Value, Rule) -> Setting,
}

impl Key {
    /// The key with a value as it reads in a name.
    pub(super) fn in_name(&self, value: &Value) -> String {
        let text = format!("{} {}{}", self.in_words, value.in_words(), self.unit);
        text.trim().to_owned()
    }
}

/// Writes a value into a grille.
type Setter<T> = fn(&mut GrilleTable, Spanned<T>, Rule) -> Setting;

/// One key of the table: the kind of its values, its name, its words, its unit, how it is written.
macro_rules! key {
    ($kind:ident, $name:ident, $in_words:literal, $unit:literal, $set:expr) => {
        Key {
            name: stringify!($name),
            in_words: $in_words,
            unit: $unit,
            listed: |vary| listed!($kind, vary.$name.as_ref()?),
            given: |row| {
                let value = row.$name.clone()?;
                Some(value!($kind)(value))
            },
            set: |grille, value, rule| match value {
                value!($kind, value) => {
                    let set: Setter<carried!($kind)> = $set;
                    set(grille, value, rule)
                }
                _ => Setting::NotUsed,
            },
        }
    };
}

macro_rules! carried {
    (number) => {
        f64
    };
    (word) => {
        String
    };
    (edge) => {
        EdgeTable
    };
}

macro_rules! value {
    (number) => {
        Value::Number
    };
    (word) => {
        Value::Word
    };
    (edge) => {
        Value::Edge
    };
    (number, $value:ident) => {
        Value::Number($value)
    };
    (word, $value:ident) => {
        Value::Word($value)
    };
    (edge, $value:ident) => {
        Value::Edge($value)
    };
}

macro_rules! listed {
    (number, $values:expr) => {{
        let values = $values;
        let listed = match values.get_ref() {
            NumbersTable::List(list) => {
                Listed::Values(list.iter().cloned().map(Value::Number).collect())
            }
            NumbersTable::Range(range) => Listed::Range(range),
        };
        Some((values.span(), listed))
    }};
    ($kind:ident, $values:expr) => {{
        let values = $values;
        let list = values.get_ref().iter().cloned();
        Some((
            values.span(),
            Listed::Values(list.map(value!($kind)).collect()),
        ))
    }};
}

/// The table of this kind, if the face carries one and no zones.
macro_rules! pattern_key {
    ($grille:ident, $table:ident, $key:ident) => {
        $grille
            .$table
            .as_mut()
            .map(|table| &mut table.as_mut().$key)
    };
}

/// Every key that can be varied; the shape first, because its sizes come after it.
pub(super) static KEYS: [Key; 24] = [
    key!(word, shape, "", "", set_shape),
    key!(number, thickness_mm, "thickness", "", |grille, value, _| {
        overwrite(&mut grille.thickness_mm, value)
    }),
    key!(number, border_mm, "border", "", |grille, value, _| {
        overwrite(&mut grille.border_mm, value)
    }),
    key!(
        number,
        centre_disc_mm,
        "centre disc",
        "",
        |grille, value, _| overwrite(&mut grille.centre_disc_mm, value)
    ),
    key!(
        number,
        diameter_mm,
        "diameter",
        "",
        |grille, value, rule| write(rule, pattern_key!(grille, holes, diameter_mm), value)
    ),
    key!(number, side_mm, "side", "", |grille, value, rule| write(
        rule,
        pattern_key!(grille, holes, side_mm),
        value
    )),
    key!(
        number,
        across_flats_mm,
        "across flats",
        "",
        |grille, value, rule| write(rule, pattern_key!(grille, holes, across_flats_mm), value)
    ),
    key!(
        number,
        across_corners_mm,
        "across corners",
        "",
        |grille, value, rule| write(rule, pattern_key!(grille, holes, across_corners_mm), value)
    ),
    key!(number, width_mm, "width", "", |grille, value, rule| write(
        rule,
        pattern_key!(grille, holes, width_mm),
        value
    )),
    key!(
        number,
        length_mm,
        "length",
        "",
        |grille, value, rule| write(rule, pattern_key!(grille, holes, length_mm), value)
    ),
    key!(
        number,
        slot_width_mm,
        "slot width",
        "",
        |grille, value, rule| write(rule, pattern_key!(grille, rings, slot_width_mm), value)
    ),
    key!(number, rib_mm, "rib", "", set_rib),
    key!(number, bar_count, "bars", "", set_bar_count),
    key!(number, bar_width_mm, "bar width", "", set_bar_width),
    key!(number, twist_deg, "twist", " deg", |grille, value, rule| {
        write(rule, pattern_key!(grille, holes, twist_deg), value)
    }),
    key!(number, lean_deg, "lean", " deg", set_lean),
    key!(
        number,
        pattern_twist_deg,
        "pattern twist",
        " deg",
        set_pattern_twist
    ),
    key!(word, layout, "layout", "", |grille, value, _| write(
        Rule::Any,
        pattern_key!(grille, holes, layout),
        value
    )),
    key!(
        word,
        twist_from,
        "twist from",
        "",
        |grille, value, _| write(Rule::Any, pattern_key!(grille, holes, twist_from), value)
    ),
    key!(word, twist_hands, "hands", "", |grille, value, _| write(
        Rule::Any,
        pattern_key!(grille, holes, twist_hands),
        value
    )),
    key!(word, merging, "merging", "", |grille, value, _| write(
        Rule::Any,
        pattern_key!(grille, holes, merging),
        value
    )),
    key!(
        word,
        crossing_holes,
        "crossing holes",
        "",
        |grille, value, _| overwrite(&mut grille.crossing_holes, value)
    ),
    key!(edge, front_edge, "front edge", "", |grille, value, _| {
        overwrite(&mut grille.front_edge, value)
    }),
    key!(edge, back_edge, "back edge", "", |grille, value, _| {
        overwrite(&mut grille.back_edge, value)
    }),
];

/// Writes into a key of the grille that may have been left to its default.
fn overwrite<T>(target: &mut Option<Spanned<T>>, value: Spanned<T>) -> Setting {
    *target = Some(value);
    Setting::Done
}

/// Writes into a key of the pattern.
fn write<T>(rule: Rule, target: Option<&mut Option<Spanned<T>>>, value: Spanned<T>) -> Setting {
    match target {
        Some(target) if rule == Rule::Any || target.is_some() => overwrite(target, value),
        _ => Setting::NotUsed,
    }
}

/// Another shape goes without the sizes that it does not have, and without a layout that was meant for the old one.
fn set_shape(grille: &mut GrilleTable, value: Spanned<String>, rule: Rule) -> Setting {
    let Some(holes) = &mut grille.holes else {
        return Setting::NotUsed;
    };
    let holes = holes.as_mut();
    let before = holes.shape.as_ref().map(Spanned::get_ref);
    if before != Some(value.get_ref()) {
        let kept = size_keys_of(value.get_ref());
        for (key, size) in sizes(holes) {
            if !kept.contains(&key) {
                *size = None;
            }
        }
        let layout = holes
            .layout
            .as_ref()
            .map(|layout| layout.get_ref().as_str());
        if rule == Rule::Any || (layout == Some("up-down") && value.get_ref() != "triangle") {
            holes.layout = None;
        }
    }
    overwrite(&mut holes.shape, value)
}

fn sizes(holes: &mut HolesTable) -> [(&'static str, &mut Number); 6] {
    [
        ("diameter_mm", &mut holes.diameter_mm),
        ("side_mm", &mut holes.side_mm),
        ("across_flats_mm", &mut holes.across_flats_mm),
        ("across_corners_mm", &mut holes.across_corners_mm),
        ("width_mm", &mut holes.width_mm),
        ("length_mm", &mut holes.length_mm),
    ]
}

/// Takes out of a grille what a row says in another way: one size instead of another, one turn instead of another.
pub(super) fn make_room(grille: &mut GrilleTable, row: &RowTable) {
    let sized = [
        &row.diameter_mm,
        &row.side_mm,
        &row.across_flats_mm,
        &row.across_corners_mm,
    ];
    let turned = [&row.twist_deg, &row.lean_deg, &row.pattern_twist_deg];
    let is_turned = turned.iter().any(|key| key.is_some());
    if let Some(holes) = &mut grille.holes {
        let holes = holes.as_mut();
        if sized.iter().any(|key| key.is_some()) {
            for (_, size) in sizes(holes).into_iter().take(4) {
                *size = None;
            }
        }
        if is_turned {
            holes.twist_deg = None;
            holes.lean_deg = None;
            holes.pattern_twist_deg = None;
        }
        if is_turned && row.twist_deg.is_none() {
            holes.twist_from = None;
            holes.twist_hands = None;
        }
    }
    if is_turned && let Some(rings) = &mut grille.rings {
        let rings = rings.as_mut();
        rings.lean_deg = None;
        rings.pattern_twist_deg = None;
    }
    if is_turned && let Some(bars) = &mut grille.bars {
        let bars = bars.as_mut();
        bars.lean_deg = None;
        bars.pattern_twist_deg = None;
    }
}

fn set_rib(grille: &mut GrilleTable, value: Spanned<f64>, rule: Rule) -> Setting {
    if grille.holes.is_some() {
        write(rule, pattern_key!(grille, holes, rib_mm), value)
    } else {
        write(rule, pattern_key!(grille, rings, rib_mm), value)
    }
}

fn set_bar_width(grille: &mut GrilleTable, value: Spanned<f64>, rule: Rule) -> Setting {
    if grille.rings.is_some() {
        write(rule, pattern_key!(grille, rings, bar_width_mm), value)
    } else {
        write(rule, pattern_key!(grille, bars, bar_width_mm), value)
    }
}

fn set_lean(grille: &mut GrilleTable, value: Spanned<f64>, rule: Rule) -> Setting {
    if grille.holes.is_some() {
        write(rule, pattern_key!(grille, holes, lean_deg), value)
    } else if grille.rings.is_some() {
        write(rule, pattern_key!(grille, rings, lean_deg), value)
    } else {
        write(rule, pattern_key!(grille, bars, lean_deg), value)
    }
}

fn set_pattern_twist(grille: &mut GrilleTable, value: Spanned<f64>, rule: Rule) -> Setting {
    if grille.holes.is_some() {
        write(rule, pattern_key!(grille, holes, pattern_twist_deg), value)
    } else if grille.rings.is_some() {
        write(rule, pattern_key!(grille, rings, pattern_twist_deg), value)
    } else {
        write(rule, pattern_key!(grille, bars, pattern_twist_deg), value)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a number without fraction below 1e9 is exact in both types"
)]
fn set_bar_count(grille: &mut GrilleTable, value: Spanned<f64>, _: Rule) -> Setting {
    let span = value.span();
    let number = value.into_inner();
    if number.fract().abs() > 0.0 || number.abs() > 1e9 {
        return Setting::NotWhole;
    }
    let target: &mut Count = match (&mut grille.rings, &mut grille.bars) {
        (Some(rings), _) => &mut rings.as_mut().bar_count,
        (None, Some(bars)) => &mut bars.as_mut().bar_count,
        (None, None) => return Setting::NotUsed,
    };
    overwrite(target, Spanned::new(span, number as i64))
}
